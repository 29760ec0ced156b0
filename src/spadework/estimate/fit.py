"""Whether machines, slurry and seed fit together: what cannot be is a fault of the plan, what is tight is a note."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from spadework.estimate.desk import Desk
from spadework.plan import Fault
from spadework.quantities import show

__all__ = ["fit_faults", "fit_notes", "too_wet"]


def fit_faults(desk: Desk) -> list[Fault]:
    """Return what cannot be, as far as it is worked out yet, judged by the median of all draws."""
    return [*_tractor_faults(desk), *_band_faults(desk)]


def fit_notes(desk: Desk) -> list[str]:
    """Return what is tight: shares of the draws in which something would not do."""
    return [*_tractor_notes(desk), *_band_notes(desk)]


def _tractor_faults(desk: Desk) -> Iterator[Fault]:
    sheet = desk.sheet
    if "load" not in sheet.figures:
        return
    for row, step in enumerate(desk.chain.steps):
        load = float(np.median(sheet["load"][row]))
        if load <= 1:
            continue
        needed, rated = float(np.median(sheet["needed_power"][row])), float(np.median(sheet["rated_power"][row]))
        slower = float(np.median(sheet["speed"][row])) / load
        what = (
            f'"{step.tractor.name}" is too small for {step.worker.name}: {show(needed, "kW")} needed at the take-off, '
            f"{show(rated, 'kW')} there; go slower (about {slower:.1f} km/h), shallower or narrower, or take a larger "
            "tractor"
        )
        yield desk.chain.read.fault(what, *step.path, "tractor")


def _band_faults(desk: Desk) -> Iterator[Fault]:
    chain = desk.chain
    for row, system in enumerate(chain.band_systems()):
        index = chain.placing_step(system)
        if index is not None:
            for what in _band_words(desk, row):
                yield chain.read.fault(what, *chain.steps[index].path, "depth")


def _band_words(desk: Desk, row: int) -> Iterator[str]:
    """Yield what is wrong with the band in row `row`, as far as it is worked out."""
    sheet = desk.sheet

    def middle(name: str) -> float:
        values = sheet[name]
        return float(np.median(values[row] if sheet.figures[name].over else values))

    if "under_seed" in sheet.figures and (above := float(np.mean(sheet["under_seed"][row] < 0))) > 0:
        seed, tine = show(middle("seed_depth"), "cm"), show(middle("tine_firmed"), "cm")
        when = "" if above == 1 else f" (in {_of_draws(above)} of the draws)"
        yield (
            f"the tine would not reach below the seed{when}: tine {tine}, seed {seed} under the press-wheel track; "
            "go deeper, or sow shallower"
        )
        return
    if "gap" in sheet.figures and middle("gap") <= 0:
        top, seed = middle("band_top"), show(middle("seed_depth"), "cm")
        side = "under" if top >= 0 else "above"
        yield (
            f"the band would reach up to the seed: its top {show(abs(top), 'cm')} {side} the press-wheel track, the "
            f"seed {seed} under it; go deeper or place less slurry"
        )
    if "overflow" in sheet.figures and middle("overflow") > 0:
        litres, room = middle("row_litres"), middle("capacity") / 10.0
        yield (
            f"the slot cannot hold the dose: {show(litres, 'L')} per metre of row, room for {show(room, 'L')} below "
            "the seed; go deeper, place less slurry or wait for drier soil"
        )


def too_wet(desk: Desk) -> Fault:
    """Return the fault of a soil that has no room for slurry in some of the draws, with the middles that led there."""
    sheet, field = desk.sheet, desk.chain.plan.field
    room = sheet["saturation"] * sheet["pores"] - sheet["moisture"]
    share = float(np.mean(room <= 0))
    pores, filled = float(np.median(sheet["pores"])), float(np.median(sheet["saturation"]))
    when = "" if share == 1 else f" in {_of_draws(share)} of the draws"
    what = (
        f"the soil has no room for slurry{when}: {field.moisture.text} water, {_percent(pores)} pores at "
        f"{field.bulk_density.text}, of which slurry can fill {_percent(filled)}; wait for drier soil"
    )
    return desk.chain.read.fault(what + ("" if share == 1 else ", or narrow the spread"), "field", "moisture")


def _tractor_notes(desk: Desk) -> Iterator[str]:
    for row, step in enumerate(desk.chain.steps):
        share = float(np.mean(desk.sheet["load"][row] > 1))
        if share > 0:
            system = desk.chain.plan.systems[step.system].name
            yield (
                f'{system}, {step.worker.name}: in {_of_draws(share)} of the draws "{step.tractor.name}" is too small '
                f"for {step.done.speed.text}; there the pass is counted at full load and slower"
            )


def _band_notes(desk: Desk) -> Iterator[str]:
    sheet, chain = desk.sheet, desk.chain
    for row, system in enumerate(chain.band_systems()):
        name = chain.plan.systems[system].name
        near = float(np.mean(sheet["gap"][row] <= 0))
        if near > 0:
            yield f"{name}: in {_of_draws(near)} of the draws the band reaches the seed; dig and measure before sowing"
        full = float(np.mean(sheet["overflow"][row] > 0))
        if full > 0:
            yield f"{name}: in {_of_draws(full)} of the draws the slot cannot hold the dose and slurry wells up"


def _of_draws(share: float) -> str:
    return "under 1 %" if share < 0.01 else _percent(share)


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
