"""Charts of an estimate, one Vega-Lite specification each.

Every function returns plain data that the page shows live and that :func:`to_svg` draws without a network.
Nothing is said by colour alone: parts carry numbers, values are written out, and neighbouring tones differ in grey.
Intervals come from the caller; no chart works out a figure of its own.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import cache
from typing import Any, ClassVar

from spadework.present import tone
from spadework.present.face.words import plain, width_of, wrap

__all__ = ["cost_parts_chart", "differences_chart", "to_pdf", "to_svg", "unchecked"]

Spec = dict[str, Any]
Row = Mapping[str, Any]

_WIDTH = 640
_TYPE = 13
_NAME = 150  # room for the names of systems, left of the plot
_WORDS = 190  # and for words right of it
_MINUS = "−"


def cost_parts_chart(
    rows: Sequence[Row],
    totals: Sequence[Row],
    unit: str = "EUR/ha",
    *,
    title: str = "What it costs, part by part",
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return stacked bars of cost, one per system, with the interval of the total beneath each.

    Parameters
    ----------
    rows : sequence of mapping
        ``system``, ``part``, ``mid``; systems and parts are shown in the order in which they first come.  A negative
        part (a credit) is stacked to the left of zero.
    totals : sequence of mapping
        ``system``, ``mid``, ``low``, ``high`` of the whole cost.
    unit, title, standing, interval : str
        Unit of all figures; title; standing of the evidence; what the interval holds.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.

    Raises
    ------
    ValueError
        If a key is missing, a figure is not finite, an interval is the wrong way round, there are more parts than
        tones, a part or a total comes twice, or rows and totals name different systems.
    """
    import altair as alt

    unit = _name(unit)
    rows = _check(rows, ("mid",), "part")
    totals = _check(totals, ("mid", "low", "high"))
    _once(totals)
    _once(rows, "part")
    systems, parts = _in_order(rows, "system"), _in_order(rows, "part")
    if set(systems) != set(_in_order(totals, "system")):
        raise ValueError("rows and totals must name the same systems")
    if len(parts) > len(tone.PART_TONES):
        raise ValueError(f"{len(parts)} parts are too many to tell apart; {len(tone.PART_TONES)} at most")
    tones = dict(zip(parts, tone.PART_TONES, strict=False))
    numbered = {part: f"{i} {part}" for i, part in enumerate(parts, 1)}
    segments = _stack(rows, systems, parts)
    low = min([0.0, *(s["start"] for s in segments), *(s["end"] for s in segments), *(t["low"] for t in totals)])
    high = max([*(s["end"] for s in segments), *(t["high"] for t in totals), 0.0])
    high += 0.02 * (high - low) or 1.0
    plot = _WIDTH - _NAME - 25
    per_unit = plot / (high - low)
    for segment in segments:
        wide = abs(segment["end"] - segment["start"]) * per_unit
        place = str(parts.index(segment["part"]) + 1)
        value = _figure(segment["mid"], 0 if abs(segment["mid"]) >= 10 else 1)
        both = f"{place}: {value}"
        segment["label"] = both if width_of(both, 12) + 8 <= wide else place if width_of(place, 12) + 4 <= wide else ""
        segment["ink"] = tone.ink_on(tones[segment["part"]])
        segment["name"] = numbered[segment["part"]]
        segment["centre"] = (segment["start"] + segment["end"]) / 2
    ends = [{**_figures(total), "zero": 0.0, "text": f"total {_interval_text(total, unit)}"} for total in totals]
    y = _system_axis(alt, systems)
    x = alt.X("start:Q", title=unit, scale=alt.Scale(domain=[low, high], nice=False, zero=False))
    colour = alt.Color(
        "name:N",
        title=None,
        scale=alt.Scale(domain=[numbered[part] for part in parts], range=list(tones.values())),
        legend=alt.Legend(orient="bottom", columns=3, symbolType="square", symbolStrokeColor=tone.INK, labelLimit=190),
    )
    base = _chart(segments)
    lane = _chart(ends)
    lift, drop = -9, 13
    layers = [
        base.mark_bar(height=24, yOffset=lift, stroke=tone.INK, strokeWidth=0.8).encode(
            y=y, x=x, x2="end:Q", color=colour
        ),
        base.mark_text(fontSize=12, yOffset=lift, baseline="middle").encode(
            y=y, x="centre:Q", text="label:N", color=alt.Color("ink:N", scale=None)
        ),
        *_whiskers(lane, y, drop),
        lane.mark_point(shape="circle", size=60, filled=True, color=tone.INK, opacity=1, yOffset=drop).encode(
            y=y, x=alt.X("mid:Q")
        ),
        lane.mark_text(align="left", baseline="top", yOffset=drop + 7).encode(y=y, x=alt.X("zero:Q"), text="text:N"),
    ]
    chart = alt.layer(*layers).resolve_scale(color="independent")
    return _finish(chart, title, f"{standing}; line and dot: total, {interval}", plot, 76 * len(systems))


def differences_chart(
    rows: Sequence[Row],
    unit: str,
    baseline: str,
    *,
    title: str = "How much it differs",
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return the difference of each system from the baseline: a dot with its interval, against a line at zero.

    Parameters
    ----------
    rows : sequence of mapping
        ``system``, ``mid``, ``low``, ``high`` of system minus baseline, and ``chance``, a text such as
        "cheaper in 96 % of draws" (may be empty).
    unit, baseline : str
        Unit of the differences, and the system that they are taken from.
    title, standing, interval : str
        As in :func:`cost_parts_chart`.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.

    Raises
    ------
    ValueError
        If a key is missing, a figure is not finite, an interval is the wrong way round or a system comes twice.
    """
    import altair as alt

    unit, baseline = _name(unit), _name(baseline)
    rows = _check(rows, ("mid", "low", "high"))
    _once(rows)
    systems = _in_order(rows, "system")
    low, high = min(0.0, *(row["low"] for row in rows), 0.0), max(0.0, *(row["high"] for row in rows), 0.0)
    room = 0.05 * (high - low) or 1.0
    points = [
        {
            **_figures(row),
            "text": [_interval_text(row, unit, sign=True), *wrap(str(row.get("chance", "")), _TYPE, _WORDS)],
        }
        for row in rows
    ]
    words = max(width_of(line, _TYPE) for point in points for line in point["text"])
    plot = _WIDTH - _NAME - words - 45
    y = _system_axis(alt, systems)
    x = alt.X(
        "mid:Q",
        title=f"{unit}, more (+) or less ({_MINUS}) than {baseline}",
        scale=alt.Scale(domain=[low - room, high + room], nice=False, zero=False),
        axis=alt.Axis(labelExpr=f"(datum.value > 0 ? '+' : '') + replace(datum.label, '-', '{_MINUS}')", tickCount=5),
    )
    base = _chart(points)
    zero = _chart([{"at": 0, "name": baseline}])
    layers = [
        zero.mark_rule(color=tone.INK, strokeWidth=1.6).encode(x=alt.X("at:Q")),
        zero.mark_text(baseline="bottom", dy=-5, fontStyle="italic").encode(
            x=alt.X("at:Q"), y=alt.value(0), text="name:N"
        ),
        *_whiskers(base, y),
        base.mark_point(shape="circle", size=110, filled=True, color=tone.ACCENT, opacity=1).encode(y=y, x=x),
        base.mark_text(align="left", baseline="middle", dy=-7, lineHeight=16).encode(
            y=y, x=alt.value(plot + 14), text="text:N"
        ),
    ]
    return _finish(alt.layer(*layers), title, f"{standing}; line: {interval}", plot, 56 * len(systems))


@contextmanager
def unchecked() -> Iterator[None]:
    """Make charts without the library's check of every part of them, which takes longer than the rest; tests check all."""
    from altair.utils.schemapi import debug_mode

    with debug_mode(False):
        yield


def to_svg(spec: Spec) -> str:
    """Return a chart as SVG, drawn without a network; the same specification gives the same text.

    Parameters
    ----------
    spec : dict
        A specification from this module.
    """
    import vl_convert

    svg: str = vl_convert.vegalite_to_svg(json.dumps(spec, sort_keys=True), allowed_base_urls=[])
    return svg


def to_pdf(svg: str) -> bytes:
    """Return any drawing of ours, chart or soil face, as a page with its type embedded.

    A document that includes this instead of SVG shows the same sans type on every machine, whatever fonts are there.

    Parameters
    ----------
    svg : str
        From :func:`to_svg` or :func:`spadework.present.face.drawing.soil_face`.
    """
    import vl_convert

    pdf: bytes = vl_convert.svg_to_pdf(svg)
    return pdf


def _check(rows: Sequence[Row], figures: tuple[str, ...], *names: str) -> list[Row]:
    """Return the rows with names that may stand in a specification, or say what is wrong with them."""
    if not rows:
        raise ValueError("there is nothing to show: no rows")
    for row in rows:
        if missing := [key for key in ("system", *names, *figures) if key not in row]:
            raise ValueError(f"a row has no `{missing[0]}`: {dict(row)!r}")
        for key in figures:
            if not math.isfinite(row[key]):
                raise ValueError(f"`{key}` of {row['system']} is {row[key]}")
        if "low" in figures and not row["low"] <= row["mid"] <= row["high"]:
            raise ValueError(f"the interval of {row['system']} must run low, mid, high")
    return [{**row, **{name: _name(str(row[name])) for name in ("system", *names)}} for row in rows]


def _name(text: str) -> str:
    """Return text that may stand in a specification.

    Titles become part of expressions there, in which a backslash would be read as an escape: it is shown as a slash.
    """
    return plain(text).replace("\\", "/")


def _once(rows: Sequence[Row], *names: str) -> None:
    keys = [tuple(str(row[name]) for name in ("system", *names)) for row in rows]
    for key in keys:
        if keys.count(key) > 1:
            raise ValueError(f"{', '.join(key)} comes twice")


def _in_order(rows: Sequence[Row], key: str) -> list[str]:
    return list(dict.fromkeys(str(row[key]) for row in rows))


def _figures(row: Row) -> dict[str, Any]:
    return {"system": str(row["system"]), **{key: float(row[key]) for key in ("mid", "low", "high")}}


def _stack(rows: Sequence[Row], systems: list[str], parts: list[str]) -> list[dict[str, Any]]:
    """Return the parts laid end to end, credits to the left of zero."""
    found: list[dict[str, Any]] = []
    for system in systems:
        right = left = 0.0
        own = sorted((row for row in rows if row["system"] == system), key=lambda row: parts.index(str(row["part"])))
        for row in own:
            mid = float(row["mid"])
            start = right if mid >= 0 else left
            found.append({"system": system, "part": str(row["part"]), "mid": mid, "start": start, "end": start + mid})
            right, left = (right + mid, left) if mid >= 0 else (right, left + mid)
    return found


def _figure(value: float, decimals: int, *, sign: bool = False) -> str:
    text = f"{value:+.{decimals}f}" if sign else f"{value:.{decimals}f}"
    if not float(text):
        text = text.lstrip("+-")
    return text.replace("-", _MINUS)


def _interval_text(row: Row, unit: str = "", *, sign: bool = False) -> str:
    """Return a figure and its interval with as many decimals as the width of the interval can bear."""
    wide = row["high"] - row["low"] or abs(row["mid"]) or 1.0
    decimals = min(3, max(0, 1 - math.floor(math.log10(wide))))
    mid, low, high = (_figure(row[key], decimals, sign=sign) for key in ("mid", "low", "high"))
    return f"{mid} {unit} ({low} to {high})".replace("  ", " ")


def _system_axis(alt: Any, systems: list[str]) -> Any:
    lines = {system: wrap(system, _TYPE, _NAME - 12) for system in systems}
    broken = json.dumps(lines)
    axis = alt.Axis(
        domain=False,
        ticks=False,
        labelPadding=8,
        labelLimit=_NAME,
        minExtent=_NAME,
        maxExtent=_NAME,
        labelExpr=f"({broken})[datum.value]",
        labelLineHeight=16,
    )
    return alt.Y("system:N", sort=systems, scale=alt.Scale(domain=systems), title=None, axis=axis)


def _chart(values: Sequence[Row]) -> Any:
    """Return a chart of rows."""
    return _kind_of_chart()(_library().Data(values=_Rows(values)))


class _Rows:
    """Rows that the library takes as they are: it would copy a list, and look at every cell of it, at every step."""

    _schema: ClassVar = {"type": "array"}

    def __init__(self, rows: Sequence[Row]) -> None:
        self._rows = [dict(row) for row in rows]

    def to_dict(self) -> list[dict[str, Any]]:
        return self._rows


def _library() -> Any:
    import altair as alt

    return alt  # its class for data carries no types


@cache
def _kind_of_chart() -> Any:
    """Return the library's chart, without what makes it slow.

    For a short name such as ``"mid:Q"`` it would hash every class that it has to find the one that is meant; and whenever
    charts are laid over or beside one another, it would copy every part of every part of each.  What is done to a chart
    afterwards is done to the chart itself, never to a part of a part, so that a copy of the outermost will do.
    """
    library = _library()

    class Chart(library.Chart):  # type: ignore[misc, name-defined]
        def encode(self, **channels: Any) -> Any:
            for name, given in channels.items():
                kind = name[:1].upper() + name[1:]
                if isinstance(given, str):
                    channels[name] = getattr(library, kind)(given)
                elif isinstance(given, Mapping) and set(given) == {"value"}:
                    channels[name] = getattr(library, f"{kind}Value")(given["value"])
            return super().encode(**channels)

        def __deepcopy__(self, _seen: object) -> Any:
            return self.copy(deep=False)

    return Chart


def _whiskers(base: Any, y: Any, offset: float = 0) -> list[Any]:
    """Return the interval as a line with feet."""
    import altair as alt

    line = base.mark_rule(color=tone.INK, strokeWidth=2, yOffset=offset)
    feet = base.mark_tick(color=tone.INK, thickness=2, height=9, opacity=1, yOffset=offset)
    return [
        line.encode(y=y, x=alt.X("low:Q"), x2="high:Q"),
        feet.encode(y=y, x=alt.X("low:Q")),
        feet.encode(y=y, x=alt.X("high:Q")),
    ]


def _finish(chart: Any, title: str, subtitle: str, width: float | None = None, height: float | None = None) -> Spec:
    size = {} if width is None else {"width": width, "height": height}
    heading = {"text": wrap(title, 17, _WIDTH - 30, bold=True), "subtitle": wrap(subtitle, _TYPE, _WIDTH - 30)}
    from altair.utils import schemapi

    spec: Spec = chart.properties(title=heading, **size).to_dict(validate=schemapi.DEBUG_MODE)
    spec["config"] = tone.chart_config()
    spec["description"] = f"{title}. {subtitle}."
    return spec
