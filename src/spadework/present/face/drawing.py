"""The soil face: one system drawn to scale as a cut through the ground across two rows, with its figures beneath.

The same drawing serves screen, report and board.  It is plain SVG without outside references, 800 units wide; printed
16 cm wide its smallest type is 8.5 points.  The same face gives the same bytes.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass

from spadework.present import tone
from spadework.present.face.ground import Frame, draw_ground, number, surface
from spadework.present.face.key import swatches
from spadework.present.face.model import Band, Caption, Dig, Face, Loosened, Spread, WheelTrack
from spadework.present.face.press import TYRE_CM, draw_press
from spadework.present.face.words import describe, safe, shown, width_of, with_range, wrap
from spadework.ranges import require

__all__ = ["Band", "Caption", "Dig", "Face", "Loosened", "Spread", "WheelTrack", "soil_face"]

_WIDTH = 800.0
_EDGE = 16.0
_AXIS = 62.0
_LINE = 1.28  # line spacing, in sizes of type
_ABOVE_CM = 3.5  # room above the zero line for residue and crumbs
_PER_ROW = 5  # figures side by side


def soil_face(face: Face, *, prefix: str | None = None, to_depth_cm: float = 26.0) -> str:
    """Draw one system as SVG.

    Parameters
    ----------
    face : Face
        What to draw; depths in cm below the press-wheel track.
    prefix : str, optional
        Begins every id in the drawing, so that many drawings can stand in one page: a letter, then letters, digits and
        hyphens.  Left out, it is taken from the content, so two *different* faces never clash.
    to_depth_cm : float
        Least depth that the cut shows [cm], 10 to 120, so that faces side by side can reach equally deep; a face that
        needs more shows more.

    Returns
    -------
    str
        An ``svg`` element with ``role="img"``, a title and a description.

    Raises
    ------
    ValueError
        If `prefix` cannot begin an id, or `to_depth_cm` is impossible.

    Notes
    -----
    One scale serves both directions.  Depth, width, band, gap, seed, residue and the place of wheel tracks are to scale
    (a seed is drawn a little large, to be seen).  Crumbs on loosened ground, the depth of ruts and the flanks of the
    berm are hinted: no figure stands behind them.

    Examples
    --------
    >>> svg = soil_face(Face("No tillage", "sown into stubble", 75.0, seed_depth_cm=5.0))
    >>> svg[:4], svg.count("<ellipse")
    ('<svg', 2)
    """
    if prefix is None:
        prefix = "face-" + hashlib.blake2b(repr(face).encode(), digest_size=5).hexdigest()
    elif not re.fullmatch(r"[A-Za-z][A-Za-z0-9-]*", prefix):
        raise ValueError(f"`prefix` {prefix!r} cannot begin an id: use a letter, then letters, digits and hyphens")
    require("to_depth_cm", to_depth_cm, 10, 120, "cm")
    parts: list[str] = []
    y = _head(face, parts)
    y = _cut(face, prefix, to_depth_cm, y, parts)
    y = _key(face, prefix, y, parts)
    y = _captions(face, y, parts)
    y = _foot(face, y, parts)
    height = number(y + _EDGE)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(_WIDTH)} {height}" role="img" '
        f'aria-labelledby="{prefix}-title {prefix}-desc" font-family="{tone.FONTS}" font-size="{number(tone.SMALL)}" '
        f'fill="{tone.INK}">'
        f'<title id="{prefix}-title">{safe(face.name)}</title><desc id="{prefix}-desc">{safe(describe(face))}</desc>'
        f'<rect width="{number(_WIDTH)}" height="{height}" fill="{tone.PAPER}"/>{"".join(parts)}</svg>\n'
    )


def _text(
    x: float,
    y: float,
    text: str,
    size: float = tone.SMALL,
    *,
    bold: bool = False,
    fill: str = tone.INK,
    anchor: str = "start",
) -> str:
    more = "" if size == tone.SMALL else f' font-size="{number(size)}"'
    more += ' font-weight="bold"' if bold else ""
    more += "" if fill == tone.INK else f' fill="{fill}"'
    more += "" if anchor == "start" else f' text-anchor="{anchor}"'
    return f'<text x="{number(x)}" y="{number(y)}"{more}>{safe(text)}</text>'


def _head(face: Face, parts: list[str]) -> float:
    stamp = wrap(face.standing, tone.SMALL, 260, bold=True)
    stamp_width = max((width_of(line, tone.SMALL, bold=True) for line in stamp), default=0.0) + 24
    left = _WIDTH - _EDGE - stamp_width
    y = _EDGE + 18
    if stamp:
        height = len(stamp) * tone.SMALL * _LINE + 10
        parts.append(
            f'<rect class="stamp" x="{number(left)}" y="{number(_EDGE - 2)}" width="{number(stamp_width)}" '
            f'height="{number(height)}" rx="3" fill="none" stroke="{tone.INK}" stroke-width="1.6"/>'
        )
        for i, line in enumerate(stamp):
            at = _EDGE + 17 + i * tone.SMALL * _LINE
            parts.append(_text(left + stamp_width / 2, at, line, bold=True, anchor="middle"))
    room = left - _EDGE - 20
    for line in wrap(face.name, tone.HEADING, room, bold=True):
        parts.append(_text(_EDGE, y, line, tone.HEADING, bold=True))
        y += tone.HEADING * _LINE
    y = max(y, _EDGE + len(stamp) * tone.SMALL * _LINE + 24)
    for line in wrap(face.description, tone.BODY, _WIDTH - 2 * _EDGE):
        parts.append(_text(_EDGE, y, line, tone.BODY, fill=tone.QUIET))
        y += tone.BODY * _LINE
    return y


def _deepest(face: Face, to_depth_cm: float) -> float:
    floors = [part.depth_cm.high for part in face.loosened]
    floors += [dig.band_bottom_cm for dig in face.digs]
    floors += [face.seed_depth_cm + 8 if face.seed else 0.0, to_depth_cm - 4]
    if face.band is not None:
        floors.append(face.band.bottom_cm)
    if face.press is not None:
        floors.append(min(face.press.deepest_cm, 116.0))
    return max(floors) + 4


def _cut(face: Face, prefix: str, to_depth_cm: float, y: float, parts: list[str]) -> float:
    scale = (_WIDTH - _AXIS - _EDGE) / (face.right_cm - face.left_cm)
    lanes = _track_lanes(face, scale)
    above = _ABOVE_CM if face.press is None else max(_ABOVE_CM, TYRE_CM - face.firmed_rise_cm)
    zero = y + 8 + len(lanes) * 22 + above * scale
    frame = Frame(_AXIS, zero, scale, face, _deepest(face, to_depth_cm), prefix)
    parts.extend(draw_ground(frame))
    parts.extend(draw_press(frame))
    _axis(frame, parts)
    for lane, tracks in enumerate(reversed(lanes)):
        at = zero - above * scale - 6 - lane * 22
        for track, x in tracks:
            parts.append(_text(x, at, track.label, anchor="middle"))
            ground = frame.y(surface(face)(min(max(track.centre_cm, face.left_cm), face.right_cm)))
            stem = min(max(frame.x(track.centre_cm), _AXIS), _WIDTH - _EDGE)
            parts.append(
                f'<path d="M{number(stem)} {number(at + 5)}V{number(ground - 7)}m-4 -7l4 7l4 -7" fill="none" '
                f'stroke="{tone.INK}" stroke-width="1.2"/>'
            )
    _labels(frame, parts)
    return _spacing(frame, parts)


def _track_lanes(face: Face, scale: float) -> list[list[tuple[WheelTrack, float]]]:
    """Return the labels of wheel tracks in as many lanes as keep them apart, with the middle of each on the sheet."""
    lanes: list[list[tuple[WheelTrack, float]]] = []
    ends: list[float] = []
    for track in sorted(face.tracks, key=lambda t: (t.centre_cm, t.label)):
        if (
            track.centre_cm + track.width_cm / 2 <= face.left_cm
            or track.centre_cm - track.width_cm / 2 >= face.right_cm
        ):
            continue
        half = width_of(track.label, tone.SMALL) / 2
        x = _AXIS + (track.centre_cm - face.left_cm) * scale
        x = min(max(x, _EDGE + half), _WIDTH - _EDGE - half)
        for lane, end in enumerate(ends):
            if x - half > end:
                lanes[lane].append((track, x))
                ends[lane] = x + half + 14
                break
        else:
            lanes.append([(track, x)])
            ends.append(x + half + 14)
    return lanes


def _axis(frame: Frame, parts: list[str]) -> None:
    right = _WIDTH - _EDGE
    zero = number(frame.zero)
    parts.append(
        f'<path class="zero" d="M{number(_AXIS - 8)} {zero}H{number(right)}" stroke="{tone.INK}" stroke-width="1" '
        'stroke-dasharray="1.5 4"/>'
    )
    step = 10 if frame.deepest_cm > 14 else 5
    depth = 0
    while depth <= frame.deepest_cm:
        at = frame.y(depth)
        parts.append(
            f'<path class="tick" d="M{number(_AXIS - 8)} {number(at)}H{number(_AXIS)}" stroke="{tone.INK}" '
            'stroke-width="1.4"/>'
        )
        parts.append(_text(_AXIS - 12, at + 5, str(depth), anchor="end"))
        depth += step
    floor = frame.y(frame.deepest_cm)
    parts.append(f'<path d="M{number(_AXIS)} {zero}V{number(floor)}" stroke="{tone.INK}" stroke-width="1.4"/>')
    middle = (frame.zero + floor) / 2
    parts.append(f'<g transform="rotate(-90 {number(_EDGE + 4)} {number(middle)})">')
    parts.append(_text(_EDGE + 4, middle + 2, "depth, cm", anchor="middle") + "</g>")


@dataclass(frozen=True)
class _Label:
    """A label between the rows: what it points at, its wordings from long to short, and the room there is."""

    target: float
    end: float
    texts: list[str]
    free: float
    accent: bool = False


def _labels(frame: Frame, parts: list[str]) -> None:
    """Write the labels between the rows, each with a line to what it names in the left-hand row."""
    face, band = frame.face, frame.face.band
    reach = max(face.strip_width_cm / 2, 5.0)
    if band is not None and band.shape in ("round", "wide"):
        reach = max(reach, band.half_width_cm + band.offset_cm)
    bar = frame.x(min(reach + 1.6, 0.4 * face.row_spacing_cm))
    left = bar + 25
    free = frame.x(face.row_spacing_cm - reach) - 6 - left  # as far as the right-hand row leaves room
    wanted: list[_Label] = []
    if face.seed:
        end = frame.x(0) + max(5.5, 0.8 * frame.scale) + 3
        wanted.append(_Label(frame.y(face.seed_depth_cm), end, [f"seed {shown(face.seed_depth_cm)} cm"], free))
    if face.gap is not None:
        _gap(frame, bar, parts)
        middle = frame.y(face.seed_depth_cm + face.gap.mid / 2)
        wanted.append(_Label(middle, bar + 7, [f"gap {with_range(face.gap)}"], free, accent=True))
    if band is not None and band.shape != "surface":
        wanted.append(_band_label(frame, band, free))
    floors = sorted(face.loosened, key=lambda part: part.depth_cm.mid)
    for part in floors:
        what = "turned" if part.turned else "loosened"
        height, texts = frame.y(part.depth_cm.mid), [f"{what} {with_range(part.depth_cm)}"]
        if part.shape == "strip":
            foot = (part.floor_width_cm or 0.4 * part.width_cm) / 2
            wanted.append(_Label(height, frame.x(foot), texts, free))
        else:
            wanted.append(_Label(height, left - 22, texts, free))
    wanted.sort(key=lambda label: label.target)
    ground = surface(face)
    lowest = max(ground(reach + share * (face.row_spacing_cm - reach)) for share in (0.0, 0.25, 0.5, 0.75))
    heights = _apart([label.target for label in wanted], 22.0, frame.y(lowest) + 14, frame.y(frame.deepest_cm) - 9)
    for label, at in zip(wanted, heights, strict=True):
        bold, colour = label.accent, tone.ACCENT if label.accent else tone.INK
        text = next((t for t in label.texts if width_of(t, tone.SMALL, bold=bold) <= label.free), label.texts[-1])
        line = f"M{number(label.end)} {number(label.target)}L{number(left - 16)} {number(at)}H{number(left - 5)}"
        parts.append(f'<path d="{line}" fill="none" stroke="{tone.PAPER}" stroke-width="3.5" stroke-opacity=".8"/>')
        parts.append(f'<path d="{line}" fill="none" stroke="{colour}" stroke-width="1.1"/>')
        wide = width_of(text, tone.SMALL, bold=bold) + 10
        parts.append(
            f'<rect class="plate" x="{number(left - 5)}" y="{number(at - 9.5)}" width="{number(wide)}" height="19" '
            f'rx="3" fill="{tone.PAPER}"/>'
        )
        parts.append(_text(left, at + 5, text, bold=bold, fill=colour))


def _band_label(frame: Frame, band: Band, free: float) -> _Label:
    top, bottom = with_range(band.top_cm), shown(band.bottom_cm)
    if band.shape in ("round", "wide"):
        end = frame.x(band.offset_cm + 0.5 * band.half_width_cm)
        return _Label(
            frame.y(band.centre_cm), end, [f"{what} {top}" for what in ("slurry band, top", "band top")], free
        )
    what = "slurry turned under" if band.shape == "buried" else "slurry mixed in"
    end = frame.x(max(5.0, frame.face.strip_width_cm / 2))
    middle = frame.y((band.top_cm.mid + band.bottom_cm) / 2)
    return _Label(middle, end, [f"{what}, {shown(band.top_cm.mid)} to {bottom} cm"], free)


def _gap(frame: Frame, x: float, parts: list[str]) -> None:
    face = frame.face
    assert face.gap is not None  # noqa: S101
    seed, top = frame.y(face.seed_depth_cm), frame.y(face.seed_depth_cm + face.gap.mid)
    if face.gap.high > face.gap.low:
        low, high = frame.y(face.seed_depth_cm + face.gap.low), frame.y(face.seed_depth_cm + face.gap.high)
        parts.append(
            f'<rect class="gap-range" x="{number(x - 4)}" y="{number(low)}" width="8" height="{number(high - low)}" '
            f'fill="{tone.ACCENT_PALE}" stroke="{tone.ACCENT}" stroke-width="1"/>'
        )
    start = frame.x(0) + max(5.5, 0.8 * frame.scale) + 2
    ends = "".join(f"M{number(start)} {number(y)}H{number(x + 6)}" for y in (seed, top))
    parts.append(f'<path d="{ends}" stroke="{tone.ACCENT}" stroke-width="1.1" stroke-dasharray="3 2.5"/>')
    parts.append(
        f'<path class="gap" d="M{number(x)} {number(seed)}V{number(top)}" stroke="{tone.ACCENT}" stroke-width="2.6"/>'
    )


def _apart(wanted: list[float], least: float, top: float, bottom: float) -> list[float]:
    """Return heights near those wanted (in rising order), `least` apart, pushed up from `bottom` where they must be."""
    found: list[float] = []
    for height in wanted:
        found.append(max(height, found[-1] + least if found else top))
    limit = bottom
    for i in range(len(found) - 1, -1, -1):
        found[i] = min(found[i], limit)
        limit = found[i] - least
    return found


def _spacing(frame: Frame, parts: list[str]) -> float:
    y = frame.y(frame.deepest_cm) + 18
    left, right = (frame.x(row) for row in frame.face.rows_cm)
    text = f"{shown(frame.face.row_spacing_cm)} cm from row to row"
    half = width_of(text, tone.SMALL) / 2 + 6
    middle = (left + right) / 2
    parts.append(
        f'<path class="spacing" d="M{number(left)} {number(y - 6)}v12m0 -6H{number(middle - half)}'
        f"M{number(middle + half)} "
        f'{number(y)}H{number(right)}m0 -6v12" fill="none" stroke="{tone.INK}" stroke-width="1.2"/>'
    )
    parts.append(_text(middle, y + 5, text, anchor="middle"))
    parts.append(_text(_EDGE, y + 5, "same scale both ways", fill=tone.QUIET))
    return y + 26


def _key(face: Face, prefix: str, y: float, parts: list[str]) -> float:
    x, y = _EDGE, y + 12
    for sign, words in swatches(face, prefix):
        wide = 34 + width_of(words, tone.SMALL)
        if x > _EDGE and x + wide > _WIDTH - _EDGE:
            x, y = _EDGE, y + 24
        parts.append(f'<g class="key" transform="translate({number(x)} {number(y - 12)})">{sign}</g>')
        lines = wrap(words, tone.SMALL, _WIDTH - 2 * _EDGE - 34)
        parts.extend(_text(x + 34, y + i * tone.SMALL * _LINE, line) for i, line in enumerate(lines))
        y += (len(lines) - 1) * tone.SMALL * _LINE
        x += wide + 14
    return y + 18


def _captions(face: Face, y: float, parts: list[str]) -> float:
    count = len(face.captions)
    if not count:
        return y
    rows = -(-count // _PER_ROW)
    columns = -(-count // rows)
    wide = (_WIDTH - 2 * _EDGE) / columns
    parts.append(
        f'<path d="M{number(_EDGE)} {number(y)}H{number(_WIDTH - _EDGE)}" stroke="{tone.RULE}" stroke-width="1.2"/>'
    )
    y += 6
    for start in range(0, count, columns):
        group = face.captions[start : start + columns]
        labels = [wrap(caption.label, tone.SMALL, wide - 14) for caption in group]
        deepest = max(len(lines) for lines in labels)
        low = y
        for place, (caption, lines) in enumerate(zip(group, labels, strict=True)):
            x = _EDGE + place * wide
            at = y + 16 + (deepest - len(lines)) * tone.SMALL * _LINE
            for line in lines:
                parts.append(_text(x, at, line, fill=tone.QUIET))
                at += tone.SMALL * _LINE
            at += 12
            beside = width_of(caption.value, 27, bold=True) + width_of(caption.unit, tone.SMALL) + 6 <= wide - 8
            if not beside:
                parts.append(_text(x, at, caption.value, 27, bold=True))
                at += tone.SMALL * _LINE
                parts.append(_text(x, at, caption.unit))
            else:
                parts.append(
                    f'<text x="{number(x)}" y="{number(at)}"><tspan font-size="27" font-weight="bold">'
                    f'{safe(caption.value)}</tspan><tspan dx="6">{safe(caption.unit)}</tspan></text>'
                )
            for line in wrap(caption.spread, tone.SMALL, wide - 14):
                at += tone.SMALL * _LINE
                parts.append(_text(x, at, line))
            low = max(low, at)
        y = low + 14
    return y


def _foot(face: Face, y: float, parts: list[str]) -> float:
    y += 6
    for warning in face.warnings:
        lines = wrap(warning, tone.SMALL, _WIDTH - 2 * _EDGE - 30)
        parts.append(
            f'<path class="warning" d="M{number(_EDGE + 1)} {number(y + 14)}h20l-10 -17z" fill="none" '
            f'stroke="{tone.WARNING}" stroke-width="1.8" stroke-linejoin="round"/>'
            f'<path d="M{number(_EDGE + 11)} {number(y + 2)}v6m0 2.4v1.6" stroke="{tone.WARNING}" stroke-width="1.8"/>'
        )
        for line in lines:
            parts.append(_text(_EDGE + 30, y + 12, line, fill=tone.WARNING))
            y += tone.SMALL * _LINE
        y += 6
    for line in wrap(face.note, tone.SMALL, _WIDTH - 2 * _EDGE):
        parts.append(_text(_EDGE, y + 12, line, fill=tone.QUIET))
        y += tone.SMALL * _LINE
    return y
