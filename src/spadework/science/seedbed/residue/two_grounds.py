"""How sure the cover of a field of strips is, where strips and the ground between them were counted apart."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["stratified_high", "stratified_low", "stratified_se"]


@equation(
    "sqrt(tilled_share**2 * strip_se_share**2 + (1 - tilled_share)**2 * between_se_share**2)",
    unit="1",
    source="cochran_1977",
    locator="stratified mean",
)
def stratified_se(tilled_share: ArrayLike, strip_se_share: ArrayLike, between_se_share: ArrayLike) -> FloatArray:
    """Return the standard error of the cover of a field whose strips and ground between were counted apart.

    Parameters
    ----------
    tilled_share : array_like
        Share of the field inside the strips [1], 0 to 1.
    strip_se_share : array_like
        Standard error of the cover inside the strips [1], 0 to 1.
    between_se_share : array_like
        Standard error of the cover between them [1], 0 to 1.

    Returns
    -------
    ndarray
        Standard error [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The share is taken as known without error.

    Examples
    --------
    >>> round(float(stratified_se(0.2667, 0.0271, 0.04)), 4)
    0.0302
    """
    share = require("tilled_share", tilled_share, 0, 1)
    strip = require("strip_se_share", strip_se_share, 0, 1)
    between = require("between_se_share", between_se_share, 0, 1)
    error: FloatArray = np.hypot(share * strip, (1 - share) * between)
    return error


def _end(side: str, sign: str) -> str:
    return (
        "tilled_share * strip_cover_share + (1 - tilled_share) * between_cover_share"
        f" {sign} sqrt((tilled_share * (strip_cover_share - strip_{side}_share))**2"
        f" + ((1 - tilled_share) * (between_cover_share - between_{side}_share))**2)"
    )


@equation(_end("low", "-"), unit="1", source="zou_donner_2008", locator="ends of two intervals joined")
def stratified_low(
    tilled_share: ArrayLike,
    strip_cover_share: ArrayLike,
    strip_low_share: ArrayLike,
    between_cover_share: ArrayLike,
    between_low_share: ArrayLike,
) -> FloatArray:
    """Lower end of the interval of a field's cover, from those of strips and ground between.

    Parameters
    ----------
    tilled_share : array_like
        Share of the field inside the strips [1], 0 to 1.
    strip_cover_share, strip_low_share : array_like
        Cover inside the strips and the lower end of its interval [1], 0 to 1.
    between_cover_share, between_low_share : array_like
        The same between them [1], 0 to 1.

    Returns
    -------
    ndarray
        Lower end [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Each end lies from its own cover as far as the two distances make together, the root of the sum of their squares (Zou and
    Donner 2008, recalled).  Unlike :func:`stratified_se` it stands where nothing or everything was hit.  Both intervals must
    have the confidence that is wanted.

    Examples
    --------
    >>> round(float(stratified_low(0.2667, 0.08, 0.041, 0.80, 0.711)), 3)
    0.542
    """
    return _joined(tilled_share, strip_cover_share, strip_low_share, between_cover_share, between_low_share, -1.0)


@equation(_end("high", "+"), unit="1", source="zou_donner_2008", locator="ends of two intervals joined")
def stratified_high(
    tilled_share: ArrayLike,
    strip_cover_share: ArrayLike,
    strip_high_share: ArrayLike,
    between_cover_share: ArrayLike,
    between_high_share: ArrayLike,
) -> FloatArray:
    """Upper end of the interval of a field's cover, from those of strips and ground between.

    Parameters
    ----------
    tilled_share : array_like
        Share of the field inside the strips [1], 0 to 1.
    strip_cover_share, strip_high_share : array_like
        Cover inside the strips and the upper end of its interval [1], 0 to 1.
    between_cover_share, between_high_share : array_like
        The same between them [1], 0 to 1.

    Returns
    -------
    ndarray
        Upper end [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    See :func:`stratified_low`.

    Examples
    --------
    >>> round(float(stratified_high(0.2667, 0.08, 0.150, 0.80, 0.867)), 3)
    0.661
    """
    return _joined(tilled_share, strip_cover_share, strip_high_share, between_cover_share, between_high_share, 1.0)


def _joined(
    tilled: ArrayLike, strip: ArrayLike, strip_end: ArrayLike, between: ArrayLike, between_end: ArrayLike, sign: float
) -> FloatArray:
    share = require("tilled_share", tilled, 0, 1)
    names = ("strip_cover_share", "strip_end_share", "between_cover_share", "between_end_share")
    given = (strip, strip_end, between, between_end)
    inside, inside_end, beside, beside_end = (require(n, v, 0, 1) for n, v in zip(names, given, strict=True))
    away = np.hypot(share * (inside - inside_end), (1 - share) * (beside - beside_end))
    return np.asarray(share * inside + (1 - share) * beside + sign * away)
