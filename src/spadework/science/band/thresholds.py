"""What would hurt a seedling near the band: ammoniacal nitrogen, free ammonia and salt, each against its limit.

The limits are arguments; tables ``seedling_thresholds`` and ``band_spread`` hold them.  The words "watch" and "risk"
are our own reading of a ratio, no proof that a seedling lives or dies.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "against_limit",
    "free_ammonia_in_water",
    "growth_lost_to_salt",
    "line_peak_days",
    "line_reach",
    "osmotic_potential",
    "severity",
    "verdict",
]

_K = reference.constants("band_spread")
_ATOMS = reference.constants("chemistry")


@equation("found / limit", unit="1", source="choice")
def against_limit(found: ArrayLike, limit: ArrayLike) -> FloatArray:
    """Work out how near a figure at the seed comes to a limit.

    Parameters
    ----------
    found : array_like
        Ammoniacal nitrogen, free ammonia or conductivity at the seed [any], 0 or more.
    limit : array_like
        Its limit, in the same unit [any], more than 0.

    Returns
    -------
    ndarray
        Ratio [1], shape of the inputs broadcast together; 1 at the limit.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(against_limit(370, 1000)), 2)
    0.37
    """
    return np.asarray(require("found", found, 0, np.inf) / require("limit", limit, 0, np.inf, above=True))


@equation(
    "ammoniacal_mg_kg * bulk_density_t_m3 * free_share / ((moisture_share + bulk_density_t_m3 * kd_l_kg) * weight_n)",
    unit="mmol/L",
    source="physics",
    constants=(_ATOMS,),
)
def free_ammonia_in_water(
    ammoniacal_mg_kg: ArrayLike,
    bulk_density_t_m3: ArrayLike,
    free_share: ArrayLike,
    moisture_share: ArrayLike,
    kd_l_kg: ArrayLike,
) -> FloatArray:
    """Work out the free ammonia in the water of the soil.

    Parameters
    ----------
    ammoniacal_mg_kg : array_like
        All ammoniacal nitrogen per dry mass of soil [mg/kg], 0 to 1e5.
    bulk_density_t_m3 : array_like
        Dry mass per volume of soil [t/m3], more than 0, to 3.
    free_share : array_like
        Free ammonia, share of the ammoniacal nitrogen in solution [1], 0 to 1.
    moisture_share : array_like
        Water per volume of soil [1], more than 0, to 1.
    kd_l_kg : array_like
        Held by the soil per concentration in water [L/kg], 0 to 1000.

    Returns
    -------
    ndarray
        Ammonia in solution [mmol/L], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    What the grains hold is taken out by linear sorption; the little in the air of the soil is left out.

    Examples
    --------
    >>> round(float(free_ammonia_in_water(370, 1.35, 0.01, 0.45, 2)), 3)
    0.113
    """
    nitrogen = require("ammoniacal_mg_kg", ammoniacal_mg_kg, 0, 1e5, "mg/kg")
    bulk = require("bulk_density_t_m3", bulk_density_t_m3, 0, 3, "t/m3", above=True)
    free = require("free_share", free_share, 0, 1)
    moisture = require("moisture_share", moisture_share, 0, 1, above=True)
    held = bulk * require("kd_l_kg", kd_l_kg, 0, 1000, "L/kg")
    return np.asarray(nitrogen * bulk * free / ((moisture + held) * _ATOMS.weight_n))


@equation(
    "minimum(slope_m_ds * maximum(ec_ds_m - threshold_ds_m, 0), 1)",
    unit="1",
    source="maas_1983",
    locator="threshold and slope",
)
def growth_lost_to_salt(ec_ds_m: ArrayLike, threshold_ds_m: ArrayLike, slope_m_ds: ArrayLike) -> FloatArray:
    """Work out the share of growth that salt in the soil water takes.

    Parameters
    ----------
    ec_ds_m : array_like
        Conductivity of the soil water [dS/m], 0 to 200.
    threshold_ds_m : array_like
        Conductivity up to which nothing is lost [dS/m], 0 to 50.
    slope_m_ds : array_like
        Share lost for each dS/m above it [m/dS], 0 to 10.

    Returns
    -------
    ndarray
        Share lost [1], 0 to 1, shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Nil up to the threshold, then a straight line, at most all of it.  For plants that stand in the salt for weeks;
    a seedling whose roots leave the salt fares better.

    Examples
    --------
    >>> round(float(growth_lost_to_salt(11.33, 1.0, 0.049)), 2)
    0.51
    """
    ec = require("ec_ds_m", ec_ds_m, 0, 200, "dS/m")
    over = np.maximum(ec - require("threshold_ds_m", threshold_ds_m, 0, 50, "dS/m"), 0)
    return np.asarray(np.minimum(require("slope_m_ds", slope_m_ds, 0, 10, "m/dS") * over, 1))


@equation("-osmotic_mpa_m_ds * ec_ds_m", unit="MPa", source="salt_handbook_1954", constants=(_K,))
def osmotic_potential(ec_ds_m: ArrayLike) -> FloatArray:
    """Work out how hard salt holds the water back from a seed.

    Parameters
    ----------
    ec_ds_m : array_like
        Conductivity of the soil water [dS/m], 0 to 200.

    Returns
    -------
    ndarray
        Osmotic potential, below nil [MPa], shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the conductivity lies outside its range.

    Notes
    -----
    0.36 atmospheres for each mmho/cm, from memory of the handbook.

    Examples
    --------
    >>> round(float(osmotic_potential(10)), 2)
    -0.36
    """
    return np.asarray(-_K.osmotic_mpa_m_ds * require("ec_ds_m", ec_ds_m, 0, 200, "dS/m"))


@equation(
    "radius_cm ** 2 / (2 * ammonium_cm2_day * (1 + sqrt(1 + rate_per_day * radius_cm ** 2 / ammonium_cm2_day)))",
    unit="d",
    source="crank_1975",
    locator="line source",
)
def line_peak_days(radius_cm: ArrayLike, ammonium_cm2_day: ArrayLike, rate_per_day: ArrayLike) -> FloatArray:
    """Work out when the concentration beside a thin line of nitrogen is at its highest.

    Parameters
    ----------
    radius_cm : array_like
        Distance from the line [cm], 0 to 1000.
    ammonium_cm2_day : array_like
        Apparent diffusion [cm2/day], more than 0, to 1e4.
    rate_per_day : array_like
        Nitrification [1/day], 0 to 10.

    Returns
    -------
    ndarray
        Days after the slurry went in [d], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The top in time of exp(-r2/4Dt - kt)/t, in soil without end; r2/4D where nothing nitrifies.

    Examples
    --------
    >>> round(float(line_peak_days(3, 0.02, 0.03)), 2)
    46.8
    """
    square = require("radius_cm", radius_cm, 0, 1000, "cm") ** 2
    diffusion = require("ammonium_cm2_day", ammonium_cm2_day, 0, 1e4, "cm2/day", above=True)
    rate = require("rate_per_day", rate_per_day, 0, 10, "1/day")
    return np.asarray(square / (2 * diffusion * (1 + np.sqrt(1 + rate * square / diffusion))))


@equation(
    "100 * sqrt(litres_per_m * tan_kg_m3 / (pi * exp(1) * limit_mg_kg * bulk_density_t_m3))",
    unit="cm",
    source="crank_1975",
    locator="line source",
)
def line_reach(
    litres_per_m: ArrayLike, tan_kg_m3: ArrayLike, limit_mg_kg: ArrayLike, bulk_density_t_m3: ArrayLike
) -> FloatArray:
    """Work out beyond what distance from a thin line of nitrogen a limit is never reached.

    Parameters
    ----------
    litres_per_m : array_like
        Slurry per metre of row [L/m], 0 to 1000.
    tan_kg_m3 : array_like
        Total ammoniacal nitrogen of the slurry [kg/m3], 0 to 20.
    limit_mg_kg : array_like
        Limit of ammoniacal nitrogen per dry mass of soil [mg/kg], more than 0, to 1e5.
    bulk_density_t_m3 : array_like
        Dry mass per volume of soil [t/m3], more than 0, to 3.

    Returns
    -------
    ndarray
        Distance from the line [cm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    r = sqrt(M / (pi e C)), whatever the diffusion.  A real band is wetted farther than that: the distance speaks for
    spreading alone, in soil without end, and is no safe gap.

    Examples
    --------
    >>> round(float(line_reach(2.25, 2, 1000, 1.35)), 3)
    1.976
    """
    mass = require("litres_per_m", litres_per_m, 0, 1000, "L/m") * require("tan_kg_m3", tan_kg_m3, 0, 20, "kg/m3")
    limit = require("limit_mg_kg", limit_mg_kg, 0, 1e5, "mg/kg", above=True)
    bulk = require("bulk_density_t_m3", bulk_density_t_m3, 0, 3, "t/m3", above=True)
    return np.asarray(100 * np.sqrt(mass / (np.pi * np.e * limit * bulk)))


@equation("maximum(maximum(nitrogen_ratio, ammonia_ratio), salt_ratio)", unit="1", source="choice")
def severity(nitrogen_ratio: ArrayLike, ammonia_ratio: ArrayLike, salt_ratio: ArrayLike) -> FloatArray:
    """Take the worst of the three ratios to a limit.

    Parameters
    ----------
    nitrogen_ratio, ammonia_ratio, salt_ratio : array_like
        Each from :func:`against_limit` [1], 0 or more.

    Returns
    -------
    ndarray
        The largest [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The three may add to each other; the largest alone is our choice.  Show all three beside it.

    Examples
    --------
    >>> float(severity(0.4, 0.6, 1.1))
    1.1
    """
    nitrogen = require("nitrogen_ratio", nitrogen_ratio, 0, np.inf)
    ammonia = require("ammonia_ratio", ammonia_ratio, 0, np.inf)
    return np.maximum(np.maximum(nitrogen, ammonia), require("salt_ratio", salt_ratio, 0, np.inf))


@equation(
    "where(severity_ratio > risk_above, 2, where(severity_ratio >= watch_from, 1, 0))",
    unit="1",
    source="choice",
    constants=(_K,),
)
def verdict(severity_ratio: ArrayLike) -> FloatArray:
    """Sort a ratio to a limit into clear (0), watch (1) and risk (2).

    Parameters
    ----------
    severity_ratio : array_like
        From :func:`severity` [1], 0 or more.

    Returns
    -------
    ndarray
        0, 1 or 2 [1], shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the ratio is negative.

    Notes
    -----
    Clear below half the limit, risk above it: our choice.

    Examples
    --------
    >>> verdict([0.4, 0.5, 1.0, 1.1]).tolist()
    [0.0, 1.0, 1.0, 2.0]
    """
    ratio = require("severity_ratio", severity_ratio, 0, np.inf)
    return np.where(ratio > _K.risk_above, 2.0, np.where(ratio >= _K.watch_from, 1.0, 0.0))
