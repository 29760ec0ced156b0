"""The command ``spadework``: thin; every subcommand calls one function of the rooms above.

Nothing heavy is imported at the top, so that ``spadework --help`` answers at once.
"""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from spadework import __version__
from spadework.app.band import band
from spadework.app.blocks import blocks
from spadework.app.compare import compare
from spadework.app.digs import digs
from spadework.app.dose import dose
from spadework.app.harvest import harvest, pool
from spadework.app.layout import layout
from spadework.app.match import match
from spadework.app.money import money
from spadework.app.photo import photo
from spadework.app.pressure import pressure
from spadework.app.records import records
from spadework.app.season import change, freeze, season, verify
from spadework.app.seedbed import seedbed
from spadework.app.sheets import sheets
from spadework.app.stand import stand
from spadework.app.supply import supply
from spadework.app.time_study import timing
from spadework.app.when import when

if TYPE_CHECKING:
    from spadework.estimate import Estimate
    from spadework.plan import Read

__all__ = ["app", "main"]

app = typer.Typer(
    name="spadework",
    help="Field comparisons of ways to establish maize on livestock slurry: plan, estimate, tell.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

PlanFile = Annotated[
    Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
]
DrawsOption = Annotated[
    int, typer.Option("--draws", help="How many draws of the uncertain inputs.", min=1, max=1_000_000)
]
SeedOption = Annotated[int, typer.Option("--seed", help="Same plan, draws and seed give the same numbers.", min=0)]
_DRAWS, _SEED = 2_000, 1


def main() -> None:
    """Run the command line; a fault in trade words ends it with exit code 2, never with a traceback."""
    from spadework.app.stops import stopping

    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a screen without a sign shows ? and goes on
    with stopping():
        app()


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"spadework {__version__}")
        raise typer.Exit


@app.callback()
def _spadework(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Field comparisons of ways to establish maize on livestock slurry: plan, estimate, tell."""


@app.command(short_help="Write a commented plan to fill in, and its schema.")
def new(
    folder: Annotated[Path, typer.Argument(help="Folder to make; it must not hold a plan yet.", show_default=False)],
) -> None:
    """Write a commented plan to fill in, and the schema that lets an editor complete it."""
    from spadework.app.folders import new_folder

    for path in new_folder(folder):
        typer.echo(f"wrote {path}")
    typer.echo(f"Fill in the plan, then: spadework check {folder}")


@app.command(short_help="Copy the invented demo, estimate it, write its report.")
def demo(folder: Annotated[Path, typer.Argument(help="Folder to put the demo into.")] = Path("spadework-demo")) -> None:
    """Copy the invented demo comparison into a folder, estimate it and write its report."""
    from spadework.app.compare import compare_page
    from spadework.app.folders import demo_folder

    plan = demo_folder(folder)
    typer.echo(f"The demo comparison (invented) is in {plan}")
    report(plan, html=folder / "report.html", pdf=folder / "report.pdf", draws=_DRAWS, seed=_SEED)
    typer.echo(f"wrote {compare_page(plan, folder / 'readings.csv', folder / 'compare.html')}")


@app.command(short_help="Check a plan: all faults at once, with line and key.")
def check(plan: PlanFile) -> None:
    """Check a plan: all faults at once, with line, key and what would do."""
    from spadework.estimate import check_fit
    from spadework.plan.composition import marks

    read = _read(plan)
    check_fit(read)
    typer.echo(f"{read.name}: no fault found; {len(read.plan.systems)} systems, baseline {read.plan.baseline}")
    for mark in marks(read.plan.slurry):
        typer.echo(f"- {mark}")


@app.command("estimate", short_help="Estimate every system; print the table or a working.")
def estimate_(
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

    found = _estimate(plan, draws, seed)
    if working is not None:
        _print_working(found, working)
    else:
        typer.echo(estimate_table(found))
    if json is not None:
        from spadework.present.data import estimate_json
        from spadework.present.files import write_text

        typer.echo(f"wrote {write_text(json, estimate_json(found))}")


@app.command(short_help="Estimate, and write the report as page and print.")
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
    from spadework.present.report.content import write_report
    from spadework.present.table import estimate_table

    found = _estimate(plan, draws, seed)
    folder = found.read.folder
    if html is None and pdf is None:
        html, pdf = folder / "report.html", folder / "report.pdf"
    typer.echo(estimate_table(found))
    more = []
    if readings is not None:
        from spadework.app.records_copies import found_beside
        from spadework.present.report.measured import measured_section

        more.append(measured_section(found_beside(plan, found, readings, None)))
    for path in write_report(found, html=html, pdf=pdf, more=more):
        typer.echo(f"wrote {path}")


app.command(short_help="Say what the comparison can show; draw its order by lot.")(blocks)
app.command(short_help="Fit plot widths to machines, lay plots out on the field.")(layout)
app.command(short_help="Say whether each tractor is large enough, and why.")(match)
app.command(short_help="Say who waits for whom when slurry is brought.")(supply)
app.command(short_help="Say what presses on the soil, and how deep it reaches.")(pressure)
app.command(short_help="Show the cost of every pass in three views.")(money)
app.command(short_help="Say what every start hour would lose as ammonia.")(when)
app.command(short_help="Say where the band lies, and what it does to the seed.")(band)
app.command(short_help="Say how warm the seedbed is, and when plants come up.")(seedbed)
app.command(short_help="Print the calendar of the season and the kit list.")(season)
app.command(short_help="Write sheets and labels for the field from plan and layout.")(sheets)
app.command(short_help="Freeze the protocol: plan, layout and seed, sealed.")(freeze)
app.command(short_help="Record a change of the plan in the protocol, with why.")(change)
app.command(short_help="Say what differs from the frozen protocol.")(verify)
app.command(short_help="Say what to set on the day; judge buckets and loads.")(dose)
app.command(short_help="Dig across the rows: is the band where it should be?")(digs)
app.command(short_help="Read residue cover from photos of the ground.")(photo)
app.command(short_help="Say where the time went, from a position log.")(timing)
app.command(short_help="Hold stand counts of row units against one another.")(stand)
app.command(short_help="Turn weighed strips or a yield log into plots.")(harvest)
app.command(short_help="Compare the systems by the readings of their plots.")(compare)
app.command(short_help="Say what several fields show together.")(pool)
app.add_typer(records, short_help="Keep the readings: sheets in, corrections, copies, data out.")


@app.command(short_help="Print the reference tables and their standing.")
def sources(
    table: Annotated[str | None, typer.Argument(help="A table to print row by row; all tables if left out.")] = None,
) -> None:
    """Print the reference tables: what they hold, where it comes from, how well it is known."""
    from spadework.present.source_list import source_list, table_rows

    typer.echo(source_list() if table is None else table_rows(table))


@app.command(short_help="Print the JSON Schema of a plan, for editors.")
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


def _read(plan: Path) -> Read:
    from spadework.plan import read

    return read(plan / "plan.toml" if os.path.isdir(plan) else plan)


def _estimate(plan: Path, draws: int, seed: int) -> Estimate:
    from spadework.estimate import estimate

    return estimate(_read(plan), draws=draws, seed=seed)


def _print_working(found: Estimate, name: str) -> None:
    from spadework.estimate import working_text

    for system in range(len(found.systems)):
        if found.has(name, system) or name not in found.sheet.figures:
            typer.echo(working_text(found, name, system) + "\n")


if __name__ == "__main__":
    main()
