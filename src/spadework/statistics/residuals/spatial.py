"""Neighbours on the grid of plots: correlated readings as a second opinion, never as the first.

A layout is judged by how its lots were drawn (:mod:`spadework.statistics.by_layout`).  What stands here asks how much
the answer moves if plots close together are taken to be alike: a correlation that falls off by the step along rows and
along columns, with or without a part of its own for each plot, and with or without the terms of the layout.  Few plots
cannot carry it; nine to twenty-four strips bear one correlation across the strips at most.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require
from spadework.statistics.models.groupings import grouping_of
from spadework.working import equation

__all__ = ["Grid", "SpatialFit", "fit_spatial", "grid_of"]

MOST_NUMBERS = 4_000_000
"""Places of the grid times columns (fixed effects, empty places and levels of the layout's terms) that are taken."""
_RHO = (-0.9, 0.9999)
_NUGGET = (0.0, 0.999)
_RATIO = (0.0, 1e4)
_STARTS = ((0.1, 0.5), (0.5, 0.2), (0.9, 0.2), (0.7, 0.05))  # correlation by the step, part of its own
_SAME = 0.01  # of minus twice the log-likelihood
_EDGE = 1e-3


@dataclass(frozen=True)
class Grid:
    """Places of plots on a grid.

    Attributes
    ----------
    row, column : NDArray
        Steps from the first row and the first column.
    full : bool
        True where every place of the grid has a reading.
    """

    row: NDArray[np.int64]
    column: NDArray[np.int64]
    full: bool

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return int(self.row.max()) + 1, int(self.column.max()) + 1


@dataclass(frozen=True)
class SpatialFit:
    """A fit with correlated neighbours.

    Attributes
    ----------
    rho_rows, rho_columns : float
        Correlation from one row to the next, and from one column to the next; NaN where there is one only.
    nugget_share : float
        Share of the variance of a plot that is its own [1]; nought where none was fitted.
    variance : float
        Variance of a plot on the grid, its own part included, in the unit of the readings squared.
    random : dict
        Variance of each term of the layout.
    log_likelihood : float
        Restricted log-likelihood, comparable between fits with the same fixed columns.
    parameters : int
        Variances and correlations that were fitted.
    effects, covariance : FloatArray
        Fixed effects and their covariance, as if variances and correlations were known.
    agreed : tuple of int
        Of how many starts how many came to the same end: (same, all).
    notes : tuple of str
        What a reader must be told.
    """

    rho_rows: float
    rho_columns: float
    nugget_share: float
    variance: float
    random: dict[str, float]
    log_likelihood: float
    parameters: int
    effects: FloatArray
    covariance: FloatArray
    agreed: tuple[int, int]
    notes: tuple[str, ...]

    @property
    def criterion(self) -> float:
        """Minus twice the restricted log-likelihood, plus two for each variance and correlation; less is better."""
        return -2 * self.log_likelihood + 2 * self.parameters

    def se(self, weights: ArrayLike) -> FloatArray:
        """Return the standard error of each combination of fixed effects."""
        rows = require("weights", weights, -1e12, 1e12)
        return np.asarray(np.sqrt(np.einsum("ka,ab,kb->k", rows, self.covariance, rows)))


def grid_of(row: ArrayLike, column: ArrayLike) -> Grid:
    """Put plots on a grid.

    Parameters
    ----------
    row, column : array_like
        Number of the row and of the column of each plot [1], whole numbers, with a number left out where a row or
        column has no plot; no two plots in one place.

    Returns
    -------
    Grid
        Steps from the first row and column.

    Raises
    ------
    ImpossibleValue
        If a number is none or not whole.
    ValueError
        If two plots lie in one place.

    Examples
    --------
    >>> grid_of([1, 1, 2, 2], [3, 4, 3, 4]).full
    True
    """
    places = []
    for name, values in (("row", row), ("column", column)):
        found = require(name, values, -1e6, 1e6)
        require(f"part of {name} that is not whole", np.abs(found - np.round(found)), 0, 0)
        places.append(np.round(found).astype(np.int64).reshape(-1) - int(np.round(found.min())))
    if places[0].size != places[1].size:
        raise ValueError("`row` and `column` must have a number for each plot")
    both = np.stack(places, axis=1)
    unique, counts = np.unique(both, axis=0, return_counts=True)
    if counts.max() > 1:
        where = unique[counts.argmax()]
        raise ValueError(
            f"{counts.max()} readings lie in one place, {where[0]} rows and {where[1]} columns from the first"
        )
    rows, columns = int(places[0].max()) + 1, int(places[1].max()) + 1
    return Grid(places[0], places[1], unique.shape[0] == rows * columns)


@equation(
    "the fixed effects, variances and correlations at which the restricted likelihood is largest; the correlation of two "
    "plots is rho_rows to the power of the rows between them times rho_columns to the power of the columns",
    unit="",
    source="gilmour_cullis_verbyla_1997",
    in_words=True,
)
def fit_spatial(
    readings: ArrayLike,
    fixed: ArrayLike,
    row: ArrayLike,
    column: ArrayLike,
    random: Mapping[str, ArrayLike] | None = None,
    *,
    nugget: bool = True,
    held: tuple[float, float, float] | None = None,
) -> SpatialFit:
    """Fit correlated neighbours on a grid of plots by restricted likelihood; a second opinion only.

    Parameters
    ----------
    readings : array_like
        Readings [any], one of each plot.
    fixed : array_like
        Columns of the fixed part [any], shape (readings, columns), of full rank.
    row, column : array_like
        Row and column of each plot [1], whole numbers; one row of strips has the same row throughout.
    random : mapping, optional
        Terms of the layout to be kept beside the correlation: name, and the label of each reading.
    nugget : bool
        Whether each plot has a part of its own.
    held : tuple of float, optional
        Correlation by row, by column, and share of a plot's own [1], to be taken as given and not searched for.

    Returns
    -------
    SpatialFit
        Effects in the unit of the readings.

    Raises
    ------
    ImpossibleValue
        If a value is no number, there are too few readings, or the grid is too large or too empty.
    ValueError
        If shapes do not fit or two plots lie in one place.

    Notes
    -----
    Variance = variance * ((1 - nugget_share) * correlation + nugget_share on the diagonal) + the layout's terms.  The
    scale is found in closed form, the rest by a search from four starts, since such likelihoods have several tops.  The
    correlation comes apart into rows and columns, so that no matrix of the size plots by plots is made; an empty place
    of the grid has a fixed effect of its own, which gives the same restricted likelihood as leaving it out, and the
    terms of the layout are fitted as effects that cost their square.  Standard errors take the correlations as known,
    so they are too small where plots are few.

    Examples
    --------
    >>> import numpy as np
    >>> along = np.arange(40)
    >>> walk = np.cumsum(np.random.default_rng(1).normal(size=40))
    >>> found = fit_spatial(walk, np.ones((40, 1)), np.zeros(40), along, nugget=False)
    >>> round(found.rho_columns, 2), bool(np.isnan(found.rho_rows))
    (0.81, True)
    """
    from scipy.optimize import minimize

    y, x = require("readings", readings, -1e12, 1e12), require("fixed", fixed, -1e12, 1e12)
    if y.ndim != 1 or x.ndim != 2 or x.shape[0] != y.size:
        raise ValueError("`readings` must be one row, and `fixed` must have a row for each of them")
    unit = np.linalg.lstsq(x, np.ones(y.size), rcond=None)[0]
    if np.abs(x @ unit - 1).max() > 1e-9:
        raise ValueError("`fixed` must be able to give one level to all plots (a column of ones or the like)")
    grid = grid_of(row, column)
    if grid.row.size != y.size:
        raise ValueError("`row` and `column` must have a number for each reading")
    names = tuple(random or {})
    require("number of readings", y.size, x.shape[1] + 4 + len(names), np.inf)
    shift = float(y.mean())
    whiten = _Whitening(grid, [np.asarray(labels) for labels in (random or {}).values()])
    laid = whiten.laid_out(np.column_stack([x, y - shift]))
    free = [grid.shape[0] > 1, grid.shape[1] > 1]
    bounds = [_RHO if f else (0.0, 0.0) for f in free] + [_NUGGET if nugget else (0.0, 0.0)]
    if held is not None:
        for number, name in enumerate(("rho_rows", "rho_columns", "nugget_share")):
            low, high = _NUGGET if number == 2 else _RHO
            value = float(require(f"held {name}", held[number], low, high))
            bounds[number] = (value, value) if number == 2 or free[number] else (0.0, 0.0)
    bounds += [_RATIO] * len(names)

    def lost(at: FloatArray) -> float:
        return _solved(whiten, laid, x.shape[1], at)[0]

    def searched(start: FloatArray, way: Literal["2-point", "3-point"], sharp: float) -> tuple[float, FloatArray]:
        found = minimize(lost, start, method="L-BFGS-B", jac=way, bounds=bounds, options={"ftol": sharp, "gtol": 1e-6})
        return float(found.fun), np.asarray(found.x, dtype=np.float64)

    ends = []
    for rho, own in _STARTS:
        start = np.clip(
            [rho, rho, own, *([0.3] * len(names))], [low for low, _ in bounds], [high for _, high in bounds]
        )
        if all(low == high for low, high in bounds):
            ends.append((lost(start), start))
            break
        ends.append(searched(start, "2-point", 1e-10))
    nearest = min(ends, key=lambda end: end[0])
    again = searched(nearest[1], "3-point", 1e-14) if len(ends) > 1 else nearest
    best, at = min(again, nearest, key=lambda end: end[0])
    _, scale, effects, covariance = _solved(whiten, laid, x.shape[1], at)
    agreed = sum(end[0] < best + _SAME for end in ends)
    notes = _told(at, bounds, names, agreed, len(ends))
    return SpatialFit(
        float(at[0]) if free[0] else float("nan"),
        float(at[1]) if free[1] else float("nan"),
        float(at[2]),
        scale,
        {name: float(at[3 + k]) * scale for k, name in enumerate(names)},
        -best / 2,
        1 + sum(low < high for low, high in bounds),
        effects + shift * unit,
        covariance,
        (agreed, len(ends)),
        notes,
    )


class _Whitening:
    """Turns columns of values into such as are independent, and tells the log of the determinant on the way."""

    def __init__(self, grid: Grid, labels: Sequence[NDArray[np.generic]]) -> None:
        self.shape = grid.shape
        require("places of the grid", self.shape[0] * self.shape[1], 1, MOST_NUMBERS)
        self.place = grid.row * grid.shape[1] + grid.column
        self.empty = np.setdiff1d(np.arange(grid.shape[0] * grid.shape[1]), self.place)
        groups = [grouping_of(each) for each in labels]
        self.term_of = np.repeat(np.arange(len(groups)), [g.levels for g in groups])
        self.levels = [(g.codes[:, np.newaxis] == np.arange(g.levels)).astype(np.float64) for g in groups]

    def laid_out(self, b: FloatArray) -> FloatArray:
        """Return levels of the terms, fixed columns, one column for each empty place, and the readings, on the full grid."""
        places = self.shape[0] * self.shape[1]
        inside = np.column_stack([*self.levels, b[:, :-1], np.zeros((len(b), self.empty.size)), b[:, -1]])
        require("places of the grid times columns", places * inside.shape[1], 1, MOST_NUMBERS)
        out = np.zeros((places, inside.shape[1]))
        out[self.place] = inside
        out[self.empty, inside.shape[1] - 1 - self.empty.size + np.arange(self.empty.size)] = 1.0
        return out

    def __call__(self, at: FloatArray, values: FloatArray) -> tuple[float, FloatArray]:
        rows, columns = self.shape
        cube = values.reshape(rows, columns, -1)
        if at[2] <= 0:
            cube = np.swapaxes(_stepped(np.swapaxes(_stepped(cube, at[0]), 0, 1), at[1]), 0, 1)
            log_det = columns * (rows - 1) * np.log1p(-(at[0] ** 2)) + rows * (columns - 1) * np.log1p(-(at[1] ** 2))
            return float(log_det), cube.reshape(rows * columns, -1)
        wide, turn_rows = np.linalg.eigh(_by_step(at[0], rows))
        high, turn_columns = np.linalg.eigh(_by_step(at[1], columns))
        size = (1 - at[2]) * np.outer(wide, high) + at[2]
        turned = (turn_rows.T @ cube.reshape(rows, -1)).reshape(cube.shape)
        turned = turn_columns.T @ turned
        return float(np.log(size).sum()), (turned / np.sqrt(size)[:, :, np.newaxis]).reshape(rows * columns, -1)


def _by_step(rho: float, count: int) -> FloatArray:
    return np.asarray(np.power(rho, np.abs(np.subtract.outer(np.arange(count), np.arange(count)))))


def _stepped(values: FloatArray, rho: float) -> FloatArray:
    """Return the first value, and what each next one adds to its forerunner, over its spread; along the first axis."""
    return np.concatenate([values[:1], (values[1:] - rho * values[:-1]) / np.sqrt(1 - rho**2)])


def _solved(
    whiten: _Whitening, laid: FloatArray, fixed: int, at: FloatArray
) -> tuple[float, float, FloatArray, FloatArray]:
    """Return minus twice the restricted log-likelihood, the scale, the effects and their covariance."""
    log_det, white = whiten(at, laid)
    levels = whiten.term_of.size
    products = white.T @ white
    if levels:  # levels of the terms are columns that cost their square: their variance is one after scaling
        size = np.concatenate([np.sqrt(at[3:])[whiten.term_of], np.ones(len(products) - levels)])
        products *= np.outer(size, size)
        products[np.arange(levels), np.arange(levels)] += 1.0
    corner = np.linalg.cholesky(products)  # its last row holds the readings, and its last corner what nothing gives
    solved = np.linalg.inv(corner[:-1, :-1])
    freedom = white.shape[0] + levels - len(solved)
    scale = float(corner[-1, -1]) ** 2 / freedom
    log_det += 2 * float(np.log(np.diag(corner)[:-1]).sum())
    own = solved[:, levels : levels + fixed]
    lost = log_det + freedom * (np.log(2 * np.pi * scale) + 1)
    return float(lost), scale, np.asarray(own.T @ corner[-1, :-1]), scale * (own.T @ own)


def _told(
    at: FloatArray, bounds: Sequence[tuple[float, float]], names: Sequence[str], agreed: int, starts: int
) -> tuple[str, ...]:
    said = ["a second opinion: the layout's own analysis comes first"]
    what = (
        "the correlation from row to row",
        "the correlation from column to column",
        "the share of a plot's own",
        *names,
    )
    for value, (low, high), name in zip(at, bounds, what, strict=True):
        if low < high and (value <= low + _EDGE or value >= high - _EDGE):
            said.append(f"{name} went to the end of its range ({value:.4g}); the plots do not tell it")
    if agreed < starts / 2:
        said.append(f"only {agreed} of {starts} starts came to the same end; take the figures with care")
    return tuple(said)
