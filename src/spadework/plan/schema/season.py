"""The season in a plan: the day of sowing, from which all days are counted, who does what, and tasks of one's own."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from pydantic import Field as Key

from spadework.plan.schema.parts import Name, Part, Sentence

__all__ = ["Person", "Season", "Task"]

Day = Annotated[int, Key(ge=-400, le=400)]


class Person(Part):
    """Somebody who takes part, under a name that the sheets show."""

    name: Name = Key(description="Name or initials, as they stand on sheets")
    does: Annotated[
        list[Literal["lead", "machines", "layout", "sampling", "counting", "harvest"]], Key(min_length=1, max_length=6)
    ] = Key(description="Kinds of tasks that this person does")


class Task(Part):
    """A task of one's own, or another date for a usual one."""

    task: Name = Key(description="Key of a usual task (`spadework sources season_tasks`), or words for one of your own")
    from_day: Day | None = Key(None, description="First day, counted from sowing: -21 is three weeks before it")
    to_day: Day | None = Key(None, description="Last day, counted from sowing")
    who: list[Name] = Key(default_factory=list, description="Names of people; left out: whoever does this kind of task")
    sheets: Annotated[list[Name], Key(max_length=20)] = Key(
        default_factory=list, description="Sheets that it needs (`spadework sources sheets`)"
    )
    kit: Annotated[list[Name], Key(max_length=20)] = Key(
        default_factory=list, description="Parts of the kit that it needs (`spadework sources kit`)"
    )
    about: Sentence = Key("", description="What is to be done")
    leave_out: Sentence = Key("", description="Why a usual task is left out; it is then not in the calendar")


class Season(Part):
    """The season of the comparison."""

    sowing: dt.date = Key(
        description="Day on which all plots are sown; every task is counted from it and moves with it"
    )
    people: Annotated[list[Person], Key(alias="person", max_length=40)] = Key(
        default_factory=list, description="Tables: who takes part"
    )
    tasks: Annotated[list[Task], Key(alias="task", max_length=60)] = Key(
        default_factory=list, description="Tables: tasks of your own, and usual ones on other days or left out"
    )
