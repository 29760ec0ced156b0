"""Diesel by what it is burnt for, and what a crew with several vehicles costs."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "crew_cost",
    "cycle_at_flow",
    "litres_of",
    "paid_wage",
    "pumping_litres",
    "standing_per_load",
]

_ROUNDING = 1e-9


@equation("rate_l_h * time_h_ha", unit="L/ha", source="physics")
def litres_of(rate_l_h: ArrayLike, time_h_ha: ArrayLike) -> FloatArray:
    """Diesel of one part of the field time.

    Parameters
    ----------
    rate_l_h : array_like
        Diesel by the hour [L/h], 0 to 600.
    time_h_ha : array_like
        Time [h/ha], 0 to 400.

    Returns
    -------
    FloatArray
        Diesel [L/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(litres_of(30.0, 0.5))
    15.0
    """
    return require("rate_l_h", rate_l_h, 0, 600, "L/h") * require("time_h_ha", time_h_ha, 0, 400, "h/ha")


@equation("working_l_ha * pump_kw / needed_kw", unit="L/ha", source="choice", locator="in proportion to power")
def pumping_litres(working_l_ha: ArrayLike, pump_kw: ArrayLike, needed_kw: ArrayLike) -> FloatArray:
    """Part of the working diesel that the slurry pump takes.

    Parameters
    ----------
    working_l_ha : array_like
        Diesel while working [L/ha], 0 to 1000.
    pump_kw : array_like
        Power of the pump [kW], 0 to `needed_kw`.
    needed_kw : array_like
        Power needed at the take-off, at work [kW], above 0.

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
    The diesel of one engine is shared out by power; there is no other fair share.

    Examples
    --------
    >>> round(float(pumping_litres(12.0, 15.0, 150.0)), 2)
    1.2
    """
    litres = require("working_l_ha", working_l_ha, 0, 1000, "L/ha")
    needed = require("needed_kw", needed_kw, 0, 9000, "kW", above=True)
    return litres * require("pump_kw / needed_kw", np.asarray(pump_kw) / needed, 0, 1)


@equation("60 * vehicles * load_m3 / flow_m3_h", unit="min", source="physics", locator="volume over flow")
def cycle_at_flow(load_m3: ArrayLike, vehicles: ArrayLike, flow_m3_h: ArrayLike) -> FloatArray:
    """Time from one load of a vehicle to its next, waiting counted.

    Parameters
    ----------
    load_m3 : array_like
        Slurry in one load [m3], above 0 to 200.
    vehicles : array_like
        Vehicles at the task [1], above 0 to 50.
    flow_m3_h : array_like
        Slurry an hour by the slowest link [m3/h], above 0 to 5000.

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
    >>> float(cycle_at_flow(24, 2, 80))
    36.0
    """
    load = require("load_m3", load_m3, 0, 200, "m3", above=True)
    count = require("vehicles", vehicles, 0, 50, above=True)
    return 60 * count * load / require("flow_m3_h", flow_m3_h, 0, 5000, "m3/h", above=True)


@equation("cycle_min - road_min", unit="min", source="physics", locator="difference")
def standing_per_load(cycle_min: ArrayLike, road_min: ArrayLike) -> FloatArray:
    """Time of a feeder with its engine at idle, per load.

    Parameters
    ----------
    cycle_min : array_like
        Time from one load to the next [min], 0 to 5000.
    road_min : array_like
        Of it, on the road [min], 0 to `cycle_min`.

    Returns
    -------
    FloatArray
        Time [min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Filling, handing over and waiting, with the engine left running.

    Examples
    --------
    >>> float(standing_per_load(36, 12))
    24.0
    """
    rest = require("cycle_min", cycle_min, 0, 5000, "min") - require("road_min", road_min, 0, 1440, "min")
    rest = require("cycle_min - road_min", rest, -_ROUNDING, np.inf, "min")
    return np.where(np.abs(rest) <= _ROUNDING, 0.0, rest)  # what the last binary digit makes of nil


@equation("vehicles * cost_eur_h * time_h_ha", unit="EUR/ha", source="physics", locator="hours times rate")
def crew_cost(vehicles: ArrayLike, cost_eur_h: ArrayLike, time_h_ha: ArrayLike) -> FloatArray:
    """Cost of vehicles that are there as long as the work goes on.

    Parameters
    ----------
    vehicles : array_like
        Vehicles [1], 0 to 50.
    cost_eur_h : array_like
        One of them by the hour [EUR/h], 0 to 1e6.
    time_h_ha : array_like
        Hours of a hectare [h/ha], 0 to 400.

    Returns
    -------
    FloatArray
        Cost [EUR/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(crew_cost(2, 60, 0.5))
    60.0
    """
    count = require("vehicles", vehicles, 0, 50)
    rate = require("cost_eur_h", cost_eur_h, 0, 1e6, "EUR/h")
    return count * rate * require("time_h_ha", time_h_ha, 0, 400, "h/ha")


@equation("wage_eur_h * paid_per_machine_hour", unit="EUR/h", source="iowa_a3_29", locator="labour")
def paid_wage(wage_eur_h: ArrayLike, paid_per_machine_hour: ArrayLike) -> FloatArray:
    """Cost of a driver by the hour of the machine.

    Parameters
    ----------
    wage_eur_h : array_like
        Cost of one paid hour, charges included [EUR/h], 0 to 10000.
    paid_per_machine_hour : array_like
        Paid hours per hour of the machine, for servicing and travel [1], 0 to 5.

    Returns
    -------
    FloatArray
        Cost [EUR/h], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> round(float(paid_wage(24, 1.15)), 2)
    27.6
    """
    wage = require("wage_eur_h", wage_eur_h, 0, 10_000, "EUR/h")
    return wage * require("paid_per_machine_hour", paid_per_machine_hour, 0, 5)
