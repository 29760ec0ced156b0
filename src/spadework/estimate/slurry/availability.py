"""What guides and rules let count of the slurry's nitrogen this year: shares of the total, by kind, season and placing.

They stand beside the course of the nitrogen as rivals, or take its place where the plan says so.  Guide values are means
that know no weather; least shares and required use are figures of law, to be checked locally.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from spadework.estimate.chain import Chain
from spadework.plan.outfits import kind_of
from spadework.ranges import FloatArray
from spadework.reference import Citation, Row, load
from spadework.science.slurry import available_share_by_dry_matter, counted_share_germany, guide_points
from spadework.working import Worksheet

__all__ = ["BASES", "COURSE", "Counted", "counted"]

COURSE = "by course of nitrogen"
_GUIDE = "by guide, United Kingdom"
BASES = (COURSE, _GUIDE, "by least share, Germany", "by least share, England", "by required use, Denmark")
"""Ways in which the nitrogen that the crop can use is counted, as plans name them."""
_RULES = {
    BASES[2]: {"cattle": "de_cattle_slurry", "pig": "de_pig_slurry"},
    BASES[3]: {"cattle": "uk_minimum_cattle", "pig": "uk_minimum_pig"},
    BASES[4]: {"cattle": "dk_cattle_slurry", "pig": "dk_pig_slurry"},
}
_TABLE, _COLUMN = "nitrogen_available", "available_share"


@dataclass(frozen=True)
class Counted:
    """The share of total nitrogen that counts: draws, row of the table nearest to it, and what was done with it."""

    share: FloatArray
    citation: Citation
    said: str
    by_law: bool


def counted(basis: str, chain: Chain, sheet: Worksheet, system: int) -> Counted | str:
    """Return the share that a guide or rule lets count for a system that places slurry, or why it says nothing."""
    if basis == _GUIDE:
        return _by_guide(chain, sheet, system)
    row = load(_TABLE)[_RULES[basis][_animal(chain)]]
    entry = row.entry(_COLUMN)
    if basis != BASES[2]:
        return Counted(np.array([entry.value]), entry.citation, row.label, by_law=True)
    total, ammoniacal = (_of(sheet, name, system) for name in ("total_n_spread", "ammoniacal_n_spread"))
    analysed = np.divide(ammoniacal, total, out=np.zeros(np.broadcast(total, ammoniacal).shape), where=total > 0)
    share = counted_share_germany(entry.value, analysed)
    return Counted(share, entry.citation, f"{row.label}; or the analysed ammoniacal share, if more", by_law=True)


def _of(sheet: Worksheet, name: str, system: int) -> FloatArray:
    """Return a figure for a system, whether the systems share it or not."""
    figure = sheet.figures[name]
    if not figure.over:
        return figure.values
    values: FloatArray = figure.values[sheet.axes[figure.over].systems.index(system)]
    return values


def _animal(chain: Chain) -> str:
    return "cattle" if "cattle" in chain.plan.slurry.kind else "pig"


def _by_guide(chain: Chain, sheet: Worksheet, system: int) -> Counted | str:
    season, animal = chain.plan.crop.n_season, _animal(chain)
    series = f"uk_{animal}_{season}_{_method(chain, sheet, system)}"
    if season != "spring":
        sandy = load("texture_class")[chain.plan.field.texture].text("draft_class") == "coarse"
        series += "_sandy" if sandy else "_heavy"
    if series not in {row.text("series") for row in load("dry_matter_of_rows").values()}:
        return f"no row for {animal} slurry in {season} placed in this way"
    points = guide_points(series, _COLUMN)
    citation = min(points, key=lambda p: abs(p[0].value - float(np.median(sheet["dry_matter"]))))[1].citation
    if len(points) == 1:
        only = points[0]
        said = f"{citation.label}; the one row there is, for {100 * only[0].value:g} % dry matter"
        return Counted(np.array([only[1].value]), citation, said, by_law=False)
    low, high = points[0][0].value, points[-1][0].value
    dry = sheet["dry_matter"]
    if float(dry.min()) < low or float(dry.max()) > high:
        return f"its rows reach from {100 * low:g} to {100 * high:g} % dry matter, and nothing beyond is made up"
    share = available_share_by_dry_matter(dry, [p[0].value for p in points], [p[1].value for p in points])
    printed = ", ".join(f"{100 * p[0].value:g}" for p in points)
    said = f"{re.sub(r' [0-9.]+ % DM', '', citation.label)}; read between its rows of {printed} % dry matter"
    return Counted(share, citation, said, by_law=False)


def _method(chain: Chain, sheet: Worksheet, system: int) -> str:
    """Return how the guide would call the way in which a system places and covers its slurry."""
    placed = chain.placing_step(system)
    assert placed is not None  # noqa: S101 (asked only of systems that place slurry)
    placer = chain.steps[placed].placer
    places = kind_of(placer).text("places") if placer is not None else ""
    if places in {"non_inversion_at_once", "plough_at_once"} or _covered_in_time(chain, sheet, system):
        return "covered_6_h"
    if places in {"trailing_hose", "trailing_shoe"}:
        return "band"
    return "surface" if places == "broadcast" else "injected"


def _covered_in_time(chain: Chain, sheet: Worksheet, system: int) -> bool:
    if "delay" not in sheet.figures or system not in sheet.axes["covered"].systems:
        return False
    row = sheet.axes["covered"].systems.index(system)
    return float(np.median(sheet["delay"][row])) <= _hours_to_cover(load(_TABLE)["uk_cattle_6dm_spring_covered_6_h"])


def _hours_to_cover(row: Row) -> float:
    """Return within how many hours slurry is covered in a row of the guide, which its label says."""
    found = re.search(r"within (\d+) h", row.label)
    assert found is not None  # noqa: S101 (a row of our own table)
    return float(found[1])
