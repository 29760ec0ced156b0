"""Temperatures that loggers wrote down: the columns of their table, and its reading to whole hours."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np

from spadework.estimate.seedbed.logger_fit import AIR, Logged
from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.ranges import FloatArray
from spadework.records.tables.columns import Allowed, Column, clip
from spadework.records.tables.reader import Line, column_place, read_table

__all__ = ["COLUMNS", "read_loggers"]

COLUMNS: Final = (
    Column("time", "date and time on the clock of the plan, as 2026-04-20 13:00", "text", needed=True, filled=True, longest=40),
    Column("zone", "air, strip, between, or the name of a system worked over its whole width", "text", needed=True,
           filled=True, longest=80),
    Column("depth_cm", "depth of the logger under the surface above it; empty in the air", "number", "cm",
           Allowed(0, 50, above=True), needed=True),
    Column("temperature_degc", "what it read", "number", "degC", Allowed(-40, 60), Allowed(-10, 45), needed=True, filled=True),
)  # fmt: skip
"""Columns of the table.  Further columns are left alone."""
_MOST_LINES: Final = 30_000  # half a year of four loggers by the hour, with room
_MOST_SAID: Final = 12
_DATE_ONLY: Final = 10  # signs of a date without a time


def read_loggers(paths: Sequence[Path], zones: Collection[str]) -> tuple[Logged, ...]:
    """Read loggers from tables: time, zone, depth_cm, temperature_degc.

    Parameters
    ----------
    paths : sequence of Path
        CSV files or workbooks; one logger may go on from file to file.
    zones : collection of str
        What may stand as a zone beside ``air``.

    Returns
    -------
    tuple of Logged
        By zone and depth, in the order in which they first come.

    Raises
    ------
    PlanFaults
        With every fault of a file, by line and column.
    """
    found: dict[tuple[str, float], dict[tuple[dt.date, int], list[float]]] = {}
    for path in paths:
        table = read_table(path, COLUMNS, most_lines=_MOST_LINES)
        faults = list(table.faults)
        for line in table.lines:
            faults += _take(line, zones, found)
        if faults:
            raise PlanFaults(_first(faults), clip(path.name))
    return tuple(Logged(zone, depth, _whole_days(readings)) for (zone, depth), readings in found.items())


def _first(faults: Sequence[Fault]) -> list[Fault]:
    """Return the first faults, and how many more there are: one slip may stand in every hour."""
    if (more := len(faults) - _MOST_SAID) <= 0:
        return list(faults)
    last = faults[_MOST_SAID - 1]
    return [*faults[: _MOST_SAID - 1], replace(last, what=f"{last.what}; and {more} more faults in this file")]


def _take(
    line: Line, zones: Collection[str], found: dict[tuple[str, float], dict[tuple[dt.date, int], list[float]]]
) -> list[Fault]:
    """Put a line where it belongs, and return everything that is wrong with it and was not told by the reader of cells."""
    faults: list[Fault] = []
    time = _time(line, faults)
    zone = _zone(line, zones, faults)
    value, depth = line.values.get("temperature_degc"), line.values.get("depth_cm")
    if zone is not None and zone != AIR and depth is None and "depth_cm" in line.values:
        faults.append(Fault(column_place("depth_cm"), "is empty; a logger in the soil needs its depth", line.number))
    if time is None or zone is None or value is None or (zone != AIR and depth is None):
        return faults
    at = 0.0 if zone == AIR or depth is None else float(depth)
    found.setdefault((zone, at), {}).setdefault((time.date(), time.hour), []).append(float(value))
    return faults


def _time(line: Line, faults: list[Fault]) -> dt.datetime | None:
    said = line.values.get("time")
    if said is None:
        return None
    shown = clip(str(said))
    try:
        time = dt.datetime.fromisoformat(str(said))
    except ValueError:
        what = f'"{shown}" is no date with a time; write it as 2026-04-20 13:00'
    else:
        if len(str(said)) <= _DATE_ONLY:
            what = f'"{shown}" has no time of day; write it as 2026-04-20 13:00'
        elif time.tzinfo is not None:
            what = f'"{shown}" carries a zone; write the time on the clock of the plan, without one'
        else:
            return time
    faults.append(Fault(column_place("time"), what, line.number))
    return None


def _zone(line: Line, zones: Collection[str], faults: list[Fault]) -> str | None:
    said = line.values.get("zone")
    if said is None:
        return None
    known = {zone.casefold(): zone for zone in (AIR, *zones)}
    zone = known.get(str(said).casefold())
    if zone is None:
        what = f'"{clip(str(said))}" is no zone of this plan; allowed: {", ".join(known.values())}'
        faults.append(Fault(column_place("zone"), what + nearest(str(said), list(known.values())), line.number))
    return zone


def _whole_days(readings: dict[tuple[dt.date, int], list[float]]) -> dict[dt.date, FloatArray]:
    """Return the days that have a reading in every hour; several in one hour are averaged."""
    days = sorted({date for date, _ in readings})
    return {
        date: np.array([float(np.mean(readings[date, hour])) for hour in range(24)])
        for date in days
        if all((date, hour) in readings for hour in range(24))
    }
