"""Which label lies where: drawn from the layouts that fulfil the restrictions, each as likely as every other.

Same seed, same layout: the draws take the raw numbers of the generator, whose stream does not change between releases.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from spadework.reference import constants
from spadework.statistics.designs.faults import what_is_wrong
from spadework.statistics.designs.layouts import (
    Asked,
    Stratum,
    fixed_terms,
    random_terms,
    standing_of,
    strata,
)

__all__ = ["GENERATOR", "CannotLay", "Laid", "Plot", "lay", "reduced_squares"]

GENERATOR: Final = "PCG64"
"""Name of the generator of the draws."""
_ALL_SQUARES: Final = 5  # size of square up to which all reduced squares are known here
Combination = tuple[str, ...]


class CannotLay(ValueError):  # noqa: N818 (its own word)
    """A layout that cannot be, with every fault: the key and what would do."""

    def __init__(self, faults: Sequence[tuple[str, str]]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(f"{key}: {words}" for key, words in self.faults))


@dataclass(frozen=True, slots=True)
class Plot:
    """One plot of a layout.

    Attributes
    ----------
    number : int
        Block times hundred and position.
    block, position : int
        Block, and place in it, both from 1.
    row, column : int
        Place in the drawing, from 1: blocks lie one above the other, plots of a block side by side.
    labels : tuple of str
        Label of each factor.
    whole_plot, strip_along, strip_across : str
        Unit that it is part of, named once in the whole layout; empty where the layout has none.
    """

    number: int
    block: int
    position: int
    row: int
    column: int
    labels: Combination
    whole_plot: str = ""
    strip_along: str = ""
    strip_across: str = ""


@dataclass(frozen=True)
class Laid:
    """A layout with everything that its readings will need.

    Attributes
    ----------
    asked : Asked
        What was asked for.
    rows : tuple of Plot
        The plots, by number.
    fixed : str
        Fixed terms for :func:`spadework.statistics.models.model.fit_model`.
    random : tuple of str
        Random terms for it.
    strata : tuple of Stratum
        Errors with their degrees of freedom.
    standing : str
        ``looked``, ``strips`` or ``replicated``.
    seed : int
        Seed of the draws.
    generator : str
        Name of their generator.
    restricted : tuple of str
        Restrictions in words.
    admissible : int or None
        How many layouts fulfil them; None where they were not counted.
    """

    asked: Asked
    rows: tuple[Plot, ...]
    fixed: str
    random: tuple[str, ...]
    strata: tuple[Stratum, ...]
    standing: str
    seed: int
    generator: str
    restricted: tuple[str, ...]
    admissible: int | None

    @cached_property
    def data(self) -> dict[str, NDArray[Any]]:
        """Columns by name, one place for each plot, as a model asks for them."""
        names = ("block", "row", "column", "whole_plot", "strip_along", "strip_across")
        columns: dict[str, NDArray[Any]] = {"plot": np.array([plot.number for plot in self.rows])}
        for name in names:
            column = np.array([str(getattr(plot, name)) for plot in self.rows])
            if column[0]:
                columns[name] = column
        for place, factor in enumerate(self.asked.factors):
            columns[factor.name] = np.array([plot.labels[place] for plot in self.rows])
        return columns


class _Draws:
    """Whole numbers and orders out of the raw stream of the generator."""

    def __init__(self, seed: int) -> None:
        self._stream = np.random.PCG64(seed)

    def below(self, count: int) -> int:
        """Return one of 0 to count - 1, each as likely."""
        bits = (count - 1).bit_length()
        while True:
            value = 0
            for _ in range((bits + 63) // 64):
                value = value << 64 | int(self._stream.random_raw())
            value &= (1 << bits) - 1
            if value < count:
                return value

    def shuffled(self, things: Sequence[Any]) -> list[Any]:
        """Return the things in an order, each order as likely."""
        out = list(things)
        for last in range(len(out) - 1, 0, -1):
            other = self.below(last + 1)
            out[last], out[other] = out[other], out[last]
        return out


def lay(asked: Asked, seed: int) -> Laid:
    """Draw a layout.

    Parameters
    ----------
    asked : Asked
        What is asked for.
    seed : int
        Seed of the draws, 0 or more; the same seed gives the same layout.

    Returns
    -------
    Laid
        Plots, terms, errors and standing.

    Raises
    ------
    CannotLay
        If something about it cannot be, or no layout fulfils the restrictions.

    Notes
    -----
    Every block is shuffled on its own.  With restrictions the layout is drawn evenly from all that fulfil them: counted
    where a block has up to eight plots, else by drawing again until one does (Bailey 1987).  A Latin square up to five is
    drawn evenly from all there are; a larger one has its rows, columns and letters shuffled from the cyclic one.

    Examples
    --------
    >>> from spadework.statistics.designs.layouts import Asked, Factor
    >>> systems = Factor("system", ("plough", "cultivator", "strip"))
    >>> laid = lay(Asked("complete blocks", (systems,), 4), seed=7)
    >>> [plot.number for plot in laid.rows][:4], laid.standing, laid.random
    ([101, 102, 103, 201], 'replicated', ('block',))
    """
    wrong = what_is_wrong(asked)
    if wrong:
        raise CannotLay(wrong)
    draws = _Draws(seed)
    if asked.kind == "Latin square":
        blocks, admissible = _square(asked, draws), None
    elif asked.kind in ("repeated check", "augmented blocks"):
        blocks, admissible = _checked(asked, draws), None
    else:
        blocks, admissible = _blocks(asked, draws)
    rows = tuple(plot for number, whole in enumerate(blocks, 1) for plot in _plots(asked, draws, number, whole))
    return Laid(
        asked,
        rows,
        fixed_terms(asked),
        random_terms(asked),
        strata(asked),
        standing_of(asked),
        seed,
        GENERATOR,
        asked.restrictions.said(),
        admissible if asked.restrictions.said() else None,
    )


def _plots(asked: Asked, draws: _Draws, block: int, whole: Sequence[Combination]) -> list[Plot]:
    """Return the plots of a block whose whole plots lie in this order."""
    parts, outer = asked.inner, [not factor.within for factor in asked.factors]
    crossed = draws.shuffled(parts) if asked.kind == "criss-cross" else list(parts)
    out = []
    for column, labels in enumerate(whole, 1):
        inside = draws.shuffled(parts) if asked.kind == "split plots" else crossed
        for part, inner in enumerate(inside, 1):
            position = (column - 1) * len(parts) + part
            first, second = iter(labels), iter(inner)
            out.append(
                Plot(
                    number=100 * block + position,
                    block=block,
                    position=position,
                    row=(block - 1) * len(parts) + part,
                    column=column,
                    labels=tuple(next(first) if own else next(second) for own in outer),
                    whole_plot=f"{block}-{column}" if asked.kind == "split plots" else "",
                    strip_along=f"{block}-{column}" if asked.kind == "criss-cross" else "",
                    strip_across=f"{block}-{part}" if asked.kind == "criss-cross" else "",
                )
            )
    return out


def _fits(asked: Asked, order: Sequence[Combination]) -> bool:
    """Tell whether the order of a block fulfils the restrictions inside it."""
    told, names = asked.restrictions, [labels[0] for labels in order]
    if told.edge and told.edge not in (names[0], names[-1]):
        return False
    apart = set(told.apart)
    return not any(a != b and a in apart and b in apart for a, b in itertools.pairwise(names))


def _blocks(asked: Asked, draws: _Draws) -> tuple[list[list[Combination]], int | None]:
    told, units = asked.restrictions, asked.whole
    if asked.kind == "strips" or told.order:
        order = told.order or asked.factors[0].labels
        return [sorted(units, key=lambda labels: order.index(labels[0]))] * asked.blocks, 1
    if not told.said():
        return [draws.shuffled(units) for _ in range(asked.blocks)], None
    if len(units) <= int(constants("design_rules")["enumerated_most"].value):
        return _counted(asked, draws)
    return _drawn_again(asked, draws, [list(units)] * asked.blocks), None


def _counted(asked: Asked, draws: _Draws) -> tuple[list[list[Combination]], int]:
    """Draw evenly from all layouts, block by block from the last, with the numbers of ways to get there."""
    orders = [list(order) for order in itertools.permutations(asked.whole) if _fits(asked, order)]
    if not orders:
        raise CannotLay([_impossible(asked)])
    if not asked.restrictions.borders:
        return [orders[draws.below(len(orders))] for _ in range(asked.blocks)], len(orders) ** asked.blocks
    kinds = Counter((order[0][0], order[-1][0]) for order in orders)
    ways: list[Counter[tuple[str, str]]] = [kinds]  # layouts up to a block that ends in a block of this kind
    for _ in range(asked.blocks - 1):
        before: Counter[str] = Counter()
        for (_, last), count in ways[-1].items():
            before[last] += count
        total = sum(before.values())
        ways.append(Counter({kind: count * (total - before[kind[0]]) for kind, count in kinds.items()}))
    admissible = sum(ways[-1].values())
    if not admissible:
        raise CannotLay([_impossible(asked)])
    out: list[list[Combination]] = []
    for counts in reversed(ways):
        follows = out[-1][0][0] if out else None
        left = {kind: count for kind, count in sorted(counts.items()) if kind[1] != follows and count}
        chosen = _weighted(draws, left)
        same = [order for order in orders if (order[0][0], order[-1][0]) == chosen]
        out.append(same[draws.below(len(same))])
    return out[::-1], admissible


def _weighted(draws: _Draws, counts: dict[tuple[str, str], int]) -> tuple[str, str]:
    place = draws.below(sum(counts.values()))
    for kind, count in counts.items():
        if place < count:
            return kind
        place -= count
    raise AssertionError("the counts do not add up")


def _drawn_again(asked: Asked, draws: _Draws, blocks: Sequence[Sequence[Combination]]) -> list[list[Combination]]:
    """Draw until a layout fulfils the restrictions: each block inside, then all together across their borders."""
    most = int(constants("design_rules")["draws_most"].value)
    tries = 0
    while tries < most:
        out: list[list[Combination]] = []
        for units in blocks:
            order = draws.shuffled(units)
            while not _fits(asked, order) and tries < most:
                order, tries = draws.shuffled(units), tries + 1
            out.append(order)
        tries += 1
        if tries < most and not (asked.restrictions.borders and _meet(out)):
            return out
    raise CannotLay([_impossible(asked)])


def _meet(blocks: Sequence[Sequence[Combination]]) -> bool:
    return any(a[-1][0] == b[0][0] for a, b in itertools.pairwise(blocks))


def _impossible(asked: Asked) -> tuple[str, str]:
    key = "apart" if asked.restrictions.apart else "edge" if asked.restrictions.edge else "borders"
    return key, f"no layout fulfils this ({'; '.join(asked.restrictions.said())}); take one of them out"


def _square(asked: Asked, draws: _Draws) -> list[list[Combination]]:
    units, size = asked.whole, len(asked.whole)
    for _ in range(int(constants("design_rules")["draws_most"].value)):
        if size <= _ALL_SQUARES:
            known = reduced_squares(size)
            square = known[draws.below(len(known))]
        else:
            square = tuple(tuple((row + column) % size for column in range(size)) for row in range(size))
        rows, columns, letters = (draws.shuffled(range(size)) for _ in range(3))
        out = [[units[letters[square[row][column]]] for column in columns] for row in rows]
        if all(_fits(asked, row) for row in out):
            return out
    raise CannotLay([_impossible(asked)])


def reduced_squares(size: int) -> tuple[tuple[tuple[int, ...], ...], ...]:
    """Return all Latin squares whose first row and column are in order.

    Parameters
    ----------
    size : int
        Rows and columns, 1 to 5.

    Examples
    --------
    >>> len(reduced_squares(4))
    4
    """
    if not 1 <= size <= _ALL_SQUARES:
        raise ValueError(f"`size` is {size}; allowed: 1 to {_ALL_SQUARES}")
    found: list[tuple[tuple[int, ...], ...]] = [(tuple(range(size)),)]
    for first in range(1, size):
        rows = [row for row in itertools.permutations(range(size)) if row[0] == first]
        found = [
            (*square, row)
            for square in found
            for row in rows
            if all(a != b for above in square for a, b in zip(above, row, strict=True))
        ]
    return tuple(found)


def _checked(asked: Asked, draws: _Draws) -> list[list[Combination]]:
    """Return blocks of a repeated check, or of augmented blocks."""
    checks = [(name,) for name in asked.checks]
    options = [labels for labels in asked.whole if labels not in checks]
    if asked.kind == "augmented blocks":
        new = draws.shuffled(options)
        return _drawn_again(asked, draws, [[*checks, *new[block :: asked.blocks]] for block in range(asked.blocks)])
    most = int(constants("design_rules")["draws_most"].value)
    for _ in range(most):
        out = []
        for _ in range(asked.blocks):
            order, strips = draws.shuffled(options), []
            for start in range(0, len(order), asked.every - 1):
                strips += [checks[0], *order[start : start + asked.every - 1]]
            out.append([*strips, checks[0]])
        if all(_fits(asked, order) for order in out) and not (asked.restrictions.borders and _meet(out)):
            return out
    raise CannotLay([_impossible(asked)])
