"""Spells of fit days in a chain of two states: how long they last, and how much a series of them is worth.

In such a chain the chance of a fit day hangs on the day before and on nothing else.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "effective_days",
    "mean_spell_days",
]


@equation(
    ("days * (1 - (stay_share - fit_share) / (1 - fit_share)) / (1 + (stay_share - fit_share) / (1 - fit_share))"),
    unit="d",
    source="gabriel_neumann_1962",
    locator="chain of two states, long series",
)
def effective_days(days: ArrayLike, fit_share: ArrayLike, stay_share: ArrayLike) -> FloatArray:
    """Independent days that a series of days in spells is worth.

    Parameters
    ----------
    days : array_like
        Days [d], 1 to 1 000 000.
    fit_share : array_like
        Share of days that are fit [1], 0 to 1.
    stay_share : array_like
        Chance that the day after a fit day is fit [1], 0 to 1.

    Returns
    -------
    ndarray
        Days [d], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or every day is fit.

    Notes
    -----
    The variance of the mean of a chain of two states is that of independent days by (1 + r) / (1 - r), r being the
    correlation of a day with the next.

    Examples
    --------
    >>> round(float(effective_days(300, 0.5, 0.8)))
    75
    """
    n = require("days", days, 1, 1_000_000, "d")
    p = require("fit_share", fit_share, 0, 1)
    s = require("stay_share", stay_share, 0, 1)
    memory = np.asarray((s - p) / (1 - require("fit_share", p, 0, 1 - 1e-9)))
    memory = require("persistence", memory, -1, 1 - 1e-9, above=True)
    return np.asarray(n * (1 - memory) / (1 + memory))


@equation("1 / (1 - stay_share)", unit="d", source="gabriel_neumann_1962", locator="chain of two states")
def mean_spell_days(stay_share: ArrayLike) -> FloatArray:
    """Mean length of a spell of fit days.

    Parameters
    ----------
    stay_share : array_like
        Chance that the day after a fit day is fit [1], 0 to 1.

    Returns
    -------
    ndarray
        Days [d], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or fit days last for ever.

    Notes
    -----
    Spells of a chain of two states are geometric.

    Examples
    --------
    >>> round(float(mean_spell_days(0.7)), 2)
    3.33
    """
    s = require("stay_share", stay_share, 0, 1)
    return np.asarray(1 / (1 - require("stay_share", s, 0, 1 - 1e-9)))
