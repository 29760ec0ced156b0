"""Where the passes of an outfit lie over a plot: how many, over the borders or short of them, and what is worked twice."""

from __future__ import annotations

import math
from dataclasses import dataclass

from spadework.layout.tools import Outfit
from spadework.ranges import require
from spadework.reference import constants

__all__ = ["Runs", "runs_over"]

_CLOSE_M = 0.005


@dataclass(frozen=True)
class Runs:
    """The passes of one outfit over a plot, from the left, looking from A to B.

    Attributes
    ----------
    middles_m : tuple of float
        Middle of each pass from the left edge of the plot [m].
    covered_m : float
        Ground from the left edge of the first pass to the right edge of the last [m].
    over_m : float
        What they cover more than the plot is wide [m], both sides together; 0 where they do not.
    short_m : float
        What they leave of the plot at its borders [m], both sides together; 0 where they leave nothing.
    twice : tuple
        Left and right edge of each stretch that two passes work [m].
    """

    middles_m: tuple[float, ...]
    covered_m: float
    over_m: float
    short_m: float
    twice: tuple[tuple[float, float], ...] = ()

    @property
    def count(self) -> int:
        """How many passes."""
        return len(self.middles_m)

    @property
    def spread_m(self) -> float:
        """Ground that falls to one pass [m]: the width for which a dose must be set, so that the plot gets it."""
        return self.covered_m / self.count


def runs_over(outfit: Outfit, width_m: float, guard_m: float = 0.0) -> Runs:
    """Return the passes of an outfit over a plot.

    Parameters
    ----------
    outfit : Outfit
        The machines, with their width and the overlap of their passes.
    width_m : float
        Width of the plot [m], above 0.
    guard_m : float
        Width at each side that is not measured [m], 0 or more.

    Returns
    -------
    Runs
        Row machines from the left edge of the plot, edge to edge: what is too much, lies on the right.  Others with their
        overlap, and what is too much or too little half on each side.

    Notes
    -----
    n = ceil((W - o) / (w - o)) passes of width w that overlap by o cover n (w - o) + o.  Where n = ceil(W / w) passes would do
    edge to edge, and with the overlap leave no more than table ``layout_rules`` allows at each border, on guard rows, it stays at
    those: nobody drives once more for a hand's breadth.

    Examples
    --------
    >>> boom = Outfit("boom", "tractor", ("boom",), "trailing hose boom", 5.0, None, overlap_m=0.5)
    >>> found = runs_over(boom, 12.0)
    >>> found.count, found.over_m, found.twice
    (3, 2.0, ((3.5, 4.0), (8.0, 8.5)))
    """
    require("width_m", width_m, 0, 5_000, "m", above=True)
    require("guard_m", guard_m, 0, 5_000, "m")
    wide = outfit.width_m
    fewest = max(1, math.ceil((width_m - _CLOSE_M) / wide))
    if outfit.rows is not None:
        over = _unless_close(fewest * wide - width_m)
        return Runs(tuple((run + 0.5) * wide for run in range(fewest)), fewest * wide, max(over, 0.0), 0.0)
    step = wide - outfit.overlap_m
    short = (width_m - fewest * step - outfit.overlap_m) / 2
    count = fewest
    if short > min(constants("layout_rules")["short_side_m"].value, guard_m) + 1e-9:
        count = max(1, math.ceil((width_m - outfit.overlap_m - _CLOSE_M) / step))
    covered = count * step + outfit.overlap_m
    beyond = _unless_close(covered - width_m)
    left = -beyond / 2
    middles = tuple(left + wide / 2 + run * step for run in range(count))
    twice = tuple((left + run * step, left + (run - 1) * step + wide) for run in range(1, count)) if wide > step else ()
    return Runs(middles, covered, max(0.0, beyond), max(0.0, -beyond), twice)


def _unless_close(metres: float) -> float:
    return 0.0 if abs(metres) < _CLOSE_M else metres
