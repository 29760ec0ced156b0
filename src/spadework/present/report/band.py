"""The part of the report on the band under the row, held against targets, published and own, and sideways."""

from __future__ import annotations

from spadework.estimate import Estimate
from spadework.present.band.place import (
    NO_TRUTH,
    SIZE,
    banded,
    beyond_words,
    held,
    sideways,
    slope_words,
    standing_of,
    step_words,
    sure_words,
)
from spadework.present.document.blocks import Block, Cell, Grid, Section, Text, anchor
from spadework.present.report.money import systems_in_groups
from spadework.present.wording import decimals_for, interval_text

__all__ = ["band_section"]


def band_section(estimate: Estimate) -> Section | None:
    """Return size and place of the band of every system that bands its slurry; None where none does."""
    systems = banded(estimate)
    if not systems:
        return None
    groups = [[s for s in every if s in systems] for every in systems_in_groups(estimate)]
    blocks: list[Block] = [_size(estimate, group) for group in groups if group]
    for system in systems:
        blocks += [_targets(estimate, system), Text(sure_words(estimate), "small")]
    blocks.append(Text(NO_TRUTH, "small"))
    blocks += _sideways(estimate, systems)
    return Section("band", "What is the band?", blocks)


def _anchor(estimate: Estimate, name: str, system: int) -> str:
    return anchor(name, None if estimate.is_shared(name) else system)


def _size(estimate: Estimate, group: list[int]) -> Grid:
    rows = []
    for name, words, factor in SIZE:
        spreads = [estimate.spread(name, s) for s in group]
        places = decimals_for(spreads, factor)
        cells = [
            Cell(interval_text(spread, places, factor), _anchor(estimate, name, s))
            for s, spread in zip(group, spreads, strict=True)
        ]
        rows.append((Cell(words), *cells))
    head = ("", *(estimate.systems[s] for s in group))
    return Grid("Size and place of the band", head, tuple(rows), (1.6, *(1.0 for _ in group)))


def _targets(estimate: Estimate, system: int) -> Grid:
    rows = []
    for one in held(estimate, system):
        sure = interval_text(one.sure_depth, 1) if one.sure_depth is not None else "no lower end"
        rows.append(
            (
                Cell(f"{one.label}, cm"),
                Cell(one.theirs),
                Cell(interval_text(one.found, 1), anchor(f"{one.axis}_found", system)),
                Cell(one.shares, anchor(f"{one.axis}_inside", system)),
                Cell(interval_text(one.middle_depth, 1), anchor(f"{one.axis}_middle_depth", system)),
                Cell(sure, anchor(f"{one.axis}_sure_depth", system)),
                Cell(one.who),
            )
        )
    head = (
        "target",
        "theirs, cm",
        "here, seed by seed, cm",
        "seeds within it",
        "tine for its middle, cm",
        "tine for its lower end, cm",
        "who says so",
    )
    tine = interval_text(estimate.spread("tine_depth", system), 1)
    note = (
        f"Tine depths count from the undisturbed surface; planned are {tine} cm. Gap is straight down from the seed; "
        "clearance is the shortest way, so it is more than the gap where the seed lies beside the band."
    )
    caption = f"{estimate.systems[system]}: held against targets"
    return Grid(caption, head, tuple(rows), (1.3, 0.7, 1.0, 1.1, 1.0, 1.0, 1.6), note=note)


def _sideways(estimate: Estimate, systems: list[int]) -> list[Block]:
    figures = sideways(estimate)
    alike = len(systems) == 1 or all(estimate.is_shared(name) for name, _ in figures)
    shown = systems[:1] if alike else systems
    rows = [
        (
            Cell(words),
            *(Cell(interval_text(estimate.spread(name, s), 1), _anchor(estimate, name, s)) for s in shown),
            Cell(standing_of(estimate, name)),
        )
        for name, words in figures
    ]
    note = (
        "Scatter is the standard deviation of single places: about two of three lie within one of them, nineteen of twenty "
        "within two. What is said to be so on the whole is no scatter."
    )
    head = ("", *(["cm"] if alike else [f"{estimate.systems[s]}, cm" for s in shown]), "comes from")
    widths = (1.6, *(1.0 for _ in shown), 0.8)
    found: list[Block] = [Grid("Sideways: seed beside the band", head, tuple(rows), widths, note=note)]
    for s in systems:
        said = (beyond_words(estimate, s), slope_words(estimate, s), step_words(estimate, s))
        told = " ".join(words for words in said if words)
        found.append(Text(told if len(systems) == 1 else f"{estimate.systems[s]}: {told}"))
    return found
