"""Readings of plots: who lay where, and what was measured, out of a table that people fill in.

A column with a unit holds a measured quantity, such as ``dm_yield [t/ha]``.  The unit stands in brackets behind the name, or
in a line of its own under the names that begins with ``units``.  All other columns say where a reading belongs.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.quantities import QuantityError, parse
from spadework.ranges import FloatArray
from spadework.records.tables.columns import Allowed, Column, WrongCell, clip, read_cell
from spadework.records.tables.reader import Line, Table, column_place, read_table

__all__ = ["LABELS", "PLAIN_UNIT", "WORDS_MISSING", "Readings", "average_plots", "read_readings"]

LABELS: Final = (
    *("plot", "block", "system", "row", "column", "site", "year"),
    *("whole_plot", "strip_along", "strip_across", "sample", "left_out", "note"),
)
"""Columns that say where a reading belongs; a further factor has a name of its own."""
PLAIN_UNIT: Final = "1"
"""Unit of a count or a ratio."""
WORDS_MISSING: Final = ("lost", "not measured", "unreadable", "below detection")
"""What may stand in the place of a figure; an empty cell was not measured."""
_WITH_UNIT = re.compile(r"\s*([^\W\d]\w*)\s*\[\s*([^\[\]]+?)\s*\]\s*")
_NAME = re.compile(r"[^\W\d]\w*")
_LONGEST: Final = 60
_LONGEST_NOTE: Final = 200
_MOST_PLOTS: Final = 2_000


@dataclass(frozen=True)
class Readings:
    """Readings of plots, one place for each line or, averaged, for each plot.

    Attributes
    ----------
    file : str
        Where they were read.
    lines : NDArray
        Line of each in the file; of the first where several were averaged.
    labels : Mapping
        Columns of labels by name: plot and system always, others where they were filled in.
    factors : tuple of str
        Names of the further factors among the labels.
    values : Mapping
        Readings by quantity; not a number where there is none.
    units : Mapping
        Their units.
    gaps : Mapping
        Why there is no reading, by quantity: one of :data:`WORDS_MISSING`, or empty where there is one.
    left_out : tuple of str
        Why a plot is to be left out; empty where it is not.
    samples : NDArray
        How many readings each is the mean of.
    remarks : tuple of str
        What stood out in the file.
    """

    file: str
    lines: NDArray[np.int64]
    labels: Mapping[str, NDArray[np.str_]]
    factors: tuple[str, ...]
    values: Mapping[str, FloatArray]
    units: Mapping[str, str]
    gaps: Mapping[str, tuple[str, ...]]
    left_out: tuple[str, ...]
    samples: NDArray[np.int64]
    remarks: tuple[str, ...] = field(default=())

    def unit_of(self, quantity: str) -> str:
        """Return the unit of a quantity.

        Raises
        ------
        PlanFaults
            If it was not measured.
        """
        if quantity not in self.units:
            there = nearest(quantity, self.units) or f"; there are: {', '.join(self.units)}"
            raise PlanFaults([Fault("--quantity", f'"{clip(quantity)}" was not measured{there}')], self.file)
        return self.units[quantity]


def read_readings(
    path: Path, systems: Sequence[str], *, factors: Sequence[str] = (), sheet: str | None = None
) -> Readings:
    """Read a table of readings from a CSV file or an XLSX workbook.

    Parameters
    ----------
    path : Path
        The file.
    systems : sequence of str
        Names that the column ``system`` may hold.
    factors : sequence of str
        Columns of further factors.
    sheet : str, optional
        Sheet of a workbook; the first that is shown if left out.

    Returns
    -------
    Readings
        Line by line; see :func:`average_plots`.

    Raises
    ------
    PlanFaults
        Every fault of the file at once: unknown systems and columns, text where a figure should be, plots that
        contradict themselves.
    """
    needed = ("plot", "system")
    columns = [
        Column(name, "", "text", needed=name in needed, longest=_LONGEST_NOTE if name == "note" else _LONGEST)
        for name in (*LABELS, *factors)
    ]
    table = read_table(path, columns, sheet=sheet)
    faults = list(table.faults)
    lines, units_line = _without_units(table)
    measured = _measured(table, factors, units_line, faults)
    if len(lines) > _MOST_PLOTS:
        faults.append(Fault("", f"has {len(lines)} readings; allowed: up to {_MOST_PLOTS}"))
    both = {name: _figures(lines, at, name, unit, faults) for name, (at, unit) in measured.items()}
    values = {name: figures for name, (figures, _) in both.items()}
    gaps = {name: why for name, (_, why) in both.items()}
    labels = _labels(lines, table, factors, faults)
    faults += _of_systems(lines, systems)
    faults += _of_plots(lines, labels, table)
    if measured and not faults and all(np.isnan(column).all() for column in values.values()):
        faults.append(Fault("", "no reading is filled in; write figures under " + ", ".join(measured)))
    if faults:
        raise PlanFaults(faults, table.file)
    spelt = {name.lower(): name for name in systems}
    labels["system"] = np.array([spelt[name.lower()] for name in labels["system"].tolist()])
    reasons = tuple(_text(line, "left_out") for line in lines)
    numbers = np.array([line.number for line in lines], np.int64)
    units = {name: unit for name, (_, unit) in measured.items()}
    there = tuple(name for name in factors if name in labels)
    ones = np.ones(len(lines), np.int64)
    return Readings(
        table.file, numbers, labels, there, values, units, gaps, reasons, ones, tuple(_remarks(table, lines))
    )  # fmt: skip


def average_plots(readings: Readings) -> Readings:
    """Return one reading for each plot: readings inside a plot repeat nothing and are averaged.

    Parameters
    ----------
    readings : Readings
        From :func:`read_readings`.

    Returns
    -------
    Readings
        Plots in the order of the file.  A sample without a figure is left out of the mean.
    """
    keys = _keys(readings.labels)
    firsts, places = np.unique(keys, return_index=True)
    order = np.argsort(places)
    firsts, places = firsts[order], places[order]
    if firsts.size == keys.size:
        return readings
    groups = [np.flatnonzero(keys == key) for key in firsts]
    values = {}
    for name, column in readings.values.items():
        there = [column[g][np.isfinite(column[g])] for g in groups]
        values[name] = np.array([one.mean() if one.size else np.nan for one in there])
    gaps = {
        name: tuple("" if any(not why[i] for i in g) else why[g[0]] for g in groups)
        for name, why in readings.gaps.items()
    }
    labels = {name: column[places] for name, column in readings.labels.items() if name != "sample"}
    reasons = tuple(next((readings.left_out[i] for i in g if readings.left_out[i]), "") for g in groups)
    return Readings(
        readings.file,
        readings.lines[places],
        labels,
        readings.factors,
        values,
        readings.units,
        gaps,
        reasons,
        np.array([g.size for g in groups], np.int64),
        readings.remarks,
    )


def _keys(labels: Mapping[str, NDArray[np.str_]]) -> NDArray[np.str_]:
    """Return a name for each plot that no other plot of another site or year has."""
    out = labels["plot"]
    for name in ("site", "year"):
        if name in labels:
            out = np.char.add(np.char.add(out, "\x00"), labels[name])
    return out


def _without_units(table: Table) -> tuple[tuple[Line, ...], Line | None]:
    first = table.lines[0]
    if first.cells.get("plot", "").lower().rstrip(":") in ("unit", "units"):
        return table.lines[1:], first
    return table.lines, None


def _measured(
    table: Table, factors: Sequence[str], units_line: Line | None, faults: list[Fault]
) -> dict[str, tuple[str, str]]:
    """Return the measured quantities: their column as the table has it, and their unit."""
    found: dict[str, tuple[str, str]] = {}
    for at, written in zip(table.columns, table.head, strict=True):
        if not at or at in LABELS or at in factors:
            continue
        named = _WITH_UNIT.fullmatch(written)
        name, unit = (named[1].lower(), named[2]) if named else (at, "")
        beneath = "" if units_line is None else units_line.cells.get(at, "").strip(" []")
        if named and beneath and beneath != unit:
            faults.append(Fault(column_place(clip(written)), f"has two units, {unit} and {beneath}; give one"))
        unit = unit or beneath
        if not _NAME.fullmatch(name):
            what = "is no name; allowed: letters, digits and _ without blanks, then the unit in brackets"
            faults.append(Fault(column_place(clip(written)), f"{what}, e.g. dm_yield [t/ha]"))
        elif not unit:
            what = "has no unit; write it in brackets behind the name, e.g. dm_yield [t/ha], or [1] for a count; name a factor"
            near = nearest(at, [*LABELS, *factors])
            said = f"is not known{near}" if near else f"{what} with --factor"
            faults.append(Fault(column_place(clip(written)), said))
        elif name in found:
            faults.append(Fault(column_place(name), "stands twice; allowed: once"))
        elif wrong := _unit_fault(unit):
            faults.append(Fault(column_place(clip(written)), wrong))
        else:
            found[name] = (at, unit)
    if not found and not faults:
        faults.append(Fault("", "holds no measured quantity; add a column such as dm_yield [t/ha]"))
    return found


def _unit_fault(unit: str) -> str:
    if unit == PLAIN_UNIT:
        return ""
    try:
        parse(f"1 {unit}", unit)
    except QuantityError as error:
        return f"its unit cannot be read ({error})"
    return ""


def _figures(
    lines: Sequence[Line], at: str, name: str, unit: str, faults: list[Fault]
) -> tuple[FloatArray, tuple[str, ...]]:
    hard = Allowed(0, 100) if unit == "%" else None
    column = Column(name, "", "number", "" if unit == PLAIN_UNIT else unit, hard, words=WORDS_MISSING)
    out, why = np.full(len(lines), np.nan), ["not measured"] * len(lines)
    for place, line in enumerate(lines):
        try:
            value = read_cell(line.cells.get(at, ""), column)
        except WrongCell as wrong:
            faults.append(Fault(column_place(name), str(wrong), line.number))
            continue
        if isinstance(value, float):
            out[place], why[place] = value, ""
        elif isinstance(value, str):
            why[place] = value
    return out, tuple(why)


def _labels(
    lines: Sequence[Line], table: Table, factors: Sequence[str], faults: list[Fault]
) -> dict[str, NDArray[np.str_]]:
    out = {}
    for name in (*LABELS, *factors):
        if name in ("left_out", "note"):
            continue
        if name not in table.columns:
            if name in factors:
                near = nearest(name, table.columns)
                faults.append(Fault(column_place(name), f"is missing; the factor needs a column of its labels{near}"))
            continue
        column = [_text(line, name) for line in lines]
        empty = [line for line, label in zip(lines, column, strict=True) if not label]
        if len(empty) == len(lines) and name not in ("plot", "system", *factors):
            continue
        faults += [Fault(column_place(name), "is empty; every plot needs its label", line.number) for line in empty]
        out[name] = np.array(column)
    return out


def _of_systems(lines: Sequence[Line], systems: Sequence[str]) -> Iterator[Fault]:
    known = {name.lower() for name in systems}
    for line in lines:
        name = _text(line, "system")
        if name and name.lower() not in known:
            near = nearest(name, systems)
            what = f'"{clip(name)}" is no system of the plan; allowed: {", ".join(systems)}{near}'
            yield Fault(column_place("system"), what, line.number)


def _of_plots(lines: Sequence[Line], labels: Mapping[str, NDArray[np.str_]], table: Table) -> Iterator[Fault]:
    """Find plots that stand twice without being samples, and samples that contradict one another."""
    if not lines or "plot" not in labels:
        return
    keys = _keys(labels).tolist()
    firsts: dict[str, int] = {}
    seen: set[tuple[str, str]] = set()
    for place, (key, line) in enumerate(zip(keys, lines, strict=True)):
        first = firsts.setdefault(key, place)
        plot = str(labels["plot"][place])
        if first != place and "sample" not in labels:
            what = (
                f'"{clip(plot)}" stands in line {lines[first].number} already; number readings of one plot in a column'
            )
            yield Fault(column_place("plot"), f"{what} sample: they are averaged", line.number)
            continue
        if "sample" in labels:
            both = (key, str(labels["sample"][place]))
            if both in seen:
                yield Fault(column_place("sample"), f'"{both[1]}" of plot {clip(plot)} stands twice', line.number)
            seen.add(both)
        for name, column in labels.items():
            if name not in ("plot", "sample", "site", "year") and column[place] != column[first]:
                what = (
                    f'plot {clip(plot)} is "{clip(str(column[place]))}" here and "{clip(str(column[first]))}" in line'
                )
                yield Fault(column_place(name), f"{what} {lines[first].number}; a plot has one", line.number)


def _remarks(table: Table, lines: Sequence[Line]) -> Iterable[str]:
    for line in lines:
        if note := _text(line, "note"):
            yield f"line {line.number}, plot {_text(line, 'plot')}, noted: {clip(note)}"
    for number in table.figures_left_out:
        yield f"line {number} begins with # and was left out, though it holds figures"


def _text(line: Line, name: str) -> str:
    value = line.values.get(name)
    return value.strip() if isinstance(value, str) else ""
