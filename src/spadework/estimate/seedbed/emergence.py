"""When maize comes up in the seedbed of every system, by rival rules side by side.

Rules that count soil are given the soil at the depths of the seeds; rules that count air know no system and stand beside them.
Seeds lie at scattered depths: three depths stand for all of them, each with its own warmth and its own heat to emergence.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate.result import Estimate
from spadework.estimate.seedbed.follow import depth_nodes
from spadework.estimate.seedbed.warmth import SoilWarmth
from spadework.estimate.water.days import SurfaceWater, surface_water, water_row
from spadework.plan import PlanFaults
from spadework.ranges import FloatArray
from spadework.reference import constants, load
from spadework.science.seedbed.emergence.heat_sum import moisture_to_germinate
from spadework.science.seedbed.emergence.stand import days_by_rule

__all__ = ["AIR_RULES", "SHARES", "SOIL_RULES", "Emergence", "SystemEmergence", "emerge", "rule_label", "sowing_day"]

SHARES: Final = (0.1, 0.5, 0.9)
"""Of the plants that will come up."""
SOIL_RULES: Final = ("ohio_soil", "itabari", "yin")
"""Rules for the warmth of the soil at the seed."""
AIR_RULES: Final = ("iowa", "purdue", "wisconsin", "ohio_air")
"""Rules for that of the air."""
_SLICES: Final = np.arange(0.05, 1.0, 0.1)
_FINE: Final = {"coarse": -1.0, "medium": 0.0, "fine": 1.0}
_HOURS: Final = 24
_DRY_DAYS: Final = 28  # without rain the rest of the weeks only gets drier


@dataclass(frozen=True, eq=False)
class SystemEmergence:
    """One system.

    Attributes
    ----------
    system : int
        In the order of the plan.
    days : mapping
        Rule to days from sowing, a row for each of ``SHARES``, by draw; infinite where the weeks end before.
    slices : mapping
        Rule to days from sowing of the seeds, ranked and all standing for as many, a row for each slice, by draw.
    rain_only_days : mapping
        As `days`, if nothing but rain wetted the seed zone and no heat counted while it is too dry; empty where that is not
        known.
    too_dry_days : ndarray or None
        Days of the first weeks after sowing on which the seed zone would then be too dry, by draw.
    """

    system: int
    days: Mapping[str, FloatArray]
    slices: Mapping[str, FloatArray]
    rain_only_days: Mapping[str, FloatArray]
    too_dry_days: FloatArray | None


@dataclass(frozen=True, eq=False)
class Emergence:
    """Emergence of all systems.

    Attributes
    ----------
    sown : date
        Day of sowing, the same for all systems; counted from its midnight.
    wait_days : int
        Days from the work to sowing.
    systems : tuple of SystemEmergence
        In the order of the warmth.
    air_days : mapping
        Rule to days from sowing of ``SHARES``, by the air.
    water : SurfaceWater or None
        Where moisture was followed day by day.
    notes : tuple of str
        What a reader must be told.
    """

    sown: dt.date
    wait_days: int
    systems: tuple[SystemEmergence, ...]
    air_days: Mapping[str, FloatArray]
    water: SurfaceWater | None
    notes: tuple[str, ...]

    def of(self, system: int) -> SystemEmergence:
        """Return what was found of a system of the plan."""
        return next(one for one in self.systems if one.system == system)


def rule_label(rule: str) -> str:
    """Return what a rule is called for people."""
    own = {"yin": "curve with a peak", "itabari": "Kenya, by depth"}
    return own[rule] if rule in own else load("maize_emergence")[rule].label


def sowing_day(estimate: Estimate) -> tuple[int, bool]:
    """Return days from the work to sowing, and whether the plan says them."""
    band = estimate.plan.band
    if band is not None and band.wait is not None:
        return round(band.wait.value), True
    return int(constants("seedbed_weeks").unmeasured_wait_days), False


def emerge(estimate: Estimate, warmth: SoilWarmth) -> Emergence:
    """Return when plants come up in every system of a run of warmth.

    Parameters
    ----------
    estimate : Estimate
        Of the plan.
    warmth : SoilWarmth
        By the hour, at the depths of :func:`~spadework.estimate.seedbed.follow.depth_nodes`.
    """
    wait, said = sowing_day(estimate)
    notes = [] if said else [f"the plan says no wait: sown {wait} d after the work"]
    wait = min(wait, warmth.days - 1)
    water, why = _water(estimate, warmth)
    notes += why
    _, weights = depth_nodes(estimate)
    fine = _FINE[load("texture_class")[estimate.plan.field.texture].text("draft_class")]
    systems = []
    for one in warmth.systems:
        degc = one.seed_zone.degc[:, wait * _HOURS :]
        mixed = {rule: _mixed(_by_depth(degc, rule, warmth.depth_cm, fine), weights) for rule in SOIL_RULES}
        even = {rule: np.stack([_at(*pair, share) for share in _SLICES]) for rule, pair in mixed.items()}
        moist = _moist(estimate, warmth, water, one.system, wait)
        rain_only, too_dry = {}, None
        if moist is not None:
            hours = np.repeat(moist, _HOURS, axis=1)
            rain_only = {
                rule: _up(_mixed(_by_depth(degc, rule, warmth.depth_cm, fine, hours), weights)) for rule in SOIL_RULES
            }
            too_dry = np.asarray((1 - moist[:, : int(constants("seedbed_weeks").shown_days)]).sum(axis=1))
        up = {rule: _up(pair) for rule, pair in mixed.items()}
        systems.append(SystemEmergence(one.system, up, even, rain_only, too_dry))
    air = warmth.air_degc[wait * _HOURS :]
    middle = float(warmth.depth_cm[warmth.seed_at])
    by_air = {rule: days_by_rule(air, rule, middle, fine=fine, shares=np.array(SHARES)) for rule in AIR_RULES}
    sown = warmth.first + dt.timedelta(days=wait)
    notes.append("all systems are taken as sown on the same day; crust, clods and a shut slot are left out")
    return Emergence(sown, wait, tuple(systems), by_air, water, tuple(notes))


def _by_depth(
    degc: FloatArray, rule: str, depth_cm: FloatArray, fine: float, moist: FloatArray | float = 1.0
) -> FloatArray:
    """Return days from sowing by depth, slice of the seeds and draw, where seeds of each depth have its warmth."""
    found = [
        days_by_rule(degc[..., place], rule, depth, fine=fine, moist=moist, shares=_SLICES)
        for place, depth in enumerate(depth_cm.tolist())
    ]
    return np.stack(found)


def _up(ranked: tuple[FloatArray, FloatArray]) -> FloatArray:
    """Return the days at which the printed shares of the seeds are up, by draw."""
    return np.stack([_at(*ranked, share) for share in SHARES])


def _water(estimate: Estimate, warmth: SoilWarmth) -> tuple[SurfaceWater | None, list[str]]:
    """Return the moisture of the seed zone where it can be followed, and what to say of it."""
    days = min(warmth.days, 120)
    try:
        water = surface_water(estimate, days=days, draws=warmth.draws, start=warmth.first)
    except PlanFaults as fault:
        return None, [f"the seed zone is taken as moist enough all the time ({fault.faults[0].what})"]
    if not water.has_rain:
        water = surface_water(estimate, days=min(days, _DRY_DAYS), draws=warmth.draws, start=warmth.first)
        said = "no rain in the weather: the seed zone is taken as moist enough all the time, for the ground would dry out in it"
        return water, [said]
    share = 100 * constants("emergence").moist_share
    return water, [
        "days to emergence are those in a moist seed zone. Beside them stands what would be if nothing but rain wetted it: the "
        f"drying store knows no water that rises from below, and by it ground below {share:.0f} % of the way from wilting to "
        "field capacity counts as too dry to germinate (our choice)"
    ]


def _moist(
    estimate: Estimate, warmth: SoilWarmth, water: SurfaceWater | None, system: int, wait: int
) -> FloatArray | None:
    """Return 1 on days on which rain alone keeps the seed zone moist enough, by draw and day; None where it is not known."""
    if water is None or not water.has_rain:
        return None
    row = water_row(estimate)
    floor = moisture_to_germinate(row.entry("field_capacity").value, row.entry("wilting").value)
    share = water.systems[system].seed_zone.moisture("linear")
    loose = water.systems[system].seed_zone.capacity_share / row.entry("field_capacity").value
    fine = share >= floor * np.minimum(loose, 1)[:, np.newaxis]
    days = np.concatenate([fine, np.repeat(fine[:, -1:], warmth.days - fine.shape[1], axis=1)], axis=1)
    return np.asarray(days[:, wait:].astype(np.float64))


def _mixed(found: FloatArray, weights: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return days of the seeds of all depths, ranked, and the middle of the share of all seeds that each stands for.

    Notes
    -----
    `found` has depths, slices of equal size, draws.
    """
    flat = found.reshape(-1, found.shape[-1])
    weight = np.repeat(weights / found.shape[1], found.shape[1])
    order = np.argsort(flat, axis=0)
    ranked = np.take_along_axis(flat, order, axis=0)
    by_rank = weight[order]
    return ranked, np.asarray(np.cumsum(by_rank, axis=0) - by_rank / 2)


def _at(ranked: FloatArray, share: FloatArray, wanted: float) -> FloatArray:
    """Return the days at which a share of the seeds is up, by draw; straight lines between seeds."""
    above = np.clip((share < wanted).sum(axis=0), 1, len(share) - 1)
    draw = np.arange(ranked.shape[1])
    low, high = ranked[above - 1, draw], ranked[above, draw]
    left, right = share[above - 1, draw], share[above, draw]
    part = np.clip((wanted - left) / np.where(right > left, right - left, 1), 0, 1)
    known = np.isfinite(low) & np.isfinite(high)
    step = np.where(known, high, 0.0) - np.where(known, low, 0.0)
    return np.where(known, np.where(known, low, 0.0) + part * step, np.where(part > 0, np.inf, low))
