"""A position log in a CSV whose columns a small TOML file declares: name, unit, and the word for tools that are down."""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from spadework.exchange.position_points import Points
from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.plan.lines import line_of, lines_of_keys
from spadework.quantities import QuantityError, parse
from spadework.records.tables.columns import clip
from spadework.records.tables.reader import column_place

__all__ = ["CLOCK", "COLUMNS", "csv_points"]

CLOCK: Final = "clock"
"""Unit of times that are written as date and time of day."""
COLUMNS: Final[Mapping[str, str]] = {
    "time": "s",
    "latitude": "deg",
    "longitude": "deg",
    "speed": "m/s",
    "course": "deg",
    "fix": "",
    "tools": "",
}
"""What a log can hold, with the unit that it is turned into."""
_NEEDED: Final = ("time", "latitude", "longitude")
_LARGEST_TOML: Final = 200_000
_MOST_LINES: Final = 500_001
_MOST_FAULTS: Final = 8
_EXAMPLE: Final = '{ name = "v", unit = "km/h" }'


@dataclass(frozen=True)
class _Said:
    name: str
    factor: float
    clock: bool = False
    down: str = ""


def csv_points(data: bytes, name: str, columns: Path) -> Points:
    """Return the positions of a CSV.

    Parameters
    ----------
    data : bytes
        Content of the file: UTF-8, its cells parted by semicolons, tabs or commas; the first line names the columns.
    name : str
        Its name, for messages.
    columns : Path
        TOML file with a table ``[column]``.

    Raises
    ------
    PlanFaults
        With every fault of the TOML file, or of the CSV.
    """
    said = _said(columns)
    numbers, rows, comma = _rows(data, name)
    head = [cell.strip().lower() for cell in rows[0]]
    faults = [
        Fault(column_place(clip(one.name)), f"for {what} is not there{nearest(one.name, head)}", numbers[0])
        for what, one in said.items()
        if one.name not in head
    ]
    faults += [
        Fault(column_place(clip(one)), "stands twice; allowed: once", numbers[0])
        for one in dict.fromkeys(head)
        if one and head.count(one) > 1
    ]
    short = [n for n, row in zip(numbers, rows, strict=True) if len(row) != len(head)]
    faults += [Fault("", f"has another number of cells than the {len(head)} columns", n) for n in short[:_MOST_FAULTS]]
    if faults:
        raise PlanFaults(faults, name)
    found: dict[str, list[float]] = {}
    for what, one in said.items():
        place = head.index(one.name)
        cells = [row[place].strip() for row in rows[1:]]
        if what == "tools":
            found[what] = [math.nan if not cell else float(cell.lower() == one.down) for cell in cells]
            if cells and not any(value == 1 for value in found[what]):
                faults.append(Fault(column_place(one.name), f'never says "{clip(one.down)}", the word for down'))
        else:
            found[what], wrong = _numbers(one, cells, numbers[1:], comma)
            faults += wrong
    if faults:
        raise PlanFaults(faults, name)
    points = Points(dated=said["time"].clock)
    nothing = [math.nan] * (len(rows) - 1)
    for time, north, east, speed, course, fix, tools in zip(
        *(found.get(what, nothing) for what in COLUMNS), strict=True
    ):
        points.add(
            time, north, east, speed=speed, course=course, fix=int(fix) if math.isfinite(fix) else -1, tools=tools
        )
    return points


def _said(path: Path) -> dict[str, _Said]:
    try:
        data = path.read_bytes()
        if len(data) > _LARGEST_TOML:
            raise PlanFaults([Fault("", f"is too large; allowed: up to {_LARGEST_TOML // 1000} kB")], path.name)
        text = data.decode("utf-8-sig").replace("\r\n", "\n")
        raw = tomllib.loads(text)
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as error:
        what = getattr(error, "strerror", None) or str(error)
        raise PlanFaults([Fault("", f"cannot be read ({clip(str(what))})")], clip(str(path))) from None
    lines, faults = lines_of_keys(text), list[Fault]()

    def fault(key: str, what: str, *place: str | int) -> None:
        faults.append(Fault(clip(key), what, line_of(place or (key,), lines)))

    for key in raw:
        if key != "column":
            fault(key, "is not known; allowed: column")
    table = raw.get("column")
    if not isinstance(table, dict):
        fault("column", f"is missing; say for each of {', '.join(COLUMNS)} that the log has: name and unit")
        raise PlanFaults(faults, path.name)
    found = {}
    for what, one in table.items():
        if what not in COLUMNS:
            more = nearest(what, COLUMNS) or f"; allowed: {', '.join(COLUMNS)}"
            fault(f"column.{what}", f"is not known{more}", "column", what)
            continue
        read = _column(what, one)
        if isinstance(read, str):
            fault(f"column.{what}", read, "column", what)
        else:
            found[what] = read
    for what in _NEEDED:
        if what not in table:
            fault(f"column.{what}", "is missing; a log without it cannot be timed", "column")
    if faults:
        raise PlanFaults(faults, path.name)
    return found


def _column(what: str, said: Any) -> _Said | str:
    """Return what a column is, or what is wrong."""
    if not isinstance(said, dict) or not isinstance(said.get("name"), str) or not said["name"].strip():
        return f"needs the name of the column, such as {_EXAMPLE}"
    name, unit = said["name"].strip().lower(), said.get("unit", "")
    extra = [key for key in said if key not in ("name", "unit", "down")]
    if extra:
        return f"has {clip(extra[0])}; allowed: name, unit, and down for the tools"
    if what == "tools":
        if "down" not in said:
            return 'needs the word that stands in the log while the tools are down, such as down = "1"'
        return _Said(name, 1.0, down=str(said["down"]).strip().lower())
    if what in ("latitude", "longitude", "course"):
        return _Said(name, 1.0) if unit in ("", "deg") else 'needs unit = "deg", degrees with decimals'
    if what == "fix":
        return _Said(name, 1.0)
    if what == "time" and unit == CLOCK:
        return _Said(name, 1.0, clock=True)
    try:
        return _Said(name, parse(f"1 {unit}".strip(), COLUMNS[what]).value)
    except QuantityError as error:
        more = f', or "{CLOCK}" for date and time' if what == "time" else ""
        return f"unit: {error}{more}"


def _rows(data: bytes, name: str) -> tuple[list[int], list[list[str]], bool]:
    """Return line numbers, cells, and whether a comma can stand for a decimal point."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise PlanFaults([Fault("", "is not UTF-8 text; save it as CSV in UTF-8")], name) from None
    body = [
        (n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip(' \t;,"') and not line.startswith("#")
    ]
    if len(body) < 2:  # noqa: PLR2004 RUF100 (columns and one record)
        raise PlanFaults([Fault("", "holds no records; allowed: a line of columns and records under it")], name)
    if len(body) > _MOST_LINES:
        what = f"has {len(body)} lines; allowed: up to {_MOST_LINES}; cut it by field"
        raise PlanFaults([Fault("", what)], name)
    mark = next((m for m in ";\t" if m in body[0][1]), ",")
    try:
        rows = list(csv.reader(io.StringIO("\n".join(line for _, line in body)), delimiter=mark, strict=True))
    except csv.Error as error:
        raise PlanFaults([Fault("", f"cannot be cut into cells ({error})")], name) from None
    if len(rows) != len(body):
        what = "has a quoted cell that runs over several lines; allowed: each record on a line"
        raise PlanFaults([Fault("", what)], name)
    return [n for n, _ in body], rows, mark != ","


def _numbers(one: _Said, cells: Sequence[str], lines: Sequence[int], comma: bool) -> tuple[list[float], list[Fault]]:
    found, wrong = [], []
    for line, cell in zip(lines, cells, strict=True):
        value = math.nan
        if cell:
            try:
                value = _clock(cell) if one.clock else float(cell.replace(",", ".") if comma else cell) * one.factor
                if math.isinf(value):
                    raise ValueError
            except (ValueError, OverflowError):
                value = math.nan
                wrong.append((line, f'"{clip(cell)}" is no {"date and time" if one.clock else "number"}'))
        found.append(value)
    faults = [Fault(column_place(one.name), what, line) for line, what in wrong[:_MOST_FAULTS]]
    if len(wrong) > _MOST_FAULTS:
        faults.append(Fault(column_place(one.name), f"and {len(wrong) - _MOST_FAULTS} more like these"))
    return found, faults


def _clock(cell: str) -> float:
    read = dt.datetime.fromisoformat(cell)
    return (read if read.tzinfo else read.replace(tzinfo=dt.UTC)).timestamp()
