"""Fit days, counted in series of years: how often, how long in a row, and how many a week brings.

What they give goes into :mod:`spadework.science.machinery.cost.days`: the share of fit days and the chance that a fit day
is followed by one.  Days of one spell are not independent, and the interval of the share allows for it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.science.seedbed.residue.transect import exact_high, exact_low, normal_quantile, wilson_high, wilson_low
from spadework.working import equation

__all__ = [
    "fit_days_of_weeks",
    "fit_share_range",
    "longest_spell",
    "share_of_fit_days",
    "stay_of_fit_days",
    "stay_range",
    "week_days_with_chance",
]

_WEEK = 7


def _days(fit: ArrayLike) -> FloatArray:
    """Return years by days, of nought and one."""
    days = np.atleast_2d(require("fit", fit, 0, 1))
    if days.ndim != 2 or not np.isin(days, (0.0, 1.0)).all():
        raise ValueError("`fit` must hold years of days, each 0 or 1")
    require("days", days.shape[-1], 2, np.inf)
    return days


def _after_fit(fit: ArrayLike) -> tuple[float, float]:
    """Count the days after a fit day, and those of them that are fit; years are not joined."""
    days = _days(fit)
    return float(days[:, :-1].sum()), float((days[:, :-1] * days[:, 1:]).sum())


@equation("fit days over all days", unit="1", source="physics", locator="mean of a count", in_words=True)
def share_of_fit_days(fit: ArrayLike) -> FloatArray:
    """Share of days that were fit, of all years.

    Parameters
    ----------
    fit : array_like
        1 on a fit day, else 0; days along the last axis, years along the one before [1], 0 to 1.

    Returns
    -------
    ndarray
        Share, one number [1].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If `fit` holds something else than years of days, each 0 or 1.

    Examples
    --------
    >>> float(share_of_fit_days([0, 1, 1, 1, 0, 0, 1, 1, 0, 0]))
    0.5
    """
    return np.asarray(np.asarray(_days(fit).mean()))


@equation(
    "fit days that follow a fit day over all days that follow one",
    unit="1",
    source="gabriel_neumann_1962",
    locator="chain of two states",
    in_words=True,
)
def stay_of_fit_days(fit: ArrayLike) -> FloatArray:
    """Chance that the day after a fit day was fit.

    Parameters
    ----------
    fit : array_like
        1 on a fit day, else 0; days along the last axis, years along the one before [1], 0 to 1.

    Returns
    -------
    ndarray
        Chance, one number [1].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or no day follows a fit day.
    ValueError
        If `fit` holds something else than years of days, each 0 or 1.

    Notes
    -----
    The last day of a year has none after it.  The estimate of largest likelihood of a chain of two states.

    Examples
    --------
    >>> float(stay_of_fit_days([0, 1, 1, 1, 0, 0, 1, 1, 0, 0]))
    0.6
    """
    after, both = _after_fit(fit)
    require("days after a fit day", after, 1, np.inf)
    return np.asarray(both / after)


@equation(
    "exact interval of the fit days that follow a fit day among all days that follow one",
    unit="1",
    source="clopper_pearson_1934",
    in_words=True,
)
def stay_range(fit: ArrayLike, confidence_share: ArrayLike) -> FloatArray:
    """Bound the chance that the day after a fit day is fit.

    Parameters
    ----------
    fit : array_like
        1 on a fit day, else 0; days along the last axis, years along the one before [1], 0 to 1.
    confidence_share : array_like
        Confidence of the two-sided interval [1], 0.5 to 0.9999.

    Returns
    -------
    ndarray
        Lower and upper end [1].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or no day follows a fit day.
    ValueError
        If `fit` holds something else than years of days, each 0 or 1.

    Notes
    -----
    In a chain of two states each day after a fit day is a draw of its own.  Weather remembers longer, so years that
    differ make the true interval wider.

    Examples
    --------
    >>> stay_range([0, 1, 1, 1, 0, 0, 1, 1, 0, 0], 0.95).round(3).tolist()
    [0.147, 0.947]
    """
    after, both = _after_fit(fit)
    require("days after a fit day", after, 1, np.inf)
    return np.array([exact_low(both, after, confidence_share), exact_high(both, after, confidence_share)])


@equation(
    "Wilson interval of the share of fit days, with the days that the series is worth",
    unit="1",
    source="wilson_1927",
    locator="with effective days",
    in_words=True,
)
def fit_share_range(fit: ArrayLike, confidence_share: ArrayLike) -> FloatArray:
    """Bound the share of fit days.

    Parameters
    ----------
    fit : array_like
        1 on a fit day, else 0; days along the last axis, years along the one before [1], 0 to 1.
    confidence_share : array_like
        Confidence of the two-sided interval [1], 0.5 to 0.9999.

    Returns
    -------
    ndarray
        Lower and upper end [1].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If `fit` holds something else than years of days, each 0 or 1.

    Notes
    -----
    Days in spells are worth fewer independent days, see :func:`.effective_days`; never fewer than one, and never
    more than there are.  Whether next year is like those years, no interval knows.

    Examples
    --------
    >>> fit_share_range([[0, 1, 1, 1, 0, 0, 1, 1, 0, 0]], 0.95).round(3).tolist()
    [0.215, 0.785]
    """
    days = _days(fit)
    share = float(days.mean())
    count = float(days.size)
    if 0 < share < 1:
        memory = float(_correlation(days, share))
        count = max(count * (1 - memory) / (1 + memory), 1.0)
    z = normal_quantile(confidence_share)
    return np.array([wilson_low(share * count, count, z), wilson_high(share * count, count, z)])


def _correlation(days: FloatArray, share: float) -> float:
    """Return the correlation of a day with the next, nought or more, so that a series is never worth more than its days."""
    off = days - share
    together = float((off[:, :-1] * off[:, 1:]).mean())
    return min(max(together / (share * (1 - share)), 0.0), 1 - 1e-9)


@equation("fit days summed over each full week", unit="d", source="physics", in_words=True)
def fit_days_of_weeks(fit: ArrayLike) -> FloatArray:
    """Fit days of each week of each year.

    Parameters
    ----------
    fit : array_like
        1 on a fit day, else 0; days along the last axis, years along the one before [1], 0 to 1.

    Returns
    -------
    ndarray
        Days, years by weeks [d].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or there is no full week.
    ValueError
        If `fit` holds something else than years of days, each 0 or 1.

    Notes
    -----
    Weeks count from the first day of the series; what is left over at the end is not counted.

    Examples
    --------
    >>> fit_days_of_weeks([[0, 1, 1, 1, 0, 0, 1, 1, 0, 0, 1, 1, 1, 1]]).tolist()
    [[4.0, 5.0]]
    """
    days = _days(fit)
    weeks = int(require("full weeks", days.shape[-1] // _WEEK, 1, np.inf))
    return np.asarray(days[:, : weeks * _WEEK].reshape(days.shape[0], weeks, _WEEK).sum(axis=-1))


@equation(
    "largest number of days that at least the wanted share of the years reached",
    unit="d",
    source="suitable_days_paper",
    locator="80 and 90 % are its practice",
    in_words=True,
)
def week_days_with_chance(week_days: ArrayLike, chance_share: ArrayLike) -> FloatArray:
    """Fit days that a week reaches in a wanted share of years.

    Parameters
    ----------
    week_days : array_like
        Fit days of each week; years along the first axis, weeks along the last [d], 0 to 7.
    chance_share : array_like
        Share of years in which at least so many days were fit [1], more than 0, to 1.

    Returns
    -------
    ndarray
        Days, one for each week [d].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If the weeks are no table of years by weeks.

    Notes
    -----
    80 and 90 % are usual for planning.  Ten years is few: at 90 % the poorest year but one decides.

    Examples
    --------
    >>> week_days_with_chance([[5, 7], [2, 6], [4, 3], [3, 5], [6, 4]], 0.8).tolist()
    [3.0, 4.0]
    """
    w = require("week_days", week_days, 0, 7, "d")
    p = require("chance_share", chance_share, 0, 1, above=True)
    if w.ndim != 2 or p.ndim:
        raise ValueError("`week_days` must be years by weeks, and `chance_share` one number")
    years = w.shape[0]
    needed = int(np.ceil(float(p) * years - 1e-9))
    return np.asarray(np.sort(w, axis=0)[years - needed])


@equation("longest run of fit days of each year", unit="d", source="physics", in_words=True)
def longest_spell(fit: ArrayLike) -> FloatArray:
    """Longest spell of fit days of each year.

    Parameters
    ----------
    fit : array_like
        1 on a fit day, else 0; days along the last axis, years along the one before [1], 0 to 1.

    Returns
    -------
    ndarray
        Days, one for each year [d].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If `fit` holds something else than years of days, each 0 or 1.

    Notes
    -----
    A spell that runs over an end of the series is counted as far as it is seen.

    Examples
    --------
    >>> longest_spell([[0, 1, 1, 1, 0, 0, 1, 1], [1, 0, 1, 0, 1, 0, 0, 0]]).tolist()
    [3.0, 1.0]
    """
    days = _days(fit)
    run, longest = np.zeros(days.shape[0]), np.zeros(days.shape[0])
    for day in days.T:
        run = np.where(day == 1, run + 1, 0.0)
        longest = np.maximum(longest, run)
    return longest
