"""Whether readings look as the model takes them to be: signs to look at, never a reason to drop a plot."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from spadework.findings.compare_layout import Layout
from spadework.findings.compare_parts import PlotRead
from spadework.ranges import FloatArray, ImpossibleValue
from spadework.reference import constants
from spadework.statistics.residuals.checks import outlying, spread_with_mean, variances_by_group
from spadework.statistics.residuals.on_map import neighbours_alike, trend_on_map

__all__ = ["warnings_of"]

_K = constants("compare_rules")


def warnings_of(plots: tuple[PlotRead, ...], layout: Layout, unit: str) -> tuple[str, ...]:
    """Return what looks wrong with the readings, each in a sentence with its number.

    Parameters
    ----------
    plots : tuple of PlotRead
        With what the model leaves of them.
    layout : Layout
        Layout of the same plots.
    unit : str
        Of the readings, as it is said behind a figure.
    """
    used = np.array([math.isfinite(row.residual) for row in plots])
    rows = [row for row in plots if math.isfinite(row.residual)]
    if len(rows) < 6:
        return ()
    residuals = np.array([row.residual for row in rows])
    if np.ptp(residuals) <= 1e-9 * max(abs(row.value) for row in rows):
        return ()
    columns = _columns(layout, used)
    return (
        *_outlying(rows, columns, unit),
        *_scatter(rows, residuals),
        *_with_mean(rows, residuals),
        *_on_the_map(rows, residuals, columns),
    )


def _columns(layout: Layout, used: NDArray[np.bool_]) -> FloatArray:
    """Return a column for each cell of what is compared, and for each label of the layout's own terms."""
    compared = ("system", *layout.factors, *(("field",) if "field" in layout.fixed else ()))
    parts = []
    for term in (compared, *(tuple(text.split(":")) for text in layout.random)):
        joined = np.array(["\x00".join(str(layout.data[name][i]) for name in term) for i in np.flatnonzero(used)])
        parts.append((joined[:, np.newaxis] == np.unique(joined)).astype(float))
    return np.column_stack(parts)


def _outlying(rows: list[PlotRead], columns: FloatArray, unit: str) -> Iterator[str]:
    try:
        with np.errstate(divide="ignore"):  # a chance of one
            found = outlying([row.value for row in rows], columns)
    except ImpossibleValue:
        return
    for row, t, p in zip(rows, found.t, found.p, strict=True):
        if p < _K.check_chance:
            way = "above" if t > 0 else "below"
            where = f" (block {row.block})" if row.block else ""
            size = "beyond all measure" if not math.isfinite(t) else f"t {t:.1f}"
            yield (
                f"plot {row.plot}{where}, {row.system}: {row.value:g}{unit} lies far {way} what the other plots lead one to "
                f"expect ({size}); look whether figure and plot are right. It counts"
            )


def _scatter(rows: list[PlotRead], residuals: FloatArray) -> Iterator[str]:
    try:
        found = variances_by_group(residuals, [row.system for row in rows])
    except ImpossibleValue:
        return
    ratio = math.sqrt(found.ratio)
    if ratio >= _K.spread_ratio and found.p < _K.check_chance:
        most = found.labels[int(np.argmax(found.variances))]
        least = found.labels[int(np.argmin(found.variances))]
        yield (
            f"plots of {most} scatter {ratio:.1f} times as much as those of {least}; the intervals take one scatter for all, so "
            f"they are too narrow for {most}"
        )


def _with_mean(rows: list[PlotRead], residuals: FloatArray) -> Iterator[str]:
    found = spread_with_mean(residuals, np.array([row.value for row in rows]) - residuals)
    if found.p < _K.check_chance and found.rank_correlation > 0:
        yield (
            f"scatter grows with the mean (rank correlation {found.rank_correlation:.2f}); differences in percent would be "
            "the fairer measure"
        )


def _on_the_map(rows: list[PlotRead], residuals: FloatArray, columns: FloatArray) -> Iterator[str]:
    places = _places(rows)
    if places is None:
        return
    row, column = places
    try:
        alike = neighbours_alike(residuals, row, column)
        if alike.p < _K.check_chance and alike.i > alike.expected:
            yield f"neighbouring plots are alike beyond what the blocks take up (Moran's I {alike.i:.2f}); see the map"
        rest = float(residuals.size - np.linalg.matrix_rank(columns))
        trend = trend_on_map(residuals, row, column, rest)
    except ImpossibleValue:
        return
    for what, p in (("row", trend.p_row), ("column", trend.p_column)):
        if p < _K.check_chance:
            yield f"readings drift from {what} to {what} in a way that the blocks do not take up; see the map"


def _places(rows: list[PlotRead]) -> tuple[NDArray[np.int64], NDArray[np.int64]] | None:
    """Return row and column of each plot; blocks without rows are set apart, so that none is its neighbour's neighbour."""
    if any(row.field for row in rows):
        return None
    try:
        column = np.array([int(float(row.column)) for row in rows])
        if all(row.row for row in rows):
            across = np.array([int(float(row.row)) for row in rows])
        else:
            blocks = {name: 2 * place for place, name in enumerate(dict.fromkeys(row.block for row in rows))}
            across = np.array([blocks[row.block] for row in rows])
    except ValueError:
        return None
    both = list(zip(across.tolist(), column.tolist(), strict=True))
    return (across, column) if len(set(both)) == len(both) else None
