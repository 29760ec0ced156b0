"""Cost per hectare of every system: passes, slurry on its way, the slurry itself, and the nutrients still to be bought."""

from __future__ import annotations

from spadework.estimate.desk import Desk, FromPlan, as_share
from spadework.estimate.money.ownership import own_machine, own_tractor, work_owned
from spadework.estimate.slurry.balances import work_nutrient_money
from spadework.science.machinery import (
    cost_per_hectare,
    crew_cost,
    fuel_cost,
    labour_cost,
    lubricant_cost,
    paid_wage,
)
from spadework.science.slurry import cost_of_slurry, only_where, price_per_volume, value_of_n

__all__ = ["COST_PARTS", "PASS_PARTS", "work_money"]

COST_PARTS = {
    "fuel_cost": "diesel and oil",
    "labour_cost": "labour",
    "tractor_cost": "tractors",
    "machine_cost": "machines",
    "supply_cost": "bringing the slurry",
    "slurry_cost": "slurry, stirred",
    "nitrogen_cost": "nitrogen to be bought",
    "starter_cost": "starter fertiliser",
    "pk_cost": "phosphate and potash to be bought",
}
"""Figures that add up to the cost of a system, with their names for people."""
PASS_PARTS = ("pass_diesel_cost", "pass_oil_cost", "pass_labour", "tractor_cost_ha", "pass_machine_cost")
"""Figures that add up to the full cost of one pass."""


def work_money(desk: Desk) -> None:
    """Put the cost of passes, slurry and fertiliser on the sheet, and their sum."""
    sheet, prices = desk.sheet, desk.chain.plan.prices
    interest = FromPlan(as_share(prices.interest), ("prices", "interest"))
    desk.plan_value("interest", "interest", "1", interest)
    desk.constant("holding_share", "machine_ownership", "holding_share")
    sheet.given("no_hours", 0.0, "h", "hours when new", places=["new machine"])
    desk.plan_value("wage", "labour", "EUR/h", FromPlan(prices.labour, ("prices", "labour")))
    desk.constant("paid_hours", "machine_ownership", "paid_per_machine_hour")
    _hours(desk)
    desk.plan_value("diesel_price", "price of diesel", "EUR/L", FromPlan(prices.diesel, ("prices", "diesel")))
    desk.constant("lubricant_share", "machine_ownership", "lubricant_share")
    sheet.work("pass_diesel_cost", fuel_cost, "diesel of the pass", fuel_l_ha="pass_fuel", price_eur_l="diesel_price")
    sheet.work(
        "pass_oil_cost", lubricant_cost, "oil of the pass",
        fuel_cost_eur_ha="pass_diesel_cost", lubricant_share="lubricant_share",
    )  # fmt: skip
    sheet.work(
        "pass_labour", labour_cost, "labour of the pass",
        field_time_h_ha="field_time", paid_per_machine_hour="paid_hours", wage_eur_h="wage",
    )  # fmt: skip
    sheet.add_up("pass_full", "full cost of the pass", *PASS_PARTS)
    sheet.total("diesel_cost", "pass_diesel_cost", "diesel")
    sheet.total("oil_cost", "pass_oil_cost", "oil and grease")
    sheet.add_up("fuel_cost", COST_PARTS["fuel_cost"], "diesel_cost", "oil_cost")
    sheet.total("labour_cost", "pass_labour", COST_PARTS["labour_cost"])
    _supply(desk)
    _slurry_and_nitrogen(desk)
    parts = tuple(COST_PARTS)
    sheet.add_up("pass_cost", "cost of the passes and of bringing the slurry", *parts[:5])
    sheet.add_up("cost", "cost of the passes, the slurry and what is to be bought", *parts)


def _hours(desk: Desk) -> None:
    sheet, chain = desk.sheet, desk.chain
    rated = [float(row.mean()) for row in sheet["rated_power"]]
    tractors = [own_tractor(desk, step.tractor, kw) for step, kw in zip(chain.steps, rated, strict=True)]
    work_owned(desk, "tractor", "pass", tractors)
    work_owned(desk, "machine", "machine", [own_machine(desk, m) for step in chain.steps for m in step.machines])
    pass_of = [i for i, step in enumerate(chain.steps) for _ in step.machines]
    sheet.gather("machine_time", "pick", "field_time", "field time", over="machine", rows=[[i] for i in pass_of])
    for prefix, time in (("tractor", "field_time"), ("machine", "machine_time")):
        sheet.work(
            f"{prefix}_cost_ha", cost_per_hectare, f"{prefix} cost",
            cost_eur_h=f"{prefix}_cost_h", field_time_h_ha=time,
        )  # fmt: skip
        sheet.total(f"{prefix}_cost", f"{prefix}_cost_ha", COST_PARTS[f"{prefix}_cost"])
    of_pass = [[j for j, i in enumerate(pass_of) if i == index] for index in range(len(chain.steps))]
    sheet.gather("pass_machine_cost", "sum", "machine_cost_ha", "machines of the pass", over="pass", rows=of_pass)


def _supply(desk: Desk) -> None:
    """Put on the sheet what it costs to bring the slurry to the outfit that places it."""
    sheet = desk.sheet
    for axis in ("fed", "contained"):
        if axis in sheet.axes:
            _feeders(desk, axis)
    if "contained" in sheet.axes:
        _rate(desk, "contained", "time_contained", "container_cost", "the container")
        sheet.add_up("contained_cost", "feeders and container", "contained_crew_cost", "container_cost")
    if "fed" in sheet.axes:
        sheet.add_up("fed_cost", "feeders", "fed_crew_cost")
    if "hosed" in sheet.axes:
        _rate(desk, "hosed", "hose_time", "hosed_cost", "pump and hose")
    if "brought" in sheet.axes:
        _delivery(desk)
    if "tanked" in sheet.axes:
        known = ["fed_cost", "contained_cost", "brought_cost"]
        desk.merge("tanked_supply_cost", "bringing the slurry", "tanked", known, "EUR/ha")
    desk.merge("placing_supply_cost", "bringing the slurry", "placing", ["tanked_supply_cost", "hosed_cost"], "EUR/ha")
    sheet.total("supply_cost", "placing_supply_cost", COST_PARTS["supply_cost"])


def _feeders(desk: Desk, axis: str) -> None:
    sheet, chain = desk.sheet, desk.chain
    supplies = chain.supplies(axis)
    name = f"{{}}_{axis}".format
    rated = [float(row.mean()) for row in sheet[name("feeder_power")]]
    tractors = [
        own_tractor(desk, chain.plan.tractor(s.tractor or ""), kw) for s, kw in zip(supplies, rated, strict=True)
    ]
    work_owned(desk, f"{axis}_tractor", axis, tractors)
    work_owned(desk, f"{axis}_tank", axis, [own_machine(desk, chain.plan.machine(s.machine or "")) for s in supplies])
    if "paid_wage" not in sheet.figures:
        sheet.work(
            "paid_wage",
            paid_wage,
            "driver, by the hour of the machine",
            wage_eur_h="wage",
            paid_per_machine_hour="paid_hours",
        )
    sheet.add_up(
        f"{axis}_feeder_cost_h",
        "a feeder by the hour, without diesel",
        f"{axis}_tractor_cost_h",
        f"{axis}_tank_cost_h",
        "paid_wage",
    )
    sheet.work(
        f"{axis}_hours_cost", crew_cost, "feeders and their drivers",
        vehicles=name("feeders"), cost_eur_h=f"{axis}_feeder_cost_h", time_h_ha=name("time"),
    )  # fmt: skip
    sheet.work(
        f"{axis}_diesel_cost", fuel_cost, "diesel of the feeders", fuel_l_ha=f"{axis}_fuel", price_eur_l="diesel_price"
    )
    sheet.work(
        f"{axis}_oil_cost", lubricant_cost, "oil of the feeders",
        fuel_cost_eur_ha=f"{axis}_diesel_cost", lubricant_share="lubricant_share",
    )  # fmt: skip
    sheet.add_up(
        f"{axis}_crew_cost",
        "feeders with drivers and diesel",
        f"{axis}_hours_cost",
        f"{axis}_diesel_cost",
        f"{axis}_oil_cost",
    )


def _rate(desk: Desk, axis: str, time: str, name: str, words: str) -> None:
    sheet, chain = desk.sheet, desk.chain
    sources = [FromPlan(s.rate or 0.0, (*chain.supply_path(s.name), "rate")) for s in chain.supplies(axis)]
    desk.plan_rows(f"{axis}_rate", f"{words} by the hour", "EUR/h", axis, sources)
    sheet.work(name, cost_per_hectare, words, cost_eur_h=f"{axis}_rate", field_time_h_ha=time)


def _delivery(desk: Desk) -> None:
    """Put on the sheet what others charge for bringing slurry to the field."""
    _per_volume(desk, "delivery", "bringing slurry to the field, charged by others", "brought")
    sheet = desk.sheet
    rows = len(sheet.axes["brought"].labels)
    sheet.given(
        "brought_once", [[1.0]] * rows, "1", "1 where others bring it", over="brought", places=["refill in the plan"]
    )
    sheet.work("brought_cost", only_where, "charged by others", amount="slurry_delivery_cost", placed="brought_once")


def _per_volume(desk: Desk, key: str, words: str, over: str) -> None:
    sheet, quantity = desk.sheet, getattr(desk.chain.plan.slurry, key)
    source = FromPlan(0.0 if quantity is None else quantity, ("slurry", key), low=-1e6)
    if quantity is not None and quantity.unit.endswith("/t"):
        desk.plan_value(f"slurry_{key}_mass", f"{words}, per mass", "EUR/t", source)
        sheet.work(f"slurry_{key}", price_per_volume, words, price_eur_t=f"slurry_{key}_mass", density_t_m3="density")
    else:
        desk.plan_value(f"slurry_{key}", words, "EUR/m3", source)
    sheet.work(f"slurry_{key}_cost", cost_of_slurry, words, dose_m3_ha=desk.dose_on(over), price_eur_m3=f"slurry_{key}")


def _slurry_and_nitrogen(desk: Desk) -> None:
    sheet, plan = desk.sheet, desk.chain.plan
    _per_volume(desk, "price", "slurry itself", "system")
    _per_volume(desk, "stirring", "stirring the store", "system")
    sheet.add_up("dose_cost", "slurry of the dose, stirred", "slurry_price_cost", "slurry_stirring_cost")
    sheet.work("slurry_cost", only_where, COST_PARTS["slurry_cost"], amount="dose_cost", placed="placed")
    desk.plan_value("n_price", "price of bought N", "EUR/kg", FromPlan(plan.prices.nitrogen, ("prices", "nitrogen")))
    sheet.work(
        "nitrogen_cost", value_of_n, COST_PARTS["nitrogen_cost"], replaced_kg_ha="bought_n", price_eur_kg="n_price"
    )
    work_nutrient_money(desk)
