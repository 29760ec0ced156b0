"""What stands under and behind a map: how metres become a drawing, hatches, the key, north and the scale bar."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from typing import Any, Final

from spadework.layout.place import Placed
from spadework.present import tone

__all__ = [
    "HATCHES",
    "KEY_MM",
    "SMALL_KEY_MM",
    "STANDINGS_PLANNED",
    "Sheet",
    "U",
    "hatch_patterns",
    "key",
    "key_mm",
    "room_of",
    "small_key",
    "text",
]

#: What readings taken from a layout will be, in words.
STANDINGS_PLANNED: Final = {
    "replicated": "replicated: blocks, order drawn",
    "strips": "strips: repeated, order not drawn",
    "looked": "looked at: nothing is repeated",
}

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


U: Final = 10.0
"""Units of a drawing in a millimetre."""
KEY_MM: Final = 27.0
SMALL_KEY_MM: Final = 16.0
"""Height of the key under a map, and of the small one on a driver's page."""
_TYPE: Final = 30.0  # 8.5 points
_DEFAULT: Final = "#ffffff"


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


def room_of(placed: Placed, near: bool = False) -> tuple[float, float, float, float]:
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


def key_mm(near: bool) -> float:
    """Return the height of the key, small on a driver's page [mm]."""
    return SMALL_KEY_MM if near else KEY_MM


def _point(east: float, north: float) -> Any:
    from shapely.geometry import Point

    return Point(east, north)


class Sheet:
    """Metres of the field to units of the drawing.

    Parameters
    ----------
    placed : Placed
        The layout on its field.
    scale : int
        So many metres to one.
    across_mm, up_mm : float
        Size of the drawing [mm].
    near : bool
        True where only the plots and their room to turn are shown.
    """

    def __init__(self, placed: Placed, scale: int, across_mm: float, up_mm: float, near: bool) -> None:
        left, low, right, high = room_of(placed, near)
        self.scale = scale
        self._unit = U * 1000 / scale
        self.across, self.up = across_mm * U, up_mm * U
        self._left = (self.across - (right - left) * self._unit) / 2 - left * self._unit
        self._top = ((up_mm - key_mm(near)) * U - (high - low) * self._unit) / 2 + high * self._unit

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


def key(placed: Placed, sheet: Sheet, invented: bool, ratio: bool) -> Iterator[str]:
    """Draw the key of a map: systems, signs, standing, north and scale."""
    top = sheet.up - KEY_MM * U + 10
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
        yield text(x + 62, y + 27, name, _TYPE, "start")
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
        yield text(x + 62, y + 26, words, 27, "start")
        x += 62 + len(words) * 14.6 + 26
    side = f"Rows run A to B at {placed.heading_deg:.1f}\u00b0 from true north"
    standing = STANDINGS_PLANNED[placed.standing].capitalize()
    yield text(2, top + 192, f"{'INVENTED.  ' if invented else ''}{standing}.", 26, "start")
    yield text(2, top + 228, f"{side}.  Seed {placed.laid.seed}.", 26, "start")
    yield from _north_and_scale(sheet, top, ratio=ratio)


def small_key(sheet: Sheet) -> Iterator[str]:
    """Draw the key of a map for a driver: what the numbers are, north and scale."""
    top = sheet.up - SMALL_KEY_MM * U
    yield f'<rect x="0" y="{top:.1f}" width="{sheet.across:g}" height="{SMALL_KEY_MM * U:g}" fill="{_DEFAULT}"/>'
    yield text(0, top + 40, "Numbers: order of passes. Ringed: fill the tank first. A, B: ends.", 27, "start")
    yield from _north_and_scale(sheet, top, 118)


def _north_and_scale(sheet: Sheet, top: float, down: float = 216, *, ratio: bool = True) -> Iterator[str]:
    x = sheet.across - 40
    yield f'<path d="M{x:.1f} {top + 18:.1f}l22 78l-22 -16l-22 16z" fill="{tone.INK}"/>'
    yield text(x - 62, top + 60, "north", 27, "middle")
    whole = next(m for m in (1000, 500, 200, 100, 50, 20, 10, 5) if sheet.long(m) <= 420)
    long = sheet.long(whole)
    left, y = sheet.across - long - (20 if down > 200 else 130), top + down
    for part in range(4):
        fill = tone.INK if part % 2 == 0 else _DEFAULT
        yield (
            f'<rect x="{left + part * long / 4:.1f}" y="{y:.1f}" width="{long / 4:.1f}" height="12" fill="{fill}" '
            f'stroke="{tone.INK}" stroke-width="2"/>'
        )
    yield text(left, y - 10, "0", 26, "middle")
    yield text(left + long, y - 10, f"{whole} m", 26, "end")
    if ratio:
        yield text(left + long / 2, y - 10, f"1:{sheet.scale}", 26, "middle")


def text(x: float, y: float, words: str, size: float, anchor: str, *, bold: bool = False) -> str:
    """Return words of a size at a spot of the drawing, with a pale rim, as SVG."""
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" text-anchor="{anchor}"{weight} stroke="#ffffff" '
        f'stroke-width="6" paint-order="stroke" stroke-linejoin="round">{escape(words)}</text>'
    )
