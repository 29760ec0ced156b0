"""Standard errors of differences of means, on one host field and over several."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["fields_df", "sed_of_fields", "sed_of_two"]

_LARGE = 1e9


@equation("plot_sd * sqrt(2 / blocks)", unit="", source="cochran_cox_1957", locator="ch. 4")
def sed_of_two(plot_sd: ArrayLike, blocks: ArrayLike) -> FloatArray:
    """Return the standard error of the difference of two means, each of so many plots.

    Parameters
    ----------
    plot_sd : array_like
        Standard deviation of plots of one block [any], 0 to 1e9.
    blocks : array_like
        Blocks, or plots behind each mean [1], 1 to 1e6.

    Returns
    -------
    FloatArray
        Standard error, in the unit of `plot_sd`; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(sed_of_two(0.05, 4)), 4)
    0.0354
    """
    sd = require("plot_sd", plot_sd, 0, _LARGE)
    return np.asarray(sd * np.sqrt(2 / require("blocks", blocks, 1, 1e6)))


@equation(
    "sqrt(2 * (field_sd**2 / fields + plot_sd**2 / (fields * blocks)))", unit="", source="cochran_cox_1957",
    locator="several experiments",
)  # fmt: skip
def sed_of_fields(field_sd: ArrayLike, plot_sd: ArrayLike, fields: ArrayLike, blocks: ArrayLike) -> FloatArray:
    """Return the standard error of the difference of two means over several host fields, or fields and years.

    Parameters
    ----------
    field_sd : array_like
        Standard deviation of what a field does to a system of its own [any], 0 to 1e9.
    plot_sd : array_like
        Standard deviation of plots of one block [any], 0 to 1e9.
    fields : array_like
        Fields, or fields times years where each year has fields of its own [1], 1 to 1e5.
    blocks : array_like
        Blocks in each [1], 1 to 1e6.

    Returns
    -------
    FloatArray
        Standard error, in the unit of the inputs; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Speaks for fields like these, not for these alone.  Its degrees of freedom: :func:`fields_df`.

    Examples
    --------
    >>> round(float(sed_of_fields(0.04, 0.05, 4, 3)), 4)
    0.0349
    """
    own = require("field_sd", field_sd, 0, _LARGE)
    sd = require("plot_sd", plot_sd, 0, _LARGE)
    k = require("fields", fields, 1, 1e5)
    return np.asarray(np.sqrt(2 * (own**2 / k + sd**2 / (k * require("blocks", blocks, 1, 1e6)))))


@equation("(fields - 1) * (systems_n - 1)", unit="1", source="cochran_cox_1957", locator="several experiments")
def fields_df(fields: ArrayLike, systems_n: ArrayLike) -> FloatArray:
    """Return the degrees of freedom of differences over several host fields.

    Parameters
    ----------
    fields : array_like
        Fields [1], 2 to 1e5.
    systems_n : array_like
        Systems on each [1], 2 to 1000.

    Returns
    -------
    FloatArray
        Degrees of freedom [1].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> float(fields_df(4, 3))
    6.0
    """
    return np.asarray((require("fields", fields, 2, 1e5) - 1) * (require("systems_n", systems_n, 2, 1000) - 1))
