"""The key of the soil face: which signs stand in it, and what they mean."""

from __future__ import annotations

from collections.abc import Iterator

from spadework.present import tone
from spadework.present.face.model import Band, Face
from spadework.present.face.press import press_swatches
from spadework.present.face.words import residue_words

__all__ = ["swatches"]


def swatches(face: Face, prefix: str) -> Iterator[tuple[str, str]]:
    """Yield what stands in the key: a sign 26 by 14 units, and its words."""
    yield (
        f'<path d="M0 7H26" stroke="{tone.INK}" stroke-width="1.4" stroke-dasharray="1.5 4"/>',
        f"0 = {face.reference}",
    )
    box = '<rect width="26" height="14" '
    edge = f'stroke="{tone.LOOSENED_LINE}"/>'
    if any(not part.turned for part in face.loosened):
        sign = f'{box}fill="{tone.LOOSENED}"/>{box}fill="url(#{prefix}-loose)" {edge}'
        yield sign, "loosened"
    if any(part.turned for part in face.loosened):
        lines = f'<path d="M3 14L13 0M13 14L23 0" stroke="{tone.LOOSENED_LINE}" stroke-width="2"/>'
        yield f'{box}fill="{tone.LOOSENED}" {edge}{lines}', "turned"
    yield f'{box}fill="{tone.UNDISTURBED}" {edge}', "not moved"
    if face.residue_strip_share or face.residue_between_share:
        straw = "".join(
            f'<path d="M1 9L25 5" stroke="{colour}" stroke-width="{width}"/>'
            for colour, width in ((tone.STRAW_DARK, "3.8"), (tone.STRAW, "1.9"))
        )
    else:
        straw = f'<path d="M0 12H26" stroke="{tone.INK}" stroke-width="1.4"/>'
    yield straw, f"residue covers {residue_words(face)}"
    if face.band is not None:
        yield from _slurry_swatches(face.band)
    if face.digs:
        dots = (
            f'<circle cx="7" cy="7" r="4" fill="{tone.PAPER}" stroke="{tone.ACCENT}" stroke-width="2.2"/>'
            f'<circle cx="20" cy="7" r="4" fill="{tone.ACCENT}"/>'
        )
        count = "1 dig" if len(face.digs) == 1 else f"{len(face.digs)} digs"
        yield dots, f"measured in {count}: seed (open), band top and bottom (full)"
    if face.tracks:
        sign = f'<path d="M0 8H26" stroke="{tone.INK}" stroke-width="4" stroke-dasharray="7 3"/>'
        yield sign, "wheel track (depth of rut not to scale)"
    if face.press is not None:
        yield from press_swatches(face.press)


def _slurry_swatches(band: Band) -> Iterator[tuple[str, str]]:
    if band.shape in ("round", "wide"):
        corner = 7 if band.shape == "round" else 4
        dark = f'fill="{tone.SLURRY}"/>'
        if band.top_cm.high > band.top_cm.low:
            sign = (
                f'<rect x="1" width="24" height="14" rx="{corner}" fill="{tone.SLURRY_PALE}" fill-opacity=".55" '
                f'stroke="{tone.SLURRY}" stroke-dasharray="3 3"/><rect x="5" y="6" width="16" height="8" rx="4" {dark}'
            )
            yield sign, "slurry: dark where sure, pale where possible"
        else:
            yield f'<rect x="1" y="2" width="24" height="10" rx="{corner}" {dark}', "slurry"
    elif band.shape == "surface":
        yield f'<path d="M0 9H26" stroke="{tone.SLURRY}" stroke-width="6"/>', "slurry on the surface"
    elif band.shape == "buried":
        yield f'<path d="M8 14L17 0" stroke="{tone.SLURRY}" stroke-width="7"/>', "slurry turned under"
    else:
        dots = f'<path d="M4 4h0M13 9h0M22 4h0" stroke="{tone.SLURRY}" stroke-width="4.4" stroke-linecap="round"/>'
        yield dots, "slurry mixed in"
    if band.overflow_half_width_cm:
        yield f'<path d="M0 9H26" stroke="{tone.SLURRY}" stroke-width="6"/>', "slurry come up to the surface"
