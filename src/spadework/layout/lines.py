"""Driving lines A to B over the plots, their order for every outfit, where to refill, and what the field needs in all."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spadework.layout.place import Placed, PlacedPlot
from spadework.layout.search import to_heading
from spadework.layout.tools import Outfit
from spadework.ranges import require

__all__ = ["Job", "Line", "Needs", "driving", "needs"]


@dataclass(frozen=True)
class Line:
    """One pass of an outfit over a plot.

    Attributes
    ----------
    order : int
        Place in the order of driving, from 1.
    plot : int
        Number of the plot.
    run : int
        Pass over the plot, from the left, from 1.
    back : bool
        True where it is driven from B to A.
    start, end : tuple of float
        Where the middle of the outfit begins and ends, as driven [m].
    first_row, last_row : int or None
        Rows that it makes; None where it does not work row by row.
    refill : bool
        True where the tank must be filled before it.
    slurry_m3 : float
        Slurry that it takes [m3].
    """

    order: int
    plot: int
    run: int
    back: bool
    start: tuple[float, float]
    end: tuple[float, float]
    first_row: int | None
    last_row: int | None
    refill: bool = False
    slurry_m3: float = 0.0

    @property
    def length_m(self) -> float:
        """Length [m]."""
        return math.dist(self.start, self.end)


@dataclass(frozen=True)
class Job:
    """Everything that one outfit does on the plots at one step of the season.

    Attributes
    ----------
    outfit : Outfit
        The machines.
    systems : tuple of str
        Systems whose plots it goes over.
    lines : tuple of Line
        In the order of driving: block by block, each whole before a break.
    """

    outfit: Outfit
    systems: tuple[str, ...]
    lines: tuple[Line, ...]

    @property
    def too_long(self) -> bool:
        """True where a full tank does not last over one pass."""
        tank = self.outfit.tank_m3
        return tank is not None and not self.outfit.hose and any(line.slurry_m3 > tank for line in self.lines)

    @property
    def refills(self) -> int:
        """How often the tank is filled, the first time included."""
        return sum(line.refill for line in self.lines)


@dataclass(frozen=True)
class Needs:
    """What the plots of a system need.

    Attributes
    ----------
    system : str
        Its name.
    plots : int
        Its plots.
    area_ha : float
        Their area [ha].
    row_m : float
        Metres of row in them [m].
    set_up_row_m : float
        Metres of row in its strip for setting [m].
    slurry_m3, seeds : float
        With the strip and the spare [m3], [seeds].
    """

    system: str
    plots: int
    area_ha: float
    row_m: float
    set_up_row_m: float
    slurry_m3: float
    seeds: float


def driving(
    placed: Placed,
    outfits: Sequence[tuple[str, Sequence[Outfit]]],
    dose_m3_ha: dict[str, float],
) -> tuple[Job, ...]:
    """Return what every outfit drives, in the order of the season.

    Parameters
    ----------
    placed : Placed
        The layout on its field.
    outfits : sequence
        Each system with its outfits in order, from :func:`spadework.layout.tools.outfits_of`.
    dose_m3_ha : dict
        Dose of slurry of every system that gets some [m3/ha].

    Returns
    -------
    tuple of Job
        One for each outfit; the same outfit in several systems goes over all their plots in one job.

    Notes
    -----
    Passes lie edge to edge; what they cover more than the plot lies half on each side.  They are driven out and back by turns,
    block after block.  The tank is filled where what is left in it would not last over the rest of the plot, so that a plot gets
    slurry of one load; where a tank does not hold a plot, where it would not last over the next pass.
    """
    chains = [(system, list(some)) for system, some in outfits]
    jobs: list[tuple[Outfit, list[str], int]] = []
    for system, some in chains:
        for at, outfit in enumerate(some):
            found = next((job for job in jobs if job[0] == outfit and system not in job[1]), None)
            if found is None:
                jobs.append((outfit, [system], at - len(some)))
            else:
                found[1].append(system)
    jobs.sort(key=lambda job: job[2])
    return tuple(Job(o, tuple(s), tuple(_lines(placed, o, set(s), dose_m3_ha))) for o, s, _ in jobs)


def _lines(placed: Placed, outfit: Outfit, systems: set[str], dose_m3_ha: dict[str, float]) -> list[Line]:
    width = placed.width
    passes = max(1, math.ceil((width.width_m - 0.005) / outfit.width_m))
    over = max(0.0, passes * outfit.width_m - width.width_m)
    rows_bound = outfit.rows is not None
    out: list[Line] = []
    left = 0.0
    for _, block in itertools.groupby(sorted(placed.plots, key=lambda p: p.block), key=lambda p: p.block):
        mine = _across(placed, [plot for plot in block if plot.labels[0] in systems])
        runs = [(plots, run) for plots in mine for run in range(passes)]
        for plots, run in runs:
            front, back = plots[0].corners, plots[-1].corners
            middle = (run + 0.5) * outfit.width_m - (0.0 if rows_bound else over / 2)
            share = middle / width.width_m
            start, end = _between(front[0], front[1], share), _between(back[3], back[2], share)
            home = bool(len(out) % 2)
            dose = dose_m3_ha.get(plots[0].labels[0], 0.0) if "slurry" in outfit.places else 0.0
            volume = dose * outfit.width_m * math.dist(start, end) / 10_000
            refill = False
            if volume and outfit.tank_m3 is not None and not outfit.hose:
                whole = volume * (passes - run)  # what is left of the plot: one load, where the tank holds it
                refill = left + 1e-9 < (whole if whole <= outfit.tank_m3 else volume)
                left = outfit.tank_m3 if refill else left
            left -= volume
            first = run * outfit.rows + 1 if outfit.rows is not None else None
            last = min((run + 1) * outfit.rows, width.rows) if outfit.rows is not None else None
            out.append(
                Line(
                    len(out) + 1,
                    plots[0].number,
                    run + 1,
                    home,
                    end if home else start,
                    start if home else end,
                    first,
                    last,
                    refill,
                    volume,
                )
            )
    return out


def _across(placed: Placed, plots: Sequence[PlacedPlot]) -> list[list[PlacedPlot]]:
    """Return the plots of a block from the left, those of one strip together from front to back."""
    turned = [(to_heading(np.array(plot.corners[:1]), placed.heading_deg)[0], plot) for plot in plots]
    turned.sort(key=lambda one: (round(float(one[0][0]), 2), float(one[0][1])))
    out: list[list[PlacedPlot]] = []
    for _, plot in turned:
        before = out[-1][-1] if out else None
        joined = before is not None and math.dist(before.corners[3], plot.corners[0]) < 0.01
        same = joined and before is not None and before.labels[0] == plot.labels[0]
        if same:
            out[-1].append(plot)
        else:
            out.append([plot])
    return out


def _between(one: tuple[float, float], other: tuple[float, float], share: float) -> tuple[float, float]:
    return one[0] + (other[0] - one[0]) * share, one[1] + (other[1] - one[1]) * share


def needs(
    placed: Placed,
    jobs: Sequence[Job],
    dose_m3_ha: dict[str, float],
    seeds_ha: float,
    set_up_m: float,
    spare_share: float,
) -> tuple[Needs, ...]:
    """Return metres of row, slurry and seed of every system, with a strip for setting and a spare.

    Parameters
    ----------
    placed : Placed
        The layout on its field.
    jobs : sequence of Job
        What is driven, from :func:`driving`; slurry that is spread over a border counts.
    dose_m3_ha : dict
        Dose of slurry of every system that gets some [m3/ha].
    seeds_ha : float
        Seeds sown per hectare [seeds/ha], 0 or more.
    set_up_m : float
        Length of the strip for setting, as wide as a plot [m], 0 or more.
    spare_share : float
        Spare of slurry and seed [1], 0 to 1.
    """
    require("seeds_ha", seeds_ha, 0, 1e6, "seeds/ha")
    require("set_up_m", set_up_m, 0, 1e4, "m")
    require("spare_share", spare_share, 0, 1, "1")
    out, strip_ha = [], placed.width.width_m * set_up_m / 10_000
    for system in placed.systems:
        mine = [plot for plot in placed.plots if plot.labels[0] == system]
        area = sum(plot.width_m * plot.length_m for plot in mine) / 10_000
        rows = sum(placed.width.rows * plot.length_m for plot in mine)
        numbers = {plot.number for plot in mine}
        spread = [(job.outfit, line) for job in jobs for line in job.lines if line.plot in numbers and line.slurry_m3]
        widest = max((outfit.width_m for outfit, _ in spread), default=0.0)
        slurry = sum(line.slurry_m3 for _, line in spread) + dose_m3_ha.get(system, 0.0) * widest * set_up_m / 10_000
        out.append(
            Needs(
                system,
                len(mine),
                area,
                rows,
                placed.width.rows * set_up_m,
                slurry * (1 + spare_share),
                (area + strip_ha) * seeds_ha * (1 + spare_share),
            )
        )
    return tuple(out)
