"""Analysis of variance with error strata, for layouts in which everything meets evenly.

What is compared between whole strips is held against how whole strips scatter, what is compared inside them against how
their parts scatter.  Every layout that is laid out in full has such a table: blocks, squares, split plots, criss-crossed
strips, factors with parts confounded with blocks, several sites.  Nothing is searched for; the table comes of averages.

When to use it, and when a mixed model: :mod:`spadework.statistics.by_layout`.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require
from spadework.statistics.models.groupings import Grouping, closed, grouping_of, parts_of
from spadework.statistics.models.model import Means
from spadework.statistics.models.small_sample import Combined, FTest
from spadework.statistics.models.terms import Term, UnclearModel, together
from spadework.statistics.strata.layout import NotBalanced, layout_of
from spadework.working import equation

__all__ = ["Line", "NotBalanced", "Strata", "strata_table"]

_WITHIN = "within"


@dataclass(frozen=True)
class Line:
    """A line of the table.

    Attributes
    ----------
    stratum : str
        Random term, or ``"within"`` for the readings inside all of them.
    source : str
        Fixed term, or ``"residual"``.
    df : int
        Degrees of freedom.
    ss, ms : float
        Sum of squares and mean square, in the unit of the readings squared.
    f, p : float
        F against the residual of the stratum, and the chance of so large an F where nothing is behind it; NaN on the line
        of a residual, and where the stratum has none.
    """

    stratum: str
    source: str
    df: int
    ss: float
    ms: float
    f: float
    p: float


@dataclass(frozen=True)
class Strata:
    """A table of strata, and what follows from it.

    Attributes
    ----------
    response : str
        Column of the readings.
    terms : tuple of Term
        Fixed terms.
    names : tuple of str
        Strata, coarse ones first; the last is ``"within"``.
    lines : tuple of Line
        The table; in each stratum the fixed terms, then the residual.
    mean : float
        Mean of all readings.
    components : dict
        Variance that each random term adds, and that of ``"within"``, from the mean squares; may be below nought.
    levels : dict
        Labels of every factor, sorted.
    readings, residuals : FloatArray
        The readings that were used; what fixed terms and strata leave of each.
    used : NDArray
        Their places in the data.
    notes : tuple of str
        What a reader must be told.
    """

    response: str
    terms: tuple[Term, ...]
    names: tuple[str, ...]
    lines: tuple[Line, ...]
    mean: float
    components: dict[str, float]
    levels: dict[str, tuple[str, ...]]
    readings: FloatArray
    residuals: FloatArray
    used: NDArray[np.int64]
    notes: tuple[str, ...]
    _family: tuple[Grouping, ...]
    _stratum_of: tuple[int, ...]
    _term_of: tuple[int | None, ...]
    _of_mean: FloatArray
    _labels: dict[str, NDArray[np.str_]]

    def residual(self, stratum: str) -> Line:
        """Return the residual line of a stratum."""
        for line in self.lines:
            if line.stratum == stratum and line.source == "residual":
                return line
        if stratum in self.names:
            raise UnclearModel(f'the stratum "{stratum}" has no residual: nothing in it is replicated')
        raise UnclearModel(f'no stratum is called "{stratum}"; there are: {", ".join(self.names)}')

    def cv_share(self, stratum: str) -> float:
        """Return the root of a stratum's residual mean square over the mean of all readings."""
        return float(np.sqrt(self.residual(stratum).ms) / abs(self.mean)) if self.mean else float("nan")

    def test(self, term: Term) -> FTest:
        """Test whether a fixed term does anything."""
        if term not in self.terms:
            known = ", ".join(":".join(each) for each in self.terms)
            raise UnclearModel(f'"{":".join(term)}" is no term of the model; there are: {known}')
        found = [line for line in self.lines if line.source == ":".join(term)]
        if len(found) > 1:
            where = " and ".join(f'"{line.stratum}"' for line in found)
            raise UnclearModel(f'"{":".join(term)}" stands in the strata {where}; each has its own test in the table')
        if not found or np.isnan(found[0].f):
            raise UnclearModel(f'"{":".join(term)}" has nothing to be tested against: its stratum has no residual')
        return FTest(found[0].f, found[0].df, self.residual(found[0].stratum).df, found[0].p)

    def tests(self) -> dict[Term, FTest]:
        """Test every fixed term."""
        return {term: self.test(term) for term in self.terms}

    def means(self, *factors: str) -> Means:
        """Return the means of one factor, or of every combination of several; the weights are those of the readings."""
        wrong = [name for name in factors if name not in self.levels]
        if wrong or not factors:
            raise UnclearModel(f'"{", ".join(wrong)}" is no factor of the model; there are: {", ".join(self.levels)}')
        cells = grouping_of(together(self._labels, tuple(self.levels)))
        share = (cells.codes[:, np.newaxis] == np.arange(cells.levels)) / cells.counts
        fixed = [number for number, term in enumerate(self._term_of) if term is not None or number == 0]
        parts, _ = parts_of(self._family, share)
        fitted = np.sum([parts[number] for number in fixed], axis=0)
        first = np.array([int(np.flatnonzero(cells.codes == c)[0]) for c in range(cells.levels)])
        rows, labels = [], tuple(itertools.product(*(self.levels[name] for name in factors)))
        for each in labels:
            of = np.all([self._labels[n][first] == label for n, label in zip(factors, each, strict=True)], axis=0)
            if not of.any():
                raise UnclearModel(f"no reading of {' with '.join(each)}; its mean cannot be told")
            rows.append(fitted[:, of].mean(axis=1))
        weights = np.stack(rows)
        return Means(factors, labels, weights, self.combine(weights))

    def combine(self, weights: ArrayLike) -> Combined:
        """Combine readings: means, differences, contrasts.

        Parameters
        ----------
        weights : array_like
            Weight of every reading in each combination [1], shape (combinations, readings), such as differences of the
            weights of means.

        Returns
        -------
        Combined
            Estimates with standard errors and Satterthwaite's degrees of freedom; half the width of the interval of a
            difference is the least significant difference.  NaN where a stratum that it rests on has no residual.
        """
        wanted = require("weights", weights, -1e12, 1e12)
        if wanted.ndim != 2 or wanted.shape[1] != self.readings.size or not np.abs(wanted).sum(axis=1).all():
            raise ValueError("`weights` must have a row for each combination and a column for each reading")
        parts, rest = parts_of(self._family, wanted.T)
        count = len(self.names)
        shared = np.zeros((count, len(wanted), len(wanted)))
        for number, part in enumerate(parts):
            inner = part.T @ part
            if number == 0:
                shared += self._of_mean[:, np.newaxis, np.newaxis] * inner
            else:
                shared[self._stratum_of[number]] += inner
        shared[-1] += rest.T @ rest
        shared[np.abs(shared) < 1e-12 * np.abs(shared).max()] = 0.0
        squares, df = np.full(count, np.nan), np.ones(count)
        for number, name in enumerate(self.names):
            for line in self.lines:
                if line.stratum == name and line.source == "residual":
                    squares[number], df[number] = line.ms, line.df
        unknown = np.isnan(squares)
        covariance = np.tensordot(np.where(unknown, 0, squares), shared, 1)
        covariance[np.any(shared[unknown] != 0, axis=0)] = np.nan
        each = np.diagonal(shared, axis1=1, axis2=2) * np.where(unknown, 0, squares)[:, np.newaxis]
        variance = np.diag(covariance)
        with np.errstate(invalid="ignore", divide="ignore"):
            freedom = variance**2 / np.sum(each**2 / df[:, np.newaxis], axis=0)
            se = np.sqrt(np.where(variance >= 0, variance, np.nan))
        centred = wanted @ (self.readings - self.mean) + wanted.sum(axis=1) * self.mean
        return Combined(centred, se, freedom, covariance)


@equation(
    "each sum of squares is that of averages of one grouping less the averages of coarser ones; F is a mean square over "
    "the residual mean square of its stratum",
    unit="",
    source="tjur_1984",
    in_words=True,
)
def strata_table(data: Mapping[str, ArrayLike], response: str, fixed: str, random: Sequence[str] = ()) -> Strata:
    """Work out the analysis of variance with error strata.

    Parameters
    ----------
    data : mapping
        Columns by name, one place for each reading.  Factors are text; whole numbers are taken for labels in random
        terms, and refused in fixed ones, where they would be a covariate.
    response : str
        Column of the readings [any]; an empty one (NaN) is left out and told.
    fixed : str
        Fixed terms, such as ``"system * nitrogen"``.
    random : sequence of str
        Strata, such as ``["block", "block:system"]``, ``["row", "column"]`` or
        ``["block", "block:system", "block:manure"]``; the readings inside all of them need no name.

    Returns
    -------
    Strata
        The table, its means and differences.

    Raises
    ------
    NotBalanced
        If two parts of the layout do not meet evenly, a stratum holds unequal numbers of readings, strata lack one that
        they have in common, or a fixed term is a covariate.  :func:`spadework.statistics.models.model.fit_model` takes those.
    UnclearModel
        If a column is missing, a factor has one label, or a term is fixed and random.

    Notes
    -----
    Groupings that meet evenly are closed under what they have in common; each then adds a part of its own to those
    coarser than it, and the parts are at right angles (Tjur 1984).  A part belongs to the coarsest stratum that it lies
    in, so that what is confounded with blocks is found there.  Readings are taken from their mean first, for the sake of
    digits.  The variance of a difference is the sum over strata of mean square times the squared length of the difference
    in that stratum; its degrees of freedom are Satterthwaite's.

    Examples
    --------
    >>> yields = {"block": [1, 1, 2, 2, 3, 3], "system": ["plough", "strip"] * 3, "dm_t_ha": [15.1, 15.9, 14.2, 14.8, 16, 16.4]}
    >>> table = strata_table(yields, "dm_t_ha", "system", ["block"])
    >>> for line in table.lines:
    ...     print(line.stratum, line.source, line.df, round(line.ss, 3), round(line.f, 2))
    block residual 2 2.92 nan
    within system 1 0.54 27.0
    within residual 2 0.04 nan
    """
    layout = layout_of(data, response, fixed, random)
    strata, treated, y = layout.strata, layout.treated, layout.readings
    family = closed([g for _, g in (*strata, *treated)] or [grouping_of(np.zeros(y.size))])
    off = family[0].averaged(y - y[0])
    mean = float(y[0] + off[0])
    parts, rest = parts_of(family, y - y[0] - off)
    df, stratum_of, term_of = _places(family, [g for _, g in strata], [g for _, g in treated])
    names = (*(name for name, _ in strata), _WITHIN)
    lines = _lines(names, [name for name, _ in treated], (df, stratum_of, term_of), parts, rest)
    components, of_mean, told = _components(names, [g for _, g in strata], lines, y.size)
    levels = {name: tuple(np.unique(column).tolist()) for name, column in layout.labels.items()}
    return Strata(
        response, layout.terms, names, lines, mean, components, levels, y, rest, layout.used, (*layout.notes, *told),
        family, stratum_of, term_of, of_mean, layout.labels,
    )  # fmt: skip


def _places(
    family: Sequence[Grouping], strata: Sequence[Grouping], treated: Sequence[Grouping]
) -> tuple[tuple[int, ...], tuple[int, ...], tuple[int | None, ...]]:
    """Return degrees of freedom, stratum and fixed term of the part of each grouping."""
    df: list[int] = []
    for number, grouping in enumerate(family):
        df.append(grouping.levels - sum(df[j] for j in range(number) if family[j].inside(grouping)))

    def first(groupings: Sequence[Grouping], part: Grouping) -> int | None:
        return next((number for number, each in enumerate(groupings) if part.inside(each)), None)

    stratum_of = [first(strata, part) for part in family]
    return (
        tuple(df),
        tuple(len(strata) if at is None else at for at in stratum_of),
        tuple(first(treated, part) for part in family),
    )


def _lines(
    names: Sequence[str],
    terms: Sequence[str],
    places: tuple[tuple[int, ...], tuple[int, ...], tuple[int | None, ...]],
    parts: Sequence[FloatArray],
    rest: FloatArray,
) -> tuple[Line, ...]:
    from scipy.special import fdtrc

    freedom, squares = np.zeros((len(names), len(terms) + 1), dtype=np.int64), np.zeros((len(names), len(terms) + 1))
    for number, (df, stratum, term) in enumerate(zip(*places, strict=True)):
        if number:  # the whole is no line
            at = len(terms) if term is None else term
            freedom[stratum, at] += df
            squares[stratum, at] += float(parts[number] @ parts[number]) if df else 0.0
    freedom[-1, -1] = rest.size - sum(places[0])
    squares[-1, -1] = float(rest @ rest)
    nan, lines = float("nan"), []
    for stratum, name in enumerate(names):
        left, error = int(freedom[stratum, -1]), nan
        if left:
            error = float(squares[stratum, -1]) / left
        for at, source in enumerate((*terms, "residual")):
            df, ss = int(freedom[stratum, at]), float(squares[stratum, at])
            if not df:
                continue
            f = ss / df / error if at < len(terms) and error > 0 else nan
            lines.append(Line(name, source, df, ss, ss / df, f, float(fdtrc(df, left, f)) if np.isfinite(f) else nan))
    return tuple(lines)


def _components(
    names: Sequence[str], strata: Sequence[Grouping], lines: Sequence[Line], size: int
) -> tuple[dict[str, float], FloatArray, list[str]]:
    """Return variances from mean squares, what of each mean square the mean of all readings varies by, and notes."""
    count = len(names)
    adds = np.ones((count, count))  # of each variance, times the readings at one level, in each mean square
    for low, coarse in enumerate(strata):
        for high, fine in enumerate(strata):
            adds[low, high] = coarse.inside(fine)
    adds[-1, :-1] = 0.0
    back = np.linalg.inv(adds)
    squares = np.full(count, np.nan)
    for line in lines:
        if line.source == "residual":
            squares[names.index(line.stratum)] = line.ms
    per_level = np.array([*(size / g.levels for g in strata), 1.0])
    found, notes = {}, []
    for number, name in enumerate(names):
        takes = np.abs(back[number]) > 1e-9
        value = float(back[number][takes] @ squares[takes]) / float(per_level[number])
        found[name] = value
        if value < 0:
            notes.append(
                f'between "{name}" the readings scatter less than inside: its variance comes out at {value:.4g}, below '
                "nought; the table keeps the stratum's own mean square"
            )
    return found, np.ones(count) @ back, notes
