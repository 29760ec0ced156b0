"""Grip, slip and power of every pass, and what its tractor makes of the speed and depth that were planned."""

from __future__ import annotations

import numpy as np

from spadework.estimate.chain import Step
from spadework.estimate.desk import Desk, FromPlan, stack
from spadework.plan.outfits import kind_of
from spadework.ranges import FloatArray
from spadework.reference import Citation, constants, load
from spadework.science.machinery import (
    axle_power_brixius,
    ballasted_mass,
    depth_managed,
    drawbar_power,
    driven_load,
    load_at_work,
    load_share,
    needed_power,
    needed_within_grip,
    pass_draft,
    pto_power_for_axle,
    pto_power_for_drawbar,
    pull_ratio,
    pump_power_at_speed,
    rated_pto_power,
    rotary_power,
    slip_for_pull_brixius,
    speed_managed,
    wheel_pull,
)

__all__ = ["PASS", "TRACTOR", "work_power"]

PASS = {
    "speed_km_h": "speed",
    "deep_0_n": "deep_still",
    "deep_1_n_h_km": "deep_by_speed",
    "deep_2_n_h2_km2": "deep_by_square",
    "other_0_n": "other_still",
    "other_1_n_h_km": "other_by_speed",
    "other_2_n_h2_km2": "other_by_square",
    "towed_n": "towed_draft",
    "pump_kw": "planned_pump",
    "rotary_kw": "rotary_power",
    "hitch_t": "hitch",
}
"""Parts of a :class:`~spadework.science.machinery.Pass`, and the figures that they are."""

TRACTOR = {
    "tractor_t": "tractor_mass",
    "driven_share": "driven_share",
    "rolling_coefficient": "rolling",
    "slope_share": "slope",
    "wheel_number": "wheel_number",
    "axle_per_pto": "axle_per_pto",
    "rated_pto_kw": "rated_power",
    "slip_most_share": "slip_most",
}
"""Parts of a :class:`~spadework.science.machinery.Tractor`, and the figures that they are."""


def work_power(desk: Desk) -> None:
    """Put the power needed at the speed of the plan on the sheet, then speed, slip and load as they come about."""
    _tractor(desk)
    _rotary(desk)
    sheet = desk.sheet
    sheet.work(
        "planned_power", needed_within_grip, "power needed at the take-off at speed and depth of the plan",
        **PASS, **TRACTOR,
    )  # fmt: skip
    sheet.work(
        "load", load_share, "needed against rated power at the speed of the plan",
        needed_kw="planned_power", rated_pto_kw="rated_power",
    )  # fmt: skip
    sheet.work("depth_kept", depth_managed, "share of the planned depth that the tractor manages", **PASS, **TRACTOR)
    sheet.work(
        "work_speed", speed_managed, "speed that power and grip allow",
        depth_share="depth_kept", **PASS, **TRACTOR,
    )  # fmt: skip
    if np.min(sheet["work_speed"]) > 0:
        _at_work(desk)


def _at_work(desk: Desk) -> None:
    sheet = desk.sheet
    draft = {argument: figure for argument, figure in PASS.items() if argument.startswith(("deep", "other"))}
    sheet.given("whole_width", 1.0, "1", "share of the planned width", places=["the whole outfit works"])
    sheet.work(
        "work_draft", pass_draft, "draft of all tools at work",
        speed_km_h="work_speed", depth_share="depth_kept", width_share="whole_width", **draft,
    )  # fmt: skip
    sheet.add_up("pull", "pull at the drawbar", "work_draft", "towed_draft")
    sheet.work(
        "wheel_pull", wheel_pull, "pull that the driven wheels must give",
        pull_n="pull", tractor_t="tractor_mass", driven_share="driven_share", rolling_coefficient="rolling",
        slope_share="slope",
    )  # fmt: skip
    sheet.work(
        "driven_load", driven_load, "load on the driven wheels",
        tractor_t="tractor_mass", driven_share="driven_share", hitch_t="hitch",
    )  # fmt: skip
    sheet.work(
        "pull_ratio", pull_ratio, "pull per load on the driven wheels",
        wheel_pull_kn="wheel_pull", driven_load_kn="driven_load",
    )  # fmt: skip
    sheet.work("slip", slip_for_pull_brixius, "slip", pull_ratio="pull_ratio", wheel_number="wheel_number")
    sheet.work(
        "axle_power", axle_power_brixius, "power at the driven axles",
        driven_load_kn="driven_load", wheel_number="wheel_number", slip_share="slip", speed_km_h="work_speed",
    )  # fmt: skip
    sheet.work(
        "drive_power", pto_power_for_axle, "power to drive and pull, at the take-off",
        axle_kw="axle_power", axle_per_pto="axle_per_pto",
    )  # fmt: skip
    sheet.work(
        "pump_power", pump_power_at_speed, "power of the slurry pump at work",
        pump_kw="planned_pump", planned_km_h="speed", speed_km_h="work_speed",
    )  # fmt: skip
    sheet.work(
        "needed_power", needed_power, "power needed at the take-off, at work",
        drive_kw="drive_power", rotary_kw="rotary_power", pump_kw="pump_power",
    )  # fmt: skip
    sheet.work(
        "work_share",
        load_share,
        "needed against rated power, at work",
        needed_kw="needed_power",
        rated_pto_kw="rated_power",
    )
    sheet.work("work_load", load_at_work, "engine load while working", load_share="work_share")
    _handbook(desk)


def _handbook(desk: Desk) -> None:
    """Put the power by the handbook's fixed ratio on the sheet: a check beside the slip, nothing goes on from it."""
    sheet, chain = desk.sheet, desk.chain
    ratios = load("drawbar_pto_ratio_asae_d497")
    ground = {"hard": "concrete"}.get(chain.plan.field.surface, chain.plan.field.surface)
    entries = [ratios[step.tractor.drive.replace(" ", "_")].entry(ground) for step in chain.steps]
    desk.table_rows("drawbar_ratio", "drawbar power per power at the take-off, handbook", "pass", entries, "1")
    sheet.work("drawbar", drawbar_power, "drawbar power", draft_n="pull", speed_km_h="work_speed")
    sheet.work(
        "handbook_drive", pto_power_for_drawbar, "power to pull by the handbook's ratio, at the take-off",
        drawbar_kw="drawbar", drawbar_per_pto="drawbar_ratio",
    )  # fmt: skip
    sheet.add_up(
        "handbook_power", "power needed by the handbook's ratio", "handbook_drive", "rotary_power", "pump_power"
    )


def _tractor(desk: Desk) -> None:
    steps, sheet = desk.chain.steps, desk.sheet
    sources = []
    for step in steps:
        tractor, path = step.tractor, desk.chain.tractor_path(step.tractor.name)
        key = "power" if tractor.power is not None else "engine_power"
        sources.append(FromPlan(getattr(tractor, key), (*path, key)))
    desk.plan_rows("power_given", "rated power in the plan", "kW", "pass", sources)
    desk.share_of_pto("pto_share", "pass", [step.tractor for step in steps])
    sheet.work(
        "rated_power", rated_pto_power, "rated power at the take-off", power_kw="power_given", pto_share="pto_share"
    )
    _mass(desk, steps)
    grip = constants("tractor_grip")
    driven = [grip[step.tractor.drive.replace(" ", "_")] for step in steps]
    desk.table_rows("driven_share", "share of the tractor's mass on its driven wheels", "pass", driven, "1")
    desk.constant("axle_per_pto", "tractor_grip", "axle_per_pto")
    desk.constant("slip_most", "tractor_grip", "working_slip_most")


def _mass(desk: Desk, steps: tuple[Step, ...]) -> None:
    """Put the mass of the tractors on the sheet: the plan's, or what the ballast guide makes of their power."""
    sheet = desk.sheet
    known = [row for row, step in enumerate(steps) if step.tractor.mass is not None]
    if desk.part_of("weighed", "pass", known):
        given = [
            FromPlan(steps[row].tractor.mass or 0.0, (*desk.chain.tractor_path(steps[row].tractor.name), "mass"), 0.5)
            for row in known
        ]
        desk.plan_rows("weighed_mass", "mass of the tractor", "t", "weighed", given)
    unknown = [row for row in range(len(steps)) if row not in known]
    if desk.part_of("ballasted", "pass", unknown):
        desk.constant("ballast", "tractor_grip", "ballast_kg_kw")
        desk.pick("ballasted_power", "rated_power", "ballasted")
        sheet.work(
            "ballasted_mass", ballasted_mass, "mass of the tractor by the ballast guide",
            rated_pto_kw="ballasted_power", ballast_kg_kw="ballast",
        )  # fmt: skip
    desk.merge("tractor_mass", "mass of the tractor", "pass", ["weighed_mass", "ballasted_mass"], "t")


def _rotary(desk: Desk) -> None:
    table = load("rotary_power")
    values: list[FloatArray] = []
    citations: list[Citation] = []
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
