"""Charts of the weeks after banding: what seed and root meet, where the nitrogen goes, and what waiting is worth."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Final

from spadework.present import tone
from spadework.present.charts.spec import Spec, _chart, _finish

__all__ = ["fate_chart", "severity_chart", "waits_chart"]

_PLOT: Final = 430.0
_TALL: Final = 220.0
_ROOM: Final = 12.0
_LINE: Final = 17.0
_LEVELS: Final = ((0.5, "watch from here"), (1.0, "risk above"))
_LOOKS: Final = ((tone.SLURRY, (1, 0), "circle"), (tone.ACCENT, (8, 4), "square"))
_STACK: Final = (("clear", "#efe3cc"), ("watch", "#b99a6b"), ("risk", "#43352b"))
_FATE: Final = (("ammonium", "#43352b"), ("nitrate", "#d9bf8f"), ("lost", "#fffdf8"))
Point = tuple[float, float, float, float]


def severity_chart(
    curves: Sequence[tuple[str, Sequence[Point]]],
    sown: int,
    *,
    title: str,
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return days across and the worst ratio to a limit up: a line with its shade at the seed, and one at the root.

    Parameters
    ----------
    curves : sequence of tuple
        Name, and points of day, middle, low and high; at most two.
    sown : int
        Day of sowing, drawn as a line down.
    title, standing, interval : str
        Title; standing of the evidence; what the shade holds.

    Raises
    ------
    ValueError
        If there is nothing to show, there are too many curves, or a figure is not finite.
    """
    import altair as alt

    if not curves or not all(points for _, points in curves):
        raise ValueError("there is nothing to show: no curves")
    if len(curves) > len(_LOOKS):
        raise ValueError(f"{len(curves)} curves are too many; {len(_LOOKS)} at most")
    if not all(math.isfinite(value) for _, points in curves for point in points for value in point):
        raise ValueError("a figure is not finite")
    last = max(point[0] for _, points in curves for point in points)
    top = max(1.15, 1.05 * max(point[3] for _, points in curves for point in points))
    x = alt.X("day:Q", title="days after the slurry", scale=alt.Scale(domain=[0, last], nice=False))
    scale = alt.Scale(domain=[0, top], nice=False)
    y = alt.Y("mid:Q", title="worst ratio to a limit", scale=scale)
    layers: list[Any] = []
    for level, words in _LEVELS:
        rule = _chart([{"mid": level, "words": words, "day": last}])
        layers += [
            rule.mark_rule(color=tone.INK, strokeWidth=1.4, strokeDash=[2, 3]).encode(y=y),
            rule.mark_text(align="right", baseline="bottom", dy=-3, dx=-3).encode(x=x, y=y, text="words:N"),
        ]
    sowing = _chart([{"day": float(sown), "mid": top, "words": "sown"}])
    layers += [
        sowing.mark_rule(color=tone.QUIET, strokeWidth=1.6, strokeDash=[6, 3]).encode(x=x),
        sowing.mark_text(align="left", baseline="top", dx=4, dy=4).encode(x=x, y=y, text="words:N"),
    ]
    ends = []
    for (name, points), (colour, dash, shape) in zip(curves, _LOOKS, strict=False):
        rows = [dict(zip(("day", "mid", "low", "high"), map(float, point), strict=True)) for point in points]
        base, marks = _chart(rows), _chart(rows[3 :: max(7, len(rows) // 9)] or rows)
        layers += [
            base.mark_area(color=colour, opacity=0.2).encode(x=x, y=alt.Y("low:Q", scale=scale), y2="high:Q"),
            base.mark_line(color=colour, strokeWidth=2.4, strokeDash=list(dash)).encode(x=x, y=y),
            marks.mark_point(shape=shape, size=45, filled=True, color=colour, opacity=1).encode(x=x, y=y),
        ]
        ends.append((rows[-1]["mid"], name, colour, shape))
    layers += _beside(alt, ends, top)
    subtitle = f"{standing}; line: middle, shade: {interval}; 1 is the limit"
    return _sized(alt.layer(*layers), title, subtitle)


def waits_chart(
    rows: Sequence[tuple[int, float, float, float]],
    wanted: float,
    *,
    title: str,
    standing: str = "estimated",
) -> Spec:
    """Return days of waiting across, and stacked up the share of draws that are clear, to be watched and at risk.

    Parameters
    ----------
    rows : sequence of tuple
        Days from slurry to sowing; share clear, watch and risk, which add up to one.
    wanted : float
        Share that is wanted, drawn as a line.
    title, standing : str
        Title; standing of the evidence.

    Raises
    ------
    ValueError
        If there are fewer than two rows, or shares do not add up to one.
    """
    import altair as alt

    if len(rows) < 2:
        raise ValueError("there is nothing to show: fewer than two waits")
    if not all(math.isclose(sum(row[1:]), 1, abs_tol=1e-6) for row in rows):
        raise ValueError("shares do not add up to one")
    last = float(rows[-1][0])
    x = alt.X("wait:Q", title="days from slurry to sowing", scale=alt.Scale(domain=[rows[0][0], last], nice=False))
    scale = alt.Scale(domain=[0, 100], nice=False)
    axis = alt.Axis(values=[0, 20, 40, 60, 80, 100])
    y = alt.Y("from:Q", title="% of draws", scale=scale, axis=axis)
    shares = [(row[0], *(100 * share for share in row[1:])) for row in rows]
    layers, middles = _stacked(shares, _STACK, "wait", x, y)
    ends = [
        (middle, f"{word}: {share:.0f} %", colour, "square")
        for (word, colour), share, middle in zip(_STACK, shares[-1][1:], middles, strict=True)
    ]
    line = _chart([{"from": 100 * wanted, "wait": float(rows[0][0]), "words": f"wanted: {100 * wanted:.0f} %"}])
    for colour, wide in ((tone.PAPER, 5), (tone.ACCENT, 2)):
        layers.append(
            line.mark_rule(color=colour, strokeWidth=wide, strokeDash=[8, 4] if wide == 2 else [1, 0]).encode(y=y)
        )
    layers.append(
        line.mark_text(
            align="left",
            baseline="top",
            dx=6,
            dy=5,
            color=tone.INK,
            stroke=tone.PAPER,
            strokeWidth=0.3,
            fontWeight="bold",
        ).encode(x=x, y=y, text="words:N")
    )
    layers += _beside(alt, ends[::-1], 100.0)
    subtitle = f"{standing}; worst at the seed in the 28 days after sowing; at the right: after {last:.0f} days"
    return _sized(alt.layer(*layers), title, subtitle)


def fate_chart(
    rows: Sequence[tuple[float, float, float, float]],
    sown: int,
    *,
    title: str,
    standing: str = "estimated",
) -> Spec:
    """Return days across, and stacked up where the ammoniacal nitrogen is: ammonium, nitrate, lost as ammonia.

    Parameters
    ----------
    rows : sequence of tuple
        Days since the slurry; ammonium, nitrate and loss [kg/ha of N], none below nil.
    sown : int
        Day of sowing, drawn as a line down.
    title, standing : str
        Title; standing of the evidence.

    Raises
    ------
    ValueError
        If there are fewer than two rows, or a figure is below nil or not finite.
    """
    import altair as alt

    if len(rows) < 2:
        raise ValueError("there is nothing to show: fewer than two days")
    if not all(math.isfinite(value) and value >= 0 for row in rows for value in row):
        raise ValueError("a figure is below nil or not finite")
    top = max(max(sum(row[1:]) for row in rows), 1.0)
    scale = alt.Scale(domain=[0, top], nice=False)
    x = alt.X(
        "day:Q", title="days after the slurry", scale=alt.Scale(domain=[rows[0][0], float(rows[-1][0])], nice=False)
    )
    y = alt.Y("from:Q", title="kg N/ha", scale=scale)
    layers, middles = _stacked(rows, _FATE, "day", x, y)
    sowing = _chart([{"day": float(sown), "from": top, "words": "sown"}])
    mark = {"align": "left", "baseline": "top", "dx": 4, "dy": 4, "fontWeight": "bold", "color": tone.PAPER}
    for colour, wide in ((tone.INK, 4.0), (tone.PAPER, 1.6)):
        layers.append(sowing.mark_rule(color=colour, strokeWidth=wide, strokeDash=[6, 3]).encode(x=x))
    layers.append(
        sowing.mark_text(**{**mark, "color": tone.PAPER, "dy": _TALL - 22}).encode(x=x, y=alt.value(0), text="words:N")
    )
    ends = [
        (middle, f"{word}: {figure:.0f}" if figure >= 1 or figure == 0 else f"{word}: under 1", colour, "square")
        for (word, colour), figure, middle in zip(_FATE, rows[-1][1:], middles, strict=True)
    ]
    layers += _beside(alt, ends[::-1], top)
    subtitle = f"{standing}, medians; lost: as ammonia, when laid; no rain, no uptake; right: day {rows[-1][0]:.0f}"
    return _sized(alt.layer(*layers), title, subtitle)


def _sized(chart: Any, title: str, subtitle: str) -> Spec:
    """Return the chart with room at the right, where a reader's typeface may be wider than the one that was measured."""
    return {**_finish(chart, title, subtitle, _PLOT, _TALL), "padding": {"left": 5, "top": 5, "right": 45, "bottom": 5}}


def _stacked(
    rows: Sequence[tuple[float, ...]], parts: Sequence[tuple[str, str]], across: str, x: Any, y: Any
) -> tuple[list[Any], list[float]]:
    """Return areas of parts stacked over one another, and the middle of each at the right end; y starts at ``from``."""
    layers, middles = [], []
    for place, (_, colour) in enumerate(parts):
        stacked = [
            {across: float(row[0]), "from": float(sum(row[1 : 1 + place])), "to": float(sum(row[1 : 2 + place]))}
            for row in rows
        ]
        area = _chart(stacked).mark_area(color=colour, stroke=tone.INK, strokeWidth=0.8)
        layers.append(area.encode(x=x, y=y, y2="to:Q"))
        middles.append(float(sum(rows[-1][1 : 1 + place]) + rows[-1][1 + place] / 2))
    return layers, middles


def _beside(alt: Any, ends: Sequence[tuple[float, str, str, str]], top: float) -> list[Any]:
    """Return labels right of the plot, each near its value and apart from one another."""
    found: list[Any] = []
    floor = -math.inf
    placed = []
    for value, words, colour, shape in sorted(ends, key=lambda end: -end[0]):
        at = max(_TALL * (1 - value / top), floor)
        floor = at + _LINE
        placed.append((at, words, colour, shape))
    lift = max(0.0, floor - _LINE - _TALL)
    for at, words, colour, shape in placed:
        sign = _chart([{"words": words}])
        found += [
            sign.mark_point(shape=shape, size=70, filled=True, color=colour, stroke=tone.INK, strokeWidth=0.8, opacity=1)
            .encode(x=alt.value(_PLOT + _ROOM), y=alt.value(at - lift)),
            sign.mark_text(align="left", baseline="middle")
            .encode(x=alt.value(_PLOT + 2 * _ROOM), y=alt.value(at - lift), text="words:N"),
        ]  # fmt: skip
    return found
