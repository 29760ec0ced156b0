"""What of the slurry's nitrogen is lost as ammonia: guidance factors, with the delay that two work rates leave."""

from __future__ import annotations

import numpy as np

from spadework.estimate.desk import Desk, FromPlan, as_share
from spadework.plan.outfits import kind_of
from spadework.reference import load
from spadework.science.slurry import (
    early_or_never,
    loss_covered,
    mean_delay,
    mean_early_share,
    method_abatement,
    nh3_n_loss,
)
from spadework.working import Axis

__all__ = ["covering_rows", "work_ammonia"]


def covering_rows(desk: Desk) -> list[int]:
    """Return the rows of the axis ``placing`` whose slurry a later pass covers."""
    chain = desk.chain
    return [
        row
        for row, step in enumerate(desk.chain.placing_steps)
        if _covered(desk, row) and chain.covering_step(step.system) is not None
    ]


def _covered(desk: Desk, row: int) -> bool:
    placer = desk.chain.placing_steps[row].placer
    return placer is not None and kind_of(placer).text("slurry_lies") in {"surface", "slots"}


def work_ammonia(desk: Desk) -> None:
    """Put the loss of every system on the sheet, by reference loss and what placing and covering save."""
    sheet, chain, plan = desk.sheet, desk.chain, desk.chain.plan
    abatement = load("ammonia_abatement_unece")
    loss_row = load("slurry_kinds")[plan.slurry.kind].text("loss_row")
    reference = load("ammonia_reference")[loss_row].entry("loss_share")
    desk.table_value("reference_loss", "loss if broadcast and left lying, of ammoniacal N", reference)
    steps = desk.chain.placing_steps
    kinds = [kind_of(step.placer) for step in steps if step.placer is not None]
    methods = [abatement[kind.text("places")].entry("abatement_share") for kind in kinds]
    desk.table_rows("method_closed", "what the way of placing saves, slurry out of sight", "placing", methods, "1")
    open_rows = {"band": "trailing_hose", "slots": "open_slot"}
    opened = [abatement[open_rows[lies]].entry("abatement_share") if (lies := k.text("slurry_lies")) in open_rows else m
              for k, m in zip(kinds, methods, strict=True)]  # fmt: skip
    desk.table_rows("method_open", "what it saves where slurry shows", "placing", opened, "1")
    visible = [FromPlan(as_share(step.done.visible_slurry), (*step.path, "visible_slurry"), 0, 1) for step in steps]
    desk.plan_rows("visible", "share of the length on which slurry shows", "1", "placing", visible)
    sheet.work(
        "method", method_abatement, "what the way of placing saves",
        covered_share="method_closed", open_share="method_open", visible_share="visible",
    )  # fmt: skip
    covered = covering_rows(desk)
    _delay(desk, covered)
    rows = [[covered.index(row)] if row in covered else [] for row in range(len(steps))]
    sheet.gather("early_covered", "sum", "early", "gone before covering", over="placing", rows=rows)
    sheet.gather("now_covered", "sum", "cover_now", "what covering at once would save", over="placing", rows=rows)
    never = np.array([[0.0 if row in covered else 1.0] for row in range(len(steps))])
    sheet.given(
        "never",
        never,
        "1",
        "1 where no later pass covers the slurry",
        over="placing",
        places=[chain.read.place(*s.path) for s in steps],
    )
    sheet.work(
        "early_share",
        early_or_never,
        "share of the loss gone before covering",
        early_share="early_covered",
        never="never",
    )
    sheet.work(
        "placing_loss", loss_covered, "ammonia lost, of ammoniacal N",
        reference_loss_share="reference_loss", method_abatement_share="method",
        abatement_now_share="now_covered", early_share="early_share",
    )  # fmt: skip
    sheet.work(
        "placing_lost_n", nh3_n_loss, "N lost as ammonia", tan_kg_ha="ammoniacal_n_spread", loss_share="placing_loss"
    )


def _delay(desk: Desk, covered: list[int]) -> None:
    sheet, chain = desk.sheet, desk.chain
    abatement = load("ammonia_abatement_unece")
    steps = desk.chain.placing_steps
    placing = desk.chain.placing
    covering = [i for row in covered if (i := chain.covering_step(steps[row].system)) is not None]
    names = [chain.plan.systems[steps[row].system].name for row in covered]
    sheet.axes["covered"] = Axis("covered", tuple(names), tuple(steps[row].system for row in covered))
    lags = [FromPlan(chain.steps[i].done.after or 0.0, (*chain.steps[i].path, "after")) for i in covering]
    desk.plan_rows("lag", "start of covering after start of spreading", "h", "covered", lags)
    sheet.gather(
        "spread_rate",
        "pick",
        "pass_rate",
        "work rate of spreading",
        over="covered",
        rows=[[placing[row]] for row in covered],
    )
    sheet.gather(
        "cover_rate", "pick", "pass_rate", "work rate of covering", over="covered", rows=[[i] for i in covering]
    )
    now = []
    for i in covering:
        machine = next(m for m in chain.steps[i].machines if kind_of(m).has("covers"))
        now.append(abatement[kind_of(machine).text("covers")].entry("abatement_share"))
    desk.table_rows("cover_now", "what covering at once would save", "covered", now, "1")
    for name, row, words in (("cover_4h", "within_4_h", "after 4 h"), ("cover_24h", "within_24_h", "after 24 h")):
        desk.table_value(name, f"what covering saves {words}", abatement[row].entry("abatement_share"))
    desk.constant("no_effect", "ammonia_delay", "no_effect_h")
    rates = {"lag_h": "lag", "spread_rate_ha_h": "spread_rate", "cover_rate_ha_h": "cover_rate", "area_ha": "area"}
    sheet.work("delay", mean_delay, "slurry lies uncovered, mean of the field", **rates)
    sheet.work(
        "early", mean_early_share, "share of the loss gone before covering, mean of the field",
        abatement_now_share="cover_now", abatement_4h_share="cover_4h", abatement_24h_share="cover_24h",
        no_effect_h="no_effect", **rates,
    )  # fmt: skip
