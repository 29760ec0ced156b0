"""How much water the air would take day by day, out of the weather file of a plan: by hours where they were measured.

The evaporation of short grass is reckoned for every hour and added up where light and moisture of the air were measured;
for other days by the day, with the stand-ins of the same paper for what is missing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.plan import Fault, PlanFaults, Read
from spadework.plan.weather.day_hours import DayHours
from spadework.plan.weather.place import Place, place_of
from spadework.ranges import FloatArray, ImpossibleValue
from spadework.science.seedbed.water.radiation import clear_sky, clear_sky_ratio, net_long_wave_hour, net_short_wave
from spadework.science.seedbed.water.reference_et import ground_heat_hour, reference_et_from_weather, reference_et_hour
from spadework.science.seedbed.water.sunlight import sky_radiation_day
from spadework.science.seedbed.water.vapour import (
    air_pressure,
    psychrometric,
    vapour_saturation,
    vapour_slope,
    wind_2_m_over_grass,
)

__all__ = ["ReferenceDays", "reference_days"]

_MJ_PER_W_H = 0.0036


@dataclass(frozen=True, eq=False)
class ReferenceDays:
    """Weather by the day.

    Attributes
    ----------
    et_mm, rain_mm, min_degc : ndarray
        Evaporation of short grass, rain, lowest air temperature; one value a day.
    by_hours : ndarray of bool
        Whether the evaporation was added up from hours.
    notes : tuple of str
        What stands in for what was not measured.
    """

    et_mm: FloatArray
    rain_mm: FloatArray
    min_degc: FloatArray
    by_hours: NDArray[np.bool_]
    notes: tuple[str, ...]


def reference_days(read: Read, days: DayHours, rows: NDArray[np.int64]) -> ReferenceDays:
    """Return the evaporation of short grass, the rain and the cold of some days of the file.

    Parameters
    ----------
    read : Read
        A plan with a weather file; one of the two says the latitude.
    days : DayHours
        Of its weather file.
    rows : ndarray of int
        Which days, one after the other.

    Raises
    ------
    PlanFaults
        Where neither says the latitude, or the weather cannot be.
    """
    weather = read.plan.weather
    place = place_of(read, "how fast the soil dries is worked out from sun and air")
    height = 2.0 if weather.wind_height is None else weather.wind_height.value
    of_year = np.array([days.dates[row].timetuple().tm_yday for row in rows.tolist()], dtype=np.float64)
    air, light, moist = days.air_degc[rows], days.light_w_m2[rows], days.humidity_share[rows]
    lit, damp = (np.asarray(~np.isnan(values).any(axis=1)) for values in (light, moist))
    et = np.full(len(rows), np.nan)
    try:
        wind = wind_2_m_over_grass(days.wind_m_s[rows], height)
        for sun in (True, False):
            for wet in (True, False):
                here = np.flatnonzero((lit == sun) & (damp == wet))
                if not len(here):
                    continue
                if sun and wet:
                    et[here] = _by_hours(air[here], wind[here], light[here], moist[here], of_year[here], place)
                    continue
                solar = _MJ_PER_W_H * light[here].sum(axis=1) if sun else None
                vapour = (moist[here] * vapour_saturation(air[here])).mean(axis=1) if wet else None
                et[here] = reference_et_from_weather(
                    air[here].max(axis=1), air[here].min(axis=1), place.latitude_deg, of_year[here], place.altitude_m, solar,
                    vapour, wind[here].mean(axis=1),
                )  # fmt: skip
    except ImpossibleValue as error:
        what = f"the weather gives no evaporation: {error}"
        raise PlanFaults([Fault("weather", what)], read.name) from None
    return ReferenceDays(
        np.maximum(et, 0),
        days.rain_mm[rows].sum(axis=1),
        air.min(axis=1),
        lit & damp,
        (*_notes(lit, damp, et, int(days.filled_h[rows].sum())), *place.notes),
    )


def _by_hours(
    air: FloatArray,
    wind: FloatArray,
    light: FloatArray,
    moist: FloatArray,
    of_year: FloatArray,
    place: Place,
) -> FloatArray:
    """Return sums of 24 hours; how clear the sky is, is taken from the whole day, for the night has no sun to tell it."""
    sun = _MJ_PER_W_H * np.maximum(light, 0)
    sky = sky_radiation_day(place.latitude_deg, of_year)
    bright = clear_sky_ratio(sun.sum(axis=1), clear_sky(place.altitude_m, sky))[:, np.newaxis]
    full = vapour_saturation(air)
    vapour = np.minimum(moist, 1) * full
    net = net_short_wave(sun) - net_long_wave_hour(air, vapour, bright)
    hours = reference_et_hour(
        air,
        wind,
        net,
        ground_heat_hour(net, sun),
        full - vapour,
        vapour_slope(air),
        psychrometric(air_pressure(place.altitude_m)),
    )
    return np.asarray(hours.sum(axis=1))


def _notes(lit: NDArray[np.bool_], damp: NDArray[np.bool_], et: FloatArray, filled: int) -> list[str]:
    count, notes = len(lit), []
    if filled:
        notes.append(
            f"{filled} h of these days were missing in the weather file: a straight line within the day stands in"
        )
    if whole := int((lit & damp).sum()):
        notes.append(f"evaporation of short grass added up from hours on {whole} of {count} days")
        notes.append("how clear the sky is was taken from the light of the whole day, for all its hours")
    if dark := int((~lit).sum()):
        notes.append(f"no light was measured on {dark} of {count} days: it was taken from the range of temperature")
    if dry := int((~damp).sum()):
        notes.append(
            f"no moisture of the air was measured on {dry} of {count} days: the lowest temperature was taken as dew point"
        )
    if dew := int((et < 0).sum()):
        notes.append(f"on {dew} of {count} days dew outweighs evaporation: counted as none")
    return notes
