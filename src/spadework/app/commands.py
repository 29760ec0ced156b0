"""The commands by name: where each stands and what it does in one line; a command is loaded when it is called.

The list of all commands is printed from this one table, so that ``spadework --help`` loads none of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module
from typing import Any, Final

import typer
from typer.core import TyperGroup

__all__ = ["COMMANDS", "Commands", "Loaded"]

COMMANDS: Final[dict[str, dict[str, tuple[str, str]]]] = {
    "Plan it": {
        "new": ("start", "Write a commented plan to fill in, and its schema."),
        "demo": ("start", "Copy the invented demo, estimate it, write its report."),
        "check": ("start", "Check a plan: all faults at once, with line and key."),
        "blocks": ("blocks", "Say what the comparison can show; draw its order by lot."),
        "layout": ("layout", "Fit plot widths to machines, lay plots out on the field."),
        "season": ("season", "Print the calendar of the season and the kit list."),
        "freeze": ("season", "Freeze the protocol: plan, layout and seed, sealed."),
        "change": ("season", "Record a change of the plan in the protocol, with why."),
        "verify": ("season", "Say what differs from the frozen protocol."),
    },
    "Estimate it": {
        "estimate": ("estimate", "Estimate every system; print the table or a working."),
        "report": ("estimate", "Estimate, and write the report as page and print."),
        "match": ("match", "Say whether each tractor is large enough, and why."),
        "supply": ("supply", "Say who waits for whom when slurry is brought."),
        "pressure": ("pressure", "Say what presses on the soil, and how deep it reaches."),
        "money": ("money", "Show the cost of every pass in three views."),
        "when": ("when", "Say what every start hour would lose as ammonia."),
        "band": ("band", "Say where the band lies, and what it does to the seed."),
        "seedbed": ("seedbed", "Say how warm the seedbed is, and when plants come up."),
    },
    "In the field": {
        "sheets": ("sheets", "Write sheets and labels for the field from plan and layout."),
        "dose": ("dose", "Say what to set on the day; judge buckets and loads."),
        "digs": ("digs", "Dig across the rows: is the band where it should be?"),
        "tape": ("tape", "Say how much residue tapes counted, and how sure that is."),
        "photo": ("photo", "Read residue cover from photos of the ground."),
        "timing": ("time_study", "Say where the time went, from a position log."),
        "stand": ("stand", "Hold stand counts of row units against one another."),
        "harvest": ("harvest", "Turn weighed strips or a yield log into plots."),
        "records": ("records", "Keep the readings: sheets in, corrections, copies, data out."),
    },
    "What came out": {
        "compare": ("compare", "Compare the systems by the readings of their plots."),
        "pool": ("harvest", "Say what several fields show together."),
    },
    "Look up": {
        "sources": ("sources", "Print the reference tables and their standing."),
        "schema": ("start", "Print the JSON Schema of a plan, for editors."),
    },
}
"""Under each heading of the list, by name of the command: the module here that has its function, and its line."""


class Loaded(Mapping[str, Any]):
    """Every command by its name, made when it is asked for."""

    def __init__(self) -> None:
        self._places = {name: place for group in COMMANDS.values() for name, place in group.items()}
        self._made: dict[str, Any] = {}

    def __getitem__(self, name: str) -> Any:
        if name not in self._made:
            self._made[name] = _made(name, *self._places[name])
        return self._made[name]

    def __contains__(self, name: object) -> bool:
        return name in self._places

    def __iter__(self) -> Iterator[str]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)


class Commands(TyperGroup):
    """The group of all commands, which lists them without loading them."""

    def __init__(self, **attributes: Any) -> None:
        super().__init__(**attributes)
        self.commands = Loaded()  # type: ignore[assignment]  # read only: nothing is added later

    def list_commands(self, ctx: typer.Context) -> list[str]:  # type: ignore[override]  # the library's own name of it
        """Return the names of all commands in the order of the list."""
        return list(self.commands)

    def format_commands(self, ctx: typer.Context, formatter: Any) -> None:  # type: ignore[override]
        """Write the list of commands under their headings, all in one column."""
        wide = max(map(len, self.commands))
        for heading, group in COMMANDS.items():
            with formatter.section(heading):
                formatter.write_dl([(name.ljust(wide), line) for name, (_, line) in group.items()])


def _made(name: str, module: str, line: str) -> Any:
    command = getattr(import_module(f"spadework.app.{module}"), name)
    if not isinstance(command, typer.Typer):
        one = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
        one.command(name, short_help=line)(command)
        command = one
    return typer.main.get_command(command)
