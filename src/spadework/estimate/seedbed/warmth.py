"""What a run of the warmth of the soil gives: zones, systems, weeks."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from spadework.estimate.seedbed.zones import GroundZone
from spadework.ranges import FloatArray
from spadework.science.seedbed.heat.surface import SurfaceCourse

__all__ = ["SoilWarmth", "SystemWarmth", "ZoneRun", "ZoneWarmth"]


@dataclass(frozen=True, eq=False)
class ZoneWarmth:
    """One kind of ground.

    Attributes
    ----------
    name : {"strip", "between", "whole"}
        Which.
    degc : ndarray
        By draw, hour and depth; each value at the end of its hour.
    surface_degc : ndarray
        Surface by draw and hour, bare and under residue by cover, as of a whole field of it.
    came_from : str
        ``weather`` or ``loggers``.
    """

    name: str
    degc: FloatArray
    surface_degc: FloatArray
    came_from: str


@dataclass(frozen=True, eq=False)
class SystemWarmth:
    """One system; the first of its zones holds the seed."""

    system: int
    zones: tuple[ZoneWarmth, ...]

    @property
    def seed_zone(self) -> ZoneWarmth:
        """The ground that holds the seed."""
        return self.zones[0]

    def zone(self, name: str) -> ZoneWarmth:
        """Return the zone of a name."""
        return next(zone for zone in self.zones if zone.name == name)


@dataclass(frozen=True, eq=False)
class ZoneRun:
    """What a run of zones gives, each as a whole field, and what it was made with.

    Attributes
    ----------
    zones : tuple of GroundZone
        Along the first axis of what follows.
    edges_cm : ndarray
        Of the layers.
    conductivity_w_m_k, heat_j_m3_k : ndarray
        By zone, draw, day and layer; one day stands for all where the soil keeps its moisture.
    start_degc : ndarray
        At the first midnight, by draw and layer.
    course : SurfaceCourse
        By zone and draw.
    ends_degc : ndarray
        At the depths, with the surfaces at the ends of their ranges in place of draws; the hours from the first on.
    """

    zones: tuple[GroundZone, ...]
    edges_cm: FloatArray
    conductivity_w_m_k: FloatArray
    heat_j_m3_k: FloatArray
    start_degc: FloatArray
    course: SurfaceCourse
    ends_degc: FloatArray


@dataclass(frozen=True, eq=False)
class SoilWarmth:
    """The weeks of some systems.

    Attributes
    ----------
    first : date
        First day; hours count from its midnight, on the clock of the plan.
    days, draws : int
        How many.
    depth_cm : ndarray
        Depths of the temperatures; the place of the middle of the seed in them is `seed_at`.
    seed_at : int
        Which depth is that of the middle of the seed.
    air_degc : ndarray
        By hour.
    systems : tuple of SystemWarmth
        In the order of the plan.
    came_from : str
        Where the weather came from, for people.
    notes : tuple of str
        What a reader must be told.
    run : ZoneRun
        The zones as whole fields, from which the cuts are made.
    """

    first: dt.date
    days: int
    draws: int
    depth_cm: FloatArray
    seed_at: int
    air_degc: FloatArray
    systems: tuple[SystemWarmth, ...]
    came_from: str
    notes: tuple[str, ...]
    run: ZoneRun

    def of(self, system: int) -> SystemWarmth:
        """Return what was found of a system of the plan."""
        return next(one for one in self.systems if one.system == system)

    def at_seed(self, system: int, zone: str | None = None) -> FloatArray:
        """Return temperatures at the middle depth of the seed, by draw and hour; where it lies, or in another zone."""
        found = self.of(system)
        ground = found.seed_zone if zone is None else found.zone(zone)
        return ground.degc[..., self.seed_at]
