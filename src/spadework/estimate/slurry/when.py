"""When to go: what every start hour of a window would lose, in kilograms and in money, and what the choice is worth.

The jobs of the plan, field and all, are started at hour after hour of the weather file.  Choosing the hour is then held
against choosing the system at the same hours.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from typing import Final

import numpy as np
from numpy.typing import NDArray

from spadework.estimate.chain import Chain
from spadework.estimate.result import Estimate
from spadework.estimate.slurry.course_models import COURSE_H, Air, standing_words
from spadework.estimate.slurry.courses import Job, in_the_models, job_of, kept, place_course, take
from spadework.plan import Fault, PlanFaults
from spadework.plan.weather.series import Series, weather_series
from spadework.ranges import FloatArray, collecting
from spadework.reference import constants
from spadework.science.slurry import (
    available_n_mechanistic,
    bought_n_replaced,
    courses_from_every_hour,
    nh3_n_loss,
    tan_kept,
    value_of_n,
)

__all__ = ["SHORTEST_H", "WHEN_DRAWS", "Best", "When", "start_hours", "usual_window"]

WHEN_DRAWS: Final = 100
"""So many draws, evenly spaced, every start hour is gone through with; fewer where there are many starts."""
SHORTEST_H: Final = 72
"""Hours of weather that must follow the last start; most of the loss is over by then."""
_POINTS: Final = 3
_TENTH: Final = 10
_MANY_STARTS: Final = 400
_FEW_DRAWS: Final = 40
_DAY_H: Final = 24
_AT_ONCE: Final = 48
_AROUND: Final = dt.timedelta(days=7)
_MOST_STARTS: Final = 9_000


@dataclass(frozen=True, slots=True)
class Best:
    """A start hour: its place in the window and its loss, middle of the draws [kg N/ha]."""

    start: int
    lost_n: float


@dataclass(frozen=True, eq=False)
class When:
    """What every start hour would lose.

    Attributes
    ----------
    systems : tuple of int
        Those that place slurry, in the order of the plan.
    starts : ndarray of datetime64
        UTC.
    local : tuple of datetime
        The same at the offset of the plan's own start.
    allowed : ndarray of bool
        Whether the hour lies within the working hours of a day.
    loss_share, lost_n, money : ndarray
        Of systems, draws, starts: share of the ammoniacal N [1], N [kg/ha], bought N that it would have replaced [EUR/ha].
    model : str
        Of the course.
    course_h, draws : int
        Hours after spreading that count; draws kept.
    day : tuple of int
        First and last hour of the day at which a start is ranked.
    came_from : str
        Where the weather came from, for people.
    notes : tuple of str
        What a reader must be told.
    """

    systems: tuple[int, ...]
    starts: NDArray[np.datetime64]
    local: tuple[dt.datetime, ...]
    allowed: NDArray[np.bool_]
    loss_share: FloatArray
    lost_n: FloatArray
    money: FloatArray
    model: str
    course_h: int
    draws: int
    day: tuple[int, int]
    came_from: str
    notes: tuple[str, ...]

    def ranked(self, row: int) -> list[Best]:
        """Return the allowed starts of a system, by its row, least loss first; of equal ones the earlier first."""
        middle = np.median(self.lost_n[row], axis=0)
        order = sorted(np.flatnonzero(self.allowed).tolist(), key=lambda at: (float(middle[at]), at))
        return [Best(at, float(middle[at])) for at in order]

    def best_of_days(self, row: int, most: int = 3) -> list[Best]:
        """Return the best start of each of the best days."""
        found: dict[dt.date, Best] = {}
        for best in self.ranked(row):
            found.setdefault(self.local[best.start].date(), best)
        return list(found.values())[:most]

    def by_hour(self, values: FloatArray, row: int) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return by draw the mean over the allowed starts, over the best tenth of them, and over the worst tenth.

        Which starts are the best is settled by the middle of the draws, for nobody knows the draw beforehand.
        """
        order = [best.start for best in self.ranked(row)]
        tenth = ceil(len(order) / _TENTH)
        groups = (order, order[:tenth], order[-tenth:])
        mean, best, worst = (values[row][:, group].mean(axis=1) for group in groups)
        return mean, best, worst

    def least(self) -> int:
        """Return the row of the system that loses least on the mean of the allowed starts."""
        return int(np.argmin([np.median(self.by_hour(self.lost_n, row)[0]) for row in range(len(self.systems))]))


def start_hours(
    estimate: Estimate,
    first: dt.datetime,
    last: dt.datetime,
    step_h: int = 1,
    *,
    model: str = "two pools",
    day: tuple[int, int] = (6, 20),
) -> When:
    """Return loss and money of every start hour between two times.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan with a weather file.
    first, last : datetime
        With time zone; the first start lies on the first full hour of the file from `first` on.
    step_h : int
        Hours from one start to the next, 1 to 24.
    model : str
        One of the models of the course.
    day : tuple of int
        First and last hour of the day, 0 to 23, at which a start is ranked.

    Raises
    ------
    PlanFaults
        Where the plan gives a typical hour, the file does not reach over the window and 72 h more, or nothing is left to
        rank.
    """
    read = estimate.read
    plain = read.plan.weather
    if plain.file is None or plain.start is None:
        what = "this plan gives one typical hour; a weather file is needed to tell one start hour from another"
        raise PlanFaults([read.fault(what, "weather")], read.name)
    series = weather_series(read)
    begin, number = _starts(estimate, series, first, last, step_h)
    chain = Chain(read)
    keep = kept(estimate.draws, WHEN_DRAWS if number <= _MANY_STARTS else _FEW_DRAWS)
    jobs = [job_of(estimate, chain, chain.steps[i].system, keep, _POINTS) for i in chain.placing]
    if not jobs:
        raise PlanFaults([Fault("", "no system of this plan places slurry")], read.name)
    ahead = max(shift for job in jobs for shift in job.places.shift_h)
    at = begin + step_h * np.arange(number)
    course_h = int(min(COURSE_H, len(series.times) - int(at[-1]) - ahead))
    if course_h < SHORTEST_H:
        end = _said(series.times[-1], plain.start)
        what = (
            f"the weather without a break ends at {end}; {SHORTEST_H} h of it must follow the last start and the {ahead} h "
            "that spreading takes"
        )
        raise PlanFaults([Fault("", what)], read.name)
    zone = plain.start.tzinfo
    local = tuple(dt.datetime.fromtimestamp(int(t.astype(np.int64)), zone) for t in series.times[at])
    allowed = np.array([day[0] <= moment.hour <= day[1] for moment in local])
    if not allowed.any():
        raise PlanFaults([Fault("", f"no start of the window lies between {day[0]} and {day[1]} h")], read.name)
    notes: list[str] = [*series.notes]
    with in_the_models(estimate), collecting() as outside:
        found = [(job, lost) for job in jobs if (lost := _losses(model, series, at, job, course_h)) is not None]
    if not found:
        raise PlanFaults([Fault("", f"{model} has no factor for the ways of placing of this plan")], read.name)
    if gone := [estimate.systems[j.system] for j in jobs if j.system not in {k.system for k, _ in found}]:
        notes.append(f"{model} has no factor for closed slots or bands that can be used: without {', '.join(gone)}")
    notes += [str(note) for note in outside]
    notes += _notes(estimate, course_h, len(keep), ahead)
    notes.append(standing_words(model))
    money = [_money(estimate, job.system, keep, lost) for job, lost in found]
    return When(
        tuple(job.system for job, _ in found), series.times[at], local, allowed,
        np.array([lost for _, lost in found]), np.array([kg for kg, _ in money]), np.array([eur for _, eur in money]),
        model, course_h, len(keep), day, series.came_from, tuple(dict.fromkeys(notes)),
    )  # fmt: skip


def usual_window(estimate: Estimate) -> tuple[dt.datetime, dt.datetime] | None:
    """Return whole days around the start of the plan that the weather file allows; None where it does not go on for three.

    A week either way, or less; the last start leaves a whole course of weather where that keeps a day or more of the week,
    otherwise the shortest.
    """
    plain = estimate.plan.weather
    if plain.file is None or plain.start is None:
        return None
    series = weather_series(estimate.read)
    zone = plain.start.tzinfo
    low, high = (dt.datetime.fromtimestamp(int(t.astype(np.int64)), zone) for t in series.times[[0, -1]])
    ahead = dt.timedelta(hours=_ahead(estimate) + 1)
    if high - plain.start <= dt.timedelta(hours=SHORTEST_H) + ahead:
        return None
    first = max(plain.start - _AROUND, low)
    whole = high - dt.timedelta(hours=COURSE_H) - ahead
    if whole < plain.start + dt.timedelta(days=1):
        whole = high - dt.timedelta(hours=SHORTEST_H) - ahead
    last = min(plain.start + _AROUND, whole)
    midnight = first.replace(hour=0, minute=first.minute, second=first.second)
    first = midnight if midnight >= low else first
    return first, last


def _ahead(estimate: Estimate) -> int:
    chain = Chain(estimate.read)
    keep = kept(estimate.draws, WHEN_DRAWS)
    jobs = [job_of(estimate, chain, chain.steps[i].system, keep, _POINTS) for i in chain.placing]
    return max((shift for job in jobs for shift in job.places.shift_h), default=0)


def _starts(estimate: Estimate, series: Series, first: dt.datetime, last: dt.datetime, step_h: int) -> tuple[int, int]:
    """Return the first start as an hour of the series, and how many starts there are."""
    name, plain = estimate.read.name, estimate.plan.weather
    assert plain.start is not None  # noqa: S101 (the caller checks it)
    if not 1 <= step_h <= _DAY_H:
        raise PlanFaults([Fault("--every", f"{step_h} h is no step from start to start; 1 to 24 h will do")], name)
    low, high = (np.datetime64(int(time.timestamp()), "s") for time in (first, last))
    hour = np.timedelta64(1, "h")
    begin = int(np.ceil((low - series.times[0]) / hour))
    end = int(np.floor((high - series.times[0]) / hour))
    if end < begin:
        raise PlanFaults([Fault("--to", "the window ends before it begins")], name)
    if begin < 0 or end >= len(series.times):
        known = f"{_said(series.times[0], plain.start)} to {_said(series.times[-1], plain.start)}"
        what = f"the window lies outside the weather without a break around the start of the plan, {known}"
        raise PlanFaults([Fault("--from" if begin < 0 else "--to", what)], name)
    number = (end - begin) // step_h + 1
    if number > _MOST_STARTS:
        raise PlanFaults([Fault("--every", f"{number} starts are too many; {_MOST_STARTS} at most")], name)
    return begin, number


def _said(time: np.datetime64, start: dt.datetime) -> str:
    return f"{dt.datetime.fromtimestamp(int(time.astype(np.int64)), start.tzinfo):%Y-%m-%d %H:%M}"


def _losses(model: str, series: Series, at: NDArray[np.int64], job: Job, course_h: int) -> FloatArray | None:
    """Return the loss by draw and start: the mean of the places, each over its own `course_h` hours."""
    parts = (series.air_temperature_degc, series.wind_2_m_m_s, series.rain_mm_h)
    windows = [courses_from_every_hour(values, course_h) for values in parts]
    found = []
    for some in _pieces(at, _AT_ONCE if model == "saturation" else len(at)):
        total = np.zeros((job.places.weight.shape[-1], len(some)))
        for place, shift in enumerate(job.places.shift_h):
            air = Air(*(window[some + shift] for window in windows))
            lost = place_course(model, air, job, job.places.delay_h[place], whole=False)
            if lost is None:
                return None
            total += job.places.weight[place][:, None] * lost
        found.append(total)
    return np.concatenate(found, axis=1)


def _pieces(at: NDArray[np.int64], most: int) -> Iterator[NDArray[np.int64]]:
    for begin in range(0, len(at), most):
        yield at[begin : begin + most]


def _money(estimate: Estimate, system: int, keep: NDArray[np.int64], loss: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return N lost and the value of the bought N that it would have replaced, as the sheet reckons them."""

    def of(name: str) -> FloatArray:
        return take(estimate.values(name, system), keep)[:, None]

    tan = of("ammoniacal_n_spread")

    by_course = constants("nitrogen_mechanistic")
    a_min, m1 = (of(key) if estimate.has(key, system) else by_course[key].value for key in ("a_min_share", "m1_share"))

    def replaced(share: FloatArray) -> FloatArray:
        usable = available_n_mechanistic(tan_kept(tan, share), of("organic"), a_min, m1)
        return bought_n_replaced(usable, of("n_need_left"))

    missed = replaced(np.zeros_like(loss)) - replaced(loss)
    return nh3_n_loss(tan, loss), value_of_n(np.maximum(missed, 0), of("n_price"))


def _notes(estimate: Estimate, course_h: int, draws: int, ahead: int) -> list[str]:
    notes = [
        f"the loss is counted for {course_h} h after each part of the field was spread",
        f"{_POINTS} places stand for the field, spread up to {ahead} h after the start, each on the nearest full hour",
        "the ground is taken as fit at every start, and the work rates as the same",
    ]
    if not estimate.has("a_min_share", 0):
        notes.append(
            "the plan counts usable N by a table that knows no loss; money goes by the course of the nitrogen here, which "
            "does"
        )
    if draws < estimate.draws:
        notes.append(f"{draws} of the {estimate.draws} draws, evenly spaced, were gone through for every start")
    return notes
