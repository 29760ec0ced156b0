"""The weeks after slurry is banded under the row: what spreads, what is left, and what seed and root meet of it.

Every draw has its own band, soil and temperature.  All ammoniacal nitrogen of a cut spreads with one apparent diffusion
for each day; salt spreads with the water alone, held by nothing.  Concentration is that of the fresh band times what has
spread to a point times what is not yet nitrate.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from spadework.estimate.band.inputs import Inputs, banded, inputs_of
from spadework.estimate.band.soil import SoilDays, soil_days
from spadework.estimate.result import Estimate
from spadework.plan import Fault, PlanFaults
from spadework.ranges import FloatArray, ImpossibleValue, collecting
from spadework.reference import constants
from spadework.science.band import (
    against_limit,
    ammonia_in_air,
    ammonium_at,
    ammonium_in_water,
    ammonium_left,
    apparent_diffusion,
    free_ammonia_in_water,
    inhibition_left,
    initial_ammoniacal_n,
    nitrification_rate,
    nitrification_temperature_factor,
    path_impedance,
    path_millington_quirk_1961,
    ph_course,
    salt_near_band,
    severity,
    spread_of_days,
    water_viscosity,
)
from spadework.science.chemistry import free_ammonia_share, henry_clegg_brimblecombe, pka_emerson, water_air_ratio

__all__ = [
    "BAND_DAYS",
    "BAND_DRAWS",
    "BELOW_CM",
    "CELL_CM",
    "SHALLOWEST_CM",
    "BandCourse",
    "Found",
    "Limits",
    "diffusion_of",
    "follow",
    "follow_band",
    "found_of",
    "from_start",
    "left_of",
    "limits_of",
]

BAND_DAYS: Final = 60
"""Days that are shown; answers look as far as they need to."""
BAND_DRAWS: Final = 200
"""So many draws, evenly spaced, the weeks are gone through for."""
CELL_CM: Final = 0.5
"""About the side of a cell of the cut."""
BELOW_CM: Final = 25.0
"""Soil below the band that belongs to the cut."""
SHALLOWEST_CM: Final = 60.0
"""Least depth of the cut."""
_WAITS: Final = 42
_LONGEST_WAIT: Final = 120
_LEADS: Final = ("nitrogen", "ammonia", "salt")


@dataclass(frozen=True, slots=True)
class Limits:
    """What each figure is held against: ammoniacal N [mg/kg], free ammonia [mmol/L], salt [dS/m]."""

    nitrogen_mg_kg: float
    ammonia_mmol_l: float
    salt_ds_m: float


@dataclass(frozen=True, eq=False)
class Found:
    """What there is at a point on a day, by draw and day.

    Attributes
    ----------
    nitrogen_mg_kg, ammonia_mmol_l, salt_ds_m : ndarray
        Ammoniacal N of the dry soil, free ammonia and salt in its water.
    ratios : ndarray
        Of the three to their limits, along a first axis.
    severity : ndarray
        The largest of the three.
    added : ndarray
        The same without the salt that was in the soil before.
    """

    nitrogen_mg_kg: FloatArray
    ammonia_mmol_l: FloatArray
    salt_ds_m: FloatArray
    ratios: FloatArray
    severity: FloatArray
    added: FloatArray

    def leads(self) -> str:
        """Return which of the three is the largest most often: nitrogen, ammonia or salt."""
        return _LEADS[int(np.bincount(np.argmax(self.ratios, axis=0).ravel(), minlength=3).argmax())]


@dataclass(frozen=True, eq=False)
class BandCourse:
    """The weeks of one system that bands slurry.

    Attributes
    ----------
    system : int
        In the order of the plan.
    inputs : Inputs
        By draw.
    days : int
        Days that are shown; the arrays go on as long as the answers need.
    wait_days : int or None
        From slurry to sowing, as asked for or as the plan says it; None where neither does.
    depth_cm : ndarray
        Middles of the cells under the press-wheel track, straight under the seed of the draw.
    nitrogen_share, salt_share : ndarray
        Over the fresh band, before nitrification, by draw, day (the first being that of the slurry) and depth.
    left_share : ndarray
        Of the ammoniacal N, by draw and day.
    ph, temperature_degc, diffusion_cm2_day : ndarray
        By draw and day.
    seed, roots : Limits
        What the seed and what roots are held against.
    soil : SoilDays
        Temperature, and where it came from.
    notes : tuple of str
        What a reader must be told.
    """

    system: int
    inputs: Inputs
    days: int
    wait_days: int | None
    depth_cm: FloatArray
    nitrogen_share: FloatArray
    salt_share: FloatArray
    left_share: FloatArray
    ph: FloatArray
    temperature_degc: FloatArray
    diffusion_cm2_day: FloatArray
    seed: Limits
    roots: Limits
    soil: SoilDays
    notes: tuple[str, ...]

    @property
    def horizon(self) -> int:
        """The last day that was reckoned."""
        return int(self.left_share.shape[1]) - 1

    @property
    def first(self) -> dt.date | None:
        """The day of the slurry."""
        return self.soil.first

    def at_depth(self, depth_cm: FloatArray, limits: Limits) -> Found:
        """Return what there is at a depth under the press-wheel track, on every day.

        Parameters
        ----------
        depth_cm : ndarray
            By draw, or by draw and day [cm]; above the surface counts as the surface.
        limits : Limits
            To hold it against.
        """
        depth = np.broadcast_to(depth_cm if depth_cm.ndim == 2 else depth_cm[:, None], self.left_share.shape)
        near, salt = (_read(self.depth_cm, share, depth) for share in (self.nitrogen_share, self.salt_share))
        return found_of(self.inputs, near * self.left_share, salt, self.ph, self.temperature_degc, limits)

    def at_seed(self, gap_cm: float | None = None) -> Found:
        """Return what there is at the seed on every day; with `gap_cm` as if the middle gap were that.

        Notes
        -----
        Another gap is read off the same profile of the band: the surface, which throws back what reaches it, stays
        where it is.
        """
        return self.at_depth(self.seed_depth(gap_cm), self.seed)

    def seed_depth(self, gap_cm: float | None = None) -> FloatArray:
        """Return where on the profile the seed lies, by draw, with the gap of the course or another middle one."""
        gap = self.inputs.gap_cm
        if gap_cm is None:
            return self.inputs.seed_cm
        return np.asarray(self.inputs.top_cm - (gap - np.median(gap) + gap_cm))


def follow_band(
    estimate: Estimate,
    *,
    days: int = BAND_DAYS,
    draws: int = BAND_DRAWS,
    gap_cm: float | None = None,
    start: dt.date | None = None,
    wait: int | None = None,
    systems: tuple[int, ...] | None = None,
) -> tuple[BandCourse, ...]:
    """Return the weeks of every system that bands slurry under the row.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    days : int
        Days to show, 1 to 300.
    draws : int
        Of the estimate's, evenly spaced.
    gap_cm : float, optional
        Middle gap in place of that of the estimate [cm], 0 to 40.
    start : date, optional
        Day of the slurry in place of the plan's.
    wait : int, optional
        Days from slurry to sowing in place of the plan's, 0 to 120.
    systems : tuple of int, optional
        Only these of the banded systems.

    Raises
    ------
    PlanFaults
        Where the weather cannot be used, or a band does not fit into the cut between two rows.
    """
    name = estimate.read.name
    if not 1 <= days <= 300:
        raise PlanFaults([Fault("--days", f"{days} days are too few or too many; 1 to 300 will do")], name)
    if gap_cm is not None and not 0 <= gap_cm <= 40:
        raise PlanFaults([Fault("--gap", f"a gap of {gap_cm:g} cm cannot be followed; 0 to 40 cm will do")], name)
    if wait is not None and not 0 <= wait <= _LONGEST_WAIT:
        raise PlanFaults([Fault("--wait", f"a wait of {wait} days is too long; 0 to {_LONGEST_WAIT} will do")], name)
    wait = _wait(estimate) if wait is None else wait
    horizon = max(days, max(_WAITS, wait or 0) + int(constants("band_weeks").watched_days))
    found = []
    for system in banded(estimate) if systems is None else systems:
        soil = soil_days(estimate, horizon + 1, start, system)
        inputs = inputs_of(estimate, system, draws, soil.sd_degc, gap_cm)
        try:
            with collecting() as outside:
                course = follow(inputs, soil, days=days, system=system, wait_days=wait)
        except ImpossibleValue as error:
            what = f"the weeks of {estimate.systems[system]} cannot be followed: {error}"
            raise PlanFaults([Fault("", what)], name) from None
        notes = (*course.notes, *_notes(estimate, inputs), *(str(note) for note in outside))
        found.append(replace(course, notes=tuple(dict.fromkeys(notes))))
    return tuple(found)


def limits_of() -> tuple[Limits, Limits]:
    """Return what the seed and what roots are held against, off the tables."""
    k, ammonia = constants("seedling_thresholds"), constants("band_spread").nh3_limit
    return (
        Limits(k.ammoniacal_n_stand_loss, ammonia, k.ec_germination),
        Limits(k.ammoniacal_n_roots_pass, ammonia, k.ec_germination),
    )


def follow(inputs: Inputs, soil: SoilDays, *, days: int, system: int = 0, wait_days: int | None = None) -> BandCourse:
    """Return the weeks of draws of a band in soil of a temperature; see :func:`follow_band`."""
    number = len(soil.mean_degc)
    warmth = np.maximum(soil.mean_degc + inputs.warmth_degc[:, None], -5)
    since = np.arange(number, dtype=np.float64)
    ph = ph_course(inputs.soil_ph[:, None], inputs.fresh_ph[:, None], since, inputs.fade_days[:, None])
    ammonium, salt = diffusion_of(inputs, warmth, ph)
    left = left_of(inputs, warmth)
    depth, shares = _columns(inputs, from_start(spread_of_days(1, ammonium)), from_start(spread_of_days(1, salt)))
    seed, roots = limits_of()
    return BandCourse(
        system, inputs, min(days, number - 1), wait_days, depth, shares[0], shares[1], left, ph, warmth, ammonium,
        seed, roots, soil, soil.notes,
    )  # fmt: skip


def diffusion_of(inputs: Inputs, warmth: FloatArray, ph: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return apparent diffusion of ammoniacal N and of salt [cm2/d], by draw and day."""
    k = constants("band_spread")
    moisture = inputs.moisture + inputs.water_share * inputs.fillable
    air = inputs.pores - moisture
    # drier than the model's own limit there is no way through water at all
    wet_path = path_impedance(
        np.maximum(moisture, k.impedance_moisture * inputs.retention_exponent), inputs.retention_exponent
    )
    air_path = path_millington_quirk_1961(air, inputs.pores)
    water = ammonium_in_water(warmth, water_viscosity(warmth), water_viscosity(k.d0_reference_degc))
    ratio = water_air_ratio(henry_clegg_brimblecombe(np.maximum(warmth, 0)), warmth)
    free = free_ammonia_share(ph, pka_emerson(warmth))
    wet, path, dry, gas, bulk, kd = (v[:, None] for v in (moisture, wet_path, air, air_path, inputs.bulk, inputs.kd))
    ammonium = apparent_diffusion(water, path, ammonia_in_air(warmth), gas, free, ratio, wet, dry, bulk, kd)
    salt = apparent_diffusion(water, path, 0.0, 0.0, 0.0, 1.0, wet, dry, bulk, 0.0)
    return ammonium, salt


def left_of(inputs: Inputs, warmth: FloatArray) -> FloatArray:
    """Return the share of the ammoniacal N that is not yet nitrate at the start of every day, by draw."""
    since = np.arange(warmth.shape[1], dtype=np.float64)
    # the inhibitor has faded by the mean temperature of the days so far
    so_far = np.cumsum(warmth, axis=1) / (since + 1)
    stopped = inhibition_left(inputs.inhibitor_effect, since, so_far)
    rate = nitrification_rate(
        inputs.rate_20[:, None],
        nitrification_temperature_factor(warmth),
        nitrification_temperature_factor(20.0),
        stopped,
    )
    ended = ammonium_left(1, rate)
    return np.asarray(np.concatenate([np.ones((len(ended), 1)), ended[:, :-1]], axis=1))


def from_start(ends: FloatArray) -> FloatArray:
    """Return the spread at the start of every day out of that at its end; none on the first."""
    return np.concatenate([np.zeros((len(ends), 1)), ends[:, :-1]], axis=1)


def _columns(inputs: Inputs, nitrogen: FloatArray, salt: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return depths, and shares of nitrogen and salt over the fresh band by draw, day and depth, under the seed."""
    centre = inputs.top_cm + inputs.half_height_cm
    deepest = float(np.max(centre + inputs.half_height_cm)) + BELOW_CM
    cells = int(np.ceil(max(SHALLOWEST_CM, deepest) / CELL_CM))
    shown = int(np.ceil(float(np.max(centre)) / CELL_CM)) + 1
    depth = CELL_CM * (np.arange(shown) + 0.5)
    found = np.empty((2, inputs.draws, nitrogen.shape[1], shown))
    half_row = 50 * inputs.row_spacing_m
    for draw in range(inputs.draws):
        found[:, draw] = ammonium_at(
            np.stack([nitrogen[draw], salt[draw]]),
            min(float(inputs.offset_cm[draw]), half_row),
            depth,
            centre_depth_cm=float(centre[draw]),
            half_height_cm=float(inputs.half_height_cm[draw]),
            half_width_cm=float(inputs.half_width_cm[draw]),
            row_spacing_m=inputs.row_spacing_m,
            section_depth_cm=cells * CELL_CM,
            cell_cm=CELL_CM,
        )
    shares: FloatArray = np.maximum(found, 0.0)  # below nought only by rounding of the last digits
    return np.asarray(depth, dtype=np.float64), shares


def _read(at: FloatArray, share: FloatArray, depth: FloatArray) -> FloatArray:
    """Return shares at depths by draw and day, by straight lines between the middles of cells."""
    place = np.clip((depth - at[0]) / (at[1] - at[0]), 0, len(at) - 1)
    low = np.minimum(place.astype(np.int64), len(at) - 2)
    weight = place - low
    draw, day = np.ogrid[: share.shape[0], : share.shape[1]]
    return np.asarray((1 - weight) * share[draw, day, low] + weight * share[draw, day, low + 1])


def found_of(
    inputs: Inputs, share: FloatArray, salt: FloatArray, ph: FloatArray, warmth: FloatArray, limits: Limits
) -> Found:
    """Return what shares of the fresh band's nitrogen and salt come to, against limits; arrays lead with the draw."""
    by_draw = {
        name: getattr(inputs, name)[:, None] for name in ("tan", "fillable", "bulk", "moisture", "kd", "ec_soil")
    }
    nitrogen = initial_ammoniacal_n(by_draw["tan"], by_draw["fillable"], by_draw["bulk"]) * share
    moisture = by_draw["moisture"] + inputs.water_share[:, None] * by_draw["fillable"]
    free = free_ammonia_share(ph, pka_emerson(warmth))
    ammonia = free_ammonia_in_water(nitrogen, by_draw["bulk"], free, moisture, by_draw["kd"])
    # cells on the edge of the fresh band hold up to a few ten-thousandths more than all, so that their sum is its area
    ec = salt_near_band(by_draw["ec_soil"], inputs.ec_band[:, None], np.minimum(salt, 1))
    ratios = [
        against_limit(nitrogen, limits.nitrogen_mg_kg),
        against_limit(ammonia, limits.ammonia_mmol_l),
        against_limit(ec, limits.salt_ds_m),
    ]
    by_band = against_limit(np.maximum(ec - by_draw["ec_soil"], 0), limits.salt_ds_m)
    return Found(nitrogen, ammonia, ec, np.array(ratios), severity(*ratios), severity(ratios[0], ratios[1], by_band))


def _wait(estimate: Estimate) -> int | None:
    band = estimate.plan.band
    return None if band is None or band.wait is None else round(band.wait.value)


def _notes(estimate: Estimate, inputs: Inputs) -> list[str]:
    notes = [
        "rain, water that moves, uptake by roots, nitrite, want of air and sorption that bends are left out",
        "the pH of the band is taken for the soil about it too, which puts free ammonia at the seed too high",
        "the limit of free ammonia is recalled from trials with other crops, sure to a factor of three at best",
    ]
    band = estimate.plan.band
    if band is not None and band.wait is not None and band.wait.value % 1:
        notes.append(
            f"the weeks go by whole days: the wait of the plan, {band.wait.text}, counts as {_wait(estimate)} d"
        )
    if inputs.draws < estimate.draws:
        notes.append(f"{inputs.draws} of the {estimate.draws} draws, evenly spaced, were followed")
    out = float(np.mean(inputs.top_cm <= constants("band_weeks").least_depth_cm))
    if out > 0:
        notes.append(f"{out:.0%} of draws put the top of the band above the ground; it was kept just under it")
    beyond = float(np.mean(inputs.offset_cm > 50 * inputs.row_spacing_m))
    if beyond > 0:
        notes.append(f"{beyond:.0%} of draws put the seed beyond the middle between rows; it was kept at the middle")
    return notes
