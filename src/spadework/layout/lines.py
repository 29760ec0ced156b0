"""Driving lines A to B over the plots, their order for every outfit, where to refill, and what the field needs in all."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spadework.layout.place import Placed, PlacedPlot
from spadework.layout.runs import runs_over
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
    Passes lie as :func:`spadework.layout.runs.runs_over` says.  They are driven out and back by turns, block after block.  The
    same outfit in several systems is one job, unless the systems need it in an order that cannot be; jobs come in an order that
    keeps the passes of every system in theirs.  The dose falls on all ground that the passes cover, whether once or twice.  The
    tank is filled where what is left in it would not last over the rest of the plot, so that a plot gets slurry of one load;
    where a tank does not hold a plot, where it would not last over the next pass.
    """
    return tuple(Job(o, s, tuple(_lines(placed, o, set(s), dose_m3_ha))) for o, s in _in_order(outfits))


def _in_order(outfits: Sequence[tuple[str, Sequence[Outfit]]]) -> list[tuple[Outfit, tuple[str, ...]]]:
    """Return outfits, each with its systems, so that the passes of every system stay in their order."""
    for together in (True, False):
        jobs: list[tuple[Outfit, list[str], int]] = []
        after: dict[int, set[int]] = {}
        for system, some in outfits:
            before: int | None = None
            for at, outfit in enumerate(some):
                left = at - len(some)
                here = _job_of(jobs, outfit, system, None if together else left)
                if here is None:
                    here = len(jobs)
                    jobs.append((outfit, [], left))
                jobs[here][1].append(system)
                after.setdefault(here, set())
                if before is not None:
                    after[here].add(before)
                before = here
        out: list[int] = []
        while len(out) < len(jobs):
            free = [job for job in after if job not in out and after[job] <= set(out)]
            if not free:
                break
            out.append(min(free, key=lambda job: (jobs[job][2], job)))
        if len(out) == len(jobs):
            return [(jobs[job][0], tuple(jobs[job][1])) for job in out]
    raise ValueError("no order keeps the passes of every system in theirs")


def _job_of(jobs: Sequence[tuple[Outfit, list[str], int]], outfit: Outfit, system: str, left: int | None) -> int | None:
    """Return the job of an outfit that a system may join: any, or one with as many passes left."""
    for number, (known, systems, theirs) in enumerate(jobs):
        if known == outfit and system not in systems and left in (None, theirs):
            return number
    return None


def _lines(placed: Placed, outfit: Outfit, systems: set[str], dose_m3_ha: dict[str, float]) -> list[Line]:
    width = placed.width
    runs = runs_over(outfit, width.width_m, width.guard_m)
    out: list[Line] = []
    left = 0.0
    for _, block in itertools.groupby(sorted(placed.plots, key=lambda p: p.block), key=lambda p: p.block):
        for plots in _across(placed, [plot for plot in block if plot.labels[0] in systems]):
            front, back = plots[0].corners, plots[-1].corners
            dose = dose_m3_ha.get(plots[0].labels[0], 0.0) if "slurry" in outfit.places else 0.0
            for run, middle in enumerate(runs.middles_m):
                share = middle / width.width_m
                start, end = _between(front[0], front[1], share), _between(back[3], back[2], share)
                home = bool(len(out) % 2)
                volume = dose * runs.spread_m * math.dist(start, end) / 10_000
                refill = False
                if volume and outfit.tank_m3 is not None and not outfit.hose:
                    whole = volume * (runs.count - run)  # what is left of the plot: one load, where the tank holds it
                    refill = left + 1e-9 < (whole if whole <= outfit.tank_m3 else volume)
                    left = outfit.tank_m3 if refill else left
                left -= volume
                first = run * outfit.rows + 1 if outfit.rows is not None else None
                last = min((run + 1) * outfit.rows, width.rows) if outfit.rows is not None else None
                ends = (end, start) if home else (start, end)
                out.append(Line(len(out) + 1, plots[0].number, run + 1, home, *ends, first, last, refill, volume))
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
