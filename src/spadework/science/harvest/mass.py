"""Weighed harvests: mass over area, moisture and dry matter, and how sure a weighed yield is."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.reference import constants
from spadework.working import equation

__all__ = [
    "dry_matter_yield",
    "fermented_dry_matter",
    "relative_yield_se",
    "shrink",
    "strip_yield",
    "weighing_se",
    "yield_at_dry_matter",
    "yield_at_moisture",
]

_K = constants("harvest_mass")


@equation("10 * mass_kg / area_m2", unit="t/ha", source="physics")
def strip_yield(mass_kg: ArrayLike, area_m2: ArrayLike) -> FloatArray:
    """Yield of a harvested strip.

    Parameters
    ----------
    mass_kg : array_like
        Mass harvested [kg], 0 to 10 000 000.
    area_m2 : array_like
        Net area it came from [m2], more than 0, to 10 000 000.

    Returns
    -------
    ndarray
        Yield [t/ha], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    1 kg/m2 is 10 t/ha.  The mean of several strips is their whole mass over their whole area, not the mean of their yields.

    Examples
    --------
    >>> round(float(strip_yield(4_320, 900)), 3)
    48.0
    """
    mass = require("mass_kg", mass_kg, 0, 1e7, "kg")
    return np.asarray(10 * mass / require("area_m2", area_m2, 0, 1e7, "m2", above=True))


@equation("yield_t_ha * dry_matter_share", unit="t/ha", source="physics")
def dry_matter_yield(yield_t_ha: ArrayLike, dry_matter_share: ArrayLike) -> FloatArray:
    """Dry matter in a yield.

    Parameters
    ----------
    yield_t_ha : array_like
        Yield as weighed [t/ha], 0 to 1000.
    dry_matter_share : array_like
        Dry matter in it [1], 0 to 1.

    Returns
    -------
    ndarray
        Dry matter [t/ha], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The drying temperature belongs to the figure: an oven at 55 degC leaves one to two points of moisture in the sample.

    Examples
    --------
    >>> round(float(dry_matter_yield(48, 0.33)), 2)
    15.84
    """
    fresh = require("yield_t_ha", yield_t_ha, 0, 1000, "t/ha")
    return np.asarray(fresh * require("dry_matter_share", dry_matter_share, 0, 1))


@equation(
    "yield_t_ha * (1 - moisture_share) / (1 - standard_moisture_share)", unit="t/ha", source="cereals_standard_1994"
)
def yield_at_moisture(
    yield_t_ha: ArrayLike, moisture_share: ArrayLike, standard_moisture_share: ArrayLike
) -> FloatArray:
    """Grain yield stated at a standard moisture.

    Parameters
    ----------
    yield_t_ha : array_like
        Yield as weighed [t/ha], 0 to 1000.
    moisture_share : array_like
        Moisture of the grain as weighed [1], 0 to 1.
    standard_moisture_share : array_like
        Moisture that the yield is stated at [1], 0 to 0.99.

    Returns
    -------
    ndarray
        Yield [t/ha], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Dry matter is divided by (1 - standard), not multiplied by (1 + standard).  Standards differ between
    countries: 14, 15 and
    15.5 % are in use.

    Examples
    --------
    >>> round(float(yield_at_moisture(13.3333, 0.24, 0.155)), 3)
    11.992
    """
    fresh = require("yield_t_ha", yield_t_ha, 0, 1000, "t/ha")
    dry = 1 - require("moisture_share", moisture_share, 0, 1)
    return np.asarray(fresh * dry / (1 - require("standard_moisture_share", standard_moisture_share, 0, 0.99)))


@equation("yield_t_ha * dry_matter_share / standard_dry_matter_share", unit="t/ha", source="silage_harvest_advice")
def yield_at_dry_matter(
    yield_t_ha: ArrayLike, dry_matter_share: ArrayLike, standard_dry_matter_share: ArrayLike
) -> FloatArray:
    """Forage yield stated at a standard dry matter.

    Parameters
    ----------
    yield_t_ha : array_like
        Yield as weighed [t/ha], 0 to 1000.
    dry_matter_share : array_like
        Dry matter as weighed [1], 0 to 1.
    standard_dry_matter_share : array_like
        Dry matter that the yield is stated at [1], 0.01 to 1.

    Returns
    -------
    ndarray
        Yield [t/ha], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The same sum turns a price at a standard dry matter into one for the load.

    Examples
    --------
    >>> round(float(yield_at_dry_matter(48, 0.33, 0.35)), 3)
    45.257
    """
    fresh = require("yield_t_ha", yield_t_ha, 0, 1000, "t/ha")
    dry = require("dry_matter_share", dry_matter_share, 0, 1)
    return np.asarray(fresh * dry / require("standard_dry_matter_share", standard_dry_matter_share, 0.01, 1))


@equation(
    "(moisture_share - standard_moisture_share) / (1 - standard_moisture_share)",
    unit="1",
    source="grain_moisture_advice",
)
def shrink(moisture_share: ArrayLike, standard_moisture_share: ArrayLike) -> FloatArray:
    """Share of the mass that drying to a standard moisture takes away.

    Parameters
    ----------
    moisture_share : array_like
        Moisture as weighed [1], 0 to 1.
    standard_moisture_share : array_like
        Moisture that it is dried to [1], 0 to 0.99.

    Returns
    -------
    ndarray
        Share lost [1], shape of the inputs broadcast together; negative where it is drier than the standard.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Water alone; what handling loses comes on top.

    Examples
    --------
    >>> round(float(shrink(0.255, 0.155)), 5)
    0.11834
    """
    wet = require("moisture_share", moisture_share, 0, 1)
    standard = require("standard_moisture_share", standard_moisture_share, 0, 0.99)
    return np.asarray((wet - standard) / (1 - standard))


@equation(
    "volatile_base_share + volatile_slope * oven_dry_matter_share",
    unit="1",
    source="weissbach_strubelt_2008",
    constants=(_K,),
)
def fermented_dry_matter(oven_dry_matter_share: ArrayLike) -> FloatArray:
    """Dry matter of maize silage, corrected for what escapes from it in the oven.

    Parameters
    ----------
    oven_dry_matter_share : array_like
        Dry matter by oven [1], 0.1 to 0.6.

    Returns
    -------
    ndarray
        Dry matter [1], shape of the input.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A line for fermented maize, from memory.  Fresh chop from the field needs no such correction.

    Examples
    --------
    >>> round(float(fermented_dry_matter(0.33)), 4)
    0.339
    """
    oven = require("oven_dry_matter_share", oven_dry_matter_share, 0.1, 0.6)
    return np.asarray(_K.volatile_base_share + _K.volatile_slope * oven)


@equation(
    "division_kg * sqrt(rounding_variance * weighings)",
    unit="kg",
    source="physics",
    constants=(_K,),
)
def weighing_se(division_kg: ArrayLike, weighings: ArrayLike) -> FloatArray:
    """Return the standard error that the step of a scale gives a sum of weighings.

    Parameters
    ----------
    division_kg : array_like
        Smallest step that the scale shows [kg], 0 to 1000.
    weighings : array_like
        Weighings in the sum, full and empty counted each [1], 1 to 10 000.

    Returns
    -------
    ndarray
        Standard error [kg], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Rounding to a step d scatters by d / sqrt(12).  A scale that is out by the same for every strip does not
    show here, nor in
    the difference between strips; park in one place, level.

    Examples
    --------
    >>> round(float(weighing_se(10, 2)), 2)
    4.08
    """
    step = require("division_kg", division_kg, 0, 1000, "kg")
    return np.asarray(step * np.sqrt(_K.rounding_variance * require("weighings", weighings, 1, 10_000)))


@equation(
    "sqrt(mass_se_share**2 + dry_matter_se_share**2 + length_se_share**2 + width_se_share**2)",
    unit="1",
    source="physics",
)
def relative_yield_se(
    mass_se_share: ArrayLike,
    dry_matter_se_share: ArrayLike,
    length_se_share: ArrayLike,
    width_se_share: ArrayLike,
) -> FloatArray:
    """Relative standard error of a weighed dry-matter yield.

    Parameters
    ----------
    mass_se_share : array_like
        Standard error of the mass over the mass [1], 0 or more.
    dry_matter_se_share : array_like
        That of the dry matter over the dry matter [1], 0 or more.
    length_se_share : array_like
        That of the length over the length [1], 0 or more.
    width_se_share : array_like
        That of the width over the width [1], 0 or more.

    Returns
    -------
    ndarray
        Relative standard error [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Independent errors of a product add up as squares.  One point of dry matter at 33 % is 3 % of the yield, as
    much as many a
    difference between systems.

    Examples
    --------
    >>> round(float(relative_yield_se(0.001, 0.01 / 0.33, 0.5 / 150, 0.01)), 4)
    0.0321
    """
    parts = {
        "mass_se_share": mass_se_share,
        "dry_matter_se_share": dry_matter_se_share,
        "length_se_share": length_se_share,
        "width_se_share": width_se_share,
    }
    squares = [require(name, value, 0, np.inf) ** 2 for name, value in parts.items()]
    return np.asarray(np.sqrt(squares[0] + squares[1] + squares[2] + squares[3]))
