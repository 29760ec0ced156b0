"""Water of the top layer as the warmth of the soil meets it: moisture, and how far it still gives off vapour.

The drying of every kind of ground is followed day by day in :mod:`~spadework.estimate.water.days`.  Dry soil conducts less, holds
less heat and spends less of it on evaporation, so its surface grows warmer by day.  Without rain in the weather the ground would
dry out as in no spring; then, and where the drying cannot be followed, the soil keeps the moisture of the plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate.result import Estimate
from spadework.estimate.seedbed.hours import SoilHours
from spadework.estimate.seedbed.zones import GroundZone
from spadework.estimate.water.days import SurfaceWater, surface_water
from spadework.plan import PlanFaults
from spadework.ranges import FloatArray
from spadework.reference import constants

__all__ = ["TopWater", "top_water"]

_RULE: Final = "linear"
"""Shape of the effect of residue; the seed zone is told by the same."""
_MOST_DAYS: Final = 120
_KEPT: Final = (
    "the soil keeps the moisture of the plan: it neither dries nor gets rain in this model, and does not freeze"
)
_FOLLOWED: Final = (
    "moisture of the top layer is followed day by day: it sets how the soil conducts and holds heat and how fast it gives off "
    "vapour; below the layer the soil keeps the moisture of the plan, and nothing freezes"
)


@dataclass(frozen=True, eq=False)
class TopWater:
    """The top layer of some zones, by zone, draw and day.

    Attributes
    ----------
    moisture_share : ndarray
        Mean of the layer over the day, by volume.
    wet_share : ndarray
        Share of the full rate at which the ground gives off vapour.
    layer_cm : ndarray
        Depth of the layer, by draw.
    """

    moisture_share: FloatArray
    wet_share: FloatArray
    layer_cm: FloatArray


def top_water(
    estimate: Estimate, zones: Sequence[GroundZone], hours: SoilHours, draws: int
) -> tuple[TopWater | None, list[str]]:
    """Return the water of the top layer of zones, None where they keep that of the plan, and what to note.

    Parameters
    ----------
    estimate : Estimate
        Of the plan.
    zones : sequence of GroundZone
        Whose.
    hours : SoilHours
        The days that are followed; after the last that the drying reaches it stays as it is.
    draws : int
        Of the estimate's, evenly spaced; the same ones as in the warmth.
    """
    least = int(constants("water_weeks").least_days)
    try:
        water = surface_water(estimate, days=min(max(hours.days, least), _MOST_DAYS), draws=draws, start=hours.first)
    except PlanFaults as fault:
        return None, [f"{_KEPT} ({fault.faults[0].what})"]
    if not water.has_rain:
        return None, [_KEPT]
    pairs = [_of(water, zone) for zone in zones]
    found = TopWater(
        np.stack([moisture for moisture, _ in pairs]),
        np.stack([wet for _, wet in pairs]),
        100 * water.systems[0].zones[0].layer_m,
    )
    return found, [_FOLLOWED]


def _of(water: SurfaceWater, zone: GroundZone) -> tuple[FloatArray, FloatArray]:
    """Return mean moisture and share of the full rate of a zone, by draw and day."""
    ground = next(one for one in water.systems[zone.system].zones if one.name == zone.name)
    ends = ground.moisture(_RULE)
    course = ground.dried[_RULE]
    gone = course.evaporation_mm / (1000 * ground.layer_m[:, np.newaxis])
    # rain comes first in the day, so the layer goes from its end and what evaporated down to its end
    return ends + gone / 2, course.wet_share
