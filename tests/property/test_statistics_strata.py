"""What must hold of tables of strata whatever the readings; and how often tests and intervals are right."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy.stats import binomtest

from spadework.statistics.by_layout import combine_any, fit_or_strata
from spadework.statistics.models.groupings import closed, grouping_of, joined, parts_of, uneven_at
from spadework.statistics.models.model import Model, fit_model
from spadework.statistics.strata.analysis import Strata, strata_table
from spadework.statistics.strata.layout import NotBalanced

SEEDS = some.integers(0, 10_000)
RUNS = 200
LAYOUTS = {
    "blocks": ({"block": 4, "system": 3}, "system", ("block",)),
    "split-plot": ({"block": 4, "system": 3, "nitrogen": 2}, "system * nitrogen", ("block", "block:system")),
    "criss-cross": (
        {"block": 4, "system": 3, "manure": 2},
        "system * manure",
        ("block", "block:system", "block:manure"),
    ),
    "sites": ({"site": 4, "block": 3, "system": 3}, "system", ("site", "site:block", "site:system")),
    "digs in plots": ({"block": 4, "system": 3, "dig": 3}, "system", ("block", "block:system")),
    "factors": ({"system": 2, "nitrogen": 3, "copy": 3}, "system * nitrogen", ()),
}


def made(name: str, random: np.random.Generator, spread: float = 1.0) -> dict[str, np.ndarray]:
    counts, _, strata = LAYOUTS[name]
    rows = list(itertools.product(*(range(n) for n in counts.values())))
    data = {key: np.array([f"{key} {row[i]}" for row in rows]) for i, key in enumerate(counts)}
    y = random.normal(0, 1, len(rows))
    for term in strata:
        labels = [" ".join(parts) for parts in zip(*(data[part] for part in term.split(":")), strict=True)]
        _, codes = np.unique(labels, return_inverse=True)
        y = y + random.normal(0, spread, codes.max() + 1)[codes]
    return {**data, "y": y}


def analysed(name: str, data: dict[str, np.ndarray]) -> Strata:
    return strata_table(data, "y", LAYOUTS[name][1], LAYOUTS[name][2])


@pytest.mark.parametrize("name", LAYOUTS)
def test_same_tests_as_the_model_where_no_variance_is_below_nought(name: str) -> None:
    held = 0
    for seed in range(40):
        data = made(name, np.random.default_rng(seed), 2.0)
        table = analysed(name, data)
        if min(table.components.values()) <= 0:
            continue
        model = fit_model(data, "y", LAYOUTS[name][1], LAYOUTS[name][2])
        for term, test in table.tests().items():
            theirs = model.test(term)
            assert theirs.f == pytest.approx(test.f, rel=1e-8)
            assert theirs.df_rest == pytest.approx(test.df_rest, rel=1e-6)
        held += 1
        if held == 8:
            break
    assert held >= 4


@pytest.mark.parametrize("name", LAYOUTS)
@given(seed=SEEDS)
@settings(max_examples=8)
def test_squares_and_degrees_of_freedom_add_up(name: str, seed: int) -> None:
    data = made(name, np.random.default_rng(seed))
    table = analysed(name, data)
    assert sum(line.df for line in table.lines) == data["y"].size - 1
    total = float(np.sum((data["y"] - data["y"].mean()) ** 2))
    assert sum(line.ss for line in table.lines) == pytest.approx(total, rel=1e-12)


@given(
    seed=SEEDS, name=some.sampled_from(sorted(LAYOUTS)), factor=some.floats(0.001, 1000), shift=some.floats(-1e6, 1e6)
)
@settings(max_examples=25)
def test_another_unit_changes_no_test(seed: int, name: str, factor: float, shift: float) -> None:
    data = made(name, np.random.default_rng(seed))
    before, after = analysed(name, data), analysed(name, {**data, "y": factor * (data["y"] + shift)})
    for one, two in zip(before.lines, after.lines, strict=True):
        assert two.ss == pytest.approx(factor**2 * one.ss, rel=1e-6, abs=1e-6 * factor**2)
    first, second = before.means("system"), after.means("system")
    np.testing.assert_allclose(factor * (first.found.estimate + shift), second.found.estimate, rtol=1e-8, atol=1e-8)
    np.testing.assert_allclose(factor * first.found.se, second.found.se, rtol=1e-5)


@given(seed=SEEDS, name=some.sampled_from(sorted(LAYOUTS)))
@settings(max_examples=25)
def test_order_of_the_rows_does_not_matter(seed: int, name: str) -> None:
    random = np.random.default_rng(seed)
    data = made(name, random)
    order = random.permutation(data["y"].size)
    before, after = analysed(name, data), analysed(name, {k: v[order] for k, v in data.items()})
    assert [(a.stratum, a.source, a.df) for a in before.lines] == [(b.stratum, b.source, b.df) for b in after.lines]
    np.testing.assert_allclose([a.ss for a in before.lines], [b.ss for b in after.lines], rtol=1e-9, atol=1e-12)
    np.testing.assert_allclose(before.residuals[order], after.residuals, atol=1e-9)


@given(seed=SEEDS)
@settings(max_examples=25)
def test_f_of_pairs_is_the_paired_t_squared(seed: int) -> None:
    from scipy.stats import ttest_rel

    random = np.random.default_rng(seed)
    one, two = random.normal(5, 1, 6), random.normal(5, 1, 6)
    data = {"pair": [*range(6), *range(6)], "system": ["a"] * 6 + ["b"] * 6, "y": [*one, *two]}
    table, theirs = strata_table(data, "y", "system", ["pair"]), ttest_rel(two, one)
    test = table.test(("system",))
    assert test.f == pytest.approx(theirs.statistic**2, rel=1e-9)
    assert test.p == pytest.approx(theirs.pvalue, rel=1e-9)
    rows = table.means("system").weights
    difference = table.combine([rows[1] - rows[0]])
    assert difference.t()[0] == pytest.approx(theirs.statistic, rel=1e-9)
    assert difference.df[0] == pytest.approx(5)


@given(seed=SEEDS)
@settings(max_examples=40)
def test_parts_are_at_right_angles_where_all_meet_evenly(seed: int) -> None:
    random = np.random.default_rng(seed)
    counts = random.integers(2, 4, 3)
    labels = np.indices(counts).reshape(3, -1)
    keep = random.permutation(labels.shape[1])
    groups = [
        grouping_of(labels[0][keep]),
        grouping_of(labels[1][keep]),
        grouping_of(labels[0][keep] * 9 + labels[1][keep]),
    ]
    family = closed(groups)
    parts, rest = parts_of(family, random.normal(size=labels.shape[1]))
    for one, two in itertools.combinations([*parts, rest], 2):
        assert abs(float(one @ two)) < 1e-12


@given(some.lists(some.tuples(some.integers(0, 3), some.integers(0, 3)), min_size=2, max_size=24))
@settings(max_examples=100)
def test_meeting_evenly_is_averages_that_can_change_places(pairs: list[tuple[int, int]]) -> None:
    first, second = grouping_of([p[0] for p in pairs]), grouping_of([p[1] for p in pairs])
    unit = np.eye(len(pairs))
    a, b = first.averaged(unit), second.averaged(unit)
    swaps = np.abs(a @ b - b @ a).max() < 1e-12
    assert (uneven_at(first, second) is None) == swaps
    if swaps:
        np.testing.assert_allclose(a @ b, joined(first, second).averaged(unit), atol=1e-12)


@given(seed=SEEDS, name=some.sampled_from(["blocks", "split-plot", "criss-cross", "sites", "digs in plots"]))
@settings(max_examples=15)
def test_a_missing_reading_is_never_passed_over(seed: int, name: str) -> None:
    random = np.random.default_rng(seed)
    data = made(name, random)
    data["y"][random.integers(data["y"].size)] = np.nan
    with pytest.raises(NotBalanced, match="use fit_model"):
        analysed(name, data)
    found = fit_or_strata(data, "y", LAYOUTS[name][1], LAYOUTS[name][2])
    assert isinstance(found, Model)
    assert found.notes[-1].startswith("no table of strata: ")


def right(hits: int, runs: int, share: float) -> bool:
    """Tell whether so many hits are within what chance gives, once in two thousand not."""
    return binomtest(hits, runs, share).pvalue > 5e-4


def simulated(name: str, missing: int) -> tuple[dict[str, int], int, int]:
    """Return how often each test was below 5 % with nothing behind it, how often the interval held, and the runs."""
    hits: dict[str, int] = {}
    inside, runs = 0, RUNS if missing else RUNS // 2  # without gaps the tests are exact
    for seed in range(runs):
        random = np.random.default_rng((20260101, missing, seed))
        data = made(name, random, 1.5)
        if missing:
            data["y"][random.choice(data["y"].size, missing, replace=False)] = np.nan
        found = fit_or_strata(data, "y", LAYOUTS[name][1], LAYOUTS[name][2])
        assert isinstance(found, Model) == bool(missing)
        for term, test in found.tests().items():
            hits[":".join(term)] = hits.get(":".join(term), 0) + (test.p < 0.05)
        rows = found.means("system").weights
        gap = combine_any(found, [rows[1] - rows[0]])
        inside += abs(gap.estimate[0]) <= gap.half_width(0.95)[0]
    return hits, inside, runs


@pytest.mark.parametrize("name", ["blocks", "split-plot", "criss-cross", "sites"])
@pytest.mark.parametrize("missing", [0, 2])
def test_tests_and_intervals_are_as_often_wrong_as_they_say(name: str, missing: int) -> None:
    hits, inside, runs = simulated(name, missing)
    for term, count in hits.items():
        assert right(count, runs, 0.05), f"{name}, {missing} missing, {term}: {count} of {runs}"
    assert right(inside, runs, 0.95), f"{name}, {missing} missing, interval: {inside} of {runs}"


def test_the_wrong_label_is_wrong_too_often() -> None:
    wrong = 0
    for seed in range(RUNS):
        data = made("criss-cross", np.random.default_rng((7, seed)), 1.5)
        wrong += strata_table(data, "y", "system * manure", ["block", "block:system"]).test(("manure",)).p < 0.05
    assert wrong > 0.15 * RUNS
