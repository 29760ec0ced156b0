"""Plants counted behind the row units of a planter: the columns of the table, its reading, and empty tables to fill in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from spadework.plan import Fault, PlanFaults
from spadework.ranges import require
from spadework.records.tables.columns import Allowed, Column
from spadework.records.tables.reader import Line, column_place, read_table
from spadework.records.tables.sheet import Sheet, SheetLine, csv_text, xlsx_book

__all__ = ["COLUMNS", "HOW", "StandCount", "csv_template", "read_stand", "xlsx_template"]

COLUMNS: Final = (
    Column("block", "block of the comparison, or number of the place", "text", needed=True, filled=True, longest=40),
    Column("system", "system that stands there; empty where there is one only", "text", longest=80),
    Column("unit", "row unit, counted on the machine from the left, seen forwards", "whole", hard=Allowed(1, 99), needed=True,
           filled=True),
    Column("plants", "plants that stand in the counted length; empty where nobody counted", "whole", hard=Allowed(0, 100_000),
           needed=True),
    Column("length_m", "length of row that was counted", "number", "m", Allowed(0.5, 10_000), Allowed(3, 200), needed=True,
           filled=True),
    Column("note", "anything else", "text", longest=200),
)  # fmt: skip
"""Columns of the table.  Further columns are left alone."""

HOW: Final[tuple[tuple[str, str], ...]] = (
    ("When", "When no more plants come up, two to three weeks after the first."),
    (
        "Where",
        "Behind every row unit, in every block, on places chosen before looking; 10 m or more each. The outermost metres of a "
        "plot do not count.",
    ),
    (
        "Which unit",
        "Count the units on the machine from the left, seen forwards. On the way back the machine is turned round: the first "
        "row from the left of the field is then the last unit.",
    ),
    ("Plants", "Every plant that stands, also small ones; a double counts as two. Nothing found is 0, not empty."),
)
"""How plants are counted: title and text."""


@dataclass(frozen=True, slots=True)
class StandCount:
    """Plants behind one unit in one place; `system` is empty where the table names none."""

    block: str
    system: str
    unit: int
    plants: int
    length_m: float


def read_stand(path: Path, *, units: int | None = None, sheet: str | None = None) -> tuple[StandCount, ...]:
    """Read counts of plants behind row units.

    Parameters
    ----------
    path : Path
        CSV file or workbook.
    units : int, optional
        Row units of the planter; a unit beyond is a fault.
    sheet : str, optional
        Sheet of a workbook; the first that is shown if left out.

    Raises
    ------
    PlanFaults
        With every fault of the file, by line and column.
    """
    table = read_table(path, COLUMNS, sheet=sheet)
    faults = list(table.faults)
    found = []
    if not faults and all(line.values.get("plants") is None for line in table.lines):
        faults.append(
            Fault(column_place("plants"), "is empty in every line; allowed: counts of plants, 0 where none stands")
        )
    named = [bool(line.values.get("system")) for line in table.lines]
    for line, has_system in zip(table.lines, named, strict=True):
        faults += _faults(line, units, needs_system=any(named) and not has_system)
        values = line.values
        if all(values.get(name) is not None for name in ("block", "unit", "plants", "length_m")):
            found.append(
                StandCount(
                    str(values["block"]), str(values.get("system") or ""), int(float(values["unit"] or 0)),
                    int(float(values["plants"] or 0)), float(values["length_m"] or 0),
                )
            )  # fmt: skip
    if faults:
        raise PlanFaults(faults, path.name)
    return tuple(found)


def _faults(line: Line, units: int | None, *, needs_system: bool) -> list[Fault]:
    faults = []
    unit = line.values.get("unit")
    if isinstance(unit, float) and units is not None and unit > units:
        what = f"{unit:g} cannot be; the planter of the plan has {units} row units"
        faults.append(Fault(column_place("unit"), what, line.number))
    if needs_system and "system" in line.values:
        faults.append(
            Fault(column_place("system"), "is empty, but other lines name one; fill it everywhere", line.number)
        )
    return faults


def csv_template(units: int, blocks: int = 4) -> str:
    """Return a table of counts to fill in, as CSV with semicolons; units stand in a remark line under the columns.

    Examples
    --------
    >>> csv_template(2, 1).splitlines()
    ['block;system;unit;plants;length_m;note', '# units;;;;m;', '1;;1;;10;', '1;;2;;10;']
    """
    return csv_text(_sheet(units, blocks))


def xlsx_template(units: int, blocks: int = 4) -> bytes:
    """Return the same table as an XLSX workbook, with a second sheet that says how to count."""
    return xlsx_book(_sheet(units, blocks))


def _sheet(units: int, blocks: int) -> Sheet:
    require("units", units, 1, 99)
    require("blocks", blocks, 1, 99)
    lines = tuple(
        SheetLine({"block": str(block), "unit": unit, "length_m": 10})
        for block in range(1, blocks + 1)
        for unit in range(1, units + 1)
    )
    return Sheet("stand", "Plants behind row units", "stand", COLUMNS, lines, HOW)
