"""Draft and power of every pass, and whether its tractor can give it."""

from __future__ import annotations

import numpy as np

from spadework.estimate.chain import Step, Tool
from spadework.estimate.desk import Desk, FromPlan, as_share, stack
from spadework.plan.agreement import kind_of
from spadework.quantities import Quantity
from spadework.ranges import FloatArray
from spadework.reference import Entry, constants, load
from spadework.science.machinery import (
    draft_asae_d497,
    draft_towed,
    draft_within_range,
    drawbar_power,
    load_at_work,
    load_share,
    needed_power,
    power_limited_speed,
    pto_power_for_drawbar,
    pump_flow,
    pump_power,
    rated_pto_power,
    rolling_coefficient_brixius,
    rotary_power,
    tanker_mean_mass,
)
from spadework.science.slurry import dose_volume

__all__ = ["work_power"]


def work_power(desk: Desk) -> None:
    """Put draft, needed power, load and the speed that the power allows on the sheet, pass by pass."""
    steps = desk.chain.steps
    desk.plan_rows(
        "speed",
        "speed in the plan",
        "km/h",
        "pass",
        [FromPlan(s.done.speed, (*s.path, "speed"), low=0.5) for s in steps],
    )
    desk.plan_rows("width", "working width", "m", "pass", [FromPlan(s.width_m, (*s.path, "machines")) for s in steps])
    _soil_draft(desk)
    _slurry_on_board(desk)
    _needed(desk)
    _rated(desk)
    sheet = desk.sheet
    sheet.work("load", load_share, "needed against rated power", needed_kw="needed_power", rated_pto_kw="rated_power")
    sheet.work("work_speed", power_limited_speed, "speed that the power allows", speed_km_h="speed", load_share="load")
    sheet.work("work_load", load_at_work, "engine load while working", load_share="load")


def _soil_draft(desk: Desk) -> None:
    sheet, tools = desk.sheet, desk.chain.tools
    rows = [[i for i, tool in enumerate(tools) if tool.step == step] for step in range(len(desk.chain.steps))]
    column, said = desk.chain.draft_class
    for letter in "abc":
        desk.table_rows(f"draft_{letter}", f"draft factor {letter}", "tool", [t.row.entry(letter) for t in tools])
    factors = [tool.row.entry(f"f_{column}") for tool in tools]
    desk.table_rows("soil_factor", f"soil factor ({said.label} counts as {column})", "tool", factors, "1")
    _units_and_depths(desk)
    sheet.gather("tool_speed", "pick", "speed", "speed of the tools", over="tool", rows=[[tool.step] for tool in tools])
    sheet.work(
        "draft_middle",
        draft_asae_d497,
        "draft, middle of the table",
        soil_factor="soil_factor",
        a="draft_a",
        b="draft_b",
        c="draft_c",
        units="units",
        speed_km_h="tool_speed",
        depth_cm="tool_depth",
    )
    ranges = stack([_draft_range(desk, tool) for tool in tools])
    said_by = [tool.range_pct.citation for tool in tools]
    sheet.looked_up(
        "draft_range", ranges, "1", "draft against the middle, within the table's range", said_by, over="tool"
    )
    sheet.work(
        "tool_draft", draft_within_range, "draft of the tools", draft_n="draft_middle", range_factor="draft_range"
    )
    sheet.gather("soil_draft", "sum", "tool_draft", "draft of all tools", over="pass", rows=rows)


def _draft_range(desk: Desk, tool: Tool) -> FloatArray:
    share = tool.range_pct.value / 100.0
    return desk.draws.around(f"draft range:{tool.range_key}", 1 - share, 1.0, 1 + share)


def _units_and_depths(desk: Desk) -> None:
    units, units_from, depths, depths_from = [], [], [], []
    for tool in desk.chain.tools:
        step = desk.chain.steps[tool.step]
        per = {"tool": "tools", "row": "rows", "m": "metres"}[tool.row.text("per")]
        if isinstance(tool.units, Entry):
            units.append(desk.draws.of_entry(f"table:strip_till_unit.{tool.units.citation.row}.units", tool.units))
            units_from.append(f"{per}, parts per row from table strip_till_unit")
        else:
            units.append(np.array([tool.units]))
            units_from.append(per)
        if isinstance(tool.depth_cm, Quantity):
            key = "plan:" + ".".join(str(part) for part in (*step.path, "depth"))
            depths.append(desk.draws.of(key, tool.depth_cm, 0.1, 80.0))
            depths_from.append(desk.chain.read.place(*step.path, "depth"))
        elif isinstance(tool.depth_cm, Entry):
            depths.append(
                desk.draws.of_entry(f"table:strip_till_unit.{tool.depth_cm.citation.row}.depth", tool.depth_cm)
            )
            depths_from.append("table strip_till_unit, own depth of the part")
        else:
            depths.append(np.array([tool.depth_cm]))
            depths_from.append("depth does not count for this tool, so it is 1")
    sheet = desk.sheet
    sheet.given("units", stack(units), "tools, rows or m", "how many", over="tool", places=units_from)
    sheet.given("tool_depth", stack(depths), "cm", "working depth", over="tool", places=depths_from)


def _slurry_on_board(desk: Desk) -> None:
    """Put on the sheet what the passes that place slurry carry, pull and pump."""
    sheet, chain = desk.sheet, desk.chain
    plan = chain.plan
    placing = placing_steps(desk)
    slurry = plan.slurry
    desk.plan_value(
        "density", "density of the slurry", "t/m3", FromPlan(slurry.density, ("slurry", "density"), 0.9, 1.15)
    )
    if slurry.dose.unit == "t/ha":
        desk.plan_value("dose_mass", "dose", "t/ha", FromPlan(slurry.dose, ("slurry", "dose"), 0.1, 150))
        sheet.work("dose", dose_volume, "dose", dose_t_ha="dose_mass", density_t_m3="density")
    else:
        desk.plan_value("dose", "dose", "m3/ha", FromPlan(slurry.dose, ("slurry", "dose"), 0.1, 150))
    for name, key, label, unit in (("empty_mass", "mass", "tanker, empty", "t"), ("tank", "tank", "tank", "m3")):
        sources = [
            FromPlan(getattr(s.tanker, key), (*machine_path(desk, s.tanker.name), key))
            for s in placing
            if s.tanker is not None
        ]
        desk.plan_rows(name, label, unit, "placing", sources)
    desk.constant("tank_filled", "field_work", "tank_filled_share")
    sheet.work(
        "towed_mass",
        tanker_mean_mass,
        "mass of the tanker, mean of a run",
        empty_t="empty_mass",
        tank_m3="tank",
        filled_share="tank_filled",
        density_t_m3="density",
    )
    surface = load("rolling")[plan.field.surface]
    desk.table_value("wheel_number", f"wheel number on {surface.label}", surface.entry("wheel_number"))
    sheet.work("rolling", rolling_coefficient_brixius, "rolling resistance of a wheel", wheel_number="wheel_number")
    desk.plan_value("slope", "slope", "1", FromPlan(as_share(plan.field.slope), ("field", "slope")))
    sheet.work(
        "tanker_draft",
        draft_towed,
        "pull of the tanker",
        mass_t="towed_mass",
        rolling_coefficient="rolling",
        slope_share="slope",
    )
    rows = [[step] for step in placing_indices(desk)]
    sheet.gather("placing_speed", "pick", "speed", "speed while placing", over="placing", rows=rows)
    sheet.gather("placing_width", "pick", "width", "width while placing", over="placing", rows=rows)
    sheet.work(
        "flow", pump_flow, "flow of slurry", dose_m3_ha="dose", width_m="placing_width", speed_km_h="placing_speed"
    )
    desk.constant("pump_pressure", "field_work", "pump_pressure_kpa")
    desk.constant("pump_efficiency", "field_work", "pump_efficiency_share")
    sheet.work(
        "placing_pump",
        pump_power,
        "power of the slurry pump",
        pressure_kpa="pump_pressure",
        flow_m3_min="flow",
        efficiency_share="pump_efficiency",
    )
    to_pass(desk, "towed_draft", "tanker_draft", "pull of the tanker")
    to_pass(desk, "pump_power", "placing_pump", "power of the slurry pump")


def _needed(desk: Desk) -> None:
    sheet, chain = desk.sheet, desk.chain
    ratios = load("drawbar_pto_ratio_asae_d497")
    ground = {"hard": "concrete"}.get(chain.plan.field.surface, chain.plan.field.surface)
    entries = [ratios[step.tractor.drive.replace(" ", "_")].entry(ground) for step in chain.steps]
    desk.table_rows("drawbar_ratio", "drawbar power per power at the take-off", "pass", entries, "1")
    for part in ("soil", "towed"):
        words = {"soil": "to work the soil", "towed": "to roll the tanker"}[part]
        sheet.work(
            f"{part}_drawbar", drawbar_power, f"drawbar power {words}", draft_n=f"{part}_draft", speed_km_h="speed"
        )
        sheet.work(
            f"{part}_power",
            pto_power_for_drawbar,
            f"power {words}, at the take-off",
            drawbar_kw=f"{part}_drawbar",
            drawbar_per_pto="drawbar_ratio",
        )
    _rotary(desk)
    sheet.work(
        "needed_power",
        needed_power,
        "power needed at the take-off",
        soil_kw="soil_power",
        rolling_kw="towed_power",
        rotary_kw="rotary_power",
        pump_kw="pump_power",
    )


def _rotary(desk: Desk) -> None:
    table = load("rotary_power")
    values: list[FloatArray] = []
    citations = []
    for step in desk.chain.steps:
        entries = [
            table[k.text("rotary_row")].entry("power_kw_m")
            for m in step.machines
            if (k := kind_of(m)).has("rotary_row")
        ]
        drawn = [desk.draws.of_entry(f"table:rotary_power.{entry.citation.row}", entry) for entry in entries]
        values.append(np.sum(np.broadcast_arrays(*drawn), axis=0) if drawn else np.zeros(1))
        citations += [entry.citation for entry in entries]
    label = "power of driven tools per metre; nil where nothing is driven"
    desk.sheet.looked_up("rotary_per_metre", stack(values), "kW/m", label, list(dict.fromkeys(citations)), over="pass")
    desk.sheet.work(
        "rotary_power", rotary_power, "power of driven tools", power_kw_m="rotary_per_metre", width_m="width"
    )


def _rated(desk: Desk) -> None:
    steps = desk.chain.steps
    sources, shares, citations = [], [], []
    entry = constants("tractor")["pto_per_engine"]
    for step in steps:
        path = tractor_path(desk, step)
        if step.tractor.power is not None:
            sources.append(FromPlan(step.tractor.power, (*path, "power")))
            shares.append(np.ones(1))
        elif step.tractor.engine_power is not None:
            sources.append(FromPlan(step.tractor.engine_power, (*path, "engine_power")))
            shares.append(desk.draws.of_entry("table:tractor.pto_per_engine", entry))
            citations.append(entry.citation)
    desk.plan_rows("power_given", "rated power in the plan", "kW", "pass", sources)
    label = "rated power at the take-off per power in the plan; 1 where the plan gives that at the take-off"
    desk.sheet.looked_up("pto_share", stack(shares), "1", label, list(dict.fromkeys(citations)), over="pass")
    desk.sheet.work(
        "rated_power", rated_pto_power, "rated power at the take-off", power_kw="power_given", pto_share="pto_share"
    )


def placing_indices(desk: Desk) -> list[int]:
    """Return the passes that place slurry, one for each row of the axis ``placing``."""
    chain = desk.chain
    return [i for s in range(len(chain.plan.systems)) if (i := chain.placing_step(s)) is not None]


def placing_steps(desk: Desk) -> list[Step]:
    """Return the steps behind :func:`placing_indices`."""
    return [desk.chain.steps[i] for i in placing_indices(desk)]


def to_pass(desk: Desk, name: str, figure: str, label: str) -> FloatArray:
    """Put a figure of the placing passes on the axis of all passes; nil elsewhere."""
    placing = placing_indices(desk)
    rows = [[placing.index(i)] if i in placing else [] for i in range(len(desk.chain.steps))]
    return desk.sheet.gather(name, "sum", figure, label, over="pass", rows=rows)


def machine_path(desk: Desk, name: str) -> tuple[str | int, ...]:
    """Return the key of a machine in the plan file."""
    return ("machine", next(i for i, m in enumerate(desk.chain.plan.machines) if m.name == name))


def tractor_path(desk: Desk, step: Step) -> tuple[str | int, ...]:
    """Return the key of the tractor of a pass in the plan file."""
    return ("tractor", next(i for i, t in enumerate(desk.chain.plan.tractors) if t.name == step.tractor.name))
