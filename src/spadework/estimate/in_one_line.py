"""How a figure came about, in one line."""

from __future__ import annotations

from spadework.estimate.typeset import (
    in_names,
)
from spadework.working import Gathered, Looked, Summed, Worked, Worksheet

__all__ = ["one_line"]


def one_line(sheet: Worksheet, name: str) -> str:
    """Return in one line how a figure came about."""
    origin = sheet.figures[name].origin
    if isinstance(origin, Worked):
        return f"{origin.function}: {in_names(origin.equation.text)}"
    if isinstance(origin, Gathered):
        return f"{origin.how} of {origin.figure}"
    if isinstance(origin, Summed):
        return " + ".join(origin.figures)
    if isinstance(origin, Looked):
        return "; ".join(str(c) for c in dict.fromkeys(origin.citations))
    return "; ".join(dict.fromkeys(origin.places))
