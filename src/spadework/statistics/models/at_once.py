"""Laws of several t that share one scatter: all inside a bound, and the range of means; by quadrature where that is exact.

Of what :mod:`spadework.statistics.models.comparisons` needs; nothing here knows of fields or systems.
"""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np

from spadework.ranges import FloatArray

__all__ = ["all_within", "largest_of_many", "one_factor", "range_within"]

_POINTS: Final = 200_000  # of the integration over several t at once
_SEED: Final = 20260101
_DRAWS_POWER: Final = 17  # of two: quasi-random draws for many t at once
_NODES: Final = 96
_TAIL: Final = 1e-11  # of the scatter that lies outside the nodes
_WIDE: Final = 8.5  # of a normal variable, beyond which nothing lies
_AT_A_TIME: Final = 128


@cache
def _nodes() -> tuple[FloatArray, FloatArray]:
    return np.polynomial.legendre.leggauss(_NODES)


def _shared() -> tuple[FloatArray, FloatArray]:
    """Return nodes of a normal variable, and their weights with its density."""
    nodes, weights = _nodes()
    at = _WIDE * nodes
    return at, _WIDE * weights * np.exp(-(at**2) / 2) / np.sqrt(2 * np.pi)


def _spread(df: float) -> tuple[FloatArray, FloatArray]:
    """Return nodes of s / sigma, evenly set by its logarithm, and their weights with its density."""
    from scipy.special import chdtri, gammaln

    nodes, weights = _nodes()
    low, high = (0.5 * np.log(chdtri(df, upper) / df) for upper in (1 - _TAIL, _TAIL))
    log = (low + high) / 2 + (high - low) / 2 * nodes
    density = np.log(2.0) + df / 2 * np.log(df / 2) - gammaln(df / 2) + df * log - df / 2 * np.exp(2 * log)
    weight = (high - low) / 2 * weights * np.exp(density)
    return np.exp(log), weight / weight.sum()


def one_factor(correlation: FloatArray) -> FloatArray | None:
    """Return loadings whose products are the correlations, if there are such; as where means are independent.

    Parameters
    ----------
    correlation : FloatArray
        Correlations of two t or more, shape (t, t).
    """
    many = len(correlation)
    if many == 2:
        root = np.sqrt(abs(correlation[0, 1]))
        return np.array([root, np.copysign(root, correlation[0, 1])]) if abs(correlation[0, 1]) < 1 else None
    with np.errstate(divide="ignore", invalid="ignore"):
        square = correlation[0, 1] * correlation[0, 2] / correlation[1, 2]
    if not 0 < square < 1:
        return None
    loadings = correlation[0] / np.sqrt(square)
    loadings[0] = np.sqrt(square)
    off = np.outer(loadings, loadings) - correlation
    np.fill_diagonal(off, 0)
    return loadings if np.abs(off).max() < 1e-6 and np.abs(loadings).max() < 1 else None


def all_within(bound: float, correlation: FloatArray, df: float) -> float:
    """Return the chance that all t lie between -bound and bound.

    Parameters
    ----------
    bound : float
        Bound of all of them [1].
    correlation : FloatArray
        Their correlations, shape (t, t).
    df : float
        Degrees of freedom of the scatter that they share.
    """
    many = len(correlation)
    if many == 1:
        from scipy.special import stdtr

        return float(1 - 2 * stdtr(df, -bound))
    loadings = one_factor(correlation)
    if loadings is not None:
        return _within_by_quadrature(bound, loadings, df)
    from scipy.stats import multivariate_t

    shape = (correlation + correlation.T) / 2
    frozen = multivariate_t(shape=shape, df=df, allow_singular=True, seed=np.random.default_rng(_SEED))  # type: ignore[arg-type]  # whole or not
    return float(frozen.cdf(np.full(many, bound), maxpts=_POINTS, lower_limit=np.full(many, -bound)))


def _within_by_quadrature(bound: float, loadings: FloatArray, df: float) -> float:
    """Integrate over the shared part of all t and over the scatter of the standard error."""
    from scipy.special import ndtr

    shared, density = _shared()
    spread, weight = _spread(df)
    rest = np.sqrt(1 - loadings**2)
    reach = bound * spread[:, np.newaxis]
    inside = np.ones((spread.size, shared.size))
    for loading, left in zip(loadings.tolist(), rest.tolist(), strict=True):
        off = loading * shared
        inside *= ndtr((reach - off) / left) - ndtr((-reach - off) / left)
    return float(weight @ inside @ density)


def largest_of_many(correlation: FloatArray, df: float) -> FloatArray:
    """Return draws of the largest of many t, all signs apart, smallest first.

    Parameters
    ----------
    correlation : FloatArray
        Their correlations, shape (t, t).
    df : float
        Degrees of freedom of the scatter that they share.

    Returns
    -------
    FloatArray
        The draws, the same each time; shares of them are good to about 0.001.
    """
    from scipy.special import chdtri, ndtri
    from scipy.stats.qmc import Sobol

    values, vectors = np.linalg.eigh((correlation + correlation.T) / 2)
    root = vectors * np.sqrt(np.maximum(values, 0))
    drawn = Sobol(len(correlation) + 1, seed=_SEED).random_base2(_DRAWS_POWER)
    drawn = np.clip(drawn, 2.0**-33, 1 - 2.0**-33)
    spread = np.sqrt(chdtri(df, 1 - drawn[:, -1]) / df)
    return np.asarray(np.sort(np.abs(ndtri(drawn[:, :-1]) @ root.T).max(axis=1) / spread))


def range_within(ratio: FloatArray, means_n: int, df: FloatArray) -> FloatArray:
    """Return the chance that the range of several means, over the standard error of one, is no more than a ratio.

    Parameters
    ----------
    ratio : FloatArray
        Range over standard error [1], 0 or more, one row of them.
    means_n : int
        Means, 2 or more.
    df : FloatArray
        Degrees of freedom of each, in the same row.
    """
    from scipy.special import ndtr

    shared, density = _shared()
    below = ndtr(shared)
    out = np.empty(ratio.size)
    for freedom in np.unique(df).tolist():
        spread, weight = _spread(freedom)
        mine = np.flatnonzero(df == freedom)
        for some in np.array_split(mine, -(-mine.size // _AT_A_TIME)):
            reach = ratio[some, np.newaxis, np.newaxis] * spread[:, np.newaxis]
            inside = (below - ndtr(shared - reach)) ** (means_n - 1) @ density
            out[some] = means_n * (inside @ weight)
    return np.clip(out, 0.0, 1.0)  # digits of the sums alone
