"""A cut across the row on some days after banding, cell by cell, at the middle of all inputs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from spadework.estimate.band.course import (
    BELOW_CM,
    CELL_CM,
    SHALLOWEST_CM,
    BandCourse,
    diffusion_of,
    follow,
    found_of,
    from_start,
)
from spadework.ranges import FloatArray
from spadework.science.band import ammonium_section, nitrate_section, spread_of_days

__all__ = ["Cut", "cut_of"]


@dataclass(frozen=True, eq=False)
class Cut:
    """A cut across half a row spacing on some days, at the middle of all inputs, the seed right over the band.

    Attributes
    ----------
    days : tuple of int
        Since the slurry.
    depth_cm, across_cm : ndarray
        Middles of the cells, under the press-wheel track and from the row.
    severity, nitrogen_share, nitrate_share : ndarray
        By day, depth and place across: largest ratio to a limit of the seed; ammoniacal N and nitrate N over the
        ammoniacal N of the fresh band.
    top_cm, half_height_cm, half_width_cm, seed_cm, row_cm : float
        Fresh band, seed and row spacing.
    """

    days: tuple[int, ...]
    depth_cm: FloatArray
    across_cm: FloatArray
    severity: FloatArray
    nitrogen_share: FloatArray
    nitrate_share: FloatArray
    top_cm: float
    half_height_cm: float
    half_width_cm: float
    seed_cm: float
    row_cm: float


def cut_of(course: BandCourse, days: tuple[int, ...]) -> Cut:
    """Return the whole cut across the row on some of the days that were reckoned."""
    middle = course.inputs.middle().only(1)
    at = follow(replace(middle, offset_cm=np.zeros(1)), course.soil, days=course.days)
    ammonium, salt = diffusion_of(at.inputs, at.temperature_degc, at.ph)
    some = list(days)
    spreads = np.stack([from_start(spread_of_days(1, each))[0, some] for each in (ammonium, salt)])
    top, half = float(at.inputs.top_cm[0]), float(at.inputs.half_height_cm[0])
    row_cm = 100 * at.inputs.row_spacing_m
    section = max(SHALLOWEST_CM, CELL_CM * np.ceil((top + 2 * half + BELOW_CM) / CELL_CM))
    band: dict[str, Any] = {
        "centre_depth_cm": top + half,
        "half_height_cm": half,
        "half_width_cm": float(at.inputs.half_width_cm[0]),
        "row_spacing_m": at.inputs.row_spacing_m,
        "section_depth_cm": float(section),
        "cell_cm": CELL_CM,
    }
    near, salty = np.maximum(ammonium_section(spreads, **band), 0)
    nitrate = _nitrate(at.left_share[0], ammonium[0], salt[0], some, band)
    left, ph, warmth = (v[0, some][:, None, None] for v in (at.left_share, at.ph, at.temperature_degc))
    found = found_of(at.inputs, near * left, salty, ph, warmth, course.seed)
    layers, columns = near.shape[1:]
    return Cut(
        days, section / layers * (np.arange(layers) + 0.5), row_cm / 2 / columns * (np.arange(columns) + 0.5),
        found.severity, near * left, nitrate, top, half, float(at.inputs.half_width_cm[0]), float(at.inputs.seed_cm[0]), row_cm,
    )  # fmt: skip


def _nitrate(
    left: FloatArray, ammonium: FloatArray, freely: FloatArray, days: list[int], band: dict[str, Any]
) -> FloatArray:
    """Return the nitrate on some days, which spreads as salt does: with the water, held by nothing."""
    last = max(*days, 1)
    rate = -np.diff(np.log(left[: last + 1]))
    made = nitrate_section(1, ammonium[:last], freely[:last], rate, **band)
    shown: FloatArray = np.maximum(np.concatenate([np.zeros((1, *made.shape[1:])), made])[days], 0)
    return shown
