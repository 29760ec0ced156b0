"""Draws fill their distributions evenly, are the same for the same seed, and do not lean on one another."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from spadework.estimate.draws import Draws, normal_between, triangular, uniform
from spadework.quantities import parse

N = 2_000


@settings(deadline=None, max_examples=30)
@given(st.integers(0, 10_000), st.integers(0, 59))
def test_shares_are_even(seed: int, place: int) -> None:
    draws = Draws(N, seed)
    for key in range(place):
        draws.shares(str(key))
    shares = draws.shares("wanted")
    assert ((shares >= 0) & (shares < 1)).all()
    counts, _ = np.histogram(shares, 20, (0, 1))
    assert (counts == N / 20).all()


def test_pairs_do_not_correlate() -> None:
    draws = Draws(N, 1)
    matrix = np.corrcoef(np.array([draws.shares(str(key)) for key in range(60)]))
    assert np.abs(matrix - np.eye(60)).max() < 5 / np.sqrt(N)


@given(st.floats(0.1, 100), st.floats(0.01, 0.3))
def test_normal_quantiles(mean: float, relative: float) -> None:
    shares = (np.arange(500) + 0.5) / 500
    ours = normal_between(shares, mean, mean * relative, 0.0, np.inf)
    low, high = -1 / relative, np.inf
    np.testing.assert_allclose(ours, stats.truncnorm.ppf(shares, low, high, mean, mean * relative), rtol=1e-7)


@given(st.floats(-5, 5), st.floats(0.01, 5), st.floats(0.01, 5))
def test_triangular_quantiles(low: float, left: float, right: float) -> None:
    shares = (np.arange(200) + 0.5) / 200
    ours = triangular(shares, low, low + left, low + left + right)
    theirs = stats.triang.ppf(shares, left / (left + right), low, left + right)
    np.testing.assert_allclose(ours, theirs, rtol=1e-7, atol=1e-9)


def test_uniform_and_written_spreads() -> None:
    draws = Draws(N, 3)
    assert uniform(np.array([0.0, 0.25]), 2.0, 6.0).tolist() == [2.0, 3.0]
    about = draws.of("about", parse("22 +/- 3 L/ha", "L/ha"))
    np.testing.assert_allclose(np.quantile(about, [0.1, 0.5, 0.9]), [19, 22, 25], atol=0.05)
    between = draws.of("between", parse("18..30 L/ha", "L/ha"))
    assert 18 <= between.min() < 18.1
    assert 29.9 < between.max() <= 30
    assert draws.of("exact", parse("8 in", "cm")).tolist() == [20.32]


def test_same_seed_same_draws_and_one_draw_is_the_middle() -> None:
    quantity = parse("22 +/- 3 L/ha", "L/ha")
    first, second, other = (Draws(N, seed).of("k", quantity) for seed in (7, 7, 8))
    assert (first == second).all()
    assert (first != other).any()
    np.testing.assert_allclose(Draws(1, 7).of("k", quantity), [22.0])
    again = Draws(N, 7)
    assert (again.of("k", quantity) == again.of("k", quantity)).all()
