"""Whether machines, slurry and seed fit together: what cannot be is a fault of the plan, what is tight is a note."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from spadework.estimate.desk import Desk
from spadework.estimate.ways_out import ways_out
from spadework.plan import Fault
from spadework.quantities import show
from spadework.reference import constants

__all__ = ["fit_faults", "fit_notes", "too_wet"]

_AS_PLANNED = 0.999
_WHOLE = 1e-6


def fit_faults(desk: Desk) -> list[Fault]:
    """Return what cannot be, as far as it is worked out yet, judged by the median of all draws."""
    parts = (
        _reading_faults,
        _tractor_faults,
        _field_faults,
        _late_faults,
        _container_faults,
        _hose_faults,
        _band_faults,
    )
    return [fault for part in parts for fault in part(desk)]


def fit_notes(desk: Desk) -> list[str]:
    """Return what is tight: shares of the draws in which something would not do."""
    return [*_tractor_notes(desk), *_band_notes(desk)]


def _tractor_faults(desk: Desk) -> Iterator[Fault]:
    sheet = desk.sheet
    if "work_speed" not in sheet.figures:
        return
    for row, step in enumerate(desk.chain.steps):
        slower = sheet["work_speed"][row] / sheet["speed"][row]
        stuck = float(np.mean(slower == 0))
        if np.median(slower) > _AS_PLANNED and np.median(sheet["depth_kept"][row]) > _AS_PLANNED and stuck == 0:
            continue
        load, needed, rated = (float(np.median(sheet[name][row])) for name in ("load", "planned_power", "rated_power"))
        there = f"{show(needed, 'kW')} needed at the take-off at {step.done.speed.text}, {show(rated, 'kW')} there"
        if load > 1:
            what = f'"{step.tractor.name}" is too small for {step.worker.name}: {there}'
        elif stuck and np.median(slower) > _AS_PLANNED:
            what = f'"{step.tractor.name}" cannot pull {step.worker.name} at all in {_of_draws(stuck)} of the draws'
        else:
            mass, most = float(np.median(sheet["tractor_mass"][row])), float(np.median(sheet["slip_most"]))
            what = (
                f'"{step.tractor.name}" ({show(mass, "t")}) cannot pull {step.worker.name}: its wheels would slip more '
                f"than {_percent(most)}"
            )
        yield desk.chain.read.fault(f"{what}; {_ways(desk, row)}", *step.path, "tractor")


def _ways(desk: Desk, row: int) -> str:
    """Return the ways out of a tractor that is too small, each by itself, in words."""
    ways = ways_out(desk, row)
    said = []
    if ways.speed_km_h is not None and ways.speed_km_h >= constants("field_work")["least_speed_km_h"].low:
        said.append(f"no faster than {_down(ways.speed_km_h)} km/h")
    if ways.depth_cm is not None and ways.depth_cm >= 1:
        said.append(f"no deeper than {_down(ways.depth_cm)} cm")
    if ways.rows:
        said.append(f"{ways.rows} rows")
    elif ways.width_m is not None:
        said.append(f"no wider than {_down(ways.width_m)} m")
    if not said:
        return "no lower speed, less depth or width would do; take a larger or heavier tractor"
    return f"enough in nine draws of ten: {', or '.join(said)}; or take a larger or heavier tractor"


def _down(value: float) -> str:
    """Return a limit to one decimal, rounded to the safe side."""
    return f"{np.floor(value * 10) / 10:.1f}".removesuffix(".0")


def _field_faults(desk: Desk) -> Iterator[Fault]:
    sheet, read, field = desk.sheet, desk.chain.read, desk.chain.plan.field
    if "headland" not in sheet.figures:
        return
    for row, step in enumerate(desk.chain.steps):
        deep = float(np.max(sheet["headland"][row]))
        if 2 * deep >= float(np.min(sheet["length"])):
            what = (
                f"two headlands of {show(deep, 'm')} for {step.worker.name} leave no run in {field.length.text}; give the "
                'headlands their depth, e.g. headland = "6 m", or turn outside the field: headland = "0 m"'
            )
            yield read.fault(what, "field", "length")
            return


def _reading_faults(desk: Desk) -> Iterator[Fault]:
    """Yield readings of the draft that are so far off the table that unit, depth or speed must be wrong."""
    sheet, chain = desk.sheet, desk.chain
    if "read_pull" not in sheet.figures or "read_factor" in sheet.figures:
        return
    read = [tool for tool in chain.tools if tool.machine.measured_draft is not None]
    told: set[str] = set()
    for row, tool in enumerate(read):
        machine = tool.machine
        if machine.name in told or machine.measured_draft is None:
            continue
        ratios = np.atleast_1d(sheet["read_pull"][row] / sheet["read_whole"][row])
        wide = [float(ratio) for ratio in (np.median(ratios), ratios.max(), ratios.min()) if not 0.1 <= ratio <= 10]
        if not wide:
            continue
        ours, times = float(np.median(sheet["read_whole"][row])) / 1000, wide[0]
        told.add(machine.name)
        depth, speed = machine.measured_depth, machine.measured_speed
        at = " and ".join(quantity.text for quantity in (depth, speed) if quantity is not None)
        what = (
            f"{machine.measured_draft.text} is {show(times, '')} times what the table gives ({show(ours, 'kN')}) "
            f"for {machine.name} at {at}; check the unit, and depth, speed and width"
        )
        yield chain.read.fault(what, *chain.machine_path(machine.name), "measured_draft")


def _late_faults(desk: Desk) -> Iterator[Fault]:
    """Yield a farm whose work would draw out beyond what lateness can be priced for."""
    sheet, farm = desk.sheet, desk.chain.plan.farm
    if farm is None or "days_late" not in sheet.figures or "lateness" in sheet.figures:
        return
    latest = int(np.argmax(np.median(sheet["calendar_days"], axis=-1)))
    days = float(np.median(sheet["calendar_days"][latest]))
    what = (
        f"{farm.maize.text} would draw out over {days:.0f} calendar days with {farm.drivers} drivers and the chain "
        f'"{desk.chain.plan.systems[latest].name}", too long for lateness to be priced; check the area, take more drivers '
        "or larger machines, or leave late_loss and crop_price out"
    )
    yield desk.chain.read.fault(what, "farm", "maize")


def _container_faults(desk: Desk) -> Iterator[Fault]:
    chain = desk.chain
    for index in chain.placing:
        step = chain.steps[index]
        if chain.way(index) != "field container" or step.done.supply is None or step.tanker is None:
            continue
        supply = chain.plan.supply(step.done.supply)
        feeder = chain.plan.machine(supply.machine or "")
        if supply.container is None or feeder.tank is None or step.tanker.tank is None:
            continue
        ratio = max(feeder.tank.value, step.tanker.tank.value) / min(feeder.tank.value, step.tanker.tank.value)
        exact = feeder.tank.kind == step.tanker.tank.kind == "exact"
        larger = max(feeder.tank.high, step.tanker.tank.high)
        least = larger if exact and abs(ratio - round(ratio)) < _WHOLE else feeder.tank.high + step.tanker.tank.high
        if supply.container.low < least:
            what = (
                f"a container of {supply.container.text} gets stuck between feeders of {feeder.tank.text} and a tanker of "
                f"{step.tanker.tank.text}: too full for the one, too empty for the other; it must hold {show(least, 'm3')}"
            )
            yield chain.read.fault(what, *chain.supply_path(supply.name), "container")


def _hose_faults(desk: Desk) -> Iterator[Fault]:
    sheet, chain = desk.sheet, desk.chain
    if "hose_speed" not in sheet.figures:
        return
    least = constants("field_work")["least_speed_km_h"].value
    for row, supply in enumerate(chain.supplies("hosed")):
        speed = float(np.median(sheet["hose_speed"][row]))
        if speed < least and supply.flow is not None:
            what = (
                f"{supply.flow.text} give the dose only at {show(speed, 'km/h')}, slower than the {show(least, 'km/h')} that "
                "an outfit keeps steadily; take more flow, a narrower outfit or more passes with less dose"
            )
            yield chain.read.fault(what, *chain.supply_path(supply.name), "flow")


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
    sheet = desk.sheet
    for row, step in enumerate(desk.chain.steps):
        said = f'{desk.chain.plan.systems[step.system].name}, {step.worker.name}: in {{}} of the draws "{step.tractor.name}"'
        slow = float(np.mean(sheet["work_speed"][row] < _AS_PLANNED * sheet["speed"][row]))
        if slow > 0:
            words = f"{said.format(_of_draws(slow))} is too small for {step.done.speed.text}; there the pass is slower"
            shallow = float(np.mean(sheet["depth_kept"][row] < _AS_PLANNED))
            yield words + (f", and shallower in {_of_draws(shallow)}" if shallow > 0 else "")


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
