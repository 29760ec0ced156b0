"""The words of the soil face: the text alternative, the key, and how wide a line of type runs."""

from __future__ import annotations

import html

from spadework.present.face.model import Band, Face, Loosened, Press, Spread

__all__ = ["describe", "plain", "residue_words", "safe", "shown", "width_of", "with_range", "wrap"]

# Widths of letters in a common sans face, in sizes of type; a little is added for wider faces.
_WIDTHS = {"il|'": 0.23, "ftjI.,:;! ": 0.28, "r-()[]/": 0.34, "ckszxyvJ": 0.5, "m%@M—W": 0.87, "w": 0.72}
_WIDTH = {letter: width for letters, width in _WIDTHS.items() for letter in letters}
_SPARE = 1.14


def safe(text: str) -> str:
    """Return text that may stand in SVG: escaped, on one line, without characters that XML forbids.

    Examples
    --------
    >>> safe("8 < 10 & dry")
    '8 &lt; 10 &amp; dry'
    """
    return html.escape(plain(text), quote=True)


def plain(text: str) -> str:
    """Return text on one line, with a sign in place of every character that cannot be shown.

    Examples
    --------
    >>> plain("two   words"), plain(chr(8232) + "line")
    ('two words', 'line')
    """
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in " ".join(text.split()))


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """Return about how wide a line of sans type runs, in the unit of `size`; on the wide side.

    Examples
    --------
    >>> round(width_of("gap", 10), 1)
    19.0
    """
    total = sum(_WIDTH.get(letter, 0.7 if letter.isupper() else 0.556) for letter in text)
    return size * total * _SPARE * (1.07 if bold else 1.0)


def wrap(text: str, size: float, limit: float, *, bold: bool = False) -> list[str]:
    """Return text broken into lines no wider than `limit`; a single long word is broken where it must.

    Examples
    --------
    >>> wrap("one two three", 10, 60)
    ['one two', 'three']
    """
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if width_of(longer, size, bold=bold) <= limit:
            line = longer
            continue
        if line:
            lines.append(line)
        line = word
        while width_of(line, size, bold=bold) > limit and len(line) > 1:
            keep = len(line) - 1
            while keep > 1 and width_of(line[:keep], size, bold=bold) > limit:
                keep -= 1
            lines.append(line[:keep])
            line = line[keep:]
    return [*lines, line] if line else lines


def shown(value: float) -> str:
    """Return a length as it is read off a ruler: one decimal at most, a true minus sign.

    Examples
    --------
    >>> shown(6.0), shown(4.6), shown(-1.25)
    ('6', '4.6', '−1.2')
    """
    text = f"{value:.1f}".removesuffix(".0").replace("-", "−")
    return "0" if text == "−0" else text


def with_range(spread: Spread, unit: str = "cm") -> str:
    """Return a figure with its unit and, where it has one, its interval.

    Examples
    --------
    >>> with_range(Spread(6, 4.6, 7.5))
    '6 cm (4.6 to 7.5)'
    """
    text = f"{shown(spread.mid)} {unit}"
    return text if spread.low == spread.high else f"{text} ({shown(spread.low)} to {shown(spread.high)})"


def residue_words(face: Face) -> str:
    """Return how much of the surface residue covers, in words."""
    strip, between = (f"{100 * share:.0f} %" for share in (face.residue_strip_share, face.residue_between_share))
    text = f"{strip} of the strip, {between} between strips" if face.strip_width_cm else f"{between} of the surface"
    return f"{text} ({face.residue_spread})" if face.residue_spread else text


def describe(face: Face) -> str:
    """Return the drawing in sentences, for those who hear it instead of seeing it."""
    said = [
        f"Cut through the ground across two rows {shown(face.row_spacing_cm)} cm apart: {face.description.rstrip('.')}."
    ]
    said += [_moved(part) for part in face.loosened] or ["The ground is not loosened."]
    if face.firmed_rise_cm:
        side = "above" if face.firmed_rise_cm > 0 else "below"
        said.append(f"The {face.reference} lies {shown(abs(face.firmed_rise_cm))} cm {side} the undisturbed surface.")
    said.append(f"Residue covers {residue_words(face)}.")
    if face.seed:
        said.append(f"Seed at {shown(face.seed_depth_cm)} cm below the {face.reference}.")
    if face.band is not None:
        said.append(_placed(face.band))
    if face.gap is not None:
        said.append(f"The gap from seed to band top is {with_range(face.gap)}.")
    said += [
        f"Wheel track {shown(track.width_cm)} cm wide, its middle {shown(track.centre_cm)} cm right of the left-hand "
        f"row: {track.label}."
        for track in face.tracks
    ]
    if face.press is not None:
        said.append(_pressed(face.press))
    if face.digs:
        said.append(f"Dots show {len(face.digs)} measured {'dig' if len(face.digs) == 1 else 'digs'}.")
    said += [
        f"{caption.label}: {caption.value} {caption.unit}" + (f", {caption.spread}." if caption.spread else ".")
        for caption in face.captions
    ]
    said.append(f"Standing: {face.standing}.")
    said += [f"Caution: {text.rstrip('.')}." for text in face.warnings]
    return " ".join(said)


def _moved(part: Loosened) -> str:
    verb = "turned" if part.turned else "loosened"
    depth = with_range(part.depth_cm)
    if part.shape == "strip":
        return f"A strip {shown(part.width_cm)} cm wide under each row is {verb} to {depth}."
    return f"The whole width is {verb} to {depth}."


def _placed(band: Band) -> str:
    top, bottom = with_range(band.top_cm), shown(band.bottom_cm)
    if band.shape == "surface":
        return f"Slurry lies on the surface, {shown(2 * band.half_width_cm)} cm wide over each row."
    if band.shape == "mixed":
        return f"Slurry is mixed into the ground from {top} down to {bottom} cm."
    if band.shape == "buried":
        return f"Slurry is turned under between {top} and {bottom} cm."
    text = (
        f"A {band.shape} band of slurry, {shown(2 * band.half_width_cm)} cm wide, has its top at {top} and its bottom "
    )
    text += f"at {bottom} cm"
    if band.offset_cm:
        side = "right" if band.offset_cm > 0 else "left"
        text += f", {shown(abs(band.offset_cm))} cm to the {side} of the row"
    if band.overflow_half_width_cm:
        text += f"; slurry has come up to the surface, {shown(2 * band.overflow_half_width_cm)} cm wide"
    return f"{text}."


def _pressed(press: Press) -> str:
    """Return wheel and lines in one sentence, for those who hear the drawing."""
    reached = [line for line in press.lines if line.outlines]
    parts = [f"above {shown(line.stress_kpa)} kPa down to {shown(line.deepest_cm)} cm" for line in reached]
    if not parts:
        least = press.lines[0].stress_kpa if press.lines else 0.0
        return f"On the ground stands: {press.said}; nowhere in the ground is the stress above {shown(least)} kPa."
    return f"On the ground stands: {press.said}. Under it the stress in the ground is {', '.join(parts)} on the depth axis."
