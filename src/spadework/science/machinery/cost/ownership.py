"""Ownership: what a machine is still worth, and what having it costs per year.

Capital recovery holds depreciation and interest in one payment.  Straight-line depreciation with average interest is
its simpler rival; never add the two.  ``eur`` in a name stands for the one currency of a plan.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, ImpossibleValue, calibrated, require
from spadework.working import equation

__all__ = [
    "average_interest",
    "capital_recovery",
    "capital_recovery_factor",
    "holding_cost",
    "ownership_share_asae_ep496",
    "real_interest",
    "remaining_value_asae_d497_7",
    "remaining_value_by_age",
    "straight_line_depreciation",
]

_OWNING = reference.constants("machine_ownership")
_MOST = 1e9


@equation(
    "(c1 - c2 * sqrt(years) - c3 * sqrt(hours_per_year))**2",
    unit="1",
    source="asae_d497",
    locator="clause on remaining value",
)
def remaining_value_asae_d497_7(
    c1: ArrayLike, c2: ArrayLike, c3: ArrayLike, years: ArrayLike, hours_per_year: ArrayLike
) -> FloatArray:
    """Share of the list price that a machine is still worth.

    Parameters
    ----------
    c1 : array_like
        Coefficient C1 [1], above 0 to 2; table ``remaining_value_asae_d497``.
    c2 : array_like
        Coefficient C2 [1], 0 to 1.
    c3 : array_like
        Coefficient C3 [1], 0 to 0.1.
    years : array_like
        Age [year], 0 to 60; noted beyond 20.
    hours_per_year : array_like
        Use [h/year], 0 to 8760.

    Returns
    -------
    FloatArray
        Remaining value per list price in money of the same year [1], in the broadcast shape of the arguments.  A share
        above 1 (a nearly new combine harvester) is handed back with a note.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range, or the machine is so old or so much used that the bracket turns negative:
        its square would grow again, which means nothing.

    Notes
    -----
    (C1 - C2 sqrt(n) - C3 sqrt(h))^2, ASAE D497.7 and Lazarus & Selley (2002), from memory, as a share in place of per
    cent.  From auctions in the United States.

    Examples
    --------
    A tractor over 112 kW, 15 years at 400 hours:

    >>> float(round(remaining_value_asae_d497_7(0.976, 0.119, 0.0019, 15, 400), 4))
    0.2276
    """
    start = require("c1", c1, 0, 2, above=True)
    ageing = require("c2", c2, 0, 1)
    wear = require("c3", c3, 0, 0.1)
    age = require("years", years, 0, 60, "year")
    use = require("hours_per_year", hours_per_year, 0, 8760, "h/year")
    left = start - wear * np.sqrt(use)
    root = left - ageing * np.sqrt(age)
    if (root < 0).any():
        negative, ageing, age, left = np.broadcast_arrays(root < 0, ageing, age, left)
        found, per_root, most = (float(array[negative].flat[0]) for array in (age, ageing, left))
        longest = (max(most, 0.0) / per_root) ** 2 if per_root > 0 else 0.0
        raise ImpossibleValue("years", f"{found:.6g}", 0, longest, "year at these coefficients and hours")
    share = root**2
    model = "remaining value, ASAE D497.7"
    calibrated(model, "years", age, 0, _OWNING.remaining_value_years_most, "year")
    calibrated(model, "remaining share", share, 0, 1)
    return share


@equation("first_share * kept_share**years", unit="1", source="asae_d230", locator="older form")
def remaining_value_by_age(first_share: ArrayLike, kept_share: ArrayLike, years: ArrayLike) -> FloatArray:
    """Share of the list price that a machine is still worth, by age alone.

    Parameters
    ----------
    first_share : array_like
        Share that the course starts from [1], above 0 to 1; table ``remaining_value_by_age``.
    kept_share : array_like
        Share kept from year to year [1], above 0 to 1.
    years : array_like
        Age [year], 0 to 60.

    Returns
    -------
    FloatArray
        Remaining value per list price [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The older rival of :func:`remaining_value_asae_d497_7`; at age nil it gives the value after the first sharp fall.

    Examples
    --------
    >>> float(round(remaining_value_by_age(0.68, 0.92, 10), 3))
    0.295
    """
    first = require("first_share", first_share, 0, 1, above=True)
    kept = require("kept_share", kept_share, 0, 1, above=True)
    return first * kept ** require("years", years, 0, 60, "year")


@equation(
    "interest_share * (1 + interest_share)**years / ((1 + interest_share)**years - 1)",
    unit="1/year",
    source="engineering_economics",
    locator="capital recovery factor",
)
def capital_recovery_factor(interest_share: ArrayLike, years: ArrayLike) -> FloatArray:
    """Yearly payment that pays back one unit of money with interest.

    Parameters
    ----------
    interest_share : array_like
        Interest per year [1], -0.5 to 1.
    years : array_like
        Years of payment [year], above 0 to 60.

    Returns
    -------
    FloatArray
        Factor [1/year], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    i (1+i)^n / ((1+i)^n - 1).  At no interest the factor is 1/n, the limit of the formula, which is given there.

    Examples
    --------
    >>> capital_recovery_factor([0, 0.05], 10).round(6).tolist()
    [0.1, 0.129505]
    """
    interest = require("interest_share", interest_share, -0.5, 1)
    span = require("years", years, 0, 60, "year", above=True)
    none = interest == 0
    safe = np.where(none, 1.0, interest)
    return np.where(none, 1 / span, safe / -np.expm1(-span * np.log1p(safe)))


@equation(
    "(price_eur - remaining_eur) * interest_share * (1 + interest_share)**years / ((1 + interest_share)**years - 1)"
    " + remaining_eur * interest_share",
    unit="EUR/year",
    source="engineering_economics",
    locator="capital recovery with a remaining value",
)
def capital_recovery(
    price_eur: ArrayLike, remaining_eur: ArrayLike, interest_share: ArrayLike, years: ArrayLike
) -> FloatArray:
    """Depreciation and interest of a machine as one even payment per year.

    Parameters
    ----------
    price_eur : array_like
        Price paid [EUR], 0 to 1e9.
    remaining_eur : array_like
        Value at the end [EUR], 0 to 1e9; commonly a share of the list price, which may exceed the price paid.
    interest_share : array_like
        Interest per year [1], -0.5 to 1.
    years : array_like
        Years of ownership [year], above 0 to 60.

    Returns
    -------
    FloatArray
        Payment [EUR/year], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    (P - S) times the capital recovery factor, plus interest on S.  Never add depreciation or interest to it.

    Examples
    --------
    >>> float(round(capital_recovery(130000, 34500, 0.08, 15), 2))
    13917.22
    """
    price = require("price_eur", price_eur, 0, _MOST, "EUR")
    left = require("remaining_eur", remaining_eur, 0, _MOST, "EUR")
    interest = require("interest_share", interest_share, -0.5, 1)
    return (price - left) * capital_recovery_factor(interest, years) + left * interest


@equation("price_eur * holding_share", unit="EUR/year", source="asae_ep496", locator="tax, housing, insurance")
def holding_cost(price_eur: ArrayLike, holding_share: ArrayLike) -> FloatArray:
    """Tax, housing and insurance of a machine.

    Parameters
    ----------
    price_eur : array_like
        Purchase price [EUR], 0 to 1e9.
    holding_share : array_like
        Tax, housing and insurance per price and year [1], 0 to 0.5; table ``machine_ownership``.

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
    A share of the purchase price, as in EP496.  Countries without a tax on machines take a smaller share.

    Examples
    --------
    >>> float(holding_cost(20000, 0.02))
    400.0
    """
    return require("price_eur", price_eur, 0, _MOST, "EUR") * require("holding_share", holding_share, 0, 0.5)


@equation("(price_eur - remaining_eur) / years", unit="EUR/year", source="asae_ep496", locator="depreciation")
def straight_line_depreciation(price_eur: ArrayLike, remaining_eur: ArrayLike, years: ArrayLike) -> FloatArray:
    """Even loss of value per year.

    Parameters
    ----------
    price_eur : array_like
        Price paid [EUR], 0 to 1e9.
    remaining_eur : array_like
        Value at the end [EUR], 0 to 1e9.
    years : array_like
        Years of ownership [year], above 0 to 60.

    Returns
    -------
    FloatArray
        Depreciation [EUR/year], in the broadcast shape of the arguments; negative where the machine gains value.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    (P - S) / L.  Together with :func:`average_interest` the simpler rival of :func:`capital_recovery`.

    Examples
    --------
    >>> float(straight_line_depreciation(20000, 6652, 10))
    1334.8
    """
    price = require("price_eur", price_eur, 0, _MOST, "EUR")
    lost = price - require("remaining_eur", remaining_eur, 0, _MOST, "EUR")
    return lost / require("years", years, 0, 60, "year", above=True)


@equation("interest_share * (price_eur + remaining_eur) / 2", unit="EUR/year", source="asae_ep496", locator="interest")
def average_interest(price_eur: ArrayLike, remaining_eur: ArrayLike, interest_share: ArrayLike) -> FloatArray:
    """Interest on the average value of a machine.

    Parameters
    ----------
    price_eur : array_like
        Price paid [EUR], 0 to 1e9.
    remaining_eur : array_like
        Value at the end [EUR], 0 to 1e9.
    interest_share : array_like
        Interest per year [1], -0.5 to 1.

    Returns
    -------
    FloatArray
        Interest [EUR/year], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    i (P + S) / 2.

    Examples
    --------
    >>> float(average_interest(20000, 6000, 0.05))
    650.0
    """
    price = require("price_eur", price_eur, 0, _MOST, "EUR")
    left = require("remaining_eur", remaining_eur, 0, _MOST, "EUR")
    return require("interest_share", interest_share, -0.5, 1) * (price + left) / 2


@equation(
    "(1 - remaining_share) / years + interest_share * (1 + remaining_share) / 2 + holding_share",
    unit="1/year",
    source="asae_ep496",
    locator="ownership cost percentage",
)
def ownership_share_asae_ep496(
    remaining_share: ArrayLike, years: ArrayLike, interest_share: ArrayLike, holding_share: ArrayLike
) -> FloatArray:
    """Yearly cost of owning a machine per purchase price, by the simpler way.

    Parameters
    ----------
    remaining_share : array_like
        Value at the end per purchase price [1], 0 to 1.
    years : array_like
        Years of ownership [year], above 0 to 60.
    interest_share : array_like
        Interest per year [1], -0.5 to 1.
    holding_share : array_like
        Tax, housing and insurance per price and year [1], 0 to 0.5.

    Returns
    -------
    FloatArray
        Share of the purchase price per year [1/year], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    (1 - Sv)/L + i (1 + Sv)/2 + K2, EP496, from memory, as a share in place of per cent.

    Examples
    --------
    >>> float(round(ownership_share_asae_ep496(0.3, 10, 0.05, 0.02), 4))
    0.1225
    """
    left = require("remaining_share", remaining_share, 0, 1)
    span = require("years", years, 0, 60, "year", above=True)
    interest = require("interest_share", interest_share, -0.5, 1)
    return (1 - left) / span + interest * (1 + left) / 2 + require("holding_share", holding_share, 0, 0.5)


@equation(
    "(interest_share - inflation_share) / (1 + inflation_share)",
    unit="1",
    source="engineering_economics",
    locator="real rate of interest",
)
def real_interest(interest_share: ArrayLike, inflation_share: ArrayLike) -> FloatArray:
    """Interest after inflation.

    Parameters
    ----------
    interest_share : array_like
        Interest per year as agreed with the bank [1], -0.5 to 1.
    inflation_share : array_like
        Rise of prices per year [1], -0.5 to 1.

    Returns
    -------
    FloatArray
        Real interest per year [1], in the broadcast shape of the arguments; negative where prices rise faster.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    (i - g) / (1 + g).  Use it where all other money is in prices of one year.

    Examples
    --------
    >>> float(round(real_interest(0.05, 0.02), 4))
    0.0294
    """
    interest = require("interest_share", interest_share, -0.5, 1)
    inflation = require("inflation_share", inflation_share, -0.5, 1)
    return (interest - inflation) / (1 + inflation)
