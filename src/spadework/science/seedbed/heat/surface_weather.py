"""Weather as the surface of the soil meets it, hour by hour, and what stands in where nothing was measured.

Long waves from the sky, the hold of the air against heat, and a day of hours out of the lowest and the highest
temperature.  What was made up is named with the result.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.science.seedbed.water.radiation import clear_sky, clear_sky_ratio, solar_from_temperatures
from spadework.science.seedbed.water.sunlight import sky_radiation_day, sky_radiation_span
from spadework.science.seedbed.water.vapour import vapour_from_minimum, vapour_saturation
from spadework.working import equation

__all__ = [
    "SurfaceWeather",
    "air_resistance",
    "hourly_weather",
    "sky_long_wave",
]

_K = reference.constants("surface_balance")
_ET = reference.constants("reference_et")
_HOURS = 24


@dataclass(frozen=True)
class SurfaceWeather:
    """Hourly means of the weather; leading axes as given, then hours from midnight of the first day, by the sun.

    Attributes
    ----------
    air_degc, light_w_m2, vapour_kpa, wind_m_s, sky_w_m2 : ndarray
        Air [degC], sunlight on a level surface [W/m2], vapour [kPa], wind [m/s], long waves from the sky [W/m2].
    made_up : tuple of str
        What was not measured, and what stands in for it.
    """

    air_degc: FloatArray
    light_w_m2: FloatArray
    vapour_kpa: FloatArray
    wind_m_s: FloatArray
    sky_w_m2: FloatArray
    made_up: tuple[str, ...]


@equation(
    "(1 - sky_cloud * cloud_share) * sky_factor * (10 * vapour_kpa / (temperature_degc + kelvin_zero)) ** sky_root "
    "* stefan_boltzmann * (temperature_degc + kelvin_zero) ** 4 "
    "+ sky_cloud * cloud_share * stefan_boltzmann * (temperature_degc + kelvin_zero) ** 4",
    unit="W/m2",
    source="brutsaert_1975",
    constants=(_K,),
)
def sky_long_wave(temperature_degc: ArrayLike, vapour_kpa: ArrayLike, cloud_share: ArrayLike = 0.0) -> FloatArray:
    """Work out the long waves that the sky sends down.

    Parameters
    ----------
    temperature_degc : array_like
        Air at 2 m [degC], -40 to 60.
    vapour_kpa : array_like
        Vapour in the air [kPa], more than 0, to 10.
    cloud_share : array_like
        Sky under cloud [1], 0 to 1.

    Returns
    -------
    ndarray
        Long waves [W/m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Clear sky after Brutsaert (1975); cloud as (1 - 0.84 c) of that and 0.84 c of a black sky (Monteith and Unsworth);
    both from memory.

    Examples
    --------
    >>> round(float(sky_long_wave(15, 1.2)))
    308
    """
    kelvin = require("temperature_degc", temperature_degc, -40, 60, "degC") + _K.kelvin_zero
    vapour = require("vapour_kpa", vapour_kpa, 0, 10, "kPa", above=True)
    cloud = _K.sky_cloud * require("cloud_share", cloud_share, 0, 1)
    clear = _K.sky_factor * (10 * vapour / kelvin) ** _K.sky_root
    return np.asarray(((1 - cloud) * clear + cloud) * _K.stefan_boltzmann * kelvin**4)


@equation(
    "log(height_m / roughness_m) * log(height_m / (heat_roughness * roughness_m)) / (karman ** 2 * wind_m_s)",
    unit="s/m",
    source="log_wind",
    constants=(_K,),
)
def air_resistance(wind_m_s: ArrayLike, roughness_m: ArrayLike, height_m: ArrayLike = 2.0) -> FloatArray:
    """Work out how much the air holds heat back between the surface and the height of the instruments.

    Parameters
    ----------
    wind_m_s : array_like
        Wind [m/s], more than 0, to 60; a floor for calms is the caller's to set.
    roughness_m : array_like
        Roughness for wind [m], 1e-5 to 0.2.
    height_m : array_like
        Height of wind and air over the ground [m], 0.5 to 20.

    Returns
    -------
    ndarray
        Resistance [s/m], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Logarithmic wind, neutral air; roughness for heat is a tenth of that for wind.

    Examples
    --------
    >>> round(float(air_resistance(2, 0.01)))
    120
    """
    wind = require("wind_m_s", wind_m_s, 0, 60, "m/s", above=True)
    rough = require("roughness_m", roughness_m, 1e-5, 0.2, "m")
    height = require("height_m", height_m, 0.5, 20, "m")
    return np.asarray(np.log(height / rough) * np.log(height / (_K.heat_roughness * rough)) / (_K.karman**2 * wind))


@equation(
    "air as one wave a day between its lowest and its highest, light by the height of the sun, vapour and wind even "
    "over the day; what is missing from the temperatures, as FAO-56 has it",
    unit="degC",
    source="fao56_1998",
    locator="equations 48 and 50, page on missing data",
    constants=(_K,),
    in_words=True,
)
def hourly_weather(
    min_temperature_degc: ArrayLike,
    max_temperature_degc: ArrayLike,
    latitude_deg: float,
    day_of_year: float,
    *,
    solar_mj_m2: ArrayLike | None = None,
    vapour_kpa: ArrayLike | None = None,
    wind_m_s: ArrayLike | None = None,
    altitude_m: float = 0.0,
) -> SurfaceWeather:
    """Make hours out of days, and name what stands in where nothing was measured.

    Parameters
    ----------
    min_temperature_degc, max_temperature_degc : array_like
        Lowest and highest air temperature [degC], -60 to 60; any leading axes, then days.
    latitude_deg : float
        Latitude, north positive [deg], -66 to 66; the sun must rise and set.
    day_of_year : float
        First of the days, day of the year, the first of January being 1 [d], 1 to 366.
    solar_mj_m2 : array_like, optional
        Sunlight of each day [MJ/m2], 0 to 60.
    vapour_kpa : array_like, optional
        Vapour in the air on each day [kPa], more than 0, to 10; at most what the warmest hour can hold.
    wind_m_s : array_like, optional
        Wind at 2 m on each day [m/s], more than 0, to 50.
    altitude_m : float
        Height above the sea [m], -430 to 6000.

    Returns
    -------
    SurfaceWeather
        Hourly means, and what was made up.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or a night is warmer than its day.

    Notes
    -----
    The air swings in one wave, warmest at the hour of the table, with a jump at midnight from day to day.  Cloud is what is
    missing from a clear day's light.  Light from temperatures is good for weeks, poor for single days.  Wind even
    over the day makes nights too windy.

    Examples
    --------
    >>> week = hourly_weather([8.0] * 7, [18.0] * 7, 52, 130)
    >>> week.air_degc.shape, len(week.made_up)
    ((168,), 3)
    >>> week.made_up[0]
    'sunlight: from the range of temperature (FAO-56, equation 50, inland)'
    """
    cold = np.atleast_1d(require("min_temperature_degc", min_temperature_degc, -60, 60, "degC"))
    hot = np.atleast_1d(require("max_temperature_degc", max_temperature_degc, -60, 60, "degC"))
    require("max_temperature_degc - min_temperature_degc", hot - cold, 0, 60, "degC")
    latitude = float(require("latitude_deg", latitude_deg, -66, 66, "deg"))
    first = float(require("day_of_year", day_of_year, 1, 366, "d"))
    days = np.broadcast_shapes(cold.shape, hot.shape)[-1]
    day = (first - 1 + np.arange(days)) % 365 + 1
    made_up = []
    above = sky_radiation_day(latitude, day)
    if solar_mj_m2 is None:
        light = solar_from_temperatures(hot, cold, above, _ET.range_inland)
        made_up.append("sunlight: from the range of temperature (FAO-56, equation 50, inland)")
    else:
        light = require("solar_mj_m2", solar_mj_m2, 0, 60, "MJ/m2")
    if vapour_kpa is None:
        vapour = vapour_from_minimum(cold)
        made_up.append("vapour: dew point at the lowest temperature (FAO-56, equation 48)")
    else:
        vapour = require("vapour_kpa", vapour_kpa, 0, 10, "kPa", above=True)
        require("vapour_kpa over the most that the air can hold", vapour / vapour_saturation(hot), 0, 1)
    if wind_m_s is None:
        wind = np.asarray(_ET.wind_unknown)
        made_up.append(f"wind: {_ET.wind_unknown:g} m/s (FAO-56, missing data)")
    else:
        wind = require("wind_m_s", wind_m_s, 0, 50, "m/s", above=True)
    middle = np.arange(_HOURS) + 0.5
    mean, swing = (hot + cold) / 2, (hot - cold) / 2
    air = mean[..., np.newaxis] + swing[..., np.newaxis] * np.cos(2 * np.pi * (middle - _K.warmest_h) / _HOURS)
    by_hour = sky_radiation_span(latitude, day[:, np.newaxis], (middle - _HOURS / 2) * np.pi * 2 / _HOURS, 1)
    share = by_hour / by_hour.sum(axis=-1, keepdims=True)
    watts = 1e6 / 3600 * np.asarray(light)[..., np.newaxis] * share
    bright = clear_sky_ratio(light, clear_sky(altitude_m, above))
    cloud = np.clip(1 + _ET.cloud_b - _ET.cloud_a * bright, 0, 1)
    damp = np.broadcast_to(np.asarray(vapour)[..., np.newaxis], air.shape)
    sky = sky_long_wave(air, damp, np.asarray(cloud)[..., np.newaxis])
    breeze = np.broadcast_to(np.asarray(wind)[..., np.newaxis], air.shape)

    def in_a_row(part: FloatArray) -> FloatArray:
        whole = np.broadcast_to(part, air.shape)
        return whole.reshape(*whole.shape[:-2], -1)

    hourly = [in_a_row(part) for part in (air, watts, damp, breeze, sky)]
    return SurfaceWeather(hourly[0], hourly[1], hourly[2], hourly[3], hourly[4], tuple(made_up))
