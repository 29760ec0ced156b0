"""The command ``spadework tape``: residue cover from marks counted along a tape, and empty tables to fill in."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from spadework.findings.tape_cover import GroundOf
    from spadework.plan import Fault, Read
    from spadework.records.sheets.tape_counts import Tape

__all__ = ["tape"]


def tape(
    file: Annotated[
        Path | None, typer.Argument(help="CSV or XLSX of the tapes; left out with --template.", show_default=False)
    ] = None,
    plan: Annotated[
        Path | None,
        typer.Argument(help="The plan file, or its folder: rows, strips, systems of the plots.", show_default=False),
    ] = None,
    rows: Annotated[
        str | None, typer.Option("--rows", help='Distance between rows, e.g. "75 cm"; that of the plan if left out.')
    ] = None,
    strip: Annotated[
        str | None, typer.Option("--strip", help='Width of a strip, e.g. "20 cm"; that of the plan if left out.')
    ] = None,
    limit: Annotated[str | None, typer.Option("--limit", help='A cover to be shown to be passed, e.g. "30 %".')] = None,
    within: Annotated[
        str, typer.Option("--within", help="Half width of the interval that you want, in points of cover.")
    ] = "5 %",
    template: Annotated[
        Path | None, typer.Option("--template", help="Write tapes.csv and tapes.xlsx into this folder, nothing else.")
    ] = None,
    sheet: Annotated[
        str | None, typer.Option("--sheet", help="Sheet of the workbook; the first that is shown if left out.")
    ] = None,
    sure: Annotated[
        float, typer.Option("--sure", help="Confidence of the intervals, in percent.", min=50, max=99.9)
    ] = 95,
) -> None:
    """Print the residue cover that tapes counted, how sure it is, and what more it takes; warn of rows that fool a tape."""
    from spadework.plan import Fault, PlanFaults, read

    faults: list[Fault] = []
    half = _share("--within", within, faults, 0.5, 50)
    wanted = None if limit is None else _share("--limit", limit, faults, 1, 99)
    row_cm = None if rows is None else _cm("--rows", rows, faults, 10, 200)
    strip_cm = None if strip is None else _cm("--strip", strip, faults, 1, 199)
    if template is not None and file is not None:
        faults.append(
            Fault("--template", "writes empty tables, and a file of tapes is given as well; give one of the two")
        )
    if template is None and file is None:
        faults.append(
            Fault("FILE", "no file of tapes is given; spadework tape --template FOLDER writes one to fill in")
        )
    if faults or half is None:
        raise PlanFaults(faults, "the command")
    if template is not None:
        for path in _write(template, strips=strip_cm is not None):
            typer.echo(f"wrote {path}")
        return
    if file is None:
        return
    seen = None if plan is None else read(plan / "plan.toml" if os.path.isdir(plan) else plan)
    _fits(row_cm, strip_cm, seen)

    from spadework.findings.tape_cover import cover_of_tapes
    from spadework.present.seedbed.tape_table import tape_text
    from spadework.records.sheets.tape_counts import read_tapes

    systems = None if seen is None else _plots(seen)
    tapes, left_out = read_tapes(file, systems=systems, sheet=sheet)
    try:
        found = cover_of_tapes(tapes, _grounds(seen, row_cm, strip_cm, tapes), half, sure / 100)
    except ValueError as error:
        raise PlanFaults([Fault("", str(error))], file.name) from None
    invented = seen is not None and seen.plan.invented
    typer.echo(
        tape_text(found, file=file.name, left_out=left_out, limit=wanted, layout=systems is not None, invented=invented)
    )


def _fits(row_cm: float | None, strip_cm: float | None, seen: Read | None) -> None:
    from spadework.plan import Fault, PlanFaults

    rows = row_cm if row_cm is not None or seen is None else float(seen.plan.crop.row_spacing.value)
    if strip_cm is not None and (rows is None or strip_cm >= rows):
        what = (
            "needs --rows as well"
            if rows is None
            else f"{strip_cm:g} cm is no strip of rows {rows:g} cm apart; allowed: less"
        )
        raise PlanFaults([Fault("--strip", what)], "the command")


def _grounds(
    seen: Read | None, row_cm: float | None, strip_cm: float | None, tapes: Sequence[Tape]
) -> Callable[[str], GroundOf]:
    """Return what tells for a system how its ground was worked: the command first, else the plan.

    A strip that the command names is that of the systems of which strips were counted; of all where none were.
    """
    from spadework.findings.tape_cover import GroundOf

    if seen is not None and row_cm is None:
        row_cm = float(seen.plan.crop.row_spacing.value)
    widths = {} if seen is None else _strips(seen)
    if strip_cm is not None:
        apart = {tape.system for tape in tapes if tape.ground} or {tape.system for tape in tapes}
        widths |= dict.fromkeys(apart, strip_cm / 100)
    row_m = None if row_cm is None else row_cm / 100
    even = set() if seen is None else {system.name for system in seen.plan.systems} - set(widths)
    return lambda system: GroundOf(row_m, widths.get(system), even=system in even)


def _strips(seen: Read) -> dict[str, float]:
    """Return the width of a strip [m] by system of the plan, of those that are worked in strips."""
    from spadework.estimate.chain import Chain

    chain, found = Chain(seen), {}
    for number, system in enumerate(seen.plan.systems):
        index = chain.strip_step(number)
        worker = None if index is None else chain.steps[index].strip
        if worker is not None and worker.strip_width is not None:
            found[system.name] = worker.strip_width.value / 100
    return found


def _plots(seen: Read) -> dict[str, str] | None:
    """Return the system of every plot of the layout, by its number; None where the plan asks for none."""
    from spadework.plan.agreement.design import asked_of
    from spadework.records.sheets.field_sheets import laid_out

    if asked_of(seen.plan) is None:
        return None
    return {str(plot.number): plot.labels[0] for plot in laid_out(seen).rows}


def _share(name: str, text: str, faults: list[Fault], least: float, most: float) -> float | None:
    value = _number(name, text, "%", faults, least, most)
    return None if value is None else value / 100


def _cm(name: str, text: str, faults: list[Fault], least: float, most: float) -> float | None:
    return _number(name, text, "cm", faults, least, most)


def _number(name: str, text: str, unit: str, faults: list[Fault], least: float, most: float) -> float | None:
    from spadework.plan import Fault
    from spadework.quantities import QuantityError, parse

    try:
        found = parse(text, unit)
    except QuantityError as error:
        faults.append(Fault(name, str(error)))
        return None
    if found.kind != "exact" or not least <= found.value <= most:
        faults.append(Fault(name, f'"{text[:60]}" cannot be; allowed: one figure of {least:g} to {most:g} {unit}'))
        return None
    return float(found.value)


def _write(folder: Path, *, strips: bool) -> tuple[Path, ...]:
    from spadework.app.folders import write_new
    from spadework.records.sheets.tape_counts import csv_template, xlsx_template

    contents = {
        folder / "tapes.csv": csv_template(strips=strips).encode("utf-8"),
        folder / "tapes.xlsx": xlsx_template(strips=strips),
    }
    write_new(contents)
    return tuple(contents)
