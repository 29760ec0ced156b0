"""Load that a pull and a weight on the hitch take from the front axle of a tractor and lay on its rear axle.

On the level, at a steady speed.  A drawn machine pulls at the hitch and rests on it, and moments say the rest.  Of a mounted
tool neither weight nor the pull downward is known; there a share of the pull, seen on tractors, stands for both.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["axle_pressing", "front_change_drawn", "front_change_mounted", "rear_gain_drawn", "rear_gain_mounted"]

_MOST_KN = 500
_NEXT_TO_NIL_KN = 0.001


@equation(
    "(hitch_kn * overhang_m + pull_n / 1000 * hitch_height_m) / wheelbase_m",
    unit="kN",
    source="physics",
    locator="moments about the front axle",
)
def rear_gain_drawn(
    hitch_kn: ArrayLike, overhang_m: ArrayLike, pull_n: ArrayLike, hitch_height_m: ArrayLike, wheelbase_m: ArrayLike
) -> FloatArray:
    """Load that a drawn machine adds to the rear axle beyond what rests on the hitch.

    Parameters
    ----------
    hitch_kn : array_like
        Load that the machine lays on the hitch [kN], 0 to 300.
    overhang_m : array_like
        Hitch behind the rear axle [m], 0 to 8.
    pull_n : array_like
        Level pull at the hitch [N], 0 to 300 000.
    hitch_height_m : array_like
        Hitch above the ground [m], 0 to 4.
    wheelbase_m : array_like
        Front to rear axle [m], more than 0, to 10.

    Returns
    -------
    ndarray
        Load that the rear axle gains and the front axle loses [kN], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    The same as in :func:`~spadework.science.traffic.wheel_loads.rear_axle_load`, without the weight that stands there and
    the load of the hitch itself.

    Examples
    --------
    >>> round(float(rear_gain_drawn(20, 0.9, 40_000, 0.6, 3)), 1)
    14.0
    """
    hitch = require("hitch_kn", hitch_kn, 0, 300, "kN")
    overhang = require("overhang_m", overhang_m, 0, 8, "m")
    pull = require("pull_n", pull_n, 0, 300_000, "N") / 1000
    height = require("hitch_height_m", hitch_height_m, 0, 4, "m")
    return np.asarray((hitch * overhang + pull * height) / require("wheelbase_m", wheelbase_m, 0, 10, "m", above=True))


@equation("gain_share * pull_n / 1000", unit="kN", source="zoz_1972", locator="mounted tools")
def rear_gain_mounted(pull_n: ArrayLike, gain_share: ArrayLike) -> FloatArray:
    """Load that a mounted tool at work adds to the rear axle.

    Parameters
    ----------
    pull_n : array_like
        Pull of the tool [N], 0 to 300 000.
    gain_share : array_like
        Load that comes onto the rear axle, of the pull [1], 0 to 1.5.

    Returns
    -------
    ndarray
        Load gained [kN], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Weight of the tool, its pull downward and the moment of its pull in one figure, recalled.  It stands for tools in the
    ground with the hitch controlling their depth; lifted for the turn they weigh more on it.

    Examples
    --------
    >>> rear_gain_mounted(30_000, 0.65).round(2).item()
    19.5
    """
    share = require("gain_share", gain_share, 0, 1.5)
    return np.asarray(share * require("pull_n", pull_n, 0, 300_000, "N") / 1000)


@equation("-rear_gain_kn", unit="kN", source="physics", locator="forces add up")
def front_change_drawn(rear_gain_kn: ArrayLike) -> FloatArray:
    """Change of the load on the front axle that goes with what a drawn machine adds behind.

    Parameters
    ----------
    rear_gain_kn : array_like
        Gain of the rear axle, from :func:`rear_gain_drawn` [kN], 0 to 500.

    Returns
    -------
    ndarray
        Change [kN], below nil, shape of the argument.

    Raises
    ------
    ImpossibleValue
        If the gain lies outside its range.

    Examples
    --------
    >>> float(front_change_drawn(14.0))
    -14.0
    """
    return np.asarray(-require("rear_gain_kn", rear_gain_kn, 0, _MOST_KN, "kN"))


@equation(
    "-rear_gain_kn * overhang_m / (wheelbase_m + overhang_m)",
    unit="kN",
    source="physics",
    locator="moments about the rear axle",
)
def front_change_mounted(rear_gain_kn: ArrayLike, overhang_m: ArrayLike, wheelbase_m: ArrayLike) -> FloatArray:
    """Change of the load on the front axle that goes with what a mounted tool adds behind.

    Parameters
    ----------
    rear_gain_kn : array_like
        Gain of the rear axle, from :func:`rear_gain_mounted` [kN], 0 to 500.
    overhang_m : array_like
        Where weight and pull downward of the tool act behind the rear axle [m], 0 to 8.
    wheelbase_m : array_like
        Front to rear axle [m], more than 0, to 10.

    Returns
    -------
    ndarray
        Change [kN], below nil, shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    A force V down at the overhang o behind gives the rear axle V (1 + o / b) and takes V o / b from the front; the pull of
    the ground, which acts close to its surface, has next to no lever.

    Examples
    --------
    >>> round(float(front_change_mounted(19.5, 1.5, 2.7)), 2)
    -6.96
    """
    gain = require("rear_gain_kn", rear_gain_kn, 0, _MOST_KN, "kN")
    overhang = require("overhang_m", overhang_m, 0, 8, "m")
    return np.asarray(-gain * overhang / (require("wheelbase_m", wheelbase_m, 0, 10, "m", above=True) + overhang))


@equation("maximum(load_kn, 0.001)", unit="kN", source="physics", locator="ground does not pull")
def axle_pressing(load_kn: ArrayLike) -> FloatArray:
    """Load with which an axle presses on the ground: next to nil where it would be lifted off.

    Parameters
    ----------
    load_kn : array_like
        Load that the sum of forces asks for [kN], -1000 to 1000.

    Returns
    -------
    ndarray
        Load [kN], shape of the argument; a thousandth of a kN, so that a contact can be worked out, where the axle lifts off.

    Raises
    ------
    ImpossibleValue
        If the load lies outside its range.

    Notes
    -----
    A front axle that lifts off cannot steer; such an outfit must not drive.

    Examples
    --------
    >>> axle_pressing([25.3, -4.0]).tolist()
    [25.3, 0.001]
    """
    return np.asarray(np.maximum(require("load_kn", load_kn, -1000, 1000, "kN"), _NEXT_TO_NIL_KN))
