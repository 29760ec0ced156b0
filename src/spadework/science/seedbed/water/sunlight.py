"""The sun over a place: how strong, how high and how long it stands, and what it sends above the air.

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
    "daylight_hours",
    "sky_radiation_day",
    "sky_radiation_span",
    "sun_angle",
    "sun_declination",
    "sun_distance_factor",
    "sunset_angle",
]

_K = reference.constants("reference_et")
_HOURS = 24
_MINUTES = 60


@equation(
    "one and a swing over the year that is largest at the turn of the year",
    unit="1",
    source="fao56_1998",
    locator="equation 23",
    constants=(_K,),
    in_words=True,
)
def sun_distance_factor(day_of_year: ArrayLike) -> FloatArray:
    """Strength of the sun for its distance on a day of the year.

    Parameters
    ----------
    day_of_year : array_like
        Day of the year, the first of January being 1 [d], 1 to 366.

    Returns
    -------
    ndarray
        Factor, 0.967 to 1.033 [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    1 + 0.033 cos(2 pi J / 365).

    Examples
    --------
    >>> round(float(sun_distance_factor(246)), 3)
    0.985
    """
    j = require("day_of_year", day_of_year, 1, 366, "d")
    return np.asarray(1 + _K.orbit * np.cos(2 * np.pi * j / _K.year_days))


@equation(
    "a sine over the year, of the tilt of the earth",
    unit="rad",
    source="fao56_1998",
    locator="equation 24",
    constants=(_K,),
    in_words=True,
)
def sun_declination(day_of_year: ArrayLike) -> FloatArray:
    """Height of the sun over the equator on a day of the year.

    Parameters
    ----------
    day_of_year : array_like
        Day of the year, the first of January being 1 [d], 1 to 366.

    Returns
    -------
    ndarray
        Angle [rad], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    0.409 sin(2 pi J / 365 - 1.39).

    Examples
    --------
    >>> round(float(sun_declination(246)), 3)
    0.12
    """
    j = require("day_of_year", day_of_year, 1, 366, "d")
    return np.asarray(_K.tilt_rad * np.sin(2 * np.pi * j / _K.year_days - _K.tilt_phase_rad))


@equation(
    "the angle whose cosine is less the product of the tangents of latitude and declination",
    unit="rad",
    source="fao56_1998",
    locator="equation 25",
    constants=(_K,),
    in_words=True,
)
def sunset_angle(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> FloatArray:
    """Angle of the sun from noon when it sets.

    Parameters
    ----------
    latitude_deg : array_like
        Latitude, north positive [deg], -90 to 90.
    day_of_year : array_like
        Day of the year, the first of January being 1 [d], 1 to 366.

    Returns
    -------
    ndarray
        Angle, 0 to pi [rad], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    arccos(-tan f tan d).  Where the sun never sets it is pi, where it never rises 0.

    Examples
    --------
    >>> round(float(sunset_angle(-20, 246)), 3)
    1.527
    """
    f = require("latitude_deg", latitude_deg, -90, 90, "deg")
    j = require("day_of_year", day_of_year, 1, 366, "d")
    return np.asarray(np.arccos(np.clip(-np.tan(np.radians(f)) * np.tan(sun_declination(j)), -1, 1)))


@equation(
    "24 hours by the share of the full turn between sunrise and sunset",
    unit="h",
    source="fao56_1998",
    locator="equation 34",
    constants=(_K,),
    in_words=True,
)
def daylight_hours(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> FloatArray:
    """Hours from sunrise to sunset.

    Parameters
    ----------
    latitude_deg : array_like
        Latitude, north positive [deg], -90 to 90.
    day_of_year : array_like
        Day of the year, the first of January being 1 [d], 1 to 366.

    Returns
    -------
    ndarray
        Hours [h], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    24 w / pi.  Without twilight.

    Examples
    --------
    >>> round(float(daylight_hours(-20, 246)), 1)
    11.7
    """
    f = require("latitude_deg", latitude_deg, -90, 90, "deg")
    j = require("day_of_year", day_of_year, 1, 366, "d")
    return np.asarray(_HOURS / np.pi * sunset_angle(f, j))


@equation(
    "the sun above the air, summed from sunrise to sunset",
    unit="MJ/m2",
    source="fao56_1998",
    locator="equation 21",
    constants=(_K,),
    in_words=True,
)
def sky_radiation_day(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> FloatArray:
    """Sun above the air in a day.

    Parameters
    ----------
    latitude_deg : array_like
        Latitude, north positive [deg], -90 to 90.
    day_of_year : array_like
        Day of the year, the first of January being 1 [d], 1 to 366.

    Returns
    -------
    ndarray
        Energy of the day [MJ/m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Ra = 24 60 / pi G dr (w sin f sin d + cos f cos d sin w).

    Examples
    --------
    >>> round(float(sky_radiation_day(-20, 246)), 1)
    32.2
    """
    f = require("latitude_deg", latitude_deg, -90, 90, "deg")
    j = require("day_of_year", day_of_year, 1, 366, "d")
    phi, tilt, set_angle = np.radians(f), sun_declination(j), sunset_angle(f, j)
    height = set_angle * np.sin(phi) * np.sin(tilt) + np.cos(phi) * np.cos(tilt) * np.sin(set_angle)
    minutes = _HOURS * _MINUTES
    return np.asarray(minutes / np.pi * _K.solar_mj_m2_min * sun_distance_factor(j) * height)


@equation(
    "angle of the sun from noon, by the clock, the place in the time zone and the season",
    unit="rad",
    source="fao56_1998",
    locator="equations 31 to 33",
    constants=(_K,),
    in_words=True,
)
def sun_angle(
    clock_h: ArrayLike, longitude_deg: ArrayLike, zone_longitude_deg: ArrayLike, day_of_year: ArrayLike
) -> FloatArray:
    """Angle of the sun from noon at a time of the clock.

    Parameters
    ----------
    clock_h : array_like
        Standard time at the middle of the span [h], 0 to 24.
    longitude_deg : array_like
        Longitude of the place, east positive [deg], -180 to 180.
    zone_longitude_deg : array_like
        Longitude in the middle of the time zone, east positive [deg], -180 to 180.
    day_of_year : array_like
        Day of the year, the first of January being 1 [d], 1 to 366.

    Returns
    -------
    ndarray
        Angle, afternoon positive [rad], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    pi / 12 (t + (L - Lz) / 15 + Sc - 12): a degree of longitude is four minutes, and Sc is the correction for the
    season.  Standard time, not summer time.

    Examples
    --------
    >>> round(float(sun_angle(14.5, -16.25, -15, 274)), 3)
    0.682
    """
    t = require("clock_h", clock_h, 0, 24, "h")
    lon = require("longitude_deg", longitude_deg, -180, 180, "deg")
    zone = require("zone_longitude_deg", zone_longitude_deg, -180, 180, "deg")
    j = require("day_of_year", day_of_year, 1, 366, "d")
    b = 2 * np.pi * (j - _K.season_day) / _K.season_days
    season = _K.season_a * np.sin(2 * b) - _K.season_b * np.cos(b) - _K.season_c * np.sin(b)
    return np.asarray(np.pi / 12 * (t + (lon - zone) / 15 + season - 12))


@equation(
    "the sun above the air, summed over a span of the clock while it is up",
    unit="MJ/m2",
    source="fao56_1998",
    locator="equation 28",
    constants=(_K,),
    in_words=True,
)
def sky_radiation_span(
    latitude_deg: ArrayLike, day_of_year: ArrayLike, middle_angle_rad: ArrayLike, span_h: ArrayLike
) -> FloatArray:
    """Sun above the air in a span of hours, such as one.

    Parameters
    ----------
    latitude_deg : array_like
        Latitude, north positive [deg], -90 to 90.
    day_of_year : array_like
        Day of the year, the first of January being 1 [d], 1 to 366.
    middle_angle_rad : array_like
        Angle of the sun from noon at the middle of the span, afternoon positive [rad], -7 to 7.
    span_h : array_like
        Length of the span [h], more than 0, to 24.

    Returns
    -------
    ndarray
        Energy of the span [MJ/m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    As :func:`sky_radiation_day`, from one angle to the other; the part of the span in which the sun is down counts
    nothing.

    Examples
    --------
    >>> round(float(sky_radiation_span(16.217, 274, 0.682, 1)), 3)
    3.544
    """
    f = require("latitude_deg", latitude_deg, -90, 90, "deg")
    j = require("day_of_year", day_of_year, 1, 366, "d")
    w = require("middle_angle_rad", middle_angle_rad, -7, 7, "rad")
    h = require("span_h", span_h, 0, 24, "h", above=True)
    phi, tilt, set_angle = np.radians(f), sun_declination(j), sunset_angle(f, j)
    half = np.pi * h / _HOURS
    start, end = np.clip(w - half, -set_angle, set_angle), np.clip(w + half, -set_angle, set_angle)
    height = (end - start) * np.sin(phi) * np.sin(tilt) + np.cos(phi) * np.cos(tilt) * (np.sin(end) - np.sin(start))
    minutes = _HOURS * _MINUTES
    return np.asarray(minutes / (2 * np.pi) * _K.solar_mj_m2_min * sun_distance_factor(j) * height)
