"""The part of the report on the weeks after banding: what the band does to the seed, and when to sow over it."""

from __future__ import annotations

from typing import Final

import numpy as np

from spadework.estimate import Estimate
from spadework.estimate.band.answers import WAITS
from spadework.estimate.band.course import follow_band
from spadework.estimate.band.cut import cut_of
from spadework.estimate.band.inputs import banded
from spadework.plan import PlanFaults
from spadework.present.band.strip import STRIP_DAYS, band_strip, strip_words
from spadework.present.band.weeks_words import (
    CAREFUL,
    DAY_HEAD,
    LIMITS_HEAD,
    Weeks,
    answers,
    day_rows,
    limit_rows,
    weeks_of,
)
from spadework.present.charts.band import fate_chart, severity_chart, waits_chart
from spadework.present.charts.spec import to_svg
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Items, Section, Text
from spadework.present.wording import INTERVAL, STANDING, spread_of
from spadework.ranges import FloatArray

__all__ = ["band_course_section", "drawings", "weeks_blocks"]

_TITLE: Final = "What does it do to the seed?"


def band_course_section(estimate: Estimate) -> Section | None:
    """Return the weeks of every system that bands slurry; None where none does, a sentence where they cannot be followed."""
    if not banded(estimate):
        return None
    try:
        found = [weeks_of(estimate, course) for course in follow_band(estimate)]
    except PlanFaults as fault:
        what = fault.faults[0].what
        return Section("band-weeks", _TITLE, [Text(f"{what[:1].upper()}{what[1:]}.")])
    return Section("band-weeks", _TITLE, weeks_blocks(found))


def weeks_blocks(found: list[Weeks]) -> list[Block]:
    """Return the blocks of the section, for the systems given."""
    blocks: list[Block] = [
        Text(
            f"{STANDING[:1].upper()}{STANDING[1:]}: ammonium and salt spread from the band day by day, ammonium turns into "
            "nitrate, the pH goes back to that of the soil. What is then at the seed, and on the way of the first root, "
            "is held against three limits; the worst of the three counts. Below half a limit is called clear, from there "
            "on watch, above it risk."
        ),
        Text(CAREFUL, "warning"),
    ]
    for place, weeks in enumerate(found):
        if len(found) > 1:
            blocks.append(Text(weeks.name, "title"))
        blocks.append(Items(tuple(answers(weeks))))
        blocks += drawings(weeks, f"band-weeks-{place}")
        rows = tuple(tuple(map(Cell, row)) for row in day_rows(weeks))
        note = (
            f"Middle, in brackets the range that holds {INTERVAL}. N left: not yet nitrate. Root: front of the fast first "
            f"root, sown on day {weeks.wait}."
        )
        blocks.append(Grid(f"{weeks.name}: day by day", DAY_HEAD, rows, (0.5, 0.9, 1.1, 1.2, 1.1, 1.2, 1.2), note=note))
        soil = f"Temperature of the soil: {weeks.course.soil.came_from}."
        said = " ".join(f"{note[:1].upper()}{note[1:]}." for note in weeks.course.notes)
        blocks.append(Text(f"{soil} {said}", "small"))
    limits = tuple(tuple(map(Cell, row)) for row in limit_rows())
    blocks.append(Grid("What it is held against", LIMITS_HEAD, limits, (1.4, 0.7, 2.4, 0.6), prose=True))
    return blocks


def drawings(weeks: Weeks, name: str) -> list[Block]:
    """Return the strip of days, the curves over the days, and the chart of waits."""
    course = weeks.course
    cut = cut_of(course, STRIP_DAYS)
    first = weeks.roots.at_front.severity[:, weeks.wait : course.days + 1]
    curves = [("seed", _points(weeks.seed.severity[:, : course.days + 1], 0))]
    if first.shape[1]:
        curves.append(("root front", _points(first, weeks.wait)))
    sown = min(weeks.wait, course.days)
    chart = severity_chart(
        curves, sown, title=f"{weeks.name}: what seed and root meet", standing=STANDING, interval=INTERVAL
    )
    said = dict(answers(weeks))
    found: list[Block] = [
        Drawing(
            f"{name}-strip",
            band_strip(cut, title=f"{weeks.name}: the band over six weeks", standing=STANDING, prefix=f"{name}-strip"),
            strip_words(cut),
        ),
        Drawing(
            f"{name}-days", to_svg(chart), f"Worst ratio to a limit by days after the slurry. {said['Sown as planned']}"
        ),
    ]
    fate = fate_chart(_fates(weeks), sown, title=f"{weeks.name}: where the ammoniacal N has gone", standing=STANDING)
    words = f"Ammonium, nitrate and loss by days after the slurry. {said['The nitrogen']}"
    found.append(Drawing(f"{name}-nitrogen", to_svg(fate), words))
    if (weeks.shares[:, 0] < 1).any():  # where every draw is clear after every wait, the sentence says it all
        shares: list[list[float]] = weeks.shares.tolist()
        waits = waits_chart(
            [(wait, row[0], row[1], row[2]) for wait, row in zip(WAITS, shares, strict=True)], weeks.wanted,
            title=f"{weeks.name}: what waiting is worth", standing=STANDING,
        )  # fmt: skip
        alt = f"Shares of draws by days of waiting. {said['Earliest sowing']}"
        found.append(Drawing(f"{name}-waits", to_svg(waits), alt))
    return found


def _fates(weeks: Weeks) -> list[tuple[float, float, float, float]]:
    """Return day, ammonium, nitrate and loss in the middle, made to add up to the middle of what was in the slurry."""
    fate = weeks.fate
    lost, slurry = float(np.median(fate.lost_kg_ha)), float(np.median(fate.slurry_kg_ha))
    left = np.median(weeks.course.left_share, axis=0)
    return [
        (float(day), (slurry - lost) * float(left[day]), (slurry - lost) * float(1 - left[day]), lost)
        for day in range(weeks.course.days + 1)
    ]


def _points(values: FloatArray, first: int) -> list[tuple[float, float, float, float]]:
    found = []
    for day in range(values.shape[1]):
        spread = spread_of(values[:, day])
        found.append((float(first + day), spread.mid, spread.low, spread.high))
    return found
