"""In time: the chance that a job is done within a window of days, and the window that a wanted chance takes.

Windows are whole days: a part of a day in the window does not count, a part of a day that is needed takes a whole one.
A job planned to a chance of eight in ten is late in two years of ten.  The chance is no reason to drive on a day that
is not fit.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = ["chance_done", "chance_done_in_spells", "window_for_chance"]

_ROUNDING = 1e-9
_YEAR = 366
_MOST_DAYS = 1e6
_BLOCK = 4096


@equation(
    "the chance that, of the whole days in the window, at least the needed days (rounded up) are fit, when every day is"
    " fit by the same share and no day knows of the day before: the upper tail of the binomial distribution",
    unit="1",
    source="probability",
    locator="binomial distribution",
    in_words=True,
)
def chance_done(needed_days: ArrayLike, window_days: ArrayLike, fit_share: ArrayLike) -> FloatArray:
    """Chance of being done within a window, each day fit on its own.

    Parameters
    ----------
    needed_days : array_like
        Fit days that the job takes [d], 0 to 1e6; rounded up to whole days.
    window_days : array_like
        Days of the calendar in the window [d], 0 to 366; rounded down to whole days.
    fit_share : array_like
        Share of days that are fit for the job [1], 0 to 1.

    Returns
    -------
    FloatArray
        Chance [1], in the broadcast shape of the arguments.  Nil where more days are needed than the window has, one
        where none is needed.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Sum over k from n to w of C(w, k) p^k (1 - p)^(w - k), computed as an incomplete beta function.  Wet days come in
    rows, so that real windows hold very many or very few fit days more often than this says: where the chance is high
    it is too high.  :func:`chance_done_in_spells` is the rival that knows of the day before.

    Examples
    --------
    Three fit days in a week when every other day is fit:

    >>> float(chance_done(2.72, 7, 0.5).round(4))
    0.7734
    """
    from scipy.special import betainc

    needed, window = _whole_days(needed_days, window_days)
    share = require("fit_share", fit_share, 0, 1)
    possible = (needed >= 1) & (needed <= window)
    least, days = np.where(possible, needed, 1.0), np.where(possible, window, 1.0)
    chance = np.asarray(betainc(least, days - least + 1, share), dtype=np.float64)
    return np.where(needed < 1, 1.0, np.where(possible, chance, 0.0))


@equation(
    "the chance that, of the whole days in the window, at least the needed days (rounded up) are fit, when a day after"
    " a fit day is fit by the stay share and the share of fit days over the years is the fit share; counted day by day",
    unit="1",
    source="gabriel_neumann_1962",
    locator="chain of two states",
    in_words=True,
)
def chance_done_in_spells(
    needed_days: ArrayLike, window_days: ArrayLike, fit_share: ArrayLike, stay_share: ArrayLike
) -> FloatArray:
    """Chance of being done within a window when fit and unfit days come in rows.

    Parameters
    ----------
    needed_days : array_like
        Fit days that the job takes [d], 0 to 1e6; rounded up to whole days.
    window_days : array_like
        Days of the calendar in the window [d], 0 to 366; rounded down to whole days.
    fit_share : array_like
        Share of days that are fit for the job [1], 0 to 1.
    stay_share : array_like
        Share of the days after a fit day that are fit as well [1], 0 to 1, and at least (2 p - 1)/p at the share p of
        fit days.

    Returns
    -------
    FloatArray
        Chance [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A chain of two states, as Gabriel & Neumann (1962) took it for wet and dry days; from memory.  With p the share of
    fit days and s the stay share, a day after an unfit one is fit with q = p (1 - s)/(1 - p), which keeps p over the
    years.  The day before the window is fit with p.  With s = p this is :func:`chance_done`.  Spells longer than a
    chain of one day's memory makes are not in it, nor is a season that dries out.

    Examples
    --------
    >>> chance_done_in_spells(3, 7, 0.5, [0.5, 0.8]).round(4).tolist()
    [0.7734, 0.6365]
    """
    needed, window = _whole_days(needed_days, window_days)
    share, stay = _chain(fit_share, stay_share)
    needed, window, share, stay = np.broadcast_arrays(np.minimum(needed, window + 1), window, share, stay)
    flat = [part.ravel() for part in (needed, window, share, stay)]
    result = np.zeros(needed.size)
    for start in range(0, needed.size, _BLOCK):
        block = slice(start, start + _BLOCK)
        need, days, fit, after = (part[block] for part in flat)
        for day, done in _course(need, fit, after, int(days.max())):
            result[block] = np.where(days == day, done, result[block])
    return result.reshape(needed.shape)


@equation(
    "the smallest whole number of days in which the chance of being done reaches the wanted chance, with fit days in"
    " spells; infinite where no window of up to 366 days gives it",
    unit="d",
    source="gabriel_neumann_1962",
    locator="chain of two states",
    in_words=True,
)
def window_for_chance(
    needed_days: ArrayLike, fit_share: ArrayLike, stay_share: ArrayLike, chance_share: ArrayLike
) -> FloatArray:
    """Days of the calendar that a job must be given so that it is done with a wanted chance.

    Parameters
    ----------
    needed_days : array_like
        Fit days that the job takes [d], 0 to 1e6; rounded up to whole days.
    fit_share : array_like
        Share of days that are fit for the job [1], 0 to 1.
    stay_share : array_like
        Share of the days after a fit day that are fit as well [1], 0 to 1; equal to `fit_share` where no day knows of
        the day before.
    chance_share : array_like
        Chance wanted [1], above 0 to 0.9999.

    Returns
    -------
    FloatArray
        Whole days [d], in the broadcast shape of the arguments; infinite where no window of up to 366 days will do.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range; for `stay_share` see :func:`chance_done_in_spells`.

    Notes
    -----
    The days of :func:`chance_done_in_spells` are counted on until the chance is reached.

    Examples
    --------
    >>> window_for_chance(3, 0.5, [0.5, 0.8], 0.8).tolist()
    [8.0, 11.0]
    """
    needed, _ = _whole_days(needed_days, 0)
    share, stay = _chain(fit_share, stay_share)
    wanted = require("chance_share", chance_share, 0, 0.9999, above=True)
    parts = np.broadcast_arrays(np.minimum(needed, _YEAR + 1), share, stay, wanted)
    flat = [part.ravel() for part in parts]
    result = np.full(flat[0].size, np.inf)
    for start in range(0, result.size, _BLOCK):
        block = slice(start, start + _BLOCK)
        need, fit, after, least = (part[block] for part in flat)
        for day, done in _course(need, fit, after, _YEAR):
            reached = np.isinf(result[block]) & (done >= least - 1e-12)
            result[block] = np.where(reached, day, result[block])
            if np.isfinite(result[block]).all():
                break
    return result.reshape(parts[0].shape)


def _whole_days(needed_days: ArrayLike, window_days: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Needed days rounded up, days of the window rounded down; a billionth is left for the last binary digit."""
    needed = require("needed_days", needed_days, 0, _MOST_DAYS, "d")
    window = require("window_days", window_days, 0, _YEAR, "d")
    return np.ceil(needed - _ROUNDING), np.floor(window + _ROUNDING)


def _chain(fit_share: ArrayLike, stay_share: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Both shares, held against one another: so many fit days need at least so much staying."""
    fit, stay = np.broadcast_arrays(require("fit_share", fit_share, 0, 1), require("stay_share", stay_share, 0, 1))
    least = np.where(fit > 0.5, 2 - 1 / np.where(fit > 0.5, fit, 1.0), 0.0)
    bad = stay < least - _ROUNDING
    if bad.any():
        found, low = float(stay[bad].flat[0]), float(least[bad].flat[0])
        raise ImpossibleValue("stay_share", f"{found:.6g}", low, 1, "at this share of fit days")
    return fit, stay


def _course(need: FloatArray, fit: FloatArray, stay: FloatArray, last: int) -> Iterator[tuple[int, FloatArray]]:
    """Yield day by day, from day nil, the chance of being done; row r of the two states still needs r + 1 fit days."""
    all_fit = fit >= 1
    turn = np.where(all_fit, 1.0, np.minimum(fit * (1 - stay) / np.where(all_fit, 1.0, 1 - fit), 1.0))
    rows = np.arange(1, max(int(need.max()), 1) + 1, dtype=np.float64)[:, None]
    after_fit = np.where(rows == need, fit, 0.0)
    after_unfit = np.where(rows == need, 1 - fit, 0.0)
    done = np.where(need < 1, 1.0, 0.0)
    yield 0, done
    for day in range(1, last + 1):
        now_fit = after_fit * stay + after_unfit * turn
        after_unfit = after_fit * (1 - stay) + after_unfit * (1 - turn)
        done = np.minimum(done + now_fit[0], 1.0)  # the sum may pass one by its last binary digit
        after_fit = np.concatenate([now_fit[1:], np.zeros_like(now_fit[:1])])
        yield day, done
