"""Traction of driven wheels after Brixius (1987): what a wheel pulls, loses and makes of its power.

The equations hold for one wheel, or for a tractor whose wheels share one mobility number.  They were fitted on bias-ply
tyres; radial tyres pull somewhat better.  Slip is the share of the wheel's way that does not become way of the tractor.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "gross_traction_brixius",
    "motion_resistance_brixius",
    "net_traction",
    "tractive_efficiency",
    "wheel_number_brixius",
]

_K = reference.constants("traction_brixius")


@equation(
    "cone_index_kpa * tyre_width_m * tyre_diameter_m / load_kn"
    " * (1 + k_deflection * deflection_share) / (1 + k_width * tyre_width_m / tyre_diameter_m)",
    unit="1",
    source="brixius_1987",
    locator="mobility number Bn",
    constants=(_K,),
)
def wheel_number_brixius(
    cone_index_kpa: ArrayLike,
    tyre_width_m: ArrayLike,
    tyre_diameter_m: ArrayLike,
    load_kn: ArrayLike,
    deflection_share: ArrayLike,
) -> FloatArray:
    """Mobility number of a wheel on a soil.

    Parameters
    ----------
    cone_index_kpa : array_like
        Cone index of the soil before the wheel [kPa], above 0 to 10000.
    tyre_width_m : array_like
        Width of the unloaded tyre section [m], above 0 to 2.
    tyre_diameter_m : array_like
        Diameter of the unloaded tyre [m], above 0 to 4.
    load_kn : array_like
        Load on the wheel [kN], above 0 to 200.
    deflection_share : array_like
        Deflection of the tyre per height of its section [1], 0 to 0.5.

    Returns
    -------
    FloatArray
        Mobility number [1], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Bn = (CI b d / W) (1 + 5 delta/h) / (1 + 3 b/d), Brixius (1987).  Nothing was changed.

    Examples
    --------
    >>> float(round(wheel_number_brixius(1200, 0.6, 1.8, 30, 0.2), 1))
    43.2
    """
    cone = require("cone_index_kpa", cone_index_kpa, 0, 10_000, "kPa", above=True)
    width = require("tyre_width_m", tyre_width_m, 0, 2, "m", above=True)
    diameter = require("tyre_diameter_m", tyre_diameter_m, 0, 4, "m", above=True)
    load = require("load_kn", load_kn, 0, 200, "kN", above=True)
    deflection = require("deflection_share", deflection_share, 0, 0.5)
    stiffness = (1 + _K.k_deflection * deflection) / (1 + _K.k_width * width / diameter)
    return cone * width * diameter / load * stiffness


@equation(
    "load_kn * (1 / wheel_number + k_rolling + k_slip_resistance * slip_share / sqrt(wheel_number))",
    unit="kN",
    source="brixius_1987",
    locator="motion resistance",
    constants=(_K,),
)
def motion_resistance_brixius(load_kn: ArrayLike, wheel_number: ArrayLike, slip_share: ArrayLike) -> FloatArray:
    """Resistance of the ground to a rolling wheel.

    Parameters
    ----------
    load_kn : array_like
        Load on the wheel [kN], 0 to 200.
    wheel_number : array_like
        Mobility number [1], above 0 to 1000.
    slip_share : array_like
        Slip [1], 0 to 1; nil for an unpowered wheel.

    Returns
    -------
    FloatArray
        Motion resistance [kN], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    MR = W (1/Bn + 0.04 + 0.5 s / sqrt(Bn)), Brixius (1987).  Nothing was changed.

    Examples
    --------
    >>> float(round(motion_resistance_brixius(1, 55, 0.09), 4))
    0.0642
    """
    load = require("load_kn", load_kn, 0, 200, "kN")
    number = require("wheel_number", wheel_number, 0, 1000, above=True)
    slip = require("slip_share", slip_share, 0, 1)
    return load * (1 / number + _K.k_rolling + _K.k_slip_resistance * slip / np.sqrt(number))


@equation(
    "load_kn * (k_gross * (1 - exp(-k_wheel * wheel_number)) * (1 - exp(-k_slip * slip_share)) + k_gross_rest)",
    unit="kN",
    source="brixius_1987",
    locator="gross traction",
    constants=(_K,),
)
def gross_traction_brixius(load_kn: ArrayLike, wheel_number: ArrayLike, slip_share: ArrayLike) -> FloatArray:
    """Thrust of a driven wheel before its own motion resistance is taken off.

    Parameters
    ----------
    load_kn : array_like
        Load on the wheel [kN], 0 to 200.
    wheel_number : array_like
        Mobility number [1], above 0 to 1000.
    slip_share : array_like
        Slip [1], 0 to 1.

    Returns
    -------
    FloatArray
        Gross traction [kN], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    GT = W (0.88 (1 - e^(-0.1 Bn)) (1 - e^(-7.5 s)) + 0.04), Brixius (1987).  Nothing was changed.

    Examples
    --------
    >>> float(round(gross_traction_brixius(1, 55, 0.09), 4))
    0.4702
    """
    load = require("load_kn", load_kn, 0, 200, "kN")
    number = require("wheel_number", wheel_number, 0, 1000, above=True)
    slip = require("slip_share", slip_share, 0, 1)
    thrust: FloatArray = _K.k_gross * (1 - np.exp(-_K.k_wheel * number)) * (1 - np.exp(-_K.k_slip * slip))
    return load * (thrust + _K.k_gross_rest)


@equation("gross_traction_kn - motion_resistance_kn", unit="kN", source="brixius_1987", locator="net traction")
def net_traction(gross_traction_kn: ArrayLike, motion_resistance_kn: ArrayLike) -> FloatArray:
    """Pull that a driven wheel has left for the implement.

    Parameters
    ----------
    gross_traction_kn : array_like
        Gross traction [kN], 0 to 500.
    motion_resistance_kn : array_like
        Motion resistance [kN], 0 to 500.

    Returns
    -------
    FloatArray
        Net traction [kN], in the broadcast shape of the arguments; negative where the wheel cannot move itself.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    NT = GT - MR.

    Examples
    --------
    >>> float(round(net_traction(14.1, 1.9), 1))
    12.2
    """
    gross = require("gross_traction_kn", gross_traction_kn, 0, 500, "kN")
    return gross - require("motion_resistance_kn", motion_resistance_kn, 0, 500, "kN")


@equation(
    "(1 - slip_share) * net_traction_kn / gross_traction_kn",
    unit="1",
    source="brixius_1987",
    locator="tractive efficiency",
)
def tractive_efficiency(net_traction_kn: ArrayLike, gross_traction_kn: ArrayLike, slip_share: ArrayLike) -> FloatArray:
    """Share of the axle's power that becomes drawbar power.

    Parameters
    ----------
    net_traction_kn : array_like
        Net traction [kN], -500 to 500.
    gross_traction_kn : array_like
        Gross traction [kN], above 0 to 500.
    slip_share : array_like
        Slip [1], 0 to 1.

    Returns
    -------
    FloatArray
        Tractive efficiency [1], in the broadcast shape of the arguments; negative where the net traction is.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    TE = (1 - s) NT / GT.

    Examples
    --------
    >>> float(round(tractive_efficiency(0.4059, 0.4702, 0.09), 3))
    0.786
    """
    net = require("net_traction_kn", net_traction_kn, -500, 500, "kN")
    gross = require("gross_traction_kn", gross_traction_kn, 0, 500, "kN", above=True)
    return (1 - require("slip_share", slip_share, 0, 1)) * net / gross
