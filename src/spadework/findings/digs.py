"""What digs across the row say of a machine: gap, band, seed and side, unit by unit, and what is to be re-set.

Digs check a machine on the day.  They are no replication of a system: nothing here compares systems.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from spadework.findings.dig_groups import Compared, compared
from spadework.findings.dig_levels import Asked, Level, level_of
from spadework.findings.dig_units import Change, Flip, UnitFound, flip_of, units_of, whole_machine
from spadework.findings.digging_on import DigOn, dig_on
from spadework.plan import Fault, PlanFaults
from spadework.ranges import FloatArray, require
from spadework.records.files.digs import Digs
from spadework.reference import constants
from spadework.science.band import after_settlement, firmed_rise, under_firmed_surface

__all__ = ["Dug", "Verdict", "find_digs"]

_K = constants("digs")
STANDING: Final = "looked"
_FEWEST: Final = 3  # units that a mean of the others needs
Verdict = Literal["nothing", "count", "change", "leave", "scatter", "dig on"]


@dataclass(frozen=True)
class Dug:
    """What digs say of a machine.

    Attributes
    ----------
    file : str
        Where they were read.
    standing : str
        Always ``"looked"``.
    verdict : str
        ``"nothing"`` to judge; ``"count"`` the units anew; ``"change"`` the setting; ``"leave"`` it; ``"scatter"``: the mean
        fits, but too many gaps lie outside; ``"dig on"``.
    asked : Asked
        Share, confidence and draws.
    rows : int
        Row units of the machine.
    window_cm, target_cm, seed_depth_cm, harmless_cm
        Wanted gap, its middle, depth of the seed, and sideways distance that does no harm [cm].
    setting, digs, judged : int
        The last setting, digs in the file, and digs of that setting.
    units, settings : NDArray
        Of each dig in the file.
    band_found : NDArray
        Whether a band was there, dig by dig.
    gap_cm, top_cm, bottom_cm, seed_cm, offset_cm : FloatArray
        Of each dig, depths under the press-wheel track [cm]; not a number where not known.
    seed_assumed, converted, unconverted : int
        Digs whose gap takes the planned depth of the seed, whose depths were turned into depths under the track, and
        those for which this could not be done.
    gap, top, seed, side : Level
        Each as a whole; `side` is the sideways distance.
    found : tuple of UnitFound
        The units.
    machine : Change or None
        What to re-set in the whole machine.
    compared : tuple of Compared
        Groups of digs.
    flip : Flip or None
        Other counting of the way back.
    on : DigOn
        The rule for digging on.
    no_band, at_surface : tuple of (int, int)
        Units with digs in which no band was found, and those with slurry on the surface, with the number of digs.
    surface_share : float
        Mean share of the row with slurry on the surface, where it was noted [1]; not a number where never.
    surface_noted : int
        Digs in which that was noted.
    beyond_dug : int
        Digs with the band farther aside than does no harm.
    not_dug : tuple of int
        Units without a dig of this setting.
    cannot : tuple of str
        What cannot be said and why.
    """

    file: str
    standing: str
    verdict: Verdict
    asked: Asked
    rows: int
    window_cm: tuple[float, float]
    target_cm: float
    seed_depth_cm: float
    harmless_cm: float
    setting: int
    digs: int
    judged: int
    units: NDArray[np.int64]
    settings: NDArray[np.int64]
    band_found: NDArray[np.bool_]
    gap_cm: FloatArray
    top_cm: FloatArray
    bottom_cm: FloatArray
    seed_cm: FloatArray
    offset_cm: FloatArray
    seed_assumed: int
    converted: int
    unconverted: int
    gap: Level
    top: Level
    seed: Level
    side: Level
    found: tuple[UnitFound, ...]
    machine: Change | None
    compared: tuple[Compared, ...]
    flip: Flip | None
    on: DigOn
    no_band: tuple[tuple[int, int], ...]
    at_surface: tuple[tuple[int, int], ...]
    surface_share: float
    surface_noted: int
    beyond_dug: int
    not_dug: tuple[int, ...]
    cannot: tuple[str, ...]


def find_digs(
    digs: Digs,
    *,
    rows: int,
    window_cm: tuple[float, float],
    seed_depth_cm: float,
    inside_share: float = 0.9,
    confidence_share: float = 0.95,
    harmless_cm: float | None = None,
    berm_cm: float | None = None,
    settlement_share: float | None = None,
    draws: int = 20_000,
    seed: int = 1,
) -> Dug:
    """Return what digs say of a machine, and what is to be re-set.

    Parameters
    ----------
    digs : Digs
        In the order in which they were dug.
    rows : int
        Row units of the machine.
    window_cm : tuple of float
        Least and largest gap wanted [cm]; the target is its middle.
    seed_depth_cm : float
        Planned depth of the seed under the press-wheel track [cm].
    inside_share, confidence_share : float
        Share of all seeds that the limits hold [1], and confidence of limits and intervals [1].
    harmless_cm : float, optional
        Sideways distance of the band that does no harm [cm]; that of the table ``digs`` if left out.
    berm_cm, settlement_share : float, optional
        Height of the fresh berm over the undisturbed surface [cm], and the share of it that is gone under the press wheel
        [1]: with both, depths from crest or undisturbed surface become depths under the track.
    draws, seed : int
        Draws for limits and shares, and where they start.

    Returns
    -------
    Dug
        The findings; their standing is ``"looked"``.

    Raises
    ------
    PlanFaults
        If there are no digs, or a unit lies beyond the rows.
    ImpossibleValue
        If a number lies outside its range.

    Notes
    -----
    Only digs of the last setting are judged, as those before it tell of another machine; they serve the comparison of the
    settings.  A gap needs no reference surface where band and seed were measured in one dig.
    """
    _ready(digs, rows)
    low, high = (float(v) for v in require("window_cm", window_cm, -30, 100, "cm"))
    require("width of the window", high - low, 0, 200, "cm", above=True)
    planned = float(require("seed_depth_cm", seed_depth_cm, 0, 30, "cm"))
    harmless = float(
        require("harmless_cm", _K.harmless_cm if harmless_cm is None else harmless_cm, 0, 100, "cm", above=True)
    )
    target = (low + high) / 2
    asked = Asked(inside_share, confidence_share, draws, seed)
    top, bottom, sown, gaps, marks = _under_track(digs, planned, berm_cm, settlement_share)
    setting = int(digs.settings.max())
    now = digs.settings == setting
    units = digs.units
    own = {"units": units[now], "gaps": gaps[now], "tops": top[now], "seeds": sown[now]}
    gap = level_of("gap", own["gaps"], own["units"], (low, high), asked)
    above = level_of("top of the band", own["tops"], own["units"], (planned + low, planned + high), asked)
    seeds = level_of("seed", own["seeds"], own["units"], (-math.inf, math.inf), asked)
    side = level_of("sideways", digs.offset_cm[now], own["units"], (-harmless, harmless), asked)
    goal = {"target_cm": target, "seed_depth_cm": planned}
    machine = _machine(own, (gap, above, seeds), asked, **goal)
    found = units_of(
        own["gaps"], own["units"], own["tops"], own["seeds"], confidence_share=confidence_share,
        machine=machine, **goal,
    )  # fmt: skip
    ways = tuple(way for way, here in zip(digs.directions, now.tolist(), strict=True) if here)
    flip = flip_of(
        own["gaps"], own["units"], ways, rows, own["tops"], own["seeds"], confidence_share=confidence_share, **goal
    )
    on = _digging(own["gaps"], own["units"], (low, high))
    noted = now & np.isfinite(digs.surface_share)
    return Dug(
        file=digs.file,
        standing=STANDING,
        verdict=_verdict(gap, found, machine, flip, on),
        asked=asked,
        rows=rows,
        window_cm=(low, high),
        target_cm=target,
        seed_depth_cm=planned,
        harmless_cm=harmless,
        setting=setting,
        digs=units.size,
        judged=int(now.sum()),
        units=units,
        settings=digs.settings,
        band_found=digs.band_found,
        gap_cm=gaps,
        top_cm=top,
        bottom_cm=bottom,
        seed_cm=sown,
        offset_cm=digs.offset_cm,
        seed_assumed=int(np.sum(marks["assumed"] & now)),
        converted=int(np.sum(marks["converted"] & now)),
        unconverted=int(np.sum(marks["unconverted"] & now)),
        gap=gap,
        top=above,
        seed=seeds,
        side=side,
        found=found,
        machine=machine,
        compared=compared(digs, gaps, now, confidence_share),
        flip=flip,
        on=on,
        no_band=_by_unit(units, now & ~digs.band_found),
        at_surface=_by_unit(units, now & (digs.surface_share > 0)),
        surface_share=float(digs.surface_share[noted].mean()) if noted.any() else math.nan,
        surface_noted=int(noted.sum()),
        beyond_dug=int(np.sum(np.abs(digs.offset_cm[now]) > harmless)),
        not_dug=tuple(u for u in range(1, rows + 1) if u not in set(units[now].tolist())),
        cannot=_cannot(gap, side, marks, now, digs),
    )


def _ready(digs: Digs, rows: int) -> None:
    require("rows", rows, 1, 1000)
    if not digs.units.size:
        raise PlanFaults([Fault("digs", "there are no digs in the file")], digs.file)
    faults = [
        Fault(
            "unit", f"{unit} is not on the machine: it has {rows} rows, counted from the left, seen forwards", int(line)
        )
        for unit, line in zip(digs.units.tolist(), digs.lines.tolist(), strict=True)
        if not 1 <= unit <= rows
    ]
    if faults:
        raise PlanFaults(faults, digs.file)


def _under_track(
    digs: Digs, planned: float, berm_cm: float | None, settlement_share: float | None
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, dict[str, NDArray[np.bool_]]]:
    """Return band top, bottom, seed and gap with depths under the press-wheel track, and which digs were touched."""
    where = np.array(digs.measured_from)
    parts = [np.where(digs.band_found, part, np.nan) for part in (digs.top_cm, digs.bottom_cm)] + [digs.seed_cm.copy()]
    known = berm_cm is not None and settlement_share is not None
    both = np.isfinite(parts[0]) & np.isfinite(parts[2])
    raw_gap = parts[0] - parts[2]
    away = (where != "track") & (np.isfinite(parts[0]) | np.isfinite(parts[2]))
    for part in parts:
        for name in ("crest", "undisturbed"):
            here = (where == name) & np.isfinite(part)
            if not here.any():
                continue
            if not known or berm_cm is None or settlement_share is None:
                part[here] = np.nan
            elif name == "crest":
                part[here] = after_settlement(part[here], berm_cm, settlement_share)
            else:
                part[here] = under_firmed_surface(part[here], firmed_rise(berm_cm, settlement_share))
    top, bottom, sown = parts
    assumed = np.isfinite(top) & ~np.isfinite(sown)
    gaps = np.where(both, raw_gap, top - np.where(np.isfinite(sown), sown, planned))
    nothing = np.zeros(away.shape, dtype=np.bool_)
    return top, bottom, sown, gaps, {
        "assumed": assumed,
        "converted": away if known else nothing,
        "unconverted": nothing if known else away,
    }  # fmt: skip


def _machine(
    own: dict[str, Any], whole: tuple[Level, Level, Level], asked: Asked, *, target_cm: float, seed_depth_cm: float
) -> Change | None:
    """Return what to re-set in the whole machine, units that stand far apart from the middle one left out.

    Far apart is a unit whose interval lies wholly beyond the tolerance of a unit.  Leaving out more would bend the mean.
    """
    gaps, units = own["gaps"], own["units"]
    there = np.isfinite(gaps)
    if not there.any():
        return None
    seen = units_of(
        gaps, units, own["tops"], own["seeds"], target_cm=target_cm, seed_depth_cm=seed_depth_cm,
        confidence_share=asked.confidence_share,
    )  # fmt: skip
    middle, far = float(np.median([one.gap_cm for one in seen])), _K.unit_tolerance_cm
    apart = [one.unit for one in seen if one.low_cm > middle + far or one.high_cm < middle - far]
    levels = whole
    if apart and len(seen) - len(apart) >= _FEWEST:
        rest, only_mean = ~np.isin(units, apart), replace(asked, draws=100)
        parts = (("gap", gaps), ("top of the band", own["tops"]), ("seed", own["seeds"]))
        gap, top, seed = (level_of(what, v[rest], units[rest], (-math.inf, math.inf), only_mean) for what, v in parts)
        levels = (gap, top, seed)
    ends = [_ends(level) for level in levels]
    return whole_machine(ends[0], ends[1], ends[2], target_cm=target_cm, seed_depth_cm=seed_depth_cm)


def _ends(level: Level) -> tuple[float, float, float]:
    return level.mean, level.low, level.high


def _digging(gaps: FloatArray, units: NDArray[np.int64], window: tuple[float, float]) -> DigOn:
    there = np.isfinite(gaps)
    kept = units[there]
    if not kept.size:
        return dig_on([], [], window)
    counts = np.bincount(kept)
    different = int(np.sum(counts > 0))
    return dig_on(
        gaps[there],
        kept,
        window,
        digs_each=int(counts[counts > 0].min()),
        first_units=max(2, min(int(_K.first_units), different)),
    )


def _verdict(gap: Level, found: Sequence[UnitFound], machine: Change | None, flip: Flip | None, on: DigOn) -> Verdict:
    if not gap.digs:
        return "nothing"
    if flip is not None and flip.better:
        return "count"
    if machine is not None or any(one.change is not None for one in found):
        return "change"
    low, high = gap.window
    if math.isfinite(gap.least) and gap.least >= low and gap.most <= high:
        return "leave"
    known = math.isfinite(gap.least) and not any(one.doubtful for one in found)
    return "scatter" if on.call == "fits" and known else "dig on"


def _by_unit(units: NDArray[np.int64], where: NDArray[np.bool_]) -> tuple[tuple[int, int], ...]:
    names, counts = np.unique(units[where], return_counts=True)
    return tuple((int(name), int(count)) for name, count in zip(names, counts, strict=True))


def _cannot(
    gap: Level, side: Level, marks: dict[str, NDArray[np.bool_]], now: NDArray[np.bool_], digs: Digs
) -> tuple[str, ...]:
    said = [f"Gap: {gap.cannot}"] if gap.cannot else []
    if side.cannot and side.digs:
        said.append(f"Sideways: {side.cannot}")
    lost = int(np.sum(marks["unconverted"] & now))
    if lost:
        said.append(
            f"Depths of {lost} digs were measured from crest or undisturbed surface and cannot be turned into depths under "
            "the press-wheel track without the height of the berm; a gap stands where band and seed were both measured."
        )
    if np.all(digs.behind_wheel[now] != 1) or np.all(digs.behind_wheel[now] != 0):
        said.append("Nothing on wheels: no digs were noted both behind a wheel and beside the wheels.")
    if len({way for way, here in zip(digs.directions, now, strict=True) if here and way}) < 2:
        said.append("Nothing on the two ways: digs of way out and way back were not both noted.")
    return tuple(said)
