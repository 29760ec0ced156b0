"""Supply of slurry against printed examples, rounds worked out by hand and what farms report."""

from __future__ import annotations

import pytest

from conftest import Check
from spadework.reference import constants
from spadework.science.machinery.pull.outfit import road_per_load
from spadework.science.machinery.supply import haulage, hose, loads
from spadework.science.machinery.supply import rate as supply_rate
from spadework.science.machinery.supply import rhythm as supply_rhythm
from spadework.science.machinery.supply.day import SupplyDay
from spadework.science.machinery.supply.run import simulate

HAND = "worked out by hand"
FCI = "worked out by hand from the draft rates of Farm Contractors Ireland 2018"
IMP_GAL_M3 = 0.00454609
# 6 m, 7 km/h, efficiency 0.85
SPREAD_H_HA = 10 / (6 * 7) / 0.85


@pytest.mark.parametrize(
    ("way", "travel", "round_", "rate_m3_h", "rate_ha_h"),
    [(2, 8.23, 23.79, 45.39, 1.135), (5, 20.57, 36.13, 29.89, 0.747)],
)
def test_a_tanker_that_drives(
    check: Check, way: float, travel: float, round_: float, rate_m3_h: float, rate_ha_h: float
) -> None:
    # 18 m3, filled at 4.5 m3/min, 2 min of coupling, 25 km/h full and 35 empty, 40 m3/ha, 2 min in the field.
    filling = haulage.filling_round(18, 4.5, 2)
    road = road_per_load(way, 25, 35)
    spreading = haulage.spreading_per_load(18, 40, SPREAD_H_HA)
    whole = haulage.spreader_round(spreading, filling + road, 2)
    rate = supply_rate.throughput(18, whole, 1)
    said = f"tanker of 18 m3 at {way} km"
    check(f"{said}: filling and coupling", HAND, 6.00, filling, 0.005, unit="min", kind="computed")
    check(f"{said}: road", HAND, travel, road, 0.005, unit="min", kind="computed")
    check(f"{said}: spreading", HAND, 7.56, spreading, 0.005, unit="min", kind="computed")
    check(f"{said}: round", HAND, round_, whole, 0.005, unit="min", kind="computed")
    check(f"{said}: throughput", HAND, rate_m3_h, rate, 0.005, unit="m3/h", kind="computed")
    check(f"{said}: rate of work", HAND, rate_ha_h, loads.area_rate(rate, 40), 0.0005, unit="ha/h", kind="computed")
    run = simulate(
        SupplyDay(
            way="drives",
            load_m3=18,
            dose_m3_ha=40,
            spread_h_ha=SPREAD_H_HA,
            hours=100,
            other_min=2,
            filling_m3_min=4.5,
            connect_min=2,
            distance_km=way,
            speed_full_km_h=25,
            speed_empty_km_h=35,
        )
    )
    check(f"{said}: throughput, run of events", HAND, rate_m3_h, run.steady_m3_h, 0.005, unit="m3/h", kind="computed")


def test_feeders_of_two_loads(check: Check) -> None:
    # 36 m3 handed over in two halves at 6 m3/min with 2 min each; 8 min of spreading and 2 min of finding the place;
    # 10 min at the store, 10 min on the road.  The feeder is 5 + 10 + 5 min in the field.
    handing = haulage.handing_per_load(18, 36, 6, 2, haulage.meeting_share(36, 18))
    field = haulage.feeder_at_field(36, 18, handing, 8, 2, 1)
    check("feeder of two loads: in the field", HAND, 20, field, 0.5, unit="min", kind="computed")
    feeder = haulage.feeder_round(10, 10, field)
    one, two = (supply_rate.throughput(36, feeder, count) for count in (1, 2))
    check("one feeder of two loads", HAND, 54, one, 0.5, unit="m3/h", kind="computed")
    spreader = supply_rate.throughput(18, haulage.spreader_round(8, handing, 2), 1)
    check("the spreader it serves", HAND, 72, spreader, 0.5, unit="m3/h", kind="computed")
    store = supply_rate.throughput(36, 10, 1)
    for count, feeders, theirs in ((1, one, 54), (2, two, 72)):
        whole = supply_rate.slowest(spreader, feeders, store, supply_rhythm.fed_link(18, 36, count, 10, 6, 2, 10, 10))
        check(f"{count} feeder(s) of two loads, all links", HAND, theirs, whole, 0.5, unit="m3/h", kind="computed")


def test_feeders_in_a_bunch(check: Check) -> None:
    # Two feeders of half a load: 4 min to hand over, 16 min of absence, 6 min at the store, 14 min of road.  The first
    # hand-overs begin at 0 and 4; the spreader is back at 24; the first feeder comes at 24, the second at 30; back at 50;
    # then 74, 100: every second round takes 2 min more, 25 min on the average.
    ours = supply_rhythm.fed_link(18, 9, 2, 16, 4.5, 2, 6, 14)
    check("two small feeders in a bunch", HAND, 60 * 18 / 25, ours, 0.05, unit="m3/h", kind="computed")


def test_hose(check: Check) -> None:
    check("hose, 120 m3/h at 40 m3/ha", HAND, 3.0, hose.hose_rate(120, 40, 0.2), 0.05, unit="ha/h", kind="computed")
    check(
        "speed at 120 m3/h, 6 m, 40 m3/ha", HAND, 5.0, hose.hose_speed(120, 6, 40), 0.05, unit="km/h", kind="computed"
    )
    # A bore of 125 mm holds 12.27 L/m; with 1.5 kg/m of hose and water 13.77 kg/m.
    mass = hose.hose_mass(1.5, 125, 1.0)
    check("full hose of 125 mm", HAND, 13.77, mass, 0.005, unit="kg/m", kind="computed")
    # 100 m of it on the move weigh 13.51 kN; half of that pulls.
    check("pull of 200 m of hose", HAND, 6.75, hose.hose_drag(200, 0.5, mass, 0.5), 0.01, unit="kN", kind="computed")


def test_cost_of_a_hose(check: Check) -> None:
    rates = constants("contract_rates")
    setup, pumping = rates.ie_umbilical_set_up, rates.ie_umbilical_pumping
    cost = hose.umbilical_cost(2, setup, 10, 40, 100, pumping)
    check("10 ha by hose, all", FCI, 760, cost * 10, 0.5, unit="EUR", kind="computed")
    check("10 ha by hose, per hectare", FCI, 76, cost, 0.5, unit="EUR/ha", kind="computed")
    check("10 ha by hose, per volume", FCI, 1.90, cost / 40, 0.005, unit="EUR/m3", kind="computed")


@pytest.mark.parametrize(("gallons", "theirs", "side"), [(30_000, 136, "low"), (35_000, 159, "high")])
def test_watery_slurry_through_a_hose(check: Check, gallons: float, theirs: float, side: str) -> None:
    source = "Irish Farmers Journal, slurry in a hurry; gallons presumed imperial"
    ours = getattr(constants("slurry_supply")["watery_hose_m3_h"], side)
    check(f"{gallons} gal/h through a hose", source, gallons * IMP_GAL_M3, ours, 0.5, unit="m3/h")
    assert ours == theirs


def test_flow_of_the_hose_lies_between_those_reported(check: Check) -> None:
    known = constants("slurry_supply")
    low, high = known["contractor_hose_m3_h"].value, known["watery_hose_m3_h"].high
    source = (
        "Irish Farmers Journal, slurry through pipes (contractors, up to 60) and slurry in a hurry (watery, to 159)"
    )
    middle, half = (low + high) / 2, (high - low) / 2
    check(
        "flow through a hose where none is given", source, middle, known.hose_m3_h, half, unit="m3/h", kind="practice"
    )
    assert known.farm_hose_m3_h < low


def test_working_day_of_a_reported_tanker(check: Check) -> None:
    # 6000 m3 in about 21 days by one tanker of 16 m3 at 2 km with a hose bar; width, speed and dose are ours.
    usual = constants("field_work")
    filling = haulage.filling_round(16, usual.filling_m3_min, usual.connect_min)
    road = road_per_load(2, usual.road_speed_full_km_h, usual.road_speed_empty_km_h)
    spreading = haulage.spreading_per_load(16, 25, 10 / (12 * 6) / 0.8)
    whole = haulage.spreader_round(spreading, filling + road, usual.field_other_min)
    hours = 6000 / 21 / float(supply_rate.throughput(16, whole, 1))
    source = "German and Austrian news item on low-emission distribution; 6 to 10 h a day: common practice, no source"
    check("hours on a day of 286 m3 with a 16 m3 tanker at 2 km", source, 8, hours, 2, unit="h", kind="practice")
