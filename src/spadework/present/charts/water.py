"""Charts of the water of the top layer: how moist each kind of ground stays, what is lost, and fit days by week."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from spadework.present import tone
from spadework.present.charts.spec import Spec, _chart, _finish, _name, _system_axis

__all__ = ["DryingCurve", "DryingPanel", "drying_chart", "fit_weeks_chart", "lost_chart"]

_PLOT: Final = 460.0
_LINE: Final = 17.0
_PANEL: Final = 92.0
_HALF: Final = 222.0
_LOOKS: Final = {
    "strip": (tone.SLURRY, "circle"),
    "between": (tone.ACCENT, "square"),
    "whole": (tone.LOOSENED_LINE, "triangle-up"),
}
_DASHES: Final = {"linear": (1, 0), "convex": (6, 4)}


@dataclass(frozen=True)
class DryingCurve:
    """One kind of ground by one shape of the effect of residue: points of day, middle, low and high, in per cent."""

    zone: str
    rule: str
    points: Sequence[tuple[float, float, float, float]]


@dataclass(frozen=True)
class DryingPanel:
    """A system and its curves."""

    title: str
    curves: Sequence[DryingCurve]


def drying_chart(
    panels: Sequence[DryingPanel],
    *,
    title: str = "How moist the top layer stays",
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return a panel for each system: moisture against days, a line for each kind of ground and shape of residue.

    Parameters
    ----------
    panels : sequence of DryingPanel
        From above; all share their axes.  The shade goes with the first shape.
    title, standing, interval : str
        Title; standing of the evidence; what the shade holds.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.

    Raises
    ------
    ValueError
        If there is nothing to show, or a figure is not finite.
    """
    import altair as alt

    if not panels or not all(panel.curves for panel in panels):
        raise ValueError("there is nothing to show: no systems")
    numbers = [n for panel in panels for curve in panel.curves for point in curve.points for n in point]
    if not all(map(math.isfinite, numbers)):
        raise ValueError("a figure is not finite")
    last = max(point[0] for panel in panels for curve in panel.curves for point in curve.points) or 1.0
    top = 1.08 * max(point[3] for panel in panels for curve in panel.curves for point in curve.points) or 1.0
    drawn = [_panel(alt, panel, last, top, end=panel is panels[-1]) for panel in panels]
    subtitle = (
        f"{standing}; % by volume, mean of the layer, at the end of the day; residue counted in two ways: solid line and shade "
        f"({interval}): linear; broken line: convex; at the right: linear, day {min(7, int(last))}"
    )
    return _finish(alt.vconcat(*drawn, spacing=14), title, subtitle)


def _panel(alt: Any, panel: DryingPanel, last: float, top: float, *, end: bool) -> Any:
    ticks = list(range(0, int(last) + 1, 7))
    scale = alt.Scale(domain=[0, last], range=[0, _PLOT], nice=False)
    axis = alt.Axis(values=ticks, format="d", grid=True)
    x = alt.X("day:Q", title="days after the slurry" if end else None, scale=scale, axis=axis)
    y_scale = alt.Scale(domain=[0, top], nice=False)
    y = alt.Y("mid:Q", title="%", scale=y_scale, axis=alt.Axis(tickCount=4, grid=True))
    layers: list[Any] = []
    labels: list[tuple[float, str, tuple[str, str]]] = []
    for curve in panel.curves:
        colour, shape = _LOOKS[curve.zone]
        rows = [dict(zip(("day", "mid", "low", "high"), map(float, point), strict=True)) for point in curve.points]
        base = _chart(rows)
        if curve.rule == "linear":
            shade = base.mark_area(color=colour, opacity=0.16)
            layers.append(shade.encode(x=x, y=alt.Y("low:Q", scale=y_scale), y2="high:Q"))
        wide = 2.4 if curve.rule == "linear" else 1.6
        layers.append(
            base.mark_line(color=colour, strokeWidth=wide, strokeDash=list(_DASHES[curve.rule])).encode(x=x, y=y)
        )
        marks = _chart([row for row in rows if row["day"] in ticks])
        layers.append(marks.mark_point(shape=shape, size=44, filled=True, color=colour, opacity=1).encode(x=x, y=y))
        if curve.rule == "linear":
            middle = rows[min(7, len(rows) - 1)]
            words = f"{curve.zone}: {middle['mid']:.0f} %"
            labels.append((middle["mid"], words, (colour, shape)))
    layers += _labels(alt, labels, top)
    head = alt.TitleParams(
        text=_name(panel.title), fontSize=14, fontWeight="bold", anchor="start", offset=6, frame="group"
    )
    return alt.layer(*layers).properties(width=_PLOT, height=_PANEL, title=head)


def _labels(alt: Any, labels: Sequence[tuple[float, str, tuple[str, str]]], top: float) -> list[Any]:
    """Return labels right of the plot, each near its value and apart from the others."""
    found: list[Any] = []
    floor = -math.inf
    for value, words, (colour, shape) in sorted(labels, key=lambda label: -label[0]):
        at = max(_PANEL * (1 - value / top), floor)
        floor = at + _LINE
        sign = _chart([{"text": ""}]).mark_point(shape=shape, size=55, filled=True, color=colour, opacity=1)
        found.append(sign.encode(x=alt.value(_PLOT + 14), y=alt.value(at)))
        mark = _chart([{"text": _name(words)}]).mark_text(align="left", baseline="middle")
        found.append(mark.encode(x=alt.value(_PLOT + 25), y=alt.value(at), text="text:N"))
    return found


def lost_chart(
    rows: Sequence[Mapping[str, Any]],
    *,
    title: str = "Water lost from the ground",
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return for each span of days the water that each system loses, by both shapes of the effect of residue.

    Parameters
    ----------
    rows : sequence of mapping
        ``system``, ``days`` (of the span), ``rule`` (linear or convex), ``mid``, ``low``, ``high`` [mm].
    title, standing, interval : str
        As in :func:`drying_chart`.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.

    Raises
    ------
    ValueError
        If there is nothing to show, or a figure is not finite.
    """
    import altair as alt

    if not rows:
        raise ValueError("there is nothing to show: no systems")
    if not all(math.isfinite(row[key]) for row in rows for key in ("mid", "low", "high")):
        raise ValueError("a figure is not finite")
    systems = list(dict.fromkeys(_name(str(row["system"])) for row in rows))
    spans = list(dict.fromkeys(int(row["days"]) for row in rows))
    top = 1.05 * max(float(row["high"]) for row in rows) or 1.0
    drawn = []
    for place, days in enumerate(spans):
        layers: list[Any] = []
        for rule, shape, lift in (("linear", "circle", -8), ("convex", "diamond", 8)):
            some = [
                {"system": _name(str(row["system"])), **{key: float(row[key]) for key in ("mid", "low", "high")}}
                for row in rows
                if int(row["days"]) == days and row["rule"] == rule
            ]
            base = _chart([row | {"text": f"{row['mid']:.1f}"} for row in some])
            y = _system_axis(alt, systems)
            if place:
                y.axis = None
            scale = alt.Scale(domain=[0, top], nice=False)
            bar = base.mark_rule(color=tone.INK, strokeWidth=2, yOffset=lift)
            dot = base.mark_point(
                shape=shape, size=70, filled=rule == "linear", fill=tone.INK if rule == "linear" else tone.PAPER,
                color=tone.INK, opacity=1, yOffset=lift,
            )  # fmt: skip
            axis = alt.Axis(tickCount=5, grid=True)
            layers += [
                bar.encode(y=y, x=alt.X("low:Q", title="mm", scale=scale, axis=axis), x2="high:Q"),
                dot.encode(y=y, x=alt.X("mid:Q", title="mm", scale=scale, axis=axis)),
            ]
        head = alt.TitleParams(text=f"after {days} days", fontSize=14, anchor="start", offset=6, frame="group")
        drawn.append(alt.layer(*layers).properties(width=_HALF, height=46 * len(systems), title=head))
    subtitle = (
        f"{standing}; mm of the whole field; line: {interval}; dot: residue counted as linear; diamond: as convex"
    )
    return _finish(alt.hconcat(*drawn, spacing=18), title, subtitle)


def fit_weeks_chart(
    rows: Sequence[Mapping[str, Any]],
    window: tuple[float, float],
    *,
    given: float | None = None,
    title: str = "How often is a day fit, week by week?",
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return the chance of a fit day for each week, with its interval, and the window of the farm.

    Parameters
    ----------
    rows : sequence of mapping
        ``week`` (words for its first day), ``mid``, ``low``, ``high`` [%], ``note`` (words under the week, may be
        empty); in order.
    window : tuple of float
        Begin and end of the window, in weeks from the first one.
    given : float, optional
        Chance that the plan itself gives [%], as a level line.
    title, standing, interval : str
        As in :func:`drying_chart`.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.

    Raises
    ------
    ValueError
        If there is nothing to show, or a figure is not finite.
    """
    import altair as alt

    if not rows:
        raise ValueError("there is nothing to show: no weeks")
    if not all(math.isfinite(row[key]) for row in rows for key in ("mid", "low", "high")):
        raise ValueError("a figure is not finite")
    data = [
        {"at": place + 0.5, **{key: float(row[key]) for key in ("mid", "low", "high")}, "text": f"{row['mid']:.0f}",
         "note": _name(str(row["note"]))}
        for place, row in enumerate(rows)
    ]  # fmt: skip
    number = len(data)
    scale = alt.Scale(domain=[0, number], nice=False)
    said = json.dumps([_name(str(row["week"])).split() for row in rows])
    places = [place + 0.5 for place in range(number)]
    axis = alt.Axis(values=places, grid=False, labelExpr=f"({said})[floor(datum.value)]", labelLineHeight=15)
    x = alt.X("at:Q", title="week from", scale=scale, axis=axis)
    y_scale = alt.Scale(domain=[0, 100], nice=False)
    y = alt.Y("mid:Q", title="chance that a day is fit, %", scale=y_scale, axis=alt.Axis(tickCount=5, grid=True))
    base = _chart(data)
    begin, end = max(window[0], 0.0), min(window[1], float(number))
    shade = _chart([{"from": begin, "to": end}]).mark_rect(color=tone.UNDISTURBED, stroke=tone.RULE, opacity=0.9)
    layers: list[Any] = [
        shade.encode(x=alt.X("from:Q", scale=scale), x2="to:Q"),
        base.mark_rule(color=tone.INK, strokeWidth=2).encode(x=x, y=alt.Y("low:Q", scale=y_scale), y2="high:Q"),
        base.mark_tick(color=tone.INK, thickness=2, width=10, orient="horizontal", opacity=1).encode(
            x=x, y=alt.Y("low:Q", scale=y_scale)
        ),
        base.mark_tick(color=tone.INK, thickness=2, width=10, orient="horizontal", opacity=1).encode(
            x=x, y=alt.Y("high:Q", scale=y_scale)
        ),
        base.mark_point(shape="circle", size=80, filled=True, color=tone.ACCENT, opacity=1).encode(x=x, y=y),
        base.mark_text(align="left", dx=9).encode(x=x, y=y, text="text:N"),
        base.mark_text(baseline="bottom", dy=-2).encode(x=x, y=alt.value(250), text="note:N"),
    ]
    if given is not None:
        level = _chart([{"mid": given}])
        layers.append(level.mark_rule(color=tone.WARNING, strokeWidth=2, strokeDash=[7, 4]).encode(y=y))
    under = ""
    if any(row["note"] for row in data):
        under = "; at the foot: fit days that the week reached in eight springs of ten"
    mine = "" if given is None else "; broken level line: as the plan gives it"
    subtitle = f"{standing}; line: {interval}; shaded: window of the farm{mine}{under}"
    return _finish(alt.layer(*layers), title, subtitle, 560, 250)
