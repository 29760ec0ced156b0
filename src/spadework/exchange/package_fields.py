"""What the columns of a data package hold: titles, types, units and constraints, as Table Schema asks for them."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, Final

from sqlalchemy import BigInteger, Boolean, Double, Integer, Table

from spadework.records.kinds import NOTHING, PLACES, Kind, Kinds
from spadework.records.store.schema_sql import READING

__all__ = ["WIDE", "kind_fields", "kind_row", "table_fields", "table_schema", "type_of", "wide_fields", "wide_schema"]

_ID: Final = r"[0-9a-f]{8}-[0-9a-f]{4}-[1-8][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}"
_SHA: Final = "[0-9a-f]{64}"
_TITLES: Final[Mapping[str, Mapping[str, str]]] = MappingProxyType(
    {
        "comparison": {
            "id": "id of the comparison; follows from its question",
            "question": "question of the comparison",
            "zone": "time zone of the field, IANA name",
            "invented": "true where the readings are made up",
        },
        "import_batch": {
            "id": "id of the file that was taken in",
            "comparison": "comparison",
            "record": "what its readings belong to",
            "file": "name of the file",
            "sha256": "SHA-256 of the file",
            "person": "who took it in",
            "imported_at": "when it was taken in",
        },
        "reading": {
            "id": "id, made where the reading was taken",
            "comparison": "comparison",
            "root": "first reading of the chain of corrections",
            "corrects": "reading that this row stands in for; empty for a first reading",
            "record": "what the reading belongs to; see kinds",
            "field": "what was measured; see kinds",
            "plot": "plot, as on its peg",
            "place": "where in the plot: row, layer, part, load",
            "sample": "number of the reading in this place",
            "unit": "unit of value and limit",
            "value": "the figure, in the unit that the column unit names",
            "why_none": "why there is no figure; empty where there is one",
            "limit_value": "least that the method can find, where the reading lies below it",
            "taken_at": "when it was taken: a day, or a time with its offset",
            "taken_utc": "the same in UTC",
            "person": "who measured",
            "instrument": "with what",
            "note": "anything else",
            "kept": "why an unusual figure is right",
            "reason": "why it was corrected",
            "made_at": "when the row was written down, UTC",
            "digest": "SHA-256 of what was measured",
            "source_file": "file that it was read from",
            "source_line": "line in that file",
            "batch": "the file as it was taken in",
        },
        "photo": {
            "id": "id of the photo",
            "comparison": "comparison",
            "sha256": "SHA-256 of the file",
            "name": "name that the file had",
            "bytes": "size of the file",
            "reading": "reading that it belongs to",
            "plot": "plot",
            "taken_at": "when it was taken",
            "person": "who took it",
            "note": "anything else",
            "made_at": "when it was kept, UTC",
        },
    }
)
_MAY_BE_EMPTY: Final = frozenset({"place", "instrument", "note", "kept", "reason", "source_file", "why_none"})
_UNITS: Final[Mapping[tuple[str, str], str]] = MappingProxyType({("photo", "bytes"): "byte"})
_KIND_TITLES: Final = (
    ("record", "string", "what the reading belongs to"),
    ("field", "string", "column that holds it"),
    ("label", "string", "what is measured"),
    ("unit", "string", "its unit; 1 for a count or a ratio"),
    ("precision", "number", "what it is read to, in its unit"),
    ("least", "number", "least that can be, in its unit"),
    ("above", "boolean", "true where the least itself cannot be"),
    ("most", "number", "most that can be, in its unit"),
    ("usual_from", "number", "lower end of what is usual, in its unit"),
    ("usual_to", "number", "upper end of what is usual, in its unit"),
    ("per", "string", "what it is taken in"),
    ("count", "integer", "how many are wanted there"),
)
WIDE: Final = ("plot", "place", "sample", "time", "person", "instrument", "note")
"""Columns of a wide table that say where a line belongs; its figures stand behind the sample."""


def type_of(table: Table, name: str) -> str:
    """Return the type of a column, in the words of Table Schema.

    Examples
    --------
    >>> type_of(READING, "value"), type_of(READING, "sample"), type_of(READING, "plot")
    ('number', 'integer', 'string')
    """
    kind = table.c[name].type
    if isinstance(kind, Boolean):
        return "boolean"
    if isinstance(kind, Integer | BigInteger):
        return "integer"
    return "number" if isinstance(kind, Double) else "string"


def table_fields(table: Table) -> list[dict[str, Any]]:
    """Return the columns of a table of the store as fields."""
    return [_field(table, column.name) for column in table.columns]


def table_schema(table: Table) -> dict[str, Any]:
    """Return the Table Schema of a table of the store, with its keys."""
    keys = [
        {"fields": [column.name], "reference": _reference(table, key)}
        for column in table.columns
        for key in column.foreign_keys
    ]
    return {
        "$schema": "https://datapackage.org/profiles/2.0/tableschema.json",
        "fields": table_fields(table),
        "missingValues": [""],
        "primaryKey": ["id"],
        **({"foreignKeys": keys} if keys else {}),
    }


def kind_fields() -> list[dict[str, Any]]:
    """Return the columns of the table of kinds of readings."""
    return [{"name": name, "type": kind, "title": title} for name, kind, title in _KIND_TITLES]


def kind_row(kind: Kind) -> tuple[Any, ...]:
    """Return a kind of reading as a row of that table."""
    soft = (None, None) if kind.soft is None else (kind.soft.low, kind.soft.high)
    hard = kind.hard
    return (kind.record, kind.field, kind.label, kind.unit, kind.precision, hard.low, hard.above, hard.high, *soft,
            kind.per, kind.count)  # fmt: skip


def wide_fields(record: str, kinds: Kinds) -> list[dict[str, Any]]:
    """Return the columns of the wide table of a record: where and when, then the figures with unit and range."""
    meanings = {column.name: column.meaning for column in PLACES}
    here = [
        {"name": name, "type": "integer" if name == "sample" else "string", "title": meanings[name]} for name in WIDE
    ]
    figures = [_figure(kind) for (one, _), kind in kinds.items() if one == record]
    return [*here[:3], *figures, *here[3:]]


def wide_schema(record: str, kinds: Kinds) -> dict[str, Any]:
    """Return the Table Schema of the wide table of a record."""
    return {
        "$schema": "https://datapackage.org/profiles/2.0/tableschema.json",
        "fields": wide_fields(record, kinds),
        "missingValues": ["", *NOTHING],
    }


def _figure(kind: Kind) -> dict[str, Any]:
    lower = "exclusiveMinimum" if kind.hard.above else "minimum"
    limits = {lower: kind.hard.low, "maximum": kind.hard.high}
    return {"name": kind.field, "type": "number", "title": kind.label, "unit": kind.unit, "constraints": limits}


def _field(table: Table, name: str) -> dict[str, Any]:
    column = table.c[name]
    out: dict[str, Any] = {"name": name, "type": type_of(table, name), "title": _TITLES[table.name].get(name, name)}
    if (table.name, name) in _UNITS:
        out["unit"] = _UNITS[table.name, name]
    if table is READING and name in ("value", "limit_value"):
        out["unitColumn"] = "unit"
    limits: dict[str, Any] = {}
    if not column.nullable and name not in _MAY_BE_EMPTY:
        limits["required"] = True
    if column.primary_key:
        limits |= {"unique": True, "pattern": _ID}
    elif name in ("sha256", "digest"):
        limits["pattern"] = _SHA
    elif name == "why_none":
        limits["enum"] = list(NOTHING)
    elif name in ("sample", "source_line"):
        limits["minimum"] = 1
    return out | ({"constraints": limits} if limits else {})


def _reference(table: Table, key: Any) -> dict[str, Any]:
    other = key.column.table.name
    return {"fields": [key.column.name], **({} if other == table.name else {"resource": other})}
