"""The calendar of a season: every task counted from the day of sowing, so that all of them move when it moves."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from spadework.plan import Fault, PlanFaults, Read
from spadework.reference import load

__all__ = ["KIT", "TASKS", "Calendar", "KitItem", "Planned", "calendar_of", "kit_of"]

TASKS: Final = "season_tasks"
"""Table of the usual tasks."""
KIT: Final = "kit"
"""Table of the kit."""


@dataclass(frozen=True, slots=True)
class Planned:
    """A task on its days.

    Attributes
    ----------
    key : str
        Key of a usual task, or the words of one's own.
    label, about : str
        What it is, and what is to be done.
    first, last : date
        Its days, both included.
    from_day, to_day : int
        The same, counted from sowing.
    who : tuple of str
        People; the kind of task where nobody was named for it.
    sheets, kit : tuple of str
        Keys of the sheets, and parts of the kit that it needs.
    """

    key: str
    label: str
    about: str
    first: dt.date
    last: dt.date
    from_day: int
    to_day: int
    who: tuple[str, ...]
    sheets: tuple[str, ...]
    kit: tuple[str, ...]


@dataclass(frozen=True)
class Calendar:
    """All tasks of a season, in the order of their days; and those left out, with the reason."""

    sowing: dt.date
    tasks: tuple[Planned, ...]
    left_out: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class KitItem:
    """A thing to take along: what for, what, how many (0: as many as the day needs), and a note."""

    part: str
    name: str
    number: int
    note: str


def calendar_of(read: Read, sowing: dt.date | None = None) -> Calendar:
    """Return the tasks of a season on their days.

    Parameters
    ----------
    read : Read
        The plan; without a season in it the usual tasks are taken, and nobody is named.
    sowing : date, optional
        Day of sowing, in place of the plan's.

    Raises
    ------
    PlanFaults
        If there is no day of sowing, or a task would lie outside the calendar of years 1 to 9999.
    """
    season = read.plan.season
    day = sowing or (season.sowing if season is not None else None)
    if day is None:
        what = "says nothing of the season; write [season] with sowing = 2026-05-02, or give --sowing"
        raise PlanFaults([Fault("season", what)], read.name)
    own = {task.task: task for task in season.tasks} if season is not None else {}
    does: dict[str, list[str]] = {}
    for person in season.people if season is not None else ():
        for kind in person.does:
            does.setdefault(kind, []).append(person.name)
    found = []
    for key, row in load(TASKS).items():
        task = own.get(key)
        if task is not None and task.leave_out:
            continue
        first, last = (int(row.entry(name).value) for name in ("from_day", "to_day"))
        about, role = row.text("about"), row.text("role")
        sheets, kit = (tuple(filter(None, row.text(name).split("|"))) for name in ("sheets", "kit"))
        who = tuple(does.get(role, [role]))
        if task is not None:
            first = first if task.from_day is None else task.from_day
            last = last if task.to_day is None else task.to_day
            about, who = task.about or about, tuple(task.who) or who
            sheets, kit = tuple(task.sheets) or sheets, tuple(task.kit) or kit
        found.append(_planned(key, row.label, about, day, (first, last), who, sheets, kit))
    for key, task in own.items():
        if key not in load(TASKS) and task.from_day is not None and task.to_day is not None:
            days = (task.from_day, task.to_day)
            who = tuple(task.who) or tuple(does.get("lead", ["lead"]))
            found.append(_planned(key, key, task.about, day, days, who, tuple(task.sheets), tuple(task.kit)))
    left_out = tuple((load(TASKS)[key].label, task.leave_out) for key, task in own.items() if task.leave_out)
    return Calendar(day, tuple(sorted(found, key=lambda one: (one.first, one.last))), left_out)


def kit_of(parts: Iterable[str] | None = None) -> tuple[KitItem, ...]:
    """Return the kit, or what belongs to some parts of it, in the order of the table.

    Examples
    --------
    >>> [item.name for item in kit_of(["clean"])]
    ['boot brushes and dip']
    """
    wanted = None if parts is None else set(parts)
    return tuple(
        KitItem(row.text("part"), row.label, int(row.text("number") or 0), row.text("note"))
        for row in load(KIT).values()
        if wanted is None or row.text("part") in wanted
    )


def _planned(
    key: str,
    label: str,
    about: str,
    sowing: dt.date,
    days: tuple[int, int],
    who: tuple[str, ...],
    sheets: tuple[str, ...],
    kit: tuple[str, ...],
) -> Planned:
    try:
        first, last = (sowing + dt.timedelta(days=day) for day in days)
    except OverflowError:
        what = f"{sowing.isoformat()} leaves no days for the tasks around it; is the year right?"
        raise PlanFaults([Fault("sowing", what)], "the season") from None
    return Planned(key, label, about, first, last, *days, who, sheets, kit)
