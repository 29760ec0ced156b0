"""Errors, shapes and tables of turns, headlands and field time."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from spadework.ranges import ImpossibleValue
from spadework.reference import constants, load
from spadework.science.machinery.rate import runs as field_runs
from spadework.science.machinery.rate import turning
from spadework.science.machinery.rate.parts import spread_time, turning_time, working_time

POSSIBLE: dict[Callable[..., Any], dict[str, float]] = {
    turning.loop_turn_length: {"radius_m": 6, "offset_m": 3},
    turning.half_circle_turn_length: {"radius_m": 6, "offset_m": 15},
    turning.turn_length: {"radius_m": 6, "offset_m": 3},
    turning.reversing_turn_length: {"radius_m": 6, "offset_m": 3},
    turning.passes_left_out: {"radius_m": 6, "width_m": 3},
    turning.skip_offset: {"radius_m": 6, "width_m": 3},
    turning.turn_time: {"length_m": 28, "speed_km_h": 5, "stops_s": 8},
    field_runs.overlap_width: {"width_m": 3, "overlap_m": 0.1, "overlap_share": 0.1},
    field_runs.effective_width: {"width_m": 3, "overlap_m": 0.1},
    field_runs.field_breadth: {"area_ha": 6, "length_m": 300, "shape_share": 0.8},
    field_runs.mean_run: {"length_m": 300, "shape_share": 0.8, "headland_m": 12},
    field_runs.runs: {"breadth_m": 250, "width_m": 3},
    field_runs.turn_reach: {"radius_m": 6, "offset_m": 3, "outfit_m": 8},
    field_runs.reversing_turn_reach: {"radius_m": 6, "outfit_m": 8},
    field_runs.headland_depth: {"turn_reach_m": 14, "width_m": 3},
    field_runs.headland_runs: {"headland_m": 15, "width_m": 3},
    field_runs.mean_headland_run: {"breadth_m": 300, "shape_share": 0.8},
    working_time: {
        "runs": 84,
        "run_m": 216,
        "headland_runs": 10,
        "headland_run_m": 200,
        "speed_km_h": 7,
        "area_ha": 6,
    },
    turning_time: {"runs": 84, "headland_runs": 10, "turn_s": 18, "area_ha": 6},
    spread_time: {"working_h_ha": 0.3, "turning_h_ha": 0.05, "lost_h_ha": 0.02},
}
EACH = [(f, name) for f, possible in POSSIBLE.items() for name in possible]


def test_every_function_of_the_two_modules_is_here() -> None:
    here = {function.__name__ for function in POSSIBLE}
    assert here >= set(turning.__all__) | set(field_runs.__all__)


@pytest.mark.parametrize("function", POSSIBLE, ids=[f.__name__ for f in POSSIBLE])
def test_arguments_are_complete_and_broadcast(function: Callable[..., Any]) -> None:
    possible = POSSIBLE[function]
    assert list(inspect.signature(function).parameters) == list(possible)
    one = float(function(**possible))
    assert np.isfinite(one)
    rows = {name: np.full((3, 1) if i % 2 else (4,), value) for i, (name, value) in enumerate(possible.items())}
    copies = {name: value.copy() for name, value in rows.items()}
    result = function(**rows)
    assert result.shape == (3, 4)
    assert result.dtype == np.float64
    assert result == pytest.approx(np.full(result.shape, one))
    for name, value in rows.items():
        assert (value == copies[name]).all()


@pytest.mark.parametrize(("function", "name"), EACH, ids=[f"{f.__name__}-{name}" for f, name in EACH])
@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1e12])
def test_impossible_values_are_named(function: Callable[..., Any], name: str, value: float) -> None:
    with pytest.raises(ImpossibleValue) as caught:
        function(**{**POSSIBLE[function], name: value})
    assert name in caught.value.parameter
    assert "allowed" in str(caught.value)


def test_a_loop_is_for_close_runs_and_a_half_circle_for_far_ones() -> None:
    with pytest.raises(ImpossibleValue, match=r"`offset_m / radius_m` is 2\.5; allowed: 0 to 2"):
        turning.loop_turn_length(6, [3, 15])
    with pytest.raises(ImpossibleValue, match=r"`offset_m / radius_m` is 0\.5; allowed: 2 or more"):
        turning.half_circle_turn_length(6, [15, 3])


def test_headlands_that_meet_and_headlands_that_cross() -> None:
    assert field_runs.mean_run(60, 1, 30) == 0
    with pytest.raises(ImpossibleValue, match=r"length_m - 2 \* headland_m.* is -2 m; allowed: 0 to 20000 m"):
        field_runs.mean_run(60, 1, [12, 31])


def test_overlap_leaves_some_width() -> None:
    assert field_runs.effective_width(3, 2.9) == pytest.approx(0.1)
    for overlap in (3, 4):
        with pytest.raises(ImpossibleValue, match="width_m - overlap_m"):
            field_runs.effective_width(3, overlap)


def test_a_field_thinner_than_a_share_of_its_box_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match=r"shape_share.*0\.3 to 1"):
        field_runs.field_breadth(6, 300, 0.2)
    with pytest.raises(ImpossibleValue, match=r"shape_share.*0\.3 to 1"):
        field_runs.mean_run(300, 1.01, 0)


def test_small_numbers_of_runs() -> None:
    assert field_runs.runs(1e-12, 6) == 1
    assert field_runs.runs([5.9, 6, 6.1], 6).tolist() == [1, 1, 2]
    assert field_runs.headland_runs([0, 0.1, 6, 6.1], 6).tolist() == [0, 2, 2, 4]
    assert field_runs.headland_depth([0, 0.1, 6, 6.1], 6).tolist() == [0, 6, 6, 12]
    assert turning_time(1, 0, 20, 1) == 0
    assert turning.passes_left_out([0.1, 3, 3.1], 6).tolist() == [0, 0, 1]


def test_every_kind_of_machine_has_its_overlap() -> None:
    kinds, table = load("machine_kinds"), load("overlap")
    assert list(table) == list(kinds)
    for key, row in table.items():
        assert row.label == kinds[key].label
        metres, share = row.entry("overlap_m"), row.entry("overlap_share")
        assert 0 <= metres.low <= metres.high < 1
        assert 0 <= share.low <= share.high < 0.5
        assert metres.value == 0 or share.value == 0
        if kinds[key].text("shape") in {"strip", "seeds"}:
            assert metres.high == share.high == 0


def test_rows_for_turns_hold_together() -> None:
    work = constants("field_work")
    assert work.turn_radius_m < work.turn_radius_drawn_m
    assert work.tool_behind_m < work.tool_behind_drawn_m
    assert {load("field_work")[key].citation("value").standing for key in ("turn_radius_m", "plot_run_m")} == {"choice"}
