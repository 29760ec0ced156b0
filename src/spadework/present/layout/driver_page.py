"""One page for each driver: outfit, heading, passes in order, where to refill, what to leave alone; large type, as PDF."""

from __future__ import annotations

from typing import Any, Final

from spadework import __version__
from spadework.layout.lines import Job, Line
from spadework.layout.place import Placed
from spadework.present.cautions import CAUTIONS, DEFER
from spadework.present.charts.spec import to_pdf
from spadework.present.layout.map import STANDINGS_PLANNED, layout_map
from spadework.present.layout.paper import typeset
from spadework.present.layout.words import Told

__all__ = ["driver_pages"]

_CARE_FOR: Final = ("Turning shafts and moving parts", "Hoses under pressure", "Overhead lines", "Water and weather")
_ROOM_MM: Final = (104.0, 134.0)
_MOST_ROWS: Final = 26


def driver_pages(placed: Placed, told: Told) -> bytes:
    """Return one A4 page for each outfit, in the order of the season.

    Parameters
    ----------
    placed : Placed
        The layout on its field.
    told : Told
        What else is known of it.

    Raises
    ------
    PrintFault
        If the typesetter warns of anything.
    """
    drawings, jobs = {}, []
    for number, job in enumerate(told.jobs, 1):
        drawn = layout_map(placed, told.table, lines=job.lines, room_mm=_ROOM_MM, invented=told.invented)
        drawings[f"map{number}"] = to_pdf(drawn)
        jobs.append(_page(placed, job, number))
    content = {
        "place": placed.host.name or "the field",
        "invented": told.invented,
        "footer": f"spadework {__version__} · {STANDINGS_PLANNED[placed.standing]} · seed {placed.laid.seed}",
        "jobs": jobs,
        "care": [*(f"{c.title}. {c.text}" for c in CAUTIONS if c.title in _CARE_FOR), DEFER],
    }
    return typeset("driver_page.typ", "drivers.json", content, drawings)


def _page(placed: Placed, job: Job, number: int) -> dict[str, Any]:
    outfit, width = job.outfit, placed.width
    fit = next(one for one in width.fits if one.outfit == outfit)
    rows, more = _rows(job)
    slurry = sum(line.slurry_m3 for line in job.lines)
    facts = [
        f"A to B: {placed.heading_deg:.1f}\u00b0 from true north",
        f"Passes on a plot: {fit.passes}, {outfit.width_m:g} m each",
        f"Speed: {outfit.speed}",
        f"Depth: {outfit.depth}" if outfit.depth else "Depth: as set with the lead",
        f"To turn: {placed.rules.turning_m:g} m at each end",
        f"Plots of: {', '.join(job.systems)}",
    ]
    if slurry:
        facts += [
            f"Slurry in all: {slurry:.0f} m3",
            f"Fill the tank {job.refills} times" if job.refills else "Slurry by hose",
        ]
    warnings = []
    if fit.over_m:
        warnings.append(f"{fit.over_m / 2:.2f} m goes over each border of the plot: onto guard rows only.")
    if job.too_long:
        warnings.append("A full tank does not last over one pass. Ask the lead where to stop.")
    if placed.host.water and slurry:
        warnings.append(f"Slurry: {placed.rules.water_m:g} m from water at least. Measured?")
    return {
        "title": f"{number}  {outfit.name}",
        "size": 30 if len(outfit.name) < 26 else 23,
        "outfit": f"{' and '.join(job.outfit.machines)}, behind {outfit.tractor}",
        "headline": _headline(job),
        "facts": facts,
        "map": f"map{number}.pdf",
        "across": _ROOM_MM[0],
        "alt": f"Map with the passes of {outfit.name} in order",
        "head": ["pass", "plot", "rows" if outfit.rows else "run", "from", ""],
        "rows": rows,
        "row": 13 if len(rows) <= 16 else 10.5 if len(rows) <= 26 else 8.6,
        "inset": 3 if len(rows) <= 16 else 2 if len(rows) <= 26 else 1.2,
        "more": more,
        "warnings": warnings,
    }


def _headline(job: Job) -> str:
    plots = list(dict.fromkeys(line.plot for line in job.lines))
    shown = ", ".join(map(str, plots))
    return f"Only these plots: {shown}" if len(plots) <= 24 else f"All {len(plots)} plots, {plots[0]} to {plots[-1]}"


def _rows(job: Job) -> tuple[list[list[str]], str]:
    """Return the passes as rows; plots as rows, each with all its passes, where there are too many passes."""
    if len(job.lines) <= _MOST_ROWS:
        return [_row(line) for line in job.lines], ""
    out = []
    for plot in dict.fromkeys(line.plot for line in job.lines):
        mine = [line for line in job.lines if line.plot == plot]
        fill = ", ".join(str(line.order) for line in mine if line.refill)
        out.append(
            [
                f"{mine[0].order} to {mine[-1].order}",
                str(plot),
                f"1-{max(line.last_row or line.run for line in mine)}",
                "B" if mine[0].back else "A",
                f"fill before {fill}" if fill else "",
            ]
        )
    return out, "Each line is a whole plot: out and back by turns, from the left."


def _row(line: Line) -> list[str]:
    rows = str(line.run) if line.first_row is None else f"{line.first_row}-{line.last_row}"
    return [
        str(line.order),
        str(line.plot),
        rows,
        "B back" if line.back else "A out",
        "FILL FIRST" if line.refill else "",
    ]
