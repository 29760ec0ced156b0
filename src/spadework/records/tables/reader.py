"""The reader of small tables that people fill in: CSV in its usual ways, and XLSX, both to the same lines.

The first line that holds anything and does not begin with ``#`` names the columns.  Lines that begin with ``#`` are remarks.
An empty cell was not measured.  Every fault is found before any is told.
"""

from __future__ import annotations

import csv
import io
import re
import stat
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.records.tables.columns import Column, Value, WrongCell, clip, read_cell
from spadework.records.tables.workbooks import MOST_COLUMNS, MOST_LINES, is_locked_or_old, is_workbook, sheet_rows

__all__ = ["LINE_ENDS", "Line", "Table", "column_place", "file_content", "file_text", "read_table"]

_LARGEST_TEXT: Final = 1_000_000
_LARGEST_WORKBOOK: Final = 4_000_000
_LONGEST_CELL: Final = 1_000
_SAYS_MARK = re.compile(r"sep=.")  # a first line that some spreadsheets write
LINE_ENDS = re.compile(r"\r\n|\r|\n")
_Rows = list[tuple[int, list[str]]]


@dataclass(frozen=True)
class Line:
    """One line of a table.

    Attributes
    ----------
    number : int
        Line of the text file or row of the sheet, counted from 1.
    cells : Mapping
        Text of every cell by column, small letters; columns that nobody asked for included.
    values : Mapping
        What was read, by column; a column whose cell cannot be is not in it.
    """

    number: int
    cells: Mapping[str, str]
    values: Mapping[str, Value]


@dataclass(frozen=True)
class Table:
    """A table as it was read, and what is wrong with its cells.

    Attributes
    ----------
    file : str
        Name of the file.
    columns : tuple of str
        As the first line names them, small letters.
    lines : tuple of Line
        Those that hold anything, in order.
    faults : tuple of Fault
        Of the cells; the caller adds its own and raises them together.
    figures_left_out : tuple of int
        Numbers of remark lines that hold figures.
    head : tuple of str
        Columns as they are written, letters large and small.
    """

    file: str
    columns: tuple[str, ...]
    lines: tuple[Line, ...]
    faults: tuple[Fault, ...] = ()
    figures_left_out: tuple[int, ...] = field(default=())
    head: tuple[str, ...] = field(default=())


def read_table(
    path: Path,
    columns: Sequence[Column],
    *,
    sheet: str | None = None,
    others: bool = True,
    if_missing: Mapping[str, str] | None = None,
    most_lines: int = MOST_LINES,
) -> Table:
    """Read a table from a CSV file or an XLSX workbook.

    Parameters
    ----------
    path : Path
        The file; what it is shows in its content, not in its name.
    columns : sequence of Column
        What may stand in it.
    sheet : str, optional
        Sheet of a workbook; the first that is shown if left out.
    others : bool
        True where further columns are left alone; False where they are a fault.
    if_missing : Mapping, optional
        What to add, by column, where a needed one is not there.
    most_lines : int
        Lines that a CSV file may have; a sheet of a workbook never more than the usual.

    Returns
    -------
    Table
        Lines in order, with the faults of their cells.

    Raises
    ------
    PlanFaults
        If the file cannot be read, or its first line or a whole line is wrong.
    """
    rows, remarks = _rows(path, sheet, most_lines)
    known = {column.name: column for column in columns}
    needed = [column.name for column in columns if column.needed]
    if not rows:
        named = f" ({', '.join(needed)})" if needed else ""
        what = f"holds nothing; allowed: a line of columns{named} and figures"
        raise PlanFaults([Fault("", what)], path.name)
    at, head = rows[0]
    names = tuple(cell.strip().lower() for cell in head)
    while names and not names[-1]:
        names = names[:-1]
    faults = list(_head_faults(names, known, needed, at, others, if_missing or {}))
    if not faults and len(rows) == 1:
        faults.append(Fault("", "holds columns but no figures; allowed: one line or more under them", at))
    if faults:
        raise PlanFaults(faults, path.name)
    lines = []
    for number, cells in rows[1:]:
        filled = _fitted(cells, len(names))
        if filled is None:
            what = f"{len(cells)} cells, but {len(names)} columns; decimal commas need semicolons between the cells"
            faults.append(Fault("", what, number))
            continue
        by_name = {name: cell.strip() for name, cell in zip(names, filled, strict=True) if name}
        values: dict[str, Value] = {}
        for name in (one for one in names if one in known):
            try:
                values[name] = read_cell(by_name[name], known[name])
            except WrongCell as wrong:
                faults.append(Fault(column_place(name), str(wrong), number))
        lines.append(Line(number, by_name, values))
    figures = tuple(number for number, cells in remarks if number > at and any(_figure(cell) for cell in cells[1:]))
    written = tuple(cell.strip() for cell in head[: len(names)])
    return Table(path.name, names, tuple(lines), tuple(faults), figures, written)


def column_place(name: str) -> str:
    """Return how a message names a column."""
    return f"column {name}"


def _head_faults(
    names: tuple[str, ...],
    known: Mapping[str, Column],
    needed: Sequence[str],
    at: int,
    others: bool,
    if_missing: Mapping[str, str],
) -> Iterator[Fault]:
    if len(names) > MOST_COLUMNS:
        yield Fault("", f"has {len(names)} columns; allowed: up to {MOST_COLUMNS}", at)
        return
    for name in needed:
        if name not in names:
            what = f"is missing; the first line must name the columns {', '.join(needed)}{if_missing.get(name, '')}"
            yield Fault(column_place(name), what, at)
    for name in known:
        if names.count(name) > 1:
            yield Fault(column_place(name), "stands twice; allowed: once", at)
    for name in () if others else dict.fromkeys(names):
        if name and name not in known:
            there = nearest(name, known) or f"; allowed: {', '.join(known)}"
            yield Fault(column_place(clip(name)), f"is not known{there}", at)


def _fitted(cells: list[str], count: int) -> list[str] | None:
    """Return the cells of a line for so many columns; None where they do not fit."""
    if len(cells) > count and not any(cell.strip() for cell in cells[count:]):
        return cells[:count]
    return cells if len(cells) == count else None


def _figure(cell: str) -> bool:
    try:
        return read_cell(cell.strip(), Column("", "", "number")) is not None
    except WrongCell:
        return False


def _rows(path: Path, sheet: str | None, most_lines: int) -> tuple[_Rows, _Rows]:
    """Return the lines that hold anything, and those that are remarks, with their numbers."""
    data = file_content(path)
    if is_workbook(data) or is_locked_or_old(data):
        rows = sheet_rows(data, path.name, sheet)
        width = max((len(cells) for _, cells in rows), default=0)
        numbered = [(n, cells + [""] * (width - len(cells))) for n, cells in rows]
        body = [row for row in numbered if not row[1][0].startswith("#")]
        remarks = [row for row in numbered if row[1][0].startswith("#")]
    else:
        if sheet is not None:
            raise PlanFaults([Fault("--sheet", f'"{clip(sheet)}" is asked for, but this is no workbook')], path.name)
        body, remarks = _cut(file_text(data, path), path, most_lines)
    if len(body) > most_lines:
        raise PlanFaults([Fault("", f"has {len(body)} lines; allowed: up to {most_lines}")], path.name)
    long = [
        Fault("", f"a cell holds {len(cell)} characters; allowed: up to {_LONGEST_CELL}", number)
        for number, cells in body
        for cell in cells
        if len(cell) > _LONGEST_CELL
    ]
    if long:
        raise PlanFaults(long, path.name)
    return body, remarks


def _cut(text: str, path: Path, most_lines: int) -> tuple[_Rows, _Rows]:
    """Return lines and remarks of a text, cut at semicolons, else tabs, else commas."""
    numbered = [(n, line) for n, line in enumerate(LINE_ENDS.split(text), 1) if line.strip(' \t;,"')]
    if numbered and _SAYS_MARK.fullmatch(numbered[0][1].strip('"')):
        numbered = numbered[1:]
    body = [(n, line) for n, line in numbered if not line.lstrip(' "').startswith("#")]
    if not body:
        return [], []
    if len(body) > most_lines:
        raise PlanFaults([Fault("", f"has {len(body)} lines; allowed: up to {most_lines}")], path.name)
    mark = next((m for m in ";\t" if m in body[0][1]), ",")
    remarks = [(n, line.split(mark)[: MOST_COLUMNS + 1]) for n, line in numbered if line.lstrip(' "').startswith("#")]
    rows, faults = [], []
    for number, line in body:
        try:
            rows.append((number, next(csv.reader(io.StringIO(line), delimiter=mark, strict=True))))
        except csv.Error as error:
            faults.append(Fault("", f"cannot be cut into cells ({error})", number))
    if faults:
        raise PlanFaults(faults, path.name)
    return rows, remarks


def file_content(path: Path) -> bytes:
    """Return what a file holds, or tell why it cannot be read."""
    try:
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):
            what = "is no file that holds text or a sheet; name a CSV or XLSX file"
        elif about.st_size > _LARGEST_WORKBOOK:
            what = f"is too large; allowed: up to {_LARGEST_WORKBOOK // 1000} kB"
        else:
            return path.read_bytes()
    except FileNotFoundError:
        what = "there is no such file; --template writes one to fill in"
    except (OSError, ValueError) as error:
        what = f"cannot be read ({getattr(error, 'strerror', None) or error})"
    raise PlanFaults([Fault("", what)], clip(str(path)))


def file_text(data: bytes, path: Path) -> str:
    """Return the text of a file, or tell why it is none."""
    try:
        if len(data) > _LARGEST_TEXT:
            what = f"is too large; allowed: up to {_LARGEST_TEXT // 1000} kB"
        else:
            return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        what = "is not UTF-8 text; save it as CSV in UTF-8, or as XLSX"
    raise PlanFaults([Fault("", what)], path.name)
