"""The command ``spadework dose``: what to set on the day, and what buckets and weighed loads say about it."""

from __future__ import annotations

import os
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["Template", "dose"]


class Template(StrEnum):
    """A file to fill in."""

    bucket = "bucket"
    loads = "loads"


def dose(
    plan: Annotated[
        Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
    ],
    system: Annotated[
        str | None, typer.Option("--system", help="Only this system; all that place slurry if left out.")
    ] = None,
    bucket: Annotated[
        Path | None, typer.Option("--bucket", help="CSV or XLSX of a bucket test: outlet, litres, seconds.")
    ] = None,
    loads: Annotated[
        Path | None, typer.Option("--loads", help="CSV or XLSX of weighed loads: load, full_t, empty_t, area_ha.")
    ] = None,
    area: Annotated[
        str | None, typer.Option("--area", help='Area of all weighed loads together, e.g. "1.2 ha".')
    ] = None,
    seconds: Annotated[
        float | None,
        typer.Option("--seconds", help="How long a bucket stands under an outlet; 20 if left out.", min=1, max=600),
    ] = None,
    template: Annotated[
        Template | None, typer.Option("--template", help="Write this file, empty, beside the plan, and nothing else.")
    ] = None,
) -> None:
    """Print the dose on the day: speed, flow, litres in a bucket, and what buckets and weighed loads say about it."""
    from spadework.app.folders import write_new
    from spadework.estimate import estimate
    from spadework.plan import Fault, PlanFaults, read
    from spadework.present.machines.dose_card import dose_card
    from spadework.records.files.dose_files import read_area, read_catches, read_loads
    from spadework.records.files.dose_files import template as columns

    seen = read(plan / "plan.toml" if os.path.isdir(plan) else plan)
    if template is not None:
        path = seen.folder / f"{template.value}.csv"
        write_new({path: columns(template.value).encode("utf-8")})
        typer.echo(f"wrote {path}")
        return
    if area is not None and loads is None:
        raise PlanFaults([Fault("--area", "belongs to --loads; give the file of the loads as well")], "the command")
    caught = None if bucket is None else read_catches(bucket)
    weighed = None if loads is None else read_loads(loads, None if area is None else read_area(area))
    typer.echo(dose_card(estimate(seen), system, seconds, caught, weighed))
