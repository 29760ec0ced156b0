"""Money in three views and days: shapes, impossible values, edges, and the cost curve beside the estimate."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from spadework.ranges import ImpossibleValue, collecting
from spadework.science.machinery.cost import days, hiring, in_time, keeping
from spadework.science.machinery.cost import hourly as cost

POSSIBLE: dict[Callable[..., Any], dict[str, float]] = {
    hiring.hired_per_hectare_by_hour: {"rate_eur_h": 140, "field_time_h_ha": 0.4},
    hiring.hired_per_hectare_by_volume: {"rate_eur_m3": 5.6, "dose_m3_ha": 40},
    hiring.hired_with_fuel: {"hired_eur_ha": 92, "fuel_eur_ha": 27, "fuel_out": 1},
    hiring.break_even_area: {"fixed_eur_year": 4000, "contract_eur_ha": 92, "variable_eur_ha": 52},
    cost.marginal_cost: {"fuel_eur_ha": 27, "oil_eur_ha": 4, "labour_eur_ha": 14, "repair_eur_ha": 8},
    cost.per_volume: {"cost_eur_ha": 76, "dose_m3_ha": 40},
    cost.per_tonne: {"cost_eur_ha": 409, "yield_t_ha": 14.2},
    keeping.repair_per_hour: {"repair_eur_year": 2000, "hours_per_year": 400},
    keeping.fixed_per_year: {"capital_eur_year": 2060, "holding_eur_year": 400},
    keeping.fixed_per_hectare: {"fixed_eur_year": 2460, "hours_per_year": 120, "field_time_h_ha": 0.8},
    keeping.cost_at_area: {
        "area_ha_year": 100,
        "field_time_h_ha": 0.8,
        "price_eur": 20_000,
        "c1": 0.738,
        "c2": 0.051,
        "c3": 0.001,
        "years": 10,
        "interest_share": 0.05,
        "holding_share": 0.02,
        "rf1": 0.29,
        "rf2": 1.8,
        "running_eur_ha": 60,
    },
    days.days_needed: {"area_ha": 50, "work_rate_ha_h": 2.3, "day_h": 8},
    days.fit_days: {"days": 20, "fit_share": 0.4},
    days.fit_days_per_week: {"fit_share": 0.4},
    days.calendar_days: {"needed_days": 3, "fit_share": 0.5},
    days.mean_days_late: {"calendar_days": 6},
    days.lateness_cost: {"loss_share_day": 0.01, "late_days": 3, "yield_t_ha": 15, "price_eur_t": 180},
    in_time.chance_done: {"needed_days": 3, "window_days": 7, "fit_share": 0.5},
    in_time.chance_done_in_spells: {"needed_days": 3, "window_days": 7, "fit_share": 0.5, "stay_share": 0.8},
    in_time.window_for_chance: {"needed_days": 3, "fit_share": 0.5, "stay_share": 0.8, "chance_share": 0.8},
}
EACH = [(f, name) for f, possible in POSSIBLE.items() for name in possible]


@pytest.mark.parametrize("function", POSSIBLE, ids=[f.__name__ for f in POSSIBLE])
def test_arguments_are_complete_and_broadcast(function: Callable[..., Any]) -> None:
    possible = POSSIBLE[function]
    assert list(inspect.signature(function).parameters) == list(possible)
    one = float(function(**possible))
    assert np.isfinite(one)
    rows = {name: np.full((3, 1) if i % 2 else (4,), value) for i, (name, value) in enumerate(possible.items())}
    result = function(**rows)
    assert result.shape == ((3, 4) if len(possible) > 1 else (4,))
    assert result.dtype == np.float64
    assert result == pytest.approx(np.full(result.shape, one))
    assert all((rows[name] == value).all() for name, value in possible.items())


@pytest.mark.parametrize(("function", "name"), EACH, ids=[f"{f.__name__}-{name}" for f, name in EACH])
@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1e12])
def test_impossible_values_are_named(function: Callable[..., Any], name: str, value: float) -> None:
    with pytest.raises(ImpossibleValue) as caught:
        function(**{**POSSIBLE[function], name: value})
    assert name in caught.value.parameter
    assert "allowed" in str(caught.value)


@pytest.mark.parametrize("part", [hiring, cost, keeping, days, in_time])
def test_lists_of_names_are_in_order_and_true(part: Any) -> None:
    assert list(part.__all__) == sorted(part.__all__)
    assert all(inspect.isfunction(getattr(part, name)) for name in part.__all__)


def test_no_use_pays_where_the_contractor_is_not_dearer() -> None:
    assert hiring.break_even_area([4000, 0], 50, [[50], [60]]).tolist() == [[np.inf] * 2] * 2
    assert np.isinf(hiring.break_even_area(1e9, 1e-320, 0))
    assert hiring.break_even_area(0, 60, 50) == 0


def test_more_hours_than_a_year_has_are_told_by_area_and_time() -> None:
    arguments = {**POSSIBLE[keeping.cost_at_area], "c3": 0, "area_ha_year": [100, 20_000]}
    with pytest.raises(ImpossibleValue, match=r"area_ha_year \* field_time_h_ha. is 16000 h/year"):
        keeping.cost_at_area(**arguments)  # type: ignore[arg-type]


def test_cost_curve_meets_the_estimate_of_the_demo() -> None:
    from spadework.estimate import estimate
    from spadework.plan import read

    with collecting():
        sheet = estimate(read(Path(str(files("spadework.demo"))) / "plan.toml"), draws=16).sheet
        own = {name: sheet[f"machine_{name}"] for name in ("price", "c1", "c2", "c3", "years", "rf1", "rf2")}
        curve = keeping.cost_at_area(
            sheet["machine_hours"] / sheet["machine_time"], sheet["machine_time"], own["price"], own["c1"], own["c2"],
            own["c3"], own["years"], sheet["interest"], sheet["holding_share"], own["rf1"], own["rf2"], 0,
        )  # fmt: skip
    assert curve == pytest.approx(np.broadcast_to(sheet["machine_cost_ha"], curve.shape), rel=1e-9)


def test_gain_of_value_is_handed_back_as_a_negative_cost() -> None:
    assert keeping.fixed_per_hectare(keeping.fixed_per_year(-500, 100), 100, 0.5) == -2
    assert cost.per_volume(-40, 40) == cost.per_tonne(-15, 15) == -1


@pytest.mark.parametrize("chance", [in_time.chance_done, lambda n, w, p: in_time.chance_done_in_spells(n, w, p, p)])
def test_chance_at_its_edges(chance: Callable[..., Any]) -> None:
    assert chance([0, 0, 1, 3], [0, 5, 0, 2], 0.5).tolist() == [1, 1, 0, 0]
    assert chance([0, 1, 5, 6], 5, 0).tolist() == [1, 0, 0, 0]
    assert chance([0, 1, 5, 6], 5, 1).tolist() == [1, 1, 1, 0]
    assert chance(1e6, 366, 0.9) == 0
    assert chance([], 5, 0.5).shape == (0,)


def test_parts_of_days() -> None:
    # a part of a day needed takes a whole one; a part of a day in the window is none
    whole = in_time.chance_done(3, 7, 0.5)
    assert in_time.chance_done([2.01, 3 + 1e-12], [7.9, 7 - 1e-12], 0.5).tolist() == [whole, whole]
    assert in_time.chance_done_in_spells(2.01, 7.9, 0.5, 0.5) == pytest.approx(whole)
    assert in_time.window_for_chance(2.01, 0.5, 0.5, 0.7) == in_time.window_for_chance(3, 0.5, 0.5, 0.7)


def test_weather_that_never_turns() -> None:
    # every window is all fit or not fit at all
    assert in_time.chance_done_in_spells([1, 5], 5, 0.3, 1) == pytest.approx([0.3, 0.3])
    assert in_time.window_for_chance(5, 0.3, 1, [0.29, 0.31]).tolist() == [5, np.inf]
    # fit and unfit days by turns
    assert in_time.chance_done_in_spells([1, 2, 3], 4, 0.5, 0) == pytest.approx([1, 1, 0])


def test_many_fit_days_leave_no_room_for_short_spells() -> None:
    with pytest.raises(ImpossibleValue, match=r"stay_share. is 0\.5 .*allowed: 0\.75 to 1") as caught:
        in_time.chance_done_in_spells(3, 7, [0.4, 0.8], 0.5)
    assert caught.value.low == pytest.approx(0.75)
    with pytest.raises(ImpossibleValue, match="stay_share"):
        in_time.window_for_chance(3, 1, 0.9, 0.8)


def test_no_window_of_a_year_is_enough() -> None:
    assert in_time.window_for_chance([300, 367, 1], [0.5, 1, 0], [0.5, 1, 0], 0.8).tolist() == [np.inf] * 3
    assert in_time.window_for_chance([0, 366], 1, 1, 0.9999).tolist() == [0, 366]


def test_blocks_give_what_single_calls_give() -> None:
    random = np.random.default_rng(1)
    share = random.uniform(0.2, 0.5, 5000)
    stay = random.uniform(share, 1)
    needed, window = random.integers(0, 6, 5000), random.integers(0, 12, 5000)
    chance = in_time.chance_done_in_spells(needed, window, share, stay)
    days_given = in_time.window_for_chance(needed, share, stay, 0.5)
    for i in (0, 1, 4095, 4096, 4999):
        assert chance[i] == pytest.approx(float(in_time.chance_done_in_spells(needed[i], window[i], share[i], stay[i])))
        assert days_given[i] == in_time.window_for_chance(needed[i], share[i], stay[i], 0.5)


def test_no_more_than_the_whole_yield_is_lost() -> None:
    assert days.lateness_cost(0.1, 10, 15, 180) == pytest.approx(15 * 180)
    with pytest.raises(ImpossibleValue, match=r"loss_share_day \* late_days"):
        days.lateness_cost(0.1, 11, 15, 180)
