"""What a dose of slurry brings: volumes, contents and nutrients per hectare."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = ["content_per_volume", "dose_volume", "nutrient_rate", "organic_n"]

_MOST_T_HA = 500.0
_MOST_KG = 100.0


@equation("dose_t_ha / density_t_m3", unit="m3/ha", source="physics")
def dose_volume(dose_t_ha: ArrayLike, density_t_m3: ArrayLike) -> FloatArray:
    """Turn a dose by mass into a dose by volume.

    Parameters
    ----------
    dose_t_ha : array_like
        Fresh slurry spread [t/ha], 0 to 500.
    density_t_m3 : array_like
        Density of the slurry [t/m3], 0.8 to 1.3.

    Returns
    -------
    ndarray
        Dose [m3/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Volume is mass over density.  Slurries lie between 1.00 and 1.05 t/m3; table ``slurry_density``.

    Examples
    --------
    >>> round(float(dose_volume(30, 1.02)), 2)
    29.41
    """
    dose = require("dose_t_ha", dose_t_ha, 0, _MOST_T_HA, "t/ha")
    return dose / require("density_t_m3", density_t_m3, 0.8, 1.3, "t/m3")


@equation("content_kg_t * density_t_m3", unit="kg/m3", source="physics")
def content_per_volume(content_kg_t: ArrayLike, density_t_m3: ArrayLike) -> FloatArray:
    """Turn a content per tonne of fresh slurry into a content per cubic metre.

    Parameters
    ----------
    content_kg_t : array_like
        Nutrient in the fresh slurry [kg/t], 0 to 100.
    density_t_m3 : array_like
        Density of the slurry [t/m3], 0.8 to 1.3.

    Returns
    -------
    ndarray
        Content [kg/m3], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    The nutrient stays the same nutrient: P is not turned into P2O5 here.

    Examples
    --------
    >>> round(float(content_per_volume(3.4, 1.02)), 3)
    3.468
    """
    content = require("content_kg_t", content_kg_t, 0, _MOST_KG, "kg/t")
    return content * require("density_t_m3", density_t_m3, 0.8, 1.3, "t/m3")


@equation("dose_m3_ha * content_kg_m3", unit="kg/ha", source="physics")
def nutrient_rate(dose_m3_ha: ArrayLike, content_kg_m3: ArrayLike) -> FloatArray:
    """Work out what a dose brings of one nutrient.

    Parameters
    ----------
    dose_m3_ha : array_like
        Slurry spread [m3/ha], 0 to 500.
    content_kg_m3 : array_like
        Nutrient in the slurry [kg/m3], 0 to 100.

    Returns
    -------
    ndarray
        Nutrient brought [kg/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Dose times content.  Guide contents stand in table ``slurry_composition``; an analysis goes before them.

    Examples
    --------
    >>> round(float(nutrient_rate(30, 3.4)), 1)
    102.0
    """
    dose = require("dose_m3_ha", dose_m3_ha, 0, _MOST_T_HA, "m3/ha")
    return dose * require("content_kg_m3", content_kg_m3, 0, _MOST_KG, "kg/m3")


@equation("total_n_kg_ha - ammoniacal_n_kg_ha", unit="kg/ha", source="physics")
def organic_n(total_n_kg_ha: ArrayLike, ammoniacal_n_kg_ha: ArrayLike) -> FloatArray:
    """Work out the organic nitrogen, which is what total N holds beside ammoniacal N.

    Parameters
    ----------
    total_n_kg_ha : array_like
        Total N brought [kg/ha], 0 or more.
    ammoniacal_n_kg_ha : array_like
        Ammoniacal N brought [kg/ha], 0 up to the total.

    Returns
    -------
    ndarray
        Organic N [kg/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value is negative, or there is more ammoniacal than total N.

    Notes
    -----
    Slurries hold next to no nitrate, so what is not ammoniacal is taken as organic (common practice, no source).

    Examples
    --------
    >>> round(float(organic_n(165, 99)), 1)
    66.0
    """
    total = require("total_n_kg_ha", total_n_kg_ha, 0, np.inf, "kg/ha")
    ammoniacal = require("ammoniacal_n_kg_ha", ammoniacal_n_kg_ha, 0, np.inf, "kg/ha")
    rest = total - ammoniacal
    if (rest < 0).any():
        worst = np.unravel_index(int(np.argmin(rest)), rest.shape)
        found = float(np.broadcast_to(ammoniacal, rest.shape)[worst])
        most = float(np.broadcast_to(total, rest.shape)[worst])
        raise ImpossibleValue("ammoniacal_n_kg_ha", f"{found:.6g}", 0, most, "kg/ha")
    return rest
