"""A mixed model over a table of readings: terms by name, marginal means, tests of terms.

This is the model as a biometrician writes it down: what is compared (fixed terms), what the plots were laid out in
(random terms), and which readings scatter more than others (residual groups).
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray
from spadework.statistics.models.mixed import Fitted, Rival, fit_mixed
from spadework.statistics.models.small_sample import (
    WAYS,
    Combined,
    FTest,
    combine,
    f_test_kenward_roger,
    f_test_satterthwaite,
)
from spadework.statistics.models.terms import Design, Term, UnclearModel, fixed_design, read_terms, together

__all__ = ["Means", "Model", "fit_model"]

_BLANK = ("", "None", "nan", "NaT", "<NA>")
"""How values that are no text say that nothing is there."""


@dataclass(frozen=True)
class Means:
    """Marginal means of a term: every other factor counts the same at each of its labels, covariates at their mean.

    Attributes
    ----------
    factors : tuple of str
        What they are means of.
    labels : tuple of tuple of str
        Label of each factor, for every mean.
    weights : FloatArray
        Weight of every fixed effect, shape (means, columns).
    found : Combined
        The means with standard errors and degrees of freedom.
    """

    factors: tuple[str, ...]
    labels: tuple[tuple[str, ...], ...]
    weights: FloatArray
    found: Combined

    def row(self, *labels: str) -> int:
        """Return the place of the mean of these labels."""
        if labels not in self.labels:
            known = "; ".join(", ".join(each) for each in self.labels)
            raise UnclearModel(f'no mean of "{", ".join(labels)}"; there are: {known}')
        return self.labels.index(labels)


@dataclass(frozen=True)
class Model:
    """A fitted model.

    Attributes
    ----------
    response : str
        Column of the readings.
    random : tuple of Term
        Random terms.
    design : Design
        Fixed terms and their columns.
    fitted : Fitted
        Variances and effects.
    readings : FloatArray
        The readings that were used.
    used : NDArray
        Their places in the data.
    residuals : FloatArray
        What fixed effects and random terms leave of each reading, in its unit.
    notes : tuple of str
        What a reader must be told.
    """

    response: str
    random: tuple[Term, ...]
    design: Design
    fitted: Fitted
    readings: FloatArray
    used: NDArray[np.int64]
    residuals: FloatArray
    notes: tuple[str, ...]

    def means(self, *factors: str, way: str = WAYS[0]) -> Means:
        """Return the marginal means of one factor, or of every combination of several."""
        wrong = [name for name in factors if name not in self.design.levels]
        if wrong or not factors:
            raise UnclearModel(
                f'"{", ".join(wrong)}" is no factor of the model; there are: {_listed(self.design.levels)}'
            )
        labels = tuple(itertools.product(*(self.design.levels[name] for name in factors)))
        weights = np.stack([self._averaged(dict(zip(factors, each, strict=True))) for each in labels])
        return Means(factors, labels, weights, combine(self.fitted, weights, way))

    def contrasts_of(self, term: Term) -> FloatArray:
        """Return the combinations of fixed effects that are nought where a term does nothing."""
        if term not in self.design.terms:
            raise UnclearModel(f'"{":".join(term)}" is no term of the model; there are: {self._terms()}')
        levels = self.design.levels
        rows = []
        for choice in itertools.product(*(levels[name][1:] if name in levels else ("",) for name in term)):
            row = np.zeros(self.fitted.columns)
            for kept in itertools.product((False, True), repeat=len(term)):
                changed = [(n, c) for n, c, k in zip(term, choice, kept, strict=True) if k]
                cell = {name: levels[name][0] for name in term if name in levels}
                cell.update({name: label for name, label in changed if name in levels})
                above = [name for name, _ in changed if name not in levels]
                row += (-1) ** (len(term) - len(changed)) * self._averaged(cell, above)
            rows.append(row)
        return np.stack(rows)

    def test(self, term: Term, way: str = WAYS[0]) -> FTest:
        """Test whether a term does anything, by its marginal means."""
        if way not in WAYS:
            raise ValueError(f'`way` is "{way}"; allowed: {", ".join(WAYS)}')
        rows = self.contrasts_of(term)
        return f_test_kenward_roger(self.fitted, rows) if way == WAYS[0] else f_test_satterthwaite(self.fitted, rows)

    def tests(self, way: str = WAYS[0]) -> dict[Term, FTest]:
        """Test every fixed term."""
        return {term: self.test(term, way) for term in self.design.terms}

    def _averaged(self, cell: Mapping[str, str], above: Collection[str] = ()) -> FloatArray:
        free = {name: labels for name, labels in self.design.levels.items() if name not in cell}
        cells = [{**cell, **dict(zip(free, choice, strict=True))} for choice in itertools.product(*free.values())]
        return np.asarray(np.mean([self.design.at(each, above) for each in cells], axis=0))

    def _terms(self) -> str:
        return ", ".join(":".join(term) for term in self.design.terms)


def fit_model(
    data: Mapping[str, ArrayLike],
    response: str,
    fixed: str,
    random: Sequence[str] = (),
    residual: str | None = None,
) -> Model:
    """Fit a mixed model to a table of readings.

    Parameters
    ----------
    data : mapping
        Columns by name, one place for each reading.  Text makes a factor, numbers a covariate.
    response : str
        Column of the readings; an empty one (NaN) is left out and told.
    fixed : str
        Fixed terms, such as ``"system * nitrogen"``.
    random : sequence of str
        Random terms, such as ``["block", "block:system"]``.
    residual : str, optional
        Column whose labels have residual variances of their own.

    Returns
    -------
    Model
        Variances, effects, means and tests.

    Raises
    ------
    UnclearModel
        If a column or a label is missing, a factor has one label, terms cannot be told apart, a random term is the residual by
        another name, or the response holds text.

    Examples
    --------
    >>> yields = {"block": [1, 1, 2, 2, 3, 3], "system": ["plough", "strip"] * 3, "dm_t_ha": [15.1, 15.9, 14.2, 14.8, 16, 16.4]}
    >>> model = fit_model(yields, "dm_t_ha", "system", ["block"])
    >>> test = model.test(("system",))
    >>> round(test.f, 2), test.df, round(test.df_rest, 2)
    (27.0, 1, 2.0)
    >>> model.means("system").found.estimate.round(2).tolist()
    [15.1, 15.7]
    """
    readings = _numbers(data, response)
    used = np.flatnonzero(np.isfinite(readings))
    notes = []
    if used.size < readings.size:
        notes.append(f"{readings.size - used.size} of {readings.size} readings of {response} are missing and left out")
    terms = read_terms(fixed)
    wanted = tuple(dict.fromkeys(term for text in random for term in read_terms(text)))
    names = {*(n for term in (*terms, *wanted) for n in term), *([residual] if residual is not None else [])}
    if missing := [name for name in names if name not in data]:
        raise UnclearModel(f'no column is called "{sorted(missing)[0]}"; there are: {_listed(data)}')
    kept = {name: np.asarray(data[name])[used] for name in names}
    slopes = {name for term in terms for name in term if kept[name].dtype.kind in "fiu"}
    for name in sorted(names - slopes):
        _labelled(name, kept[name])
    design = fixed_design(kept or {response: readings[used]}, terms)
    labels: dict[str, NDArray[np.str_]] = {}
    for term in wanted:
        labels[":".join(term)] = together(kept, term)
        _sensible(term, labels[":".join(term)], terms)
    y = readings[used]
    fitted = fit_mixed(y, design.columns, labels, None if residual is None else together(kept, (residual,)))
    for name, zero in zip(labels, fitted.at_zero, strict=True):
        if zero:
            notes.append(
                f"the plots differ by {name} no more than by chance: its variance was found to be nought and is held there"
            )
    notes += [_rivalled(rival, fitted) for rival in fitted.rivals]
    effects = _of_levels(fitted, labels, y.size)
    residuals = y - design.columns @ fitted.effects - effects
    return Model(response, wanted, design, fitted, y, used, residuals, tuple(notes))


def _numbers(data: Mapping[str, ArrayLike], response: str) -> FloatArray:
    if response not in data:
        raise UnclearModel(f'no column is called "{response}"; there are: {_listed(data)}')
    values = np.asarray(data[response])
    if values.dtype.kind in "fiu":
        return values.astype(np.float64)
    for place, value in enumerate(values.tolist(), 1):
        try:
            float(value)
        except (TypeError, ValueError):
            raise UnclearModel(f'{response}: reading {place} is "{str(value)[:40]}", which is no number') from None
    return values.astype(np.float64)


def _rivalled(rival: Rival, fitted: Fitted) -> str:
    """Return what a reader must be told of another top of the likelihood."""
    where = f"with the variance of {rival.at_nought} at nought" if rival.at_nought else "with other variances"
    return (
        f"the readings hardly tell how far each group scatters: {where} the restricted log-likelihood is "
        f"{rival.log_likelihood:.2f}, beside {fitted.log_likelihood:.2f} here; one residual variance for all is the safer model"
    )


def _labelled(name: str, values: NDArray[np.generic]) -> None:
    """Refuse readings without a label: they would be taken for a label of their own, together."""
    blank = [str(v).strip() in _BLANK if not isinstance(v, str) else not v.strip() for v in values.tolist()]
    if any(blank):
        many = f"{sum(blank)} of {len(blank)} readings"
        raise UnclearModel(f'"{name}" lacks a label in {many}; fill it in, or leave these readings out')


def _sensible(term: Term, labels: NDArray[np.str_], fixed: Sequence[Term]) -> None:
    said, count = ":".join(term), np.unique(labels).size
    if count < 2:
        raise UnclearModel(f'random term "{said}" has one label only; without a second one nothing is replicated')
    if count == labels.size:
        raise UnclearModel(
            f'random term "{said}" has a label of its own for every reading; the residual stands for it already'
        )
    if term in fixed:
        raise UnclearModel(f'"{said}" is a fixed and a random term; allowed: one of the two')


def _of_levels(fitted: Fitted, labels: Mapping[str, NDArray[np.str_]], size: int) -> FloatArray:
    total, before = np.zeros(size), 0
    for each in labels.values():
        named, codes = np.unique(each, return_inverse=True)
        total += fitted.level_effects[before + codes]
        before += named.size
    return total


def _listed(names: Mapping[str, object]) -> str:
    return ", ".join(names)
