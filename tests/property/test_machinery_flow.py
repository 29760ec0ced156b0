"""Properties of dose, flow and speed on the day, of bucket tests and of weighed loads."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from spadework.science.machinery import dose_from_flow, flow_per_row, pump_flow, speed_for_dose
from spadework.science.machinery.dose import bucket
from spadework.science.machinery.dose import windows as flow


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


DOSE, WIDTH, SPEED = between(5, 100), between(1, 24), between(1, 12)
SHARE, OUTLETS = between(0.01, 0.5), st.integers(2, 48)
FLOWS = st.lists(between(0.01, 0.5), min_size=2, max_size=24)


@given(DOSE, WIDTH, SPEED, OUTLETS, between(1, 60))
def test_dose_to_bucket_and_back(dose: float, width: float, speed: float, outlets: int, seconds: float) -> None:
    whole = pump_flow(dose, width, speed)
    assume(whole <= 20)
    caught = bucket.bucket_litres(flow_per_row(whole, outlets), seconds)
    back = bucket.outlet_flow(caught, seconds) * outlets
    assert dose_from_flow(min(back, 20), width, speed) == pytest.approx(dose)
    # Litres along all rows are the dose over the width.
    rows = bucket.row_litres_from_outlet(back / outlets, speed) * outlets
    assert rows == pytest.approx(dose * width / 10)


@given(DOSE, WIDTH, SPEED, SHARE)
def test_windows_hold_the_dose_at_their_ends(dose: float, width: float, speed: float, share: float) -> None:
    q = pump_flow(dose, width, speed)
    assume(q <= 10)
    slow, fast = flow.speed_window(dose, width, q, share)
    least, most = flow.flow_window(dose, width, speed, share)
    assert slow < speed < fast
    assert fast - speed > speed - slow
    assert flow.off_target(dose_from_flow(q, width, slow), dose) == pytest.approx(share)
    assert flow.off_target(dose_from_flow(q, width, fast), dose) == pytest.approx(-share)
    assert flow.off_target(dose_from_flow(least, width, speed), dose) == pytest.approx(-share)
    assert flow.off_target(dose_from_flow(most, width, speed), dose) == pytest.approx(share)
    assert flow.dose_error_from_speed(slow / speed - 1) == pytest.approx(share)
    assert speed_for_dose(q, width, dose) == pytest.approx(speed)


@given(between(-0.8, 3), between(0.01, 1))
def test_faster_places_less(error: float, more: float) -> None:
    assert flow.dose_error_from_speed(error + more) < flow.dose_error_from_speed(error)
    assert flow.dose_error_from_speed(0) == 0


@given(FLOWS, st.integers(0, 23), between(0.01, 40), between(0.05, 0.95))
def test_blocked_does_not_depend_on_scale_or_order(flows: list[float], turn: int, scale: float, share: float) -> None:
    middle = np.median(flows)
    assume(all(abs(q - share * middle) > 1e-9 for q in flows))
    shut = bucket.blocked(flows, share)
    assert bucket.blocked(np.array(flows) * scale, share).tolist() == shut.tolist()
    assert bucket.blocked(np.roll(flows, turn), share).tolist() == np.roll(shut, turn).tolist()
    assert bucket.variation(np.array(flows) * scale) == pytest.approx(bucket.variation(flows))
    assert bucket.off_median(np.array(flows) * scale) == pytest.approx(bucket.off_median(flows))
    assert shut.sum() <= len(flows) / 2


@given(st.lists(between(0.9, 1.1), min_size=5, max_size=24), st.data())
def test_blocked_outlets_are_found_while_fewer_than_half_are(flows: list[float], data: st.DataObject) -> None:
    most = (len(flows) - 1) // 2
    shut = data.draw(st.sets(st.integers(0, len(flows) - 1), max_size=most))
    given_ = np.array(flows)
    for i in shut:
        given_[i] *= data.draw(between(0, 0.3))
    assert set(np.flatnonzero(bucket.blocked(given_, 0.5))) == shut


@given(DOSE, st.integers(2, 48), st.data())
def test_what_a_blocked_outlet_does_not_give_the_others_do(dose: float, outlets: int, data: st.DataObject) -> None:
    shut = data.draw(st.integers(0, outlets - 1))
    assert bucket.dose_of_open(dose, outlets, shut) * (outlets - shut) == pytest.approx(dose * outlets)
    assert bucket.dose_of_open(dose, outlets, 0) == pytest.approx(dose)


@given(FLOWS)
def test_off_the_others_and_off_the_median(flows: list[float]) -> None:
    others = bucket.off_others(flows)
    array = np.array(flows)
    i = len(flows) // 2
    assert others[i] == pytest.approx(array[i] / np.delete(array, i).mean() - 1)
    assert np.sign(others).tolist() == pytest.approx(
        np.sign(np.where(np.isclose(others, 0), others, array - array.mean()))
    )
    assert np.median(bucket.off_median(flows)) == pytest.approx(0, abs=1e-12)
    # Repeats are judged one by one.
    twice = bucket.off_median([flows, flows[::-1]])
    assert twice[1] == pytest.approx(twice[0][::-1])


@given(between(0.005, 0.5), between(0.005, 0.2), between(0, 1), between(0.01, 1))
def test_shortest_time_gives_the_wanted_error(q: float, error: float, reading: float, clock: float) -> None:
    time = bucket.seconds_for(q, error, reading, clock)
    assume(time <= 3600)
    assert bucket.catch_error(bucket.bucket_litres(q, time), time, reading, clock) == pytest.approx(error)
    assert bucket.seconds_for(q * 2, error, reading, clock) <= time


@given(between(5, 30), st.integers(1, 50), between(0.001, 0.5), between(0, 0.1), between(0, 0.05))
def test_error_of_weighed_loads(load: float, loads: int, weighing: float, area: float, density: float) -> None:
    share = flow.weighed_error(load, loads, weighing, area, density)
    assert flow.weighed_error(load, loads + 1, weighing, area, density) < share
    assert share >= np.hypot(area, density)
    assert flow.weighed_error(load, 1_000, 0, area, density) == pytest.approx(np.hypot(area, density))


@given(between(5, 30), between(5, 20), between(0.95, 1.1), between(0.1, 2), between(1.1, 3))
def test_weighed_dose_keeps_its_mass(net: float, empty: float, density: float, area: float, more: float) -> None:
    dose = flow.dose_from_weighed(empty + net, empty, density, area)
    assert dose * density * area == pytest.approx(net)
    assert flow.dose_from_weighed(empty + net, empty, density, area * more) == pytest.approx(dose / more)
    assert flow.dose_from_meter(7, 7 + net / density, 1, area) == pytest.approx(dose)


def test_error_of_weighed_loads_against_drawn_ones() -> None:
    # What 50 000 days with such errors show, drawn at random: 12 loads of 15 t, each weighed twice.
    random = np.random.default_rng(5)
    days, loads, load, weighing, area = 50_000, 12, 15.0, 0.3, 0.02
    masses = load + random.normal(0, weighing, (days, loads)) - random.normal(0, weighing, (days, loads))
    found = masses.sum(axis=1) / (1 + random.normal(0, area, days))
    ours = flow.weighed_error(load, loads, weighing, area, 0)
    assert found.std() / found.mean() == pytest.approx(float(ours), rel=0.02)
