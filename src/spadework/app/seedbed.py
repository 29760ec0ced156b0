"""The command ``spadework seedbed``: how warm the soil is at the seed, when it is fit to sow, when plants come up."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from spadework.estimate.seedbed.logger_fit import ZoneFit

__all__ = ["seedbed"]


def seedbed(
    plan: Annotated[
        Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
    ],
    days: Annotated[int, typer.Option("--days", help="Days to follow.", min=7, max=120)] = 60,
    first: Annotated[
        str | None, typer.Option("--from", help="Day of the work in place of the plan's, e.g. 2026-04-20.")
    ] = None,
    loggers: Annotated[
        list[Path] | None,
        typer.Option("--loggers", help="CSV or XLSX of loggers in the soil; may be given more than once."),
    ] = None,
    html: Annotated[Path | None, typer.Option("--html", help="Write tables and drawings to this page.")] = None,
    csv: Annotated[Path | None, typer.Option("--csv", help="Write every hour at seed depth to this file.")] = None,
) -> None:
    """Print how warm the seedbed of every system is, when it is fit to sow, when plants come up, and how fast it dries."""
    from spadework.app.when import read_day
    from spadework.estimate import estimate
    from spadework.estimate.seedbed.logger_fit import fit_loggers, zone_words
    from spadework.plan import read
    from spadework.present.files import write_text
    from spadework.present.seedbed.table import seedbed_csv, seedbed_text
    from spadework.present.seedbed.words import seedbed_of
    from spadework.records.files.loggers import read_loggers

    seen = read(plan / "plan.toml" if os.path.isdir(plan) else plan)
    start = None
    if first is not None:
        plan_start = seen.plan.weather.start
        start = read_day(first, "--from", None if plan_start is None else plan_start.tzinfo).date()
    made = estimate(seen)
    fits: tuple[ZoneFit, ...] = ()
    if loggers:
        names = ", ".join(path.name for path in loggers)
        fits = fit_loggers(made, read_loggers(loggers, zone_words(made)), names)
    found = seedbed_of(made, days=days, start=start, fits=fits)
    ready = [] if csv is None else [(csv, seedbed_csv(made, found))]
    if html is not None:
        from spadework.present.report.seedbed_page import seedbed_page

        ready.insert(0, (html, seedbed_page(made, found)))
    typer.echo(seedbed_text(made, found))
    for path, content in ready:
        typer.echo(f"wrote {write_text(path, content)}")
