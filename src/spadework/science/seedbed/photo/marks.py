"""The marks by which a photo is told apart: greenness, the threshold of brightness, how far the two classes lie apart."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = ["class_distance", "excess_green_over_red", "otsu_threshold", "parted_share"]

_K = reference.constants("photo_method")
_BRIGHTEST = 255.0


@equation(
    "(exg_green * green - red - blue - (exr_red * red - green)) / (red + green + blue)",
    unit="1",
    source="meyer_neto_2008",
    constants=(_K,),
)
def excess_green_over_red(red: ArrayLike, green: ArrayLike, blue: ArrayLike) -> FloatArray:
    """Greenness of a colour; over nil it is a living plant.

    Parameters
    ----------
    red : array_like
        Red of the colour [1], 0 to 255.
    green : array_like
        Green of the colour [1], 0 to 255.
    blue : array_like
        Blue of the colour [1], 0 to 255.  The three must not all be 0.

    Returns
    -------
    ndarray
        Excess green less excess red [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the colour is black.

    Notes
    -----
    With r, g, b as shares of their sum, excess green is 2 g - r - b (Woebbecke and others 1995) and excess red
    1.4 r - g (Meyer and Neto 2008).  The limit of nil needs no setting.

    Examples
    --------
    >>> [round(float(excess_green_over_red(*colour)), 3) for colour in ((70, 120, 50), (120, 95, 70))]
    [0.592, -0.256]
    """
    r, g, b = (require(name, value, 0, _BRIGHTEST) for name, value in (("red", red), ("green", green), ("blue", blue)))
    whole = require("red + green + blue", r + g + b, 0, 3 * _BRIGHTEST, above=True)
    found: FloatArray = (_K.exg_green * g - r - b - (_K.exr_red * r - g)) / whole
    return found


@equation(
    "the middle of a step of the histogram at or under which a class ends, such that the variance between the classes"
    " is largest; the mean of such middles where several do",
    unit="",
    source="otsu_1979",
    in_words=True,
)
def otsu_threshold(middles: ArrayLike, counts: ArrayLike) -> FloatArray:
    """Threshold that parts a histogram into two classes.

    Parameters
    ----------
    middles : array_like
        Middle of every step, rising; 2 or more.
    counts : array_like
        How many values lie in each step [1], 0 or more; not all 0.

    Returns
    -------
    ndarray
        Threshold in the unit of `middles`, no axis: the lower class ends at it.

    Raises
    ------
    ImpossibleValue
        If a count is negative or nothing was counted.

    Notes
    -----
    Otsu (1979): the largest w0 w1 (m1 - m0)2 over all cuts.  Where several cuts are equally good, their mean.

    Examples
    --------
    >>> float(otsu_threshold([0, 1, 2, 7, 8, 9], [5, 9, 4, 3, 8, 2]))
    2.0
    """
    x, _, between = _between(middles, counts)
    best = between >= between.max() * (1 - 1e-12)
    return np.asarray(x[:-1][best].mean())


@equation(
    "largest variance between two classes of the histogram, over the whole variance",
    unit="1",
    source="otsu_1979",
    in_words=True,
)
def parted_share(middles: ArrayLike, counts: ArrayLike) -> FloatArray:
    """Share of the variance of a histogram that parting it in two explains.

    Parameters
    ----------
    middles : array_like
        Middle of every step, rising; 2 or more.
    counts : array_like
        How many values lie in each step [1], 0 or more; not all 0.

    Returns
    -------
    ndarray
        Share [1], no axis; 0 where all values lie in one step.

    Raises
    ------
    ImpossibleValue
        If a count is negative or nothing was counted.

    Notes
    -----
    Otsu's (1979) measure.  One normal hump cut in two gives 2 / pi = 0.637, and a small class gives little however well it
    stands apart: :func:`class_distance` is the better witness.

    Examples
    --------
    >>> round(float(parted_share([0, 1, 2, 7, 8, 9], [5, 9, 4, 3, 8, 2])), 3)
    0.964
    """
    x, weight, between = _between(middles, counts)
    mean = (x * weight).sum()
    whole = float((weight * (x - mean) ** 2).sum())
    return np.asarray(float(between.max()) / whole if whole > 0 else 0.0)


@equation(
    "difference of the means of the two classes over the root of the mean of their variances",
    unit="1",
    source="choice",
    in_words=True,
)
def class_distance(middles: ArrayLike, counts: ArrayLike, threshold: ArrayLike) -> FloatArray:
    """How far the two classes of a parted histogram lie apart, in their own spreads.

    Parameters
    ----------
    middles : array_like
        Middle of every step, rising; 2 or more.
    counts : array_like
        How many values lie in each step [1], 0 or more; not all 0.
    threshold : array_like
        Where it is parted, in the unit of `middles`; one number.

    Returns
    -------
    ndarray
        Distance [1], no axis; 0 where one class is empty, infinite where neither class spreads.

    Raises
    ------
    ImpossibleValue
        If a count is negative or nothing was counted.

    Notes
    -----
    (m1 - m0) / sqrt((v0 + v1) / 2).  The shares of the classes do not enter.  One normal hump cut at its middle gives
    sqrt(8 / pi) / sqrt(1 - 2 / pi) = 2.65, an even spread sqrt(12) = 3.46; two normal humps that stand n spreads apart give n
    where they do not overlap.

    Examples
    --------
    >>> round(float(class_distance([0, 1, 2, 7, 8, 9], [5, 9, 4, 3, 8, 2], 2)), 1)
    10.5
    """
    x, weight, _ = _between(middles, counts)
    low = x <= float(np.asarray(threshold))
    means, spreads = [], []
    for chosen in (low, ~low):
        mass = weight[chosen].sum()
        if mass == 0:
            return np.asarray(0.0)
        means.append((x[chosen] * weight[chosen]).sum() / mass)
        spreads.append((weight[chosen] * (x[chosen] - means[-1]) ** 2).sum() / mass)
    spread = float(np.sqrt(np.mean(spreads)))
    return np.asarray((means[1] - means[0]) / spread if spread > 0 else np.inf)


def _between(middles: ArrayLike, counts: ArrayLike) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return middles, shares, and the variance between the classes for a cut behind every step but the last."""
    x = np.asarray(middles, dtype=np.float64).ravel()
    n = require("counts", counts, 0, np.inf).ravel()
    if x.size < 2 or x.size != n.size or not (np.diff(x) > 0).all():
        raise ImpossibleValue("middles", f"{x.size} steps for {n.size} counts, or not rising", 2, np.inf, "steps")
    weight = n / require("sum of counts", n.sum(), 0, np.inf, above=True)
    below = np.cumsum(weight)[:-1]
    moment = np.cumsum(weight * x)
    above = 1 - below
    gap = moment[-1] * below - moment[:-1]
    part = below * above
    between = np.where(part > 1e-15, gap**2 / np.where(part > 1e-15, part, 1), 0.0)
    return x, weight, between
