"""Two pictures of a layout: where every plot lies, not to scale, and what more blocks would find."""

from __future__ import annotations

from typing import Any, Final

from spadework.present import tone
from spadework.present.charts.spec import Spec, _chart, _finish
from spadework.present.face.words import width_of
from spadework.present.layout.blocks_table import percent
from spadework.statistics.designs.randomise import Laid
from spadework.statistics.power.foretell import Foretold

__all__ = ["detectable_chart", "layout_chart"]

_WIDTH: Final = 600
_ROW: Final = 50
_GAP: Final = 0.35  # between blocks, in rows
_LETTERS: Final = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
_MOST_TONES: Final = 6
_UPTO: Final = 12


def layout_chart(laid: Laid, *, blocks_lie: str = "", title: str = "Where does every plot lie?") -> Spec:
    """Return the layout, block above block, each plot with its number and what lies on it; not to scale.

    Parameters
    ----------
    laid : Laid
        From :func:`spadework.statistics.designs.randomise.lay`.
    blocks_lie : str
        How the blocks lie in the field: ``side by side`` or ``one behind another``; left out, it is not said.
    title : str
        Title of the picture.

    Returns
    -------
    dict
        A Vega-Lite specification about 640 units wide.
    """
    import altair as alt

    systems = laid.asked.factors[0].labels
    columns = max(plot.column for plot in laid.rows)
    wide = _WIDTH / columns
    full = all(width_of(part, 13) + 8 <= wide for plot in laid.rows for part in plot.labels)
    short = {} if full else _letters(laid)
    plots: list[dict[str, Any]] = []
    heads: list[dict[str, Any]] = []
    for plot in laid.rows:
        top = plot.row - 1 + _GAP * (plot.block - 1)
        fill = tone.PART_TONES[systems.index(plot.labels[0]) % _MOST_TONES]
        shown = [*plot.labels] if full else ["".join(short[label] for label in plot.labels)]
        plots.append({
            "x": plot.column - 0.97, "x2": plot.column - 0.03, "y": top + 0.03, "y2": top + 0.97, "fill": fill,
            "ink": tone.ink_on(fill), "mid": plot.column - 0.5, "middle": top + 0.5, "text": [str(plot.number), *shown],
        })  # fmt: skip
        if plot.position == 1:
            word = "row" if laid.asked.kind == "Latin square" else "block"
            heads.append({"x": 0.0, "middle": top + 0.5, "text": f"{word} {plot.block}"})
    depth = max(row["y2"] for row in plots) + 0.03
    x = alt.X("x:Q", axis=None, scale=alt.Scale(domain=[0, columns], nice=False, zero=False))
    y = alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[depth, 0], nice=False, zero=False))
    base, names = _chart(plots), _chart(heads)
    lines = max(len(row["text"]) for row in plots)
    layers = [
        base.mark_rect(stroke=tone.INK, strokeWidth=1.2).encode(
            x=x, x2="x2:Q", y=y, y2="y2:Q", color=alt.Color("fill:N", scale=None)
        ),
        base.mark_text(baseline="middle", lineHeight=16, dy=-8 * (lines - 1)).encode(
            x=alt.X("mid:Q", axis=None),
            y=alt.Y("middle:Q", axis=None),
            text="text:N",
            color=alt.Color("ink:N", scale=None),
        ),
        names.mark_text(align="right", dx=-8, fontWeight="bold").encode(
            x=x, y=alt.Y("middle:Q", axis=None), text="text:N"
        ),
    ]
    said = f"{laid.asked.kind}; {laid.standing}; seed {laid.seed}, {laid.generator}; not to scale, seen along the rows"
    if blocks_lie and laid.asked.blocks > 1 and laid.asked.kind != "Latin square":
        said += f"; in the field the blocks lie {blocks_lie}"
    if laid.restricted:
        said += "; " + "; ".join(laid.restricted)
    if short:
        said += "; " + ", ".join(f"{letter} {label}" for label, letter in short.items())
    row_high = max(_ROW, 16 * lines + 14)
    spec = _finish(alt.layer(*layers).resolve_scale(color="independent"), title, said, _WIDTH, round(row_high * depth))
    spec["description"] = f"{title} {said}. " + "; ".join(f"{p.number} {', '.join(p.labels)}" for p in laid.rows) + "."
    return spec


def _letters(laid: Laid) -> dict[str, str]:
    """Return a short sign for every label: letters for the first factor, figures for the others."""
    first, *others = laid.asked.factors
    out = dict(zip(first.labels, _LETTERS, strict=False))
    for label in first.labels[len(_LETTERS) :]:
        out[label] = label[:3]
    return out | {label: str(n) for factor in others for n, label in enumerate(factor.labels, 1)}


def detectable_chart(found: Foretold, *, title: str = "What would more blocks find?") -> Spec:
    """Return the true difference that would likely be found, by blocks, with this plan and the wanted difference marked.

    Parameters
    ----------
    found : Foretold
        From :func:`spadework.statistics.power.foretell.foretell`.
    title : str
        Title of the picture.

    Returns
    -------
    dict
        A Vega-Lite specification about 640 units wide.

    Raises
    ------
    ValueError
        If nothing is repeated, so that no difference can be foretold.
    """
    import altair as alt

    if not found.seen:
        raise ValueError("there is nothing to show: nothing is repeated")
    blocks = found.asked.blocks
    curve = found.by_blocks or tuple(
        (blocks, each.found_share, each.found_low_share, each.found_high_share) for each in found.seen[:1]
    )
    upto = max(_UPTO, blocks + 2, min((found.blocks_wanted or 0) + 1, 24))
    least = next(one[0] for one in curve if one[1] <= 5 * found.seen[0].found_share)
    shown = [one for one in curve if least <= one[0] <= upto]
    rows = [{"blocks": n, "mid": 100 * m, "low": 100 * a, "high": 100 * b} for n, m, a, b in shown]
    top = min(max(row["high"] for row in rows), 3 * max(100 * found.seen[0].found_share, 100 * found.detect_share))
    for row in rows:
        row["high"] = min(row["high"], 1.2 * top)
    rows = [row for row in rows if row["mid"] <= top] or rows
    highest = max(100 * found.detect_share, *(row["high"] for row in rows))
    here: list[dict[str, Any]] = [
        {**row, "text": f"this plan: {percent(row['mid'] / 100)}"} for row in rows if row["blocks"] == blocks
    ]
    wanted = [
        {
            "mid": 100 * found.detect_share,
            "blocks": rows[-1]["blocks"],
            "text": f"wanted: {percent(found.detect_share)}",
        }
    ]
    ends = [rows[0]["blocks"] - 0.4, rows[-1]["blocks"] + 0.4]
    x = alt.X(
        "blocks:Q",
        title="blocks",
        scale=alt.Scale(domain=ends, nice=False, zero=False),
        axis=alt.Axis(values=[row["blocks"] for row in rows], format="d", grid=False),
    )
    y = alt.Y(
        "mid:Q",
        title="true difference that is likely found, % of the mean",
        scale=alt.Scale(domain=[0, 1.15 * highest], nice=False),
    )
    base, mark, line = _chart(rows), _chart(here), _chart(wanted)
    layers = [
        base.mark_rule(color=tone.LOOSENED_LINE, strokeWidth=6, opacity=0.6).encode(x=x, y=alt.Y("low:Q"), y2="high:Q"),
        base.mark_line(color=tone.INK, strokeWidth=1.2, strokeDash=[2, 3]).encode(x=x, y=y),
        line.mark_rule(color=tone.ACCENT, strokeWidth=1.8, strokeDash=[7, 4]).encode(y=y),
        line.mark_text(align="right", baseline="bottom", dy=-4, fontWeight="bold", color=tone.ACCENT).encode(
            x=x, y=y, text="text:N"
        ),
        base.mark_point(shape="circle", filled=True, size=60, color=tone.INK, opacity=1).encode(x=x, y=y),
        mark.mark_point(shape="square", filled=False, size=260, color=tone.INK, strokeWidth=2, opacity=1).encode(
            x=x, y=y
        ),
        mark.mark_text(align="center", baseline="bottom", dy=-6, fontWeight="bold").encode(
            x=x, y=alt.Y("high:Q"), text="text:N"
        ),
    ]
    first = found.seen[0]
    spread = ""
    if first.scatter.high > first.scatter.low:
        spread = f"; bar: at {percent(first.scatter.low)} and at {percent(first.scatter.high)}"
    said = (
        f"estimated; dot: at a scatter of {percent(first.scatter.value)} between {first.comparison.units} of a block{spread}; "
        f"found in {percent(found.power_share)} of comparisons, false alarm {percent(found.chance_share)}"
    )
    return _finish(alt.layer(*layers), title, said, _WIDTH, 330)
