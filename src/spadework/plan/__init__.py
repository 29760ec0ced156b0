"""The comparison as a person writes it: one TOML file, read, checked and explained."""

from spadework.plan.faults import Fault, PlanFaults
from spadework.plan.reading import Read, read, read_text
from spadework.plan.schema import (
    Crop,
    Field,
    Limit,
    Machine,
    Pass,
    Plan,
    Prices,
    Slurry,
    System,
    Tractor,
    Weather,
    json_schema,
)

__all__ = [
    "Crop",
    "Fault",
    "Field",
    "Limit",
    "Machine",
    "Pass",
    "Plan",
    "PlanFaults",
    "Prices",
    "Read",
    "Slurry",
    "System",
    "Tractor",
    "Weather",
    "json_schema",
    "read",
    "read_text",
]
