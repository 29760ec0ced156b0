"""Draft of a tool whose factors are looked up in the reference table, for tests."""

from __future__ import annotations

from spadework.reference import load
from spadework.science import machinery as m


def draft(row: str, texture: str, units: float, speed_km_h: float, depth_cm: float) -> float:
    """Return the draft in newtons, middle of the table."""
    cells = load("draft_asae_d497")[row]
    if cells.text("depth_counts") == "no":
        assert depth_cm == 1
    factor, a, b, c = (cells.entry(name).value for name in (f"f_{texture}", "a", "b", "c"))
    return float(m.draft_asae_d497(factor, a, b, c, units, speed_km_h, depth_cm))
