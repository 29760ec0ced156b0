"""Residue and its counting: limits, order, inverses, and agreement with other ways to reckon."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.science import seedbed


def number(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


am = number(0.0001, 0.001)
share = number(0, 1)


@given(mass=number(0, 6000), a=am)
def test_mass_and_cover_are_inverse(mass, a):
    cover = seedbed.cover_from_mass(mass, a)
    assert 0 <= cover < 1
    if cover <= 0.999:
        assert seedbed.mass_from_cover(cover, a) == pytest.approx(mass, rel=1e-9, abs=1e-6)


@given(mass=number(1, 6000), a=am, more=number(1.01, 3))
def test_more_mass_covers_more_but_less_than_in_proportion(mass, a, more):
    before, after = seedbed.cover_from_mass(mass, a), seedbed.cover_from_mass(more * mass, a)
    assert before <= after <= more * before


@given(one=number(0, 5000), other=number(0, 5000), a=am, b=am)
def test_two_residues_cover_what_their_sum_of_areas_covers(one, other, a, b):
    both = seedbed.cover_together(seedbed.cover_from_mass(one, a), seedbed.cover_from_mass(other, b))
    assert both == pytest.approx(1 - np.exp(-(a * one + b * other)), abs=1e-12)


@given(mass=number(1, 6000), a=am, kept=number(0, 1))
def test_mass_retention_is_the_long_way_round(mass, a, kept):
    short = seedbed.cover_after_mass_retention(seedbed.cover_from_mass(mass, a), kept)
    assert short == pytest.approx(seedbed.cover_from_mass(kept * mass, a), abs=1e-9)


@given(cover=number(0.01, 0.99), kept=number(0.01, 0.99))
def test_cover_falls_by_less_than_mass(cover, kept):
    assert seedbed.cover_after_mass_retention(cover, kept) >= seedbed.cover_after_pass(cover, kept)


@given(kept=number(0.05, 0.95))
def test_the_two_retentions_agree_where_residue_is_little(kept):
    cover = 1e-6
    assert seedbed.cover_after_mass_retention(cover, kept) == pytest.approx(cover * kept, rel=1e-5)


@given(cover=share, one=share, other=share)
def test_order_of_passes_does_not_matter(cover, one, other):
    after = seedbed.cover_after_pass
    assert after(after(cover, one), other) == pytest.approx(after(after(cover, other), one), abs=1e-12)


@given(cover=number(0, 0.999), one=share, other=share)  # nearer to full cover, a last digit of it is a mass of its own
def test_order_of_passes_does_not_matter_for_mass_either(cover, one, other):
    after = seedbed.cover_after_mass_retention
    assert after(after(cover, one), other) == pytest.approx(after(after(cover, other), one), abs=1e-12)


@given(cover=share)
def test_nothing_kept_leaves_nothing_and_all_kept_leaves_all(cover):
    assert seedbed.cover_after_mass_retention(cover, 0) == 0
    assert seedbed.cover_after_mass_retention(cover, 1) == pytest.approx(cover, abs=1e-15)
    assert seedbed.cover_after_pass(cover, 1) == cover
    assert seedbed.cover_after_pass(cover, 0) == 0


@given(strip=share, between=share, tilled=share)
def test_field_lies_between_strip_and_rest(strip, between, tilled):
    field = seedbed.area_weighted_cover(strip, between, tilled)
    assert min(strip, between) - 1e-12 <= field <= max(strip, between) + 1e-12
    assert seedbed.area_weighted_cover(strip, between, 1) == strip
    assert seedbed.area_weighted_cover(strip, between, 0) == between


@given(loss=number(0, 0.95), days=number(5, 800), mass=number(1, 9000))
def test_decay_comes_back_to_the_loss(loss, days, mass):
    rate = seedbed.decay_rate(loss, days)
    assert seedbed.decay(mass, rate, days) == pytest.approx(mass * (1 - loss), rel=1e-9)
    assert seedbed.decay(seedbed.decay(mass, rate, days / 2), rate, days / 2) == pytest.approx(mass * (1 - loss))
    assert seedbed.decay(mass, rate, 0) == mass


counts = st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@settings(deadline=None)  # the first call imports scipy
@given(count=counts, confidence=number(0.6, 0.999))
def test_intervals_hold_the_count_and_mirror(count, confidence):
    k, n = count
    z = seedbed.normal_quantile(confidence)
    for low, high, how in (
        (seedbed.wilson_low, seedbed.wilson_high, z),
        (seedbed.exact_low, seedbed.exact_high, confidence),
    ):
        assert 0 <= low(k, n, how) <= k / n + 1e-12
        assert k / n - 1e-12 <= high(k, n, how) <= 1
        assert low(k, n, how) == pytest.approx(1 - high(n - k, n, how), abs=1e-9)


@settings(deadline=None)  # scipy.stats is slow to import
@given(count=counts)
def test_exact_interval_against_the_binomial_tails(count):
    from scipy.stats import binom

    k, n = count
    if k:
        assert binom.sf(k - 1, n, seedbed.exact_low(k, n, 0.95)) == pytest.approx(0.025, rel=1e-6)
    if k < n:
        assert binom.cdf(k, n, seedbed.exact_high(k, n, 0.95)) == pytest.approx(0.025, rel=1e-6)


@settings(deadline=None)  # the first call imports scipy
@given(count=counts)
def test_wilson_ends_lie_z_standard_errors_from_the_count(count):
    k, n = count
    z = seedbed.normal_quantile(0.95)
    for end in (seedbed.wilson_low(k, n, z), seedbed.wilson_high(k, n, z)):
        assert abs(k / n - end) == pytest.approx(z * seedbed.binomial_se(end, n), abs=1e-7)


@settings(deadline=None)
@given(limit=number(0.05, 0.9), n=st.integers(1, 400), alpha=number(0.001, 0.2))
def test_hits_to_prove_is_the_smallest(limit, n, alpha):
    from scipy.stats import binom

    hits = int(seedbed.hits_to_prove(limit, n, alpha))
    assert binom.sf(hits - 1, n, limit) <= alpha * (1 + 1e-9)
    assert binom.sf(hits - 2, n, limit) > alpha * (1 - 1e-9)


@settings(deadline=None)
@given(count=counts, cover=share)
def test_power_against_the_binomial(count, cover):
    from scipy.stats import binom

    k, n = count
    assert seedbed.power_to_prove(k, n, cover) == pytest.approx(binom.sf(k - 1, n, cover), abs=1e-9)
    assert seedbed.power_to_prove(n + 1, n, cover) == 0


@given(cover=number(0.02, 0.98), half=number(0.005, 0.2))
def test_points_needed_are_enough_and_no_more(cover, half):
    z = 1.96
    n = float(seedbed.points_needed(cover, half, z))
    assert z * seedbed.binomial_se(cover, n) <= half * (1 + 1e-9)
    if n > 1:
        assert z * seedbed.binomial_se(cover, n - 1) > half * (1 - 1e-9)


@given(tilled=share, error=number(0, 0.2))
def test_two_strata_never_do_worse_than_one(tilled, error):
    assert seedbed.stratified_se(tilled, error, error) <= error + 1e-12


@given(tilled=share, strip=share, between=share, down=share, up=share)
def test_joined_ends_lie_about_the_cover_and_within_what_can_be(tilled, strip, between, down, up):
    cover = seedbed.area_weighted_cover(strip, between, tilled)
    low = seedbed.stratified_low(tilled, strip, strip * down, between, between * down)
    high = seedbed.stratified_high(tilled, strip, 1 - (1 - strip) * up, between, 1 - (1 - between) * up)
    assert -1e-12 <= low <= cover + 1e-12
    assert cover - 1e-12 <= high <= 1 + 1e-12
    assert seedbed.stratified_low(tilled, strip, strip, between, between) == pytest.approx(float(cover), abs=1e-12)


@given(cover=number(0.05, 0.95), n=st.integers(2, 500))
def test_design_effect_of_independent_points_is_one(cover, n):
    assert seedbed.design_effect(seedbed.binomial_se(cover, n), cover, n) == pytest.approx(1)


@given(k=number(0.05, 30), n=st.integers(1, 300))
def test_drift_is_that_of_the_marks_that_keep_step_most(k, n):
    ours = float(seedbed.phase_drift(k, n))
    one_by_one = min(n * min((q / k) % 1, 1 - (q / k) % 1) for q in range(1, 7))
    assert 0 <= ours == pytest.approx(one_by_one, abs=1e-6)


@given(marks=st.integers(1, 6), rows=st.integers(1, 20), n=st.integers(1, 300))
def test_marks_that_meet_six_places_or_fewer_keep_step(marks, rows, n):
    assert seedbed.phase_drift(marks / rows, n) == 0
    assert seedbed.aliased(seedbed.phase_drift(marks / rows, n)) == 1


@given(cover=number(0.1, 0.7), more=number(0.01, 0.1), rate=number(0.02, 0.06))
def test_more_cover_keeps_more_soil(cover, more, rate):
    assert seedbed.water_loss_ratio(cover + more, rate) < seedbed.water_loss_ratio(cover, rate) <= 1
    assert seedbed.wind_loss_ratio(cover + more) < seedbed.wind_loss_ratio(cover) <= 1
    assert seedbed.water_loss_ratio(0, rate) == 1


@settings(deadline=None)  # the first call imports scipy
@given(sd=number(0.01, 0.3), lines=st.integers(2, 50))
def test_more_tapes_narrow_the_interval(sd, lines):
    assert seedbed.lines_half_width(sd, lines + 1, 0.95) < seedbed.lines_half_width(sd, lines, 0.95)
    assert seedbed.lines_half_width(sd, lines, 0.95) > seedbed.normal_quantile(0.95) * sd / np.sqrt(lines)
