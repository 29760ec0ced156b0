"""The commands ``spadework estimate`` and ``spadework report``: what every system takes, before anything is measured."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from spadework.estimate import Estimate

__all__ = ["estimate", "report"]

PlanFile = Annotated[
    Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
]
DrawsOption = Annotated[
    int, typer.Option("--draws", help="How many draws of the uncertain inputs.", min=1, max=1_000_000)
]
SeedOption = Annotated[int, typer.Option("--seed", help="Same plan, draws and seed give the same numbers.", min=0)]
_DRAWS, _SEED = 2_000, 1


def estimate(
    plan: PlanFile,
    draws: DrawsOption = _DRAWS,
    seed: SeedOption = _SEED,
    json: Annotated[
        Path | None, typer.Option("--json", help="Write all figures and their workings to this file.")
    ] = None,
    working: Annotated[
        str | None, typer.Option("--working", help="Print how this figure came about, e.g. fuel.")
    ] = None,
) -> None:
    """Estimate every system and print the table, or the working of one figure."""
    from spadework.present.table import estimate_table

    found = _found(plan, draws, seed)
    if working is not None:
        _print_working(found, working)
    else:
        typer.echo(estimate_table(found))
    if json is not None:
        from spadework.present.data import estimate_json
        from spadework.present.files import write_text

        typer.echo(f"wrote {write_text(json, estimate_json(found))}")


def report(
    plan: PlanFile,
    html: Annotated[
        Path | None, typer.Option("--html", help="Where to write the page; next to the plan if left out.")
    ] = None,
    pdf: Annotated[
        Path | None, typer.Option("--pdf", help="Where to write the print; next to the plan if left out.")
    ] = None,
    readings: Annotated[
        str | None,
        typer.Option("--readings", help="Store of readings; what was measured then stands beside the estimate."),
    ] = None,
    draws: DrawsOption = _DRAWS,
    seed: SeedOption = _SEED,
) -> None:
    """Estimate every system and write the report, as a page and as a print."""
    from spadework.app.layout import plots_section
    from spadework.present.report.content import write_report
    from spadework.present.table import estimate_table

    found = _found(plan, draws, seed)
    folder = found.read.folder
    if html is None and pdf is None:
        html, pdf = folder / "report.html", folder / "report.pdf"
    typer.echo(estimate_table(found))
    more = [] if (plots := plots_section(found.read)) is None else [plots]
    if readings is not None:
        from spadework.app.records_copies import found_beside
        from spadework.present.report.measured import measured_section

        more.append(measured_section(found_beside(plan, found, readings, None)))
    for path in write_report(found, html=html, pdf=pdf, more=more):
        typer.echo(f"wrote {path}")


def _found(plan: Path, draws: int, seed: int) -> Estimate:
    from spadework.estimate import estimate
    from spadework.plan import read

    return estimate(read(plan / "plan.toml" if os.path.isdir(plan) else plan), draws=draws, seed=seed)


def _print_working(found: Estimate, name: str) -> None:
    from spadework.estimate import working_text

    for system in range(len(found.systems)):
        if found.has(name, system) or name not in found.sheet.figures:
            typer.echo(working_text(found, name, system) + "\n")
