"""The tine's slot and the berm: loosened soil, how high it stands, how much slurry it holds.

Depths of the tine are under the undisturbed surface.  The berm rises over that surface and settles until the press
wheel of the planter has firmed it; what remains is the *firmed rise*.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "after_settlement",
    "berm_height",
    "firmed_rise",
    "largest_dose",
    "loosened_area",
    "overflow",
    "slot_capacity",
    "under_firmed_surface",
]


@equation(
    "tine width times depth, plus depth squared times the tangent of the spread angle",
    unit="cm2",
    source="spoor_godwin_1978",
    in_words=True,
)
def loosened_area(tine_depth_cm: ArrayLike, tine_width_cm: ArrayLike, spread_angle_deg: ArrayLike) -> FloatArray:
    """Cross-section of the soil that a tine loosens above its critical depth.

    Parameters
    ----------
    tine_depth_cm : array_like
        Depth of the tine's tip under the undisturbed surface [cm], 0 to 120.
    tine_width_cm : array_like
        Width of the foot [cm], more than 0, to 100.
    spread_angle_deg : array_like
        Angle between the side of the loosened soil and the vertical [deg], 0 to 75.

    Returns
    -------
    ndarray
        Loosened cross-section [cm2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A = b d + d2 tan(theta): a trapezium after Spoor and Godwin (1978), recalled and not re-read.  Under the critical
    depth (often five to seven times the width of the foot) soil is pushed aside instead of lifted, and the true area
    is smaller.

    Examples
    --------
    >>> round(float(loosened_area(18, 4, 45)))
    396
    """
    depth = require("tine_depth_cm", tine_depth_cm, 0, 120, "cm")
    width = require("tine_width_cm", tine_width_cm, 0, 100, "cm", above=True)
    angle = require("spread_angle_deg", spread_angle_deg, 0, 75, "deg")
    return np.asarray(width * depth + depth**2 * np.tan(np.radians(angle)))


@equation("loosened_area_cm2 * swell_share / strip_width_cm", unit="cm", source="choice")
def berm_height(loosened_area_cm2: ArrayLike, swell_share: ArrayLike, strip_width_cm: ArrayLike) -> FloatArray:
    """Mean height of the fresh berm over the undisturbed surface.

    Parameters
    ----------
    loosened_area_cm2 : array_like
        Loosened cross-section [cm2], 0 to 20 000.
    swell_share : array_like
        Growth of the loosened soil as share of its cross-section [1], 0 to 1.
    strip_width_cm : array_like
        Width over which the soil rises [cm], more than 0, to 300.

    Returns
    -------
    ndarray
        Height of the berm [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    h = A s / w; our construction.  With 396 cm2, a fifth of swelling and 25 cm it gives 3.2 cm, within the 2.5 to 5 cm
    that strips show in spring.

    Examples
    --------
    >>> round(float(berm_height(396, 0.2, 25)), 1)
    3.2
    """
    area = require("loosened_area_cm2", loosened_area_cm2, 0, 20_000, "cm2")
    swell = require("swell_share", swell_share, 0, 1)
    return np.asarray(area * swell / require("strip_width_cm", strip_width_cm, 0, 300, "cm", above=True))


@equation("berm_height_cm * (1 - settlement_share)", unit="cm", source="choice")
def firmed_rise(berm_height_cm: ArrayLike, settlement_share: ArrayLike) -> FloatArray:
    """Height of the press-wheel track over the undisturbed surface.

    Parameters
    ----------
    berm_height_cm : array_like
        Height of the fresh berm [cm], 0 to 100.
    settlement_share : array_like
        Share of that height that is gone once the press wheel has passed [1], 0 to 1.

    Returns
    -------
    ndarray
        Firmed rise [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The share is our choice; measure it.

    Examples
    --------
    >>> float(firmed_rise(3.2, 0.5))
    1.6
    """
    berm = require("berm_height_cm", berm_height_cm, 0, 100, "cm")
    return np.asarray(berm * (1 - require("settlement_share", settlement_share, 0, 1)))


@equation("depth_cm + firmed_rise_cm", unit="cm", source="physics")
def under_firmed_surface(depth_cm: ArrayLike, firmed_rise_cm: ArrayLike) -> FloatArray:
    """Turn a depth under the undisturbed surface into one under the press-wheel track.

    Parameters
    ----------
    depth_cm : array_like
        Depth under the undisturbed surface [cm], -100 to 200; less than 0 lies above it.
    firmed_rise_cm : array_like
        Height of the press-wheel track over that surface [cm], 0 to 100.

    Returns
    -------
    ndarray
        Depth under the press-wheel track [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Taken that the point itself does not sink while the berm settles.

    Examples
    --------
    >>> float(under_firmed_surface(10.8, 1.6))
    12.4
    """
    depth = require("depth_cm", depth_cm, -100, 200, "cm")
    return np.asarray(depth + require("firmed_rise_cm", firmed_rise_cm, 0, 100, "cm"))


@equation("depth_under_crest_cm - berm_height_cm * settlement_share", unit="cm", source="physics")
def after_settlement(
    depth_under_crest_cm: ArrayLike, berm_height_cm: ArrayLike, settlement_share: ArrayLike
) -> FloatArray:
    """Turn a depth under the crest of the fresh berm into one under the press-wheel track.

    Parameters
    ----------
    depth_under_crest_cm : array_like
        Depth as measured before planting, from the crest [cm], 0 to 200.
    berm_height_cm : array_like
        Height of the fresh berm [cm], 0 to 100.
    settlement_share : array_like
        Share of that height that is gone once the press wheel has passed [1], 0 to 1.

    Returns
    -------
    ndarray
        Depth under the press-wheel track [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    z' = z - s h.

    Examples
    --------
    >>> round(float(after_settlement(14, 3.2, 0.5)), 1)
    12.4
    """
    depth = require("depth_under_crest_cm", depth_under_crest_cm, 0, 200, "cm")
    berm = require("berm_height_cm", berm_height_cm, 0, 100, "cm")
    return np.asarray(depth - berm * require("settlement_share", settlement_share, 0, 1))


@equation("tine_width_cm * filled_height_cm + fillable_share * loosened_area_cm2", unit="cm2", source="choice")
def slot_capacity(
    tine_width_cm: ArrayLike, filled_height_cm: ArrayLike, loosened_area_cm2: ArrayLike, fillable_share: ArrayLike
) -> FloatArray:
    """Slurry that slot and loosened soil can hold below the depth that must stay free of it.

    Parameters
    ----------
    tine_width_cm : array_like
        Width of the open slot [cm], 0 to 100.
    filled_height_cm : array_like
        Height to which the slot may fill [cm], 0 to 120.
    loosened_area_cm2 : array_like
        Loosened cross-section below that height [cm2], 0 to 20 000.
    fillable_share : array_like
        Share of its volume that slurry fills [1], 0 to 1.

    Returns
    -------
    ndarray
        Capacity as a cross-section of liquid [cm2], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A_c = b h + f A; our construction, to be held against what runs out in the field.

    Examples
    --------
    >>> float(slot_capacity(4, 6, 100, 0.25))
    49.0
    """
    width = require("tine_width_cm", tine_width_cm, 0, 100, "cm")
    height = require("filled_height_cm", filled_height_cm, 0, 120, "cm")
    area = require("loosened_area_cm2", loosened_area_cm2, 0, 20_000, "cm2")
    return np.asarray(width * height + require("fillable_share", fillable_share, 0, 1) * area)


@equation("maximum(0, liquid_area_cm2 - slot_capacity_cm2)", unit="cm2", source="physics")
def overflow(liquid_area_cm2: ArrayLike, slot_capacity_cm2: ArrayLike) -> FloatArray:
    """Slurry that finds no room in the slot and rises towards the surface.

    Parameters
    ----------
    liquid_area_cm2 : array_like
        Cross-section of the slurry [cm2], 0 to 10 000.
    slot_capacity_cm2 : array_like
        Capacity of slot and loosened soil [cm2], 0 to 20 000.

    Returns
    -------
    ndarray
        Slurry over capacity [cm2], 0 where there is room; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The zero is part of the meaning: a slot that is not full does not run over.

    Examples
    --------
    >>> float(overflow(55, 49)), float(overflow(22.5, 49))
    (6.0, 0.0)
    """
    liquid = require("liquid_area_cm2", liquid_area_cm2, 0, 10_000, "cm2")
    over: FloatArray = np.maximum(0.0, liquid - require("slot_capacity_cm2", slot_capacity_cm2, 0, 20_000, "cm2"))
    return over


@equation("slot_capacity_cm2 / row_spacing_m", unit="m3/ha", source="physics")
def largest_dose(slot_capacity_cm2: ArrayLike, row_spacing_m: ArrayLike) -> FloatArray:
    """Largest dose that finds room in the slot.

    Parameters
    ----------
    slot_capacity_cm2 : array_like
        Capacity of slot and loosened soil [cm2], 0 to 20 000.
    row_spacing_m : array_like
        Distance between bands [m], more than 0, to 10.

    Returns
    -------
    ndarray
        Dose [m3/ha], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    D = A_c / w: a dose of 1 m3/ha on rows 1 m apart is 0.1 L/m, a cross-section of 1 cm2.

    Examples
    --------
    >>> round(float(largest_dose(30, 0.75)), 1)
    40.0
    """
    capacity = require("slot_capacity_cm2", slot_capacity_cm2, 0, 20_000, "cm2")
    return np.asarray(capacity / require("row_spacing_m", row_spacing_m, 0, 10, "m", above=True))
