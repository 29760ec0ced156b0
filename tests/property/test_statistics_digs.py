"""What must hold of variances, limits and stopping rules whatever the readings; and how often they are right."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy.integrate import quad
from scipy.linalg import null_space
from scipy.optimize import minimize
from scipy.special import ndtr, ndtri
from scipy.stats import chi2, ncx2, t

from spadework import statistics as st

SEEDS = some.integers(0, 10_000)


def taken(seed: int, units: int = 6, most: int = 5, *, equal: bool = False) -> tuple[np.ndarray, np.ndarray]:
    random = np.random.default_rng(seed)
    digs = np.full(units, most) if equal else random.integers(1, most + 1, units)
    digs[0] = most
    names = np.repeat(np.arange(units), digs)
    spread = random.uniform(0, 2)
    return 6 + random.normal(0, spread, units)[names] + random.normal(0, 1, names.size), names


def test_squares_add_up_to_those_of_all_readings() -> None:
    for seed in range(20):
        values, names = taken(seed)
        it = st.sort_by_unit(values, names)
        assert it.between_squares + it.within_squares == pytest.approx(np.sum((values - values.mean()) ** 2))


@settings(max_examples=25)
@given(SEEDS)
def test_restricted_likelihood_of_equal_digs_gives_the_mean_squares(seed: int) -> None:
    it = st.sort_by_unit(*taken(seed, equal=True))
    one, other = st.components_anova(it), st.components_reml(it)
    assert one.at_zero == other.at_zero
    assert other.between_var == pytest.approx(one.between_var, rel=1e-6, abs=1e-9)
    assert other.within_var == pytest.approx(one.within_var, rel=1e-6)
    assert st.mean_of_all(it, one).df == pytest.approx(it.units - 1)


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_restricted_likelihood_of_unequal_digs_against_contrasts(seed: int) -> None:
    """The density of all contrasts of the readings, written out in full and searched by another method."""
    values, names = taken(seed)
    it = st.sort_by_unit(values, names)
    free = null_space(np.ones((1, values.size))).T
    same = (names[:, None] == names[None, :]).astype(float)

    def cost(logs: np.ndarray) -> float:
        cover = free @ (np.exp(logs[0]) * same + np.exp(logs[1]) * np.eye(values.size)) @ free.T
        contrasts = free @ values
        return float(np.linalg.slogdet(cover)[1] + contrasts @ np.linalg.solve(cover, contrasts))

    found = minimize(cost, [0.0, 0.0], method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-12, "maxiter": 2000})
    ours = st.components_reml(it)
    assert ours.between_var == pytest.approx(np.exp(found.x[0]), rel=1e-4, abs=1e-4)
    assert ours.within_var == pytest.approx(np.exp(found.x[1]), rel=1e-4)


@settings(max_examples=15)
@given(SEEDS, some.floats(0.01, 100), some.floats(-1000, 1000))
def test_another_unit_of_length_changes_nothing(seed: int, scale: float, shift: float) -> None:
    values, names = taken(seed)
    one, other = st.sort_by_unit(values, names), st.sort_by_unit(values * scale + shift, names)
    for way in (st.components_anova, st.components_reml):
        a, b = way(one), way(other)
        assert b.between_var == pytest.approx(a.between_var * scale**2, rel=1e-5, abs=1e-8 * scale**2)
        assert b.within_var == pytest.approx(a.within_var * scale**2, rel=1e-5)
        assert st.mean_of_all(other, b).df == pytest.approx(st.mean_of_all(one, a).df, rel=1e-4)
    low = [st.limit_below(st.pivotal_draws(it, 500), 0.9, 0.95) for it in (one, other)]
    assert low[1] == pytest.approx(low[0] * scale + shift, rel=1e-6, abs=1e-6)


@settings(max_examples=10)
@given(SEEDS)
def test_order_of_the_readings_does_not_matter(seed: int) -> None:
    values, names = taken(seed)
    order = np.random.default_rng(seed).permutation(values.size)
    one, other = st.sort_by_unit(values, names), st.sort_by_unit(values[order], names[order])
    assert st.components_reml(other).between_var == pytest.approx(st.components_reml(one).between_var, abs=1e-7)


def test_degrees_of_freedom_scatter_as_said() -> None:
    """Intervals from unequal digs hold the mean about as often as they say."""
    held = 0
    random = np.random.default_rng(5)
    names = np.repeat(np.arange(7), [1, 2, 6, 3, 2, 5, 4])
    for _ in range(400):
        values = random.normal(0, 1, 7)[names] + random.normal(0, 1, names.size)
        it = st.sort_by_unit(values, names)
        found = st.mean_of_all(it, st.components_anova(it))
        held += abs(found.mean) <= t.ppf(0.95, found.df) * found.se
    assert 0.86 <= held / 400 <= 0.95  # 0.90 wanted, standard error 0.015


def test_factors_fall_with_readings_and_rise_with_share_and_confidence() -> None:
    n = np.array([2, 3, 5, 10, 30, 100, 1000, 100_000])
    for k in (st.k_one_sided, st.k_two_sided):
        assert np.all(np.diff(k(n, 0.9, 0.95)) < 0)
        assert np.all(np.diff(k(10, np.array([0.6, 0.9, 0.99]), 0.95)) > 0)
        assert np.all(np.diff(k(10, 0.9, np.array([0.6, 0.9, 0.99]))) > 0)
    assert float(st.k_one_sided(100_000, 0.9, 0.95)) == pytest.approx(ndtri(0.9), abs=0.01)
    assert float(st.k_two_sided(100_000, 0.9, 0.95)) == pytest.approx(ndtri(0.95), abs=0.01)


def test_half_width_is_the_root_of_a_noncentral_chi_square() -> None:
    off = np.array([0.1, 0.7, 2.5, 6.0])
    np.testing.assert_allclose(st.half_width_for_share(off, 0.9), np.sqrt(ncx2.ppf(0.9, 1, off**2)), rtol=1e-7)


@pytest.mark.parametrize("units", [5, 12])
def test_one_dig_in_each_unit_gives_the_factors_of_independent_readings(units: int) -> None:
    values = np.random.default_rng(units).normal(6, 1, units)
    possible = st.pivotal_draws(st.sort_by_unit(values, np.arange(units)), 60_000)
    s = values.std(ddof=1)
    one = float(st.k_one_sided(units, 0.9, 0.95))
    assert (values.mean() - st.limit_below(possible, 0.9, 0.95)) / s == pytest.approx(one, rel=0.02)
    assert (st.limit_above(possible, 0.9, 0.95) - values.mean()) / s == pytest.approx(one, rel=0.02)
    low, high = st.limits_around(possible, 0.9, 0.95)
    assert (high - low) / 2 / s == pytest.approx(float(st.k_two_sided(units, 0.9, 0.95)), rel=0.02)


def test_limits_promise_what_they_keep_and_the_independent_ones_do_not() -> None:
    """Six units with four digs, 1.2 between and 0.8 inside: 90 % with 95 %, and the share in a window with 90 %."""
    random = np.random.default_rng(11)
    names, runs = np.repeat(np.arange(6), 4), 300
    sd = float(np.hypot(1.2, 0.8))
    k_one, k_two = float(st.k_one_sided(24, 0.9, 0.95)), float(st.k_two_sided(24, 0.9, 0.95))
    windows = ((-2.0, 2.0), (0.0, 4.0), (-np.inf, 2.0))
    kept, high_enough = np.zeros(4), np.zeros((3, 2))
    for run in range(runs):
        values = random.normal(0, 1.2, 6)[names] + random.normal(0, 0.8, names.size)
        possible = st.pivotal_draws(st.sort_by_unit(values, names), 600, seed=run)
        mean, s = values.mean(), values.std(ddof=1)
        low, high = st.limits_around(possible, 0.9, 0.95)
        for place, (lower, upper) in enumerate(windows):
            share, truly = st.share_inside(possible, lower, upper, 0.9), ndtr(upper / sd) - ndtr(lower / sd)
            high_enough[place] += [share.low <= truly, truly <= share.high]
        kept += [
            ndtr(-st.limit_below(possible, 0.9, 0.95) / sd) >= 0.9,
            ndtr(-(mean - k_one * s) / sd) >= 0.9,
            ndtr(high / sd) - ndtr(low / sd) >= 0.9,
            ndtr((mean + k_two * s) / sd) - ndtr((mean - k_two * s) / sd) >= 0.9,
        ]
    below, below_alike, around, around_alike = kept / runs
    assert 0.912 <= below <= 0.988
    assert below_alike < 0.87
    assert 0.912 <= around <= 0.988
    assert around_alike < 0.87
    assert np.all(
        high_enough / runs >= 0.95 - 0.03
    )  # each end 0.95 wanted or more; under three standard errors of 400 runs
    assert np.all(high_enough[2] / runs <= 0.988)  # exact where one side is open


@settings(max_examples=30)
@given(SEEDS, some.floats(0.1, 3), some.floats(0.1, 3))
def test_a_wider_window_holds_more(seed: int, half: float, more: float) -> None:
    possible = st.pivotal_draws(st.sort_by_unit(*taken(seed)), 500)
    narrow, wide = (st.share_inside(possible, 6 - h, 6 + h, 0.9) for h in (half, half + more))
    assert 0 <= narrow.low <= narrow.middle <= narrow.high <= 1
    assert narrow.low <= wide.low
    assert narrow.middle <= wide.middle
    assert narrow.high <= wide.high
    below, above = (st.share_inside(possible, *w, 0.9).middle for w in ((-np.inf, 6), (6, np.inf)))
    assert below + above == pytest.approx(1)


@pytest.mark.parametrize("df", [1, 4, 20])
@pytest.mark.parametrize("error", [0.05, 0.2])
def test_bound_after_a_first_sample_spends_the_error(df: int, error: float) -> None:
    """Integral of exp(-bound s^2 / sigma^2) over the chi-square, by quadrature."""
    bound = float(st.bound_estimated(error, df))
    spent = quad(lambda q: np.exp(-bound * ndf_share(q, df)) * chi2.pdf(ndf_share(q, df) * df, df) * df * 2 * q, 0, 12)[
        0
    ]
    assert spent == pytest.approx(error, rel=1e-6)


def ndf_share(root: float, df: int) -> float:
    """Return s^2 / sigma^2; its root as the variable keeps the density finite at nought."""
    return max(root, 1e-12) ** 2


def test_bounds_meet_where_the_scatter_is_well_known() -> None:
    error = np.array([0.01, 0.05, 0.2])
    np.testing.assert_allclose(st.bound_estimated(error, 1e6), st.bound_known(error), rtol=1e-5)
    assert np.all(st.bound_estimated(error, 5) > st.bound_known(error))


def stopped(
    true_mean: float, bound: np.ndarray, sd: np.ndarray, values: np.ndarray, first: int
) -> tuple[float, float, float]:
    """Return shares called right and wrong, and the mean number of readings."""
    n = np.arange(1, values.shape[1] + 1)
    means = np.cumsum(values + true_mean, axis=1) / n
    calls = st.verdict(st.evidence(n, means, sd, 6.0, 5.0), bound, bound)[:, first - 1 :]
    place = np.argmax(calls != 0, axis=1)
    last = calls[np.arange(len(calls)), place]
    return float(np.mean(last == 1)), float(np.mean(last == -1)), float(np.mean(place + first))


def test_stopping_keeps_its_errors() -> None:
    """Means 6 and 5, scatter 1, errors of 0.1: known scatter, and scatter of the first four readings."""
    values = np.random.default_rng(3).normal(0, 1, (3000, 250))
    near = 3 * np.sqrt(0.1 * 0.9 / 3000)
    known, one = np.asarray(st.bound_known(0.1)), np.ones((1, 1))
    right, wrong, number = stopped(6.0, known, one, values, 1)
    assert right + wrong == 1
    assert 0.02 < wrong <= 0.1
    expected = float(st.readings_on_average(0.1, known, known, 1.0, 6.0, 5.0))
    assert expected < number < expected + 3
    assert 0.02 < stopped(5.0, known, one, values, 1)[0] <= 0.1

    s = values[:, :4].std(axis=1, ddof=1)[:, None]
    bound = np.asarray(st.bound_estimated(0.1, 3))
    assert stopped(6.0, bound, s, values, 4)[1] <= 0.1 + near
    assert stopped(5.0, bound, s, values, 4)[0] <= 0.1 + near
    assert stopped(6.0, known, s, values, 4)[1] > stopped(6.0, bound, s, values, 4)[1] + 0.03


def test_units_needed_is_the_smallest_that_does() -> None:
    for between, within, digs, half in (
        (0.8, 1.0, 3, 0.75),
        (1.2, 0.8, 1, 0.5),
        (0.1, 0.1, 5, 2.0),
        (2.0, 1.0, 2, 0.3),
    ):
        units = float(st.units_for_mean(between, within, digs, half, 0.95))

        def width(number: float, parts: tuple[float, float, int] = (between, within, digs)) -> float:
            return float(t.ppf(0.975, number - 1) * st.mean_se(parts[0], parts[1], number, parts[2]))

        assert width(units) <= half
        assert units == 2 or width(units - 1) > half


def test_best_digs_cost_least() -> None:
    between, within, walk, dig = 0.8, 1.3, 12.0, 4.0
    best = float(st.digs_per_unit(between, within, walk, dig))

    def time_by_variance(digs: float) -> float:
        return (walk + digs * dig) * (between**2 + within**2 / digs)

    assert time_by_variance(best) < min(time_by_variance(best * 0.9), time_by_variance(best * 1.1))
