"""Field time, work rate and diesel of every pass and system."""

from __future__ import annotations

from spadework.estimate.chain import Step
from spadework.estimate.desk import Desk, FromPlan
from spadework.estimate.power import machine_path, placing_steps, to_pass
from spadework.plan.agreement import kind_of
from spadework.reference import constants
from spadework.science.machinery import (
    away_per_load,
    field_efficiency,
    field_time,
    fuel_per_hectare,
    fuel_rate_grisso_2004,
    fuel_rate_idle,
    load_size,
    lost_time,
    on_road_per_load,
    refill_at_store,
    refill_time,
    road_per_load,
    standing_time,
    turning_time_rectangle,
    work_rate,
    working_time_rectangle,
)
from spadework.science.machinery.outfit import seed_fill_time

__all__ = ["work_time_and_fuel"]


def work_time_and_fuel(desk: Desk) -> None:
    """Put time, work rate and diesel on the sheet: each pass, then each system."""
    _time(desk)
    _fuel(desk)


def _time(desk: Desk) -> None:
    sheet, chain = desk.sheet, desk.chain
    field = chain.plan.field
    desk.plan_value("area", "area of the field", "ha", FromPlan(field.area, ("field", "area"), low=1e-3))
    desk.plan_value("length", "length of the field", "m", FromPlan(field.length, ("field", "length"), low=1.0))
    shape = {"area_ha": "area", "length_m": "length", "width_m": "width"}
    sheet.work("working_time", working_time_rectangle, "time working", speed_km_h="work_speed", **shape)
    turns = [constants("field_work")[_turning_row(step)] for step in chain.steps]
    desk.table_rows("turn", "one turn", "pass", turns, "s")
    sheet.work("turning_time", turning_time_rectangle, "time turning", turn_s="turn", **shape)
    _refill(desk)
    desk.constant("lost_share", "field_work", "lost_share")
    sheet.work(
        "lost_time",
        lost_time,
        "time resting, adjusting, clearing",
        working_h_ha="working_time",
        lost_share="lost_share",
    )
    sheet.work(
        "field_time",
        field_time,
        "field time",
        working_h_ha="working_time",
        turning_h_ha="turning_time",
        refill_h_ha="refill_time",
        lost_h_ha="lost_time",
    )
    sheet.work("pass_rate", work_rate, "work rate of the pass", field_time_h_ha="field_time")
    sheet.work(
        "pass_efficiency",
        field_efficiency,
        "field efficiency of the pass",
        work_rate_ha_h="pass_rate",
        speed_km_h="work_speed",
        width_m="width",
    )
    sheet.total("hours", "field_time", "time for all passes")
    sheet.work("rate", work_rate, "work rate of all passes, one after the other", field_time_h_ha="hours")


def _turning_row(step: Step) -> str:
    rows = {kind_of(machine).text("turning_row") for machine in step.machines}
    return "turn_drawn_s" if "turn_drawn_s" in rows else "turn_s"


def _refill(desk: Desk) -> None:
    """One tanker, no queue: it is met in the field, or drives to the store itself."""
    sheet, plan = desk.sheet, desk.chain.plan
    met, driven, filling = [], [], []
    for step in placing_steps(desk):
        tanker = step.tanker
        if tanker is None:
            continue
        path = machine_path(desk, tanker.name)
        met.append(FromPlan(tanker.refill if tanker.refill is not None else 0.0, (*path, "refill")))
        driven.append(FromPlan(0.0 if tanker.refill is not None else 1.0, (*path, "refill")))
        usual = constants("field_work")["filling_m3_min"].value
        filling.append(FromPlan(tanker.filling if tanker.filling is not None else usual, (*path, "filling"), low=0.1))
    desk.plan_rows("met", "refill where the outfit is met, per load", "min", "placing", met)
    desk.plan_rows("driven", "1 where the outfit drives to the store itself, else 0", "1", "placing", driven)
    desk.plan_rows("filling", "flow when filling", "m3/min", "placing", filling)
    for key in ("connect_min", "road_speed_full_km_h", "road_speed_empty_km_h"):
        desk.constant(key, "field_work", key)
    distance = FromPlan(plan.field.store_distance, ("field", "store_distance"))
    desk.plan_value("store_distance", "road to the store", "km", distance)
    road = {"speed_full_km_h": "road_speed_full_km_h", "speed_empty_km_h": "road_speed_empty_km_h"}
    sheet.work("load_size", load_size, "slurry in a load", tank_m3="tank", filled_share="tank_filled")
    sheet.work("road", road_per_load, "on the road, per trip", distance_km="store_distance", **road)
    sheet.work(
        "trip",
        refill_at_store,
        "trip to the store and back, with filling",
        tank_m3="load_size",
        filling_m3_min="filling",
        connect_min="connect_min",
        distance_km="store_distance",
        **road,
    )
    sheet.work("away", away_per_load, "away from spreading, per load", met_min="met", trip_min="trip", driven="driven")
    sheet.work("road_away", on_road_per_load, "on the road, per load", road_min="road", driven="driven")
    per_load = {"dose_m3_ha": "dose", "tank_m3": "load_size"}
    sheet.work("placing_refill", refill_time, "time away from spreading", refill_min="away", **per_load)
    sheet.work("placing_road", refill_time, "time on the road", refill_min="road_away", **per_load)
    to_pass(desk, "slurry_refill_time", "placing_refill", "time away for slurry")
    entry = constants("field_work")["seed_fill_min_ha"]
    sowing = [1.0 if "seed" in step.done.places else 0.0 for step in desk.chain.steps]
    places = [desk.chain.read.place(*step.path, "places") for step in desk.chain.steps]
    sheet.given("sows", [[one] for one in sowing], "1", "1 where the pass sows, else 0", over="pass", places=places)
    desk.table_value("seed_fill", entry.citation.label, entry)
    sheet.work("seed_refill_time", seed_fill_time, "time filling seed", fill_min_ha="seed_fill", sows="sows")
    sheet.add_up("refill_time", "time refilling", "slurry_refill_time", "seed_refill_time")
    to_pass(desk, "road_time", "placing_road", "of that, on the road")


def _fuel(desk: Desk) -> None:
    sheet = desk.sheet
    sheet.given(
        "speed_reduction", 0.0, "%", "engine speed below full throttle", places=["not counted on"], texts=["0 %"]
    )
    engine = {"rated_pto_kw": "rated_power", "speed_reduction_pct": "speed_reduction"}
    for name, share, label in (("turn", "turn_load_share", "turning"), ("road", "road_load_share", "on the road")):
        desk.constant(f"{name}_load", "field_work", share)
        sheet.work(f"{name}_fuel", fuel_rate_grisso_2004, f"diesel {label}", load_share=f"{name}_load", **engine)
    sheet.work("work_fuel", fuel_rate_grisso_2004, "diesel working", load_share="work_load", **engine)
    desk.constant("idle_rate", "field_work", "idle_l_h_per_kw")
    sheet.work("stand_fuel", fuel_rate_idle, "diesel standing", rated_pto_kw="rated_power", idle_l_h_per_kw="idle_rate")
    sheet.work(
        "standing_time",
        standing_time,
        "time standing",
        refill_h_ha="refill_time",
        road_h_ha="road_time",
        lost_h_ha="lost_time",
    )
    sheet.work(
        "pass_fuel",
        fuel_per_hectare,
        "diesel of the pass",
        work_l_h="work_fuel",
        work_h_ha="working_time",
        turn_l_h="turn_fuel",
        turn_h_ha="turning_time",
        road_l_h="road_fuel",
        road_h_ha="road_time",
        stand_l_h="stand_fuel",
        stand_h_ha="standing_time",
    )
    sheet.total("fuel", "pass_fuel", "diesel")
