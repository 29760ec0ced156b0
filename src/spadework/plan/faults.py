"""What is wrong with a plan: every fault at once, with line, key, what would do and what to do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

__all__ = ["Fault", "PlanFaults", "nearest"]


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with a plan.

    Attributes
    ----------
    key : str
        Where it stands, e.g. ``system 3 "strip", pass 1: depth``; empty for the file as a whole.
    what : str
        What is wrong, and what would do, in the words of the trade.
    line : int or None
        Line in the file, counted from 1.
    """

    key: str
    what: str
    line: int | None = None

    def __str__(self) -> str:
        where = f"line {self.line}" if self.line else ""
        place = ", ".join(part for part in (where, self.key) if part)
        said = f"{place}: {self.what}" if place else self.what
        return "".join(c if c.isprintable() else "?" for c in said)


class PlanFaults(ValueError):  # noqa: N818 (plural: it holds every fault of a plan, not one error)
    """All faults of a plan."""

    def __init__(self, faults: Iterable[Fault], name: str = "the plan") -> None:
        self.faults = tuple(sorted(faults, key=lambda f: (f.line or 0, f.key)))
        self.name = name
        count = len(self.faults)
        head = f"{name}: {count} fault{'' if count == 1 else 's'}"
        super().__init__("\n".join([head, *(f"  {fault}" for fault in self.faults)]))


def nearest(word: str, known: Iterable[str]) -> str:
    """Return ``; did you mean ...?`` for the known word nearest to `word`, or nothing.

    Examples
    --------
    >>> nearest("dpeth", ["depth", "speed"])
    '; did you mean "depth"?'
    """
    by_small_letters = {name.lower(): name for name in sorted(known, reverse=True)}
    found = [
        by_small_letters[name] for name in get_close_matches(word[:100].lower(), by_small_letters, n=1, cutoff=0.6)
    ]
    return f'; did you mean "{found[0]}"?' if found else ""
