"""The parts of the report on money, diesel and time: the overview, what it costs and for what, and how sure it is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from spadework.estimate import Estimate, Spread
from spadework.estimate.chain import Chain, Step
from spadework.estimate.money.costs import COST_PARTS
from spadework.present.charts import spec as charts
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Items, Section, Text, anchor
from spadework.present.in_short import in_short
from spadework.present.wording import (
    GROUPS,
    INTERVAL,
    MAIN,
    STANDING,
    Main,
    chance,
    decimals_for,
    difference,
    figure_text,
    interval_text,
    spread_of,
    unit_of,
    weather_line,
)

__all__ = ["cost_section", "overview_section", "sureness_section", "systems_in_groups"]

_WIDE = 4
"""So many systems stand side by side in one table; more make further tables."""
_CHARTED = (
    ("cost", "Cost with slurry and fertiliser", ("cheaper", "dearer")),
    ("fuel", "Diesel", ("less", "more")),
    ("lost_n", "Nitrogen lost as ammonia", ("less", "more")),
)


def systems_in_groups(estimate: Estimate) -> list[list[int]]:
    """Return the systems, so many together as fit beside one another on a sheet."""
    every = list(range(len(estimate.systems)))
    return [every[i : i + _WIDE] for i in range(0, len(every), _WIDE)]


def overview_section(estimate: Estimate) -> Section:
    """Return every main figure of every system."""
    blocks: list[Block] = [
        Items(in_short(estimate)),
        Text(
            f"Each figure is the middle of {estimate.draws} draws of everything that is uncertain; in brackets the range "
            f"that holds {INTERVAL}. On screen every figure leads to its working.",
            "small",
        ),
    ]
    places = {main.name: decimals_for(_spreads(estimate, main), main.factor) for main in MAIN}
    for group in systems_in_groups(estimate):
        rows: list[tuple[Cell, ...]] = []
        for title, mains in GROUPS:
            known = [main for main in mains if any(estimate.has(main.name, s) for s in group)]
            if known:
                rows.append((Cell(title, mark="lead"), *(Cell("") for _ in group)))
            for main in known:
                figures = [_figure(estimate, main, s, places[main.name]) for s in group]
                rows.append((Cell(f"{main.title}, {unit_of(main, estimate)}"), *figures))
        head = ("", *(_named(estimate, s) for s in group))
        blocks.append(Grid("The systems side by side", head, tuple(rows), (1.6, *(1.0 for _ in group))))
    blocks.append(
        Text(
            f"Ammonia is held against this weather: {weather_line(estimate.weather)}. The factors used do not move with "
            "the weather; hot and windy hours lose more.",
            "small",
        )
    )
    blocks += [Text(f"{note}.", "warning") for note in estimate.notes]
    return Section("overview", "What will each system take, lose and leave?", blocks)


def cost_section(estimate: Estimate) -> Section:
    """Return the parts of the cost and every pass behind them."""
    currency = estimate.plan.prices.currency
    systems = range(len(estimate.systems))
    parts = [
        {"system": estimate.systems[s], "part": words, "mid": estimate.spread(name, s).mid}
        for s in systems
        for name, words in COST_PARTS.items()
    ]
    totals = [{"system": estimate.systems[s], **_three(estimate.spread("cost", s))} for s in systems]
    spec = charts.cost_parts_chart(parts, totals, f"{currency}/ha", standing=STANDING, interval=INTERVAL)
    said = "; ".join(
        f"{estimate.systems[s]} {interval_text(estimate.spread('cost', s))} {currency}/ha: "
        + ", ".join(f"{words} {figure_text(estimate.spread(name, s).mid, 0)}" for name, words in COST_PARTS.items())
        for s in systems
    )
    blocks: list[Block] = [Drawing("cost-parts", charts.to_svg(spec), f"Stacked bars of cost. {said}.")]
    chain = Chain(estimate.read)
    blocks += [_passes(estimate, chain, s) for s in systems]
    blocks.append(
        Text(
            "The cost of a pass holds its diesel and oil, labour, tractor and machines, not what brings its slurry.",
            "small",
        )
    )
    return Section("cost", "What does it cost, and for what?", blocks)


def sureness_section(estimate: Estimate) -> Section:
    """Return the differences to the baseline with the chance of their sign."""
    base = estimate.systems[estimate.baseline]
    others = [s for s in range(len(estimate.systems)) if s != estimate.baseline]
    blocks: list[Block] = [
        Text(
            "All systems are reckoned with the same draws, so what is uncertain for all of them (prices, the slurry) "
            f"falls out of the difference to {base}. The share of draws says what the models and the stated "
            "spreads make of it. It is no test and no promise: the models themselves may err, and nothing was measured."
        )
    ]
    for name, title, (less, more) in _CHARTED:
        main = next(m for m in MAIN if m.name == name)
        rows: list[dict[str, Any]] = []
        for s in others:
            values = difference(estimate, name, s)
            if values is not None:
                rows.append(
                    {"system": estimate.systems[s], **_three(spread_of(values)), "chance": chance(values, less, more)}
                )
        if rows:
            unit = unit_of(main, estimate)
            spec = charts.differences_chart(rows, unit, base, title=title, standing=STANDING, interval=INTERVAL)
            said = "; ".join(
                f"{row['system']}: {figure_text(row['mid'], 1, sign=True)} {unit}, {row['chance']}" for row in rows
            )
            blocks.append(Drawing(f"difference-{name}", charts.to_svg(spec), f"{title}, less that of {base}. {said}."))
    blocks += [_difference_grid(estimate, others[i : i + 3], base) for i in range(0, len(others), 3)]
    return Section("sure", "How sure is the difference?", blocks)


def _difference_grid(estimate: Estimate, group: list[int], base: str) -> Grid:
    rows = []
    for main in MAIN:
        known = {s: values for s in group if (values := difference(estimate, main.name, s)) is not None}
        if not known:
            continue
        spreads = {s: spread_of(values) for s, values in known.items()}
        places = min(2, decimals_for(spreads.values(), main.factor))
        unit = unit_of(main, estimate)
        cells = [
            Cell(
                f"{interval_text(spreads[s], places, main.factor, sign=True)}; {chance(known[s])}",
                anchor(main.name, s),
            )
            if s in known
            else Cell("–")
            for s in group
        ]
        rows.append((Cell(f"{main.title}, {unit}"), *cells))
    head = ("", *(f"{estimate.systems[s]} less {base}" for s in group))
    return Grid(f"Every difference to {base}", head, tuple(rows), (1.5, *(1.3 for _ in group)))


def _passes(estimate: Estimate, chain: Chain, system: int) -> Grid:
    currency = estimate.plan.prices.currency
    rows = []
    for number, index in enumerate(chain.steps_of(system), 1):
        step = chain.steps[index]

        def row(name: str, places: int, factor: float = 1.0, index: int = index) -> Cell:
            spread = spread_of(estimate.sheet.figures[name].values[index])
            return Cell(interval_text(spread, places, factor), anchor(name, system))

        speed = spread_of(estimate.sheet.figures["work_speed"].values[index])
        rows.append(
            (
                Cell(f"{number} {step.worker.name}: {_outfit(step)}"),
                Cell(figure_text(step.width_m, 1), anchor("width", system)),
                Cell(step.done.depth.text if step.done.depth is not None else "–"),
                Cell(interval_text(speed, 1), anchor("work_speed", system)),
                row("pass_rate", 2),
                row("pass_fuel", 1),
                row("pass_full", 0),
            )
        )
    head = (
        *("pass and outfit", "width, m", "depth", "speed, km/h", "work rate, ha/h", "diesel, L/ha"),
        f"cost, {currency}/ha",
    )
    widths = (2.4, 0.7, 1.0, 0.9, 1.3, 1.3, 1.2)
    return Grid(f"Passes of {estimate.systems[system]}", head, tuple(rows), widths)


def _outfit(step: Step) -> str:
    return " + ".join((step.tractor.name, *(m.name for m in step.machines if m is not step.worker)))


def _spreads(estimate: Estimate, main: Main) -> Iterator[Spread]:
    for s in range(len(estimate.systems)):
        if estimate.has(main.name, s):
            yield estimate.spread(main.name, s)


def _figure(estimate: Estimate, main: Main, system: int, places: int) -> Cell:
    if not estimate.has(main.name, system):
        return Cell("–")
    return Cell(interval_text(estimate.spread(main.name, system), places, main.factor), anchor(main.name, system))


def _named(estimate: Estimate, system: int) -> str:
    return estimate.systems[system] + (" (baseline)" if system == estimate.baseline else "")


def _three(spread: Spread) -> dict[str, float]:
    return {"mid": spread.mid, "low": spread.low, "high": spread.high}
