"""What a field's slurry held, from loads or stores analysed one by one, and how sure that is.

Loads and stores run along the last axis.  A content is any figure per volume or mass; pH is none and is not averaged.
Slurry gas kills without warning: samples are taken from outside the store, by two people, as local rules ask.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, calibrated, require
from spadework.working import equation

__all__ = [
    "effective_loads",
    "mean_by_mass",
    "mean_by_volume",
    "ph_span",
    "sd_between_loads",
    "sd_of_loads",
    "sd_of_repeats",
    "se_of_mean",
]


@equation(
    "content times volume_m3, summed over the loads or stores, over the sum of volume_m3",
    unit="",
    source="physics",
    in_words=True,
)
def mean_by_volume(content: ArrayLike, volume_m3: ArrayLike) -> FloatArray:
    """Average contents per volume, or densities, of loads or of stores poured together.

    Parameters
    ----------
    content : array_like
        Content per volume of each load or store, or its density [any], 0 or more.
    volume_m3 : array_like
        Volume of each [m3], 0 or more; not all 0.

    Returns
    -------
    ndarray
        Mean in the unit of `content`, broadcast shape without the last axis.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or there is no volume at all.

    Notes
    -----
    Volumes are taken to add up.  Contents per mass, dry matter among them, go through :func:`mean_by_mass`, pH through
    :func:`ph_span`.

    Examples
    --------
    >>> round(float(mean_by_volume([3.0, 4.0, 5.0], [15, 15, 6])), 3)
    3.75
    """
    return _weighted(content, require("volume_m3", volume_m3, 0, np.inf, "m3"))


@equation(
    "content times volume_m3 times density_t_m3, summed over the loads or stores, over the sum of volume_m3 times "
    "density_t_m3",
    unit="",
    source="physics",
    in_words=True,
)
def mean_by_mass(content: ArrayLike, volume_m3: ArrayLike, density_t_m3: ArrayLike) -> FloatArray:
    """Average dry matter, or contents per mass, of loads or of stores poured together.

    Parameters
    ----------
    content : array_like
        Dry matter or content per mass of each load or store [any], 0 or more.
    volume_m3 : array_like
        Volume of each [m3], 0 or more; not all 0.
    density_t_m3 : array_like
        Density of each [t/m3], 0.8 to 1.3.

    Returns
    -------
    ndarray
        Mean in the unit of `content`, broadcast shape without the last axis.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or there is no volume at all.

    Notes
    -----
    Weighed with mass, since dry matter is a share of mass.  The density of the whole is :func:`mean_by_volume`.

    Examples
    --------
    >>> round(float(mean_by_mass([0.04, 0.10], [400, 200], [1.01, 1.04])), 4)
    0.0604
    """
    mass = require("volume_m3", volume_m3, 0, np.inf, "m3") * require("density_t_m3", density_t_m3, 0.8, 1.3, "t/m3")
    return _weighted(content, mass)


@equation("lowest and highest ph along the last axis", unit="1", source="choice", in_words=True)
def ph_span(ph: ArrayLike) -> FloatArray:
    """Give the range of pH over loads or stores, in place of a mean.

    Parameters
    ----------
    ph : array_like
        pH of each load or store [1], 0 to 14.

    Returns
    -------
    ndarray
        Lowest and highest pH [1], along the last axis.

    Raises
    ------
    ImpossibleValue
        If a pH lies outside its range, or there is none.

    Notes
    -----
    pH is a logarithm, and what slurries hold to buffer acid decides where a mixture settles: neither the mean of
    the pH nor that of the acid is it.  Measure the mixture.

    Examples
    --------
    >>> ph_span([7.2, 7.9, 7.4]).tolist()
    [7.2, 7.9]
    """
    values = _several("ph", require("ph", ph, 0, 14), 1)
    return np.stack([values.min(axis=-1), values.max(axis=-1)], axis=-1)


@equation(
    "square root of: squared distances of the loads from their mean, summed, over their number less 1",
    unit="",
    source="physics",
    in_words=True,
)
def sd_of_loads(content: ArrayLike) -> FloatArray:
    """Work out how far loads differ, as analysed.

    Parameters
    ----------
    content : array_like
        Content of each load, repeats averaged [any], 0 or more; at least two loads.

    Returns
    -------
    ndarray
        Standard deviation in the unit of `content`, its shape without the last axis.

    Raises
    ------
    ImpossibleValue
        If a value is negative, or there are fewer than two.

    Notes
    -----
    Holds the scatter of sampling and laboratory too; :func:`sd_between_loads` takes that off.

    Examples
    --------
    >>> round(float(sd_of_loads([3.1, 3.3, 2.9, 3.5])), 3)
    0.258
    """
    result: FloatArray = _several("content", require("content", content, 0, np.inf), 2).std(axis=-1, ddof=1)
    return result


@equation(
    "square root of the mean over loads (last axis but one) of the variance of repeats (last axis), each with the "
    "number of repeats less 1",
    unit="",
    source="cochran_1977",
    locator="chapter 10",
    in_words=True,
)
def sd_of_repeats(content: ArrayLike) -> FloatArray:
    """Work out how far repeated analyses of one load differ.

    Parameters
    ----------
    content : array_like
        Content [any], 0 or more; repeats along the last axis, at least two, and loads along the one before it.

    Returns
    -------
    ndarray
        Standard deviation of a single analysis in the unit of `content`, its shape without the last two axes.

    Raises
    ------
    ImpossibleValue
        If a value is negative, or there are fewer than two repeats.

    Notes
    -----
    Pooled over the loads, which must have equally many repeats.  Two bottles of one load hold the scatter of taking
    the sample; one bottle analysed twice does not.

    Examples
    --------
    >>> round(float(sd_of_repeats([[3.0, 3.2], [3.5, 3.4]])), 4)
    0.1118
    """
    values = np.atleast_2d(_several("content", require("content", content, 0, np.inf), 2))
    result: FloatArray = np.sqrt(values.var(axis=-1, ddof=1).mean(axis=-1))
    return result


@equation(
    "sqrt(maximum(analysed_sd ** 2 - repeat_sd ** 2 / repeats, 0))",
    unit="",
    source="cochran_1977",
    locator="chapter 10",
)
def sd_between_loads(analysed_sd: ArrayLike, repeat_sd: ArrayLike, repeats: ArrayLike) -> FloatArray:
    """Work out how far loads truly differ, the scatter of analyses taken off.

    Parameters
    ----------
    analysed_sd : array_like
        Standard deviation of the loads as analysed [any], 0 or more; see :func:`sd_of_loads`.
    repeat_sd : array_like
        Standard deviation of a single analysis [any], 0 or more; see :func:`sd_of_repeats`.
    repeats : array_like
        Analyses behind the figure of each load [1], 1 or more.

    Returns
    -------
    ndarray
        Standard deviation between loads in the unit of `analysed_sd`, broadcast shape.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Variances part.  Where the analyses scatter more than the loads, the result is 0 and a note says so.

    Examples
    --------
    >>> round(float(sd_between_loads(0.26, 0.12, 2)), 4)
    0.2458
    """
    analysed = require("analysed_sd", analysed_sd, 0, np.inf)
    repeat = require("repeat_sd", repeat_sd, 0, np.inf)
    left = analysed**2 - repeat**2 / require("repeats", repeats, 1, np.inf)
    if left.size:
        calibrated("variance between loads, taken as 0 where below", "analysed_sd less repeat_sd", left, 0, np.inf)
    result: FloatArray = np.sqrt(np.maximum(left, 0))
    return result


@equation(
    "sum of volume_m3 over the loads, squared, over the sum of its squares",
    unit="1",
    source="cochran_1977",
    in_words=True,
)
def effective_loads(volume_m3: ArrayLike) -> FloatArray:
    """Count the loads of equal size that make as sure a mean as loads of unequal size.

    Parameters
    ----------
    volume_m3 : array_like
        Volume of each load analysed [m3], 0 or more; not all 0.

    Returns
    -------
    ndarray
        Number of loads [1], its shape without the last axis.

    Raises
    ------
    ImpossibleValue
        If a volume is negative, or all are 0.

    Notes
    -----
    For a mean weighed with volume; the number itself where all loads are alike.

    Examples
    --------
    >>> round(float(effective_loads([15, 15, 6])), 3)
    2.667
    """
    volume = _several("volume_m3", require("volume_m3", volume_m3, 0, np.inf, "m3"), 1)
    total = require("volume_m3", volume.sum(axis=-1), 0, np.inf, "m3", above=True)
    share = volume / total[..., np.newaxis]
    result: FloatArray = 1 / (share**2).sum(axis=-1)
    return result


@equation(
    "sqrt(((1 - sampled_share) * between_sd ** 2 + repeat_sd ** 2 / repeats) / loads)",
    unit="",
    source="cochran_1977",
    locator="chapter 10, two stages",
)
def se_of_mean(
    between_sd: ArrayLike, repeat_sd: ArrayLike, repeats: ArrayLike, loads: ArrayLike, sampled_share: ArrayLike
) -> FloatArray:
    """Work out how sure the mean content of the slurry on the field is.

    Parameters
    ----------
    between_sd : array_like
        Standard deviation between loads [any], 0 or more; see :func:`sd_between_loads`.
    repeat_sd : array_like
        Standard deviation of a single analysis [any], 0 or more.
    repeats : array_like
        Analyses of each load [1], 1 or more.
    loads : array_like
        Loads analysed [1], 1 or more; see :func:`effective_loads` where they differ in size.
    sampled_share : array_like
        Loads analysed over loads spread [1], 0 to 1.

    Returns
    -------
    ndarray
        Standard error in the unit of `between_sd`, broadcast shape.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Two-stage sampling.  With every load analysed only the scatter of the analyses is left; with few of many, the loads
    count in full.  Speaks of this slurry on this field, not of the store's next year.

    Examples
    --------
    >>> round(float(se_of_mean(0.25, 0.12, 1, 4, 0.5)), 4)
    0.1068
    """
    between = require("between_sd", between_sd, 0, np.inf)
    analysis = require("repeat_sd", repeat_sd, 0, np.inf) ** 2 / require("repeats", repeats, 1, np.inf)
    open_share = 1 - require("sampled_share", sampled_share, 0, 1)
    result: FloatArray = np.sqrt((open_share * between**2 + analysis) / require("loads", loads, 1, np.inf))
    return result


def _weighted(content: ArrayLike, weight: FloatArray) -> FloatArray:
    values, weights = np.broadcast_arrays(np.atleast_1d(require("content", content, 0, np.inf)), np.atleast_1d(weight))
    total = require("volume_m3", weights.sum(axis=-1), 0, np.inf, "m3", above=True)
    result: FloatArray = (values * (weights / total[..., np.newaxis])).sum(axis=-1)
    return result


def _several(name: str, values: FloatArray, least: int) -> FloatArray:
    values = np.atleast_1d(values)
    if values.shape[-1] < least:
        raise ImpossibleValue(name, str(values.shape[-1]), least, np.inf, "values along the last axis")
    return values
