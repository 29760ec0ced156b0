"""What runs over the plots: width, rows and wheels of every outfit of a plan."""

from __future__ import annotations

import math
from dataclasses import dataclass

from spadework.plan import Machine, Pass, Plan, Tractor, Wheels
from spadework.plan.outfits import working_width_m
from spadework.reference import constants, load

__all__ = ["Outfit", "Track", "common_width_m", "outfits_of", "repeat_of_rows", "set_of"]

_PLOUGHS = ("mouldboard_plough",)


@dataclass(frozen=True)
class Track:
    """The ground that one wheel runs on, sideways from the middle of the outfit; to the right is positive.

    Attributes
    ----------
    left_m, right_m : float
        Its edges [m].
    """

    left_m: float
    right_m: float


@dataclass(frozen=True)
class Outfit:
    """The machines that are coupled for a pass.

    Attributes
    ----------
    name : str
        Of the machine that works, as in the plan.
    tractor : str
        Name of the tractor.
    machines : tuple of str
        Names of all machines.
    kind : str
        Kind of the machine that works: its key in table ``machine_kinds``.
    width_m : float
        Working width [m].
    rows : int or None
        Rows, where it works row by row.
    places : tuple of str
        What it places: slurry, seed.
    tank_m3 : float or None
        Content of its tank [m3].
    hose : bool
        True where the slurry comes through a hose.
    tracks : tuple of Track
        Where its wheels run.
    tracks_known : bool
        True where the plan gives the wheels of every vehicle.
    depth, speed : str
        As the plan says them; empty where it says nothing.
    overlap_m : float
        Ground that two neighbouring passes both work [m]; 0 for machines that keep to the rows.
    """

    name: str
    tractor: str
    machines: tuple[str, ...]
    kind: str
    width_m: float
    rows: int | None
    places: tuple[str, ...] = ()
    tank_m3: float | None = None
    hose: bool = False
    tracks: tuple[Track, ...] = ()
    tracks_known: bool = False
    depth: str = ""
    speed: str = ""
    overlap_m: float = 0.0

    @property
    def plough(self) -> bool:
        """True for a machine that leaves an opening ridge and a last furrow."""
        return self.kind in _PLOUGHS


def outfits_of(plan: Plan) -> tuple[tuple[str, tuple[Outfit, ...]], ...]:
    """Return the outfits of every system in the order in which they go over its plots.

    Parameters
    ----------
    plan : Plan
        A checked plan.

    Returns
    -------
    tuple
        Name of the system and its outfits; a pass on which nothing has a working width is left out.
    """
    out = []
    for system in plan.systems:
        found = [_outfit(plan, step) for step in system.passes]
        out.append((system.name, tuple(one for one in found if one is not None)))
    return tuple(out)


def _outfit(plan: Plan, step: Pass) -> Outfit | None:
    machines = [plan.machine(name) for name in step.machines]
    wide = [(working_width_m(machine, plan), machine) for machine in machines]
    working = [(width, machine) for width, machine in wide if width is not None and width > 0]
    if not working:
        return None
    width, machine = working[-1]  # the last of the train leaves the ground as it is
    tractor = plan.tractor(step.tractor)
    vehicles: list[Tractor | Machine] = [tractor, *(m for m in machines if m.mass is not None)]
    hose = step.supply is not None and plan.supply(step.supply).way == "hose"
    return Outfit(
        machine.name,
        tractor.name,
        tuple(step.machines),
        machine.kind,
        width,
        machine.rows,
        tuple(step.places),
        next((m.tank.value for m in machines if m.tank is not None), None),
        hose,
        tuple(track for vehicle in vehicles for track in _tracks(vehicle)),
        all(vehicle.wheels for vehicle in vehicles),
        step.depth.text if step.depth is not None else "",
        step.speed.text,
        _overlap_m(machine, width),
    )


def _overlap_m(machine: Machine, width_m: float) -> float:
    """Return the overlap that the plan gives, or else the usual one of the kind, as in the estimate; none by rows."""
    if machine.rows is not None:
        return 0.0
    if machine.overlap is not None:
        return machine.overlap.value / 100.0
    usual = load("overlap")[machine.kind]
    return usual.entry("overlap_m").value + usual.entry("overlap_share").value * width_m


def _tracks(vehicle: Tractor | Machine) -> list[Track]:
    if not vehicle.wheels:
        rules = constants("layout_rules")
        return _pair(rules["tractor_gauge_m"].value, rules["tyre_width_m"].value)
    return [track for wheels in vehicle.wheels for track in _axle(wheels)]


def _axle(wheels: Wheels) -> list[Track]:
    tyre = wheels.tyre_width.value / 100.0
    apart = wheels.apart.value / 100.0 if wheels.apart is not None else 1.1 * tyre
    return [track for twin in range(wheels.count // 2) for track in _pair(wheels.gauge.value + 2 * twin * apart, tyre)]


def _pair(gauge_m: float, tyre_m: float) -> list[Track]:
    return [Track(side * gauge_m / 2 - tyre_m / 2, side * gauge_m / 2 + tyre_m / 2) for side in (-1, 1)]


def repeat_of_rows(rows: tuple[int, ...]) -> int:
    """Return after how many rows machines of so many rows lie alike again: their least common multiple.

    Examples
    --------
    >>> repeat_of_rows((8, 6)), repeat_of_rows((12, 8)), repeat_of_rows((8, 8))
    (24, 24, 8)
    """
    if not rows or min(rows) < 1:
        raise ValueError(f"`rows` are {rows}; allowed: one or more whole numbers from 1 up")
    return math.lcm(*rows)


def common_width_m(widths_m: tuple[float, ...]) -> float:
    """Return the narrowest width that is a whole number of passes of every machine, to the millimetre.

    Parameters
    ----------
    widths_m : tuple of float
        Working widths [m], above 0.

    Examples
    --------
    >>> common_width_m((4.5, 6.0, 3.0, 1.8))
    18.0
    """
    in_mm = [round(width * 1000) for width in widths_m]
    if not in_mm or min(in_mm) < 1:
        raise ValueError(f"`widths_m` are {widths_m}; allowed: one or more widths above 0 m")
    return math.lcm(*in_mm) / 1000


def set_of(outfits: tuple[tuple[str, tuple[Outfit, ...]], ...]) -> tuple[Outfit, ...]:
    """Return every outfit once, in the order of the systems."""
    return tuple(dict.fromkeys(one for _, some in outfits for one in some))
