"""How fast ammoniacal nitrogen moves out of the band.

Diffusion of ammonium in water and of ammonia in air, the crooked path through the pores, and what the soil holds back.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = [
    "ammonia_in_air",
    "ammonium_in_water",
    "apparent_diffusion",
    "path_impedance",
    "path_millington_quirk_1960",
    "path_millington_quirk_1961",
    "spread_of_days",
    "water_viscosity",
]

_K = reference.constants("band_spread")
_T = "((temperature_degc + kelvin_at_zero) / visc_scale_k)"


@equation(
    f"(visc_a1 * {_T} ** visc_b1 + visc_a2 * {_T} ** visc_b2 + visc_a3 * {_T} ** visc_b3 "
    f"+ visc_a4 * {_T} ** visc_b4) / 1000",
    unit="mPa s",
    source="patek_2009",
    constants=(_K,),
)
def water_viscosity(temperature_degc: ArrayLike) -> FloatArray:
    """Work out how thick water is at a temperature.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature of the water in the soil [degC], -5 to 60.

    Returns
    -------
    ndarray
        Dynamic viscosity [mPa s], shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the temperature lies outside its range.

    Notes
    -----
    Four powers of T/300 K after Pátek and others (2009), from memory; within 0.001 mPa s of handbook figures from 5
    to 25 degC.

    Examples
    --------
    >>> round(float(water_viscosity(20)), 3)
    1.002
    """
    t = _kelvin(temperature_degc) / _K.visc_scale_k
    micro = (
        _K.visc_a1 * t**_K.visc_b1
        + _K.visc_a2 * t**_K.visc_b2
        + _K.visc_a3 * t**_K.visc_b3
        + _K.visc_a4 * t**_K.visc_b4
    )
    return np.asarray(micro / 1000)


@equation(
    "864000000 * d0_ammonium_m2_s * (temperature_degc + kelvin_at_zero) / (d0_reference_degc + kelvin_at_zero) "
    "* viscosity_reference_mpa_s / viscosity_mpa_s",
    unit="cm2/day",
    source="ammonium_diffusion_handbook",
    locator="Stokes-Einstein",
    constants=(_K,),
)
def ammonium_in_water(
    temperature_degc: ArrayLike, viscosity_mpa_s: ArrayLike, viscosity_reference_mpa_s: ArrayLike
) -> FloatArray:
    """Work out how fast ammonium diffuses in free water.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature of the water [degC], -5 to 60.
    viscosity_mpa_s : array_like
        Viscosity of water at that temperature [mPa s], more than 0, to 10; see :func:`water_viscosity`.
    viscosity_reference_mpa_s : array_like
        Viscosity of water at 25 degC [mPa s], more than 0, to 10.

    Returns
    -------
    ndarray
        Diffusion coefficient [cm2/day], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    D = D25 (T / 298.15) (mu25 / mu), T in kelvin.

    Examples
    --------
    >>> round(float(ammonium_in_water(15, 1.138, 0.890)), 3)
    1.278
    """
    warmth = _kelvin(temperature_degc) / (_K.d0_reference_degc + _K.kelvin_at_zero)
    viscosity = require("viscosity_mpa_s", viscosity_mpa_s, 0, 10, "mPa s", above=True)
    reference_viscosity = require("viscosity_reference_mpa_s", viscosity_reference_mpa_s, 0, 10, "mPa s", above=True)
    return np.asarray(864_000_000 * _K.d0_ammonium_m2_s * warmth * reference_viscosity / viscosity)


@equation(
    "864000000 * d0_ammonia_gas_m2_s "
    "* ((temperature_degc + kelvin_at_zero) / (gas_reference_degc + kelvin_at_zero)) ** gas_exponent",
    unit="cm2/day",
    source="common_practice",
    constants=(_K,),
)
def ammonia_in_air(temperature_degc: ArrayLike) -> FloatArray:
    """Work out how fast ammonia diffuses in free air.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature of the air in the soil [degC], -5 to 60.

    Returns
    -------
    ndarray
        Diffusion coefficient [cm2/day], shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the temperature lies outside its range.

    Notes
    -----
    About 2.2e-5 m2/s at 20 to 25 degC, rising with the 1.75th power of the absolute temperature; from memory.

    Examples
    --------
    >>> round(float(ammonia_in_air(15)))
    18172
    """
    warmth = _kelvin(temperature_degc) / (_K.gas_reference_degc + _K.kelvin_at_zero)
    return np.asarray(864_000_000 * _K.d0_ammonia_gas_m2_s * warmth**_K.gas_exponent)


@equation(
    "filled_share ** mq61_exponent / total_porosity_share ** mq61_pores",
    unit="1",
    source="millington_quirk_1961",
    constants=(_K,),
)
def path_millington_quirk_1961(filled_share: ArrayLike, total_porosity_share: ArrayLike) -> FloatArray:
    """Work out diffusion through the pores against that in the free fluid, after Millington and Quirk (1961).

    Parameters
    ----------
    filled_share : array_like
        Volume of the fluid per volume of soil [1], 0 to 1: water for ammonium, air for ammonia.
    total_porosity_share : array_like
        Pores per volume of soil [1], more than 0, to 1.

    Returns
    -------
    ndarray
        Diffusion in soil over diffusion in the fluid [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or there is more fluid than pores.

    Notes
    -----
    theta^(10/3) / phi^2.  Found poor in clay soils (Olesen, Moldrup and Gamst 1999, abstract): there prefer
    :func:`path_impedance`.

    Examples
    --------
    >>> round(float(path_millington_quirk_1961(0.25, 0.48)), 5)
    0.04272
    """
    filled, pores = _fluid(filled_share, total_porosity_share)
    return np.asarray(filled**_K.mq61_exponent / pores**_K.mq61_pores)


@equation(
    "filled_share ** mq60_exponent / total_porosity_share ** mq60_pores",
    unit="1",
    source="millington_quirk_1960",
    constants=(_K,),
)
def path_millington_quirk_1960(filled_share: ArrayLike, total_porosity_share: ArrayLike) -> FloatArray:
    """Work out diffusion through the pores against that in the free fluid, after Millington and Quirk (1960).

    Parameters
    ----------
    filled_share : array_like
        Volume of the fluid per volume of soil [1], 0 to 1.
    total_porosity_share : array_like
        Pores per volume of soil [1], more than 0, to 1.

    Returns
    -------
    ndarray
        Diffusion in soil over diffusion in the fluid [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or there is more fluid than pores.

    Notes
    -----
    theta^2 / phi^(2/3).

    Examples
    --------
    >>> round(float(path_millington_quirk_1960(0.25, 0.48)), 5)
    0.10195
    """
    filled, pores = _fluid(filled_share, total_porosity_share)
    return np.asarray(filled**_K.mq60_exponent / pores**_K.mq60_pores)


@equation(
    "impedance_slope * moisture_share * (moisture_share - impedance_moisture * retention_exponent)",
    unit="1",
    source="olesen_1996",
    constants=(_K,),
)
def path_impedance(moisture_share: ArrayLike, retention_exponent: ArrayLike) -> FloatArray:
    """Work out diffusion of a solute in soil against that in water, by texture.

    Parameters
    ----------
    moisture_share : array_like
        Water per volume of soil [1], 0 to 1; at least 0.022 times the exponent.
    retention_exponent : array_like
        Exponent b of the retention curve [1], 0 to 20: about 3 in sand, 5 in loam, 8 in clay loam.

    Returns
    -------
    ndarray
        Diffusion in soil over diffusion in water [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the soil is so dry that no path through water is left.

    Notes
    -----
    1.1 theta (theta - 0.022 b); from memory.

    Examples
    --------
    >>> round(float(path_impedance(0.25, 5)), 5)
    0.0385
    """
    exponent = require("retention_exponent", retention_exponent, 0, 20)
    dry = _K.impedance_moisture * exponent
    moisture = require("moisture_share", moisture_share, 0, 1)
    if (moisture < dry).any():
        raise ImpossibleValue("moisture_share", f"{np.min(moisture):.6g}", float(np.max(dry)), 1, "")
    return np.asarray(_K.impedance_slope * moisture * (moisture - dry))


@equation(
    "(water_cm2_day * water_path_share + air_cm2_day * air_path_share * free_share / ratio_water_air) "
    "/ (moisture_share + air_share * free_share / ratio_water_air + bulk_density_t_m3 * kd_l_kg)",
    unit="cm2/day",
    source="physics",
    locator="mass balance with linear sorption",
)
def apparent_diffusion(
    water_cm2_day: ArrayLike,
    water_path_share: ArrayLike,
    air_cm2_day: ArrayLike,
    air_path_share: ArrayLike,
    free_share: ArrayLike,
    ratio_water_air: ArrayLike,
    moisture_share: ArrayLike,
    air_share: ArrayLike,
    bulk_density_t_m3: ArrayLike,
    kd_l_kg: ArrayLike,
) -> FloatArray:
    """Work out how fast all ammoniacal nitrogen together spreads in soil.

    Parameters
    ----------
    water_cm2_day : array_like
        Diffusion in free water [cm2/day], 0 to 100.
    water_path_share : array_like
        Diffusion through the wet pores over that in water [1], 0 to 1.
    air_cm2_day : array_like
        Diffusion of ammonia in free air [cm2/day], 0 to 1e5; 0 leaves the air out.
    air_path_share : array_like
        Diffusion through the pores with air over that in air [1], 0 to 1.
    free_share : array_like
        Free ammonia, share of the ammoniacal nitrogen in solution [1], 0 to 1.
    ratio_water_air : array_like
        Ammonia in water over ammonia in air [1], above 0.
    moisture_share, air_share : array_like
        Water and air per volume of soil [1], 0 to 1; water more than 0.
    bulk_density_t_m3 : array_like
        Dry mass per volume of soil [t/m3], 0 to 3.
    kd_l_kg : array_like
        Held by the soil per concentration in water [L/kg], 0 to 1000; 0 for nitrate.

    Returns
    -------
    ndarray
        Apparent diffusion coefficient [cm2/day], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    What moves in water and air, over what is dissolved, in air and held.  Linear sorption: the held share does not
    fall as the band grows more concentrated, which in fact it does.

    Examples
    --------
    >>> round(float(apparent_diffusion(1.2787, 0.04272, 0, 0, 0.01, 2000, 0.25, 0.23, 1.38, 2)), 4)
    0.0181
    """
    in_air = require("free_share", free_share, 0, 1) / require(
        "ratio_water_air", ratio_water_air, 0, np.inf, above=True
    )
    water = require("water_cm2_day", water_cm2_day, 0, 100, "cm2/day") * require(
        "water_path_share", water_path_share, 0, 1
    )
    air = require("air_cm2_day", air_cm2_day, 0, 1e5, "cm2/day") * require("air_path_share", air_path_share, 0, 1)
    moisture = require("moisture_share", moisture_share, 0, 1, above=True)
    pores_with_air = require("air_share", air_share, 0, 1)
    bulk = require("bulk_density_t_m3", bulk_density_t_m3, 0, 3, "t/m3")
    held = bulk * require("kd_l_kg", kd_l_kg, 0, 1000, "L/kg")
    return np.asarray((water + air * in_air) / (moisture + pores_with_air * in_air + held))


@equation(
    "the apparent diffusion times the length of each step, summed up to it", unit="cm2", source="physics", in_words=True
)
def spread_of_days(step_days: ArrayLike, ammonium_cm2_day: ArrayLike) -> FloatArray:
    """Add up the spread over steps of time in which the diffusion changes.

    Parameters
    ----------
    step_days : array_like
        Length of each step, along the last axis [d], 0 to 1000.
    ammonium_cm2_day : array_like
        Apparent diffusion in each step [cm2/day], 0 to 1e4.

    Returns
    -------
    ndarray
        Spread at the end of each step [cm2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> spread_of_days([7, 7], [0.01, 0.02]).round(2).tolist()
    [0.07, 0.21]
    """
    step = require("step_days", step_days, 0, 1000, "d")
    return np.asarray(np.cumsum(step * require("ammonium_cm2_day", ammonium_cm2_day, 0, 1e4, "cm2/day"), axis=-1))


def _kelvin(temperature_degc: ArrayLike) -> FloatArray:
    return require("temperature_degc", temperature_degc, -5, 60, "degC") + _K.kelvin_at_zero


def _fluid(filled_share: ArrayLike, total_porosity_share: ArrayLike) -> tuple[FloatArray, FloatArray]:
    pores = require("total_porosity_share", total_porosity_share, 0, 1, above=True)
    filled = require("filled_share", filled_share, 0, 1)
    if (filled > pores).any():
        raise ImpossibleValue("filled_share", f"{np.max(filled):.6g}", 0, float(np.min(pores)), "")
    return filled, pores
