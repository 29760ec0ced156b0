"""The command ``spadework match``: whether the tractors are large enough, how long a hectare takes, what it burns."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["match"]


def match(
    plan: Annotated[
        Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
    ],
    system: Annotated[str | None, typer.Option("--system", help="Only this system; all if left out.")] = None,
    draws: Annotated[
        int, typer.Option("--draws", help="How many draws of the uncertain inputs.", min=1, max=1_000_000)
    ] = 2_000,
    seed: Annotated[int, typer.Option("--seed", help="Same plan, draws and seed give the same numbers.", min=0)] = 1,
) -> None:
    """Print for every pass whether its tractor is large enough, how long a hectare takes and why, and the diesel."""
    from spadework.estimate import estimate
    from spadework.plan import read
    from spadework.present.machines.match_table import match_table

    seen = read(plan / "plan.toml" if os.path.isdir(plan) else plan)
    typer.echo(match_table(estimate(seen, draws=draws, seed=seed), system))
