"""One paper sheet typed by two people: where the two files differ, cell by cell.

Two people seldom make the same slip, so a cell in which both agree is very likely what stands on the paper.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from spadework.records.reading_row import Reading
from spadework.records.sheets.sheet_readings import Sheet, slot_of
from spadework.records.tables.columns import clip

__all__ = ["Apart", "read_back"]

_NOTHING: Final = "nothing"
_BESIDE: Final = ("person", "instrument", "note", "kept")


@dataclass(frozen=True, slots=True)
class Apart:
    """A cell that two files give otherwise.

    Attributes
    ----------
    where : str
        Plot, place and sample.
    column : str
        Column of the sheet.
    first, second : str
        What each file says; ``nothing`` where the cell is empty or the line is not there.
    first_line, second_line : int or None
        Lines of the two files.
    """

    where: str
    column: str
    first: str
    second: str
    first_line: int | None
    second_line: int | None


def read_back(first: Sheet, second: Sheet) -> tuple[Apart, ...]:
    """Compare two files that were typed from the same paper.

    Parameters
    ----------
    first, second : Sheet
        As they were read, of the same record.

    Returns
    -------
    tuple of Apart
        Line by line; empty where both say the same.  Lines are matched by plot, place, sample and time; where only the time
        differs, that is told once for the line.
    """
    pairs, only_first, only_second = _pairs(first.readings, second.readings)
    out = [apart for a, b in pairs for apart in _differing(a, b)]
    out += [Apart(_where(one), one.field, one.said, _NOTHING, one.source_line, None) for one in only_first]
    out += [Apart(_where(one), one.field, _NOTHING, one.said, None, one.source_line) for one in only_second]
    return tuple(dict.fromkeys(sorted(out, key=lambda one: one.first_line or one.second_line or 0)))


def _differing(a: Reading, b: Reading) -> Iterator[Apart]:
    cells = [(a.field, a.said, b.said), ("time", a.taken_at, b.taken_at)]
    cells += [(name, getattr(a, name) or _NOTHING, getattr(b, name) or _NOTHING) for name in _BESIDE]
    for name, left, right in cells:
        if left != right:
            yield Apart(_where(a), name, left, right, a.source_line, b.source_line)


def _where(one: Reading) -> str:
    return f"plot {clip(one.plot)}" + (f", {clip(one.place)}" if one.place else "") + f", sample {one.sample}"


_Split = tuple[list[tuple[Reading, Reading]], list[Reading], list[Reading]]


def _pairs(first: Sequence[Reading], second: Sequence[Reading]) -> _Split:
    """Match readings by what they are of, and what stays over once more without its time."""
    pairs, left, right = _matched(first, second, slot_of)
    more, left, right = _matched(left, right, lambda one: slot_of(one)[:-1])
    return [*pairs, *more], left, right


def _matched(first: Sequence[Reading], second: Sequence[Reading], key: Callable[[Reading], Hashable]) -> _Split:
    """Return those whose key is there once in each, then what stays over of both."""
    here, there = _once(first, key), _once(second, key)
    both = here.keys() & there.keys()
    return (
        [(one, there[said]) for said, one in here.items() if said in both],
        [one for one in first if key(one) not in both],
        [one for one in second if key(one) not in both],
    )


def _once(readings: Sequence[Reading], key: Callable[[Reading], Hashable]) -> dict[Hashable, Reading]:
    count = Counter(map(key, readings))
    return {key(one): one for one in readings if count[key(one)] == 1}
