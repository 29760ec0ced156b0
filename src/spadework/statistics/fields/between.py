"""How much fields differ beyond their own errors: the variance between fields, three ways.

A field gives a difference between two systems and its standard error.  What fields differ by more than that has a variance
between fields.  Nought is a common answer for few fields, and does not show that they agree.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["WAYS", "Scatter", "scatter", "variance_dersimonian_laird", "variance_paule_mandel", "variance_reml"]

WAYS: Final = ("fixed", "dersimonian_laird", "reml", "paule_mandel")
"""Ways of weighing fields: no variance between them, or a variance found in one of three ways."""


@dataclass(frozen=True)
class Scatter:
    """How differently the fields turned out, held against their own errors.

    Attributes
    ----------
    q : float
        Sum of squares about the fixed mean, each divided by the variance of its field.
    df : int
        Fields less one.
    p : float
        How often chance alone gives as large a sum, where all fields are truly alike.
    """

    q: float
    df: int
    p: float


def checked(difference: ArrayLike, standard_error: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Return differences and variances of fields as two rows of one length.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or fewer than two fields are given.
    ValueError
        If the two are not rows of one length.
    """
    values = require("difference", difference, -1e9, 1e9)
    errors = require("standard_error", standard_error, 1e-9, 1e9)
    if values.ndim != 1 or errors.shape != values.shape:
        raise ValueError("`difference` and `standard_error` must be two rows of one length")
    require("number of fields", values.size, 2, np.inf)
    return values, errors**2


@equation(
    "sum over fields of the squared distance from the fixed mean, over the variance of the field",
    unit="",
    source="higgins_thompson_2002",
    in_words=True,
)
def scatter(difference: ArrayLike, standard_error: ArrayLike) -> Scatter:
    """Tell whether fields differ more than their own errors explain.

    Parameters
    ----------
    difference : array_like
        Difference between two systems, field by field [any], -1e9 to 1e9.
    standard_error : array_like
        Its standard error [any], 1e-9 to 1e9.

    Returns
    -------
    Scatter
        The sum Q, its degrees of freedom and its probability.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or fewer than two fields are given.

    Notes
    -----
    Q = sum w (y - m)^2 with w = 1 / se^2 and m the mean weighted so.  With few fields a large p shows little.

    Examples
    --------
    >>> found = scatter([0.4, 0.1, 0.9], [0.2, 0.2, 0.3])
    >>> round(found.q, 3), found.df, round(found.p, 3)
    (4.966, 2, 0.083)
    """
    from scipy.special import chdtrc

    values, variances = checked(difference, standard_error)
    q = _squares(values, variances, 0.0)
    return Scatter(q, values.size - 1, float(chdtrc(values.size - 1, q)))


@equation(
    "the sum Q less its degrees of freedom, over the sum of the weights less the sum of their squares over their sum; "
    "nought where that is negative",
    unit="",
    source="dersimonian_laird_1986",
    in_words=True,
)
def variance_dersimonian_laird(difference: ArrayLike, standard_error: ArrayLike) -> float:
    """Variance between fields from the sum of squares about the fixed mean.

    Parameters
    ----------
    difference : array_like
        Difference between two systems, field by field [any], -1e9 to 1e9.
    standard_error : array_like
        Its standard error [any], 1e-9 to 1e9.

    Returns
    -------
    float
        Variance in the unit of the differences squared, 0 or more.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or fewer than two fields are given.

    Notes
    -----
    (Q - (k - 1)) / (S1 - S2 / S1) with S1 the sum of the weights 1 / se^2 and S2 that of their squares.

    Examples
    --------
    >>> round(variance_dersimonian_laird([0.4, 0.1, 0.9], [0.2, 0.2, 0.3]), 4)
    0.0768
    """
    values, variances = checked(difference, standard_error)
    weights = 1 / variances
    spread = weights.sum() - np.sum(weights**2) / weights.sum()
    return float(max(0.0, (_squares(values, variances, 0.0) - (values.size - 1)) / spread))


@equation(
    "the variance at which the sum of squares about the mean, each over the whole variance of its field, equals fields "
    "less one; nought where it is less already without",
    unit="",
    source="paule_mandel_1982",
    in_words=True,
)
def variance_paule_mandel(difference: ArrayLike, standard_error: ArrayLike) -> float:
    """Variance between fields that makes the weighted squares what they should be.

    Parameters
    ----------
    difference : array_like
        Difference between two systems, field by field [any], -1e9 to 1e9.
    standard_error : array_like
        Its standard error [any], 1e-9 to 1e9.

    Returns
    -------
    float
        Variance in the unit of the differences squared, 0 or more.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or fewer than two fields are given.

    Notes
    -----
    The sum falls steadily as the variance grows, so that there is one answer.

    Examples
    --------
    >>> round(variance_paule_mandel([0.4, 0.1, 0.9], [0.2, 0.2, 0.3]), 4)
    0.0955
    """
    from scipy.optimize import brentq

    values, variances = checked(difference, standard_error)
    df = values.size - 1
    if _squares(values, variances, 0.0) <= df:
        return 0.0
    high = float(np.sum((values - values.mean()) ** 2)) + float(variances.max())
    while _squares(values, variances, high) > df:
        high *= 2
    return float(brentq(lambda v: _squares(values, variances, v) - df, 0.0, high, xtol=1e-300, rtol=1e-14))


@equation(
    "the variance, not below nought, at which the restricted likelihood of the differences is largest",
    unit="",
    source="viechtbauer_2005",
    in_words=True,
)
def variance_reml(difference: ArrayLike, standard_error: ArrayLike) -> float:
    """Variance between fields by restricted likelihood.

    Parameters
    ----------
    difference : array_like
        Difference between two systems, field by field [any], -1e9 to 1e9.
    standard_error : array_like
        Its standard error [any], 1e-9 to 1e9.

    Returns
    -------
    float
        Variance in the unit of the differences squared, 0 or more.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or fewer than two fields are given.

    Notes
    -----
    Minus twice the restricted log-likelihood is, but for a constant, sum log(v + t) + log sum 1 / (v + t) +
    sum of the weighted
    squares about the mean.  The best of a mesh of variances is polished by the root of the slope.

    Examples
    --------
    >>> round(variance_reml([0.4, 0.1, 0.9], [0.2, 0.2, 0.3]), 4)
    0.0827
    """
    from scipy.optimize import brentq

    values, variances = checked(difference, standard_error)
    reach = float(np.sum((values - values.mean()) ** 2)) + float(variances.max())
    mesh = np.concatenate([[0.0], np.geomspace(1e-9 * float(variances.min()), 4 * reach, 400)])
    best = int(np.argmin(_deviance(values, variances, mesh)))
    if best == 0 or (best == 1 and _slope(values, variances, 0.0) >= 0):
        return 0.0
    low, high = float(mesh[best - 1]), float(mesh[min(best + 1, mesh.size - 1)])
    return float(brentq(lambda v: _slope(values, variances, v), low, high, xtol=1e-300, rtol=1e-14))


def _squares(values: FloatArray, variances: FloatArray, between: float) -> float:
    weights = 1 / (variances + between)
    return float(np.sum(weights * (values - np.average(values, weights=weights)) ** 2))


def _deviance(values: FloatArray, variances: FloatArray, between: FloatArray) -> FloatArray:
    """Return minus twice the restricted log-likelihood, but for a constant, for each variance between fields."""
    whole = variances + between[:, np.newaxis]
    weights = 1 / whole
    total = weights.sum(axis=1)
    means = (weights @ values) / total
    squares = np.sum(weights * (values - means[:, np.newaxis]) ** 2, axis=1)
    return np.asarray(np.log(whole).sum(axis=1) + np.log(total) + squares)


def _slope(values: FloatArray, variances: FloatArray, between: float) -> float:
    """Return the derivative of the deviance on the variance between fields."""
    weights = 1 / (variances + between)
    off = values - np.average(values, weights=weights)
    total = weights.sum()
    return float(total - np.sum(weights**2) / total - np.sum((weights * off) ** 2))
