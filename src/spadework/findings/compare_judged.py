"""Worked out from the scatter of plots: means with intervals, differences, pairs and letters, tests."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from spadework.findings.compare_layout import Layout
from spadework.findings.compare_parts import Difference, Inside, MarginCall, Pair, Question, TermTest
from spadework.ranges import FloatArray
from spadework.reference import constants
from spadework.statistics.by_layout import combine_any, fit_or_strata
from spadework.statistics.models.comparisons import (
    against_one,
    all_pairs,
    dunnett_factor,
    dunnett_p,
    tukey_factor,
    tukey_p,
)
from spadework.statistics.models.judged import equivalence_p, letters, no_worse_p
from spadework.statistics.models.model import Model, fit_model
from spadework.statistics.models.small_sample import Combined
from spadework.statistics.models.terms import UnclearModel
from spadework.statistics.power.detectable import detectable_difference
from spadework.statistics.strata.analysis import Strata

if TYPE_CHECKING:
    from spadework.findings.compare_parts import Finding

__all__ = ["analysed_of", "differences_of", "judged", "tests_of"]

_K = constants("compare_rules")
_TINY: Final = 1e-12
_NOT_APART: Final = (
    "Systems and blocks cannot be told apart: no block holds two systems that another holds as well. There are means, and "
    "neither interval nor test."
)
_NO_SCATTER: Final = (
    "Systems differ by exactly the same in every block, so there is no scatter to judge by; look whether figures were copied or "
    "rounded too far. There are means, and neither interval nor test."
)
_BEYOND: Final = (
    "an interval runs past 0 or 100 %, which cannot be: so near the edge plots do not scatter evenly to both sides"
)


def analysed_of(layout: Layout, values: FloatArray, used: NDArray[np.bool_], asked: Question) -> Strata | Model:
    """Return the analysis of the readings that are used, by the layout."""
    data: dict[str, NDArray[np.str_] | FloatArray] = dict(layout.data)
    data[asked.quantity] = np.where(used, values, np.nan)
    if asked.way == "house":
        return fit_or_strata(data, asked.quantity, layout.fixed, layout.random)
    return fit_model(data, asked.quantity, layout.fixed, layout.random)


def judged(bare: Finding, analysed: Strata | Model, layout: Layout, systems: list[str], asked: Question) -> Finding:
    """Return a finding of bare means with all that the scatter of plots bears out."""
    means = analysed.means("system")
    weights = {name: means.weights[means.row(name)] for name in systems}
    rows = [means.row(name) for name in systems]
    known = bool(np.all(means.found.se[rows] >= 0))  # a stratum without a residual leaves them open
    pairs = _pairs(analysed, weights, asked)
    said = _lettered(pairs, {name: float(means.found.estimate[means.row(name)]) for name in systems}, asked)
    half = means.found.half_width(asked.sure) if known else np.full(len(means.labels), math.nan)
    with_intervals = []
    for one in bare.means:
        at = means.row(one.system)
        middle, wide = float(means.found.estimate[at]), float(half[at])
        with_intervals.append(
            replace(
                one, mean=middle, se=float(means.found.se[at]), df=float(means.found.df[at]), low=middle - wide,
                high=middle + wide, letters=said.get(one.system, ""),
            )
        )  # fmt: skip
    edges = [one.low < 0 or one.high > 100 for one in with_intervals]
    beyond = [] if bare.unit != "%" or not any(edges) else [_BEYOND]
    differences, tests = differences_of(analysed, weights, asked), tests_of(analysed)
    if not differences:
        return _without(bare, analysed, weights)
    sd, df = _error(analysed, differences)
    residual = {int(place): float(value) for place, value in zip(analysed.used, analysed.residuals, strict=True)}
    plots = tuple(replace(row, residual=residual.get(i, math.nan)) for i, row in enumerate(bare.plots))
    grand = float(np.mean(analysed.readings))
    return replace(
        bare,
        analysis="strata" if isinstance(analysed, Strata) else "restricted likelihood",
        plots=plots,
        means=tuple(with_intervals),
        differences=differences,
        inside=_inside(analysed, layout, systems, asked),
        pairs=pairs,
        tests=tests,
        error_sd=sd,
        cv_share=sd / abs(grand) if grand else math.nan,
        error_df=df,
        notes=(*bare.notes, *_notes(analysed, bare, df), *_weak(tests), *beyond),
    )


def _without(bare: Finding, analysed: Strata | Model, weights: Mapping[str, FloatArray]) -> Finding:
    """Return the bare means where no difference has a scatter that it can be held against."""
    combined = combine_any(analysed, all_pairs(np.stack(list(weights.values()))).weights)
    if np.isnan(combined.se).any():
        return replace(bare, standing="looked", model=("means of plots",), notes=(_NOT_APART, *bare.notes))
    return replace(bare, notes=(_NO_SCATTER, *bare.notes))


def differences_of(
    analysed: Strata | Model, weights: Mapping[str, FloatArray], asked: Question, *, quick: bool = False
) -> tuple[Difference, ...]:
    """Return the differences from the baseline; `quick` leaves out what no conclusion rests on."""
    names = list(weights)
    rows = against_one(np.stack(list(weights.values())), names.index(asked.baseline))
    combined = combine_any(analysed, rows.weights)
    if not np.all(combined.se > _TINY):
        return ()
    factor = math.nan if quick else dunnett_factor(combined, asked.sure)
    chances = _bracketed(combined, asked.sure) if quick else dunnett_p(combined)
    power = _K.power_share
    reach = np.full(len(chances), math.nan)
    if not quick:
        reach = detectable_difference(combined.se, np.maximum(combined.df, 1), 1 - asked.sure, power)
    out = []
    for i, at in enumerate(rows.second.tolist()):
        out.append(_difference(names[at], combined, i, factor, float(chances[i]), float(reach[i]), asked))
    return tuple(out)


def _bracketed(found: Combined, sure: float) -> FloatArray:
    """Return chances good enough to be held against the wanted one: exact only where neither bound of them decides."""
    alone = found.p()
    together = np.minimum(alone * alone.size, 1)
    wrong = 1 - sure
    if np.all((alone > wrong) | (together <= wrong)):
        return np.where(alone > wrong, alone, together)
    return dunnett_p(found)


def _difference(
    name: str, found: Combined, i: int, factor: float, p: float, reach: float, asked: Question
) -> Difference:
    from scipy.special import stdtrit

    middle, se, df, many = float(found.estimate[i]), float(found.se[i]), float(found.df[i]), found.se.size
    sign = {"more": 1.0, "less": -1.0, "": math.nan}[asked.better]
    bound = middle - sign * float(stdtrit(df, 1 - (1 - asked.sure) / many)) * se
    no_worse = alike = math.nan
    call: MarginCall = ""
    if math.isfinite(asked.margin):
        no_worse = min(1.0, many * float(no_worse_p(sign * middle, se, df, asked.margin)))
        alike = min(1.0, many * float(equivalence_p(middle, se, df, asked.margin)))
        worse = min(1.0, many * float(no_worse_p(-sign * middle - 2 * asked.margin, se, df, asked.margin)))
        wrong = 1 - asked.sure
        call = "alike" if alike <= wrong else "no worse" if no_worse <= wrong else "worse" if worse <= wrong else "open"
    sure = p <= 1 - asked.sure
    return Difference(
        name, middle, se, df, middle - factor * se, middle + factor * se, p, bound, no_worse, alike, reach,
        ("more" if middle > 0 else "less") if sure else "open", call,
    )  # fmt: skip


def _pairs(analysed: Strata | Model, weights: Mapping[str, FloatArray], asked: Question) -> tuple[Pair, ...]:
    names = list(weights)
    rows = all_pairs(np.stack(list(weights.values())))
    combined = combine_any(analysed, rows.weights)
    if not np.all(combined.se > _TINY):
        return ()
    df = np.maximum(combined.df, 1)
    chances = tukey_p(combined.t(), len(names), df)
    each, back = np.unique(df.round(6), return_inverse=True)
    half = tukey_factor(len(names), each, asked.sure)[back] * combined.se
    return tuple(
        Pair(names[a], names[b], float(d), float(d - h), float(d + h), float(p))
        for a, b, d, h, p in zip(rows.first, rows.second, combined.estimate, half, chances, strict=True)
    )


def _lettered(pairs: tuple[Pair, ...], means: Mapping[str, float], asked: Question) -> dict[str, str]:
    if not pairs:
        return {}
    names = list(means)
    apart = np.zeros((len(names), len(names)), dtype=bool)
    for pair in pairs:
        if pair.p <= 1 - asked.sure:
            i, j = names.index(pair.first), names.index(pair.second)
            apart[i, j] = apart[j, i] = True
    return dict(zip(names, letters(list(means.values()), apart), strict=True))


def _inside(analysed: Strata | Model, layout: Layout, systems: list[str], asked: Question) -> tuple[Inside, ...]:
    levels = analysed.levels if isinstance(analysed, Strata) else analysed.design.levels
    out = []
    for factor in (*layout.factors, "field"):
        if factor not in levels:
            continue
        means = analysed.means("system", factor)
        for label in levels[factor]:
            weights = {name: means.weights[means.row(name, label)] for name in systems}
            out.append(Inside(factor, label, differences_of(analysed, weights, asked)))
    return tuple(out)


def tests_of(analysed: Strata | Model) -> tuple[TermTest, ...]:
    """Return the tests of all fixed terms that have something to be held against."""
    terms = analysed.terms if isinstance(analysed, Strata) else analysed.design.terms
    out = []
    for term in terms:
        try:
            test = analysed.test(term)
        except UnclearModel:
            continue
        out.append(TermTest(term, test.f, test.df, test.df_rest, test.p, test.by_weakest))
    return tuple(out)


def _error(analysed: Strata | Model, differences: tuple[Difference, ...]) -> tuple[float, float]:
    df = differences[0].df if differences else math.nan
    if isinstance(analysed, Strata):
        try:
            return math.sqrt(analysed.residual("within").ms), df
        except UnclearModel:
            return math.nan, df
    return math.sqrt(analysed.fitted.variance("residual")), df


def _weak(tests: Iterable[TermTest]) -> list[str]:
    return [
        f"{' with '.join(test.term)}: too few blocks for a test of all its parts together as it is usually made; the chance "
        "stands on the weakest of them and is too large rather than too small"
        for test in tests
        if test.by_weakest
    ]


def _notes(analysed: Strata | Model, bare: Finding, df: float) -> list[str]:
    told = [
        note for note in analysed.notes if "are missing and left out" not in note and "no table of strata" not in note
    ]
    if isinstance(analysed, Model) and any("no table of strata" in note for note in analysed.notes):
        told.append(
            "plots do not meet evenly, so means are those of the model: what a system would have in all blocks alike"
        )
    if df < _K.error_df_few:
        told.append(
            f"the error has {df:.3g} degree{'' if df == 1 else 's'} of freedom: intervals are wide and rest on little"
        )
    single = [one.system for one in bare.means if one.plots == 1]
    if single:
        told.append(f"{', '.join(single)}: one plot only; its interval rests on how the plots of the others scatter")
    return told
