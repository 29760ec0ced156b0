"""Readings taken in several units: how much the units differ, how much the digs inside a unit differ, and the mean.

A reading is the mean of all, plus what its unit (a row unit of the injector, a plot) is off, plus what the single dig is
off; both are taken as normal.  Units may hold different numbers of digs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = ["Components", "Mean", "Units", "components_anova", "components_reml", "mean_of_all", "sort_by_unit"]


@dataclass(frozen=True)
class Units:
    """Readings boiled down by unit; :func:`sort_by_unit` makes it.

    Attributes
    ----------
    means : FloatArray
        Mean of each unit, in the order of the sorted names of the units.
    digs : FloatArray
        Readings in each unit.
    within_squares : float
        Sum of squares about the means of the units.
    """

    means: FloatArray
    digs: FloatArray
    within_squares: float

    @property
    def units(self) -> int:
        """Number of units."""
        return self.means.size

    @property
    def readings(self) -> int:
        """Number of readings."""
        return int(self.digs.sum())

    @property
    def within_df(self) -> int:
        """Degrees of freedom inside the units."""
        return self.readings - self.units

    @property
    def plain_mean(self) -> float:
        """Mean of all readings, each counting the same."""
        return float(np.average(self.means, weights=self.digs))

    @property
    def between_squares(self) -> float:
        """Sum of squares of the means of the units about the plain mean, each as often as it has digs."""
        return float(np.sum(self.digs * (self.means - self.plain_mean) ** 2))

    @property
    def between_mean_square(self) -> float:
        """Mean square between units."""
        return self.between_squares / (self.units - 1)

    @property
    def within_mean_square(self) -> float:
        """Mean square inside units; not a number where no unit has two digs."""
        return self.within_squares / self.within_df if self.within_df else float("nan")

    @property
    def anova_digs(self) -> float:
        """Digs per unit as the expected mean square between units counts them."""
        return float((self.readings - np.sum(self.digs**2) / self.readings) / (self.units - 1))


@dataclass(frozen=True)
class Components:
    """Variance between and inside units.

    Attributes
    ----------
    between_var, within_var : float
        Variances, in the unit of the readings squared.
    at_zero : bool
        True where the units differ no more than their digs explain, and `between_var` was set to nought.
    """

    between_var: float
    within_var: float
    at_zero: bool


@dataclass(frozen=True)
class Mean:
    """A mean with its standard error and the degrees of freedom of that."""

    mean: float
    se: float
    df: float


@equation(
    "mean, number of readings and sum of squares about the mean, unit by unit",
    unit="",
    source="searle_1992",
    in_words=True,
)
def sort_by_unit(readings: ArrayLike, units: ArrayLike) -> Units:
    """Boil readings down by the unit they were taken in.

    Parameters
    ----------
    readings : array_like
        Readings [any], one row of them, -1e9 to 1e9.
    units : array_like
        Name or number of the unit of each reading; at least two different ones.

    Returns
    -------
    Units
        Means, digs and squares by unit.

    Raises
    ------
    ImpossibleValue
        If a reading lies outside its range, or fewer than two units or three readings are given.
    ValueError
        If the two arguments are not rows of one length.

    Examples
    --------
    >>> sorted_readings = sort_by_unit([6.1, 5.4, 6.8, 7.2, 6.6], ["a", "a", "a", "b", "b"])
    >>> [round(float(mean), 2) for mean in sorted_readings.means]
    [6.1, 6.9]
    """
    values, names = require("readings", readings, -1e9, 1e9), np.asarray(units)
    if values.ndim != 1 or names.shape != values.shape:
        raise ValueError("`readings` and `units` must be two rows of one length")
    require("number of readings", values.size, 3, np.inf)
    order, place = np.unique(names, return_inverse=True)
    require("number of units", order.size, 2, np.inf)
    digs = np.bincount(place).astype(np.float64)
    middle = values.mean()  # keeps digits where the readings are large and near one another
    means = np.bincount(place, values - middle) / digs
    return Units(means + middle, digs, float(np.sum((values - middle - means[place]) ** 2)))


@equation(
    "mean square between less mean square inside, over the digs per unit; where that is negative, nought, and the "
    "variance inside units is then that of all readings about their mean",
    unit="",
    source="searle_1992",
    locator="one-way, unbalanced; from memory",
    in_words=True,
)
def components_anova(sorted_readings: Units) -> Components:
    """Variances between and inside units from the mean squares.

    Parameters
    ----------
    sorted_readings : Units
        Readings by unit [any]; at least one unit with two digs.

    Returns
    -------
    Components
        Variances in the unit of the readings squared.

    Raises
    ------
    ImpossibleValue
        If no unit has two digs.

    Notes
    -----
    Digs per unit are (N - sum n_i^2 / N) / (I - 1).  An estimate below nought is set to nought and the squares are
    pooled, (SSA + SSE) / (N - 1), which is also what restricted likelihood gives for equal digs.

    Examples
    --------
    >>> found = components_anova(sort_by_unit([4.0, 6.0, 7.0, 9.0], [1, 1, 2, 2]))
    >>> found.between_var, found.within_var
    (3.5, 2.0)
    """
    it = _with_repeats(sorted_readings)
    between = (it.between_mean_square - it.within_mean_square) / it.anova_digs
    return Components(between, it.within_mean_square, False) if between > 0 else _pooled(it)


@equation(
    "the two variances, none below nought, at which the restricted likelihood of the readings is largest",
    unit="",
    source="searle_1992",
    locator="restricted likelihood; from memory",
    in_words=True,
)
def components_reml(sorted_readings: Units) -> Components:
    """Variances between and inside units by restricted likelihood.

    Parameters
    ----------
    sorted_readings : Units
        Readings by unit [any]; at least one unit with two digs, and some scatter inside the units.

    Returns
    -------
    Components
        Variances in the unit of the readings squared.

    Raises
    ------
    ImpossibleValue
        If no unit has two digs, or the digs of every unit are all alike.

    Notes
    -----
    With the ratio r of the variances and w_i = n_i / (1 + n_i r), minus twice the restricted log-likelihood is, but
    for a constant, (N - 1) log(SSE + sum w_i (y_i - m)^2) + sum log(1 + n_i r) + log(sum w_i).  The best of a mesh of
    ratios is polished by the root of the slope.  For equal digs the result is that of :func:`components_anova`.

    Examples
    --------
    >>> found = components_reml(sort_by_unit([4.0, 6.0, 7.0, 9.0], [1, 1, 2, 2]))
    >>> round(found.between_var, 6), round(found.within_var, 6)
    (3.5, 2.0)
    """
    from scipy.optimize import brentq

    it = _with_repeats(sorted_readings)
    if it.within_squares <= 0:
        raise ImpossibleValue("within_squares", "0", 0, np.inf, "and not 0, as it is where all digs of a unit agree")
    reach = 1 + 10 * it.between_squares / it.within_squares * it.readings
    mesh = np.concatenate([[0.0], np.geomspace(1e-8, reach, 400)])
    best = int(np.argmin([_deviance(it, ratio) for ratio in mesh]))
    if best == 0 or (best == 1 and _slope(it, 0.0) >= 0):
        return _pooled(it)
    low, high = mesh[best - 1], mesh[min(best + 1, mesh.size - 1)]
    ratio = float(brentq(lambda r: _slope(it, r), low, high, xtol=1e-14, rtol=1e-14))
    weights = it.digs / (1 + it.digs * ratio)
    off = it.means - np.average(it.means, weights=weights)
    within = float((it.within_squares + np.sum(weights * off**2)) / (it.readings - 1))
    return Components(ratio * within, within, False)


@equation(
    "mean of the means of the units, each weighted with one over its variance; degrees of freedom such that the "
    "variance of the mean scatters as a chi-square over its degrees of freedom would",
    unit="",
    source="satterthwaite_1946",
    in_words=True,
)
def mean_of_all(sorted_readings: Units, components: Components) -> Mean:
    """Mean over the units with its standard error and degrees of freedom.

    Parameters
    ----------
    sorted_readings : Units
        Readings by unit [any].
    components : Components
        Their variances, not both nought.

    Returns
    -------
    Mean
        Mean and standard error in the unit of the readings, and degrees of freedom.

    Raises
    ------
    ImpossibleValue
        If a variance is negative, or that of the digs is not above nought.

    Notes
    -----
    The mean of a unit has variance b + w / n_i.  Degrees of freedom are 2 V^2 / (g' A g): V is the variance of the
    mean, g its slope on the two variances and A the inverse of their expected information under restricted
    likelihood.  For equal digs that is units less one.  Where the variance between units was set to nought the
    degrees of freedom stay those of the units: readings of one unit are never taken for independent.

    Examples
    --------
    >>> it = sort_by_unit([4.0, 6.0, 7.0, 9.0], [1, 1, 2, 2])
    >>> found = mean_of_all(it, components_anova(it))
    >>> found.mean, round(found.se, 4), round(found.df, 4)
    (6.5, 1.5, 1.0)
    """
    it = sorted_readings
    between = float(require("between_var", components.between_var, 0, np.inf))
    within = float(require("within_var", components.within_var, 0, np.inf, above=True))
    weights = 1 / (between + within / it.digs)
    total = weights.sum()
    slope = np.array([np.sum(weights**2), np.sum(weights**2 / it.digs)]) / total**2
    projection = np.diag(weights) - np.outer(weights, weights) / total
    by_between, by_within = projection, projection / it.digs
    cross = 0.5 * np.sum(by_between * by_within.T)
    information = np.array(
        [
            [0.5 * np.sum(by_between * by_between.T), cross],
            [cross, 0.5 * np.sum(by_within * by_within.T) + 0.5 * it.within_df / within**2],
        ]
    )
    # with one dig in each unit only the sum of the two variances can be known
    known = 2 if it.within_df else 1
    spread = float(slope[:known] @ np.linalg.solve(information[:known, :known], slope[:known]))
    mean = float(np.average(it.means, weights=weights))
    return Mean(mean, float(1 / np.sqrt(total)), float(2 / total**2 / spread))


def _with_repeats(it: Units) -> Units:
    require("most digs in a unit", it.digs.max(), 2, np.inf)
    return it


def _pooled(it: Units) -> Components:
    return Components(0.0, (it.between_squares + it.within_squares) / (it.readings - 1), True)


def _deviance(it: Units, ratio: float) -> float:
    weights = it.digs / (1 + it.digs * ratio)
    off = it.means - np.average(it.means, weights=weights)
    squares = it.within_squares + np.sum(weights * off**2)
    return float((it.readings - 1) * np.log(squares) + np.sum(np.log1p(it.digs * ratio)) + np.log(weights.sum()))


def _slope(it: Units, ratio: float) -> float:
    """Return the derivative of the deviance on the ratio."""
    weights = it.digs / (1 + it.digs * ratio)
    off = it.means - np.average(it.means, weights=weights)
    squares = it.within_squares + np.sum(weights * off**2)
    total = weights.sum()
    return float(-(it.readings - 1) * np.sum((weights * off) ** 2) / squares + total - np.sum(weights**2) / total)
