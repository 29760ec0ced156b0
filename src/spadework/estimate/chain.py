"""A plan laid flat: systems, passes and the tools of each pass as rows, ready for one vectorised sweep."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from spadework.plan import Machine, Pass, Plan, Read, Supply, Tractor
from spadework.plan.outfits import Way, kind_of, placing_machine, supply_way, tanker_of, working_width_m
from spadework.quantities import Quantity
from spadework.reference import Entry, Row, load
from spadework.working import Axis

__all__ = ["ONE_A_SYSTEM", "Chain", "Step", "Tool"]

ONE_A_SYSTEM = frozenset(
    {"system", "placing", "band", "covered", "tanked", "hosed", "brought", "driven", "fed", "contained"}
)
"""Axes that hold at most one row for each system."""


@dataclass(frozen=True)
class Step:
    """One pass of one system with the machines that its names stand for."""

    system: int
    number: int
    done: Pass
    tractor: Tractor
    machines: tuple[Machine, ...]
    width_m: float

    @property
    def path(self) -> tuple[str | int, ...]:
        """The key of the pass in the plan file."""
        return ("system", self.system, "pass", self.number)

    @property
    def tanker(self) -> Machine | None:
        """The machine that carries slurry, if any."""
        return tanker_of(self.machines)

    @property
    def placer(self) -> Machine | None:
        """The machine that puts slurry on or into the ground in this pass, if any."""
        return placing_machine(self.machines) if "slurry" in self.done.places else None

    @property
    def strip(self) -> Machine | None:
        """The machine that loosens strips and leaves the ground between them, if any."""
        return next((m for m in self.machines if kind_of(m).text("shape") == "strip"), None)

    @property
    def worker(self) -> Machine:
        """The machine that gives the pass its name: the last that does more than carry."""
        return next((m for m in reversed(self.machines) if kind_of(m).text("shape") != "carries"), self.machines[-1])


@dataclass(frozen=True)
class Tool:
    """Tools of one kind in one pass, with the row of the draft table that speaks for them.

    Tools that are `deep` go as deep as the pass, others have a depth of their own.  Tools that share a `range_key` are
    light or heavy together: all of one row of the table, or all parts of a row unit that was built from parts.
    """

    step: int
    label: str
    row: Row
    units: float | Entry
    depth_cm: Quantity | Entry | float
    range_pct: Entry
    range_key: str
    machine: Machine

    @property
    def deep(self) -> bool:
        """True where the tool follows the depth of the pass."""
        return isinstance(self.depth_cm, Quantity)


@dataclass(frozen=True)
class Chain:
    """All passes of all systems of a plan, in order."""

    read: Read

    @property
    def plan(self) -> Plan:
        """The plan."""
        return self.read.plan

    @property
    def baseline(self) -> int:
        """The system that the others are held against."""
        return [system.name for system in self.plan.systems].index(self.plan.baseline)

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """Every pass of every system."""
        plan = self.plan
        found = []
        for index, system in enumerate(plan.systems):
            for number, done in enumerate(system.passes):
                machines = tuple(plan.machine(name) for name in done.machines)
                width = next(w for m in machines if (w := working_width_m(m, plan)) is not None)
                found.append(Step(index, number, done, plan.tractor(done.tractor), machines, width))
        return tuple(found)

    @cached_property
    def tools(self) -> tuple[Tool, ...]:
        """Everything that has to be pulled through the soil, pass by pass."""
        return tuple(tool for index, step in enumerate(self.steps) for tool in _tools(index, step))

    @cached_property
    def draft_class(self) -> tuple[str, Row]:
        """The soil class of the draft table that the texture of the field falls into, and the row that says so."""
        row = load("texture_class")[self.plan.field.texture]
        return row.text("draft_class"), row

    def steps_of(self, system: int) -> list[int]:
        """Return the passes of one system."""
        return [i for i, step in enumerate(self.steps) if step.system == system]

    def placing_step(self, system: int) -> int | None:
        """Return the pass of a system that places slurry, if any."""
        return next((i for i in self.steps_of(system) if "slurry" in self.steps[i].done.places), None)

    def way(self, index: int) -> Way:
        """Return how slurry gets to the outfit of a pass that places it."""
        step = self.steps[index]
        return supply_way(self.plan, step.done, step.machines)

    @cached_property
    def placing(self) -> tuple[int, ...]:
        """The passes that place slurry, one for each row of the axis ``placing``."""
        return tuple(i for s in range(len(self.plan.systems)) if (i := self.placing_step(s)) is not None)

    @property
    def placing_steps(self) -> list[Step]:
        """The steps behind :attr:`placing`."""
        return [self.steps[index] for index in self.placing]

    def machine_path(self, name: str) -> tuple[str | int, ...]:
        """Return the key of a machine in the plan file."""
        return ("machine", next(i for i, m in enumerate(self.plan.machines) if m.name == name))

    def tractor_path(self, name: str) -> tuple[str | int, ...]:
        """Return the key of a tractor in the plan file."""
        return ("tractor", next(i for i, t in enumerate(self.plan.tractors) if t.name == name))

    def supply_path(self, name: str) -> tuple[str | int, ...]:
        """Return the key of a supply in the plan file."""
        return ("supply", next(i for i, t in enumerate(self.plan.supplies) if t.name == name))

    def supplies(self, axis: str) -> list[Supply]:
        """Return the supply of every row of one of the axes ``fed``, ``contained`` and ``hosed``."""
        way = {"fed": "feeders", "contained": "field container", "hosed": "hose"}[axis]
        names = [self.steps[index].done.supply for index in self.placing if self.way(index) == way]
        return [self.plan.supply(name) for name in names if name is not None]

    def supplied(self, *ways: Way) -> list[int]:
        """Return the rows of the axis ``placing`` that are supplied in one of the ways."""
        return [row for row, index in enumerate(self.placing) if self.way(index) in ways]

    def covering_step(self, system: int) -> int | None:
        """Return the first pass after the slurry that turns or mixes it in, if any."""
        placed = self.placing_step(system)
        if placed is None:
            return None
        later = [i for i in self.steps_of(system) if i > placed]
        return next((i for i in later if any(kind_of(m).has("covers") for m in self.steps[i].machines)), None)

    def strip_step(self, system: int) -> int | None:
        """Return the pass of a system that loosens strips, if any."""
        return next((i for i in self.steps_of(system) if self.steps[i].strip is not None), None)

    def band_systems(self) -> tuple[int, ...]:
        """Return the systems whose slurry lies in a band under the row."""
        systems = range(len(self.plan.systems))
        return tuple(s for s in systems if (i := self.placing_step(s)) is not None and _bands(self.steps[i]))

    def axes(self) -> dict[str, Axis]:
        """Return what figures of this plan can run over."""
        names = [system.name for system in self.plan.systems]
        every = range(len(names))
        placing = [s for s in every if self.placing_step(s) is not None]
        bands = self.band_systems()
        return {
            "system": Axis("system", tuple(names), tuple(every)),
            "pass": Axis("pass", tuple(s.worker.name for s in self.steps), tuple(s.system for s in self.steps)),
            "tool": Axis(
                "tool", tuple(t.label for t in self.tools), tuple(self.steps[t.step].system for t in self.tools)
            ),
            "machine": Axis(
                "machine",
                tuple(m.name for s in self.steps for m in s.machines),
                tuple(s.system for s in self.steps for _ in s.machines),
            ),
            "placing": Axis("placing", tuple(names[s] for s in placing), tuple(placing)),
            "band": Axis("band", tuple(names[s] for s in bands), bands),
        }


def _bands(step: Step) -> bool:
    placer = step.placer
    return placer is not None and kind_of(placer).text("slurry_lies") == "band"


def _tools(index: int, step: Step) -> Iterator[Tool]:
    drafts = load("draft_asae_d497")
    for machine in step.machines:
        kind = kind_of(machine)
        if kind.text("shape") == "strip" and not kind.has("draft_row"):
            yield from _row_unit(index, step, machine)
        elif kind.has("draft_row"):
            row = drafts[kind.text("draft_row")]
            units = _units(machine, row, kind, step.width_m)
            yield Tool(
                index, machine.name, row, units, _depth(row, step.done), row.entry("range_pct"), row.key, machine
            )


def _row_unit(index: int, step: Step, machine: Machine) -> Iterator[Tool]:
    drafts = load("draft_asae_d497")
    for part in load("strip_till_unit").values():
        row = drafts[part.text("draft_row")]
        each = part.entry("units_per_row")
        rows = float(machine.rows or 0)
        units = Entry(each.value * rows, each.low * rows, each.high * rows, each.unit, each.citation)
        depth = {"tine": step.done.depth, "none": 1.0}.get(part.text("depth_is")) or part.entry("depth_cm")
        label = f"{machine.name}: {part.label}"
        yield Tool(index, label, row, units, depth, part.entry("range_pct"), part.table.name, machine)


def _units(machine: Machine, row: Row, kind: Row, width_m: float) -> float:
    per = row.text("per")
    if per == "row":
        return float(machine.rows or 0)
    if per == "m":
        return width_m
    if machine.tools is not None:
        return float(machine.tools)
    if machine.rows is not None and kind.text("shape") == "strip":
        return float(machine.rows)
    return float(max(1, round(width_m * 100.0 / kind.entry("tool_spacing_cm").value)))


def _depth(row: Row, done: Pass) -> Quantity | float:
    if row.text("depth_counts") == "yes" and done.depth is not None:
        return done.depth
    return 1.0
