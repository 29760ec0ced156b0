"""A harvest as a page and as a print: plots with their doubt, and what was removed from a log, step by step and where."""

from __future__ import annotations

import json
from collections.abc import Sequence

import numpy as np

from spadework import __version__
from spadework.findings.harvest import LoggedPlots, PlotYields
from spadework.present.charts.spec import to_svg
from spadework.present.compare.harvest_chart import delay_chart, removed_map, yields_chart
from spadework.present.compare.harvest_table import (
    HARVEST_STANDING,
    WEIGHING_CARE,
    number,
    percent,
    signed,
    span,
    worst_cause,
)
from spadework.present.digs.data import _plain
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Items, Report, Section, Text
from spadework.ranges import FloatArray

__all__ = ["harvest_json", "logged_report", "weighed_report"]


def weighed_report(found: PlotYields, remarks: Sequence[str], *, file: str) -> Report:
    """Return the content of page and print for weighed strips.

    Parameters
    ----------
    found : PlotYields
        From :func:`spadework.findings.harvest.weighed_plots`.
    remarks : sequence of str
        Of the reader of the file.
    file : str
        Name of the file.
    """
    causes = tuple(
        (Cell(cause), Cell(percent(float(np.median(values)))), Cell(span(values) or "the same everywhere"))
        for cause, values in found.error_shares.items()
    )
    sure: list[Block] = [
        Text(f"Most of the standard error is {worst_cause(found)}: that is where better work pays."),
        Grid("Standard error by cause, share of the yield", ("cause", "middle plot", "over the plots"), causes),
        Text("What a scale or a scoop is off by for every plot alike does not show here.", "small"),
    ]
    sections = [
        Section("plots", "What did each plot yield?", _plots(found)),
        Section("sure", "How sure is each figure?", sure),
        *_told([*found.notes, *remarks]),
        Section("care", "Take care", [Text(WEIGHING_CARE)]),
    ]
    return _report("What did the weighed strips yield?", file, found, sections)


def logged_report(
    found: LoggedPlots, east_m: FloatArray, north_m: FloatArray, remarks: Sequence[str], *, file: str
) -> Report:
    """Return the content of page and print for a yield log.

    Parameters
    ----------
    found : LoggedPlots
        From :func:`spadework.findings.harvest.logged_plots`.
    east_m, north_m : FloatArray
        Places of the points of the log [m].
    remarks : sequence of str
        Of the reader of the file.
    file : str
        Name of the file.
    """
    cleaned = found.cleaned
    steps = []
    for step in cleaned.steps:
        shift = signed(step.mean_after - step.mean_before) if step.removed else "-"
        cells = step.name, str(step.before), str(step.removed), number(step.mean_after, 2), shift
        steps.append(tuple(Cell(text) for text in cells))
    plots = []
    for i, name in enumerate(cleaned.strips):
        before, after = float(cleaned.strip_before[i]), float(cleaned.strip_after[i])
        cells = name, percent(float(cleaned.lost_share[i])), number(before, 2), number(after, 2), signed(after - before)
        plots.append(tuple(Cell(text) for text in cells))
    spec = removed_map(found, east_m, north_m)
    removed: list[Block] = [
        Text(f"Of the points with the header down {percent(cleaned.removed_share)} were removed, each for one reason."),
        Drawing("removed", to_svg(spec), spec["description"]),
        Grid("Step by step", ("step", "points in", "removed", "mean after, t/ha fresh", "shift, t/ha"), tuple(steps)),
        Grid("What that did to each plot, fresh yield", ("plot", "points lost", "before, t/ha", "after, t/ha", "shift, t/ha"),
             tuple(plots)),
    ]  # fmt: skip
    late: list[Block] = [Text(f"The delay taken out is {found.delay_s:.1f} s, {found.delay_from}.")]
    if found.curve.pairs >= 3 and np.isfinite(found.curve.agreement).any():  # noqa: PLR2004 RUF100 (fewer draw no curve)
        spec = delay_chart(found)
        late.append(Drawing("delay", to_svg(spec), spec["description"]))
    sections = [
        Section("plots", "What did each plot yield?", _plots(found.yields)),
        Section("delay", "How late does the sensor tell?", late),
        Section("removed", "What was removed, and where?", removed),
        *_told([*found.yields.notes, *remarks]),
    ]
    return _report("What does the yield log say of each plot?", file, found.yields, sections)


def _report(question: str, file: str, found: PlotYields, sections: Sequence[Section]) -> Report:
    systems = len({name for name in found.systems if name})
    of = f", {systems} systems" if systems else ""
    facts = (f"harvest of {file}", f"{len(found.plots)} plots{of}", f"spadework {__version__}")
    return Report(question, file, HARVEST_STANDING.rstrip("."), False, facts, tuple(sections))


def _plots(found: PlotYields) -> list[Block]:
    rows = []
    stated = found.standard_t_ha
    for i, name in enumerate(found.plots):
        cells = (
            name,
            found.systems[i] or "-",
            found.blocks[i] or "-",
            f"{found.area_m2[i]:.0f}",
            number(float(found.fresh_t_ha[i]), 2),
            number(100 * float(found.dry_matter_share[i]), 1),
            number(float(found.dm_t_ha[i]), 2),
            number(float(found.se_t_ha[i]), 2),
            *([] if found.standard is None else [number(float(stated[i]), 2)]),
        )
        rows.append(tuple(Cell(text) for text in cells))
    head: tuple[str, ...] = (
        "plot",
        "system",
        "block",
        "area, m2",
        "fresh, t/ha",
        "dry matter, %",
        "dry matter, t/ha",
        "standard error",
    )
    if found.standard is not None:
        head = (*head, f"at {found.standard.said}, t/ha")
    note = (
        "Standard error: of weighing, sampling and measuring alone, t/ha of dry matter. Plots differ by more than that."
    )
    blocks: list[Block] = []
    if np.isfinite(found.dm_t_ha).any():
        spec = yields_chart(found)
        blocks.append(Drawing("yields", to_svg(spec), spec["description"]))
    return [*blocks, Grid("Plot by plot", head, tuple(rows), note=note if np.isfinite(found.se_t_ha).any() else "")]


def _told(notes: Sequence[str]) -> list[Section]:
    said = tuple(("", text[0].upper() + text[1:] + ".") for text in notes)
    return [Section("mind", "What to keep in mind", [Items(said)])] if said else []


def harvest_json(found: PlotYields, remarks: Sequence[str], *, file: str, logged: LoggedPlots | None = None) -> str:
    """Return plots as JSON text, for a log with its steps; shares are fractions, what is not known is ``null``.

    Parameters
    ----------
    found : PlotYields
        The plots.
    remarks : sequence of str
        Of the reader of the file.
    file : str
        Name of the file.
    logged : LoggedPlots, optional
        How the log was cleaned.
    """
    about = {
        "spadework": __version__,
        "standing": HARVEST_STANDING,
        "file": file,
        "remarks": list(remarks),
        "found": _plain(found),
        "at_standard_t_ha": None if found.standard is None else _plain(found.standard_t_ha),
    }
    if logged is not None:
        cleaned = logged.cleaned
        about["delay_s"], about["delay_from"] = logged.delay_s, logged.delay_from
        about["removed_share"] = _plain(cleaned.removed_share)
        about["steps"] = _plain(cleaned.steps)
        about["strips"] = [
            {
                "plot": name,
                "lost_share": _plain(lost),
                "fresh_before_t_ha": _plain(before),
                "fresh_after_t_ha": _plain(after),
            }
            for name, lost, before, after in zip(
                cleaned.strips, cleaned.lost_share, cleaned.strip_before, cleaned.strip_after, strict=True
            )
        ]
    return json.dumps(about, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
