"""The command ``spadework timing``: where the time went, from a position log, and the rate on a field that counts."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from spadework.findings.timing import Other
    from spadework.plan import Fault, Plan, Read

__all__ = ["timing"]

_WIDEST_M = 60.0


def timing(
    log: Annotated[Path, typer.Argument(help="Position log: GPX, NMEA, or CSV with --columns.", show_default=False)],
    width: Annotated[str | None, typer.Option("--width", help='Working width, e.g. "6 m".')] = None,
    columns: Annotated[
        Path | None, typer.Option("--columns", help="TOML that says what the columns of a CSV are.")
    ] = None,
    corrected: Annotated[
        bool, typer.Option("--corrected", help="The positions were corrected to centimetres; the log does not say so.")
    ] = False,
    plan: Annotated[
        Path | None, typer.Option("--plan", help="Plan whose field the rate is worked out for; or its folder.")
    ] = None,
    machine: Annotated[
        str | None, typer.Option("--machine", help="Machine of that plan that was timed; its width counts.")
    ] = None,
    length: Annotated[str | None, typer.Option("--length", help='Instead: length of that field, e.g. "400 m".')] = None,
    area: Annotated[str | None, typer.Option("--area", help='And its area, e.g. "8 ha".')] = None,
    csv: Annotated[Path | None, typer.Option("--csv", help="Write every second with its state to this file.")] = None,
    svg: Annotated[Path | None, typer.Option("--svg", help="Write the picture of the track to this file.")] = None,
    html: Annotated[Path | None, typer.Option("--html", help="Write the page.")] = None,
    pdf: Annotated[Path | None, typer.Option("--pdf", help="Write the print.")] = None,
    json: Annotated[Path | None, typer.Option("--json", help="Write all figures to this file.")] = None,
) -> None:
    """Say where the time went, how fast and how wide the work was, and what rate that makes on a field that counts."""
    from spadework.app.targets import clashes
    from spadework.exchange.position_logs import read_position_log
    from spadework.findings.timing import time_log
    from spadework.plan import Fault, PlanFaults
    from spadework.plan import read as read_plan
    from spadework.present.files import write_text
    from spadework.present.machines.timing_table import plan_lines, states_csv, timing_text

    faults: list[Fault] = []
    if machine is not None and plan is None:
        faults.append(Fault("--machine", "belongs to --plan; give the plan as well"))
    if plan is not None and (length or area):
        faults.append(Fault("--plan", "has a field of its own; leave --length and --area out"))
    width_m = None if width is None else _read("--width", width, "m", 0.2, _WIDEST_M, faults)
    other = _other(length, area, faults)
    faults += clashes(
        (log, columns, _plan_file(plan)), {"--csv": csv, "--svg": svg, "--html": html, "--pdf": pdf, "--json": json}
    )
    if faults:
        raise PlanFaults(faults, "the command")
    notes: tuple[str, ...] = ()
    if plan is not None:
        seen = read_plan(_plan_file(plan) or plan)
        other = _field_of(seen)
        if machine is not None:
            own, notes = _machine(seen.plan, machine, faults)
            width_m = width_m or own
    if width_m is None and not faults:
        what = "is missing; without it no ground and no overlap is known"
        faults.append(Fault("--width", what + ("; the machine has none in the plan" if machine else "")))
    if faults or width_m is None:
        raise PlanFaults(faults, "the command")
    found = time_log(read_position_log(log, columns), width_m, other, corrected=corrected)
    lines = plan_lines(found)
    typer.echo(timing_text(found, lines, notes))
    if csv is not None:
        typer.echo(f"wrote {write_text(csv, states_csv(found))}")
    if svg is not None:
        from spadework.present.charts.spec import to_svg
        from spadework.present.machines.timing_chart import track_chart

        typer.echo(f"wrote {write_text(svg, to_svg(track_chart(found)))}")
    if html is not None or pdf is not None:
        from spadework.present.document.written import write_pages
        from spadework.present.machines.timing_page import timing_report

        for path in write_pages(timing_report(found, lines, notes), html, pdf):
            typer.echo(f"wrote {path}")
    if json is not None:
        from spadework.present.machines.timing_page import timing_json

        typer.echo(f"wrote {write_text(json, timing_json(found, lines))}")


def _plan_file(plan: Path | None) -> Path | None:
    return plan / "plan.toml" if plan is not None and os.path.isdir(plan) else plan


def _read(name: str, text: str, unit: str, low: float, high: float, faults: list[Fault]) -> float | None:
    from spadework.plan import Fault
    from spadework.quantities import QuantityError, parse

    try:
        value = parse(text, unit).value
    except QuantityError as error:
        faults.append(Fault(name, str(error)))
        return None
    if not low <= value <= high:
        faults.append(Fault(name, f'"{text[:60]}" cannot be; allowed: {low:g} to {high:g} {unit}'))
        return None
    return value


def _other(length: str | None, area: str | None, faults: list[Fault]) -> Other | None:
    from spadework.findings.timing import Other
    from spadework.plan import Fault

    if length is None and area is None:
        return None
    for name, text in (("--length", length), ("--area", area)):
        if text is None:
            faults.append(Fault(name, "is missing; a field needs both --length and --area"))
    length_m = None if length is None else _read("--length", length, "m", 20, 5_000, faults)
    area_ha = None if area is None else _read("--area", area, "ha", 0.01, 10_000, faults)
    return None if length_m is None or area_ha is None else Other("your field", length_m, area_ha)


def _field_of(seen: Read) -> Other:
    from spadework.findings.timing import Other

    field = seen.plan.field
    shape = 1.0 if field.shape is None else field.shape.value / 100.0
    headland = 0.0 if field.headland is None else field.headland.value
    return Other(field.name, field.length.value, field.area.value, shape, headland)


def _machine(plan: Plan, name: str, faults: list[Fault]) -> tuple[float | None, tuple[str, ...]]:
    """Return the width of a machine of the plan, and what the plan says of its passes."""
    from spadework.plan import Fault
    from spadework.plan.faults import nearest
    from spadework.plan.outfits import working_width_m

    names = [one.name for one in plan.machines]
    if name not in names:
        there = nearest(name, names) or "; allowed: " + ", ".join(f'"{one}"' for one in names)
        faults.append(Fault("--machine", f'"{name[:60]}" is not in the plan{there}'))
        return None, ()
    found = plan.machine(name)
    notes = [
        f'The plan has {one.speed.value:g} km/h for "{name}" in system "{system.name}".'
        for system in plan.systems
        for one in system.passes
        if name in one.machines
    ]
    if found.turn is not None:
        notes.append(f'The plan has {found.turn.value:g} s for one turn of "{name}".')
    return working_width_m(found, plan), tuple(dict.fromkeys(notes))
