"""A layout on its field as plain text: plot widths, place, needs, order of work and what to beware of."""

from __future__ import annotations

import csv
import io
import textwrap
from collections.abc import Iterator, Sequence
from typing import Final

from spadework import __version__
from spadework.layout.from_plan import Told
from spadework.layout.pegs import PegTable
from spadework.layout.place import Placed
from spadework.layout.widths import PlotWidth
from spadework.present.layout.map_key import STANDINGS_PLANNED
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
from spadework.present.table import WIDTH

__all__ = ["layout_text", "pegs_csv", "plots_csv", "widths_text"]

_INVENTED: Final = "INVENTED: the plan is made up to show the tool; nothing here is advice."
_MOST_WIDTHS: Final = 8
_PEG_HEAD: Final = (
    *("peg", "plots", "from_first_m", "from_second_m", "side", "check_m", "east_m", "north_m", "latitude", "longitude"),
    "remark",
)


def widths_text(widths: Sequence[PlotWidth], taken: PlotWidth | None, question: str, *, invented: bool) -> str:
    """Return the plot widths, best first, and how the machines fit the best or the one taken.

    Parameters
    ----------
    widths : sequence of PlotWidth
        From :func:`spadework.layout.widths.plot_widths`.
    taken : PlotWidth or None
        The one that the plan takes.
    question : str
        Of the comparison.
    invented : bool
        True where the plan is made up.
    """
    out = ["Which plot width do the machines fit?", *_wrapped(question)]
    if invented:
        out.append(_INVENTED)
    out += ["", *_widths(widths, taken), ""]
    shown = taken or widths[0]
    if why := join_words(shown, widths):
        out += [*_wrapped(why), ""]
    out += [f"How the machines fit {shown.width_m:g} m", *_fits(shown)]
    return _done(out)


def layout_text(placed: Placed, told: Told) -> str:
    """Return a layout as plain text.

    Parameters
    ----------
    placed : Placed
        The layout on its field.
    told : Told
        What else is known of it.

    Returns
    -------
    str
        Lines of at most 100 columns.
    """
    host, first = placed.host, placed.plots[0]
    out = ["Where does every plot lie?", *_wrapped(told.question)]
    if told.invented:
        out.append(_INVENTED)
    out += [
        "",
        *_wrapped(
            f"{len(placed.plots)} plots of {first.width_m:g} x {first.length_m:.0f} m in {placed.laid.asked.blocks} blocks on "
            f"{host.name or 'the field'} ({host.area_ha:.2f} ha), rows at {placed.heading_deg:.1f} degrees from true north. "
            f"{STANDINGS_PLANNED[placed.standing].capitalize()}."
        ),
        "",
    ]
    for block in range(1, placed.laid.asked.blocks + 1):
        mine = [plot for plot in placed.plots if plot.block == block]
        out += _wrapped(" | ".join(f"{p.number} {', '.join(p.labels)}" for p in mine), "    ", f"block {block}: ")
    out += ["", *_widths(told.widths, placed.width), "", f"How the machines fit {placed.width.width_m:g} m"]
    out += [*_fits(placed.width), "", *_wrapped(rows_words(placed))]
    out += [*_wrapped(join_words(placed.width, told.widths)), *_wrapped(weighed_words(placed, told))]
    out += [line for words in wheel_words(placed, told) for line in _wrapped(words, "    ", "  - ")]
    out += ["", "What it needs, with a strip for setting and a spare", *_needs(told)]
    out += ["", "In this order", *_jobs(told)]
    if placed.changes:
        out += ["", "Changed by hand"]
        out += [line for one in placed.changes for line in _wrapped(f"{one.what}: {one.reason}", "    ", "  - ")]
    out += ["", "What this leans on"]
    out += [line for words in remarks(placed, told) for line in _wrapped(words, "    ", "  - ")]
    out += ["", "Take care", *(line for words in care() for line in _wrapped(words, "    ", "  - "))]
    return _done(out)


def _widths(widths: Sequence[PlotWidth], taken: PlotWidth | None) -> Iterator[str]:
    yield "Plot widths, best first"
    yield f"  {'width':>7} {'rows':>5}  {'measured':<10} left over"
    shown = list(widths[:_MOST_WIDTHS])
    if taken is not None and taken not in shown:
        shown.append(taken)
    for one in shown:
        mark = "*" if one == taken else " "
        head = f"{mark} {one.width_m:>5.2f} m {one.rows:>5}  {f'{one.first_row} to {one.last_row}':<10} "
        yield from _wrapped(width_line(one), " " * len(head), head)
    if taken is not None:
        yield "  * taken, as the plan says"


def _fits(one: PlotWidth) -> Iterator[str]:
    for fit in one.fits:
        yield from _wrapped(fit.words, " " * 32, f"  {fit.outfit.name[:28]:<28}  ")


def _needs(told: Told) -> Iterator[str]:
    yield f"  {'system':<24} {'plots':>5} {'ha':>7} {'m of row':>10} {'m3 slurry':>10} {'1000 seeds':>10}"
    for one in told.needs:
        slurry = f"{one.slurry_m3:.1f}" if one.slurry_m3 else ""
        much = f"{one.row_m:>10.0f} {slurry:>10} {one.seeds / 1000:>10.0f}"
        yield f"  {one.system[:24]:<24} {one.plots:>5} {one.area_ha:>7.2f} {much}"


def _jobs(told: Told) -> Iterator[str]:
    for number, job in enumerate(told.jobs, 1):
        fill = f", tank filled {job.refills} times" if job.refills else ""
        words = f"{len(job.lines)} passes on plots of {', '.join(job.systems)}{fill}"
        yield from _wrapped(words, " " * 36, f"  {number:>2}  {job.outfit.name[:28]:<28}    ")


def pegs_csv(told: Told, placed: Placed) -> str:
    """Return the pegs as CSV, with the fixed points in remark lines above."""
    table: PegTable = told.table
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\n")
    if told.invented:
        out.write("# INVENTED\n")
    for word, point in (("first", table.first), ("second", table.second)):
        out.write(
            f"# {word} fixed point: {' '.join(point[0].split())}; east {point[1]:.2f} m; north {point[2]:.2f} m\n"
        )
    out.write(f"# from one to the other: {table.base_m:.2f} m\n")
    write.writerow(_PEG_HEAD)
    write.writerows(peg_rows(told, placed))
    return out.getvalue()


def plots_csv(placed: Placed, *, invented: bool = False) -> str:
    """Return the plots as CSV: number, block, labels, corners and measured corners in local metres."""
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\n")
    if invented:
        out.write("# INVENTED\n")
    out.write(f"# standing: {placed.standing}; seed {placed.laid.seed}; heading {placed.heading_deg:.3f} degrees\n")
    out.writelines(f"# changed by hand: {one.what}: {one.reason}\n" for one in placed.changes)
    corners = [
        f"{name}_{axis}_m"
        for name in ("front_left", "front_right", "back_right", "back_left")
        for axis in ("east", "north")
    ]
    factors = [factor.name for factor in placed.laid.asked.factors]
    write.writerow(["plot", "block", *factors, "width_m", "length_m", "net_width_m", "net_length_m", *corners])
    spacing = placed.width.width_m / placed.width.rows
    rows = placed.width.last_row - placed.width.first_row + 1
    for plot in placed.plots:
        net = max(0.0, plot.length_m - 2 * placed.rules.ends_m)
        spots = [f"{value:.3f}" for corner in plot.corners for value in corner]
        sizes = [f"{plot.width_m:.2f}", f"{plot.length_m:.2f}", f"{rows * spacing:.2f}", f"{net:.2f}"]
        write.writerow([plot.number, plot.block, *plot.labels, *sizes, *spots])
    return out.getvalue()


def _wrapped(text: str, indent: str = "", first: str | None = None) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=indent if first is None else first, subsequent_indent=indent, break_on_hyphens=False
    )


def _done(lines: Sequence[str]) -> str:
    text = "\n".join([*lines, "", f"spadework {__version__}"])
    return text.translate({0x2212: "-", 0xA0: " ", 0x202F: " ", 0xB7: "-"})
