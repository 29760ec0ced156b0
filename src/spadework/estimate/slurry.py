"""What the slurry brings, what of it is lost as ammonia, what the crop gets, and what must still be bought."""

from __future__ import annotations

import numpy as np

from spadework.estimate.desk import Desk, FromPlan, as_share
from spadework.plan import PlanFaults
from spadework.plan.outfits import kind_of
from spadework.quantities import Quantity
from spadework.reference import load
from spadework.science.slurry import (
    available_n_mechanistic,
    bought_n_needed,
    bought_n_replaced,
    content_of_dry_matter,
    content_per_volume,
    early_or_never,
    loss_covered,
    mean_delay,
    mean_early_share,
    method_abatement,
    nh3_n_loss,
    nitrogen_from_ammonium,
    nutrient_rate,
    only_where,
    organic_n,
    oxide_from_element,
    tan_kept,
)
from spadework.working import Axis

__all__ = ["covering_rows", "work_slurry"]

_CONTENTS = (
    ("total_n", "total N", "N"),
    ("ammoniacal_n", "ammoniacal N", "N"),
    ("phosphorus", "phosphate (P2O5)", "P2O5"),
    ("potassium", "potash (K2O)", "K2O"),
)
_FACTORS = {"P": "p2o5_per_p", "K": "k2o_per_k", "NH4": "nh4_per_nh4_n"}


def work_slurry(desk: Desk) -> None:
    """Put nutrients, ammonia loss and the nitrogen path on the sheet."""
    _nutrients(desk)
    _ammonia(desk)
    _nitrogen(desk)


def _nutrients(desk: Desk) -> None:
    sheet, slurry = desk.sheet, desk.chain.plan.slurry
    desk.plan_value(
        "dry_matter", "dry matter of the slurry", "1", FromPlan(as_share(slurry.dry_matter), ("slurry", "dry_matter"))
    )
    for key, words, _ in _CONTENTS:
        _content(desk, key, words, getattr(slurry, key))
        sheet.work(f"{key}_spread", nutrient_rate, f"{words} in the dose", dose_m3_ha="dose", content_kg_m3=key)
    systems = range(len(desk.chain.plan.systems))
    placed = [[0.0 if desk.chain.placing_step(s) is None else 1.0] for s in systems]
    places = [desk.chain.read.place("system", s) for s in systems]
    sheet.given("placed", placed, "1", "1 where the system places slurry, else 0", over="system", places=places)
    for key, words, _ in _CONTENTS:
        sheet.work(f"{key}_dose", only_where, f"{words} in the slurry", amount=f"{key}_spread", placed="placed")


def _content(desk: Desk, key: str, words: str, quantity: Quantity) -> None:
    """Put a content of the slurry on the sheet in kg/m3, as N, P2O5 or K2O, whatever its basis in the plan."""
    sheet = desk.sheet
    path = ("slurry", key)
    together = "slurry strength" if key in {"total_n", "ammoniacal_n"} else ""  # thin or thick, both move together
    name = f"{key}_given"
    desk.plan_value(
        name,
        f"{words}, as analysed",
        f"{quantity.unit} {quantity.substance}".strip(),
        FromPlan(quantity, path, drawn_with=together),
    )
    if desk.chain.plan.slurry.basis == "dry":
        sheet.work(
            f"{key}_fresh",
            content_of_dry_matter,
            f"{words} of fresh slurry",
            content_g_kg=name,
            dry_matter_share="dry_matter",
        )
        name = f"{key}_fresh"
    factor = _FACTORS.get(quantity.substance)
    if factor is not None:
        if factor not in sheet.figures:
            desk.constant(factor, "chemistry", factor)
        sheet.work(
            f"{key}_substance",
            nitrogen_from_ammonium if quantity.substance == "NH4" else oxide_from_element,
            f"{words}, as it is counted here",
            content=name,
            factor=factor,
        )
        name = f"{key}_substance"
    per_mass = quantity.unit != "kg/m3" or desk.chain.plan.slurry.basis == "dry"
    if per_mass:
        sheet.work(key, content_per_volume, f"{words} of the slurry", content_kg_t=name, density_t_m3="density")
    else:
        sheet.given(
            key,
            sheet[name],
            "kg/m3",
            f"{words} of the slurry",
            places=[desk.chain.read.place(*path)],
            texts=[quantity.text],
        )


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


def _ammonia(desk: Desk) -> None:
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


def _nitrogen(desk: Desk) -> None:
    sheet, plan = desk.sheet, desk.chain.plan
    sheet.work(
        "placing_kept", tan_kept, "ammoniacal N kept", tan_kg_ha="ammoniacal_n_spread", loss_share="placing_loss"
    )
    more = float(np.mean(sheet["ammoniacal_n_spread"] > sheet["total_n_spread"]))
    if more > 0:
        what = f"in {more:.1%} of the draws there is more ammoniacal N than total N; check both and their spreads"
        raise PlanFaults([desk.chain.read.fault(what, "slurry", "ammoniacal_n")], desk.chain.read.name)
    sheet.work(
        "organic",
        organic_n,
        "organic N in the dose",
        total_n_kg_ha="total_n_spread",
        ammoniacal_n_kg_ha="ammoniacal_n_spread",
    )
    for key in ("a_min_share", "m1_share"):
        desk.constant(key, "nitrogen_mechanistic", key)
    sheet.work(
        "placing_available", available_n_mechanistic, "N that the crop can use this year",
        tan_kept_kg_ha="placing_kept", organic_n_kg_ha="organic", a_min_share="a_min_share", m1_share="m1_share",
    )  # fmt: skip
    for name, figure, label in (
        ("lost_n", "placing_lost_n", "N lost as ammonia"),
        ("kept_n", "placing_kept", "ammoniacal N kept"),
        ("available_n", "placing_available", "N that the crop can use this year"),
        ("loss_share", "placing_loss", "ammonia lost, of ammoniacal N"),
    ):
        sheet.total(name, figure, label)
    need = FromPlan(plan.crop.n_need, ("crop", "n_need"))
    desk.plan_value("n_need", "N that the crop needs", "kg/ha", need)
    sheet.work(
        "replaced_n", bought_n_replaced, "bought N replaced", available_n_kg_ha="available_n", need_kg_ha="n_need"
    )
    sheet.work("bought_n", bought_n_needed, "N to be bought", available_n_kg_ha="available_n", need_kg_ha="n_need")
