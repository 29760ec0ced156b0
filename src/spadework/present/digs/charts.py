"""Digs drawn: every dig as a dot under its row unit, and the soil face with the digs over the planned band."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any, Final

import numpy as np

from spadework.findings.digs import Dug
from spadework.present import tone
from spadework.present.charts.spec import Spec, _chart, _finish
from spadework.present.digs.words import STANDING_DIGS, cm, count_of, headline, units_text
from spadework.present.face.drawing import Band, Dig, Face, Loosened, Spread

__all__ = ["digs_chart", "digs_chart_words", "digs_face"]

_WIDTH: Final = 600
_HEIGHT: Final = 330
_MOST_DRAWN: Final = 60
_FEW_UNITS: Final = 12
_MANY: Final = 400
_BESIDE_CM: Final = 6.0  # how far digs are set side by side where the sideways distance is not known
_HALF_DEFAULT: Final = 4.0  # half height and half width of a band that nobody measured, for the drawing alone


def digs_chart(found: Dug, *, title: str = "Is the band where it should be?") -> Spec:
    """Return every dig of the last setting under its row unit: seed, band top, unit mean and the window that is wanted.

    Parameters
    ----------
    found : Dug
        From :func:`spadework.findings.digs.find_digs`.
    title : str
        Title of the chart.

    Returns
    -------
    dict
        A Vega-Lite specification about 640 units wide.

    Raises
    ------
    ValueError
        If no dig has a gap.
    """
    import altair as alt

    points, means = _points(found), _means(found)
    if not means:
        raise ValueError("there is nothing to show: no dig has a gap")
    low, high = (found.seed_depth_cm + edge for edge in found.window_cm)
    deepest = max([high, *(p["depth"] for p in points)]) + 1.2
    shallowest = min([0.0, *(p["depth"] for p in points)]) - 0.8
    few, size = found.rows <= _FEW_UNITS, 42 if len(points) < _MANY else 16
    room = deepest + (0.14 * (deepest - shallowest) if any(m["text"] for m in means) else 0.6)
    x = alt.X(
        "x:Q",
        title="row unit, from the left, seen forwards",
        scale=alt.Scale(domain=[0.4, found.rows + 0.6], nice=False, zero=False),
        axis=alt.Axis(values=_ticks(found.rows), format="d", grid=False),
    )
    y = alt.Y(
        "depth:Q",
        title="depth under the press-wheel track, cm",
        scale=alt.Scale(domain=[room, shallowest], nice=False, zero=False),
        axis=alt.Axis(values=list(range(0, int(deepest) + 1, 2 if deepest < 17 else 5)), grid=False),
    )
    area = _chart([{"x": 0.4, "x2": found.rows + 0.6, "depth": low, "depth2": high}])
    lines = _chart([{"depth": edge} for edge in (low, high)])
    track = _chart([{"depth": 0.0, "x": 0.5, "text": "press-wheel track"}])
    spots = {what: _chart([p for p in points if p["what"] == what]) for what in ("seed", "top", "none")}
    unit = _chart(means)
    bars = [
        unit.mark_rule(color=colour, strokeWidth=wide).encode(x=alt.X("left:Q"), x2="right:Q", y=y)
        for colour, wide in ((tone.PAPER, 6.5), (tone.INK, 3.5))
    ]
    layers = [
        area.mark_rect(color=tone.ACCENT_PALE, opacity=0.55).encode(x=x, x2="x2:Q", y=y, y2="depth2:Q"),
        lines.mark_rule(color=tone.ACCENT, strokeWidth=1.4, strokeDash=[7, 4]).encode(y=y),
        track.mark_rule(color=tone.INK, strokeWidth=1.6).encode(y=y),
        track.mark_text(align="left", baseline="bottom", dy=-2).encode(x=x, y=y, text="text:N"),
        *(bars if size > 20 else ()),
        spots["seed"]
        .mark_point(
            shape="circle",
            filled=False,
            size=0.8 * size,
            color=tone.INK,
            strokeWidth=1.6 if size > 20 else 0.9,
            opacity=1,
        )
        .encode(x=x, y=y),
        spots["top"]
        .mark_point(
            shape="circle", filled=True, size=size, color=tone.SLURRY, stroke=tone.PAPER, strokeWidth=0.7, opacity=1
        )
        .encode(x=x, y=y),
        spots["none"]
        .mark_point(shape="cross", filled=True, size=70, color=tone.WARNING, angle=45, opacity=1)
        .encode(x=x, y=y),
        *(bars if size < 20 else ()),
        unit.mark_text(
            fontWeight="bold", lineHeight=15, **({"baseline": "top"} if few else {"align": "left", "angle": 270})
        ).encode(x=x, y=alt.value(_HEIGHT - (36 if few else 4)), text="text:N"),
    ]
    said = f"{STANDING_DIGS}; shaded: where the top is wanted; full: top of the band, open: seed, bar: mean top of the unit; "
    said += count_of(found.judged, "dig")
    if any(m["text"] for m in means):
        said += "; figures at the foot: by how much the gap is to become larger or smaller"
    if found.no_band:
        said += "; cross: no band found"
    if any(p["hung"] for p in points):
        said += "; where only the gap is known it hangs under the planned seed"
    spec = _finish(alt.layer(*layers), title, said, _WIDTH, _HEIGHT)
    spec["description"] = digs_chart_words(found, title)
    return spec


def digs_chart_words(found: Dug, title: str = "Is the band where it should be?") -> str:
    """Return the chart in words, for those who do not see it."""
    each = "; ".join(f"unit {one.unit} gap {cm(one.gap_cm)} cm" for one in found.found)
    low, high = found.window_cm
    return f"{title} {headline(found)} Wanted is a gap of {low:g} to {high:g} cm. Means: {each}. {STANDING_DIGS}."


def _points(found: Dug) -> list[dict[str, Any]]:
    now = found.settings == found.setting
    places: dict[int, int] = {}
    counts = {int(unit): int(np.sum(found.units[now] == unit)) for unit in np.unique(found.units[now])}
    out: list[dict[str, Any]] = []
    deepest = np.nanmax(np.where(np.isfinite(found.top_cm), found.top_cm, found.seed_depth_cm + found.window_cm[1]))
    for i in np.flatnonzero(now).tolist():
        unit = int(found.units[i])
        place = places[unit] = places.get(unit, -1) + 1
        x = unit + 0.56 * ((place + 0.5) / counts[unit] - 0.5)
        hung = math.isfinite(found.gap_cm[i]) and not math.isfinite(found.top_cm[i])
        top = found.seed_depth_cm + found.gap_cm[i] if hung else found.top_cm[i]
        if math.isfinite(found.seed_cm[i]):
            out.append({"x": x, "depth": float(found.seed_cm[i]), "what": "seed", "hung": False})
        if math.isfinite(top):
            out.append({"x": x, "depth": float(top), "what": "top", "hung": bool(hung)})
        elif not found.band_found[i]:
            out.append({"x": x, "depth": float(deepest) + 0.6, "what": "none", "hung": False})
    return out


def _means(found: Dug) -> list[dict[str, Any]]:
    few = found.rows <= _FEW_UNITS
    out = []
    for one in found.found:
        depth = one.top_cm if math.isfinite(one.top_cm) else found.seed_depth_cm + one.gap_cm
        steps = [change.step_cm for change in (found.machine, one.change) if change is not None]
        step = sum(steps) if found.verdict != "count" else 0.0
        more = "larger" if step > 0 else "smaller"
        text = [] if not step else [f"{abs(step):g} cm", more] if few else [f"{abs(step):g} {more}"]
        out.append({
            "x": one.unit, "left": one.unit - 0.4, "right": one.unit + 0.4, "depth": float(depth), "text": text or "",
        })  # fmt: skip
    return out


def _ticks(rows: int) -> list[int]:
    step = 1 if rows <= 24 else 2 if rows <= 48 else 5
    return list(range(1, rows + 1, step))


def digs_face(found: Dug, *, planned: Face | None = None, row_spacing_cm: float = 75.0, name: str = "Digs") -> Face:
    """Return the soil face with the digs of the last setting over the planned band.

    Parameters
    ----------
    found : Dug
        From :func:`spadework.findings.digs.find_digs`.
    planned : Face, optional
        Face of the system that was dug, from :func:`spadework.present.face.systems.faces`.  Left out, only the wanted place of
        the band is drawn, as large as the digs have it.
    row_spacing_cm : float
        Distance between rows, where there is no planned face [cm].
    name : str
        Name above the drawing, where there is no planned face.

    Returns
    -------
    Face
        Odd units stand at the left-hand row, even ones at the right-hand row, each as far aside as was measured.

    Raises
    ------
    ValueError
        If no dig has both a seed and the top of a band under the press-wheel track.
    """
    now = found.settings == found.setting
    whole = now & np.isfinite(found.top_cm) & np.isfinite(found.seed_cm)
    chosen = np.flatnonzero(whole)
    if not chosen.size:
        raise ValueError("there is nothing to draw: no dig has both seed and band under the press-wheel track")
    drawn = chosen[np.unique(np.linspace(0, chosen.size - 1, min(chosen.size, _MOST_DRAWN)).round().astype(int))]
    spacing = planned.row_spacing_cm if planned is not None else row_spacing_cm
    beside = np.full(found.units.size, 0.0)
    beside[drawn] = np.linspace(-_BESIDE_CM, _BESIDE_CM, drawn.size) if drawn.size > 1 else 0.0
    aside = not np.isfinite(found.offset_cm[drawn]).all()
    offsets = np.where(np.isfinite(found.offset_cm), found.offset_cm, beside)
    digs = []
    for i in drawn.tolist():
        bottom = found.bottom_cm[i]
        top = float(found.top_cm[i])
        row = 0.0 if found.units[i] % 2 else spacing
        x = min(max(row + float(offsets[i]), -spacing / 2), 1.5 * spacing)
        digs.append(Dig(x, float(found.seed_cm[i]), top, max(top, float(bottom)) if math.isfinite(bottom) else top))
    notes = [f"Digs of odd units at the left-hand row, of even units at the right-hand row; {STANDING_DIGS}."]
    if drawn.size < chosen.size:
        notes.append(f"Drawn are {drawn.size} of {chosen.size} digs, evenly chosen by their order.")
    if aside:
        notes.append("Digs without a sideways distance are set side by side.")
    left_out = int(now.sum()) - chosen.size
    if left_out:
        notes.append(f"{count_of(left_out, 'dig')} without seed or band under the track not drawn.")
    if planned is not None:
        return replace(
            planned, digs=tuple(digs), captions=(), warnings=(), standing=f"{planned.standing}; digs looked",
            note=" ".join([*notes, planned.note]).strip(),
        )  # fmt: skip
    heights = (found.bottom_cm - found.top_cm)[whole]
    heights = heights[np.isfinite(heights)]
    half = float(np.median(heights)) / 2 if heights.size and np.median(heights) > 0 else _HALF_DEFAULT
    low, high = (found.seed_depth_cm + edge for edge in found.window_cm)
    top = found.seed_depth_cm + found.target_cm
    band = Band(Spread(top, low, min(high, top + 2 * half)), top + half, half, half)
    notes.append(
        "The band is where it is wanted, as high as the digs have it; its width, residue and loosened ground are for the eye."
    )
    units = units_text(sorted({int(u) for u in found.units[drawn]}))
    return Face(
        name,
        f"wanted gap {found.window_cm[0]:g} to {found.window_cm[1]:g} cm; digs in {units}",
        spacing,
        loosened=(Loosened("strip", Spread.exact(band.bottom_cm + 1), min(25.0, spacing / 2)),),
        seed_depth_cm=found.seed_depth_cm,
        band=band,
        gap=Spread(found.target_cm, *found.window_cm) if found.window_cm[0] >= 0 else None,
        digs=tuple(digs),
        standing="looked",
        note=" ".join(notes),
    )
