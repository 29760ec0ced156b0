"""From the air to the surface of a zone, by two figures fitted to loggers.

Where neither sunlight nor wind is known, a zone is told by how much warmer than the air its surface is in the mean of the
day, and by how much wider or narrower it swings.  Both are fitted to an air logger and two loggers in the soil, and carry their
standard errors.  They hold for that zone, its cover and moisture and the weather of those days, and for no other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = [
    "TransferFit",
    "transfer_apply",
    "transfer_fit",
]

_HOURS = 24
_FEWEST_DAYS = 10
_LEAST_SWING_K = 0.1  # below it a logger sees nothing


@dataclass(frozen=True)
class TransferFit:
    """What the loggers say about a zone.

    Attributes
    ----------
    shift_k, shift_se_k : float
        Surface over air in the mean of the day, and its standard error [K].
    swing_ratio, swing_ratio_se : float
        Swing of the surface over that of the air [1].
    lag_h, lag_se_h : float
        How much later than the air the surface swings [h].
    damping_cm, damping_se_cm : float
        Damping depth of the soil [cm].
    days : int
        Days that were used.
    """

    shift_k: float
    shift_se_k: float
    swing_ratio: float
    swing_ratio_se: float
    lag_h: float
    lag_se_h: float
    damping_cm: float
    damping_se_cm: float
    days: int


@equation(
    "mean of soil less air; wave of the day at two depths against that of the air by least squares, carried up to the "
    "surface by the damping between the two; standard errors by leaving out each day in turn",
    unit="K",
    source="gupta_warmth_1982",
    locator="form only",
    in_words=True,
)
def transfer_fit(
    air_degc: ArrayLike,
    shallow_degc: ArrayLike,
    deep_degc: ArrayLike,
    shallow_cm: float = 5.0,
    deep_cm: float = 10.0,
) -> TransferFit:
    """Fit shift and swing of a zone's surface to loggers.

    Parameters
    ----------
    air_degc : array_like
        Air, hour by hour from midnight [degC], -60 to 60; whole days, 12 or more, of which the first and the last only serve
        to take out the trend.
    shallow_degc, deep_degc : array_like
        Soil at two depths, in the same hours [degC], -60 to 80.
    shallow_cm, deep_cm : float
        Their depths [cm], more than 0, to 50, the second deeper.

    Returns
    -------
    TransferFit
        Shift, ratio, lag and damping depth with standard errors.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, days are not whole or too few, or the wave does not fade downward.

    Notes
    -----
    After Gupta and others (1982) in its form; their coefficients were not found and none are built in.  A straight
    trend from day to day is taken out before the wave of a day is found.  The shift is the mean at both depths less
    that of the air: while spring warms the soil lags, so it is a little low.  Weather comes in spells, so that the
    true standard errors are larger than those given.  Soil is taken as alike between the loggers and above them.

    Examples
    --------
    >>> hour = np.arange(12 * 24)
    >>> wave = lambda size, late: size * np.cos(2 * np.pi * (hour - 15 - late) / 24)
    >>> fit = transfer_fit(12 + wave(5, 0), 14 + wave(3.91, 1.6), 14 + wave(2.55, 3.2))
    >>> round(fit.shift_k, 2), round(fit.swing_ratio, 2), round(fit.damping_cm, 1), fit.days
    (2.0, 1.2, 11.7, 10)
    """
    shallow_at = float(require("shallow_cm", shallow_cm, 0, 50, "cm", above=True))
    deep_at = float(require("deep_cm", deep_cm, shallow_at, 50, "cm", above=True))
    air = require("air_degc", air_degc, -60, 60, "degC")
    soils = (
        require("shallow_degc", shallow_degc, -60, 80, "degC"),
        require("deep_degc", deep_degc, -60, 80, "degC"),
    )
    if air.ndim != 1 or any(soil.shape != air.shape for soil in soils) or air.size % _HOURS:
        raise ImpossibleValue(
            "air_degc", f"{air.size} hours", _HOURS, np.inf, "hours, whole days and as many as of soil"
        )
    require("days without the first and the last", air.size / _HOURS - 2, _FEWEST_DAYS, np.inf, "d")
    means, waves = zip(*(_days(part) for part in (air, *soils)), strict=True)
    over = (means[1] + means[2]) / 2 - means[0]
    days = len(over)

    def figures(keep: FloatArray) -> FloatArray:
        power = np.sum(np.abs(waves[0][keep]) ** 2)
        require("swing of air_degc", np.sqrt(power / keep.sum()), _LEAST_SWING_K, np.inf, "K")
        near, far = (np.sum(np.conj(waves[0][keep]) * wave[keep]) / power for wave in waves[1:])
        fading = np.log(np.abs(near) / np.abs(far))
        if not fading > 0:
            raise ImpossibleValue("deep_degc over shallow_degc, swing", f"{np.exp(-fading):.6g}", 0, 1, "")
        damping = (deep_at - shallow_at) / fading
        late = [-np.angle(wave * np.exp(1j * at / damping)) for wave, at in ((near, shallow_at), (far, deep_at))]
        lag = np.mean(late) * _HOURS / (2 * np.pi)
        return np.array([over[keep].mean(), np.abs(near) * np.exp(shallow_at / damping), lag, damping])

    whole = figures(np.ones(days, dtype=bool))
    without = np.array([figures(np.arange(days) != day) for day in range(days)])
    error = np.sqrt((days - 1) / days * np.sum((without - without.mean(axis=0)) ** 2, axis=0))
    shift, ratio, lag, damping = whole.tolist()
    shift_se, ratio_se, lag_se, damping_se = error.tolist()
    return TransferFit(shift, shift_se, ratio, ratio_se, lag, lag_se, damping, damping_se, days)


@equation(
    "mean of the 24 hours around, plus the shift, plus the ratio times how far the air stood from that mean a lag ago",
    unit="degC",
    source="gupta_warmth_1982",
    locator="form only",
    in_words=True,
)
def transfer_apply(
    air_degc: ArrayLike, shift_k: ArrayLike, swing_ratio: ArrayLike, lag_h: ArrayLike = 0.0
) -> FloatArray:
    """Work out the surface of a zone from the air, hour by hour.

    Parameters
    ----------
    air_degc : array_like
        Air, hour by hour along the last axis [degC], -60 to 60; two days or more.
    shift_k : array_like
        Surface over air in the mean of the day [K], -20 to 20.
    swing_ratio : array_like
        Swing of the surface over that of the air [1], 0 to 5.
    lag_h : array_like
        How much later the surface swings [h], -6 to 6.

    Returns
    -------
    ndarray
        Surface [degC]; shape of the shift, ratio and lag together, then hours.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or there is less than two days of air.

    Notes
    -----
    In the first and last half day the mean of the nearest 24 hours is taken.

    Examples
    --------
    >>> hour = np.arange(72)
    >>> surface = transfer_apply(12 + 5 * np.cos(2 * np.pi * (hour - 15) / 24), 2.0, 1.2)
    >>> surface.mean().round(2), surface.max().round(2)
    (np.float64(14.0), np.float64(20.0))
    """
    air = require("air_degc", air_degc, -60, 60, "degC")
    hours = air.shape[-1] if air.ndim else 0
    require("hours of air_degc", hours, 2 * _HOURS, np.inf, "h")
    shift, ratio, lag = np.broadcast_arrays(
        require("shift_k", shift_k, -20, 20, "K"),
        require("swing_ratio", swing_ratio, 0, 5),
        require("lag_h", lag_h, -6, 6, "h"),
    )
    total = np.concatenate([np.zeros((*air.shape[:-1], 1)), np.cumsum(air, axis=-1)], axis=-1)
    running = (total[..., _HOURS:] - total[..., :-_HOURS]) / _HOURS
    # each hour stands in the middle of two windows of 24 hours, one of which begins half a day before it
    middle = (running[..., :-1] + running[..., 1:]) / 2
    start = np.clip(np.arange(hours) - _HOURS // 2, 0, middle.shape[-1] - 1)
    mean = middle[..., start]
    away = air - mean
    when = np.arange(hours) - lag[..., np.newaxis]
    left = np.floor(when)
    weight = when - left
    # before the first hour and after the last one, the same hour of the day beside it
    found = [_late(away, at, hours) for at in (left, left + 1)]
    swing = found[0] + weight * (found[1] - found[0])
    return np.asarray(mean + shift[..., np.newaxis] + ratio[..., np.newaxis] * swing)


def _late(away: FloatArray, at: FloatArray, hours: int) -> FloatArray:
    place = np.where(at < 0, at + _HOURS, np.where(at >= hours, at - _HOURS, at)).astype(int)
    shape = np.broadcast_shapes(away.shape, place.shape)
    return np.take_along_axis(np.broadcast_to(away, shape), np.broadcast_to(place, shape), axis=-1)


def _days(hourly: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return mean and wave of every day but the first and the last, the trend taken out."""
    by_day = hourly.reshape(-1, _HOURS)
    mean = by_day.mean(axis=1)
    trend = (mean[2:] - mean[:-2]) / (2 * _HOURS)
    hour = np.arange(_HOURS)
    level = by_day[1:-1] - trend[:, np.newaxis] * (hour - (_HOURS - 1) / 2)
    turn = np.exp(-2j * np.pi * hour / _HOURS)
    return mean[1:-1], np.asarray(level @ turn * 2 / _HOURS)
