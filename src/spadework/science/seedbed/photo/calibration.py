"""What the cover read from photos is worth against counts by hand on some of them, and the cover of the field with it.

The photos that were counted tell how far the reading is off on average and how much it scatters.  The mean of all photos is
corrected by the average, no more: that is right whatever the slope, as long as the counted photos are a random part of all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = [
    "Calibration",
    "calibrate",
    "corrected_mean_se",
    "deming_slope",
    "grid_count_se",
    "reading_spread",
]

_LIMITS = reference.constants("photo_limits")
_MOST = 1_000_000


@dataclass(frozen=True, slots=True)
class Calibration:
    """The reading of photos held against counts by hand, and the mean of all photos corrected by it.

    Attributes
    ----------
    counted, photos : int
        Photos counted by hand, and photos in all.
    bias : float
        Mean of reading less count [1].
    bias_low, bias_high : float
        Interval of the bias [1].
    scatter : float
        Standard deviation of reading less count [1].
    grid_se : float
        Standard error of a count by hand, from its marks alone [1]; root mean square.
    reading_spread : float
        Scatter of the reading itself, what the marks do not explain [1].
    slope, slope_low, slope_high : float
        How much the reading rises with the cover [1], and its interval; NaN where the counts hardly differ.
    mean, low, high : float
        Cover of the field and its interval [1]; may pass 0 or 1.
    """

    counted: int
    photos: int
    bias: float
    bias_low: float
    bias_high: float
    scatter: float
    grid_se: float
    reading_spread: float
    slope: float
    slope_low: float
    slope_high: float
    mean: float
    low: float
    high: float


@equation("sqrt(hits / points * (1 - hits / points) / (points - 1))", unit="1", source="cochran_1977")
def grid_count_se(hits: ArrayLike, points: ArrayLike) -> FloatArray:
    """Return the standard error of a cover counted at marks of a grid on one photo.

    Parameters
    ----------
    hits : array_like
        Marks on residue, 0 to `points`.
    points : array_like
        Marks in all, without those on green plants; 2 to 1 000 000.

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
    The unbiased form p (1 - p) / (n - 1), since it is taken off an observed scatter.  Marks of a regular grid scatter rather
    less than that, so what is left for the reading is rather too small.

    Examples
    --------
    >>> round(float(grid_count_se(40, 100)), 4)
    0.0492
    """
    n = require("points", points, 2, _MOST)
    k = require("hits", hits, 0, _MOST)
    if (k > n).any():
        raise ImpossibleValue("hits", f"{k.max():.6g}", 0, float(n.min()), "")
    return np.asarray(np.sqrt(k / n * (1 - k / n) / (n - 1)))


@equation("sqrt(maximum(scatter_share**2 - grid_se_share**2, 0))", unit="1", source="physics")
def reading_spread(scatter_share: ArrayLike, grid_se_share: ArrayLike) -> FloatArray:
    """Scatter of the reading itself, once that of the marks of the hand counts is taken off.

    Parameters
    ----------
    scatter_share : array_like
        Standard deviation of reading less count [1], 0 to 1.
    grid_se_share : array_like
        Standard error of a count by hand [1], 0 to 1; root mean square of several.

    Returns
    -------
    ndarray
        Standard deviation [1], shape of the inputs broadcast together; 0 where the marks explain all.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Variances of independent errors add up.

    Examples
    --------
    >>> round(float(reading_spread(0.065, 0.048)), 3)
    0.044
    """
    both = require("scatter_share", scatter_share, 0, 1), require("grid_se_share", grid_se_share, 0, 1)
    return np.asarray(np.sqrt(np.maximum(both[0] ** 2 - both[1] ** 2, 0)))


@equation(
    "sqrt(hand_sd_share**2 / photos + (1 / counted_photos - 1 / photos) * scatter_share**2)",
    unit="1",
    source="cochran_1977",
    locator="double sampling, difference estimator",
)
def corrected_mean_se(
    hand_sd_share: ArrayLike, scatter_share: ArrayLike, counted_photos: ArrayLike, photos: ArrayLike
) -> FloatArray:
    """Return the standard error of the mean cover of many photos, of which some were counted by hand.

    Parameters
    ----------
    hand_sd_share : array_like
        Standard deviation of the counts by hand between photos [1], 0 to 1.
    scatter_share : array_like
        Standard deviation of reading less count [1], 0 to 1.
    counted_photos : array_like
        Photos counted by hand, 1 or more.
    photos : array_like
        Photos in all, the counted ones among them; to 1 000 000.

    Returns
    -------
    ndarray
        Standard error [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or more are counted than there are.

    Notes
    -----
    The error of the marks stands in both deviations and so enters once per counted photo.  Where all are counted it is the
    error of the mean of the counts.  The counted photos must be a random part of all.

    Examples
    --------
    >>> round(float(corrected_mean_se(0.12, 0.06, 8, 40)), 4)
    0.0268
    """
    counted = require("counted_photos", counted_photos, 1, _MOST)
    whole = require("photos", photos, 1, _MOST)
    require("counted_photos / photos", counted / whole, 0, 1)
    hand, scatter = require("hand_sd_share", hand_sd_share, 0, 1), require("scatter_share", scatter_share, 0, 1)
    return np.asarray(np.sqrt(hand**2 / whole + (1 / counted - 1 / whole) * scatter**2))


@equation(
    "slope of the line with the least sum of squares of both errors, that of the second series weighted by one over the"
    " ratio of its error variance to that of the first",
    unit="1",
    source="deming_1943",
    in_words=True,
)
def deming_slope(hand_share: ArrayLike, auto_share: ArrayLike, error_ratio: ArrayLike) -> FloatArray:
    """Slope between two series that both have errors.

    Parameters
    ----------
    hand_share : array_like
        First series [1], along the last axis; 3 or more.
    auto_share : array_like
        Second series [1], of the same length.
    error_ratio : array_like
        Error variance of the second over that of the first [1], more than 0; one number.

    Returns
    -------
    ndarray
        Slope of the second on the first [1], without the last axis; NaN where the two do not move together at all.

    Raises
    ------
    ImpossibleValue
        If the series are too short or of unequal length, or the ratio is impossible.

    Notes
    -----
    Deming (1943).  With a ratio of 1 it is the line of least square distance (Pearson 1901).

    Examples
    --------
    >>> round(float(deming_slope([0.1, 0.3, 0.5, 0.7], [0.12, 0.30, 0.47, 0.66], 1)), 3)
    0.895
    """
    x, y = np.asarray(hand_share, dtype=np.float64), np.asarray(auto_share, dtype=np.float64)
    ratio = require("error_ratio", error_ratio, 0, np.inf, above=True)
    if x.shape[-1:] != y.shape[-1:] or x.shape[-1] < 3:
        raise ImpossibleValue("hand_share", f"{x.shape[-1]} values beside {y.shape[-1]}", 3, np.inf, "of each")
    x, y = x - x.mean(-1, keepdims=True), y - y.mean(-1, keepdims=True)
    xx, yy, xy = (x * x).sum(-1), (y * y).sum(-1), (x * y).sum(-1)
    lean = yy - ratio * xx
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = (lean + np.sqrt(lean**2 + 4 * ratio * xy**2)) / (2 * xy)
    return np.asarray(np.where(xy == 0, np.nan, slope))


def calibrate(
    auto_share: ArrayLike,
    hand_share: ArrayLike,
    grid_se_share: ArrayLike,
    all_share: ArrayLike,
    confidence_share: float,
) -> Calibration:
    """Hold readings against counts by hand, and correct the mean of all readings by it.

    Parameters
    ----------
    auto_share : array_like
        Cover as read from the photos that were counted [1].
    hand_share : array_like
        Cover as counted on them [1], in the same order.
    grid_se_share : array_like
        Standard error of each count, from its marks alone [1]; see :func:`grid_count_se`.
    all_share : array_like
        Cover as read from all photos of the field, the counted ones among them [1].
    confidence_share : float
        Confidence of the intervals [1], 0.5 to 0.9999.

    Returns
    -------
    Calibration
        Bias, scatter, slope, and the corrected mean with its interval.

    Raises
    ------
    ImpossibleValue
        If fewer than five photos were counted, a value lies outside its range, or the series do not fit together.

    Notes
    -----
    The mean of all readings less the bias, with the error of :func:`corrected_mean_se` and Student's t of as many degrees as
    counted photos less one.  Only the average is corrected, not the slope: a slope from a few photos would add more error than it
    takes away, and the mean does not need it.  The slope (both errors taken as equal; interval by leaving out one photo at a
    time) tells whether single photos can be compared with one another.

    Examples
    --------
    >>> auto = [0.22, 0.35, 0.41, 0.30, 0.52, 0.47]
    >>> hand = [0.20, 0.30, 0.42, 0.27, 0.48, 0.45]
    >>> found = calibrate(auto, hand, [0.045] * 6, [*auto, 0.33, 0.39], 0.95)
    >>> round(found.bias, 3), round(found.mean, 3), round(found.low, 2), round(found.high, 2)
    (0.025, 0.349, 0.25, 0.45)
    """
    from scipy.special import stdtrit

    auto = require("auto_share", auto_share, 0, 1).ravel()
    hand = require("hand_share", hand_share, 0, 1).ravel()
    grid = require("grid_se_share", grid_se_share, 0, 1).ravel()
    everything = require("all_share", all_share, 0, 1).ravel()
    counted = int(require("counted_photos", auto.size, _LIMITS.photos_least, _MOST))
    if not auto.size == hand.size == grid.size:
        raise ImpossibleValue("hand_share", f"{hand.size} counts, {grid.size} errors", counted, counted, "of each")
    t = float(stdtrit(counted - 1, (1 + float(require("confidence_share", confidence_share, 0.5, 0.9999))) / 2))
    off = auto - hand
    bias, scatter = float(off.mean()), float(off.std(ddof=1))
    error = float(corrected_mean_se(hand.std(ddof=1), scatter, counted, everything.size))
    slope, slope_error = _slope(hand, auto)
    grid_se = float(np.sqrt((grid**2).mean()))
    mean = float(everything.mean()) - bias
    half = t * scatter / np.sqrt(counted)
    return Calibration(
        counted=counted,
        photos=int(everything.size),
        bias=bias,
        bias_low=bias - half,
        bias_high=bias + half,
        scatter=scatter,
        grid_se=grid_se,
        reading_spread=float(reading_spread(scatter, grid_se)),
        slope=slope,
        slope_low=slope - t * slope_error,
        slope_high=slope + t * slope_error,
        mean=mean,
        low=mean - t * error,
        high=mean + t * error,
    )


def _slope(hand: FloatArray, auto: FloatArray) -> tuple[float, float]:
    """Return the slope and its error by leaving out one photo at a time; NaN where the counts hardly differ."""
    count = hand.size
    if hand.std() == 0 or auto.std() == 0:
        return float("nan"), float("nan")
    rest = [np.delete(np.arange(count), left) for left in range(count)]
    without = deming_slope(hand[rest], auto[rest], 1)
    error = np.sqrt((count - 1) / count * ((without - without.mean()) ** 2).sum())
    return float(deming_slope(hand, auto, 1)), float(error)
