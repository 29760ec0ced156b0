"""Before the day: how many row units and digs it takes, and what they will then be able to say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spadework.ranges import require
from spadework.reference import constants
from spadework.statistics import k_one_sided, mean_se, readings_for_extremes, units_for_mean

__all__ = ["Ahead", "Effort", "digs_ahead"]

_K = constants("digs")


@dataclass(frozen=True)
class Effort:
    """What so many units and digs will be able to say.

    Attributes
    ----------
    units, digs_each, digs : int
        Row units, digs in each, and digs in all.
    half_width_cm : float
        Half width of the interval of the mean, the units being what is repeated [cm].
    found_share : float
        Chance that a unit that is off by `off_by_cm` is named [1]; not a number with one dig each.
    reach_cm : float
        How far under the mean the limit will lie over which the wanted share of all seeds has its gap [cm].
    """

    units: int
    digs_each: int
    digs: int
    half_width_cm: float
    found_share: float
    reach_cm: float


@dataclass(frozen=True)
class Ahead:
    """Table of efforts, with what it was reckoned with.

    Attributes
    ----------
    rows : int
        Row units of the machine.
    efforts : tuple of Effort
        Rising by digs in all.
    between_sd_cm, within_sd_cm : float
        Assumed scatter between units and inside a unit [cm].
    off_by_cm : float
        How far a unit is off that is to be found [cm].
    half_width_cm : float
        Wanted half width of the mean [cm].
    units_wanted : tuple of int
        Units that it takes for that, for one, two and more digs in each, as in `digs_each`.
    digs_each : tuple of int
        Digs in each unit that were looked at.
    singles_one, singles_both : int
        Units, one dig in each, whose extreme on one side, or on both, is a limit whatever the shape of the scatter.
    inside_share, confidence_share : float
        Share of seeds [1] and confidence [1].
    """

    rows: int
    efforts: tuple[Effort, ...]
    between_sd_cm: float
    within_sd_cm: float
    off_by_cm: float
    half_width_cm: float
    units_wanted: tuple[int, ...]
    digs_each: tuple[int, ...]
    singles_one: int
    singles_both: int
    inside_share: float
    confidence_share: float


def digs_ahead(
    rows: int,
    *,
    between_sd_cm: float | None = None,
    within_sd_cm: float | None = None,
    off_by_cm: float | None = None,
    half_width_cm: float = 1.0,
    inside_share: float = 0.9,
    confidence_share: float = 0.95,
    digs_each: Sequence[int] = (1, 2, 3, 4, 6),
) -> Ahead:
    """Return what units and digs will be able to say, as a table.

    Parameters
    ----------
    rows : int
        Row units of the machine, 2 to 60.
    between_sd_cm, within_sd_cm : float, optional
        Scatter of the gap between units and inside a unit [cm]; those of the table ``digs`` if left out.
    off_by_cm : float, optional
        How far a unit is off that is to be found [cm]; that of the table if left out.
    half_width_cm : float
        Wanted half width of the mean [cm].
    inside_share, confidence_share : float
        Share of seeds that the limits hold [1], and confidence [1].
    digs_each : sequence of int
        Digs in each unit to look at.

    Raises
    ------
    ImpossibleValue
        If a number lies outside its range.

    Notes
    -----
    The chance to name a unit takes the interval of :func:`spadework.statistics.digs.unit_contrasts.unit_means`, all units dug: it
    is that of a non-central t.  It holds for a unit that is off by so much from the target, and counts it as named when its
    interval leaves the target out and its mean is off by no less than the tolerance of the table.  The reach of the limit
    takes the expected scatter, and digs of one unit as one reading, so it is on the cautious side for several digs.

    Examples
    --------
    >>> found = digs_ahead(8)
    >>> [(e.units, e.digs_each, round(e.half_width_cm, 2)) for e in found.efforts][:3]
    [(4, 1, 2.71), (4, 2, 2.11), (8, 1, 1.42)]
    """
    count = int(require("rows", rows, 2, 60))
    between = float(require("between_sd_cm", _K.between_sd_cm if between_sd_cm is None else between_sd_cm, 0, 30, "cm"))
    within = float(
        require("within_sd_cm", _K.within_sd_cm if within_sd_cm is None else within_sd_cm, 0, 30, "cm", above=True)
    )
    off = float(require("off_by_cm", _K.off_by_cm if off_by_cm is None else off_by_cm, 0, 100, "cm", above=True))
    half = float(require("half_width_cm", half_width_cm, 0, 100, "cm", above=True))
    each = tuple(int(n) for n in require("digs_each", digs_each, 1, 100))
    dug = [max(2, count // 2), count] if count >= 4 else [count]
    efforts = [
        _effort(units, digs, between, within, off, inside_share, confidence_share) for units in dug for digs in each
    ]
    wanted = units_for_mean(between, within, np.array(each), half, confidence_share)
    one, both = (int(readings_for_extremes(inside_share, confidence_share, both=way)) for way in (False, True))
    return Ahead(
        count, tuple(sorted(efforts, key=lambda e: (e.digs, e.units))), between, within, off, half,
        tuple(int(n) for n in wanted), each, one, both, inside_share, confidence_share,
    )  # fmt: skip


def _effort(
    units: int, digs: int, between: float, within: float, off: float, inside_share: float, sure: float
) -> Effort:
    from scipy.special import stdtrit

    half = float(stdtrit(units - 1, (1 + sure) / 2) * mean_se(between, within, units, digs))
    reach = float(k_one_sided(units, inside_share, sure)) * float(np.hypot(between, within))
    return Effort(units, digs, units * digs, half, _named(units, digs, within, off, sure), reach)


def _named(units: int, digs: int, within: float, off: float, sure: float) -> float:
    """Return the chance that a unit that is off is named, the scatter inside units integrated over."""
    from scipy.special import ndtr, stdtrit
    from scipy.stats import chi2

    if digs < 2:
        return float("nan")
    df = units * (digs - 1)
    se = within / np.sqrt(digs)
    reach = float(stdtrit(df, (1 + sure ** (1 / units)) / 2))
    # the pooled scatter by its quantiles, evenly weighted
    spread = np.sqrt(chi2.ppf((np.arange(400) + 0.5) / 400, df) / df)
    needed = np.maximum(reach * se * spread, _K.unit_tolerance_cm)
    return float(np.mean(ndtr((off - needed) / se) + ndtr((-off - needed) / se)))
