"""The outfit as a whole: what it weighs, whether the tractor keeps up, how a load passes.

Small steps between the draft of the tools and the time in the field.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "ballasted_mass",
    "draft_coefficient",
    "draft_within_range",
    "load_at_work",
    "load_size",
    "newton",
    "rated_pto_power",
    "road_per_load",
    "seed_fill_time",
    "standing_time",
    "tanker_mean_mass",
]

_ROUNDING = 1e-9


@equation("draft_n * range_factor", unit="N", source="physics")
def draft_within_range(draft_n: ArrayLike, range_factor: ArrayLike) -> FloatArray:
    """Place a draft within the range that its table prints.

    Parameters
    ----------
    draft_n : array_like
        Draft at the middle of the table [N], 0 to 1e6.
    range_factor : array_like
        Draft against the middle [1], 0 to 20; a printed +/-40 % spans 0.6 to 1.4.

    Returns
    -------
    ndarray
        Draft [N], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Examples
    --------
    >>> float(draft_within_range(30000.0, 1.4))
    42000.0
    """
    return require("draft_n", draft_n, 0, 1e6, "N") * require("range_factor", range_factor, 0, 20)


@equation("empty_t + tank_m3 * filled_share * density_t_m3 / 2", unit="t", source="physics")
def tanker_mean_mass(
    empty_t: ArrayLike, tank_m3: ArrayLike, filled_share: ArrayLike, density_t_m3: ArrayLike
) -> FloatArray:
    """Mass of a tanker, mean of a run on which it empties evenly.

    Parameters
    ----------
    empty_t : array_like
        Empty mass [t], 0 to 80.
    tank_m3 : array_like
        Rated content [m3], 0 to 80.
    filled_share : array_like
        Slurry taken on, of the rated content [1], 0 to 1.
    density_t_m3 : array_like
        Density of the slurry [t/m3], 0.8 to 1.3.

    Returns
    -------
    ndarray
        Mean mass [t], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Examples
    --------
    >>> float(tanker_mean_mass(9.0, 18.0, 1.0, 1.0))
    18.0
    """
    empty = require("empty_t", empty_t, 0, 80, "t")
    tank = require("tank_m3", tank_m3, 0, 80, "m3")
    density = require("density_t_m3", density_t_m3, 0.8, 1.3, "t/m3")
    return empty + tank * require("filled_share", filled_share, 0, 1) * density / 2


@equation("power_kw * pto_share", unit="kW", source="physics")
def rated_pto_power(power_kw: ArrayLike, pto_share: ArrayLike) -> FloatArray:
    """Rated power at the power take-off from the power that is known.

    Parameters
    ----------
    power_kw : array_like
        Rated power of the engine or at the take-off [kW], above 0.
    pto_share : array_like
        Power at the take-off per power known [1], above 0 to 1; 1 where that at the take-off is known.

    Returns
    -------
    ndarray
        Rated power at the take-off [kW], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Examples
    --------
    >>> float(rated_pto_power(200.0, 0.86))
    172.0
    """
    return require("power_kw", power_kw, 0, 2000, "kW", above=True) * require("pto_share", pto_share, 0, 1, above=True)


@equation("minimum(load_share, 1)", unit="1", source="physics")
def load_at_work(load_share: ArrayLike) -> FloatArray:
    """Engine load once the outfit has slowed down to what its tractor can give.

    Parameters
    ----------
    load_share : array_like
        Needed power against rated power at the speed meant [1], 0 to 1e6.

    Returns
    -------
    ndarray
        Engine load [1], same shape; 1 where the tractor is too small for that speed.

    Raises
    ------
    ImpossibleValue
        For values outside this range.

    Notes
    -----
    Goes together with ``speed_managed``: where the tractor is short it drives slower at full load, and no fuel curve is
    read beyond its end.

    Examples
    --------
    >>> load_at_work([0.7, 1.2]).tolist()
    [0.7, 1.0]
    """
    return np.minimum(require("load_share", load_share, 0, 1e6), 1.0)


@equation("tank_m3 * filled_share", unit="m3", source="physics")
def load_size(tank_m3: ArrayLike, filled_share: ArrayLike) -> FloatArray:
    """Slurry in one load.

    Parameters
    ----------
    tank_m3 : array_like
        Rated content [m3], above 0 to 80.
    filled_share : array_like
        Slurry taken on, of the rated content [1], above 0 to 1.

    Returns
    -------
    ndarray
        Load [m3], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Examples
    --------
    >>> round(float(load_size(18.0, 0.9)), 1)
    16.2
    """
    return require("tank_m3", tank_m3, 0, 80, "m3", above=True) * require(
        "filled_share", filled_share, 0, 1, above=True
    )


@equation("60 * (distance_km / speed_full_km_h + distance_km / speed_empty_km_h)", unit="min", source="physics")
def road_per_load(distance_km: ArrayLike, speed_full_km_h: ArrayLike, speed_empty_km_h: ArrayLike) -> FloatArray:
    """Minutes on the road for one load, there and back.

    Parameters
    ----------
    distance_km : array_like
        Store to field [km], 0 to 200.
    speed_full_km_h, speed_empty_km_h : array_like
        Mean speed full and empty [km/h], above 0 to 80.

    Returns
    -------
    ndarray
        Time [min], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Examples
    --------
    >>> round(float(road_per_load(2.0, 25.0, 35.0)), 2)
    8.23
    """
    distance = require("distance_km", distance_km, 0, 200, "km")
    full = require("speed_full_km_h", speed_full_km_h, 0, 80, "km/h", above=True)
    empty = require("speed_empty_km_h", speed_empty_km_h, 0, 80, "km/h", above=True)
    return 60 * (distance / full + distance / empty)


@equation("refill_h_ha - road_h_ha + lost_h_ha + waiting_h_ha", unit="h/ha", source="physics")
def standing_time(
    refill_h_ha: ArrayLike, road_h_ha: ArrayLike, lost_h_ha: ArrayLike, waiting_h_ha: ArrayLike
) -> FloatArray:
    """Time with the engine at idle: filling, coupling, adjusting, clearing, waiting.

    Parameters
    ----------
    refill_h_ha : array_like
        Away from spreading [h/ha], 0 to 100.
    road_h_ha : array_like
        Of that, on the road [h/ha], 0 to `refill_h_ha`.
    lost_h_ha : array_like
        Resting, adjusting, clearing [h/ha], 0 to 100.
    waiting_h_ha : array_like
        Waiting for slurry [h/ha], 0 to 100.

    Returns
    -------
    FloatArray
        Time [h/ha], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> round(float(standing_time(0.30, 0.20, 0.05, 0.0)), 3)
    0.15
    """
    refill = require("refill_h_ha", refill_h_ha, 0, 100, "h/ha")
    road = require("road_h_ha", road_h_ha, 0, 100, "h/ha")
    filling = require("refill_h_ha - road_h_ha", refill - road, -_ROUNDING, 100, "h/ha")
    filling = np.where(np.abs(filling) <= _ROUNDING, 0.0, filling)  # what the last binary digit makes of nil
    lost = require("lost_h_ha", lost_h_ha, 0, 100, "h/ha")
    return filling + lost + require("waiting_h_ha", waiting_h_ha, 0, 100, "h/ha")


@equation("fill_min_ha / 60 * sows", unit="h/ha", source="physics")
def seed_fill_time(fill_min_ha: ArrayLike, sows: ArrayLike) -> FloatArray:
    """Time a planter stands to be filled with seed and fertiliser.

    Parameters
    ----------
    fill_min_ha : array_like
        Filling [min/ha], 0 to 60.
    sows : array_like
        1 where the pass sows, else 0.

    Returns
    -------
    ndarray
        Time [h/ha], broadcast shape.

    Raises
    ------
    ImpossibleValue
        For values outside these ranges.

    Examples
    --------
    >>> float(seed_fill_time(3.0, 1.0))
    0.05
    """
    return require("fill_min_ha", fill_min_ha, 0, 60, "min/ha") / 60 * require("sows", sows, 0, 1)


@equation(
    "soil_factor * coefficient * units * depth_cm * range_factor",
    unit="N",
    source="asae_d497",
    locator="clause 4.1, by power of the speed",
)
def draft_coefficient(
    soil_factor: ArrayLike, coefficient: ArrayLike, units: ArrayLike, depth_cm: ArrayLike, range_factor: ArrayLike
) -> FloatArray:
    """Part of the draft that goes with one power of the speed, all other things multiplied out.

    Parameters
    ----------
    soil_factor : array_like
        Soil factor of the draft table [1], 0 to 1.
    coefficient : array_like
        Factor A, B or C of the draft table [any], 0 to 10000.
    units : array_like
        Tools, rows or metres [1], 0 to 200.
    depth_cm : array_like
        Working depth [cm], 0 to 80; 1 where depth does not count.
    range_factor : array_like
        Draft against the middle of the table [1], 0 to 20.

    Returns
    -------
    FloatArray
        Part of the draft [N, N h/km or N h2/km2], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    The draft of ASAE D497 is the sum of these parts times 1, the speed and its square, so that a pass can be
    solved for its speed.

    Examples
    --------
    >>> float(round(draft_coefficient(0.7, 652, 2.0, 23, 1.0), 1))
    20994.4
    """
    share = require("soil_factor", soil_factor, 0, 1) * require("coefficient", coefficient, 0, 10_000)
    size = require("units", units, 0, 200) * require("depth_cm", depth_cm, 0, 80, "cm")
    return share * size * require("range_factor", range_factor, 0, 20)


@equation("1000 * pull_kn", unit="N", source="physics")
def newton(pull_kn: ArrayLike) -> FloatArray:
    """Turn a pull into newton.

    Parameters
    ----------
    pull_kn : array_like
        Pull [kN], -1000 to 1000.

    Returns
    -------
    FloatArray
        Pull [N], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Examples
    --------
    >>> float(newton(1.5))
    1500.0
    """
    return 1000 * require("pull_kn", pull_kn, -1000, 1000, "kN")


@equation("rated_pto_kw * ballast_kg_kw / 1000", unit="t", source="tractor_manual", locator="ballast")
def ballasted_mass(rated_pto_kw: ArrayLike, ballast_kg_kw: ArrayLike) -> FloatArray:
    """Mass of a tractor that is ballasted by the guide of mass per power.

    Parameters
    ----------
    rated_pto_kw : array_like
        Rated power at the power take-off [kW], above 0 to 2000.
    ballast_kg_kw : array_like
        Mass per power of the ballast guide [kg/kW], 10 to 150.

    Returns
    -------
    FloatArray
        Mass [t], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A stand-in until the tractor is weighed.

    Examples
    --------
    >>> round(float(ballasted_mass(120, 45)), 1)
    5.4
    """
    power = require("rated_pto_kw", rated_pto_kw, 0, 2000, "kW", above=True)
    return power * require("ballast_kg_kw", ballast_kg_kw, 10, 150, "kg/kW") / 1000
