"""Made pictures of ground with residue whose cover is known: straw fresh or weathered over crumbs of several soils, stones,
plants, shadows of pieces and of a person, uneven light, wet ground, noise, blur, JPEG."""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from scipy.ndimage import gaussian_filter, zoom

SOIL, RESIDUE, GREEN = 0, 1, 2
DRY_SOIL = (122.0, 98.0, 74.0)
SOILS = {
    "brown loam": DRY_SOIL,
    "dark humus": (70.0, 60.0, 50.0),
    "red clay": (140.0, 88.0, 62.0),
    "grey silt": (132.0, 124.0, 112.0),
    "pale sand": (176.0, 158.0, 128.0),
}
"""Colours of dry soils, made up."""
OLD_GREY = (138.0, 132.0, 122.0)
"""What straw that lay over winter comes to."""
STRAW = ((206, 190, 150), (192, 178, 148), (215, 203, 172), (178, 160, 124), (186, 181, 166))


@dataclass(frozen=True)
class Made:
    """A picture and the truth about it."""

    picture: NDArray[np.uint8]
    truth: NDArray[np.uint8]
    mm_px: float

    @property
    def cover(self) -> float:
        """Residue over all that is not plant."""
        return float((self.truth == RESIDUE).sum() / (self.truth != GREEN).sum())

    @property
    def green(self) -> float:
        return float((self.truth == GREEN).mean())


def ground(
    seed: int,
    cover: float,
    *,
    high: int = 600,
    wide: int = 800,
    mm_px: float = 0.5,
    plants: int = 0,
    moist: str = "dry",
    slope_of_light: float = 0.0,
    noise: float = 4.0,
    blur_mm: float = 0.3,
    jpeg: int | None = 88,
    bare_columns: tuple[float, float] | None = None,
    exposure: float = 1.0,
    shadow_depth: float = 0.55,
    soil: tuple[float, float, float] = DRY_SOIL,
    stones: int = 0,
    weathered: float = 0.0,
    person: float = 0.0,
) -> Made:
    """Return a made picture; `cover` is aimed at by random overlap and met only roughly: the truth is counted.

    `stones` lie under the residue and count as soil; `weathered` draws the straw toward grey; `person` is the share of the
    picture that lies in the shadow of whoever takes it, with a sharp edge.
    """
    random = np.random.default_rng(seed)
    crumbs = np.roll(_crumbs(high, wide, mm_px), (random.integers(high), random.integers(wide)), (0, 1))
    soft = np.exp(crumbs)[..., None] * np.array(soil)
    truth_image = Image.new("L", (wide, high), SOIL)
    colour = Image.fromarray(np.clip(soft, 0, 255).astype(np.uint8))
    shade = Image.new("L", (wide, high), 255)
    on_truth, on_colour, on_shade = ImageDraw.Draw(truth_image), ImageDraw.Draw(colour), ImageDraw.Draw(shade)
    for _ in range(stones):
        x, y, size = random.uniform(0, wide), random.uniform(0, high), random.uniform(8, 40) / mm_px
        pale = random.uniform(120, 215)
        tone = tuple(int(np.clip(pale * part, 0, 255)) for part in (1.02, 1.0, random.uniform(0.9, 0.98)))
        turns = np.sort(random.uniform(0, 2 * np.pi, 9))
        radii = size / 2 * random.uniform(0.75, 1.1, 9)
        on_colour.polygon(
            [(x + r * np.cos(t), y + 0.8 * r * np.sin(t)) for t, r in zip(turns, radii, strict=True)], fill=tone
        )
    wanted = -np.log(1 - min(cover, 0.995)) * high * wide
    laid = 0.0
    while laid < wanted:
        long_px, thick_px = random.uniform(25, 150) / mm_px, random.choice([3.0, 4.0, 6.0, 14.0]) / mm_px
        x, y = random.uniform(-0.05, 1.05) * wide, random.uniform(-0.05, 1.05) * high
        angle = random.uniform(0, np.pi)
        if bare_columns and bare_columns[0] * wide < x < bare_columns[1] * wide:
            laid += long_px * thick_px
            continue
        dx, dy = np.cos(angle) * long_px / 2, np.sin(angle) * long_px / 2
        ends = [(x - dx, y - dy), (x + dx, y + dy)]
        across = np.array([-np.sin(angle), np.cos(angle)]) * thick_px / 2
        corners = [tuple(np.array(e) + s * across) for e, s in zip(ends * 2, (1, 1, -1, -1), strict=True)]
        corners = [corners[0], corners[1], corners[3], corners[2]]
        drop = 1.5 / mm_px
        on_shade.polygon([(a + drop, b + drop) for a, b in corners], fill=int(255 * shadow_depth))
        fresh = np.array(STRAW[random.integers(len(STRAW))])
        tone = ((1 - weathered) * fresh + weathered * np.array(OLD_GREY)) * random.uniform(0.85, 1.08)
        on_shade.polygon(corners, fill=255)
        on_colour.polygon(corners, fill=tuple(int(v) for v in np.clip(tone, 0, 255)))
        on_truth.polygon(corners, fill=RESIDUE)
        laid += long_px * thick_px
    for _ in range(plants):
        x, y, size = random.uniform(0, wide), random.uniform(0, high), random.uniform(15, 40) / mm_px
        for turn in random.uniform(0, 2 * np.pi, 5):
            far = (x + np.cos(turn) * size, y + np.sin(turn) * size)
            side = (np.cos(turn + 1.57) * size * 0.15, np.sin(turn + 1.57) * size * 0.15)
            mid = ((x + far[0]) / 2, (y + far[1]) / 2)
            leaf = [(x, y), (mid[0] + side[0], mid[1] + side[1]), far, (mid[0] - side[0], mid[1] - side[1])]
            on_colour.polygon(leaf, fill=(78, int(random.uniform(118, 150)), 52))
            on_truth.polygon(leaf, fill=GREEN)
            on_shade.polygon(leaf, fill=255)
    truth = np.asarray(truth_image)
    seen = np.asarray(colour).astype(float)
    seen = seen * gaussian_filter(np.asarray(shade).astype(float) / 255, 0.5 / mm_px)[..., None]
    grain = zoom(random.standard_normal((high // 4 + 1, wide // 4 + 1)), 4, order=1)[:high, :wide, None]
    seen = seen * np.exp(np.where((truth == RESIDUE)[..., None], 0.06 * grain, 0.0))
    if moist != "dry":
        seen = seen * np.where((truth == RESIDUE)[..., None], 0.42, 0.58)
        glint = random.random((high, wide)) < (0.0035 if moist == "wet" else 0)
        glint = gaussian_filter(glint.astype(float), 0.6 / mm_px) > 0.25 * gaussian_peak(0.6 / mm_px)
        seen[glint] = 252
    seen = (
        seen
        * exposure
        * np.exp(slope_of_light * (np.linspace(-0.5, 0.5, wide) + 0.3 * np.linspace(-1, 1, high)[:, None]))[..., None]
    )
    if person:
        edge = (np.linspace(0, 1, wide) + 0.15 * np.linspace(-1, 1, high)[:, None]) < person
        seen = seen * np.where(edge, 0.45, 1.0)[..., None]
    if blur_mm:
        seen = gaussian_filter(seen, (blur_mm / mm_px, blur_mm / mm_px, 0))
    seen = np.clip(seen + random.normal(0, noise, seen.shape), 0, 255).astype(np.uint8)
    if jpeg is not None:
        with io.BytesIO() as held:
            Image.fromarray(seen).save(held, "JPEG", quality=jpeg)
            seen = np.asarray(Image.open(held).convert("RGB"))
    return Made(seen, truth, mm_px)


@cache
def _crumbs(high: int, wide: int, mm_px: float) -> NDArray[np.float64]:
    """Return crumbs of three sizes without a seam, as logarithms of brightness."""
    random = np.random.default_rng(0)
    return sum(  # type: ignore[return-value]
        size
        * gaussian_filter(random.standard_normal((high, wide)), s / mm_px, mode="wrap")
        * 2
        * np.sqrt(np.pi)
        * s
        / mm_px
        for s, size in ((0.7, 0.09), (2.0, 0.08), (7.0, 0.06))
    )


def gaussian_peak(sigma: float) -> float:
    return 1 / (2 * np.pi * sigma**2)
