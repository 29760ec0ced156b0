"""Cost per hectare of every system, from hours, wear, fuel and labour, with the nitrogen still to be bought."""

from __future__ import annotations

from collections.abc import Sequence

from spadework.estimate.desk import Desk, FromPlan, as_share
from spadework.estimate.power import machine_path, tractor_path
from spadework.plan import Machine, Tractor
from spadework.plan.agreement import kind_of
from spadework.reference import load
from spadework.science.machinery import (
    capital_recovery,
    cost_per_hectare,
    fuel_cost,
    holding_cost,
    labour_cost,
    lubricant_cost,
    machine_cost_per_hour,
    remaining_value_asae_d497_7,
    repair_asae_d497,
)
from spadework.science.machinery.keeping import owned_hours, remaining_price, repair_per_year
from spadework.science.slurry import cost_of_slurry, only_where, price_per_volume, value_of_n

__all__ = ["COST_PARTS", "work_money"]

COST_PARTS = {
    "fuel_cost": "diesel and oil",
    "labour_cost": "labour",
    "tractor_cost": "tractors",
    "machine_cost": "machines",
    "slurry_cost": "slurry, brought to the field",
    "nitrogen_cost": "nitrogen to be bought",
}
"""Figures that add up to the cost of a system, with their names for people."""


def work_money(desk: Desk) -> None:
    """Put the cost of passes, slurry and bought nitrogen on the sheet, and their sum."""
    sheet, prices = desk.sheet, desk.chain.plan.prices
    interest = FromPlan(as_share(prices.interest), ("prices", "interest"))
    desk.plan_value("interest", "interest", "1", interest)
    desk.constant("holding_share", "machine_ownership", "holding_share")
    _hours(desk)
    desk.plan_value("diesel_price", "price of diesel", "EUR/L", FromPlan(prices.diesel, ("prices", "diesel")))
    desk.constant("lubricant_share", "machine_ownership", "lubricant_share")
    sheet.work("pass_diesel_cost", fuel_cost, "diesel of the pass", fuel_l_ha="pass_fuel", price_eur_l="diesel_price")
    sheet.work(
        "pass_oil_cost",
        lubricant_cost,
        "oil of the pass",
        fuel_cost_eur_ha="pass_diesel_cost",
        lubricant_share="lubricant_share",
    )
    sheet.total("diesel_cost", "pass_diesel_cost", "diesel")
    sheet.total("oil_cost", "pass_oil_cost", "oil and grease")
    sheet.add_up("fuel_cost", COST_PARTS["fuel_cost"], "diesel_cost", "oil_cost")
    desk.plan_value("wage", "labour", "EUR/h", FromPlan(prices.labour, ("prices", "labour")))
    desk.constant("paid_hours", "machine_ownership", "paid_per_machine_hour")
    sheet.work(
        "pass_labour", labour_cost, "labour of the pass",
        field_time_h_ha="field_time", paid_per_machine_hour="paid_hours", wage_eur_h="wage",
    )  # fmt: skip
    sheet.total("labour_cost", "pass_labour", COST_PARTS["labour_cost"])
    _slurry_and_nitrogen(desk)
    _sum(desk)


def _hours(desk: Desk) -> None:
    sheet, chain = desk.sheet, desk.chain
    tractors = [(step.tractor, tractor_path(desk, step), _tractor_rows(desk, i)) for i, step in enumerate(chain.steps)]
    machines = [
        (
            machine,
            machine_path(desk, machine.name),
            (kind_of(machine).text("remaining_row"), kind_of(machine).text("repair_row")),
        )
        for step in chain.steps
        for machine in step.machines
    ]
    pass_of = [i for i, step in enumerate(chain.steps) for _ in step.machines]
    sheet.gather("machine_time", "pick", "field_time", "field time", over="machine", rows=[[i] for i in pass_of])
    for prefix, over, owned, time in (
        ("tractor", "pass", tractors, "field_time"),
        ("machine", "machine", machines, "machine_time"),
    ):
        _owned(desk, prefix, over, owned)
        sheet.work(
            f"{prefix}_cost_ha", cost_per_hectare, f"{prefix} cost",
            cost_eur_h=f"{prefix}_cost_h", field_time_h_ha=time,
        )  # fmt: skip
        sheet.total(f"{prefix}_cost", f"{prefix}_cost_ha", COST_PARTS[f"{prefix}_cost"])


def _tractor_rows(desk: Desk, step: int) -> tuple[str, str]:
    power = float(desk.sheet["rated_power"][step].mean())
    table = load("remaining_value_asae_d497")
    size = next(
        (key for key, row in table.items() if row.has("below_kw") and power < row.entry("below_kw").value),
        "tractor_large",
    )
    return size, "tractor_" + desk.chain.steps[step].tractor.drive.replace(" ", "_")


def _owned(
    desk: Desk,
    prefix: str,
    over: str,
    owned: Sequence[tuple[Tractor | Machine, tuple[str | int, ...], tuple[str, str]]],
) -> None:
    sheet = desk.sheet
    remaining, repair = load("remaining_value_asae_d497"), load("repair_asae_d497")
    for key, unit, label in (
        ("price", "EUR", "list price"),
        ("years", "year", "years kept"),
        ("hours", "h/year", "hours a year"),
    ):
        sources = [FromPlan(getattr(thing, key), (*path, key), low=1e-6) for thing, path, _ in owned]
        desk.plan_rows(f"{prefix}_{key}", f"{label}, {prefix}", unit, over, sources)
    for factor in ("c1", "c2", "c3"):
        entries = [remaining[rows[0]].entry(factor) for _, _, rows in owned]
        desk.table_rows(f"{prefix}_{factor}", f"remaining value, factor {factor}", over, entries)
    for factor in ("rf1", "rf2"):
        entries = [repair[rows[1]].entry(factor) for _, _, rows in owned]
        desk.table_rows(f"{prefix}_{factor}", f"repair, factor {factor}", over, entries)
    p = {key: f"{prefix}_{key}" for key in ("price", "years", "hours", "c1", "c2", "c3", "rf1", "rf2")}
    sheet.work(
        f"{prefix}_remaining_share", remaining_value_asae_d497_7, f"remaining value, {prefix}",
        c1=p["c1"], c2=p["c2"], c3=p["c3"], years=p["years"], hours_per_year=p["hours"],
    )  # fmt: skip
    sheet.work(
        f"{prefix}_remaining", remaining_price, f"remaining price, {prefix}",
        price_eur=p["price"], remaining_share=f"{prefix}_remaining_share",
    )  # fmt: skip
    sheet.work(
        f"{prefix}_capital", capital_recovery, f"wear and interest, {prefix}",
        price_eur=p["price"], remaining_eur=f"{prefix}_remaining", interest_share="interest", years=p["years"],
    )  # fmt: skip
    sheet.work(
        f"{prefix}_holding", holding_cost, f"tax, housing, insurance, {prefix}",
        price_eur=p["price"], holding_share="holding_share",
    )  # fmt: skip
    sheet.work(
        f"{prefix}_life", owned_hours, f"hours over all years, {prefix}", years=p["years"], hours_per_year=p["hours"]
    )
    if "no_hours" not in sheet.figures:
        sheet.given("no_hours", 0.0, "h", "hours when new", places=["new machine"])
    sheet.work(
        f"{prefix}_repairs", repair_asae_d497, f"repairs over all years, {prefix}",
        price_eur=p["price"], rf1=p["rf1"], rf2=p["rf2"], hours_from="no_hours", hours_to=f"{prefix}_life",
    )  # fmt: skip
    sheet.work(
        f"{prefix}_repair",
        repair_per_year,
        f"repairs a year, {prefix}",
        repair_eur=f"{prefix}_repairs",
        years=p["years"],
    )
    sheet.work(
        f"{prefix}_cost_h", machine_cost_per_hour, f"cost an hour, {prefix}",
        capital_eur_year=f"{prefix}_capital", holding_eur_year=f"{prefix}_holding",
        repair_eur_year=f"{prefix}_repair", hours_per_year=p["hours"],
    )  # fmt: skip


def _slurry_and_nitrogen(desk: Desk) -> None:
    sheet, plan = desk.sheet, desk.chain.plan
    for key, words in (("price", "slurry itself"), ("delivery", "bringing slurry to the field")):
        quantity = getattr(plan.slurry, key)
        source = FromPlan(quantity, ("slurry", key), low=-1e6)
        if quantity.unit.endswith("/t"):
            desk.plan_value(f"slurry_{key}_mass", f"{words}, per mass", "EUR/t", source)
            sheet.work(
                f"slurry_{key}", price_per_volume, words, price_eur_t=f"slurry_{key}_mass", density_t_m3="density"
            )
        else:
            desk.plan_value(f"slurry_{key}", words, "EUR/m3", source)
        sheet.work(f"slurry_{key}_cost", cost_of_slurry, words, dose_m3_ha="dose", price_eur_m3=f"slurry_{key}")
    sheet.add_up("dose_cost", "slurry of the dose, at the field", "slurry_price_cost", "slurry_delivery_cost")
    sheet.work("slurry_cost", only_where, COST_PARTS["slurry_cost"], amount="dose_cost", placed="placed")
    desk.plan_value("n_price", "price of bought N", "EUR/kg", FromPlan(plan.prices.nitrogen, ("prices", "nitrogen")))
    sheet.work(
        "nitrogen_cost", value_of_n, COST_PARTS["nitrogen_cost"], replaced_kg_ha="bought_n", price_eur_kg="n_price"
    )


def _sum(desk: Desk) -> None:
    parts = tuple(COST_PARTS)
    desk.sheet.add_up("pass_cost", "cost of the passes", *parts[:4])
    desk.sheet.add_up("cost", "cost of the passes, the slurry and the nitrogen to be bought", *parts)
