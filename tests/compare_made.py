"""Tables of readings for tests: written to a file and read as a person's would be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from spadework.records.files.readings import Readings, read_readings
from spadework.statistics.designs.layouts import Asked, Factor

SYSTEMS = ("plough", "cultivator", "strip")
HEAD = "plot;block;system;dm_yield [t/ha]"
# Invented: three systems in four blocks, t/ha; the third plot of block 3 is lost in some tests.
YIELDS = {
    1: (15.8, 15.2, 15.9),
    2: (16.4, 15.5, 16.3),
    3: (15.1, 14.3, 14.9),
    4: (14.6, 14.4, 15.2),
}


def lines_of(yields: Mapping[int, Sequence[float | str]] = YIELDS, systems: Sequence[str] = SYSTEMS) -> list[str]:
    return [
        f"{100 * block + place};{block};{system};{value}"
        for block, values in yields.items()
        for place, (system, value) in enumerate(zip(systems, values, strict=True), 1)
    ]


def written(folder: Path, lines: Sequence[str], head: str = HEAD) -> Path:
    path = folder / "readings.csv"
    path.write_text("\n".join([head, *lines]) + "\n", "utf-8")
    return path


def readings(
    folder: Path, lines: Sequence[str], head: str = HEAD, systems: Sequence[str] = SYSTEMS, **more: object
) -> Readings:
    return read_readings(written(folder, lines, head), systems, **more)  # type: ignore[arg-type]


def blocks(count: int = 4, systems: Sequence[str] = SYSTEMS, kind: str = "complete blocks", *more: Factor) -> Asked:
    return Asked(kind, (Factor("system", tuple(systems)), *more), count)
