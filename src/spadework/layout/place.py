"""The plots of a comparison on its field: where each lies, room to turn, lane, and every change made by hand with its reason."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from spadework.layout.ground import Host, usable
from spadework.layout.search import Found, Lie, Need, best_spots, to_field, to_heading
from spadework.layout.widths import PlotWidth
from spadework.ranges import FloatArray
from spadework.statistics.designs.randomise import Laid

__all__ = ["CannotPlace", "Change", "Placed", "PlacedPlot", "Rules", "open_ground", "place", "plot_ground"]

Corners = tuple[tuple[float, float], ...]
"""Front left, front right, back right and back left, in local metres; front is where the rows begin."""


class CannotPlace(ValueError):  # noqa: N818 (its own word)
    """A layout that does not go onto its field; says what would help."""


@dataclass(frozen=True)
class Rules:
    """Distances that a layout keeps.

    Attributes
    ----------
    turning_m : float
        Room to turn at each end of the plots [m].
    lane_m : float
        Lane for visitors along the front [m]; 0 for none.
    side_m, obstacle_m, water_m : float
        Distance kept from the outline, from obstacles and from water [m].
    ends_m : float
        Length at each end of a plot that is not measured [m].
    length_m, least_m : float
        Length wanted of a block, and the least that would do [m].
    lie : str
        How the blocks lie, seen along the rows.
    over_m, slurry_over_m : float
        How far any machine, and one that places slurry, goes over the border of a plot [m]; it keeps the distances as well.
    """

    turning_m: float
    lane_m: float
    side_m: float
    obstacle_m: float
    water_m: float
    ends_m: float
    length_m: float
    least_m: float
    lie: Lie = "as they fit"
    over_m: float = 0.0
    slurry_over_m: float = 0.0


@dataclass(frozen=True)
class PlacedPlot:
    """One plot on the field.

    Attributes
    ----------
    number, block : int
        As they were drawn.
    labels : tuple of str
        What lies on it: the system first.
    corners : tuple
        Its corners in local metres.
    measured : tuple
        Corners of the measured part.
    """

    number: int
    block: int
    labels: tuple[str, ...]
    corners: Corners
    measured: Corners

    @property
    def polygon(self) -> Any:
        """The plot as a shape."""
        from shapely.geometry import Polygon

        return Polygon(self.corners)

    @property
    def length_m(self) -> float:
        """Length along the rows [m]."""
        return math.dist(self.corners[0], self.corners[3])

    @property
    def width_m(self) -> float:
        """Width across the rows [m]."""
        return math.dist(self.corners[0], self.corners[1])


@dataclass(frozen=True)
class Change:
    """One change made by hand.

    Attributes
    ----------
    what, reason : str
        In words.
    undrawn : bool
        True where the order of the systems is no longer as it was drawn.
    """

    what: str
    reason: str
    undrawn: bool


@dataclass(frozen=True)
class Placed:
    """A layout on its field.

    Attributes
    ----------
    host : Host
        The field.
    laid : Laid
        What was drawn, with its seed.
    width : PlotWidth
        Rows and width of the plots.
    rules : Rules
        Distances kept.
    heading_deg : float
        Of the rows from A to B, clockwise from true north at the middle of the field [degree].
    along_edge : bool
        True where that is the heading of an edge of the field.
    plots : tuple of PlacedPlot
        By number.
    turning, lanes : tuple
        Room to turn and lanes, as shapes.
    changes : tuple of Change
        Made by hand, in order.
    remarks : tuple of str
        What a reader must know.
    """

    host: Host
    laid: Laid
    width: PlotWidth
    rules: Rules
    heading_deg: float
    along_edge: bool
    plots: tuple[PlacedPlot, ...]
    turning: tuple[Any, ...]
    lanes: tuple[Any, ...]
    changes: tuple[Change, ...] = ()
    remarks: tuple[str, ...] = field(default=())

    @property
    def standing(self) -> str:
        """What readings of it are; ``strips`` where a hand has changed a drawn order."""
        drawn = self.laid.standing
        return "strips" if drawn == "replicated" and any(c.undrawn for c in self.changes) else drawn

    @property
    def systems(self) -> tuple[str, ...]:
        """Names of the systems, in the order of the plan."""
        return self.laid.asked.factors[0].labels

    def plot(self, number: int) -> PlacedPlot:
        """Return the plot of that number.

        Raises
        ------
        CannotPlace
            If there is none.
        """
        for one in self.plots:
            if one.number == number:
                return one
        raise CannotPlace(f"there is no plot {number}; allowed: {', '.join(str(one.number) for one in self.plots)}")


def open_ground(host: Host, obstacle_m: float) -> Any:
    """Return the ground on which machines may turn: the field without obstacles and water, and as far from both."""
    return usable(host, 0.0, obstacle_m, obstacle_m)


def plot_ground(host: Host, rules: Rules) -> Any:
    """Return the ground on which plots may lie, so that no machine comes too near to anything where it goes over a border.

    Notes
    -----
    Slurry that goes over a border keeps the distance to water; every machine stays in the field and off the obstacles.
    """
    return usable(
        host,
        max(rules.side_m, rules.over_m),
        rules.obstacle_m + rules.over_m,
        max(rules.water_m + rules.slurry_over_m, rules.over_m),
    )


def place(host: Host, laid: Laid, width: PlotWidth, rules: Rules, heading_deg: float | None = None) -> Placed:
    """Lay the plots of a comparison onto its field.

    Parameters
    ----------
    host : Host
        The field.
    laid : Laid
        The layout as it was drawn.
    width : PlotWidth
        Rows and width of a plot.
    rules : Rules
        Distances to keep.
    heading_deg : float, optional
        Heading of the rows from A to B [degree]; the best one is looked for if left out.

    Returns
    -------
    Placed
        The same for the same arguments.

    Raises
    ------
    CannotPlace
        If not all blocks fit; says how many do.

    Notes
    -----
    A block is laid out whole: its plots lie side by side without a gap, and its parts, where it has some, one behind another.
    Room to turn in front and behind, and the lane, lie inside the field and off obstacles; plots also keep away from water and
    from the outline.
    """
    across = max(plot.column for plot in laid.rows)
    parts = max(plot.row for plot in laid.rows if plot.block == 1)
    lie: Lie = "one behind another" if laid.asked.kind == "Latin square" else rules.lie
    need = Need(
        laid.asked.blocks,
        across * width.width_m,
        rules.length_m,
        min(rules.least_m, rules.length_m),
        rules.turning_m + rules.lane_m,
        rules.turning_m,
        lie,
    )
    ground = plot_ground(host, rules)
    room = open_ground(host, rules.obstacle_m)
    found = best_spots(ground, room, host.outline, need, heading_deg)
    if found is None or len(found.spots) < need.blocks:
        raise CannotPlace(_does_not_fit(need, found, heading_deg))
    if heading_deg is None and _gate_behind(host, found, need):
        other = best_spots(ground, room, host.outline, need, (found.heading_deg + 180) % 360)
        if other is not None and (len(other.spots), other.length_m) >= (need.blocks, found.length_m - 0.5):
            found = replace(other, along_edge=found.along_edge)
    remarks = []
    if found.length_m < rules.length_m - 0.05:
        remarks.append(f"Plots are {found.length_m:.0f} m long: the {rules.length_m:.0f} m asked for do not fit.")
    return _laid_out(host, laid, width, rules, found, parts, remarks)


def _gate_behind(host: Host, found: Found, need: Need) -> bool:
    """Tell whether a gate among the fixed points lies nearer to the back of the blocks than to their front."""
    gates = [(east, north) for name, east, north in host.fixed if "gate" in name.lower()]
    if not gates:
        return False
    ahead = float(to_heading(np.array(gates[:1]), found.heading_deg)[0, 1])
    middle = sum(spot.y_m for spot in found.spots) / len(found.spots) + found.length_m / 2
    return ahead > middle


def _does_not_fit(need: Need, found: Found | None, heading_deg: float | None) -> str:
    at = "" if heading_deg is None else f" at a heading of {heading_deg:g} degrees"
    fit = "not one block fits" if found is None else f"only {len(found.spots)} of {need.blocks} blocks fit"
    return (
        f"{fit}{at}: a block is {need.breadth_m:g} m broad and at least {need.least_m:g} m long, with {need.front_m:g} m in "
        f"front and {need.back_m:g} m behind to turn; take fewer blocks, narrower or shorter plots, or less room to turn"
        + ("" if need.lie == "as they fit" else f", or do not ask for blocks that lie {need.lie}")
    )


def _laid_out(
    host: Host, laid: Laid, width: PlotWidth, rules: Rules, found: Found, parts: int, remarks: Sequence[str]
) -> Placed:
    from shapely.geometry import Polygon

    step = found.length_m / parts
    plots, breadth = [], max(plot.column for plot in laid.rows) * width.width_m
    spacing = width.width_m / width.rows
    for plot in laid.rows:
        spot = found.spots[plot.block - 1]
        x = spot.x_m + (plot.column - 1) * width.width_m
        y = spot.y_m + ((plot.row - 1) % parts) * step
        inside = (x + width.left_guard * spacing, x + width.last_row * spacing)
        ends = min(rules.ends_m, step / 2 - 0.01)
        plots.append(
            PlacedPlot(
                plot.number,
                plot.block,
                plot.labels,
                _corners(x, x + width.width_m, y, y + step, found.heading_deg),
                _corners(*inside, y + ends, y + step - ends, found.heading_deg),
            )
        )
    turning, lanes = [], []
    for spot in found.spots:
        left, right, low, high = spot.x_m, spot.x_m + breadth, spot.y_m, spot.y_m + found.length_m
        front = low - rules.lane_m
        turning.append(Polygon(_corners(left, right, front - rules.turning_m, front, found.heading_deg)))
        turning.append(Polygon(_corners(left, right, high, high + rules.turning_m, found.heading_deg)))
        if rules.lane_m:
            lanes.append(Polygon(_corners(left, right, front, low, found.heading_deg)))
    return Placed(
        host,
        laid,
        width,
        rules,
        found.heading_deg,
        found.along_edge,
        tuple(plots),
        tuple(turning),
        tuple(lanes),
        (),
        tuple(remarks),
    )


def _corners(left: float, right: float, low: float, high: float, heading_deg: float) -> Corners:
    turned: FloatArray = to_field(np.array([(left, low), (right, low), (right, high), (left, high)]), heading_deg)
    return tuple((float(east), float(north)) for east, north in turned)
