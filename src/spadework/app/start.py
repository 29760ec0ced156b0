"""The commands ``spadework new``, ``demo``, ``check`` and ``schema``: the plan, from nothing to without fault."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["check", "demo", "new", "schema"]


def new(
    folder: Annotated[Path, typer.Argument(help="Folder to make; it must not hold a plan yet.", show_default=False)],
) -> None:
    """Write a commented plan to fill in, and the schema that lets an editor complete it."""
    from spadework.app.folders import new_folder

    for path in new_folder(folder):
        typer.echo(f"wrote {path}")
    typer.echo(f"Fill in the plan, then: spadework check {folder}")


def demo(folder: Annotated[Path, typer.Argument(help="Folder to put the demo into.")] = Path("spadework-demo")) -> None:
    """Copy the invented demo comparison into a folder, estimate it and write its report."""
    from spadework.app.compare import compare_page
    from spadework.app.estimate import report
    from spadework.app.folders import demo_folder
    from spadework.app.layout import map_of

    plan = demo_folder(folder)
    typer.echo(f"The demo comparison (invented) is in {plan}")
    report(plan, html=folder / "report.html", pdf=folder / "report.pdf")
    typer.echo(f"wrote {map_of(plan, folder / 'layout-map.pdf')}: where every plot lies; also in the report")
    typer.echo(f"wrote {compare_page(plan, folder / 'readings.csv', folder / 'compare.html')}")


def check(
    plan: Annotated[
        Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
    ],
) -> None:
    """Check a plan: all faults at once, with line, key and what would do."""
    from spadework.estimate import check_fit
    from spadework.plan import read as read_plan
    from spadework.plan.composition import marks

    read = read_plan(plan / "plan.toml" if os.path.isdir(plan) else plan)
    check_fit(read)
    typer.echo(f"{read.name}: no fault found; {len(read.plan.systems)} systems, baseline {read.plan.baseline}")
    for mark in marks(read.plan.slurry):
        typer.echo(f"- {mark}")


def schema(
    file: Annotated[Path | None, typer.Argument(help="Where to write it; to the screen if left out.")] = None,
) -> None:
    """Print the JSON Schema of a plan, with which editors complete and check it."""
    from spadework.app.folders import schema_text

    if file is None:
        typer.echo(schema_text())
    else:
        from spadework.present.files import write_text

        typer.echo(f"wrote {write_text(file, schema_text())}")
