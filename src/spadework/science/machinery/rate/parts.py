"""Field time: how long a hectare takes, part by part, in a field of a given size, length and shape.

Runs go back and forth along the length between two headlands; the headlands are worked across afterwards.  Times are
hours per hectare of the whole field, sorted as a time study sorts them: working, turning, filling or fetching, waiting
for others, and the rest.  The way to the field, setting up, daily service and large repairs are left out, as field
efficiency leaves them out.  The rate of a short trial plot is not the rate of a farm: build it from these parts.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "field_time",
    "lost_time",
    "refill_time",
    "spread_time",
    "turning_time",
    "working_time",
]


@equation(
    "(runs * run_m + headland_runs * headland_run_m) / (1000 * speed_km_h) / area_ha",
    unit="h/ha",
    source="srivastava_2006",
    locator="time components",
)
def working_time(
    runs: ArrayLike,
    run_m: ArrayLike,
    headland_runs: ArrayLike,
    headland_run_m: ArrayLike,
    speed_km_h: ArrayLike,
    area_ha: ArrayLike,
) -> FloatArray:
    """Time with the tools at work, whole runs counted.

    Parameters
    ----------
    runs : array_like
        Runs along the field [1], 1 to 1e9.
    run_m : array_like
        Mean length of a run [m], 0 to 20000.
    headland_runs : array_like
        Runs across, at both ends together [1], 0 to 1e6.
    headland_run_m : array_like
        Length of each, the mean breadth of the field [m], 0 to 10000000.
    speed_km_h : array_like
        Speed at work [km/h], above 0 to 60.
    area_ha : array_like
        Area of the field [ha], above 0 to 100000.

    Returns
    -------
    FloatArray
        Working time [h/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    All metres over the speed, over the area.  The last, narrower run takes as long as the others.  The source, from
    memory, has the runs along a rectangle; headlands and shape are added here.

    Examples
    --------
    >>> float(round(working_time(50, 276, 6, 200, 8, 6.0), 4))
    0.3125
    """
    along = require("runs", runs, 1, 1e9) * require("run_m", run_m, 0, 20_000, "m")
    across = require("headland_runs", headland_runs, 0, 1e6) * require("headland_run_m", headland_run_m, 0, 1e7, "m")
    speed = require("speed_km_h", speed_km_h, 0, 60, "km/h", above=True)
    return (along + across) / (1000 * speed) / require("area_ha", area_ha, 0, 100_000, "ha", above=True)


@equation(
    "(runs - 1 + headland_runs) * turn_s / 3600 / area_ha",
    unit="h/ha",
    source="srivastava_2006",
    locator="time components",
)
def turning_time(runs: ArrayLike, headland_runs: ArrayLike, turn_s: ArrayLike, area_ha: ArrayLike) -> FloatArray:
    """Time of turning from run to run.

    Parameters
    ----------
    runs : array_like
        Runs along the field [1], 1 to 1e9.
    headland_runs : array_like
        Runs across, at both ends together [1], 0 to 1e6.
    turn_s : array_like
        One turn [s], 0 to 3600.
    area_ha : array_like
        Area of the field [ha], above 0 to 100000.

    Returns
    -------
    FloatArray
        Turning time [h/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A turn between every two runs along the field, and one more for each run across.

    Examples
    --------
    >>> float(round(turning_time(50, 6, 18, 6.0), 5))
    0.04583
    """
    turns = require("runs", runs, 1, 1e9) - 1 + require("headland_runs", headland_runs, 0, 1e6)
    turn = require("turn_s", turn_s, 0, 3600, "s")
    return turns * turn / 3600 / require("area_ha", area_ha, 0, 100_000, "ha", above=True)


@equation(
    "dose_m3_ha / tank_m3 * refill_min / 60", unit="h/ha", source="srivastava_2006", locator="losses by area: filling"
)
def refill_time(dose_m3_ha: ArrayLike, tank_m3: ArrayLike, refill_min: ArrayLike) -> FloatArray:
    """Time of fetching slurry, by loads.

    Parameters
    ----------
    dose_m3_ha : array_like
        Dose [m3/ha], 0 to 500.
    tank_m3 : array_like
        Slurry in one load [m3], above 0 to 200.
    refill_min : array_like
        Time from the last to the next working metre [min], 0 to 1440.

    Returns
    -------
    FloatArray
        Refill time [h/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Loads per hectare times refill time, on the average of many loads: a last load driven half empty is not counted.

    Examples
    --------
    >>> float(round(refill_time(40, 18, 14.2), 3))
    0.526
    """
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha")
    tank = require("tank_m3", tank_m3, 0, 200, "m3", above=True)
    return dose / tank * require("refill_min", refill_min, 0, 1440, "min") / 60


@equation("working_h_ha * lost_share", unit="h/ha", source="srivastava_2006", locator="losses by operating time")
def lost_time(working_h_ha: ArrayLike, lost_share: ArrayLike) -> FloatArray:
    """Time lost to rest, adjusting and clearing.

    Parameters
    ----------
    working_h_ha : array_like
        Working time [h/ha], 0 to 100.
    lost_share : array_like
        Lost per working time [1], 0 to 5; table ``field_work``.

    Returns
    -------
    FloatArray
        Lost time [h/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The share itself is our own choice and belongs to crew and field.

    Examples
    --------
    >>> float(round(lost_time(0.5, 0.06), 3))
    0.03
    """
    working = require("working_h_ha", working_h_ha, 0, 100, "h/ha")
    return working * require("lost_share", lost_share, 0, 5)


@equation(
    "working_h_ha + turning_h_ha + refill_h_ha + waiting_h_ha + lost_h_ha",
    unit="h/ha",
    source="srivastava_2006",
    locator="time components",
)
def field_time(
    working_h_ha: ArrayLike,
    turning_h_ha: ArrayLike,
    refill_h_ha: ArrayLike,
    waiting_h_ha: ArrayLike,
    lost_h_ha: ArrayLike,
) -> FloatArray:
    """Time that a hectare takes in all.

    Parameters
    ----------
    working_h_ha : array_like
        Working time [h/ha], 0 to 100.
    turning_h_ha : array_like
        Turning time [h/ha], 0 to 100.
    refill_h_ha : array_like
        Filling, or fetching slurry [h/ha], 0 to 100.
    waiting_h_ha : array_like
        Standing because slurry has not come yet [h/ha], 0 to 100.
    lost_h_ha : array_like
        Lost time [h/ha], 0 to 100.

    Returns
    -------
    FloatArray
        Field time [h/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A plain sum of the parts.

    Examples
    --------
    >>> float(round(field_time(0.3125, 0.0458, 0, 0.1, 0.0188), 4))
    0.4771
    """
    working = require("working_h_ha", working_h_ha, 0, 100, "h/ha")
    turning = require("turning_h_ha", turning_h_ha, 0, 100, "h/ha")
    refill = require("refill_h_ha", refill_h_ha, 0, 100, "h/ha")
    waiting = require("waiting_h_ha", waiting_h_ha, 0, 100, "h/ha")
    return working + turning + refill + waiting + require("lost_h_ha", lost_h_ha, 0, 100, "h/ha")


@equation("working_h_ha + turning_h_ha + lost_h_ha", unit="h/ha", source="physics", locator="sum of times")
def spread_time(working_h_ha: ArrayLike, turning_h_ha: ArrayLike, lost_h_ha: ArrayLike) -> FloatArray:
    """Time of a hectare without slurry or seed to be fetched.

    Parameters
    ----------
    working_h_ha : array_like
        Working [h/ha], 0 to 100.
    turning_h_ha : array_like
        Turning [h/ha], 0 to 100.
    lost_h_ha : array_like
        Resting, adjusting, clearing [h/ha], 0 to 100.

    Returns
    -------
    FloatArray
        Time [h/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> round(float(spread_time(0.2, 0.05, 0.01)), 2)
    0.26
    """
    working = require("working_h_ha", working_h_ha, 0, 100, "h/ha")
    turning = require("turning_h_ha", turning_h_ha, 0, 100, "h/ha")
    return working + turning + require("lost_h_ha", lost_h_ha, 0, 100, "h/ha")
