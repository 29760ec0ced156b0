"""Daily means of the air over weeks, out of the weather file; the same days of another year stand in where it lacks some."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from spadework.plan.as_read import Read
from spadework.plan.weather.series import _tables
from spadework.plan.weather.table import HOUR
from spadework.ranges import FloatArray

__all__ = ["AirDays", "air_days"]

_DAY_S: Final = 24 * HOUR
_ENOUGH_H: Final = 18
_LEAP_DAY: Final = 29


@dataclass(frozen=True, eq=False)
class AirDays:
    """Daily means of the air.

    Attributes
    ----------
    first : date
        Of the first day, on the clock of the plan.
    mean_degc : ndarray of float
        One value a day, NaN where the file holds too few hours of it in every year.
    other_year : ndarray of bool
        Whether the day was taken from another year of the file.
    """

    first: dt.date
    mean_degc: FloatArray
    other_year: NDArray[np.bool_]


def air_days(read: Read, first: dt.date, days: int) -> AirDays:
    """Return the daily means of air temperature of so many days, on the clock of the plan's start.

    A day counts where the file holds 18 h of it or more.  A day that the file lacks is taken from the same day of
    another year in it, the nearest one that has it, as in a year put together of the months of several.

    Parameters
    ----------
    read : Read
        A plan with a weather file.
    first : date
        First day.
    days : int
        How many.

    Raises
    ------
    PlanFaults
        Where the file cannot be read.
    ValueError
        Where the plan gives one typical hour.
    """
    start = read.plan.weather.start
    if read.plan.weather.file is None or start is None:
        raise ValueError("this plan has no weather file")
    hourly, _ = _tables(read)
    ahead = start.utcoffset() or dt.timedelta()
    air = hourly.values["air_temperature", None]
    known = ~np.isnan(air)
    day = (hourly.seconds[known] + int(ahead.total_seconds())) // _DAY_S
    found, place, count = np.unique(day, return_inverse=True, return_counts=True)
    mean = np.bincount(place, weights=air[known], minlength=len(found)) / np.maximum(count, 1)
    means = {int(d): float(m) for d, m, n in zip(found, mean, count, strict=True) if n >= _ENOUGH_H}
    by_date: dict[tuple[int, int], list[tuple[int, float]]] = {}
    epoch = dt.date(1970, 1, 1)
    for number, value in means.items():
        date = epoch + dt.timedelta(days=number)
        by_date.setdefault((date.month, date.day), []).append((date.year, value))
    values, other = np.full(days, np.nan), np.zeros(days, dtype=np.bool_)
    for at in range(days):
        date = first + dt.timedelta(days=at)
        own = means.get((date - epoch).days)
        if own is not None:
            values[at] = own
            continue
        # 29 February may be nowhere in such a year: the day before it stands in
        month, number = date.month, date.day
        same = by_date.get((month, number)) or (by_date.get((2, 28)) if (month, number) == (2, _LEAP_DAY) else None)
        if same:
            values[at] = min(same, key=lambda year: (abs(year[0] - date.year), year[0]))[1]
            other[at] = True
    return AirDays(first, values, other)
