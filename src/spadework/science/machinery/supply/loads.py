"""What the loads come to: per hectare, per field and per run; the road and its diesel."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "area_rate",
    "fuel_per_m3",
    "left_in_run",
    "loads_for",
    "road_fuel",
    "road_km_per_ha",
    "runs_per_load",
    "supply_time",
    "waiting_time",
]

_ROUNDING = 1e-9


@equation("flow_m3_h / dose_m3_ha", unit="ha/h", source="physics", locator="volume per area")
def area_rate(flow_m3_h: ArrayLike, dose_m3_ha: ArrayLike) -> FloatArray:
    """Rate of work that a supply of slurry allows, by tanker or by hose.

    Parameters
    ----------
    flow_m3_h : array_like
        Supply [m3/h], 0 to 5000.
    dose_m3_ha : array_like
        Dose [m3/ha], above 0 to 500.

    Returns
    -------
    FloatArray
        Rate of work [ha/h], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Where several links supply one machine, the slowest of them counts.

    Examples
    --------
    >>> float(area_rate(120, 40))
    3.0
    """
    flow = require("flow_m3_h", flow_m3_h, 0, 5000, "m3/h")
    return flow / require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha", above=True)


@equation("dose_m3_ha / throughput_m3_h", unit="h/ha", source="physics", locator="volume per area and time")
def supply_time(dose_m3_ha: ArrayLike, throughput_m3_h: ArrayLike) -> FloatArray:
    """Time per area that a supply of slurry allows.

    Parameters
    ----------
    dose_m3_ha : array_like
        Dose [m3/ha], 0 to 500.
    throughput_m3_h : array_like
        Throughput of the whole [m3/h], above 0 to 5000.

    Returns
    -------
    FloatArray
        Time [h/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    One over :func:`area_rate`.

    Examples
    --------
    >>> float(supply_time(40, 80))
    0.5
    """
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha")
    return dose / require("throughput_m3_h", throughput_m3_h, 0, 5000, "m3/h", above=True)


@equation("supply_h_ha - spread_h_ha - refill_h_ha", unit="h/ha", source="physics", locator="what is left of the time")
def waiting_time(supply_h_ha: ArrayLike, spread_h_ha: ArrayLike, refill_h_ha: ArrayLike) -> FloatArray:
    """Time per area that the spreader waits for slurry.

    Parameters
    ----------
    supply_h_ha : array_like
        Time per area of the whole [h/ha], 0 to 100; see :func:`supply_time`.
    spread_h_ha : array_like
        Working, turning and lost time [h/ha], 0 to 100.
    refill_h_ha : array_like
        Refilling and finding the place without waiting [h/ha], 0 to 100.

    Returns
    -------
    FloatArray
        Waiting [h/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range, or the parts exceed the whole.

    Notes
    -----
    The rest of the time.

    Examples
    --------
    >>> round(float(waiting_time(0.6, 0.3, 0.2)), 3)
    0.1
    """
    whole = require("supply_h_ha", supply_h_ha, 0, 100, "h/ha")
    spread = require("spread_h_ha", spread_h_ha, 0, 100, "h/ha")
    rest = whole - spread - require("refill_h_ha", refill_h_ha, 0, 100, "h/ha")
    rest = require("supply_h_ha - spread_h_ha - refill_h_ha", rest, -_ROUNDING, 100, "h/ha")
    return np.where(np.abs(rest) <= _ROUNDING, 0.0, rest)  # what the last binary digit makes of nil


@equation("2 * distance_km * dose_m3_ha / load_m3", unit="km/ha", source="physics", locator="there and back per load")
def road_km_per_ha(distance_km: ArrayLike, dose_m3_ha: ArrayLike, load_m3: ArrayLike) -> FloatArray:
    """Road driven for a hectare, all vehicles together.

    Parameters
    ----------
    distance_km : array_like
        Way between store and field, one way [km], 0 to 100.
    dose_m3_ha : array_like
        Dose [m3/ha], 0 to 500.
    load_m3 : array_like
        Slurry in one load of the vehicle on the road [m3], above 0 to 200.

    Returns
    -------
    FloatArray
        Road [km/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Loads per hectare, each there and back.

    Examples
    --------
    >>> float(road_km_per_ha(2, 40, 20))
    8.0
    """
    way = require("distance_km", distance_km, 0, 100, "km")
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha")
    return 2 * way * dose / require("load_m3", load_m3, 0, 200, "m3", above=True)


@equation(
    "dose_m3_ha / load_m3 * (road_min * road_l_h + standing_min * standing_l_h) / 60",
    unit="L/ha",
    source="physics",
    locator="rates by times",
)
def road_fuel(
    dose_m3_ha: ArrayLike,
    load_m3: ArrayLike,
    road_min: ArrayLike,
    road_l_h: ArrayLike,
    standing_min: ArrayLike,
    standing_l_h: ArrayLike,
) -> FloatArray:
    """Diesel of the vehicles that fetch slurry, per area.

    Parameters
    ----------
    dose_m3_ha : array_like
        Dose [m3/ha], 0 to 500.
    load_m3 : array_like
        Slurry in one load of the vehicle on the road [m3], above 0 to 200.
    road_min : array_like
        On the road for a load, there and back [min], 0 to 1440.
    road_l_h : array_like
        Diesel on the road, full and empty together [L/h], 0 to 200.
    standing_min : array_like
        Filling, handing over and waiting for a load [min], 0 to 6000.
    standing_l_h : array_like
        Diesel meanwhile, at idle or driving the pump [L/h], 0 to 200.

    Returns
    -------
    FloatArray
        Diesel [L/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Loads per hectare times the diesel of a load; any number of vehicles, since loads are counted.

    Examples
    --------
    >>> float(road_fuel(40, 20, 9, 20, 12, 5))
    8.0
    """
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha")
    load = require("load_m3", load_m3, 0, 200, "m3", above=True)
    road = require("road_min", road_min, 0, 1440, "min") * require("road_l_h", road_l_h, 0, 200, "L/h")
    standing = require("standing_min", standing_min, 0, 6000, "min")
    return dose / load * (road + standing * require("standing_l_h", standing_l_h, 0, 200, "L/h")) / 60


@equation("fuel_l_ha / dose_m3_ha", unit="L/m3", source="physics", locator="per area over volume per area")
def fuel_per_m3(fuel_l_ha: ArrayLike, dose_m3_ha: ArrayLike) -> FloatArray:
    """Diesel for a cubic metre of slurry.

    Parameters
    ----------
    fuel_l_ha : array_like
        Diesel [L/ha], 0 to 2000.
    dose_m3_ha : array_like
        Dose [m3/ha], above 0 to 500.

    Returns
    -------
    FloatArray
        Diesel [L/m3], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    One over the other.

    Examples
    --------
    >>> float(fuel_per_m3(8, 40))
    0.2
    """
    fuel = require("fuel_l_ha", fuel_l_ha, 0, 2000, "L/ha")
    return fuel / require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha", above=True)


@equation(
    "ceil(area_ha * dose_m3_ha / load_m3 - 0.000000001)", unit="1", source="physics", locator="volume over volume"
)
def loads_for(area_ha: ArrayLike, dose_m3_ha: ArrayLike, load_m3: ArrayLike) -> FloatArray:
    """Whole number of loads for a plot or a field.

    Parameters
    ----------
    area_ha : array_like
        Area [ha], 0 to 10000.
    dose_m3_ha : array_like
        Dose [m3/ha], 0 to 500.
    load_m3 : array_like
        Slurry in one load [m3], above 0 to 200.

    Returns
    -------
    FloatArray
        Whole number of loads, the last one perhaps not full [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Slurry over load, rounded up; a billionth is taken off first against the last binary digit.

    Examples
    --------
    >>> loads_for([0.06, 0.9, 10], 40, 18).tolist()
    [1.0, 2.0, 23.0]
    """
    area = require("area_ha", area_ha, 0, 10_000, "ha")
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha")
    return np.ceil(area * dose / require("load_m3", load_m3, 0, 200, "m3", above=True) - _ROUNDING)


@equation("length_m / run_m", unit="1", source="physics", locator="length over length")
def runs_per_load(length_m: ArrayLike, run_m: ArrayLike) -> FloatArray:
    """How many runs over the field one load lasts.

    Parameters
    ----------
    length_m : array_like
        Length of work that one load lasts [m], 0 to 10000000; see ``run_length``.
    run_m : array_like
        One run, from headland to headland [m], above 0 to 20000.

    Returns
    -------
    FloatArray
        Runs, with a fraction [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    An even whole number ends the load at the headland where it began.

    Examples
    --------
    >>> float(runs_per_load(750, 300))
    2.5
    """
    length = require("length_m", length_m, 0, 10_000_000, "m")
    return length / require("run_m", run_m, 0, 20_000, "m", above=True)


@equation(
    "length_m - floor(length_m / run_m + 0.000000001) * run_m", unit="m", source="physics", locator="rest of a division"
)
def left_in_run(length_m: ArrayLike, run_m: ArrayLike) -> FloatArray:
    """Metres into a run at which a load ends; nil where it ends at the headland.

    Parameters
    ----------
    length_m : array_like
        Length of work that one load lasts [m], 0 to 10000000; see ``run_length``.
    run_m : array_like
        One run, from headland to headland [m], above 0 to 20000.

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
    Anything but nil means that the outfit stops in mid-field, drives off over worked ground and comes back to the spot.

    Examples
    --------
    >>> left_in_run([750, 600], 300).tolist()
    [150.0, 0.0]
    """
    length = require("length_m", length_m, 0, 10_000_000, "m")
    run = require("run_m", run_m, 0, 20_000, "m", above=True)
    return np.asarray(length - np.floor(length / run + _ROUNDING) * run)
