"""Groups of digs of one machine held against one another: wheels, headland, the two ways, before and after re-setting."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from spadework.ranges import FloatArray
from spadework.records.files.digs import Digs
from spadework.statistics import sort_by_unit
from spadework.statistics.digs.unit_contrasts import Contrast, between_units, within_units

__all__ = ["Compared", "compared"]


@dataclass(frozen=True)
class Compared:
    """Two groups of digs, the second less the first [cm].

    Attributes
    ----------
    what : str
        Of what: ``"gap"`` or ``"sideways"``.
    first, second : str
        The groups in words.
    how : str
        ``"units"`` where units stand against other units, ``"pairs"`` where each unit stands against itself.
    contrast : Contrast
        Difference with its interval.
    """

    what: str
    first: str
    second: str
    how: Literal["units", "pairs"]
    contrast: Contrast


def compared(digs: Digs, gap_cm: FloatArray, now: NDArray[np.bool_], confidence_share: float) -> tuple[Compared, ...]:
    """Return every comparison that the digs allow: wheels, headland, ways, and the last setting with the one before.

    Parameters
    ----------
    digs : Digs
        All of them.
    gap_cm : FloatArray
        Their gaps [cm]; not a number where there is none.
    now : NDArray
        True for digs of the last setting.
    confidence_share : float
        Confidence of the intervals [1].
    """
    gaps, sure = gap_cm, confidence_share
    found: list[Compared | None] = []
    wheel = digs.behind_wheel
    found.append(_wheels(gaps, digs.units, wheel, now, sure))
    places, ways = np.array(digs.places), np.array(digs.directions)
    for what, values in (("gap", gaps), ("sideways", digs.offset_cm)):
        for label, first, second, names in (
            (places, "body", "headland", ("body of the field", "headland")),
            (ways, "out", "back", ("way out", "way back")),
        ):
            if what == "sideways" and second == "headland":
                continue
            use = now & np.isfinite(values) & ((label == first) | (label == second))
            found.append(_pairs(what, values[use], digs.units[use], label[use] == second, names, sure))
    last = int(digs.settings.max())
    if last > 1:
        use = np.isfinite(gaps) & ((digs.settings == last) | (digs.settings == last - 1))
        names = (f"setting {last - 1}", f"setting {last}")
        found.append(_pairs("gap", gaps[use], digs.units[use], digs.settings[use] == last, names, sure))
    return tuple(one for one in found if one is not None)


def _wheels(
    gaps: FloatArray, units: NDArray[np.int64], wheel: FloatArray, now: NDArray[np.bool_], sure: float
) -> Compared | None:
    """Compare units behind a wheel with the others; a unit seen in both states stands against itself instead."""
    use = now & np.isfinite(gaps) & np.isfinite(wheel)
    names = ("not behind a wheel", "behind a wheel")
    kept, behind = units[use], wheel[use] > 0
    if not behind.any() or behind.all():
        return None
    share = {int(unit): float(behind[kept == unit].mean()) for unit in np.unique(kept)}
    if any(0 < part < 1 for part in share.values()):
        return _pairs("gap", gaps[use], kept, behind, names, sure)
    if len(share) < 2 or kept.size < 3:
        return None
    it = sort_by_unit(gaps[use], kept)
    if len(share) > 2 and it.between_squares + it.within_squares <= 0:
        return None
    return Compared("gap", *names, "units", between_units(it, [share[unit] for unit in sorted(share)], sure))


def _pairs(
    what: str,
    values: FloatArray,
    units: NDArray[np.int64],
    second: NDArray[np.bool_],
    names: tuple[str, str],
    sure: float,
) -> Compared | None:
    if not set(units[second].tolist()) & set(units[~second].tolist()):
        return None
    return Compared(what, *names, "pairs", within_units(values, units, second, sure))
