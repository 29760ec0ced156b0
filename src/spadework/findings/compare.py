"""What readings of plots say of a difference between systems, with how sure it is and on what it rests.

The plot is what is repeated.  Readings inside a plot are averaged first, and a system that stands on one plot gets a mean
and nothing else: there is no test without repetition.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from spadework.findings.compare_checks import warnings_of
from spadework.findings.compare_guards import guarded
from spadework.findings.compare_judged import analysed_of, differences_of, judged
from spadework.findings.compare_layout import Layout, layout_of
from spadework.findings.compare_parts import (
    Better,
    Difference,
    Finding,
    LeftOut,
    Mean,
    PlotRead,
    Question,
    Way,
)
from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.ranges import require
from spadework.records.files.readings import Readings, average_plots
from spadework.reference import constants
from spadework.statistics.designs.layouts import Asked
from spadework.statistics.models.mixed import NotConverged

__all__ = ["LOOKED", "compare"]

_K = constants("compare_rules")
LOOKED: Final = (
    "Nothing is repeated: each system stands on one plot, so nobody can tell what the systems do from what the ground does. "
    "There are means, and neither interval nor test."
)


def compare(
    readings: Readings,
    quantity: str,
    *,
    baseline: str,
    design: Asked | None = None,
    margin: float | None = None,
    better: Better = "",
    confidence: float = 0.95,
    way: Way = "house",
    leave_out: bool = True,
) -> Finding:
    """Compare systems by one measured quantity.

    Parameters
    ----------
    readings : Readings
        From :func:`spadework.records.files.readings.read_readings`.
    quantity : str
        Which of its quantities.
    baseline : str
        System that the others are held against.
    design : Asked, optional
        Layout as it was declared; left out, it is read off the file and nothing is taken for drawn.
    margin : float, optional
        Loss that would be borne, in the unit of the quantity, above 0.
    better : str
        ``"more"`` or ``"less"``; needed for a margin.
    confidence : float
        Confidence of all intervals [1], 0.5 to 0.9999.
    way : str
        ``"house"``: the table of strata where everything meets evenly, else restricted likelihood with Kenward and
        Roger's tests; ``"kenward-roger"``: always the latter.
    leave_out : bool
        True to leave every plot out in turn and say where that would change a conclusion.

    Returns
    -------
    Finding
        With standing ``looked`` it holds means only.

    Raises
    ------
    PlanFaults
        If the quantity was not measured, the baseline has no reading, the margin lacks a direction, or the layout does
        not fit the file.
    ImpossibleValue
        If a number lies outside its range.

    Notes
    -----
    Intervals of differences from the baseline hold for all of them at once (Dunnett), those of pairs likewise (Tukey,
    Kramer), and the letters follow the pairs.  Chances against the margin and the one-sided bound are taken times the
    number of differences (Bonferroni), so that bound and chance agree.
    """
    plots = average_plots(readings)
    plots.unit_of(quantity)
    sure = float(require("confidence", confidence, 0.5, 0.9999))
    borne = math.nan if margin is None else float(require("margin", margin, 0, 1e12, above=True))
    if margin is not None and not better:
        what = f"says nothing as long as it is not known whether more or less of {quantity} is better; add --better"
        raise PlanFaults([Fault("--margin", what)], readings.file)
    asked = Question(quantity, baseline, better, borne, sure, way)
    taken = np.array([not reason for reason in plots.left_out])
    found = _found(plots, taken, design, asked)
    if found.standing == "looked" or not found.differences:
        return found
    used = np.isfinite(plots.values[quantity]) & taken
    layout = layout_of(plots, used, design)
    found = replace(found, warnings=warnings_of(found.plots, layout, "" if found.unit == "1" else f" {found.unit}"))
    found = guarded(found, plots, used, layout, design, asked)
    if not taken.all():
        again = _found(plots, np.ones_like(taken), design, asked)
        found = replace(found, with_all=again.differences)
    return replace(found, influence=_influence(plots, taken, design, asked, found)) if leave_out else found


def _found(plots: Readings, taken: NDArray[np.bool_], design: Asked | None, asked: Question) -> Finding:
    values = plots.values[asked.quantity]
    used = np.isfinite(values) & taken
    _ready(plots, used, asked)
    layout = layout_of(plots, used, design)
    systems = [name for name in _in_order(plots, design) if (plots.labels["system"][used] == name).any()]
    bare = _bare(plots, used, taken, layout, systems, asked)
    if layout.standing == "looked":
        return replace(bare, notes=(LOOKED, *bare.notes))
    try:
        analysed = analysed_of(layout, values, used, asked)
        return judged(bare, analysed, layout, systems, asked)
    except (ValueError, NotConverged) as unclear:
        what = f"{asked.quantity} cannot be judged in this layout: {unclear}"
        raise PlanFaults([Fault(f"column {asked.quantity}", what)], plots.file) from None


def _ready(plots: Readings, used: NDArray[np.bool_], asked: Question) -> None:
    there = sorted(set(plots.labels["system"][used].tolist()))
    if asked.baseline not in there:
        near = nearest(asked.baseline, there)
        what = f'no plot of "{asked.baseline}" has a reading of {asked.quantity}; without it nothing can be held against it'
        raise PlanFaults([Fault("baseline", what + near)], plots.file)
    if len(there) < 2:
        what = f'only "{asked.baseline}" has readings of {asked.quantity}; a comparison needs two systems'
        raise PlanFaults([Fault("column system", what)], plots.file)


def _in_order(plots: Readings, design: Asked | None) -> list[str]:
    if design is not None:
        return list(design.factors[0].labels)
    return list(dict.fromkeys(plots.labels["system"].tolist()))


def _bare(
    plots: Readings,
    used: NDArray[np.bool_],
    taken: NDArray[np.bool_],
    layout: Layout,
    systems: list[str],
    asked: Question,
) -> Finding:
    """Return a finding that holds means of plots and nothing that was worked out from their scatter."""
    values, nan = plots.values[asked.quantity], math.nan
    rows = tuple(_plot(plots, i, layout, asked, bool(used[i]), bool(taken[i])) for i in range(values.size))
    means = []
    for name in systems:
        own = values[used & (plots.labels["system"] == name)]
        means.append(Mean(name, own.size, float(own.mean()), float(own.mean()), nan, nan, nan, nan, ""))
    missing = tuple(f"plot {row.plot} ({_where(row)}): {row.why_not}" for row in rows if row.why_not)
    return Finding(
        quantity=asked.quantity,
        unit=plots.units[asked.quantity],
        file=plots.file,
        baseline=asked.baseline,
        standing=layout.standing,
        layout=layout.kind,
        model=layout.words if layout.standing != "looked" else ("means of plots",),
        analysis="means",
        confidence_share=asked.sure,
        better=asked.better,
        margin=asked.margin,
        plots=rows,
        means=tuple(means),
        differences=(),
        inside=(),
        pairs=(),
        tests=(),
        error_sd=nan,
        cv_share=nan,
        error_df=nan,
        missing=missing,
        notes=(*_absent(plots, systems), *_averaged(rows), *layout.told),
        warnings=(),
        influence=(),
        with_all=(),
    )


def _plot(plots: Readings, place: int, layout: Layout, asked: Question, used: bool, taken: bool) -> PlotRead:
    def label(name: str) -> str:
        return str(plots.labels[name][place]) if name in plots.labels else ""

    value = float(plots.values[asked.quantity][place])
    why = "" if used else f"left out: {plots.left_out[place]}" if not taken else plots.gaps[asked.quantity][place]
    others = tuple(label(name) for name in layout.factors)
    field = str(layout.data["field"][place]) if "field" in layout.data else ""
    return PlotRead(
        label("plot"), label("block"), field, label("row"), label("column"), label("system"), others,
        int(plots.lines[place]), int(plots.samples[place]), value, math.nan, why,
    )  # fmt: skip


def _where(row: PlotRead) -> str:
    parts = [row.system, *row.others, f"block {row.block}" if row.block else "", row.field]
    return ", ".join(part for part in parts if part)


def _absent(plots: Readings, systems: list[str]) -> list[str]:
    absent = [name for name in dict.fromkeys(plots.labels["system"].tolist()) if name not in systems]
    return [f"{', '.join(absent)}: no plot has a reading that counts, so nothing is said of it"] if absent else []


def _averaged(rows: tuple[PlotRead, ...]) -> list[str]:
    counts = sorted({row.samples for row in rows if not row.why_not})
    if counts in ([1], []):
        return []
    said = f"{counts[0]}" if len(counts) == 1 else f"{counts[0]} to {counts[-1]}"
    return [f"{said} readings in each plot were averaged first: readings inside a plot repeat no system"]


def _influence(
    plots: Readings, taken: NDArray[np.bool_], design: Asked | None, asked: Question, found: Finding
) -> tuple[LeftOut, ...]:
    """Return the plots without which a conclusion would be another one."""
    values = plots.values[asked.quantity]
    used = np.isfinite(values) & taken
    chosen = np.flatnonzero(used)
    if chosen.size > _K.plots_left_out_most:
        return ()
    full = layout_of(plots, used, design)
    likewise = replace(asked, way="kenward-roger")  # what is left has no table of strata, so like is laid beside like

    def again(kept: NDArray[np.bool_], *, quick: bool) -> dict[str, Difference]:
        try:
            analysed = analysed_of(full, values, kept, likewise)
            means = analysed.means("system")
        except (ValueError, NotConverged):
            return {}  # a plot that is the only one to tell something cannot be left out
        left = [one.system for one in found.means if (one.system,) in means.labels]
        if asked.baseline not in left or len(left) < 2:
            return {}
        weights = {name: means.weights[means.row(name)] for name in left}
        return {one.system: one for one in differences_of(analysed, weights, asked, quick=quick)}

    before = again(used, quick=True)
    out = []
    for place in chosen.tolist():
        without = used.copy()
        without[place] = False
        after = again(without, quick=True)
        for old in found.differences:
            if old.system not in after:
                continue
            said = (after[old.system].call, after[old.system].margin_call)
            known = [(one.call, one.margin_call) for one in (old, before.get(old.system, old))]
            if said not in known:
                now = again(without, quick=False)[old.system]
                row = found.plots[place]
                out.append(LeftOut(row.plot, row.system, old.system, old, now))
    return tuple(out)
