"""Where the band lies under the seed: its top and bottom, the gap, the clearance, the tine depth that gives a gap.

Depths are positive downward.  Seed, band top, band bottom and gap share one reference, the press-wheel track (the
surface after planting); tine depth and the centre over the tine are under the undisturbed surface.  A gap is vertical;
a clearance is the shortest way.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "band_bottom",
    "band_centre_over_tine",
    "band_top",
    "clearance_circle",
    "clearance_ellipse",
    "gap",
    "required_centre_depth",
    "required_tine_depth",
]

_HALVINGS = 64  # of an interval of floats: the root is then as sharp as floats allow
_ON_AXIS = 1e-12  # share of the short half axis: nearer than this is on the long axis
_TIP = 0.999999  # share of the long half axis


@equation("tine_depth_cm - half_height_cm", unit="cm", source="choice")
def band_centre_over_tine(tine_depth_cm: ArrayLike, half_height_cm: ArrayLike) -> FloatArray:
    """Depth of the band's centre, with the slurry resting on the floor of the tine's slot.

    Parameters
    ----------
    tine_depth_cm : array_like
        Depth of the tine's tip under the undisturbed surface [cm], 0 to 120.
    half_height_cm : array_like
        Half the height of the band [cm], 0 to 100.

    Returns
    -------
    ndarray
        Depth of the centre under the undisturbed surface [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    That slurry runs down to the slot's floor is our choice.  It agrees with a machine at full depth (20 to 25 cm) and
    40 m3/ha that left nutrients 10 cm under the surface (farm press): its centre comes to about 16 cm.

    Examples
    --------
    >>> round(float(band_centre_over_tine(22, 5.352)), 2)
    16.65
    """
    tine = require("tine_depth_cm", tine_depth_cm, 0, 120, "cm")
    return np.asarray(tine - require("half_height_cm", half_height_cm, 0, 100, "cm"))


@equation("centre_depth_cm - half_height_cm", unit="cm", source="physics")
def band_top(centre_depth_cm: ArrayLike, half_height_cm: ArrayLike) -> FloatArray:
    """Depth of the top of the band.

    Parameters
    ----------
    centre_depth_cm : array_like
        Depth of the centre [cm], -100 to 200.
    half_height_cm : array_like
        Half the height of the band [cm], 0 to 100.

    Returns
    -------
    ndarray
        Depth of the top [cm], from the same surface as the centre; less than 0 means slurry on the surface.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    z_top = z_c - b.

    Examples
    --------
    >>> round(float(band_top(15, 5.352)), 2)
    9.65
    """
    centre = require("centre_depth_cm", centre_depth_cm, -100, 200, "cm")
    return np.asarray(centre - require("half_height_cm", half_height_cm, 0, 100, "cm"))


@equation("centre_depth_cm + half_height_cm", unit="cm", source="physics")
def band_bottom(centre_depth_cm: ArrayLike, half_height_cm: ArrayLike) -> FloatArray:
    """Depth of the bottom of the band.

    Parameters
    ----------
    centre_depth_cm : array_like
        Depth of the centre [cm], -100 to 200.
    half_height_cm : array_like
        Half the height of the band [cm], 0 to 100.

    Returns
    -------
    ndarray
        Depth of the bottom [cm], from the same surface as the centre.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    z_bottom = z_c + b.

    Examples
    --------
    >>> round(float(band_bottom(15, 5.352)), 2)
    20.35
    """
    centre = require("centre_depth_cm", centre_depth_cm, -100, 200, "cm")
    return np.asarray(centre + require("half_height_cm", half_height_cm, 0, 100, "cm"))


@equation("band_top_cm - seed_depth_cm", unit="cm", source="physics")
def gap(band_top_cm: ArrayLike, seed_depth_cm: ArrayLike) -> FloatArray:
    """Vertical distance from the seed down to the top of the band.

    Parameters
    ----------
    band_top_cm : array_like
        Depth of the top of the band under the press-wheel track [cm], -200 to 200.
    seed_depth_cm : array_like
        Depth of the seed under the same track [cm], 0 to 30.

    Returns
    -------
    ndarray
        Gap [cm], shape of the inputs broadcast together; less than 0 means that the seed lies in the band or under it.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    g = z_top - z_seed.

    Examples
    --------
    >>> float(gap(11, 5)), float(gap(4, 5))
    (6.0, -1.0)
    """
    top = require("band_top_cm", band_top_cm, -200, 200, "cm")
    return np.asarray(top - require("seed_depth_cm", seed_depth_cm, 0, 30, "cm"))


@equation("sqrt(centre_to_seed_cm**2 + offset_cm**2) - radius_cm", unit="cm", source="physics")
def clearance_circle(centre_to_seed_cm: ArrayLike, offset_cm: ArrayLike, radius_cm: ArrayLike) -> FloatArray:
    """Shortest distance from the seed to a round band.

    Parameters
    ----------
    centre_to_seed_cm : array_like
        Vertical distance between seed and centre of the band [cm], -200 to 200.
    offset_cm : array_like
        Sideways distance between seed and centre [cm], -200 to 200.
    radius_cm : array_like
        Radius of the band [cm], 0 to 100.

    Returns
    -------
    ndarray
        Clearance [cm], shape of the inputs broadcast together; less than 0 inside the band.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    d = sqrt(h2 + x2) - r.

    Examples
    --------
    >>> round(float(clearance_circle(10, 5, 5.35)), 2)
    5.83
    """
    vertical = require("centre_to_seed_cm", centre_to_seed_cm, -200, 200, "cm")
    sideways = require("offset_cm", offset_cm, -200, 200, "cm")
    radius = require("radius_cm", radius_cm, 0, 100, "cm")
    distance: FloatArray = np.hypot(vertical, sideways) - radius
    return distance


@equation(
    "shortest distance from the seed to the edge of the ellipse, counted negative inside it",
    unit="cm",
    source="physics",
    in_words=True,
)
def clearance_ellipse(
    centre_to_seed_cm: ArrayLike, offset_cm: ArrayLike, half_width_cm: ArrayLike, half_height_cm: ArrayLike
) -> FloatArray:
    """Shortest distance from the seed to an elliptic band.

    Parameters
    ----------
    centre_to_seed_cm : array_like
        Vertical distance between seed and centre of the band [cm], -200 to 200.
    offset_cm : array_like
        Sideways distance between seed and centre [cm], -200 to 200.
    half_width_cm : array_like
        Half the width of the band [cm], more than 0, to 300.
    half_height_cm : array_like
        Half the height of the band [cm], more than 0, to 300.

    Returns
    -------
    ndarray
        Clearance [cm], shape of the inputs broadcast together; less than 0 inside the band.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range; a band without slurry has no edge.

    Notes
    -----
    With half axes e >= s and the seed at (u, v) in the first quadrant, the foot of the perpendicular is
    (e2 u/(t + e2), s2 v/(t + s2)), where t > -s2 solves (e u/(t + e2))2 + (s v/(t + s2))2 = 1.  The left side falls
    in t, so that halving an interval always finds the root.  On the long axis within (e2 - s2)/e of the centre the
    foot lies at e2 u/(e2 - s2) along it, and follows from the ellipse.

    Examples
    --------
    >>> round(float(clearance_ellipse(10, 5, 5.35, 5.35)), 2)
    5.83
    >>> round(float(clearance_ellipse(10, 0, 4, 7)), 6)
    3.0
    """
    vertical = require("centre_to_seed_cm", centre_to_seed_cm, -200, 200, "cm")
    sideways = require("offset_cm", offset_cm, -200, 200, "cm")
    wide = require("half_width_cm", half_width_cm, 0, 300, "cm", above=True)
    tall = require("half_height_cm", half_height_cm, 0, 300, "cm", above=True)
    x, z, a, b = np.broadcast_arrays(np.abs(sideways), np.abs(vertical), wide, tall)
    lying = a >= b
    long, short = np.where(lying, a, b), np.where(lying, b, a)
    along, across = np.where(lying, x, z), np.where(lying, z, x)

    stretch = (long / short) ** 2
    u, v = along / long, across / short
    on_axis = v < _ON_AXIS
    low, high = np.where(on_axis, 1.0, v), np.hypot(stretch * u, np.where(on_axis, 1.0, v))
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        outside = (stretch * u / (middle + stretch - 1)) ** 2 + (v / middle) ** 2 > 1
        low, high = np.where(outside, middle, low), np.where(outside, high, middle)
    root = (low + high) / 2
    focal = long**2 - short**2
    beyond = along * long >= focal
    on_edge = np.where(beyond, long, np.minimum(long, long**2 * along / np.where(beyond, 1.0, focal)))
    foot_along = np.where(on_axis, on_edge, stretch * along / (root + stretch - 1))
    # the foot is sharper from the edge itself, save near the tip, where the edge falls steeply
    tip = (foot_along >= _TIP * long) & ~on_axis
    edge = short * np.sqrt(1 - np.where(tip, 0.0, foot_along / long) ** 2)
    foot_across = np.where(tip, across / root, edge)
    distance = np.hypot(along - foot_along, across - foot_across)
    signed: FloatArray = np.where(u**2 + v**2 < 1, -distance, distance)
    return signed


@equation("seed_depth_cm + gap_cm + half_height_cm", unit="cm", source="physics")
def required_centre_depth(seed_depth_cm: ArrayLike, gap_cm: ArrayLike, half_height_cm: ArrayLike) -> FloatArray:
    """Depth of the band's centre that leaves the wanted gap under the seed.

    Parameters
    ----------
    seed_depth_cm : array_like
        Depth of the seed under the press-wheel track [cm], 0 to 30.
    gap_cm : array_like
        Wanted gap [cm], -30 to 60.
    half_height_cm : array_like
        Half the height of the band [cm], 0 to 100.

    Returns
    -------
    ndarray
        Depth of the centre under the press-wheel track [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    z_c = z_seed + g + b.

    Examples
    --------
    >>> round(float(required_centre_depth(5, 6, 5.35)), 2)
    16.35
    """
    seed = require("seed_depth_cm", seed_depth_cm, 0, 30, "cm")
    wanted = require("gap_cm", gap_cm, -30, 60, "cm")
    return np.asarray(seed + wanted + require("half_height_cm", half_height_cm, 0, 100, "cm"))


@equation("seed_depth_cm + gap_cm + 2 * half_height_cm - firmed_rise_cm", unit="cm", source="choice")
def required_tine_depth(
    seed_depth_cm: ArrayLike, gap_cm: ArrayLike, half_height_cm: ArrayLike, firmed_rise_cm: ArrayLike
) -> FloatArray:
    """Depth of the tine that leaves the wanted gap under the seed.

    Parameters
    ----------
    seed_depth_cm : array_like
        Depth of the seed under the press-wheel track [cm], 0 to 30.
    gap_cm : array_like
        Wanted gap [cm], -30 to 60.
    half_height_cm : array_like
        Half the height of the band [cm], 0 to 100.
    firmed_rise_cm : array_like
        Height of the press-wheel track over the undisturbed surface [cm], 0 to 100.

    Returns
    -------
    ndarray
        Tine depth under the undisturbed surface [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The slurry rests on the floor of the slot (see :func:`band_centre_over_tine`), so the tine goes down to the bottom
    of the band.  Firmed rise and half height depend on depth and dose; solve again when those change.

    Examples
    --------
    >>> round(float(required_tine_depth(5, 6, 5.35, 1.6)), 1)
    20.1
    """
    seed = require("seed_depth_cm", seed_depth_cm, 0, 30, "cm")
    wanted = require("gap_cm", gap_cm, -30, 60, "cm")
    half = require("half_height_cm", half_height_cm, 0, 100, "cm")
    return np.asarray(seed + wanted + 2 * half - require("firmed_rise_cm", firmed_rise_cm, 0, 100, "cm"))
