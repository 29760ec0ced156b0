"""Charts of the seedbed: warmth at the seed over the days, and when plants come up."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from spadework.present import tone
from spadework.present.charts.spec import Spec, _chart, _finish, _name
from spadework.present.face.words import wrap

__all__ = ["DayLine", "DayPanel", "days_chart", "emergence_chart"]

_PLOT: Final = 430.0
_PANEL: Final = 92.0
_LABELS: Final = 132.0
_LINE: Final = 15.0
_TYPE: Final = 13
_LOOKS: Final = (
    (tone.SLURRY, (1, 0), "circle"),
    (tone.ACCENT, (8, 4), "square"),
    (tone.STRAW_DARK, (2, 3), "triangle-up"),
    (tone.WARNING, (10, 3, 2, 3), "diamond"),
    (tone.LOOSENED_LINE, (5, 2), "triangle-down"),
    (tone.SLURRY_PALE, (14, 4), "cross"),
)


@dataclass(frozen=True)
class DayLine:
    """A zone: name, and by day its number, mean, coldest and warmest hour [degC]."""

    name: str
    points: Sequence[tuple[float, float, float, float]]


@dataclass(frozen=True)
class DayPanel:
    """A system: its zones, two at most, the one with the seed first."""

    title: str
    lines: Sequence[DayLine]


def days_chart(
    panels: Sequence[DayPanel],
    marks: Sequence[tuple[float, str]],
    bounds: Sequence[float],
    *,
    title: str,
    standing: str = "estimated",
) -> Spec:
    """Return a panel for each system: mean of each day as a line, from its coldest to its warmest hour as a shade.

    Parameters
    ----------
    panels : sequence of DayPanel
        From above; all share their axes.
    marks : sequence of tuple
        Day and words of every mark of the axis.
    bounds : sequence of float
        Temperatures drawn across as dotted lines [degC].
    title, standing : str
        Title; standing of the evidence.

    Raises
    ------
    ValueError
        If there is nothing to show, a figure is not finite, or a panel has more than two zones.
    """
    import altair as alt

    points = [point for panel in panels for line in panel.lines for point in line.points]
    if not points:
        raise ValueError("there is nothing to show: no days")
    if not all(math.isfinite(value) for point in points for value in point):
        raise ValueError("a figure is not finite")
    if any(len(panel.lines) > 2 for panel in panels):
        raise ValueError("a panel takes two zones at most")
    last = max(point[0] for point in points) or 1.0
    low = min(0.0, *(point[2] for point in points))
    top = 1.03 * max(point[3] for point in points)
    drawn = [_panel(alt, panel, marks, bounds, last, low, top, end=panel is panels[-1]) for panel in panels]
    said = " and ".join(f"{bound:g} °C" for bound in bounds)
    subtitle = f"{standing}; °C; line: mean of the day, shade or thin lines: coldest to warmest hour; dotted: {said}"
    return _finish(alt.vconcat(*drawn, spacing=12), title, subtitle)


def _panel(
    alt: Any,
    panel: DayPanel,
    marks: Sequence[tuple[float, str]],
    bounds: Sequence[float],
    last: float,
    low: float,
    top: float,
    *,
    end: bool,
) -> Any:
    x = alt.X(
        "day:Q", title=None, scale=alt.Scale(domain=[0, last], nice=False), axis=_days_axis(alt, marks, shown=end)
    )
    scale = alt.Scale(domain=[low, top], nice=False)
    y = alt.Y("mid:Q", title="°C", scale=scale, axis=alt.Axis(tickCount=5, grid=True))
    layers: list[Any] = [
        _chart([{"mid": float(bound)}]).mark_rule(color=tone.INK, strokeWidth=1.2, strokeDash=[2, 3]).encode(y=y)
        for bound in bounds
    ]
    labels = []
    for number, (line, (colour, dash, shape)) in enumerate(zip(panel.lines, _LOOKS, strict=False)):
        rows = [dict(zip(("day", "mid", "low", "high"), map(float, point), strict=True)) for point in line.points]
        base, spaced = _chart(rows), _chart(rows[3 + 2 * number :: 9] or rows)
        if number == 0:
            shade = base.mark_area(color=colour, opacity=0.22)
            layers.append(shade.encode(x=x, y=alt.Y("low:Q", scale=scale), y2="high:Q"))
        else:
            thin = base.mark_line(color=colour, strokeWidth=1, strokeDash=list(dash))
            layers += [thin.encode(x=x, y=alt.Y(f"{side}:Q", scale=scale)) for side in ("low", "high")]
        layers += [
            base.mark_line(color=colour, strokeWidth=2.2, strokeDash=list(dash)).encode(x=x, y=y),
            spaced.mark_point(shape=shape, size=42, filled=True, color=colour, opacity=1).encode(x=x, y=y),
        ]
        labels.append((line.name, colour, shape))
    layers += _key(alt, labels)
    return alt.layer(*layers).properties(width=_PLOT, height=_PANEL, title=_head(alt, panel.title))


def _days_axis(alt: Any, marks: Sequence[tuple[float, str]], *, shown: bool) -> Any:
    import json

    at = [day for day, _ in marks]
    words = f"{json.dumps([_name(word) for _, word in marks])}[indexof({json.dumps(at)}, datum.value)]"
    return alt.Axis(values=at, labelExpr=words, labels=shown, grid=True, labelAngle=0, labelFlush=False)


def _head(alt: Any, text: str) -> Any:
    return alt.TitleParams(text=_name(text), fontSize=14, fontWeight="bold", anchor="start", offset=5, frame="group")


def _key(alt: Any, labels: Sequence[tuple[str, str, str]], start: float = 6.0) -> list[Any]:
    """Return the names of lines right of the plot, from above, each with its mark."""
    # a mark that cannot be seen keeps the drawing as wide as its title wants it
    room = (
        _chart([{"text": ""}])
        .mark_point(opacity=0, size=1)
        .encode(x=alt.value(_PLOT + _LABELS + 20), y=alt.value(start))
    )
    found, at = [room], start
    for words, colour, shape in labels:
        lines = wrap(_name(words), _TYPE, _LABELS)
        sign = _chart([{"text": ""}]).mark_point(shape=shape, size=55, filled=True, color=colour, opacity=1)
        found.append(sign.encode(x=alt.value(_PLOT + 13), y=alt.value(at + _LINE / 2)))
        text = _chart([{"text": lines}]).mark_text(align="left", baseline="top", lineHeight=_LINE)
        found.append(text.encode(x=alt.value(_PLOT + 25), y=alt.value(at), text="text:N"))
        at += _LINE * len(lines) + 4
    return found


def emergence_chart(
    panels: Sequence[tuple[str, Mapping[str, Sequence[tuple[float, float]]]]],
    marks: Sequence[tuple[float, str]],
    first: float,
    last: float,
    *,
    title: str,
    standing: str = "estimated",
) -> Spec:
    """Return a panel for each rule with the share of plants that are up against days, a line for each system.

    Parameters
    ----------
    panels : sequence of tuple
        Title, and by system points of day and share [%].
    marks : sequence of tuple
        Day and words of every mark of the axis.
    first, last : float
        Days at the ends of the axis.
    title, standing : str
        Title; standing of the evidence.

    Raises
    ------
    ValueError
        If there is nothing to show, a figure is not finite, or there are more systems than looks to tell them apart.
    """
    import altair as alt

    points = [point for _, lines in panels for line in lines.values() for point in line]
    if not points or last <= first:
        raise ValueError("there is nothing to show: no plants come up")
    if not all(math.isfinite(value) for point in points for value in point):
        raise ValueError("a figure is not finite")
    names = list(dict.fromkeys(name for _, lines in panels for name in lines))
    if len(names) > len(_LOOKS):
        raise ValueError(f"{len(names)} systems are too many to tell apart; {len(_LOOKS)} at most")
    looks = dict(zip(names, _LOOKS, strict=False))
    drawn = []
    for number, (words, lines) in enumerate(panels):
        end = number == len(panels) - 1
        x = alt.X(
            "day:Q",
            title=None,
            scale=alt.Scale(domain=[first, last], nice=False),
            axis=_days_axis(alt, marks, shown=end),
        )
        y = alt.Y("share:Q", title="% up", scale=alt.Scale(domain=[0, 100]), axis=alt.Axis(values=[0, 10, 50, 90, 100]))
        layers: list[Any] = []
        for place, (name, line) in enumerate(lines.items()):
            colour, dash, shape = looks[name]
            rows = [{"day": float(day), "share": float(share)} for day, share in line]
            spaced = _chart(rows[1 + place % 3 :: 3] or rows)
            layers += [
                _chart(rows).mark_line(color=colour, strokeWidth=2, strokeDash=list(dash)).encode(x=x, y=y),
                spaced.mark_point(shape=shape, size=42, filled=True, color=colour, opacity=1).encode(x=x, y=y),
            ]
        if number == 0:
            layers += _key(alt, [(name, looks[name][0], looks[name][2]) for name in names])
        drawn.append(alt.layer(*layers).properties(width=_PLOT, height=_PANEL, title=_head(alt, words)))
    subtitle = f"{standing}; middle of the draws; of the plants that will come up; seeds at scattered depths"
    return _finish(alt.vconcat(*drawn, spacing=12), title, subtitle)
