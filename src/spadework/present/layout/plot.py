"""One plot seen along the heading: rows with their numbers, guard and measured rows, units of each machine, wheels."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Final

from spadework.layout.row_units import row_units
from spadework.layout.runs import Runs
from spadework.layout.tools import Outfit
from spadework.layout.widths import PlotWidth, wheeled_rows
from spadework.present import tone

__all__ = ["plot_rows"]

_LEFT: Final = 400.0
_ACROSS: Final = 1780.0
_LINE: Final = 66.0


def plot_rows(width: PlotWidth, row_spacing_m: float, outfits: Sequence[Outfit]) -> str:
    """Return the rows of a plot with which unit makes which, as SVG.

    Parameters
    ----------
    width : PlotWidth
        Rows and width of a plot.
    row_spacing_m : float
        Row to row [m].
    outfits : sequence of Outfit
        All outfits, each once.

    Notes
    -----
    Units are numbered from the left, seen forwards; the first pass runs from A to B, the next one back, on a darker ground.  What
    two passes work is dark.  A dot under a row says that a wheel of the outfit runs on it.
    """
    step = (_ACROSS - _LEFT - 64) / width.rows
    size = min(28.0, step * 0.62)

    def middle(row: int) -> float:
        return _LEFT + (row - 0.5) * step

    def text(x: float, y: float, words: str, anchor: str = "middle", large: float = size, bold: bool = False) -> str:
        weight = ' font-weight="bold"' if bold else ""
        return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="{large:.1f}"{weight}>{escape(words)}</text>'

    out = [text(0, 62, "row, from the left", "start", 27, True)]
    first, last = width.first_row, width.last_row
    out.append(
        f'<rect x="{_LEFT + (first - 1) * step:.1f}" y="20" width="{(last - first + 1) * step:.1f}" height="62" '
        f'fill="{tone.SEED}" stroke="{tone.INK}" stroke-width="3"/>'
    )
    out.append(
        f'<rect x="{_LEFT:.1f}" y="20" width="{width.rows * step:.1f}" height="62" fill="none" stroke="{tone.INK}" '
        'stroke-width="3"/>'
    )
    out += [text(middle(row), 62, str(row), bold=first <= row <= last) for row in range(1, width.rows + 1)]
    out.append(text(middle(1) - step / 2, 110, f"guard {width.left_guard}", "start", 24))
    out.append(text((middle(first) + middle(last)) / 2, 110, f"measured: rows {first} to {last}", large=24))
    out.append(text(middle(width.rows) + step / 2, 110, f"guard {width.right_guard}", "end", 24))
    y = 150.0
    for outfit in outfits:
        fit = next(one for one in width.fits if one.outfit == outfit)
        out.append(text(0, y + 26, _short(outfit.name), "start", 25))
        if outfit.rows is not None:
            for one in row_units(width.rows, outfit.rows):
                fill = tone.UNDISTURBED if one.back else "#ffffff"
                x = _LEFT + (one.row - 1) * step
                out.append(
                    f'<rect x="{x:.1f}" y="{y:.1f}" width="{step:.1f}" height="34" fill="{fill}" stroke="{tone.RULE}" '
                    'stroke-width="1.5"/>'
                )
                out.append(text(middle(one.row), y + 25, str(one.unit)))
            for join in range(outfit.rows, width.rows, outfit.rows):
                x = _LEFT + join * step
                out.append(f'<path d="M{x:.1f} {y - 6:.1f}v46" stroke="{tone.INK}" stroke-width="5"/>')
        else:
            out += _passes(outfit.width_m, fit.runs, step / row_spacing_m, y)
        for row in wheeled_rows(width.rows, row_spacing_m, fit):
            out.append(f'<circle cx="{middle(row):.1f}" cy="{y + 45:.1f}" r="5" fill="{tone.INK}"/>')
        y += _LINE
    said = (
        f"Rows 1 to {width.rows} of a plot, {first} to {last} measured, with the unit of each machine that makes them"
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="178mm" height="{(y + 6) / 10:g}mm" viewBox="0 0 {_ACROSS:g} {y + 6:g}" '
        f'role="img" aria-label="{escape(said)}" font-family="{tone.FONTS}" fill="{tone.INK}">'
        f'<rect width="100%" height="100%" fill="#ffffff"/>{"".join(out)}</svg>\n'
    )


def _passes(width_m: float, runs: Runs, unit: float, y: float) -> list[str]:
    """Draw passes of a machine that does not work row by row as bars; what lies over the border sticks out."""

    def bar(left_m: float, right_m: float, fill: str) -> str:
        low, high = max(_LEFT + left_m * unit, _LEFT - 60), min(_LEFT + right_m * unit, _ACROSS)
        return (
            f'<rect x="{low:.1f}" y="{y:.1f}" width="{high - low:.1f}" height="34" fill="{fill}" stroke="{tone.QUIET}" '
            'stroke-width="2"/>'
        )

    out = [
        bar(middle - width_m / 2, middle + width_m / 2, tone.UNDISTURBED if run % 2 else "#ffffff")
        for run, middle in enumerate(runs.middles_m)
    ]
    return [*out, *(bar(left, right, tone.QUIET) for left, right in runs.twice)]


def _short(name: str) -> str:
    return name if len(name) <= 26 else name[:25] + "\u2026"
