"""Water of the top layer of a plan: which ground there is, what weather it gets, and what is said of it."""

from __future__ import annotations

import datetime as dt
from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import estimate
from spadework.estimate.water.days import RULES, SurfaceWater, surface_water
from spadework.estimate.water.reference_days import reference_days
from spadework.estimate.water.soil import top_soil, water_row
from spadework.plan import PlanFaults, read_text
from spadework.plan.kinds import TEXTURES
from spadework.plan.weather.day_hours import day_hours
from spadework.reference import load
from springs_made import demo_on, spring_lines, write_springs

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
PLOUGH, CULTIVATOR, STRIP, INJECTOR = range(4)


def plan_of(*changes: tuple[str, str]):
    text = DEMO
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return read_text(text, "plan.toml", FOLDER)


@cache
def water(*changes: tuple[str, str], draws: int = 100, **how: int) -> SurfaceWater:
    return surface_water(estimate(plan_of(*changes), draws=draws), **how)


def said(found: SurfaceWater) -> str:
    return "\n".join(found.notes)


# Which ground there is ------------------------------------------------------------------------------------------------


def test_strips_have_two_kinds_of_ground_and_the_others_one():
    names = [[zone.name for zone in one.zones] for one in water().systems]
    assert names == [["whole"], ["whole"], ["strip", "between"], ["whole"]]
    strip, between = water().systems[STRIP].zones
    np.testing.assert_allclose(strip.share, 25 / 75)
    assert (strip.cover_share < between.cover_share).all()
    assert water().systems[STRIP].seed_zone is strip
    assert water().systems[STRIP].competing_mm.keys() == set(RULES)
    assert water().systems[PLOUGH].competing_mm == {}


def test_loosened_ground_holds_less_and_the_ground_between_is_as_it_was():
    strip, between = water().systems[STRIP].zones
    plough = water().systems[PLOUGH].zones[0]
    assert (strip.capacity_share < between.capacity_share).all()
    np.testing.assert_array_equal(strip.capacity_share, plough.capacity_share)
    ratio = strip.capacity_share / between.capacity_share
    np.testing.assert_allclose(strip.evaporable_mm, ratio * between.evaporable_mm)
    assert (ratio > 0.85).all()


def test_slurry_water_goes_where_the_tools_leave_it():
    zones = [one.zones for one in water().systems]
    dose = 30 / 1.02 / 10
    assert (zones[PLOUGH][0].slurry_mm == 0).all()  # turned under
    mixed = zones[CULTIVATOR][0].slurry_mm / (dose * (1 - 0.072))  # layer over 18 cm
    assert mixed.min() == pytest.approx(10 / 18, rel=0.05)
    assert (zones[INJECTOR][0].slurry_mm > zones[CULTIVATOR][0].slurry_mm).all()  # 14 cm deep only
    assert (zones[STRIP][1].slurry_mm == 0).all()
    deep = water(('depth = "22 +/- 1.5 cm"', 'depth = "32 cm"')).systems[STRIP].zones[0].slurry_mm
    assert deep.max() == 0
    assert zones[STRIP][0].slurry_mm.max() > 0


def test_slurry_left_on_the_ground_wets_all_of_it():
    passes = DEMO[DEMO.index("  [[system.pass]]", DEMO.index('name = "cultivator"\nabout')) :]
    cut = passes[passes.index("  [[system.pass]]", 10) : passes.index('[[system]]\nname = "strip"')]
    sown = cut[cut.rindex("  [[system.pass]]") :]
    found = water((cut, sown)).systems[CULTIVATOR]
    np.testing.assert_allclose(found.zones[0].slurry_mm, 30 / 1.02 / 10 * (1 - 0.072), rtol=0.02)
    # nothing was loosened either
    np.testing.assert_array_equal(found.zones[0].capacity_share, water().systems[STRIP].zones[1].capacity_share)


def test_all_systems_share_their_draws():
    plough, injector = (water().systems[s].zones[0] for s in (PLOUGH, INJECTOR))
    np.testing.assert_array_equal(plough.layer_m, injector.layer_m)
    np.testing.assert_array_equal(plough.start_mm, injector.start_mm)
    assert (water().difference_mm(PLOUGH, PLOUGH, "linear") == 0).all()


def test_one_draw_takes_the_middle():
    found = water(draws=1)
    row = load("soil_evaporation")["loam"]
    between = found.systems[STRIP].zones[1]
    assert between.capacity_share.tolist() == [row.entry("field_capacity").value]
    assert between.layer_m.tolist() == [0.1]
    assert between.start_mm[0] == pytest.approx(1000 * 0.1 * (0.25 - 0.22))
    assert found.seed_moisture(STRIP).shape == (1, 28)


@pytest.mark.parametrize("texture", sorted(TEXTURES))
def test_every_texture_has_a_store_that_can_dry(texture):
    found = estimate(plan_of(('texture = "loam"', f'texture = "{texture}"')), draws=40)
    soil = top_soil(found, np.arange(40))
    assert (soil.readily_mm < soil.evaporable_mm).all()
    assert (soil.wilting_share < soil.capacity_share).all()
    row = water_row(found.read)
    # light and heavy end together give about the printed range of the store for 10 cm
    ten = soil.evaporable_mm * 0.1 / soil.layer_m
    entry = row.entry("evaporable_mm")
    assert entry.low - 2 < ten.min() < ten.max() < entry.high + 2
    stood_in = any("is not in the table of soil water" in note for note in surface_water(found).notes)
    assert stood_in == (texture in {"sandy clay loam", "clay loam", "sandy clay"})


def test_wetter_than_field_capacity_and_drier_than_air_dry_are_said():
    wet = water(('moisture = "22 +/- 3 %"', 'moisture = "32 %"'))
    assert all((zone.start_mm == 0).all() for one in wet.systems for zone in one.zones)
    assert "in 100 % of draws the moisture of the plan lies above field capacity" in said(wet)
    dry = water(('moisture = "22 +/- 3 %"', 'moisture = "2 %"'))
    assert "in 100 % of draws the moisture of the plan is less than air can dry the layer to" in said(dry)
    assert dry.systems[PLOUGH].total_mm("linear").max() == 0


def test_half_gone_comes_with_the_days():
    zone = water().systems[PLOUGH].zones[0]
    day = zone.half_gone_day("linear")
    lacks = zone.dried["linear"].depletion_mm / zone.evaporable_mm[:, None]
    for draw, at in enumerate(day.astype(int)):
        assert lacks[draw, at - 1] >= 0.5
        assert at == 1 or lacks[draw, at - 2] < 0.5


# What weather it gets -------------------------------------------------------------------------------------------------


def test_days_of_another_year_stand_in_and_no_rain_is_said():
    found = water()
    assert (found.first, found.days, found.has_rain) == (dt.date(2013, 4, 17), 28, False)
    assert found.rain_mm.sum() == 0
    assert "14 of 28 days stand in the weather file under another year only" in said(found)
    assert "no rain in the weather" in said(found)


def test_rain_comes_from_a_file_of_its_own(tmp_path):
    write_springs(tmp_path, range(2013, 2014), rain=None)
    begin = dt.datetime(2013, 2, 1)
    lines = ["time,rain_mm"] + [
        f"{begin + dt.timedelta(hours=hour):%Y-%m-%dT%H:%M}+02:00,{0.5 if hour % 48 == 9 else 0}"
        for hour in range(24 * 140)
    ]
    (tmp_path / "rain.csv").write_text("\n".join(lines) + "\n")
    read = demo_on(tmp_path, ("[prices]", '[weather.rain]\nfile = "rain.csv"\n\n[prices]'))
    found = surface_water(estimate(read, draws=20))
    assert found.has_rain
    assert found.rain_mm.sum() == pytest.approx(14 * 0.5)
    assert "rain from rain.csv" in found.came_from


def test_a_missing_hour_of_rain_is_a_fault(tmp_path):
    write_springs(tmp_path, range(2013, 2014))
    text = (tmp_path / "springs.csv").read_text().split("\n")
    at = next(i for i, line in enumerate(text) if line.startswith("2013-05-02T07"))
    text[at] = text[at].rpartition(",")[0] + ","
    (tmp_path / "springs.csv").write_text("\n".join(text))
    found = estimate(demo_on(tmp_path), draws=20)
    with pytest.raises(PlanFaults, match=r"rain is missing in 1 of 672 hours, the first 2013-05-02 from \d\d:00"):
        surface_water(found)


def test_the_weather_ends_early(tmp_path):
    lines = spring_lines(range(2013, 2014), first=(4, 10), last=(4, 26))
    (tmp_path / "springs.csv").write_text("\n".join(lines) + "\n")
    found = surface_water(estimate(demo_on(tmp_path), draws=20))
    assert found.days == 10
    assert "lacks 2013-04-27: the ground is followed for 10 days only" in said(found)
    lines = spring_lines(range(2013, 2014), first=(4, 10), last=(4, 22))
    (tmp_path / "springs.csv").write_text("\n".join(lines) + "\n")
    with pytest.raises(PlanFaults, match="lacks the day 2013-04-23 in every year"):
        surface_water(estimate(demo_on(tmp_path), draws=20))


def test_missing_hours_within_a_day_are_counted(tmp_path):
    lines = spring_lines(range(2013, 2014))
    lines = [line for line in lines if not line.startswith(("2013-05-01T03", "2013-05-01T04"))]
    (tmp_path / "springs.csv").write_text("\n".join(lines) + "\n")
    read = demo_on(tmp_path)
    days = day_hours(read)
    assert days.filled_h.sum() == 2
    assert np.isnan(days.rain_mm).sum() == 2
    at = days.places()[dt.date(2013, 5, 1)]
    np.testing.assert_allclose(
        days.air_degc[at, 3] - days.air_degc[at, 2], np.diff(days.air_degc[at, 2:6]).mean(), rtol=1e-9
    )
    found = reference_days(read, days, np.array([at]))
    assert any("2 h of these days were missing" in note for note in found.notes)


def test_a_day_with_too_few_hours_is_no_day(tmp_path):
    lines = [line for line in spring_lines(range(2013, 2014)) if not line.startswith("2013-05-01T0")]
    (tmp_path / "springs.csv").write_text("\n".join(lines) + "\n")
    days = day_hours(demo_on(tmp_path))
    assert dt.date(2013, 5, 1) not in days.dates
    rows, other = days.rows_of([dt.date(2013, 5, 1), dt.date(2014, 5, 2)], other_years=True)
    assert rows[0] == -1
    assert days.dates[rows[1]] == dt.date(2013, 5, 2)
    assert other.tolist() == [False, True]


def test_leap_days_have_the_day_before_them(tmp_path):
    write_springs(tmp_path, range(2013, 2014))
    rows, other = day_hours(demo_on(tmp_path)).rows_of([dt.date(2016, 2, 29), dt.date(2016, 7, 29)], other_years=True)
    assert rows[0] >= 0
    assert other[0]
    assert rows[1] == -1


def test_without_light_or_moisture_the_days_have_stand_ins(tmp_path):
    for columns, words in ((4, "no light was measured"), (3, "the lowest temperature was taken as dew point")):
        lines = [",".join(line.split(",")[:columns]) for line in spring_lines(range(2013, 2014))]
        (tmp_path / "springs.csv").write_text("\n".join(lines) + "\n")
        read = demo_on(tmp_path)
        days = day_hours(read)
        found = reference_days(read, days, np.arange(40, 80))
        assert any(words in note for note in found.notes)
        assert not found.by_hours.any()
        assert 0.3 < found.et_mm.mean() < 6


def test_what_the_drying_cannot_do_without():
    typical = ('file = "weather.csv"\n', 'air_temperature = "12 degC"\nwind = "3 m/s"\n')
    start = "start = 2013-04-17T09:00:00+02:00   # a day of the typical year in the file\nhours = 10\n"
    found = estimate(plan_of(typical, (start, "")), draws=10)
    with pytest.raises(PlanFaults, match="needs a weather file"):
        surface_water(found)
    no_place = estimate(plan_of(("latitude = 45.0 ", "# ")), draws=10)
    with pytest.raises(PlanFaults, match="say the latitude"):
        surface_water(no_place)
    for days in (6, 121):
        with pytest.raises(PlanFaults, match="7 to 120 will do"):
            surface_water(no_place, days=days)
    with pytest.raises(PlanFaults, match="check the year"):
        surface_water(no_place, start=dt.date(9999, 12, 20))


def test_sea_level_is_said():
    found = water(('altitude = "250 m"\n', ""))
    assert "no altitude in the plan: counted as sea level" in said(found)
    assert found.et_mm.sum() != water().et_mm.sum()


def test_another_start_and_more_days():
    found = surface_water(estimate(plan_of(), draws=10), start=dt.date(2013, 5, 1), days=40)
    assert (found.first, found.days) == (dt.date(2013, 5, 1), 40)
    assert found.et_mm.mean() > water().et_mm.mean()


def test_no_slurry_no_slurry_water():
    start = DEMO.index('name = "strip"\nabout')
    cut = DEMO[
        DEMO.index('  places = ["slurry"]', start) : DEMO.index("  [[system.pass]]\n", DEMO.index("visible_slurry"))
    ]
    text = DEMO.replace(cut, "").replace('["tanker, 16 m3", "strip tiller, 8 rows"]', '["strip tiller, 8 rows"]')
    found = surface_water(estimate(read_text(text, "plan.toml", FOLDER), draws=10))
    assert all((zone.slurry_mm == 0).all() for zone in found.systems[STRIP].zones)
    assert len(found.systems[STRIP].zones) == 2
