"""What the machines of a pass are and how slurry gets to them, by what the tables know of their kinds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal

from spadework.plan.schema.plan import Machine, Pass, Plan
from spadework.reference import Row, load

__all__ = ["WAYS", "Way", "kind_of", "placing_machine", "supply_way", "tanker_of", "working_width_m"]

Way = Literal["brought", "drives itself", "feeders", "field container", "hose"]
WAYS: Final[tuple[Way, ...]] = ("brought", "drives itself", "feeders", "field container", "hose")
"""How slurry gets to the outfit that places it."""


def kind_of(machine: Machine) -> Row:
    """Return what the reference tables know of a machine's kind."""
    return load("machine_kinds")[machine.kind]


def placing_machine(machines: Sequence[Machine]) -> Machine | None:
    """Return the machine of an outfit that can place slurry, if any."""
    return next((m for m in machines if kind_of(m).has("places")), None)


def working_width_m(machine: Machine, plan: Plan) -> float | None:
    """Return the working width of a machine in metres; None where it only carries."""
    if machine.rows is not None:
        return machine.rows * plan.crop.row_spacing.value / 100.0
    return None if machine.width is None else machine.width.value


def tanker_of(machines: Sequence[Machine]) -> Machine | None:
    """Return the machine of an outfit that carries slurry, if any."""
    return next((m for m in machines if kind_of(m).text("shape") == "carries"), None)


def supply_way(plan: Plan, step: Pass, machines: Sequence[Machine]) -> Way:
    """Return how slurry gets to the outfit of a pass that places it."""
    if step.supply is not None:
        return plan.supply(step.supply).way
    tanker = tanker_of(machines)
    return "brought" if tanker is not None and tanker.refill is not None else "drives itself"
