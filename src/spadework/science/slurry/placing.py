"""How slurry was placed, weighed into one saving, and what the dose costs."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["cost_of_slurry", "early_or_never", "method_abatement", "only_where", "price_per_volume"]


@equation("covered_share * (1 - visible_share) + open_share * visible_share", unit="1", source="choice")
def method_abatement(covered_share: ArrayLike, open_share: ArrayLike, visible_share: ArrayLike) -> FloatArray:
    """Weigh what placing saves with the share of the length on which slurry shows.

    Parameters
    ----------
    covered_share : array_like
        What placing saves of the ammonia loss, slurry out of sight [1], 0 to 1.
    open_share : array_like
        What it saves where slurry shows [1], 0 to 1.
    visible_share : array_like
        Share of the length on which slurry shows [1], 0 to 1.

    Returns
    -------
    ndarray
        What the way of placing saves [1], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Notes
    -----
    Our own construction; the share is to be scored in the field, plot by plot.

    Examples
    --------
    >>> round(float(method_abatement(0.90, 0.325, 0.10)), 4)
    0.8425
    """
    visible = require("visible_share", visible_share, 0, 1)
    result: FloatArray = (
        require("covered_share", covered_share, 0, 1) * (1 - visible)
        + require("open_share", open_share, 0, 1) * visible
    )
    return result


@equation("early_share + never", unit="1", source="physics")
def early_or_never(early_share: ArrayLike, never: ArrayLike) -> FloatArray:
    """Count all of the loss as early where no pass covers the slurry.

    Parameters
    ----------
    early_share : array_like
        Share of the uncovered loss that is gone before covering; 0 where nothing covers [1], 0 to 1.
    never : array_like
        1 where nothing covers the slurry, else 0 [1], 0 to 1.

    Returns
    -------
    ndarray
        Share of the loss gone before covering [1], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Examples
    --------
    >>> early_or_never([0.3, 0.0], [0.0, 1.0]).tolist()
    [0.3, 1.0]
    """
    result: FloatArray = require("early_share", early_share, 0, 1) + require("never", never, 0, 1)
    return result


@equation("amount * placed", unit="", source="physics")
def only_where(amount: ArrayLike, placed: ArrayLike) -> FloatArray:
    """Count an amount only where slurry is placed.

    Parameters
    ----------
    amount : array_like
        Any amount [1]; any number.
    placed : array_like
        1 where slurry is placed, else 0 [1], 0 to 1.

    Returns
    -------
    ndarray
        Amount [], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Examples
    --------
    >>> only_where(50.0, [1.0, 0.0]).tolist()
    [50.0, 0.0]
    """
    result: FloatArray = require("amount", amount, -np.inf, np.inf) * require("placed", placed, 0, 1)
    return result


@equation("price_eur_t * density_t_m3", unit="EUR/m3", source="physics")
def price_per_volume(price_eur_t: ArrayLike, density_t_m3: ArrayLike) -> FloatArray:
    """Turn a price per tonne of slurry into one per cubic metre.

    Parameters
    ----------
    price_eur_t : array_like
        Price by mass [EUR/t], -1000 to 10000.
    density_t_m3 : array_like
        Density of the slurry [t/m3], 0.8 to 1.3.

    Returns
    -------
    ndarray
        Price [EUR/m3], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Examples
    --------
    >>> round(float(price_per_volume(2.0, 1.02)), 2)
    2.04
    """
    result: FloatArray = require("price_eur_t", price_eur_t, -1000, 10000, "EUR/t") * require(
        "density_t_m3", density_t_m3, 0.8, 1.3, "t/m3"
    )
    return result


@equation("dose_m3_ha * price_eur_m3", unit="EUR/ha", source="physics")
def cost_of_slurry(dose_m3_ha: ArrayLike, price_eur_m3: ArrayLike) -> FloatArray:
    """Work out what the slurry of a dose costs.

    Parameters
    ----------
    dose_m3_ha : array_like
        Dose [m3/ha], 0 to 1000.
    price_eur_m3 : array_like
        Price; negative where the slurry is paid for being taken [EUR/m3], -1000 to 10000.

    Returns
    -------
    ndarray
        Cost [EUR/ha], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Examples
    --------
    >>> float(cost_of_slurry(30.0, 1.8))
    54.0
    """
    result: FloatArray = require("dose_m3_ha", dose_m3_ha, 0, 1000, "m3/ha") * require(
        "price_eur_m3", price_eur_m3, -1000, 10000, "EUR/m3"
    )
    return result
