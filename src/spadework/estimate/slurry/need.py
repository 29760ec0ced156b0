"""What the crop needs of nitrogen, phosphate and potash: as the plan says it, by a target value, or by a soil index.

The figures of the national tables are planning aids with their source, never a ruling: check locally.
"""

from __future__ import annotations

from spadework.estimate.desk import Desk, FromPlan, as_share
from spadework.plan.schema.crop import Need
from spadework.quantities import Quantity
from spadework.reference import constants, load
from spadework.science.slurry.crop_need import fresh_yield, guide_points, mean_yield_germany
from spadework.science.slurry.need import n_need_germany, nutrient_need_uk, yield_adjustment_germany

__all__ = ["work_need"]

_TABLE = "maize_n_need"


def work_need(desk: Desk) -> None:
    """Put yields and the need of nitrogen, phosphate and potash on the sheet; without figures for the last two, nothing."""
    crop = desk.chain.plan.crop
    source = FromPlan(crop.expected_yield, ("crop", "expected_yield"), 0.1)
    desk.plan_value("expected_yield", "yield to expect, dry matter", "t/ha", source)
    _dry_matter(desk)
    desk.sheet.work(
        "fresh_yield", fresh_yield, "yield to expect, as weighed",
        dry_yield_t_ha="expected_yield", dry_matter_share="crop_dry_matter",
    )  # fmt: skip
    if crop.need is None:
        assert crop.n_need is not None  # noqa: S101 (a plan with neither is refused when it is read)
        desk.plan_value("n_need", "N that the crop needs", "kg/ha", FromPlan(crop.n_need, ("crop", "n_need")))
    elif crop.need.n_index is not None:
        entry = constants(_TABLE)[f"uk_n_index_{crop.need.n_index}"]
        desk.table_value("n_need", "N that the crop needs, by the index of the soil; check locally", entry)
    else:
        _by_target(desk, crop.need)
    _phosphate_and_potash(desk, crop.need)


def _dry_matter(desk: Desk) -> None:
    """Put the dry matter at which the crop is weighed on the sheet: silage as the plan says, grain as it is traded."""
    crop = desk.chain.plan.crop
    if crop.kind == "silage maize":
        source = FromPlan(as_share(crop.dry_matter), ("crop", "dry_matter"), 0.01, 1)
        desk.plan_value("crop_dry_matter", "dry matter of the crop as it is weighed", "1", source)
    else:
        ((dry_matter, _),) = guide_points("de_grain", "p2o5_kg_t")
        desk.table_value("crop_dry_matter", "dry matter of the crop as it is weighed", dry_matter)


def _by_target(desk: Desk, need: Need) -> None:
    """Put the German reckoning on the sheet, step by step."""
    sheet = desk.sheet
    kind = "silage" if desk.chain.plan.crop.kind == "silage maize" else "grain"
    known = constants(_TABLE)
    if need.target is None:
        desk.table_value("target_n", "target value; check locally", known[f"de_{kind}_target"])
    else:
        desk.plan_value("target_n", "target value, your own", "kg/ha", FromPlan(need.target, _at("target")))
    for name, key in (
        ("base_yield", f"de_{kind}_yield"), ("yield_step", f"de_{kind}_step"), ("step_up", "de_step_up"),
        ("step_down", "de_step_down"), ("up_cap", "de_up_cap"),
    ):  # fmt: skip
        desk.constant(name, _TABLE, key)
    if need.yields is not None:
        _mean_yield(desk, need, need.yields)
    sheet.work(
        "yield_adjustment", yield_adjustment_germany, "more or less N for the yield",
        expected_yield_t_ha="fresh_yield" if need.yields is None else "mean_yield",
        base_yield_t_ha="base_yield", step_t_ha="yield_step", up_kg_ha="step_up", down_kg_ha="step_down",
        cap_kg_ha="up_cap",
    )  # fmt: skip
    desk.plan_value("nmin", "mineral N of the soil in spring", "kg/ha", FromPlan(need.nmin or 0.0, _at("nmin")))
    _soil_supply(desk, need)
    organic = FromPlan(need.last_year_organic or 0.0, _at("last_year_organic"))
    desk.plan_value("last_year_organic", "total N of organic manure last year", "kg/ha", organic)
    desk.constant("carry_over", "nitrogen_carry_over", "de_last_year")
    sheet.work(
        "n_need", n_need_germany, "N that the crop needs, by target value; check locally",
        target_kg_ha="target_n", yield_adjustment_kg_ha="yield_adjustment", nmin_kg_ha="nmin",
        soil_supply_kg_ha="soil_supply", last_year_organic_kg_ha="last_year_organic", carry_over_share="carry_over",
    )  # fmt: skip


def _mean_yield(desk: Desk, need: Need, yields: list[Quantity]) -> None:
    chosen = [1.0 if year in need.replaced else 0.0 for year in range(1, len(yields) + 1)]
    share = constants("maize_yield_rule").extreme_share
    mean = mean_yield_germany([one.value for one in yields], chosen, share)
    said = ", ".join(one.text for one in yields)
    if need.replaced:
        years = ", ".join(map(str, sorted(set(need.replaced))))
        said += f"; for year {years} the year before"
    place = desk.chain.read.place(*_at("yields"))
    desk.sheet.given("mean_yield", mean, "t/ha", "mean yield of past years, as weighed", places=[place], texts=[said])


def _soil_supply(desk: Desk, need: Need) -> None:
    sheet, rows = desk.sheet, load("preceding_crop_n")
    if need.humus_rich:
        desk.table_value("humus_supply", "N from soil rich in humus", constants(_TABLE)["de_humus_supply"])
    else:
        place = desk.chain.read.place(*_at("humus_rich"))
        sheet.given("humus_supply", 0.0, "kg/ha", "N from soil rich in humus", places=[place])
    for name, key in (("preceding_supply", need.preceding_crop), ("catch_supply", need.catch_crop)):
        label = "N from the preceding crop" if name == "preceding_supply" else "N from the catch crop"
        if key is None:
            place = desk.chain.read.place(*_at("catch_crop"))
            sheet.given(name, 0.0, "kg/ha", label, places=[place], texts=["no catch crop"])
        else:
            desk.table_value(name, label, rows[key.replace(" ", "_")].entry("supply_kg_ha"))
    sheet.add_up(
        "soil_supply", "N that soil and earlier crops give", "humus_supply", "preceding_supply", "catch_supply"
    )


def _phosphate_and_potash(desk: Desk, need: Need | None) -> None:
    """Put the need of phosphate and potash on the sheet where the plan or an index says it."""
    crop, known = desk.chain.plan.crop, constants(_TABLE)
    for name, given, key, words in (
        ("p2o5_need", crop.phosphate_need, "phosphate_need", "phosphate (P2O5) that the crop needs"),
        ("k2o_need", crop.potash_need, "potash_need", "potash (K2O) that the crop needs"),
    ):
        if given is not None:
            desk.plan_value(name, words, "kg/ha", FromPlan(given, ("crop", key)))
    if need is None:
        return
    if crop.phosphate_need is None and need.p_index is not None:
        desk.table_value("p2o5_base", "phosphate at the index of the soil", known[f"uk_p2o5_index_{need.p_index}"])
        desk.constant("p2o5_base_yield", _TABLE, "uk_yield")
        desk.constant("p2o5_per_yield", _TABLE, "uk_p2o5_per_t")
        desk.sheet.work(
            "p2o5_need", nutrient_need_uk, "phosphate (P2O5) that the crop needs, by index; check locally",
            base_kg_ha="p2o5_base", expected_yield_t_ha="fresh_yield", base_yield_t_ha="p2o5_base_yield",
            per_yield_kg_t="p2o5_per_yield",
        )  # fmt: skip
    if crop.potash_need is None and need.k_index is not None:
        row = {"2-": "2_minus", "2+": "2_plus"}.get(need.k_index, need.k_index)
        label = "potash (K2O) that the crop needs, by index; check locally"
        desk.table_value("k2o_need", label, known[f"uk_k2o_index_{row}"])


def _at(key: str) -> tuple[str, str, str]:
    return ("crop", "need", key)
