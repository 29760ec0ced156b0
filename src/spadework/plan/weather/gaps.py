"""Lays the lines of a weather file on an unbroken row of hours, and fills short gaps by a straight line where that is allowed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework.plan.weather.layouts import QUANTITIES
from spadework.plan.weather.table import HOUR, Holds, Hourly
from spadework.ranges import FloatArray

__all__ = ["Laid", "fill_gaps", "lay", "stretch"]

_FILLS = {quant.key for quant in QUANTITIES.values() if quant.fills}


@dataclass(frozen=True, eq=False)
class Laid:
    """An unbroken row of hours.

    Attributes
    ----------
    lines : ndarray of int
        Line of the file, 0 where it has none.
    values : mapping
        Numbers by what they are, NaN where they are missing.
    filled : mapping
        Which of them are filled.
    wrong : tuple of str
        What is wrong with a value of these hours.
    """

    lines: NDArray[np.int64]
    values: Mapping[Holds, FloatArray]
    filled: Mapping[Holds, NDArray[np.bool_]]
    wrong: tuple[str, ...]


def lay(hourly: Hourly, begin: int, count: int, most: int) -> Laid:
    """Lay the hours of a file on `count` hours from `begin`, with gaps of up to `most` hours filled.

    A gap is filled only between two values of the file; what lies before and after the row of hours counts as well.
    """
    around = most + 1
    total = count + 2 * around
    since = hourly.seconds - (begin - around * HOUR)
    here = (since % HOUR == 0) & (since >= 0) & (since < total * HOUR)
    place = since[here] // HOUR
    lines = np.zeros(total, dtype=np.int64)
    lines[place] = hourly.lines[here]
    inside = slice(around, around + count)
    values, filled, wrong = {}, {}, []
    for holds, numbers in hourly.values.items():
        row = np.full(total, np.nan)
        row[place] = numbers[here]
        said = {line: what for (line, which), what in hourly.wrong.items() if which == holds}
        amiss = np.flatnonzero(np.isin(lines, list(said))) if said else lines[:0]
        wrong += [said[line] for line in lines[amiss[(amiss >= around) & (amiss < around + count)]].tolist()]
        whole = fill_gaps(row, most if holds[0] in _FILLS else 0, amiss.tolist())
        values[holds], filled[holds] = whole[inside], (np.isnan(row) & ~np.isnan(whole))[inside]
    return Laid(lines[inside], values, filled, tuple(wrong))


def fill_gaps(values: FloatArray, most: int, amiss: Sequence[int] = ()) -> FloatArray:
    """Return `values` with gaps of up to `most` hours filled by a straight line between the values on either side.

    Parameters
    ----------
    values : ndarray of float
        NaN where a value is missing.
    most : int
        Longest gap that is filled [h].
    amiss : sequence of int
        Places whose value is wrong instead of missing; a gap with one of them is left open.

    Examples
    --------
    >>> fill_gaps(np.array([4.0, np.nan, np.nan, 7.0, np.nan]), 2).tolist()
    [4.0, 5.0, 6.0, 7.0, nan]
    """
    gone = np.isnan(values)
    edges = np.flatnonzero(np.diff(np.concatenate(([False], gone, [False])).astype(np.int8)))
    whole = values.copy()
    for first, behind in edges.reshape(-1, 2).tolist():
        if first == 0 or behind == len(values) or behind - first > most or any(first <= i < behind for i in amiss):
            continue
        before, after = values[first - 1], values[behind]
        whole[first:behind] = before + (after - before) * np.arange(1, behind - first + 1) / (behind - first + 1)
    return whole


def stretch(hourly: Hourly, begin: int, most: int) -> tuple[int, int]:
    """Return first hour and number of hours, around `begin`, between which no more than `most` hours have no line.

    Examples
    --------
    >>> hours = np.array([0, 1, 3, 4, 9]) * HOUR
    >>> stretch(Hourly(hours, np.arange(1, 6), {}, {}, {}), 3 * HOUR, 1)
    (0, 5)
    """
    seconds = hourly.seconds[(hourly.seconds - begin) % HOUR == 0]
    breaks = np.flatnonzero(np.diff(seconds) > (most + 1) * HOUR) + 1
    part = int(np.searchsorted(seconds[breaks], begin, side="right"))
    edges = [0, *breaks.tolist(), len(seconds)]
    first, last = int(seconds[edges[part]]), int(seconds[edges[part + 1] - 1])
    return first, (last - first) // HOUR + 1
