"""Marks on stakes, sheets and samples: which layout, which plot or load, which sheet, which number, and a check character.

A mark such as ``K7QD-101-SL02-X`` is short enough for a small code that a telephone reads, and for a pencil.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from typing import Final

from spadework.plan import Fault, PlanFaults
from spadework.ranges import require
from spadework.records.sheets.check_character import CHARACTERS, check_character
from spadework.records.tables.columns import clip
from spadework.reference import load
from spadework.statistics.designs.randomise import Laid

__all__ = ["STAKE", "Mark", "layout_mark", "mark_text", "read_mark"]

STAKE: Final = "stake"
"""What stands for the stake of a plot, in the place of a sheet."""
_STAKE_CODE: Final = "PG"
_LETTERS: Final = 4
_MOST: Final = 99
_SHAPE = re.compile(r"([0-9A-Z]{4})([0-9A-Z]{1,6}?)([A-Z]{2})([0-9]{2})([0-9A-Z])")
_WRITTEN: Final = "four characters, a plot, two letters and two figures, a check character, e.g. K7QD-101-SL02-X"


@dataclass(frozen=True, slots=True)
class Mark:
    """What a mark stands for.

    Attributes
    ----------
    layout : str
        Four characters of the layout; see :func:`layout_mark`.
    place : str
        Plot, or load or other thing that a sample is of, in figures and capital letters.
    sheet : str
        Key of the sheet in the table ``sheets``; :data:`STAKE` for the stake of a plot.
    number : int
        Number on that sheet and place, 0 to 99; 0 for the place as a whole.
    """

    layout: str
    place: str
    sheet: str
    number: int = 0


def layout_mark(laid: Laid) -> str:
    """Return four characters that stand for a layout: another layout has, but for odd chance, others.

    They come from the plots and what lies on each, so that marks which were printed for a layout are told from those
    of another.  Words of the plan may change without touching them.

    Examples
    --------
    >>> from spadework.statistics.designs.layouts import Asked, Factor
    >>> from spadework.statistics.designs.randomise import lay
    >>> asked = Asked("complete blocks", (Factor("system", ("plough", "strip")),), 5)
    >>> layout_mark(lay(asked, seed=1)) == layout_mark(lay(asked, seed=1)), len(layout_mark(lay(asked, seed=1)))
    (True, 4)
    """
    lines = [f"{plot.number}\t" + "\t".join(plot.labels) for plot in laid.rows]
    number = int.from_bytes(hashlib.sha256("\n".join(lines).encode("utf-8")).digest()[:8], "big")
    text = ""
    for _ in range(_LETTERS):
        number, rest = divmod(number, len(CHARACTERS))
        text += CHARACTERS[rest]
    return text


def mark_text(mark: Mark) -> str:
    """Return a mark as it is printed, with its check character.

    Raises
    ------
    ValueError
        If a part of it cannot stand in a mark.
    ImpossibleValue
        If its number is outside 0 to 99.

    Examples
    --------
    >>> mark_text(Mark("K7QD", "101", "soil_layers", 2))
    'K7QD-101-SL02-X'
    """
    require("number", mark.number, 0, _MOST)
    parts = (mark.layout, mark.place, f"{_codes()[mark.sheet]}{mark.number:02d}")
    plain = "".join(parts)
    sign = check_character(plain)
    if not _SHAPE.fullmatch(plain + sign):
        raise ValueError(f'"{"-".join(parts)}" is no mark; allowed: {_WRITTEN}')
    return "-".join((*parts, sign))


def read_mark(text: str) -> Mark:
    """Return what a mark stands for, typed or read by a telephone; small letters, blanks and strokes are as good.

    Raises
    ------
    PlanFaults
        If it is no mark, or its check character says that something was misread.

    Examples
    --------
    >>> read_mark("k7qd 101 sl02 x")
    Mark(layout='K7QD', place='101', sheet='soil_layers', number=2)
    """
    plain = re.sub(r"[-\s]", "", text).upper()
    shape = _SHAPE.fullmatch(plain) if plain.isascii() else None
    if shape is None:
        raise _stop(text, f"is no mark; allowed: {_WRITTEN}")
    layout, place, code, number, sign = shape.groups()
    if check_character(plain[:-1]) != sign:
        what = "was misread or miswritten: its check character does not fit. Look at the label again and write all of it anew"
        raise _stop(text, what)
    sheet = next((key for key, known in _codes().items() if known == code), None)
    if sheet is None:
        raise _stop(text, f"is of no sheet that is known here ({code})")
    return Mark(layout, place, sheet, int(number))


def _codes() -> dict[str, str]:
    return {STAKE: _STAKE_CODE, **{key: row.text("code") for key, row in load("sheets").items()}}


def _stop(text: str, what: str) -> PlanFaults:
    return PlanFaults([Fault("", f'"{clip(text)}" {what}')], "the mark")
