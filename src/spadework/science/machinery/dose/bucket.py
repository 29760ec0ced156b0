"""The bucket test: what every outlet gives in a measured time, which are blocked, and what that does to the others.

Outlets run along the last axis.  Repeats may stand before it; each repeat is then judged by itself.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "blocked",
    "bucket_litres",
    "catch_error",
    "dose_of_open",
    "off_median",
    "off_others",
    "outlet_flow",
    "row_litres_from_outlet",
    "seconds_for",
    "variation",
]


@equation("flow_m3_min * 1000 * time_s / 60", unit="L", source="physics", locator="volume per time")
def bucket_litres(flow_m3_min: ArrayLike, time_s: ArrayLike) -> FloatArray:
    """Litres that one outlet gives in a measured time.

    Parameters
    ----------
    flow_m3_min : array_like
        Flow of the outlet [m3/min], 0 to 20.
    time_s : array_like
        Time under the outlet [s], 0 to 3600.

    Returns
    -------
    FloatArray
        Volume [L], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(round(bucket_litres(0.35, 6), 1))
    35.0
    """
    return require("flow_m3_min", flow_m3_min, 0, 20, "m3/min") * 1000 * require("time_s", time_s, 0, 3600, "s") / 60


@equation("caught_l / 1000 * 60 / time_s", unit="m3/min", source="physics", locator="volume per time")
def outlet_flow(caught_l: ArrayLike, time_s: ArrayLike) -> FloatArray:
    """Flow of an outlet from what a bucket caught.

    Parameters
    ----------
    caught_l : array_like
        Volume caught [L], 0 to 100000.
    time_s : array_like
        Time under the outlet [s], above 0 to 3600.

    Returns
    -------
    FloatArray
        Flow [m3/min], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(round(outlet_flow(35, 6), 3))
    0.35
    """
    caught = require("caught_l", caught_l, 0, 100_000, "L")
    return caught / 1000 * 60 / require("time_s", time_s, 0, 3600, "s", above=True)


@equation("60 * outlet_m3_min / speed_km_h", unit="L/m", source="physics", locator="volume per length")
def row_litres_from_outlet(outlet_m3_min: ArrayLike, speed_km_h: ArrayLike) -> FloatArray:
    """Slurry per metre of row that one outlet lays down.

    Parameters
    ----------
    outlet_m3_min : array_like
        Flow of the outlet [m3/min], 0 to 20.
    speed_km_h : array_like
        Speed at work [km/h], above 0 to 30.

    Returns
    -------
    FloatArray
        Slurry per metre [L/m], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    With the same flow from every row it equals dose times row spacing.

    Examples
    --------
    >>> float(round(row_litres_from_outlet(0.35, 7), 2))
    3.0
    """
    flow = require("outlet_m3_min", outlet_m3_min, 0, 20, "m3/min")
    return 60 * flow / require("speed_km_h", speed_km_h, 0, 30, "km/h", above=True)


@equation(
    "sqrt((reading_error_l / caught_l)**2 + (clock_error_s / time_s)**2)",
    unit="1",
    source="physics",
    locator="propagation of independent errors",
)
def catch_error(
    caught_l: ArrayLike, time_s: ArrayLike, reading_error_l: ArrayLike, clock_error_s: ArrayLike
) -> FloatArray:
    """Error of the flow from one catch, as a share of it.

    Parameters
    ----------
    caught_l : array_like
        Volume caught [L], above 0 to 100000.
    time_s : array_like
        Time under the outlet [s], above 0 to 3600.
    reading_error_l : array_like
        Error of reading the volume [L], 0 to 100.
    clock_error_s : array_like
        Error of starting and stopping [s], 0 to 60.

    Returns
    -------
    FloatArray
        Error of the flow [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(round(catch_error(30, 20, 0.2, 0.3), 4))
    0.0164
    """
    caught = require("caught_l", caught_l, 0, 100_000, "L", above=True)
    time = require("time_s", time_s, 0, 3600, "s", above=True)
    reading = require("reading_error_l", reading_error_l, 0, 100, "L")
    clock = require("clock_error_s", clock_error_s, 0, 60, "s")
    return np.sqrt((reading / caught) ** 2 + (clock / time) ** 2)


@equation(
    "sqrt((reading_error_l / (flow_m3_min * 1000 / 60))**2 + clock_error_s**2) / error_share",
    unit="s",
    source="physics",
    locator="propagation of independent errors, solved for the time",
)
def seconds_for(
    flow_m3_min: ArrayLike, error_share: ArrayLike, reading_error_l: ArrayLike, clock_error_s: ArrayLike
) -> FloatArray:
    """Shortest time of a catch whose flow errs by no more than wanted.

    Parameters
    ----------
    flow_m3_min : array_like
        Flow expected of the outlet [m3/min], above 0 to 20.
    error_share : array_like
        Error wanted [1], above 0 to 1.
    reading_error_l : array_like
        Error of reading the volume [L], 0 to 100.
    clock_error_s : array_like
        Error of starting and stopping [s], 0 to 60.

    Returns
    -------
    FloatArray
        Time [s], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    :func:`catch_error` with flow times time for the volume, solved for the time.

    Examples
    --------
    >>> float(round(seconds_for(0.09, 0.03, 0.2, 0.3), 1))
    10.9
    """
    flow = require("flow_m3_min", flow_m3_min, 0, 20, "m3/min", above=True) * 1000 / 60
    error = require("error_share", error_share, 0, 1, above=True)
    reading = require("reading_error_l", reading_error_l, 0, 100, "L")
    clock = require("clock_error_s", clock_error_s, 0, 60, "s")
    return np.sqrt((reading / flow) ** 2 + clock**2) / error


@equation(
    "standard deviation along the last axis, with one less than the count below the line, over the mean",
    unit="1",
    source="physics",
    locator="definition of the coefficient of variation",
    in_words=True,
)
def variation(values: ArrayLike) -> FloatArray:
    """Coefficient of variation along the last axis: of the outlets of a test, or of a day's loads.

    Parameters
    ----------
    values : array_like
        Flows, volumes, masses or doses [any], 0 to 1e6, their mean above 0; two or more along the last axis.

    Returns
    -------
    FloatArray
        Coefficient of variation [1], shape without the last axis.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, all are nil, or there is only one.

    Examples
    --------
    >>> float(variation([9.0, 10.0, 11.0]).round(3))
    0.1
    """
    array = _along("values", values, 1e6)
    mean = require("mean of values", array.mean(axis=-1), 0, np.inf, above=True)
    return np.asarray(array.std(axis=-1, ddof=1) / mean)


@equation("each outlet over the mean of all the others, less one", unit="1", source="physics", in_words=True)
def off_others(flow_m3_min: ArrayLike) -> FloatArray:
    """How far each outlet lies off the mean of the others.

    Parameters
    ----------
    flow_m3_min : array_like
        Flow of every outlet [m3/min], 0 to 20; two or more along the last axis.

    Returns
    -------
    FloatArray
        Deviation [1], shape of the argument; negative gives less than the others.

    Raises
    ------
    ImpossibleValue
        If a flow lies outside its range, there is only one, or all the others give nothing.

    Notes
    -----
    An outlet far off shifts the mean of the others; it hardly moves :func:`off_median`.

    Examples
    --------
    >>> off_others([1.0, 1.0, 0.4]).round(2).tolist()
    [0.43, 0.43, -0.6]
    """
    flow = _along("flow_m3_min", flow_m3_min)
    others = (flow.sum(axis=-1, keepdims=True) - flow) / (flow.shape[-1] - 1)
    return flow / require("mean of the others", others, 0, np.inf, "m3/min", above=True) - 1


@equation("each outlet over the median of all, less one", unit="1", source="physics", in_words=True)
def off_median(flow_m3_min: ArrayLike) -> FloatArray:
    """How far each outlet lies off the median of all.

    Parameters
    ----------
    flow_m3_min : array_like
        Flow of every outlet [m3/min], 0 to 20; two or more along the last axis.

    Returns
    -------
    FloatArray
        Deviation [1], shape of the argument; negative gives less than the median.

    Raises
    ------
    ImpossibleValue
        If a flow lies outside its range, there is only one, or the median is nil.

    Notes
    -----
    The median stays with the open outlets as long as fewer than half are blocked.

    Examples
    --------
    >>> off_median([1.0, 1.0, 0.9, 0.0]).round(3).tolist()
    [0.053, 0.053, -0.053, -1.0]
    """
    flow = _along("flow_m3_min", flow_m3_min)
    middle = np.median(flow, axis=-1, keepdims=True)
    return flow / require("median of flow_m3_min", middle, 0, np.inf, "m3/min", above=True) - 1


@equation(
    "1 where an outlet gives nothing, or less than blocked_share of the median of all; else 0",
    unit="1",
    source="choice",
    in_words=True,
)
def blocked(flow_m3_min: ArrayLike, blocked_share: ArrayLike) -> FloatArray:
    """Which outlets are blocked.

    Parameters
    ----------
    flow_m3_min : array_like
        Flow of every outlet [m3/min], 0 to 20; two or more along the last axis.
    blocked_share : array_like
        Share of the median below which an outlet counts as blocked [1], 0 to 1; one for all.

    Returns
    -------
    FloatArray
        1 where blocked, else 0 [1]; shape of the flow.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range, or there is only one outlet.

    Notes
    -----
    Only the outlets are held against each other.  Once half of them or more are clogged alike, the median clogs with
    them, and only the flow that the pump should give can tell.

    Examples
    --------
    >>> blocked([1.0, 1.1, 0.2, 0.9, 0.0], 0.5).tolist()
    [0.0, 0.0, 1.0, 0.0, 1.0]
    """
    flow = _along("flow_m3_min", flow_m3_min)
    share = require("blocked_share", blocked_share, 0, 1)
    middle = np.median(flow, axis=-1, keepdims=True)
    return np.asarray((flow == 0) | (flow < share * middle), dtype=np.float64)


@equation("dose_m3_ha * outlets / (outlets - blocked_outlets)", unit="m3/ha", source="physics", locator="mass balance")
def dose_of_open(dose_m3_ha: ArrayLike, outlets: ArrayLike, blocked_outlets: ArrayLike) -> FloatArray:
    """Dose behind the open outlets when the pump keeps its flow and others give nothing.

    Parameters
    ----------
    dose_m3_ha : array_like
        Mean dose over all outlets [m3/ha], 0 to 500.
    outlets : array_like
        Outlets of the machine [1], 1 to 200.
    blocked_outlets : array_like
        Outlets that give nothing [1], 0 to fewer than all.

    Returns
    -------
    FloatArray
        Dose behind each open outlet [m3/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    For a pump that displaces; where flow falls with pressure, the open outlets get less of the excess.

    Examples
    --------
    >>> float(dose_of_open(30, 6, 1))
    36.0
    """
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha")
    count = require("outlets", outlets, 1, 200)
    shut = require("blocked_outlets", blocked_outlets, 0, 200)
    return dose * count / require("outlets - blocked_outlets", count - shut, 0, 200, above=True)


def _along(name: str, values: ArrayLike, high: float = 20) -> FloatArray:
    """Return values from nil to `high`, two or more of them along the last axis."""
    array = np.atleast_1d(require(name, values, 0, high))
    require(f"number of {name}", array.shape[-1], 2, np.inf)
    return array
