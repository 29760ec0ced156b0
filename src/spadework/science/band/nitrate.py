"""What of a band's nitrogen is nitrate, and how far that has spread in a cut across the row.

Ammonium turns into nitrate at a rate of first order wherever it lies; the nitrate then spreads by a diffusion of its own,
held by nothing.  Rain that washes it down, gas from it and uptake are left out.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.science.band.grid import Grid
from spadework.working import equation

__all__ = [
    "nitrate_at",
    "nitrate_section",
]


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
    cut = Grid.made(row_spacing_m, section_depth_cm, cell_cm)
    modes = cut.band(centre_depth_cm, half_height_cm, half_width_cm, layer=layer)
    steps = _steps(step_days, ammonium_cm2_day, nitrate_cm2_day, rate_per_day)
    down, across, shape = cut.points(depth_cm, across_cm)
    found = np.empty((*steps[0].shape, len(down)))
    for draw in np.ndindex(steps[0].shape[:-1]):
        of_draw = zip(*(values[draw] for values in steps), strict=True)
        for place, made in enumerate(cut.nitrate(modes, of_draw)):
            found[(*draw, place)] = np.einsum("pz,zx,px->p", down, made, across, optimize=True)
    return found.reshape(steps[0].shape + shape)


@equation(
    "nitrate that the ammonium left behind step by step, spread by its own diffusion since, over the ammonium of the "
    "fresh band, cell by cell",
    unit="1",
    source="physics",
    locator="diffusion, two dimensions, with a first-order source",
    in_words=True,
)
def nitrate_section(
    step_days: ArrayLike,
    ammonium_cm2_day: ArrayLike,
    nitrate_cm2_day: ArrayLike,
    rate_per_day: ArrayLike,
    *,
    centre_depth_cm: float,
    half_height_cm: float,
    half_width_cm: float,
    row_spacing_m: float,
    section_depth_cm: float = 60,
    cell_cm: float = 0.5,
    layer: bool = False,
) -> FloatArray:
    """Work out the nitrate over the whole cut.

    Parameters
    ----------
    step_days : array_like
        Length of each step [d], 0 to 1000; one axis.
    ammonium_cm2_day, nitrate_cm2_day : array_like
        Apparent diffusion of either in each step [cm2/day], 0 to 1e4.
    rate_per_day : array_like
        Nitrification in each step [1/day], 0 to 10.
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
        Means of cells of the nitrate nitrogen per volume of soil over the ammoniacal nitrogen of the fresh band [1] at the
        end of each step; steps, then cells from the surface down, then cells from the row to the middle between rows.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the band sticks out of the cut.

    Notes
    -----
    See :func:`nitrate_at`.

    Examples
    --------
    >>> band = {"centre_depth_cm": 16, "half_height_cm": 5, "half_width_cm": 5, "row_spacing_m": 0.75}
    >>> share = nitrate_section([14, 14], 0.02, 0.1, 0.02, cell_cm=0.5, **band)
    >>> (share.sum(axis=(1, 2)) / 39.27 * 0.25).round(3).tolist()  # of the ammonium at the start
    [0.244, 0.429]
    """
    from scipy.fft import idctn

    cut = Grid.made(row_spacing_m, section_depth_cm, cell_cm)
    modes = cut.band(centre_depth_cm, half_height_cm, half_width_cm, layer=layer)
    steps = _steps(step_days, ammonium_cm2_day, nitrate_cm2_day, rate_per_day)
    made = list(cut.nitrate(modes, zip(*steps, strict=True)))
    return np.asarray(idctn(made, axes=(-2, -1), norm="ortho"), dtype=np.float64)


def _steps(
    step_days: ArrayLike, ammonium_cm2_day: ArrayLike, nitrate_cm2_day: ArrayLike, rate_per_day: ArrayLike
) -> tuple[FloatArray, ...]:
    """Return days, both diffusions and the rate of each step, broadcast together."""
    return np.broadcast_arrays(
        np.atleast_1d(require("step_days", step_days, 0, 1000, "d")),
        require("ammonium_cm2_day", ammonium_cm2_day, 0, 1e4, "cm2/day"),
        require("nitrate_cm2_day", nitrate_cm2_day, 0, 1e4, "cm2/day"),
        require("rate_per_day", rate_per_day, 0, 10, "1/day"),
    )
