"""Spreading, limits and roots: shapes, errors, edges."""

from __future__ import annotations

import numpy as np
import pytest

from spadework.ranges import ImpossibleValue
from spadework.science.band import diffusion, mobility, nitrate, nitrification, roots, thresholds

CUT = {"centre_depth_cm": 16.0, "half_height_cm": 5.0, "half_width_cm": 5.0, "row_spacing_m": 0.75}


def test_shapes():
    found = diffusion.ammonium_at(np.ones((3, 4)), [0.0, 1.0], [[5.0], [6.0], [7.0]], **CUT)
    assert found.shape == (3, 4, 3, 2)
    assert diffusion.ammonium_at(1, 0, 5, **CUT).shape == ()
    assert diffusion.ammonium_section([1, 2], **CUT).shape == (2, 120, 75)
    assert nitrate.nitrate_at(np.ones((2, 3)), 0.02, 0.1, 0.02, [0, 1], 5, **CUT).shape == (2, 3, 2)


def test_points_and_section_agree():
    field = diffusion.ammonium_section(3, cell_cm=0.5, **CUT)
    at = diffusion.ammonium_at(3, 0.5 * 4 + 0.25, 0.5 * 30 + 0.25, cell_cm=0.5, **CUT)
    assert at == pytest.approx(field[30, 4], rel=1e-12)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("half_height_cm", 17),
        ("half_width_cm", 38),
        ("half_width_cm", 1e-6),
        ("centre_depth_cm", 70),
        ("cell_cm", 0.001),
        ("row_spacing_m", 0),
    ],
)
def test_band_must_lie_in_the_cut(name, value):
    with pytest.raises(ImpossibleValue, match=name):
        diffusion.ammonium_at(1, 0, 5, **{**CUT, name: value})


def test_points_must_lie_in_the_cut():
    with pytest.raises(ImpossibleValue, match="across_cm"):
        diffusion.ammonium_at(1, 40, 5, **CUT)
    with pytest.raises(ImpossibleValue, match="depth_cm"):
        diffusion.ammonium_at(1, 0, 61, **CUT)


def test_more_fluid_than_pores():
    assert mobility.path_millington_quirk_1961([0.45, 0.2], [0.5, 0.3]).shape == (2,)
    with pytest.raises(ImpossibleValue, match="filled_share"):
        mobility.path_millington_quirk_1961(0.5, 0.45)
    with pytest.raises(ImpossibleValue, match="moisture_share"):
        mobility.path_impedance(0.1, 8)


def test_ammonia_in_air_speeds_it():
    still = mobility.apparent_diffusion(1.3, 0.04, 0, 0, 0.1, 2300, 0.25, 0.2, 1.38, 2)
    assert mobility.apparent_diffusion(1.3, 0.04, 18000, 0.02, 0.1, 2300, 0.25, 0.2, 1.38, 2) > still


def test_no_nitrification_outside_its_temperatures():
    assert nitrification.nitrification_temperature_factor([-1, 0, 40, 45]).tolist() == [0, 0, 0, 0]


def test_roots_in_cold_soil():
    assert roots.radicle_days(10) == np.inf
    assert roots.root_arrival(3, 6, 0) == np.inf
    assert roots.root_arrival(3, 0, 0) == 3
    assert roots.root_arrival_daily([[8.0] * 10, [15.0] * 10], [6, 6])[0] == np.inf
    assert roots.root_arrival_daily([15.0] * 5, 6) == np.inf
    assert roots.root_arrival_daily([5.0] * 3 + [15.0] * 10, 0) == 7


def test_impossible_inputs():
    with pytest.raises(ImpossibleValue, match="limit"):
        thresholds.against_limit(1, 0)
    with pytest.raises(ImpossibleValue, match="gap_cm"):
        roots.root_arrival(3, -1, 1)
    with pytest.raises(ImpossibleValue, match="rate_per_day"):
        nitrification.ammonium_left([1], -0.1)


def test_growth_is_lost_once_at_most():
    assert thresholds.growth_lost_to_salt([0.5, 1, 100], 1, 0.049).tolist() == [0, 0, 1]
