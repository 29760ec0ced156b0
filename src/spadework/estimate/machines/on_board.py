"""What the passes that place slurry carry, pull and pump: dose, tanker or hose, flow."""

from __future__ import annotations

from spadework.estimate.desk import Desk, FromPlan, as_share
from spadework.estimate.slurry.analyses import work_density
from spadework.reference import constants, load
from spadework.science.machinery import (
    draft_towed,
    hitch_mass,
    hose_drag,
    hose_mass,
    load_size,
    newton,
    pump_flow,
    pump_power,
    rolling_coefficient_brixius,
    tanker_mean_mass,
)
from spadework.science.slurry import dose_at_terms, dose_volume

__all__ = ["work_slurry_on_board"]


def work_slurry_on_board(desk: Desk) -> None:
    """Put dose, load, towed masses and the power of the pump on the sheet, pass by pass."""
    _dose(desk)
    _ground(desk)
    tanked = desk.chain.supplied("brought", "drives itself", "feeders", "field container")
    if desk.part_of("tanked", "placing", tanked):
        _tanker(desk, tanked)
    hosed = desk.chain.supplied("hose")
    if desk.part_of("hosed", "placing", hosed):
        _hose(desk, hosed)
    desk.merge("placing_towed", "pull of tanker or hose", "placing", ["tanker_draft", "hose_draft"], "N")
    desk.merge("placing_hitch", "mass resting on the hitch", "placing", ["tanker_hitch"], "t")
    _pump(desk)
    for name, figure, label, unit in (
        ("towed_draft", "placing_towed", "pull of tanker or hose", "N"),
        ("hitch", "placing_hitch", "mass resting on the hitch", "t"),
        ("planned_pump", "placing_pump", "power of the slurry pump at the speed of the plan", "kW"),
    ):
        desk.merge(name, label, "pass", [figure], unit)


def _dose(desk: Desk) -> None:
    sheet, slurry = desk.sheet, desk.chain.plan.slurry
    work_density(desk)
    if slurry.dose.unit == "t/ha":
        desk.plan_value("dose_mass", "dose", "t/ha", FromPlan(slurry.dose, ("slurry", "dose"), 0.1, 150))
        sheet.work("dose", dose_volume, "dose", dose_t_ha="dose_mass", density_t_m3="density")
    else:
        desk.plan_value("dose", "dose", "m3/ha", FromPlan(slurry.dose, ("slurry", "dose"), 0.1, 150))
    if desk.dose_factors:
        words = "dose against that of the plan, for as much available N as the baseline gets"
        place = "set in rounds, on the middle of every input"
        sheet.given("dose_factor", [[f] for f in desk.dose_factors], "1", words, over="placing", places=[place])
        sheet.work("placing_dose", dose_at_terms, "dose of the system", dose_m3_ha="dose", dose_factor="dose_factor")
    desk.constant("tank_filled", "field_work", "tank_filled_share")


def _ground(desk: Desk) -> None:
    field = desk.chain.plan.field
    surface = load("rolling")[field.surface]
    desk.table_value("wheel_number", f"wheel number on {surface.label}", surface.entry("wheel_number"))
    desk.sheet.work(
        "rolling", rolling_coefficient_brixius, "rolling resistance of a wheel", wheel_number="wheel_number"
    )
    desk.plan_value("slope", "slope", "1", FromPlan(as_share(field.slope), ("field", "slope")))


def _tanker(desk: Desk, rows: list[int]) -> None:
    sheet, chain = desk.sheet, desk.chain
    tankers = [tanker for row in rows if (tanker := chain.placing_steps[row].tanker) is not None]
    for name, key, label, unit in (("empty_mass", "mass", "tanker, empty", "t"), ("tank", "tank", "tank", "m3")):
        sources = [FromPlan(getattr(t, key), (*chain.machine_path(t.name), key), 0.1) for t in tankers]
        desk.plan_rows(name, label, unit, "tanked", sources)
    sheet.work("load_size", load_size, "slurry in a load", tank_m3="tank", filled_share="tank_filled")
    sheet.work(
        "tanker_mass", tanker_mean_mass, "mass of the tanker, mean of a run",
        empty_t="empty_mass", tank_m3="tank", filled_share="tank_filled", density_t_m3="density",
    )  # fmt: skip
    desk.constant("hitch_share", "tractor_grip", "tanker_hitch_share")
    sheet.work(
        "tanker_hitch", hitch_mass, "mass of the tanker resting on the hitch",
        drawn_t="tanker_mass", hitch_share="hitch_share",
    )  # fmt: skip
    sheet.work(
        "tanker_draft", draft_towed, "pull of the tanker",
        mass_t="tanker_mass", rolling_coefficient="rolling", slope_share="slope", hitch_share="hitch_share",
    )  # fmt: skip


def _hose(desk: Desk, rows: list[int]) -> None:
    sheet, chain = desk.sheet, desk.chain
    supplies = [chain.plan.supply(name) for row in rows if (name := chain.placing_steps[row].done.supply)]
    lengths = [FromPlan(s.hose or 0.0, (*chain.supply_path(s.name), "hose"), 1.0) for s in supplies]
    desk.plan_rows("hose_length", "length of the dragged hose", "m", "hosed", lengths)
    for key in ("hose_diameter_mm", "hose_empty_kg_m", "hose_friction_share", "hose_dragged_share"):
        desk.constant(key, "slurry_supply", key)
    sheet.work(
        "hose_full", hose_mass, "mass of the full hose",
        empty_kg_m="hose_empty_kg_m", diameter_mm="hose_diameter_mm", density_t_m3="density",
    )  # fmt: skip
    sheet.work(
        "hose_pull", hose_drag, "pull of the dragged hose",
        length_m="hose_length", dragged_share="hose_dragged_share", mass_kg_m="hose_full",
        friction_share="hose_friction_share",
    )  # fmt: skip
    sheet.work("hose_draft", newton, "pull of the dragged hose", pull_kn="hose_pull")


def _pump(desk: Desk) -> None:
    sheet = desk.sheet
    desk.pick("placing_speed", "speed", "placing", "speed while placing")
    desk.pick("placing_width", "width", "placing", "width while placing")
    sheet.work(
        "flow",
        pump_flow,
        "flow of slurry",
        dose_m3_ha=desk.dose_on("placing"),
        width_m="placing_width",
        speed_km_h="placing_speed",
    )
    entry = constants("field_work")["pump_pressure_kpa"]
    desk.table_value("pump_pressure", entry.citation.label, entry)
    desk.constant("pump_efficiency", "field_work", "pump_efficiency_share")
    sheet.work(
        "placing_pump", pump_power, "power of the slurry pump",
        pressure_kpa="pump_pressure", flow_m3_min="flow", efficiency_share="pump_efficiency",
    )  # fmt: skip
