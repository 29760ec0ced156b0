"""The command ``spadework blocks``: what the comparison can show, where every plot lies, and what more would take."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from spadework.plan import Design, Read
    from spadework.statistics.designs.layouts import Asked
    from spadework.statistics.designs.randomise import Laid
    from spadework.statistics.power.foretell import Foretold, Scatter

__all__ = ["blocks"]


def blocks(
    plan: Annotated[
        Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
    ],
    layout: Annotated[
        Path | None, typer.Option("--layout", help="Write the layout to this CSV file, which must not be there yet.")
    ] = None,
    seed: Annotated[
        int | None,
        typer.Option("--seed", help="Number the layout is drawn from, in place of the plan's.", min=0, max=2**63 - 1),
    ] = None,
    variation: Annotated[
        str | None, typer.Option("--variation", help='Scatter between plots of one block, e.g. "6 +/- 2 %".')
    ] = None,
    old_map: Annotated[
        Path | None,
        typer.Option("--map", help="CSV or XLSX of an old yield map: x_m, y_m, yield_t_ha; the scatter comes from it."),
    ] = None,
    heading: Annotated[
        float, typer.Option("--heading", help="Heading of the rows on the map, degrees from north.", min=0, max=360)
    ] = 0.0,
    pictures: Annotated[
        Path | None,
        typer.Option("--pictures", help="Write layout.svg, detectable.svg and, with an outline, map.svg here."),
    ] = None,
) -> None:
    """Say what the comparison can show, before the season: layout, detectable difference, blocks and fields needed."""
    from spadework.app.folders import write_new
    from spadework.plan import Fault, PlanFaults, read
    from spadework.plan.agreement.design import asked_of
    from spadework.present.layout.blocks_table import Told, blocks_text, layout_csv
    from spadework.reference import constants
    from spadework.statistics.designs.randomise import lay
    from spadework.statistics.power.foretell import foretell

    if variation is not None and old_map is not None:
        what = "gives the scatter, and --map finds it; give one of the two"
        raise PlanFaults([Fault("--variation", what)], "the command")
    seen = read(plan / "plan.toml" if os.path.isdir(plan) else plan)
    asked, said = asked_of(seen.plan), seen.plan.design
    if asked is None or said is None:
        what = 'says nothing of the layout; write [design] with kind = "complete blocks" and blocks = 4'
        raise PlanFaults([Fault("design", what)], seen.name)
    rules = constants("design_rules")
    scatter, scatter_from, remarks = _scatter(seen, said, asked, variation, old_map, heading)
    number, seed_from = _seed(seed, said.seed)
    laid = lay(asked, number)
    dry = seen.plan.crop.expected_yield.value
    margin = None
    if said.margin is not None:
        margin = said.margin.fraction if said.margin.unit == "%" else said.margin.value / dry
    within = scatter if said.variation_within is None else _of(said.variation_within.fractions)
    own = said.field_variation
    if own is None:
        remarks = (*remarks, "By how much a gain differs from field to field: a guess of ours, 4 % of the mean.")
    found = foretell(
        asked,
        scatter,
        within,
        rules["field_variation_share"].value if own is None else own.fraction,
        detect_share=rules["detect_share"].value if said.detect is None else said.detect.fraction,
        chance_share=rules["chance_share"].value if said.chance is None else said.chance.fraction,
        power_share=rules["power_share"].value if said.power is None else said.power.fraction,
        margin_share=margin,
        host_fields=said.host_fields,
    )
    told = Told(
        seen.plan.question,
        seen.plan.invented,
        dry,
        scatter_from,
        seed_from,
        said.blocks_lie,
        said.host_fields,
        tuple(remarks),
    )
    new: dict[Path, bytes] = {}
    notes: list[str] = []
    if layout is not None:
        new[layout] = layout_csv(laid, invented=seen.plan.invented).encode("utf-8")
    if pictures is not None:
        drawn, notes = _pictures(seen, laid, found, said.blocks_lie)
        new |= {pictures / name: svg.encode("utf-8") for name, svg in drawn.items()}
    if new:
        write_new(new)
    typer.echo(blocks_text(laid, found, told))
    for note in notes:
        typer.echo(note)
    for path in new:
        typer.echo(f"wrote {path}")


def _pictures(seen: Read, laid: Laid, found: Foretold, blocks_lie: str) -> tuple[dict[str, str], list[str]]:
    """Return the pictures by name, and why one is missing that could be there."""
    from spadework.app.layout import laid_out_of
    from spadework.layout.from_plan import Asked as OnField
    from spadework.plan import PlanFaults
    from spadework.present.charts.spec import to_svg
    from spadework.present.layout.design_chart import detectable_chart, layout_chart
    from spadework.present.layout.map import layout_map

    out = {"layout.svg": to_svg(layout_chart(laid, blocks_lie=blocks_lie))}
    if found.seen:
        out["detectable.svg"] = to_svg(detectable_chart(found))
    if seen.plan.layout is None or seen.plan.layout.outline is None:
        return out, []
    try:
        placed, told = laid_out_of(seen, OnField(seed=laid.seed))
    except PlanFaults as wrong:
        return out, [f"No map.svg: {'; '.join(map(str, wrong.faults))}"]
    return out | {"map.svg": layout_map(placed, told.table, invented=seen.plan.invented)}, []


def _seed(given: int | None, planned: int | None) -> tuple[int, str]:
    if given is not None:
        return given, "from the command"
    if planned is not None:
        return planned, "from the plan"
    from secrets import randbelow

    return randbelow(10**9), "drawn just now: write it as seed into [design] to keep this layout"


def _of(fractions: tuple[float, float, float]) -> Scatter:
    from spadework.statistics.power.foretell import Scatter

    low, middle, high = fractions
    return Scatter(middle, low, high)


def _scatter(
    seen: Read, said: Design, asked: Asked, variation: str | None, old_map: Path | None, heading: float
) -> tuple[Scatter, str, tuple[str, ...]]:
    """Return the scatter between plots, where it comes from, and what must be told of it."""
    from spadework.plan import Fault, PlanFaults
    from spadework.plan.schema.design import read_variation
    from spadework.reference import constants
    from spadework.statistics.power.foretell import Scatter

    if old_map is not None:
        return _from_map(seen, said, asked, old_map, heading)
    if variation is not None:
        try:
            given = read_variation(variation)
        except ValueError as error:
            raise PlanFaults([Fault("--variation", str(error))], "the command") from None
        return _of(given.fractions), f"{given.text}, from the command", ()
    if said.variation is not None:
        return (
            _of(said.variation.fractions),
            f"{said.variation.text}, from the plan ({seen.place('design', 'variation')})",
            (),
        )
    guide = constants("design_rules")["variation_share"]
    low, high = guide.low, guide.high
    words = f"{100 * guide.value:g} % ({100 * low:g} to {100 * high:g} %), a guide value: {guide.citation.label}"
    return Scatter(guide.value, low, high), words, ("An old yield map of this field tells more than a guide: --map.",)


def _from_map(
    seen: Read, said: Design, asked: Asked, path: Path, heading: float
) -> tuple[Scatter, str, tuple[str, ...]]:
    from spadework.plan import Fault, PlanFaults
    from spadework.records.files.old_maps import read_old_map
    from spadework.statistics.power.foretell import Scatter
    from spadework.statistics.power.virtual_strips import TooFewPoints, plots_side_by_side, virtual_cv

    if said.plot_width is None or said.plot_length is None:
        missing = [key for key in ("plot_width", "plot_length") if getattr(said, key) is None]
        faults = [seen.fault('is needed with --map, e.g. "18 m"', "design", key) for key in missing]
        raise PlanFaults(faults, seen.name)
    old = read_old_map(path)
    per_block = asked.checks_per_block + len(asked.whole) - 1 if asked.kind == "repeated check" else len(asked.whole)
    behind = said.blocks_lie == "one behind another"
    plots = plots_side_by_side(
        asked.blocks, per_block, said.plot_width.value, said.plot_length.value, heading, behind=behind
    )
    try:
        found = virtual_cv(old.x_m, old.y_m, old.yield_t_ha, plots)
    except TooFewPoints as few:
        raise PlanFaults([Fault("", str(few))], path.name) from None
    least = 0.001
    remarks = [
        f"Old map {old.file}: {found.points} points, about {found.per_plot:.0f} in a plot; the plan was laid on it at "
        f"{found.placings} places. Without blocks the scatter would be {100 * found.without_blocks_share:.1f} %. Another year "
        "may differ more; clean the map of turns and part headers first.",
    ]
    if old.left_out:
        remarks.append(f"{old.left_out} lines of it hold no yield and were left out.")
    shares = [max(share, least) for share in (found.low_share, found.cv_share, found.high_share)]
    if shares[1] == least:
        remarks.append("The map shows hardly any scatter; 0.1 % is taken.")
    middle = min(max(shares[1], shares[0]), shares[2])
    words = f"{100 * middle:.1f} % ({100 * shares[0]:.1f} to {100 * shares[2]:.1f} % by place), from the old map"
    return Scatter(middle, shares[0], shares[2]), words, tuple(remarks)
