"""Layouts of typical years, in which each month may come from another year: EPW, and the CSV of open satellite data."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from typing import Final

import numpy as np

from spadework.plan.weather.layouts import QUANTITIES, Column, map_columns
from spadework.plan.weather.table import (
    HOUR,
    Asked,
    HeadPlace,
    Hourly,
    Placed,
    Rows,
    in_order,
    names_of,
    stop,
    values_of,
)
from spadework.reference import load

__all__ = ["by_epw", "by_tmy"]

_EPW_HEAD: Final = 8
_EPW_HEIGHT: Final = 9  # the cell of the first line that holds the altitude, counted from nought
_LOWEST_M, _HIGHEST_M = -430, 6000
_HEAD_WITHIN: Final = 60
_TMY: Final = {
    "time(UTC)": "time",
    "T2m": "air temperature, degC",
    "WS10m": "wind, m/s",
    "RH": "relative humidity, %",
    "G(h)": "global radiation, W/m2",
}
_TMY_NEEDED: Final = ("time(UTC)", "T2m", "WS10m")
_TMY_TIME = re.compile(r"\d{4}(\d\d)(\d\d):(\d\d)(\d\d)")

_Time = tuple[int, int, int, int]


def by_epw(asked: Asked, lines: Sequence[str]) -> Hourly:
    """Read an EPW file: eight lines of head, then lines of 35 fields, each of an hour that ends at the time it says."""
    fields = load("weather_epw")
    place = {key: int(row.entry("field").value) - 1 for key, row in fields.items()}
    head = lines[0].split(",")
    try:
        zone = dt.timedelta(hours=float(head[8]))
        if head[0].strip().upper() != "LOCATION" or abs(zone) > dt.timedelta(hours=14):
            raise ValueError
    except (ValueError, IndexError, OverflowError):
        what = "an EPW file begins with LOCATION, the place and, in the ninth cell, the hours its time is ahead of UTC"
        raise stop(asked, [(1, what)]) from None
    period = lines[_EPW_HEAD - 1].split(",") if len(lines) >= _EPW_HEAD else []
    if len(period) < 3 or period[0].strip().upper() != "DATA PERIODS" or period[2].strip() != "1":
        what = "the last line of the head of an EPW file begins with DATA PERIODS, their number and 1, for one line an hour"
        raise stop(asked, [(_EPW_HEAD, what)])
    rows = Rows(list(place))
    wrong: list[tuple[int, str]] = []
    times: list[_Time] = []
    for number, line in enumerate(lines[_EPW_HEAD:], _EPW_HEAD + 1):
        if not line.strip():
            continue
        cells = line.split(",")
        try:
            month, day, hour = (int(cells[place[key]]) for key in ("month", "day", "hour"))
            if not (1 <= month <= 12 and 1 <= day <= 31 and 1 <= hour <= 24):
                raise ValueError
            times.append((month, day, hour - 1, 0))
            rows.cells.append(cells + [""] * (len(place) - len(cells)))
            rows.lines.append(number)
        except (ValueError, IndexError):
            wrong.append((number, "the line does not begin with year, month, day and an hour from 1 to 24"))
    if wrong:
        raise stop(asked, wrong)
    columns = []
    for word in ("air temperature", "wind", "rain", "relative humidity", "global radiation"):
        quant = QUANTITIES[word]
        scale = 0.01 if quant.key == "relative_humidity" else 1.0
        columns.append(
            Placed(Column(word, quant, scale, 0.0), place[quant.key], fields[quant.key].entry("missing").value)
        )
    return _laid(asked, rows, times, zone, columns, _place(head[6], head[9] if len(head) > _EPW_HEIGHT else ""))


def by_tmy(asked: Asked, lines: Sequence[str]) -> Hourly:
    """Read a typical year in UTC with the columns T2m, RH, G(h) and WS10m below a head of some lines."""
    head = next((i for i, line in enumerate(lines[:_HEAD_WITHIN]) if line.startswith("time(UTC),")), None)
    if head is None:
        raise stop(asked, [(1, "a file of this layout has a line that begins with time(UTC), above its hours")])
    rows = Rows(names_of(lines[head], ","))
    if missing := [name for name in _TMY_NEEDED if name not in rows.head]:
        raise stop(asked, [(head + 1, f"has no column {', '.join(missing)}")])
    times: list[_Time] = []
    wrong: list[tuple[int, str]] = []
    for number, line in enumerate(lines[head + 1 :], head + 2):
        if not line.strip():
            break  # what follows the hours explains the columns
        cells = line.split(",")
        match = _TMY_TIME.fullmatch(cells[0])
        if match is None:
            wrong.append((number, f'"{cells[0][:60]}" is no time written as YYYYMMDD:hhmm'))
            continue
        month, day, hour, minute = map(int, match.groups())
        times.append((month, day, hour, minute))
        rows.cells.append(cells + [""] * (len(rows.head) - len(cells)))
        rows.lines.append(number)
    if wrong:
        raise stop(asked, wrong)
    mapped, _ = map_columns({name: said for name, said in _TMY.items() if name in rows.head})
    said = [
        next((line.partition(":")[2] for line in lines[:head] if line.lower().startswith(word)), "")
        for word in ("latitude", "elevation")
    ]
    placed = [Placed(c, rows.head.index(c.name)) for c in mapped.columns]
    return _laid(asked, rows, times, dt.timedelta(), placed, _place(*said))


def _place(latitude: str, altitude: str) -> HeadPlace:
    """Return what two cells of a head say of the place; what is no number, or cannot be, is as good as not said."""

    def number(cell: str, low: float, high: float) -> float:
        try:
            found = float(cell)
        except ValueError:
            return np.nan
        return found if low <= found <= high else np.nan

    return HeadPlace(number(latitude, -90, 90), number(altitude, _LOWEST_M, _HIGHEST_M))


def _laid(
    asked: Asked,
    rows: Rows,
    times: Sequence[_Time],
    ahead: dt.timedelta,
    columns: Sequence[Placed],
    place: HeadPlace,
) -> Hourly:
    """Lay a typical year on the year asked for and on the ones before and after it."""
    values, wrong = values_of(asked, rows, columns)
    month, day, hour, minute = np.array(times, dtype=np.int64).reshape(-1, 4).T
    ahead_s = round(ahead.total_seconds())
    picked, starts = [], []
    for year in (asked.year - 1, asked.year, asked.year + 1):
        in_month = np.datetime64(f"{year:04}-01", "M") + (month - 1)
        date = in_month.astype("datetime64[D]") + (day - 1)
        there = (month >= 1) & (month <= 12) & (date.astype("datetime64[M]") == in_month) & (hour < 24) & (minute < 60)
        for i in np.flatnonzero(~there & ~((month == 2) & (day == 29)))[:1].tolist():
            raise stop(asked, [(rows.lines[i], f"month {month[i]}, day {day[i]}, {hour[i]} h is no time")])
        start = date.astype("datetime64[s]").astype(np.int64) + HOUR * hour + 60 * minute - ahead_s
        picked.append(np.flatnonzero(there))
        starts.append(start[there])
    which, seconds = np.concatenate(picked), np.concatenate(starts)
    laid = {holds: numbers[which] for holds, numbers in values.items()}
    names = {placed.column.holds: placed.column.name for placed in columns}
    lines = np.array(rows.lines, dtype=np.int64)[which]
    return in_order(asked, Hourly(seconds, lines, laid, names, wrong, typical=True, place=place))
