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

__all__ = ["HATCHES", "PAPERS", "STANDINGS_PLANNED", "best_scale", "hatch_patterns", "layout_map"]

#: What readings taken from a layout will be, in words.
STANDINGS_PLANNED: Final = {
    "replicated": "replicated: blocks, order drawn",
    "strips": "strips: repeated, order not drawn",
    "looked": "looked at: nothing is repeated",
}

#: Room for the map on each paper, portrait, in millimetres: breadth and height.
PAPERS: Final = {"a4": (178.0, 205.0), "a3": (265.0, 325.0)}
_SCALES: Final = (200, 250, 400, 500, 750, 1000, 1250, 1500, 2000, 2500, 3000, 4000, 5000, 7500, 10_000, 20_000, 50_000)
_U: Final = 10.0  # drawing units in a millimetre
_KEY_MM: Final = 27.0
_SMALL_KEY_MM: Final = 16.0
_MARGIN_MM: Final = 6.0
_TYPE: Final = 30.0  # 8.5 points
_LABEL: Final = 40.0
_MOST_ARROWS: Final = 16
_DEFAULT = "#ffffff"

#: A hatch for each system: ground, and what is drawn on it in a tile of so many units.
HATCHES: Final = (
    ("#ffffff", 0, ""),
    ("#d9bf8f", 0, ""),
    ("#ffffff", 22, "M0 0L22 22M-2 20L2 24M20 -2L24 2"),
    ("#efe3cc", 20, "M6 6h5v5h-5z"),
    ("#ffffff", 24, "M0 12H24"),
    ("#ffffff", 24, "M0 0L24 24M24 0L0 24"),
    ("#efe3cc", 26, "M26 0L0 26"),
    ("#ffffff", 20, "M0 10H20M10 0V20"),
    ("#b99a6b", 26, "M0 13H26"),
    ("#ffffff", 14, "M3 3h4v4h-4z"),
    ("#efe3cc", 24, "M12 0V24"),
    ("#b99a6b", 26, "M0 0L26 26"),
)


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


def _bounds(placed: Placed, near: bool = False) -> tuple[float, float, float, float]:
    """Return the edges of what is shown: the field and its points, or the plots with their room to turn."""
    if near:
        from shapely import union_all

        shown = union_all([*(plot.polygon for plot in placed.plots), *placed.turning])
        left, low, right, high = shown.bounds
        return float(left), float(low), float(right), float(high)
    host = placed.host
    left, low, right, high = host.outline.bounds
    for _, east, north in host.fixed:
        if host.outline.distance(_point(east, north)) < 100:
            left, right = min(left, east), max(right, east)
            low, high = min(low, north), max(high, north)
    return float(left), float(low), float(right), float(high)


def _key_mm(near: bool) -> float:
    return _SMALL_KEY_MM if near else _KEY_MM


def _point(east: float, north: float) -> Any:
    from shapely.geometry import Point

    return Point(east, north)


def hatch_patterns() -> str:
    """Return the hatches of the systems as SVG patterns called ``system-0`` and so on."""
    out = []
    for number, (ground, tile, path) in enumerate(HATCHES):
        size = tile or 20
        drawn = f'<path d="{path}" stroke="{tone.QUIET}" stroke-width="1.8" fill="none"/>' if path else ""
        out.append(
            f'<pattern id="system-{number}" patternUnits="userSpaceOnUse" width="{size}" height="{size}">'
            f'<rect width="{size}" height="{size}" fill="{ground}"/>{drawn}</pattern>'
        )
    return "".join(out)


class _Sheet:
    """Metres of the field to units of the drawing."""

    def __init__(self, placed: Placed, scale: int, across_mm: float, up_mm: float, near: bool) -> None:
        left, low, right, high = _bounds(placed, near)
        self.scale = scale
        self._unit = _U * 1000 / scale
        self.across, self.up = across_mm * _U, up_mm * _U
        self._left = (self.across - (right - left) * self._unit) / 2 - left * self._unit
        self._top = ((up_mm - _key_mm(near)) * _U - (high - low) * self._unit) / 2 + high * self._unit

    def spot(self, east: float, north: float) -> tuple[float, float]:
        """Return where a place lies on the drawing."""
        return self._left + east * self._unit, self._top - north * self._unit

    def path(self, points: Sequence[tuple[float, float]], closed: bool = True) -> str:
        """Return points as a path."""
        spots = [self.spot(x, y) for x, y in points]
        return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in spots) + ("Z" if closed else "")

    def long(self, metres: float) -> float:
        """Return a length on the drawing."""
        return metres * self._unit


def layout_map(
    placed: Placed,
    table: PegTable,
    *,
    scale: int | None = None,
    paper: str = "a4",
    lines: Sequence[Line] = (),
    room_mm: tuple[float, float] | None = None,
    invented: bool = False,
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
    sheet = _Sheet(placed, scale or found, across, up, bool(lines))
    driven = {line.plot for line in lines}
    body = [
        *_ground(placed, sheet),
        *_plots(placed, sheet, driven),
        *_marks(placed, sheet, table, bool(lines)),
        *_driven(sheet, lines),
        *_labels(placed, sheet, driven),
        *(_small_key(sheet) if lines else _key(placed, sheet, invented)),
    ]
    said = f"Map of {placed.host.name or 'the field'} at 1:{sheet.scale}, north up: {len(placed.plots)} plots of " + (
        ", ".join(placed.systems) + f"; rows run at {placed.heading_deg:.1f} degrees from north"
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{across:g}mm" height="{up:g}mm" '
        f'viewBox="0 0 {sheet.across:g} {sheet.up:g}" role="img" aria-label="{escape(said)}" '
        f'font-family="{tone.FONTS}" font-size="{_TYPE:g}" fill="{tone.INK}"><defs>{hatch_patterns()}{_others()}</defs>'
        f'<rect width="100%" height="100%" fill="{_DEFAULT}"/>{"".join(body)}</svg>\n'
    )


def _fits(placed: Placed, scale: int, room_mm: tuple[float, float], near: bool = False) -> bool:
    left, low, right, high = _bounds(placed, near)
    across, up = (right - left) * 1000 / scale, (high - low) * 1000 / scale
    return across <= room_mm[0] - 2 * _MARGIN_MM and up <= room_mm[1] - _key_mm(near) - 2 * _MARGIN_MM


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


def _ground(placed: Placed, sheet: _Sheet) -> Iterator[str]:
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


def _plots(placed: Placed, sheet: _Sheet, driven: set[int]) -> Iterator[str]:
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


def _labels(placed: Placed, sheet: _Sheet, driven: set[int]) -> Iterator[str]:
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


def _marks(placed: Placed, sheet: _Sheet, table: PegTable, driver: bool) -> Iterator[str]:
    for name, east, north in dict.fromkeys((*placed.host.fixed, table.first, table.second)):
        x, y = sheet.spot(east, north)
        yield f'<path d="M{x:.1f} {y - 17:.1f}l16 28h-32z" fill="{tone.PAPER}" stroke="{tone.INK}" stroke-width="5"/>'
        at = "end" if x > sheet.across - 250 else "start"
        yield _text(x + (-22 if at == "end" else 22), y + 4, name, _TYPE * 0.9, at)
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
            yield _text(x, y + 8, peg.name, 24, "middle")


def _driven(sheet: _Sheet, lines: Sequence[Line]) -> Iterator[str]:
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
            wide = 10 + 7 * len(words)
            yield (
                f'<ellipse cx="{at_x:.1f}" cy="{at_y:.1f}" rx="{wide}" ry="19" fill="{tone.PAPER}" stroke="{tone.INK}" '
                'stroke-width="5"/>'
            )
        yield _text(at_x, at_y + 8, words, 25, "middle", bold=True)


def _key(placed: Placed, sheet: _Sheet, invented: bool) -> Iterator[str]:
    top = sheet.up - _KEY_MM * _U + 10
    yield f'<path d="M0 {top:.1f}H{sheet.across:g}" stroke="{tone.INK}" stroke-width="3"/>'
    x, y, row = 0.0, top + 22, 0
    for number, name in enumerate(placed.systems):
        long = 62 + len(name) * _TYPE * 0.6 + 30
        if x + long > sheet.across - 330 and row == 0:
            x, y, row = 0.0, y + 48, 1
        yield (
            f'<rect x="{x + 2:.1f}" y="{y:.1f}" width="50" height="34" fill="url(#system-{number % len(HATCHES)})" '
            f'stroke="{tone.INK}" stroke-width="3"/>'
        )
        yield _text(x + 62, y + 27, name, _TYPE, "start")
        x += long
    y = top + 120
    spots = (
        (
            '<rect x="2" y="{y}" width="50" height="34" fill="url(#turning)" stroke="#b9ad9c" stroke-width="2"/>',
            "room to turn",
        ),
        ('<rect x="2" y="{y}" width="50" height="34" fill="url(#lane)" stroke="#1d5c87" stroke-width="2"/>', "lane"),
        ('<path d="M2 {m}h50" stroke="#1d5c87" stroke-width="13"/>', "water"),
        ('<path d="M2 {m}h50" stroke="#1d5c87" stroke-width="3" stroke-dasharray="14 9"/>', "kept from water"),
        ('<path d="M2 {m}h50" stroke="#2b2620" stroke-width="2.5" stroke-dasharray="9 7"/>', "measured part"),
        ('<path d="M14 {c}l26 26m0 -26l-26 26" stroke="#2b2620" stroke-width="7"/>', "obstacle"),
    )
    x = 0.0
    for drawn, words in spots:
        shape = drawn.format(y=f"{y:.1f}", m=f"{y + 17:.1f}", c=f"{y + 4:.1f}")
        yield f'<g transform="translate({x:.1f} 0)">{shape}</g>'
        yield _text(x + 62, y + 26, words, 27, "start")
        x += 62 + len(words) * 14.6 + 26
    side = f"Rows run A to B at {placed.heading_deg:.1f}\u00b0 from true north"
    said = (
        f"{'INVENTED.  ' if invented else ''}{STANDINGS_PLANNED[placed.standing]}.  {side}.  Seed {placed.laid.seed}."
    )
    yield _text(2, top + 205, said, 26, "start")
    yield from _north_and_scale(sheet, top)


def _small_key(sheet: _Sheet) -> Iterator[str]:
    top = sheet.up - _SMALL_KEY_MM * _U
    yield f'<rect x="0" y="{top:.1f}" width="{sheet.across:g}" height="{_SMALL_KEY_MM * _U:g}" fill="{_DEFAULT}"/>'
    yield _text(0, top + 40, "Numbers: order of passes. Ringed: fill the tank first.", 27, "start")
    yield from _north_and_scale(sheet, top, 118)


def _north_and_scale(sheet: _Sheet, top: float, down: float = 216) -> Iterator[str]:
    x = sheet.across - 40
    yield f'<path d="M{x:.1f} {top + 18:.1f}l22 78l-22 -16l-22 16z" fill="{tone.INK}"/>'
    yield _text(x - 62, top + 60, "north", 27, "middle")
    whole = next(m for m in (1000, 500, 200, 100, 50, 20, 10, 5) if sheet.long(m) <= 420)
    long = sheet.long(whole)
    left, y = sheet.across - long - (20 if down > 200 else 130), top + down
    for part in range(4):
        fill = tone.INK if part % 2 == 0 else _DEFAULT
        yield (
            f'<rect x="{left + part * long / 4:.1f}" y="{y:.1f}" width="{long / 4:.1f}" height="12" fill="{fill}" '
            f'stroke="{tone.INK}" stroke-width="2"/>'
        )
    yield _text(left, y - 10, "0", 26, "middle")
    yield _text(left + long, y - 10, f"{whole} m", 26, "end")
    yield _text(left + long / 2, y - 10, f"1:{sheet.scale}", 26, "middle")


def _text(x: float, y: float, words: str, size: float, anchor: str, *, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" text-anchor="{anchor}"{weight} stroke="#ffffff" '
        f'stroke-width="6" paint-order="stroke" stroke-linejoin="round">{escape(words)}</text>'
    )
