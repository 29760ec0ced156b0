"""Residue on photos as plain text and as a file of figures: cover, or why there is none, and what counts by hand say."""

from __future__ import annotations

import csv
import io
import math
import textwrap
from collections.abc import Mapping, Sequence
from typing import Final

from spadework import __version__, reference
from spadework.findings.photo_cover import FieldCover, PhotoCover, Strips
from spadework.present.table import WIDTH
from spadework.science.seedbed.photo.calibration import Calibration
from spadework.science.seedbed.photo.fitness import Reason
from spadework.science.seedbed.photo.pixels import GREEN, RESIDUE, SHADOW, SOIL

__all__ = ["CLASS_TONES", "photo_csv", "photo_text", "reason_words"]

CLASS_TONES: Final[Mapping[int, tuple[int, int, int]]] = {
    SOIL: (150, 115, 75),
    RESIDUE: (255, 235, 175),
    GREEN: (20, 95, 60),
    SHADOW: (30, 26, 22),
}
"""Tones of a picture of the classes; dark to light in grey: shadow, plants, soil, residue."""

_LIMITS = reference.constants("photo_limits")
_NAME: Final = 36
_LOOKED: Final = "LOOKED ONLY: read from photos and held against no count; not a cover for the record."
_REASONS: Final[Mapping[str, str]] = {
    "widest_mm_px": "too coarse: a pixel is {found:.2f} mm wide; allowed: up to {limit:g} mm; go nearer or take more pixels",
    "short_side_cm": "too small: the shorter side shows {found:.0f} cm; allowed: {limit:.0f} cm or more",
    "darkest_median": "too dark: the middle brightness is {found:.0f} of 255; allowed: {limit:.0f} or more",
    "brightest_median": "too bright: the middle brightness is {found:.0f} of 255; allowed: up to {limit:.0f}",
    "black_share": "too dark: {found:.1%} of the picture is black; allowed: up to {limit:.0%}",
    "white_share": "too bright: {found:.1%} of the picture is white; allowed: up to {limit:.0%}",
    "class_distance": "low contrast: residue and soil lie {found:.1f} of their spreads apart; allowed: {limit:g} or more; "
    "ground that is nearly all bare or all covered looks so too: count it by hand",
    "brightness_ratio": "residue is only {found:.2f} times as bright as soil; allowed: {limit:g} or more; wet ground looks so, "
    "and pale soil: wait until it is dry, or count by hand",
    "glint_share": "looks wet: small glints on {found:.1%} of the picture; allowed: up to {limit:.1%}; wait until it is dry, or "
    "take it in even shade",
    "sharpness": "blurred: fineness of detail {found:.2f}; allowed: {limit:g} or more; hold still and focus on the ground",
    "shadow_share": "deep shadow on {found:.0%} of the picture; allowed: up to {limit:.0%}; take it under cloud or a cloth",
    "green_share": "green plants hide {found:.0%} of the picture; allowed: up to {limit:.0%}",
    "light_ratio": "uneven light: the brightest part has {found:.1f} times the light of the darkest; allowed: up to {limit:g}",
    "patch_ratio": "patchy light: a part of the picture is lit {found:.2f} times as much or as little as the rest; allowed: up "
    "to {limit:g}; keep your own shade out, or take it under cloud or a cloth",
    "zone_share": "shows only {found:.0%} of a strip or of the ground between; allowed: {limit:.0%} or more of each; check "
    "--strip, --row and --offset",
}
_KEEP_IN_MIND: Final = (
    "Whether a picture was taken straight down cannot be told from it.",
    "Residue is taken to be brighter and paler than its soil. Where it is not, the cover is wrong and nothing may say so.",
    "Pale stones pass for residue, and nothing refuses them: on stony ground count by hand, or lay a tape.",
    "The method was tried on made pictures only. That tries the sums, not the field: count some photos by hand.",
)


def reason_words(reason: Reason) -> str:
    """Return why a photo gives no cover, in a sentence.

    Examples
    --------
    >>> reason_words(Reason("widest_mm_px", 0.82, 0.5))
    'too coarse: a pixel is 0.82 mm wide; allowed: up to 0.5 mm; go nearer or take more pixels'
    """
    return _REASONS[reason.key].format(found=reason.found, limit=reason.limit).replace("%", " %")


def photo_text(photos: Sequence[PhotoCover], field: FieldCover | None, strips: Strips | None) -> str:
    """Return what photos say as plain text, at most 100 columns wide.

    Parameters
    ----------
    photos : sequence of PhotoCover
        In the order in which they were named.
    field : FieldCover or None
        Counts by hand held against them; None where none were given.
    strips : Strips or None
        Where strips lie.
    """
    calibration = None if field is None else field.calibration
    out = ["Residue on photos", ""]
    if calibration is None:
        out += _wrapped(_LOOKED)
    else:
        out += _wrapped(f"Measured: read from photos and corrected by {calibration.counted} counts by hand.")
    names = ["cover", "residue", "green", "shadow"] + (["strip", "between"] if strips else [])
    out += ["", "photo".ljust(_NAME) + "".join(name.rjust(9) for name in names)]
    for photo in photos:
        out += _photo(photo, strips)
    what = "cover: residue over all but green plants"
    if strips:
        what += f", strip and ground between weighted by their area ({100 * strips.tilled_share:.0f} % strip)"
    out += ["", *_wrapped(f"In per cent. {what}; residue, green, shadow: of the whole picture.")]
    fit = [photo for photo in photos if photo.fit]
    gives = "gives" if len(fit) == 1 else "give"
    out += _wrapped(f"{len(fit)} of {len(photos)} photo{'' if len(photos) == 1 else 's'} {gives} a cover.")
    if len({photo.size for photo in photos}) > 1:
        out += _wrapped("The photos differ in height or width; the scale that was given counts for every one of them.")
    if field is not None:
        out += _field(field)
    elif fit:
        out += ["", *_wrapped(f"For a cover of the field: count {_number('photos_better')} of them by hand; {_few()}.")]
    out += ["", "Keep in mind"]
    for words in _KEEP_IN_MIND:
        out += _wrapped(words, "  ", "- ")
    out += ["", f"spadework {__version__}"]
    return "\n".join(line.rstrip() for line in out)


def photo_csv(photos: Sequence[PhotoCover]) -> str:
    """Return what photos say as a table of figures, one line for each; cells are parted by semicolons.

    Shares are fractions.  A photo that gives no cover has no figures, but its reasons.
    """
    columns = (
        "photo", "taken", "latitude", "longitude", "pixel_mm", "cover_share", "residue_share", "green_share",
        "shadow_share", "strip_cover_share", "between_cover_share", "standing", "no_cover_because",
    )  # fmt: skip
    with io.StringIO(newline="") as held:
        writer = csv.writer(held, delimiter=";", lineterminator="\n")
        writer.writerow(columns)
        for photo in photos:
            figures = (photo.cover, photo.residue_share, photo.green_share, photo.shadow_share)
            zones = (photo.strip_cover, photo.between_cover)
            writer.writerow(
                [
                    photo.name,
                    photo.taken.isoformat() if photo.taken else "",
                    *("" if place is None else f"{place:.6f}" for place in (photo.latitude, photo.longitude)),
                    f"{photo.pixel_mm:.4g}",
                    *(f"{value:.4f}" if photo.fit and not math.isnan(value) else "" for value in (*figures, *zones)),
                    "looked",
                    " | ".join(reason_words(reason) for reason in photo.reasons),
                ]
            )
        return held.getvalue()


def _photo(photo: PhotoCover, strips: Strips | None) -> list[str]:
    name = _shown(photo.name)
    if not photo.fit:
        out = [f"{name:<{_NAME}}{'no cover':>9}"]
        for reason in photo.reasons:
            out += _wrapped(reason_words(reason), "    ", "- ")
        return out
    values = [photo.cover, photo.residue_share, photo.green_share, photo.shadow_share]
    values += [photo.strip_cover, photo.between_cover] if strips else []
    return [f"{name:<{_NAME}}" + "".join(f"{100 * value:9.0f}" for value in values)]


def _field(field: FieldCover) -> list[str]:
    out = ["", "Against counts by hand"]
    for name, why in field.left_out:
        out += _wrapped(f"the count of {_shown(name)} was left out: {why}", "  ", "- ")
    found = field.calibration
    if found is None:
        count = len(field.counted)
        said = (
            f"{count} photo{'' if count == 1 else 's'} that give{'s' if count == 1 else ''} a cover counted; {_few()}"
        )
        return [*out, *_wrapped(f"No cover of the field: {said}. The photos were looked at, no more.", "  ")]
    sure = f"{100 * field.confidence:.0f} %"
    out += _rows(
        ("photos counted", f"{found.counted} of {found.photos} that give a cover"),
        (
            "reading less count, mean",
            f"{_points(found.bias)} ({100 * found.bias_low:+.1f} to {100 * found.bias_high:+.1f})",
        ),
        ("reading less count, scatter", f"{_points(found.scatter, sign=False)}, standard deviation"),
        ("of it, marks of the grid", _points(found.grid_se, sign=False)),
        ("of it, the reading itself", _points(found.reading_spread, sign=False)),
        ("reading rises with the cover by", _slope_words(found)),
        ("cover of the field, corrected", _mean_words(found)),
    )
    out += _wrapped(f"In brackets what holds with a chance of {sure}, if the photos were taken at random places.", "  ")
    if found.counted < _LIMITS.photos_better:
        out += _wrapped(f"{_number('photos_better')} counted photos are better than {found.counted}.", "  ")
    if not (found.slope_low <= 1 <= found.slope_high) and not math.isnan(found.slope):
        what = "The reading does not rise with the cover one for one. The mean of the field stands, if the counted photos were"
        out += _wrapped(f"{what} chosen at random from all; single photos must not be compared.", "  ")
    return out


def _mean_words(found: Calibration) -> str:
    low, high = max(0.0, found.low), min(1.0, found.high)
    cut = "; cut off at what can be" if (low, high) != (found.low, found.high) else ""
    return f"{100 * found.mean:.0f} % ({100 * low:.0f} to {100 * high:.0f} %{cut})"


def _slope_words(found: Calibration) -> str:
    if math.isnan(found.slope) or math.isnan(found.slope_low):
        return "not known: the counts hardly differ"
    return f"{found.slope:.2f} for 1 ({found.slope_low:.2f} to {found.slope_high:.2f})"


def _shown(name: str) -> str:
    printable = "".join(c if c.isprintable() else "?" for c in name)
    return printable if len(printable) < _NAME else "..." + printable[-(_NAME - 4) :]


def _points(share: float, *, sign: bool = True) -> str:
    return f"{100 * share:{'+' if sign else ''}.1f} points"


def _few() -> str:
    return f"fewer than {_number('photos_least')} give none"


def _number(key: str) -> str:
    return f"{_LIMITS[key].value:.0f}"


def _rows(*rows: tuple[str, str]) -> list[str]:
    return [f"  {label:<34}{text}" for label, text in rows]


def _wrapped(text: str, indent: str = "", mark: str = "") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent + mark, subsequent_indent=indent + " " * len(mark))
