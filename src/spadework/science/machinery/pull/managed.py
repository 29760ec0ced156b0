"""What a driver makes of a pass that asks too much: first slower, then shallower.

A driver slows down before lifting the tools, but would sooner lift them than crawl.  The share of the planned speed at
which that turns stands in table ``tractor_grip``.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.science.machinery.pull import grip
from spadework.science.machinery.pull.match import most_depth_share, most_speed
from spadework.science.machinery.pull.pulling import gather
from spadework.working import equation

__all__ = ["depth_managed", "needed_within_grip", "speed_managed"]

_GRIP = reference.constants("tractor_grip")
_DEEP = {"deep_0_n": "N", "deep_1_n_h_km": "N h/km", "deep_2_n_h2_km2": "N h2/km2"}


def _lifts(given: Mapping[str, ArrayLike]) -> NDArray[np.bool_]:
    """Return where the pass has tools that follow its depth and can be lifted."""
    parts = [np.asarray(given[name], dtype=np.float64) > 0 for name in _DEEP]
    return np.asarray(parts[0] | parts[1] | parts[2])


@equation(
    "power at the take-off at the planned speed, at the slip that gives the pull of tools, drawn machines and tractor; "
    "where the ground gives less than that within slip_most_share, the power at that slip, which is then a least",
    unit="kW",
    source="brixius_1987",
    locator="solved for the slip",
    in_words=True,
)
def needed_within_grip(
    speed_km_h: ArrayLike,
    deep_0_n: ArrayLike,
    deep_1_n_h_km: ArrayLike,
    deep_2_n_h2_km2: ArrayLike,
    other_0_n: ArrayLike,
    other_1_n_h_km: ArrayLike,
    other_2_n_h2_km2: ArrayLike,
    towed_n: ArrayLike,
    pump_kw: ArrayLike,
    rotary_kw: ArrayLike,
    tractor_t: ArrayLike,
    driven_share: ArrayLike,
    hitch_t: ArrayLike,
    rolling_coefficient: ArrayLike,
    slope_share: ArrayLike,
    wheel_number: ArrayLike,
    axle_per_pto: ArrayLike,
    rated_pto_kw: ArrayLike,
    slip_most_share: ArrayLike,
) -> FloatArray:
    """Power that a pass needs at the power take-off as planned, as far as the ground gives the pull.

    Parameters
    ----------
    speed_km_h : array_like
        Speed planned [km/h], above 0 to 30.
    deep_0_n, other_0_n, towed_n : array_like
        Pull without speed: deep tools, other tools, drawn machines and hoses [N]; as in :func:`.needed_at`.
    deep_1_n_h_km, other_1_n_h_km : array_like
        Draft by speed [N h/km]; likewise.
    deep_2_n_h2_km2, other_2_n_h2_km2 : array_like
        Draft by the square of speed [N h2/km2]; likewise.
    pump_kw, rotary_kw : array_like
        Pumps and driven tools, as planned [kW]; likewise.
    tractor_t, hitch_t : array_like
        Tractor, and what rests on its hitch [t]; likewise.
    driven_share, rolling_coefficient, slope_share, wheel_number, axle_per_pto : array_like
        Wheels and ground [1]; likewise.
    rated_pto_kw : array_like
        Rated power at the power take-off [kW], above 0 to 2000.
    slip_most_share : array_like
        Largest slip that one still works with [1], above 0 to 0.95; table ``tractor_grip``.

    Returns
    -------
    FloatArray
        Power [kW], in the broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    Where grip is short the tractor cannot do the pass at all; the figure then says what it would take at the least.

    Examples
    --------
    >>> plough = (22000, 0, 160, 0, 0, 0, 0, 0, 0, 8, 1, 0, 0.058, 0, 55, 0.96, 100, 0.25)
    >>> needed_within_grip(7, *plough).round(1).item()
    76.9
    """
    planned, flat, shape = gather(dict(locals()))
    one = np.ones_like(planned.speed_km_h)
    most = grip.most_pull_ratio_brixius(planned.wheel_number, flat["slip_most_share"])
    ratio = np.minimum(planned.ratio(planned.speed_km_h, one, one), most)
    return planned.needed_kw(ratio, planned.speed_km_h, one).reshape(shape)


@equation(
    "the largest share of the planned depth at which the tractor manages the pass at slow_share of the planned speed; "
    "1 where no tool follows the depth",
    unit="1",
    source="choice",
    locator="slower first, then shallower",
    constants=(_GRIP,),
    in_words=True,
)
def depth_managed(
    speed_km_h: ArrayLike,
    deep_0_n: ArrayLike,
    deep_1_n_h_km: ArrayLike,
    deep_2_n_h2_km2: ArrayLike,
    other_0_n: ArrayLike,
    other_1_n_h_km: ArrayLike,
    other_2_n_h2_km2: ArrayLike,
    towed_n: ArrayLike,
    pump_kw: ArrayLike,
    rotary_kw: ArrayLike,
    tractor_t: ArrayLike,
    driven_share: ArrayLike,
    hitch_t: ArrayLike,
    rolling_coefficient: ArrayLike,
    slope_share: ArrayLike,
    wheel_number: ArrayLike,
    axle_per_pto: ArrayLike,
    rated_pto_kw: ArrayLike,
    slip_most_share: ArrayLike,
) -> FloatArray:
    """Share of the planned depth that the tractor manages without crawling.

    Parameters
    ----------
    speed_km_h : array_like
        Speed planned [km/h], above 0 to 30.
    deep_0_n, other_0_n, towed_n : array_like
        Pull without speed: deep tools, other tools, drawn machines and hoses [N]; as in :func:`.needed_at`.
    deep_1_n_h_km, other_1_n_h_km : array_like
        Draft by speed [N h/km]; likewise.
    deep_2_n_h2_km2, other_2_n_h2_km2 : array_like
        Draft by the square of speed [N h2/km2]; likewise.
    pump_kw, rotary_kw : array_like
        Pumps and driven tools, as planned [kW]; likewise.
    tractor_t, hitch_t : array_like
        Tractor, and what rests on its hitch [t]; likewise.
    driven_share, rolling_coefficient, slope_share, wheel_number, axle_per_pto : array_like
        Wheels and ground [1]; likewise.
    rated_pto_kw : array_like
        Rated power at the power take-off [kW], above 0 to 2000.
    slip_most_share : array_like
        Largest slip that one still works with [1], above 0 to 0.95; table ``tractor_grip``.

    Returns
    -------
    FloatArray
        Share [1], in the broadcast shape of the arguments: 1 where it manages the depth at that slower speed or no tool
        follows the depth, nil where it does not manage that speed even with the tools lifted.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    A pass that is short of power goes slower; one that would have to go slower than ``slow_share`` of the planned speed,
    or that is short of grip, goes shallower [choice].  Where there is nothing to lift it has to crawl.

    Examples
    --------
    >>> plough = (22000, 0, 160, 0, 0, 0, 0, 0, 0, 8, 1, 0, 0.058, 0, 55, 0.96)
    >>> depth_managed(7, *plough, [100, 60, 30], 0.25).round(2).tolist()
    [1.0, 1.0, 0.96]
    """
    given = dict(locals())
    slow = _GRIP.slow_share * require("speed_km_h", speed_km_h, 0, 30, "km/h", above=True)
    given |= {"speed_km_h": slow, "pump_kw": _GRIP.slow_share * require("pump_kw", pump_kw, 0, 3000, "kW")}
    return np.where(_lifts(given), most_depth_share(**given), 1.0)


@equation(
    "the highest speed up to the planned one at which the tractor manages the pass at depth_share of the planned depth; "
    "0 where tools that follow the depth would not touch the ground",
    unit="km/h",
    source="brixius_1987",
    locator="solved for the speed",
    in_words=True,
)
def speed_managed(
    speed_km_h: ArrayLike,
    depth_share: ArrayLike,
    deep_0_n: ArrayLike,
    deep_1_n_h_km: ArrayLike,
    deep_2_n_h2_km2: ArrayLike,
    other_0_n: ArrayLike,
    other_1_n_h_km: ArrayLike,
    other_2_n_h2_km2: ArrayLike,
    towed_n: ArrayLike,
    pump_kw: ArrayLike,
    rotary_kw: ArrayLike,
    tractor_t: ArrayLike,
    driven_share: ArrayLike,
    hitch_t: ArrayLike,
    rolling_coefficient: ArrayLike,
    slope_share: ArrayLike,
    wheel_number: ArrayLike,
    axle_per_pto: ArrayLike,
    rated_pto_kw: ArrayLike,
    slip_most_share: ArrayLike,
) -> FloatArray:
    """Speed that the tractor manages at the depth that it manages.

    Parameters
    ----------
    speed_km_h : array_like
        Speed planned [km/h], above 0 to 30.
    depth_share : array_like
        Depth at work per depth planned [1], 0 to 1; see :func:`depth_managed`.
    deep_0_n, other_0_n, towed_n : array_like
        Pull without speed: deep tools, other tools, drawn machines and hoses [N]; as in :func:`.needed_at`.
    deep_1_n_h_km, other_1_n_h_km : array_like
        Draft by speed [N h/km]; likewise.
    deep_2_n_h2_km2, other_2_n_h2_km2 : array_like
        Draft by the square of speed [N h2/km2]; likewise.
    pump_kw, rotary_kw : array_like
        Pumps and driven tools, as planned [kW]; likewise.
    tractor_t, hitch_t : array_like
        Tractor, and what rests on its hitch [t]; likewise.
    driven_share, rolling_coefficient, slope_share, wheel_number, axle_per_pto : array_like
        Wheels and ground [1]; likewise.
    rated_pto_kw : array_like
        Rated power at the power take-off [kW], above 0 to 2000.
    slip_most_share : array_like
        Largest slip that one still works with [1], above 0 to 0.95; table ``tractor_grip``.

    Returns
    -------
    FloatArray
        Speed [km/h], in the broadcast shape of the arguments; 0 where it manages the pass at no speed, or only with the
        tools out of the ground.

    Raises
    ------
    ImpossibleValue
        If an argument lies outside its range.

    Notes
    -----
    :func:`.most_speed` with the draft of the deep tools in proportion to the depth, as in ASAE D497.

    Examples
    --------
    >>> plough = (22000, 0, 160, 0, 0, 0, 0, 0, 0, 8, 1, 0, 0.058, 0, 55, 0.96)
    >>> speed_managed(7, 1, *plough, [100, 60], 0.25).round(2).tolist()
    [7.0, 5.9]
    """
    given = dict(locals())
    depth = require("depth_share", given.pop("depth_share"), 0, 1)
    idle = (depth == 0) & _lifts(given)
    given |= {name: depth * require(name, given[name], 0, 1e6, unit) for name, unit in _DEEP.items()}
    return np.where(idle, 0.0, most_speed(**given))
