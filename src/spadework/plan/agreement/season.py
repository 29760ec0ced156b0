"""Whether the season of a plan can be: tasks, days, people, sheets and kit that are known."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from spadework.plan.faults import Fault, nearest
from spadework.plan.schema.season import Season, Task
from spadework.reference import load

if TYPE_CHECKING:
    from spadework.plan.as_read import Read

__all__ = ["faults"]


def faults(read: Read) -> Iterator[Fault]:
    """Yield everything about the season that cannot be."""
    season = read.plan.season
    if season is None:
        return
    names = [person.name for person in season.people]
    for number, name in enumerate(names):
        if name in names[:number]:
            what = f'two people are called "{name}"; give each a name of their own'
            yield read.fault(what, "season", "person", number, "name")
    keys = [task.task for task in season.tasks]
    for number, task in enumerate(season.tasks):
        if task.task in keys[:number]:
            what = f'"{task.task}" stands twice; put it into one table'
            yield read.fault(what, "season", "task", number, "task")
        yield from _of_task(read, season, task, number)


def _of_task(read: Read, season: Season, task: Task, number: int) -> Iterator[Fault]:
    usual = load("season_tasks")
    known = task.task in usual
    if not known:
        for key, day in (("from_day", task.from_day), ("to_day", task.to_day)):
            if day is None and not task.leave_out:
                close = nearest(task.task, usual)
                what = f'is needed for "{task.task}", a task of your own, e.g. -7 for a week before sowing{close}'
                yield read.fault(what, "season", "task", number, key)
        if task.leave_out:
            what = f'speaks of "{task.task}", which is no usual task{nearest(task.task, usual)}'
            yield read.fault(what, "season", "task", number, "leave_out")
    first, last = task.from_day, task.to_day
    if known and first is None:
        first = int(usual[task.task].entry("from_day").value)
    if known and last is None:
        last = int(usual[task.task].entry("to_day").value)
    if first is not None and last is not None and first > last:
        key = "from_day" if task.from_day is not None else "to_day"
        what = f"the task would begin on day {first} and end on day {last}; its first day comes first"
        yield read.fault(what, "season", "task", number, key)
    parts = {row.text("part") for row in load("kit").values()}
    for key, said, there, word in (
        ("who", task.who, [person.name for person in season.people], "nobody of this season"),
        ("sheets", task.sheets, load("sheets"), "no sheet"),
        ("kit", task.kit, sorted(parts), "no part of the kit"),
    ):
        yield from _unknown(read, number, key, said, list(there), word)


def _unknown(read: Read, number: int, key: str, said: Iterable[str], there: list[str], word: str) -> Iterator[Fault]:
    for name in said:
        if name not in there:
            close = nearest(name, there) or ("; there are: " + ", ".join(there) if there else "")
            yield read.fault(f'{word} is called "{name}"{close}', "season", "task", number, key)
