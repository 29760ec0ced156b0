"""Nitrous oxide and carbon dioxide of a way of establishing the crop, per hectare.

Nitrous oxide counts as nitrogen (N2O-N) until it is turned into carbon dioxide equivalents.  The nitrogen lost as
ammonia comes from the estimate, not from a flat fraction.  Making the fuel, the machines and the bought nitrogen is
not counted here.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "break_even_ef",
    "co2e_diesel",
    "co2e_n2o",
    "co2e_per_litre",
    "co2e_trade_off",
    "n2o_direct",
    "n2o_indirect_deposition",
    "n2o_indirect_leaching",
    "placed_ef",
]

_CHEMISTRY = reference.constants("chemistry")


@equation("ef_share * placement_multiplier", unit="1", source="choice")
def placed_ef(ef_share: ArrayLike, placement_multiplier: ArrayLike) -> FloatArray:
    """Work out the direct nitrous oxide factor of slurry placed in a certain way.

    Parameters
    ----------
    ef_share : array_like
        N2O-N per N applied, slurry on the surface [1], 0 to 0.2.
    placement_multiplier : array_like
        How placement, or an inhibitor, changes it [1], 0 to 10.

    Returns
    -------
    ndarray
        N2O-N per N applied [1], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Our own construction on table ``gas_placement``.  Trials contradict each other (table
    ``n2o_measured``): keep the whole range.

    Examples
    --------
    >>> round(float(placed_ef(0.006, 1.5)), 4)
    0.009
    """
    factor = require("ef_share", ef_share, 0, 0.2)
    return factor * require("placement_multiplier", placement_multiplier, 0, 10)


@equation("n_applied_kg_ha * ef_share", unit="kg/ha", source="ipcc_2019", locator="eq. 11.1")
def n2o_direct(n_applied_kg_ha: ArrayLike, ef_share: ArrayLike) -> FloatArray:
    """Work out the nitrous oxide that the soil gives off from the nitrogen applied.

    Parameters
    ----------
    n_applied_kg_ha : array_like
        Total N applied, before any loss [kg/ha], 0 or more.
    ef_share : array_like
        N2O-N per N applied [1], 0 to 0.2.

    Returns
    -------
    ndarray
        N2O-N [kg/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Factor times nitrogen; factors in ``gas_factors``, placement through :func:`placed_ef`.  The 2019 text
    was not opened: equation number from memory.

    Examples
    --------
    >>> round(float(n2o_direct(136, 0.006)), 3)
    0.816
    """
    applied = require("n_applied_kg_ha", n_applied_kg_ha, 0, np.inf, "kg/ha")
    return applied * require("ef_share", ef_share, 0, 0.2)


@equation("nh3_n_kg_ha * ef4_share", unit="kg/ha", source="ipcc_2019", locator="eq. 11.9, with the estimated loss")
def n2o_indirect_deposition(nh3_n_kg_ha: ArrayLike, ef4_share: ArrayLike) -> FloatArray:
    """Work out the nitrous oxide from ammonia that comes down elsewhere.

    Parameters
    ----------
    nh3_n_kg_ha : array_like
        NH3-N lost [kg/ha], with NO-N where it is known, 0 or more.
    ef4_share : array_like
        N2O-N per N come down [1], 0 to 0.2.

    Returns
    -------
    ndarray
        N2O-N [kg/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    The estimated loss stands in the place of the guidelines' flat fraction of nitrogen applied.

    Examples
    --------
    >>> round(float(n2o_indirect_deposition(14.3, 0.010)), 3)
    0.143
    """
    lost = require("nh3_n_kg_ha", nh3_n_kg_ha, 0, np.inf, "kg/ha")
    return lost * require("ef4_share", ef4_share, 0, 0.2)


@equation("n_applied_kg_ha * leached_share * ef5_share", unit="kg/ha", source="ipcc_2019", locator="eq. 11.10")
def n2o_indirect_leaching(n_applied_kg_ha: ArrayLike, leached_share: ArrayLike, ef5_share: ArrayLike) -> FloatArray:
    """Work out the nitrous oxide from nitrogen that leaches.

    Parameters
    ----------
    n_applied_kg_ha : array_like
        Total N applied [kg/ha], 0 or more.
    leached_share : array_like
        N leached per N applied [1], 0 to 1; nought where it is dry.
    ef5_share : array_like
        N2O-N per N leached [1], 0 to 0.2.

    Returns
    -------
    ndarray
        N2O-N [kg/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Rows ``frac_leach`` and ``ef5`` of ``gas_factors``.

    Examples
    --------
    >>> round(float(n2o_indirect_leaching(136, 0.24, 0.011)), 3)
    0.359
    """
    applied = require("n_applied_kg_ha", n_applied_kg_ha, 0, np.inf, "kg/ha")
    leached = applied * require("leached_share", leached_share, 0, 1)
    return leached * require("ef5_share", ef5_share, 0, 0.2)


@equation(
    "n2o_n_kg_ha * n2o_per_n2o_n * gwp",
    unit="kg/ha",
    source="physics",
    locator="mass of N2O per N, times warming potential",
    constants=(_CHEMISTRY,),
)
def co2e_n2o(n2o_n_kg_ha: ArrayLike, gwp: ArrayLike) -> FloatArray:
    """Turn nitrous oxide, counted as nitrogen, into carbon dioxide equivalents.

    Parameters
    ----------
    n2o_n_kg_ha : array_like
        N2O-N [kg/ha], any sign, since differences between systems are turned too.
    gwp : array_like
        Warming of N2O against CO2 over 100 years [1], 100 to 500.

    Returns
    -------
    ndarray
        CO2e [kg/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If `gwp` lies outside its range or a value is not finite.

    Notes
    -----
    Table ``gwp`` holds the figures of the assessment reports; name the one used beside every result.

    Examples
    --------
    >>> round(float(co2e_n2o(1.0, 273)))
    429
    """
    nitrogen = require("n2o_n_kg_ha", n2o_n_kg_ha, -1e6, 1e6, "kg/ha")
    return nitrogen * _CHEMISTRY.n2o_per_n2o_n * require("gwp", gwp, 100, 500)


@equation(
    "(extra_n2o_n_kg_ha - kept_nh3_n_kg_ha * ef4_share) * n2o_per_n2o_n * gwp",
    unit="kg/ha",
    source="physics",
    locator="mass of N2O per N, times warming potential",
    constants=(_CHEMISTRY,),
)
def co2e_trade_off(
    extra_n2o_n_kg_ha: ArrayLike, kept_nh3_n_kg_ha: ArrayLike, ef4_share: ArrayLike, gwp: ArrayLike
) -> FloatArray:
    """Set the nitrous oxide that placing adds against what the ammonia kept saves, as carbon dioxide.

    Parameters
    ----------
    extra_n2o_n_kg_ha : array_like
        Direct N2O-N more than the way compared with [kg/ha], any sign.
    kept_nh3_n_kg_ha : array_like
        NH3-N lost less than there [kg/ha], any sign.
    ef4_share : array_like
        N2O-N per N come down [1], 0 to 0.2.
    gwp : array_like
        Warming of N2O against CO2 over 100 years [1], 100 to 500.

    Returns
    -------
    ndarray
        CO2e [kg/ha], above 0 where placing warms more, broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range or is not finite.

    Notes
    -----
    Greenhouse gas only: what ammonia does to air and land is not in it, so show the ammonia beside it.  The
    bought nitrogen that the ammonia kept may save is left out as well.

    Examples
    --------
    >>> round(float(co2e_trade_off(1.0, 14.3, 0.010, 273)))
    368
    """
    extra = require("extra_n2o_n_kg_ha", extra_n2o_n_kg_ha, -1e6, 1e6, "kg/ha")
    kept = require("kept_nh3_n_kg_ha", kept_nh3_n_kg_ha, -1e6, 1e6, "kg/ha")
    return co2e_n2o(extra - kept * require("ef4_share", ef4_share, 0, 0.2), gwp)


@equation("ef_share + saved_n2o_n_kg_ha / n_applied_kg_ha", unit="1", source="physics")
def break_even_ef(ef_share: ArrayLike, saved_n2o_n_kg_ha: ArrayLike, n_applied_kg_ha: ArrayLike) -> FloatArray:
    """Work out the direct factor at which placing has used up what the ammonia kept saves in nitrous oxide.

    Parameters
    ----------
    ef_share : array_like
        N2O-N per N applied of the way compared with [1], 0 to 0.2.
    saved_n2o_n_kg_ha : array_like
        N2O-N saved elsewhere by the ammonia kept [kg/ha], 0 or more; see :func:`n2o_indirect_deposition`.
    n_applied_kg_ha : array_like
        Total N applied in both [kg/ha], above 0.

    Returns
    -------
    ndarray
        N2O-N per N applied [1], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Hold it against the whole range of table ``gas_ef_range``: a point estimate says nothing here.

    Examples
    --------
    >>> round(float(break_even_ef(0.006, 0.143, 136)), 5)
    0.00705
    """
    base = require("ef_share", ef_share, 0, 0.2)
    saved = require("saved_n2o_n_kg_ha", saved_n2o_n_kg_ha, 0, np.inf, "kg/ha")
    return base + saved / require("n_applied_kg_ha", n_applied_kg_ha, 0, np.inf, "kg/ha", above=True)


@equation("co2e_kg_gj * energy_mj_kg * density_kg_l / 1000", unit="kg/L", source="physics")
def co2e_per_litre(co2e_kg_gj: ArrayLike, energy_mj_kg: ArrayLike, density_kg_l: ArrayLike) -> FloatArray:
    """Work out the carbon dioxide of a litre of diesel from its energy.

    Parameters
    ----------
    co2e_kg_gj : array_like
        CO2 or CO2e per net energy [kg/GJ], 0 to 200; the result is of the same kind.
    energy_mj_kg : array_like
        Net energy [MJ/kg], 10 to 60.
    density_kg_l : array_like
        Density [kg/L], 0.7 to 1.0.

    Returns
    -------
    ndarray
        CO2 or CO2e [kg/L], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Arithmetic of units; figures in ``diesel_co2``.

    Examples
    --------
    >>> round(float(co2e_per_litre(74.1, 43.0, 0.832)), 2)
    2.65
    """
    per_energy = require("co2e_kg_gj", co2e_kg_gj, 0, 200, "kg/GJ")
    energy = require("energy_mj_kg", energy_mj_kg, 10, 60, "MJ/kg")
    return per_energy * energy * require("density_kg_l", density_kg_l, 0.7, 1.0, "kg/L") / 1000


@equation("fuel_l_ha * co2e_kg_l", unit="kg/ha", source="physics")
def co2e_diesel(fuel_l_ha: ArrayLike, co2e_kg_l: ArrayLike) -> FloatArray:
    """Work out the carbon dioxide of the diesel burnt.

    Parameters
    ----------
    fuel_l_ha : array_like
        Diesel burnt [L/ha], 0 or more.
    co2e_kg_l : array_like
        CO2e per litre [kg/L], 0 to 5.

    Returns
    -------
    ndarray
        CO2e [kg/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Figures in ``diesel_co2``; rows that count the making of the fuel and rows that do not are not to be mixed.

    Examples
    --------
    >>> round(float(co2e_diesel(60, 2.66)), 1)
    159.6
    """
    fuel = require("fuel_l_ha", fuel_l_ha, 0, np.inf, "L/ha")
    return fuel * require("co2e_kg_l", co2e_kg_l, 0, 5, "kg/L")
