"""Drawings of a harvest: plots with their doubt, the points that were removed from a log, and the delay of its sensor."""

from __future__ import annotations

import json
from typing import Any, Final

import numpy as np

from spadework.findings.harvest import LoggedPlots, PlotYields
from spadework.present import tone
from spadework.present.charts.spec import Spec, _chart, _finish, _name
from spadework.ranges import FloatArray

__all__ = ["delay_chart", "removed_map", "yields_chart"]

_WIDTH: Final = 600.0
_LEAST: Final = 150.0
_TALLEST: Final = 620.0
_MOST_POINTS: Final = 3_000
_NINETY_FIVE: Final = 1.96
_LOOKED: Final = "looked: nothing here holds one system against another"
_GROUPS: Final = {  # group of steps, as one reads it on the map: shape, and the steps
    "ends of passes": ("square", ("start of a pass", "end of a pass", "no flow at the later time")),
    "speed": ("triangle-up", ("speed", "change of speed")),
    "moisture or yield that cannot be": ("diamond", ("moisture", "biological limits")),
    "far from strip or neighbours": ("cross", ("far from the mean of the strip", "neighbours in the strip")),
    "short piece or same place twice": ("triangle-down", ("short segment", "same place twice")),
}


def yields_chart(found: PlotYields, *, title: str = "Dry matter of each plot") -> Spec:
    """Return a dot for each plot, in the order of the table; a line of 95 % for weighing and sampling where it is known.

    Parameters
    ----------
    found : PlotYields
        The plots.
    title : str
        Title of the chart.

    Returns
    -------
    dict
        A Vega-Lite specification.
    """
    import altair as alt

    rows: list[dict[str, Any]] = []
    for i, plot in enumerate(found.plots):
        said = " ".join(part for part in (plot, found.systems[i]) if part)
        half = _NINETY_FIVE * float(found.se_t_ha[i])
        mid = float(found.dm_t_ha[i])
        if not np.isfinite(mid):
            continue
        known = bool(np.isfinite(half))
        rows.append({"plot": f"{i + 1}", "label": _name(said)[:40], "mid": round(mid, 3), "known": known,
                     "low": round(mid - (half if known else 0), 3), "high": round(mid + (half if known else 0), 3)})  # fmt: skip
    names = json.dumps({row["plot"]: row["label"] for row in rows})
    axis = alt.Axis(title=None, labelExpr=f"({names})[datum.value]", labelLimit=220, ticks=False, domain=False)
    y = alt.Y("plot:N", sort=[row["plot"] for row in rows], axis=axis)
    x = alt.X(
        "mid:Q",
        title="dry matter, t/ha",
        scale=alt.Scale(zero=False, nice=False, padding=18),
        axis=alt.Axis(tickCount=5, labelFlush=False),
    )
    base = _chart(rows)
    dots = base.mark_point(shape="circle", filled=True, size=90, color=tone.INK, opacity=1).encode(y=y, x=x)
    lines = base.mark_rule(color=tone.INK, strokeWidth=2).encode(y=y, x=alt.X("low:Q"), x2="high:Q")
    known = any(row["known"] for row in rows)
    doubt = "lines: 95 % for weighing, sampling and measuring" if known else "a log has no standard error of its own"
    return _finish(alt.layer(lines, dots), title, f"{_LOOKED}; {doubt}", _WIDTH - 160, 28.0 * len(rows))


def removed_map(
    found: LoggedPlots, east_m: FloatArray, north_m: FloatArray, *, title: str = "What was removed, and where"
) -> Spec:
    """Return the field from above: points that count, pale, and those that were removed, by shape for the reason.

    Parameters
    ----------
    found : LoggedPlots
        The cleaned log.
    east_m, north_m : FloatArray
        Places of its points [m].
    title : str
        Title of the drawing.

    Returns
    -------
    dict
        A Vega-Lite specification; one metre is as long upward as across.  Points with the header up are not drawn.
    """
    import altair as alt

    cleaned = found.cleaned
    group_of = {step: group for group, (_, steps) in _GROUPS.items() for step in steps}
    steps = ["", *(step.name for step in cleaned.steps)]
    shown = np.flatnonzero((cleaned.reason == 0) | (cleaned.reason > 1))
    kept, gone = shown[cleaned.reason[shown] == 0], shown[cleaned.reason[shown] > 1]
    every_kept, every_gone = (max(1, -(-part.size // _MOST_POINTS)) for part in (kept, gone))
    size, x, y = _scales(east_m[shown], north_m[shown])
    pale = _chart([{"x": round(float(east_m[k]), 1), "y": round(float(north_m[k]), 1)} for k in kept[::every_kept]])
    rows = [
        {
            "x": round(float(east_m[k]), 1),
            "y": round(float(north_m[k]), 1),
            "why": group_of[steps[int(cleaned.reason[k])]],
        }
        for k in gone[::every_gone]
    ]
    layers = [pale.mark_point(shape="circle", filled=True, size=9, color=tone.SLURRY_PALE, opacity=1).encode(x=x, y=y)]
    there = [group for group in _GROUPS if any(row["why"] == group for row in rows)]
    if there:
        shapes = alt.Scale(domain=there, range=[_GROUPS[group][0] for group in there])
        legend = alt.Legend(
            orient="bottom", direction="vertical", columns=1, title="removed", labelLimit=320, symbolSize=110
        )
        marks = _chart(rows).mark_point(filled=False, size=60, color=tone.WARNING, strokeWidth=1.5, opacity=1)
        layers.append(marks.encode(x=x, y=y, shape=alt.Shape("why:N", scale=shapes, legend=legend)))
    said = f"{100 * cleaned.removed_share:.1f} % of the points with the header down; dots: points that count"
    if max(every_kept, every_gone) > 1:
        said += f"; drawn is every {every_kept}. that counts and every {every_gone}. that was removed"
    spec = _finish(alt.layer(*layers), title, f"{_LOOKED}; {said}", *size)
    told = "; ".join(f"{group}: {sum(row['why'] == group for row in rows)} drawn" for group in there)
    spec["description"] = f"{title}. {said}. {told or 'nothing was removed'}. {_LOOKED}."
    return spec


def _scales(east: FloatArray, north: FloatArray) -> tuple[tuple[float, float], Any, Any]:
    """Return width and height of the drawing and both axes, one metre as long upward as across."""
    import altair as alt

    low = np.array([east.min(), north.min()]) - 5.0
    high = np.array([east.max(), north.max()]) + 5.0
    wide, tall = (high - low).tolist()
    scale = min(_WIDTH / wide, _TALLEST / tall)
    size = max(wide * scale, _LEAST), max(tall * scale, _LEAST)
    spare = (np.array(size) / scale - (high - low)) / 2
    low, high = low - spare, high + spare
    x = alt.X("x:Q", title="m east", scale=alt.Scale(domain=[low[0], high[0]], nice=False, zero=False))
    y = alt.Y("y:Q", title="m north", scale=alt.Scale(domain=[low[1], high[1]], nice=False, zero=False))
    return size, x, y


def delay_chart(found: LoggedPlots, *, title: str = "At which delay do opposite passes agree best?") -> Spec:
    """Return the agreement of passes to and fro against the delay, and the delay that was taken out.

    Parameters
    ----------
    found : LoggedPlots
        The cleaned log.
    title : str
        Title of the chart.

    Returns
    -------
    dict
        A Vega-Lite specification.
    """
    import altair as alt

    curve = found.curve
    rows = [
        {"delay": float(d), "agreement": round(float(a), 4)}
        for d, a in zip(curve.delays_s, curve.agreement, strict=True)
        if np.isfinite(a)
    ]
    x = alt.X("delay:Q", title="delay from header to sensor, s")
    y = alt.Y("agreement:Q", title="correlation", scale=alt.Scale(zero=False))
    line = _chart(rows).mark_line(color=tone.INK, strokeWidth=2, point={"color": tone.INK, "size": 22})
    taken = _chart([{"at": found.delay_s}]).mark_rule(color=tone.ACCENT, strokeWidth=2.5, strokeDash=[6, 3])
    said = f"dashed: {found.delay_s:.1f} s, {found.delay_from}; correlation of neighbouring places over {curve.pairs} pairs"
    layers = alt.layer(line.encode(x=x, y=y), taken.encode(x=alt.X("at:Q")))
    return _finish(layers, title, said, _WIDTH, 200.0)
