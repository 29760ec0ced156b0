"""What goes into the weeks after slurry is banded: draws of place, pores, slurry, acidity and soil for one system."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from spadework.estimate.draws import normal_between, triangular, uniform
from spadework.estimate.result import Estimate
from spadework.estimate.slurry.courses import kept, take
from spadework.plan.composition import ph_values
from spadework.plan.stand_ins import animals_of
from spadework.ranges import FloatArray
from spadework.reference import Entry, constants, load
from spadework.science.band import salt_mixture

__all__ = ["GROUPS", "Inputs", "banded", "inputs_of"]

_PLACE: Final = 2_000_003  # apart from the places of all inputs on the worksheet
_OWN: Final = (
    *("water", "sorption", "soil_ph", "fresh_ph", "ph_rise", "ph_fade", "rate", "warmth"),
    *("ec_slurry", "ec_soil"),
)
_FAR: Final = 4.0  # standard deviations at which scatter is cut off
_CLASSES: Final = {"coarse": "sand", "medium": "loam", "fine": "clay"}

GROUPS: Final = {
    "depth scatter": ("top_cm", "seed_cm"),
    "sideways scatter": ("offset_cm",),
    "pores of the soil": ("half_height_cm", "half_width_cm", "bulk", "moisture", "pores", "fillable"),
    "water in the soil about the band": ("water_share",),
    "sorption": ("kd",),
    "pH": ("fresh_ph", "soil_ph", "fade_days"),
    "warmth and nitrification": ("warmth_degc", "rate_20"),
    "contents of the slurry": ("tan", "ec_slurry", "ec_soil"),
}
"""What varies, in groups that can be held at their middle."""


@dataclass(frozen=True, eq=False)
class Inputs:
    """Draws of one system, each by draw; lengths in cm, contents in the units of :mod:`spadework.science.band`.

    Attributes
    ----------
    top_cm, seed_cm, offset_cm : ndarray
        Top of the band and seed under the press-wheel track; seed beside the middle of the band.
    half_height_cm, half_width_cm : ndarray
        Of the band.
    bulk, moisture, pores, fillable : ndarray
        Density of the soil [t/m3]; water before, pores, and what slurry can fill, each per volume [1].
    water_share : ndarray
        Share of the slurry that stays as water [1].
    kd : ndarray
        Sorption [L/kg].
    soil_ph, fresh_ph, fade_days : ndarray
        pH of soil and of fresh band, and days in which their difference falls to 1/e.
    rate_20, warmth_degc : ndarray
        Nitrification at 20 degC [1/d]; how much warmer the soil is than the weather gives.
    tan, ec_slurry, ec_soil : ndarray
        Ammoniacal N of the slurry [kg/m3]; conductivity of slurry and of soil water [dS/m].
    retention_exponent, row_spacing_m, inhibitor_effect : float
        The same for all draws.
    """

    top_cm: FloatArray
    seed_cm: FloatArray
    offset_cm: FloatArray
    half_height_cm: FloatArray
    half_width_cm: FloatArray
    bulk: FloatArray
    moisture: FloatArray
    pores: FloatArray
    fillable: FloatArray
    water_share: FloatArray
    kd: FloatArray
    soil_ph: FloatArray
    fresh_ph: FloatArray
    fade_days: FloatArray
    rate_20: FloatArray
    warmth_degc: FloatArray
    tan: FloatArray
    ec_slurry: FloatArray
    ec_soil: FloatArray
    retention_exponent: float
    row_spacing_m: float
    inhibitor_effect: float

    @property
    def draws(self) -> int:
        """How many draws."""
        return len(self.top_cm)

    @property
    def gap_cm(self) -> FloatArray:
        """From seed straight down to the height of the band's top; negative where the seed lies deeper than that."""
        return self.top_cm - self.seed_cm

    @property
    def ec_band(self) -> FloatArray:
        """Conductivity of the liquid in the fresh band [dS/m]."""
        return salt_mixture(self.ec_slurry, self.ec_soil, self.fillable, self.moisture)

    def middle(self, *groups: str) -> Inputs:
        """Return the same with every draw of some groups at its middle; without a group, with everything there.

        Of the distance beside the band that is where half of the draws lie nearer to its middle.
        """
        names = [name for group in groups or GROUPS for name in GROUPS[group]]
        held: dict[str, Any] = {name: np.full(self.draws, np.median(getattr(self, name))) for name in names}
        return replace(self, **held)

    def only(self, number: int) -> Inputs:
        """Return so many of the draws, evenly spaced."""
        keep = kept(self.draws, number)
        names = [name for group in GROUPS.values() for name in group]
        return replace(self, **{name: getattr(self, name)[keep] for name in names})


def banded(estimate: Estimate) -> tuple[int, ...]:
    """Return the systems that band slurry under the row."""
    return tuple(s for s in range(len(estimate.systems)) if estimate.has("gap", s))


def inputs_of(estimate: Estimate, system: int, draws: int, soil_sd: float, gap_cm: float | None = None) -> Inputs:
    """Return the draws of one system that bands its slurry.

    Parameters
    ----------
    estimate : Estimate
        With the size and the place of the band.
    system : int
        In the order of the plan.
    draws : int
        At most so many; those of the estimate, evenly spaced.
    soil_sd : float
        Scatter of the warmth of the soil [degC].
    gap_cm : float, optional
        Middle gap in place of that of the estimate: the band lies so much deeper or shallower.

    Notes
    -----
    Gap and sideways distance are those of single seeds on the sheet, with their scatter from place to place.  A band whose
    top would come out of the ground is put just under the surface.
    """
    k, spread = constants("band_weeks"), constants("band_spread")
    keep = kept(estimate.draws, draws)
    number = len(keep)

    def of(name: str) -> FloatArray:
        return np.asarray(take(estimate.values(name, system), keep))

    def entry(found: Entry, key: str) -> FloatArray:
        if found.low == found.high or number == 1:
            return np.full(number, found.value)
        return triangular(_shares(estimate, key, number), found.low, found.value, found.high)

    plan = estimate.plan
    soil = _CLASSES[load("texture_class")[plan.field.texture].text("draft_class")]
    seed, gap = of("seed_depth"), of("seed_gap")
    if gap_cm is not None:
        gap = gap - float(np.median(estimate.values("seed_gap", system))) + gap_cm
    low, high = _ph_between(estimate)
    return Inputs(
        top_cm=np.maximum(seed + gap, k.least_depth_cm),
        seed_cm=seed,
        offset_cm=np.abs(of("seed_offset")),
        half_height_cm=of("half_height"),
        half_width_cm=of("half_width"),
        bulk=of("bulk_density"),
        moisture=of("moisture"),
        pores=of("pores"),
        fillable=of("fillable"),
        water_share=entry(k["water_stays_share"], "water"),
        kd=np.exp(_log_entry(estimate, spread[f"kd_{soil}"], "sorption", number)),
        soil_ph=entry(k["soil_ph"], "soil_ph"),
        fresh_ph=(
            (uniform(_shares(estimate, "fresh_ph", number), low, high) if number > 1 else np.array([(low + high) / 2]))
            + entry(k["ph_rise"], "ph_rise")
        ),
        fade_days=entry(k["ph_fade_days"], "ph_fade"),
        rate_20=entry(spread["rate_band"], "rate"),
        warmth_degc=_about_nil(estimate, "warmth", number, soil_sd),
        tan=of("ammoniacal_n"),
        ec_slurry=entry(k["ec_slurry"], "ec_slurry"),
        ec_soil=entry(k["ec_soil_water"], "ec_soil"),
        retention_exponent=float(k[f"b_{soil}"].value),
        row_spacing_m=float(np.median(estimate.values("row_spacing", system))),
        inhibitor_effect=spread.inhibitor_share if plan.slurry.inhibitor else 0.0,
    )


def _shares(estimate: Estimate, key: str, number: int) -> FloatArray:
    """Return draws between 0 and 1, one in each of as many equal strata, the same for all systems."""
    if number == 1:
        return np.array([0.5])
    place = _PLACE + _OWN.index(key)
    random = np.random.default_rng([estimate.seed, place])
    strata = random.permutation(number)
    return np.asarray((strata + random.random(number)) / number)


def _about_nil(estimate: Estimate, key: str, number: int, sd: float) -> FloatArray:
    if sd == 0 or number == 1:
        return np.zeros(number)
    return normal_between(_shares(estimate, key, number), 0.0, sd, -_FAR * sd, _FAR * sd)


def _log_entry(estimate: Estimate, entry: Entry, key: str, number: int) -> FloatArray:
    """Return logarithms between those of the ends, that of the middle likeliest: for ranges that are a factor."""
    if number == 1:
        return np.array([np.log(entry.value)])
    return triangular(_shares(estimate, key, number), *(float(np.log(v)) for v in (entry.low, entry.value, entry.high)))


def _ph_between(estimate: Estimate) -> tuple[float, float]:
    slurry = estimate.plan.slurry
    if slurry.stand_in is not None:
        entry = load("slurry_ph")[str(animals_of(slurry.kind))].entry("ph")
        return entry.low, entry.high
    return min(ph_values(slurry)), max(ph_values(slurry))
