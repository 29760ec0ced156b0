"""The part of the report on hiring, owning and what is there: three views of every pass, and where they meet."""

from __future__ import annotations

import numpy as np

from spadework.estimate import Estimate
from spadework.present.charts import money as charts_money
from spadework.present.charts.money import AreaPanel, Point
from spadework.present.charts.spec import to_svg
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Items, Section, Text, anchor
from spadework.present.machines.views_words import (
    PassView,
    area_text,
    asked_line,
    contractor_total,
    fairness,
    money_text,
    pass_views,
)
from spadework.present.wording import INTERVAL, STANDING, decimals_for, figure_text, interval_text, spread_of
from spadework.ranges import FloatArray

__all__ = ["views_section"]

_POINTS = 60
_HEADROOM = 2.0  # top of a panel, in its dearest level figure; small areas cost more than is worth showing
_AMOUNTS = (
    ("pass_cost", "passes and bringing the slurry, {}/ha"),
    ("cost_per_m3", "the same, {}/m3 of slurry"),
    ("cost", "with slurry and fertiliser, {}/ha"),
    ("cost_per_tonne", "the same, {}/t of dry matter"),
)


def views_section(estimate: Estimate) -> Section:
    """Return every pass as hired, as owned in full and as one more hectare, and from which area on owning pays."""
    views = pass_views(estimate)
    blocks: list[Block] = [
        Text(
            "The same work in three views: what a contractor asks; what own machines cost in full, shared over the hours "
            "a year in the plan; and what one more hectare costs with machines that are there anyway (diesel, oil, labour, "
            f"repairs). Figures in brackets hold {INTERVAL}."
        ),
        _passes(estimate, views),
    ]
    panels = _panels(estimate, views)
    if panels:
        unit = f"{estimate.plan.prices.currency}/ha"
        spec = charts_money.cost_area_chart(panels, unit, standing=STANDING, interval=INTERVAL)
        said = " ".join(f"{panel.title}: {'; '.join(panel.lines)}." for panel in panels)
        blocks.append(Drawing("cost-by-area", to_svg(spec), f"Own cost by area against the contractor's price. {said}"))
        blocks.append(_asked(estimate, views))
    blocks += [_amounts(estimate), Items(tuple(fairness(estimate, views)))]
    return Section("views", "Hire it, own it, or use what is there?", blocks)


def _passes(estimate: Estimate, views: list[list[PassView]]) -> Grid:
    currency = estimate.plan.prices.currency
    rows: list[tuple[Cell, ...]] = []
    for s, system in enumerate(views):
        rows.append((Cell(estimate.systems[s], mark="lead"), *(Cell("") for _ in range(6))))
        rows += [_pass(view) for view in system]
        total = contractor_total(system)
        rows.append(
            (
                Cell("all passes"),
                Cell(total if isinstance(total, str) else money_text(total)),
                Cell(money_text(estimate.values("full_cost", s)), anchor("full_cost", s)),
                Cell(money_text(estimate.values("marginal_cost", s)), anchor("marginal_cost", s)),
                Cell(""),
                Cell(""),
                Cell(
                    ""
                    if isinstance(total, str)
                    else _against(spread_of(estimate.values("full_cost", s) - total).mid, currency)
                ),
            )
        )
    head = (
        *("pass and outfit", f"contractor, {currency}/ha", f"own, in full, {currency}/ha"),
        *(f"own, one more hectare, {currency}/ha", "your use, ha/year", "own pays from, ha/year", "in words"),
    )
    note = (
        "Your use: the hours a year in the plan of the least used machine of the pass, at the pace of this pass. Own pays "
        "from: this pass on more hectares, all other work of the machines as it is, years kept as in the plan; looked for "
        "as far as the machines last."
    )
    return Grid("What each pass costs, three ways", head, tuple(rows), (1.9, 1.1, 1.1, 1.1, 0.9, 1.0, 1.5), note=note)


def _pass(view: PassView) -> tuple[Cell, ...]:
    s = view.system
    hired = Cell("–") if view.hired is None else Cell(money_text(view.hired), anchor("hired_cost", s))
    return (
        Cell(view.outfit),
        hired,
        Cell(money_text(view.full), anchor("pass_full", s)),
        Cell(money_text(view.marginal), anchor("pass_marginal", s)),
        Cell(area_text(view.owned.use)),
        Cell("–" if view.pays_from is None else area_text(view.pays_from)),
        Cell(view.verdict),
    )


def _against(more: float, currency: str) -> str:
    word = "more" if more > 0 else "less"
    return f"own in full {figure_text(abs(more), 0)} {currency}/ha {word} than hired"


def _distinct(views: list[list[PassView]]) -> list[tuple[PassView, list[int]]]:
    """Return the passes that a contractor was asked about, each once, with the systems that have it."""
    found: list[tuple[PassView, list[int]]] = []
    for view in (view for system in views for view in system if view.hired is not None):
        for known, systems in found:
            if known.alike(view):
                systems.append(view.system)
                break
        else:
            found.append((view, [view.system]))
    return found


def _panels(estimate: Estimate, views: list[list[PassView]]) -> list[AreaPanel]:
    return [_panel(estimate, view) for view, _ in _distinct(views)]


def _panel(estimate: Estimate, view: PassView) -> AreaPanel:
    hired, pays = view.hired, view.pays_from
    if hired is None or pays is None:
        raise ValueError(f"{view.title}: no contractor was asked")
    currency = estimate.plan.prices.currency
    use, full = float(np.median(view.owned.use)), spread_of(view.full)
    pays_mid = float(np.quantile(pays, 0.5, method="inverted_cdf"))
    asked = spread_of(hired)
    right = min(1.25 * max(use, pays_mid if np.isfinite(pays_mid) else 0.0), float(view.owned.most.min()))
    areas = np.linspace(right / _POINTS, right, _POINTS)
    curve = [_point(area, values) for area, values in zip(areas, view.owned.cost(areas), strict=True)]
    top = _HEADROOM * max(full.high, asked.high)
    shown = [point for point in curve if point.high <= top] or curve
    lines = [
        f"your use {figure_text(use, 0)} ha: {money_text(view.full)} {currency}/ha",
        f"contractor: {money_text(hired)} {currency}/ha",
        "no area pays" if np.isinf(pays_mid) else f"own costs less from {area_text(pays)} ha",
    ]
    return AreaPanel(
        view.title,
        shown if len(shown) > 1 else curve,
        float(np.median(view.owned.worn_out)),
        Point(0.0, asked.mid, asked.low, asked.high),
        Point(use, full.mid, full.low, full.high),
        None if np.isinf(pays_mid) else pays_mid,
        lines,
    )


def _point(area: float, values: FloatArray) -> Point:
    spread = spread_of(values)
    return Point(float(area), spread.mid, spread.low, spread.high)


def _asked(estimate: Estimate, views: list[list[PassView]]) -> Grid:
    currency = estimate.plan.prices.currency
    rows = []
    for view, systems in _distinct(views):
        contractor, hired = view.contractor, view.hired
        if contractor is None or hired is None:
            continue
        stated = view.of_hired("hired_stated")
        taxed = view.of_hired("hired_taxed") if "hired_taxed" in estimate.sheet.figures else stated
        s = view.system
        rows.append(
            (
                Cell(f"{view.title} ({', '.join(estimate.systems[i] for i in systems)})"),
                Cell(f"{contractor.name}: {asked_line(contractor)}"),
                Cell(money_text(stated), anchor("hired_stated", s)),
                Cell(_moved(taxed - stated, hired - taxed)),
                Cell(money_text(hired), anchor("hired_cost", s)),
            )
        )
    head = (
        *("pass", "asked", f"as asked, {currency}/ha", f"put on or taken off, {currency}/ha"),
        f"compared at, {currency}/ha",
    )
    return Grid("What contractors asked, and what was done to it", head, tuple(rows), (1.3, 2.3, 0.9, 1.2, 1.0))


def _moved(tax: FloatArray, diesel: FloatArray) -> str:
    parts = [
        f"{words} {interval_text(spread_of(values), 1, sign=True)}"
        for words, values in (("tax", tax), ("diesel", diesel))
        if np.any(np.abs(values) > 1e-9)
    ]
    return "; ".join(parts) or "nothing"


def _amounts(estimate: Estimate) -> Grid:
    currency = estimate.plan.prices.currency
    systems = range(len(estimate.systems))
    places = {
        name: decimals_for([estimate.spread(name, s) for s in systems if estimate.has(name, s)]) for name, _ in _AMOUNTS
    }
    rows = tuple(
        (
            Cell(estimate.systems[s] + (" (baseline)" if s == estimate.baseline else "")),
            *(
                Cell(interval_text(estimate.spread(name, s), places[name]), anchor(name, s))
                if estimate.has(name, s)
                else Cell("–")
                for name, _ in _AMOUNTS
            ),
        )
        for s in systems
    )
    head = ("", *(words.format(currency) for _, words in _AMOUNTS))
    note = "Own machines in full. What costs less by the hectare can cost more by the cubic metre or by the tonne."
    return Grid("By the hectare, by the cubic metre, by the tonne", head, rows, (1.2, 1.2, 1.2, 1.2, 1.2), note=note)
