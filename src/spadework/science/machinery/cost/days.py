"""Days: how many a job takes, how many of the calendar it draws out over, and what being late costs.

A day is fit when soil, weather and law let the machine work.  How often that is so belongs to place, soil, season and
job: count it in an own diary or estimate it from own weather and soil.  The chance of being done in a given window is
in :mod:`spadework.science.machinery.cost.in_time`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "calendar_days",
    "chain_time",
    "days_needed",
    "fit_days",
    "fit_days_per_week",
    "lateness_cost",
    "mean_days_late",
    "persistence",
    "stay_share",
]

_YEAR = 366
_MOST_DAYS = 1e6
_ROUNDING = 1e-12


@equation("area_ha / (work_rate_ha_h * day_h)", unit="d", source="asae_ep496", locator="timeliness, days of work")
def days_needed(area_ha: ArrayLike, work_rate_ha_h: ArrayLike, day_h: ArrayLike) -> FloatArray:
    """Fit days that a job takes.

    Parameters
    ----------
    area_ha : array_like
        Area to be worked [ha], 0 to 100000.
    work_rate_ha_h : array_like
        Rate of work [ha/h], above 0 to 400.
    day_h : array_like
        Hours of field work in a fit day, without the road and daily service [h/day], above 0 to 24.

    Returns
    -------
    FloatArray
        Days [d], parts of a day included, in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Area over what a day gets through.

    Examples
    --------
    >>> float(round(days_needed(50, 2.3, 8), 2))
    2.72
    """
    area = require("area_ha", area_ha, 0, 100_000, "ha")
    rate = require("work_rate_ha_h", work_rate_ha_h, 0, 400, "ha/h", above=True)
    return area / (rate * require("day_h", day_h, 0, 24, "h/day", above=True))


@equation("days * fit_share", unit="d", source="physics", locator="mean of a count")
def fit_days(days: ArrayLike, fit_share: ArrayLike) -> FloatArray:
    """Fit days to be expected in a number of days of the calendar.

    Parameters
    ----------
    days : array_like
        Days of the calendar [d], 0 to 366.
    fit_share : array_like
        Share of days that are fit for the job [1], 0 to 1.

    Returns
    -------
    FloatArray
        Fit days [d], the mean of many years, in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Many years bring fewer; :func:`.chance_done` says how likely enough of them are.

    Examples
    --------
    >>> float(fit_days(20, 0.4))
    8.0
    """
    return require("days", days, 0, _YEAR, "d") * require("fit_share", fit_share, 0, 1)


@equation("7 * fit_share", unit="d/week", source="physics", locator="definition of the week")
def fit_days_per_week(fit_share: ArrayLike) -> FloatArray:
    """Fit days to be expected in a week, as diaries and surveys count them.

    Parameters
    ----------
    fit_share : array_like
        Share of days that are fit for the job [1], 0 to 1.

    Returns
    -------
    FloatArray
        Fit days [d/week], in the shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the argument lies outside its range.

    Notes
    -----
    Sundays and holidays count as fit if the work may go on then; otherwise take them out of the share.

    Examples
    --------
    >>> float(fit_days_per_week(0.5))
    3.5
    """
    return fit_days(7, fit_share)


@equation("needed_days / fit_share", unit="d", source="asae_ep496", locator="timeliness, days of the calendar")
def calendar_days(needed_days: ArrayLike, fit_share: ArrayLike) -> FloatArray:
    """Days of the calendar over which a job draws out.

    Parameters
    ----------
    needed_days : array_like
        Fit days that the job takes [d], 0 to 1e6.
    fit_share : array_like
        Share of days that are fit for it [1], above 0 to 1.

    Returns
    -------
    FloatArray
        Days [d], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The smooth form that the timeliness equation of EP496 uses, in which every day is fit by the same part.  Real
    weather draws many a job out longer; see :func:`.window_for_chance`.

    Examples
    --------
    >>> float(calendar_days(3, 0.5))
    6.0
    """
    needed = require("needed_days", needed_days, 0, _MOST_DAYS, "d")
    return needed / require("fit_share", fit_share, 0, 1, above=True)


@equation("calendar_days / 2", unit="d", source="asae_ep496", locator="timeliness, work that starts on the best day")
def mean_days_late(calendar_days: ArrayLike) -> FloatArray:
    """Days after the best day that the mean hectare is done, when the work starts on that day.

    Parameters
    ----------
    calendar_days : array_like
        Days of the calendar over which the job draws out [d], 0 to 1e7.

    Returns
    -------
    FloatArray
        Days late [d], in the shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the argument lies outside its range.

    Notes
    -----
    The first hectare is on time, the last a whole spell late.  This is what Z = 2 in :func:`.timeliness_cost` says; a
    spell that lies evenly around the best day has half of it (Z = 4).

    Examples
    --------
    >>> float(mean_days_late(6))
    3.0
    """
    return require("calendar_days", calendar_days, 0, 1e7, "d") / 2


@equation(
    "loss_share_day * late_days * yield_t_ha * price_eur_t", unit="EUR/ha", source="asae_ep496", locator="timeliness"
)
def lateness_cost(
    loss_share_day: ArrayLike, late_days: ArrayLike, yield_t_ha: ArrayLike, price_eur_t: ArrayLike
) -> FloatArray:
    """Value of the yield lost on a hectare that is worked late.

    Parameters
    ----------
    loss_share_day : array_like
        Yield lost per day after the best day [1/day], 0 to 0.1; the user's own, none known for north-west Europe.
    late_days : array_like
        Days late [d], 0 to 366.
    yield_t_ha : array_like
        Yield at the best day [t/ha], 0 to 200.
    price_eur_t : array_like
        Value of the yield [EUR/t], 0 to 1e6.

    Returns
    -------
    FloatArray
        Cost [EUR/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range, or more than the whole yield would be lost.

    Notes
    -----
    A straight line from the best day.  Near it the loss may be nil, so this is an upper estimate for few days.  Over
    the area, with :func:`mean_days_late`, it is the timeliness cost of EP496.

    Examples
    --------
    >>> float(round(lateness_cost(0.01, 3, 15, 180), 2))
    81.0
    """
    loss = require("loss_share_day", loss_share_day, 0, 0.1, "1/day") * require("late_days", late_days, 0, _YEAR, "d")
    lost = require("loss_share_day * late_days", loss, 0, 1)
    return (
        lost * require("yield_t_ha", yield_t_ha, 0, 200, "t/ha") * require("price_eur_t", price_eur_t, 0, 1e6, "EUR/t")
    )


@equation(
    "maximum(hours_h_ha / drivers, longest_h_ha)",
    unit="h/ha",
    source="choice",
    locator="shared evenly, but no faster than the longest pass",
)
def chain_time(hours_h_ha: ArrayLike, longest_h_ha: ArrayLike, drivers: ArrayLike) -> FloatArray:
    """Time of a hectare when several drivers work on the chain at once.

    Parameters
    ----------
    hours_h_ha : array_like
        Time of all passes, one after the other [h/ha], above 0 to 400.
    longest_h_ha : array_like
        Time of the longest pass [h/ha], above 0 to `hours_h_ha`.
    drivers : array_like
        Drivers with an outfit each [1], 1 to 50.

    Returns
    -------
    FloatArray
        Time [h/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The passes follow one another closely and drivers change outfits as they are needed; no pass is shared by two
    outfits.

    Examples
    --------
    >>> chain_time(2.0, 0.9, [1, 2, 3]).tolist()
    [2.0, 1.0, 0.9]
    """
    hours = require("hours_h_ha", hours_h_ha, 0, 400, "h/ha", above=True)
    longest = require("longest_h_ha", longest_h_ha, 0, 400, "h/ha", above=True)
    require("hours_h_ha - longest_h_ha", hours - longest, -_ROUNDING, 400, "h/ha")
    return np.maximum(hours / require("drivers", drivers, 1, 50), longest)


@equation(
    "(stay_share - fit_share) / (1 - fit_share)", unit="1", source="gabriel_neumann_1962", locator="chain of two states"
)
def persistence(stay_share: ArrayLike, fit_share: ArrayLike) -> FloatArray:
    """Return how much fit days come in rows: nil where each day is on its own, 1 where a fit day lasts for ever.

    Parameters
    ----------
    stay_share : array_like
        Chance that the day after a fit day is fit [1], `fit_share` to 1.
    fit_share : array_like
        Share of days that are fit for the job [1], 0 to below 1.

    Returns
    -------
    FloatArray
        Persistence [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> round(float(persistence(0.7, 0.55)), 3)
    0.333
    """
    fit = require("fit_share", fit_share, 0, 1 - 1e-9)
    more = require("stay_share - fit_share", require("stay_share", stay_share, 0, 1) - fit, -_ROUNDING, 1)
    return np.where(np.abs(more) <= _ROUNDING, 0.0, more / (1 - fit))  # what the last binary digit makes of nil


@equation(
    "fit_share + (1 - fit_share) * persistence_share",
    unit="1",
    source="gabriel_neumann_1962",
    locator="chain of two states",
)
def stay_share(fit_share: ArrayLike, persistence_share: ArrayLike) -> FloatArray:
    """Chance that the day after a fit day is fit, at another share of fit days and the same persistence.

    Parameters
    ----------
    fit_share : array_like
        Share of days that are fit for the job [1], 0 to 1.
    persistence_share : array_like
        Persistence of fit days [1], 0 to 1; see :func:`persistence`.

    Returns
    -------
    FloatArray
        Chance [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> round(float(stay_share(0.6, 1 / 3)), 3)
    0.733
    """
    fit = require("fit_share", fit_share, 0, 1)
    return fit + (1 - fit) * require("persistence_share", persistence_share, 0, 1)
