"""The part of the report on warmth and emergence: is the strip really warmer, when is it fit to sow, when are plants up."""

from __future__ import annotations

import datetime as dt
from typing import Final

import numpy as np

from spadework.estimate import Estimate
from spadework.estimate.seedbed.answers import day_cut, shown_days
from spadework.estimate.seedbed.emergence import SOIL_RULES, rule_label
from spadework.plan import PlanFaults
from spadework.present.charts.seedbed import DayLine, DayPanel, days_chart, emergence_chart
from spadework.present.charts.spec import to_svg
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Items, Section, Text
from spadework.present.seedbed.cut import cut_words, warm_cut
from spadework.present.seedbed.words import (
    CAREFUL,
    Seedbed,
    against_cells,
    air_words,
    cold_words,
    date_words,
    depth_words,
    dry_words,
    emergence_cells,
    formula_rows,
    leaned_rows,
    seedbed_of,
    sow_cells,
    sure_words,
    warmth_cells,
    weeks_words,
    zones,
)
from spadework.present.wording import INTERVAL, STANDING
from spadework.ranges import FloatArray
from spadework.reference import constants

__all__ = ["seedbed_blocks", "seedbed_section"]

_TITLE: Final = "Is the strip really warmer?"
_PANELS: Final = 4
_SYSTEMS: Final = 6
_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_SLICES: Final = tuple(range(5, 100, 10))


def seedbed_section(estimate: Estimate) -> Section:
    """Return the section; a sentence where the weather does not do."""
    try:
        found = seedbed_of(estimate)
    except PlanFaults as fault:
        what = fault.faults[0].what
        return Section("seedbed", _TITLE, [Text(f"{what[:1].upper()}{what[1:]}.")])
    return Section("seedbed", _TITLE, seedbed_blocks(estimate, found))


def seedbed_blocks(estimate: Estimate, found: Seedbed) -> list[Block]:
    """Return the blocks of the section."""
    k, warmth = constants("seedbed_weeks"), found.warmth
    said = zones(estimate, found)
    lead = (
        "Estimated; the surface of some zones follows loggers. "
        if found.fits
        else f"{STANDING[0].upper()}{STANDING[1:]}. "
    )
    blocks: list[Block] = [
        Text(
            f"{lead}Light, air, evaporation and the soil below are balanced hour by hour for each kind of ground; of strips "
            f"a cut across two rows is followed. Seed {depth_words(estimate)}."
        ),
        Text(CAREFUL, "warning"),
        *(Text(words) for words in sure_words(estimate, found)),
        *_days(estimate, found),
        *_cuts(estimate, found),
    ]
    cool, warm = (f"hours at {bound:g} °C or more" for bound in (k.sow_cool_degc, k.sow_warm_degc))
    rows = tuple(tuple(map(Cell, warmth_cells(zone))) for zone in said)
    head = ("", "mean, °C", "day range, °C", cool, warm)
    note = f"Middle of {warmth.draws} draws, in brackets the range that holds {INTERVAL}."
    blocks.append(Grid(f"Soil at seed depth, {weeks_words(found)}", head, rows, (1.6, 1.2, 1.2, 1.0, 1.0), note=note))
    others = tuple(
        tuple(map(Cell, against_cells(estimate, found, zone))) for zone in said if zone.system != estimate.baseline
    )
    if others:
        head = ("", "mean, °C", "of draws", "day range, °C", "of draws")
        base = estimate.systems[estimate.baseline]
        blocks.append(Grid(f"Against {base}, at seed depth", head, others, (1.5, 1.3, 0.9, 1.3, 1.0)))
    blocks += _sowing(estimate, found)
    blocks += _emergence(estimate, found)
    notes = [f"weather: {warmth.came_from}", *cold_words(estimate, found), *found.notes]
    blocks.append(Text(" ".join(f"{note[:1].upper()}{note[1:].rstrip('.')}." for note in notes), "small"))
    blocks += _leaned()
    return blocks


def _sowing(estimate: Estimate, found: Seedbed) -> list[Block]:
    k = constants("seedbed_weeks")
    head = ("", f"{k.sow_cool_degc:g} °C, light soil", f"{k.sow_warm_degc:g} °C, heavy soil")
    rows = tuple(tuple(map(Cell, sow_cells(estimate, found, one.system))) for one in found.warmth.systems)
    source = k["sow_cool_degc"].citation.source.text
    note = f"{source}. The hour of the morning and the number of mornings are our reading."
    caption = f"First day with {k.sow_in_a_row:g} early mornings in a row at seed depth of at least"
    return [Grid(caption, head, rows, (1.2, 1.2, 1.2), note=note)]


def _emergence(estimate: Estimate, found: Seedbed) -> list[Block]:
    rows: list[tuple[Cell, ...]] = []
    for rule in SOIL_RULES:
        rows.append((Cell(rule_label(rule), mark="lead"), Cell(""), Cell(""), Cell("")))
        rows += [tuple(map(Cell, emergence_cells(estimate, found, one.system, rule))) for one in found.warmth.systems]
    sown = found.emergence
    caption = f"Plants up, by rule; sown on {sown.sown.isoformat()}, {sown.wait_days} d after the work"
    note = (
        "Rules are not averaged: hold systems against one another by one rule, never one system by one rule and one by "
        "another."
    )
    blocks: list[Block] = [*_curves(estimate, found)]
    blocks.append(
        Grid(caption, ("", "one in ten", "half", "nine in ten"), tuple(rows), (1.3, 1.2, 1.2, 1.2), note=note)
    )
    blocks += [Text(words) for words in (*dry_words(estimate, found), air_words(found))]
    return blocks


def _days(estimate: Estimate, found: Seedbed) -> list[Block]:
    warmth, k = found.warmth, constants("seedbed_weeks")
    panels = []
    for one in warmth.systems:
        words = {"whole": "whole width", "strip": "strip", "between": "between"}
        lines = [DayLine(words[zone.name], _points(shown_days(warmth, one.system, zone.name))) for zone in one.zones]
        panels.append(DayPanel(estimate.systems[one.system], lines))
    marks = _marks(warmth.first, 0, warmth.days - 1)
    bounds = (k.sow_cool_degc, k.sow_warm_degc)
    drawn: list[Block] = []
    for number, start in enumerate(range(0, len(panels), _PANELS)):
        group = panels[start : start + _PANELS]
        title = f"Soil {warmth.depth_cm[warmth.seed_at]:g} cm deep, day by day"
        spec = days_chart(group, marks, bounds, title=title, standing=STANDING)
        alt = " ".join(
            f"{panel.title}, {line.name}: days between {min(p[2] for p in line.points):.0f} and "
            f"{max(p[3] for p in line.points):.0f} °C."
            for panel in group
            for line in panel.lines
        )
        drawn.append(Drawing(f"seedbed-days-{number}", to_svg(spec), f"Warmth at seed depth over the days. {alt}"))
    return drawn


def _points(days: FloatArray) -> list[tuple[float, float, float, float]]:
    """Return day, mean, coldest and warmest hour, each the middle of the draws."""
    mean, low, high = (np.median(found, axis=0) for found in (days.mean(axis=2), days.min(axis=2), days.max(axis=2)))
    return [(float(day), float(mean[day]), float(low[day]), float(high[day])) for day in range(len(mean))]


def _marks(first: dt.date, begin: int, last: int) -> list[tuple[float, str]]:
    step = next(step for step in (1, 2, 7, 14, 28) if (last - begin) / step <= 9 or step == 28)
    dates = [(day, first + dt.timedelta(days=day)) for day in range(begin, last + 1, step)]
    return [(float(day), f"{date.day} {_MONTHS[date.month - 1]}") for day, date in dates]


def _cuts(estimate: Estimate, found: Seedbed) -> list[Block]:
    drawn: list[Block] = []
    for one in found.warmth.systems:
        cut = day_cut(estimate, found.warmth, one.system)
        if cut is None:
            continue
        name = f"seedbed-cut-{one.system}"
        title = f"{estimate.systems[one.system]}: across a strip on {cut.day.day} {_MONTHS[cut.day.month - 1]}"
        drawn.append(Drawing(name, warm_cut(cut, title=title, standing=STANDING, prefix=name), cut_words(cut)))
    return drawn


def _curves(estimate: Estimate, found: Seedbed) -> list[Block]:
    sown, systems = found.emergence, found.warmth.systems[:_SYSTEMS]
    panels = []
    for rule in SOIL_RULES:
        lines = {}
        for one in systems:
            middle = np.median(sown.of(one.system).slices[rule], axis=1)
            known = [(float(day), float(share)) for day, share in zip(middle, _SLICES, strict=True) if np.isfinite(day)]
            if known:
                lines[estimate.systems[one.system]] = known
        if lines:
            panels.append((rule_label(rule), lines))
    if not panels:
        return [Text("By no rule do plants come up in these weeks.")]
    days = [point[0] for _, lines in panels for line in lines.values() for point in line]
    first, last = int(min(days)), int(np.ceil(max(days))) + 1
    spec = emergence_chart(
        panels,
        _marks(sown.sown, first, last),
        first,
        last,
        title="When plants come up, by three rules",
        standing=STANDING,
    )
    said = "; ".join(
        f"{estimate.systems[one.system]} {date_words(sown.sown, sown.of(one.system).days[rule][1])} ({rule_label(rule)})"
        for one in systems
        for rule in SOIL_RULES
    )
    return [Drawing("seedbed-up", to_svg(spec), f"Share of plants that are up against days. Half up: {said}.")]


def _leaned() -> list[Block]:
    tables = tuple(tuple(map(Cell, row)) for row in leaned_rows())
    formulas = tuple(tuple(map(Cell, row)) for row in formula_rows())
    return [
        Items(
            (
                (
                    "How it is worked out.",
                    "Light taken up and long waves from the sky, less long waves sent out, less heat to the air, less "
                    "evaporation, is the heat that goes into the soil; layers of soil pass it on; a strip loses part of it "
                    "sideways; a seed counts the degrees over a base, hour by hour, until a rule has enough.",
                ),
            )
        ),
        Grid("Formulas of warmth and emergence", ("formula", "in words or signs", "source"), formulas, (1.0, 2.2, 1.8),
             prose=True),
        Grid("Tables that warmth and emergence lean on", ("table (vintage)", "rows, by standing", "sources"), tables,
             (1.1, 1.1, 2.8), prose=True),
    ]  # fmt: skip
