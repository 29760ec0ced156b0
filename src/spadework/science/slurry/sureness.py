"""How sure the mean content of a store is: what laboratories state, how much was sampled, and one draw of it.

Loads run along the last axis, as in :mod:`spadework.science.slurry.composition`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["drawn_about", "sampled_share", "sd_as_stated"]


@equation(
    "square root of the mean over the loads of (content times stated_share) squared, over repeats",
    unit="",
    source="cochran_1977",
    locator="chapter 10",
    in_words=True,
)
def sd_as_stated(content: ArrayLike, stated_share: ArrayLike, repeats: ArrayLike) -> FloatArray:
    """Work out the scatter of the analyses of a store from what the laboratories state of each.

    Parameters
    ----------
    content : array_like
        Content of each load [any], 0 or more.
    stated_share : array_like
        Standard deviation of a single analysis, stated for that load, as a share of the content [1], 0 or more.
    repeats : array_like
        Analyses of that load that its figure is the mean of [1], 1 or more.

    Returns
    -------
    ndarray
        Standard deviation of the figure of a load in the unit of `content`, its shape without the last axis.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Variances are pooled over the loads.

    Examples
    --------
    >>> round(float(sd_as_stated([3.0, 4.0], [0.05, 0.05], 1)), 4)
    0.1768
    """
    sd = require("content", content, 0, np.inf) * require("stated_share", stated_share, 0, np.inf)
    result: FloatArray = np.sqrt(np.mean(sd**2 / require("repeats", repeats, 1, np.inf), axis=-1))
    return result


@equation(
    "sum of sampled_m3 over the loads, over the sum of volume_m3",
    unit="1",
    source="cochran_1977",
    locator="chapter 2",
    in_words=True,
)
def sampled_share(sampled_m3: ArrayLike, volume_m3: ArrayLike) -> FloatArray:
    """Work out which share of a store's slurry went through the loads that were sampled.

    Parameters
    ----------
    sampled_m3 : array_like
        Volume of the sampled loads [m3], 0 up to the whole.
    volume_m3 : array_like
        Volume that each analysis stands for [m3], 0 or more; not all 0.

    Returns
    -------
    ndarray
        Share [1], broadcast shape without the last axis.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or more was sampled than there is.

    Examples
    --------
    >>> float(sampled_share([15.0, 15.0], [60.0, 60.0]))
    0.25
    """
    sampled, volume = np.broadcast_arrays(
        np.atleast_1d(require("sampled_m3", sampled_m3, 0, np.inf, "m3")),
        np.atleast_1d(require("volume_m3", volume_m3, 0, np.inf, "m3")),
    )
    whole = require("volume_m3", volume.sum(axis=-1), 0, np.inf, "m3", above=True)
    return require("sampled_share", sampled.sum(axis=-1) / whole, 0, 1)


@equation("content + standard_error * deviate", unit="", source="physics")
def drawn_about(content: ArrayLike, standard_error: ArrayLike, deviate: ArrayLike) -> FloatArray:
    """Draw a content about its mean.

    Parameters
    ----------
    content : array_like
        Mean content [any], 0 or more.
    standard_error : array_like
        Standard error of that mean [any], 0 or more.
    deviate : array_like
        How many standard errors the true mean lies off [1].

    Returns
    -------
    ndarray
        Content in the unit of `content`, broadcast shape.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or the result is negative.

    Notes
    -----
    Where deviates come from a normal distribution they must be cut off where contents would turn negative.

    Examples
    --------
    >>> round(float(drawn_about(3.5, 0.2, -1.0)), 3)
    3.3
    """
    error = require("standard_error", standard_error, 0, np.inf)
    drawn = require("content", content, 0, np.inf) + error * require("deviate", deviate, -np.inf, np.inf)
    return require("content drawn", drawn, 0, np.inf)
