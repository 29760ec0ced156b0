"""Loads on axles and wheels, standing and at work, and how they fall while a tank empties along a run."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = [
    "axle_load",
    "front_axle_load",
    "load_on_board",
    "mass_at_fill",
    "mean_load_of_run",
    "rear_axle_load",
    "share_left",
    "wheel_load",
]

_PHYSICS = reference.constants("physics")


@equation("mass_t * axle_share * g_n", unit="kN", source="physics", locator="weight", constants=(_PHYSICS,))
def axle_load(mass_t: ArrayLike, axle_share: ArrayLike) -> FloatArray:
    """Work out the load on an axle from a mass and the share of it that the axle carries.

    Parameters
    ----------
    mass_t : array_like
        Mass of the vehicle with all it carries [t], 0 to 200.
    axle_share : array_like
        Share on the axle [1], 0 to 1.

    Returns
    -------
    ndarray
        Load on all wheels of the axle [kN], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(axle_load(20, 0.88)), 1)
    172.6
    """
    mass = require("mass_t", mass_t, 0, 200, "t")
    return np.asarray(mass * require("axle_share", axle_share, 0, 1) * _PHYSICS.g_n)


@equation("maximum(1 - taken_share, 0) / axles", unit="1", source="physics", locator="the whole less its parts")
def share_left(taken_share: ArrayLike, axles: ArrayLike) -> FloatArray:
    """Work out what share of a mass is left for each of some axles that carry alike.

    Parameters
    ----------
    taken_share : array_like
        Share that the hitch or other axles carry [1], 0 to 1.01.
    axles : array_like
        Axles that share the rest [1], 1 to 10.

    Returns
    -------
    ndarray
        Share on one of them [1], shape of the inputs broadcast together; nil where rounded shares make a little more
        than the whole.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> float(share_left(0.12, 2))
    0.44
    """
    taken = require("taken_share", taken_share, 0, 1.01)
    return np.asarray(np.maximum(1 - taken, 0) / require("axles", axles, 1, 10))


@equation(
    "tractor_t * rear_share * g_n + hitch_kn * (1 + overhang_m / wheelbase_m) + pull_kn * hitch_height_m / wheelbase_m",
    unit="kN",
    source="physics",
    locator="moments about the front axle",
    constants=(_PHYSICS,),
)
def rear_axle_load(
    tractor_t: ArrayLike,
    rear_share: ArrayLike,
    hitch_kn: ArrayLike,
    overhang_m: ArrayLike,
    wheelbase_m: ArrayLike,
    pull_kn: ArrayLike,
    hitch_height_m: ArrayLike,
) -> FloatArray:
    """Work out the load on the rear axle of a tractor at work.

    Parameters
    ----------
    tractor_t : array_like
        Mass of the tractor with ballast [t], more than 0, to 60.
    rear_share : array_like
        Share of it on the rear axle, standing alone on the level [1], 0 to 1.
    hitch_kn : array_like
        Load that presses down behind: on the hitch, or the weight of a lifted machine [kN], -200 to 300.
    overhang_m : array_like
        Where that load acts behind the rear axle [m], -2 to 8.
    wheelbase_m : array_like
        Front to rear axle [m], more than 0, to 10.
    pull_kn : array_like
        Level pull at the hitch [kN], 0 to 300.
    hitch_height_m : array_like
        Height of that pull above the ground [m], 0 to 4.

    Returns
    -------
    ndarray
        Load on all wheels of the rear axle [kN], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Moments about the ground below the front axle, on the level; rolling resistance and slopes are left out.  What a pull
    adds behind, it takes from the front.

    Examples
    --------
    >>> round(float(rear_axle_load(10, 0.6, 20, 0.9, 3, 40, 0.6)), 1)
    92.8
    """
    mass = require("tractor_t", tractor_t, 0, 60, "t", above=True)
    share = require("rear_share", rear_share, 0, 1)
    hitch = require("hitch_kn", hitch_kn, -200, 300, "kN")
    overhang = require("overhang_m", overhang_m, -2, 8, "m")
    base = require("wheelbase_m", wheelbase_m, 0, 10, "m", above=True)
    pull = require("pull_kn", pull_kn, 0, 300, "kN")
    height = require("hitch_height_m", hitch_height_m, 0, 4, "m")
    return np.asarray(mass * share * _PHYSICS.g_n + hitch * (1 + overhang / base) + pull * height / base)


@equation(
    "tractor_t * g_n + hitch_kn - rear_kn", unit="kN", source="physics", locator="forces add up", constants=(_PHYSICS,)
)
def front_axle_load(tractor_t: ArrayLike, hitch_kn: ArrayLike, rear_kn: ArrayLike) -> FloatArray:
    """Work out what is left for the front axle of a tractor.

    Parameters
    ----------
    tractor_t : array_like
        Mass of the tractor with ballast [t], more than 0, to 60.
    hitch_kn : array_like
        Load that presses down behind [kN], -200 to 300.
    rear_kn : array_like
        Load on the rear axle, from :func:`rear_axle_load` [kN], -1000 to 1000.

    Returns
    -------
    ndarray
        Load on all wheels of the front axle [kN], shape of the inputs broadcast together; below nil the front would lift
        and cannot steer, such an outfit must not drive.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> round(float(front_axle_load(10, 20, 92.8)), 1)
    25.3
    """
    mass = require("tractor_t", tractor_t, 0, 60, "t", above=True)
    hitch = require("hitch_kn", hitch_kn, -200, 300, "kN")
    return np.asarray(mass * _PHYSICS.g_n + hitch - require("rear_kn", rear_kn, -1000, 1000, "kN"))


@equation("axle_kn / wheels", unit="kN", source="physics", locator="wheels loaded alike")
def wheel_load(axle_kn: ArrayLike, wheels: ArrayLike) -> FloatArray:
    """Work out the load on each wheel of an axle.

    Parameters
    ----------
    axle_kn : array_like
        Load on the axle [kN], 0 to 1000.
    wheels : array_like
        Wheels that share it, twins counted one by one [1], 1 to 16.

    Returns
    -------
    ndarray
        Load on one wheel [kN], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    On a side slope, in the furrow and in a bend the wheels of one side carry more.

    Examples
    --------
    >>> float(wheel_load(180, 4))
    45.0
    """
    load = require("axle_kn", axle_kn, 0, 1000, "kN")
    return np.asarray(load / require("wheels", wheels, 1, 16))


@equation("maximum(load_m3 - dose_m3_ha * width_m * run_m / 10000, 0)", unit="m3", source="physics", locator="balance")
def load_on_board(load_m3: ArrayLike, dose_m3_ha: ArrayLike, width_m: ArrayLike, run_m: ArrayLike) -> FloatArray:
    """Work out the slurry still on board some way along the run.

    Parameters
    ----------
    load_m3 : array_like
        Slurry at the start [m3], 0 to 100.
    dose_m3_ha : array_like
        Dose [m3/ha], 0 to 300.
    width_m : array_like
        Working width [m], more than 0, to 60.
    run_m : array_like
        Distance since the start [m], 0 to 1e6.

    Returns
    -------
    ndarray
        Slurry on board [m3], shape of the inputs broadcast together; nil from where the tank is empty.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> load_on_board(16, 30, 6, [0, 340, 2000]).round(2).tolist()
    [16.0, 9.88, 0.0]
    """
    load = require("load_m3", load_m3, 0, 100, "m3")
    dose = require("dose_m3_ha", dose_m3_ha, 0, 300, "m3/ha")
    width = require("width_m", width_m, 0, 60, "m", above=True)
    return np.asarray(np.maximum(load - dose * width * require("run_m", run_m, 0, 1e6, "m") / 1e4, 0))


@equation("empty_t + fill_share * load_m3 * density_t_m3", unit="t", source="physics", locator="balance")
def mass_at_fill(empty_t: ArrayLike, load_m3: ArrayLike, density_t_m3: ArrayLike, fill_share: ArrayLike) -> FloatArray:
    """Work out the mass of a tanker with part of its load on board.

    Parameters
    ----------
    empty_t : array_like
        Empty mass [t], 0 to 100.
    load_m3 : array_like
        Slurry of a whole load [m3], 0 to 100.
    density_t_m3 : array_like
        Density of the slurry [t/m3], more than 0, to 2.
    fill_share : array_like
        Share of the load still on board [1], 0 to 1.

    Returns
    -------
    ndarray
        Mass [t], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> mass_at_fill(8.5, 16, 1, [1, 0.5, 0]).tolist()
    [24.5, 16.5, 8.5]
    """
    load = require("load_m3", load_m3, 0, 100, "m3") * require("fill_share", fill_share, 0, 1)
    density = require("density_t_m3", density_t_m3, 0, 2, "t/m3", above=True)
    return np.asarray(require("empty_t", empty_t, 0, 100, "t") + load * density)


@equation("(full_kn + left_kn) / 2", unit="kN", source="physics", locator="mean of a straight line")
def mean_load_of_run(full_kn: ArrayLike, left_kn: ArrayLike) -> FloatArray:
    """Work out the mean load over a run on which the tank empties evenly.

    Parameters
    ----------
    full_kn : array_like
        Load at the start of the run [kN], 0 to 1000.
    left_kn : array_like
        Load at its end [kN], 0 to 1000.

    Returns
    -------
    ndarray
        Mean over the distance [kN], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The largest is that of the start: the soil there does not feel a mean.

    Examples
    --------
    >>> float(mean_load_of_run(60, 25))
    42.5
    """
    full = require("full_kn", full_kn, 0, 1000, "kN")
    return np.asarray((full + require("left_kn", left_kn, 0, 1000, "kN")) / 2)
