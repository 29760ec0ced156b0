"""Charts of passes: stacked bars by part, a block for each system, with the interval of the whole beneath each bar."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from spadework.present import tone
from spadework.present.charts.spec import (
    Row,
    Spec,
    _chart,
    _check,
    _figure,
    _finish,
    _in_order,
    _interval_text,
    _name,
    _once,
    _whiskers,
)
from spadework.present.face.words import width_of, wrap

__all__ = ["pass_parts_chart"]

_WIDTH = 640
_TYPE = 13
_NAME = 190
_EACH = 62  # height of one pass
_BAR = 22
_LIFT, _DROP = -13, 7


def pass_parts_chart(
    rows: Sequence[Row],
    totals: Sequence[Row],
    unit: str,
    *,
    title: str,
    whole: str,
    mark: str = "",
    upto: float = 0.0,
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return stacked bars, one a pass, in a block for each system.

    Parameters
    ----------
    rows : sequence of mapping
        ``system``, ``pass``, ``part``, ``mid``; all in the order in which they first come.
    totals : sequence of mapping
        ``system``, ``pass``, ``mid``, ``low``, ``high`` of the whole; with `mark`, also ``mark``, a limit drawn across, and
        ``by``, what sets it.
    unit, title : str
        Unit of all figures; title.
    whole, mark : str
        What line and dot beneath a bar show, and what the upright across it shows (none where empty), in words.
    upto : float
        The scale reaches at least so far, for charts that are to be compared.
    standing, interval : str
        Standing of the evidence; what the interval holds.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.

    Raises
    ------
    ValueError
        If a key is missing, a figure is not finite or below nil, an interval is the wrong way round,
        there are more parts than tones, a part or a whole comes twice, or rows and totals name different passes.
    """
    import altair as alt

    unit = _name(unit)
    rows = _check(rows, ("mid",), "pass", "part")
    totals = _check(totals, ("mid", "low", "high", *(("mark",) if mark else ())), "pass", *(("by",) if mark else ()))
    _once(totals, "pass")
    _once(rows, "pass", "part")
    if {(r["system"], r["pass"]) for r in rows} != {(t["system"], t["pass"]) for t in totals}:
        raise ValueError("rows and totals must name the same passes")
    if low := next((row for row in rows if row["mid"] < 0), None):
        raise ValueError(f"{low['part']} of {low['pass']} is below nil: {low['mid']}")
    parts = _in_order(rows, "part")
    if len(parts) > len(tone.PART_TONES):
        raise ValueError(f"{len(parts)} parts are too many to tell apart; {len(tone.PART_TONES)} at most")
    tones = dict(zip(parts, tone.PART_TONES, strict=False))
    numbered = {part: f"{place} {part}" for place, part in enumerate(parts, 1)}
    systems = _in_order(rows, "system")
    laid = [bar for system in systems for bar in _bars([row for row in rows if row["system"] == system], parts)]
    most = max(upto, *(bar["end"] for bar in laid), *(max(t["high"], t["mark"] if mark else 0.0) for t in totals))
    plot = _WIDTH - _NAME - 30
    per_unit = plot / (1.02 * most or 1.0)
    for bar in laid:
        bar["name"], bar["ink"] = numbered[bar["part"]], tone.ink_on(tones[bar["part"]])
        bar["label"] = _label(bar, str(parts.index(bar["part"]) + 1), most, per_unit)
    scale = alt.Scale(domain=[0, 1.02 * most or 1.0], nice=False)
    colour = alt.Color(
        "name:N",
        title=None,
        scale=alt.Scale(domain=list(numbered.values()), range=list(tones.values())),
        legend=alt.Legend(orient="bottom", columns=3, symbolType="square", symbolStrokeColor=tone.INK, labelLimit=190),
    )
    blocks = []
    for place, system in enumerate(systems):
        last = place == len(systems) - 1
        bars = [bar for bar in laid if bar["system"] == system]
        own = [_whole(total, unit, mark) for total in totals if total["system"] == system]
        passes = [str(total["pass"]) for total in own]
        y = _pass_axis(alt, passes)
        x = alt.X(
            "start:Q",
            title=unit if last else None,
            scale=scale,
            axis=alt.Axis(labels=last, ticks=last, domain=last, grid=True, tickCount=6),
        )
        base, lane = _chart(bars), _chart(own)
        layers = [
            base.mark_bar(height=_BAR, yOffset=_LIFT, stroke=tone.INK, strokeWidth=0.8).encode(
                y=y, x=x, x2="end:Q", color=colour
            ),
            base.mark_text(fontSize=12, yOffset=_LIFT, baseline="middle").encode(
                y=y, x="centre:Q", text="label:N", color=alt.Color("ink:N", scale=None)
            ),
            *_whiskers(lane, y, _DROP),
            lane.mark_point(shape="circle", size=55, filled=True, color=tone.INK, opacity=1, yOffset=_DROP).encode(
                y=y, x=alt.X("mid:Q")
            ),
            lane.mark_text(align="left", baseline="top", yOffset=_DROP + 7).encode(
                y=y, x=alt.X("zero:Q"), text="text:N"
            ),
        ]
        if mark:
            upright = {"height": _BAR + 12, "yOffset": _LIFT, "opacity": 1}
            layers += [
                lane.mark_tick(color=tone.PAPER, thickness=7, **upright).encode(y=y, x=alt.X("mark:Q")),
                lane.mark_tick(color=tone.ACCENT, thickness=4, **upright).encode(y=y, x=alt.X("mark:Q")),
            ]
        heading = alt.TitleParams(
            system, anchor="start", frame="bounds", fontSize=14, fontWeight="bold", offset=4, limit=_WIDTH - 40
        )
        blocks.append(alt.layer(*layers).properties(width=plot, height=_EACH * len(passes), title=heading))
    said = [standing, f"line and dot: {whole}, {interval}", *([f"upright: {mark}"] if mark else [])]
    return _finish(alt.vconcat(*blocks, spacing=10), title, "; ".join(said))


def _bars(rows: Sequence[Row], parts: list[str]) -> list[dict[str, Any]]:
    """Return the parts of each pass of one system, laid end to end."""
    found: list[dict[str, Any]] = []
    for name in _in_order(rows, "pass"):
        end = 0.0
        own = [row for row in rows if row["pass"] == name and row["mid"] > 0]
        for row in sorted(own, key=lambda row: parts.index(str(row["part"]))):
            start, end = end, end + float(row["mid"])
            about = {key: str(row[key]) for key in ("system", "pass", "part")}
            found.append({**about, "start": start, "end": end, "centre": (start + end) / 2})
    return found


def _label(bar: Row, place: str, most: float, per_unit: float) -> str:
    """Return number and value of a part, its number alone, or nothing, as there is room."""
    value = bar["end"] - bar["start"]
    both = f"{place}: {_figure(value, 0 if most >= 20 else 2)}"
    room = value * per_unit
    return both if width_of(both, 12) + 8 <= room else place if width_of(place, 12) + 4 <= room else ""


def _whole(total: Row, unit: str, mark: str) -> dict[str, Any]:
    figures = {key: float(total[key]) for key in ("mid", "low", "high", *(("mark",) if mark else ()))}
    text = _interval_text(total, unit)
    if mark:
        text += f" of {_figure(figures['mark'], 0)} {unit}, {_name(str(total['by']))}"
    return {"system": str(total["system"]), "pass": str(total["pass"]), **figures, "zero": 0.0, "text": text}


def _pass_axis(alt: Any, passes: list[str]) -> Any:
    lines = json.dumps({name: wrap(name, _TYPE, _NAME - 12) for name in passes})
    axis = alt.Axis(
        domain=False,
        ticks=False,
        labelPadding=8,
        labelLimit=_NAME,
        minExtent=_NAME,
        maxExtent=_NAME,
        labelExpr=f"({lines})[datum.value]",
        labelLineHeight=16,
        labelOffset=_LIFT,
    )
    return alt.Y("pass:N", sort=passes, scale=alt.Scale(domain=passes), title=None, axis=axis)
