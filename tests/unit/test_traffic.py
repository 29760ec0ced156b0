"""Pressure under wheels: shapes, errors, edges."""

from __future__ import annotations

import numpy as np
import pytest

from spadework.ranges import ImpossibleValue, OutsideCalibration, collecting
from spadework.reference import load
from spadework.science import traffic as t


def test_shapes():
    assert t.contact_area_soft_osullivan([[0.5], [0.6]], 1.6, [20, 30, 40], 150).shape == (2, 3)
    assert t.stress_under_spread(np.ones((4, 1)), 0.4, [10, 30, 50], 5, 4).shape == (4, 3)
    assert t.stress_beside_spread(np.ones((4, 1)), 0.4, [0, 1, 2], 30, [[3], [4], [5], [6]], 4).shape == (4, 3)
    assert t.stress_beside_even(100, 0.4, 0.2, 30, 5).shape == ()


def test_section_has_rows_of_depth_and_columns_across():
    cut = t.stress_section([120, 90], 0.35, [-0.95, 0.95], 0, np.linspace(-2, 2, 41), 0, [10, 30, 50], 5)
    assert cut.shape == (3, 41)
    assert np.argmax(cut[0]) < 20
    assert cut[0, 0] < cut[2, 0]  # beside the wheel it rises with depth before it falls


def test_wheels_with_draws_ahead_of_their_axis():
    found = t.stress_under_wheels(np.full((7, 2), 100.0), 0.3, [-1, 1], 0, 0.0, 0.0, 40, 5)
    assert found.shape == (7,)


def test_an_axle_behind_adds_less_than_a_twin():
    alone = t.stress_under_wheels(100, 0.35, 0, 0, 0, 0, 50, 5)
    twin = t.stress_under_wheels([100, 100], 0.35, [0, 0.7], 0, 0, 0, 50, 5)
    tandem = t.stress_under_wheels([100, 100], 0.35, 0, [0, 1.8], 0, 0, 50, 5)
    assert alone < tandem < twin
    assert tandem / alone < 1.02


@pytest.mark.parametrize(
    ("wrong", "name"),
    [
        (lambda: t.contact_area_soft_osullivan(0.6, 1.5, 30, 0), "tyre_pressure_kpa"),
        (lambda: t.contact_area_hard_osullivan(6, 1.5, 30, 100), "tyre_width_m"),
        (lambda: t.contact_stress(30, 0), "contact_area_m2"),
        (lambda: t.stress_under_even(100, 0.4, -1, 5), "depth_cm"),
        (lambda: t.stress_under_even(100, 0.4, 30, 2), "concentration"),
        (lambda: t.stress_under_parabola(100, 0, 30, 5), "radius_m"),
        (lambda: t.stress_under_spread(100, 0.4, 30, 5, 0), "pressure_exponent"),
        (lambda: t.stress_beside_even(100, 0.4, -0.1, 30, 5), "away_m"),
        (lambda: t.wheel_load_for_limit(100, 0, 50, 5), "limit_kpa"),
        (lambda: t.wheel_load_for_limit(100, 50, 0, 5), "depth_cm"),
        (lambda: t.wheel_load(50, 0), "wheels"),
        (lambda: t.driven_by_chance([0.2, 1.2]), "pass_share"),
        (lambda: t.driven_at_least([1.0], [0.5], 6, 1), "right_m less left_m"),
        (lambda: t.driven_at_least([1.0], [1.5], 6, 0), "times"),
        (lambda: t.wheeled_share([0], [0.5], 0), "width_m"),
    ],
)
def test_impossible(wrong, name):
    with pytest.raises(ImpossibleValue, match=name):
        wrong()


def test_outside_what_models_were_fitted_to():
    with pytest.warns(OutsideCalibration, match="peak of stress"):
        t.peak_stress(300)
    with collecting() as notes:
        t.contact_area_soft_osullivan(0.6, 1.5, 2, 100)
    assert [note.parameter for note in notes] == ["wheel_load_kn"]


def test_nothing_at_the_surface_beside_the_wheel():
    assert t.stress_beside_even(100, 0.4, [0.39, 0.4, 0.41], 0, 5).tolist() == [100, 50, 0]


def test_tyres_wider_than_the_run_cover_all():
    assert t.wheeled_share([0], [3], 2) == 1
    assert t.wheeled_share([[0, 1]], [2.0, 0.2], [4.0]).shape == (1,)


def test_wheel_on_the_border_of_the_run_counts_there():
    assert float(t.wheeled_share([3], [0.6], 6)) == pytest.approx(0.1)
    assert float(t.wheeled_share([-3, 3], [0.6, 0.6], 6)) == pytest.approx(0.1)


def test_front_lifts():
    assert t.front_axle_load(8, 60, t.rear_axle_load(8, 0.6, 60, 1.5, 2.8, 60, 0.6)) < 0


def test_classes_of_strength_follow_one_another():
    rows = [row.entry("value") for row in load("soil_strength").values()]
    assert [row.high for row in rows[:-1]] == [row.low for row in rows[1:]]
