"""One page for each driver: outfit, heading, passes in order, where to refill, what to leave alone; large type, as PDF."""

from __future__ import annotations

import math
from typing import Any, Final

from spadework import __version__
from spadework.layout.from_plan import Told
from spadework.layout.lines import Job, Line
from spadework.layout.place import Placed
from spadework.layout.widths import Fit
from spadework.present.cautions import CAUTIONS, DEFER
from spadework.present.charts.spec import to_pdf
from spadework.present.layout.map import layout_map
from spadework.present.layout.map_key import STANDINGS_PLANNED
from spadework.present.layout.paper import typeset
from spadework.reference import load

__all__ = ["driver_pages"]

_CARE_FOR: Final = ("Turning shafts and moving parts", "Hoses under pressure", "Overhead lines", "Water and weather")
_ROOM_MM: Final = (104.0, 136.0)
_MOST_ROWS: Final = 26
_LINES: Final = 9  # of facts and warnings, beside which the map has all its room
_LINE_MM: Final = 6.5


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
        page = _page(placed, job, number)
        room = (_ROOM_MM[0], _ROOM_MM[1] - _LINE_MM * max(0, _lines_of(page) - _LINES))
        drawn = layout_map(placed, told.table, lines=job.lines, room_mm=room, invented=told.invented)
        drawings[f"map{number}"] = to_pdf(drawn)
        jobs.append(page)
    content = {
        "place": placed.host.name or "the field",
        "invented": told.invented,
        "footer": f"spadework {__version__} · {STANDINGS_PLANNED[placed.standing]} · seed {placed.laid.seed}",
        "jobs": jobs,
        "care": [*(f"{c.title}. {c.text}" for c in CAUTIONS if c.title in _CARE_FOR), DEFER],
    }
    return typeset("driver_page.typ", "drivers.json", content, drawings)


def _lines_of(page: dict[str, Any]) -> int:
    """Return how many lines of large type stand above and below the map."""
    return math.ceil(len(page["facts"]) / 2) + len(page["warnings"]) + len(page["headline"]) // 56


def _page(placed: Placed, job: Job, number: int) -> dict[str, Any]:
    outfit, width = job.outfit, placed.width
    fit = next(one for one in width.fits if one.outfit == outfit)
    rows, more = _rows(job)
    slurry = sum(line.slurry_m3 for line in job.lines)
    each = f", overlap {100 * outfit.overlap_m:.0f} cm" if fit.runs.twice else ""
    facts = [
        f"A to B: {placed.heading_deg:.1f}\u00b0 from true north",
        f"Passes on a plot: {fit.passes}, {outfit.width_m:g} m each{each}",
        f"Speed: {outfit.speed}",
        f"To turn: {placed.rules.turning_m:g} m at each end",
        f"Plots of: {', '.join(job.systems)}",
    ]
    if outfit.depth or load("machine_kinds")[outfit.kind].text("shape") != "surface":
        facts.append(f"Depth: {outfit.depth or 'as set with the lead'}")
    if slurry:
        facts += [
            f"Slurry in all: {slurry:.0f} m3",
            *_on_each_plot(job),
            f"Flow set for a width of {fit.runs.spread_m:.2f} m",
            f"Fill the tank {job.refills} times" if job.refills else "Slurry by hose",
        ]
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
        "row": 14 if len(rows) <= 10 else 13 if len(rows) <= 16 else 10.5 if len(rows) <= 26 else 8.6,
        "inset": 3 if len(rows) <= 16 else 2 if len(rows) <= 26 else 1.2,
        "more": more,
        "warnings": _warnings(placed, job, fit),
        "small": 10 if len(rows) <= 16 and not slurry else 8.5,
    }


def _on_each_plot(job: Job) -> list[str]:
    """Return what a plot takes, to be held against the flow meter; nothing where plots differ."""
    plots: dict[int, float] = {}
    for line in job.lines:
        plots[line.plot] = plots.get(line.plot, 0.0) + line.slurry_m3
    least, most = min(plots.values()), max(plots.values())
    return [f"Each plot takes {most:.1f} m3"] if most - least < 0.05 else [f"Plots take {least:.1f} to {most:.1f} m3"]


def _warnings(placed: Placed, job: Job, fit: Fit) -> list[str]:
    out = ["Turn in the dotted ground. Leave all other plots and the pegs alone."]
    if fit.over_m:
        side = f"{fit.over_m / 2:.2f} m"
        out.append(f"Begin {side} left of the left pegs; end {side} right of the right pegs.")
    if fit.runs.short_m:
        side = f"{fit.runs.short_m / 2:.2f} m"
        out.append(f"Begin {side} inside the left pegs, end {side} inside the right ones: that ground stays as it is.")
    if at_b := sum(line.refill and line.back for line in job.lines):
        out.append(f"The tank is filled {at_b} of {job.refills} times at B: the slurry must get there.")
    if job.too_long:
        out.append("A full tank does not last over one pass. Ask the lead where to stop.")
    if placed.host.water and any(line.slurry_m3 for line in job.lines):
        out.append(f"Slurry: {placed.rules.water_m:g} m from water at least. Measured?")
    return out


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
        f"FILL\u00a0AT\u00a0{'B' if line.back else 'A'}" if line.refill else "",
    ]
