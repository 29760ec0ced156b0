"""The part of the report on nitrogen: its way from store to crop, and what another source would say of the ammonia."""

from __future__ import annotations

from spadework.estimate import Estimate
from spadework.estimate.chain import Chain
from spadework.plan.outfits import kind_of
from spadework.present import charts
from spadework.present.report_blocks import Block, Cell, Drawing, Grid, Section, Text, anchor
from spadework.present.report_money import systems_in_groups
from spadework.present.wording import INTERVAL, STANDING, decimals_for, figure_text, interval_text, weather_line
from spadework.reference import Row, load

__all__ = ["nitrogen_section", "rival_row"]

_PATH = ("ammoniacal_n_dose", "lost_n", "kept_n", "available_n")
_ROWS = (
    ("total_n_dose", "Total N in the slurry, kg N/ha", 1.0),
    ("ammoniacal_n_dose", "of that ammoniacal, kg N/ha", 1.0),
    ("delay", "Slurry lies uncovered, mean of the field, h", 1.0),
    ("lost_n", "Lost as ammonia, kg N/ha", 1.0),
    ("loss_share", "Lost, % of ammoniacal N", 100.0),
    ("kept_n", "Ammoniacal N kept, kg N/ha", 1.0),
    ("available_n", "The crop can use this year, kg N/ha", 1.0),
    ("bought_n", "Still to be bought, kg N/ha", 1.0),
)
_UNITED_NATIONS = "ammonia_abatement_unece"
_DUTCH = "ammonia_factors_dutch"


def nitrogen_section(estimate: Estimate) -> Section:
    """Return the way of nitrogen, the ammonia with its weather, and rival figures by name."""
    systems = range(len(estimate.systems))
    rows = []
    for s in systems:
        for step, name in zip(charts.STEPS, _PATH, strict=True):
            spread = estimate.spread(name, s)
            rows.append(
                {"system": estimate.systems[s], "step": step, "mid": spread.mid, "low": spread.low, "high": spread.high}
            )
    spec = charts.nitrogen_path_chart(rows, standing=STANDING, interval=INTERVAL)
    said = "; ".join(
        f"{row['system']}, {row['step']}: {figure_text(float(str(row['mid'])), 1)} kg N/ha" for row in rows
    )
    blocks: list[Block] = [Drawing("nitrogen-path", charts.to_svg(spec), f"The way of nitrogen. {said}.")]
    blocks += [_grid(estimate, group) for group in systems_in_groups(estimate)]
    blocks.append(
        Text(
            f"Weather of the spreading hours: {weather_line(estimate.weather)}. It stands here so that nobody reads an "
            "ammonia figure without it; the factors used are means over many trials and do not move with it.",
            "small",
        )
    )
    blocks += _rivals(estimate)
    return Section("nitrogen", "Where does the nitrogen go?", blocks)


def _grid(estimate: Estimate, group: list[int]) -> Grid:
    rows = []
    for name, words, factor in _ROWS:
        known = {s: estimate.spread(name, s) for s in group if estimate.has(name, s)}
        if not known:
            continue
        places = decimals_for(known.values(), factor)
        cells = [
            Cell(interval_text(known[s], places, factor), anchor(name, s)) if s in known else Cell("–") for s in group
        ]
        rows.append((Cell(words), *cells))
    head = ("", *(estimate.systems[s] for s in group))
    return Grid("Nitrogen from store to crop", head, tuple(rows), (1.6, *(1.0 for _ in group)))


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
