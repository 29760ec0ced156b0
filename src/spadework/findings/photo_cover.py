"""Residue cover from photos: of each, why one gives none, and of the field where some were counted by hand."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from spadework import reference
from spadework.exchange.photos import Photo
from spadework.ranges import FloatArray
from spadework.records.files.photo_counts import ZONES, PhotoCount
from spadework.science.seedbed.photo.calibration import Calibration, calibrate, grid_count_se
from spadework.science.seedbed.photo.fitness import Reason, reasons_against
from spadework.science.seedbed.photo.pixels import GREEN, RESIDUE, SHADOW, classify, shares_of
from spadework.science.seedbed.photo.scale import cover_beside_plants, in_strip, pixel_from_bar, pixel_from_width
from spadework.science.seedbed.residue.cover import area_weighted_cover, tilled_share

__all__ = ["Bar", "FieldCover", "PhotoCover", "Strips", "Width", "cover_of_field", "cover_of_photo"]

_LIMITS = reference.constants("photo_limits")
_CONFIDENCE = 0.95
_ALL_GREEN = 0.9999


@dataclass(frozen=True, slots=True)
class Width:
    """The ground that a picture shows from its left to its right edge [cm]."""

    width_cm: float


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar on the ground: its length [cm], and how far its ends lie apart in the picture [px]."""

    length_cm: float
    along_px: float
    down_px: float


@dataclass(frozen=True, slots=True)
class Strips:
    """Strips that run from top to bottom of a picture.

    Attributes
    ----------
    strip_cm, row_cm : float
        Width of a strip and row spacing [cm].
    offset_cm : float or None
        Middle of a strip from the left edge [cm]; None for the middle of the picture.
    """

    strip_cm: float
    row_cm: float
    offset_cm: float | None = None

    @property
    def tilled_share(self) -> float:
        """Share of the field inside the strips [1]."""
        return float(tilled_share(self.strip_cm / 100, self.row_cm / 100))


@dataclass(frozen=True)
class PhotoCover:
    """What one photo says.

    Attributes
    ----------
    name : str
        Name of the file.
    taken : datetime or None
        When.
    latitude, longitude : float or None
        Where, in degrees.
    size : tuple of int
        Width and height in pixels, as taken.
    pixel_mm : float
        Width of a pixel as taken [mm].
    cover : float
        Residue over all that is not plant [1]; of strip and ground between weighted by area, where there are strips.
    whole_cover : float
        Residue over all that is not plant, of the picture as it is [1].
    strip_cover, between_cover : float
        The same inside strips and between them [1]; NaN without strips.
    residue_share, green_share, shadow_share : float
        Shares of the whole picture [1].
    reasons : tuple of Reason
        Why it gives no cover; empty where it does.
    """

    name: str
    taken: dt.datetime | None
    latitude: float | None
    longitude: float | None
    size: tuple[int, int]
    pixel_mm: float
    cover: float
    whole_cover: float
    strip_cover: float
    between_cover: float
    residue_share: float
    green_share: float
    shadow_share: float
    reasons: tuple[Reason, ...]

    @property
    def fit(self) -> bool:
        """True where nothing speaks against its cover."""
        return not self.reasons


@dataclass(frozen=True)
class FieldCover:
    """Counts by hand held against photos.

    Attributes
    ----------
    calibration : Calibration or None
        None where too few photos were counted: the photos were looked at, no more.
    counted : tuple of str
        Photos whose counts were used.
    left_out : tuple of tuple
        Photos whose counts were not used, and why.
    confidence : float
        Of all intervals [1].
    """

    calibration: Calibration | None
    counted: tuple[str, ...]
    left_out: tuple[tuple[str, str], ...]
    confidence: float = _CONFIDENCE


def cover_of_photo(photo: Photo, scale: Width | Bar, strips: Strips | None) -> tuple[PhotoCover, NDArray[np.uint8]]:
    """Return what a photo says, and the class of every pixel that was worked on.

    Parameters
    ----------
    photo : Photo
        As it was read.
    scale : Width or Bar
        What tells the width of a pixel.
    strips : Strips or None
        Where strips lie, if the field was worked in strips.

    Raises
    ------
    ImpossibleValue
        If the picture is under 32 pixels high or wide, or the scale is impossible for it.
    """
    high, wide = photo.picture.shape[:2]
    if isinstance(scale, Width):
        pixel_mm = float(pixel_from_width(scale.width_cm, wide))
    else:
        pixel_mm = float(pixel_from_bar(scale.length_cm, scale.along_px, scale.down_px))
    told = classify(photo.picture, pixel_mm)
    shares = shares_of(told.classes)
    whole = _cover(shares)
    strip = between = math.nan
    cover, reasons = whole, list(reasons_against(told.fitness))
    if strips is not None:
        strip, between, reason = _zones(told.classes, told.pixel_mm, strips)
        reasons += [reason] if reason else []
        known = not (math.isnan(strip) or math.isnan(between))
        cover = float(area_weighted_cover(strip, between, strips.tilled_share)) if known else math.nan
    found = PhotoCover(
        name=photo.name,
        taken=photo.taken,
        latitude=photo.latitude,
        longitude=photo.longitude,
        size=(wide, high),
        pixel_mm=pixel_mm,
        cover=cover,
        whole_cover=whole,
        strip_cover=strip,
        between_cover=between,
        residue_share=float(shares[RESIDUE]),
        green_share=float(shares[GREEN]),
        shadow_share=float(shares[SHADOW]),
        reasons=tuple(reasons),
    )
    return found, told.classes


def cover_of_field(photos: Sequence[PhotoCover], counts: Sequence[PhotoCount], strips: Strips | None) -> FieldCover:
    """Hold counts by hand against photos, and correct the mean of all photos that are fit.

    Parameters
    ----------
    photos : sequence of PhotoCover
        All photos of one field.
    counts : sequence of PhotoCount
        Of some of them; of strip and ground between apart where there are strips.
    strips : Strips or None
        Where strips lie.
    """
    by_photo: dict[str, dict[str, PhotoCount]] = {}
    for count in counts:
        by_photo.setdefault(count.photo, {})[count.zone] = count
    auto, hand, errors, used, left_out = [], [], [], [], []
    for photo in photos:
        zones = by_photo.get(photo.name)
        if zones is None:
            continue
        if not photo.fit:
            left_out.append((photo.name, "it gives no cover"))
        elif strips is not None and set(zones) != set(ZONES):
            left_out.append((photo.name, f"counted only in: {', '.join(sorted(zones))}"))
        else:
            counted, error = _hand(zones, strips)
            auto.append(photo.cover)
            hand.append(counted)
            errors.append(error)
            used.append(photo.name)
    calibration = None
    if len(used) >= _LIMITS.photos_least:
        everything = [photo.cover for photo in photos if photo.fit]
        calibration = calibrate(auto, hand, errors, everything, _CONFIDENCE)
    return FieldCover(calibration, tuple(used), tuple(left_out))


def _cover(shares: FloatArray) -> float:
    if shares[GREEN] > _ALL_GREEN:
        return math.nan
    return float(cover_beside_plants(shares[RESIDUE], shares[GREEN]))


def _zones(classes: NDArray[np.uint8], pixel_mm: float, strips: Strips) -> tuple[float, float, Reason | None]:
    """Return the cover inside strips and between them, and what speaks against it."""
    at_cm = (np.arange(classes.shape[1]) + 0.5) * pixel_mm / 10
    middle = classes.shape[1] * pixel_mm / 20 if strips.offset_cm is None else strips.offset_cm
    inside = in_strip(at_cm, middle, strips.strip_cm, strips.row_cm) == 1
    shown = []
    for columns, wanted in ((inside, strips.strip_cm), (~inside, strips.row_cm - strips.strip_cm)):
        shown.append(np.count_nonzero(columns) * pixel_mm / 10 / wanted)
    strip, between = (
        _cover(shares_of(classes, columns)) if columns.any() else math.nan for columns in (inside, ~inside)
    )
    short = min(shown) < _LIMITS.zone_share or math.isnan(strip) or math.isnan(between)
    return strip, between, Reason("zone_share", min(shown), _LIMITS.zone_share) if short else None


def _hand(zones: dict[str, PhotoCount], strips: Strips | None) -> tuple[float, float]:
    """Return the cover counted on a photo, and its standard error from the marks."""
    if strips is None:
        count = next(iter(zones.values()))
        return count.hits / count.points, float(grid_count_se(count.hits, count.points))
    share = strips.tilled_share
    strip, between = (zones[zone] for zone in ZONES)
    cover = float(area_weighted_cover(strip.hits / strip.points, between.hits / between.points, share))
    strip_se, between_se = (float(grid_count_se(count.hits, count.points)) for count in (strip, between))
    return cover, math.hypot(share * strip_se, (1 - share) * between_se)
