"""The two models of the ammonia course under one roof: what a way of placing and covering means to each of them.

A way of placing goes by its row of the table of what placing saves, as in ``machine_kinds``.  All arrays broadcast; hours
of weather run along the last axis.  The last part takes plots with times of their own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.plan.weather.series import Series
from spadework.ranges import FloatArray, ImpossibleValue
from spadework.reference import constants, load
from spadework.science.slurry import (
    ammonia_two_pool_hafner,
    early_share,
    hafner_f0,
    hafner_f4,
    hafner_r1_centre,
    hafner_r3,
    loss_covered,
    loss_in_weather_sogaard,
    loss_uncovered,
    sogaard_half_time,
    sogaard_nmax,
)

__all__ = [
    "COURSE_H",
    "COVERS",
    "MODELS",
    "Air",
    "Lying",
    "PlotLosses",
    "Strength",
    "course_of",
    "lying",
    "plot_losses",
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


@dataclass(frozen=True, eq=False)
class PlotLosses:
    """Loss of plots, share of the ammoniacal N spread [1], by each model and by the guidance factors.

    `saturation` is NaN where that model has no factor for the way of placing.
    """

    two_pools: FloatArray
    saturation: FloatArray
    factors: FloatArray


def plot_losses(
    spread_at: NDArray[np.datetime64],
    covered_at: NDArray[np.datetime64],
    places: Sequence[str],
    covers: Sequence[str],
    weather: Series,
    slurry: Strength,
    kind: str,
    course_h: int = COURSE_H,
) -> PlotLosses:
    """Return the ammonia lost from plots, each from the times at which it was spread and covered.

    Parameters
    ----------
    spread_at, covered_at : ndarray of datetime64
        UTC, one a plot; not-a-time in `covered_at` where nothing covered the plot.
    places, covers : sequence of str
        Way of placing of each plot, a row of the table of what placing saves; way of covering, of :data:`COVERS`, empty
        where nothing covered it.
    weather : Series
        Hours from the first spreading to `course_h` after the last.
    slurry : Strength
        One value for all plots, or one a plot.
    kind : str
        Kind of slurry, a row of ``slurry_kinds``; says the reference loss of the factors.
    course_h : int
        Hours after spreading that count, from 1 on.

    Returns
    -------
    PlotLosses
        One value a plot.

    Raises
    ------
    ImpossibleValue
        If a plot was covered before it was spread.
    ValueError
        If lengths differ, a way has no row, a time of covering has no way of covering or the other way round, or the
        weather does not reach.

    Notes
    -----
    A plot spread within an hour takes the weather of the hours that it overlaps, weighed with the overlap.
    """
    spread, covered = (np.asarray(a).astype("datetime64[s]") for a in (spread_at, covered_at))
    number = len(spread)
    if not len(covered) == len(places) == len(covers) == number:
        raise ValueError("spread_at, covered_at, places and covers must be of one length")
    delay = np.where(np.isnat(covered), np.inf, (covered - spread) / np.timedelta64(1, "h"))
    if (delay < 0).any():
        raise ImpossibleValue("covered_at - spread_at", f"{float(delay.min()):.6g}", 0, np.inf, "h")
    saves = load("ammonia_abatement_unece")
    for plot, (way, cover) in enumerate(zip(places, covers, strict=True)):
        if way not in saves or (cover and cover not in COVERS):
            raise ValueError(f"plot {plot + 1}: no row for placing {way!r}, covering {cover!r}")
        if bool(cover) == bool(np.isinf(delay[plot])):
            raise ValueError(f"plot {plot + 1}: a time of covering and a way of covering belong together")
    air = _from_times(weather, spread, course_h)
    given = [np.broadcast_to(np.asarray(a, dtype=np.float64), (number,)) for a in
             (slurry.dry_matter_share, slurry.tan_kg_t, slurry.ph, slurry.dose_t_ha)]  # fmt: skip
    found = {name: np.full(number, np.nan) for name in (*MODELS, "factors")}
    reference = load("ammonia_reference")[load("slurry_kinds")[kind].text("loss_row")].entry("loss_share").value
    for way, cover in sorted(set(zip(places, covers, strict=True))):
        own = np.array([pair == (way, cover) for pair in zip(places, covers, strict=True)])
        dry, tan, ph, dose = (a[own] for a in given)
        part = Strength(dry, tan, ph, dose, slurry.word)
        saving = saves[cover].entry("abatement_share").value if cover else 0.0
        here = Air(*(series[own] for series in air))
        for model in MODELS:
            lost = course_of(model, here, part, lying(way), cover, delay[own], saving, whole=False)
            found[model][own] = np.nan if lost is None else lost
        found["factors"][own] = _by_factors(reference, way, cover, delay[own], saving)
    return PlotLosses(found["two pools"], found["saturation"], found["factors"])


def _by_factors(reference: float, way: str, cover: str, delay: FloatArray, saving: float) -> FloatArray:
    saves = load("ammonia_abatement_unece")
    method = saves[way].entry("abatement_share").value
    if not cover:
        return np.full(delay.shape, loss_uncovered(reference, method))
    at_4, at_24 = (saves[row].entry("abatement_share").value for row in ("within_4_h", "within_24_h"))
    early = early_share(delay, saving, at_4, at_24, constants("ammonia_delay")["no_effect_h"].value)
    return loss_covered(reference, method, saving, early)


def _from_times(weather: Series, spread: NDArray[np.datetime64], course_h: int) -> Air:
    """Return the hours after each time, from within the hour in which it lies."""
    series = (weather.air_temperature_degc, weather.wind_2_m_m_s, weather.rain_mm_h)
    if np.isnat(weather.times).any():
        return Air(*(np.full((len(spread), course_h), float(values[0])) for values in series))
    place = (spread - weather.times[0]) / np.timedelta64(1, "h")
    if (place < 0).any() or (place + course_h > len(weather.times)).any():
        raise ValueError(
            f"the weather runs from {weather.times[0]} for {len(weather.times)} h; a plot needs {course_h} h from its "
            f"spreading, the first at {spread.min()}, the last at {spread.max()} UTC"
        )
    first = np.floor(place).astype(np.int64)
    part = (place - first)[:, None]
    at = first[:, None] + np.arange(course_h)
    behind = np.minimum(at + 1, len(weather.times) - 1)
    return Air(*((1 - part) * values[at] + part * values[behind] for values in series))
