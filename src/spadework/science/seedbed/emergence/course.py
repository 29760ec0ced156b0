"""Course of emergence, from counts on several days: how fast, how late and how spread out."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "day_of_share",
    "emergence_rate_index",
    "emergence_rate_per_plant",
    "mean_emergence_days",
]


@equation(
    "sum of the new plants of each count over its days from sowing",
    unit="1/d",
    source="maguire_1962",
    locator="recalled",
    in_words=True,
)
def emergence_rate_index(new_plants: ArrayLike, count_days: ArrayLike) -> FloatArray:
    """Rate index of emergence: early plants count more.

    Parameters
    ----------
    new_plants : array_like
        Plants that came up since the count before; counts along the last axis [1], 0 to 10 000 000.
    count_days : array_like
        Days from sowing to each count, rising; counts along the last axis [d], more than 0, to 366.

    Returns
    -------
    ndarray
        Index [1/d], shape of the axes before the counts.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If the counts have no axis.

    Notes
    -----
    Sum of n / d.  It grows with the number of seeds: compare like with like, or use
    :func:`emergence_rate_per_plant`.

    Examples
    --------
    >>> round(float(emergence_rate_index([10, 40, 20], [10, 13, 17])), 2)
    5.25
    """
    n = require("new_plants", new_plants, 0, 10_000_000)
    d = require("count_days", count_days, 0, 366, "d", above=True)
    if not (n.ndim and d.ndim):
        raise ValueError("counts must run along the last axis")
    return np.asarray((n / d).sum(axis=-1))


@equation(
    "sum of the new plants of each count over its days from sowing, over all plants",
    unit="1/d",
    source="maguire_1962",
    locator="divided by the plants; recalled",
    in_words=True,
)
def emergence_rate_per_plant(new_plants: ArrayLike, count_days: ArrayLike) -> FloatArray:
    """Rate index of emergence for each plant that came up.

    Parameters
    ----------
    new_plants : array_like
        Plants that came up since the count before; counts along the last axis [1], 0 to 10 000 000.
    count_days : array_like
        Days from sowing to each count, rising; counts along the last axis [d], more than 0, to 366.

    Returns
    -------
    ndarray
        Mean of one over the days [1/d], shape of the axes before the counts.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or no plant came up.
    ValueError
        If the counts have no axis.

    Notes
    -----
    One over it is the harmonic mean of the days to emergence.

    Examples
    --------
    >>> round(float(emergence_rate_per_plant([10, 40, 20], [10, 13, 17])), 4)
    0.075
    """
    n = require("new_plants", new_plants, 0, 10_000_000)
    d = require("count_days", count_days, 0, 366, "d", above=True)
    if not (n.ndim and d.ndim):
        raise ValueError("counts must run along the last axis")
    total = require("all plants", n.sum(axis=-1), 0, np.inf, above=True)
    return np.asarray((n / d).sum(axis=-1) / total)


@equation(
    "sum of the new plants of each count by its days from sowing, over all plants",
    unit="d",
    source="common_practice",
    locator="recalled",
    in_words=True,
)
def mean_emergence_days(new_plants: ArrayLike, count_days: ArrayLike) -> FloatArray:
    """Mean days from sowing to emergence.

    Parameters
    ----------
    new_plants : array_like
        Plants that came up since the count before; counts along the last axis [1], 0 to 10 000 000.
    count_days : array_like
        Days from sowing to each count, rising; counts along the last axis [d], more than 0, to 366.

    Returns
    -------
    ndarray
        Days [d], shape of the axes before the counts.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or no plant came up.
    ValueError
        If the counts have no axis.

    Notes
    -----
    A plant is dated to the count at which it was first seen, so the mean is late by about half the time between
    counts.

    Examples
    --------
    >>> round(float(mean_emergence_days([10, 40, 20], [10, 13, 17])), 2)
    13.71
    """
    n = require("new_plants", new_plants, 0, 10_000_000)
    d = require("count_days", count_days, 0, 366, "d", above=True)
    if not (n.ndim and d.ndim):
        raise ValueError("counts must run along the last axis")
    total = require("all plants", n.sum(axis=-1), 0, np.inf, above=True)
    return np.asarray((n * d).sum(axis=-1) / total)


@equation(
    "day at which the straight line between counts passes the share of the last count",
    unit="d",
    source="physics",
    in_words=True,
)
def day_of_share(plants_so_far: ArrayLike, count_days: ArrayLike, up_share: ArrayLike) -> FloatArray:
    """Day from sowing on which a share of the plants was up.

    Parameters
    ----------
    plants_so_far : array_like
        Plants up at each count, never fewer than before; counts along the last axis [1], 0 to 10 000 000.
    count_days : array_like
        Days from sowing to each count, rising; counts along the last axis [d], more than 0, to 366.
    up_share : array_like
        Share of the plants of the last count [1], more than 0, to 1.

    Returns
    -------
    ndarray
        Day; not a number where the share was up at the first count already [d], shape of the axes before the
        counts.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or plants or days go down, or no plant came up.
    ValueError
        If the counts have no axis.

    Notes
    -----
    The last count is taken as the final stand: count again a week later.

    Examples
    --------
    >>> round(float(day_of_share([10, 50, 70], [10, 13, 17], 0.5)), 2)
    11.88
    """
    n = require("plants_so_far", plants_so_far, 0, 10_000_000)
    d = require("count_days", count_days, 0, 366, "d", above=True)
    p = require("up_share", up_share, 0, 1, above=True)
    if not (n.ndim and d.ndim):
        raise ValueError("counts must run along the last axis")
    require("new plants", np.diff(n, axis=-1), 0, np.inf)
    require("days between counts", np.diff(d, axis=-1), 0, np.inf, "d", above=True)
    final = require("plants at the last count", n[..., -1], 0, np.inf, above=True)
    goal = np.asarray(p * final)
    below = (n < goal[..., np.newaxis]).sum(axis=-1)
    full = np.broadcast_to(n, (*below.shape, n.shape[-1]))
    days = np.broadcast_to(d, full.shape)
    place = np.minimum(below, n.shape[-1] - 1)[..., np.newaxis]
    high, late = (np.take_along_axis(a, place, axis=-1)[..., 0] for a in (full, days))
    earlier = np.maximum(place - 1, 0)
    low, soon = (np.where(below > 0, np.take_along_axis(a, earlier, axis=-1)[..., 0], np.nan) for a in (full, days))
    return np.where(below > 0, soon + (goal - low) / np.where(high > low, high - low, 1) * (late - soon), np.nan)
