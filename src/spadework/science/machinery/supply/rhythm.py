"""The rhythm in which feeders and spreader meet: the rate that the meeting itself allows.

Load after load is followed by its earliest time: a feeder fills when it is back and the store is free, it hands over when
it has come and the spreader has room for its slurry.  Nothing varies, so a rhythm sets in, and its beat is the rate.  It
holds for any two loads, whole multiples of each other or not.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.science.machinery.supply.haulage import meeting_share
from spadework.working import equation

__all__ = ["container_link", "fed_link", "require_container"]

_SAME = 1e-6
_LOADS = 160
_WINDOW = 96


def require_container(container_m3: ArrayLike, load_m3: ArrayLike, feeder_load_m3: ArrayLike) -> FloatArray:
    """Return what the container holds, or raise where it would get stuck: too full for a feeder, too low for the spreader.

    Parameters
    ----------
    container_m3 : array_like
        What the container holds [m3], above 0 to 1000.
    load_m3 : array_like
        Slurry in one load of the spreader [m3], above 0 to 200.
    feeder_load_m3 : array_like
        Slurry in one load of a feeder [m3], above 0 to 200.

    Returns
    -------
    FloatArray
        The container [m3].

    Raises
    ------
    ImpossibleValue
        If it holds less than both loads together; or, where one is a whole multiple of the other, less than the larger.
    """
    holds = require("container_m3", container_m3, 0, 1000, "m3", above=True)
    load = require("load_m3", load_m3, 0, 200, "m3", above=True)
    feeder = require("feeder_load_m3", feeder_load_m3, 0, 200, "m3", above=True)
    larger, smaller = np.maximum(load, feeder), np.minimum(load, feeder)
    whole = np.abs(larger / smaller - np.rint(larger / smaller)) <= _SAME * larger / smaller
    least = np.where(whole, larger, larger + smaller)
    holds, least = np.broadcast_arrays(holds, least)
    short = holds < least * (1 - _SAME)
    if short.any():
        raise ImpossibleValue("container_m3", f"{holds[short].flat[0]:.6g}", float(least[short].flat[0]), 1000, "m3")
    return np.asarray(holds)


class _Feeders:
    """Feeders in turn, each load by its number: back at the store, filled, in the field; one column for each case."""

    def __init__(self, load: FloatArray, feeder: FloatArray, count: FloatArray, fill: FloatArray, road: FloatArray):
        self.feeder, self.fill, self.road = feeder, fill, road
        self.count = count.astype(np.intp)
        self.cases = np.arange(count.size)
        self.left = np.zeros((_LOADS, count.size))
        self.begun = np.zeros((_LOADS, count.size))
        self.store = np.zeros(count.size)
        share = meeting_share(feeder, load)
        beat = self.count * np.rint(1 / np.where(share > 0, share, 1)).astype(np.intp)
        self.window = np.maximum(_WINDOW // beat * beat, np.where(beat > _WINDOW, _WINDOW, 0))

    def come(self, number: int) -> FloatArray:
        """Return when the feeder with this load is in the field, all its road behind it."""
        before = np.maximum(number - self.count, 0)
        back = np.where(number >= self.count, self.left[before, self.cases] + self.road, 0.0)
        self.store = np.maximum(back, self.store) + self.fill
        return self.store

    def rate(self) -> FloatArray:
        """Return the rate over whole beats at the end [m3/h]."""
        minutes = self.begun[-1] - self.begun[_LOADS - 1 - self.window, self.cases]
        return np.asarray(60 * self.feeder * self.window / minutes)


def _columns(*values: FloatArray) -> tuple[list[FloatArray], tuple[int, ...]]:
    together = np.broadcast_arrays(*values)
    return [np.array(value, dtype=np.float64).ravel() for value in together], together[0].shape


def _whole(feeders: ArrayLike) -> FloatArray:
    count = require("feeders", feeders, 1, 50)
    if (broken := count[count != np.rint(count)]).size:
        raise ImpossibleValue("feeders", f"{broken.flat[0]:.6g}", 1, 50, "whole vehicles")
    return count


@equation(
    "160 loads of the feeders in turn: each fills when it is back and the store is free, and hands over when it has come "
    "and the spreader is there with room; slurry over time of the last whole beats of the rhythm",
    unit="m3/h",
    source="physics",
    locator="earliest times, one after another",
    in_words=True,
)
def fed_link(
    load_m3: ArrayLike,
    feeder_load_m3: ArrayLike,
    feeders: ArrayLike,
    away_min: ArrayLike,
    transfer_m3_min: ArrayLike,
    connect_min: ArrayLike,
    filling_min: ArrayLike,
    road_min: ArrayLike,
) -> FloatArray:
    """Throughput of a spreader that feeders fill directly, for any two loads.

    Parameters
    ----------
    load_m3 : array_like
        Slurry in one load of the spreader [m3], above 0 to 200.
    feeder_load_m3 : array_like
        Slurry in one load of a feeder [m3], above 0 to 200.
    feeders : array_like
        Feeders on the road, a whole number [1], 1 to 50.
    away_min : array_like
        From leaving the feeder to being back: spreading and finding the place [min], above 0 to 1440.
    transfer_m3_min : array_like
        Flow from feeder to spreader [m3/min], above 0 to 20.
    connect_min : array_like
        Coupling and uncoupling at the field, each time [min], 0 to 120.
    filling_min : array_like
        Filling a feeder at the store [min], above 0 to 1440.
    road_min : array_like
        On the road for a load, there and back [min], 0 to 1440.

    Returns
    -------
    FloatArray
        Throughput [m3/h], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The spreader always fills up before it leaves; a feeder stays until it is empty.  One or more whole spreader loads in
    a feeder give the slowest link of :mod:`spadework.science.machinery.supply.rate` again.  Two or more feeders to a
    spreader load, or loads that do not fit, give less: feeders set off in a bunch and find the spreader away.  Against
    the run of events the difference was within 2 % over 20 ratios of loads [our own count].  A feeder filled to a whole
    number of spreader loads is often quicker than a full one: try both.

    Examples
    --------
    Two feeders of half a load each, a round of 24 min like the spreader's own; on paper 45 m3/h, did they not come as a
    pair:

    >>> round(float(fed_link(18, 9, 2, 16, 4.5, 2, 6, 14)), 2)
    43.2
    """
    count = _whole(feeders)
    values, shape = _columns(
        require("load_m3", load_m3, 0, 200, "m3", above=True),
        require("feeder_load_m3", feeder_load_m3, 0, 200, "m3", above=True),
        count,
        require("away_min", away_min, 0, 1440, "min", above=True),
        require("transfer_m3_min", transfer_m3_min, 0, 20, "m3/min", above=True),
        require("connect_min", connect_min, 0, 120, "min"),
        require("filling_min", filling_min, 0, 1440, "min", above=True),
        require("road_min", road_min, 0, 1440, "min"),
    )
    load, part, count, away, flow, connect, fill, road = values
    ratio = part / load
    fleet = _Feeders(load, part, count, fill, road)
    spreader = np.zeros(load.size)
    for number in range(_LOADS):
        ends = (number + 1) * ratio
        full = np.ceil(ends - _SAME) - 1 - np.floor(number * ratio + _SAME)
        fleet.begun[number] = np.maximum(fleet.come(number), spreader)
        fleet.left[number] = fleet.begun[number] + part / flow + (full + 1) * connect + full * away
        spreader = fleet.left[number] + np.where(np.abs(ends - np.rint(ends)) <= _SAME, away, 0.0)
    return fleet.rate().reshape(shape)


@equation(
    "160 loads of the feeders in turn: each fills when it is back and the store is free, and empties into the container "
    "when it has come and its load has room; the spreader fills itself when it is back and its load is there; slurry "
    "over time of the last whole beats of the rhythm",
    unit="m3/h",
    source="physics",
    locator="earliest times, one after another",
    in_words=True,
)
def container_link(
    container_m3: ArrayLike,
    load_m3: ArrayLike,
    feeder_load_m3: ArrayLike,
    feeders: ArrayLike,
    away_min: ArrayLike,
    out_min: ArrayLike,
    in_min: ArrayLike,
    filling_min: ArrayLike,
    road_min: ArrayLike,
) -> FloatArray:
    """Throughput through a container at the edge of the field, for any two loads.

    Parameters
    ----------
    container_m3 : array_like
        What the container holds [m3], above 0 to 1000; see :func:`require_container`.
    load_m3 : array_like
        Slurry in one load of the spreader [m3], above 0 to 200.
    feeder_load_m3 : array_like
        Slurry in one load of a feeder [m3], above 0 to 200.
    feeders : array_like
        Feeders on the road, a whole number [1], 1 to 50.
    away_min : array_like
        From leaving the container to being back: spreading and finding the place [min], above 0 to 1440.
    out_min : array_like
        Filling one spreader load out of the container [min], above 0 to 1440.
    in_min : array_like
        Emptying one feeder load into the container [min], above 0 to 1440.
    filling_min : array_like
        Filling a feeder at the store [min], above 0 to 1440.
    road_min : array_like
        On the road for a load, there and back [min], 0 to 1440.

    Returns
    -------
    FloatArray
        Throughput [m3/h], in the broadcast shape of the arguments; one link among others, for a container that takes
        hundreds of loads to fill hides the spreader from the feeders.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range, or the container would get stuck.

    Notes
    -----
    A feeder begins once its whole load has room, the spreader once a whole load is there; both can be at the container
    together, but only one feeder.  From twice the larger load on, a container of loads that fit into each other costs
    nothing; of odd loads, from three times on.

    Examples
    --------
    >>> container_link([18, 36, 60], 18, 18, 3, 11, 5, 5, 6, 8).round(1).tolist()
    [67.5, 67.5, 67.5]
    """
    count = _whole(feeders)
    values, shape = _columns(
        require_container(container_m3, load_m3, feeder_load_m3),
        require("load_m3", load_m3, 0, 200, "m3", above=True),
        require("feeder_load_m3", feeder_load_m3, 0, 200, "m3", above=True),
        count,
        require("away_min", away_min, 0, 1440, "min", above=True),
        require("out_min", out_min, 0, 1440, "min", above=True),
        require("in_min", in_min, 0, 1440, "min", above=True),
        require("filling_min", filling_min, 0, 1440, "min", above=True),
        require("road_min", road_min, 0, 1440, "min"),
    )
    holds, load, part, count, away, out, into, fill, road = values
    fleet = _Feeders(load, part, count, fill, road)
    spreader, emptied, room = np.zeros(load.size), np.zeros(load.size), np.zeros(load.size)
    taken: NDArray[np.intp] = np.zeros(load.size, dtype=np.intp)
    for number in range(_LOADS):
        must = np.ceil(((number + 1) * part - holds) / load - _SAME).astype(np.intp)
        while (behind := taken < must).any():
            comes = np.ceil((taken + 1) * load / part - _SAME).astype(np.intp) - 1
            there = fleet.left[np.minimum(comes, _LOADS - 1), fleet.cases]
            filled = np.maximum(spreader, there) + out
            room = np.where(behind, filled, room)
            spreader = np.where(behind, filled + away, spreader)
            taken = taken + behind
        fleet.begun[number] = np.maximum(np.maximum(fleet.come(number), emptied), room)
        emptied = fleet.left[number] = fleet.begun[number] + into
    return fleet.rate().reshape(shape)
