"""Kinds of readings as data: what is measured, in which unit, how finely, what is usual, what can be and how many there are.

They stand in the reference table ``reading_kinds``; every kind is a column, so that sheets, reader and store agree.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final

from spadework.records.files.readings import PLAIN_UNIT
from spadework.records.tables.columns import Allowed, Column
from spadework.reference import Row, load

__all__ = [
    "BELOW_DETECTION",
    "LOST",
    "NOTHING",
    "PLACES",
    "Kind",
    "Kinds",
    "columns_of",
    "reading_kinds",
    "records",
    "same_nothing",
]

BELOW_DETECTION: Final = "below detection"
"""There was less than the method can find; the least that it can find stands beside it."""
NOTHING: Final = ("missing", "not measured", BELOW_DETECTION, "unreadable")
"""The four kinds of nothing: taken and lost; never taken; too little to be found; written and not to be read."""
LOST: Final = "lost"
"""What some tables of readings write for missing."""
_WRITTEN: Final = (*NOTHING, LOST)

PLACES: Final = (
    Column("plot", "plot, as on its peg; a load or set-up has its own name", "text", needed=True, filled=True, longest=60),
    Column("place", "where in the plot: row, layer, part, load", "text", longest=60),
    Column("sample", "number of the reading in this place; 1 if empty", "whole", hard=Allowed(1, 100_000)),
    Column("time", "when: 2026-05-04 or 2026-05-04 09:30", "text", needed=True, filled=True, longest=40),
    Column("person", "initials of who measured", "text", needed=True, filled=True, longest=40),
    Column("limit", "least that the method can find, beside below detection", "number", hard=Allowed(0, 1_000_000)),
    Column("instrument", "with what, where there is more than one", "text", longest=60),
    Column("note", "anything else; kept: and a reason where a figure is unusual", "text", longest=200),
)  # fmt: skip
"""Columns that every sheet of readings has beside its figures."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of reading.

    Attributes
    ----------
    record : str
        What it belongs to, such as ``slurry``; a sheet of its own.
    field : str
        Name of its column, which ends in the unit.
    label : str
        What it is, in trade words.
    unit : str
        Its unit; ``"1"`` for a count.
    precision : float
        What it is read to.
    hard : Allowed
        What can be.
    soft : Allowed or None
        What is usual; None where nothing can be said.
    per : str
        What it is taken in: plot, layer, load, pass, and so on.
    count : int
        How many are wanted there.
    whole : bool
        True where it is counted.
    """

    record: str
    field: str
    label: str
    unit: str
    precision: float
    hard: Allowed
    soft: Allowed | None
    per: str
    count: int
    whole: bool = False

    @property
    def column(self) -> Column:
        """The column of a sheet that it is written in."""
        unit = "" if self.unit == PLAIN_UNIT else self.unit
        kind = "whole" if self.whole else "number"
        return Column(self.field, self.label, kind, unit, self.hard, self.soft, _WRITTEN)  # type: ignore[arg-type]

    def usual(self, value: float) -> bool:
        """Tell whether a figure is usual by itself.

        Examples
        --------
        >>> dry = reading_kinds()["harvest", "dry_matter_pct"]
        >>> dry.usual(33.5), dry.usual(52)
        (True, False)
        """
        return self.soft is None or (self.soft.holds(value) and not self.looks_like_share(value))

    def looks_like_share(self, value: float) -> bool:
        """Tell whether a figure below 1 % looks like a share, 0.12 where 12 % was meant.

        Examples
        --------
        >>> evenness = reading_kinds()["dose", "outlet_cv_pct"]
        >>> evenness.looks_like_share(0.12), evenness.looks_like_share(12), evenness.looks_like_share(0)
        (True, False, False)
        """
        if self.unit != "%" or self.soft is None or not 0 < value < min(1, self.precision + self.soft.low):
            return False
        return self.soft.holds(100 * value)

    @property
    def said_unit(self) -> str:
        """The unit behind a figure in a sentence, with a blank before it; empty for a count."""
        return "" if self.unit == PLAIN_UNIT else f" {self.unit}"


Kinds = Mapping[tuple[str, str], Kind]
"""Kinds of readings by record and field."""


@cache
def reading_kinds() -> Kinds:
    """Return the kinds of readings of the reference table, by record and field.

    Examples
    --------
    >>> dry = reading_kinds()["harvest", "dry_matter_pct"]
    >>> dry.column.allowed
    '5 to 95 %, or missing, or not measured, or below detection, or unreadable, or lost'
    >>> str(dry.soft), dry.count
    ('25 to 45', 2)
    """
    found = [_kind(row) for row in load("reading_kinds").values()]
    return MappingProxyType({(kind.record, kind.field): kind for kind in found})


def records(kinds: Kinds | None = None) -> tuple[str, ...]:
    """Return what readings belong to, each once, in the order of the table.

    Examples
    --------
    >>> records()[:4]
    ('plot', 'soil', 'slurry', 'dose')
    """
    return tuple(dict.fromkeys(record for record, _ in kinds or reading_kinds()))


def columns_of(record: str, kinds: Kinds | None = None) -> tuple[Column, ...]:
    """Return the columns of a sheet of readings: where and when, the figures, who and with what.

    Parameters
    ----------
    record : str
        One of :func:`records`.
    kinds : Kinds, optional
        Kinds of readings; those of the reference table if left out.

    Raises
    ------
    KeyError
        If nothing belongs to it.

    Examples
    --------
    >>> ", ".join(column.name for column in columns_of("dose"))
    'plot, place, sample, rate_m3_ha, outlet_cv_pct, area_ha, time, person, limit, instrument, note'
    """
    figures = [kind.column for kind in (kinds or reading_kinds()).values() if kind.record == record]
    if not figures:
        raise KeyError(f"no reading belongs to {record}; there are: {', '.join(records(kinds))}")
    return (*PLACES[:3], *figures, *PLACES[3:])


def same_nothing(word: str) -> str:
    """Return a word for nothing as the store writes it.

    Examples
    --------
    >>> same_nothing("lost"), same_nothing("unreadable")
    ('missing', 'unreadable')
    """
    return NOTHING[0] if word == LOST else word


def _kind(row: Row) -> Kind:
    limits = load(row.text("limits_table"))[row.text("limits_row")] if row.has("limits_table") else row
    unit = row.text("unit")
    if limits.text("unit") != unit:
        raise ValueError(f"table reading_kinds, row {row.key}: its limits are in {limits.text('unit')}")
    hard = Allowed(limits.entry("least").value, limits.entry("most").value, above=row.text("above") == "yes")
    soft = None
    if limits.has("usual_from"):
        soft = Allowed(limits.entry("usual_from").value, limits.entry("usual_to").value)
    precision = row.entry("precision").value
    whole = unit == PLAIN_UNIT and precision == 1
    return Kind(row.text("record"), row.text("field"), row.label, unit, precision, hard, soft,
                row.text("per"), int(row.entry("count").value), whole)  # fmt: skip
