"""Yield from a log: flow, speed and width at a point; mass over area of a strip; the scale as the judge of the log."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["StripMeans", "log_factor", "point_area", "point_yield", "strip_means", "times_between"]


@dataclass(frozen=True)
class StripMeans:
    """Mass over area, strip by strip.

    Attributes
    ----------
    strips : NDArray
        Names, sorted.
    points : NDArray
        Points in each.
    mass_kg, area_m2 : FloatArray
        Sums over the points [kg], [m2].
    yield_t_ha : FloatArray
        Mass over area [t/ha].
    """

    strips: NDArray[np.str_]
    points: NDArray[np.int64]
    mass_kg: FloatArray
    area_m2: FloatArray
    yield_t_ha: FloatArray


@equation("10 * flow_kg_s / (speed_m_s * width_m)", unit="t/ha", source="physics")
def point_yield(flow_kg_s: ArrayLike, speed_m_s: ArrayLike, width_m: ArrayLike) -> FloatArray:
    """Fresh yield at a point of a log.

    Parameters
    ----------
    flow_kg_s : array_like
        Flow that belongs to the point, its delay taken out [kg/s], 0 to 200.
    speed_m_s : array_like
        Speed [m/s], more than 0, to 15.
    width_m : array_like
        Width that was cut in truth [m], more than 0, to 30.

    Returns
    -------
    ndarray
        Fresh yield [t/ha], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A header that is not full cuts less than its width; the yield then comes out too low by the same share.

    Examples
    --------
    >>> round(float(point_yield(12, 1.5, 6)), 4)
    13.3333
    """
    flow = require("flow_kg_s", flow_kg_s, 0, 200, "kg/s")
    speed = require("speed_m_s", speed_m_s, 0, 15, "m/s", above=True)
    return np.asarray(10 * flow / (speed * require("width_m", width_m, 0, 30, "m", above=True)))


@equation("speed_m_s * interval_s * width_m", unit="m2", source="physics")
def point_area(speed_m_s: ArrayLike, interval_s: ArrayLike, width_m: ArrayLike) -> FloatArray:
    """Area that a record of a log stands for.

    Parameters
    ----------
    speed_m_s : array_like
        Speed [m/s], 0 to 15.
    interval_s : array_like
        Time that the record stands for [s], 0 to 600.
    width_m : array_like
        Width that was cut in truth [m], more than 0, to 30.

    Returns
    -------
    ndarray
        Area [m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> float(point_area(1.5, 1, 6))
    9.0
    """
    speed = require("speed_m_s", speed_m_s, 0, 15, "m/s")
    time = require("interval_s", interval_s, 0, 600, "s")
    return np.asarray(speed * time * require("width_m", width_m, 0, 30, "m", above=True))


@equation("scale_kg / log_kg", unit="1", source="physics")
def log_factor(scale_kg: ArrayLike, log_kg: ArrayLike) -> FloatArray:
    """Factor that brings a log to what the scale says.

    Parameters
    ----------
    scale_kg : array_like
        Mass by scale [kg], more than 0, to 10 000 000.
    log_kg : array_like
        Mass by log over the same ground [kg], more than 0, to 10 000 000.

    Returns
    -------
    ndarray
        Factor [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    One factor for each weighed strip, or one for all.  Never one for each system from strips of that system
    alone: it would carry the
    scatter of the scale into the difference.

    Examples
    --------
    >>> round(float(log_factor(4_320, 4_100)), 4)
    1.0537
    """
    scale = require("scale_kg", scale_kg, 0, 1e7, "kg", above=True)
    return np.asarray(scale / require("log_kg", log_kg, 0, 1e7, "kg", above=True))


@equation(
    "whole mass over whole area of the points of a strip, times ten", unit="t/ha", source="physics", in_words=True
)
def strip_means(mass_kg: ArrayLike, area_m2: ArrayLike, strip: ArrayLike) -> StripMeans:
    """Yield of every strip from the points of a log.

    Parameters
    ----------
    mass_kg : array_like
        Mass of each point [kg], 0 or more; one row.
    area_m2 : array_like
        Its area [m2], 0 or more.
    strip : array_like
        Name of the strip it lies in [any].

    Returns
    -------
    StripMeans
        By strip, sorted by name; yield is not a number where a strip has no area.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If the arguments are not rows of one length.

    Notes
    -----
    The mean of point yields is not the yield of the strip: where the machine slows down in thick crop it
    counts that crop too
    often.

    Examples
    --------
    >>> found = strip_means([12, 12], [9, 18], ["a", "a"])
    >>> round(float(found.yield_t_ha[0]), 3)
    8.889
    """
    mass, area = require("mass_kg", mass_kg, 0, 1e7, "kg"), require("area_m2", area_m2, 0, 1e7, "m2")
    names = np.asarray(strip).astype(str)
    if mass.ndim != 1 or area.shape != mass.shape or names.shape != mass.shape:
        raise ValueError("`mass_kg`, `area_m2` and `strip` must be rows of one length")
    order, place = np.unique(names, return_inverse=True)
    masses = np.bincount(place, mass, minlength=order.size).astype(np.float64)
    areas = np.bincount(place, area, minlength=order.size).astype(np.float64)
    points = np.bincount(place, minlength=order.size).astype(np.int64)
    yields = np.divide(10 * masses, areas, out=np.full(order.size, np.nan), where=areas > 0)
    return StripMeans(order, points, masses, areas, yields)


@equation(
    "time since the record before; where that is longer than gap_s, the median of the others", unit="s", source="choice",
    in_words=True,
)  # fmt: skip
def times_between(time_s: ArrayLike, gap_s: ArrayLike) -> FloatArray:
    """Time that each record of a log stands for.

    Parameters
    ----------
    time_s : array_like
        Time of each record [s], never falling; one row of two or more.
    gap_s : array_like
        A longer silence is a break, not a record [s], more than 0.

    Returns
    -------
    ndarray
        Time [s], one for each record.

    Raises
    ------
    ImpossibleValue
        If the time falls, there is one record only, or no step is as short as `gap_s`.

    Examples
    --------
    >>> times_between([0, 1, 2, 60, 61], 5).tolist()
    [1.0, 1.0, 1.0, 1.0, 1.0]
    """
    time = require("time_s", time_s, -1e12, 1e12, "s")
    longest = float(require("gap_s", gap_s, 0, 600, "s", above=True))
    require("number of records", time.size, 2, np.inf)
    steps = require("step of time_s", np.diff(time), 0, np.inf, "s")
    within = steps[(steps > 0) & (steps <= longest)]
    require("steps shorter than gap_s", within.size, 1, np.inf)
    found = np.concatenate([[longest + 1], steps])
    return np.where(found <= longest, found, float(np.median(within)))
