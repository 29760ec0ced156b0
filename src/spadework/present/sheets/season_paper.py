"""The calendar of a season and the kit list on paper, as PDF."""

from __future__ import annotations

import json
from collections.abc import Iterable
from itertools import groupby
from typing import Any, Final

from spadework import __version__
from spadework.present.cautions import CAUTIONS, DEFER
from spadework.present.document.small_prints import typeset
from spadework.present.sheets.season_table import days_of, named
from spadework.records.season import Calendar, KitItem, Planned, kit_of

__all__ = ["kit_pdf", "season_pdf"]

_SHORT: Final = ("Turning shafts and moving parts", "Gas when slurry is stirred", "Alone in the field")
"""Cautions that fit under the kit on one page."""


def season_pdf(calendar: Calendar, *, about: str, invented: bool = False) -> bytes:
    """Return the calendar, the kit list and the cautions as PDF.

    Raises
    ------
    PrintFault
        If the typesetter warns of anything.
    """
    return _print("The season", about, invented, calendar)


def kit_pdf(*, about: str, invented: bool = False) -> bytes:
    """Return the kit list as PDF of one page, with cautions.

    Raises
    ------
    PrintFault
        If the typesetter warns of anything.
    """
    return _print("Kit list", about, invented, None)


def _print(title: str, about: str, invented: bool, calendar: Calendar | None) -> bytes:
    cautions = [c for c in CAUTIONS if calendar is not None or c.title in _SHORT]
    words = {
        "title": title,
        "about": about,
        "invented": "INVENTED. The plan behind this print is made up to show the tool." if invented else "",
        "footer": f"{'INVENTED · ' if invented else ''}spadework {__version__}",
        "counted": ""
        if calendar is None
        else f"Counted from sowing on {calendar.sowing.isoformat()}; all of it moves with it.",
        "head": ["", "when", "what", "who"],
        "tasks": [] if calendar is None else [_task(task) for task in calendar.tasks],
        "left_out": [] if calendar is None else [f"Left out: {label}: {why}." for label, why in calendar.left_out],
        "kit_title": "What to take along" if calendar is not None else "",
        "kit_said": "Tick when it is in the car. Where no number stands, as many as the day needs.",
        "kit": _two_sides(list(_parts(kit_of()))),
        "short": calendar is None,
        "care_title": "Take care",
        "care": [[caution.title, caution.text] for caution in cautions],
        "defer": DEFER,
    }
    return typeset("season.typ", {"season.json": json.dumps(words, ensure_ascii=False)})


def _task(task: Planned) -> dict[str, Any]:
    needs = [f"sheets: {named(task.sheets)}"] if task.sheets else []
    needs += [f"kit: {', '.join(task.kit)}"] if task.kit else []
    first, last = task.first.isoformat(), task.last.isoformat()
    return {
        "dates": first if first == last else f"{first} to {last}",
        "days": days_of(task),
        "label": task.label,
        "about": task.about,
        "needs": needs,
        "who": ", ".join(task.who),
        "sowing": (task.from_day, task.to_day) == (0, 0),
    }


def _parts(items: Iterable[KitItem]) -> Iterable[dict[str, Any]]:
    for part, group in groupby(items, lambda item: item.part):
        shown = [{"number": str(i.number) if i.number else "", "name": i.name, "note": i.note} for i in group]
        yield {"name": part[:1].upper() + part[1:], "items": shown}


def _two_sides(parts: list[dict[str, Any]]) -> list[list[dict[str, Any]]]:
    """Return the parts in two columns of nearly the same length."""
    lengths = [len(part["items"]) + 1 for part in parts]
    half = min(range(len(parts) + 1), key=lambda split: abs(sum(lengths[:split]) - sum(lengths[split:])))
    return [parts[:half], parts[half:]]
