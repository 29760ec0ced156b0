"""The distance from which on one way of bringing slurry costs less than another."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = ["crossing"]

_MOST = 1e9


@equation(
    "the least distance of the grid from which the second way costs less, on a straight line between its points",
    unit="km",
    source="physics",
    locator="change of sign",
    in_words=True,
)
def crossing(distance_km: ArrayLike, cost_a_eur_m3: ArrayLike, cost_b_eur_m3: ArrayLike) -> FloatArray:
    """Distance from which way b costs less than way a.

    Parameters
    ----------
    distance_km : array_like
        Distances in rising order [km], 0 to 100; one axis of length d, two or more.
    cost_a_eur_m3 : array_like
        Cost of way a [EUR/m3], 0 to 1e9; shape (..., d).
    cost_b_eur_m3 : array_like
        Cost of way b [EUR/m3], 0 to 1e9; shape (..., d).

    Returns
    -------
    FloatArray
        Distance [km], in the broadcast shape of the costs without their last axis; not a number where b never costs
        less, the first distance where it does from the start.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range, or the distances do not rise.

    Notes
    -----
    The first crossing counts; costs with steps (one more feeder) can cross more than once, so draw both.

    Examples
    --------
    >>> float(crossing([1, 3, 5], [4, 5, 6], [5, 5, 5])), float(crossing([1, 3, 5], [4, 4, 4], [5, 5, 5]))
    (3.0, nan)
    """
    way = require("distance_km", distance_km, 0, 100, "km")
    if way.ndim != 1 or way.size < 2:
        raise ImpossibleValue("distance_km", f"of shape {way.shape}", 0, 100, "km, two or more along one axis")
    require("step of distance_km", np.diff(way), 0, np.inf, "km", above=True)
    saved = require("cost_a_eur_m3", cost_a_eur_m3, 0, _MOST, "EUR/m3") - require(
        "cost_b_eur_m3", cost_b_eur_m3, 0, _MOST, "EUR/m3"
    )
    saved = np.broadcast_to(saved, np.broadcast_shapes(saved.shape, way.shape))
    less = saved > 0
    first = np.argmax(less, axis=-1)
    before = np.maximum(first - 1, 0)
    here = np.take_along_axis(saved, first[..., np.newaxis], -1)[..., 0]
    there = np.take_along_axis(saved, before[..., np.newaxis], -1)[..., 0]
    rise = np.where((first > 0) & less.any(axis=-1), here - there, 1.0)
    part = np.where(first > 0, here / rise, 0.0)
    return np.asarray(np.where(less.any(axis=-1), way[first] - part * (way[first] - way[before]), np.nan))
