"""Pressure under the wheels of a plan: figures by hand, stand-ins, notes, odd plans, and the numbers of the page."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from plans.everything import EVERYTHING
from plans.write import toml_of
from spadework.estimate import estimate, one_line
from spadework.estimate.traffic.pressure import DEPTHS_CM, FILLS, Pressures, pressures
from spadework.plan import PlanFaults, read, read_text
from spadework.science import traffic

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
PAGE = (Path(__file__).parents[2] / "docs" / "how" / "pressure.md").read_text("utf-8")
WHEELS = re.compile(r"  \[\[(?:tractor|machine)\.wheels\]\]\n(?:  \w+ = .*\n)+")
TANKER, PLOUGH, STRIP = "tanker, 16 m3, front axle", 0, 2


def of(text: str, draws: int = 1) -> Pressures:
    return pressures(estimate(read_text(text, "plan.toml", FOLDER), draws=draws))


@pytest.fixture(scope="module")
def demo() -> Pressures:
    return of(DEMO)


@pytest.fixture(scope="module")
def drawn() -> Pressures:
    return pressures(estimate(read(FOLDER / "plan.toml")))


def row(found: Pressures, label: str) -> int:
    return found.sheet.axes["wheel"].labels.index(label)


def test_tanker_by_hand(demo):
    sheet, i = demo.sheet, row(demo, TANKER)
    on_board = 16 * sheet["tank_filled"][0] * 1.02
    load = (8.5 + on_board) * (1 - sheet["hitch_share"][0]) / 4 * 9.80665
    assert sheet["wheel_load_full"][i, 0] == pytest.approx(load, rel=1e-12)
    area = traffic.contact_area_soft_osullivan(0.65, 1.42, load, 200)
    stress = traffic.stress_under_even(load / area, np.sqrt(area / np.pi), 50, 5)
    assert sheet["stress_50_full"][i, 0] == pytest.approx(float(stress), rel=1e-12)
    empty = 8.5 * (1 - sheet["hitch_share"][0]) / 4 * 9.80665
    assert sheet["wheel_load_empty"][i, 0] == pytest.approx(empty, rel=1e-12)


def test_nothing_of_the_weight_is_lost(demo):
    sheet, rows = (
        demo.sheet,
        [r for r in demo.rows(STRIP) if demo.axles[r].step == demo.axles[demo.rows(STRIP)[0]].step],
    )
    on_board = 16 * sheet["tank_filled"][0] * 1.02
    for fill, level in FILLS.items():
        carried = sheet[f"axle_{fill}"][rows, 0].sum()
        assert carried == pytest.approx((13.2 + 8.5 + level * on_board) * 9.80665, rel=1e-12)


def test_pull_and_hitch_shift_load_by_hand(demo):
    sheet = demo.sheet
    front, rear = (row(demo, f"tractor 230, {where} axle") for where in ("front", "rear"))
    step = demo.axles[rear].step
    on_board = 16 * sheet["tank_filled"][0] * 1.02
    hitch = (8.5 + on_board) * sheet["hitch_share"][0] * 9.80665
    gain = (hitch * 0.9 + sheet["pull"][step, 0] / 1000 * 0.5) / 2.95
    assert sheet["axle_full"][rear, 0] == pytest.approx(13.2 * 0.58 * 9.80665 + hitch + gain, rel=1e-9)
    assert sheet["axle_full"][front, 0] == pytest.approx(13.2 * 0.42 * 9.80665 - gain, rel=1e-9)


def test_a_mounted_plough_weighs_on_the_rear_axle(demo):
    sheet = demo.sheet
    places = [r for r in demo.rows(PLOUGH) if demo.axles[r].name == "tractor 125"]
    front, rear = places[:2]
    step, mass = demo.axles[rear].step, sheet["vehicle_mass"][rear, 0]
    gain = 0.65 * sheet["pull"][step, 0] / 1000
    assert sheet["axle_full"][rear, 0] == pytest.approx(mass * 0.58 * 9.80665 + gain, rel=1e-9)
    assert sheet["axle_full"][front, 0] == pytest.approx(mass * 0.42 * 9.80665 - gain * 1.5 / (2.7 + 1.5), rel=1e-9)


def test_the_shift_can_be_left_out_and_its_levers_given(demo):
    i = row(demo, "tractor 230, rear axle")
    named = 'name = "tractor 230"\n'
    without = of(DEMO.replace(named, f'{named}load_shift = "none"\n'))
    hitch = without.sheet["from_hitch_full"][i, 0]
    assert without.sheet["axle_full"][i, 0] == pytest.approx(13.2 * 0.58 * 9.80665 + hitch, rel=1e-9)
    assert any('left out for "tractor 230"' in note for note in without.notes)
    own = of(DEMO.replace(named, f'{named}wheelbase = "2.6 m"\nhitch_height = "80 cm"\nhitch_overhang = "110 cm"\n'))
    pull = own.sheet["pull"][own.axles[i].step, 0] / 1000
    gain = (own.sheet["from_hitch_full"][i, 0] * 1.1 + pull * 0.8) / 2.6
    assert own.sheet["shift_rear_full"][i, 0] == pytest.approx(gain, rel=1e-9)
    assert own.sheet["axle_full"][i, 0] > demo.sheet["axle_full"][i, 0] > without.sheet["axle_full"][i, 0]


def test_a_front_axle_that_would_lift_is_told():
    named = 'name = "tractor 230"\n'
    text = DEMO.replace(named, f'{named}wheelbase = "1.5 m"\nhitch_overhang = "300 cm"\n')
    found = of(text.replace('share = "42 %"', 'share = "20 %"').replace('share = "58 %"', 'share = "80 %"'), draws=50)
    assert any("the front axle would lift off" in note and "must not drive" in note for note in found.notes)
    assert (found.sheet["axle_full"] > 0).all()
    assert not any("lift off" in note for note in of(DEMO).notes)


def test_tracks_are_refused():
    text = WHEELS.sub("", DEMO).replace(
        'drive = "front wheel assist"\nprice = "260000', 'drive = "tracks"\nprice = "260000'
    )
    with pytest.raises(PlanFaults, match="stands on tracks, and pressure is worked out for tyres only"):
        of(text)


def test_every_draw_carries_the_weight(drawn):
    sheet, rows = drawn.sheet, drawn.rows(PLOUGH)[:4]
    carried = sum(np.broadcast_to(sheet["axle_full"][r], (2000,)) for r in rows)
    weight = (13.2 + 8.5 + 16 * sheet["tank_filled"] * sheet["density"]) * 9.80665
    np.testing.assert_allclose(carried, np.broadcast_to(weight, (2000,)), rtol=1e-12)


def test_fuller_is_heavier_and_deeper(drawn):
    sheet, i = drawn.sheet, row(drawn, TANKER)
    for name in ("wheel_load", "stress_50", "line"):
        full, half, empty = (np.median(sheet[f"{name}_{fill}"][i]) for fill in ("full", "half", "empty"))
        assert full > half > empty
    assert [drawn.middle(f"stress_{z}_full", i) for z in DEPTHS_CM] == sorted(
        (drawn.middle(f"stress_{z}_full", i) for z in DEPTHS_CM), reverse=True
    )


def test_tractors_without_a_tank_are_the_same_full_and_empty(demo):
    i = row(demo, "tractor 125, rear axle")
    assert demo.sheet["wheel_load_full"][i, 0] == demo.sheet["wheel_load_empty"][i, 0]


def test_what_stands_in_is_named(demo):
    assert any('"tractor 125"' in note and "typical" in note for note in demo.notes)
    assert not any('"tractor 230"' in note for note in demo.notes)
    bare = of(WHEELS.sub("", DEMO))
    assert any('"tractor 230"' in note and '"tanker, 16 m3"' in note for note in bare.notes)
    assert len(bare.axles) == len(demo.axles)  # a tanker of 16 m3 has two axles by itself


def test_lifted_machines_and_furrow_are_said(demo):
    said = " ".join(demo.notes)
    assert '"planter, 8 rows"' in said
    assert "furrow" in said
    assert "damage" not in said


def test_working_leads_to_the_plan(demo):
    assert "contact_kpa" in one_line(demo.sheet, "stress_50_full")
    names = {figure.name for figure in demo.sheet.behind("stress_50_full")}
    assert {"tyre_pressure_given", "tyre_pressure_typical", "vehicle_mass", "axle_share", "hitch_share"} <= names


def test_the_estimate_itself_is_left_as_it_was(demo):
    assert "wheel" not in demo.estimate.sheet.axes
    assert "stress_50_full" not in demo.estimate.sheet.figures


def test_driven_by_hand(demo):
    strip = demo.axles[demo.rows(STRIP)[0]].step
    # the rear tyres of the tractor, 0.71 m at a gauge of 2.0 m, reach from 0.645 to 1.355; the tanker's, 0.65 m at 2.1 m,
    # from 0.725 to 1.375 m
    width = float(np.median(demo.sheet["width_used"][strip]))
    assert demo.driven.passes[strip] == pytest.approx(2 * (1.375 - 0.645) / width, rel=1e-12)
    first, second = demo.driven.passes[strip], demo.driven.passes[strip + 1]
    assert demo.driven.by_chance[STRIP] == pytest.approx(1 - (1 - first) * (1 - second))
    assert demo.driven.twice_by_chance[STRIP] == pytest.approx(first * second)


def test_kept_lanes_drive_on_less_than_chance(demo):
    assert demo.driven.from_one_side[STRIP] < demo.driven.by_chance[STRIP]
    assert all(t <= o for o, t in zip(demo.driven.from_one_side, demo.driven.twice_from_one_side, strict=True))


def test_twins_press_less_and_drive_on_more():
    single = of(DEMO)
    rear = 'axle = "rear"\n  tyre_width = "71 cm"'
    twins = of(DEMO.replace(rear, 'axle = "rear"\n  count = 4\n  tyre_width = "71 cm"'))
    i = row(single, "tractor 230, rear axle")
    assert twins.sheet["stress_50_full"][i, 0] < single.sheet["stress_50_full"][i, 0]
    assert twins.driven.passes[0] > single.driven.passes[0]


def test_hard_ground_has_its_own_area_and_factor():
    hard = of(DEMO.replace('surface = "firm"', 'surface = "hard"'))
    assert "contact_area_hard_osullivan" in str(hard.sheet.figures["contact_area_full"].origin)
    assert hard.sheet["concentration"][0] == 4


def test_the_plan_with_everything_has_every_wheel():
    found = of(toml_of(EVERYTHING), draws=20)
    labels = found.sheet.axes["wheel"].labels
    assert "tanker, met, rear axle" in labels
    i = row(found, "tanker, met, rear axle")
    assert found.sheet["wheels"][i, 0] == 4
    for name, figure in found.sheet.figures.items():
        if figure.over == "wheel":
            assert np.isfinite(figure.values).all(), name
            assert name.startswith("shift_front") or (figure.values >= 0).all(), name


def test_same_plan_same_numbers(drawn):
    again = pressures(drawn.estimate)
    np.testing.assert_array_equal(again.sheet["stress_50_full"], drawn.sheet["stress_50_full"])


def test_numbers_of_the_page(demo):
    i, rear = row(demo, TANKER), row(demo, "tractor 230, rear axle")
    middle = demo.middle
    said = [
        f"{middle('wheel_load_full', i):.0f} kN with the tank full and {middle('wheel_load_empty', i):.0f} kN with it empty",
        f"{middle('contact_full', i):.0f} kPa on the ground",
        *(f"{middle(f'stress_{z}_full', i):.0f} kPa at {z} cm" for z in DEPTHS_CM),
        f"down to {middle('line_full', i):.0f} cm with the tank full, {middle('line_half', i):.0f} cm half full and "
        f"{middle('line_empty', i):.0f} cm empty",
        f"{middle('line_by_pressure_full', i):.0f} cm instead of {middle('line_full', i):.0f} cm",
        f"{middle('wheel_load_full', rear):.0f} kN on each rear wheel of the tractor",
        f"{traffic.wheel_load_for_limit(middle('contact_full', i), 50, 50, 5):.0f} kN a wheel",
        *(
            f"| {name} | {100 * demo.driven.by_chance[s]:.0f} % | {100 * demo.driven.from_one_side[s]:.0f} % |"
            for s, name in enumerate(demo.estimate.systems)
        ),
    ]
    flat = " ".join(PAGE.split())
    missing = [one for one in said if one not in flat]
    assert not missing, missing
    assert "A stress is no damage" in flat


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('length = "340 m"', 'length = "40 m"'),
        ('mass = "13.2 t"', 'mass = "39 t"'),
        ('pressure = "120 kPa"', 'pressure = "900 kPa"'),
        ('pressure = "120 kPa"', 'pressure = "20 kPa"'),
        ('gauge = "2.0 m"\n  share = "58 %"', 'gauge = "8 m"\n  share = "58 %"'),
        ('share = "42 %"', 'share = "5 %"'),
    ],
)
def test_odd_wheels_are_worked_out(old, new):
    assert old in DEMO
    text = DEMO.replace(old, new, 1)
    text = text.replace('share = "58 %"', 'share = "95 %"') if "5 %" in new else text
    found = of(text)
    for name, figure in found.sheet.figures.items():
        if figure.over == "wheel":
            assert np.isfinite(figure.values).all(), name
    assert all(0 < share <= 1 for share in found.driven.passes)


def test_the_template_shows_wheels_that_can_be_read():
    template = files("spadework.plan").joinpath("template.toml").read_text("utf-8")
    before, mark, after = template.partition("# [[tractor.wheels]]")
    block, end, rest = (mark + after).partition("\n\n")
    found = read_text(before + re.sub(r"^# ", "", block, flags=re.M) + end + rest, "template").plan
    assert [(wheels.axle, wheels.count) for wheels in found.tractors[0].wheels] == [("front", 2), ("rear", 4)]
    assert found.tractors[0].wheels[1].pressure.value == pytest.approx(100)
