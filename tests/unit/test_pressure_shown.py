"""Pressure on the soil as it is shown: faces with a wheel, charts, the section of the report, and the numbers of the page."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import estimate, working_text
from spadework.estimate.traffic.pressure import Pressures, pressures
from spadework.estimate.traffic.views import (
    Limit,
    emptying,
    held,
    pressing,
    profile,
    section,
    thumb_limit,
    under_twins,
)
from spadework.plan import read, read_text
from spadework.present.charts.pressure import CURVES, Curve, profile_chart, run_chart
from spadework.present.document.blocks import Drawing, Grid, Report, Text
from spadework.present.document.page import page
from spadework.present.face.drawing import soil_face
from spadework.present.face.model import Press, PressLine
from spadework.present.face.systems import faces, reach_cm
from spadework.present.face.systems_press import LINES_KPA, names_tyres, outlines, press_of, pressing_hardest
from spadework.present.face.words import describe
from spadework.present.machines.pressure_facts import class_words, held_texts, notes, profiles, runs
from spadework.present.report.pressure import no_pressure_section, pressure_section, workings_of_pressure
from spadework.present.wording import figure_text, interval_text, spread_of
from spadework.science.traffic import depth_of_stress, stress_under_even, stress_under_wheels, wheel_load_for_limit

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
PAGE = (Path(__file__).parents[2] / "docs" / "jobs" / "pressure.md").read_text("utf-8")
WHEELS = re.compile(r"  \[\[(tractor|machine)\.wheels\]\]\n(?:  \w+ = .*\n)+")
STRIP = 2


def of(text: str, draws: int = 60) -> Pressures:
    return pressures(estimate(read_text(text, "plan.toml", FOLDER), draws=draws))


@pytest.fixture(scope="module")
def demo() -> Pressures:
    return of(DEMO)


@pytest.fixture(scope="module")
def drawn() -> Pressures:
    return pressures(estimate(read(FOLDER / "plan.toml")))


def parts(svg: str, name: str) -> list[ET.Element]:
    return [element for element in ET.fromstring(svg).iter() if element.get("class") == name]  # noqa: S314


def test_every_pass_has_its_axles_and_the_deepest_of_them(demo: Pressures) -> None:
    passes = pressing(demo)
    assert sorted(row for one in passes for row in one.rows) == list(range(len(demo.axles)))
    for one in passes:
        deepest = demo.middle("line_full", one.deepest)
        assert all(demo.middle("line_full", row) <= deepest for row in one.rows)
    assert [one.name for one in passes if one.places] == [
        "hose boom, 15 m",
        "hose boom, 15 m",
        "strip tiller, 8 rows",
        "mixing injector, 5 m",
    ]


def test_a_limit_is_kept_by_the_load_that_is_said_to_keep_it(demo: Pressures) -> None:
    row = pressing_hardest(demo, STRIP).deepest
    limit = Limit(60.0, 40.0)
    found = held(demo, row, limit)
    contact = np.broadcast_to(demo.sheet["contact_full"][row], found.load_kn.shape)
    radius = np.sqrt(found.load_kn / (np.pi * contact))
    stress = stress_under_even(contact, radius, limit.depth_cm, demo.sheet["concentration"])
    np.testing.assert_allclose(stress, limit.stress_kpa, rtol=1e-9)
    at = stress_under_even(contact, demo.sheet["radius_full"][row], found.depth_cm, demo.sheet["concentration"])
    np.testing.assert_allclose(at, limit.stress_kpa, rtol=1e-9)
    assert found.share_above == np.mean(found.stress_kpa > 60)


def test_the_rule_of_thumb_is_told_as_such(demo: Pressures) -> None:
    limit = thumb_limit()
    assert (limit.stress_kpa, limit.depth_cm, limit.thumb) == (50, 50, True)
    row = pressing_hardest(demo, STRIP).deepest
    np.testing.assert_allclose(held(demo, row, limit).depth_cm, demo.sheet["line_full"][row])
    np.testing.assert_allclose(held(demo, row, limit).stress_kpa, demo.sheet["stress_50_full"][row])


def test_profiles_meet_the_sheet(demo: Pressures) -> None:
    row = pressing_hardest(demo, STRIP).deepest
    for fill in ("full", "half", "empty"):
        stress = profile(demo, row, (10, 30, 50), fill)
        for place, depth in enumerate((10, 30, 50)):
            np.testing.assert_allclose(stress[place], demo.sheet[f"stress_{depth}_{fill}"][row])


def test_the_tank_empties_where_the_dose_says(demo: Pressures) -> None:
    every = {one.systems: one for one in emptying(demo)}
    assert set(every) == {(0, 1), (2,), (3,)}
    assert every[(2,)].empty_m / every[(0, 1)].empty_m == pytest.approx(
        np.median(demo.sheet["width_used"][0]) / np.median(demo.sheet["width_used"][pressing_hardest(demo, 2).step]),
        rel=0.03,
    )
    for one in every.values():
        middle = np.median(one.load_kn, axis=1)
        assert (np.diff(middle) <= 1e-12).all()
        assert middle[0] == pytest.approx(demo.middle("wheel_load_full", one.row))
        assert middle[-1] == pytest.approx(demo.middle("wheel_load_empty", one.row))
        # half of the way, half of the load: the dose is even
        halfway = np.interp(one.empty_m / 2, one.run_m, middle)
        assert halfway == pytest.approx(demo.middle("wheel_load_half", one.row), rel=0.01)


def test_without_a_tanker_nothing_empties() -> None:
    text = DEMO.replace('supply = "two feeders"', 'supply = "hose line"').replace("110 +/- 15 m3/h", "170 m3/h")
    for machine in ("hose boom, 15 m", "strip tiller, 8 rows", "mixing injector, 5 m"):
        text = text.replace(f'machines = ["tanker, 16 m3", "{machine}"]', f'machines = ["{machine}"]')
    found = of(text)
    assert emptying(found) == ()
    told = pressure_section(found)
    assert any(isinstance(block, Text) and "No tanker drives" in block.text for block in told.blocks)
    assert not any(isinstance(block, Drawing) and block.name == "pressure-run" for block in told.blocks)
    drawing = soil_face(faces(found.estimate, found)[0])
    assert "tank full" not in drawing
    assert parts(drawing, "tyre")


def test_lines_reach_as_deep_as_the_formula_solved_for_the_depth(demo: Pressures) -> None:
    face = faces(demo.estimate, demo)[STRIP]
    row = pressing_hardest(demo, STRIP).deepest
    assert face.press is not None
    assert [line.stress_kpa for line in face.press.lines] == list(LINES_KPA)
    load, contact = (demo.middle(name, row) for name in ("wheel_load_full", "contact_full"))
    for line in face.press.lines:
        theirs = float(depth_of_stress(load, contact, line.stress_kpa, 5.0))
        ours = line.deepest_cm - face.firmed_rise_cm if line.outlines else 0.0
        assert ours == pytest.approx(theirs, abs=0.4)
    assert not face.press.lines[2].outlines  # 200 kPa is nowhere in the demo


def test_points_of_a_line_have_its_stress(demo: Pressures) -> None:
    row = pressing_hardest(demo, STRIP).deepest
    rise = 2.0
    press = press_of(demo, STRIP, rise, [])
    assert press is not None
    contact, radius = (demo.middle(name, row) for name in ("contact_full", "radius_full"))
    (outline,) = press.lines[0].outlines
    centre = press.tyres[0][0]
    for place, depth in outline[5:-5:9]:
        if depth - rise > 3:
            stress = stress_under_wheels([contact], radius, [0.0], 0, (place - centre) / 100, 0, depth - rise, 5)
            assert float(stress) == pytest.approx(50, abs=1.5)


def test_wheel_of_a_row_machine_stands_where_it_runs(demo: Pressures) -> None:
    face = faces(demo.estimate, demo)[STRIP]
    assert face.press is not None
    # eight rows of 75 cm: rows 37.5 and 112.5 cm right of the middle; the gauge of the tractor is 2.0 m: its wheel 100 cm, so
    # 62.5 cm right of the row at 37.5 cm
    assert face.press.tyres == ((62.5, 71.0),)
    assert "Where it runs" not in face.note
    svg = soil_face(face, to_depth_cm=reach_cm((face,)))
    (tyre,) = parts(svg, "tyre")
    seeds = [float(seed.get("cx", "")) for seed in parts(svg, "seed")]
    left, right = (float(re.findall(pattern, tyre.get("d", ""))[-1]) for pattern in (r"^M([\d.]+) ", r"H([\d.]+)q"))
    scale = (seeds[1] - seeds[0]) / 75
    assert (right + 10 - left) / scale == pytest.approx(71, abs=0.05)
    assert (left - seeds[0]) / scale == pytest.approx(62.5 - 35.5, abs=0.05)


def test_wheel_of_a_boom_is_said_to_stand_anywhere(demo: Pressures) -> None:
    face = faces(demo.estimate, demo)[0]
    assert "Where it runs against the rows does not stand in the plan" in face.note
    assert face.press is not None
    assert all(face.left_cm < x < face.right_cm for x, _ in face.press.lines[0].outlines[0])


def test_faces_say_wheel_and_lines_in_words(demo: Pressures) -> None:
    for system, face in enumerate(faces(demo.estimate, demo)):
        said = describe(face)
        row = pressing_hardest(demo, system).deepest
        assert f"{demo.axles[row].name}, {demo.axles[row].where} axle, tank full" in said
        assert re.search(r"above 50 kPa down to [\d.]+ cm", said)
        assert "A stress is no damage" in face.note
        assert f"{figure_text(demo.middle('wheel_load_full', row), 0)} kN" in said


def test_lines_differ_without_colour(demo: Pressures) -> None:
    svg = soil_face(faces(demo.estimate, demo)[0])
    dashes = [line.get("stroke-dasharray") for line in parts(svg, "stress")]
    assert dashes == [None, "9 4"]
    assert [label.text for label in parts(svg, "stress-label")] == ["50 kPa", "100 kPa"]


def test_faces_without_pressures_are_as_before(demo: Pressures) -> None:
    for face in faces(demo.estimate):
        assert face.press is None
        assert not parts(soil_face(face), "tyre")


def test_a_plan_without_tyres_has_no_wheels_on_its_faces() -> None:
    found = of(WHEELS.sub("", DEMO), draws=1)
    assert not names_tyres(found)
    assert all(face.press is None for face in faces(found.estimate, found))


def test_a_system_without_slurry_shows_its_deepest_wheel() -> None:
    text = DEMO + (
        '\n[[system]]\nname = "sown only"\n  [[system.pass]]\n  tractor = "tractor 230"\n'
        '  machines = ["seedbed combination, 5 m"]\n  depth = "8 cm"\n  speed = "9 km/h"\n  [[system.pass]]\n'
        '  tractor = "tractor 125"\n  machines = ["planter, 8 rows"]\n  speed = "8 km/h"\n  places = ["seed"]\n'
    )
    found = of(text, draws=20)
    last = len(found.estimate.systems) - 1
    assert pressing_hardest(found, last).name == "seedbed combination, 5 m"
    face = faces(found.estimate, found)[last]
    assert face.press is not None
    assert "tank full" not in face.press.label
    assert "tractor 230" in face.press.label


def test_typical_tyres_are_dashed_and_said() -> None:
    found = of(WHEELS.sub(lambda hit: hit[0] if hit[1] == "tractor" else "", DEMO), draws=1)
    face = faces(found.estimate, found)[0]
    assert face.press is not None
    if face.press.typical:
        svg = soil_face(face)
        assert all(tyre.get("stroke-dasharray") for tyre in parts(svg, "tyre"))
        assert "typical" in describe(face)
    assert face.press.typical == ("typical" in face.note)
    assert face.press.typical


def test_twins_stand_beside_one_another_and_add_up() -> None:
    text = DEMO.replace('axle = "rear"\n  tyre_width = "65 cm"', 'axle = "rear"\n  count = 4\n  tyre_width = "65 cm"')
    text = text.replace('axle = "front"\n  tyre_width = "65 cm"', 'axle = "front"\n  count = 4\n  tyre_width = "65 cm"')
    text = text.replace('mass = "8.5 t"', 'mass = "18 t"')
    found = of(text, draws=1)
    row = next(r for r in found.rows(STRIP) if found.axles[r].machine is not None)
    alone = found.middle("stress_50_full", row)
    # one step apart, a tyre's width and a tenth: the sum of both, below one of them and halfway between
    contact, radius = (found.middle(name, row) for name in ("contact_full", "radius_full"))
    both = stress_under_wheels([contact, contact], radius, [0, 0.715], 0, np.linspace(0, 0.715, 33), 0, 50, 5)
    assert under_twins(found, row, 50) == pytest.approx(float(both.max()), rel=1e-9)
    assert alone < under_twins(found, row, 50) < 2 * alone
    assert any("the twins of tanker, 16 m3" in note for note in notes(found))
    face = faces(found.estimate, found)[0]
    assert face.press is not None
    if len(face.press.tyres) == 2:
        (first, wide), (second, _) = face.press.tyres
        assert second - first == pytest.approx(1.1 * wide)
    assert soil_face(face).startswith("<svg")


def test_both_sides_of_an_axle_hardly_meet(demo: Pressures) -> None:
    row = pressing_hardest(demo, STRIP).deepest
    one = section(demo, row, [105.0], [50.0])
    both = section(demo, row, [105.0], [50.0], twins_only=False)
    assert one[0, 0] == pytest.approx(demo.middle("stress_50_full", row), rel=0.01)
    assert one[0, 0] < both[0, 0] < 1.02 * one[0, 0]


def test_outlines_fall_apart_where_the_ground_between_is_below() -> None:
    across, down = np.arange(5.0), np.array([0.0, 10.0, 20.0])
    cut = np.array([[0, 80, 0, 80, 0], [0, 40, 0, 40, 0], [0, 0, 0, 0, 0]], float)
    left, right = outlines(across, down, cut, 60)
    assert left == ((0.75, 0.0), (1.0, 5.0), (1.25, 0.0), (1.0, 0.0))
    assert right == tuple((place + 2, depth) for place, depth in left)
    assert outlines(across, down, cut, 90) == ()
    to_the_edge = np.full((3, 5), 70.0)
    (whole,) = outlines(across, down, to_the_edge, 60)
    assert max(depth for _, depth in whole) == 20


def test_impossible_wheels_are_told() -> None:
    with pytest.raises(ValueError, match="width_cm"):
        Press("x", "x", ((0.0, 0.0),))
    with pytest.raises(ValueError, match="stress_kpa"):
        PressLine(0.0, ())


def test_a_wheel_without_lines_says_so(demo: Pressures) -> None:
    face = faces(demo.estimate, demo)[STRIP]
    assert face.press is not None
    bare = replace(face, press=replace(face.press, lines=(PressLine(50.0, ()),)))
    assert "nowhere in the ground is the stress above 50 kPa" in describe(bare)
    assert not parts(soil_face(bare), "stress")


@pytest.mark.parametrize("spacing", ["45 cm", "30 cm", "100 cm"])
def test_other_row_spacings_draw(spacing: str) -> None:
    found = of(DEMO.replace('row_spacing = "75 cm"', f'row_spacing = "{spacing}"').replace("25 cm", "20 cm"), draws=1)
    drawn = faces(found.estimate, found)
    for face in drawn:
        assert face.press is not None
        assert any(face.left_cm < centre + width / 2 and centre - width / 2 < face.right_cm
                   for centre, width in face.press.tyres)  # fmt: skip
        ET.fromstring(soil_face(face, to_depth_cm=reach_cm(drawn)))  # noqa: S314


def test_classes_are_bands() -> None:
    assert class_words(np.array([40.0, 41.0, 42.0]), 60, 90) == "below"
    assert class_words(np.array([80.0, 95.0, 99.0]), 60, 90) == "within to above"


def test_a_limit_that_no_load_passes(demo: Pressures) -> None:
    (text,) = held_texts(demo, Limit(400.0, 30.0), [pressing_hardest(demo, STRIP)])
    assert (text.keeps, text.line, text.verdict) == ("any on this contact stress", "nowhere", "below in all draws")


def test_section_has_figures_charts_and_no_verdict(demo: Pressures) -> None:
    section_ = pressure_section(demo)
    assert section_.title == "What presses on the soil?"
    grids = {block.caption: block for block in section_.blocks if isinstance(block, Grid)}
    wheels = grids["Wheels of every pass"]
    assert len(wheels.rows) == len(demo.estimate.systems) + len(pressing(demo))
    words = " ".join(
        [block.text for block in section_.blocks if isinstance(block, Text)]
        + [cell.text for grid in grids.values() for row in grid.rows for cell in row]
    )
    assert "A stress is no damage" in words
    assert not re.search(r"\b(harmful|damages|safe|critical|approved)\b", words)
    assert "can burst" in words
    assert {"TO BE CHECKED", "OUR CHOICE"} <= {row[0].text for row in grids["Table rows"].rows}
    charts = [block for block in section_.blocks if isinstance(block, Drawing)]
    assert [chart.name for chart in charts] == ["pressure-depth-1", "pressure-depth-2", "pressure-run"]
    assert all("estimated" in chart.svg for chart in charts)
    assert "kPa at 10 cm" in charts[0].alt


def test_figures_of_axles_lead_to_their_working(demo: Pressures) -> None:
    beside = workings_of_pressure(demo)
    shown = page(Report("q", "p", "s", False, (), (pressure_section(demo),), (beside,)), demo.estimate)
    links, ids = set(re.findall(r'href="#(w-[^"]+)"', shown)), re.findall(r' id="(w-[^"]+)"', shown)
    assert {f"w-{STRIP}-{name}" for name in ("wheel_load_full", "contact_full", "stress_50_full", "line_full")} <= links
    assert links <= set(ids)
    assert len(ids) == len(set(ids))
    assert "What presses on the soil" in shown
    told = working_text(beside.estimate, "stress_50_full", STRIP)
    assert "mean contact stress, tank full" in told
    assert "Froehlich" in told
    assert "tanker_hitch_share" in told


def test_a_report_with_tracks_says_why_there_is_no_pressure() -> None:
    section_ = no_pressure_section(["big one"])
    assert '"big one" stands on tracks' in " ".join(block.text for block in section_.blocks if isinstance(block, Text))


def test_many_kinds_of_wheels_share_out_over_charts(demo: Pressures) -> None:
    groups = profiles(demo, pressing(demo))
    heads = [curve.words[0] for curves in groups for curve in curves]
    assert {"tanker, 16 m3, rear, tank full", "tanker, 16 m3, rear, tank empty", "tractor 125, rear"} <= set(heads)
    deepest = [curve.points[25][1] for curves in groups for curve in curves]
    assert deepest == sorted(deepest, reverse=True)
    assert any("planter, 8 rows" in curve.words[1] for curves in groups for curve in curves)
    every, lines = runs(demo, range(4))
    assert [one.systems for one in every] == [(0, 1), (2,), (3,)]
    assert lines[0].words[0] == "plough, cultivator"


def test_charts_refuse_what_they_cannot_show() -> None:
    curve = Curve(("a",), ((0.0, 1.0, 0.5, 2.0), (10.0, 0.5, 0.2, 0.8)))
    for chart in (profile_chart, run_chart):
        with pytest.raises(ValueError, match="nothing to show"):
            chart([], title="x")
        with pytest.raises(ValueError, match="too many"):
            chart([curve] * (CURVES + 1), title="x")
        with pytest.raises(ValueError, match="not finite"):
            chart([replace(curve, points=((0.0, np.nan, 0.0, 1.0),))], title="x")
        assert chart([curve] * CURVES, title="x")["description"].startswith("x. estimated")


def test_numbers_of_the_page(drawn: Pressures) -> None:
    flat = " ".join(PAGE.split())
    i = pressing_hardest(drawn, STRIP).deepest
    sown = [r for r in drawn.rows(STRIP) if drawn.axles[r].name == "tractor 125"]
    small = next(r for r in sown if drawn.axles[r].where == "rear")
    big = {drawn.axles[r].where: r for r in drawn.rows(STRIP) if drawn.axles[r].name == "tractor 230"}
    ploughs = [r for r in drawn.rows(0) if drawn.axles[r].name == "tractor 125"]
    ploughing = next(r for r in ploughs if drawn.axles[r].where == "rear")

    def shown(name: str, row: int = i) -> str:
        return interval_text(spread_of(drawn.sheet[name][row]), 0)

    rows = {
        "load on a wheel of the tanker, kN": "wheel_load",
        "pressure on the ground, kPa": "contact",
        **{f"stress at {z} cm, kPa": f"stress_{z}" for z in (10, 30, 50)},
        "above 50 kPa down to, cm": "line",
    }
    said = [f"| {words} | {shown(f'{name}_full')} | {shown(f'{name}_empty')} |" for words, name in rows.items()]
    every = {one.systems: figure_text(one.empty_m, 0) for one in emptying(drawn)}
    keeps = wheel_load_for_limit(drawn.sheet["contact_full"][i], 50, 50, drawn.sheet["concentration"])
    driven = drawn.driven
    said += [
        f"empty after {every[(0, 1)]} m; with the strip tiller, 6 m wide, after {every[(2,)]} m",
        f"the full tanker has {drawn.middle('stress_50_full', i):.0f} kPa, that tractor "
        f"{drawn.middle('stress_50_full', small):.0f} kPa",
        f"in the demo with {interval_text(spread_of(keeps), 0)} kN instead of {drawn.middle('wheel_load_full', i):.0f}",
        f"it leaves {drawn.middle('wheel_load_half', i):.0f} kN and {drawn.middle('stress_50_half', i):.0f} kPa",
        f"drives on {100 * driven.by_chance[2]:.0f} % by chance and {100 * driven.from_one_side[2]:.0f} % from one side, the "
        f"plough on {100 * driven.by_chance[0]:.0f} % and {100 * driven.from_one_side[0]:.0f} %",
        f"carries {drawn.middle('wheel_load_full', big['rear']):.0f} kN and a front wheel "
        f"{drawn.middle('wheel_load_full', big['front']):.0f} kN",
        f"a rear wheel of the small tractor carries {drawn.middle('wheel_load_full', ploughing):.0f} kN",
        f"runs {7 * 75 / 2 - 2 * 75 - 210 / 2:g} cm beside the middle of a row",
    ]
    missing = [one for one in said if one not in flat]
    assert not missing, missing
    assert abs(drawn.middle("stress_10_full", small) - drawn.middle("stress_10_empty", i)) < 4
