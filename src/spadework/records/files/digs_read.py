"""Digs read from a CSV file or a workbook: every fault named, what is unusual remarked on and kept."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

from spadework.plan import Fault, PlanFaults
from spadework.ranges import FloatArray
from spadework.records.files.dig_sheets import NO_BAND, dig_columns
from spadework.records.files.digs import Digs
from spadework.records.tables.columns import Allowed, Column, clip
from spadework.records.tables.reader import Line, Table, column_place, read_table
from spadework.reference import load

__all__ = ["DigsRead", "read_digs"]

_MEASURED: Final = ("seed_cm", "top_cm", "bottom_cm", "width_cm", "offset_cm", "surface_pct")
_DEPTHS: Final = ("seed_cm", "top_cm", "bottom_cm")
_ENOUGH_TO_TELL: Final = 4  # digs from which columns that changed places are spoken of
_OF_THE_BAND: Final = ("bottom_cm", "width_cm", "offset_cm")


@dataclass(frozen=True)
class DigsRead:
    """Digs as they were read.

    Attributes
    ----------
    digs : Digs
        Every dig at which anything was measured, in the order of the file.
    remarks : tuple of str
        What is unusual or was left out, in sentences.
    notes : tuple of str
        What somebody noted, dig by dig; empty where nothing.
    """

    digs: Digs
    remarks: tuple[str, ...]
    notes: tuple[str, ...]


def read_digs(path: Path, rows: int, *, sheet: str | None = None) -> DigsRead:
    """Read the digs of a file.

    Parameters
    ----------
    path : Path
        CSV file or XLSX workbook with the columns of :func:`spadework.records.files.dig_sheets.dig_columns`.
    rows : int
        Row units of the machine.
    sheet : str, optional
        Sheet of a workbook; the first that is shown if left out.

    Returns
    -------
    DigsRead
        The digs, and remarks.

    Raises
    ------
    PlanFaults
        With every fault of the file, by line and column.

    Notes
    -----
    A row of the pass is counted from the left as seen on the way out.  On the way back the machine is turned round, so that
    its unit is ``rows + 1 - row``.
    """
    columns = dig_columns(rows)
    table = read_table(path, columns, sheet=sheet, others=False)
    faults = list(_in_millimetres(table))
    faults += _without_depths(table.faults) if faults else table.faults
    lines = [line for line in table.lines if _measured(line)]
    counted = "unit" in table.columns or "row" in table.columns
    if not counted:
        faults.append(Fault("columns unit and row", "are both missing; give one of them, to know the row unit"))
    for line in lines:
        faults += [*(_unit_faults(line, rows) if counted else ()), *_depth_faults(line)]
    faults += _named_twice(lines)
    if not lines and not faults:
        faults.append(Fault("", "no dig is filled in; allowed: one line or more with something measured"))
    faults += [*_in_inches(lines), *_swapped(lines)]
    if faults:
        raise PlanFaults(faults, path.name)
    return DigsRead(
        _arrays(path.name, lines, rows),
        tuple(_remarks(table, lines, columns)),
        tuple(_word(line, "note", "") for line in lines),
    )


def _measured(line: Line) -> bool:
    """Tell whether a line holds more than what was prepared, or a note."""
    return any(line.cells.get(name) for name in _MEASURED)


def _unit_faults(line: Line, rows: int) -> Iterable[Fault]:
    unit, row, direction = (line.values.get(name) for name in ("unit", "row", "direction"))
    whole = all(name in line.values or name not in line.cells for name in ("unit", "row", "direction"))
    if whole and unit is None and row is None:
        yield Fault("columns unit and row", "are both empty; give the unit, or the row and the direction", line.number)
    elif whole and row is not None and direction is None:
        what = "is empty; a row needs the way in which the machine drove; allowed: out or back"
        yield Fault(column_place("direction"), what, line.number)
    elif whole and unit is not None and row is not None and _unit(line, rows) != unit:
        what = f"unit {unit:g}, but row {row:g} on the way {direction} is unit {_unit(line, rows)} of {rows}"
        yield Fault("columns unit and row", f"{what}; empty one of them", line.number)


def _depth_faults(line: Line) -> Iterable[Fault]:
    seed, top, bottom = (_figure(line, name) for name in _DEPTHS)
    if line.values.get("top_cm") == NO_BAND:
        for name in _OF_THE_BAND:
            if line.cells.get(name):
                what = f'holds a figure, but top_cm says "{NO_BAND}"; allowed: empty where no band was found'
                yield Fault(column_place(name), what, line.number)
        return
    if top > bottom:
        what = f"top {top:g} cm lies below bottom {bottom:g} cm; allowed: top less than bottom"
        yield Fault("columns top_cm and bottom_cm", what, line.number)
        return
    for key, gap, name in (("gap_cm", top - seed, "top"), ("centre_gap_cm", (top + bottom) / 2 - seed, "centre")):
        if not np.isnan(gap) and not (can := _can(key)).holds(gap):
            what = f"from the seed down to the {name} of the band are {gap:g} cm; allowed: {can} cm"
            yield Fault("columns seed_cm and top_cm", what, line.number)
            return


def _named_twice(lines: Sequence[Line]) -> Iterable[Fault]:
    seen: dict[str, int] = {}
    for line in lines:
        name = line.values.get("dig")
        if not isinstance(name, str):
            continue
        if name in seen:
            what = f'"{name}" stands in line {seen[name]} already; allowed: each dig once'
            yield Fault(column_place("dig"), what, line.number)
        seen.setdefault(name, line.number)


def _in_millimetres(table: Table) -> Iterable[Fault]:
    """Look at the cells themselves, since depths in millimetres lie mostly outside what can be."""
    plain = Column("top_cm", "", "number")
    figures = []
    for line in table.lines:
        text = line.cells.get("top_cm", "").replace(",", ".")
        try:
            figures.append(float(text))
        except ValueError:
            continue
    limit = load("dig_limits")["top_median_cm"].entry("usual_to").value
    if figures and np.median(figures) > limit:
        what = f"half the tops lie deeper than {np.median(figures):g}: these look like millimetres"
        yield Fault(column_place(plain.name), f"{what}; write all depths in cm (divide by 10)")


def _without_depths(faults: Sequence[Fault]) -> list[Fault]:
    """Leave out what follows from depths in millimetres."""
    depths = {column_place(name) for name in (*_DEPTHS, "width_cm", "offset_cm")}
    return [fault for fault in faults if fault.line is None or fault.key not in depths or "cannot be" not in fault.what]


def _in_inches(lines: Sequence[Line]) -> Iterable[Fault]:
    top, seed = (_median(lines, name) for name in ("top_cm", "seed_cm"))
    if top < _usual("top_median_cm").low and seed < _usual("seed_median_cm").low:
        what = f"half the seeds lie shallower than {seed:g} and half the tops shallower than {top:g}: these look like inches"
        yield Fault("columns seed_cm and top_cm", f"{what}; write all depths in cm (1 inch is 2.54 cm)")


def _swapped(lines: Sequence[Line]) -> Iterable[Fault]:
    """Tell where every seed lies under the top of its band, and seeds and tops are usual only the other way round."""
    gaps = np.array([_figure(line, "top_cm") - _figure(line, "seed_cm") for line in lines])
    gaps = gaps[~np.isnan(gaps)]
    if gaps.size < _ENOUGH_TO_TELL or (gaps >= 0).any():
        return
    top, seed = (_median(lines, name) for name in ("top_cm", "seed_cm"))
    can_seed, can_top = _usual("seed_cm"), _usual("top_cm")
    if can_seed.holds(top) and can_top.holds(seed):
        what = (
            f"half the seeds lie deeper than {seed:g} cm and half the tops of the band shallower than {top:g} cm: these look as "
            "if the two columns had changed places; allowed: seed_cm from the track down to the seed, top_cm from the track "
            "down to the band"
        )
        yield Fault("columns seed_cm and top_cm", what)


def _median(lines: Sequence[Line], name: str) -> float:
    values = np.array([_figure(line, name) for line in lines])
    values = values[~np.isnan(values)]
    return float(np.median(values)) if values.size else float("nan")


def _can(key: str) -> Allowed:
    row = load("dig_limits")[key]
    return Allowed(row.entry("least").value, row.entry("most").value)


def _usual(key: str) -> Allowed:
    row = load("dig_limits")[key]
    return Allowed(row.entry("usual_from").value, row.entry("usual_to").value)


def _remarks(table: Table, lines: Sequence[Line], columns: Sequence[Column]) -> Iterable[str]:
    for name, key in (("top_cm", "top_median_cm"), ("seed_cm", "seed_median_cm")):
        if (middle := _median(lines, name)) < _usual(key).low:
            yield f"{name}: half the digs lie shallower than {middle:g} cm; if these are inches, write cm"
    shares = np.array([_figure(line, "surface_pct") for line in lines])
    shares = shares[~np.isnan(shares) & (shares > 0)]
    if shares.size and shares.max() <= 1 and (shares < 1).any():
        yield "surface_pct: no figure is over 1; if these are shares, write percent (0.05 is 5)"
    for column in columns:
        if column.soft is not None:
            figures = [_figure(line, column.name) for line in lines]
            yield from _outside(lines, column.name, column.soft, column.unit, figures)
    gaps = [_figure(line, "top_cm") - _figure(line, "seed_cm") for line in lines]
    yield from _outside(lines, "from the seed down to the top of the band", _usual("gap_cm"), "cm", gaps)
    if table.figures_left_out:
        yield f"{_lines_said(table.figures_left_out)}: begins with # and was left out, though it holds figures"
    idle = [line for line in table.lines if not _measured(line)]
    for line in idle:
        if line.cells.get("note"):
            name, note = line.cells.get("dig", ""), line.cells["note"]
            yield f"line {line.number}, dig {clip(name)}: nothing was measured and it was left out; noted: {clip(note)}"
    if bare := sum(not line.cells.get("note") for line in idle):
        yield f"{bare} prepared line{'s' if bare > 1 else ''} with nothing measured left out"


def _outside(lines: Sequence[Line], name: str, usual: Allowed, unit: str, figures: Sequence[float]) -> Iterable[str]:
    found = zip(lines, figures, strict=True)
    apart = [line.number for line, figure in found if not np.isnan(figure) and not usual.holds(figure)]
    if apart:
        yield f"{name}: {_lines_said(apart)} outside the usual {usual} {unit}".rstrip() + "; kept as written"


def _lines_said(numbers: Sequence[int]) -> str:
    shown = [str(number) for number in numbers[:6]]
    if len(numbers) > len(shown):
        return f"lines {', '.join(shown)} and {len(numbers) - len(shown)} more"
    return f"lines {', '.join(shown[:-1])} and {shown[-1]}" if len(shown) > 1 else f"line {shown[0]}"


def _figure(line: Line, name: str) -> float:
    value = line.values.get(name)
    return value if isinstance(value, float) else float("nan")


def _word(line: Line, name: str, otherwise: str) -> str:
    value = line.values.get(name)
    return value if isinstance(value, str) else otherwise


def _unit(line: Line, rows: int) -> int:
    row = _figure(line, "row")
    if np.isnan(row):
        return int(_figure(line, "unit"))
    return int(rows + 1 - row if line.values["direction"] == "back" else row)


def _arrays(file: str, lines: Sequence[Line], rows: int) -> Digs:
    def numbers(name: str) -> FloatArray:
        return np.array([_figure(line, name) for line in lines], float)

    def words(name: str, otherwise: str = "") -> tuple[str, ...]:
        return tuple(_word(line, name, otherwise) for line in lines)

    setting = numbers("setting")
    wheel = {"yes": 1.0, "no": 0.0, "": float("nan")}
    return Digs(
        file=file,
        lines=np.array([line.number for line in lines], np.int64),
        names=words("dig"),
        plots=words("plot"),
        passes=words("pass"),
        units=np.array([_unit(line, rows) for line in lines], np.int64),
        directions=words("direction"),
        places=words("place"),
        behind_wheel=np.array([wheel[word] for word in words("wheel")]),
        settings=np.where(np.isnan(setting), 1, setting).astype(np.int64),
        measured_from=words("measured_from", "track"),
        band_found=np.array([line.values.get("top_cm") != NO_BAND for line in lines], np.bool_),
        seed_cm=numbers("seed_cm"),
        top_cm=numbers("top_cm"),
        bottom_cm=numbers("bottom_cm"),
        width_cm=numbers("width_cm"),
        offset_cm=numbers("offset_cm"),
        surface_share=numbers("surface_pct") / 100,
    )
