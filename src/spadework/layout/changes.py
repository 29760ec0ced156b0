"""Changes of a layout by hand: two plots exchanged, or a block moved, each with its reason."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from spadework.layout.place import CannotPlace, Change, Corners, Placed, open_ground, plot_ground
from spadework.layout.search import to_field

__all__ = ["moved", "swapped"]


def swapped(placed: Placed, one: int, other: int, reason: str) -> Placed:
    """Return the layout with what lies on two plots exchanged.

    Parameters
    ----------
    placed : Placed
        The layout.
    one, other : int
        Numbers of the plots.
    reason : str
        Why; it is kept and printed.

    Returns
    -------
    Placed
        With the change written down.  A drawn order that is changed by hand makes strips of it, not randomised.

    Raises
    ------
    CannotPlace
        If a plot is not there, both lie in different blocks, or no reason is given.
    """
    first, second = placed.plot(one), placed.plot(other)
    if first.block != second.block:
        raise CannotPlace(f"plots {one} and {other} lie in different blocks; a block must hold every system")
    if one == other:
        raise CannotPlace(f"plot {one} cannot be exchanged with itself")
    new = {one: second.labels, other: first.labels}
    plots = tuple(replace(plot, labels=new.get(plot.number, plot.labels)) for plot in placed.plots)
    undrawn = first.labels != second.labels
    what = f"{first.labels[0]} (plot {one}) and {second.labels[0]} (plot {other}) exchanged"
    return replace(placed, plots=plots, changes=(*placed.changes, Change(what, _reason(reason), undrawn)))


def moved(placed: Placed, block: int, right_m: float, ahead_m: float, reason: str) -> Placed:
    """Return the layout with a whole block moved, seen along the heading.

    Parameters
    ----------
    placed : Placed
        The layout.
    block : int
        Number of the block.
    right_m, ahead_m : float
        How far to the right and ahead [m]; negative to the left and back.
    reason : str
        Why; it is kept and printed.

    Returns
    -------
    Placed
        With the change written down.  The order stays as it was drawn, and so does the standing.

    Raises
    ------
    CannotPlace
        If the block is not there, would leave the usable ground, lie on another one or lose its room to turn, or if the
        reason is missing.
    """
    from shapely import affinity
    from shapely.geometry import Polygon

    mine = [plot for plot in placed.plots if plot.block == block]
    if not mine:
        raise CannotPlace(f"there is no block {block}; allowed: 1 to {placed.laid.asked.blocks}")
    east, north = to_field(np.array([[right_m, ahead_m]]), placed.heading_deg)[0].tolist()

    def shifted(corners: Corners) -> Corners:
        return tuple((x + east, y + north) for x, y in corners)

    new = {p.number: replace(p, corners=shifted(p.corners), measured=shifted(p.measured)) for p in mine}
    rules, host = placed.rules, placed.host
    ground = plot_ground(host, rules).buffer(0.01)
    room = open_ground(host, rules.obstacle_m).buffer(0.01)
    places = [Polygon(plot.corners) for plot in new.values()]
    rest = [plot.polygon for plot in placed.plots if plot.block != block]
    if not all(ground.contains(one) for one in places):
        raise CannotPlace(f"block {block} would leave the ground on which plots may lie; move it less far")
    if any(one.intersection(other).area > 0.01 for one in places for other in rest):
        raise CannotPlace(f"block {block} would lie on another block; move it less far")
    turning, lanes = list(placed.turning), list(placed.lanes)
    ends = (2 * block - 2, 2 * block - 1)
    for at in ends:
        turning[at] = affinity.translate(turning[at], east, north)
        if not room.contains(turning[at]) or any(turning[at].intersection(other).area > 0.01 for other in rest):
            raise CannotPlace(f"block {block} would lose its room to turn; move it less far")
    if lanes:
        lanes[block - 1] = affinity.translate(lanes[block - 1], east, north)
    what = f"block {block} moved {_way(right_m, 'right', 'left')} and {_way(ahead_m, 'ahead', 'back')}"
    return replace(
        placed,
        plots=tuple(new.get(plot.number, plot) for plot in placed.plots),
        turning=tuple(turning),
        lanes=tuple(lanes),
        changes=(*placed.changes, Change(what, _reason(reason), False)),
    )


def _way(metres: float, plus: str, minus: str) -> str:
    return f"{abs(metres):g} m {plus if metres >= 0 else minus}"


def _reason(reason: str) -> str:
    kept = " ".join(reason.split())
    if not kept or not kept.isprintable():
        raise CannotPlace("a change made by hand needs its reason, in words")
    return kept
