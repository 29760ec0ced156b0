"""Pressure under wheels: balance of forces, order, limits, units."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from spadework.science import traffic as t


def number(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


V = number(3, 6)
RADIUS = number(0.1, 0.8)
DEPTH = number(1, 200)


@settings(max_examples=12)
@given(radius=RADIUS, depth=number(10, 150), v=V, n=st.sampled_from([None, 2.0, 4.0, 16.0]))
def test_a_plane_carries_the_wheel(radius, depth, v, n):
    # rings about the middle of the wheel, close ones to three radii, then wider and wider ones to 900 radii
    order = np.linspace(0, 1, 500)
    away = radius * np.concatenate((3 * order, 3 + 897 * order[1:] ** 3))
    args = (100.0, radius, away, depth, v)
    stress = t.stress_beside_even(*args) if n is None else t.stress_beside_spread(*args, n)
    load = np.trapezoid(stress * 2 * np.pi * away, away)
    assert load == pytest.approx(100 * np.pi * radius**2, rel=5e-4)


@settings(max_examples=20)
@given(radius=RADIUS, depth=DEPTH, v=V)
def test_beside_at_nil_is_below(radius, depth, v):
    assert t.stress_beside_even(100, radius, 0, depth, v) == pytest.approx(t.stress_under_even(100, radius, depth, v))
    for n in (2, 4, 16):
        near = t.stress_beside_spread(100, radius, 0, depth, v, n)
        assert near == pytest.approx(t.stress_under_spread(100, radius, depth, v, n), abs=0.5)


@given(radius=RADIUS, v=V, away=number(0, 1.5))
def test_at_the_surface_stands_the_contact(radius, v, away):
    assert t.stress_under_even(100, radius, 0, v) == 100
    assert t.stress_under_parabola(100, radius, 0, v) == 200
    assert t.stress_under_spread(100, radius, 0, v, 4) == pytest.approx(150)
    found = t.stress_beside_even(100, radius, away, 0, v)
    assert found == (100 if away < radius else 50 if away == radius else 0)
    assert t.stress_beside_even(100, radius, away * radius * 0.6, 0.01, v) == pytest.approx(100, abs=0.1)


@given(radius=RADIUS, depth=DEPTH, v=number(3, 5.9))
def test_more_concentration_more_stress_below(radius, depth, v):
    for n in (2, 4, 16):
        low, high = t.stress_under_spread(100, radius, depth, [v, v + 0.1], n)
        assert high > low
    low, high = t.stress_under_even(100, radius, depth, [v, v + 0.1])
    assert high > low or high == pytest.approx(100)


@given(radius=RADIUS, v=V)
def test_stress_falls_with_depth_and_away(radius, v):
    depth = np.linspace(0, 300, 200)
    assert (np.diff(t.stress_under_even(100, radius, depth, v)) <= 0).all()
    assert (np.diff(t.stress_under_spread(100, radius, depth, v, 4)) < 0).all()
    away = np.linspace(0, 3, 60)
    for z in (10.0, 50.0):
        assert (np.diff(t.stress_beside_even(100, radius, away, z, v)) <= 1e-6).all()


@given(radius=RADIUS, depth=DEPTH, v=V, away=number(0, 3), double=number(0.1, 5))
def test_stress_scales_with_pressure_and_size(radius, depth, v, away, double):
    one = t.stress_beside_even(100, radius, away, depth, v)
    assert t.stress_beside_even(100 * double, radius, away, depth, v) == pytest.approx(one * double)
    twice = t.stress_beside_even(100, 2 * radius, 2 * away, 2 * depth, v)
    assert twice == pytest.approx(one, rel=1e-7, abs=1e-9)


@given(radius=RADIUS, v=V)
def test_far_down_a_circle_is_a_point(radius, v):
    point = t.point_load_stress(100 * np.pi * radius**2, 0.3, 500, v)
    assert t.stress_beside_even(100, radius, 0.3, 500, v) == pytest.approx(point, rel=0.1)


@given(load=number(1, 200), contact=number(55, 400), v=V, limit=number(10, 54))
def test_limits_turn_the_stress_round(load, contact, v, limit):
    depth = float(t.depth_of_stress(load, contact, limit, v))
    if 1 <= depth <= 500:
        radius = t.circle_radius(load / contact)
        assert t.stress_under_even(contact, radius, depth, v) == pytest.approx(limit, rel=1e-9)
        assert t.wheel_load_for_limit(contact, limit, depth, v) == pytest.approx(load, rel=1e-9)
    assert t.depth_of_stress(load * 1.1, contact, limit, v) > depth
    assert t.depth_of_stress(load, contact * 1.1, limit, v) > depth


@given(contact=number(1, 50))
def test_a_soft_tyre_never_passes_the_limit(contact):
    assert t.wheel_load_for_limit(contact, 50, 50, 5) == np.inf
    assert t.depth_of_stress(60, contact, 50, 5) == 0


@settings(max_examples=30)
@given(st.lists(st.tuples(number(40, 200), number(0.1, 0.6), number(-3, 3), number(-3, 3)), min_size=1, max_size=5), V)
def test_wheels_add_up_whatever_their_order(wheels, v):
    p, radius, across, along = np.array(wheels).T
    points = np.linspace(-2, 2, 9)
    together = t.stress_under_wheels(p, radius, across, along, points, 0.1, 40, v)
    alone = sum(t.stress_under_wheels([a], [b], [c], [d], points, 0.1, 40, v) for a, b, c, d in wheels)
    np.testing.assert_allclose(together, alone, rtol=1e-9, atol=1e-12)
    turned = t.stress_under_wheels(p[::-1], radius[::-1], -across[::-1], along[::-1], -points, 0.1, 40, v)
    np.testing.assert_allclose(together, turned, rtol=1e-9, atol=1e-12)


@given(n=number(1, 99), length=number(0.1, 2), width=number(0.1, 1.5))
def test_a_print_lies_between_diamond_and_rectangle(n, length, width):
    area, more = t.super_ellipse_area(length, width, [n, n + 1])
    assert length * width / 2 - 1e-12 <= area < more < length * width


TRACKS = st.lists(st.tuples(number(-4, 4), number(0, 1.2)), min_size=1, max_size=8)


@given(tracks=TRACKS, width=number(1, 15), shift=number(-4, 4))
def test_wheeled_share_bounds_and_shift(tracks, width, shift):
    middle, tyre = np.array(tracks).T
    share = float(t.wheeled_share(middle, tyre, width))
    assert share <= min(1, tyre.sum() / width) + 1e-9
    assert share >= min(tyre.max() / width, 1) - 1e-9
    assert t.wheeled_share(middle + shift, tyre, width) == pytest.approx(share, abs=1e-9)
    assert t.wheeled_share([*middle, *middle], [*tyre, *tyre], width) == pytest.approx(share, abs=1e-9)


@given(tracks=TRACKS, width=number(2, 12))
def test_a_wide_field_is_driven_like_one_run(tracks, width):
    middle, tyre = np.array(tracks).T
    left, right = t.track_edges(middle, tyre, width, 400 * width)
    share = t.driven_at_least(left, right, 400 * width, 1)
    assert share == pytest.approx(float(t.wheeled_share(middle, tyre, width)), abs=0.03)
    times = [t.driven_at_least(left, right, 400 * width, k) for k in range(1, 80)]
    assert (np.diff(times) <= 1e-12).all()
    inside = (np.clip(right, 0, 400 * width) - np.clip(left, 0, 400 * width)).sum() / (400 * width)
    assert sum(times) == pytest.approx(inside, abs=1e-9)


@given(share=number(0, 1), passes=st.integers(1, 8), times=st.integers(1, 9))
def test_alike_passes_by_chance_are_binomial(share, passes, times):
    ours = t.driven_at_least_by_chance([share] * passes, times)
    assert ours == pytest.approx(binom.sf(times - 1, passes, share), abs=1e-12)


@given(st.lists(number(0, 1), min_size=1, max_size=8))
def test_chance_of_once_is_one_less_never(shares):
    assert t.driven_by_chance(shares) == pytest.approx(t.driven_at_least_by_chance(shares, 1), abs=1e-12)
    assert max(shares) - 1e-12 <= t.driven_by_chance(shares) <= min(1, sum(shares)) + 1e-12


def test_random_starts_agree_with_chance():
    random = np.random.default_rng(3)
    share = float(t.wheeled_share([-1, 1], 0.6, 6)), float(t.wheeled_share([-0.9, 0.9], 0.5, 4.7))
    found = []
    for _ in range(400):
        a = t.track_edges([-1, 1], 0.6, 6, 120, -6 * random.random())
        b = t.track_edges([-0.9, 0.9], 0.5, 4.7, 120, -4.7 * random.random())
        found.append(float(t.driven_at_least(np.r_[a[0], b[0]], np.r_[a[1], b[1]], 120, 1)))
    assert np.mean(found) == pytest.approx(float(t.driven_by_chance(share)), abs=0.01)


@given(tractor=number(3, 20), share=number(0.3, 0.7), hitch=number(0, 60), pull=number(0, 80))
def test_axles_carry_all_the_weight(tractor, share, hitch, pull):
    rear = t.rear_axle_load(tractor, share, hitch, 0.9, 2.9, pull, 0.5)
    front = t.front_axle_load(tractor, hitch, rear)
    assert rear + front == pytest.approx(tractor * 9.80665 + hitch)
    assert rear >= tractor * share * 9.80665


@given(tractor=number(3, 20), share=number(0.3, 0.7), hitch=number(0, 60), pull=number(0, 80), over=number(0.3, 1.5),
       high=number(0.2, 1), base=number(1.8, 3.5))  # fmt: skip
def test_what_is_shifted_is_what_the_whole_balance_says(tractor, share, hitch, pull, over, high, base):
    gain = t.rear_gain_drawn(hitch, over, 1000 * pull, high, base)
    standing = tractor * share * 9.80665
    rear = t.rear_axle_load(tractor, share, hitch, over, base, pull, high)
    assert standing + hitch + gain == pytest.approx(float(rear))
    front = tractor * (1 - share) * 9.80665 + t.front_change_drawn(gain)
    assert front == pytest.approx(float(t.front_axle_load(tractor, hitch, rear)), abs=1e-9)


@given(pull=number(0, 80_000), share=number(0, 1), over=number(0, 2), base=number(1.8, 3.5))
def test_a_mounted_tool_balances_about_the_rear_axle(pull, share, over, base):
    gain = t.rear_gain_mounted(pull, share)
    change = t.front_change_mounted(gain, over, base)
    down = gain + change  # what the tool brings in all
    assert -1e-12 <= down <= gain + 1e-12
    assert down * over + change * base == pytest.approx(0, abs=1e-9)


@given(load=number(1, 30), dose=number(10, 80), width=number(2, 20))
def test_the_tank_empties_evenly(load, dose, width):
    empty_at = load / (dose * width / 1e4)
    left = t.load_on_board(load, dose, width, np.array([0, 0.25, 0.5, 1, 2]) * empty_at)
    np.testing.assert_allclose(left, np.array([1, 0.75, 0.5, 0, 0]) * load, atol=1e-9)


@given(load=number(5, 25), tyre=number(100, 300), v=V)
def test_along_a_run_load_and_stress_fall_together(load, tyre, v):
    run = np.linspace(0, 1500, 16)
    on_board = t.load_on_board(load, 30, 6, run)
    mass = t.mass_at_fill(8, load, 1.02, on_board / load)
    wheel = t.wheel_load(t.axle_load(mass, 0.44), 2)
    area = t.contact_area_soft_osullivan(0.65, 1.42, wheel, tyre)
    stress = t.stress_under_even(t.contact_stress(wheel, area), t.circle_radius(area), 50, v)
    assert (np.diff(wheel) <= 1e-9).all()
    assert (np.diff(stress) <= 1e-9).all()
    emptied = run <= load / 30 / 6 * 1e4
    if emptied.sum() > 1:
        mean = t.mean_load_of_run(wheel[0], wheel[emptied][-1])
        assert mean == pytest.approx(np.trapezoid(wheel[emptied], run[emptied]) / run[emptied][-1], rel=1e-9)
