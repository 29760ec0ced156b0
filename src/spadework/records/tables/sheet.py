"""Sheets to take to the field: columns, prepared lines and how to measure, as CSV and as a workbook that holds its cells.

A sheet has the columns of the data file, whatever form it takes; its paper form stands in ``present``.  Nothing that a person
wrote into the plan goes into its cells, so nothing there can be taken for a formula.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from spadework.records.tables.columns import Column

__all__ = ["Sheet", "SheetLine", "csv_text", "xlsx_book"]

_UNITS: Final = "# units"
_SPARE_LINES: Final = 100
_NARROW, _WIDE = 8, 34
_LESS: Final = "below detection"
"""Word beside which a figure such as < 0.5 may stand: the least that can be found."""
_WORKBOOK: Final = {
    "in_memory": True,
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}


@dataclass(frozen=True)
class SheetLine:
    """A line that is ready to be filled in.

    Attributes
    ----------
    given : Mapping
        What stands in it already, by column.
    idle : frozenset of str
        Columns that nobody needs to fill in on this line; they can be all the same.
    mark : str
        Mark of its plot or load on this sheet; empty where it has none.
    sample_mark : str
        Mark of the bag or bottle that belongs to it; empty where there is none.
    under : str
        What is printed small under the plot.
    """

    given: Mapping[str, str | int]
    idle: frozenset[str] = frozenset()
    mark: str = ""
    sample_mark: str = ""
    under: str = ""


@dataclass(frozen=True)
class Sheet:
    """A sheet to fill in.

    Attributes
    ----------
    key : str
        What its files are called.
    title : str
        What it is for.
    tab : str
        Name of the sheet in a workbook: what its readings belong to.
    columns : tuple of Column
        In order.
    lines : tuple of SheetLine
        In order.
    how : tuple of (str, str)
        How it is filled in: title and text.
    care : str
        What to beware of: a word of the column ``care`` of the table ``sheets``.
    units_under : bool
        True where the units stand in a remark line under the columns; False where they stand in the names.
    """

    key: str
    title: str
    tab: str
    columns: tuple[Column, ...]
    lines: tuple[SheetLine, ...]
    how: tuple[tuple[str, str], ...]
    care: str = ""
    units_under: bool = True

    @property
    def heads(self) -> int:
        """Lines above the first that is filled in."""
        return 2 if self.units_under else 1


def csv_text(sheet: Sheet) -> str:
    """Return a sheet as CSV with semicolons; units stand in a remark line under the columns.

    Examples
    --------
    >>> one = Sheet("x", "X", "x", (Column("plot", "plot", "text"), Column("top_cm", "top", "number", "cm")),
    ...             (SheetLine({"plot": 101}),), ())
    >>> csv_text(one).splitlines()
    ['plot;top_cm', '# units;cm', '101;']
    """
    lines = [[column.name for column in sheet.columns]]
    lines += [_units(sheet.columns)] if sheet.units_under else []
    lines += [[str(line.given.get(column.name, "")) for column in sheet.columns] for line in sheet.lines]
    return "\n".join(";".join(line) for line in lines) + "\n"


def xlsx_book(sheet: Sheet) -> bytes:
    """Return a sheet as an XLSX workbook.

    The first sheet of the workbook has the columns of the CSV file, held to their words and ranges while they are filled
    in; the second says how it is filled in.
    """
    import xlsxwriter

    out = io.BytesIO()
    with xlsxwriter.Workbook(out, _WORKBOOK) as book:
        book.set_properties({"title": sheet.title})
        _table(book, sheet)
        _how(book, sheet)
    return out.getvalue()


def _units(columns: Sequence[Column]) -> list[str]:
    return [_UNITS, *(column.unit for column in columns[1:])]


def _table(book: Any, sheet: Sheet) -> None:
    tab = book.add_worksheet(sheet.tab)
    head = book.add_format({"bold": True, "bottom": 2, "bg_color": "#E6E1D8"})
    quiet = book.add_format({"italic": True, "bottom": 1, "font_color": "#444444"})
    begun = book.add_format({"bg_color": "#F4F2EE", "border": 4})
    idle = book.add_format({"pattern": 17, "fg_color": "#CFC9BE", "border": 4})
    fill = book.add_format({"border": 4})
    text = book.add_format({"border": 4, "num_format": 49})  # so that 1-2 or a time stays as it was typed
    rows = (sheet.heads, sheet.heads + len(sheet.lines) + _SPARE_LINES - 1)
    for place, column in enumerate(sheet.columns):
        empty = text if column.kind == "text" else fill
        tab.set_column(place, place, _WIDE if column.name == "note" else max(_NARROW, len(column.name) + 2))
        tab.write_string(0, place, column.name, head)
        tab.write_comment(0, place, _comment(column), {"x_scale": 1.6, "y_scale": 1.1, "author": ""})
        _hold(tab, column, place, rows)
        for number in range(sheet.heads + len(sheet.lines), rows[1] + 1) if column.kind == "text" else ():
            tab.write_blank(number, place, None, text)
        for number, line in enumerate(sheet.lines, sheet.heads):
            value = line.given.get(column.name)
            if value is None:
                tab.write_blank(number, place, None, idle if column.name in line.idle else empty)
            elif isinstance(value, int):
                tab.write_number(number, place, value, begun)
            else:
                tab.write_string(number, place, value, begun)
    for place, unit in enumerate(_units(sheet.columns) if sheet.units_under else ()):
        tab.write_string(1, place, unit, quiet)
    tab.freeze_panes(sheet.heads, 1)
    tab.set_landscape()
    tab.set_paper(9)
    tab.fit_to_pages(1, 0)
    tab.repeat_rows(0, sheet.heads - 1)


def _comment(column: Column) -> str:
    text = f"{column.meaning}. Allowed: {column.allowed}"
    return f"{text}. Usual: {column.soft} {column.unit}".rstrip() if column.soft is not None else text


def _hold(tab: Any, column: Column, place: int, rows: tuple[int, int]) -> None:
    """Let a column take what it may hold, and say what that is."""
    from xlsxwriter.utility import xl_rowcol_to_cell

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
        cell = xl_rowcol_to_cell(rows[0], place)
        more = ">" if column.hard.above else ">="
        within = f"AND(ISNUMBER({cell}),{cell}{more}{column.hard.low:g},{cell}<={column.hard.high:g})"
        said = ",".join(f'LOWER({cell})="{word}"' for word in column.words)
        said += f',LEFT({cell},1)="<"' if _LESS in column.words else ""
        rule |= {"validate": "custom", "value": f"=OR({within},{said})"}
    else:
        kind = "integer" if column.kind == "whole" else "decimal"
        between = {"criteria": "between", "minimum": column.hard.low, "maximum": column.hard.high}
        rule |= {"validate": kind, **between}
    tab.data_validation(rows[0], place, rows[1], place, rule)


def _how(book: Any, sheet: Sheet) -> None:
    tab = book.add_worksheet("how")
    bold = book.add_format({"bold": True, "valign": "top"})
    wrap = book.add_format({"text_wrap": True, "valign": "top"})
    tab.set_column(0, 0, 24)
    tab.set_column(1, 1, 60)
    tab.set_column(2, 3, 24)
    line = 0
    for title, text in sheet.how:
        tab.write_string(line, 0, title, bold)
        tab.merge_range(line, 1, line, 3, "", wrap)
        tab.write_string(line, 1, text, wrap)
        tab.set_row(line, 15 * (1 + len(text) // 95))
        line += 1
    line += 1
    for place, title in enumerate(("column", "what it holds", "allowed", "usual")):
        tab.write_string(line, place, title, bold)
    for column in sheet.columns:
        line += 1
        soft = "" if column.soft is None else f"{column.soft} {column.unit}".rstrip()
        for place, text in enumerate((column.name, column.meaning, column.allowed, soft)):
            tab.write_string(line, place, text, wrap)
    tab.set_landscape()
    tab.set_paper(9)
    tab.fit_to_pages(1, 0)
