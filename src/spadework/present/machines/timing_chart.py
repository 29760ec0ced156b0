"""The picture of a time study: the track from above, each state in its own tone, thickness and dashes."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from spadework.findings.timing import Timing
from spadework.present import tone
from spadework.present.charts.spec import Spec, _chart, _finish
from spadework.present.face.words import plain
from spadework.present.machines.timing_table import STANDING_TIMED
from spadework.ranges import FloatArray

__all__ = ["track_chart"]

_SIDE: Final = 560.0
_LEAST: Final = 160.0
_MOST_POINTS: Final = 12_000
_RIM_M: Final = 40.0
_LOOKS: Final = {
    "working": (tone.LOOSENED_LINE, (1, 0), 2.4, "working"),
    "turning": (tone.ACCENT, (5, 3), 2.0, "turning"),
    "transport": (tone.QUIET, (10, 3, 2, 3), 1.6, "on the road"),
    "other": (tone.INK, (2, 3), 1.6, "other"),
}
_MARKS: Final = {"stopped": ("triangle-up", "standing, short"), "filling": ("square", "filling or waiting")}


def track_chart(timing: Timing, *, title: str = "What the outfit did, and where") -> Spec:
    """Return the track from above, metres east and north of the middle of the log.

    Parameters
    ----------
    timing : Timing
        What was found.
    title : str
        Title of the picture.

    Returns
    -------
    dict
        A Vega-Lite specification; one metre is as long upward as across.
    """
    import altair as alt

    low, high, cut = _ground(timing)
    wide, tall = (high - low).tolist()
    scale = _SIDE / max(wide, tall)
    size = max(wide * scale, _LEAST), max(tall * scale, _LEAST)
    # a narrow field gets more ground to its sides, so that one metre stays one metre
    spare = (np.array(size) / scale - (high - low)) / 2
    low, high = low - spare, high + spare
    x = alt.X("x:Q", title="m east", scale=alt.Scale(domain=[low[0], high[0]], nice=False, zero=False))
    y = alt.Y("y:Q", title="m north", scale=alt.Scale(domain=[low[1], high[1]], nice=False, zero=False))
    rows, stands = _rows(timing)
    looks = [look for look in _LOOKS.values() if any(row["state"] == look[3] for row in rows)]
    names = [look[3] for look in looks]
    legend = alt.Legend(orient="right", symbolSize=900, symbolType="stroke", title="track")
    state = [("color", alt.Color, 0), ("strokeDash", alt.StrokeDash, 1), ("strokeWidth", alt.StrokeWidth, 2)]
    coded: dict[str, Any] = {
        key: channel("state:N", legend=legend, scale=alt.Scale(domain=names, range=[_plain(look[k]) for look in looks]))
        for key, channel, k in state
    }
    line = _chart(rows).mark_line(strokeCap="butt", strokeJoin="round", clip=True)
    picture: Any = line.encode(x=x, y=y, order=alt.Order("at:Q"), detail="spell:N", **coded)
    standing = [look for look in _MARKS.values() if any(row["state"] == look[1] for row in stands)]
    if standing:
        shapes = alt.Scale(domain=[look[1] for look in standing], range=[look[0] for look in standing])
        point_legend = alt.Legend(orient="right", title="stops", symbolSize=120, symbolFillColor=tone.WARNING)
        points = _chart(stands).mark_point(clip=True, filled=True, opacity=1, color=tone.WARNING, size=110)
        points = points.encode(x=x, y=y, shape=alt.Shape("state:N", legend=point_legend, scale=shapes))
        picture = alt.layer(picture, points)
    subtitle = f"{STANDING_TIMED}; {plain(timing.log.file)}, {timing.speed_km_h:.1f} km/h at work"
    if timing.turns is not None:
        subtitle += f", {timing.turns.mean:.0f} s a turn"
    if cut:
        subtitle += "; the road farther off is cut away"
    return _finish(picture, title, subtitle, *size)


def _plain(value: Any) -> Any:
    return list(value) if isinstance(value, tuple) else value


def _ground(timing: Timing) -> tuple[FloatArray, FloatArray, bool]:
    """Return the corners of the ground to show, and whether some of the track lies beyond: the field and a rim."""
    track = timing.work.track
    inside = np.zeros(track.at_s.size, np.bool_)
    for run in timing.work.runs:
        inside |= (track.at_s >= run.begin_s) & (track.at_s <= run.end_s)
    places = np.stack([track.east_m, track.north_m])
    least, most = places[:, inside].min(axis=1) - _RIM_M, places[:, inside].max(axis=1) + _RIM_M
    low, high = np.maximum(least, places.min(axis=1)), np.minimum(most, places.max(axis=1))
    margin = 0.03 * float((high - low).max()) + 2.0
    cut = bool((places.min(axis=1) < low - margin).any() or (places.max(axis=1) > high + margin).any())
    return low - margin, high + margin, cut


def _rows(timing: Timing) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Return corners of the way by spell, and places of stops."""
    track = timing.work.track
    every = max(1, track.at_s.size // _MOST_POINTS)
    lines, stands = [], []
    for number, spell in enumerate(timing.work.spells):
        inside = np.flatnonzero((track.at_s > spell.begin_s) & (track.at_s < spell.end_s))
        if spell.state in _MARKS:
            middle = (spell.begin_s + spell.end_s) / 2
            x, y = (float(np.interp(middle, track.at_s, values)) for values in (track.east_m, track.north_m))
            stands.append({"x": round(x, 2), "y": round(y, 2), "state": _MARKS[spell.state][1]})
            continue
        if spell.state not in _LOOKS:
            continue
        at = np.concatenate([[spell.begin_s], track.at_s[inside][::every], [spell.end_s]])
        xs, ys = np.interp(at, track.at_s, track.east_m), np.interp(at, track.at_s, track.north_m)
        name = _LOOKS[spell.state][3]
        lines += [
            {"at": round(float(t), 2), "x": round(float(x), 2), "y": round(float(y), 2), "state": name, "spell": number}
            for t, x, y in zip(at, xs, ys, strict=True)
        ]
    return lines, stands
