"""Water of the top layer day by day over the weeks after the work, for every system and each kind of ground in it.

It stands beside the worksheet: the strip and the ground between the strips, or the whole width, each with its own store,
residue and slurry water, dried by the same weather.  Two published shapes of the effect of residue stand side by side;
they are not averaged.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from spadework.estimate.chain import Chain
from spadework.estimate.courses import kept, take
from spadework.estimate.draws import Draws, normal_between, triangular, uniform
from spadework.estimate.reference_days import ReferenceDays, reference_days
from spadework.estimate.result import Estimate
from spadework.plan import Fault, PlanFaults, Read
from spadework.plan.outfits import kind_of
from spadework.plan.weather_day_hours import DayHours, day_hours
from spadework.quantities import Quantity
from spadework.ranges import FloatArray, ImpossibleValue, collecting
from spadework.reference import Entry, Row, constants, load
from spadework.science.seedbed.drying import Drying, Ground, dry_down, dry_two_grounds
from spadework.science.seedbed.evaporation import evaporable_water
from spadework.science.seedbed.top_layer import layer_moisture, slurry_in_layer
from spadework.science.seedbed.water_store import band_in_layer, loosened_density_share, mixed_in_layer

__all__ = [
    "RULES",
    "WATER_DRAWS",
    "SurfaceWater",
    "SystemWater",
    "TopSoil",
    "Zone",
    "surface_water",
    "top_soil",
    "water_row",
]

RULES: Final = ("linear", "convex")
"""The two shapes of the effect of residue on evaporation."""
WATER_DRAWS: Final = 200
"""So many draws, evenly spaced, are dried."""
_PLACE: Final = 3_000_003  # apart from the places of all inputs on the worksheet
_OWN: Final = ("texture", "layer", "swell", "settlement", "moisture")
_MOST_DAYS: Final = 120
_LOOSENS: Final = ("full", "strip")


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


@dataclass(frozen=True, eq=False)
class Zone:
    """One kind of ground of a system; arrays by draw, or by draw and day.

    Attributes
    ----------
    name : {"strip", "between", "whole"}
        The strip, the ground between the strips, or the whole width.
    share, cover_share : ndarray
        Of the field; covered by residue [1].
    capacity_share, layer_m : ndarray
        Field capacity by volume, lower where it was loosened; depth of the layer.
    start_mm, slurry_mm : ndarray
        Water that the layer lacks of field capacity at first; slurry water that came to it [mm].
    dried : mapping
        Rule to the course of the days.
    """

    name: str
    share: FloatArray
    cover_share: FloatArray
    capacity_share: FloatArray
    layer_m: FloatArray
    start_mm: FloatArray
    slurry_mm: FloatArray
    dried: Mapping[str, Drying]

    def moisture(self, rule: str) -> FloatArray:
        """Return the mean moisture of the layer by volume at the end of each day, by draw and day."""
        lacks = self.dried[rule].depletion_mm
        return layer_moisture(self.capacity_share[:, np.newaxis], lacks, self.layer_m[:, np.newaxis])


@dataclass(frozen=True, eq=False)
class SystemWater:
    """What one system loses.

    Attributes
    ----------
    system : int
        In the order of the plan.
    zones : tuple of Zone
        The first holds the seed.
    lost_mm : mapping
        Rule to the evaporation of the field, by draw and day [mm].
    competing_mm : mapping
        Rule to the evaporation over all days [mm] if strips and the ground between them shared the energy by the water
        that they still have; empty where there is one kind of ground.
    """

    system: int
    zones: tuple[Zone, ...]
    lost_mm: Mapping[str, FloatArray]
    competing_mm: Mapping[str, FloatArray]

    @property
    def seed_zone(self) -> Zone:
        """The ground that holds the seed."""
        return self.zones[0]

    def total_mm(self, rule: str, days: int | None = None) -> FloatArray:
        """Return the evaporation of the first days, or of all, by draw."""
        return np.asarray(self.lost_mm[rule][:, :days].sum(axis=1))


@dataclass(frozen=True, eq=False)
class SurfaceWater:
    """The weeks of all systems.

    Attributes
    ----------
    first : date
        The day of the slurry.
    days, draws : int
        How many.
    et_mm, rain_mm : ndarray
        Evaporation of short grass and rain, by day.
    has_rain : bool
        Whether the weather holds any rain.
    systems : tuple of SystemWater
        In the order of the plan.
    came_from : str
        Where the weather came from, for people.
    notes : tuple of str
        What a reader must be told.
    """

    first: dt.date
    days: int
    draws: int
    et_mm: FloatArray
    rain_mm: FloatArray
    has_rain: bool
    systems: tuple[SystemWater, ...]
    came_from: str
    notes: tuple[str, ...]

    def seed_moisture(self, system: int, rule: str = "linear") -> FloatArray:
        """Return the moisture by volume of the top layer that holds the seed, by draw and day."""
        return self.systems[system].seed_zone.moisture(rule)

    def difference_mm(self, system: int, baseline: int, rule: str) -> FloatArray:
        """Return what a system loses more than the baseline over all days, draw by draw."""
        return self.systems[system].total_mm(rule) - self.systems[baseline].total_mm(rule)


def surface_water(
    estimate: Estimate, *, days: int | None = None, draws: int = WATER_DRAWS, start: dt.date | None = None
) -> SurfaceWater:
    """Dry the top layer of every system, day by day from that of the slurry on.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    days : int, optional
        How many, 7 to 120; left out: four weeks.
    draws : int
        Of the estimate's, evenly spaced.
    start : date, optional
        First day in place of the plan's.

    Raises
    ------
    PlanFaults
        Where the plan has no weather file or no latitude, or the file has nothing of these days.
    """
    k = constants("water_weeks")
    number = int(k.shown_days) if days is None else days
    if not k.least_days <= number <= _MOST_DAYS:
        what = f"{number} days are too few or too many; {k.least_days:g} to {_MOST_DAYS} will do"
        raise PlanFaults([Fault("--days", what)], estimate.read.name)
    first, weather, notes, has_rain = _weather(estimate, start, number)
    number = len(weather.et_mm)
    keep = kept(estimate.draws, draws)
    try:
        with collecting() as outside:
            soil = top_soil(estimate, keep)
            moisture = _start_moisture(estimate, keep)
            systems = tuple(
                _system(estimate, s, keep, soil, moisture, weather) for s in range(len(estimate.systems))
            )
    except ImpossibleValue as error:
        what = f"the drying of the top layer cannot be followed: {error}"
        raise PlanFaults([Fault("", what)], estimate.read.name) from None
    notes += _soil_notes(estimate, soil, moisture)
    notes += [str(note) for note in outside]
    came = f"{estimate.plan.weather.file}, beside the plan"
    if estimate.plan.weather.rain is not None:
        came += f"; rain from {estimate.plan.weather.rain.file}"
    return SurfaceWater(
        first, number, len(keep), weather.et_mm, weather.rain_mm, has_rain, systems, came, tuple(dict.fromkeys(notes))
    )


def _weather(estimate: Estimate, start: dt.date | None, days: int) -> tuple[dt.date, ReferenceDays, list[str], bool]:
    """Return first day, weather of the days as far as it goes, what to note of it, and whether it holds rain."""
    read, plan = estimate.read, estimate.plan.weather
    if plan.file is None or plan.start is None:
        what = "how fast the soil dries needs a weather file that goes on for weeks; give file, start and hours"
        raise PlanFaults([read.fault(what, "weather")], read.name)
    first = plan.start.date() if start is None else start
    table = day_hours(read)
    try:
        dates = [first + dt.timedelta(days=number) for number in range(days)]
    except OverflowError:
        what = f"no days can be counted from {first.isoformat()}; check the year"
        raise PlanFaults([read.fault(what, "weather", "start")], read.name) from None
    rows, other = table.rows_of(dates, other_years=True)
    notes = []
    gone = np.flatnonzero(rows < 0)
    if len(gone):
        there = int(gone[0])
        if there < constants("water_weeks").least_days:
            what = (
                f"the weather file {plan.file} lacks the day {dates[there].isoformat()} in every year; the drying of the "
                f"soil needs {constants('water_weeks').least_days:g} days in a row from {first.isoformat()}"
            )
            raise PlanFaults([read.fault(what, "weather", "file")], read.name)
        notes.append(f"the weather file lacks {dates[there].isoformat()}: the ground is followed for {there} days only")
        rows, other = rows[:there], other[:there]
    if there_else := int(other.sum()):
        notes.append(
            f"{there_else} of {len(rows)} days stand in the weather file under another year only and were taken from "
            "there, as in a typical year"
        )
    notes += _rain_notes(estimate, table, rows)
    found = reference_days(read, table, rows)
    return first, found, [*notes, *found.notes], table.has_rain


def _rain_notes(estimate: Estimate, table: DayHours, rows: NDArray[np.int64]) -> list[str]:
    if not table.has_rain:
        return [
            "no rain in the weather: the ground dries without a drop, as in no spring; [weather.rain] takes rain from a "
            "file of its own"
        ]
    if gone := int(np.isnan(table.rain_mm[rows]).sum()):
        plan = estimate.plan.weather
        what = f"rain is missing in {gone} of {24 * len(rows)} hours; rain is never filled: write 0 where none fell"
        at = ("weather", "rain", "file") if plan.rain is not None else ("weather", "file")
        raise PlanFaults([estimate.read.fault(what, *at)], estimate.read.name)
    return []


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


def water_row(read: Read) -> Row:
    """Return the row of the table of soil water that the texture of the field takes."""
    return load("soil_evaporation")[load("texture_water")[read.plan.field.texture].text("water_row")]


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


def _start_moisture(estimate: Estimate, keep: NDArray[np.int64]) -> FloatArray:
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


def _system(
    estimate: Estimate,
    system: int,
    keep: NDArray[np.int64],
    soil: TopSoil,
    moisture: FloatArray,
    weather: ReferenceDays,
) -> SystemWater:
    def of(name: str) -> FloatArray:
        return np.array(take(estimate.values(name, system), keep))

    chain = Chain(estimate.read)
    shapes = {kind_of(m).text("shape") for i in chain.steps_of(system) for m in chain.steps[i].machines}
    tilled = of("tilled")
    two = chain.strip_step(system) is not None and bool((tilled < 0.999).all())
    loose = _loosened(estimate, len(keep)) if shapes & set(_LOOSENS) else np.ones(len(keep))
    everywhere, banded = _slurry_water(estimate, chain, system, keep, soil)
    rain = weather.rain_mm + _on_first_day(everywhere, weather)
    zones = [("strip", tilled, of("cover_strip"), loose), ("between", 1 - tilled, of("cover_between"), np.ones(len(keep)))]
    if not two:
        zones = [("whole", np.ones(len(keep)), of("cover"), loose)]
    grounds: dict[str, list[Ground]] = {rule: [] for rule in RULES}
    for _, _, cover, density in zones:
        start = _start(soil, moisture, density)
        for rule in RULES:
            grounds[rule].append(
                Ground(soil.evaporable_mm * density, soil.readily_mm * density, start, cover, 1.0, rule)
            )
    k = constants("soil_drying")
    left = (k.crop_initial, k.most_base)
    dried: list[dict[str, Drying]] = [{} for _ in zones]
    lost: dict[str, FloatArray] = {}
    competing: dict[str, FloatArray] = {}
    for rule in RULES:
        if not two:
            dried[0][rule] = dry_down(grounds[rule][0], weather.et_mm, rain, *left, _on_first_day(banded, weather))
            lost[rule] = dried[0][rule].evaporation_mm
            continue
        more = _on_first_day(banded, weather)
        found = dry_two_grounds(*grounds[rule], tilled, weather.et_mm, rain, *left, more)
        dried[0][rule], dried[1][rule], lost[rule] = found.strip, found.between, found.evaporation_mm
        other = dry_two_grounds(*grounds[rule], tilled, weather.et_mm, rain, *left, more, sharing="competing")
        competing[rule] = np.asarray(other.evaporation_mm.sum(axis=1))
    made = tuple(
        Zone(
            name, share, cover, soil.capacity_share * density, soil.layer_m, _start(soil, moisture, density),
            everywhere + (banded if place == 0 else 0), dried[place],
        )
        for place, (name, share, cover, density) in enumerate(zones)
    )  # fmt: skip
    return SystemWater(system, made, lost, competing)


def _on_first_day(water_mm: FloatArray, weather: ReferenceDays) -> FloatArray:
    rows = np.zeros((len(water_mm), len(weather.et_mm)))
    rows[:, 0] = water_mm
    return rows


def _loosened(estimate: Estimate, number: int) -> FloatArray:
    k = constants("band_defaults")
    swell, settled = (_entry(estimate.seed, key, k[key], number) for key in ("swell", "settlement"))
    return loosened_density_share(swell, settled)


def _start(soil: TopSoil, moisture: FloatArray, density: FloatArray) -> FloatArray:
    """Return what the layer lacks at first; loosening changes field capacity and moisture by the same share."""
    lacks = 1000 * soil.layer_m * (soil.capacity_share - moisture) * density
    return np.clip(lacks, 0, soil.evaporable_mm * density)  # what is beyond either end is noted


def _slurry_water(
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


def _soil_notes(estimate: Estimate, soil: TopSoil, moisture: FloatArray) -> list[str]:
    plan, row = estimate.plan, water_row(estimate.read)
    notes = []
    if row.key != plan.field.texture:
        mine = load("texture_water")[plan.field.texture].label
        notes.append(f"{mine} is not in the table of soil water: {row.label} stands in")
    wet = float(np.mean(moisture > soil.capacity_share))
    dry = float(np.mean(soil.capacity_share - moisture > soil.evaporable_mm / (1000 * soil.layer_m)))
    if wet > 0:
        notes.append(
            f"in {wet:.0%} of draws the moisture of the plan lies above field capacity: counted as field capacity".replace(
                "%", " %"
            )
        )
    if dry > 0:
        notes.append(
            f"in {dry:.0%} of draws the moisture of the plan is less than air can dry the layer to: counted as dry".replace(
                "%", " %"
            )
        )
    notes.append(
        "all passes are taken as done on the first day, every system starts at the moisture of the plan, and loosened soil "
        "holds less water by volume, as it takes up more room"
    )
    if len(moisture) < estimate.draws:
        notes.append(f"{len(moisture)} of the {estimate.draws} draws, evenly spaced, were dried")
    return notes
