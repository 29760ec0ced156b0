"""How sure a cover is that was counted along a tape.

Points on a tape are taken as independent draws.  Residue lies in patches, so the scatter between several tapes is the
better witness (:func:`lines_half_width`); with strips, count strip and ground between apart (see
:mod:`~spadework.science.seedbed.residue.two_grounds`).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = [
    "binomial_se",
    "design_effect",
    "exact_high",
    "exact_low",
    "lines_half_width",
    "normal_quantile",
    "wilson_high",
    "wilson_low",
]

_MOST = 1_000_000


@equation("sqrt(cover_share * (1 - cover_share) / points)", unit="1", source="cochran_1977")
def binomial_se(cover_share: ArrayLike, points: ArrayLike) -> FloatArray:
    """Return the standard error of a cover counted at points.

    Parameters
    ----------
    cover_share : array_like
        Cover [1], 0 to 1.
    points : array_like
        Number of points, 1 to 1 000 000.

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
    sqrt(p (1 - p) / n).  It is 0 where nothing or everything was hit: use an interval there.

    Examples
    --------
    >>> round(float(binomial_se(0.30, 100)), 4)
    0.0458
    """
    cover = require("cover_share", cover_share, 0, 1)
    error: FloatArray = np.sqrt(cover * (1 - cover) / require("points", points, 1, _MOST))
    return error


@equation(
    "quantile of the standard normal distribution that leaves the confidence in the middle",
    unit="1",
    source="physics",
    in_words=True,
)
def normal_quantile(confidence_share: ArrayLike) -> FloatArray:
    """Half width of a two-sided normal interval, in standard deviations.

    Parameters
    ----------
    confidence_share : array_like
        Confidence [1], 0.5 to 0.9999.

    Returns
    -------
    ndarray
        Quantile [1], shape of the input.

    Raises
    ------
    ImpossibleValue
        If the input lies outside its range.

    Notes
    -----
    z with Phi(z) = (1 + confidence) / 2.

    Examples
    --------
    >>> round(float(normal_quantile(0.95)), 3)
    1.96
    """
    from scipy.special import ndtri

    return np.asarray(ndtri((1 + require("confidence_share", confidence_share, 0.5, 0.9999)) / 2))


@equation(
    "(hits / points + z**2 / (2 * points) - z * sqrt(hits / points * (1 - hits / points) / points"
    " + z**2 / (4 * points**2))) / (1 + z**2 / points)",
    unit="1",
    source="wilson_1927",
)
def wilson_low(hits: ArrayLike, points: ArrayLike, z: ArrayLike) -> FloatArray:
    """Lower end of the score interval of a counted cover.

    Parameters
    ----------
    hits : array_like
        Points with residue, 0 to `points`.
    points : array_like
        Number of points, 1 to 1 000 000.
    z : array_like
        Normal quantile [1], more than 0, to 10; see :func:`normal_quantile`.

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
    Wilson (1927).  Close to its confidence on average, sometimes a little under it; :func:`exact_low` never is.

    Examples
    --------
    >>> round(float(wilson_low(30, 100, 1.96)), 4)
    0.2189
    """
    share, points, z = _counted(hits, points, z)
    low = (share + z**2 / (2 * points) - _wilson_half(share, points, z)) / (1 + z**2 / points)
    return np.asarray(np.maximum(0.0, low))  # it is 0 without hits, and rounding must not carry it below


@equation(
    "(hits / points + z**2 / (2 * points) + z * sqrt(hits / points * (1 - hits / points) / points"
    " + z**2 / (4 * points**2))) / (1 + z**2 / points)",
    unit="1",
    source="wilson_1927",
)
def wilson_high(hits: ArrayLike, points: ArrayLike, z: ArrayLike) -> FloatArray:
    """Upper end of the score interval of a counted cover.

    Parameters
    ----------
    hits : array_like
        Points with residue, 0 to `points`.
    points : array_like
        Number of points, 1 to 1 000 000.
    z : array_like
        Normal quantile [1], more than 0, to 10; see :func:`normal_quantile`.

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
    Wilson (1927); see :func:`wilson_low`.

    Examples
    --------
    >>> round(float(wilson_high(30, 100, 1.96)), 3)
    0.396
    """
    share, points, z = _counted(hits, points, z)
    high = (share + z**2 / (2 * points) + _wilson_half(share, points, z)) / (1 + z**2 / points)
    return np.asarray(np.minimum(1.0, high))  # it is 1 where all were hits, and rounding must not carry it above


@equation(
    "(1 - confidence)/2 quantile of the beta distribution with hits and points - hits + 1; 0 without hits",
    unit="1",
    source="clopper_pearson_1934",
    in_words=True,
)
def exact_low(hits: ArrayLike, points: ArrayLike, confidence_share: ArrayLike) -> FloatArray:
    """Lower end of the exact interval of a counted cover.

    Parameters
    ----------
    hits : array_like
        Points with residue, 0 to `points`.
    points : array_like
        Number of points, 1 to 1 000 000.
    confidence_share : array_like
        Confidence of the two-sided interval [1], 0.5 to 0.9999.

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
    Clopper and Pearson (1934).  Never under its confidence, often over it.

    Examples
    --------
    >>> round(float(exact_low(30, 100, 0.95)), 4)
    0.2124
    """
    from scipy.special import betaincinv

    k, n = _hits(hits, points)
    tail = (1 - require("confidence_share", confidence_share, 0.5, 0.9999)) / 2
    low: FloatArray = np.where(k == 0, 0.0, betaincinv(np.maximum(k, 1), n - k + 1, tail))
    return low


@equation(
    "(1 + confidence)/2 quantile of the beta distribution with hits + 1 and points - hits; 1 where all were hits",
    unit="1",
    source="clopper_pearson_1934",
    in_words=True,
)
def exact_high(hits: ArrayLike, points: ArrayLike, confidence_share: ArrayLike) -> FloatArray:
    """Upper end of the exact interval of a counted cover.

    Parameters
    ----------
    hits : array_like
        Points with residue, 0 to `points`.
    points : array_like
        Number of points, 1 to 1 000 000.
    confidence_share : array_like
        Confidence of the two-sided interval [1], 0.5 to 0.9999.

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
    Clopper and Pearson (1934); see :func:`exact_low`.

    Examples
    --------
    >>> round(float(exact_high(30, 100, 0.95)), 4)
    0.3998
    """
    from scipy.special import betaincinv

    k, n = _hits(hits, points)
    tail = (1 - require("confidence_share", confidence_share, 0.5, 0.9999)) / 2
    high: FloatArray = np.where(k == n, 1.0, betaincinv(k + 1, np.maximum(n - k, 1), 1 - tail))
    return high


@equation(
    "quantile of Student's t with lines - 1 degrees of freedom, times sd / sqrt(lines)",
    unit="1",
    source="cochran_1977",
    in_words=True,
)
def lines_half_width(sd_share: ArrayLike, lines: ArrayLike, confidence_share: ArrayLike) -> FloatArray:
    """Half width of the interval of a mean over several tapes.

    Parameters
    ----------
    sd_share : array_like
        Standard deviation of the cover between tapes [1], 0 to 1.
    lines : array_like
        Number of tapes, 2 to 1 000 000.
    confidence_share : array_like
        Confidence [1], 0.5 to 0.9999.

    Returns
    -------
    ndarray
        Half width [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    t s / sqrt(k); the tapes of one plot say nothing about the difference between systems.

    Examples
    --------
    >>> round(float(lines_half_width(0.08, 3, 0.95)), 3)
    0.199
    """
    from scipy.special import stdtrit

    sd = require("sd_share", sd_share, 0, 1)
    k = require("lines", lines, 2, _MOST)
    t = stdtrit(k - 1, (1 + require("confidence_share", confidence_share, 0.5, 0.9999)) / 2)
    return np.asarray(t * sd / np.sqrt(k))


@equation("sd_share**2 / (cover_share * (1 - cover_share) / points)", unit="1", source="cochran_1977")
def design_effect(sd_share: ArrayLike, cover_share: ArrayLike, points: ArrayLike) -> FloatArray:
    """How much more tapes scatter than independent points would.

    Parameters
    ----------
    sd_share : array_like
        Standard deviation of the cover between tapes [1], 0 to 1.
    cover_share : array_like
        Mean cover [1], 0.001 to 0.999.
    points : array_like
        Points on one tape, 1 to 1 000 000.

    Returns
    -------
    ndarray
        Ratio of variances [1]; 1 for independent points, more where residue lies in patches.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    s2 / (p (1 - p) / n).

    Examples
    --------
    >>> round(float(design_effect(0.08, 0.30, 100)), 2)
    3.05
    """
    sd = require("sd_share", sd_share, 0, 1)
    cover = require("cover_share", cover_share, 0.001, 0.999)
    return np.asarray(sd**2 / (cover * (1 - cover) / require("points", points, 1, _MOST)))


def _hits(hits: ArrayLike, points: ArrayLike) -> tuple[FloatArray, FloatArray]:
    n = require("points", points, 1, _MOST)
    k = require("hits", hits, 0, _MOST)
    if (k > n).any():
        raise ImpossibleValue("hits", f"{k.max():.6g}", 0, float(n.min()), "")
    return k, n


def _counted(hits: ArrayLike, points: ArrayLike, z: ArrayLike) -> tuple[FloatArray, FloatArray, FloatArray]:
    k, n = _hits(hits, points)
    return np.asarray(k / n), n, require("z", z, 0, 10, above=True)


def _wilson_half(share: FloatArray, points: FloatArray, z: FloatArray) -> FloatArray:
    half: FloatArray = z * np.sqrt(share * (1 - share) / points + z**2 / (4 * points**2))
    return half
