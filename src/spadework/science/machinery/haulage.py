"""Haulage of slurry: the round between store and field, and the rate of work that it allows.

Loads are what the tank really holds; foam can leave part of it empty.  Road speeds are for roads where they are lawful.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "area_rate",
    "cycle_capacity",
    "cycle_time",
    "feeders_needed",
    "refill_at_store",
]

_ROUNDING = 1e-9


@equation(
    "tank_m3 / filling_m3_min + connect_min + 60 * distance_km / speed_full_km_h + 60 * distance_km / speed_empty_km_h",
    unit="min",
    source="physics",
    locator="sum of times",
)
def refill_at_store(
    tank_m3: ArrayLike,
    filling_m3_min: ArrayLike,
    connect_min: ArrayLike,
    distance_km: ArrayLike,
    speed_full_km_h: ArrayLike,
    speed_empty_km_h: ArrayLike,
) -> FloatArray:
    """Time of fetching one load from the store.

    Parameters
    ----------
    tank_m3 : array_like
        Slurry in one load [m3], above 0 to 200.
    filling_m3_min : array_like
        Filling at the store [m3/min], above 0 to 20.
    connect_min : array_like
        Coupling and uncoupling [min], 0 to 120.
    distance_km : array_like
        Way between store and field, one way [km], 0 to 100.
    speed_full_km_h : array_like
        Road speed with a full tank [km/h], above 0 to 80; local limits come first.
    speed_empty_km_h : array_like
        Road speed with an empty tank [km/h], above 0 to 80; local limits come first.

    Returns
    -------
    FloatArray
        Time per load [min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Filling, coupling, there and back.  Waiting at the store for other tankers is not in it.

    Examples
    --------
    >>> float(round(refill_at_store(18, 4.5, 2, 2, 25, 35), 2))
    14.23
    """
    tank = require("tank_m3", tank_m3, 0, 200, "m3", above=True)
    filling = require("filling_m3_min", filling_m3_min, 0, 20, "m3/min", above=True)
    connect = require("connect_min", connect_min, 0, 120, "min")
    way = require("distance_km", distance_km, 0, 100, "km")
    full = require("speed_full_km_h", speed_full_km_h, 0, 80, "km/h", above=True)
    empty = require("speed_empty_km_h", speed_empty_km_h, 0, 80, "km/h", above=True)
    return tank / filling + connect + 60 * way / full + 60 * way / empty


@equation(
    "refill_min + tank_m3 / dose_m3_ha * 600 / (width_m * speed_km_h) / efficiency_share + other_min",
    unit="min",
    source="physics",
    locator="sum of times",
)
def cycle_time(
    refill_min: ArrayLike,
    tank_m3: ArrayLike,
    dose_m3_ha: ArrayLike,
    width_m: ArrayLike,
    speed_km_h: ArrayLike,
    efficiency_share: ArrayLike,
    other_min: ArrayLike,
) -> FloatArray:
    """Time of one round of a tanker: fetch a load, place it.

    Parameters
    ----------
    refill_min : array_like
        Fetching one load [min], 0 to 1440.
    tank_m3 : array_like
        Slurry in one load [m3], above 0 to 200.
    dose_m3_ha : array_like
        Dose [m3/ha], above 0 to 500.
    width_m : array_like
        Effective width [m], above 0 to 60.
    speed_km_h : array_like
        Speed at work [km/h], above 0 to 30.
    efficiency_share : array_like
        Share of the placing time that the tools work, turns taken off [1], above 0 to 1.
    other_min : array_like
        Finding the place and other time in the field, per load [min], 0 to 240.

    Returns
    -------
    FloatArray
        Time per load [min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Hectares per load over hectares per minute, lengthened by the turns, plus fetching and the rest.

    Examples
    --------
    >>> float(round(cycle_time(14.23, 18, 40, 6, 7, 0.85, 2), 2))
    23.79
    """
    refill = require("refill_min", refill_min, 0, 1440, "min")
    tank = require("tank_m3", tank_m3, 0, 200, "m3", above=True)
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha", above=True)
    width = require("width_m", width_m, 0, 60, "m", above=True)
    speed = require("speed_km_h", speed_km_h, 0, 30, "km/h", above=True)
    efficiency = require("efficiency_share", efficiency_share, 0, 1, above=True)
    other = require("other_min", other_min, 0, 240, "min")
    return refill + tank / dose * 600 / (width * speed) / efficiency + other


@equation("60 * tank_m3 / cycle_min", unit="m3/h", source="physics", locator="volume per time")
def cycle_capacity(tank_m3: ArrayLike, cycle_min: ArrayLike) -> FloatArray:
    """Slurry that one tanker brings out per hour.

    Parameters
    ----------
    tank_m3 : array_like
        Slurry in one load [m3], above 0 to 200.
    cycle_min : array_like
        Time of one round [min], above 0 to 3000.

    Returns
    -------
    FloatArray
        Throughput [m3/h], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Load over round.

    Examples
    --------
    >>> float(round(cycle_capacity(18, 23.79), 1))
    45.4
    """
    tank = require("tank_m3", tank_m3, 0, 200, "m3", above=True)
    return 60 * tank / require("cycle_min", cycle_min, 0, 3000, "min", above=True)


@equation("flow_m3_h / dose_m3_ha", unit="ha/h", source="physics", locator="volume per area")
def area_rate(flow_m3_h: ArrayLike, dose_m3_ha: ArrayLike) -> FloatArray:
    """Rate of work that a supply of slurry allows, by tanker or by umbilical hose.

    Parameters
    ----------
    flow_m3_h : array_like
        Supply [m3/h], 0 to 1200.
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
    flow = require("flow_m3_h", flow_m3_h, 0, 1200, "m3/h")
    return flow / require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha", above=True)


@equation(
    "ceil(feeder_min / spreader_min - 0.000000001)", unit="1", source="physics", locator="the spreader never waits"
)
def feeders_needed(feeder_min: ArrayLike, spreader_min: ArrayLike) -> FloatArray:
    """Feeder vehicles that keep one spreader from waiting, where both carry the same load.

    Parameters
    ----------
    feeder_min : array_like
        Round of a feeder between store and field [min], above 0 to 3000.
    spreader_min : array_like
        Round of the spreader without road travel [min], above 0 to 3000.

    Returns
    -------
    FloatArray
        Whole number of feeders [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    One round over the other, rounded up; a billionth is taken off first against the last binary digit.

    Examples
    --------
    >>> float(feeders_needed(28, 12))
    3.0
    """
    feeder = require("feeder_min", feeder_min, 0, 3000, "min", above=True)
    spreader = require("spreader_min", spreader_min, 0, 3000, "min", above=True)
    return np.ceil(feeder / spreader - _ROUNDING)
