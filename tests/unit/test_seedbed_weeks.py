"""Warmth and emergence of every system: what goes in, what comes out, how it is told.  Farm and figures are invented."""

from __future__ import annotations

import datetime as dt
import xml.etree.ElementTree as ET
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import Estimate, estimate
from spadework.estimate.seedbed.answers import (
    MOMENTS,
    cold_slurry,
    day_cut,
    ends_of_strip,
    figures_of,
    first_sowable,
)
from spadework.estimate.seedbed.emergence import AIR_RULES, SHARES, SOIL_RULES, _at, _mixed, emerge, sowing_day
from spadework.estimate.seedbed.follow import depth_nodes, follow_warmth, seed_depths, strip_cut
from spadework.estimate.seedbed.hours import soil_hours
from spadework.estimate.seedbed.warmth import SoilWarmth, SystemWarmth, ZoneWarmth
from spadework.plan import PlanFaults, read_text
from spadework.present.charts.seedbed import DayLine, DayPanel, days_chart, emergence_chart
from spadework.present.document.blocks import Drawing, Grid, Text
from spadework.present.report.seedbed import seedbed_blocks, seedbed_section
from spadework.present.report.seedbed_page import seedbed_page
from spadework.present.seedbed.cut import cut_words, warm_cut
from spadework.present.seedbed.table import seedbed_csv, seedbed_text
from spadework.present.seedbed.words import Seedbed, date_words, dry_words, leaned_rows, seedbed_of
from spadework.reference import constants
from spadework.science.seedbed.heat.conduction import conduct_from_surface
from spadework.science.seedbed.heat.strip import strip_weight
from spadework.science.seedbed.heat.waves import damping_depth

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
FILE = 'file = "weather.csv"\nstart = 2013-04-17T09:00:00+02:00   # a day of the typical year in the file\nhours = 10'
TYPICAL = 'air_temperature = "14 degC"\nwind = "3 m/s"'
PLOUGH, CULTIVATOR, STRIP, INJECTOR = range(4)
FIRST = dt.date(2013, 4, 17)


def made(changes: dict[str, str] | None = None, draws: int = 40, folder: Path = FOLDER) -> Estimate:
    text = DEMO
    for old, new in (changes or {}).items():
        assert old in text, old
        text = text.replace(old, new)
    return estimate(read_text(text, "plan.toml", folder), draws=draws)


@pytest.fixture(scope="module")
def known() -> Estimate:
    return made()


@pytest.fixture(scope="module")
def found(known: Estimate) -> Seedbed:
    return seedbed_of(known, days=30)


@pytest.fixture(scope="module")
def warmth(found: Seedbed) -> SoilWarmth:
    return found.warmth


def test_every_system_has_its_zones(warmth: SoilWarmth) -> None:
    assert [[zone.name for zone in one.zones] for one in warmth.systems] == [
        ["whole"], ["whole"], ["strip", "between"], ["whole"],
    ]  # fmt: skip
    rows = [(zone.system, zone.row, zone.loose_cm) for zone in warmth.run.zones]
    assert rows == [
        (0, "ploughed", 23), (1, "cultivated", 18), (2, "bare_strip", 22), (2, "between_rows", 22), (3, "cultivated", 14),
    ]  # fmt: skip
    for one in warmth.systems:
        for zone in one.zones:
            assert zone.degc.shape == (40, 30 * 24, 3)
            assert zone.surface_degc.shape == (40, 30 * 24)
            assert zone.came_from == "weather"


def test_loosened_soil_conducts_less_and_only_down_to_its_depth(warmth: SoilWarmth) -> None:
    run = warmth.run
    middle = (run.edges_cm[1:] + run.edges_cm[:-1]) / 2
    for place, zone in enumerate(run.zones):
        shallow = run.conductivity_w_m_k[place][:, 0, middle < zone.loose_cm]
        deep = run.conductivity_w_m_k[place][:, 0, middle > zone.loose_cm]
        assert (shallow.max(axis=1) < deep.min(axis=1)).all()
    np.testing.assert_array_equal(run.conductivity_w_m_k[2], run.conductivity_w_m_k[3])  # strip and between alike


def test_all_start_alike_and_the_day_range_narrows_downward(warmth: SoilWarmth) -> None:
    assert warmth.run.start_degc.shape[0] == 40
    for one in warmth.systems:
        for zone in one.zones:
            ranges = np.ptp(zone.degc.reshape(40, 30, 24, 3), axis=2).mean(axis=(0, 1))
            assert (np.diff(ranges) < 0).all()
    firsts = [one.seed_zone.degc[:, 0].mean() for one in warmth.systems]
    assert np.ptp(firsts) < 0.5


def test_the_cut_keeps_what_the_exact_share_says(known: Estimate) -> None:
    # the mean over the width of the strip in the cut, against whole fields of strip and of ground between
    warmth = follow_warmth(known, days=40, draws=3, systems=(STRIP,), depth_cm=(5.0, 10.0))
    run, hours = warmth.run, 40 * 24
    alone = run.course.degc[:, :, 1:]
    late = slice(hours - 10 * 24, hours)
    width, spacing = 0.25, 0.75
    cut = strip_cut(known, run, STRIP, np.zeros(2), np.array([5.0, 10.0]))
    turn = np.exp(-2j * np.pi * np.arange(240) / 24)
    for place, depth in enumerate((5.0, 10.0)):
        whole = (alone[0] - alone[1])[:, late, place]
        narrow = cut.strip_degc[:, 1:][:, late, place]
        damping = float(damping_depth(run.conductivity_w_m_k[0].mean(), run.heat_j_m3_k[0].mean()))
        ratio = np.abs(narrow @ turn) / np.abs(whole @ turn)
        np.testing.assert_allclose(ratio, strip_weight(depth, width, spacing, damping), rtol=0.03)
        mean = strip_weight(depth, width, spacing, 1e8)
        np.testing.assert_allclose(narrow.mean(axis=1) / whole.mean(axis=1), mean, rtol=0.12)  # weeks are not for ever


def test_alike_surfaces_make_no_strip(known: Estimate) -> None:
    run = follow_warmth(known, days=8, draws=2, systems=(STRIP,)).run
    same = replace(run.course, surface_degc=np.stack([run.course.surface_degc[0]] * 2))
    added = strip_cut(known, replace(run, course=same), STRIP, np.array([0.0]), np.array([5.0]))
    assert not added.degc.any()


def test_what_the_strip_gains_the_ground_between_does_not_lose_twice(known: Estimate) -> None:
    # whole fields of both, weighted by area, hold at every depth what strip and ground between hold together
    warmth = follow_warmth(known, days=10, draws=3, systems=(STRIP,))
    run, share = warmth.run, 0.25 / 0.75
    added = strip_cut(known, run, STRIP, np.zeros(1), np.array([5.0]))
    alone = conduct_from_surface(
        [0.0], np.concatenate([(surface := run.course.surface_degc[0] - run.course.surface_degc[1])[:, :1], surface], axis=1),
        run.conductivity_w_m_k[0], run.heat_j_m3_k[0], run.edges_cm, [5.0], spell_steps=24,
    ).degc  # fmt: skip
    together = share * added.strip_degc + (1 - share) * added.between_degc
    np.testing.assert_allclose(together, share * alone, atol=2e-3)  # sixteen cosines across


def test_same_seed_same_numbers_and_fewer_draws(known: Estimate, warmth: SoilWarmth) -> None:
    again = follow_warmth(made(), days=7)
    np.testing.assert_array_equal(again.at_seed(STRIP), follow_warmth(known, days=7).at_seed(STRIP))
    np.testing.assert_allclose(again.at_seed(STRIP)[:, :100], warmth.at_seed(STRIP)[:, :100], atol=1e-6)
    few = follow_warmth(known, days=7, draws=5)
    assert few.draws == 5
    assert any("5 of the 40 draws" in note for note in few.notes)
    one = follow_warmth(made(draws=1), days=7)
    assert one.draws == 1


def test_longer_steps_keep_the_means(known: Estimate, warmth: SoilWarmth) -> None:
    coarse = follow_warmth(known, days=30, step_h=3)
    for system in range(4):
        mean = figures_of(warmth, system).mean_degc
        other = coarse.at_seed(system)[:, : 28 * 8].mean(axis=1)
        np.testing.assert_allclose(other, mean, atol=0.2)


def test_strip_has_the_wider_day(known: Estimate, warmth: SoilWarmth) -> None:
    strip, between = (figures_of(warmth, STRIP, zone) for zone in ("strip", "between"))
    assert (strip.range_k > between.range_k).all()
    ends = ends_of_strip(known, warmth, STRIP)
    mean = strip.mean_degc - between.mean_degc
    assert ends.mean_low_k < mean.min() < mean.max() < ends.mean_high_k
    assert ends.mean_low_k < 0 < ends.mean_high_k
    assert 0 < ends.ratio_low < ends.ratio_high < 1.05


def with_hours(warmth: SoilWarmth, hourly: np.ndarray) -> SoilWarmth:
    degc = np.broadcast_to(hourly[:, np.newaxis], (len(hourly), 3))[np.newaxis]
    zone = ZoneWarmth("whole", degc, hourly[np.newaxis], "weather")
    return replace(warmth, days=len(hourly) // 24, draws=1, systems=(SystemWarmth(0, (zone,)),))


def test_figures_of_days_made_by_hand(warmth: SoilWarmth) -> None:
    hour = np.arange(24)
    cold, warm = np.where(hour == 7, 7.9, 9.0), np.where(hour == 7, 8.0, 11.0)
    by_hand = with_hours(warmth, np.concatenate([warm, cold, warm, warm, warm, warm]))
    found = figures_of(by_hand, 0)
    assert found.mean_degc[0] == pytest.approx((5 * (23 * 11 + 8) + 23 * 9 + 7.9) / 144)
    assert found.range_k[0] == pytest.approx((5 * 3 + 1.1) / 6)
    assert found.hours_above_cool[0] == 6 * 24 - 1
    assert found.hours_above_warm[0] == 5 * 23
    # the hour that ends at 8: cold on the second day, so the third of three mornings in a row is the fifth day
    assert first_sowable(by_hand, 0, 8.0)[0] == 4
    assert np.isinf(first_sowable(by_hand, 0, 10.0)[0])
    assert np.isinf(first_sowable(with_hours(warmth, warm), 0, 8.0)[0])  # too few days


def test_depths_stand_for_all_seeds(known: Estimate) -> None:
    nodes, weights = depth_nodes(known)
    middle, sd = seed_depths(known)
    assert middle == 5
    assert (weights * nodes).sum() == pytest.approx(middle)
    assert np.sqrt((weights * (nodes - middle) ** 2).sum()) == pytest.approx(sd)
    exact = made({'seed_depth = "5 +/- 0.8 cm"': 'seed_depth = "1.5 cm"'})
    assert seed_depths(exact) == (1.5, constants("band_defaults").seed_depth_sd)
    assert depth_nodes(exact)[0].min() == 1.0
    between = made({'seed_depth = "5 +/- 0.8 cm"': 'seed_depth = "4..6 cm"'})
    assert seed_depths(between)[0] == 5
    assert seed_depths(between)[1] == pytest.approx(2 / np.sqrt(12))


def test_mixture_of_depths_is_that_of_all_seeds() -> None:
    # three groups of seeds with known days: shares of all seeds by counting
    slices = np.stack([np.linspace(a, a + 0.9, 10)[:, np.newaxis] for a in (1.0, 5.0, 9.0)])
    days, share = _mixed(slices, np.array([1 / 6, 2 / 3, 1 / 6]))
    assert _at(days, share, 0.5)[0] == pytest.approx(5.45)
    assert 1.0 < _at(days, share, 0.1)[0] < 1.9
    assert 9.0 < _at(days, share, 0.9)[0] < 9.9
    slices[2] = np.inf
    days, share = _mixed(slices, np.array([1 / 6, 2 / 3, 1 / 6]))
    assert np.isinf(_at(days, share, 0.9)[0])
    assert _at(days, share, 0.5)[0] == pytest.approx(5.45)


def test_emergence_by_every_rule(found: Seedbed) -> None:
    sown = found.emergence
    assert (sown.sown, sown.wait_days) == (FIRST + dt.timedelta(days=5), 5)
    for one in sown.systems:
        assert tuple(one.days) == SOIL_RULES
        for days in one.days.values():
            assert days.shape == (len(SHARES), 40)
            assert (np.diff(days, axis=0) > 0).all()
    assert tuple(sown.air_days) == AIR_RULES
    assert any("no rain in the weather" in note for note in sown.notes)
    assert not sown.water.has_rain  # type: ignore[union-attr]


def test_emergence_goes_with_the_heat_at_the_seed(warmth: SoilWarmth, known: Estimate) -> None:
    days = {system: np.median(emerge(known, warmth).of(system).days["ohio_soil"][1]) for system in (PLOUGH, STRIP)}
    mean = {system: figures_of(warmth, system).mean_degc.mean() for system in (PLOUGH, STRIP)}
    assert (days[STRIP] < days[PLOUGH]) == (mean[STRIP] > mean[PLOUGH])


def test_no_wait_in_the_plan_is_said(warmth: SoilWarmth) -> None:
    plain = made({'wait = "5 day"\n': ""})
    assert sowing_day(plain) == (5, False)
    assert any("says no wait" in note for note in emerge(plain, warmth).notes)


def rainy(folder: Path, every: int) -> Estimate:
    lines = (FOLDER / "weather.csv").read_text("utf-8").splitlines()
    head = next(place for place, line in enumerate(lines) if line.startswith("time,"))
    out = [*lines[:head], lines[head] + ",rain_mm"]
    out += [f"{line},{3.0 if number % every == 0 else 0}" for number, line in enumerate(lines[head + 1 :])]
    (folder / "weather.csv").write_text("\n".join(out) + "\n", "utf-8")
    return made(folder=folder, draws=10)


def test_what_rain_alone_would_do_stands_beside_the_days_of_moist_soil(tmp_path: Path) -> None:
    dry, wet = tmp_path / "dry", tmp_path / "wet"
    dry.mkdir()
    wet.mkdir()
    up, lost = {}, {}
    for name, folder, every in (("dry", dry, 2900), ("wet", wet, 24)):
        one = rainy(folder, every)
        warmth = follow_warmth(one, days=14, draws=10, systems=(PLOUGH,))
        sown = emerge(one, warmth)
        assert sown.water is not None
        assert sown.water.has_rain
        one_system = sown.of(PLOUGH)
        assert np.isfinite(one_system.days["itabari"][1]).all()  # water rises from below: no day is lost to a dry top
        for rule in SOIL_RULES:
            assert (one_system.rain_only_days[rule] >= one_system.days[rule] - 1e-9).all()
        up[name], lost[name] = one_system.rain_only_days["itabari"][1], one_system.too_dry_days
    assert np.isfinite(up["wet"]).all()
    assert np.isinf(up["dry"]).any()
    assert (up["dry"] >= up["wet"]).all()
    assert (lost["dry"] >= lost["wet"]).all()
    assert lost["dry"].max() <= 14 - 5


def test_the_worst_case_is_told_where_it_makes_a_difference(tmp_path: Path, found: Seedbed) -> None:
    assert dry_words(made(draws=5), found) == []  # no rain in the weather: nothing is known
    one = rainy(tmp_path, 2900)
    told = seedbed_of(one, days=14)
    said = " ".join(dry_words(one, told))
    assert "If nothing but rain wetted the seed zone" in said
    assert "of the first 9 days" in said
    assert all(name in said for name in one.systems)
    assert "If nothing but rain wetted" in " ".join(seedbed_text(one, told).split())
    texts = [block.text for block in seedbed_blocks(one, told) if isinstance(block, Text)]
    assert any("If nothing but rain wetted" in text for text in texts)


def test_without_light_and_moisture_stand_ins_are_named(tmp_path: Path) -> None:
    lines = (FOLDER / "weather.csv").read_text("utf-8").splitlines()
    out = [line if line.startswith("#") else ",".join(line.split(",")[:3]) for line in lines]
    (tmp_path / "weather.csv").write_text("\n".join(out) + "\n", "utf-8")
    bare = made(folder=tmp_path, draws=5)
    warmth = follow_warmth(bare, days=10)
    said = " ".join(warmth.notes)
    assert "no light was measured on 31 of 31 days" in said
    assert "no moisture of the air was measured on 31 of 31 days" in said
    full = follow_warmth(made(draws=5), days=10)
    assert abs(figures_of(warmth, PLOUGH).mean_degc.mean() - figures_of(full, PLOUGH).mean_degc.mean()) < 3


def test_weather_that_does_not_do(known: Estimate) -> None:
    with pytest.raises(PlanFaults, match="needs a weather file"):
        follow_warmth(made({FILE: TYPICAL}))
    with pytest.raises(PlanFaults, match="say the latitude"):
        follow_warmth(made({"latitude = 45.0": ""}))
    with pytest.raises(PlanFaults, match="lacks 39 of 60 days, the first of them 2013-07-01"):
        follow_warmth(known, start=dt.date(2013, 6, 10))
    short = follow_warmth(known, start=dt.date(2013, 6, 20), draws=2, least_days=7)
    assert short.days == 11
    assert any("for 11 days only" in note for note in short.notes)
    with pytest.raises(PlanFaults, match="1 to 400"):
        follow_warmth(known, days=0)
    early = soil_hours(known.read, dt.date(2013, 3, 3), 7, 21)
    assert (early.before, early.days) == (2, 7)
    march = follow_warmth(known, start=dt.date(2013, 3, 1), days=7, draws=2)
    assert any("goes back 0 days" in note for note in march.notes)
    with pytest.raises(PlanFaults, match="check the year"):
        soil_hours(known.read, dt.date(9999, 12, 30), 7, 21)


def test_slurry_cools_its_band(known: Estimate, warmth: SoilWarmth) -> None:
    cooled = cold_slurry(known, warmth, STRIP)
    assert cooled is not None
    assert (cooled > 0).all()
    assert cold_slurry(known, warmth, PLOUGH) is None


def test_cut_of_a_sunny_day(known: Estimate, warmth: SoilWarmth) -> None:
    cut = day_cut(known, warmth, STRIP)
    assert cut is not None
    assert cut.degc.shape == (len(MOMENTS), len(cut.depth_cm), len(cut.across_cm))
    assert FIRST + dt.timedelta(days=2) <= cut.day < FIRST + dt.timedelta(days=12)
    noon = cut.degc[MOMENTS.index(15)]
    assert noon[0, 0] > noon[0, -1]  # the strip by day
    assert cut.degc[MOMENTS.index(6), 0, 0] < cut.degc[MOMENTS.index(6), 0, -1]  # and at dawn
    assert day_cut(known, warmth, PLOUGH) is None
    drawing = warm_cut(cut, title="strip & more")
    root = ET.fromstring(drawing)  # noqa: S314 (our own)
    assert root.tag.endswith("svg")
    assert len(drawing) < 40_000
    assert "6 h" in cut_words(cut)


def test_text_fits_a_terminal_and_says_what_is_weak(known: Estimate, found: Seedbed) -> None:
    text = seedbed_text(known, found)
    assert all(len(line) <= 100 and line == line.rstrip() for line in text.splitlines())
    plain = " ".join(text.split())
    for words in (
        "The day range is known well, the mean weakly", "Against plough", "3 early mornings in a row", "by Ohio, soil",
        "by curve with a peak", "How fast does it dry?", "surface_zones (2026): 4 choice", "A model is no thermometer",
        "INVENTED",
    ):  # fmt: skip
        assert words in plain
    assert "°" not in text
    assert seedbed_text(known, found) == text


def test_hours_as_csv(known: Estimate, found: Seedbed) -> None:
    lines = seedbed_csv(known, found).splitlines()
    assert lines[0].startswith("time,system,zone")
    assert len(lines) == 1 + 5 * 30 * 24
    assert lines[1].startswith("2013-04-17 01:00,plough,whole,weather,5,")
    assert lines[-1].startswith("2013-05-17 00:00,injector,whole,weather,5,")
    low, high = (np.array([float(line.split(",")[at]) for line in lines[1:]]) for at in (6, 7))
    assert (low <= high).all()


def test_section_and_page(known: Estimate, found: Seedbed) -> None:
    blocks = seedbed_blocks(known, found)
    drawings = [block for block in blocks if isinstance(block, Drawing)]
    assert [one.name for one in drawings] == ["seedbed-days-0", "seedbed-cut-2", "seedbed-up"]
    for one in drawings:
        ET.fromstring(one.svg)  # noqa: S314 (our own)
        assert len(one.alt) > 60
    captions = [block.caption for block in blocks if isinstance(block, Grid)]
    assert any(caption.startswith("Formulas") for caption in captions)
    assert any(caption.startswith("Tables that") for caption in captions)
    assert "Is the strip really warmer?" in seedbed_page(known, found)


def test_section_says_why_where_the_weather_does_not_do() -> None:
    section = seedbed_section(made({FILE: TYPICAL}, draws=5))
    (said,) = section.blocks
    assert isinstance(said, Text)
    assert "needs a weather file" in said.text


def test_tables_leaned_on_have_sources() -> None:
    for name, standing, source in leaned_rows():
        assert name
        assert standing
        assert source


def test_words_of_dates() -> None:
    first = dt.date(2026, 4, 20)
    assert date_words(first, np.array([3.9])) == "23 Apr"
    assert date_words(first, np.array([3.0] * 8 + [np.inf] * 2)) == "23 Apr (23 Apr or later)"


def test_charts_refuse_what_cannot_be_shown() -> None:
    with pytest.raises(ValueError, match="no days"):
        days_chart([], [], [8], title="x")
    bad = DayPanel("a", [DayLine("b", [(0.0, np.nan, 1.0, 2.0)])])
    with pytest.raises(ValueError, match="not finite"):
        days_chart([bad], [], [8], title="x")
    fine = DayLine("b", [(0.0, 1.0, 0.0, 2.0)])
    with pytest.raises(ValueError, match="two zones"):
        days_chart([DayPanel("a", [fine] * 3)], [], [8], title="x")
    with pytest.raises(ValueError, match="no plants"):
        emergence_chart([], [], 0, 1, title="x")
    many = {str(number): [(1.0, 50.0)] for number in range(9)}
    with pytest.raises(ValueError, match="too many"):
        emergence_chart([("a", many)], [], 0, 2, title="x")
