"""Own or hired: break-even area, the price of being late, hoses by the hour, and value-added tax.

``eur`` in a name stands for the one currency of a plan.  Rates of contractors differ by year, fuel and tax; a rate
without these three said is not comparable with anything.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["break_even_area", "timeliness_cost", "umbilical_cost", "with_vat", "without_vat"]

_MOST = 1e9


@equation(
    "fixed_eur_year / (contract_eur_ha - variable_eur_ha)",
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
        Rate of the contractor [EUR/ha], 0 to 1e9; above the own variable cost.
    variable_eur_ha : array_like
        Own cost that grows with the area: fuel, repair, labour [EUR/ha], 0 to 1e9.

    Returns
    -------
    FloatArray
        Area [ha/year], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range, or the contractor's rate does not exceed the own variable cost: then no
        area pays for the own machine.

    Notes
    -----
    Fixed cost over the difference of the two rates.  Timeliness is left out; see :func:`timeliness_cost`.

    Examples
    --------
    >>> float(break_even_area(4000, 92, 52))
    100.0
    """
    fixed = require("fixed_eur_year", fixed_eur_year, 0, _MOST, "EUR/year")
    variable = require("variable_eur_ha", variable_eur_ha, 0, _MOST, "EUR/ha")
    contract = require("contract_eur_ha", contract_eur_ha, 0, _MOST, "EUR/ha")
    saved = require("contract_eur_ha - variable_eur_ha", contract - variable, 0, _MOST, "EUR/ha", above=True)
    return fixed / saved


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


@equation(
    "setup_h * setup_eur_h / area_ha + dose_m3_ha / flow_m3_h * pumping_eur_h",
    unit="EUR/ha",
    source="physics",
    locator="sum of costs",
)
def umbilical_cost(
    setup_h: ArrayLike,
    setup_eur_h: ArrayLike,
    area_ha: ArrayLike,
    dose_m3_ha: ArrayLike,
    flow_m3_h: ArrayLike,
    pumping_eur_h: ArrayLike,
) -> FloatArray:
    """Cost of slurry through an umbilical hose at hourly rates.

    Parameters
    ----------
    setup_h : array_like
        Laying and lifting the hose [h], 0 to 100.
    setup_eur_h : array_like
        Rate for it [EUR/h], 0 to 10000.
    area_ha : array_like
        Area served by one laying [ha], above 0 to 10000.
    dose_m3_ha : array_like
        Dose [m3/ha], 0 to 500.
    flow_m3_h : array_like
        Flow [m3/h], above 0 to 1200.
    pumping_eur_h : array_like
        Rate for pumping and spreading [EUR/h], 0 to 10000.

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
    Set-up shared over the area, pumping by the hour.

    Examples
    --------
    >>> float(umbilical_cost(2, 100, 10, 40, 100, 140))
    76.0
    """
    setup = require("setup_h", setup_h, 0, 100, "h") * require("setup_eur_h", setup_eur_h, 0, 10_000, "EUR/h")
    area = require("area_ha", area_ha, 0, 10_000, "ha", above=True)
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha")
    flow = require("flow_m3_h", flow_m3_h, 0, 1200, "m3/h", above=True)
    return setup / area + dose / flow * require("pumping_eur_h", pumping_eur_h, 0, 10_000, "EUR/h")


@equation("net_eur * (1 + vat_share)", unit="EUR", source="physics", locator="definition")
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


@equation("gross_eur / (1 + vat_share)", unit="EUR", source="physics", locator="definition")
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
