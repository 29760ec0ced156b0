"""Time study: what an outfit did from second to second, as runs, turns, stops and the rest.

Where the log says whether the tools are down, that decides.  Elsewhere a run is what keeps to the main direction at
about the usual speed, and it ends where the course began to leave it.  A straight piece driven with the tools already
out then counts as work, for no position tells it apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.science.machinery.log.runs import Run, runs_found, steadied, stretches
from spadework.science.machinery.log.track import NoRuns, Track, track_of
from spadework.working import equation

__all__ = ["STATES", "NoRuns", "Run", "Spell", "Track", "Turn", "Work", "find_work", "times_of_states", "track_of"]

STATES: Final = ("working", "turning", "stopped", "filling", "transport", "other", "not logged")
"""What an outfit can be doing; ``filling`` is any long stop, waiting included."""

_K = reference.constants("time_study")
_SHORT: Final = 1e-6


@dataclass(frozen=True)
class Turn:
    """From one run into the next.

    Attributes
    ----------
    begin_s, end_s, moving_s, stopped_s : float
        From and to; time moving and time standing in between.
    before, after : int
        Numbers of both runs, from 0.
    plain : bool
        True between two runs along the field, without a stop.
    """

    begin_s: float
    end_s: float
    moving_s: float
    stopped_s: float
    before: int
    after: int
    plain: bool


@dataclass(frozen=True)
class Spell:
    """A time in one of the :data:`STATES`."""

    state: str
    begin_s: float
    end_s: float

    @property
    def time_s(self) -> float:
        """Time that it took."""
        return self.end_s - self.begin_s


@dataclass(frozen=True)
class Work:
    """What was found on a track.

    Attributes
    ----------
    track : Track
        The track.
    width_m : float
        Working width.
    direction_deg, strength : float
        Main direction, and how well the courses agree with it.
    runs : tuple of Run
        In the order of time.
    turns : tuple of Turn
        In the order of time.
    spells : tuple of Spell
        The whole log, without a hole, in the order of time.
    """

    track: Track
    width_m: float
    direction_deg: float
    strength: float
    runs: tuple[Run, ...]
    turns: tuple[Turn, ...]
    spells: tuple[Spell, ...]

    @property
    def begin_s(self) -> float:
        """Begin of the first run."""
        return self.runs[0].begin_s

    @property
    def end_s(self) -> float:
        """End of the last run."""
        return self.runs[-1].end_s


@equation(
    "runs by tools or by main direction, speed and length; turns between them; stops; the rest by where it lies",
    unit="s",
    source="choice",
    in_words=True,
)
def find_work(track: Track, width_m: ArrayLike) -> Work:
    """Find runs, turns and stops on a track.

    Parameters
    ----------
    track : Track
        Place, speed and course at even times [any], from :func:`track_of`.
    width_m : array_like
        Working width [m], above 0 to 60; one number.

    Returns
    -------
    Work
        Runs, turns and the time of every state [s].

    Raises
    ------
    ImpossibleValue
        If the width lies outside its range.
    NoRuns
        If no run can be found.

    Notes
    -----
    All limits stand in table ``time_study`` and are our own choice.  Lines that bend by more than the angle allowed off
    the main direction are found only where the log says that the tools are down.

    Examples
    --------
    >>> there, back = np.arange(0, 101, 2.0), np.arange(100, -1, -2.0)
    >>> aside = np.concatenate([np.zeros(51), np.linspace(0.3, 2.7, 9), np.full(51, 3.0)])
    >>> along = np.concatenate([there, np.full(9, 104.0), back])
    >>> tools = np.repeat([1, 0, 1], [51, 9, 51])
    >>> work = find_work(track_of(np.arange(111.0), aside, along, 0, tools), 3)
    >>> [(spell.state, spell.time_s) for spell in work.spells]
    [('working', 50.5), ('turning', 9.0), ('working', 50.5)]
    """
    width = float(require("width_m", width_m, 0, 60, "m", above=True))
    if not (track.speed_m_s > _K.stand_m_s).any():
        raise NoRuns("shows no movement")
    if track.tools is not None and not (track.tools & (track.speed_m_s > _K.stand_m_s)).any():
        raise NoRuns("shows no movement with the tools down")
    runs, direction, strength = runs_found(track, width)
    if not runs:
        raise NoRuns(f"shows no straight run of {_K.run_m:g} m or more at an even speed")
    outside = _outside(track, runs, direction, width)
    stops = _stops(track, runs)
    spells, turns = _edge_of_log(track, outside, stops, track.at_s[0], runs[0].begin_s), []
    for number, run in enumerate(runs):
        spells.append(Spell("working", run.begin_s, run.end_s))
        if number + 1 < len(runs):
            more, turn = _between(track, outside, stops, runs, number)
            spells += more
            turns += [turn] if turn else []
    spells += _edge_of_log(track, outside, stops, runs[-1].end_s, track.at_s[-1])
    return Work(track, width, direction, strength, tuple(runs), tuple(turns), tuple(spells))


def _outside(track: Track, runs: list[Run], direction: float, width: float) -> NDArray[np.bool_]:
    """Tell which places lie outside the box around all runs and its rim."""
    angle = np.radians(direction)
    along = track.east_m * np.sin(angle) + track.north_m * np.cos(angle)
    aside = track.east_m * np.cos(angle) - track.north_m * np.sin(angle)
    inside = np.zeros(track.at_s.size, np.bool_)
    for run in runs:
        inside |= (track.at_s >= run.begin_s) & (track.at_s <= run.end_s)
    if not inside.any():
        return inside
    rim = _K.rim_m + width / 2
    out = (along < along[inside].min() - rim) | (along > along[inside].max() + rim)
    return np.asarray(out | (aside < aside[inside].min() - rim) | (aside > aside[inside].max() + rim))


def _stops(track: Track, runs: list[Run]) -> list[Spell]:
    """Return where the outfit stands long enough, outside its runs."""
    stands = steadied(track.speed_m_s < _K.stand_m_s, track.piece)
    for run in runs:
        stands &= ~((track.at_s > run.begin_s) & (track.at_s < run.end_s))
    found = []
    for first, last in stretches(stands, track.piece):
        begin, end = _halfway(track, first, first - 1), _halfway(track, last, last + 1)
        if end - begin > _K.stand_s:
            found.append(Spell("filling" if end - begin > _K.fill_s else "stopped", begin, end))
    return found


def _halfway(track: Track, inner: int, outer: int) -> float:
    if not 0 <= outer < track.at_s.size or track.piece[outer] != track.piece[inner]:
        return float(track.at_s[inner])
    return float(track.at_s[inner] + track.at_s[outer]) / 2


def _between(
    track: Track, outside: NDArray[np.bool_], stops: list[Spell], runs: list[Run], number: int
) -> tuple[list[Spell], Turn | None]:
    """Return what lies between a run and the next, and the turn if it is one."""
    one, two = runs[number], runs[number + 1]
    begin, end = one.end_s, max(two.begin_s, one.end_s)
    mine = _cut(stops, begin, end)
    stopped = sum(spell.time_s for spell in mine)
    moving = end - begin - stopped
    change = (two.course_deg - one.course_deg) % 360
    corner = one.headland != two.headland
    low = _K.corner_deg if corner else _K.turn_least_deg
    high = 360 - _K.corner_deg if corner else _K.turn_most_deg
    if one.piece != two.piece or not low <= change <= high or moving >= _K.turn_s:
        return _sorted_out(track, outside, mine, begin, end), None
    plain = not (mine or one.headland or two.headland)
    turn = Turn(begin, end, moving, stopped, number, number + 1, plain)
    return _filled(mine, begin, end, "turning"), turn


def _cut(spells: list[Spell], begin: float, end: float) -> list[Spell]:
    cut = [Spell(one.state, max(one.begin_s, begin), min(one.end_s, end)) for one in spells]
    return [one for one in cut if one.time_s > _SHORT]


def _filled(spells: list[Spell], begin: float, end: float, state: str) -> list[Spell]:
    """Return spells with everything between them in one state."""
    out, at = [], begin
    for one in spells:
        if one.begin_s - at > _SHORT:
            out.append(Spell(state, at, one.begin_s))
        out.append(one)
        at = one.end_s
    return [*out, Spell(state, at, end)] if end - at > _SHORT else out


def _sorted_out(track: Track, outside: NDArray[np.bool_], stops: list[Spell], begin: float, end: float) -> list[Spell]:
    """Return stops, gaps in the log, and the rest as transport outside the field and other inside."""
    edges = np.flatnonzero(np.diff(track.piece))
    gaps = [Spell("not logged", float(track.at_s[k]), float(track.at_s[k + 1])) for k in edges]
    known = sorted([*stops, *_cut(gaps, begin, end)], key=lambda one: one.begin_s)
    away = [
        Spell("transport", _halfway(track, first, first - 1), _halfway(track, last, last + 1))
        for first, last in stretches(outside, track.piece)
    ]
    out: list[Spell] = []
    for one in _filled(known, begin, end, ""):
        if one.state:
            out.append(one)
        else:
            out += _filled(_cut(away, one.begin_s, one.end_s), one.begin_s, one.end_s, "other")
    return out


def _edge_of_log(track: Track, outside: NDArray[np.bool_], stops: list[Spell], begin: float, end: float) -> list[Spell]:
    begin, end = float(begin), float(end)
    return _sorted_out(track, outside, _cut(stops, begin, end), begin, end) if end - begin > _SHORT else []


def times_of_states(work: Work, begin_s: float, end_s: float) -> FloatArray:
    """Return the time of each of the :data:`STATES` between two times [s]."""
    cut = _cut(list(work.spells), begin_s, end_s)
    return np.array([sum(one.time_s for one in cut if one.state == state) for state in STATES], np.float64)
