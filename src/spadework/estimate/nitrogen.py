"""What becomes of the slurry's nitrogen: kept, usable this year, replacing bought nitrogen."""

from __future__ import annotations

import numpy as np

from spadework.estimate.desk import Desk, FromPlan
from spadework.plan import PlanFaults
from spadework.science.slurry import (
    available_n_mechanistic,
    bought_n_needed,
    bought_n_replaced,
    organic_n,
    tan_kept,
)

__all__ = ["work_nitrogen"]


def work_nitrogen(desk: Desk) -> None:
    """Put the path of the nitrogen on the sheet."""
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
