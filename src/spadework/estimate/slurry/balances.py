"""Phosphate and potash brought, taken away and bought; starter fertiliser given or saved; what all of it costs."""

from __future__ import annotations

import numpy as np

from spadework.estimate.desk import Desk, FromPlan, as_share
from spadework.reference import Entry, constants, load
from spadework.science.slurry.balance import (
    bought_replaced,
    cost_of_product,
    crop_removal,
    nutrient_balance,
    nutrient_of_product,
    value_of_starter,
)
from spadework.science.slurry.nitrogen import bought_n_needed, value_of_n

__all__ = ["NUTRIENTS", "work_balances", "work_nutrient_money", "work_starter"]

NUTRIENTS = {"p2o5": ("phosphate (P2O5)", "phosphorus", "phosphate"), "k2o": ("potash (K2O)", "potassium", "potash")}
"""By prefix of their figures: what they are called, their prefix among the contents, and their key among the prices."""


def work_starter(desk: Desk) -> None:
    """Put the starter fertiliser and its nutrients on the sheet; nil where the plan has none."""
    sheet, plan = desk.sheet, desk.chain.plan
    starter, at = plan.crop.starter, ("crop", "starter")
    places = [desk.chain.read.place("system", s, "saves_starter") for s in range(len(plan.systems))]
    given = [[0.0 if starter is None or system.saves_starter else 1.0] for system in plan.systems]
    left = [[0.0 if starter is None or not system.saves_starter else 1.0] for system in plan.systems]
    sheet.given(
        "starter_given", given, "1", "1 where starter fertiliser is given, else 0", over="system", places=places
    )
    sheet.given("starter_left_out", left, "1", "1 where the system does without it", over="system", places=places)
    for name, label, unit, source in (
        ("starter_rate", "starter fertiliser", "kg/ha", FromPlan(starter.rate if starter else 0.0, (*at, "rate"))),
        ("starter_n_share", "N in it", "1", FromPlan(as_share(starter.n if starter else None), (*at, "n"), 0, 1)),
        ("starter_p2o5_share", "phosphate in it", "1",
         FromPlan(as_share(starter.p2o5 if starter else None), (*at, "p2o5"), 0, 1)),
        ("starter_price", "price of the starter", "EUR/t", FromPlan(starter.price if starter else 0.0, (*at, "price"))),
    ):  # fmt: skip
        desk.plan_value(name, label, unit, source)
    sheet.work(
        "starter_kg", nutrient_of_product, "starter fertiliser given",
        product_kg_ha="starter_rate", nutrient_share="starter_given",
    )  # fmt: skip
    for name, share, label in (
        ("starter_n", "starter_n_share", "N in the starter"),
        ("starter_p2o5", "starter_p2o5_share", "phosphate (P2O5) in the starter"),
    ):
        sheet.work(name, nutrient_of_product, label, product_kg_ha="starter_kg", nutrient_share=share)
    sheet.work(
        "starter_cost", cost_of_product, "starter fertiliser", product_kg_ha="starter_kg", price_eur_t="starter_price"
    )
    sheet.work(
        "starter_saved", value_of_starter, "what the starter left out would have cost",
        product_kg_ha="starter_rate", price_eur_t="starter_price", saved_share="starter_left_out",
    )  # fmt: skip


def work_balances(desk: Desk) -> None:
    """Put phosphate and potash on the sheet: brought, taken away, needed, replaced, bought, and the balance."""
    for nutrient, (words, brought, _) in NUTRIENTS.items():
        _balance(desk, nutrient, words, f"{brought}_dose")


def _balance(desk: Desk, nutrient: str, words: str, brought: str) -> None:
    sheet = desk.sheet
    content, per_dry = _removal(desk, nutrient)
    desk.table_value(f"{nutrient}_content", f"{words} in the harvest", content)
    sheet.work(
        f"{nutrient}_removed", crop_removal, f"{words} taken away with the crop",
        yield_t_ha="expected_yield" if per_dry else "fresh_yield", content_kg_t=f"{nutrient}_content",
    )  # fmt: skip
    need = f"{nutrient}_need" if f"{nutrient}_need" in sheet.figures else f"{nutrient}_removed"
    starter = f"starter_{nutrient}"
    if starter not in sheet.figures:
        systems = len(desk.chain.plan.systems)
        label = f"{words} in the starter"
        sheet.given(starter, np.zeros((systems, 1)), "kg/ha", label, over="system", places=["a starter has none"])
    left, replaced, bought = (f"{nutrient}_{what}" for what in ("need_left", "replaced", "bought"))
    sheet.work(
        left, bought_n_needed, f"{words} needed beside the starter", available_n_kg_ha=starter, need_kg_ha=need,
        note="" if need.endswith("_need") else "the plan names no need: as much as the harvest takes away",
    )  # fmt: skip
    effect = constants("mineral_effect")[nutrient]
    desk.table_value(f"{nutrient}_effect", f"{words} of slurry against bought", effect)
    sheet.work(
        replaced, bought_replaced, f"bought {words} replaced",
        brought_kg_ha=brought, effect_share=f"{nutrient}_effect", need_kg_ha=left,
    )  # fmt: skip
    sheet.work(bought, bought_n_needed, f"{words} to be bought", available_n_kg_ha=replaced, need_kg_ha=left)
    sheet.add_up(f"{nutrient}_all_bought", f"{words} bought, starter included", bought, starter)
    sheet.work(
        f"{nutrient}_balance", nutrient_balance, f"balance of {words} at the edge of the field",
        brought_kg_ha=brought, bought_kg_ha=f"{nutrient}_all_bought", removed_kg_ha=f"{nutrient}_removed",
    )  # fmt: skip


def _removal(desk: Desk, nutrient: str) -> tuple[Entry, bool]:
    """Return what the harvest holds per tonne, and whether that is a tonne of dry matter."""
    column = f"{nutrient}_kg_t"
    if desk.chain.plan.crop.kind == "silage maize":
        return load("silage_removal_dry")["silage_iowa"].entry(column), True
    row = "grain_de" if nutrient == "p2o5" else "grain_de_potash"
    return load("nutrient_removal")[row].entry(column), False


def work_nutrient_money(desk: Desk) -> None:
    """Put on the sheet what bought phosphate and potash cost and what slurry saves of all three; unpriced counts nil."""
    sheet, prices = desk.sheet, desk.chain.plan.prices
    for nutrient, (words, _, key) in NUTRIENTS.items():
        price = getattr(prices, key)
        label = f"price of bought {words}" + ("" if price is not None else "; not priced in the plan")
        source = FromPlan(price if price is not None else 0.0, ("prices", key))
        desk.plan_value(f"{nutrient}_price", label, "EUR/kg", source)
        for name, figure, said in (
            (f"{nutrient}_cost", f"{nutrient}_bought", f"{words} to be bought"),
            (f"{nutrient}_value", f"{nutrient}_replaced", f"what slurry saves of bought {words}"),
        ):
            sheet.work(name, value_of_n, said, replaced_kg_ha=figure, price_eur_kg=f"{nutrient}_price")
    for name, figure, said in (
        ("n_value", "replaced_n", "what slurry saves of bought N"),
        ("later_value", "later_n", "what the N of later years would be worth, not counted in the cost"),
    ):
        sheet.work(name, value_of_n, said, replaced_kg_ha=figure, price_eur_kg="n_price")
    sheet.add_up("pk_cost", "phosphate and potash to be bought", "p2o5_cost", "k2o_cost")
    saved = "what slurry saves of bought N, phosphate and potash"
    sheet.add_up("nutrient_value", saved, "n_value", "p2o5_value", "k2o_value")
