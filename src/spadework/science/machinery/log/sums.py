"""Sums of a time study: field efficiency and its parts, and the rate on another field.

The rate of a short plot is not the rate of a farm: turns weigh too much and filling too little.  So the parts are
measured on the plot and put together for the field that is asked about.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.science.machinery.rate.capacity import work_rate
from spadework.science.machinery.rate.parts import field_time, lost_time, turning_time, working_time
from spadework.science.machinery.rate.runs import field_breadth, headland_runs, mean_headland_run, mean_run, runs
from spadework.working import equation

__all__ = [
    "efficiency_of_parts",
    "rate_of_rectangle",
    "rate_on_field",
    "rectangle_time",
    "time_efficiency",
    "width_use",
]


@equation("working_h / field_h", unit="1", source="asae_s495", locator="definition")
def time_efficiency(working_h: ArrayLike, field_h: ArrayLike) -> FloatArray:
    """Share of the field time that is work.

    Parameters
    ----------
    working_h : array_like
        Time with the tools at work [h], 0 to 1e5.
    field_h : array_like
        Field time: work, turns, filling and stops, without the road [h], above 0 to 1e5.

    Returns
    -------
    FloatArray
        Share [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range, or the work takes longer than the field time.

    Examples
    --------
    >>> float(time_efficiency(4.0, 5.0))
    0.8
    """
    whole = require("field_h", field_h, 0, 1e5, "h", above=True)
    share = require("working_h", working_h, 0, 1e5, "h") / whole
    return require("working_h / field_h", share, 0, 1 + 1e-9)


@equation("10000 * ground_ha / (way_m * width_m)", unit="1", source="asae_s495", locator="definition")
def width_use(ground_ha: ArrayLike, way_m: ArrayLike, width_m: ArrayLike) -> FloatArray:
    """Share of the working width that covers new ground.

    Parameters
    ----------
    ground_ha : array_like
        Ground covered, what is worked twice counted once [ha], 0 to 1e5.
    way_m : array_like
        Way with the tools at work [m], above 0 to 1e8.
    width_m : array_like
        Working width [m], above 0 to 60.

    Returns
    -------
    FloatArray
        Share [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(width_use(0.95, 10000 / 6, 6).round(2))
    0.95
    """
    way = require("way_m", way_m, 0, 1e8, "m", above=True)
    width = require("width_m", width_m, 0, 60, "m", above=True)
    return np.asarray(10_000 * require("ground_ha", ground_ha, 0, 1e5, "ha") / (way * width))


@equation("time_share * width_share", unit="1", source="asae_s495", locator="definition")
def efficiency_of_parts(time_share: ArrayLike, width_share: ArrayLike) -> FloatArray:
    """Field efficiency from the time and the width that are used.

    Parameters
    ----------
    time_share : array_like
        Share of the field time that is work [1], 0 to 1.
    width_share : array_like
        Share of the working width that covers new ground [1], 0 to 1.

    Returns
    -------
    FloatArray
        Field efficiency against the measured speed and the full width [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(efficiency_of_parts(0.8, 0.95).round(2))
    0.76
    """
    return require("time_share", time_share, 0, 1) * require("width_share", width_share, 0, 1)


@equation(
    "runs * length_m / (speed_km_h / 3.6) + (runs - 1) * turn_s + loading_s",
    unit="s",
    source="physics",
    locator="sum of times",
)
def rectangle_time(
    runs: ArrayLike, length_m: ArrayLike, speed_km_h: ArrayLike, turn_s: ArrayLike, loading_s: ArrayLike
) -> FloatArray:
    """Time of a rectangle without headlands.

    Parameters
    ----------
    runs : array_like
        Runs along the field [1], 1 to 1e9.
    length_m : array_like
        Length of the field [m], above 0 to 20000.
    speed_km_h : array_like
        Speed at work [km/h], above 0 to 60.
    turn_s : array_like
        One turn [s], 0 to 3600.
    loading_s : array_like
        Filling, all together [s], 0 to 1e7.

    Returns
    -------
    FloatArray
        Time [s], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(rectangle_time(67, 400, 8, 20, 0))
    13380.0
    """
    count = require("runs", runs, 1, 1e9)
    length = require("length_m", length_m, 0, 20_000, "m", above=True)
    speed = require("speed_km_h", speed_km_h, 0, 60, "km/h", above=True) / 3.6
    turning = (count - 1) * require("turn_s", turn_s, 0, 3600, "s")
    return np.asarray(count * length / speed + turning + require("loading_s", loading_s, 0, 1e7, "s"))


@equation(
    "0.36 * length_m * breadth_m / time_s",
    unit="ha/h",
    source="physics",
    locator="area over time",
)
def rate_of_rectangle(length_m: ArrayLike, breadth_m: ArrayLike, time_s: ArrayLike) -> FloatArray:
    """Rate of work on a rectangle.

    Parameters
    ----------
    length_m : array_like
        Length of the field [m], above 0 to 20000.
    breadth_m : array_like
        Breadth of the field [m], above 0 to 20000.
    time_s : array_like
        Time in it [s], above 0 to 1e7.

    Returns
    -------
    FloatArray
        Rate [ha/h], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(rate_of_rectangle(400, 200, 13380).round(3))
    2.152
    """
    area = require("length_m", length_m, 0, 20_000, "m", above=True) * require(
        "breadth_m", breadth_m, 0, 20_000, "m", above=True
    )
    return np.asarray(0.36 * area / require("time_s", time_s, 0, 1e7, "s", above=True))


@equation(
    "one over field_time of working_time, turning_time, refill_h_ha and lost_time, on the runs of that field",
    unit="ha/h",
    source="srivastava_2006",
    locator="time components",
    in_words=True,
)
def rate_on_field(
    speed_km_h: ArrayLike,
    turn_s: ArrayLike,
    width_used_m: ArrayLike,
    lost_share: ArrayLike,
    refill_h_ha: ArrayLike,
    length_m: ArrayLike,
    area_ha: ArrayLike,
    shape_share: ArrayLike = 1.0,
    headland_m: ArrayLike = 0.0,
) -> FloatArray:
    """Rate that an outfit timed on one field has on another.

    Parameters
    ----------
    speed_km_h : array_like
        Speed at work, timed [km/h], above 0 to 60.
    turn_s : array_like
        One turn, timed [s], 0 to 3600.
    width_used_m : array_like
        Width by which each pass takes the work forward [m], above 0 to 60.
    lost_share : array_like
        Stops and other time per time at work [1], 0 to 5.
    refill_h_ha : array_like
        Filling and waiting [h/ha], 0 to 100.
    length_m : array_like
        Longest run of that field, headlands included [m], above 0 to 20000.
    area_ha : array_like
        Its area [ha], above 0 to 100000.
    shape_share : array_like
        Its area against length times greatest breadth [1], 0.3 to 1.
    headland_m : array_like
        Depth of one of its headlands [m], 0 to half the length.

    Returns
    -------
    FloatArray
        Rate [ha/h], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The parts are those of the field time of an estimate.

    Examples
    --------
    >>> float(rate_on_field(8, 20, 3, 0, 0, 400, 8).round(3))
    2.152
    """
    breadth = field_breadth(area_ha, length_m, shape_share)
    along = runs(breadth, width_used_m)
    ends = headland_runs(headland_m, width_used_m)
    working = working_time(
        along,
        mean_run(length_m, shape_share, headland_m),
        ends,
        mean_headland_run(breadth, shape_share),
        speed_km_h,
        area_ha,
    )
    turning = turning_time(along, ends, turn_s, area_ha)
    return work_rate(field_time(working, turning, refill_h_ha, 0.0, lost_time(working, lost_share)))
