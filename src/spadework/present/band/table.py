"""The band under the row as plain text for a terminal and as data: its place, then the weeks after the slurry."""

from __future__ import annotations

import json
import textwrap
from typing import Any, Final

import numpy as np

from spadework import __version__
from spadework.estimate import SHARE_PRINTED, Estimate
from spadework.estimate.band.answers import WAITS
from spadework.present.band.place import place_lines
from spadework.present.band.weeks_words import CAREFUL, WORDS, Weeks, answers, at_days, day_rows, limit_rows
from spadework.present.cautions import DEFER
from spadework.present.table import WIDTH, wrapped
from spadework.present.wording import INTERVAL, STANDING, STANDING_LONG, place_line, spread_of
from spadework.ranges import FloatArray

__all__ = ["band_json", "band_text"]

_WIDTHS: Final = (4, 13, 17, 17, 16, 17, 16)
_SHORT: Final = ("day", "N left", "seed: N", "seed: ammonia", "seed: salt", "seed: worst", "root: worst")
_UNITS: Final = ("", "%", "mg/kg", "mmol/L", "dS/m", "ratio", "ratio")
_LABEL: Final = 18


def band_text(estimate: Estimate, found: list[Weeks]) -> str:
    """Return place and weeks of the band as plain text, at most 100 columns wide.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    found : list of Weeks
        From :func:`spadework.present.band.weeks_words.weeks_of`, one for each system to be told.
    """
    out = ["The band under the row", *wrapped(place_line(estimate))]
    if estimate.plan.invented:
        out += ["INVENTED: farm, machines and numbers are made up to show the tool; nothing here is advice."]
    out += ["", f"{STANDING_LONG[0].upper()}{STANDING_LONG[1:]}."]
    out += wrapped(f"Middle of the draws, in brackets the range that holds {INTERVAL}.")
    out += ["", *place_lines(estimate)]
    for weeks in found:
        out += ["", *wrapped(f"{weeks.name}: the weeks after the slurry, {weeks.course.inputs.draws} draws"), ""]
        for what, says in answers(weeks):
            out += textwrap.wrap(
                says, WIDTH, initial_indent=f"  {what:<{_LABEL}}", subsequent_indent=" " * (_LABEL + 2)
            )
        out += ["", _line(_SHORT), _line(_UNITS)]
        out += [_line(tuple(cell.replace(" to ", "-") for cell in row)) for row in day_rows(weeks)]
        root = f"root: front of the fast first root, sown on day {weeks.wait}"
        out += wrapped(
            f"N left: not yet nitrate. Ammonia: free, in the water. Worst: largest ratio to a limit; {root}.", "  "
        )
        out += ["", "  Take note"]
        for note in (f"temperature of the soil: {weeks.course.soil.came_from}", *weeks.course.notes):
            out += wrapped(note, "  ", "- ")
    out += ["", "What it is held against (below half: clear; from half: watch; above: risk)"]
    for what, limit, source, standing in limit_rows():
        out += wrapped(f"{what}: {limit}. {source} [{standing}]", "  ", "- ")
    out += ["", "Take care", *wrapped(CAREFUL, "  ", "- "), *wrapped(DEFER, "  ")]
    out += ["", f"spadework {__version__}, {estimate.draws} draws, seed {estimate.seed}"]
    text = "\n".join(line.rstrip() for line in out)
    for sign, plain in (("−", "-"), ("–", "-"), ("°C", "degC"), ("\N{NARROW NO-BREAK SPACE}", " ")):
        text = text.replace(sign, plain)
    return text


def band_json(estimate: Estimate, found: list[Weeks]) -> str:
    """Return the weeks as JSON text; the same estimate gives the same text."""
    data = {
        "standing": STANDING,
        "spadework": __version__,
        "invented": estimate.plan.invented,
        "seed": estimate.seed,
        "interval_share": SHARE_PRINTED,
        "words": list(WORDS),
        "limits": [dict(zip(("what", "limit", "source", "standing"), row, strict=True)) for row in limit_rows()],
        "systems": [_data(weeks) for weeks in found],
    }
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _data(weeks: Weeks) -> dict[str, Any]:
    course, seed = weeks.course, weeks.seed
    figures = {
        "n_left_share": course.left_share,
        "ammonium_n_kg_ha": weeks.fate.ammonium_kg_ha,
        "nitrate_n_kg_ha": weeks.fate.nitrate_kg_ha,
        "seed_ammoniacal_n_mg_kg": seed.nitrogen_mg_kg,
        "seed_free_ammonia_mmol_l": seed.ammonia_mmol_l,
        "seed_salt_ds_m": seed.salt_ds_m,
        "seed_worst_ratio": seed.severity,
        "root_worst_ratio": weeks.roots.at_front.severity,
        "soil_ph": course.ph,
        "soil_temperature_degc": course.temperature_degc,
        "diffusion_cm2_day": course.diffusion_cm2_day,
    }
    return {
        "name": weeks.name,
        "draws": course.inputs.draws,
        "first_day": None if course.first is None else course.first.isoformat(),
        "wait_days": weeks.wait,
        "gap_cm": _three(course.inputs.gap_cm),
        "nitrogen_kg_ha": {"slurry": _three(weeks.fate.slurry_kg_ha), "ammonia_lost": _three(weeks.fate.lost_kg_ha)},
        "days": [
            {"day": day, **{name: _three(values[:, day]) for name, values in figures.items()}}
            for day in range(course.days + 1)
        ],
        "by_wait": [
            {"wait_days": wait, **dict(zip(WORDS, map(float, row), strict=True))}
            for wait, row in zip(WAITS, weeks.shares, strict=True)
        ],
        "wanted_share": weeks.wanted,
        "earliest_wait_days": weeks.earliest,
        "smallest_gap_cm": weeks.gaps,
        "root_arrival_days": {
            "own_speed": _finite(weeks.roots.arrive_fast_days),
            "field_front": _finite(weeks.roots.arrive_slow_days),
        },
        "decides": {one.group: one.share for one in weeks.decides},
        "quarter_line_moves_cm": weeks.moved_cm,
        "printed_days": at_days(course),
        "answers": dict(answers(weeks)),
        "notes": list(course.notes),
    }


def _three(values: FloatArray) -> dict[str, float]:
    spread = spread_of(values)
    return {key: float(f"{getattr(spread, key):.6g}") for key in ("mid", "low", "high")}


def _finite(days: FloatArray) -> dict[str, float | None]:
    found = np.quantile(days, (0.5, 0.1, 0.9), method="inverted_cdf")
    return {
        key: float(f"{value:.6g}") if np.isfinite(value) else None
        for key, value in zip(("mid", "low", "high"), found.tolist(), strict=True)
    }


def _line(cells: tuple[str, ...]) -> str:
    return " ".join(f"{cell:<{wide - 1}}" for cell, wide in zip(cells, _WIDTHS, strict=True))
