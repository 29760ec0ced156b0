"""What a comparison can show: smallest and detectable differences, chance of finding one, blocks and fields needed.

Everything is asked of the standard error of a difference, so that it holds for every layout.  Standard deviations,
differences and margins are in one unit of the user's: shares of the mean, or t/ha.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.statistics.power.noncentral import beyond, one_or_two_sided_t
from spadework.working import equation

__all__ = [
    "blocks_needed",
    "detectable_difference",
    "least_difference",
    "power_of_difference",
    "power_of_f",
    "smallest_p",
]

_LARGE = 1e9
_MOST_BLOCKS = 10_000
_STEPS = 60  # of halving


@equation("two-sided t of the chance times the standard error", unit="", source="cochran_cox_1957", in_words=True)
def least_difference(sed: ArrayLike, error_df: ArrayLike, chance_share: ArrayLike) -> FloatArray:
    """Return the least significant difference of two means.

    Parameters
    ----------
    sed : array_like
        Standard error of the difference [any], 0 to 1e9.
    error_df : array_like
        Degrees of freedom of the error [1], 1 to 1e9.
    chance_share : array_like
        Chance borne of a false alarm, two-sided [1], 1e-6 to 0.5.

    Returns
    -------
    FloatArray
        Difference, in the unit of `sed`; a found difference that is larger counts as one.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A true difference of just this size is found in about one trial of two only; see :func:`detectable_difference`.

    Examples
    --------
    >>> from spadework.statistics.power.errors import sed_of_two
    >>> round(float(least_difference(sed_of_two(5, 4), 6, 0.05)), 1)
    8.7
    """
    return np.asarray(one_or_two_sided_t(error_df, chance_share, 2) * require("sed", sed, 0, _LARGE))


@equation(
    "chance that a noncentral t of the true difference over the standard error lies beyond two-sided t",
    unit="1",
    source="cochran_cox_1957",
    locator="number of replicates",
    in_words=True,
)
def power_of_difference(
    difference: ArrayLike, sed: ArrayLike, error_df: ArrayLike, chance_share: ArrayLike
) -> FloatArray:
    """Return the chance of finding a true difference of two means.

    Parameters
    ----------
    difference : array_like
        True difference [any], -1e9 to 1e9.
    sed : array_like
        Standard error of the difference [any], above 0 to 1e9.
    error_df : array_like
        Degrees of freedom of the error [1], 1 to 1e9.
    chance_share : array_like
        Chance borne of a false alarm, two-sided [1], 1e-6 to 0.5.

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
    >>> round(float(power_of_difference(10, sed_of_two(5, 4), 6, 0.05)), 2)
    0.66
    """
    off = require("difference", difference, -_LARGE, _LARGE) / require("sed", sed, 0, _LARGE, above=True)
    return _found(np.abs(off), require("error_df", error_df, 1, _LARGE), one_or_two_sided_t(error_df, chance_share, 2))


@equation(
    "true difference of two means that is found with the wanted chance", unit="", source="cochran_cox_1957",
    locator="number of replicates", in_words=True,
)  # fmt: skip
def detectable_difference(
    sed: ArrayLike, error_df: ArrayLike, chance_share: ArrayLike, power_share: ArrayLike
) -> FloatArray:
    """Return the true difference of two means that would likely be found.

    Parameters
    ----------
    sed : array_like
        Standard error of the difference [any], 0 to 1e9.
    error_df : array_like
        Degrees of freedom of the error [1], 1 to 1e9.
    chance_share : array_like
        Chance borne of a false alarm, two-sided [1], 1e-6 to 0.5.
    power_share : array_like
        Chance wanted of finding it [1], 0.5 to 0.9999.

    Returns
    -------
    FloatArray
        Difference, in the unit of `sed`; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Solves the power of the noncentral t by halving.  Smaller true differences will likely stay hidden.

    Examples
    --------
    >>> from spadework.statistics.power.errors import sed_of_two
    >>> round(float(detectable_difference(sed_of_two(5, 4), 6, 0.05, 0.80)), 1)
    11.9
    """
    error = require("sed", sed, 0, _LARGE)
    df = require("error_df", error_df, 1, _LARGE)
    wanted = require("power_share", power_share, 0.5, 0.9999)
    t = one_or_two_sided_t(df, chance_share, 2)
    t, df, wanted, error = np.broadcast_arrays(t, df, wanted, error)
    low, high = np.zeros(t.shape), t + 1.0
    while np.any(short := _found(high, df, t) < wanted):
        high = np.where(short, 2 * high, high)
    for _ in range(_STEPS):
        middle = (low + high) / 2
        short = _found(middle, df, t) < wanted
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return np.asarray(high * error)


@equation(
    "fewest complete blocks in which the difference is found with the wanted chance", unit="1",
    source="cochran_cox_1957", locator="number of replicates", in_words=True,
)  # fmt: skip
def blocks_needed(
    difference: ArrayLike, plot_sd: ArrayLike, systems_n: ArrayLike, chance_share: ArrayLike, power_share: ArrayLike
) -> FloatArray:
    """Return the complete blocks needed to find a true difference of two systems.

    Parameters
    ----------
    difference : array_like
        True difference [any], above 0 to 1e9.
    plot_sd : array_like
        Standard deviation of plots of one block [any], above 0 to 1e9.
    systems_n : array_like
        Systems in each block [1], 2 to 1000.
    chance_share : array_like
        Chance borne of a false alarm, two-sided [1], 1e-6 to 0.5.
    power_share : array_like
        Chance wanted of finding it [1], 0.5 to 0.9999.

    Returns
    -------
    FloatArray
        Blocks, 2 or more [1]; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or more than 10,000 blocks were needed.

    Examples
    --------
    >>> [float(n) for n in blocks_needed([3, 5, 10, 15], 5, 3, 0.05, 0.80)]
    [45.0, 17.0, 6.0, 4.0]
    """
    ratio = require("difference", difference, 0, _LARGE, above=True) / require(
        "plot_sd", plot_sd, 0, _LARGE, above=True
    )
    systems = require("systems_n", systems_n, 2, 1000)
    wanted = require("power_share", power_share, 0.5, 0.9999)
    chance = require("chance_share", chance_share, 1e-6, 0.5)
    ratio, systems, wanted, chance = np.broadcast_arrays(ratio, systems, wanted, chance)

    def short(blocks: FloatArray) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        df = (systems - 1) * (blocks - 1)
        return np.asarray(_found(ratio * np.sqrt(blocks / 2), df, one_or_two_sided_t(df, chance, 2)) < wanted)

    low, high = np.ones(ratio.shape), np.full(ratio.shape, float(_MOST_BLOCKS))
    require("difference over plot_sd", np.where(short(high), 0.0, 1.0), 1, 1)
    while np.any(high - low > 1):
        middle = np.floor((low + high) / 2)
        few = short(np.maximum(middle, 2)) | (middle < 2)
        low, high = np.where(few, middle, low), np.where(few, high, middle)
    return np.asarray(high)


@equation(
    "chance that a noncentral F with blocks times the squared effects over the variance of a plot lies beyond F",
    unit="1",
    source="cochran_cox_1957",
    in_words=True,
)
def power_of_f(
    effects: ArrayLike, plot_sd: ArrayLike, blocks: ArrayLike, error_df: ArrayLike, chance_share: ArrayLike
) -> FloatArray:
    """Return the chance that the test over all systems together finds that they differ.

    Parameters
    ----------
    effects : array_like
        True means of the systems along the last axis [any], two or more; only their differences count.
    plot_sd : array_like
        Standard deviation of plots of one block [any], above 0 to 1e9.
    blocks : array_like
        Plots behind each mean [1], 1 to 1e6.
    error_df : array_like
        Degrees of freedom of the error [1], 1 to 1e9.
    chance_share : array_like
        Chance borne of a false alarm [1], 1e-6 to 0.5.

    Returns
    -------
    FloatArray
        Chance [1]; shape of `effects` without its last axis, broadcast with the others.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If there is one mean only.

    Examples
    --------
    >>> round(float(power_of_f([-3, 0, 3], 5, 4, 6, 0.05)), 3)
    0.204
    """
    from scipy.special import fdtri, ncfdtr

    means = require("effects", effects, -_LARGE, _LARGE)
    if means.ndim == 0 or means.shape[-1] < 2:
        raise ValueError("`effects` holds one mean; two or more are needed along its last axis")
    sd = require("plot_sd", plot_sd, 0, _LARGE, above=True)
    df = require("error_df", error_df, 1, _LARGE)
    chance = require("chance_share", chance_share, 1e-6, 0.5)
    between = ((means - means.mean(axis=-1, keepdims=True)) ** 2).sum(axis=-1)
    off = require("blocks", blocks, 1, 1e6) * between / sd**2
    above = means.shape[-1] - 1
    return np.asarray(1 - ncfdtr(above, df, off, fdtri(above, df, 1 - chance)))


@equation(
    "one over the number of ways in which labels can lie in blocks, times the ways that look the same",
    unit="1",
    source="fisher_1935",
    in_words=True,
)
def smallest_p(systems_n: ArrayLike, blocks: ArrayLike) -> FloatArray:
    """Return the smallest chance that a test by re-labelling plots in their blocks can give, two-sided.

    Parameters
    ----------
    systems_n : array_like
        Systems in each complete block [1], 2 to 100.
    blocks : array_like
        Blocks [1], 1 to 1000.

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
    Of t! orders in each of r blocks, the t! that exchange names throughout are as extreme: t! / (t!)^r.  With pairs
    this is 2 / 2^r, so that fewer than six pairs cannot come under 5 % by randomisation alone.

    Examples
    --------
    >>> smallest_p(2, [4, 5, 6]).round(4).tolist()
    [0.125, 0.0625, 0.0312]
    """
    from scipy.special import gammaln

    orders = gammaln(require("systems_n", systems_n, 2, 100) + 1)
    return np.asarray(np.exp(orders * (1 - require("blocks", blocks, 1, 1000))))


def _found(off: FloatArray, df: FloatArray, t: FloatArray) -> FloatArray:
    """Chance of a noncentral t beyond t on either side."""
    return np.asarray(beyond(off, df, t) + beyond(-off, df, t))
