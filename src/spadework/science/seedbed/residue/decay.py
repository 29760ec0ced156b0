"""Decay of residue by weather: each day counts for its warmth or its moisture, whichever holds decay back more.

Days that count in full take the place of days of the calendar in :func:`.decay`.  The rate must then be one by such
days: fit it to an own loss with :func:`rate_by_weather`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "rate_by_weather",
    "warmth_weight",
    "weather_days",
    "wetness_weight",
]

_K = reference.constants("residue_weather")


@equation(
    (
        "where(temperature_degc > -decay_shift_degc, maximum((2 * (temperature_degc + "
        "decay_shift_degc)**2 * (decay_best_degc + decay_shift_degc)**2 - (temperature_degc + "
        "decay_shift_degc)**4) / (decay_best_degc + decay_shift_degc)**4, 0), 0)"
    ),
    unit="1",
    source="stroo_1989",
    locator="form recalled",
    constants=(_K,),
)
def warmth_weight(temperature_degc: ArrayLike) -> FloatArray:
    """Weight of the warmth of a day for decay.

    Parameters
    ----------
    temperature_degc : array_like
        Mean temperature of the day [degC], -40 to 60.

    Returns
    -------
    ndarray
        Weight, 0 to 1 [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    1 at 32 degC, nil at frost.  Recalled with little trust.

    Examples
    --------
    >>> round(float(warmth_weight(12)), 3)
    0.261
    """
    t = require("temperature_degc", temperature_degc, -40, 60, "degC")
    over, best = t + _K.decay_shift_degc, _K.decay_best_degc + _K.decay_shift_degc
    weight = (2 * over**2 * best**2 - over**4) / best**4
    return np.where(over > 0, np.maximum(weight, 0), 0.0)


@equation("minimum(moisture_share / field_capacity_share, 1)", unit="1", source="choice")
def wetness_weight(moisture_share: ArrayLike, field_capacity_share: ArrayLike) -> FloatArray:
    """Weight of the moisture of a day for decay.

    Parameters
    ----------
    moisture_share : array_like
        Moisture of the layer that the residue lies in or on, by volume [1], 0 to 1.
    field_capacity_share : array_like
        Its moisture at field capacity, by volume [1], more than 0, to 1.

    Returns
    -------
    ndarray
        Weight, 0 to 1 [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A straight line to field capacity: our choice.  Residue on the surface dries faster than the soil.

    Examples
    --------
    >>> float(wetness_weight(0.15, 0.25))
    0.6
    """
    m = require("moisture_share", moisture_share, 0, 1)
    fc = require("field_capacity_share", field_capacity_share, 0, 1, above=True)
    return np.asarray(np.minimum(m / fc, 1))


@equation(
    "sum over the days of the smaller of the two weights",
    unit="d",
    source="stroo_1989",
    locator="form recalled",
    in_words=True,
)
def weather_days(warmth_share: ArrayLike, wetness_share: ArrayLike) -> FloatArray:
    """Days that count in full for decay.

    Parameters
    ----------
    warmth_share : array_like
        Weight of the warmth of each day, from :func:`warmth_weight`; days along the last axis [1], 0 to 1.
    wetness_share : array_like
        Weight of the moisture of each day, from :func:`wetness_weight`; days along the last axis [1], 0 to 1.

    Returns
    -------
    ndarray
        Days [d], shape of the axes before the days.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If the weights have no axis.

    Examples
    --------
    >>> round(float(weather_days([0.3, 0.5, 0.4], [1.0, 0.2, 0.9])), 2)
    0.9
    """
    t = require("warmth_share", warmth_share, 0, 1)
    m = require("wetness_share", wetness_share, 0, 1)
    if not (t.ndim or m.ndim):
        raise ValueError("days must run along the last axis")
    return np.asarray(np.minimum(t, m).sum(axis=-1))


@equation("-log(1 - loss_share) / weather_days", unit="1/d", source="stroo_1989")
def rate_by_weather(loss_share: ArrayLike, weather_days: ArrayLike) -> FloatArray:
    """Rate of decay by days that count in full, from an own loss.

    Parameters
    ----------
    loss_share : array_like
        Mass lost over the same days [1], 0 to 0.9999.
    weather_days : array_like
        Days that count in full, from :func:`weather_days` [d], more than 0, to 10 000.

    Returns
    -------
    ndarray
        Rate [1/d], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Then M = M0 exp(-k D), with D the days that count in full.

    Examples
    --------
    >>> round(float(rate_by_weather(0.66, 90)), 5)
    0.01199
    """
    lost = require("loss_share", loss_share, 0, 0.9999)
    d = require("weather_days", weather_days, 0, 10_000, "d", above=True)
    return np.asarray(-np.log1p(-lost) / d)
