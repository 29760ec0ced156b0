"""The reference tables as text: what they hold, where it comes from, how well it is known, and every row of one."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterator

from spadework.plan.faults import nearest
from spadework.reference import STANDINGS, Row, Table, load, sources, table_names

__all__ = ["source_list", "table_rows"]

_WIDTH = 100


def source_list() -> str:
    """Return all reference tables: title, vintage, source, and how many of their numbers have which standing."""
    out = ["Reference tables. Print one row by row: spadework sources TABLE", ""]
    out += _standings()
    for name in table_names():
        table = load(name)
        counts = Counter(_standing(table, row) for row in table.values())
        said = ", ".join(f"{counts[standing]} {standing}" for standing in STANDINGS if counts[standing])
        keys = Counter(row.cells.get("source") or str(table.about["source"]) for row in table.values())
        out += ["", f"{name} ({table.vintage})", *_wrapped(table.title, "  ")]
        out += [
            *_wrapped(f"{_rows(len(table))}: {said}", "  "),
            *(line for key, _ in keys.most_common() for line in _wrapped(f"Source: {sources()[key].text}", "  ")),
        ]
    return "\n".join(out)


def table_rows(name: str) -> str:
    """Return every row of a reference table: values with unit and range, standing, source, place in it and note.

    Raises
    ------
    KeyError
        If there is no such table; the message names the nearest.
    """
    if name not in table_names():
        raise KeyError(
            f'there is no reference table "{name}"{nearest(name, table_names())}; `spadework sources` lists them'
        )
    table = load(name)
    out = [f"{name} ({table.vintage})", *_wrapped(table.title)]
    if note := table.about.get("note"):
        out += _wrapped(str(note))
    out += ["", *_standings()]
    for row in table.values():
        out += ["", *_wrapped(f"{row.label}  [{row.key}]")]
        for line in _values(table, row):
            out += _wrapped(line, "  ")
        said = row.citation(table.value_columns()[0])
        place = f", {said.locator}" if said.locator else ""
        out += _wrapped(f"{said.standing}: {said.source.text}{place}", "  ")
        if row.has("note"):
            out += _wrapped(f"Note: {row.text('note')}", "  ")
    return "\n".join(out)


def _values(table: Table, row: Row) -> Iterator[str]:
    for column in table.value_columns():
        low, high = (row.cells.get(f"{column}_{end}", "") for end in ("low", "high"))
        if not row.has(column) and not low and not high:
            continue
        unit = table.unit(column) or row.cells.get("unit", "")
        unit = "" if unit == "1" else f" {unit}"
        value = row.text(column) if row.has(column) else "no single value"
        between = f" ({low or value} to {high or value})" if low or high else ""
        yield f"{table.column_label(column)}: {value}{between}{unit}"


def _standing(table: Table, row: Row) -> str:
    return row.cells.get("standing") or str(table.about["standing"])


def _standings() -> list[str]:
    return [line for key, words in STANDINGS.items() for line in _wrapped(f"{key}: {words}", "  ")]


def _rows(count: int) -> str:
    return "1 row" if count == 1 else f"{count} rows"


def _wrapped(text: str, indent: str = "") -> list[str]:
    return textwrap.wrap(
        " ".join(text.split()),
        _WIDTH,
        initial_indent=indent,
        subsequent_indent=indent + "  ",
        break_long_words=False,
        break_on_hyphens=False,
    )
