"""The command ``spadework band``: size and place of the band, and what it does to the seed over the weeks."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from spadework.estimate import Estimate

__all__ = ["band", "read_length", "read_wait"]

_LITTLE_DAY = 1e-6


def band(
    plan: Annotated[
        Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
    ],
    system: Annotated[
        str | None, typer.Option("--system", help="Only this system; all that band slurry if left out.")
    ] = None,
    days: Annotated[int, typer.Option("--days", help="Days after the slurry to show.", min=1, max=300)] = 60,
    gap: Annotated[
        str | None, typer.Option("--gap", help='Middle gap from seed to band in place of the estimate\'s, e.g. "6 cm".')
    ] = None,
    wait: Annotated[
        str | None, typer.Option("--wait", help='From slurry to sowing in place of the plan\'s, e.g. "5 day".')
    ] = None,
    html: Annotated[
        Path | None, typer.Option("--html", help="Write the weeks with their drawings to this page.")
    ] = None,
    json: Annotated[Path | None, typer.Option("--json", help="Write every day and every answer to this file.")] = None,
) -> None:
    """Print where the band lies, and over the weeks what seed and root meet of it, when to sow and how near it may lie."""
    from spadework.estimate import estimate
    from spadework.estimate.band.course import follow_band
    from spadework.plan import read
    from spadework.present.band.table import band_json, band_text
    from spadework.present.band.weeks_words import weeks_of
    from spadework.present.files import write_text

    gap_cm = None if gap is None else read_length(gap)
    wait_days = None if wait is None else read_wait(wait)
    found = estimate(read(plan / "plan.toml" if os.path.isdir(plan) else plan))
    chosen = _chosen(found, system)
    courses = follow_band(found, days=days, gap_cm=gap_cm, wait=wait_days, systems=chosen)
    weeks = [weeks_of(found, course) for course in courses]
    ready = [] if json is None else [(json, band_json(found, weeks))]
    if html is not None:
        from spadework.present.report.band_page import band_page

        ready.insert(0, (html, band_page(found, weeks)))
    typer.echo(band_text(found, weeks))
    for path, content in ready:
        typer.echo(f"wrote {write_text(path, content)}")


def read_length(text: str) -> float:
    """Return a gap in cm.

    Raises
    ------
    PlanFaults
        If it is no length, or not from 0 to 40 cm.

    Examples
    --------
    >>> read_length("6 cm"), read_length("60 mm")
    (6.0, 6.0)
    """
    return _read(text, "cm", "--gap", "a gap from seed to band", "6 cm", 40)


def read_wait(text: str) -> int:
    """Return a wait in whole days.

    Raises
    ------
    PlanFaults
        If it is no time, no whole number of days, or not from 0 to 120 days.

    Examples
    --------
    >>> read_wait("5 day"), read_wait("5")
    (5, 5)
    """
    from spadework.plan import Fault, PlanFaults

    plain = text.strip()
    days = _read(f"{plain} day" if plain.isdigit() else plain, "day", "--wait", "a wait", "5 day", 120)
    if abs(days - round(days)) > _LITTLE_DAY:
        what = f'"{text[:60]}" are {days:g} days; the weeks go by whole days, so write --wait "{round(days)} day"'
        raise PlanFaults([Fault("--wait", what)], "the command")
    return round(days)


def _read(text: str, unit: str, option: str, what: str, example: str, most: float) -> float:
    from spadework.plan import Fault, PlanFaults
    from spadework.quantities import QuantityError, parse

    try:
        found = parse(text, unit)
    except QuantityError as error:
        raise PlanFaults([Fault(option, str(error))], "the command") from None
    if found.kind != "exact" or not 0 <= found.value <= most:
        said = f'"{text[:60]}" is not {what} of 0 to {most:g} {unit}; write one figure, e.g. {option} "{example}"'
        raise PlanFaults([Fault(option, said)], "the command")
    return float(found.value)


def _chosen(found: Estimate, system: str | None) -> tuple[int, ...]:
    from spadework.estimate.band.inputs import banded
    from spadework.plan import Fault, PlanFaults
    from spadework.plan.faults import nearest

    every = banded(found)
    if not every:
        what = "no system of this plan lays slurry in a band under the row"
        raise PlanFaults([Fault("", what)], found.read.name)
    if system is None:
        return every
    names = [found.systems[s] for s in every]
    if system in names:
        return (every[names.index(system)],)
    known = nearest(system, names) or "; there are: " + ", ".join(names)
    lays = system in found.systems
    what = f'system "{system[:60]}" lays no band under the row' if lays else f'no system is called "{system[:60]}"'
    raise PlanFaults([Fault("--system", what + known)], found.read.name)
