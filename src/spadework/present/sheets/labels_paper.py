"""Labels for stakes and samples, on A4 label sheets of a stated grid, as PDF."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from spadework.plan import Fault, PlanFaults
from spadework.present.cautions import DEFER
from spadework.present.document.small_prints import typeset
from spadework.present.sheets.codes import code_svg
from spadework.present.sheets.sheet_paper import care_for
from spadework.records.sheets.marks import STAKE, Mark, layout_mark, mark_text
from spadework.records.tables.columns import clip
from spadework.records.tables.sheet import Sheet
from spadework.statistics.designs.randomise import Laid

__all__ = ["Grid", "Label", "labels_pdf", "read_grid", "sample_labels", "stake_labels"]

_PAPER_MM: Final = (210.0, 297.0)
_LEAST_MM: Final = (45.0, 24.0)
_GRID = re.compile(r"\s*([0-9]{1,2})\s*[x×]\s*([0-9]{1,2})\s*(?:,\s*([0-9.]{1,5})\s*x\s*([0-9.]{1,5})\s*mm\s*)?")


@dataclass(frozen=True, slots=True)
class Grid:
    """Labels of an A4 sheet: so many side by side and below one another, and what is left free at left and top [mm]."""

    columns: int
    rows: int
    left_mm: float = 0.0
    top_mm: float = 0.0

    @property
    def width_mm(self) -> float:
        """Width of a label [mm]; as much is free at the right as at the left."""
        return (_PAPER_MM[0] - 2 * self.left_mm) / self.columns

    @property
    def height_mm(self) -> float:
        """Height of a label [mm]; as much is free at the bottom as at the top."""
        return (_PAPER_MM[1] - 2 * self.top_mm) / self.rows


@dataclass(frozen=True, slots=True)
class Label:
    """One label: what stands large, lines under it, its mark, and whether it goes on a stake."""

    big: str
    lines: tuple[str, ...]
    mark: str
    stake: bool = False


def read_grid(text: str) -> Grid:
    """Return the grid of a label sheet: labels across and down, and what is free at left and top.

    Raises
    ------
    PlanFaults
        If it is none, or its labels are too small to be read.

    Examples
    --------
    >>> grid = read_grid("3 x 8")
    >>> grid.columns, grid.rows, grid.width_mm, grid.height_mm
    (3, 8, 70.0, 37.125)
    >>> read_grid("2 x 7, 5 x 10 mm").height_mm
    39.57142857142857
    """
    found = _GRID.fullmatch(text)
    allowed = 'allowed: labels across and down, e.g. "3 x 8", or with what is free at left and top: "3 x 8, 5 x 10 mm"'
    try:
        if found is None:
            raise ValueError
        columns, rows = int(found[1]), int(found[2])
        grid = Grid(columns, rows, float(found[3] or 0), float(found[4] or 0))
        small = grid.width_mm < _LEAST_MM[0] or grid.height_mm < _LEAST_MM[1]
    except (ValueError, ZeroDivisionError):
        raise PlanFaults([Fault("--grid", f'"{clip(text)}" is no grid; {allowed}')], "the command") from None
    if small:
        what = f"gives labels of {grid.width_mm:.0f} x {grid.height_mm:.0f} mm; they need {_LEAST_MM[0]:g} x {_LEAST_MM[1]:g}"
        raise PlanFaults([Fault("--grid", what)], "the command")
    return grid


def stake_labels(laid: Laid) -> tuple[Label, ...]:
    """Return a label for the stake of every plot; it does not say which system lies there, so that counts stay fair."""
    layout = layout_mark(laid)
    return tuple(
        Label(str(plot.number), (f"block {plot.block}",), mark_text(Mark(layout, str(plot.number), STAKE)), stake=True)
        for plot in laid.rows
    )


def sample_labels(sheets: Iterable[Sheet]) -> tuple[Label, ...]:
    """Return a label for every bag and bottle of some sheets."""
    found = []
    for sheet in sheets:
        for line in sheet.lines:
            if line.sample_mark:
                given = line.given
                where = [str(given[name]) for name in ("place",) if name in given]
                where += [f"sample {given['sample']}"] if "sample" in given else []
                lines = (sheet.title, ", ".join(where), "date ______ by ____")
                found.append(Label(str(given["plot"]), tuple(filter(None, lines)), line.sample_mark))
    return tuple(found)


def labels_pdf(
    labels: Sequence[Label], grid: Grid, *, title: str, care: str, about: str = "", invented: bool = False
) -> bytes:
    """Return labels as PDF: a page on plain paper that says how they are used, then label sheets.

    Parameters
    ----------
    labels : sequence of Label
        In the order of the sheets.
    grid : Grid
        Of the label sheets.
    title : str
        What they are for.
    care : str
        What to beware of: a word of the column ``care`` of the table ``sheets``.
    about : str
        Such as the name of the field.
    invented : bool
        True where the plan is made up.

    Raises
    ------
    PrintFault
        If the typesetter warns of anything.
    """
    each = grid.columns * grid.rows
    shown = [_shown(label, invented) for label in labels]
    words = {
        "title": title,
        "about": about,
        "invented": "INVENTED. The plan behind these labels is made up to show the tool." if invented else "",
        "plain": "This page goes on plain paper; label sheets begin with the next.",
        "how": [
            [
                "Printing",
                f"at full size (100 %), {grid.columns} labels across and {grid.rows} down, each {grid.width_mm:.1f} x "
                f"{grid.height_mm:.1f} mm. Try one sheet on plain paper and hold it against the labels.",
            ],
            ["Writing", "soft pencil or waterproof pen; a second label goes inside the bag."],
            [
                "The mark",
                "layout, plot or load, sheet and number, check character. Write all of it, hyphens or not. "
                "The last character shows most slips; `spadework sheets PLAN --mark MARK` says what a mark stands for.",
            ],
        ],
        "care_title": "Take care",
        "care": care_for(care),
        "defer": DEFER,
        "grid": {
            "columns": grid.columns,
            "rows": grid.rows,
            "width": grid.width_mm,
            "height": grid.height_mm,
            "left": grid.left_mm,
            "top": grid.top_mm,
        },
        "sheets": [shown[start : start + each] for start in range(0, len(shown), each)],
    }
    return typeset("labels.typ", {"labels.json": json.dumps(words, ensure_ascii=False)})


def _shown(label: Label, invented: bool) -> dict[str, Any]:
    lines = [*label.lines, "INVENTED"] if invented else list(label.lines)
    return {"big": label.big, "lines": lines, "mark": label.mark, "qr": code_svg(label.mark), "stake": label.stake}
