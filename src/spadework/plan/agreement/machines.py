"""Whether supply, contractors, measured figures and farm agree with the machines and passes that they speak of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from spadework.plan.composition import density_t_m3
from spadework.plan.faults import Fault, nearest
from spadework.plan.measures import MOST_FLOW_M3_MIN
from spadework.plan.outfits import kind_of, placing_machine, tanker_of, working_width_m
from spadework.plan.schema.plan import Machine, Pass, Plan, Supply
from spadework.quantities import show
from spadework.reference import constants, load

if TYPE_CHECKING:
    from spadework.plan.as_read import Read

__all__ = ["faults", "supply_faults"]

_NEEDS = {
    "feeders": {"tractor": '"tractor 160"', "machine": '"feeder tanker, 24 m3"', "vehicles": "2"},
    "field container": {
        "tractor": '"tractor 160"',
        "machine": '"feeder tanker, 24 m3"',
        "vehicles": "2",
        "container": '"60 m3"',
        "rate": '"12 EUR/h"',
    },
    "hose": {"flow": '"110 m3/h"', "hose": '"300 m"', "set_up": '"2 h"', "rate": '"75 EUR/h"'},
}
_ALSO = {"feeders": ("filling", "transfer"), "field container": ("filling", "transfer"), "hose": ()}
_KEYS = ("tractor", "machine", "vehicles", "filling", "transfer", "container", "flow", "hose", "set_up", "rate")
_READING = ("measured_draft", "measured_depth", "measured_speed")
_PLAUSIBLE = constants("plausible")


def faults(read: Read) -> Iterator[Fault]:
    """Yield what does not agree in supplies, contractors, machines with readings, and the farm."""
    for index, supply in enumerate(read.plan.supplies):
        yield from _supply(read, index, supply)
    yield from _tankers(read)
    yield from _contractors(read)
    yield from _readings(read)
    yield from _widths(read)
    yield from _passes(read)
    yield from _farm(read)


def supply_faults(read: Read, here: tuple[str | int, ...], step: Pass, machines: Sequence[Machine]) -> Iterator[Fault]:
    """Yield what keeps slurry from getting to a pass that places it."""
    plan = read.plan
    names = [supply.name for supply in plan.supplies]
    if step.supply is not None and step.supply not in names:
        known = nearest(step.supply, names) or _there_are(names)
        yield read.fault(f'no supply is called "{step.supply}"{known}', *here, "supply")
        return
    tanker = tanker_of(machines)
    if step.supply is not None and plan.supply(step.supply).way == "hose":
        if tanker is not None:
            what = f'"{step.supply}" brings the slurry through a hose; leave "{tanker.name}" out of this outfit'
            yield read.fault(what, *here, "machines")
        return
    if tanker is None:
        what = 'nothing in this outfit carries slurry; couple a slurry tanker, or name a supply with way = "hose"'
        yield read.fault(what, *here, "places")
        return


def _tankers(read: Read) -> Iterator[Fault]:
    """Yield what keeps tankers from being filled that no supply serves, each once."""
    plan = read.plan
    alone = {
        name
        for system in plan.systems
        for step in system.passes
        if step.supply is None and "slurry" in step.places
        for name in step.machines
    }
    brought = ""
    for index, machine in enumerate(plan.machines):
        if machine.tank is None or machine.name not in alone:
            continue
        if machine.refill is None and machine.filling is None:
            what = (
                f'nothing says how "{machine.name}" is filled: give filling = "4.5 m3/min" (it drives to the store), '
                'refill = "6 min" (it is met in the field), or name a supply in its pass'
            )
            yield read.fault(what, "machine", index, "filling")
        elif machine.refill is not None:
            brought = machine.name
    if brought and plan.slurry.delivery is None:
        what = (
            f'"{brought}" is met in the field: say what bringing the slurry there costs, '
            'delivery = "1.60 EUR/m3" ("0 EUR/m3" where it costs nothing)'
        )
        yield read.fault(what, "slurry", "delivery")


def _supply(read: Read, index: int, supply: Supply) -> Iterator[Fault]:
    plan, here = read.plan, ("supply", index)
    needs = _NEEDS[supply.way]
    for key in _KEYS:
        given = getattr(supply, key) is not None
        if key in needs and not given:
            yield read.fault(f'a supply with way = "{supply.way}" needs {key} = {needs[key]}', *here, key)
        if given and key not in needs and key not in _ALSO[supply.way]:
            yield read.fault(f'{key} has no meaning where way = "{supply.way}"; leave it out', *here, key)
    if supply.way == "hose":
        return
    tractors, machines = [t.name for t in plan.tractors], [m.name for m in plan.machines]
    if supply.tractor is not None and supply.tractor not in tractors:
        known = nearest(supply.tractor, tractors) or _there_are(tractors)
        yield read.fault(f'no tractor is called "{supply.tractor}"{known}', *here, "tractor")
    if supply.machine is None:
        return
    if supply.machine not in machines:
        known = nearest(supply.machine, machines) or _there_are(machines)
        yield read.fault(f'no machine is called "{supply.machine}"{known}', *here, "machine")
        return
    feeder = plan.machine(supply.machine)
    if tanker_of([feeder]) is None:
        what = f'"{feeder.name}" carries no slurry; name a machine of kind = "slurry tanker"'
        yield read.fault(what, *here, "machine")
    elif supply.container and feeder.tank and supply.container.low < feeder.tank.high:
        what = (
            f"a container of {supply.container.text} does not hold the {feeder.tank.text} of one feeder; "
            "take a larger container or smaller feeders"
        )
        yield read.fault(what, *here, "container")


def _there_are(names: Sequence[str]) -> str:
    return "; there are: " + ", ".join(f'"{name}"' for name in dict.fromkeys(names)) if names else "; there is none"


def _contractors(read: Read) -> Iterator[Fault]:
    for index, contractor in enumerate(read.plan.contractors):
        if contractor.tax != read.plan.prices.tax and contractor.tax_rate is None:
            what = (
                f"this rate is {contractor.tax} tax, the prices of the plan are {read.plan.prices.tax}; "
                'name the rate of value-added tax, e.g. tax_rate = "19 %"'
            )
            yield read.fault(what, "contractor", index, "tax_rate")


def _readings(read: Read) -> Iterator[Fault]:
    for index, machine in enumerate(read.plan.machines):
        given = [key for key in _READING if getattr(machine, key) is not None]
        if not given:
            continue
        kind = kind_of(machine)
        draws = kind.has("draft_row") or kind.text("shape") == "strip"
        if not draws:
            what = f"no draft is worked out for a {kind.label}, so a reading of it has no use; leave it out"
            yield read.fault(what, "machine", index, given[0])
            continue
        for key, example in zip(_READING, ("46 +/- 4 kN", "22 cm", "7 km/h"), strict=True):
            if key not in given:
                what = f'a reading is pull, depth and speed together; still missing: {key} = "{example}"'
                yield read.fault(what, "machine", index, key)


def _widths(read: Read) -> Iterator[Fault]:
    """Yield overlaps that leave too little of a width, and strips that are narrower than their tine."""
    usual = load("overlap")
    for index, machine in enumerate(read.plan.machines):
        strip, tine = machine.strip_width, machine.tine_width
        if strip is not None and tine is not None and strip.low < tine.high:
            what = f"a strip of {strip.text} is narrower than its tine of {tine.text}"
            yield read.fault(what, "machine", index, "strip_width")
        width = working_width_m(machine, read.plan)
        if width is None:
            continue
        if machine.overlap is not None:
            if machine.overlap.high / 100 > _PLAUSIBLE.most_overlap_share * width:
                what = (
                    f"an overlap of {machine.overlap.text} is more than half of the {width:g} m that this machine works; "
                    "give what is worked twice at one join"
                )
                yield read.fault(what, "machine", index, "overlap")
            continue
        row = usual[machine.kind]
        overlap = row.entry("overlap_m").high + row.entry("overlap_share").high * width
        if overlap > _PLAUSIBLE.most_overlap_share * width:
            what = (
                f'"{kind_of(machine).label}" usually overlaps by up to {show(overlap, "m")}, more than half of {width:g} m; '
                'check the width, or give the overlap, e.g. overlap = "10 cm"'
            )
            yield read.fault(what, "machine", index, "rows" if machine.width is None else "width")


def _flow(read: Read, here: tuple[str | int, ...], step: Pass) -> Iterator[Fault]:
    """Yield a pass whose dose, speed and width ask for more slurry a minute than any pump moves."""
    plan = read.plan
    placer = placing_machine(_known(plan, step))
    width = None if placer is None else working_width_m(placer, plan)
    if width is None:
        return
    dose = plan.slurry.dose
    volume = dose.value / density_t_m3(plan.slurry) if dose.unit == "t/ha" else dose.value
    flow = volume * width * step.speed.value / 600
    if flow > MOST_FLOW_M3_MIN:
        what = (
            f"{dose.text} at {step.speed.text} and {width:g} m wide take {show(flow, 'm3/min')} of slurry, more than any "
            f"pump moves ({show(MOST_FLOW_M3_MIN, 'm3/min')}); go slower, or spread less"
        )
        yield read.fault(what, *here, "speed")


def _known(plan: Plan, step: Pass) -> list[Machine]:
    names = [machine.name for machine in plan.machines]
    return [plan.machine(name) for name in step.machines if name in names]


def _passes(read: Read) -> Iterator[Fault]:
    plan = read.plan
    names = [contractor.name for contractor in plan.contractors]
    for number, system in enumerate(plan.systems):
        for row, step in enumerate(system.passes):
            here = ("system", number, "pass", row)
            if "slurry" in step.places:
                yield from _flow(read, here, step)
            if step.contractor is not None and step.contractor not in names:
                known = nearest(step.contractor, names) or _there_are(names)
                yield read.fault(f'no contractor\'s rate is called "{step.contractor}"{known}', *here, "contractor")
            elif step.contractor is not None:
                unit = plan.contractor(step.contractor).rate.unit
                if unit.endswith("/m3") and "slurry" not in step.places:
                    what = f'"{step.contractor}" is a rate per m3 of slurry, but this pass places none'
                    yield read.fault(what, *here, "contractor")
            if step.supply is not None and "slurry" not in step.places:
                yield read.fault("this pass places no slurry, so it needs no supply; leave it out", *here, "supply")


def _farm(read: Read) -> Iterator[Fault]:
    farm = read.plan.farm
    if farm is None:
        return
    if (farm.late_loss is None) != (farm.crop_price is None):
        missing = "crop_price" if farm.crop_price is None else "late_loss"
        example = {"crop_price": "140 EUR/t", "late_loss": "0.5 %"}[missing]
        what = f'lateness is priced from late_loss and crop_price together; still missing: {missing} = "{example}"'
        yield read.fault(what, "farm", missing)
    if farm.fit_days is not None and farm.fit_days.low < 100 * _PLAUSIBLE.least_fit_share:
        what = (
            f"{farm.fit_days.text} can mean hardly a fit day in spring; give the share of all days in the window that are "
            'fit, e.g. "55 %"'
        )
        yield read.fault(what, "farm", "fit_days")
    if farm.late_loss is not None and farm.late_loss.high > 100 * _PLAUSIBLE.most_daily_loss_share:
        what = (
            f"{farm.late_loss.text} of the yield lost with every day late is beyond any crop; give the loss of one day, "
            'e.g. "0.5 %"'
        )
        yield read.fault(what, "farm", "late_loss")
    if farm.stay_fit is not None and farm.fit_days is not None and farm.stay_fit.low < farm.fit_days.value:
        what = (
            f"{farm.stay_fit.text} after a fit day is less than the {farm.fit_days.text} of any day, but fit days come in "
            "rows; give a higher figure, or leave it out"
        )
        yield read.fault(what, "farm", "stay_fit")
    if farm.maize.value < read.plan.field.area.value:
        what = (
            f"{farm.maize.text} is less than this field alone ({read.plan.field.area.text}); give all maize of the farm"
        )
        yield read.fault(what, "farm", "maize")
