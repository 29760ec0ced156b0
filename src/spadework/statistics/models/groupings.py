"""Readings put into groups, and how such groupings lie to one another.

A factor of a layout (block, strip, system) puts every reading into a group.  Two groupings meet evenly where, inside
each patch that both hang together in, every group of one meets every group of the other in proportion.  Where all
groupings of a layout meet evenly, every sum of squares is told apart from all others by averaging alone (Tjur 1984).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray

__all__ = ["Grouping", "closed", "grouping_of", "joined", "parts_of", "uneven_at"]

IntArray = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Grouping:
    """A grouping of readings.

    Attributes
    ----------
    codes : IntArray
        Group of each reading; groups are numbered as they first turn up.
    counts : IntArray
        Readings in each group.
    """

    codes: IntArray
    counts: IntArray

    @property
    def levels(self) -> int:
        """Number of groups."""
        return self.counts.size

    @property
    def key(self) -> bytes:
        """The same for groupings that are the same."""
        return self.codes.tobytes()

    def averaged(self, values: FloatArray) -> FloatArray:
        """Return the mean of its group in the place of each value, column by column."""
        order = np.argsort(self.codes, kind="stable")
        starts = np.concatenate([[0], np.cumsum(self.counts)[:-1]])
        shape = (-1,) + (1,) * (values.ndim - 1)

        def means(of: FloatArray) -> FloatArray:
            return np.asarray(np.add.reduceat(of[order], starts, axis=0) / self.counts.reshape(shape))

        first = means(values)[self.codes]
        return np.asarray(first + means(values - first)[self.codes])  # the second pass is for the last digits

    def inside(self, other: Grouping) -> bool:
        """Tell whether every group of the other lies in one group of this (so this one is as coarse or coarser)."""
        return _pairs(self, other)[0].size == other.levels


def grouping_of(labels: ArrayLike) -> Grouping:
    """Group readings by their labels.

    Examples
    --------
    >>> grouping_of(["b", "a", "b"]).codes.tolist()
    [0, 1, 0]
    """
    _, first, codes, counts = np.unique(
        np.asarray(labels).reshape(-1), return_index=True, return_inverse=True, return_counts=True
    )
    rank = np.argsort(np.argsort(first))
    ordered = np.empty_like(counts)
    ordered[rank] = counts
    return Grouping(rank[codes.reshape(-1)].astype(np.int64), ordered.astype(np.int64))


def joined(first: Grouping, second: Grouping) -> Grouping:
    """Return the patches that two groupings hang together in: the finest grouping that is coarser than both.

    Examples
    --------
    >>> joined(grouping_of([1, 1, 2, 2]), grouping_of([1, 2, 2, 1])).levels
    1
    """
    from scipy.sparse import csr_matrix
    from scipy.sparse.csgraph import connected_components

    if first.inside(second):
        return first
    if second.inside(first):
        return second
    size = first.levels + second.levels
    link = csr_matrix((np.ones(first.codes.size), (first.codes, first.levels + second.codes)), shape=(size, size))
    return grouping_of(connected_components(link, directed=False)[1][first.codes])


def uneven_at(first: Grouping, second: Grouping) -> int | None:
    """Return a reading whose groups meet less or more often than in proportion, or None where they meet evenly.

    Examples
    --------
    >>> block, system = grouping_of([1, 1, 2, 2]), grouping_of(["a", "b", "a", "b"])
    >>> uneven_at(block, system), uneven_at(grouping_of([1, 1, 2]), grouping_of(["a", "b", "a"]))
    (None, 0)
    """
    pair, at, counts = _pairs(first, second)
    if pair.size in (first.levels, second.levels):
        return None  # one lies in the other
    patches = joined(first, second)
    a, b = pair // second.levels, pair % second.levels
    off = counts * patches.counts[patches.codes[at]] != first.counts[a] * second.counts[b]
    return int(at[off].min()) if off.any() else None


def closed(groupings: Sequence[Grouping]) -> tuple[Grouping, ...]:
    """Return groupings with all that they have in common, coarse ones first; the first is the whole.

    Examples
    --------
    >>> row, column = grouping_of([1, 1, 2, 2]), grouping_of([1, 2, 1, 2])
    >>> [each.levels for each in closed([row, column])]
    [1, 2, 2]
    """
    whole = grouping_of(np.zeros(groupings[0].codes.size)) if groupings else None
    known: dict[bytes, Grouping] = {} if whole is None else {whole.key: whole}
    waiting = list(groupings)
    while waiting:
        one = waiting.pop(0)
        if one.key in known:
            continue
        waiting += [joined(one, other) for other in known.values()]
        known[one.key] = one
    return tuple(sorted(known.values(), key=lambda g: g.levels))


def parts_of(family: Sequence[Grouping], values: FloatArray) -> tuple[tuple[FloatArray, ...], FloatArray]:
    """Take values apart: what each grouping adds to those coarser than it, and what is left.

    Parameters
    ----------
    family : sequence of Grouping
        As :func:`closed` returns them, all meeting evenly.
    values : FloatArray
        Values, a row for each reading.

    Returns
    -------
    tuple
        The parts, one for each grouping, and the rest; they add up to the values.
    """
    parts: list[FloatArray] = []
    for number, grouping in enumerate(family):
        below = [parts[j] for j in range(number) if family[j].inside(grouping)]
        rest = values - np.sum(below, axis=0) if below else values
        parts.append(grouping.averaged(rest))
    return tuple(parts), np.asarray(values - np.sum(parts, axis=0))


def _pairs(first: Grouping, second: Grouping) -> tuple[IntArray, IntArray, IntArray]:
    """Return the pairs of groups that meet, a reading of each, and how often they meet."""
    found = np.unique(first.codes * second.levels + second.codes, return_index=True, return_counts=True)
    return found[0], found[1], found[2]
