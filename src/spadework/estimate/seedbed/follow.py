"""Warmth of the soil of every system, hour by hour over the weeks after the work, from the weather of the plan.

It stands beside the worksheet.  The soil first finds its temperature under the ground as it was before any pass.  Then
each kind of ground is followed with its own surface: the whole width of a ploughed or cultivated field, and of a field worked in
strips the strip and the ground between, whose surfaces drive a cut across two rows.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import fields, replace
from typing import Final

import numpy as np

from spadework.estimate.result import Estimate
from spadework.estimate.seedbed.hours import SoilHours, soil_hours
from spadework.estimate.seedbed.logger_fit import ZoneFit, fit_of, transfer_draws
from spadework.estimate.seedbed.moisture import TopWater, top_water
from spadework.estimate.seedbed.warmth import SoilWarmth, SystemWarmth, ZoneRun, ZoneWarmth
from spadework.estimate.seedbed.zones import (
    GroundZone,
    SoilDraws,
    ends_of,
    heat_of,
    skin_of,
    soil_draws,
    unworked,
    zones_of,
)
from spadework.estimate.slurry.courses import kept
from spadework.plan import Fault, PlanFaults
from spadework.ranges import FloatArray, ImpossibleValue, collecting
from spadework.reference import constants
from spadework.science.seedbed.heat.columns import layer_edges
from spadework.science.seedbed.heat.conduction import conduct_from_surface
from spadework.science.seedbed.heat.strip import StripCourse, strip_from_surface
from spadework.science.seedbed.heat.surface import run_surface
from spadework.science.seedbed.heat.surface_balance import Zone
from spadework.science.seedbed.heat.surface_transfer import transfer_apply

__all__ = [
    "LEAST_DAYS",
    "SEEDBED_DAYS",
    "SEEDBED_DRAWS",
    "depth_nodes",
    "follow_warmth",
    "seed_depths",
    "strip_cut",
]

SEEDBED_DAYS: Final = 60
"""Days that are followed."""
SEEDBED_DRAWS: Final = 50
"""So many draws, evenly spaced, are followed."""
LEAST_DAYS: Final = 7
"""Fewest days that say anything."""
_MOST_FOLLOWED: Final = 400
_WAVES: Final = 16  # across half a row; at 3 cm the next would carry less than a thousandth of the contrast
_LEAST_CM: Final = 1.0
_DAY_H: Final = 24
_EDGES: Final = (1.0, 10.0, 200.0, 1.35)


def seed_depths(estimate: Estimate) -> tuple[float, float]:
    """Return the middle depth of the seed and the scatter of single seeds about it [cm]."""
    depth = estimate.plan.crop.seed_depth
    if depth.kind == "about":
        return depth.value, depth.sd
    if depth.kind == "between":
        return (depth.low + depth.high) / 2, (depth.high - depth.low) / float(np.sqrt(12))
    return depth.value, float(constants("band_defaults").seed_depth_sd)


def depth_nodes(estimate: Estimate) -> tuple[FloatArray, FloatArray]:
    """Return three depths that stand for all seeds, shallow first, and the share of the seeds that each stands for.

    Three points of a normal distribution after Gauss and Hermite: middle, and the square root of three standard deviations to
    either side; never above 1 cm.
    """
    middle, sd = seed_depths(estimate)
    away = np.sqrt(3) * sd
    nodes = np.array([max(middle - away, _LEAST_CM), max(middle, _LEAST_CM), middle + away])
    return np.maximum.accumulate(nodes), np.array([1 / 6, 2 / 3, 1 / 6])


def follow_warmth(
    estimate: Estimate,
    *,
    days: int = SEEDBED_DAYS,
    draws: int = SEEDBED_DRAWS,
    start: dt.date | None = None,
    systems: Sequence[int] | None = None,
    depth_cm: Sequence[float] | None = None,
    step_h: int = 1,
    fits: Sequence[ZoneFit] = (),
    least_days: int | None = None,
) -> SoilWarmth:
    """Return the warmth of the soil of systems from the day of the work on.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    days : int
        1 to 400.
    draws : int
        Of the estimate's, evenly spaced.
    start : date, optional
        First day in place of the plan's.
    systems : sequence of int, optional
        Only these.
    depth_cm : sequence of float, optional
        Depths, 1 cm or more, in place of three that stand for all seeds.
    step_h : int
        Length of the steps, 1, 2, 3, 4 or 6; what stands as an hour is then a step.
    fits : sequence of ZoneFit
        Zones that loggers stood in: their surface follows the air as measured, in place of the model; hours only.
    least_days : int, optional
        Days that will do where the weather ends early; left out: all of them.

    Raises
    ------
    PlanFaults
        Where there is no weather file or no latitude, or the weather lacks days or cannot be.
    """
    name = estimate.read.name
    if not 1 <= days <= _MOST_FOLLOWED:
        raise PlanFaults([Fault("--days", f"{days} days are too few or too many; 1 to {_MOST_FOLLOWED} will do")], name)
    k = constants("seedbed_weeks")
    plan = estimate.plan.weather
    if plan.start is None and start is None:
        what = "the warmth of the soil needs a weather file that goes on for weeks; give file, start and hours"
        raise PlanFaults([estimate.read.fault(what, "weather")], name)
    first = start if start is not None else plan.start.date()  # type: ignore[union-attr]
    hours = soil_hours(estimate.read, first, days, int(k.run_in_days), least_days)
    keep = kept(estimate.draws, draws)
    asked = tuple(range(len(estimate.systems))) if systems is None else tuple(systems)
    depths = depth_nodes(estimate)[0] if depth_cm is None else np.asarray(depth_cm, dtype=np.float64)
    try:
        with collecting() as outside:
            soil = soil_draws(estimate, keep)
            zones = zones_of(estimate, keep, asked)
            water, of_water = top_water(estimate, zones, hours, draws)
            run = _run_zones(zones, unworked(estimate, keep), soil, water, hours, estimate.seed, depths, step_h)
            found = tuple(_system(estimate, run, system, depths, step_h) for system in asked)
            if fits:
                found = tuple(_with_loggers(estimate, one, run, hours, depths, fits) for one in found)
    except (ImpossibleValue, RuntimeError) as error:
        what = f"the warmth of the soil cannot be followed: {error}"
        raise PlanFaults([Fault("", what)], name) from None
    notes = [
        *hours.notes,
        *soil.notes,
        *_fit_notes(fits),
        *_notes(estimate, hours, run, of_water, len(keep)),
        *(str(note) for note in outside),
    ]
    return SoilWarmth(
        first, hours.days, len(keep), depths, len(depths) // 2, hours.air_degc[hours.before :].ravel(), found, hours.came_from,
        tuple(dict.fromkeys(notes)), run,
    )  # fmt: skip


def _run_zones(
    zones: tuple[GroundZone, ...],
    before: GroundZone,
    soil: SoilDraws,
    water: TopWater | None,
    hours: SoilHours,
    seed: int,
    depth_cm: FloatArray,
    step_h: int = 1,
) -> ZoneRun:
    """Step all zones through the weather, each as a whole field of it, from the soil that the weather before has made."""
    edges = layer_edges(*_EDGES)
    started = _run_in(before, soil, hours, seed, edges)
    drying = water is not None
    skin, ends, draws = skin_of(zones, seed, drying=drying), ends_of(zones, drying=drying), len(started)
    if water is None:
        conductivity, heat = heat_of(zones, soil, edges)
        wet = np.ones((len(zones), draws, 1))
    else:
        conductivity, heat = heat_of(zones, soil, edges, water.moisture_share, water.layer_cm)
        wet = water.wet_share
    extra = np.shape(ends.cover_share)[1]

    def longer(by_draw: FloatArray, axis: int) -> FloatArray:
        middle = np.median(by_draw, axis=axis, keepdims=True)
        return np.concatenate([by_draw, np.repeat(middle, extra, axis=axis)], axis=axis)

    # the ends of the ranges ride along as more columns, which cost next to nothing
    both = Zone(*(np.concatenate(pair, axis=1) for pair in zip(_parts(skin), _parts(ends), strict=True)))
    course = run_surface(
        longer(started, 0), *_weather(hours, slice(hours.before, None), step_h), longer(conductivity, 1), longer(heat, 1),
        edges, depth_cm, ground=both, altitude_m=hours.altitude_m, step_h=step_h, wet_share=longer(wet, 1),
        spell_steps=_DAY_H // step_h,
    )  # fmt: skip
    arrays = {part.name: getattr(course, part.name) for part in fields(course) if part.name != "rounds"}
    drawn = replace(course, **{name: values[:, :draws] for name, values in arrays.items()})
    return ZoneRun(zones, edges, conductivity, heat, started, drawn, course.degc[:, draws:, 1:])


def _parts(zone: Zone) -> list[FloatArray]:
    return [np.asarray(getattr(zone, part.name)) for part in fields(zone)]


def _run_in(before: GroundZone, soil: SoilDraws, hours: SoilHours, seed: int, edges: FloatArray) -> FloatArray:
    """Return the temperature of the layers at the first midnight, by draw."""
    step = int(constants("seedbed_weeks").run_in_step_h)
    mean = float(hours.air_degc[: max(hours.before, 1)].mean())
    if not hours.before:
        return np.full((len(before.cover_share), len(edges) - 1), mean)
    conductivity, heat = heat_of((before,), soil, edges)
    weather = _weather(hours, slice(0, hours.before), step)
    course = run_surface(
        [mean], *weather, conductivity, heat, edges, [5.0], ground=skin_of((before,), seed), altitude_m=hours.altitude_m,
        step_h=step, spell_steps=_DAY_H // step,
    )  # fmt: skip
    return np.asarray(course.profile_degc[0])


def _weather(
    hours: SoilHours, days: slice, step_h: int
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, FloatArray]:
    """Return air, light, vapour, wind and sky as means of steps."""
    parts = (hours.air_degc, hours.light_w_m2, hours.vapour_kpa, hours.wind_m_s, hours.sky_w_m2)
    air, light, vapour, wind, sky = (np.asarray(part[days].reshape(-1, step_h).mean(axis=1)) for part in parts)
    return air, light, vapour, wind, sky


def _system(estimate: Estimate, run: ZoneRun, system: int, depths: FloatArray, step_h: int) -> SystemWarmth:
    at = [place for place, zone in enumerate(run.zones) if zone.system == system]
    alone = [run.course.degc[place, :, 1:] for place in at]
    if len(at) == 1:
        whole = ZoneWarmth("whole", np.ascontiguousarray(alone[0]), run.course.surface_degc[at[0]], "weather")
        return SystemWarmth(system, (whole,))
    added = strip_cut(estimate, run, system, np.zeros(len(depths)), depths, step_h=step_h)
    found = []
    for name, more, place in (("strip", added.degc, at[0]), ("between", added.between_degc, at[1])):
        found.append(ZoneWarmth(name, alone[1] + more[:, 1:], run.course.surface_degc[place], "weather"))
    return SystemWarmth(system, tuple(found))


def strip_cut(
    estimate: Estimate,
    run: ZoneRun,
    system: int,
    across_cm: FloatArray,
    depth_cm: FloatArray,
    *,
    step_h: int = 1,
    waves: int = _WAVES,
) -> StripCourse:
    """Return what strips add to ground that is all between, by draw, in a cut at points; nil at the start.

    The surfaces of strip and ground between, each as of a whole field, differ by what drives it.  Soil is alike in both, so what
    is added and the whole field of the ground between make up the cut.
    """
    strip, between = (place for place, zone in enumerate(run.zones) if zone.system == system)
    surface = _ends(run.course.surface_degc[strip] - run.course.surface_degc[between])
    return strip_from_surface(
        [0.0], surface, np.zeros_like(surface), run.conductivity_w_m_k[strip], run.heat_j_m3_k[strip], run.edges_cm,
        across_cm, depth_cm,
        strip_width_m=float(np.median(estimate.values("strip_width", system))),
        row_spacing_m=float(np.median(estimate.values("row_spacing", system))),
        step_h=step_h, waves=waves, spell_steps=_DAY_H // step_h,
    )  # fmt: skip


def _ends(surface: FloatArray) -> FloatArray:
    """Return a surface at the start and at the ends of steps; at the start that of the end of the first stands in."""
    return np.concatenate([surface[:, :1], surface], axis=1)


def _with_loggers(
    estimate: Estimate,
    found: SystemWarmth,
    run: ZoneRun,
    hours: SoilHours,
    depths: FloatArray,
    fits: Sequence[ZoneFit],
) -> SystemWarmth:
    """Return a system with the zones that loggers stood in by what those read."""
    air = hours.air_degc.ravel()
    omega = 2 * np.pi / 86_400
    zones = []
    for zone in found.zones:
        made = fit_of(fits, estimate.systems[found.system], zone.name)
        if made is None:
            zones.append(zone)
            continue
        place = next(i for i, one in enumerate(run.zones) if (one.system, one.name) == (found.system, zone.name))
        heat = run.heat_j_m3_k[place].mean(axis=(-2, -1))[:, np.newaxis]  # over days and layers
        shift, ratio, lag, damping = transfer_draws(made.fit, estimate.seed, len(heat))
        surface = transfer_apply(air, shift, ratio, lag)
        # how fast warmth moves down, from the damping depth of the loggers
        conductivity = heat * omega * (damping[:, np.newaxis] / 100) ** 2 / 2
        start = surface[:, : 24 * max(hours.before, 1)].mean(axis=1, keepdims=True)
        course = conduct_from_surface(start, _ends(surface), conductivity, heat, run.edges_cm, depths)
        after = 24 * hours.before
        zones.append(ZoneWarmth(zone.name, course.degc[:, after + 1 :], surface[:, after:], "loggers"))
    return SystemWarmth(found.system, tuple(zones))


def _fit_notes(fits: Sequence[ZoneFit]) -> list[str]:
    notes = [
        f"loggers, {one.zone}: {one.fit.days} days from {one.first.isoformat()} to {one.last.isoformat()} at "
        f"{one.depth_cm[0]:g} and {one.depth_cm[1]:g} cm; surface {one.fit.shift_k:+.1f} +/- {one.fit.shift_se_k:.1f} K to the "
        f"air, swing {one.fit.swing_ratio:.2f} +/- {one.fit.swing_ratio_se:.2f} of it ({one.air_from})"
        for one in fits
    ]
    if fits:
        notes.append(
            "what loggers say holds for their zone, its cover and moisture and the weather of those days; zones without "
            "loggers stay with the model, so a difference between the two kinds holds the error of the model"
        )
    return notes


def _notes(estimate: Estimate, hours: SoilHours, run: ZoneRun, of_water: Sequence[str], draws: int) -> list[str]:
    k = constants("seedbed_weeks")
    notes = []
    if hours.before < k.run_in_days:
        notes.append(
            f"the weather goes back {hours.before} days before the start: the soil had only these to find its temperature"
        )
    notes.append(
        "all passes are taken as done on the first day; before it every system lies under the cover before the first pass"
    )
    notes += of_water
    if any(zone.name == "strip" for zone in run.zones):
        notes.append(
            "strips: soil alike in the strip and between, as loosened; surfaces as of a whole field of each, so the contrast is "
            "rather too large"
        )
    if draws < estimate.draws:
        notes.append(f"{draws} of the {estimate.draws} draws, evenly spaced, were followed")
    if (run.course.surface_degc < 0).any():
        notes.append("the surface falls below 0 °C in some hours; freezing is left out")
    return notes
