"""Drawings of the supply of slurry: what every way costs by distance, and who does what through a day."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Final

from spadework.present import tone
from spadework.present.charts.spec import Spec, _chart, _finish, _name
from spadework.present.face.words import safe, width_of, wrap
from spadework.science.machinery import SupplyRun

__all__ = ["day_drawing", "distance_chart"]

_WIDTH: Final = 640
_TYPE: Final = 13
_LABELS: Final = 168  # room right of the plot
_PLOT: Final = 400.0
_HEIGHT: Final = 250.0
_LINE: Final = 16.0
_LOOKS: Final = (
    (tone.SLURRY, (1, 0), "circle"),
    (tone.ACCENT, (8, 4), "square"),
    (tone.STRAW_DARK, (2, 3), "triangle-up"),
    (tone.WARNING, (10, 3, 2, 3), "diamond"),
    (tone.LOOSENED_LINE, (5, 2), "triangle-down"),
    (tone.SLURRY_PALE, (14, 4), "cross"),
)


def distance_chart(
    rows: Sequence[Mapping[str, Any]],
    planned_km: float,
    unit: str = "EUR/m3",
    *,
    title: str = "What a cubic metre costs in the ground, by distance",
    standing: str = "estimated",
    interval: str = "80 % of draws",
) -> Spec:
    """Return the cost of every way of bringing slurry against the distance: a line with its interval for each.

    Parameters
    ----------
    rows : sequence of mapping
        ``way``, ``km``, ``mid``, ``low``, ``high``; ways are shown in the order in which they first come.  A way ends
        where its rows end.
    planned_km : float
        The distance of the plan, marked where it lies between.
    unit, title, standing, interval : str
        Unit of the cost; title; standing of the evidence; what the interval holds.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.

    Raises
    ------
    ValueError
        If there is nothing to show, a figure is not finite, or there are more ways than looks to tell them apart.
    """
    import altair as alt

    if not rows:
        raise ValueError("there is nothing to show: no rows")
    if strange := [row for row in rows if not all(math.isfinite(row[key]) for key in ("km", "mid", "low", "high"))]:
        raise ValueError(f"a figure of {strange[0]['way']} is not finite")
    ways = list(dict.fromkeys(str(row["way"]) for row in rows))
    if len(ways) > len(_LOOKS):
        raise ValueError(f"{len(ways)} ways are too many to tell apart; {len(_LOOKS)} at most")
    first, last = min(row["km"] for row in rows), max(row["km"] for row in rows)
    top = 1.04 * max(row["high"] for row in rows) or 1.0
    x = alt.X("km:Q", title="road from store to field, km", scale=alt.Scale(domain=[first, last], nice=False))
    y_scale = alt.Scale(domain=[0, top], nice=False)
    y = alt.Y("mid:Q", title=_name(unit), scale=y_scale)
    layers: list[Any] = []
    ends: list[dict[str, Any]] = []
    for way, (colour, dash, shape) in zip(ways, _LOOKS, strict=False):
        own = [{key: float(row[key]) for key in ("km", "mid", "low", "high")} for row in rows if row["way"] == way]
        base = _chart(own)
        # Each other way has its marks elsewhere, so that lines that lie on one another are seen as two.
        marks = _chart(own[len(ends) % 3 :: 3])
        layers += [
            base.mark_area(color=colour, opacity=0.16).encode(x=x, y=alt.Y("low:Q", scale=y_scale), y2="high:Q"),
            base.mark_line(color=colour, strokeWidth=2.5, strokeDash=list(dash)).encode(x=x, y=y),
            marks.mark_point(shape=shape, size=70, filled=True, color=colour, opacity=1).encode(x=x, y=y),
        ]
        ends.append({"way": way, **own[-1]})
    layers += _ends(alt, ends, last, top)
    if first <= planned_km <= last:
        here = _chart([{"km": planned_km, "text": f"the plan: {planned_km:g} km"}])
        rule = here.mark_rule(color=tone.INK, strokeWidth=1.4, strokeDash=[4, 3]).encode(x=x)
        side: dict[str, Any] = (
            {"align": "left", "dx": 4} if planned_km < (first + last) / 2 else {"align": "right", "dx": -4}
        )
        words = here.mark_text(baseline="bottom", dy=-3, fontStyle="italic", **side)
        layers += [rule, words.encode(x=x, y=alt.value(0), text="text:N")]
    return _finish(alt.layer(*layers), title, f"{standing}; line: middle, shade: {interval}", _PLOT, _HEIGHT)


def _ends(alt: Any, ends: list[dict[str, Any]], last: float, top: float) -> list[Any]:
    """Return the names of the ways: at the right, apart from one another; beside its end for a way that ends early."""
    found = []
    right = sorted((end for end in ends if end["km"] == last), key=lambda end: -float(end["mid"]))
    floor = -math.inf
    for end in right:
        lines = wrap(_name(end["way"]), _TYPE, _LABELS - 14)
        tall = _LINE * len(lines)
        start = max(_HEIGHT * (1 - end["mid"] / top) - tall / 2, floor)
        floor = start + tall + 3
        mark = _chart([{"text": lines}]).mark_text(align="left", baseline="top", lineHeight=_LINE)
        found.append(mark.encode(x=alt.value(_PLOT + 10), y=alt.value(start), text="text:N"))
    for end in ends:
        if end["km"] != last:
            lines = [*wrap(_name(end["way"]), _TYPE, _LABELS), f"(to {end['km']:g} km)"]
            base = _chart([{"km": end["km"], "mid": end["mid"], "text": lines}])
            place = {"align": "left", "baseline": "middle", "dx": 9, "lineHeight": _LINE}
            halo = base.mark_text(**place, stroke=tone.PAPER, strokeWidth=4)
            found += [mark.encode(x="km:Q", y="mid:Q", text="text:N") for mark in (halo, base.mark_text(**place))]
    return found


_NAMES: Final = 92.0
_BAR: Final = 26.0
_LANE: Final = 38.0
_KEY: Final = {
    "fills": (tone.ACCENT_PALE, tone.ACCENT, "across"),
    "on the road, full": (tone.SLURRY, "", ""),
    "on the road, empty": (tone.PAPER, "", ""),
    "hands over": (tone.LOOSENED_LINE, tone.PAPER, "rising"),
    "spreads": (tone.LOOSENED, tone.LOOSENED_LINE, "upright"),
    "waits": (tone.PAPER, tone.WARNING, "rising falling"),
    "sets up": (tone.UNDISTURBED, tone.QUIET, "falling"),
}
"""What vehicles do, with ground, line and hatch of its bars; lines are drawn one by one, for tiles show seams in print."""
_GAP: Final = 7.0


def day_drawing(
    run: SupplyRun,
    names: Mapping[str, str],
    until_min: float,
    *,
    title: str,
    subtitle: str,
) -> str:
    """Return who does what through a day: a lane for each vehicle, patterned and numbered bars, time across.

    Parameters
    ----------
    run : SupplyRun
        What came of the day.
    names : mapping
        Words for the vehicles of the run.
    until_min : float
        How much of it is shown, from its start [min].
    title, subtitle : str
        Above the drawing.

    Returns
    -------
    str
        SVG, 640 units wide; the same run gives the same text.
    """
    until = min(until_min, run.minutes)
    seen = [doing for doing in _KEY if any(s.what == doing for book in run.stretches.values() for s in book)]
    per_min = (_WIDTH - _NAMES - 30) / until
    heads = [(line, 17, tone.INK, "bold") for line in wrap(title, 17, _WIDTH - 30, bold=True)]
    heads += [(line, _TYPE, tone.QUIET, "normal") for line in wrap(subtitle, _TYPE, _WIDTH - 30)]
    out, y = [], 8.0
    for text, size, colour, weight in heads:
        y += size + 4
        out.append(_words(12, y, text, size, colour, weight))
    top = y + 14
    bottom = top + _LANE * len(run.stretches)
    out += _hours(top, bottom, until, per_min)
    for lane, (vehicle, book) in enumerate(run.stretches.items()):
        middle = top + _LANE * (lane + 0.5)
        lines = wrap(names.get(vehicle, vehicle), _TYPE, _NAMES - 18)[:2]
        for number, line in enumerate(lines):
            out.append(_words(12, middle + 4.5 + 15 * (number - (len(lines) - 1) / 2), line, _TYPE, tone.INK))
        for stretch in book:
            if stretch.start_min < until:
                end = min(stretch.end_min, until)
                at = _NAMES + stretch.start_min * per_min
                number = seen.index(stretch.what) + 1
                out += _bar(stretch.what, number, at, middle - _BAR / 2, (end - stretch.start_min) * per_min)
    out.append(_words(_NAMES, bottom + 36, "hours from the start of the day", _TYPE, tone.INK))
    rows = math.ceil(len(seen) / 3)
    for place, doing in enumerate(seen):
        left, down = 12 + 205 * (place % 3), bottom + 54 + 30 * (place // 3)
        out += _bar(doing, place + 1, left, down, 34.0, 20.0)
        out.append(_words(left + 42, down + 15, doing, _TYPE, tone.INK))
    tall = bottom + 54 + 30 * rows + 4
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH}" height="{tall:.0f}" viewBox="0 0 {_WIDTH} {tall:.0f}" '
        f'font-family="{tone.FONTS}">'
        f'<rect width="{_WIDTH}" height="{tall:.0f}" fill="{tone.PAPER}"/>{"".join(out)}</svg>'
    )


def _hours(top: float, bottom: float, until: float, per_min: float) -> list[str]:
    step = next(s for s in (10, 15, 30, 60, 120, 240, 100_000) if until / s <= 9)
    out = []
    for minute in range(0, int(until) + 1, step):
        x = _NAMES + minute * per_min
        out.append(f'<path d="M{x:.1f} {top:.1f}V{bottom + 5:.1f}" stroke="{tone.RULE}" stroke-width=".8"/>')
        text = f"{minute / 60:.2f}".rstrip("0").rstrip(".")
        out.append(_words(x - width_of(text, _TYPE) / 2, bottom + 19, text, _TYPE, tone.INK))
    return out


def _bar(doing: str, number: int, x: float, y: float, wide: float, tall: float = _BAR) -> list[str]:
    ground, line, hatch = _KEY[doing]
    out = [f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{tall:.0f}" fill="{ground}"/>']
    if path := "".join(_lines(kind, x, y, wide, tall) for kind in hatch.split()):
        out.append(f'<path d="{path}" stroke="{line}" stroke-width="1" fill="none"/>')
    edge = f'stroke="{tone.WARNING}" stroke-dasharray="3 2"' if doing == "waits" else f'stroke="{tone.INK}"'
    out.append(f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{tall:.0f}" fill="none" {edge}/>')
    text = str(number)
    size = next((size for size in (_TYPE, 11) if width_of(text, size, bold=True) + 3 <= wide), None)
    if size is None:
        return out
    plate, at, middle = width_of(text, size, bold=True) + 2, x + wide / 2, y + tall / 2
    out.append(
        f'<rect x="{at - plate / 2:.1f}" y="{middle - 7:.1f}" width="{plate:.1f}" height="14" fill="{ground}"/>'
        f'<text x="{at:.1f}" y="{middle + 0.36 * size:.1f}" font-size="{size}" font-weight="bold" '
        f'fill="{tone.ink_on(ground)}" text-anchor="middle">{text}</text>'
    )
    return out


def _lines(kind: str, x: float, y: float, wide: float, tall: float) -> str:
    """Return the hatch of a bar as a path that stays within it."""
    if kind == "across":
        return "".join(f"M{x:.1f} {y + at:.1f}h{wide:.1f}" for at in _places(tall))
    if kind == "upright":
        return "".join(f"M{x + at:.1f} {y:.1f}v{tall:.1f}" for at in _places(wide))
    found = []
    for at in _places(wide + tall):
        left, right = max(0.0, at - tall), min(wide, at)
        low, high = at - left, at - right
        if kind == "falling":
            low, high = tall - low, tall - high
        found.append(f"M{x + left:.1f} {y + low:.1f}L{x + right:.1f} {y + high:.1f}")
    return "".join(found)


def _places(length: float) -> list[float]:
    return [_GAP * (step + 0.5) for step in range(math.ceil(length / _GAP - 0.5))]


def _words(x: float, y: float, text: str, size: int, colour: str, weight: str = "normal") -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" font-weight="{weight}" fill="{colour}">{safe(text)}</text>'
    )
