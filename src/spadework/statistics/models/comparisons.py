"""Several differences looked at together: all pairs, all against one, a few that were planned.

The differences come from :func:`spadework.statistics.models.small_sample.combine`, each with its own degrees of freedom.  Where
a method knows only one number of them, the smallest is taken, which is on the safe side.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require
from spadework.statistics.models.at_once import all_within, largest_of_many, one_factor, range_within
from spadework.statistics.models.small_sample import Combined
from spadework.working import equation

__all__ = [
    "Pairs",
    "against_one",
    "all_pairs",
    "dunnett_factor",
    "dunnett_p",
    "holm_p",
    "sidak_p",
    "tukey_factor",
    "tukey_p",
]

_MANY: Final = 8  # t at once, from which on they are drawn where no quadrature serves
_ROUNDS: Final = 60  # of the search for a factor
_KNOTS: Final = 16  # degrees of freedom between which factors are laid


@dataclass(frozen=True)
class Pairs:
    """Which means are taken from which, and their weights."""

    first: NDArray[np.int64]
    second: NDArray[np.int64]
    weights: FloatArray


def all_pairs(mean_weights: ArrayLike) -> Pairs:
    """Return every difference of two means, the later less the earlier.

    Parameters
    ----------
    mean_weights : array_like
        Weights of the fixed effects in each mean [any], shape (means, columns).

    Returns
    -------
    object
        ``first`` and ``second`` (places of the means; the difference is second less first) and ``weights``.

    Examples
    --------
    >>> all_pairs([[1, 0, 0], [1, 1, 0], [1, 0, 1]]).weights.tolist()
    [[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 1.0]]
    """
    rows = require("mean_weights", mean_weights, -1e12, 1e12)
    first, second = np.triu_indices(rows.shape[0], 1)
    return Pairs(first, second, rows[second] - rows[first])


def against_one(mean_weights: ArrayLike, baseline: int) -> Pairs:
    """Return the difference of every other mean from one of them.

    Parameters
    ----------
    mean_weights : array_like
        Weights of the fixed effects in each mean [any], shape (means, columns).
    baseline : int
        Place of the mean that the others are held against.

    Returns
    -------
    object
        As :func:`all_pairs`; ``first`` is the baseline every time.
    """
    rows = require("mean_weights", mean_weights, -1e12, 1e12)
    others = np.delete(np.arange(rows.shape[0]), baseline)
    return Pairs(np.full(others.size, baseline), others, rows[others] - rows[baseline])


@equation(
    "chance that the range of as many means, over the standard error of a mean, is as large as sqrt(2) |t|",
    unit="1",
    source="tukey_1953",
    in_words=True,
)
def tukey_p(t: ArrayLike, means_n: int, df: ArrayLike) -> FloatArray:
    """Chance of a difference, when all pairs of several means are looked at.

    Parameters
    ----------
    t : array_like
        Difference over its standard error [1].
    means_n : int
        Means that are compared, 2 to 100.
    df : array_like
        Degrees of freedom of each difference [1], 1 or more.

    Returns
    -------
    FloatArray
        Chance [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Studentised range; with unequal standard errors it is Kramer's extension.

    Examples
    --------
    >>> tukey_p([2.0, 4.0], 3, 6).round(3).tolist()
    [0.193, 0.017]
    """
    many = int(require("means_n", means_n, 2, 100))
    freedom, apart = np.broadcast_arrays(require("df", df, 1, 1e7), np.abs(require("t", t, -1e9, 1e9)) * np.sqrt(2))
    return np.asarray(1 - range_within(apart.ravel(), many, freedom.ravel()).reshape(apart.shape))


@equation("quantile of the range of as many means, over sqrt(2)", unit="1", source="tukey_1953", in_words=True)
def tukey_factor(means_n: int, df: ArrayLike, confidence_share: float) -> FloatArray:
    """Tell how many standard errors to take on either side of a difference, when all pairs are to lie in their intervals at once.

    Parameters
    ----------
    means_n : int
        Means that are compared, 2 to 100.
    df : array_like
        Degrees of freedom [1], 1 or more.
    confidence_share : float
        Confidence for all together [1], 0.5 to 0.9999.

    Returns
    -------
    FloatArray
        Factor [1], shape of the degrees of freedom.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(tukey_factor(3, 6, 0.95) * 2**0.5), 4)
    4.3392
    """
    from scipy.special import stdtrit

    many, freedom = int(require("means_n", means_n, 2, 100)), require("df", df, 1, 1e7)
    sure = float(require("confidence_share", confidence_share, 0.5, 0.9999))
    every, back = np.unique(freedom, return_inverse=True)
    each = every if every.size <= _KNOTS else 1 / np.linspace(1 / every[0], 1 / every[-1], _KNOTS)
    low = stdtrit(each, (1 + sure) / 2) * 0.999  # of one pair alone
    high = stdtrit(each, 1 - (1 - sure) / (many * (many - 1))) * 1.001  # of all pairs, as if nothing hung together
    for _ in range(_ROUNDS):
        middle = (low + high) / 2
        enough = range_within(middle * np.sqrt(2), many, each) >= sure
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
        if np.all(high - low <= 1e-9 * high):
            break
    found = (low + high) / 2
    if every.size > _KNOTS:  # the factor runs smoothly over the inverse of the degrees of freedom
        from scipy.interpolate import CubicSpline

        found = CubicSpline(1 / each[::-1], found[::-1])(1 / every)
    return np.asarray(found[back].reshape(freedom.shape))


@equation(
    "chance that one of several t with the correlation of the differences is as large as |t|",
    unit="1",
    source="dunnett_1955",
    in_words=True,
)
def dunnett_p(differences: Combined) -> FloatArray:
    """Chance of each difference, when several means are held against one.

    Parameters
    ----------
    differences : Combined
        Of every other mean from the baseline.

    Returns
    -------
    FloatArray
        Chance of each [1].

    Notes
    -----
    Several t at once, with the correlation that the differences have.  Where one part is all that they share, as with means
    that are independent, they are integrated to six digits; else to about 1e-4, and from eight on they are drawn, to about
    0.001.  Degrees of freedom: the smallest of the differences.
    """
    correlation = _correlation(differences)
    df = float(differences.df.min())
    apart = np.abs(differences.t())
    if len(correlation) >= _MANY and one_factor(correlation) is None:
        drawn = largest_of_many(correlation, df)
        return np.asarray(1 - np.searchsorted(drawn, apart) / drawn.size)
    return np.array([1 - all_within(float(t), correlation, df) for t in apart])


@equation(
    "factor at which all of several t with the correlation of the differences lie within it, with the wanted chance",
    unit="1",
    source="dunnett_1955",
    in_words=True,
)
def dunnett_factor(differences: Combined, confidence_share: float) -> float:
    """Tell how many standard errors to take on either side of each difference from a baseline, for all at once.

    Parameters
    ----------
    differences : Combined
        Of every other mean from the baseline.
    confidence_share : float
        Confidence for all together [1], 0.5 to 0.9999.

    Returns
    -------
    float
        Factor [1].

    Raises
    ------
    ImpossibleValue
        If the confidence lies outside its range.
    """
    from scipy.optimize import brentq
    from scipy.special import stdtrit

    sure = float(require("confidence_share", confidence_share, 0.5, 0.9999))
    correlation, df = _correlation(differences), float(differences.df.min())
    low = float(stdtrit(df, (1 + sure) / 2))
    high = float(stdtrit(df, 1 - (1 - sure) / 2 / len(correlation)))
    if len(correlation) == 1:
        return low
    if len(correlation) >= _MANY and one_factor(correlation) is None:
        return float(np.quantile(largest_of_many(correlation, df), sure))
    return float(brentq(lambda k: all_within(k, correlation, df) - sure, low * 0.999, high * 1.001, xtol=1e-6))


def _correlation(differences: Combined) -> FloatArray:
    return np.asarray(differences.covariance / np.outer(differences.se, differences.se))


@equation("smallest chance times its number, next times one less, none smaller than the one before", unit="1",
          source="holm_1979", in_words=True)  # fmt: skip
def holm_p(p: ArrayLike) -> FloatArray:
    """Chances of several differences, whatever hangs together among them.

    Parameters
    ----------
    p : array_like
        Chance of each alone [1], 0 to 1, one row of them.

    Returns
    -------
    FloatArray
        Chances for all together [1], none above 1.

    Raises
    ------
    ImpossibleValue
        If a chance lies outside its range.

    Examples
    --------
    >>> holm_p([0.01, 0.04, 0.03]).round(2).tolist()
    [0.03, 0.06, 0.06]
    """
    alone = require("p", p, 0, 1)
    order = np.argsort(alone)
    out = np.empty(alone.size)
    out[order] = np.minimum(np.maximum.accumulate(alone[order] * (alone.size - np.arange(alone.size))), 1)
    return out


@equation("1 - (1 - p) ** comparisons", unit="1", source="sidak_1967")
def sidak_p(p: ArrayLike, comparisons: ArrayLike) -> FloatArray:
    """Chances of several differences, when as many are looked at.

    Parameters
    ----------
    p : array_like
        Chance of each alone [1], 0 to 1.
    comparisons : array_like
        How many are looked at [1], 1 to 1e6.

    Returns
    -------
    FloatArray
        Chance for all together [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(sidak_p(0.0170, 3)), 4)
    0.0501
    """
    alone = require("p", p, 0, 1)
    with np.errstate(divide="ignore"):  # log of nought where p is 1: the chance is 1
        return np.asarray(-np.expm1(require("comparisons", comparisons, 1, 1e6) * np.log1p(-alone)))
