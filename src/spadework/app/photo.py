"""The command ``spadework photo``: residue cover from photos of the ground, and why a photo gives none."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from spadework.findings.photo_cover import Bar, Strips, Width
    from spadework.plan import Fault

__all__ = ["photo", "read_scale", "read_strips"]

_LEAST_CM, _MOST_CM = 1.0, 2_000.0
_POINT = r"([0-9]{1,6})\s*,\s*([0-9]{1,6})"
_ENDS = re.compile(rf"\s*{_POINT}[\s;]+{_POINT}\s*")


def photo(
    files: Annotated[list[Path], typer.Argument(help="Photos: JPEG, PNG or TIFF.", show_default=False)],
    width: Annotated[
        str | None, typer.Option("--width", help='Ground that a picture shows from left to right, e.g. "60 cm".')
    ] = None,
    bar: Annotated[
        str | None,
        typer.Option("--bar", help='Instead: pixels of both ends of a bar on the ground, e.g. "310,420 1850,440".'),
    ] = None,
    length: Annotated[str | None, typer.Option("--length", help='Length of that bar, e.g. "50 cm".')] = None,
    strip: Annotated[str | None, typer.Option("--strip", help='Width of a strip, e.g. "20 cm".')] = None,
    row: Annotated[str | None, typer.Option("--row", help='Row spacing, e.g. "75 cm".')] = None,
    offset: Annotated[
        str | None,
        typer.Option("--offset", help="Left edge to the middle of a strip; the middle of the picture if left out."),
    ] = None,
    counts: Annotated[
        Path | None, typer.Option("--counts", help="Table of counts by hand: photo, hits, points, with strips zone.")
    ] = None,
    csv: Annotated[Path | None, typer.Option("--csv", help="Write the figures of every photo to this file.")] = None,
    mask: Annotated[
        Path | None, typer.Option("--mask", help="Write a picture of what was counted as what into this folder.")
    ] = None,
) -> None:
    """Print the residue cover of photos, or why a photo gives none; with counts by hand, the cover of the field."""
    from spadework.exchange.photos import png_of_classes, read_photo
    from spadework.findings.photo_cover import cover_of_field, cover_of_photo
    from spadework.plan import Fault, PlanFaults
    from spadework.present.files import write_bytes, write_text
    from spadework.present.seedbed.photo_table import CLASS_TONES, photo_csv, photo_text
    from spadework.ranges import ImpossibleValue
    from spadework.records.files.photo_counts import read_photo_counts

    faults: list[Fault] = []
    scale = read_scale(width, bar, length, faults)
    strips = read_strips(strip, row, offset, faults)
    names = [path.name for path in files]
    faults += [Fault(name, "stands twice among the photos; allowed: each name once") for name in _twice(names)]
    faults += _overwritten([*files, *([counts] if counts else [])], files, csv, mask)
    if faults or scale is None:
        raise PlanFaults(faults, "the command")
    counted = None if counts is None else read_photo_counts(counts, names, by_zone=strips is not None)
    covers, pictures = [], []
    for path in files:
        try:
            found, classes = cover_of_photo(read_photo(path), scale, strips)
        except PlanFaults as error:
            if error.name == "the command":
                raise
            faults += [Fault(path.name, fault.what) for fault in error.faults]
        except ImpossibleValue as error:
            faults.append(Fault(path.name, f"cannot be worked on: {error}"))
        else:
            covers.append(found)
            if mask is not None:
                pictures.append((mask / f"{path.name}-classes.png", png_of_classes(classes, CLASS_TONES)))
    if faults:
        raise PlanFaults(faults, "photos")
    field = None if counted is None else cover_of_field(covers, counted, strips)
    typer.echo(photo_text(covers, field, strips))
    if csv is not None:
        typer.echo(f"wrote {write_text(csv, photo_csv(covers))}")
    for path, content in pictures:
        write_bytes(path, content)
    if mask is not None:
        typer.echo(
            f"wrote {len(pictures)} picture{'' if len(pictures) == 1 else 's'} of what was counted as what into {mask}"
        )


def read_scale(width: str | None, bar: str | None, length: str | None, faults: list[Fault]) -> Width | Bar | None:
    """Return what tells the width of a pixel; None, and a fault more, where it is not said or cannot be.

    Examples
    --------
    >>> read_scale("60 cm", None, None, []), read_scale(None, "100,200 900,200", "50 cm", [])
    (Width(width_cm=60.0), Bar(length_cm=50.0, along_px=800, down_px=0))
    """
    from spadework.findings.photo_cover import Bar, Width
    from spadework.plan import Fault

    if (width is None) == (bar is None):
        missing = "is missing; give it, or --bar with --length: without a scale nobody knows how wide a pixel is"
        faults.append(Fault("--width", "is given, and --bar as well; allowed: one of the two" if width else missing))
        return None
    if width is not None:
        if length is not None:
            faults.append(Fault("--length", "belongs to --bar; leave it out, or give --bar in place of --width"))
        known = _cm("--width", width, faults)
        return None if known is None else Width(known)
    ends = _ENDS.fullmatch(bar or "")
    known = None
    if length is None:
        faults.append(Fault("--length", "is missing; give the length of the bar as well"))
    else:
        known = _cm("--length", length, faults)
    if ends is None:
        what = f'"{(bar or "")[:60]}" is no pair of ends; write pixels from the left and from the top, e.g. 310,420 1850,440'
        faults.append(Fault("--bar", what))
        return None
    x0, y0, x1, y1 = (int(part) for part in ends.groups())
    if (x1 - x0, y1 - y0) == (0, 0):
        faults.append(Fault("--bar", "both ends are the same pixel"))
        return None
    return None if known is None else Bar(known, x1 - x0, y1 - y0)


def read_strips(strip: str | None, row: str | None, offset: str | None, faults: list[Fault]) -> Strips | None:
    """Return where strips lie; None where none are said, or, with a fault more, where they cannot be.

    Examples
    --------
    >>> read_strips("20 cm", "75 cm", None, [])
    Strips(strip_cm=20.0, row_cm=75.0, offset_cm=None)
    """
    from spadework.findings.photo_cover import Strips
    from spadework.plan import Fault

    if strip is None and row is None and offset is None:
        return None
    for name, text in (("--strip", strip), ("--row", row)):
        if text is None:
            faults.append(Fault(name, "is missing; strips need both --strip and --row"))
    strip_cm = None if strip is None else _cm("--strip", strip, faults)
    row_cm = None if row is None else _cm("--row", row, faults)
    offset_cm = None if offset is None else _cm("--offset", offset, faults, least=0.0)
    if strip_cm is None or row_cm is None:
        return None
    if strip_cm >= row_cm:
        faults.append(Fault("--strip", f"{strip_cm:g} cm is no strip of rows {row_cm:g} cm apart; allowed: less"))
        return None
    return Strips(strip_cm, row_cm, offset_cm)


def _cm(name: str, text: str, faults: list[Fault], least: float = _LEAST_CM) -> float | None:
    from spadework.plan import Fault
    from spadework.quantities import QuantityError, parse

    try:
        value = parse(text, "cm").value
    except QuantityError as error:
        faults.append(Fault(name, str(error)))
        return None
    if not least <= value <= _MOST_CM:
        faults.append(Fault(name, f'"{text[:60]}" cannot be; allowed: {least:g} to {_MOST_CM:g} cm'))
        return None
    return value


def _twice(names: list[str]) -> list[str]:
    return [name for name in dict.fromkeys(names) if names.count(name) > 1]


def _overwritten(read: list[Path], photos: list[Path], csv: Path | None, mask: Path | None) -> list[Fault]:
    """Return a fault for every file that is read and that one to be written would replace."""
    from spadework.plan import Fault

    ours = {path.resolve(): path.name for path in read}
    written = [] if csv is None else [("--csv", csv)]
    written += [] if mask is None else [("--mask", mask / f"{path.name}-classes.png") for path in photos]
    return [
        Fault(name, f"would overwrite {ours[p.resolve()]}, which is read") for name, p in written if p.resolve() in ours
    ]
