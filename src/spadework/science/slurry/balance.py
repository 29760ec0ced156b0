"""Phosphate and potash brought and taken away, and what slurry saves of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.science.slurry.crop_need import _between_rows
from spadework.working import equation

__all__ = [
    "bought_replaced",
    "cost_of_product",
    "crop_removal",
    "nutrient_balance",
    "nutrient_of_product",
    "silage_content",
    "value_of_starter",
    "years_until",
]


@equation("yield_t_ha * content_kg_t", unit="kg/ha", source="physics")
def crop_removal(yield_t_ha: ArrayLike, content_kg_t: ArrayLike) -> FloatArray:
    """Work out what the harvest takes off the field of one nutrient.

    Parameters
    ----------
    yield_t_ha : array_like
        What is carted off, fresh or dry as the content is [t/ha], 0 to 200.
    content_kg_t : array_like
        Nutrient in it [kg/t], 0 to 100.

    Returns
    -------
    ndarray
        Nutrient taken away [kg/ha], broadcast shape.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Figures in ``nutrient_removal`` and ``silage_removal_dry``.  Straw that stays takes nothing away.

    Examples
    --------
    >>> round(float(crop_removal(45.0, 1.8)), 1)
    81.0
    """
    return require("yield_t_ha", yield_t_ha, 0, 200, "t/ha") * require("content_kg_t", content_kg_t, 0, 100, "kg/t")


@equation(
    "straight line between row_content_kg_t of the two nearest row_dry_matter_share",
    unit="kg/t",
    source="duev",
    locator="Anlage 7",
    in_words=True,
)
def silage_content(
    dry_matter_share: ArrayLike, row_dry_matter_share: ArrayLike, row_content_kg_t: ArrayLike
) -> FloatArray:
    """Read what a tonne of fresh silage maize holds between the rows of a table.

    Parameters
    ----------
    dry_matter_share : array_like
        Dry matter of the crop at harvest [1], within the rows.
    row_dry_matter_share : array_like
        Dry matter of the rows [1], 0 to 1, rising.
    row_content_kg_t : array_like
        Nutrient in the fresh crop of the rows [kg/t], 0 to 100.

    Returns
    -------
    ndarray
        Nutrient in the fresh crop [kg/t], shape of `dry_matter_share`.

    Raises
    ------
    ImpossibleValue
        If the dry matter lies outside the rows, or a value outside its range.
    ValueError
        If the rows do not pair up or do not rise.

    Notes
    -----
    Reading between rows is ours; beyond them it is refused.  An analysis of the crop goes before it.

    Examples
    --------
    >>> round(float(silage_content(0.30, [0.28, 0.32, 0.35], [1.6, 1.8, 1.9])), 2)
    1.7
    """
    rows = require("row_dry_matter_share", row_dry_matter_share, 0, 1)
    return _between_rows(dry_matter_share, rows, require("row_content_kg_t", row_content_kg_t, 0, 100, "kg/t"))


@equation("product_kg_ha * nutrient_share", unit="kg/ha", source="physics")
def nutrient_of_product(product_kg_ha: ArrayLike, nutrient_share: ArrayLike) -> FloatArray:
    """Work out the nutrient in a bought fertiliser.

    Parameters
    ----------
    product_kg_ha : array_like
        Fertiliser as bought [kg/ha], 0 or more.
    nutrient_share : array_like
        Nutrient in it, in the form in which it is counted [1], 0 to 1.

    Returns
    -------
    ndarray
        Nutrient [kg/ha], broadcast shape.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Bags are marked as N, P2O5 and K2O in most countries and as P and K in some: see that both sides count alike.

    Examples
    --------
    >>> round(float(nutrient_of_product(100, 0.46)), 1)
    46.0
    """
    product = require("product_kg_ha", product_kg_ha, 0, np.inf, "kg/ha")
    return product * require("nutrient_share", nutrient_share, 0, 1)


@equation("brought_kg_ha + bought_kg_ha - removed_kg_ha", unit="kg/ha", source="physics")
def nutrient_balance(brought_kg_ha: ArrayLike, bought_kg_ha: ArrayLike, removed_kg_ha: ArrayLike) -> FloatArray:
    """Work out what is left on, or drawn from, the field of one nutrient.

    Parameters
    ----------
    brought_kg_ha : array_like
        Brought with slurry [kg/ha], 0 or more.
    bought_kg_ha : array_like
        Brought with bought fertiliser, starter included [kg/ha], 0 or more.
    removed_kg_ha : array_like
        Taken away with the crop [kg/ha], 0 or more.

    Returns
    -------
    ndarray
        Balance [kg/ha], negative where the soil gives, broadcast shape.

    Raises
    ------
    ImpossibleValue
        If a value is negative.

    Notes
    -----
    At the field's edge: what is washed off or leached is left out.  Rules on phosphate balances differ; check locally.

    Examples
    --------
    >>> round(float(nutrient_balance(83, 23, 81)), 1)
    25.0
    """
    brought = require("brought_kg_ha", brought_kg_ha, 0, np.inf, "kg/ha")
    bought = require("bought_kg_ha", bought_kg_ha, 0, np.inf, "kg/ha")
    return brought + bought - require("removed_kg_ha", removed_kg_ha, 0, np.inf, "kg/ha")


@equation(
    "change_kg_ha over balance_kg_ha; infinite where the balance is nil or goes the other way",
    unit="year",
    source="physics",
    in_words=True,
)
def years_until(change_kg_ha: ArrayLike, balance_kg_ha: ArrayLike) -> FloatArray:
    """Say how many years of the same balance move the soil's store by so much.

    Parameters
    ----------
    change_kg_ha : array_like
        Change of the store asked about [kg/ha], negative for a fall, -100000 to 100000.
    balance_kg_ha : array_like
        Balance of one year [kg/ha], negative where the soil gives, -10000 to 10000.

    Returns
    -------
    ndarray
        Time [year], broadcast shape; infinite where it never comes to that.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Arithmetic on the balance.  How many kilograms move a soil test by one class depends on soil and method and is for
    the user to say.

    Examples
    --------
    >>> years_until([80.0, 80.0, -80.0], [25.0, -25.0, -40.0]).tolist()
    [3.2, inf, 2.0]
    """
    change, balance = np.broadcast_arrays(
        require("change_kg_ha", change_kg_ha, -1e5, 1e5, "kg/ha"),
        require("balance_kg_ha", balance_kg_ha, -1e4, 1e4, "kg/ha"),
    )
    towards = np.sign(change) == np.sign(balance)
    with np.errstate(over="ignore"):  # a balance next to nothing: as good as never
        years = change / np.where(towards & (balance != 0), balance, 1.0)
    return np.where(change == 0, 0.0, np.where(towards, years, np.inf))


@equation("minimum(brought_kg_ha * effect_share, need_kg_ha)", unit="kg/ha", source="choice")
def bought_replaced(brought_kg_ha: ArrayLike, effect_share: ArrayLike, need_kg_ha: ArrayLike) -> FloatArray:
    """Work out the bought phosphate or potash that slurry saves, which is no more than what is needed.

    Parameters
    ----------
    brought_kg_ha : array_like
        Nutrient brought with slurry [kg/ha], 0 or more.
    effect_share : array_like
        How much of it stands in for bought nutrient [1], 0 to 1.
    need_kg_ha : array_like
        What the field needs, by advice or law [kg/ha], 0 or more.

    Returns
    -------
    ndarray
        Bought nutrient saved [kg/ha], broadcast shape.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Shares in ``mineral_effect``.  Where the soil is rich and the need nil, nothing is saved.  Price it with
    :func:`spadework.science.slurry.nitrogen.value_of_n`, whose arithmetic is the same for any nutrient.

    Examples
    --------
    >>> bought_replaced([83.0, 83.0], 1.0, [99.0, 20.0]).tolist()
    [83.0, 20.0]
    """
    brought = require("brought_kg_ha", brought_kg_ha, 0, np.inf, "kg/ha")
    acting = brought * require("effect_share", effect_share, 0, 1)
    return np.minimum(acting, require("need_kg_ha", need_kg_ha, 0, np.inf, "kg/ha"))


@equation("product_kg_ha / 1000 * price_eur_t", unit="EUR/ha", source="physics")
def cost_of_product(product_kg_ha: ArrayLike, price_eur_t: ArrayLike) -> FloatArray:
    """Work out what a bought fertiliser costs.

    Parameters
    ----------
    product_kg_ha : array_like
        Fertiliser as bought [kg/ha], 0 or more.
    price_eur_t : array_like
        Its price [EUR/t], 0 to 10000.

    Returns
    -------
    ndarray
        Cost [EUR/ha], broadcast shape.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    The fertiliser alone; placing it is part of the pass.

    Examples
    --------
    >>> float(cost_of_product(125, 620))
    77.5
    """
    product = require("product_kg_ha", product_kg_ha, 0, np.inf, "kg/ha")
    return product / 1000 * require("price_eur_t", price_eur_t, 0, 10_000, "EUR/t")


@equation("product_kg_ha / 1000 * price_eur_t * saved_share", unit="EUR/ha", source="physics")
def value_of_starter(product_kg_ha: ArrayLike, price_eur_t: ArrayLike, saved_share: ArrayLike) -> FloatArray:
    """Work out what starter fertiliser left out would have cost.

    Parameters
    ----------
    product_kg_ha : array_like
        Starter as bought [kg/ha], 0 or more.
    price_eur_t : array_like
        Its price [EUR/t], 0 to 10000.
    saved_share : array_like
        1 where it is left out, 0 where it is kept, between where halved [1], 0 to 1.

    Returns
    -------
    ndarray
        Saved [EUR/ha], broadcast shape.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Whether a system may do without is the user's to say.  The starter's own nutrients are then missing from the
    balance, and must not be counted as saved a second time.

    Examples
    --------
    >>> round(float(value_of_starter(125, 620, 1.0)), 2)
    77.5
    """
    return cost_of_product(product_kg_ha, price_eur_t) * require("saved_share", saved_share, 0, 1)
