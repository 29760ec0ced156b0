"""Charts of the way of nitrogen through every system, and of its ammonia beside its greenhouse gases.

As in :mod:`spadework.present.charts.spec`, figures come from the caller and nothing is said by colour alone: parts carry numbers.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any

from spadework.present import tone
from spadework.present.charts.spec import Row, Spec, _chart
from spadework.present.face.words import plain, width_of, wrap

__all__ = ["flow_chart", "gases_chart"]

_WIDTH, _NAME, _TYPE, _SMALL = 640, 160, 13, 12
_GAP = 40


def flow_chart(
    rows: Sequence[Row],
    unit: str = "kg N/ha",
    *,
    title: str = "Where the nitrogen goes",
    standing: str = "estimated",
) -> Spec:
    """Return stacked bars of the way of nitrogen, one block for each system.

    Parameters
    ----------
    rows : sequence of mapping
        ``system``, ``bar``, ``part``, ``mid``: each bar of a system is stacked from its parts, in the order in which
        systems, bars and parts first come.
    unit, title, standing : str
        Unit of all figures; title; standing of the evidence.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.

    Raises
    ------
    ValueError
        If there is nothing to show, a figure is negative or not finite, or there are more parts than tones.
    """
    import altair as alt

    _check(rows, "bar", "part")
    systems, bars, parts = (_in_order(rows, key) for key in ("system", "bar", "part"))
    tones = _tones(parts)
    plot = _WIDTH - _NAME - 30
    most = max(sum(float(r["mid"]) for r in rows if (r["system"], r["bar"]) == key)
               for key in {(r["system"], r["bar"]) for r in rows}) or 1.0  # fmt: skip
    blocks = []
    for place, system in enumerate(systems):
        segments: list[dict[str, Any]] = []
        for bar in bars:
            own = [r for r in rows if r["system"] == system and r["bar"] == bar]
            segments += _stack(own, {"bar": plain(bar)}, parts, tones, plot / most)
        last = place == len(systems) - 1
        x = alt.X(
            "start:Q", title=plain(unit) if last else None, scale=alt.Scale(domain=[0, most], nice=False),
            axis=alt.Axis(labels=last, ticks=last, domain=last, grid=True),
        )  # fmt: skip
        y = _names(alt, "bar:N", [plain(bar) for bar in bars])
        heading = alt.TitleParams(
            plain(system), anchor="start", frame="bounds", fontSize=14, fontWeight="bold", offset=4, limit=_WIDTH - 40
        )
        layers = _bars(alt, segments, x, y, tones, legend=last)
        blocks.append(alt.layer(*layers).properties(width=plot, height=32 * len(bars), title=heading))
    chart = alt.vconcat(*blocks, spacing=10)
    return _finish(chart, title, f"{standing}; medians, which need not add up to the last digit; parts by number")


def gases_chart(
    ammonia: Sequence[Row],
    gases: Sequence[Row],
    totals: Sequence[Row],
    *,
    title: str = "Ammonia beside greenhouse gases",
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return the ammonia of every system, and beside it its greenhouse gases part by part.

    Parameters
    ----------
    ammonia, totals : sequence of mapping
        ``system``, ``mid``, ``low``, ``high``: N lost as ammonia [kg N/ha]; all greenhouse gases [kg CO2e/ha].
    gases : sequence of mapping
        ``system``, ``part``, ``mid`` of the greenhouse gases.
    title, standing, interval : str
        Title; standing of the evidence; what the lines hold.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.

    Raises
    ------
    ValueError
        If there is nothing to show, a figure is negative or not finite, or there are more parts than tones.
    """
    import altair as alt

    _check(ammonia, "system")
    _check(gases, "part")
    _check(totals, "system")
    parts = _in_order(gases, "part")
    tones = _tones(parts)
    systems = _in_order(gases, "system")
    name = 110
    left = 150
    right = _WIDTH - name - left - _GAP - 30
    most = max(float(r["high"]) for r in totals) * 1.02 or 1.0
    segments: list[dict[str, Any]] = []
    for system in systems:
        own = [r for r in gases if r["system"] == system]
        segments += _stack(own, {"system": plain(system)}, parts, tones, right / most)
    named = [plain(system) for system in systems]
    y = _names(alt, "system:N", named, name)
    bare = alt.Y("system:N", sort=named, scale=alt.Scale(domain=named), title=None, axis=None)
    height = 66 * len(systems)
    ammonia_most = max(float(r["high"]) for r in ammonia) * 1.02 or 1.0
    x = alt.X("zero:Q", title="ammonia, kg N/ha", scale=alt.Scale(domain=[0, ammonia_most], nice=False))
    points = _lane(ammonia)
    first = alt.layer(
        _chart(points).mark_bar(height=22, yOffset=-9, color=tone.ACCENT_PALE, stroke=tone.INK, strokeWidth=0.8)
        .encode(y=y, x=x, x2="mid:Q"),
        *_whiskers(alt, points, y),
    ).properties(width=left, height=height)  # fmt: skip
    along = alt.X("start:Q", title="greenhouse gases, kg CO2e/ha", scale=alt.Scale(domain=[0, most], nice=False))
    second = alt.layer(
        *_bars(alt, segments, along, bare, tones, legend=True, lift=-9, columns=1), *_whiskers(alt, _lane(totals), bare)
    ).properties(width=right, height=height)
    chart = alt.hconcat(first, second, spacing=24)
    return _finish(chart, title, f"{standing}; line: {interval}, of the whole")


def _check(rows: Sequence[Row], *names: str) -> None:
    if not rows:
        raise ValueError("there is nothing to show: no rows")
    for row in rows:
        if missing := [key for key in ("system", *names, "mid") if key not in row]:
            raise ValueError(f"a row has no `{missing[0]}`: {dict(row)!r}")
        if not math.isfinite(row["mid"]) or row["mid"] < 0:
            raise ValueError(f"`mid` of {row['system']} is {row['mid']}")


def _in_order(rows: Sequence[Row], key: str) -> list[str]:
    return list(dict.fromkeys(str(row[key]) for row in rows))


def _tones(parts: Sequence[str]) -> dict[str, str]:
    if len(parts) > len(tone.PART_TONES):
        raise ValueError(f"{len(parts)} parts are too many to tell apart; {len(tone.PART_TONES)} at most")
    return dict(zip(parts, tone.PART_TONES, strict=False))


def _stack(
    rows: Sequence[Row], about: Mapping[str, str], parts: Sequence[str], tones: Mapping[str, str], per_unit: float
) -> list[dict[str, Any]]:
    """Return the parts of one bar laid end to end, with what is written on each if it has room."""
    found: list[dict[str, Any]] = []
    start = 0.0
    for row in rows:
        mid, part = float(row["mid"]), str(row["part"])
        number = str(parts.index(part) + 1)
        both = f"{number}: {mid:.0f}"
        room = mid * per_unit
        label = both if width_of(both, _SMALL) + 8 <= room else number if width_of(number, _SMALL) + 4 <= room else ""
        found.append({
            **about, "name": f"{number} {plain(part)}", "start": start, "end": start + mid, "centre": start + mid / 2,
            "label": label, "ink": tone.ink_on(tones[part]),
        })  # fmt: skip
        start += mid
    return found


def _bars(
    alt: Any,
    segments: list[dict[str, Any]],
    x: Any,
    y: Any,
    tones: Mapping[str, str],
    *,
    legend: bool,
    lift: int = 0,
    columns: int = 2,
) -> list[Any]:
    names = [f"{i} {plain(part)}" for i, part in enumerate(tones, 1)]
    shown = alt.Legend(
        orient="bottom", columns=columns, symbolType="square", symbolStrokeColor=tone.INK, labelLimit=300, title=None
    )
    colour = alt.Color(
        "name:N", scale=alt.Scale(domain=names, range=list(tones.values())), legend=shown if legend else None
    )
    base = _chart(segments)
    return [
        base.mark_bar(height=22, yOffset=lift, stroke=tone.INK, strokeWidth=0.8).encode(
            y=y, x=x, x2="end:Q", color=colour
        ),
        base.mark_text(fontSize=_SMALL, yOffset=lift, baseline="middle").encode(
            y=y, x="centre:Q", text="label:N", color=alt.Color("ink:N", scale=None)
        ),
    ]


def _lane(rows: Sequence[Row]) -> list[dict[str, Any]]:
    return [{"system": plain(str(r["system"])), "zero": 0.0, **{k: float(r[k]) for k in ("mid", "low", "high")},
             "text": f"{r['mid']:.0f} ({r['low']:.0f} to {r['high']:.0f})"} for r in rows]  # fmt: skip


def _whiskers(alt: Any, points: list[dict[str, Any]], y: Any) -> list[Any]:
    base, drop = _chart(points), 9
    return [
        base.mark_rule(color=tone.INK, strokeWidth=2, yOffset=drop).encode(y=y, x=alt.X("low:Q"), x2="high:Q"),
        base.mark_point(shape="circle", size=55, filled=True, color=tone.INK, opacity=1, yOffset=drop).encode(
            y=y, x=alt.X("mid:Q")
        ),
        base.mark_text(align="left", baseline="top", yOffset=drop + 8, fontSize=_SMALL).encode(
            y=y, x=alt.X("zero:Q"), text="text:N"
        ),
    ]


def _names(alt: Any, field: str, names: list[str], room: int = _NAME) -> Any:
    lines = json.dumps({name: wrap(name, _TYPE, room - 12) for name in names})
    axis = alt.Axis(
        domain=False, ticks=False, labelPadding=8, labelLimit=room, minExtent=room, maxExtent=room,
        labelExpr=f"({lines})[datum.value]", labelLineHeight=15,
    )  # fmt: skip
    return alt.Y(field, sort=names, scale=alt.Scale(domain=names), title=None, axis=axis)


def _finish(chart: Any, title: str, subtitle: str) -> Spec:
    heading = {"text": wrap(title, 17, _WIDTH - 30, bold=True), "subtitle": wrap(subtitle, _TYPE, _WIDTH - 30)}
    spec: Spec = chart.resolve_scale(color="independent").properties(title=heading).to_dict()
    spec["config"] = tone.chart_config()
    spec["description"] = f"{title}. {subtitle}."
    return spec
