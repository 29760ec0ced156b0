"""The best heading and the best spots for the blocks of a comparison, inside the ground where plots may lie.

A heading turns the ground so that the machines drive along y.  A block is then an upright rectangle, and every spot sideways
leaves some free stretches along y; the blocks are laid into them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np

from spadework.ranges import FloatArray, require
from spadework.reference import constants

__all__ = ["Found", "Need", "Spot", "best_spots", "to_field", "to_heading"]

Lie = Literal["side by side", "one behind another", "as they fit"]
_SHORTEST_EDGE_M: Final = 20.0
_FAR_M: Final = 40_000.0
_Stretch = tuple[float, float]


@dataclass(frozen=True)
class Need:
    """What has to find a place.

    Attributes
    ----------
    blocks : int
        Blocks, from 1.
    breadth_m : float
        Breadth of a block [m].
    length_m, least_m : float
        Length wanted of a block, and the least that would do [m].
    front_m, back_m : float
        Room in front of a block (turning, and the lane) and behind it (turning) [m].
    lie : str
        How the blocks lie, seen along the rows.
    """

    blocks: int
    breadth_m: float
    length_m: float
    least_m: float
    front_m: float
    back_m: float
    lie: Lie = "as they fit"


@dataclass(frozen=True)
class Spot:
    """Front left corner of a block in the turned frame [m], and its range, from the front."""

    x_m: float
    y_m: float
    range_: int


@dataclass(frozen=True)
class Found:
    """Where the blocks lie.

    Attributes
    ----------
    heading_deg : float
        Of the rows from A to B, clockwise from north [degree].
    length_m : float
        Length of the blocks [m].
    spots : tuple of Spot
        One for each block that fits, by range and from the left.
    along_edge : bool
        True where the heading follows an edge of the field.
    spread_m : float
        How far the middles of the blocks lie from one another: root of their mean squared distance from the common one [m].
    """

    heading_deg: float
    length_m: float
    spots: tuple[Spot, ...]
    along_edge: bool
    spread_m: float


def to_heading(points: FloatArray, heading_deg: float) -> FloatArray:
    """Turn east and north into metres to the right and metres ahead.

    Examples
    --------
    >>> import numpy as np
    >>> to_heading(np.array([[1.0, 0.0]]), 90.0).round(6).tolist()
    [[0.0, 1.0]]
    """
    turn = math.radians(heading_deg)
    out: FloatArray = np.asarray(points) @ np.array(
        [[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]]
    )
    return out


def to_field(points: FloatArray, heading_deg: float) -> FloatArray:
    """Turn metres to the right and metres ahead into east and north; undoes :func:`to_heading`."""
    turn = math.radians(heading_deg)
    out: FloatArray = np.asarray(points) @ np.array(
        [[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]]
    )
    return out


def best_spots(
    ground: Any, open_ground: Any, outline: Any, need: Need, heading_deg: float | None = None
) -> Found | None:
    """Return the best heading and spots: most blocks, then longest, then most compact.

    Parameters
    ----------
    ground : Polygon or MultiPolygon
        Where plots may lie.
    open_ground : Polygon or MultiPolygon
        Where machines may turn; holds `ground`.
    outline : Polygon
        The field, whose edges are tried as headings first.
    need : Need
        What has to find a place.
    heading_deg : float, optional
        The one heading that is wanted [degree], 0 to 360; all are tried if left out.

    Returns
    -------
    Found or None
        None where not one block fits at its least length.  Fewer spots than blocks where not all fit.

    Notes
    -----
    Edges of the field are tried first, then every degree, then quarters of a degree about the best.  A heading off the edges must
    leave the blocks a twentieth more compact to be taken.
    """
    require("breadth_m", need.breadth_m, 0, 5_000, "m", above=True)
    require("least_m", need.least_m, 0, need.length_m, "m", above=True)
    rules = constants("layout_rules")
    middle = outline.centroid
    free = _Free(ground, open_ground, (float(middle.x), float(middle.y)))
    fine = rules["side_step_m"].value / 3
    if heading_deg is not None:
        apart = [abs((one - heading_deg + 90) % 180 - 90) for one in _edge_headings(outline)]
        return _at(
            free, need, heading_deg % 360, fine, None, min(apart, default=90.0) <= rules["heading_fine_deg"].value
        )
    best: Found | None = None
    edges = list(_edge_headings(outline))
    step = rules["heading_step_deg"].value
    others = [one * step for one in range(round(180 / step))]
    for heading, edge in [*((one, True) for one in edges), *((one, False) for one in others)]:
        best = _better(best, _at(free, need, heading, rules["side_step_m"].value, best, edge))
    if best is None:
        return None
    turns = rules["heading_fine_deg"].value * np.arange(-4, 5)
    if best.along_edge:
        turns = np.zeros(1)
    coarse = best
    for turn in turns.tolist():
        best = _better(best, _at(free, need, (coarse.heading_deg + turn) % 180, fine, best, coarse.along_edge))
    return best


def _better(one: Found | None, other: Found | None) -> Found | None:
    if one is None or other is None:
        return one or other
    return other if _merit(other) > _merit(one) else one


def _merit(one: Found) -> tuple[int, float, float]:
    gain = 1.0 if one.along_edge else 1.0 + constants("layout_rules")["edge_gain_share"].value
    return len(one.spots), round(one.length_m), -round(one.spread_m * gain, 1)


def _edge_headings(outline: Any) -> Iterator[float]:
    """Yield headings of the edges, the longest first."""
    corners = np.asarray(outline.simplify(0.5).exterior.coords)
    edges = np.diff(corners, axis=0)
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    told: list[float] = []
    for place in np.argsort(-lengths, kind="stable"):
        if lengths[place] < _SHORTEST_EDGE_M:
            return
        heading = math.degrees(math.atan2(edges[place, 0], edges[place, 1])) % 180
        if all(abs((heading - one + 90) % 180 - 90) > 0.05 for one in told):
            told.append(heading)
            yield heading


class _Free:
    """Free stretches along any heading, for any breadth."""

    def __init__(self, ground: Any, open_ground: Any, middle: tuple[float, float]) -> None:
        from shapely.geometry import box

        x, y = middle
        around = box(x - _FAR_M, y - _FAR_M, x + _FAR_M, y + _FAR_M)
        self._blocked = [around.difference(ground), around.difference(open_ground)]
        self._ground = ground

    def stretches(self, heading: float, need: Need, step: float) -> tuple[FloatArray, list[list[_Stretch]]]:
        """Return spots sideways and, for each, where blocks may lie along the heading."""
        import shapely

        def turned(points: FloatArray) -> FloatArray:
            return to_heading(points, heading)

        left, low, right, high = shapely.transform(self._ground, turned).bounds
        places = np.arange(left, right - need.breadth_m + 1e-9, step) if right > left else np.zeros(0)
        if not len(places):
            return places, []
        boxes = shapely.box(places, low - 200, places + need.breadth_m, high + 200)
        found = [_gaps(shapely.transform(one, turned), boxes, low - 200, high + 200) for one in self._blocked]
        out = []
        for plots, turning in zip(*found, strict=True):
            here = [
                (max(a, c + need.front_m), min(b, d - need.back_m))
                for a, b in plots
                for c, d in turning
                if a < d and c < b
            ]
            out.append(sorted((a, b) for a, b in here if b - a >= need.least_m))
        return places, out


def _gaps(blocked: Any, boxes: Any, low: float, high: float) -> list[list[_Stretch]]:
    """Return the stretches of each box along y that nothing blocks."""
    import shapely

    parts, which = shapely.get_parts(shapely.intersection(blocked, boxes), return_index=True)
    solid = (shapely.get_dimensions(parts) == 2) & (shapely.area(parts) > 1e-6)
    bounds, which = shapely.bounds(parts[solid]), which[solid]
    out: list[list[_Stretch]] = [[] for _ in boxes]
    taken: list[list[_Stretch]] = [[] for _ in boxes]
    for place, (_, bottom, _, top) in zip(which.tolist(), bounds.tolist(), strict=True):
        taken[place].append((bottom, top))
    for place, stretches in enumerate(taken):
        at = low
        for bottom, top in sorted(stretches):
            if bottom > at:
                out[place].append((at, bottom))
            at = max(at, top)
        if at < high:
            out[place].append((at, high))
    return out


def _at(free: _Free, need: Need, heading: float, step: float, best: Found | None, edge: bool) -> Found | None:
    """Return the best spots at a heading; None where it cannot beat the best."""
    apart = max(1, math.ceil(need.breadth_m / step))
    places, stretches = free.stretches(heading, need, need.breadth_m / apart)
    if not any(stretches):
        return None

    def spots(length: float, every: bool = False) -> tuple[Spot, ...]:
        return _packed(places, stretches, apart, need, length, every)

    wanted = need.blocks
    least = need.least_m
    if best is not None and len(best.spots) >= wanted:
        least = max(least, best.length_m - 0.5)
    if len(spots(least)) < wanted:
        if best is not None and len(best.spots) >= wanted:
            return None
        return _found(heading, least, spots(least, True), edge)
    size = constants("layout_rules")["length_step_m"].value
    low, high = 0, math.floor((need.length_m - least) / size + 1e-9)
    if len(spots(need.length_m)) >= wanted:
        return _found(heading, need.length_m, spots(need.length_m, True), edge)
    while low < high:  # the longest that fits, in whole steps
        middle = (low + high + 1) // 2
        low, high = (middle, high) if len(spots(least + middle * size)) >= wanted else (low, middle - 1)
    length = least + low * size
    return _found(heading, length, spots(length, True), edge)


def _found(heading: float, length: float, spots: tuple[Spot, ...], edge: bool) -> Found | None:
    if not spots:
        return None
    return Found(heading, length, spots, edge, _spread(spots))


def _spread(spots: Sequence[Spot]) -> float:
    count = len(spots)
    if not count:
        return 0.0
    right, ahead = sum(s.x_m for s in spots) / count, sum(s.y_m for s in spots) / count
    return math.sqrt(sum((s.x_m - right) ** 2 + (s.y_m - ahead) ** 2 for s in spots) / count)


def _packed(
    places: FloatArray, stretches: list[list[_Stretch]], apart: int, need: Need, length: float, every: bool
) -> tuple[Spot, ...]:
    """Return spots for the blocks, packed from the left; from every start, the most compact, where asked for."""
    stacks = [_stack(one, length, need) for one in stretches]
    best: tuple[int, float] | None = None
    out: tuple[Spot, ...] = ()
    for start in (place for place, stack in enumerate(stacks) if stack):
        chosen: list[tuple[int, list[_Stretch]]] = []
        count, at = 0, start
        while at < len(stacks) and count < need.blocks:
            if stacks[at]:
                room = stacks[at][: need.blocks - count]
                chosen.append((at, room))
                count += len(room)
                at += apart
            else:
                at += 1
        if need.lie == "one behind another":
            chosen = chosen[:1]
        spots = _levelled(places, chosen, length)
        merit = (len(spots), -_spread(spots))
        if best is None or merit > best:
            best, out = merit, spots
            if not every and len(spots) >= need.blocks:
                return out
    return out


def _stack(stretches: list[_Stretch], length: float, need: Need) -> list[_Stretch]:
    """Return where fronts of blocks may lie, one behind another, in the stretches of one spot sideways."""
    out: list[_Stretch] = []
    at = -math.inf
    for low, high in stretches:
        start = max(low, at)
        while start + length <= high + 1e-9:
            out.append((start, high - length))
            if need.lie == "side by side":
                return out
            start += length + need.front_m
            at = start
    return [(low, high) for low, high in out]


def _levelled(places: FloatArray, chosen: list[tuple[int, list[_Stretch]]], length: float) -> tuple[Spot, ...]:
    """Return spots whose fronts lie level range by range, as far as the stretches let them."""
    columns = [[(float(places[at]), *room)] for at, rooms in chosen for room in rooms[:1]]
    out: list[Spot] = []
    most = max((len(rooms) for _, rooms in chosen), default=0)
    if most == 1:
        fronts = [(x, low, high) for ((x, low, high),) in columns]
        level = max(low for _, low, _ in fronts)
        if level > min(high for *_, high in fronts):
            level = sum(low for _, low, _ in fronts) / len(fronts)
        return tuple(Spot(x, min(max(level, low), high), 1) for x, low, high in fronts)
    for at, rooms in chosen:
        out += [Spot(float(places[at]), low, number) for number, (low, _) in enumerate(rooms, 1)]
    return tuple(sorted(out, key=lambda spot: (spot.range_, spot.x_m)))
