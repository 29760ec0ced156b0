"""The parts of the report on what the crop needs, what counts as available, balances, and gases side by side."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from spadework.estimate import Estimate, Spread
from spadework.estimate.chain import Chain
from spadework.estimate.slurry.availability import BASES, counted
from spadework.estimate.slurry.balances import NUTRIENTS
from spadework.estimate.slurry.gases import GAS_PARTS, trade_off
from spadework.present.charts import spec as charts
from spadework.present.charts.nitrogen import gases_chart
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Section, Text, anchor
from spadework.present.report.money import systems_in_groups
from spadework.present.wording import (
    INTERVAL,
    STANDING,
    chance,
    decimals_for,
    figure_text,
    interval_text,
    spread_of,
)

__all__ = ["available_blocks", "balances_section", "figure_grid", "gases_section", "need_blocks"]

_STEPS = (
    ("target_n", "Target value"),
    ("yield_adjustment", "More or less for the yield"),
    ("nmin", "Mineral N of the soil, to be taken off"),
    ("soil_supply", "From humus, preceding crop and catch crop, to be taken off"),
    ("last_year_organic", "Organic N given last year, a share of it to be taken off"),
    ("n_need", "Nitrogen that the crop needs"),
)
_CHECK = "A planning aid, not a ruling: check locally."


def figure_grid(
    estimate: Estimate, group: Sequence[int], figures: Sequence[tuple[str, str, float]], caption: str
) -> Grid:
    """Return a table of figures by system: name on the sheet, words, factor."""
    rows = []
    for name, words, factor in figures:
        known = {s: estimate.spread(name, s) for s in group if estimate.has(name, s)}
        if not known:
            continue
        spread = any(one.high > one.low for one in known.values())
        places = decimals_for(known.values(), factor) if spread else None
        cells = [
            Cell(interval_text(known[s], places, factor), anchor(name, s)) if s in known else Cell("–") for s in group
        ]
        rows.append((Cell(words), *cells))
    head = ("", *(estimate.systems[s] for s in group))
    return Grid(caption, head, tuple(rows), (1.6, *(1.0 for _ in group)))


def need_blocks(estimate: Estimate) -> list[Block]:
    """Return how the need of nitrogen came about, step by step where the plan leaves it to a reckoning."""
    crop = estimate.plan.crop
    if crop.need is None:
        return []
    rows = []
    for name, words in _STEPS:
        if name in estimate.sheet.figures:
            figure = estimate.sheet.figures[name]
            low, mid, high = np.quantile(figure.values, (0.1, 0.5, 0.9))
            text = figure_text(float(mid), 0)
            if high > low:
                text += f" ({figure_text(float(low), 0)} to {figure_text(float(high), 0)})"
            rows.append((Cell(words), Cell(text, anchor(name, None))))
    caption = f"Need of nitrogen, by {crop.need.by}"
    grid = Grid(caption, ("", "kg N/ha"), tuple(rows), (3, 1), note=_CHECK)
    return [Text("What the crop needs", "title"), grid]


def available_blocks(estimate: Estimate) -> list[Block]:
    """Return what other ways of counting would say of the available nitrogen, law apart from advice."""
    chain = Chain(estimate.read)
    systems = [s for s in range(len(estimate.systems)) if chain.placing_step(s) is not None]
    if not systems:
        return []
    basis = estimate.plan.crop.n_available
    blocks: list[list[tuple[Cell, ...]]] = []
    for start in range(0, len(systems), 4):
        group = systems[start : start + 4]
        spreads = {s: estimate.spread("available_n", s) for s in group}
        places = decimals_for(spreads.values())
        first = [Cell(interval_text(spreads[s], places), anchor("available_n", s)) for s in group]
        rows: list[tuple[Cell, ...]] = [(Cell(f"here, {basis}"), *first)]
        rows += [_rival(estimate, chain, other, group) for other in BASES[1:] if other != basis]
        blocks.append(rows)
    head = [("", *(estimate.systems[s] for s in systems[i : i + 4])) for i in range(0, len(systems), 4)]
    note = (
        "Advice is a mean over trials that knows no weather. What is marked as a rule is a figure of law or of its "
        f"application: it says what must be counted, not what the crop finds. {_CHECK}"
    )
    grids = [
        Grid("Nitrogen that counts this year, kg N/ha", h, tuple(r), (2, *(1.0 for _ in h[1:])), note=note)
        for h, r in zip(head, blocks, strict=True)
    ]
    return [Text("What others would let count", "title"), *grids]


def _rival(estimate: Estimate, chain: Chain, basis: str, group: Sequence[int]) -> tuple[Cell, ...]:
    cells, law, standings = [], False, []
    for s in group:
        found = counted(basis, chain, estimate.sheet, s)
        if isinstance(found, str):
            cells.append(Cell(found))
            continue
        law = found.by_law
        standings.append(found.citation.standing)
        cells.append(Cell(interval_text(spread_of(found.share * estimate.values("total_n_dose", s)), 0)))
    marks = ", ".join(dict.fromkeys(standings))
    said = f"{basis}{' (rule)' if law else ' (advice)'}" + (f" [{marks}]" if marks else "")
    return (Cell(said), *cells)


def balances_section(estimate: Estimate) -> Section:
    """Return phosphate and potash brought, taken away and bought, with what slurry saves of them."""
    plan, currency = estimate.plan, estimate.plan.prices.currency
    blocks: list[Block] = []
    for nutrient, (words, brought, key) in NUTRIENTS.items():
        priced = getattr(plan.prices, key) is not None
        rows = [
            (f"{brought}_dose", f"Brought with slurry, kg {nutrient.upper()}/ha", 1.0),
            (f"starter_{nutrient}", "In the starter, kg/ha", 1.0),
            (f"{nutrient}_need_left", "Needed beside the starter, kg/ha", 1.0),
            (f"{nutrient}_replaced", "Bought replaced by slurry, kg/ha", 1.0),
            (f"{nutrient}_bought", "Still to be bought, kg/ha", 1.0),
            (f"{nutrient}_balance", "Balance with the harvest, kg/ha", 1.0),
        ]
        if priced:
            rows.append((f"{nutrient}_value", f"Saved by slurry, {currency}/ha", 1.0))
        removed = estimate.sheet.figures[f"{nutrient}_removed"].values
        note = f"The harvest takes away {interval_text(spread_of(removed))} kg/ha."
        if f"{nutrient}_need" not in estimate.sheet.figures:
            note += " The plan names no need, so as much as that is taken to be needed."
        if not priced:
            note += f" The plan has no price of {key}: counted, not priced."
        for group in systems_in_groups(estimate):
            grid = figure_grid(estimate, group, rows, words[0].upper() + words[1:])
            blocks.append(Grid(grid.caption, grid.head, grid.rows, grid.widths, note=note))
    if plan.crop.starter is not None:
        saved = [(estimate.systems[s], estimate.spread("starter_saved", s).mid) for s in range(len(estimate.systems))]
        words = "; ".join(f"{name}: {figure_text(mid, 0)} {currency}/ha" for name, mid in saved if mid > 0)
        blocks.append(
            Text(
                f"Starter: {plan.crop.starter.rate.text} of {plan.crop.starter.name}. "
                + (f"Left out, so saved: {words}. " if words else "Every system gets it. ")
                + "Whether a system may do without is the plan's own saying, not a finding.",
                "small",
            )
        )
    return Section("balances", "What of phosphate and potash?", blocks)


def gases_section(estimate: Estimate) -> Section:
    """Return ammonia beside greenhouse gases, so that a trade-off is seen."""
    systems = range(len(estimate.systems))
    ammonia = [{"system": estimate.systems[s], **_three(estimate, "lost_n", s)} for s in systems]
    totals = [{"system": estimate.systems[s], **_three(estimate, "co2e", s)} for s in systems]
    parts = [
        {"system": estimate.systems[s], "part": words, "mid": estimate.spread(name, s).mid}
        for s in systems
        for name, words in GAS_PARTS.items()
    ]
    spec = gases_chart(ammonia, parts, totals, standing=STANDING, interval=INTERVAL)
    said = "; ".join(
        f"{a['system']}: ammonia {figure_text(float(str(a['mid'])), 0)} kg N/ha, greenhouse gases "
        f"{figure_text(float(str(t['mid'])), 0)} kg CO2e/ha"
        for a, t in zip(ammonia, totals, strict=True)
    )
    blocks: list[Block] = [Drawing("gases", charts.to_svg(spec), f"Bars of ammonia and of greenhouse gases. {said}.")]
    named = [("lost_n", "Lost as ammonia, kg N/ha", 1.0), *((k, f"{w}, kg CO2e/ha", 1.0) for k, w in GAS_PARTS.items())]
    figures = [(name, words[0].upper() + words[1:], factor) for name, words, factor in named]
    figures.append(("co2e", "All greenhouse gases, kg CO2e/ha", 1.0))
    blocks += [figure_grid(estimate, g, figures, "Ammonia and greenhouse gases") for g in systems_in_groups(estimate)]
    blocks += [Text(words) for s in systems if (words := _trade_off(estimate, s))]
    blocks.append(
        Text(
            "How placing moves nitrous oxide is drawn from trials that contradict each other: a band has given less than, "
            "as much as and several times what slurry on the surface gave, and an inhibitor may do nothing in heavy "
            "rain. Both ranges are in the draws. Making diesel, machines and bought nitrogen is not counted.",
            "small",
        )
    )
    return Section("gases", "Less ammonia, more of another gas?", blocks)


def _trade_off(estimate: Estimate, system: int) -> str:
    found = trade_off(estimate.sheet, system, estimate.baseline)
    if found is None:
        return ""
    name, base = estimate.systems[system], estimate.systems[estimate.baseline]
    kept, warming = spread_of(found.kept_n), spread_of(found.co2e)
    text = (
        f"Against {base}, {name} loses {interval_text(Spread(-kept.mid, -kept.high, -kept.low), 1, sign=True)} kg N/ha as "
        f"ammonia and {interval_text(warming, 0, sign=True)} kg CO2e/ha as nitrous oxide ({chance(found.co2e)})."
    )
    if found.break_even is not None:
        even, here = spread_of(found.break_even), spread_of(found.ef)
        beyond = 100 * float(np.mean(found.ef > found.break_even))
        text += (
            f" The ammonia kept is used up where more than {interval_text(even, 2, 100.0)} % of the nitrogen goes as "
            f"nitrous oxide; here {interval_text(here, 2, 100.0)} %, beyond that in {beyond:.0f} % of draws."
        )
    return text


def _three(estimate: Estimate, name: str, system: int) -> dict[str, float]:
    spread = estimate.spread(name, system)
    return {"mid": spread.mid, "low": spread.low, "high": spread.high}
