"""Drying and fit days of a plan: every drop is accounted for, and wetter, colder or stricter is never fitter."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.estimate import estimate
from spadework.estimate.water.days import RULES, SurfaceWater, surface_water
from spadework.plan import read, read_text
from spadework.science.seedbed.water import store as water_store
from springs_made import demo_on, write_springs

FOLDER = Path(str(files("spadework.demo")))
share = st.floats(0, 1, allow_nan=False)
inner = st.floats(0.02, 0.98, allow_nan=False)
springs = st.integers(0, 10_000)


@cache
def dry() -> SurfaceWater:
    return surface_water(estimate(read(FOLDER / "plan.toml"), draws=60))


@pytest.fixture(scope="module")
def wet(tmp_path_factory) -> SurfaceWater:
    folder = tmp_path_factory.mktemp("wet")
    write_springs(folder, range(2013, 2014))
    return surface_water(estimate(demo_on(folder), draws=60))


def test_every_drop_is_accounted_for(wet):
    for water in (dry(), wet):
        for one in water.systems:
            for zone in one.zones:
                for rule in RULES:
                    course = zone.dried[rule]
                    went = course.soaked_mm - course.drained_mm - course.evaporation_mm
                    np.testing.assert_allclose(
                        zone.start_mm - course.depletion_mm[:, -1], went.sum(axis=1), rtol=1e-9, atol=1e-9
                    )
                    np.testing.assert_allclose(
                        course.soaked_mm.sum(axis=1), water.rain_mm.sum() + zone.slurry_mm, rtol=1e-9, atol=1e-9
                    )


def test_the_field_is_its_zones_by_their_share(wet):
    for water in (dry(), wet):
        for one in water.systems:
            np.testing.assert_allclose(sum(zone.share for zone in one.zones), 1.0)
            for rule in RULES:
                lost = sum(z.share[:, None] * z.dried[rule].evaporation_mm for z in one.zones)
                np.testing.assert_allclose(one.lost_mm[rule], lost)


def test_no_ground_gives_more_than_the_air_takes(wet):
    for water in (dry(), wet):
        for one in water.systems:
            for rule in RULES:
                assert (one.lost_mm[rule] <= 1.05 * water.et_mm + 1e-9).all()
                for zone in one.zones:
                    moisture = zone.moisture(rule)
                    assert (moisture >= -1e-12).all()
                    assert (moisture <= zone.capacity_share[:, None] + 1e-12).all()


def test_more_cover_dries_slower_at_first(wet):
    """Held on the strip and the ground between it in the same loosening, by the plan without slurry."""
    for water in (dry(), wet):
        strip, between = water.systems[2].zones
        for rule in RULES:
            first = [zone.dried[rule].evaporation_mm[:, 0] for zone in (strip, between)]
            assert (first[1] <= first[0] + 1e-9).all()


def test_convex_holds_back_less_than_linear_where_cover_is_middling():
    between = dry().systems[2].zones[1]
    assert (between.cover_share < 0.85).all()
    slow, fast = (between.dried[rule].evaporation_mm[:, :3].sum(axis=1) for rule in RULES)
    assert (fast >= slow).all()


def test_rain_is_the_same_for_all_systems_and_slurry_water_is_not_more_than_the_slurry():
    text = (FOLDER / "plan.toml").read_text("utf-8")
    for water in (dry(), surface_water(estimate(read_text(text, "plan.toml", FOLDER), draws=1))):
        for one in water.systems:
            brought = sum(zone.share * zone.slurry_mm for zone in one.zones)
            assert (brought <= 30 / 1.02 / 10).all()


def _weather(seed: int):
    random = np.random.default_rng(seed)
    rain = np.where(random.random((3, 40)) < 0.3, random.exponential(5, (3, 40)), 0)
    return random.uniform(0.5, 5, (3, 40)), rain, random.normal(4, 4, (3, 40))


@given(springs, inner, st.floats(0.1, 0.24), st.floats(0, 0.05), st.sampled_from(RULES))
def test_a_stricter_limit_never_has_more_fit_days(seed, cover, limit, more, rule):
    weather = _weather(seed)
    strict = water_store.fit_days_of_springs(0.25, 19, 9, 0.1, cover, limit, *weather, rule)
    loose = water_store.fit_days_of_springs(0.25, 19, 9, 0.1, cover, limit + more, *weather, rule)
    assert (strict <= loose).all()


@given(springs, inner, st.floats(0, 8), st.floats(0, 6))
def test_more_rain_or_frost_never_makes_a_day_fit(seed, cover, more_rain, colder):
    et, rain, cold = _weather(seed)
    soil = (0.25, 19, 9, 0.1, cover, 0.2)
    before = water_store.fit_days_of_springs(*soil, et, rain, cold)
    assert (water_store.fit_days_of_springs(*soil, et, rain + more_rain, cold) <= before).all()
    assert (water_store.fit_days_of_springs(*soil, et, rain, cold - colder) <= before).all()


@given(springs, st.integers(1, 5))
def test_soils_are_reckoned_as_if_each_were_alone(seed, soils):
    weather, random = _weather(seed), np.random.default_rng(seed)
    capacity, cover = random.uniform(0.2, 0.3, soils), random.uniform(0, 1, soils)
    together = water_store.fit_days_of_springs(capacity, 19.0, 9.0, 0.1, cover, 0.8 * capacity, *weather)
    for place in range(soils):
        alone = water_store.fit_days_of_springs(
            capacity[place], 19, 9, 0.1, cover[place], 0.8 * capacity[place], *weather
        )
        assert (together[place] == alone).all()


@given(inner, inner, share, st.floats(1, 500))
def test_chance_rises_with_the_quantile_and_narrows_with_days(low, high, counted, days):
    low, high = sorted((low, high))
    chance = water_store.chance_behind_count
    assert chance(low, counted, days) <= chance(high, counted, days) + 1e-12
    wide = np.diff(chance([0.1, 0.9], counted, days))
    assert np.diff(chance([0.1, 0.9], counted, 4 * days)) <= wide + 1e-12


@given(st.integers(1, 400), st.data())
def test_counts_say_neither_never_nor_always(days, data):
    fit = data.draw(st.integers(0, days))
    found = float(water_store.share_from_count(fit, days))
    assert 0 < found < 1
    assert abs(found - fit / days) <= 0.5 / days + 1e-12
    pairs = data.draw(st.integers(0, fit))
    assert found <= float(water_store.stay_from_count(pairs, fit, found)) <= 1


@given(st.floats(0, 40), st.floats(1, 20), st.floats(5, 15), st.floats(0, 10))
def test_a_deeper_band_has_less_in_the_layer(top, height, layer, deeper):
    before = float(water_store.band_in_layer(top, height, layer))
    assert 0 <= float(water_store.band_in_layer(top + deeper, height, layer)) <= before <= 1


@given(share, share, st.floats(0, 0.2))
def test_more_swelling_is_less_density(swell, settled, more):
    density = water_store.loosened_density_share
    assert 0.5 <= float(density(min(swell + more, 1), settled)) <= float(density(swell, settled)) <= 1
    assert float(density(swell, 1)) == 1
