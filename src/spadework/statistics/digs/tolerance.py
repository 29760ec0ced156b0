"""Tolerance limits: between which depths or gaps a wanted share of all seeds lies, with a stated confidence.

Readings of one unit resemble one another.  The factors for independent readings then promise too much: use the pivotal
limits, which carry the units, and take the factors for comparison, or where every unit was dug once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.statistics.digs.one_way import Units
from spadework.working import equation

__all__ = [
    "Draws",
    "half_width_for_share",
    "k_one_sided",
    "k_two_sided",
    "limit_above",
    "limit_below",
    "limits_around",
    "pivotal_draws",
]


@equation(
    "quantile `confidence_share` of the non-central t with n - 1 degrees of freedom and non-centrality z sqrt(n), over "
    "sqrt(n); z the `share` quantile of the normal",
    unit="1",
    source="iso_16269_6",
    in_words=True,
)
def k_one_sided(readings_n: ArrayLike, inside_share: ArrayLike, confidence_share: ArrayLike) -> FloatArray:
    """Factor of a one-sided limit from independent normal readings.

    Parameters
    ----------
    readings_n : array_like
        Number of readings [1], 2 to 100000.
    inside_share : array_like
        Share of all that is to lie on the right side of the limit [1], 0.5 to 0.9999.
    confidence_share : array_like
        Confidence [1], 0.5 to 0.9999.

    Returns
    -------
    FloatArray
        Standard deviations between mean and limit [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Exact.  The limit is mean - k s or mean + k s.

    Examples
    --------
    >>> round(float(k_one_sided(10, 0.90, 0.95)), 3)
    2.355
    """
    from scipy.special import ndtri
    from scipy.stats import nct

    n, share, sure = _asked(readings_n, inside_share, confidence_share)
    k: FloatArray = np.asarray(nct.ppf(sure, n - 1, ndtri(share) * np.sqrt(n)) / np.sqrt(n))
    return k


@equation(
    "factor at which mean - k s to mean + k s holds `share` of the normal with the wanted confidence, the mean and s "
    "scattering as those of n independent readings",
    unit="1",
    source="iso_16269_6",
    in_words=True,
)
def k_two_sided(readings_n: ArrayLike, inside_share: ArrayLike, confidence_share: ArrayLike) -> FloatArray:
    """Factor of two-sided limits from independent normal readings.

    Parameters
    ----------
    readings_n : array_like
        Number of readings [1], 2 to 100000.
    inside_share : array_like
        Share of all that is to lie between the limits [1], 0.5 to 0.9999.
    confidence_share : array_like
        Confidence [1], 0.5 to 0.9999.

    Returns
    -------
    FloatArray
        Standard deviations between mean and limit [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Exact up to the integration: the chance over s is integrated over the place of the mean (Gauss and Legendre, 120
    points up to 9 standard errors) and the factor found by halving.

    Examples
    --------
    >>> round(float(k_two_sided(10, 0.90, 0.95)), 3)
    2.856
    """
    from scipy.special import chdtrc

    n, share, sure = (x[..., None] for x in np.broadcast_arrays(*_asked(readings_n, inside_share, confidence_share)))
    nodes, weights = np.polynomial.legendre.leggauss(120)
    z = 4.5 * (nodes + 1)
    density = 4.5 * weights * 2 * np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi)
    half = half_width_for_share(z / np.sqrt(n), share)
    low, high = np.zeros_like(n[..., :1]), np.full_like(n[..., :1], 1e6)
    for _ in range(60):
        middle = np.where(low > 0, np.sqrt(np.maximum(low, 1e-9) * high), 1.0)
        chance = np.sum(density * chdtrc(n - 1, (n - 1) * (half / middle) ** 2), axis=-1, keepdims=True)
        low, high = np.where(chance < sure, middle, np.maximum(low, 1e-3)), np.where(chance < sure, high, middle)
    return np.asarray(high[..., 0])


@equation(
    "half width r at which the standard normal holds `share` between off - r and off + r",
    unit="1",
    source="physics",
    in_words=True,
)
def half_width_for_share(off: ArrayLike, inside_share: ArrayLike) -> FloatArray:
    """Half width, about a point beside the mean, that holds a share of a normal.

    Parameters
    ----------
    off : array_like
        Distance of the point from the mean, in standard deviations [1], 0 to 1e6.
    inside_share : array_like
        Share inside [1], above 0 to 0.9999.

    Returns
    -------
    FloatArray
        Half width in standard deviations [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Found by halving; in other words the root of a quantile of the non-central chi-square with one degree of freedom.

    Examples
    --------
    >>> round(float(half_width_for_share(0.0, 0.95)), 4)
    1.96
    """
    from scipy.special import ndtr, ndtri

    d = require("off", off, 0, 1e6)
    share = require("inside_share", inside_share, 0, 0.9999, above=True)
    low = np.maximum(d + ndtri(share), 0.0)  # the nearer end alone would leave this much, the farther adds to it
    high = d + ndtri((1 + share) / 2)
    low, high = np.broadcast_arrays(low, high)
    for _ in range(50):
        middle = (low + high) / 2
        short = ndtr(middle - d) - ndtr(-middle - d) < share
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return np.asarray((low + high) / 2)


@dataclass(frozen=True)
class Draws:
    """Means and standard deviations of all seeds that the readings leave possible.

    Attributes
    ----------
    centre : float
        Mean of the means of the units.
    means, sds : FloatArray
        One of each for each draw.
    """

    centre: float
    means: FloatArray
    sds: FloatArray


@equation(
    "mean of the unit means + Z sqrt(S / (I U)); standard deviation sqrt(S / U + (1 - h) E / W), with S the squares of "
    "the unit means, E those inside units, h the mean of one over the digs, Z normal, U and W chi-squares",
    unit="",
    source="krishnamoorthy_mathew_2004",
    in_words=True,
)
def pivotal_draws(sorted_readings: Units, draws: int = 100_000, seed: int = 1) -> Draws:
    """Draw the means and standard deviations that readings in units leave possible.

    Parameters
    ----------
    sorted_readings : Units
        Readings by unit [any].
    draws : int
        Number of draws [1], 100 to 10 000 000.
    seed : int
        Start of the generator, 0 or more; one seed, one result.

    Returns
    -------
    Draws
        In the unit of the readings; arrays of length `draws`.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    U has I - 1 and W has N - I degrees of freedom.  Exact pivots for equal digs; for unequal digs the squares of the
    unit means are only nearly chi-square.  The standard deviation is that of a single seed anywhere.

    Examples
    --------
    >>> from spadework.statistics.digs.one_way import sort_by_unit
    >>> found = pivotal_draws(sort_by_unit([4.0, 6.0, 7.0, 9.0], [1, 1, 2, 2]), draws=1000)
    >>> found.centre, found.sds.shape
    (6.5, (1000,))
    """
    count = int(require("draws", draws, 100, 1e7))
    random = np.random.default_rng(int(require("seed", seed, 0, 2**53)))
    it = sorted_readings
    centre = float(it.means.mean())
    squares = float(np.sum((it.means - centre) ** 2))
    place = random.standard_normal(count)
    of_units = squares / random.chisquare(it.units - 1, count)
    inside = it.within_squares / random.chisquare(it.within_df, count) if it.within_df else np.zeros(count)
    sds = np.sqrt(of_units + (1 - float(np.mean(1 / it.digs))) * inside)
    return Draws(centre, centre + place * np.sqrt(of_units / it.units), sds)


@equation(
    "1 - `confidence_share` quantile over the draws of mean - z sd",
    unit="",
    source="krishnamoorthy_mathew_2004",
    in_words=True,
)
def limit_below(possible: Draws, inside_share: float, confidence_share: float) -> float:
    """Limit above which at least a wanted share of all seeds lies.

    Parameters
    ----------
    possible : Draws
        From :func:`pivotal_draws` [any].
    inside_share : float
        Share of all above the limit [1], 0.5 to 0.9999.
    confidence_share : float
        Confidence [1], 0.5 to 0.9999.

    Returns
    -------
    float
        Limit, in the unit of the readings.

    Raises
    ------
    ImpossibleValue
        If a share lies outside its range.

    Examples
    --------
    >>> limit_below(Draws(6.0, np.full(100, 6.0), np.full(100, 1.0)), 0.5, 0.95)
    6.0
    """
    from scipy.special import ndtri

    _, share, sure = _asked(2, inside_share, confidence_share)
    return float(np.quantile(possible.means - ndtri(share) * possible.sds, 1 - sure))


@equation(
    "`confidence_share` quantile over the draws of mean + z sd",
    unit="",
    source="krishnamoorthy_mathew_2004",
    in_words=True,
)
def limit_above(possible: Draws, inside_share: float, confidence_share: float) -> float:
    """Limit under which at least a wanted share of all seeds lies.

    Parameters
    ----------
    possible : Draws
        From :func:`pivotal_draws` [any].
    inside_share : float
        Share of all under the limit [1], 0.5 to 0.9999.
    confidence_share : float
        Confidence [1], 0.5 to 0.9999.

    Returns
    -------
    float
        Limit, in the unit of the readings.

    Raises
    ------
    ImpossibleValue
        If a share lies outside its range.

    Examples
    --------
    >>> limit_above(Draws(6.0, np.full(100, 6.0), np.full(100, 1.0)), 0.5, 0.95)
    6.0
    """
    from scipy.special import ndtri

    _, share, sure = _asked(2, inside_share, confidence_share)
    return float(np.quantile(possible.means + ndtri(share) * possible.sds, sure))


@equation(
    "centre less and plus the `confidence_share` quantile, over the draws, of the half width that holds `share`",
    unit="",
    source="krishnamoorthy_mathew_2004",
    locator="own extension to two sides",
    in_words=True,
)
def limits_around(possible: Draws, inside_share: float, confidence_share: float) -> tuple[float, float]:
    """Limits between which at least a wanted share of all seeds lies.

    Parameters
    ----------
    possible : Draws
        From :func:`pivotal_draws` [any].
    inside_share : float
        Share of all between the limits [1], 0.5 to 0.9999.
    confidence_share : float
        Confidence [1], 0.5 to 0.9999.

    Returns
    -------
    tuple of float
        Lower and upper limit, in the unit of the readings.

    Raises
    ------
    ImpossibleValue
        If a share lies outside its range, or a draw has no scatter at all.

    Notes
    -----
    The same rule for both sides at once, our extension of the source: with one dig in each unit it is that of
    :func:`k_two_sided`.

    Examples
    --------
    >>> low, high = limits_around(Draws(6.0, np.full(100, 6.0), np.full(100, 1.0)), 0.95, 0.9)
    >>> round(low, 2), round(high, 2)
    (4.04, 7.96)
    """
    _, share, sure = _asked(2, inside_share, confidence_share)
    sds = require("sds", possible.sds, 0, np.inf, above=True)
    half = sds * half_width_for_share(np.abs(possible.means - possible.centre) / sds, share)
    reach = float(np.quantile(half, sure))
    return possible.centre - reach, possible.centre + reach


def _asked(n: ArrayLike, share: ArrayLike, confidence: ArrayLike) -> tuple[FloatArray, FloatArray, FloatArray]:
    return (
        require("readings_n", n, 2, 100_000),
        require("inside_share", share, 0.5, 0.9999),
        require("confidence_share", confidence, 0.5, 0.9999),
    )
