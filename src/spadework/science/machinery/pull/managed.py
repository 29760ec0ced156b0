"""What a driver makes of a pass that asks too much: first slower, then shallower.

A driver slows down before lifting the tools, but would sooner lift them than crawl.  The share of the planned speed at
which that turns stands in table ``tractor_grip``.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray
from spadework.science.machinery.pull.match import most_depth_share, most_speed
from spadework.science.machinery.pull.planned import Pass, Tractor, possible
from spadework.science.machinery.pull.pulling import gather
from spadework.working import equation

__all__ = ["depth_managed", "needed_within_grip", "speed_managed"]

_GRIP = reference.constants("tractor_grip")


@equation(
    "power at the take-off at the planned speed, at the slip that gives the pull of tools, drawn machines and tractor; "
    "where the ground gives less than that within slip_most_share, the power at that slip, which is then a least",
    unit="kW",
    source="brixius_1987",
    locator="solved for the slip",
    in_words=True,
    takes={"planned": Pass, "tractor": Tractor},
)
def needed_within_grip(planned: Pass, tractor: Tractor) -> FloatArray:
    """Power that a pass needs at the power take-off as planned, as far as the ground gives the pull.

    Parameters
    ----------
    planned : Pass
        What the pass asks for as planned.
    tractor : Tractor
        What pulls it, and the slip that one still works with.

    Returns
    -------
    FloatArray
        Power [kW], in the broadcast shape of the arguments.

    Notes
    -----
    Where grip is short the tractor cannot do the pass at all; the figure then says what it would take at the least.

    Examples
    --------
    >>> plough, tractor = Pass(7, 22000, 0, 160), Tractor(8, 1, 0.058, 0, 55, 0.96, 100, 0.25)
    >>> needed_within_grip(plough, tractor).round(1).item()
    76.9
    """
    pull, (speed,), shape = gather(planned, tractor, planned.speed_km_h)
    one = np.ones_like(speed)
    ratio = np.minimum(pull.ratio(speed, one, one), pull.most_ratio())
    return pull.needed_kw(ratio, speed, one).reshape(shape)


@equation(
    "the largest share of the planned depth at which the tractor manages the pass at slow_share of the planned speed; "
    "1 where no tool follows the depth",
    unit="1",
    source="choice",
    locator="slower first, then shallower",
    constants=(_GRIP,),
    in_words=True,
    takes={"planned": Pass, "tractor": Tractor},
)
def depth_managed(planned: Pass, tractor: Tractor) -> FloatArray:
    """Share of the planned depth that the tractor manages without crawling.

    Parameters
    ----------
    planned : Pass
        What the pass asks for as planned.
    tractor : Tractor
        What pulls it, and the slip that one still works with.

    Returns
    -------
    FloatArray
        Share [1], in the broadcast shape of the arguments: 1 where it manages the depth at that slower speed or no tool
        follows the depth, nil where it does not manage that speed even with the tools lifted.

    Notes
    -----
    A pass that is short of power goes slower; one that would have to go slower than ``slow_share`` of the planned speed,
    or that is short of grip, goes shallower [choice].  Where there is nothing to lift it has to crawl.

    Examples
    --------
    >>> plough, tractors = Pass(7, 22000, 0, 160), Tractor(8, 1, 0.058, 0, 55, 0.96, [100, 60, 30], 0.25)
    >>> depth_managed(plough, tractors).round(2).tolist()
    [1.0, 1.0, 0.96]
    """
    return np.where(planned.lifts, most_depth_share(planned.slower(_GRIP.slow_share), tractor), 1.0)


@equation(
    "the highest speed up to the planned one at which the tractor manages the pass at depth_share of the planned depth; "
    "0 where tools that follow the depth would not touch the ground",
    unit="km/h",
    source="brixius_1987",
    locator="solved for the speed",
    in_words=True,
    takes={"planned": Pass, "tractor": Tractor},
)
def speed_managed(planned: Pass, tractor: Tractor, depth_share: ArrayLike) -> FloatArray:
    """Speed that the tractor manages at the depth that it manages.

    Parameters
    ----------
    planned : Pass
        What the pass asks for as planned.
    tractor : Tractor
        What pulls it, and the slip that one still works with.
    depth_share : array_like
        Depth at work per depth planned [1], 0 to 1; see :func:`depth_managed`.

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
    >>> plough, tractors = Pass(7, 22000, 0, 160), Tractor(8, 1, 0.058, 0, 55, 0.96, [100, 60], 0.25)
    >>> speed_managed(plough, tractors, 1).round(2).tolist()
    [7.0, 5.9]
    """
    depth = possible("depth_share", depth_share)
    idle = (depth == 0) & planned.lifts
    return np.where(idle, 0.0, most_speed(planned.shallower(depth), tractor))
