"""Draft of the tools of every pass: out of the table, or at the level of the user's own reading."""

from __future__ import annotations

import numpy as np

from spadework.estimate.chain import Tool
from spadework.estimate.desk import Desk, FromPlan, scaled, stack
from spadework.quantities import Quantity
from spadework.ranges import FloatArray
from spadework.reference import Entry
from spadework.science.machinery import (
    draft_asae_d497,
    draft_coefficient,
    draft_within_range,
    measured_draft_factor,
    measured_or_modelled,
)

__all__ = ["work_draft"]

_SPEED_POWERS = ("still", "by_speed", "by_square")
"""Parts of the draft: without speed, by the speed, by its square; the table's A, B and C."""


def work_draft(desk: Desk) -> None:
    """Put the draft of every tool on the sheet, and that of every pass by the powers of its speed."""
    desk.plan_rows(
        "speed", "speed in the plan", "km/h", "pass",
        [FromPlan(s.done.speed, (*s.path, "speed"), low=0.5) for s in desk.chain.steps],
    )  # fmt: skip
    desk.plan_rows(
        "width", "working width", "m", "pass", [FromPlan(s.width_m, (*s.path, "machines")) for s in desk.chain.steps]
    )
    _table_draft(desk)
    _level(desk)
    desk.sheet.work(
        "tool_draft", draft_within_range, "draft of the tools", draft_n="draft_middle", range_factor="draft_range"
    )
    _by_pass(desk)


def _table_draft(desk: Desk) -> None:
    sheet, tools = desk.sheet, desk.chain.tools
    column, said = desk.chain.draft_class
    for letter in "abc":
        desk.table_rows(f"draft_{letter}", f"draft factor {letter}", "tool", [t.row.entry(letter) for t in tools])
    factors = [tool.row.entry(f"f_{column}") for tool in tools]
    desk.table_rows("soil_factor", f"soil factor ({said.label} counts as {column})", "tool", factors, "1")
    _units_and_depths(desk)
    sheet.gather("tool_speed", "pick", "speed", "speed of the tools", over="tool", rows=[[tool.step] for tool in tools])
    sheet.work(
        "draft_middle", draft_asae_d497, "draft, middle of the table",
        soil_factor="soil_factor", a="draft_a", b="draft_b", c="draft_c",
        units="units", speed_km_h="tool_speed", depth_cm="tool_depth",
    )  # fmt: skip


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


def _level(desk: Desk) -> None:
    """Put the draft against the middle of the table on the sheet: the table's range, or what a reading makes of it."""
    sheet, tools = desk.sheet, desk.chain.tools
    ranges = stack([_draft_range(desk, tool) for tool in tools])
    said_by = [tool.range_pct.citation for tool in tools]
    read = [row for row, tool in enumerate(tools) if tool.machine.measured_draft is not None]
    name = "draft_table_range" if read else "draft_range"
    sheet.looked_up(name, ranges, "1", "draft against the middle, within the table's range", said_by, over="tool")
    if read:
        _reading(desk, read)
        places = [tool.label for tool in tools]
        taken = [[1.0 if row in read else 0.0] for row in range(len(tools))]
        sheet.given("reading_taken", taken, "1", "1 where a reading stands for the table", over="tool", places=places)
        sheet.work(
            "draft_range", measured_or_modelled, "draft against the middle of the table",
            measured="tool_reading", modelled="draft_table_range", taken="reading_taken",
        )  # fmt: skip


def _reading(desk: Desk, read: list[int]) -> None:
    """Put the pull that the user measured against the table's at the depth and speed of the reading."""
    sheet, chain = desk.sheet, desk.chain
    tools = [chain.tools[row] for row in read]
    desk.part_of("read_tool", "tool", read)
    for figure in ("soil_factor", "draft_a", "draft_b", "draft_c", "units"):
        desk.pick(f"read_{figure}", figure, "read_tool")
    machines = list(dict.fromkeys(tool.machine.name for tool in tools))
    paths = {name: chain.machine_path(name) for name in machines}
    desk.plan_rows(
        "read_speed", "speed of the reading", "km/h", "read_tool",
        [FromPlan(t.machine.measured_speed or 0.0, (*paths[t.machine.name], "measured_speed"), 0.5) for t in tools],
    )  # fmt: skip
    desk.pick("own_depth", "tool_depth", "read_tool")
    depths = [t.machine.measured_depth if t.deep and t.machine.measured_depth else 0.0 for t in tools]
    places = [(*paths[t.machine.name], "measured_depth") for t in tools]
    given = [FromPlan(d, p, 0.1, 80.0) for d, p in zip(depths, places, strict=True)]
    desk.plan_rows("depth_in_reading", "depth of the reading, tools as deep as the pass", "cm", "read_tool", given)
    sheet.given(
        "goes_deep", [[1.0 if t.deep else 0.0] for t in tools], "1", "1 where the tool is as deep as the pass",
        over="read_tool", places=[t.label for t in tools],
    )  # fmt: skip
    sheet.work(
        "read_depth", measured_or_modelled, "depth during the reading",
        measured="depth_in_reading", modelled="own_depth", taken="goes_deep",
    )  # fmt: skip
    sheet.work(
        "read_middle", draft_asae_d497, "draft by the table at the reading's depth and speed",
        soil_factor="read_soil_factor", a="read_draft_a", b="read_draft_b", c="read_draft_c",
        units="read_units", speed_km_h="read_speed", depth_cm="read_depth",
    )  # fmt: skip
    whole = [[j for j, u in enumerate(tools) if u.machine is t.machine and u.step == t.step] for t in tools]
    sheet.gather("read_whole", "sum", "read_middle", "the same, whole machine", over="read_tool", rows=whole)
    pulls = [FromPlan(_newton(t), (*paths[t.machine.name], "measured_draft"), 1.0) for t in tools]
    desk.plan_rows("read_pull", "pull that was measured", "N", "read_tool", pulls)
    sheet.work(
        "read_factor", measured_draft_factor, "pull measured against the table",
        measured_n="read_pull", modelled_n="read_whole",
    )  # fmt: skip
    desk.merge("tool_reading", "pull measured against the table", "tool", ["read_factor"])


def _newton(tool: Tool) -> Quantity | float:
    pull = tool.machine.measured_draft
    return 0.0 if pull is None else scaled(pull, 1000.0, "N")


def _draft_range(desk: Desk, tool: Tool) -> FloatArray:
    share = tool.range_pct.value / 100.0
    return desk.draws.around(f"draft range:{tool.range_key}", 1 - share, 1.0, 1 + share)


def _by_pass(desk: Desk) -> None:
    """Sum the draft of each pass by the powers of its speed: deep tools apart from those with a depth of their own."""
    sheet, chain = desk.sheet, desk.chain
    for letter, power in zip("abc", _SPEED_POWERS, strict=True):
        sheet.work(
            f"tool_{power}", draft_coefficient, f"draft of the tools, factor {letter} multiplied out",
            soil_factor="soil_factor", coefficient=f"draft_{letter}", units="units", depth_cm="tool_depth",
            range_factor="draft_range",
        )  # fmt: skip
        for kind, deep in (("deep", True), ("other", False)):
            rows = [
                [i for i, tool in enumerate(chain.tools) if tool.step == step and tool.deep is deep]
                for step in range(len(chain.steps))
            ]
            words = "tools as deep as the pass" if deep else "tools with a depth of their own"
            sheet.gather(f"{kind}_{power}", "sum", f"tool_{power}", f"factor {letter}, {words}", over="pass", rows=rows)
    rows = [[i for i, tool in enumerate(chain.tools) if tool.step == step] for step in range(len(chain.steps))]
    sheet.gather(
        "soil_draft", "sum", "tool_draft", "draft of all tools at the speed of the plan", over="pass", rows=rows
    )
