"""Properties of the machinery floor: limits, monotony, mass and money balances, independence of units."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.ranges import ImpossibleValue, collecting
from spadework.reference import Row, load
from spadework.science import machinery as m


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


DRAFT_ROWS = st.sampled_from(list(load("draft_asae_d497").values()))
SPEED, WIDTH, DEPTH, DOSE = between(0.5, 15), between(0.5, 20), between(2, 40), between(5, 120)
SHARE, POWER, YEARS, INTEREST = between(0, 1), between(20, 500), between(1, 30), between(-0.1, 0.3)


def coefficients(row: Row) -> list[float]:
    return [row.entry(name).value for name in ("f_medium", "a", "b", "c")]


@given(DRAFT_ROWS, SPEED, WIDTH, DEPTH, between(1.01, 3))
def test_draft_grows_with_size_depth_and_speed(row: Row, speed: float, units: float, depth: float, more: float) -> None:
    f, a, b, c = coefficients(row)
    base = m.draft_asae_d497(f, a, b, c, units, speed, depth)
    assert m.draft_asae_d497(f, a, b, c, units * more, speed, depth) == pytest.approx(base * more)
    assert m.draft_asae_d497(f, a, b, c, units, speed, depth * more) == pytest.approx(base * more)
    faster = m.draft_asae_d497(f, a, b, c, units, speed * min(more, 2), depth)
    assert faster > base if b or c else faster == pytest.approx(base)


@given(DRAFT_ROWS, SPEED, WIDTH, DEPTH)
def test_draft_finer_soil_pulls_harder(row: Row, speed: float, units: float, depth: float) -> None:
    _, a, b, c = coefficients(row)
    fine, medium, coarse = (
        float(m.draft_asae_d497(row.entry(f"f_{name}").value, a, b, c, units, speed, depth))
        for name in ("fine", "medium", "coarse")
    )
    assert fine >= medium >= coarse > 0


@given(SPEED, WIDTH, DEPTH)
def test_draft_does_not_depend_on_the_units_it_is_written_in(speed: float, width: float, depth: float) -> None:
    # The plough's parameters turned to mph and inches give the same pull.
    a, c = 652.0, 5.1
    metric = m.draft_asae_d497(0.7, a, 0, c, width, speed, depth)
    mph, inch = speed / 1.609344, depth / 2.54
    turned = m.draft_asae_d497(0.7, a * 2.54, 0, c * 1.609344**2 * 2.54, width, mph, inch)
    assert turned == pytest.approx(metric)


@given(between(0.1, 60), between(0.02, 0.3), between(-0.3, 0.3), between(0, 0.4))
def test_pull_on_a_slope(mass: float, rolling: float, slope: float, hitch: float) -> None:
    up, down = m.draft_towed(mass, rolling, slope, hitch), m.draft_towed(mass, rolling, -slope, hitch)
    level = m.draft_towed(mass, rolling, 0, hitch)
    assert up + down == pytest.approx(2 * level / np.sqrt(1 + slope**2))
    assert (up >= down) == (slope >= 0) or slope == pytest.approx(0)
    assert level == pytest.approx(m.draft_towed(mass * (1 - hitch), rolling, 0, 0))
    weight = m.draft_towed(mass, 0, slope, hitch)
    assert weight == pytest.approx(m.draft_towed(mass, 0, slope, 0))


@given(between(5, 150), between(0, 0.6), between(1, 100))
def test_traction_keeps_to_its_bounds(number: float, slip: float, load_kn: float) -> None:
    gross = m.gross_traction_brixius(load_kn, number, slip)
    resistance = m.motion_resistance_brixius(load_kn, number, slip)
    net = m.net_traction(gross, resistance)
    assert net < gross
    assert m.tractive_efficiency(net, gross, slip) < 1 - slip + 1e-12
    assert resistance >= load_kn * m.rolling_coefficient_brixius(number) * (1 - 1e-12)
    assert m.gross_traction_brixius(load_kn, number, min(slip + 0.05, 1)) > gross


@given(between(100, 3000), between(0.3, 0.9), between(1, 2), between(10, 60), between(0, 0.3), between(1.1, 2))
def test_wheel_number_grows_with_firm_soil_and_light_load(
    cone: float, width: float, diameter: float, load_kn: float, deflection: float, more: float
) -> None:
    base = m.wheel_number_brixius(cone, width, diameter, load_kn, deflection)
    assert m.wheel_number_brixius(cone * more, width, diameter, load_kn, deflection) == pytest.approx(base * more)
    assert m.wheel_number_brixius(cone, width, diameter, load_kn * more, deflection) == pytest.approx(base / more)
    assert m.wheel_number_brixius(cone, width, diameter, load_kn, min(0.5, deflection + 0.1)) > base


@given(between(0.2, 1), POWER, SHARE)
def test_fuel_agrees_with_the_form_of_the_standard(load_share: float, rated: float, part: float) -> None:
    # ASAE D497.7, from memory: SFC = (0.22 + 0.096/X)(1 - (N - 1)(0.45 X - 0.877)), N the share of full engine speed.
    slower = part * 100 * (1 - load_share)
    n = 1 - slower / 100
    theirs = (0.22 + 0.096 / load_share) * (1 - (n - 1) * (0.45 * load_share - 0.877)) * load_share * rated
    assert m.fuel_rate_grisso_2004(load_share, rated, slower) == pytest.approx(theirs)


@given(between(0.2, 0.99), POWER, between(0.001, 0.01), SHARE)
def test_fuel_rises_with_load_and_falls_with_a_slower_engine(
    load_share: float, rated: float, more: float, part: float
) -> None:
    base = m.fuel_rate_grisso_2004(load_share, rated, 0)
    assert m.fuel_rate_grisso_2004(load_share + more, rated, 0) > base
    assert m.fuel_rate_asae_d497_4(load_share + more, rated) > m.fuel_rate_asae_d497_4(load_share, rated)
    slower = part * 100 * (1 - load_share)
    assert m.fuel_rate_grisso_2004(load_share, rated, slower) <= base
    assert m.fuel_rate_asae_d497_4(load_share, rated) > base
    assert m.fuel_rate_grisso_2004(load_share, 2 * rated, slower) == pytest.approx(
        2 * m.fuel_rate_grisso_2004(load_share, rated, slower)
    )


@given(between(1, 100), between(0.05, 5), between(1, 100), between(0, 5), between(0, 5), between(0, 5))
def test_fuel_per_hectare_lies_between_its_rates(
    rate: float, work: float, other: float, turn: float, road: float, stand: float
) -> None:
    litres = m.fuel_per_hectare(rate, work, other, turn, other, road, other, stand)
    time = work + turn + road + stand
    assert min(rate, other) * time * (1 - 1e-12) <= litres <= max(rate, other) * time * (1 + 1e-12)


@given(SPEED, WIDTH, between(0.1, 1))
def test_efficiency_undoes_capacity(speed: float, width: float, efficiency: float) -> None:
    rate = m.field_capacity(speed, width, efficiency)
    assert m.field_efficiency(rate, speed, width) == pytest.approx(efficiency)
    assert m.work_rate(1 / rate) == pytest.approx(rate)
    assert m.material_capacity(speed, width, 40, efficiency) == pytest.approx(40 * rate)


@given(between(0.02, 2), between(0.5, 1), between(0, 1), between(0, 1))
def test_efficiency_from_times_falls_with_every_loss(ideal: float, used: float, hourly: float, area: float) -> None:
    eta = m.field_efficiency_from_times(ideal, used, hourly, area)
    assert 0 < eta <= used * (1 + 1e-12)
    assert m.field_efficiency_from_times(ideal, used, hourly + 0.1, area) < eta
    assert m.field_efficiency_from_times(ideal, 1, 0, 0) == pytest.approx(1)
    parts = m.field_time(ideal / used, 0, area, 0, hourly)
    assert eta * parts == pytest.approx(ideal)


@given(DOSE, between(1, 6), between(1, 12))
def test_flow_dose_and_speed_undo_one_another(dose: float, width: float, speed: float) -> None:
    flow = m.pump_flow(dose, width, speed)
    assert m.dose_from_flow(flow, width, speed) == pytest.approx(dose)
    assert m.speed_for_dose(flow, width, dose) == pytest.approx(speed)
    assert m.flow_per_row(flow, 8) * 8 == pytest.approx(flow)


@given(between(3, 35), DOSE, between(2, 6), between(2, 12))
def test_slurry_is_neither_lost_nor_made(tank: float, dose: float, width: float, speed: float) -> None:
    metres = m.run_length(tank, dose, width)
    hectares = metres * width / 10_000
    assert hectares * dose == pytest.approx(tank)
    assert m.dose_from_loads(1, tank, hectares) == pytest.approx(dose)
    minutes = metres / (speed * 1000 / 60)
    assert m.pump_flow(dose, width, speed) * minutes == pytest.approx(tank)
    capacity = m.field_capacity(speed, width, 1)
    spreading = m.spreading_per_load(tank, dose, 1 / capacity)
    assert spreading == pytest.approx(minutes)
    round_ = m.spreader_round(spreading, 0, 0)
    assert m.area_rate(m.throughput(tank, round_, 1), dose) == pytest.approx(capacity)


@given(between(3, 35), DOSE, between(0, 10), between(0, 5), between(0, 5))
def test_refill_time_agrees_with_the_round(tank: float, dose: float, way: float, connect: float, other: float) -> None:
    road = m.road_per_load(way, 25, 35)
    assert m.road_per_load(way + 1, 25, 35) - road == pytest.approx(60 / 25 + 60 / 35)
    filling = m.filling_round(tank, 4.5, connect)
    away = m.trip_time(filling, road, other)
    # by the hectare, as a time study adds it up
    spreading = m.work_rate(m.field_capacity(7, 6, 1))
    per_hectare = m.field_time(spreading, 0, m.refill_time(dose, tank, away), 0, 0)
    # by the load, as the round of the tanker goes
    round_ = m.spreader_round(m.spreading_per_load(tank, dose, spreading), filling + road, other)
    assert m.supply_time(dose, m.throughput(tank, round_, 1)) == pytest.approx(per_hectare)


@given(between(0, 1e6), between(0, 1e6), INTEREST, st.integers(1, 30))
def test_payments_are_worth_what_the_machine_costs(price: float, left: float, interest: float, years: int) -> None:
    payment = m.capital_recovery(price, left, interest, years)
    discount = (1 + interest) ** -np.arange(1, years + 1, dtype=float)
    worth = payment * discount.sum() + left * discount[-1]
    assert worth == pytest.approx(price, rel=1e-9, abs=1e-6 * max(1.0, discount.max()) * (1 + left))


@given(st.integers(1, 40), between(1e-12, 1e-7))
def test_no_interest_is_the_limit_of_little_interest(years: int, little: float) -> None:
    none = float(m.capital_recovery_factor(0, years))
    assert none == pytest.approx(1 / years)
    assert m.capital_recovery_factor([little, -little], years) == pytest.approx([none, none], rel=1e-5)


@given(between(1, 1e6), SHARE, YEARS, INTEREST, between(0, 0.1))
def test_the_simpler_way_of_ownership_adds_up(
    price: float, left: float, years: float, interest: float, holding: float
) -> None:
    parts = (
        m.straight_line_depreciation(price, price * left, years)
        + m.average_interest(price, price * left, interest)
        + m.holding_cost(price, holding)
    )
    whole = price * m.ownership_share_asae_ep496(left, years, interest, holding)
    assert whole == pytest.approx(parts, abs=1e-6 * price)


@given(between(-0.1, 0.3), between(-0.1, 0.3))
def test_real_interest_and_inflation_make_the_agreed_interest(interest: float, inflation: float) -> None:
    real = m.real_interest(interest, inflation)
    assert (1 + real) * (1 + inflation) == pytest.approx(1 + interest)


VALUES = st.sampled_from([row for row in load("remaining_value_asae_d497").values() if row.key != "combine"])


@given(VALUES, between(0, 14), between(0.1, 5), between(0, 1000))
def test_machines_lose_value(row: Row, years: float, more: float, hours: float) -> None:
    c1, c2, c3 = (row.entry(name).value for name in ("c1", "c2", "c3"))
    young = m.remaining_value_asae_d497_7(c1, c2, c3, years, hours)
    old = m.remaining_value_asae_d497_7(c1, c2, c3, years + more, hours)
    assert 0 <= old < young <= 1
    assert m.remaining_value_asae_d497_7(c1, c2, c3, years, hours + 100) <= young


@given(VALUES, between(0, 60), between(0, 3000))
def test_remaining_value_never_grows_again(row: Row, years: float, hours: float) -> None:
    c1, c2, c3 = (row.entry(name).value for name in ("c1", "c2", "c3"))
    with collecting():
        if c1 - c2 * years**0.5 - c3 * hours**0.5 >= 0:
            assert 0 <= m.remaining_value_asae_d497_7(c1, c2, c3, years, hours) <= 1
        else:
            with pytest.raises(ImpossibleValue, match="years") as caught:
                m.remaining_value_asae_d497_7(c1, c2, c3, years, hours)
            assert caught.value.high <= years


@given(between(0.3, 1), between(0.5, 1), between(0, 20))
def test_value_by_age_keeps_its_share(first: float, kept: float, years: float) -> None:
    now, later = m.remaining_value_by_age(first, kept, [years, years + 1])
    assert later == pytest.approx(now * kept)


REPAIRS = st.sampled_from(list(load("repair_asae_d497").values()))


@given(REPAIRS, between(1, 1e6), between(0, 5000), between(0, 5000), between(0, 5000))
def test_repairs_add_up_over_intervals(row: Row, price: float, start: float, first: float, second: float) -> None:
    rf1, rf2 = row.entry("rf1").value, row.entry("rf2").value
    middle, end = start + first, start + first + second
    whole = m.repair_asae_d497(price, rf1, rf2, start, end)
    parts = m.repair_asae_d497(price, rf1, rf2, start, middle) + m.repair_asae_d497(price, rf1, rf2, middle, end)
    assert whole == pytest.approx(parts, rel=1e-6, abs=1e-6 * price)
    assert whole >= 0
    # every exponent is above one: the same hours cost more on an older machine
    assert m.repair_asae_d497(price, rf1, rf2, start + 1000, end + 1000) >= whole - 1e-6 * price


@given(between(0, 1e5), between(0, 1e5), between(0, 1e5), between(10, 2000), between(0.1, 5))
def test_hour_and_hectare_tell_the_same_cost(
    capital: float, holding: float, repair: float, hours: float, time: float
) -> None:
    per_hour = m.machine_cost_per_hour(capital, holding, repair, hours)
    hectares = hours / time
    assert m.cost_per_hectare(per_hour, time) * hectares == pytest.approx(capital + holding + repair)


@given(between(0, 1e5), between(0, 0.3))
def test_tax_goes_in_and_out(net: float, rate: float) -> None:
    gross = m.with_vat(net, rate)
    assert gross >= net
    assert m.without_vat(gross, rate) == pytest.approx(net)


@given(between(0.0005, 0.02), between(1, 200), between(0.5, 5), between(1.1, 3))
def test_being_late_costs_by_the_square_of_the_area(loss: float, area: float, rate: float, more: float) -> None:
    base = m.timeliness_cost(loss, area, 15, 180, 2, 8, rate, 0.5)
    assert m.timeliness_cost(loss, area * more, 15, 180, 2, 8, rate, 0.5) == pytest.approx(base * more**2)
    assert m.timeliness_cost(loss, area, 15, 180, 4, 8, rate, 0.5) == pytest.approx(base / 2)


@given(st.lists(between(0.2, 1), min_size=1, max_size=5), st.lists(POWER, min_size=1, max_size=4))
def test_arrays_give_what_their_elements_give(loads: list[float], rated: list[float]) -> None:
    table = m.fuel_rate_grisso_2004(np.array(loads)[:, None], np.array(rated)[None, :], 0)
    assert table.shape == (len(loads), len(rated))
    for i, share in enumerate(loads):
        for j, power in enumerate(rated):
            assert table[i, j] == pytest.approx(float(m.fuel_rate_grisso_2004(share, power, 0)))
