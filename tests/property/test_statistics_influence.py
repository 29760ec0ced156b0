"""What must hold of plots left out in turn and of residual checks whatever the readings."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy import stats

from spadework.statistics.by_layout import fit_or_strata
from spadework.statistics.models.influence import leave_each_out
from spadework.statistics.residuals.checks import outlying, spread_with_mean, variances_by_group
from spadework.statistics.residuals.remarks import remarks_on

SEEDS = some.integers(0, 10_000)


def plots(seed: int, blocks: int = 4) -> dict[str, np.ndarray]:
    random = np.random.default_rng(seed)
    block, system = np.divmod(np.arange(3 * blocks), 3)
    y = random.normal(0, 1.5, blocks)[block] + np.array([0.0, 0.4, 1.0])[system] + random.normal(0, 1, block.size)
    return {
        "block": block.astype(str),
        "system": np.array(["cultivator", "plough", "strip"])[system],
        "row": block,
        "column": system,
        "y": y,
    }


@given(seed=SEEDS)
@settings(max_examples=10)
def test_distance_of_fixed_effects_is_the_closed_form(seed: int) -> None:
    data = plots(seed)
    x = np.column_stack(
        [np.ones(12), *(data["block"] == b for b in "123"), data["system"] == "plough", data["system"] == "strip"]
    )
    basis, _ = np.linalg.qr(x.astype(float))
    left = data["y"] - basis @ (basis.T @ data["y"])
    lever, scale = np.sum(basis**2, axis=1), float(left @ left) / 6
    theirs = left**2 * lever / ((1 - lever) ** 2 * 6 * scale)
    found = leave_each_out(data, "y", "block + system", compare="system")
    np.testing.assert_allclose(found.distances(), theirs, rtol=1e-7)


@given(seed=SEEDS, factor=some.floats(0.01, 100), shift=some.floats(-1e4, 1e4))
@settings(max_examples=8)
def test_another_unit_changes_no_distance(seed: int, factor: float, shift: float) -> None:
    data = plots(seed)
    one = leave_each_out(data, "y", "system", ["block"], compare="system")
    two = leave_each_out({**data, "y": factor * data["y"] + shift}, "y", "system", ["block"], compare="system")
    np.testing.assert_allclose(one.distances(), two.distances(), rtol=1e-3, atol=1e-6)
    assert [each.unit for each in one.without] == [each.unit for each in two.without]


def test_a_blunder_is_the_farthest_plot_and_no_plot_is_lost() -> None:
    data = plots(4, blocks=6)
    data["y"][7] += 12
    found = leave_each_out(data, "y", "system", ["block"], compare="system")
    assert int(np.argmax(found.distances())) == 7
    assert len(found.without) == 18
    assert found.without[7].differences is not None
    assert found.without[7].differences.se.max() < found.differences.se.min()


@given(seed=SEEDS)
@settings(max_examples=20)
def test_studentised_residual_is_the_t_of_a_column_for_that_reading(seed: int) -> None:
    random = np.random.default_rng(seed)
    x = np.column_stack([np.ones(15), random.normal(size=(15, 2))])
    y = random.normal(size=15)
    found = outlying(y, x)
    for at in range(15):
        own = np.column_stack([x, np.arange(15) == at]).astype(float)
        effects, rest, *_ = np.linalg.lstsq(own, y, rcond=None)
        se = np.sqrt(float(rest[0]) / 11 * np.linalg.inv(own.T @ own)[3, 3])
        assert found.t[at] == pytest.approx(effects[3] / se, rel=1e-7)
    assert found.df == 11


@given(seed=SEEDS)
@settings(max_examples=20)
def test_groups_and_ranks_are_those_of_general_software(seed: int) -> None:
    random = np.random.default_rng(seed)
    groups = np.repeat(["a", "b", "c"], [4, 5, 7])
    y = random.normal(size=16) * np.repeat([1.0, 2.0, 3.0], [4, 5, 7])
    found, theirs = variances_by_group(y, groups), stats.bartlett(*(y[groups == g] for g in "abc"))
    assert (found.statistic, found.p) == pytest.approx((theirs.statistic, theirs.pvalue), rel=1e-9)
    means = random.integers(0, 5, 16).astype(float)
    if np.ptp(means):
        spread, rank = spread_with_mean(y, means), stats.spearmanr(np.abs(y), means)
        assert (spread.rank_correlation, spread.p) == pytest.approx((rank.statistic, rank.pvalue), rel=1e-9)


def test_sound_plots_are_seldom_warned_of() -> None:
    warned = {
        "outlying reading": 0,
        "trend by row": 0,
        "trend by column": 0,
        "neighbours": 0,
        "scatter against mean": 0,
    }
    runs = 60
    for seed in range(runs):
        random = np.random.default_rng(seed)
        row, column = np.divmod(np.arange(48), 8)
        system = np.concatenate([random.permutation(np.repeat(np.arange(4), 2)) for _ in range(6)])
        data = {"block": row.astype(str), "system": np.array(list("abcd"))[system], "row": row, "column": column,
                "y": random.normal(0, 1, 6)[row] + random.normal(0, 1, 48)}  # fmt: skip
        found = fit_or_strata(data, "y", "system", ["block"])
        for remark in remarks_on(found, data, row="row", column="column"):
            warned[remark.check] += remark.warns
    assert max(warned.values()) <= stats.binom.ppf(0.9995, runs, 0.05)


@pytest.mark.parametrize(
    ("check", "change"),
    [
        ("outlying reading", lambda d, random: np.where(np.arange(48) == 17, 9.0, 0.0)),
        ("trend by column", lambda d, random: 0.6 * d["column"]),
        ("neighbours", lambda d, random: 2.5 * np.cos(d["column"] * 0.8)),
        ("variance by system", lambda d, random: np.where(d["system"] == "a", 4.0, 0.0) * random.normal(size=48)),
    ],
)
def test_what_was_put_in_is_warned_of(check: str, change) -> None:
    random = np.random.default_rng(12)
    row, column = np.divmod(np.arange(48), 8)
    system = np.concatenate([random.permutation(np.repeat(np.arange(4), 2)) for _ in range(6)])
    data = {"block": row.astype(str), "system": np.array(list("abcd"))[system], "row": row, "column": column}
    data["y"] = random.normal(0, 1, 6)[row] + random.normal(0, 1, 48) + change(data, random)
    found = fit_or_strata(data, "y", "system", ["block"])
    remarks = {each.check: each for each in remarks_on(found, data, row="row", column="column", groups="system")}
    assert remarks[check].warns, remarks[check].sentence
