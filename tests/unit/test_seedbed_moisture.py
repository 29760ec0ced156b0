"""Warmth that follows the drying of the ground: what it takes from it, and what happens where it cannot.  Invented."""

from __future__ import annotations

import datetime as dt
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import Estimate, estimate
from spadework.estimate.seedbed.answers import day_cut, ends_of_strip
from spadework.estimate.seedbed.follow import follow_warmth
from spadework.estimate.seedbed.warmth import SoilWarmth
from spadework.estimate.water.days import SurfaceWater, surface_water
from spadework.plan import read_text
from spadework.ranges import ImpossibleValue
from spadework.science.seedbed.heat.columns import layer_edges
from spadework.science.seedbed.heat.conduction import conduct_from_surface

FOLDER = Path(str(files("spadework.demo")))
PLOUGH, CULTIVATOR, STRIP, INJECTOR = range(4)
DAYS = 21


def rained(folder: Path, mm: float, first: int, every: int) -> Estimate:
    """Return the demo with a file of rain beside it: so much in one hour, every so many days from a day of April on."""
    weather = (FOLDER / "weather.csv").read_text("utf-8")
    (folder / "weather.csv").write_text(weather, "utf-8")
    days = {dt.date.fromisoformat(line[:10]) for line in weather.splitlines() if line[:1] == "2"}
    dates = sorted(days | {day + dt.timedelta(days=1) for day in days} | {day - dt.timedelta(days=1) for day in days})
    begin = dt.date(2000, 4, first).toordinal()
    out = ["time,rain_mm"]
    for date in dates:
        falls = (date.replace(year=2000).toordinal() - begin) % every == 0
        out += [f"{date}T{hour:02}:00Z,{mm if falls and hour == 5 else 0}" for hour in range(24)]
    (folder / "rain.csv").write_text("\n".join(out) + "\n", "utf-8")
    text = (
        (FOLDER / "plan.toml")
        .read_text("utf-8")
        .replace("[prices]", '[weather.rain]\nfile = "rain.csv"\n\n[prices]', 1)
    )
    return estimate(read_text(text, "plan.toml", folder), draws=20)


@pytest.fixture(scope="module")
def rainy(tmp_path_factory: pytest.TempPathFactory) -> Estimate:
    return rained(tmp_path_factory.mktemp("rainy"), 12, 19, 7)


@pytest.fixture(scope="module")
def warmth(rainy: Estimate) -> SoilWarmth:
    return follow_warmth(rainy, days=DAYS, draws=20)


@pytest.fixture(scope="module")
def water(rainy: Estimate, warmth: SoilWarmth) -> SurfaceWater:
    return surface_water(rainy, days=DAYS, draws=20, start=warmth.first)


def test_the_top_follows_the_drying_day_by_day_and_the_rest_does_not(warmth: SoilWarmth) -> None:
    run = warmth.run
    middle = (run.edges_cm[1:] + run.edges_cm[:-1]) / 2
    assert run.conductivity_w_m_k.shape == run.heat_j_m3_k.shape == (5, 20, DAYS, len(middle))
    assert (np.ptp(run.conductivity_w_m_k[..., middle < 10], axis=2) > 0.1).all()
    assert not np.ptp(run.conductivity_w_m_k[..., middle > 15], axis=2).any()
    assert any("followed day by day" in note for note in warmth.notes)
    assert not any("keeps the moisture of the plan: it neither" in note for note in warmth.notes)


def test_heat_holds_as_much_water_as_the_store_has(warmth: SoilWarmth, water: SurfaceWater) -> None:
    # heat held by the same grains: what changes from day to day is that of the water
    place = next(place for place, zone in enumerate(warmth.run.zones) if zone.system == PLOUGH)
    ground = water.systems[PLOUGH].seed_zone
    gone = ground.dried["linear"].evaporation_mm / (1000 * ground.layer_m[:, np.newaxis])
    moisture = ground.moisture("linear") + gone / 2
    held = warmth.run.heat_j_m3_k[place, :, :, 0]
    np.testing.assert_allclose(np.diff(held, axis=1), 4.18e6 * np.diff(moisture, axis=1), atol=1.0)


def test_vapour_of_the_balance_is_of_the_size_of_the_store(warmth: SoilWarmth, water: SurfaceWater) -> None:
    # two ways of reckoning the same water; without the coupling the balance would go on from ground that has none left
    for place, zone in enumerate(warmth.run.zones):
        vapour = warmth.run.course.vapour_w_m2[place].reshape(20, DAYS, 24).mean(axis=(0, 2)) * 86_400 / 2.45e6
        ground = next(one for one in water.systems[zone.system].zones if one.name == zone.name)
        gone = ground.dried["linear"].evaporation_mm.mean(axis=0)
        assert 0.6 < vapour.sum() / gone.sum() < 1.5, zone
        assert np.corrcoef(vapour, gone)[0, 1] > 0.9, zone


def test_rain_cools_and_drying_warms(tmp_path: Path) -> None:
    mean = {}
    for name, every in (("dry", 200), ("wet", 2)):
        (tmp_path / name).mkdir()
        one = follow_warmth(rained(tmp_path / name, 12, 18, every), days=DAYS, draws=5, systems=(PLOUGH,))
        days = one.at_seed(PLOUGH).reshape(5, DAYS, 24)
        mean[name] = days[:, 7:].mean(), np.ptp(days[:, 7:], axis=2).mean()
    assert mean["dry"][0] > mean["wet"][0] + 1
    assert mean["dry"][1] > mean["wet"][1] + 1


def test_cut_and_ends_go_with_days_that_differ(rainy: Estimate, warmth: SoilWarmth) -> None:
    cut = day_cut(rainy, warmth, STRIP)
    assert cut is not None
    assert np.isfinite(cut.degc).all()
    # straight over the middle of the strip and between strips the cut is what was followed, for the mean of the draws
    at = [(cut.day - warmth.first).days * 24 + hour for hour in (6, 12, 15, 21)]
    inside = warmth.of(STRIP).zone("strip").degc[:, :, warmth.seed_at].mean(axis=0)[[hour - 1 for hour in at]]
    depth = int(np.argmin(abs(cut.depth_cm - 5)))
    np.testing.assert_allclose(cut.degc[:, depth, 0], inside, atol=0.6)
    ends = ends_of_strip(rainy, warmth, STRIP)
    assert ends.mean_low_k < ends.mean_high_k


def test_without_rain_the_soil_keeps_its_moisture() -> None:
    plan = read_text((FOLDER / "plan.toml").read_text("utf-8"), "plan.toml", FOLDER)
    warmth = follow_warmth(estimate(plan, draws=5), days=8)
    assert warmth.run.conductivity_w_m_k.shape[2] == 1
    assert any("keeps the moisture of the plan: it neither dries" in note for note in warmth.notes)


def test_a_missing_hour_of_rain_is_told_and_the_soil_keeps_its_moisture(tmp_path: Path) -> None:
    one = rained(tmp_path, 12, 19, 7)
    file = tmp_path / "rain.csv"
    lines = [line for line in file.read_text("utf-8").splitlines() if "-04-20T04" not in line]
    file.write_text("\n".join(lines) + "\n", "utf-8")
    warmth = follow_warmth(one, days=8, draws=3)
    assert warmth.run.conductivity_w_m_k.shape[2] == 1
    assert any("rain is missing in" in note for note in warmth.notes)


def test_few_days_and_many_are_followed_too(rainy: Estimate) -> None:
    few = follow_warmth(rainy, days=2, draws=3, systems=(PLOUGH,))
    assert few.at_seed(PLOUGH).shape == (3, 48)
    coarse = follow_warmth(rainy, days=DAYS, draws=3, systems=(PLOUGH,), step_h=3)
    fine = follow_warmth(rainy, days=DAYS, draws=3, systems=(PLOUGH,))
    assert abs(coarse.at_seed(PLOUGH).mean() - fine.at_seed(PLOUGH).mean()) < 0.15


def test_spells_need_an_axis_of_their_own() -> None:
    with pytest.raises(ImpossibleValue, match="spells and layers"):
        conduct_from_surface([10.0], [10.0, 11.0], [1.0], [2e6], layer_edges(), [5], spell_steps=1)
    with pytest.raises(ImpossibleValue, match="spell_steps"):
        conduct_from_surface([10.0], [10.0, 11.0], [[1.0]], [[2e6]], layer_edges(), [5], spell_steps=0)
