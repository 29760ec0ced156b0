"""What must hold of the slurry floor for any numbers: limits, order, balance, and freedom from the choice of units."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad

from spadework.science.chemistry import (
    free_ammonia_share,
    gas_concentration,
    henry_clegg_brimblecombe,
    pka_emerson,
    water_air_ratio_hales_drewes,
)
from spadework.science.slurry import (
    abatement_with_delay,
    available_n_mechanistic,
    available_n_share,
    bought_n_needed,
    bought_n_replaced,
    co2e_n2o,
    content_per_volume,
    delay_at,
    dose_at_limit,
    dose_for_n,
    dose_volume,
    early_share,
    loss_covered,
    loss_uncovered,
    mean_delay,
    mean_early_share,
    method_abatement,
    n2o_direct,
    n2o_indirect_leaching,
    n_beyond_need,
    nh3_n_loss,
    nutrient_rate,
    organic_n,
    tan_kept,
    yield_adjustment_germany,
)


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_subnormal=False)


shares = between(0, 1)
kilograms = between(0, 500)
delays = between(0, 100)
rates = between(0.2, 20)
areas = between(0.1, 60)


@st.composite
def points(draw: Any) -> tuple[float, float, float, float]:
    now, at_4, at_24 = sorted((draw(between(0.05, 1)), draw(shares), draw(shares)), reverse=True)
    return now, at_4, at_24, draw(between(25, 80))


@given(delays, delays, points())
def test_covering_later_never_saves_more(one: float, other: float, p: tuple[float, float, float, float]) -> None:
    soon, late = sorted((one, other))
    assert abatement_with_delay(soon, *p) >= abatement_with_delay(late, *p) - 1e-12
    assert 0 <= abatement_with_delay(late, *p) <= p[0]
    assert 0 <= early_share(soon, *p) <= early_share(late, *p) + 1e-12 <= 1 + 1e-12


@given(points())
def test_covering_at_once_and_too_late(p: tuple[float, float, float, float]) -> None:
    assert abatement_with_delay(0, *p) == p[0]
    assert abatement_with_delay(4, *p) == pytest.approx(p[1], abs=1e-12)
    assert abatement_with_delay(24, *p) == pytest.approx(p[2], abs=1e-12)
    assert abatement_with_delay(p[3], *p) == 0
    assert early_share(p[3] + 50, *p) == 1


@given(shares, delays, points())
def test_broadcast_slurry_loses_what_the_delay_leaves(
    reference: float, delay: float, p: tuple[float, float, float, float]
) -> None:
    early = early_share(delay, *p)
    left = reference * (1 - abatement_with_delay(delay, *p))
    assert loss_covered(reference, 0.0, p[0], early) == pytest.approx(left, abs=1e-12)


@given(shares, shares, shares, shares)
def test_covering_never_raises_the_loss(reference: float, method: float, now: float, early: float) -> None:
    loss = loss_covered(reference, method, now, early)
    assert 0 <= loss <= loss_uncovered(reference, method) <= reference
    assert loss_covered(reference, method, now, 1.0) == pytest.approx(loss_uncovered(reference, method), abs=1e-12)


@given(shares, shares, shares, shares, shares)
def test_loss_grows_with_what_is_gone_early(ref: float, method: float, now: float, one: float, other: float) -> None:
    soon, late = sorted((one, other))
    assert loss_covered(ref, method, now, soon) <= loss_covered(ref, method, now, late) + 1e-12


@given(shares, shares, shares, shares)
def test_a_band_loses_between_closed_and_open(reference: float, closed: float, opened: float, visible: float) -> None:
    ends = sorted((float(loss_uncovered(reference, closed)), float(loss_uncovered(reference, opened))))
    assert ends[0] - 1e-12 <= loss_uncovered(reference, method_abatement(closed, opened, visible)) <= ends[1] + 1e-12


@given(delays, rates, rates, areas, points())
def test_field_means_against_quadrature(
    lag: float, spread: float, cover: float, area: float, p: tuple[float, float, float, float]
) -> None:
    growth = 1 / cover - 1 / spread
    kinks = [(at - lag) / growth for at in (0.0, 4.0, 24.0, p[3]) if growth] if abs(growth) > 1e-9 else []
    inside = [x for x in kinks if 0 < x < area] or None
    late, _ = quad(lambda x: float(delay_at(x, lag, spread, cover)), 0, area, points=inside, limit=200)
    assert mean_delay(lag, spread, cover, area) == pytest.approx(late / area, rel=1e-7, abs=1e-7)

    def early(x: float) -> float:
        return float(early_share(float(delay_at(x, lag, spread, cover)), *p))

    gone, _ = quad(early, 0, area, points=inside, limit=200)
    assert mean_early_share(lag, spread, cover, area, *p) == pytest.approx(gone / area, rel=1e-7, abs=1e-7)


@given(delays, rates, areas, points())
def test_equal_rates_keep_the_lag(lag: float, rate: float, area: float, p: tuple[float, float, float, float]) -> None:
    assert mean_delay(lag, rate, rate, area) == pytest.approx(lag, rel=1e-12)
    assert mean_early_share(lag, rate, rate, area, *p) == pytest.approx(float(early_share(lag, *p)), abs=1e-12)


@given(delays, rates, areas, points(), st.sampled_from([1e-15, 1e-12, 1e-9, -1e-15, -1e-12, -1e-9]))
def test_nearly_equal_rates_are_no_cliff(
    lag: float, rate: float, area: float, p: tuple[float, float, float, float], off: float
) -> None:
    assume(lag == 0 or lag > 1e-3)
    near = mean_early_share(lag, rate, rate * (1 + off), area, *p)
    assert 0 <= near <= 1
    assert near == pytest.approx(float(early_share(lag, *p)), abs=1e-5)


@given(delays, rates, rates, areas, points())
def test_field_means_lie_between_the_ends(
    lag: float, spread: float, cover: float, area: float, p: tuple[float, float, float, float]
) -> None:
    ends = delay_at(np.array([0.0, area]), lag, spread, cover)
    assert ends.min() - 1e-9 <= mean_delay(lag, spread, cover, area) <= ends.max() + 1e-9
    gone = early_share(np.minimum(ends, 9000), *p)
    mean = mean_early_share(lag, spread, cover, area, *p)
    assert gone.min() - 1e-9 <= mean <= gone.max() + 1e-9
    assert 0 <= mean <= 1


@given(delays, rates, rates, areas, between(0.1, 10))
def test_delay_is_free_from_units_of_area_and_time(
    lag: float, spread: float, cover: float, area: float, k: float
) -> None:
    mean = float(mean_delay(lag, spread, cover, area))
    assert mean_delay(lag, spread * k, cover * k, area * k) == pytest.approx(mean, rel=1e-9, abs=1e-9)
    assert mean_delay(lag * k, spread / k, cover / k, area) == pytest.approx(mean * k, rel=1e-9, abs=1e-9)


@given(kilograms, shares)
def test_ammoniacal_n_balances(tan: float, loss: float) -> None:
    assert tan_kept(tan, loss) + nh3_n_loss(tan, loss) == pytest.approx(tan, abs=1e-9)


@given(kilograms, kilograms)
def test_need_and_supply_balance(available: float, need: float) -> None:
    replaced = bought_n_replaced(available, need)
    assert replaced + bought_n_needed(available, need) == pytest.approx(need, abs=1e-9)
    assert replaced + n_beyond_need(available, need) == pytest.approx(available, abs=1e-9)


@given(kilograms, shares, shares, shares, shares)
def test_available_n_never_exceeds_total(total: float, part: float, loss: float, a: float, m: float) -> None:
    tan = total * part
    available = available_n_mechanistic(tan_kept(tan, loss), organic_n(total, tan), a, m)
    assert -1e-9 <= available <= total + 1e-9


@given(between(0, 200), between(0.8, 1.3), between(0, 50))
def test_nutrients_do_not_depend_on_density(dose: float, density: float, content: float) -> None:
    brought = nutrient_rate(dose_volume(dose, density), content_per_volume(content, density))
    assert brought == pytest.approx(dose * content, rel=1e-12)


@given(between(0, 300), between(0.5, 10), between(0.05, 1))
def test_dose_for_n_brings_the_need(need: float, content: float, share: float) -> None:
    dose = dose_for_n(need, content, share)
    assume(dose <= 500)
    assert available_n_share(nutrient_rate(dose, content), share) == pytest.approx(need, rel=1e-12, abs=1e-12)
    assert nutrient_rate(dose_at_limit(need, content), content) == pytest.approx(need, rel=1e-12, abs=1e-12)


@given(between(0, 150), between(0, 150))
def test_higher_yield_never_needs_less(one: float, other: float) -> None:
    low, high = sorted((one, other))
    args = (45.0, 5.0, 10.0, 15.0, 40.0)
    assert yield_adjustment_germany(low, *args) <= yield_adjustment_germany(high, *args) <= 40.0


@given(between(0, 40), between(0, 40), between(5, 10))
def test_warmth_frees_ammonia(one: float, other: float, ph: float) -> None:
    cool, warm = sorted((one, other))
    assert pka_emerson(warm) <= pka_emerson(cool)
    assert free_ammonia_share(ph, pka_emerson(cool)) <= free_ammonia_share(ph, pka_emerson(warm))
    assert henry_clegg_brimblecombe(warm) <= henry_clegg_brimblecombe(cool)
    assert water_air_ratio_hales_drewes(warm) <= water_air_ratio_hales_drewes(cool)


@given(between(6, 14), between(-4, 4))
def test_half_is_free_at_the_pka(pka: float, off: float) -> None:
    assert free_ammonia_share(pka, pka) == 0.5
    ph = pka + off
    assume(0 <= ph <= 14 and 0 <= pka - off <= 14)
    assert free_ammonia_share(ph, pka) + free_ammonia_share(pka - off, pka) == pytest.approx(1, abs=1e-12)


@given(between(0, 10), shares, between(100, 5000), between(0, 3))
def test_air_goes_with_slurry(tan: float, free: float, ratio: float, k: float) -> None:
    assert gas_concentration(tan * k, free, ratio) == pytest.approx(float(gas_concentration(tan, free, ratio)) * k)


@given(kilograms, kilograms, between(0, 0.1), between(200, 300))
def test_nitrous_oxide_adds_up(one: float, other: float, factor: float, gwp: float) -> None:
    apart = co2e_n2o(n2o_direct(one, factor), gwp) + co2e_n2o(n2o_direct(other, factor), gwp)
    assert co2e_n2o(n2o_direct(one + other, factor), gwp) == pytest.approx(float(apart), rel=1e-12, abs=1e-9)
    assert n2o_indirect_leaching(one, 1.0, factor) == pytest.approx(float(n2o_direct(one, factor)))
