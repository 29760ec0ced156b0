"""What the weeks after banding mean: when to sow, how near the band may lie, when roots meet it, and what decides."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from spadework.estimate.band.course import BandCourse, Found, follow
from spadework.estimate.band.inputs import GROUPS
from spadework.ranges import FloatArray
from spadework.reference import constants
from spadework.science.band import root_arrival_daily, root_speed, verdict

__all__ = [
    "LEVELS",
    "WAITS",
    "Decides",
    "Roots",
    "earliest_wait",
    "edge_moved",
    "roots_of",
    "share_below",
    "shares_by_wait",
    "smallest_gap",
    "what_decides",
    "worst_after",
]

LEVELS: Final = ("risk", "watch")
"""What a wanted share of draws must stay below."""
WAITS: Final = tuple(range(43))
"""Days from slurry to sowing that are gone through."""
_GAPS: Final = np.arange(0, 20.25, 0.25)
_DECIDING_DRAWS: Final = 64
_QUARTER: Final = 0.25


@dataclass(frozen=True, eq=False)
class Roots:
    """The first root on its way down from the seed, sown after a wait.

    Attributes
    ----------
    arrive_fast_days, arrive_slow_days : ndarray
        From sowing to the top of the band, by draw; infinite where it is not reached in the days that are known.
    front_cm : ndarray
        Depth of the front of the fast root, by draw and day since the slurry: the seed until then, at most a little into
        the band.
    at_front : Found
        What the fast root meets there.
    """

    arrive_fast_days: FloatArray
    arrive_slow_days: FloatArray
    front_cm: FloatArray
    at_front: Found


@dataclass(frozen=True)
class Decides:
    """How much of what differs between draws one group makes.

    Attributes
    ----------
    group : str
        As in ``GROUPS``.
    share : float
        By how much the variance of the logarithm of the severity falls when the group is held at its middle [1]; a little
        below nil where it does not.
    """

    group: str
    share: float


def watched(course: BandCourse, wait: int) -> slice:
    """Return the days from sowing on that count, counted from the slurry; the reckoned days end them."""
    return slice(wait, min(wait + int(constants("band_weeks").watched_days), course.horizon) + 1)


def worst_after(course: BandCourse, wait: int, gap_cm: float | None = None, found: Found | None = None) -> FloatArray:
    """Return the greatest severity at the seed in the weeks after sowing that count, by draw."""
    seen = course.at_seed(gap_cm) if found is None else found
    return np.asarray(seen.severity[:, watched(course, wait)].max(axis=1))


def shares_by_wait(course: BandCourse, gap_cm: float | None = None) -> FloatArray:
    """Return the share of draws that are clear, to be watched and at risk, for each of ``WAITS`` (rows)."""
    seen = course.at_seed(gap_cm)
    rows = []
    for wait in WAITS:
        of = verdict(worst_after(course, wait, found=seen))
        rows.append([float(np.mean(of == word)) for word in (0, 1, 2)])
    return np.array(rows)


def share_below(shares: FloatArray, level: str) -> FloatArray:
    """Return the share of draws below a level, out of shares clear, to be watched and at risk along the last axis."""
    return np.asarray(1 - shares[..., 2] if level == "risk" else shares[..., 0])


def earliest_wait(course: BandCourse, wanted: float | None = None, level: str = "risk") -> int | None:
    """Return the first wait from which on the wanted share of draws stays below a level; None where there is none.

    From which on: a wait that would do counts only where every longer one does too.
    """
    wanted = constants("band_weeks").wanted_share if wanted is None else wanted
    fine = share_below(shares_by_wait(course), level) >= wanted - 1e-9
    bad = np.flatnonzero(~fine)
    first = 0 if not len(bad) else int(bad[-1]) + 1
    return first if first < len(WAITS) else None


def smallest_gap(course: BandCourse, wait: int, wanted: float | None = None, level: str = "risk") -> float | None:
    """Return the smallest middle gap [cm] from which on the wanted share of draws stays below a level after a wait.

    None where even the largest gap that the cut allows does not do: one at which the seed of the middle draw would lie at
    the surface.  Gaps go in quarters of a centimetre.
    """
    wanted = constants("band_weeks").wanted_share if wanted is None else wanted
    possible = _GAPS[np.median(course.inputs.top_cm) >= _GAPS]
    found = None
    for gap in possible[::-1]:
        worst = verdict(worst_after(course, wait, float(gap)))
        good = np.mean(worst < 2) if level == "risk" else np.mean(worst < 1)
        if good < wanted - 1e-9:
            break
        found = float(gap)
    return found


def roots_of(course: BandCourse, wait: int) -> Roots:
    """Return when the first root gets to the band, sown after a wait, and what it meets on its way."""
    k = constants("band_spread")
    warm = course.temperature_degc[:, wait:]
    gap = np.maximum(course.inputs.gap_cm, 0)
    fast = root_arrival_daily(warm, gap)
    rooted = root_arrival_daily(warm, np.zeros_like(gap))
    slow = rooted + gap / k.root_front
    known = warm.shape[1]
    slow = np.where(slow <= known, slow, np.inf)
    into = constants("band_weeks").into_band_cm
    reach = np.maximum(course.inputs.seed_cm, course.inputs.top_cm + into)
    day = np.arange(known)
    # share of each day on which the root is there and grows, at that day's speed; counted up to the start of a day
    grows = np.clip(day + 1 - rooted[:, None], 0, 1)
    grown = np.cumsum(root_speed(warm) * grows, axis=1)
    before = np.concatenate([np.zeros((len(grown), 1)), grown[:, :-1]], axis=1)
    front = np.minimum(course.inputs.seed_cm[:, None] + before, reach[:, None])
    whole = np.concatenate([np.repeat(course.inputs.seed_cm[:, None], wait, axis=1), front], axis=1)
    return Roots(fast, slow, whole, course.at_depth(whole, course.roots))


def edge_moved(course: BandCourse, days: int = 28, share: float = _QUARTER) -> float:
    """Return how far the line of a share of the fresh band's ammoniacal N lies above the band after days [cm].

    At the middle of all inputs, over the middle of the band, nitrification left out; negative where the line has drawn
    back into the band.
    """
    middle = course.inputs.middle().only(1)
    at = follow(replace(middle, offset_cm=np.zeros(1)), course.soil, days=days)
    inside = at.depth_cm <= float(at.inputs.top_cm[0] + at.inputs.half_height_cm[0])
    depth, there = at.depth_cm[inside], at.nitrogen_share[0, min(days, at.horizon), inside]
    return float(at.inputs.top_cm[0] - np.interp(share, there, depth))


def what_decides(course: BandCourse, wait: int, draws: int = _DECIDING_DRAWS) -> tuple[Decides, ...]:
    """Return what makes draws differ in the worst that the band does at the seed, the largest share first.

    Each group in turn is held at its middle, and the weeks are followed again with so many of the draws.  Shares need not
    add up to one: what groups do together counts for each of them.  Below a hundredth of a limit nothing counts; where
    all draws lie there, nothing is returned.
    """
    inputs, least = course.inputs.only(draws), constants("band_weeks").least_ratio

    def variance(*held: str) -> float:
        again = follow(inputs.middle(*held) if held else inputs, course.soil, days=course.days)
        worst = again.at_seed().added[:, watched(again, wait)].max(axis=1)
        return float(np.var(np.log(np.maximum(worst, least))))

    whole = variance()
    if whole <= 1e-12:
        return ()
    found = [Decides(group, 1 - variance(group) / whole) for group in GROUPS]
    return tuple(sorted(found, key=lambda one: -one.share))
