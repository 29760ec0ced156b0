"""Plants counted behind row units: do they scatter by more than chance, and is one unit low.

Counts of a perfect stand scatter as Poisson counts or less, for seeds are set at even distances.  More scatter than that is
patches, or units that differ.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["Dispersion", "RateRatio", "UnitStands", "between_units", "dispersion", "rate_ratio", "unit_stands"]

_MOST = 10_000_000
_MOST_M = 100_000


@dataclass(frozen=True)
class Dispersion:
    """How counts scatter against chance.

    Attributes
    ----------
    index : float
        Scatter over that of chance; 1 for Poisson counts.
    df : int
        Degrees of freedom.
    p_more, p_less : float
        Chance of at least so much, and of at most so much scatter among Poisson counts.
    """

    index: float
    df: int
    p_more: float
    p_less: float


@dataclass(frozen=True)
class RateRatio:
    """A ratio of two stands with its exact interval; the upper end is infinite where the other row is empty."""

    ratio: float
    low: float
    high: float


@dataclass(frozen=True)
class UnitStands:
    """Stand behind each row unit against the mean of the others, over all blocks.

    Attributes
    ----------
    ratio, low, high : FloatArray
        Ratio of each unit and its interval; all intervals hold at once.
    is_low : ndarray of bool
        True where the whole interval lies under 1.
    df : int
        Degrees of freedom of the scatter.
    """

    ratio: FloatArray
    low: FloatArray
    high: FloatArray
    is_low: NDArray[np.bool_]
    df: int


@equation(
    "sum of the squared differences between counts and what their lengths would have at the common stand, each over the "
    "latter, over the counts less one",
    unit="1",
    source="fisher_dispersion_1925",
    locator="index of dispersion; from memory",
    in_words=True,
)
def dispersion(plants: ArrayLike, length_m: ArrayLike) -> Dispersion:
    """Hold the scatter of counts against that of chance.

    Parameters
    ----------
    plants : array_like
        Plants counted [1], one row of two counts or more, not all nil.
    length_m : array_like
        Length of row of each, or one length for all [m], more than 0, to 100 000.

    Returns
    -------
    Dispersion
        Index, degrees of freedom and the two tails of chi-square.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or no plant was counted.
    ValueError
        If the counts are no row.

    Notes
    -----
    The tails are good where each length would have five plants or more.

    Examples
    --------
    >>> found = dispersion([70, 71, 69, 41, 70, 72], 10)
    >>> round(found.index, 2), round(found.p_more, 3)
    (2.22, 0.05)
    """
    from scipy.special import chdtr, chdtrc

    counts, expected = _expected(plants, length_m)
    df = counts.size - 1
    square = float(((counts - expected) ** 2 / expected).sum())
    return Dispersion(square / df, df, float(chdtrc(df, square)), float(chdtr(df, square)))


@equation(
    "scatter of the counts beyond that of chance, as a standard deviation over the mean stand; nought where there is none",
    unit="1",
    source="fisher_dispersion_1925",
    locator="moments of the index; our own arrangement",
    in_words=True,
)
def between_units(plants: ArrayLike, length_m: ArrayLike) -> float:
    """Scatter between row units beyond that of counting, as a share of the mean stand.

    Parameters
    ----------
    plants : array_like
        Plants counted behind each unit [1], one row of two counts or more, not all nil.
    length_m : array_like
        Length of row of each, or one length for all [m], more than 0, to 100 000.

    Returns
    -------
    float
        Standard deviation between units over the mean [1], 0 or more.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or no plant was counted.
    ValueError
        If the counts are no row.

    Notes
    -----
    With E the expected counts, variance = (chi-square - df) / (sum E - sum E^2 / sum E); under nought it is set to nought.

    Examples
    --------
    >>> round(between_units([70, 71, 69, 41, 70, 72], 10), 3)
    0.136
    """
    counts, expected = _expected(plants, length_m)
    square = float(((counts - expected) ** 2 / expected).sum())
    total = float(expected.sum())
    spread = (square - counts.size + 1) / (total - float((expected**2).sum()) / total)
    return float(np.sqrt(max(spread, 0.0)))


@equation(
    "ratio of plants per metre; its ends from the exact interval of the share that the one count has in both together",
    unit="1",
    source="przyborowski_1940",
    locator="two Poisson counts; from memory",
    in_words=True,
)
def rate_ratio(
    plants: float, length_m: float, other_plants: float, other_length_m: float, confidence_share: float = 0.95
) -> RateRatio:
    """Stand of one row against that of another, from one count of each.

    Parameters
    ----------
    plants, other_plants : float
        Plants counted [1], 0 to 10 000 000, not both nil.
    length_m, other_length_m : float
        Length of row of each [m], more than 0, to 100 000.
    confidence_share : float
        Confidence of the interval [1], 0.5 to 0.9999.

    Returns
    -------
    RateRatio
        Ratio and the ends of its interval [1].

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, or both counts are nil.

    Notes
    -----
    Given both together, the one count is binomial.  The interval speaks of the two rows that were counted, not of the
    system: a second block is needed for that.

    Examples
    --------
    >>> found = rate_ratio(41, 10, 352, 50)
    >>> round(found.ratio, 2), round(found.low, 2), round(found.high, 2)
    (0.58, 0.41, 0.81)
    """
    from scipy.special import betaincinv

    one, other = (float(require(n, k, 0, _MOST)) for n, k in (("plants", plants), ("other_plants", other_plants)))
    lengths = (("length_m", length_m), ("other_length_m", other_length_m))
    here, there = (float(require(n, v, 0, _MOST_M, "m", above=True)) for n, v in lengths)
    require("plants + other_plants", one + other, 0, np.inf, above=True)
    tail = (1 - float(require("confidence_share", confidence_share, 0.5, 0.9999))) / 2
    low = float(betaincinv(one, other + 1, tail)) if one else 0.0
    high = float(betaincinv(one + 1, other, 1 - tail)) if other else 1.0
    scale = there / here
    ends = [scale * p / (1 - p) if p < 1 else float("inf") for p in (low, high)]
    return RateRatio(scale * one / other if other else float("inf"), ends[0], ends[1])


@equation(
    "mean logarithm of plants per metre behind a unit, less that behind the others, of all blocks; its scatter is that of "
    "units by blocks",
    unit="1",
    source="cochran_1977",
    locator="two ways, units and blocks; intervals after Bonferroni",
    in_words=True,
)
def unit_stands(plants: ArrayLike, length_m: ArrayLike, confidence_share: float = 0.95) -> UnitStands:
    """Find the row units whose stand is low in all blocks.

    Parameters
    ----------
    plants : array_like
        Plants counted [1], blocks by units, two or more of each.
    length_m : array_like
        Length of row of each, or one length for all [m], more than 0, to 100 000.
    confidence_share : float
        Confidence with which all intervals hold together [1], 0.5 to 0.9999.

    Returns
    -------
    UnitStands
        Ratio, interval and verdict for each unit.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range, there are fewer than two blocks or units, or nothing was counted.
    ValueError
        If the counts are no table of blocks by units.

    Notes
    -----
    Where a count is nil, half a plant is added to all.  Number units by the machine and not by the side of the plot:
    on the way back they lie the other way round.  A low unit is a fault of the machine, not of the system, and no
    number of blocks takes it out of the mean; report the stand with and without it.

    Examples
    --------
    >>> counts = [[70, 72, 71, 41, 69, 70], [68, 71, 70, 40, 72, 69], [71, 69, 72, 42, 70, 71]]
    >>> found = unit_stands(counts, 10)
    >>> found.ratio.round(2).tolist(), found.is_low.tolist()
    ([1.1, 1.12, 1.13, 0.58, 1.11, 1.11], [False, False, False, True, False, False])
    """
    from scipy.special import stdtrit

    counts = require("plants", plants, 0, _MOST)
    if counts.ndim != 2:
        raise ValueError("`plants` must be a table of blocks by units")
    blocks, units = counts.shape
    require("blocks", blocks, 2, np.inf)
    require("units", units, 2, np.inf)
    require("plants in all", counts.sum(), 0, np.inf, above=True)
    rest = (1 - float(require("confidence_share", confidence_share, 0.5, 0.9999))) / units
    stand = np.log(
        (counts + (0.5 if (counts == 0).any() else 0.0)) / require("length_m", length_m, 0, _MOST_M, "m", above=True)
    )
    mean = stand.mean(axis=0)
    off = stand - mean - stand.mean(axis=1, keepdims=True) + stand.mean()
    df = (blocks - 1) * (units - 1)
    variance = float((off**2).sum()) / df / blocks * units / (units - 1)
    against = (mean - mean.mean()) * units / (units - 1)
    half = float(stdtrit(df, 1 - rest / 2)) * np.sqrt(variance)
    high = np.exp(against + half)
    return UnitStands(np.exp(against), np.exp(against - half), high, np.asarray(high < 1), df)


def _expected(plants: ArrayLike, length_m: ArrayLike) -> tuple[FloatArray, FloatArray]:
    counts = require("plants", plants, 0, _MOST)
    if counts.ndim != 1:
        raise ValueError("`plants` must be a row of counts")
    require("counts", counts.size, 2, np.inf)
    total = float(require("plants in all", counts.sum(), 0, np.inf, above=True))
    lengths = np.broadcast_to(require("length_m", length_m, 0, _MOST_M, "m", above=True), counts.shape)
    return counts, total * lengths / lengths.sum()
