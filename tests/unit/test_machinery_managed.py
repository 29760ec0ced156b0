"""Errors, shapes and edges of what a tractor manages and of the small steps between draft, time, diesel and money."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from passes_made import call, names_of
from spadework.ranges import ImpossibleValue
from spadework.reference import constants
from spadework.science.machinery.cost import crew, days, keeping
from spadework.science.machinery.pull import grip, managed, match, outfit, power, pulling
from spadework.science.machinery.rate.parts import field_time, refill_time
from spadework.science.machinery.supply import steps as supply_steps
from spadework.science.machinery.supply.loads import road_fuel
from spadework.working import equations

PLANNED: dict[str, float] = {
    "speed_km_h": 7,
    "deep_0_n": 22_000,
    "deep_1_n_h_km": 100,
    "deep_2_n_h2_km2": 150,
    "other_0_n": 2_000,
    "other_1_n_h_km": 50,
    "other_2_n_h2_km2": 1,
    "towed_n": 3_000,
    "pump_kw": 10,
    "rotary_kw": 5,
    "tractor_t": 9,
    "driven_share": 1,
    "hitch_t": 1.5,
    "rolling_coefficient": 0.06,
    "slope_share": 0.01,
    "wheel_number": 55,
    "axle_per_pto": 0.96,
    "rated_pto_kw": 60,
    "slip_most_share": 0.25,
}
DEEP = ("deep_0_n", "deep_1_n_h_km", "deep_2_n_h2_km2")
SLOW = constants("tractor_grip").slow_share
POSSIBLE: dict[Callable[..., Any], dict[str, float]] = {
    managed.needed_within_grip: PLANNED,
    managed.depth_managed: PLANNED,
    managed.speed_managed: {"speed_km_h": 7, "depth_share": 0.9, **dict(list(PLANNED.items())[1:])},
    outfit.draft_within_range: {"draft_n": 30_000, "range_factor": 1.2},
    outfit.tanker_mean_mass: {"empty_t": 9, "tank_m3": 18, "filled_share": 0.9, "density_t_m3": 1.02},
    outfit.rated_pto_power: {"power_kw": 200, "pto_share": 0.86},
    outfit.load_at_work: {"load_share": 1.2},
    outfit.load_size: {"tank_m3": 18, "filled_share": 0.9},
    outfit.road_per_load: {"distance_km": 2, "speed_full_km_h": 25, "speed_empty_km_h": 35},
    outfit.standing_time: {"refill_h_ha": 0.3, "road_h_ha": 0.2, "lost_h_ha": 0.05, "waiting_h_ha": 0.1},
    outfit.seed_fill_time: {"fill_min_ha": 3, "sows": 1},
    outfit.draft_coefficient: {"soil_factor": 0.7, "coefficient": 652, "units": 2, "depth_cm": 23, "range_factor": 1.1},
    outfit.newton: {"pull_kn": 1.5},
    outfit.ballasted_mass: {"rated_pto_kw": 120, "ballast_kg_kw": 79},
    power.pump_power_at_speed: {"pump_kw": 14, "planned_km_h": 7, "speed_km_h": 5},
    crew.litres_of: {"rate_l_h": 30, "time_h_ha": 0.5},
    crew.pumping_litres: {"working_l_ha": 12, "pump_kw": 15, "needed_kw": 150},
    crew.cycle_at_flow: {"load_m3": 24, "vehicles": 2, "flow_m3_h": 80},
    crew.standing_per_load: {"cycle_min": 36, "road_min": 12},
    crew.crew_cost: {"vehicles": 2, "cost_eur_h": 60, "time_h_ha": 0.5},
    crew.paid_wage: {"wage_eur_h": 24, "paid_per_machine_hour": 1.15},
    supply_steps.trip_time: {"filling_min": 6, "road_min": 8, "other_min": 2},
    supply_steps.refill_per_area: {"dose_m3_ha": 40, "load_m3": 20, "handing_min": 4, "other_min": 2},
    supply_steps.used_up: {"feeder_load_m3": 24, "spreader_m3_h": 90},
    supply_steps.time_away: {"whole_h_ha": 0.5, "spread_h_ha": 0.4},
    supply_steps.spreader_away: {"spreading_min": 10, "other_min": 2},
    days.chain_time: {"hours_h_ha": 2, "longest_h_ha": 0.9, "drivers": 2},
    days.persistence: {"stay_share": 0.7, "fit_share": 0.55},
    days.stay_share: {"fit_share": 0.6, "persistence_share": 0.3},
    keeping.owned_hours: {"years": 10, "hours_per_year": 150},
    keeping.remaining_price: {"price_eur": 20_000, "remaining_share": 0.3},
    keeping.repair_per_year: {"repair_eur": 5_400, "years": 10},
}
EACH = [(f, name) for f, possible in POSSIBLE.items() for name in possible]


def test_every_formula_of_these_floors_is_held() -> None:
    rooms = {m.__name__ for m in (managed, outfit, crew, supply_steps)}
    said = {f for f in equations() if f.__module__ in rooms}
    assert said <= set(POSSIBLE)
    for room in (managed, outfit, crew, supply_steps):
        assert {f.__name__ for f in said if f.__module__ == room.__name__} == set(room.__all__)


@pytest.mark.parametrize("function", POSSIBLE, ids=[f.__name__ for f in POSSIBLE])
def test_arguments_are_complete_and_broadcast(function: Callable[..., Any]) -> None:
    possible = POSSIBLE[function]
    assert names_of(function) == set(possible)
    one = float(call(function, **possible))
    assert np.isfinite(one)
    rows = {name: np.full((3, 1) if i % 2 else (4,), value) for i, (name, value) in enumerate(possible.items())}
    copies = {name: value.copy() for name, value in rows.items()}
    result = call(function, **rows)
    assert result.shape == ((3, 4) if len(possible) > 1 else (4,))
    assert result.dtype == np.float64
    assert result == pytest.approx(np.full(result.shape, one))
    for name, value in rows.items():
        assert (value == copies[name]).all()


@pytest.mark.parametrize(("function", "name"), EACH, ids=[f"{f.__name__}-{name}" for f, name in EACH])
@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1e12])
def test_impossible_values_are_named(function: Callable[..., Any], name: str, value: float) -> None:
    with pytest.raises(ImpossibleValue) as caught:
        call(function, **{**POSSIBLE[function], name: value})
    assert name in caught.value.parameter
    assert "allowed" in str(caught.value)


@pytest.mark.parametrize(
    ("name", "unit"), [("deep_0_n", "N"), ("deep_1_n_h_km", "N h/km"), ("deep_2_n_h2_km2", "N h2/km2")]
)
def test_an_impossible_draft_is_told_in_its_own_unit(name: str, unit: str) -> None:
    for function in (managed.needed_within_grip, managed.depth_managed, managed.speed_managed):
        with pytest.raises(ImpossibleValue) as caught:
            call(function, **{**POSSIBLE[function], name: -1})
        assert caught.value.unit == unit


def test_first_slower_then_shallower() -> None:
    rated = np.array([150.0, 90.0, 40.0])
    depth = call(managed.depth_managed, **{**PLANNED, "rated_pto_kw": rated})
    speed = call(managed.speed_managed, **{**PLANNED, "rated_pto_kw": rated}, depth_share=depth)
    assert depth[:2].tolist() == [1, 1]
    assert speed[0] == 7
    assert SLOW * 7 < speed[1] < 7
    assert 0 < depth[2] < 1
    assert speed[2] == pytest.approx(SLOW * 7, rel=1e-3)


def test_short_of_grip_power_does_not_help() -> None:
    stuck = {**PLANNED, "deep_0_n": 90_000, "rated_pto_kw": 2000}
    with pytest.raises(grip.NoGrip):
        call(pulling.needed_at, **stuck, at_speed_km_h=7)
    least = call(managed.needed_within_grip, **stuck)
    load = grip.driven_load(9, 1, 1.5)
    at_most_slip = grip.pto_power_for_axle(grip.axle_power_brixius(load, 55, 0.25, 7), 0.96)
    assert least == pytest.approx(float(at_most_slip) + 10 + 5)
    depth = call(managed.depth_managed, **stuck)
    assert 0 < depth < 1
    assert call(managed.speed_managed, **stuck, depth_share=1) == 0
    assert call(managed.speed_managed, **stuck, depth_share=depth) > SLOW * 7 * 0.999


def test_with_nothing_to_lift_the_outfit_crawls() -> None:
    tanker = {**PLANNED, **dict.fromkeys(DEEP, 0.0), "towed_n": 25_000, "rated_pto_kw": 35}
    assert call(match.most_depth_share, **{**tanker, "speed_km_h": SLOW * 7, "pump_kw": SLOW * 10}) == 0
    assert call(managed.depth_managed, **tanker) == 1
    assert 0 < call(managed.speed_managed, **tanker, depth_share=1) < SLOW * 7


def test_tools_out_of_the_ground_are_no_pass() -> None:
    weak = {**PLANNED, "towed_n": 25_000, "rated_pto_kw": 35}
    depth = call(managed.depth_managed, **weak)
    assert depth == 0
    assert call(match.most_speed, **{**weak, **dict.fromkeys(DEEP, 0.0)}) > 0
    assert call(managed.speed_managed, **weak, depth_share=depth) == 0


def test_nothing_does() -> None:
    for worse in ({"rated_pto_kw": 1}, {"towed_n": 90_000}, {"rotary_kw": 200}):
        hopeless = {**PLANNED, **worse}
        assert call(managed.depth_managed, **hopeless) == 0
        assert call(managed.speed_managed, **hopeless, depth_share=1) == 0


def test_mixed_rows_are_solved_each_for_itself() -> None:
    rated, towed = np.array([[500.0], [40.0], [20.0]]), np.array([0.0, 20_000, 90_000])
    depth = call(managed.depth_managed, **{**PLANNED, "rated_pto_kw": rated, "towed_n": towed})
    speed = call(managed.speed_managed, **{**PLANNED, "rated_pto_kw": rated, "towed_n": towed}, depth_share=depth)
    for i, rated_kw in enumerate(rated[:, 0]):
        for j, pull in enumerate(towed):
            one = {**PLANNED, "rated_pto_kw": rated_kw, "towed_n": pull}
            assert depth[i, j] == pytest.approx(float(call(managed.depth_managed, **one)), abs=1e-4)
            assert speed[i, j] == pytest.approx(
                float(call(managed.speed_managed, **one, depth_share=depth[i, j])), rel=1e-3
            )
    assert len(np.unique(depth)) > 3


def test_a_part_is_not_more_than_the_whole() -> None:
    for function, worse in (
        (crew.pumping_litres, {"pump_kw": 151}),
        (crew.standing_per_load, {"road_min": 37}),
        (outfit.standing_time, {"road_h_ha": 0.31}),
        (supply_steps.time_away, {"spread_h_ha": 0.51}),
        (days.chain_time, {"longest_h_ha": 2.1}),
        (days.persistence, {"fit_share": 0.71}),
    ):
        with pytest.raises(ImpossibleValue, match=f"`[^`]*{next(iter(worse))}`|`pump_kw / needed_kw`"):
            call(function, **{**POSSIBLE[function], **worse})


def test_the_last_binary_digit_of_nil_is_nil() -> None:
    # sums that are equal in decimals and not in binaries; what comes out is taken by the next step
    third, more = 0.3, 0.1 + 0.2
    assert more > third
    away = supply_steps.time_away(third, more)
    assert away == 0
    assert field_time(third, 0, away, 0, 0) == third
    standing = outfit.standing_time(third, more, 0, 0)
    assert standing == 0
    assert crew.litres_of(3, standing) == 0
    waits = crew.standing_per_load(third, more)
    assert road_fuel(40, 20, more, 20, waits, 3) == pytest.approx(40 / 20 * more * 20 / 60)
    rows = days.persistence(third, more)
    assert rows == 0
    assert days.stay_share(third, rows) == third
    assert days.chain_time(third, more, 1) == more


def test_a_supply_that_keeps_up_leaves_no_time_away() -> None:
    assert supply_steps.refill_per_area(0, 20, 4, 2) == 0
    # a load fetched by the outfit itself: filling, road and finding the place are one time
    trip = supply_steps.trip_time(6, 8.5, 2)
    assert refill_time(40, 18, trip) == pytest.approx(float(supply_steps.refill_per_area(40, 18, 6 + 8.5, 2)))


def test_more_drivers_than_passes_are_of_no_use() -> None:
    assert days.chain_time(2.0, 0.9, [1, 2, 3, 50]).tolist() == [2, 1, 0.9, 0.9]
    with pytest.raises(ImpossibleValue, match=r"drivers.*allowed: 1 to 50"):
        days.chain_time(2.0, 0.9, 0)


def test_fit_days_for_ever_and_each_on_its_own() -> None:
    assert days.persistence([1, 0.4], 0.4).tolist() == [1, 0]
    assert days.stay_share([0.2, 0.9], [[0], [1]]).tolist() == [[0.2, 0.9], [1, 1]]
    with pytest.raises(ImpossibleValue, match="fit_share"):
        days.persistence(1, 1)
