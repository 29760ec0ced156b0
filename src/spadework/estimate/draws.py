"""The draws of uncertain inputs: stratified, seeded, and the same for all systems.

Each uncertain input is drawn once from every one of as many equal strata as there are draws, in a random order of its
own (a Latin hypercube; McKay, Beckman and Conover 1979, Technometrics 21:239-245).  The distribution of every single
input is thus met almost exactly, so that medians settle with far fewer draws than independent random numbers need.
"""

from __future__ import annotations

from statistics import NormalDist

import numpy as np

from spadework.quantities import Quantity
from spadework.ranges import FloatArray, require
from spadework.reference import Entry

__all__ = ["Draws", "normal_between", "triangular", "uniform"]

_STANDARD = NormalDist()


def normal_between(u: FloatArray, mean: float, sd: float, low: float, high: float) -> FloatArray:
    """Return the normal distribution cut off below `low` and above `high`, at the shares `u` of it.

    Examples
    --------
    >>> normal_between(np.array([0.1, 0.5, 0.9]), 22.0, 3.0, 0.0, 100.0).round(2).tolist()
    [18.16, 22.0, 25.84]
    """
    below = _STANDARD.cdf((low - mean) / sd)
    above = _STANDARD.cdf((high - mean) / sd)
    tiny = np.finfo(float).tiny
    shares = np.clip(below + u * (above - below), tiny, 1 - np.finfo(float).epsneg)  # open ends of the quantile
    return mean + sd * np.array([_STANDARD.inv_cdf(share) for share in shares.tolist()])


def triangular(u: FloatArray, low: float, mode: float, high: float) -> FloatArray:
    """Return the triangular distribution from `low` over `mode` to `high`, at the shares `u` of it.

    Examples
    --------
    >>> triangular(np.array([0.0, 0.5, 1.0]), 0.5, 1.0, 1.5).tolist()
    [0.5, 1.0, 1.5]
    """
    if high == low:
        return np.full_like(u, mode)
    split = (mode - low) / (high - low)
    rising = low + np.sqrt(u * (high - low) * (mode - low))
    falling = high - np.sqrt((1 - u) * (high - low) * (high - mode))
    return np.where(u < split, rising, falling)


def uniform(u: FloatArray, low: float, high: float) -> FloatArray:
    """Return the even distribution from `low` to `high`, at the shares `u` of it."""
    return low + u * (high - low)


class Draws:
    """Draws of uncertain inputs by key; asking twice for a key gives the same draws.

    Parameters
    ----------
    number : int
        How many draws, 1 to 1,000,000.
    seed : int
        Same seed, same draws.

    Notes
    -----
    A ``+/-`` of a plan is read as the middle 80 % of a normal distribution, the same share that the tool prints; it is
    cut off where values cannot be.  A ``..`` is read as limits between which all values are equally likely.  A range of
    a reference table is read as limits, with the table's value the likeliest between them (triangular) [choice].
    With a single draw every input takes its middle.
    """

    def __init__(self, number: int, seed: int) -> None:
        require("draws", number, 1, 1_000_000)
        self.number, self.seed = int(number), int(seed)
        self._places: dict[str, int] = {}

    def shares(self, key: str) -> FloatArray:
        """Return the draws of `key` as shares between 0 and 1."""
        if self.number == 1:
            return np.array([0.5])
        place = self._places.setdefault(key, len(self._places))
        random = np.random.default_rng([self.seed, place])
        strata = random.permutation(self.number)
        result: FloatArray = (strata + random.random(self.number)) / self.number
        return result

    def of(self, key: str, quantity: Quantity, low: float = 0.0, high: float = np.inf) -> FloatArray:
        """Return draws of a quantity of the plan; of length one where it is exact."""
        if quantity.kind == "exact":
            return np.array([quantity.value])
        if quantity.kind == "between":
            return uniform(self.shares(key), quantity.low, quantity.high)
        if quantity.sd == 0:
            return np.array([quantity.value])
        low, high = max(low, quantity.least), min(high, quantity.most)
        return normal_between(self.shares(key), quantity.value, quantity.sd, low, high)

    def of_entry(self, key: str, entry: Entry) -> FloatArray:
        """Return draws of a number of a reference table; of length one where the table gives no range."""
        if entry.low == entry.high:
            return np.array([entry.value])
        return self.around(key, entry.low, entry.value, entry.high)

    def around(self, key: str, low: float, middle: float, high: float) -> FloatArray:
        """Return draws between `low` and `high`, `middle` likeliest."""
        if self.number == 1:
            return np.array([middle])
        return triangular(self.shares(key), low, middle, high)

    @property
    def keys(self) -> tuple[str, ...]:
        """The inputs drawn so far, in order."""
        return tuple(self._places)
