"""Stand counts: plants per hectare with their exact interval, row units against one another, and evenness.

A count has scatter of its own even where the stand is perfect: a row of 10 m with 70 plants could as well have had 60.
Plants that a machine sows stand more evenly than by chance, so the exact interval is rather too wide than too narrow.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, calibrated, require
from spadework.working import equation

__all__ = [
    "count_high",
    "count_low",
    "emerged_of_sown",
    "plants_per_ha",
    "row_length_for_area",
    "spacing_sd_cm",
    "unit_cv",
    "unit_ratio",
]

_M2_PER_HA = 10_000


@equation(
    "10000 * plants / (length_m * row_spacing_m)", unit="1/ha", source="physics", locator="ten thousand square metres"
)
def plants_per_ha(plants: ArrayLike, length_m: ArrayLike, row_spacing_m: ArrayLike) -> FloatArray:
    """Plants on a hectare, from a count along the row.

    Parameters
    ----------
    plants : array_like
        Plants counted [1], 0 to 10 000 000.
    length_m : array_like
        Length of row that was counted [m], more than 0, to 100 000.
    row_spacing_m : array_like
        Distance between rows [m], more than 0, to 10.

    Returns
    -------
    ndarray
        Plants [1/ha], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Counts behind several row units: sum plants and lengths first.

    Examples
    --------
    >>> round(float(plants_per_ha(70, 10, 0.75)))
    93333
    """
    k = require("plants", plants, 0, 10_000_000)
    metres = require("length_m", length_m, 0, 100_000, "m", above=True)
    s = require("row_spacing_m", row_spacing_m, 0, 10, "m", above=True)
    return np.asarray(_M2_PER_HA * k / (metres * s))


@equation("10000 * counted_ha / row_spacing_m", unit="m", source="physics", locator="ten thousand square metres")
def row_length_for_area(counted_ha: ArrayLike, row_spacing_m: ArrayLike) -> FloatArray:
    """Length of row that stands on an area.

    Parameters
    ----------
    counted_ha : array_like
        Area to be counted [ha], more than 0, to 100.
    row_spacing_m : array_like
        Distance between rows [m], more than 0, to 10.

    Returns
    -------
    ndarray
        Length [m], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Count there: a thousandth of a hectare makes every plant a thousand.

    Examples
    --------
    >>> round(float(row_length_for_area(0.001, 0.75)), 2)
    13.33
    """
    a = require("counted_ha", counted_ha, 0, 100, "ha", above=True)
    s = require("row_spacing_m", row_spacing_m, 0, 10, "m", above=True)
    return np.asarray(_M2_PER_HA * a / s)


@equation("plants_per_ha / sown_per_ha", unit="1", source="physics", locator="definition")
def emerged_of_sown(plants_per_ha: ArrayLike, sown_per_ha: ArrayLike) -> FloatArray:
    """Share of the seeds that became plants.

    Parameters
    ----------
    plants_per_ha : array_like
        Plants that stand [1/ha], 0 to 1 000 000.
    sown_per_ha : array_like
        Seeds that were sown [1/ha], more than 0, to 1 000 000.

    Returns
    -------
    ndarray
        Share [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    More plants than seeds is said: a double count, a wrong setting, or the scatter of a short row.

    Examples
    --------
    >>> round(float(emerged_of_sown(82_000, 92_000)), 3)
    0.891
    """
    k = require("plants_per_ha", plants_per_ha, 0, 1_000_000, "1/ha")
    n = require("sown_per_ha", sown_per_ha, 0, 1_000_000, "1/ha", above=True)
    share = np.asarray(k / n)
    calibrated("emerged_of_sown", "plants_per_ha / sown_per_ha", share, 0, 1)
    return share


@equation(
    (
        "quantile of the gamma distribution of shape plants at half of what the confidence leaves; nil "
        "where nothing was counted"
    ),
    unit="1",
    source="garwood_1936",
    in_words=True,
)
def count_low(plants: ArrayLike, confidence_share: ArrayLike) -> FloatArray:
    """Lower end of the exact interval of a count.

    Parameters
    ----------
    plants : array_like
        Plants counted [1], 0 to 10 000 000.
    confidence_share : array_like
        Confidence of the two-sided interval [1], 0.5 to 0.9999.

    Returns
    -------
    ndarray
        Plants [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Counts of Poisson.  Never under its confidence.

    Examples
    --------
    >>> round(float(count_low(10, 0.95)), 3)
    4.795
    """
    k = require("plants", plants, 0, 10_000_000)
    c = require("confidence_share", confidence_share, 0.5, 0.9999)
    from scipy.special import gammaincinv

    tail = (1 - c) / 2
    low: FloatArray = np.where(k == 0, 0.0, gammaincinv(np.maximum(k, 1), tail))
    return low


@equation(
    ("quantile of the gamma distribution of shape plants + 1 at one less half of what the confidence leaves"),
    unit="1",
    source="garwood_1936",
    in_words=True,
)
def count_high(plants: ArrayLike, confidence_share: ArrayLike) -> FloatArray:
    """Upper end of the exact interval of a count.

    Parameters
    ----------
    plants : array_like
        Plants counted [1], 0 to 10 000 000.
    confidence_share : array_like
        Confidence of the two-sided interval [1], 0.5 to 0.9999.

    Returns
    -------
    ndarray
        Plants [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    See :func:`count_low`.  With no plant found there may be up to 3.7.

    Examples
    --------
    >>> round(float(count_high(10, 0.95)), 3)
    18.39
    """
    k = require("plants", plants, 0, 10_000_000)
    c = require("confidence_share", confidence_share, 0.5, 0.9999)
    from scipy.special import gammaincinv

    high: FloatArray = np.asarray(gammaincinv(k + 1, (1 + c) / 2))
    return high


@equation("plants per metre behind a row unit over those behind all others", unit="1", source="physics", in_words=True)
def unit_ratio(unit_plants: ArrayLike, unit_length_m: ArrayLike) -> FloatArray:
    """Stand behind each row unit against that behind all others.

    Parameters
    ----------
    unit_plants : array_like
        Plants counted behind each row unit; units along the last axis, two or more [1], 0 to 10 000 000.
    unit_length_m : array_like
        Length of row counted behind each, or one length for all [m], more than 0, to 100 000.

    Returns
    -------
    ndarray
        Ratio of each [1], shape of the counts.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or there is one unit only, or no plant behind the others.

    Notes
    -----
    A unit that is low in every block is a fault of the machine, which replication does not take out.  Mind the
    direction: unit 4 of six is the third from the other side on the way back.

    Examples
    --------
    >>> unit_ratio([70, 71, 69, 41, 70, 72], 10).round(2).tolist()
    [1.08, 1.1, 1.06, 0.58, 1.08, 1.12]
    """
    k = require("unit_plants", unit_plants, 0, 10_000_000)
    metres = require("unit_length_m", unit_length_m, 0, 100_000, "m", above=True)
    require("row units", k.shape[-1] if k.ndim else 1, 2, 10_000)
    k, length = np.broadcast_arrays(k, metres)
    others = require("plants behind the others", k.sum(axis=-1, keepdims=True) - k, 0, np.inf, above=True)
    return np.asarray(k / length * (length.sum(axis=-1, keepdims=True) - length) / others)


@equation(
    "standard deviation of the plants per metre behind the row units, over their mean",
    unit="1",
    source="physics",
    in_words=True,
)
def unit_cv(unit_plants: ArrayLike, unit_length_m: ArrayLike) -> FloatArray:
    """Scatter of the stand between row units.

    Parameters
    ----------
    unit_plants : array_like
        Plants counted behind each row unit; units along the last axis, two or more [1], 0 to 10 000 000.
    unit_length_m : array_like
        Length of row counted behind each, or one length for all [m], more than 0, to 100 000.

    Returns
    -------
    ndarray
        Share of the mean [1], shape of the axes before the units.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or there is one unit only, or no plant.

    Notes
    -----
    Holds the scatter of counting too: with k plants a unit that alone is about 1 / sqrt(k).

    Examples
    --------
    >>> round(float(unit_cv([70, 71, 69, 41, 70, 72], 10)), 3)
    0.184
    """
    k = require("unit_plants", unit_plants, 0, 10_000_000)
    metres = require("unit_length_m", unit_length_m, 0, 100_000, "m", above=True)
    require("row units", k.shape[-1] if k.ndim else 1, 2, 10_000)
    rate = k / metres
    mean = require("mean stand", rate.mean(axis=-1), 0, np.inf, above=True)
    return np.asarray(rate.std(axis=-1, ddof=1) / mean)


@equation(
    "standard deviation of the distances from plant to plant", unit="cm", source="stand_count_guides", in_words=True
)
def spacing_sd_cm(place_cm: ArrayLike) -> FloatArray:
    """Scatter of the distances between plants in the row.

    Parameters
    ----------
    place_cm : array_like
        Places of the plants along the row, rising; plants along the last axis, three or more [cm], 0 to 1 000
        000.

    Returns
    -------
    ndarray
        Standard deviation [cm], shape of the axes before the plants.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the places do not rise.

    Notes
    -----
    About 5 cm is the best to be expected and 11 cm usual, by US guides.  What it costs is disputed: no yield is
    reckoned from it here.

    Examples
    --------
    >>> round(float(spacing_sd_cm([0, 18, 36, 58, 72, 90])), 1)
    2.8
    """
    x = require("place_cm", place_cm, 0, 1_000_000, "cm")
    require("plants", x.shape[-1] if x.ndim else 1, 3, np.inf)
    gaps = require("distance to the next plant", np.diff(x, axis=-1), 0, np.inf, "cm")
    return np.asarray(gaps.std(axis=-1, ddof=1))
