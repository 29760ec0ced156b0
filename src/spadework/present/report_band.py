"""The part of the report on the band under the row, held against the targets that others have published."""

from __future__ import annotations

import numpy as np

from spadework.estimate import Estimate
from spadework.present.report_blocks import Block, Cell, Grid, Section, Text, anchor
from spadework.present.report_money import systems_in_groups
from spadework.present.wording import decimals_for, figure_text, interval_text
from spadework.ranges import FloatArray
from spadework.reference import Row, load

__all__ = ["TARGETS", "band_section"]

TARGETS = ("gap_denmark", "clearance_nrw", "top_denmark")
"""Rows of the table ``band_targets`` that the estimate is held against."""
_ROWS = (
    ("row_litres", "Slurry per metre of row, L", 1.0),
    ("radius", "Radius, if the band were round, cm", 1.0),
    ("band_top", "Top of the band under the press-wheel track, cm", 1.0),
    ("band_bottom", "Bottom of the band under the press-wheel track, cm", 1.0),
    ("seed_depth", "Seed under the press-wheel track, cm", 1.0),
    ("gap", "Gap from seed to band, cm", 1.0),
    ("capacity", "Room between tine and seed, L per metre of row", 0.1),
    ("band_n", "Ammoniacal N in the soil of the fresh band, mg/kg", 1.0),
)
_MEASURED = {"gap": "gap", "clearance": "gap", "top_under_track": "band_top"}


def band_section(estimate: Estimate) -> Section | None:
    """Return size and place of the band of every system that bands its slurry; None where none does."""
    banded = [s for s in range(len(estimate.systems)) if estimate.has("gap", s)]
    if not banded:
        return None
    groups = [[s for s in every if s in banded] for every in systems_in_groups(estimate)]
    blocks: list[Block] = [_size(estimate, group) for group in groups if group]
    blocks += [_targets(estimate, s) for s in banded]
    blocks.append(
        Text(
            "The targets differ, and none of them is the truth. The share of draws says how often the estimate falls "
            "within a target; it is worked out from assumed scatter. Dig and measure before the field is sown: a spade "
            "face across the row every few hundred metres says more than this table.",
            "small",
        )
    )
    return Section("band", "What is the band?", blocks)


def _size(estimate: Estimate, group: list[int]) -> Grid:
    rows = []
    for name, words, factor in _ROWS:
        shared = not estimate.sheet.figures[name].over
        spreads = [estimate.spread(name, s) for s in group]
        places = decimals_for(spreads, factor)
        cells = [
            Cell(interval_text(spread, places, factor), anchor(name, None if shared else s))
            for s, spread in zip(group, spreads, strict=True)
        ]
        rows.append((Cell(words), *cells))
    head = ("", *(estimate.systems[s] for s in group))
    return Grid("Size and place of the band", head, tuple(rows), (1.6, *(1.0 for _ in group)))


def _targets(estimate: Estimate, system: int) -> Grid:
    rows = []
    for key in TARGETS:
        target = load("band_targets")[key]
        low, high = target.entry("low_cm"), target.entry("high_cm")
        name = _MEASURED[target.text("what")]
        values = estimate.values(name, system)
        said = low.citation
        rows.append(
            (
                Cell(f"{target.label}, cm"),
                Cell(f"{figure_text(low.value, 0)} to {figure_text(high.value, 0)}"),
                Cell(interval_text(estimate.spread(name, system)), anchor(name, system)),
                Cell(_within(values, low.value, high.value)),
                Cell(_source(said.source.text, said.standing, target)),
            )
        )
    head = ("target", "theirs, cm", "here, cm", "draws within it", "who says so")
    note = "Clearance is the shortest distance from seed to band; with the band straight under the row it is the gap."
    return Grid(
        f"{estimate.systems[system]}: held against published targets",
        head,
        tuple(rows),
        (1.5, 0.7, 1.1, 1.3, 2.0),
        note=note,
    )


def _within(values: FloatArray, low: float, high: float) -> str:
    inside, over = float(np.mean((values >= low) & (values <= high))), float(np.mean(values > high))
    below = max(0.0, 1 - inside - over)
    return f"{100 * inside:.0f} % (less {100 * below:.0f} %, more {100 * over:.0f} %)"


def _source(text: str, standing: str, target: Row) -> str:
    note = f"; {target.text('note')[:1].lower()}{target.text('note')[1:]}" if target.has("note") else ""
    return f"{text} [{standing}]{note}"
