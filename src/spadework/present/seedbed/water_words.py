"""The drying of the ground in words: rows of tables, lines for a terminal, and what to keep in mind."""

from __future__ import annotations

import textwrap
from typing import Final

import numpy as np

from spadework.estimate import Estimate
from spadework.estimate.water.days import RULES, SurfaceWater, SystemWater, Zone, surface_water
from spadework.estimate.water.soil import water_row
from spadework.plan import PlanFaults
from spadework.present.table import WIDTH
from spadework.present.wording import INTERVAL, STANDING, figure_text, interval_text, spread_of
from spadework.ranges import FloatArray
from spadework.reference import STANDINGS, Citation, constants, load

__all__ = [
    "CAREFUL",
    "LOST_HEAD",
    "ZONE_HEAD",
    "ZONE_WORDS",
    "days_text",
    "lean_rows",
    "lost_rows",
    "sharing_words",
    "shown_days",
    "water_lines",
    "zone_rows",
]

ZONE_WORDS: Final = {"strip": "in the strip", "between": "between the strips", "whole": "whole width"}
ZONE_HEAD: Final = (
    *("", "covered, %", "slurry water, mm", "moisture at first, % by volume"),
    *("on day 7: linear", "on day 7: convex", "half gone, day: linear", "half gone, day: convex"),
)
LOST_HEAD: Final = (
    "mm of the whole field",
    "residue counted as",
    "7 days",
    "14 days",
    "all days",
    "more than the baseline",
)
CAREFUL: Final = (
    "The layer is one bucket: its very top is drier than its mean, and no water rises into it from below. Whether a seed "
    "finds water is seen with the spade, at its own depth."
)
_AT: Final = (7, 14)


def shown_days(water: SurfaceWater) -> tuple[int, ...]:
    """Return after how many days sums are shown: a week, two weeks, and all.

    Examples
    --------
    >>> class Two: days = 10
    >>> shown_days(Two)
    (7, 10)
    """
    return (*(day for day in _AT if day < water.days), water.days)


def days_text(days: FloatArray, most: int) -> str:
    """Return a day with its range; where it lies beyond those that were followed, that.

    Examples
    --------
    >>> days_text(np.array([3.0, 4.0, 6.0]), 28), days_text(np.array([3.0, np.inf, np.inf]), 28)
    ('4 (3 to 6)', 'after day 28 (3 to after day 28)')
    """
    low, mid, high = np.quantile(days, (0.1, 0.5, 0.9), method="inverted_cdf").tolist()

    def one(day: float) -> str:
        return f"{day:.0f}" if np.isfinite(day) else f"after day {most}"

    return one(mid) if low == high else f"{one(mid)} ({one(low)} to {one(high)})"


def zone_rows(estimate: Estimate, water: SurfaceWater) -> list[tuple[str, ...]]:
    """Return a row for each kind of ground of each system: cover, slurry water, moisture, and when half is gone."""
    return [
        (
            f"{estimate.systems[one.system]}, {ZONE_WORDS[zone.name]}",
            interval_text(spread_of(100 * zone.cover_share), 0),
            interval_text(spread_of(zone.slurry_mm), 1),
            interval_text(spread_of(100 * zone.first_moisture()), 0),
            *(interval_text(spread_of(_moisture(zone, rule, water.days)), 0) for rule in RULES),
            *(days_text(zone.half_gone_day(rule), water.days) for rule in RULES),
        )
        for one in water.systems
        for zone in one.zones
    ]


def _moisture(zone: Zone, rule: str, days: int) -> FloatArray:
    return 100 * zone.moisture(rule)[:, min(7, days) - 1]


def lost_rows(estimate: Estimate, water: SurfaceWater) -> list[tuple[str, ...]]:
    """Return two rows for each system: water lost after one week, two weeks and all, and the difference to the baseline."""
    rows = []
    for one in water.systems:
        for place, rule in enumerate(RULES):
            sums = [one.total_mm(rule, days) for days in (*_AT, water.days)]
            rows.append(
                (
                    estimate.systems[one.system] if place == 0 else "",
                    rule,
                    *(interval_text(spread_of(values), 1) for values in sums),
                    _more(estimate, water, one, rule),
                )
            )
    return rows


def _more(estimate: Estimate, water: SurfaceWater, one: SystemWater, rule: str) -> str:
    if one.system == estimate.baseline:
        return "baseline"
    return interval_text(spread_of(water.difference_mm(one.system, estimate.baseline, rule)), 1, sign=True)


def sharing_words(estimate: Estimate, water: SurfaceWater) -> list[str]:
    """Return for each system with strips what it would lose if strip and ground between shared the energy of the air."""
    said = []
    for one in water.systems:
        if not one.competing_mm:
            continue
        apart, shared = (float(np.median(values)) for values in (one.total_mm("linear"), one.competing_mm["linear"]))
        said.append(
            f"{estimate.systems[one.system]}: {figure_text(apart, 1)} mm where each ground dries as if alone, "
            f"{figure_text(shared, 1)} mm where the wetter ground draws on the energy of the drier (Allen 2005)"
        )
    return said


def lean_rows(estimate: Estimate) -> list[tuple[str, str, str]]:
    """Return what the drying leans on: figure, value and standing with its source."""
    table, row = load("soil_evaporation"), water_row(estimate.read)
    found = [
        (f"{row.label}: {table.column_label(column)}", row.entry(column))
        for column in ("field_capacity", "wilting", "readily_mm")
    ]
    for name, keys in (
        ("soil_drying", ("layer_m", "crop_initial", "most_base", "cover_linear", "cover_convex", "cover_exponent")),
        ("band_defaults", ("swell", "settlement")),
    ):
        found += [(constants(name)[key].citation.label, constants(name)[key]) for key in keys]
    return [
        (label, _between(entry.value, entry.low, entry.high, entry.unit), _said(entry.citation))
        for label, entry in found
    ]


def _between(value: float, low: float, high: float, unit: str) -> str:
    shown = f"{value:g}" if low == high else f"{value:g} ({low:g} to {high:g})"
    return shown if unit == "1" else f"{shown} {unit}"


def _said(citation: Citation) -> str:
    place = f", {citation.locator}" if citation.locator else ""
    return f"{citation.source.text}{place} [{citation.standing}: {STANDINGS[citation.standing]}]"


def water_lines(estimate: Estimate, water: SurfaceWater | None = None, *, days: int | None = None) -> list[str]:
    """Return the drying of the ground as lines for a terminal, at most 100 columns wide.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    water : SurfaceWater, optional
        From :func:`spadework.estimate.water.days.surface_water`; left out: worked out here.
    days : int, optional
        How many days to follow where it is worked out here.

    Notes
    -----
    Where the weather does not do, a sentence says why.
    """
    head = "How fast does it dry?"
    if water is None:
        try:
            water = surface_water(estimate, days=days)
        except PlanFaults as faults:
            return [head, *_wrapped(_capital(faults.faults[0].what) + ".", "  ")]
    out = [head]
    out += _wrapped(
        f"{STANDING}; top layer of {constants('soil_drying').layer_m * 100:g} cm and more, {water.days} days from "
        f"{water.first.isoformat()}; middle, in brackets {INTERVAL}; residue counted as linear / as convex",
        "  ",
    )
    out.append("")
    for one in water.systems:
        out.append(f"  {estimate.systems[one.system]}")
        for zone in one.zones:
            moist = " / ".join(interval_text(spread_of(_moisture(zone, rule, water.days)), 0) for rule in RULES)
            half = " / ".join(days_text(zone.half_gone_day(rule), water.days) for rule in RULES)
            out += _wrapped(
                f"{ZONE_WORDS[zone.name]}, {figure_text(100 * float(np.median(zone.cover_share)), 0)} % covered: "
                f"{moist} % by volume on day {min(7, water.days)}; half gone on day {half}",
                "    ",
            )
        for days_ in dict.fromkeys((min(7, water.days), water.days)):
            lost = " / ".join(interval_text(spread_of(one.total_mm(rule, days_)), 1) for rule in RULES)
            line = f"field loses {lost} mm in {days_} days"
            if days_ == water.days and one.system != estimate.baseline:
                more = " / ".join(_more(estimate, water, one, rule) for rule in RULES)
                line += f"; {more} mm against {estimate.plan.baseline}"
            out += _wrapped(line, "    ")
    out += ["", "  Take note"]
    for note in (f"weather: {water.came_from}", *water.notes, CAREFUL):
        out += _wrapped(note, "  ", "- ")
    text = "\n".join(out)
    for sign, plain in (("−", "-"), ("–", "-"), ("°C", "degC"), ("\N{NARROW NO-BREAK SPACE}", " ")):
        text = text.replace(sign, plain)
    return text.split("\n")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _wrapped(text: str, indent: str = "", mark: str = "") -> list[str]:
    plain = " ".join(text.split())
    return textwrap.wrap(plain, WIDTH, initial_indent=indent + mark, subsequent_indent=indent + " " * (len(mark) + 2))
