"""Whether the parts of a plan agree with one another: names that exist, passes that can be, chains that make sense."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from spadework.plan.agreement.band import faults as band_faults
from spadework.plan.agreement.crop import faults as crop_faults
from spadework.plan.agreement.days import faults as days_faults
from spadework.plan.agreement.design import faults as design_faults
from spadework.plan.agreement.machines import faults as machines_faults
from spadework.plan.agreement.machines import supply_faults
from spadework.plan.agreement.season import faults as season_faults
from spadework.plan.agreement.slurry import faults as slurry_faults
from spadework.plan.agreement.weather import faults as weather_faults
from spadework.plan.agreement.wheels import faults as wheels_faults
from spadework.plan.faults import Fault, nearest
from spadework.plan.outfits import kind_of, placing_machine, working_width_m
from spadework.plan.schema.plan import Machine, Pass, Plan, System
from spadework.reference import Row, constants

if TYPE_CHECKING:
    from spadework.plan.as_read import Read

__all__ = ["faults"]


def faults(read: Read) -> list[Fault]:
    """Return everything in a plan that does not agree."""
    found: list[Fault] = []
    for part in (
        _names,
        _tractors,
        _machines,
        slurry_faults,
        weather_faults,
        crop_faults,
        band_faults,
        wheels_faults,
        days_faults,
        design_faults,
        season_faults,
        _field,
    ):
        found.extend(part(read))
    for index, system in enumerate(read.plan.systems):
        found.extend(_system(read, index, system))
    found.extend(machines_faults(read))
    return found


def _names(read: Read) -> Iterator[Fault]:
    plan = read.plan
    for table, things in (
        ("system", plan.systems),
        ("tractor", plan.tractors),
        ("machine", plan.machines),
        ("supply", plan.supplies),
        ("contractor", plan.contractors),
    ):
        seen: set[str] = set()
        for i, name in enumerate(thing.name for thing in things):
            if name in seen:
                yield read.fault(f'two are called "{name}"; give each {table} its own name', table, i, "name")
            seen.add(name)
    names = [system.name for system in plan.systems]
    if plan.baseline not in names:
        known = nearest(plan.baseline, names) or "; the systems are: " + ", ".join(names)
        yield read.fault(f'no system is called "{plan.baseline}"{known}', "baseline")


def _field(read: Read) -> Iterator[Fault]:
    field = read.plan.field
    breadth = field.area.value * 10_000 / field.length.value
    if breadth < 3:
        what = f"{field.area.text} on a length of {field.length.text} leaves a field {breadth:.1f} m wide; check both"
        yield read.fault(what, "field", "length")
    pores = 1 - field.bulk_density.value / constants("band_defaults")["particle_density"].value
    if field.moisture.fraction > pores:
        what = (
            f"{field.moisture.text} water does not fit into soil of {field.bulk_density.text}, "
            f"which has {100 * pores:.0f} % pores; give water by volume (mass share times bulk density)"
        )
        yield read.fault(what, "field", "moisture")


def _tractors(read: Read) -> Iterator[Fault]:
    for i, tractor in enumerate(read.plan.tractors):
        if (tractor.power is None) == (tractor.engine_power is None):
            what = 'give its rated power once: power = "120 kW" (at the power take-off) or engine_power = "140 kW"'
            yield read.fault(what, "tractor", i, "power")


def _machines(read: Read) -> Iterator[Fault]:
    for i, machine in enumerate(read.plan.machines):
        kind = kind_of(machine)
        shape = kind.text("shape")
        if shape == "carries":
            for key in ("tank", "mass"):
                if getattr(machine, key) is None:
                    example = {"tank": "18 m3", "mass": "9 t"}[key]
                    yield read.fault(f'a {kind.label} needs {key} = "{example}"', "machine", i, key)
            continue
        if (machine.width is None) == (machine.rows is None):
            yield read.fault('give width = "3 m" or rows = 8, one of the two', "machine", i, "width")
        if shape in {"strip", "seeds"} and machine.rows is None:
            yield read.fault(f"a {kind.label} works row by row; give rows = 8", "machine", i, "rows")
        if shape == "strip":
            if machine.strip_width is None:
                yield read.fault(f'a {kind.label} needs strip_width = "25 cm"', "machine", i, "strip_width")
            elif machine.strip_width.value >= read.plan.crop.row_spacing.value:
                what = (
                    f"a strip of {machine.strip_width.text} does not fit into rows of {read.plan.crop.row_spacing.text}"
                )
                yield read.fault(what, "machine", i, "strip_width")
            if machine.tine_width is None:
                yield read.fault(f'a {kind.label} needs tine_width = "4 cm"', "machine", i, "tine_width")


def _system(read: Read, index: int, system: System) -> Iterator[Fault]:
    outfits: list[list[Machine]] = []
    for number, step in enumerate(system.passes):
        here = ("system", index, "pass", number)
        machines, missing = _outfit(read.plan, step)
        for key, name, known in missing:
            what = f'no {"tractor" if key == "tractor" else "machine"} is called "{name}"{known}'
            yield read.fault(what, *here, key)
        if not missing:
            outfits.append(machines)
            yield from _pass(read, here, step, machines)
    sown = sum("seed" in step.places for step in system.passes)
    if sown != 1:
        what = 'sows nothing; one pass needs places = ["seed"]' if sown == 0 else f"sows {sown} times; once is needed"
        yield read.fault(what, "system", index)
    if len(outfits) == len(system.passes):  # else what follows a pass that is not known yet cannot be said
        yield from _order(read, index, system, outfits)


def _order(read: Read, index: int, system: System, outfits: Sequence[Sequence[Machine]]) -> Iterator[Fault]:
    placed_at: int | None = None
    sown_at: int | None = None
    lies_open = False
    for number, (step, machines) in enumerate(zip(system.passes, outfits, strict=True)):
        here = ("system", index, "pass", number)
        kinds = [kind_of(machine) for machine in machines]
        if sown_at is not None and any(kind.text("shape") == "full" for kind in kinds):
            what = f"works the whole ground after sowing in pass {sown_at + 1}; put it before"
            yield read.fault(what, *here, "machines")
        if "seed" in step.places:
            sown_at = number
        if "slurry" in step.places:
            placer = placing_machine(machines)
            lies_open = placer is not None and kind_of(placer).text("slurry_lies") in {"surface", "slots"}
            if placed_at is not None:
                yield read.fault(f"slurry is placed twice, in pass {placed_at + 1} already", *here, "places")
            placed_at = number
        if step.after is not None and (placed_at is None or "slurry" in step.places):
            yield read.fault("there is no slurry from an earlier pass to count from", *here, "after")
        if lies_open and placed_at != number and any(kind.has("covers") for kind in kinds):
            lies_open = False
            if step.after is None:
                what = "this pass covers the slurry: say how long after the start of spreading it starts, e.g. "
                yield read.fault(what + 'after = "1 h"', *here, "after")


def _outfit(plan: Plan, step: Pass) -> tuple[list[Machine], list[tuple[str, str, str]]]:
    missing = []
    tractors = [t.name for t in plan.tractors]
    if step.tractor not in tractors:
        missing.append(
            ("tractor", step.tractor, nearest(step.tractor, tractors) or "; there are: " + ", ".join(tractors))
        )
    names = [m.name for m in plan.machines]
    machines = []
    for name in step.machines:
        if name in names:
            machines.append(plan.machine(name))
        else:
            missing.append(("machines", name, nearest(name, names) or "; there are: " + ", ".join(names)))
    return machines, missing


def _pass(read: Read, here: tuple[str | int, ...], step: Pass, machines: Sequence[Machine]) -> Iterator[Fault]:
    plan = read.plan
    kinds = [kind_of(m) for m in machines]
    shapes = [kind.text("shape") for kind in kinds]
    for key, entries in (("machines", step.machines), ("places", step.places)):
        if len(set(entries)) < len(entries):
            yield read.fault("holds the same entry twice", *here, key)
    widths = {round(w, 3): m.name for m in machines if (w := working_width_m(m, plan)) is not None}
    if not widths:
        yield read.fault(
            "nothing in this outfit works the ground; couple a boom or an implement to the tanker", *here, "machines"
        )
    elif len(widths) > 1:
        words = " and ".join(f"{name} {width:g} m" for width, name in widths.items())
        yield read.fault(f"the machines of one outfit must be equally wide; here {words}", *here, "machines")
    tills = [k.label for k, shape in zip(kinds, shapes, strict=True) if _needs_depth(k, shape)]
    if tills and step.depth is None:
        yield read.fault(f'a {tills[0]} needs depth = "20 cm"', *here, "depth")
    if "seed" in step.places and "seeds" not in shapes:
        yield read.fault("nothing in this outfit sows", *here, "places")
    if "slurry" not in step.places:
        if step.visible_slurry is not None:
            yield read.fault("this pass places no slurry", *here, "visible_slurry")
        return
    yield from supply_faults(read, here, step, machines)
    if placing_machine(machines) is None:
        what = "nothing in this outfit puts slurry on the ground; couple a boom, an injector or a strip tiller"
        yield read.fault(what, *here, "places")


def _needs_depth(kind: Row, shape: str) -> bool:
    return shape in {"full", "strip"} or (shape == "surface" and kind.has("draft_row") and kind.has("places"))
