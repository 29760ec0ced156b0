"""Errors, notes, shapes and tables of the machinery floor."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from passes_made import ANY_LIMITS, call
from spadework.ranges import ImpossibleValue, OutsideCalibration, collecting
from spadework.reference import constants, load
from spadework.science import machinery as m

# One possible set of arguments for the older functions of this floor; those of grip, supply, time, flow, money and of the
# smaller steps stand in the tests beside this one.
POSSIBLE: dict[Callable[..., Any], dict[str, float]] = {
    m.draft_asae_d497: {"soil_factor": 0.7, "a": 652, "b": 0, "c": 5.1, "units": 2, "speed_km_h": 7, "depth_cm": 25},
    m.rolling_coefficient_brixius: {"wheel_number": 55},
    m.drawbar_power: {"draft_n": 30_000, "speed_km_h": 7},
    m.wheel_number_brixius: {
        "cone_index_kpa": 1200,
        "tyre_width_m": 0.6,
        "tyre_diameter_m": 1.8,
        "load_kn": 30,
        "deflection_share": 0.2,
    },
    m.motion_resistance_brixius: {"load_kn": 30, "wheel_number": 55, "slip_share": 0.1},
    m.gross_traction_brixius: {"load_kn": 30, "wheel_number": 55, "slip_share": 0.1},
    m.net_traction: {"gross_traction_kn": 14, "motion_resistance_kn": 2},
    m.tractive_efficiency: {"net_traction_kn": 12, "gross_traction_kn": 14, "slip_share": 0.1},
    m.pto_power_for_drawbar: {"drawbar_kw": 60, "drawbar_per_pto": 0.77},
    m.rotary_power: {"power_kw_m": 25, "width_m": 3},
    m.rotary_power_from_work: {"specific_work_kj_m3": 150, "width_m": 3, "depth_cm": 10, "speed_km_h": 6},
    m.pto_power_asae_d497: {"a_kw": 0, "b_kw_m": 0, "c_kwh_t": 0.2, "width_m": 12, "throughput_t_h": 100},
    m.pump_power: {"pressure_kpa": 300, "flow_m3_min": 3, "efficiency_share": 0.5},
    m.needed_power: {"drive_kw": 100, "rotary_kw": 0, "pump_kw": 10},
    m.load_share: {"needed_kw": 110, "rated_pto_kw": 150},
    m.fuel_rate_grisso_2004: {"load_share": 0.7, "rated_pto_kw": 120, "speed_reduction_pct": 10},
    m.fuel_rate_asae_d497_4: {"load_share": 0.7, "rated_pto_kw": 120},
    m.fuel_rate_average_asae_ep496: {"rated_pto_kw": 120},
    m.fuel_rate_idle: {"rated_pto_kw": 120, "idle_l_h_per_kw": 0.025},
    m.fuel_per_hectare: {
        "work_l_h": 28,
        "work_h_ha": 0.7,
        "turn_l_h": 16,
        "turn_h_ha": 0.08,
        "road_l_h": 18,
        "road_h_ha": 0.2,
        "stand_l_h": 3,
        "stand_h_ha": 0.05,
    },
    m.lubricating_oil_rate_asae_ep496: {"engine_kw": 140},
    m.field_capacity: {"speed_km_h": 8, "width_m": 4, "efficiency_share": 0.8},
    m.material_capacity: {"speed_km_h": 6, "width_m": 3, "amount_t_ha": 40, "efficiency_share": 0.7},
    m.refill_time: {"dose_m3_ha": 40, "tank_m3": 18, "refill_min": 14},
    m.lost_time: {"working_h_ha": 0.5, "lost_share": 0.06},
    m.field_time: {
        "working_h_ha": 0.5,
        "turning_h_ha": 0.1,
        "refill_h_ha": 0.5,
        "waiting_h_ha": 0.1,
        "lost_h_ha": 0.03,
    },
    m.work_rate: {"field_time_h_ha": 1.13},
    m.field_efficiency: {"work_rate_ha_h": 2.5, "speed_km_h": 8, "width_m": 4},
    m.field_efficiency_from_times: {
        "theoretical_h_ha": 0.25,
        "width_used_share": 0.95,
        "hourly_loss_h_ha": 0.02,
        "area_loss_h_ha": 0.05,
    },
    m.pump_flow: {"dose_m3_ha": 40, "width_m": 6, "speed_km_h": 7},
    m.dose_from_flow: {"flow_m3_min": 2.8, "width_m": 6, "speed_km_h": 7},
    m.speed_for_dose: {"flow_m3_min": 2.8, "width_m": 6, "dose_m3_ha": 40},
    m.flow_per_row: {"flow_m3_min": 2.8, "rows": 8},
    m.dose_from_loads: {"loads": 20, "load_m3": 18, "area_ha": 9},
    m.run_length: {"tank_m3": 18, "dose_m3_ha": 40, "width_m": 6},
    m.remaining_value_asae_d497_7: {"c1": 0.976, "c2": 0.119, "c3": 0.0019, "years": 10, "hours_per_year": 500},
    m.remaining_value_by_age: {"first_share": 0.68, "kept_share": 0.92, "years": 10},
    m.capital_recovery_factor: {"interest_share": 0.05, "years": 10},
    m.capital_recovery: {"price_eur": 20_000, "remaining_eur": 6000, "interest_share": 0.05, "years": 10},
    m.holding_cost: {"price_eur": 20_000, "holding_share": 0.02},
    m.straight_line_depreciation: {"price_eur": 20_000, "remaining_eur": 6000, "years": 10},
    m.average_interest: {"price_eur": 20_000, "remaining_eur": 6000, "interest_share": 0.05},
    m.ownership_share_asae_ep496: {"remaining_share": 0.3, "years": 10, "interest_share": 0.05, "holding_share": 0.02},
    m.real_interest: {"interest_share": 0.05, "inflation_share": 0.02},
    m.repair_asae_d497: {"price_eur": 20_000, "rf1": 0.29, "rf2": 1.8, "hours_from": 100, "hours_to": 200},
    m.machine_cost_per_hour: {
        "capital_eur_year": 2060,
        "holding_eur_year": 400,
        "repair_eur_year": 540,
        "hours_per_year": 150,
    },
    m.cost_per_hectare: {"cost_eur_h": 20.9, "field_time_h_ha": 0.5},
    m.labour_cost: {"field_time_h_ha": 0.5, "paid_per_machine_hour": 1.15, "wage_eur_h": 24},
    m.fuel_cost: {"fuel_l_ha": 24, "price_eur_l": 1.15},
    m.lubricant_cost: {"fuel_cost_eur_ha": 27, "lubricant_share": 0.15},
    m.timeliness_cost: {
        "loss_share_day": 0.01,
        "area_ha": 50,
        "yield_t_ha": 15,
        "price_eur_t": 180,
        "balance": 2,
        "day_h": 8,
        "work_rate_ha_h": 2.3,
        "workable_share": 0.5,
    },
    m.with_vat: {"net_eur": 92, "vat_share": 0.19},
    m.without_vat: {"gross_eur": 109.48, "vat_share": 0.107},
}
TOOLS = {f"{kind}_{part}": 0.0 for kind in ("deep", "other") for part in ("0_n", "1_n_h_km", "2_n_h2_km2")}
LEVEL = {
    **TOOLS,
    "towed_n": 0.0,
    "pump_kw": 0.0,
    "rotary_kw": 0.0,
    "tractor_t": 9.0,
    "driven_share": 1.0,
    "hitch_t": 0.0,
    "rolling_coefficient": 0.06,
    "slope_share": 0.0,
    "wheel_number": 55.0,
    "axle_per_pto": 0.96,
}
EACH = [(f, name) for f, possible in POSSIBLE.items() for name in possible]
IDS = [f"{f.__name__}-{name}" for f, name in EACH]


@pytest.mark.parametrize("function", POSSIBLE, ids=[f.__name__ for f in POSSIBLE])
def test_arguments_are_complete_and_broadcast(function: Callable[..., Any]) -> None:
    possible = POSSIBLE[function]
    assert list(inspect.signature(function).parameters) == list(possible)
    one = float(function(**possible))
    assert np.isfinite(one)
    names = list(possible)
    rows = {name: np.full((3, 1) if i % 2 else (4,), value) for i, (name, value) in enumerate(possible.items())}
    result = function(**rows)
    assert result.shape == ((3, 4) if len(names) > 1 else (4,))
    assert result.dtype == np.float64
    assert result == pytest.approx(np.full(result.shape, one))


@pytest.mark.parametrize(("function", "name"), EACH, ids=IDS)
@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1e12])
def test_impossible_values_are_named(function: Callable[..., Any], name: str, value: float) -> None:
    with pytest.raises(ImpossibleValue) as caught:
        function(**{**POSSIBLE[function], name: value})
    assert name in caught.value.parameter
    assert "allowed" in str(caught.value)


@pytest.mark.parametrize("function", POSSIBLE, ids=[f.__name__ for f in POSSIBLE])
def test_inputs_are_left_alone(function: Callable[..., Any]) -> None:
    arrays = {name: np.full(2, value) for name, value in POSSIBLE[function].items()}
    copies = {name: value.copy() for name, value in arrays.items()}
    function(**arrays)
    for name, value in arrays.items():
        assert (value == copies[name]).all()


@pytest.mark.parametrize("function", [m.fuel_rate_grisso_2004, m.fuel_rate_asae_d497_4])
def test_too_small_a_tractor_is_told(function: Callable[..., Any]) -> None:
    with pytest.raises(m.TractorTooSmall, match=r"1\.3.*too small") as caught:
        function(**{**POSSIBLE[function], "load_share": [0.5, 1.3]})
    assert caught.value.load == 1.3
    assert isinstance(caught.value, ImpossibleValue)


@pytest.mark.parametrize("function", [m.fuel_rate_grisso_2004, m.fuel_rate_asae_d497_4])
def test_light_load_is_noted(function: Callable[..., Any]) -> None:
    arguments = {**POSSIBLE[function], "load_share": 0.1}
    with pytest.warns(OutsideCalibration, match=r"engine load 0\.1"):
        function(**arguments)
    with collecting() as notes:
        function(**arguments)
        function(**arguments)
    assert len(notes) == 1
    assert notes[0].low == constants("fuel_grisso").load_share_least


def test_a_slowed_engine_cannot_carry_full_load() -> None:
    assert m.fuel_rate_grisso_2004(0.7, 100, 30) > 0
    with pytest.raises(ImpossibleValue, match=r"speed_reduction_pct.*0\.8.*0 to 20 %"):
        m.fuel_rate_grisso_2004([0.5, 0.8], 100, 30)


def test_too_old_a_machine_is_an_error_that_names_the_longest_age() -> None:
    # the bracket 0.891 - 0.2 sqrt(n) is nil at 19.8 years
    with pytest.raises(ImpossibleValue, match="years") as caught:
        m.remaining_value_asae_d497_7(0.891, 0.2, 0, [10, 25], 0)
    assert caught.value.high == pytest.approx((0.891 / 0.2) ** 2)
    with pytest.raises(ImpossibleValue) as caught:
        m.remaining_value_asae_d497_7(0.5, 0, 0.1, 5, 400)
    assert caught.value.high == 0


def test_remaining_value_outside_its_ages_or_above_the_list_price_is_noted() -> None:
    row = load("remaining_value_asae_d497")["combine"]
    c1, c2, c3 = (row.entry(name).value for name in ("c1", "c2", "c3"))
    with collecting() as notes:
        assert m.remaining_value_asae_d497_7(c1, c2, c3, 0, 0) > 1
    assert [note.parameter for note in notes] == ["remaining share"]
    with pytest.warns(OutsideCalibration, match="years 30"):
        m.remaining_value_asae_d497_7(0.943, 0.111, 0, 30, 0)


def test_hours_do_not_run_backwards() -> None:
    with pytest.raises(ImpossibleValue, match="hours_to - hours_from"):
        m.repair_asae_d497(1000, 0.2, 1.5, [100, 300], 200)
    assert m.repair_asae_d497(1000, 0.2, 1.5, 200, 200) == 0


def test_interest_of_nil_among_others() -> None:
    assert m.capital_recovery_factor([0, 0.05], 10).tolist() == pytest.approx([0.1, 0.1295045749654567])
    assert m.capital_recovery(1000, 0, 0, 4) == 250


def test_load_above_one_is_handed_back_and_slows_the_pass() -> None:
    share = m.load_share(180, 120)
    assert share == 1.5
    assert m.load_at_work(share) == 1
    # draft that does not grow with speed: power goes into speed alone
    tools = {**LEVEL, "deep_0_n": 30_000.0}
    needed = float(call(m.needed_at, **tools, **ANY_LIMITS, speed_km_h=9, at_speed_km_h=9))
    limits = {"rated_pto_kw": needed / share, "slip_most_share": 0.25}
    speed = call(m.speed_managed, **tools, **limits, speed_km_h=9, depth_share=1)
    assert speed == pytest.approx(6, rel=2e-4)


def test_downhill_the_tanker_pushes() -> None:
    assert m.draft_towed(20, 0.05, -0.1, 0) < 0
    # what rests on the tractor does not roll, but it pushes all the same
    assert m.draft_towed(20, 0.05, -0.1, 0.12) < m.draft_towed(20, 0.05, -0.1, 0)
    behind = {**LEVEL, "deep_0_n": 20_000.0, "hitch_t": 2.4, "towed_n": [m.draft_towed(20, 0.05, -0.1, 0.12), 0]}
    pushed, pulled = call(m.needed_at, **behind, **ANY_LIMITS, speed_km_h=7, at_speed_km_h=7)
    assert pushed < pulled


@pytest.mark.parametrize("key", list(load("draft_asae_d497")))
def test_draft_rows_hold_together(key: str) -> None:
    row = load("draft_asae_d497")[key]
    assert row.text("per") in {"tool", "m", "row"}
    assert row.text("depth_counts") in {"yes", "no"}
    if row.text("depth_counts") == "no":
        assert row.entry("b").value == row.entry("c").value == 0
    fine, medium, coarse = (row.entry(f"f_{name}").value for name in ("fine", "medium", "coarse"))
    assert fine == 1 >= medium >= coarse > 0
    assert 0 < row.entry("range_pct").value <= 50
    assert row.citation("a").standing == "memory"


def test_every_texture_has_a_draft_class_that_the_draft_table_knows() -> None:
    table = load("texture_class")
    assert len(table) == 12
    for row in table.values():
        assert f"f_{row.text('draft_class')}" in load("draft_asae_d497").columns


def test_strip_till_parts_point_at_rows_that_exist() -> None:
    for part in load("strip_till_unit").values():
        row = load("draft_asae_d497")[part.text("draft_row")]
        assert part.text("depth_is") in {"own", "tine", "none"}
        assert (part.text("depth_is") == "none") == (row.text("depth_counts") == "no")
        assert part.has("depth_cm") == (part.text("depth_is") != "tine")
        assert part.citation("units_per_row").standing == "choice"


def test_holding_share_is_the_sum_of_its_parts() -> None:
    owning = constants("machine_ownership")
    assert owning.holding_share == pytest.approx(owning.tax_share + owning.housing_share + owning.insurance_share)


def test_rates_of_contractors_say_what_they_hold() -> None:
    for row in load("contract_rates").values():
        assert row.text("fuel") in {"yes", "no", "unknown"}
        assert row.text("vat") in {"included", "excluded", "unknown"}
        assert row.text("unit")
