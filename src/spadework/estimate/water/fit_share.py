"""The chance of a fit day, and that the next day is fit as well, worked out from the weather and put on the sheet.

Every draw has a soil of its own out of the range of the texture, and counts the fit days of all springs in the file.  What
so few springs leave open is drawn on top of it.
"""

from __future__ import annotations

import numpy as np

from spadework.estimate.desk import Desk, FromPlan, as_share
from spadework.estimate.water.fit_weather import Springs, count_fit, springs
from spadework.estimate.water.soil import water_row
from spadework.plan import Farm, PlanFaults
from spadework.ranges import FloatArray
from spadework.reference import constants
from spadework.science.machinery import persistence
from spadework.science.seedbed.water.evaporation import evaporable_water
from spadework.science.seedbed.water.spells import effective_days
from spadework.science.seedbed.water.store import (
    chance_behind_count,
    fit_days_of_springs,
    moisture_limit,
    share_from_count,
    stay_from_count,
)
from spadework.science.seedbed.water.workable import moisture_by_volume
from spadework.working import Figure, Worked, equation_of

__all__ = ["work_chance", "work_fit_days", "work_persistence"]


def work_fit_days(desk: Desk, farm: Farm) -> None:
    """Put on the sheet how often a day of the window is fit by the user's limit of moisture, as counted.

    Raises
    ------
    PlanFaults
        Where the weather file has no rain or no whole window, or hardly a day of it is fit.
    """
    sheet, read = desk.sheet, desk.chain.read
    weather = springs(read)
    _soil(desk, farm)
    place = read.place("weather", "file")
    count = len(weather.years)
    sheet.given("springs", count, "1", "springs in the weather file", places=[place], texts=[_years(weather)])
    soils = {
        "capacity": "top_capacity",
        "evaporable": "top_evaporable",
        "readily": "top_readily",
        "layer": "top_layer",
        "cover": "top_cover",
        "limit": "fit_limit",
    }
    counts = count_fit(weather, **{argument: sheet[name] for argument, name in soils.items()})
    arguments = {
        "field_capacity_share": "top_capacity",
        "evaporable_mm": "top_evaporable",
        "readily_mm": "top_readily",
        "layer_m": "top_layer",
        "cover_share": "top_cover",
        "limit_share": "fit_limit",
        "springs": "springs",
    }
    for name, label, values in zip(
        ("fit_day_count", "after_count", "fit_after_count"),
        (
            "fit days in the windows of all springs",
            "days in them that follow a fit day",
            "fit days in them that follow one",
        ),
        counts,
        strict=True,
    ):
        _counted(desk, name, label, values, arguments)
    text = f"{count} times {weather.window}"
    sheet.given(
        "fit_all_days", count * weather.window, "d", "days in the windows of all springs", places=[place], texts=[text]
    )
    sheet.work(
        "fit_counted", share_from_count, "share of days that were fit, as counted",
        fit_days="fit_day_count", all_days="fit_all_days",
    )  # fmt: skip
    sheet.work(
        "fit_stay_counted", stay_from_count, "chance that the day after a fit day is fit, as counted",
        fit_after_days="fit_after_count", after_days="after_count", counted_share="fit_counted",
    )  # fmt: skip
    desk.notes += _notes(desk, farm, weather)
    _refuse_the_hopeless(desk, farm, weather)


def work_chance(desk: Desk) -> None:
    """Put the chance of a fit day on the sheet, with what the springs of the file leave open."""
    sheet = desk.sheet
    sheet.work(
        "fit_worth", effective_days, "independent days that the count is worth",
        days="fit_all_days", fit_share="fit_counted", stay_share="fit_stay_counted",
    )  # fmt: skip
    place = "not in the plan; evenly between nought and one"
    sheet.given("fit_open", desk.draws.shares("fit:open"), "1", "what the count leaves open", places=[place])
    sheet.work(
        "fit_share", chance_behind_count, "chance that a day is fit",
        quantile_share="fit_open", counted_share="fit_counted", worth_days="fit_worth",
    )  # fmt: skip


def work_persistence(desk: Desk) -> None:
    """Put on the sheet how much fit days come in rows, as counted."""
    desk.sheet.work(
        "fit_persistence", persistence, "how much fit days come in rows",
        stay_share="fit_stay_counted", fit_share="fit_counted",
    )  # fmt: skip


def _soil(desk: Desk, farm: Farm) -> None:
    """Put the top layer of the field before any work on the sheet, and the limit of moisture."""
    sheet, plan = desk.sheet, desk.chain.plan
    row = water_row(desk.chain.read)
    for name, column, label in (
        ("top_capacity", "field_capacity", "moisture at field capacity, by volume"),
        ("top_wilting", "wilting", "moisture at wilting, by volume"),
        ("top_readily", "readily_mm", "water that evaporates before the surface slows it"),
    ):
        entry = row.entry(column)
        # light and heavy end of the texture together, so one draw for all
        values = desk.draws.around("table:soil_evaporation.texture", entry.low, entry.value, entry.high)
        sheet.looked_up(name, values, entry.unit, label, [entry.citation])
    desk.table_value("top_layer", "depth of the layer that dries", constants("soil_drying")["layer_m"])
    sheet.work(
        "top_evaporable", evaporable_water, "water that can evaporate from the layer in all",
        field_capacity_share="top_capacity", wilting_share="top_wilting", layer_m="top_layer",
    )  # fmt: skip
    cover = FromPlan(as_share(plan.field.residue_cover), ("field", "residue_cover"), 0, 1)
    desk.plan_value("top_cover", "residue cover before any work", "1", cover)
    said = FromPlan(as_share(farm.fit_moisture), ("farm", "fit_moisture"), 0.1, 2)
    desk.plan_value("fit_moisture", f"the user's limit, of the {farm.fit_moisture_of}", "1", said)
    base = "top_capacity"
    if farm.fit_moisture_of == "plastic limit":
        limit = FromPlan(as_share(plan.field.plastic_limit), ("field", "plastic_limit"), 0.01, 1)
        desk.plan_value("plastic_limit", "water at the plastic limit, by mass", "1", limit)
        density = FromPlan(plan.field.bulk_density, ("field", "bulk_density"), 0.5, 2.2)
        desk.plan_value("fit_density", "dry bulk density before any work", "t/m3", density)
        base = "plastic_moisture"
        sheet.work(
            base, moisture_by_volume, "moisture at the plastic limit, by volume",
            water_share="plastic_limit", density_t_m3="fit_density",
        )  # fmt: skip
    sheet.work(
        "fit_limit", moisture_limit, "moisture of the top layer below which the ground is fit, by volume",
        limit_of_share="fit_moisture", base_share=base,
    )  # fmt: skip


def _counted(desk: Desk, name: str, label: str, values: FloatArray, arguments: dict[str, str]) -> None:
    """Keep a count with its working; the days themselves are too many for the sheet."""
    said = equation_of(fit_days_of_springs)
    origin = Worked(fit_days_of_springs.__name__, said, arguments, fit_days_of_springs.__module__)
    desk.sheet.add(Figure(name, values, "d", label, "", origin))


def _years(weather: Springs) -> str:
    first, last = weather.years[0], weather.years[-1]
    return f"{first}" if first == last else f"{first} to {last}"


def _notes(desk: Desk, farm: Farm, weather: Springs) -> list[str]:
    worked = " and ".join(
        words
        for given, words in (
            (farm.fit_days, "the chance of a fit day"),
            (farm.stay_fit, "the chance that the next one is fit as well"),
        )
        if given is None
    )
    said = "" if farm.fit_moisture is None else farm.fit_moisture.text
    k = constants("fit_days")
    rule = (
        f"fit days: {worked} worked out from {desk.chain.plan.weather.file}, {len(weather.years)} "
        f"spring{'' if len(weather.years) == 1 else 's'}, the {weather.window} days from {weather.first.day}."
        f"{weather.first.month}.; a day is fit where the top layer of the unworked field is below {said} of the "
        f"{farm.fit_moisture_of}, with less than {k.rain_limit_mm:g} mm of rain and no frost below {k.frost_degc:g} °C"
    )
    return [rule, *(f"fit days: {note}" for note in weather.notes)]


def _refuse_the_hopeless(desk: Desk, farm: Farm, weather: Springs) -> None:
    sheet, read = desk.sheet, desk.chain.read
    share = float(np.median(sheet["fit_counted"]))
    if farm.fit_days is None and share < constants("plausible").least_fit_share:
        said = "" if farm.fit_moisture is None else farm.fit_moisture.text
        what = (
            f"hardly a day is fit below {said} of the {farm.fit_moisture_of}: {100 * share:.0f} % of the {weather.window} "
            f"days from {weather.first.day}.{weather.first.month}., in {len(weather.years)} "
            f"spring{'' if len(weather.years) == 1 else 's'}; give a limit that agrees with your diary, or fit_days itself"
        )
        raise PlanFaults([read.fault(what, "farm", "fit_moisture")], read.name)
