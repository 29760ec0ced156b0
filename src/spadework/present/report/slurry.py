"""The part of the report on what the slurry holds: every analysis as it is counted, and the whole with its spread."""

from __future__ import annotations

from typing import Final

from spadework.estimate import Estimate
from spadework.plan import Analysis, Slurry
from spadework.plan.composition import (
    NUTRIENTS,
    content_kg_m3,
    density_of,
    in_use,
    marks,
    name_of,
    ph_values,
)
from spadework.present.document.blocks import Block, Cell, Grid, Text, anchor
from spadework.present.wording import figure_text, interval_text

__all__ = ["slurry_blocks"]

_HEAD: Final = (
    "",
    "stands for, m3",
    "dry matter, %",
    "total N, kg/m3",
    "NH4-N, kg/m3",
    "P2O5, kg/m3",
    "K2O, kg/m3",
    "pH",
)
_WIDTHS: Final = (2.0, 0.8, 1.2, 1.2, 1.2, 1.2, 1.2, 0.7)


def slurry_blocks(estimate: Estimate) -> list[Block]:
    """Return what must be said of the contents, and the table of what the slurry holds."""
    slurry = estimate.plan.slurry
    used = {number for number, _ in in_use(slurry)}
    rows = [_row(slurry, number, analysis, number in used) for number, analysis in enumerate(slurry.analyses)]
    rows.append(_whole(estimate))
    note = (
        "Every analysis is turned into kg/m3 of N, NH4-N, P2O5 and K2O. Loads of a store are averaged by volume, dry "
        "matter by mass, then the stores; pH is not averaged. Nitrogen is never worked out from dry matter."
    )
    blocks: list[Block] = [Text(f"{mark}.", "warning") for mark in marks(slurry)]
    return [*blocks, Grid("What the slurry holds", _HEAD, tuple(rows), _WIDTHS, note=note)]


def _row(slurry: Slurry, number: int, analysis: Analysis, used: bool) -> tuple[Cell, ...]:
    density = density_of(slurry, analysis)
    said = [name_of(analysis, number), analysis.result if used else "provisional, replaced"]
    said += [analysis.laboratory] if analysis.laboratory else []
    said += [analysis.date.isoformat()] if analysis.date else []
    contents = (
        content_kg_m3(getattr(analysis, key), analysis.basis, analysis.dry_matter, density) for key in NUTRIENTS
    )
    return (
        Cell("; ".join(said)),
        Cell("–" if analysis.volume is None else figure_text(analysis.volume.value, 0)),
        Cell(figure_text(analysis.dry_matter.value, 1)),
        *(Cell(figure_text(content, 2)) for content in contents),
        Cell(figure_text(analysis.ph, 1)),
    )


def _whole(estimate: Estimate) -> tuple[Cell, ...]:
    slurry = estimate.plan.slurry
    name = "stand-in, not analysed" if slurry.stand_in else "the whole" if slurry.analyses else "as analysed"
    low, high = min(ph_values(slurry)), max(ph_values(slurry))
    volumes = [analysis.volume for _, analysis in in_use(slurry)]
    whole = sum(volume.value for volume in volumes if volume is not None)
    return (
        Cell(name),
        Cell(figure_text(whole, 0) if whole else "–"),
        Cell(interval_text(estimate.spread("dry_matter", 0), 1, 100.0), anchor("dry_matter", None)),
        *(Cell(interval_text(estimate.spread(key, 0), 2), anchor(key, None)) for key in NUTRIENTS),
        Cell(figure_text(low, 1) if low == high else f"{figure_text(low, 1)} to {figure_text(high, 1)}"),
    )
