"""The command ``spadework sheets``: sheets and labels to take to the field, and what a mark on one of them stands for."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from spadework.plan import Read

__all__ = ["sheets"]

_FORMS = ("paper", "xlsx", "csv")


def sheets(
    plan: Annotated[
        Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
    ],
    folder: Annotated[
        Path | None, typer.Argument(help="Folder to write into; left out: a list of the sheets.", show_default=False)
    ] = None,
    kind: Annotated[
        list[str] | None, typer.Option("--kind", help="A sheet by its key; again for a further one; all if left out.")
    ] = None,
    form: Annotated[
        list[str] | None, typer.Option("--form", help="paper, xlsx or csv; again for a further one; all if left out.")
    ] = None,
    samples: Annotated[
        int | None, typer.Option("--samples", help="Readings in each place, in place of the usual.", min=1, max=200)
    ] = None,
    grid: Annotated[str, typer.Option("--grid", help="Labels across and down on a sheet of A4.")] = "3 x 8",
    mark: Annotated[
        str | None, typer.Option("--mark", help="Say what this mark stands for, and write nothing.")
    ] = None,
) -> None:
    """Write sheets, labels and the kit list from plan and layout; or say what a mark stands for."""
    from spadework.plan import Fault, PlanFaults, read

    seen = read(plan / "plan.toml" if os.path.isdir(plan) else plan)
    if mark is not None:
        if folder is not None:
            what = "writes nothing, and a folder is given as well; give one of the two"
            raise PlanFaults([Fault("--mark", what)], "the command")
        typer.echo(_said(seen, mark))
        return
    if folder is None:
        typer.echo(_list())
        return
    for path in _write(seen, folder, _chosen(kind), _forms(form), samples, grid):
        typer.echo(f"wrote {path}")
    typer.echo(
        "Fill them in on paper or in the file; what is on paper is typed into the CSV or XLSX of the same name. "
        f"Then: spadework records take-in {plan} FILE"
    )


def _list() -> str:
    from spadework.records.sheets.field_sheets import SHEETS
    from spadework.reference import load

    lines = [f"{key:<14}{row.label}" for key, row in load(SHEETS).items()]
    return "\n".join([*lines, "", "spadework sheets PLAN FOLDER writes them; --kind KEY chooses one."])


def _chosen(kinds: list[str] | None) -> tuple[str, ...]:
    from spadework.plan import Fault, PlanFaults
    from spadework.plan.faults import nearest
    from spadework.records.sheets.field_sheets import sheet_keys
    from spadework.records.tables.columns import clip

    there = sheet_keys()
    faults = [
        Fault("--kind", f'no sheet is called "{clip(one)}"{nearest(one, there) or "; there are: " + ", ".join(there)}')
        for one in kinds or ()
        if one not in there
    ]
    if faults:
        raise PlanFaults(faults, "the command")
    return tuple(key for key in there if not kinds or key in kinds)


def _forms(forms: list[str] | None) -> tuple[str, ...]:
    from spadework.plan import Fault, PlanFaults
    from spadework.records.tables.columns import clip

    faults = [
        Fault("--form", f'"{clip(one)}" is none; allowed: {", ".join(_FORMS)}')
        for one in forms or ()
        if one not in _FORMS
    ]
    if faults:
        raise PlanFaults(faults, "the command")
    return tuple(form for form in _FORMS if not forms or form in forms)


def _write(
    read: Read, folder: Path, kinds: tuple[str, ...], forms: tuple[str, ...], samples: int | None, grid: str
) -> tuple[Path, ...]:
    from spadework.app.folders import write_new
    from spadework.plan import Fault, PlanFaults
    from spadework.present.sheets.labels_paper import labels_pdf, read_grid, sample_labels, stake_labels
    from spadework.present.sheets.season_paper import kit_pdf
    from spadework.present.sheets.sheet_paper import sheet_pdf
    from spadework.records.sheets.field_sheets import field_sheet, laid_out, sheet_keys
    from spadework.records.tables.sheet import csv_text, xlsx_book

    laid, of = laid_out(read), read_grid(grid)
    made, faults = [], []
    whole = kinds == sheet_keys()
    for key in kinds:
        try:
            made.append(field_sheet(key, read, laid, samples=samples))
        except PlanFaults as stopped:
            faults += [one for one in stopped.faults if not (whole and key == "band")]
    if faults:
        raise PlanFaults([Fault(one.key, one.what, one.line) for one in faults], read.name)
    about, invented = read.plan.field.name, read.plan.invented
    contents: dict[Path, bytes] = {}
    for sheet in made:
        if "paper" in forms:
            contents[folder / f"{sheet.key}.pdf"] = sheet_pdf(sheet, about=about, invented=invented)
        if "xlsx" in forms:
            contents[folder / f"{sheet.key}.xlsx"] = xlsx_book(sheet)
        if "csv" in forms:
            contents[folder / f"{sheet.key}.csv"] = csv_text(sheet).encode("utf-8")
    if "paper" in forms:
        stakes, samples_of = stake_labels(laid), sample_labels(made)
        if whole:
            contents[folder / "labels-stakes.pdf"] = labels_pdf(
                stakes, of, title="Labels for stakes", care="road", about=about, invented=invented
            )
            contents[folder / "kit.pdf"] = kit_pdf(about=about, invented=invented)
        if samples_of:
            contents[folder / "labels-samples.pdf"] = labels_pdf(
                samples_of, of, title="Labels for samples", care="gas", about=about, invented=invented
            )
    write_new(contents)
    return tuple(contents)


def _said(read: Read, text: str) -> str:
    """Say what a mark stands for in this comparison."""
    from spadework.plan import Fault, PlanFaults
    from spadework.records.sheets.field_sheets import field_sheet, laid_out
    from spadework.records.sheets.marks import STAKE, layout_mark, mark_text, read_mark
    from spadework.reference import load

    mark, laid = read_mark(text), laid_out(read)
    if mark.layout != layout_mark(laid):
        what = (
            f"belongs to another layout ({mark.layout}); the marks of this plan begin with {layout_mark(laid)}. "
            "Was the layout drawn anew after the labels were printed?"
        )
        raise PlanFaults([Fault("--mark", what)], read.name)
    plot = next((one for one in laid.rows if str(one.number) == mark.place), None)
    if mark.sheet == STAKE:
        if plot is None or mark.number:
            raise PlanFaults([Fault("--mark", "is of a plot that this layout does not have")], read.name)
        return f"{mark_text(mark)}: stake of plot {plot.number}, block {plot.block}"
    whole = mark_text(type(mark)(mark.layout, mark.place, mark.sheet))
    lines = [line for line in field_sheet(mark.sheet, read, laid).lines if line.mark == whole]
    if not lines or mark.number > len(lines):
        raise PlanFaults([Fault("--mark", "is of a line that this sheet does not have")], read.name)
    given = lines[max(mark.number, 1) - 1].given
    where = f"plot {given['plot']}" if plot is not None else str(given["plot"])
    if mark.number:
        where += "".join(f", {given[name]}" for name in ("place",) if name in given)
        where += f", sample {given['sample']}" if "sample" in given else ""
    return f"{mark_text(mark)}: {where}; sheet {mark.sheet} ({load('sheets')[mark.sheet].label})"
