"""The commands of the season: its calendar, and the protocol that is frozen, changed by record and verified."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["change", "freeze", "season", "verify"]

_PlanFile = Annotated[
    Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
]
_Who = Annotated[str, typer.Option("--who", help="Name or initials of who does it.")]


def season(
    plan: _PlanFile,
    sowing: Annotated[
        str | None, typer.Option("--sowing", help="Day of sowing, e.g. 2026-04-28, in place of the plan's.")
    ] = None,
    ics: Annotated[
        Path | None, typer.Option("--ics", help="Write the calendar to this file, for telephones and desks.")
    ] = None,
    pdf: Annotated[Path | None, typer.Option("--pdf", help="Write calendar, kit list and cautions as a print.")] = None,
) -> None:
    """Print the calendar of the season, counted from sowing: what, when, who, with which sheets and kit."""
    from spadework.plan import Fault, PlanFaults, read
    from spadework.present.files import write_bytes, write_text
    from spadework.present.sheets.season_table import season_text
    from spadework.records.season import calendar_of
    from spadework.records.tables.columns import clip

    seen = read(_file(plan))
    day = None
    if sowing is not None:
        try:
            day = dt.date.fromisoformat(sowing.strip())
        except ValueError:
            what = f'"{clip(sowing)}" is no day; write year, month and day, e.g. 2026-04-28'
            raise PlanFaults([Fault("--sowing", what)], "the command") from None
    calendar = calendar_of(seen, day)
    typer.echo(season_text(calendar, question=seen.plan.question, invented=seen.plan.invented))
    if ics is not None:
        from spadework.exchange.calendar_file import icalendar_text

        name = f"{seen.plan.field.name}: {seen.plan.question}"
        text = icalendar_text(calendar, name=name, made=_now(), invented=seen.plan.invented)
        typer.echo(f"wrote {write_text(ics, text)}")
    if pdf is not None:
        from spadework.present.sheets.season_paper import season_pdf

        content = season_pdf(calendar, about=seen.plan.field.name, invented=seen.plan.invented)
        typer.echo(f"wrote {write_bytes(pdf, content)}")


def freeze(plan: _PlanFile, who: _Who) -> None:
    """Freeze the protocol: plan, layout and seed as they stand, with the moment and a seal, in protocol.json."""
    from spadework.app.folders import write_new
    from spadework.plan import read
    from spadework.records.protocol import PROTOCOL_FILE, frozen, protocol_text

    seen = read(_file(plan))
    protocol = frozen(seen, when=_now(), who=_named(who))
    path = seen.folder / PROTOCOL_FILE
    write_new({path: protocol_text(protocol).encode("utf-8")})
    typer.echo(f"wrote {path}")
    typer.echo(f"Seal; give it to somebody else as well:\n  {protocol['records'][-1]['seal']}")


def change(
    plan: _PlanFile,
    who: _Who,
    why: Annotated[str, typer.Option("--why", help="Why the plan was changed.")],
) -> None:
    """Record a change of the plan in the protocol: what differs, who, when and why."""
    from spadework.plan import read
    from spadework.present.files import write_text
    from spadework.records.protocol import PROTOCOL_FILE, changed, protocol_text, read_protocol

    seen = read(_file(plan))
    path = seen.folder / PROTOCOL_FILE
    protocol = changed(read_protocol(path), seen, when=_now(), who=_named(who), why=why)
    write_text(path, protocol_text(protocol))
    last = protocol["records"][-1]
    for words in last["differs"]:
        typer.echo(f"- {words}")
    typer.echo(f"wrote {path}, change {len(protocol['records']) - 1}; seal:\n  {last['seal']}")


def verify(plan: _PlanFile) -> None:
    """Say whether the plan is as the protocol has it, and what differs; ends with code 1 where it is not."""
    from spadework.plan import read
    from spadework.present.sheets.season_table import verdict_text
    from spadework.records.protocol import PROTOCOL_FILE, read_protocol
    from spadework.records.protocol import verify as verdict_of

    seen = read(_file(plan))
    verdict = verdict_of(read_protocol(seen.folder / PROTOCOL_FILE), seen)
    typer.echo(verdict_text(verdict, name=seen.name))
    if not verdict.holds:
        raise typer.Exit(1)


def _file(plan: Path) -> Path:
    return plan / "plan.toml" if os.path.isdir(plan) else plan


def _named(who: str) -> str:
    from spadework.plan import Fault, PlanFaults

    if not who.strip() or not who.isprintable() or len(who) > 60:
        raise PlanFaults([Fault("--who", "is no name; allowed: 1 to 60 characters that can be printed")], "the command")
    return who


def _now() -> dt.datetime:
    return dt.datetime.now().astimezone().replace(microsecond=0)
