"""Whether a photo is fit to tell residue from soil: what is measured of it, and what speaks against it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from spadework import reference

__all__ = ["Fitness", "Reason", "detail", "reasons_against"]

_K = reference.constants("photo_method")
_LIMITS = reference.constants("photo_limits")
_FLOOR = 1.0


@dataclass(frozen=True, slots=True)
class Fitness:
    """What is measured of a photo to judge whether it is fit.

    Attributes
    ----------
    pixel_mm : float
        Width of a pixel as taken [mm].
    short_side_cm : float
        Shorter side of the picture [cm].
    median : float
        Brightness of the middle pixel, of 255.
    black_share, white_share : float
        Pixels without a difference left in them [1].
    class_distance : float
        How far residue and soil lie apart, in their own spreads [1].
    parted_share : float
        Otsu's measure of the same [1]; hangs on the cover.
    brightness_ratio : float
        Brightness of residue over that of soil [1].
    light_ratio : float
        Brightest over darkest light in the picture, as a smooth surface [1].
    patch_ratio : float
        Furthest that the threshold of a part of the picture lies from that of the whole, as a ratio of brightness [1].
    sharpness : float
        Fineness of detail [1]; see :func:`detail`.
    glint_share : float
        Small pale bright spots [1].
    green_share, shadow_share : float
        Green plants and deep shadow [1].
    """

    pixel_mm: float
    short_side_cm: float
    median: float
    black_share: float
    white_share: float
    class_distance: float
    parted_share: float
    brightness_ratio: float
    light_ratio: float
    patch_ratio: float
    sharpness: float
    glint_share: float
    green_share: float
    shadow_share: float


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that speaks against a photo: the row of the limits, what was found, and the limit."""

    key: str
    found: float
    limit: float


_AT_LEAST = (
    ("short_side_cm", "short_side_cm"),
    ("darkest_median", "median"),
    ("class_distance", "class_distance"),
    ("brightness_ratio", "brightness_ratio"),
    ("sharpness", "sharpness"),
)
_AT_MOST = (
    ("widest_mm_px", "pixel_mm"),
    ("brightest_median", "median"),
    ("black_share", "black_share"),
    ("white_share", "white_share"),
    ("glint_share", "glint_share"),
    ("shadow_share", "shadow_share"),
    ("green_share", "green_share"),
    ("light_ratio", "light_ratio"),
    ("patch_ratio", "patch_ratio"),
)


def reasons_against(fitness: Fitness) -> tuple[Reason, ...]:
    """Return what speaks against taking a cover from a photo.

    Parameters
    ----------
    fitness : Fitness
        What was measured of the photo.

    Returns
    -------
    tuple of Reason
        In the order in which they are best mended; empty where nothing speaks against it.

    Notes
    -----
    The limits are our own choice (table ``photo_limits``).  That nothing speaks against a photo does not make it right:
    residue that is no brighter than its soil, or a picture taken aslant, can pass.

    Examples
    --------
    >>> fit = Fitness(0.3, 60, 110, 0, 0, 4.2, 0.8, 1.9, 1.2, 1.1, 0.4, 0, 0.02, 0.01)
    >>> reasons_against(fit)
    ()
    >>> reasons_against(Fitness(0.9, 60, 110, 0, 0, 4.2, 0.8, 1.9, 1.2, 1.1, 0.4, 0, 0.02, 0.01))
    (Reason(key='widest_mm_px', found=0.9, limit=0.5),)
    """
    found = []
    order = list(_LIMITS)
    for pairs, sign in ((_AT_LEAST, 1), (_AT_MOST, -1)):
        for key, name in pairs:
            value, limit = float(getattr(fitness, name)), float(_LIMITS[key].value)
            if not sign * value >= sign * limit * (1 - sign * 1e-9):
                found.append(Reason(key, value, limit))
    return tuple(sorted(found, key=lambda reason: order.index(reason.key)))


def detail(seen: NDArray[Any], pixel_mm: float) -> tuple[float, float]:
    """Return fineness of detail and share of glints, looked at on tiles spread over the picture.

    Parameters
    ----------
    seen : ndarray
        Height x width x 3, of bytes, at the width of pixels that is worked on.
    pixel_mm : float
        That width [mm], more than 0.

    Returns
    -------
    tuple of float
        Variance of the Laplacian over variance of brightness [1] (0 where nothing varies), and share of the pixels that lie
        in pale bright spots narrower than 3 mm [1].

    Notes
    -----
    The variance of the Laplacian (Pech-Pacheco and others 2000) grows with contrast; over the variance of brightness it does not.
    It is taken of means of two by two pixels, which quiets the noise of the camera.  White noise has 20, whatever the picture.

    Examples
    --------
    >>> random = np.random.default_rng(1)
    >>> noise = np.repeat(random.integers(60, 180, (500, 500, 1)), 3, axis=2).astype(np.uint8)
    >>> round(detail(noise, 0.5)[0])
    20
    """
    from scipy.ndimage import binary_opening

    high, wide = seen.shape[:2]
    side = int(_K.tile_px)
    along = int(_K.tiles_along)
    spot = max(2, int(np.ceil(_K.glint_mm / pixel_mm)))
    detailed = varied = 0.0
    glints = pixels = 0
    for top in np.unique(np.linspace(0, max(0, high - side), along).round().astype(int)):
        for left in np.unique(np.linspace(0, max(0, wide - side), along).round().astype(int)):
            tile = seen[top : top + side, left : left + side].astype(np.float32)
            bright = tile.mean(axis=2)
            even = bright[: bright.shape[0] // 2 * 2, : bright.shape[1] // 2 * 2]
            mean = (even[0::2, 0::2] + even[1::2, 0::2] + even[0::2, 1::2] + even[1::2, 1::2]) / 4
            inner = mean[1:-1, 1:-1]
            round_about = mean[:-2, 1:-1] + mean[2:, 1:-1] + mean[1:-1, :-2] + mean[1:-1, 2:]
            detailed += float((round_about - 4 * inner).var())
            varied += float(inner.var())
            most = np.maximum(tile.max(axis=2), _FLOOR)
            pale = (bright >= _K.glint_level) & (tile.min(axis=2) >= (1 - _K.glint_saturation) * most)
            if pale.any():
                edged = np.pad(pale, spot, mode="edge")
                broad = binary_opening(edged, np.ones((spot, spot), bool))[spot:-spot, spot:-spot]
                glints += int(np.count_nonzero(pale & ~broad))
            pixels += bright.size
    return (detailed / varied if varied > 0 else 0.0), glints / pixels
