"""The layer that dries: what residue holds back, what banded slurry brings, and how moist it is.

For residue two published shapes stand side by side: one falls in a straight line, the other hardly at first.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "cover_factor_convex",
    "cover_factor_linear",
    "cover_factors",
    "layer_moisture",
    "slurry_in_layer",
]

_K = reference.constants("soil_drying")
_MM_PER_M = 1000


@equation(
    "1 - cover_linear * cover_share", unit="1", source="fao56_1998", locator="chapters 10 and 11", constants=(_K,)
)
def cover_factor_linear(cover_share: ArrayLike) -> FloatArray:
    """Share of the evaporation that is left under residue, falling in a straight line.

    Parameters
    ----------
    cover_share : array_like
        Share of the ground that residue covers [1], 0 to 1.

    Returns
    -------
    ndarray
        Factor [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    5 % less for each 10 % of the ground that is covered.  It promises too much at middling cover if the
    measurements behind :func:`cover_factor_convex` hold.

    Examples
    --------
    >>> float(cover_factor_linear(0.5))
    0.75
    """
    c = require("cover_share", cover_share, 0, 1)
    return np.asarray(1 - _K.cover_linear * c)


@equation(
    "1 - cover_convex * cover_share**cover_exponent",
    unit="1",
    source="klocke_2009",
    locator="abstract",
    constants=(_K,),
)
def cover_factor_convex(cover_share: ArrayLike) -> FloatArray:
    """Share of the evaporation that is left under residue, hardly less at first.

    Parameters
    ----------
    cover_share : array_like
        Share of the ground that residue covers [1], 0 to 1.

    Returns
    -------
    ndarray
        Factor [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    With 25 to 75 % of maize residue evaporation fell little, with nearly full cover by 50 to 65 %.  The shape
    between is our reading of that.

    Examples
    --------
    >>> round(float(cover_factor_convex(0.5)), 3)
    0.856
    """
    c = require("cover_share", cover_share, 0, 1)
    return np.asarray(1 - _K.cover_convex * c**_K.cover_exponent)


_RULES = {"linear": cover_factor_linear, "convex": cover_factor_convex}


@equation(
    "the factor of the chosen rule on the rate or on the store, and 1 on the other",
    unit="1",
    source="fao56_1998",
    locator="chapters 10 and 11",
    in_words=True,
)
def cover_factors(cover_share: ArrayLike, rule: str, acts_on: str) -> FloatArray:
    """Factors of the rate and of the store of evaporation under residue.

    Parameters
    ----------
    cover_share : array_like
        Share of the ground that residue covers [1], 0 to 1.
    rule : str
        How evaporation falls with cover: `linear` (FAO-56) or `convex` (after Klocke).
    acts_on : str
        What the cover holds back: the `rate` or the `store`; one of them, never both.

    Returns
    -------
    ndarray
        Two factors, first that of the rate and then that of the store; the cover's shape follows [1].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.
    ValueError
        If the rule or what it acts on has another name.

    Notes
    -----
    FAO-56 gives the same 5 % for each 10 % twice: on the store in chapter 11, on the rate in chapter 10.  To use
    both would count the residue twice, so one of the two factors is always 1.

    Examples
    --------
    >>> cover_factors(0.5, 'linear', 'rate').tolist()
    [0.75, 1.0]
    """
    if rule not in _RULES:
        raise ValueError(f"`rule` is {rule!r}; it may be {' or '.join(_RULES)}")
    if acts_on not in ("rate", "store"):
        raise ValueError(f"`acts_on` is {acts_on!r}; it may be rate or store")
    factor = _RULES[rule](cover_share)
    one = np.ones_like(factor)
    return np.array([factor, one] if acts_on == "rate" else [one, factor])


@equation(
    "dose_m3_ha / 10 * row_spacing_m / band_width_m * layer_share",
    unit="mm",
    source="physics",
    locator="cubic metres per hectare are tenths of a millimetre",
)
def slurry_in_layer(
    dose_m3_ha: ArrayLike, row_spacing_m: ArrayLike, band_width_m: ArrayLike, layer_share: ArrayLike
) -> FloatArray:
    """Depth of water that banded slurry brings to the top layer of the strip.

    Parameters
    ----------
    dose_m3_ha : array_like
        Slurry [m3/ha], 0 to 500.
    row_spacing_m : array_like
        Distance between rows [m], more than 0, to 10.
    band_width_m : array_like
        Width over which the slurry lies, at most the row spacing [m], more than 0, to 10.
    layer_share : array_like
        Share of the slurry that lies in the layer that dries by evaporation [1], 0 to 1.

    Returns
    -------
    ndarray
        Depth of slurry on the width of the band [mm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the band is wider than the rows.

    Notes
    -----
    10 m3/ha are 1 mm over the field.  A band below the layer brings it nothing.

    Examples
    --------
    >>> round(float(slurry_in_layer(30, 0.75, 0.20, 1)), 2)
    11.25
    """
    q = require("dose_m3_ha", dose_m3_ha, 0, 500, "m3/ha")
    s = require("row_spacing_m", row_spacing_m, 0, 10, "m", above=True)
    w = require("band_width_m", band_width_m, 0, 10, "m", above=True)
    part = require("layer_share", layer_share, 0, 1)
    require("row_spacing_m - band_width_m", s - w, -1e-9, 10, "m")
    return np.asarray(q / 10 * s / w * part)


@equation(
    "field_capacity_share - depletion_mm / (1000 * layer_m)",
    unit="1",
    source="physics",
    locator="definition of field capacity",
)
def layer_moisture(field_capacity_share: ArrayLike, depletion_mm: ArrayLike, layer_m: ArrayLike) -> FloatArray:
    """Moisture of the layer by volume, from the water that it lacks.

    Parameters
    ----------
    field_capacity_share : array_like
        Moisture at field capacity, by volume [1], 0 to 1.
    depletion_mm : array_like
        Water that the layer lacks of field capacity [mm], 0 to 200.
    layer_m : array_like
        Depth of the layer that dries by evaporation [m], more than 0, to 0.5.

    Returns
    -------
    ndarray
        Share by volume [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the layer would hold less than nothing.

    Notes
    -----
    Mean of the layer; its very top is drier.

    Examples
    --------
    >>> round(float(layer_moisture(0.25, 8.0, 0.10)), 2)
    0.17
    """
    fc = require("field_capacity_share", field_capacity_share, 0, 1)
    de = require("depletion_mm", depletion_mm, 0, 200, "mm")
    z = require("layer_m", layer_m, 0, 0.5, "m", above=True)
    return require("moisture of the layer", fc - de / (_MM_PER_M * z), 0, 1)
