"""Emergence of maize: rival rules for the heat or the days that it takes.

The rules of the table ``maize_emergence`` differ in base temperature, in soil or air and in what they call emerged.
They stand side by side; how far they lie apart is part of the answer.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, calibrated, require
from spadework.working import equation

__all__ = [
    "course_yin",
    "heat_needed_base_10",
    "heat_needed_itabari",
    "heat_to_germinate_itabari",
    "rate_of_best_yin",
]

_K = reference.constants("emergence")
_HOURS = 24


@equation(
    (
        "stated_degc_d + deep_heat * maximum(depth_cm - deep_from_cm, 0) + dry_heat * dry + fine_heat * "
        "fine + residue_heat * thick_residue"
    ),
    unit="degC d",
    source="lauer_2003",
    constants=(_K,),
)
def heat_needed_base_10(
    stated_degc_d: ArrayLike, depth_cm: ArrayLike, dry: ArrayLike, fine: ArrayLike, thick_residue: ArrayLike
) -> FloatArray:
    """Heat to emergence over 10 degC, by the rules of the US corn belt.

    Parameters
    ----------
    stated_degc_d : array_like
        Heat that a rule states for seed at 5 cm in moist soil [degC d], 0 to 500.
    depth_cm : array_like
        Depth of the seed under the surface above it [cm], 0 to 20.
    dry : array_like
        1 where the seed zone is drier than best, else 0 [1], 0 to 1.
    fine : array_like
        1 on fine soil, -1 on coarse, 0 between [1], -1 to 1.
    thick_residue : array_like
        1 where air temperatures are counted and residue covers more than three quarters, else 0 [1], 0 to 1.

    Returns
    -------
    ndarray
        Heat [degC d], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the terms take away more than the stated heat.

    Notes
    -----
    The stated heat stands in the table ``maize_emergence``.  The residue term belongs to air temperatures only: a
    soil temperature has the shade of the residue in it already.

    Examples
    --------
    >>> round(float(heat_needed_base_10(63.9, 7.5, 0, 0, 0)), 1)
    71.8
    """
    heat = require("stated_degc_d", stated_degc_d, 0, 500, "degC d")
    z = require("depth_cm", depth_cm, 0, 20, "cm")
    d = require("dry", dry, 0, 1)
    f = require("fine", fine, -1, 1)
    r = require("thick_residue", thick_residue, 0, 1)
    terms = _K.deep_heat * np.maximum(z - _K.deep_from_cm, 0) + _K.dry_heat * d + _K.fine_heat * f + _K.residue_heat * r
    return require("heat with all terms", heat + terms, 0, 1000, "degC d")


@equation(
    ("seed_heat + (seed_heat_dry - seed_heat) * (suction_kpa - seed_wet_kpa) / (seed_dry_kpa - seed_wet_kpa)"),
    unit="degC d",
    source="itabari_1993",
    locator="abstract",
    constants=(_K,),
)
def heat_to_germinate_itabari(suction_kpa: ArrayLike) -> FloatArray:
    """Heat to germination of half the seeds over 6.1 degC, by the suction of the soil water.

    Parameters
    ----------
    suction_kpa : array_like
        Suction of the soil water at the seed [kPa], 0 to 1500.

    Returns
    -------
    ndarray
        Heat [degC d], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A straight line between the two measured suctions, 5 and 40 kPa.

    Examples
    --------
    >>> round(float(heat_to_germinate_itabari(20)), 1)
    53.6
    """
    s = require("suction_kpa", suction_kpa, 0, 1500, "kPa")
    calibrated("heat_to_germinate_itabari", "suction_kpa", s, _K.seed_wet_kpa, _K.seed_dry_kpa, "kPa")
    part = (s - _K.seed_wet_kpa) / (_K.seed_dry_kpa - _K.seed_wet_kpa)
    return np.asarray(_K.seed_heat + (_K.seed_heat_dry - _K.seed_heat) * part)


@equation(
    "seed_heat + seed_deep_heat * depth_cm + 100 * seed_drier_heat * drier_share",
    unit="degC d",
    source="itabari_1993",
    locator="abstract",
    constants=(_K,),
)
def heat_needed_itabari(depth_cm: ArrayLike, drier_share: ArrayLike) -> FloatArray:
    """Heat to emergence over 6.1 degC, by depth and dryness.

    Parameters
    ----------
    depth_cm : array_like
        Depth of the seed under the surface above it [cm], 0 to 20.
    drier_share : array_like
        Water that the seed zone has less than moist soil, as a share [1], 0 to 0.3.

    Returns
    -------
    ndarray
        Heat [degC d], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Slopes as measured; that a seed on the surface emerges when it germinates is our construction.

    Examples
    --------
    >>> round(float(heat_needed_itabari(5, 0.02)), 1)
    71.9
    """
    z = require("depth_cm", depth_cm, 0, 20, "cm")
    w = require("drier_share", drier_share, 0, 0.3)
    return np.asarray(_K.seed_heat + _K.seed_deep_heat * z + 100 * _K.seed_drier_heat * w)


@equation(
    (
        "where((temperature_degc > beta_low_degc) * (temperature_degc < beta_high_degc), "
        "(beta_high_degc - temperature_degc) / (beta_high_degc - beta_best_degc) * "
        "(maximum(temperature_degc - beta_low_degc, 0) / (beta_best_degc - "
        "beta_low_degc))**((beta_best_degc - beta_low_degc) / (beta_high_degc - beta_best_degc)), 0)"
    ),
    unit="1",
    source="yin_1995",
    locator="form recalled",
    constants=(_K,),
)
def rate_of_best_yin(temperature_degc: ArrayLike) -> FloatArray:
    """Rate of emergence against that at the best temperature.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature at the depth of the seed; hours along the last axis [degC], -40 to 60.

    Returns
    -------
    ndarray
        Rate, 0 to 1 [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A curve with a peak: nil at 9 and 40 degC, highest at 30 degC (Blacklow 1972).  Any shape of input will do here.

    Examples
    --------
    >>> round(float(rate_of_best_yin(20)), 4)
    0.5144
    """
    t = require("temperature_degc", temperature_degc, -40, 60, "degC")
    low, best, high = _K.beta_low_degc, _K.beta_best_degc, _K.beta_high_degc
    rate = (high - t) / (high - best) * (np.maximum(t - low, 0) / (best - low)) ** ((best - low) / (high - best))
    return np.where((t > low) & (t < high), rate, 0.0)


@equation(
    "running sum of the rate of the hours over the days at the best temperature",
    unit="1",
    source="yin_1995",
    locator="form recalled",
    constants=(_K,),
    in_words=True,
)
def course_yin(temperature_degc: ArrayLike, best_days: ArrayLike) -> FloatArray:
    """Way to half emergence that is done, hour by hour.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature at the depth of the seed; hours along the last axis [degC], -40 to 60.
    best_days : array_like
        Days to half emergence at the best temperature [d], more than 0, to 100.

    Returns
    -------
    ndarray
        Share of the way at the end of each hour; 1 is half emergence [1].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If there are no hours.

    Notes
    -----
    Hand it to :func:`.days_to_heat` with 1 as the wanted heat.

    Examples
    --------
    >>> round(float(course_yin([20.0] * 24, 3.3)[-1]), 3)
    0.156
    """
    t = require("temperature_degc", temperature_degc, -40, 60, "degC")
    days = require("best_days", best_days, 0, 100, "d", above=True)
    if not t.ndim:
        raise ValueError("`temperature_degc` must have hours along its last axis")
    return np.cumsum(rate_of_best_yin(t) / _HOURS, axis=-1) / days[..., np.newaxis]
