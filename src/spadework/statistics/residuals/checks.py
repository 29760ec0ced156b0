"""What is left of the readings, looked at for signs that the analysis does not fit.

A sign is no verdict, and no reading is ever dropped for it.  A few plots show little either way.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.statistics.models.comparisons import sidak_p
from spadework.statistics.models.groupings import grouping_of
from spadework.working import equation

__all__ = ["Outlying", "Spread", "Variances", "outlying", "spread_with_mean", "variances_by_group"]


@dataclass(frozen=True)
class Spread:
    """Whether what is left grows with the mean: rank correlation of its size with the mean, and the chance."""

    rank_correlation: float
    p: float


@dataclass(frozen=True)
class Outlying:
    """Studentised residuals.

    Attributes
    ----------
    t : FloatArray
        Residual over its standard error, the scatter being found without it; NaN where nothing else tells that reading.
    p : FloatArray
        Chance of each, as many being looked at as there are.
    df : int
        Degrees of freedom of each t.
    """

    t: FloatArray
    p: FloatArray
    df: int


@dataclass(frozen=True)
class Variances:
    """Variances of groups.

    Attributes
    ----------
    labels : tuple of str
        The groups, sorted.
    variances : FloatArray
        Of each, in the unit of the readings squared.
    ratio : float
        Largest over smallest.
    statistic, df, p : float
        Bartlett's statistic, its degrees of freedom, and the chance where all are alike.
    """

    labels: tuple[str, ...]
    variances: FloatArray
    ratio: float
    statistic: float
    df: int
    p: float


@equation(
    "rank correlation of the size of what is left with the mean that it is left of",
    unit="1",
    source="spearman_1904",
    in_words=True,
)
def spread_with_mean(residuals: ArrayLike, means: ArrayLike) -> Spread:
    """Look whether what is left grows or shrinks with the mean.

    Parameters
    ----------
    residuals : array_like
        What is left of each reading [any].
    means : array_like
        What the analysis says of each [any].

    Returns
    -------
    Spread
        Rank correlation and its chance; NaN where all means or all sizes are the same.

    Raises
    ------
    ImpossibleValue
        If a value is no number, or there are fewer than four.
    ValueError
        If shapes do not fit.

    Examples
    --------
    >>> round(spread_with_mean([0.1, -0.2, 0.3, -0.5, 0.4], [1.0, 2.0, 3.0, 4.0, 5.0]).rank_correlation, 2)
    0.9
    """
    from scipy.special import stdtr
    from scipy.stats import rankdata

    left, said = require("residuals", residuals, -1e12, 1e12), require("means", means, -1e12, 1e12)
    if left.ndim != 1 or left.shape != said.shape:
        raise ValueError("`residuals` and `means` must be rows of one length")
    require("number of residuals", left.size, 4, np.inf)
    scale = float(np.abs(left).max()) or 1.0
    a, b = (np.round(np.abs(left) / scale, 10), np.round(said / (float(np.abs(said).max()) or 1.0), 10))
    if not np.ptp(a) or not np.ptp(b):
        return Spread(float("nan"), float("nan"))
    found = float(np.corrcoef(rankdata(a), rankdata(b))[0, 1])
    if abs(found) >= 1:
        return Spread(found, 0.0)
    return Spread(found, float(2 * stdtr(left.size - 2, -abs(found) * np.sqrt((left.size - 2) / (1 - found**2)))))


@equation(
    "residual over the standard error that it has when the scatter is found without its reading",
    unit="1",
    source="beckman_trussell_1974",
    in_words=True,
)
def outlying(readings: ArrayLike, columns: ArrayLike) -> Outlying:
    """Studentise residuals and look for one that lies too far off.

    Parameters
    ----------
    readings : array_like
        Readings [any], one row of them.
    columns : array_like
        All that is to be taken up [any], treatments and the layout's terms alike, shape (readings, columns); columns
        may say the same.

    Returns
    -------
    Outlying
        Each residual over its standard error, and the chance, as many being looked at as there are.

    Raises
    ------
    ImpossibleValue
        If a value is no number, or fewer than two degrees of freedom are left.
    ValueError
        If shapes do not fit.

    Notes
    -----
    The chance is 1 - (1 - p)^readings (Sidak), somewhat large since residuals hang together.

    Examples
    --------
    >>> found = outlying([5.0, 5.2, 4.9, 5.1, 7.0, 5.0], np.ones((6, 1)))
    >>> int(np.argmax(np.abs(found.t))), round(float(found.t[4]), 1), found.df
    (4, 15.7, 4)
    """
    from scipy.special import stdtr

    y, x = require("readings", readings, -1e12, 1e12), require("columns", columns, -1e12, 1e12)
    if y.ndim != 1 or x.ndim != 2 or x.shape[0] != y.size:
        raise ValueError("`readings` must be one row, and `columns` must have a row for each of them")
    left, basis = _left(y, x)
    df = y.size - basis.shape[1] - 1
    require("degrees of freedom that are left", df, 1, np.inf)
    lever = np.sum(basis**2, axis=1)
    free = lever < 1 - 1e-9
    square = float(left @ left)
    require("sum of squares of the residuals", square, 0, np.inf, above=True)
    t = np.full(y.size, np.nan)
    without = np.maximum(square - left[free] ** 2 / (1 - lever[free]), 0) / df
    with np.errstate(divide="ignore", invalid="ignore"):
        t[free] = left[free] / np.sqrt(without * (1 - lever[free]))
    p = np.ones(y.size)
    p[free] = sidak_p(np.minimum(2 * stdtr(df, -np.abs(t[free])), 1 - 1e-15), int(free.sum()))
    return Outlying(t, p, df)


def _left(y: FloatArray, x: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return what columns leave of readings, and an orthonormal basis of the columns."""
    size = np.linalg.norm(x, axis=0)
    turn, values, _ = np.linalg.svd(x[:, size > 0] / size[size > 0], full_matrices=False)
    basis = turn[:, values > 1e-10 * values.max()] if values.size else turn[:, :0]
    centred = y - y.mean()
    if basis.shape[1] and np.abs(basis @ basis.sum(axis=0) - 1).max() > 1e-9:
        centred = y.copy()  # the columns cannot take up a level
    left = centred - basis @ (basis.T @ centred)
    return left - basis @ (basis.T @ left), basis


@equation(
    "(df log(pooled) - sum of df_i log(variance_i)) / (1 + (sum of 1/df_i - 1/df) / (3 (groups - 1)))",
    unit="1",
    source="bartlett_1937",
    in_words=True,
)
def variances_by_group(values: ArrayLike, groups: ArrayLike) -> Variances:
    """Hold the variances of groups against each other.

    Parameters
    ----------
    values : array_like
        Readings or residuals [any].
    groups : array_like
        Group of each; at least two groups of at least two values that differ.

    Returns
    -------
    Variances
        Variances, their largest ratio, and Bartlett's test.

    Raises
    ------
    ImpossibleValue
        If a value is no number, or there are too few groups or values.
    ValueError
        If shapes do not fit.

    Notes
    -----
    Bartlett's test takes a crooked distribution for unequal variances.  With residuals, which hang together, the chance is
    a guide.

    Examples
    --------
    >>> found = variances_by_group([1.0, 2.0, 3.0, 1.0, 5.0, 9.0], ["a", "a", "a", "b", "b", "b"])
    >>> found.ratio, round(found.statistic, 4), found.df
    (16.0, 2.4121, 1)
    """
    from scipy.special import chdtrc

    found = require("values", values, -1e12, 1e12)
    labels = np.asarray(groups).astype(np.str_)
    if found.ndim != 1 or labels.shape != found.shape:
        raise ValueError("`values` and `groups` must be rows of one length")
    grouping = grouping_of(labels)
    require("groups", grouping.levels, 2, np.inf)
    require("values in a group", grouping.counts, 2, np.inf)
    names = tuple(np.unique(labels).tolist())
    each = np.array([np.var(found[labels == name], ddof=1) for name in names])
    require("variance of a group", each, 0, np.inf, above=True)
    df = np.array([int((labels == name).sum()) - 1 for name in names], dtype=np.float64)
    whole = float(df.sum())
    top = whole * np.log(float(df @ each) / whole) - float(df @ np.log(each))
    statistic = top / (1 + (float(np.sum(1 / df)) - 1 / whole) / (3 * (len(names) - 1)))
    statistic = max(float(statistic), 0.0)
    return Variances(
        names, each, float(each.max() / each.min()), statistic, len(names) - 1, float(chdtrc(len(names) - 1, statistic))
    )
