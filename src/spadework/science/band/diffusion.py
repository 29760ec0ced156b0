"""How the ammoniacal nitrogen of a band spreads through a cut across the row.

Ammonium spreads with one apparent coefficient D for the whole cut, so that time and D come in only as their product,
the spread in cm2, summed over the days where D changes.  Water that moves, uptake by roots and sorption that bends are
left out.  How the cut is divided stands in :mod:`spadework.science.band.grid`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.science.band.grid import Grid
from spadework.working import equation

__all__ = [
    "ammonium_at",
    "ammonium_section",
]

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
    cut = Grid.made(row_spacing_m, section_depth_cm, cell_cm)
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

    cut = Grid.made(row_spacing_m, section_depth_cm, cell_cm)
    modes = cut.band(centre_depth_cm, half_height_cm, half_width_cm, layer=layer)
    spread = require("spread_cm2", spread_cm2, 0, 1e6, "cm2")[..., np.newaxis, np.newaxis]
    faded = modes * np.exp(spread * cut.down_rates[:, np.newaxis]) * np.exp(spread * cut.across_rates)
    return np.asarray(idctn(faded, axes=(-2, -1), norm="ortho"), dtype=np.float64)


def _product(left: FloatArray, right: FloatArray) -> FloatArray:
    """Return the product of two matrices in pieces: large ones start threads, which takes longer than so small a product."""
    rows = max(1, _PIECE // right.size)
    found = np.empty((len(left), right.shape[1]))
    for begin in range(0, len(left), rows):
        found[begin : begin + rows] = left[begin : begin + rows] @ right
    return found
