"""The ground of the soil face: soil, slurry, residue, seed, wheel tracks and digs, to one scale across and down."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from spadework.present import tone
from spadework.present.face.model import Band, Dig, Face, Loosened, WheelTrack

__all__ = ["Frame", "draw_ground", "noise", "number", "straws", "surface"]

# Choices of the drawing, none of them a figure of the field:
_STRAW_CM = 5.0  # usual length of a stroke of residue
_RUT_CM = 1.6  # depth at which ruts are hinted
_CRUMB_CM = 0.7  # height of crumbs on loosened ground
_TRACK_HALF_CM = 3.5  # half width of the press-wheel track
_LEAN = 0.7  # how far a furrow slice leans per centimetre of depth
_DOT_CM2 = 3.0  # one dot of mixed slurry stands for so much of the cut


@dataclass(frozen=True)
class Frame:
    """Where the cut lies on the sheet: one scale serves both directions."""

    left: float
    zero: float
    scale: float
    face: Face
    deepest_cm: float
    prefix: str

    def x(self, place_cm: float) -> float:
        """Return the place on the sheet of a place across the rows."""
        return self.left + (place_cm - self.face.left_cm) * self.scale

    def y(self, depth_cm: float) -> float:
        """Return the height on the sheet of a depth."""
        return self.zero + depth_cm * self.scale

    def path(self, points: list[tuple[float, float]]) -> str:
        """Return a closed path through points given in centimetres."""
        return "M" + "L".join(f"{number(self.x(x))} {number(self.y(y))}" for x, y in points) + "Z"

    def line(self, points: list[tuple[float, float]]) -> str:
        """Return an open path through points given in centimetres."""
        return "M" + "L".join(f"{number(self.x(x))} {number(self.y(y))}" for x, y in points)


def number(value: float) -> str:
    """Return a coordinate with two decimals at most.

    Examples
    --------
    >>> number(12.5), number(-0.001), number(7)
    ('12.5', '0', '7')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def noise(key: str, count: int) -> list[float]:
    """Return `count` numbers from 0 to below 1 that depend on `key` alone, the same on every machine.

    Examples
    --------
    >>> noise("a", 3) == noise("a", 3), noise("a", 3) == noise("b", 3)
    (True, False)
    """
    found: list[float] = []
    block = 0
    while len(found) < count:
        digest = hashlib.blake2b(f"{key}/{block}".encode()).digest()
        found += [int.from_bytes(digest[i : i + 4], "big") / 2**32 for i in range(0, len(digest), 4)]
        block += 1
    return found[:count]


def surface(face: Face) -> Callable[[float], float]:
    """Return the depth of the surface [cm] as a function of the place across the rows [cm].

    Zero in the press-wheel track; ``firmed_rise_cm`` where the ground was not moved.  Crumbs and ruts are hinted.
    """
    crumbly = any(part.shape == "full" for part in face.loosened)
    half = face.strip_width_cm / 2 or (0.0 if crumbly else 2 * _TRACK_HALF_CM)
    phases = [2 * math.pi * value for value in noise(f"{face.name}/crumbs", 3)]

    def depth(x: float) -> float:
        away = min(abs(x - row) for row in face.rows_cm)
        found = 0.0
        if half:
            u = away / half
            firm = 1.0 if u < 0.5 else 0.5 + 0.5 * math.cos(math.pi * (u - 0.5) / 0.5) if u < 1 else 0.0
            found = face.firmed_rise_cm * (1 - firm)
        if crumbly:
            waves = sum(math.sin(x * k + phase) for k, phase in zip((0.9, 0.53, 1.7), phases, strict=True)) / 3
            open_ground = min(1.0, max(0.0, (away - _TRACK_HALF_CM) / 2)) if face.seed else 1.0
            found -= _CRUMB_CM * (0.5 + 0.5 * waves) * open_ground
        for track in face.tracks:
            u = abs(x - track.centre_cm) / (track.width_cm / 2)
            if u < 1:
                found += _RUT_CM * min(1.0, (1 - u) * 4)
        return found

    return depth


def straws(face: Face) -> Iterator[tuple[float, float]]:
    """Yield left and right end [cm] of every stroke of residue.

    In each stretch of the surface, strip or between, strokes do not overlap and cover exactly the stated share.
    """
    half = face.strip_width_cm / 2
    left_row, right_row = face.rows_cm
    edges = [face.left_cm, left_row - half, left_row + half, right_row - half, right_row + half, face.right_cm]
    if not half:
        edges = [face.left_cm, face.right_cm]
    for place, (start, end) in enumerate(pairwise(edges)):
        share = face.residue_strip_share if place % 2 else face.residue_between_share
        covered = share * (end - start)
        if covered <= 0:
            continue
        count = max(1, round(covered / _STRAW_CM))
        random = noise(f"{face.name}/straw/{place}", 2 * count + 1)
        lengths = [0.5 + value for value in random[:count]]
        gaps = [0.15 + value for value in random[count:]]
        at = start
        for gap, length in zip(gaps, lengths, strict=False):
            at += gap / sum(gaps) * (end - start - covered)
            reach = length / sum(lengths) * covered
            yield at, at + reach
            at += reach


def draw_ground(frame: Frame) -> Iterator[str]:
    """Yield the SVG elements of the cut, from the undisturbed ground up to the dots of digs."""
    face, top = frame.face, surface(frame.face)
    yield from _patterns(frame)
    across = _steps(face.left_cm, face.right_cm)
    line = [(x, top(x)) for x in across]
    outline = frame.path([*line, (face.right_cm, frame.deepest_cm), (face.left_cm, frame.deepest_cm)])
    yield f'<clipPath id="{frame.prefix}-soil"><path d="{outline}"/></clipPath>'
    yield f'<path class="ground" d="{outline}" fill="{tone.UNDISTURBED}"/>'
    yield f'<g clip-path="url(#{frame.prefix}-soil)">'
    for part in face.loosened:
        yield from _loosened(frame, part)
    if face.band is not None and face.band.shape != "surface":
        yield from _slurry(frame, face.band)
    yield "</g>"
    yield (
        f'<path class="surface" d="{frame.line(line)}" fill="none" stroke="{tone.INK}" stroke-width="1.4" '
        'stroke-linejoin="round"/>'
    )
    if face.band is not None:
        yield from _slurry_above(frame, face.band, top)
    yield from _residue(frame, top)
    for track in face.tracks:
        yield from _rut(frame, track, top)
    if face.seed:
        for row in face.rows_cm:
            yield (
                f'<ellipse class="seed" cx="{number(frame.x(row))}" cy="{number(frame.y(face.seed_depth_cm))}" '
                f'rx="{number(max(5.5, 0.8 * frame.scale))}" ry="{number(max(4.2, 0.6 * frame.scale))}" '
                f'fill="{tone.SEED}" stroke="{tone.INK}" stroke-width="1.6"/>'
            )
    for dig in face.digs:
        yield from _dig(frame, dig)


def _steps(start: float, end: float) -> list[float]:
    count = max(2, round((end - start) / 0.75))
    return [start + (end - start) * i / count for i in range(count + 1)]


def _patterns(frame: Frame) -> Iterator[str]:
    yield (
        f'<pattern id="{frame.prefix}-loose" patternUnits="userSpaceOnUse" width="8" height="8" '
        f'patternTransform="rotate(45)"><path d="M0 0V8" stroke="{tone.LOOSENED_LINE}" stroke-width="1.1" '
        'stroke-opacity=".55"/></pattern>'
    )


def _shape(frame: Frame, part: Loosened, row: float, floor_cm: float) -> str:
    above = -6.0  # the clip path cuts it off at the surface
    if part.shape == "full":
        left, right = frame.face.left_cm, frame.face.right_cm
        return frame.path([(left, above), (right, above), (right, floor_cm), (left, floor_cm)])
    half = part.width_cm / 2
    foot = (part.floor_width_cm or 0.4 * part.width_cm) / 2
    ground = frame.face.firmed_rise_cm
    corners = [(row - half, above), (row + half, above), (row + half, ground), (row + foot, floor_cm)]
    return frame.path([*corners, (row - foot, floor_cm), (row - half, ground)])


def _loosened(frame: Frame, part: Loosened) -> Iterator[str]:
    depth = part.depth_cm
    for row in frame.face.rows_cm if part.shape == "strip" else (0.0,):
        if depth.high > depth.low:
            yield f'<path d="{_shape(frame, part, row, depth.high)}" fill="{tone.LOOSENED}" fill-opacity=".45"/>'
        yield f'<path d="{_shape(frame, part, row, depth.mid)}" fill="{tone.LOOSENED}"/>'
        if depth.high > depth.low:
            for limit in (depth.low, depth.high):
                yield (
                    f'<path d="{_shape(frame, part, row, limit)}" fill="none" stroke="{tone.LOOSENED_LINE}" '
                    'stroke-width="1" stroke-dasharray="2 4"/>'
                )
        if not part.turned:
            fill = f"url(#{frame.prefix}-loose)"
            yield f'<path class="loosened" d="{_shape(frame, part, row, depth.mid)}" fill="{fill}"/>'
        yield (
            f'<path d="{_shape(frame, part, row, depth.mid)}" fill="none" stroke="{tone.LOOSENED_LINE}" '
            'stroke-width="1.3"/>'
        )
    if part.turned:
        yield from _slices(frame, part)


def _slice_feet(face: Face, part: Loosened) -> tuple[float, list[float]]:
    pitch = part.width_cm or 1.4 * part.depth_cm.mid
    reach = _LEAN * part.depth_cm.mid
    first = face.left_cm - reach + 0.35 * pitch
    count = math.ceil((face.right_cm - first) / pitch) + 1
    return pitch, [first + pitch * i for i in range(count)]


def _slices(frame: Frame, part: Loosened) -> Iterator[str]:
    pitch, feet = _slice_feet(frame.face, part)
    floor = part.depth_cm.mid
    bold: list[str] = []
    fine: list[str] = []
    for foot in feet:
        bold.append(frame.line([(foot, floor), (foot + _LEAN * floor, 0)]))
        for share in (0.25, 0.5, 0.75):
            at = foot + share * pitch
            fine.append(frame.line([(at + _LEAN * 0.1 * floor, 0.9 * floor), (at + _LEAN * 0.9 * floor, 0.1 * floor)]))
    yield f'<path class="turned" d="{"".join(bold)}" fill="none" stroke="{tone.LOOSENED_LINE}" stroke-width="2"/>'
    yield (
        f'<path d="{"".join(fine)}" fill="none" stroke="{tone.LOOSENED_LINE}" stroke-width="1" stroke-opacity=".6" '
        'stroke-dasharray="7 4"/>'
    )


def _slurry(frame: Frame, band: Band) -> Iterator[str]:
    if band.shape in ("round", "wide"):
        for row in frame.face.rows_cm:
            yield from _band(frame, band, row + band.offset_cm)
        return
    turned = [part for part in frame.face.loosened if part.turned]
    if band.shape == "buried" and turned:
        _, feet = _slice_feet(frame.face, turned[-1])
        floor = turned[-1].depth_cm.mid
        for top, opacity in ((band.top_cm.low, ".35"), (band.top_cm.mid, ".95")):
            found = []
            for foot in feet:
                low, high = foot + _LEAN * (floor - band.bottom_cm), foot + _LEAN * (floor - top)
                found.append(
                    frame.path([(low, band.bottom_cm), (low + 1.6, band.bottom_cm), (high + 1.6, top), (high, top)])
                )
            yield f'<path class="slurry" d="{"".join(found)}" fill="{tone.SLURRY}" fill-opacity="{opacity}"/>'
        return
    yield from _dots(frame, band)


def _outline(frame: Frame, band: Band, middle: float, top_cm: float) -> str:
    """Return attributes of the band's shape with its upper edge at `top_cm` and the lower edge where it is."""
    half_height = (band.bottom_cm - top_cm) / 2
    half_width = band.half_width_cm
    if band.shape == "round" and band.half_height_cm:
        half_width *= half_height / band.half_height_cm
    rx, ry = half_width * frame.scale, half_height * frame.scale
    x, y = frame.x(middle), frame.y(top_cm)
    corner = min(rx, ry)
    corners = f'rx="{number(rx)}" ry="{number(ry)}"' if band.shape == "round" else f'rx="{number(corner)}"'
    size = f'width="{number(2 * rx)}" height="{number(2 * ry)}"'
    return f'x="{number(x - rx)}" y="{number(y)}" {size} {corners}'


def _band(frame: Frame, band: Band, middle: float) -> Iterator[str]:
    top = band.top_cm
    if top.high > top.low:
        yield (
            f'<rect class="band-widest" {_outline(frame, band, middle, top.low)} fill="{tone.SLURRY_PALE}" '
            f'fill-opacity=".55" stroke="{tone.SLURRY}" stroke-width="1.2" stroke-dasharray="3 3"/>'
        )
    yield (
        f'<rect class="band" {_outline(frame, band, middle, top.mid)} fill="{tone.SLURRY_PALE}" '
        f'stroke="{tone.SLURRY}" stroke-width="1.8"/>'
    )
    yield f'<rect class="band-surest" {_outline(frame, band, middle, top.high)} fill="{tone.SLURRY}"/>'


def _dots(frame: Frame, band: Band) -> Iterator[str]:
    """Yield dots of slurry mixed through a layer, thinning out between the lowest and the highest upper edge."""
    face, top = frame.face, band.top_cm
    whole = 2 * band.half_width_cm >= face.row_spacing_cm
    areas = [(face.left_cm, face.right_cm)]
    if not whole:
        middles = [row + band.offset_cm for row in face.rows_cm]
        areas = [(middle - band.half_width_cm, middle + band.half_width_cm) for middle in middles]
    found = []
    for place, (left, right) in enumerate(areas):
        height = band.bottom_cm - top.low
        count = max(8, round((right - left) * height / _DOT_CM2))
        random = noise(f"{face.name}/dots/{place}", 3 * count)
        for i in range(count):
            # An even ladder across and a golden-section ladder down, both shaken a little, leave no holes or heaps.
            x = left + (right - left) * (i + random[3 * i]) / count
            share = (i * 0.6180339887498949 + 0.35 * random[3 * i + 1]) % 1.0
            y = top.low + height * share
            chance = 1.0 if top.high == top.low else min(1.0, (y - top.low) / (top.high - top.low))
            if random[3 * i + 2] <= chance:
                found.append(f"M{number(frame.x(x))} {number(frame.y(y))}h0")
    yield (
        f'<path class="slurry" d="{"".join(found)}" fill="none" stroke="{tone.SLURRY}" stroke-width="4.4" '
        'stroke-linecap="round"/>'
    )


def _slurry_above(frame: Frame, band: Band, top: Callable[[float], float]) -> Iterator[str]:
    half = band.half_width_cm if band.shape == "surface" else band.overflow_half_width_cm
    if not half:
        return
    face = frame.face
    whole = 2 * half >= face.row_spacing_cm
    middles = [row + band.offset_cm for row in face.rows_cm]
    areas = [(face.left_cm, face.right_cm)] if whole else [(middle - half, middle + half) for middle in middles]
    for start, end in areas:
        xs = _steps(max(face.left_cm, start), min(face.right_cm, end))
        thick = [0.9 if whole else 0.9 * min(1.0, (x - start) / 1.5, (end - x) / 1.5) for x in xs]
        upper = [(x, top(x) - more) for x, more in zip(xs, thick, strict=True)]
        yield (
            f'<path class="slurry-above" d="{frame.path([*upper, *((x, top(x)) for x in reversed(xs))])}" '
            f'fill="{tone.SLURRY}" stroke="{tone.SLURRY}" stroke-width="1.5" stroke-linejoin="round"/>'
        )


def _residue(frame: Frame, top: Callable[[float], float]) -> Iterator[str]:
    tilts = noise(f"{frame.face.name}/tilt", 400)
    for place, (start, end) in enumerate(straws(frame.face)):
        tilt = (tilts[2 * place % 400] - 0.5) * 0.7
        lift = 0.3 + 0.2 * tilts[(2 * place + 1) % 400]
        ends = ((start, top(start) - lift - tilt / 2), (end, top(end) - lift + tilt / 2))
        (x1, y1), (x2, y2) = ((frame.x(x), frame.y(min(y, top(x) - 0.25))) for x, y in ends)
        for colour, width, name in ((tone.STRAW_DARK, "3.8", "straw"), (tone.STRAW, "1.9", "straw-light")):
            yield (
                f'<line class="{name}" x1="{number(x1)}" y1="{number(y1)}" x2="{number(x2)}" y2="{number(y2)}" '
                f'stroke="{colour}" stroke-width="{width}"/>'
            )


def _rut(frame: Frame, track: WheelTrack, top: Callable[[float], float]) -> Iterator[str]:
    left = max(frame.face.left_cm, track.centre_cm - track.width_cm / 2)
    right = min(frame.face.right_cm, track.centre_cm + track.width_cm / 2)
    if left < right:
        points = [(x, top(x) + 0.35) for x in _steps(left, right)]
        yield (
            f'<path class="track" d="{frame.line(points)}" fill="none" stroke="{tone.INK}" stroke-width="4" '
            'stroke-dasharray="7 3"/>'
        )


def _dig(frame: Frame, dig: Dig) -> Iterator[str]:
    x = number(frame.x(dig.x_cm))
    upper, lower = frame.y(dig.band_top_cm), frame.y(dig.band_bottom_cm)
    yield (
        f'<path d="M{x} {number(upper)}V{number(lower)}" stroke="{tone.PAPER}" stroke-width="4"/>'
        f'<path d="M{x} {number(upper)}V{number(lower)}" stroke="{tone.ACCENT}" stroke-width="2"/>'
    )
    for y in (upper, lower):
        yield (
            f'<circle class="dig" cx="{x}" cy="{number(y)}" r="3.7" fill="{tone.ACCENT}" stroke="{tone.PAPER}" '
            'stroke-width="1.4"/>'
        )
    yield (
        f'<circle class="dig-seed" cx="{x}" cy="{number(frame.y(dig.seed_depth_cm))}" r="3.7" fill="{tone.PAPER}" '
        f'stroke="{tone.ACCENT}" stroke-width="2.2"/>'
    )
