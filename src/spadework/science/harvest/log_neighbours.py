"""Points that disagree with their neighbours, strip by strip: the local form of Moran's measure.

Neighbours, mean and scatter are those of one strip.  Held against the whole field, a strip that truly yields more stands out
by itself, and what the comparison asks for could be taken for an error.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["LocalMoran", "local_moran"]


@dataclass(frozen=True)
class LocalMoran:
    """How every point stands to its neighbours.

    Attributes
    ----------
    standing_out : FloatArray
        z: distance from the mean of the strip, in standard deviations.
    measure : FloatArray
        I: z times the mean z of the neighbours; negative where the point stands on the other side of the mean than they do.
    p : FloatArray
        How often so large or so small a measure comes about where the other values of the strip fall at random
        on the neighbours; not a
        number without neighbours.
    neighbours : NDArray
        Neighbours of each point.
    """

    standing_out: FloatArray
    measure: FloatArray
    p: FloatArray
    neighbours: NDArray[np.int64]


@equation(
    "z times the mean z of the neighbours in the same strip, with z the distance from the mean of the strip over its standard "
    "deviation; probability from the mean and variance over all ways of dealing the other values out, taken as normal",
    unit="1",
    source="anselin_1995",
    in_words=True,
)
def local_moran(
    values: ArrayLike, east_m: ArrayLike, north_m: ArrayLike, strip: ArrayLike, radius_m: float
) -> LocalMoran:
    """Hold every point against its neighbours in the same strip.

    Parameters
    ----------
    values : array_like
        Yields [any]; one row.
    east_m : array_like
        Metres east [m].
    north_m : array_like
        Metres north [m].
    strip : array_like
        Name of the strip [any].
    radius_m : float
        Points up to this distance are neighbours [m], more than 0.

    Returns
    -------
    LocalMoran
        Measure and probability, point by point.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If the arguments are not rows of one length.

    Notes
    -----
    I = z_i sum_j w_ij z_j, every neighbour with the same weight.  Dealing the other n - 1 values out at
    random, the mean of k of them has the
    mean -z_i / (n - 1) and the variance s^2 / k (n - 1 - k) / (n - 2), s^2 that of the others: no drawing is needed.  The
    probability is two-sided.  Over a whole strip the mean of I at random is -1 / (n - 1).

    Examples
    --------
    >>> found = local_moran([9, 10, 5, 11, 10, 9, 10, 10], range(8), [0] * 8, ["a"] * 8, 2)
    >>> found.measure.argmin().item(), found.neighbours.tolist()
    (2, [2, 3, 4, 4, 4, 4, 3, 2])
    """
    from scipy.spatial import cKDTree
    from scipy.special import ndtr

    y = require("values", values, -1e9, 1e9)
    east, north = require("east_m", east_m, -1e7, 1e7, "m"), require("north_m", north_m, -1e7, 1e7, "m")
    names = np.asarray(strip)
    reach = float(require("radius_m", radius_m, 0, 10_000, "m", above=True))
    if y.ndim != 1 or not y.shape == east.shape == north.shape == names.shape:
        raise ValueError("`values`, `east_m`, `north_m` and `strip` must be rows of one length")
    standing, measure = np.zeros(y.size), np.zeros(y.size)
    p, counts = np.full(y.size, np.nan), np.zeros(y.size, np.int64)
    for name in np.unique(names):
        mine = np.flatnonzero(names == name)
        n, sd = mine.size, float(y[mine].std()) if mine.size else 0.0
        if n < 4 or sd <= 1e-12 * float(np.abs(y[mine]).max()):
            continue
        z = (y[mine] - y[mine].mean()) / sd
        pairs = cKDTree(np.column_stack([east[mine], north[mine]])).query_pairs(reach, output_type="ndarray")
        k = np.bincount(pairs.ravel(), minlength=n)
        sums = np.bincount(pairs[:, 0], z[pairs[:, 1]], minlength=n) + np.bincount(
            pairs[:, 1], z[pairs[:, 0]], minlength=n
        )
        lag = sums / np.maximum(k, 1)
        others = -z / (n - 1)
        spread = (n - z**2) / (n - 1) - others**2
        variance = spread / np.maximum(k, 1) * (n - 1 - k) / (n - 2)
        known = (k > 0) & (variance > 0)
        apart = np.divide(lag - others, np.sqrt(np.where(known, variance, 1.0)))
        standing[mine], measure[mine], counts[mine] = z, z * lag, k
        p[mine] = np.where(known, 2 * ndtr(-np.abs(apart)), np.nan)
    return LocalMoran(standing, measure, p, counts)
