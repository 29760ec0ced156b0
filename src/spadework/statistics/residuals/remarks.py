"""Plain sentences about an analysis: what its residuals show, each with its number and its chance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.statistics.models.groupings import grouping_of
from spadework.statistics.models.model import Model
from spadework.statistics.models.terms import Term, UnclearModel, fixed_design, together
from spadework.statistics.residuals.checks import outlying, spread_with_mean, variances_by_group
from spadework.statistics.residuals.on_map import neighbours_alike, trend_on_map
from spadework.statistics.strata.analysis import Strata

__all__ = ["Remark", "all_columns", "remarks_on"]


@dataclass(frozen=True)
class Remark:
    """What one check found.

    Attributes
    ----------
    check : str
        What was looked at.
    value, p : float
        Its number, and the chance of so much where there is nothing.
    warns : bool
        Whether the chance is below the level asked for.
    sentence : str
        It in words.
    """

    check: str
    value: float
    p: float
    warns: bool
    sentence: str


def all_columns(found: Strata | Model, data: Mapping[str, ArrayLike]) -> FloatArray:
    """Return columns for all that an analysis takes up, strata or random terms included.

    Parameters
    ----------
    found : Strata or Model
        The analysis.
    data : mapping
        The columns that it was made from.

    Returns
    -------
    FloatArray
        Shape (readings used, columns); some say the same as others.
    """
    fixed: tuple[Term, ...] = found.terms if isinstance(found, Strata) else found.design.terms
    random = [tuple(name.split(":")) for name in found.names[:-1]] if isinstance(found, Strata) else list(found.random)
    names = {name for term in (*fixed, *random) for name in term}
    kept = {name: np.asarray(data[name])[found.used] for name in names}
    kept[""] = found.readings
    out = [fixed_design(kept, fixed).columns]
    for term in random:
        codes = grouping_of(together(kept, term)).codes
        out.append((codes[:, np.newaxis] == np.arange(codes.max() + 1)).astype(np.float64))
    return np.column_stack(out)


def remarks_on(
    found: Strata | Model,
    data: Mapping[str, ArrayLike],
    *,
    row: str = "",
    column: str = "",
    groups: str = "",
    error_share: float = 0.05,
) -> tuple[Remark, ...]:
    """Look at what an analysis leaves of the readings.

    Parameters
    ----------
    found : Strata or Model
        The analysis.
    data : mapping
        The columns that it was made from.
    row, column : str
        Columns with the row and the column of each plot [1]; left empty, the map is not looked at.
    groups : str
        Factor whose labels may scatter differently, such as ``"system"``; left empty, not looked at.
    error_share : float
        Level below which a remark warns [1], 0.0001 to 0.5.

    Returns
    -------
    tuple of Remark
        Outlying reading, scatter against mean, then the map and the groups where asked for.

    Raises
    ------
    ImpossibleValue
        If too few degrees of freedom are left to look at.
    UnclearModel
        If a column is missing.
    ValueError
        If two plots lie in one place.

    Notes
    -----
    Residuals are those inside the finest stratum: strata and random terms are taken up as if they were fixed.

    Examples
    --------
    >>> from spadework.statistics.by_layout import fit_or_strata
    >>> rows = {"block": list("111222333444"), "system": list("abcbcacababc")}
    >>> rows["y"] = [5.0, 6.1, 7.1, 6.2, 7.3, 5.1, 7.2, 5.2, 6.0, 5.1, 9.9, 7.0]
    >>> for remark in remarks_on(fit_or_strata(rows, "y", "system", ["block"]), rows):
    ...     print(remark.sentence)
    reading 11 lies 28.0 standard errors off (chance below 0.001 among 12): look up what happened there; it stays in
    what is left is no larger where the mean is high (rank correlation 0.52, chance 0.085)
    """
    level = float(require("error_share", error_share, 1e-4, 0.5))
    if missing := [name for name in (row, column, groups) if name and name not in data]:
        raise UnclearModel(f'no column is called "{missing[0]}"; there are: {", ".join(data)}')
    x = all_columns(found, data)
    shift = float(found.readings.mean())
    basis = np.linalg.svd(x, full_matrices=False)
    turn = basis[0][:, basis[1] > 1e-10 * basis[1].max()]
    said = turn @ (turn.T @ (found.readings - shift)) + shift
    left, df = found.readings - said, found.readings.size - turn.shape[1]
    out = [_of_outlying(found, x, level), _of_spread(left, said, level)]
    if row and column:
        places = (np.asarray(data[row])[found.used], np.asarray(data[column])[found.used])
        out += _of_trend(left, places, df, level)
        out.append(_of_neighbours(left, places, level))
    if groups:
        out.append(_of_groups(left, np.asarray(data[groups])[found.used], groups, level))
    return tuple(out)


def _chance(p: float) -> str:
    return "chance below 0.001" if p < 0.001 else f"chance {p:.3f}"


def _of_outlying(found: Strata | Model, x: FloatArray, level: float) -> Remark:
    each = outlying(found.readings, x)
    worst = int(np.argmin(each.p))
    t, p, number = float(each.t[worst]), float(each.p[worst]), int(found.used[worst]) + 1
    how = f"reading {number} lies {abs(t):.1f} standard errors off ({_chance(p)} among {each.t.size})"
    words = f"{how}: look up what happened there; it stays in" if p < level else f"no reading lies oddly far off: {how}"
    return Remark("outlying reading", t, p, p < level, words)


def _of_spread(left: FloatArray, said: FloatArray, level: float) -> Remark:
    each = spread_with_mean(left, said)
    how = f"(rank correlation {each.rank_correlation:.2f}, {_chance(each.p)})"
    if each.p < level:
        way = "larger" if each.rank_correlation > 0 else "smaller"
        advice = "; look at the logarithm of the readings" if each.rank_correlation > 0 else ""
        words = f"what is left is {way} where the mean is high {how}{advice}"
    else:
        words = f"what is left is no larger where the mean is high {how}"
    return Remark("scatter against mean", each.rank_correlation, each.p, each.p < level, words)


def _of_trend(left: FloatArray, places: tuple[ArrayLike, ArrayLike], df: int, level: float) -> list[Remark]:
    each, out = trend_on_map(left, *places, df_rest=df), []
    for what, slope, p in (("row", each.per_row, each.p_row), ("column", each.per_column, each.p_column)):
        if np.isfinite(slope):
            how = f"what is left changes by {slope:.3g} from one {what} to the next ({_chance(p)})"
            words = f"{how}: the layout did not take up that gradient" if p < level else f"no trend by {what}: {how}"
            out.append(Remark(f"trend by {what}", slope, p, p < level, words))
    return out


def _of_neighbours(left: FloatArray, places: tuple[ArrayLike, ArrayLike], level: float) -> Remark:
    each = neighbours_alike(left, *places)
    how = f"(Moran's I {each.i:.2f}, expected {each.expected:.2f}, {_chance(each.p)})"
    way = "alike" if each.i > each.expected else "unlike"
    words = f"neighbouring plots are {way} beyond what the layout took up {how}: see the spatial second opinion"
    if each.p >= level:
        words = f"neighbouring plots are neither alike nor unlike {how}"
    return Remark("neighbours", each.i, each.p, each.p < level, words)


def _of_groups(left: FloatArray, labels: ArrayLike, groups: str, level: float) -> Remark:
    each = variances_by_group(left, labels)
    most, least = each.labels[int(np.argmax(each.variances))], each.labels[int(np.argmin(each.variances))]
    how = f'"{most}" scatters with {each.ratio:.1f} times the variance of "{least}" (Bartlett, {_chance(each.p)})'
    words = f"{how}: give each {groups} a residual variance of its own"
    return Remark(
        f"variance by {groups}", each.ratio, each.p, each.p < level, words if each.p < level else f"{how}: no sign"
    )
