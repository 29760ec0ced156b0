"""How much plots would have differed by chance: planned plots laid over an old yield map of the same field.

The map was one crop with one treatment, so whatever the plots of a block differ by there is what hides a difference
between systems.  The plan is laid at many places, since one place is one chance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray, require
from spadework.reference import constants
from spadework.working import equation

__all__ = [
    "Rectangles",
    "TooFewPoints",
    "Virtual",
    "plots_side_by_side",
    "points_in_plots",
    "residual_cv",
    "virtual_cv",
]

_FAR = 1e7


class TooFewPoints(ValueError):  # noqa: N818 (its own word)
    """A map that holds too little for the plan."""


@dataclass(frozen=True)
class Rectangles:
    """Plots as rectangles with one heading.

    Attributes
    ----------
    x_m, y_m : FloatArray
        Middle of each plot, east and north of the corner of the map [m].
    width_m, length_m : float
        Across and along the heading [m].
    heading_deg : float
        Heading of the long side, clockwise from north [deg].
    block : NDArray
        Block of each plot.
    """

    x_m: FloatArray
    y_m: FloatArray
    width_m: float
    length_m: float
    heading_deg: float
    block: NDArray[np.int64]


@dataclass(frozen=True)
class Virtual:
    """What an old map says of the scatter between plots.

    Attributes
    ----------
    cv_share : float
        Scatter of plots inside blocks against the mean: root of the mean square over all placings [1].
    low_share, high_share : float
        What four placings of five lie between [1].
    without_blocks_share : float
        The same without blocks [1].
    placings : int
        Placings that held enough points.
    tried : int
        Placings that were tried.
    points : int
        Points of the map.
    per_plot : float
        Points in a plot, middle of all.
    """

    cv_share: float
    low_share: float
    high_share: float
    without_blocks_share: float
    placings: int
    tried: int
    points: int
    per_plot: float


def plots_side_by_side(
    blocks: int, plots: int, width_m: float, length_m: float, heading_deg: float = 0.0, *, behind: bool = False
) -> Rectangles:
    """Lay plots side by side, block after block, with the first corner at nought.

    Parameters
    ----------
    blocks, plots : int
        Blocks, and plots in each, 1 or more.
    width_m, length_m : float
        Size of a plot [m], above 0 to 5000.
    heading_deg : float
        Heading of its long side, clockwise from north [deg], 0 to 360.
    behind : bool
        True where blocks lie one behind another along the heading, False where all plots lie in one line.

    Returns
    -------
    Rectangles
        The plots, by block and position.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Examples
    --------
    >>> plots_side_by_side(2, 2, 6, 100).x_m.tolist()
    [3.0, 9.0, 15.0, 21.0]
    """
    require("blocks", blocks, 1, 1000)
    require("plots", plots, 1, 1000)
    wide, long = (require(f"{n}_m", v, 0, 5000, "m", above=True) for n, v in (("width", width_m), ("length", length_m)))
    angle = np.deg2rad(require("heading_deg", heading_deg, 0, 360, "deg"))
    block, place = (each.ravel() for each in np.indices((blocks, plots)))
    across = wide * ((place if behind else block * plots + place) + 0.5)
    along = long * ((block if behind else np.zeros_like(block)) + 0.5)
    x = across * np.cos(angle) + along * np.sin(angle)
    y = along * np.cos(angle) - across * np.sin(angle)
    return Rectangles(np.asarray(x), np.asarray(y), float(wide), float(long), float(heading_deg), block + 1)


@equation("plot in which a point lies, counted from nought; -1 in none", unit="1", source="choice", in_words=True)
def points_in_plots(x_m: ArrayLike, y_m: ArrayLike, plots: Rectangles) -> NDArray[np.int64]:
    """Find the plot of every point.

    Parameters
    ----------
    x_m, y_m : array_like
        Points, east and north [m], -1e7 to 1e7.
    plots : Rectangles
        The plots.

    Returns
    -------
    NDArray
        Plot of each point, counted from nought, -1 where it lies in none; the left and near edges belong to a plot.

    Raises
    ------
    ImpossibleValue
        If a coordinate lies outside its range.

    Examples
    --------
    >>> points_in_plots([1, 7, 30], [50, 50, 50], plots_side_by_side(1, 2, 6, 100)).tolist()
    [0, 1, -1]
    """
    x, y = require("x_m", x_m, -_FAR, _FAR, "m"), require("y_m", y_m, -_FAR, _FAR, "m")
    angle = np.deg2rad(plots.heading_deg)
    out = np.full(x.shape, -1, dtype=np.int64)
    for place, (middle_x, middle_y) in enumerate(zip(plots.x_m, plots.y_m, strict=True)):
        across = (x - middle_x) * np.cos(angle) - (y - middle_y) * np.sin(angle)
        along = (x - middle_x) * np.sin(angle) + (y - middle_y) * np.cos(angle)
        half_wide, half_long = plots.width_m / 2, plots.length_m / 2
        inside = (across >= -half_wide) & (across < half_wide) & (along >= -half_long) & (along < half_long)
        out[inside] = place
    return out


@equation(
    "root of the sum of squares of plot means about their block means over plots less blocks, against the mean of all",
    unit="1",
    source="gomez_gomez_1984",
    locator="uniformity trials",
    in_words=True,
)
def residual_cv(means: ArrayLike, block: ArrayLike) -> float:
    """Return the scatter of plot means inside their blocks, against the mean.

    Parameters
    ----------
    means : array_like
        Mean of each plot, in one unit [any], their mean above 0.
    block : array_like
        Block of each plot.

    Returns
    -------
    float
        Standard deviation over the mean [1].

    Raises
    ------
    ImpossibleValue
        If a mean is no number, or their mean is not above nought.
    ValueError
        If no block has two plots.

    Examples
    --------
    >>> round(residual_cv([9, 11, 19, 21], [1, 1, 2, 2]), 4)
    0.0943
    """
    values = require("means", means, -1e12, 1e12)
    _, codes, counts = np.unique(np.asarray(block), return_inverse=True, return_counts=True)
    if values.size <= counts.size:
        raise ValueError("no block has two plots; the scatter inside blocks cannot be seen")
    middle = require("mean", values.mean(), 0, 1e12, above=True)
    within = values - (np.bincount(codes, values) / counts)[codes]
    return float(np.sqrt((within**2).sum() / (values.size - counts.size)) / middle)


def virtual_cv(x_m: ArrayLike, y_m: ArrayLike, value: ArrayLike, plots: Rectangles, *, seed: int = 1) -> Virtual:
    """Lay the planned plots at many places of an old map and find how much they differ inside their blocks.

    Parameters
    ----------
    x_m, y_m : array_like
        Points of the map, east and north [m].
    value : array_like
        Yield at each [any], 0 to 1e9.
    plots : Rectangles
        The plan; where it lies does not matter, its heading does.
    seed : int
        Seed of the places.

    Returns
    -------
    Virtual
        Scatter with what four placings of five lie between.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.
    TooFewPoints
        If the plan does not fit on the map, or too few placings have enough points in every plot.

    Notes
    -----
    The placings overlap, so that their spread says how much the place matters, not how sure the figure is; another
    year may differ by more.  The map should be cleaned first: turns, half headers and wrong delays look like scatter.

    Examples
    --------
    >>> x, y = (each.ravel() for each in np.meshgrid(np.arange(0.0, 100.0, 2), np.arange(0.0, 120.0, 2)))
    >>> even = virtual_cv(x, y, np.full(x.size, 9.0), plots_side_by_side(3, 3, 6, 80))
    >>> even.cv_share, even.placings > 100
    (0.0, True)
    """
    x, y = require("x_m", x_m, -_FAR, _FAR, "m"), require("y_m", y_m, -_FAR, _FAR, "m")
    values = require("value", value, 0, 1e9)
    if not x.shape == y.shape == values.shape or x.ndim != 1:
        raise ValueError("`x_m`, `y_m` and `value` must be rows of the same length")
    rules = constants("design_rules")
    least, enough, most = (int(rules[key].value) for key in ("points_least", "placings_least", "placings_most"))
    count = plots.x_m.size
    if x.size < least * count:
        raise TooFewPoints(f"{x.size} points; {count} plots need {least * count} or more")
    covered = rules["covered_share"].value
    shifts = _shifts(x, y, plots, np.random.default_rng(seed), most)
    inside, outside, held = [], [], []
    for east, north in shifts:
        place = points_in_plots(x - east, y - north, plots)
        found = place >= 0
        counts = np.bincount(place[found], minlength=count)
        if counts.min() < max(least, covered * np.median(counts)):
            continue
        means = np.bincount(place[found], values[found], minlength=count) / counts
        inside.append(residual_cv(means, plots.block))
        outside.append(float(means.std(ddof=1) / means.mean()))
        held.append(np.median(counts))
    if len(inside) < enough:
        wide, long = plots.width_m, plots.length_m
        raise TooFewPoints(
            f"{len(inside)} of {len(shifts)} placings hold {least} points in each of {count} plots of {wide:g} by {long:g} m; "
            f"{enough} are needed. Plan shorter or fewer plots, turn the heading, or take a denser map"
        )
    low, high = np.quantile(inside, (0.1, 0.9))
    return Virtual(
        cv_share=float(np.sqrt(np.mean(np.square(inside)))),
        low_share=float(low),
        high_share=float(high),
        without_blocks_share=float(np.sqrt(np.mean(np.square(outside)))),
        placings=len(inside),
        tried=len(shifts),
        points=x.size,
        per_plot=float(np.median(held)),
    )


def _shifts(
    x: FloatArray, y: FloatArray, plots: Rectangles, random: np.random.Generator, most: int
) -> NDArray[np.float64]:
    """Return so many shifts that keep the middle of every plot on the ground that the map spans along its heading."""
    angle = np.deg2rad(plots.heading_deg)
    cos, sin = np.cos(angle), np.sin(angle)

    def turned(east: FloatArray, north: FloatArray) -> tuple[FloatArray, FloatArray]:
        return np.asarray(east * cos - north * sin), np.asarray(east * sin + north * cos)

    spans = []
    apart = np.sqrt(np.prod([np.ptp(side) for side in turned(x, y)]) / x.size)  # of neighbouring points, about
    sizes = (plots.width_m, plots.length_m)
    for map_side, plot_side, size, word in zip(
        turned(x, y), turned(plots.x_m, plots.y_m), sizes, ("across", "along"), strict=True
    ):
        low, high = map_side.min() - plot_side.min() + size / 2, map_side.max() - plot_side.max() - size / 2
        if high < low - 2 * apart:
            need, there = np.ptp(plot_side) + size, np.ptp(map_side)
            raise TooFewPoints(
                f"the plots take {need:.0f} m {word} the heading, and the map spans {there:.0f} m; turn the heading, or plan "
                "shorter or fewer plots"
            )
        low, high = min(low, (low + high) / 2), max(high, (low + high) / 2)
        spans.append(random.uniform(low, high, most))
    across, along = spans
    return np.column_stack((across * cos + along * sin, along * cos - across * sin))
