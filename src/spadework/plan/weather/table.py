"""The table that every layout of weather file is read into: hours in UTC, numbers in the units they are kept in."""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from spadework.plan.weather.layouts import NEEDED, Column, limits_of
from spadework.ranges import FloatArray

__all__ = [
    "HOUR",
    "Asked",
    "HeadPlace",
    "Hourly",
    "Placed",
    "Rows",
    "WeatherFault",
    "in_order",
    "names_of",
    "stop",
    "values_of",
]

HOUR: Final = 3600
"""Seconds."""

Holds = tuple[str, float | None]
"""A quantity by its key in the table of limits; for the soil with the depth in cm."""

_MOST_SAID: Final = 5


class WeatherFault(ValueError):  # noqa: N818 (it may hold several)
    """What is wrong with a weather file: pairs of the name of a column, or nothing, and what to say."""

    def __init__(self, faults: Sequence[tuple[str, str]]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(what for _, what in faults))


@dataclass(frozen=True, slots=True)
class Asked:
    """A file and how to read it.

    Attributes
    ----------
    path : Path
        The file.
    name : str
        What the plan calls it.
    layout : {"columns", "epw", "tmy"}
        Its layout.
    zone : str or None
        Zone of times that carry none.
    stamp : {"start", "end"}
        Which end of the hour a time marks.
    columns : tuple of pairs, or None
        Name in the file and ``quantity, unit``; None for the names of the house.
    needed : tuple of str
        Quantities that must be there.
    missing : tuple of str
        What stands in the file where a value is missing.
    year : int
        The year on which a typical year is laid.
    """

    path: Path
    name: str
    layout: Literal["columns", "epw", "tmy"] = "columns"
    zone: str | None = None
    stamp: Literal["start", "end"] = "start"
    columns: tuple[tuple[str, str], ...] | None = None
    needed: tuple[str, ...] = NEEDED
    missing: tuple[str, ...] = ()
    year: int = 2000


@dataclass(frozen=True, slots=True)
class HeadPlace:
    """Where the head of a file says that its weather was measured; not-a-number where it does not say it.

    Attributes
    ----------
    latitude_deg : float
        North positive.
    altitude_m : float
        Above the sea.
    """

    latitude_deg: float = np.nan
    altitude_m: float = np.nan


@dataclass(frozen=True, eq=False)
class Hourly:
    """Hours of weather in order of time.

    Attributes
    ----------
    seconds : ndarray of int
        Start of each hour, in seconds from the start of 1970 in UTC.
    lines : ndarray of int
        Line of the file.
    values : mapping
        Numbers by what they are; NaN where the file has none.
    names : mapping
        Name of the column by what it holds.
    wrong : mapping
        What is wrong with a value, by line and what it is.
    typical : bool
        Whether it is a typical year, laid on the years around that of the plan.
    place : HeadPlace
        What the head of the file says of the place.
    """

    seconds: NDArray[np.int64]
    lines: NDArray[np.int64]
    values: Mapping[Holds, FloatArray]
    names: Mapping[Holds, str]
    wrong: Mapping[tuple[int, Holds], str]
    typical: bool = False
    place: HeadPlace = HeadPlace()


@dataclass(frozen=True, slots=True)
class Placed:
    """A column, where it stands in a line, and the number from which on a value is missing."""

    column: Column
    place: int
    missing: float = np.inf


@dataclass(frozen=True)
class Rows:
    """Cells of the lines that hold hours, and the number of each line."""

    head: Sequence[str]
    cells: list[list[str]] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)


def stop(asked: Asked, found: Sequence[tuple[int, str]]) -> WeatherFault:
    """Return the fault of lines that cannot be read: the first few, and how many more."""
    said = [("", f"the weather file {asked.name}, line {line}: {what}") for line, what in found[:_MOST_SAID]]
    if (more := len(found) - len(said)) > 0:
        said[-1] = ("", f"{said[-1][1]}; and so on in {more} more line{'' if more == 1 else 's'}")
    return WeatherFault(said)


def names_of(line: str, separator: str) -> list[str]:
    """Return the cells of a line without blanks around them, none where it cannot be taken apart."""
    try:
        cells = next(csv.reader([line], delimiter=separator, skipinitialspace=True), [])
    except csv.Error:
        return []
    return [" ".join(cell.split()) for cell in cells]


def values_of(
    asked: Asked, rows: Rows, columns: Sequence[Placed]
) -> tuple[dict[Holds, FloatArray], dict[tuple[int, Holds], str]]:
    """Return the numbers of each column, NaN for what is missing or wrong, and what is wrong, by line."""
    values: dict[Holds, FloatArray] = {}
    wrong: dict[tuple[int, Holds], str] = {}
    for placed in columns:
        column = placed.column
        raw = [cells[placed.place] for cells in rows.cells]
        numbers, strange = _numbers(raw, asked.missing)
        numbers[numbers >= placed.missing] = np.nan
        kept = column.scale * numbers + column.offset
        low, high = limits_of(column.quant)
        for i in np.flatnonzero((kept < low) | (kept > high)).tolist():
            strange[i] = f"is {raw[i].strip()}{_can_be(column, low, high)}"
        kept[list(strange)] = np.nan
        values[column.holds] = kept
        for i, what in strange.items():
            wrong[rows.lines[i], column.holds] = (
                f"the weather file {asked.name}, line {rows.lines[i]}: {column.name} {what}"
            )
    return values, wrong


def in_order(asked: Asked, table: Hourly) -> Hourly:
    """Return a table with its hours in order of time, or raise where they overlap."""
    order = np.argsort(table.seconds, kind="stable")
    seconds, lines = table.seconds[order], table.lines[order]
    values = {holds: numbers[order] for holds, numbers in table.values.items()}
    for i in np.flatnonzero(np.diff(seconds) < HOUR)[:1]:
        when, apart = dt.datetime.fromtimestamp(int(seconds[i]), dt.UTC), int(seconds[i + 1] - seconds[i])
        if apart:
            what = f"begins {apart / 60:g} min after line {lines[i]}; one line an hour is needed"
        else:
            what = f"the hour from {when:%Y-%m-%d %H:%M} UTC stands in line {lines[i]} already"
        raise stop(asked, [(int(lines[i + 1]), what)])
    for array in (seconds, lines, *values.values()):
        array.setflags(write=False)
    return replace(table, seconds=seconds, lines=lines, values=values)


def _can_be(column: Column, low: float, high: float) -> str:
    edges = ((edge - column.offset) / column.scale for edge in (low, high))
    return f"; it can be {' to '.join(f'{edge:.4g}' for edge in edges)}, or leave the cell empty"


def _numbers(cells: Sequence[str], missing: Sequence[str]) -> tuple[FloatArray, dict[int, str]]:
    """Return numbers, NaN for what is missing, and by place what is none."""
    marks = {mark.strip() for mark in missing} | {""}
    as_numbers = {number for mark in marks if (number := _number(mark)) is not None}
    plain = _all_numbers(cells)
    if plain is not None:
        plain[np.isin(plain, list(as_numbers))] = np.nan
        return plain, {}
    found = np.full(len(cells), np.nan)
    strange: dict[int, str] = {}
    for i, raw in enumerate(cells):
        cell = raw.strip()
        if cell in marks:
            continue
        number = _number(cell)
        if number is None:
            strange[i] = f'"{cell[:60]}" is no number'
        elif number not in as_numbers:
            found[i] = number
    return found, strange


def _all_numbers(cells: Sequence[str]) -> FloatArray | None:
    """Return the numbers of cells that all hold one, quickly; None where they must be looked at one by one."""
    joined = "\n".join(cells)
    if "_" in joined:
        return None
    if "," in joined and "." not in joined:
        cells = [cell.replace(",", ".") for cell in cells]
    try:
        numbers = np.array(list(map(float, cells)))
    except ValueError:
        return None
    return numbers if np.isfinite(numbers).all() else None


def _number(cell: str) -> float | None:
    try:
        number = float(cell)
    except ValueError:
        if cell.count(",") != 1 or "." in cell:
            return None
        try:
            number = float(cell.replace(",", "."))
        except ValueError:
            return None
    return number if number - number == 0 and "_" not in cell else None
