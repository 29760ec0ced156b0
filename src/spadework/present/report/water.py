"""The parts of the report on water: how fast the ground of each system dries, and fit days week by week."""

from __future__ import annotations

import datetime as dt
from typing import Final

from spadework.estimate import Estimate
from spadework.estimate.water.days import RULES, SurfaceWater, SystemWater, surface_water
from spadework.plan import Farm, PlanFaults
from spadework.present.charts.spec import to_svg
from spadework.present.charts.water import DryingCurve, DryingPanel, drying_chart, fit_weeks_chart, lost_chart
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Items, Section, Text
from spadework.present.seedbed.water_words import (
    CAREFUL,
    LOST_HEAD,
    ZONE_HEAD,
    ZONE_WORDS,
    days_text,
    lean_rows,
    lost_rows,
    sharing_words,
    shown_days,
    zone_rows,
)
from spadework.present.wording import INTERVAL, STANDING, figure_text, interval_text, spread_of
from spadework.reference import constants

__all__ = ["fit_weeks_blocks", "water_section"]

_TITLE: Final = "How fast does it dry?"
_PANELS: Final = 6
_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def water_section(estimate: Estimate) -> Section | None:
    """Return the drying of the ground of every system; a sentence where the weather does not do."""
    if estimate.plan.weather.file is None:
        return None
    try:
        water = surface_water(estimate)
    except PlanFaults as faults:
        return Section("water", _TITLE, [Text(_capital(faults.faults[0].what) + ".")])
    blocks: list[Block] = [
        Text(
            f"The top layer, {constants('soil_drying').layer_m * 100:g} cm and more, {water.days} days from "
            f"{_day(water.first)}: {figure_text(float(water.et_mm.sum()), 0)} mm would evaporate from short, well-watered "
            f"grass, {_rain(water)}. Residue is counted in two published ways, linear (5 % less for each 10 % of the "
            "ground covered) and convex (little less up to middling cover, much less under full cover); they are not "
            f"averaged. Middle, in brackets {INTERVAL}."
        )
    ]
    if not water.has_rain:
        blocks.append(
            Text(
                "There is no rain in the weather file. What is shown is how the ground dries if none falls: good for the "
                "first days, too dry for weeks. [weather.rain] in the plan takes rain from a file of its own.",
                "warning",
            )
        )
    for number, start in enumerate(range(0, len(water.systems), _PANELS)):
        group = water.systems[start : start + _PANELS]
        spec = drying_chart([_panel(estimate, one) for one in group], standing=STANDING, interval=INTERVAL)
        said = " ".join(_said(estimate, water, one) for one in group)
        blocks.append(Drawing(f"water-days-{number}", to_svg(spec), f"Moisture of the top layer by days. {said}"))
    zones = tuple(tuple(map(Cell, row)) for row in zone_rows(estimate, water))
    blocks.append(
        Grid(
            "Each kind of ground", ZONE_HEAD, zones, (2.0, 0.9, 0.9, 1.1, 1.0, 1.0, 1.1, 1.1),
            note="Half gone: the day on which half of the water that can evaporate is missing.",
        )
    )  # fmt: skip
    blocks += _lost(estimate, water)
    leans = tuple(tuple(map(Cell, row)) for row in lean_rows(estimate))
    blocks.append(Grid("What it leans on", ("figure", "value", "source"), leans, (1.7, 1.0, 2.6), prose=True))
    blocks.append(
        Text(f"Weather: {water.came_from}. " + " ".join(f"{_capital(note)}." for note in water.notes), "small")
    )
    return Section("water", _TITLE, blocks)


def _rain(water: SurfaceWater) -> str:
    return f"{figure_text(float(water.rain_mm.sum()), 0)} mm of rain falls" if water.has_rain else "no rain is counted"


def _panel(estimate: Estimate, one: SystemWater) -> DryingPanel:
    curves = []
    for zone in one.zones:
        first = spread_of(100 * zone.first_moisture())
        for rule in RULES:
            spreads = [first, *(spread_of(column) for column in 100 * zone.moisture(rule).T)]
            points = [(float(day), s.mid, s.low, s.high) for day, s in enumerate(spreads)]
            curves.append(DryingCurve(zone.name, rule, points))
    return DryingPanel(estimate.systems[one.system], curves)


def _said(estimate: Estimate, water: SurfaceWater, one: SystemWater) -> str:
    words = [
        f"{ZONE_WORDS[zone.name]} half gone on day {days_text(zone.half_gone_day('linear'), water.days)}"
        for zone in one.zones
    ]
    return f"{estimate.systems[one.system]}: {', '.join(words)}."


def _lost(estimate: Estimate, water: SurfaceWater) -> list[Block]:
    rows = [
        {"system": estimate.systems[one.system], "days": days, "rule": rule, "mid": s.mid, "low": s.low, "high": s.high}
        for days in dict.fromkeys((shown_days(water)[0], water.days))
        for one in water.systems
        for rule in RULES
        for s in (spread_of(one.total_mm(rule, days)),)
    ]
    spec = lost_chart(rows, standing=STANDING, interval=INTERVAL)
    said = " ".join(
        f"{row['system']} after {row['days']} days: {row['mid']:.1f} mm." for row in rows if row["rule"] == "linear"
    )
    grid = tuple(tuple(map(Cell, row)) for row in lost_rows(estimate, water))
    note = (
        "All days: those that were followed. More than the baseline: over all days, draw by draw. A field that starts with "
        "more water can lose more; residue shows in the first week or two, and where no rain falls all ground ends dry."
    )
    blocks: list[Block] = [
        Drawing("water-lost", to_svg(spec), f"Water lost by system, residue counted as linear. {said}"),
        Grid("Water lost from the ground", LOST_HEAD, grid, (1.5, 1.1, 1.1, 1.1, 1.1, 1.3), note=note),
    ]
    if shared := sharing_words(estimate, water):
        blocks.append(Items(tuple(("How strip and ground between share the energy.", f"{words}.") for words in shared)))
    return [*blocks, Text(CAREFUL, "warning")]


def fit_weeks_blocks(estimate: Estimate, farm: Farm) -> list[Block]:
    """Return the fit days of each week, where they were worked out from the weather; else nothing."""
    from spadework.estimate.water.fit_weeks import fit_weeks

    found = fit_weeks(estimate)
    if found is None or farm.fit_moisture is None:
        return []
    given = None if farm.fit_days is None else float(farm.fit_days.value)
    rows = [
        {
            "week": _day(week.first),
            "mid": 100 * week.chance.mid,
            "low": 100 * week.chance.low,
            "high": 100 * week.chance.high,
            "note": "" if week.sure_days is None else f"{week.sure_days:.0f} d",
        }
        for week in found.weeks
    ]
    begin = (found.first - found.weeks[0].first).days / 7
    spec = fit_weeks_chart(rows, (begin, begin + found.window / 7), given=given, standing=STANDING, interval=INTERVAL)
    said = " ".join(f"From {row['week']}: {row['mid']:.0f} % ({row['low']:.0f} to {row['high']:.0f})." for row in rows)
    springs = len(found.years)
    spells = interval_text(spread_of(found.longest), 0)
    limit = f"{farm.fit_moisture.text} of the {farm.fit_moisture_of}"
    words = (
        f"Worked out from {springs} spring{'' if springs == 1 else 's'} of the weather file "
        f"({found.years[0]}{'' if springs == 1 else f' to {found.years[-1]}'}): the top layer of the field before any work, "
        f"day by day; a day is fit where the layer is below {limit}, your own limit, with less than "
        f"{constants('fit_days').rain_limit_mm:g} mm of rain and no frost. A spell of fit days lasts "
        f"{figure_text(found.spell_days, 1)} days on average; the longest of a window {spells} days, by spring."
    )
    if given is not None:
        counted = interval_text(spread_of(100 * estimate.sheet["fit_counted"]), 0)
        words += (
            f" The plan's own figure of {farm.fit_days.text if farm.fit_days else ''} wins; the count is {counted} %."
        )
    care = (
        "Hold the limit against the farm's diary: the limit that gives the fit days of past years is the right one for this "
        "field. The law, holidays and whether the ground bears a tanker are not asked."
    )
    blocks: list[Block] = [
        Text("Fit days from the weather", "title"),
        Text(words),
        Drawing("fit-weeks", to_svg(spec), f"Chance that a day is fit, by week. {said}"),
        Text(care, "warning"),
    ]
    if found.notes:
        blocks.append(Text(" ".join(f"{_capital(note)}." for note in found.notes), "small"))
    return blocks


def _day(date: dt.date) -> str:
    return f"{date.day} {_MONTHS[date.month - 1]}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
