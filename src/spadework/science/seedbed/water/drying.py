"""Drying day by day: one kind of ground, or tilled strips and the ground between them.

Days run along the last axis, draws and places along the others.  Rain comes first in the day, then evaporation; what the
top layer cannot hold drains on.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.science.seedbed.water.evaporation import drying_share
from spadework.science.seedbed.water.top_layer import cover_factors
from spadework.working import equation

__all__ = [
    "Drying",
    "Ground",
    "TwoGrounds",
    "dry_down",
    "dry_two_grounds",
]


@dataclass(frozen=True)
class Ground:
    """What one kind of ground holds and lies under.

    Attributes
    ----------
    evaporable_mm, readily_mm : array_like
        Water that can evaporate, and that evaporates readily [mm]; loosened soil has its own.
    depletion_mm : array_like
        Water that the layer lacks of field capacity at the start [mm].
    cover_share : array_like
        Share of it that residue covers [1].
    soak_share : array_like
        Share of the rain that soaks in [1].
    rule, acts_on : str
        See :func:`.cover_factors`.
    """

    evaporable_mm: ArrayLike
    readily_mm: ArrayLike
    depletion_mm: ArrayLike = 0.0
    cover_share: ArrayLike = 0.0
    soak_share: ArrayLike = 1.0
    rule: str = "linear"
    acts_on: str = "rate"


@dataclass(frozen=True)
class Drying:
    """How one kind of ground dried; days along the last axis.

    Attributes
    ----------
    depletion_mm : FloatArray
        Water that the layer lacks at the end of the day [mm].
    evaporation_mm : FloatArray
        Water that evaporated in the day, on this ground [mm].
    soaked_mm : FloatArray
        Water that came in [mm].
    drained_mm : FloatArray
        Of that, what the layer could not hold [mm].
    wet_share : FloatArray
        Share of the full rate at which the ground gave off water, residue apart [1].
    """

    depletion_mm: FloatArray
    evaporation_mm: FloatArray
    soaked_mm: FloatArray
    drained_mm: FloatArray
    wet_share: FloatArray


@dataclass(frozen=True)
class TwoGrounds:
    """How strips and the ground between them dried.

    Attributes
    ----------
    strip, between : Drying
        Each on its own ground.
    evaporation_mm : FloatArray
        Of the field [mm].
    """

    strip: Drying
    between: Drying
    evaporation_mm: FloatArray


class _State:
    """One kind of ground on its way through the days."""

    def __init__(self, name: str, ground: Ground, rain: FloatArray, added: FloatArray) -> None:
        factors = cover_factors(ground.cover_share, ground.rule, ground.acts_on)
        self.rate = factors[0]
        self.total = np.asarray(factors[1] * require("evaporable_mm", ground.evaporable_mm, 0, 200, "mm", above=True))
        self.readily = np.asarray(factors[1] * require("readily_mm", ground.readily_mm, 0, 200, "mm"))
        self.lacks = require("depletion_mm", ground.depletion_mm, 0, 200, "mm")
        require(f"evaporable_mm - depletion_mm, {name}", self.total - self.lacks, 0, 200, "mm")
        soak = require("soak_share", ground.soak_share, 0, 1)
        self.water = np.asarray(soak)[..., np.newaxis] * rain + added
        self.rows: list[tuple[FloatArray, FloatArray, FloatArray, FloatArray]] = []

    def wet(self, day: int) -> FloatArray:
        """Let the water of a day in, and return the share of the full rate at which the surface dries."""
        missing = self.lacks - self.water[..., day]
        self.drained = np.maximum(-missing, 0)
        self.lacks = np.maximum(missing, 0)
        self.surface = drying_share(self.lacks, self.total, self.readily)
        return self.surface

    def dry(self, wanted: FloatArray) -> FloatArray:
        """Take what evaporates, at most what is left, and return it."""
        left = np.maximum(self.total - self.lacks, 0)  # rounding may leave less than nil
        gone: FloatArray = np.minimum(wanted, left)
        self.lacks = self.lacks + gone
        met = np.where(wanted > 0, gone / np.where(wanted > 0, wanted, 1), 1)
        self.rows.append((self.lacks, gone, self.drained, self.surface * met))
        return gone

    def course(self) -> Drying:
        lacks, gone, drained, wet = (
            np.stack(np.broadcast_arrays(*column), axis=-1) for column in zip(*self.rows, strict=True)
        )
        return Drying(lacks, gone, np.broadcast_to(self.water, lacks.shape), drained, wet)


def _weather(eto: ArrayLike, rain: ArrayLike, added: ArrayLike) -> tuple[FloatArray, FloatArray, FloatArray]:
    thirst = require("reference_et_mm", eto, 0, 30, "mm")
    water = require("rain_mm", rain, 0, 1000, "mm")
    more = require("added_mm", added, 0, 1000, "mm")
    days = np.broadcast_shapes(thirst.shape[-1:], water.shape[-1:], more.shape[-1:])
    if not days:
        raise ValueError("one of the series of the weather must have days along its last axis")
    return tuple(np.broadcast_to(a, np.broadcast_shapes(a.shape, days)) for a in (thirst, water, more))  # type: ignore[return-value]


def _left_for_soil(most: ArrayLike, crop: ArrayLike) -> FloatArray:
    highest, own = require("most_factor", most, 0, 2), require("crop_factor", crop, 0, 1.5)
    return require("most_factor - crop_factor", highest - own, 0, 2)


@equation(
    ("day by day: rain first, then the reference by what the crop leaves, the state of the surface and the cover"),
    unit="mm",
    source="fao56_1998",
    locator="equations 69 to 77",
    in_words=True,
)
def dry_down(
    zone: Ground,
    reference_et_mm: ArrayLike,
    rain_mm: ArrayLike,
    crop_factor: ArrayLike,
    most_factor: ArrayLike,
    added_mm: ArrayLike = 0.0,
) -> Drying:
    """Dry one kind of ground day by day.

    Parameters
    ----------
    zone : Ground
        The ground that dries [any], a :class:`Ground`.
    reference_et_mm : array_like
        Evaporation of the reference crop, day by day along the last axis [mm], 0 to 30.
    rain_mm : array_like
        Rain, day by day along the last axis [mm], 0 to 1000.
    crop_factor : array_like
        Coefficient of the crop alone, 0.15 for maize that has just emerged [1], 0 to 1.5.
    most_factor : array_like
        Highest coefficient after rain [1], 0 to 2.
    added_mm : array_like
        Water brought to the ground otherwise, such as that of slurry, day by day along the last axis [mm], 0 to
        1000.

    Returns
    -------
    Drying
        Its course [mm].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or the ground lacks more water than can evaporate.
    ValueError
        If no series has days.

    Notes
    -----
    E = m Kr (Kcmax - Kcb) ETo, at most what is left of the store.  The ground is open: no canopy hides it yet.
    Water: start depletion - end depletion = soaked - drained - evaporated, exactly.

    Examples
    --------
    >>> course = dry_down(Ground(20, 9), [4.5] * 4, 0, 0.15, 1.2)
    >>> course.depletion_mm.round(2).tolist()
    [4.73, 9.45, 13.98, 16.57]
    """
    thirst, water, more = _weather(reference_et_mm, rain_mm, added_mm)
    left = _left_for_soil(most_factor, crop_factor)
    state = _State("the ground", zone, water, more)
    for day in range(thirst.shape[-1]):
        surface = state.wet(day)
        state.dry(state.rate * surface * left * thirst[..., day])
    return state.course()


@equation(
    (
        "day by day on each ground: rain first, then the reference by what the crop leaves, the state "
        "of the surface, the cover and the share of the energy"
    ),
    unit="mm",
    source="fao56_1998",
    locator="equations 69 to 77; energy after Allen (2005)",
    in_words=True,
)
def dry_two_grounds(
    strip: Ground,
    between: Ground,
    tilled_share: ArrayLike,
    reference_et_mm: ArrayLike,
    rain_mm: ArrayLike,
    crop_factor: ArrayLike,
    most_factor: ArrayLike,
    added_mm: ArrayLike = 0.0,
    sharing: str = "apart",
) -> TwoGrounds:
    """Dry tilled strips and the ground between them day by day.

    Parameters
    ----------
    strip : Ground
        The ground of the tilled strips [any], a :class:`Ground`.
    between : Ground
        The ground between them [any], a :class:`Ground`.
    tilled_share : array_like
        Share of the field inside the strips [1], 0.001 to 0.999.
    reference_et_mm : array_like
        Evaporation of the reference crop, day by day along the last axis [mm], 0 to 30.
    rain_mm : array_like
        Rain, day by day along the last axis [mm], 0 to 1000.
    crop_factor : array_like
        Coefficient of the crop alone, 0.15 for maize that has just emerged [1], 0 to 1.5.
    most_factor : array_like
        Highest coefficient after rain [1], 0 to 2.
    added_mm : array_like
        Water brought to the ground otherwise, such as that of slurry, day by day along the last axis [mm], 0 to
        1000.
    sharing : str
        How the two kinds of ground share the energy: `apart`, each as if it were alone, or `competing` (Allen
        2005).

    Returns
    -------
    TwoGrounds
        Their courses and the evaporation of the field [mm].

    Raises
    ------
    ImpossibleValue
        If an input lies outside its range, or a ground lacks more water than can evaporate.
    ValueError
        If `sharing` has another name, or no series has days.

    Notes
    -----
    Our own way of putting the parts of FAO-56 together.  `apart` gives each ground what the crop leaves;
    `competing` gives each a part of it by the water that it still has, W = f (TEW - De) over the sum of both, so
    that a wet strip can draw on the energy that dry ground beside it does not use.  Either way the field never
    takes more than Kcmax - Kcb. `added_mm` goes to the strip alone. No water runs from one ground to the other.

    Examples
    --------
    >>> strip, between = Ground(18, 8, cover_share=0.1), Ground(18, 8, cover_share=0.8)
    >>> both = dry_two_grounds(strip, between, 0.27, [3.5] * 4, 0, 0.15, 1.2)
    >>> both.strip.depletion_mm.round(2).tolist(), both.between.depletion_mm.round(2).tolist()
    ([3.49, 6.98, 10.47, 13.1], [2.2, 4.41, 6.62, 8.82])
    """
    if sharing not in ("apart", "competing"):
        raise ValueError(f"`sharing` is {sharing!r}; it may be apart or competing")
    thirst, water, more = _weather(reference_et_mm, rain_mm, added_mm)
    share = require("tilled_share", tilled_share, 0.001, 0.999)
    left, most = _left_for_soil(most_factor, crop_factor), np.asarray(most_factor, dtype=np.float64)
    one, other = _State("strip", strip, water, more), _State("between", between, water, np.zeros_like(more))
    total = []
    for day in range(thirst.shape[-1]):
        surface, second = one.wet(day), other.wet(day)
        if sharing == "apart":
            rate, slow = surface * left, second * left
        else:
            mine, theirs = share * (one.total - one.lacks), (1 - share) * (other.total - other.lacks)
            both = mine + theirs
            weight = np.where(both > 0, mine / np.where(both > 0, both, 1), share)
            rate = np.minimum(surface * weight * left, share * most) / share
            slow = np.minimum(second * (1 - weight) * left, (1 - share) * most) / (1 - share)
        gone = one.dry(one.rate * rate * thirst[..., day])
        less = other.dry(other.rate * slow * thirst[..., day])
        total.append(share * gone + (1 - share) * less)
    return TwoGrounds(one.course(), other.course(), np.stack(np.broadcast_arrays(*total), axis=-1))
