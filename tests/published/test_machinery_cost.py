"""Ownership, repair and cost against printed examples and values worked out by hand."""

from __future__ import annotations

import pytest

from conftest import Check
from spadework.reference import Row, constants, load
from spadework.science import machinery as m

HAND = "worked out by hand from the equations as recalled"


def remaining(row: str, years: float, hours: float) -> float:
    cells = load("remaining_value_asae_d497")[row]
    c1, c2, c3 = (cells.entry(name).value for name in ("c1", "c2", "c3"))
    return float(m.remaining_value_asae_d497_7(c1, c2, c3, years, hours))


def repair(row: str, price: float, start: float, end: float) -> float:
    cells = load("repair_asae_d497")[row]
    return float(m.repair_asae_d497(price, cells.entry("rf1").value, cells.entry("rf2").value, start, end))


def test_remaining_value_of_a_tractor(check: Check) -> None:
    # Iowa State University Extension A3-29: 180 hp (134 kW), 15 years at 400 hours, list price 150 000 -> 23 %.
    source = "Iowa State University Extension A3-29, tractor example"
    ours = remaining("tractor_large", 15, 400)
    check("remaining value, tractor of 134 kW, 15 years, 400 h", source, 23, ours * 100, 0.5, unit="%")
    check("the same to four digits", HAND, 22.76, ours * 100, 0.005, unit="%", kind="computed")
    check("the same in money", HAND, 34_145.81, ours * 150_000, 0.005, unit="USD", kind="computed")


@pytest.mark.parametrize(
    ("row", "hours", "percent"),
    [
        ("tractor_small", 500, 31.05),
        ("tractor_medium", 500, 36.95),
        ("tractor_large", 500, 31.05),
        ("plough", 0, 33.26),
        ("other_tillage", 0, 29.50),
        ("planter", 0, 40.21),
        ("manure_spreader", 0, 35.04),
    ],
)
def test_remaining_value_after_ten_years(check: Check, row: str, hours: float, percent: float) -> None:
    ours = remaining(row, 10, hours) * 100
    check(
        f"remaining value after 10 years, {row.replace('_', ' ')}",
        HAND,
        percent,
        ours,
        0.005,
        unit="%",
        kind="computed",
    )


def test_capital_recovery(check: Check) -> None:
    # The bulletin rounds the factor to 0.117; half a unit of its last digit on 95 500 is 48.
    source = "Iowa State University Extension A3-29, tractor example, from memory"
    ours = m.capital_recovery(130_000, 34_500, 0.08, 15)
    note = "the bulletin rounds its factor to 0.117; tolerance is half a unit of that digit times 95 500"
    check("capital recovery of a tractor", source, 13_934, ours, 48, unit="USD/year", kind="memory", note=note)
    check("the same with the exact factor", HAND, 13_917.22, ours, 0.005, unit="USD/year", kind="computed")


@pytest.mark.parametrize(
    ("interest", "years", "factor"), [(0.05, 10, 0.129505), (0.06, 8, 0.161036), (0.08, 15, 0.116830)]
)
def test_capital_recovery_factor(check: Check, interest: float, years: float, factor: float) -> None:
    ours = m.capital_recovery_factor(interest, years)
    what = f"capital recovery factor, {interest:.0%}, {years} years"
    check(what, HAND, factor, ours, 0.0000005, unit="1/year", kind="computed")


def test_exam_exercise(check: Check) -> None:
    # An exercise copied widely prints 852 for price 6000, remaining 4000, 8 years, 6 %, upkeep 250; its own inputs give
    # 812.07, so the printed figure is not used.
    ours = m.capital_recovery(6000, 4000, 0.06, 8) + 250
    check("yearly cost of a machine of 6000", HAND, 812.07, ours, 0.005, unit="1/year", kind="computed")


def test_plough_per_year(check: Check) -> None:
    left = remaining("plough", 10, 0)
    capital = m.capital_recovery(20_000, 20_000 * left, 0.05, 10)
    check("capital recovery of a plough of 20 000", HAND, 2061.2, capital, 0.05, unit="EUR/year", kind="computed")
    holding = m.holding_cost(20_000, constants("machine_ownership").holding_share)
    check("tax, housing, insurance of the same", HAND, 400, holding, 0.5, unit="EUR/year", kind="computed")


def test_mower_per_hectare(check: Check) -> None:
    # Entraid, cost of mowing: 1.9 ha/h, tractor 20.90 EUR/h without fuel, 10.4 L/h at 1.15 EUR/L, labour 24 EUR/h;
    # 40.30 EUR/ha in all, 27.70 without labour; shares labour 31, tractor 27, machine 26, fuel 16 %.
    source = "Entraid, cost of mowing, French machinery cooperatives"
    time = 1 / 1.9
    labour = float(m.labour_cost(time, 1.0, 24))
    tractor = float(m.cost_per_hectare(20.90, time))
    fuel = float(m.fuel_cost(10.4 * time, 1.15))
    check("mowing without labour", source, 27.70, 40.30 - labour, 0.05, unit="EUR/ha", note="printed to 10 cents")
    for what, percent, ours in (
        ("labour", 31, labour),
        ("tractor", 27, tractor),
        ("fuel", 16, fuel),
        ("mower, as the rest", 26, 40.30 - labour - tractor - fuel),
    ):
        check(f"share of the cost of mowing, {what}", source, percent, ours / 40.30 * 100, 0.5, unit="%")


LIVES = [row for row in load("repair_asae_d497").values() if row.cells["standing"] != "choice"]
REPRODUCED = {
    "tractor_two_wheel_drive": 100.8, "tractor_four_wheel_drive": 76.8, "mouldboard_plough": 101.0, "heavy_disk": 58.5,
    "chisel_plough": 73.9, "field_cultivator": 71.3, "roller_packer": 39.4, "rotary_hoe": 60.7,
    "row_crop_cultivator": 78.1, "rotary_tiller": 81.0, "row_crop_planter": 75.0, "fertiliser_spreader": 79.9,
    "boom_sprayer": 69.5, "forage_harvester_drawn": 65.0, "forage_harvester_self_propelled": 48.0, "wagon": 79.3,
    "forage_wagon": 48.5,
}  # fmt: skip


@pytest.mark.parametrize("row", LIVES, ids=[row.key for row in LIVES])
def test_repair_over_a_life(check: Check, row: Row) -> None:
    # The table prints the sum over a life beside the two factors; both from memory, and they agree within 2 points,
    # in the row of tractors with four equal wheels or tracks within 3.2.
    ours = repair(row.key, 100, 0, row.entry("life_h").value)
    wide = row.key in {"tractor_four_wheel_drive", "tractor_tracks"}
    printed = row.entry("life_pct").value
    source = "ASAE D497.7, Table 3, from memory"
    check(
        f"repair over a life, {row.label}",
        source,
        printed,
        ours,
        3.2 if wide else 2,
        unit="% of list",
        kind="memory",
    )
    if row.key in REPRODUCED:
        what = f"the same from the two factors, {row.label}"
        check(what, HAND, REPRODUCED[row.key], ours, 0.05, unit="% of list", kind="computed")


@pytest.mark.parametrize(
    ("row", "price", "start", "end", "cost"),
    [
        ("tractor_two_wheel_drive", 150_000, 0, 6000, 37_800),
        ("tractor_four_wheel_drive", 130_000, 3000, 3500, 1267.50),
        ("mouldboard_plough", 20_000, 0, 1000, 5800),
        ("row_crop_planter", 40_000, 600, 700, 1673.71),
    ],
)
def test_repair_between_hours(check: Check, row: str, price: float, start: float, end: float, cost: float) -> None:
    ours = repair(row, price, start, end)
    what = f"repair, {row.replace('_', ' ')}, hours {start:g} to {end:g}"
    check(what, HAND, cost, ours, 0.005, unit="EUR", kind="computed")


def test_timeliness(check: Check) -> None:
    ours = m.timeliness_cost(0.01, 50, 15, 180, 2, 8, 2.3, 0.5)
    check("cost of being late, 50 ha of maize", HAND, 3668.48, ours, 0.005, unit="EUR/year", kind="computed")


def test_contractor_with_tax(check: Check) -> None:
    # Westphalian machinery rings: ploughing medium soil 92.00 net, 19 % -> 109.48; a farm at the flat rate of 10.7 %
    # counts 98.90 and 10.58 of tax in it.
    source = "Westphalian machinery rings, rates from 2017"
    gross = m.with_vat(constants("contract_rates").de_plough_medium, 0.19)
    net = m.without_vat(gross, 0.107)
    check("ploughing with 19 % of tax", source, 109.48, gross, 0.005, unit="EUR/ha")
    check("the same, net of 10.7 %", source, 98.90, net, 0.005, unit="EUR/ha")
    check("tax of 10.7 % in it", source, 10.58, gross - net, 0.005, unit="EUR/ha")
