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
from spadework.estimate.result import Estimate
from spadework.estimate.slurry.courses import kept, take
from spadework.estimate.water.reference_days import ReferenceDays, reference_days
from spadework.estimate.water.soil import (
    TopSoil,
    lacking,
    loosened,
    slurry_water,
    start_moisture,
    top_soil,
    water_row,
)
from spadework.plan import Fault, PlanFaults
from spadework.plan.outfits import kind_of
from spadework.plan.weather.day_hours import DayHours, day_hours
from spadework.ranges import FloatArray, ImpossibleValue, collecting
from spadework.reference import constants, load
from spadework.science.seedbed.water.drying import Drying, Ground, dry_down, dry_two_grounds
from spadework.science.seedbed.water.top_layer import layer_moisture

__all__ = ["RULES", "WATER_DRAWS", "SurfaceWater", "SystemWater", "Zone", "surface_water", "water_row"]

RULES: Final = ("linear", "convex")
"""The two shapes of the effect of residue on evaporation."""
WATER_DRAWS: Final = 200
"""So many draws, evenly spaced, are dried."""
_MOST_DAYS: Final = 120
_LOOSENS: Final = ("full", "strip")


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
    evaporable_mm : ndarray
        Water that can evaporate from it in all [mm].
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
    evaporable_mm: FloatArray
    start_mm: FloatArray
    slurry_mm: FloatArray
    dried: Mapping[str, Drying]

    def moisture(self, rule: str) -> FloatArray:
        """Return the mean moisture of the layer by volume at the end of each day, by draw and day."""
        lacks = self.dried[rule].depletion_mm
        return layer_moisture(self.capacity_share[:, np.newaxis], lacks, self.layer_m[:, np.newaxis])

    def first_moisture(self) -> FloatArray:
        """Return the moisture of the layer by volume before the first day, and before the slurry."""
        return layer_moisture(self.capacity_share, self.start_mm, self.layer_m)

    def half_gone_day(self, rule: str) -> FloatArray:
        """Return the day on which half of what can evaporate is gone, by draw; infinite where it stays."""
        gone = self.dried[rule].depletion_mm >= self.evaporable_mm[:, np.newaxis] / 2
        return np.where(gone.any(axis=1), gone.argmax(axis=1) + 1.0, np.inf)


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
            moisture = start_moisture(estimate, keep)
            systems = tuple(_system(estimate, s, keep, soil, moisture, weather) for s in range(len(estimate.systems)))
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
    lacks = np.argwhere(np.isnan(table.rain_mm[rows]))
    if gone := len(lacks):
        plan = estimate.plan.weather
        row, hour = lacks[0].tolist()
        what = (
            f"rain is missing in {gone} of {24 * len(rows)} hours, the first {table.dates[rows[row]].isoformat()} from "
            f"{hour:02}:00 on the clock of the plan; rain is never filled: write a line with 0 where none fell"
        )
        at = ("weather", "rain", "file") if plan.rain is not None else ("weather", "file")
        raise PlanFaults([estimate.read.fault(what, *at)], estimate.read.name)
    return []


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
    loose = loosened(estimate, len(keep)) if shapes & set(_LOOSENS) else np.ones(len(keep))
    everywhere, banded = slurry_water(estimate, chain, system, keep, soil)
    rain = weather.rain_mm + _on_first_day(everywhere, weather)
    zones = [
        ("strip", tilled, of("cover_strip"), loose),
        ("between", 1 - tilled, of("cover_between"), np.ones(len(keep))),
    ]
    if not two:
        zones = [("whole", np.ones(len(keep)), of("cover"), loose)]

    def ground(place: int, rule: str) -> Ground:
        _, _, cover, density = zones[place]
        start = lacking(soil, moisture, density)
        return Ground(soil.evaporable_mm * density, soil.readily_mm * density, start, cover, 1.0, rule)

    k = constants("soil_drying")
    crop, most, more = k.crop_initial, k.most_base, _on_first_day(banded, weather)
    dried: list[dict[str, Drying]] = [{} for _ in zones]
    lost: dict[str, FloatArray] = {}
    competing: dict[str, FloatArray] = {}
    for rule in RULES:
        first = ground(0, rule)
        if not two:
            dried[0][rule] = dry_down(first, weather.et_mm, rain, crop, most, more)
            lost[rule] = dried[0][rule].evaporation_mm
            continue
        second = ground(1, rule)
        found = dry_two_grounds(first, second, tilled, weather.et_mm, rain, crop, most, more)
        dried[0][rule], dried[1][rule], lost[rule] = found.strip, found.between, found.evaporation_mm
        other = dry_two_grounds(first, second, tilled, weather.et_mm, rain, crop, most, more, sharing="competing")
        competing[rule] = np.asarray(other.evaporation_mm.sum(axis=1))
    made = tuple(
        Zone(
            name, share, cover, soil.capacity_share * density, soil.layer_m, soil.evaporable_mm * density,
            lacking(soil, moisture, density),
            everywhere + (banded if place == 0 else 0), dried[place],
        )
        for place, (name, share, cover, density) in enumerate(zones)
    )  # fmt: skip
    return SystemWater(system, made, lost, competing)


def _on_first_day(water_mm: FloatArray, weather: ReferenceDays) -> FloatArray:
    rows = np.zeros((len(water_mm), len(weather.et_mm)))
    rows[:, 0] = water_mm
    return rows


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
        "all passes are taken as done on the first day; every system starts at the moisture that the plan gives for the tilled "
        "layer, though its top is often drier; loosened soil holds less water by volume, as it takes up more room"
    )
    if len(moisture) < estimate.draws:
        notes.append(f"{len(moisture)} of the {estimate.draws} draws, evenly spaced, were dried")
    return notes
