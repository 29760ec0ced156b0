"""Temperatures that loggers wrote down: the columns of their table, and its reading to whole hours."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
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
        table = read_table(path, COLUMNS)
        faults = list(table.faults)
        for line in table.lines:
            faults += _take(line, zones, found)
        if faults:
            raise PlanFaults(faults, clip(path.name))
    return tuple(Logged(zone, depth, _whole_days(readings)) for (zone, depth), readings in found.items())


def _take(
    line: Line, zones: Collection[str], found: dict[tuple[str, float], dict[tuple[dt.date, int], list[float]]]
) -> list[Fault]:
    """Put a line where it belongs, and return what is wrong with it."""
    faults: list[Fault] = []
    value = line.values.get("temperature_degc")
    said, where = line.values.get("time"), line.values.get("zone")
    if said is None or where is None or value is None:
        return faults  # told by the reader of cells
    try:
        time = dt.datetime.fromisoformat(str(said))
    except ValueError:
        what = f'"{clip(str(said))}" is no date with a time; write it as 2026-04-20 13:00'
        return [Fault(column_place("time"), what, line.number)]
    if time.tzinfo is not None:
        what = f'"{clip(str(said))}" carries a zone; write the time on the clock of the plan, without one'
        return [Fault(column_place("time"), what, line.number)]
    known = {zone.casefold(): zone for zone in (AIR, *zones)}
    zone = known.get(str(where).casefold())
    if zone is None:
        what = f'"{clip(str(where))}" is no zone of this plan; allowed: {", ".join(known.values())}'
        return [Fault(column_place("zone"), what + nearest(str(where), list(known.values())), line.number)]
    depth = line.values.get("depth_cm")
    if depth is None and zone != AIR:
        if "depth_cm" in line.values:
            faults.append(
                Fault(column_place("depth_cm"), "is empty; a logger in the soil needs its depth", line.number)
            )
        return faults
    at = 0.0 if zone == AIR else float(depth)  # type: ignore[arg-type]
    found.setdefault((zone, at), {}).setdefault((time.date(), time.hour), []).append(float(value))
    return faults


def _whole_days(readings: dict[tuple[dt.date, int], list[float]]) -> dict[dt.date, FloatArray]:
    """Return the days that have a reading in every hour; several in one hour are averaged."""
    days = sorted({date for date, _ in readings})
    return {
        date: np.array([float(np.mean(readings[date, hour])) for hour in range(24)])
        for date in days
        if all((date, hour) in readings for hour in range(24))
    }
