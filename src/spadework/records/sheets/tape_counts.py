"""Residue counted along tapes: the columns of the table, its reading, and empty tables to fill in.

The columns are those of the sheet on residue that is taken to the field, so that one filled-in sheet serves both; what a table
of tapes needs beside them may be added.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from spadework.plan import Fault, PlanFaults
from spadework.ranges import require
from spadework.records.kinds import BELOW_DETECTION, columns_of, reading_kinds
from spadework.records.tables.columns import Allowed, Column, clip
from spadework.records.tables.reader import Line, column_place, read_table
from spadework.records.tables.sheet import Sheet, SheetLine, csv_text, xlsx_book
from spadework.reference import constants, load

__all__ = ["COLUMNS", "GROUNDS", "NOT_COUNTED", "Tape", "csv_template", "read_tapes", "xlsx_template"]

GROUNDS: Final = ("strip", "between")
"""The two kinds of ground of a field worked in strips, as they stand in the column ``place``."""
NOT_COUNTED: Final = "not counted"
_NAMED: Final = 12
_ON_SHEET: Final = {column.name: column for column in columns_of("residue")}
_PLACE: Final = replace(
    _ON_SHEET["place"],
    meaning="strip or between, where the field is worked in strips; else where the tape lay, or empty",
)
COLUMNS: Final = (
    _ON_SHEET["plot"],
    Column(
        "system", "system that stands there; empty where the plan says it, or there is one only", "text", longest=80
    ),
    _PLACE,
    _ON_SHEET["sample"],
    replace(_ON_SHEET["points"], needed=True),
    replace(_ON_SHEET["hits"], needed=True),
    Column(
        "marks_cm", "distance between the marks, along the tape", "number", "cm", Allowed(0.5, 1000), Allowed(5, 100)
    ),
    Column(
        "angle_deg",
        "angle between tape and rows; 90 is square across",
        "number",
        "deg",
        Allowed(1, 90),
        Allowed(30, 90),
    ),
    _ON_SHEET["note"],
)
"""Columns of the table.  Further columns are left alone."""


@dataclass(frozen=True, slots=True)
class Tape:
    """One tape that was counted.

    Attributes
    ----------
    plot, system : str
        Where it lay; the system is empty where nothing says it.
    ground : str
        ``strip``, ``between``, or empty where it crossed both.
    hits, points : int
        Marks on residue, and marks in all.
    marks_m, angle_deg : float or None
        Distance between marks along the tape [m], and angle between tape and rows [deg]; None where nobody wrote it.
    line : int
        Line of the table.
    """

    plot: str
    system: str
    ground: str
    hits: int
    points: int
    marks_m: float | None
    angle_deg: float | None
    line: int


def read_tapes(
    path: Path, *, systems: Mapping[str, str] | None = None, sheet: str | None = None
) -> tuple[tuple[Tape, ...], tuple[str, ...]]:
    """Read tapes, and what was left out of them.

    Parameters
    ----------
    path : Path
        CSV file or workbook; a filled-in sheet on residue will do.
    systems : Mapping, optional
        System of every plot, by its number, where a layout says it.
    sheet : str, optional
        Sheet of a workbook; the first that is shown if left out.

    Raises
    ------
    PlanFaults
        With every fault of the file, by line and column.
    """
    table = read_table(path, COLUMNS, sheet=sheet)
    faults = list(table.faults)
    named = [bool(line.values.get("system")) for line in table.lines]
    tapes, left_out = [], []
    for line, has_system in zip(table.lines, named, strict=True):
        own = list(_faults(line, systems, needs_system=any(named) and not has_system and systems is None))
        faults += own
        if own or not {"plot", "points", "hits"} <= set(line.values):
            continue
        found = (line.values["points"], line.values["hits"])
        if not all(isinstance(value, float) for value in found):
            word = next((value for value in found if isinstance(value, str)), NOT_COUNTED)
            left_out.append(f"line {line.number}, plot {line.values['plot']}: {word}")
            continue
        tapes.append(_tape(line, systems))
    if not faults and not tapes:
        faults.append(Fault("", "holds no tape with figures in points and hits; allowed: one or more"))
    if faults:
        raise PlanFaults(faults, path.name)
    return tuple(tapes), tuple(left_out)


def _tape(line: Line, systems: Mapping[str, str] | None) -> Tape:
    values = line.values
    plot = str(values["plot"])
    marks, angle = values.get("marks_cm"), values.get("angle_deg")
    return Tape(
        plot=plot,
        system=(systems or {}).get(plot, str(values.get("system") or "")),
        ground=_ground(str(values.get("place") or "")),
        hits=_whole(line, "hits"),
        points=_whole(line, "points"),
        marks_m=marks / 100 if isinstance(marks, float) else None,
        angle_deg=angle if isinstance(angle, float) else None,
        line=line.number,
    )


def _whole(line: Line, column: str) -> int:
    value = line.values[column]
    return int(value) if isinstance(value, float) else 0


def _ground(place: str) -> str:
    word = place.strip().lower()
    return word if word in GROUNDS else ""


def _faults(line: Line, systems: Mapping[str, str] | None, *, needs_system: bool) -> list[Fault]:
    faults, values = [], line.values
    plot, place, own = values.get("plot"), values.get("place"), values.get("system")
    if isinstance(plot, str) and systems is not None:
        if plot not in systems:
            known = ", ".join(list(systems)[:_NAMED]) + (" and more" if len(systems) > _NAMED else "")
            what = f'"{clip(plot)}" is no plot of the layout; allowed: {known}'
            faults.append(Fault(column_place("plot"), what, line.number))
        elif isinstance(own, str) and own != systems[plot]:
            what = f'"{clip(own)}", but by the layout of the plan plot {plot} is "{systems[plot]}"; leave it out or mend it'
            faults.append(Fault(column_place("system"), what, line.number))
    if needs_system:
        faults.append(
            Fault(column_place("system"), "is empty, but other lines name one; fill it everywhere", line.number)
        )
    if isinstance(place, str) and not _ground(place) and _nearly_a_ground(place):
        what = f'"{clip(place)}" is not clear; allowed for ground worked in strips: {" or ".join(GROUNDS)}'
        faults.append(Fault(column_place("place"), what, line.number))
    for name in ("points", "hits"):
        if values.get(name) == BELOW_DETECTION:
            what = f"{BELOW_DETECTION} cannot be said of a count; allowed: a whole number, 0 where nothing lay there"
            faults.append(Fault(column_place(name), what, line.number))
    hits, points = values.get("hits"), values.get("points")
    if isinstance(hits, float) and isinstance(points, float) and hits > points:
        what = (
            f"{hits:g} of {points:g} marks cannot be; one of the two was misread, or they stand in one another's column"
        )
        faults.append(Fault(column_place("hits"), what, line.number))
    return faults


def _nearly_a_ground(place: str) -> bool:
    """Tell whether a place is likely one of the two grounds, written otherwise."""
    from spadework.plan.faults import nearest

    word = place.strip().lower()
    return any(ground in word for ground in ("strip", "between", "beside")) or bool(nearest(word, GROUNDS))


def csv_template(plots: int = 4, *, strips: bool = False) -> str:
    """Return a table of tapes to fill in, as CSV with semicolons; units stand in a remark line under the columns.

    Examples
    --------
    >>> csv_template(1).splitlines()[0]
    'plot;system;place;sample;points;hits;marks_cm;angle_deg;note'
    """
    return csv_text(_sheet(plots, strips=strips))


def xlsx_template(plots: int = 4, *, strips: bool = False) -> bytes:
    """Return the same table as an XLSX workbook, with a second sheet that says how to count."""
    return xlsx_book(_sheet(plots, strips=strips))


def _sheet(plots: int, *, strips: bool) -> Sheet:
    require("plots", plots, 1, 99)
    row, marks = load("sheets")["residue"], int(constants("transect_practice").marks)
    tapes = reading_kinds()["residue", "hits"].count
    lines = tuple(
        SheetLine({"plot": str(plot), **({"place": ground} if ground else {}), "sample": tape, "points": marks})
        for plot in range(1, plots + 1)
        for ground in (GROUNDS if strips else ("",))
        for tape in range(1, tapes + 1)
    )
    how = (
        ("When", row.text("when")),
        ("How", row.text("how")),
        (
            "Marks",
            "Write the distance between the marks and the angle to the rows: with them it can be told whether the marks keep "
            "step with the rows. Both ends of the tape in a row, the tape not moved while it is counted.",
        ),
        ("No figure", "missing, not measured or unreadable; nothing found is 0."),
    )
    return Sheet("tapes", row.label, "residue", COLUMNS, lines, how, row.text("care"))
