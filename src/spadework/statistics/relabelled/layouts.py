"""Layouts that could have been drawn: every one of them where they can be counted, else draws, each as likely.

They are what :func:`spadework.statistics.relabelled.permutation.shuffle_test` holds readings against.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.reference import constants
from spadework.statistics.designs.layouts import Restrictions
from spadework.statistics.designs.randomise import reduced_squares
from spadework.statistics.power.detectable import smallest_p

__all__ = ["CannotShuffle", "Layouts", "restricted", "shuffled", "squares"]

_K = constants("compare_guards")
_ALL_SQUARES = 5
Codes = NDArray[np.int16]


class CannotShuffle(ValueError):  # noqa: N818 (its own word)
    """Labels that cannot be dealt out again, with the reason in words."""


@dataclass(frozen=True)
class Layouts:
    """Layouts that could have been drawn.

    Attributes
    ----------
    own : NDArray
        Number of the label of each unit, as it was laid.
    codes : NDArray
        The same for each layout, shape (layouts, units).
    exact : bool
        True where every layout is there; else they were drawn, the own one not among them.
    smallest : float
        Smallest chance that the layouts can give [1], whatever the readings; NaN where readings are needed to tell.
    names : tuple of str
        Labels by number.
    renamed : bool
        True where layouts that only exchange all names are taken as one.
    """

    own: Codes
    codes: Codes
    exact: bool
    smallest: float
    names: tuple[str, ...]
    renamed: bool = False

    def only(self, units: NDArray[np.bool_]) -> Layouts:
        """Return the same layouts on some of the units."""
        return replace(self, own=self.own[units], codes=self.codes[:, units])


def shuffled(labels: ArrayLike, cells: ArrayLike, seed: int | None = None) -> Layouts:
    """Deal labels out again inside cells: plots in their block, whole plots in theirs, parts in their whole plot.

    Parameters
    ----------
    labels : array_like
        Label of each unit [text].
    cells : array_like
        Cell of each unit [text]; labels change places inside a cell only.
    seed : int, optional
        Seed of the draws, where there are too many layouts to count.

    Returns
    -------
    Layouts
        All of them up to 20,000, else draws.

    Raises
    ------
    CannotShuffle
        If no cell holds two labels.

    Notes
    -----
    Where every cell holds the same labels, layouts that only exchange the names throughout say the same, so the first cell
    stays as it is and the others change.

    Examples
    --------
    >>> found = shuffled(["plough", "strip"] * 5, np.repeat(range(5), 2))
    >>> found.codes.shape, found.exact, found.smallest
    ((16, 10), True, 0.0625)
    """
    named, numbers = np.unique(np.asarray(labels), return_inverse=True)
    own: Codes = numbers.astype(np.int16)
    names = tuple(str(name) for name in named)
    places = [np.flatnonzero(np.asarray(cells) == cell) for cell in dict.fromkeys(np.asarray(cells).tolist())]
    held = [tuple(sorted(own[at].tolist())) for at in places]
    if not any(len(set(each)) > 1 for each in held):
        raise CannotShuffle("no two labels lie where they could have changed places")
    alike = len(set(held)) == 1 and len(set(held[0])) == len(held[0])
    moved = places[1:] if alike else places
    ways = [_ways(own[at].tolist()) for at in moved]
    if math.prod(ways) <= _K.layouts_most:
        lists = [np.array(list(_arranged(Counter(own[at].tolist()))), dtype=np.int16) for at in moved]
        which = np.unravel_index(np.arange(math.prod(ways)), ways) if ways else ()
        codes = np.tile(own, (math.prod(ways), 1))
        for at, orders, chosen in zip(moved, lists, which, strict=True):
            codes[:, at] = orders[chosen]
        return Layouts(own, codes, True, 1 / len(codes) if alike else math.nan, names, alike)
    rng, many = _generator(seed), int(_K.layouts_drawn)
    codes = np.tile(own, (many, 1))
    for at in places:
        codes[:, at] = own[at][rng.random((many, at.size)).argsort(axis=1)]
    return Layouts(own, codes, False, float(smallest_p(len(held[0]), len(held))) if alike else math.nan, names)


def squares(
    square: Sequence[Sequence[str]], restrictions: Restrictions | None = None, seed: int | None = None
) -> Layouts:
    """Deal the labels of a Latin square out again.

    Parameters
    ----------
    square : sequence of sequences of str
        Labels row by row.
    restrictions : Restrictions, optional
        What every row must keep to.
    seed : int, optional
        Seed of the draws, where there are too many squares to count.

    Returns
    -------
    Layouts
        Units row by row: every square up to 5 by 5, names exchanged taken as one, else draws.  Larger squares have their
        rows, columns and letters shuffled, as they were drawn.

    Raises
    ------
    CannotShuffle
        If it is no Latin square, or hardly any other keeps to the restrictions.

    Examples
    --------
    >>> squares(["abcd", "badc", "cdab", "dcba"]).codes.shape  # 576 squares, 24 of them with other names
    (24, 16)
    """
    size = len(square)
    names, numbers = np.unique(np.array([list(row) for row in square]).ravel(), return_inverse=True)
    own: Codes = numbers.astype(np.int16)
    grid = own.reshape(size, -1)
    sorted_rows = np.sort(grid, axis=1) if grid.shape == (size, size) else np.zeros((1, 1))
    if names.size != size or not (sorted_rows == np.arange(size)).all() or not (
        np.sort(grid, axis=0) == np.arange(size)[:, np.newaxis]
    ).all():  # fmt: skip
        raise CannotShuffle("the labels make no full Latin square: each once in every row and every column")
    told = restrictions if restrictions is not None else Restrictions()
    if size <= _ALL_SQUARES and not told.said():
        found = [
            [*reduced[0], *itertools.chain.from_iterable(rest)]
            for reduced in reduced_squares(size)
            for rest in itertools.permutations(reduced[1:])
        ]
        codes = np.array(found, dtype=np.int16)
        return Layouts(own, codes, True, 1 / len(codes), tuple(names.tolist()), True)
    rng, kept, many = _generator(seed), list[Codes](), int(_K.layouts_drawn)
    known = np.array(reduced_squares(size)) if size <= _ALL_SQUARES else grid[np.newaxis]
    keeps = _Keeps(told, names.tolist())
    for _ in range(int(_K.rounds_most)):
        base = known[rng.integers(len(known), size=many)]
        rows, columns, letters = (rng.random((many, size)).argsort(axis=1) for _ in range(3))
        each = np.arange(many)[:, np.newaxis, np.newaxis]
        drawn = letters[each, base[each, rows[:, :, np.newaxis], columns[:, np.newaxis, :]]].astype(np.int16)
        kept.append(drawn[keeps.inside(drawn).all(axis=1)].reshape(-1, size * size))
        if sum(map(len, kept)) >= many:
            return Layouts(own, np.concatenate(kept)[:many], False, math.nan, tuple(names.tolist()))
    raise CannotShuffle("too few other squares keep to the restrictions")


def restricted(
    blocks: Sequence[Sequence[str]],
    restrictions: Restrictions,
    fixed: ArrayLike | None = None,
    pair: tuple[str, str] | None = None,
    seed: int | None = None,
) -> Layouts:
    """Deal labels out again in blocks that must keep to restrictions.

    Parameters
    ----------
    blocks : sequence of sequences of str
        Labels in the order in which they lie, block by block, each label once in every block.
    restrictions : Restrictions
        What the layout keeps to.
    fixed : array_like, optional
        True for units whose label stays, such as a plot that was lost [1], in the same order.
    pair : tuple of str, optional
        Only these two change places.
    seed : int, optional
        Seed of the draws, where there are too many layouts to count.

    Returns
    -------
    Layouts
        Units block by block: all layouts that keep to the restrictions up to 20,000, else draws from them, each as likely.

    Raises
    ------
    CannotShuffle
        If the labels do not keep to the restrictions themselves, or hardly any other layout does.

    Examples
    --------
    >>> three = [["plough", "cultivator", "strip"], ["cultivator", "strip", "plough"]]
    >>> restricted(three, Restrictions(borders=True)).codes.shape  # of 36 layouts
    (24, 6)
    """
    names, own = np.unique(np.array([list(block) for block in blocks]), return_inverse=True)
    grid = own.reshape(len(blocks), -1).astype(np.int16)
    stay = np.zeros(grid.shape, dtype=bool) if fixed is None else np.asarray(fixed, dtype=bool).reshape(grid.shape)
    keeps = _Keeps(restrictions, names.tolist())
    if not keeps(grid[np.newaxis])[0]:
        raise CannotShuffle(f"the file does not lie as declared ({'; '.join(restrictions.said())})")
    rng, said = _generator(seed), tuple(str(name) for name in names)
    if pair is not None:
        codes = [said.index(name) for name in pair]
        return replace(_exchanged(grid, stay, codes, keeps, rng), names=said)
    orders = [_orders(row, still, keeps) for row, still in zip(grid, stay, strict=True)]
    listed = [each for each in orders if each is not None]
    if len(listed) == len(orders) and (whole := _chained(listed, keeps)) is not None:
        return Layouts(grid.ravel(), whole.reshape(len(whole), -1), True, math.nan, said)
    kept, many = list[Codes](), int(_K.layouts_drawn)
    for _ in range(int(_K.rounds_most)):
        drawn = np.stack(
            [_some(row, still, each, keeps, rng) for row, still, each in zip(grid, stay, orders, strict=True)], axis=1
        )
        kept.append(drawn[keeps(drawn)])
        if sum(map(len, kept)) >= many:
            return Layouts(grid.ravel(), np.concatenate(kept)[:many].reshape(many, -1), False, math.nan, said)
    raise CannotShuffle("too few other layouts keep to the restrictions")


class _Keeps:
    """Whether layouts keep to restrictions."""

    def __init__(self, told: Restrictions, names: Sequence[Any]) -> None:
        self._apart = np.array([name in told.apart for name in names])
        self._edge = names.index(told.edge) if told.edge else -1
        self._borders = told.borders

    def inside(self, codes: Codes) -> NDArray[np.bool_]:
        """Tell of orders along the last axis whether they keep to what holds inside a block."""
        apart = self._apart[codes]
        good = ~np.any(apart[..., 1:] & apart[..., :-1], axis=-1)
        if self._edge >= 0:
            good &= (codes[..., 0] == self._edge) | (codes[..., -1] == self._edge)
        return np.asarray(good)

    def borders(self, above: Codes, below: Codes) -> NDArray[np.bool_]:
        """Tell of two orders, one after the other, whether they keep apart where they meet."""
        good = above[..., -1] != below[..., 0]
        return np.asarray(good if self._borders else np.ones_like(good))

    def __call__(self, codes: Codes) -> NDArray[np.bool_]:
        meet = self.borders(codes[:, :-1, :], codes[:, 1:, :])
        return np.asarray(self.inside(codes).all(axis=1) & meet.all(axis=1))


def _generator(seed: int | None) -> np.random.Generator:
    return np.random.Generator(np.random.PCG64(int(_K.draws_seed) if seed is None else seed))


def _ways(labels: Sequence[int]) -> int:
    return math.factorial(len(labels)) // math.prod(math.factorial(n) for n in Counter(labels).values())


def _arranged(left: Counter[int]) -> Iterator[tuple[int, ...]]:
    """Yield every order of labels of which some may be alike."""
    if not left.total():
        yield ()
    for label in [label for label, count in left.items() if count]:
        left[label] -= 1
        for rest in _arranged(left):
            yield (label, *rest)
        left[label] += 1


def _orders(row: Codes, still: NDArray[np.bool_], keeps: _Keeps) -> Codes | None:
    """Return every order of a block that keeps to what holds inside it; None where there are too many to list."""
    if row.size > _K.orders_most:
        return None
    listed = np.array(list(itertools.permutations(np.sort(row).tolist())), dtype=np.int16)
    return np.asarray(listed[keeps.inside(listed) & (listed == row)[:, still].all(axis=1)])


def _chained(orders: Sequence[Codes], keeps: _Keeps) -> Codes | None:
    """Return every layout, block after block; None where there are too many."""
    whole = orders[0][:, np.newaxis, :]
    for after in orders[1:]:
        if len(whole) * len(after) > 50 * _K.layouts_most:
            return None
        above, below = np.divmod(np.arange(len(whole) * len(after)), len(after))
        good = keeps.borders(whole[above, -1], after[below])
        whole = np.concatenate([whole[above[good]], after[below[good]][:, np.newaxis]], axis=1)
        if len(whole) > _K.layouts_most:
            return None
    return whole


def _some(row: Codes, still: NDArray[np.bool_], listed: Codes | None, keeps: _Keeps, rng: np.random.Generator) -> Codes:
    many = int(_K.layouts_drawn)
    if listed is not None:
        return np.asarray(listed[rng.integers(len(listed), size=many)])
    kept: list[Codes] = []
    for _ in range(int(_K.rounds_most)):
        drawn = row[rng.random((many, row.size)).argsort(axis=1)]
        kept.append(drawn[keeps.inside(drawn) & (drawn == row)[:, still].all(axis=1)])
        if sum(map(len, kept)) >= many:
            return np.concatenate(kept)[:many]
    raise CannotShuffle("too few other orders of a block keep to the restrictions")


def _exchanged(
    grid: Codes, stay: NDArray[np.bool_], pair: Sequence[int], keeps: _Keeps, rng: np.random.Generator
) -> Layouts:
    """Exchange two labels in some of the blocks, all others staying where they are."""
    first, second = grid == pair[0], grid == pair[1]
    free = np.flatnonzero((first & ~stay).any(axis=1) & (second & ~stay).any(axis=1))
    exact = 2**free.size <= _K.layouts_most
    other = np.where(first, pair[1], np.where(second, pair[0], grid)).astype(np.int16)
    kept: list[Codes] = []
    many = int(_K.layouts_drawn)
    for _ in range(1 if exact else int(_K.rounds_most)):
        if exact:
            turned = (np.arange(2**free.size)[:, np.newaxis] >> np.arange(free.size)) & 1
        else:
            turned = rng.integers(2, size=(many, free.size))
        flips = np.zeros((len(turned), len(grid)), dtype=bool)
        flips[:, free] = turned == 1
        codes = np.where(flips[:, :, np.newaxis], other, grid)
        kept.append(codes[keeps(codes)].reshape(-1, grid.size))
        if not exact and sum(map(len, kept)) >= many:
            break
    found = np.concatenate(kept)
    if not exact and len(found) < many:
        raise CannotShuffle("too few layouts in which the two change places keep to the restrictions")
    return Layouts(grid.ravel(), found if exact else found[:many], exact, math.nan, ())
