"""What the parts of a field file are: outline, obstacle, water or fixed point; and the field that they make."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

from spadework.layout.ground import Frame, Host
from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.reference import constants

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

__all__ = ["WORDS", "FieldPart", "host_of", "kind_of_part"]

WORDS: Final = ("field", "obstacle", "water", "point")
"""What a part can be."""
_ALSO: Final = {
    "outline": "field", "boundary": "field", "plot": "field", "tree": "obstacle", "pole": "obstacle", "pylon": "obstacle",
    "mast": "obstacle", "hollow": "obstacle", "island": "obstacle", "ditch": "water", "stream": "water", "pond": "water",
    "river": "water", "well": "water", "spring": "water", "drain": "water", "gate": "point", "post": "point",
    "fixed point": "point", "corner": "point", "line": "obstacle", "power line": "obstacle", "overhead line": "obstacle",
    "hedge": "obstacle", "wall": "obstacle", "fence": "obstacle", "house": "obstacle", "manhole": "obstacle",
}  # fmt: skip
_MOST_CORNERS: Final = 20_000


@dataclass(frozen=True)
class FieldPart:
    """One shape of a file, in degrees or in metres.

    Attributes
    ----------
    shape : BaseGeometry
        x is longitude or east, y is latitude or north.
    word : str
        What the file calls it; empty where it says nothing.
    name : str
        Its own name.
    place : str
        Where it stands in the file, for messages.
    line : int or None
        Line of the file.
    """

    shape: BaseGeometry
    word: str = ""
    name: str = ""
    place: str = ""
    line: int | None = None


def kind_of_part(word: str) -> str | None:
    """Return which of :data:`WORDS` a word stands for; None where it is none.

    Examples
    --------
    >>> kind_of_part("Ditch"), kind_of_part("stile")
    ('water', None)
    """
    small = " ".join(word.lower().split())
    return small if small in WORDS else _ALSO.get(small)


def host_of(parts: Sequence[FieldPart], file: str, *, degrees: bool, name: str = "") -> Host:
    """Return the field that the parts of a file make.

    Parameters
    ----------
    parts : sequence of FieldPart
        As they were read.
    file : str
        Name of the file, for messages.
    degrees : bool
        True where they are longitude and latitude (WGS 84), False where they are metres.
    name : str
        What the host calls the field.

    Raises
    ------
    PlanFaults
        With everything that cannot be.

    Notes
    -----
    A part without a word is taken by its shape: the largest polygon is the field, other polygons are obstacles, lines are water,
    points are obstacles.  What was taken so is told.
    """
    faults = [fault for part in parts for fault in _wrong(part, degrees)]
    if degrees and not faults:
        parts = _one_side(parts)
    sorted_parts: dict[str, list[FieldPart]] = {word: [] for word in WORDS}
    silent: list[FieldPart] = []
    for part in parts:
        if not part.word:
            silent.append(part)
        elif (kind := kind_of_part(part.word)) is not None:
            sorted_parts[kind].append(part)
        else:
            near = nearest(part.word, WORDS)
            what = f'"{part.word[:40]}" is no part of a field; allowed: {", ".join(WORDS)}{near}'
            faults.append(Fault(part.place, what, part.line))
    if not faults:
        faults = list(_two_fields(silent, sorted_parts["field"]))
    told = [] if faults else list(_by_shape(silent, sorted_parts))
    if not faults:
        faults = list(_outline_faults(sorted_parts["field"]))
    if faults:
        raise PlanFaults(faults, file)
    outline = _one_polygon(sorted_parts["field"][0].shape)
    frame = Frame()
    if degrees:
        middle = outline.centroid
        frame = Frame(float(middle.y), (float(middle.x) + 180) % 360 - 180)
    return _made(outline, sorted_parts, frame, told, file, name)


def _made(outline: Any, parts: dict[str, list[FieldPart]], frame: Frame, told: list[str], file: str, name: str) -> Host:
    from shapely.geometry import Polygon

    ground = _metres(outline, frame)
    rules = constants("layout_rules")
    faults = []
    reach = rules["reach_km"].value * 1000.0
    far = max(math.hypot(x - ground.centroid.x, y - ground.centroid.y) for x, y in ground.exterior.coords)
    if far > reach:
        what = f"a corner lies {far / 1000:.1f} km from the middle of the field; allowed: up to {reach / 1000:g} km. Check it"
        faults.append(Fault("field", what))
    holes = [Polygon(ring) for ring in ground.interiors]
    kept = {kind: [_mended(_metres(part.shape, frame)) for part in parts[kind]] for kind in ("obstacle", "water")}
    for kind in kept:
        for part, shape in zip(parts[kind], kept[kind], strict=True):
            if shape.distance(ground) > reach:
                what = f"lies {shape.distance(ground) / 1000:.1f} km from the field; is it of another one?"
                faults.append(Fault(part.place, what, part.line))
    if not faults and ground.area < 100:
        what = f"the field has {ground.area:.1f} m2; allowed: 100 m2 or more. Are its corners in metres?"
        faults.append(Fault("field", what))
    if faults:
        raise PlanFaults(faults, file)
    fixed = []
    for number, part in enumerate(parts["point"], 1):
        spot = _metres(part.shape, frame).representative_point()
        fixed.append((part.name or f"point {number}", float(spot.x), float(spot.y)))
    if holes:
        told.append(f"{len(holes)} hole{'' if len(holes) == 1 else 's'} of the field: taken for obstacles.")
    return Host(
        name or parts["field"][0].name,
        frame,
        Polygon(ground.exterior),
        (*kept["obstacle"], *holes),
        tuple(kept["water"]),
        tuple(fixed),
        tuple(told),
    )


def _metres(shape: Any, frame: Frame) -> Any:
    from shapely import force_2d, transform

    flat = force_2d(shape)
    if not frame.placed:
        return flat

    def moved(points: Any) -> Any:
        import numpy as np

        return np.column_stack(frame.metres(points[:, 0], points[:, 1]))

    return transform(flat, moved)


def _mended(shape: Any) -> Any:
    """Return a shape whose edges cross themselves as the pieces that they enclose; others as they are."""
    from shapely import make_valid

    return shape if shape.is_valid else make_valid(shape, method="structure")


def _one_side(parts: Sequence[FieldPart]) -> Sequence[FieldPart]:
    """Return the parts with longitudes that go on past 180 degrees where a field lies across the date line."""
    from shapely import get_coordinates, transform

    east = [get_coordinates(part.shape)[:, 0] for part in parts]
    if max(x.max() for x in east) - min(x.min() for x in east) <= 180:
        return parts

    def moved(points: Any) -> Any:
        import numpy as np

        return np.column_stack([np.where(points[:, 0] < 0, points[:, 0] + 360, points[:, 0]), points[:, 1]])

    return [replace(part, shape=transform(part.shape, moved)) for part in parts]


def _one_polygon(shape: Any) -> Any:
    return shape.geoms[0] if shape.geom_type == "MultiPolygon" else shape


def _wrong(part: FieldPart, degrees: bool) -> Iterator[Fault]:
    """Yield what is wrong with the numbers of a part."""
    from shapely import get_coordinates

    points = get_coordinates(part.shape)
    if not len(points):
        yield Fault(part.place, "has no corners; draw it again, or leave the shape out", part.line)
        return
    if len(points) > _MOST_CORNERS:
        what = f"has {len(points)} corners; allowed: up to {_MOST_CORNERS}. Thin it out: a corner every metre is enough"
        yield Fault(part.place, what, part.line)
        return
    for x, y in points.tolist():
        if not (math.isfinite(x) and math.isfinite(y)):
            yield Fault(part.place, "a corner is no number", part.line)
            return
        if degrees and not (-180 <= x <= 180 and -85 <= y <= 85):
            swapped = -85 <= x <= 85 and -180 <= y <= 180
            pole = -180 <= x <= 180 and -90 <= y <= 90 and not swapped
            more = (
                "; longitude comes first, then latitude: are they swapped?"
                if swapped
                else "; no maize grows there"
                if pole
                else "; is the file in metres? Export it as longitude and latitude (WGS 84)"
            )
            what = f"longitude {x:g}, latitude {y:g} cannot be; allowed: -180 to 180 and -85 to 85 degrees{more}"
            yield Fault(part.place, what, part.line)
            return


def _two_fields(silent: Sequence[FieldPart], named: Sequence[FieldPart]) -> Iterator[Fault]:
    """Yield a fault where nothing says which of two polygons, apart and alike in size, is the field."""
    found = sorted(
        (p for p in silent if p.shape.geom_type == "Polygon" and p.shape.is_valid), key=lambda p: -p.shape.area
    )
    if named or len(found) < 2:
        return
    first, second = found[:2]
    if second.shape.area > first.shape.area / 2 and not first.shape.intersects(second.shape):
        what = f'could be the field, and so could {first.place}; give one of them kind = "field", or write one file for each'
        yield Fault(second.place, what, second.line)


def _by_shape(silent: Sequence[FieldPart], parts: dict[str, list[FieldPart]]) -> Iterator[str]:
    """Sort parts that carry no word, and yield what was taken for what."""
    areas = sorted((p for p in silent if "Polygon" in p.shape.geom_type), key=lambda p: -float(p.shape.area))
    if areas and not parts["field"]:
        parts["field"].append(areas.pop(0))
        if areas:
            yield "The largest polygon of the file is taken for the field."
    taken = {"obstacle": 0, "water": 0}
    for part in silent:
        if part in parts["field"]:
            continue
        kind = "water" if "Line" in part.shape.geom_type else "obstacle"
        parts[kind].append(part)
        taken[kind] += 1
    for kind, count in taken.items():
        if count:
            yield f"{count} shape{'' if count == 1 else 's'} without a word, taken for {kind} by the kind of shape."


def _outline_faults(fields: Sequence[FieldPart]) -> Iterator[Fault]:
    from shapely.validation import explain_validity

    if not fields:
        yield Fault("field", "there is no outline; allowed: one closed shape of three corners or more")
        return
    if len(fields) > 1:
        yield Fault(
            "field", f"{len(fields)} shapes are called field; allowed: one. Write one file for each", fields[1].line
        )
        return
    part = fields[0]
    if "Polygon" not in part.shape.geom_type:
        yield Fault(part.place, "the field is a line or a point; allowed: a closed outline", part.line)
    elif part.shape.geom_type == "MultiPolygon" and len(part.shape.geoms) > 1:
        what = "the field is in several pieces; allowed: one. Write a file for the piece that is used"
        yield Fault(part.place, what, part.line)
    elif part.shape.convex_hull.area == 0:
        what = "the outline holds no ground: its corners lie on one spot or in one line; list them all the way round"
        yield Fault(part.place, what, part.line)
    elif not part.shape.is_valid:
        why = explain_validity(part.shape).split("[")[0].strip().lower()
        yield Fault(
            part.place, f"the outline crosses itself ({why}); list its corners in order, all the way round", part.line
        )
