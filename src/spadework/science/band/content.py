"""What the band holds right after the slurry went in: ammoniacal nitrogen and salt."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "initial_ammoniacal_n",
    "salt_mixture",
    "salt_near_band",
]


@equation("1000 * tan_kg_m3 * fillable_share / bulk_density_t_m3", unit="mg/kg", source="physics")
def initial_ammoniacal_n(tan_kg_m3: ArrayLike, fillable_share: ArrayLike, bulk_density_t_m3: ArrayLike) -> FloatArray:
    """Ammoniacal nitrogen in the wetted soil right after the slurry went in.

    Parameters
    ----------
    tan_kg_m3 : array_like
        Total ammoniacal nitrogen of the slurry [kg/m3], 0 to 20.
    fillable_share : array_like
        Share of the soil volume that slurry fills [1], more than 0, to 1.
    bulk_density_t_m3 : array_like
        Dry mass per volume of soil [t/m3], more than 0, to 3.

    Returns
    -------
    ndarray
        Nitrogen per dry mass of soil [mg/kg], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    c = 1000 N f / rho_b, without what the soil held before.

    Examples
    --------
    >>> round(float(initial_ammoniacal_n(2, 0.25, 1.35)))
    370
    """
    tan = require("tan_kg_m3", tan_kg_m3, 0, 20, "kg/m3")
    fillable = require("fillable_share", fillable_share, 0, 1, above=True)
    bulk = require("bulk_density_t_m3", bulk_density_t_m3, 0, 3, "t/m3", above=True)
    return np.asarray(1000 * tan * fillable / bulk)


@equation(
    "(ec_slurry_ds_m * fillable_share + ec_soil_water_ds_m * moisture_share) / (fillable_share + moisture_share)",
    unit="dS/m",
    source="physics",
)
def salt_mixture(
    ec_slurry_ds_m: ArrayLike, ec_soil_water_ds_m: ArrayLike, fillable_share: ArrayLike, moisture_share: ArrayLike
) -> FloatArray:
    """Electrical conductivity of the liquid in the band: slurry mixed with the water of the soil.

    Parameters
    ----------
    ec_slurry_ds_m : array_like
        Conductivity of the slurry [dS/m], 0 to 200.
    ec_soil_water_ds_m : array_like
        Conductivity of the water in the soil [dS/m], 0 to 200.
    fillable_share : array_like
        Slurry per volume of soil [1], more than 0, to 1.
    moisture_share : array_like
        Water per volume of soil before [1], 0 to 1.

    Returns
    -------
    ndarray
        Conductivity of the mixture [dS/m], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Mean by volume.  Conductivity is not strictly additive; above about 40 dS/m it bends (pig slurries of
    126 farms, Biosystems Engineering 2012, read as an abstract).

    Examples
    --------
    >>> round(float(salt_mixture(20, 0.5, 0.25, 0.20)), 2)
    11.33
    """
    slurry = require("ec_slurry_ds_m", ec_slurry_ds_m, 0, 200, "dS/m")
    soil = require("ec_soil_water_ds_m", ec_soil_water_ds_m, 0, 200, "dS/m")
    fillable = require("fillable_share", fillable_share, 0, 1, above=True)
    moisture = require("moisture_share", moisture_share, 0, 1)
    return np.asarray((slurry * fillable + soil * moisture) / (fillable + moisture))


@equation("ec_soil_water_ds_m + (ec_band_ds_m - ec_soil_water_ds_m) * spread_share", unit="dS/m", source="choice")
def salt_near_band(ec_soil_water_ds_m: ArrayLike, ec_band_ds_m: ArrayLike, spread_share: ArrayLike) -> FloatArray:
    """Electrical conductivity of the soil water at a point that the salt of the band spreads to.

    Parameters
    ----------
    ec_soil_water_ds_m : array_like
        Conductivity of the water in the soil before [dS/m], 0 to 200.
    ec_band_ds_m : array_like
        Conductivity of the liquid in the fresh band [dS/m], 0 to 200; see :func:`salt_mixture`.
    spread_share : array_like
        What there is of the band at the point, over the fresh band [1], 0 to 1.

    Returns
    -------
    ndarray
        Conductivity [dS/m], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Mixed in proportion.  Salt that plants take up, that falls out or that rain washes down is left out.

    Examples
    --------
    >>> salt_near_band(0.5, 8.5, [0, 0.25, 1]).tolist()
    [0.5, 2.5, 8.5]
    """
    soil = require("ec_soil_water_ds_m", ec_soil_water_ds_m, 0, 200, "dS/m")
    band = require("ec_band_ds_m", ec_band_ds_m, 0, 200, "dS/m")
    return np.asarray(soil + (band - soil) * require("spread_share", spread_share, 0, 1))
