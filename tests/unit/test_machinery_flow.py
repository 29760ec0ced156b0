"""Errors, shapes and edge cases of dose, flow and bucket test; what the card says of found figures."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from spadework.present.machines.dose_found import verdict
from spadework.ranges import ImpossibleValue
from spadework.reference import load
from spadework.science.machinery.dose import bucket
from spadework.science.machinery.dose import windows as flow

POSSIBLE: dict[Callable[..., Any], dict[str, Any]] = {
    flow.speed_window: {"dose_m3_ha": 40, "width_m": 6, "flow_m3_min": 2.8, "tolerance_share": 0.1},
    flow.flow_window: {"dose_m3_ha": 40, "width_m": 6, "speed_km_h": 7, "tolerance_share": 0.1},
    flow.dose_error_from_speed: {"speed_error_share": 0.1},
    flow.dose_from_weighed: {"full_t": 25, "empty_t": 9, "density_t_m3": 1.02, "area_ha": 0.4},
    flow.weighed_error: {
        "load_t": 15,
        "loads": 3,
        "weighing_error_t": 0.02,
        "area_error_share": 0.02,
        "density_error_share": 0.01,
    },
    flow.dose_from_meter: {"start_m3": 100, "end_m3": 118, "meter_factor": 1.02, "area_ha": 0.5},
    flow.off_target: {"dose_m3_ha": 38, "target_m3_ha": 40},
    bucket.bucket_litres: {"flow_m3_min": 0.35, "time_s": 20},
    bucket.outlet_flow: {"caught_l": 35, "time_s": 6},
    bucket.row_litres_from_outlet: {"outlet_m3_min": 0.35, "speed_km_h": 7},
    bucket.catch_error: {"caught_l": 35, "time_s": 6, "reading_error_l": 0.2, "clock_error_s": 0.3},
    bucket.seconds_for: {"flow_m3_min": 0.35, "error_share": 0.03, "reading_error_l": 0.2, "clock_error_s": 0.3},
    bucket.dose_of_open: {"dose_m3_ha": 40, "outlets": 8, "blocked_outlets": 1},
    bucket.variation: {"values": [1.0, 1.2]},
    bucket.off_others: {"flow_m3_min": [0.3, 0.35]},
    bucket.off_median: {"flow_m3_min": [0.3, 0.35]},
    bucket.blocked: {"flow_m3_min": [0.3, 0.35], "blocked_share": 0.5},
}
PAIRS = {flow.speed_window, flow.flow_window}
ALONG = {bucket.variation, bucket.off_others, bucket.off_median, bucket.blocked}
EVERY = [getattr(module, name) for module in (flow, bucket) for name in module.__all__]
ONE_BY_ONE = [function for function in EVERY if function not in ALONG]


def test_every_function_is_tried() -> None:
    assert set(EVERY) == set(POSSIBLE)


@pytest.mark.parametrize("function", EVERY, ids=lambda f: f.__name__)
@pytest.mark.parametrize("bad", [np.nan, np.inf, -1e9])
def test_what_cannot_be_is_named(function: Callable[..., Any], bad: float) -> None:
    for name in inspect.signature(function).parameters:
        inputs = {**POSSIBLE[function], name: [bad, bad] if isinstance(POSSIBLE[function][name], list) else bad}
        with pytest.raises(ImpossibleValue, match=f"`{name}( |`)"):
            function(**inputs)


@pytest.mark.parametrize("function", ONE_BY_ONE, ids=lambda f: f.__name__)
def test_arrays_come_out_as_the_same_numbers_as_scalars(function: Callable[..., Any]) -> None:
    inputs = POSSIBLE[function]
    single = function(**inputs)
    first = next(iter(inputs))
    for shape in ((3,), (2, 3), (0,)):
        many = function(**{**inputs, first: np.full(shape, inputs[first], dtype=float)})
        assert many.shape == ((2, *shape) if function in PAIRS else shape)
        assert many.dtype == np.float64
        assert np.all(many == (single.reshape(2, *(1 for _ in shape)) if function in PAIRS else single))


@pytest.mark.parametrize("function", sorted(ALONG, key=lambda f: f.__name__), ids=lambda f: f.__name__)
def test_repeats_are_judged_one_by_one(function: Callable[..., Any]) -> None:
    first, *rest = POSSIBLE[function].values()
    repeats = [first, first[::-1], first]
    found = function(repeats, *rest)
    assert found.shape == ((3,) if function is bucket.variation else (3, len(first)))
    assert np.array_equal(found[0], function(first, *rest))
    with pytest.raises(ImpossibleValue, match="number of"):
        function([0.3], *rest)


def test_empty_heavier_than_full() -> None:
    with pytest.raises(ImpossibleValue, match=r"`empty_t` is 26 t; allowed: 0 to 25 t"):
        flow.dose_from_weighed(25, [9, 26], 1.02, 0.4)


def test_a_meter_does_not_run_backwards() -> None:
    with pytest.raises(ImpossibleValue, match="end_m3 - start_m3"):
        flow.dose_from_meter(118, 100, 1, 0.5)


def test_not_all_outlets_can_be_blocked() -> None:
    with pytest.raises(ImpossibleValue, match="outlets - blocked_outlets"):
        bucket.dose_of_open(30, 6, 6)


def test_outlets_that_give_nothing() -> None:
    assert bucket.blocked([0, 0, 0], 0.5).tolist() == [1, 1, 1]
    assert bucket.blocked([0, 0, 0.3], 0.5).tolist() == [1, 1, 0]
    for function in (bucket.off_median, bucket.off_others, bucket.variation):
        with pytest.raises(ImpossibleValue, match=r"(median|mean) of"):
            function([0.0, 0.0, 0.0])


def test_at_the_line_an_outlet_is_not_blocked() -> None:
    assert bucket.blocked([1.0, 1.0, 0.5], 0.5).tolist() == [0, 0, 0]
    assert bucket.blocked([1.0, 1.0, 0.499], 0.5).tolist() == [0, 0, 1]


def test_a_clogged_half_hides_in_its_own_median() -> None:
    assert bucket.blocked([0.1, 0.1, 0.1, 1.0], 0.5).sum() == 0


@pytest.mark.parametrize(
    ("apart", "error", "word"),
    [
        (0.0, 0.05, "right"),
        (-0.05, 0.0, "right"),
        (0.051, 0.0, "too much"),
        (-0.08, 0.02, "too little"),
        (0.0, 0.06, "in doubt"),
        (-0.07, 0.03, "in doubt"),
    ],
)
def test_a_verdict_counts_the_error(apart: float, error: float, word: str) -> None:
    assert verdict(apart, error, 0.05) == word


def test_choices_say_that_they_are() -> None:
    for key, row in load("bucket_test").items():
        standing = row.citation("value").standing
        expected = {"variation_limit_share": "read", "bucket_time_s": "memory"}.get(key, "choice")
        assert standing == expected, key
        entry = row.entry("value")
        assert entry.low <= entry.value <= entry.high
