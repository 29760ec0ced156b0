"""What a farm has measured itself: how it stands against the models, and how well a refilled tank can tell."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["area_for_refill", "fuel_error_of_refill", "measured_draft_factor", "measured_or_modelled"]


@equation("measured_n / modelled_n", unit="1", source="physics", locator="ratio of like things")
def measured_draft_factor(measured_n: ArrayLike, modelled_n: ArrayLike) -> FloatArray:
    """Draft measured against draft modelled, at the speed and depth of the measurement.

    Parameters
    ----------
    measured_n : array_like
        Draft that a force gauge in the hitch showed [N], above 0 to 1 000 000.
    modelled_n : array_like
        Draft of the model for that pass [N], above 0 to 1 000 000.

    Returns
    -------
    FloatArray
        Factor [1], in the broadcast shape of the arguments; 0.1 to 10.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range, or one draft is more than ten times the other.

    Notes
    -----
    The factor carries over to other speeds and depths only as far as the model has their effect right.

    Examples
    --------
    >>> float(measured_draft_factor(36000, 30000))
    1.2
    """
    measured = require("measured_n", measured_n, 0, 1e6, "N", above=True)
    modelled = require("modelled_n", modelled_n, 0, 1e6, "N", above=True)
    return require("measured_n / modelled_n", measured / modelled, 0.1, 10)


@equation("error_l / area_ha", unit="L/ha", source="physics", locator="volume per area")
def fuel_error_of_refill(error_l: ArrayLike, area_ha: ArrayLike) -> FloatArray:
    """Error that refilling the tank leaves in a fuel use per area.

    Parameters
    ----------
    error_l : array_like
        Error of filling to the same mark [L], 0 to 1000.
    area_ha : array_like
        Area worked between the fillings [ha], above 0 to 10000.

    Returns
    -------
    FloatArray
        Error [L/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(round(fuel_error_of_refill(0.5, 0.25), 2))
    2.0
    """
    error = require("error_l", error_l, 0, 1000, "L")
    return error / require("area_ha", area_ha, 0, 10_000, "ha", above=True)


@equation("error_l / (fuel_l_ha * wanted_share)", unit="ha", source="physics", locator="volume per volume per area")
def area_for_refill(error_l: ArrayLike, fuel_l_ha: ArrayLike, wanted_share: ArrayLike) -> FloatArray:
    """Area to work between two fillings for a fuel use known well enough.

    Parameters
    ----------
    error_l : array_like
        Error of filling to the same mark [L], 0 to 1000.
    fuel_l_ha : array_like
        Fuel use expected [L/ha], above 0 to 500.
    wanted_share : array_like
        Error that is good enough, of the fuel use [1], above 0 to 1.

    Returns
    -------
    FloatArray
        Least area [ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    For level hard standing.  On a slope the mark itself moves, which a larger area evens out but does not cure.

    Examples
    --------
    >>> float(round(area_for_refill(0.5, 20, 0.05), 2))
    0.5
    """
    error = require("error_l", error_l, 0, 1000, "L")
    fuel = require("fuel_l_ha", fuel_l_ha, 0, 500, "L/ha", above=True)
    return error / (fuel * require("wanted_share", wanted_share, 0, 1, above=True))


@equation("measured * taken + modelled * (1 - taken)", unit="", source="physics", locator="one of two")
def measured_or_modelled(measured: ArrayLike, modelled: ArrayLike, taken: ArrayLike) -> FloatArray:
    """Take the measured figure where there is one, else the modelled one.

    Parameters
    ----------
    measured : array_like
        Measured figure, in any unit [1]; any number, also where it is not taken.
    modelled : array_like
        Modelled figure, in the same unit [1]; any number.
    taken : array_like
        1 where the measured figure is taken, else 0 [1], 0 to 1.

    Returns
    -------
    FloatArray
        Figure [], in the unit of `measured` and the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        For values that are not numbers, or outside these ranges.

    Examples
    --------
    >>> measured_or_modelled(21.0, [24.0, 25.0], [1.0, 0.0]).tolist()
    [21.0, 25.0]
    """
    largest = float(np.finfo(np.float64).max)
    found = require("measured", measured, -largest, largest)
    model = require("modelled", modelled, -largest, largest)
    chosen = require("taken", taken, 0, 1)
    return found * chosen + model * (1 - chosen)
