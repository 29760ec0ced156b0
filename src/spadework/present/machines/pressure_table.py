"""Pressure on the soil as plain text for a terminal, and as data."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from spadework import __version__
from spadework.estimate import SHARE_PRINTED
from spadework.estimate.in_one_line import one_line
from spadework.estimate.traffic.pressure import DEPTHS_CM, FILLS, Pressures
from spadework.estimate.traffic.views import Limit, Pressing, emptying, held, thumb_limit
from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.present.cautions import DEFER
from spadework.present.machines.pressure_facts import (
    CAREFUL,
    NO_DAMAGE,
    cells,
    chosen_passes,
    class_words,
    classes,
    driven_rows,
    formulas,
    held_texts,
    leaned_on,
    limit_words,
    notes,
    runs,
    wheel_words,
)
from spadework.present.table import wrapped
from spadework.present.wording import INTERVAL, STANDING, STANDING_LONG, figure_text, place_line, spread_of
from spadework.ranges import FloatArray

__all__ = ["choose", "pressure_json", "pressure_text"]

_WIDTHS: Final = (12, 12, 14, 14, 14, 13, 15)
_HEADS: Final = ("wheel load", "wheel load", "contact", "stress at", "stress at", "stress at", "above 50 kPa")
_SECOND: Final = ("full, kN", "empty, kN", "kPa", "10 cm, kPa", "30 cm, kPa", "50 cm, kPa", "down to, cm")
_DRIVEN_WIDTHS: Final = (26, 17, 17, 17, 17)
_FIGURES: Final = ("contact", "radius", "wheel_load", "line", "line_by_pressure", *(f"stress_{d}" for d in DEPTHS_CM))


def choose(found: Pressures, system: str | None, name: str | None) -> tuple[Pressing, ...]:
    """Return the passes that are asked for.

    Parameters
    ----------
    found : Pressures
        Pressure under every wheel.
    system : str or None
        Only this system.
    name : str or None
        Only passes of this name: that of the machine, or the number of the pass in its system.

    Raises
    ------
    PlanFaults
        If there is no such system or pass; both are looked at before it stops.
    """
    faults = []
    systems = found.estimate.systems
    if system is not None and system not in systems:
        known = nearest(system, systems) or "; there are: " + ", ".join(systems)
        faults.append(Fault("--system", f'no system is called "{system[:60]}"{known}'))
    wanted = [s for s, known in enumerate(systems) if system in (None, known)] or range(len(systems))
    passes = chosen_passes(found, wanted)
    some = [one for one in passes if name is None or name.strip() in (one.name, str(one.number))]
    if not some:
        asked = (name or "")[:60]
        names = list(dict.fromkeys(one.name for one in passes))
        known = nearest(asked, names) or "; there are: " + ", ".join(f'"{one}"' for one in names)
        faults.append(Fault("--pass", f'no pass is called "{asked}"{known}'))
    if faults:
        raise PlanFaults(faults, found.estimate.read.name)
    return tuple(some)


def pressure_text(
    found: Pressures, chosen: Sequence[Pressing], limit: Limit | None = None, *, every: bool = False
) -> str:
    """Return pressure on the soil as plain text, at most 100 columns wide.

    Parameters
    ----------
    found : Pressures
        Pressure under every wheel.
    chosen : sequence of Pressing
        The passes to be told, from :func:`choose`.
    limit : Limit, optional
        A limit that a person set; the rule of thumb if left out.
    every : bool
        True tells every axle of a pass, False the one that reaches deepest.
    """
    estimate, limit = found.estimate, limit or thumb_limit()
    out = ["What presses on the soil?", *wrapped(place_line(estimate))]
    if estimate.plan.invented:
        out += ["INVENTED: farm, machines and numbers are made up to show the tool; nothing here is advice."]
    out += ["", f"{STANDING_LONG[0].upper()}{STANDING_LONG[1:]}."]
    out += wrapped(f"Middle of {estimate.draws} draws, in brackets the range that holds {INTERVAL}.")
    out += wrapped(NO_DAMAGE)
    what = "every axle" if every else "the axle that reaches deepest"
    out += ["", f"Wheels of every pass: {what}", _line(_HEADS, _WIDTHS), _line(_SECOND, _WIDTHS)]
    out += _passes(found, chosen, every=every)
    out += wrapped(
        "Contact and stress with the tank full, straight below the middle of the wheel; depths from the surface that it "
        "stands on. Driven on: share of the ground by that pass, headlands left out.",
        "  ",
    )
    out += ["", *_limits(found, chosen, limit), "", *_classes(found, chosen, limit)]
    out += ["", *_emptying(found, chosen), "", *_driven(found, chosen)]
    out += ["", "Take note", *(line for note in notes(found) for line in wrapped(note, "  ", "- "))]
    out += ["", "Take care", *(line for text in CAREFUL for line in wrapped(text, "  ", "- ")), *wrapped(DEFER, "  ")]
    out += ["", "Where the numbers come from"]
    out += [line for mark, what, text in leaned_on(found) for line in wrapped(f"[{mark}] {what}. {text}", "  ", "- ")]
    out += [line for text, names in formulas(found) for line in wrapped(f"{text}: {names}", "  ", "- ")]
    out += ["", f"spadework {__version__}, {estimate.draws} draws, seed {estimate.seed}"]
    text = "\n".join(line.rstrip() for line in out)
    for sign, plain in (("−", "-"), ("–", "-"), ("\N{NARROW NO-BREAK SPACE}", " "), ("\N{NO-BREAK SPACE}", " ")):
        text = text.replace(sign, plain)
    return text


def _passes(found: Pressures, chosen: Sequence[Pressing], *, every: bool) -> list[str]:
    lines, before = [], -1
    for one in chosen:
        if one.system != before:
            lines += wrapped(found.estimate.systems[one.system], "  ")
            before = one.system
        share = f"{100 * found.driven.passes[one.step]:.0f} % driven on"
        if not every:
            lines += wrapped(f"{one.number} {one.name}, {share}: {wheel_words(found, one.deepest)}", "    ")
            lines.append(_line(_narrow(cells(found, one.deepest)), _WIDTHS))
            continue
        lines += wrapped(f"{one.number} {one.name}, {share}", "    ")
        for row in one.rows:
            lines += wrapped(wheel_words(found, row), "     ")
            lines.append(_line(_narrow(cells(found, row)), _WIDTHS))
    return lines


def _limits(found: Pressures, chosen: Sequence[Pressing], limit: Limit) -> list[str]:
    lines = wrapped(f"Against a limit, tank full: {limit_words(limit)}")
    alike: dict[str, list[Pressing]] = {}
    for text in held_texts(found, limit, chosen):
        keeps = "any load" if text.keeps.startswith("any") else f"up to {text.keeps} kN"
        line = text.line if text.line == "nowhere" else f"down to {text.line} cm"
        said = (
            f"{text.stress} kPa at {limit.depth_cm:g} cm, {text.verdict}; above it {line}; "
            f"{text.load} kN on a wheel, {keeps} on that contact stress would keep it"
        )
        alike.setdefault(said, []).append(text.one)
    for said, ones in alike.items():
        lines += [*wrapped(f"{_named(found, ones)}:", "  "), *wrapped(said, "    ")]
    return lines


def _named(found: Pressures, ones: Sequence[Pressing]) -> str:
    """Return passes by system and number."""
    numbers: dict[int, list[str]] = {}
    for one in ones:
        numbers.setdefault(one.system, []).append(str(one.number))
    return "; ".join(f"{found.estimate.systems[s]}, pass {', '.join(own)}" for s, own in numbers.items())


def _classes(found: Pressures, chosen: Sequence[Pressing], limit: Limit) -> list[str]:
    lines = wrapped(
        f"Stress at {limit.depth_cm:g} cm against classes of soil strength, each a wide band that falls as the soil gets wetter; "
        "measure your own subsoil"
    )
    own = [(one, held(found, one.deepest, limit).stress_kpa) for one in chosen]
    alike: dict[tuple[str, ...], list[Pressing]] = {}
    for one, stress in own:
        said = tuple(
            f"{label} ({low:g}-{high:g} kPa) {class_words(stress, low, high)}" for label, low, high in classes()
        )
        alike.setdefault(said, []).append(one)
    for said, ones in alike.items():
        lines += [*wrapped(f"{_named(found, ones)}:", "  "), *wrapped("; ".join(said), "    ")]
    return lines


def _emptying(found: Pressures, chosen: Sequence[Pressing]) -> list[str]:
    every, curves = runs(found, {one.system for one in chosen if one.places})
    if not curves:
        return ["No tanker drives here with its load, so no load falls along the run."]
    field = found.estimate.plan.field
    lines = wrapped(f"Wheel load along the run as the tank empties; a run of the field is {field.length.text} long")
    for one, curve in zip(every, curves, strict=True):
        lines += wrapped(f"{curve.words[0]}: {wheel_words(found, one.row)}, {curve.words[1]}", "  ")
        places = [share * one.empty_m for share in (0, 0.25, 0.5, 0.75, 1)]
        middles = np.interp(places, one.run_m, [point[1] for point in curve.points])
        said = ", ".join(
            f"{figure_text(m, 0)} m {figure_text(load, 0)}" for m, load in zip(places, middles.tolist(), strict=True)
        )
        lines += wrapped(f"kN after {said}", "    ")
    return lines


def _driven(found: Pressures, chosen: Sequence[Pressing]) -> list[str]:
    names = {found.estimate.systems[one.system] for one in chosen}
    lines = ["Share of the ground that is driven on"]
    lines.append(_line(("", "by chance", "by chance", "from one side", "from one side"), _DRIVEN_WIDTHS, 2))
    lines.append(_line(("", "once or more", "twice or more", "once or more", "twice or more"), _DRIVEN_WIDTHS, 2))
    for name, *shares in driven_rows(found):
        if name in names:
            first, *more = textwrap.wrap(name, _DRIVEN_WIDTHS[0] - 2) or [""]
            lines.append(_line((first, *shares), _DRIVEN_WIDTHS, 2))
            lines += [f"    {line}" for line in more]
    lines += wrapped(
        "All passes of a system. By chance: tracks fall as they fall. From one side: every pass begins at the same side of "
        "the field and keeps its width, wheels counted one by one. Headlands, turns, feeders and harvest come on top.",
        "  ",
    )
    return lines


def pressure_json(found: Pressures, chosen: Sequence[Pressing], limit: Limit | None = None) -> str:
    """Return pressure on the soil as JSON text, every axle with its workings; the same estimate gives the same text."""
    estimate, limit = found.estimate, limit or thumb_limit()
    figures = [f"{name}_{fill}" for name in _FIGURES for fill in FILLS]
    data = {
        "standing": STANDING,
        "spadework": __version__,
        "invented": estimate.plan.invented,
        "draws": estimate.draws,
        "seed": estimate.seed,
        "interval_share": SHARE_PRINTED,
        "says": NO_DAMAGE,
        "limit": {"stress_kpa": limit.stress_kpa, "depth_cm": limit.depth_cm, "rule_of_thumb": limit.thumb},
        "passes": [_pass(found, one, limit, figures) for one in chosen],
        "driven_on": _driven_data(found, chosen),
        "emptying": [
            {
                "systems": [estimate.systems[s] for s in one.systems],
                "axle": wheel_words(found, one.row),
                "empty_after_m": _digits(one.empty_m),
                "run_m": [_digits(m) for m in one.run_m.tolist()],
                "wheel_load_kn": [_three(loads) for loads in one.load_kn],
            }
            for one in emptying(found)
            if set(one.systems) & {p.system for p in chosen if p.places}
        ],
        "units": {name: found.sheet.figures[name].unit for name in figures},
        "workings": {name: one_line(found.sheet, name) for name in figures},
        "notes": notes(found),
        "leans_on": [dict(zip(("mark", "rows", "source"), row, strict=True)) for row in leaned_on(found)],
    }
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _pass(found: Pressures, one: Pressing, limit: Limit, figures: list[str]) -> dict[str, Any]:
    axles = []
    for row in one.rows:
        axle, against = found.axles[row], held(found, row, limit)
        finite = bool(np.isfinite(against.load_kn).all())
        axles.append(
            {
                "vehicle": axle.name,
                "axle": axle.where,
                "wheels": axle.count,
                "tyre_width_m": axle.width_m,
                "typical_tyres": axle.wheels is None,
                "reaches_deepest": row == one.deepest,
                "figures": {name: _three(found.sheet[name][row]) for name in figures},
                "at_limit": {
                    "stress_kpa": _three(against.stress_kpa),
                    "share_of_draws_above": against.share_above,
                    "above_down_to_cm": _three(against.depth_cm),
                    "wheel_load_that_keeps_it_kn": _three(against.load_kn) if finite else None,
                },
            }
        )
    return {
        "system": found.estimate.systems[one.system],
        "number": one.number,
        "name": one.name,
        "places_slurry": one.places,
        "driven_on_share": _digits(found.driven.passes[one.step]),
        "axles": axles,
    }


def _driven_data(found: Pressures, chosen: Sequence[Pressing]) -> list[dict[str, Any]]:
    driven = found.driven
    return [
        {
            "system": found.estimate.systems[s],
            "by_chance_share": _digits(driven.by_chance[s]),
            "twice_by_chance_share": _digits(driven.twice_by_chance[s]),
            "from_one_side_share": _digits(driven.from_one_side[s]),
            "twice_from_one_side_share": _digits(driven.twice_from_one_side[s]),
        }
        for s in sorted({one.system for one in chosen})
    ]


def _three(values: FloatArray) -> dict[str, float]:
    spread = spread_of(values)
    return {key: _digits(getattr(spread, key)) for key in ("mid", "low", "high")}


def _digits(value: float) -> float:
    return float(f"{value:.6g}")


def _narrow(texts: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(text.replace(" to ", "-") for text in texts)


def _line(texts: Sequence[str], widths: Sequence[int], indent: int = 6) -> str:
    return " " * indent + "".join(f"{text:<{wide - 1}} " for text, wide in zip(texts, widths, strict=True))
