"""Own or hired: rates by the hour and by volume, break-even use, the price of being late, and value-added tax.

``eur`` in a name stands for the one currency of a plan.  Rates of contractors differ by year, fuel and tax; a rate
without these three said is not comparable with anything.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "break_even_area",
    "hired_per_hectare_by_hour",
    "hired_per_hectare_by_volume",
    "hired_with_fuel",
    "timeliness_cost",
    "with_vat",
    "without_vat",
]

_MOST = 1e9


@equation("rate_eur_h * field_time_h_ha", unit="EUR/ha", source="physics", locator="time times rate")
def hired_per_hectare_by_hour(rate_eur_h: ArrayLike, field_time_h_ha: ArrayLike) -> FloatArray:
    """Price per hectare of a contractor who charges by the hour.

    Parameters
    ----------
    rate_eur_h : array_like
        Rate for machine and driver [EUR/h], 0 to 10000.
    field_time_h_ha : array_like
        Field time of the contractor's outfit [h/ha], 0 to 400.

    Returns
    -------
    FloatArray
        Price [EUR/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A product.  Ask whether the clock runs on the road and while setting up: such hours come on top.

    Examples
    --------
    >>> float(round(hired_per_hectare_by_hour(80, 0.6), 2))
    48.0
    """
    rate = require("rate_eur_h", rate_eur_h, 0, 10_000, "EUR/h")
    return rate * require("field_time_h_ha", field_time_h_ha, 0, 400, "h/ha")


@equation("rate_eur_m3 * dose_m3_ha", unit="EUR/ha", source="physics", locator="amount times rate")
def hired_per_hectare_by_volume(rate_eur_m3: ArrayLike, dose_m3_ha: ArrayLike) -> FloatArray:
    """Price per hectare of a contractor who charges by the cubic metre of slurry.

    Parameters
    ----------
    rate_eur_m3 : array_like
        Rate, surcharges for the way of placing included [EUR/m3], 0 to 1000.
    dose_m3_ha : array_like
        Dose [m3/ha], 0 to 500.

    Returns
    -------
    FloatArray
        Price [EUR/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A product.  Rates by volume commonly hold up to a distance; beyond it they rise.

    Examples
    --------
    >>> float(round(hired_per_hectare_by_volume(7.32 + 2.94, 40), 2))
    410.4
    """
    rate = require("rate_eur_m3", rate_eur_m3, 0, 1000, "EUR/m3")
    return rate * require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha")


@equation(
    "hired_eur_ha + fuel_out * fuel_eur_ha", unit="EUR/ha", source="physics", locator="the farm's own diesel added"
)
def hired_with_fuel(hired_eur_ha: ArrayLike, fuel_eur_ha: ArrayLike, fuel_out: ArrayLike) -> FloatArray:
    """Price of a contractor with the diesel that the farm has to give him.

    Parameters
    ----------
    hired_eur_ha : array_like
        Price as the rate gives it [EUR/ha], 0 to 1e9.
    fuel_eur_ha : array_like
        Cost of the diesel for the work [EUR/ha], 0 to 1e6.
    fuel_out : array_like
        1 where the rate is without diesel, 0 where diesel is in it [1], 0 to 1; between where part is in it.

    Returns
    -------
    FloatArray
        Price [EUR/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A sum.  Price and diesel must be both with or both without value-added tax.

    Examples
    --------
    >>> hired_with_fuel(92, 27, [0, 1]).tolist()
    [92.0, 119.0]
    """
    hired = require("hired_eur_ha", hired_eur_ha, 0, _MOST, "EUR/ha")
    fuel = require("fuel_eur_ha", fuel_eur_ha, 0, 1e6, "EUR/ha")
    return hired + require("fuel_out", fuel_out, 0, 1) * fuel


@equation(
    "fixed_eur_year / maximum(contract_eur_ha - variable_eur_ha, 0)",
    unit="ha/year",
    source="hunt_2001",
    locator="break-even with a contractor",
)
def break_even_area(fixed_eur_year: ArrayLike, contract_eur_ha: ArrayLike, variable_eur_ha: ArrayLike) -> FloatArray:
    """Area per year above which the own machine is cheaper than the contractor.

    Parameters
    ----------
    fixed_eur_year : array_like
        Yearly cost of owning the machine [EUR/year], 0 to 1e9.
    contract_eur_ha : array_like
        Price of the contractor [EUR/ha], 0 to 1e9.
    variable_eur_ha : array_like
        Own cost that grows with the area: fuel, repair, labour [EUR/ha], 0 to 1e9.

    Returns
    -------
    FloatArray
        Area [ha/year], in the broadcast shape of the arguments; infinite where the contractor is not dearer than the
        own variable cost, so that no area pays for the own machine.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Fixed cost over the difference of the two prices.  The variable cost is held as it is: that repairs grow with the
    hours, and that a machine much used fetches less, is in :func:`.cost_at_area`.  Timeliness is left out; see
    :func:`timeliness_cost`.

    Examples
    --------
    >>> break_even_area(4000, 92, [52, 95]).tolist()
    [100.0, inf]
    """
    variable = require("variable_eur_ha", variable_eur_ha, 0, _MOST, "EUR/ha")
    return _break_even(fixed_eur_year, require("contract_eur_ha", contract_eur_ha, 0, _MOST, "EUR/ha") - variable)


def _break_even(fixed_eur_year: ArrayLike, saved: FloatArray) -> FloatArray:
    """Use a year at which what is saved per unit has paid what is fixed; infinite where nothing is saved."""
    fixed = require("fixed_eur_year", fixed_eur_year, 0, _MOST, "EUR/year")
    pays = saved > 0
    with np.errstate(over="ignore"):  # a saving next to nothing may pass the largest number: infinite as well
        return np.where(pays, fixed / np.where(pays, saved, 1.0), np.inf)


@equation(
    "loss_share_day * area_ha**2 * yield_t_ha * price_eur_t / (balance * day_h * work_rate_ha_h * workable_share)",
    unit="EUR/year",
    source="asae_ep496",
    locator="timeliness",
)
def timeliness_cost(
    loss_share_day: ArrayLike,
    area_ha: ArrayLike,
    yield_t_ha: ArrayLike,
    price_eur_t: ArrayLike,
    balance: ArrayLike,
    day_h: ArrayLike,
    work_rate_ha_h: ArrayLike,
    workable_share: ArrayLike,
) -> FloatArray:
    """Value of the yield lost each year because a machine needs many days.

    Parameters
    ----------
    loss_share_day : array_like
        Yield lost per day away from the best date [1/day], 0 to 0.1; none known for north-west Europe.
    area_ha : array_like
        Area to be worked [ha], 0 to 100000.
    yield_t_ha : array_like
        Yield at the best date [t/ha], 0 to 200.
    price_eur_t : array_like
        Value of the yield [EUR/t], 0 to 1e6.
    balance : array_like
        4 where the work can lie evenly around the best date, 2 where it can only start or only end there [1], 2 to 4.
    day_h : array_like
        Field hours in a working day [h/day], above 0 to 24.
    work_rate_ha_h : array_like
        Rate of work [ha/h], above 0 to 400.
    workable_share : array_like
        Probability that a day is fit for the work [1], above 0 to 1.

    Returns
    -------
    FloatArray
        Cost [EUR/year], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    K A^2 Y V / (Z G Ca pwd), EP496.3, from memory.  A straight line from the best date; near it the loss may be nil, so
    this is an upper estimate for work of a few days.

    Examples
    --------
    >>> float(round(timeliness_cost(0.01, 50, 15, 180, 2, 8, 2.3, 0.5), 2))
    3668.48
    """
    loss = require("loss_share_day", loss_share_day, 0, 0.1, "1/day")
    area = require("area_ha", area_ha, 0, 100_000, "ha")
    value = require("yield_t_ha", yield_t_ha, 0, 200, "t/ha") * require("price_eur_t", price_eur_t, 0, 1e6, "EUR/t")
    spread = require("balance", balance, 2, 4) * require("day_h", day_h, 0, 24, "h/day", above=True)
    rate = require("work_rate_ha_h", work_rate_ha_h, 0, 400, "ha/h", above=True)
    return loss * area**2 * value / (spread * rate * require("workable_share", workable_share, 0, 1, above=True))


@equation("net_eur * (1 + vat_share)", unit="", source="physics", locator="definition")
def with_vat(net_eur: ArrayLike, vat_share: ArrayLike) -> FloatArray:
    """Price with value-added tax.

    Parameters
    ----------
    net_eur : array_like
        Price without the tax [EUR, or EUR per anything], 0 to 1e9.
    vat_share : array_like
        Rate of the tax [1], 0 to 1.

    Returns
    -------
    FloatArray
        Price with the tax, in the unit of the net price and the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Which rate holds, and whether a farm gets the tax back, differs by country and by how the farm is taxed: check
    locally.

    Examples
    --------
    >>> float(round(with_vat(92.00, 0.19), 2))
    109.48
    """
    return require("net_eur", net_eur, 0, _MOST, "EUR") * (1 + require("vat_share", vat_share, 0, 1))


@equation("gross_eur / (1 + vat_share)", unit="", source="physics", locator="definition")
def without_vat(gross_eur: ArrayLike, vat_share: ArrayLike) -> FloatArray:
    """Price without the value-added tax that it holds.

    Parameters
    ----------
    gross_eur : array_like
        Price with the tax [EUR, or EUR per anything], 0 to 1e9.
    vat_share : array_like
        Rate of the tax [1], 0 to 1.

    Returns
    -------
    FloatArray
        Price without the tax, in the unit of the gross price and the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The inverse of :func:`with_vat`.

    Examples
    --------
    >>> float(round(without_vat(109.48, 0.107), 2))
    98.9
    """
    return require("gross_eur", gross_eur, 0, _MOST, "EUR") / (1 + require("vat_share", vat_share, 0, 1))
