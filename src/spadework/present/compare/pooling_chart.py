"""Several fields drawn: each as a dot with its line, the mean over all as a diamond, a new field as a dashed line."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike

from spadework.present import tone
from spadework.present.charts.spec import Spec, _chart, _figure, _finish, _name, _system_axis
from spadework.present.face.words import width_of
from spadework.statistics.fields.pooling import Pooled

__all__ = ["pooling_chart"]

_WIDTH: Final = 640
_LABELS: Final = 150
_TYPE: Final = 13
_ROW: Final = 34
_MEAN: Final = "mean over the fields"
_NEW: Final = "a new field"
_MINUS: Final = "−"


def pooling_chart(
    fields: Sequence[str],
    difference: ArrayLike,
    standard_error: ArrayLike,
    pooled: Pooled,
    unit: str,
    *,
    standing: str,
    limit: float | None = None,
    title: str = "What several fields say together",
) -> Spec:
    """Return each field as a dot with its interval, the mean over all, and what a new field may show.

    Parameters
    ----------
    fields : sequence of str
        Names of the fields.
    difference, standard_error : array_like
        Difference of each and its standard error, in `unit`.
    pooled : Pooled
        From :func:`spadework.statistics.fields.pooling.pool`.
    unit : str
        Unit of all figures.
    standing : str
        Standing of the evidence.
    limit : float, optional
        Difference that pays, drawn as a dotted line.
    title : str
        Title of the chart.

    Returns
    -------
    dict
        A Vega-Lite specification 640 units wide.  The larger a dot, the more its field weighs; shape and dash say what is
        what, colour says nothing by itself.

    Raises
    ------
    ValueError
        If names and figures do not fit, or a name comes twice.
    """
    import altair as alt
    from scipy.special import ndtri

    found, se = np.asarray(difference, np.float64), np.asarray(standard_error, np.float64)
    if not len(fields) == found.size == se.size == pooled.fields or len(set(fields)) != len(fields):
        raise ValueError("`fields`, `difference` and `standard_error` must be of one length, each field once")
    half = float(ndtri((1 + pooled.confidence_share) / 2)) * se
    names = [_name(field) for field in fields]
    rows: list[dict[str, Any]] = [
        {"system": n, "mid": float(d), "low": float(d - h), "high": float(d + h), "size": 40 + 400 * float(w)}
        for n, d, h, w in zip(names, found, half, pooled.weights, strict=True)
    ]
    means = [{"system": _MEAN, "mid": pooled.difference, "low": pooled.interval[0], "high": pooled.interval[1]}]
    low, high = pooled.new_field
    new = [{"system": _NEW, "mid": pooled.difference, "low": low, "high": high}] if np.isfinite(low) else []
    everything = [*rows, *means, *new]
    wide = pooled.interval[1] - pooled.interval[0]
    places = min(4, max(0, 1 - math.floor(math.log10(wide)))) if wide > 0 else 2
    for row in everything:
        mid, start, end = (_figure(row[key], places, sign=True) for key in ("mid", "low", "high"))
        row["text"] = f"{mid} ({start} to {end})"
    words = max(width_of(row["text"], _TYPE) for row in everything)
    plot = _WIDTH - _LABELS - words - 45
    ends = [0.0, *(row[end] for row in everything for end in ("low", "high")), *([] if limit is None else [limit])]
    room = 0.05 * (max(ends) - min(ends)) or 1.0
    order = [str(row["system"]) for row in everything]
    y = _system_axis(alt, order)
    x = alt.X(
        "mid:Q",
        title=f"difference, {_name(unit)}",
        scale=alt.Scale(domain=[min(ends) - room, max(ends) + room], nice=False, zero=False),
        axis=alt.Axis(labelExpr=f"(datum.value > 0 ? '+' : '') + replace(datum.label, '-', '{_MINUS}')", tickCount=5),
    )
    each, mean, next_one = _chart(rows), _chart(means), _chart(new)
    layers = [_chart([{"at": 0}]).mark_rule(color=tone.INK, strokeWidth=1.6).encode(x=alt.X("at:Q"))]
    if limit is not None:
        pays = _chart([{"at": limit, "name": "pays from here"}])
        layers += [
            pays.mark_rule(color=tone.INK, strokeWidth=1.4, strokeDash=[1, 4]).encode(x=alt.X("at:Q")),
            pays.mark_text(baseline="bottom", dy=-5, fontStyle="italic").encode(
                x=alt.X("at:Q"), y=alt.value(0), text="name:N"
            ),
        ]
    layers += [
        each.mark_rule(color=tone.INK, strokeWidth=1.6).encode(y=y, x=alt.X("low:Q"), x2="high:Q"),
        each.mark_point(shape="circle", filled=True, color=tone.SLURRY_PALE, stroke=tone.INK, strokeWidth=1, opacity=1).encode(
            y=y, x=x, size=alt.Size("size:Q", scale=None)
        ),
        mean.mark_rule(color=tone.INK, strokeWidth=3.5).encode(y=y, x=alt.X("low:Q"), x2="high:Q"),
        mean.mark_point(shape="diamond", size=260, filled=True, color=tone.ACCENT, stroke=tone.PAPER, opacity=1).encode(y=y, x=x),
        next_one.mark_rule(color=tone.INK, strokeWidth=2, strokeDash=[7, 4]).encode(y=y, x=alt.X("low:Q"), x2="high:Q"),
        next_one.mark_point(shape="diamond", size=120, filled=False, color=tone.INK, strokeWidth=1.6, opacity=1).encode(y=y, x=x),
        _chart(everything).mark_text(align="left", baseline="middle").encode(y=y, x=alt.value(plot + 14), text="text:N"),
    ]  # fmt: skip
    said = (
        f"{standing}; lines: {100 * pooled.confidence_share:g} % intervals; the larger a dot, the more its field weighs"
    )
    if new:
        said += "; dashed: where the true difference of a new field like these may lie"
    spec = _finish(alt.layer(*layers), title, said, plot, _ROW * len(order))
    told = "; ".join(f"{row['system']} {row['text']}" for row in everything)
    spec["description"] = f"{title}. {told}, {unit}. {standing}."
    return spec
