"""Which row units stand apart, by how much they are to be re-set, and whether the units were counted from one side."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from spadework.ranges import FloatArray
from spadework.reference import constants
from spadework.statistics import sort_by_unit
from spadework.statistics.digs.by_mesh import grouping_deviance
from spadework.statistics.digs.unit_contrasts import unit_means

__all__ = ["Change", "Flip", "UnitFound", "flip_of", "to_step", "units_of", "whole_machine"]

_K = constants("digs")
_NAN: Final = float("nan")
Part = Literal["band", "seed", "both", ""]


@dataclass(frozen=True)
class Change:
    """How far the gap of a unit or of the whole machine is from its target, as what there is to do [cm].

    Attributes
    ----------
    gap_cm, low_cm, high_cm : float
        By how much the gap is to grow (less than nought: to shrink), and the interval.
    step_cm : float
        The same to the step to which it is said.
    part : str
        ``"band"`` or ``"seed"`` where one of them is off, ``"both"``, or empty where the digs cannot say which.
    band_cm, seed_cm : float
        By how much the band is to go deeper, and the seed shallower; not a number where not known.
    """

    gap_cm: float
    low_cm: float
    high_cm: float
    step_cm: float
    part: Part
    band_cm: float
    seed_cm: float

    def moves(self) -> tuple[float, float]:
        """Return how much deeper the band and how much shallower the seed lie once this is set as it is told [cm].

        Where the digs cannot say which of the two is off, all of it is put on the band.
        """
        if self.part == "both":
            return self.band_cm, self.seed_cm
        return (0.0, self.step_cm) if self.part == "seed" else (self.step_cm, 0.0)


@dataclass(frozen=True)
class UnitFound:
    """One row unit.

    Attributes
    ----------
    unit, digs : int
        Its number, and the digs in it that have a gap.
    gap_cm, low_cm, high_cm : float
        Mean gap [cm], and the interval that holds for all units at once; not a number where there is none.
    top_cm, seed_cm : float
        Mean depth of band top and seed under the press-wheel track [cm]; not a number where not known.
    change : Change or None
        What to re-set, where the evidence bears it.
    doubtful : bool
        True where the mean is off by as much as would be re-set, but the evidence does not bear it.
    """

    unit: int
    digs: int
    gap_cm: float
    low_cm: float
    high_cm: float
    top_cm: float
    seed_cm: float
    change: Change | None
    doubtful: bool


@dataclass(frozen=True)
class Flip:
    """Whether the units of the way back were counted from the other side.

    Attributes
    ----------
    gain : float
        How much better the other counting fits: twice the logarithm of how many times as likely the digs are.
    better : bool
        True where it fits clearly better.
    off : tuple of UnitFound
        Units that would be off, so counted.
    """

    gain: float
    better: bool
    off: tuple[UnitFound, ...]


def to_step(value_cm: float, step_cm: float | None = None) -> float:
    """Return a change to the step to which it is said, half a centimetre unless told.

    Examples
    --------
    >>> to_step(1.83), to_step(-0.6), to_step(0.25)
    (2.0, -0.5, 0.5)
    """
    step = _K.step_cm if step_cm is None else step_cm
    return math.copysign(math.floor(abs(value_cm) / step + 0.5) * step, value_cm) + 0.0


def units_of(
    gap_cm: ArrayLike,
    units: ArrayLike,
    top_cm: ArrayLike,
    seed_cm: ArrayLike,
    *,
    target_cm: float,
    seed_depth_cm: float,
    confidence_share: float,
    machine: Change | None = None,
) -> tuple[UnitFound, ...]:
    """Return the units in order, with what is to be re-set in each beyond what the whole machine is moved by.

    Parameters
    ----------
    gap_cm : array_like
        Gaps [cm]; not a number where there is none.
    units : array_like
        Unit of each dig.
    top_cm, seed_cm : array_like
        Depth of band top and of seed under the press-wheel track [cm]; not a number where not known.
    target_cm, seed_depth_cm : float
        Wanted gap and wanted depth of the seed [cm].
    confidence_share : float
        Confidence that all intervals hold at once [1].
    machine : Change, optional
        What is going to be re-set on the whole machine first.

    Notes
    -----
    A change is handed back where the interval of the unit lies wholly on one side of the target and the mean is off by no
    less than the tolerance of the table ``digs``.  Band and seed are judged each by its own interval;
    where one has none, as when all digs read alike, by whether its mean is off by that tolerance.
    """
    gaps, names = np.asarray(gap_cm, dtype=np.float64), np.asarray(units)
    tops, seeds = np.asarray(top_cm, dtype=np.float64), np.asarray(seed_cm, dtype=np.float64)
    there = np.isfinite(gaps)
    order = np.unique(names[there])
    deeper, shallower = (0.0, 0.0) if machine is None else machine.moves()
    target = target_cm - deeper - shallower
    band_wanted, seed_wanted = seed_depth_cm + target_cm - deeper, seed_depth_cm + shallower
    held = _intervals(gaps, names, confidence_share)
    bands, sown = (_intervals(part, names, confidence_share) for part in (tops, seeds))
    found = []
    for unit in order.tolist():
        own = there & (names == unit)
        mean = float(gaps[own].mean())
        low, high = held.get(unit, (_NAN, _NAN))
        off = target - mean
        large = abs(off) >= _K.unit_tolerance_cm
        change = None
        if large and (target < low or target > high):
            band, seed = _mean(tops[own]), _mean(seeds[own])
            part = _part(bands.get(unit), band_wanted, sown.get(unit), seed_wanted, band, seed)
            if machine is not None and not machine.part:
                part = ""  # what the machine's own step will move is not known either
            change = Change(
                off, target - high, target - low, to_step(off), part, band_wanted - band, seed - seed_wanted
            )
        found.append(
            UnitFound(
                int(unit),
                int(own.sum()),
                mean,
                low,
                high,
                _mean(tops[own]),
                _mean(seeds[own]),
                change,
                large and change is None,
            )
        )
    return tuple(found)


def whole_machine(
    gap: tuple[float, float, float],
    top: tuple[float, float, float],
    seed: tuple[float, float, float],
    *,
    target_cm: float,
    seed_depth_cm: float,
) -> Change | None:
    """Return by how much the whole machine is to be re-set, or nothing where the digs do not bear it.

    Parameters
    ----------
    gap, top, seed : tuple of float
        Mean over units of gap, of band top and of seed, each with the ends of its interval [cm]; units that stand apart from
        the others left out.
    target_cm, seed_depth_cm : float
        Wanted gap and wanted depth of the seed [cm].

    Notes
    -----
    Two things are asked: the interval of the mean, the units being what is repeated, leaves the target out, and the mean is
    off by no less than the tolerance of the table ``digs``.
    """
    off = target_cm - gap[0]
    if not math.isfinite(gap[1]) or gap[1] <= target_cm <= gap[2] or abs(off) < _K.machine_tolerance_cm:
        return None
    wanted = seed_depth_cm + target_cm
    part = _part((top[1], top[2]), wanted, (seed[1], seed[2]), seed_depth_cm, top[0], seed[0])
    return Change(
        off, target_cm - gap[2], target_cm - gap[1], to_step(off), part, wanted - top[0], seed[0] - seed_depth_cm
    )


def flip_of(
    gap_cm: FloatArray,
    units: NDArray[np.int64],
    directions: Sequence[str],
    rows: int,
    top_cm: FloatArray,
    seed_cm: FloatArray,
    *,
    target_cm: float,
    seed_depth_cm: float,
    confidence_share: float,
) -> Flip | None:
    """Tell whether the digs fit clearly better if the units of the way back had been counted from the other side.

    Parameters
    ----------
    gap_cm : FloatArray
        Gaps [cm]; not a number where there is none.
    units : NDArray
        Units as written.
    directions : sequence of str
        ``"out"``, ``"back"`` or empty.
    rows : int
        Rows of the machine.
    top_cm, seed_cm, target_cm, seed_depth_cm, confidence_share
        As for :func:`units_of`.

    Returns
    -------
    Flip or None
        None where there are no digs of both ways, or too few to tell.

    Notes
    -----
    The restricted likelihood of the two countings is compared; both have the same readings and as many unknowns.
    """
    way = np.array(directions)
    there = np.isfinite(gap_cm)
    gaps, names, back = gap_cm[there], units[there], way[there] == "back"
    other = np.where(back, rows + 1 - names, names)
    enough = gaps.size >= 4 and back.any() and bool(np.any(way[there] == "out"))
    if not enough or np.array_equal(other, names):
        return None
    if min(np.unique(names).size, np.unique(other).size) < 2 or np.ptp(gaps) <= 0:
        return None
    written, turned = sort_by_unit(gaps, names), sort_by_unit(gaps, other)
    gain = grouping_deviance(written) - grouping_deviance(turned)
    better = bool(gain >= _K.flip_deviance and written.within_df > 0 and turned.within_df > 0)
    off: tuple[UnitFound, ...] = ()
    if better:
        found = units_of(
            gaps,
            other,
            top_cm[there],
            seed_cm[there],
            target_cm=target_cm,
            seed_depth_cm=seed_depth_cm,
            confidence_share=confidence_share,
        )
        off = tuple(one for one in found if one.change is not None)
    return Flip(float(gain), better, off)


def _intervals(values: FloatArray, names: NDArray[np.int64], sure: float) -> dict[int, tuple[float, float]]:
    """Return the interval of every unit that has one, for all of them at once."""
    there = np.isfinite(values)
    kept = names[there]
    if kept.size < 3 or np.unique(kept).size < 2:
        return {}
    it = sort_by_unit(values[there], kept)
    if not it.within_df or it.within_squares <= 0:
        return {}
    found = unit_means(it, sure)
    return {
        int(unit): (float(low), float(high))
        for unit, low, high in zip(np.unique(kept), found.low, found.high, strict=True)
    }


def _part(
    band: tuple[float, float] | None,
    wanted_top_cm: float,
    seed: tuple[float, float] | None,
    seed_depth_cm: float,
    band_mean: float,
    seed_mean: float,
) -> Part:
    band_off = _is_off(band, wanted_top_cm, band_mean)
    seed_off = _is_off(seed, seed_depth_cm, seed_mean)
    if band_off and seed_off:
        return "both"
    return "band" if band_off else "seed" if seed_off else ""


def _is_off(interval: tuple[float, float] | None, wanted_cm: float, mean_cm: float) -> bool:
    """Tell whether the interval leaves out what is wanted; without one, as when all digs read alike, whether the mean is off."""
    if interval is not None and all(map(math.isfinite, interval)):
        return math.isfinite(mean_cm) and not interval[0] <= wanted_cm <= interval[1]
    return math.isfinite(mean_cm) and abs(mean_cm - wanted_cm) >= _K.unit_tolerance_cm


def _mean(values: FloatArray) -> float:
    known = values[np.isfinite(values)]
    return float(known.mean()) if known.size else _NAN
