"""What must hold of neighbours on the grid, held against full matrices written down in plain form."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from spadework.statistics.models.mixed import fit_mixed
from spadework.statistics.residuals.neighbours import neighbour_means, papadakis, spatial_sensitivity
from spadework.statistics.residuals.on_map import moran_i, neighbours_alike, on_the_map, trend_on_map
from spadework.statistics.residuals.spatial import fit_spatial

SEEDS = some.integers(0, 10_000)
Grid = tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]


def full_matrix(y, x, row, column, at, random=(), ratios=()):
    """Minus twice the restricted log-likelihood, scale and effects, with every matrix written out."""
    steps = [np.abs(np.subtract.outer(place, place)) for place in (row, column)]
    v = (1 - at[2]) * at[0] ** steps[0] * at[1] ** steps[1] + at[2] * np.eye(y.size)
    for labels, ratio in zip(random, ratios, strict=True):
        v = v + ratio * np.equal.outer(labels, labels)
    inside = np.linalg.inv(v)
    information = x.T @ inside @ x
    effects = np.linalg.solve(information, x.T @ inside @ y)
    rest = y - x @ effects
    free = y.size - x.shape[1]
    scale = float(rest @ inside @ rest) / free
    lost = np.linalg.slogdet(v)[1] + np.linalg.slogdet(information)[1] + free * (np.log(2 * np.pi * scale) + 1)
    return float(lost), scale, effects, scale * np.linalg.inv(information)


def field(seed: int, rows: int = 5, columns: int = 6, gone: int = 0) -> Grid:
    random = np.random.default_rng(seed)
    row, column = np.divmod(np.arange(rows * columns), columns)
    kept = np.sort(random.permutation(row.size)[gone:])
    row, column = row[kept], column[kept]
    steps = [np.abs(np.subtract.outer(place, place)) for place in (row, column)]
    v = 0.7 * 0.6 ** steps[0] * 0.8 ** steps[1] + 0.3 * np.eye(row.size)
    system = random.permutation(np.arange(row.size) % 3)
    x = np.column_stack([np.ones(row.size), system == 1, system == 2]).astype(float)
    return x @ [12.0, 0.5, 1.0] + np.linalg.cholesky(v) @ random.normal(size=row.size), x, row, column


@given(
    seed=SEEDS,
    gone=some.integers(0, 6),
    at=some.tuples(some.floats(-0.5, 0.95), some.floats(-0.5, 0.95), some.sampled_from([0.0, 0.05, 0.4, 0.9])),
)
@settings(max_examples=40)
def test_given_correlations_are_those_of_full_matrices(seed: int, gone: int, at: tuple[float, float, float]) -> None:
    y, x, row, column = field(seed, gone=gone)
    found = fit_spatial(y, x, row, column, held=at)
    lost, scale, effects, covariance = full_matrix(y, x, row, column, at)
    assert found.log_likelihood == pytest.approx(-lost / 2, abs=1e-7)
    assert found.variance == pytest.approx(scale, rel=1e-7)
    np.testing.assert_allclose(found.effects, effects, atol=1e-7)
    np.testing.assert_allclose(found.covariance, covariance, atol=1e-7)


@pytest.mark.parametrize("gone", [0, 4])
def test_terms_of_the_layout_beside_neighbours_are_those_of_full_matrices(gone: int) -> None:
    y, x, row, column = field(3, gone=gone)
    block = row // 2
    y = y + np.array([0.0, 2.0, -1.5])[block]
    found = fit_spatial(y, x, row, column, {"block": block}, held=(0.5, 0.6, 0.3))
    lost = full_matrix(y, x, row, column, (0.5, 0.6, 0.3), [block], [found.random["block"] / found.variance])
    assert found.log_likelihood == pytest.approx(-lost[0] / 2, abs=1e-7)
    np.testing.assert_allclose(found.effects, lost[2], atol=1e-6)
    for factor in (0.8, 1.25):
        off = full_matrix(
            y, x, row, column, (0.5, 0.6, 0.3), [block], [factor * found.random["block"] / found.variance]
        )
        assert off[0] > lost[0]


@pytest.mark.parametrize("seed", [1, 2])
def test_no_nearby_correlation_is_more_likely(seed: int) -> None:
    y, x, row, column = field(seed, 6, 8, gone=3)
    found = fit_spatial(y, x, row, column)
    best = np.array([found.rho_rows, found.rho_columns, found.nugget_share])
    assert full_matrix(y, x, row, column, best)[0] == pytest.approx(-2 * found.log_likelihood, abs=1e-7)
    for step in (0.02, -0.02):
        for axis in range(3):
            near = best.copy()
            near[axis] = np.clip(near[axis] + step, 0.0 if axis == 2 else -0.9, 0.999)
            assert full_matrix(y, x, row, column, near)[0] >= -2 * found.log_likelihood - 1e-6


@given(seed=SEEDS, gone=some.integers(0, 5))
@settings(max_examples=15)
def test_no_correlation_is_independent_plots(seed: int, gone: int) -> None:
    y, x, row, column = field(seed, gone=gone)
    found, plain = fit_spatial(y, x, row, column, held=(0.0, 0.0, 0.0)), fit_mixed(y, x, {})
    assert found.log_likelihood == pytest.approx(plain.log_likelihood, abs=1e-8)
    np.testing.assert_allclose(found.covariance, plain.covariance, atol=1e-10)


def test_turning_the_map_turns_the_correlations_and_a_unit_scales_them_not() -> None:
    y, x, row, column = field(5, gone=2)
    one = fit_spatial(y, x, row, column, nugget=False)
    two = fit_spatial(1000 * (y - 7), x, column, row + 40, nugget=False)
    assert (two.rho_columns, two.rho_rows) == pytest.approx((one.rho_rows, one.rho_columns), abs=2e-4)
    np.testing.assert_allclose(two.effects[1:], 1000 * one.effects[1:], rtol=1e-3)
    assert two.variance == pytest.approx(1e6 * one.variance, rel=1e-3)


def test_correlations_come_back_from_large_maps() -> None:
    found = []
    for seed in range(5):
        y, x, row, column = field(seed, 16, 20)
        fit = fit_spatial(y, x, row, column)
        found.append((fit.rho_rows, fit.rho_columns, fit.nugget_share))
    np.testing.assert_allclose(np.mean(found, axis=0), (0.6, 0.8, 0.3), atol=0.1)


@given(seed=SEEDS)
@settings(max_examples=20)
def test_neighbours_are_those_beside_and_no_others(seed: int) -> None:
    random = np.random.default_rng(seed)
    y, _, row, column = field(seed, 4, 5, gone=5)
    values = random.normal(size=y.size)
    found = neighbour_means(values, row, column)
    for plot in range(y.size):
        beside = values[(row == row[plot]) & (np.abs(column - column[plot]) == 1)]
        above = values[(column == column[plot]) & (np.abs(row - row[plot]) == 1)]
        np.testing.assert_allclose(
            found[plot], [part.mean() if part.size else 0.0 for part in (beside, above)], atol=1e-12
        )


def test_covariates_of_neighbours_are_least_squares() -> None:
    y, x, row, column = field(8, gone=3)
    near = neighbour_means(y - x @ np.linalg.lstsq(x, y, rcond=None)[0], row, column)
    effects, rest, *_ = np.linalg.lstsq(np.column_stack([x, near]), y, rcond=None)
    found = papadakis(y, x, row, column)
    np.testing.assert_allclose(found.slopes, effects[3:], atol=1e-9)
    np.testing.assert_allclose(found.effects, effects[:3], atol=1e-9)
    assert found.residual_ms == pytest.approx(rest[0] / found.df)


@given(some.lists(some.integers(-5, 5), min_size=6, max_size=6).filter(lambda values: len(set(values)) > 1))
@settings(max_examples=15)
def test_likeness_is_one_over_the_rest_on_average_over_all_shuffles(values: list[int]) -> None:
    row, column = np.divmod(np.arange(6), 3)
    every = [moran_i(each, row, column) for each in itertools.permutations(values)]
    assert np.mean(every) == pytest.approx(-1 / 5, abs=1e-12)


def test_shuffling_finds_the_chance_of_counting_all_shuffles() -> None:
    values, (row, column) = [1.0, 2.0, 2.5, 4.0, 6.0, 9.0], np.divmod(np.arange(6), 3)
    every = np.array([moran_i(each, row, column) for each in itertools.permutations(values)])
    ours = neighbours_alike(values, row, column, draws=5000)
    exact = np.mean(np.abs(every + 0.2) >= abs(ours.i + 0.2) - 1e-12)
    assert ours.p == pytest.approx(exact, abs=4 * np.sqrt(exact * (1 - exact) / 5000))


@given(seed=SEEDS, slope=some.floats(-3, 3))
@settings(max_examples=20)
def test_a_trend_is_found_as_it_was_laid(seed: int, slope: float) -> None:
    row, column = np.divmod(np.arange(20), 5)
    noise = np.random.default_rng(seed).normal(0, 1e-6, 20)
    found = trend_on_map(slope * column - 0.5 * row + noise, row, column)
    assert (found.per_column, found.per_row) == pytest.approx((slope, -0.5), abs=1e-5)


def test_the_map_shows_each_value_in_its_place() -> None:
    y, _, row, column = field(1, gone=4)
    board = on_the_map(y, row, column)
    np.testing.assert_array_equal(board[row - row.min(), column - column.min()], y)
    assert np.isnan(board).sum() == board.size - y.size


def test_opinions_stand_beside_the_layouts_own() -> None:
    y, x, row, column = field(11, 4, 6)
    data = {
        "system": np.array(["cultivator", "plough", "strip"])[(x @ [0, 1, 2]).astype(int)],
        "block": row.astype(str),
        "row": row,
        "column": column,
        "y": y,
    }
    found = spatial_sensitivity(data, "y", "system", ["block"], "row", "column", "system")
    assert [each.parameters for each in found.opinions] == [2, 3, 4, 5]
    own = fit_mixed(y, x, {"block": row})
    assert found.opinions[0].log_likelihood == pytest.approx(own.log_likelihood, abs=1e-8)
    assert all(each.log_likelihood >= found.opinions[1].log_likelihood - 1e-4 for each in found.opinions[2:])
    assert found.pairs == (("cultivator", "plough"), ("cultivator", "strip"), ("plough", "strip"))
