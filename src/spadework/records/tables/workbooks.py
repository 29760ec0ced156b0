"""Sheets of XLSX workbooks as rows of text, with what a sheet can hide brought to light.

A workbook is unpacked within limits first, and only the parts that hold cells are handed to the reader.  Cells that hold an
error, or a formula that was never worked out, would otherwise pass for empty.
"""

from __future__ import annotations

import datetime as dt
import io
import posixpath
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final
from xml.etree import ElementTree as ET

from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.records.tables.columns import clip

__all__ = ["LARGEST_UNPACKED", "MOST_COLUMNS", "MOST_LINES", "is_locked_or_old", "is_workbook", "sheet_rows"]

LARGEST_UNPACKED: Final = 20_000_000
"""Bytes that a workbook may unpack to."""
MOST_LINES: Final = 2_000
MOST_COLUMNS: Final = 60
_MOST_PARTS: Final = 200
_CELL = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
_OLD = b"\xd0\xcf\x11\xe0"
_BROKEN: Final = "is damaged or no XLSX workbook; open it, save it again as XLSX or CSV"
_LOCKED: Final = "is locked with a password, or in an older form; save it as XLSX or CSV without a password"


@dataclass(frozen=True)
class _Parts:
    """The parts of a workbook that hold cells; sheets as (name, part, shown)."""

    content: dict[str, bytes]
    sheets: tuple[tuple[str, str, bool], ...]


def is_workbook(start: bytes) -> bool:
    """Tell whether a file that begins so is packed as a workbook is."""
    return start[:2] == b"PK"


def is_locked_or_old(start: bytes) -> bool:
    """Tell whether a file that begins so is a locked workbook, or one of an older form."""
    return start[:4] == _OLD


def sheet_rows(data: bytes, name: str, sheet: str | None = None) -> list[tuple[int, list[str]]]:
    """Return the rows of a sheet that hold anything, with their numbers, as text.

    Parameters
    ----------
    data : bytes
        The workbook.
    name : str
        Of its file, for messages.
    sheet : str, optional
        Name of the sheet; the first that is shown if left out.

    Returns
    -------
    list of (int, list of str)
        Number of the row, counted from 1, and its cells.  Numbers are written with a decimal point, dates as
        ``2026-04-05``, ticks as ``yes`` or ``no``.  Formulas give what they were worked out to.

    Raises
    ------
    PlanFaults
        If the workbook is locked, damaged or too large, has no such sheet, or holds cells that are merged, in error or
        never worked out.
    """
    from python_calamine import CalamineError, CalamineWorkbook

    if is_locked_or_old(data):
        raise _stop(name, _LOCKED)
    parts = _unpacked(data, name)
    title, part = _chosen(parts, name, sheet)
    faults = list(_looked_over(parts.content[part], name))
    try:
        with CalamineWorkbook.from_filelike(_packed(parts.content)) as book:
            found = book.get_sheet_by_name(title)
            faults += _merged(found.merged_cell_ranges or ())
            rows = found.to_python(skip_empty_area=False)
    except CalamineError:
        raise _stop(name, _BROKEN) from None
    if faults:
        raise PlanFaults(faults, name)
    said = ([_said(cell) for cell in row] for row in rows)
    return [(number, cells) for number, cells in enumerate(said, 1) if any(cells)]


def _said(cell: Any) -> str:
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        short = f"{cell:.15g}"
        return short if "e" not in short else f"{cell:.20f}".rstrip("0").rstrip(".")
    if isinstance(cell, dt.date | dt.time):
        return cell.isoformat()
    return " ".join(str(cell).split())


def _unpacked(data: bytes, name: str) -> _Parts:
    content: dict[str, bytes] = {}
    left = LARGEST_UNPACKED
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if len(packed.infolist()) > _MOST_PARTS:
                raise _stop(name, f"has more than {_MOST_PARTS} parts; copy the sheet alone into a new workbook")
            for info in packed.infolist():
                if not _holds_cells(info.filename):
                    continue
                if info.flag_bits & 1:
                    raise _stop(name, _LOCKED)
                if info.filename in content:
                    raise _stop(name, _BROKEN)
                with packed.open(info) as part:
                    content[info.filename] = part.read(left + 1)
                left -= len(content[info.filename])
                if left < 0:
                    raise _stop(name, f"unpacks to more than {LARGEST_UNPACKED // 1_000_000} MB; copy the table alone")
        if any(b"<!DOCTYPE" in part or part[:2] in (b"\xff\xfe", b"\xfe\xff") for part in content.values()):
            raise _stop(name, _BROKEN)
        return _Parts(content, tuple(_sheets(content)))
    except PlanFaults:
        raise
    except (zipfile.BadZipFile, zlib.error, LookupError, ValueError, EOFError, NotImplementedError, ET.ParseError):
        raise _stop(name, _BROKEN) from None


def _holds_cells(part: str) -> bool:
    if part in ("[Content_Types].xml", "_rels/.rels"):
        return True
    inside = part.startswith("xl/") and part.endswith((".xml", ".rels"))
    return inside and not part.startswith(("xl/media/", "xl/drawings/", "xl/charts/", "xl/theme/"))


def _sheets(content: dict[str, bytes]) -> Iterator[tuple[str, str, bool]]:
    links = {
        link.get("Id"): posixpath.normpath(posixpath.join("/xl", link.get("Target", "")))[1:]
        for link in _tree(content["xl/_rels/workbook.xml.rels"])
    }
    for one in _tree(content["xl/workbook.xml"]).iter():
        if _plain(one.tag) == "sheet":
            ident = next((value for key, value in one.attrib.items() if _plain(key) == "id"), None)
            part = links.get(ident, "")
            if part in content and "worksheets" in part:
                yield one.get("name", ""), part, one.get("state", "visible") == "visible"


def _tree(part: bytes) -> ET.Element:
    return ET.fromstring(part)  # noqa: S314 (parts that declare entities are turned away)


def _plain(tag: str) -> str:
    return tag.rpartition("}")[2]


def _chosen(parts: _Parts, name: str, sheet: str | None) -> tuple[str, str]:
    names = [title for title, _, _ in parts.sheets]
    if sheet is not None:
        found = next(((title, part) for title, part, _ in parts.sheets if title.lower() == sheet.strip().lower()), None)
        if found is None:
            there = nearest(sheet, names) or "; there are: " + ", ".join(clip(one) for one in names)
            raise _stop(name, f'has no sheet called "{clip(sheet)}"{there}')
        return found
    shown = [(title, part) for title, part, seen in parts.sheets if seen]
    if not shown:
        raise _stop(name, "has no sheet that is shown; name the one that is meant")
    return shown[0]


def _looked_over(part: bytes, name: str) -> Iterator[Fault]:
    """Hold a sheet to its limits before it is laid out, and find cells that would pass for empty."""
    row = column = 0
    cells: list[tuple[int, int, str]] = []
    try:
        for event, one in ET.iterparse(io.BytesIO(part), ("start", "end")):  # noqa: S314 (as above)
            tag = _plain(one.tag)
            if event == "start" and tag == "row":
                row, column = int(one.get("r") or row + 1), 0
            elif event == "start" and tag == "c":
                place = _CELL.fullmatch(one.get("r") or "")
                row, column = (int(place[2]), _column(place[1])) if place else (row, column + 1)
            elif event == "end" and tag == "c":
                if len(one) and not (1 <= row <= MOST_LINES and column <= MOST_COLUMNS):
                    what = f"reaches to row {row}, column {column}; allowed: up to {MOST_LINES} rows and "
                    raise _stop(name, f"{what}{MOST_COLUMNS} columns")
                cells += [(row, column, what) for what in _pretends(one)]
                one.clear()
            elif event == "end" and tag == "row":
                one.clear()
    except (ET.ParseError, ValueError, LookupError) as error:
        if isinstance(error, PlanFaults):
            raise
        raise _stop(name, _BROKEN) from None
    for at, place_in_row, what in cells:
        yield Fault(f"cell {_letters(place_in_row)}{at}", what, at)


def _pretends(cell: ET.Element) -> Iterator[str]:
    inside = {_plain(one.tag): one.text or "" for one in cell}
    if cell.get("t") == "e":
        yield f"holds an error ({clip(inside.get('v', ''))}); mend it or empty the cell"
    elif "f" in inside and not inside.get("v") and cell.get("t") != "str":
        yield "holds a formula that was never worked out; open the file, let it calculate, save it, or write the number"


def _merged(ranges: Any) -> list[Fault]:
    faults = []
    for (top, left), (bottom, right) in ranges:
        place = f"cells {_letters(left + 1)}{top + 1} to {_letters(right + 1)}{bottom + 1}"
        faults.append(
            Fault(place, "are merged, so that one value stands for several; split them and fill each", top + 1)
        )
    return faults


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


def _letters(number: int) -> str:
    text = ""
    while number > 0:
        number, rest = divmod(number - 1, 26)
        text = chr(65 + rest) + text
    return text


def _packed(content: dict[str, bytes]) -> io.BytesIO:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for part, data in content.items():
            packed.writestr(part, data)
    out.seek(0)
    return out


def _stop(name: str, what: str) -> PlanFaults:
    return PlanFaults([Fault("", what)], name)
