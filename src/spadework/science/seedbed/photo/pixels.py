"""Residue, soil, green plants and deep shadow on a photo of the ground, pixel by pixel.

The picture is averaged to pixels of half a millimetre; plants are what is greener than red (Meyer and Neto 2008); uneven
light is taken out as a smooth surface that both classes share; what is left is parted in two by Otsu's (1979) threshold on
brightness and paleness.  The brighter and paler part is called residue.  That is our own way, worked out on made pictures
and held against no field: without counts by hand its cover is no number for a record (see
:mod:`~spadework.science.seedbed.photo.calibration`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from spadework import reference
from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.science.seedbed.photo.fitness import Fitness, detail
from spadework.science.seedbed.photo.marks import class_distance, otsu_threshold, parted_share

__all__ = ["GREEN", "RESIDUE", "SHADOW", "SOIL", "Classed", "averaged", "classify", "shares_of"]

SOIL: Final = 0
RESIDUE: Final = 1
GREEN: Final = 2
SHADOW: Final = 3
"""What a pixel of a class map is."""

_K = reference.constants("photo_method")
_LIMITS = reference.constants("photo_limits")
_BAND_PIXELS: Final = 100_000  # worked on at a time, so that they stay near the processor
_LARGEST_BLOCK: Final = 250
_LEAST_SIDE: Final = 32
_FLOOR: Final = 1.0  # of 255; keeps the logarithm of black finite
_TERMS: Final = 6
_LEAST_IN_PART: Final = 500


@dataclass(frozen=True)
class Classed:
    """A photo told apart.

    Attributes
    ----------
    classes : NDArray
        :data:`SOIL`, :data:`RESIDUE`, :data:`GREEN` or :data:`SHADOW` for every pixel that was worked on; rows from the top.
    pixel_mm : float
        Width of such a pixel [mm].
    fitness : Fitness
        What tells whether the photo is fit for that.
    """

    classes: NDArray[np.uint8]
    pixel_mm: float
    fitness: Fitness


def averaged(picture: NDArray[Any], pixel_mm: float) -> tuple[NDArray[Any], float]:
    """Average a picture in whole square blocks, as long as its pixels do not become wider than they are worked on.

    Parameters
    ----------
    picture : ndarray
        Height x width x 3, of bytes, or of fractions 0 to 1.
    pixel_mm : float
        Width of a pixel [mm], more than 0, to 100.

    Returns
    -------
    tuple
        The picture, of bytes, and the width of its pixels [mm].  What is left of a block at the right and lower edge is left out.

    Raises
    ------
    ImpossibleValue
        If the picture is no such array, is under 32 pixels high or wide, or the width of a pixel is impossible.

    Notes
    -----
    The mean of the bytes as they stand, which lie close to how the eye sees brightness.  Worked on in bands of rows, so
    that a large picture is never held twice.

    Examples
    --------
    >>> small, pixel_mm = averaged(np.full((400, 600, 3), 90, np.uint8), 0.2)
    >>> small.shape, pixel_mm
    ((200, 300, 3), 0.4)
    """
    picture = _bytes(picture)
    pixel_mm = float(require("pixel_mm", pixel_mm, 0, 100, "mm", above=True))
    block = int(min(max(1.0, np.floor(_K.work_mm_px / pixel_mm + 1e-9)), _LARGEST_BLOCK))
    block = max(1, min(block, min(picture.shape[:2]) // _LEAST_SIDE))
    if block == 1:
        return picture, pixel_mm
    high, wide = (side // block for side in picture.shape[:2])
    found = np.empty((high, wide, 3), np.uint8)
    rows = max(1, _BAND_PIXELS // (block * block * wide))
    for top in range(0, high, rows):
        band = picture[top * block : min(top + rows, high) * block, : wide * block]
        tall = band[0::block].astype(np.uint16)
        for step in range(1, block):
            tall += band[step::block]
        whole = tall[:, 0::block].astype(np.uint32)
        for step in range(1, block):
            whole += tall[:, step::block]
        found[top : top + rows] = (whole + block * block // 2) // (block * block)
    return found, pixel_mm * block


def classify(picture: NDArray[Any], pixel_mm: float) -> Classed:
    """Tell residue, soil, green plants and deep shadow apart.

    Parameters
    ----------
    picture : ndarray
        Height x width x 3 (red, green, blue), of bytes, or of fractions 0 to 1.
    pixel_mm : float
        Width of a pixel on the ground [mm], more than 0, to 100.

    Returns
    -------
    Classed
        The class of every pixel, and what tells whether the photo is fit for it; nothing is refused here.

    Raises
    ------
    ImpossibleValue
        If the picture is no such array, is under 32 pixels high or wide, or the width of a pixel is impossible.

    Notes
    -----
    The mark of a pixel is the logarithm of its brightness less 0.5 times its saturation, less the light at its place.  The
    light is a surface of second degree that residue and soil share, each with a brightness of its own, so that a bare strip
    between covered ground is not taken for poor light.  Deep shadow is what is darker than 0.4 of the middle of the darker
    class; it is neither residue nor soil, and the threshold is set without it.  A piece of residue that hides less than a
    disc 3.2 mm wide counts as soil, as on a tape.  Whether the picture was taken straight down cannot be told from it.

    Examples
    --------
    >>> ground = np.full((200, 300, 3), (105, 82, 60), np.uint8)
    >>> ground[:, :90] = (205, 195, 160)
    >>> round(float((classify(ground, 0.5).classes == RESIDUE).mean()), 2)
    0.3
    """
    seen, wide_mm = averaged(picture, pixel_mm)
    step = max(1, round(float(np.sqrt(seen.shape[0] * seen.shape[1] / _K.level_sample))))
    part = seen[step // 2 :: step, step // 2 :: step]
    bright, mark, green, _, _ = _marks(part)
    basis = _basis(_places(part.shape[0]), _places(part.shape[1]))
    ground = ~green & (bright > _LIMITS.black_level)
    if np.count_nonzero(ground) < 10 * _TERMS:
        ground = np.ones_like(green)  # nothing but plants or black: told by its shares, not by an error
    light = np.zeros(_TERMS)
    cut = shade = np.nan
    for _ in range(int(_K.level_rounds)):
        level = mark - basis @ light
        cut, shade = _cuts(level, ground, plain=np.log(bright) - basis @ light)
        lit = ground & (np.log(bright) - basis @ light >= shade)
        light = _light(mark, basis, lit, level > cut)
    level = mark - basis @ light
    plain = np.log(bright) - basis @ light
    cut, shade = _cuts(level, ground, plain=plain)
    lit = ground & (plain >= shade)
    middles, counts = _steps(level[lit])
    classes, black, white = _all_pixels(seen, light, cut, shade)
    _drop_specks(classes, wide_mm)
    high, low = plain[lit & (level > cut)], plain[lit & (level <= cut)]
    surface = basis @ light
    sharpness, glints = detail(seen, wide_mm)
    share = shares_of(classes)
    fitness = Fitness(
        pixel_mm=float(pixel_mm),
        short_side_cm=min(seen.shape[:2]) * wide_mm / 10,
        median=float(np.median(bright)),
        black_share=black,
        white_share=white,
        class_distance=float(class_distance(middles, counts, cut)),
        parted_share=float(parted_share(middles, counts)),
        brightness_ratio=float(np.exp(high.mean() - low.mean())) if high.size and low.size else 1.0,
        light_ratio=float(np.exp(surface.max() - surface.min())),
        patch_ratio=float(np.exp(_patchiness(level, lit, cut))),
        sharpness=sharpness,
        glint_share=glints,
        green_share=float(share[GREEN]),
        shadow_share=float(share[SHADOW]),
    )
    return Classed(classes, wide_mm, fitness)


def shares_of(classes: NDArray[np.uint8], columns: NDArray[np.bool_] | None = None) -> FloatArray:
    """Shares of soil, residue, green plants and shadow in a class map.

    Parameters
    ----------
    classes : ndarray
        Class of every pixel.
    columns : ndarray, optional
        True for the columns that are meant; all if left out.

    Returns
    -------
    ndarray
        Four shares of the pixels that are meant [1], by the number of the class; together 1.

    Raises
    ------
    ImpossibleValue
        If no pixel is meant.

    Examples
    --------
    >>> shares_of(np.array([[0, 1, 1, 2]], np.uint8)).tolist()
    [0.25, 0.5, 0.25, 0.0]
    """
    meant = classes if columns is None else classes[:, columns]
    require("pixels", meant.size, 0, np.inf, above=True)
    return np.array([np.count_nonzero(meant == one) for one in (SOIL, RESIDUE, GREEN, SHADOW)]) / meant.size


def _bytes(picture: NDArray[Any]) -> NDArray[Any]:
    if picture.ndim != 3 or picture.shape[2] != 3 or min(picture.shape[:2]) < _LEAST_SIDE:
        raise ImpossibleValue(
            "picture", f"of shape {picture.shape}", _LEAST_SIDE, np.inf, "pixels a side, three colours"
        )
    if picture.dtype == np.uint8:
        return picture
    return np.round(require("picture", picture, 0, 1) * 255).astype(np.uint8)


def _marks(part: NDArray[Any]) -> tuple[Any, Any, Any, int, int]:
    """Return brightness, mark and greenness of pixels, and how many are black and white."""
    red, green, blue = (part[..., band].astype(np.float32) for band in range(3))
    whole = red + green + blue
    bright = np.maximum(whole / np.float32(3), np.float32(_FLOOR))
    black = int(np.count_nonzero(bright <= _LIMITS.black_level))
    white = int(np.count_nonzero(bright >= _LIMITS.white_level))
    plant = (_K.exg_green + 1) * green - (1 + _K.exr_red) * red - blue > 0
    plant &= bright > _LIMITS.black_level
    least = np.minimum(np.minimum(red, green), blue)
    most = np.maximum(np.maximum(red, green), np.maximum(blue, np.float32(_FLOOR)))
    mark = np.log(bright) - np.float32(_K.saturation_weight) * (1 - least / most)
    return bright, mark, plant, black, white


def _places(count: int) -> FloatArray:
    return (2 * np.arange(count) + 1) / count - 1


def _basis(down: FloatArray, along: FloatArray) -> FloatArray:
    """Return the terms of the surface of light, each without its mean, for every pixel."""
    y, x = np.meshgrid(down, along, indexing="ij")
    return np.stack([np.zeros_like(x), x, y, x * x - 1 / 3, x * y, y * y - 1 / 3], axis=-1)


def _light(mark: Any, basis: FloatArray, lit: Any, bright_class: Any) -> FloatArray:
    terms = basis[lit].copy()
    terms[:, 0] = bright_class[lit]
    terms = np.column_stack([terms, np.ones(len(terms))])
    found = np.linalg.lstsq(terms.T @ terms, terms.T @ mark[lit].astype(np.float64), rcond=None)[0][:_TERMS]
    found[0] = 0.0
    return np.asarray(found)


def _steps(values: Any) -> tuple[FloatArray, FloatArray]:
    low, high = (float(v) for v in np.quantile(values, [0.001, 0.999]))
    if high - low < 1e-6:
        low, high = low - 1e-3, high + 1e-3
    counts, edges = np.histogram(np.clip(values, low, high), bins=int(_K.otsu_bins), range=(low, high))
    return (edges[1:] + edges[:-1]) / 2, counts.astype(np.float64)


def _cuts(level: Any, ground: Any, plain: Any) -> tuple[float, float]:
    """Return the threshold of the mark, and the logarithm of brightness under which lies deep shadow."""
    cut = float(otsu_threshold(*_steps(level[ground])))
    shade = _shade_apart(level, ground, plain, cut)
    for _ in range(2):
        lit = ground & (plain >= shade)
        if not lit.any():
            break
        cut = float(otsu_threshold(*_steps(level[lit])))
        dark = lit & (level <= cut)
        if dark.any():
            shade = max(shade, float(np.median(plain[dark]) + np.log(_K.shadow_ratio)))
    lit = ground & (plain >= shade)
    return (float(otsu_threshold(*_steps(level[lit]))) if lit.any() else cut), shade


def _shade_apart(level: Any, ground: Any, plain: Any, cut: float) -> float:
    """Return where shadow ends if the first cut parted shadow from all the rest; minus infinity if it did not.

    It did where the brighter class falls in two clearly by itself, and the darker is deep shadow to the lower of the two.
    """
    high, low = ground & (level > cut), ground & (level <= cut)
    if not (high.any() and low.any()):
        return -np.inf
    middles, counts = _steps(level[high])
    second = float(otsu_threshold(middles, counts))
    soil = plain[high & (level <= second)]
    if not soil.size or float(class_distance(middles, counts, second)) < _LIMITS.class_distance:
        return -np.inf
    ends = float(np.median(soil) + np.log(_K.shadow_ratio))
    return ends if float(np.median(plain[low])) < ends else -np.inf


def _patchiness(level: Any, lit: Any, cut: float) -> float:
    """Return how far thresholds of single parts of the picture lie from that of the whole, at most.

    Parts that do not fall in two clearly by themselves say nothing.  The shade of a person or machine shows in this.
    """
    parts = int(_K.tiles_along)
    found = 0.0
    for band, band_lit in zip(np.array_split(level, parts), np.array_split(lit, parts), strict=True):
        pairs = zip(np.array_split(band, parts, axis=1), np.array_split(band_lit, parts, axis=1), strict=True)
        for values, meant in pairs:
            if np.count_nonzero(meant) >= _LEAST_IN_PART:
                middles, counts = _steps(values[meant])
                own = float(otsu_threshold(middles, counts))
                if float(class_distance(middles, counts, own)) >= _LIMITS.class_distance:
                    found = max(found, abs(own - cut))
    return found


def _all_pixels(
    seen: NDArray[Any], light: FloatArray, cut: float, shade: float
) -> tuple[NDArray[np.uint8], float, float]:
    """Return the class of every pixel, and the shares that are black and white; in bands of rows."""
    down, along = _places(seen.shape[0]).astype(np.float32), _places(seen.shape[1]).astype(np.float32)
    _, x1, y1, xx, xy, yy = (np.float32(term) for term in light)
    across = x1 * along + xx * (along * along - np.float32(1 / 3))
    classes = np.empty(seen.shape[:2], np.uint8)
    blacks = whites = 0
    rows = max(1, _BAND_PIXELS // seen.shape[1])
    for top in range(0, seen.shape[0], rows):
        bright, mark, plant, black, white = _marks(seen[top : top + rows])
        y = down[top : top + rows, np.newaxis]
        surface = across + y * (y1 + xy * along) + yy * (y * y - np.float32(1 / 3))
        found = (mark - surface > cut).astype(np.uint8)
        found[bright < np.exp(surface + np.float32(shade))] = SHADOW
        found[plant] = GREEN
        classes[top : top + rows] = found
        blacks, whites = blacks + black, whites + white
    return classes, blacks / classes.size, whites / classes.size


def _drop_specks(classes: NDArray[np.uint8], pixel_mm: float) -> None:
    """Call soil what is marked as residue in pieces too small to stop a drop; pixels that touch by their sides make a piece."""
    from scipy.ndimage import label

    least = np.pi / 4 * (_K.piece_mm / pixel_mm) ** 2
    pieces, _ = label(classes == RESIDUE)
    small = np.bincount(pieces.ravel()) < least
    small[0] = False
    classes[small[pieces]] = SOIL
