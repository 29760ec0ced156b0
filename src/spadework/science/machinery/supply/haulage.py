"""Rounds of the vehicles that bring slurry: how long a spreader or a feeder takes for one load.

Five ways lead from the store to the tools.  *Brought*: the outfit is met at the headland, the time per load is known.
*Drives*: the spreading tanker goes to the store itself.  *Feeders*: other tankers run on the road and fill the spreader
directly.  *Container*: they empty into a container at the edge of the field, from which the spreader fills itself.
*Hose*: no tanker at all; see :mod:`spadework.science.machinery.supply.hose`.

Loads are what the tank really holds; foam can leave part of it empty.  Road speeds are for roads where they are lawful.
The rates that follow from these rounds are in :mod:`spadework.science.machinery.supply.rate`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "feeder_at_field",
    "feeder_round",
    "feeders_needed",
    "filling_round",
    "handing_per_load",
    "meeting_share",
    "spreader_round",
    "spreading_per_load",
]

_ROUNDING = 1e-9
_SAME = 1e-6
_MOST_LOADS = 24


@equation(
    "60 * load_m3 / dose_m3_ha * spread_h_ha", unit="min", source="physics", locator="area of a load by time per area"
)
def spreading_per_load(load_m3: ArrayLike, dose_m3_ha: ArrayLike, spread_h_ha: ArrayLike) -> FloatArray:
    """Time in the field that one load lasts.

    Parameters
    ----------
    load_m3 : array_like
        Slurry in one load of the spreader [m3], above 0 to 200.
    dose_m3_ha : array_like
        Dose [m3/ha], above 0 to 500.
    spread_h_ha : array_like
        Working, turning and lost time, nothing about the supply of slurry [h/ha], above 0 to 100.

    Returns
    -------
    FloatArray
        Time per load [min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Hectares of the load times hours per hectare.

    Examples
    --------
    >>> float(round(spreading_per_load(18, 40, 0.28), 2))
    7.56
    """
    load = require("load_m3", load_m3, 0, 200, "m3", above=True)
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha", above=True)
    return 60 * load / dose * require("spread_h_ha", spread_h_ha, 0, 100, "h/ha", above=True)


@equation("load_m3 / filling_m3_min + connect_min", unit="min", source="physics", locator="sum of times")
def filling_round(load_m3: ArrayLike, filling_m3_min: ArrayLike, connect_min: ArrayLike) -> FloatArray:
    """Time at a filling point: of the store, or of the container in the field.

    Parameters
    ----------
    load_m3 : array_like
        Slurry in one load [m3], above 0 to 200.
    filling_m3_min : array_like
        Flow [m3/min], above 0 to 20.
    connect_min : array_like
        Coupling and uncoupling [min], 0 to 120.

    Returns
    -------
    FloatArray
        Time per load [min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The filling point is taken for all of it.  Emptying a feeder into a container is the same sum.

    Examples
    --------
    >>> float(filling_round(18, 4.5, 2))
    6.0
    """
    load = require("load_m3", load_m3, 0, 200, "m3", above=True)
    filling = require("filling_m3_min", filling_m3_min, 0, 20, "m3/min", above=True)
    return load / filling + require("connect_min", connect_min, 0, 120, "min")


@equation(
    "one over the least whole number of feeder loads (up to 24) that make whole loads of the spreader, else nil",
    unit="1",
    source="physics",
    locator="ratio of the loads",
    in_words=True,
)
def meeting_share(feeder_load_m3: ArrayLike, load_m3: ArrayLike) -> FloatArray:
    """Share of the feeders that are empty just when the spreader is full.

    Parameters
    ----------
    feeder_load_m3 : array_like
        Slurry in one load of a feeder [m3], above 0 to 200.
    load_m3 : array_like
        Slurry in one load of the spreader [m3], above 0 to 200.

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
    Counting starts with both at a load's beginning, and the spreader always leaves full.  Feeder loads of one, two or
    three spreader loads all meet (1); three spreader loads in two feeder loads meet every second time (0.5).  Loads
    that differ by less than a millionth count as equal.

    Examples
    --------
    >>> meeting_share([18, 36, 27, 9, 25], 18).tolist()
    [1.0, 1.0, 0.5, 0.5, 0.05555555555555555]
    """
    feeder = require("feeder_load_m3", feeder_load_m3, 0, 200, "m3", above=True)
    ratio = np.asarray(feeder / require("load_m3", load_m3, 0, 200, "m3", above=True))
    share = np.zeros(ratio.shape)
    for loads in range(1, _MOST_LOADS + 1):
        whole = np.rint(loads * ratio)
        meets = (whole >= 1) & (np.abs(loads * ratio - whole) <= _SAME * whole) & (share == 0)
        share = np.where(meets, 1 / loads, share)
    return share


@equation(
    "load_m3 / transfer_m3_min + connect_min * (1 + (1 - meeting_share) * load_m3 / feeder_load_m3)",
    unit="min",
    source="physics",
    locator="sum of times",
)
def handing_per_load(
    load_m3: ArrayLike,
    feeder_load_m3: ArrayLike,
    transfer_m3_min: ArrayLike,
    connect_min: ArrayLike,
    meeting_share: ArrayLike,
) -> FloatArray:
    """Time in which feeders hand one load over to the spreader, on the average of many loads.

    Parameters
    ----------
    load_m3 : array_like
        Slurry in one load of the spreader [m3], above 0 to 200.
    feeder_load_m3 : array_like
        Slurry in one load of a feeder [m3], above 0 to 200.
    transfer_m3_min : array_like
        Flow from feeder to spreader [m3/min], above 0 to 20.
    connect_min : array_like
        Coupling and uncoupling at the field, each time [min], 0 to 120.
    meeting_share : array_like
        Share of the feeders that are empty just when the spreader is full [1], 0 to 1; see :func:`meeting_share`.

    Returns
    -------
    FloatArray
        Time per spreader load [min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A hand-over ends where a feeder is empty or the spreader full, so there is one for each spreader load and one for
    each feeder load, less those ends that fall together.

    Examples
    --------
    >>> float(handing_per_load(18, 36, 6, 2, 1)), float(handing_per_load(18, 9, 6, 2, 0.5))
    (5.0, 7.0)
    """
    load = require("load_m3", load_m3, 0, 200, "m3", above=True)
    feeder = require("feeder_load_m3", feeder_load_m3, 0, 200, "m3", above=True)
    transfer = require("transfer_m3_min", transfer_m3_min, 0, 20, "m3/min", above=True)
    connect = require("connect_min", connect_min, 0, 120, "min")
    apart = 1 - require("meeting_share", meeting_share, 0, 1)
    return load / transfer + connect * (1 + apart * load / feeder)


@equation(
    "feeder_load_m3 / load_m3 * handing_min + (feeder_load_m3 / load_m3 - meeting_share) * (spreading_min + other_min)",
    unit="min",
    source="physics",
    locator="sum of times",
)
def feeder_at_field(
    feeder_load_m3: ArrayLike,
    load_m3: ArrayLike,
    handing_min: ArrayLike,
    spreading_min: ArrayLike,
    other_min: ArrayLike,
    meeting_share: ArrayLike,
) -> FloatArray:
    """Time that a feeder cannot help spending at the spreader, on the average of many loads.

    Parameters
    ----------
    feeder_load_m3 : array_like
        Slurry in one load of a feeder [m3], above 0 to 200.
    load_m3 : array_like
        Slurry in one load of the spreader [m3], above 0 to 200.
    handing_min : array_like
        Handing over one spreader load [min], 0 to 1440; see :func:`handing_per_load`.
    spreading_min : array_like
        The spreader's time for one load [min], 0 to 1440.
    other_min : array_like
        The spreader's way to the feeder and back to its place [min], 0 to 240.
    meeting_share : array_like
        Share of the feeders that are empty just when the spreader is full [1], 0 to 1; see :func:`meeting_share`.

    Returns
    -------
    FloatArray
        Time per feeder load [min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range, or if loads are said to meet more often than feeders come.

    Notes
    -----
    A feeder that still holds slurry when the spreader is full stands until the spreader is back: k - 1 times where it
    brings k whole loads, never where several feeders fill one spreader.  Waiting for its turn comes on top.

    Examples
    --------
    >>> float(feeder_at_field(36, 18, 5, 8, 2, 1))
    20.0
    """
    feeder = require("feeder_load_m3", feeder_load_m3, 0, 200, "m3", above=True)
    loads = feeder / require("load_m3", load_m3, 0, 200, "m3", above=True)
    meets = require("meeting_share", meeting_share, 0, 1)
    stands = require("feeder_load_m3 / load_m3 - meeting_share", loads - meets, -_SAME, np.inf)
    away = require("spreading_min", spreading_min, 0, 1440, "min") + require("other_min", other_min, 0, 240, "min")
    return loads * require("handing_min", handing_min, 0, 1440, "min") + stands * away


@equation("spreading_min + refill_min + other_min", unit="min", source="physics", locator="sum of times")
def spreader_round(spreading_min: ArrayLike, refill_min: ArrayLike, other_min: ArrayLike) -> FloatArray:
    """Time of the spreader for one load when it never waits.

    Parameters
    ----------
    spreading_min : array_like
        Spreading one load [min], 0 to 1440.
    refill_min : array_like
        Getting the next one [min], 0 to 1440: as given where it is brought; filling and road where the spreader drives;
        handing over where it is fed; filling at the container.
    other_min : array_like
        Finding the place and other time in the field [min], 0 to 240.

    Returns
    -------
    FloatArray
        Time per load [min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A plain sum.

    Examples
    --------
    >>> float(round(spreader_round(7.56, 6 + 8.23, 2), 2))
    23.79
    """
    spreading = require("spreading_min", spreading_min, 0, 1440, "min")
    refill = require("refill_min", refill_min, 0, 1440, "min")
    return spreading + refill + require("other_min", other_min, 0, 240, "min")


@equation("filling_min + road_min + field_min", unit="min", source="physics", locator="sum of times")
def feeder_round(filling_min: ArrayLike, road_min: ArrayLike, field_min: ArrayLike) -> FloatArray:
    """Time of a feeder for one load when it waits for nobody else.

    Parameters
    ----------
    filling_min : array_like
        At the store [min], 0 to 1440.
    road_min : array_like
        On the road, there and back [min], 0 to 1440.
    field_min : array_like
        At the spreader or the container [min], 0 to 5000; see :func:`feeder_at_field`.

    Returns
    -------
    FloatArray
        Time per load [min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A plain sum.

    Examples
    --------
    >>> float(feeder_round(8, 12, 20))
    40.0
    """
    filling = require("filling_min", filling_min, 0, 1440, "min")
    road = require("road_min", road_min, 0, 1440, "min")
    return filling + road + require("field_min", field_min, 0, 5000, "min")


@equation(
    "ceil(feeder_min / spreader_min - 0.000000001)", unit="1", source="physics", locator="the spreader never waits"
)
def feeders_needed(feeder_min: ArrayLike, spreader_min: ArrayLike) -> FloatArray:
    """Feeders that keep one spreader going.

    Parameters
    ----------
    feeder_min : array_like
        Round of a feeder [min], above 0 to 5000.
    spreader_min : array_like
        Time in which the spreader, never waiting, uses up one feeder load [min], above 0 to 5000.

    Returns
    -------
    FloatArray
        Whole number of feeders [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    One over the other, rounded up; a billionth is taken off first against the last binary digit.  Where several small
    feeders fill one spreader, they come in bunches and one more can be needed: see ``fed_link``.

    Examples
    --------
    >>> float(feeders_needed(28, 12))
    3.0
    """
    feeder = require("feeder_min", feeder_min, 0, 5000, "min", above=True)
    return np.ceil(feeder / require("spreader_min", spreader_min, 0, 5000, "min", above=True) - _ROUNDING)
