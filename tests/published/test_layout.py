"""Layouts held against worked examples of practice, exact figures and reference libraries."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from shapely import from_wkb
from shapely.geometry import Polygon

from conftest import Check
from layout_made import CORNERS, geojson, host, laid, outfit, rules, twelve
from spadework.exchange.fields import read_field
from spadework.exchange.layout_files import geojson_text, geopackage_bytes, kml_text, layout_shapes
from spadework.layout.ground import Frame
from spadework.layout.lines import driving
from spadework.layout.pegs import cross, pegs
from spadework.layout.place import place
from spadework.layout.runs import runs_over
from spadework.layout.tools import common_width_m, repeat_of_rows
from spadework.layout.weighed import least_area_m2, step_share
from spadework.layout.widths import plot_widths

_RULE = "Worked rule of practice: planter 4.5 m, header 6.0 m, cultivator 3.0 m, four bodies of 0.45 m; arithmetic"
_PLAN = "Landsforsøgene, trial plan 020202222 (2022): 12 x 3.0 m, harvested 9 x 1.5 m"


def area_on_ellipsoid(corners_deg: list[tuple[float, float]]) -> float:
    from pyproj import Geod

    longitude, latitude = zip(*corners_deg, strict=True)
    return abs(float(Geod(ellps="WGS84").polygon_area_perimeter(longitude, latitude)[0]))


def test_the_common_width_of_four_machines(check: Check) -> None:
    ours = common_width_m((4.5, 6.0, 3.0, 1.80))
    check("common plot width", _RULE, 18.0, ours, 0.0005, unit="m", kind="computed")
    planter, others = outfit("planter", 4.5, 6, "seed"), [outfit("cultivator", 3.0), outfit("plough", 1.8)]
    found = plot_widths([planter, *others], 0.75, 6.0, guard_rows=2, most_m=18)
    fits = {fit.outfit.name: fit for one in found if one.width_m == 18 for fit in one.fits}
    check("cultivator passes on 18 m", _RULE, 6, fits["cultivator"].passes, 0, kind="computed")
    check("plough bouts on 18 m", _RULE, 10, fits["plough"].passes, 0, kind="computed")
    assert all(fit.over_m == 0 for fit in fits.values())


@pytest.mark.parametrize(("rows", "theirs"), [((8, 6), 24), ((12, 8), 24), ((8, 8), 8)])
def test_rows_after_which_machines_lie_alike(check: Check, rows: tuple[int, ...], theirs: int) -> None:
    check(
        f"rows until {rows} repeat",
        "Least common multiple, arithmetic",
        theirs,
        repeat_of_rows(rows),
        0,
        kind="computed",
    )


def test_a_header_of_eight_rows_with_two_guard_rows_needs_two_planter_passes(check: Check) -> None:
    source = "Worked example: planter 8 x 0.75 m, header 8 rows, 2 guard rows; arithmetic"
    found = plot_widths([outfit("planter", 6.0, 8, "seed")], 0.75, 6.0, guard_rows=2, most_m=48)
    least = min(found, key=lambda one: one.width_m)
    check("least plot width", source, 12.0, least.width_m, 1e-9, unit="m", kind="computed")
    check("guard rows each side", source, 4, least.left_guard, 0, kind="computed")
    assert least.left_guard == least.right_guard
    six = plot_widths([outfit("planter", 6.0, 8, "seed")], 0.75, 4.5, guard_rows=1, most_m=48)
    check(
        "planter 8, header 6, one guard row",
        source,
        6.0,
        min(one.width_m for one in six),
        1e-9,
        unit="m",
        kind="computed",
    )


def test_the_small_plots_of_the_danish_plan(check: Check) -> None:
    found = plot_widths([outfit("planter", 3.0, 4, "seed")], 0.75, 1.5, guard_rows=1, most_m=3.0)
    check("plot width", _PLAN, 3.0, found[0].width_m, 0.05, unit="m")
    check("harvested width", _PLAN, 1.5, (found[0].last_row - found[0].first_row + 1) * 0.75, 0.05, unit="m")
    small = rules(turning_m=24.0, ends_m=1.5, length_m=12.0, least_m=12.0)
    plot = place(host(obstacles=()), laid(), found[0], small, 0.0).plots[0]
    check("harvested length", _PLAN, 9.0, Polygon(plot.measured).area / 1.5, 0.05, unit="m")


def test_a_plough_too_wide_spills_onto_the_guard(check: Check) -> None:
    source = "Worked example: seven bodies of 0.40 m on 18 m; arithmetic"
    found = plot_widths([outfit("planter", 4.5, 6, "seed"), outfit("plough", 2.8)], 0.75, 6.0, guard_rows=2, most_m=18)
    fit = next(fit for one in found if one.width_m == 18 for fit in one.fits if fit.outfit.name == "plough")
    check("passes of the plough", source, 7, fit.passes, 0, kind="computed")
    check("over each border", source, 0.8, fit.over_m / 2, 1e-9, unit="m", kind="computed")
    assert fit.goes == "guard"


@pytest.mark.parametrize(
    ("latitude", "north", "east"),
    [
        (45.0, 111_131.8, 78_846.8),
        (48.0, 111_190.3, 74_625.4),
        (52.0, 111_267.4, 68_678.0),
        (54.6, 111_316.1, 64_629.2),
    ],
)
def test_metres_of_a_degree(check: Check, latitude: float, north: float, east: float) -> None:
    frame, small = Frame(latitude, 9.0), 0.0005
    _, up = frame.metres(np.array([9.0, 9.0]), np.array([latitude - small, latitude + small]))
    right, _ = frame.metres(np.array([9.0 - small, 9.0 + small]), np.array([latitude, latitude]))
    source = "Radii of curvature of the WGS 84 ellipsoid, closed form"
    check(f"a degree north at {latitude}", source, north, (up[1] - up[0]) * 1000, 0.2, unit="m", kind="computed")
    check(f"a degree east at {latitude}", source, east, (right[1] - right[0]) * 1000, 0.2, unit="m", kind="computed")


@pytest.mark.parametrize(("east", "north"), [(0.0, 0.0), (-95.3, 40.1), (12.0, 65.0), (147.0, -42.0)])
def test_areas_against_the_ellipsoid(check: Check, tmp_path: Path, east: float, north: float) -> None:
    moved = [(x - 9.0 + east, y - 52.0 + north) for x, y in CORNERS]
    path = tmp_path / "field.geojson"
    path.write_text(geojson(moved), "utf-8")
    theirs = area_on_ellipsoid(moved)
    ours = read_field(path).outline.area
    source = "Geodesic area, Karney (2013), as computed by PROJ"
    check(f"area of a field at {east}, {north}", source, theirs, ours, 0.0005 * theirs, unit="m2", kind="computed")
    assert abs(ours / theirs - 1) < 1e-6  # far inside the 0.05 % that is asked for


def test_two_tapes_over_a_base_of_five(check: Check) -> None:
    east, north = cross((0.0, 0.0), (5.0, 0.0), 3.0, 4.0, True)
    source = "Right triangle 3, 4, 5: height 12/5, foot 9/5; exact"
    check("east of the crossing", source, 1.8, east, 1e-12, unit="m", kind="computed")
    check("north of the crossing", source, 2.4, north, 1e-12, unit="m", kind="computed")


@pytest.mark.parametrize("kind", ["geojson", "kml", "gpkg"])
def test_another_reader_finds_the_plots_where_they_are(check: Check, tmp_path: Path, kind: str) -> None:
    raw = pytest.importorskip("pyogrio.raw")
    placed = place(host(), laid(), twelve(), rules(), 5.0)
    shapes = layout_shapes(placed, pegs(placed), driving(placed, [], {}))
    path = tmp_path / f"layout.{kind}"
    if kind == "gpkg":
        path.write_bytes(geopackage_bytes(placed, shapes))
    else:
        path.write_text({"geojson": geojson_text, "kml": kml_text}[kind](placed, shapes), "utf-8")
    _, _, blobs, columns = raw.read(path, layer=None if kind == "geojson" else "plot", force_2d=True)
    meta = raw.read(path, layer=None if kind == "geojson" else "plot", read_geometry=False)[0]
    names = [str(one) for one in meta["fields"]]
    kinds = columns[names.index("kind")] if "kind" in names else ["plot"] * len(blobs)
    plots = [from_wkb(blob) for blob, word in zip(blobs, kinds, strict=True) if word == "plot"]
    assert len(plots) == len(placed.plots)
    areas = [area_on_ellipsoid(list(plot.exterior.coords)[:-1]) for plot in plots]
    source = f"GDAL reads our {kind}; geodesic area of 12 x 200 m"
    check(f"mean area of the plots in {kind}", source, 2400.0, float(np.mean(areas)), 0.5, unit="m2", kind="computed")


def test_the_area_that_a_scale_asks_for(check: Check) -> None:
    source = "Worked example: step 10 kg, 0.5 % of the weight, 10 t/ha; arithmetic"
    check("least area", source, 2000.0, least_area_m2(10, 0.005, 10), 1e-9, unit="m2", kind="computed")
    check("that area, 6 m wide", source, 333.0, least_area_m2(10, 0.005, 10) / 6, 0.5, unit="m", kind="computed")
    assert step_share(10, least_area_m2(10, 0.005, 17), 17) == pytest.approx(0.005)


def test_passes_with_their_overlap(check: Check) -> None:
    source = "Worked example: 5 m with 0.10 m of overlap on 12 m; arithmetic"
    runs = runs_over(replace(outfit("cultivator", 5.0), overlap_m=0.10), 12.0)
    check("passes", source, 3, runs.count, 0, kind="computed")
    check("ground covered", source, 14.8, runs.covered_m, 1e-9, unit="m", kind="computed")
    check("over each border", source, 1.4, runs.over_m / 2, 1e-9, unit="m", kind="computed")
