"""Heat that a seed gathers: temperature over a base, hour by hour, in degree days.

Near the base the hours matter: a day whose mean lies just over it has warm hours well over it, and the mean of the day
counts far too little.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "days_to_heat",
    "heat_by_mean",
    "heat_course",
    "heat_in_hour",
    "heat_of_sine_day",
    "moisture_to_germinate",
]

_K = reference.constants("emergence")
_HOURS = 24


@equation(
    "maximum(minimum(temperature_degc, cap_degc) - base_degc, 0) / 24",
    unit="degC d",
    source="physics",
    locator="definition of degree days",
)
def heat_in_hour(temperature_degc: ArrayLike, base_degc: ArrayLike, cap_degc: ArrayLike) -> FloatArray:
    """Heat of one hour.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature at the depth of the seed [degC], -40 to 60.
    base_degc : array_like
        Temperature below which nothing is counted [degC], -5 to 20.
    cap_degc : array_like
        Temperature above which no more is counted, above `base_degc` [degC], 0 to 60.

    Returns
    -------
    ndarray
        Heat [degC d], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the cap is not over the base.

    Notes
    -----
    Nothing is taken away for hours that are too hot.

    Examples
    --------
    >>> float(heat_in_hour(16, 10, 30))
    0.25
    """
    t = require("temperature_degc", temperature_degc, -40, 60, "degC")
    low = require("base_degc", base_degc, -5, 20, "degC")
    high = require("cap_degc", cap_degc, 0, 60, "degC")
    require("cap_degc - base_degc", high - low, 0, 65, "degC", above=True)
    return np.asarray(np.maximum(np.minimum(t, high) - low, 0) / _HOURS)


@equation(
    "maximum(minimum(mean_degc, cap_degc) - base_degc, 0)",
    unit="degC d",
    source="physics",
    locator="definition of degree days",
)
def heat_by_mean(mean_degc: ArrayLike, base_degc: ArrayLike, cap_degc: ArrayLike) -> FloatArray:
    """Heat of one day by its mean temperature.

    Parameters
    ----------
    mean_degc : array_like
        Mean temperature of the day [degC], -40 to 60.
    base_degc : array_like
        Temperature below which nothing is counted [degC], -5 to 20.
    cap_degc : array_like
        Temperature above which no more is counted, above `base_degc` [degC], 0 to 60.

    Returns
    -------
    ndarray
        Heat [degC d], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the cap is not over the base.

    Notes
    -----
    Too little near the base; see :func:`heat_of_sine_day`.

    Examples
    --------
    >>> float(heat_by_mean(12, 10, 30))
    2.0
    """
    t = require("mean_degc", mean_degc, -40, 60, "degC")
    low = require("base_degc", base_degc, -5, 20, "degC")
    high = require("cap_degc", cap_degc, 0, 60, "degC")
    require("cap_degc - base_degc", high - low, 0, 65, "degC", above=True)
    return np.maximum(np.minimum(t, high) - low, 0)


@equation(
    "mean over the day of what a sine wave of temperature stands over the base",
    unit="degC d",
    source="baskerville_emin_1969",
    in_words=True,
)
def heat_of_sine_day(mean_degc: ArrayLike, swing_degc: ArrayLike, base_degc: ArrayLike) -> FloatArray:
    """Heat of one day whose temperature rises and falls as a sine wave.

    Parameters
    ----------
    mean_degc : array_like
        Mean temperature of the day [degC], -40 to 60.
    swing_degc : array_like
        Highest temperature over the mean of the day [degC], 0 to 40.
    base_degc : array_like
        Temperature below which nothing is counted [degC], -5 to 20.

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
    With b the angle at which the wave crosses the base, ((m - base) (pi/2 - b) + a cos b) / pi.  Without a cap.

    Examples
    --------
    >>> round(float(heat_of_sine_day(12, 4, 10)), 2)
    2.44
    """
    m = require("mean_degc", mean_degc, -40, 60, "degC")
    a = require("swing_degc", swing_degc, 0, 40, "degC")
    low = require("base_degc", base_degc, -5, 20, "degC")
    over = np.asarray(m - low)
    crosses = np.abs(over) < a
    angle = np.arcsin(np.where(crosses, -over, 0) / np.where(crosses, a, 1))
    crossing = (over * (np.pi / 2 - angle) + a * np.cos(angle)) / np.pi
    return np.where(crosses, crossing, np.maximum(over, 0))


@equation(
    "running sum of the heat of the hours in which the seed zone is moist enough",
    unit="degC d",
    source="physics",
    locator="definition of degree days",
    in_words=True,
)
def heat_course(
    temperature_degc: ArrayLike, base_degc: ArrayLike, cap_degc: ArrayLike, moist: ArrayLike = 1.0
) -> FloatArray:
    """Heat gathered hour by hour.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature at the depth of the seed [degC], -40 to 60.
    base_degc : array_like
        Temperature below which nothing is counted [degC], -5 to 20.
    cap_degc : array_like
        Temperature above which no more is counted, above `base_degc` [degC], 0 to 60.
    moist : array_like
        1 where the seed zone is moist enough, else 0 [1], 0 to 1. Hours along the last axis, or one for all.

    Returns
    -------
    ndarray
        Heat at the end of each hour; hours along the last axis [degC d].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the cap is not over the base.
    ValueError
        If there are no hours.

    Notes
    -----
    Base and cap have the shape of the axes before the hours.  That nothing is gathered in dry hours is our choice;
    see :func:`moisture_to_germinate`.

    Examples
    --------
    >>> heat_course([8.0, 12.0, 16.0, 12.0], 10, 30).round(3).tolist()
    [0.0, 0.083, 0.333, 0.417]
    """
    t = require("temperature_degc", temperature_degc, -40, 60, "degC")
    low = require("base_degc", base_degc, -5, 20, "degC")
    high = require("cap_degc", cap_degc, 0, 60, "degC")
    wet = require("moist", moist, 0, 1)
    hours = require("temperature_degc", t, -40, 60, "degC")
    if not hours.ndim:
        raise ValueError("`temperature_degc` must have hours along its last axis")
    step = heat_in_hour(hours, np.asarray(low)[..., np.newaxis], np.asarray(high)[..., np.newaxis])
    return np.cumsum(step * (wet if wet.ndim else wet[..., np.newaxis]), axis=-1)


@equation(
    ("time at which the gathered heat passes the wanted, evenly within the hour; without end where it never does"),
    unit="d",
    source="physics",
    in_words=True,
)
def days_to_heat(heat_course_degc_d: ArrayLike, wanted_degc_d: ArrayLike) -> FloatArray:
    """Days from sowing to a heat.

    Parameters
    ----------
    heat_course_degc_d : array_like
        Heat gathered since sowing, at the end of each hour; hours along the last axis [degC d], 0 to 100 000.
    wanted_degc_d : array_like
        Heat to be reached [degC d], 0 to 10 000.

    Returns
    -------
    ndarray
        Days; infinite where the heat is never reached [d], shape of the axes before the hours.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If there are no hours.

    Notes
    -----
    The heat of an hour comes evenly.

    Examples
    --------
    >>> float(days_to_heat(heat_course([16.0] * 48, 10, 30), 9.0))
    1.5
    """
    course = require("heat_course_degc_d", heat_course_degc_d, 0, 100_000, "degC d")
    want = require("wanted_degc_d", wanted_degc_d, 0, 10_000, "degC d")
    if not course.ndim:
        raise ValueError("`heat_course_degc_d` must have hours along its last axis")
    goal = np.asarray(want)[..., np.newaxis]
    below = (course < goal).sum(axis=-1)
    last = course.shape[-1] - 1
    full = np.broadcast_to(course, (*below.shape, last + 1))
    place = np.minimum(below, last)[..., np.newaxis]
    after = np.take_along_axis(full, place, axis=-1)[..., 0]
    before = np.where(below > 0, np.take_along_axis(full, np.maximum(place - 1, 0), axis=-1)[..., 0], 0.0)
    rise = after - before
    part = np.where(rise > 0, (want - before) / np.where(rise > 0, rise, 1), 0.0)
    return np.where(below > last, np.inf, np.where(want <= 0, 0.0, (below + part) / _HOURS))


@equation(
    "wilting_share + moist_share * (field_capacity_share - wilting_share)", unit="1", source="choice", constants=(_K,)
)
def moisture_to_germinate(field_capacity_share: ArrayLike, wilting_share: ArrayLike) -> FloatArray:
    """Moisture of the seed zone below which no seed is taken to germinate.

    Parameters
    ----------
    field_capacity_share : array_like
        Moisture at field capacity, by volume [1], 0 to 1.
    wilting_share : array_like
        Moisture at wilting, by volume [1], 0 to 1.

    Returns
    -------
    ndarray
        Moisture by volume [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the soil would hold more at wilting than at field capacity.

    Notes
    -----
    A tenth of the water between wilting and field capacity: our choice.

    Examples
    --------
    >>> round(float(moisture_to_germinate(0.25, 0.12)), 3)
    0.133
    """
    fc = require("field_capacity_share", field_capacity_share, 0, 1)
    wp = require("wilting_share", wilting_share, 0, 1)
    available = require("field_capacity_share - wilting_share", fc - wp, 0, 1)
    return np.asarray(wp + _K.moist_share * available)
