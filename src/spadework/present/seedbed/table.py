"""Warmth and emergence as plain text for a terminal, and the hours as a table."""

from __future__ import annotations

import datetime as dt
import io
import textwrap
from collections.abc import Iterable, Sequence

import numpy as np

from spadework import __version__
from spadework.estimate import Estimate
from spadework.estimate.seedbed.emergence import SOIL_RULES, rule_label
from spadework.present.seedbed.water_words import water_lines
from spadework.present.seedbed.words import (
    CAREFUL,
    Seedbed,
    against_cells,
    air_words,
    cold_words,
    depth_words,
    dry_words,
    emergence_cells,
    leaned_rows,
    sow_cells,
    sure_words,
    warmth_cells,
    weeks_words,
    zones,
)
from spadework.present.table import WIDTH
from spadework.present.wording import INTERVAL, STANDING_LONG, place_line
from spadework.reference import constants

__all__ = ["seedbed_csv", "seedbed_text"]

_MOST_NAME = 34


def seedbed_text(estimate: Estimate, found: Seedbed) -> str:
    """Return warmth, sowing and emergence of every system as plain text, at most 100 columns wide."""
    k = constants("seedbed_weeks")
    warmth, said = found.warmth, zones(estimate, found)
    out = ["Is the strip really warmer?", *_wrapped(place_line(estimate))]
    if estimate.plan.invented:
        out += ["INVENTED: farm, machines and numbers are made up to show the tool; nothing here is advice."]
    out += ["", f"{STANDING_LONG[0].upper()}{STANDING_LONG[1:]}."]
    if found.fits:
        out[-1] = "Estimated: models; the surface of some zones follows loggers, see the notes."
    out += _wrapped(
        f"Middle of {warmth.draws} draws, in brackets the range that holds {INTERVAL}. Seed {depth_words(estimate)}."
    )
    out += ["", f"Soil at seed depth, {weeks_words(found)}, degC"]
    cool, warm = (f"h >= {bound:g} degC" for bound in (k.sow_cool_degc, k.sow_warm_degc))
    out += _table(("", "mean", "day range", cool, warm), [warmth_cells(zone) for zone in said])
    base = estimate.systems[estimate.baseline]
    rows = [against_cells(estimate, found, zone) for zone in said if zone.system != estimate.baseline]
    if rows:
        out += ["", f"Against {base}, degC"]
        out += _table(("", "mean", "of draws", "day range", "of draws"), rows)
    for words in sure_words(estimate, found):
        out += ["", *_wrapped(words)]
    out += ["", f"Fit to sow: {k.sow_in_a_row:g} early mornings in a row at seed depth of at least"]
    heads = ("", f"{k.sow_cool_degc:g} degC, light soil", f"{k.sow_warm_degc:g} degC, heavy soil")
    out += _table(heads, [sow_cells(estimate, found, one.system) for one in warmth.systems])
    sown = found.emergence
    out += ["", f"Plants up; sown on {sown.sown.isoformat()}, {sown.wait_days} d after the work"]
    for rule in SOIL_RULES:
        head = (f"by {rule_label(rule)}", "one in ten", "half", "nine in ten")
        out += _table(head, [emergence_cells(estimate, found, one.system, rule) for one in warmth.systems])
    out += _wrapped(air_words(found), "  ")
    for words in dry_words(estimate, found):
        out += _wrapped(words, "  ")
    out += _wrapped("Rules are not averaged: hold systems against one another by one rule.", "  ")
    out += ["", *_water(estimate, found)]
    out += ["", "Take note"]
    for note in (f"weather: {warmth.came_from}", *cold_words(estimate, found), *found.notes):
        out += _wrapped(note, "  ", "- ")
    out += ["", "What it leans on (spadework sources TABLE prints one)"]
    for table, standing, _ in leaned_rows():
        out += _wrapped(f"{table}: {standing}", "  ", "- ")
    out += ["", "Take care", *_wrapped(CAREFUL, "  ", "- ")]
    out += ["", f"spadework {__version__}, {estimate.draws} draws, seed {estimate.seed}"]
    return _plain("\n".join(line.rstrip() for line in out))


def seedbed_csv(estimate: Estimate, found: Seedbed) -> str:
    """Return every hour as CSV: temperature at seed depth of each zone, middle and printed range of the draws."""
    warmth, out = found.warmth, io.StringIO()
    out.write("time,system,zone,came_from,depth_cm,soil_degc,soil_low_degc,soil_high_degc,air_degc\n")
    first = dt.datetime.combine(warmth.first, dt.time())
    times = [(first + dt.timedelta(hours=hour + 1)).isoformat(" ", "minutes") for hour in range(24 * warmth.days)]
    depth = f"{warmth.depth_cm[warmth.seed_at]:g}"
    for one in warmth.systems:
        name = _cell(estimate.systems[one.system])
        for zone in one.zones:
            low, mid, high = np.quantile(zone.degc[..., warmth.seed_at], (0.1, 0.5, 0.9), axis=0)
            for time, m, a, b, air in zip(times, mid, low, high, warmth.air_degc, strict=True):
                out.write(f"{time},{name},{zone.name},{zone.came_from},{depth},{m:.2f},{a:.2f},{b:.2f},{air:.2f}\n")
    return out.getvalue()


def _water(estimate: Estimate, found: Seedbed) -> list[str]:
    water = found.emergence.water
    if water is not None:
        return water_lines(estimate, water)
    return water_lines(estimate)


def _cell(text: str) -> str:
    return '"' + text.replace('"', '""') + '"' if any(mark in text for mark in ',"\n') else text


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """Return a table whose columns are as wide as what stands in them; cells are broken where a line gets too long."""
    cells = [head, *rows]
    count = len(head)
    first = min(max(len(row[0]) for row in cells) + 2, _MOST_NAME)
    wide = [max(len(row[place]) for row in cells) + 2 for place in range(1, count)]
    room = WIDTH - 2 - first
    if sum(wide) > room:
        wide = [room // (count - 1)] * (count - 1)
    out = []
    for row in cells:
        parts = [textwrap.wrap(cell, size - 1) or [""] for cell, size in zip(row, (first, *wide), strict=True)]
        for line in range(max(map(len, parts))):
            shown = [
                f"{part[line] if line < len(part) else '':<{size}}"
                for part, size in zip(parts, (first, *wide), strict=True)
            ]
            out.append("  " + "".join(shown))
    return out


def _wrapped(text: str, indent: str = "", mark: str = "") -> list[str]:
    plain = _plain(" ".join(text.split()))
    return textwrap.wrap(plain, WIDTH, initial_indent=indent + mark, subsequent_indent=indent + " " * len(mark))


def _plain(text: str) -> str:
    for sign, plain in (("−", "-"), ("–", "-"), ("°C", "degC"), ("\N{NARROW NO-BREAK SPACE}", " ")):
        text = text.replace(sign, plain)
    return text
