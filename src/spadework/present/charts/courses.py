"""Charts of ammonia over time: a panel for each system with its courses, and start hours against what they lose."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from spadework.present import tone
from spadework.present.charts.spec import Spec, _chart, _finish, _name
from spadework.present.face.words import wrap

__all__ = ["Curve", "Panel", "courses_chart", "starts_chart"]

_TYPE: Final = 13
_LINE: Final = 16.0
_PLOT: Final = 410.0
_CURVES: Final = 376.0  # of the plot; the rest holds the bar of the factors
_LABELS: Final = 138.0
_Label = tuple[float, str, tuple[str, str]]  # value, words, colour and shape of its mark
_PANEL: Final = 86.0
_TALL: Final = 250.0
_TICKS: Final = (0, 1, 4, 24, 72, 168)
_LOOKS: Final = (
    (tone.SLURRY, (1, 0), "circle"),
    (tone.ACCENT, (8, 4), "square"),
    (tone.STRAW_DARK, (2, 3), "triangle-up"),
    (tone.WARNING, (10, 3, 2, 3), "diamond"),
    (tone.LOOSENED_LINE, (5, 2), "triangle-down"),
    (tone.SLURRY_PALE, (14, 4), "cross"),
)


@dataclass(frozen=True)
class Curve:
    """One model's course: ``name`` and points of hour, middle, low and high, in per cent."""

    name: str
    points: Sequence[tuple[float, float, float, float]]


@dataclass(frozen=True)
class Panel:
    """A system: its curves, and middle, low and high of the total by factors, in per cent."""

    title: str
    curves: Sequence[Curve]
    factors: tuple[float, float, float]


def courses_chart(
    panels: Sequence[Panel],
    *,
    title: str = "Ammonia lost, hour by hour",
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return a panel for each system: a line with its shade for each model, a bar for the factors at the right.

    Parameters
    ----------
    panels : sequence of Panel
        From above; all share their axes.
    title, standing, interval : str
        Title; standing of the evidence; what shades and bars hold.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.

    Raises
    ------
    ValueError
        If there is nothing to show, a figure is not finite, or a panel has more curves than looks.
    """
    import altair as alt

    if not panels:
        raise ValueError("there is nothing to show: no systems")
    numbers = [n for p in panels for n in (*p.factors, *(x for c in p.curves for point in c.points for x in point))]
    if not all(map(math.isfinite, numbers)):
        raise ValueError("a figure is not finite")
    if any(len(panel.curves) > len(_LOOKS) for panel in panels):
        raise ValueError("too many curves to tell apart")
    # Looks go by the name of the curve, so that a system that lacks one keeps those of the others.
    names = list(dict.fromkeys(curve.name for panel in panels for curve in panel.curves))
    looks = dict(zip(names, _LOOKS, strict=False))
    last = max((point[0] for panel in panels for curve in panel.curves for point in curve.points), default=1.0)
    highs = [panel.factors[2] for panel in panels]
    highs += [point[3] for panel in panels for curve in panel.curves for point in curve.points]
    top = 1.05 * max(highs) or 1.0
    drawn = [_panel(alt, panel, looks, last, top, end=panel is panels[-1]) for panel in panels]
    subtitle = (
        f"{standing}; % of the ammoniacal N; line: middle, shade and bar: {interval}; hours on a scale of square roots"
    )
    return _finish(alt.vconcat(*drawn, spacing=14), title, subtitle)


def _panel(
    alt: Any, panel: Panel, looks: Mapping[str, tuple[str, tuple[int, ...], str]], last: float, top: float, *, end: bool
) -> Any:
    ticks = [tick for tick in _TICKS if tick <= last]
    words = "hours after the start of spreading" if end else None
    scale = alt.Scale(type="sqrt", domain=[0, last], range=[0, _CURVES], nice=False)
    x = alt.X("h:Q", title=words, scale=scale, axis=alt.Axis(values=ticks, format="d", grid=True))
    y_scale = alt.Scale(domain=[0, top], nice=False)
    axis = alt.Axis(tickCount=4, grid=True)
    layers: list[Any] = []
    labels: list[_Label] = []
    for curve in panel.curves:
        colour, dash, shape = looks[curve.name]
        rows = [dict(zip(("h", "mid", "low", "high"), map(float, point), strict=True)) for point in curve.points]
        base = _chart(rows)
        marks = _chart([row for row in rows if row["h"] in _TICKS[1:]])
        y = alt.Y("mid:Q", title="%", scale=y_scale, axis=axis)
        layers += [
            base.mark_area(color=colour, opacity=0.18).encode(x=x, y=alt.Y("low:Q", scale=y_scale), y2="high:Q"),
            base.mark_line(color=colour, strokeWidth=2.4, strokeDash=list(dash)).encode(x=x, y=y),
            marks.mark_point(shape=shape, size=50, filled=True, color=colour, opacity=1).encode(x=x, y=y),
        ]
        labels.append((rows[-1]["mid"], f"{curve.name}: {_pct(rows[-1]['mid'])}", (colour, shape)))
    mid, low, high = map(float, panel.factors)
    bar = _chart([{"mid": mid, "low": low, "high": high}])
    at = alt.value(_CURVES + 17)
    layers += [
        bar.mark_rule(color=tone.INK, strokeWidth=7, opacity=0.45).encode(
            x=at, y=alt.Y("low:Q", scale=y_scale), y2="high:Q"
        ),
        bar.mark_tick(color=tone.INK, thickness=3, width=20, orient="horizontal").encode(
            x=at, y=alt.Y("mid:Q", title="%", scale=y_scale, axis=axis)
        ),
    ]
    labels.append((mid, f"factors: {_pct(mid)}", (tone.INK, "stroke")))
    layers += _beside(alt, labels, top, _PANEL)
    head = alt.TitleParams(
        text=_name(panel.title), fontSize=14, fontWeight="bold", anchor="start", offset=6, frame="group"
    )
    return alt.layer(*layers).properties(width=_PLOT, height=_PANEL, title=head)


def _pct(value: float) -> str:
    return f"{value:.0f} %" if value >= 10 else f"{value:.1f} %"


def _beside(alt: Any, labels: Sequence[_Label], top: float, tall: float) -> list[Any]:
    """Return labels right of the plot, each near its value, apart from one another and within the panel."""
    found, floor = [], -math.inf
    placed = []
    for value, text, look in sorted(labels, key=lambda label: -label[0]):
        lines = wrap(_name(text), _TYPE, _LABELS)
        start = max(tall * (1 - value / top) - _LINE * len(lines) / 2, floor)
        floor = start + _LINE * len(lines) + 1
        placed.append((start, lines, look))
    lift = max(0.0, floor - tall - 6)
    for start, lines, (colour, shape) in placed:
        at = alt.value(start - lift + _LINE / 2 - 1)
        sign = _chart([{"text": ""}]).mark_point(
            shape=shape, size=55, filled=shape != "stroke", color=colour, strokeWidth=3, opacity=1
        )
        found.append(sign.encode(x=alt.value(_PLOT + 12), y=at))
        mark = _chart([{"text": lines}]).mark_text(align="left", baseline="top", lineHeight=_LINE)
        found.append(mark.encode(x=alt.value(_PLOT + 24), y=alt.value(start - lift), text="text:N"))
    return found


def starts_chart(
    rows: Sequence[Mapping[str, Any]],
    days: Sequence[tuple[float, str]],
    nights: Sequence[tuple[float, float]],
    *,
    best: Sequence[Mapping[str, Any]] = (),
    title: str = "What a start at this hour loses",
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return start hours across, nitrogen lost up, a line with its shade for each system.

    Parameters
    ----------
    rows : sequence of mapping
        ``system``, ``h`` (hours from the left edge), ``mid``, ``low``, ``high`` [kg N/ha]; systems in the order in which
        they first come.
    days : sequence of tuple
        Hour and words of every mark of the axis.
    nights : sequence of tuple
        From and to, in hours: starts that are not ranked, shaded.
    best : sequence of mapping
        ``h``, ``mid`` of starts to be ringed.
    title, standing, interval : str
        Title; standing of the evidence; what the shade holds.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.

    Raises
    ------
    ValueError
        If there is nothing to show, a figure is not finite, or there are more systems than looks to tell them apart.
    """
    import altair as alt

    systems = list(dict.fromkeys(str(row["system"]) for row in rows))
    if not systems:
        raise ValueError("there is nothing to show: no rows")
    if not all(math.isfinite(row[key]) for row in rows for key in ("h", "mid", "low", "high")):
        raise ValueError("a figure is not finite")
    if len(systems) > len(_LOOKS):
        raise ValueError(f"{len(systems)} systems are too many to tell apart; {len(_LOOKS)} at most")
    last = max(float(row["h"]) for row in rows) or 1.0
    top = 1.05 * max(float(row["high"]) for row in rows) or 1.0
    marks = [at for at, _ in days]
    expression = f"{json.dumps([_name(w) for _, w in days])}[indexof({json.dumps(marks)}, datum.value)]"
    axis = alt.Axis(values=marks, labelExpr=expression, grid=False, labelAngle=0, labelFlush=False, labelBound=False)
    scale = alt.Scale(domain=[0, last], nice=False)
    x = alt.X("h:Q", title="start of spreading", scale=scale, axis=axis)
    y_scale = alt.Scale(domain=[0, top], nice=False)
    layers: list[Any] = []
    if nights:
        dark = _chart([{"h": float(a), "to": float(b)} for a, b in nights])
        layers.append(dark.mark_rect(color=tone.UNDISTURBED, opacity=0.75).encode(x=x, x2="to:Q"))
    labels: list[_Label] = []
    for number, (system, (colour, dash, shape)) in enumerate(zip(systems, _LOOKS, strict=False)):
        own = [{k: float(row[k]) for k in ("h", "mid", "low", "high")} for row in rows if row["system"] == system]
        base = _chart(own)
        spaced = _chart(own[number * 2 :: 9])
        y = alt.Y("mid:Q", title="kg N/ha lost as ammonia", scale=y_scale)
        layers += [
            base.mark_area(color=colour, opacity=0.2).encode(x=x, y=alt.Y("low:Q", scale=y_scale), y2="high:Q"),
            base.mark_line(color=colour, strokeWidth=2.2, strokeDash=list(dash)).encode(x=x, y=y),
            spaced.mark_point(shape=shape, size=45, filled=True, color=colour, opacity=1).encode(x=x, y=y),
        ]
        labels.append((own[-1]["mid"], system, (colour, shape)))
    if best:
        ring = _chart([{"h": float(row["h"]), "mid": float(row["mid"])} for row in best])
        layers.append(
            ring.mark_point(shape="circle", size=170, color=tone.INK, strokeWidth=2, filled=False, opacity=1).encode(
                x=x, y=alt.Y("mid:Q", scale=y_scale)
            )
        )
    layers += _beside(alt, labels, top, _TALL)
    subtitle = f"{standing}; line: middle, shade: {interval}; ringed: best ranked hour; shaded hours are not ranked"
    return _finish(alt.layer(*layers), title, subtitle, _PLOT, _TALL)
