"""Dig on or stop: after every reading, is the mean gap right, is it wrong, or must another hole be dug.

Two means are named beforehand: one that is right and one that is wrong, with the error that is borne on either side.
The evidence for the wrong one is added up from reading to reading.  Readings are taken as independent, so one reading
is the mean of a unit, not a dig, and its scatter that between such means.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = ["bound_estimated", "bound_known", "evidence", "readings_on_average", "unit_mean_sd", "verdict"]

_LARGE = 1e9


@equation(
    "readings_n * (wrong_mean - right_mean) / sd**2 * (mean - (right_mean + wrong_mean) / 2)",
    unit="1",
    source="wald_1947",
    locator="ratio for a normal mean",
)
def evidence(
    readings_n: ArrayLike, mean: ArrayLike, sd: ArrayLike, right_mean: ArrayLike, wrong_mean: ArrayLike
) -> FloatArray:
    """Evidence for the wrong mean against the right one, so far.

    Parameters
    ----------
    readings_n : array_like
        Readings so far [1], 1 to 1e6.
    mean : array_like
        Their mean [any], -1e9 to 1e9.
    sd : array_like
        Standard deviation of a reading [any], above 0 to 1e9: known beforehand, or that of the first readings alone.
    right_mean : array_like
        Mean that is to be accepted [any], -1e9 to 1e9.
    wrong_mean : array_like
        Mean that is to be found out [any], not the right one.

    Returns
    -------
    FloatArray
        Logarithm of the likelihood ratio [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the two means are one.

    Notes
    -----
    Positive where the readings speak for the wrong mean.  An estimated `sd` is fixed after the first readings and not
    renewed; all readings, the first among them, count in `mean`.

    Examples
    --------
    >>> float(evidence(4, 4.5, 1.0, 6.0, 4.0))
    4.0
    """
    n = require("readings_n", readings_n, 1, 1e6)
    now = require("mean", mean, -_LARGE, _LARGE)
    scatter = require("sd", sd, 0, _LARGE, above=True)
    right, wrong = _two_means(right_mean, wrong_mean)
    return np.asarray(n * (wrong - right) / scatter**2 * (now - (right + wrong) / 2))


@equation("-log(error_share)", unit="1", source="wald_1947", locator="inequality for the error")
def bound_known(error_share: ArrayLike) -> FloatArray:
    """Evidence at which to stop, where the scatter is known.

    Parameters
    ----------
    error_share : array_like
        Chance of stopping on this side though the other is true [1], 0.0001 to 0.5.

    Returns
    -------
    FloatArray
        Bound [1], shape of the input.

    Raises
    ------
    ImpossibleValue
        If the error lies outside its range.

    Notes
    -----
    The usual bound log((1 - b)/a) keeps the errors only nearly; this one, a little wider, is never exceeded with more
    than the stated chance.

    Examples
    --------
    >>> round(float(bound_known(0.05)), 4)
    2.9957
    """
    return np.asarray(-np.log(_error(error_share)))


@equation("df / 2 * (error_share**(-2 / df) - 1)", unit="1", source="hall_1962", locator="bound after a first sample")
def bound_estimated(error_share: ArrayLike, df: ArrayLike) -> FloatArray:
    """Evidence at which to stop, where the scatter is estimated from the first readings.

    Parameters
    ----------
    error_share : array_like
        Chance of stopping on this side though the other is true [1], 0.0001 to 0.5.
    df : array_like
        Degrees of freedom of the estimate [1], 1 to 1e6: first readings less one.

    Returns
    -------
    FloatArray
        Bound [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Given the estimate, the chance of a wrong stop is at most exp(-bound s^2 / sigma^2); its mean over the chi-square
    of s^2 is (1 + 2 bound / df)^(-df/2), which is set to the error and solved for the bound.  With many degrees of
    freedom it becomes :func:`bound_known`.

    Examples
    --------
    >>> round(float(bound_estimated(0.05, 4)), 4)
    6.9443
    """
    wrong, freedom = _error(error_share), require("df", df, 1, 1e6)
    return np.asarray(freedom / 2 * (wrong ** (-2 / freedom) - 1))


@equation(
    "where(evidence_so_far >= stop_wrong, -1, where(evidence_so_far <= -stop_right, 1, 0))",
    unit="1",
    source="wald_1947",
    locator="rule",
)
def verdict(evidence_so_far: ArrayLike, stop_right: ArrayLike, stop_wrong: ArrayLike) -> FloatArray:
    """Say whether to dig on.

    Parameters
    ----------
    evidence_so_far : array_like
        From :func:`evidence` [1], -1e12 to 1e12.
    stop_right : array_like
        Bound for the error of calling a wrong mean right [1], above 0 to 1e12.
    stop_wrong : array_like
        Bound for the error of calling a right mean wrong [1], above 0 to 1e12.

    Returns
    -------
    FloatArray
        1 stop, the mean is right; -1 stop, it is wrong; 0 dig on.  Shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> [float(v) for v in verdict([-3.2, 0.4, 3.2], 3.0, 3.0)]
    [1.0, 0.0, -1.0]
    """
    so_far = require("evidence_so_far", evidence_so_far, -1e12, 1e12)
    right = require("stop_right", stop_right, 0, 1e12, above=True)
    wrong = require("stop_wrong", stop_wrong, 0, 1e12, above=True)
    return np.where(so_far >= wrong, -1.0, np.where(so_far <= -right, 1.0, 0.0))


@equation(
    "((1 - error_share) * stop_right - error_share * stop_wrong) * 2 * sd**2 / (wrong_mean - right_mean)**2",
    unit="1",
    source="wald_1947",
    locator="expected number, overshoot left out",
)
def readings_on_average(
    error_share: ArrayLike,
    stop_right: ArrayLike,
    stop_wrong: ArrayLike,
    sd: ArrayLike,
    right_mean: ArrayLike,
    wrong_mean: ArrayLike,
) -> FloatArray:
    """Tell how many readings the rule takes on average where the right mean is true.

    Parameters
    ----------
    error_share : array_like
        Chance of calling it wrong all the same [1], 0.0001 to 0.5.
    stop_right : array_like
        Bound on the side of the right mean [1], above 0 to 1e12.
    stop_wrong : array_like
        Bound on the side of the wrong mean [1], above 0 to 1e12.
    sd : array_like
        Standard deviation of a reading [any], above 0 to 1e9.
    right_mean : array_like
        Mean that is to be accepted [any], -1e9 to 1e9.
    wrong_mean : array_like
        Mean that is to be found out [any], not the right one.

    Returns
    -------
    FloatArray
        Readings [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the two means are one.

    Notes
    -----
    Somewhat too few, as the last reading shoots over the bound.  Swap the errors, bounds and means for the number
    where the wrong mean is true.

    Examples
    --------
    >>> round(float(readings_on_average(0.05, 2.9957, 2.9957, 1.0, 6.0, 5.0)), 2)
    5.39
    """
    wrong_call = _error(error_share)
    right_bound = require("stop_right", stop_right, 0, 1e12, above=True)
    wrong_bound = require("stop_wrong", stop_wrong, 0, 1e12, above=True)
    scatter = require("sd", sd, 0, _LARGE, above=True)
    right, wrong = _two_means(right_mean, wrong_mean)
    climb = (1 - wrong_call) * right_bound - wrong_call * wrong_bound
    return np.asarray(climb * 2 * scatter**2 / (wrong - right) ** 2)


@equation("sqrt(between_sd**2 + within_sd**2 / digs)", unit="", source="physics", locator="variance of a mean")
def unit_mean_sd(between_sd: ArrayLike, within_sd: ArrayLike, digs: ArrayLike) -> FloatArray:
    """Scatter of the mean of the digs of one unit.

    Parameters
    ----------
    between_sd : array_like
        Standard deviation between units [any], 0 to 1e9.
    within_sd : array_like
        Standard deviation of a dig inside a unit [any], 0 to 1e9.
    digs : array_like
        Digs in the unit [1], 1 to 1e6.

    Returns
    -------
    FloatArray
        Standard deviation, in the unit of the readings; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> float(unit_mean_sd(0.6, 1.6, 4))
    1.0
    """
    between = require("between_sd", between_sd, 0, _LARGE)
    within = require("within_sd", within_sd, 0, _LARGE)
    return np.asarray(np.sqrt(between**2 + within**2 / require("digs", digs, 1, 1e6)))


def _error(error_share: ArrayLike) -> FloatArray:
    return require("error_share", error_share, 0.0001, 0.5)


def _two_means(right_mean: ArrayLike, wrong_mean: ArrayLike) -> tuple[FloatArray, FloatArray]:
    right = require("right_mean", right_mean, -_LARGE, _LARGE)
    wrong = require("wrong_mean", wrong_mean, -_LARGE, _LARGE)
    same = np.asarray(right == wrong)
    if same.any():
        found = float(np.broadcast_to(wrong, same.shape)[same].flat[0])
        raise ImpossibleValue("wrong_mean", f"{found:.6g}", -_LARGE, _LARGE, "but not the right mean")
    return right, wrong
