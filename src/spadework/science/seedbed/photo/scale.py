"""How wide a pixel of a photo is on the ground, and which columns of the photo show the strip."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["cover_beside_plants", "in_strip", "pixel_from_bar", "pixel_from_width"]

_MOST_PX = 1_000_000
_MOST_CM = 10_000


@equation("10 * width_cm / width_px", unit="mm", source="physics")
def pixel_from_width(width_cm: ArrayLike, width_px: ArrayLike) -> FloatArray:
    """Width of a pixel on the ground, from the width of the whole picture.

    Parameters
    ----------
    width_cm : array_like
        Ground that the picture shows from its left to its right edge [cm], more than 0, to 10 000.
    width_px : array_like
        The same in pixels [px], 1 to 1 000 000.

    Returns
    -------
    ndarray
        Width of a pixel [mm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range.

    Notes
    -----
    Holds in the middle of the picture and, where it was not taken straight down, only there.

    Examples
    --------
    >>> float(pixel_from_width(60, 4000))
    0.15
    """
    width = require("width_cm", width_cm, 0, _MOST_CM, "cm", above=True)
    return np.asarray(10 * width / require("width_px", width_px, 1, _MOST_PX, "px"))


@equation("10 * length_cm / sqrt(along_px**2 + down_px**2)", unit="mm", source="physics")
def pixel_from_bar(length_cm: ArrayLike, along_px: ArrayLike, down_px: ArrayLike) -> FloatArray:
    """Width of a pixel on the ground, from a bar of known length that lies in the picture.

    Parameters
    ----------
    length_cm : array_like
        Length of the bar [cm], more than 0, to 10 000.
    along_px : array_like
        How far its ends lie apart from left to right [px], -1 000 000 to 1 000 000.
    down_px : array_like
        How far they lie apart from top to bottom [px], -1 000 000 to 1 000 000; at least a pixel in all.

    Returns
    -------
    ndarray
        Width of a pixel [mm], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the ends lie within one pixel.

    Notes
    -----
    The bar must lie on the ground: held higher it looks longer.

    Examples
    --------
    >>> float(pixel_from_bar(50, 800, 600))
    0.5
    """
    along = require("along_px", along_px, -_MOST_PX, _MOST_PX, "px")
    down = require("down_px", down_px, -_MOST_PX, _MOST_PX, "px")
    apart = require("distance of the ends", np.hypot(along, down), 1, 2 * _MOST_PX, "px")
    return np.asarray(10 * require("length_cm", length_cm, 0, _MOST_CM, "cm", above=True) / apart)


@equation(
    "where(abs(at_cm - offset_cm - row_cm * floor((at_cm - offset_cm) / row_cm + 0.5)) <= strip_cm / 2, 1, 0)",
    unit="1",
    source="physics",
)
def in_strip(at_cm: ArrayLike, offset_cm: ArrayLike, strip_cm: ArrayLike, row_cm: ArrayLike) -> FloatArray:
    """Whether a place across the rows lies inside a strip.

    Parameters
    ----------
    at_cm : array_like
        Place, from the left edge of the picture [cm], -10 000 to 10 000.
    offset_cm : array_like
        Middle of any strip, from the same edge [cm], -10 000 to 10 000.
    strip_cm : array_like
        Width of a strip [cm], more than 0, up to the row spacing.
    row_cm : array_like
        Row spacing [cm], more than 0, to 10 000.

    Returns
    -------
    ndarray
        1 inside a strip and on its edge, 0 between strips [1]; shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or a strip is wider than the spacing.

    Notes
    -----
    Strips repeat with the row spacing, straight and from edge to edge.

    Examples
    --------
    >>> in_strip([0, 21, 30, 39, 41, 105], 30, 20, 75).tolist()
    [0.0, 1.0, 1.0, 1.0, 0.0, 1.0]
    """
    row = require("row_cm", row_cm, 0, _MOST_CM, "cm", above=True)
    strip = require("strip_cm", strip_cm, 0, _MOST_CM, "cm", above=True)
    require("strip_cm / row_cm", strip / row, 0, 1)
    away = require("at_cm", at_cm, -_MOST_CM, _MOST_CM, "cm") - require(
        "offset_cm", offset_cm, -_MOST_CM, _MOST_CM, "cm"
    )
    inside = np.abs(away - row * np.floor(away / row + 0.5)) <= strip / 2
    return np.asarray(inside, dtype=np.float64)


@equation("residue_share / (1 - green_share)", unit="1", source="choice")
def cover_beside_plants(residue_share: ArrayLike, green_share: ArrayLike) -> FloatArray:
    """Residue cover of the ground that green plants leave in sight.

    Parameters
    ----------
    residue_share : array_like
        Share of the whole picture that is residue [1], 0 to 1.
    green_share : array_like
        Share of the whole picture that is green plants [1], 0 to 0.9999; both together no more than 1.

    Returns
    -------
    ndarray
        Cover [1], shape of the inputs broadcast together.

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or both together are more than 1.

    Notes
    -----
    Takes it that the ground under the plants is like the ground beside them.

    Examples
    --------
    >>> round(float(cover_beside_plants(0.36, 0.10)), 3)
    0.4
    """
    residue = require("residue_share", residue_share, 0, 1)
    green = require("green_share", green_share, 0, 0.9999)
    require("residue_share + green_share", residue + green, 0, 1 + 1e-9)
    return np.asarray(residue / (1 - green))
