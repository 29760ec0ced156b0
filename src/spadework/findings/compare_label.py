"""Whether plots lie as the plan declares: parts shuffled in each whole plot, or run across all of them in strips.

The two look alike in a table and are held against different errors.  Where the file shows how the parts lie, it is told
with both results; where it does not, a scatter that fits the other layout is worth a remark.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from spadework.findings.compare_judged import analysed_of, differences_of, tests_of
from spadework.findings.compare_layout import Layout, layout_of
from spadework.findings.compare_parts import LaidOtherwise, Question
from spadework.ranges import FloatArray
from spadework.records.files.readings import Readings
from spadework.reference import constants
from spadework.statistics.designs.layouts import NESTED, Asked
from spadework.statistics.models.mixed import NotConverged
from spadework.statistics.models.terms import UnclearModel
from spadework.statistics.strata.analysis import Strata

if TYPE_CHECKING:
    from spadework.findings.compare_parts import Finding

__all__ = ["across_hint", "laid_otherwise"]

_K = constants("compare_guards")
_SPLIT: Final = NESTED[0]
_CROSSED: Final = NESTED[1]


@dataclass(frozen=True)
class _Block:
    """Parts of a block: name, whole plots, and whether every part runs across all of them."""

    name: str
    whole: int
    across: bool


def laid_otherwise(
    plots: Readings, values: FloatArray, design: Asked | None, asked: Question, found: Finding
) -> LaidOtherwise | None:
    """Return what the other layout gives, where the file shows that plots lie in it.

    Parameters
    ----------
    plots : Readings
        One place for each plot.
    values : FloatArray
        Readings that count; NaN for every plot that does not count.
    design : Asked or None
        The layout as it was declared.
    asked : Question
        What was asked.
    found : Finding
        What the declared layout found; it stays the finding.

    Returns
    -------
    LaidOtherwise or None
        None where the plots lie as declared, or nothing tells how they lie.
    """
    if design is None or design.kind not in NESTED or (blocks := _blocks(plots, design)) is None:
        return None
    parts = " and ".join(f.name for f in design.factors if f.within)
    if design.kind == _SPLIT:
        each = math.factorial(len(design.inner))
        chance = math.prod((1 / each) ** (block.whole - 1) for block in blocks)
        if not all(block.across for block in blocks) or chance > _K.order_chance:
            return None
        lies = _CROSSED
        layouts = f"{1 / chance:,.0f}".replace(",", " ")
        why = (
            f"in every block {parts} lies in one order through all whole plots, as strips across them do; drawn for each whole "
            f"plot, that would come once in {layouts} layouts"
        )
    else:
        changed = [block.name for block in blocks if not block.across]
        if not changed:
            return None
        lies = _SPLIT
        where = f"block {changed[0]}" if len(changed) == 1 else f"blocks {', '.join(changed)}"
        why = f"in {where} {parts} lies in another order from one strip of systems to the next, so that no strip runs across"
    used = np.isfinite(values)
    try:
        analysed = analysed_of(layout_of(plots, used, replace(design, kind=lies)), values, used, asked)
        means = analysed.means("system")
    except (UnclearModel, NotConverged):
        return LaidOtherwise(design.kind, lies, why, (), ())
    weights = {one.system: means.weights[means.row(one.system)] for one in found.means}
    return LaidOtherwise(design.kind, lies, why, tests_of(analysed), differences_of(analysed, weights, asked))


def across_hint(plots: Readings, values: FloatArray, design: Asked | None, asked: Question) -> tuple[str, ...]:
    """Return a remark where parts of split plots scatter together through a block and nothing tells how they lie.

    Parameters
    ----------
    plots : Readings
        One place for each plot.
    values : FloatArray
        Readings that count; NaN for every plot that does not count.
    design : Asked or None
        The layout as it was declared.
    asked : Question
        What was asked.

    Returns
    -------
    tuple of str
        One remark with its number, or none.

    Notes
    -----
    In split plots the mean square of blocks by parts has the expectation of the rest of the parts' error; parts run across
    whole blocks add their own scatter to it.  Their ratio is an F.
    """
    if design is None or design.kind != _SPLIT or "site" in plots.labels or "year" in plots.labels:
        return ()
    if "block" not in plots.labels or _blocks(plots, design) is not None:
        return ()
    from scipy.special import fdtrc

    used = np.isfinite(values)
    within = [f.name for f in design.factors if f.within]
    layout: Layout = layout_of(plots, used, replace(design, kind=_CROSSED))
    name = ":".join(("block", *within))
    if name not in layout.random:
        return ()
    try:
        table = analysed_of(layout, values, used, asked)
        if not isinstance(table, Strata):
            return ()
        shared, rest = table.residual(name), table.residual("within")
    except (UnclearModel, NotConverged):
        return ()
    if not rest.ms > 0 or (p := float(fdtrc(shared.df, rest.df, shared.ms / rest.ms))) >= _K.hint_chance:
        return ()
    said = " and ".join(within)
    return (
        f"{said}: through a block its plots scatter together {shared.ms / rest.ms:.1f} times as much as split plots lead one to "
        f"expect (F on {shared.df} and {rest.df} degrees of freedom, chance {p:.2g}); strips run across the whole block do that. "
        f"Look how it was laid out: the file does not show it, and this sign alone decides nothing",
    )


def _blocks(plots: Readings, design: Asked) -> list[_Block] | None:
    """Return how the parts of every block lie; None where the file does not tell."""
    if "block" not in plots.labels or "site" in plots.labels or "year" in plots.labels:
        return None
    places = _places(plots, design)
    if places is None:
        return None
    whole = _joined(plots, [f.name for f in design.factors if not f.within])
    inner = _joined(plots, [f.name for f in design.factors if f.within])
    for along, over in (places, places[::-1]):
        out = []
        for name in dict.fromkeys(plots.labels["block"].tolist()):
            at = plots.labels["block"] == name
            strips = set(zip(whole[at].tolist(), along[at].tolist(), strict=True))
            count = np.unique(whole[at]).size
            if count < 2 or len(strips) != count or np.unique(along[at]).size != count:
                break
            lines = set(zip(inner[at].tolist(), over[at].tolist(), strict=True))
            out.append(_Block(str(name), count, len(lines) == np.unique(inner[at]).size == np.unique(over[at]).size))
        else:
            return out
    return None


def _places(plots: Readings, design: Asked) -> tuple[FloatArray, FloatArray] | None:
    """Return column and row of each plot: as the file has them, else from numbers that count the places of a block."""
    try:
        if "row" in plots.labels and "column" in plots.labels:
            return plots.labels["column"].astype(float), plots.labels["row"].astype(float)
        number, block = plots.labels["plot"].astype(int), plots.labels["block"].astype(int)
    except ValueError:
        return None
    position, parts = number - 100 * block - 1, len(design.inner)
    if position.min() < 0 or position.max() >= parts * len(design.whole):
        return None
    column, row = np.divmod(position, parts)
    return column.astype(float), row.astype(float)


def _joined(plots: Readings, names: Sequence[str]) -> NDArray[np.str_]:
    out = plots.labels[names[0]]
    for name in names[1:]:
        out = np.char.add(np.char.add(out, ", "), plots.labels[name])
    return out
