"""The part of the report on nitrogen: its way from store to crop, and what another source would say of the ammonia."""

from __future__ import annotations

from dataclasses import replace

from spadework.estimate import Estimate
from spadework.estimate.chain import Chain
from spadework.estimate.slurry.nitrogen import later_years
from spadework.plan.outfits import kind_of
from spadework.present.charts import spec as charts
from spadework.present.charts.nitrogen import flow_chart
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Section, Text, anchor
from spadework.present.report.money import systems_in_groups
from spadework.present.report.need import available_blocks, figure_grid, need_blocks
from spadework.present.report.slurry import slurry_blocks
from spadework.present.wording import STANDING, figure_text, interval_text, weather_line
from spadework.reference import Row, load

__all__ = ["nitrogen_section", "rival_row"]

_FLOW = (
    ("in the slurry", (
        ("ammonia, lost", "lost_n"), ("ammoniacal, kept", "kept_n"), ("organic", "organic_n"),
    )),
    ("usable this year", (("replaces bought N", "replaced_n"), ("beyond the need", "beyond_n"))),
    ("need of the crop", (
        ("replaces bought N", "replaced_n"), ("from the starter", "starter_n"), ("to be bought", "bought_n"),
    )),
)  # fmt: skip
_ROWS = (
    ("total_n_dose", "Total N in the slurry, kg N/ha", 1.0),
    ("ammoniacal_n_dose", "of that ammoniacal, kg N/ha", 1.0),
    ("delay", "Slurry lies uncovered, mean of the field, h", 1.0),
    ("lost_n", "Lost as ammonia, kg N/ha", 1.0),
    ("loss_share", "Lost, % of ammoniacal N", 100.0),
    ("kept_n", "Ammoniacal N kept, kg N/ha", 1.0),
    ("available_n", "The crop can use this year, kg N/ha", 1.0),
    ("replaced_n", "Replaces bought N, kg N/ha", 1.0),
    ("starter_n", "N in the starter, kg N/ha", 1.0),
    ("bought_n", "Still to be bought, kg N/ha", 1.0),
)
_LATER = (("later_n", "N for the crops of the years after, kg N/ha", 1.0),)
_UNITED_NATIONS = "ammonia_abatement_unece"
_DUTCH = "ammonia_factors_dutch"


def nitrogen_section(estimate: Estimate) -> Section:
    """Return the way of nitrogen, the ammonia with its weather, need, rival figures by name, and later years."""
    rows = [
        {"system": name, "bar": bar, "part": part, "mid": _mid(estimate, figure, s)}
        for s, name in enumerate(estimate.systems)
        for bar, parts in _FLOW
        for part, figure in parts
    ]
    spec = flow_chart(rows, standing=STANDING)
    said = "; ".join(f"{r['system']}, {r['bar']}, {r['part']}: {figure_text(float(str(r['mid'])), 0)}" for r in rows)
    alt = f"Stacked bars of the way of nitrogen, kg N/ha. {said}."
    blocks: list[Block] = [Drawing("nitrogen-path", charts.to_svg(spec), alt), *slurry_blocks(estimate)]
    blocks += [
        figure_grid(estimate, group, _ROWS, "Nitrogen from store to crop") for group in systems_in_groups(estimate)
    ]
    blocks.append(
        Text(
            f"Weather of the spreading hours: {weather_line(estimate.weather)}. It stands here so that nobody reads an "
            "ammonia figure without it; the factors used are means over many trials and do not move with it.",
            "small",
        )
    )
    blocks += _rivals(estimate)
    blocks += need_blocks(estimate)
    blocks += available_blocks(estimate)
    blocks += _later(estimate)
    return Section("nitrogen", "Where does the nitrogen go?", blocks)


def _mid(estimate: Estimate, name: str, system: int) -> float:
    """Return a median; the organic N is what total N leaves beside the ammoniacal."""
    if name == "organic_n":
        total, ammoniacal = (estimate.spread(f"{what}_n_dose", system).mid for what in ("total", "ammoniacal"))
        return max(total - ammoniacal, 0.0)
    return estimate.spread(name, system).mid


def _later(estimate: Estimate) -> list[Block]:
    years = tuple((f"later_n_{year}", f"Year {year} after, kg N/ha", 1.0) for year in range(1, later_years() + 1))
    rows = (
        *years,
        *_LATER,
        ("later_value", f"Worth at the price of bought N, {estimate.plan.prices.currency}/ha", 1.0),
    )
    note = (
        "Read off a trial with pig slurry, spread over the years by our own fall; worth something only as far as later "
        "crops need it. Shown, not taken off the cost."
    )
    found: list[Block] = [Text("What the years after get", "title")]
    for group in systems_in_groups(estimate):
        grid = figure_grid(estimate, group, rows, "Nitrogen for the crops of the years after")
        found.append(replace(grid, note=note))
    return found


def rival_row(chain: Chain, system: int) -> Row | None:
    """Return the row of the Dutch factors that is nearest to how a system places and covers its slurry, if any is near."""
    placed = chain.placing_step(system)
    placer = chain.steps[placed].placer if placed is not None else None
    if placer is None:
        return None
    factors, places = load(_DUTCH), kind_of(placer).text("places")
    if places == "deep_closed":
        return factors["deep_placement"]
    if places in {"plough_at_once", "non_inversion_at_once"}:
        return factors["same_pass"]
    if chain.covering_step(system) is not None:
        return factors["second_pass"]
    return {"open_slot": factors["open_slot"], "broadcast": factors["surface"]}.get(places)


def _rivals(estimate: Estimate) -> list[Block]:
    chain = Chain(estimate.read)
    ours = load("ammonia_reference")
    rows = []
    for s, name in enumerate(estimate.systems):
        if chain.placing_step(s) is None:
            continue
        share, dose = estimate.spread("loss_share", s), estimate.spread("ammoniacal_n_dose", s).mid
        row = rival_row(chain, s)
        if row is None:
            theirs = (Cell("no figure for this way of placing"), Cell("–"), Cell("–"))
        else:
            lost = row.entry("loss_share").value
            said = f"{row.label} [{row.citation('loss_share').standing}]"
            theirs = (Cell(said), Cell(figure_text(100 * lost, 0)), Cell(figure_text(lost * dose, 1)))
        rows.append((Cell(name), Cell(interval_text(share, None, 100.0), anchor("loss_share", s)), *theirs))
    source = load(_UNITED_NATIONS)
    first = next(iter(source.values())).citation("abatement_share").source.text
    second = next(iter(load(_DUTCH).values())).citation("loss_share").source.text
    head = (
        "",
        "here, % of ammoniacal N",
        "nearest row of the Dutch factors",
        "theirs, % of ammoniacal N",
        "theirs, kg N/ha",
    )
    note = (
        f"Here: reference loss ({next(iter(ours.values())).citation('loss_share').source.text}) less the savings of {first}. "
        f"Theirs: {second}. Both are means for a country's reckoning, not forecasts for one day; where they part, neither "
        "is the truth. The Dutch figure knows no delay and no spread."
    )
    return [
        Text("What another source would say of the ammonia", "title"),
        Grid("The same ways of placing, in two sets of factors", head, tuple(rows), (1, 1.2, 1.7, 1.1, 0.9), note=note),
    ]
