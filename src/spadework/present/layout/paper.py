"""A layout as a print: map to scale on A4 or A3, one plot row by row, needs and pegs, as PDF."""

from __future__ import annotations

import json
import tempfile
from importlib.resources import files
from pathlib import Path
from typing import Any

from spadework import __version__
from spadework.layout.from_plan import Told
from spadework.layout.place import Placed
from spadework.layout.tools import set_of
from spadework.present.charts.spec import to_pdf
from spadework.present.document.paper import PrintFault
from spadework.present.layout.map import PAPERS, best_scale, layout_map
from spadework.present.layout.map_key import STANDINGS_PLANNED
from spadework.present.layout.plot import plot_rows
from spadework.present.layout.words import (
    care,
    join_words,
    peg_rows,
    remarks,
    rows_words,
    weighed_words,
    wheel_words,
    width_line,
)

__all__ = ["layout_pdf", "typeset"]


def layout_pdf(placed: Placed, told: Told, paper: str = "a4") -> bytes:
    """Return a layout as PDF.

    Parameters
    ----------
    placed : Placed
        The layout on its field.
    told : Told
        What else is known of it.
    paper : str
        ``a4`` or ``a3``, of the map.

    Raises
    ------
    PrintFault
        If the typesetter warns of anything.
    """
    _, sideways = best_scale(placed, PAPERS[paper])
    room = PAPERS[paper][::-1] if sideways else PAPERS[paper]
    drawn = layout_map(placed, told.table, paper=paper, invented=told.invented)
    outfits = set_of(told.outfits)
    said = " ".join((rows_words(placed), join_words(placed.width, told.widths), weighed_words(placed, told)))
    content = {
        "title": placed.host.name or "Layout on the field",
        "place": f"{placed.host.area_ha:.2f} ha",
        "question": told.question,
        "invented": told.invented,
        "paper": paper,
        "flipped": sideways,
        "across": room[0],
        "up": room[1],
        "alt": f"Map of the field with {len(placed.plots)} plots",
        "footer": f"spadework {__version__} · {STANDINGS_PLANNED[placed.standing]} · seed {placed.laid.seed}",
        "rows_title": "One plot, looking from A to B",
        "rows_words": " ".join(said.split()),
        "rows_alt": "Rows of a plot and the unit of each machine that makes them",
        "tables": [_needs(told), _fits(placed), _widths(told, placed)],
        "changes": [f"{one.what}: {one.reason}" for one in placed.changes],
        "remarks": [*wheel_words(placed, told), *remarks(placed, told)],
        "pegs_words": _pegs_words(told),
        "pegs": _pegs(placed, told),
        "care": list(care()),
    }
    drawings = {"map": to_pdf(drawn), "rows": to_pdf(plot_rows(placed.width, told.row_spacing_m, outfits))}
    return typeset("layout_map.typ", "layout.json", content, drawings)


def typeset(template: str, data: str, content: dict[str, Any], drawings: dict[str, bytes]) -> bytes:
    """Return a template of ours filled in as PDF, with drawings beside it."""
    import typst

    with tempfile.TemporaryDirectory(prefix="spadework-layout-") as name:
        folder = Path(name)
        (folder / data).write_text(json.dumps(content, ensure_ascii=False), "utf-8")
        for drawing, pdf in drawings.items():
            (folder / f"{drawing}.pdf").write_bytes(pdf)
        (folder / template).write_text(
            (files("spadework.present") / "templates" / template).read_text("utf-8"), "utf-8"
        )
        out, warnings = typst.compile_with_warnings(
            str(folder / template), root=str(folder), ignore_system_fonts=True, timestamp=0
        )
    if warnings:
        raise PrintFault("; ".join(str(warning) for warning in warnings))
    result: bytes = out
    return result


def _needs(told: Told) -> dict[str, Any]:
    rows = [
        [
            one.system,
            str(one.plots),
            f"{one.area_ha:.2f}",
            f"{one.row_m:,.0f}".replace(",", " "),
            f"{one.slurry_m3:.1f}" if one.slurry_m3 else "",
            f"{one.seeds / 1000:.0f}",
        ]
        for one in told.needs
    ]
    return {
        "title": "What it needs",
        "head": ["system", "plots", "area, ha", "metres of row", "slurry, m3", "seeds, thousand"],
        "rows": rows,
        "widths": [2, 1, 1, 1.4, 1.2, 1.4],
        "align": ["l", "r", "r", "r", "r", "r"],
        "note": "Slurry and seed with the strip for setting and a spare; slurry counts what goes over the borders.",
    }


def _fits(placed: Placed) -> dict[str, Any]:
    return {
        "title": "How the machines fit",
        "head": ["outfit", "width, m", "passes, and what is left over"],
        "rows": [[fit.outfit.name, f"{fit.outfit.width_m:.2f}", fit.words] for fit in placed.width.fits],
        "widths": [2, 0.8, 5],
        "align": ["l", "r", "l"],
        "note": "",
    }


def _widths(told: Told, placed: Placed) -> dict[str, Any]:
    shown = list(told.widths[:6])
    if placed.width not in shown:
        shown.append(placed.width)
    rows = [
        [
            f"{one.width_m:g}" + (" (taken)" if one.width_m == placed.width.width_m else ""),
            str(one.rows),
            f"{one.first_row} to {one.last_row}",
            width_line(one),
        ]
        for one in shown
    ]
    return {
        "title": "Plot widths, best first",
        "head": ["width, m", "rows", "measured", "left over"],
        "rows": rows,
        "widths": [1.3, 0.6, 1, 5],
        "align": ["l", "r", "l", "l"],
        "note": "",
    }


def _pegs_words(told: Told) -> str:
    first, second = told.table.first, told.table.second
    return (
        f"Two tapes: the first from {first[0]}, the second from {second[0]}. Measure from one to the other before anything "
        f"else: {told.table.base_m:.2f} m. Left and right: looking from the first to the second. Then check each peg with the "
        "tape to the one before it in its line. Names: block, F front or B back, place from the left. With satellite steering, "
        "go by the degrees."
    )


def _pegs(placed: Placed, told: Told) -> dict[str, Any]:
    rows = peg_rows(told, placed)
    far = sum(peg.far for peg in told.table.pegs)
    weak = sum(peg.weak for peg in told.table.pegs)
    note = f"{far} of {len(rows)} pegs lie beyond a tape of 100 m: lay it out in steps along a line. " if far else ""
    note += f"{weak} have tapes that cross too flat: find them along the line from their neighbours. " if weak else ""
    return {
        "title": "",
        "head": [
            "peg",
            "plots",
            "first, m",
            "second, m",
            "side",
            "check, m",
            "east, m",
            "north, m",
            "latitude",
            "longitude",
            "",
        ],
        "rows": rows,
        "widths": [0.9, 1.3, 1.1, 1.2, 0.9, 1.1, 1.1, 1.1, 1.6, 1.6, 1.2],
        "align": ["l", "l", "r", "r", "l", "r", "r", "r", "r", "r", "l"],
        "note": note + "East and north: metres from the middle of the field.",
    }
