"""Stores with invented readings, for the tests of the store."""

from __future__ import annotations

from pathlib import Path

from spadework.records.reading_row import Reading, new_reading
from spadework.records.store.opening import create_store
from spadework.records.store.store import Store

QUESTION = "Does a tilled strip keep up with the plough? (invented)"
ZONE = "Europe/Copenhagen"


def made(place: Path | str, question: str = QUESTION, photos: Path | None = None) -> Store:
    return create_store(place, question, ZONE, invented=True, photos=photos)


def gap(value: float | str = 6.5, plot: str = "101", sample: int = 1, **more: object) -> Reading:
    return new_reading(
        "band", "gap_cm", value, plot=plot, sample=sample, taken_at="2026-05-04T09:30+02:00", person="AB", **more
    )  # fmt: skip


def dry(value: float | str, plot: str, sample: int = 1, **more: object) -> Reading:
    return new_reading(
        "harvest", "dry_matter_pct", value, plot=plot, sample=sample, taken_at="2026-09-20", person="CD", **more
    )  # fmt: skip


def everything(store: Store) -> set[tuple[str, str]]:
    return {(one.id, one.digest) for one in store.every()}
