"""What a cubic metre of slurry costs on its way from the store into the ground, and from which distance another way pays.

Hourly rates are of whole outfits: tractor, implement, diesel and driver.  ``eur`` in a name stands for the one currency
of a plan.  The store's own pump and stirring are left out unless they are counted in a rate.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = [
    "cost_per_m3_container",
    "cost_per_m3_drives",
    "cost_per_m3_feeders",
    "cost_per_m3_hose",
    "crossing",
]

_MOST = 1e9


def _rate(name: str, value: ArrayLike) -> FloatArray:
    return require(name, value, 0, 10_000, "EUR/h")


def _through(value: ArrayLike) -> FloatArray:
    return require("throughput_m3_h", value, 0, 5000, "m3/h", above=True)


@equation("spreader_eur_h / throughput_m3_h", unit="EUR/m3", source="physics", locator="cost over volume")
def cost_per_m3_drives(spreader_eur_h: ArrayLike, throughput_m3_h: ArrayLike) -> FloatArray:
    """Cost where the spreading outfit drives to the store itself, or is met by slurry that is paid for elsewhere.

    Parameters
    ----------
    spreader_eur_h : array_like
        The spreading outfit [EUR/h], 0 to 10000.
    throughput_m3_h : array_like
        Throughput of the whole [m3/h], above 0 to 5000.

    Returns
    -------
    FloatArray
        Cost [EUR/m3], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    One hourly rate over the throughput.

    Examples
    --------
    >>> float(cost_per_m3_drives(180, 45))
    4.0
    """
    return _rate("spreader_eur_h", spreader_eur_h) / _through(throughput_m3_h)


@equation(
    "(spreader_eur_h + feeders * feeder_eur_h) / throughput_m3_h",
    unit="EUR/m3",
    source="physics",
    locator="cost over volume",
)
def cost_per_m3_feeders(
    spreader_eur_h: ArrayLike, feeder_eur_h: ArrayLike, feeders: ArrayLike, throughput_m3_h: ArrayLike
) -> FloatArray:
    """Cost where feeders run between store and field.

    Parameters
    ----------
    spreader_eur_h : array_like
        The spreading outfit [EUR/h], 0 to 10000.
    feeder_eur_h : array_like
        One feeder with its driver [EUR/h], 0 to 10000.
    feeders : array_like
        Feeders on the road [1], 0 to 50.
    throughput_m3_h : array_like
        Throughput of the whole [m3/h], above 0 to 5000.

    Returns
    -------
    FloatArray
        Cost [EUR/m3], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Everybody is paid by the hour, waiting or not.

    Examples
    --------
    >>> float(cost_per_m3_feeders(180, 80, 2, 68))
    5.0
    """
    together = require("feeders", feeders, 0, 50) * _rate("feeder_eur_h", feeder_eur_h)
    return (_rate("spreader_eur_h", spreader_eur_h) + together) / _through(throughput_m3_h)


@equation(
    "(spreader_eur_h + feeders * feeder_eur_h + container_eur_h) / throughput_m3_h",
    unit="EUR/m3",
    source="physics",
    locator="cost over volume",
)
def cost_per_m3_container(
    spreader_eur_h: ArrayLike,
    feeder_eur_h: ArrayLike,
    feeders: ArrayLike,
    container_eur_h: ArrayLike,
    throughput_m3_h: ArrayLike,
) -> FloatArray:
    """Cost where feeders run to a container at the edge of the field.

    Parameters
    ----------
    spreader_eur_h : array_like
        The spreading outfit [EUR/h], 0 to 10000.
    feeder_eur_h : array_like
        One feeder with its driver [EUR/h], 0 to 10000.
    feeders : array_like
        Feeders on the road [1], 0 to 50.
    container_eur_h : array_like
        The container with its pump [EUR/h], 0 to 10000.
    throughput_m3_h : array_like
        Throughput of the whole [m3/h], above 0 to 5000.

    Returns
    -------
    FloatArray
        Cost [EUR/m3], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    As :func:`cost_per_m3_feeders`, with the container; bringing and moving it is not counted.

    Examples
    --------
    >>> float(cost_per_m3_container(180, 80, 2, 20, 90))
    4.0
    """
    container = _rate("container_eur_h", container_eur_h)
    return cost_per_m3_feeders(spreader_eur_h, feeder_eur_h, feeders, throughput_m3_h) + container / _through(
        throughput_m3_h
    )


@equation(
    "(spreader_eur_h + pump_eur_h) / throughput_m3_h + setup_h * setup_eur_h / volume_m3",
    unit="EUR/m3",
    source="physics",
    locator="cost over volume",
)
def cost_per_m3_hose(
    spreader_eur_h: ArrayLike,
    pump_eur_h: ArrayLike,
    throughput_m3_h: ArrayLike,
    setup_h: ArrayLike,
    setup_eur_h: ArrayLike,
    volume_m3: ArrayLike,
) -> FloatArray:
    """Cost through a hose, own or hired by the hour.

    Parameters
    ----------
    spreader_eur_h : array_like
        The outfit that drags the hose [EUR/h], 0 to 10000.
    pump_eur_h : array_like
        Pump set and whoever minds it [EUR/h], 0 to 10000.
    throughput_m3_h : array_like
        Slurry through the hose once it lies [m3/h], above 0 to 5000.
    setup_h : array_like
        Laying and lifting the hose [h], 0 to 100.
    setup_eur_h : array_like
        All who take part in it [EUR/h], 0 to 10000.
    volume_m3 : array_like
        Slurry spread from one laying [m3], above 0 to 1e9.

    Returns
    -------
    FloatArray
        Cost [EUR/m3], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Set-up shared over the slurry of one laying, pumping and spreading by the hour.

    Examples
    --------
    >>> float(round(cost_per_m3_hose(100, 40, 100, 2, 100, 400), 2))
    1.9
    """
    running = (_rate("spreader_eur_h", spreader_eur_h) + _rate("pump_eur_h", pump_eur_h)) / _through(throughput_m3_h)
    setup = require("setup_h", setup_h, 0, 100, "h") * _rate("setup_eur_h", setup_eur_h)
    return running + setup / require("volume_m3", volume_m3, 0, _MOST, "m3", above=True)


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
