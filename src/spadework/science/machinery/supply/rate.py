"""How much slurry per hour reaches the tools: the links of each way, the slowest of them, and who waits for it.

Every link is a throughput [m3/h] as if all others were quick: the spreader, the feeders together, the filling point of
the store, and what stands between feeders and spreader.  The slowest link sets the pace.

That is exact where nothing varies and a feeder brings one or more whole spreader loads, or empties into a container with
room to spare.  Otherwise feeders hinder each other although every link alone would do: several of them come in a bunch,
or a load ends while nobody is there.  How much that costs is worked out in
:mod:`spadework.science.machinery.supply.rhythm` and enters as one more link; the rates of odd loads that were tried
fell short of the other links by up to 29 %.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

_ROUNDING = 1e-12

__all__ = [
    "busy_share",
    "slowest",
    "throughput",
    "waits_share",
]

_SAME = 1e-6
_MOST_FLOW = 5000


@equation("60 * vehicles * load_m3 / round_min", unit="m3/h", source="physics", locator="volume per time")
def throughput(load_m3: ArrayLike, round_min: ArrayLike, vehicles: ArrayLike) -> FloatArray:
    """Slurry per hour that passes one link when it never waits.

    Parameters
    ----------
    load_m3 : array_like
        Slurry in one load [m3], above 0 to 200.
    round_min : array_like
        Time for one load [min], above 0 to 6000: the round of a vehicle, or the filling of a load at the store.
    vehicles : array_like
        Vehicles, or filling points, at the same task [1], above 0 to 50.

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
    Loads over round, times the number at work.

    Examples
    --------
    >>> float(round(throughput(18, 23.79, 1), 1)), float(throughput(27, 36, 2))
    (45.4, 90.0)
    """
    load = require("load_m3", load_m3, 0, 200, "m3", above=True)
    minutes = require("round_min", round_min, 0, 6000, "min", above=True)
    return 60 * require("vehicles", vehicles, 0, 50, above=True) * load / minutes


@equation(
    "minimum(minimum(spreader_m3_h, feeders_m3_h), minimum(store_m3_h, field_m3_h))",
    unit="m3/h",
    source="physics",
    locator="the slowest link",
)
def slowest(
    spreader_m3_h: ArrayLike, feeders_m3_h: ArrayLike, store_m3_h: ArrayLike, field_m3_h: ArrayLike
) -> FloatArray:
    """Throughput of the whole: that of its slowest link.

    Parameters
    ----------
    spreader_m3_h : array_like
        The spreader, never waiting [m3/h], above 0.
    feeders_m3_h : array_like
        All feeders together, waiting for nobody [m3/h], above 0; infinite where there are none.
    store_m3_h : array_like
        The filling point of the store, one tanker after the other [m3/h], above 0.
    field_m3_h : array_like
        What the meeting of the two allows: ``fed_link`` or ``container_link`` [m3/h], above 0; infinite where they do not
        meet.

    Returns
    -------
    FloatArray
        Throughput [m3/h], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument is nil, negative or not a number.

    Notes
    -----
    The least of the four.  Times that vary bring less: whoever is late is waited for, whoever is early gains nothing.

    Examples
    --------
    >>> float(slowest(68, 90, 135, np.inf))
    68.0
    """
    spreader = require("spreader_m3_h", spreader_m3_h, 0, np.inf, "m3/h", above=True)
    feeders = require("feeders_m3_h", feeders_m3_h, 0, np.inf, "m3/h", above=True)
    store = require("store_m3_h", store_m3_h, 0, np.inf, "m3/h", above=True)
    field = require("field_m3_h", field_m3_h, 0, np.inf, "m3/h", above=True)
    return np.minimum(np.minimum(spreader, feeders), np.minimum(store, field))


@equation("1 - throughput_m3_h / link_m3_h", unit="1", source="physics", locator="share of time")
def waits_share(throughput_m3_h: ArrayLike, link_m3_h: ArrayLike) -> FloatArray:
    """Share of its time that a link waits for a slower one.

    Parameters
    ----------
    throughput_m3_h : array_like
        Throughput of the whole [m3/h], 0 to `link_m3_h`.
    link_m3_h : array_like
        The spreader or the feeders, as if nobody kept them waiting [m3/h], above 0 to 5000.

    Returns
    -------
    FloatArray
        Share [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A feeder that must stand because its load is larger than the spreader's has that time in its round, not here.  For a
    busy store take :func:`busy_share`.

    Examples
    --------
    >>> float(waits_share(45, 60))
    0.25
    """
    waits = 1 - busy_share(throughput_m3_h, link_m3_h)
    return np.where(np.abs(waits) <= _ROUNDING, 0.0, waits)  # what the last binary digit makes of nil


@equation("throughput_m3_h / link_m3_h", unit="1", source="physics", locator="share of time")
def busy_share(throughput_m3_h: ArrayLike, link_m3_h: ArrayLike) -> FloatArray:
    """Share of its time that a link is at work, such as the filling point of the store.

    Parameters
    ----------
    throughput_m3_h : array_like
        Throughput of the whole [m3/h], 0 to `link_m3_h`.
    link_m3_h : array_like
        The link, as if nobody kept it waiting [m3/h], above 0 to 5000.

    Returns
    -------
    FloatArray
        Share [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    One over the other.

    Examples
    --------
    >>> float(busy_share(45, 180))
    0.25
    """
    whole = require("throughput_m3_h", throughput_m3_h, 0, _MOST_FLOW, "m3/h")
    link = require("link_m3_h", link_m3_h, 0, _MOST_FLOW, "m3/h", above=True)
    return require("throughput_m3_h / link_m3_h", whole / link, 0, 1 + _SAME)
