"""Properties of the supply of slurry: bounds, monotony, balance, and one rate from two ways of working it out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.ranges import FloatArray
from spadework.science.machinery.pull.outfit import road_per_load
from spadework.science.machinery.supply import cost as supply_cost
from spadework.science.machinery.supply import haulage, hose, loads
from spadework.science.machinery.supply import rate as supply_rate
from spadework.science.machinery.supply import rhythm as supply_rhythm
from spadework.science.machinery.supply.day import SupplyDay, SupplyRun, Way
from spadework.science.machinery.supply.run import simulate


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


LOAD, DOSE, SPREAD, FLOW, CONNECT, WAY = (
    between(6, 25),
    between(15, 60),
    between(0.1, 0.6),
    between(2, 8),
    between(0, 4),
    between(0, 8),
)
WHOLE = st.sampled_from([1.0, 2.0, 3.0, 4.0, 1 / 2, 1 / 3, 1 / 4, 1 / 5])
ANY = st.one_of(WHOLE, st.sampled_from([1.5, 4 / 3, 2 / 3, 3 / 4, 2.5, 0.4]), between(0.3, 3.5))
slow = settings(max_examples=25, deadline=None)


@dataclass(frozen=True)
class Links:
    """The links of a fed way and the day that goes with them."""

    spreader: FloatArray
    feeders: FloatArray
    store: FloatArray
    field: FloatArray
    day: SupplyDay

    @property
    def whole(self) -> float:
        return float(supply_rate.slowest(self.spreader, self.feeders, self.store, self.field))

    def run(self, *, cv: float = 0.0, seed: int = 0, rounds: float = 200) -> SupplyRun:
        day = self.day
        larger = max(day.load_m3, day.feeder_load_m3 or 0)
        return simulate(replace(day, hours=rounds * larger / self.whole, cv_share=cv, seed=seed))


@st.composite
def links(draw: st.DrawFn, way: Way, ratios: st.SearchStrategy[float] = ANY) -> Links:
    load, ratio, dose, spread = draw(LOAD), draw(ratios), draw(DOSE), draw(SPREAD)
    fill, connect, transfer, out = draw(FLOW), draw(CONNECT), draw(FLOW), draw(FLOW)
    feeders, distance, other = draw(st.integers(1, 6)), draw(WAY), draw(between(0, 4))
    holds = load * max(ratio, 1) * draw(between(1, 4))
    if max(ratio, 1 / ratio) % 1:
        holds = max(holds, load * (1 + ratio))
    day = SupplyDay(
        way=way,
        load_m3=load,
        dose_m3_ha=dose,
        spread_h_ha=spread,
        hours=1,
        other_min=other,
        filling_m3_min=fill,
        connect_min=connect,
        distance_km=distance,
        speed_full_km_h=25,
        speed_empty_km_h=35,
        feeders=feeders,
        feeder_load_m3=load * ratio,
        transfer_m3_min=transfer,
        container_m3=holds if way == "container" else None,
        container_out_m3_min=out,
    )
    return linked(day)


def linked(day: SupplyDay) -> Links:
    load, part, count, connect = day.load_m3, day.given("feeder_load_m3"), day.feeders, day.connect_min
    flow, other = day.given("transfer_m3_min"), day.other_min
    spreading = haulage.spreading_per_load(load, day.dose_m3_ha, day.spread_h_ha)
    road = road_per_load(day.distance_km, 25, 35)
    filling = haulage.filling_round(part, day.given("filling_m3_min"), connect)
    if day.way == "feeders":
        meets = haulage.meeting_share(part, load)
        refill = haulage.handing_per_load(load, part, flow, connect, meets)
        at_field = haulage.feeder_at_field(part, load, refill, spreading, other, meets)
        field = supply_rhythm.fed_link(load, part, count, spreading + other, flow, connect, filling, road)
    else:
        refill = haulage.filling_round(load, day.given("container_out_m3_min"), connect)
        at_field = haulage.filling_round(part, flow, connect)
        holds = day.given("container_m3")
        field = supply_rhythm.container_link(
            holds, load, part, count, spreading + other, refill, at_field, filling, road
        )
    feeder = haulage.feeder_round(filling, road, at_field)
    return Links(
        supply_rate.throughput(load, haulage.spreader_round(spreading, refill, other), 1),
        supply_rate.throughput(part, feeder, count),
        supply_rate.throughput(part, filling, 1),
        field,
        day,
    )


def balanced(run: SupplyRun) -> None:
    ledger = run.ledger
    held = ledger.on_field_m3 + ledger.in_tanks_m3 + ledger.in_container_m3
    assert ledger.out_of_store_m3 == pytest.approx(held, abs=1e-6)
    assert min(ledger.in_tanks_m3, ledger.in_container_m3) >= -1e-6
    assert sum(volume for _, volume in run.spread) == pytest.approx(ledger.on_field_m3)


@slow
@given(links("feeders", WHOLE))
def test_fed_spreader_of_whole_loads_by_events(case: Links) -> None:
    assert case.run().steady_m3_h == pytest.approx(case.whole, rel=0.01)


@slow
@given(links("feeders"))
def test_fed_spreader_of_any_loads_by_events(case: Links) -> None:
    assert case.run().steady_m3_h == pytest.approx(case.whole, rel=0.02)


@slow
@given(links("container"))
def test_container_by_events(case: Links) -> None:
    assert case.run().steady_m3_h == pytest.approx(case.whole, rel=0.02)


@slow
@given(links("feeders", st.sampled_from([1.0, 2.0, 3.0])))
def test_one_or_more_whole_loads_in_a_feeder_need_no_rhythm(case: Links) -> None:
    least = min(float(case.spreader), float(case.feeders), float(case.store))
    assert case.field == pytest.approx(least, rel=0.01)


@slow
@given(links("feeders"), between(0, 0.5), st.integers(0, 9), between(3, 40))
def test_slurry_is_neither_lost_nor_made_with_feeders(case: Links, cv: float, seed: int, rounds: float) -> None:
    balanced(case.run(cv=cv, seed=seed, rounds=rounds))


@slow
@given(links("container"), between(0, 0.5), st.integers(0, 9), between(3, 40))
def test_slurry_is_neither_lost_nor_made_with_a_container(case: Links, cv: float, seed: int, rounds: float) -> None:
    balanced(case.run(cv=cv, seed=seed, rounds=rounds))


@slow
@given(
    st.sampled_from(["brought", "drives", "hose", "feeders", "container"]),
    LOAD,
    DOSE,
    SPREAD,
    WAY,
    between(0.2, 6),
    between(0, 0.4),
)
def test_an_area_is_done_to_the_last_litre(
    way: Way, load: float, dose: float, spread: float, distance: float, area: float, cv: float
) -> None:
    day = SupplyDay(
        way=way,
        load_m3=load,
        dose_m3_ha=dose,
        spread_h_ha=spread,
        hours=2000,
        area_ha=area,
        met_min=5,
        filling_m3_min=4.5,
        distance_km=distance,
        speed_full_km_h=25,
        speed_empty_km_h=35,
        feeders=2,
        feeder_load_m3=load * 1.3,
        transfer_m3_min=6,
        container_m3=60,
        container_out_m3_min=6,
        hose_m3_h=100,
        setup_h=1,
        cv_share=cv,
    )
    run = simulate(day)
    assert run.minutes < 60 * day.hours
    assert run.ledger.on_field_m3 == pytest.approx(area * dose, abs=1e-4)
    assert run.ledger.out_of_store_m3 == pytest.approx(area * dose, abs=1e-4)
    balanced(run)
    if way in ("brought", "drives"):
        assert len(run.spread) == loads.loads_for(area, dose, load)
    if way == "drives":
        assert run.km["spreader"] <= 2 * distance * len(run.spread) + 1e-9
    for book in run.stretches.values():
        assert all(a.end_min == b.start_min for a, b in pairwise(book))
        assert all(a.end_min > a.start_min for a in book)


@slow
@given(LOAD, DOSE, SPREAD, between(1, 30), between(0, 4))
def test_brought_and_driven_by_events(load: float, dose: float, spread: float, met: float, way: float) -> None:
    spreading = haulage.spreading_per_load(load, dose, spread)
    given_ = SupplyDay(way="brought", load_m3=load, dose_m3_ha=dose, spread_h_ha=spread, hours=300, met_min=met)
    theirs = supply_rate.throughput(load, haulage.spreader_round(spreading, met, 0), 1)
    assert simulate(given_).steady_m3_h == pytest.approx(float(theirs))
    road = {"filling_m3_min": 4.5, "distance_km": way, "speed_full_km_h": 25, "speed_empty_km_h": 35}
    refill = haulage.filling_round(load, 4.5, 0) + road_per_load(way, 25, 35)
    theirs = supply_rate.throughput(load, haulage.spreader_round(spreading, refill, 0), 1)
    assert simulate(replace(given_, way="drives", **road)).steady_m3_h == pytest.approx(float(theirs))


@slow
@given(DOSE, SPREAD, between(20, 160), between(0, 3))
def test_hose_by_events(dose: float, spread: float, flow: float, setup: float) -> None:
    day = SupplyDay(way="hose", load_m3=1, dose_m3_ha=dose, spread_h_ha=spread, hours=60, hose_m3_h=flow, setup_h=setup)
    run, rate = simulate(day), float(hose.hose_rate(flow, dose, spread))
    assert run.steady_m3_h == pytest.approx(rate * dose)
    done = run.ledger.on_field_m3 / dose
    assert done * hose.hose_time(rate, setup, done) == pytest.approx(day.hours, abs=0.2 / rate)
    balanced(run)


@slow
@given(links("feeders"), between(0.1, 0.4))
def test_times_that_vary_bring_no_more(case: Links, cv: float) -> None:
    # Where loads do not fit, chance can break up a bunch and help; so against the links without the rhythm.
    bound = float(supply_rate.slowest(case.spreader, case.feeders, case.store, np.inf))
    even = [case.run(cv=cv, seed=seed, rounds=100).steady_m3_h for seed in range(4)]
    assert np.mean(even) <= bound * (1 + 4 * cv / np.sqrt(4 * 50))


@given(links("feeders"), between(0.5, 5))
@slow
def test_throughput_falls_with_distance_and_rises_with_feeders(case: Links, more: float) -> None:
    further = linked(replace(case.day, distance_km=case.day.distance_km + more))
    assert further.whole <= case.whole * 1.01
    helped = linked(replace(case.day, feeders=case.day.feeders + 1))
    assert helped.whole >= case.whole * 0.99
    for one in (case, further, helped):
        for link in (one.spreader, one.feeders, one.store, one.field):
            assert one.whole <= link
            assert 0 <= supply_rate.waits_share(one.whole, link) < 1


@slow
@given(links("container"))
def test_container_is_bounded_by_every_link(case: Links) -> None:
    for link in (case.spreader, case.feeders, case.store):
        assert case.whole <= link
    if case.day.given("container_m3") >= 3 * max(case.day.load_m3, case.day.given("feeder_load_m3")):
        inside = haulage.filling_round(case.day.given("feeder_load_m3"), case.day.given("transfer_m3_min"), case.day.connect_min)  # fmt: skip  # noqa: E501
        into = supply_rate.throughput(case.day.given("feeder_load_m3"), inside, 1)
        least = min(float(case.spreader), float(case.feeders), float(case.store), float(into))
        assert case.whole == pytest.approx(least, rel=0.02)


@given(LOAD, st.sampled_from([1.0, 2.0, 3.0]), DOSE, SPREAD, FLOW, CONNECT, WAY)
@slow
def test_feeders_needed_are_enough_and_none_too_many(
    load: float, ratio: float, dose: float, spread: float, flow: float, connect: float, way: float
) -> None:
    away = haulage.spreading_per_load(load, dose, spread)
    handing = haulage.handing_per_load(load, load * ratio, flow, connect, 1)
    filling = haulage.filling_round(load * ratio, 100 / 6, connect) / 4
    feeder = haulage.feeder_round(
        filling, road_per_load(way, 25, 35), haulage.feeder_at_field(load * ratio, load, handing, away, 0, 1)
    )
    spreader = haulage.spreader_round(away, handing, 0)
    count = haulage.feeders_needed(feeder, ratio * spreader)
    alone = supply_rate.throughput(load, spreader, 1)
    assert supply_rate.throughput(load * ratio, feeder, count) >= alone * (1 - 1e-6)
    if count > 1:
        assert supply_rate.throughput(load * ratio, feeder, count - 1) < alone


@given(between(1, 30), between(1, 30))
def test_hand_overs_by_counting(load: float, part: float) -> None:
    # Lay 200 feeder loads end to end, cut them where the spreader is full, and count the pieces.
    share = float(haulage.meeting_share(part, load))
    cuts = np.arange(1, int(200 * part / load + 1e-6) + 1) * load / part
    ends = np.arange(1, 201)
    together = int(np.sum(np.abs(cuts - np.rint(cuts)) < 1e-6))
    pieces = len(cuts) + len(ends) - together
    per_load = float(haulage.handing_per_load(load, part, 20, 1, share)) - load / 20
    assert per_load * part / load * 200 == pytest.approx(pieces, abs=1 + 200 / 24 + part / load)


@given(DOSE, LOAD, between(0, 30), between(5, 40), between(2, 8))
def test_road_and_diesel_scale(dose: float, load: float, way: float, litres: float, standing: float) -> None:
    minutes = road_per_load(way, 30, 30)
    driven = loads.road_km_per_ha(way, dose, load)
    fuel = loads.road_fuel(dose, load, minutes, litres, 0, standing)
    assert fuel == pytest.approx(float(driven) / 30 * litres)
    assert loads.fuel_per_m3(loads.road_fuel(2 * dose, load, minutes, litres, 9, standing), 2 * dose) == pytest.approx(
        float(loads.fuel_per_m3(loads.road_fuel(dose, load, minutes, litres, 9, standing), dose))
    )


@given(between(1, 3000), between(20, 900))
def test_a_load_is_whole_runs_and_a_rest(length: float, run: float) -> None:
    rest = float(loads.left_in_run(length, run))
    assert -1e-5 <= rest < run
    runs = float(loads.runs_per_load(length, run))
    assert np.floor(runs + 1e-9) * run + rest == pytest.approx(length)


@given(DOSE, between(0.05, 0.8), between(0.01, 0.5), between(0, 1))
def test_time_of_the_whole_is_the_sum_of_its_parts(dose: float, spread: float, refill: float, waits: float) -> None:
    whole = spread + refill + waits
    rate = dose / whole
    assert loads.supply_time(dose, rate) == pytest.approx(whole)
    assert loads.waiting_time(loads.supply_time(dose, rate), spread, refill) == pytest.approx(waits, abs=1e-6)
    assert loads.area_rate(rate, dose) * loads.supply_time(dose, rate) == pytest.approx(1)


@given(between(0, 2), between(0.1, 2), between(2.1, 9), between(0.01, 0.09))
def test_crossing_of_two_lines(start: float, slope: float, dear: float, less: float) -> None:
    grid = np.linspace(0, 10, 41)
    a, b = start + slope * grid, dear + less * grid
    found = float(supply_cost.crossing(grid, a, b))
    exact = (dear - start) / (slope - less)
    if exact < 9.99:
        assert found == pytest.approx(exact)
    elif exact > 10.01:
        assert np.isnan(found)
