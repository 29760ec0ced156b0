"""The loader of reference tables.

A table is a CSV file ``<name>-<vintage>.csv`` with a sidecar ``<name>-<vintage>.toml`` beside it.  The first column is
``key``; ``label`` is in the words of the trade; every other column is a value, unless its name is one of ``standing``,
``source``, ``locator`` or ``note``, which speak for their row and, where empty, fall back on the sidecar.  A column
``x_low`` or ``x_high`` holds the range of column ``x``.  A table whose values are single numbers with different units
has the columns ``value`` and ``unit``.

The sidecar gives ``title``, ``source`` (a key in one of the lists under ``sources/``), ``locator`` (table or equation
number), ``standing``, ``note`` and, for every value column, ``[columns.<name>]`` with ``label`` and ``unit``.
"""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Final

__all__ = [
    "STANDINGS",
    "Citation",
    "Constants",
    "Entry",
    "Row",
    "Source",
    "Table",
    "constants",
    "load",
    "sources",
    "table_names",
]

STANDINGS: Final[Mapping[str, str]] = {
    "read": "read in the source itself",
    "quoted": "read second-hand, in a text that quotes the source",
    "memory": "recalled, not re-read; to be checked against the source",
    "choice": "our own choice or construction; may be edited",
}
_ABOUT_THE_ROW: Final = ("key", "label", "unit", "standing", "source", "locator", "note")


@dataclass(frozen=True, slots=True)
class Source:
    """A publication, standard or statute, or our own choice."""

    key: str
    text: str
    year: int | None


@dataclass(frozen=True, slots=True)
class Citation:
    """Where one number comes from, down to row and column."""

    table: str
    vintage: str
    row: str
    label: str
    column: str
    source: Source
    locator: str
    standing: str
    note: str

    def __str__(self) -> str:
        place = f", {self.locator}" if self.locator else ""
        return f"{self.source.text}{place} [{self.standing}; table {self.table}, row {self.row}, {self.column}]"


@dataclass(frozen=True, slots=True)
class Entry:
    """One number of a table with its unit, its range (equal to the value where none is given) and its citation."""

    value: float
    low: float
    high: float
    unit: str
    citation: Citation


@dataclass(frozen=True)
class Row:
    """One row of a table; numbers by column name."""

    table: Table
    key: str
    label: str
    cells: Mapping[str, str]

    def text(self, column: str) -> str:
        """Return the cell as it stands in the file."""
        return self.cells[column]

    def has(self, column: str) -> bool:
        """Tell whether the cell holds anything."""
        return bool(self.cells.get(column))

    def entry(self, column: str) -> Entry:
        """Return the number in `column` with unit, range and citation.

        Raises
        ------
        KeyError
            If the table has no such column or the cell is empty.
        """
        if not self.has(column):
            raise KeyError(f"table {self.table.name}, row {self.key}: nothing in column {column}")
        value = float(self.cells[column])
        low = float(self.cells[f"{column}_low"]) if self.has(f"{column}_low") else value
        high = float(self.cells[f"{column}_high"]) if self.has(f"{column}_high") else value
        return Entry(value, low, high, self.table.unit(column) or self.cells.get("unit", ""), self.citation(column))

    def citation(self, column: str) -> Citation:
        """Return where the number in `column` comes from."""
        return Citation(
            table=self.table.name,
            vintage=self.table.vintage,
            row=self.key,
            label=self.label,
            column=column,
            source=sources()[self.cells.get("source") or self.table.about["source"]],
            locator=self.cells.get("locator") or self.table.about.get("locator", ""),
            standing=self.cells.get("standing") or self.table.about["standing"],
            note=self.cells.get("note") or self.table.about.get("note", ""),
        )


@dataclass(frozen=True)
class Table(Mapping[str, Row]):
    """A reference table: rows by key, with what its sidecar says about it."""

    name: str
    vintage: str
    about: Mapping[str, Any]
    columns: tuple[str, ...]
    rows: Mapping[str, Row]

    @property
    def title(self) -> str:
        """What the table holds, in one line."""
        return str(self.about["title"])

    def unit(self, column: str) -> str:
        """Return the unit of a value column; empty where each row names its own."""
        return str(self.about.get("columns", {}).get(column, {}).get("unit", ""))

    def column_label(self, column: str) -> str:
        """Return what a value column holds, in words."""
        return str(self.about.get("columns", {}).get(column, {}).get("label", column))

    def value_columns(self) -> tuple[str, ...]:
        """Return the columns that hold values, without those that hold their ranges."""
        return tuple(c for c in self.columns if c not in _ABOUT_THE_ROW and not c.endswith(("_low", "_high")))

    def __getitem__(self, key: str) -> Row:
        return self.rows[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    def __hash__(self) -> int:
        return hash((self.name, self.vintage))


class Constants(Mapping[str, Entry]):
    """The single numbers of a table, as floats by attribute and as entries by key.

    Examples
    --------
    >>> exact = constants("chemistry")
    >>> round(exact.p2o5_per_p, 4)
    2.2913
    >>> exact["p2o5_per_p"].citation.standing
    'memory'
    """

    def __init__(self, table: Table) -> None:
        self.table = table
        self._entries = {key: row.entry("value") for key, row in table.items()}

    def __getattr__(self, key: str) -> float:
        try:
            return self.__dict__["_entries"][key].value  # type: ignore[no-any-return]
        except KeyError:
            raise AttributeError(key) from None

    def __getitem__(self, key: str) -> Entry:
        return self._entries[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)


@cache
def sources() -> Mapping[str, Source]:
    """Return every publication that a table or an equation leans on, by key."""
    found: dict[str, Source] = {}
    for path in sorted((files(__package__) / "sources").iterdir(), key=lambda p: p.name):
        if path.name.endswith(".toml"):
            for key, item in tomllib.loads(path.read_text("utf-8")).items():
                if key in found:
                    raise ValueError(f"source {key} stands twice in the lists of sources")
                found[key] = Source(key, item["text"], item.get("year"))
    return found


@cache
def _vintages() -> Mapping[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for path in (files(__package__) / "tables").iterdir():
        if path.name.endswith(".csv"):
            name, _, vintage = path.name.removesuffix(".csv").rpartition("-")
            found.setdefault(name, []).append(vintage)
    return {name: tuple(sorted(found[name])) for name in sorted(found)}


def table_names() -> tuple[str, ...]:
    """Return the names of all tables, in alphabetical order."""
    return tuple(_vintages())


@cache
def load(name: str, vintage: str | None = None) -> Table:
    """Return a reference table, by default in its newest vintage.

    Raises
    ------
    KeyError
        If there is no table of that name and vintage.

    Examples
    --------
    >>> plough = load("draft_asae_d497")["mouldboard"]
    >>> plough.entry("a").value, plough.entry("a").citation.standing
    (652.0, 'memory')
    """
    if name not in _vintages() or (vintage is not None and vintage not in _vintages()[name]):
        raise KeyError(f"no reference table {name}" + (f" of {vintage}" if vintage else ""))
    vintage = vintage or _vintages()[name][-1]
    folder = files(__package__) / "tables"
    about = tomllib.loads((folder / f"{name}-{vintage}.toml").read_text("utf-8"))
    reader = csv.DictReader((folder / f"{name}-{vintage}.csv").read_text("utf-8").splitlines())
    rows: dict[str, Row] = {}
    table = Table(name, vintage, about, tuple(reader.fieldnames or ()), rows)
    for cells in reader:
        rows[cells["key"]] = Row(table, cells["key"], cells.get("label") or cells["key"].replace("_", " "), cells)
    return table


@cache
def constants(name: str, vintage: str | None = None) -> Constants:
    """Return the single numbers of the table `name`, whose value column is ``value``."""
    return Constants(load(name, vintage))
