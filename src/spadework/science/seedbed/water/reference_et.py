"""Evaporation of the reference crop, short well-watered grass, by the day and by the hour.

It is the thirst of the air: bare and covered soil take a part of it.  The equations are those of FAO Irrigation and
Drainage Paper 56, each with its number.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.science.seedbed.water.radiation import (
    clear_sky,
    clear_sky_ratio,
    net_long_wave_day,
    net_short_wave,
    solar_from_temperatures,
)
from spadework.science.seedbed.water.sunlight import sky_radiation_day
from spadework.science.seedbed.water.vapour import (
    air_pressure,
    psychrometric,
    vapour_from_minimum,
    vapour_saturation_day,
    vapour_slope,
)
from spadework.working import equation

__all__ = [
    "ground_heat_hour",
    "ground_heat_month",
    "reference_et_day",
    "reference_et_from_range",
    "reference_et_from_weather",
    "reference_et_hour",
]

_K = reference.constants("reference_et")


@equation(
    "month_heat * (temperature_degc - temperature_before_degc)",
    unit="MJ/m2",
    source="fao56_1998",
    locator="equation 44",
    constants=(_K,),
)
def ground_heat_month(temperature_degc: ArrayLike, temperature_before_degc: ArrayLike) -> FloatArray:
    """Heat that goes into the ground on a day of a month that is warmer than the one before.

    Parameters
    ----------
    temperature_degc : array_like
        Mean air temperature of the span [degC], -60 to 60.
    temperature_before_degc : array_like
        Mean air temperature of the month before [degC], -60 to 60.

    Returns
    -------
    ndarray
        Energy of a day [MJ/m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    For single days it is taken as nil.

    Examples
    --------
    >>> round(float(ground_heat_month(30.2, 29.2)), 2)
    0.14
    """
    now = require("temperature_degc", temperature_degc, -60, 60, "degC")
    before = require("temperature_before_degc", temperature_before_degc, -60, 60, "degC")
    return np.asarray(_K.month_heat * (now - before))


@equation(
    "where(solar_hour_mj_m2 > 0, ground_day, ground_night) * net_mj_m2",
    unit="MJ/m2",
    source="fao56_1998",
    locator="equations 45 and 46",
    constants=(_K,),
)
def ground_heat_hour(net_mj_m2: ArrayLike, solar_hour_mj_m2: ArrayLike) -> FloatArray:
    """Heat that goes into the ground in an hour.

    Parameters
    ----------
    net_mj_m2 : array_like
        Heat that the ground and the crop keep, net of what they radiate [MJ/m2], -20 to 60.
    solar_hour_mj_m2 : array_like
        Sun that reaches the ground in the hour [MJ/m2], 0 to 6.

    Returns
    -------
    ndarray
        Energy [MJ/m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A tenth of the net radiation by day; by night half of what is lost comes out of the ground.

    Examples
    --------
    >>> round(float(ground_heat_hour(1.749, 2.45)), 3)
    0.175
    """
    net = require("net_mj_m2", net_mj_m2, -20, 60, "MJ/m2")
    rs = require("solar_hour_mj_m2", solar_hour_mj_m2, 0, 6, "MJ/m2")
    return np.asarray(np.where(rs > 0, _K.ground_day, _K.ground_night) * net)


@equation(
    (
        "(water_mm_mj * slope_kpa_degc * (net_mj_m2 - ground_mj_m2) + psychro_kpa_degc * crop_day / "
        "(temperature_degc + crop_k) * wind_m_s * deficit_kpa) / (slope_kpa_degc + psychro_kpa_degc * "
        "(1 + crop_wind * wind_m_s))"
    ),
    unit="mm",
    source="fao56_1998",
    locator="equation 6",
    constants=(_K,),
)
def reference_et_day(
    temperature_degc: ArrayLike,
    wind_m_s: ArrayLike,
    net_mj_m2: ArrayLike,
    ground_mj_m2: ArrayLike,
    deficit_kpa: ArrayLike,
    slope_kpa_degc: ArrayLike,
    psychro_kpa_degc: ArrayLike,
) -> FloatArray:
    """Evaporation of the reference crop in a day.

    Parameters
    ----------
    temperature_degc : array_like
        Mean air temperature of the span [degC], -60 to 60.
    wind_m_s : array_like
        Wind at 2 m [m/s], 0 to 50.
    net_mj_m2 : array_like
        Heat that the ground and the crop keep, net of what they radiate [MJ/m2], -20 to 60.
    ground_mj_m2 : array_like
        Heat that goes into the ground [MJ/m2], -20 to 30.
    deficit_kpa : array_like
        Vapour pressure that the air lacks of saturation [kPa], 0 to 20.
    slope_kpa_degc : array_like
        Rise of the vapour pressure with temperature [kPa/degC], more than 0, to 10.
    psychro_kpa_degc : array_like
        Psychrometric constant [kPa/degC], more than 0, to 1.

    Returns
    -------
    ndarray
        Depth of water [mm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The combination equation of Penman and Monteith for grass of 12 cm.  Dew can make it negative.

    Examples
    --------
    >>> slope, psychro = 0.2458, 0.06735
    >>> round(float(reference_et_day(30.2, 2, 14.333, 0.14, 1.572, slope, psychro)), 2)
    5.72
    """
    t = require("temperature_degc", temperature_degc, -60, 60, "degC")
    u = require("wind_m_s", wind_m_s, 0, 50, "m/s")
    net = require("net_mj_m2", net_mj_m2, -20, 60, "MJ/m2")
    ground = require("ground_mj_m2", ground_mj_m2, -20, 30, "MJ/m2")
    lack = require("deficit_kpa", deficit_kpa, 0, 20, "kPa")
    d = require("slope_kpa_degc", slope_kpa_degc, 0, 10, "kPa/degC", above=True)
    g = require("psychro_kpa_degc", psychro_kpa_degc, 0, 1, "kPa/degC", above=True)
    heat = _K.water_mm_mj * d * (net - ground)
    drying = g * _K.crop_day / (t + _K.crop_k) * u * lack
    return np.asarray((heat + drying) / (d + g * (1 + _K.crop_wind * u)))


@equation(
    (
        "(water_mm_mj * slope_kpa_degc * (net_mj_m2 - ground_mj_m2) + psychro_kpa_degc * crop_hour / "
        "(temperature_degc + crop_k) * wind_m_s * deficit_kpa) / (slope_kpa_degc + psychro_kpa_degc * "
        "(1 + crop_wind * wind_m_s))"
    ),
    unit="mm",
    source="fao56_1998",
    locator="equation 53",
    constants=(_K,),
)
def reference_et_hour(
    temperature_degc: ArrayLike,
    wind_m_s: ArrayLike,
    net_mj_m2: ArrayLike,
    ground_mj_m2: ArrayLike,
    deficit_kpa: ArrayLike,
    slope_kpa_degc: ArrayLike,
    psychro_kpa_degc: ArrayLike,
) -> FloatArray:
    """Evaporation of the reference crop in an hour.

    Parameters
    ----------
    temperature_degc : array_like
        Mean air temperature of the span [degC], -60 to 60.
    wind_m_s : array_like
        Wind at 2 m [m/s], 0 to 50.
    net_mj_m2 : array_like
        Heat that the ground and the crop keep, net of what they radiate [MJ/m2], -20 to 60.
    ground_mj_m2 : array_like
        Heat that goes into the ground [MJ/m2], -20 to 30.
    deficit_kpa : array_like
        Vapour pressure that the air lacks of saturation [kPa], 0 to 20.
    slope_kpa_degc : array_like
        Rise of the vapour pressure with temperature [kPa/degC], more than 0, to 10.
    psychro_kpa_degc : array_like
        Psychrometric constant [kPa/degC], more than 0, to 1.

    Returns
    -------
    ndarray
        Depth of water [mm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    As by the day, with the drying power of an hour.

    Examples
    --------
    >>> slope, psychro = 0.358, 0.0673
    >>> round(float(reference_et_hour(38, 3.3, 1.749, 0.175, 3.18, slope, psychro)), 2)
    0.63
    """
    t = require("temperature_degc", temperature_degc, -60, 60, "degC")
    u = require("wind_m_s", wind_m_s, 0, 50, "m/s")
    net = require("net_mj_m2", net_mj_m2, -20, 60, "MJ/m2")
    ground = require("ground_mj_m2", ground_mj_m2, -20, 30, "MJ/m2")
    lack = require("deficit_kpa", deficit_kpa, 0, 20, "kPa")
    d = require("slope_kpa_degc", slope_kpa_degc, 0, 10, "kPa/degC", above=True)
    g = require("psychro_kpa_degc", psychro_kpa_degc, 0, 1, "kPa/degC", above=True)
    heat = _K.water_mm_mj * d * (net - ground)
    drying = g * _K.crop_hour / (t + _K.crop_k) * u * lack
    return np.asarray((heat + drying) / (d + g * (1 + _K.crop_wind * u)))


@equation(
    (
        "range_et * (temperature_degc + range_et_degc) * sqrt(max_temperature_degc - "
        "min_temperature_degc) * water_mm_mj * sky_mj_m2"
    ),
    unit="mm",
    source="hargreaves_samani_1985",
    locator="equation 52 of FAO-56",
    constants=(_K,),
)
def reference_et_from_range(
    temperature_degc: ArrayLike, max_temperature_degc: ArrayLike, min_temperature_degc: ArrayLike, sky_mj_m2: ArrayLike
) -> FloatArray:
    """Evaporation of the reference crop in a day from temperatures alone.

    Parameters
    ----------
    temperature_degc : array_like
        Mean air temperature of the span [degC], -60 to 60.
    max_temperature_degc : array_like
        Highest air temperature of the day [degC], -60 to 60.
    min_temperature_degc : array_like
        Lowest air temperature of the day [degC], -60 to 60.
    sky_mj_m2 : array_like
        Sun above the air, from :func:`sky_radiation_day` or :func:`sky_radiation_span` [MJ/m2], 0 to 60.

    Returns
    -------
    ndarray
        Depth of water [mm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the lowest temperature is above the highest.

    Notes
    -----
    For means of five days and more.  It overstates in moist country and understates in wind.

    Examples
    --------
    >>> round(float(reference_et_from_range(20.7, 26.6, 14.8, 40.555)), 1)
    5.0
    """
    t = require("temperature_degc", temperature_degc, -60, 60, "degC")
    hot = require("max_temperature_degc", max_temperature_degc, -60, 60, "degC")
    cold = require("min_temperature_degc", min_temperature_degc, -60, 60, "degC")
    ra = require("sky_mj_m2", sky_mj_m2, 0, 60, "MJ/m2")
    swing = require("max_temperature_degc - min_temperature_degc", hot - cold, 0, 60, "degC")
    return np.asarray(_K.range_et * (t + _K.range_et_degc) * np.sqrt(swing) * _K.water_mm_mj * ra)


@equation(
    (
        "evaporation of the reference crop in a day, with light from the range of temperature, vapour "
        "from the lowest temperature and a usual wind where these are unknown"
    ),
    unit="mm",
    source="fao56_1998",
    locator="chapter 4",
    constants=(_K,),
    in_words=True,
)
def reference_et_from_weather(
    max_temperature_degc: ArrayLike,
    min_temperature_degc: ArrayLike,
    latitude_deg: ArrayLike,
    day_of_year: ArrayLike,
    altitude_m: ArrayLike,
    solar_mj_m2: ArrayLike | None = None,
    vapour_kpa: ArrayLike | None = None,
    wind_known_m_s: ArrayLike | None = None,
    range_root_factor: ArrayLike | None = None,
) -> FloatArray:
    """Evaporation of the reference crop in a day from whatever was measured.

    Parameters
    ----------
    max_temperature_degc : array_like
        Highest air temperature of the day [degC], -60 to 60.
    min_temperature_degc : array_like
        Lowest air temperature of the day [degC], -60 to 60.
    latitude_deg : array_like
        Latitude, north positive [deg], -90 to 90.
    day_of_year : array_like
        Day of the year, the first of January being 1 [d], 1 to 366.
    altitude_m : array_like
        Height above the sea [m], -430 to 6000.
    solar_mj_m2 : array_like, optional
        Sun that reaches the ground [MJ/m2], 0 to 60; none where it was not measured.
    vapour_kpa : array_like, optional
        Vapour pressure of the air [kPa], 0 to 20; none where no humidity was measured.
    wind_known_m_s : array_like, optional
        Wind at 2 m [m/s], 0 to 50; none where it was not measured.
    range_root_factor : array_like, optional
        Light per root of the range of temperature [1], 0.05 to 0.4; none for inland.

    Returns
    -------
    ndarray
        Depth of water [mm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the sun does not rise, the night is warmer than the day, or the
        air holds more vapour than it can.

    Notes
    -----
    Heat that goes into the ground is taken as nil, as for single days.  Measured light is far better than its
    stand-in: use it where it is known.

    Examples
    --------
    >>> round(float(reference_et_from_weather(26.6, 14.8, 45.717, 196, 200)), 2)
    4.56
    """
    hot = require("max_temperature_degc", max_temperature_degc, -60, 60, "degC")
    cold = require("min_temperature_degc", min_temperature_degc, -60, 60, "degC")
    f = require("latitude_deg", latitude_deg, -90, 90, "deg")
    j = require("day_of_year", day_of_year, 1, 366, "d")
    z = require("altitude_m", altitude_m, -430, 6000, "m")
    sky = require("sky_mj_m2", sky_radiation_day(f, j), 0, 60, "MJ/m2", above=True)
    factor = _K.range_inland if range_root_factor is None else range_root_factor
    light = solar_from_temperatures(hot, cold, sky, factor) if solar_mj_m2 is None else solar_mj_m2
    rs = require("solar_mj_m2", light, 0, 60, "MJ/m2")
    e = require("vapour_kpa", vapour_from_minimum(cold) if vapour_kpa is None else vapour_kpa, 0, 20, "kPa")
    u = require("wind_known_m_s", _K.wind_unknown if wind_known_m_s is None else wind_known_m_s, 0, 50, "m/s")
    bright = clear_sky_ratio(rs, clear_sky(z, sky))
    net = net_short_wave(rs) - net_long_wave_day(hot, cold, e, bright)
    lack = require("saturation less vapour_kpa", vapour_saturation_day(hot, cold) - e, 0, 20, "kPa")
    mean = (hot + cold) / 2
    gamma = psychrometric(air_pressure(z))
    return reference_et_day(mean, u, net, 0, lack, vapour_slope(mean), gamma)
