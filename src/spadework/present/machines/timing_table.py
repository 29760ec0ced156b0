"""A time study as plain text and as files: where the time went, passes and turns, the rate there and elsewhere."""

from __future__ import annotations

import csv
import io
import math
import textwrap
from collections.abc import Sequence
from typing import Final

from spadework import __version__
from spadework.findings.timing import Timing
from spadework.present.table import WIDTH
from spadework.science.machinery.log.time_study import STATES

__all__ = ["STANDING_TIMED", "plan_lines", "states_csv", "timing_text"]

STANDING_TIMED: Final = "looked: one outfit on one day, no replication"
_LABEL: Final = 34
_MOST_PASSES: Final = 60
_WORDS: Final = {
    "working": "working",
    "turning": "turning",
    "stopped": "standing, short",
    "filling": "standing, long: filling or waiting",
    "transport": "on the road, outside the field",
    "other": "other, inside the field",
    "not logged": "not logged",
}


def timing_text(timing: Timing, lines: Sequence[str] = (), notes: Sequence[str] = ()) -> str:
    """Return a time study as plain text, at most 100 columns wide.

    Parameters
    ----------
    timing : Timing
        What was found.
    lines : sequence of str
        Lines for a plan, from :func:`plan_lines`.
    notes : sequence of str
        What the plan says beside it.
    """
    log, work = timing.log, timing.work
    began = "; no date" if log.began is None else log.began.strftime(" from %Y-%m-%d %H:%M:%S UTC")
    out = [f"Time study from {log.file}", "", f"Standing: {STANDING_TIMED}.", ""]
    out += _rows(
        ("log", f"{log.kind}, {log.time_s.size} positions, {_clock(float(log.time_s[-1]))}{began}"),
        ("positions scatter by", f"{work.track.scatter_m:.2f} m, {work.track.spacing_s:g} s apart"),
        ("tools", "from the log" if work.track.tools is not None else "not in the log: taken from course and speed"),
        ("main direction", f"{work.direction_deg:.0f} degrees from north"),
        ("working width", f"{work.width_m:g} m"),
    )
    out += ["", "Where the time went, from the first to the last run", ""]
    spent = float(timing.states_s.sum())
    for state, seconds in zip(STATES, timing.states_s, strict=True):
        if seconds > 0:
            out.append(f"  {_WORDS[state]:<36}{_clock(float(seconds)):>9}{100 * seconds / spent:6.0f} %")
    before = float(timing.whole_s.sum()) - spent
    out.append(f"  {'before and after':<36}{_clock(before):>9}")
    out += ["", "Work", ""]
    out += _rows(
        ("passes", _passes_words(timing)),
        ("speed at work", f"{timing.speed_km_h:.2f} km/h" + _of(timing.speed_se, "km/h", 2)),
        ("one turn", _turn_words(timing)),
        ("distance between passes", _apart_words(timing)),
        ("ground covered", f"{timing.ground_ha:.2f} ha"),
        ("time efficiency", f"{_cent(timing.time_share)} of the field time is work"),
        ("use of the width", f"{_cent(timing.width_share)} of it covers new ground"),
        ("field efficiency", f"{_cent(timing.efficiency_share)}: the two together, at the speed measured"),
        ("rate here", f"{timing.rate_ha_h:.2f} ha/h, turns, stops and filling in it, the road not"),
    )
    if timing.rate_with_road_ha_h < timing.rate_ha_h * 0.999:
        out += _rows(("with the road in between", f"{timing.rate_with_road_ha_h:.2f} ha/h"))
    out += ["", *_elsewhere(timing), ""]
    if lines:
        out += ["For the plan", "", *(f"  {line}" for line in lines), ""]
        out += [
            *_wrapped("+/- is the standard error of the mean, from turn to turn and from pass to pass on this day."),
            "",
        ]
    if notes:
        out += [*(line for note in notes for line in _wrapped(note)), ""]
    out += [*_pass_table(timing), ""]
    if timing.remarks:
        out += ["Keep in mind"]
        out += [
            line
            for remark in timing.remarks
            for line in _wrapped(remark if remark.endswith("?") else f"{remark}.", "  ", "- ")
        ]
        out += [""]
    out.append(f"spadework {__version__}")
    return "\n".join(line.rstrip() for line in out)


def plan_lines(timing: Timing) -> tuple[str, ...]:
    """Return what was measured as lines of a plan; none for what a plan would not take.

    Parameters
    ----------
    timing : Timing
        What was found.
    """
    out = []
    turns = timing.turns
    if turns is not None and 3 <= turns.mean <= 300:  # noqa: PLR2004 RUF100 (what a plan takes)
        out.append(f'turn = "{_with(turns.mean, turns.se, 1)} s"  # under [[machine]]; {turns.count} turns timed')
    if not math.isnan(timing.apart_m) and 0 <= (overlap := timing.work.width_m - timing.apart_m) < timing.work.width_m:
        out.append(f'overlap = "{100 * overlap:.0f} cm"  # under [[machine]]; middle distance between passes')
    out.append(f'speed = "{_with(timing.speed_km_h, timing.speed_se, 2)} km/h"  # under the pass; mean at work')
    return tuple(out)


def states_csv(timing: Timing) -> str:
    """Return every second with place and state; cells are parted by semicolons.

    Parameters
    ----------
    timing : Timing
        What was found.
    """
    track = timing.work.track
    spells = timing.work.spells
    passes = {number: k + 1 for k, one in enumerate(timing.passes) for number in one.runs}
    with io.StringIO(newline="") as held:
        writer = csv.writer(held, delimiter=";", lineterminator="\n")
        writer.writerow(["time_s", "east_m", "north_m", "speed_km_h", "course_deg", "state", "pass"])
        place = run = 0
        for at, x, y, speed, course in zip(
            track.at_s, track.east_m, track.north_m, track.speed_m_s, track.course_deg, strict=True
        ):
            while place + 1 < len(spells) and at >= spells[place].end_s:
                place += 1
            while run + 1 < len(timing.work.runs) and at >= timing.work.runs[run].end_s:
                run += 1
            state = spells[place].state
            number = passes[run] if state == "working" else ""
            writer.writerow([f"{at:.1f}", f"{x:.2f}", f"{y:.2f}", f"{3.6 * speed:.2f}", f"{course:.1f}", state, number])
        return held.getvalue()


def _elsewhere(timing: Timing) -> list[str]:
    there = timing.elsewhere
    field = there.field
    head = f"The same outfit on {field.name}"
    if math.isnan(there.rate_ha_h):
        return [head, "", *_wrapped("No turn could be timed, so no rate is given for another field.", "  ")]
    size = f"{field.area_ha:g} ha, runs up to {field.length_m:g} m"
    size += f", headlands of {field.headland_m:g} m" if field.headland_m else ", no headlands"
    span = ""
    if not math.isnan(there.low_ha_h):
        span = f" ({there.low_ha_h:.2f} to {there.high_ha_h:.2f} with a chance of 80 % as turns and passes varied)"
    out = [head, "", *_wrapped(f"{there.rate_ha_h:.2f} ha/h{span}; {size}.", "  ")]
    words = f"The {timing.rate_ha_h:.2f} ha/h of this ground must not be quoted for another field: length of runs, turns and "
    words += "filling weigh differently there."
    out += _wrapped(words, "  ")
    rest = f"Stops and other time are taken at {_cent(timing.lost_share)} of the time at work, long stops at "
    rest += f"{60 * timing.refill_h_ha:.1f} min/ha, as measured here."
    return out + _wrapped(rest, "  ")


def _passes_words(timing: Timing) -> str:
    ends = sum(one.headland for one in timing.passes)
    along = len(timing.passes) - ends
    text = f"{along} along" + (f", {ends} on headlands" if ends else "")
    lengths = [one.length_m for one in timing.passes if not one.headland]
    return text + (f"; {min(lengths):.0f} to {max(lengths):.0f} m long" if lengths else "")


def _turn_words(timing: Timing) -> str:
    turns = timing.turns
    if turns is None:
        return "none without a stop could be timed"
    if turns.count == 1:
        return f"{turns.mean:.1f} s, one turn"
    spread = f"sd {turns.sd:.1f}, middle {turns.middle:.1f}, 9 in 10 up to {turns.p90:.1f}"
    return f"{turns.mean:.1f} s ({spread}); {turns.count} turns"


def _apart_words(timing: Timing) -> str:
    if math.isnan(timing.apart_m):
        return "not told"
    over = timing.work.width_m - timing.apart_m
    said = f"overlap {100 * over:.0f} cm, {_cent(over / timing.work.width_m)} of the width"
    return f"{timing.apart_m:.2f} m in the middle; " + (said if over >= 0 else f"{-100 * over:.0f} cm left between")


def _pass_table(timing: Timing) -> list[str]:
    begin = timing.work.begin_s
    after = {turn.before: turn for turn in timing.work.turns}
    out = [
        "Passes",
        "",
        "  pass     begin   length     time    speed  course    rank  distance  turn after",
        "                        m        s     km/h     deg                 m           s",
    ]
    for number, one in enumerate(timing.passes[:_MOST_PASSES], 1):
        turn = after.get(one.runs[-1])
        apart = "" if math.isnan(one.apart_m) or math.isnan(timing.apart_m) else f"{one.apart_m:.2f}"
        said = "" if turn is None else f"{turn.moving_s:.1f}" + ("" if turn.plain else "*")
        place = f"{'H' if one.headland else ''}{one.place + 1}"
        out.append(
            f"  {number:>4}{_clock(one.begin_s - begin):>10}{one.length_m:>9.1f}{one.time_s:>9.1f}{one.speed_km_h:>9.2f}"
            f"{one.course_deg:>8.0f}{place:>8}{apart:>10}{said:>12}"
        )
    if len(timing.passes) > _MOST_PASSES:
        out.append(f"  and {len(timing.passes) - _MOST_PASSES} more; --csv has every second")
    words = "rank: place from one side of the field to the other; H on a headland. distance: to the pass beside it."
    words += " * turns with a stop in them or on the headland are left out of the mean."
    return [*out, "", *_wrapped(words, "  ")]


def _with(value: float, error: float, digits: int) -> str:
    least = 10.0**-digits
    if math.isnan(error):
        return f"{value:.{digits}f}"
    return f"{value:.{digits}f} +/- {max(error, least):.{digits}f}"


def _of(error: float, unit: str, digits: int) -> str:
    return "" if math.isnan(error) else f" (standard error {error:.{digits}f} {unit})"


def _cent(share: float) -> str:
    return f"{100 * share:.1f} %"


def _clock(seconds: float) -> str:
    whole = round(max(seconds, 0.0))
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def _rows(*rows: tuple[str, str]) -> list[str]:
    out = []
    for label, text in rows:
        out += textwrap.wrap(text, WIDTH, initial_indent=f"  {label:<{_LABEL}}", subsequent_indent=" " * (_LABEL + 2))
    return out


def _wrapped(text: str, indent: str = "", mark: str = "") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent + mark, subsequent_indent=indent + " " * len(mark))
