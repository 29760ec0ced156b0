"""What an hour of a tractor or machine costs that is the farm's own: wear, interest, holding, repairs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from spadework.estimate.desk import Desk, FromPlan
from spadework.plan import Machine, Tractor
from spadework.plan.outfits import kind_of
from spadework.reference import load
from spadework.science.machinery import (
    capital_recovery,
    fixed_per_year,
    holding_cost,
    machine_cost_per_hour,
    owned_hours,
    remaining_price,
    remaining_value_asae_d497_7,
    repair_asae_d497,
    repair_per_hour,
    repair_per_year,
)

__all__ = ["Owned", "own_machine", "own_tractor", "work_owned"]


@dataclass(frozen=True)
class Owned:
    """A tractor or machine, its key in the plan, and the rows of the tables that speak for it."""

    thing: Tractor | Machine
    path: tuple[str | int, ...]
    remaining_row: str
    repair_row: str


def own_tractor(desk: Desk, tractor: Tractor, rated_kw: float) -> Owned:
    """Return a tractor with the rows of its power class and drive."""
    table = load("remaining_value_asae_d497")
    size = next(
        (key for key, row in table.items() if row.has("below_kw") and rated_kw < row.entry("below_kw").value),
        "tractor_large",
    )
    return Owned(tractor, desk.chain.tractor_path(tractor.name), size, "tractor_" + tractor.drive.replace(" ", "_"))


def own_machine(desk: Desk, machine: Machine) -> Owned:
    """Return a machine with the rows of its kind."""
    kind = kind_of(machine)
    path = desk.chain.machine_path(machine.name)
    return Owned(machine, path, kind.text("remaining_row"), kind.text("repair_row"))


def work_owned(desk: Desk, prefix: str, over: str, owned: Sequence[Owned]) -> None:
    """Put the cost of an hour on the sheet, row by row, under names that begin with `prefix`."""
    sheet = desk.sheet
    words = prefix.replace("_", " ")
    for key, unit, label in (
        ("price", "EUR", "list price"),
        ("years", "year", "years kept"),
        ("hours", "h/year", "hours a year"),
    ):
        sources = [FromPlan(getattr(own.thing, key), (*own.path, key), low=1e-6) for own in owned]
        desk.plan_rows(f"{prefix}_{key}", f"{label}, {words}", unit, over, sources)
    remaining, repair = load("remaining_value_asae_d497"), load("repair_asae_d497")
    for factor in ("c1", "c2", "c3"):
        entries = [remaining[own.remaining_row].entry(factor) for own in owned]
        desk.table_rows(f"{prefix}_{factor}", f"remaining value, factor {factor}", over, entries)
    for factor in ("rf1", "rf2"):
        entries = [repair[own.repair_row].entry(factor) for own in owned]
        desk.table_rows(f"{prefix}_{factor}", f"repair, factor {factor}", over, entries)
    p = {key: f"{prefix}_{key}" for key in ("price", "years", "hours", "c1", "c2", "c3", "rf1", "rf2")}
    sheet.work(
        f"{prefix}_remaining_share", remaining_value_asae_d497_7, f"remaining value, {words}",
        c1=p["c1"], c2=p["c2"], c3=p["c3"], years=p["years"], hours_per_year=p["hours"],
    )  # fmt: skip
    sheet.work(
        f"{prefix}_remaining", remaining_price, f"remaining price, {words}",
        price_eur=p["price"], remaining_share=f"{prefix}_remaining_share",
    )  # fmt: skip
    sheet.work(
        f"{prefix}_capital", capital_recovery, f"wear and interest, {words}",
        price_eur=p["price"], remaining_eur=f"{prefix}_remaining", interest_share="interest", years=p["years"],
    )  # fmt: skip
    sheet.work(
        f"{prefix}_holding", holding_cost, f"tax, housing, insurance, {words}",
        price_eur=p["price"], holding_share="holding_share",
    )  # fmt: skip
    sheet.work(
        f"{prefix}_life", owned_hours, f"hours over all years, {words}", years=p["years"], hours_per_year=p["hours"]
    )
    sheet.work(
        f"{prefix}_repairs", repair_asae_d497, f"repairs over all years, {words}",
        price_eur=p["price"], rf1=p["rf1"], rf2=p["rf2"], hours_from="no_hours", hours_to=f"{prefix}_life",
    )  # fmt: skip
    sheet.work(
        f"{prefix}_repair", repair_per_year, f"repairs a year, {words}",
        repair_eur=f"{prefix}_repairs", years=p["years"],
    )  # fmt: skip
    sheet.work(
        f"{prefix}_cost_h", machine_cost_per_hour, f"cost an hour, {words}",
        capital_eur_year=f"{prefix}_capital", holding_eur_year=f"{prefix}_holding",
        repair_eur_year=f"{prefix}_repair", hours_per_year=p["hours"],
    )  # fmt: skip
    sheet.work(
        f"{prefix}_fixed", fixed_per_year, f"cost a year that use does not change, {words}",
        capital_eur_year=f"{prefix}_capital", holding_eur_year=f"{prefix}_holding",
    )  # fmt: skip
    sheet.work(
        f"{prefix}_repair_h", repair_per_hour, f"repairs an hour, {words}",
        repair_eur_year=f"{prefix}_repair", hours_per_year=p["hours"],
    )  # fmt: skip
