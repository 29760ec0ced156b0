"""Ammonia between ammonium, water and air: what share is free, and how much of it water holds back."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, calibrated, require
from spadework.working import equation

__all__ = [
    "free_ammonia_share",
    "gas_concentration",
    "henry_clegg_brimblecombe",
    "pka_bates_pinching",
    "pka_emerson",
    "pka_salt_shift",
    "water_air_ratio",
    "water_air_ratio_hales_drewes",
]

_K = reference.constants("ammonia_chemistry")


@equation(
    "pka_offset + pka_slope_k / (temperature_degc + zero_celsius_k)",
    unit="1",
    source="emerson_1975",
    constants=(_K,),
)
def pka_emerson(temperature_degc: ArrayLike) -> FloatArray:
    """Work out the pKa of ammonium in fresh water after Emerson and others.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature of the slurry [degC], -5 to 80; fitted from 0 to 50.

    Returns
    -------
    ndarray
        pKa [1], shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the temperature lies outside its range.

    Notes
    -----
    pKa = 0.09018 + 2729.92/T with T in kelvin (Emerson, Russo, Lund and Thurston 1975).  Another print of
    it has 2727.92, 0.0067 units lower; table ``ammonia_chemistry`` keeps both.

    Examples
    --------
    >>> round(float(pka_emerson(25)), 3)
    9.246
    """
    return _K.pka_offset + _K.pka_slope_k / _kelvin("pKa after Emerson", temperature_degc)


@equation(
    "bates_slope_k / (temperature_degc + zero_celsius_k) + bates_offset "
    "+ bates_linear_per_k * (temperature_degc + zero_celsius_k)",
    unit="1",
    source="bates_pinching_1949",
    constants=(_K,),
)
def pka_bates_pinching(temperature_degc: ArrayLike) -> FloatArray:
    """Work out the pKa of ammonium after Bates and Pinching, the rival of :func:`pka_emerson`.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature of the slurry [degC], -5 to 80; fitted from 0 to 50.

    Returns
    -------
    ndarray
        pKa [1], shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the temperature lies outside its range.

    Notes
    -----
    pKa = 2835.76/T - 0.6322 + 0.001225 T with T in kelvin.

    Examples
    --------
    >>> round(float(pka_bates_pinching(25)), 3)
    9.244
    """
    kelvin = _kelvin("pKa after Bates and Pinching", temperature_degc)
    return _K.bates_slope_k / kelvin + _K.bates_offset + _K.bates_linear_per_k * kelvin


@equation(
    "(salt_offset_kg_mol - salt_slope_kg_mol_k * temperature_degc) * ionic_strength_mol_kg",
    unit="1",
    source="khoo_1977",
    locator="abstract",
    constants=(_K,),
)
def pka_salt_shift(temperature_degc: ArrayLike, ionic_strength_mol_kg: ArrayLike) -> FloatArray:
    """Work out by how much dissolved salts raise the pKa of ammonium.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature of the slurry [degC], -5 to 80.
    ionic_strength_mol_kg : array_like
        Ionic strength [mol/kg], 0 to 2.

    Returns
    -------
    ndarray
        Rise of the pKa [1], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Khoo, Culberson and Bates (1977) found it in sea water; carrying it over to slurry is ours.  Below 0.1 in slurries.

    Examples
    --------
    >>> round(float(pka_salt_shift(15, 0.3)), 3)
    0.045
    """
    celsius = require("temperature_degc", temperature_degc, -5, 80, "degC")
    strength = require("ionic_strength_mol_kg", ionic_strength_mol_kg, 0, 2, "mol/kg")
    return (_K.salt_offset_kg_mol - _K.salt_slope_kg_mol_k * celsius) * strength


@equation("1 / (1 + 10 ** (pka - ph))", unit="1", source="physics", locator="acid-base equilibrium")
def free_ammonia_share(ph: ArrayLike, pka: ArrayLike) -> FloatArray:
    """Work out which share of the ammoniacal nitrogen is free ammonia.

    Parameters
    ----------
    ph : array_like
        pH of the slurry [1], 0 to 14.
    pka : array_like
        pKa of ammonium at the slurry's temperature [1], 5 to 15.

    Returns
    -------
    ndarray
        Free ammonia, share of ammoniacal N [1], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Law of mass action, with activities taken as concentrations.

    Examples
    --------
    >>> round(float(free_ammonia_share(7.5, 9.564)), 4)
    0.0086
    """
    return 1 / (1 + 10 ** (require("pka", pka, 5, 15) - require("ph", ph, 0, 14)))


@equation(
    "exp(henry_offset + henry_slope_k / (temperature_degc + zero_celsius_k) "
    "+ henry_linear_per_k * (temperature_degc + zero_celsius_k))",
    unit="mol/(kg atm)",
    source="clegg_brimblecombe_1989",
    locator="abstract",
    constants=(_K,),
)
def henry_clegg_brimblecombe(temperature_degc: ArrayLike) -> FloatArray:
    """Work out the solubility of ammonia in water after Clegg and Brimblecombe.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature of the water [degC], -5 to 80; fitted from 0 to 40.

    Returns
    -------
    ndarray
        Ammonia dissolved per pressure of ammonia [mol/(kg atm)], shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the temperature lies outside its range.

    Notes
    -----
    ln K = -8.09694 + 3917.507/T - 0.00314 T with T in kelvin, 273 to 313 K.

    Examples
    --------
    >>> round(float(henry_clegg_brimblecombe(15)), 1)
    98.9
    """
    celsius = require("temperature_degc", temperature_degc, -5, 80, "degC")
    calibrated(
        "solubility after Clegg and Brimblecombe",
        "temperature_degc",
        celsius,
        _K.henry_from_degc,
        _K.henry_to_degc,
        "degC",
    )
    kelvin = celsius + _K.zero_celsius_k
    return np.exp(_K.henry_offset + _K.henry_slope_k / kelvin + _K.henry_linear_per_k * kelvin)


@equation(
    "henry_mol_kg_atm * gas_constant_l_atm * (temperature_degc + zero_celsius_k)",
    unit="1",
    source="physics",
    locator="ideal gas, 1 kg of water per litre",
    constants=(_K,),
)
def water_air_ratio(henry_mol_kg_atm: ArrayLike, temperature_degc: ArrayLike) -> FloatArray:
    """Turn a solubility into the ratio of ammonia in water to ammonia in air.

    Parameters
    ----------
    henry_mol_kg_atm : array_like
        Solubility [mol/(kg atm)], above 0, up to 1e6; see :func:`henry_clegg_brimblecombe`.
    temperature_degc : array_like
        Temperature of both [degC], -5 to 80.

    Returns
    -------
    ndarray
        Concentration in water over concentration in air [1], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Takes a kilogram of water as a litre.

    Examples
    --------
    >>> round(float(water_air_ratio(98.9, 15)))
    2338
    """
    henry = require("henry_mol_kg_atm", henry_mol_kg_atm, 0, 1e6, "mol/(kg atm)", above=True)
    celsius = require("temperature_degc", temperature_degc, -5, 80, "degC")
    return henry * _K.gas_constant_l_atm * (celsius + _K.zero_celsius_k)


@equation(
    "10 ** (hales_offset + hales_slope_k / (temperature_degc + zero_celsius_k))",
    unit="1",
    source="hales_drewes_1979",
    constants=(_K,),
)
def water_air_ratio_hales_drewes(temperature_degc: ArrayLike) -> FloatArray:
    """Work out the ratio of ammonia in water to ammonia in air after Hales and Drewes.

    Parameters
    ----------
    temperature_degc : array_like
        Temperature of both [degC], -5 to 80.

    Returns
    -------
    ndarray
        Concentration in water over concentration in air [1], shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the temperature lies outside its range.

    Notes
    -----
    log10 of the ratio = -1.69 + 1477.7/T with T in kelvin.  About a quarter above Clegg and Brimblecombe
    at 25 degC; the range of its fit is not known here.

    Examples
    --------
    >>> round(float(water_air_ratio_hales_drewes(15)))
    2743
    """
    celsius = require("temperature_degc", temperature_degc, -5, 80, "degC")
    return np.asarray(10 ** (_K.hales_offset + _K.hales_slope_k / (celsius + _K.zero_celsius_k)))


@equation("tan_kg_m3 * free_share / ratio_water_air", unit="kg/m3", source="physics", locator="Henry's law")
def gas_concentration(tan_kg_m3: ArrayLike, free_share: ArrayLike, ratio_water_air: ArrayLike) -> FloatArray:
    """Work out the ammonia in air at rest just above slurry.

    Parameters
    ----------
    tan_kg_m3 : array_like
        Ammoniacal N in the slurry [kg/m3], 0 to 100.
    free_share : array_like
        Free ammonia, share of ammoniacal N [1], 0 to 1; see :func:`free_ammonia_share`.
    ratio_water_air : array_like
        Concentration in water over concentration in air [1], above 0; see :func:`water_air_ratio`.

    Returns
    -------
    ndarray
        NH3-N in the air [kg/m3], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Equilibrium, which open air never reaches; an upper bound for the driving force, and no guide to what
    is safe to breathe.

    Examples
    --------
    >>> round(float(gas_concentration(2.0, 0.00855, 2337)) * 1e6, 2)
    7.32
    """
    tan = require("tan_kg_m3", tan_kg_m3, 0, 100, "kg/m3")
    free = require("free_share", free_share, 0, 1)
    return tan * free / require("ratio_water_air", ratio_water_air, 0, np.inf, "", above=True)


def _kelvin(model: str, temperature_degc: ArrayLike) -> FloatArray:
    celsius = require("temperature_degc", temperature_degc, -5, 80, "degC")
    calibrated(model, "temperature_degc", celsius, _K.pka_from_degc, _K.pka_to_degc, "degC")
    return celsius + _K.zero_celsius_k
