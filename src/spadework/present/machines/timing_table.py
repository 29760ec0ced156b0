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

__all__ = [
    "PASSES_SAID",
    "PLAN_LINES_SAID",
    "STANDING_TIMED",
    "elsewhere_said",
    "log_rows",
    "pass_rows",
    "plan_lines",
    "states_csv",
    "time_rows",
    "timing_text",
    "work_rows",
]

STANDING_TIMED: Final = "looked: one outfit on one day, no replication"
PLAN_LINES_SAID: Final = (
    "+/- is the standard error of the mean, from turn to turn and from pass to pass on this day; for a turn, what errors of "
    "the positions leave open is in it."
)
PASSES_SAID: Final = (
    "rank: place from one side of the field to the other; H on a headland. distance: to the pass beside it. * turns with a "
    "stop in them or on the headland are left out of the mean."
)
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
    out = [f"Time study from {timing.log.file}", "", f"Standing: {STANDING_TIMED}.", "", *_rows(*log_rows(timing))]
    out += ["", "Where the time went, from the first to the last run", ""]
    for state, clock, share in time_rows(timing):
        out.append(f"  {state:<36}{clock:>9}{share}")
    out += ["", "Work", "", *_rows(*work_rows(timing))]
    head, *said = elsewhere_said(timing)
    out += ["", head, ""]
    out += [line for text in said for line in _wrapped(text, "  ")]
    out += [""]
    if lines:
        out += ["For the plan", "", *(f"  {line}" for line in lines), ""]
        out += [*_wrapped(PLAN_LINES_SAID), ""]
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
        out.append(
            f'turn = "{_with(turns.mean, timing.turn_error_s, 1)} s"  # under [[machine]]; {turns.count} turns timed'
        )
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


def log_rows(timing: Timing) -> tuple[tuple[str, str], ...]:
    """Return what the log is: a label and words for each property."""
    log, work = timing.log, timing.work
    began = "; no date" if log.began is None else log.began.strftime(" from %Y-%m-%d %H:%M:%S UTC")
    return (
        ("log", f"{log.kind}, {log.time_s.size} positions, {_clock(float(log.time_s[-1]))}{began}"),
        ("positions scatter by", f"{work.track.scatter_m:.2f} m, {work.track.spacing_s:g} s apart"),
        ("tools", "from the log" if work.track.tools is not None else "not in the log: taken from course and speed"),
        ("main direction", f"{work.direction_deg:.0f} degrees from north"),
        ("working width", f"{work.width_m:g} m"),
    )


def time_rows(timing: Timing) -> list[tuple[str, str, str]]:
    """Return every state with its time and its share, and the time before the first and after the last run."""
    spent = float(timing.states_s.sum())
    out = [
        (_WORDS[state], _clock(float(seconds)), f"{100 * seconds / spent:6.0f} %")
        for state, seconds in zip(STATES, timing.states_s, strict=True)
        if seconds > 0
    ]
    return [*out, ("before and after", _clock(float(timing.whole_s.sum()) - spent), "")]


def work_rows(timing: Timing) -> tuple[tuple[str, str], ...]:
    """Return what was found about the work: a label and words for each figure."""
    told = not math.isnan(timing.apart_m)
    both = "the two together" if told else "time efficiency alone"
    rows = [
        ("passes", _passes_words(timing)),
        ("speed at work", f"{timing.speed_km_h:.2f} km/h" + _of(timing.speed_se, "km/h", 2)),
        ("one turn", _turn_words(timing)),
        ("distance between passes", _apart_words(timing)),
        ("ground covered", f"{timing.ground_ha:.2f} ha"),
        ("time efficiency", f"{_cent(timing.time_share)} of the field time is work"),
        (
            "use of the width",
            f"{_cent(timing.width_share)} of it covers new ground" if told else "not told; taken as all",
        ),
        ("field efficiency", f"{_cent(timing.efficiency_share)}: {both}, at the speed measured"),
        ("rate here", f"{timing.rate_ha_h:.2f} ha/h, turns, stops and filling in it, the road not"),
    ]
    if timing.rate_with_road_ha_h < timing.rate_ha_h * 0.999:
        rows.append(("with the road in between", f"{timing.rate_with_road_ha_h:.2f} ha/h"))
    return tuple(rows)


def elsewhere_said(timing: Timing) -> tuple[str, ...]:
    """Return a heading, then sentences: the rate on the field that counts, and what it rests on."""
    there = timing.elsewhere
    field = there.field
    head = f"The same outfit on {field.name}"
    if math.isnan(there.rate_ha_h):
        return head, "No turn could be timed, so no rate is given for another field."
    size = f"{field.area_ha:g} ha, runs up to {field.length_m:g} m"
    size += f", headlands of {field.headland_m:g} m" if field.headland_m else ", no headlands"
    span = ""
    if not math.isnan(there.low_ha_h):
        span = f" ({there.low_ha_h:.2f} to {there.high_ha_h:.2f} with a chance of 80 % as turns and passes varied)"
    words = f"The {timing.rate_ha_h:.2f} ha/h of this ground must not be quoted for another field: length of runs, turns and "
    words += "filling weigh differently there."
    rest = f"Stops and other time are taken at {_cent(timing.lost_share)} of the time at work, long stops at "
    rest += f"{60 * timing.refill_h_ha:.1f} min/ha, as measured here."
    return head, f"{there.rate_ha_h:.2f} ha/h{span}; {size}.", words, rest


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
    spread = f"standard deviation {turns.sd:.1f}, middle {turns.middle:.1f}, 9 in 10 up to {turns.p90:.1f}"
    return f"{turns.mean:.1f} s ({spread}); {turns.count} turns"


def _apart_words(timing: Timing) -> str:
    if math.isnan(timing.apart_m):
        return "not told"
    over = timing.work.width_m - timing.apart_m
    said = f"overlap {100 * over:.0f} cm, {_cent(over / timing.work.width_m)} of the width"
    return f"{timing.apart_m:.2f} m in the middle; " + (said if over >= 0 else f"{-100 * over:.0f} cm left between")


def _pass_table(timing: Timing) -> list[str]:
    out = [
        "Passes",
        "",
        "  pass     begin   length     time    speed  course    rank  distance  turn after",
        "                        m        s     km/h     deg                 m           s",
    ]
    for number, begin, length, time, speed, course, rank, apart, turn in pass_rows(timing):
        out.append(f"  {number:>4}{begin:>10}{length:>9}{time:>9}{speed:>9}{course:>8}{rank:>8}{apart:>10}{turn:>12}")
    if len(timing.passes) > _MOST_PASSES:
        out.append(f"  and {len(timing.passes) - _MOST_PASSES} more; --csv has every second")
    return [*out, "", *_wrapped(PASSES_SAID, "  ")]


def pass_rows(timing: Timing) -> list[tuple[str, ...]]:
    """Return the passes, the first sixty: number, begin, length, time, speed, course, rank, distance, turn after it."""
    begin = timing.work.begin_s
    after = {turn.before: turn for turn in timing.work.turns}
    out: list[tuple[str, ...]] = []
    for number, one in enumerate(timing.passes[:_MOST_PASSES], 1):
        turn = after.get(one.runs[-1])
        apart = "" if math.isnan(one.apart_m) or math.isnan(timing.apart_m) else f"{one.apart_m:.2f}"
        said = "" if turn is None else f"{turn.moving_s:.1f}" + ("" if turn.plain else "*")
        out.append(
            (str(number), _clock(one.begin_s - begin), f"{one.length_m:.1f}", f"{one.time_s:.1f}", f"{one.speed_km_h:.2f}",
             f"{one.course_deg:.0f}", f"{'H' if one.headland else ''}{one.place + 1}", apart, said)
        )  # fmt: skip
    return out


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
