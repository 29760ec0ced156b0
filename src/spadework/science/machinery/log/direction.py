"""Courses: over the ground, the main direction of a field, and how far off it one is."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["course", "direction_strength", "main_direction", "off_direction"]

_FAR = 1e7


@equation("angle of the speed from north, clockwise", unit="deg", source="physics", in_words=True)
def course(east_m_s: ArrayLike, north_m_s: ArrayLike) -> FloatArray:
    """Course over the ground.

    Parameters
    ----------
    east_m_s : array_like
        Speed towards the east [m/s], -100 to 100.
    north_m_s : array_like
        Speed towards the north [m/s], -100 to 100.

    Returns
    -------
    FloatArray
        Degrees clockwise from north [deg], 0 to less than 360, in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> course([0, 1, 0, -1], [1, 0, -1, 0]).tolist()
    [0.0, 90.0, 180.0, 270.0]
    """
    east = require("east_m_s", east_m_s, -100, 100, "m/s")
    return _round(np.degrees(np.arctan2(east, require("north_m_s", north_m_s, -100, 100, "m/s"))), 360)


@equation(
    "half the angle of the sum of the doubled courses, each weighted by its way", unit="deg", source="physics",
    locator="mean of axes", in_words=True,
)  # fmt: skip
def main_direction(course_deg: ArrayLike, way_m: ArrayLike) -> FloatArray:
    """Direction that most of the way was driven in, up and down alike.

    Parameters
    ----------
    course_deg : array_like
        Courses [deg], -360 to 720.
    way_m : array_like
        Way driven on each [m], 0 to 1e7.

    Returns
    -------
    FloatArray
        Degrees clockwise from north [deg], 0 to less than 180; one number.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Doubling the angle makes up and down the same.

    Examples
    --------
    >>> float(main_direction([10, 190, 12, 192], [100, 100, 100, 100]).round(6))
    11.0
    """
    east, north = _doubled(course_deg, way_m)
    return _round(np.degrees(np.arctan2(east, north)) / 2, 180)


@equation(
    "length of the sum of the doubled courses, each weighted by its way, over the whole way", unit="1",
    source="physics", locator="mean of axes", in_words=True,
)  # fmt: skip
def direction_strength(course_deg: ArrayLike, way_m: ArrayLike) -> FloatArray:
    """How well the courses agree with one main direction.

    Parameters
    ----------
    course_deg : array_like
        Courses [deg], -360 to 720.
    way_m : array_like
        Way driven on each [m], 0 to 1e7.

    Returns
    -------
    FloatArray
        1 where all are parallel, 0 where they have no direction in common [1]; one number.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(direction_strength([10, 190], [50, 50]).round(6)), float(direction_strength([0, 90], [50, 50]).round(6))
    (1.0, 0.0)
    """
    whole = float(np.sum(require("way_m", way_m, 0, _FAR, "m")))
    return np.asarray(np.hypot(*_doubled(course_deg, way_m)) / whole if whole else 0.0)


def _round(angle: ArrayLike, whole: float) -> FloatArray:
    """Return an angle from 0 to less than the whole, also where rounding would make it the whole."""
    found = np.asarray(angle, np.float64) % whole
    return np.asarray(np.where(found >= whole, 0.0, found))


def _doubled(course_deg: ArrayLike, way_m: ArrayLike) -> tuple[float, float]:
    angle = 2 * np.radians(require("course_deg", course_deg, -360, 720, "deg"))
    way = require("way_m", way_m, 0, _FAR, "m")
    return float(np.sum(way * np.sin(angle))), float(np.sum(way * np.cos(angle)))


@equation(
    "abs(course_deg - direction_deg - 180 * floor((course_deg - direction_deg) / 180 + 0.5))",
    unit="deg",
    source="physics",
    locator="difference of axes",
)
def off_direction(course_deg: ArrayLike, direction_deg: ArrayLike) -> FloatArray:
    """Angle between a course and a direction, up and down alike.

    Parameters
    ----------
    course_deg : array_like
        Course [deg], -360 to 720.
    direction_deg : array_like
        Direction [deg], -360 to 720.

    Returns
    -------
    FloatArray
        Angle [deg], 0 to 90, in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> off_direction([10, 190, 100, 350], 5).tolist()
    [5.0, 5.0, 85.0, 15.0]
    """
    apart = require("course_deg", course_deg, -360, 720, "deg") - require(
        "direction_deg", direction_deg, -360, 720, "deg"
    )
    return np.asarray(np.abs(apart - 180 * np.floor(apart / 180 + 0.5)))
