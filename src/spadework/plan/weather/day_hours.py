"""The hours of whole days out of the weather file, day by day on the clock of the plan, over as many years as it holds."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from spadework.plan.as_read import Read
from spadework.plan.weather.series import _tables
from spadework.plan.weather.table import HOUR, Holds, Hourly
from spadework.ranges import FloatArray

__all__ = ["DayHours", "day_hours"]

_DAY_S: Final = 24 * HOUR
_ENOUGH_H: Final = 18
_EPOCH: Final = dt.date(1970, 1, 1)
_AIR: Final[Holds] = ("air_temperature", None)
_WIND: Final[Holds] = ("wind", None)
_RAIN: Final[Holds] = ("rain", None)
_HUMIDITY: Final[Holds] = ("relative_humidity", None)
_LIGHT: Final[Holds] = ("global_radiation", None)


@dataclass(frozen=True, eq=False)
class DayHours:
    """The days of a weather file that can be used, in order; arrays are days by 24 hours.

    Attributes
    ----------
    dates : tuple of date
        On the clock of the plan.
    air_degc, wind_m_s : ndarray
        Hours that are missing within a day have a straight line between their neighbours; wind at the plan's height.
    humidity_share, light_w_m2 : ndarray
        Likewise; a whole day of not-a-number where too few hours were measured.
    rain_mm : ndarray
        Never filled; not-a-number where it is missing.
    has_rain : bool
        Whether there is any rain in the file, or in one of its own.
    typical : bool
        Whether it is a typical year.
    filled_h : ndarray of int
        Hours of each day in which air, wind, moisture or light have a straight line.
    """

    dates: tuple[dt.date, ...]
    air_degc: FloatArray
    wind_m_s: FloatArray
    humidity_share: FloatArray
    light_w_m2: FloatArray
    rain_mm: FloatArray
    has_rain: bool
    typical: bool
    filled_h: NDArray[np.int64]

    @property
    def years(self) -> tuple[int, ...]:
        """The years that have days."""
        return tuple(sorted({date.year for date in self.dates}))

    def places(self) -> Mapping[dt.date, int]:
        """Return where each date stands."""
        return {date: place for place, date in enumerate(self.dates)}

    def rows_of(self, dates: Sequence[dt.date], *, other_years: bool) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
        """Return where dates stand, -1 where the file lacks them, and which were taken from another year.

        Parameters
        ----------
        dates : sequence of date
            Sought.
        other_years : bool
            Whether the same day of the nearest other year stands in where the file lacks one, as in a year that was
            put together of the months of several.
        """
        here = self.places()
        same: dict[tuple[int, int], list[dt.date]] = {}
        for date in self.dates:
            same.setdefault((date.month, date.day), []).append(date)
        rows, other = np.full(len(dates), -1, dtype=np.int64), np.zeros(len(dates), dtype=np.bool_)
        for at, date in enumerate(dates):
            if date in here:
                rows[at] = here[date]
            elif other_years:
                # 29 February may be nowhere in such a year: the day before it stands in
                also = same.get((date.month, date.day)) or (
                    same.get((2, 28)) if (date.month, date.day) == (2, 29) else None
                )
                if also:
                    rows[at] = here[min(also, key=lambda day: (abs(day.year - date.year), day.year))]
                    other[at] = True
        return rows, other


def day_hours(read: Read) -> DayHours:
    """Return every day of the weather file that has 18 h or more of air and wind.

    Parameters
    ----------
    read : Read
        A plan with a weather file.

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
    hourly, own_rain = _tables(read)
    ahead = int((start.utcoffset() or dt.timedelta()).total_seconds())
    numbers = np.unique((hourly.seconds + ahead) // _DAY_S)
    laid = {holds: _laid(hourly, holds, numbers, ahead) for holds in (_AIR, _WIND, _HUMIDITY, _LIGHT, _RAIN)}
    has_rain = _RAIN in hourly.values and not (hourly.typical and not np.nansum(hourly.values[_RAIN]))
    rain = laid[_RAIN]
    if own_rain is not None:
        has_rain, rain = True, _laid(own_rain, _RAIN, numbers, ahead)
    enough = [(~np.isnan(laid[holds])).sum(axis=1) >= _ENOUGH_H for holds in (_AIR, _WIND)]
    keep = np.flatnonzero(enough[0] & enough[1])
    filled = {holds: _filled(laid[holds][keep]) for holds in (_AIR, _WIND, _HUMIDITY, _LIGHT)}
    lines = [np.isnan(laid[holds][keep]) & ~np.isnan(values) for holds, values in filled.items()]
    dates = tuple(_EPOCH + dt.timedelta(days=int(number)) for number in numbers[keep])
    return DayHours(
        dates, filled[_AIR], filled[_WIND], filled[_HUMIDITY], filled[_LIGHT],
        rain[keep] if has_rain else np.zeros((len(keep), 24)), has_rain, hourly.typical,
        np.logical_or.reduce(lines).sum(axis=1),
    )  # fmt: skip


def _laid(hourly: Hourly, holds: Holds, numbers: NDArray[np.int64], ahead: int) -> FloatArray:
    """Return what a file holds of the days, by hour; not-a-number where it has nothing."""
    found = np.full((len(numbers), 24), np.nan)
    if holds not in hourly.values:
        return found
    local = hourly.seconds + ahead
    place = np.searchsorted(numbers, local // _DAY_S)
    inside = place < len(numbers)
    inside[inside] = numbers[place[inside]] == (local // _DAY_S)[inside]
    found[place[inside], (local % _DAY_S // HOUR)[inside]] = hourly.values[holds][inside]
    return found


def _filled(values: FloatArray) -> FloatArray:
    """Return days with straight lines over their missing hours, all missing where too few were there."""
    values = values.copy()
    gone = np.isnan(values)
    hours = np.arange(24)
    for row in np.flatnonzero(gone.any(axis=1)):
        there = ~gone[row]
        if there.sum() < _ENOUGH_H:
            values[row] = np.nan
            continue
        values[row] = np.interp(hours, hours[there], values[row, there])
    return values
