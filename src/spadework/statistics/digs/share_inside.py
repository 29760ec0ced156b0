"""The share of all seeds that lies inside a window, with an interval that carries the units."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from spadework.ranges import ImpossibleValue, require
from spadework.statistics.digs.tolerance import Draws
from spadework.working import equation

__all__ = ["Share", "share_inside"]


@dataclass(frozen=True)
class Share:
    """A share and its interval, 0 to 1.

    Attributes
    ----------
    middle : float
        Median of the draws.
    low, high : float
        Ends of the two-sided interval; `low` alone may be read as a limit with half the error.
    """

    middle: float
    low: float
    high: float


@equation(
    "median and lower quantile, over the draws, of the share of a normal with the drawn mean and standard deviation that "
    "lies between `lower` and `upper`; upper end: one less the least shares under `lower` and over `upper`",
    unit="1",
    source="krishnamoorthy_mathew_2004",
    locator="same draws as for the limits",
    in_words=True,
)
def share_inside(possible: Draws, lower: float, upper: float, confidence_share: float) -> Share:
    """Share of all seeds inside a window, with its interval.

    Parameters
    ----------
    possible : Draws
        From :func:`~spadework.statistics.digs.tolerance.pivotal_draws` [any].
    lower, upper : float
        Ends of the window [any], `lower` under `upper`; minus and plus infinity where that side is open.
    confidence_share : float
        Confidence of the two-sided interval [1], 0.5 to 0.9999.

    Returns
    -------
    Share
        Median and interval [1].

    Raises
    ------
    ImpossibleValue
        If the window is empty, the confidence lies outside its range, or a draw has no scatter at all.

    Notes
    -----
    Takes the readings as normal between and inside units.  The share is that of seeds anywhere, in units dug or not.
    Plain quantiles of the drawn shares at both ends would not do: a mean in the middle of the window can be drawn
    only nearer to an edge, never farther from both, so the upper end would come out too low (it held 86 % instead of
    95 % of the time in a simulation).  The upper end therefore adds up a limit for each tail, the error shared between
    them.  The interval is on the cautious side.

    Examples
    --------
    >>> found = share_inside(Draws(6.0, np.full(100, 6.0), np.full(100, 1.5)), 4, 8, 0.95)
    >>> round(found.middle, 3)
    0.818
    """
    from scipy.special import ndtr

    sure = float(require("confidence_share", confidence_share, 0.5, 0.9999))
    if not lower < upper:
        raise ImpossibleValue("upper", f"{upper:.6g}", lower, np.inf, "and not the lower end or under it")
    sds = require("sds", possible.sds, 0, np.inf, above=True)
    under, over = ndtr((lower - possible.means) / sds), ndtr((possible.means - upper) / sds)
    tail = (1 - sure) / 2
    low, middle = np.quantile(1 - under - over, [tail, 0.5])
    each = tail / max(1, int(np.isfinite(lower)) + int(np.isfinite(upper)))
    high = 1 - np.quantile(under, each) - np.quantile(over, each)
    return Share(float(middle), float(low), float(high))
