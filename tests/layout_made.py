"""An invented field, machines and layout for the tests of layouts."""

from __future__ import annotations

import json
from typing import Any

from shapely.geometry import LineString, Point, Polygon

from spadework.layout.ground import Frame, Host
from spadework.layout.place import Rules
from spadework.layout.tools import Outfit, Track
from spadework.layout.widths import PlotWidth, plot_widths
from spadework.statistics.designs.layouts import Asked, Factor
from spadework.statistics.designs.randomise import Laid, lay

SYSTEMS = ("plough", "strip", "injector")
TRACKS = (Track(-1.25, -0.65), Track(0.65, 1.25))
PLANTER = Outfit("planter", "tractor", ("planter",), "row_planter", 6.0, 8, ("seed",), tracks=TRACKS)
PLOUGH = Outfit("plough", "tractor", ("plough",), "mouldboard_plough", 2.0, None, tracks=TRACKS)
STRIP = Outfit("strip tiller", "tractor", ("tanker", "strip tiller"), "strip_tiller", 6.0, 8, ("slurry",), 16.0)
CORNERS = [(9.0, 52.0), (9.004, 52.0003), (9.0046, 52.0034), (9.0005, 52.0037)]


def outfit(name: str, width_m: float, rows: int | None = None, *places: str) -> Outfit:
    return Outfit(
        name, "tractor", (name,), "cultivator_sweeps" if rows is None else "row_planter", width_m, rows, places
    )


def twelve() -> PlotWidth:
    found = plot_widths([PLANTER, PLOUGH, STRIP], 0.75, 6.0, guard_rows=2, most_m=24)
    return next(one for one in found if one.width_m == 12)


def laid(blocks: int = 4, seed: int = 3, **more: Any) -> Laid:
    return lay(Asked("complete blocks", (Factor("system", SYSTEMS),), blocks, few=True, **more), seed)


def rules(**other: Any) -> Rules:
    kept: dict[str, Any] = {
        "turning_m": 24.0,
        "lane_m": 4.0,
        "side_m": 3.0,
        "obstacle_m": 3.0,
        "water_m": 10.0,
        "ends_m": 10.0,
        "length_m": 200.0,
        "least_m": 91.0,
    }
    return Rules(**(kept | other))


def host(**other: Any) -> Host:
    kept: dict[str, Any] = {
        "name": "Invented field",
        "frame": Frame(52.0018, 9.0023),
        "outline": Polygon([(-150, -200), (125, -175), (165, 170), (-118, 205)]),
        "obstacles": (Point(20, -30),),
        "water": (LineString([(-150, -200), (-118, 205)]),),
        "fixed": (("gate post", -60.0, -195.0), ("stone", 90.0, -182.0)),
    }
    return Host(**(kept | other))


def geojson(corners: list[tuple[float, float]] | None = None, *more: dict[str, Any]) -> str:
    ring = [list(corner) for corner in corners or CORNERS]
    field = {
        "type": "Feature",
        "properties": {"kind": "field", "name": "Invented field"},
        "geometry": {"type": "Polygon", "coordinates": [[*ring, ring[0]]]},
    }
    return json.dumps({"type": "FeatureCollection", "features": [field, *more]})


def feature(kind: str, form: str, coordinates: Any) -> dict[str, Any]:
    return {
        "type": "Feature",
        "properties": {"kind": kind},
        "geometry": {"type": form, "coordinates": coordinates},
    }
