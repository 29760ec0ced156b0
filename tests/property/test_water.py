"""Evaporation and drying: balances, limits, order, and agreement with other ways to reckon."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.science.seedbed.water import drying, evaporation, radiation, reference_et, sunlight, top_layer, vapour


def number(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


share = number(0, 1)
latitude = number(-89, 89)
day = st.integers(1, 365)
rules = st.sampled_from(["linear", "convex"])
places = st.sampled_from(["rate", "store"])
grounds = st.builds(
    lambda total, part, start, cover, soak, rule, acts_on: drying.Ground(
        total, part * total, start * total * 0.42, cover, soak, rule, acts_on
    ),
    number(6, 30),
    number(0.1, 0.9),
    share,
    share,
    share,
    rules,
    places,
)
series = st.lists(number(0, 8), min_size=3, max_size=12)
rains = st.lists(st.one_of(st.just(0.0), number(0, 40)), min_size=12, max_size=12)


@given(t=number(-30, 50))
def test_slope_is_the_slope_of_the_vapour_pressure(t):
    step = 1e-4
    slope = (vapour.vapour_saturation(t + step) - vapour.vapour_saturation(t - step)) / (2 * step)
    # 4098 is printed for 17.27 * 237.3 = 4098.2
    assert vapour.vapour_slope(t) == pytest.approx(float(slope), rel=1e-4)


@given(f=latitude, j=day)
def test_hours_of_the_clock_make_up_the_day(f, j):
    angles = (np.arange(24) + 0.5 - 12) * np.pi / 12
    hours = sunlight.sky_radiation_span(f, j, angles, 1.0)
    assert (hours >= -1e-12).all()
    assert hours.sum() == pytest.approx(float(sunlight.sky_radiation_day(f, j)), rel=1e-9, abs=1e-9)


@given(f=latitude, j=day)
def test_daylight_of_two_hemispheres_is_a_whole_day(f, j):
    assert sunlight.daylight_hours(f, j) + sunlight.daylight_hours(-f, j) == pytest.approx(24)


@given(f=number(-60, 60), j=day)
def test_sun_above_the_air_is_the_integral_of_its_height(f, j):
    from scipy.integrate import quad

    phi, tilt = np.radians(f), float(sunlight.sun_declination(j))
    end = float(sunlight.sunset_angle(f, j))
    whole = quad(lambda w: np.sin(phi) * np.sin(tilt) + np.cos(phi) * np.cos(tilt) * np.cos(w), -end, end)[0]
    ours = sunlight.sky_radiation_day(f, j)
    assert ours == pytest.approx(
        0.0820 * 720 / np.pi * float(sunlight.sun_distance_factor(j)) * whole, rel=1e-7, abs=1e-7
    )


@given(net=number(1, 20), u=number(0, 10), lack=number(0, 4), more=number(0.1, 3))
def test_drier_air_and_more_sun_evaporate_more(net, u, lack, more):
    at = (15, u, net, 0, lack, 0.11, 0.066)
    base = reference_et.reference_et_day(*at)
    assert reference_et.reference_et_day(15, u, net + more, 0, lack, 0.11, 0.066) > base
    assert reference_et.reference_et_day(15, u, net, 0, lack + more, 0.11, 0.066) >= base


@given(net=number(1, 20))
def test_without_wind_only_the_sun_evaporates(net):
    # D / (D + g) of the net radiation, as equilibrium evaporation
    ours = reference_et.reference_et_day(15, 0, net, 0, 2.0, 0.11, 0.066)
    assert ours == pytest.approx(0.408 * net * 0.11 / (0.11 + 0.066))


@given(c=share, d=share)
def test_more_cover_never_evaporates_more(c, d):
    low, high = sorted((c, d))
    for rule in (top_layer.cover_factor_linear, top_layer.cover_factor_convex):
        assert rule(0) == 1
        assert rule(high) <= rule(low)


@given(c=share, rule=rules, where=places)
def test_residue_is_counted_once(c, rule, where):
    rate, store = top_layer.cover_factors(c, rule, where)
    assert 1 in (rate, store)
    assert rate * store == pytest.approx(float(top_layer.cover_factors(c, rule, "rate")[0]))


@given(ground=grounds, eto=series, rain=rains, crop=number(0.1, 1.0), added=number(0, 20))
@settings(max_examples=60)
def test_water_of_one_ground_is_kept_to_the_last_drop(ground, eto, rain, crop, added):
    water = np.array(rain[: len(eto)])
    slurry = np.zeros(len(eto))
    slurry[1] = added
    course = drying.dry_down(ground, eto, water, crop, 1.2, slurry)
    start = np.concatenate([[ground.depletion_mm], course.depletion_mm[:-1]])
    left_over = (start - course.depletion_mm) - (course.soaked_mm - course.drained_mm - course.evaporation_mm)
    np.testing.assert_allclose(left_over, 0, atol=1e-8)
    np.testing.assert_allclose(course.soaked_mm, ground.soak_share * water + slurry, atol=1e-12)
    factor = top_layer.cover_factors(ground.cover_share, ground.rule, ground.acts_on)[1]
    assert (course.depletion_mm >= 0).all()
    assert (course.depletion_mm <= factor * ground.evaporable_mm + 1e-9).all()
    assert (course.evaporation_mm >= 0).all()
    assert (course.drained_mm >= 0).all()


def test_ground_that_is_dry_to_rounding_gives_off_nothing():
    ground = drying.Ground(6.0, 3.0, 0.63, 0.8254503478168309, 0.0, "linear", "store")
    course = drying.dry_down(ground, [0.234375, 3.0, 0.0], 0.0, 0.1, 1.2, [0.0, 0.5931416395386109, 0.0])
    assert (course.evaporation_mm >= 0).all()
    assert ((course.wet_share >= 0) & (course.wet_share <= 1)).all()


@given(
    one=grounds,
    other=grounds,
    f=number(0.05, 0.95),
    eto=series,
    rain=rains,
    crop=number(0.1, 1.0),
    sharing=st.sampled_from(["apart", "competing"]),
)
@settings(max_examples=80)
def test_two_grounds_keep_water_and_stay_within_the_energy(one, other, f, eto, rain, crop, sharing):
    water = np.array(rain[: len(eto)])
    both = drying.dry_two_grounds(one, other, f, eto, water, crop, 1.2, sharing=sharing)
    for ground, course in ((one, both.strip), (other, both.between)):
        start = np.concatenate([[ground.depletion_mm], course.depletion_mm[:-1]])
        change = course.soaked_mm - course.drained_mm - course.evaporation_mm
        np.testing.assert_allclose(start - course.depletion_mm, change, atol=1e-8)
    field = f * both.strip.evaporation_mm + (1 - f) * both.between.evaporation_mm
    np.testing.assert_allclose(both.evaporation_mm, field, atol=1e-12)
    assert (field <= (1.2 - crop) * np.array(eto) + 1e-9).all()


@given(ground=grounds, f=number(0.05, 0.95), eto=series, rain=rains)
@settings(max_examples=40)
def test_two_like_grounds_are_one(ground, f, eto, rain):
    water = np.array(rain[: len(eto)])
    both = drying.dry_two_grounds(ground, ground, f, eto, water, 0.15, 1.2)
    alone = drying.dry_down(ground, eto, water, 0.15, 1.2)
    for course in (both.strip, both.between):
        np.testing.assert_allclose(course.depletion_mm, alone.depletion_mm, atol=1e-10)
    np.testing.assert_allclose(both.evaporation_mm, alone.evaporation_mm, atol=1e-10)


@given(ground=grounds, f=number(0.05, 0.95), eto=series)
@settings(max_examples=40)
def test_like_grounds_compete_for_what_each_would_have(ground, f, eto):
    """By the water that they hold, like grounds get energy by their area, and so dry as one."""
    both = drying.dry_two_grounds(ground, ground, f, eto, 0, 0.15, 1.2, sharing="competing")
    alone = drying.dry_down(ground, eto, 0, 0.15, 1.2)
    np.testing.assert_allclose(both.strip.depletion_mm, alone.depletion_mm, atol=1e-9)


@given(total=number(10, 30), part=number(0.2, 0.8), eto=number(0.5, 3))
@settings(max_examples=40)
def test_second_stage_in_short_steps_is_exponential(total, part, eto):
    """With steps of a hundredth of a day the second stage follows its differential equation."""
    ready = part * total
    steps, length = 2000, 0.01
    course = drying.dry_down(drying.Ground(total, ready, ready), np.full(steps, eto * length), 0, 0.15, 1.2)
    time = length * np.arange(1, steps + 1)
    exact = total - (total - ready) * np.exp(-time * eto * 1.05 / (total - ready))
    np.testing.assert_allclose(course.depletion_mm, exact, rtol=0, atol=0.02 * (total - ready))


@given(eto=number(1, 8), total=number(12, 30), part=number(0.2, 0.8), days=number(1, 30))
def test_bare_soil_never_passes_its_wet_coefficient_or_its_water(eto, total, part, days):
    coefficient = evaporation.bare_coefficient(eto, days, total, part * total)
    assert 0 < coefficient <= 1.15
    assert coefficient * eto * days <= total + 1e-9


@given(hot=number(10, 35), swing=number(2, 18), f=number(-60, 60), j=day)
def test_light_from_temperatures_is_under_a_clear_sky_for_usual_ranges(hot, swing, f, j):
    sky = sunlight.sky_radiation_day(f, j)
    light = radiation.solar_from_temperatures(hot, hot - swing, sky, 0.16)
    assert light <= radiation.clear_sky(0, sky) + 1e-9
