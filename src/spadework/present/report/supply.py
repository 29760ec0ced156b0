"""The part of the report on the supply of slurry: who waits for whom, what a load lasts, and from where another way pays."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from spadework.estimate import Estimate
from spadework.estimate.supply.ways import (
    GRID_DRAWS,
    Ways,
    feeders_table,
    supply_day,
    usual_distances,
    ways_at,
)
from spadework.estimate.workings.explain import unit_text
from spadework.present.charts.spec import to_svg
from spadework.present.charts.supply import day_drawing, distance_chart
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Items, Section, Text
from spadework.present.machines.supply_words import (
    HOSE_WORDS,
    Placing,
    feeders_cells,
    load_words,
    outfits,
    placing_step_of,
    placing_systems,
    supply_rows,
    waiting_words,
    ways_words,
    without_empty,
)
from spadework.present.wording import INTERVAL, STANDING, figure_text, spread_of
from spadework.reference import constants
from spadework.science.machinery import SupplyRun, simulate

__all__ = ["day_words", "supply_section"]

_WIDE = 4
_SEEDS = range(1, 6)
_LOADS = 240


def supply_section(estimate: Estimate) -> Section | None:
    """Return who waits for whom; nothing where no system places slurry."""
    systems = placing_systems(estimate)
    if not systems:
        return None
    blocks: list[Block] = [
        Text(
            "The slowest of outfit, feeders, filling point and meeting sets the pace; the others wait for it. Times are "
            "reckoned as if every round took its mean; the day drawn below shows one by one who does what."
        ),
        *_overview(estimate, systems),
        Items(tuple((estimate.systems[s], f"{waiting_words(estimate, s)} {load_words(estimate, s)}") for s in systems)),
    ]
    for number, group in enumerate(outfits(estimate, systems)):
        blocks += _outfit_blocks(estimate, group, number)
    blocks += _day_blocks(estimate, _waits_most(estimate, systems))
    return Section("supply", "Who waits for whom?", blocks)


def _overview(estimate: Estimate, systems: list[int]) -> Iterator[Grid]:
    for start in range(0, len(systems), _WIDE):
        group = systems[start : start + _WIDE]
        columns = [supply_rows(estimate, s) for s in group]
        rows = tuple((Cell(words), *cells) for words, cells in without_empty(columns))
        head = ("", *(estimate.systems[s] for s in group))
        yield Grid(
            "How slurry comes to the systems", head, rows, (1.5, *(1.0 for _ in group)),
            note="The spreading outfit counts in full, with its tractor, diesel and driver; feeders are paid while they wait.",
        )  # fmt: skip


def _outfit_blocks(estimate: Estimate, group: list[int], number: int) -> list[Block]:
    system, currency = group[0], estimate.plan.prices.currency
    names = " and ".join(estimate.systems[s] for s in group)
    step = placing_step_of(estimate, system)
    outfit = "; ".join(m.name for m in step.machines)
    blocks: list[Block] = [Text(f"The outfit of {names}: {outfit}", "title")]
    if rows := feeders_table(estimate, system):
        head = ("feeders", "ha/h", "outfit waits, %", "feeders wait, %", unit_text("EUR/m3", currency), "note")
        grid = tuple(tuple(Cell(text) for text in feeders_cells(row)) for row in rows)
        title = f"What other numbers of feeders would do, {estimate.plan.field.store_distance.text} from the store"
        blocks.append(Grid(title, head, grid, (0.7, 1.2, 1.2, 1.2, 1.3, 1.5)))
    ways = ways_at(estimate, system, usual_distances(estimate))
    unit = unit_text("EUR/m3", currency)
    spec = distance_chart(
        list(_chart_rows(ways)), estimate.plan.field.store_distance.value, unit,
        title=f"Cost of a cubic metre in the ground: {step.worker.name}", standing=STANDING, interval=INTERVAL,
    )  # fmt: skip
    words = ways_words(ways)
    said_all = "; ".join(words) or "only one way can be priced"
    blocks.append(Drawing(f"supply-ways-{number}", to_svg(spec), f"Lines of cost against distance. {said_all}."))
    blocks.append(Items(tuple(_led(text) for text in words)))
    thinned = f" Every distance is gone through with {GRID_DRAWS} of the draws." if estimate.draws > GRID_DRAWS else ""
    hose = f"{HOSE_WORDS} " if any(o.way == "hose" for o in ways.options) else ""
    brought = "What others charge is taken as the same at every distance. " if _has(ways, "brought") else ""
    small = (
        f"{hose}{brought}Each way is priced like the passes: outfit and supply, all in, the number of feeders as in the "
        f"plan.{thinned}"
    )
    blocks.append(Text(small, "small"))
    return [*blocks, *(Text(f"{note}.", "warning") for note in ways.notes)]


def _led(text: str) -> tuple[str, str]:
    lead, _, rest = text.partition(": ")
    return lead, f"{rest}."


def _chart_rows(ways: Ways) -> Iterator[dict[str, Any]]:
    for row, option in enumerate(ways.options):
        label = f"{option.label} (in the plan)" if option.planned else option.label
        for place, km in enumerate(ways.distances_km):
            cost = ways.cost_eur_m3[row, place]
            if np.isfinite(cost).all():
                spread = spread_of(cost)
                yield {"way": label, "km": float(km), "mid": spread.mid, "low": spread.low, "high": spread.high}


def _day_blocks(estimate: Estimate, system: int) -> list[Block]:
    day, closed = supply_day(estimate, system)
    vary = constants("slurry_supply")["times_cv_share"].value
    run = simulate(replace(day, cv_share=vary, seed=1))
    until = _shown_min(run)
    name = estimate.systems[system]
    whole = f"{run.minutes / 60:.1f}".removesuffix(".0")
    part = f"the first {until / 60:.2g} of {whole} h" if until < run.minutes else f"all {whole} h"
    svg = day_drawing(
        run, {"spreader": "spreading outfit"}, until, title=f"A day of {name}: who does what",
        subtitle=f"{STANDING}; every input at its middle, times vary by {100 * vary:.0f} %; {part}",
    )  # fmt: skip
    waits = ", ".join(
        f"{ {'spreader': 'the outfit'}.get(v, v) } waits {100 * run.waits_share(v):.0f} %" for v in run.stretches
    )
    alt = f"Lanes of a day of {name}, one for each vehicle. Over the whole day {waits} of its time."
    return [Drawing("supply-day", svg, alt), Text(day_words(estimate, system, closed), "small")]


def day_words(estimate: Estimate, system: int, closed: float) -> str:
    """Return how far days gone through event by event are from the figures above."""
    day, _ = supply_day(estimate, system)
    vary = constants("slurry_supply")["times_cv_share"].value
    if day.way == "hose":
        still = simulate(replace(day, hours=10_000)).day_m3_h
        varied = [simulate(replace(day, hours=10_000, cv_share=vary, seed=seed)).day_m3_h for seed in _SEEDS]
    else:
        long = replace(day, area_ha=None, hours=_LOADS * day.load_m3 / closed)
        still = simulate(long).steady_m3_h
        varied = [simulate(replace(long, cv_share=vary, seed=seed)).steady_m3_h for seed in _SEEDS]
    mean = float(np.mean(varied))
    return (
        f"{estimate.systems[system]}, gone through load by load with every input at its middle: {still:.1f} m3/h if nothing "
        f"varies, {_off(still, closed)} the {closed:.1f} m3/h reckoned from the slowest link; {mean:.1f} m3/h "
        f"({_off(mean, closed)} it), mean of {len(varied)} long days, if times vary by {100 * vary:.0f} % [choice]."
    )


def _off(found: float, closed: float) -> str:
    off = 100 * (found / closed - 1)
    if abs(off) < 0.05:
        return "the same as"
    return f"{figure_text(abs(off), 1)} % {'above' if off > 0 else 'below'}"


def _shown_min(run: SupplyRun) -> float:
    """Return how much of a day is drawn: some rounds of the slowest vehicle, in half hours."""
    fills = [s.start_min for book in run.stretches.values() for s in book if s.what in ("fills", "hands over")]
    books = [[s.start_min for s in book if s.what == "spreads"] for book in run.stretches.values()]
    starts = max(books, key=len) if fills else []
    if len(starts) < 3:
        return run.minutes
    rounds = (starts[-1] - starts[0]) / (len(starts) - 1)
    return min(run.minutes, 30 * math.ceil(max(7 * rounds, 60) / 30))


def _waits_most(estimate: Estimate, systems: list[int]) -> int:
    def waits(system: int) -> float:
        own = Placing(estimate, system)
        if not own.axis:
            return -1.0
        return sum(float(np.median(own.of(f"{own.axis}_{who}_waits"))) for who in ("spreader", "feeder"))

    return max(systems, key=waits)


def _has(ways: Ways, way: str) -> bool:
    return any(option.way == way for option in ways.options)
