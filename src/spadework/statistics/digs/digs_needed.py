"""How many units to look at and how many holes to dig in each, before anyone digs.

More units come before more digs in a unit: digs cannot average away what their unit is off.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["digs_per_unit", "mean_se", "readings_for_extremes", "readings_for_mean", "units_for_mean"]

_LARGE = 1e9
_MOST_UNITS = 1_000_000


@equation(
    "sqrt((between_sd**2 + within_sd**2 / digs) / units_n)",
    unit="",
    source="cochran_1977",
    locator="sampling in two stages",
)
def mean_se(between_sd: ArrayLike, within_sd: ArrayLike, units_n: ArrayLike, digs: ArrayLike) -> FloatArray:
    """Return the standard error of a mean over units with equally many digs.

    Parameters
    ----------
    between_sd : array_like
        Standard deviation between units [any], 0 to 1e9.
    within_sd : array_like
        Standard deviation of a dig inside a unit [any], 0 to 1e9.
    units_n : array_like
        Number of units [1], 1 to 1e6.
    digs : array_like
        Digs in each [1], 1 to 1e6.

    Returns
    -------
    FloatArray
        Standard error, in the unit of the readings; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Holds for units out of many.  Where all units of the machine are dug and only this machine is asked about, the part
    between units falls away and this is too large.

    Examples
    --------
    >>> round(float(mean_se(0.8, 1.0, 8, 3)), 3)
    0.349
    """
    between = require("between_sd", between_sd, 0, _LARGE)
    within = require("within_sd", within_sd, 0, _LARGE)
    units = require("units_n", units_n, 1, _MOST_UNITS)
    return np.asarray(np.sqrt((between**2 + within**2 / require("digs", digs, 1, 1e6)) / units))


@equation(
    "smallest number of units for which t, with one degree of freedom less than units, times the standard error of the "
    "mean is no more than the wanted half width",
    unit="1",
    source="hahn_meeker_1991",
    in_words=True,
)
def units_for_mean(
    between_sd: ArrayLike, within_sd: ArrayLike, digs: ArrayLike, half_width: ArrayLike, confidence_share: ArrayLike
) -> FloatArray:
    """Units needed for a mean to within a wanted half width.

    Parameters
    ----------
    between_sd : array_like
        Standard deviation between units [any], 0 to 1e9.
    within_sd : array_like
        Standard deviation of a dig inside a unit [any], 0 to 1e9.
    digs : array_like
        Digs in each unit [1], 1 to 1e6.
    half_width : array_like
        Wanted half width of the interval [any], above 0 to 1e9.
    confidence_share : array_like
        Confidence of the interval [1], 0.5 to 0.9999.

    Returns
    -------
    FloatArray
        Units, 2 or more [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or more than a million units were needed.

    Notes
    -----
    Reckons with the expected scatter: by luck the interval found later may be wider or narrower.

    Examples
    --------
    >>> float(units_for_mean(0.8, 1.0, 3, 0.75, 0.95))
    10.0
    """
    from scipy.special import stdtrit

    between = require("between_sd", between_sd, 0, _LARGE)
    within = require("within_sd", within_sd, 0, _LARGE)
    half = require("half_width", half_width, 0, _LARGE, above=True)
    sure = require("confidence_share", confidence_share, 0.5, 0.9999)
    ratio = np.sqrt(between**2 + within**2 / require("digs", digs, 1, 1e6)) / half
    ratio, sure = np.broadcast_arrays(ratio, sure)

    def too_few(units: FloatArray) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        return np.asarray(stdtrit(units - 1, (1 + sure) / 2) * ratio / np.sqrt(units) > 1)

    low, high = np.ones(ratio.shape), np.full(ratio.shape, float(_MOST_UNITS))
    require("half width over scatter", np.where(too_few(high), 0.0, 1.0), 1, 1)
    while np.any(high - low > 1):
        middle = np.floor((low + high) / 2)
        short = too_few(np.maximum(middle, 2)) | (middle < 2)
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return np.asarray(high)


@equation(
    "square of the normal quantile times the standard deviation over the half width, rounded up",
    unit="1",
    source="hahn_meeker_1991",
    in_words=True,
)
def readings_for_mean(sd: ArrayLike, half_width: ArrayLike, confidence_share: ArrayLike) -> FloatArray:
    """Independent readings needed for a mean to within a wanted half width, the scatter known.

    Parameters
    ----------
    sd : array_like
        Standard deviation of a reading [any], 0 to 1e9.
    half_width : array_like
        Wanted half width of the interval [any], above 0 to 1e9.
    confidence_share : array_like
        Confidence of the interval [1], 0.5 to 0.9999.

    Returns
    -------
    FloatArray
        Readings, 1 or more [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    For readings out of units that differ take :func:`units_for_mean`.

    Examples
    --------
    >>> [float(n) for n in readings_for_mean(1.2, [0.5, 0.75, 1.0], 0.95)]
    [23.0, 10.0, 6.0]
    """
    from scipy.special import ndtri

    scatter = require("sd", sd, 0, _LARGE)
    half = require("half_width", half_width, 0, _LARGE, above=True)
    z = ndtri((1 + require("confidence_share", confidence_share, 0.5, 0.9999)) / 2)
    return np.asarray(np.maximum(np.ceil((z * scatter / half) ** 2), 1.0))


@equation(
    "within_sd / between_sd * sqrt(unit_min / dig_min)",
    unit="1",
    source="cochran_1977",
    locator="best second-stage number",
)
def digs_per_unit(between_sd: ArrayLike, within_sd: ArrayLike, unit_min: ArrayLike, dig_min: ArrayLike) -> FloatArray:
    """Digs in each unit that give the sharpest mean for the time spent.

    Parameters
    ----------
    between_sd : array_like
        Standard deviation between units [any], above 0 to 1e9.
    within_sd : array_like
        Standard deviation of a dig inside a unit [any], 0 to 1e9.
    unit_min : array_like
        Time to get to a further unit and lay it out [min], 0 to 1e5.
    dig_min : array_like
        Time of a dig [min], above 0 to 1e5.

    Returns
    -------
    FloatArray
        Digs [1], not rounded, shape of the inputs broadcast together; below 1 means one.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(digs_per_unit(0.8, 1.2, 20, 5)), 6)
    3.0
    """
    between = require("between_sd", between_sd, 0, _LARGE, above=True)
    within = require("within_sd", within_sd, 0, _LARGE)
    walk = require("unit_min", unit_min, 0, 1e5, "min")
    return np.asarray(within / between * np.sqrt(walk / require("dig_min", dig_min, 0, 1e5, "min", above=True)))


@equation(
    "smallest n for which n readings hold the wanted share beyond their smallest (1 - p^n), or between their smallest "
    "and largest (1 - n p^(n-1) + (n-1) p^n), with the wanted confidence",
    unit="1",
    source="wilks_1941",
    in_words=True,
)
def readings_for_extremes(inside_share: ArrayLike, confidence_share: ArrayLike, *, both: bool) -> FloatArray:
    """Independent readings whose extremes are tolerance limits, whatever the shape of the scatter.

    Parameters
    ----------
    inside_share : array_like
        Share of all that is to lie inside [1], 0.5 to 0.9999.
    confidence_share : array_like
        Confidence [1], 0.5 to 0.9999.
    both : bool
        True where smallest and largest both are limits, False where only one is.

    Returns
    -------
    FloatArray
        Readings [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If a share lies outside its range.

    Notes
    -----
    One reading from each unit; digs of one unit do not count as several.

    Examples
    --------
    >>> [float(readings_for_extremes(0.90, 0.95, both=both)) for both in (False, True)]
    [29.0, 46.0]
    """
    share, sure = np.broadcast_arrays(
        require("inside_share", inside_share, 0.5, 0.9999), require("confidence_share", confidence_share, 0.5, 0.9999)
    )
    low, high = np.ones(share.shape), np.full(share.shape, 1e6)
    if not both:
        low = np.zeros(share.shape)
    while np.any(high - low > 1):
        n = np.floor((low + high) / 2)
        sides = n * share ** (n - 1) - (n - 1) * share**n if both else share**n
        short = 1 - sides < sure
        low, high = np.where(short, n, low), np.where(short, high, n)
    return np.asarray(high)
