"""A layout for the programs of others: GeoJSON (RFC 7946), KML and GeoPackage, in degrees (WGS 84)."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final
from xml.sax.saxutils import escape

import numpy as np

from spadework.layout.lines import Job
from spadework.layout.pegs import PegTable
from spadework.layout.place import Placed
from spadework.plan import Fault, PlanFaults

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

__all__ = ["Shape", "geojson_text", "geopackage_bytes", "kml_text", "layout_shapes"]

_DIGITS: Final = 7  # of a degree, in text: a centimetre
_FINE_DIGITS: Final = 9
_KINDS: Final = ("field", "obstacle", "water", "point", "turning", "lane", "plot", "measured", "peg", "line")
Said = tuple[tuple[str, str | float | int], ...]
_STYLE: Final = {"field": "ff20262b", "plot": "ff4a6b2b", "measured": "ff875c1d", "water": "ff875c1d"}


@dataclass(frozen=True)
class Shape:
    """One shape of a layout.

    Attributes
    ----------
    kind : str
        field, obstacle, water, point, turning, lane, plot, measured, peg or line.
    name : str
        Its own name.
    shape : BaseGeometry
        In local metres.
    said : tuple
        Further words and numbers, by name.
    """

    kind: str
    name: str
    shape: BaseGeometry
    said: Said = ()


def layout_shapes(placed: Placed, table: PegTable, jobs: Sequence[Job]) -> tuple[Shape, ...]:
    """Return everything of a layout as shapes in local metres.

    Parameters
    ----------
    placed : Placed
        The layout on its field.
    table : PegTable
        Its pegs.
    jobs : sequence of Job
        What is driven.
    """
    from shapely.geometry import LineString, Point, Polygon

    host = placed.host
    standing = ("standing", placed.standing)
    out = [Shape("field", host.name, host.outline, (standing, ("seed", placed.laid.seed)))]
    out += [Shape("obstacle", f"obstacle {n}", one) for n, one in enumerate(host.obstacles, 1)]
    out += [Shape("water", f"water {n}", one) for n, one in enumerate(host.water, 1)]
    out += [Shape("point", name, Point(east, north)) for name, east, north in host.fixed]
    out += [Shape("turning", "room to turn", one) for one in placed.turning]
    out += [Shape("lane", "lane for visitors", one) for one in placed.lanes]
    for plot in placed.plots:
        factors = [(f.name, label) for f, label in zip(placed.laid.asked.factors, plot.labels, strict=True)]
        said: Said = (("plot", plot.number), ("block", plot.block), *factors, standing)
        out.append(Shape("plot", str(plot.number), plot.polygon, said))
        out.append(Shape("measured", str(plot.number), Polygon(plot.measured), said))
    for peg in table.pegs:
        out.append(Shape("peg", peg.name, Point(peg.east_m, peg.north_m), (("plots", " ".join(map(str, peg.marks))),)))
    for number, job in enumerate(jobs, 1):
        for line in job.lines:
            name = f"job {number}, pass {line.order}"
            told = (
                ("outfit", job.outfit.name),
                ("order", line.order),
                ("plot", line.plot),
                ("refill", int(line.refill)),
            )
            out.append(Shape("line", name, LineString([line.start, line.end]), told))
    return tuple(out)


def _degrees(placed: Placed, shape: Any, digits: int = _DIGITS) -> Any:
    from shapely import transform

    frame = placed.host.frame
    if not frame.placed:
        what = (
            "the corners came in metres, so that nobody knows where on the earth they lie; give latitude and longitude"
        )
        raise PlanFaults([Fault("", what)], "the field")

    def moved(points: Any) -> Any:
        return np.round(np.column_stack(frame.degrees(points[:, 0], points[:, 1])), digits)

    return transform(shape, moved)


def geojson_text(placed: Placed, shapes: Sequence[Shape], *, invented: bool = False) -> str:
    """Return a layout as GeoJSON, outer rings counter-clockwise.

    Parameters
    ----------
    placed : Placed
        The layout, for where its metres lie.
    shapes : sequence of Shape
        From :func:`layout_shapes`.
    invented : bool
        True where the plan is made up; each shape then says so.

    Raises
    ------
    PlanFaults
        If the field has no place on the earth.
    """
    from shapely import orient_polygons
    from shapely.geometry import mapping

    features = []
    for one in shapes:
        form = orient_polygons(_degrees(placed, one.shape))
        said = {"kind": one.kind, "name": one.name, **dict(one.said)}
        if invented:
            said["invented"] = True
        features.append({"type": "Feature", "geometry": mapping(form), "properties": said})
    whole = {"type": "FeatureCollection", "features": features}
    return json.dumps(whole, ensure_ascii=False, separators=(",", ":")) + "\n"


def kml_text(placed: Placed, shapes: Sequence[Shape], *, invented: bool = False) -> str:
    """Return a layout as KML, one folder for each kind; arguments as for :func:`geojson_text`."""
    folders = []
    for kind in _KINDS:
        marks = [_mark(placed, one) for one in shapes if one.kind == kind]
        if marks:
            folders.append(f"<Folder><name>{kind}</name>\n{''.join(marks)}</Folder>\n")
    styles = "".join(
        f'<Style id="{kind}"><LineStyle><color>{tone}</color><width>2</width></LineStyle>'
        "<PolyStyle><fill>0</fill></PolyStyle></Style>\n"
        for kind, tone in _STYLE.items()
    )
    name = escape(("INVENTED. " if invented else "") + (placed.host.name or "layout"))
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
        f"<name>{name}</name>\n{styles}{''.join(folders)}</Document></kml>\n"
    )


def _mark(placed: Placed, one: Shape) -> str:
    data = "".join(
        f'<Data name="{escape(key)}"><value>{escape(str(value))}</value></Data>'
        for key, value in (("kind", one.kind), *one.said)
    )
    style = f"<styleUrl>#{one.kind}</styleUrl>" if one.kind in _STYLE else ""
    return (
        f"<Placemark><name>{escape(one.name)}</name>{style}<ExtendedData>{data}</ExtendedData>"
        f"{_kml_shape(_degrees(placed, one.shape))}</Placemark>\n"
    )


def _kml_shape(form: Any) -> str:
    if hasattr(form, "geoms"):
        return f"<MultiGeometry>{''.join(_kml_shape(part) for part in form.geoms)}</MultiGeometry>"
    if form.geom_type == "Polygon":
        rings = [("outerBoundaryIs", form.exterior), *(("innerBoundaryIs", ring) for ring in form.interiors)]
        inside = "".join(f"<{side}><LinearRing>{_tuples(ring)}</LinearRing></{side}>" for side, ring in rings)
        return f"<Polygon>{inside}</Polygon>"
    return f"<{form.geom_type}>{_tuples(form)}</{form.geom_type}>"


def _tuples(form: Any) -> str:
    return "<coordinates>" + " ".join(f"{x:.{_DIGITS}f},{y:.{_DIGITS}f}" for x, y in form.coords) + "</coordinates>"


def geopackage_bytes(placed: Placed, shapes: Sequence[Shape]) -> bytes:
    """Return a layout as GeoPackage, one layer for each kind of shape.

    Parameters
    ----------
    placed : Placed
        The layout, for where its metres lie.
    shapes : sequence of Shape
        From :func:`layout_shapes`.

    Raises
    ------
    PlanFaults
        If the package for it is not there, or the field has no place on the earth.
    """
    try:
        from pyogrio import set_gdal_config_options
        from pyogrio.raw import write
    except ImportError:
        what = 'GeoPackage needs a package that is not there; get it with: pip install "spadework[geo]"'
        raise PlanFaults([Fault("", what)], "the command") from None
    from shapely import to_wkb

    set_gdal_config_options({"OGR_CURRENT_DATE": "1970-01-01T00:00:00Z"})  # same layout, same file
    try:
        with tempfile.TemporaryDirectory(prefix="spadework-layout-") as folder:
            path = Path(folder) / "layout.gpkg"
            layers = [(kind, [one for one in shapes if one.kind == kind]) for kind in _KINDS]
            for kind, mine in layers:
                for form in sorted({one.shape.geom_type for one in mine}):
                    some = [one for one in mine if one.shape.geom_type == form]
                    names = [key for key, _ in some[0].said]
                    columns = [np.array([one.name for one in some], dtype=object)]
                    columns += [_column([dict(one.said).get(name) for one in some]) for name in names]
                    blobs = np.array([to_wkb(_degrees(placed, one.shape, _FINE_DIGITS)) for one in some], dtype=object)
                    first = form == min(one.shape.geom_type for one in mine)
                    write(
                        path,
                        blobs,
                        columns,
                        ["name", *names],
                        layer=kind if first else f"{kind} {form}".lower(),
                        driver="GPKG",
                        geometry_type=form,
                        crs="EPSG:4326",
                        append=path.exists(),
                    )
            return path.read_bytes()
    finally:
        set_gdal_config_options({"OGR_CURRENT_DATE": None})


def _column(values: Sequence[Any]) -> Any:
    whole = all(isinstance(value, int) for value in values)
    return np.array(values, dtype=np.int64 if whole else object)
