"""The command ``spadework stand``: plants counted behind row units, the low unit by name, and empty tables to fill in."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from spadework.plan import Read

__all__ = ["stand"]


def stand(
    file: Annotated[
        Path | None, typer.Argument(help="CSV or XLSX of the counts; left out with --template.", show_default=False)
    ] = None,
    plan: Annotated[
        Path | None,
        typer.Argument(help="The plan file, or its folder: row spacing, seeds, row units.", show_default=False),
    ] = None,
    rows: Annotated[
        str | None, typer.Option("--rows", help='Distance between rows, e.g. "75 cm"; that of the plan if left out.')
    ] = None,
    template: Annotated[
        Path | None, typer.Option("--template", help="Write stand.csv and stand.xlsx into this folder, nothing else.")
    ] = None,
    units: Annotated[
        int | None, typer.Option("--units", help="Row units of the planter, for --template.", min=1, max=99)
    ] = None,
    sheet: Annotated[
        str | None, typer.Option("--sheet", help="Sheet of the workbook; the first that is shown if left out.")
    ] = None,
    sure: Annotated[
        float, typer.Option("--sure", help="Confidence of the intervals, in percent.", min=50, max=99.9)
    ] = 95,
) -> None:
    """Print the stand behind every row unit with its interval, and name units that are low in all blocks."""
    from spadework.plan import Fault, PlanFaults, read

    if template is not None:
        if file is not None:
            what = "writes empty tables, and a file of counts is given as well; give one of the two"
            raise PlanFaults([Fault("--template", what)], "the command")
        for path in _write(template, units or 8):
            typer.echo(f"wrote {path}")
        return
    if units is not None:
        raise PlanFaults([Fault("--units", "belongs to --template; give the folder as well")], "the command")
    if file is None:
        what = "no file of counts is given; spadework stand --template FOLDER writes one to fill in"
        raise PlanFaults([Fault("FILE", what)], "the command")
    seen = None if plan is None else read(plan / "plan.toml" if os.path.isdir(plan) else plan)
    spacing_cm = _spacing(rows, seen)

    from spadework.findings.stand import find_stand
    from spadework.present.seedbed.stand_table import stand_text
    from spadework.records.files.stand_counts import read_stand

    counts = read_stand(file, units=None if seen is None else _units(seen), sheet=sheet)
    try:
        found = find_stand(counts, spacing_cm / 100, sure / 100)
    except ValueError as error:
        raise PlanFaults([Fault("", str(error))], file.name) from None
    sown = None if seen is None else seen.plan.crop.population.value
    invented = seen is not None and seen.plan.invented
    typer.echo(stand_text(found, file=file.name, row_spacing_cm=spacing_cm, sown_per_ha=sown, invented=invented))


def _spacing(rows: str | None, seen: Read | None) -> float:
    from spadework.plan import Fault, PlanFaults
    from spadework.quantities import QuantityError, parse

    if rows is None:
        if seen is None:
            what = 'without a plan the distance between rows is needed, e.g. --rows "75 cm"'
            raise PlanFaults([Fault("--rows", what)], "the command")
        return float(seen.plan.crop.row_spacing.value)
    try:
        found = parse(rows, "cm")
    except QuantityError as error:
        raise PlanFaults([Fault("--rows", str(error))], "the command") from None
    if found.kind != "exact" or not 10 <= found.value <= 200:
        what = f'"{rows[:60]}" is no distance between rows of 10 to 200 cm; write one figure, e.g. --rows "75 cm"'
        raise PlanFaults([Fault("--rows", what)], "the command")
    return float(found.value)


def _units(seen: Read) -> int | None:
    """Return the most row units that a machine of the plan has which sows; None where none says it."""
    from spadework.plan.outfits import kind_of

    known = [m.rows for m in seen.plan.machines if kind_of(m).text("shape") == "seeds" and m.rows is not None]
    return max(known) if known else None


def _write(folder: Path, units: int) -> tuple[Path, ...]:
    from spadework.app.folders import write_new
    from spadework.records.files.stand_counts import csv_template, xlsx_template

    contents = {
        folder / "stand.csv": csv_template(units).encode("utf-8"),
        folder / "stand.xlsx": xlsx_template(units),
    }
    write_new(contents)
    return tuple(contents)
