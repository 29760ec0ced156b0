"""How large plots should be, and what blocks, rows and columns have gained."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["efficiency_of_blocks", "efficiency_of_columns", "efficiency_of_square", "optimum_plot", "sd_by_size"]

_LARGE = 1e12


@equation("plot_sd * size_factor**(-smith_exponent / 2)", unit="", source="smith_1938")
def sd_by_size(plot_sd: ArrayLike, size_factor: ArrayLike, smith_exponent: ArrayLike) -> FloatArray:
    """Return the standard deviation of plots that are so many times as large.

    Parameters
    ----------
    plot_sd : array_like
        Standard deviation of plots of the first size, per area [any], 0 to 1e12.
    size_factor : array_like
        How many times as large [1], above 0 to 1e6.
    smith_exponent : array_like
        Smith's exponent of the field [1], 0 (neighbours are alike) to 1 (every spot for itself).

    Returns
    -------
    FloatArray
        Standard deviation, in the unit of `plot_sd`; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Smith (1938): the variance per area falls with size to the power of the exponent.  Past the size of the soil's own
    patches it no longer holds.

    Examples
    --------
    >>> sd_by_size(1, 4, [0.25, 0.5, 0.7, 1]).round(2).tolist()
    [0.84, 0.71, 0.62, 0.5]
    """
    sd = require("plot_sd", plot_sd, 0, _LARGE)
    size = require("size_factor", size_factor, 0, 1e6, above=True)
    return np.asarray(sd * size ** (-require("smith_exponent", smith_exponent, 0, 1) / 2))


@equation(
    "smith_exponent * plot_eur / ((1 - smith_exponent) * area_eur)", unit="1", source="smith_1938"
)  # fmt: skip
def optimum_plot(smith_exponent: ArrayLike, plot_eur: ArrayLike, area_eur: ArrayLike) -> FloatArray:
    """Return the size of plot that tells most for the money.

    Parameters
    ----------
    smith_exponent : array_like
        Smith's exponent of the field [1], 0 to 0.99.
    plot_eur : array_like
        Cost of a plot, whatever its size [EUR], 0 to 1e6.
    area_eur : array_like
        Cost of a unit of area [EUR], above 0 to 1e6.

    Returns
    -------
    FloatArray
        Size, in those units of area; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(optimum_plot(0.5, 120, 10)), 1)
    12.0
    """
    b = require("smith_exponent", smith_exponent, 0, 0.99)
    plot = require("plot_eur", plot_eur, 0, 1e6, "EUR")
    return np.asarray(b * plot / ((1 - b) * require("area_eur", area_eur, 0, 1e6, "EUR", above=True)))


@equation(
    "((blocks - 1) * block_ms + blocks * (systems_n - 1) * error_ms) / ((blocks * systems_n - 1) * error_ms)",
    unit="1",
    source="cochran_cox_1957",
    locator="ch. 4",
)
def efficiency_of_blocks(
    block_ms: ArrayLike, error_ms: ArrayLike, systems_n: ArrayLike, blocks: ArrayLike
) -> FloatArray:
    """Return how many times as many plots it would have taken without blocks.

    Parameters
    ----------
    block_ms : array_like
        Mean square of blocks [any], 0 to 1e12.
    error_ms : array_like
        Mean square of the error [any], above 0 to 1e12.
    systems_n : array_like
        Systems in each block [1], 2 to 1000.
    blocks : array_like
        Blocks [1], 2 to 1000.

    Returns
    -------
    FloatArray
        Ratio [1]; above 1 blocks have paid.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Without the small correction for the degrees of freedom of the two errors.

    Examples
    --------
    >>> round(float(efficiency_of_blocks(8348.875, 1336.904, 8, 5)), 3)
    1.538
    """
    of_blocks = require("block_ms", block_ms, 0, _LARGE)
    error = require("error_ms", error_ms, 0, _LARGE, above=True)
    t = require("systems_n", systems_n, 2, 1000)
    r = require("blocks", blocks, 2, 1000)
    return np.asarray(((r - 1) * of_blocks + r * (t - 1) * error) / ((r * t - 1) * error))


@equation(
    "(row_ms + column_ms + (systems_n - 1) * error_ms) / ((systems_n + 1) * error_ms)", unit="1",
    source="cochran_cox_1957", locator="ch. 4",
)  # fmt: skip
def efficiency_of_square(
    row_ms: ArrayLike, column_ms: ArrayLike, error_ms: ArrayLike, systems_n: ArrayLike
) -> FloatArray:
    """Return how many times as many plots it would have taken without rows and columns.

    Parameters
    ----------
    row_ms, column_ms : array_like
        Mean squares of rows and of columns of a Latin square [any], 0 to 1e12.
    error_ms : array_like
        Mean square of the error [any], above 0 to 1e12.
    systems_n : array_like
        Systems [1], 2 to 1000.

    Returns
    -------
    FloatArray
        Ratio [1]; above 1 the square has paid.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(efficiency_of_square(21.8506, 4.1406, 3.0666, 5)), 3)
    2.079
    """
    rows = require("row_ms", row_ms, 0, _LARGE)
    columns = require("column_ms", column_ms, 0, _LARGE)
    error = require("error_ms", error_ms, 0, _LARGE, above=True)
    t = require("systems_n", systems_n, 2, 1000)
    return np.asarray((rows + columns + (t - 1) * error) / ((t + 1) * error))


@equation(
    "(column_ms + (systems_n - 1) * error_ms) / (systems_n * error_ms)", unit="1", source="cochran_cox_1957",
    locator="ch. 4",
)  # fmt: skip
def efficiency_of_columns(column_ms: ArrayLike, error_ms: ArrayLike, systems_n: ArrayLike) -> FloatArray:
    """Return how many times as many plots it would have taken with the rows as blocks alone.

    Parameters
    ----------
    column_ms : array_like
        Mean square of columns of a Latin square [any], 0 to 1e12.
    error_ms : array_like
        Mean square of the error [any], above 0 to 1e12.
    systems_n : array_like
        Systems [1], 2 to 1000.

    Returns
    -------
    FloatArray
        Ratio [1]; above 1 the columns have paid.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(efficiency_of_columns(4.1406, 3.0666, 5)), 3)
    1.07
    """
    columns = require("column_ms", column_ms, 0, _LARGE)
    error = require("error_ms", error_ms, 0, _LARGE, above=True)
    t = require("systems_n", systems_n, 2, 1000)
    return np.asarray((columns + (t - 1) * error) / (t * error))
