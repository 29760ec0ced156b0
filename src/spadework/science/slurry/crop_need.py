"""What goes into the crop's need: mean yield, mineral nitrogen of the soil, and the effect of slurry by dry matter.

The national reckonings themselves stand in :mod:`spadework.science.slurry.need`.  Planning aids, not rulings.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.reference import Entry
from spadework.working import equation

__all__ = [
    "available_share_by_dry_matter",
    "extreme_years",
    "fresh_yield",
    "guide_points",
    "mean_over_rows",
    "mean_yield_germany",
    "nmin_of_layer",
]


@equation(
    "1 where a yield is further from that of the year before than extreme_share of that one, else 0; the first year, "
    "with none before it, is 0",
    unit="1",
    source="duev",
    locator="§ 4",
    in_words=True,
)
def extreme_years(yield_t_ha: ArrayLike, extreme_share: ArrayLike) -> FloatArray:
    """Mark the years whose yield German rules let a holding replace by that of the year before.

    Parameters
    ----------
    yield_t_ha : array_like
        Yields [t/ha], 0 to 200; years along the last axis, the oldest first.
    extreme_share : array_like
        How far off, up or down, counts [1], 0 to 1.

    Returns
    -------
    ndarray
        1 where extreme, else 0 [1], shape of the yields.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    "More than" is taken strictly, against the yield harvested in the year before and not its replacement.  The share
    stands in ``maize_yield_rule``.

    Examples
    --------
    >>> extreme_years([9.5, 8.5, 3.5], 0.20).tolist()
    [0.0, 0.0, 1.0]
    """
    years = np.atleast_1d(require("yield_t_ha", yield_t_ha, 0, 200, "t/ha"))
    share = np.asarray(require("extreme_share", extreme_share, 0, 1))[..., np.newaxis]
    before = years[..., :-1]
    far = (np.abs(years[..., 1:] - before) > before * share).astype(np.float64)
    return np.concatenate([np.zeros((*far.shape[:-1], 1)), far], axis=-1)


@equation(
    "mean along the last axis, each year with replaced = 1 standing for the yield of the year before",
    unit="t/ha",
    source="duev",
    locator="§ 4",
    in_words=True,
)
def mean_yield_germany(yield_t_ha: ArrayLike, replaced: ArrayLike, extreme_share: ArrayLike) -> FloatArray:
    """Average past yields, extreme years replaced where the holding chooses to.

    Parameters
    ----------
    yield_t_ha : array_like
        Yields [t/ha], 0 to 200; years along the last axis, the oldest first.
    replaced : array_like
        1 for a year to be replaced by the one before, else 0 [1], 0 to 1; years along the last axis.
    extreme_share : array_like
        How far off a year must be to be replaced [1], 0 to 1.

    Returns
    -------
    ndarray
        Mean yield [t/ha], broadcast shape without the last axis.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or a year is to be replaced that is not extreme.

    Notes
    -----
    Replacing is a choice and never done unasked: after one failure the good year that follows is "extreme" too, and
    replacing that one would count the failure twice.  :func:`extreme_years` says which years may go.

    Examples
    --------
    >>> round(float(mean_yield_germany([9.5, 8.5, 3.5], [0, 0, 1], 0.20)), 2)
    8.83
    """
    may = extreme_years(yield_t_ha, extreme_share)
    years, chosen, may = np.broadcast_arrays(
        np.atleast_1d(require("yield_t_ha", yield_t_ha, 0, 200, "t/ha")),
        np.atleast_1d(require("replaced", replaced, 0, 1)),
        may,
    )
    if (chosen > may).any():
        raise ImpossibleValue("replaced", f"{float(chosen[chosen > may].flat[0]):g} in a year not extreme", 0, 0, "")
    before = np.concatenate([years[..., :1], years[..., :-1]], axis=-1)
    result: FloatArray = np.where(chosen == 1, before, years).mean(axis=-1)
    return result


@equation("dry_yield_t_ha / dry_matter_share", unit="t/ha", source="physics")
def fresh_yield(dry_yield_t_ha: ArrayLike, dry_matter_share: ArrayLike) -> FloatArray:
    """Turn a yield of dry matter into what is carted off.

    Parameters
    ----------
    dry_yield_t_ha : array_like
        Yield of dry matter [t/ha], 0 to 100.
    dry_matter_share : array_like
        Dry matter of the crop as it is weighed [1], above 0, up to 1.

    Returns
    -------
    ndarray
        Yield as weighed [t/ha], broadcast shape.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    National reckonings count silage fresh and grain at its usual moisture.

    Examples
    --------
    >>> float(fresh_yield(16.5, 0.33))
    50.0
    """
    dry = require("dry_yield_t_ha", dry_yield_t_ha, 0, 100, "t/ha")
    return dry / require("dry_matter_share", dry_matter_share, 0, 1, above=True)


@equation(
    "nmin_mg_kg * bulk_density_t_m3 * depth_cm / 10 * (1 - stones_share)",
    unit="kg/ha",
    source="physics",
    locator="mass of fine soil in a layer",
)
def nmin_of_layer(
    nmin_mg_kg: ArrayLike, bulk_density_t_m3: ArrayLike, depth_cm: ArrayLike, stones_share: ArrayLike
) -> FloatArray:
    """Turn mineral nitrogen as analysed into kilograms per hectare of one layer.

    Parameters
    ----------
    nmin_mg_kg : array_like
        Nitrate N and ammonium N of dry fine soil [mg/kg], 0 to 5000.
    bulk_density_t_m3 : array_like
        Dry bulk density of the layer [t/m3], 0.5 to 2.2.
    depth_cm : array_like
        Thickness of the layer [cm], 0 to 200.
    stones_share : array_like
        Stones by volume [1], 0 to 0.95.

    Returns
    -------
    ndarray
        Mineral N [kg/ha], broadcast shape.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    A tenth off in density is a tenth off in kilograms: say whether it was measured.  Layers add up.

    Examples
    --------
    >>> round(float(nmin_of_layer(5.0, 1.4, 30, 0.0)), 1)
    21.0
    """
    found = require("nmin_mg_kg", nmin_mg_kg, 0, 5000, "mg/kg")
    density = require("bulk_density_t_m3", bulk_density_t_m3, 0.5, 2.2, "t/m3")
    depth = require("depth_cm", depth_cm, 0, 200, "cm")
    return found * density * depth / 10 * (1 - require("stones_share", stones_share, 0, 0.95))


@equation(
    "content times width_m, summed along the last axis, over the sum of width_m",
    unit="",
    source="physics",
    in_words=True,
)
def mean_over_rows(content: ArrayLike, width_m: ArrayLike) -> FloatArray:
    """Average soil samples taken across the row, each by the width that it stands for.

    Parameters
    ----------
    content : array_like
        Mineral N or another content at each place across the row [any], 0 or more.
    width_m : array_like
        Width for which the place stands [m], 0 to 10; together one row spacing.

    Returns
    -------
    ndarray
        Mean in the unit of `content`, broadcast shape without the last axis.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or the widths come to nothing.

    Notes
    -----
    Over banded slurry a walk across the field without regard to rows hits the band too often or too seldom.  Equal
    steps at right angles to the bands that add up to one row spacing have equal widths (Meinen and others 2023).

    Examples
    --------
    >>> round(float(mean_over_rows([90.0, 20.0, 12.0], [0.15, 0.30, 0.30])), 1)
    30.8
    """
    values, width = np.broadcast_arrays(
        np.atleast_1d(require("content", content, 0, np.inf)), np.atleast_1d(require("width_m", width_m, 0, 10, "m"))
    )
    whole = require("width_m", width.sum(axis=-1), 0, np.inf, "m", above=True)
    result: FloatArray = (values * width).sum(axis=-1) / whole
    return result


@equation(
    "straight line between the guide values row_available_share of the two nearest row_dry_matter_share",
    unit="1",
    source="rb209",
    locator="crop-available N of slurries",
    in_words=True,
)
def available_share_by_dry_matter(
    dry_matter_share: ArrayLike, row_dry_matter_share: ArrayLike, row_available_share: ArrayLike
) -> FloatArray:
    """Read the share of total nitrogen that counts between the rows of a guide table.

    Parameters
    ----------
    dry_matter_share : array_like
        Dry matter of the slurry [1], within the rows.
    row_dry_matter_share : array_like
        Dry matter of the rows [1], 0 to 0.3, rising.
    row_available_share : array_like
        Available N of the rows, share of total N [1], 0 to 1.

    Returns
    -------
    ndarray
        Available N, share of total N [1], shape of `dry_matter_share`.

    Raises
    ------
    ImpossibleValue
        If the dry matter lies outside the rows, or a value outside its range.
    ValueError
        If the rows do not pair up or do not rise.

    Notes
    -----
    Reading between rows is ours; the guide prints the rows only, and nothing beyond them is made up.
    :func:`guide_points` gives the rows of a season, soil and way of spreading.

    Examples
    --------
    >>> round(float(available_share_by_dry_matter(0.08, [0.02, 0.06, 0.10], [0.45, 0.35, 0.25])), 3)
    0.3
    """
    rows = require("row_dry_matter_share", row_dry_matter_share, 0, 0.3)
    return _between_rows(dry_matter_share, rows, require("row_available_share", row_available_share, 0, 1))


@equation(
    "rows of the table named in dry_matter_of_rows that belong to the series, with the dry matter of each",
    unit="1",
    source="choice",
    in_words=True,
)
def guide_points(series: str, column: str) -> tuple[tuple[Entry, Entry], ...]:
    """Look up the rows of one guide series, with their dry matter.

    Parameters
    ----------
    series : str
        Name in the column ``series`` of table ``dry_matter_of_rows`` [any].
    column : str
        Column of the table in which the rows stand [any].

    Returns
    -------
    tuple of pairs of Entry
        Dry matter and value, with their citations, by rising dry matter.

    Raises
    ------
    KeyError
        If there is no such series, or a row has nothing in the column.

    Examples
    --------
    >>> [(dry.value, share.value) for dry, share in guide_points("uk_cattle_spring_band", "available_share")]
    [(0.02, 0.5), (0.06, 0.4), (0.1, 0.3)]
    """
    rows = [row for row in reference.load("dry_matter_of_rows").values() if row.text("series") == series]
    if not rows:
        raise KeyError(f"no series {series} in table dry_matter_of_rows")
    pairs = [(row.entry("dry_matter_share"), reference.load(row.text("table"))[row.key].entry(column)) for row in rows]
    return tuple(sorted(pairs, key=lambda pair: pair[0].value))


def _between_rows(dry_matter_share: ArrayLike, rows: FloatArray, values: FloatArray) -> FloatArray:
    rows, values = np.atleast_1d(rows), np.atleast_1d(values)
    if rows.ndim != 1 or rows.shape != values.shape or (np.diff(rows) <= 0).any():
        raise ValueError("rows must be one list of rising dry matter, with one value for each")
    dry = require("dry_matter_share", dry_matter_share, float(rows[0]), float(rows[-1]))
    return np.asarray(np.interp(dry, rows, values), dtype=np.float64)
