"""The shape of the slurry band: from dose to litres per metre of row, to the size of the wetted soil.

Lengths of the band are in centimetres, areas are those of a cut across the row.  The band is a circle, an ellipse
(height and width by `aspect`) or, under a goosefoot share, a wide layer.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = [
    "TooWet",
    "band_aspect",
    "band_half_height",
    "band_half_width",
    "band_radius",
    "band_thickness",
    "fillable_porosity",
    "filled_share",
    "liquid_area",
    "litres_per_metre",
    "total_porosity",
]


class TooWet(ImpossibleValue):
    """No pores are left for slurry: the soil is too wet, too dense, or both."""

    def __str__(self) -> str:
        return f"soil too wet or too dense for slurry: fillable pores {self.found}, must be over 0"


@equation("dose_m3_ha * row_spacing_m / 10", unit="L/m", source="physics")
def litres_per_metre(dose_m3_ha: ArrayLike, row_spacing_m: ArrayLike) -> FloatArray:
    """Slurry that one metre of row takes.

    Parameters
    ----------
    dose_m3_ha : array_like
        Dose over the whole field [m3/ha], 0 to 1000.
    row_spacing_m : array_like
        Distance between bands [m], more than 0, to 10.

    Returns
    -------
    ndarray
        Slurry per metre of band [L/m], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    q = D w 1000 / 10 000, with 1000 L in a cubic metre and 10 000 m2 in a hectare.

    Examples
    --------
    >>> float(litres_per_metre(30, 0.75))
    2.25
    """
    dose = require("dose_m3_ha", dose_m3_ha, 0, 1000, "m3/ha")
    spacing = require("row_spacing_m", row_spacing_m, 0, 10, "m", above=True)
    return np.asarray(dose * spacing / 10)


@equation("10 * litres_per_m", unit="cm2", source="physics")
def liquid_area(litres_per_m: ArrayLike) -> FloatArray:
    """Cross-section of the slurry itself, as if it lay in an open pipe.

    Parameters
    ----------
    litres_per_m : array_like
        Slurry per metre of band [L/m], 0 to 1000.

    Returns
    -------
    ndarray
        Cross-section of the liquid [cm2], shape of the input.

    Raises
    ------
    ImpossibleValue
        If the input lies outside its range.

    Notes
    -----
    One litre spread over one metre is 1000 cm3 over 100 cm.

    Examples
    --------
    >>> float(liquid_area(2.25))
    22.5
    """
    return np.asarray(10 * require("litres_per_m", litres_per_m, 0, 1000, "L/m"))


@equation("1 - bulk_density_t_m3 / particle_density_t_m3", unit="1", source="physics")
def total_porosity(bulk_density_t_m3: ArrayLike, particle_density_t_m3: ArrayLike) -> FloatArray:
    """Share of the soil volume that is pores.

    Parameters
    ----------
    bulk_density_t_m3 : array_like
        Dry mass per volume of soil [t/m3], more than 0, to 3; at most the particle density.
    particle_density_t_m3 : array_like
        Mass per volume of the grains [t/m3], more than 0, to 6.

    Returns
    -------
    ndarray
        Total porosity [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the soil would be denser than its grains.

    Notes
    -----
    phi = 1 - rho_b / rho_s; the definition of both densities.

    Examples
    --------
    >>> round(float(total_porosity(1.35, 2.65)), 4)
    0.4906
    """
    bulk = require("bulk_density_t_m3", bulk_density_t_m3, 0, 3, "t/m3", above=True)
    particle = require("particle_density_t_m3", particle_density_t_m3, 0, 6, "t/m3", above=True)
    porosity = np.asarray(1 - bulk / particle)
    if (porosity < 0).any():
        raise ImpossibleValue("bulk_density_t_m3", f"{bulk.max():.6g}", 0, float(particle.min()), "t/m3")
    return porosity


@equation("total_porosity_share * saturation_share - moisture_share", unit="1", source="choice")
def fillable_porosity(
    total_porosity_share: ArrayLike, saturation_share: ArrayLike, moisture_share: ArrayLike
) -> FloatArray:
    """Share of the soil volume that slurry can fill.

    Parameters
    ----------
    total_porosity_share : array_like
        Pores per volume of soil [1], 0 to 1.
    saturation_share : array_like
        Share of the pores that fills before the slurry spreads on [1], 0 to 1.
    moisture_share : array_like
        Water per volume of soil when the slurry goes in [1], 0 to 1.

    Returns
    -------
    ndarray
        Fillable porosity [1], shape of the inputs broadcast together; always more than 0.

    Raises
    ------
    TooWet
        If no pores are left: the soil is too wet to take slurry.
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    f = phi s - theta.  That the wetted soil fills evenly up to s is our choice; no source was found for s.

    Examples
    --------
    >>> round(float(fillable_porosity(0.49, 0.9, 0.2)), 3)
    0.241
    >>> fillable_porosity(0.40, 0.9, 0.37)
    Traceback (most recent call last):
    spadework.science.band.geometry.TooWet: soil too wet or too dense for slurry: fillable pores -0.01, must be over 0
    """
    porosity = require("total_porosity_share", total_porosity_share, 0, 1)
    saturation = require("saturation_share", saturation_share, 0, 1)
    moisture = require("moisture_share", moisture_share, 0, 1)
    fillable = np.asarray(porosity * saturation - moisture)
    if (fillable <= 0).any():
        raise TooWet("fillable_porosity", f"{fillable.min():.6g}", 0, 1, "")
    return fillable


@equation("sqrt(liquid_area_cm2 / (pi * fillable_share))", unit="cm", source="physics")
def band_radius(liquid_area_cm2: ArrayLike, fillable_share: ArrayLike) -> FloatArray:
    """Radius of the circle of soil that the slurry wets.

    Parameters
    ----------
    liquid_area_cm2 : array_like
        Cross-section of the slurry [cm2], 0 to 10 000.
    fillable_share : array_like
        Share of the soil volume that slurry fills [1], more than 0, to 1; 1 is an open cavity.

    Returns
    -------
    ndarray
        Radius of the band [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    r = sqrt(A / (pi f)): the wetted soil holds all the slurry and nothing has yet drained or dried.

    Examples
    --------
    >>> round(float(band_radius(22.5, 0.25)), 3)
    5.352
    """
    area = require("liquid_area_cm2", liquid_area_cm2, 0, 10_000, "cm2")
    fillable = require("fillable_share", fillable_share, 0, 1, above=True)
    radius: FloatArray = np.sqrt(area / (np.pi * fillable))
    return radius


@equation("where(wide > 0, (band_width_cm / (2 * radius_cm))**2, aspect)", unit="1", source="choice")
def band_aspect(radius_cm: ArrayLike, aspect: ArrayLike, band_width_cm: ArrayLike, wide: ArrayLike) -> FloatArray:
    """Width to height of the band, by the tool that lays it.

    Parameters
    ----------
    radius_cm : array_like
        Radius of the circle of the same area [cm], more than 0, to 100.
    aspect : array_like
        Width over height where a tine lays the band [1], 0.05 to 100.
    band_width_cm : array_like
        Width of the band where wings or a goosefoot share lay it [cm], more than 0, to 300.
    wide : array_like
        1 where wings or a goosefoot share lay it, else 0.

    Returns
    -------
    ndarray
        Width over height [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    k = (w / (2 r))2 makes the ellipse as wide as the share spreads it; its mean thickness is then that of
    :func:`band_thickness`, and its middle is 4/pi times as thick.  The ellipse is our choice.

    Examples
    --------
    >>> band_aspect(5, 1, 30, [0, 1]).tolist()
    [1.0, 9.0]
    """
    radius = require("radius_cm", radius_cm, 0, 100, "cm", above=True)
    ratio = require("aspect", aspect, 0.05, 100)
    width = require("band_width_cm", band_width_cm, 0, 300, "cm", above=True)
    found: FloatArray = np.where(require("wide", wide, 0, 1) > 0, (width / (2 * radius)) ** 2, ratio)
    return found


@equation("radius_cm / sqrt(aspect)", unit="cm", source="choice")
def band_half_height(radius_cm: ArrayLike, aspect: ArrayLike) -> FloatArray:
    """Half the height of an elliptic band with the area of a circle.

    Parameters
    ----------
    radius_cm : array_like
        Radius of the circle of the same area [cm], 0 to 100.
    aspect : array_like
        Width over height [1], 0.05 to 100: under 1 in the slot of a narrow tine, over 1 under a sweep.

    Returns
    -------
    ndarray
        Half height [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    b = r / sqrt(k), so that pi a b = pi r2.  The ellipse is our choice.

    Examples
    --------
    >>> round(float(band_half_height(5.352, 0.55)), 2)
    7.22
    """
    radius = require("radius_cm", radius_cm, 0, 100, "cm")
    ratio = require("aspect", aspect, 0.05, 100)
    return np.asarray(radius / np.sqrt(ratio))


@equation("radius_cm * sqrt(aspect)", unit="cm", source="choice")
def band_half_width(radius_cm: ArrayLike, aspect: ArrayLike) -> FloatArray:
    """Half the width of an elliptic band with the area of a circle.

    Parameters
    ----------
    radius_cm : array_like
        Radius of the circle of the same area [cm], 0 to 100.
    aspect : array_like
        Width over height [1], 0.05 to 100.

    Returns
    -------
    ndarray
        Half width [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    a = r sqrt(k); see :func:`band_half_height`.

    Examples
    --------
    >>> round(float(band_half_width(5.352, 0.55)), 2)
    3.97
    """
    radius = require("radius_cm", radius_cm, 0, 100, "cm")
    ratio = require("aspect", aspect, 0.05, 100)
    return np.asarray(radius * np.sqrt(ratio))


@equation("liquid_area_cm2 / (fillable_share * band_width_cm)", unit="cm", source="physics")
def band_thickness(liquid_area_cm2: ArrayLike, fillable_share: ArrayLike, band_width_cm: ArrayLike) -> FloatArray:
    """Mean thickness of a wide band, as a goosefoot share leaves it.

    Parameters
    ----------
    liquid_area_cm2 : array_like
        Cross-section of the slurry [cm2], 0 to 10 000.
    fillable_share : array_like
        Share of the soil volume that slurry fills [1], more than 0, to 1.
    band_width_cm : array_like
        Width of the band [cm], more than 0, to 300.

    Returns
    -------
    ndarray
        Mean thickness [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    h = A / (f w).

    Examples
    --------
    >>> float(band_thickness(22.5, 0.25, 30))
    3.0
    """
    area = require("liquid_area_cm2", liquid_area_cm2, 0, 10_000, "cm2")
    fillable = require("fillable_share", fillable_share, 0, 1, above=True)
    width = require("band_width_cm", band_width_cm, 0, 300, "cm", above=True)
    return np.asarray(area / (fillable * width))


@equation("liquid_area_cm2 / band_area_cm2", unit="1", source="physics")
def filled_share(liquid_area_cm2: ArrayLike, band_area_cm2: ArrayLike) -> FloatArray:
    """Slurry per volume of a band whose cross-section was measured.

    Parameters
    ----------
    liquid_area_cm2 : array_like
        Cross-section of the slurry [cm2], 0 to 10 000.
    band_area_cm2 : array_like
        Cross-section of the wetted soil as dug [cm2], more than 0, to 100 000.

    Returns
    -------
    ndarray
        Filled share [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the band were smaller than its slurry.

    Notes
    -----
    f = A / A_band; what :func:`band_radius` needs, measured.

    Examples
    --------
    >>> round(float(filled_share(22.5, 90)), 2)
    0.25
    """
    liquid = require("liquid_area_cm2", liquid_area_cm2, 0, 10_000, "cm2")
    band = require("band_area_cm2", band_area_cm2, 0, 100_000, "cm2", above=True)
    share = np.asarray(liquid / band)
    if (share > 1).any():
        raise ImpossibleValue("band_area_cm2", f"{band.min():.6g}", float(liquid.max()), 100_000, "cm2")
    return share
