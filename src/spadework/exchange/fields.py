"""The host field from files of others: GeoJSON, corners in a table, KML, GeoPackage and shapefile.

What a file is shows in its content, not in its name.  Nothing outside the file is looked at, and nothing is sent anywhere.
"""

from __future__ import annotations

import json
import stat
import warnings
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final

from spadework.exchange.field_parts import FieldPart, host_of, kind_of_part
from spadework.layout.ground import Host
from spadework.plan import Fault, PlanFaults
from spadework.records.tables.columns import Allowed, Column
from spadework.records.tables.reader import read_table

__all__ = ["CORNER_COLUMNS", "corners_template", "read_field"]

_LARGEST: Final = 20_000_000
_KEYS: Final = ("kind", "part", "is", "what")
_SHAPES: Final = ("Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon")
_METRES: Final = Allowed(-20_000_000, 20_000_000)
CORNER_COLUMNS: Final = (
    Column("part", "field, obstacle, water or point; with a number where there are several", "text", longest=30),
    Column("east_m", "from any point of your choice", "number", "m", _METRES),
    Column("north_m", "from the same point", "number", "m", _METRES),
    Column("latitude", "north positive", "number", "degree", Allowed(-85, 85)),
    Column("longitude", "east positive", "number", "degree", Allowed(-180, 180)),
)
"""Columns of a table of corners: metres, or degrees (WGS 84)."""


def read_field(path: Path, name: str = "") -> Host:
    """Read the host field from a file.

    Parameters
    ----------
    path : Path
        GeoJSON, CSV or XLSX of corners, KML, GeoPackage, or the ``.shp`` of a shapefile.
    name : str
        What the host calls it.

    Returns
    -------
    Host
        In local metres.

    Raises
    ------
    PlanFaults
        With everything that cannot be read or cannot be.
    """
    data = _content(path)
    head = data[:400].lstrip(b"\xef\xbb\xbf \t\r\n")
    if data.startswith(b"SQLite format 3\x00") or data[:4] == b"\x00\x00\x27\x0a":
        parts, degrees = _with_library(path), True
        return host_of(parts, path.name, degrees=degrees, name=name)
    if head.startswith((b"{", b"[")):
        return host_of(list(_geojson(data, path.name)), path.name, degrees=True, name=name)
    if head.startswith(b"<"):
        return host_of(list(_kml(data, path.name)), path.name, degrees=True, name=name)
    parts, degrees = _corners(path)
    return host_of(parts, path.name, degrees=degrees, name=name)


def corners_template() -> str:
    """Return a table of corners to fill in, in metres, as CSV."""
    return (
        "# Corners of the field in order, all the way round. The first corner is not written again.\n"
        "# part: field; obstacle 1, obstacle 2; water 1; point 1 (a post that can be found again).\n"
        "# Metres from any point of your choice; or latitude and longitude (WGS 84) in place of east_m and north_m.\n"
        "part,east_m,north_m\nfield,,\nfield,,\nfield,,\n"
    )


def _content(path: Path) -> bytes:
    try:
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):
            what = "is no file; name a GeoJSON, KML, GeoPackage, shapefile (.shp) or CSV file"
        elif about.st_size > _LARGEST:
            what = f"is too large; allowed: up to {_LARGEST // 1_000_000} MB. Keep only the field in it"
        elif not about.st_size:
            what = "holds nothing; allowed: the outline of the field"
        else:
            return path.read_bytes()
    except FileNotFoundError:
        what = "there is no such file; --corners writes a table of corners to fill in"
    except (OSError, ValueError) as error:
        what = f"cannot be read ({getattr(error, 'strerror', None) or error})"
    raise PlanFaults([Fault("", what)], path.name or str(path))


def _geojson(data: bytes, file: str) -> Iterator[FieldPart]:
    from shapely.errors import ShapelyError
    from shapely.geometry import shape as as_shape

    try:
        whole = json.loads(data.decode("utf-8-sig"))
    except (UnicodeDecodeError, ValueError, RecursionError) as error:
        where = f" at line {error.lineno}" if isinstance(error, json.JSONDecodeError) else ""
        raise PlanFaults([Fault("", f"is no GeoJSON text: it breaks off{where}")], file) from None
    if not isinstance(whole, dict):
        raise PlanFaults([Fault("", "is no GeoJSON: it holds no shapes")], file)
    if whole.get("crs") is not None and "CRS84" not in str(whole["crs"]) and "4326" not in str(whole["crs"]):
        what = "names a grid of its own; GeoJSON is longitude and latitude (WGS 84). Export it so"
        raise PlanFaults([Fault("crs", what)], file)
    kind = whole.get("type")
    features = whole.get("features") if kind == "FeatureCollection" else [whole]
    faults, out = [], []
    for number, feature in enumerate(features if isinstance(features, list) else [], 1):
        place = f"shape {number}"
        geometry = (
            feature.get("geometry") if isinstance(feature, dict) and feature.get("type") == "Feature" else feature
        )
        said = feature.get("properties") if isinstance(feature, dict) else None
        if not isinstance(geometry, dict) or geometry.get("type") not in _SHAPES:
            faults.append(Fault(place, f"is no shape that a field has; allowed: {', '.join(_SHAPES)}"))
            continue
        try:
            form = as_shape(geometry)
        except (ShapelyError, ValueError, TypeError, KeyError, IndexError, AttributeError):
            faults.append(Fault(place, "its corners cannot be read; allowed: pairs of longitude and latitude"))
            continue
        out.append(FieldPart(form, *_named(said if isinstance(said, dict) else {}), place))
    if not faults and not out:
        faults.append(Fault("", "holds no shapes; allowed: the outline of the field"))
    if faults:
        raise PlanFaults(faults, file)
    yield from out


def _named(said: Mapping[str, Any]) -> tuple[str, str]:
    """Return the word for what a part is, and its own name."""
    small = {str(key).lower(): value for key, value in said.items()}
    word = next(
        (str(small[key]).strip() for key in _KEYS if isinstance(small.get(key), str) and small[key].strip()), ""
    )
    name = str(small["name"]).strip()[:60] if isinstance(small.get("name"), str) else ""
    if not word and kind_of_part(name):
        word = name
    return word, "".join(c for c in name if c.isprintable())


def _kml(data: bytes, file: str) -> Iterator[FieldPart]:
    from defusedxml import ElementTree
    from defusedxml.common import DefusedXmlException

    try:
        root = ElementTree.fromstring(data)
    except (ElementTree.ParseError, DefusedXmlException, ValueError, LookupError):
        raise PlanFaults(
            [Fault("", "is no KML that can be read: broken, or with parts of other files in it")], file
        ) from None
    faults, out = [], []
    places = [element for element in root.iter() if _local(element) == "Placemark"]
    for number, mark in enumerate(places, 1):
        said = {_local(child): (child.text or "") for child in mark}
        for field in mark.iter():
            if _local(field) == "Data":
                said[field.get("name", "")] = next((c.text or "" for c in field if _local(c) == "value"), "")
            elif _local(field) == "SimpleData":
                said[field.get("name", "")] = field.text or ""
        for element in mark.iter():
            if _local(element) in ("Polygon", "LineString", "Point"):
                try:
                    out.append(FieldPart(_kml_shape(element), *_named(said), f"place {number}"))
                except (ValueError, IndexError):
                    what = "its corners cannot be read; allowed: longitude,latitude with spaces between the corners"
                    faults.append(Fault(f"place {number}", what))
    if not faults and not out:
        faults.append(Fault("", "holds no shapes; allowed: the outline of the field"))
    if faults:
        raise PlanFaults(faults, file)
    yield from out


def _local(element: Any) -> str:
    return str(element.tag).rpartition("}")[2]


def _kml_shape(element: Any) -> Any:
    from shapely.geometry import LineString, Point, Polygon

    kind = _local(element)
    if kind != "Polygon":
        points = _tuples(next(c for c in element.iter() if _local(c) == "coordinates"))
        return Point(points[0]) if kind == "Point" else LineString(points)
    rings: dict[str, list[Any]] = {"outerBoundaryIs": [], "innerBoundaryIs": []}
    for side in element:
        if _local(side) in rings:
            rings[_local(side)] += [_tuples(c) for c in side.iter() if _local(c) == "coordinates"]
    return Polygon(rings["outerBoundaryIs"][0], rings["innerBoundaryIs"])


def _tuples(element: Any) -> list[tuple[float, float]]:
    out = []
    for text in (element.text or "").split():
        cells = text.split(",")
        out.append((float(cells[0]), float(cells[1])))
    return out


def _corners(path: Path) -> tuple[list[FieldPart], bool]:
    from shapely.geometry import LineString, Point, Polygon

    table = read_table(path, CORNER_COLUMNS)
    degrees = "latitude" in table.columns
    first, second = ("longitude", "latitude") if degrees else ("east_m", "north_m")
    faults = list(table.faults)
    if degrees and {"east_m", "north_m"} & set(table.columns):
        what = "stands beside latitude and longitude; allowed: metres or degrees, not both. Take one of them out"
        faults.append(Fault("column east_m" if "east_m" in table.columns else "column north_m", what, 1))
    for name in (first, second):
        if name not in table.columns:
            what = "is missing; a table of corners has east_m and north_m, or latitude and longitude"
            faults.append(Fault(f"column {name}", what, 1))
    if faults:
        raise PlanFaults(faults, path.name)
    groups: dict[str, tuple[int, list[tuple[float, float]]]] = {}
    for line in table.lines:
        part = str(line.values.get("part") or "field").lower()
        x, y = line.values.get(first), line.values.get(second)
        if not isinstance(x, float) or not isinstance(y, float):
            faults.append(Fault("", f"{first} and {second} must both be filled in", line.number))
            continue
        groups.setdefault(part, (line.number, []))[1].append((x, y))
    parts = []
    for part, (number, corners) in groups.items():
        word = part.rstrip("0123456789 ")
        kind = kind_of_part(word)
        shape: Any
        if kind in ("field", "obstacle") and len(corners) > 2:
            shape = Polygon(corners)
        elif kind == "field":
            faults.append(Fault(part, f"has {len(corners)} corners; allowed: three or more", number))
            continue
        else:
            shape = Point(corners[0]) if len(corners) == 1 else LineString(corners)
        parts.append(FieldPart(shape, word, part, part, number))
    if faults:
        raise PlanFaults(faults, path.name)
    return parts, degrees


def _with_library(path: Path) -> list[FieldPart]:
    """Read GeoPackage or shapefile through GDAL, and turn it into degrees."""
    try:
        from pyogrio.errors import DataLayerError, DataSourceError
    except ImportError:
        what = 'GeoPackage and shapefile need a package that is not there; get it with: pip install "spadework[geo]"'
        raise PlanFaults([Fault("", what)], "the command") from None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what can be read, is read; what cannot, is told below
            return _library_parts(path)
    except (DataSourceError, DataLayerError) as error:
        why = str(error).splitlines()[0][:120].replace(str(path), path.name)
        raise PlanFaults([Fault("", f"cannot be read ({why})")], path.name) from None


def _library_parts(path: Path) -> list[FieldPart]:
    from pyogrio import list_layers
    from pyogrio.raw import read
    from shapely import from_wkb
    from shapely.errors import ShapelyError

    out: list[FieldPart] = []
    layers = [str(row[0]) for row in list_layers(path) if row[1] is not None]
    for layer in layers:
        meta, _, shapes, columns = read(path, layer=layer, force_2d=True)
        names = [str(one) for one in meta["fields"]]
        turn = _to_degrees(meta["crs"], path)
        alone = kind_of_part(layer) or ""
        for place, blob in enumerate(shapes):
            if blob is None:
                continue
            said = {name: column[place] for name, column in zip(names, columns, strict=True)}
            word, name = _named(said)
            where = f"layer {layer}, shape {place + 1}"
            try:
                out.append(FieldPart(turn(from_wkb(blob)), word or alone, name, where))
            except ShapelyError:
                what = "its corners cannot be read; allowed: points, lines and polygons with straight edges"
                raise PlanFaults([Fault(where, what)], path.name) from None
    if not out:
        raise PlanFaults([Fault("", "holds no shapes; allowed: the outline of the field")], path.name)
    return out


def _to_degrees(crs: str | None, path: Path) -> Any:
    from pyproj import CRS, Transformer
    from pyproj.exceptions import CRSError
    from shapely import transform

    if not crs:
        what = "does not say in which grid its corners are; a shapefile needs its .prj beside it. Export it in WGS 84"
        raise PlanFaults([Fault("", what)], path.name)
    try:
        turn = Transformer.from_crs(CRS.from_user_input(crs), "EPSG:4326", always_xy=True)
    except CRSError:
        raise PlanFaults([Fault("", "names a grid that is not known here; export it in WGS 84")], path.name) from None

    def moved(points: Any) -> Any:
        import numpy as np

        return np.column_stack(turn.transform(points[:, 0], points[:, 1]))

    return lambda shape: transform(shape, moved)
