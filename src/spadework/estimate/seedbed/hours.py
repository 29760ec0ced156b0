"""Weather as the ground meets it, hour by hour, out of the weather file of a plan, and what stands in where it says nothing.

Air and wind must be in the file.  Light, vapour and cloud are taken from it where it holds them; for days without them the
stand-ins of the science are used, and a note counts those days.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.plan import Fault, PlanFaults, Read
from spadework.plan.weather.day_hours import DayHours, day_hours
from spadework.plan.weather.place import Place, place_of
from spadework.ranges import FloatArray, ImpossibleValue
from spadework.reference import constants
from spadework.science.seedbed.heat.surface_weather import hourly_weather, sky_long_wave
from spadework.science.seedbed.water.radiation import clear_sky, clear_sky_ratio
from spadework.science.seedbed.water.sunlight import sky_radiation_day
from spadework.science.seedbed.water.vapour import vapour_saturation
from spadework.science.slurry.course_hafner import wind_at_2_m

__all__ = ["SoilHours", "soil_hours"]

_MJ_PER_W_H = 0.0036
_LEAST_KPA = 0.01


@dataclass(frozen=True, eq=False)
class SoilHours:
    """Hours from midnight of the first day on, on the clock of the plan; arrays of days by 24.

    Attributes
    ----------
    first : date
        Of the first day.
    air_degc, light_w_m2, vapour_kpa, wind_m_s, sky_w_m2 : ndarray
        Air, sunlight, vapour, wind at 2 m, long waves from the sky.
    before : int
        Days before the first that were asked for; rows of the arrays.
    altitude_m : float
        Height above the sea.
    came_from : str
        Where the weather came from, for people.
    notes : tuple of str
        What a reader must be told.
    """

    first: dt.date
    air_degc: FloatArray
    light_w_m2: FloatArray
    vapour_kpa: FloatArray
    wind_m_s: FloatArray
    sky_w_m2: FloatArray
    before: int
    altitude_m: float
    came_from: str
    notes: tuple[str, ...]

    @property
    def days(self) -> int:
        """Days from the first on."""
        return len(self.air_degc) - self.before


def soil_hours(read: Read, first: dt.date, days: int, before: int, least: int | None = None) -> SoilHours:
    """Return the weather of so many days, and of days before them as far back as the file goes.

    Parameters
    ----------
    read : Read
        Its plan has a weather file, and one of the two says the latitude.
    first : date
        First day that counts.
    days, before : int
        How many from it on, and how many before it.
    least : int, optional
        Days that will do where the file ends early, which is noted; left out: all of them are needed.

    Raises
    ------
    PlanFaults
        Where there is no weather file or no latitude, the file lacks one of the days, or the weather cannot be.
    """
    weather = read.plan.weather
    if weather.file is None:
        what = "the warmth of the soil needs a weather file that goes on for weeks; give file, start and hours"
        raise PlanFaults([read.fault(what, "weather")], read.name)
    place = place_of(read, "the warmth of the soil is worked out from sun and sky")
    table = day_hours(read)
    try:
        dates = [first + dt.timedelta(days=number) for number in range(-before, days)]
    except OverflowError:
        what = f"no days can be counted from {first.isoformat()}; check the year"
        raise PlanFaults([read.fault(what, "weather", "start")], read.name) from None
    rows, other = table.rows_of(dates, other_years=True)
    rows, other, dates, before, notes = _cut(read, rows, other, dates, before, days if least is None else least)
    if there_else := int(other.sum()):
        notes.append(
            f"{there_else} of {len(rows)} days stand in the weather file under another year only and were taken from "
            "there, as in a typical year"
        )
    notes += place.notes
    height = 2.0 if weather.wind_height is None else weather.wind_height.value
    try:
        parts, said = _parts(table, rows, place, dates[0].timetuple().tm_yday, height)
    except ImpossibleValue as error:
        what = f"the warmth of the soil cannot be worked out from this weather: {error}"
        raise PlanFaults([Fault("weather", what)], read.name) from None
    came = f"{weather.file}, beside the plan"
    return SoilHours(first, *parts, before, place.altitude_m, came, (*notes, *said))


def _cut(
    read: Read, rows: NDArray[np.int64], other: NDArray[np.bool_], dates: list[dt.date], before: int, least: int
) -> tuple[NDArray[np.int64], NDArray[np.bool_], list[dt.date], int, list[str]]:
    """Return the days without a break: as many before the first as there are, and those from it on; and what to note."""
    gone = np.flatnonzero(rows < 0)
    early, late = gone[gone < before], gone[gone >= before]
    stop, notes = len(rows), []
    if len(late):
        stop, missing = int(late[0]), dates[late[0]]
        if stop - before < least:
            what = (
                f"the weather file {read.plan.weather.file} lacks {len(late)} of {len(dates) - before} days, the first of "
                f"them {missing.isoformat()}, in every year; {least} days in a row from {dates[before].isoformat()} are needed"
            )
            raise PlanFaults([read.fault(what, "weather", "file")], read.name)
        notes.append(
            f"the weather file lacks {missing.isoformat()}: the soil is followed for {stop - before} days only"
        )
    start = 0 if not len(early) else int(early[-1]) + 1
    return rows[start:stop], other[start:stop], dates[start:stop], before - start, notes


def _parts(
    table: DayHours, rows: NDArray[np.int64], place: Place, of_year: float, height: float
) -> tuple[tuple[FloatArray, FloatArray, FloatArray, FloatArray, FloatArray], list[str]]:
    """Return air, light, vapour, wind and sky by day and hour, and what stands in."""
    count, notes = len(rows), []
    latitude, altitude = place.latitude_deg, place.altitude_m
    air = table.air_degc[rows]
    low, high = air.min(axis=1), air.max(axis=1)
    made = hourly_weather(low, high, latitude, of_year, altitude_m=altitude)
    light, humid = table.light_w_m2[rows], table.humidity_share[rows]
    dark, dry = (np.asarray(np.any(np.isnan(one), axis=1)) for one in (light, humid))
    light = np.where(dark[:, np.newaxis], made.light_w_m2.reshape(-1, 24), np.maximum(light, 0))
    vapour = np.where(
        dry[:, np.newaxis], made.vapour_kpa.reshape(-1, 24), np.clip(humid, 0, 1) * vapour_saturation(air)
    )
    vapour = np.maximum(vapour, _LEAST_KPA)
    if dark.any():
        notes.append(
            f"no light was measured on {int(dark.sum())} of {count} days: it was taken from the range of temperature, on the "
            "clock of the sun"
        )
    if dry.any():
        notes.append(
            f"no moisture of the air was measured on {int(dry.sum())} of {count} days: the lowest temperature was taken as "
            "dew point"
        )
    breeze = wind_at_2_m(table.wind_m_s[rows], height, constants("ammonia_hafner").roughness_bare_soil)
    calm = constants("seedbed_weeks").calm_m_s
    if still := int((breeze < calm).sum()):
        notes.append(f"wind at 2 m was below {calm:g} m/s in {still} of {24 * count} h: counted as {calm:g} m/s")
    k = constants("reference_et")
    day = (of_year - 1 + np.arange(count)) % 365 + 1
    bright = clear_sky_ratio(_MJ_PER_W_H * light.sum(axis=1), clear_sky(altitude, sky_radiation_day(latitude, day)))
    cloud = np.clip(1 + k.cloud_b - k.cloud_a * bright, 0, 1)  # by the light of the day, as in the science
    sky = sky_long_wave(air, vapour, cloud[:, np.newaxis])
    notes.append("cloud was taken from the light of the whole day, for the night too")
    return (air, light, vapour, np.maximum(breeze, calm), sky), notes
