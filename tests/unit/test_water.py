"""Evaporation and drying: shapes, errors, edges."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from spadework import reference
from spadework.ranges import ImpossibleValue
from spadework.science.seedbed.water import (
    drying,
    evaporation,
    radiation,
    reference_et,
    spells,
    sunlight,
    top_layer,
    vapour,
)


def test_arrays_broadcast():
    days = np.arange(100, 130)
    assert sunlight.sky_radiation_day(np.array([[40.0], [50.0]]), days).shape == (2, 30)
    hot = np.full((5, 30), 20.0)
    assert reference_et.reference_et_from_weather(hot, hot - 10, 52.0, days, 20).shape == (5, 30)
    assert reference_et.reference_et_from_weather(
        hot, hot - 10, 52.0, days, 20, wind_known_m_s=np.full(30, 3.0)
    ).shape == (5, 30)


def test_draws_run_along_the_first_axes_of_a_course():
    random = np.random.default_rng(1)
    strip = drying.Ground(random.uniform(14, 20, 50), random.uniform(6, 9, 50), cover_share=random.uniform(0, 0.2, 50))
    between = drying.Ground(18.0, 8.0, cover_share=random.uniform(0.5, 0.9, 50), rule="convex")
    both = drying.dry_two_grounds(
        strip, between, random.uniform(0.2, 0.3, 50), [3.0] * 12, [0.0] * 11 + [5.0], 0.15, 1.2
    )
    assert both.strip.depletion_mm.shape == both.between.drained_mm.shape == both.evaporation_mm.shape == (50, 12)
    one = drying.Ground(strip.evaporable_mm[7], strip.readily_mm[7], cover_share=strip.cover_share[7])
    alone = drying.dry_down(one, [3.0] * 12, [0.0] * 11 + [5.0], 0.15, 1.2)
    np.testing.assert_allclose(both.strip.depletion_mm[7], alone.depletion_mm)


def test_measured_weather_takes_the_place_of_its_stand_in():
    at = (26.6, 14.8, 45.717, 196, 200)
    plain = reference_et.reference_et_from_weather(*at)
    light = radiation.solar_from_temperatures(26.6, 14.8, sunlight.sky_radiation_day(45.717, 196), 0.16)
    assert reference_et.reference_et_from_weather(*at, light, vapour.vapour_from_minimum(14.8), 2.0) == pytest.approx(
        plain
    )
    assert reference_et.reference_et_from_weather(*at, wind_known_m_s=5.0) > plain
    assert reference_et.reference_et_from_weather(*at, range_root_factor=0.19) > plain


def test_polar_day_and_polar_night():
    assert sunlight.daylight_hours(80, 172) == pytest.approx(24)
    assert sunlight.daylight_hours(80, 355) == 0
    assert sunlight.sky_radiation_day(80, 355) == pytest.approx(0)
    with pytest.raises(ImpossibleValue, match="sky_mj_m2"):
        reference_et.reference_et_from_weather(-10, -20, 80, 355, 0)


def test_night_warmer_than_day():
    with pytest.raises(ImpossibleValue, match="max_temperature_degc - min_temperature_degc"):
        radiation.solar_from_temperatures(10, 12, 30, 0.16)
    with pytest.raises(ImpossibleValue, match="max_temperature_degc - min_temperature_degc"):
        reference_et.reference_et_from_range(11, 10, 12, 30)


def test_air_cannot_hold_more_than_it_can():
    with pytest.raises(ImpossibleValue, match="saturation less vapour_kpa"):
        reference_et.reference_et_from_weather(15, 5, 50, 120, 0, vapour_kpa=3.0)


def test_more_sunshine_than_daylight():
    with pytest.raises(ImpossibleValue, match="daylight_h - sunshine_h"):
        radiation.solar_from_sunshine(14, 10, 30)


def test_sky_is_reckoned_within_its_limits():
    assert radiation.clear_sky_ratio(40, 30) == 1
    assert radiation.clear_sky_ratio(0, 30) == reference.constants("reference_et").clear_low
    assert radiation.net_long_wave_day(15, 5, 1.0, 0.3) > 0


def test_dew_is_negative_evaporation():
    assert reference_et.reference_et_hour(5, 1, -0.2, -0.05, 0.0, 0.06, 0.066) < 0


def test_soil_that_lacks_all_gives_nothing():
    assert evaporation.drying_share(20, 20, 9) == 0
    course = drying.dry_down(drying.Ground(20, 9, 20), [5.0] * 3, 0, 0.15, 1.2)
    assert (course.evaporation_mm == 0).all()


def test_evaporation_stops_where_the_store_is_empty():
    # a thirsty day at the end of a thin store would otherwise take more than there is
    course = drying.dry_down(drying.Ground(6, 5.9, 5.8), [9.0] * 2, 0, 0.15, 1.2)
    assert course.depletion_mm[0] == pytest.approx(6)


def test_rain_beyond_the_store_drains_on():
    course = drying.dry_down(drying.Ground(20, 9, 4), [0.0], [10.0], 0.15, 1.2)
    assert course.drained_mm[0] == pytest.approx(6)
    assert course.depletion_mm[0] == 0


def test_slurry_wets_the_strip_only():
    ground = drying.Ground(18, 8, 10)
    slurry = np.array([11.25, 0, 0])
    both = drying.dry_two_grounds(ground, ground, 0.27, [0.0] * 3, 0, 0.15, 1.2, slurry)
    assert both.strip.depletion_mm.tolist() == [0.0, 0.0, 0.0]
    assert both.strip.drained_mm[0] == pytest.approx(1.25)
    assert both.between.depletion_mm.tolist() == [10.0, 10.0, 10.0]


def test_a_wet_strip_draws_on_the_energy_of_dry_ground_beside_it():
    wet, spent = drying.Ground(18, 8, 0), drying.Ground(18, 8, 17.9)
    apart = drying.dry_two_grounds(wet, spent, 0.27, [3.0], 0, 0.15, 1.2)
    together = drying.dry_two_grounds(wet, spent, 0.27, [3.0], 0, 0.15, 1.2, sharing="competing")
    assert together.strip.evaporation_mm[0] > apart.strip.evaporation_mm[0]
    assert together.strip.evaporation_mm[0] <= 1.2 * 3.0 + 1e-9  # no ground takes more than the highest coefficient


def test_cover_on_the_store_saves_where_cover_on_the_rate_only_delays():
    days = [4.0] * 60
    slow = drying.dry_down(drying.Ground(18, 8, cover_share=0.8, acts_on="rate"), days, 0, 0.15, 1.2)
    small = drying.dry_down(drying.Ground(18, 8, cover_share=0.8, acts_on="store"), days, 0, 0.15, 1.2)
    assert slow.depletion_mm[-1] == pytest.approx(18, abs=0.1)
    assert small.depletion_mm[-1] == pytest.approx(0.6 * 18, abs=0.1)


def test_words_that_are_not_known():
    with pytest.raises(ValueError, match="linear or convex"):
        top_layer.cover_factors(0.5, "cubic", "rate")
    with pytest.raises(ValueError, match="rate or store"):
        top_layer.cover_factors(0.5, "linear", "both")
    ground = drying.Ground(18, 8)
    with pytest.raises(ValueError, match="apart or competing"):
        drying.dry_two_grounds(ground, ground, 0.3, [3.0], 0, 0.15, 1.2, sharing="fair")
    with pytest.raises(ValueError, match="days along its last axis"):
        drying.dry_down(ground, 3.0, 0.0, 0.15, 1.2)


def test_impossible_grounds():
    with pytest.raises(ImpossibleValue, match="evaporable_mm - readily_mm"):
        drying.dry_down(drying.Ground(8, 9), [3.0], 0, 0.15, 1.2)
    with pytest.raises(ImpossibleValue, match="evaporable_mm - depletion_mm"):
        drying.dry_down(drying.Ground(18, 8, 12, cover_share=1, acts_on="store"), [3.0], 0, 0.15, 1.2)
    with pytest.raises(ImpossibleValue, match="most_factor - crop_factor"):
        drying.dry_down(drying.Ground(18, 8), [3.0], 0, 1.3, 1.2)
    with pytest.raises(ImpossibleValue, match="field_capacity_share - wilting_share"):
        evaporation.evaporable_water(0.1, 0.2, 0.1)
    with pytest.raises(ImpossibleValue, match="row_spacing_m - band_width_m"):
        top_layer.slurry_in_layer(30, 0.5, 0.75, 1)
    with pytest.raises(ImpossibleValue, match="moisture of the layer"):
        top_layer.layer_moisture(0.1, 20, 0.1)


def test_highest_coefficient_stands_over_the_crops_own():
    assert evaporation.highest_coefficient(2, 0.45, 1, 1.25) == pytest.approx(1.30)
    assert evaporation.highest_coefficient(2, 0.45, 3, 0.15) == pytest.approx(1.2)
    assert evaporation.ground_hidden(0.15, 1.2, 0.1) == 0
    assert evaporation.exposed_share(0.3, 0.4) == pytest.approx(0.4)
    assert evaporation.depletion_after_day(5, 8, 0, 20) == 0


PAGE = " ".join((Path(__file__).parents[2] / "docs" / "how" / "water.md").read_text("utf-8").split())


def test_numbers_of_the_page():
    loam = drying.dry_down(drying.Ground(20, 9), [4.5] * 5, 0, 0.15, 1.2).depletion_mm
    ground = [drying.Ground(18, 8, cover_share=cover) for cover in (0.1, 0.8)]
    both = drying.dry_two_grounds(*ground, 0.27, [3.5] * 10, 0, 0.15, 1.2)
    strip, between = both.strip.depletion_mm, both.between.depletion_mm
    straight, curved = (100 * (1 - f(0.5)) for f in (top_layer.cover_factor_linear, top_layer.cover_factor_convex))
    for words in (
        f"{loam[0] + 1e-9:.2f} mm are gone after the first day",
        f"{loam[1]:.2f} mm after the second, and {loam[4]:.2f} mm after the fifth",
        f"covered. At half cover {straight:.0f} % less",
        f"full cover. At half cover {curved:.0f} % less",
        f"cover lacks {strip[2]:.2f} mm, the ground between with 80 % cover {between[2] + 1e-9:.2f} mm",
        f"ten days {strip[9]:.2f} and {between[9]:.2f} mm",
        f"rows of 75 cm are {float(top_layer.slurry_in_layer(30, 0.75, 0.2, 1)):.2f} mm on the band",
        f"worth {float(spells.effective_days(100, 0.5, 0.8)):.0f} independent days",
    ):
        assert words in PAGE, words
