"""How the nitrogen of a band spreads through a cut across the row, and what of it is nitrate.

The cut is half a row wide: the band lies under the row at one side, and the neighbouring band mirrors it at the other.
Nothing crosses the sides, the surface or the bottom.  The cut is divided into square cells, and what flows between two
cells goes with the difference of their concentrations (finite volumes).  On such a grid the flow between cells has
waves of cosines as its own modes, each of which fades by itself; so time is stepped exactly, however long the step,
nothing is lost, and many draws share one grid.

Ammonium spreads with one apparent coefficient D for the whole cut, so that time and D come in only as their product,
the spread in cm2, summed over the days where D changes.  Water that moves, uptake by roots and sorption that bends are
left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.working import equation

__all__ = [
    "ammonium_at",
    "ammonium_section",
    "nitrate_at",
]

_STRIPS = 32  # into which a cell is cut to find how much of it lies in the band
_PIECE = 200_000  # multiplications that are done at once


@equation(
    "share of the concentration at the start that finite volumes with closed sides give after the spread, "
    "between the middles of cells by straight lines",
    unit="1",
    source="physics",
    locator="diffusion, two dimensions",
    in_words=True,
)
def ammonium_at(
    spread_cm2: ArrayLike,
    across_cm: ArrayLike,
    depth_cm: ArrayLike,
    *,
    centre_depth_cm: float,
    half_height_cm: float,
    half_width_cm: float,
    row_spacing_m: float,
    section_depth_cm: float = 60,
    cell_cm: float = 0.5,
    layer: bool = False,
) -> FloatArray:
    """Work out the ammoniacal nitrogen at points near a band, before any of it nitrifies.

    Parameters
    ----------
    spread_cm2 : array_like
        Apparent diffusion times time [cm2], 0 to 1e6, any shape; see :func:`~spadework.science.band.mobility.spread_of_days`.
    across_cm, depth_cm : array_like
        Points: distance from the row and depth under the surface [cm], within the cut; any shape together.
    centre_depth_cm : float
        Centre of the band under the surface [cm].
    half_height_cm, half_width_cm : float
        Half the height and half the width of the band [cm]; it must lie within the cut.
    row_spacing_m : float
        Between bands [m], more than 0, to 10.
    section_depth_cm : float
        Depth of the cut [cm], more than 0, to 1000; nothing passes its bottom.
    cell_cm : float
        Side of a cell [cm], about: made to fit both sides of the cut.  At most 1000 cells along a side.
    layer : bool
        Whether the band is an even layer (goosefoot share) rather than an ellipse.

    Returns
    -------
    ndarray
        Concentration over that of the fresh band [1]; shape of the spread, then of the points.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the band sticks out of the cut.

    Notes
    -----
    Multiply by the nitrogen of the fresh band and by the share left.  Sharp edges blur over about a
    cell in the first days; halve the cell to see how much.

    Examples
    --------
    >>> band = {"centre_depth_cm": 16, "half_height_cm": 5, "half_width_cm": 5, "row_spacing_m": 0.75}
    >>> ammonium_at([0.5, 5], 0, [16, 11, 5], **band).round(2).tolist()
    [[1.0, 0.46, 0.0], [0.71, 0.36, 0.02]]
    """
    cut = _Cut.made(row_spacing_m, section_depth_cm, cell_cm)
    modes = cut.band(centre_depth_cm, half_height_cm, half_width_cm, layer=layer)
    spread = require("spread_cm2", spread_cm2, 0, 1e6, "cm2")
    down, across, shape = cut.points(depth_cm, across_cm)
    fade_down = np.exp(np.multiply.outer(spread.ravel(), cut.down_rates))
    fade_across = np.exp(np.multiply.outer(spread.ravel(), cut.across_rates))
    found = np.empty((spread.size, len(down)))
    beside, which = np.unique(np.broadcast_to(across_cm, shape), return_inverse=True)
    for number in range(len(beside)):  # points below one another share all but the last step
        here = np.flatnonzero(which.ravel() == number)
        faded = fade_down * _product(fade_across, (modes * across[here[0]]).T)
        found[:, here] = _product(faded, down[here].T)
    return found.reshape(spread.shape + shape)


@equation(
    "share of the concentration at the start that finite volumes with closed sides give after the spread, cell by cell",
    unit="1",
    source="physics",
    locator="diffusion, two dimensions",
    in_words=True,
)
def ammonium_section(
    spread_cm2: ArrayLike,
    *,
    centre_depth_cm: float,
    half_height_cm: float,
    half_width_cm: float,
    row_spacing_m: float,
    section_depth_cm: float = 60,
    cell_cm: float = 0.5,
    layer: bool = False,
) -> FloatArray:
    """Work out the ammoniacal nitrogen over the whole cut, before any of it nitrifies.

    Parameters
    ----------
    spread_cm2 : array_like
        Apparent diffusion times time [cm2], 0 to 1e6, any shape.
    centre_depth_cm, half_height_cm, half_width_cm : float
        The band [cm], as in :func:`ammonium_at`.
    row_spacing_m : float
        Between bands [m], more than 0, to 10.
    section_depth_cm, cell_cm : float
        Depth of the cut and side of a cell [cm], as in :func:`ammonium_at`.
    layer : bool
        Whether the band is an even layer rather than an ellipse.

    Returns
    -------
    ndarray
        Means of cells over the concentration of the fresh band [1]; shape of the spread, then cells from the surface
        down, then cells from the row to the middle between rows.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the band sticks out of the cut.

    Examples
    --------
    >>> band = {"centre_depth_cm": 16, "half_height_cm": 5, "half_width_cm": 5, "row_spacing_m": 0.75}
    >>> share = ammonium_section([0, 50], cell_cm=0.5, **band)
    >>> share.shape
    (2, 120, 75)
    >>> (share.sum(axis=(1, 2)) * 0.25).round(3).tolist()  # half a circle of 5 cm, before and after
    [39.27, 39.27]
    """
    from scipy.fft import idctn

    cut = _Cut.made(row_spacing_m, section_depth_cm, cell_cm)
    modes = cut.band(centre_depth_cm, half_height_cm, half_width_cm, layer=layer)
    spread = require("spread_cm2", spread_cm2, 0, 1e6, "cm2")[..., np.newaxis, np.newaxis]
    faded = modes * np.exp(spread * cut.down_rates[:, np.newaxis]) * np.exp(spread * cut.across_rates)
    return np.asarray(idctn(faded, axes=(-2, -1), norm="ortho"), dtype=np.float64)


@equation(
    "nitrate that the ammonium left behind step by step, spread by its own diffusion since, over the ammonium of the "
    "fresh band",
    unit="1",
    source="physics",
    locator="diffusion, two dimensions, with a first-order source",
    in_words=True,
)
def nitrate_at(
    step_days: ArrayLike,
    ammonium_cm2_day: ArrayLike,
    nitrate_cm2_day: ArrayLike,
    rate_per_day: ArrayLike,
    across_cm: ArrayLike,
    depth_cm: ArrayLike,
    *,
    centre_depth_cm: float,
    half_height_cm: float,
    half_width_cm: float,
    row_spacing_m: float,
    section_depth_cm: float = 60,
    cell_cm: float = 1,
    layer: bool = False,
) -> FloatArray:
    """Work out the nitrate at points near a band.

    Parameters
    ----------
    step_days : array_like
        Length of each step, along the last axis [d], 0 to 1000.
    ammonium_cm2_day, nitrate_cm2_day : array_like
        Apparent diffusion of either in each step [cm2/day], 0 to 1e4.
    rate_per_day : array_like
        Nitrification in each step [1/day], 0 to 10.
    across_cm, depth_cm : array_like
        Points in the cut [cm], as in :func:`ammonium_at`.
    centre_depth_cm, half_height_cm, half_width_cm : float
        The band [cm], as in :func:`ammonium_at`.
    row_spacing_m : float
        Between bands [m], more than 0, to 10.
    section_depth_cm, cell_cm : float
        Depth of the cut and side of a cell [cm], as in :func:`ammonium_at`.
    layer : bool
        Whether the band is an even layer rather than an ellipse.

    Returns
    -------
    ndarray
        Nitrate nitrogen per volume of soil over the ammoniacal nitrogen of the fresh band [1] at the end of each step;
        shape of the first four inputs broadcast together, then of the points.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the band sticks out of the cut.

    Notes
    -----
    Exact within each step for every mode.  Rain that washes nitrate down, gas losses and uptake are left out.

    Examples
    --------
    >>> band = {"centre_depth_cm": 16, "half_height_cm": 5, "half_width_cm": 5, "row_spacing_m": 0.75}
    >>> nitrate_at([14, 14], 0.02, 0.1, 0.02, 0, [16, 9], **band).round(3).tolist()
    [[0.242, 0.014], [0.407, 0.047]]
    """
    cut = _Cut.made(row_spacing_m, section_depth_cm, cell_cm)
    modes = cut.band(centre_depth_cm, half_height_cm, half_width_cm, layer=layer)
    step, ammonium, nitrate, rate = np.broadcast_arrays(
        np.atleast_1d(require("step_days", step_days, 0, 1000, "d")),
        require("ammonium_cm2_day", ammonium_cm2_day, 0, 1e4, "cm2/day"),
        require("nitrate_cm2_day", nitrate_cm2_day, 0, 1e4, "cm2/day"),
        require("rate_per_day", rate_per_day, 0, 10, "1/day"),
    )
    down, across, shape = cut.points(depth_cm, across_cm)
    rates = cut.down_rates[:, np.newaxis] + cut.across_rates
    found = np.empty((*step.shape, len(down)))
    for draw in np.ndindex(step.shape[:-1]):
        held, made = modes, np.zeros_like(modes)
        for place in range(step.shape[-1]):
            here = (*draw, place)
            fast, slow = step[here] * nitrate[here] * rates, step[here] * (ammonium[here] * rates - rate[here])
            made = made * np.exp(fast) + step[here] * rate[here] * held * _between(fast, slow)
            held = held * np.exp(slow)
            found[here] = np.einsum("pz,zx,px->p", down, made, across, optimize=True)
    return found.reshape(step.shape + shape)


def _product(left: FloatArray, right: FloatArray) -> FloatArray:
    """Return the product of two matrices in pieces: large ones start threads, which takes longer than so small a product."""
    rows = max(1, _PIECE // right.size)
    found = np.empty((len(left), right.shape[1]))
    for begin in range(0, len(left), rows):
        found[begin : begin + rows] = left[begin : begin + rows] @ right
    return found


def _between(first: FloatArray, second: FloatArray) -> FloatArray:
    """Return the mean of e to the power of all numbers from `first` to `second`."""
    half = np.abs(first - second)
    slope = np.divide(-np.expm1(-half), half, out=np.ones_like(half), where=half > 0)
    mean: FloatArray = np.exp(np.maximum(first, second)) * slope
    return mean


@dataclass(frozen=True)
class _Cut:
    """The grid: sides, cells and the rates [1/cm2] at which its cosine modes fade."""

    width_cm: float
    depth_cm: float
    columns: int
    layers: int
    across_rates: FloatArray
    down_rates: FloatArray

    @classmethod
    def made(cls, row_spacing_m: float, section_depth_cm: float, cell_cm: float) -> _Cut:
        width = 50 * float(require("row_spacing_m", row_spacing_m, 0, 10, "m", above=True))
        depth = float(require("section_depth_cm", section_depth_cm, 0, 1000, "cm", above=True))
        cell = float(require("cell_cm", cell_cm, max(width, depth) / 1000, min(width, depth) / 2, "cm"))
        columns, layers = round(width / cell), round(depth / cell)
        return cls(width, depth, columns, layers, _rates(columns, width), _rates(layers, depth))

    def band(self, centre_depth_cm: float, half_height_cm: float, half_width_cm: float, *, layer: bool) -> FloatArray:
        """Return the modes of the fresh band, whose cells sum exactly to its area."""
        from scipy.fft import dctn

        a = float(require("half_width_cm", half_width_cm, 0, self.width_cm, "cm", above=True))
        centre = float(require("centre_depth_cm", centre_depth_cm, 0, self.depth_cm, "cm"))
        most = min(centre, self.depth_cm - centre)
        b = float(require("half_height_cm", half_height_cm, 0, most, "cm", above=True))
        reached = min(self.columns, int(np.ceil(a * self.columns / self.width_cm)))
        strips = (np.arange(reached * _STRIPS) + 0.5) * self.width_cm / (self.columns * _STRIPS)
        ellipse = b * np.sqrt(np.maximum(1 - (strips / a) ** 2, 0))
        chord = np.where(strips < a, b, 0.0) if layer else ellipse
        if not chord.any():
            raise ImpossibleValue(
                "half_width_cm", f"{a:.6g}", self.width_cm / self.columns / _STRIPS, self.width_cm, "cm"
            )
        edges = np.linspace(0, self.depth_cm, self.layers + 1)[:, np.newaxis]
        filled = np.diff(np.clip(edges, centre - chord, centre + chord), axis=0) * self.layers / self.depth_cm
        share = np.zeros((self.layers, self.columns))
        share[:, :reached] = filled.reshape(self.layers, reached, _STRIPS).mean(axis=-1)
        area = 2 * a * b if layer else np.pi * a * b / 2
        share *= area / (share.sum() * self.width_cm * self.depth_cm / (self.columns * self.layers))
        return np.asarray(dctn(share, norm="ortho"), dtype=np.float64)

    def points(self, depth_cm: ArrayLike, across_cm: ArrayLike) -> tuple[FloatArray, FloatArray, tuple[int, ...]]:
        """Return the modes at each point, down and across, and the shape of the points."""
        down, across = np.broadcast_arrays(
            require("depth_cm", depth_cm, 0, self.depth_cm, "cm"),
            require("across_cm", across_cm, 0, self.width_cm, "cm"),
        )
        return (
            _modes_at(down.ravel() / self.depth_cm * self.layers, self.layers),
            _modes_at(across.ravel() / self.width_cm * self.columns, self.columns),
            down.shape,
        )


def _rates(cells: int, side_cm: float) -> FloatArray:
    return np.asarray(-4 * (cells / side_cm) ** 2 * np.sin(np.arange(cells) * np.pi / (2 * cells)) ** 2)


def _modes_at(place: FloatArray, cells: int) -> FloatArray:
    """Return the cosine modes at places counted in cells, by straight lines between the middles of cells."""
    inner = np.minimum(np.maximum(place - 0.5, 0), cells - 1)  # flat in the outer half cells: closed sides
    left = np.minimum(np.floor(inner), cells - 2)
    weight = (inner - left)[:, np.newaxis]
    wave = np.arange(cells) * np.pi / cells
    size = np.where(np.arange(cells) == 0, np.sqrt(1 / cells), np.sqrt(2 / cells))
    at = [np.cos(np.multiply.outer(left + offset, wave)) for offset in (0.5, 1.5)]
    return np.asarray(size * ((1 - weight) * at[0] + weight * at[1]))
