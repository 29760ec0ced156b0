"""Runs on a track: by the tools where the log has them, else by main direction, speed and length."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from spadework import reference
from spadework.ranges import FloatArray
from spadework.science.machinery.log.direction import direction_strength, main_direction, off_direction
from spadework.science.machinery.log.track import Track

__all__ = ["Run", "runs_found", "steadied", "stretches"]

_K = reference.constants("time_study")
_Mask = NDArray[np.bool_]
_SWITCH_S: Final = 2.0
_HALF_RIGHT: Final = 45.0
_FEW: Final = 3


@dataclass(frozen=True)
class Run:
    """Work without a break.

    Attributes
    ----------
    begin_s, end_s : float
        From and to.
    length_m, course_deg : float
        Way, and course from its begin to its end.
    across_m : float
        Place at right angles to the runs of its kind.
    along_m : tuple of float
        From and to along them.
    headland : bool
        True where it lies across the main direction.
    piece : int
        Unbroken piece of the log.
    """

    begin_s: float
    end_s: float
    length_m: float
    course_deg: float
    across_m: float
    along_m: tuple[float, float]
    headland: bool
    piece: int

    @property
    def time_s(self) -> float:
        """Time that it took."""
        return self.end_s - self.begin_s


def runs_found(track: Track, width_m: float) -> tuple[list[Run], float, float]:
    """Return the runs in the order of time, the main direction [deg], and how well the courses agree with it [1]."""
    moving = track.speed_m_s > _K.stand_m_s
    basis = moving if track.tools is None else moving & track.tools
    direction, strength = _direction(track, basis)
    if track.tools is not None:
        return _parted(track, _by_tools(track, direction, basis), direction), direction, strength
    runs = _side_by_side(_by_course(track, direction, moving), width_m)
    if not runs:
        return [], direction, strength
    inside = np.zeros(track.at_s.size, np.bool_)
    for run in runs:
        inside |= (track.at_s >= run.begin_s) & (track.at_s <= run.end_s)
    direction, _ = _direction(track, inside)
    runs = _side_by_side(_by_course(track, direction, moving), width_m)
    runs += _on_headland(track, direction, moving, width_m, runs)
    return _parted(track, runs, direction), direction, strength


def _parted(track: Track, runs: list[Run], direction: float) -> list[Run]:
    """Return runs in the order of time; where two reach into each other, both stop halfway."""
    runs = sorted(runs, key=lambda run: run.begin_s + run.end_s)
    for k in range(len(runs) - 1):
        one, two = runs[k], runs[k + 1]
        if two.begin_s < one.end_s:
            middle = (two.begin_s + one.end_s) / 2
            for place, begin, end in ((k, one.begin_s, middle), (k + 1, middle, two.end_s)):
                run = runs[place]
                here = int(np.argmax(track.piece == run.piece))
                runs[place] = _run(track, begin, max(begin, end), here, direction, run.headland)
    return [run for run in runs if run.end_s > run.begin_s]


def _direction(track: Track, taken: _Mask) -> tuple[float, float]:
    way = track.speed_m_s[taken] * _K.step_s
    courses = track.course_deg[taken]
    return float(main_direction(courses, way)), float(direction_strength(courses, way))


def steadied(mask: _Mask, piece: NDArray[np.int_]) -> _Mask:
    """Return a mask in which a value that stands alone has gone over to its neighbours: two in a row change a state."""
    out = mask.copy()
    if mask.size > 2:
        alone = (piece[1:-1] == piece[:-2]) & (piece[1:-1] == piece[2:])
        alone &= (mask[:-2] == mask[2:]) & (mask[1:-1] != mask[:-2])
        out[1:-1] = np.where(alone, mask[:-2], mask[1:-1])
    return out


def stretches(mask: _Mask, piece: NDArray[np.int_]) -> list[tuple[int, int]]:
    """Return first and last place of every unbroken stretch that is true."""
    same = mask[1:] & mask[:-1] & (piece[1:] == piece[:-1])
    first = np.flatnonzero(mask & ~np.concatenate([[False], same]))
    last = np.flatnonzero(mask & ~np.concatenate([same, [False]]))
    return list(zip(first.tolist(), last.tolist(), strict=True))


def _by_tools(track: Track, direction: float, at_work: _Mask) -> list[Run]:
    runs = []
    for first, last in stretches(steadied(at_work, track.piece), track.piece):
        begin, end = (_switched(track, edge, place) for edge, place in ((first, first - 1), (last, last + 1)))
        if end > begin:
            runs.append(_run(track, begin, end, first, direction, None))
    return runs


def _switched(track: Track, inner: int, outer: int) -> float:
    """Return when the tools went down or up between two places; halfway between where the log does not say."""
    if not 0 <= outer < track.at_s.size or track.piece[outer] != track.piece[inner]:
        return float(track.at_s[inner])
    middle = float(track.at_s[inner] + track.at_s[outer]) / 2
    if track.switched_s.size:
        nearest = float(track.switched_s[np.argmin(np.abs(track.switched_s - middle))])
        if abs(nearest - middle) <= _SWITCH_S:
            return nearest
    return middle


def _by_course(track: Track, direction: float, moving: _Mask) -> list[Run]:
    off = np.asarray(off_direction(track.course_deg, direction))
    straight = moving & (off <= _K.within_deg)
    if not straight.any():
        return []
    usual = float(np.median(track.speed_m_s[straight]))
    pace = (track.speed_m_s >= _K.slow_share * usual) & (track.speed_m_s <= _K.fast_share * usual)
    if not (straight & pace).any():
        return []
    usual = float(np.median(track.speed_m_s[straight & pace]))
    return _stretched(track, straight, usual, off, direction, headland=False, least=_K.run_m)


def _on_headland(track: Track, direction: float, moving: _Mask, width: float, runs: list[Run]) -> list[Run]:
    """Return long straight runs across the others, at their ends."""
    if not runs:
        return []
    across = [run.across_m for run in runs]
    breadth = max(across) - min(across) + width
    off = 90 - np.asarray(off_direction(track.course_deg, direction))
    usual = float(np.median([run.length_m / run.time_s for run in runs]))
    least = max(_K.run_m, _K.across_share * breadth)
    found = _stretched(track, moving & (off <= _K.within_deg), usual, off, direction, headland=True, least=least)
    low, high = min(run.along_m[0] for run in runs) - _K.rim_m, max(run.along_m[1] for run in runs) + _K.rim_m
    return [run for run in found if low <= run.across_m <= high]


def _stretched(
    track: Track, straight: _Mask, usual: float, off: FloatArray, direction: float, *, headland: bool, least: float
) -> list[Run]:
    pace = _K.slow_share * usual, _K.fast_share * usual
    mask = straight & (track.speed_m_s >= pace[0]) & (track.speed_m_s <= pace[1])
    found = stretches(steadied(mask, track.piece), track.piece)
    edges = [(_edge(track, off, first, -1), _edge(track, off, last, 1)) for first, last in found]
    leads = [edge.lead_s for pair in edges for edge in pair if edge.lead_s]
    usual_lead = float(np.median(leads)) if len(leads) >= _FEW else 0.0
    runs = []
    for (first, _), pair in zip(found, edges, strict=True):
        early, late = (usual_lead if edge.lead_s is None else edge.lead_s for edge in pair)
        begin, end = pair[0].at_s + early, pair[1].at_s - late
        if end > begin:
            run = _run(track, begin, end, first, direction, headland)
            if run.length_m >= least:
                runs.append(run)
    return runs


def _pace_left(track: Track, place: int, beyond: int) -> float:
    """Return when the speed was halfway between that of the run and that after it, near two neighbouring places."""
    at, speed, step = track.at_s, track.speed_m_s, beyond - place
    near = int(np.ceil(track.span_s / 2 / _K.step_s))
    inner, outer = place, beyond
    for _ in range(near):
        inner = inner - step if _same(track, inner - step, place) else inner
        outer = outer + step if _same(track, outer + step, place) else outer
    half = float(speed[inner] + speed[outer]) / 2
    way = np.arange(inner, outer + step, step)
    over = (speed[way] - half) * (1 if speed[inner] > speed[outer] else -1)
    last = int(np.flatnonzero(over > 0)[-1]) if (over > 0).any() else -1
    if not 0 <= last < way.size - 1:
        return float(at[place] + at[beyond]) / 2
    part = float(over[last] / (over[last] - over[last + 1]))
    return float(at[way[last]] + part * (at[way[last + 1]] - at[way[last]]))


def _same(track: Track, one: int, other: int) -> bool:
    return 0 <= one < track.at_s.size and bool(track.piece[one] == track.piece[other])


@dataclass(frozen=True)
class _Edge:
    """When a run is left: the time at which that shows, and how much earlier it began; None where that is not told."""

    at_s: float
    lead_s: float | None = 0.0


def _edge(track: Track, off: FloatArray, place: int, step: int) -> _Edge:
    """Return when the course began to leave the direction, behind (1) or before (-1) the last place within.

    Two angles are met one after the other; a course that changes evenly began to change so much earlier again.  Errors
    of the positions can hide the second angle; then the others of the log tell how much earlier.
    """
    at, beyond = track.at_s, place + step
    if not _same(track, beyond, place):
        return _Edge(float(at[place]))
    if off[beyond] <= _K.within_deg or track.speed_m_s[beyond] <= _K.stand_m_s:
        return _Edge(_pace_left(track, place, beyond))
    one = _crossing(at, off, place, beyond, _K.within_deg)
    while off[beyond] < _K.beyond_deg:
        place, beyond = beyond, beyond + step
        if not _same(track, beyond, place):
            return _Edge(one, None)
        if abs(at[beyond] - one) > _K.lead_most_s + _K.step_s or off[beyond] < off[place]:
            return _Edge(one, None)
    lead = abs(_crossing(at, off, place, beyond, _K.beyond_deg) - one)
    lead *= _K.within_deg / (_K.beyond_deg - _K.within_deg)
    return _Edge(one, lead if lead <= _K.lead_most_s else None)


def _crossing(at: FloatArray, off: FloatArray, place: int, beyond: int, angle: float) -> float:
    rise = float(off[beyond] - off[place])
    part = (angle - float(off[place])) / rise if rise > 0 else 0.5
    return float(at[place] + min(max(part, 0.0), 1.0) * (at[beyond] - at[place]))


def _run(track: Track, begin: float, end: float, place: int, direction: float, headland: bool | None) -> Run:
    mine = track.piece == track.piece[place]
    at, east, north, speed = track.at_s[mine], track.east_m[mine], track.north_m[mine], track.speed_m_s[mine]
    way = np.concatenate([[0.0], np.cumsum(np.diff(at) * (speed[1:] + speed[:-1]) / 2)])
    ends = np.interp([begin, end], at, way)
    x, y = np.interp([begin, end], at, east), np.interp([begin, end], at, north)
    ahead = float(np.degrees(np.arctan2(x[1] - x[0], y[1] - y[0])) % 360)
    if headland is None:
        headland = float(off_direction(ahead, direction)) > _HALF_RIGHT
    within = (at >= begin) & (at <= end)
    if not within.any():
        within = np.abs(at - (begin + end) / 2) <= _K.step_s
    angle = np.radians(direction + (90 if headland else 0))
    aside = float(np.mean(east[within] * np.cos(angle) - north[within] * np.sin(angle)))
    along = np.sort(x * np.sin(angle) + y * np.cos(angle))
    return Run(
        begin, end, float(ends[1] - ends[0]), ahead, -aside if headland else aside,
        (float(along[0]), float(along[1])), bool(headland), int(track.piece[place]),
    )  # fmt: skip


def _side_by_side(runs: list[Run], width: float) -> list[Run]:
    """Leave out a straight piece far from all others where there is a field of runs: the way to it."""
    group = list(range(len(runs)))

    def head(place: int) -> int:
        while group[place] != place:
            place = group[place]
        return place

    order = sorted(range(len(runs)), key=lambda place: runs[place].across_m)
    for rank, place in enumerate(order):
        for other in order[rank + 1 :]:
            one, two = runs[place], runs[other]
            apart = two.across_m - one.across_m
            if apart > width + _K.rim_m:
                break
            if (one.along_m[0] < two.along_m[1] and two.along_m[0] < one.along_m[1]) or apart < width / 2:
                group[head(other)] = head(place)
    heads = [head(place) for place in range(len(runs))]
    if max((heads.count(one) for one in heads), default=0) < 3:  # noqa: PLR2004 RUF100 (fewer are no field)
        return runs
    return [run for run, one in zip(runs, heads, strict=True) if heads.count(one) > 1]
