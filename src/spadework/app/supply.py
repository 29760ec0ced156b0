"""The command ``spadework supply``: who waits for whom, and what another way of bringing slurry would cost."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["read_km", "supply"]

_LEAST_KM, _MOST_KM = 0.0, 100.0


def supply(
    plan: Annotated[
        Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
    ],
    system: Annotated[
        str | None, typer.Option("--system", help="Only this system; all that place slurry if left out.")
    ] = None,
    km: Annotated[
        str | None, typer.Option("--km", help='Distances at which other ways are looked at, e.g. "0.5..8".')
    ] = None,
) -> None:
    """Print who waits for whom when slurry is brought, and what other ways and other numbers of feeders would cost."""
    from spadework.estimate import estimate
    from spadework.plan import read
    from spadework.present.machines.supply_table import supply_text

    wanted = None if km is None else read_km(km)
    seen = read(plan / "plan.toml" if os.path.isdir(plan) else plan)
    typer.echo(supply_text(estimate(seen), system, wanted))


def read_km(text: str) -> tuple[float, float]:
    """Return distances such as ``0.5..8`` or ``0.5 to 8 km`` in kilometres.

    Raises
    ------
    PlanFaults
        If they are none, the same, or impossible.

    Examples
    --------
    >>> read_km("0.5..8"), read_km("500 to 8000 m")
    ((0.5, 8.0), (0.5, 8.0))
    """
    from spadework.plan import Fault, PlanFaults
    from spadework.quantities import QuantityError, parse

    unit = "" if any(letter.isalpha() for letter in text.replace("to", "")) else " km"
    try:
        found = parse(text + unit, "km")
    except QuantityError as error:
        raise PlanFaults([Fault("--km", str(error))], "the command") from None
    if found.kind != "between" or not _LEAST_KM <= found.low < found.high <= _MOST_KM:
        what = (
            f'"{text[:60]}" is no range of distances; write the least and the greatest, up to 100 km, e.g. --km 0.5..8'
        )
        raise PlanFaults([Fault("--km", what)], "the command")
    return found.low, found.high
