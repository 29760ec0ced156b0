"""Supply of slurry: errors, shapes, edges and tables."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import FrozenInstanceError, replace
from typing import Any

import numpy as np
import pytest

from spadework.ranges import ImpossibleValue
from spadework.reference import constants
from spadework.science.machinery.supply import cost as supply_cost
from spadework.science.machinery.supply import day as supply_day
from spadework.science.machinery.supply import haulage, hose, loads
from spadework.science.machinery.supply import rate as supply_rate
from spadework.science.machinery.supply import rhythm as supply_rhythm
from spadework.science.machinery.supply.day import DOINGS, SupplyDay
from spadework.science.machinery.supply.run import simulate
from spadework.working import equations

POSSIBLE: dict[Callable[..., Any], dict[str, float]] = {
    haulage.spreading_per_load: {"load_m3": 18, "dose_m3_ha": 40, "spread_h_ha": 0.3},
    haulage.filling_round: {"load_m3": 18, "filling_m3_min": 4.5, "connect_min": 2},
    haulage.meeting_share: {"feeder_load_m3": 27, "load_m3": 18},
    haulage.handing_per_load: {
        "load_m3": 18,
        "feeder_load_m3": 27,
        "transfer_m3_min": 6,
        "connect_min": 2,
        "meeting_share": 0.5,
    },
    haulage.feeder_at_field: {
        "feeder_load_m3": 27,
        "load_m3": 18,
        "handing_min": 5,
        "spreading_min": 8,
        "other_min": 2,
        "meeting_share": 0.5,
    },
    haulage.spreader_round: {"spreading_min": 8, "refill_min": 5, "other_min": 2},
    haulage.feeder_round: {"filling_min": 8, "road_min": 10, "field_min": 20},
    haulage.feeders_needed: {"feeder_min": 28, "spreader_min": 12},
    supply_rate.throughput: {"load_m3": 18, "round_min": 24, "vehicles": 2},
    supply_rate.waits_share: {"throughput_m3_h": 45, "link_m3_h": 60},
    supply_rate.busy_share: {"throughput_m3_h": 45, "link_m3_h": 60},
    supply_rhythm.fed_link: {
        "load_m3": 18,
        "feeder_load_m3": 27,
        "feeders": 2,
        "away_min": 10,
        "transfer_m3_min": 6,
        "connect_min": 2,
        "filling_min": 8,
        "road_min": 10,
    },
    supply_rhythm.container_link: {
        "container_m3": 60,
        "load_m3": 18,
        "feeder_load_m3": 27,
        "feeders": 2,
        "away_min": 10,
        "out_min": 5,
        "in_min": 6,
        "filling_min": 8,
        "road_min": 10,
    },
    loads.area_rate: {"flow_m3_h": 100, "dose_m3_ha": 40},
    loads.supply_time: {"dose_m3_ha": 40, "throughput_m3_h": 80},
    loads.waiting_time: {"supply_h_ha": 0.6, "spread_h_ha": 0.3, "refill_h_ha": 0.2},
    loads.road_km_per_ha: {"distance_km": 2, "dose_m3_ha": 40, "load_m3": 18},
    loads.road_fuel: {
        "dose_m3_ha": 40,
        "load_m3": 18,
        "road_min": 9,
        "road_l_h": 20,
        "standing_min": 12,
        "standing_l_h": 5,
    },
    loads.fuel_per_m3: {"fuel_l_ha": 8, "dose_m3_ha": 40},
    loads.loads_for: {"area_ha": 6, "dose_m3_ha": 40, "load_m3": 18},
    loads.runs_per_load: {"length_m": 750, "run_m": 300},
    loads.left_in_run: {"length_m": 750, "run_m": 300},
    hose.hose_speed: {"flow_m3_h": 120, "width_m": 6, "dose_m3_ha": 40},
    hose.hose_rate: {"flow_m3_h": 120, "dose_m3_ha": 40, "spread_h_ha": 0.3},
    hose.hose_time: {"work_rate_ha_h": 2.5, "setup_h": 2, "area_ha": 10},
    hose.hose_mass: {"empty_kg_m": 1.5, "diameter_mm": 125, "density_t_m3": 1.02},
    hose.hose_drag: {"length_m": 200, "dragged_share": 0.5, "mass_kg_m": 14, "friction_share": 0.5},
    hose.umbilical_cost: {
        "setup_h": 2,
        "setup_eur_h": 100,
        "area_ha": 10,
        "dose_m3_ha": 40,
        "flow_m3_h": 100,
        "pumping_eur_h": 140,
    },
}
EACH = [(f, name) for f, possible in POSSIBLE.items() for name in possible]
FED: dict[str, Any] = {
    "load_m3": 18,
    "dose_m3_ha": 40,
    "spread_h_ha": 0.3,
    "hours": 8,
    "filling_m3_min": 4.5,
    "connect_min": 2,
    "distance_km": 2,
    "speed_full_km_h": 25,
    "speed_empty_km_h": 35,
    "feeders": 2,
    "feeder_load_m3": 27,
    "transfer_m3_min": 6,
    "container_m3": 60,
    "container_out_m3_min": 6,
    "hose_m3_h": 100,
}


@pytest.mark.parametrize("function", POSSIBLE, ids=[f.__name__ for f in POSSIBLE])
def test_arguments_are_complete_and_broadcast(function: Callable[..., Any]) -> None:
    possible = POSSIBLE[function]
    assert list(inspect.signature(function).parameters) == list(possible)
    one = float(function(**possible))
    assert np.isfinite(one)
    rows = {name: np.full((3, 1) if i % 2 else (4,), value) for i, (name, value) in enumerate(possible.items())}
    result = function(**rows)
    assert result.shape == (3, 4)
    assert result.dtype == np.float64
    assert result == pytest.approx(np.full((3, 4), one))


@pytest.mark.parametrize(("function", "name"), EACH, ids=[f"{f.__name__}-{name}" for f, name in EACH])
@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1e12])
def test_impossible_values_are_named(function: Callable[..., Any], name: str, value: float) -> None:
    with pytest.raises(ImpossibleValue) as caught:
        function(**{**POSSIBLE[function], name: value})
    assert name in caught.value.parameter


def test_every_formula_of_these_floors_is_held() -> None:
    rooms = {m.__name__ for m in (haulage, hose, loads, supply_cost, supply_rate, supply_rhythm)}
    said = {f.__name__ for f in equations() if f.__module__ in rooms}
    assert said - {f.__name__ for f in POSSIBLE} == {"slowest", "crossing"}


def test_the_slowest_counts_and_no_link_is_no_limit() -> None:
    assert supply_rate.slowest([50, 70], 60, np.inf, np.inf).tolist() == [50, 60]
    for name in ("spreader_m3_h", "feeders_m3_h", "store_m3_h", "field_m3_h"):
        some = {"spreader_m3_h": 1.0, "feeders_m3_h": 1.0, "store_m3_h": 1.0, "field_m3_h": 1.0}
        for value in (0.0, -1.0, float("nan")):
            with pytest.raises(ImpossibleValue, match=name):
                supply_rate.slowest(**{**some, name: value})


def test_nobody_is_faster_than_his_link() -> None:
    with pytest.raises(ImpossibleValue, match="throughput_m3_h / link_m3_h"):
        supply_rate.waits_share(61, 60)
    with pytest.raises(ImpossibleValue, match="supply_h_ha - spread_h_ha"):
        loads.waiting_time(0.4, 0.3, 0.2)
    with pytest.raises(ImpossibleValue, match="meeting_share"):
        haulage.feeder_at_field(9, 18, 5, 8, 2, 1)


def test_half_a_feeder_does_not_drive() -> None:
    with pytest.raises(ImpossibleValue, match=r"feeders.*1\.5 whole vehicles"):
        supply_rhythm.fed_link(18, 18, [1, 1.5], 10, 6, 2, 8, 10)
    with pytest.raises(ImpossibleValue, match=r"feeders.*1\.5"):
        simulate(SupplyDay(way="feeders", **{**FED, "feeders": 1.5}))


def test_a_container_that_gets_stuck_is_refused() -> None:
    assert supply_rhythm.require_container([18, 36], 18, [18, 36]).tolist() == [18, 36]
    with pytest.raises(ImpossibleValue, match="container_m3") as caught:
        supply_rhythm.require_container([60, 40], 18, 27)
    assert (caught.value.found, caught.value.low) == ("40", 45)
    with pytest.raises(ImpossibleValue, match="container_m3"):
        SupplyDay(way="container", **{**FED, "container_m3": 44})
    stuck_not = simulate(SupplyDay(way="container", **{**FED, "container_m3": 45, "hours": 200}))
    assert stuck_not.spread[-1][0] > 60 * 199


def test_many_cases_at_once_are_each_their_own() -> None:
    part, count = np.array([9, 12, 18, 25, 36.0]), np.array([1, 4, 2, 3, 1])
    together = supply_rhythm.fed_link(18, part, count, 10, 6, 2, 8, 10)
    alone = [float(supply_rhythm.fed_link(18, p, c, 10, 6, 2, 8, 10)) for p, c in zip(part, count, strict=True)]
    assert together.tolist() == pytest.approx(alone)
    together = supply_rhythm.container_link(60, 18, part, count, 10, 5, 6, 8, 10)
    alone = [
        float(supply_rhythm.container_link(60, 18, p, c, 10, 5, 6, 8, 10)) for p, c in zip(part, count, strict=True)
    ]
    assert together.tolist() == pytest.approx(alone)


def test_many_feeders_leave_it_to_the_store_and_the_spreader() -> None:
    assert supply_rhythm.fed_link(18, 18, 50, 1, 20, 0, 6, 100) == pytest.approx(60 * 18 / 6)
    assert supply_rhythm.fed_link(18, 9, 50, 40, 6, 2, 1, 10) == pytest.approx(60 * 18 / 47)


def test_crossing_at_the_edges() -> None:
    grid = [0, 1, 2]
    found = supply_cost.crossing(grid, [[5, 5, 5], [1, 1, 1], [1, 3, 3], [2, 2, 3]], [2, 2, 2])
    assert found[[0, 2, 3]].tolist() == [0, 0.5, 1]
    assert np.isnan(found[1])
    assert found.shape == (4,)
    assert supply_cost.crossing(grid, 3, [4, 3, 2]) == 1
    for wrong in ([0, 2, 1], [1, 1, 2]):
        with pytest.raises(ImpossibleValue, match="step of distance_km"):
            supply_cost.crossing(wrong, 1, 2)
    for shape in ([3.0], [[1.0, 2.0]]):
        with pytest.raises(ImpossibleValue, match="along one axis"):
            supply_cost.crossing(shape, 1, 2)


@pytest.mark.parametrize("way", ["brought", "drives", "feeders", "container", "hose"])
def test_books_have_no_gaps_and_end_with_the_day(way: supply_day.Way) -> None:
    run = simulate(SupplyDay(way=way, met_min=6, setup_h=1, cv_share=0.2, seed=4, **FED))
    assert run.minutes == 480
    assert ("feeder 2" in run.stretches) == (way in ("feeders", "container"))
    for book in run.stretches.values():
        assert book[0].start_min == 0
        assert book[-1].end_min == 480
        assert {s.what for s in book} <= set(DOINGS)
    assert run.day_m3_h > 0
    assert run.day_ha_h == run.day_m3_h / 40
    assert 0 <= run.waits_share("spreader") < 1
    assert run.spent_h("spreader", "sets up") > 0 if way == "hose" else run.spent_h("spreader", "sets up") == 0


def test_same_seed_same_day() -> None:
    day = SupplyDay(way="feeders", cv_share=0.3, seed=7, **FED)
    assert simulate(day) == simulate(day)
    assert simulate(day).spread != simulate(replace(day, seed=8)).spread
    with pytest.raises(FrozenInstanceError):
        day.seed = 1  # type: ignore[misc]


def test_a_short_day_has_no_rhythm() -> None:
    run = simulate(SupplyDay(way="feeders", **{**FED, "hours": 0.5}))
    assert np.isnan(run.steady_m3_h)
    assert run.ledger.on_field_m3 < 40


@pytest.mark.parametrize("name", ["filling_m3_min", "feeder_load_m3", "transfer_m3_min", "container_m3"])
def test_a_way_says_what_it_needs(name: str) -> None:
    with pytest.raises(ValueError, match=f"'container' needs `{name}`"):
        SupplyDay(way="container", **{**FED, name: None})
    with pytest.raises(ImpossibleValue, match=name):
        SupplyDay(way="container", **{**FED, name: -1})


def test_impossible_days() -> None:
    with pytest.raises(ValueError, match="`way` is 'sledge'; allowed: brought, drives"):
        SupplyDay(way="sledge", **FED)  # type: ignore[arg-type]
    for name, value in (("hours", 0), ("cv_share", 3), ("area_ha", 0), ("distance_km", -1), ("feeders", 0)):
        with pytest.raises(ImpossibleValue, match=name):
            SupplyDay(way="feeders", **{**FED, name: value})


def test_constants_of_the_supply() -> None:
    known = constants("slurry_supply")
    assert known["transfer_m3_min"].low < known.transfer_m3_min < known["transfer_m3_min"].high
    assert {key for key in known if known[key].citation.standing == "quoted"} == {"watery_hose_m3_h", "watery_reach_m"}
