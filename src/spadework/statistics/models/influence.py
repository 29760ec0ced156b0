"""How much hangs on one plot: each is left out in turn and everything is fitted again.

Nothing is ever left out for good here.  Both results are shown; whether a plot goes is for the one who knows what
happened on it, and is written down with the reason.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.statistics.models.comparisons import all_pairs
from spadework.statistics.models.mixed import NotConverged, fit_mixed
from spadework.statistics.models.model import Model, fit_model
from spadework.statistics.models.small_sample import Combined, FTest, combine, f_test_kenward_roger
from spadework.statistics.models.terms import Term, UnclearModel, read_terms, together
from spadework.working import equation

__all__ = ["MOST_UNITS", "Influence", "LeftOut", "leave_each_out"]

MOST_UNITS: Final = 400
"""Plots that are left out in turn, at most; every one takes a fit of its own."""


@dataclass(frozen=True)
class LeftOut:
    """What comes out without one plot.

    Attributes
    ----------
    unit : str
        The plot.
    differences : Combined or None
        Without it; None where it cannot be left out.
    tests : dict
        Test of every fixed term without it; empty where it cannot be left out.
    distance : float
        How far all fixed effects move together, by their covariance with all plots, per effect (Cook 1977); NaN where
        it cannot be left out.
    reason : str
        Why it cannot be left out; empty where it can.
    """

    unit: str
    differences: Combined | None
    tests: dict[Term, FTest]
    distance: float
    reason: str


@dataclass(frozen=True)
class Influence:
    """The result with all plots, and without each.

    Attributes
    ----------
    pairs : tuple of tuple of str
        Which mean is taken from which: (from, of).
    differences : Combined
        With all plots.
    tests : dict
        Test of every fixed term with all plots.
    without : tuple of LeftOut
        One for each plot.
    sentences : tuple of str
        Plots without which a verdict at the level asked for would turn over, and plots that cannot be left out.
    """

    pairs: tuple[tuple[str, str], ...]
    differences: Combined
    tests: dict[Term, FTest]
    without: tuple[LeftOut, ...]
    sentences: tuple[str, ...]

    def distances(self) -> FloatArray:
        """Return the distance of each plot."""
        return np.array([each.distance for each in self.without])


@equation(
    "every plot is left out in turn and variances, effects and tests are found again; the distance is "
    "(b - b_without)' covariance^-1 (b - b_without) over the number of effects",
    unit="1",
    source="cook_1977",
    in_words=True,
)
def leave_each_out(
    data: Mapping[str, ArrayLike],
    response: str,
    fixed: str,
    random: Sequence[str] = (),
    *,
    compare: str,
    unit: str = "",
    error_share: float = 0.05,
) -> Influence:
    """Leave each plot out in turn and show both results.

    Parameters
    ----------
    data : mapping
        Columns by name, one place for each reading.
    response : str
        Column of the readings [any]; an empty one (NaN) is left out and told.
    fixed : str
        Fixed terms, such as ``"system * nitrogen"``.
    random : sequence of str
        Random terms, such as ``["block", "block:system"]``.
    compare : str
        Factor whose means are compared in pairs, or several with ``:``.
    unit : str
        What is left out at once, such as ``"block:system"``; left empty: each reading alone.
    error_share : float
        Level at which verdicts are looked at [1], 0.0001 to 0.5.

    Returns
    -------
    Influence
        Differences and tests with all plots, and without each.

    Raises
    ------
    ImpossibleValue
        If there are more than 400 plots, or the level lies outside its range.
    UnclearModel
        If the data cannot carry the terms.

    Notes
    -----
    Every fit is done again in full, variances included, by restricted likelihood with Kenward and Roger's tests; also the
    one with all plots, so that like is laid beside like (a table of strata exists for the full layout only).  Covariates
    keep the mean of all plots.  A plot that is the only one to tell an effect cannot be left out, and that is said.

    Examples
    --------
    >>> yields = {"block": [1, 1, 2, 2, 3, 3, 4, 4], "system": ["plough", "strip"] * 4}
    >>> yields["dm_t_ha"] = [15.1, 15.9, 14.2, 14.8, 16.0, 16.4, 15.0, 18.2]
    >>> found = leave_each_out(yields, "dm_t_ha", "system", ["block"], compare="system")
    >>> print(found.sentences[0])
    without reading 7 strip less plough goes from 1.25 (chance 0.152) to 0.6061 (chance 0.034)
    """
    level = float(require("error_share", error_share, 1e-4, 0.5))
    model = fit_model(data, response, fixed, random)
    means = model.means(*compare.split(":"))
    pairs = all_pairs(means.weights)
    said = [" ".join(each) for each in means.labels]
    names = tuple((said[i], said[j]) for i, j in zip(pairs.first, pairs.second, strict=True))
    units = _units(data, model, unit)
    require("plots to leave out", len(set(units.tolist())), 2, MOST_UNITS)
    kept = {name: np.asarray(data[name])[model.used] for term in model.random for name in term}
    labels = {":".join(term): together(kept, term) for term in model.random}
    everything = combine(model.fitted, pairs.weights)
    tested = {term: model.contrasts_of(term) for term in model.design.terms}
    tests = {term: f_test_kenward_roger(model.fitted, rows) for term, rows in tested.items()}
    precise = np.linalg.inv(model.fitted.covariance)
    without = []
    for name in dict.fromkeys(units.tolist()):
        rest = units != name
        try:
            fitted = fit_mixed(
                model.readings[rest], model.design.columns[rest], {k: v[rest] for k, v in labels.items()}
            )
        except (ValueError, NotConverged) as reason:
            without.append(LeftOut(name, None, {}, float("nan"), _why(reason)))
            continue
        off = fitted.effects - model.fitted.effects
        without.append(
            LeftOut(
                name,
                combine(fitted, pairs.weights),
                {term: f_test_kenward_roger(fitted, rows) for term, rows in tested.items()},
                float(off @ precise @ off) / off.size,
                "",
            )
        )
    return Influence(names, everything, tests, tuple(without), _sentences(names, everything, tests, without, level))


def _units(data: Mapping[str, ArrayLike], model: Model, unit: str) -> NDArray[np.str_]:
    if not unit:
        return np.char.add("reading ", (model.used + 1).astype(np.str_))
    terms = read_terms(unit)
    if len(terms) != 1:
        raise UnclearModel(f'what is left out at once is one term, such as "block:system", not "{unit}"')
    if missing := [name for name in terms[0] if name not in data]:
        raise UnclearModel(f'no column is called "{missing[0]}"; there are: {", ".join(data)}')
    labels = together({name: np.asarray(data[name])[model.used] for name in terms[0]}, terms[0])
    return np.char.add(":".join(terms[0]) + " ", labels)


def _why(reason: ValueError) -> str:
    if isinstance(reason, NotConverged):
        return str(reason)
    if isinstance(reason, ImpossibleValue):
        return "too few readings are left without it"
    return "without it an effect cannot be told, or nothing is left to tell the scatter"


def _sentences(
    names: Sequence[tuple[str, str]],
    everything: Combined,
    tests: Mapping[Term, FTest],
    without: Sequence[LeftOut],
    level: float,
) -> tuple[str, ...]:
    out, chances = [], everything.p()
    for each in without:
        if each.differences is None:
            out.append(f"{each.unit} cannot be left out: {each.reason}")
            continue
        for k, chance in enumerate(each.differences.p()):
            if (chance < level) != (chances[k] < level):
                out.append(
                    f"without {each.unit} {names[k][1]} less {names[k][0]} goes from {everything.estimate[k]:.4g} (chance "
                    f"{chances[k]:.3f}) to {each.differences.estimate[k]:.4g} (chance {chance:.3f})"
                )
        for term, test in each.tests.items():
            if (test.p < level) != (tests[term].p < level):
                out.append(
                    f"without {each.unit} the test of {':'.join(term)} goes from F {tests[term].f:.3g} (chance "
                    f"{tests[term].p:.3f}) to F {test.f:.3g} (chance {test.p:.3f})"
                )
    return tuple(out)
