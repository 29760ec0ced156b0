"""Paper sheets: how to measure, what to beware of, and large boxes to write into outdoors, as PDF."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any, Final

from spadework import __version__
from spadework.present.cautions import CAUTIONS, DEFER
from spadework.present.document.small_prints import typeset
from spadework.present.sheets.codes import code_svg
from spadework.records.tables.columns import Column
from spadework.records.tables.sheet import Sheet, SheetLine

__all__ = ["care_for", "sheet_pdf", "under_column", "widths_mm"]

_ONCE: Final = ("person", "instrument")
"""Columns that hold for a whole page; they are written once above it."""
_PAGE_MM: Final = 275.0
_MM: Final = {"plot": 40.0, "place": 24.0, "sample": 15.0, "time": 18.0, "limit": 15.0, "note": 34.0}
"""Widths of what is not a figure; what a page has left over goes to the note."""
_LEAST_LETTERS: Final = 9
_MARGIN_LETTERS: Final = 2
_WIDEST_FIGURE_MM: Final = 45.0
_ROOM_MM: Final = 146.0
_HIGHEST_BOX_MM: Final = 17.0
_MOST_ON_A_PAGE: Final = 12
_MOST_OF_ONE: Final = 9
_MOST_OF_MANY: Final = 16
_MANY: Final = 9
"""Readings in one place from which more of them stand on a page."""
_ALONE, _SHAFTS, _HOSES, _LINES, _GAS, _ROAD = (
    "Alone in the field",
    "Turning shafts and moving parts",
    "Hoses under pressure",
    "Overhead lines",
    "Gas when slurry is stirred",
    "On the road",
)
_CARE: Final = {
    "gas": (_GAS, _SHAFTS),
    "machine": (_SHAFTS, _HOSES, _LINES),
    "dig": (_SHAFTS, _ALONE),
    "ground": (_ALONE,),
    "road": (_ROAD, _ALONE),
}
_OWN_CARE: Final = {
    "gas": (("Bottles", "three quarters full, lid loose until cold: gas bursts a full one. Goggles and gloves."),),
    "dig": (
        (
            "The face",
            "fresh slurry gives off gas: keep your head out of the hole. Fill it in again, so that nobody and no wheel falls in.",
        ),
    ),
    "ground": (
        ("Back and hands", "auger and cone are heavy: two people, legs rather than back. Gloves; wash before eating."),
        ("Below ground", "ask about cables, drains and pipes before anything goes deeper than the plough."),
    ),
}


def sheet_pdf(sheet: Sheet, *, about: str = "", invented: bool = False) -> bytes:
    """Return a sheet to fill in by hand, as PDF of A4 pages.

    The first page says when and how to measure and what to beware of.  Then come the boxes, with the plot, a code that a
    telephone reads and the mark that it stands for.

    Parameters
    ----------
    sheet : Sheet
        The sheet.
    about : str
        What stands at the top of each page, such as the name of the field.
    invented : bool
        True where the plan is made up; the sheet then says so.

    Raises
    ------
    PrintFault
        If the typesetter warns of anything.
    """
    inside = [column for column in sheet.columns if column.name not in _ONCE]
    if all("place" not in line.given for line in sheet.lines):
        inside = [column for column in inside if column.name not in ("place",)]
    if all("sample" not in line.given for line in sheet.lines):
        inside = [column for column in inside if column.name not in ("sample",)]
    words = {
        "title": sheet.title,
        "machine": about,
        "invented": "INVENTED. The plan behind this sheet is made up to show the tool." if invented else "",
        "footer": f"{'INVENTED · ' if invented else ''}spadework {__version__} · {sheet.key}",
        "how_title": "In this order",
        "how": [list(one) for one in sheet.how],
        "care_title": "Take care",
        "care": care_for(sheet.care),
        "defer": DEFER,
        "drawing": None,
        "explained_head": ["column", "what it holds", "usual"],
        "explained": [[column.name, column.meaning, under_column(column)] for column in sheet.columns],
        "date": "date",
        "who": "person",
        "once": [{"name": column.name, "words": []} for column in sheet.columns if column.name == "instrument"],
        "widths": list(widths_mm(inside).values()),
        "columns": [{"name": column.name, "under": under_column(column)} for column in inside],
        "pages": list(_pages(sheet, inside)),
        "foot": (
            "Leave empty what was not measured. The range under a column is the usual one: write down what you see, inside it "
            "or not. Date, person and instrument stand above and go into every line of the file; time: the hour. "
            "Grey boxes need nothing."
        ),
    }
    return typeset("sheet.typ", {"sheet.json": json.dumps(words, ensure_ascii=False)})


def care_for(word: str) -> list[list[str]]:
    """Return cautions as title and text for a kind of work, the general ones of the prints among them.

    Examples
    --------
    >>> [title for title, _ in care_for("gas")]
    ['Bottles', 'Gas when slurry is stirred', 'Turning shafts and moving parts']
    """
    known = {caution.title: caution.text for caution in CAUTIONS}
    own = [list(one) for one in _OWN_CARE.get(word, ())]
    return own + [[title, known[title]] for title in _CARE[word]]


def widths_mm(columns: Sequence[Column]) -> dict[str, float]:
    """Return how wide the columns of a page are [mm]: figures after the length of their names, none of them narrow.

    Examples
    --------
    >>> from spadework.records.kinds import columns_of
    >>> {name: round(width) for name, width in widths_mm(columns_of("dose")[:5]).items()}
    {'plot': 40, 'place': 24, 'sample': 15, 'rate_m3_ha': 45, 'outlet_cv_pct': 45}
    """
    fixed = {column.name: _MM[column.name] for column in columns if column.name in _MM}
    letters = {
        column.name: max(_LEAST_LETTERS, len(column.name) + _MARGIN_LETTERS)
        for column in columns
        if column.name not in _MM
    }
    share = (_PAGE_MM - sum(fixed.values())) / sum(letters.values())
    figures = {name: min(share * count, _WIDEST_FIGURE_MM) for name, count in letters.items()}
    if "note" in fixed:
        fixed["note"] += _PAGE_MM - sum(fixed.values()) - sum(figures.values())
    wide = fixed | figures
    return {column.name: wide[column.name] for column in columns}


def under_column(column: Column) -> str:
    """Return what is printed under the name of a column: its usual range with the unit, or the unit alone."""
    return f"{column.soft} {column.unit}".rstrip() if column.soft is not None else column.unit


def _pages(sheet: Sheet, columns: Sequence[Column]) -> Iterator[dict[str, Any]]:
    """Lay the lines on pages of like length; what is of one plot stays together where it can."""
    groups = [list(lines) for _, lines in groupby(sheet.lines, lambda line: line.given.get("plot"))]
    many = max((int(line.given.get("sample", 1)) for line in sheet.lines), default=1) > _MANY
    single = all(len(group) == 1 for group in groups)
    most = _MOST_OF_ONE if single else _MOST_OF_MANY if many else _MOST_ON_A_PAGE
    pages: list[list[SheetLine]] = []
    for group in groups:
        parts = math.ceil(len(group) / most)
        length = math.ceil(len(group) / parts)
        for start in range(0, len(group), length):
            part = group[start : start + length]
            if pages and len(pages[-1]) + len(part) <= most:
                pages[-1] += part
            else:
                pages.append(list(part))
    longest = max(len(page) for page in pages)
    height = min(_HIGHEST_BOX_MM, _ROOM_MM / longest)
    for number, page in enumerate(pages, 1):
        names = [str(line.given.get("plot", "")) for line in page]
        of = names[0] if names[0] == names[-1] else f"{names[0]} to {names[-1]}"
        title = f"{sheet.title}: {of}" if of else f"{sheet.title}: page {number}"
        yield {"title": title, "height": height, "lines": list(_boxes(page, columns))}


def _boxes(page: Sequence[SheetLine], columns: Sequence[Column]) -> Iterator[list[dict[str, Any]]]:
    """Return the boxes line by line; the box of a plot stands once for all its lines."""
    for _, group in groupby(page, lambda line: line.given.get("plot")):
        lines = list(group)
        for number, line in enumerate(lines):
            boxes = [_box(column.name, line) for column in columns if column.name != "plot" or not number]
            if not number and columns[0].name == "plot":
                boxes[0] |= {"span": len(lines), "qr": code_svg(line.mark) if line.mark else "", "mark": line.mark}
            yield boxes


def _box(name: str, line: SheetLine) -> dict[str, Any]:
    given: Mapping[str, str | int] = line.given
    under = line.under if name == "plot" else ""
    return {"printed": str(given.get(name, "")), "under": under, "words": [], "idle": name in line.idle}
