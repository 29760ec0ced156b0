"""What pull and hitch shift from the front to the rear axle of the tractors, put on the worksheet of the wheels.

Passes that draw a machine on wheels of its own go by moments; of a mounted tool a share of the pull stands for its weight and
for its pull downward.  A tractor with ``load_shift = "none"`` keeps the loads with which it stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from spadework.estimate.desk import Desk, FromPlan, in_metres
from spadework.estimate.traffic.wheels import Axle, mixed, tractor_size
from spadework.plan.outfits import kind_of
from spadework.reference import Entry, constants
from spadework.science.traffic import (
    axle_pressing,
    front_change_drawn,
    front_change_mounted,
    rear_gain_drawn,
    rear_gain_mounted,
)

__all__ = ["put_levers", "put_loads_at_work", "shift_notes"]

_DRAWN_PLANTERS: Final = ("planter_drawn_full", "planter_notill")
"""Rows of the table of drafts that speak of drawn planters; others without a mass are mounted."""
_LEVERS: Final = constants("tractor_levers")


def _pulling(desk: Desk, rows: Sequence[Axle]) -> list[int]:
    """Return the rear axles of tractors whose loads are shifted."""
    if "pull" not in desk.sheet.figures:
        return []
    steps = desk.chain.steps
    behind = [i for i, row in enumerate(rows) if row.machine is None and row.where == "rear"]
    return [i for i in behind if steps[rows[i].step].tractor.load_shift == "by pull"]


def put_levers(desk: Desk, rows: Sequence[Axle]) -> None:
    """Put pulls and levers on the sheet, and what mounted tools shift, which hangs on no tank."""
    sheet, pulling = desk.sheet, _pulling(desk, rows)
    if not desk.part_of("pulling", "wheel", pulling):
        return
    own = [rows[i] for i in pulling]
    mixed(desk, "wheelbase", "front to rear axle", "m", [_wheelbase(desk, row) for row in own], "pulling")
    sheet.gather("hitch_pull", "pick", "pull", "pull of the pass", over="pulling", rows=[[row.step] for row in own])
    drawing = _drawing(desk, rows)
    drawn = [k for k, row in enumerate(own) if row.step in drawing]
    mounted = [k for k in range(len(own)) if k not in drawn]
    if desk.part_of("drawing", "pulling", drawn):
        for name, key, label in (
            ("hitch_height", "hitch_height_m", "hitch above the ground"),
            ("hitch_overhang", "overhang_drawn_m", "hitch behind the rear axle"),
        ):
            sources = [_lever(desk, own[k], name, _LEVERS[key]) for k in drawn]
            mixed(desk, name, label, "m", sources, "drawing")
        for name in ("wheelbase", "hitch_pull"):
            desk.pick(f"drawing_{name}", name, "drawing")
    if desk.part_of("mounting", "pulling", mounted):
        for name in ("wheelbase", "hitch_pull"):
            desk.pick(f"mounting_{name}", name, "mounting")
        desk.constant("mounted_gain_share", "tractor_levers", "gain_mounted_share")
        desk.constant("mounted_overhang", "tractor_levers", "overhang_mounted_m")
        sheet.work(
            "mounted_gain", rear_gain_mounted, "load that the mounted tool adds to the rear axle",
            pull_n="mounting_hitch_pull", gain_share="mounted_gain_share",
        )  # fmt: skip
        sheet.work(
            "mounted_change", front_change_mounted, "change of the load on the front axle, mounted tool",
            rear_gain_kn="mounted_gain", overhang_m="mounted_overhang", wheelbase_m="mounting_wheelbase",
        )  # fmt: skip


def put_loads_at_work(desk: Desk, rows: Sequence[Axle], fill: str, words: str) -> None:
    """Put the load on every axle at work on the sheet, for one state of the tank.

    Parameters
    ----------
    desk : Desk
        With the loads of the standing vehicles and of the hitch, and :func:`put_levers` done.
    rows : sequence of Axle
        Every axle.
    fill, words : str
        The state of the tank, as in the names of figures and in words.
    """
    sheet, pulling = desk.sheet, _pulling(desk, rows)
    parts = [f"own_{fill}", f"from_hitch_{fill}"]
    label = f"load on the axle, {words}"
    if pulling:
        _drawn(desk, rows, pulling, fill, words)
        ends = (
            ("gain", "rear", "load shifted to the rear axle"),
            ("change", "front", "load shifted off the front axle"),
        )
        for what, where, said in ends:
            figures = [f"drawn_{what}_{fill}", f"mounted_{what}"]
            desk.merge(f"{where}_{what}_{fill}", f"{said}, {words}", "pulling", figures, "kN")
            at = [_at(rows, pulling, row, where) for row in rows]
            name = f"shift_{where}_{fill}"
            sheet.gather(name, "sum", f"{where}_{what}_{fill}", f"{said}, {words}", over="wheel", rows=at)
            parts.append(name)
    if sum(np.min(sheet[part], axis=-1, keepdims=True) for part in parts).min() >= 0:
        sheet.add_up(f"axle_{fill}", label, *parts)
        return
    sheet.add_up(f"axle_sum_{fill}", f"{label}, by the sum of forces", *parts)
    sheet.work(f"axle_{fill}", axle_pressing, label, load_kn=f"axle_sum_{fill}")


def shift_notes(desk: Desk, rows: Sequence[Axle]) -> list[str]:
    """Return what the reader must know of the loads that are shifted."""
    notes, steps = [], desk.chain.steps
    pulling = _pulling(desk, rows)
    if pulling:
        notes.append(
            "pull and hitch shift load from the front to the rear axle of the tractors: by moments where a machine is drawn, by "
            "a share of the pull where it is mounted; the pull is the mean of a run. What a tool mounted on a drawn machine "
            "shifts there is left out"
        )
    kept = dict.fromkeys(steps[row.step].tractor.name for i, row in enumerate(rows) if _rear(row) and i not in pulling)
    if kept:
        listed = ", ".join(f'"{name}"' for name in kept)
        notes.append(f"the load from the hitch counts on the rear axle; what the pull shifts is left out for {listed}")
    if "axle_sum_full" in desk.sheet.figures or "axle_sum_empty" in desk.sheet.figures:
        notes += _lifting(desk, rows)
    return notes


def _lifting(desk: Desk, rows: Sequence[Axle]) -> list[str]:
    notes: dict[str, None] = {}
    for fill in ("full", "empty"):
        if f"axle_sum_{fill}" not in desk.sheet.figures:
            continue
        for row, loads in zip(rows, desk.sheet[f"axle_sum_{fill}"], strict=True):
            share = float(np.mean(loads < 0))
            if share:
                worker = desk.chain.steps[row.step].worker.name
                said = (
                    f"in {'under 1' if share < 0.01 else f'{100 * share:.0f}'} % of the draws"
                    if loads.size > 1
                    else "here"
                )
                notes[
                    f'"{row.name}" with "{worker}": {said} the {row.where} axle would lift off; such an outfit cannot be steered '
                    "and must not drive: put ballast in front, within what axles and tyres may carry"
                ] = None
    return list(notes)


def _drawing(desk: Desk, rows: Sequence[Axle]) -> set[int]:
    """Return the passes that draw a machine: one on wheels that the plan gives a mass, or a planter of a drawn kind."""
    drawn = {row.step for row in rows if row.machine is not None}
    for index, step in enumerate(desk.chain.steps):
        kinds = [kind_of(machine) for machine in step.machines]
        if any(kind.has("draft_row") and kind.text("draft_row") in _DRAWN_PLANTERS for kind in kinds):
            drawn.add(index)
    return drawn


def _rear(row: Axle) -> bool:
    return row.machine is None and row.where == "rear"


def _at(rows: Sequence[Axle], pulling: Sequence[int], row: Axle, where: str) -> list[int]:
    """Return the place among the pulling axles that speaks for an axle; none where nothing is shifted to or off it."""
    if row.machine is not None or row.where != where:
        return []
    return [k for k, i in enumerate(pulling) if rows[i].step == row.step]


def _drawn(desk: Desk, rows: Sequence[Axle], pulling: Sequence[int], fill: str, words: str) -> None:
    sheet = desk.sheet
    if "hitch_height" not in sheet.figures:
        return
    drawing = _drawing(desk, rows)
    at = [[i] for i in pulling if rows[i].step in drawing]
    sheet.gather(
        f"on_hitch_{fill}", "pick", f"from_hitch_{fill}", f"load from the hitch, {words}", over="drawing", rows=at
    )
    sheet.work(
        f"drawn_gain_{fill}", rear_gain_drawn, f"load that pull and hitch shift to the rear axle, {words}",
        hitch_kn=f"on_hitch_{fill}", overhang_m="hitch_overhang", pull_n="drawing_hitch_pull",
        hitch_height_m="hitch_height", wheelbase_m="drawing_wheelbase",
    )  # fmt: skip
    sheet.work(
        f"drawn_change_{fill}", front_change_drawn, f"change of the load on the front axle, {words}",
        rear_gain_kn=f"drawn_gain_{fill}",
    )  # fmt: skip


def _wheelbase(desk: Desk, row: Axle) -> FromPlan | Entry:
    tractor = desk.chain.steps[row.step].tractor
    if tractor.wheelbase is not None:
        return FromPlan(tractor.wheelbase, (*desk.chain.tractor_path(tractor.name), "wheelbase"))
    mass = float(np.median(desk.sheet["tractor_mass"][row.step]))
    return _LEVERS[f"wheelbase_{tractor_size(mass)}_m"]


def _lever(desk: Desk, row: Axle, key: str, usual: Entry) -> FromPlan | Entry:
    tractor = desk.chain.steps[row.step].tractor
    given = getattr(tractor, key)
    return usual if given is None else FromPlan(in_metres(given), (*desk.chain.tractor_path(tractor.name), key))
