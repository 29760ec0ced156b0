"""Which rows of which figures lie behind a figure, and in which order they are worked."""

from __future__ import annotations

from dataclasses import dataclass, field

from spadework.estimate.workings.explain import is_leaf
from spadework.working import Across, Figure, Gathered, Worksheet

__all__ = ["Trace", "value_of"]

Row = tuple[str, int | None]
"""A figure by name and one of its rows; None where it has none."""


def value_of(sheet: Worksheet, name: str, row: int | None) -> float:
    """Return the value of a row on a sheet of a single draw."""
    held = sheet.figures[name]
    return float(held.values[0] if row is None or not held.over else held.values[row][0])


@dataclass
class Trace:
    """The rows behind a figure, on a sheet of a single draw.

    Attributes
    ----------
    sheet : Worksheet
        Of a single draw.
    seen : dict
        The rows that are needed of each figure.
    behind : dict
        The figures that each was made from.
    numbers : dict
        The number of the step that works each figure out; filled by :meth:`worked`.
    """

    sheet: Worksheet
    seen: dict[str, dict[int | None, None]] = field(default_factory=dict)
    behind: dict[str, dict[str, None]] = field(default_factory=dict)
    numbers: dict[str, int] = field(default_factory=dict)

    def resolved(self, name: str, row: int | None) -> Row:
        """Return the row itself, or the one that it was taken from as it is."""
        held = self.sheet.figures[name]
        while isinstance(held.origin, Gathered) and len(held.origin.rows[row or 0]) == 1:
            name, row = held.origin.figure, held.origin.rows[row or 0][0]
            held = self.sheet.figures[name]
        return name, row

    def follow(self, name: str, row: int | None) -> None:
        """Note a row and everything behind it."""
        row = row if self.sheet.figures[name].over else None
        if row in self.seen.setdefault(name, {}):
            return
        self.seen[name][row] = None
        for other, its_row in self.made_from(name, row):
            self.behind.setdefault(name, {})[other] = None
            self.follow(other, its_row)

    def made_from(self, name: str, row: int | None) -> list[Row]:
        """Return the rows that a row was made from."""
        held = self.sheet.figures[name]
        if isinstance(held.origin, Gathered):
            return [self.resolved(held.origin.figure, i) for i in held.origin.rows[row or 0]]
        return [made for other in self.sheet.inputs(held) for made in self.inputs_of(held, other, row)]

    def inputs_of(self, held: Figure, name: str, row: int | None) -> list[Row]:
        """Return the rows of the input `name` that a row of `held` was worked from; several where it was worked across."""
        if isinstance(held.origin, Across) and self.sheet.figures[name].over:
            return [self.resolved(name, i) for i in held.origin.rows[row or 0]]
        return [self.input_of(name, row)]

    def input_of(self, name: str, row: int | None) -> Row:
        """Return the row of an input that goes with a row of what is made from it."""
        return self.resolved(name, row if self.sheet.figures[name].over else None)

    def value(self, name: str, row: int | None) -> float:
        """Return the value of a row."""
        return value_of(self.sheet, name, row)

    def rows(self, name: str) -> tuple[int | None, ...]:
        """Return the rows of a figure that are needed, in order."""
        return tuple(sorted(self.seen[name], key=lambda row: -1 if row is None else row))

    def is_nil(self, name: str, row: int | None) -> bool:
        """Tell whether a row is an empty sum, or an empty product."""
        origin = self.sheet.figures[name].origin
        return isinstance(origin, Gathered) and not origin.rows[row or 0]

    def leaves(self) -> list[Figure]:
        """Return what was given or looked up, in the order of the sheet."""
        return [held for name, held in self.sheet.figures.items() if name in self.seen and is_leaf(held)]

    def worked(self) -> list[Figure]:
        """Return what was worked out, each after what it was made from, and number it."""
        order: dict[str, None] = {}

        def visit(name: str) -> None:
            if name in order:
                return
            for other in self.behind.get(name, ()):
                visit(other)
            order[name] = None

        for name in self.seen:
            visit(name)
        found = [
            self.sheet.figures[name]
            for name in order
            if not is_leaf(self.sheet.figures[name]) and not all(self.is_nil(name, row) for row in self.seen[name])
        ]
        self.numbers = {held.name: number for number, held in enumerate(found, 1)}
        return found
