"""The command ``spadework when``: what every start hour of a window would lose, and what choosing it is worth."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["read_day", "when"]


def when(
    plan: Annotated[
        Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
    ],
    first: Annotated[
        str | None,
        typer.Option("--from", help="First day or hour, e.g. 2013-04-10; a week before the plan if left out."),
    ] = None,
    last: Annotated[
        str | None, typer.Option("--to", help="Last day or hour; a week after the plan's start if left out.")
    ] = None,
    every: Annotated[int, typer.Option("--every", help="Hours from one start to the next.", min=1, max=24)] = 3,
    model: Annotated[
        str, typer.Option("--model", help='Model of the course: "two pools" or "saturation".')
    ] = "two pools",
    file: Annotated[Path | None, typer.Option("--csv", help="Write every start hour to this file.")] = None,
) -> None:
    """Print what every start hour of a window would lose as ammonia, the best hours, and what choosing is worth."""
    from spadework.estimate import estimate
    from spadework.estimate.slurry.course_models import MODELS
    from spadework.estimate.slurry.when import SHORTEST_H, start_hours, usual_window
    from spadework.plan import Fault, PlanFaults, read
    from spadework.plan.faults import nearest
    from spadework.present.files import write_text
    from spadework.present.machines.when_table import when_csv, when_text

    if model not in MODELS:
        known = nearest(model, MODELS) or "; there are: " + ", ".join(MODELS)
        raise PlanFaults([Fault("--model", f'"{model[:60]}" is no model of the course{known}')], "the command")
    seen = read(plan / "plan.toml" if os.path.isdir(plan) else plan)
    start = seen.plan.weather.start
    zone = None if start is None else start.tzinfo
    begin = None if first is None else read_day(first, "--from", zone)
    end = None if last is None else read_day(last, "--to", zone)
    found = estimate(seen)
    if begin is None or end is None:
        window = usual_window(found)
        if window is None and seen.plan.weather.file is not None:
            what = f"the weather does not go on for {SHORTEST_H} h after the plan's start; give --from and --to"
            raise PlanFaults([seen.fault(what, "weather", "file")], seen.name)
        begin, end = begin or (window or _EVER)[0], end or (window or _EVER)[1]
    made = start_hours(found, begin, end, every, model=model)
    typer.echo(when_text(found, made))
    if file is not None:
        typer.echo(f"wrote {write_text(file, when_csv(found, made))}")


_EVER = (dt.datetime(1970, 1, 1, tzinfo=dt.UTC), dt.datetime(1970, 1, 1, tzinfo=dt.UTC))  # for a plan without a file


def read_day(text: str, option: str, zone: dt.tzinfo | None) -> dt.datetime:
    """Return a day or an hour with its zone; a last day is meant to its last hour, other times as written.

    Raises
    ------
    PlanFaults
        If it is neither.

    Examples
    --------
    >>> read_day("2013-04-10", "--to", dt.UTC).isoformat()
    '2013-04-10T23:00:00+00:00'
    """
    from spadework.plan import Fault, PlanFaults

    try:
        time = dt.datetime.fromisoformat(text.strip())
        if time.year < 1000 or time.year > 9000:
            raise ValueError(time.year)
    except ValueError:
        what = f'"{text[:60]}" is no day or hour; write it as 2013-04-10 or 2013-04-10T06:00'
        raise PlanFaults([Fault(option, what)], "the command") from None
    if time.tzinfo is None:
        time = time.replace(tzinfo=zone or dt.UTC)
    whole_day = len(text.strip()) <= len("2013-04-10")
    return time + dt.timedelta(hours=23) if option == "--to" and whole_day else time
