"""What must hold of composition, need, balances and equal terms for any numbers."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from spadework.ranges import collecting
from spadework.reference import constants
from spadework.science.slurry.balance import bought_replaced, crop_removal, nutrient_balance, years_until
from spadework.science.slurry.composition import (
    effective_loads,
    mean_by_mass,
    mean_by_volume,
    ph_span,
    sd_between_loads,
    sd_of_loads,
    sd_of_repeats,
    se_of_mean,
)
from spadework.science.slurry.contents import content_of_dry_matter, oxide_from_element
from spadework.science.slurry.crop_need import (
    available_share_by_dry_matter,
    extreme_years,
    guide_points,
    mean_over_rows,
    mean_yield_germany,
    nmin_of_layer,
)
from spadework.science.slurry.equal_terms import available_n_per_volume, dose_for_equal_available, dose_for_equal_tan
from spadework.science.slurry.gases import (
    break_even_ef,
    co2e_n2o,
    co2e_trade_off,
    n2o_direct,
    n2o_indirect_deposition,
)
from spadework.science.slurry.later_years import carry_over_after, later_share, value_of_later_years
from spadework.science.slurry.nitrogen import available_n_mechanistic, tan_kept
from spadework.science.slurry.nutrients import nutrient_rate
from spadework.science.slurry.plausible import odd_ratios


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_subnormal=False)


shares = between(0, 1)
kilograms = between(0, 500)
contents = between(0, 20)
volumes = between(0.5, 800)
densities = between(0.95, 1.1)


@st.composite
def loads(draw: Any, least: int = 1) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    n = draw(st.integers(least, 7))
    return tuple(np.array([draw(one) for _ in range(n)]) for one in (contents, volumes, densities))


@given(loads())
def test_mixing_keeps_the_mass(lot: tuple[np.ndarray, np.ndarray, np.ndarray]) -> None:
    content, volume, density = lot
    mean = mean_by_volume(content, volume)
    assert mean * volume.sum() == pytest.approx((content * volume).sum(), rel=1e-9, abs=1e-9)
    dry = content / 200
    tonnes = mean_by_volume(density, volume) * volume.sum()
    assert mean_by_mass(dry, volume, density) * tonnes == pytest.approx((dry * volume * density).sum(), abs=1e-9)
    assert content.min() - 1e-9 <= mean <= content.max() + 1e-9


@given(loads(2), between(0.01, 50))
def test_means_do_not_depend_on_order_or_unit_of_volume(
    lot: tuple[np.ndarray, np.ndarray, np.ndarray], k: float
) -> None:
    content, volume, density = lot
    mean = float(mean_by_volume(content, volume))
    assert mean_by_volume(content[::-1], k * volume[::-1]) == pytest.approx(mean, rel=1e-9, abs=1e-12)
    twice = np.concatenate([content, content]), np.concatenate([volume, volume])
    assert mean_by_volume(*twice) == pytest.approx(mean, rel=1e-9, abs=1e-12)
    assert effective_loads(k * volume) == pytest.approx(float(effective_loads(volume)), rel=1e-9)
    assert mean_by_mass(content, volume, np.full(volume.size, density[0])) == pytest.approx(mean, rel=1e-9, abs=1e-12)


@given(loads(), between(0.5, 100))
def test_loads_alike_count_in_full(lot: tuple[np.ndarray, np.ndarray, np.ndarray], size: float) -> None:
    _, volume, _ = lot
    assert 1 - 1e-9 <= effective_loads(volume) <= volume.size + 1e-9
    assert effective_loads(np.full(volume.size, size)) == pytest.approx(volume.size, rel=1e-9)


@given(loads(2), between(0.1, 30))
def test_scatter_goes_with_the_unit_of_content(lot: tuple[np.ndarray, np.ndarray, np.ndarray], k: float) -> None:
    content = lot[0]
    assert sd_of_loads(k * content) == pytest.approx(k * float(sd_of_loads(content)), rel=1e-9, abs=1e-9)
    assert sd_of_loads(content + 5) == pytest.approx(float(sd_of_loads(content)), rel=1e-6, abs=1e-9)
    assert sd_of_repeats(np.stack([content, content])) == pytest.approx(float(sd_of_loads(content)), rel=1e-9)


@given(contents, contents, st.integers(1, 5), between(1, 30), shares, shares)
def test_analysing_more_loads_is_never_less_sure(
    between_sd: float, repeat_sd: float, repeats: int, n: float, one: float, other: float
) -> None:
    few, many = sorted((one, other))
    slack = 1 + 1e-9
    assert se_of_mean(between_sd, repeat_sd, repeats, n, many) <= slack * se_of_mean(
        between_sd, repeat_sd, repeats, n, few
    )
    assert se_of_mean(between_sd, repeat_sd, repeats, n + 1, few) <= slack * se_of_mean(
        between_sd, repeat_sd, repeats, n, few
    )
    assert se_of_mean(between_sd, 0, repeats, n, 1.0) == 0
    with collecting():
        left = sd_between_loads(between_sd, repeat_sd, repeats)
        assert 0 <= left <= between_sd * slack
        assert sd_between_loads(between_sd, 0, repeats) == pytest.approx(between_sd, rel=1e-9, abs=1e-150)


@given(st.lists(between(5, 9), min_size=1, max_size=6))
def test_span_of_ph_holds_all(values: list[float]) -> None:
    low, high = ph_span(values)
    assert low == min(values)
    assert high == max(values)


@given(between(0.1, 8), between(0.01, 0.14))
def test_one_phosphate_on_every_paper(p_kg_t: float, dry: float) -> None:
    """Declared as P or P2O5, fresh or dry: the same slurry."""
    factor = constants("chemistry").p2o5_per_p
    straight = float(oxide_from_element(p_kg_t, factor))
    assume(p_kg_t / dry <= 1000)
    assert oxide_from_element(content_of_dry_matter(p_kg_t / dry, dry), factor) == pytest.approx(straight, rel=1e-9)
    assert content_of_dry_matter(min(straight / dry, 1000), dry) <= straight * (1 + 1e-9)


@given(between(0.5, 8), shares, between(0.5, 12))
def test_odd_ratios_do_not_depend_on_strength(total: float, part: float, k: float) -> None:
    one = [odd.key for odd in odd_ratios("cattle", total, total * part, total * part, total * part)]
    other = [odd.key for odd in odd_ratios("cattle", k * total, k * total * part, k * total * part, k * total * part)]
    near = any(abs(part - limit) < 1e-9 for limit in (0.35, 0.70, 0.25, 0.65, 1.80))
    assert near or one == other


@given(between(0.02, 0.10), between(0.02, 0.10))
def test_thicker_slurry_never_counts_for_more(one: float, other: float) -> None:
    points = guide_points("uk_cattle_spring_surface", "available_share")
    dry, available = [d.value for d, _ in points], [s.value for _, s in points]
    thin, thick = sorted((one, other))
    more, less = (float(available_share_by_dry_matter(d, dry, available)) for d in (thin, thick))
    assert more >= less - 1e-12
    assert min(available) - 1e-9 <= available_share_by_dry_matter(one, dry, available) <= max(available) + 1e-9


@given(st.lists(between(1, 60), min_size=1, max_size=5), between(0.05, 0.9), between(0.5, 3))
def test_mean_yield_lies_among_the_yields(years: list[float], share: float, k: float) -> None:
    may = extreme_years(years, share)
    assert may[0] == 0
    for chosen in (np.zeros(len(years)), may):
        mean = float(mean_yield_germany(years, chosen, share))
        assert min(years) - 1e-9 <= mean <= max(years) + 1e-9
    assert mean_yield_germany(years, 0, share) == pytest.approx(np.mean(years), rel=1e-9)


@given(kilograms, between(0.6, 1.8), between(0, 90), between(0, 0.9), shares)
def test_layers_of_soil_add_up(found: float, density: float, depth: float, stones: float, part: float) -> None:
    whole = float(nmin_of_layer(found, density, depth, stones))
    parts = (nmin_of_layer(found, density, d, stones) for d in (depth * part, depth * (1 - part)))
    assert sum(float(n) for n in parts) == pytest.approx(whole, rel=1e-9, abs=1e-9)


@given(kilograms, st.lists(between(0.01, 0.5), min_size=1, max_size=6))
def test_even_ground_needs_no_weights(content: float, widths: list[float]) -> None:
    assert mean_over_rows([content] * len(widths), widths) == pytest.approx(content, rel=1e-9, abs=1e-9)


@given(kilograms, kilograms, between(0, 80), contents)
def test_balance_is_what_goes_in_less_what_goes_out(brought: float, bought: float, crop: float, content: float) -> None:
    removed = float(crop_removal(crop, content))
    balance = nutrient_balance(brought, bought, removed)
    assert balance + removed == pytest.approx(brought + bought, rel=1e-9, abs=1e-9)


@given(kilograms, shares, kilograms)
def test_never_saves_more_than_is_brought_or_needed(brought: float, effect: float, need: float) -> None:
    saved = bought_replaced(brought, effect, need)
    assert 0 <= saved <= min(brought, need) + 1e-9


@given(between(-300, 300), between(-60, 60))
def test_years_of_a_balance_move_the_store(change: float, balance: float) -> None:
    assume(balance == 0 or abs(balance) > 1e-9)
    years = float(years_until(change, balance))
    if np.isfinite(years):
        assert years >= 0
        assert years * balance == pytest.approx(change, rel=1e-9, abs=1e-9)
    else:
        assert change * balance <= 0


@given(shares, between(0, 0.95), st.integers(1, 8), kilograms, between(0, 3), between(0, 0.2))
def test_later_years_add_up(total: float, kept: float, n: int, spread: float, price: float, rate: float) -> None:
    yearly = later_share(total, kept, np.arange(1.0, n + 1), n)
    assert yearly.sum() == pytest.approx(total, rel=1e-9, abs=1e-12)
    assert (np.diff(yearly) <= 1e-12).all()
    assert carry_over_after(spread, yearly, n + 3) == pytest.approx(spread * total, rel=1e-9, abs=1e-9)
    assert carry_over_after(spread, yearly, 0) == 0
    today = float(value_of_later_years(spread, yearly, price, rate))
    assert 0 <= today <= spread * total * price * (1 + 1e-9) + 1e-9
    assert value_of_later_years(spread, yearly, price) == pytest.approx(spread * total * price, rel=1e-9, abs=1e-9)


@given(between(0, 80), between(0.1, 8), between(0.5, 8))
def test_equal_ammoniacal_nitrogen_is_equal(dose: float, one: float, other: float) -> None:
    ours = dose_for_equal_tan(dose, one, other)
    assume(ours <= 500)
    assert nutrient_rate(ours, other) == pytest.approx(float(nutrient_rate(dose, one)), rel=1e-9, abs=1e-9)
    assert dose_for_equal_tan(dose, one, one) == pytest.approx(dose, rel=1e-9)


@given(between(0.5, 8), between(0, 5), between(0, 0.9), shares, between(0, 0.3), shares, between(1, 200))
def test_equal_available_nitrogen_is_available(
    tan: float, organic: float, loss: float, a: float, m: float, early: float, wanted: float
) -> None:
    per_volume = available_n_per_volume(tan, organic, loss, a, m, early)
    assume(per_volume > 0.01)
    dose = float(dose_for_equal_available(wanted, per_volume))
    kept = tan_kept(dose * tan, loss)
    ours = available_n_mechanistic(kept, dose * organic, a, m, kept * early)
    assert ours == pytest.approx(wanted, rel=1e-9)


@given(between(0.5, 8), between(0, 5), shares, shares)
def test_a_greater_loss_never_needs_less_slurry(tan: float, organic: float, one: float, other: float) -> None:
    small, great = sorted((one, other))
    less = available_n_per_volume(tan, organic, great, 1.0, 0.1)
    assume(less > 1e-3)
    assert dose_for_equal_available(100, less) >= dose_for_equal_available(
        100, available_n_per_volume(tan, organic, small, 1.0, 0.1)
    )


@given(kilograms, between(0, 0.1), between(0, 0.15), between(1, 400), between(250, 300))
def test_nothing_is_left_of_the_saving_at_break_even(
    kept: float, ef4: float, ef: float, applied: float, gwp: float
) -> None:
    even = float(break_even_ef(ef, n2o_indirect_deposition(kept, ef4), applied))
    assume(even <= 0.2)
    extra = float(n2o_direct(applied, even) - n2o_direct(applied, ef))
    assert co2e_trade_off(extra, kept, ef4, gwp) == pytest.approx(0, abs=1e-7)
    assert co2e_trade_off(extra, 0, ef4, gwp) == pytest.approx(float(co2e_n2o(extra, gwp)))
