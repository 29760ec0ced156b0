"""The parts of the report on whether a tractor is large enough, and on how long a hectare takes and why."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from spadework.estimate import Estimate, Spread
from spadework.present.charts.machines import pass_parts_chart
from spadework.present.charts.spec import to_svg
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Section, Text, anchor
from spadework.present.machines.match_facts import (
    FUEL_COLUMNS,
    POWER_PARTS,
    TIGHT_LOAD,
    TIME_PARTS,
    PassFacts,
    pass_facts,
    plot_run_m,
    row_values,
    spread_text,
)
from spadework.present.wording import INTERVAL, STANDING, decimals_for, figure_text, interval_text, spread_of
from spadework.ranges import FloatArray
from spadework.reference import load

__all__ = ["match_section", "time_section"]

_Facts = dict[int, list[PassFacts]]
_Row = dict[str, Any]

_ON_A_SHEET = 8
"""So many passes stand in one chart; more would not fit on a sheet of paper."""


def match_section(estimate: Estimate) -> Section:
    """Return, for each pass, the power that it needs by part against what its tractor has, and slip and ways out."""
    facts = pass_facts(estimate, range(len(estimate.systems)))
    ground = load("rolling")[estimate.plan.field.surface].label
    slip = "{:.0f} to {:.0f} %".format(*(100 * s for s in facts[0][0].slip_advised))
    blocks: list[Block] = [*_power_charts(estimate, facts), _match_grid(estimate, facts)]
    blocks.append(
        Text(
            "Power is at the power take-off, as the pass is planned. Enough up to: the speed, or the depth, or the width "
            "or rows, each by itself, that the tractor manages in nine draws of ten. Tight: over "
            f"{100 * TIGHT_LOAD:.0f} % load in more than a tenth of the draws, or slip above what is advised on {ground} "
            f"({slip}). The handbook's fixed ratio of drawbar power to power at the take-off is a check beside the slip; "
            "nothing is reckoned with it.",
            "small",
        )
    )
    blocks.append(
        Text(
            "Ballast, tyres, hitch and axle loads have limits of their own, set by the makers and by the rules of the road; "
            "keep to them.",
            "small",
        )
    )
    return Section("match", "Is the tractor large enough?", blocks)


def time_section(estimate: Estimate) -> Section:
    """Return, for each pass, its time by part, its rate against the handbook and against a plot, and its diesel."""
    facts = pass_facts(estimate, range(len(estimate.systems)))
    blocks: list[Block] = [*_time_charts(estimate, facts)]
    blocks.append(_pass_grid(estimate, facts, "Time of a hectare, h/ha", (*TIME_PARTS, "field_time"), _TIME_HEAD))
    blocks += [_rate_grid(estimate, facts), *_plot_blocks(estimate, facts), _fuel_grid(estimate, facts)]
    return Section("time", "How long does a hectare take, and why?", blocks)


_TIME_HEAD = (*TIME_PARTS.values(), "in all")


def _power_charts(estimate: Estimate, facts: _Facts) -> list[Drawing]:
    rows, totals = [], []
    for system, one in _every(facts):
        about = {"system": estimate.systems[system], "pass": one.name}
        mids = {part: float(np.median(kw)) for part, kw in zip(POWER_PARTS, one.power, strict=True)}
        rows += [{**about, "part": part, "mid": mid} for part, mid in mids.items()]
        rated = float(np.median(row_values(estimate, "rated_power", one.row)))
        limit = {"mark": rated, "by": one.step.tractor.name}
        totals.append({**about, **_three(row_values(estimate, "planned_power", one.row)), **limit})
    words = {"title": "What each pass asks of its tractor", "whole": "needed in all"}
    words["mark"] = "rated power at the take-off"
    return _charts("match-power", rows, totals, "kW", 0, words)


def _time_charts(estimate: Estimate, facts: _Facts) -> list[Drawing]:
    rows, totals = [], []
    for system, one in _every(facts):
        about = {"system": estimate.systems[system], "pass": one.name}
        for name, part in TIME_PARTS.items():
            rows.append({**about, "part": part, "mid": float(np.median(row_values(estimate, name, one.row)))})
        totals.append({**about, **_three(row_values(estimate, "field_time", one.row))})
    words = {"title": "Where the time of a hectare goes", "whole": "in all"}
    return _charts("time-parts", rows, totals, "h/ha", 2, words)


def _charts(
    name: str, rows: list[_Row], totals: list[_Row], unit: str, places: int, words: dict[str, str]
) -> list[Drawing]:
    """Return charts on one scale, of so many systems each as fit on a sheet."""
    shown = {row["part"] for row in rows if row["mid"] > 0}
    upto = max(max(total["high"], total.get("mark", 0.0)) for total in totals)
    found = []
    for number, group in enumerate(_sheets(totals), 1):
        own = [row for row in rows if row["system"] in group and row["part"] in shown]
        wholes = [total for total in totals if total["system"] in group]
        spec = pass_parts_chart(own, wholes, unit, upto=upto, standing=STANDING, interval=INTERVAL, **words)
        said = []
        for total in wholes:
            here = [row for row in own if (row["system"], row["pass"]) == (total["system"], total["pass"])]
            parts = ", ".join(f"{row['part']} {figure_text(row['mid'], places)}" for row in here if row["mid"] > 0)
            whole = interval_text(Spread(total["mid"], total["low"], total["high"]), places)
            limit = f" of {figure_text(total['mark'], places)}" if "mark" in total else ""
            said.append(f"{total['system']}, {total['pass']}: {whole}{limit} {unit} ({parts})")
        alt = f"{words['title']}, stacked bars by part. {'; '.join(said)}."
        found.append(Drawing(f"{name}-{number}", to_svg(spec), alt))
    return found


def _sheets(totals: list[_Row]) -> list[list[str]]:
    """Return the systems in groups of at most :data:`_ON_A_SHEET` passes, a longer system by itself."""
    groups: list[list[str]] = [[]]
    count = 0
    for system in dict.fromkeys(total["system"] for total in totals):
        passes = sum(total["system"] == system for total in totals)
        if groups[-1] and count + passes > _ON_A_SHEET:
            groups.append([])
            count = 0
        groups[-1].append(system)
        count += passes
    return groups


def _match_grid(estimate: Estimate, facts: _Facts) -> Grid:
    advised = "{:.0f} to {:.0f}".format(*(100 * s for s in facts[0][0].slip_advised))

    def cells(one: PassFacts) -> tuple[Cell, ...]:
        planned = float(np.median(row_values(estimate, "speed", one.row)))
        return (
            _figure(estimate, "planned_power", one, 0),
            _figure(estimate, "rated_power", one, 0),
            _figure(estimate, "load", one, 0, 100.0),
            _figure(estimate, "pull", one, 1, 0.001),
            _figure(estimate, "slip", one, 1, 100.0),
            Cell(one.enough(planned)),
            _figure(estimate, "handbook_power", one, 0),
            Cell(one.match.text, mark="" if one.match.word == "enough" else "warning"),
        )

    head = (
        *("pass and outfit", "needed, kW", "rated, kW", "load, %", "pull, kN", f"slip, % (advised {advised})"),
        *("enough up to", "by the handbook's ratio, kW", "the tractor is"),
    )
    rows = _by_system(estimate, facts, cells, outfit=True)
    return Grid("Power, pull and slip", head, rows, (2.0, 1.0, 0.6, 0.95, 1.15, 1.1, 1.15, 1.05, 1.1))


def _rate_grid(estimate: Estimate, facts: _Facts) -> Grid:
    def cells(one: PassFacts) -> tuple[Cell, ...]:
        low, high = (figure_text(100 * share, 0) for share in one.handbook)
        return (
            _figure(estimate, "pass_rate", one, 2),
            _figure(estimate, "pass_efficiency", one, 0, 100.0),
            Cell(f"{low} to {high}"),
            Cell(one.efficiency.text),
        )

    head = ("pass", "work rate, ha/h", "field efficiency, %", "handbook, %", "against the handbook")
    note = (
        "Field efficiency comes out of the parts above: work rate against speed times full width. The handbook's range is "
        "a check, not a correction; beside below stands the part that costs most."
    )
    return Grid("Work rate and field efficiency", head, _by_system(estimate, facts, cells), note=note)


def _plot_blocks(estimate: Estimate, facts: _Facts) -> list[Block]:
    run = figure_text(plot_run_m(), 0)

    def cells(one: PassFacts) -> tuple[Cell, ...]:
        against = spread_of(100 * (one.plot_rate / one.field_rate - 1))
        return (
            Cell(spread_text(one.plot_rate, 2)),
            Cell(spread_text(one.field_rate, 2), anchor("spread_time", one.step.system)),
            Cell(interval_text(against, 0, sign=True)),
            _figure(estimate, "pass_rate", one, 2),
        )

    head = (
        *("pass", f"plot, runs of {run} m, ha/h", "this field, ha/h", "plot against field, %"),
        "this field with all fetching and waiting, ha/h",
    )
    note = (
        f"Plot: time working on runs of {run} m, a turn after each, and the same share of resting and clearing; no headland "
        "beyond. Slurry and seed are left out of plot and field alike, up to the last column, which has them."
    )
    grid = Grid("The same pass on a plot and in this field", head, _by_system(estimate, facts, cells), note=note)
    warning = (
        f"The rate of a plot must not be quoted as that of a farm. Runs of {run} m make too much of turning and hide the "
        "filling; build the farm's rate from its own field, turns and supply, as here"
    )
    return [Text(f"{warning}.", "warning"), grid]


def _fuel_grid(estimate: Estimate, facts: _Facts) -> Grid:
    metered = any(
        one.step.done.measured_fuel is not None and one.step.done.measured_fuel.unit == "L/ha"
        for passes in facts.values()
        for one in passes
    )
    fed = {s: estimate.spread("supply_fuel", s) for s in facts}
    note = (
        "Pumping is part of working. Standing: filling, waiting, resting and clearing, at low idle. On the road: what the "
        "outfit itself drives to the store and back."
    )
    if metered:
        note += " Where the plan gives diesel as measured, the pass has the reading and its parts have the model."
    grid = _pass_grid(estimate, facts, "Diesel of a hectare, L/ha", tuple(FUEL_COLUMNS), tuple(FUEL_COLUMNS.values()))
    rows, after = list(grid.rows), 0
    for system, passes in facts.items():
        after += 1 + len(passes)
        if fed[system].high > 0:
            blank = (Cell(""),) * (len(FUEL_COLUMNS) - 1)
            last = Cell(interval_text(fed[system], 1), anchor("supply_fuel", system))
            rows.insert(after, (Cell("feeders that bring slurry"), *blank, last))
            after += 1
    return Grid(grid.caption, grid.head, tuple(rows), grid.widths, note=note)


def _pass_grid(estimate: Estimate, facts: _Facts, caption: str, names: tuple[str, ...], words: tuple[str, ...]) -> Grid:
    """Return a table of figures of every pass, all with the same decimals."""
    spreads = [spread_of(row_values(estimate, n, one.row)) for n in names for own in facts.values() for one in own]
    places = min(2, decimals_for(spreads))

    def cells(one: PassFacts) -> tuple[Cell, ...]:
        return tuple(_figure(estimate, name, one, places) for name in names)

    return Grid(caption, ("pass", *words), _by_system(estimate, facts, cells), (1.9, *(1.0 for _ in names)))


def _by_system(
    estimate: Estimate, facts: _Facts, cells: Callable[[PassFacts], tuple[Cell, ...]], *, outfit: bool = False
) -> tuple[tuple[Cell, ...], ...]:
    rows: list[tuple[Cell, ...]] = []
    for system, passes in facts.items():
        found = [(Cell(f"{one.name}: {one.outfit}" if outfit else one.name), *cells(one)) for one in passes]
        rows += [(Cell(estimate.systems[system], mark="lead"), *(Cell("") for _ in found[0][1:])), *found]
    return tuple(rows)


def _every(facts: _Facts) -> Iterator[tuple[int, PassFacts]]:
    for system, passes in facts.items():
        for one in passes:
            yield system, one


def _three(values: FloatArray) -> dict[str, float]:
    spread = spread_of(values)
    return {"mid": spread.mid, "low": spread.low, "high": spread.high}


def _figure(estimate: Estimate, name: str, one: PassFacts, places: int, factor: float = 1.0) -> Cell:
    values: FloatArray = row_values(estimate, name, one.row)
    return Cell(spread_text(values, places, factor), anchor(name, one.step.system))
