"""Rates of work, doses, flows and tanker rounds against printed examples and values worked out by hand."""

from __future__ import annotations

import pytest

from conftest import Check
from spadework.reference import constants
from spadework.science import machinery as m

FT_M, MILE_KM, ACRE_HA, GAL_M3 = 0.3048, 1.609344, 0.40468564224, 0.003785411784
HAND = "worked out by hand"
IOWA = "Iowa State University Extension A3-24, Table 1, and PM 696 (2001)"

# machine, width ft, speed mph, field efficiency %, acres per hour as printed
PRINTED = [
    ("machine", 10, 5, 63, 3.8),
    ("machine", 15, 5, 63, 5.7),
    ("machine", 20, 6, 63, 9.2),
    ("machine", 30, 6, 60, 13.1),
    ("machine", 36, 5, 60, 13.1),
    ("machine", 45, 5, 60, 16.4),
    ("machine", 40, 6, 70, 20.4),
    ("machine", 60, 6, 68, 29.7),
    ("machine", 60, 12, 68, 59.3),
    ("machine", 80, 6, 68, 39.6),
    ("plough 7 x 16 in", 7 * 16 / 12, 5, 85, 4.8),
    ("plough 8 x 16 in", 8 * 16 / 12, 5, 85, 5.5),
    ("plough 8 x 18 in", 8 * 18 / 12, 5, 85, 6.2),
    ("plough 10 x 18 in", 10 * 18 / 12, 5, 83, 7.5),
    ("plough 12 x 18 in", 12 * 18 / 12, 5, 83, 9.1),
    ("chisel plough", 11.25, 5.5, 85, 6.4),
    ("chisel plough", 13.75, 5.5, 85, 7.8),
    ("chisel plough", 16.25, 5.5, 83, 9.0),
]


@pytest.mark.parametrize(("machine", "feet", "mph", "percent", "acres"), PRINTED)
def test_printed_rates_of_work(
    check: Check, machine: str, feet: float, mph: float, percent: float, acres: float
) -> None:
    ours = m.field_capacity(mph * MILE_KM, feet * FT_M, percent / 100) / ACRE_HA
    what = f"rate of work, {machine}, {feet:.4g} ft, {mph:g} mph, {percent} %"
    check(what, IOWA, acres, ours, 0.05, unit="ac/h")


def test_rate_of_work_in_metres(check: Check) -> None:
    ours = m.field_capacity(8, 18.33, 0.80)
    check("rate of work, 18.33 m, 8 km/h, 80 %", "GRDC machinery note", 11.73, ours, 0.005, unit="ha/h")


def test_plot_is_not_a_farm(check: Check) -> None:
    # One length of 100 m at 7 km/h takes 51.4 s; with a turn of 20 s the efficiency is 0.72.
    area = 100 * 3 / 10_000
    working = m.working_time_rectangle(area, 100, 3, 7)
    check("one length of 100 m at 7 km/h", HAND, 51.4, working * area * 3600, 0.05, unit="s", kind="computed")
    ours = m.field_efficiency_from_times(working, 1, 0, 20 / 3600 / area)
    check("field efficiency of that plot with a turn of 20 s", HAND, 0.72, ours, 0.005, unit="1", kind="computed")


def test_dose_from_a_timed_tank(check: Check) -> None:
    # A spreader operator's manual, appendix on rates: 14 550 L out in 3 min, 11.5 m, 9.6 km/h.
    manual = "manure spreader operator's manual, appendix on rates"
    flow = 14.55 / 3
    dose = m.dose_from_flow(flow, 11.5, 9.6)
    check("dose, 14 550 L in 3 min over 11.5 m at 9.6 km/h", manual, 26_359, dose * 1000, 0.5, unit="L/ha")


def test_speed_for_a_target(check: Check) -> None:
    # The same manual multiplies the speed by known over wanted dose: 9.6 x 20 000 / 26 359 = 7.28 km/h.
    manual = "manure spreader operator's manual, appendix on rates"
    ours = m.speed_for_dose(m.pump_flow(20.0, 11.5, 9.6), 11.5, 26.359)
    note = "read as: 20 000 L/ha found at 9.6 km/h, 26 359 L/ha wanted"
    check("speed for another dose at the same flow", manual, 7.28, ours, 0.005, unit="km/h", note=note)


def test_dose_from_counted_loads(check: Check) -> None:
    # Michigan State University Extension E2825: 100 loads of 3000 US gal on 60 ac.
    ours = m.dose_from_loads(100, 3000 * GAL_M3, 60 * ACRE_HA)
    us = ours * ACRE_HA / GAL_M3
    check(
        "dose, 100 loads of 3000 US gal on 60 ac",
        "Michigan State University Extension E2825",
        5000,
        us,
        0.5,
        unit="gal/ac",
    )
    check("the same in cubic metres per hectare", HAND, 46.77, ours, 0.005, unit="m3/ha", kind="computed")


@pytest.mark.parametrize(("way", "travel", "round_", "throughput", "rate"), [(2, 8.23, 23.79, 45.39, 1.135), (5, None, 36.13, 29.89, 0.747)])  # fmt: skip  # noqa: E501
def test_tanker_round(
    check: Check, way: float, travel: float | None, round_: float, throughput: float, rate: float
) -> None:
    # 18 m3, filled at 4.5 m3/min, 2 min of coupling, 25 km/h full and 35 empty, 40 m3/ha, 6 m, 7 km/h,
    # efficiency 0.85, 2 min in the field.
    standing = m.refill_at_store(18, 4.5, 2, 0, 25, 35)
    refill = m.refill_at_store(18, 4.5, 2, way, 25, 35)
    cycle = m.cycle_time(refill, 18, 40, 6, 7, 0.85, 2)
    capacity = m.cycle_capacity(18, cycle)
    check("filling and coupling", HAND, 6.00, standing, 0.005, unit="min", kind="computed")
    if travel is not None:
        check(f"travel, {way} km", HAND, travel, refill - standing, 0.005, unit="min", kind="computed")
    check("unloading", HAND, 7.56, cycle - refill - 2, 0.005, unit="min", kind="computed")
    check(f"round of a tanker, {way} km", HAND, round_, cycle, 0.005, unit="min", kind="computed")
    check(f"throughput of a tanker, {way} km", HAND, throughput, capacity, 0.005, unit="m3/h", kind="computed")
    check(
        f"rate of work of a tanker, {way} km",
        HAND,
        rate,
        m.area_rate(capacity, 40),
        0.0005,
        unit="ha/h",
        kind="computed",
    )
    check("flow at work", HAND, 2.800, m.pump_flow(40, 6, 7), 0.0005, unit="m3/min", kind="computed")


def test_umbilical(check: Check) -> None:
    check("rate of work at 120 m3/h and 40 m3/ha", HAND, 3.0, m.area_rate(120, 40), 0.05, unit="ha/h", kind="computed")
    speed = m.speed_for_dose(120 / 60, 6, 40)
    check("speed at 120 m3/h, 6 m and 40 m3/ha", HAND, 5.0, speed, 0.05, unit="km/h", kind="computed")
    rates = constants("contract_rates")
    cost = m.umbilical_cost(2, rates.ie_umbilical_set_up, 10, 40, 100, rates.ie_umbilical_pumping)
    source = "worked out by hand from the draft rates of Farm Contractors Ireland 2018"
    check("cost of 10 ha by umbilical hose", source, 76, cost, 0.5, unit="EUR/ha", kind="computed")
    check("the same per volume", source, 1.90, cost / 40, 0.005, unit="EUR/m3", kind="computed")
