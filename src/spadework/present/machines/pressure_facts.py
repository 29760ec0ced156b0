"""Pressure on the soil in figures and words that command and report share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from spadework.estimate.traffic.pressure import DEPTHS_CM, Pressures
from spadework.estimate.traffic.views import (
    Emptying,
    Held,
    Limit,
    Pressing,
    emptying,
    hangs_on_tank,
    held,
    pressing,
    profile,
    under_twins,
)
from spadework.present.charts.pressure import CURVES, Curve
from spadework.present.wording import figure_text, interval_text, spread_of
from spadework.ranges import FloatArray
from spadework.reference import Citation, constants, load, sources
from spadework.working import Worked

__all__ = [
    "CAREFUL",
    "COLUMNS",
    "NO_DAMAGE",
    "HeldText",
    "cells",
    "chosen_passes",
    "class_words",
    "classes",
    "driven_rows",
    "formulas",
    "held_texts",
    "leaned_on",
    "limit_words",
    "notes",
    "profiles",
    "runs",
    "wheel_words",
]

NO_DAMAGE: Final = (
    "A stress is no damage. These figures say how much a wheel presses, how deep that reaches and how much ground is driven "
    "on. What the soil makes of it hangs on how wet and how loose it is and how often it is driven on; look with the spade."
)
CAREFUL: Final = (
    "Tyre pressure: only within what the tyre's own table allows for its load and speed, on the road as well. A tyre that is "
    "too soft for its load can burst. Axle and wheel loads: the makers' limits and the rules of the road come first.",
)
COLUMNS: Final = (
    ("wheel_load_full", "full, kN"),
    ("wheel_load_empty", "empty, kN"),
    ("contact_full", "contact, kPa"),
    *((f"stress_{depth}_full", f"at {depth} cm, kPa") for depth in DEPTHS_CM),
)
"""Figures of an axle, with their words; the depth of the line comes after them."""
_DEPTHS: Final = tuple(range(0, 101, 2))
_MARKED: Final = {
    "memory": "TO BE CHECKED",
    "choice": "OUR CHOICE",
    "quoted": "second-hand",
    "read": "read in the source",
}


@dataclass(frozen=True)
class HeldText:
    """The axle of a pass that reaches deepest, held against a limit, in words.

    Attributes
    ----------
    one : Pressing
        The pass.
    stress, verdict, load, keeps, line : str
        Stress at the depth of the limit; above or below; the wheel load; the load that would keep the limit; the depth down
        to which the stress is above it.
    """

    one: Pressing
    stress: str
    verdict: str
    load: str
    keeps: str
    line: str


def wheel_words(found: Pressures, row: int) -> str:
    """Return an axle in words, and whether its tyres are those of the plan."""
    axle = found.axles[row]
    count = "" if axle.count == 2 else f", {axle.count} wheels"
    return f"{axle.name}, {axle.where} axle{count}{'' if axle.wheels else ' (typical tyres)'}"


def cells(found: Pressures, row: int) -> tuple[str, ...]:
    """Return load full and empty, contact, stresses and the depth of the line of an axle, each with its interval."""
    shown = [interval_text(spread_of(found.sheet[name][row]), 0) for name, _ in COLUMNS]
    return (*shown, _depth_text(found.sheet["line_full"][row]))


def _depth_text(values: FloatArray) -> str:
    spread = spread_of(values)
    return interval_text(spread, 0) if spread.high > 0 else "nowhere"


def limit_words(limit: Limit) -> str:
    """Return a limit in words, and whose it is."""
    whose = "rule of thumb for moist soil, to be checked" if limit.thumb else "set by you"
    return f"{limit.stress_kpa:g} kPa at {limit.depth_cm:g} cm ({whose})"


def held_texts(found: Pressures, limit: Limit, chosen: Iterable[Pressing]) -> list[HeldText]:
    """Return each pass against a limit."""
    texts = []
    for one in chosen:
        against = held(found, one.deepest, limit)
        texts.append(
            HeldText(
                one,
                interval_text(spread_of(against.stress_kpa), 0),
                _verdict(against),
                interval_text(spread_of(found.sheet["wheel_load_full"][one.deepest]), 0),
                _keeps(against.load_kn),
                _depth_text(against.depth_cm),
            )
        )
    return texts


def _verdict(against: Held) -> str:
    share, draws = against.share_above, against.stress_kpa.size
    if draws == 1 or share in (0, 1):
        return f"{'above' if share else 'below'}{' (a single draw)' if draws == 1 else ' in all draws'}"
    word, of = ("above", share) if share >= 0.5 else ("below", 1 - share)
    return f"{word} in {'over 99' if of >= 0.995 else f'{100 * of:.0f}'} % of draws"


def _keeps(load_kn: FloatArray) -> str:
    # an infinite load says that no load passes the limit on that contact stress
    low, mid, high = np.quantile(load_kn, (0.1, 0.5, 0.9), method="inverted_cdf")
    if np.isinf(mid):
        return "any on this contact stress"
    ends = "" if low == high else f" ({figure_text(low, 0)} to {'any' if np.isinf(high) else figure_text(high, 0)})"
    return f"{figure_text(mid, 0)}{ends}"


def classes() -> list[tuple[str, float, float]]:
    """Return the classes of soil strength: label, lower and upper end [kPa]."""
    return [(row.label, row.entry("value").low, row.entry("value").high) for row in load("soil_strength").values()]


def class_words(stress_kpa: FloatArray, low: float, high: float) -> str:
    """Return where the interval of a stress lies against the band of a class.

    Examples
    --------
    >>> class_words(np.array([70.0, 73.0, 76.0]), 60, 90), class_words(np.array([50.0, 60.0, 70.0]), 60, 90)
    ('within', 'below to within')
    """
    spread = spread_of(stress_kpa)
    first, last = (0 if v < low else 1 if v <= high else 2 for v in (spread.low, spread.high))
    words = ("below", "within", "above")
    return words[first] if first == last else f"{words[first]} to {words[last]}"


def driven_rows(found: Pressures) -> list[tuple[str, str, str, str, str]]:
    """Return for each system the share driven on: once and twice by chance, once and twice from one side."""
    driven = found.driven
    shares = zip(
        driven.by_chance, driven.twice_by_chance, driven.from_one_side, driven.twice_from_one_side, strict=True
    )
    texts = []
    for name, (once, twice, side, side_twice) in zip(found.estimate.systems, shares, strict=True):
        first, second, third, fourth = (f"{100 * share:.0f} %" for share in (once, twice, side, side_twice))
        texts.append((name, first, second, third, fourth))
    return texts


def profiles(found: Pressures, chosen: Iterable[Pressing]) -> list[list[Curve]]:
    """Return curves of stress with depth, wheels that are alike once, deepest first, in groups that fit one chart."""
    alike: dict[tuple[object, ...], tuple[int, str, dict[str, None]]] = {}
    for one in chosen:
        row = one.deepest
        tank = hangs_on_tank(found, row)
        for fill, said in (("full", ", tank full"), ("empty", ", tank empty")) if tank else (("full", ""),):
            stress = np.round(np.median(profile(found, row, (10, 50), fill), axis=1), 6)
            key = (found.axles[row].name, found.axles[row].where, said, *stress.tolist())
            alike.setdefault(key, (row, fill, {}))[2][one.name] = None
    curves = []
    for key, (row, fill, names) in alike.items():
        points = []
        for depth, stress in zip(_DEPTHS, profile(found, row, _DEPTHS, fill), strict=True):
            spread = spread_of(stress)
            points.append((float(depth), spread.mid, spread.low, spread.high))
        heading = f"{key[0]}, {key[1]}{key[2]}"
        curves.append(Curve((heading, "; ".join(names)), tuple(points)))
    curves.sort(key=lambda curve: -curve.points[len(_DEPTHS) // 2][1])
    return [curves[i : i + CURVES] for i in range(0, len(curves), CURVES)]


def runs(found: Pressures, systems: Iterable[int]) -> tuple[list[Emptying], list[Curve]]:
    """Return the outfits whose tank empties along the run, and their curves, those that are empty soonest first."""
    wanted = set(systems)
    every = sorted((one for one in emptying(found) if wanted & set(one.systems)), key=lambda one: one.empty_m)[:CURVES]
    curves = []
    for one in every:
        spreads = [spread_of(loads) for loads in one.load_kn]
        points = [(float(m), s.mid, s.low, s.high) for m, s in zip(one.run_m, spreads, strict=True)]
        names = ", ".join(found.estimate.systems[system] for system in one.systems)
        words = (names, f"empty after {figure_text(one.empty_m, 0)} m")
        curves.append(Curve(words, tuple(points)))
    return every, curves


def leaned_on(found: Pressures) -> list[tuple[str, str, str]]:
    """Return the table rows that pressure leans on beyond those of the estimate: mark, rows, and publication."""
    before = set(found.estimate.sheet.citations())
    cited: list[Citation] = [one for one in found.sheet.citations() if one not in before]
    cited += [row.entry("value").citation for row in load("soil_strength").values()]
    cited += [constants("wheel_limits")[key].citation for key in ("stress_kpa", "stress_depth_cm")]
    groups: dict[tuple[str, str, str], dict[str, None]] = {}
    for one in dict.fromkeys(cited):
        groups.setdefault((one.standing, one.table, one.source.text), {})[one.label] = None
    order = list(_MARKED)
    ranked = sorted(groups.items(), key=lambda item: (order.index(item[0][0]), item[0][1:]))
    return [(_MARKED[standing], f"{table}: {'; '.join(labels)}", text) for (standing, table, text), labels in ranked]


def notes(found: Pressures) -> list[str]:
    """Return what the reader must know, twins with what they add up to."""
    told = dict.fromkeys(found.notes)
    deep = DEPTHS_CM[-1]
    for row, axle in enumerate(found.axles):
        if axle.count > 2:
            one, both = found.middle(f"stress_{deep}_full", row), under_twins(found, row, deep)
            told[
                f"each wheel is taken by itself; the twins of {axle.name}, {axle.where} axle, add up to "
                f"{figure_text(both, 0)} kPa at {deep} cm, where one of them alone has {figure_text(one, 0)}"
            ] = None
    return list(told)


def formulas(found: Pressures) -> Iterator[tuple[str, str]]:
    """Yield publications of the formulas of pressure, and the functions that hold them."""
    known: dict[str, dict[str, None]] = {}
    for name, figure in found.sheet.figures.items():
        if name not in found.estimate.sheet.figures and isinstance(figure.origin, Worked):
            text = sources()[figure.origin.equation.source].text
            known.setdefault(text, {})[figure.origin.function] = None
    for text in sorted(known):
        yield text, ", ".join(sorted(known[text]))


def chosen_passes(found: Pressures, systems: Iterable[int]) -> list[Pressing]:
    """Return the passes of some systems."""
    wanted = set(systems)
    return [one for one in pressing(found) if one.system in wanted]
