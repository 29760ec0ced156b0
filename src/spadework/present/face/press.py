"""The wheel of the soil face: its tyre to scale across, and lines of equal stress in the ground under it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from spadework.present import tone
from spadework.present.face.ground import Frame, number
from spadework.present.face.model import Face, Press, PressLine
from spadework.present.face.words import safe, shown, width_of

__all__ = ["TYRE_CM", "draw_press", "press_swatches"]

TYRE_CM: Final = 8.0
"""So much of a tyre stands above the ground in the drawing; the rest is cut off."""
_LOOKS: Final = ((2.4, ""), (2.0, "9 4"), (2.0, "2 4"))  # from the least stress on: full, dashed, dotted
_LUGS: Final = 6
_PLATE: Final = 19.0


def draw_press(frame: Frame) -> Iterator[str]:
    """Yield the SVG elements of the wheel of a face and of the lines under it; nothing where it has none."""
    press = frame.face.press
    if press is None:
        return
    yield f'<g clip-path="url(#{frame.prefix}-soil)">'
    for line, look in zip(press.lines, _LOOKS, strict=False):
        yield from _line(frame, line, look)
    yield "</g>"
    for centre, width in press.tyres:
        yield from _tyre(frame, press, centre, width)
    yield from _labels(frame, press)


def _line(frame: Frame, line: PressLine, look: tuple[float, str]) -> Iterator[str]:
    wide, dash = look
    if not line.outlines:
        return
    path = "".join(frame.path(list(outline)) for outline in line.outlines)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    yield (
        f'<path d="{path}" fill="none" stroke="{tone.PAPER}" stroke-width="{number(wide + 2.6)}" stroke-opacity=".7"/>'
        f'<path class="stress" d="{path}" fill="none" stroke="{tone.INK}" stroke-width="{number(wide)}"{dashed}/>'
    )


def _tyre(frame: Frame, press: Press, centre: float, width: float) -> Iterator[str]:
    face = frame.face
    left, right = (min(max(place, face.left_cm), face.right_cm) for place in (centre - width / 2, centre + width / 2))
    if left >= right:
        return
    ground = frame.y(face.firmed_rise_cm)
    top = frame.y(face.firmed_rise_cm - TYRE_CM)
    x1, x2, round_off = frame.x(left), frame.x(right), 10.0
    shape = (
        f"M{number(x1)} {number(top)}V{number(ground - round_off)}q0 {number(round_off)} {number(round_off)} "
        f"{number(round_off)}H{number(x2 - round_off)}q{number(round_off)} 0 {number(round_off)} {number(-round_off)}"
        f"V{number(top)}"
    )
    dashed = ' stroke-dasharray="6 4"' if press.typical else ""
    yield (
        f'<path class="tyre" d="{shape}" fill="{tone.PAPER}" stroke="{tone.INK}" stroke-width="2"{dashed} '
        'stroke-linejoin="round"/>'
    )
    step = (x2 - x1) / _LUGS
    low, high, tilt = ground - 4, top + 8, 0.32 * step
    lugs = ""
    for lug in range(_LUGS):
        middle, lean = x1 + step * (lug + 0.5), tilt if lug < _LUGS / 2 else -tilt
        lugs += f"M{number(middle - lean)} {number(low)}L{number(middle + lean)} {number(high)}"
    yield f'<path d="{lugs}" fill="none" stroke="{tone.QUIET}" stroke-width="1.4"/>'


def _labels(frame: Frame, press: Press) -> Iterator[str]:
    """Yield the stress beside each line, on its lowest point, apart from one another and within the cut."""
    last = frame.y(frame.deepest_cm) - _PLATE / 2 - 2
    for line in press.lines:
        points = [point for outline in line.outlines for point in outline if _seen(frame.face, point[0])]
        if not points:
            continue
        x_cm, depth = max(points, key=lambda point: (point[1], -abs(point[0] - press.tyres[0][0])))
        text = f"{shown(line.stress_kpa)} kPa"
        wide = width_of(text, tone.SMALL, bold=True) + 10
        y = min(frame.y(depth), last)
        last = y - _PLATE - 2
        x = min(max(frame.x(x_cm) - wide / 2, frame.left + 4), frame.x(frame.face.right_cm) - wide - 4)
        yield (
            f'<rect class="plate" x="{number(x)}" y="{number(y - _PLATE / 2)}" width="{number(wide)}" '
            f'height="{number(_PLATE)}" rx="3" fill="{tone.PAPER}"/><text class="stress-label" x="{number(x + 5)}" '
            f'y="{number(y + 5)}" font-weight="bold">{safe(text)}</text>'
        )


def _seen(face: Face, place_cm: float) -> bool:
    return face.left_cm < place_cm < face.right_cm


def press_swatches(press: Press) -> Iterator[tuple[str, str]]:
    """Yield what stands in the key for wheel and lines: a sign 26 by 14 units, and its words."""
    dashed = ' stroke-dasharray="4 3"' if press.typical else ""
    yield (
        f'<path d="M3 0V9q0 5 5 5H18q5 0 5 -5V0" fill="{tone.PAPER}" stroke="{tone.INK}" stroke-width="2"{dashed}/>',
        press.label,
    )
    if any(line.outlines for line in press.lines):
        shown_looks = [look for look, line in zip(_LOOKS, press.lines, strict=False) if line.outlines]
        signs = ""
        for (wide, dash), at in zip(shown_looks, (2, 7, 12), strict=False):
            dashed = f' stroke-dasharray="{dash}"' if dash else ""
            signs += f'<path d="M0 {at}H26" stroke="{tone.INK}" stroke-width="{number(wide)}"{dashed}/>'
        yield signs, "stress in the ground under it: above what the line says, within the line"
