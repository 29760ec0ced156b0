"""Spreading, nitrate and roots: balance, order, limits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.science.band import diffusion, mobility, nitrate, nitrification, roots, thresholds

CUT = {
    "centre_depth_cm": 16.0,
    "half_height_cm": 5.0,
    "half_width_cm": 4.0,
    "row_spacing_m": 0.75,
    "section_depth_cm": 40.0,
    "cell_cm": 1.0,
}


def number(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


@settings(max_examples=30)
@given(spread=number(0, 1e5), half=number(0.5, 10), aspect=number(0.4, 3), layer=st.booleans())
def test_nothing_is_lost(spread, half, aspect, layer):
    cut = {**CUT, "half_height_cm": half, "half_width_cm": half * aspect}
    share = diffusion.ammonium_section(spread, layer=layer, **cut)
    area = 2 * half**2 * aspect if layer else np.pi * half**2 * aspect / 2
    cell = 40 / share.shape[0] * 37.5 / share.shape[1]
    assert share.sum() * cell == pytest.approx(area, rel=1e-10)
    assert share.min() > -1e-12


def test_in_the_end_it_is_even():
    share = diffusion.ammonium_section(1e6, **CUT)
    np.testing.assert_allclose(share, np.pi * 10 / (37.5 * 40), rtol=1e-9)


@settings(max_examples=20)
@given(spread=number(0.1, 200), away=number(0, 12))
def test_above_and_below_are_alike_in_the_middle(spread, away):
    cut = {**CUT, "centre_depth_cm": 20.0}
    above, below = diffusion.ammonium_at(spread, 3, [20 - away, 20 + away], **cut)
    assert above == pytest.approx(below, rel=1e-9, abs=1e-13)


def test_at_the_seed_it_rises_to_one_peak():
    course = diffusion.ammonium_at(np.linspace(0, 600, 601), 0, 5, **CUT)
    top = int(np.argmax(course))
    assert 0 < top < 600
    assert (np.diff(course[: top + 1]) >= -1e-13).all()
    assert (np.diff(course[top:]) <= 1e-13).all()


@settings(max_examples=15)
@given(ammonium=number(0.001, 1), spread=number(0.001, 1), rate=number(0, 0.2), days=number(1, 40))
def test_nitrogen_is_ammonium_or_nitrate(ammonium, spread, rate, days):
    cut = {**CUT, "cell_cm": 2.5}
    middle_x, middle_z = 1.25 + 2.5 * np.arange(15), 1.25 + 2.5 * np.arange(16)
    steps = [days, days / 2]
    made = nitrate.nitrate_at(steps, ammonium, spread, rate, middle_x, middle_z[:, np.newaxis], **cut)
    left = nitrification.ammonium_left(steps, rate)
    whole = np.pi * 10
    np.testing.assert_allclose(made.sum(axis=(1, 2)) * 2.5**2, whole * (1 - left), rtol=1e-10, atol=1e-10)
    assert made.min() > -1e-12


@settings(max_examples=15)
@given(ammonium=number(0.001, 1), spread=number(0.001, 1), rate=number(0.001, 0.2), days=number(1, 40))
def test_the_whole_cut_of_nitrate_agrees_with_its_points(ammonium, spread, rate, days):
    cut = {**CUT, "cell_cm": 2.5}
    middle_x, middle_z = 1.25 + 2.5 * np.arange(15), 1.25 + 2.5 * np.arange(16)
    steps = [days, days / 3]
    whole = nitrate.nitrate_section(steps, ammonium, spread, rate, **cut)
    points = nitrate.nitrate_at(steps, ammonium, spread, rate, middle_x, middle_z[:, np.newaxis], **cut)
    np.testing.assert_allclose(whole, points, rtol=1e-9, atol=1e-12)


@settings(max_examples=15)
@given(diffusivity=number(0.001, 1), rate=number(0.001, 0.2))
def test_nitrate_as_slow_as_ammonium_makes_up_for_it(diffusivity, rate):
    steps = np.array([5.0, 9.0, 20.0])
    made = nitrate.nitrate_at(steps, diffusivity, diffusivity, rate, [0, 6], [16, 9], **CUT)
    spread = mobility.spread_of_days(steps, diffusivity)
    all_of_it = diffusion.ammonium_at(spread, [0, 6], [16, 9], **CUT)
    left = nitrification.ammonium_left(steps, rate)[:, np.newaxis]
    np.testing.assert_allclose(made + left * all_of_it, all_of_it, rtol=1e-9, atol=1e-12)


@given(radius=number(0.1, 20), diffusivity=number(0.001, 1), rate=number(0, 0.2))
def test_peak_of_a_line_is_its_highest_moment(radius, diffusivity, rate):
    day = thresholds.line_peak_days(radius, diffusivity, rate)
    at = np.array([0.98, 1, 1.02]) * day
    height = -np.log(at) - radius**2 / (4 * diffusivity * at) - rate * at
    assert height[1] >= max(height[0], height[2])


@given(cold=number(10.5, 25), warmer=number(0.1, 5), gap=number(0, 20))
def test_roots_come_sooner_in_warm_soil(cold, warmer, gap):
    days = [roots.root_arrival(roots.radicle_days(t), gap, roots.root_speed(t)) for t in (cold, cold + warmer)]
    assert days[1] < days[0]
    assert roots.root_arrival_daily(np.full(400, cold), gap) == pytest.approx(days[0], rel=1e-6)


@given(temperature=number(-5, 60), since=number(0, 500), effect=number(0, 1))
def test_shares_stay_shares(temperature, since, effect):
    assert 0 <= nitrification.nitrification_temperature_factor(temperature) <= 1 + 1e-12
    assert 0 <= nitrification.inhibition_left(effect, since, temperature) <= effect


@given(kd=number(0, 20), more=number(0.1, 20), moisture=number(0.05, 0.4))
def test_what_the_soil_holds_slows_it(kd, more, moisture):
    one, two = (mobility.apparent_diffusion(1.3, 0.05, 0, 0, 0, 1, moisture, 0.1, 1.4, k) for k in (kd, kd + more))
    assert two < one
