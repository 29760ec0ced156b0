"""What becomes of the slurry's nitrogen: kept, usable this year, replacing bought nitrogen, and left for later years."""

from __future__ import annotations

import numpy as np

from spadework.estimate.desk import Desk, stack
from spadework.estimate.slurry.availability import COURSE, Counted, counted
from spadework.estimate.slurry.balances import work_starter
from spadework.plan import PlanFaults
from spadework.reference import constants
from spadework.science.slurry import (
    available_n_mechanistic,
    available_n_share,
    bought_n_needed,
    bought_n_replaced,
    later_share,
    n_beyond_need,
    organic_n,
    tan_kept,
)

__all__ = ["later_years", "work_nitrogen"]


def work_nitrogen(desk: Desk) -> None:
    """Put the path of the nitrogen on the sheet."""
    sheet = desk.sheet
    sheet.work(
        "placing_kept", tan_kept, "ammoniacal N kept", tan_kg_ha="ammoniacal_n_spread", loss_share="placing_loss"
    )
    more = float(np.mean(sheet["ammoniacal_n_spread"] > sheet["total_n_spread"]))
    if more > 0:
        what = f"in {more:.1%} of the draws there is more ammoniacal N than total N; check both and their spreads"
        raise PlanFaults([desk.chain.read.fault(what, "slurry", "ammoniacal_n")], desk.chain.read.name)
    sheet.work(
        "organic", organic_n, "organic N in the dose",
        total_n_kg_ha="total_n_spread", ammoniacal_n_kg_ha="ammoniacal_n_spread",
    )  # fmt: skip
    if desk.chain.plan.crop.n_available == COURSE:
        _by_course(desk)
    else:
        _by_table(desk)
    for name, figure, label in (
        ("lost_n", "placing_lost_n", "N lost as ammonia"),
        ("kept_n", "placing_kept", "ammoniacal N kept"),
        ("available_n", "placing_available", "N that the crop can use this year"),
        ("loss_share", "placing_loss", "ammonia lost, of ammoniacal N"),
    ):
        sheet.total(name, figure, label)
    work_starter(desk)
    sheet.work(
        "n_need_left",
        bought_n_needed,
        "N needed beside the starter",
        available_n_kg_ha="starter_n",
        need_kg_ha="n_need",
    )
    for name, function, label in (
        ("replaced_n", bought_n_replaced, "bought N replaced"),
        ("bought_n", bought_n_needed, "N to be bought"),
        ("beyond_n", n_beyond_need, "N that the crop could use but does not need"),
    ):
        sheet.work(name, function, label, available_n_kg_ha="available_n", need_kg_ha="n_need_left")
    _later_years(desk)


def _by_course(desk: Desk) -> None:
    for key in ("a_min_share", "m1_share"):
        desk.constant(key, "nitrogen_mechanistic", key)
    desk.sheet.work(
        "placing_available", available_n_mechanistic, "N that the crop can use this year",
        tan_kept_kg_ha="placing_kept", organic_n_kg_ha="organic", a_min_share="a_min_share", m1_share="m1_share",
    )  # fmt: skip


def _by_table(desk: Desk) -> None:
    """Put the share that a guide or rule lets count in the place of the course of the nitrogen."""
    sheet, chain = desk.sheet, desk.chain
    basis = chain.plan.crop.n_available
    found: list[Counted] = []
    for step in chain.placing_steps:
        one = counted(basis, chain, sheet, step.system)
        if isinstance(one, str):
            what = f"this table says nothing of {chain.plan.systems[step.system].name}: {one}"
            raise PlanFaults([chain.read.fault(what, "crop", "n_available")], chain.read.name)
        found.append(one)
    said = "; ".join(dict.fromkeys(one.said for one in found))
    label = "share of total N that counts this year; check locally"
    citations = [one.citation for one in found]
    shares = stack([one.share for one in found])
    sheet.looked_up("counted_share", shares, "1", label, citations, over="placing", note=said)
    sheet.work(
        "placing_available", available_n_share, "N that the crop can use this year",
        total_n_kg_ha="total_n_spread", available_share="counted_share",
    )  # fmt: skip


def later_years() -> int:
    """Return over how many later years the effect of slurry is spread."""
    return round(constants("later_years").years)


def _later_years(desk: Desk) -> None:
    """Put on the sheet what the slurry gives in the years after; shown only, no cost is made less by it."""
    sheet = desk.sheet
    desk.constant("later_total", "nitrogen_carry_over", "pig_three_years")
    desk.constant("later_kept", "later_years", "kept_share")
    desk.constant("later_years", "later_years", "years")
    names = []
    for year in range(1, later_years() + 1):
        sheet.given(
            f"later_year_{year}", float(year), "1", "year after the slurry", places=["counted from the harvest"]
        )
        sheet.work(
            f"later_share_{year}", later_share, f"effect in year {year} after, of total N",
            total_effect_share="later_total", kept_share="later_kept", year=f"later_year_{year}", years="later_years",
        )  # fmt: skip
        names.append(f"later_n_{year}")
        sheet.work(
            names[-1], available_n_share, f"N for the crop in year {year} after",
            total_n_kg_ha="total_n_dose", available_share=f"later_share_{year}",
        )  # fmt: skip
    sheet.add_up("later_n", "N for the crops of the years after", *names)
