"""Groups of digs that share row units: between units, inside units, and which unit stands apart.

Two questions look alike and are not.  Units behind a wheel against the others: the unit is what is repeated, however many
digs it has.  Headland against body, way back against way out, one setting against another: every unit may be seen in
both, and its own difference is what is repeated.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.statistics.digs.by_mesh import variances_in_groups
from spadework.statistics.digs.one_way import Units
from spadework.working import equation

__all__ = [
    "Contrast",
    "UnitMeans",
    "between_units",
    "unit_means",
    "within_units",
]


@dataclass(frozen=True)
class Contrast:
    """Second group less first.

    Attributes
    ----------
    estimate : float
        Difference, in the unit of the readings.
    se, df : float
        Standard error and its degrees of freedom; not a number and nought where the units cannot bear one.
    low, high : float
        Ends of the interval; not a number where there is none.
    units_first, units_second : int
        Units in each group; the same number where units are compared with themselves.
    """

    estimate: float
    se: float
    df: float
    low: float
    high: float
    units_first: int
    units_second: int

    @property
    def bears(self) -> bool:
        """True where there is an interval, and nought lies outside it."""
        return bool(self.low > 0 or self.high < 0)


@dataclass(frozen=True)
class UnitMeans:
    """Means of the units dug, each with its interval.

    Attributes
    ----------
    means, se, low, high : FloatArray
        One of each for each unit, in the order of the sorted names.
    df : float
        Degrees of freedom of the scatter inside the units, borrowed from all of them.
    """

    means: FloatArray
    se: FloatArray
    low: FloatArray
    high: FloatArray
    df: float


@equation(
    "difference of the weighted means of the unit means, a unit weighing one over (between + within / digs); variances by "
    "restricted likelihood with a mean for each group; degrees of freedom from their expected information",
    unit="",
    source="satterthwaite_1946",
    in_words=True,
)
def between_units(sorted_readings: Units, second: ArrayLike, confidence_share: float) -> Contrast:
    """Compare units with other units.

    Parameters
    ----------
    sorted_readings : Units
        Readings by unit [any].
    second : array_like
        For each unit, in the order of the sorted names: 1 where it belongs to the second group, else 0.
    confidence_share : float
        Confidence of the two-sided interval [1], 0.5 to 0.9999.

    Returns
    -------
    Contrast
        In the unit of the readings.

    Raises
    ------
    ImpossibleValue
        If a group is empty, `second` is neither 0 nor 1, or the confidence lies outside its range.
    ValueError
        If `second` has not one place for each unit.

    Notes
    -----
    For equal digs this is the plain t interval of unit means with units less two degrees of freedom.  A group of one
    unit borrows the scatter between units from the other group: the difference then holds for that unit.  With
    two units in all there is no interval, whatever the number of digs: only the difference is handed back.  Where the
    digs are spread so unevenly that less than one degree of freedom is left, the plain means of the units are compared.

    Examples
    --------
    >>> from spadework.statistics.digs.one_way import sort_by_unit
    >>> it = sort_by_unit([4.0, 6.0, 7.0, 9.0, 9.0, 11.0, 10.0, 12.0], [1, 1, 2, 2, 3, 3, 4, 4])
    >>> found = between_units(it, [0, 0, 1, 1], 0.95)
    >>> round(found.estimate, 4), round(found.se, 4), round(found.df, 4)
    (4.0, 1.5811, 2.0)
    """
    it = sorted_readings
    sure = _confidence(confidence_share)
    group = np.asarray(require("second", second, 0, 1))
    if group.shape != it.means.shape:
        raise ValueError("`second` must have one place for each unit")
    count = int(require("units of the second group", float(np.sum(group == 1)), 1, it.units - 1))
    design = np.column_stack([1 - group, group])
    if it.units == 2:
        return _without(float(it.means @ (2 * group - 1)), 1, 1)
    if not it.within_df or it.within_squares <= 0:
        return _by_plain_means(it, design, sure)
    between, within = variances_in_groups(it, design)
    weights = 1 / (between + within / it.digs)
    inverse = np.linalg.inv(design.T @ (design * weights[:, None]))
    centres = inverse @ (design.T @ (weights * it.means))
    ask = np.array([-1.0, 1.0])
    variance = float(ask @ inverse @ ask)
    lever = (design @ inverse @ ask) * weights
    slope = np.array([np.sum(lever**2), np.sum(lever**2 / it.digs)])
    projection = np.diag(weights) - (design * weights[:, None]) @ inverse @ (design * weights[:, None]).T
    by_between, by_within = projection, projection / it.digs
    cross = 0.5 * np.sum(by_between * by_within.T)
    information = np.array(
        [
            [0.5 * np.sum(by_between * by_between.T), cross],
            [cross, 0.5 * np.sum(by_within * by_within.T) + 0.5 * it.within_df / within**2],
        ]
    )
    df = 2 * variance**2 / float(slope @ np.linalg.solve(information, slope))
    if df < 1:
        return _by_plain_means(it, design, sure)
    return _with(float(centres[1] - centres[0]), float(np.sqrt(variance)), df, sure, it.units - count, count)


@equation(
    "mean over the units seen in both of (mean in the second less mean in the first); its standard error that of these "
    "differences over the root of their number",
    unit="",
    source="cochran_1977",
    locator="pairs",
    in_words=True,
)
def within_units(readings: ArrayLike, units: ArrayLike, second: ArrayLike, confidence_share: float) -> Contrast:
    """Compare two states of the same units.

    Parameters
    ----------
    readings : array_like
        Readings [any], one row of them, -1e9 to 1e9.
    units : array_like
        Name or number of the unit of each reading.
    second : array_like
        1 where the reading belongs to the second state, 0 to the first.
    confidence_share : float
        Confidence of the two-sided interval [1], 0.5 to 0.9999.

    Returns
    -------
    Contrast
        In the unit of the readings.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or no unit is seen in both states.
    ValueError
        If the three are not rows of one length.

    Notes
    -----
    A unit seen in one state only counts for nothing: it cannot tell a change from a difference between units.  Units may
    change by different amounts; that is part of the scatter of their differences.  The standard error is right on average
    for any numbers of digs.  With one unit in both there is no interval: its digs say nothing of the other units.

    Examples
    --------
    >>> found = within_units([4, 6, 5, 7, 8, 8.6], [1, 1, 2, 2, 3, 3], [0, 1, 0, 1, 0, 1], 0.95)
    >>> round(found.estimate, 3), round(found.se, 3), found.df
    (1.533, 0.467, 2.0)
    """
    sure = _confidence(confidence_share)
    values, names = require("readings", readings, -1e9, 1e9), np.asarray(units)
    late = np.asarray(require("second", second, 0, 1))
    if values.ndim != 1 or names.shape != values.shape or late.shape != values.shape:
        raise ValueError("`readings`, `units` and `second` must be rows of one length")
    order, place = np.unique(names, return_inverse=True)
    numbers = [np.bincount(place, late == state, order.size) for state in (0, 1)]
    both = (numbers[0] > 0) & (numbers[1] > 0)
    count = int(require("units in both states", float(both.sum()), 1, np.inf))
    sums = [np.bincount(place, values * (late == state), order.size) for state in (0, 1)]
    change = sums[1][both] / numbers[1][both] - sums[0][both] / numbers[0][both]
    if count == 1:
        return _without(float(change[0]), 1, 1)
    se = float(change.std(ddof=1) / np.sqrt(count))
    return _with(float(change.mean()), se, float(count - 1), sure, count, count)


@equation(
    "mean of the unit +/- t times the root of (pooled mean square inside units over its digs), t at a confidence of "
    "confidence^(1 / units) each",
    unit="",
    source="sidak_1967",
    in_words=True,
)
def unit_means(sorted_readings: Units, confidence_share: float) -> UnitMeans:
    """Means of the units with intervals that hold for all of them at once.

    Parameters
    ----------
    sorted_readings : Units
        Readings by unit [any]; at least one unit with two digs.
    confidence_share : float
        Confidence that every interval holds its unit [1], 0.5 to 0.9999.

    Returns
    -------
    UnitMeans
        In the unit of the readings, one place for each unit.

    Raises
    ------
    ImpossibleValue
        If no unit has two digs, or the confidence lies outside its range.

    Notes
    -----
    The units are those of this machine, so what lies between them is no error here.  The scatter inside a unit is taken
    to be the same in all and borrowed from all.  Allowance over the units is Sidak's, which holds all of them at least
    as often as it says, a common scatter included.

    Examples
    --------
    >>> from spadework.statistics.digs.one_way import sort_by_unit
    >>> found = unit_means(sort_by_unit([4.0, 6.0, 7.0, 9.0], [1, 1, 2, 2]), 0.95)
    >>> [round(float(low), 2) for low in found.low], found.df
    ([-1.16, 1.84], 2.0)
    """
    from scipy.special import stdtrit

    it = sorted_readings
    sure = _confidence(confidence_share)
    require("most digs in a unit", it.digs.max(), 2, np.inf)
    se = np.sqrt(it.within_mean_square / it.digs)
    reach = stdtrit(it.within_df, (1 + sure ** (1 / it.units)) / 2) * se
    return UnitMeans(it.means, se, it.means - reach, it.means + reach, float(it.within_df))


def _by_plain_means(it: Units, design: FloatArray, sure: float) -> Contrast:
    """Compare the plain means of the means of the units, their scatter pooled over the groups."""
    counts = design.sum(axis=0)
    centres = (design.T @ it.means) / counts
    squares = float(np.sum((it.means - design @ centres) ** 2))
    df = float(it.units - 2)
    se = float(np.sqrt(squares / df * np.sum(1 / counts)))
    return _with(float(centres[1] - centres[0]), se, df, sure, int(counts[0]), int(counts[1]))


def _with(estimate: float, se: float, df: float, sure: float, first: int, second: int) -> Contrast:
    from scipy.special import stdtrit

    reach = float(stdtrit(df, (1 + sure) / 2)) * se
    return Contrast(estimate, se, df, estimate - reach, estimate + reach, first, second)


def _without(estimate: float, first: int, second: int) -> Contrast:
    nan = float("nan")
    return Contrast(estimate, nan, 0.0, nan, nan, first, second)


def _confidence(confidence_share: float) -> float:
    return float(require("confidence_share", confidence_share, 0.5, 0.9999))
