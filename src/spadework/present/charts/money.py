"""Charts of money by area and of the chance of being done: small panels side by side, drawn alike.

As in :mod:`~spadework.present.charts.spec`, intervals come from the caller and nothing is said by colour alone: what a
dot, a ring or a broken line stands for is written over each panel with its figure.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from spadework.present import tone
from spadework.present.face.words import plain, wrap

__all__ = ["AreaPanel", "ChancePanel", "Point", "chance_chart", "cost_area_chart"]

Spec = dict[str, Any]

_WIDTH = 640
_HIGH = 165
_AXIS = 76  # labels and title left of a panel, and the gap between two
_TITLE, _HEADING, _TYPE = 17, 14, 13


@dataclass(frozen=True, slots=True)
class Point:
    """A point of a curve with its interval."""

    at: float
    mid: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class AreaPanel:
    """The cost of one pass against the area a year.

    Attributes
    ----------
    title : str
        The pass.
    curve : sequence of Point
        Own cost, by area.
    lasts_to : float
        Area beyond which the machines do not last their years; the curve is broken there.
    hired : Point
        Price of the contractor; `at` is not used.
    use : Point
        Own cost at the use in the plan.
    pays_from : float or None
        Area at which the own cost meets the contractor's; None where it does not.
    lines : sequence of str
        What is written over the panel.
    """

    title: str
    curve: Sequence[Point]
    lasts_to: float
    hired: Point
    use: Point
    pays_from: float | None
    lines: Sequence[str]


@dataclass(frozen=True, slots=True)
class ChancePanel:
    """The chance that one system is done, against the days of the window; `lines` is written over the panel."""

    title: str
    curve: Sequence[Point]
    lines: Sequence[str]


def cost_area_chart(
    panels: Sequence[AreaPanel],
    unit: str = "EUR/ha",
    *,
    title: str = "From how many hectares a year do own machines pay?",
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return a panel for each pass that can be hired: own cost by area, and the contractor's price as a level line.

    Parameters
    ----------
    panels : sequence of AreaPanel
        In the order in which they are shown.
    unit, title, standing, interval : str
        Unit of cost; title; standing of the evidence; what the tones hold.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.

    Raises
    ------
    ValueError
        If there is no panel, or a panel has no curve.
    """
    _something(panels)
    wide = _panel_width(len(panels))
    drawn = [_area_panel(panel, _name(unit), wide) for panel in panels]
    return _beside(
        drawn, title,
        f"{standing}; tone: {interval}; curve: own machines; level broken line: contractor; dot: hours in the plan; "
        "ring: from here own machines cost less; curve broken: the machines would not last the years",
    )  # fmt: skip


def chance_chart(
    panels: Sequence[ChancePanel],
    window_days: float,
    *,
    title: str = "How likely is the work done in time?",
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return a panel for each system: the chance of being done by the days of the window, others pale behind it.

    Parameters
    ----------
    panels : sequence of ChancePanel
        In the order of the plan; chances as shares.
    window_days : float
        Days of the window in the plan, marked in every panel.
    title, standing, interval : str
        As in :func:`cost_area_chart`.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.

    Raises
    ------
    ValueError
        If there is no panel, or a panel has no curve.
    """
    _something(panels)
    wide = _panel_width(len(panels))
    drawn = [_chance_panel(panel, panels, window_days, wide) for panel in panels]
    others = "; thin: the other systems" if len(panels) > 1 else ""
    return _beside(
        drawn, title, f"{standing}; curve: middle; tone: {interval}{others}; upright line: window in the plan"
    )


def _area_panel(panel: AreaPanel, unit: str, wide: float) -> Spec:
    right = panel.curve[-1].at
    top = max(*(point.high for point in panel.curve), panel.hired.high, panel.use.high)
    x, y = _axis("at", "ha a year", right), _axis("mid", unit, top)
    curve = [_row(point) for point in panel.curve]
    lasting = [row for row in curve if row["at"] <= panel.lasts_to]
    beyond = curve[max(len(lasting) - 1, 0) :]  # from the last lasting point on, so that the curve has no gap
    level = [{**_row(panel.hired), "at": at} for at in (0.0, right)]
    layers = [
        _layer(level, {"type": "area", "color": tone.ACCENT_PALE, "opacity": 0.6}, x, _BAND),
        _layer(curve, {"type": "area", "color": tone.LOOSENED, "opacity": 0.6}, x, _BAND),
        _layer(level, _line(tone.ACCENT, 2, [7, 4]), x, y),
        _layer(lasting, _line(tone.SLURRY, 2.5), x, y),
        _layer(beyond, _line(tone.SLURRY, 2.5, [2, 3]), x, y),
    ]
    if panel.pays_from is not None:
        ring = [{"at": panel.pays_from, "mid": panel.hired.mid}]
        layers.append(_layer(ring, _dot(130, tone.PAPER, tone.ACCENT), x, y))
    layers.append(_layer([_row(panel.use)], _dot(100, tone.INK, tone.INK), x, y))
    return _headed(layers, panel.title, panel.lines, wide)


def _chance_panel(panel: ChancePanel, panels: Sequence[ChancePanel], window_days: float, wide: float) -> Spec:
    x, y = _axis("at", "days of the calendar", panel.curve[-1].at), _axis("mid", "chance, %", 100.0)
    own = [_row(point, 100.0) for point in panel.curve]
    others = [[_row(point, 100.0) for point in other.curve] for other in panels if other is not panel]
    layers = [
        _layer(own, {"type": "area", "color": tone.LOOSENED, "opacity": 0.6}, x, _BAND),
        *(_layer(rows, _line(tone.QUIET, 0.8), x, y) for rows in others),
        _layer(own, _line(tone.SLURRY, 2.5), x, y),
        _layer([{"at": window_days}], {"type": "rule", "color": tone.ACCENT, "size": 2, "strokeDash": [7, 4]}, x),
    ]
    return _headed(layers, panel.title, panel.lines, wide)


_BAND: Spec = {"y": {"field": "low", "type": "quantitative"}, "y2": {"field": "high"}}


def _axis(field: str, title: str, most: float) -> Spec:
    axis: Spec = {"tickCount": 5}
    if field == "mid":
        axis |= {"minExtent": 34, "maxExtent": 34}
    scale = {"domain": [0, most], "nice": False}
    channel = "y" if field == "mid" else "x"
    return {channel: {"field": field, "type": "quantitative", "title": title, "scale": scale, "axis": axis}}


def _layer(rows: Sequence[dict[str, float]], mark: Spec, *channels: Spec) -> Spec:
    encoding: Spec = {}
    for channel in channels:
        encoding |= channel
    return {"data": {"values": list(rows)}, "mark": mark, "encoding": encoding}


def _line(colour: str, wide: float, dash: Sequence[int] = ()) -> Spec:
    return {"type": "line", "color": colour, "strokeWidth": wide} | ({"strokeDash": list(dash)} if dash else {})


def _dot(size: float, fill: str, stroke: str) -> Spec:
    look = {"shape": "circle", "filled": True, "opacity": 1, "strokeWidth": 2.5}
    return {"type": "point", "size": size, "fill": fill, "stroke": stroke, **look}


def _headed(layers: Sequence[Spec], title: str, lines: Sequence[str], wide: float) -> Spec:
    room = wide + _AXIS - 20
    heading = {
        "text": wrap(_name(title), _HEADING, room, bold=True),
        "subtitle": [line for text in lines for line in wrap(_name(text), _TYPE, room)],
        "fontSize": _HEADING,
        "offset": 8,
        "subtitlePadding": 3,
    }
    return {"layer": list(layers), "width": wide, "height": _HIGH, "title": heading}


def _beside(drawn: Sequence[Spec], title: str, subtitle: str) -> Spec:
    return {
        "concat": list(drawn),
        "columns": 2,
        "spacing": 22,
        "align": "each",
        "title": {
            "text": wrap(_name(title), _TITLE, _WIDTH - 30, bold=True),
            "subtitle": wrap(_name(subtitle), _TYPE, _WIDTH - 30),
        },
        "config": tone.chart_config(),
        "description": f"{_name(title)}. {_name(subtitle)}.",
    }


def _name(text: str) -> str:
    """Return text that may stand in a specification, where a backslash would be read as an escape."""
    return plain(text).replace("\\", "/")


def _panel_width(panels: int) -> float:
    return _WIDTH - _AXIS - 20 if panels == 1 else (_WIDTH - 4) / 2 - _AXIS


def _something(panels: Sequence[AreaPanel] | Sequence[ChancePanel]) -> None:
    if not panels or any(len(panel.curve) < 2 for panel in panels):
        raise ValueError("there is nothing to show: a chart needs panels, and a panel a curve of two points or more")


def _row(point: Point, factor: float = 1.0) -> dict[str, float]:
    return {"at": point.at, "mid": point.mid * factor, "low": point.low * factor, "high": point.high * factor}
