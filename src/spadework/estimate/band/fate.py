"""Where the ammoniacal nitrogen of the band has gone by the day: lost when it was laid, ammonium still, nitrate by then."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from spadework.estimate.band.course import BandCourse
from spadework.estimate.result import Estimate
from spadework.estimate.slurry.courses import kept, take
from spadework.ranges import FloatArray

__all__ = ["Fate", "fate_of", "half_by"]


@dataclass(frozen=True, eq=False)
class Fate:
    """Where the ammoniacal nitrogen of the slurry is, per area of the field.

    The three parts add up to what was in the slurry, draw by draw.  What becomes of the nitrate is not followed: rain
    washes it down, gas comes of it where air is short, roots take it up.

    Attributes
    ----------
    slurry_kg_ha, lost_kg_ha : ndarray
        Ammoniacal N in the slurry, and what of it goes off as ammonia when it is laid, by draw.
    ammonium_kg_ha, nitrate_kg_ha : ndarray
        What is still ammoniacal N in the soil and what has become nitrate, by draw and day since the slurry.
    """

    slurry_kg_ha: FloatArray
    lost_kg_ha: FloatArray
    ammonium_kg_ha: FloatArray
    nitrate_kg_ha: FloatArray


def fate_of(estimate: Estimate, course: BandCourse) -> Fate:
    """Return where the nitrogen of a course goes; the ammonia is that of the estimate, lost before the first day.

    Notes
    -----
    The course itself does not take the ammonia off the band, which puts what seed and roots meet a little too high.
    """
    keep = kept(estimate.draws, course.inputs.draws)
    slurry, lost = (
        np.asarray(take(estimate.values(name, course.system), keep))
        for name in ("ammoniacal_n_spread", "placing_lost_n")
    )
    in_soil = (slurry - lost)[:, np.newaxis]
    return Fate(slurry, lost, in_soil * course.left_share, in_soil * (1 - course.left_share))


def half_by(course: BandCourse) -> FloatArray:
    """Return the first day on which half of the ammoniacal N has become nitrate, by draw; infinite where none has."""
    turned = course.left_share <= 0.5
    return np.where(turned.any(axis=1), turned.argmax(axis=1).astype(np.float64), np.inf)
