"""The command ``spadework layout``: which plot width fits every machine, and where every plot lies on the field."""

from __future__ import annotations

import os
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from spadework.layout.ground import Host
    from spadework.layout.place import Placed, Rules
    from spadework.layout.tools import Outfit
    from spadework.layout.widths import PlotWidth
    from spadework.plan import Read
    from spadework.present.layout.words import Told
    from spadework.statistics.designs.randomise import Laid

__all__ = ["Paper", "layout"]

_WIDEST_M = 200.0


class Paper(StrEnum):
    """Paper of the map."""

    a4 = "a4"
    a3 = "a3"


def layout(
    plan: Annotated[
        Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
    ],
    field: Annotated[
        Path | None,
        typer.Option("--field", help="Outline of the field: GeoJSON, KML, GeoPackage, .shp, or CSV of corners."),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", help="Write map, driver pages, pegs and files for other programs into this folder."),
    ] = None,
    width: Annotated[
        str | None, typer.Option("--width", help='Plot width in place of the plan\'s, e.g. "18 m".')
    ] = None,
    heading: Annotated[
        float | None,
        typer.Option(
            "--heading", help="Heading of the rows from A to B, degrees from north; else the best.", min=0, max=360
        ),
    ] = None,
    seed: Annotated[
        int | None,
        typer.Option("--seed", help="Number the layout is drawn from, in place of the plan's.", min=0, max=2**63 - 1),
    ] = None,
    changes: Annotated[
        Path | None,
        typer.Option(
            "--changes", help="CSV or XLSX of changes by hand: plot, with_plot, or block, right_m, ahead_m; reason."
        ),
    ] = None,
    paper: Annotated[Paper, typer.Option("--paper", help="Paper of the map.")] = Paper.a4,
    corners: Annotated[
        bool, typer.Option("--corners", help="Write corners.csv, to fill in, beside the plan, and nothing else.")
    ] = False,
) -> None:
    """Say which plot width fits every machine, and lay the plots out on the field: map, pegs, driving lines."""
    from spadework.app.folders import write_new
    from spadework.exchange.fields import corners_template, read_field
    from spadework.plan import Fault, PlanFaults, read
    from spadework.present.layout.table import layout_text, widths_text

    seen = read(plan / "plan.toml" if os.path.isdir(plan) else plan)
    if corners:
        path = seen.folder / "corners.csv"
        write_new({path: corners_template().encode("utf-8")})
        typer.echo(f"wrote {path}")
        return
    for option, given in (("--out", out), ("--changes", changes)):
        if given is not None and field is None:
            raise PlanFaults(
                [Fault(option, "belongs to --field; give the outline of the field as well")], "the command"
            )
    outfits, widths, taken = _widths(seen, width)
    if field is None:
        typer.echo(widths_text(widths, taken, seen.plan.question, invented=seen.plan.invented))
        return
    host = read_field(field, seen.plan.field.name)
    laid, seed_from = _drawn(seen, seed)
    placed, told = _placed(seen, host, laid, seed_from, outfits, widths, taken or widths[0], heading, changes)
    new, notes = ({}, []) if out is None else _files(out, placed, told, paper)
    write_new(new)
    typer.echo(layout_text(placed, told))
    for note in notes:
        typer.echo(note)
    for path in new:
        typer.echo(f"wrote {path}")


def _widths(
    seen: Read, width: str | None
) -> tuple[tuple[tuple[str, tuple[Outfit, ...]], ...], tuple[PlotWidth, ...], PlotWidth | None]:
    """Return the outfits of every system, the plot widths, and the one that plan or command takes."""
    from spadework.layout.tools import outfits_of, set_of
    from spadework.layout.widths import plot_widths
    from spadework.plan import Fault, PlanFaults
    from spadework.quantities import QuantityError, parse
    from spadework.reference import constants

    plan, rules = seen.plan, constants("layout_rules")
    said, design = plan.layout, plan.design
    outfits, spacing = outfits_of(plan), plan.crop.row_spacing.value / 100.0
    planters = [one for one in set_of(outfits) if "seed" in one.places and one.rows is not None]
    if not planters:
        what = "no machine that sows says its rows; give the planter rows = 8, so that plots are whole passes of it"
        raise PlanFaults([Fault("machine", what)], seen.name)
    guard = int(rules["guard_rows"].value) if said is None or said.guard_rows is None else said.guard_rows
    header = planters[0].width_m if said is None or said.header is None else said.header.value
    if header < spacing:
        what = f"{header:g} m is narrower than a row ({spacing:g} m); give the working width of the header"
        raise PlanFaults([seen.fault(what, "layout", "header")], seen.name)
    wanted = None if design is None or design.plot_width is None else design.plot_width.value
    if width is not None:
        try:
            wanted = parse(width, "m").value
        except QuantityError as error:
            raise PlanFaults([Fault("--width", str(error))], "the command") from None
        if not spacing <= wanted <= _WIDEST_M:
            what = f"{width} cannot be; allowed: {spacing:g} to {_WIDEST_M:g} m"
            raise PlanFaults([Fault("--width", what)], "the command")
    found = plot_widths(
        set_of(outfits),
        spacing,
        header,
        guard_rows=guard,
        most_m=max(rules["width_most_m"].value, wanted or 0.0),
        tramline_m=None if said is None or said.tramline is None else said.tramline.value,
        spray_gauge_m=rules["spray_gauge_m"].value
        if said is None or said.spray_gauge is None
        else said.spray_gauge.value,
        plots=len(plan.systems),
    )
    if not found:
        what = f"no plot up to {rules['width_most_m'].value:g} m holds a header of {header:g} m and {guard} guard rows a side"
        raise PlanFaults([Fault("layout", what + "; take fewer guard rows or a narrower header")], seen.name)
    if wanted is None:
        return outfits, found, None
    taken = next((one for one in found if abs(one.width_m - wanted) < 0.005), None)
    if taken is None:
        near = sorted(found, key=lambda one: abs(one.width_m - wanted))[:3]
        widths = ", ".join(f"{one.width_m:g} m" for one in sorted(near, key=lambda one: one.width_m))
        what = f"{wanted:g} m is no whole number of planter passes with room for header and guard; nearest: {widths}"
        if width is not None:
            raise PlanFaults([Fault("--width", what)], "the command")
        raise PlanFaults([seen.fault(what, "design", "plot_width")], seen.name)
    return outfits, found, taken


def _drawn(seen: Read, seed: int | None) -> tuple[Laid, str]:
    """Return the layout as it is drawn, and where its seed comes from."""
    from spadework.plan import Fault, PlanFaults
    from spadework.plan.agreement.design import asked_of
    from spadework.statistics.designs.randomise import lay

    asked, said = asked_of(seen.plan), seen.plan.design
    if asked is None or said is None:
        what = 'says nothing of the layout; write [design] with kind = "complete blocks" and blocks = 4'
        raise PlanFaults([Fault("design", what)], seen.name)
    if seed is not None:
        return lay(asked, seed), "from the command"
    if said.seed is None:
        what = "is missing; a layout on the field needs one, so that it can be drawn again: spadework blocks draws one"
        raise PlanFaults([Fault("design: seed", what)], seen.name)
    return lay(asked, said.seed), "from the plan"


def _rules(seen: Read, host: Host) -> tuple[Rules, str]:
    """Return the distances that the layout keeps, and where the one to water comes from."""
    from spadework.layout.place import Rules
    from spadework.plan import Layout, PlanFaults
    from spadework.reference import constants

    plan, table = seen.plan, constants("layout_rules")
    said, design = plan.layout or Layout(), plan.design

    def of(name: str, key: str) -> float:
        given = getattr(said, name)
        return float(table[key].value if given is None else given.value)

    turning = of("turning", "turning_m")
    if said.turning is None and plan.field.headland is not None:
        turning = plan.field.headland.value
    limits = [one for one in plan.limits if one.of == "distance to water" and one.at_least is not None]
    water, water_from = 0.0, ""
    if said.water is not None:
        water, water_from = said.water.value, "from the plan"
    elif limits:
        strictest = max(limits, key=lambda one: one.at_least.value if one.at_least is not None else 0.0)
        water = strictest.at_least.value if strictest.at_least is not None else 0.0
        water_from = f"the plan's limit of {strictest.date} ({strictest.source.rstrip('.')})"
    elif host.water:
        what = (
            "the field file shows water, but the plan gives no distance to keep from it; look up what applies locally and "
            'write water = "10 m" here, or a [[limit]] of "distance to water"'
        )
        raise PlanFaults([seen.fault(what, "layout")], seen.name)
    given = None if design is None or design.plot_length is None else design.plot_length.value
    said_lie = design is not None and "blocks_lie" in design.model_fields_set
    rules = Rules(
        turning_m=turning,
        lane_m=of("lane", "lane_m"),
        side_m=of("side", "side_m"),
        obstacle_m=of("obstacle", "obstacle_m"),
        water_m=water,
        ends_m=of("ends", "ends_m"),
        length_m=table["length_m"].value if given is None else given,
        least_m=min(table["length_least_m"].value, given or float("inf")),
        lie=design.blocks_lie if design is not None and said_lie else "as they fit",
    )
    return rules, water_from


def _placed(
    seen: Read,
    host: Host,
    laid: Laid,
    seed_from: str,
    outfits: tuple[tuple[str, tuple[Outfit, ...]], ...],
    widths: tuple[PlotWidth, ...],
    taken: PlotWidth,
    heading: float | None,
    changes: Path | None,
) -> tuple[Placed, Told]:
    """Return the layout on its field with everything that is said of it."""
    from spadework.exchange.layout_changes import changed
    from spadework.layout.lines import driving, needs
    from spadework.layout.pegs import pegs
    from spadework.layout.place import CannotPlace, place
    from spadework.plan import Fault, PlanFaults
    from spadework.present.layout.words import Told, width_line
    from spadework.reference import constants

    rules, water_from = _rules(seen, host)
    try:
        placed = place(host, laid, taken, rules, heading)
    except CannotPlace as cannot:
        raise PlanFaults([Fault("design", str(cannot))], seen.name) from None
    if changes is not None:
        placed = changed(placed, changes)
    plan, table = seen.plan, constants("layout_rules")
    doses = _doses(seen)
    jobs = driving(placed, outfits, doses)
    set_up = table["set_up_m"].value
    if plan.layout is not None and plan.layout.set_up is not None:
        set_up = plan.layout.set_up.value
    more = []
    if not taken.works:
        more.append(f"The plot width of {taken.width_m:g} m {width_line(taken)}.")
    planned = plan.field.area.value
    if abs(host.area_ha - planned) > 0.05 * planned:
        more.append(f"The outline holds {host.area_ha:.2f} ha, the plan says {planned:g} ha: check which is meant.")
    told = Told(
        plan.question,
        plan.invented,
        plan.crop.row_spacing.value / 100.0,
        outfits,
        jobs,
        needs(placed, jobs, doses, plan.crop.population.value, set_up, table["spare_share"].value),
        pegs(placed),
        widths,
        seed_from,
        water_from,
        tuple(more),
    )
    return placed, told


def _doses(seen: Read) -> dict[str, float]:
    """Return the middle dose of every system that places slurry [m3/ha]."""
    import numpy as np

    from spadework.estimate import estimate
    from spadework.estimate.chain import Chain

    found, chain = estimate(seen, draws=100), Chain(seen)
    return {
        name: float(np.median(found.dose(s)))
        for s, name in enumerate(found.systems)
        if chain.placing_step(s) is not None
    }


def _files(out: Path, placed: Placed, told: Told, paper: Paper) -> tuple[dict[Path, bytes], list[str]]:
    """Return what is written, by path, and notes on what is not."""
    from spadework.exchange.layout_files import geojson_text, geopackage_bytes, kml_text, layout_shapes
    from spadework.plan import PlanFaults
    from spadework.present.layout.driver_page import driver_pages
    from spadework.present.layout.map import layout_map
    from spadework.present.layout.paper import layout_pdf
    from spadework.present.layout.table import pegs_csv, plots_csv

    invented, notes = told.invented, []
    new = {
        out / "map.svg": layout_map(placed, told.table, paper=paper.value, invented=invented).encode("utf-8"),
        out / "map.pdf": layout_pdf(placed, told, paper.value),
        out / "drivers.pdf": driver_pages(placed, told),
        out / "pegs.csv": pegs_csv(told, placed).encode("utf-8"),
        out / "plots.csv": plots_csv(placed, invented=invented).encode("utf-8"),
    }
    if not placed.host.frame.placed:
        notes.append("No GeoJSON, KML or GeoPackage: the corners came in metres, without a place on the earth.")
        return new, notes
    shapes = layout_shapes(placed, told.table, told.jobs)
    new[out / "layout.geojson"] = geojson_text(placed, shapes, invented=invented).encode("utf-8")
    new[out / "layout.kml"] = kml_text(placed, shapes, invented=invented).encode("utf-8")
    try:
        new[out / "layout.gpkg"] = geopackage_bytes(placed, shapes)
    except PlanFaults as fault:
        notes.append(f"No GeoPackage: {fault.faults[0].what}")
    return new, notes
