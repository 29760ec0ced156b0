"""The paper sheet for digs: what is measured from where, and large boxes to write into outdoors, as PDF."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from typing import Any, Final

from spadework import __version__
from spadework.present.cautions import CAUTIONS, DEFER
from spadework.present.document.small_prints import typeset
from spadework.present.sheets.sheet_paper import under_column
from spadework.records.files.dig_sheets import HOW, NO_BAND, Prepared, dig_columns, prepared
from spadework.records.tables.columns import Column

__all__ = ["dig_sheet_pdf"]

_ONCE: Final = ("plot", "pass", "direction", "setting", "measured_from")
"""Columns that hold for a whole round; they are written once above it."""

_WIDTHS: Final = {"dig": 0.75, "unit": 1.5, "row": 0.9, "place": 1.55, "wheel": 0.95, "note": 2.3}
_ROOM_MM: Final = 138.0
_HIGHEST_BOX_MM: Final = 17.0
_MOST_ON_A_PAGE: Final = 12
_CHECKS: Final = "digs check a machine; they do not compare systems"
_CARE_FOR: Final = "Turning shafts and moving parts"
_DIG_CARE: Final = (
    (
        "Before anybody steps behind the machine",
        "engine off, key out, machine let down to the ground or on stands. One person decides when it moves again, "
        "and counts everybody back first.",
    ),
    ("Never", "work or reach under a raised machine, and never clear a tine, disc or hose with the pump on."),
    (
        "The face",
        "fresh slurry gives off gas: keep your head out of the hole. Fill it in again, so that nobody and no wheel falls in.",
    ),
    ("Hands", "gloves; wash before eating; cover cuts. Ask about cables and pipes before the spade goes deep."),
)
_DRAWING: Final = {
    "board": "board",
    "crest": "crest of berm",
    "track": "press-wheel track",
    "undisturbed": "undisturbed",
    "seed": "seed",
    "band": "band",
    "seen": "seen forwards; not to scale",
}


def dig_sheet_pdf(rows: int, per_unit: int = 3, *, machine: str = "", invented: bool = False) -> bytes:
    """Return a sheet to fill in by hand, as PDF of A4 pages.

    The first page says what is measured from which surface, in what order, and what to beware of.  Then comes one
    page or more for each round along the row units.

    Parameters
    ----------
    rows : int
        Row units of the machine.
    per_unit : int
        Digs at each of them.
    machine : str
        What to call it, as in the plan.
    invented : bool
        True where the plan is made up; the sheet then says so.

    Raises
    ------
    PrintFault
        If the typesetter warns of anything.
    """
    words = _words(rows, per_unit, machine, invented)
    return typeset("sheet.typ", {"sheet.json": json.dumps(words, ensure_ascii=False)})


def _words(rows: int, per_unit: int, machine: str, invented: bool) -> dict[str, Any]:
    columns = dig_columns(rows)
    inside = [column for column in columns if column.name not in _ONCE]
    turning = next(caution for caution in CAUTIONS if caution.title == _CARE_FOR)
    return {
        "title": "Digs across the row",
        "machine": f"{machine} ({rows} row units)" if machine else f"{rows} row units",
        "invented": "INVENTED. The plan behind this sheet is made up to show the tool." if invented else "",
        "footer": f"{'INVENTED · ' if invented else ''}spadework {__version__} · {_CHECKS}",
        "how_title": "In this order",
        "how": [list(one) for one in HOW],
        "care_title": "Take care",
        "care": [*(list(one) for one in _DIG_CARE), [turning.title, turning.text]],
        "defer": DEFER,
        "drawing": _DRAWING,
        "date": "date",
        "who": "dug by",
        "once": [{"name": column.name, "words": list(column.words)} for column in columns if column.name in _ONCE],
        "widths": [_WIDTHS.get(column.name, 1.2) for column in inside],
        "columns": [{"name": column.name, "under": _under(column)} for column in inside],
        "pages": list(_pages(rows, per_unit, inside)),
        "foot": (
            f'top_cm: write "{NO_BAND}" where no band was found; leave empty what was not measured. The range under a column '
            "is the usual one: write down what you see, inside it or not. What stands above the table goes into every line of "
            "the file. row: only if you went by it; beside each unit stands its row on the way out and on the way back."
        ),
    }


def _pages(rows: int, per_unit: int, columns: Sequence[Column]) -> Iterator[dict[str, Any]]:
    """Lay each round along the units on one page, or on several of like length."""
    digs = prepared(rows, per_unit)
    on_one = math.ceil(rows / math.ceil(rows / _MOST_ON_A_PAGE))
    height = min(_HIGHEST_BOX_MM, _ROOM_MM / on_one)
    for number in range(per_unit):
        of_round = digs[number * rows : (number + 1) * rows]
        for start in range(0, rows, on_one):
            part = of_round[start : start + on_one]
            yield {
                "title": f"Round {number + 1} of {per_unit}, units {part[0].unit} to {part[-1].unit}",
                "height": height,
                "lines": [[_printed(column, one, rows) for column in columns] for one in part],
            }


def _under(column: Column) -> str:
    return under_column(column) or {"unit": "from the left", "row": "if counted"}.get(column.name, "")


def _printed(column: Column, one: Prepared, rows: int) -> dict[str, Any]:
    """Return what stands in a box before anybody writes into it."""
    if column.name == "dig":
        return {"printed": str(one.dig), "under": "", "words": []}
    if column.name == "unit":
        under = f"row {one.unit} out, {rows + 1 - one.unit} back"
        return {"printed": str(one.unit), "under": under, "words": []}
    return {"printed": "", "under": "", "words": list(column.words) if column.kind == "word" else []}
