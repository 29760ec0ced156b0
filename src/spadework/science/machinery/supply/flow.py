"""Supply of slurry in the field: flow, dose and speed, and the length of a load.

Volumes are cubic metres.  A gallon is never meant here: United States and imperial gallons are turned into cubic metres
where text is read.  Loads are what the tank really holds; foam can leave part of it empty.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "dose_from_flow",
    "dose_from_loads",
    "flow_per_row",
    "pump_flow",
    "run_length",
    "speed_for_dose",
]


@equation("dose_m3_ha * width_m * speed_km_h / 600", unit="m3/min", source="physics", locator="volume per time")
def pump_flow(dose_m3_ha: ArrayLike, width_m: ArrayLike, speed_km_h: ArrayLike) -> FloatArray:
    """Flow that a dose takes.

    Parameters
    ----------
    dose_m3_ha : array_like
        Dose [m3/ha], 0 to 500.
    width_m : array_like
        Effective width, overlap taken off [m], above 0 to 60.
    speed_km_h : array_like
        Speed at work [km/h], 0 to 30.

    Returns
    -------
    FloatArray
        Flow [m3/min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Dose x area per minute; 600 turns ha, m and km/h into minutes.

    Examples
    --------
    >>> float(round(pump_flow(40, 6, 7), 3))
    2.8
    """
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha")
    width = require("width_m", width_m, 0, 60, "m", above=True)
    return dose * width * require("speed_km_h", speed_km_h, 0, 30, "km/h") / 600


@equation("600 * flow_m3_min / (width_m * speed_km_h)", unit="m3/ha", source="physics", locator="volume per area")
def dose_from_flow(flow_m3_min: ArrayLike, width_m: ArrayLike, speed_km_h: ArrayLike) -> FloatArray:
    """Dose that a flow gives.

    Parameters
    ----------
    flow_m3_min : array_like
        Flow [m3/min], 0 to 20.
    width_m : array_like
        Effective width, overlap taken off [m], above 0 to 60.
    speed_km_h : array_like
        Speed at work [km/h], above 0 to 30.

    Returns
    -------
    FloatArray
        Dose [m3/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The inverse of :func:`pump_flow`.

    Examples
    --------
    >>> float(round(dose_from_flow(4.85, 11.5, 9.6), 2))
    26.36
    """
    flow = require("flow_m3_min", flow_m3_min, 0, 20, "m3/min")
    width = require("width_m", width_m, 0, 60, "m", above=True)
    return 600 * flow / (width * require("speed_km_h", speed_km_h, 0, 30, "km/h", above=True))


@equation("600 * flow_m3_min / (width_m * dose_m3_ha)", unit="km/h", source="physics", locator="volume per area")
def speed_for_dose(flow_m3_min: ArrayLike, width_m: ArrayLike, dose_m3_ha: ArrayLike) -> FloatArray:
    """Speed at which a flow gives a dose.

    Parameters
    ----------
    flow_m3_min : array_like
        Flow [m3/min], 0 to 20.
    width_m : array_like
        Effective width, overlap taken off [m], above 0 to 60.
    dose_m3_ha : array_like
        Dose [m3/ha], above 0 to 500.

    Returns
    -------
    FloatArray
        Speed [km/h], in the broadcast shape of the arguments.  It may be one that no machine can work at.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    :func:`pump_flow` solved for the speed.

    Examples
    --------
    >>> float(round(speed_for_dose(4.85, 11.5, 20), 2))
    12.65
    """
    flow = require("flow_m3_min", flow_m3_min, 0, 20, "m3/min")
    width = require("width_m", width_m, 0, 60, "m", above=True)
    return 600 * flow / (width * require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha", above=True))


@equation("flow_m3_min / rows", unit="m3/min", source="physics", locator="equal shares")
def flow_per_row(flow_m3_min: ArrayLike, rows: ArrayLike) -> FloatArray:
    """Flow through one outlet where all give the same.

    Parameters
    ----------
    flow_m3_min : array_like
        Flow of the whole machine [m3/min], 0 to 20.
    rows : array_like
        Outlets or rows [1], 1 to 200.

    Returns
    -------
    FloatArray
        Flow per row [m3/min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    What each outlet should give; what it gives is for the bucket to say.

    Examples
    --------
    >>> float(round(flow_per_row(2.8, 8), 3))
    0.35
    """
    return require("flow_m3_min", flow_m3_min, 0, 20, "m3/min") / require("rows", rows, 1, 200)


@equation("loads * load_m3 / area_ha", unit="m3/ha", source="physics", locator="volume per area")
def dose_from_loads(loads: ArrayLike, load_m3: ArrayLike, area_ha: ArrayLike) -> FloatArray:
    """Dose from counted loads: the check after the day's work.

    Parameters
    ----------
    loads : array_like
        Loads spread [1], 0 to 10000.
    load_m3 : array_like
        Slurry in one load, as weighed or as filled [m3], 0 to 200.
    area_ha : array_like
        Area covered [ha], above 0 to 100000.

    Returns
    -------
    FloatArray
        Dose [m3/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Volume over area; the mean only, evenness is another matter.

    Examples
    --------
    >>> float(round(dose_from_loads(20, 18, 9), 1))
    40.0
    """
    count = require("loads", loads, 0, 10_000)
    volume = require("load_m3", load_m3, 0, 200, "m3")
    return count * volume / require("area_ha", area_ha, 0, 100_000, "ha", above=True)


@equation("tank_m3 * 10000 / (dose_m3_ha * width_m)", unit="m", source="physics", locator="volume per length")
def run_length(tank_m3: ArrayLike, dose_m3_ha: ArrayLike, width_m: ArrayLike) -> FloatArray:
    """Length of work that one load lasts.

    Parameters
    ----------
    tank_m3 : array_like
        Slurry in one load [m3], above 0 to 200.
    dose_m3_ha : array_like
        Dose [m3/ha], above 0 to 500.
    width_m : array_like
        Effective width [m], above 0 to 60.

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
    Load over slurry per metre.  A length that is not a whole number of field lengths ends a load in mid-field.

    Examples
    --------
    >>> float(run_length(18, 40, 6))
    750.0
    """
    tank = require("tank_m3", tank_m3, 0, 200, "m3", above=True)
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha", above=True)
    return tank * 10_000 / (dose * require("width_m", width_m, 0, 60, "m", above=True))
