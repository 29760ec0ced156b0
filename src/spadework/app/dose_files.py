"""Files of the bucket test and of weighed loads: read with every fault named, and written empty to fill in."""

from __future__ import annotations

import csv
import io
import os
import re
import stat
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

from spadework.plan import Fault, PlanFaults
from spadework.present.dose_found import LARGEST_FLOW_M3_MIN, Catches, Loads
from spadework.present.files import write_text
from spadework.quantities import QuantityError, parse
from spadework.science.machinery.bucket import outlet_flow

__all__ = ["COLUMNS", "read_area", "read_catches", "read_loads", "write_template"]

COLUMNS: Final[Mapping[str, tuple[str, ...]]] = {
    "bucket": ("outlet", "litres", "seconds"),
    "loads": ("load", "full_t", "empty_t", "area_ha"),
}
"""Columns of each file; the first names, the others are numbers.  Further columns are left alone."""

_LARGEST_FILE: Final = 1_000_000
_MOST_LINES: Final = 2_000
_MOST_OUTLETS: Final = 200
_MOST_T_HA: Final = 500.0
_NAME: Final = 12
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)")
_TWO_WAYS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")


@dataclass(frozen=True, slots=True)
class _Allowed:
    low: float
    high: float
    unit: str
    above: bool = False

    def __str__(self) -> str:
        return f"{'more than ' if self.above else ''}{self.low:g} to {self.high:g} {self.unit}"


_ALLOWED: Final = {
    "litres": _Allowed(0, 2_000, "L"),
    "seconds": _Allowed(0, 600, "s", above=True),
    "full_t": _Allowed(0, 100, "t", above=True),
    "empty_t": _Allowed(0, 100, "t"),
    "area_ha": _Allowed(0, 1_000, "ha", above=True),
}


@dataclass(frozen=True, slots=True)
class _Line:
    number: int
    name: str
    values: Mapping[str, float]


def read_catches(path: Path) -> Catches:
    """Read what the buckets caught: outlet, litres, seconds; lines of one outlet are repeats and become their mean.

    Raises
    ------
    PlanFaults
        With every fault of the file, by line and column.
    """
    lines = _read(path, COLUMNS["bucket"], ())
    found: dict[str, list[_Line]] = {}
    faults = []
    for line in lines:
        flow = float(outlet_flow(line.values["litres"], line.values["seconds"]))
        if flow > LARGEST_FLOW_M3_MIN:
            what = f"{line.values['litres']:g} L in {line.values['seconds']:g} s is {flow:.3g} m3/min from one outlet"
            faults.append(
                Fault("columns litres and seconds", f"{what}; allowed: up to {LARGEST_FLOW_M3_MIN:g}", line.number)
            )
        found.setdefault(line.name, []).append(line)
    if not 2 <= len(found) <= _MOST_OUTLETS:
        what = f"{len(found)} outlet{'s' if len(found) > 1 else ''}; allowed: 2 to {_MOST_OUTLETS}"
        faults.append(Fault("column outlet", what))
    if faults:
        raise PlanFaults(faults, path.name)
    means = [[np.mean([line.values[c] for line in of]) for of in found.values()] for c in ("litres", "seconds")]
    return Catches(path.name, tuple(found), np.array(means[0]), np.array(means[1]))


def read_loads(path: Path, area_ha: float | None = None) -> Loads:
    """Read weighed loads: load, full_t, empty_t and, unless `area_ha` is that of all together, area_ha.

    Raises
    ------
    PlanFaults
        With every fault of the file, by line and column.
    """
    columns = COLUMNS["loads"] if area_ha is None else COLUMNS["loads"][:-1]
    lines = _read(path, columns, COLUMNS["loads"][-1:] if area_ha is not None else ())
    faults = []
    seen: dict[str, int] = {}
    for line in lines:
        full, empty = line.values["full_t"], line.values["empty_t"]
        if empty >= full:
            what = f"{empty:g} t empty is not less than {full:g} t full; allowed: less than full_t"
            faults.append(Fault("column empty_t", what, line.number))
        if line.name in seen:
            what = f'"{line.name}" stands in line {seen[line.name]} already; allowed: each load once'
            faults.append(Fault("column load", what, line.number))
        seen.setdefault(line.name, line.number)
        if area_ha is None and (full - empty) / line.values["area_ha"] > _MOST_T_HA:
            faults.append(Fault("column area_ha", _too_much(full - empty, line.values["area_ha"]), line.number))
    whole = sum(line.values["full_t"] - line.values["empty_t"] for line in lines)
    if area_ha is not None and whole / area_ha > _MOST_T_HA:
        faults.append(Fault("--area", _too_much(whole, area_ha)))
    if faults:
        raise PlanFaults(faults, path.name)
    full_t, empty_t = (np.array([line.values[c] for line in lines]) for c in ("full_t", "empty_t"))
    areas = [line.values["area_ha"] for line in lines] if area_ha is None else [area_ha]
    return Loads(path.name, tuple(line.name for line in lines), full_t, empty_t, np.array(areas))


def read_area(text: str) -> float:
    """Return an area such as ``"1.2 ha"`` in hectares.

    Raises
    ------
    PlanFaults
        If it is none, or impossible.

    Examples
    --------
    >>> read_area("12000 m2")
    1.2
    """
    allowed = _ALLOWED["area_ha"]
    try:
        value = parse(text, "ha").value
    except QuantityError as error:
        raise PlanFaults([Fault("--area", str(error))], "the command") from None
    if not allowed.low < value <= allowed.high:
        raise PlanFaults([Fault("--area", f'"{text[:60]}" cannot be; allowed: {allowed}')], "the command")
    return value


def write_template(folder: Path, which: str) -> Path:
    """Write an empty file with the columns of `which`, and return its path; nothing is overwritten."""
    path = folder / f"{which}.csv"
    if os.path.lexists(path):
        raise PlanFaults([Fault("", "is there already; nothing was written. Move it away first")], str(path))
    return write_text(path, ";".join(COLUMNS[which]) + "\n")


def _read(path: Path, needed: tuple[str, ...], refused: tuple[str, ...]) -> list[_Line]:
    rows = _rows(path)
    if not rows:
        raise PlanFaults(
            [Fault("", f"holds nothing; allowed: a line of columns ({', '.join(needed)}) and figures")], path.name
        )
    at, head = rows[0]
    names = [cell.strip().lower() for cell in head]
    faults = [
        Fault(f"column {name}", f"is missing; the first line must name the columns {', '.join(needed)}{_or(name)}", at)
        for name in needed
        if name not in names
    ]
    faults += [Fault(f"column {name}", "stands twice; allowed: once", at) for name in needed if names.count(name) > 1]
    if not faults and len(rows) == 1:
        faults.append(Fault("", "holds columns but no figures; allowed: one line or more under them", at))
    if faults:
        raise PlanFaults(faults, path.name)
    lines = []
    for number, cells in rows[1:]:
        if len(cells) != len(names):
            what = f"{len(cells)} cells, but {len(names)} columns; decimal commas need semicolons between the cells"
            faults.append(Fault("", what, number))
            continue
        by_name = dict(zip(names, (cell.strip() for cell in cells), strict=True))
        name = by_name[needed[0]]
        if not 0 < len(name) <= _NAME or not name.isprintable():
            what = f'"{_clip(name)}" is no name; allowed: 1 to {_NAME} characters that can be printed'
            faults.append(Fault(f"column {needed[0]}", what, number))
        values = {}
        for column in needed[1:]:
            read = _number(by_name[column], _ALLOWED[column])
            if isinstance(read, str):
                faults.append(Fault(f"column {column}", read, number))
            else:
                values[column] = read
        faults += [
            Fault(f"column {column}", "holds an area, and --area is given as well; allowed: one of the two", number)
            for column in refused
            if by_name.get(column)
        ]
        lines.append(_Line(number, name, values))
    if faults:
        raise PlanFaults(faults, path.name)
    return lines


def _too_much(mass_t: float, area_ha: float) -> str:
    return f"{mass_t:g} t on {area_ha:g} ha is {mass_t / area_ha:.0f} t/ha; allowed: up to {_MOST_T_HA:g} t/ha"


def _or(column: str) -> str:
    return "; or give --area, of all loads together" if column == "area_ha" else ""


def _number(cell: str, allowed: _Allowed) -> float | str:
    """Return the number in a cell, or what is wrong with it."""
    if not cell:
        return f"is empty; allowed: {allowed}"
    if len(cell) > 30 or not _NUMBER.fullmatch(cell):
        return f'"{_clip(cell)}" is no number; allowed: {allowed}, without the unit'
    if _TWO_WAYS.fullmatch(cell):
        return f'"{cell}" can be read in two ways; write {cell.replace(",", "")} or {cell.replace(",", ".")}'
    value = float(cell.replace(",", "."))
    if not allowed.low <= value <= allowed.high or (allowed.above and value == allowed.low):
        return f"{cell} cannot be; allowed: {allowed}"
    return value


def _rows(path: Path) -> list[tuple[int, list[str]]]:
    """Return the lines that hold anything, with their numbers, cut at semicolons, else tabs, else commas."""
    text = _text(path)
    numbered = [(n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip(" \t;,") and line[0] != "#"]
    if not numbered:
        return []
    if len(numbered) > _MOST_LINES:
        raise PlanFaults([Fault("", f"has {len(numbered)} lines; allowed: up to {_MOST_LINES}")], path.name)
    mark = next((m for m in ";\t" if m in numbered[0][1]), ",")
    rows = []
    for number, line in numbered:
        try:
            rows.append((number, next(csv.reader(io.StringIO(line), delimiter=mark, strict=True))))
        except csv.Error as error:
            raise PlanFaults([Fault("", f"cannot be cut into cells ({error})", number)], path.name) from None
    return rows


def _text(path: Path) -> str:
    try:
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):
            what = "is no file that holds text; name a CSV file"
        elif about.st_size > _LARGEST_FILE:
            what = f"is too large; allowed: up to {_LARGEST_FILE // 1000} kB"
        else:
            return path.read_text("utf-8-sig")
    except FileNotFoundError:
        what = "there is no such file; --template writes one to fill in"
    except UnicodeDecodeError:
        what = "is not UTF-8 text; save it as CSV in UTF-8"
    except (OSError, ValueError) as error:
        what = f"cannot be read ({getattr(error, 'strerror', None) or error})"
    raise PlanFaults([Fault("", what)], _clip(str(path)))


def _clip(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."
