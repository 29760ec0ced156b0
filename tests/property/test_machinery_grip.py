"""Properties of grip and of the match between tractor and pass: monotony, limits, energy, independence of scale."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from passes_made import ANY_LIMITS, call
from spadework.science.machinery.pull import grip, match, measured, pulling


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


NUMBER, PART, LOAD, SPEED = between(3, 200), between(0, 0.999), between(5, 300), between(0.5, 20)
TRACTOR, DRIVEN, HITCH = between(2, 30), between(0.5, 1), between(0, 8)
ROLLING, SLOPE, POWER = between(0.04, 0.15), between(-0.1, 0.1), between(10, 600)
GRIP_LEFT = 1e-9


def ratio_at(number: float, part: float) -> float:
    """Return a pull ratio between rolling freely and the most that the ground gives."""
    most = float(grip.most_pull_ratio_brixius(number, 1))
    return -1 / number + part * (most + 1 / number)


PASS = st.fixed_dictionaries(
    {
        "speed_km_h": between(1, 15),
        "deep_0_n": between(0, 60_000),
        "deep_1_n_h_km": between(0, 3_000),
        "deep_2_n_h2_km2": between(0, 300),
        "other_0_n": between(0, 20_000),
        "other_1_n_h_km": between(0, 500),
        "other_2_n_h2_km2": between(0, 50),
        "towed_n": between(-5_000, 30_000),
        "pump_kw": between(0, 40),
        "rotary_kw": between(0, 80),
        "tractor_t": TRACTOR,
        "driven_share": DRIVEN,
        "hitch_t": HITCH,
        "rolling_coefficient": ROLLING,
        "slope_share": SLOPE,
        "wheel_number": between(15, 100),
        "axle_per_pto": between(0.9, 1),
    }
)
DRAFT = ("speed_km_h", *(f"{kind}_{unit}" for kind in ("deep", "other") for unit in ("0_n", "1_n_h_km", "2_n_h2_km2")))
TOLERANCE = 1.0001e-4


def needed(planned: dict[str, float], speed: float, depth: float, width: float) -> float:
    """Return the power of a planned pass at another speed, to which the pump keeps."""
    at = {"at_speed_km_h": speed, "depth_share": depth, "width_share": width}
    return float(call(pulling.needed_at, **planned, **ANY_LIMITS, **at))


def slip(planned: dict[str, float], speed: float, depth: float, width: float) -> float:
    parts = {name: planned[name] for name in DRAFT[1:]}
    tools = pulling.pass_draft(speed_km_h=speed, depth_share=depth, width_share=width, **parts)
    wheels = grip.wheel_pull(
        tools + planned["towed_n"],
        planned["tractor_t"],
        planned["driven_share"],
        planned["rolling_coefficient"],
        planned["slope_share"],
    )
    load = grip.driven_load(planned["tractor_t"], planned["driven_share"], planned["hitch_t"])
    return float(grip.slip_for_pull_brixius(grip.pull_ratio(wheels, load), planned["wheel_number"]))


@given(NUMBER, PART)
def test_slip_gives_the_pull_that_was_asked_for(number: float, part: float) -> None:
    ratio = ratio_at(number, part)
    found = grip.slip_for_pull_brixius(ratio, number)
    assert 0 <= found <= 1
    assert grip.most_pull_ratio_brixius(number, found) == pytest.approx(ratio, abs=1e-10)


@given(NUMBER, PART, PART)
def test_more_pull_more_slip(number: float, one: float, other: float) -> None:
    low, high = sorted((one, other))
    slips = grip.slip_for_pull_brixius([ratio_at(number, low), ratio_at(number, high)], number)
    assert slips[0] <= slips[1]
    assert slips[0] < slips[1] or high - low < 1e-6


@given(NUMBER, PART, LOAD, between(1.01, 3))
def test_more_load_or_firmer_ground_less_slip(number: float, part: float, load: float, more: float) -> None:
    pull = ratio_at(number, part) * load
    assume(pull > 0.01 * load)
    base = grip.slip_for_pull_brixius(grip.pull_ratio(pull, load), number)
    assert grip.slip_for_pull_brixius(grip.pull_ratio(pull, load * more), number) < base
    assert grip.slip_for_pull_brixius(grip.pull_ratio(pull, load), number * more) < base


@given(NUMBER, between(-5, 0))
def test_pushed_wheels_do_not_slip(number: float, below: float) -> None:
    assert grip.slip_for_pull_brixius(-1 / number + below, number) == 0


@given(NUMBER, between(1e-9, 5))
def test_no_slip_gives_more_than_the_most(number: float, more: float) -> None:
    with pytest.raises(grip.NoGrip, match="no grip") as caught:
        grip.slip_for_pull_brixius([0, grip.most_pull_ratio_brixius(number, 1) + more], number)
    assert caught.value.ratio > caught.value.most


@given(NUMBER, between(0, 0.95), between(0, 0.95))
def test_most_pull_never_falls_with_the_slip_allowed(number: float, one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert grip.most_pull_ratio_brixius(number, low) <= grip.most_pull_ratio_brixius(number, high) + 1e-12


@given(NUMBER, PART, LOAD, SPEED, between(1.1, 3))
def test_no_power_out_of_nothing(number: float, part: float, load: float, speed: float, more: float) -> None:
    ratio = ratio_at(number, part)
    found = grip.slip_for_pull_brixius(ratio, number)
    axle = grip.axle_power_brixius(load, number, found, speed)
    assert axle > ratio * load * speed / 3.6
    assert grip.pto_power_for_axle(axle, 0.96) > axle
    # load and speed only scale it
    assert grip.axle_power_brixius(load * more, number, found, speed) == pytest.approx(axle * more)
    assert grip.axle_power_brixius(load, number, found, speed * more) == pytest.approx(axle * more)


@given(TRACTOR, DRIVEN, HITCH, ROLLING, SLOPE, between(0, 60_000))
def test_forces_balance(tractor: float, driven: float, hitch: float, rolling: float, slope: float, pull: float) -> None:
    load = grip.driven_load(tractor, driven, hitch)
    assert load == pytest.approx(
        grip.driven_load(tractor, driven, 0) + grip.driven_load(hitch, 1, 0) if hitch else load
    )
    own = grip.wheel_pull(0, tractor, driven, rolling, slope)
    assert grip.wheel_pull(pull, tractor, driven, rolling, slope) == pytest.approx(own + pull / 1000)
    assert own >= grip.wheel_pull(0, tractor, 1, rolling, slope)
    assert grip.wheel_pull(0, tractor, 1, rolling, -slope) == pytest.approx(
        -grip.wheel_pull(0, tractor, 1, rolling, slope)
    )
    assert grip.wheel_pull(0, tractor, 1, rolling, 0) == 0


@given(PASS, PART, PART, between(0.1, 1))
def test_draft_grows_with_depth_speed_and_width(
    planned: dict[str, float], one: float, other: float, part: float
) -> None:
    low, high = sorted((one, other))
    parts = {name: planned[name] for name in DRAFT[1:]}
    speed = planned["speed_km_h"]
    for least, most in (
        (pulling.pass_draft(speed, low, part, **parts), pulling.pass_draft(speed, high, part, **parts)),
        (pulling.pass_draft(speed, part, low, **parts), pulling.pass_draft(speed, part, high, **parts)),
        (pulling.pass_draft(speed * part, 1, 1, **parts), pulling.pass_draft(speed, 1, 1, **parts)),
    ):
        assert least <= most * (1 + 1e-12)
    assert pulling.pass_draft(speed, 1, part, **parts) == pytest.approx(part * pulling.pass_draft(speed, 1, 1, **parts))
    assert pulling.pass_draft(speed, 1, 0, **parts) == 0


SOLVERS = {
    "speed": (match.most_speed, lambda planned, value: (value, 1.0, 1.0)),
    "depth": (match.most_depth_share, lambda planned, value: (planned["speed_km_h"], value, 1.0)),
    "width": (match.most_width_share, lambda planned, value: (planned["speed_km_h"], 1.0, value)),
}


@pytest.mark.parametrize("what", SOLVERS)
@given(planned=PASS, rated=POWER, slip_most=between(0.1, 0.4), part=between(0.5, 1))
def test_what_the_tractor_manages(
    what: str, planned: dict[str, float], rated: float, slip_most: float, part: float
) -> None:
    most, at = SOLVERS[what]
    meant = planned["speed_km_h"] if what == "speed" else 1.0
    least = 0.5 if what == "speed" else 0.0
    value = float(call(most, **planned, rated_pto_kw=rated, slip_most_share=slip_most))
    assert 0 <= value <= meant

    def does(tried: float) -> bool:
        try:
            power, found = needed(planned, *at(planned, tried)), slip(planned, *at(planned, tried))
        except grip.NoGrip:
            return False
        return power <= rated * (1 + GRIP_LEFT) and found <= slip_most + GRIP_LEFT

    if value > 0:
        assert does(value)
    if value == 0 and what == "speed":
        assert not does(least)
    if value < meant and (value > 0 or does(least)):
        assert not does(value + 2 * TOLERANCE * meant) or value + 2 * TOLERANCE * meant > meant
    # a smaller tractor, and one that may slip less, never manages more
    for rated_less, slip_less in ((rated * part, slip_most), (rated, slip_most * part)):
        less = call(most, **planned, rated_pto_kw=rated_less, slip_most_share=slip_less)
        assert less <= value + TOLERANCE * meant


@given(between(0, 1), st.integers(1, 24))
def test_whole_rows(share: float, rows: int) -> None:
    whole = float(match.rows_possible(share, rows))
    assert whole == int(whole)
    assert share * rows - 1 <= whole <= share * rows + 1e-8
    assert match.rows_possible(whole / rows, rows) == whole


@given(between(0.1, 10), between(100, 1e4))
def test_measured_factor_turns_the_model_into_the_measurement(factor: float, modelled: float) -> None:
    assume(0.101 < factor < 9.99)
    assert measured.measured_draft_factor(factor * modelled, modelled) * modelled == pytest.approx(factor * modelled)


@given(between(0.1, 20), between(1, 100), between(0.01, 1))
def test_area_for_a_refill_has_the_wanted_error(error: float, fuel: float, wanted: float) -> None:
    area = measured.area_for_refill(error, fuel, wanted)
    assert measured.fuel_error_of_refill(error, area) == pytest.approx(fuel * wanted)


@given(between(-1e6, 1e6), between(-1e6, 1e6))
def test_one_of_two(found: float, model: float) -> None:
    assert measured.measured_or_modelled(found, model, [1, 0]).tolist() == [found, model]


@given(st.lists(st.tuples(between(1, 200), PART), min_size=1, max_size=20))
def test_many_at_once_are_as_one_by_one(pairs: list[tuple[float, float]]) -> None:
    numbers = np.array([number for number, _ in pairs])
    ratios = np.array([ratio_at(number, part) for number, part in pairs])
    together = grip.slip_for_pull_brixius(ratios, numbers)
    alone = [float(grip.slip_for_pull_brixius(r, n)) for r, n in zip(ratios, numbers, strict=True)]
    assert together.tolist() == pytest.approx(alone, abs=1e-7)
