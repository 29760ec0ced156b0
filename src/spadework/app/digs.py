"""The command ``spadework digs``: sheets to take to the field, and what the digs on them say of the machine."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from spadework.findings.dug_machine import RowMachine

__all__ = ["digs"]


def digs(
    plan: Annotated[
        Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
    ],
    file: Annotated[
        Path | None,
        typer.Argument(help="CSV or XLSX of the digs; left out: what a day of digging could tell.", show_default=False),
    ] = None,
    system: Annotated[
        str | None, typer.Option("--system", help="System whose machine was dug; needed where several fit.")
    ] = None,
    template: Annotated[
        Path | None,
        typer.Option("--template", help="Write digs.csv, digs.xlsx and digs-sheet.pdf into this folder, nothing else."),
    ] = None,
    per_unit: Annotated[
        int | None,
        typer.Option("--per-unit", help="Digs at each row unit on the sheets; 3 if left out.", min=1, max=20),
    ] = None,
    sheet: Annotated[
        str | None, typer.Option("--sheet", help="Sheet of the workbook; the first that is shown if left out.")
    ] = None,
    window: Annotated[
        str | None, typer.Option("--window", help='Gap that is wanted, e.g. "4 to 8 cm"; the rule of the plan else.')
    ] = None,
    sure: Annotated[
        float, typer.Option("--sure", help="Confidence of limits and intervals, in percent.", min=50, max=99.9)
    ] = 95,
    html: Annotated[Path | None, typer.Option("--html", help="Write the card for the driver as a page.")] = None,
    pdf: Annotated[Path | None, typer.Option("--pdf", help="Write the card for the driver as a print.")] = None,
    json: Annotated[Path | None, typer.Option("--json", help="Write all figures to this file.")] = None,
) -> None:
    """Say what digs across the rows tell of the machine; or how many to make; or write sheets to take along."""
    from spadework.findings.dug_machine import read_window, row_machine
    from spadework.plan import Fault, PlanFaults, read

    _together(file, template, {"--sheet": sheet, "--window": window, "--html": html, "--pdf": pdf, "--json": json})
    if per_unit is not None and template is None:
        raise PlanFaults([Fault("--per-unit", "belongs to --template; give the folder as well")], "the command")
    wanted_cm = None if window is None else read_window(window)
    seen = read(plan / "plan.toml" if os.path.isdir(plan) else plan)
    machine = row_machine(seen, system)
    if template is not None:
        for path in _write_sheets(template, machine, per_unit or 3, invented=seen.plan.invented):
            typer.echo(f"wrote {path}")
        return
    if file is None:
        from spadework.findings.digs_before import digs_ahead
        from spadework.present.digs.table import ahead_text

        typer.echo(ahead_text(digs_ahead(machine.rows, confidence_share=sure / 100)))
        return
    from spadework.estimate import estimate
    from spadework.findings.digs import find_digs
    from spadework.findings.dug_machine import wanted
    from spadework.present.digs.card import card_html, card_pdf
    from spadework.present.digs.data import digs_json
    from spadework.present.digs.table import digs_text
    from spadework.present.files import write_bytes, write_text
    from spadework.records.files.digs_read import read_digs

    dug = read_digs(file, machine.rows, sheet=sheet)
    made = estimate(seen)
    asked = wanted(made, machine, wanted_cm)
    found = find_digs(
        dug.digs,
        rows=machine.rows,
        window_cm=asked.window_cm,
        seed_depth_cm=asked.seed_depth_cm,
        confidence_share=sure / 100,
        harmless_cm=asked.harmless_cm,
        berm_cm=asked.berm_cm,
        settlement_share=asked.settlement_share,
    )
    invented = seen.plan.invented
    typer.echo(digs_text(found, machine=machine.name, invented=invented))
    low, high = asked.window_cm
    said = [f"Gap wanted: {low:g} to {high:g} cm, {asked.window_from}.", *dug.remarks]
    typer.echo("\n".join(["", "What was asked, and what stood out in the file", *_points(said)]))
    if html is not None:
        from spadework.present.face.systems import faces

        planned = faces(made)[made.systems.index(machine.system)]
        page = card_html(found, machine=machine.name, invented=invented, planned=planned)
        typer.echo(f"wrote {write_text(html, page)}")
    if pdf is not None:
        typer.echo(f"wrote {write_bytes(pdf, card_pdf(found, machine=machine.name, invented=invented))}")
    if json is not None:
        typer.echo(f"wrote {write_text(json, digs_json(found, machine, asked, dug.remarks, invented=invented))}")


def _points(said: list[str]) -> list[str]:
    from spadework.present.table import wrapped

    return [line for one in said for line in wrapped(one, "  ", "- ")]


def _together(file: Path | None, template: Path | None, with_file: dict[str, object]) -> None:
    """Stop where options were given that do nothing."""
    from spadework.plan import Fault, PlanFaults

    if file is not None and template is not None:
        what = "writes empty sheets, and a file of digs is given as well; give one of the two"
        raise PlanFaults([Fault("--template", what)], "the command")
    idle = [name for name, value in with_file.items() if value is not None]
    if file is None and idle:
        raise PlanFaults([Fault(name, "belongs to a file of digs; give it as well") for name in idle], "the command")


def _write_sheets(folder: Path, machine: RowMachine, per_unit: int, *, invented: bool) -> tuple[Path, ...]:
    from spadework.app.folders import write_new
    from spadework.present.digs.sheet_paper import dig_sheet_pdf
    from spadework.records.files.dig_sheets import csv_template, xlsx_template

    contents = {
        folder / "digs.csv": csv_template(machine.rows, per_unit).encode("utf-8"),
        folder / "digs.xlsx": xlsx_template(machine.rows, per_unit),
        folder / "digs-sheet.pdf": dig_sheet_pdf(machine.rows, per_unit, machine=machine.name, invented=invented),
    }
    write_new(contents)
    return tuple(contents)
