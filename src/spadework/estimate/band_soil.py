"""The soil about the band, day by day: its temperature, as far as the plan and its weather tell it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate.result import Estimate
from spadework.plan import Fault, PlanFaults
from spadework.plan.weather_days import air_days
from spadework.ranges import FloatArray
from spadework.reference import constants

__all__ = ["SoilDays", "soil_days"]

_COLD: Final = -5.0
_WARM: Final = 60.0
_MOST_DAYS: Final = 400


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


def soil_days(estimate: Estimate, days: int, start: dt.date | None = None) -> SoilDays:
    """Return the temperature of the soil for so many days from that of the slurry on.

    Parameters
    ----------
    estimate : Estimate
        Its plan says the temperature itself, or has a weather file, or neither.
    days : int
        1 to 400.
    start : date, optional
        Day of the slurry; left out: that of the plan.

    Returns
    -------
    SoilDays
        In this order: the plan's own temperature, the same every day; the air of the weather file, averaged over the day
        and the days before it; a round figure of table ``band_weeks``.

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
    before = int(k.smooth_days) - 1
    try:
        found = air_days(estimate.read, first - dt.timedelta(days=before), before + days)
    except OverflowError:
        what = f"no days can be counted from {first.isoformat()}; check the year"
        raise PlanFaults([estimate.read.fault(what, "weather", "start")], estimate.read.name) from None
    air, notes = found.mean_degc, []
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
