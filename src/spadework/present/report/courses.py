"""The parts of the report on ammonia over time: how much goes hour by hour, and when is a good hour to go."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise
from typing import Final

import numpy as np

from spadework.estimate import Estimate
from spadework.estimate.slurry.course_models import MODELS
from spadework.estimate.slurry.courses import Courses, ammonia_courses
from spadework.estimate.slurry.when import SHORTEST_H, When, start_hours, usual_window
from spadework.estimate.workings.explain import unit_text
from spadework.plan import PlanFaults
from spadework.present.charts.courses import Curve, Panel, courses_chart, starts_chart
from spadework.present.charts.spec import to_svg
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Items, Section, Text, anchor
from spadework.present.machines.when_table import (
    NO_FORECAST,
    RULES_STAY,
    best_cells,
    machine_words,
    said_hour,
    window_words,
    worths,
)
from spadework.present.wording import INTERVAL, STANDING, figure_text, interval_text, spread_of

__all__ = ["courses_section", "spread_of_models", "when_section"]

_AT_H: Final = (1, 4, 24, 72, 168)
_PANELS: Final = 4
_LINES: Final = 6
_STEP_H: Final = 3
_COURSE: Final = "How much ammonia goes, hour by hour?"
_WHEN: Final = "When is a good hour to go?"
_NO_FILE: Final = (
    "For this the plan needs a weather file that goes on for more than {} days after the start of spreading. The totals "
    "by guidance factors stand with the nitrogen."
)


def courses_section(estimate: Estimate) -> Section | None:
    """Return the loss hour by hour; a sentence where the weather is too short, nothing where no slurry is placed."""
    if not _places(estimate):
        return None
    if usual_window(estimate) is None:
        return Section("courses", _COURSE, [Text(_NO_FILE.format(SHORTEST_H // 24))])
    try:
        courses = ammonia_courses(estimate)
    except PlanFaults as fault:
        return Section("courses", _COURSE, [Text(f"{_capital(fault.faults[0].what)}.")])
    blocks: list[Block] = [
        Text(
            "Two models follow the loss through the weather of the hours after the start, on the mean of a field that is "
            "spread and covered bit by bit; what is not spread yet has lost nothing. The guidance factors, which this "
            "report counts with, know neither hour nor weather and stand beside them as a bar."
        )
    ]
    for number, start in enumerate(range(0, len(courses.systems), _PANELS)):
        group = courses.systems[start : start + _PANELS]
        spec = courses_chart([_panel(estimate, courses, s) for s in group], standing=STANDING, interval=INTERVAL)
        said = " ".join(f"{estimate.systems[s]}: {spread_of_models(courses, s)}" for s in group)
        blocks.append(Drawing(f"courses-{number}", to_svg(spec), f"Loss against hours, by model. {said}"))
    blocks += [
        _table(estimate, courses),
        Items(tuple((estimate.systems[s], spread_of_models(courses, s)) for s in courses.systems)),
        Text(
            "Where the three lie apart, that is what is not known about the models. The shades hold only what is uncertain "
            "of slurry, field and machines, so a range that spans all three is the more honest one. They are not averaged."
        ),
        Text(f"Weather: {courses.came_from}. " + " ".join(f"{_capital(n)}." for n in courses.notes), "small"),
    ]
    return Section("courses", _COURSE, blocks)


def spread_of_models(courses: Courses, system: int) -> str:
    """Return how far apart the models put the loss of a system in the end, in one sentence."""
    ends = {"factors": courses.totals[system]}
    ends |= {m: courses.by_model[m, system][:, -1] for m in MODELS if (m, system) in courses.by_model}
    middles = {name: float(np.median(values)) for name, values in ends.items()}
    low, high = min(middles, key=middles.__getitem__), max(middles, key=middles.__getitem__)
    said = ", ".join(f"{name} {interval_text(spread_of(values), 1, 100.0)} %" for name, values in ends.items())
    apart = ""
    if middles[low] > 0:
        ratio = middles[high] / middles[low]
        apart = f" The highest middle ({high}) is {figure_text(ratio, 1)} times the lowest ({low})."
    return f"After {courses.hours} h: {said} of the ammoniacal N.{apart}"


def _places(estimate: Estimate) -> bool:
    return any(estimate.has("placing_loss", s) for s in range(len(estimate.systems)))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _panel(estimate: Estimate, courses: Courses, system: int) -> Panel:
    curves = []
    for model in MODELS:
        if (found := courses.by_model.get((model, system))) is None:
            continue
        spreads = [spread_of(100 * found[:, hour]) for hour in range(courses.hours + 1)]
        curves.append(Curve(model, [(float(h), s.mid, s.low, s.high) for h, s in enumerate(spreads)]))
    total = spread_of(100 * courses.totals[system])
    return Panel(estimate.systems[system], curves, (total.mid, total.low, total.high))


def _table(estimate: Estimate, courses: Courses) -> Grid:
    at = [hour for hour in _AT_H if hour < courses.hours]
    at.append(courses.hours)
    rows: list[tuple[Cell, ...]] = []
    for system in courses.systems:
        rows.append((Cell(estimate.systems[system], mark="lead"), *(Cell("") for _ in at)))
        for model in MODELS:
            if (found := courses.by_model.get((model, system))) is None:
                rows.append((Cell(model), *(Cell("–") for _ in at)))
                continue
            cells = (Cell(interval_text(spread_of(100 * found[:, hour]), 1)) for hour in at)
            rows.append((Cell(model), *cells))
        total = interval_text(spread_of(100 * courses.totals[system]), 1)
        empty = (Cell("") for _ in at[:-1])
        rows.append((Cell("factors, total"), *empty, Cell(total, anchor("loss_share", system))))
    return Grid(
        "Ammonia lost up to an hour after the start of spreading, % of the ammoniacal N of the field",
        ("", *(f"{hour} h" for hour in at)), tuple(rows), (1.3, *(1.0 for _ in at)),
        note=f"Middle, in brackets the range that holds {INTERVAL}.",
    )  # fmt: skip


def when_section(estimate: Estimate) -> Section | None:
    """Return what other start hours would lose; a sentence where the weather is too short for it."""
    if not _places(estimate):
        return None
    window = usual_window(estimate)
    if window is None:
        return Section("when", _WHEN, [Text(_NO_FILE.format(SHORTEST_H // 24))])
    try:
        when = start_hours(estimate, *window, _STEP_H)
    except PlanFaults as fault:
        return Section("when", _WHEN, [Text(f"{_capital(fault.faults[0].what)}.")])
    blocks: list[Block] = [
        Text(f"The jobs of the plan, started at other hours: {window_words(when)}. Model of the course: {when.model}."),
        Text(f"Weather: {when.came_from}. {NO_FORECAST}", "warning"),
    ]
    for number, start in enumerate(range(0, len(when.systems), _LINES)):
        group = range(start, min(start + _LINES, len(when.systems)))
        blocks.append(Drawing(f"when-{number}", to_svg(_starts(estimate, when, group)), _said(estimate, when, group)))
    blocks += [
        _hours(estimate, when),
        _best(estimate, when),
        Text("The hour or the machine?", "title"),
        Items(tuple(_led(words) for words in machine_words(estimate, when))),
        Text(
            f"The best hours were picked by the middle of {when.draws} draws, knowing the weather afterwards; who picks by "
            "a forecast gains less. Money is bought nitrogen alone: what the machines cost stands elsewhere."
        ),
        Text(RULES_STAY, "warning"),
        Text(" ".join(f"{_capital(note)}." for note in when.notes), "small"),
    ]
    return Section("when", _WHEN, blocks)


def _led(words: str) -> tuple[str, str]:
    name, _, rest = words.partition(": ")
    return name, f"{_capital(rest)}."


def _starts(estimate: Estimate, when: When, group: range) -> dict[str, object]:
    zero = when.local[0].replace(hour=0, minute=0, second=0)
    at = [(time - zero).total_seconds() / 3600 for time in when.local]
    shift = at[0]
    rows, best = [], []
    for row in group:
        spreads = [spread_of(when.lost_n[row][:, start]) for start in range(len(at))]
        name = estimate.systems[when.systems[row]]
        rows += [
            {"system": name, "h": h - shift, "mid": s.mid, "low": s.low, "high": s.high}
            for h, s in zip(at, spreads, strict=True)
        ]
        top = when.ranked(row)[0].start
        best.append({"h": at[top] - shift, "mid": spreads[top].mid})
    length = int((at[-1] - shift) // 24) + 1
    every = max(1, -(-length // 8))
    days = [
        (24.0 * number - shift, _day(zero + dt.timedelta(days=number)))
        for number in range(0, length + 1, every)
        if 0 <= 24 * number - shift <= at[-1] - shift
    ]
    nights = [(a - shift, b - shift) for (a, b), free in zip(pairwise(at), when.allowed[:-1], strict=True) if not free]
    title = "What a start at this hour loses"
    return starts_chart(rows, days, _joined(nights), best=best, title=title, standing=STANDING, interval=INTERVAL)


def _joined(stretches: list[tuple[float, float]]) -> list[tuple[float, float]]:
    found: list[tuple[float, float]] = []
    for begin, end in stretches:
        if found and found[-1][1] == begin:
            found[-1] = (found[-1][0], end)
        else:
            found.append((begin, end))
    return found


def _day(date: dt.date) -> str:
    return " ".join((str(date.day), ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")[
        date.month - 1
    ]))  # fmt: skip


def _said(estimate: Estimate, when: When, group: range) -> str:
    said = []
    for row in group:
        best = when.ranked(row)[0]
        name = estimate.systems[when.systems[row]]
        said.append(f"{name}: least at {said_hour(when.local[best.start])}, {best.lost_n:.1f} kg N/ha.")
    return f"Lines of nitrogen lost against the hour of the start. {' '.join(said)}"


def _hours(estimate: Estimate, when: When) -> Grid:
    unit = unit_text("EUR/ha", estimate.plan.prices.currency)
    rows = tuple(
        tuple(map(Cell, (w.system, *(interval_text(s, 1) for s in (w.mean, w.best, w.worst, w.hour_n, w.hour_money)))))
        for w in worths(estimate, when)
    )
    head = ("kg N/ha lost", "mean hour", "best tenth", "worst tenth", "choosing the hour saves", unit)
    note = "Of the ranked hours. Choosing the hour: mean hour less best tenth; money is bought N, up to the need."
    return Grid("What the hour makes of the loss", head, rows, (1.2, 1.1, 1.1, 1.1, 1.1, 1.1), note=note)


def _best(estimate: Estimate, when: When) -> Grid:
    unit = unit_text("EUR/ha", estimate.plan.prices.currency)
    rows = []
    for row, system in enumerate(when.systems):
        for number, best in enumerate(when.best_of_days(row)):
            cells = map(Cell, best_cells(when, row, best))
            rows.append((Cell(estimate.systems[system] if number == 0 else ""), *cells))
    head = ("", "start", "lost, kg N/ha", "% of ammoniacal N", f"worth, {unit}")
    return Grid("Best hours, one a day", head, tuple(rows), (1.2, 1.2, 1.3, 1.3, 1.3))
