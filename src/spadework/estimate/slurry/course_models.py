"""The two models of the ammonia course under one roof: what a way of placing and covering means to each of them.

A way of placing goes by its row of the table of what placing saves, as in ``machine_kinds``.  All arrays broadcast; hours
of weather run along the last axis.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray
from spadework.reference import constants
from spadework.science.slurry import (
    ammonia_two_pool_hafner,
    hafner_f0,
    hafner_f4,
    hafner_r1_centre,
    hafner_r3,
    loss_in_weather_sogaard,
    sogaard_half_time,
    sogaard_nmax,
)

__all__ = [
    "COURSE_H",
    "COVERS",
    "MODELS",
    "Air",
    "Lying",
    "Strength",
    "course_of",
    "lying",
    "standing_words",
]

COURSE_H: Final = 168
"""Hours over which a course is followed."""
MODELS: Final = {"two pools": "ammonia_hafner", "saturation": "ammonia_sogaard"}
"""The models of the course, the first meant where none is named, with the tables of their coefficients."""
COVERS: Final = {"plough_at_once": "deep", "non_inversion_at_once": "shallow"}
"""How deep the two pools take a way of covering to go."""
_MIXED: Final = "non_inversion_at_once"


class Air(NamedTuple):
    """Hours of weather along the last axis; wind at 2 m."""

    temperature_degc: FloatArray
    wind_m_s: FloatArray
    rain_mm_h: FloatArray


@dataclass(frozen=True)
class Strength:
    """What the models want to know of the slurry; arrays of any shape without hours.

    Attributes
    ----------
    dry_matter_share, ph : array_like
        Of the fresh slurry.
    tan_kg_t, dose_t_ha : array_like
        Ammoniacal N, and slurry spread.
    word : str
        ``cattle`` or ``pig``.
    """

    dry_matter_share: ArrayLike
    tan_kg_t: ArrayLike
    ph: ArrayLike
    dose_t_ha: ArrayLike
    word: str


@dataclass(frozen=True, slots=True)
class Lying:
    """What a way of placing is to the models: a way of spreading each, and whether it mixes in at once.

    `saturation` is empty where that model has no factor that can be used.
    """

    two_pools: str
    saturation: str
    mixes: bool = False


def lying(places: str) -> Lying:
    """Return what a way of placing is to the models.

    A band under the row counts as a closed slot; a tool that mixes in where it places, as broadcast and covered at once.
    The model that levels off has no factor for closed slots that can be used.

    Examples
    --------
    >>> lying("deep_closed").two_pools, lying("non_inversion_at_once").mixes, lying("closed_slot").saturation
    ('closed_slot', True, '')
    """
    if places in {"deep_closed", "closed_slot"}:
        return Lying("closed_slot", "")
    if places == _MIXED:
        return Lying("broadcast", "broadcast", True)
    return Lying(places, places)


def standing_words(model: str) -> str:
    """Return how well the coefficients of a model are known, off its table."""
    table = constants(MODELS[model])
    recalled = sum(table[key].citation.standing == "memory" for key in table)
    source = next(table[key].citation for key in table if table[key].citation.standing == "memory").source
    lacking = ""
    if model == "two pools":
        lacking = "; slurry that has soaked in loses alike in all weather here, a term for that may be missing"
    return (
        f"{model}: {source.text}; {recalled} of {len(list(table))} numbers of the table [memory]: recalled, not read in the "
        f"source, to be checked{lacking}"
    )


def course_of(
    model: str,
    air: Air,
    slurry: Strength,
    lies: Lying,
    cover: str,
    delay_h: ArrayLike,
    saving: ArrayLike,
    *,
    whole: bool = True,
) -> FloatArray | None:
    """Return the loss up to the end of every hour, or in the end, by one of the models.

    Parameters
    ----------
    model : str
        One of :data:`MODELS`.
    air : Air
        Weather from the hour of spreading on.
    slurry : Strength
        The slurry.
    lies : Lying
        The way of placing.
    cover : str
        Way of covering, a row of :data:`COVERS`; empty where nothing covers.  A way of placing that mixes in needs none.
    delay_h : array_like
        From spreading to covering [h], 0 or more; of no account where nothing covers.
    saving : array_like
        What covering at once saves [1], 0 to 1; the model that levels off takes that share off what is still to come.
    whole : bool
        Whether hours run along the last axis of the result; otherwise it is the loss in the end.

    Returns
    -------
    ndarray or None
        Share of the ammoniacal N spread [1]; None where the model has no factor for the way of placing.
    """
    if lies.mixes:
        cover, delay_h = _MIXED, 0.0
    delay = np.asarray(delay_h if cover else np.inf, dtype=np.float64)
    if model == "two pools":
        return _two_pools(air, slurry, lies.two_pools, COVERS[cover] if cover else "", delay, whole)
    if not lies.saturation:
        return None
    found = _saturation(air, slurry, lies.saturation, delay, np.asarray(saving, dtype=np.float64))
    return found if whole else found[..., -1]


def _two_pools(air: Air, slurry: Strength, method: str, cover: str, delay: FloatArray, whole: bool) -> FloatArray:
    k = constants(MODELS["two pools"])

    def term(part: str, word: str) -> float:
        return k[f"{part}_{word}"].value

    in_slot = 1.0 if method.endswith("_slot") else 0.0
    dry, ph, r3_way = slurry.dry_matter_share, slurry.ph, term("r3", method)
    return ammonia_two_pool_hafner(
        *air,
        hafner_f0(slurry.dose_t_ha, dry, term("f0", method), term("f0", slurry.word), in_slot),
        hafner_r1_centre(dry, ph, term("r1", method)),
        hafner_r3(ph, r3_way, 0.0),
        hafner_r3(ph, r3_way, term("r3", cover)) if cover else 0.0,
        hafner_f4(term("f4", cover)) if cover else 1.0,
        delay,
        whole_course=whole,
    )


def _saturation(air: Air, slurry: Strength, method: str, delay: FloatArray, saving: FloatArray) -> FloatArray:
    k = constants(MODELS["saturation"])
    dry, tan, dose = (
        np.asarray(a, dtype=np.float64)[..., None] for a in (slurry.dry_matter_share, slurry.tan_kg_t, slurry.dose_t_ha)
    )
    wet = (k["nmax_soil_dry"].value, k["km_soil_dry"].value)
    weather = (air.temperature_degc, air.wind_m_s)
    top = sogaard_nmax(
        *weather, dry, tan, dose, wet[0], k[f"nmax_{slurry.word}"].value, k[f"nmax_{method}"].value,
        k["nmax_not_incorporated"].value, k["nmax_mass_balance"].value,
    )  # fmt: skip
    half = sogaard_half_time(*weather, dry, tan, dose, wet[1], k[f"km_{slurry.word}"].value)
    open_course = loss_in_weather_sogaard(top, half)
    if np.isinf(delay).all():
        return open_course
    lead = np.broadcast_shapes(open_course.shape[:-1], delay.shape, saving.shape)
    hours = open_course.shape[-1]
    course, top, half = (np.broadcast_to(a, (*lead, hours)) for a in (open_course, top, half))
    delay = np.broadcast_to(delay, lead)[..., None]
    at = np.minimum(np.floor(delay), hours - 1).astype(np.int64)
    before = np.concatenate([np.zeros((*lead, 1)), course], axis=-1)
    gone = np.take_along_axis(before, at, -1)
    # Within the hour of covering the loss follows the curve of that hour, as in `loss_in_weather_sogaard`.
    to_come = np.maximum(np.take_along_axis(top, at, -1) - gone, 0)
    scale = np.take_along_axis(top, at, -1) * np.take_along_axis(half, at, -1)
    part = to_come * np.clip(delay - at, 0, 1)
    gone = gone + to_come * part / (scale + part)
    ends = np.arange(1, hours + 1)
    left = 1 - np.broadcast_to(saving, lead)[..., None]
    return np.where(ends <= delay, course, gone + np.maximum(course - gone, 0) * left)
