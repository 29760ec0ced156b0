"""Cost: repair, labour, fuel and lubricants, and what an hour and a hectare of a machine come to.

The yearly cost of owning a machine is in ``ownership``, what of it is fixed in ``keeping``.  ``eur`` in a name stands
for the one currency of a plan.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = [
    "cost_per_hectare",
    "fuel_cost",
    "labour_cost",
    "lubricant_cost",
    "machine_cost_per_hour",
    "marginal_cost",
    "per_tonne",
    "per_volume",
    "repair_asae_d497",
]

_MOST = 1e9


@equation(
    "rf1 * price_eur * ((hours_to / 1000)**rf2 - (hours_from / 1000)**rf2)",
    unit="EUR",
    source="asae_d497",
    locator="clause on repair and maintenance, Table 3",
)
def repair_asae_d497(
    price_eur: ArrayLike, rf1: ArrayLike, rf2: ArrayLike, hours_from: ArrayLike, hours_to: ArrayLike
) -> FloatArray:
    """Repair and maintenance of a machine between two readings of its hour meter.

    Parameters
    ----------
    price_eur : array_like
        List price in the money wanted [EUR], 0 to 1e9.
    rf1 : array_like
        Repair factor RF1 [1], 0 to 5; table ``repair_asae_d497``.
    rf2 : array_like
        Repair exponent RF2 [1], above 0 to 5.
    hours_from : array_like
        Hours at the start [h], 0 to 100000.
    hours_to : array_like
        Hours at the end [h], not below `hours_from`, to 100000.

    Returns
    -------
    FloatArray
        Repair and maintenance over these hours [EUR], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range, or the hours run backwards.

    Notes
    -----
    C = RF1 P (h/1000)^RF2 is the sum from new; the cost of an interval is the difference of two sums.  ASAE D497.7.
    Beyond the life in the table the curve is only drawn on.

    Examples
    --------
    A planter of 40 000 in its hours 600 to 700:

    >>> float(round(repair_asae_d497(40000, 0.32, 2.1, 600, 700), 2))
    1673.71
    """
    price = require("price_eur", price_eur, 0, _MOST, "EUR")
    factor = require("rf1", rf1, 0, 5)
    power = require("rf2", rf2, 0, 5, above=True)
    start = require("hours_from", hours_from, 0, 100_000, "h")
    end = require("hours_to", hours_to, 0, 100_000, "h")
    backwards = end - start
    if (backwards < 0).any():
        raise ImpossibleValue("hours_to - hours_from", f"{float(backwards.min()):.6g}", 0, 100_000, "h")
    return factor * price * ((end / 1000) ** power - (start / 1000) ** power)


@equation(
    "(capital_eur_year + holding_eur_year + repair_eur_year) / hours_per_year",
    unit="EUR/h",
    source="asae_ep496",
    locator="total machine cost",
)
def machine_cost_per_hour(
    capital_eur_year: ArrayLike, holding_eur_year: ArrayLike, repair_eur_year: ArrayLike, hours_per_year: ArrayLike
) -> FloatArray:
    """Cost of one hour of a machine, without fuel and driver.

    Parameters
    ----------
    capital_eur_year : array_like
        Capital recovery, or depreciation and interest [EUR/year], -1e9 to 1e9.
    holding_eur_year : array_like
        Tax, housing and insurance [EUR/year], 0 to 1e9.
    repair_eur_year : array_like
        Repair and maintenance [EUR/year], 0 to 1e9.
    hours_per_year : array_like
        Use [h/year], above 0 to 8760.

    Returns
    -------
    FloatArray
        Cost [EUR/h], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Yearly cost over yearly use.  Tractors are charged to a pass by the hour.

    Examples
    --------
    >>> float(machine_cost_per_hour(2060, 400, 540, 150))
    20.0
    """
    capital = require("capital_eur_year", capital_eur_year, -_MOST, _MOST, "EUR/year")
    holding = require("holding_eur_year", holding_eur_year, 0, _MOST, "EUR/year")
    repair = require("repair_eur_year", repair_eur_year, 0, _MOST, "EUR/year")
    hours = require("hours_per_year", hours_per_year, 0, 8760, "h/year", above=True)
    return (capital + holding + repair) / hours


@equation(
    "fuel_eur_ha + oil_eur_ha + labour_eur_ha + repair_eur_ha",
    unit="EUR/ha",
    source="asae_ep496",
    locator="operating cost",
)
def marginal_cost(
    fuel_eur_ha: ArrayLike, oil_eur_ha: ArrayLike, labour_eur_ha: ArrayLike, repair_eur_ha: ArrayLike
) -> FloatArray:
    """Cost of one more hectare with machines that the farm has anyway.

    Parameters
    ----------
    fuel_eur_ha : array_like
        Fuel [EUR/ha], 0 to 1e6.
    oil_eur_ha : array_like
        Lubricants [EUR/ha], 0 to 1e6.
    labour_eur_ha : array_like
        Labour [EUR/ha], 0 to 1e6.
    repair_eur_ha : array_like
        Repair and maintenance of tractors and machines [EUR/ha], 0 to 1e6.

    Returns
    -------
    FloatArray
        Cost [EUR/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A sum; together with :func:`.fixed_per_hectare` it is the full cost.  Value lost by use alone is left with the
    fixed part.  It says whether to run a machine that stands in the shed, not whether to buy one.

    Examples
    --------
    >>> float(round(marginal_cost(27.15, 4.07, 14.52, 8.1), 2))
    53.84
    """
    fuel = require("fuel_eur_ha", fuel_eur_ha, 0, 1e6, "EUR/ha")
    oil = require("oil_eur_ha", oil_eur_ha, 0, 1e6, "EUR/ha")
    labour = require("labour_eur_ha", labour_eur_ha, 0, 1e6, "EUR/ha")
    return fuel + oil + labour + require("repair_eur_ha", repair_eur_ha, 0, 1e6, "EUR/ha")


@equation("cost_eur_ha / dose_m3_ha", unit="EUR/m3", source="physics", locator="cost over amount")
def per_volume(cost_eur_ha: ArrayLike, dose_m3_ha: ArrayLike) -> FloatArray:
    """Cost per cubic metre of slurry.

    Parameters
    ----------
    cost_eur_ha : array_like
        Cost, or difference of costs [EUR/ha], -1e9 to 1e9.
    dose_m3_ha : array_like
        Dose [m3/ha], above 0 to 500.

    Returns
    -------
    FloatArray
        Cost [EUR/m3], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A quotient.  Systems at unequal doses compare differently by the hectare and by the cubic metre: show both.

    Examples
    --------
    >>> float(round(per_volume(76, 40), 2))
    1.9
    """
    cost = require("cost_eur_ha", cost_eur_ha, -_MOST, _MOST, "EUR/ha")
    return cost / require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha", above=True)


@equation("cost_eur_ha / yield_t_ha", unit="EUR/t", source="physics", locator="cost over amount")
def per_tonne(cost_eur_ha: ArrayLike, yield_t_ha: ArrayLike) -> FloatArray:
    """Cost per tonne of crop, commonly of its dry matter.

    Parameters
    ----------
    cost_eur_ha : array_like
        Cost, or difference of costs [EUR/ha], -1e9 to 1e9.
    yield_t_ha : array_like
        Yield, on the basis (dry or fresh) that the result is wanted on [t/ha], above 0 to 200.

    Returns
    -------
    FloatArray
        Cost [EUR/t], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A quotient.  What is cheaper by the hectare can be dearer by the tonne: show both.

    Examples
    --------
    >>> float(round(per_tonne(409, 14.2), 2))
    28.8
    """
    cost = require("cost_eur_ha", cost_eur_ha, -_MOST, _MOST, "EUR/ha")
    return cost / require("yield_t_ha", yield_t_ha, 0, 200, "t/ha", above=True)


@equation("cost_eur_h * field_time_h_ha", unit="EUR/ha", source="asae_ep496", locator="cost per area")
def cost_per_hectare(cost_eur_h: ArrayLike, field_time_h_ha: ArrayLike) -> FloatArray:
    """Cost per hectare of whatever is paid by the machine hour.

    Parameters
    ----------
    cost_eur_h : array_like
        Cost [EUR/h], -1e9 to 1e9.
    field_time_h_ha : array_like
        Field time [h/ha], 0 to 400.

    Returns
    -------
    FloatArray
        Cost [EUR/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A product; the same as cost per hour over the rate of work.

    Examples
    --------
    >>> float(round(cost_per_hectare(20.90, 1 / 1.9), 2))
    11.0
    """
    cost = require("cost_eur_h", cost_eur_h, -_MOST, _MOST, "EUR/h")
    return cost * require("field_time_h_ha", field_time_h_ha, 0, 400, "h/ha")


@equation("field_time_h_ha * paid_per_machine_hour * wage_eur_h", unit="EUR/ha", source="iowa_a3_29", locator="labour")
def labour_cost(field_time_h_ha: ArrayLike, paid_per_machine_hour: ArrayLike, wage_eur_h: ArrayLike) -> FloatArray:
    """Cost of the driver per hectare.

    Parameters
    ----------
    field_time_h_ha : array_like
        Field time [h/ha], 0 to 400.
    paid_per_machine_hour : array_like
        Paid hours per hour of the machine, for servicing and travel [1], 0 to 5; table ``machine_ownership``.
    wage_eur_h : array_like
        Cost of one paid hour, charges included [EUR/h], 0 to 10000.

    Returns
    -------
    FloatArray
        Cost [EUR/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A product.  Drivers of feeders and helpers at a pump count on their own.

    Examples
    --------
    >>> float(round(labour_cost(1 / 1.9, 1.0, 24), 2))
    12.63
    """
    time = require("field_time_h_ha", field_time_h_ha, 0, 400, "h/ha")
    paid = require("paid_per_machine_hour", paid_per_machine_hour, 0, 5)
    return time * paid * require("wage_eur_h", wage_eur_h, 0, 10_000, "EUR/h")


@equation("fuel_l_ha * price_eur_l", unit="EUR/ha", source="physics", locator="amount times price")
def fuel_cost(fuel_l_ha: ArrayLike, price_eur_l: ArrayLike) -> FloatArray:
    """Cost of fuel per hectare.

    Parameters
    ----------
    fuel_l_ha : array_like
        Fuel [L/ha], 0 to 10000.
    price_eur_l : array_like
        Price, after any duty that is paid back [EUR/L], 0 to 1000.

    Returns
    -------
    FloatArray
        Cost [EUR/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A product.

    Examples
    --------
    >>> float(round(fuel_cost(10.4 / 1.9, 1.15), 2))
    6.29
    """
    return require("fuel_l_ha", fuel_l_ha, 0, 10_000, "L/ha") * require("price_eur_l", price_eur_l, 0, 1000, "EUR/L")


@equation("fuel_cost_eur_ha * lubricant_share", unit="EUR/ha", source="asae_ep496", locator="lubricants")
def lubricant_cost(fuel_cost_eur_ha: ArrayLike, lubricant_share: ArrayLike) -> FloatArray:
    """Cost of lubricants per hectare.

    Parameters
    ----------
    fuel_cost_eur_ha : array_like
        Cost of fuel [EUR/ha], 0 to 1e6.
    lubricant_share : array_like
        Lubricants per fuel cost [1], 0 to 1; table ``machine_ownership``.

    Returns
    -------
    FloatArray
        Cost [EUR/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A share of the fuel cost, EP496, from memory.  It moves with the price of diesel, which lubricants do only in part.

    Examples
    --------
    >>> float(round(lubricant_cost(6.29, 0.15), 3))
    0.944
    """
    fuel = require("fuel_cost_eur_ha", fuel_cost_eur_ha, 0, 1e6, "EUR/ha")
    return fuel * require("lubricant_share", lubricant_share, 0, 1)
