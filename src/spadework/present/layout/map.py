"""The map of a layout, to scale: field, water, obstacles, plots with a hatch for each system, pegs, north and scale bar."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from html import escape
from typing import Any, Final

import numpy as np

from spadework.layout.lines import Line
from spadework.layout.pegs import PegTable
from spadework.layout.place import Placed
from spadework.present import tone
from spadework.present.layout.map_key import (
    HATCHES,
    SMALL_KEY_MM,
    Sheet,
    U,
    hatch_patterns,
    key,
    key_mm,
    room_of,
    small_key,
    text,
)

__all__ = ["PAPERS", "best_scale", "layout_map"]

#: Room for the map on each paper, portrait, in millimetres: breadth and height.
PAPERS: Final = {"a4": (178.0, 205.0), "a3": (265.0, 325.0)}
_SCALES: Final = (200, 250, 400, 500, 750, 1000, 1250, 1500, 2000, 2500, 3000, 4000, 5000, 7500, 10_000, 20_000, 50_000)
_MARGIN_MM: Final = 6.0
_TYPE: Final = 30.0  # 8.5 points
_LABEL: Final = 40.0
_MOST_ARROWS: Final = 16
_DEFAULT = "#ffffff"


def best_scale(placed: Placed, room_mm: tuple[float, float]) -> tuple[int, bool]:
    """Return the largest round scale at which a field fits a paper, and whether the paper lies on its side.

    Parameters
    ----------
    placed : Placed
        The layout on its field.
    room_mm : tuple of float
        Breadth and height of the room for the map, portrait [mm].
    """
    for scale in _SCALES:
        for sideways in (False, True):
            if _fits(placed, scale, room_mm[::-1] if sideways else room_mm):
                return scale, sideways
    raise ValueError("the field is too large for any scale of the map")


def layout_map(
    placed: Placed,
    table: PegTable,
    *,
    scale: int | None = None,
    paper: str = "a4",
    lines: Sequence[Line] = (),
    room_mm: tuple[float, float] | None = None,
    invented: bool = False,
    prefix: str = "",
    ratio: bool = True,
) -> str:
    """Return the map of a layout as SVG, sized in millimetres so that its scale holds in print.

    Parameters
    ----------
    placed : Placed
        The layout on its field.
    table : PegTable
        Its pegs.
    scale : int, optional
        So many metres to one; the largest round one that fits if left out.
    paper : str
        ``a4`` or ``a3``.
    lines : sequence of Line
        Driving lines that are drawn with their numbers, for a page for one driver.
    room_mm : tuple of float, optional
        Breadth and height of the drawing [mm], in place of the paper's.
    invented : bool
        True where the plan is made up; the map then says so.
    prefix : str
        In front of the names of hatches and marks, where several drawings stand on one page.
    ratio : bool
        True where the scale stands on it as a ratio; a page that sizes the drawing itself leaves it to the bar.

    Notes
    -----
    North is up.  Nothing is said by colour alone: each system has a hatch of its own and its name on each plot.
    """
    room = room_mm or PAPERS[paper]
    if room_mm is None:
        found, sideways = best_scale(placed, room)
    else:
        found, sideways = next(one for one in _SCALES if _fits(placed, one, room, near=bool(lines))), False
    across, up = room[::-1] if sideways else room
    sheet = Sheet(placed, scale or found, across, up, bool(lines))
    driven = {line.plot for line in lines}
    body = [
        *_ground(placed, sheet),
        *_plots(placed, sheet, driven),
        *_marks(placed, sheet, table, bool(lines)),
        *_driven(sheet, lines),
        *_labels(placed, sheet, driven),
        *(small_key(sheet) if lines else key(placed, sheet, invented, ratio)),
    ]
    at = f" at 1:{sheet.scale}" if ratio else ""
    said = f"Map of {placed.host.name or 'the field'}{at}, north up: {len(placed.plots)} plots of " + (
        ", ".join(placed.systems) + f"; rows run at {placed.heading_deg:.1f} degrees from north"
    )
    out = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{across:g}mm" height="{up:g}mm" '
        f'viewBox="0 0 {sheet.across:g} {sheet.up:g}" role="img" aria-label="{escape(said)}" '
        f'font-family="{tone.FONTS}" font-size="{_TYPE:g}" fill="{tone.INK}"><defs>{hatch_patterns()}{_others()}</defs>'
        f'<rect width="100%" height="100%" fill="{_DEFAULT}"/>{"".join(body)}</svg>\n'
    )
    return out.replace(' id="', f' id="{prefix}').replace('"url(#', f'"url(#{prefix}') if prefix else out


def _fits(placed: Placed, scale: int, room_mm: tuple[float, float], near: bool = False) -> bool:
    left, low, right, high = room_of(placed, near)
    across, up = (right - left) * 1000 / scale, (high - low) * 1000 / scale
    return across <= room_mm[0] - 2 * _MARGIN_MM and up <= room_mm[1] - key_mm(near) - 2 * _MARGIN_MM


def _others() -> str:
    return (
        '<pattern id="turning" patternUnits="userSpaceOnUse" width="26" height="26">'
        f'<path d="M4 4h3v3h-3zM17 17h3v3h-3z" fill="{tone.RULE}"/></pattern>'
        '<pattern id="lane" patternUnits="userSpaceOnUse" width="10" height="10">'
        f'<rect width="10" height="10" fill="{tone.ACCENT_PALE}"/></pattern>'
        f'<marker id="ahead" markerWidth="6" markerHeight="6" viewBox="0 0 9 9" refX="7" refY="4.5" orient="auto" '
        'markerUnits="strokeWidth">'
        f'<path d="M0 0L9 4.5L0 9z" fill="{tone.INK}"/></marker>'
    )


def _ground(placed: Placed, sheet: Sheet) -> Iterator[str]:
    host, rules = placed.host, placed.rules
    yield f'<path d="{sheet.path(list(host.outline.exterior.coords))}" fill="{tone.PAPER}" stroke="{tone.INK}" stroke-width="7"/>'
    for water in host.water:
        if rules.water_m:
            edge = water.buffer(rules.water_m).intersection(host.outline)
            for part in getattr(edge, "geoms", [edge]):
                if part.geom_type == "Polygon":
                    yield (
                        f'<path d="{sheet.path(list(part.exterior.coords))}" fill="none" stroke="{tone.ACCENT}" '
                        'stroke-width="3" stroke-dasharray="14 9"/>'
                    )
        for part in getattr(water, "geoms", [water]):
            points = list(part.exterior.coords if part.geom_type == "Polygon" else part.coords)
            if part.geom_type == "Point":
                x, y = sheet.spot(*points[0][:2])
                yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="14" fill="{tone.ACCENT}"/>'
            else:
                inside = tone.ACCENT_PALE if part.geom_type == "Polygon" else "none"
                closed = part.geom_type == "Polygon"
                yield f'<path d="{sheet.path(points, closed)}" fill="{inside}" stroke="{tone.ACCENT}" stroke-width="13"/>'
    for one in placed.turning:
        yield f'<path d="{sheet.path(list(one.exterior.coords))}" fill="url(#turning)" stroke="{tone.RULE}" stroke-width="2"/>'
    for one in placed.lanes:
        yield f'<path d="{sheet.path(list(one.exterior.coords))}" fill="url(#lane)" stroke="{tone.ACCENT}" stroke-width="2"/>'
    for obstacle in host.obstacles:
        for part in getattr(obstacle, "geoms", [obstacle]):
            if part.geom_type != "Point":
                closed = part.geom_type == "Polygon"
                edge = sheet.path(list(part.exterior.coords if closed else part.coords), closed)
                inside = tone.QUIET if closed else "none"
                yield f'<path d="{edge}" fill="{inside}" stroke="{tone.INK}" stroke-width="{3 if closed else 8}"/>'
            x, y = sheet.spot(part.centroid.x, part.centroid.y)
            yield (
                f'<path d="M{x - 14:.1f} {y - 14:.1f}l28 28m0 -28l-28 28" stroke="{tone.PAPER}" stroke-width="15"/>'
                f'<path d="M{x - 14:.1f} {y - 14:.1f}l28 28m0 -28l-28 28" stroke="{tone.INK}" stroke-width="7"/>'
            )


def _plots(placed: Placed, sheet: Sheet, driven: set[int]) -> Iterator[str]:
    names = list(placed.systems)
    for plot in placed.plots:
        quiet = bool(driven) and plot.number not in driven
        hatch = f"url(#system-{names.index(plot.labels[0]) % len(HATCHES)})"
        fill = _DEFAULT if quiet else tone.UNDISTURBED if driven else hatch
        stroke = tone.RULE if quiet else tone.INK
        yield f'<path d="{sheet.path(plot.corners)}" fill="{fill}" stroke="{stroke}" stroke-width="4"/>'
        if quiet:
            continue
        if not driven:
            yield (
                f'<path d="{sheet.path(plot.measured)}" fill="none" stroke="{tone.INK}" stroke-width="2.5" '
                'stroke-dasharray="9 7"/>'
            )


def _labels(placed: Placed, sheet: Sheet, driven: set[int]) -> Iterator[str]:
    for plot in placed.plots:
        if driven and plot.number not in driven:
            continue
        words = str(plot.number) if driven else " ".join([str(plot.number), *plot.labels])
        size = min(_LABEL, sheet.long(plot.width_m) * 0.62)
        room = sheet.long(plot.length_m) / (0.56 * len(words))
        if room < 0.6 * size:
            words = str(plot.number)
        else:
            size = min(size, room)
        middle = np.array(plot.corners)
        if driven:
            middle = 0.8 * middle + 0.2 * np.array([plot.corners[0], plot.corners[1], plot.corners[1], plot.corners[0]])
        x, y = sheet.spot(*middle.mean(axis=0).tolist())
        turn = (placed.heading_deg - 90 + 90) % 180 - 90
        yield (
            f'<text x="{x:.1f}" y="{y:.1f}" dy=".35em" font-size="{size:.1f}" font-weight="bold" text-anchor="middle" '
            f'transform="rotate({turn:.2f} {x:.1f} {y:.1f})" stroke="#ffffff" stroke-width="9" paint-order="stroke" '
            f'stroke-linejoin="round">{escape(words)}</text>'
        )


def _marks(placed: Placed, sheet: Sheet, table: PegTable, driver: bool) -> Iterator[str]:
    for name, east, north in dict.fromkeys((*placed.host.fixed, table.first, table.second)):
        x, y = sheet.spot(east, north)
        if driver and not (30 < x < sheet.across - 30 and 30 < y < sheet.up - SMALL_KEY_MM * U - 60):
            continue
        yield f'<path d="M{x:.1f} {y - 17:.1f}l16 28h-32z" fill="{tone.PAPER}" stroke="{tone.INK}" stroke-width="5"/>'
        at = "end" if x > sheet.across - 250 else "start"
        down = 46 if driver else 4  # numbers of passes stand at the ends of the plots
        yield text(x + (-22 if at == "end" else 22), y + down, name, _TYPE * 0.9, at)
    yield from _ends(placed, sheet)
    if driver:
        return
    ends: dict[tuple[int, str], list[Any]] = {}
    for peg in table.pegs:
        x, y = sheet.spot(peg.east_m, peg.north_m)
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="{tone.PAPER}" stroke="{tone.INK}" stroke-width="3"/>'
        if peg.name.strip("0123456789") in ("F", "B"):
            ends.setdefault((peg.marks[0] // 100, peg.name.strip("0123456789")), []).append(peg)
    turn = math.radians(placed.heading_deg)
    for (_, side), some in ends.items():
        away = -30 if side == "F" else 30
        for peg in (some[0], some[-1]):
            x, y = sheet.spot(peg.east_m, peg.north_m)
            toward = 26 if peg is some[0] else -26
            x += away * math.sin(turn) + toward * math.cos(turn)
            y -= away * math.cos(turn) - toward * math.sin(turn)
            yield text(x, y + 8, peg.name, 24, "middle")


def _ends(placed: Placed, sheet: Sheet) -> Iterator[str]:
    """Draw A and B at the two ends of the rows, left of the first plot."""
    first = min(placed.plots, key=lambda plot: plot.number)
    turn = math.radians(placed.heading_deg)
    for name, corner, away in (("A", first.corners[0], -1), ("B", first.corners[3], 1)):
        x, y = sheet.spot(*corner)
        x += -36 * math.cos(turn) + 14 * away * math.sin(turn)
        y -= 36 * math.sin(turn) + 14 * away * math.cos(turn)
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="24" fill="{tone.INK}"/>'
        yield (
            f'<text x="{x:.1f}" y="{y + 12:.1f}" font-size="36" font-weight="bold" text-anchor="middle" '
            f'fill="{tone.PAPER}">{name}</text>'
        )


def _driven(sheet: Sheet, lines: Sequence[Line]) -> Iterator[str]:
    """Draw passes as numbered arrows, plots with many as one; a ring where the tank is filled."""
    plots: dict[int, list[Line]] = {}
    for line in lines:
        plots.setdefault(line.plot, []).append(line)
    single = len(lines) <= _MOST_ARROWS
    arrows: list[tuple[tuple[float, float], tuple[float, float], str, bool, int]] = []
    for at, mine in enumerate(plots.values()):
        if single:
            arrows += [(one.start, one.end, str(one.order), one.refill, one.order) for one in mine]
            continue
        first, last = mine[0], mine[-1]
        begin, end = (last.end, last.start) if last.back != first.back else (last.start, last.end)
        middle = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in ((first.start, begin), (first.end, end))]
        words = str(first.order) if len(mine) == 1 else f"{first.order}-{last.order}"
        arrows.append((middle[0], middle[1], words, any(one.refill for one in mine), at))
    for (x, y), (to_x, to_y) in ((sheet.spot(*one[0]), sheet.spot(*one[1])) for one in arrows):
        yield (
            f'<path d="M{x:.1f} {y:.1f}L{to_x:.1f} {to_y:.1f}" stroke="{tone.INK}" stroke-width="3.2" fill="none" '
            'marker-end="url(#ahead)"/>'
        )
    for begin, end, words, refill, at in arrows:
        (x, y), (to_x, to_y) = sheet.spot(*begin), sheet.spot(*end)
        length = math.hypot(to_x - x, to_y - y) or 1.0
        off = 24 + 30 * (at // (2 if single else 1) % 2)  # neighbours stand at two distances
        at_x, at_y = x - (to_x - x) / length * off, y - (to_y - y) / length * off
        if refill:
            wide = 12 + 8 * len(words)
            yield (
                f'<ellipse cx="{at_x:.1f}" cy="{at_y:.1f}" rx="{wide}" ry="22" fill="{tone.PAPER}" stroke="{tone.INK}" '
                'stroke-width="5"/>'
            )
        yield text(at_x, at_y + 10, words, 29, "middle", bold=True)
