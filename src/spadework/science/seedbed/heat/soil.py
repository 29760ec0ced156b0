"""Heat in the soil: how much it holds and how well it conducts.

Three rival models of conductivity stand side by side.  Lu and others (2007) is the one to start with: it erred least on
the soils of its authors, who tried it beside Johansen's.  Campbell's simple form knows no quartz and is too low for sand.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, ImpossibleValue, calibrated, require
from spadework.working import equation

__all__ = [
    "conductivity_campbell_1985",
    "conductivity_johansen_1975",
    "conductivity_lu_2007",
    "first_day_temperature",
    "heat_capacity",
]

_K = reference.constants("heat_soil")
_PORES = "(1 - bulk_density_t_m3 / particle_t_m3)"
_FILLED = f"(moisture_share / {_PORES})"
_OTHER = "where(sand_share > quartz_scarce, other_w_m_k, other_poor_w_m_k)"
_SOLID = f"quartz_w_m_k ** sand_share * {_OTHER} ** (1 - sand_share)"


@equation(
    "mineral_heat_j_m3_k * (bulk_density_t_m3 / particle_t_m3 - organic_volume_share) "
    "+ organic_j_m3_k * organic_volume_share + water_j_m3_k * moisture_share",
    unit="J/(m3 K)",
    source="de_vries_1963",
    constants=(_K,),
)
def heat_capacity(
    bulk_density_t_m3: ArrayLike,
    moisture_share: ArrayLike,
    organic_volume_share: ArrayLike = 0.0,
    mineral_heat_j_m3_k: ArrayLike = _K.mineral_j_m3_k,
) -> FloatArray:
    """Work out how much heat a volume of soil takes up for every degree.

    Parameters
    ----------
    bulk_density_t_m3 : array_like
        Dry bulk density [t/m3], 0 to 2.
    moisture_share : array_like
        Water by volume [1], 0 to the pores.
    organic_volume_share : array_like
        Organic matter by volume of soil [1], 0 to the solids.
    mineral_heat_j_m3_k : array_like
        Heat per volume and degree of the minerals [J/(m3 K)], 1e6 to 4e6; the table `heat_parts` has quartz and clay.

    Returns
    -------
    ndarray
        Heat per volume and degree [J/(m3 K)], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or there is more water than pores or more organic matter than solids.

    Notes
    -----
    C = 1.92e6 minerals + 2.51e6 organic matter + 4.18e6 water, by volume (de Vries 1963, from memory).  Solids are
    the bulk density over 2.65 t/m3; the heat of the air is left out.

    Examples
    --------
    >>> round(float(heat_capacity(1.325, 0.25)) / 1e6, 3)
    2.005
    """
    density, moisture, _ = _wetness(bulk_density_t_m3, moisture_share)
    solid = density / _K.particle_t_m3
    organic = require("organic_volume_share", organic_volume_share, 0, 1)
    minerals = require("mineral_heat_j_m3_k", mineral_heat_j_m3_k, 1e6, 4e6, "J/(m3 K)")
    if (organic > solid * (1 + 1e-12)).any():
        raise ImpossibleValue("organic_volume_share", f"{organic.max():.6g}", 0, float(np.min(solid)), "")
    return np.asarray(minerals * (solid - organic) + _K.organic_j_m3_k * organic + _K.water_j_m3_k * moisture)


@equation(
    f"(({_SOLID}) ** (1 - {_PORES}) * lu_water_w_m_k ** {_PORES} - (lu_dry_start - lu_dry_fall * {_PORES})) "
    f"* where(sand_share > coarse_above, exp(lu_a_coarse * (1 - {_FILLED} ** (lu_a_coarse - lu_shape))), "
    f"exp(lu_a_fine * (1 - {_FILLED} ** (lu_a_fine - lu_shape)))) + lu_dry_start - lu_dry_fall * {_PORES}",
    unit="W/(m K)",
    source="lu_2007",
    constants=(_K,),
)
def conductivity_lu_2007(moisture_share: ArrayLike, bulk_density_t_m3: ArrayLike, sand_share: ArrayLike) -> FloatArray:
    """Work out how well soil conducts heat, after Lu, Ren, Gong and Horton (2007).

    Parameters
    ----------
    moisture_share : array_like
        Water by volume [1], 0 to the pores.
    bulk_density_t_m3 : array_like
        Dry bulk density [t/m3], more than 0, to 2.
    sand_share : array_like
        Sand by mass of the mineral soil [1], 0 to 1; stands for the quartz.

    Returns
    -------
    ndarray
        Conductivity [W/(m K)], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or there is more water than pores.

    Notes
    -----
    Between dry (0.51 - 0.56 n) and full of water by exp(a (1 - S^(a - 1.33))), S the filled share of the pores n; a is
    0.96 above 40 % sand and 0.27 below, where the model jumps.  Coefficients from memory; the split was read.  The
    source states errors of 0.040 to 0.079 W/(m K) on the soils it was tried on.

    Examples
    --------
    >>> round(float(conductivity_lu_2007(0.25, 1.3, 0.2)), 4)
    1.1228
    """
    density, moisture, pores = _wetness(bulk_density_t_m3, moisture_share, above=True)
    sand = require("sand_share", sand_share, 0, 1)
    dry = _K.lu_dry_start - _K.lu_dry_fall * pores
    full = _solid(sand) ** (1 - pores) * _K.lu_water_w_m_k**pores
    a = np.where(sand > _K.coarse_above, _K.lu_a_coarse, _K.lu_a_fine)
    with np.errstate(divide="ignore", over="ignore"):  # dry soil: the power is infinite and its exponential nil
        share = np.exp(a * (1 - (moisture / pores) ** (a - _K.lu_shape)))
    calibrated("conductivity_lu_2007", "bulk_density_t_m3", density, 0.7, 1.9, "t/m3")
    return np.asarray((full - dry) * share + dry)


_RISE = "where(sand_share > coarse_above, johansen_coarse_slope, johansen_fine_slope)"
_DRY = (
    "((johansen_dry_a * 1000 * bulk_density_t_m3 + johansen_dry_b) "
    "/ (johansen_dry_c - johansen_dry_d * 1000 * bulk_density_t_m3))"
)


@equation(
    f"(({_SOLID}) ** (1 - {_PORES}) * johansen_water_w_m_k ** {_PORES} - {_DRY}) "
    f"* maximum({_RISE} * log(maximum({_FILLED}, 0.000000001)) / log(10) + 1, 0) + {_DRY}",
    unit="W/(m K)",
    source="johansen_1975",
    constants=(_K,),
)
def conductivity_johansen_1975(
    moisture_share: ArrayLike, bulk_density_t_m3: ArrayLike, sand_share: ArrayLike
) -> FloatArray:
    """Work out how well soil conducts heat, after Johansen (1975).

    Parameters
    ----------
    moisture_share : array_like
        Water by volume [1], 0 to the pores.
    bulk_density_t_m3 : array_like
        Dry bulk density [t/m3], more than 0, to 2.
    sand_share : array_like
        Sand by mass of the mineral soil [1], 0 to 1; stands for the quartz.

    Returns
    -------
    ndarray
        Conductivity [W/(m K)], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or there is more water than pores.

    Notes
    -----
    Between dry and full of water by 0.7 log10 S + 1 (more than 40 % sand) or log10 S + 1, S the filled share of the
    pores; never less than dry.  Below S = 0.05 and 0.1 the model was not fitted, and a note says so.  From memory, dry
    soil second-hand; for soil that is not frozen.

    Examples
    --------
    >>> round(float(conductivity_johansen_1975(0.25, 1.3, 0.2)), 4)
    1.0468
    """
    density, moisture, pores = _wetness(bulk_density_t_m3, moisture_share, above=True)
    sand = require("sand_share", sand_share, 0, 1)
    coarse = sand > _K.coarse_above
    filled = moisture / pores
    least = np.where(coarse, _K.johansen_coarse_above, _K.johansen_fine_above)
    calibrated("conductivity_johansen_1975", "filled share over its least", filled / least, 1, np.inf)
    slope = np.where(coarse, _K.johansen_coarse_slope, _K.johansen_fine_slope)
    share = np.maximum(slope * np.log10(np.maximum(filled, 1e-9)) + 1, 0)
    dry = (_K.johansen_dry_a * 1000 * density + _K.johansen_dry_b) / (
        _K.johansen_dry_c - _K.johansen_dry_d * 1000 * density
    )
    full = _solid(sand) ** (1 - pores) * _K.johansen_water_w_m_k**pores
    return np.asarray((full - dry) * share + dry)


_A = "(campbell_a0 - campbell_a1 * bulk_density_t_m3 + campbell_a2 * bulk_density_t_m3 ** 2)"
_D = "(campbell_d0 + campbell_d2 * bulk_density_t_m3 ** 2)"


@equation(
    f"{_A} + campbell_b * bulk_density_t_m3 * moisture_share "
    f"- ({_A} - {_D}) * exp(-((1 + campbell_c / sqrt(clay_share)) * moisture_share) ** campbell_e)",
    unit="W/(m K)",
    source="campbell_soil_physics_1985",
    constants=(_K,),
)
def conductivity_campbell_1985(
    moisture_share: ArrayLike, bulk_density_t_m3: ArrayLike, clay_share: ArrayLike
) -> FloatArray:
    """Work out how well soil conducts heat, after Campbell (1985), the simple form.

    Parameters
    ----------
    moisture_share : array_like
        Water by volume [1], 0 to the pores.
    bulk_density_t_m3 : array_like
        Dry bulk density [t/m3], more than 0, to 2.
    clay_share : array_like
        Clay by mass [1], more than 0, to 1.

    Returns
    -------
    ndarray
        Conductivity [W/(m K)], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or there is more water than pores.

    Notes
    -----
    A + B w - (A - D) exp(-(C w)^4), w the water, A to D by density and clay; from memory.  The simple form does not
    know quartz and is far too low for sand.

    Examples
    --------
    >>> round(float(conductivity_campbell_1985(0.25, 1.3, 0.25)), 4)
    0.9931
    """
    density, moisture, _ = _wetness(bulk_density_t_m3, moisture_share, above=True)
    clay = require("clay_share", clay_share, 0, 1, above=True)
    a = _K.campbell_a0 - _K.campbell_a1 * density + _K.campbell_a2 * density**2
    d = _K.campbell_d0 + _K.campbell_d2 * density**2
    c = 1 + _K.campbell_c / np.sqrt(clay)
    return np.asarray(a + _K.campbell_b * density * moisture - (a - d) * np.exp(-((c * moisture) ** _K.campbell_e)))


@equation(
    "soil_degc + (slurry_degc - soil_degc) * 10 * litres_per_m * water_j_m3_k "
    "/ (10 * litres_per_m * water_j_m3_k + band_cm2 * heat_j_m3_k)",
    unit="degC",
    source="physics",
    locator="mixing of heat",
    constants=(_K,),
)
def first_day_temperature(
    soil_degc: ArrayLike,
    slurry_degc: ArrayLike,
    litres_per_m: ArrayLike,
    band_cm2: ArrayLike,
    heat_j_m3_k: ArrayLike,
) -> FloatArray:
    """Work out how warm the soil of a band is when slurry has just gone into it.

    Parameters
    ----------
    soil_degc : array_like
        Soil before [degC], -20 to 60.
    slurry_degc : array_like
        Slurry [degC], -5 to 60.
    litres_per_m : array_like
        Slurry per metre of row [L/m], 0 to 100.
    band_cm2 : array_like
        Soil that the slurry has soaked into, in a cut across the row [cm2], more than 0, to 1e4.
    heat_j_m3_k : array_like
        Heat per volume and degree of that soil before [J/(m3 K)], 1e5 to 5e6.

    Returns
    -------
    ndarray
        Temperature of soil and slurry mixed [degC], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Heat is shared out and none is lost; slurry holds as much as water.  Within about a day the band takes the
    temperature of the soil around it.

    Examples
    --------
    >>> round(float(first_day_temperature(10, 6, 2.25, 200, 2.2e6)), 2)
    9.3
    """
    soil = require("soil_degc", soil_degc, -20, 60, "degC")
    slurry = require("slurry_degc", slurry_degc, -5, 60, "degC")
    brought = 10 * require("litres_per_m", litres_per_m, 0, 100, "L/m") * _K.water_j_m3_k
    there = require("band_cm2", band_cm2, 0, 1e4, "cm2", above=True) * require(
        "heat_j_m3_k", heat_j_m3_k, 1e5, 5e6, "J/(m3 K)"
    )
    return np.asarray(soil + (slurry - soil) * brought / (brought + there))


def _solid(sand: FloatArray) -> FloatArray:
    other = np.where(sand > _K.quartz_scarce, _K.other_w_m_k, _K.other_poor_w_m_k)
    return np.asarray(_K.quartz_w_m_k**sand * other ** (1 - sand))


def _wetness(
    bulk_density_t_m3: ArrayLike, moisture_share: ArrayLike, *, above: bool = False
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return density, moisture and pores."""
    density = require("bulk_density_t_m3", bulk_density_t_m3, 0, 2, "t/m3", above=above)
    moisture = require("moisture_share", moisture_share, 0, 1)
    pores = np.asarray(1 - density / _K.particle_t_m3)
    if (moisture > pores * (1 + 1e-12)).any():
        worst = np.argmax(moisture - pores)
        most = float(np.broadcast_to(pores, np.broadcast_shapes(pores.shape, moisture.shape)).flat[worst])
        raise ImpossibleValue("moisture_share", f"{moisture.max():.6g}", 0, most, "")
    return density, moisture, pores
