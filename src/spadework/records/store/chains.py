"""A reading with everything that it was corrected from and to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from spadework.records.reading_row import Reading, utc_of

__all__ = ["Chain", "chains_of", "newest"]


@dataclass(frozen=True, slots=True)
class Chain:
    """A first reading and its corrections.

    Attributes
    ----------
    readings : tuple of Reading
        The first one first; a correction stands behind what it corrects.
    heads : tuple of Reading
        Those that nobody corrected: one, or several where people corrected the same without knowing of each other.
    """

    readings: tuple[Reading, ...]
    heads: tuple[Reading, ...]

    @property
    def current(self) -> Reading:
        """What counts now: of several heads the one that was written down last."""
        return newest(self.heads)

    def lines(self) -> tuple[str, ...]:
        """Return the history in words, a sentence a row."""
        out = []
        for one in self.readings:
            where = f"plot {one.plot}" + (f", {one.place}" if one.place else "") + f", sample {one.sample}"
            said = f"{one.taken_at}, {where}: {one.said}, by {one.person}"
            said += f"; kept: {one.kept}" if one.kept else ""
            out.append(f"{said}; corrected on {one.made_at[:10]}: {one.reason}" if one.corrects else said)
        if len(self.heads) > 1:
            out.append(f"corrected {len(self.heads)} times side by side; the last one counts: {self.current.said}")
        return tuple(out)


def chains_of(readings: Iterable[Reading]) -> tuple[Chain, ...]:
    """Return readings grouped into chains.

    Parameters
    ----------
    readings : iterable of Reading
        Whole chains, in any order.

    Returns
    -------
    tuple of Chain
        In the order of place, sample, time and id of the first reading.
    """
    followers: dict[str, list[Reading]] = {}
    for one in readings:
        followers.setdefault(one.corrects, []).append(one)
    firsts = sorted(followers.get("", ()), key=lambda one: (one.place, one.sample, utc_of(one.taken_at), one.id))
    out = []
    for first in firsts:
        line, heads, waiting = [], [], [first]
        while waiting:
            one = waiting.pop(0)
            line.append(one)
            after = sorted(followers.get(one.id, ()), key=_written)
            waiting += after
            if not after:
                heads.append(one)
        out.append(Chain(tuple(line), tuple(heads)))
    return tuple(out)


def newest(readings: Sequence[Reading]) -> Reading:
    """Return the one that was written down last; of two at the same moment the one with the larger id."""
    return max(readings, key=_written)


def _written(one: Reading) -> tuple[str, str]:
    return (utc_of(one.made_at), one.id)
