"""The cost of a pass in three views: a contractor, the own machine in full, and what one more hectare costs."""

from __future__ import annotations

from spadework.estimate.desk import Desk, FromPlan, as_share
from spadework.plan import Contractor
from spadework.science.machinery import (
    cost_per_hectare,
    hired_per_hectare_by_hour,
    hired_per_hectare_by_volume,
    hired_with_fuel,
    marginal_cost,
    per_tonne,
    per_volume,
    with_vat,
    without_vat,
)

__all__ = ["work_views"]


def work_views(desk: Desk) -> None:
    """Put marginal cost and contractor's price on the sheet, and the cost per m3 and per tonne."""
    _marginal(desk)
    hired = [row for row, step in enumerate(desk.chain.steps) if step.done.contractor is not None]
    if desk.part_of("hired", "pass", hired):
        _hired(desk, hired)
    _per_amount(desk)


def _marginal(desk: Desk) -> None:
    sheet, chain = desk.sheet, desk.chain
    for prefix, time in (("tractor", "field_time"), ("machine", "machine_time")):
        sheet.work(
            f"{prefix}_repair_ha", cost_per_hectare, f"repairs, {prefix}",
            cost_eur_h=f"{prefix}_repair_h", field_time_h_ha=time,
        )  # fmt: skip
    pass_of = [i for i, step in enumerate(chain.steps) for _ in step.machines]
    of_pass = [[j for j, i in enumerate(pass_of) if i == index] for index in range(len(chain.steps))]
    sheet.gather("pass_machine_repair", "sum", "machine_repair_ha", "repairs, machines", over="pass", rows=of_pass)
    sheet.add_up("pass_repair", "repairs of tractor and machines", "tractor_repair_ha", "pass_machine_repair")
    sheet.work(
        "pass_marginal", marginal_cost, "cost of one more hectare of the pass",
        fuel_eur_ha="pass_diesel_cost", oil_eur_ha="pass_oil_cost", labour_eur_ha="pass_labour",
        repair_eur_ha="pass_repair",
    )  # fmt: skip
    sheet.total("marginal_cost", "pass_marginal", "one more hectare of all passes, own machines")
    sheet.total("full_cost", "pass_full", "all passes, own machines in full")


def _hired(desk: Desk, rows: list[int]) -> None:
    sheet, chain = desk.sheet, desk.chain
    asked = [chain.plan.contractor(chain.steps[row].done.contractor or "") for row in rows]
    paths = [("contractor", chain.plan.contractors.index(c)) for c in asked]
    for unit, axis in (("/ha", "hired_area"), ("/h", "hired_hour"), ("/m3", "hired_volume")):
        some = [i for i, c in enumerate(asked) if c.rate.unit.endswith(unit)]
        if desk.part_of(axis, "hired", some):
            sources = [FromPlan(asked[i].rate, (*paths[i], "rate")) for i in some]
            desk.plan_rows(f"{axis}_rate", "contractor's rate", f"EUR{unit}", axis, sources)
    if "hired_hour" in sheet.axes:
        hours = [i for i, c in enumerate(asked) if c.rate.unit.endswith("/h")]
        rows_of = [[rows[i]] for i in hours]
        sheet.gather("hired_hour_time", "pick", "field_time", "field time", over="hired_hour", rows=rows_of)
        sheet.work(
            "hired_by_hour", hired_per_hectare_by_hour, "contractor by the hour",
            rate_eur_h="hired_hour_rate", field_time_h_ha="hired_hour_time",
        )  # fmt: skip
    if "hired_volume" in sheet.axes:
        sheet.work(
            "hired_by_volume", hired_per_hectare_by_volume, "contractor by the volume",
            rate_eur_m3="hired_volume_rate", dose_m3_ha=desk.dose_on("hired_volume"),
        )  # fmt: skip
    known = ["hired_area_rate", "hired_by_hour", "hired_by_volume"]
    desk.merge("hired_stated", "contractor's price, as stated", "hired", known, "EUR/ha")
    taxed = _tax(desk, asked, paths)
    desk.pick("hired_diesel", "pass_diesel_cost", "hired")
    out = [[1.0 if c.fuel == "out" else 0.0] for c in asked]
    places = [chain.read.place(*path, "fuel") for path in paths]
    sheet.given("fuel_out", out, "1", "1 where diesel is not in the rate, else 0", over="hired", places=places)
    sheet.work(
        "hired_cost", hired_with_fuel, "contractor, with diesel",
        hired_eur_ha=taxed, fuel_eur_ha="hired_diesel", fuel_out="fuel_out",
    )  # fmt: skip


def _tax(desk: Desk, asked: list[Contractor], paths: list[tuple[str, int]]) -> str:
    """Turn rates that differ in tax from the prices of the plan; return the name of the figure to go on with."""
    plan = desk.chain.plan
    differ = [i for i, c in enumerate(asked) if c.tax != plan.prices.tax]
    if not desk.part_of("retaxed", "hired", differ):
        return "hired_stated"
    desk.pick("retaxed_stated", "hired_stated", "retaxed")
    shares = [FromPlan(as_share(asked[i].tax_rate), (*paths[i], "tax_rate"), 0, 1) for i in differ]
    desk.plan_rows("tax_share", "rate of value-added tax", "1", "retaxed", shares)
    if plan.prices.tax == "with":
        desk.sheet.work("retaxed_price", with_vat, "with tax", net_eur="retaxed_stated", vat_share="tax_share")
    else:
        desk.sheet.work("retaxed_price", without_vat, "without tax", gross_eur="retaxed_stated", vat_share="tax_share")
    same = [i for i in range(len(asked)) if i not in differ]
    if desk.part_of("same_tax", "hired", same):
        desk.pick("untouched_price", "hired_stated", "same_tax")
    figures = ["retaxed_price", "untouched_price"]
    words = f"contractor's price, {plan.prices.tax} value-added tax"
    desk.merge("hired_taxed", words, "hired", figures, "EUR/ha")
    return "hired_taxed"


def _per_amount(desk: Desk) -> None:
    sheet = desk.sheet
    rows = [[system] for system in sheet.axes["placing"].systems]
    sheet.gather("placing_pass_cost", "pick", "pass_cost", "passes and bringing the slurry", over="placing", rows=rows)
    sheet.work(
        "cost_per_m3", per_volume, "cost of passes and supply per m3 of slurry",
        cost_eur_ha="placing_pass_cost", dose_m3_ha=desk.dose_on("placing"),
    )  # fmt: skip
    sheet.work(
        "cost_per_tonne", per_tonne, "cost per tonne of dry matter", cost_eur_ha="cost", yield_t_ha="expected_yield"
    )
