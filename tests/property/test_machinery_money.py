"""Properties of money in three views and of days: sums to the cent, limits, monotony, other ways of counting."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.ranges import ImpossibleValue, collecting
from spadework.reference import Row, load
from spadework.science import machinery as m
from spadework.science.machinery.cost import days, hiring, in_time, keeping
from spadework.science.machinery.cost import hourly as cost


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


MONEY, HECTARE, TIME, HOURS = between(0, 1e5), between(0, 500), between(0.05, 5), between(10, 2000)
SHARE = between(0, 1)
VALUES = st.sampled_from([row for row in load("remaining_value_asae_d497").values() if row.key != "combine"])
REPAIRS = st.sampled_from(list(load("repair_asae_d497").values()))


@given(between(-1e5, 1e5), MONEY, MONEY, HOURS, TIME, HECTARE, HECTARE, HECTARE)
def test_full_cost_is_marginal_and_fixed(
    capital: float, holding: float, repair: float, hours: float, time: float, fuel: float, oil: float, labour: float
) -> None:
    machine = m.cost_per_hectare(m.machine_cost_per_hour(capital, holding, repair, hours), time)
    full = machine + fuel + oil + labour
    repair_ha = m.cost_per_hectare(keeping.repair_per_hour(repair, hours), time)
    marginal = cost.marginal_cost(fuel, oil, labour, repair_ha)
    fixed = keeping.fixed_per_hectare(keeping.fixed_per_year(capital, holding), hours, time)
    scale = abs(capital) / hours * time + full + abs(fixed) + 1
    assert full == pytest.approx(marginal + fixed, rel=0, abs=1e-9 * max(1.0, scale / 1000))
    parts = [fuel, oil, labour, float(repair_ha), float(fixed)]
    assert abs(sum(round(part, 2) for part in parts) - full) <= 0.005 * len(parts) + 1e-9 * scale


@given(VALUES, REPAIRS, between(1e3, 5e5), between(1, 20), between(0, 0.2), between(0, 0.05), TIME, HOURS, HECTARE)
def test_cost_at_the_area_of_the_hours_is_the_cost_of_the_hours(
    value: Row, repair: object, price: float, years: float, interest: float, holding: float, time: float,
    hours: float, running: float,
) -> None:  # fmt: skip
    c1, c2, c3 = (value.entry(name).value for name in ("c1", "c2", "c3"))
    rf1, rf2 = (repair.entry(name).value for name in ("rf1", "rf2"))
    with collecting():
        try:
            left = price * m.remaining_value_asae_d497_7(c1, c2, c3, years, hours)
        except ImpossibleValue:
            return
        ours = keeping.cost_at_area(
            hours / time, time, price, c1, c2, c3, years, interest, holding, rf1, rf2, running
        )  # fmt: skip
    # written out anew: payments, holding and the mean of the repairs, over the hectares of a year
    year = m.capital_recovery(price, left, interest, years) + price * holding
    year += price * rf1 * (years * hours / 1000) ** rf2 / years
    assert ours == pytest.approx(year * time / hours + running, rel=1e-9)


@given(between(1e3, 5e5), between(1, 15), between(0, 0.2), TIME, between(5, 500), between(1.01, 2))
def test_cost_of_a_hectare_falls_with_the_area_while_nothing_wears(
    price: float, years: float, interest: float, time: float, area: float, more: float
) -> None:
    # without wear by the hour (c3 nil, no repairs) the yearly cost is the same whatever the area
    once, twice = keeping.cost_at_area([area, area * more], time, price, 0.7, 0.05, 0, years, interest, 0.02, 0, 1, 0)
    assert twice == pytest.approx(once / more)


@given(between(1e-6, 1e5), HECTARE, between(-400, 400))
def test_break_even_makes_both_equal_or_never_comes(fixed: float, variable: float, saved: float) -> None:
    contract = max(variable + saved, 0.0)
    area = hiring.break_even_area(fixed, contract, variable)
    if contract <= variable:
        assert np.isinf(area)
    elif np.isfinite(area):
        assert fixed == pytest.approx(area * (contract - variable))
        for part in (0.5, 2.0):
            own, hired = fixed + part * area * variable, part * area * contract
            assert (own < hired) == (part > 1) or own == pytest.approx(hired)


@given(between(1, 500), HECTARE, between(1, 100))
def test_hired_by_volume_and_by_the_hectare_agree_per_volume(rate: float, fuel: float, dose: float) -> None:
    hired = hiring.hired_per_hectare_by_volume(rate, dose)
    assert cost.per_volume(hired, dose) == pytest.approx(rate)
    assert cost.per_tonne(hired, dose) == pytest.approx(rate)
    assert hiring.hired_with_fuel(hired, fuel, 0) == hired
    assert hiring.hired_with_fuel(hired, fuel, 1) == pytest.approx(hired + fuel)


@given(between(0.1, 500), between(0.1, 20), between(1, 20), between(0.05, 1), between(0, 0.001), between(0, 20))
def test_lateness_over_the_area_is_timeliness_with_work_that_starts_on_the_best_day(
    area: float, rate: float, day: float, share: float, loss: float, crop: float
) -> None:
    span = days.calendar_days(days.days_needed(area, rate, day), share)
    late = days.mean_days_late(span)
    if late > 366:
        return
    if loss * late > 1:
        with pytest.raises(ImpossibleValue, match="loss_share_day"):
            days.lateness_cost(loss, late, crop, 180)
        return
    theirs = m.timeliness_cost(loss, area, crop, 180, 2, day, rate, share)
    assert area * days.lateness_cost(loss, late, crop, 180) == pytest.approx(theirs)


@st.composite
def chains(draw: st.DrawFn) -> tuple[float, float]:
    share = draw(between(0.02, 0.98))
    return share, draw(between(max(0.0, 2 - 1 / share), 1))


@given(st.integers(0, 40), st.integers(0, 40), SHARE)
def test_without_memory_the_chain_is_the_binomial(needed: int, window: int, share: float) -> None:
    ours = in_time.chance_done_in_spells(needed, window, share, share)
    assert ours == pytest.approx(float(in_time.chance_done(needed, window, share)), abs=1e-12)


@settings(max_examples=40)
@given(chains(), st.integers(0, 8))
def test_chain_against_every_course_that_the_weather_can_take(chain: tuple[float, float], window: int) -> None:
    share, stay = chain
    turn = share * (1 - stay) / (1 - share)
    counts = np.zeros(window + 2)
    for course in product((0, 1), repeat=window):
        chance, before = 1.0, None
        for day in course:
            fit = share if before is None else stay if before else turn
            chance *= fit if day else 1 - fit
            before = day
        counts[sum(course)] += chance
    needed = np.arange(window + 2)
    ours = in_time.chance_done_in_spells(needed, window, share, stay)
    assert ours == pytest.approx(np.cumsum(counts[::-1])[::-1], abs=1e-9)


@settings(max_examples=40)
@given(chains(), st.integers(1, 60))
def test_mean_and_variance_of_the_fit_days_of_a_window(chain: tuple[float, float], window: int) -> None:
    share, stay = chain
    link = stay - share * (1 - stay) / (1 - share)  # correlation of a day with the next
    tail = in_time.chance_done_in_spells(np.arange(1, window + 1), window, share, stay)
    mean = tail.sum()
    assert mean == pytest.approx(float(days.fit_days(window, share)), rel=1e-9, abs=1e-9)
    second = (tail * (2 * np.arange(1, window + 1) - 1)).sum()
    apart = np.arange(1, window)
    theirs = share * (1 - share) * (window + 2 * ((window - apart) * link**apart).sum())
    assert second - mean**2 == pytest.approx(theirs, rel=1e-6, abs=1e-6)


@given(chains(), between(0, 30), st.integers(0, 60), between(0, 10))
def test_chance_grows_with_the_window_and_falls_with_the_work(
    chain: tuple[float, float], needed: float, window: int, more: float
) -> None:
    base = in_time.chance_done_in_spells(needed, window, *chain)
    assert 0 <= base <= 1
    assert in_time.chance_done_in_spells(needed, window + more, *chain) >= base - 1e-12
    assert in_time.chance_done_in_spells(needed + more, window, *chain) <= base + 1e-12
    better = min(chain[0] + 0.01, 1)
    assert in_time.chance_done(needed, window, better) >= in_time.chance_done(needed, window, chain[0]) - 1e-12


@settings(max_examples=40)
@given(chains(), between(0, 15), between(0.05, 0.99))
def test_window_is_the_first_that_gives_the_chance(chain: tuple[float, float], needed: float, chance: float) -> None:
    window = in_time.window_for_chance(needed, *chain, chance)
    last = 366.0 if np.isinf(window) else float(window) - 1
    if np.isfinite(window):
        assert in_time.chance_done_in_spells(needed, window, *chain) >= chance - 1e-9
    if last >= 0:
        assert in_time.chance_done_in_spells(needed, last, *chain) < chance
