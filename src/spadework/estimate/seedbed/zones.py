"""Kinds of ground of every system, as the warmth of the soil meets them: surface, residue, looseness, moisture, sand.

A system that works strips has two, the strip and the ground between; any other has one over the whole width.  All draws are
made here: the same draw of a quantity for every zone, so that systems differ by what was done and not by chance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Final

import numpy as np
from numpy.typing import NDArray

from spadework.estimate.chain import Chain
from spadework.estimate.draws import normal_between, triangular, uniform
from spadework.estimate.result import Estimate
from spadework.estimate.slurry.courses import take
from spadework.plan.outfits import kind_of
from spadework.quantities import Quantity
from spadework.ranges import FloatArray
from spadework.reference import Entry, constants, load
from spadework.science.seedbed.heat.soil import conductivity_lu_2007, heat_capacity
from spadework.science.seedbed.heat.surface_balance import Zone
from spadework.science.seedbed.water.store import loosened_density_share

__all__ = ["GroundZone", "SoilDraws", "ends_of", "heat_of", "skin_of", "soil_draws", "unworked", "zones_of"]

_PLACE: Final = 4_000_003  # apart from the places of all inputs on the worksheet
_OWN: Final = ("density", "moisture", "sand", "swell", "settlement", "slurry")
_SURFACE: Final = ("albedo", "residue_albedo", "roughness", "residue_hold", "drag", "residue_drag")
_FULLEST: Final = 0.98  # of the pores; what the plan has beyond is noted


@dataclass(frozen=True, eq=False)
class GroundZone:
    """One kind of ground of one system.

    Attributes
    ----------
    system : int
        In the order of the plan; -1 for the ground before any pass.
    name : {"strip", "between", "whole"}
        The strip, the ground between the strips, or the whole width.
    row : str
        Of the table ``surface_zones``.
    cover_share : ndarray
        Residue, by draw [1].
    loose_cm : float
        Depth down to which the soil was loosened; nil where it was not.
    """

    system: int
    name: str
    row: str
    cover_share: FloatArray
    loose_cm: float


@dataclass(frozen=True, eq=False)
class SoilDraws:
    """Soil before any pass, by draw.

    Attributes
    ----------
    density_t_m3, moisture_share, sand_share : ndarray
        Dry bulk density, water by volume, sand by mass.
    loosened_share : ndarray
        Density of loosened and settled soil over that before.
    notes : tuple of str
        What a reader must be told.
    """

    density_t_m3: FloatArray
    moisture_share: FloatArray
    sand_share: FloatArray
    loosened_share: FloatArray
    notes: tuple[str, ...]


def shares(seed: int, key: str, number: int) -> FloatArray:
    """Return draws between 0 and 1, one in each of as many equal strata, the same for all systems."""
    if number == 1:
        return np.array([0.5])
    place = (*_OWN, *_SURFACE).index(key)
    random = np.random.default_rng([seed, _PLACE + place])
    return np.asarray((random.permutation(number) + random.random(number)) / number)


def of_entry(seed: int, key: str, entry: Entry, number: int) -> FloatArray:
    """Return draws of a number of a table, its value the likeliest between its ends."""
    if number == 1 or entry.low == entry.high:
        return np.full(number, entry.value)
    return triangular(shares(seed, key, number), entry.low, entry.value, entry.high)


def soil_draws(estimate: Estimate, keep: NDArray[np.int64]) -> SoilDraws:
    """Return draws of the soil: those of the worksheet where they are there, else of the plan."""
    field, seed, number = estimate.plan.field, estimate.seed, len(keep)

    def of(name: str, quantity: Quantity, factor: float, high: float) -> FloatArray:
        if name in estimate.sheet.figures:
            return np.array(take(estimate.sheet[name], keep))
        return factor * _drawn(quantity, seed, name.removeprefix("bulk_"), number, high / factor)

    density = np.minimum(of("bulk_density", field.bulk_density, 1.0, 2.0), 2.0)
    moisture = of("moisture", field.moisture, 0.01, 0.8)
    pores = 1 - density / constants("heat_soil").particle_t_m3
    over = moisture > _FULLEST * pores
    notes = []
    if over.any():
        notes.append(
            f"in {100 * over.mean():.0f} % of draws the water of the plan fills all pores: counted as nearly full"
        )
    sand = of_entry(seed, "sand", load("texture_sand")[field.texture].entry("sand"), number)
    k = constants("band_defaults")
    swell, settled = (of_entry(seed, key, k[key], number) for key in ("swell", "settlement"))
    return SoilDraws(
        density, np.minimum(moisture, _FULLEST * pores), sand, loosened_density_share(swell, settled), tuple(notes)
    )


def _drawn(quantity: Quantity, seed: int, key: str, number: int, high: float) -> FloatArray:
    if quantity.kind == "exact" or number == 1 or quantity.sd == 0:
        return np.full(number, quantity.value)
    if quantity.kind == "between":
        return uniform(shares(seed, key, number), quantity.low, quantity.high)
    return normal_between(shares(seed, key, number), quantity.value, quantity.sd, 0.0, high)


def zones_of(estimate: Estimate, keep: NDArray[np.int64], systems: Sequence[int]) -> tuple[GroundZone, ...]:
    """Return the kinds of ground of some systems; of each, the one that holds the seed first."""
    chain = Chain(estimate.read)
    found: list[GroundZone] = []
    for system in systems:

        def of(name: str, system: int = system) -> FloatArray:
            return np.array(take(estimate.values(name, system), keep))

        steps = [chain.steps[index] for index in chain.steps_of(system)]
        tills = [
            (step.done.depth.value, kind_of(machine))
            for step in steps
            for machine in step.machines
            if step.done.depth is not None and kind_of(machine).text("shape") in ("full", "strip")
        ]
        deep = max((depth for depth, _ in tills), default=0.0)
        if chain.strip_step(system) is not None and bool((of("tilled") < 0.999).all()):
            found.append(GroundZone(system, "strip", "bare_strip", of("cover_strip"), deep))
            found.append(GroundZone(system, "between", "between_rows", of("cover_between"), deep))
            continue
        turned = any(kind.text("slurry_lies") == "buried" for _, kind in tills)
        row = "ploughed" if turned else "cultivated" if tills else "between_rows"
        found.append(GroundZone(system, "whole", row, of("cover"), deep))
    return tuple(found)


def unworked(estimate: Estimate, keep: NDArray[np.int64]) -> GroundZone:
    """Return the ground before any pass."""
    return GroundZone(-1, "whole", "between_rows", np.array(take(estimate.sheet["cover_before"], keep)), 0.0)


def _entry_of(zone: GroundZone, column: str, *, drying: bool) -> Entry:
    """Return a figure of the surface of a zone; where its drying is followed, holds against evaporation are those of wet soil.

    What residue adds to the hold of the soil, in the middle, it adds to that of wet soil too.
    """
    row = load("surface_zones")[zone.row]
    entry = row.entry(column)
    if not drying or column not in ("drag", "residue_drag"):
        return entry
    wet = constants("surface_balance")["wet_drag_s_m"]
    if column == "drag":
        return wet
    less = row.entry("drag").value - wet.value
    return replace(entry, value=entry.value - less, low=entry.low - less, high=entry.high - less)


def skin_of(zones: Sequence[GroundZone], seed: int, *, drying: bool = False) -> Zone:
    """Return the surfaces of zones, along a first axis, by draw; a share of a range is the same in every zone.

    Where the drying of the ground is followed, holds against evaporation are those of wet soil.
    """
    number = len(zones[0].cover_share)

    def of(column: str) -> FloatArray:
        return np.stack([of_entry(seed, column, _entry_of(zone, column, drying=drying), number) for zone in zones])

    cover = np.clip(np.stack([zone.cover_share for zone in zones]), 0, 1)
    albedo, residue_albedo, roughness, hold, drag, residue_drag = (of(column) for column in _SURFACE)
    return Zone(albedo, residue_albedo, cover, roughness, hold, drag, residue_drag)


def ends_of(zones: Sequence[GroundZone], *, drying: bool = False) -> Zone:
    """Return the surfaces of zones with light thrown back by residue, its hold, and both holds against evaporation at their ends.

    Every low end with every high one, along the last axis; light thrown back by soil and roughness at their middle.
    """
    turned = ("residue_albedo", "residue_hold", "drag", "residue_drag")
    ways = list(product((False, True), repeat=len(turned)))

    def of(column: str) -> FloatArray:
        entries = [_entry_of(zone, column, drying=drying) for zone in zones]
        if column not in turned:
            return np.repeat([[entry.value] for entry in entries], len(ways), axis=1)
        place = turned.index(column)
        return np.array([[entry.high if way[place] else entry.low for way in ways] for entry in entries])

    cover = np.repeat([[float(np.clip(np.median(zone.cover_share), 0, 1))] for zone in zones], len(ways), axis=1)
    albedo, residue_albedo, roughness, hold, drag, residue_drag = (of(column) for column in _SURFACE)
    return Zone(albedo, residue_albedo, cover, roughness, hold, drag, residue_drag)


def heat_of(
    zones: Sequence[GroundZone],
    soil: SoilDraws,
    edges_cm: FloatArray,
    moisture_share: FloatArray | None = None,
    layer_cm: FloatArray | None = None,
) -> tuple[FloatArray, FloatArray]:
    """Return conductivity [W/(m K)] and heat capacity [J/(m3 K)] of zones, by draw, spell and layer.

    Parameters
    ----------
    zones, soil, edges_cm
        Kinds of ground, soil before any pass, edges of the layers.
    moisture_share, layer_cm : ndarray, optional
        Moisture of the top layer by zone, draw and spell, and its depth by draw; left out: one spell, of the moisture of
        the plan.
    """
    middle = (edges_cm[1:] + edges_cm[:-1]) / 2
    loose = np.array([zone.loose_cm for zone in zones])[:, np.newaxis, np.newaxis] > middle
    share = np.where(loose, soil.loosened_share[:, np.newaxis], 1.0)
    # loosened soil takes up more room: its water by volume falls with its density
    density, moisture = soil.density_t_m3[:, np.newaxis] * share, soil.moisture_share[:, np.newaxis] * share
    density, moisture = density[:, :, np.newaxis], moisture[:, :, np.newaxis]
    if moisture_share is not None and layer_cm is not None:
        top = layer_cm[:, np.newaxis, np.newaxis] > middle
        most = _FULLEST * (1 - density / constants("heat_soil").particle_t_m3)
        moisture = np.where(top, np.minimum(moisture_share[..., np.newaxis], most), moisture)
    sand = soil.sand_share[:, np.newaxis, np.newaxis]
    return conductivity_lu_2007(moisture, density, sand), heat_capacity(density, moisture)
