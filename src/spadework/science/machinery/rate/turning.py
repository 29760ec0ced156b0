"""Turning at the headland: how long the way round is, and how long it lasts.

Elementary geometry of circles of the smallest turning radius.  Lengths are those of the path of the tractor; that a
drawn implement cuts in, and that a steering wheel needs time, is left to the turning radius and speed chosen.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "half_circle_turn_length",
    "loop_turn_length",
    "passes_left_out",
    "reversing_turn_length",
    "skip_offset",
    "turn_length",
    "turn_time",
]

_ROUNDING = 1e-9


def _radius_and_offset(radius_m: ArrayLike, offset_m: ArrayLike) -> tuple[FloatArray, FloatArray]:
    return require("radius_m", radius_m, 0, 50, "m", above=True), require("offset_m", offset_m, 0, 200, "m")


def _three_arcs(radius: FloatArray, offset: FloatArray) -> FloatArray:
    leaning = np.minimum((radius + offset / 2) / (2 * radius), 1)
    return radius * (np.pi + 4 * np.arccos(leaning))


@equation(
    "radius_m times (pi plus four times the angle whose cosine is radius_m plus half of offset_m, over twice radius_m)",
    unit="m",
    source="physics",
    locator="three circles that touch",
    in_words=True,
)
def loop_turn_length(radius_m: ArrayLike, offset_m: ArrayLike) -> FloatArray:
    """Way round a loop, for a next run closer than a half circle reaches.

    Parameters
    ----------
    radius_m : array_like
        Smallest turning radius of the outfit [m], above 0 to 50; table ``field_work``.
    offset_m : array_like
        Sideways distance to the next run [m], 0 to twice the radius.

    Returns
    -------
    FloatArray
        Length of the turn [m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Out to one side by an angle a, round the other way by pi + 2 a, and in by a again, all with the radius r.  The
    centres of the outer arcs lie r beyond either run, that of the middle one 2 r from both, so that
    cos a = (r + offset / 2) / (2 r).  The sum is r (pi + 4 a): the half circle at an offset of 2 r, 7 pi r / 3 back
    into the same run.

    Examples
    --------
    >>> [float(round(x, 2)) for x in loop_turn_length(6.0, [0, 3, 6, 12])]
    [43.98, 40.35, 36.2, 18.85]
    """
    radius, offset = _radius_and_offset(radius_m, offset_m)
    require("offset_m / radius_m", offset / radius, 0, 2)
    return _three_arcs(radius, offset)


@equation(
    "pi * radius_m + offset_m - 2 * radius_m", unit="m", source="physics", locator="half circle and straight piece"
)
def half_circle_turn_length(radius_m: ArrayLike, offset_m: ArrayLike) -> FloatArray:
    """Way round a half circle, with a straight piece where the next run lies further off.

    Parameters
    ----------
    radius_m : array_like
        Smallest turning radius of the outfit [m], above 0 to 50.
    offset_m : array_like
        Sideways distance to the next run [m], twice the radius to 200.

    Returns
    -------
    FloatArray
        Length of the turn [m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Two quarter circles and what is left of the offset between them.

    Examples
    --------
    >>> [float(round(x, 2)) for x in half_circle_turn_length(6.0, [12, 15])]
    [18.85, 21.85]
    """
    radius, offset = _radius_and_offset(radius_m, offset_m)
    require("offset_m / radius_m", offset / radius, 2, np.inf)
    return np.pi * radius + offset - 2 * radius


@equation(
    "the loop of three arcs where offset_m is less than twice radius_m, else the half circle with its straight piece",
    unit="m",
    source="physics",
    locator="circles that touch",
    in_words=True,
)
def turn_length(radius_m: ArrayLike, offset_m: ArrayLike) -> FloatArray:
    """Shortest way into the next run, driving forward only.

    Parameters
    ----------
    radius_m : array_like
        Smallest turning radius of the outfit [m], above 0 to 50.
    offset_m : array_like
        Sideways distance to the next run [m], 0 to 200: the effective width, or more where runs are left out.

    Returns
    -------
    FloatArray
        Length of the turn [m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    :func:`loop_turn_length` below an offset of twice the radius, :func:`half_circle_turn_length` from there on; both
    are pi r where they meet.

    Examples
    --------
    >>> [float(round(x, 2)) for x in turn_length(6.0, [3, 12, 15])]
    [40.35, 18.85, 21.85]
    """
    radius, offset = _radius_and_offset(radius_m, offset_m)
    return _three_arcs(radius, offset) + np.maximum(offset - 2 * radius, 0)


@equation(
    "pi * radius_m + abs(2 * radius_m - offset_m)", unit="m", source="physics", locator="quarter circles, straight back"
)
def reversing_turn_length(radius_m: ArrayLike, offset_m: ArrayLike) -> FloatArray:
    """Way of a turn with a piece driven backwards, for outfits that can reverse.

    Parameters
    ----------
    radius_m : array_like
        Smallest turning radius of the outfit [m], above 0 to 50.
    offset_m : array_like
        Sideways distance to the next run [m], 0 to 200.

    Returns
    -------
    FloatArray
        Length of the turn, forwards and backwards together [m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Forward through a quarter circle towards the next run, straight back along the headland by 2 r - offset, forward
    through a second quarter circle into the run.  Beyond an offset of 2 r the straight piece is driven forwards, and
    the turn is the half circle.  Meant for mounted implements; drawn ones seldom go back straight.

    Examples
    --------
    >>> [float(round(x, 2)) for x in reversing_turn_length(6.0, [3, 6, 12])]
    [27.85, 24.85, 18.85]
    """
    radius, offset = _radius_and_offset(radius_m, offset_m)
    return np.pi * radius + np.abs(2 * radius - offset)


def _steps(radius_m: ArrayLike, width_m: ArrayLike) -> tuple[FloatArray, FloatArray]:
    radius = require("radius_m", radius_m, 0, 50, "m", above=True)
    width = require("width_m", width_m, 0, 60, "m", above=True)
    return np.maximum(np.ceil(2 * radius / width - _ROUNDING), 1), width


@equation(
    "maximum(ceil(2 * radius_m / width_m - 0.000000001), 1) - 1",
    unit="1",
    source="physics",
    locator="widths in the diameter of the turn",
)
def passes_left_out(radius_m: ArrayLike, width_m: ArrayLike) -> FloatArray:
    """How many runs to leave out between one and the next, so that a half circle does.

    Parameters
    ----------
    radius_m : array_like
        Smallest turning radius of the outfit [m], above 0 to 50.
    width_m : array_like
        Effective width [m], above 0 to 60.

    Returns
    -------
    FloatArray
        Whole number of runs, nought where the next one will do [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    One less than the widths in the diameter of the turn, rounded up; a billionth is taken off first.

    Examples
    --------
    >>> passes_left_out(6.0, [3, 5, 12]).tolist()
    [3.0, 2.0, 0.0]
    """
    return _steps(radius_m, width_m)[0] - 1


@equation(
    "maximum(ceil(2 * radius_m / width_m - 0.000000001), 1) * width_m",
    unit="m",
    source="physics",
    locator="widths in the diameter of the turn",
)
def skip_offset(radius_m: ArrayLike, width_m: ArrayLike) -> FloatArray:
    """Sideways distance to the next run where runs are left out.

    Parameters
    ----------
    radius_m : array_like
        Smallest turning radius of the outfit [m], above 0 to 50.
    width_m : array_like
        Effective width [m], above 0 to 60.

    Returns
    -------
    FloatArray
        Offset, twice the radius or more [m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    One more than :func:`passes_left_out`, times the width.  Going out and coming back, every second turn is wider by
    one width, so that the gaps close; that, half a width a turn on average, is not counted.

    Examples
    --------
    >>> skip_offset(6.0, [3, 5, 12]).tolist()
    [12.0, 15.0, 12.0]
    """
    steps, width = _steps(radius_m, width_m)
    return steps * width


@equation("3.6 * length_m / speed_km_h + stops_s", unit="s", source="physics", locator="distance over speed")
def turn_time(length_m: ArrayLike, speed_km_h: ArrayLike, stops_s: ArrayLike) -> FloatArray:
    """Time of one turn.

    Parameters
    ----------
    length_m : array_like
        Length of the turn [m], 0 to 1000.
    speed_km_h : array_like
        Speed in the turn [km/h], above 0 to 30; table ``field_work``.
    stops_s : array_like
        Stopping and changing direction, nought for a turn forwards [s], 0 to 600.

    Returns
    -------
    FloatArray
        Time of the turn [s], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Length over a steady speed, plus the stops.  Driving off the end of the run and up to it again is not in it.

    Examples
    --------
    >>> float(round(turn_time(40.35, 5.0, 0), 1)), float(round(turn_time(27.85, 5.0, 8.0), 1))
    (29.1, 28.1)
    """
    length = require("length_m", length_m, 0, 1000, "m")
    speed = require("speed_km_h", speed_km_h, 0, 30, "km/h", above=True)
    return 3.6 * length / speed + require("stops_s", stops_s, 0, 600, "s")
