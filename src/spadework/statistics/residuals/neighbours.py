"""What neighbouring plots add: their residuals as a covariate, and one answer beside the other.

Both are second opinions.  The layout's own analysis comes first, and nobody should pick the answer that pleases.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.statistics.models.comparisons import all_pairs
from spadework.statistics.models.model import fit_model
from spadework.statistics.models.small_sample import adjusted_covariance
from spadework.statistics.models.terms import UnclearModel, together
from spadework.statistics.residuals.spatial import fit_spatial, grid_of
from spadework.working import equation

__all__ = ["Opinion", "Papadakis", "Sensitivity", "neighbour_means", "papadakis", "spatial_sensitivity"]


@dataclass(frozen=True)
class Papadakis:
    """A fit with the residuals of neighbours as covariates.

    Attributes
    ----------
    slopes : FloatArray
        Of the mean residual of the neighbours in the row, and of those in the column.
    residual_ms, df : float
        Residual mean square in the unit of the readings squared, and its degrees of freedom.
    effects, covariance : FloatArray
        Fixed effects without the slopes, and their covariance.
    """

    slopes: FloatArray
    residual_ms: float
    df: int
    effects: FloatArray
    covariance: FloatArray

    def se(self, weights: ArrayLike) -> FloatArray:
        """Return the standard error of each combination of fixed effects."""
        rows = require("weights", weights, -1e12, 1e12)
        return np.asarray(np.sqrt(np.einsum("ka,ab,kb->k", rows, self.covariance, rows)))


@dataclass(frozen=True)
class Opinion:
    """One analysis of several.

    Attributes
    ----------
    name : str
        What was taken account of.
    log_likelihood, criterion : float
        Restricted log-likelihood, and minus twice it plus two for each variance and correlation; less is better.
    parameters : int
        Variances and correlations.
    estimates, se : FloatArray
        Differences and their standard errors.
    notes : tuple of str
        What a reader must be told.
    """

    name: str
    log_likelihood: float
    criterion: float
    parameters: int
    estimates: FloatArray
    se: FloatArray
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Sensitivity:
    """The layout's own analysis, and others beside it.

    Attributes
    ----------
    pairs : tuple of tuple of str
        Which mean is taken from which: (from, of).
    opinions : tuple of Opinion
        The layout's own first.
    sentence : str
        What comes of it, in words.
    """

    pairs: tuple[tuple[str, str], ...]
    opinions: tuple[Opinion, ...]
    sentence: str


@equation(
    "mean of the values of the plots next to it in the same row, and in the same column; nought where there is none",
    unit="",
    source="papadakis_1937",
    in_words=True,
)
def neighbour_means(values: ArrayLike, row: ArrayLike, column: ArrayLike) -> FloatArray:
    """Mean of the neighbours of each plot.

    Parameters
    ----------
    values : array_like
        Values [any], one of each plot.
    row, column : array_like
        Row and column of each plot [1], whole numbers.

    Returns
    -------
    FloatArray
        Shape (plots, 2): of the neighbours in the same row, and in the same column.

    Raises
    ------
    ImpossibleValue
        If a value is no number.
    ValueError
        If two plots lie in one place.

    Examples
    --------
    >>> neighbour_means([1.0, 2.0, 6.0], [1, 1, 1], [1, 2, 3]).tolist()
    [[2.0, 0.0], [3.5, 0.0], [2.0, 0.0]]
    """
    found, grid = require("values", values, -1e12, 1e12), grid_of(row, column)
    if found.shape != grid.row.shape:
        raise ValueError("`row` and `column` must have a number for each value")
    rows, columns = grid.shape
    held, there = np.zeros((rows + 2, columns + 2)), np.zeros((rows + 2, columns + 2))
    at = (grid.row + 1, grid.column + 1)
    held[at], there[at] = found, 1.0
    out = []
    for down, over in ((0, 1), (1, 0)):
        near = ((at[0] - down, at[1] - over), (at[0] + down, at[1] + over))
        count = there[near[0]] + there[near[1]]
        out.append((held[near[0]] + held[near[1]]) / np.maximum(count, 1))
    return np.stack(out, axis=1)


@equation(
    "fixed effects with the mean residuals of the neighbours in the row and in the column as covariates; the residuals "
    "are those of the fixed effects alone",
    unit="",
    source="papadakis_1937",
    in_words=True,
)
def papadakis(readings: ArrayLike, fixed: ArrayLike, row: ArrayLike, column: ArrayLike) -> Papadakis:
    """Take the residuals of neighbours as covariates, once; a second opinion only.

    Parameters
    ----------
    readings : array_like
        Readings [any], one of each plot.
    fixed : array_like
        Columns of the fixed part [any], shape (readings, columns), of full rank.
    row, column : array_like
        Row and column of each plot [1], whole numbers.

    Returns
    -------
    Papadakis
        Slopes, mean square, and effects.

    Raises
    ------
    ImpossibleValue
        If a value is no number or there are too few readings.
    ValueError
        If shapes do not fit or two plots lie in one place.

    Notes
    -----
    First pass, not repeated.  A direction without neighbours is left out, its slope being NaN.  The residual mean square
    is on the small side, since the covariates come from the readings themselves.

    Examples
    --------
    >>> found = papadakis([1.0, 2.0, 3.0, 5.0, 7.0, 8.0], np.ones((6, 1)), np.ones(6), np.arange(6))
    >>> round(float(found.slopes[0]), 3), found.df
    (1.273, 4)
    """
    y, x = require("readings", readings, -1e12, 1e12), require("fixed", fixed, -1e12, 1e12)
    if y.ndim != 1 or x.ndim != 2 or x.shape[0] != y.size:
        raise ValueError("`readings` must be one row, and `fixed` must have a row for each of them")
    basis, _ = np.linalg.qr(x)
    near = neighbour_means(y - basis @ (basis.T @ y), row, column)
    used = np.abs(near).max(axis=0) > 0
    wide = np.column_stack([x, near[:, used]])
    df = y.size - wide.shape[1]
    require("degrees of freedom", df, 1, np.inf)
    shift = float(y.mean())
    basis, corner = np.linalg.qr(wide)
    effects = np.linalg.solve(corner, basis.T @ (y - shift))
    ms = float(np.sum((y - shift - wide @ effects) ** 2)) / df
    inverse = np.linalg.inv(corner)
    slopes = np.full(2, np.nan)
    slopes[used] = effects[x.shape[1] :]
    unit = np.linalg.lstsq(x, np.ones(y.size), rcond=None)[0]
    if np.abs(x @ unit - 1).max() > 1e-9:
        raise ValueError("`fixed` must be able to give one level to all plots (a column of ones or the like)")
    many = x.shape[1]
    return Papadakis(slopes, ms, df, effects[:many] + shift * unit, ms * (inverse @ inverse.T)[:many, :many])


def spatial_sensitivity(
    data: Mapping[str, ArrayLike], response: str, fixed: str, random: Sequence[str], row: str, column: str, compare: str
) -> Sensitivity:
    """Lay the layout's own analysis beside such as take neighbours to be alike.

    Parameters
    ----------
    data : mapping
        Columns by name, one place for each plot.
    response : str
        Column of the readings [any]; an empty one (NaN) is left out.
    fixed : str
        Fixed terms, the same for all.
    random : sequence of str
        Random terms of the layout.
    row, column : str
        Columns with the row and the column of each plot [1], whole numbers.
    compare : str
        Factor whose means are compared, or several with ``:``.

    Returns
    -------
    Sensitivity
        The layout's own analysis, correlated neighbours, the same with a part of its own for each plot, and the same with
        the layout's terms; all with the same fixed effects, so that their criteria can be compared.

    Raises
    ------
    UnclearModel
        If the data cannot carry the terms, or a column of places is missing.
    ValueError
        If two plots lie in one place.

    Notes
    -----
    A sensitivity, not a choice: the layout's own analysis stands.  A criterion less by two or three says nothing.  With
    one row of strips the correlation runs across the strips only.

    Examples
    --------
    >>> rows = {"block": [1, 1, 1, 2, 2, 2, 3, 3, 3], "system": list("abcbcacab"), "strip": list(range(9)), "row": [1] * 9}
    >>> rows["y"] = [5.0, 6.2, 7.1, 6.9, 7.3, 6.8, 7.5, 6.1, 6.3]
    >>> found = spatial_sensitivity(rows, "y", "system", ["block"], "row", "strip", "system")
    >>> [each.name for each in found.opinions][:2]
    ['as laid out', 'neighbours alike']
    """
    for name in (row, column):
        if name not in data:
            raise UnclearModel(f'no column is called "{name}"; there are: {", ".join(data)}')
    model = fit_model(data, response, fixed, random)
    means = model.means(*compare.split(":"))
    pairs = all_pairs(means.weights)
    fitted, x = model.fitted, model.design.columns
    count = fitted.variances.size
    covariance = pairs.weights @ adjusted_covariance(fitted) @ pairs.weights.T
    opinions = [
        Opinion(
            "as laid out",
            fitted.log_likelihood,
            2 * count - 2 * fitted.log_likelihood,
            count,
            pairs.weights @ fitted.effects,
            np.sqrt(np.diag(covariance)),
            model.notes,
        )
    ]
    kept = {name: np.asarray(data[name])[model.used] for term in model.random for name in term}
    terms = {":".join(term): together(kept, term) for term in model.random}
    places = (np.asarray(data[row])[model.used], np.asarray(data[column])[model.used])
    ways: list[tuple[str, bool, dict[str, ArrayLike]]] = [
        ("neighbours alike", False, {}),
        ("neighbours alike, each plot with a part of its own", True, {}),
    ]
    if terms:
        ways.append(("the same with the layout's terms", True, dict(terms)))
    for name, nugget, kept_terms in ways:
        found = fit_spatial(model.readings, x, *places, kept_terms, nugget=nugget)
        opinions.append(
            Opinion(
                name,
                found.log_likelihood,
                found.criterion,
                found.parameters,
                pairs.weights @ found.effects,
                found.se(pairs.weights),
                found.notes,
            )
        )
    said = [" ".join(label) for label in means.labels]
    return Sensitivity(
        tuple((said[i], said[j]) for i, j in zip(pairs.first, pairs.second, strict=True)),
        tuple(opinions),
        _sentence(opinions),
    )


def _sentence(opinions: Sequence[Opinion]) -> str:
    own, best = opinions[0], min(opinions, key=lambda each: each.criterion)
    shift = max(float(np.max(np.abs(each.estimates - own.estimates) / own.se)) for each in opinions[1:])
    moved = f"no difference moves by more than {shift:.1f} of its standard errors under the layout's own analysis"
    if best is own:
        return f"taking neighbours to be alike fits no better than the layout's own terms; {moved}"
    return (
        f'"{best.name}" fits better by {own.criterion - best.criterion:.1f} on the criterion, and the mean standard error '
        f"of a difference is {best.se.mean():.4g} against {own.se.mean():.4g}; {moved}"
    )
