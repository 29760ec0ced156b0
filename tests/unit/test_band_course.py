"""The weeks after banding: what goes in, what comes out, what is said and drawn.  Farm and figures are invented."""

from __future__ import annotations

import datetime as dt
import json
import xml.etree.ElementTree as ET
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import Estimate, estimate
from spadework.estimate.band import course as band_course
from spadework.estimate.band.answers import (
    LEVELS,
    WAITS,
    earliest_wait,
    edge_moved,
    roots_of,
    share_below,
    shares_by_wait,
    smallest_gap,
    what_decides,
    worst_after,
)
from spadework.estimate.band.course import BandCourse, follow, follow_band, limits_of
from spadework.estimate.band.cut import cut_of
from spadework.estimate.band.fate import fate_of, half_by
from spadework.estimate.band.inputs import GROUPS, banded, inputs_of
from spadework.estimate.band.soil import soil_days
from spadework.estimate.seedbed.follow import follow_warmth
from spadework.plan import PlanFaults, read_text
from spadework.plan.weather.days import air_days
from spadework.present.band.strip import STRIP_DAYS, band_strip, outline, strip_words
from spadework.present.band.table import band_json, band_text
from spadework.present.band.weeks_words import Weeks, answers, day_rows, limit_rows, weeks_of
from spadework.present.charts.band import fate_chart, severity_chart, waits_chart
from spadework.present.document.blocks import Drawing, Grid, Text
from spadework.present.report import band_course as report_band_course
from spadework.present.report.band_course import band_course_section
from spadework.present.report.band_page import band_page
from spadework.reference import constants

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
FILE = 'file = "weather.csv"\nstart = 2013-04-17T09:00:00+02:00   # a day of the typical year in the file\nhours = 10'
TYPICAL = 'air_temperature = "14 degC"\nwind = "3 m/s"'
STRONG = {
    'total_n = "3.6 +/- 0.3 kg N/t"': 'total_n = "8 +/- 0.3 kg N/t"',
    'ammoniacal_n = "1.9 +/- 0.2 kg NH4-N/t"': 'ammoniacal_n = "6.5 +/- 0.4 kg NH4-N/t"',
    "ph = 7.4": "ph = 8.2",
    'depth = "22 +/- 1.5 cm"': 'depth = "16 +/- 1.5 cm"',
}
STRIP = 2


def made(changes: dict[str, str] | None = None, draws: int = 60) -> Estimate:
    text = DEMO
    for old, new in (changes or {}).items():
        assert old in text, old
        text = text.replace(old, new)
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws)


@pytest.fixture(scope="module")
def known() -> Estimate:
    return made()


@pytest.fixture(scope="module")
def course(known: Estimate) -> BandCourse:
    (found,) = follow_band(known)
    return found


@pytest.fixture(scope="module")
def strong() -> Weeks:
    found = made(STRONG)
    (course,) = follow_band(found)
    return weeks_of(found, course)


def test_only_the_strip_is_banded(known: Estimate, course: BandCourse) -> None:
    assert banded(known) == (STRIP,)
    assert course.system == STRIP
    assert (course.days, course.horizon, course.inputs.draws) == (60, 70, 60)
    assert course.nitrogen_share.shape == course.salt_share.shape == (60, 71, len(course.depth_cm))
    assert course.left_share.shape == course.ph.shape == course.temperature_degc.shape == (60, 71)


def test_the_first_day_is_the_fresh_band(course: BandCourse, known: Estimate) -> None:
    centre = course.inputs.top_cm + course.inputs.half_height_cm
    inside = course.inputs.offset_cm < 0.8 * course.inputs.half_width_cm
    found = course.at_depth(centre, course.seed)
    fresh = known.values("band_n", STRIP)
    np.testing.assert_allclose(found.nitrogen_mg_kg[inside, 0], fresh[inside], rtol=1e-3)
    assert (course.left_share[:, 0] == 1).all()


def test_gap_is_that_of_single_seeds_on_the_sheet(known: Estimate, course: BandCourse) -> None:
    np.testing.assert_allclose(course.inputs.gap_cm, known.values("seed_gap", STRIP), atol=1e-9)
    np.testing.assert_allclose(course.inputs.offset_cm, np.abs(known.values("seed_offset", STRIP)))


def test_another_gap_moves_the_band(known: Estimate, course: BandCourse) -> None:
    inputs = inputs_of(known, STRIP, 60, 0.0, 2.0)
    assert np.median(inputs.gap_cm) == pytest.approx(2.0)
    (near,) = follow_band(known, gap_cm=2.0)
    assert (near.at_seed().severity.max(axis=1) >= course.at_seed().severity.max(axis=1) - 1e-9).all()
    read_off = np.median(course.at_seed(2.0).severity[:, 28])
    assert read_off == pytest.approx(np.median(near.at_seed().severity[:, 28]), rel=0.05)


def test_same_seed_same_numbers(course: BandCourse) -> None:
    (again,) = follow_band(made())
    np.testing.assert_array_equal(again.at_seed().severity, course.at_seed().severity)


def test_fewer_draws_and_one_draw(known: Estimate) -> None:
    (few,) = follow_band(known, draws=7)
    assert few.inputs.draws == 7
    assert any("7 of the 60 draws" in note for note in few.notes)
    single = made(draws=1)
    (one,) = follow_band(single)
    assert one.inputs.draws == 1
    assert weeks_of(single, one).decides == ()


def test_middle_takes_away_what_varies(course: BandCourse) -> None:
    middle = course.inputs.middle()
    for group in GROUPS.values():
        for name in group:
            assert np.ptp(getattr(middle, name)) == 0
    some = course.inputs.middle("depth scatter")
    assert np.ptp(some.top_cm) == 0
    assert np.ptp(some.kd) > 0


def test_months_of_other_years_stand_in(known: Estimate, course: BandCourse) -> None:
    found = air_days(known.read, dt.date(2013, 4, 28), 5)
    assert found.other_year.tolist() == [False, False, False, True, True]
    assert not np.isnan(found.mean_degc).any()
    assert any("57 of 75 days" in note for note in soil_days(known, 71).notes)
    assert any("62 of 92 days" in note for note in course.notes)  # 21 days before, in which the soil finds its warmth
    assert np.isnan(air_days(known.read, dt.date(2013, 1, 5), 2).mean_degc).all()
    march = air_days(known.read, dt.date(2012, 2, 28), 3)
    assert np.isnan(march.mean_degc).tolist() == [True, True, False]


def test_where_the_warmth_comes_from(known: Estimate) -> None:
    assert soil_days(known, 10).came_from.startswith("air of weather.csv")
    own = made({'wait = "5 day"': 'wait = "5 day"\nsoil_temperature = "11 +/- 1 degC"'})
    said = soil_days(own, 10)
    assert (said.mean_degc == 11).all()
    assert said.sd_degc == pytest.approx(own.plan.band.soil_temperature.sd)  # type: ignore[union-attr]
    typical = soil_days(made({FILE: TYPICAL}), 10)
    assert "neither the plan nor a weather file" in typical.notes[0]
    assert typical.first is None
    with pytest.raises(PlanFaults, match="holds no day from 2013-09-01"):
        soil_days(known, 10, dt.date(2013, 9, 1))
    late = soil_days(known, 60, dt.date(2013, 6, 1))
    assert any("no air temperature for 30 of 64 days" in note for note in late.notes)


def test_warmth_in_the_row_is_that_of_the_seedbed(known: Estimate) -> None:
    found = soil_days(known, 10, None, STRIP)
    assert found.came_from.startswith("worked out at seed and band in the row from weather.csv")
    assert soil_days(known, 10, None, STRIP) is found
    depths = [float(np.median(known.values(name, STRIP))) for name in ("seed_depth", "band_centre")]
    hourly = follow_warmth(known, days=10, draws=60, systems=(STRIP,), depth_cm=depths)
    by_day = hourly.of(STRIP).seed_zone.degc.reshape(60, 10, -1).mean(axis=(0, 2))
    np.testing.assert_allclose(found.mean_degc, by_day, atol=0.25)  # another number of draws, other steps
    assert found.sd_degc > constants("band_weeks").soil_sd


def test_without_latitude_or_days_the_air_stands_in() -> None:
    somewhere = made({"latitude = 45.0": "# latitude = 45.0"})
    found = soil_days(somewhere, 10, None, STRIP)
    assert found.came_from.startswith("air of weather.csv")
    assert "say the latitude" in found.notes[0]
    np.testing.assert_array_equal(found.mean_degc, soil_days(somewhere, 10).mean_degc)
    late = soil_days(made(), 60, dt.date(2013, 6, 1), STRIP)
    assert late.came_from.startswith("air of weather.csv")
    assert "lacks 30 of 60 days" in late.notes[0]


def test_smoothing_is_a_mean_of_the_days_before(known: Estimate) -> None:
    air = air_days(known.read, dt.date(2013, 4, 13), 7).mean_degc
    np.testing.assert_allclose(soil_days(known, 3).mean_degc, [air[:5].mean(), air[1:6].mean(), air[2:7].mean()])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"days": 0}, "1 to 300"),
        ({"days": 301}, "1 to 300"),
        ({"gap_cm": -1.0}, "0 to 40"),
        ({"wait": 121}, "0 to 120"),
    ],
)
def test_what_cannot_be_followed(known: Estimate, words: dict[str, float], said: str) -> None:
    with pytest.raises(PlanFaults, match=said):
        follow_band(known, **words)  # type: ignore[arg-type]


def test_a_long_wait_lengthens_what_is_reckoned(known: Estimate) -> None:
    (found,) = follow_band(known, wait=60, draws=5)
    assert (found.horizon, found.wait_days) == (88, 60)
    weeks = weeks_of(known, found)
    assert "60 d after the slurry" in dict(answers(weeks))["Sown as planned"]


def test_wait_of_the_plan_or_the_usual(known: Estimate, course: BandCourse) -> None:
    assert course.wait_days == 5
    bare = made({'wait = "5 day"': ""})
    weeks = weeks_of(bare, follow_band(bare, draws=5)[0])
    assert (weeks.wait, weeks.stated) == (5, False)
    assert "gives no wait" in answers(weeks)[0][1]


def test_answers_agree_with_the_draws(strong: Weeks) -> None:
    course = strong.course
    shares = shares_by_wait(course)
    assert shares.shape == (len(WAITS), 3)
    worst = worst_after(course, 5)
    assert shares[5].tolist() == [np.mean(worst < 0.5), np.mean((worst >= 0.5) & (worst <= 1)), np.mean(worst > 1)]
    for level in LEVELS:
        wait = earliest_wait(course, 0.8, level)
        good = share_below(shares, level) >= 0.8 - 1e-9
        if wait is None:
            assert not good[-1]
        else:
            assert good[wait:].all()
            assert wait == 0 or not good[wait - 1]
        gap = smallest_gap(course, 5, 0.8, level)
        if gap:
            for at, fine in ((gap, True), (gap - 0.25, False)):
                found = worst_after(course, 5, at)
                below = np.mean(found <= 1) if level == "risk" else np.mean(found < 0.5)
                assert (below >= 0.8 - 1e-9) == fine
    assert shares[0, 2] > 0.1  # strong slurry, shallow: not all is well
    assert (smallest_gap(course, 5, 0.8, "watch") or 99) >= (smallest_gap(course, 5, 0.8, "risk") or 0)


def test_what_is_impossible_to_reach(strong: Weeks) -> None:
    assert smallest_gap(strong.course, 0, 1.01, "risk") is None
    assert earliest_wait(strong.course, 1.01, "risk") is None


def test_depth_scatter_decides(strong: Weeks, course: BandCourse) -> None:
    assert what_decides(course, 5)[0].group == "depth scatter"
    assert {one.group for one in strong.decides} == set(GROUPS)
    still = course.inputs.middle()
    assert what_decides(follow(still, course.soil, days=60), 5) == ()


def test_the_line_of_a_quarter(course: BandCourse) -> None:
    assert 0.2 < edge_moved(course) < 1.5
    assert edge_moved(course, 7) < edge_moved(course)


def test_roots(course: BandCourse) -> None:
    roots = roots_of(course, 5)
    assert (roots.arrive_slow_days >= roots.arrive_fast_days).mean() > 0.95
    assert (roots.front_cm[:, 0] == course.inputs.seed_cm).all()
    late = roots_of(course, 30)
    assert np.median(late.arrive_fast_days) < np.median(roots.arrive_fast_days)  # warmer by then


def test_limits_come_from_the_tables() -> None:
    seed, roots = limits_of()
    assert (seed.nitrogen_mg_kg, seed.ammonia_mmol_l, seed.salt_ds_m) == (1000, 0.2, 10)
    assert roots.nitrogen_mg_kg == 1172
    assert {row[3] for row in limit_rows()} == {"read", "memory"}


def test_an_inhibitor_of_the_plan_counts(known: Estimate, course: BandCourse) -> None:
    (kept,) = follow_band(made({"inhibitor = false": "inhibitor = true"}))
    assert (kept.left_share[:, 1:] > course.left_share[:, 1:]).all()


def test_a_band_wider_than_the_row_is_told(
    known: Estimate, course: BandCourse, monkeypatch: pytest.MonkeyPatch
) -> None:
    wide = replace(course.inputs, half_width_cm=np.full(60, 40.0))
    monkeypatch.setattr(band_course, "inputs_of", lambda *_: wide)
    with pytest.raises(PlanFaults, match="strip cannot be followed: `half_width_cm` is 40"):
        follow_band(known)


def test_words_and_text(known: Estimate, course: BandCourse, strong: Weeks) -> None:
    for weeks in (weeks_of(known, course), strong):
        text = band_text(known, [weeks])
        assert all(len(line) <= 100 and line == line.rstrip() for line in text.splitlines())
        assert text.isascii()
        plain = " ".join(text.split())
        for words in ("INVENTED", "nothing measured", "No promise", "[memory]", "What decides", "Dig before sowing"):
            assert words in plain
        assert len(day_rows(weeks)) == 6
    data = json.loads(band_json(known, [strong]))
    assert data["standing"] == "estimated"
    (system,) = data["systems"]
    assert len(system["days"]) == 61
    assert len(system["by_wait"]) == len(WAITS)
    assert sum(system["by_wait"][0][word] for word in ("clear", "watch", "risk")) == pytest.approx(1)


def test_page_and_section(known: Estimate, strong: Weeks) -> None:
    text = band_page(known, [strong])
    assert text == band_page(known, [strong])
    assert "<script" not in text
    assert 'href="http' not in text
    section = band_course_section(known)
    assert section is not None
    assert section.title == "What does it do to the seed?"
    kinds = [type(block) for block in section.blocks]
    assert kinds.count(Grid) == 2
    assert kinds.count(Drawing) == 3  # no chart of waits where every draw is clear after every wait
    for block in section.blocks:
        if isinstance(block, Drawing):
            assert len(block.alt) > 40
            ET.fromstring(block.svg)  # noqa: S314 (our own drawing)


def test_no_band_no_section(known: Estimate) -> None:
    start = DEMO.index('[[system]]\nname = "strip"')
    text = DEMO[:start] + DEMO[DEMO.index("[[system]]", start + 5) :]
    bare = estimate(read_text(text, "plan.toml", FOLDER), draws=2)
    assert follow_band(bare) == ()
    assert band_course_section(bare) is None


def test_a_section_says_why_there_is_none(known: Estimate, monkeypatch: pytest.MonkeyPatch) -> None:
    def stops(*_: object) -> None:
        raise PlanFaults([known.read.fault("no day is known", "weather")], "plan.toml")

    monkeypatch.setattr(report_band_course, "follow_band", stops)
    section = band_course_section(known)
    assert section is not None
    assert [block.text for block in section.blocks if isinstance(block, Text)] == ["No day is known."]


def test_strip(strong: Weeks) -> None:
    cut = cut_of(strong.course, STRIP_DAYS)
    svg = band_strip(cut, title="a < b & c")
    root = ET.fromstring(svg)  # noqa: S314 (our own drawing)
    assert root.get("width") == "800"
    words = strip_words(cut)
    assert all(f"Day {day}:" in words for day in STRIP_DAYS)
    assert "risk up to" in words
    assert ">risk<" in svg


def test_outline_of_an_ellipse() -> None:
    depth, across = 0.25 + 0.5 * np.arange(80), 0.25 + 0.5 * np.arange(60)
    values = 2 - np.hypot(across / 6, (depth[:, None] - 20) / 4)
    (points,) = outline(depth, across, values, 1.0)
    assert points[0][0] == pytest.approx(16, abs=0.05)
    assert points[-1][0] == pytest.approx(24, abs=0.05)
    for z, x in points[2:-2]:
        assert np.hypot(x / 6, (z - 20) / 4) == pytest.approx(1, abs=0.02)
    assert outline(depth, across, values, 5.0) == []
    (everywhere,) = outline(depth, across, np.ones_like(values), 0.5)
    assert {wide for _, wide in everywhere} == {30.0}


def test_charts_refuse_what_they_cannot_show() -> None:
    points = [(0.0, 0.1, 0.05, 0.2), (1.0, 0.2, 0.1, 0.4)]
    assert severity_chart([("seed", points)], 0, title="t")["description"].startswith("t. estimated")
    with pytest.raises(ValueError, match="no curves"):
        severity_chart([], 0, title="t")
    with pytest.raises(ValueError, match="too many"):
        severity_chart([("a", points)] * 3, 0, title="t")
    with pytest.raises(ValueError, match="not finite"):
        severity_chart([("a", [(0.0, np.nan, 0.0, 1.0)])], 0, title="t")
    with pytest.raises(ValueError, match="fewer than two"):
        waits_chart([(0, 1.0, 0.0, 0.0)], 0.8, title="t")
    with pytest.raises(ValueError, match="add up"):
        waits_chart([(0, 1.0, 0.5, 0.0), (1, 1.0, 0.0, 0.0)], 0.8, title="t")


def test_nitrogen_of_the_band_is_ammonium_nitrate_or_lost(known: Estimate, course: BandCourse) -> None:
    fate = fate_of(known, course)
    whole = fate.lost_kg_ha[:, None] + fate.ammonium_kg_ha + fate.nitrate_kg_ha
    np.testing.assert_allclose(whole, np.broadcast_to(fate.slurry_kg_ha[:, None], whole.shape))
    assert (fate.nitrate_kg_ha[:, 0] == 0).all()
    assert (np.diff(fate.nitrate_kg_ha) >= 0).all()
    assert np.median(fate.slurry_kg_ha) == pytest.approx(known.spread("ammoniacal_n_spread", STRIP).mid, rel=0.1)
    half = half_by(course)
    for draw in np.flatnonzero(np.isfinite(half))[:5]:
        day = int(half[draw])
        assert course.left_share[draw, day] <= 0.5 < course.left_share[draw, day - 1]


def test_the_cut_holds_all_nitrogen_as_ammonium_or_nitrate(course: BandCourse) -> None:
    cut = cut_of(course, (0, 14, 42))
    fresh = cut.nitrogen_share[0].sum()
    np.testing.assert_allclose((cut.nitrogen_share + cut.nitrate_share).sum(axis=(1, 2)), fresh, rtol=1e-6)
    assert cut.nitrate_share[0].max() == 0
    assert cut.nitrate_share[2].max() > cut.nitrate_share[1].max() > 0.05
    reach = [
        np.count_nonzero(share[:, 0] > 0.02 * share.max()) for share in (cut.nitrogen_share[2], cut.nitrate_share[2])
    ]
    assert reach[1] > reach[0]  # nothing holds nitrate, so it gets further


def test_where_the_nitrogen_has_gone_is_told_and_drawn(strong: Weeks) -> None:
    said = dict(answers(strong))["The nitrogen"]
    for words in ("kg/ha ammoniacal N in the slurry", "have become nitrate", "Half is nitrate by day", "not reckoned"):
        assert words in said
    cut = cut_of(strong.course, (0, 42))
    assert "nitrate over a tenth of it up to" in strip_words(cut)
    svg = band_strip(cut, title="t")
    assert "nitrate, no rain reckoned" in svg
    rows = [(0.0, 50.0, 0.0, 2.0), (10.0, 40.0, 10.0, 2.0)]
    assert "lost: 2" in json.dumps(fate_chart(rows, 5, title="t"))
    with pytest.raises(ValueError, match="fewer than two"):
        fate_chart(rows[:1], 5, title="t")
    with pytest.raises(ValueError, match="below nil"):
        fate_chart([(0.0, -1.0, 0.0, 2.0), rows[1]], 5, title="t")
