"""Variances by restricted likelihood over a whole mesh of ratios at once, and how well a grouping into units fits.

For checks that must answer while people stand at the hole: some hundred ratios in one go, instead of one by one.
"""

from __future__ import annotations

import numpy as np

from spadework.ranges import FloatArray, require
from spadework.statistics.digs.one_way import Components, Units
from spadework.working import equation

__all__ = ["components_by_mesh", "grouping_deviance", "variances_in_groups"]

_MESH = 240
_CLOSER = 6
_NOUGHT = 1e-7  # a ratio of variances under it cannot be told from nought


@equation(
    "least over the ratio r of the variances of (N - 1) log(squares) + sum log(1 + n r) + log(sum n / (1 + n r)); squares: "
    "those inside units + sum n / (1 + n r) (mean of unit - m)^2",
    unit="1",
    source="searle_1992",
    locator="restricted likelihood; from memory",
    in_words=True,
)
def grouping_deviance(sorted_readings: Units) -> float:
    """Tell how badly a grouping of readings into units fits, to be held against another grouping of the same readings.

    Parameters
    ----------
    sorted_readings : Units
        Readings by unit [any].

    Returns
    -------
    float
        Minus twice the restricted log-likelihood at its best, but for a constant that is the same for all groupings [1].

    Raises
    ------
    ImpossibleValue
        If all readings are alike.

    Notes
    -----
    A difference of 6 says that the readings are 20 times as likely under the one grouping as under the other.

    Examples
    --------
    >>> from spadework.statistics.digs.one_way import sort_by_unit
    >>> values = [4.0, 4.2, 6.0, 6.1, 8.0, 8.2]
    >>> one, other = (sort_by_unit(values, names) for names in ([1, 1, 2, 2, 3, 3], [1, 2, 3, 1, 2, 3]))
    >>> round(grouping_deviance(one) - grouping_deviance(other), 1)
    -14.3
    """
    it = sorted_readings
    require("squares", it.between_squares + it.within_squares, 0, np.inf, above=True)
    return float(_deviances(it, np.ones((it.units, 1)), _ratios(it)).min())


@equation(
    "the two variances, none below nought, at which the restricted likelihood is largest over a mesh of their ratio that is "
    "drawn five times closer about its best",
    unit="",
    source="searle_1992",
    locator="restricted likelihood; from memory",
    in_words=True,
)
def components_by_mesh(sorted_readings: Units) -> Components:
    """Variances between and inside units by restricted likelihood, quickly.

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
    The same as :func:`spadework.statistics.digs.one_way.components_reml` to some 1e-6, all ratios at once instead of one by one.

    Examples
    --------
    >>> from spadework.statistics.digs.one_way import sort_by_unit
    >>> found = components_by_mesh(sort_by_unit([4.0, 6.0, 7.0, 9.0], [1, 1, 2, 2]))
    >>> round(found.between_var, 4), round(found.within_var, 4)
    (3.5, 2.0)
    """
    it = sorted_readings
    require("most digs in a unit", it.digs.max(), 2, np.inf)
    require("within_squares", it.within_squares, 0, np.inf, above=True)
    between, within = variances_in_groups(it, np.ones((it.units, 1)))
    return Components(between, within, between <= 0)


@equation(
    "the two variances, none below nought, at which the restricted likelihood is largest with a mean for each group",
    unit="",
    source="searle_1992",
    locator="restricted likelihood; from memory",
    in_words=True,
)
def variances_in_groups(sorted_readings: Units, design: FloatArray) -> tuple[float, float]:
    """Variances between and inside units where groups of units have means of their own.

    Parameters
    ----------
    sorted_readings : Units
        Readings by unit [any]; at least one unit with two digs, and some scatter inside the units.
    design : FloatArray
        A row for each unit and a column for each group: 1 where the unit belongs to the group, else 0 [1].

    Returns
    -------
    tuple of float
        Variance between units of one group, and inside units, in the unit of the readings squared.

    Examples
    --------
    >>> from spadework.statistics.digs.one_way import sort_by_unit
    >>> it = sort_by_unit([4.0, 6.0, 7.0, 9.0, 9.0, 11.0, 10.0, 12.0], [1, 1, 2, 2, 3, 3, 4, 4])
    >>> [round(v, 4) for v in variances_in_groups(it, np.array([[1.0, 0], [1, 0], [0, 1], [0, 1]]))]
    [1.5, 2.0]
    """
    it = sorted_readings
    ratios = _ratios(it)
    for _ in range(_CLOSER):
        values = _deviances(it, design, ratios)
        best = int(np.argmin(values))
        low, high = ratios[max(best - 1, 0)], ratios[min(best + 1, ratios.size - 1)]
        ratios = np.linspace(low, high, 60)
    ratio = float(ratios[int(np.argmin(_deviances(it, design, ratios)))])
    ratio = 0.0 if ratio < _NOUGHT else ratio
    squares = float(_squares(it, design, np.array([ratio]))[0][0])
    within = squares / (it.readings - design.shape[1])
    return ratio * within, within


def _ratios(it: Units) -> FloatArray:
    inside = max(it.within_squares, 1e-12 * it.between_squares, 1e-300)
    reach = 1 + 10 * min(it.between_squares / inside, 1e9) * it.readings
    return np.concatenate([[0.0], np.geomspace(1e-6, reach, _MESH)])


def _deviances(it: Units, design: FloatArray, ratios: FloatArray) -> FloatArray:
    squares, logs = _squares(it, design, ratios)
    df = it.readings - design.shape[1]
    lost = np.log1p(it.digs * ratios[:, None]).sum(axis=1)
    return np.asarray(df * np.log(np.maximum(squares, 1e-300)) + lost + logs)


def _squares(it: Units, design: FloatArray, ratios: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the squares about the group means and the logarithm of the determinant, ratio by ratio.

    The columns of the design hold noughts and ones and every unit belongs to one of them.
    """
    weights = it.digs / (1 + it.digs * ratios[:, None])
    totals = weights @ design
    centres = (weights * it.means) @ design / totals
    off = it.means - centres @ design.T
    return it.within_squares + np.sum(weights * off**2, axis=1), np.log(totals).sum(axis=1)
