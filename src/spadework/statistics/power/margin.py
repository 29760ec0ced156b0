"""Chance of finding that a system is no worse than another, or that two are alike, to within a margin.

The margin is the loss that would be borne: what the saving pays for.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.statistics.power.noncentral import beyond, errors_found, one_or_two_sided_t
from spadework.working import equation

__all__ = ["margin_from_saving", "power_of_alike", "power_of_no_worse"]

_LARGE = 1e9


@equation("saving_eur_ha / price_eur_t", unit="t/ha", source="choice")
def margin_from_saving(saving_eur_ha: ArrayLike, price_eur_t: ArrayLike) -> FloatArray:
    """Return the loss of yield that a saving pays for: the margin within which the cheaper system is no worse.

    Parameters
    ----------
    saving_eur_ha : array_like
        What the new system saves [EUR/ha], 0 to 1e6.
    price_eur_t : array_like
        Value of the crop [EUR/t], above 0 to 1e6.

    Returns
    -------
    FloatArray
        Yield [t/ha]; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> float(margin_from_saving(70, 140))
    0.5
    """
    saved = require("saving_eur_ha", saving_eur_ha, 0, 1e6, "EUR/ha")
    return np.asarray(saved / require("price_eur_t", price_eur_t, 0, 1e6, "EUR/t", above=True))


@equation(
    "chance that a noncentral t of (difference + margin) / sed lies beyond one-sided t", unit="1",
    source="schuirmann_1987", in_words=True,
)  # fmt: skip
def power_of_no_worse(
    difference: ArrayLike, margin: ArrayLike, sed: ArrayLike, error_df: ArrayLike, chance_share: ArrayLike
) -> FloatArray:
    """Return the chance of finding the new no worse than the old by more than a margin.

    Parameters
    ----------
    difference : array_like
        True difference, new less old, more being better [any], -1e9 to 1e9.
    margin : array_like
        Loss that would be borne [any], 0 to 1e9.
    sed : array_like
        Standard error of the difference [any], above 0 to 1e9.
    error_df : array_like
        Degrees of freedom of the error [1], 1 to 1e9.
    chance_share : array_like
        Chance borne of a false "no worse", one-sided [1], 1e-6 to 0.5.

    Returns
    -------
    FloatArray
        Chance [1]; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> from spadework.statistics.power.errors import sed_of_two
    >>> round(float(power_of_no_worse(0, 10, sed_of_two(5, 4), 6, 0.05)), 2)
    0.8
    """
    off = require("difference", difference, -_LARGE, _LARGE) + require("margin", margin, 0, _LARGE)
    off = off / require("sed", sed, 0, _LARGE, above=True)
    return beyond(off, require("error_df", error_df, 1, _LARGE), one_or_two_sided_t(error_df, chance_share, 1))


@equation(
    "chance that both one-sided tests against the margin succeed, over the scatter of the standard error", unit="1",
    source="schuirmann_1987", in_words=True,
)  # fmt: skip
def power_of_alike(
    difference: ArrayLike, margin: ArrayLike, sed: ArrayLike, error_df: ArrayLike, chance_share: ArrayLike
) -> FloatArray:
    """Return the chance of finding two systems alike to within a margin.

    Parameters
    ----------
    difference : array_like
        True difference [any], -1e9 to 1e9.
    margin : array_like
        Difference either way that would not matter [any], 0 to 1e9.
    sed : array_like
        Standard error of the difference [any], above 0 to 1e9.
    error_df : array_like
        Degrees of freedom of the error [1], 1 to 1e9.
    chance_share : array_like
        Chance borne of a false "alike", of each of the two tests [1], 1e-6 to 0.5.

    Returns
    -------
    FloatArray
        Chance [1]; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Given the standard error that happens to be found, the difference is normal; the mean over its scatter is taken at
    400 points of equal chance (Gauss and Legendre), good to about 1e-4.

    Examples
    --------
    >>> from spadework.statistics.power.errors import sed_of_two
    >>> round(float(power_of_alike(0, 12, sed_of_two(5, 4), 6, 0.05)), 2)
    0.82
    """
    from scipy.special import ndtr

    error = require("sed", sed, 0, _LARGE, above=True)
    off = np.asarray(require("difference", difference, -_LARGE, _LARGE) / error)[..., np.newaxis]
    within = np.asarray(require("margin", margin, 0, _LARGE) / error)[..., np.newaxis]
    t = one_or_two_sided_t(error_df, chance_share, 1)[..., np.newaxis]
    found, weights = errors_found(require("error_df", error_df, 1, _LARGE))
    inside = ndtr(within - off - t * found) - ndtr(t * found - within - off)
    return np.asarray((np.maximum(inside, 0.0) * weights).sum(axis=-1))
