"""Draft, power and traction against printed examples, and against values worked out by hand from the same equations."""

from __future__ import annotations

import numpy as np
import pytest

from conftest import Check
from draft_of_row import draft
from spadework.reference import constants, load
from spadework.science import machinery as m

HAND = "worked out by hand from the tables of ASAE D497.7 as recalled"
FT_M, MILE_KM, LBF_N, HP_KW = 0.3048, 1.609344, 4.4482216152605, 0.745699872


def test_textbook_chisel_plough(check: Check) -> None:
    # A textbook of agricultural engineering, metric problem of appendix V: 13.7 m of chisel plough at 0.3 m spacing, so
    # 45 tools, 10 km/h, 15 cm.  The book takes 0.7 for medium soil where the table as recalled has 0.85.
    row = load("draft_asae_d497")["chisel_5cm"]
    a, b, c = (row.entry(name).value for name in ("a", "b", "c"))
    ours = m.draft_asae_d497(0.7, a, b, c, 45, 10, 15)
    book = "textbook of agricultural engineering, appendix V, metric draft problem"
    note = "the power of 113 kW that the book prints does not follow from its own inputs and is not used"
    check("draft, chisel plough of 45 tools", book, 68_512.5, ours, 0.05, unit="N", note=note)
    check("drawbar power of the same", HAND, 190.3, m.drawbar_power(ours, 10), 0.05, unit="kW", kind="computed")
    table = draft("chisel_5cm", "medium", 45, 10, 15)
    check("draft of the same with the table's soil factor", HAND, 83_193.75, table, 0.005, unit="N", kind="computed")


def test_extension_disc_harrow(check: Check) -> None:
    # Iowa State University Extension A3-26 (2007): 24 ft tandem disc, 6.0 mph, 200 lb/ft, soil factor 1.5,
    # 115 hp at the take-off.
    speed_km_h = 6.0 * MILE_KM
    drawbar_kw = m.drawbar_power(24 * 200 * LBF_N, speed_km_h)
    ours = m.pto_power_for_drawbar(drawbar_kw, 1 / 1.5) / HP_KW
    source = "Iowa State University Extension A3-26 (2007), tandem disc example"
    check("power at the take-off, tandem disc of 24 ft", source, 115, ours, 0.5, unit="hp")


@pytest.mark.parametrize(("texture", "kilonewtons"), [("fine", 4.71), ("medium", 3.30), ("coarse", 2.12)])
def test_injector_tine(check: Check, texture: str, kilonewtons: float) -> None:
    ours = draft("subsoil_narrow", texture, 1, 7, 15) / 1000
    check(f"draft, injector tine at 15 cm, {texture} soil", HAND, kilonewtons, ours, 0.005, unit="kN", kind="computed")


@pytest.mark.parametrize(
    ("what", "row", "texture", "units", "speed", "depth", "newtons", "kilowatts"),
    [
        ("plough 2.0 m, medium soil", "mouldboard", "medium", 2.0, 7, 25, 31_566.5, 61.38),
        ("plough 2.0 m, fine soil", "mouldboard", "fine", 2.0, 7, 25, 45_095.0, 87.68),
        ("chisel plough, 10 tools, medium soil", "chisel_sweep", "medium", 10, 8, 20, 26_758.0, 59.46),
        ("tandem disc 3 m, medium soil", "disk_tandem_prim", "medium", 3, 10, 8, 9_905.3, 27.51),
        ("planter 8 rows, drawn", "planter_drawn_full", "medium", 8, 9, 1, 12_400.0, 31.00),
        ("strip-till tines alone, 8 rows", "subsoil_narrow", "medium", 8, 7, 25, 43_988.0, 85.53),
    ],
)
def test_draft_and_drawbar_power(
    check: Check,
    what: str,
    row: str,
    texture: str,
    units: float,
    speed: float,
    depth: float,
    newtons: float,
    kilowatts: float,
) -> None:
    ours = draft(row, texture, units, speed, depth)
    check(f"draft, {what}", HAND, newtons, ours, 0.05, unit="N", kind="computed")
    check(f"drawbar power, {what}", HAND, kilowatts, m.drawbar_power(ours, speed), 0.005, unit="kW", kind="computed")


def test_strip_till_row(check: Check) -> None:
    # Medium soil 10.69 kW at the drawbar per row, fine soil 15.27; over 0.73 and 0.87 that is 16.8 and
    # 24.0 kW of engine.
    ratio = load("drawbar_pto_ratio_asae_d497")["front_wheel_assist"].entry("tilled").value
    for texture, drawbar, engine in (("medium", 10.69, 16.8), ("fine", 15.27, 24.0)):
        ours = m.drawbar_power(draft("subsoil_narrow", texture, 1, 7, 25), 7)
        check(f"drawbar power per tine, {texture} soil", HAND, drawbar, ours, 0.005, unit="kW", kind="computed")
        behind = m.pto_power_for_drawbar(ours, ratio) / 0.87
        check(f"engine power per tine, {texture} soil", HAND, engine, behind, 0.05, unit="kW", kind="computed")


def test_strip_till_unit_against_tractors_seen(check: Check) -> None:
    # Profi, slurry injectors for row crops: 25 to 35 hp of tractor per row at depths of 10 to 30 cm.
    newtons = 0.0
    for part in load("strip_till_unit").values():
        depth = 25.0 if part.text("depth_is") == "tine" else part.entry("depth_cm").value
        newtons += draft(part.text("draft_row"), "medium", part.entry("units_per_row").value, 7, depth)
    ratio = load("drawbar_pto_ratio_asae_d497")["front_wheel_assist"].entry("tilled").value
    pto = m.pto_power_for_drawbar(m.drawbar_power(newtons, 7), ratio)
    engine = pto / constants("tractor").pto_per_engine
    seen = constants("tractor_size")["strip_injector_row"]
    check(
        "engine power per row of the constructed strip-till unit, 25 cm, 7 km/h, medium soil",
        "Profi, slurry injectors for row crops, 25 to 35 hp per row",
        seen.value,
        engine,
        seen.high - seen.value,
        unit="kW",
        note="tolerance is the printed range; the tractors also pull and pump, the unit alone is compared",
    )


@pytest.mark.parametrize(
    ("surface", "coefficient"), [("hard", 0.0525), ("firm", 0.0582), ("tilled", 0.0650), ("soft", 0.0900)]
)
def test_rolling_coefficient(check: Check, surface: str, coefficient: float) -> None:
    ours = m.rolling_coefficient_brixius(load("rolling")[surface].entry("wheel_number").value)
    source = "worked out by hand from Brixius (1987) as recalled"
    check(f"rolling coefficient, {surface}", source, coefficient, ours, 0.00005, unit="1", kind="computed")


def test_tanker_on_firm_soil(check: Check) -> None:
    ours = m.draft_towed(28, m.rolling_coefficient_brixius(load("rolling")["firm"].entry("wheel_number").value), 0, 0)
    check("pull of a tanker of 28 t on firm soil", HAND, 15_976, ours, 0.5, unit="N", kind="computed")


BRIXIUS = [
    ("hard", 0.3588, 0.0559, 0.3029, 0.7937, 0.800, 0.080),
    ("firm", 0.4702, 0.0642, 0.4059, 0.7856, 0.786, 0.085),
    ("tilled", 0.5527, 0.0745, 0.4782, 0.7614, 0.769, 0.090),
    ("soft", 0.5539, 0.1068, 0.4471, 0.6861, 0.695, 0.113),
]


@pytest.mark.parametrize(("surface", "gross", "resistance", "net", "efficiency", "best", "best_slip"), BRIXIUS)
def test_traction(
    check: Check,
    surface: str,
    gross: float,
    resistance: float,
    net: float,
    efficiency: float,
    best: float,
    best_slip: float,
) -> None:
    row = load("rolling")[surface]
    number, slip = row.entry("wheel_number").value, row.entry("slip_share").value
    source = "worked out by hand from Brixius (1987) as recalled"
    thrust = m.gross_traction_brixius(1, number, slip)
    rolling = m.motion_resistance_brixius(1, number, slip)
    pull = m.net_traction(thrust, rolling)
    share = m.tractive_efficiency(pull, thrust, slip)
    for what, theirs, ours in (
        ("gross traction per load", gross, thrust),
        ("motion resistance per load", resistance, rolling),
        ("net traction per load", net, pull),
        ("tractive efficiency", efficiency, share),
    ):
        check(f"{what}, {surface}, slip {slip:g}", source, theirs, ours, 0.00005, unit="1", kind="computed")
    slips = np.linspace(0.02, 0.30, 281)
    thrust = m.gross_traction_brixius(1, number, slips)
    shares = m.tractive_efficiency(m.net_traction(thrust, m.motion_resistance_brixius(1, number, slips)), thrust, slips)
    check(f"best tractive efficiency, {surface}", source, best, shares.max(), 0.0005, unit="1", kind="computed")
    found = slips[shares.argmax()]
    check(
        f"slip at the best tractive efficiency, {surface}", source, best_slip, found, 0.001, unit="1", kind="computed"
    )


def test_slurry_pump(check: Check) -> None:
    ours = m.pump_power(300, 3, 0.5)
    check(
        "power of a slurry pump, 300 kPa, 3 m3/min",
        "physics, worked out by hand",
        30,
        ours,
        0.5,
        unit="kW",
        kind="computed",
    )
