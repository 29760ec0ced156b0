"""A time study as a page, as a print and as JSON."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Any

from spadework import __version__
from spadework.findings.timing import Timing
from spadework.present.charts.spec import to_svg
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Items, Report, Section, Text
from spadework.present.machines.timing_chart import track_chart
from spadework.present.machines.timing_table import (
    PASSES_SAID,
    PLAN_LINES_SAID,
    STANDING_TIMED,
    elsewhere_said,
    log_rows,
    pass_rows,
    time_rows,
    work_rows,
)
from spadework.science.machinery.log.time_study import STATES

__all__ = ["timing_json", "timing_report"]

_PASS_HEAD = ("pass", "begin", "length, m", "time, s", "km/h", "course, deg", "rank", "distance, m", "turn after, s")


def timing_report(timing: Timing, lines: Sequence[str] = (), notes: Sequence[str] = ()) -> Report:
    """Return the content of page and print.

    Parameters
    ----------
    timing : Timing
        What was found.
    lines : sequence of str
        Lines for a plan, from :func:`spadework.present.machines.timing_table.plan_lines`.
    notes : sequence of str
        What the plan says beside it.
    """
    _, *said = elsewhere_said(timing)
    elsewhere: list[Block] = [Text(text) for text in said]
    if lines:
        elsewhere += [
            Text("For the plan", "title"),
            Items(tuple(("", line) for line in lines)),
            Text(PLAN_LINES_SAID, "small"),
        ]
    elsewhere += [Text(note) for note in notes]
    spec = track_chart(timing)
    spent = [Grid("From the first to the last run", ("what", "h:min:s", "share"), _cells(time_rows(timing)))]
    rows = [Grid("The work", ("what", "measured"), _cells(work_rows(timing)), widths=(1, 3), prose=True)]
    more = len(timing.passes) - len(pass_rows(timing))
    passes = [
        Grid("Each pass", _PASS_HEAD, _cells(pass_rows(timing)),
             note=PASSES_SAID + (f" {more} more passes are not listed." if more else "")),
        Grid("The log", ("what", "in words"), _cells(log_rows(timing)), widths=(1, 3), prose=True),
    ]  # fmt: skip
    sections = [
        Section("elsewhere", f"What would it do on {timing.elsewhere.field.name}?", elsewhere),
        Section("spent", "Where did the time go?", spent),
        Section("work", "How fast, how wide, how long a turn?", rows),
        Section("track", "Where was that?", [Drawing("track", to_svg(spec), spec["description"])]),
        Section("passes", "Pass by pass", passes),
    ]
    if timing.remarks:
        told = tuple(("", text[0].upper() + text[1:] + ("" if text.endswith("?") else ".")) for text in timing.remarks)
        sections.insert(1, Section("mind", "What to keep in mind", [Items(told)]))
    facts = (f"log {timing.log.file}", f"working width {timing.work.width_m:g} m", f"spadework {__version__}")
    return Report("Where did the time go?", timing.log.file, STANDING_TIMED, False, facts, tuple(sections))


def _cells(rows: Sequence[Sequence[str]]) -> tuple[tuple[Cell, ...], ...]:
    return tuple(tuple(Cell(text.strip()) for text in row) for row in rows)


def timing_json(timing: Timing, lines: Sequence[str] = ()) -> str:
    """Return every figure as JSON text; times in seconds, shares as fractions, what is not known ``null``.

    See :func:`timing_report`.
    """
    turns, there = timing.turns, timing.elsewhere
    about = {
        "spadework": __version__,
        "standing": STANDING_TIMED,
        "log": {"file": timing.log.file, "kind": timing.log.kind, "positions": int(timing.log.time_s.size),
                "scatter_m": _known(timing.work.track.scatter_m), "tools": timing.work.track.tools is not None},
        "width_m": timing.work.width_m,
        "states_s": {state: _known(float(s)) for state, s in zip(STATES, timing.states_s, strict=True)},
        "whole_log_s": {state: _known(float(s)) for state, s in zip(STATES, timing.whole_s, strict=True)},
        "field_s": _known(timing.field_s),
        "speed_km_h": _known(timing.speed_km_h),
        "speed_se_km_h": _known(timing.speed_se),
        "turn": None if turns is None else {
            "count": turns.count, "mean_s": _known(turns.mean), "sd_s": _known(turns.sd), "middle_s": _known(turns.middle),
            "p90_s": _known(turns.p90), "se_s": _known(timing.turn_error_s), "doubt_s": _known(timing.turn_doubt_s),
        },
        "apart_m": _known(timing.apart_m),
        "ground_ha": _known(timing.ground_ha),
        "rate_ha_h": _known(timing.rate_ha_h),
        "rate_with_road_ha_h": _known(timing.rate_with_road_ha_h),
        "time_share": _known(timing.time_share),
        "width_share": _known(timing.width_share),
        "efficiency_share": _known(timing.efficiency_share),
        "elsewhere": {
            "field": there.field.name, "area_ha": there.field.area_ha, "length_m": there.field.length_m,
            "rate_ha_h": _known(there.rate_ha_h), "low_ha_h": _known(there.low_ha_h), "high_ha_h": _known(there.high_ha_h),
        },
        "passes": [
            {"begin_s": _known(one.begin_s), "length_m": _known(one.length_m), "time_s": _known(one.time_s),
             "course_deg": _known(one.course_deg), "headland": one.headland, "apart_m": _known(one.apart_m)}
            for one in timing.passes
        ],
        "for_the_plan": list(lines),
        "remarks": list(timing.remarks),
    }  # fmt: skip
    return json.dumps(about, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _known(value: Any) -> float | None:
    """Return a figure as far as it is known, to nine digits."""
    return float(f"{float(value):.9g}") if math.isfinite(value) else None
