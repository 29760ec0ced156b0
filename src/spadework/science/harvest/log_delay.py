"""The time that a crop takes from the header to the sensor, found from passes driven side by side both ways.

A wrong delay shifts every pass along its own way.  Neighbours driven the other way are shifted against it, so that the same
ground shows two yields; the delay at which the two agree best is the one looked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require
from spadework.reference import constants
from spadework.science.harvest.log_place import pass_heading
from spadework.working import equation

__all__ = ["DelayCurve", "delay_curve", "shifted_flow"]

_K = constants("yield_log")
_OPPOSITE = -0.9  # cosine between passes driven opposite ways


@dataclass(frozen=True)
class DelayCurve:
    """Agreement of neighbouring passes against the delay that is taken out.

    Attributes
    ----------
    delays_s : FloatArray
        Delays that were tried [s].
    agreement : FloatArray
        Correlation of yields at neighbouring places of passes driven opposite ways [1].
    best_s : float
        Delay with the largest agreement, between the steps by a parabola [s]; not a number where none stands out, or
        even the best agreement is too weak to be more than chance.
    pairs : int
        Pairs of places that were held against one another.
    at_end : bool
        True where the agreement is largest at the shortest or longest delay tried: nothing was found.
    """

    delays_s: FloatArray
    agreement: FloatArray
    best_s: float
    pairs: int
    at_end: bool


@equation(
    "flow that the sensor shows delay_s later, straight between two records; none across a silence longer than gap_s",
    unit="kg/s",
    source="simbahan_2004",
    in_words=True,
)
def shifted_flow(time_s: ArrayLike, flow_kg_s: ArrayLike, delay_s: float, gap_s: float) -> FloatArray:
    """Flow set back to the place where it was cut.

    Parameters
    ----------
    time_s : array_like
        Time of each record [s], rising; one row.
    flow_kg_s : array_like
        Flow at the sensor [kg/s], 0 to 200.
    delay_s : float
        Time from header to sensor [s], 0 to 120.
    gap_s : float
        Silence across which nothing is carried [s], more than 0.

    Returns
    -------
    ndarray
        Flow [kg/s], one for each record; not a number where the log ends or is silent at the later time.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The smear of the machine stays: a reading is a mean over some tens of metres, whatever the delay.

    Examples
    --------
    >>> shifted_flow([0, 1, 2, 3], [0, 0, 5, 6], 2, 5).tolist()
    [5.0, 6.0, nan, nan]
    """
    time = require("time_s", time_s, -1e12, 1e12, "s")
    flow = require("flow_kg_s", flow_kg_s, 0, 200, "kg/s")
    later = time + float(require("delay_s", delay_s, 0, 120, "s"))
    longest = float(require("gap_s", gap_s, 0, 600, "s", above=True))
    found = np.interp(later, time, flow, right=np.nan)
    after = np.minimum(np.searchsorted(time, later, "left"), time.size - 1)
    silent = (time[after] - time[np.maximum(after - 1, 0)] > longest) & (time[after] != later)
    return np.where(silent, np.nan, found)


@equation(
    "correlation of yields, each less the mean of its pass, at the nearest places of passes driven opposite ways, "
    "for every delay",
    unit="1",
    source="choice",
    in_words=True,
)
def delay_curve(
    time_s: ArrayLike,
    east_m: ArrayLike,
    north_m: ArrayLike,
    flow_kg_s: ArrayLike,
    speed_m_s: ArrayLike,
    pass_number: ArrayLike,
    width_m: float,
) -> DelayCurve:
    """Agreement of opposite passes for a range of delays, and the delay at which it is best.

    Parameters
    ----------
    time_s : array_like
        Time of each record [s], rising; one row, the records with the header up included.
    east_m : array_like
        Metres east [m].
    north_m : array_like
        Metres north [m].
    flow_kg_s : array_like
        Flow at the sensor [kg/s], 0 to 200.
    speed_m_s : array_like
        Speed [m/s], 0 to 15.
    pass_number : array_like
        Pass of each record from 0 on [1]; negative where the header is up.
    width_m : float
        Working width [m]; places up to one and a half widths apart are neighbours.

    Returns
    -------
    DelayCurve
        The curve, its best delay and the pairs behind it.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The mean of every pass is taken out first, so that two systems side by side may differ.  A moisture sensor
    has a delay of its
    own.  Short fields, passes all one way and even crops show no delay; then take that of the machine's handbook.

    Examples
    --------
    >>> curve = delay_curve([0, 1, 2], [0, 1, 2], [0, 0, 0], [1, 1, 1], [1, 1, 1], [0, 0, 0], 6)
    >>> curve.pairs, curve.best_s
    (0, nan)
    """
    from scipy.spatial import cKDTree

    time, flow = np.asarray(time_s, np.float64), require("flow_kg_s", flow_kg_s, 0, 200, "kg/s")
    east, north = require("east_m", east_m, -1e7, 1e7, "m"), require("north_m", north_m, -1e7, 1e7, "m")
    speed = require("speed_m_s", speed_m_s, 0, 15, "m/s")
    number = require("pass_number", pass_number, -1, 1e9).astype(np.int64)
    width = float(require("width_m", width_m, 0, 30, "m", above=True))
    tried = np.arange(0, _K.delay_longest_s + _K.delay_step_s / 2, _K.delay_step_s)
    cutting = (number >= 0) & (speed > 0)
    heading = pass_heading(east, north, number)
    first, second = [], []
    trees: dict[int, tuple[NDArray[np.intp], Any]] = {
        int(p): (at, cKDTree(np.column_stack([east[at], north[at]])))
        for p in np.unique(number[cutting])
        if (at := np.flatnonzero(cutting & (number == p))).size > 1
    }
    for one, (at, tree) in trees.items():
        for other, (there, other_tree) in trees.items():
            if other <= one or not np.cos(heading[one] - heading[other]) < _OPPOSITE:
                continue
            if (tree.mins > other_tree.maxes + 1.5 * width).any() or (other_tree.mins > tree.maxes + 1.5 * width).any():
                continue
            far, near = other_tree.query(tree.data, distance_upper_bound=1.5 * width)
            close = np.isfinite(far)
            first.append(at[close])
            second.append(there[near[close]])
    a = np.concatenate(first) if first else np.empty(0, np.int64)
    b = np.concatenate(second) if second else np.empty(0, np.int64)
    whole = np.ones(a.size, np.bool_)
    yields = np.full((tried.size, time.size), np.nan)
    for row, delay in enumerate(tried):
        set_back = shifted_flow(time, flow, float(delay), _K.gap_s)
        yields[row] = _off_mean(np.divide(set_back, speed, out=np.full(time.size, np.nan), where=cutting), number)
        whole &= np.isfinite(yields[row, a]) & np.isfinite(yields[row, b])
    a, b = a[whole], b[whole]
    if a.size < 3:
        return DelayCurve(tried, np.full(tried.size, np.nan), float("nan"), int(a.size), False)
    agreement = np.array([_correlation(row[a], row[b]) for row in yields])
    return DelayCurve(tried, agreement, *_peak(tried, agreement, int(a.size)))


def _off_mean(values: FloatArray, number: NDArray[np.int64]) -> FloatArray:
    """Return values less the mean of their pass."""
    known = np.isfinite(values) & (number >= 0)
    if not known.any():
        return values
    place = np.where(known, number, 0)
    counts = np.bincount(place[known], minlength=int(number.max()) + 1)
    means = np.bincount(place[known], values[known], minlength=counts.size) / np.maximum(counts, 1)
    return np.where(known, values - means[place], np.nan)


def _correlation(one: FloatArray, other: FloatArray) -> float:
    scale = np.sqrt(np.mean(one**2) * np.mean(other**2))
    return float(np.mean(one * other) / scale) if scale > 0 else float("nan")


def _peak(tried: FloatArray, agreement: FloatArray, pairs: int) -> tuple[float, int, bool]:
    if not np.isfinite(agreement).all():
        return float("nan"), pairs, False
    best = int(np.argmax(agreement))
    if best in (0, tried.size - 1):
        return float("nan"), pairs, True
    if agreement[best] < _K.delay_agreement:
        return float("nan"), pairs, False
    low, middle, high = agreement[best - 1 : best + 2]
    bend = low - 2 * middle + high
    aside = 0.5 * (low - high) / bend if bend < 0 else 0.0
    return float(tried[best] + aside * (tried[1] - tried[0])), pairs, False
