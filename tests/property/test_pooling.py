"""Pooling keeps its promises: units, order, limits, and how often its intervals hold the truth."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from spadework.statistics.fields.pooling import WAYS, chance_above, leave_one_out, pool

SETS = st.lists(st.tuples(st.floats(-5, 5), st.floats(0.05, 2)), min_size=2, max_size=8)
WAY = st.sampled_from(WAYS)


def cut(pairs: list[tuple[float, float]]) -> tuple[np.ndarray, np.ndarray]:
    a = np.array(pairs)
    return a[:, 0], a[:, 1]


@given(SETS, WAY)
def test_the_mean_lies_between_the_fields_and_in_its_interval(pairs: list[tuple[float, float]], way: str) -> None:
    d, se = cut(pairs)
    found = pool(d, se, way)
    assert d.min() - 1e-9 <= found.difference <= d.max() + 1e-9
    assert found.interval[0] <= found.difference <= found.interval[1]
    assert abs(found.weights.sum() - 1) < 1e-9
    assert 0 <= found.between_share < 1
    assert found.used_se >= found.standard_error - 1e-12


@given(SETS, WAY, st.floats(0.1, 20), st.floats(-3, 3))
def test_another_unit_and_another_nought(
    pairs: list[tuple[float, float]], way: str, factor: float, shift: float
) -> None:
    d, se = cut(pairs)
    one, other = pool(d, se, way), pool(factor * d + shift, factor * se, way)
    np.testing.assert_allclose(other.difference, factor * one.difference + shift, rtol=1e-5, atol=1e-5 * factor)
    np.testing.assert_allclose(other.between_sd, factor * one.between_sd, rtol=1e-4, atol=1e-4 * factor)


@given(SETS, WAY, st.randoms())
def test_order_of_fields_does_not_matter(pairs: list[tuple[float, float]], way: str, random) -> None:  # type: ignore[no-untyped-def]
    shuffled = pairs[:]
    random.shuffle(shuffled)
    one, other = pool(*cut(pairs), way), pool(*cut(shuffled), way)
    np.testing.assert_allclose(one.difference, other.difference, rtol=1e-6, atol=1e-7)


@given(st.floats(-5, 5), st.lists(st.floats(0.05, 2), min_size=3, max_size=8), WAY)
def test_fields_that_agree_have_no_variance_between(value: float, errors: list[float], way: str) -> None:
    found = pool(np.full(len(errors), value), errors, way)
    assert found.between_sd == 0
    assert abs(found.difference - value) < 1e-9


@given(SETS.filter(lambda pairs: len(pairs) >= 3))
def test_a_new_field_is_less_sure_than_the_mean(pairs: list[tuple[float, float]]) -> None:
    found = pool(*cut(pairs), "reml")
    assert np.diff(found.new_field)[0] >= 2 * 1.96 * found.standard_error - 1e-9
    assert len(leave_one_out(*cut(pairs), "fixed")) == len(pairs)


@given(st.floats(-5, 5), st.floats(0.05, 2), st.floats(1, 40), st.floats(-5, 5))
def test_chances_above_and_below_make_one(difference: float, se: float, df: float, limit: float) -> None:
    above = float(chance_above(difference, se, df, limit))
    below = float(chance_above(-difference, se, df, -limit))
    assert abs(above + below - 1) < 1e-9
    assert float(chance_above(difference, se, df, limit + 0.1)) <= above


def test_intervals_hold_the_mean_about_as_often_as_they_say() -> None:
    random = np.random.default_rng(1)
    held = dict.fromkeys(("reml", "fixed"), 0)
    new = 0
    rounds = 600
    for _ in range(rounds):
        true = random.normal(1.0, 0.4, 6)
        se = random.uniform(0.1, 0.4, 6)
        d = true + random.normal(0, se)
        for way in held:
            low, high = pool(d, se, way).interval
            held[way] += low <= 1.0 <= high
        low, high = pool(d, se, "reml").new_field
        new += low <= random.normal(1.0, 0.4) <= high
    assert 0.92 < held["reml"] / rounds < 0.985
    assert held["fixed"] / rounds < 0.85  # fields taken for alike where they are not: too sure
    assert 0.90 < new / rounds < 0.99
