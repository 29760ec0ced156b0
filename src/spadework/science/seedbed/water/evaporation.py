"""Evaporation from bare and covered soil: how much water can go, how fast, and what residue holds back.

Soil dries in two stages.  At first the air sets the pace; when the readily evaporable water has gone, the surface slows it.
The equations are those of FAO Irrigation and Drainage Paper 56, each with its number.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "bare_coefficient",
    "depletion_after_day",
    "drying_share",
    "evaporable_water",
    "evaporation_coefficient",
    "exposed_share",
    "ground_hidden",
    "highest_coefficient",
]

_K = reference.constants("soil_drying")
_MM_PER_M = 1000


@equation(
    (
        "maximum(most_base + (most_wind * (wind_m_s - most_wind_m_s) - most_humidity * (100 * "
        "min_humidity_share - most_humidity_pct)) * (plant_height_m / most_height_m)**most_exponent, "
        "crop_factor + most_step)"
    ),
    unit="1",
    source="fao56_1998",
    locator="equation 72",
    constants=(_K,),
)
def highest_coefficient(
    wind_m_s: ArrayLike, min_humidity_share: ArrayLike, plant_height_m: ArrayLike, crop_factor: ArrayLike
) -> FloatArray:
    """Highest coefficient of crop and soil together, just after rain.

    Parameters
    ----------
    wind_m_s : array_like
        Wind at 2 m [m/s], 0 to 50.
    min_humidity_share : array_like
        Lowest relative humidity of the day [1], 0 to 1.
    plant_height_m : array_like
        Height of the crop [m], 0 to 10.
    crop_factor : array_like
        Coefficient of the crop alone, 0.15 for maize that has just emerged [1], 0 to 1.5.

    Returns
    -------
    ndarray
        Coefficient [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    1.2 and a term for dry, windy air; never less than 0.05 over that of the crop.

    Examples
    --------
    >>> round(float(highest_coefficient(4, 0.30, 0.3, 0.3)), 2)
    1.27
    """
    u = require("wind_m_s", wind_m_s, 0, 50, "m/s")
    dry = require("min_humidity_share", min_humidity_share, 0, 1)
    h = require("plant_height_m", plant_height_m, 0, 10, "m")
    kcb = require("crop_factor", crop_factor, 0, 1.5)
    air = _K.most_wind * (u - _K.most_wind_m_s) - _K.most_humidity * (100 * dry - _K.most_humidity_pct)
    return np.maximum(_K.most_base + air * (h / _K.most_height_m) ** _K.most_exponent, kcb + _K.most_step)


@equation(
    "1000 * (field_capacity_share - wilting_half * wilting_share) * layer_m",
    unit="mm",
    source="fao56_1998",
    locator="equation 73",
    constants=(_K,),
)
def evaporable_water(field_capacity_share: ArrayLike, wilting_share: ArrayLike, layer_m: ArrayLike) -> FloatArray:
    """Water that can evaporate from the top layer in all.

    Parameters
    ----------
    field_capacity_share : array_like
        Moisture at field capacity, by volume [1], 0 to 1.
    wilting_share : array_like
        Moisture at wilting, by volume [1], 0 to 1.
    layer_m : array_like
        Depth of the layer that dries by evaporation [m], more than 0, to 0.5.

    Returns
    -------
    ndarray
        Depth of water [mm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the soil would hold more at wilting than at field capacity.

    Notes
    -----
    Air can dry the top layer to half the moisture at wilting.

    Examples
    --------
    >>> round(float(evaporable_water(0.25, 0.12, 0.10)), 1)
    19.0
    """
    fc = require("field_capacity_share", field_capacity_share, 0, 1)
    wp = require("wilting_share", wilting_share, 0, 1)
    z = require("layer_m", layer_m, 0, 0.5, "m", above=True)
    require("field_capacity_share - wilting_share", fc - wp, 0, 1)
    return np.asarray(_MM_PER_M * (fc - _K.wilting_half * wp) * z)


@equation(
    ("where(depletion_mm <= readily_mm, 1, (evaporable_mm - depletion_mm) / (evaporable_mm - readily_mm))"),
    unit="1",
    source="fao56_1998",
    locator="equation 74",
)
def drying_share(depletion_mm: ArrayLike, evaporable_mm: ArrayLike, readily_mm: ArrayLike) -> FloatArray:
    """Share of its full rate at which a drying surface still gives off water.

    Parameters
    ----------
    depletion_mm : array_like
        Water that the layer lacks of field capacity [mm], 0 to 200.
    evaporable_mm : array_like
        Water that can evaporate in all [mm], more than 0, to 200.
    readily_mm : array_like
        Water that evaporates before the surface slows it [mm], 0 to 200.

    Returns
    -------
    ndarray
        Share [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the readily evaporable or the missing water is more than all.

    Notes
    -----
    Kr is 1 while the readily evaporable water lasts, and falls in a straight line to nil.

    Examples
    --------
    >>> round(float(drying_share(13.98, 20, 9)), 3)
    0.547
    """
    de = require("depletion_mm", depletion_mm, 0, 200, "mm")
    tew = require("evaporable_mm", evaporable_mm, 0, 200, "mm", above=True)
    rew = require("readily_mm", readily_mm, 0, 200, "mm")
    require("evaporable_mm - readily_mm", tew - rew, 0, 200, "mm", above=True)
    require("evaporable_mm - depletion_mm", tew - de, -1e-9, 200, "mm")
    return np.where(de <= rew, 1.0, np.maximum(tew - de, 0) / (tew - rew))


@equation(
    ("((crop_factor - least_factor) / (most_factor - least_factor))**(1 + canopy_height * plant_height_m)"),
    unit="1",
    source="fao56_1998",
    locator="equation 76",
    constants=(_K,),
)
def ground_hidden(crop_factor: ArrayLike, most_factor: ArrayLike, plant_height_m: ArrayLike) -> FloatArray:
    """Share of the ground that the crop hides, from its coefficient.

    Parameters
    ----------
    crop_factor : array_like
        Coefficient of the crop alone, 0.15 for maize that has just emerged [1], 0 to 1.5.
    most_factor : array_like
        Highest coefficient after rain, from :func:`highest_coefficient` [1], 0 to 2.
    plant_height_m : array_like
        Height of the crop [m], 0 to 10.

    Returns
    -------
    ndarray
        Share [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the crop's coefficient lies under that of dry soil or not under
        the highest.

    Notes
    -----
    Where the ground can be seen, count it instead.

    Examples
    --------
    >>> round(float(ground_hidden(0.6, 1.2, 0.4)), 3)
    0.362
    """
    kcb = require("crop_factor", crop_factor, 0, 1.5)
    most = require("most_factor", most_factor, 0, 2)
    h = require("plant_height_m", plant_height_m, 0, 10, "m")
    above = require("crop_factor - least_factor", kcb - _K.least_factor, 0, 2)
    require("most_factor - crop_factor", most - kcb, 0, 2, above=True)
    return np.asarray((above / (most - _K.least_factor)) ** (1 + _K.canopy_height * h))


@equation("minimum(1 - canopy_share, wetted_share)", unit="1", source="fao56_1998", locator="equation 75")
def exposed_share(canopy_share: ArrayLike, wetted_share: ArrayLike) -> FloatArray:
    """Share of the ground that is both wetted and in the open.

    Parameters
    ----------
    canopy_share : array_like
        Share of the ground that the crop hides [1], 0 to 0.99.
    wetted_share : array_like
        Share of the ground that was wetted, 1 for rain [1], more than 0, to 1.

    Returns
    -------
    ndarray
        Share [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(exposed_share(0.3, 1)), 2)
    0.7
    """
    hidden = require("canopy_share", canopy_share, 0, 0.99)
    wet = require("wetted_share", wetted_share, 0, 1, above=True)
    return np.asarray(np.minimum(1 - hidden, wet))


@equation(
    "minimum(drying_share * (most_factor - crop_factor), exposed_share * most_factor)",
    unit="1",
    source="fao56_1998",
    locator="equation 71",
)
def evaporation_coefficient(
    drying_share: ArrayLike, exposed_share: ArrayLike, crop_factor: ArrayLike, most_factor: ArrayLike
) -> FloatArray:
    """Evaporation from the soil against that of the reference crop.

    Parameters
    ----------
    drying_share : array_like
        Share of its full rate at which the surface still dries, from :func:`drying_share` [1], 0 to 1.
    exposed_share : array_like
        Share of the ground that is wetted and in the open [1], more than 0, to 1.
    crop_factor : array_like
        Coefficient of the crop alone, 0.15 for maize that has just emerged [1], 0 to 1.5.
    most_factor : array_like
        Highest coefficient after rain, from :func:`highest_coefficient` [1], 0 to 2.

    Returns
    -------
    ndarray
        Coefficient [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the crop's coefficient is over the highest.

    Notes
    -----
    Ke.  What the crop leaves of the energy, or what the open ground alone can take up, whichever is less.

    Examples
    --------
    >>> round(float(evaporation_coefficient(0.547, 1, 0.15, 1.2)), 3)
    0.574
    """
    kr = require("drying_share", drying_share, 0, 1)
    few = require("exposed_share", exposed_share, 0, 1, above=True)
    kcb = require("crop_factor", crop_factor, 0, 1.5)
    most = require("most_factor", most_factor, 0, 2)
    left = require("most_factor - crop_factor", most - kcb, 0, 2)
    return np.minimum(kr * left, few * most)


@equation("maximum(depletion_mm - rain_mm, 0) + evaporation_mm", unit="mm", source="fao56_1998", locator="equation 77")
def depletion_after_day(
    depletion_mm: ArrayLike, rain_mm: ArrayLike, evaporation_mm: ArrayLike, evaporable_mm: ArrayLike
) -> FloatArray:
    """Water that the layer lacks at the end of a day.

    Parameters
    ----------
    depletion_mm : array_like
        Water that the layer lacks of field capacity [mm], 0 to 200.
    rain_mm : array_like
        Water that soaks in [mm], 0 to 1000.
    evaporation_mm : array_like
        Water that evaporates from the ground in the open [mm], 0 to 50.
    evaporable_mm : array_like
        Water that can evaporate in all [mm], more than 0, to 200.

    Returns
    -------
    ndarray
        Depth of water [mm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or more would evaporate than there is.

    Notes
    -----
    Rain comes first; what is more than the layer lacks drains on.  The crop draws nothing from this layer.

    Examples
    --------
    >>> float(depletion_after_day(12.0, 5.0, 2.5, 20.0))
    9.5
    """
    de = require("depletion_mm", depletion_mm, 0, 200, "mm")
    rain = require("rain_mm", rain_mm, 0, 1000, "mm")
    gone = require("evaporation_mm", evaporation_mm, 0, 50, "mm")
    tew = require("evaporable_mm", evaporable_mm, 0, 200, "mm", above=True)
    after = np.asarray(np.maximum(de - rain, 0) + gone)
    require("evaporable_mm - depletion after the day", tew - after, -1e-9, 200, "mm")
    return after


@equation(
    ("water that evaporates in the two stages of drying between wettings, over the days and the reference"),
    unit="1",
    source="fao56_1998",
    locator="annex 7",
    constants=(_K,),
    in_words=True,
)
def bare_coefficient(
    reference_et_mm: ArrayLike, between_rains_days: ArrayLike, evaporable_mm: ArrayLike, readily_mm: ArrayLike
) -> FloatArray:
    """Mean coefficient of bare soil that is wetted every so many days.

    Parameters
    ----------
    reference_et_mm : array_like
        Evaporation of the reference crop in a day [mm], more than 0, to 30.
    between_rains_days : array_like
        Days from one wetting to the next [d], more than 0, to 366.
    evaporable_mm : array_like
        Water that can evaporate in all [mm], more than 0, to 200.
    readily_mm : array_like
        Water that evaporates before the surface slows it [mm], 0 to 200.

    Returns
    -------
    ndarray
        Coefficient [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the readily evaporable water is more than all.

    Notes
    -----
    With E = 1.15 ETo and t1 = REW / E, Kc = [TEW - (TEW - REW) exp(-(tw - t1) E (1 + REW / (TEW - REW)) / TEW)] /
    (tw ETo), at most 1.15.

    Examples
    --------
    >>> round(float(bare_coefficient(4, 7, 15, 7)), 3)
    0.523
    """
    eto = require("reference_et_mm", reference_et_mm, 0, 30, "mm", above=True)
    tw = require("between_rains_days", between_rains_days, 0, 366, "d", above=True)
    tew = require("evaporable_mm", evaporable_mm, 0, 200, "mm", above=True)
    rew = require("readily_mm", readily_mm, 0, 200, "mm")
    full = _K.bare_factor * eto
    require("evaporable_mm - readily_mm", tew - rew, 0, 200, "mm", above=True)
    first = rew / full
    later = tew - (tew - rew) * np.exp(-np.maximum(tw - first, 0) * full * (1 + rew / (tew - rew)) / tew)
    return np.where(tw <= first, _K.bare_factor, np.minimum(later / (tw * eto), _K.bare_factor))
