"""A log at even times: every second place, speed and course, and whether the tools are down."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.science.machinery.log.direction import course
from spadework.science.machinery.log.position import even_track, position_scatter, span_needed, usable_positions
from spadework.working import equation

__all__ = ["NoRuns", "Track", "track_of"]

_K = reference.constants("time_study")
_NEAR: Final = 1e-9


class NoRuns(ValueError):  # noqa: N818 (its own word)
    """A track in which no run can be found; says why."""


@dataclass(frozen=True)
class Track:
    """A log at even times.

    Attributes
    ----------
    at_s, east_m, north_m, speed_m_s, course_deg : FloatArray
        Time, place, speed and course.
    piece : NDArray
        Unbroken piece that each belongs to.
    tools : NDArray or None
        True where the tools are down; None where the log does not say.
    switched_s : FloatArray
        Times at which they went down or up.
    scatter_m, spacing_s : float
        Scatter of single positions, and usual time between them.
    span_s, course_span_s : float
        Spans that the speed and the course are taken over; the course may scatter more, for turns are short.
    left_out : int
        Positions that were not used.
    """

    at_s: FloatArray
    east_m: FloatArray
    north_m: FloatArray
    speed_m_s: FloatArray
    course_deg: FloatArray
    piece: NDArray[np.int_]
    tools: NDArray[np.bool_] | None
    switched_s: FloatArray
    scatter_m: float
    spacing_s: float
    span_s: float
    course_span_s: float
    left_out: int


@equation(
    "usable positions, evened over the span that their scatter asks for",
    unit="m and m/s", source="choice", in_words=True,
)  # fmt: skip
def track_of(
    time_s: ArrayLike,
    east_m: ArrayLike,
    north_m: ArrayLike,
    piece_number: ArrayLike = 0,
    tools_down: ArrayLike | None = None,
) -> Track:
    """Bring a log to even times.

    Parameters
    ----------
    time_s : array_like
        Time of each position, in order [s], 0 to 1e7.
    east_m : array_like
        Metres east [m], -1e7 to 1e7.
    north_m : array_like
        Metres north [m], -1e7 to 1e7.
    piece_number : array_like
        Piece that the log itself says a position belongs to, rising [1], 0 or more.
    tools_down : array_like, optional
        1 where the tools are down, else 0 [1].

    Returns
    -------
    Track
        Place [m], speed [m/s] and course [deg] every second.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.
    NoRuns
        If fewer than two positions can be used, or they lie too far apart in time.

    Examples
    --------
    >>> track = track_of(np.arange(60.0), 2 * np.arange(60.0), np.zeros(60))
    >>> track.speed_m_s[:2].round(3).tolist(), track.course_deg[:2].tolist()
    ([2.0, 2.0], [90.0, 90.0])
    """
    time = require("time_s", time_s, 0, 1e7, "s")
    east, north = require("east_m", east_m, -1e7, 1e7, "m"), require("north_m", north_m, -1e7, 1e7, "m")
    number = usable_positions(time, east, north, piece_number)
    used = number >= 0
    down = None
    if tools_down is not None:
        down = np.broadcast_to(require("tools_down", tools_down, 0, 1), time.shape)[used] > 0.5
    left_out = int((~used).sum())
    time, east, north, number = time[used], east[used], north[used], number[used].astype(np.int_)
    sizes = np.bincount(number) if number.size else np.zeros(0, np.int_)
    if not (sizes > 1).any():
        raise NoRuns(f"holds no two positions that follow one another within {_K.gap_s:g} s")
    steps = np.diff(time)[np.diff(number) == 0]
    spacing = float(np.median(steps))
    if spacing > _K.spacing_most_s:
        raise NoRuns(f"holds positions {spacing:g} s apart; allowed: up to {_K.spacing_most_s:g} s, else no turn shows")
    cuts = np.split(np.arange(time.size), np.flatnonzero(np.diff(number)) + 1)
    longest = max(cuts, key=len)
    scatter = float(position_scatter(east[longest], north[longest]))
    spans = [
        float(span_needed(min(scatter, 100.0), spacing, most)) for most in (_K.speed_scatter_m_s, _K.course_scatter_m_s)
    ]
    made: list[FloatArray] = []
    pieces: list[NDArray[np.int_]] = []
    for cut in cuts:
        if cut.size < 2:
            continue
        at = time[cut[0]] + _K.step_s * np.arange(np.floor((time[cut[-1]] - time[cut[0]]) / _K.step_s + _NEAR) + 1)
        calm, quick = (even_track(time[cut], east[cut], north[cut], at, span) for span in spans)
        made.append(np.concatenate([at[None, :], calm[:2], np.hypot(*calm[2:])[None, :], quick[2:]]))
        pieces.append(np.full(at.size, number[cut[0]], np.int_))
    at, x, y, speed, vx, vy = np.concatenate(made, axis=1)
    piece = np.concatenate(pieces)
    tools, switched = None, np.empty(0)
    if down is not None:
        later = np.clip(np.searchsorted(time, at), 1, time.size - 1)
        tools = down[np.where(at - time[later - 1] < time[later] - at, later - 1, later)]
        change = (down[1:] != down[:-1]) & (np.diff(number) == 0)
        switched = ((time[1:] + time[:-1]) / 2)[change]
    return Track(
        at, x, y, speed, course(vx, vy), piece, tools, switched, scatter, spacing, spans[0], spans[1], left_out
    )
