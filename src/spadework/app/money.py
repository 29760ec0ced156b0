"""The command ``spadework money``: what every pass costs hired, owned in full, and for one more hectare."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["money"]


def money(
    plan: Annotated[
        Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
    ],
    system: Annotated[str | None, typer.Option("--system", help="Only this system; all if left out.")] = None,
) -> None:
    """Print the cost of every pass in three views: a contractor, own machines in full, one more hectare."""
    from spadework.estimate import estimate
    from spadework.plan import read
    from spadework.present.machines.views_table import views_table

    typer.echo(views_table(estimate(read(plan / "plan.toml" if os.path.isdir(plan) else plan)), system))
