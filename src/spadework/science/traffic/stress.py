"""Vertical stress in soil under a round contact area, straight below it and beside it.

A point load spreads by Froehlich's rule: ``v Q cos^v / (2 pi r^2)`` with the concentration factor v, 3 for an elastic
body (Boussinesq), 4 for hard, 5 for usual and 6 for soft soil.  Depth counts downward from the surface that the wheel
stands on, in a soil that is alike at all depths: a plough pan, a rut or a frozen layer is not in it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "point_load_stress",
    "stress_beside_even",
    "stress_beside_spread",
    "stress_under_even",
    "stress_under_parabola",
    "stress_under_spread",
]

LEAST, MOST = 3, 6
DEEPEST_CM = 500
_ANGLES = 64
_LAYERS = 48


def pressed(
    contact_kpa: ArrayLike, radius_m: ArrayLike, depth_cm: ArrayLike, concentration: ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Return checked stress, radius, depth in metres and concentration factor."""
    stress = require("contact_kpa", contact_kpa, 0, 5000, "kPa")
    radius = require("radius_m", radius_m, 0, 10, "m", above=True)
    depth = require("depth_cm", depth_cm, 0, DEEPEST_CM, "cm") / 100
    return stress, radius, depth, require("concentration", concentration, LEAST, MOST)


@equation(
    "concentration * wheel_load_kn * (depth_cm / 100) ** concentration"
    " / (2 * pi * ((depth_cm / 100) ** 2 + away_m ** 2) ** (concentration / 2 + 1))",
    unit="kPa",
    source="froehlich_1934",
    locator="point load",
)
def point_load_stress(
    wheel_load_kn: ArrayLike, away_m: ArrayLike, depth_cm: ArrayLike, concentration: ArrayLike
) -> FloatArray:
    """Work out the vertical stress that a load on one point puts on a point below.

    Parameters
    ----------
    wheel_load_kn : array_like
        Load [kN], 0 to 500.
    away_m : array_like
        Level distance from the load [m], 0 to 1000.
    depth_cm : array_like
        Depth under the surface that carries the load [cm], more than 0, to 500.
    concentration : array_like
        Concentration factor [1], 3 to 6.

    Returns
    -------
    ndarray
        Vertical stress [kPa], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Good from about three times the width of the tyre on; nearer, take a contact area.

    Examples
    --------
    >>> round(float(point_load_stress(60, 0, 200, 5)), 3)
    11.937
    """
    load = require("wheel_load_kn", wheel_load_kn, 0, 500, "kN")
    away = require("away_m", away_m, 0, 1000, "m")
    depth = require("depth_cm", depth_cm, 0, DEEPEST_CM, "cm", above=True) / 100
    v = require("concentration", concentration, LEAST, MOST)
    return np.asarray(v * load * depth**v / (2 * np.pi * (depth**2 + away**2) ** (v / 2 + 1)))


@equation(
    "contact_kpa * (1 - (depth_cm / 100 / sqrt((depth_cm / 100) ** 2 + radius_m ** 2)) ** concentration)",
    unit="kPa",
    source="froehlich_1934",
    locator="circle, even pressure",
)
def stress_under_even(
    contact_kpa: ArrayLike, radius_m: ArrayLike, depth_cm: ArrayLike, concentration: ArrayLike
) -> FloatArray:
    """Work out the vertical stress straight below the middle of a circle with even pressure.

    Parameters
    ----------
    contact_kpa : array_like
        Contact stress [kPa], 0 to 5000.
    radius_m : array_like
        Radius of the circle [m], more than 0, to 10.
    depth_cm : array_like
        Depth under the surface that the wheel stands on [cm], 0 to 500.
    concentration : array_like
        Concentration factor [1], 3 to 6.

    Returns
    -------
    ndarray
        Vertical stress [kPa], shape of the inputs broadcast together; the contact stress at no depth.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Exact for Froehlich's rule: ``p (1 - c^v)`` with ``c = z / sqrt(z^2 + R^2)``.

    Examples
    --------
    >>> round(float(stress_under_even(150, 0.4, 50, 5)), 1)
    106.5
    """
    stress, radius, depth, v = pressed(contact_kpa, radius_m, depth_cm, concentration)
    return np.asarray(stress * _cap(radius, depth, v))


@equation(
    "2 * contact_kpa * (1 - (depth_cm / 100 / sqrt((depth_cm / 100) ** 2 + radius_m ** 2)) ** concentration"
    " - (depth_cm / 100 / radius_m) ** 2 * (concentration / (concentration - 2)"
    " * (1 - (depth_cm / 100 / sqrt((depth_cm / 100) ** 2 + radius_m ** 2)) ** (concentration - 2))"
    " - (1 - (depth_cm / 100 / sqrt((depth_cm / 100) ** 2 + radius_m ** 2)) ** concentration)))",
    unit="kPa",
    source="froehlich_1934",
    locator="circle, parabola; integrated by us",
)
def stress_under_parabola(
    contact_kpa: ArrayLike, radius_m: ArrayLike, depth_cm: ArrayLike, concentration: ArrayLike
) -> FloatArray:
    """Work out the vertical stress straight below a circle whose pressure falls as a parabola from middle to rim.

    Parameters
    ----------
    contact_kpa : array_like
        Mean contact stress [kPa], 0 to 5000; the middle has twice that.
    radius_m : array_like
        Radius of the circle [m], more than 0, to 10.
    depth_cm : array_like
        Depth under the surface that the wheel stands on [cm], 0 to 500.
    concentration : array_like
        Concentration factor [1], 3 to 6.

    Returns
    -------
    ndarray
        Vertical stress [kPa], shape of the inputs broadcast together; twice the mean at no depth.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    For tyres on soft soil (Soehne).  Exact; below a hundred radii the difference of near numbers costs digits.

    Examples
    --------
    >>> round(float(stress_under_parabola(150, 0.4, 50, 5)), 1)
    136.3
    """
    stress, radius, depth, v = pressed(contact_kpa, radius_m, depth_cm, concentration)
    all_of_it, less = _cap(radius, depth, v), _cap(radius, depth, v - 2)
    return np.asarray(2 * stress * (all_of_it - (depth / radius) ** 2 * (v / (v - 2) * less - all_of_it)))


@equation(
    "p0 ((1 - c^v) - I) with p0 = contact_kpa (n + 2) / n, c = z / sqrt(z^2 + R^2) and I = (v/2) (R/z)^2 / (m + 1)"
    " 2F1(v/2 + 1, m + 1; m + 2; -(R/z)^2), m = n / 2; 2F1 is the hypergeometric function",
    unit="kPa",
    source="soehne_1953",
    locator="pressure p0 (1 - (r/R)^n); integrated by us",
    in_words=True,
)
def stress_under_spread(
    contact_kpa: ArrayLike,
    radius_m: ArrayLike,
    depth_cm: ArrayLike,
    concentration: ArrayLike,
    pressure_exponent: ArrayLike,
) -> FloatArray:
    """Work out the vertical stress straight below a circle whose pressure falls to the rim by a power of the distance.

    Parameters
    ----------
    contact_kpa : array_like
        Mean contact stress [kPa], 0 to 5000.
    radius_m : array_like
        Radius of the circle [m], more than 0, to 10.
    depth_cm : array_like
        Depth under the surface that the wheel stands on [cm], 0 to 500.
    concentration : array_like
        Concentration factor [1], 3 to 6.
    pressure_exponent : array_like
        Exponent n of the spread of pressure [1], 1 to 64: 2 soft, 4 firm, 16 hard soil (Soehne, recalled).

    Returns
    -------
    ndarray
        Vertical stress [kPa], shape of the inputs broadcast together; at no depth (n + 2) / n of the mean.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Exact for any exponent; 2 gives the parabola, a large one nears even pressure.

    Examples
    --------
    >>> stress_under_spread(150, 0.4, 50, 5, [2, 4, 16]).round(1).tolist()
    [136.3, 127.2, 113.6]
    """
    from scipy.special import hyp2f1

    stress, radius, depth, v = pressed(contact_kpa, radius_m, depth_cm, concentration)
    n = require("pressure_exponent", pressure_exponent, 1, 64)
    steep = radius**2 / (radius**2 + depth**2)
    # 2F1(a, b; c; -x) = (1 + x)^-a 2F1(a, c - b; c; x / (1 + x)), so that x may be large
    series = hyp2f1(v / 2 + 1, 1.0, n / 2 + 2, np.minimum(steep, 1 - 1e-12))
    lost = v / 2 * steep * (1 - steep) ** (v / 2) / (n / 2 + 1) * series
    top = stress * (n + 2) / n
    return np.asarray(np.where(depth > 0, top * (_cap(radius, depth, v) - lost), top))


def _cap(radius: FloatArray, depth: FloatArray, v: FloatArray) -> FloatArray:
    """Share of the stress below a wide even load that comes from within `radius`: 1 - (z / sqrt(z^2 + R^2))^v."""
    with np.errstate(divide="ignore", invalid="ignore"):
        share = -np.expm1(-v / 2 * np.log1p((radius / depth) ** 2))
    return np.where(depth > 0, share, np.where(radius > 0, 1.0, 0.0))


def even_share(away: FloatArray, radius: FloatArray, depth: FloatArray, v: FloatArray) -> FloatArray:
    """Stress beside a circle with even pressure, per contact stress; all arguments already broadcast together.

    Rings about the point lie in the circle whole, in part or not at all.  The part is an arc; its mean over the rings,
    weighed by what they bring, is taken with 64 Gauss points in the angle that sets the ring between nearest and
    farthest.
    """
    nodes, weights = np.polynomial.legendre.leggauss(_ANGLES)
    angle = (nodes + 1) * np.pi / 2
    near, far = np.abs(radius - away), radius + away
    middle, half = (near + far) / 2, (far - near) / 2
    ring = middle[..., None] - half[..., None] * np.cos(angle)
    off, out = away[..., None], radius[..., None]
    with np.errstate(divide="ignore", invalid="ignore"):
        cosine = np.where(off > 0, (ring**2 + off**2 - out**2) / (2 * ring * off), 0.0)
        arc = np.arccos(np.clip(np.nan_to_num(cosine), -1, 1)) / np.pi
        z, power = depth[..., None], v[..., None]
        falls = power * ring * z**power / (ring**2 + z**2) ** (power / 2 + 1)
    part = np.sum(np.nan_to_num(falls) * arc * np.sin(angle) * weights, axis=-1) * half * np.pi / 2
    whole = np.where(away < radius, _cap(near, depth, v), 0.0)
    surface = np.where(away < radius, 1.0, np.where(away == radius, 0.5, 0.0))
    return np.where(depth > 0, whole + part, surface)


@equation(
    "the integral of v z^v p / (2 pi (d^2 + z^2)^(v/2 + 1)) over the circle, d being the level distance of each part of"
    " it from the point",
    unit="kPa",
    source="froehlich_1934",
    locator="point load, summed over a circle",
    in_words=True,
)
def stress_beside_even(
    contact_kpa: ArrayLike, radius_m: ArrayLike, away_m: ArrayLike, depth_cm: ArrayLike, concentration: ArrayLike
) -> FloatArray:
    """Work out the vertical stress beside or below a circle with even pressure.

    Parameters
    ----------
    contact_kpa : array_like
        Contact stress [kPa], 0 to 5000.
    radius_m : array_like
        Radius of the circle [m], more than 0, to 10.
    away_m : array_like
        Level distance of the point from the middle of the circle [m], 0 to 1000.
    depth_cm : array_like
        Depth under the surface that the wheel stands on [cm], 0 to 500.
    concentration : array_like
        Concentration factor [1], 3 to 6.

    Returns
    -------
    ndarray
        Vertical stress [kPa], shape of the inputs broadcast together.  At no depth the contact stress inside the circle,
        half of it on the rim, nil outside.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Worked by numbers; from a depth of a fiftieth of the radius on, the error stays below 0.00001 of the contact
    stress.

    Examples
    --------
    >>> stress_beside_even(150, 0.4, [0, 0.4, 0.8], 50, 5).round(1).tolist()
    [106.5, 53.4, 5.4]
    """
    stress, radius, depth, v = pressed(contact_kpa, radius_m, depth_cm, concentration)
    away = require("away_m", away_m, 0, 1000, "m")
    return np.asarray(stress * even_share(*np.broadcast_arrays(away, radius, depth, v)))


@equation(
    "p0 times the mean over t from 0 to 1 of the stress beside a circle of radius R t^(1/n) with even pressure 1;"
    " p0 = contact_kpa (n + 2) / n",
    unit="kPa",
    source="soehne_1953",
    locator="pressure p0 (1 - (r/R)^n), as a pile of even circles",
    in_words=True,
)
def stress_beside_spread(
    contact_kpa: ArrayLike,
    radius_m: ArrayLike,
    away_m: ArrayLike,
    depth_cm: ArrayLike,
    concentration: ArrayLike,
    pressure_exponent: ArrayLike,
) -> FloatArray:
    """Work out the vertical stress beside or below a circle whose pressure falls to the rim by a power of the distance.

    Parameters
    ----------
    contact_kpa : array_like
        Mean contact stress [kPa], 0 to 5000.
    radius_m : array_like
        Radius of the circle [m], more than 0, to 10.
    away_m : array_like
        Level distance of the point from the middle of the circle [m], 0 to 1000.
    depth_cm : array_like
        Depth under the surface that the wheel stands on [cm], 0 to 500.
    concentration : array_like
        Concentration factor [1], 3 to 6.
    pressure_exponent : array_like
        Exponent n of the spread of pressure [1], 1 to 64.

    Returns
    -------
    ndarray
        Vertical stress [kPa], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Worked by numbers with a pile of 48 even circles; from a depth of a twentieth of the radius on, the error stays
    below 0.001 of the mean contact stress.

    Examples
    --------
    >>> stress_beside_spread(150, 0.4, [0, 0.4, 0.8], 50, 5, 2).round(1).tolist()
    [136.3, 51.6, 4.4]
    """
    stress, radius, depth, v = pressed(contact_kpa, radius_m, depth_cm, concentration)
    away = require("away_m", away_m, 0, 1000, "m")
    n = require("pressure_exponent", pressure_exponent, 1, 64)
    away, radius, depth, v, n = np.broadcast_arrays(away, radius, depth, v, n)
    nodes, weights = np.polynomial.legendre.leggauss(_LAYERS)
    found = np.zeros(away.shape)
    for level, weight in zip((nodes + 1) / 2, weights / 2, strict=True):
        found += weight * even_share(away, radius * level ** (1 / n), depth, v)
    return np.asarray(stress * (n + 2) / n * found)
