"""How fast the ammonium of the band turns into nitrate: first order, with temperature and inhibitor."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["ammonium_left", "inhibition_left", "nitrification_rate", "nitrification_temperature_factor"]

_K = reference.constants("band_spread")


@equation(
    "where((temperature_degc > nit_low_degc) & (temperature_degc < nit_high_degc), "
    "(temperature_degc - nit_high_degc) * (temperature_degc - nit_low_degc) ** 2 / ((nit_best_degc - nit_low_degc) "
    "* ((nit_best_degc - nit_low_degc) * (temperature_degc - nit_best_degc) - (nit_best_degc - nit_high_degc) "
    "* (nit_best_degc + nit_low_degc - 2 * temperature_degc))), 0)",
    unit="1",
    source="rosso_1993",
    constants=(_K,),
)
def nitrification_temperature_factor(temperature_degc: ArrayLike) -> FloatArray:
    """Work out how fast nitrification runs against its best temperature.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature of the soil [degC], -5 to 60.

    Returns
    -------
    ndarray
        Factor [1], 0 to 1, shape of the argument; nil outside the two outer temperatures.

    Raises
    ------
    ImpossibleValue
        If the temperature lies outside its range.

    Notes
    -----
    Curve through a lowest, best and highest temperature (Rosso and others 1993, from memory).  The best, 25.5 degC, is
    measured in topsoil (Grundmann and others 1995, abstract); 0 and 40 degC are our choice.

    Examples
    --------
    >>> nitrification_temperature_factor([5, 10, 20]).round(3).tolist()
    [0.115, 0.373, 0.895]
    """
    t = _celsius(temperature_degc)
    low, best, high = _K.nit_low_degc, _K.nit_best_degc, _K.nit_high_degc
    below = (best - low) * ((best - low) * (t - best) - (best - high) * (best + low - 2 * t))
    return np.where((t > low) & (t < high), (t - high) * (t - low) ** 2 / below, 0.0)


@equation(
    "inhibitor_effect_share * 2 ** (-days_since / inhibitor_half_days "
    "* inhibitor_q10 ** ((temperature_degc - inhibitor_reference_degc) / 10))",
    unit="1",
    source="choice",
    constants=(_K,),
)
def inhibition_left(
    inhibitor_effect_share: ArrayLike, days_since: ArrayLike, temperature_degc: ArrayLike
) -> FloatArray:
    """Work out the share of nitrification that an inhibitor still stops.

    Parameters
    ----------
    inhibitor_effect_share : array_like
        Share stopped at first [1], 0 to 1; 0 without inhibitor.
    days_since : array_like
        Time since it went in [d], 0 to 1000.
    temperature_degc : array_like
        Temperature of the soil over that time [degC], -5 to 60.

    Returns
    -------
    ndarray
        Share stopped [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Half-life of 40 d at 10 degC, halved for every 10 degC more: our choice, within the 4 to 10 weeks that are told.

    Examples
    --------
    >>> round(float(inhibition_left(0.8, 40, 10)), 3)
    0.4
    """
    effect = require("inhibitor_effect_share", inhibitor_effect_share, 0, 1)
    days = require("days_since", days_since, 0, 1000, "d")
    warmth = (_celsius(temperature_degc) - _K.inhibitor_reference_degc) / 10
    return np.asarray(effect * 2.0 ** (-days / _K.inhibitor_half_days * _K.inhibitor_q10**warmth))


@equation(
    "rate_20_per_day * warmth_share / warmth_at_20_share * (1 - stopped_share)",
    unit="1/day",
    source="choice",
)
def nitrification_rate(
    rate_20_per_day: ArrayLike,
    warmth_share: ArrayLike,
    warmth_at_20_share: ArrayLike,
    stopped_share: ArrayLike,
) -> FloatArray:
    """Work out the share of the ammonium that turns into nitrate in a day.

    Parameters
    ----------
    rate_20_per_day : array_like
        Rate at 20 degC without inhibitor [1/day], 0 to 10.
    warmth_share : array_like
        Factor at the temperature of the soil [1], 0 to 1; see :func:`nitrification_temperature_factor`.
    warmth_at_20_share : array_like
        The same at 20 degC [1], more than 0, to 1.
    stopped_share : array_like
        Share that an inhibitor stops [1], 0 to 1.

    Returns
    -------
    ndarray
        Rate of first order [1/day], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Leaves out want of air, pH and nitrite in the band, which all slow it in the first weeks.

    Examples
    --------
    >>> round(float(nitrification_rate(0.02, 0.3729, 0.8951, 0.5)), 5)
    0.00417
    """
    rate = require("rate_20_per_day", rate_20_per_day, 0, 10, "1/day")
    factor = require("warmth_share", warmth_share, 0, 1)
    at_20 = require("warmth_at_20_share", warmth_at_20_share, 0, 1, above=True)
    return np.asarray(rate * factor / at_20 * (1 - require("stopped_share", stopped_share, 0, 1)))


@equation(
    "e to the power of minus the rate times the length of each step, multiplied up to it",
    unit="1",
    source="physics",
    locator="first-order decay",
    in_words=True,
)
def ammonium_left(step_days: ArrayLike, rate_per_day: ArrayLike) -> FloatArray:
    """Work out the share of the ammoniacal nitrogen that is not yet nitrate.

    Parameters
    ----------
    step_days : array_like
        Length of each step, along the last axis [d], 0 to 1000.
    rate_per_day : array_like
        Nitrification in each step [1/day], 0 to 10.

    Returns
    -------
    ndarray
        Share left at the end of each step [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(ammonium_left([42], [0.019])[0]), 2)
    0.45
    """
    step = require("step_days", step_days, 0, 1000, "d")
    return np.asarray(np.exp(-np.cumsum(step * require("rate_per_day", rate_per_day, 0, 10, "1/day"), axis=-1)))


def _celsius(temperature_degc: ArrayLike) -> FloatArray:
    return require("temperature_degc", temperature_degc, -5, 60, "degC")
