"""Columns of a table that people fill in, as data, and the reading of one cell."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

from spadework.plan.faults import nearest

__all__ = ["Allowed", "Column", "Value", "WrongCell", "clip", "read_cell"]

Value = float | str | None
"""What a cell holds: a number, a word or text; None where it is empty."""

_LONGEST_NUMBER: Final = 30
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)")
_TWO_WAYS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}(?:[T ].*)?|[0-9]{1,2}:[0-9]{2}:[0-9]{2}.*")


class WrongCell(ValueError):  # noqa: N818 (its own word)
    """A cell that cannot be, with what is allowed."""


@dataclass(frozen=True, slots=True)
class Allowed:
    """A range of numbers, its ends included; the lower end is not where `above` says so."""

    low: float
    high: float
    above: bool = False

    def holds(self, value: float) -> bool:
        """Tell whether a value lies within.

        Examples
        --------
        >>> Allowed(0, 600, above=True).holds(0), Allowed(0, 600).holds(0)
        (False, True)
        """
        return self.low <= value <= self.high and not (self.above and value == self.low)

    def __str__(self) -> str:
        return f"{'more than ' if self.above else ''}{self.low:g} to {self.high:g}"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table that people fill in.

    Attributes
    ----------
    name : str
        As it stands in the first line of the table; it ends in the unit.
    meaning : str
        What it holds, in a few words.
    kind : str
        ``"number"``, ``"whole"`` (a whole number), ``"word"`` (one of `words`) or ``"text"``.
    unit : str
        Of a number; empty for a count.
    hard : Allowed or None
        What can be; a number outside is a fault.
    soft : Allowed or None
        What is usual; a number outside is remarked on and kept.
    words : tuple of str
        Of a word; for a number, words that stand in its place.
    needed : bool
        True where the table must have the column.
    filled : bool
        True where each line must fill it.
    longest : int
        Most characters of a text.
    """

    name: str
    meaning: str
    kind: Literal["number", "whole", "word", "text"]
    unit: str = ""
    hard: Allowed | None = None
    soft: Allowed | None = None
    words: tuple[str, ...] = ()
    needed: bool = False
    filled: bool = False
    longest: int = 12

    @property
    def allowed(self) -> str:
        """What may stand in a cell, in words.

        Examples
        --------
        >>> Column("top_cm", "top of the band", "number", "cm", Allowed(0, 60), words=("none",)).allowed
        '0 to 60 cm, or none'
        """
        if self.kind == "text":
            return f"1 to {self.longest} characters that can be printed"
        if self.kind == "word":
            return ", ".join(self.words[:-1]) + f" or {self.words[-1]}"
        text = f"{self.hard} {self.unit}".rstrip() if self.hard is not None else "a number"
        return ", or ".join([f"{text}, whole" if self.kind == "whole" else text, *self.words])


def read_cell(cell: str, column: Column) -> Value:
    """Return what a cell holds, read as its column asks.

    Parameters
    ----------
    cell : str
        As it stands in the table.
    column : Column
        The one it stands in.

    Returns
    -------
    float, str or None
        A number; a word or text; None for an empty cell.

    Raises
    ------
    WrongCell
        If it cannot be, or can be read in two ways.

    Examples
    --------
    >>> depth = Column("top_cm", "top of the band", "number", "cm", Allowed(0, 60), words=("none",))
    >>> read_cell("12,5", depth), read_cell("None", depth), read_cell("", depth)
    (12.5, 'none', None)
    """
    if column.kind == "text":
        if (cell or column.filled) and (not 0 < len(cell) <= column.longest or not cell.isprintable()):
            what = "is no name" if column.filled else "is too long or cannot be printed"
            raise WrongCell(f'"{clip(cell)}" {what}; allowed: {column.allowed}')
        return cell or None
    if not cell:
        if column.filled:
            raise WrongCell(f"is empty; allowed: {column.allowed}")
        return None
    if cell.lower() in column.words:
        return cell.lower()
    if column.kind == "word":
        near = nearest(cell, column.words)
        raise WrongCell(f'"{clip(cell)}" is none of the words; allowed: {column.allowed}{near}')
    return _number(cell.replace("−", "-"), column)


def _number(cell: str, column: Column) -> float:
    if _DATE.fullmatch(cell):
        what = f"holds a date or time ({clip(cell)}), which spreadsheets make of figures such as 5.4"
        raise WrongCell(f"{what}; set the cell to number and write it again; allowed: {column.allowed}")
    if len(cell) > _LONGEST_NUMBER or not _NUMBER.fullmatch(cell):
        unit = ", without the unit" if column.unit else ""
        raise WrongCell(f'"{clip(cell)}" is no number; allowed: {column.allowed}{unit}')
    if _TWO_WAYS.fullmatch(cell):
        raise WrongCell(f'"{cell}" can be read in two ways; write {cell.replace(",", "")} or {cell.replace(",", ".")}')
    value = float(cell.replace(",", "."))
    if column.kind == "whole" and value != int(value):
        raise WrongCell(f"{cell} is no whole number; allowed: {column.allowed}")
    if column.hard is not None and not column.hard.holds(value):
        raise WrongCell(f"{cell} cannot be; allowed: {column.allowed}{_in_mm(value, column)}{_as_share(value, column)}")
    return value


def _as_share(value: float, column: Column) -> str:
    if column.unit != "%" or column.soft is None or not 0 < value < 1 or not column.soft.holds(100 * value):
        return ""
    return f"; if a share was meant, write {100 * value:g}"


def _in_mm(value: float, column: Column) -> str:
    if column.unit != "cm" or column.soft is None or not column.soft.holds(value / 10):
        return ""
    return f"; if it was read in mm, write {value / 10:g}"


def clip(text: str) -> str:
    """Return a text short enough for a message."""
    return text if len(text) <= 60 else text[:57] + "..."
