"""Pictures of a comparison: every plot behind its mean, differences with the margin, what the model leaves of each plot."""

from __future__ import annotations

import math
from typing import Any, Final

from spadework.findings.compare_parts import Finding, PlotRead
from spadework.present import tone
from spadework.present.charts.spec import _NAME, _WIDTH, Spec, _chart, _finish, _name, _system_axis, _whiskers
from spadework.present.compare.words import figure, label_of, places_of, unit_said
from spadework.present.face.words import width_of

__all__ = ["against_chart", "plots_chart", "residual_map"]

_LIFT: Final = -4
_STEP: Final = 15  # from one row of circles to the next, where they would hide one another
_DROP: Final = 20
_MOST_ROWS: Final = 3
_TYPE: Final = 13
_WIDER: Final = 0.2  # by which the type of a browser that lacks ours is wider


def _titled(found: Finding) -> str:
    unit = unit_said(found.unit).strip()
    return f"{label_of(found.quantity)}, {unit}" if unit else label_of(found.quantity)


def plots_chart(found: Finding, *, title: str = "Every plot, and the means") -> Spec:
    """Return every plot as a dot with the mean of its system and the interval beneath.

    Parameters
    ----------
    found : Finding
        From :func:`spadework.findings.compare.compare`.
    title : str
        Title of the chart.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide; dots carry the number of their block.
    """
    import altair as alt

    places = places_of(found)
    systems = [_name(one.system) for one in found.means]
    rows = [row for row in found.plots if not row.why_not]
    lanes: list[dict[str, Any]] = []
    for one in found.means:
        lane: dict[str, Any] = {"system": _name(one.system), "mid": one.mean, "text": figure(one.mean, places)}
        if math.isfinite(one.low):
            lane |= {"low": one.low, "high": one.high}
            lane["text"] += f" ({figure(one.low, places)} to {figure(one.high, places)})"
        if one.letters:
            lane["text"] += f"  {one.letters}"
        lanes.append(lane)
    words = max(width_of(str(lane["text"]), _TYPE) for lane in lanes)
    plot = _WIDTH - _NAME - (1 + _WIDER) * words - 40
    values = [row.value for row in rows] + [lane[key] for lane in lanes for key in ("low", "high") if key in lane]
    low, high = min(values), max(values)
    room = 0.05 * (high - low) or 1.0
    y = _system_axis(alt, systems)
    x = alt.X(
        "mid:Q",
        title=_name(_titled(found)),
        scale=alt.Scale(domain=[low - room, high + room], nice=False, zero=False),
        axis=alt.Axis(tickCount=6),
    )
    dots = _set_apart(rows, plot / (high - low + 2 * room))
    lane_base = _chart(lanes)
    intervals = _chart([lane for lane in lanes if "low" in lane])
    layers = [
        *(mark for level, some in enumerate(dots) for mark in _circles(some, x, y, _LIFT - _STEP * level)),
        *(_whiskers(intervals, y, _DROP) if any("low" in lane for lane in lanes) else ()),
        lane_base.mark_point(shape="diamond", size=90, filled=True, color=tone.ACCENT, opacity=1, yOffset=_DROP).encode(
            y=y, x=x
        ),
        lane_base.mark_text(align="left", baseline="middle", yOffset=_DROP).encode(
            y=y, x=alt.value(plot + 12), text="text:N"
        ),
    ]  # fmt: skip
    said = f"{found.standing}; circle: a plot, with its block; diamond: mean"
    if any("low" in lane for lane in lanes):
        said += f"; line: {100 * found.confidence_share:g} % interval of the mean"
    spec = _finish(alt.layer(*layers), _name(title), said, plot, 72 * len(systems))
    spec["padding"] = _room_for(words)
    each = "; ".join(f"{lane['system']} {lane['text']}" for lane in lanes)
    spec["description"] = f"{title}. {said}. {_titled(found)}: {each}."
    return spec


def _set_apart(rows: list[PlotRead], per_unit: float) -> list[list[dict[str, Any]]]:
    """Return the plots in rows of circles, so that no circle hides another one of its system."""
    levels: list[list[dict[str, Any]]] = []
    ends: dict[tuple[str, int], float] = {}
    for row in sorted(rows, key=lambda one: one.value):
        system = _name(row.system)
        at = row.value * per_unit
        free = [k for k in range(_MOST_ROWS) if at - ends.get((system, k), -math.inf) >= _STEP]
        level = free[0] if free else min(range(_MOST_ROWS), key=lambda k: ends[system, k])
        ends[system, level] = at
        while len(levels) <= level:
            levels.append([])
        levels[level].append(
            {"system": system, "mid": row.value, "text": _name(row.block) if len(row.block) < 4 else ""}
        )
    return levels


def _circles(dots: list[dict[str, Any]], x: Any, y: Any, offset: float) -> list[Any]:
    base = _chart(dots)
    circle = base.mark_point(
        shape="circle",
        size=190,
        filled=True,
        color=tone.STRAW,
        stroke=tone.INK,
        strokeWidth=0.9,
        opacity=1,
        yOffset=offset,
    )
    return [
        circle.encode(y=y, x=x),
        base.mark_text(fontSize=11, yOffset=offset, baseline="middle").encode(y=y, x=x, text="text:N"),
    ]


def against_chart(found: Finding, *, title: str = "How much it differs") -> Spec:
    """Return the difference of each system from the baseline with its interval, and the margin as a line.

    Parameters
    ----------
    found : Finding
        From :func:`spadework.findings.compare.compare`.
    title : str
        Title of the chart.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.

    Raises
    ------
    ValueError
        If there is no difference to show, as where nothing is repeated.
    """
    import altair as alt

    if not found.differences:
        raise ValueError("there is nothing to show: no differences")
    places = places_of(found)
    calls = {"more": "more", "less": "less", "open": "cannot be told"}
    margins = {"": "", "no worse": "not beyond the margin", "alike": "alike within the margin", "worse": "beyond the margin",
               "open": "margin: cannot be told"}  # fmt: skip
    points: list[dict[str, Any]] = []
    for one in found.differences:
        text = [
            f"{figure(one.difference, places, sign=True)} ({figure(one.low, places, sign=True)} to "
            f"{figure(one.high, places, sign=True)})",
            calls[one.call],
        ]
        if one.margin_call:
            text.append(margins[one.margin_call])
        points.append(
            {"system": _name(one.system), "mid": one.difference, "low": one.low, "high": one.high, "text": text}
        )  # fmt: skip
    lines = _margin_lines(found)
    sign = lines[0]["at"] if lines else 0.0
    ends = [0.0, *(p[key] for p in points for key in ("low", "high")), *(line["at"] for line in lines)]
    room = 0.05 * (max(ends) - min(ends)) or 1.0
    words = max(width_of(line, _TYPE) for point in points for line in point["text"])
    plot = _WIDTH - _NAME - (1 + _WIDER) * words - 45
    y = _system_axis(alt, [point["system"] for point in points])
    unit = unit_said(found.unit, apart=True).strip()
    x = alt.X(
        "mid:Q",
        title=_name(
            f"{label_of(found.quantity)}{', ' if unit else ''}{unit}, more (+) or less (−) than {found.baseline}"
        ),
        scale=alt.Scale(domain=[min(ends) - room, max(ends) + room], nice=False, zero=False),
        axis=alt.Axis(labelExpr="(datum.value > 0 ? '+' : '') + replace(datum.label, '-', '−')", tickCount=5),
    )
    base, zero = _chart(points), _chart([{"at": 0, "name": _name(found.baseline)}])
    layers = [
        zero.mark_rule(color=tone.INK, strokeWidth=1.6).encode(x=alt.X("at:Q")),
        zero.mark_text(baseline="bottom", dy=-5, fontStyle="italic", **_beside_line(bool(lines), -sign)).encode(
            x=alt.X("at:Q"), y=alt.value(0), text="name:N"
        ),
        *_whiskers(base, y),
        base.mark_point(shape="circle", size=110, filled=True, color=tone.ACCENT, opacity=1).encode(y=y, x=x),
        base.mark_text(align="left", baseline="middle", dy=-8, lineHeight=16).encode(
            y=y, x=alt.value(plot + 14), text="text:N"
        ),
    ]  # fmt: skip
    if lines:
        margin = _chart(lines)
        layers[2:2] = [
            margin.mark_rule(color=tone.WARNING, strokeWidth=1.8, strokeDash=[7, 4]).encode(x=alt.X("at:Q")),
            margin.mark_text(baseline="bottom", dy=-5, color=tone.WARNING, **_beside_line(True, sign)).encode(
                x=alt.X("at:Q"), y=alt.value(0), text="name:N"
            ),
        ]
    said = f"{found.standing}; line: {100 * found.confidence_share:g} % interval, for all differences at once"
    if lines:
        said += "; dashed: the loss that would be borne" if found.better == "more" else "; dashed: what would be borne"
    spec = _finish(alt.layer(*layers), _name(title), said, plot, 68 * len(points))
    spec["padding"] = _room_for(words)
    each = "; ".join(f"{point['system']} {', '.join(point['text'])}" for point in points)
    spec["description"] = f"{title}. {said}. Against {found.baseline}: {each}."
    return spec


def _beside_line(pushed: bool, sign: float) -> dict[str, Any]:
    """Return how a word stands over a line: on it, or pushed to the side that the other line is not on."""
    if not pushed:
        return {}
    return {"align": "right", "dx": 4} if sign < 0 else {"align": "left", "dx": -4}


def _margin_lines(found: Finding) -> list[dict[str, Any]]:
    if not math.isfinite(found.margin) or not found.better:
        return []
    return [{"at": -found.margin if found.better == "more" else found.margin, "name": "margin"}]


def residual_map(found: Finding, *, title: str = "What the model leaves of each plot") -> Spec:
    """Return the plots block by block, with what the model leaves of each: full circles above, open circles below.

    Parameters
    ----------
    found : Finding
        From :func:`spadework.findings.compare.compare`.
    title : str
        Title of the chart.

    Returns
    -------
    dict
        A Vega-Lite specification; not to scale.  Plots lie in the order of their column, or else of the file.

    Raises
    ------
    ValueError
        If nothing was left over, as where nothing is repeated.
    """
    import altair as alt

    rows = [row for row in found.plots if math.isfinite(row.residual)]
    if not rows:
        raise ValueError("there is nothing to show: no residuals")
    places = places_of(found)
    largest = max(abs(row.residual) for row in rows) or 1.0
    lanes: dict[str, list[PlotRead]] = {}
    for row in found.plots:
        where = ", ".join(part for part in (row.field, f"block {row.block}" if row.block else "") if part) or "plots"
        lanes.setdefault(_name(where), []).append(row)
    cells: list[dict[str, Any]] = []
    for lane, inside in lanes.items():
        for place, row in enumerate(sorted(inside, key=_along), 1):
            there = math.isfinite(row.residual)
            share = abs(row.residual) / largest if there else 0.0
            cells.append({
                "lane": lane, "place": place, "system": _name(f"{row.plot} {row.system}"),
                "text": figure(row.residual, places, sign=True) if there else "no reading",
                "size": 60 + 1100 * share, "sign": "none" if not there else "above" if row.residual >= 0 else "below",
            })  # fmt: skip
    most = max(cell["place"] for cell in cells)
    plot = _WIDTH - 90
    wide = plot / most
    y = alt.Y("lane:N", sort=list(lanes), title=None, axis=alt.Axis(domain=False, ticks=False, labelLimit=100))
    x = alt.X("place:Q", title=None, axis=None, scale=alt.Scale(domain=[0.5, most + 0.5], nice=False, zero=False))
    size = alt.Size("size:Q", scale=None, legend=None)
    layers = []
    for sign, filled, colour in (("above", True, tone.STRAW), ("below", False, tone.INK)):
        some = [cell for cell in cells if cell["sign"] == sign]
        if some:
            layers.append(
                _chart(some)
                .mark_point(shape="circle", filled=filled, color=colour, stroke=tone.INK, strokeWidth=1.4, opacity=1)
                .encode(x=x, y=y, size=size)
            )
    base = _chart(cells)
    limit = max(20.0, wide - 8)
    layers += [
        base.mark_text(baseline="top", dy=20, fontSize=12).encode(x=x, y=y, text="text:N"),
        base.mark_text(baseline="bottom", dy=-20, fontSize=11, limit=limit).encode(x=x, y=y, text="system:N"),
    ]
    said = f"{found.standing}; {_titled(found)}; full: above, open: below; not to scale"
    spec = _finish(alt.layer(*layers), _name(title), said, plot, 84 * len(lanes))
    spec["padding"] = _room_for(200)
    each = "; ".join(f"{cell['system']} {cell['text']}" for cell in cells)
    spec["description"] = f"{title}. {said}. {each}."
    return spec


def _room_for(words: float) -> dict[str, float]:
    """Return the padding that leaves room for wider type at the right."""
    return {"left": 10, "top": 10, "bottom": 10, "right": round(10 + _WIDER * words)}


def _along(row: PlotRead) -> tuple[float, int]:
    for text in (row.column, row.row):
        try:
            return float(text), row.line
        except ValueError:
            continue
    return math.inf, row.line
