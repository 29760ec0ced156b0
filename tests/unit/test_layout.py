"""Layouts: edges, faults in words, reading of field files, drawings."""

from __future__ import annotations

import itertools
import json
import re
import time
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import as_file
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import LineString, Point, Polygon, box

from layout_made import CORNERS, PLANTER, PLOUGH, STRIP, TRACKS, feature, geojson, host, laid, outfit, rules, twelve
from spadework.exchange.field_parts import kind_of_part
from spadework.exchange.fields import corners_template, read_field
from spadework.exchange.layout_changes import changed
from spadework.exchange.layout_files import geojson_text, geopackage_bytes, kml_text, layout_shapes
from spadework.layout.changes import moved, swapped
from spadework.layout.from_plan import Told
from spadework.layout.ground import Frame
from spadework.layout.lines import driving
from spadework.layout.pegs import cross, fixed_points, pegs
from spadework.layout.place import CannotPlace, Placed, place
from spadework.layout.row_units import row_units
from spadework.layout.runs import runs_over
from spadework.layout.tools import Outfit, common_width_m, repeat_of_rows
from spadework.layout.widths import Fit, plot_widths, wheeled_rows
from spadework.plan import PlanFaults
from spadework.present.layout.map import layout_map
from spadework.present.layout.map_key import HATCHES, hatch_patterns
from spadework.present.layout.plot import plot_rows
from spadework.present.layout.words import join_words, weighed_words
from spadework.statistics.designs.layouts import Asked, Factor
from spadework.statistics.designs.randomise import lay


@pytest.fixture(scope="module")
def placed() -> Placed:
    return place(host(), laid(), twelve(), rules(), 4.5)


def faults_of(path: Path) -> str:
    with pytest.raises(PlanFaults) as caught:
        read_field(path)
    return str(caught.value)


def test_the_best_heading_of_ten_hectares_takes_less_than_ten_seconds() -> None:
    start = time.process_time()
    found = place(host(), laid(), twelve(), rules(), None)
    assert time.process_time() - start < 10
    assert found.along_edge
    assert {len([p for p in found.plots if p.block == b]) for b in (1, 2, 3, 4)} == {3}
    assert found.plots[0].length_m == pytest.approx(200)


def test_blocks_that_do_not_fit_are_told_with_what_would_help() -> None:
    with pytest.raises(CannotPlace, match=r"of 30 blocks fit at a heading of 0 degrees.*take fewer blocks"):
        place(host(), laid(30), twelve(), rules(), 0.0)
    with pytest.raises(CannotPlace, match=r"not one block fits"):
        place(host(outline=box(0, 0, 40, 40), water=(), obstacles=()), laid(), twelve(), rules(), 0.0)


def test_plots_are_shortened_and_it_is_told() -> None:
    found = place(host(), laid(), twelve(), rules(length_m=900.0), 5.0)
    assert 91 <= found.plots[0].length_m < 400
    assert "900 m asked for do not fit" in found.remarks[0]


def test_blocks_go_behind_one_another_with_room_to_turn_between() -> None:
    field = host(outline=box(-25, -300, 25, 300), water=(), obstacles=())
    found = place(field, laid(3), twelve(), rules(length_m=100.0), 0.0)
    fronts = sorted({round(plot.corners[0][1], 2) for plot in found.plots})
    assert len(fronts) == 3
    assert all(b - a >= 100 + 28 - 1e-6 for a, b in itertools.pairwise(fronts))
    with pytest.raises(CannotPlace, match="side by side"):
        place(field, laid(3), twelve(), rules(length_m=100.0, lie="side by side"), 0.0)


def test_split_plots_lie_one_behind_another_inside_the_block() -> None:
    factors = (Factor("system", ("plough", "strip")), Factor("nitrogen", ("less", "full"), within=True))
    drawn = lay(Asked("split plots", factors, 4, few=True), 1)
    found = place(host(), drawn, twelve(), rules(), 4.5)
    assert len(found.plots) == 16
    assert {round(plot.length_m, 6) for plot in found.plots} == {100.0}
    table = pegs(found)
    assert any("M1" in peg.name for peg in table.pegs)


def test_the_front_turns_to_the_gate() -> None:
    north = place(host(fixed=(("gate", 20.0, 190.0), ("stone", 90.0, -182.0))), laid(2), twelve(), rules(), None)
    assert 90 < north.heading_deg < 270


def test_changes_need_reason_same_block_and_room(placed: Placed) -> None:
    with pytest.raises(CannotPlace, match="reason"):
        swapped(placed, 101, 102, "  ")
    with pytest.raises(CannotPlace, match="different blocks"):
        swapped(placed, 101, 201, "x")
    with pytest.raises(CannotPlace, match="no plot 999"):
        swapped(placed, 101, 999, "x")
    with pytest.raises(CannotPlace, match=r"ground|turn"):
        moved(placed, 1, -500, 0, "x")
    with pytest.raises(CannotPlace, match="no block 9"):
        moved(placed, 9, 1, 0, "x")
    step = moved(placed, 1, 0, 3, "wet spot")
    assert step.standing == "replicated"
    assert step.changes[0].what == "block 1 moved 0 m right and 3 m ahead"
    assert step.plot(101).corners != placed.plot(101).corners
    assert step.plot(201) == placed.plot(201)


def test_changes_from_a_table_stand_with_their_reason(placed: Placed, tmp_path: Path) -> None:
    path = tmp_path / "changes.csv"
    path.write_text(
        "plot,with_plot,block,right_m,ahead_m,reason\n101,103,,,,plough must end at the hedge\n,,2,0,2,wet\n", "utf-8"
    )
    out = changed(placed, path)
    assert [one.reason for one in out.changes] == ["plough must end at the hedge", "wet"]
    assert out.standing == "strips"
    path.write_text("plot,with_plot,block,right_m,ahead_m,reason\n101,,,,,x\n101,201,,,,y\n", "utf-8")
    with pytest.raises(PlanFaults) as caught:
        changed(placed, path)
    assert "line 2" in str(caught.value)
    assert "line 3: plots 101 and 201 lie in different blocks" in str(caught.value)


def test_widths_and_units_refuse_what_cannot_be() -> None:
    with pytest.raises(ValueError, match="sows"):
        plot_widths([PLOUGH], 0.75, 6.0, guard_rows=1, most_m=24)
    with pytest.raises(ValueError, match="header_m"):
        plot_widths([PLANTER], 0.75, 0.5, guard_rows=1, most_m=24)
    for wrong in ((), (0,)):
        with pytest.raises(ValueError, match="rows"):
            repeat_of_rows(wrong)
        with pytest.raises(ValueError, match="widths"):
            common_width_m(wrong)
    with pytest.raises(ValueError, match="units"):
        row_units(8, 0)
    assert plot_widths([PLANTER], 0.75, 6.0, guard_rows=40, most_m=24) == ()


def test_a_strip_tiller_that_does_not_divide_the_rows_does_not_work() -> None:
    six = replace(STRIP, rows=6, width_m=4.5)
    found = {one.width_m: one for one in plot_widths([PLANTER, six], 0.75, 6.0, guard_rows=2, most_m=36)}
    assert not found[12.0].works
    assert "2 units would have to be lifted" in found[12.0].fits[1].words
    assert found[18.0].works


def test_tramlines_are_laid_where_they_hit_least() -> None:
    fits = plot_widths([PLANTER], 0.75, 6.0, guard_rows=2, most_m=12, tramline_m=24.0, spray_gauge_m=1.8, plots=4)
    assert fits[0].spraying is not None
    assert fits[0].spraying.hit == 0
    tight = plot_widths([PLANTER], 0.75, 6.0, guard_rows=0, most_m=6, tramline_m=15.0, spray_gauge_m=1.8, plots=4)
    assert tight[0].spraying is not None
    assert tight[0].spraying.hit > 0


def test_wheels_run_on_the_rows_they_run_on() -> None:
    # two passes of 6 m: middles at 3 and 9 m, wheels 0.65 to 1.25 m either side; rows at 0.375 + 0.75 k
    def rows(of: Outfit) -> tuple[int, ...]:
        return wheeled_rows(16, 0.75, Fit(of, runs_over(of, 12.0), "nothing", (), True, ""))

    assert rows(PLANTER) == (3, 6, 11, 14)
    assert rows(replace(PLANTER, tracks=TRACKS[:1])) == (3, 11)
    assert rows(outfit("roller", 6.0)) == ()
    # a boom of 15 m over both borders: its one middle lies on the middle of the plot
    assert rows(replace(outfit("boom", 15.0), tracks=TRACKS)) == (7, 10)


def test_tapes_that_do_not_meet_are_refused() -> None:
    with pytest.raises(ValueError, match="do not meet"):
        cross((0, 0), (10, 0), 3, 4, True)
    with pytest.raises(ValueError, match="are one"):
        cross((1, 1), (1, 1), 3, 4, True)


def test_known_points_go_before_corners_of_the_field(placed: Placed) -> None:
    assert {point[0] for point in fixed_points(placed)} == {"gate post", "stone"}
    bare = replace(placed, host=host(fixed=()))
    assert all(point[0].startswith("corner") for point in fixed_points(bare))


def test_one_outfit_in_several_systems_is_one_job_and_the_planter_comes_last(placed: Placed) -> None:
    chains = [("plough", [PLOUGH, PLANTER]), ("strip", [STRIP, PLANTER]), ("injector", [PLANTER])]
    jobs = driving(placed, chains, {"strip": 30.0})
    assert [job.outfit.name for job in jobs] == ["plough", "strip tiller", "planter"]
    assert jobs[-1].systems == ("plough", "strip", "injector")
    assert jobs[1].lines[0].refill
    assert not any(line.refill for line in jobs[0].lines)


# --- files of fields ----------------------------------------------------------------------------------------------


def test_words_for_parts_are_trade_words() -> None:
    assert kind_of_part(" Ditch ") == "water"
    assert kind_of_part("stile") is None


def test_geojson_with_water_obstacle_and_gate(tmp_path: Path) -> None:
    more = (
        feature("ditch", "LineString", [CORNERS[0], CORNERS[3]]),
        feature("pole", "Point", [9.002, 52.0015]),
        feature("gate", "Point", [9.0021, 52.0]),
    )
    path = tmp_path / "field.geojson"
    path.write_text(geojson(None, *more), "utf-8-sig")
    found = read_field(path)
    assert (len(found.water), len(found.obstacles), len(found.fixed)) == (1, 1, 1)
    assert found.area_ha == pytest.approx(10.52, abs=0.01)
    assert found.told == ()


def test_parts_without_a_word_are_taken_by_shape_and_told(tmp_path: Path) -> None:
    inner = [[9.002, 52.001], [9.0022, 52.001], [9.0022, 52.0012], [9.002, 52.001]]
    parts = [
        {"type": "Polygon", "coordinates": [inner]},
        {"type": "Polygon", "coordinates": [[*map(list, CORNERS), list(CORNERS[0])]]},
        {"type": "LineString", "coordinates": [CORNERS[0], CORNERS[3]]},
    ]
    whole = {
        "type": "FeatureCollection",
        "features": [{"type": "Feature", "properties": {}, "geometry": p} for p in parts],
    }
    path = tmp_path / "field.json"
    path.write_text(json.dumps(whole), "utf-8")
    found = read_field(path)
    assert found.area_ha > 10
    assert (len(found.obstacles), len(found.water)) == (1, 1)
    assert "largest polygon" in found.told[0]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('{"type": "FeatureCollection", "features": []}', "holds no shapes"),
        ('{"type": "FeatureCollection", ', "is no GeoJSON text"),
        ('{"type": "Point", "coordinates": [9, 52]}', "there is no outline"),
        ('{"type": "Polygon", "coordinates": [[[9, 52], "x"]]}', "cannot be read"),
        ('{"type": "Feature", "geometry": null, "properties": {}}', "is no shape"),
        (geojson([(500000.0, 5700000.0), (500300.0, 5700000.0), (500300.0, 5700300.0)]), "is the file in metres"),
        (geojson([(9.0, 120.0), (9.1, 120.0), (9.1, 120.1)]), "are they swapped"),
        (geojson([(9.0, 52.0), (9.003, 52.003), (9.003, 52.0), (9.0, 52.003)]), "crosses itself"),
        (geojson([(9.0, 52.0), (9.3, 52.0), (9.3, 52.3)]), "km from the middle"),
        (geojson([(9.0, 52.0), (9.00001, 52.0), (9.00001, 52.00001)]), "Are its corners in metres"),
        (geojson(None, feature("stile", "Point", [9, 52])), "is no part of a field"),
        (geojson(None, feature("field", "Point", [9, 52])), "2 shapes are called field"),
        (geojson(None, feature("ditch", "LineString", [[19, 52], [19.1, 52]])), "is it of another one"),
        (geojson().replace("{", '{"crs": {"name": "EPSG:25832"}, ', 1), "names a grid of its own"),
        ("<kml><Document></Document></kml>", "holds no shapes"),
        ("<kml><Document>", "is no KML"),
        ('<!DOCTYPE x [<!ENTITY a "b">]><kml>&a;</kml>', "is no KML"),
        ("part,east_m,north_m\nfield,0,0\nfield,100,\nfield,100,100\n", "must both be filled in"),
        ("part,east_m,north_m\nfield,0,0\nfield,100,0\n", "allowed: three or more"),
        ("part,east_m\nfield,0\n", "column north_m"),
        (" ", "cannot be read|holds nothing"),
    ],
)
def test_files_that_cannot_be_are_refused_in_trade_words(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "field.txt"
    path.write_text(text, "utf-8")
    assert re.search(said, faults_of(path))


def test_missing_empty_and_foreign_files(tmp_path: Path) -> None:
    assert "no such file" in faults_of(tmp_path / "none.geojson")
    (tmp_path / "empty.csv").write_bytes(b"")
    assert "holds nothing" in faults_of(tmp_path / "empty.csv")
    assert "is no file" in faults_of(tmp_path)
    (tmp_path / "broken.gpkg").write_bytes(b"SQLite format 3\x00" + b"\x07" * 200)
    pytest.importorskip("pyogrio")
    assert "cannot be read" in faults_of(tmp_path / "broken.gpkg")


def test_corners_in_metres_and_in_degrees(tmp_path: Path) -> None:
    path = tmp_path / "corners.csv"
    path.write_text(
        "part;east_m;north_m\nfield;0;0\nfield;250,5;0\nfield;250,5;400\nfield;0;400\nwater 1;-5;0\nwater 1;-5;400\n"
        "obstacle 1;100;100\npoint 1;0;0\n",
        "utf-8",
    )
    found = read_field(path, "Invented")
    assert found.area_ha == pytest.approx(10.02)
    assert not found.frame.placed
    assert isinstance(found.water[0], LineString)
    assert isinstance(found.obstacles[0], Point)
    assert found.fixed == (("point 1", 0.0, 0.0),)
    path.write_text("part,longitude,latitude\n" + "".join(f"field,{x},{y}\n" for x, y in CORNERS), "utf-8")
    assert read_field(path).area_ha == pytest.approx(10.522, abs=0.001)
    path.write_text(corners_template(), "utf-8")
    assert "must both be filled in" in faults_of(path)


def test_kml_of_others_with_hole_and_old_namespace(tmp_path: Path) -> None:
    ring = " ".join(f"{x},{y},0" for x, y in [*CORNERS, CORNERS[0]])
    hole = "9.002,52.001,0 9.0022,52.001,0 9.0022,52.0012,0 9.002,52.001,0"
    text = (
        '<?xml version="1.0"?><kml xmlns="http://earth.invented/kml/2.1"><Document><Placemark><name>field</name><Polygon>'
        f"<outerBoundaryIs><LinearRing><coordinates>\n{ring}\n</coordinates></LinearRing></outerBoundaryIs>"
        f"<innerBoundaryIs><LinearRing><coordinates>{hole}</coordinates></LinearRing></innerBoundaryIs></Polygon></Placemark>"
        "</Document></kml>"
    )
    path = tmp_path / "field.kml"
    path.write_text(text, "utf-8")
    found = read_field(path)
    assert len(found.obstacles) == 1
    assert not found.outline.interiors
    assert "taken for obstacles" in found.told[0]


@pytest.mark.parametrize(("driver", "name"), [("GPKG", "field.gpkg"), ("ESRI Shapefile", "field.shp")])
def test_geopackage_and_shapefile_in_a_grid_of_metres(tmp_path: Path, driver: str, name: str) -> None:
    raw = pytest.importorskip("pyogrio.raw")
    import numpy as np
    from pyproj import Transformer
    from shapely import to_wkb

    turn = Transformer.from_crs("EPSG:4326", "EPSG:25832", always_xy=True)
    shape = Polygon([turn.transform(x, y) for x, y in CORNERS])
    path = tmp_path / name
    columns = [np.array(["field"], dtype=object)]
    raw.write(
        path, np.array([to_wkb(shape)]), columns, ["kind"], driver=driver, geometry_type="Polygon", crs="EPSG:25832"
    )
    assert read_field(path).area_ha == pytest.approx(10.522, abs=0.005)
    if driver != "GPKG":
        (tmp_path / "field.prj").unlink()
        assert "needs its .prj" in faults_of(path)


# --- files for others, drawings ----------------------------------------------------------------------------------


def _shapes(placed: Placed) -> tuple[object, ...]:
    return layout_shapes(placed, pegs(placed), driving(placed, [("strip", [STRIP])], {"strip": 30.0}))


def test_geojson_keeps_to_the_standard_and_reads_back(placed: Placed, tmp_path: Path) -> None:
    text = geojson_text(placed, _shapes(placed), invented=True)  # type: ignore[arg-type]
    whole = json.loads(text)
    for one in whole["features"]:
        assert one["properties"]["invented"] is True
        if one["geometry"]["type"] == "Polygon":
            ring = one["geometry"]["coordinates"][0]
            assert ring[0] == ring[-1]
            assert Polygon(ring).exterior.is_ccw
    whole["features"] = [
        f for f in whole["features"] if f["properties"]["kind"] in ("field", "water", "obstacle", "point")
    ]
    path = tmp_path / "again.geojson"
    path.write_text(json.dumps(whole), "utf-8")
    again = read_field(path)
    assert again.outline.area == pytest.approx(placed.host.outline.area, rel=1e-4)
    assert (len(again.water), len(again.obstacles), len(again.fixed)) == (1, 1, 2)


@pytest.mark.parametrize("make", [geojson_text, kml_text])
def test_files_need_a_place_on_the_earth(placed: Placed, make: Callable[..., str]) -> None:
    lost = replace(placed, host=host(frame=Frame()))
    with pytest.raises(PlanFaults, match="came in metres"):
        make(lost, _shapes(lost))
    with pytest.raises(ValueError, match="came in metres"):
        lost.host.frame.degrees(0.0, 0.0)  # type: ignore[arg-type]


def test_the_geopackage_is_the_same_every_time(placed: Placed) -> None:
    pytest.importorskip("pyogrio")
    one = geopackage_bytes(placed, _shapes(placed))  # type: ignore[arg-type]
    assert one == geopackage_bytes(placed, _shapes(placed))  # type: ignore[arg-type]
    assert one.startswith(b"SQLite format 3\x00")


def test_the_map_holds_its_scale_and_names_everything(placed: Placed) -> None:
    drawn = layout_map(placed, pegs(placed), invented=True)
    assert 'width="178mm"' in drawn
    assert "INVENTED" in drawn
    assert "north" in drawn
    for plot in placed.plots:
        assert f"{plot.number} {plot.labels[0]}" in drawn
    scale = int(re.search(r">1:(\d+)<", drawn).group(1))  # type: ignore[union-attr]
    path = re.search(r'<path d="M([\d. ]+)L([\d. ]+)L[^"]*" fill="url\(#system-', drawn)
    assert path is not None
    (x, y), (to_x, to_y) = ([float(v) for v in part.split()] for part in path.groups())
    on_paper_mm = ((to_x - x) ** 2 + (to_y - y) ** 2) ** 0.5 / 10
    assert on_paper_mm * scale / 1000 == pytest.approx(12.0, abs=0.1 * scale / 1000)
    assert layout_map(placed, pegs(placed), paper="a3") != drawn


def test_every_system_has_a_hatch_of_its_own() -> None:
    assert len(set(HATCHES)) == len(HATCHES) == 12
    assert hatch_patterns().count("<pattern") == 12


def test_names_with_signs_do_not_break_drawings(placed: Placed) -> None:
    odd = replace(placed, host=host(name='A & B <"field">', fixed=(("a<b", 0.0, -210.0), ("c&d", 90.0, -182.0))))
    from defusedxml import ElementTree

    ElementTree.fromstring(layout_map(odd, pegs(odd)))
    ElementTree.fromstring(kml_text(odd, _shapes(odd)))  # type: ignore[arg-type]
    ElementTree.fromstring(plot_rows(placed.width, 0.75, [replace(PLANTER), PLOUGH, STRIP]))


def test_nobody_turns_in_a_pond() -> None:
    pond = Polygon([(-20, 150), (20, 150), (20, 170), (-20, 170)])
    field = host(outline=box(-40, -200, 40, 200), water=(pond,), obstacles=())
    found = place(field, laid(2), twelve(), rules(length_m=100.0), 0.0)
    assert all(shape.distance(pond) >= 3 - 1e-6 for shape in found.turning)
    assert all(plot.polygon.distance(pond) >= 10 - 1e-6 for plot in found.plots)


def test_shapes_of_every_kind_are_drawn_and_written(placed: Placed) -> None:
    from defusedxml import ElementTree
    from shapely.geometry import MultiLineString, MultiPoint, MultiPolygon

    many = MultiPolygon([box(0, 0, 4, 4), box(9, 9, 12, 12)])
    lines = MultiLineString([[(0, 0), (5, 5)], [(9, 0), (9, 5)]])
    some = (many, lines, MultiPoint([(0, 0), (1, 1)]), LineString([(0, 0), (9, 9)]), Point(3, 3), box(20, 20, 24, 24))
    odd = replace(placed, host=host(obstacles=some, water=some))
    shapes = layout_shapes(odd, pegs(odd), ())
    ElementTree.fromstring(layout_map(odd, pegs(odd)))
    ElementTree.fromstring(kml_text(odd, shapes))
    assert json.loads(geojson_text(odd, shapes))["features"]
    pytest.importorskip("pyogrio")
    assert geopackage_bytes(odd, shapes)


def test_a_plot_gets_slurry_of_one_load_where_the_tank_holds_it(placed: Placed) -> None:
    job = driving(placed, [("strip", [STRIP])], {"strip": 40.0})[
        0
    ]  # 4.8 m3 a pass, two passes a plot, 16 m3 in the tank
    assert [line.refill for line in job.lines] == [True, False] * 4
    large = driving(placed, [("strip", [replace(STRIP, tank_m3=20.0)])], {"strip": 40.0})[0]
    assert [line.order for line in large.lines if line.refill] == [1, 5]
    small = driving(placed, [("strip", [replace(STRIP, tank_m3=5.0)])], {"strip": 40.0})[0]
    assert small.refills == 8
    assert not small.too_long
    assert driving(placed, [("strip", [replace(STRIP, tank_m3=4.0)])], {"strip": 40.0})[0].too_long


# --- passes, and what they reach ----------------------------------------------------------------------------------


def wide(width_m: float, overlap_m: float, *places: str) -> Outfit:
    return replace(outfit("wide", width_m, None, *places), overlap_m=overlap_m)


def test_passes_overlap_as_stated_and_what_is_worked_twice_is_known() -> None:
    runs = runs_over(wide(5.0, 0.1), 12.0, 3.0)
    assert runs.count == 3
    assert runs.covered_m == pytest.approx(14.8)
    assert runs.middles_m == pytest.approx((1.1, 6.0, 10.9))
    assert [right - left for left, right in runs.twice] == pytest.approx([0.1, 0.1])
    assert runs.spread_m == pytest.approx(14.8 / 3)


def test_nobody_drives_once_more_for_a_hands_breadth_unless_it_would_be_measured() -> None:
    four = runs_over(wide(3.0, 0.1), 12.0, 3.0)
    assert (four.count, four.over_m, four.short_m) == (4, 0.0, pytest.approx(0.3))
    assert four.middles_m[0] == pytest.approx(1.65)
    assert runs_over(wide(3.0, 0.1), 12.0, 0.0).count == 5
    assert runs_over(wide(3.0, 0.5), 12.0, 3.0).count == 5  # 0.75 m a side is more than a hand's breadth


def test_row_machines_lie_edge_to_edge_whatever_overlap_is_said() -> None:
    runs = runs_over(replace(PLANTER, overlap_m=0.3), 12.0)
    assert runs.middles_m == (3.0, 9.0)
    assert runs.twice == ()


def test_a_spill_up_to_the_measured_rows_ranks_behind_one_that_leaves_the_guard_alone() -> None:
    found = plot_widths([PLANTER, wide(15.0, 0.0)], 0.75, 6.0, guard_rows=1, most_m=24)
    by = {one.width_m: one for one in found}
    assert by[18.0].near  # 30 m over 18 m: 6 m on a guard of 6 m
    assert not by[24.0].near
    assert [one.width_m for one in found] == [24.0, 18.0, 12.0]
    assert "0.00 m short of the measured ones" in by[18.0].fits[1].words


def test_a_join_in_the_measured_rows_is_explained_with_what_would_avoid_it() -> None:
    found = plot_widths([PLANTER], 0.75, 6.0, guard_rows=1, most_m=24)
    twelve_m = next(one for one in found if one.width_m == 12)
    assert twelve_m.joins == (8,)
    assert twelve_m.clear_rows == 7
    said = join_words(twelve_m, found)
    assert "a header of up to 5.25 m (7 rows), or plots of 18 m" in said
    narrower = plot_widths([PLANTER], 0.75, 5.25, guard_rows=1, most_m=24)
    assert next(one for one in narrower if one.width_m == 12).joins == ()
    assert join_words(found[0], found) == ""


def test_the_plough_of_a_plan_is_known_as_one() -> None:
    from importlib.resources import files

    from spadework.layout.tools import outfits_of, set_of
    from spadework.plan import read

    with as_file(files("spadework.demo") / "plan.toml") as path:
        known = {one.name: one for one in set_of(outfits_of(read(path).plan))}
    assert known["plough, 5 furrows"].plough
    assert known["hose boom, 15 m"].overlap_m == pytest.approx(0.5)  # table overlap
    assert known["cultivator, 3 m"].overlap_m == pytest.approx(0.1)
    assert known["planter, 8 rows"].overlap_m == 0
    fit = next(
        f for f in plot_widths([PLANTER, PLOUGH], 0.75, 6.0, guard_rows=1, most_m=12)[0].fits if f.outfit == PLOUGH
    )
    assert "ridge and last furrow on the borders" in fit.words


def test_slurry_over_the_border_keeps_the_distance_to_water_and_machines_stay_in_the_field() -> None:
    field = host(outline=box(-60, -200, 60, 200), obstacles=(), water=(LineString([(-60, -200), (-60, 200)]),))
    near = place(field, laid(2), twelve(), rules(length_m=100.0), 0.0)
    spilling = place(field, laid(2), twelve(), rules(length_m=100.0, over_m=6.0, slurry_over_m=1.5), 0.0)
    water, edge = field.water[0], field.outline.exterior
    assert min(p.polygon.distance(water) for p in near.plots) == pytest.approx(10.0, abs=0.01)
    assert min(p.polygon.distance(water) for p in spilling.plots) >= 11.5 - 1e-6
    assert min(p.polygon.distance(edge) for p in spilling.plots) >= 6.0 - 1e-6
    pole = host(outline=box(-60, -200, 60, 200), obstacles=(Point(0, 0),), water=())
    found = place(pole, laid(2), twelve(), rules(length_m=100.0, over_m=2.0), 0.0)
    assert min(p.polygon.distance(Point(0, 0)) for p in found.plots) >= 5.0 - 1e-6


def test_jobs_keep_the_passes_of_every_system_in_their_order(placed: Placed) -> None:
    roll, boom, harrow = outfit("roller", 6.0), outfit("boom", 6.0), outfit("harrow", 6.0)
    chains = [("strip", [boom, harrow, PLANTER]), ("plough", [roll, boom, PLANTER])]
    names = [job.outfit.name for job in driving(placed, chains, {})]
    assert names.index("roller") < names.index("boom") < names.index("harrow") < names.index("planter")
    crossed = [("strip", [boom, harrow, PLANTER]), ("plough", [harrow, boom, PLANTER])]
    jobs = driving(placed, crossed, {})
    for system, chain in crossed:
        order = [job.outfit for job in jobs if system in job.systems]
        assert order == chain


def test_a_dose_falls_on_all_ground_that_the_passes_cover(placed: Placed) -> None:
    boom = wide(15.0, 0.5, "slurry")
    job = driving(placed, [("strip", [boom])], {"strip": 30.0})[0]
    strips = [p for p in placed.plots if p.labels[0] == "strip"]
    assert sum(line.slurry_m3 for line in job.lines) == pytest.approx(sum(p.length_m for p in strips) * 15.0 * 30 / 1e4)


def test_pegs_of_blocks_that_touch_name_one_another() -> None:
    table = pegs(place(host(), laid(2), twelve(), rules(length_m=100.0), 4.5))
    shared = [peg for peg in table.pegs if peg.same_as]
    by_name = {peg.name: peg for peg in table.pegs}
    assert [(peg.name, peg.same_as) for peg in shared] == [("2F1", "1F4"), ("2B1", "1B4")]
    for peg in shared:
        other = by_name[peg.same_as]
        assert (peg.east_m, peg.north_m) == pytest.approx((other.east_m, other.north_m), abs=0.01)


def test_a_heading_that_is_asked_for_along_an_edge_is_told_as_one() -> None:
    field = host(outline=box(-80, -200, 80, 200), water=(), obstacles=())
    assert place(field, laid(2), twelve(), rules(length_m=100.0), 180.0).along_edge
    assert not place(field, laid(2), twelve(), rules(length_m=100.0), 12.0).along_edge


# --- odd outlines -------------------------------------------------------------------------------------------------


def test_a_field_across_the_date_line_is_one_field(tmp_path: Path) -> None:
    there = [(179.998, 52.0), (-179.998, 52.0), (-179.998, 52.003), (179.998, 52.003)]
    path = tmp_path / "field.geojson"
    path.write_text(geojson(there, feature("ditch", "LineString", [[-179.999, 52.0], [-179.999, 52.003]])), "utf-8")
    found = read_field(path)
    path.write_text(geojson([(8.998, 52.0), (9.002, 52.0), (9.002, 52.003), (8.998, 52.003)]), "utf-8")
    assert found.area_ha == pytest.approx(read_field(path).area_ha, rel=1e-9)
    assert found.outline.buffer(0.1).contains(found.water[0])
    assert found.frame.longitude_deg == pytest.approx(-180)


def test_water_whose_outline_crosses_itself_is_kept_clear_as_a_whole(tmp_path: Path) -> None:
    bow = [[9.001, 52.001], [9.002, 52.002], [9.002, 52.001], [9.001, 52.002], [9.001, 52.001]]
    path = tmp_path / "field.geojson"
    path.write_text(geojson(None, feature("pond", "Polygon", [bow])), "utf-8")
    found = read_field(path)
    assert found.water[0].is_valid
    east, north = found.frame.metres(np.array([9.0011, 9.0019]), np.array([52.0015, 52.0015]))
    assert all(found.water[0].buffer(0.5).contains(Point(x, y)) for x, y in zip(east, north, strict=True))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[1, 2]", "is no GeoJSON"),
        (geojson([(9.0, 52.0), (9.001, 52.0), (9.002, 52.0)]), "holds no ground"),
        (geojson([(9.0, -89.0), (9.1, -89.0), (9.1, -89.1)]), "cannot be; allowed: -180 to 180 and -85 to 85"),
        (
            "part,east_m,north_m,latitude,longitude\nfield,0,0,52,9\nfield,9,0,52,9.1\nfield,9,9,52.1,9\n",
            "metres or degrees, not both",
        ),
    ],
)
def test_outlines_that_are_none_say_why(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "field.txt"
    path.write_text(text, "utf-8")
    assert said in faults_of(path)


def test_two_polygons_apart_of_like_size_are_two_fields(tmp_path: Path) -> None:
    def ring(east: float, size: float = 0.004) -> dict[str, object]:
        corners = [[east, 52.0], [east + size, 52.0], [east + size, 52.003], [east, 52.003], [east, 52.0]]
        return {"type": "Feature", "properties": {}, "geometry": {"type": "Polygon", "coordinates": [corners]}}

    path = tmp_path / "field.json"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": [ring(9.0), ring(9.01)]}), "utf-8")
    assert 'give one of them kind = "field"' in faults_of(path)
    path.write_text(json.dumps({"type": "FeatureCollection", "features": [ring(9.0), ring(9.01, 0.0004)]}), "utf-8")
    assert len(read_field(path).obstacles) == 1


def test_two_hundred_thousand_corners_are_told_to_be_thinned_out(tmp_path: Path) -> None:
    turn = np.linspace(0, 2 * np.pi, 200_000, endpoint=False)
    path = tmp_path / "field.geojson"
    path.write_text(
        geojson(list(zip((9 + 0.002 * np.cos(turn)).tolist(), (52 + 0.002 * np.sin(turn)).tolist(), strict=True))),
        "utf-8",
    )
    assert "a corner every metre is enough" in faults_of(path)


# --- what a driver reads ------------------------------------------------------------------------------------------


def test_the_map_marks_both_ends_of_the_rows(placed: Placed) -> None:
    drawn = layout_map(placed, pegs(placed))
    assert ">A</text>" in drawn
    assert ">B</text>" in drawn
    assert "1:" not in layout_map(placed, pegs(placed), ratio=False).split("</defs>")[1]


@pytest.mark.parametrize(
    ("ends", "fresh", "said"),
    [
        (10.0, 50.0, "6 x 180 m of each plot, 1080 m2, about 5.4 t as it comes off the field"),
        (10.0, 10.0, "For 0.5 % it would take 2000 m2"),
        (100.0, 50.0, "Nothing of a plot is measured"),
    ],
)
def test_what_lies_on_the_scale_is_said_and_whether_its_step_counts(
    placed: Placed, ends: float, fresh: float, said: str
) -> None:
    told = Told("", True, 0.75, (), (), (), pegs(placed), (placed.width,), "", "", fresh)
    assert said in weighed_words(replace(placed, rules=rules(ends_m=ends)), told)
