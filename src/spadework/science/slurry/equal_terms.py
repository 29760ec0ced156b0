"""Doses of different slurries, or of one slurry placed in different ways, that give the crop equal terms.

At equal volume the dose is the same and the nitrogen is not; :func:`spadework.science.slurry.nutrients.nutrient_rate`
tells by how much.  No dose here knows what a slot can hold or what rules allow: see
:func:`spadework.science.slurry.need.dose_at_limit`, and check locally.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.science.slurry.nitrogen import available_n_mechanistic, tan_kept
from spadework.working import equation

__all__ = ["available_n_per_volume", "dose_at_terms", "dose_for_equal_available", "dose_for_equal_tan"]


@equation("dose_m3_ha * reference_tan_kg_m3 / tan_kg_m3", unit="m3/ha", source="physics")
def dose_for_equal_tan(dose_m3_ha: ArrayLike, reference_tan_kg_m3: ArrayLike, tan_kg_m3: ArrayLike) -> FloatArray:
    """Work out the dose that brings as much ammoniacal nitrogen as a dose of another slurry.

    Parameters
    ----------
    dose_m3_ha : array_like
        Dose of the slurry to match [m3/ha], 0 to 500.
    reference_tan_kg_m3 : array_like
        Ammoniacal N in that slurry [kg/m3], 0 to 100.
    tan_kg_m3 : array_like
        Ammoniacal N in the slurry to be dosed [kg/m3], above 0, up to 100.

    Returns
    -------
    ndarray
        Dose [m3/ha], broadcast shape.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Serves loads of one store too, where thick loads come late.  Equal ammoniacal N is unequal phosphate and potash.

    Examples
    --------
    >>> round(float(dose_for_equal_tan(30, 3.1, 3.6)), 2)
    25.83
    """
    brought = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha") * require(
        "reference_tan_kg_m3", reference_tan_kg_m3, 0, 100, "kg/m3"
    )
    return brought / require("tan_kg_m3", tan_kg_m3, 0, 100, "kg/m3", above=True)


@equation(
    "tan_kg_m3 * (1 - loss_share) * (1 - early_gas_share) * a_min_share + organic_n_kg_m3 * m1_share",
    unit="kg/m3",
    source="pedersen_2021",
    locator="mechanism, in words",
)
def available_n_per_volume(
    tan_kg_m3: ArrayLike,
    organic_n_kg_m3: ArrayLike,
    loss_share: ArrayLike,
    a_min_share: ArrayLike,
    m1_share: ArrayLike,
    early_gas_share: ArrayLike = 0.0,
) -> FloatArray:
    """Work out the available nitrogen that each cubic metre brings once placed.

    Parameters
    ----------
    tan_kg_m3 : array_like
        Ammoniacal N [kg/m3], 0 to 100.
    organic_n_kg_m3 : array_like
        Organic N [kg/m3], 0 to 100.
    loss_share : array_like
        NH3-N lost, share of the ammoniacal N [1], 0 to 1.
    a_min_share : array_like
        Effect of ammoniacal N kept against bought N [1], 0 to 1.
    m1_share : array_like
        Organic N turned mineral in the first season, net [1], -1 to 1.
    early_gas_share : array_like, optional
        N gone early as N2O and N2, share of the ammoniacal N kept [1], 0 to 1.

    Returns
    -------
    ndarray
        Available N [kg/m3], broadcast shape; below 0 where more is locked up than given.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    :func:`spadework.science.slurry.nitrogen.available_n_mechanistic` for one cubic metre on a hectare.  That the
    loss is a share which does not move with the dose is taken for granted; where a model of the course makes it
    move, work the loss out again at the new dose.

    Examples
    --------
    >>> round(float(available_n_per_volume(3.4, 1.13, 0.04, 1.0, 0.10)), 3)
    3.377
    """
    tan = require("tan_kg_m3", tan_kg_m3, 0, 100, "kg/m3")
    organic = require("organic_n_kg_m3", organic_n_kg_m3, 0, 100, "kg/m3")
    kept = tan_kept(tan, loss_share)
    gone = kept * require("early_gas_share", early_gas_share, 0, 1)
    return available_n_mechanistic(kept, organic, a_min_share, m1_share, gone)


@equation("available_n_kg_ha / available_n_kg_m3", unit="m3/ha", source="physics")
def dose_for_equal_available(available_n_kg_ha: ArrayLike, available_n_kg_m3: ArrayLike) -> FloatArray:
    """Work out the dose that gives the crop a wanted amount of available nitrogen.

    Parameters
    ----------
    available_n_kg_ha : array_like
        Available N wanted, such as that of the system to match [kg/ha], 0 or more.
    available_n_kg_m3 : array_like
        Available N of each cubic metre as this system places it [kg/m3], above 0, up to 100; see
        :func:`available_n_per_volume`.

    Returns
    -------
    ndarray
        Dose [m3/ha], broadcast shape.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range: a slurry that gives nothing has no such dose.

    Notes
    -----
    Available N goes with the dose in a straight line, so the dose is wanted over given.

    Examples
    --------
    >>> round(float(dose_for_equal_available(84.0, 3.377)), 2)
    24.87
    """
    wanted = require("available_n_kg_ha", available_n_kg_ha, 0, np.inf, "kg/ha")
    return wanted / require("available_n_kg_m3", available_n_kg_m3, 0, 100, "kg/m3", above=True)


@equation("dose_m3_ha * dose_factor", unit="m3/ha", source="physics", locator="definition")
def dose_at_terms(dose_m3_ha: ArrayLike, dose_factor: ArrayLike) -> FloatArray:
    """Dose of a system where the systems are compared at equal terms.

    Parameters
    ----------
    dose_m3_ha : array_like
        Dose of the plan [m3/ha], above 0 to 500.
    dose_factor : array_like
        Dose of a system against it [1], above 0 to 20.

    Returns
    -------
    FloatArray
        Dose [m3/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(dose_at_terms(30.0, 0.8))
    24.0
    """
    dose = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha", above=True)
    return dose * require("dose_factor", dose_factor, 0, 20, above=True)
