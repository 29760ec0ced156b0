"""Harvest sums: mass is kept, units do not matter, limits hold, steps of cleaning only take away."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harvest_made import made_log
from spadework.science import harvest as hv

SHARE = st.floats(0.05, 0.9)


@given(st.floats(1, 100), SHARE, SHARE)
def test_dry_matter_is_kept_when_stated_otherwise(fresh: float, moisture: float, standard: float) -> None:
    stated = float(hv.yield_at_moisture(fresh, moisture, standard))
    assert stated * (1 - standard) == pytest.approx(fresh * (1 - moisture), rel=1e-12)
    assert stated == pytest.approx(fresh * (1 - float(hv.shrink(moisture, standard))), rel=1e-9)
    assert stated == pytest.approx(float(hv.yield_at_dry_matter(fresh, 1 - moisture, 1 - standard)), rel=1e-9)


@given(st.floats(0, 0.5), st.floats(0, 0.5), st.floats(0, 0.5), st.floats(0, 0.5))
def test_errors_add_up_and_none_makes_another_smaller(a: float, b: float, c: float, d: float) -> None:
    whole = float(hv.relative_yield_se(a, b, c, d))
    assert max(a, b, c, d) <= whole + 1e-12 <= a + b + c + d + 1e-9


@given(st.lists(st.tuples(st.floats(0.1, 50), st.floats(1, 50), st.sampled_from("abc")), min_size=1, max_size=30))
def test_strips_hold_all_mass_and_area(points: list[tuple[float, float, str]]) -> None:
    mass, area, strip = (list(column) for column in zip(*points, strict=True))
    found = hv.strip_means(mass, area, strip)
    assert found.mass_kg.sum() == pytest.approx(sum(mass))
    assert found.area_m2.sum() == pytest.approx(sum(area))
    yields = 10 * np.array(mass) / np.array(area)
    assert yields.min() - 1e-9 <= found.yield_t_ha.min()
    assert found.yield_t_ha.max() <= yields.max() + 1e-9


@given(st.lists(st.floats(0.2, 0.5), min_size=2, max_size=9), st.floats(0.1, 10))
def test_the_mean_dry_matter_lies_among_its_samples(values: list[float], factor: float) -> None:
    place = np.arange(len(values)) // 2
    mass = np.linspace(1000, 3000, place.max() + 1)
    one = hv.sampled_dry_matter(values, place, mass)
    other = hv.sampled_dry_matter(values, place, factor * mass)
    assert min(values) - 1e-12 <= one.dry_matter_share <= max(values) + 1e-12
    assert other.dry_matter_share == pytest.approx(one.dry_matter_share)
    assert one.standard_error >= 0


@given(st.floats(-60, 60), st.floats(-179, 179), st.floats(-0.005, 0.005), st.floats(-0.005, 0.005))
def test_the_middle_is_nought_and_opposite_places_lie_opposite(lat: float, lon: float, up: float, right: float) -> None:
    one = hv.metres_from_middle(lat + up, lon + right, lat, lon)
    other = hv.metres_from_middle(lat - up, lon - right, lat, lon)
    np.testing.assert_allclose(one, -other, atol=1e-6)
    np.testing.assert_allclose(hv.metres_from_middle(lat, lon, lat, lon), 0, atol=1e-9)


def test_places_over_the_line_of_the_date() -> None:
    east, _ = hv.metres_from_middle(0, -179.999, 0, 179.999)
    assert float(east) == pytest.approx(222.6, abs=0.1)


@settings(max_examples=8)
@given(st.integers(0, 100), st.floats(0, 8))
def test_cleaning_only_takes_away_and_tells_of_every_point(seed: int, effect: float) -> None:
    log = made_log(seed=seed, passes=4, length_m=120, effect=effect)
    found = hv.clean_log(*log.arrays(), delay_s=12)
    removed = [step.removed for step in found.steps]
    assert [step.name for step in found.steps] == list(hv.STEPS)
    assert found.steps[0].before == log.time_s.size
    for number, (step, after) in enumerate(zip(found.steps, found.steps[1:], strict=False), 1):
        assert after.before == step.before - step.removed
        assert np.sum(found.reason == number) == step.removed
    assert log.time_s.size - sum(removed) == found.kept.sum()
    moved = hv.clean_log(log.time_s + 1000, log.east_m + 50, log.north_m - 70, *log.arrays()[3:], delay_s=12)
    np.testing.assert_array_equal(moved.reason, found.reason)


@settings(max_examples=6)
@given(st.integers(0, 100))
def test_what_one_strip_yields_does_not_change_what_is_removed_from_another(seed: int) -> None:
    plain, richer = (made_log(seed=seed, passes=4, length_m=150, effect=effect, smear_s=0) for effect in (0.0, 6.0))
    one, other = (hv.clean_log(*log.arrays(), delay_s=12) for log in (plain, richer))
    mine = np.char.startswith(plain.strip, "A")
    np.testing.assert_array_equal(one.reason[mine], other.reason[mine])
