"""Nitrogen that slurry gives to crops in the years after: by year, summed, and what it is worth."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = ["carry_over_after", "later_share", "value_of_later_years"]


@equation(
    "total_effect_share * kept_share ** (year - 1) * (1 - kept_share) / (1 - kept_share ** years)",
    unit="1",
    source="choice",
)
def later_share(total_effect_share: ArrayLike, kept_share: ArrayLike, year: ArrayLike, years: ArrayLike) -> FloatArray:
    """Split a nitrogen effect that is known as a sum over later years into the single years.

    Parameters
    ----------
    total_effect_share : array_like
        Effect of all later years together, share of total N spread [1], 0 to 1.
    kept_share : array_like
        Effect of a year against the year before [1], 0 up to 0.999.
    year : array_like
        Which year after spreading, the first after the harvest year being 1 [1], 1 up to `years`.
    years : array_like
        Years over which the sum was taken [year], 1 to 100.

    Returns
    -------
    ndarray
        Effect of that year, share of total N spread [1], broadcast shape.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    A falling series that adds up to the sum.  The sum is in ``nitrogen_carry_over``, the fall, ours, in ``later_years``.

    Examples
    --------
    >>> [round(float(later_share(0.21, 0.5, k, 3)), 2) for k in (1, 2, 3)]
    [0.12, 0.06, 0.03]
    """
    total = require("total_effect_share", total_effect_share, 0, 1)
    kept = require("kept_share", kept_share, 0, 0.999)
    last = require("years", years, 1, 100, "year")
    which = require("year", year, 1, 100, "year")
    late, end = np.broadcast_arrays(which, last)
    if (late > end).any():
        worst = late > end
        raise ImpossibleValue("year", f"{float(late[worst].flat[0]):g}", 1, float(end[worst].flat[0]), "")
    result: FloatArray = total * kept ** (which - 1) * (1 - kept) / (1 - kept**last)
    return result


@equation(
    "total_n_kg_ha times the sum of yearly_share over the years from 1 to years, the same slurry given each year",
    unit="kg/ha",
    source="physics",
    in_words=True,
)
def carry_over_after(total_n_kg_ha: ArrayLike, yearly_share: ArrayLike, years: ArrayLike) -> FloatArray:
    """Work out the effect that earlier slurry has in a year, after so many years of the same slurry.

    Parameters
    ----------
    total_n_kg_ha : array_like
        Total N spread each year [kg/ha], 0 or more.
    yearly_share : array_like
        Effect in each later year, share of total N [1], 0 to 1; years along the last axis, together 1 at most.
    years : array_like
        Years with slurry before this one [year], 0 or more.

    Returns
    -------
    ndarray
        Nitrogen effect of the earlier years [kg/ha], broadcast shape without the last axis.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Grows until every year of the series has come in, and stays there.

    Examples
    --------
    >>> [round(float(carry_over_after(150.0, [0.12, 0.06, 0.03], n)), 1) for n in (0, 1, 2, 3, 9)]
    [0.0, 18.0, 27.0, 31.5, 31.5]
    """
    total = require("total_n_kg_ha", total_n_kg_ha, 0, np.inf, "kg/ha")
    shares = _yearly(yearly_share)
    past = np.asarray(require("years", years, 0, 1e6, "year"))[..., np.newaxis]
    result: FloatArray = total * (shares * (np.arange(1, shares.shape[-1] + 1) <= past)).sum(axis=-1)
    return result


@equation(
    "total_n_kg_ha times price_eur_kg times the sum of yearly_share of each year over (1 + discount_share) to the power "
    "of the year",
    unit="EUR/ha",
    source="physics",
    in_words=True,
)
def value_of_later_years(
    total_n_kg_ha: ArrayLike, yearly_share: ArrayLike, price_eur_kg: ArrayLike, discount_share: ArrayLike = 0.0
) -> FloatArray:
    """Work out what one year's slurry is worth in the years after.

    Parameters
    ----------
    total_n_kg_ha : array_like
        Total N spread [kg/ha], 0 or more.
    yearly_share : array_like
        Effect in each later year, share of total N [1], 0 to 1; years along the last axis, together 1 at most.
    price_eur_kg : array_like
        Price of bought N [EUR/kg], 0 or more.
    discount_share : array_like, optional
        By how much a year's wait makes money worth less [1], 0 to 1.

    Returns
    -------
    ndarray
        Value today [EUR/ha], broadcast shape without the last axis.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Worth something only as far as later crops need it and less is bought for them.

    Examples
    --------
    >>> round(float(value_of_later_years(100.0, [0.12, 0.06, 0.03], 1.0, 0.05)), 2)
    19.46
    """
    total = require("total_n_kg_ha", total_n_kg_ha, 0, np.inf, "kg/ha")
    shares = _yearly(yearly_share)
    rate = np.asarray(require("discount_share", discount_share, 0, 1))[..., np.newaxis]
    today = (shares / (1 + rate) ** np.arange(1, shares.shape[-1] + 1)).sum(axis=-1)
    result: FloatArray = total * require("price_eur_kg", price_eur_kg, 0, np.inf, "EUR/kg") * today
    return result


def _yearly(yearly_share: ArrayLike) -> FloatArray:
    shares = np.atleast_1d(require("yearly_share", yearly_share, 0, 1))
    require("yearly_share", shares.sum(axis=-1), 0, 1 + 1e-9)
    return shares
