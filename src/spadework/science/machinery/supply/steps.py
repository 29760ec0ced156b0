"""Small steps of the supply of slurry between the rounds of the vehicles and the time of a hectare."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["refill_per_area", "spreader_away", "time_away", "trip_time", "used_up"]

_ROUNDING = 1e-9


@equation("filling_min + road_min + other_min", unit="min", source="physics", locator="sum of times")
def trip_time(filling_min: ArrayLike, road_min: ArrayLike, other_min: ArrayLike) -> FloatArray:
    """Time that a tanker is away for one load that it fetches itself.

    Parameters
    ----------
    filling_min : array_like
        Filling at the store [min], 0 to 1440.
    road_min : array_like
        On the road, there and back [min], 0 to 1440.
    other_min : array_like
        Finding the place again [min], 0 to 240.

    Returns
    -------
    FloatArray
        Time per load [min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(round(trip_time(6.0, 8.23, 2.0), 2))
    16.23
    """
    filling = require("filling_min", filling_min, 0, 1440, "min")
    road = require("road_min", road_min, 0, 1440, "min")
    return filling + road + require("other_min", other_min, 0, 240, "min")


@equation(
    "dose_m3_ha / load_m3 * (handing_min + other_min) / 60",
    unit="h/ha",
    source="physics",
    locator="loads of a hectare times the time of each",
)
def refill_per_area(
    dose_m3_ha: ArrayLike, load_m3: ArrayLike, handing_min: ArrayLike, other_min: ArrayLike
) -> FloatArray:
    """Time per area for refilling in the field, without waiting.

    Parameters
    ----------
    dose_m3_ha : array_like
        Dose [m3/ha], 0 to 500.
    load_m3 : array_like
        Slurry in one load [m3], above 0 to 200.
    handing_min : array_like
        Filling the tank in the field, per load [min], 0 to 1440.
    other_min : array_like
        Way to the filling point and back [min], 0 to 240.

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
    >>> float(refill_per_area(40, 20, 4, 2))
    0.2
    """
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha")
    load = require("load_m3", load_m3, 0, 200, "m3", above=True)
    handing = require("handing_min", handing_min, 0, 1440, "min")
    return dose / load * (handing + require("other_min", other_min, 0, 240, "min")) / 60


@equation("60 * feeder_load_m3 / spreader_m3_h", unit="min", source="physics", locator="volume over flow")
def used_up(feeder_load_m3: ArrayLike, spreader_m3_h: ArrayLike) -> FloatArray:
    """Time in which the spreading outfit uses up the load of a feeder.

    Parameters
    ----------
    feeder_load_m3 : array_like
        Slurry in one load of a feeder [m3], above 0 to 200.
    spreader_m3_h : array_like
        What the spreading outfit takes, never waiting [m3/h], above 0 to 5000.

    Returns
    -------
    FloatArray
        Time [min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(used_up(24, 90))
    16.0
    """
    load = require("feeder_load_m3", feeder_load_m3, 0, 200, "m3", above=True)
    return 60 * load / require("spreader_m3_h", spreader_m3_h, 0, 5000, "m3/h", above=True)


@equation("whole_h_ha - spread_h_ha", unit="h/ha", source="physics", locator="difference")
def time_away(whole_h_ha: ArrayLike, spread_h_ha: ArrayLike) -> FloatArray:
    """Time that the supply of slurry adds to a hectare.

    Parameters
    ----------
    whole_h_ha : array_like
        Time of a hectare with its slurry [h/ha], 0 to 400.
    spread_h_ha : array_like
        Working, turning and lost time [h/ha], 0 to `whole_h_ha`.

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
    >>> round(float(time_away(0.5, 0.4)), 3)
    0.1
    """
    whole = require("whole_h_ha", whole_h_ha, 0, 400, "h/ha")
    spread = require("spread_h_ha", spread_h_ha, 0, 400, "h/ha")
    away = require("whole_h_ha - spread_h_ha", whole - spread, -_ROUNDING, np.inf, "h/ha")
    return np.where(np.abs(away) <= _ROUNDING, 0.0, away)  # what the last binary digit makes of nil


@equation("spreading_min + other_min", unit="min", source="physics", locator="sum of times")
def spreader_away(spreading_min: ArrayLike, other_min: ArrayLike) -> FloatArray:
    """Time from leaving the filling place to being back at it.

    Parameters
    ----------
    spreading_min : array_like
        Spreading one load [min], above 0 to 1440.
    other_min : array_like
        Way from the filling place and back [min], 0 to 240.

    Returns
    -------
    FloatArray
        Time per load [min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(spreader_away(10, 2))
    12.0
    """
    spreading = require("spreading_min", spreading_min, 0, 1440, "min", above=True)
    return spreading + require("other_min", other_min, 0, 240, "min")
