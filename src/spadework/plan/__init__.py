"""The comparison as a person writes it: one TOML file, read, checked and explained."""

from spadework.plan.faults import Fault, PlanFaults
from spadework.plan.reading import Read, read, read_text
from spadework.plan.schema import (
    Contractor,
    Crop,
    Farm,
    Field,
    Limit,
    Machine,
    Pass,
    Plan,
    Prices,
    Rain,
    Slurry,
    Supply,
    System,
    Tractor,
    Weather,
    json_schema,
)

__all__ = [
    "Contractor",
    "Crop",
    "Farm",
    "Fault",
    "Field",
    "Limit",
    "Machine",
    "Pass",
    "Plan",
    "PlanFaults",
    "Prices",
    "Rain",
    "Read",
    "Slurry",
    "Supply",
    "System",
    "Tractor",
    "Weather",
    "json_schema",
    "read",
    "read_text",
]
