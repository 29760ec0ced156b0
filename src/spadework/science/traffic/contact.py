"""How much ground carries a wheel: contact area by tyre and load, by a rule, or by a print of the tyre.

A contact area is of one tyre.  The mean contact stress is its load over that area; under stiff parts of the tyre the
stress is higher than the mean.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, calibrated, require
from spadework.working import equation

__all__ = [
    "circle_radius",
    "contact_area_by_stress",
    "contact_area_hard_osullivan",
    "contact_area_soft_osullivan",
    "contact_stress",
    "peak_stress",
    "printed_area",
    "super_ellipse_area",
]

_K = reference.constants("tyre_contact")
MOST_KN, MOST_KPA = 500, 5000


@equation(
    "soft_size * tyre_width_m * tyre_diameter_m + soft_load_m2_kn * wheel_load_kn"
    " + soft_support * wheel_load_kn / tyre_pressure_kpa",
    unit="m2",
    source="osullivan_1999",
    locator="soft soil",
    constants=(_K,),
)
def contact_area_soft_osullivan(
    tyre_width_m: ArrayLike, tyre_diameter_m: ArrayLike, wheel_load_kn: ArrayLike, tyre_pressure_kpa: ArrayLike
) -> FloatArray:
    """Work out the contact area of a tyre on soft soil, after O'Sullivan.

    Parameters
    ----------
    tyre_width_m : array_like
        Width of the tyre [m], 0.05 to 2.
    tyre_diameter_m : array_like
        Diameter of the tyre without load [m], 0.2 to 3.
    wheel_load_kn : array_like
        Load on the wheel [kN], 0 to 500.
    tyre_pressure_kpa : array_like
        Inflation pressure above that of the air [kPa], more than 0, to 1000.

    Returns
    -------
    ndarray
        Contact area [m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    ``0.310 b d + 0.00263 L + 0.239 L / p``, recalled.  The first part stays when the load goes to nil, so a lightly
    loaded tyre gets more ground than it has: below 5 kN the result says so.  Tracks are not tyres.

    Examples
    --------
    >>> round(float(contact_area_soft_osullivan(0.75, 1.6, 60, 250)), 3)
    0.587
    """
    width, diameter, load, pressure = _tyre(tyre_width_m, tyre_diameter_m, wheel_load_kn, tyre_pressure_kpa)
    area = _K.soft_size * width * diameter + _K.soft_load_m2_kn * load + _K.soft_support * load / pressure
    return np.asarray(area)


@equation(
    "hard_size * tyre_width_m * tyre_diameter_m + hard_support * wheel_load_kn / tyre_pressure_kpa",
    unit="m2",
    source="osullivan_1999",
    locator="hard surface",
    constants=(_K,),
)
def contact_area_hard_osullivan(
    tyre_width_m: ArrayLike, tyre_diameter_m: ArrayLike, wheel_load_kn: ArrayLike, tyre_pressure_kpa: ArrayLike
) -> FloatArray:
    """Work out the contact area of a tyre on a hard surface, after O'Sullivan.

    Parameters
    ----------
    tyre_width_m : array_like
        Width of the tyre [m], 0.05 to 2.
    tyre_diameter_m : array_like
        Diameter of the tyre without load [m], 0.2 to 3.
    wheel_load_kn : array_like
        Load on the wheel [kN], 0 to 500.
    tyre_pressure_kpa : array_like
        Inflation pressure above that of the air [kPa], more than 0, to 1000.

    Returns
    -------
    ndarray
        Contact area [m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    ``0.041 b d + 0.613 L / p``, recalled.  For a road, a frozen or a very dry field.

    Examples
    --------
    >>> round(float(contact_area_hard_osullivan(0.75, 1.6, 60, 250)), 3)
    0.196
    """
    width, diameter, load, pressure = _tyre(tyre_width_m, tyre_diameter_m, wheel_load_kn, tyre_pressure_kpa)
    return np.asarray(_K.hard_size * width * diameter + _K.hard_support * load / pressure)


def _tyre(
    width: ArrayLike, diameter: ArrayLike, load: ArrayLike, pressure: ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    wide = require("tyre_width_m", width, 0.05, 2, "m")
    high = require("tyre_diameter_m", diameter, 0.2, 3, "m")
    loaded = require("wheel_load_kn", load, 0, MOST_KN, "kN")
    calibrated("contact area after O'Sullivan", "wheel_load_kn", loaded, 5, MOST_KN, "kN")
    return wide, high, loaded, require("tyre_pressure_kpa", pressure, 0, 1000, "kPa", above=True)


@equation("wheel_load_kn / contact_kpa", unit="m2", source="physics", locator="definition")
def contact_area_by_stress(wheel_load_kn: ArrayLike, contact_kpa: ArrayLike) -> FloatArray:
    """Work out the contact area that carries a load at a mean contact stress.

    Parameters
    ----------
    wheel_load_kn : array_like
        Load on the wheel [kN], 0 to 500.
    contact_kpa : array_like
        Mean contact stress [kPa], more than 0, to 5000.

    Returns
    -------
    ndarray
        Contact area [m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Take the tyre pressure for the stress where the tyre runs at the pressure that its table gives for load and speed;
    a harder tyre stands on more stress than that, a stiff carcass adds to it (Arvidsson and Keller 2007).

    Examples
    --------
    >>> float(contact_area_by_stress(60, 200))
    0.3
    """
    load = require("wheel_load_kn", wheel_load_kn, 0, MOST_KN, "kN")
    return np.asarray(load / require("contact_kpa", contact_kpa, 0, MOST_KPA, "kPa", above=True))


@equation("wheel_load_kn / contact_area_m2", unit="kPa", source="physics", locator="definition")
def contact_stress(wheel_load_kn: ArrayLike, contact_area_m2: ArrayLike) -> FloatArray:
    """Work out the mean stress between tyre and ground.

    Parameters
    ----------
    wheel_load_kn : array_like
        Load on the wheel [kN], 0 to 500.
    contact_area_m2 : array_like
        Contact area of that wheel [m2], more than 0, to 10.

    Returns
    -------
    ndarray
        Mean contact stress [kPa], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(contact_stress(60, 0.587)), 1)
    102.2
    """
    load = require("wheel_load_kn", wheel_load_kn, 0, MOST_KN, "kN")
    return np.asarray(load / require("contact_area_m2", contact_area_m2, 0, 10, "m2", above=True))


@equation(
    "peak_per_pressure * tyre_pressure_kpa", unit="kPa", source="arvidsson_keller_2007", locator="abstract",
    constants=(_K,),
)  # fmt: skip
def peak_stress(tyre_pressure_kpa: ArrayLike) -> FloatArray:
    """Work out the highest stress at 10 cm depth under a tyre that runs at its recommended pressure.

    Parameters
    ----------
    tyre_pressure_kpa : array_like
        Inflation pressure [kPa], more than 0, to 1000.

    Returns
    -------
    ndarray
        Highest stress at 10 cm under the surface that the wheel stands on [kPa], shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the pressure lies outside its range.

    Notes
    -----
    39 % above the tyre pressure, the mean of trials with 11 to 33 kN at 70 to 150 kPa; outside these pressures the
    result says so.

    Examples
    --------
    >>> float(peak_stress(100))
    139.0
    """
    pressure = require("tyre_pressure_kpa", tyre_pressure_kpa, 0, 1000, "kPa", above=True)
    calibrated("peak of stress under a tyre", "tyre_pressure_kpa", pressure, 70, 150, "kPa")
    return np.asarray(_K.peak_per_pressure * pressure)


@equation(
    "the area of |x/a|^n + |y/b|^n = 1 with a and b half of length and width: 4 a b G(1 + 1/n)^2 / G(1 + 2/n)"
    " with the gamma function G",
    unit="m2",
    source="physics",
    locator="geometry",
    in_words=True,
)
def super_ellipse_area(
    contact_length_m: ArrayLike, contact_width_m: ArrayLike, outline_exponent: ArrayLike
) -> FloatArray:
    """Work out the area of a tyre print between an ellipse and a rectangle.

    Parameters
    ----------
    contact_length_m, contact_width_m : array_like
        Whole length and whole width of the print [m], 0 to 5.
    outline_exponent : array_like
        2 for an ellipse, the larger the nearer to a rectangle [1], 1 to 100.

    Returns
    -------
    ndarray
        Area [m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Such outlines fitted prints of trailer tyres to about 95 % (Marusiak et al. 2024, abstract).  The area counts the
    gaps between the lugs.

    Examples
    --------
    >>> round(float(super_ellipse_area(0.8, 0.6, 2)), 4), round(float(super_ellipse_area(0.8, 0.6, 4)), 4)
    (0.377, 0.445)
    """
    from scipy.special import gammaln

    length = require("contact_length_m", contact_length_m, 0, 5, "m")
    width = require("contact_width_m", contact_width_m, 0, 5, "m")
    n = require("outline_exponent", outline_exponent, 1, 100)
    return np.asarray(length * width * np.exp(2 * gammaln(1 + 1 / n) - gammaln(1 + 2 / n)))


@equation("squares * (square_cm / 100) ** 2", unit="m2", source="physics", locator="counting squares")
def printed_area(squares: ArrayLike, square_cm: ArrayLike) -> FloatArray:
    """Work out a contact area from the squares of a grid that the print of a tyre covers.

    Parameters
    ----------
    squares : array_like
        Squares inside the outline; one that the outline cuts counts half [1], 0 to 1e6.
    square_cm : array_like
        Side of a square [cm], more than 0, to 50.

    Returns
    -------
    ndarray
        Area [m2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Print the loaded, standing tyre with ink on board, or dust flour around it and lift it off.  Chock the wheels, set
    the brake, lift only with a jack made for the load, and keep hands and feet out from under the tyre.

    Examples
    --------
    >>> round(float(printed_area(180, 5)), 4)
    0.45
    """
    count = require("squares", squares, 0, 1e6)
    return np.asarray(count * (require("square_cm", square_cm, 0, 50, "cm", above=True) / 100) ** 2)


@equation("sqrt(contact_area_m2 / pi)", unit="m", source="physics", locator="geometry")
def circle_radius(contact_area_m2: ArrayLike) -> FloatArray:
    """Work out the radius of the circle that stands for a contact area.

    Parameters
    ----------
    contact_area_m2 : array_like
        Contact area of one wheel [m2], 0 to 10.

    Returns
    -------
    ndarray
        Radius [m], shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the area lies outside its range.

    Examples
    --------
    >>> round(float(circle_radius(0.5)), 4)
    0.3989
    """
    return np.asarray(np.sqrt(require("contact_area_m2", contact_area_m2, 0, 10, "m2") / np.pi))
