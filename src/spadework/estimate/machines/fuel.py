"""Diesel of every pass and system: working, turning, standing, on the road, and of the feeders that bring slurry."""

from __future__ import annotations

from spadework.estimate.desk import Desk, FromPlan
from spadework.science.machinery import (
    cycle_at_flow,
    fuel_per_hectare,
    fuel_rate_grisso_2004,
    fuel_rate_idle,
    litres_of,
    measured_or_modelled,
    pumping_litres,
    rated_pto_power,
    road_fuel,
    standing_per_load,
    standing_time,
)

__all__ = ["FUEL_PARTS", "work_fuel"]

FUEL_PARTS = {
    "work_litres": "working",
    "turn_litres": "turning",
    "road_litres": "on the road",
    "stand_litres": "standing, filling and waiting",
}
"""Figures that add up to the diesel of a pass as the model has it, with their names for people."""


def work_fuel(desk: Desk) -> None:
    """Put diesel on the sheet: each pass by its parts, the feeders, then each system."""
    sheet = desk.sheet
    sheet.given(
        "speed_reduction", 0.0, "%", "engine speed below full throttle", places=["not counted on"], texts=["0 %"]
    )
    engine = {"rated_pto_kw": "rated_power", "speed_reduction_pct": "speed_reduction"}
    for name, share, label in (("turn", "turn_load_share", "turning"), ("road", "road_load_share", "on the road")):
        desk.constant(f"{name}_load", "field_work", share)
        sheet.work(f"{name}_fuel", fuel_rate_grisso_2004, f"diesel {label}", load_share=f"{name}_load", **engine)
    _working(desk, engine)
    desk.constant("idle_rate", "field_work", "idle_l_h_per_kw")
    sheet.work("stand_fuel", fuel_rate_idle, "diesel standing", rated_pto_kw="rated_power", idle_l_h_per_kw="idle_rate")
    sheet.work(
        "standing_time", standing_time, "time standing",
        refill_h_ha="refill_time", road_h_ha="road_time", lost_h_ha="lost_time", waiting_h_ha="waiting_time",
    )  # fmt: skip
    _parts(desk)
    _pass_fuel(desk)
    sheet.total("passes_fuel", "pass_fuel", "diesel of the passes")
    for axis in ("fed", "contained"):
        if axis in sheet.axes:
            _feeders(desk, axis)
    if "tanked" in sheet.axes:
        desk.merge("tanked_supply_fuel", "diesel of the feeders", "tanked", ["fed_fuel", "contained_fuel"], "L/ha")
    desk.merge("placing_supply_fuel", "diesel of the feeders", "placing", ["tanked_supply_fuel"], "L/ha")
    sheet.total("supply_fuel", "placing_supply_fuel", "diesel of the feeders")
    sheet.add_up("fuel", "diesel", "passes_fuel", "supply_fuel")


def _working(desk: Desk, engine: dict[str, str]) -> None:
    """Put the diesel of the working hours on the sheet: the model's, or a flowmeter's where the plan has one."""
    sheet, steps = desk.sheet, desk.chain.steps
    metered = [row for row, s in enumerate(steps) if (q := s.done.measured_fuel) is not None and q.unit == "L/h"]
    if not desk.part_of("metered", "pass", metered):
        sheet.work("work_fuel", fuel_rate_grisso_2004, "diesel working", load_share="work_load", **engine)
        return
    sheet.work("modelled_fuel", fuel_rate_grisso_2004, "diesel working, as modelled", load_share="work_load", **engine)
    sources = [FromPlan(steps[row].done.measured_fuel or 0.0, (*steps[row].path, "measured_fuel")) for row in metered]
    desk.plan_rows("metered_fuel", "diesel working, as measured", "L/h", "metered", sources)
    _measured_instead(desk, "work_fuel", "diesel working", "metered_fuel", "modelled_fuel", metered)


def _pass_fuel(desk: Desk) -> None:
    sheet, steps = desk.sheet, desk.chain.steps
    parts = {
        "work_l_h": "work_fuel", "work_h_ha": "working_time", "turn_l_h": "turn_fuel", "turn_h_ha": "turning_time",
        "road_l_h": "road_fuel", "road_h_ha": "road_time", "stand_l_h": "stand_fuel", "stand_h_ha": "standing_time",
    }  # fmt: skip
    counted = [row for row, s in enumerate(steps) if (q := s.done.measured_fuel) is not None and q.unit == "L/ha"]
    if not desk.part_of("counted", "pass", counted):
        sheet.work("pass_fuel", fuel_per_hectare, "diesel of the pass", **parts)
        return
    sheet.work("modelled_pass_fuel", fuel_per_hectare, "diesel of the pass, as modelled", **parts)
    sources = [FromPlan(steps[row].done.measured_fuel or 0.0, (*steps[row].path, "measured_fuel")) for row in counted]
    desk.plan_rows("counted_fuel", "diesel of the pass, as measured", "L/ha", "counted", sources)
    _measured_instead(desk, "pass_fuel", "diesel of the pass", "counted_fuel", "modelled_pass_fuel", counted)


def _measured_instead(desk: Desk, name: str, label: str, measured: str, modelled: str, rows: list[int]) -> None:
    sheet, steps = desk.sheet, desk.chain.steps
    desk.merge(f"{name}_read", f"{label}, as measured", "pass", [measured])
    taken = [[1.0 if row in rows else 0.0] for row in range(len(steps))]
    places = [desk.chain.read.place(*step.path, "measured_fuel") for step in steps]
    label_taken = "1 where a reading stands for the model"
    sheet.given(f"{name}_taken", taken, "1", label_taken, over="pass", places=places)
    sheet.work(name, measured_or_modelled, label, measured=f"{name}_read", modelled=modelled, taken=f"{name}_taken")


def _parts(desk: Desk) -> None:
    sheet = desk.sheet
    for figure, rate, time in (
        ("work_litres", "work_fuel", "working_time"),
        ("turn_litres", "turn_fuel", "turning_time"),
        ("road_litres", "road_fuel", "road_time"),
        ("stand_litres", "stand_fuel", "standing_time"),
    ):
        sheet.work(figure, litres_of, f"diesel {FUEL_PARTS[figure]}", rate_l_h=rate, time_h_ha=time)
    sheet.work(
        "pump_litres", pumping_litres, "of the diesel working, for the slurry pump",
        working_l_ha="work_litres", pump_kw="pump_power", needed_kw="needed_power",
    )  # fmt: skip


def _feeders(desk: Desk, axis: str) -> None:
    sheet, chain = desk.sheet, desk.chain
    tractors = [chain.plan.tractor(s.tractor or "") for s in chain.supplies(axis)]
    name = f"{{}}_{axis}".format
    powers = [
        FromPlan(
            t.power or t.engine_power or 0.0, (*chain.tractor_path(t.name), "power" if t.power else "engine_power")
        )
        for t in tractors
    ]
    desk.plan_rows(name("feeder_power_given"), "rated power of a feeder's tractor in the plan", "kW", axis, powers)
    desk.share_of_pto(name("feeder_pto_share"), axis, tractors)
    sheet.work(
        name("feeder_power"), rated_pto_power, "rated power of a feeder's tractor at the take-off",
        power_kw=name("feeder_power_given"), pto_share=name("feeder_pto_share"),
    )  # fmt: skip
    sheet.work(
        name("feeder_road_rate"), fuel_rate_grisso_2004, "diesel of a feeder on the road",
        load_share="road_load", rated_pto_kw=name("feeder_power"), speed_reduction_pct="speed_reduction",
    )  # fmt: skip
    sheet.work(
        name("feeder_idle_rate"), fuel_rate_idle, "diesel of a feeder standing",
        rated_pto_kw=name("feeder_power"), idle_l_h_per_kw="idle_rate",
    )  # fmt: skip
    sheet.work(
        name("feeder_cycle"), cycle_at_flow, "from one load of a feeder to its next",
        load_m3=name("feeder_load"), vehicles=name("feeders"), flow_m3_h=name("flow"),
    )  # fmt: skip
    sheet.work(
        name("feeder_standing"), standing_per_load, "of it, filling, handing over and waiting",
        cycle_min=name("feeder_cycle"), road_min="road",
    )  # fmt: skip
    sheet.work(
        f"{axis}_fuel", road_fuel, "diesel of the feeders",
        dose_m3_ha=desk.dose_on(axis), load_m3=name("feeder_load"), road_min="road", road_l_h=name("feeder_road_rate"),
        standing_min=name("feeder_standing"), standing_l_h=name("feeder_idle_rate"),
    )  # fmt: skip
