"""The command ``spadework pressure``: what presses on the soil, how deep it reaches, and how much ground is driven on."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from spadework.estimate.traffic.pressure import Pressures
    from spadework.estimate.traffic.views import Limit

__all__ = ["pressure", "read_limit"]

_EXAMPLE = "50 kPa at 50 cm"


def pressure(
    plan: Annotated[
        Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
    ],
    system: Annotated[str | None, typer.Option("--system", help="Only this system; all if left out.")] = None,
    name: Annotated[
        str | None,
        typer.Option("--pass", help="Only this pass, every axle of it: its machine, or its number in the system."),
    ] = None,
    limit: Annotated[
        str | None, typer.Option("--limit", help=f'Your own limit of stress at a depth, e.g. "{_EXAMPLE}".')
    ] = None,
    working: Annotated[
        str | None, typer.Option("--working", help="Print how this figure came about, e.g. stress_50_full.")
    ] = None,
    json: Annotated[
        Path | None, typer.Option("--json", help="Write every axle with its workings to this file.")
    ] = None,
    draws: Annotated[
        int, typer.Option("--draws", help="How many draws of the uncertain inputs.", min=1, max=1_000_000)
    ] = 2_000,
    seed: Annotated[int, typer.Option("--seed", help="Same plan, draws and seed give the same numbers.", min=0)] = 1,
) -> None:
    """Print wheel loads, pressure on the ground, stress in depth against a limit, and the share of ground driven on."""
    from spadework.estimate import estimate
    from spadework.estimate.traffic.pressure import pressures
    from spadework.plan import read
    from spadework.present.files import write_text
    from spadework.present.machines.pressure_table import choose, pressure_json, pressure_text

    own = None if limit is None else read_limit(limit)
    seen = read(plan / "plan.toml" if os.path.isdir(plan) else plan)
    found = pressures(estimate(seen, draws=draws, seed=seed))
    chosen = choose(found, system, name)
    data = None if json is None else pressure_json(found, chosen, own)
    if working is None:
        typer.echo(pressure_text(found, chosen, own, every=name is not None))
    else:
        _print_working(found, working, list(dict.fromkeys(one.system for one in chosen)))
    if json is not None and data is not None:
        typer.echo(f"wrote {write_text(json, data)}")


def _print_working(found: Pressures, name: str, systems: list[int]) -> None:
    from spadework.estimate import working_text
    from spadework.estimate.traffic.told import as_estimate
    from spadework.plan import Fault, PlanFaults
    from spadework.plan.faults import nearest

    told = as_estimate(found)
    if not any(told.has(name, system) for system in systems):
        known = [figure for figure in told.sheet.figures if figure not in found.estimate.sheet.figures]
        usual = nearest(name, known) or "; such as wheel_load_full, contact_full, stress_50_full or line_full"
        raise PlanFaults([Fault("--working", f'there is no figure "{name[:60]}"{usual}')], "the command")
    for system in systems:
        if told.has(name, system):
            typer.echo(working_text(told, name, system) + "\n")


def read_limit(text: str) -> Limit:
    """Return a limit of stress at a depth.

    Raises
    ------
    PlanFaults
        If it is not a stress of 5 to 1000 kPa at a depth of 5 to 200 cm; both are looked at before it stops.

    Examples
    --------
    >>> read_limit("50 kPa at 50 cm")
    Limit(stress_kpa=50.0, depth_cm=50.0, thumb=False)
    """
    from spadework.estimate.traffic.views import Limit
    from spadework.plan import Fault, PlanFaults
    from spadework.quantities import QuantityError, parse

    parts = text.split(" at ")
    if len(parts) != 2:
        said = f'"{text[:60]}" is no limit; write a stress and a depth, e.g. --limit "{_EXAMPLE}"'
        raise PlanFaults([Fault("--limit", said)], "the command")
    faults, values = [], []
    for part, unit, least, most, what in ((parts[0], "kPa", 5, 1000, "stress"), (parts[1], "cm", 5, 200, "depth")):
        try:
            found = parse(part.strip(), unit)
        except QuantityError as error:
            faults.append(Fault("--limit", f"{what}: {error}"))
            continue
        if found.kind != "exact" or not least <= found.value <= most:
            said = f'"{part.strip()[:60]}" is not one {what} of {least} to {most} {unit}; e.g. --limit "{_EXAMPLE}"'
            faults.append(Fault("--limit", said))
        values.append(float(found.value))
    if faults:
        raise PlanFaults(faults, "the command")
    return Limit(values[0], values[1])
