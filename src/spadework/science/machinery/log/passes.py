"""Passes of a time study: runs of one line joined, and how they lie beside one another."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from spadework import reference
from spadework.science.machinery.log.time_study import Run, Work
from spadework.working import equation

__all__ = ["MeasuredPass", "passes_of"]

_K = reference.constants("time_study")


@dataclass(frozen=True)
class MeasuredPass:
    """One way over the field from end to end; a stop in the middle does not part it.

    Attributes
    ----------
    runs : tuple of int
        Numbers of its runs, from 0.
    begin_s, time_s, length_m : float
        Begin, time at work, and way.
    course_deg, across_m : float
        Course, and place at right angles.
    headland : bool
        True on a headland.
    place : int
        Rank from one side of the field to the other, from 0, among passes of its kind.
    apart_m : float
        Distance to the pass beside it on the side of the lower ranks; not a number where none lies beside it.
    new_m : float
        Width of ground that it covers and that one does not.
    """

    runs: tuple[int, ...]
    begin_s: float
    time_s: float
    length_m: float
    course_deg: float
    across_m: float
    headland: bool
    place: int
    apart_m: float
    new_m: float

    @property
    def speed_km_h(self) -> float:
        """Mean speed at work."""
        return 3.6 * self.length_m / self.time_s


@equation(
    "runs of one line joined; the width that is new is the distance to the pass beside it, at most width_m",
    unit="m",
    source="choice",
    in_words=True,
)
def passes_of(work: Work) -> tuple[MeasuredPass, ...]:
    """Join runs to passes, in the order of time, and say how they lie beside one another.

    Parameters
    ----------
    work : Work
        What was found on a track [any].

    Returns
    -------
    tuple of MeasuredPass
        With lengths, distances and new widths [m].

    Notes
    -----
    Passes lie side by side where they overlap along the main direction and are not farther apart than table
    ``time_study`` allows; farther ones leave ground between, or belong to another plot.

    Examples
    --------
    >>> from spadework.science.machinery.log.time_study import find_work, track_of
    >>> there, back = np.arange(0, 101, 2.0), np.arange(100, -1, -2.0)
    >>> aside = np.concatenate([np.zeros(51), np.linspace(0.3, 2.7, 9), np.full(51, 2.9)])
    >>> along = np.concatenate([there, np.full(9, 104.0), back])
    >>> work = find_work(track_of(np.arange(111.0), aside, along, 0, np.repeat([1, 0, 1], [51, 9, 51])), 3)
    >>> [(one.place, round(one.apart_m, 1), round(one.new_m, 1)) for one in passes_of(work)]
    [(0, nan, 3.0), (1, 2.9, 2.9)]
    """
    groups: list[list[int]] = []
    turned = {turn.before for turn in work.turns}
    for number, run in enumerate(work.runs):
        last = work.runs[number - 1]
        bend = abs((run.course_deg - last.course_deg + 180) % 360 - 180)
        if (
            number
            and number - 1 not in turned
            and run.headland == last.headland
            and bend <= _K.same_line_deg
            and abs(run.across_m - last.across_m) < work.width_m / 2
        ):
            groups[-1].append(number)
        else:
            groups.append([number])
    members = [[work.runs[number] for number in group] for group in groups]
    across = [_mean([(run.across_m, run.length_m) for run in group]) for group in members]
    place = [0] * len(groups)
    apart = [np.nan] * len(groups)
    for headland in (False, True):
        order = sorted((k for k, group in enumerate(members) if group[0].headland == headland), key=lambda k: across[k])
        for rank, k in enumerate(order):
            place[k] = rank
            for other in reversed(order[:rank]):
                if across[k] - across[other] > _K.joined_factor * work.width_m:
                    break
                if _beside(members[k], members[other]):
                    apart[k] = across[k] - across[other]
                    break
    return tuple(
        MeasuredPass(
            tuple(groups[k]),
            group[0].begin_s,
            sum(run.time_s for run in group),
            sum(run.length_m for run in group),
            group[0].course_deg,
            across[k],
            group[0].headland,
            place[k],
            apart[k],
            work.width_m if np.isnan(apart[k]) else min(apart[k], work.width_m),
        )
        for k, group in enumerate(members)
    )


def _mean(pairs: list[tuple[float, float]]) -> float:
    values, weights = np.array(pairs).T
    return float(np.average(values, weights=weights if weights.sum() > 0 else None))


def _beside(ones: list[Run], others: list[Run]) -> bool:
    low, high = min(run.along_m[0] for run in ones), max(run.along_m[1] for run in ones)
    return any(run.along_m[0] < high and run.along_m[1] > low for run in others)
