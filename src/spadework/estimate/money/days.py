"""Days in spring: how many each chain needs on the farm, how many are fit, and what being late costs."""

from __future__ import annotations

import numpy as np

from spadework.estimate.desk import Desk, FromPlan, as_share
from spadework.plan import Farm, PlanFaults
from spadework.plan.agreement.days import worked_out
from spadework.science.machinery import (
    calendar_days,
    chain_time,
    chance_done,
    chance_done_in_spells,
    days_needed,
    fit_days,
    fit_days_per_week,
    lateness_cost,
    mean_days_late,
    persistence,
    stay_share,
    work_rate,
)

__all__ = ["work_days"]


def work_days(desk: Desk) -> None:
    """Put days needed, fit days and the chance of being done on the sheet, where the plan has a farm."""
    farm, sheet, chain = desk.chain.plan.farm, desk.sheet, desk.chain
    if farm is None:
        return
    desk.plan_value("farm_maize", "maize of the farm", "ha", FromPlan(farm.maize, ("farm", "maize"), 1e-3))
    desk.plan_value("day_hours", "field hours of a fit day", "h/d", FromPlan(farm.day, ("farm", "day"), 0.5, 24))
    desk.plan_value(
        "window", "calendar days in which it should be done", "d", FromPlan(farm.window, ("farm", "window"), 1)
    )
    if worked_out(farm):
        from spadework.estimate.water.fit_share import work_fit_days

        work_fit_days(desk, farm)
    _fit_share(desk, farm)
    sheet.given(
        "drivers",
        float(farm.drivers),
        "1",
        "drivers at work at the same time",
        places=[chain.read.place("farm", "drivers")],
    )
    slowest = [chain.steps_of(s) for s in range(len(chain.plan.systems))]
    sheet.gather("longest_pass", "largest", "field_time", "time of the longest pass", over="system", rows=slowest)
    sheet.work(
        "chain_time",
        chain_time,
        "time of a hectare with the drivers there are",
        hours_h_ha="hours",
        longest_h_ha="longest_pass",
        drivers="drivers",
    )
    sheet.work("chain_rate", work_rate, "work rate of the chain", field_time_h_ha="chain_time")
    sheet.work(
        "needed_days",
        days_needed,
        "fit days needed on the farm",
        area_ha="farm_maize",
        work_rate_ha_h="chain_rate",
        day_h="day_hours",
    )
    sheet.work("fit_days", fit_days, "fit days to be expected in the window", days="window", fit_share="fit_share")
    sheet.work("fit_per_week", fit_days_per_week, "fit days to be expected in a week", fit_share="fit_share")
    sheet.work(
        "calendar_days",
        calendar_days,
        "calendar days over which the work draws out",
        needed_days="needed_days",
        fit_share="fit_share",
    )
    chance = {"needed_days": "needed_days", "window_days": "window", "fit_share": "fit_share"}
    if farm.stay_fit is None and farm.fit_moisture is None:
        sheet.work("chance_done", chance_done, "chance of being done in the window", **chance)
    else:
        _spells(desk, farm)
        sheet.work(
            "chance_done", chance_done_in_spells, "chance of being done in the window", stay_share="stay_fit", **chance
        )
    if farm.late_loss is not None and farm.crop_price is not None:
        desk.plan_value(
            "late_loss",
            "yield lost for each day late",
            "1",
            FromPlan(as_share(farm.late_loss), ("farm", "late_loss"), 0, 0.1),
        )
        desk.plan_value(
            "crop_price", "value of the crop, dry matter", "EUR/t", FromPlan(farm.crop_price, ("farm", "crop_price"))
        )
        sheet.work("days_late", mean_days_late, "days late, mean of the farm", calendar_days="calendar_days")
        sheet.work(
            "lateness",
            lateness_cost,
            "cost of lateness",
            loss_share_day="late_loss",
            late_days="days_late",
            yield_t_ha="expected_yield",
            price_eur_t="crop_price",
        )


def _fit_share(desk: Desk, farm: Farm) -> None:
    """Put the chance of a fit day on the sheet: the plan's own where it gives one, else that of the weather."""
    if farm.fit_days is not None:
        fit = FromPlan(as_share(farm.fit_days), ("farm", "fit_days"), 0.01, 1.0)
        desk.plan_value("fit_share", "chance that a day is fit", "1", fit)
        return
    from spadework.estimate.water.fit_share import work_chance

    work_chance(desk)


def _spells(desk: Desk, farm: Farm) -> None:
    """Put the chance that a fit day is followed by one on the sheet; it moves with the share of fit days."""
    sheet = desk.sheet
    if farm.stay_fit is None:
        from spadework.estimate.water.fit_share import work_persistence

        work_persistence(desk)
    else:
        place = desk.chain.read.place("farm", "fit_days")
        if farm.fit_days is not None:
            middle = farm.fit_days.fraction
        else:
            middle, place = float(np.median(sheet["fit_share"])), "the middle of what the weather gives"
            if farm.stay_fit.value < 100 * middle:
                what = (
                    f"{farm.stay_fit.text} after a fit day is less than the {100 * middle:.0f} % of any day that the weather "
                    "gives with fit_moisture, but fit days come in rows; give a higher figure, or leave it out"
                )
                raise PlanFaults([desk.chain.read.fault(what, "farm", "stay_fit")], desk.chain.read.name)
        stated = FromPlan(as_share(farm.stay_fit), ("farm", "stay_fit"), middle, 1)
        desk.plan_value("stay_stated", "chance that the day after a fit day is fit, as stated", "1", stated)
        sheet.given("fit_stated", middle, "1", "chance that a day is fit, middle", places=[place])
        sheet.work(
            "fit_persistence",
            persistence,
            "how much fit days come in rows",
            stay_share="stay_stated",
            fit_share="fit_stated",
        )
    sheet.work(
        "stay_fit", stay_share, "chance that the day after a fit day is fit",
        fit_share="fit_share", persistence_share="fit_persistence",
    )  # fmt: skip
