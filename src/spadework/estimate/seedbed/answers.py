"""What the warmth of the seedbed means: means and day ranges, hours above a base, when a rule of sowing is met, one day's cut."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from spadework.estimate.result import Estimate
from spadework.estimate.seedbed.follow import strip_cut
from spadework.estimate.seedbed.warmth import SoilWarmth
from spadework.ranges import FloatArray
from spadework.reference import constants
from spadework.science.seedbed.heat.conduction import conduct_from_flow
from spadework.science.seedbed.heat.soil import first_day_temperature
from spadework.science.seedbed.heat.strip import strip_weight
from spadework.science.seedbed.heat.waves import damping_depth

__all__ = [
    "MOMENTS",
    "DayCut",
    "Ends",
    "Figures",
    "cold_slurry",
    "day_cut",
    "ends_of_strip",
    "figures_of",
    "first_sowable",
    "shown_days",
    "window",
]

MOMENTS: Final = (6, 12, 15, 21)
"""Hours of the day at which a cut is shown."""
_HOURS: Final = 24
_DAY_FROM, _DAY_TO = 3, 12  # among these the sunniest is shown
_ACROSS: Final = 25
_DEPTHS: Final = np.concatenate([np.arange(1.0, 10.5, 1.0), np.arange(12.0, 31.0, 2.0)])
_CUT_WAVES: Final = 40
_MANY_DAYS_CM: Final = 1e8  # damping depth of what does not change


@dataclass(frozen=True, eq=False)
class Figures:
    """What is said of one kind of ground at the depth of the seed, by draw, over the first weeks.

    Attributes
    ----------
    mean_degc : ndarray
        Mean of all hours.
    range_k : ndarray
        Warmest less coldest hour of a day, mean of the days.
    hours_above_cool, hours_above_warm : ndarray
        Hours at or above the two bounds of the rules of sowing.
    """

    mean_degc: FloatArray
    range_k: FloatArray
    hours_above_cool: FloatArray
    hours_above_warm: FloatArray


@dataclass(frozen=True, eq=False)
class DayCut:
    """A cut across one row on one day, mean of the draws.

    Attributes
    ----------
    day : date
        The sunniest of the first days.
    across_cm, depth_cm : ndarray
        Points: from the middle of the strip to the middle between strips; depth.
    degc : ndarray
        Moment, depth, across.
    strip_width_cm, row_spacing_cm : float
        Of the system.
    """

    day: dt.date
    across_cm: FloatArray
    depth_cm: FloatArray
    degc: FloatArray
    strip_width_cm: float
    row_spacing_cm: float


@dataclass(frozen=True)
class Ends:
    """Strip against the ground between with the surfaces at the ends of their ranges, every end with every other.

    Attributes
    ----------
    mean_low_k, mean_high_k : float
        Least and greatest difference of the means.
    warmer_share : float
        Share of the cases in which the strip is the warmer.
    ratio_low, ratio_high : float
        Least and greatest day range between strips over that in the strip.
    """

    mean_low_k: float
    mean_high_k: float
    warmer_share: float
    ratio_low: float
    ratio_high: float


def window(warmth: SoilWarmth) -> int:
    """Return the days over which means are taken: the first weeks, or all where there are fewer."""
    return min(warmth.days, int(constants("seedbed_weeks").shown_days))


def shown_days(warmth: SoilWarmth, system: int, zone: str | None = None) -> FloatArray:
    """Return temperatures at the depth of the seed, by draw, day and hour."""
    degc = warmth.at_seed(system, zone)
    return degc.reshape(len(degc), warmth.days, _HOURS)


def figures_of(warmth: SoilWarmth, system: int, zone: str | None = None) -> Figures:
    """Return what is said of a zone of a system, at the middle depth of the seed."""
    k = constants("seedbed_weeks")
    days = shown_days(warmth, system, zone)[:, : window(warmth)]
    return Figures(
        days.mean(axis=(1, 2)),
        (days.max(axis=2) - days.min(axis=2)).mean(axis=1),
        (days >= k.sow_cool_degc).sum(axis=(1, 2)).astype(np.float64),
        (days >= k.sow_warm_degc).sum(axis=(1, 2)).astype(np.float64),
    )


def first_sowable(warmth: SoilWarmth, system: int, bound_degc: float) -> FloatArray:
    """Return the first day, counted from that of the work, on which a rule of sowing is met where the seed lies, by draw.

    Soil at the depth of the seed is at or above the bound in the early morning, on so many mornings in a row as the table asks
    for; the day is that of the last of them.  Infinite where it never is.
    """
    k = constants("seedbed_weeks")
    morning = shown_days(warmth, system)[:, :, int(k.morning_h) - 1]  # an hour's value stands at its end
    fine, wanted = morning >= bound_degc, int(k.sow_in_a_row)
    if warmth.days < wanted:
        return np.full(len(fine), np.inf)
    run = np.asarray(np.all(np.lib.stride_tricks.sliding_window_view(fine, wanted, axis=1), axis=-1))
    return np.where(np.any(run, axis=1), np.argmax(run, axis=1) + wanted - 1.0, np.inf)


def ends_of_strip(estimate: Estimate, warmth: SoilWarmth, system: int) -> Ends:
    """Return how far strip and ground between can lie apart at seed depth when surfaces are at the ends of their ranges.

    The contrast of two whole fields is carried to the strip by :func:`~spadework.science.seedbed.heat.strip.strip_weight`, which
    is exact for the means and takes the wave of the day for the day range; what the strip gives off warms the ground between.
    """
    run = warmth.run
    strip, between = (place for place, zone in enumerate(run.zones) if zone.system == system)
    degc = run.ends_degc[[strip, between]][..., warmth.seed_at]
    days = degc.reshape(2, degc.shape[1], warmth.days, _HOURS)[:, :, : window(warmth)]
    mean, wide = days.mean(axis=(2, 3)), (days.max(axis=3) - days.min(axis=3)).mean(axis=2)
    width, spacing = (float(np.median(estimate.values(name, system))) for name in ("strip_width", "row_spacing"))
    damping = float(damping_depth(run.conductivity_w_m_k[strip].mean(), run.heat_j_m3_k[strip].mean()))
    depth, share = float(warmth.depth_cm[warmth.seed_at]), width / spacing

    def carried(pair: FloatArray, damping_cm: float) -> tuple[FloatArray, FloatArray]:
        weight = float(strip_weight(depth, width, spacing, damping_cm))
        contrast = pair[0] - pair[1]
        lost = share * (1 - weight) / (1 - share) * contrast
        return pair[1] + weight * contrast, pair[1] + lost

    in_strip, outside = carried(mean, _MANY_DAYS_CM)
    range_in, range_out = carried(wide, damping)
    apart, ratio = in_strip - outside, range_out / range_in
    return Ends(
        float(apart.min()), float(apart.max()), float((apart > 0).mean()), float(ratio.min()), float(ratio.max())
    )


def day_cut(estimate: Estimate, warmth: SoilWarmth, system: int) -> DayCut | None:
    """Return the cut of the sunniest of the first days for a system that works strips; None where there are too few days."""
    if warmth.days < _DAY_FROM or len(warmth.of(system).zones) < 2:
        return None
    run = warmth.run
    sun = run.course.sun_w_m2.mean(axis=(0, 1)).reshape(warmth.days, _HOURS).sum(axis=1)
    last = min(warmth.days, _DAY_TO)
    day = _DAY_FROM - 1 + int(np.argmax(sun[_DAY_FROM - 1 : last]))
    stop = (day + 1) * _HOURS
    mean = {
        name: getattr(run.course, name).mean(axis=1, keepdims=True)[..., :stop]
        for name in ("surface_degc", "soil_w_m2")
    }
    middle = replace(
        run,
        conductivity_w_m_k=run.conductivity_w_m_k.mean(axis=1, keepdims=True),
        heat_j_m3_k=run.heat_j_m3_k.mean(axis=1, keepdims=True),
        start_degc=run.start_degc.mean(axis=0, keepdims=True),
        course=replace(run.course, **mean),
    )
    spacing = 100 * float(np.median(estimate.values("row_spacing", system)))
    across = np.linspace(0, spacing / 2, _ACROSS)
    grid_across, grid_depth = (grid.ravel() for grid in np.meshgrid(across, _DEPTHS))
    added = strip_cut(estimate, middle, system, grid_across, grid_depth, waves=_CUT_WAVES)
    place = next(i for i, zone in enumerate(run.zones) if (zone.system, zone.name) == (system, "between"))
    soil = (middle.conductivity_w_m_k[place], middle.heat_j_m3_k[place], run.edges_cm)
    alone = conduct_from_flow(middle.start_degc, mean["soil_w_m2"][place], *soil, _DEPTHS, spell_steps=_HOURS)
    at = [day * _HOURS + hour for hour in MOMENTS]
    found = added.degc[0, at].reshape(len(MOMENTS), len(_DEPTHS), _ACROSS) + alone.degc[0, at][..., np.newaxis]
    width = 100 * float(np.median(estimate.values("strip_width", system)))
    return DayCut(warmth.first + dt.timedelta(days=day), across, _DEPTHS, found, width, spacing)


def cold_slurry(estimate: Estimate, warmth: SoilWarmth, system: int) -> FloatArray | None:
    """Return by how much slurry out of the store cools the soil of the fresh band at first [K], by draw of the worksheet.

    None where the system lays no band.  The soil is taken at the mean of the first day.
    """
    if not estimate.has("band_top", system):
        return None
    slurry = constants("seedbed_weeks")["slurry_degc"]
    run = warmth.run
    place = next(place for place, zone in enumerate(run.zones) if zone.system == system)
    soil = float(shown_days(warmth, system)[:, 0].mean())
    area = np.pi * estimate.values("half_height", system) * estimate.values("half_width", system)
    mixed = first_day_temperature(
        soil, slurry.value, estimate.values("row_litres", system), area, float(run.heat_j_m3_k[place].mean())
    )
    return np.asarray(soil - mixed)
