"""The calendar of a season, and what became of a protocol, on a screen."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import Final

from spadework.present.cautions import DEFER
from spadework.records.protocol import Verdict
from spadework.records.season import Calendar, Planned
from spadework.reference import load

__all__ = ["days_of", "named", "season_text", "verdict_text"]

_WIDTH: Final = 100
_INDENT: Final = 26


def season_text(calendar: Calendar, *, question: str, invented: bool = False) -> str:
    """Return the calendar as text of at most 100 columns: days, task, who, what to do and to take along."""
    lines = wrap(question, _WIDTH)
    if invented:
        lines.append("INVENTED: the plan behind this is made up to show the tool.")
    lines += ["", f"Counted from sowing on {calendar.sowing.isoformat()}; every task moves with it.", ""]
    for task in calendar.tasks:
        lines += _task(task)
    for label, why in calendar.left_out:
        lines += wrap(f"Left out: {label}: {why}", _WIDTH, subsequent_indent="  ")
    lines += [
        "",
        *wrap(f"Closed periods, distances and permits are those of the place; check them there. {DEFER}", _WIDTH),
    ]
    return "\n".join(lines)


def verdict_text(verdict: Verdict, *, name: str) -> str:
    """Return what differs from a protocol as text of at most 100 columns."""
    said = [f"broken: {words}" for words in verdict.broken] + [f"differs: {words}" for words in verdict.differs]
    changes = "no change" if not verdict.changes else f"{verdict.changes} change{'s' if verdict.changes > 1 else ''}"
    if not said:
        said = [f"{name} is as the protocol has it, with {changes} recorded since it was frozen"]
    lines = [line for words in said for line in wrap(words, _WIDTH, subsequent_indent="  ")]
    if verdict.differs and not verdict.broken:
        lines.append('Record it: spadework change PLAN --who NAME --why "..."')
    return "\n".join([*lines, "seal of the last record:", f"  {verdict.seal}"])


def days_of(task: Planned) -> str:
    """Return the days of a task counted from sowing, in weeks where they are many.

    Examples
    --------
    >>> import datetime as dt
    >>> day = dt.date(2026, 5, 2)
    >>> days_of(Planned("pegs", "Pegs", "", day, day, -21, -10, (), (), ()))
    '21 to 10 days before sowing'
    >>> days_of(Planned("sow", "Sow", "", day, day, 0, 0, (), (), ()))
    'the day of sowing'
    """
    first, last = task.from_day, task.to_day
    if first == last == 0:
        return "the day of sowing"
    if last < 0:
        return f"{-first} to {-last} days before sowing" if first != last else f"{-first} days before sowing"
    if first >= 0:
        return f"{first} to {last} days after sowing" if first != last else f"{first} days after sowing"
    return f"{-first} days before to {last} after sowing"


def named(sheets: Sequence[str]) -> str:
    """Return the titles of sheets with their keys.

    Examples
    --------
    >>> named(["stand"])
    'Plants that stand (stand)'
    """
    return ", ".join(f"{load('sheets')[key].label} ({key})" for key in sheets)


def _task(task: Planned) -> list[str]:
    first, last = task.first.isoformat(), task.last.isoformat()
    when = first if first == last else f"{first} to {last[5:] if last[:4] == first[:4] else last}"
    head = wrap(f"{task.label}: {', '.join(task.who)}", _WIDTH - _INDENT) or [""]
    room = " " * _INDENT
    lines = [f"{when:<{_INDENT}}{head[0]}", *(room + line for line in head[1:])]
    more = [days_of(task), task.about]
    more += [f"sheets: {', '.join(task.sheets)}"] if task.sheets else []
    more += [f"kit: {', '.join(task.kit)}"] if task.kit else []
    for words in filter(None, more):
        lines += [room + line for line in wrap(words, _WIDTH - _INDENT)]
    return lines
