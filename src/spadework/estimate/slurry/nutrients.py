"""What the slurry holds, whatever the basis of its analysis, and what the dose brings."""

from __future__ import annotations

from spadework.estimate.desk import Desk, FromPlan, as_share
from spadework.estimate.slurry.analyses import work_analyses, work_stand_in
from spadework.plan.composition import FACTORS
from spadework.quantities import Quantity
from spadework.science.slurry import (
    content_of_dry_matter,
    content_per_volume,
    nitrogen_from_ammonium,
    nutrient_rate,
    only_where,
    oxide_from_element,
)

__all__ = ["work_nutrients"]

_CONTENTS = (
    ("total_n", "total N", "N"),
    ("ammoniacal_n", "ammoniacal N", "N"),
    ("phosphorus", "phosphate (P2O5)", "P2O5"),
    ("potassium", "potash (K2O)", "K2O"),
)


def work_nutrients(desk: Desk) -> None:
    """Put the contents of the slurry and of the dose on the sheet."""
    sheet, slurry = desk.sheet, desk.chain.plan.slurry
    if slurry.stand_in is not None:
        work_stand_in(desk)
    elif slurry.analyses:
        work_analyses(desk)
    else:
        dry_matter = FromPlan(as_share(slurry.dry_matter), ("slurry", "dry_matter"))
        desk.plan_value("dry_matter", "dry matter of the slurry", "1", dry_matter)
        for key, words, _ in _CONTENTS:
            _content(desk, key, words, getattr(slurry, key))
    for key, words, _ in _CONTENTS:
        dose = desk.dose_on("placing")
        sheet.work(f"{key}_spread", nutrient_rate, f"{words} in the dose", dose_m3_ha=dose, content_kg_m3=key)
    systems = range(len(desk.chain.plan.systems))
    placed = [[0.0 if desk.chain.placing_step(s) is None else 1.0] for s in systems]
    places = [desk.chain.read.place("system", s) for s in systems]
    sheet.given("placed", placed, "1", "1 where the system places slurry, else 0", over="system", places=places)
    for key, words, _ in _CONTENTS:
        if sheet.figures[f"{key}_spread"].over:
            sheet.total(f"{key}_dose", f"{key}_spread", f"{words} in the slurry")
        else:
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
    factor = FACTORS.get(quantity.substance)
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
