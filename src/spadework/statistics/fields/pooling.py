"""Several fields together: the mean difference between two systems, its interval, and what a new field may show.

Fields are what is repeated.  A field that is called off, or not shown because it disappointed, cannot be made good by
any sum here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.statistics.fields.between import (
    WAYS,
    Scatter,
    checked,
    scatter,
    variance_dersimonian_laird,
    variance_paule_mandel,
    variance_reml,
)
from spadework.working import equation

__all__ = ["WAYS", "Pooled", "chance_above", "leave_one_out", "pool"]

_FOUND_BY: Final[dict[str, Callable[[ArrayLike, ArrayLike], float]]] = {
    "dersimonian_laird": variance_dersimonian_laird,
    "reml": variance_reml,
    "paule_mandel": variance_paule_mandel,
}


@dataclass(frozen=True)
class Pooled:
    """Several fields together.

    Attributes
    ----------
    way : str
        How the variance between fields was found; one of :data:`WAYS`.
    fields : int
        How many.
    difference, standard_error : float
        Mean difference and its standard error, as if the variance between fields were known.
    between_sd : float
        Standard deviation of the true differences between fields.
    between_share : float
        Share of the scatter of the differences that is true difference between fields (I2) [1].
    scatter : Scatter
        Sum of squares about the fixed mean, with its test.
    weights : FloatArray
        Share that each field has in the mean [1].
    knapp_hartung_se : float
        Standard error of the mean from how the fields scatter about it.
    interval : tuple of float
        Of the mean, from t with fields less one and the larger of the two standard errors.
    new_field : tuple of float
        Interval for the true difference in a new field like these; not a number below three fields, or where
        fields count as
        alike.
    confidence_share : float
        Confidence of both intervals [1].
    """

    way: str
    fields: int
    difference: float
    standard_error: float
    between_sd: float
    between_share: float
    scatter: Scatter
    weights: FloatArray
    knapp_hartung_se: float
    interval: tuple[float, float]
    new_field: tuple[float, float]
    confidence_share: float

    @property
    def used_se(self) -> float:
        """Standard error that the interval of the mean was made with."""
        return self.standard_error if self.way == "fixed" else max(self.standard_error, self.knapp_hartung_se)

    @property
    def df(self) -> float:
        """Degrees of freedom of the interval of the mean; without end where fields count as alike."""
        return float("inf") if self.way == "fixed" else self.fields - 1.0


@equation(
    "mean of the differences, each weighted with one over the sum of its variance and the variance between fields; its "
    "interval from t with fields less one and the scatter of the fields about it, never less than the plain standard error",
    unit="",
    source="knapp_hartung_2003",
    in_words=True,
)
def pool(
    difference: ArrayLike, standard_error: ArrayLike, way: str = "reml", *, confidence_share: float = 0.95
) -> Pooled:
    """Mean difference over several fields, its interval and that of a new field.

    Parameters
    ----------
    difference : array_like
        Difference between two systems, field by field [any], -1e9 to 1e9.
    standard_error : array_like
        Its standard error [any], 1e-9 to 1e9.
    way : str
        One of :data:`WAYS`; ``"fixed"`` takes all fields for truly alike.
    confidence_share : float
        Confidence of the intervals [1], 0.5 to 0.999.

    Returns
    -------
    Pooled
        Mean, intervals, weights and scatter.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or fewer than two fields are given.
    ValueError
        If the way is not known, or the two are not rows of one length.

    Notes
    -----
    Knapp and Hartung multiply the variance of the mean with q = sum w (y - m)^2 / (k - 1).  Where q is below one the fields
    agree better than their own errors let one expect; the plain standard error then stands, with t all the
    same.  The interval of a
    new field is m +/- t sqrt(between^2 + se^2) with k - 2 degrees of freedom (Higgins and others, 2009).  For
    ``"fixed"`` the
    normal distribution is used, because nothing is estimated.

    Examples
    --------
    >>> found = pool([0.42, 0.10, -0.15, 0.55, 0.30, 0.05], [0.20, 0.15, 0.25, 0.30, 0.18, 0.12], "dersimonian_laird")
    >>> round(found.difference, 3), [round(end, 3) for end in found.interval], [round(end, 3) for end in found.new_field]
    (0.173, [-0.05, 0.396], [-0.191, 0.537])
    """
    from scipy.special import ndtri, stdtrit

    if way not in WAYS:
        raise ValueError(f'`way` is "{way}"; allowed: {", ".join(WAYS)}')
    values, variances = checked(difference, standard_error)
    sure = float(require("confidence_share", confidence_share, 0.5, 0.999))
    between = 0.0 if way == "fixed" else _FOUND_BY[way](values, np.sqrt(variances))
    weights = 1 / (variances + between)
    total = float(weights.sum())
    mean = float(np.average(values, weights=weights))
    se = float(1 / np.sqrt(total))
    count = values.size
    by_scatter = se * float(np.sqrt(np.sum(weights * (values - mean) ** 2) / (count - 1)))
    if way == "fixed":
        half = float(ndtri((1 + sure) / 2)) * se
    else:
        half = float(stdtrit(count - 1, (1 + sure) / 2)) * max(se, by_scatter)
    wide = float("nan")
    if way != "fixed" and count > 2:
        wide = float(stdtrit(count - 2, (1 + sure) / 2)) * float(np.sqrt(between + se**2))
    return Pooled(
        way=way,
        fields=count,
        difference=mean,
        standard_error=se,
        between_sd=float(np.sqrt(between)),
        between_share=between / (between + _typical(variances)),
        scatter=scatter(values, np.sqrt(variances)),
        weights=weights / total,
        knapp_hartung_se=by_scatter,
        interval=(mean - half, mean + half),
        new_field=(mean - wide, mean + wide),
        confidence_share=sure,
    )


@equation(
    "the mean over all other fields, with its intervals, for each field in turn",
    unit="",
    source="knapp_hartung_2003",
    in_words=True,
)
def leave_one_out(
    difference: ArrayLike, standard_error: ArrayLike, way: str = "reml", *, confidence_share: float = 0.95
) -> tuple[Pooled, ...]:
    """Mean difference without each field in turn.

    Parameters
    ----------
    difference : array_like
        Difference between two systems, field by field [any], -1e9 to 1e9; three fields or more.
    standard_error : array_like
        Its standard error [any], 1e-9 to 1e9.
    way : str
        One of :data:`WAYS`.
    confidence_share : float
        Confidence of the intervals [1], 0.5 to 0.999.

    Returns
    -------
    tuple of Pooled
        One for each field, the others pooled; in the order of the fields.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or fewer than three fields are given.

    Notes
    -----
    It shows what one field carries; it is no ground for leaving a field out.

    Examples
    --------
    >>> [round(one.difference, 3) for one in leave_one_out([0.4, 0.1, 0.9], [0.2, 0.2, 0.3], "fixed")]
    [0.346, 0.554, 0.25]
    """
    values, variances = checked(difference, standard_error)
    require("number of fields", values.size, 3, np.inf)
    errors = np.sqrt(variances)
    kept = [np.arange(values.size) != i for i in range(values.size)]
    return tuple(pool(values[k], errors[k], way, confidence_share=confidence_share) for k in kept)


@equation(
    "chance that a t with so many degrees of freedom is above limit less difference, over the standard error",
    unit="1",
    source="box_tiao_1973",
    in_words=True,
)
def chance_above(difference: ArrayLike, standard_error: ArrayLike, df: ArrayLike, limit: ArrayLike = 0.0) -> FloatArray:
    """Probability that a true difference lies above a limit, given the readings and nothing else.

    Parameters
    ----------
    difference : array_like
        Difference found [any], -1e9 to 1e9.
    standard_error : array_like
        Its standard error [any], 1e-9 to 1e9.
    df : array_like
        Degrees of freedom of that [1], 1 or more; without end for a known standard error.
    limit : array_like
        What the difference must exceed [any], such as the one that pays; -1e9 to 1e9.

    Returns
    -------
    ndarray
        Probability [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    P(T > (c - d) / se).  For a balanced design with flat priors on means and on the logarithm of the variance this is the
    posterior of a contrast.  Those priors are a choice: with four blocks another prior of the variance moves the result.

    Examples
    --------
    >>> round(float(chance_above(0.8, 0.4, 6)), 3), round(float(chance_above(0.8, 0.4, 6, limit=0.5)), 3)
    (0.954, 0.759)
    """
    from scipy.special import ndtr, stdtr

    found = require("difference", difference, -1e9, 1e9)
    se = require("standard_error", standard_error, 0, 1e9, above=True)
    freedom = require("df", df, 1, np.inf)
    apart = (found - require("limit", limit, -1e9, 1e9)) / se
    apart, freedom = np.broadcast_arrays(apart, freedom)
    known = np.isinf(freedom)
    return np.where(known, ndtr(apart), stdtr(np.where(known, 1.0, freedom), apart))


def _typical(variances: FloatArray) -> float:
    """Return the variance of a field as it is typical for the set."""
    weights = 1 / variances
    total = weights.sum()
    return float((variances.size - 1) * total / (total**2 - np.sum(weights**2)))
