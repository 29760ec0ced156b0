"""Where the weather of a plan was measured: latitude and altitude of the plan, or of the head of the weather file.

The plan comes first.  What it leaves out is taken from the head of a typical year, where that says it, and a note tells so.
Where both say it and lie far apart the plan counts, and a note tells that too.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from spadework.plan.as_read import Read
from spadework.plan.faults import PlanFaults
from spadework.plan.weather.series import head_place
from spadework.plan.weather.table import HeadPlace

__all__ = ["Place", "place_of"]

_FURTHEST_DEG: Final = 66.0  # beyond it the sun does not rise and set on every day
_APART_DEG: Final = 1.0
_APART_M: Final = 200.0


@dataclass(frozen=True, slots=True)
class Place:
    """Where the weather was measured.

    Attributes
    ----------
    latitude_deg : float
        North positive.
    altitude_m : float
        Above the sea; nil where nobody says it, which is noted.
    notes : tuple of str
        What a reader must be told.
    """

    latitude_deg: float
    altitude_m: float
    notes: tuple[str, ...]


def place_of(read: Read, why: str) -> Place:
    """Return latitude and altitude of the weather of a plan.

    Parameters
    ----------
    read : Read
        A plan with a weather file.
    why : str
        What needs the latitude, for the fault: ``the warmth of the soil is worked out from sun and sky``.

    Raises
    ------
    PlanFaults
        Where neither the plan nor the head of the file says the latitude, or the head says one too near a pole.
    """
    weather, head, notes = read.plan.weather, head_place(read), []
    latitude = weather.latitude
    if latitude is None:
        if math.isnan(head.latitude_deg):
            where = "" if weather.layout == "columns" else f", which the head of {weather.file} does not say"
            what = f"{why}: say the latitude of the place{where}, e.g. latitude = 52.3"
            raise PlanFaults([read.fault(what, "weather", "latitude")], read.name)
        latitude = head.latitude_deg
        if abs(latitude) > _FURTHEST_DEG:
            what = (
                f"the head of {weather.file} says a latitude of {latitude:g}; the sun must rise and set on every day: "
                f"{-_FURTHEST_DEG:g} to {_FURTHEST_DEG:g} will do"
            )
            raise PlanFaults([read.fault(what, "weather", "file")], read.name)
        notes.append(f"latitude {latitude:g} degrees, from the head of {weather.file}")
    elif abs(head.latitude_deg - latitude) > _APART_DEG:
        notes.append(
            f"the plan says a latitude of {latitude:g} degrees, the head of {weather.file} {head.latitude_deg:g}: the plan "
            "counts; check whether this is the weather of the place"
        )
    altitude, said = _altitude(read, head)
    return Place(latitude, altitude, (*notes, *said))


def _altitude(read: Read, head: HeadPlace) -> tuple[float, list[str]]:
    weather = read.plan.weather
    if weather.altitude is None:
        if math.isnan(head.altitude_m):
            where = "" if weather.layout == "columns" else " or in the head of the weather file"
            return 0.0, [f"no altitude in the plan{where}: counted as sea level"]
        return head.altitude_m, [f"altitude {head.altitude_m:g} m, from the head of {weather.file}"]
    if abs(head.altitude_m - weather.altitude.value) > _APART_M:
        said = (
            f"the plan says an altitude of {weather.altitude.value:g} m, the head of {weather.file} {head.altitude_m:g} m: the "
            "plan counts"
        )
        return weather.altitude.value, [said]
    return weather.altitude.value, []
