"""Charts of pressure on the soil: stress with depth under wheels, and the wheel load along the run as a tank empties."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from spadework.present import tone
from spadework.present.charts.spec import Spec, _chart, _finish
from spadework.present.face.words import plain, wrap

__all__ = ["CURVES", "Curve", "profile_chart", "run_chart"]

_PLOT: Final = 400.0
_TALL: Final = 300.0
_LOW: Final = 220.0
_WORDS: Final = 172.0
_LINE: Final = 16.0
_TYPE: Final = 13
_APART: Final = 8.0
_LOOKS: Final = (
    (tone.SLURRY, (1, 0), "circle"),
    (tone.ACCENT, (8, 4), "square"),
    (tone.STRAW_DARK, (2, 3), "triangle-up"),
    (tone.LOOSENED_LINE, (10, 3, 2, 3), "diamond"),
    (tone.INK, (4, 2), "cross"),
)
CURVES: Final = len(_LOOKS)
"""So many curves stand in one chart at most."""


@dataclass(frozen=True)
class Curve:
    """A curve with its words and points.

    Attributes
    ----------
    words : tuple of str
        What stands beside it; the first in bold.
    points : tuple of tuple
        Place along the chart, middle, low, high.
    shaded : bool
        True to show low and high as a shade.
    """

    words: tuple[str, ...]
    points: tuple[tuple[float, float, float, float], ...]
    shaded: bool = True


def profile_chart(
    curves: Sequence[Curve],
    limit: tuple[float, float, str] | None = None,
    *,
    title: str,
    upto: float = 0.0,
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return stress across and depth down, one line for each wheel.

    Parameters
    ----------
    curves : sequence of Curve
        Points of depth [cm] and stress [kPa]; not more than :data:`CURVES`.
    limit : tuple, optional
        Stress [kPa] and depth [cm] of a limit, and its words.
    title, standing, interval : str
        Title; standing of the evidence; what the shade holds.
    upto : float
        Stress that the axis reaches at least [kPa], so that charts side by side have one scale.

    Raises
    ------
    ValueError
        If there is nothing to show, there are too many curves, or a figure is not finite.
    """
    import altair as alt

    _check(curves)
    most = 1.04 * max([upto] + [point[3] for curve in curves for point in curve.points] + ([limit[0]] if limit else []))
    deepest = max([point[0] for curve in curves for point in curve.points] + ([1.1 * limit[1]] if limit else []))
    x_scale = alt.Scale(domain=[0, most or 1.0], nice=False)
    x = alt.X("mid:Q", title="vertical stress, kPa", scale=x_scale)
    y_scale = alt.Scale(domain=[deepest, 0], nice=False)
    y = alt.Y("at:Q", title="depth below the surface that the wheel stands on, cm", scale=y_scale)
    layers: list[Any] = []
    for place, (curve, (colour, dash, shape)) in enumerate(zip(curves, _LOOKS, strict=False)):
        rows = _rows(curve)
        base, marks = _chart(rows), _chart(rows[2 + 2 * place :: 10])
        if curve.shaded:
            shade = base.mark_area(color=colour, opacity=0.17, orient="horizontal")
            layers.append(shade.encode(y=y, x=alt.X("low:Q", scale=x_scale), x2="high:Q"))
        line = base.mark_line(color=colour, strokeWidth=2.4, strokeDash=list(dash))
        layers.append(line.encode(x=x, y=y, order="at:Q"))
        layers.append(marks.mark_point(shape=shape, size=60, filled=True, color=colour, opacity=1).encode(x=x, y=y))
    if limit is not None:
        layers += _limit(alt, x, y, limit, deepest, left=limit[0] > 0.6 * most)
    layers += _beside([curve.words for curve in curves])
    subtitle = f"{standing}; line: middle, shade: {interval}; straight below the middle of the wheel"
    return _finish(alt.layer(*layers), title, subtitle, _PLOT, _TALL)


def _limit(alt: Any, x: Any, y: Any, limit: tuple[float, float, str], deepest: float, *, left: bool) -> list[Any]:
    stress, depth, words = limit
    rows = [{"mid": stress, "at": depth, "end": deepest, "words": plain(words)}]
    base = _chart(rows)
    place = {"align": "right" if left else "left", "baseline": "bottom", "dx": -5 if left else 5, "dy": -5}
    halo = base.mark_text(**place, stroke=tone.PAPER, strokeWidth=5)
    text = base.mark_text(**place, fontStyle="italic")
    foot = alt.Y("end:Q", scale=alt.Scale(domain=[deepest, 0], nice=False))
    return [
        base.mark_rule(color=tone.INK, strokeWidth=1.4, strokeDash=[3, 3]).encode(x=x, y=y, y2="end:Q"),
        base.mark_point(shape="cross", size=120, filled=True, color=tone.PAPER, stroke=tone.INK, opacity=1)
        .encode(x=x, y=y),
        *(mark.encode(x=x, y=foot, text="words:N") for mark in (halo, text)),
    ]  # fmt: skip


def run_chart(
    curves: Sequence[Curve],
    *,
    title: str,
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return distance along the run across and wheel load up, one line for each outfit.

    Parameters
    ----------
    curves : sequence of Curve
        Points of distance [m] and wheel load [kN]; not more than :data:`CURVES`.
    title, standing, interval : str
        Title; standing of the evidence; what the shade holds.

    Raises
    ------
    ValueError
        If there is nothing to show, there are too many curves, or a figure is not finite.
    """
    import altair as alt

    _check(curves)
    top = 1.06 * max(point[3] for curve in curves for point in curve.points) or 1.0
    last = max(point[0] for curve in curves for point in curve.points)
    scale = alt.Scale(domain=[0, top], nice=False)
    title_x = "distance since the tank was full, m"
    x = alt.X("at:Q", title=title_x, scale=alt.Scale(domain=[0, last], nice=False), axis=alt.Axis(format="d"))
    y = alt.Y("mid:Q", title="wheel load, kN", scale=scale)
    layers: list[Any] = []
    for place, (curve, (colour, dash, shape)) in enumerate(zip(curves, _LOOKS, strict=False)):
        rows = _rows(curve)
        base, marks = _chart(rows), _chart(rows[4 + 2 * place :: 12])
        if curve.shaded:
            shade = base.mark_area(color=colour, opacity=0.15)
            layers.append(shade.encode(x=x, y=alt.Y("low:Q", scale=scale), y2="high:Q"))
        layers.append(base.mark_line(color=colour, strokeWidth=2.4, strokeDash=list(dash)).encode(x=x, y=y))
        layers.append(marks.mark_point(shape=shape, size=60, filled=True, color=colour, opacity=1).encode(x=x, y=y))
    layers += _beside([curve.words for curve in curves])
    return _finish(alt.layer(*layers), title, f"{standing}; line: middle, shade: {interval}", _PLOT, _LOW)


def _check(curves: Sequence[Curve]) -> None:
    if not curves or not all(curve.points for curve in curves):
        raise ValueError("there is nothing to show: no curves")
    if len(curves) > CURVES:
        raise ValueError(f"{len(curves)} curves are too many to tell apart; {CURVES} at most")
    if not all(math.isfinite(value) for curve in curves for point in curve.points for value in point):
        raise ValueError("a figure is not finite")


def _rows(curve: Curve) -> list[dict[str, float]]:
    return [dict(zip(("at", "mid", "low", "high"), map(float, point), strict=True)) for point in curve.points]


def _beside(words: Sequence[tuple[str, ...]]) -> list[Any]:
    """Return what each curve is, one under the other right of the plot, each with its line and mark."""
    import altair as alt

    found: list[Any] = []
    at = 6.0
    for (first, *more), (colour, dash, shape) in zip(words, _LOOKS, strict=False):
        row = _chart([{"x": _PLOT + 12, "x2": _PLOT + 42}])
        line = row.mark_rule(color=colour, strokeWidth=2.4, strokeDash=list(dash))
        found.append(line.encode(x=alt.value(_PLOT + 12), x2=alt.value(_PLOT + 42), y=alt.value(at)))
        sign = row.mark_point(shape=shape, size=60, filled=True, color=colour, opacity=1)
        found.append(sign.encode(x=alt.value(_PLOT + 27), y=alt.value(at)))
        heading = wrap(plain(first), _TYPE, _WORDS, bold=True)
        others = [line for text in more for line in wrap(plain(text), _TYPE, _WORDS)]
        for lines, weight in ((heading, "bold"), (others, "normal")):
            if not lines:
                continue
            text = _chart([{"text": lines}]).mark_text(
                align="left", baseline="middle", lineHeight=_LINE, fontWeight=weight
            )
            found.append(text.encode(x=alt.value(_PLOT + 50), y=alt.value(at), text="text:N"))
            at += _LINE * len(lines)
        at += _APART
    return found
