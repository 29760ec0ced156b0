"""Ammonia hour by hour, on the mean of the field: two models of the course beside the total of the guidance factors.

The field is not spread and covered at once.  A few places of the field (Gauss and Legendre's points over its area) stand
for all: each is spread when the outfit gets there, in the weather of that hour, and covered when the second outfit
does.  The three ways of reckoning are not averaged; how far they lie apart is the uncertainty of the models.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from spadework.estimate.chain import Chain
from spadework.estimate.draws import uniform
from spadework.estimate.result import Estimate
from spadework.estimate.slurry.course_models import (
    COURSE_H,
    MODELS,
    Air,
    Lying,
    Strength,
    course_of,
    lying,
    standing_words,
)
from spadework.plan import PlanFaults
from spadework.plan.composition import ph_values
from spadework.plan.outfits import kind_of
from spadework.plan.stand_ins import animals_of
from spadework.plan.weather.series import Series, weather_series
from spadework.ranges import FloatArray, ImpossibleValue, collecting
from spadework.reference import load
from spadework.science.slurry import loss_of_strip

__all__ = ["COURSE_DRAWS", "Courses", "Job", "Places", "ammonia_courses", "field_course", "job_of", "weather_ahead"]

COURSE_DRAWS: Final = 400
"""So many draws, evenly spaced, a course is worked out for."""
_POINTS: Final = 6
_OPEN_WAY: Final = {"band": "trailing_hose", "slots": "open_slot"}
_LONG_H: Final = 12
_PH_PLACE: Final = 1_000_003  # apart from the places of all inputs on the worksheet


@dataclass(frozen=True, eq=False)
class Places:
    """Places that stand for the field, along the first axis.

    Attributes
    ----------
    weight : ndarray
        Share of the field that each stands for [1], by draw; they add up to one.
    shift_h : tuple of int
        Whole hours from the start of spreading to the place, by the middle work rate.
    delay_h : ndarray
        From spreading to covering there [h], by draw; infinite where nothing covers.
    """

    weight: FloatArray
    shift_h: tuple[int, ...]
    delay_h: FloatArray


@dataclass(frozen=True, eq=False)
class Job:
    """What one system does with its slurry, for the draws that are kept.

    Attributes
    ----------
    system : int
        In the order of the plan.
    slurry : Strength
        By draw.
    lies, opened : Lying
        The way of placing, and where slurry shows.
    cover : str
        Way of covering; empty where nothing covers.
    saving : ndarray
        What covering at once saves [1], by draw.
    open_share, overflow_share : ndarray
        Where slurry shows in a slit, and where it has run over [1], by draw.
    places : Places
        Of the field.
    """

    system: int
    slurry: Strength
    lies: Lying
    opened: Lying
    cover: str
    saving: FloatArray
    open_share: FloatArray
    overflow_share: FloatArray
    places: Places


@dataclass(frozen=True, eq=False)
class Courses:
    """Cumulative loss of every system that places slurry, share of the ammoniacal N that the field gets [1].

    Attributes
    ----------
    systems : tuple of int
        In the order of the plan.
    by_model : mapping
        Model and system to an array of draws and hours, the first hour being nought; a system is left out where the
        model has no factor for its way of placing.
    totals : mapping
        System to the draws of the total by guidance factors.
    hours : int
        Length of the course; 168, or less where the weather ends.
    draws : int
        How many were kept.
    start : datetime or None
        Of spreading; None for a typical hour.
    came_from : str
        Where the weather came from, for people.
    notes : tuple of str
        What a reader must be told.
    """

    systems: tuple[int, ...]
    by_model: Mapping[tuple[str, int], FloatArray]
    totals: Mapping[int, FloatArray]
    hours: int
    draws: int
    start: dt.datetime | None
    came_from: str
    notes: tuple[str, ...]


def ammonia_courses(estimate: Estimate) -> Courses:
    """Return the ammonia lost hour by hour from the start of spreading, by two models, and the total of the factors.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.

    Raises
    ------
    PlanFaults
        Where the weather of the plan cannot be read, or is beyond what the models take.
    """
    chain = Chain(estimate.read)
    keep = kept(estimate.draws, COURSE_DRAWS)
    series, begin = weather_ahead(estimate)
    hours = (
        COURSE_H if series.times.size == 1 and np.isnat(series.times[0]) else min(COURSE_H, len(series.times) - begin)
    )
    air = air_of(series, begin, hours)
    by_model: dict[tuple[str, int], FloatArray] = {}
    totals: dict[int, FloatArray] = {}
    notes = list(series.notes)
    with in_the_models(estimate), collecting() as outside:
        for index in chain.placing:
            job = job_of(estimate, chain, chain.steps[index].system, keep)
            totals[job.system] = take(estimate.values("placing_loss", job.system), keep)
            for model in MODELS:
                found = field_course(model, air, job)
                if found is not None:
                    by_model[model, job.system] = found
            notes += _job_notes(estimate, job, hours)
    notes += _course_notes(estimate, hours, len(keep), [system for m, system in by_model if m == "saturation"], totals)
    notes += [str(note) for note in outside]
    notes += [standing_words(model) for model in MODELS]
    start = estimate.plan.weather.start if estimate.plan.weather.file is not None else None
    return Courses(
        tuple(totals), by_model, totals, hours, len(keep), start, series.came_from, tuple(dict.fromkeys(notes))
    )


@contextmanager
def in_the_models(estimate: Estimate) -> Iterator[None]:
    """Turn weather or slurry that the models of the course do not take into a fault of the plan."""
    try:
        yield
    except ImpossibleValue as error:
        what = f"the models of the ammonia course do not take this weather or slurry: {error}"
        raise PlanFaults([estimate.read.fault(what, "weather")], estimate.read.name) from None


def weather_ahead(estimate: Estimate) -> tuple[Series, int]:
    """Return the weather of the plan, as far as it goes without a break, and which of its hours is the start."""
    series = weather_series(estimate.read)
    if np.isnat(series.times[0]):
        return series, 0
    start = estimate.plan.weather.start
    assert start is not None  # noqa: S101 (agreement checks it)
    at = np.datetime64(int(start.timestamp()), "s")
    return series, int((at - series.times[0]) // np.timedelta64(1, "h"))


def air_of(series: Series, begin: int, hours: int) -> Air:
    """Return so many hours of weather from one on; a typical hour is repeated."""
    parts = (series.air_temperature_degc, series.wind_2_m_m_s, series.rain_mm_h)
    if np.isnat(series.times[0]):
        return Air(*(np.full(hours, float(values[0])) for values in parts))
    return Air(*(values[begin : begin + hours] for values in parts))


def kept(draws: int, most: int) -> NDArray[np.int64]:
    """Return which draws are kept: all, or `most` of them evenly spaced.

    Examples
    --------
    >>> kept(10, 4).tolist(), kept(3, 4).tolist()
    ([0, 2, 5, 7], [0, 1, 2])
    """
    number = min(draws, most)
    return np.arange(number) * draws // number


def take(values: FloatArray, keep: NDArray[np.int64]) -> FloatArray:
    """Return the kept draws of a figure, which may be one value for all."""
    return values[keep] if len(values) > 1 else np.broadcast_to(values, (len(keep),))


def job_of(estimate: Estimate, chain: Chain, system: int, keep: NDArray[np.int64], points: int = _POINTS) -> Job:
    """Return what a system that places slurry does with it, off the worksheet, for the draws that are kept."""
    index = chain.placing_step(system)
    placer = None if index is None else chain.steps[index].placer
    if index is None or placer is None:
        raise ValueError(f"{estimate.systems[system]} places no slurry")

    def of(name: str) -> FloatArray:
        return take(estimate.values(name, system), keep)

    density, kind, plan = of("density"), kind_of(placer), estimate.plan.slurry
    dose = of("placing_dose" if estimate.has("placing_dose", system) else "dose")
    slurry = Strength(
        of("dry_matter"), of("ammoniacal_n") / density, _ph(estimate)[keep], dose * density, str(animals_of(plan.kind))
    )
    spread = take(estimate.sheet["pass_rate"][index], keep)
    cover, saving, delay = "", np.zeros(len(keep)), None
    if estimate.has("lag", system) and (covering := chain.covering_step(system)) is not None:
        machine = next(m for m in chain.steps[covering].machines if kind_of(m).has("covers"))
        cover, saving = kind_of(machine).text("covers"), of("cover_now")
        delay = (of("lag"), of("cover_rate"))
    lies = kind.text("slurry_lies")
    visible, nothing = of("visible"), np.zeros(len(keep))
    opened = lying(_OPEN_WAY.get(lies, kind.text("places")))
    way = lying(kind.text("places"))
    if way.mixes:
        saving = np.full(len(keep), _mixing(estimate, system, keep))
    return Job(
        system, slurry, way, opened, cover, saving,
        visible if lies == "slots" else nothing, visible if lies == "band" else nothing,
        _places(of("area"), spread, delay, points),
    )  # fmt: skip


def _ph(estimate: Estimate) -> FloatArray:
    """Return draws of pH, evenly between the least and the greatest that was found; the same for all systems."""
    slurry = estimate.plan.slurry
    low, high = min(ph_values(slurry)), max(ph_values(slurry))
    if slurry.stand_in is not None:
        entry = load("slurry_ph")[str(animals_of(slurry.kind))].entry("ph")
        low, high = entry.low, entry.high
    if estimate.draws == 1:
        return np.array([(low + high) / 2])
    random = np.random.default_rng([estimate.seed, _PH_PLACE])
    strata = random.permutation(estimate.draws)
    return uniform((strata + random.random(estimate.draws)) / estimate.draws, low, high)


def _mixing(estimate: Estimate, system: int, keep: NDArray[np.int64]) -> FloatArray:
    """Return what a tool that mixes in where it places saves; the factors have it as the way of placing."""
    return take(estimate.values("method_closed", system), keep)


def _places(area: FloatArray, spread: FloatArray, delay: tuple[FloatArray, FloatArray] | None, points: int) -> Places:
    at, weight = (array / 2 for array in np.polynomial.legendre.leggauss(points))
    at = (at + 0.5)[:, None]
    weight = weight[:, None] * np.ones(len(spread))
    if delay is None:
        hours = at * area / spread
        return Places(weight, _whole(hours), np.full(hours.shape, np.inf))
    lag, cover = delay
    gained = area / spread - area / cover
    caught_up = gained > lag
    if not caught_up.any():
        return Places(weight, _whole(at * area / spread), lag + at * area * (1 / cover - 1 / spread))
    # Up to where covering has caught up, and behind it: the delay has a bend there.
    reach = np.where(caught_up, lag / np.where(caught_up, gained, 1), 1.0)
    where = np.concatenate([reach * at, reach + (1 - reach) * at])
    lags = np.maximum(lag + where * area * (1 / cover - 1 / spread), 0)
    return Places(np.concatenate([reach * weight, (1 - reach) * weight]), _whole(where * area / spread), lags)


def _whole(hours: FloatArray) -> tuple[int, ...]:
    return tuple(int(hour) for hour in np.rint(np.median(hours, axis=-1)))


def field_course(model: str, air: Air, job: Job) -> FloatArray | None:
    """Return the loss of the field after every hour from the start of spreading, by draw; nought first.

    What is not spread yet has lost nothing.  None where the model has no factor for the way of placing.
    """
    hours = air.temperature_degc.shape[-1]
    draws = job.places.weight.shape[-1]
    course = np.zeros((draws, hours + 1))
    for place, shift in enumerate(job.places.shift_h):
        if shift >= hours:
            continue
        here = Air(*(values[shift:] for values in air))
        lost = place_course(model, here, job, job.places.delay_h[place], whole=True)
        if lost is None:
            return None
        course[:, shift + 1 :] += job.places.weight[place][:, None] * lost
    return course


def place_course(model: str, air: Air, job: Job, delay_h: FloatArray, *, whole: bool) -> FloatArray | None:
    """Return the loss at one place, weighed with where slurry shows; draws on the first axis."""
    extra = (1,) * (air.temperature_degc.ndim - 1)

    def shaped(values: object) -> FloatArray:
        array = np.asarray(values, dtype=np.float64)
        return array.reshape(array.shape + extra) if array.ndim else array

    slurry = Strength(
        shaped(job.slurry.dry_matter_share), shaped(job.slurry.tan_kg_t), shaped(job.slurry.ph),
        shaped(job.slurry.dose_t_ha), job.slurry.word,
    )  # fmt: skip

    def lost(lies: Lying) -> FloatArray | None:
        return course_of(model, air, slurry, lies, job.cover, shaped(delay_h), shaped(job.saving), whole=whole)

    closed = lost(job.lies)
    shows = job.open_share + job.overflow_share
    if closed is None or not shows.any():
        return closed
    opened = lost(job.opened)
    if opened is None:
        return None
    tail = (1,) * (closed.ndim - 1)
    slit, over = (share.reshape(-1, *tail) for share in (job.open_share, job.overflow_share))
    return loss_of_strip(closed, opened, opened, slit, over)


def _job_notes(estimate: Estimate, job: Job, hours: int) -> list[str]:
    notes = []
    name = estimate.systems[job.system]
    last = max(job.places.shift_h)
    if last > _LONG_H:
        notes.append(
            f"{name}: the field takes about {last} h to spread and is reckoned as worked through without a night"
        )
    if last >= hours:
        notes.append(f"{name}: the weather ends before the field is spread")
    return notes


def _course_notes(
    estimate: Estimate, hours: int, draws: int, levelling: list[int], totals: Mapping[int, FloatArray]
) -> list[str]:
    weather = estimate.plan.weather
    notes = []
    if draws < estimate.draws:
        notes.append(f"{draws} of the {estimate.draws} draws, evenly spaced, were gone through hour by hour")
    if weather.file is None:
        notes.append("one typical hour stands for the whole course: no night, no change of weather")
    elif hours < COURSE_H:
        notes.append(f"the weather file ends {hours} h after the start of spreading, and so does the course")
    silent = [estimate.systems[s] for s in totals if s not in levelling]
    if silent:
        notes.append(
            f"saturation has no factor for closed slots or bands that can be used: no such curve for {', '.join(silent)}"
        )
    notes.append(
        f"{_POINTS} places stand for the field, each spread on the nearest full hour; against 32 places the loss of the "
        "demo field moved by less than 0.002 of the ammoniacal N"
    )
    notes.append("saturation: soil taken as dry, loss as by mass balance, wind at 2 m")
    return notes
