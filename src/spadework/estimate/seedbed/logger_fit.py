"""What loggers in the soil say of the zones of a plan: how the surface of each follows the air, with standard errors."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate.chain import Chain
from spadework.estimate.draws import normal_between
from spadework.estimate.result import Estimate
from spadework.plan import Fault, PlanFaults
from spadework.plan.weather.day_hours import day_hours
from spadework.ranges import FloatArray, ImpossibleValue
from spadework.science.seedbed.heat.surface_transfer import TransferFit, transfer_fit

__all__ = ["AIR", "Logged", "ZoneFit", "fit_loggers", "fit_of", "transfer_draws", "zone_words"]

AIR: Final = "air"
"""Zone of a logger that hangs in the air."""
_FEWEST_DAYS: Final = 12
_FAR: Final = 3.0  # standard errors at which draws are cut off
_PLACE: Final = 5_000_003  # apart from the places of all inputs on the worksheet
_LEAST_CM: Final = 2.0


@dataclass(frozen=True, eq=False)
class Logged:
    """What one logger read, by whole days.

    Attributes
    ----------
    zone : str
        Where it stood.
    depth_cm : float
        Depth; nil in the air.
    days : mapping of date to ndarray
        24 hourly means of each day that has a reading in every hour.
    """

    zone: str
    depth_cm: float
    days: dict[dt.date, FloatArray]


@dataclass(frozen=True, eq=False)
class ZoneFit:
    """One zone.

    Attributes
    ----------
    zone : str
        ``strip``, ``between``, or the name of a system worked over its whole width.
    fit : TransferFit
        Shift, swing, lag and damping depth.
    depth_cm : tuple of float
        Of the two loggers.
    first, last : date
        The days that were used, ends included.
    air_from : str
        Where the air came from, for people.
    """

    zone: str
    fit: TransferFit
    depth_cm: tuple[float, float]
    first: dt.date
    last: dt.date
    air_from: str


def zone_words(estimate: Estimate) -> tuple[str, ...]:
    """Return what may stand as a zone in a table of loggers."""
    chain = Chain(estimate.read)
    words: list[str] = []
    for system, name in enumerate(estimate.systems):
        two = chain.strip_step(system) is not None and bool((estimate.values("tilled", system) < 0.999).all())
        words += ["strip", "between"] if two else [name]
    return tuple(dict.fromkeys(words))


def fit_of(fits: Sequence[ZoneFit], system: str, zone: str) -> ZoneFit | None:
    """Return the fit of a zone of a system; None where no logger stood there."""
    word = system if zone == "whole" else zone
    return next((fit for fit in fits if fit.zone == word), None)


def fit_loggers(estimate: Estimate, logged: Sequence[Logged], name: str = "the loggers") -> tuple[ZoneFit, ...]:
    """Fit every zone that loggers stood in.

    Parameters
    ----------
    estimate : Estimate
        Of the plan; its weather file gives the air where no logger hung in it.
    logged : sequence of Logged
        From :func:`spadework.records.files.loggers.read_loggers`.
    name : str
        What faults are told of, such as the name of the file.

    Raises
    ------
    PlanFaults
        Where a zone has not two loggers, or they have too few days in a row together.
    """
    air, air_from = _air(estimate, logged, name)
    zones = list(dict.fromkeys(one.zone for one in logged if one.zone != AIR))
    if not zones:
        raise PlanFaults([Fault("column zone", "holds no logger in the soil; two depths of a zone are needed")], name)
    faults: list[Fault] = []
    found = []
    for zone in zones:
        pair = sorted((one for one in logged if one.zone == zone), key=lambda one: one.depth_cm)
        if len(pair) != 2:
            depths = ", ".join(f"{one.depth_cm:g} cm" for one in pair)
            what = f"{zone} has loggers at {depths}; two depths are needed, such as 5 and 10 cm"
            faults.append(Fault("column depth_cm", what))
            continue
        days = _in_a_row(air, pair[0].days, pair[1].days)
        if len(days) < _FEWEST_DAYS:
            what = (
                f"{zone}: {len(days)} whole days in a row with both loggers and the air; {_FEWEST_DAYS} are needed, each "
                "with a reading in every hour"
            )
            faults.append(Fault("column time", what))
            continue
        around, shallow, deep = (
            np.concatenate([source[day] for day in days]) for source in (air, pair[0].days, pair[1].days)
        )
        try:
            fit = transfer_fit(around, shallow, deep, pair[0].depth_cm, pair[1].depth_cm)
        except ImpossibleValue as error:
            faults.append(Fault("", f"the loggers of {zone} cannot be: {error}"))
            continue
        found.append(ZoneFit(zone, fit, (pair[0].depth_cm, pair[1].depth_cm), days[0], days[-1], air_from))
    if faults:
        raise PlanFaults(faults, name)
    return tuple(found)


def transfer_draws(fit: TransferFit, seed: int, number: int) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Return draws of shift [K], ratio of the swings [1], lag [h] and damping depth [cm] within their standard errors."""
    found = []
    pairs = (
        (fit.shift_k, fit.shift_se_k, -20.0), (fit.swing_ratio, fit.swing_ratio_se, 0.0),
        (fit.lag_h, fit.lag_se_h, -6.0), (fit.damping_cm, fit.damping_se_cm, _LEAST_CM),
    )  # fmt: skip
    for place, (value, error, least) in enumerate(pairs):
        if number == 1 or error == 0:
            found.append(np.full(number, value))
            continue
        random = np.random.default_rng([seed, _PLACE + place])
        at = (random.permutation(number) + random.random(number)) / number
        found.append(normal_between(at, value, error, max(value - _FAR * error, least), value + _FAR * error))
    shift, ratio, lag, damping = found
    return shift, ratio, lag, damping


def _air(estimate: Estimate, logged: Sequence[Logged], name: str) -> tuple[Mapping[dt.date, FloatArray], str]:
    hung = next((one for one in logged if one.zone == AIR), None)
    if hung is not None:
        return hung.days, "a logger in the air"
    if estimate.plan.weather.file is None:
        what = "holds no logger in the air, and the plan has no weather file; one of the two is needed"
        raise PlanFaults([Fault("column zone", what)], name)
    table = day_hours(estimate.read)
    return dict(zip(table.dates, table.air_degc, strict=True)), f"air of {estimate.plan.weather.file}"


def _in_a_row(*sources: Mapping[dt.date, FloatArray]) -> list[dt.date]:
    """Return the longest run of days that all sources have."""
    common = sorted(set.intersection(*(set(source) for source in sources)))
    best: list[dt.date] = []
    run: list[dt.date] = []
    for day in common:
        run = [*run, day] if run and day - run[-1] == dt.timedelta(days=1) else [day]
        if len(run) > len(best):
            best = run
    return best
