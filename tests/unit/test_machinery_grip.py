"""Errors, shapes and edge cases of grip, match and measured figures."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from passes_made import call, names_of
from spadework.ranges import ImpossibleValue
from spadework.reference import constants, load
from spadework.science.machinery import draft_towed
from spadework.science.machinery.pull import grip, match, measured, pulling

PLANNED: dict[str, float] = {
    "speed_km_h": 7,
    "deep_0_n": 20_000,
    "deep_1_n_h_km": 100,
    "deep_2_n_h2_km2": 100,
    "other_0_n": 3_000,
    "other_1_n_h_km": 50,
    "other_2_n_h2_km2": 1,
    "towed_n": 8_000,
    "pump_kw": 10,
    "rotary_kw": 5,
    "tractor_t": 9,
    "driven_share": 1,
    "hitch_t": 1.5,
    "rolling_coefficient": 0.06,
    "slope_share": 0.01,
    "wheel_number": 55,
    "axle_per_pto": 0.96,
}
TOOLS = {name: PLANNED[name] for name in list(PLANNED)[1:7]}
AT = {"speed_km_h": 7, "depth_share": 0.9, "width_share": 0.8}
LIMITS = {"rated_pto_kw": 80, "slip_most_share": 0.25}
POSSIBLE: dict[Callable[..., Any], dict[str, float]] = {
    draft_towed: {"mass_t": 28, "rolling_coefficient": 0.06, "slope_share": 0.02, "hitch_share": 0.12},
    grip.driven_load: {"tractor_t": 8, "driven_share": 0.8, "hitch_t": 2},
    grip.hitch_mass: {"drawn_t": 20, "hitch_share": 0.12},
    grip.wheel_pull: {
        "pull_n": 30_000,
        "tractor_t": 8,
        "driven_share": 0.8,
        "rolling_coefficient": 0.06,
        "slope_share": 0.02,
    },
    grip.pull_ratio: {"wheel_pull_kn": 30, "driven_load_kn": 80},
    grip.slip_for_pull_brixius: {"pull_ratio": 0.4, "wheel_number": 55},
    grip.most_pull_ratio_brixius: {"wheel_number": 55, "slip_share": 0.25},
    grip.axle_power_brixius: {"driven_load_kn": 80, "wheel_number": 55, "slip_share": 0.1, "speed_km_h": 7},
    grip.pto_power_for_axle: {"axle_kw": 80, "axle_per_pto": 0.96},
    pulling.pass_draft: {**AT, **TOOLS},
    pulling.needed_at: {**PLANNED, **LIMITS, "at_speed_km_h": 6, "depth_share": 0.9, "width_share": 0.8},
    match.most_speed: {**PLANNED, **LIMITS},
    match.most_depth_share: {**PLANNED, **LIMITS},
    match.most_width_share: {**PLANNED, **LIMITS},
    match.rows_possible: {"width_share": 0.8, "rows": 8},
    measured.measured_draft_factor: {"measured_n": 36_000, "modelled_n": 30_000},
    measured.fuel_error_of_refill: {"error_l": 0.5, "area_ha": 0.8},
    measured.area_for_refill: {"error_l": 0.5, "fuel_l_ha": 12, "wanted_share": 0.05},
    measured.measured_or_modelled: {"measured": 21, "modelled": 24, "taken": 1},
}
ANY_NUMBER = {(measured.measured_or_modelled, "measured"), (measured.measured_or_modelled, "modelled")}
EACH = [(f, name) for f, possible in POSSIBLE.items() for name in possible]
IDS = [f"{f.__name__}-{name}" for f, name in EACH]
SOLVERS = [match.most_speed, match.most_depth_share, match.most_width_share]


@pytest.mark.parametrize("function", POSSIBLE, ids=[f.__name__ for f in POSSIBLE])
def test_arguments_are_complete_and_broadcast(function: Callable[..., Any]) -> None:
    possible = POSSIBLE[function]
    assert names_of(function) == set(possible)
    one = float(call(function, **possible))
    assert np.isfinite(one)
    rows = {name: np.full((3, 1) if i % 2 else (4,), value) for i, (name, value) in enumerate(possible.items())}
    copies = {name: value.copy() for name, value in rows.items()}
    result = call(function, **rows)
    assert result.shape == (3, 4)
    assert result.dtype == np.float64
    assert result == pytest.approx(np.full(result.shape, one))
    for name, value in rows.items():
        assert (value == copies[name]).all()


@pytest.mark.parametrize(("function", "name"), EACH, ids=IDS)
@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1e12])
def test_impossible_values_are_named(function: Callable[..., Any], name: str, value: float) -> None:
    if value == -1e12 and (function, name) in ANY_NUMBER:
        assert np.isfinite(call(function, **{**POSSIBLE[function], name: value}))
        return
    with pytest.raises(ImpossibleValue) as caught:
        call(function, **{**POSSIBLE[function], name: value})
    assert name in caught.value.parameter
    assert "allowed" in str(caught.value)


def test_no_grip_says_what_helps() -> None:
    with pytest.raises(grip.NoGrip, match=r"`pull_ratio` is 1\.2; allowed: 0\.80\d+ or less: .*no grip.*more load"):
        grip.slip_for_pull_brixius([0.3, 1.2, 0.9], 55)
    with pytest.raises(grip.NoGrip):
        call(pulling.needed_at, **{**POSSIBLE[pulling.needed_at], "towed_n": 90_000})


def test_ground_too_soft_for_the_wheel_to_move_itself() -> None:
    # Any slip costs more than it brings: the best is to be towed.
    assert grip.most_pull_ratio_brixius(0.1, [0.0, 0.3]).tolist() == pytest.approx([-10, -10])
    assert grip.slip_for_pull_brixius(-10.5, 0.1) == 0
    with pytest.raises(grip.NoGrip):
        grip.slip_for_pull_brixius(-9.5, 0.1)


def test_slip_at_the_very_most_pull() -> None:
    # There the derivative is nil: 0.88 (1 - e^(-5.5)) 7.5 e^(-7.5 s) = 0.5 / sqrt(55)
    peak = np.log(0.88 * (1 - np.exp(-5.5)) * 7.5 / (0.5 / np.sqrt(55))) / 7.5
    found = grip.slip_for_pull_brixius(grip.most_pull_ratio_brixius(55, 1), 55)
    assert found == pytest.approx(peak, abs=1e-7)


def test_lightly_loaded_front_axle_still_rolls() -> None:
    two, four = grip.wheel_pull(0, 10, 0.8, 0.06, 0), grip.wheel_pull(0, 10, 1, 0.06, 0)
    assert two == pytest.approx(0.2 * 10 * 9.80665 * 0.06)
    assert four == 0


@pytest.mark.parametrize("solver", SOLVERS)
def test_a_tractor_large_enough_keeps_to_the_plan(solver: Callable[..., Any]) -> None:
    meant = 7.0 if solver is match.most_speed else 1.0
    assert call(solver, **{**PLANNED, **LIMITS, "rated_pto_kw": 500}) == meant


@pytest.mark.parametrize("solver", SOLVERS)
@pytest.mark.parametrize(
    "worse",
    [{"rated_pto_kw": 1}, {"towed_n": 90_000}, {"wheel_number": 3, "towed_n": 20_000}],
    ids=["power", "grip", "mud"],
)
def test_nothing_does(solver: Callable[..., Any], worse: dict[str, float]) -> None:
    assert call(solver, **{**PLANNED, **LIMITS, **worse}) == 0


def test_driven_tools_leave_no_depth_but_a_narrower_pass() -> None:
    inputs = {**PLANNED, **LIMITS, "rotary_kw": 200}
    assert call(match.most_depth_share, **inputs) == 0
    assert call(match.most_speed, **inputs) == 0
    assert 0 < call(match.most_width_share, **inputs) < 1


def test_grip_can_be_what_limits() -> None:
    # Power without end: the slip allowed is reached, no more.
    inputs = {**PLANNED, **LIMITS, "rated_pto_kw": 2000, "slip_most_share": 0.1, "deep_0_n": 60_000}
    share = call(match.most_depth_share, **inputs)
    assert 0 < share < 1
    tools = pulling.pass_draft(7, share, 1, **{**TOOLS, "deep_0_n": 60_000})
    pull = grip.wheel_pull(tools + inputs["towed_n"], 9, 1, 0.06, 0.01)
    slip = grip.slip_for_pull_brixius(grip.pull_ratio(pull, grip.driven_load(9, 1, 1.5)), 55)
    assert slip == pytest.approx(0.1, abs=1e-4)


def test_slower_than_the_slowest_speed_tried() -> None:
    least = constants("tractor_grip").least_speed_km_h
    assert call(match.most_speed, **{**PLANNED, **LIMITS, "speed_km_h": least / 2}) == least / 2
    assert call(match.most_speed, **{**PLANNED, **LIMITS, "speed_km_h": least / 2, "rated_pto_kw": 1}) == 0


def test_mixed_rows_are_solved_each_for_itself() -> None:
    rated = np.array([[500.0, 60.0], [1.0, 45.0]])
    inputs: dict[str, Any] = {**PLANNED, **LIMITS, "rated_pto_kw": rated}
    speeds = call(match.most_speed, **inputs)
    alone = [[float(call(match.most_speed, **{**PLANNED, **LIMITS, "rated_pto_kw": r})) for r in row] for row in rated]
    assert speeds == pytest.approx(np.array(alone))
    assert speeds[0, 0] == 7
    assert speeds[1, 0] == 0
    assert 0 < speeds[1, 1] < speeds[0, 1] < 7


@pytest.mark.parametrize(
    ("share", "rows", "whole"), [(1, 8, 8), (0.75, 8, 6), (0.7499, 8, 5), (0.1 * 3, 10, 3), (0, 8, 0)]
)
def test_rows_that_fit_exactly_are_kept(share: float, rows: float, whole: float) -> None:
    assert match.rows_possible(share, rows) == whole


def test_measured_draft_far_from_the_model_is_a_slip_of_the_pen() -> None:
    with pytest.raises(ImpossibleValue, match=r"measured_n / modelled_n.*allowed: 0\.1 to 10"):
        measured.measured_draft_factor(36, 30_000)


def test_every_drive_has_its_share_of_load() -> None:
    table = constants("tractor_grip")
    for drive in load("drawbar_pto_ratio_asae_d497"):
        assert 0 < table[drive].value <= 1
