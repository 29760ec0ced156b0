"""What digs say of one depth or distance: mean, scatter between and inside row units, limits, and what they cannot say."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import require
from spadework.statistics import (
    Share,
    Units,
    limit_above,
    limit_below,
    mean_of_all,
    pivotal_draws,
    share_inside,
    sort_by_unit,
)
from spadework.statistics.digs.by_mesh import components_by_mesh

__all__ = ["Asked", "Level", "level_of"]

_NAN: Final = float("nan")


@dataclass(frozen=True)
class Asked:
    """What is asked of the digs.

    Attributes
    ----------
    inside_share, confidence_share : float
        Share of all seeds that limits are to hold [1], and confidence of limits and intervals [1].
    draws, seed : int
        Draws for limits and shares, and where they start.
    """

    inside_share: float = 0.9
    confidence_share: float = 0.95
    draws: int = 20_000
    seed: int = 1


@dataclass(frozen=True)
class Level:
    """One depth or distance as the digs have it [cm]; not a number (NaN) where they cannot say.

    Attributes
    ----------
    what : str
        In words.
    digs, units : int
        Digs in which it was measured, and row units that these were in.
    mean, low, high : float
        Mean of the means of the units, and its interval with the units as what is repeated.
    least_dug, most_dug : float
        Smallest and largest reading.
    between_sd, within_sd, sd : float
        Standard deviation between units, of a dig inside a unit, and of a seed anywhere.
    at_zero : bool
        True where the units differ no more than their digs explain.
    window : tuple of float
        Ends of the window it was held against; infinite where that side is open.
    inside : Share or None
        Share of all seeds inside the window, with interval.
    inside_dug : int
        Readings inside the window.
    least, most : float
        Limit over which, and limit under which, the wanted share of all seeds lies with the wanted confidence; each by itself.
    cannot : str
        What the digs cannot say of it and why, a sentence; empty where they say all.
    """

    what: str
    digs: int
    units: int
    mean: float
    low: float
    high: float
    least_dug: float
    most_dug: float
    between_sd: float
    within_sd: float
    sd: float
    at_zero: bool
    window: tuple[float, float]
    inside: Share | None
    inside_dug: int
    least: float
    most: float
    cannot: str

    @property
    def has_interval(self) -> bool:
        """True where the mean has an interval."""
        return math.isfinite(self.low)


def level_of(what: str, values: ArrayLike, units: ArrayLike, window: tuple[float, float], asked: Asked) -> Level:
    """Return what readings in units say of one depth or distance.

    Parameters
    ----------
    what : str
        In words.
    values : array_like
        Readings [cm]; those that are not numbers are left out.
    units : array_like
        Unit of each.
    window : tuple of float
        Ends of the window [cm].
    asked : Asked
        Share, confidence and draws.

    Notes
    -----
    Digs of one unit are never taken for independent of one another.  With one unit, or two digs in all, only the mean and
    the readings are handed back.  Where no unit has two digs, the scatter between and inside units cannot be told apart,
    and the limits are those of independent readings, one a unit.  Where digs are spread so unevenly over few units that the
    weighted mean is left with less than one degree of freedom, the plain mean of the means of the units takes its place,
    with units less one.

    Examples
    --------
    >>> found = level_of("gap", [5.5, 6.5, 6.0], [3, 3, 3], (4, 8), Asked())
    >>> found.mean, found.has_interval
    (6.0, False)
    >>> found.cannot
    'Only unit 3 was dug: its digs say nothing about the others.'
    """
    read, names = np.asarray(values, dtype=np.float64), np.asarray(units)
    there = np.isfinite(read)
    read, names = read[there], names[there]
    require("values", read, -1e4, 1e4, "cm")
    different = np.unique(names)
    inside = int(np.sum((read >= window[0]) & (read <= window[1])))

    def told(mean: float, cannot: str, **more: Any) -> Level:
        ends = (float(read.min()), float(read.max())) if read.size else (_NAN, _NAN)
        known: dict[str, Any] = {
            **dict.fromkeys(("low", "high", "between_sd", "within_sd", "sd", "least", "most"), _NAN),
            "at_zero": False,
            "inside": None,
            **more,
        }
        return Level(
            what, read.size, different.size, mean, least_dug=ends[0], most_dug=ends[1], window=window, inside_dug=inside,
            cannot=cannot, **known,
        )  # fmt: skip

    if not read.size:
        return told(_NAN, "It was not measured in any dig.")
    if read.size == 1:
        return told(float(read[0]), f"One dig, in unit {names[0]}: a single reading, neither scatter nor doubt.")
    if different.size == 1:
        text = f"Only unit {different[0]} was dug: its digs say nothing about the others."
        return told(float(read.mean()), text)
    if read.size == 2:
        return told(float(read.mean()), "Two digs in all: too few to say how much they scatter.")
    it = sort_by_unit(read, names)
    if it.between_squares + it.within_squares <= 1e-12 * max(1.0, float(np.max(read**2))):
        text = "All digs read alike: the scatter is finer than the ruler, so no limits can be given."
        return told(float(read.mean()), text)
    return told(**_with_scatter(it, window, asked))


def _with_scatter(it: Units, window: tuple[float, float], asked: Asked) -> dict[str, Any]:
    from scipy.special import stdtrit

    if it.within_df and it.within_squares > 0:
        found = components_by_mesh(it)
        mean = mean_of_all(it, found)
        middle, se, df = mean.mean, mean.se, mean.df
        if df < 1:
            middle, se, df = _plain(it)
        between, within, at_zero = math.sqrt(found.between_var), math.sqrt(found.within_var), found.at_zero
        sd, cannot = math.hypot(between, within), ""
    else:
        (middle, se, df), spread = _plain(it), float(it.means.std(ddof=1))
        at_zero, sd = False, spread
        if it.within_df:
            between, within = spread, 0.0
            cannot = "The digs of each unit read alike: no unit can be said to be off by so much, with an interval."
        else:
            between = within = _NAN
            cannot = (
                "One dig in each unit: scatter between units and inside a unit cannot be told apart, and a unit that is "
                "off not from a dig that is off."
            )
    reach = float(stdtrit(df, (1 + asked.confidence_share) / 2)) * se
    possible = pivotal_draws(it, asked.draws, asked.seed)
    bounded = math.isfinite(window[0]) or math.isfinite(window[1])
    scatters = bounded and float(possible.sds.min()) > 0
    return {
        "mean": middle,
        "cannot": cannot,
        "low": middle - reach,
        "high": middle + reach,
        "between_sd": between,
        "within_sd": within,
        "sd": sd,
        "at_zero": at_zero,
        "inside": share_inside(possible, *window, asked.confidence_share) if scatters else None,
        "least": limit_below(possible, asked.inside_share, asked.confidence_share),
        "most": limit_above(possible, asked.inside_share, asked.confidence_share),
    }


def _plain(it: Units) -> tuple[float, float, float]:
    """Return the plain mean of the means of the units, its standard error and degrees of freedom."""
    return float(it.means.mean()), float(it.means.std(ddof=1)) / math.sqrt(it.units), it.units - 1.0
