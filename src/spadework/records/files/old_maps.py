"""Old yield maps: points with a yield, from CSV or XLSX, east and north in metres or longitude and latitude in degrees."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

from spadework.plan import Fault, PlanFaults
from spadework.ranges import FloatArray
from spadework.records.tables.columns import Allowed, Column, WrongCell, read_cell
from spadework.records.tables.reader import LINE_ENDS, column_place, file_content, file_text, read_table
from spadework.records.tables.workbooks import is_locked_or_old, is_workbook
from spadework.reference import constants

__all__ = ["OldMap", "read_old_map"]

MOST_POINTS: Final = 50_000
_MOST_FAULTS: Final = 20
_PLANE: Final = ("x_m", "y_m")
_GLOBE: Final = ("longitude_deg", "latitude_deg")
_COLUMNS: Final = (
    Column("x_m", "east of any corner", "number", "m", Allowed(-1e7, 1e7), filled=True),
    Column("y_m", "north of it", "number", "m", Allowed(-1e7, 1e7), filled=True),
    Column("longitude_deg", "longitude", "number", "deg", Allowed(-180, 180), filled=True),
    Column("latitude_deg", "latitude", "number", "deg", Allowed(-80, 80), filled=True),
    Column("yield_t_ha", "yield", "number", "t/ha", Allowed(0, 200), needed=True),
)


@dataclass(frozen=True)
class OldMap:
    """Points of an old yield map.

    Attributes
    ----------
    file : str
        Name of the file.
    x_m, y_m : FloatArray
        East and north of the south-west corner of the points [m].
    yield_t_ha : FloatArray
        Yield [t/ha].
    left_out : int
        Lines without a yield.
    """

    file: str
    x_m: FloatArray
    y_m: FloatArray
    yield_t_ha: FloatArray
    left_out: int


def read_old_map(path: Path) -> OldMap:
    """Read an old yield map.

    Parameters
    ----------
    path : Path
        CSV or XLSX with the columns ``x_m`` and ``y_m``, or ``longitude_deg`` and ``latitude_deg``, and ``yield_t_ha``.

    Returns
    -------
    OldMap
        The points; lines without a yield are left out and counted.

    Raises
    ------
    PlanFaults
        With every fault of the file, up to twenty of its cells.
    """
    names, lines = _lines(path)
    plane = set(_PLANE) <= set(names)
    faults = []
    if not plane and not set(_GLOBE) <= set(names):
        what = "no place; the first line must name x_m and y_m, or longitude_deg and latitude_deg"
        faults.append(Fault("", what, lines[0][0] if lines else None))
    if "yield_t_ha" not in names:
        faults.append(Fault(column_place("yield_t_ha"), "is missing; the first line must name it", None))
    if faults:
        raise PlanFaults(faults, path.name)
    wanted = (*(_PLANE if plane else _GLOBE), "yield_t_ha")
    columns = {column.name: column for column in _COLUMNS}
    places = [names.index(name) for name in wanted]
    rows: list[list[float]] = []
    left_out = 0
    for number, cells in lines:
        values: list[float | None] = []
        for name, place in zip(wanted, places, strict=True):
            try:
                value = read_cell(cells[place].strip() if place < len(cells) else "", columns[name])
                values.append(None if value is None else float(value))
            except WrongCell as wrong:
                faults.append(Fault(column_place(name), str(wrong), number))
        if len(faults) > _MOST_FAULTS:
            break
        if len(values) == len(wanted):
            if values[-1] is None:
                left_out += 1
            else:
                rows.append([float(value or 0.0) for value in values])
    if faults:
        raise PlanFaults(faults[:_MOST_FAULTS], path.name)
    if not rows:
        raise PlanFaults([Fault("", "holds no point with a yield")], path.name)
    east, north, found = np.array(rows).T
    if not plane:
        radius = constants("design_rules")["earth_radius_m"].value
        east, north = np.deg2rad(east), np.deg2rad(north)
        east, north = radius * east * np.cos(north.mean()), radius * north
    return OldMap(path.name, east - east.min(), north - north.min(), found, left_out)


def _lines(path: Path) -> tuple[tuple[str, ...], list[tuple[int, list[str]]]]:
    """Return the names of the columns and the numbered lines under them; a text may be longer than other tables."""
    data = file_content(path)
    if is_workbook(data) or is_locked_or_old(data):
        table = read_table(path, ())
        return table.columns, [(line.number, [line.cells.get(n, "") for n in table.columns]) for line in table.lines]
    numbered = [
        (number, line)
        for number, line in enumerate(LINE_ENDS.split(file_text(data, path)), 1)
        if line.strip(' \t;,"') and not line.lstrip(' "').startswith("#")
    ]
    if not numbered:
        raise PlanFaults([Fault("", "holds nothing; allowed: a line of columns and points under it")], path.name)
    if len(numbered) - 1 > MOST_POINTS:
        what = f"has {len(numbered) - 1} points; allowed: up to {MOST_POINTS}; leave out every second"
        raise PlanFaults([Fault("", what)], path.name)
    mark = next((m for m in ";\t" if m in numbered[0][1]), ",")
    try:
        cut = [(n, next(csv.reader(io.StringIO(line), delimiter=mark))) for n, line in numbered]
    except csv.Error as error:
        raise PlanFaults([Fault("", f"cannot be cut into cells ({error})")], path.name) from None
    return tuple(cell.strip().lower() for cell in cut[0][1]), cut[1:]
