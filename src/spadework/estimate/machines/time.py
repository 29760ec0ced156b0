"""Field time and work rate of every pass: runs, headlands, turns, filling, waiting."""

from __future__ import annotations

from spadework.estimate.chain import Step
from spadework.estimate.desk import Desk, FromPlan, as_share, in_metres
from spadework.estimate.machines.supply import work_supply
from spadework.plan import Machine
from spadework.plan.outfits import kind_of
from spadework.quantities import Quantity
from spadework.reference import constants, load
from spadework.science.machinery import (
    effective_width,
    field_breadth,
    field_efficiency,
    field_time,
    headland_depth,
    headland_runs,
    lost_time,
    mean_headland_run,
    mean_run,
    overlap_width,
    reversing_turn_length,
    reversing_turn_reach,
    runs,
    seed_fill_time,
    skip_offset,
    spread_time,
    turn_length,
    turn_reach,
    turn_time,
    turning_time,
    work_rate,
    working_time,
)

__all__ = ["work_time"]

_PATTERNS = {"loop": "looping", "reversing": "reversing", "leaving runs out": "leaving_out"}


def work_time(desk: Desk) -> None:
    """Put field time and work rate on the sheet: each pass, then each system."""
    _shape(desk)
    _turns(desk)
    _runs(desk)
    work_supply(desk)
    _sowing(desk)
    sheet = desk.sheet
    sheet.add_up("refill_time", "time refilling", "slurry_refill_time", "seed_refill_time")
    sheet.work(
        "field_time", field_time, "field time",
        working_h_ha="working_time", turning_h_ha="turning_time", refill_h_ha="refill_time",
        lost_h_ha="lost_time", waiting_h_ha="waiting_time",
    )  # fmt: skip
    sheet.work("pass_rate", work_rate, "work rate of the pass", field_time_h_ha="field_time")
    sheet.work(
        "pass_efficiency", field_efficiency, "field efficiency of the pass",
        work_rate_ha_h="pass_rate", speed_km_h="work_speed", width_m="width",
    )  # fmt: skip
    sheet.total("hours", "field_time", "time for all passes")
    sheet.work("rate", work_rate, "work rate of all passes, one after the other", field_time_h_ha="hours")


def _shape(desk: Desk) -> None:
    """Put the field and the width that counts on the sheet."""
    sheet, chain, field = desk.sheet, desk.chain, desk.chain.plan.field
    desk.plan_value("area", "area of the field", "ha", FromPlan(field.area, ("field", "area"), low=1e-3))
    desk.plan_value("length", "longest run of the field", "m", FromPlan(field.length, ("field", "length"), low=1.0))
    shape = FromPlan(1.0 if field.shape is None else as_share(field.shape), ("field", "shape"), 0.3, 1.0)
    desk.plan_value("shape", "area against length times breadth of the box around the field", "1", shape)
    sheet.work(
        "breadth", field_breadth, "greatest breadth of the field",
        area_ha="area", length_m="length", shape_share="shape",
    )  # fmt: skip
    table, steps = load("overlap"), chain.steps
    given = [row for row, step in enumerate(steps) if step.worker.overlap is not None]
    usual = [row for row in range(len(steps)) if row not in given]
    if desk.part_of("overlap_given", "pass", given):
        sources = [FromPlan(_overlap(steps[row].worker), (*_worker_path(desk, steps[row]), "overlap")) for row in given]
        desk.plan_rows("own_overlap", "overlap of the joins", "m", "overlap_given", sources)
    if desk.part_of("overlap_usual", "pass", usual):
        rows = [table[steps[row].worker.kind] for row in usual]
        desk.table_rows("overlap_m", "usual overlap", "overlap_usual", [row.entry("overlap_m") for row in rows], "m")
        shares = [row.entry("overlap_share") for row in rows]
        desk.table_rows("overlap_share", "usual overlap, of the width", "overlap_usual", shares, "1")
        desk.pick("overlap_of", "width", "overlap_usual")
        sheet.work(
            "usual_overlap", overlap_width, "usual overlap of the joins",
            width_m="overlap_of", overlap_m="overlap_m", overlap_share="overlap_share",
        )  # fmt: skip
    desk.merge("overlap", "overlap of the joins", "pass", ["own_overlap", "usual_overlap"], "m")
    sheet.work("width_used", effective_width, "width that counts", width_m="width", overlap_m="overlap")


def _overlap(machine: Machine) -> Quantity | float:
    return 0.0 if machine.overlap is None else in_metres(machine.overlap)


def _worker_path(desk: Desk, step: Step) -> tuple[str | int, ...]:
    return desk.chain.machine_path(step.worker.name)


def _turns(desk: Desk) -> None:
    """Put one turn of every pass on the sheet, and the headland that it needs."""
    sheet, steps, field = desk.sheet, desk.chain.steps, desk.chain.plan.field
    work = constants("field_work")
    long = ["_drawn" if _is_drawn(step) else "" for step in steps]
    desk.table_rows("turn_radius", "turning radius", "pass", [work[f"turn_radius{size}_m"] for size in long], "m")
    lengths = [work[f"tool_behind{size}_m"] for size in long]
    desk.table_rows("tool_behind", "from the rear axle to the tools", "pass", lengths, "m")
    desk.constant("turn_speed", "field_work", "turn_speed_km_h")
    for pattern, axis in _PATTERNS.items():
        rows = [row for row, step in enumerate(steps) if step.done.turning == pattern]
        if desk.part_of(axis, "pass", rows):
            _pattern(desk, axis)
    timed = [row for row, step in enumerate(steps) if _timed(step) is not None]
    names = [f"{axis}_turn" for axis in _PATTERNS.values()]
    if not timed:
        desk.merge("turn", "one turn", "pass", names, "s")
    else:
        desk.merge("computed_turn", "one turn, from radius, width and pattern", "pass", names, "s")
        desk.part_of("timed", "pass", timed)
        machines = [m for row in timed if (m := _timed(steps[row])) is not None]
        sources = [FromPlan(m.turn or 0.0, (*desk.chain.machine_path(m.name), "turn"), 1.0) for m in machines]
        desk.plan_rows("timed_turn", "one turn, timed", "s", "timed", sources)
        desk.part_of("not_timed", "pass", [row for row in range(len(steps)) if row not in timed])
        if len(timed) < len(steps):
            desk.pick("untimed_turn", "computed_turn", "not_timed")
        desk.merge("turn", "one turn", "pass", ["timed_turn", "untimed_turn"], "s")
    if field.headland is not None:
        source = FromPlan(field.headland, ("field", "headland"))
        desk.plan_rows("headland", "depth of a headland", "m", "pass", [source] * len(steps))
    else:
        desk.merge("reach", "ground that the turn needs", "pass", [f"{axis}_reach" for axis in _PATTERNS.values()], "m")
        sheet.work("headland", headland_depth, "depth of a headland", turn_reach_m="reach", width_m="width_used")


def _is_drawn(step: Step) -> bool:
    return "turn_drawn_s" in {kind_of(machine).text("turning_row") for machine in step.machines}


def _timed(step: Step) -> Machine | None:
    return next((m for m in (step.worker, *step.machines) if m.turn is not None), None)


def _pattern(desk: Desk, axis: str) -> None:
    sheet = desk.sheet
    radius, width, outfit = (f"{axis}_{name}" for name in ("radius", "width", "behind"))
    desk.pick(radius, "turn_radius", axis)
    desk.pick(width, "width_used", axis)
    desk.pick(outfit, "tool_behind", axis)
    length, reach, stops = f"{axis}_way", f"{axis}_reach", f"{axis}_stops"
    if axis == "reversing":
        desk.constant(stops, "field_work", "turn_stops_s")
        sheet.work(length, reversing_turn_length, "way of a reversing turn", radius_m=radius, offset_m=width)
        sheet.work(reach, reversing_turn_reach, "ground that a reversing turn needs", radius_m=radius, outfit_m=outfit)
    else:
        sheet.given(stops, 0.0, "s", "stops in the turn", places=["driven through"])
        offset = width
        if axis == "leaving_out":
            offset = f"{axis}_offset"
            sheet.work(offset, skip_offset, "way to the side, runs left out", radius_m=radius, width_m=width)
        sheet.work(length, turn_length, "way of a turn", radius_m=radius, offset_m=offset)
        sheet.work(reach, turn_reach, "ground that a turn needs", radius_m=radius, offset_m=offset, outfit_m=outfit)
    sheet.work(f"{axis}_turn", turn_time, "one turn", length_m=length, speed_km_h="turn_speed", stops_s=stops)


def _runs(desk: Desk) -> None:
    """Put runs and turns of the field on the sheet, and the time that they take."""
    sheet = desk.sheet
    sheet.work(
        "run",
        mean_run,
        "run between the headlands, mean of the field",
        length_m="length",
        shape_share="shape",
        headland_m="headland",
    )
    sheet.work("runs", runs, "runs", breadth_m="breadth", width_m="width_used")
    sheet.work("headland_runs", headland_runs, "runs on both headlands", headland_m="headland", width_m="width_used")
    sheet.work(
        "headland_run", mean_headland_run, "length of a run on the headland", breadth_m="breadth", shape_share="shape"
    )
    sheet.work(
        "working_time", working_time, "time working",
        runs="runs", run_m="run", headland_runs="headland_runs", headland_run_m="headland_run",
        speed_km_h="work_speed", area_ha="area",
    )  # fmt: skip
    sheet.work(
        "turning_time", turning_time, "time turning",
        runs="runs", headland_runs="headland_runs", turn_s="turn", area_ha="area",
    )  # fmt: skip
    desk.constant("lost_share", "field_work", "lost_share")
    sheet.work(
        "lost_time", lost_time, "time resting, adjusting, clearing",
        working_h_ha="working_time", lost_share="lost_share",
    )  # fmt: skip
    sheet.work(
        "spread_time", spread_time, "time of the pass without slurry or seed to be fetched",
        working_h_ha="working_time", turning_h_ha="turning_time", lost_h_ha="lost_time",
    )  # fmt: skip


def _sowing(desk: Desk) -> None:
    sheet = desk.sheet
    entry = constants("field_work")["seed_fill_min_ha"]
    sowing = [1.0 if "seed" in step.done.places else 0.0 for step in desk.chain.steps]
    places = [desk.chain.read.place(*step.path, "places") for step in desk.chain.steps]
    sheet.given("sows", [[one] for one in sowing], "1", "1 where the pass sows, else 0", over="pass", places=places)
    desk.table_value("seed_fill", entry.citation.label, entry)
    sheet.work("seed_refill_time", seed_fill_time, "time filling seed", fill_min_ha="seed_fill", sows="sows")
