"""Invented digs for tests."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from spadework.records.files.digs import Digs

SEED = 5.0
EIGHT = """6.1 5.4 6.8 7.2 6.6 7.9 4.9 5.6 5.2 6.0 6.9 6.3 5.1 4.4 5.8 7.0 6.2 6.5 5.9 6.4 5.5 6.6 7.4 6.9"""
"""Gaps of 8 units with 3 digs, unit by unit [cm]; invented."""


def digs_of(
    gap: Sequence[float] | np.ndarray,
    units: Sequence[int] | np.ndarray,
    *,
    seed: float | Sequence[float] | np.ndarray = SEED,
    directions: Sequence[str] | None = None,
    places: Sequence[str] | None = None,
    wheel: Sequence[float] | np.ndarray | None = None,
    settings: Sequence[int] | np.ndarray | None = None,
    measured_from: str | Sequence[str] = "track",
    offset: Sequence[float] | np.ndarray | None = None,
    surface: Sequence[float] | np.ndarray | None = None,
    found: Sequence[bool] | np.ndarray | None = None,
) -> Digs:
    gaps = np.asarray(gap, dtype=float)
    n = gaps.size
    seeds = np.broadcast_to(np.asarray(seed, dtype=float), (n,)).copy()
    tops = gaps + np.where(np.isfinite(seeds), seeds, SEED)
    where = (measured_from,) * n if isinstance(measured_from, str) else tuple(measured_from)
    return Digs(
        file="digs.csv",
        lines=np.arange(2, n + 2),
        names=tuple(str(i + 1) for i in range(n)),
        plots=("",) * n,
        passes=("",) * n,
        units=np.asarray(units, dtype=np.int64),
        directions=tuple(directions) if directions is not None else ("",) * n,
        places=tuple(places) if places is not None else ("",) * n,
        behind_wheel=np.full(n, np.nan) if wheel is None else np.asarray(wheel, dtype=float),
        settings=np.ones(n, dtype=np.int64) if settings is None else np.asarray(settings, dtype=np.int64),
        measured_from=where,
        band_found=np.ones(n, dtype=bool) if found is None else np.asarray(found, dtype=bool),
        seed_cm=seeds,
        top_cm=tops,
        bottom_cm=tops + 8.0,
        width_cm=np.full(n, 7.0),
        offset_cm=np.full(n, np.nan) if offset is None else np.asarray(offset, dtype=float),
        surface_share=np.full(n, np.nan) if surface is None else np.asarray(surface, dtype=float),
    )


def eight() -> Digs:
    return digs_of([float(word) for word in EIGHT.split()], np.repeat(np.arange(1, 9), 3))


def one_shallow(
    seed: int = 1, *, each: int = 4, off: float = 6.0, flipped: bool = False, shuffled: bool = False
) -> Digs:
    """Six rows, half of the digs on the way back; unit 4 shallower.  Flipped: the way back counted from the other side."""
    random = np.random.default_rng(seed)
    units = np.repeat(np.arange(1, 7), each)
    ways = np.tile(["out", "back"], units.size // 2)
    gaps = 6 + random.normal(0, 0.4, 6)[units - 1] + random.normal(0, 0.9, units.size) - off * (units == 4)
    written = np.where((ways == "back") & flipped, 7 - units, units)
    order = random.permutation(units.size) if shuffled else np.arange(units.size)
    return digs_of(
        gaps[order], written[order], directions=list(ways[order]), seed=5 + random.normal(0, 0.5, units.size)
    )
