"""Pegs of the plots: where each stands, and how to find it with two tapes from two fixed points."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spadework.layout.place import Placed
from spadework.layout.search import to_heading
from spadework.ranges import FloatArray
from spadework.reference import constants

__all__ = ["Peg", "PegTable", "cross", "fixed_points", "pegs"]


@dataclass(frozen=True)
class Peg:
    """One peg.

    Attributes
    ----------
    name : str
        Block, then F for front or B for back (or a part between), then its place from the left.
    marks : tuple of int
        Plots that meet at it.
    east_m, north_m : float
        In local metres.
    from_first_m, from_second_m : float
        Tapes from the two fixed points [m].
    left_of_line : bool
        True where it stands to the left of the line from the first fixed point to the second.
    angle_deg : float
        Angle at which the tapes cross [degree].
    check_m : float
        Tape to the peg before it in the same line [m]; 0 for the first.
    error_m : float
        How far the peg may be off for the error of reading a tape [m].
    same_as : str
        Name of a peg of another block that stands at the same spot; empty where there is none.
    """

    name: str
    marks: tuple[int, ...]
    east_m: float
    north_m: float
    from_first_m: float
    from_second_m: float
    left_of_line: bool
    angle_deg: float
    check_m: float
    error_m: float
    same_as: str = ""

    @property
    def weak(self) -> bool:
        """True where the tapes cross at too flat or too sharp an angle."""
        least = constants("layout_rules")["angle_least_deg"].value
        return not least <= self.angle_deg <= 180 - least

    @property
    def far(self) -> bool:
        """True where a tape would have to be laid out more than once."""
        return max(self.from_first_m, self.from_second_m) > constants("layout_rules")["tape_longest_m"].value


@dataclass(frozen=True)
class PegTable:
    """All pegs, and the two fixed points that their tapes start from.

    Attributes
    ----------
    first, second : tuple
        Name, east and north [m] of the fixed points.
    base_m : float
        Tape from one to the other [m]: measure it before anything else.
    pegs : tuple of Peg
        In the order in which they are set.
    """

    first: tuple[str, float, float]
    second: tuple[str, float, float]
    base_m: float
    pegs: tuple[Peg, ...]


def cross(
    first: tuple[float, float], second: tuple[float, float], from_first_m: float, from_second_m: float, left: bool
) -> tuple[float, float]:
    """Return where two tapes cross.

    Parameters
    ----------
    first, second : tuple of float
        East and north of the fixed points [m]; they differ.
    from_first_m, from_second_m : float
        Lengths of the tapes [m].
    left : bool
        True for the crossing to the left of the line from the first to the second.

    Raises
    ------
    ValueError
        If the points are one, or the tapes do not reach one another.

    Examples
    --------
    >>> cross((0, 0), (5, 0), 3, 4, True)
    (1.8, 2.4)
    """
    base = math.dist(first, second)
    if base < 1e-9:
        raise ValueError("the two fixed points are one")
    along = (base**2 + from_first_m**2 - from_second_m**2) / (2 * base)
    off = from_first_m**2 - along**2
    if off < -1e-6 * base**2:
        raise ValueError(f"tapes of {from_first_m:g} m and {from_second_m:g} m do not meet over a base of {base:g} m")
    off = math.sqrt(max(off, 0.0)) * (1 if left else -1)
    east, north = (second[0] - first[0]) / base, (second[1] - first[1]) / base
    return first[0] + along * east - off * north, first[1] + along * north + off * east


def fixed_points(placed: Placed) -> tuple[tuple[str, float, float], tuple[str, float, float]]:
    """Return the two points that pegs are measured from: those of the field file, else two corners of the field.

    Notes
    -----
    Of several, the pair is taken from which the worst peg can move least for the same error of a tape, long tapes counting double
    and more.  Corners of the field are an emergency: a hedge hides them, and an outline from a map may lie metres off.
    """
    known = list(placed.host.fixed)
    if len(known) < 2:
        corners = np.asarray(placed.host.outline.simplify(1.0).exterior.coords)[:-1]
        known += [(f"corner {n}", float(x), float(y)) for n, (x, y) in enumerate(corners.tolist(), 1)]
    spots = np.array([corner for plot in placed.plots for corner in plot.corners])
    best = None
    longest = constants("layout_rules")["tape_longest_m"].value
    for one in range(min(len(known), 40)):
        for other in range(one + 1, min(len(known), 40)):
            first, second = known[one], known[other]
            if math.dist(first[1:], second[1:]) < 1.0:
                continue
            tapes = [np.hypot(*(spots - np.asarray(point[1:])).T) for point in (first, second)]
            sharp = np.maximum(np.abs(np.sin(_angles(spots, first[1:], second[1:]))), 1e-3)
            merit = float(np.max((1 + np.maximum(*tapes) / longest) / sharp))
            if best is None or merit < best[0] - 1e-9:
                best = (merit, first, second)
    if best is None:
        raise ValueError("there are no two points a metre or more apart to measure from")
    return best[1], best[2]


def _angles(spots: FloatArray, first: Sequence[float], second: Sequence[float]) -> FloatArray:
    one, other = spots - np.asarray(first), spots - np.asarray(second)
    dot = (one * other).sum(axis=1)
    out: FloatArray = np.arctan2(np.abs(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]), dot)
    return out


def pegs(placed: Placed) -> PegTable:
    """Return the pegs at all corners of all plots, line by line.

    Parameters
    ----------
    placed : Placed
        The layout on its field.

    Returns
    -------
    PegTable
        Each spot of a block once, whatever the number of plots that meet there; where blocks touch, the later peg names the
        earlier one at its spot.
    """
    first, second = fixed_points(placed)
    error = constants("layout_rules")["tape_error_m"].value
    spots: dict[tuple[int, int, int], tuple[float, float, set[int]]] = {}
    for plot in placed.plots:
        for east, north in plot.corners:
            x, y = to_heading(np.array([[east, north]]), placed.heading_deg)[0].tolist()
            _, _, marks = spots.setdefault((plot.block, round(y * 100), round(x * 100)), (east, north, set()))
            marks.add(plot.number)
    out: list[Peg] = []
    named: dict[tuple[int, int], str] = {}
    before: tuple[int, int] | None = None
    levels = {block: sorted({y for b, y, _ in spots if b == block}) for block, _, _ in spots}
    number = 0
    for block, y, x in sorted(spots):
        east, north, marks = spots[block, y, x]
        fresh = before != (block, y)
        number, before = 1 if fresh else number + 1, (block, y)
        at, last = levels[block].index(y), len(levels[block]) - 1
        line = "F" if at == 0 else "B" if at == last else f"M{at}"
        angle = float(_angles(np.array([[east, north]]), first[1:], second[1:])[0])
        side = (second[1] - first[1]) * (north - first[2]) - (second[2] - first[2]) * (east - first[1])
        name = f"{block}{line}{number}"
        same_as = named.setdefault((y, x), name)
        out.append(
            Peg(
                name,
                tuple(sorted(marks)),
                east,
                north,
                math.dist((east, north), first[1:]),
                math.dist((east, north), second[1:]),
                side >= 0,
                math.degrees(angle),
                0.0 if fresh else math.dist((east, north), (out[-1].east_m, out[-1].north_m)),
                error / max(math.sin(angle), 1e-3),
                "" if same_as == name else same_as,
            )
        )
    return PegTable(first, second, math.dist(first[1:], second[1:]), tuple(out))
