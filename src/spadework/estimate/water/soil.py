"""The top layer of a field in draws: what it holds, how moist it starts, and what slurry water comes to it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from spadework.estimate.chain import Chain
from spadework.estimate.draws import normal_between, triangular, uniform
from spadework.estimate.result import Estimate
from spadework.estimate.slurry.courses import take
from spadework.plan import Read
from spadework.plan.outfits import kind_of
from spadework.quantities import Quantity
from spadework.ranges import FloatArray
from spadework.reference import Entry, Row, constants, load
from spadework.science.seedbed.water.evaporation import evaporable_water
from spadework.science.seedbed.water.store import band_in_layer, loosened_density_share, mixed_in_layer
from spadework.science.seedbed.water.top_layer import slurry_in_layer

__all__ = ["TopSoil", "lacking", "loosened", "slurry_water", "start_moisture", "top_soil", "water_row"]

_PLACE: Final = 3_000_003  # apart from the places of all inputs on the worksheet
_OWN: Final = ("texture", "layer", "swell", "settlement", "moisture")


@dataclass(frozen=True, eq=False)
class TopSoil:
    """Draws of the settled top layer, each by draw.

    Attributes
    ----------
    capacity_share, wilting_share : ndarray
        Moisture by volume at field capacity and at wilting [1]; both move together with the texture.
    readily_mm, evaporable_mm : ndarray
        Water that evaporates before the surface slows it, and in all [mm].
    layer_m : ndarray
        Depth of the layer [m].
    """

    capacity_share: FloatArray
    wilting_share: FloatArray
    readily_mm: FloatArray
    evaporable_mm: FloatArray
    layer_m: FloatArray


def _shares(seed: int, key: str, number: int) -> FloatArray:
    """Return draws between 0 and 1, one in each of as many equal strata, the same for all systems."""
    if number == 1:
        return np.array([0.5])
    random = np.random.default_rng([seed, _PLACE + _OWN.index(key)])
    return np.asarray((random.permutation(number) + random.random(number)) / number)


def _entry(seed: int, key: str, entry: Entry, number: int) -> FloatArray:
    if number == 1 or entry.low == entry.high:
        return np.full(number, entry.value)
    return triangular(_shares(seed, key, number), entry.low, entry.value, entry.high)


def water_row(about: Read | Estimate) -> Row:
    """Return the row of the table of soil water that the texture of the field takes."""
    return load("soil_evaporation")[load("texture_water")[about.plan.field.texture].text("water_row")]


def top_soil(estimate: Estimate, keep: NDArray[np.int64]) -> TopSoil:
    """Return draws of the settled top layer: light and heavy end of the texture's range for all its figures together."""
    return _soil_of(water_row(estimate.read), estimate.seed, len(keep))


def _soil_of(row: Row, seed: int, number: int) -> TopSoil:
    """Return so many draws of the top layer of a texture."""
    capacity, wilting, readily = (
        _entry(seed, "texture", row.entry(column), number) for column in ("field_capacity", "wilting", "readily_mm")
    )
    layer = _entry(seed, "layer", constants("soil_drying")["layer_m"], number)
    return TopSoil(capacity, wilting, readily, evaporable_water(capacity, wilting, layer), layer)


def start_moisture(estimate: Estimate, keep: NDArray[np.int64]) -> FloatArray:
    """Return the moisture of the plan by draw: that of the worksheet where it is there, else drawn likewise."""
    if "moisture" in estimate.sheet.figures:
        return np.array(take(estimate.sheet["moisture"], keep))
    return _drawn(estimate.plan.field.moisture, estimate.seed, len(keep))


def _drawn(percentage: Quantity, seed: int, number: int) -> FloatArray:
    if percentage.kind == "exact" or number == 1:
        return np.full(number, percentage.fraction)
    shares = _shares(seed, "moisture", number)
    if percentage.kind == "between":
        return uniform(shares, percentage.low / 100, percentage.high / 100)
    return normal_between(shares, percentage.fraction, percentage.sd / 100, 0, 0.8)


def loosened(estimate: Estimate, number: int) -> FloatArray:
    """Return the density of loosened soil as a share of the settled, by draw."""
    k = constants("band_defaults")
    swell, settled = (_entry(estimate.seed, key, k[key], number) for key in ("swell", "settlement"))
    return loosened_density_share(swell, settled)


def lacking(soil: TopSoil, moisture: FloatArray, density: FloatArray) -> FloatArray:
    """Return what the layer lacks at first; loosening changes field capacity and moisture by the same share."""
    lacks = 1000 * soil.layer_m * (soil.capacity_share - moisture) * density
    return np.clip(lacks, 0, soil.evaporable_mm * density)  # what is beyond either end is noted


def slurry_water(
    estimate: Estimate, chain: Chain, system: int, keep: NDArray[np.int64], soil: TopSoil
) -> tuple[FloatArray, FloatArray]:
    """Return the slurry water that comes to the layer over the whole ground, and in the zone of the band [mm]."""
    nothing = np.zeros(len(keep))
    index = chain.placing_step(system)
    placer = None if index is None else chain.steps[index].placer
    if index is None or placer is None:
        return nothing, nothing

    def of(name: str) -> FloatArray:
        return np.array(take(estimate.values(name, system), keep))

    dose = take(estimate.dose(system), keep) * (1 - of("dry_matter"))
    layer_cm = 100 * soil.layer_m
    lies = kind_of(placer).text("slurry_lies")
    if lies == "band" and estimate.has("band_top", system):
        share = band_in_layer(of("band_top"), 2 * of("half_height"), layer_cm)
        return nothing, slurry_in_layer(dose, of("row_spacing"), of("strip_width"), share)
    step = chain.steps[index]
    if lies != "mixed":
        covering = chain.covering_step(system)
        if covering is None:
            return dose / 10, nothing
        step = chain.steps[covering]
        if kind_of(step.worker).text("slurry_lies") == "buried":
            return nothing, nothing
    if step.done.depth is None:
        return dose / 10, nothing
    return dose / 10 * mixed_in_layer(step.done.depth.value, layer_cm), nothing
