"""A machine kept for years: what it fetches at the end, how long it ran, what its repairs come to."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["owned_hours", "remaining_price", "repair_per_year"]


@equation("price_eur * remaining_share", unit="EUR", source="physics")
def remaining_price(price_eur: ArrayLike, remaining_share: ArrayLike) -> FloatArray:
    """Price that a machine fetches at the end.

    Parameters
    ----------
    price_eur : array_like
        List price, new [EUR], 0 or more.
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
    result: FloatArray = require("price_eur", price_eur, 0, np.inf, "EUR") * require(
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
        Repairs over all years [EUR], 0 or more.
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
    result: FloatArray = require("repair_eur", repair_eur, 0, np.inf, "EUR") / require(
        "years", years, 0, 60, "year", above=True
    )
    return result
