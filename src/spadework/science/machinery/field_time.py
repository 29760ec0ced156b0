"""Field time: how long a hectare takes, part by part, and what rate of work that makes.

Times are hours per hectare of the whole field.  The way to the field, daily service and large repairs are left out, as
field efficiency leaves them out.  The rate of a short trial plot is not the rate of a farm: build it from these parts.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "field_time",
    "lost_time",
    "passes_rectangle",
    "refill_time",
    "turning_time_rectangle",
    "working_time_rectangle",
]

_ROUNDING = 1e-9


def _passes(area_ha: FloatArray, length_m: FloatArray, width_m: FloatArray) -> FloatArray:
    return np.ceil(area_ha * 10_000 / (length_m * width_m) - _ROUNDING)


def _rectangle(
    area_ha: ArrayLike, length_m: ArrayLike, width_m: ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray]:
    return (
        require("area_ha", area_ha, 0, 100_000, "ha", above=True),
        require("length_m", length_m, 0, 20_000, "m", above=True),
        require("width_m", width_m, 0, 60, "m", above=True),
    )


@equation(
    "ceil(area_ha * 10000 / (length_m * width_m) - 0.000000001)",
    unit="1",
    source="srivastava_2006",
    locator="time components, rectangular field",
)
def passes_rectangle(area_ha: ArrayLike, length_m: ArrayLike, width_m: ArrayLike) -> FloatArray:
    """Lengths that a machine drives to cover a rectangular field.

    Parameters
    ----------
    area_ha : array_like
        Area of the field [ha], above 0 to 100000.
    length_m : array_like
        Length in the direction of work [m], above 0 to 20000.
    width_m : array_like
        Working width [m], above 0 to 60.

    Returns
    -------
    FloatArray
        Whole number of lengths [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The field's width over the working width, rounded up; a billionth is taken off first so that a width which fits
    exactly is not rounded up for its last binary digit.

    Examples
    --------
    >>> float(passes_rectangle(6.0, 300, 4.0)), float(passes_rectangle(6.4, 310, 6.0))
    (50.0, 35.0)
    """
    return _passes(*_rectangle(area_ha, length_m, width_m))


@equation(
    "ceil(area_ha * 10000 / (length_m * width_m) - 0.000000001) * length_m / (1000 * speed_km_h) / area_ha",
    unit="h/ha",
    source="srivastava_2006",
    locator="time components, rectangular field",
)
def working_time_rectangle(
    area_ha: ArrayLike, length_m: ArrayLike, width_m: ArrayLike, speed_km_h: ArrayLike
) -> FloatArray:
    """Time with the tools in the ground, whole lengths counted.

    Parameters
    ----------
    area_ha : array_like
        Area of the field [ha], above 0 to 100000.
    length_m : array_like
        Length in the direction of work [m], above 0 to 20000.
    width_m : array_like
        Working width [m], above 0 to 60.
    speed_km_h : array_like
        Speed at work [km/h], above 0 to 60.

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
    Lengths x length / speed, over the area.  The last, narrower length takes as long as the others.

    Examples
    --------
    >>> float(round(working_time_rectangle(6.0, 300, 4.0, 8), 4))
    0.3125
    """
    area, length, width = _rectangle(area_ha, length_m, width_m)
    speed = require("speed_km_h", speed_km_h, 0, 60, "km/h", above=True)
    return _passes(area, length, width) * length / (1000 * speed) / area


@equation(
    "(ceil(area_ha * 10000 / (length_m * width_m) - 0.000000001) - 1) * turn_s / 3600 / area_ha",
    unit="h/ha",
    source="srivastava_2006",
    locator="time components, rectangular field",
)
def turning_time_rectangle(
    area_ha: ArrayLike, length_m: ArrayLike, width_m: ArrayLike, turn_s: ArrayLike
) -> FloatArray:
    """Time of turning between the lengths.

    Parameters
    ----------
    area_ha : array_like
        Area of the field [ha], above 0 to 100000.
    length_m : array_like
        Length in the direction of work [m], above 0 to 20000.
    width_m : array_like
        Working width [m], above 0 to 60.
    turn_s : array_like
        One turn [s], 0 to 3600; table ``field_work``.

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
    One turn fewer than lengths, over the area.  The headlands themselves are not worked here.

    Examples
    --------
    >>> float(round(turning_time_rectangle(6.0, 300, 4.0, 18), 5))
    0.04083
    """
    area, length, width = _rectangle(area_ha, length_m, width_m)
    return (_passes(area, length, width) - 1) * require("turn_s", turn_s, 0, 3600, "s") / 3600 / area


@equation(
    "dose_m3_ha / tank_m3 * refill_min / 60", unit="h/ha", source="srivastava_2006", locator="losses by area: filling"
)
def refill_time(dose_m3_ha: ArrayLike, tank_m3: ArrayLike, refill_min: ArrayLike) -> FloatArray:
    """Time of fetching slurry or of waiting for it.

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
    "working_h_ha + turning_h_ha + refill_h_ha + lost_h_ha",
    unit="h/ha",
    source="srivastava_2006",
    locator="time components",
)
def field_time(
    working_h_ha: ArrayLike, turning_h_ha: ArrayLike, refill_h_ha: ArrayLike, lost_h_ha: ArrayLike
) -> FloatArray:
    """Time that a hectare takes in all.

    Parameters
    ----------
    working_h_ha : array_like
        Working time [h/ha], 0 to 100.
    turning_h_ha : array_like
        Turning time [h/ha], 0 to 100.
    refill_h_ha : array_like
        Refill time [h/ha], 0 to 100.
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
    >>> float(round(field_time(0.3125, 0.0408, 0, 0.0188), 4))
    0.3721
    """
    return (
        require("working_h_ha", working_h_ha, 0, 100, "h/ha")
        + require("turning_h_ha", turning_h_ha, 0, 100, "h/ha")
        + require("refill_h_ha", refill_h_ha, 0, 100, "h/ha")
        + require("lost_h_ha", lost_h_ha, 0, 100, "h/ha")
    )
