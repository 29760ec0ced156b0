"""When the roots of maize reach the band: warmth until the first root, then its way through the gap."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["radicle_days", "root_arrival", "root_arrival_daily", "root_speed"]

_K = reference.constants("band_spread")


@equation(
    "radicle_heat / maximum(temperature_degc - root_base_degc, 0)",
    unit="d",
    source="common_practice",
    constants=(_K,),
)
def radicle_days(temperature_degc: ArrayLike) -> FloatArray:
    """Work out the days from sowing until the seed has its first root.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature of the soil at the seed, the same all the time [degC], -5 to 60.

    Returns
    -------
    ndarray
        Days [d], shape of the argument; infinite where the soil is no warmer than 10 degC.

    Raises
    ------
    ImpossibleValue
        If the temperature lies outside its range.

    Notes
    -----
    20 degree days above 10 degC, from a seed company's 30 to 40 in Fahrenheit.  No upper end: soils above about
    30 degC are not meant.

    Examples
    --------
    >>> radicle_days([9, 12, 15]).tolist()
    [inf, 10.0, 4.0]
    """
    warmth = np.maximum(_celsius(temperature_degc) - _K.root_base_degc, 0)
    days: FloatArray = np.divide(_K.radicle_heat, warmth, out=np.full(warmth.shape, np.inf), where=warmth > 0)
    return days


@equation(
    "root_slope * maximum(temperature_degc - root_growth_base_degc, 0)",
    unit="cm/day",
    source="common_practice",
    constants=(_K,),
)
def root_speed(temperature_degc: ArrayLike) -> FloatArray:
    """Work out how fast the first root grows downwards in loose soil.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature of the soil [degC], -5 to 60.

    Returns
    -------
    ndarray
        Speed [cm/day], shape of the argument; nil at 9 degC and below.

    Raises
    ------
    ImpossibleValue
        If the temperature lies outside its range.

    Notes
    -----
    2.4 cm a day at 20 degC, in proportion to the degrees above 9 degC: the fast end.  The slow end is the front that
    was measured in fields, row ``root_front`` of table ``band_spread``, whatever the temperature.

    Examples
    --------
    >>> root_speed([8, 15, 20]).round(2).tolist()
    [0.0, 1.31, 2.4]
    """
    return np.asarray(_K.root_slope * np.maximum(_celsius(temperature_degc) - _K.root_growth_base_degc, 0))


@equation(
    "first_root_days + where(gap_cm > 0, gap_cm / root_cm_day, 0)",
    unit="d",
    source="choice",
)
def root_arrival(first_root_days: ArrayLike, gap_cm: ArrayLike, root_cm_day: ArrayLike) -> FloatArray:
    """Work out the days from sowing until a root reaches the top of the band.

    Parameters
    ----------
    first_root_days : array_like
        From sowing to the first root [d], 0 or more, infinity allowed; see :func:`radicle_days`.
    gap_cm : array_like
        From seed to band top [cm], 0 to 100.
    root_cm_day : array_like
        Speed of the root [cm/day], 0 to 20; see :func:`root_speed`.

    Returns
    -------
    ndarray
        Days [d], shape of the inputs broadcast together; infinite where the root does not grow.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A straight way down.  Roots turn away from a strong band and may arrive later or beside it.

    Examples
    --------
    >>> root_arrival(4, 6, [0.62, 1.31]).round(1).tolist()
    [13.7, 8.6]
    """
    first = require("first_root_days", first_root_days, 0, np.inf, "d")
    gap, speed = np.broadcast_arrays(
        require("gap_cm", gap_cm, 0, 100, "cm"), require("root_cm_day", root_cm_day, 0, 20, "cm/day")
    )
    way = np.divide(gap, speed, out=np.where(gap > 0, np.inf, 0.0), where=(gap > 0) & (speed > 0))
    return np.asarray(first + way)


@equation(
    "the first moment at which the warmth has brought the first root and the root has then grown through the gap, "
    "day by day at that day's temperature",
    unit="d",
    source="choice",
    in_words=True,
    constants=(_K,),
)
def root_arrival_daily(daily_degc: ArrayLike, gap_cm: ArrayLike) -> FloatArray:
    """Work out when a root reaches the band top in soil whose temperature changes from day to day.

    Parameters
    ----------
    daily_degc : array_like
        Mean temperature of the soil on each day from sowing on, along the last axis [degC], -5 to 60.
    gap_cm : array_like
        From seed to band top [cm], 0 to 100.

    Returns
    -------
    ndarray
        Days from sowing [d], shape of the other axes broadcast with the gap; infinite where the root does not get
        there within the days given.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    :func:`radicle_days` and :func:`root_speed` summed over the days, each day even in itself.

    Examples
    --------
    >>> round(float(root_arrival_daily([15] * 20, 6)), 2)
    8.58
    """
    temperature = np.atleast_1d(_celsius(daily_degc, "daily_degc"))
    gap = require("gap_cm", gap_cm, 0, 100, "cm")
    warmth = np.maximum(temperature - _K.root_base_degc, 0)
    before = np.cumsum(warmth, axis=-1) - warmth
    lacking = np.clip(_K.radicle_heat - before, 0, None)
    waited = np.divide(lacking, warmth, out=np.full(warmth.shape, np.inf), where=warmth > 0)
    waited = np.where(lacking > 0, np.minimum(waited, 1), 0)  # share of the day before the first root
    growing = 1 - waited
    grown = root_speed(temperature) * growing
    rooted = before + warmth >= _K.radicle_heat * (1 - 1e-12)
    reached = np.cumsum(grown, axis=-1)
    there = (reached >= gap[..., np.newaxis] * (1 - 1e-12)) & rooted
    day = np.argmax(there, axis=-1)
    found = there.any(axis=-1)

    def on_that_day(values: FloatArray) -> FloatArray:
        full = np.broadcast_to(values, there.shape)
        return np.take_along_axis(full, day[..., np.newaxis], -1)[..., 0]

    left = np.maximum(gap - on_that_day(reached - grown), 0)
    speed = np.maximum(on_that_day(grown), 1e-300)
    moment = day + on_that_day(waited) + np.where(left > 0, left / speed, 0) * on_that_day(growing)
    return np.where(found, moment, np.inf)


def _celsius(temperature_degc: ArrayLike, name: str = "temperature_degc") -> FloatArray:
    return require(name, temperature_degc, -5, 60, "degC")
