"""Student's t off its middle: the chance that a difference which is there is seen."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require

__all__ = ["beyond", "errors_found", "one_or_two_sided_t"]

_LARGE = 1e9
_NODES = 400  # points of equal chance for the scatter of a standard error


def one_or_two_sided_t(error_df: ArrayLike, chance_share: ArrayLike, sides: int) -> FloatArray:
    """Return t beyond which lies the chance, on one side or on both together."""
    from scipy.special import stdtrit

    df = require("error_df", error_df, 1, _LARGE)
    return np.asarray(stdtrit(df, 1 - require("chance_share", chance_share, 1e-6, 0.5) / sides))


def beyond(off: ArrayLike, error_df: ArrayLike, t: ArrayLike) -> FloatArray:
    """Return the chance of a noncentral t, so far off nought, above `t`."""
    from scipy.special import nctdtr, ndtr

    off, df, beyond_t = np.broadcast_arrays(*(np.asarray(v, dtype=np.float64) for v in (off, error_df, t)))
    chance = np.array(1 - nctdtr(df, off, beyond_t))
    lost = np.isnan(chance)  # its series breaks down where the chance is next to none or next to sure
    if lost.any():
        found, weights = errors_found(df[lost])
        chance[lost] = (ndtr(off[lost][..., np.newaxis] - beyond_t[lost][..., np.newaxis] * found) * weights).sum(
            axis=-1
        )
    return np.asarray(np.clip(chance, 0.0, 1.0))


def errors_found(error_df: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Return standard errors that may be found, over the true one, along a further last axis, and their weights."""
    from scipy.special import chdtri

    nodes, weights = _nodes()
    df = np.asarray(error_df, dtype=np.float64)[..., np.newaxis]
    return np.asarray(np.sqrt(chdtri(df, (1 - nodes) / 2) / df)), weights / 2


@cache
def _nodes() -> tuple[FloatArray, FloatArray]:
    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    return np.asarray(nodes), np.asarray(weights)
