"""The command ``spadework``: thin; every command calls one function of the rooms above.

Commands stand in modules of their own, which are loaded when they are called: ``spadework --help`` answers at once.
"""

from __future__ import annotations

import io
import sys
from typing import Annotated

import typer

from spadework import __version__
from spadework.app.commands import Commands

__all__ = ["app", "main"]

app = typer.Typer(
    name="spadework",
    cls=Commands,
    help="Field comparisons of ways to establish maize on livestock slurry: plan, estimate, tell.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def main() -> None:
    """Run the command line; a fault in trade words ends it with exit code 2, never with a traceback."""
    from spadework.app.stops import stopping

    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a screen without a sign shows ? and goes on
    with stopping():
        app()


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"spadework {__version__}")
        raise typer.Exit


@app.callback()
def _spadework(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Field comparisons of ways to establish maize on livestock slurry: plan, estimate, tell."""


if __name__ == "__main__":
    main()
