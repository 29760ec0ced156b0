"""Plots of a harvest as plain text of at most 100 columns, and as a table to go on with."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from spadework import __version__
from spadework.findings.harvest import LoggedPlots, PlotYields
from spadework.present.table import wrapped

__all__ = [
    "HARVEST_STANDING",
    "WEIGHING_CARE",
    "logged_text",
    "number",
    "percent",
    "plots_csv",
    "readings_csv",
    "removed_csv",
    "signed",
    "span",
    "weighed_text",
    "worst_cause",
]

HARVEST_STANDING: Final = "looked: one figure for each plot; nothing here holds one system against another."
WEIGHING_CARE: Final = (
    "Weigh only on level, firm ground, with everybody clear of the wagon. Never climb into a trailer or reach into a running "
    "machine for a sample: take it from the stopped load or the heap, engine off. Axle loads and roads: as the rules of the "
    "place say."
)


def weighed_text(found: PlotYields, remarks: Sequence[str], *, file: str) -> str:
    """Return weighed plots as plain text: yields with standard errors, and where the errors come from."""
    out = [f"Harvest, weighed strips: {file}", *wrapped(HARVEST_STANDING), "", *_plots(found)]
    out += ["", "Where the standard error comes from (share of the yield, over the plots)"]
    for cause, values in found.error_shares.items():
        out.append(f"  {cause:<28}{percent(float(np.median(values))):>9}{span(values):>24}")
    out += wrapped(f"Most of it is {worst_cause(found)}: that is where better work pays.", "  ")
    out += wrapped("What a scale or a scoop is off by for every plot alike does not show here.", "  ")
    out += _told([*found.notes, *remarks])
    out += ["", "Take care", *wrapped(WEIGHING_CARE, "  ", "- ")]
    return _plain(out)


def worst_cause(found: PlotYields) -> str:
    """Return where most of the standard error of weighed plots comes from."""
    return max(found.error_shares, key=lambda cause: float(np.median(found.error_shares[cause])))


def logged_text(found: LoggedPlots, remarks: Sequence[str], *, file: str) -> str:
    """Return plots of a log as plain text: yields, the delay, and what every step of the cleaning removed."""
    cleaned = found.cleaned
    out = [f"Harvest, yield log: {file}", *wrapped(HARVEST_STANDING), "", *_plots(found.yields)]
    out += ["", *wrapped(f"Delay from header to sensor: {found.delay_s:.1f} s, {found.delay_from}.")]
    curve = found.curve
    if curve.pairs >= 3 and np.isfinite(curve.agreement).all():
        out.append("  agreement of opposite passes by delay:")
        step = max(1, curve.delays_s.size // 10)
        shown = list(range(0, curve.delays_s.size, step))
        out.append("  s " + "".join(f"{curve.delays_s[i]:>7g}" for i in shown))
        out.append("    " + "".join(f"{signed(float(curve.agreement[i])):>7}" for i in shown))
    out += [
        "",
        "What was removed, step by step",
        f"  {'step':<34}{'points in':>10}{'removed':>9}{'mean, t/ha':>12}{'shift':>8}",
    ]
    for step_done in cleaned.steps:
        shift = step_done.mean_after - step_done.mean_before
        out.append(
            f"  {step_done.name:<34}{step_done.before:>10}{step_done.removed:>9}{number(step_done.mean_after, 2):>12}"
            f"{signed(shift) if step_done.removed else '-':>8}"
        )
    out += wrapped(f"Of the points with the header down {percent(cleaned.removed_share)} were removed.", "  ")
    out += [
        "",
        "What that did to each plot (fresh yield)",
        f"  {'plot':<20}{'lost':>9}{'before':>10}{'after':>10}{'shift':>8}",
    ]
    for i, name in enumerate(cleaned.strips):
        shift = float(cleaned.strip_after[i] - cleaned.strip_before[i])
        out.append(
            f"  {_short(name, 18):<20}{percent(float(cleaned.lost_share[i])):>9}{number(float(cleaned.strip_before[i]), 2):>10}"
            f"{number(float(cleaned.strip_after[i]), 2):>10}{signed(shift):>8}"
        )
    out += _told([*found.yields.notes, *remarks])
    return _plain(out)


def plots_csv(found: PlotYields) -> str:
    """Return the plots as CSV with decimal points, one line for each; what is not known stays empty."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    at = [] if found.standard is None else [f"at_{100 * found.standard.share:g}_pct_t_ha"]
    writer.writerow(
        ["plot", "system", "block", "area_m2", "fresh_t_ha", "dm_pct", "dm_t_ha", "se_t_ha", "samples", *at]
    )
    for i, name in enumerate(found.plots):
        figures = (
            (found.area_m2[i], 1),
            (found.fresh_t_ha[i], 3),
            (100 * found.dry_matter_share[i], 2),
            (found.dm_t_ha[i], 3),
            (found.se_t_ha[i], 3),
        )
        cells = [f"{value:.{places}f}" if math.isfinite(value) else "" for value, places in figures]
        stated = float(found.standard_t_ha[i])
        more = [f"{stated:.3f}" if math.isfinite(stated) else ""] if at else []
        writer.writerow([name, found.systems[i], found.blocks[i], *cells, int(found.samples[i]) or "", *more])
    return text.getvalue()


def readings_csv(found: PlotYields) -> str:
    """Return the dry matter of the plots as a table of readings, as a comparison of the systems reads it.

    Parameters
    ----------
    found : PlotYields
        Plots with their systems; without one a comparison cannot place a plot.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["plot", "block", "system", "dm_yield [t/ha]"])
    for i, name in enumerate(found.plots):
        dry = float(found.dm_t_ha[i])
        writer.writerow(
            [name, found.blocks[i], found.systems[i], f"{dry:.3f}" if math.isfinite(dry) else "not measured"]
        )
    return text.getvalue()


def removed_csv(found: LoggedPlots, plot: Sequence[str], time_s: Sequence[float]) -> str:
    """Return every point of a log with what was made of it: yield where it is kept, the step that removed it where not."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["time_s", "plot", "fresh_t_ha", "removed_by"])
    names = ["", *(step.name for step in found.cleaned.steps)]
    for time, name, fresh, reason in zip(time_s, plot, found.cleaned.yield_t_ha, found.cleaned.reason, strict=True):
        writer.writerow([f"{time:g}", name, f"{fresh:.3f}" if math.isfinite(fresh) else "", names[int(reason)]])
    return text.getvalue()


def _plots(found: PlotYields) -> Iterator[str]:
    head = f"  {'plot':<14}{'system':<18}{'block':<8}{'area, m2':>9}{'fresh, t/ha':>13}"
    yield f"{head}{'DM, %':>8}{'DM, t/ha':>10}{'se':>8}{'samples':>9}"
    for i, name in enumerate(found.plots):
        yield (
            f"  {_short(name, 12):<14}{_short(found.systems[i] or '-', 16):<18}{_short(found.blocks[i] or '-', 6):<8}"
            f"{found.area_m2[i]:>9.0f}{number(float(found.fresh_t_ha[i]), 2):>13}"
            f"{number(100 * float(found.dry_matter_share[i]), 1):>8}{number(float(found.dm_t_ha[i]), 2):>10}"
            f"{number(float(found.se_t_ha[i]), 2):>8}{int(found.samples[i]) or '-':>9}"
        )
    if found.standard is not None:
        yield ""
        yield f"Stated at {found.standard.said}, t/ha"
        for name, stated in zip(found.plots, found.standard_t_ha, strict=True):
            yield f"  {_short(name, 12):<14}{number(float(stated), 2):>8}"


def _told(notes: Sequence[str]) -> list[str]:
    lines = [line for text in notes for line in wrapped(text[0].upper() + text[1:] + ".", "  ", "- ")]
    return ["", "What to keep in mind", *lines] if lines else []


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1] + "~"


def number(value: float, places: int) -> str:
    """Return a figure, or a dash where it is not known."""
    return f"{value:.{places}f}" if math.isfinite(value) else "-"


def signed(value: float) -> str:
    """Return a shift with its sign, or a dash where it is not known."""
    if not math.isfinite(value):
        return "-"
    text = f"{value:+.2f}"
    return text if float(text) else "0.00"


def percent(share: float) -> str:
    """Return a share as percent, or a dash where it is not known."""
    return f"{100 * share:.1f} %" if math.isfinite(share) else "-"


def span(values: np.ndarray) -> str:
    """Return from where to where shares go; nothing where they are all alike."""
    low, high = percent(float(np.min(values))), percent(float(np.max(values)))
    return "" if low == high else f"{low} to {high}"


def _plain(lines: Sequence[str]) -> str:
    text = (
        "\n".join(line.rstrip() for line in [*lines, "", f"spadework {__version__}"])
        .replace("−", "-")
        .replace("–", "-")
    )
    return "".join(c if c.isascii() else "?" for c in text)
