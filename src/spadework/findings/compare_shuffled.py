"""What the drawing alone bears out: the labels of a layout dealt out again in every way that its drawing could have."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from spadework.findings.compare_layout import Layout
from spadework.findings.compare_parts import ByShuffling, Shuffling
from spadework.ranges import FloatArray
from spadework.records.files.readings import Readings
from spadework.statistics.designs.layouts import NESTED, Asked, Factor
from spadework.statistics.relabelled.layouts import CannotShuffle, Layouts, restricted, shuffled, squares
from spadework.statistics.relabelled.permutation import Shuffled, shuffle_test

if TYPE_CHECKING:
    from spadework.findings.compare_parts import Finding

__all__ = ["shuffling"]

_NOT_DRAWN: Final = (
    "Not tried: nothing shows that the order was drawn, and only what was drawn by lot can be dealt out again."
)
_FIELDS: Final = "Not tried: several fields or years, of which each was drawn for itself."


@dataclass(frozen=True)
class _Units:
    """What carries the labels of a factor: plots, whole plots or strips, with the cell in which labels could change places."""

    values: FloatArray
    labels: NDArray[np.str_]
    cells: NDArray[np.str_]
    places: FloatArray

    def of(self, chosen: NDArray[np.bool_]) -> _Units:
        return _Units(self.values[chosen], self.labels[chosen], self.cells[chosen], self.places[chosen])

    @property
    def read(self) -> NDArray[np.bool_]:
        return np.isfinite(self.values)


@dataclass(frozen=True)
class _Dealt:
    """Units that were read, the layouts they could have had, what is taken out first.

    With restrictions also the blocks as they lie, with the units that were not read.
    """

    units: _Units
    layouts: Layouts
    groups: tuple[NDArray[Any], ...]
    blocks: Sequence[Sequence[str]] = ()
    whole: _Units | None = None

    @property
    def values(self) -> FloatArray:
        return self.units.values


def shuffling(plots: Readings, values: FloatArray, layout: Layout, design: Asked | None, found: Finding) -> Shuffling:
    """Deal the labels of a layout out again and hold the readings against all layouts that could have been.

    Parameters
    ----------
    plots : Readings
        One place for each plot.
    values : FloatArray
        Readings that count, in their unit; NaN for every plot that does not count.
    layout : Layout
        Of these plots.
    design : Asked or None
        The layout as it was declared.
    found : Finding
        What the layout's own analysis found.

    Returns
    -------
    Shuffling
        Chances of factors and of differences from the baseline; reasons where there is none.

    Notes
    -----
    Labels of a factor change places inside a block, with the other factors as they lie: whole plots of split plots and
    strips both ways by the mean of their parts, parts inside their whole plot.  A difference is held against all layouts, and
    against those in which only the two systems change places: the latter asks of these two alone, and of few layouts.
    """
    if found.standing != "replicated" or design is None:
        return Shuffling((), (), (_NOT_DRAWN,))
    if "ground" in layout.data or ("field" in layout.data and layout.kind != "fields as blocks"):
        return Shuffling((), (), (_FIELDS,))
    terms, differences, told = [], [], []
    for number, factor in enumerate(design.factors):
        try:
            dealt = _dealt(plots, values, layout, design, factor)
            terms.append(_said(factor.name, shuffle_test(dealt.values, dealt.layouts, *dealt.groups)))
            for one in found.differences if not number else ():
                pair = (found.baseline, one.system)
                result = _said(one.system, shuffle_test(dealt.values, dealt.layouts, *dealt.groups, pair=pair))
                try:
                    alone = _said(one.system, _two(dealt, design, pair))
                except CannotShuffle as reason:
                    told.append(f"{one.system} and {found.baseline} alone: not tried: {reason}.")
                    alone = None
                differences.append(replace(result, alone=alone))
        except CannotShuffle as reason:
            told.append(f"{factor.name}: not tried: {reason}.")
    if terms and (restrictions := design.restrictions.said()):
        told.append(f"Only layouts count that keep to what was declared: {'; '.join(restrictions)}.")
    return Shuffling(tuple(terms), tuple(differences), tuple(dict.fromkeys(told)))


def _said(of: str, found: Shuffled) -> ByShuffling:
    return ByShuffling(of, found.p, found.layouts, found.exact, found.smallest)


def _dealt(plots: Readings, values: FloatArray, layout: Layout, design: Asked, factor: Factor) -> _Dealt:
    """Return the units of a factor with all layouts that they could have had."""
    if design.kind == "Latin square":
        return _square(plots, values, design)
    units = _units(plots, values, layout, design, factor)
    bound = factor is design.factors[0] and not factor.within and bool(design.restrictions.said())
    if not bound:
        read = units.of(units.read)
        return _Dealt(read, shuffled(read.labels, read.cells), (read.cells,))
    if layout.kind == "fields as blocks" or sum(not f.within for f in design.factors) > 1:
        raise CannotShuffle("restrictions of the drawing are known for blocks of systems alone")
    order = []
    for block in _by_number(list(dict.fromkeys(units.cells.tolist()))):
        at = np.flatnonzero(units.cells == block)
        if sorted(units.labels[at].tolist()) != sorted(factor.labels):
            raise CannotShuffle(f"{block} does not hold every system once, so its order is not known")
        if not np.isfinite(units.places[at]).all() or np.unique(units.places[at]).size < at.size:
            raise CannotShuffle(f"neither column nor plot numbers tell the order in which {block} lies")
        order.append(at[np.argsort(units.places[at])])
    whole = units.of(np.concatenate(order))
    blocks = [units.labels[at].tolist() for at in order]
    layouts = restricted(blocks, design.restrictions, ~whole.read)
    read = whole.of(whole.read)
    return _Dealt(read, layouts.only(whole.read), (read.cells,), blocks, whole)


def _two(dealt: _Dealt, design: Asked, pair: tuple[str, str]) -> Shuffled:
    """Let two labels change places in every cell that holds both."""
    if len(dealt.groups) > 1:
        raise CannotShuffle("in a square two systems hardly ever can change places")
    units = dealt.units if dealt.whole is None else dealt.whole
    count = Counter(zip(units.cells[units.read].tolist(), units.labels[units.read].tolist(), strict=True))
    both = np.array([all(count[cell, name] == 1 for name in pair) for cell in units.cells.tolist()], dtype=bool)
    chosen = np.isin(units.labels, pair) & both
    if not chosen.any():
        raise CannotShuffle("no block holds a reading of both")
    few = units.of(chosen)
    if dealt.whole is None:
        layouts = shuffled(few.labels, few.cells)
    else:
        layouts = restricted(dealt.blocks, design.restrictions, ~units.read, pair).only(chosen)
    return shuffle_test(few.values, layouts, few.cells)


def _units(plots: Readings, values: FloatArray, layout: Layout, design: Asked, factor: Factor) -> _Units:
    block = layout.data["field" if layout.kind == "fields as blocks" else "block"]
    whole = [f.name for f in design.factors if not f.within]
    inner = [f.name for f in design.factors if f.within]
    labels = layout.data[factor.name]
    places = _places(plots)
    if factor.within and design.kind == "split plots":
        others = [name for name in (*whole, *inner) if name != factor.name]
        return _Units(values, labels, _together(layout, block, others), places)
    own, parts = (inner, len(design.whole)) if factor.within else (whole, len(design.inner))
    cells = _together(layout, block, [name for name in own if name != factor.name])
    if design.kind not in NESTED:
        return _Units(values, labels, cells, places)
    units = _together(layout, block, own)
    out: list[tuple[float, str, str, float]] = []
    for unit in dict.fromkeys(units.tolist()):
        at = np.flatnonzero(units == unit)
        if np.isfinite(values[at]).sum() != parts:
            raise CannotShuffle(
                "not every part of every whole plot or strip has a reading, so their means cannot be compared"
            )
        out.append((float(values[at].mean()), str(labels[at[0]]), str(cells[at[0]]), float(places[at].min())))
    means, names, held, where = zip(*out, strict=True)
    return _Units(np.array(means), np.array(names), np.array(held), np.array(where))


def _together(layout: Layout, block: NDArray[np.str_], names: Sequence[str]) -> NDArray[np.str_]:
    out = block
    for name in names:
        out = np.char.add(np.char.add(out, ", "), layout.data[name])
    return out


def _places(plots: Readings) -> FloatArray:
    """Return the order of plots: by column where every plot of a block has its own, else by number; NaN where none tells."""
    for name in ("column", "plot"):
        if name in plots.labels:
            try:
                found = plots.labels[name].astype(float)
            except ValueError:
                continue
            block = plots.labels.get("block", found)
            both = set(zip(block.tolist(), found.tolist(), strict=True))
            if len(both) == found.size or name == "plot":
                return np.asarray(found)
    return np.full(plots.labels["plot"].size, np.nan)


def _by_number(names: list[str]) -> list[str]:
    try:
        return sorted(names, key=lambda name: float(name.rsplit(" ", 1)[-1]))
    except ValueError:
        return names


def _square(plots: Readings, values: FloatArray, design: Asked) -> _Dealt:
    size = len(design.whole)
    if "site" in plots.labels or "year" in plots.labels:
        raise CannotShuffle("squares in several fields or years are not dealt out")
    if len(design.factors) > 1:
        raise CannotShuffle("the square holds combinations of several factors")
    if not np.isfinite(values).all() or values.size != size * size:
        raise CannotShuffle("not every plot of the square has a reading")
    row, column = (_ranked(plots.labels[name]) for name in ("row", "column"))
    order = np.lexsort((column, row))
    labels = plots.labels["system"][order]
    places = column[order].astype(float)
    units = _Units(values[order], labels, row[order].astype(str), places)
    layouts = squares(labels.reshape(size, size).tolist(), design.restrictions)
    return _Dealt(units, layouts, (row[order], column[order]))


def _ranked(labels: NDArray[np.str_]) -> NDArray[np.intp]:
    """Return the place of each label among all, by number where they are numbers."""
    try:
        return np.unique(labels.astype(float), return_inverse=True)[1]
    except ValueError:
        return np.unique(labels, return_inverse=True)[1]
