"""The command ``spadework layout``: which plot width fits every machine, and where every plot lies on the field."""

from __future__ import annotations

import os
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from spadework.layout.from_plan import Asked, Told
    from spadework.layout.place import Placed
    from spadework.plan import Read
    from spadework.present.document.blocks import Section

__all__ = ["Paper", "laid_out_of", "layout", "map_of", "plots_section"]


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
        typer.Option(
            "--field",
            help="Outline of the field, in place of the plan's: GeoJSON, KML, GeoPackage, .shp, CSV of corners.",
        ),
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
            "--heading",
            help="Heading of the rows from A to B, degrees from north, in place of the plan's; else the best.",
            min=0,
            max=360,
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
    from spadework.exchange.fields import corners_template
    from spadework.layout.from_plan import Asked, widths_of
    from spadework.plan import Fault, PlanFaults, read
    from spadework.present.layout.table import layout_text, widths_text

    seen = read(plan / "plan.toml" if os.path.isdir(plan) else plan)
    if corners:
        path = seen.folder / "corners.csv"
        write_new({path: corners_template().encode("utf-8")})
        typer.echo(f"wrote {path}")
        return
    width_m = None if width is None else _metres(width)
    found = widths_of(seen, width_m)
    if field is None and _outline(seen) is None:
        needed = (("--out", out), ("--changes", changes), ("--heading", heading))
        if alone := [option for option, given in needed if given is not None]:
            what = (
                'needs the outline of the field: --field FILE, or outline = "field.geojson" under [layout] of the plan'
            )
            raise PlanFaults([Fault(option, what) for option in alone], "the command")
        typer.echo(widths_text(found.all, found.taken, seen.plan.question, invented=seen.plan.invented))
        return
    if out is not None and os.path.lexists(out) and not os.path.isdir(out):
        raise PlanFaults(
            [Fault("--out", f"{out} is a file; name a folder, which is made if it is not there")], "the command"
        )
    placed, told = laid_out_of(seen, Asked(width_m, heading, seed), field=field, changes=changes)
    new, notes = ({}, []) if out is None else _files(out, placed, told, paper)
    write_new(new)
    typer.echo(layout_text(placed, told))
    for note in notes:
        typer.echo(note)
    for path in new:
        typer.echo(f"wrote {path}")


def _metres(width: str) -> float:
    from spadework.plan import Fault, PlanFaults
    from spadework.quantities import QuantityError, parse

    try:
        return parse(width, "m").value
    except QuantityError as error:
        raise PlanFaults([Fault("--width", str(error))], "the command") from None


def _outline(seen: Read) -> Path | None:
    """Return the outline that the plan names."""
    said = seen.plan.layout
    return None if said is None or said.outline is None else seen.folder / said.outline


def laid_out_of(
    seen: Read, asked: Asked | None = None, *, field: Path | None = None, changes: Path | None = None
) -> tuple[Placed, Told]:
    """Return where every plot of a plan lies; outline and changes of the plan where none are given.

    Raises
    ------
    PlanFaults
        If there is no outline, it cannot be read, or the plots cannot be laid out on it.
    """
    from dataclasses import replace

    from spadework.exchange.fields import read_field
    from spadework.exchange.layout_changes import changed
    from spadework.layout.from_plan import Asked, laid_out
    from spadework.plan import PlanFaults

    path = field or _outline(seen)
    if path is None:
        what = 'names no outline of the field; write outline = "field.geojson" here'
        raise PlanFaults([seen.fault(what, "layout")], seen.name)
    if field is None and not os.path.lexists(path):
        what = f"there is no {path.name} where the plan looks for it; put it there, or take this line out"
        raise PlanFaults([seen.fault(what, "layout", "outline")], seen.name)
    said = seen.plan.layout
    if changes is None and said is not None and said.changes is not None:
        changes = seen.folder / said.changes
    asked = asked or Asked()
    if changes is not None:
        table = changes
        asked = replace(asked, change=lambda placed: changed(placed, table))
    return laid_out(seen, read_field(path, seen.plan.field.name), asked)


def plots_section(seen: Read) -> Section | None:
    """Return the part of a report with the map of the plots; nothing where the plan names no outline."""
    from spadework.plan import PlanFaults
    from spadework.present.report.layout import layout_section, no_layout_section

    if _outline(seen) is None:
        return None
    try:
        return layout_section(*laid_out_of(seen))
    except PlanFaults as found:
        return no_layout_section(f"{found.name}: {'; '.join(map(str, found.faults))}")


def map_of(plan: Path, path: Path) -> Path:
    """Write the map of the layout of a plan, with everything that stands on it, as PDF."""
    from spadework.plan import read
    from spadework.present.files import write_bytes
    from spadework.present.layout.paper import layout_pdf

    return write_bytes(path, layout_pdf(*laid_out_of(read(plan))))


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
