"""The user's own limits held against the estimate: exceeded is a note with the figure, met is no clearance."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from spadework.plan import Limit, Plan
from spadework.quantities import show
from spadework.reference import constants
from spadework.working import Worksheet

__all__ = ["FIGURES", "Held", "held_limits", "limit_notes"]

FIGURES = {
    "total N from slurry": "total_n_dose",
    "ammoniacal N from slurry": "ammoniacal_n_dose",
    "phosphate from slurry": "phosphorus_dose",
    "available N from slurry": "available_n",
    "P balance": "p2o5_balance",
}
"""Limits on a mass per area, and the figure that each is held against."""


@dataclass(frozen=True)
class Held:
    """A limit of the plan held against the estimate.

    Attributes
    ----------
    limit : Limit
        As the user wrote it.
    theirs, ours : str
        The limit and what stands against it, in words.
    exceeded : bool
        True where it is exceeded; False clears nothing.
    figure : str
        The figure of the estimate that was held against it, if any.
    system : int or None
        The system for which it is largest.
    said : str
        The note where it is exceeded or could not be looked at; else empty.
    """

    limit: Limit
    theirs: str
    ours: str
    exceeded: bool
    said: str = ""
    figure: str = ""
    system: int | None = None


def limit_notes(plan: Plan, sheet: Worksheet) -> Iterator[str]:
    """Yield a note for every limit of the plan that the estimate exceeds, or that could not be held against it."""
    for held in held_limits(plan, sheet):
        if held.said:
            yield f"{held.said} ({held.limit.source}, {held.limit.date.isoformat()}; check locally)"


def held_limits(plan: Plan, sheet: Worksheet) -> list[Held]:
    """Hold every limit of a plan against the figures of its estimate."""
    return [_held(plan, sheet, limit) for limit in plan.limits]


def _held(plan: Plan, sheet: Worksheet, limit: Limit) -> Held:
    if limit.of in FIGURES:
        return _rate(sheet, limit)
    if limit.of == "closed period":
        return _closed(plan, limit)
    if limit.of == "slope":
        assert limit.at_most is not None  # noqa: S101 (a limit without is refused when the plan is read)
        over = plan.field.slope.high > limit.at_most.value
        said = f"slope {plan.field.slope.text} is more than the {limit.at_most.text} of your limit" if over else ""
        return Held(limit, f"at most {limit.at_most.text}", plan.field.slope.text, over, said)
    distance = plan.field.water_distance if limit.of == "distance to water" else plan.field.well_distance
    assert distance is not None  # noqa: S101 (the same)
    assert limit.at_least is not None  # noqa: S101 (the same)
    over = distance.low < limit.at_least.value
    said = f"{limit.of} {distance.text} is less than the {limit.at_least.text} of your limit" if over else ""
    return Held(limit, f"at least {limit.at_least.text}", distance.text, over, said)


def _rate(sheet: Worksheet, limit: Limit) -> Held:
    assert limit.at_most is not None  # noqa: S101 (a limit without is refused when the plan is read)
    most = limit.at_most.value
    if limit.of in {"phosphate from slurry", "P balance"} and limit.at_most.substance == "P":
        most *= constants("chemistry")["p2o5_per_p"].value
    name = FIGURES[limit.of]
    figure = sheet.figures[name]
    mids = np.median(np.atleast_2d(figure.values), axis=-1)
    row = int(np.argmax(mids))
    system = sheet.axes[figure.over].systems[row] if figure.over else None
    ours = show(float(mids[row]), "kg/ha") + (" P2O5" if limit.at_most.substance in {"P", "P2O5"} else "")
    over = bool(mids[row] > most)
    said = f"{limit.of}: {ours}, more than the {limit.at_most.text} of your limit" if over else ""
    return Held(limit, f"at most {limit.at_most.text}", ours, over, said, name, system)


def _closed(plan: Plan, limit: Limit) -> Held:
    assert limit.begins is not None  # noqa: S101 (a limit without is refused when the plan is read)
    assert limit.ends is not None  # noqa: S101 (the same)
    theirs = f"closed from {_day(limit.begins)} to {_day(limit.ends)}, every year"
    start = plan.weather.start
    if start is None:
        said = "closed period: the plan has no day of spreading (weather, start), so it was not held against it"
        return Held(limit, theirs, "no day of spreading in the plan", exceeded=False, said=said)
    last = start + dt.timedelta(hours=(plan.weather.hours or 1) - 1)
    days = [(start + dt.timedelta(days=n)).date() for n in range((last.date() - start.date()).days + 1)]
    over = _any_within(days, limit.begins, limit.ends)
    ours = f"spreading on {_day(start)}" + (f" to {_day(last)}" if last.date() != start.date() else "")
    said = f"{ours} falls into the period closed from {_day(limit.begins)} to {_day(limit.ends)}" if over else ""
    return Held(limit, theirs, ours, over, said)


def _any_within(days: Sequence[dt.date], begins: dt.date, ends: dt.date) -> bool:
    """Tell whether any day falls into a period that comes every year and may run over the turn of the year."""
    first, last = (begins.month, begins.day), (ends.month, ends.day)
    turns = first > last
    return any(
        (first <= (d.month, d.day) or (d.month, d.day) <= last) if turns else first <= (d.month, d.day) <= last
        for d in days
    )


def _day(date: dt.date) -> str:
    return f"{date.day} {('Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec')[date.month - 1]}"
