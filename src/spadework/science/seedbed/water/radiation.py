"""Sun that reaches the ground, and what the ground keeps of it and loses to the sky.

Amounts are per square metre and span, which is a day or an hour.  The equations are those of FAO Irrigation and
Drainage Paper 56, each with its number.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "clear_sky",
    "clear_sky_ratio",
    "net_long_wave_day",
    "net_long_wave_hour",
    "net_short_wave",
    "solar_from_sunshine",
    "solar_from_temperatures",
]

_K = reference.constants("reference_et")


@equation(
    "(sun_a + sun_b * sunshine_h / daylight_h) * sky_mj_m2",
    unit="MJ/m2",
    source="fao56_1998",
    locator="equation 35",
    constants=(_K,),
)
def solar_from_sunshine(sunshine_h: ArrayLike, daylight_h: ArrayLike, sky_mj_m2: ArrayLike) -> FloatArray:
    """Sun that reaches the ground, from the hours of sunshine.

    Parameters
    ----------
    sunshine_h : array_like
        Hours of sunshine [h], 0 to 24.
    daylight_h : array_like
        Hours of daylight [h], more than 0, to 24.
    sky_mj_m2 : array_like
        Sun above the air, from :func:`sky_radiation_day` or :func:`sky_radiation_span` [MJ/m2], 0 to 60.

    Returns
    -------
    ndarray
        Energy [MJ/m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the sun shines half an hour longer than the day is.

    Notes
    -----
    The two shares are those for places without their own.

    Examples
    --------
    >>> round(float(solar_from_sunshine(8.5, 12.313, 38.058)), 2)
    22.65
    """
    n = require("sunshine_h", sunshine_h, 0, 24, "h")
    d = require("daylight_h", daylight_h, 0, 24, "h", above=True)
    ra = require("sky_mj_m2", sky_mj_m2, 0, 60, "MJ/m2")
    require("daylight_h - sunshine_h", d - n, -0.5, 24, "h")
    return np.asarray((_K.sun_a + _K.sun_b * n / d) * ra)


@equation(
    "range_root_factor * sqrt(max_temperature_degc - min_temperature_degc) * sky_mj_m2",
    unit="MJ/m2",
    source="fao56_1998",
    locator="equation 50",
)
def solar_from_temperatures(
    max_temperature_degc: ArrayLike, min_temperature_degc: ArrayLike, sky_mj_m2: ArrayLike, range_root_factor: ArrayLike
) -> FloatArray:
    """Sun that reaches the ground where only temperatures are known.

    Parameters
    ----------
    max_temperature_degc : array_like
        Highest air temperature of the day [degC], -60 to 60.
    min_temperature_degc : array_like
        Lowest air temperature of the day [degC], -60 to 60.
    sky_mj_m2 : array_like
        Sun above the air, from :func:`sky_radiation_day` or :func:`sky_radiation_span` [MJ/m2], 0 to 60.
    range_root_factor : array_like
        Light per root of the range of temperature, 0.16 inland and 0.19 at the coast [1], 0.05 to 0.4.

    Returns
    -------
    ndarray
        Energy [MJ/m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the lowest temperature is above the highest.

    Notes
    -----
    Clear days have cold nights.  Good for means of a week or more, poor for single days.

    Examples
    --------
    >>> round(float(solar_from_temperatures(26.6, 14.8, 40.555, 0.16)), 2)
    22.29
    """
    hot = require("max_temperature_degc", max_temperature_degc, -60, 60, "degC")
    cold = require("min_temperature_degc", min_temperature_degc, -60, 60, "degC")
    ra = require("sky_mj_m2", sky_mj_m2, 0, 60, "MJ/m2")
    k = require("range_root_factor", range_root_factor, 0.05, 0.4)
    swing = require("max_temperature_degc - min_temperature_degc", hot - cold, 0, 60, "degC")
    return np.asarray(k * np.sqrt(swing) * ra)


@equation(
    "(clear_a + clear_per_m * altitude_m) * sky_mj_m2",
    unit="MJ/m2",
    source="fao56_1998",
    locator="equation 37",
    constants=(_K,),
)
def clear_sky(altitude_m: ArrayLike, sky_mj_m2: ArrayLike) -> FloatArray:
    """Sun that reaches the ground under a clear sky.

    Parameters
    ----------
    altitude_m : array_like
        Height above the sea [m], -430 to 6000.
    sky_mj_m2 : array_like
        Sun above the air, from :func:`sky_radiation_day` or :func:`sky_radiation_span` [MJ/m2], 0 to 60.

    Returns
    -------
    ndarray
        Energy [MJ/m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(clear_sky(2, 38.058)), 3)
    28.545
    """
    z = require("altitude_m", altitude_m, -430, 6000, "m")
    ra = require("sky_mj_m2", sky_mj_m2, 0, 60, "MJ/m2")
    return np.asarray((_K.clear_a + _K.clear_per_m * z) * ra)


@equation(
    "minimum(maximum(solar_mj_m2 / clear_mj_m2, clear_low), 1)",
    unit="1",
    source="fao56_1998",
    locator="equation 39",
    constants=(_K,),
)
def clear_sky_ratio(solar_mj_m2: ArrayLike, clear_mj_m2: ArrayLike) -> FloatArray:
    """Sun against that of a clear sky, within the limits that the heat of the sky is reckoned in.

    Parameters
    ----------
    solar_mj_m2 : array_like
        Sun that reaches the ground [MJ/m2], 0 to 60.
    clear_mj_m2 : array_like
        Sun that would reach the ground under a clear sky [MJ/m2], more than 0, to 60.

    Returns
    -------
    ndarray
        Ratio, 0.3 to 1 [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    At most 1 (FAO-56) and at least 0.3 (the ASCE form of 2005, recalled).  At night use the ratio of the last hours
    before sunset.

    Examples
    --------
    >>> round(float(clear_sky_ratio(22.651, 28.545)), 4)
    0.7935
    """
    rs = require("solar_mj_m2", solar_mj_m2, 0, 60, "MJ/m2")
    clear = require("clear_mj_m2", clear_mj_m2, 0, 60, "MJ/m2", above=True)
    return np.asarray(np.minimum(np.maximum(rs / clear, _K.clear_low), 1))


@equation("(1 - albedo) * solar_mj_m2", unit="MJ/m2", source="fao56_1998", locator="equation 38", constants=(_K,))
def net_short_wave(solar_mj_m2: ArrayLike) -> FloatArray:
    """Sunlight that the reference grass keeps.

    Parameters
    ----------
    solar_mj_m2 : array_like
        Sun that reaches the ground [MJ/m2], 0 to 60.

    Returns
    -------
    ndarray
        Energy [MJ/m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(net_short_wave(22.651)), 3)
    17.441
    """
    rs = require("solar_mj_m2", solar_mj_m2, 0, 60, "MJ/m2")
    return np.asarray((1 - _K.albedo) * rs)


@equation(
    (
        "sigma_day * ((max_temperature_degc + kelvin)**4 + (min_temperature_degc + kelvin)**4) / 2 * "
        "(humid_a - humid_b * sqrt(vapour_kpa)) * (cloud_a * clear_ratio - cloud_b)"
    ),
    unit="MJ/m2",
    source="fao56_1998",
    locator="equation 39",
    constants=(_K,),
)
def net_long_wave_day(
    max_temperature_degc: ArrayLike, min_temperature_degc: ArrayLike, vapour_kpa: ArrayLike, clear_ratio: ArrayLike
) -> FloatArray:
    """Heat that the ground loses to the sky in a day.

    Parameters
    ----------
    max_temperature_degc : array_like
        Highest air temperature of the day [degC], -60 to 60.
    min_temperature_degc : array_like
        Lowest air temperature of the day [degC], -60 to 60.
    vapour_kpa : array_like
        Vapour pressure of the air [kPa], 0 to 20.
    clear_ratio : array_like
        Sun against that of a clear sky [1], 0.3 to 1.

    Returns
    -------
    ndarray
        Energy [MJ/m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(net_long_wave_day(34.8, 25.6, 2.85, 0.7935)), 3)
    3.108
    """
    hot = require("max_temperature_degc", max_temperature_degc, -60, 60, "degC")
    cold = require("min_temperature_degc", min_temperature_degc, -60, 60, "degC")
    e = require("vapour_kpa", vapour_kpa, 0, 20, "kPa")
    c = require("clear_ratio", clear_ratio, 0.3, 1)
    heat = _K.sigma_day * ((hot + _K.kelvin) ** 4 + (cold + _K.kelvin) ** 4) / 2
    return np.asarray(heat * (_K.humid_a - _K.humid_b * np.sqrt(e)) * (_K.cloud_a * c - _K.cloud_b))


@equation(
    (
        "sigma_hour * (temperature_degc + kelvin)**4 * (humid_a - humid_b * sqrt(vapour_kpa)) * "
        "(cloud_a * clear_ratio - cloud_b)"
    ),
    unit="MJ/m2",
    source="fao56_1998",
    locator="equation 39, by the hour",
    constants=(_K,),
)
def net_long_wave_hour(temperature_degc: ArrayLike, vapour_kpa: ArrayLike, clear_ratio: ArrayLike) -> FloatArray:
    """Heat that the ground loses to the sky in an hour.

    Parameters
    ----------
    temperature_degc : array_like
        Air temperature [degC], -60 to 60.
    vapour_kpa : array_like
        Vapour pressure of the air [kPa], 0 to 20.
    clear_ratio : array_like
        Sun against that of a clear sky [1], 0.3 to 1.

    Returns
    -------
    ndarray
        Energy [MJ/m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(net_long_wave_hour(28, 3.402, 0.8)), 4)
    0.1003
    """
    t = require("temperature_degc", temperature_degc, -60, 60, "degC")
    e = require("vapour_kpa", vapour_kpa, 0, 20, "kPa")
    c = require("clear_ratio", clear_ratio, 0.3, 1)
    heat = _K.sigma_hour * (t + _K.kelvin) ** 4
    return np.asarray(heat * (_K.humid_a - _K.humid_b * np.sqrt(e)) * (_K.cloud_a * c - _K.cloud_b))
