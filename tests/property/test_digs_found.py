"""How often what digs say is true, and what must hold whatever they are."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from dug_up import digs_of, one_shallow
from spadework import statistics as st
from spadework.findings.dig_units import flip_of, to_step
from spadework.findings.digging_on import dig_on
from spadework.findings.digs import find_digs
from spadework.findings.digs_before import digs_ahead
from spadework.statistics.digs.by_mesh import components_by_mesh, grouping_deviance
from spadework.statistics.digs.unit_contrasts import between_units, unit_means, within_units

SEEDS = some.integers(0, 10_000)
WINDOW = (4.0, 8.0)


def near(share: float, runs: int) -> float:
    """Three binomial standard errors."""
    return 3 * float(np.sqrt(share * (1 - share) / runs))


@pytest.mark.parametrize(("between", "digs"), [(0.0, (3,) * 8), (1.0, (3,) * 8), (0.8, (1, 4, 2, 3, 5, 2, 3, 2))])
def test_intervals_between_units_hold_as_often_as_they_say(between: float, digs: tuple[int, ...]) -> None:
    random, runs, held = np.random.default_rng(21), 500, 0
    names = np.repeat(np.arange(8), digs)
    group = np.array([0, 0, 1, 0, 0, 1, 0, 0])
    for _ in range(runs):
        values = 1.5 * group[names] + random.normal(0, between, 8)[names] + random.normal(0, 1, names.size)
        found = between_units(st.sort_by_unit(values, names), group, 0.9)
        held += found.low <= 1.5 <= found.high
    assert held / runs >= 0.9 - near(0.9, runs)
    if between:
        assert held / runs <= 0.9 + near(0.9, runs)


def test_taking_digs_for_independent_holds_too_seldom() -> None:
    random, runs, held = np.random.default_rng(22), 400, 0
    names, group = np.repeat(np.arange(8), 4), np.array([0, 0, 1, 0, 0, 1, 0, 0])
    for _ in range(runs):
        values = random.normal(0, 1, 8)[names] + random.normal(0, 1, names.size)
        each = st.sort_by_unit(values, np.arange(values.size))
        found = between_units(each, group[names], 0.9)
        held += found.low <= 0 <= found.high
    assert held / runs < 0.8


@pytest.mark.parametrize("digs", [(2, 2), (1, 3)])
def test_intervals_inside_units_hold_as_often_as_they_say(digs: tuple[int, int]) -> None:
    """Units change by different amounts, and differ between themselves by far more."""
    random, runs, held = np.random.default_rng(23), 800, 0
    names = np.concatenate([np.repeat(np.arange(6), n) for n in digs])
    late = np.concatenate([np.full(6 * n, i) for i, n in enumerate(digs)])
    for _ in range(runs):
        own, change = random.normal(0, 3, 6), 0.7 + random.normal(0, 0.5, 6)
        values = own[names] + late * change[names] + random.normal(0, 1, names.size)
        found = within_units(values, names, late, 0.9)
        held += found.low <= 0.7 <= found.high
    assert abs(held / runs - 0.9) <= near(0.9, runs)


@pytest.mark.parametrize("digs", [(3,) * 8, (1, 2, 5, 3, 4, 2, 3, 1)])
def test_intervals_of_units_hold_all_at_once(digs: tuple[int, ...]) -> None:
    random, runs, held = np.random.default_rng(24), 800, 0
    names = np.repeat(np.arange(8), digs)
    for _ in range(runs):
        own = random.normal(6, 1.5, 8)
        found = unit_means(st.sort_by_unit(own[names] + random.normal(0, 1, names.size), names), 0.9)
        held += bool(np.all((found.low <= own) & (own <= found.high)))
    assert 0.9 - near(0.9, runs) <= held / runs <= 0.9 + 2 * near(0.9, runs)


def test_a_unit_on_target_is_named_no_more_often_than_borne() -> None:
    random, runs, named = np.random.default_rng(25), 180, 0
    units = np.repeat(np.arange(1, 9), 3)
    for _ in range(runs):
        dug = digs_of(6 + random.normal(0, 1.5, 24), units)
        found = find_digs(dug, rows=8, window_cm=WINDOW, seed_depth_cm=5, draws=100)
        named += any(one.change is not None for one in found.found) and found.machine is None
    assert named / runs <= 0.05 + near(0.05, runs)


def test_the_whole_machine_is_re_set_without_cause_no_more_often_than_borne() -> None:
    """Units that differ, the middle of all machines on target."""
    random, runs, said = np.random.default_rng(26), 180, 0
    units = np.repeat(np.arange(1, 9), 3)
    for _ in range(runs):
        dug = digs_of(6 + random.normal(0, 0.6, 8)[units - 1] + random.normal(0, 1.5, 24), units)
        said += find_digs(dug, rows=8, window_cm=WINDOW, seed_depth_cm=5, draws=100).machine is not None
    assert said / runs <= 0.05 + near(0.05, runs)


def called(
    true_mean: float, between: float, within: float, *, known: bool, each: int = 3, runs: int = 600
) -> list[str]:
    random, units, out = np.random.default_rng(27), np.repeat(np.arange(40), each), []
    for _ in range(runs):
        gaps = true_mean + random.normal(0, between, 40)[units] + random.normal(0, within, units.size)
        scatter = (between, within) if known else None
        out.append(dig_on(gaps, units, WINDOW, scatter_cm=scatter, digs_each=each, error_share=0.1).call)
    return out


@pytest.mark.parametrize("known", [True, False])
def test_the_rule_for_digging_on_keeps_its_errors_with_units_that_differ(known: bool) -> None:
    """40 units of 3 digs, 1.0 cm between and 1.5 inside; errors of 0.1 on either side."""
    on_target, on_edge = (called(mean, 1.0, 1.5, known=known) for mean in (6.0, 4.0))
    assert on_target.count("does not fit") / 600 <= 0.1 + near(0.1, 600)
    assert on_edge.count("fits") / 600 <= 0.1 + near(0.1, 600)
    assert on_target.count("fits") / 600 > 0.85
    assert on_edge.count("does not fit") / 600 > 0.85


def test_digs_taken_for_units_break_the_errors() -> None:
    random, wrong = np.random.default_rng(28), 0
    for _ in range(400):
        gaps = 4 + np.repeat(random.normal(0, 1.5, 20), 4) + random.normal(0, 0.5, 80)
        wrong += dig_on(gaps, np.arange(80), WINDOW, error_share=0.05).call == "fits"
    assert wrong / 400 > 0.05 + near(0.05, 400)


@pytest.mark.parametrize("between", [0.0, 0.5, 1.5])
def test_the_other_counting_is_seldom_spoken_of_where_the_written_one_is_right(between: float) -> None:
    random, runs, spoken = np.random.default_rng(29), 300, 0
    units, ways = np.repeat(np.arange(1, 9), 4), ["out", "back"] * 16
    for _ in range(runs):
        gaps = 6 + random.normal(0, between, 9)[units] + random.normal(0, 1, 32)
        found = flip_of(
            gaps, units, ways, 8, gaps + 5, gaps * 0 + 5, target_cm=6, seed_depth_cm=5, confidence_share=0.95
        )
        spoken += found is not None and found.better
    assert spoken / runs <= 0.03


def test_chance_to_find_a_unit_is_as_told_beforehand() -> None:
    random, runs, named = np.random.default_rng(30), 200, 0
    units = np.repeat(np.arange(1, 9), 4)
    for _ in range(runs):
        gaps = 6 + random.normal(0, 1.2, 32) - 2 * (units == 4)
        found = find_digs(digs_of(gaps, units), rows=8, window_cm=WINDOW, seed_depth_cm=5, draws=100)
        named += found.found[3].change is not None
    told = next(e for e in digs_ahead(8, within_sd_cm=1.2).efforts if (e.units, e.digs_each) == (8, 4)).found_share
    assert abs(named / runs - told) <= near(told, runs) + 0.01


def test_mean_is_as_good_as_told_beforehand() -> None:
    random = np.random.default_rng(31)
    effort = next(e for e in digs_ahead(8).efforts if (e.units, e.digs_each) == (8, 3))
    units = np.repeat(np.arange(8), 3)
    means = [(random.normal(0, 0.8, 8)[units] + random.normal(0, 1.5, 24)).mean() for _ in range(2000)]
    within = float(np.mean(np.abs(means) <= effort.half_width_cm))
    assert within >= 0.95  # the half width carries t, as the scatter will have to be found as well


@settings(max_examples=20)
@given(SEEDS)
def test_mesh_and_polish_agree(seed: int) -> None:
    random = np.random.default_rng(seed)
    digs = random.integers(1, 5, 7)
    digs[0] = 4
    names = np.repeat(np.arange(7), digs)
    values = 6 + random.normal(0, random.uniform(0, 2), 7)[names] + random.normal(0, 1, names.size)
    it = st.sort_by_unit(values, names)
    one, other = st.components_reml(it), components_by_mesh(it)
    assert other.between_var == pytest.approx(one.between_var, rel=1e-4, abs=1e-5)
    assert other.within_var == pytest.approx(one.within_var, rel=1e-4)


@settings(max_examples=20)
@given(SEEDS, some.floats(0.1, 20), some.floats(-100, 100))
def test_contrasts_move_with_the_unit_of_length(seed: int, scale: float, shift: float) -> None:
    random = np.random.default_rng(seed)
    names, group = np.repeat(np.arange(6), 3), np.array([0, 1, 0, 1, 0, 0])
    values = 6 + random.normal(0, 1, 6)[names] + random.normal(0, 1, 18)
    one, other = (between_units(st.sort_by_unit(v, names), group, 0.95) for v in (values, values * scale + shift))
    assert other.estimate == pytest.approx(one.estimate * scale, rel=1e-5, abs=1e-6 * scale)
    assert other.low == pytest.approx(one.low * scale, rel=1e-3, abs=1e-4 * scale)
    late = np.tile([0, 1, 1], 6)
    one, other = (within_units(v, names, late, 0.95) for v in (values, values * scale + shift))
    assert other.high == pytest.approx(one.high * scale, rel=1e-6, abs=1e-6 * scale)
    one, other = (within_units(values, names, state, 0.95) for state in (late, 1 - late))
    assert (other.low, other.high) == pytest.approx((-one.high, -one.low))


@settings(max_examples=10)
@given(SEEDS)
def test_names_of_units_do_not_matter_to_a_grouping(seed: int) -> None:
    random = np.random.default_rng(seed)
    names, values = np.repeat(np.arange(6), 3), random.normal(6, 1, 18)
    other = random.permutation(6)[names]
    one, two = (grouping_deviance(st.sort_by_unit(values, n)) for n in (names, other))
    assert two == pytest.approx(one, abs=1e-9)


@settings(max_examples=15)
@given(SEEDS, some.floats(-4, 4))
def test_deeper_bands_move_every_gap_and_the_advice_alike(seed: int, shift: float) -> None:
    random = np.random.default_rng(seed)
    units = np.repeat(np.arange(1, 7), 3)
    gaps = 6 + random.normal(0, 1, 18)
    first, moved = (
        find_digs(digs_of(g, units), rows=6, window_cm=(low, low + 4), seed_depth_cm=5, draws=200)
        for g, low in ((gaps, 4.0), (gaps + shift, 4.0 + shift))
    )
    assert moved.gap.mean == pytest.approx(first.gap.mean + shift, abs=1e-4)
    assert moved.gap.inside_dug == first.gap.inside_dug
    assert [one.change is None for one in moved.found] == [one.change is None for one in first.found]
    assert moved.on.calls == first.on.calls


@settings(max_examples=10)
@given(SEEDS)
def test_order_of_the_digs_only_matters_to_the_rule(seed: int) -> None:
    one = find_digs(one_shallow(seed), rows=6, window_cm=WINDOW, seed_depth_cm=5, draws=200)
    other = find_digs(one_shallow(seed, shuffled=False), rows=6, window_cm=WINDOW, seed_depth_cm=5, draws=200)
    assert one.gap == other.gap


@given(some.floats(-30, 30, allow_nan=False))
def test_steps_are_half_centimetres_and_near(value: float) -> None:
    assert abs(to_step(value) - value) <= 0.25 + 1e-9
    assert to_step(value) * 2 == round(to_step(value) * 2)


def test_more_digs_never_tell_less_beforehand() -> None:
    efforts = [e for e in digs_ahead(12, digs_each=range(1, 9)).efforts if e.units == 12]
    assert np.all(np.diff([e.half_width_cm for e in efforts]) < 0)
    assert np.all(np.diff([e.found_share for e in efforts][1:]) > 0)
