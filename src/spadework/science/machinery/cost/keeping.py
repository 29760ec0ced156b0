"""A machine kept for years: what it fetches at the end, what its repairs come to, what is fixed, and its cost by area.

The full cost of a hectare is the marginal cost and the fixed cost, to the cent: repairs count with what a further
hectare causes, capital and holding with what is paid even if the machine stands.  ``eur`` in a name stands for the one
currency of a plan.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.science.machinery.cost.hourly import cost_per_hectare, machine_cost_per_hour, repair_asae_d497
from spadework.science.machinery.cost.ownership import capital_recovery, holding_cost, remaining_value_asae_d497_7
from spadework.working import equation

__all__ = [
    "cost_at_area",
    "fixed_per_hectare",
    "fixed_per_year",
    "owned_hours",
    "remaining_price",
    "repair_per_hour",
    "repair_per_year",
]

_MOST = 1e9


@equation("price_eur * remaining_share", unit="EUR", source="physics")
def remaining_price(price_eur: ArrayLike, remaining_share: ArrayLike) -> FloatArray:
    """Price that a machine fetches at the end.

    Parameters
    ----------
    price_eur : array_like
        List price, new [EUR], 0 to 1e9.
    remaining_share : array_like
        Remaining value, of the list price [1], 0 to 1.

    Returns
    -------
    ndarray
        Price [EUR], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Examples
    --------
    >>> float(remaining_price(100_000.0, 0.3))
    30000.0
    """
    result: FloatArray = require("price_eur", price_eur, 0, 1e9, "EUR") * require(
        "remaining_share", remaining_share, 0, 1
    )
    return result


@equation("years * hours_per_year", unit="h", source="physics")
def owned_hours(years: ArrayLike, hours_per_year: ArrayLike) -> FloatArray:
    """Hours that a machine runs while it is kept.

    Parameters
    ----------
    years : array_like
        Years kept [year], above 0 to 60.
    hours_per_year : array_like
        Use [h/year], 0 to 8784.

    Returns
    -------
    ndarray
        Hours [h], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Examples
    --------
    >>> float(owned_hours(10.0, 400.0))
    4000.0
    """
    result: FloatArray = require("years", years, 0, 60, "year", above=True) * require(
        "hours_per_year", hours_per_year, 0, 8784, "h/year"
    )
    return result


@equation("repair_eur / years", unit="EUR/year", source="physics")
def repair_per_year(repair_eur: ArrayLike, years: ArrayLike) -> FloatArray:
    """Repairs of a mean year.

    Parameters
    ----------
    repair_eur : array_like
        Repairs over all years [EUR], 0 to 1e9.
    years : array_like
        Years kept [year], above 0 to 60.

    Returns
    -------
    ndarray
        Repairs [EUR/year], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Notes
    -----
    The standard has repairs grow with age; a comparison over years needs their mean.

    Examples
    --------
    >>> float(repair_per_year(20_000.0, 10.0))
    2000.0
    """
    result: FloatArray = require("repair_eur", repair_eur, 0, 1e9, "EUR") / require(
        "years", years, 0, 60, "year", above=True
    )
    return result


@equation("repair_eur_year / hours_per_year", unit="EUR/h", source="physics", locator="cost over use")
def repair_per_hour(repair_eur_year: ArrayLike, hours_per_year: ArrayLike) -> FloatArray:
    """Repairs of one hour, for the marginal cost.

    Parameters
    ----------
    repair_eur_year : array_like
        Repairs of a mean year [EUR/year], 0 to 1e9.
    hours_per_year : array_like
        Use [h/year], above 0 to 8760.

    Returns
    -------
    FloatArray
        Repairs [EUR/h], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The mean over the years kept.  As repairs grow with the hours, the next hour of an old machine costs more.

    Examples
    --------
    >>> float(repair_per_hour(2000, 400))
    5.0
    """
    repair = require("repair_eur_year", repair_eur_year, 0, _MOST, "EUR/year")
    return repair / require("hours_per_year", hours_per_year, 0, 8760, "h/year", above=True)


@equation("capital_eur_year + holding_eur_year", unit="EUR/year", source="asae_ep496", locator="ownership cost")
def fixed_per_year(capital_eur_year: ArrayLike, holding_eur_year: ArrayLike) -> FloatArray:
    """Yearly cost of a machine that is there even if it stands.

    Parameters
    ----------
    capital_eur_year : array_like
        Capital recovery, or depreciation and interest [EUR/year], -1e9 to 1e9.
    holding_eur_year : array_like
        Tax, housing and insurance [EUR/year], 0 to 1e9.

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
    A sum.  That a machine much used fetches less is counted here, at the yearly hours planned.

    Examples
    --------
    >>> float(fixed_per_year(2060, 400))
    2460.0
    """
    capital = require("capital_eur_year", capital_eur_year, -_MOST, _MOST, "EUR/year")
    return capital + require("holding_eur_year", holding_eur_year, 0, _MOST, "EUR/year")


@equation(
    "fixed_eur_year / hours_per_year * field_time_h_ha", unit="EUR/ha", source="asae_ep496", locator="cost per area"
)
def fixed_per_hectare(fixed_eur_year: ArrayLike, hours_per_year: ArrayLike, field_time_h_ha: ArrayLike) -> FloatArray:
    """Share of the fixed cost that falls on a hectare.

    Parameters
    ----------
    fixed_eur_year : array_like
        Yearly cost of owning the machine [EUR/year], -1e9 to 1e9.
    hours_per_year : array_like
        Use, on all jobs [h/year], above 0 to 8760.
    field_time_h_ha : array_like
        Field time of this job [h/ha], 0 to 400.

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
    Cost of an hour times field time: a tractor's fixed cost goes to its jobs by the hour.

    Examples
    --------
    >>> float(fixed_per_hectare(2460, 120, 0.8).round(2))
    16.4
    """
    fixed = require("fixed_eur_year", fixed_eur_year, -_MOST, _MOST, "EUR/year")
    hours = require("hours_per_year", hours_per_year, 0, 8760, "h/year", above=True)
    return fixed / hours * require("field_time_h_ha", field_time_h_ha, 0, 400, "h/ha")


@equation(
    "price_eur * ((1 - (c1 - c2 * sqrt(years) - c3 * sqrt(area_ha_year * field_time_h_ha))**2)"
    " * interest_share * (1 + interest_share)**years / ((1 + interest_share)**years - 1)"
    " + (c1 - c2 * sqrt(years) - c3 * sqrt(area_ha_year * field_time_h_ha))**2 * interest_share + holding_share"
    " + rf1 * (years * area_ha_year * field_time_h_ha / 1000)**rf2 / years) / area_ha_year + running_eur_ha",
    unit="EUR/ha",
    source="asae_ep496",
    locator="cost per area, with D497 for remaining value and repairs",
)
def cost_at_area(
    area_ha_year: ArrayLike,
    field_time_h_ha: ArrayLike,
    price_eur: ArrayLike,
    c1: ArrayLike,
    c2: ArrayLike,
    c3: ArrayLike,
    years: ArrayLike,
    interest_share: ArrayLike,
    holding_share: ArrayLike,
    rf1: ArrayLike,
    rf2: ArrayLike,
    running_eur_ha: ArrayLike,
) -> FloatArray:
    """Full cost of a hectare with an own implement that works so many hectares a year.

    Parameters
    ----------
    area_ha_year : array_like
        Hectares that the implement works in a year [ha/year], above 0 to 100000.
    field_time_h_ha : array_like
        Field time [h/ha], above 0 to 400.
    price_eur : array_like
        List price, new [EUR], 0 to 1e9.
    c1, c2, c3 : array_like
        Coefficients of the remaining value [1]; table ``remaining_value_asae_d497``.
    years : array_like
        Years kept, bought new [year], above 0 to 60; the same at every area.
    interest_share : array_like
        Interest per year [1], -0.5 to 1.
    holding_share : array_like
        Tax, housing and insurance per price and year [1], 0 to 0.5.
    rf1, rf2 : array_like
        Repair factor and exponent [1]; table ``repair_asae_d497``.
    running_eur_ha : array_like
        What goes by the hectare: fuel, lubricants, labour, tractor [EUR/ha], 0 to 1e9.

    Returns
    -------
    FloatArray
        Cost [EUR/ha], in the broadcast shape of the arguments: areas along one axis and draws along another give the
        curve with its spread.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range, the area takes more hours than a year has, or the remaining value has no
        meaning at these years and hours.

    Notes
    -----
    Area times field time is the use a year; with it remaining value, capital recovery, holding and the repairs of a
    mean year follow as for any machine, and their sum is shared over the area.  Repairs grow faster than the hours, so
    the curve can rise again at large areas: there the machine would not last the years said.

    Examples
    --------
    >>> cost_at_area([50, 200], 0.8, 20000, 0.738, 0.051, 0, 10, 0.05, 0.02, 0.29, 1.8, 60).round(2).tolist()
    [111.45, 79.06]
    """
    area = require("area_ha_year", area_ha_year, 0, 100_000, "ha/year", above=True)
    time = require("field_time_h_ha", field_time_h_ha, 0, 400, "h/ha", above=True)
    running = require("running_eur_ha", running_eur_ha, 0, _MOST, "EUR/ha")
    hours = require("area_ha_year * field_time_h_ha", area * time, 0, 8760, "h/year", above=True)
    left = remaining_price(price_eur, remaining_value_asae_d497_7(c1, c2, c3, years, hours))
    capital = capital_recovery(price_eur, left, interest_share, years)
    repairs = repair_asae_d497(price_eur, rf1, rf2, 0, owned_hours(years, hours))
    cost_eur_h = machine_cost_per_hour(
        capital, holding_cost(price_eur, holding_share), repair_per_year(repairs, years), hours
    )
    return cost_per_hectare(cost_eur_h, time) + running
