"""Reads an hourly weather file, of any layout, into a table of hours in UTC; what is missing stays missing."""

from __future__ import annotations

import csv
import stat
from collections.abc import Sequence
from functools import lru_cache
from typing import Final

import numpy as np

from spadework.plan.faults import nearest
from spadework.plan.weather.layouts import HOUSE, Mapped, map_columns
from spadework.plan.weather.table import (
    HOUR,
    Asked,
    Hourly,
    Placed,
    Rows,
    WeatherFault,
    in_order,
    names_of,
    stop,
    values_of,
)
from spadework.plan.weather.times import in_utc, time_reader, zone_of
from spadework.plan.weather.typical import by_epw, by_tmy

__all__ = ["read_hourly"]

_LARGEST: Final = 50_000_000
_HEAD_WITHIN: Final = 60


def read_hourly(asked: Asked) -> Hourly:
    """Read an hourly file; read again only when it has changed.

    Raises
    ------
    WeatherFault
        Where the file cannot be read, has other columns, or holds lines that are no hours.
    """
    try:
        about = asked.path.stat()
        if not stat.S_ISREG(about.st_mode):
            raise WeatherFault([("", f"the weather file {asked.name} is no file that holds text")])
        if about.st_size > _LARGEST:
            raise WeatherFault([("", f"the weather file {asked.name} is too large; cut out the season")])
        return _read(asked, about.st_mtime_ns, about.st_size)
    except FileNotFoundError:
        what = f"there is no weather file {asked.name} beside the plan"
    except OSError as error:
        what = f"the weather file {asked.name} cannot be read ({error.strerror or error})"
    except WeatherFault:
        raise
    except ValueError as error:
        what = f"the weather file {asked.name} cannot be read ({error})"
    raise WeatherFault([("", what)])


@lru_cache(maxsize=8)
def _read(asked: Asked, _changed: int, _size: int) -> Hourly:
    lines = _text(asked).replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return {"columns": _by_columns, "epw": by_epw, "tmy": by_tmy}[asked.layout](asked, lines)


def _text(asked: Asked) -> str:
    raw = asked.path.read_bytes()
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise WeatherFault([("", f"the weather file {asked.name} is UTF-16 text; save it as UTF-8")])
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        what = (
            f"the weather file {asked.name} is not UTF-8 text: line {line} holds a character of another table, Latin-1 "
            "perhaps; which one is not guessed, so save the file as UTF-8"
        )
        raise WeatherFault([("", what)]) from None


def _by_columns(asked: Asked, lines: Sequence[str]) -> Hourly:
    said = dict(HOUSE if asked.columns is None else asked.columns)
    mapped, _ = map_columns(said, asked.needed)
    numbered = [(i, line) for i, line in enumerate(lines, 1) if not line.startswith("#") and line.strip(" ;,\t")]
    if not numbered:
        raise WeatherFault([("", f"the weather file {asked.name} holds no lines")])
    at_line, separator = _head(numbered, {*mapped.times, *(column.name for column in mapped.columns)})
    head = names_of(numbered[at_line][1], separator)
    places = _places(asked, mapped, head)
    rows = _rows(asked, head, numbered[at_line + 1 :], separator)
    at = [places[name] for name in mapped.times]
    one, clock = at[0], time_reader(mapped.pattern)
    try:
        times = [clock(cells[one]) for cells in rows.cells] if len(at) == 1 else []
        times += [clock(" ".join(cells[i].strip() for i in at)) for cells in rows.cells] if len(at) > 1 else []
    except ValueError:
        raise stop(asked, _no_times(rows, at, mapped.pattern)) from None
    seconds, wrong = in_utc(times, zone_of(asked.zone) if asked.zone else None)
    if wrong:
        hint = "" if asked.zone else '; or name the zone of the file, e.g. zone = "Europe/Berlin"'
        raise stop(asked, [(rows.lines[i], what + hint) for i, what in wrong.items()])
    back = HOUR if asked.stamp == "end" else 0
    starts = np.array(seconds, dtype=np.int64) - back
    columns = [Placed(column, places[column.name]) for column in mapped.columns if column.name in places]
    values, strange = values_of(asked, rows, columns)
    names = {placed.column.holds: placed.column.name for placed in columns}
    return in_order(asked, Hourly(starts, np.array(rows.lines, dtype=np.int64), values, names, strange))


def _no_times(rows: Rows, at: Sequence[int], pattern: str) -> list[tuple[int, str]]:
    clock, found = time_reader(pattern), []
    for line, cells in zip(rows.lines, rows.cells, strict=True):
        try:
            clock(" ".join(cells[i].strip() for i in at))
        except ValueError as error:
            found.append((line, str(error)))
    return found


def _head(numbered: Sequence[tuple[int, str]], wanted: set[str]) -> tuple[int, str]:
    """Return the line that names most of the columns wanted, the first of them where there are several, and its separator."""
    best, place, separator = 0, 0, ","
    for sign in ",;\t":
        for i, (_, line) in enumerate(numbered[:_HEAD_WITHIN]):
            found = len(wanted & set(names_of(line, sign)))
            if found > best:
                best, place, separator = found, i, sign
    return place, separator


def _rows(asked: Asked, head: Sequence[str], below: Sequence[tuple[int, str]], separator: str) -> Rows:
    """Take the lines below the head apart."""
    rows = Rows(head)
    width = len(head)
    long: list[tuple[int, str]] = []
    help_ = "; numbers with a decimal comma need another sign between the cells" if separator == "," else ""
    reader = csv.reader([line for _, line in below], delimiter=separator, strict=True, skipinitialspace=True)
    try:
        for cells in reader:
            number = below[reader.line_num - 1][0]
            if len(cells) != width:
                if any(cell.strip() for cell in cells[width:]):
                    long.append((number, f"has {len(cells)} cells under {width} names{help_}"))
                cells += [""] * (width - len(cells))
            rows.cells.append(cells)
            rows.lines.append(number)
    except csv.Error as error:
        number = below[min(reader.line_num, len(below)) - 1][0]
        raise stop(asked, [(number, f"a quote that opens is not closed, or a cell is endless ({error})")]) from None
    if long:
        raise stop(asked, long)
    return rows


def _places(asked: Asked, mapped: Mapped, head: Sequence[str]) -> dict[str, int]:
    """Return where each column stands, or raise with all that are missing or stand twice."""
    wanted = [*mapped.times, *(column.name for column in mapped.columns)]
    may_miss = {c.name for c in mapped.columns if asked.columns is None and c.quant.key not in asked.needed}
    shown = ", ".join(name for name in head[:12] if name)[:200]
    missing = [name for name in wanted if name not in head and name not in may_miss]
    found = []
    if missing and asked.columns is None:
        what = f"has no column {', '.join(missing)}; its head is: {shown}; say under [weather.columns] what they hold"
        found = [("", f"the weather file {asked.name} {what}")]
    elif missing:
        known = {name: nearest(name, [n for n in head if n]) or f"; its head is: {shown}" for name in missing}
        found = [(name, f'the weather file {asked.name} has no column "{name}"{known[name]}') for name in missing]
    twice = [name for name in wanted if head.count(name) > 1]
    found += [(name, f'the weather file {asked.name} has two columns "{name}"; rename one of them') for name in twice]
    if found:
        raise WeatherFault(found)
    return {name: head.index(name) for name in wanted if name in head}
