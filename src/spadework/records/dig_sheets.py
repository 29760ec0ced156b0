"""Digs across the row: the columns that are written down of each, and empty tables to fill in.

One definition serves the reader, the CSV file, the workbook and the paper sheet.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from spadework.ranges import require
from spadework.records.columns import Allowed, Column
from spadework.reference import load

__all__ = ["HOW", "NO_BAND", "Prepared", "csv_template", "dig_columns", "prepared", "xlsx_template"]

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

_HEAD: Final = "# units"
_SPARE_LINES: Final = 100


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


def csv_template(rows: int, per_unit: int = 3) -> str:
    """Return a table of digs to fill in, as CSV with semicolons; units stand in a remark line under the columns.

    Examples
    --------
    >>> print(csv_template(2, 1).splitlines()[-1])
    2;;;2;;;;;;;;;;;;;
    """
    columns = dig_columns(rows)
    lines = [[column.name for column in columns], [_HEAD, *(column.unit for column in columns[1:])]]
    for one in prepared(rows, per_unit):
        begun = {"dig": str(one.dig), "unit": str(one.unit)}
        lines.append([begun.get(column.name, "") for column in columns])
    return "\n".join(";".join(line) for line in lines) + "\n"


def xlsx_template(rows: int, per_unit: int = 3) -> bytes:
    """Return a table of digs to fill in, as an XLSX workbook.

    The first sheet has the columns of the CSV file, held to their words and ranges while they are filled in; the second
    says how digs are made.
    """
    import xlsxwriter  # type: ignore[import-untyped]

    out = io.BytesIO()
    plain = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(out, plain) as book:
        book.set_properties({"title": "Digs across the row"})
        _digs_sheet(book, rows, per_unit)
        _how_sheet(book, rows)
    return out.getvalue()


def _digs_sheet(book: Any, rows: int, per_unit: int) -> None:
    sheet = book.add_worksheet("digs")
    head = book.add_format({"bold": True, "bottom": 2, "bg_color": "#E6E1D8"})
    quiet = book.add_format({"italic": True, "bottom": 1, "font_color": "#444444"})
    begun = book.add_format({"bg_color": "#F4F2EE", "border": 4})
    fill = book.add_format({"border": 4})
    columns, digs = dig_columns(rows), prepared(rows, per_unit)
    last = len(digs) + 1 + _SPARE_LINES
    for place, column in enumerate(columns):
        sheet.set_column(place, place, 34 if column.name == "note" else max(8, len(column.name) + 2))
        sheet.write_string(0, place, column.name, head)
        sheet.write_comment(0, place, _comment(column), {"x_scale": 1.6, "y_scale": 1.1, "author": ""})
        sheet.write_string(1, place, _HEAD if place == 0 else column.unit, quiet)
        _hold(sheet, column, place, last)
        for line, one in enumerate(digs, 2):
            value = {"dig": one.dig, "unit": one.unit}.get(column.name)
            if value is None:
                sheet.write_blank(line, place, None, fill)
            else:
                sheet.write_number(line, place, value, begun)
    sheet.freeze_panes(2, 1)
    sheet.set_landscape()
    sheet.set_paper(9)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0, 1)


def _comment(column: Column) -> str:
    text = f"{column.meaning}. Allowed: {column.allowed}"
    return f"{text}. Usual: {column.soft} {column.unit}".rstrip() if column.soft is not None else text


def _hold(sheet: Any, column: Column, place: int, last: int) -> None:
    """Let a column take what it may hold, and say what that is."""
    rule: dict[str, Any] = {
        "ignore_blank": True,
        "input_title": column.name[:32],
        "input_message": _comment(column)[:255],
        "error_title": column.name[:32],
        "error_message": f"Allowed: {column.allowed}"[:255],
    }
    if column.kind == "word":
        rule |= {"validate": "list", "source": list(column.words)}
    elif column.kind == "text" or column.hard is None:
        rule |= {"validate": "length", "criteria": "<=", "value": column.longest}
    elif column.words:
        cell = f"{_letter(place)}3"
        within = f"AND(ISNUMBER({cell}),{cell}>={column.hard.low:g},{cell}<={column.hard.high:g})"
        said = ",".join(f'LOWER({cell})="{word}"' for word in column.words)
        rule |= {"validate": "custom", "value": f"=OR({within},{said})"}
    else:
        kind = "integer" if column.kind == "whole" else "decimal"
        between = {"criteria": "between", "minimum": column.hard.low, "maximum": column.hard.high}
        rule |= {"validate": kind, **between}
    sheet.data_validation(2, place, last, place, rule)


def _letter(place: int) -> str:
    return chr(65 + place)


def _how_sheet(book: Any, rows: int) -> None:
    sheet = book.add_worksheet("how")
    bold = book.add_format({"bold": True, "valign": "top"})
    wrap = book.add_format({"text_wrap": True, "valign": "top"})
    sheet.set_column(0, 0, 16)
    sheet.set_column(1, 1, 60)
    sheet.set_column(2, 3, 24)
    line = 0
    for title, text in HOW:
        sheet.write_string(line, 0, title, bold)
        sheet.merge_range(line, 1, line, 3, "", wrap)
        sheet.write_string(line, 1, text, wrap)
        sheet.set_row(line, 15 * (1 + len(text) // 95))
        line += 1
    line += 1
    for place, title in enumerate(("column", "what it holds", "allowed", "usual")):
        sheet.write_string(line, place, title, bold)
    for column in dig_columns(rows):
        line += 1
        soft = "" if column.soft is None else f"{column.soft} {column.unit}".rstrip()
        for place, text in enumerate((column.name, column.meaning, column.allowed, soft)):
            sheet.write_string(line, place, text, wrap)
    sheet.set_landscape()
    sheet.set_paper(9)
    sheet.fit_to_pages(1, 0)
