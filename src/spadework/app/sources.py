"""The command ``spadework sources``: the reference tables and how well each is known."""

from __future__ import annotations

from typing import Annotated

import typer

__all__ = ["sources"]


def sources(
    table: Annotated[str | None, typer.Argument(help="A table to print row by row; all tables if left out.")] = None,
) -> None:
    """Print the reference tables: what they hold, where it comes from, how well it is known."""
    from spadework.present.source_list import source_list, table_rows

    typer.echo(source_list() if table is None else table_rows(table))
