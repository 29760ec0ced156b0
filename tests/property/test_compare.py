"""What must hold of any finding, whatever the readings are."""

from __future__ import annotations

import math
import tempfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compare_made import HEAD, SYSTEMS, blocks, lines_of, readings
from spadework.findings.compare import compare
from spadework.findings.compare_judged import analysed_of, differences_of
from spadework.findings.compare_layout import layout_of
from spadework.findings.compare_parts import Finding, Question
from spadework.present.compare.table import compare_text

SEEDS = st.integers(0, 10_000)


def drawn(seed: int, shift: float = 0.0, size: float = 1.0) -> dict[int, tuple[float, ...]]:
    rng = np.random.default_rng(seed)
    table = rng.normal(15, 0.5, (4, 3)) + rng.normal(0, 0.6, (4, 1))
    return {b + 1: tuple(float(v) * size + shift for v in row) for b, row in enumerate(table)}


def found(lines: list[str], head: str = HEAD, **more: object) -> Finding:
    with tempfile.TemporaryDirectory() as folder:
        read = readings(Path(folder), lines, head)
    more = {"baseline": "plough", "design": blocks(), "leave_out": False, **more}
    return compare(read, next(iter(read.units)), **more)  # type: ignore[arg-type]


@settings(max_examples=6)
@given(SEEDS, st.sampled_from([0.1, 1000.0]), st.sampled_from([0.0, -40.0, 300.0]))
def test_another_unit_changes_no_chance(seed: int, size: float, shift: float) -> None:
    one, two = found(lines_of(drawn(seed))), found(lines_of(drawn(seed, shift, size)))
    for a, b in zip(one.differences, two.differences, strict=True):
        assert b.difference == pytest.approx(a.difference * size, rel=1e-6, abs=1e-9 * size)
        assert b.se == pytest.approx(a.se * size, rel=1e-6)
        assert (b.p, b.df) == pytest.approx((a.p, a.df), rel=1e-5)
        assert a.call == b.call
    assert [m.letters for m in one.means] == [m.letters for m in two.means]


@settings(max_examples=5)
@given(SEEDS, st.randoms())
def test_the_order_of_the_lines_changes_nothing(seed: int, random: object) -> None:
    lines = lines_of(drawn(seed))
    mixed = list(lines)
    random.shuffle(mixed)  # type: ignore[attr-defined]
    one, two = found(lines), found(mixed)
    for a in one.differences:
        b = two.difference(a.system)
        assert (b.difference, b.low, b.high, b.p) == pytest.approx(
            (a.difference, a.low, a.high, a.p), rel=1e-6, abs=1e-9
        )


@settings(max_examples=5)
@given(SEEDS)
def test_seen_from_the_other_side_a_difference_turns_its_sign(seed: int) -> None:
    lines = lines_of(drawn(seed))
    one = found(lines).difference("strip")
    two = found(lines, baseline="strip").difference("plough")
    assert two.difference == pytest.approx(-one.difference, abs=1e-9)
    assert two.se == pytest.approx(one.se, rel=1e-9)


@settings(max_examples=5)
@given(SEEDS, st.integers(2, 6))
def test_more_samples_of_the_same_plots_make_nothing_surer(seed: int, samples: int) -> None:
    lines = lines_of(drawn(seed))
    many = [f"{line};{sample}" for line in lines for sample in range(samples)]
    one, two = found(lines), found(many, HEAD + ";sample")
    for a, b in zip(one.differences, two.differences, strict=True):
        assert (b.difference, b.se, b.df, b.p) == pytest.approx((a.difference, a.se, a.df, a.p), rel=1e-7, abs=1e-12)


@settings(max_examples=5)
@given(SEEDS, st.floats(0.05, 3))
def test_interval_bound_and_margin_do_not_contradict_each_other(seed: int, margin: float) -> None:
    for one in found(lines_of(drawn(seed)), margin=margin, better="more").differences:
        assert one.low < one.difference < one.high
        assert one.low < one.bound < one.difference  # one-sided is narrower
        assert (one.call == "open") == (one.low <= 0 <= one.high)
        if one.margin_call in ("no worse", "alike"):
            assert one.bound >= -margin
        if one.margin_call == "worse":
            assert one.high < 0


@settings(max_examples=5)
@given(SEEDS)
def test_the_surer_the_wider(seed: int) -> None:
    lines = lines_of(drawn(seed))
    for a, b in zip(found(lines, confidence=0.8).differences, found(lines, confidence=0.99).differences, strict=True):
        assert b.low < a.low
        assert b.high > a.high


@settings(max_examples=5)
@given(SEEDS)
def test_both_ways_agree_where_everything_meets_evenly(seed: int) -> None:
    lines = lines_of(drawn(seed))
    one, two = found(lines), found(lines, way="kenward-roger")
    if any("nought" in note for note in (*one.notes, *two.notes)):
        return  # the two then differ by rule
    for a, b in zip(one.differences, two.differences, strict=True):
        assert (b.difference, b.se, b.df) == pytest.approx((a.difference, a.se, a.df), rel=1e-5)


@settings(max_examples=5)
@given(st.lists(st.integers(0, 600), min_size=3, max_size=3))
def test_one_plot_each_never_gives_a_chance(values: list[int]) -> None:
    one = found(lines_of({1: tuple(value / 10 for value in values)}), design=None)
    assert one.standing == "looked"
    assert not one.differences
    assert all(math.isnan(mean.se) for mean in one.means)
    assert "chance" not in compare_text(one)


def test_pure_chance_is_called_a_difference_about_as_rarely_as_promised(tmp_path: Path) -> None:
    # 300 comparisons of three systems that do the same: 5 % are called, with a standard error of 1.3 %.
    called = 0
    asked = Question("dm_yield", "plough", "", math.nan, 0.95, "house")
    for seed in range(300):
        plots = readings(tmp_path, lines_of(drawn(seed)))
        used = np.ones(12, dtype=bool)
        layout = layout_of(plots, used, blocks())
        analysed = analysed_of(layout, plots.values["dm_yield"], used, asked)
        means = analysed.means("system")
        weights = {system: means.weights[means.row(system)] for system in SYSTEMS}
        called += any(d.call != "open" for d in differences_of(analysed, weights, asked, quick=True))
    assert abs(called / 300 - 0.05) < 3 * math.sqrt(0.05 * 0.95 / 300)
