"""Counts by hand on photos: the table, as it is read."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from spadework import reference
from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.records.tables.columns import Allowed, Column, clip
from spadework.records.tables.reader import Line, column_place, read_table

__all__ = ["COLUMNS", "ZONES", "PhotoCount", "read_photo_counts"]

ZONES: Final = ("strip", "between")
"""The two kinds of ground of a field worked in strips."""

_POINTS_LEAST: Final = int(reference.constants("photo_limits").points_least)
_POINTS_MOST: Final = 10_000

COLUMNS: Final = (
    Column("photo", "name of the file of the photo", "text", needed=True, filled=True, longest=120),
    Column("hits", "marks on residue", "whole", hard=Allowed(0, _POINTS_MOST), needed=True, filled=True),
    Column(
        "points",
        "marks in all, without those on green plants",
        "whole",
        hard=Allowed(_POINTS_LEAST, _POINTS_MOST),
        needed=True,
        filled=True,
    ),
    Column("zone", "part of the picture that was counted", "word", words=ZONES),
)
"""Columns of the table.  Further columns are left alone."""


@dataclass(frozen=True, slots=True)
class PhotoCount:
    """Marks of a grid counted on one photo, or on one zone of it; `zone` is empty where it was the whole."""

    photo: str
    zone: str
    hits: int
    points: int


def read_photo_counts(path: Path, photos: Collection[str], *, by_zone: bool) -> tuple[PhotoCount, ...]:
    """Read counts by hand: photo, hits, points and, where the field is worked in strips, zone.

    Parameters
    ----------
    path : Path
        CSV file or workbook.
    photos : collection of str
        Names of the photos that they belong to.
    by_zone : bool
        True where strip and ground between are counted apart.

    Raises
    ------
    PlanFaults
        With every fault of the file, by line and column.
    """
    if not path.exists():
        what = f"there is no such file; write one with the columns {', '.join(c.name for c in COLUMNS if c.needed)}"
        raise PlanFaults([Fault("", what)], clip(str(path)))
    table = read_table(path, COLUMNS)
    faults = list(table.faults)
    if by_zone and "zone" not in table.columns:
        what = "is missing; where the field is worked in strips, each is counted apart: strip, between"
        faults.append(Fault(column_place("zone"), what))
    seen: dict[tuple[str, str], int] = {}
    found = []
    for line in table.lines:
        faults += _faults(line, photos, seen, by_zone and "zone" in table.columns)
        if {"photo", "hits", "points"} <= set(line.values):
            photo, zone = str(line.values["photo"]), str(line.values.get("zone") or "")
            found.append(PhotoCount(photo, zone, _whole(line, "hits"), _whole(line, "points")))
    if faults:
        raise PlanFaults(faults, path.name)
    return tuple(found)


def _whole(line: Line, column: str) -> int:
    value = line.values[column]
    return int(value) if isinstance(value, float) else 0


def _faults(line: Line, photos: Collection[str], seen: dict[tuple[str, str], int], by_zone: bool) -> list[Fault]:
    faults = []
    values = line.values
    photo, zone = values.get("photo"), values.get("zone")
    if isinstance(photo, str):
        if photo not in photos:
            what = f'"{clip(photo)}" is none of the photos that were named{nearest(photo, photos)}'
            faults.append(Fault(column_place("photo"), what, line.number))
        key = (photo, str(zone or ""))
        if key in seen:
            part = f" ({zone})" if zone else ""
            what = f'"{clip(photo)}"{part} stands in line {seen[key]} already; allowed: each once'
            faults.append(Fault(column_place("photo"), what, line.number))
        seen.setdefault(key, line.number)
    if by_zone and "zone" in values and zone is None:
        faults.append(Fault(column_place("zone"), f"is empty; allowed: {' or '.join(ZONES)}", line.number))
    if not by_zone and zone is not None:
        what = f'holds "{zone}", but no strip was named; give --strip and --row, or leave it empty'
        faults.append(Fault(column_place("zone"), what, line.number))
    hits, points = values.get("hits"), values.get("points")
    if isinstance(hits, float) and isinstance(points, float) and hits > points:
        faults.append(Fault(column_place("hits"), f"{hits:g} of {points:g} marks cannot be", line.number))
    return faults
