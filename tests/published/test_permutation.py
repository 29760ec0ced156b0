"""Labels dealt out again, held against exact counts, Fisher's own example, scipy, and the promised size."""

from __future__ import annotations

import itertools
from math import factorial

import numpy as np
import pytest
import scipy
from scipy import stats

from spadework.statistics.relabelled.layouts import shuffled
from spadework.statistics.relabelled.permutation import shuffle_test

COUNT = "exact count of orders in blocks"
SCIPY = f"scipy {scipy.__version__}, stats.permutation_test"
DARWIN = "Fisher, The Design of Experiments (1935), section 21: Darwin's maize, differences in eighths of an inch"


def laid(systems: int, blocks: int, seed: int = 1):
    rng = np.random.default_rng(seed)
    labels = np.concatenate([rng.permutation(list("abcdef"[:systems])) for _ in range(blocks)])
    return labels, np.repeat(range(blocks), systems)


@pytest.mark.parametrize(
    ("systems", "blocks", "theirs", "digits"),
    [
        (2, 3, 0.25, 1e-9),
        (2, 4, 0.125, 1e-9),
        (2, 5, 0.0625, 1e-9),
        (2, 6, 0.031, 5e-4),
        (2, 8, 0.0078, 5e-5),
        (3, 2, 0.167, 5e-4),
        (3, 3, 0.028, 5e-4),
        (3, 4, 0.0046, 5e-5),
    ],
)
def test_the_smallest_chance_that_can_come_out(check, systems, blocks, theirs, digits):
    labels, cells = laid(systems, blocks)
    best = np.array([100.0 * (ord(label) - 97) for label in labels]) + np.random.default_rng(2).normal(size=labels.size)
    found = shuffle_test(best, shuffled(labels, cells), cells)
    what = f"{systems} systems in {blocks} blocks, as far apart as can be: chance"
    check(what, COUNT, theirs, found.p, digits, kind="computed")
    check(f"{what}, from the factorials", COUNT, factorial(systems) / factorial(systems) ** blocks, found.p, 1e-12,
          kind="computed")  # fmt: skip
    assert found.exact


def test_fishers_own_example(check):
    apart = np.array([49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48])
    labels, cells = np.tile(["self", "cross"], 15), np.repeat(range(15), 2)
    values = np.stack([np.zeros(15), apart], axis=1).ravel()
    found = shuffle_test(values, shuffled(labels, cells), cells)
    assert found.exact
    check("fifteen pairs: layouts with a sum as large", DARWIN, 2 * 863, found.p * 2**15, 1e-6, kind="memory")
    check("fifteen pairs: chance", DARWIN, 0.05267, found.p, 5e-6, kind="memory")


def test_pairs_against_scipy(check):
    values = np.array(
        [[15.8, 16.4], [16.1, 16.0], [15.1, 15.9], [14.6, 15.2], [15.0, 15.7], [16.2, 16.1], [14.9, 15.8]]
    )
    theirs = stats.permutation_test(
        (values[:, 0], values[:, 1]),
        lambda a, b, axis: (a - b).mean(axis=axis),
        permutation_type="samples",
        vectorized=True,
    )
    cells = np.repeat(range(7), 2)
    layouts = shuffled(["plough", "strip"] * 7, cells)
    found = shuffle_test(values.ravel(), layouts, cells)
    check("seven invented pairs: chance", SCIPY, theirs.pvalue, found.p, 1e-12)
    pair = shuffle_test(values.ravel(), layouts, cells, pair=("plough", "strip"))
    check("seven invented pairs, as a difference: chance", SCIPY, theirs.pvalue, pair.p, 1e-12)


def test_blocks_against_scipy(check):
    values = np.array([[15.8, 15.2, 15.9], [16.4, 15.5, 16.3], [15.1, 14.3, 14.9], [14.6, 14.4, 15.2]])

    def between(*blocks, axis):
        return np.var(np.sum(blocks, axis=0), axis=axis)

    def apart(*blocks, axis):
        return np.abs(np.sum(blocks, axis=0)[..., 2] - np.sum(blocks, axis=0)[..., 0])

    cells = np.repeat(range(4), 3)
    layouts = shuffled(["plough", "cultivator", "strip"] * 4, cells)
    for what, statistic, pair in (
        ("all together", between, None),
        ("strip and plough", apart, ("plough", "strip")),
    ):
        theirs = stats.permutation_test(
            tuple(values), statistic, permutation_type="pairings", vectorized=True, alternative="greater"
        )
        assert theirs.null_distribution.size == 6**4
        found = shuffle_test(values.ravel(), layouts, cells, pair=pair)
        check(f"three invented systems in four blocks, {what}: chance", SCIPY, theirs.pvalue, found.p, 1e-12)


@pytest.mark.parametrize("errors", ["normal", "skew"])
def test_nothing_is_found_as_often_as_promised_where_there_is_nothing(check, errors):
    rng, many = np.random.default_rng(11), 1500
    labels, cells = laid(3, 4)
    layouts = shuffled(labels, cells)
    chances = []
    for _ in range(many):
        own = rng.normal(size=12) if errors == "normal" else rng.exponential(size=12) ** 2
        chances.append(shuffle_test(5 * cells + own, layouts, cells).p)
    promised = 10 / 216  # whole layouts up to 5 %
    found = float(np.mean(np.array(chances) <= 0.05))
    borne = 3.5 * np.sqrt(promised * (1 - promised) / many)
    check(f"three systems in four blocks, {errors} scatter, nothing behind them: found", "promised size; 1500 trials drawn here",
          promised, found, borne, kind="computed", note="3.5 binomial standard errors")  # fmt: skip


def test_two_alike_beside_a_third_that_is_not(check):
    rng, many, blocks = np.random.default_rng(12), 1500, 6
    cells = np.repeat(range(blocks), 2)
    layouts = shuffled(["a", "b"] * blocks, cells)
    hits = 0
    for _ in range(many):
        three = rng.normal(size=(blocks, 3)) + np.array([0, 0, 8.0])
        hits += shuffle_test(three[:, :2].ravel(), layouts, cells).p <= 0.0625
    borne = 3.5 * np.sqrt(0.0625 * 0.9375 / many)
    check("two alike in six blocks beside a third that is not: found", "promised size; 1500 trials drawn here", 0.0625,
          hits / many, borne, kind="computed", note="3.5 binomial standard errors")  # fmt: skip


def test_all_layouts_one_by_one(check):
    y = np.random.default_rng(3).normal(size=(3, 3)).round(2)
    own, count = abs((y[:, 0] - y[:, 1]).sum()), 0
    for orders in itertools.product(itertools.permutations(range(3)), repeat=3):
        moved = np.stack([row[list(order)] for row, order in zip(y, orders, strict=True)])
        count += abs((moved[:, 0] - moved[:, 1]).sum()) >= own - 1e-9
    cells = np.repeat(range(3), 3)
    found = shuffle_test(y.ravel(), shuffled(list("abc") * 3, cells), cells, pair=("a", "b"))
    check(
        "a difference in all 216 layouts of three blocks: chance", COUNT, count / 216, found.p, 1e-12, kind="computed"
    )
