"""Tables of the bucket test and of weighed loads: read with every fault named, and written empty to fill in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

from spadework.plan import Fault, PlanFaults
from spadework.quantities import QuantityError, parse
from spadework.ranges import FloatArray
from spadework.records.tables.columns import Allowed, Column, clip
from spadework.records.tables.reader import Line, Table, column_place, read_table
from spadework.science.machinery.dose.bucket import outlet_flow

__all__ = ["COLUMNS", "LARGEST_FLOW_M3_MIN", "Catches", "Loads", "read_area", "read_catches", "read_loads", "template"]

LARGEST_FLOW_M3_MIN: Final = 20.0
"""No slurry pump of a field outfit gives more; beyond it litres or seconds were misread."""

_MOST_OUTLETS: Final = 200
_MOST_T_HA: Final = 500.0
_AREA = Allowed(0, 1_000, above=True)


def _name(name: str, meaning: str) -> Column:
    return Column(name, meaning, "text", needed=True, filled=True)


def _figure(name: str, meaning: str, unit: str, hard: Allowed) -> Column:
    return Column(name, meaning, "number", unit, hard, needed=True, filled=True)


COLUMNS: Final[Mapping[str, tuple[Column, ...]]] = {
    "bucket": (
        _name("outlet", "name or number of the outlet; repeats of one outlet become their mean"),
        _figure("litres", "what its bucket caught", "L", Allowed(0, 2_000)),
        _figure("seconds", "how long the bucket stood under it", "s", Allowed(0, 600, above=True)),
    ),
    "loads": (
        _name("load", "name or number of the load"),
        _figure("full_t", "mass before it was spread", "t", Allowed(0, 100, above=True)),
        _figure("empty_t", "mass after it was spread", "t", Allowed(0, 100)),
        _figure("area_ha", "area on which it was spread", "ha", _AREA),
    ),
}
"""Columns of each table.  Further columns are left alone."""


@dataclass(frozen=True)
class Catches:
    """What the buckets caught, outlet by outlet; repeats of an outlet are means.

    Attributes
    ----------
    file : str
        Where it was read.
    outlets : tuple of str
        Names or numbers of the outlets.
    caught_l, time_s : FloatArray
        Litres and seconds of each.
    """

    file: str
    outlets: tuple[str, ...]
    caught_l: FloatArray
    time_s: FloatArray


@dataclass(frozen=True)
class Loads:
    """Loads weighed before and after, in the order of the file.

    Attributes
    ----------
    file : str
        Where it was read.
    loads : tuple of str
        Names or numbers of the loads.
    full_t, empty_t : FloatArray
        Mass before and after [t].
    area_ha : FloatArray
        Area of each load [ha]; of all together where it has length one and there are more loads.
    """

    file: str
    loads: tuple[str, ...]
    full_t: FloatArray
    empty_t: FloatArray
    area_ha: FloatArray


def read_catches(path: Path) -> Catches:
    """Read what the buckets caught: outlet, litres, seconds; lines of one outlet are repeats and become their mean.

    Raises
    ------
    PlanFaults
        With every fault of the file, by line and column.
    """
    lines = _sound(read_table(path, COLUMNS["bucket"]))
    found: dict[str, list[Line]] = {}
    faults = []
    for line in lines:
        litres, seconds = _of(line, "litres"), _of(line, "seconds")
        flow = float(outlet_flow(litres, seconds))
        if flow > LARGEST_FLOW_M3_MIN:
            what = f"{litres:g} L in {seconds:g} s is {flow:.3g} m3/min from one outlet"
            faults.append(
                Fault("columns litres and seconds", f"{what}; allowed: up to {LARGEST_FLOW_M3_MIN:g}", line.number)
            )
        found.setdefault(str(line.values["outlet"]), []).append(line)
    if not 2 <= len(found) <= _MOST_OUTLETS:
        what = f"{len(found)} outlet{'s' if len(found) > 1 else ''}; allowed: 2 to {_MOST_OUTLETS}"
        faults.append(Fault(column_place("outlet"), what))
    if faults:
        raise PlanFaults(faults, path.name)
    means = [[np.mean([_of(line, c) for line in of]) for of in found.values()] for c in ("litres", "seconds")]
    return Catches(path.name, tuple(found), np.array(means[0]), np.array(means[1]))


def read_loads(path: Path, area_ha: float | None = None) -> Loads:
    """Read weighed loads: load, full_t, empty_t and, unless `area_ha` is that of all together, area_ha.

    Raises
    ------
    PlanFaults
        With every fault of the file, by line and column.
    """
    columns = COLUMNS["loads"] if area_ha is None else COLUMNS["loads"][:-1]
    or_area = {"area_ha": "; or give --area, of all loads together"}
    table = read_table(path, columns, if_missing=or_area)
    twice = [
        Fault(
            column_place("area_ha"), "holds an area, and --area is given as well; allowed: one of the two", line.number
        )
        for line in table.lines
        if area_ha is not None and line.cells.get("area_ha")
    ]
    lines = _sound(table, *twice)
    faults = []
    seen: dict[str, int] = {}
    for line in lines:
        full, empty, name = _of(line, "full_t"), _of(line, "empty_t"), str(line.values["load"])
        if empty >= full:
            what = f"{empty:g} t empty is not less than {full:g} t full; allowed: less than full_t"
            faults.append(Fault(column_place("empty_t"), what, line.number))
        if name in seen:
            what = f'"{name}" stands in line {seen[name]} already; allowed: each load once'
            faults.append(Fault(column_place("load"), what, line.number))
        seen.setdefault(name, line.number)
        if area_ha is None and (full - empty) / _of(line, "area_ha") > _MOST_T_HA:
            what = _too_much(full - empty, _of(line, "area_ha"))
            faults.append(Fault(column_place("area_ha"), what, line.number))
    whole = sum(_of(line, "full_t") - _of(line, "empty_t") for line in lines)
    if area_ha is not None and whole / area_ha > _MOST_T_HA:
        faults.append(Fault("--area", _too_much(whole, area_ha)))
    if faults:
        raise PlanFaults(faults, path.name)
    full_t, empty_t = (np.array([_of(line, c) for line in lines]) for c in ("full_t", "empty_t"))
    areas = [_of(line, "area_ha") for line in lines] if area_ha is None else [area_ha]
    return Loads(path.name, tuple(str(line.values["load"]) for line in lines), full_t, empty_t, np.array(areas))


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
    try:
        value = parse(text, "ha").value
    except QuantityError as error:
        raise PlanFaults([Fault("--area", str(error))], "the command") from None
    if not _AREA.holds(value):
        raise PlanFaults([Fault("--area", f'"{clip(text)}" cannot be; allowed: {_AREA} ha')], "the command")
    return value


def template(which: str) -> str:
    r"""Return the columns of a table as the text of an empty file.

    Examples
    --------
    >>> template("bucket")
    'outlet;litres;seconds\n'
    """
    return ";".join(column.name for column in COLUMNS[which]) + "\n"


def _sound(table: Table, *further: Fault) -> tuple[Line, ...]:
    if table.faults or further:
        raise PlanFaults([*table.faults, *further], table.file)
    return table.lines


def _of(line: Line, column: str) -> float:
    value = line.values[column]
    assert isinstance(value, float)  # noqa: S101 (a column of figures that each line must fill)
    return value


def _too_much(mass_t: float, area_ha: float) -> str:
    return f"{mass_t:g} t on {area_ha:g} ha is {mass_t / area_ha:.0f} t/ha; allowed: up to {_MOST_T_HA:g} t/ha"
