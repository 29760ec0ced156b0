"""Digs across the row: the columns that are written down of each, and empty tables to fill in.

One definition serves the reader, the CSV file, the workbook and the paper sheet.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from spadework.ranges import require
from spadework.records.tables.columns import Allowed, Column
from spadework.records.tables.sheet import Sheet, SheetLine, csv_text, xlsx_book
from spadework.reference import load

__all__ = ["HOW", "NO_BAND", "Prepared", "csv_template", "dig_columns", "dig_sheet", "prepared", "xlsx_template"]

NO_BAND: Final = "none"
"""What stands for the top of the band where none was found."""

HOW: Final[tuple[tuple[str, str], ...]] = (
    (
        "When",
        "After the planter, on the day. A second round straight after the tine tells how the tine is to be set.",
    ),
    (
        "Where",
        "Every row unit, in at least two passes: one on the way out, one on the way back, and one where a wheel ran. "
        "Choose the places before you look at the ground.",
    ),
    (
        "Which unit",
        "Count the units on the machine from the left, seen forwards. In the field count the rows from the left as seen "
        "on the way out, write that into row, and write the direction: on the way back the machine is turned round.",
    ),
    (
        "Measured from",
        "Lay a board along the row on the track that the press wheel left and measure down from its lower edge. Where "
        "that cannot be, say so: crest is the top of the fresh berm, undisturbed the ground beside the loosened strip.",
    ),
    (
        "The face",
        "Open a clean face across the row, wider than the band, and read it within an hour: slurry soaks away. "
        "Read to half a centimetre.",
    ),
    (
        "Seed",
        "From the board down to the seed itself. After emergence dig out the plant instead, and note that you did.",
    ),
    (
        "Band",
        "Its top, its bottom, its width at the widest, and how far its middle lies beside the seed: right of the row as "
        "seen in the direction in which the machine drove is plus, left is minus.",
    ),
    (
        "No band",
        "Write none for the top. An empty cell means that nobody measured.",
    ),
    (
        "Surface",
        "Share of the row's length with slurry showing, in percent; look along 10 m.",
    ),
    (
        "Setting",
        "1 until something on the machine is changed, then 2, and so on.",
    ),
)
"""How digs are made and measured, in the order of the work: title and text."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """A dig that a sheet has ready to be filled in: its number, and the row unit that it is to be made at."""

    dig: int
    unit: int


@cache
def dig_columns(rows: int | None = None) -> tuple[Column, ...]:
    """Return the columns of a table of digs, in order.

    Parameters
    ----------
    rows : int, optional
        Row units of the machine; left out: as many as any may have.

    Examples
    --------
    >>> [column.name for column in dig_columns(8)][:5]
    ['dig', 'plot', 'pass', 'unit', 'row']
    >>> dig_columns(8)[3].allowed
    '1 to 8, whole'
    """
    units = Allowed(1, 99 if rows is None else rows)
    return (
        Column("dig", "number or name of the dig, each once", "text", needed=True, filled=True),
        Column("plot", "plot, as on its peg", "text"),
        Column("pass", "number of the pass over the field", "text"),
        Column(
            "unit", "row unit, counted on the machine from the left, seen forwards; or give row", "whole", hard=units
        ),
        Column("row", "row of the pass, counted from the left as seen on the way out", "whole", hard=units),
        Column("direction", "way in which the machine drove; needed with row", "word", words=("out", "back")),
        Column("place", "body of the field or headland", "word", words=("body", "headland")),
        Column("wheel", "whether a wheel of tractor or machine ran before this row", "word", words=("yes", "no")),
        _number("setting", "number of the setting of the machine; 1 if empty", "whole"),
        Column(
            "measured_from",
            "surface that depths are measured from; press-wheel track if empty",
            "word",
            words=("track", "crest", "undisturbed"),
        ),
        _number("seed_cm", "depth of the seed", needed=True),
        _number("top_cm", "depth of the top of the band; none where no band was found", words=(NO_BAND,), needed=True),
        _number("bottom_cm", "depth of the bottom of the band"),
        _number("width_cm", "width of the band at its widest"),
        _number("offset_cm", "middle of the band beside the seed row; plus is right, seen forwards"),
        _number("surface_pct", "share of the row's length with slurry on the surface"),
        Column("note", "anything else", "text", longest=200),
    )


def _number(name: str, meaning: str, kind: Any = "number", words: tuple[str, ...] = (), needed: bool = False) -> Column:
    row = load("dig_limits")[name]
    ends = {end: row.entry(end).value for end in ("usual_from", "usual_to", "least", "most")}
    unit = row.text("unit")
    return Column(
        name,
        meaning,
        kind,
        "" if unit == "1" else unit,
        Allowed(ends["least"], ends["most"]),
        Allowed(ends["usual_from"], ends["usual_to"]),
        words,
        needed,
    )


def prepared(rows: int, per_unit: int) -> tuple[Prepared, ...]:
    """Return the digs of a sheet: every row unit in turn, so many times.

    Parameters
    ----------
    rows : int
        Row units of the machine, 1 to 99.
    per_unit : int
        Digs at each, 1 to 20.

    Raises
    ------
    ImpossibleValue
        If either is outside its range.

    Examples
    --------
    >>> [(one.dig, one.unit) for one in prepared(2, 2)]
    [(1, 1), (2, 2), (3, 1), (4, 2)]
    """
    require("rows", rows, 1, 99, "")
    require("per_unit", per_unit, 1, 20, "")
    return tuple(Prepared(time * rows + unit, unit) for time in range(per_unit) for unit in range(1, rows + 1))


def dig_sheet(rows: int, per_unit: int = 3) -> Sheet:
    """Return the sheet of a machine: every row unit in turn, so many times.

    Examples
    --------
    >>> [dict(line.given) for line in dig_sheet(2, 1).lines]
    [{'dig': 1, 'unit': 1}, {'dig': 2, 'unit': 2}]
    """
    lines = tuple(SheetLine({"dig": one.dig, "unit": one.unit}) for one in prepared(rows, per_unit))
    return Sheet("digs", "Digs across the row", "digs", dig_columns(rows), lines, HOW, "dig")


def csv_template(rows: int, per_unit: int = 3) -> str:
    """Return a table of digs to fill in, as CSV with semicolons; units stand in a remark line under the columns.

    Examples
    --------
    >>> print(csv_template(2, 1).splitlines()[-1])
    2;;;2;;;;;;;;;;;;;
    """
    return csv_text(dig_sheet(rows, per_unit))


def xlsx_template(rows: int, per_unit: int = 3) -> bytes:
    """Return a table of digs to fill in, as an XLSX workbook with a second sheet that says how digs are made."""
    return xlsx_book(dig_sheet(rows, per_unit))
