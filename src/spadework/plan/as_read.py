"""A plan that was read, and where each of its keys stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from spadework.plan.faults import Fault
from spadework.plan.lines import Path as KeyPath
from spadework.plan.lines import line_of
from spadework.plan.schema.plan import Plan
from spadework.plan.wording import spoken

__all__ = ["Read"]


@dataclass(frozen=True)
class Read:
    """A plan and where each of its keys stands."""

    plan: Plan
    name: str
    folder: Path
    lines: Mapping[KeyPath, int]
    text: str

    @cached_property
    def _names(self) -> Mapping[str, list[dict[str, str]]]:
        plan = self.plan
        return {
            "system": [{"name": system.name} for system in plan.systems],
            "tractor": [{"name": tractor.name} for tractor in plan.tractors],
            "machine": [{"name": machine.name} for machine in plan.machines],
            "supply": [{"name": supply.name} for supply in plan.supplies],
            "contractor": [{"name": contractor.name} for contractor in plan.contractors],
        }

    def place(self, *path: str | int) -> str:
        """Return key and line of a value, for workings."""
        line = line_of(path, self.lines)
        return spoken(path) + (f", line {line}" if line else "")

    def fault(self, what: str, *path: str | int) -> Fault:
        """Return a fault at the key `path`."""
        return Fault(spoken(path, self._names), what, line_of(path, self.lines))
