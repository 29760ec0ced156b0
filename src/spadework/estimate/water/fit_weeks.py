"""Fit days week by week, out of the springs of the weather file, with what so few springs leave open."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate.result import Estimate, Spread
from spadework.estimate.slurry.courses import kept, take
from spadework.estimate.water.fit_weather import fit_of, springs
from spadework.ranges import FloatArray
from spadework.reference import constants
from spadework.science.seedbed.water.fit_days import fit_days_of_weeks, longest_spell, week_days_with_chance
from spadework.science.seedbed.water.spells import effective_days, mean_spell_days
from spadework.science.seedbed.water.store import chance_behind_count, share_from_count

__all__ = ["FitWeek", "FitWeeks", "fit_weeks"]

_WEEK: Final = 7
_PLACE: Final = 3_000_103  # apart from the places of all other draws
_TAILS: Final = (0.5, 0.1, 0.9)


@dataclass(frozen=True, slots=True)
class FitWeek:
    """A week of the calendar.

    Attributes
    ----------
    first : date
        Its first day, in the year of the plan.
    chance : Spread
        That one of its days is fit [1].
    springs : int
        How many springs hold the whole week.
    sure_days : float or None
        Fit days that it reached in the wished share of the springs; None where they are too few to tell.
    """

    first: dt.date
    chance: Spread
    springs: int
    sure_days: float | None


@dataclass(frozen=True, eq=False)
class FitWeeks:
    """The weeks around the window of the farm.

    Attributes
    ----------
    weeks : tuple of FitWeek
        In order.
    years : tuple of int
        Of the springs that were counted.
    first : date
        First day of the window, in the year of the plan.
    window : int
        Its days.
    longest : ndarray
        Longest spell of fit days in the window of each spring, for the middle soil [d].
    spell_days : float
        Mean length of a spell [d].
    notes : tuple of str
        What a reader must be told.
    """

    weeks: tuple[FitWeek, ...]
    years: tuple[int, ...]
    first: dt.date
    window: int
    longest: FloatArray
    spell_days: float
    notes: tuple[str, ...]


def fit_weeks(estimate: Estimate) -> FitWeeks | None:
    """Return the weeks around the window; None where fit days were not worked out from the weather.

    Raises
    ------
    PlanFaults
        Where the weather cannot be used.
    """
    if "fit_day_count" not in estimate.sheet.figures:
        return None
    k = constants("water_weeks")
    weather = springs(estimate.read)
    keep = kept(estimate.draws, int(k.soils))
    if len(keep) > 1:  # the shapes of residue alternate from soil to soil, as they do from draw to draw
        keep = keep + (np.arange(len(keep)) - keep) % 2
        keep = keep[keep < estimate.draws]
    soils = {
        "capacity": "top_capacity",
        "evaporable": "top_evaporable",
        "readily": "top_readily",
        "layer": "top_layer",
        "cover": "top_cover",
        "limit": "fit_limit",
    }
    fit = fit_of(weather, **{argument: take(estimate.sheet[name], keep) for argument, name in soils.items()})
    inside = fit[:, :, weather.inside]
    middle = int(np.argsort(inside.mean(axis=(1, 2)), kind="stable")[len(inside) // 2])
    memory, stay = (float(np.median(estimate.sheet[name])) for name in ("fit_counted", "fit_stay_counted"))
    memory = (stay - memory) / (1 - memory)
    shares = np.random.default_rng([estimate.seed, _PLACE]).permutation(len(fit))
    quantiles = (shares + 0.5) / len(fit)
    begin = weather.lead - int(k.around_days)
    weeks = []
    for at in range(begin, fit.shape[2] - _WEEK + 1, _WEEK):
        whole = weather.known[:, at : at + _WEEK].all(axis=1)
        if not whole.any():
            continue
        days = fit[:, whole, at : at + _WEEK]
        count = float(days[0].size)
        counted = share_from_count(days.sum(axis=(1, 2)), count)
        worth = effective_days(count, counted, counted + (1 - counted) * memory)
        low_mid_high = np.quantile(chance_behind_count(quantiles, counted, worth), _TAILS)
        sure = None
        if whole.sum() >= k.least_years:
            sure = float(week_days_with_chance(fit_days_of_weeks(days[middle]), k.wished_share)[0])
        first = weather.first + dt.timedelta(days=at - weather.lead)
        weeks.append(FitWeek(first, Spread(*map(float, low_mid_high)), int(whole.sum()), sure))
    return FitWeeks(
        tuple(weeks), weather.years, weather.first, weather.window, longest_spell(inside[middle]),
        float(mean_spell_days(stay)), weather.notes,
    )  # fmt: skip
