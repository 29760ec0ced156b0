"""Columns of the tables that people fill in, written into the pages from the code at build time.

The directive ``sheet-columns`` turns the columns of one table (``digs``, ``bucket``, ``loads``) into a table of the page; the
directive ``dig-steps`` lists how digs are made, ``field-sheets`` the sheets of a comparison, ``reading-columns`` their columns.
The functions return Markdown and are tested without a build.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar

from docutils import nodes
from sphinx.application import Sphinx
from sphinx.util.docutils import SphinxDirective

from spadework.records.files.dig_sheets import HOW, dig_columns
from spadework.records.files.dose_files import COLUMNS
from spadework.records.kinds import PLACES, reading_kinds
from spadework.records.tables.columns import Column
from spadework.reference import load


def sheet_columns(table: str) -> str:
    """Return the columns of one table as a Markdown table."""
    columns = dig_columns() if table == "digs" else COLUMNS[table]
    lines = ["| column | what it holds | allowed | usual |", "|---|---|---|---|"]
    for column in columns:
        usual = "" if column.soft is None else f"{column.soft} {column.unit}".rstrip()
        needed = "" if column.needed else " *(may be left out)*"
        lines.append(f"| `{column.name}` | {column.meaning}{needed} | {_allowed(column)} | {usual} |")
    return "\n".join(lines)


def _allowed(column: Column) -> str:
    if column.kind == "word":
        return " · ".join(f"`{word}`" for word in column.words)
    return column.allowed


def dig_steps() -> str:
    """Return how digs are made as a numbered Markdown list."""
    return "\n".join(f"{number}. **{title}.** {text}" for number, (title, text) in enumerate(HOW, 1))


def field_sheets() -> str:
    """Return the sheets of a comparison as a Markdown table: what they are for, when, and which figures they take."""
    lines = ["| sheet | what for | figures | when |", "|---|---|---|---|"]
    for key, row in load("sheets").items():
        figures = [
            f"`{kind.field}`"
            for kind in reading_kinds().values()
            if (kind.record, kind.per) == (row.text("record"), row.text("per"))
        ]
        lines.append(f"| `{key}` | {row.label} | {', '.join(figures)} | {row.text('when')} |")
    return "\n".join(lines)


def reading_columns() -> str:
    """Return the columns that every sheet of a comparison has, and those of figures, as a Markdown table."""
    lines = ["| column | what it holds | allowed | usual | in each place |", "|---|---|---|---|---|"]
    lines += [f"| `{column.name}` | {column.meaning} | {column.allowed} |  |  |" for column in PLACES]
    for kind in reading_kinds().values():
        unit = kind.said_unit
        usual = "" if kind.soft is None else f"{kind.soft}{unit}"
        lines.append(f"| `{kind.field}` | {kind.label} | {kind.hard}{unit} | {usual} | {kind.count} |")
    return "\n".join(lines)


class _Written(SphinxDirective):
    write: ClassVar[Callable[..., str]]

    def run(self) -> list[nodes.Node]:
        """Return the text as nodes of the page."""
        return self.parse_text_to_nodes(type(self).write(*self.arguments), offset=self.content_offset)


def setup(app: Sphinx) -> dict[str, Any]:
    """Make the directives known."""
    for name, function, arguments in (
        ("sheet-columns", sheet_columns, 1),
        ("dig-steps", dig_steps, 0),
        ("field-sheets", field_sheets, 0),
        ("reading-columns", reading_columns, 0),
    ):
        about = {"write": staticmethod(function), "required_arguments": arguments}
        app.add_directive(name, type(f"_{function.__name__}", (_Written,), about))
    return {"version": "1", "parallel_read_safe": True}
