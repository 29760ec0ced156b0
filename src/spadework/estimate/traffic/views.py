"""What people ask of the pressure under wheels: which axle reaches deepest, a limit of their own, depth, and the run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate.chain import Chain
from spadework.estimate.traffic.pressure import Pressures
from spadework.ranges import FloatArray
from spadework.reference import constants
from spadework.science.traffic import (
    depth_of_stress,
    load_on_board,
    stress_section,
    stress_to_limit,
    stress_under_even,
    wheel_load_for_limit,
)

__all__ = [
    "Emptying",
    "Held",
    "Limit",
    "Pressing",
    "emptying",
    "hangs_on_tank",
    "held",
    "pressing",
    "profile",
    "section",
    "thumb_limit",
    "under_twins",
]

_POINTS: Final = 49  # along a run


@dataclass(frozen=True)
class Limit:
    """A limit of stress at a depth under the surface that the wheels stand on.

    Attributes
    ----------
    stress_kpa, depth_cm : float
        Stress not to be passed [kPa], and at what depth [cm].
    thumb : bool
        True for the rule of thumb, False where a person set it.
    """

    stress_kpa: float
    depth_cm: float
    thumb: bool = False


@dataclass(frozen=True)
class Pressing:
    """One pass with its axles, the one that reaches deepest named.

    Attributes
    ----------
    system, step : int
        System, and pass in the order of the chain.
    number : int
        Pass within its system, from 1.
    name : str
        The machine that gives the pass its name.
    rows : tuple of int
        Its axles, rows of the axis ``wheel``.
    deepest : int
        The one of them under which the stress is above the rule of thumb deepest down, tank full; where none is above it,
        the one with most stress at 50 cm.
    places : bool
        True where the pass places slurry.
    """

    system: int
    step: int
    number: int
    name: str
    rows: tuple[int, ...]
    deepest: int
    places: bool


@dataclass(frozen=True, eq=False)
class Held:
    """One axle against a limit, tank full; arrays run over the draws.

    Attributes
    ----------
    stress_kpa : ndarray
        Stress at the depth of the limit [kPa].
    depth_cm : ndarray
        Depth down to which the stress is above the limit [cm]; nil where it is nowhere.
    load_kn : ndarray
        Load of a wheel on that contact stress that brings the stress just to the limit [kN]; infinite where no load does.
    share_above : float
        Share of the draws with a stress above the limit at its depth.
    """

    stress_kpa: FloatArray
    depth_cm: FloatArray
    load_kn: FloatArray
    share_above: float


@dataclass(frozen=True, eq=False)
class Emptying:
    """Wheel load along the run, from a full tank to an empty one.

    Attributes
    ----------
    systems : tuple of int
        The systems that it holds for.
    row : int
        The axle, a row of the axis ``wheel``.
    run_m : ndarray
        Distance since the tank was full [m].
    load_kn : ndarray
        Wheel load [kN], distances by draws.
    empty_m : float
        Distance at which the tank is empty, middle of the draws [m].
    """

    systems: tuple[int, ...]
    row: int
    run_m: FloatArray
    load_kn: FloatArray
    empty_m: float


def thumb_limit() -> Limit:
    """Return the rule of thumb of the table ``wheel_limits``."""
    limits = constants("wheel_limits")
    return Limit(limits.stress_kpa, limits.stress_depth_cm, thumb=True)


def pressing(found: Pressures) -> tuple[Pressing, ...]:
    """Return every pass that has wheels, in the order of the plan."""
    chain = Chain(found.estimate.read)
    passes = []
    for index, step in enumerate(chain.steps):
        rows = tuple(row for row, axle in enumerate(found.axles) if axle.step == index)
        places = "slurry" in step.done.places
        deepest = _deepest(found, rows)
        passes.append(Pressing(step.system, index, step.number + 1, step.worker.name, rows, deepest, places))
    return tuple(passes)


def hangs_on_tank(found: Pressures, row: int) -> bool:
    """Tell whether the load on an axle falls while a tank empties: that of its own vehicle, or one that rests on its hitch."""
    sheet = found.sheet
    return bool(np.any(np.abs(sheet["wheel_load_full"][row] - sheet["wheel_load_empty"][row]) > 1e-9))


def held(found: Pressures, row: int, limit: Limit) -> Held:
    """Return an axle, its tank full, against a limit.

    Parameters
    ----------
    found : Pressures
        Pressure under every wheel.
    row : int
        The axle, a row of the axis ``wheel``.
    limit : Limit
        What it is held against.
    """
    sheet = found.sheet
    contact, load = sheet["contact_full"][row], sheet["wheel_load_full"][row]
    factor = sheet["concentration"]
    stress = stress_under_even(contact, sheet["radius_full"][row], limit.depth_cm, factor)
    return Held(
        stress,
        depth_of_stress(load, contact, limit.stress_kpa, factor),
        wheel_load_for_limit(contact, limit.stress_kpa, limit.depth_cm, factor),
        float(np.mean(stress_to_limit(stress, limit.stress_kpa) > 1)),
    )


def profile(found: Pressures, row: int, depths_cm: Sequence[float], fill: str = "full") -> FloatArray:
    """Return the stress below the middle of a wheel [kPa], depths by draws.

    Parameters
    ----------
    found : Pressures
        Pressure under every wheel.
    row : int
        The axle, a row of the axis ``wheel``.
    depths_cm : sequence of float
        Depths under the surface that the wheel stands on [cm], 0 to 500.
    fill : str
        full, half or empty.
    """
    sheet = found.sheet
    down = np.asarray(depths_cm, float)[:, None]
    return stress_under_even(sheet[f"contact_{fill}"][row], sheet[f"radius_{fill}"][row], down, sheet["concentration"])


def section(
    found: Pressures, row: int, across_cm: Sequence[float], depths_cm: Sequence[float], *, twins_only: bool = True
) -> FloatArray:
    """Return the stress in a cut through the ground under one axle, tank full, on the middle of every input [kPa].

    Parameters
    ----------
    found : Pressures
        Pressure under every wheel.
    row : int
        The axle, a row of the axis ``wheel``.
    across_cm, depths_cm : sequence of float
        Columns, to the right of the middle of the outfit, and rows of the cut [cm].
    twins_only : bool
        True adds up the wheels of the right-hand side alone, False those of both sides.

    Returns
    -------
    ndarray
        Shape (depths, columns).
    """
    places = [place for place in found.axles[row].across_m() if place > 0 or not twins_only]
    return stress_section(
        found.middle("contact_full", row),
        found.middle("radius_full", row),
        places,
        0.0,
        np.asarray(across_cm, float) / 100,
        0.0,
        depths_cm,
        float(np.median(found.sheet["concentration"])),
    )


def under_twins(found: Pressures, row: int, depth_cm: float) -> float:
    """Return the largest stress at a depth under the wheels of one side of an axle, tank full, on middle inputs [kPa].

    Parameters
    ----------
    found : Pressures
        Pressure under every wheel.
    row : int
        The axle, a row of the axis ``wheel``.
    depth_cm : float
        Depth under the surface that the wheels stand on [cm], 0 to 500.
    """
    right = [100 * place for place in found.axles[row].across_m() if place > 0]
    return float(section(found, row, np.linspace(right[0], right[-1], 33).tolist(), [depth_cm]).max())


def emptying(found: Pressures) -> tuple[Emptying, ...]:
    """Return the load of a wheel of each tanker along the run while its tank empties; outfits that are alike once.

    The load counts on the axle of the tanker that reaches deepest; the dose is even, so the load falls on a straight line.
    Systems without a tanker that places its slurry itself have none.
    """
    sheet, alike = found.sheet, dict[tuple[object, ...], Emptying]()
    for one in pressing(found):
        rows = [row for row in one.rows if found.middle("vehicle_load", row) > 0]
        dose, width = found.estimate.dose(one.system), sheet["width_used"][one.step]
        if not one.places or not rows or np.min(dose) <= 0:
            continue
        row = _deepest(found, rows)
        load = sheet["vehicle_load"][row]
        until = float(np.median(load / (dose * width))) * 1e4
        run = np.linspace(0, 1.25 * until, _POINTS)
        left = load_on_board(load, dose, width, run[:, None]) / load
        full, empty = (sheet[f"wheel_load_{fill}"][row] for fill in ("full", "empty"))
        carried = empty + (full - empty) * left
        key = (found.axles[row].name, found.axles[row].where, round(until, 6), *np.round(np.median(carried, axis=1), 6))
        before = alike.get(key)
        systems = (one.system,) if before is None else (*before.systems, one.system)
        alike[key] = Emptying(systems, row, run, carried, until)
    return tuple(alike.values())


def _deepest(found: Pressures, rows: Sequence[int]) -> int:
    return max(rows, key=lambda row: (found.middle("line_full", row), found.middle("stress_50_full", row)))
