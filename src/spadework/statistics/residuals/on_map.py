"""What is left of the readings, put back on the map of the plots: trends and neighbours that are alike."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.statistics.residuals.spatial import grid_of
from spadework.working import equation

__all__ = ["Together", "Trend", "moran_i", "neighbours_alike", "on_the_map", "trend_on_map"]

MOST_DRAWS = 100_000


@dataclass(frozen=True)
class Together:
    """Whether neighbouring plots are alike.

    Attributes
    ----------
    i, expected : float
        Moran's I, and what is expected of it where there is nothing.
    p : float
        Chance of so large a departure, either way.
    pairs : int
        Pairs of neighbours.
    """

    i: float
    expected: float
    p: float
    pairs: int


@dataclass(frozen=True)
class Trend:
    """A straight trend over the map.

    Attributes
    ----------
    per_row, per_column : float
        Change from one row to the next, and from one column to the next; NaN where there is one only.
    p_row, p_column : float
        Chance of each; NaN in the same place.
    """

    per_row: float
    per_column: float
    p_row: float
    p_column: float


def on_the_map(values: ArrayLike, row: ArrayLike, column: ArrayLike) -> FloatArray:
    """Put values in their places.

    Parameters
    ----------
    values : array_like
        One of each plot [any].
    row, column : array_like
        Row and column of each plot [1], whole numbers.

    Returns
    -------
    FloatArray
        Shape (rows, columns); NaN in empty places.

    Raises
    ------
    ImpossibleValue
        If a value is no number.
    ValueError
        If two plots lie in one place, or shapes do not fit.

    Examples
    --------
    >>> on_the_map([1.0, 2.0, 3.0], [1, 1, 2], [1, 2, 1]).tolist()
    [[1.0, 2.0], [3.0, nan]]
    """
    found, grid = require("values", values, -1e12, 1e12), grid_of(row, column)
    if found.shape != grid.row.shape:
        raise ValueError("`row` and `column` must have a number for each value")
    out = np.full(grid.shape, np.nan)
    out[grid.row, grid.column] = found
    return out


@equation(
    "plots / pairs * sum over pairs of neighbours of z z' / sum of z squared, z the value less the mean; neighbours lie "
    "next to each other in a row or a column",
    unit="1",
    source="moran_1950",
    in_words=True,
)
def moran_i(values: ArrayLike, row: ArrayLike, column: ArrayLike) -> float:
    """Likeness of neighbouring plots.

    Parameters
    ----------
    values : array_like
        One of each plot [any], not all the same.
    row, column : array_like
        Row and column of each plot [1], whole numbers.

    Returns
    -------
    float
        Moran's I [1]; about nought where there is nothing, 1 where neighbours are the same, -1 on a chessboard.

    Raises
    ------
    ImpossibleValue
        If a value is no number, all are the same, or no two plots are neighbours.
    ValueError
        If two plots lie in one place, or shapes do not fit.

    Examples
    --------
    >>> moran_i([1, 0, 0, 1], [1, 1, 2, 2], [1, 2, 1, 2])
    -1.0
    """
    return _moran(on_the_map(values, row, column))[0]


def _moran(board: FloatArray) -> tuple[float, int]:
    there = np.isfinite(board)
    z = np.where(there, board - board[there].mean(), 0.0)
    pairs = int((there[1:] & there[:-1]).sum() + (there[:, 1:] & there[:, :-1]).sum())
    require("pairs of neighbours", pairs, 1, np.inf)
    square = float(np.sum(z**2))
    require("sum of squares", square, 0, np.inf, above=True)
    return float(there.sum() / pairs * (np.sum(z[1:] * z[:-1]) + np.sum(z[:, 1:] * z[:, :-1])) / square), pairs


@equation(
    "share of shuffled maps, this one counted in, on which Moran's I is as far from its mean",
    unit="1",
    source="moran_1950",
    in_words=True,
)
def neighbours_alike(
    values: ArrayLike, row: ArrayLike, column: ArrayLike, *, draws: int = 999, seed: int = 20260101
) -> Together:
    """Test whether neighbouring plots are alike, by shuffling.

    Parameters
    ----------
    values : array_like
        Residuals of the plots [any].
    row, column : array_like
        Row and column of each plot [1], whole numbers.
    draws : int
        Shuffles [1], 99 to 100000.
    seed : int
        Seed of the shuffles.

    Returns
    -------
    Together
        Moran's I, what is expected of it, and the chance.

    Raises
    ------
    ImpossibleValue
        If a value is no number, all are the same, or no two plots are neighbours.
    ValueError
        If two plots lie in one place, or shapes do not fit.

    Notes
    -----
    Residuals add up to nought in each treatment and block, so they are not quite free to be shuffled; with few plots the
    chance is a guide.

    Examples
    --------
    >>> found = neighbours_alike(np.arange(12.0), np.repeat([1, 2, 3], 4), np.tile([1, 2, 3, 4], 3))
    >>> round(found.i, 3), round(found.expected, 4), found.p < 0.01
    (0.542, -0.0909, True)
    """
    many = int(require("draws", draws, 99, MOST_DRAWS))
    board = on_the_map(values, row, column)
    i, pairs = _moran(board)
    there = np.isfinite(board)
    expected = -1 / (int(there.sum()) - 1)
    random, shuffled, beyond = np.random.default_rng(seed), board.copy(), 0
    for _ in range(many):
        shuffled[there] = random.permutation(board[there])
        beyond += abs(_moran(shuffled)[0] - expected) >= abs(i - expected) - 1e-12
    return Together(i, expected, (1 + beyond) / (1 + many), pairs)


@equation(
    "slopes of the values by row and by column together, each with its t", unit="", source="fisher_1935", in_words=True
)
def trend_on_map(values: ArrayLike, row: ArrayLike, column: ArrayLike, df_rest: float | None = None) -> Trend:
    """Look for a straight trend along rows and columns.

    Parameters
    ----------
    values : array_like
        Residuals of the plots [any].
    row, column : array_like
        Row and column of each plot [1], whole numbers.
    df_rest : float, optional
        Degrees of freedom of the residuals before the trend [1]; left out: plots less one.

    Returns
    -------
    Trend
        Slopes in the unit of the readings per row and per column, and their chances.

    Raises
    ------
    ImpossibleValue
        If a value is no number, or too few degrees of freedom are left.
    ValueError
        If two plots lie in one place, or shapes do not fit.

    Notes
    -----
    What the layout's own terms took up is no longer in the residuals, so a trend found here is one that they missed.

    Examples
    --------
    >>> found = trend_on_map([1.0, 2.1, 2.9, 4.0, 5.2], np.ones(5), np.arange(5))
    >>> round(found.per_column, 2), bool(np.isnan(found.per_row))
    (1.03, True)
    """
    from scipy.special import stdtr

    board, grid = on_the_map(values, row, column), grid_of(row, column)
    y = board[grid.row, grid.column]
    shape = grid.shape
    axes = [axis for axis in range(2) if shape[axis] > 1]
    x = np.column_stack([np.ones(y.size), *(np.array((grid.row, grid.column)[axis], dtype=float) for axis in axes)])
    df = (y.size - 1 if df_rest is None else float(df_rest)) - len(axes)
    require("degrees of freedom that are left", df, 1, np.inf)
    slopes, _, rank, _ = np.linalg.lstsq(x, y, rcond=None)
    require("directions that can be told apart", rank, x.shape[1], np.inf)
    ms = float(np.sum((y - x @ slopes) ** 2)) / df
    out, chance = np.full(2, np.nan), np.full(2, np.nan)
    se = np.sqrt(ms * np.diag(np.linalg.inv(x.T @ x)))
    for place, axis in enumerate(axes, 1):
        out[axis] = slopes[place]
        chance[axis] = 2 * stdtr(df, -abs(slopes[place]) / se[place]) if se[place] > 0 else 0.0
    return Trend(float(out[0]), float(out[1]), float(chance[0]), float(chance[1]))
