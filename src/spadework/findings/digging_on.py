"""After each dig, in order: does the gap fit, does it not, or must another hole be dug.

Three means are held against one another: the target, and the two ends of the window.  Evidence is added up from unit to
unit, as digs of one unit resemble one another.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, require
from spadework.reference import constants
from spadework.statistics import bound_estimated, bound_known, evidence, unit_mean_sd, verdict

__all__ = ["DigOn", "dig_on"]

_K = constants("digs")
_FIRST: Final = int(_K.first_units)
_RULER: Final = _K.step_cm / float(np.sqrt(12))  # what reading to that step scatters by itself
Call = Literal["fits", "does not fit", "dig on"]


@dataclass(frozen=True)
class DigOn:
    """The call after each dig.

    Attributes
    ----------
    calls : tuple of str
        ``"fits"``, ``"does not fit"`` or ``"dig on"`` after each dig in order; the first that is not ``"dig on"`` stands.
    call : str
        The one that stands after the last dig.
    stopped_after : int
        Digs after which it stood; 0 where it is ``"dig on"``.
    side : str
        ``"shallow"`` where the gap is too small, ``"deep"`` where it is too large; empty otherwise.
    sd_cm : float
        Scatter of the mean of a unit that was reckoned with [cm]; not a number where there is none yet.
    known : bool
        True where the scatter was given beforehand, False where it is that of the first units.
    error_share : float
        Error borne on either side [1].
    digs_each : int
        Digs that make the mean of a unit; nought where every dig counts as it comes.
    """

    calls: tuple[Call, ...]
    call: Call
    stopped_after: int
    side: Literal["shallow", "deep", ""]
    sd_cm: float
    known: bool
    error_share: float
    digs_each: int


def dig_on(
    gap_cm: ArrayLike,
    units: ArrayLike,
    window_cm: tuple[float, float],
    *,
    target_cm: float | None = None,
    error_share: float | None = None,
    scatter_cm: tuple[float, float] | None = None,
    digs_each: int = 1,
    first_units: int = _FIRST,
) -> DigOn:
    """Return after each dig whether the mean gap fits, does not, or another hole must be dug.

    Parameters
    ----------
    gap_cm : array_like
        Gaps in the order in which they were dug [cm].
    units : array_like
        Unit of each.
    window_cm : tuple of float
        Ends of the window [cm]: the means that are to be found out.
    target_cm : float, optional
        Mean that is to be accepted [cm]; the middle of the window if left out.
    error_share : float, optional
        Chance of either wrong call [1], 0.0001 to 0.5; that of the table ``digs`` if left out.
    scatter_cm : tuple of float, optional
        Standard deviation between units and inside a unit, known beforehand [cm].  Left out, the scatter is that of the
        first units.
    digs_each : int
        Without `scatter_cm`: digs that make the mean of a unit; a unit counts once it has as many, and further digs in it
        change nothing.  Fixed before digging.
    first_units : int
        Without `scatter_cm`: units that tell the scatter.

    Returns
    -------
    DigOn
        The calls.

    Raises
    ------
    ImpossibleValue
        If the target does not lie inside the window, or a number outside its range.

    Notes
    -----
    "Fits" needs evidence for the target against both ends, each at the error.  "Does not fit" needs evidence for one end
    against the target at half the error, as there are two ends.  A mean that in truth lies at an end is called fitting,
    and one on target is called not fitting, no more often than the error; in between the rule may ask for many digs.

    With known scatter, a unit of n digs has the variance between + inside / n, and the evidence is that of all digs: it
    holds wherever digging stops.  With the scatter of the first units the bounds are wider and units must count alike,
    therefore `digs_each`; that scatter is taken no smaller than that of reading a ruler.

    Examples
    --------
    >>> found = dig_on([5.8, 6.4, 6.1, 5.7, 6.2], [1, 2, 3, 4, 5], (4, 8), scatter_cm=(0.8, 1.0))
    >>> found.calls
    ('dig on', 'dig on', 'fits', 'fits', 'fits')
    """
    gaps, names = require("gap_cm", gap_cm, -200, 200, "cm"), np.asarray(units)
    low, high = window_cm
    target = (low + high) / 2 if target_cm is None else target_cm
    if not low < target < high:
        raise ImpossibleValue("target_cm", f"{target:.6g}", low, high, "cm, and not an end of the window")
    error = float(require("error_share", _K.error_share if error_share is None else error_share, 0.0001, 0.5))
    require("digs_each", digs_each, 1, 1000)
    require("first_units", first_units, 2, 1000)
    ends = np.array([low, high])
    if scatter_cm is None:
        means, counts = _finished(gaps, names, digs_each)
        sd = max(float(np.std(means[:first_units], ddof=1)), _RULER) if len(means) >= first_units else float("nan")
        proofs = _estimated(means, counts, sd, target, ends, first_units)
        bounds = (float(bound_estimated(error, first_units - 1)), float(bound_estimated(error / 2, first_units - 1)))
    else:
        proofs = _known(gaps, names, target, ends, scatter_cm)
        bounds = (float(bound_known(error)), float(bound_known(error / 2)))
        sd = float(unit_mean_sd(*scatter_cm, 1))
    calls: list[Call] = []
    side: Literal["shallow", "deep", ""] = ""
    before: FloatArray | None = None
    for proof in proofs:
        if proof is before:
            calls.append("dig on")
            continue
        before = proof
        said = np.zeros(2) if np.isnan(proof).any() else verdict(proof, *bounds)
        if np.any(said < 0):
            calls.append("does not fit")
            side = "shallow" if said[0] < 0 else "deep"
        else:
            calls.append("fits" if np.all(said > 0) else "dig on")
        if calls[-1] != "dig on":
            calls += [calls[-1]] * (gaps.size - len(calls))
            break
    last: Call = calls[-1] if calls else "dig on"
    stopped = calls.index(last) + 1 if last != "dig on" else 0
    return DigOn(
        tuple(calls), last, stopped, side, sd, scatter_cm is not None, error, digs_each if scatter_cm is None else 0
    )


def _known(
    gaps: FloatArray, names: np.ndarray, target: float, ends: FloatArray, scatter: tuple[float, float]
) -> Iterator[FloatArray]:
    sums: dict[object, tuple[float, int]] = {}
    for gap, name in zip(gaps.tolist(), names.tolist(), strict=True):
        total, count = sums.get(name, (0.0, 0))
        sums[name] = (total + gap, count + 1)
        digs = np.array([n for _, n in sums.values()], dtype=np.float64)
        means = np.array([t for t, _ in sums.values()]) / digs
        each = evidence(1, means, unit_mean_sd(*scatter, digs), target, ends[:, None])
        yield np.asarray(each.sum(axis=1))


def _finished(gaps: FloatArray, names: np.ndarray, digs_each: int) -> tuple[list[float], list[int]]:
    """Return the means of units that have their digs, and after each dig how many of them there are."""
    taken: dict[object, list[float]] = {}
    means: list[float] = []
    counts = []
    for gap, name in zip(gaps.tolist(), names.tolist(), strict=True):
        own = taken.setdefault(name, [])
        own.append(gap)
        if len(own) == digs_each:
            means.append(sum(own) / digs_each)
        counts.append(len(means))
    return means, counts


def _estimated(
    means: list[float], counts: list[int], sd: float, target: float, ends: FloatArray, first: int
) -> Iterator[FloatArray]:
    before, proof = 0, np.full(2, np.nan)
    for count in counts:
        if count >= first and count != before:
            before, proof = count, np.asarray(evidence(count, float(np.mean(means[:count])), sd, target, ends))
        yield proof
