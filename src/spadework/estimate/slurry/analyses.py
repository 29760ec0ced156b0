"""From analyses of loads and stores to what the whole slurry holds, and how sure that is; or from a guide value.

Every analysis is turned into kilograms of N, P2O5 or K2O per cubic metre.  The loads of a store are averaged by volume
(dry matter by mass), then the stores.  How far loads differ, how many there are and what the laboratories state of a
single analysis make the standard error of each store's mean; one normal draw for nitrogen, and one for each other
content, moves it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from spadework.estimate.desk import Desk, FromPlan, as_share, stack
from spadework.estimate.draws import normal_between
from spadework.plan import Analysis
from spadework.plan.composition import FACTORS, in_use, name_of, store_of
from spadework.plan.stand_ins import animals_of, stand_in_entries
from spadework.quantities import Quantity
from spadework.ranges import FloatArray
from spadework.reference import load
from spadework.science.slurry import (
    content_of_dry_matter,
    content_per_volume,
    effective_loads,
    mean_by_mass,
    mean_by_volume,
    nitrogen_from_ammonium,
    oxide_from_element,
    sd_between_loads,
    sd_of_loads,
    se_of_mean,
)
from spadework.science.slurry.sureness import drawn_about, sampled_share, sd_as_stated
from spadework.working import EVERY_SYSTEM, Axis

__all__ = ["work_analyses", "work_density", "work_stand_in"]

_WORDS: Final = {
    "dry_matter": "dry matter",
    "total_n": "total N",
    "ammoniacal_n": "ammoniacal N",
    "phosphorus": "phosphate (P2O5)",
    "potassium": "potash (K2O)",
}
_TOGETHER: Final = (("total_n", "ammoniacal_n"), ("phosphorus",), ("potassium",), ("dry_matter",))
"""What is drawn together: thin or thick, both kinds of nitrogen move alike."""
_MOST_ERRORS: Final = 6.0
_SHARE_KEPT: Final = 1 - 1e-9


def work_density(desk: Desk) -> None:
    """Put the density of the slurry on the sheet: of the plan, of the analyses by volume, or a guide value."""
    slurry = desk.chain.plan.slurry
    label, range_ = "density of the slurry", (0.9, 1.15)
    if slurry.analyses:
        _lay_out(desk)
    if any(analysis.density is not None for _, analysis in in_use(slurry)):
        rows = []
        for number, analysis in in_use(slurry):
            own = analysis.density is not None
            path = ("slurry", "analysis", number, "density") if own else ("slurry", "density")
            density = analysis.density or slurry.density
            assert density is not None  # noqa: S101 (the agreement of the plan has seen to it)
            rows.append(FromPlan(density, path, *range_))
        desk.plan_rows("analysis_density", "density of what was analysed", "t/m3", "analysis", rows)
        whole = [list(range(len(rows)))]
        desk.sheet.across(
            "density", mean_by_volume, label, rows=whole, content="analysis_density", volume_m3="analysis_volume"
        )
    elif slurry.density is not None:
        desk.plan_value("density", label, "t/m3", FromPlan(slurry.density, ("slurry", "density"), *range_))
    else:
        entry = load("slurry_density")[str(animals_of(slurry.kind))].entry("density_t_m3")
        desk.table_value("density", f"{label}, a stand-in", entry)


def work_stand_in(desk: Desk) -> None:
    """Put guide values on the sheet as contents, with the range over which such values may be off."""
    slurry, sheet = desk.chain.plan.slurry, desk.sheet
    off = float(desk.constant("book_value_off", "slurry_scatter", "book_value_off")[0])
    note = f"a stand-in: nobody analysed this slurry; drawn from {off:.0%} below to {off:.0%} above".replace("%", " %")
    for keys in _TOGETHER:
        for key in keys:
            entry, words = stand_in_entries(str(slurry.stand_in))[key], f"{_WORDS[key]} of the slurry"
            low, high = (1 - off) * entry.value, (1 + off) * entry.value
            values = desk.draws.around(f"stand-in: {keys[0]}", low, entry.value, high)
            if key == "dry_matter":
                sheet.looked_up(key, values, entry.unit, words, [entry.citation], note=note)
                continue
            name = f"{key}_stand_in"
            sheet.looked_up(name, values, entry.unit, f"{_WORDS[key]}, guide value", [entry.citation], note=note)
            sheet.work(key, content_per_volume, words, content_kg_t=name, density_t_m3="density")


def work_analyses(desk: Desk) -> None:
    """Put the contents of the whole slurry on the sheet, from its analyses."""
    used = in_use(desk.chain.plan.slurry)
    rows = [_exact(a.dry_matter, ("slurry", "analysis", i, "dry_matter"), share=True) for i, a in used]
    desk.plan_rows("analysis_dry_matter", "dry matter, as analysed", "1", "analysis", rows)
    for key in ("total_n", "ammoniacal_n", "phosphorus", "potassium"):
        _converted(desk, key, used)
    _sampling(desk, used)
    for keys in _TOGETHER:
        for key in keys:
            _stores(desk, key, used)
        _deviate(desk, keys)
        for key in keys:
            _whole(desk, key, f"{keys[0]}_off")


def _lay_out(desk: Desk) -> None:
    """Make the axes of analyses and stores, and put the volumes on the sheet."""
    sheet, used = desk.sheet, in_use(desk.chain.plan.slurry)
    labels = tuple(name_of(analysis, number) for number, analysis in used)
    sheet.axes["analysis"] = Axis("analysis", labels, (EVERY_SYSTEM,) * len(used))
    stores = tuple(dict.fromkeys(store_of(analysis) for _, analysis in used))
    sheet.axes["store"] = Axis("store", stores, (EVERY_SYSTEM,) * len(stores))
    values, places, texts = [], [], []
    for number, analysis in used:
        volume = analysis.volume
        place = desk.chain.read.place("slurry", "analysis", number, "volume")
        values.append([1.0 if volume is None else volume.value])
        places.append(place if volume is not None else "not given: the only analysis speaks for all the slurry")
        texts.append("" if volume is None else volume.text)
    label = "slurry that the analysis stands for"
    sheet.given("analysis_volume", values, "m3", label, over="analysis", places=places, texts=texts)
    sheet.gather(
        "store_volume", "sum", "analysis_volume", "slurry from the store", over="store", rows=_rows_of_stores(desk)
    )


def _rows_of_stores(desk: Desk) -> list[list[int]]:
    used = in_use(desk.chain.plan.slurry)
    stores = desk.sheet.axes["store"].labels
    return [[row for row, (_, a) in enumerate(used) if store_of(a) == store] for store in stores]


def _exact(quantity: Quantity, path: tuple[str | int, ...], *, share: bool = False) -> FromPlan:
    """Return the middle of a quantity, which is not drawn: its spread goes into the standard error."""
    held = replace(quantity, kind="exact", low=quantity.value, high=quantity.value)
    return FromPlan(as_share(held) if share else held, path)


def _form(analysis: Analysis, content: Quantity) -> str:
    """Return how a laboratory wrote a content, as a piece of a name."""
    per = "dry" if analysis.basis == "dry" else "per_m3" if content.unit == "kg/m3" else "per_t"
    return per + (f"_as_{content.substance.lower()}" if content.substance in FACTORS else "")


def _converted(desk: Desk, key: str, used: tuple[tuple[int, Analysis], ...]) -> None:
    """Put a content of every analysis on the sheet in kg/m3, those that were written alike together."""
    forms = [_form(analysis, getattr(analysis, key)) for _, analysis in used]
    found = []
    for form in dict.fromkeys(forms):
        rows = [row for row, other in enumerate(forms) if other == form]
        axis = f"{key}_{form}"
        desk.part_of(axis, "analysis", rows)
        found.append(_of_form(desk, key, axis, [used[row] for row in rows]))
    desk.merge(f"analysis_{key}", f"{_WORDS[key]} of what was analysed", "analysis", found)


def _of_form(desk: Desk, key: str, axis: str, used: list[tuple[int, Analysis]]) -> str:
    sheet, words = desk.sheet, _WORDS[key]
    content: Quantity = getattr(used[0][1], key)
    substance, dry = content.substance, used[0][1].basis == "dry"
    rows = [_exact(getattr(a, key), ("slurry", "analysis", i, key)) for i, a in used]
    said = f"{words}, as analysed" + (f", counted as {substance}" if substance in FACTORS else "")
    name = f"{axis}_given"
    desk.plan_rows(name, said + (", of the dry matter" if dry else ""), content.unit, axis, rows)
    if dry:
        desk.pick(f"{axis}_dry_matter", "analysis_dry_matter", axis)
        sheet.work(
            f"{axis}_fresh", content_of_dry_matter, f"{said}, of fresh slurry",
            content_g_kg=name, dry_matter_share=f"{axis}_dry_matter",
        )  # fmt: skip
        name = f"{axis}_fresh"
    if substance in FACTORS:
        factor = FACTORS[substance]
        if factor not in sheet.figures:
            desk.constant(factor, "chemistry", factor)
        turn = nitrogen_from_ammonium if substance == "NH4" else oxide_from_element
        sheet.work(f"{axis}_counted", turn, f"{words}, as it is counted here", content=name, factor=factor)
        name = f"{axis}_counted"
    if content.unit == "kg/m3":
        return name
    density = "density"
    if "analysis_density" in sheet.figures:
        density = f"{axis}_density"
        desk.pick(density, "analysis_density", axis)
    sheet.work(f"{axis}_content", content_per_volume, words, content_kg_t=name, density_t_m3=density)
    return f"{axis}_content"


def _sampling(desk: Desk, used: tuple[tuple[int, Analysis], ...]) -> None:
    """Put on the sheet how many analyses there are of each store, and how much of it they saw."""
    sheet, stores = desk.sheet, _rows_of_stores(desk)
    place = desk.chain.read.place
    sheet.given(
        "analysis_sampled", [[0.0 if a.sampled is None else a.sampled.value] for _, a in used], "m3",
        "slurry in the loads that were sampled", over="analysis",
        places=[place("slurry", "analysis", i, "sampled") if a.sampled else "not given: taken as little" for i, a in used],
        texts=["" if a.sampled is None else a.sampled.text for _, a in used],
    )  # fmt: skip
    sheet.given(
        "analysis_repeats", [[float(a.repeats)] for _, a in used], "1", "analyses of the same sample", over="analysis",
        places=[place("slurry", "analysis", i, "repeats") for i, _ in used],
    )  # fmt: skip
    volume = {"volume_m3": "analysis_volume"}
    sheet.across("store_loads", effective_loads, "analyses, counted as if of equal size", rows=stores, over="store",
                 **volume)  # fmt: skip
    sheet.across("store_sampled", sampled_share, "share of the store that was sampled", rows=stores, over="store",
                 sampled_m3="analysis_sampled", **volume)  # fmt: skip
    where = "the scatter of analyses is already that of the mean of repeats"
    sheet.given("once", [1.0], "1", "analyses behind each figure, repeats being counted before", places=[where])
    desk.part_of("store_apart", "store", [row for row, loads in enumerate(stores) if len(loads) > 1])
    if "store_apart" in sheet.axes:
        desk.part_of("store_alone", "store", [row for row, loads in enumerate(stores) if len(loads) == 1])


def _stores(desk: Desk, key: str, used: tuple[tuple[int, Analysis], ...]) -> None:
    """Put the mean of every store on the sheet, and its standard error."""
    sheet, words, stores = desk.sheet, _WORDS[key], _rows_of_stores(desk)
    content = f"analysis_{key}"
    _mean(desk, f"store_{key}_mean", f"{words}, mean of the store", content, "analysis", stores, "store")
    stated = [[_stated_share(analysis, key)] for _, analysis in used]
    places = [desk.chain.read.place("slurry", "analysis", i, key) for i, _ in used]
    texts = [getattr(analysis, key).text for _, analysis in used]
    label = f"{words}, standard deviation of an analysis as stated, per content"
    sheet.given(f"{key}_stated", stated, "1", label, over="analysis", places=places, texts=texts)
    sheet.across(
        f"{key}_analysis_sd", sd_as_stated, f"{words}, scatter of analyses as stated", rows=stores, over="store",
        content=content, stated_share=f"{key}_stated", repeats="analysis_repeats",
    )  # fmt: skip
    apart = [loads for loads in stores if len(loads) > 1]
    label, between = f"{words}, how far loads differ", f"{key}_between_sd"
    if apart:
        over = "store_apart"
        sheet.across(f"{key}_loads_sd", sd_of_loads, f"{words}, scatter of the loads as analysed", rows=apart,
                     over=over, content=content)  # fmt: skip
        desk.pick(f"{key}_repeat_sd", f"{key}_analysis_sd", over)
        sheet.work(
            f"{key}_apart_sd", sd_between_loads, label,
            analysed_sd=f"{key}_loads_sd", repeat_sd=f"{key}_repeat_sd", repeats="once",
        )  # fmt: skip
        desk.merge(between, label, "store", [f"{key}_apart_sd"])
    else:
        nil, where = np.zeros((len(stores), 1)), "a single analysis of the store cannot tell"
        sheet.given(between, nil, sheet.figures[content].unit, label, over="store", places=[where])
    sheet.work(
        f"{key}_se", se_of_mean, f"{words}, standard error of the store's mean",
        between_sd=between, repeat_sd=f"{key}_analysis_sd", repeats="once",
        loads="store_loads", sampled_share="store_sampled",
    )  # fmt: skip


def _stated_share(analysis: Analysis, key: str) -> float:
    """Return the stated standard deviation per content; of contents of dry matter with that of the dry matter."""
    parts: list[Quantity] = [getattr(analysis, key)]
    if analysis.basis == "dry" and key != "dry_matter":
        parts.append(analysis.dry_matter)
    return float(np.sqrt(sum((part.sd / part.value) ** 2 for part in parts if part.value > 0)))


def _deviate(desk: Desk, keys: tuple[str, ...]) -> None:
    """Draw how far the mean of each store is off, the same for contents that move together."""
    sheet, read = desk.sheet, desk.chain.read
    rows = []
    for row, store in enumerate(sheet.axes["store"].labels):
        if desk.draws.number == 1 or not any(sheet[f"{key}_se"][row].any() for key in keys):
            rows.append(np.zeros(1))
            continue
        most = _most_errors([(sheet[f"store_{key}_mean"][row], sheet[f"{key}_se"][row]) for key in keys])
        rows.append(normal_between(desk.draws.shares(f"slurry strength: {store}, {keys[0]}"), 0.0, 1.0, -most, most))
    words = " and ".join(_WORDS[key] for key in keys)
    label = f"{words}: how far the store's mean is off, in standard errors"
    place = f"{read.place('slurry', 'analysis')}: drawn from a normal distribution about nought"
    sheet.given(f"{keys[0]}_off", stack(rows), "1", label, over="store", places=[place])


def _most_errors(means: list[tuple[FloatArray, FloatArray]]) -> float:
    """Return how many standard errors a mean can lie off before a content turns negative or the first less than the next."""
    edges = [_MOST_ERRORS]
    for mean, error in means:
        edges += (
            [float(np.min(mean[error > 0] / error[error > 0]))] if mean.shape == error.shape and error.any() else []
        )
    if len(means) == 2:
        (total, total_se), (part, part_se) = means
        apart, rate = total - part, np.abs(total_se - part_se)
        edges += [float(np.min(apart[rate > 0] / rate[rate > 0]))] if rate.any() else []
    return max(min(edges) * _SHARE_KEPT, 1e-9)


def _whole(desk: Desk, key: str, deviate: str) -> None:
    sheet, words = desk.sheet, _WORDS[key]
    name = f"store_{key}"
    sheet.work(name, drawn_about, f"{words} of the store",
               content=f"store_{key}_mean", standard_error=f"{key}_se", deviate=deviate)  # fmt: skip
    every = [list(range(len(sheet.axes["store"].labels)))]
    _mean(desk, key, f"{words} of the slurry", name, "store", every, "")


def _mean(desk: Desk, name: str, label: str, content: str, axis: str, rows: list[list[int]], over: str) -> None:
    """Average a content by volume, or dry matter by mass, over loads or stores."""
    sheet = desk.sheet
    inputs = {"content": content, "volume_m3": f"{axis}_volume"}
    if not content.endswith("dry_matter"):
        sheet.across(name, mean_by_volume, label, rows=rows, over=over, **inputs)
        return
    density = "density"
    if "analysis_density" in sheet.figures:
        density = f"{axis}_density"
        if density not in sheet.figures:
            _mean(desk, density, "density of the store", "analysis_density", "analysis", _rows_of_stores(desk), "store")
    sheet.across(name, mean_by_mass, label, rows=rows, over=over, density_t_m3=density, **inputs)
