"""A field in runs: effective width, breadth and runs from size and shape, and the headlands that a turn needs.

Runs go back and forth along the length, between two headlands of equal depth that are worked across afterwards.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "effective_width",
    "field_breadth",
    "headland_depth",
    "headland_runs",
    "mean_headland_run",
    "mean_run",
    "overlap_width",
    "reversing_turn_reach",
    "runs",
    "turn_reach",
]

_ROUNDING = 1e-9
_LEAST_SHAPE = 0.3


@equation("overlap_m + width_m * overlap_share", unit="m", source="physics", locator="sum")
def overlap_width(width_m: ArrayLike, overlap_m: ArrayLike, overlap_share: ArrayLike) -> FloatArray:
    """Ground worked twice at each join of two runs.

    Parameters
    ----------
    width_m : array_like
        Working width [m], above 0 to 60.
    overlap_m : array_like
        Overlap that does not depend on the width [m], 0 to 60; table ``overlap``.
    overlap_share : array_like
        Overlap in proportion to the width, for tools that throw [1], 0 to 1; table ``overlap``.

    Returns
    -------
    FloatArray
        Overlap [m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Steering decides the first, the pattern of spreading the second; mostly one of them is nil.

    Examples
    --------
    >>> overlap_width([3.0, 12.0], [0.1, 0], [0, 0.15]).round(2).tolist()
    [0.1, 1.8]
    """
    width = require("width_m", width_m, 0, 60, "m", above=True)
    return require("overlap_m", overlap_m, 0, 60, "m") + width * require("overlap_share", overlap_share, 0, 1)


@equation("width_m - overlap_m", unit="m", source="physics", locator="difference")
def effective_width(width_m: ArrayLike, overlap_m: ArrayLike) -> FloatArray:
    """Width by which each run takes the work forward.

    Parameters
    ----------
    width_m : array_like
        Working width [m], above 0 to 60.
    overlap_m : array_like
        Ground worked twice at each join [m], 0 to less than the width.

    Returns
    -------
    FloatArray
        Effective width [m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Width less overlap.  The first run of a field has no neighbour yet; that is not counted.

    Examples
    --------
    >>> float(round(effective_width(3.0, 0.1), 2))
    2.9
    """
    width = require("width_m", width_m, 0, 60, "m", above=True)
    overlap = require("overlap_m", overlap_m, 0, 60, "m")
    require("width_m - overlap_m", width - overlap, 0, 60, "m", above=True)
    return width - overlap


@equation(
    "10000 * area_ha / (length_m * shape_share)", unit="m", source="physics", locator="area of the box around the field"
)
def field_breadth(area_ha: ArrayLike, length_m: ArrayLike, shape_share: ArrayLike) -> FloatArray:
    """Greatest breadth of a field, across the working direction.

    Parameters
    ----------
    area_ha : array_like
        Area of the field [ha], above 0 to 100000.
    length_m : array_like
        Longest run in the working direction, headlands included [m], above 0 to 20000.
    shape_share : array_like
        Area against length times greatest breadth [1], 0.3 to 1: 1 for a rectangle, 0.5 for a triangle.

    Returns
    -------
    FloatArray
        Breadth [m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The field fills that share of the box around it.

    Examples
    --------
    >>> field_breadth(6.0, 300, [1, 0.5]).tolist()
    [200.0, 400.0]
    """
    area = require("area_ha", area_ha, 0, 100_000, "ha", above=True)
    length = require("length_m", length_m, 0, 20_000, "m", above=True)
    return 10_000 * area / (length * require("shape_share", shape_share, _LEAST_SHAPE, 1))


@equation("shape_share * (length_m - 2 * headland_m)", unit="m", source="physics", locator="mean over the breadth")
def mean_run(length_m: ArrayLike, shape_share: ArrayLike, headland_m: ArrayLike) -> FloatArray:
    """Mean length of the runs between the two headlands.

    Parameters
    ----------
    length_m : array_like
        Longest run in the working direction, headlands included [m], above 0 to 20000.
    shape_share : array_like
        Area against length times greatest breadth [1], 0.3 to 1.
    headland_m : array_like
        Depth of one headland [m], 0 to half the length.

    Returns
    -------
    FloatArray
        Mean run [m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range, or the headlands take more than the length.

    Notes
    -----
    Exact for a rectangle.  Elsewhere the headlands are taken to be as long as the mean breadth, so that runs and
    headlands together still make up the area; a triangle comes out right as well.

    Examples
    --------
    >>> mean_run(300, [1, 0.5], 12).tolist()
    [276.0, 138.0]
    """
    length = require("length_m", length_m, 0, 20_000, "m", above=True)
    shape = require("shape_share", shape_share, _LEAST_SHAPE, 1)
    headland = require("headland_m", headland_m, 0, 10_000, "m")
    return shape * require("length_m - 2 * headland_m", length - 2 * headland, 0, 20_000, "m")


@equation(
    "maximum(ceil(breadth_m / width_m - 0.000000001), 1)", unit="1", source="srivastava_2006", locator="time components"
)
def runs(breadth_m: ArrayLike, width_m: ArrayLike) -> FloatArray:
    """How many runs, side by side, cover the breadth of a field.

    Parameters
    ----------
    breadth_m : array_like
        Greatest breadth of the field [m], above 0 to 10000000.
    width_m : array_like
        Effective width [m], above 0 to 60.

    Returns
    -------
    FloatArray
        Whole number of runs [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Breadth over width, rounded up; a billionth is taken off first so that a width which fits exactly is not rounded
    up for its last binary digit.

    Examples
    --------
    >>> runs([200.0, 206.5], [4.0, 6.0]).tolist()
    [50.0, 35.0]
    """
    breadth = require("breadth_m", breadth_m, 0, 1e7, "m", above=True)
    width = require("width_m", width_m, 0, 60, "m", above=True)
    return np.maximum(np.ceil(breadth / width - _ROUNDING), 1)


@equation(
    "radius_m + sqrt(maximum((2 * radius_m) ** 2 - (radius_m + offset_m / 2) ** 2, 0)) + outfit_m",
    unit="m",
    source="physics",
    locator="top of the middle arc",
)
def turn_reach(radius_m: ArrayLike, offset_m: ArrayLike, outfit_m: ArrayLike) -> FloatArray:
    """Depth of ground that a turn forwards needs beyond the end of the run.

    Parameters
    ----------
    radius_m : array_like
        Smallest turning radius of the outfit [m], above 0 to 50.
    offset_m : array_like
        Sideways distance to the next run [m], 0 to 200.
    outfit_m : array_like
        Length of the outfit, driven on before the tools are out [m], 0 to 40; table ``field_work``.

    Returns
    -------
    FloatArray
        Depth [m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The centre of the middle arc lies sqrt((2 r)^2 - (r + offset / 2)^2) beyond the end of the run, its top r further;
    from an offset of 2 r on only r is left.  Half the width of the outfit, which hangs over at the top, is not in it.

    Examples
    --------
    >>> [float(round(x, 2)) for x in turn_reach(6.0, [3, 12], 8.0)]
    [23.37, 14.0]
    """
    radius = require("radius_m", radius_m, 0, 50, "m", above=True)
    offset = require("offset_m", offset_m, 0, 200, "m")
    rise = np.sqrt(np.maximum((2 * radius) ** 2 - (radius + offset / 2) ** 2, 0))
    return radius + rise + require("outfit_m", outfit_m, 0, 40, "m")


@equation("radius_m + outfit_m", unit="m", source="physics", locator="top of the quarter circles")
def reversing_turn_reach(radius_m: ArrayLike, outfit_m: ArrayLike) -> FloatArray:
    """Depth of ground that a turn with reversing needs beyond the end of the run.

    Parameters
    ----------
    radius_m : array_like
        Smallest turning radius of the outfit [m], above 0 to 50.
    outfit_m : array_like
        Length of the outfit, driven on before the tools are out [m], 0 to 40.

    Returns
    -------
    FloatArray
        Depth [m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The straight piece runs along the headland one radius beyond the end of the run, whatever the offset.

    Examples
    --------
    >>> float(reversing_turn_reach(6.0, 8.0))
    14.0
    """
    return require("radius_m", radius_m, 0, 50, "m", above=True) + require("outfit_m", outfit_m, 0, 40, "m")


@equation("ceil(turn_reach_m / width_m - 0.000000001) * width_m", unit="m", source="physics", locator="whole widths")
def headland_depth(turn_reach_m: ArrayLike, width_m: ArrayLike) -> FloatArray:
    """Depth of a headland: as many whole widths as hold the turn.

    Parameters
    ----------
    turn_reach_m : array_like
        Depth that the turn needs [m], 0 to 200.
    width_m : array_like
        Effective width [m], above 0 to 60.

    Returns
    -------
    FloatArray
        Depth of one headland [m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Reach over width, rounded up after a billionth is taken off, times the width.

    Examples
    --------
    >>> headland_depth([23.4, 14.0, 14.0], [3.0, 3.0, 7.0]).tolist()
    [24.0, 15.0, 14.0]
    """
    reach = require("turn_reach_m", turn_reach_m, 0, 200, "m")
    width = require("width_m", width_m, 0, 60, "m", above=True)
    return np.ceil(reach / width - _ROUNDING) * width + 0.0


@equation(
    "2 * ceil(headland_m / width_m - 0.000000001)", unit="1", source="physics", locator="whole widths at both ends"
)
def headland_runs(headland_m: ArrayLike, width_m: ArrayLike) -> FloatArray:
    """How many runs work the headlands at both ends of a field.

    Parameters
    ----------
    headland_m : array_like
        Depth of one headland [m], 0 to 500.
    width_m : array_like
        Effective width [m], above 0 to 60.

    Returns
    -------
    FloatArray
        Whole, even number of runs [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Twice the depth over the width, rounded up after a billionth is taken off.  Headlands that another outfit needed
    may not suit the width; the last run then overlaps.

    Examples
    --------
    >>> headland_runs([0.0, 12.0, 15.0], 6.0).tolist()
    [0.0, 4.0, 6.0]
    """
    depth = require("headland_m", headland_m, 0, 500, "m")
    width = require("width_m", width_m, 0, 60, "m", above=True)
    return 2 * np.ceil(depth / width - _ROUNDING) + 0.0


@equation("breadth_m * shape_share", unit="m", source="physics", locator="area of the headlands")
def mean_headland_run(breadth_m: ArrayLike, shape_share: ArrayLike) -> FloatArray:
    """Length of a run along a headland, mean of both ends.

    Parameters
    ----------
    breadth_m : array_like
        Breadth of the box around the field [m], above 0 to 1e6.
    shape_share : array_like
        Area per area of that box [1], 0.3 to 1.

    Returns
    -------
    FloatArray
        Length [m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    With it, runs and headland runs together cover the area of the field.

    Examples
    --------
    >>> round(float(mean_headland_run(300, 0.9)), 6)
    270.0
    """
    breadth = require("breadth_m", breadth_m, 0, 1e6, "m", above=True)
    return breadth * require("shape_share", shape_share, 0.3, 1)
