"""Grip, slip and the tractor that is large enough, against values worked out by hand and figures of practice."""

from __future__ import annotations

import numpy as np
import pytest

from conftest import Check
from passes_made import ANY_LIMITS, call
from spadework.reference import constants, load
from spadework.science.machinery.pull import grip, match, measured, pulling

HAND = "worked out by hand from Brixius (1987) as recalled"
SCENE = "scene worked out by hand with a fixed tractive efficiency of 0.65"
TANK = "worked out by hand"

# ground, gross traction, motion resistance, net traction per load and tractive efficiency at the middle of the best
# slips recalled; largest tractive efficiency and the slip at which it stands
BRIXIUS = [
    ("hard", 0.3588, 0.0559, 0.3029, 0.7937, 0.800, 0.080),
    ("firm", 0.4702, 0.0642, 0.4059, 0.7856, 0.786, 0.085),
    ("tilled", 0.5527, 0.0745, 0.4782, 0.7614, 0.769, 0.090),
    ("soft", 0.5539, 0.1068, 0.4471, 0.6861, 0.695, 0.113),
]


def wheel_number(ground: str) -> float:
    return load("rolling")[ground].entry("wheel_number").value


def best_slip(ground: str) -> tuple[float, float]:
    """Return the largest drawbar power per axle power, and the slip there, by way of the pull."""
    number = wheel_number(ground)
    ratios = np.linspace(0.1, 0.5, 40_001)
    slips = grip.slip_for_pull_brixius(ratios, number)
    shares = ratios * 5 / 3.6 / grip.axle_power_brixius(1, number, slips, 5)
    return float(shares.max()), float(slips[shares.argmax()])


@pytest.mark.parametrize(("ground", "gross", "resistance", "net", "efficiency", "best", "slip_there"), BRIXIUS)
def test_wheel_read_backwards(
    check: Check,
    ground: str,
    gross: float,
    resistance: float,
    net: float,
    efficiency: float,
    best: float,
    slip_there: float,
) -> None:
    number, slip = wheel_number(ground), load("rolling")[ground].entry("slip_share").value
    most = grip.most_pull_ratio_brixius(number, slip)
    # the wheel's rim at 3.6 km/h: power in kW is thrust in kN
    thrust = grip.axle_power_brixius(1, number, slip, 3.6 * (1 - slip))
    share = most * (1 - slip) / thrust
    for what, theirs, ours in (
        ("axle power per load and speed of the rim", gross, thrust),
        ("axle power less the pull", resistance, thrust - most),
        ("largest pull per load at no more slip", net, most),
        ("drawbar power per axle power", efficiency, share),
    ):
        check(f"{what}, {ground}, slip {slip:g}", HAND, theirs, ours, 0.00005, unit="1", kind="computed")
    # half a digit of the pull is less than half a digit of the slip: pull grows faster than slip on every ground
    found = grip.slip_for_pull_brixius(net, number)
    check(f"slip for a pull of {net} of the load, {ground}", HAND, slip, found, 0.00005, unit="1", kind="computed")
    ours, there = best_slip(ground)
    check(f"best drawbar power per axle power, {ground}", HAND, best, ours, 0.0005, unit="1", kind="computed")
    check(f"slip for the best of it, {ground}", HAND, slip_there, there, 0.0005, unit="1", kind="computed")


def _band(ground: str) -> tuple[float, float, float]:
    """Return middle and half breadth of the band, whose ends are whole per cents, and our best slip."""
    entry = load("rolling")[ground].entry("slip_share")
    return entry.value, (entry.high - entry.low) / 2 + 0.005, best_slip(ground)[1]


@pytest.mark.parametrize("ground", ["hard", "firm"])
def test_best_slip_lies_in_the_band_recalled(check: Check, ground: str) -> None:
    middle, half, ours = _band(ground)
    note = "tolerance: the band, with half a per cent for its whole per cents; that of hard ground is for concrete"
    source = "ASAE D497, clause on tractive performance, as recalled"
    check(f"best slip, {ground}", source, middle, ours, half, unit="1", kind="memory", note=note)


@pytest.mark.xfail(
    reason="on ground that gives, the wheel equations are best at less slip than the standard's bands, as recalled: "
    "0.090 against 0.11 to 0.13 on tilled and 0.113 against 0.14 to 0.16 on soft soil",
    strict=True,
)
@pytest.mark.parametrize("ground", ["tilled", "soft"])
def test_best_slip_lies_in_the_band_recalled_on_loose_ground(ground: str) -> None:
    middle, half, ours = _band(ground)
    assert abs(ours - middle) <= half


@pytest.mark.parametrize("ground", ["tilled", "soft"])
def test_slip_in_the_band_costs_little(check: Check, ground: str) -> None:
    # The bands of loose ground lie beyond the best slip of the equations, where the curve is flat.
    best, _ = best_slip(ground)
    efficiency = {row[0]: row[4] for row in BRIXIUS}[ground]
    what = f"tractive efficiency at the middle of the band against the best, {ground}"
    check(what, HAND, 1.0, efficiency / best, 0.02, unit="1", kind="computed", note="the best is flat")


# 118 kW, 8 t on firm soil, six tines of 6 kN and 19 kN of tanker, 20 kW of pump.  The scene gives no hitch load.
def scene(speed_km_h: float) -> dict[str, float]:
    return {
        "speed_km_h": speed_km_h,
        "deep_0_n": 36_000,
        "deep_1_n_h_km": 0,
        "deep_2_n_h2_km2": 0,
        "other_0_n": 0,
        "other_1_n_h_km": 0,
        "other_2_n_h2_km2": 0,
        "towed_n": 19_000,
        "pump_kw": 20,
        "rotary_kw": 0,
        "tractor_t": 8,
        "driven_share": constants("tractor_grip").front_wheel_assist,
        "hitch_t": 0,
        "rolling_coefficient": 0.0582,
        "slope_share": 0,
        "wheel_number": wheel_number("firm"),
        "axle_per_pto": constants("tractor_grip").axle_per_pto,
    }


@pytest.mark.parametrize(("speed", "axle", "needed"), [(7, 164, 184), (4, 94, 114)])
def test_tractor_of_118_kw_before_six_tines_and_a_tanker(
    check: Check, speed: float, axle: float, needed: float
) -> None:
    planned = scene(speed)
    load_kn = grip.driven_load(planned["tractor_t"], planned["driven_share"], planned["hitch_t"])
    slip = grip.slip_for_pull_brixius(grip.pull_ratio(55, load_kn), planned["wheel_number"])
    assert slip > 0.20
    ours = grip.axle_power_brixius(load_kn, planned["wheel_number"], slip, speed)
    note = "ours follows the slip; the tolerance is one tenth, a tractive efficiency of 0.59 to 0.72 in place of the fixed one"
    check(f"axle power at {speed} km/h", SCENE, axle, ours, axle / 10, unit="kW", kind="computed", note=note)
    total = call(pulling.needed_at, **planned, **ANY_LIMITS, at_speed_km_h=speed)
    note = "the scene adds axle and pump; ours has the way from the take-off to the axle in it too"
    what = f"power at the take-off at {speed} km/h"
    check(what, SCENE, needed, total, needed / 10, unit="kW", kind="computed", note=note)
    assert (total > 118) == (speed == 7)


def test_what_the_tractor_of_118_kw_manages() -> None:
    # Seven is too fast and four just possible; a third fewer rows do not do at seven either.
    limits = {"rated_pto_kw": 118, "slip_most_share": constants("tractor_grip").working_slip_most}
    assert 4 < call(match.most_speed, **scene(7), **limits) < 5
    share = call(match.most_width_share, **scene(7), **limits)
    assert match.rows_possible(share, 6) < 4


BALLAST = "tractor operator's manual, page on ballast"
LB_KG, HP_KW = 0.45359237, 0.745699872


def _ballast() -> tuple[float, float, float]:
    entry = constants("tractor_grip")["ballast_kg_kw"]
    return entry.low, entry.value, entry.high


def test_ballast_as_printed_in_pounds(check: Check) -> None:
    # The page prints 41, 45 and 48 kg/kW beside these pounds: multiplied where they should be divided by kW per hp.
    for what, pounds, ours in zip(("light", "medium", "heavy"), (120, 130, 140), _ballast(), strict=True):
        theirs = pounds * LB_KG / HP_KW
        note = f"{pounds} lb/hp as printed; the kg/kW printed beside it do not follow from the pounds"
        check(f"mass of the tractor per power, {what}", BALLAST, theirs, ours, 0.5, unit="kg/kW", note=note)


def test_fuel_refilled_after_too_small_a_strip(check: Check) -> None:
    area = 300 * 4.5 / 10_000
    check("strip of 300 m and 4.5 m", TANK, 0.135, area, 0.0005, unit="ha", kind="computed")
    error = measured.fuel_error_of_refill(2, area)
    check("diesel, error of +/-2 L on that strip", TANK, 15, error, 0.5, unit="L/ha", kind="computed")
    check(
        "diesel, 4.2 L on that strip",
        TANK,
        31,
        measured.fuel_error_of_refill(4.2, area),
        0.5,
        unit="L/ha",
        kind="computed",
    )
    share = measured.fuel_error_of_refill(0.5, area) / 12
    check("error of +/-0.5 L there, of 12 L/ha", TANK, 0.31, share, 0.005, unit="1", kind="computed")
    check(
        "area for +/-5 % of 12 L/ha with +/-0.5 L",
        TANK,
        0.83,
        measured.area_for_refill(0.5, 12, 0.05),
        0.005,
        unit="ha",
        kind="computed",
    )
