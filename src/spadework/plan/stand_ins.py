"""Guide values that may stand in for slurry that nobody analysed: rows of the table of contents that hold all of them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal

from spadework.reference import Entry, load

__all__ = ["STAND_INS", "Animals", "animals_of", "stand_in_entries"]

Animals = Literal["cattle", "pig", "digestate"]
_COLUMNS: Final = {
    "dry_matter": "dry_matter_share",
    "total_n": "total_n_kg_t",
    "ammoniacal_n": "ammoniacal_n_kg_t",
    "phosphorus": "p2o5_kg_t",
    "potassium": "k2o_kg_t",
}
_WORDS: Final[Mapping[Animals, tuple[str, ...]]] = {
    "digestate": ("digestate",),
    "pig": ("pig", "sow"),
    "cattle": ("cattle", "dairy", "beef"),
}


def stand_in_entries(key: str) -> Mapping[str, Entry]:
    """Return what a row of the table of contents holds, by key of the plan; minerals that stand in a row beside it too."""
    rows = load("slurry_composition")
    beside = [rows[k] for k in (key, f"{key}_minerals") if k in rows]
    found = {}
    for name, column in _COLUMNS.items():
        entry = next((row.entry(column) for row in beside if row.has(column)), None)
        if entry is not None:
            found[name] = entry
    return found


def animals_of(key: str) -> Animals | None:
    """Return whose slurry the key of a kind, or of a row of the table of contents, speaks of."""
    return next((animals for animals, words in _WORDS.items() if any(word in key for word in words)), None)


STAND_INS: Final[Mapping[str, str]] = {
    row.label: key
    for key, row in load("slurry_composition").items()
    if animals_of(key) is not None and len(stand_in_entries(key)) == len(_COLUMNS)
}
"""Rows by label: those that hold dry matter, both kinds of nitrogen, phosphate and potash."""
