"""The soil about the band, day by day: its temperature, as far as the plan and its weather tell it."""

from __future__ import annotations

import datetime as dt
import weakref
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate.result import Estimate
from spadework.estimate.seedbed.follow import follow_warmth
from spadework.plan import Fault, PlanFaults
from spadework.plan.weather.days import air_days
from spadework.ranges import FloatArray
from spadework.reference import constants

__all__ = ["SoilDays", "soil_days"]

_COLD: Final = -5.0
_WARM: Final = 60.0
_MOST_DAYS: Final = 400
_MODEL_DRAWS: Final = 16
_MODEL_STEP_H: Final = 3  # means of days; against steps of an hour they move by less than 0.15 degC
_KEPT: Final = 4


@dataclass(frozen=True, eq=False)
class SoilDays:
    """Temperature of the soil at seed and band.

    Attributes
    ----------
    mean_degc : ndarray of float
        Mean of each day from that of the slurry on.
    sd_degc : float
        Standard deviation of all days together.
    first : date or None
        The day of the slurry; None where the plan gives a typical hour.
    came_from : str
        Where it came from, for people.
    notes : tuple of str
        What a reader must be told.
    """

    mean_degc: FloatArray
    sd_degc: float
    first: dt.date | None
    came_from: str
    notes: tuple[str, ...]


_Asked = tuple[int, dt.date | None, int]
_remembered: list[tuple[weakref.ref[Estimate], _Asked, SoilDays | str]] = []


def soil_days(estimate: Estimate, days: int, start: dt.date | None = None, system: int | None = None) -> SoilDays:
    """Return the temperature of the soil for so many days from that of the slurry on.

    Parameters
    ----------
    estimate : Estimate
        Its plan says the temperature itself, or has a weather file, or neither.
    days : int
        1 to 400.
    start : date, optional
        Day of the slurry; left out: that of the plan.
    system : int, optional
        One that bands slurry, in whose row the soil is wanted; left out: the weather alone is asked.

    Returns
    -------
    SoilDays
        In this order: the plan's own temperature, the same every day; that of the soil at seed and band in the row, worked
        out from the weather file; where the weather lacks what that needs, its air, averaged over the day and the days
        before it; a round figure of table ``band_weeks``.

    Raises
    ------
    PlanFaults
        Where the weather file cannot be read, or has nothing of these days.
    """
    if not 1 <= days <= _MOST_DAYS:
        raise PlanFaults(
            [Fault("--days", f"{days} days are too few or too many; 1 to {_MOST_DAYS}")], estimate.read.name
        )
    plan, k = estimate.plan, constants("band_weeks")
    weather = plan.weather
    first = start if start is not None else (weather.start.date() if weather.start is not None else None)
    own = None if plan.band is None else plan.band.soil_temperature
    if own is not None:
        sd = own.sd if own.kind == "about" else (own.high - own.low) / np.sqrt(12)
        return SoilDays(
            np.full(days, float(own.value)), float(sd), first, f"the plan: {own.text}, the same every day", ()
        )
    if weather.file is None or first is None:
        note = f"neither the plan nor a weather file tells the temperature of the soil: {k.soil_degc:g} °C taken for every day"
        return SoilDays(np.full(days, k.soil_degc), k.soil_sd, first, f"{k.soil_degc:g} °C, a round figure", (note,))
    modelled = "" if system is None else _by_model(estimate, days, start, system)
    if isinstance(modelled, SoilDays):
        return modelled
    before = int(k.smooth_days) - 1
    try:
        found = air_days(estimate.read, first - dt.timedelta(days=before), before + days)
    except OverflowError:
        what = f"no days can be counted from {first.isoformat()}; check the year"
        raise PlanFaults([estimate.read.fault(what, "weather", "start")], estimate.read.name) from None
    air, notes = found.mean_degc, [modelled] if modelled else []
    there = np.flatnonzero(~np.isnan(air))
    if not len(there[there >= before]):
        what = f"the weather file {weather.file} holds no day from {first.isoformat()} on, in any year"
        raise PlanFaults([estimate.read.fault(what, "weather", "file")], estimate.read.name)
    if other := int(found.other_year.sum()):
        notes.append(
            f"{other} of {len(air)} days stand in the weather file under another year only and were taken from there, as "
            "in a typical year"
        )
    if len(there) < len(air):
        notes.append(
            f"the weather file has no air temperature for {len(air) - len(there)} of {len(air)} days; a straight line "
            "between the days on either side stands in, beyond the ends the nearest day"
        )
        air = np.interp(np.arange(len(air)), there, air[there])
    sums = np.cumsum(np.concatenate([[0.0], air]))
    smooth = (sums[before + 1 :] - sums[: -before - 1]) / (before + 1)
    if smooth.min() < _COLD or smooth.max() > _WARM:
        what = f"the air of the weather file gives soil of {smooth.min():.0f} to {smooth.max():.0f} °C; -5 to 60 °C can be used"
        raise PlanFaults([estimate.read.fault(what, "weather", "file")], estimate.read.name)
    notes.append(
        f"soil temperature: mean of the air over the day and the {before} days before it, no heat flow in the soil reckoned; "
        "bare soil in sun is warmer by day"
    )
    return SoilDays(smooth, k.soil_sd, first, f"air of {weather.file}, averaged over {before + 1} days", tuple(notes))


def _by_model(estimate: Estimate, days: int, start: dt.date | None, system: int) -> SoilDays | str:
    """Return the soil at seed and band in the row, mean of the two, or in words why it cannot be worked out.

    What was found for an estimate is remembered while that estimate lives, for the same weeks are asked for more than once.
    """
    asked = (days, start, system)
    _remembered[:] = [kept for kept in _remembered if kept[0]() is not None][-_KEPT:]
    for of, what, found in _remembered:
        if of() is estimate and what == asked:
            return found
    made = _followed(estimate, days, start, system)
    _remembered.append((weakref.ref(estimate), asked, made))
    return made


def _followed(estimate: Estimate, days: int, start: dt.date | None, system: int) -> SoilDays | str:
    depths = [max(float(np.median(estimate.values(name, system))), 1.0) for name in ("seed_depth", "band_centre")]
    try:
        warmth = follow_warmth(
            estimate,
            days=days,
            draws=_MODEL_DRAWS,
            start=start,
            systems=(system,),
            depth_cm=depths,
            step_h=_MODEL_STEP_H,
        )
    except PlanFaults as fault:
        return f"the warmth of the soil was not worked out: {fault.faults[0].what}"
    degc = warmth.of(system).seed_zone.degc
    by_day = degc.reshape(len(degc), days, -1).mean(axis=2)
    mean = by_day.mean(axis=0)
    if mean.min() < _COLD or mean.max() > _WARM:
        return f"the warmth of the soil was not worked out: it came to {mean.min():.0f} to {mean.max():.0f} °C"
    model_sd = constants("band_weeks").soil_sd
    sd = float(np.hypot(by_day.mean(axis=1).std(), model_sd))
    notes = (
        f"soil temperature: mean of {depths[0]:.0f} and {depths[1]:.0f} cm in the row, from the balance of heat at the surface; "
        f"its mean is weakly known, so {model_sd:g} °C of scatter is added to that of the draws",
        *(note for note in warmth.notes if "draws, evenly spaced" not in note),
    )
    came = f"worked out at seed and band in the row from {warmth.came_from}"
    return SoilDays(mean, sd, warmth.first, came, notes)
