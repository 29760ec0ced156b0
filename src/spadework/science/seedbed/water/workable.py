"""Soil that can be worked: limits of moisture, and the days on which they hold.

No limit from a book fits every soil.  Set it so that the days of the past year agree with the diary of the farm.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "day_is_fit",
    "moisture_at_inflection",
    "moisture_by_volume",
    "moisture_wet_limit",
    "workable_moisture",
]

_K = reference.constants("fit_days")


@equation(
    "workable_of_plastic * plastic_limit_share * density_t_m3",
    unit="1",
    source="tillage_water_encyclopedia",
    constants=(_K,),
)
def workable_moisture(plastic_limit_share: ArrayLike, density_t_m3: ArrayLike) -> FloatArray:
    """Moisture by volume at which soil breaks up best, from its plastic limit.

    Parameters
    ----------
    plastic_limit_share : array_like
        Water at the plastic limit, by mass of dry soil [1], 0 to 1.
    density_t_m3 : array_like
        Bulk density, dry [t/m3], 0.5 to 2.2.

    Returns
    -------
    ndarray
        Moisture by volume [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the moisture would pass 1.

    Notes
    -----
    0.9 of the plastic limit; above the limit itself do not till.  Single soils broke up best at 0.77.

    Examples
    --------
    >>> round(float(workable_moisture(0.20, 1.3)), 3)
    0.234
    """
    pl = require("plastic_limit_share", plastic_limit_share, 0, 1)
    d = require("density_t_m3", density_t_m3, 0.5, 2.2, "t/m3")
    return require("moisture by volume", _K.workable_of_plastic * pl * d, 0, 1)


@equation("water_share * density_t_m3", unit="1", source="physics", locator="definition")
def moisture_by_volume(water_share: ArrayLike, density_t_m3: ArrayLike) -> FloatArray:
    """Moisture by volume, from water by mass of dry soil.

    Parameters
    ----------
    water_share : array_like
        Water by mass of dry soil, such as that at the plastic limit [1], 0 to 1.
    density_t_m3 : array_like
        Bulk density, dry [t/m3], 0.5 to 2.2.

    Returns
    -------
    ndarray
        Moisture by volume [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the moisture would pass 1.

    Notes
    -----
    Turns a plastic limit into a limit of moisture: above it do not till.

    Examples
    --------
    >>> round(float(moisture_by_volume(0.20, 1.3)), 2)
    0.26
    """
    w = require("water_share", water_share, 0, 1)
    d = require("density_t_m3", density_t_m3, 0.5, 2.2, "t/m3")
    return require("moisture by volume", w * d, 0, 1)


@equation(
    ("residual_share + (saturated_share - residual_share) * (1 + 1 / (1 - 1 / curve_n))**(-(1 - 1 / curve_n))"),
    unit="1",
    source="dexter_bird_2001",
    locator="recalled",
)
def moisture_at_inflection(saturated_share: ArrayLike, residual_share: ArrayLike, curve_n: ArrayLike) -> FloatArray:
    """Moisture at which soil crumbles best, at the inflection of its retention curve.

    Parameters
    ----------
    saturated_share : array_like
        Moisture at saturation, by volume [1], 0 to 1.
    residual_share : array_like
        Residual moisture of the retention curve, below `saturated_share` [1], 0 to 1.
    curve_n : array_like
        Exponent n of the retention curve [1], more than 1, to 10.

    Returns
    -------
    ndarray
        Moisture by volume [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the soil holds no more at saturation than at the end of its
        curve.

    Notes
    -----
    th_r + (th_s - th_r) (1 + 1/m)^(-m), m = 1 - 1/n.

    Examples
    --------
    >>> round(float(moisture_at_inflection(0.43, 0.078, 1.56)), 4)
    0.2963
    """
    high = require("saturated_share", saturated_share, 0, 1)
    low = require("residual_share", residual_share, 0, 1)
    n = require("curve_n", curve_n, 1, 10, above=True)
    span = require("saturated_share - residual_share", high - low, 0, 1, above=True)
    m = 1 - 1 / n
    return np.asarray(low + span * (1 + 1 / m) ** (-m))


@equation(
    (
        "(residual_share + (saturated_share - residual_share) * (1 + 1 / (1 - 1 / curve_n))**(-(1 - 1 / "
        "curve_n))) + wet_of_range * (saturated_share - (residual_share + (saturated_share - "
        "residual_share) * (1 + 1 / (1 - 1 / curve_n))**(-(1 - 1 / curve_n))))"
    ),
    unit="1",
    source="dexter_bird_2001",
    locator="recalled",
    constants=(_K,),
)
def moisture_wet_limit(saturated_share: ArrayLike, residual_share: ArrayLike, curve_n: ArrayLike) -> FloatArray:
    """Moisture over which soil smears rather than crumbles, from its retention curve.

    Parameters
    ----------
    saturated_share : array_like
        Moisture at saturation, by volume [1], 0 to 1.
    residual_share : array_like
        Residual moisture of the retention curve, below `saturated_share` [1], 0 to 1.
    curve_n : array_like
        Exponent n of the retention curve [1], more than 1, to 10.

    Returns
    -------
    ndarray
        Moisture by volume [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the soil holds no more at saturation than at the end of its
        curve.

    Notes
    -----
    Four tenths of the way from the inflection to saturation.

    Examples
    --------
    >>> round(float(moisture_wet_limit(0.43, 0.078, 1.56)), 4)
    0.3498
    """
    high = require("saturated_share", saturated_share, 0, 1)
    low = require("residual_share", residual_share, 0, 1)
    n = require("curve_n", curve_n, 1, 10, above=True)
    best = moisture_at_inflection(high, low, n)
    return np.asarray(best + _K.wet_of_range * (high - best))


@equation(
    ("where((moisture_share < limit_share) * (rain_mm < rain_limit_mm) * (min_temperature_degc >= frost_degc), 1, 0)"),
    unit="1",
    source="suitable_days_paper",
    locator="form; the limits are the user's",
)
def day_is_fit(
    moisture_share: ArrayLike,
    limit_share: ArrayLike,
    rain_mm: ArrayLike,
    rain_limit_mm: ArrayLike,
    min_temperature_degc: ArrayLike,
    frost_degc: ArrayLike,
) -> FloatArray:
    """Tell whether a day is fit for the job.

    Parameters
    ----------
    moisture_share : array_like
        Moisture of the seed zone by volume, day by day [1], 0 to 1.
    limit_share : array_like
        Moisture over which the ground is too wet for the job [1], 0 to 1.
    rain_mm : array_like
        Rain of the day [mm], 0 to 1000.
    rain_limit_mm : array_like
        Rain of a day on which nobody drives [mm], 0 to 1000.
    min_temperature_degc : array_like
        Lowest air temperature of the day [degC], -60 to 60.
    frost_degc : array_like
        Lowest temperature below which the ground is taken as frozen [degC], -60 to 10.

    Returns
    -------
    ndarray
        1 where it is, else 0 [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Dry enough, little rain and no frost.  Law, holidays and the state of the crop are not asked.

    Examples
    --------
    >>> day_is_fit([0.24, 0.19, 0.19], 0.20, [0, 0, 6], 2, [3, 4, 5], -2).tolist()
    [0.0, 1.0, 0.0]
    """
    m = require("moisture_share", moisture_share, 0, 1)
    top = require("limit_share", limit_share, 0, 1)
    r = require("rain_mm", rain_mm, 0, 1000, "mm")
    rl = require("rain_limit_mm", rain_limit_mm, 0, 1000, "mm")
    t = require("min_temperature_degc", min_temperature_degc, -60, 60, "degC")
    f = require("frost_degc", frost_degc, -60, 10, "degC")
    return np.asarray(np.where((m < top) & (r < rl) & (t >= f), 1.0, 0.0))
