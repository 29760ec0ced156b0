"""Differences of several fields read from a CSV file or a workbook, every fault named at once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from spadework.plan import Fault, PlanFaults
from spadework.ranges import FloatArray
from spadework.records.tables.columns import Allowed, Column
from spadework.records.tables.reader import column_place, read_table

__all__ = ["FieldDifferences", "pooling_columns", "read_differences"]

_LEAST, _MOST = 0.0001, 999_999


@dataclass(frozen=True)
class FieldDifferences:
    """Difference between two systems, field by field.

    Attributes
    ----------
    file : str
        Where they were read.
    fields : tuple of str
        Names of the fields.
    difference, standard_error : FloatArray
        Difference and its standard error, in one unit for all [any].
    standings : tuple of str
        ``"strips"`` or ``"replicated"``; empty where not said.
    """

    file: str
    fields: tuple[str, ...]
    difference: FloatArray
    standard_error: FloatArray
    standings: tuple[str, ...]

    @property
    def standing(self) -> str:
        """Weakest standing of the fields; empty where one does not say it."""
        if not all(self.standings):
            return ""
        return "strips" if "strips" in self.standings else "replicated"


@cache
def pooling_columns() -> tuple[Column, ...]:
    """Return the columns of a table of differences.

    Examples
    --------
    >>> [column.name for column in pooling_columns()]
    ['field', 'difference', 'se', 'standing', 'note']
    """
    return (
        Column("field", "field, with its year where there are several", "text", needed=True, filled=True, longest=40),
        Column(
            "difference", "one system less the other", "number", "", Allowed(-_MOST, _MOST), needed=True, filled=True
        ),
        Column("se", "standard error", "number", "", Allowed(_LEAST, _MOST), needed=True, filled=True),
        Column("standing", "how it was laid out", "word", words=("replicated", "strips", "looked", "estimated")),
        Column("note", "anything else", "text", longest=200),
    )


def read_differences(path: Path, *, sheet: str | None = None) -> FieldDifferences:
    """Read differences of several fields.

    Parameters
    ----------
    path : Path
        CSV file or XLSX workbook with the columns of :func:`pooling_columns`.
    sheet : str, optional
        Sheet of a workbook; the first that is shown if left out.

    Returns
    -------
    FieldDifferences
        In the order of the file.

    Raises
    ------
    PlanFaults
        With every fault of the file, by line and column.
    """
    table = read_table(path, pooling_columns(), sheet=sheet, others=False)
    faults = list(table.faults)
    seen: dict[object, int] = {}
    for line in table.lines:
        name, standing = line.values.get("field"), line.values.get("standing")
        if name in seen:
            what = f'"{name}" stands in line {seen[name]} already; allowed: each field and year once, so that none counts twice'
            faults.append(Fault(column_place("field"), what, line.number))
        elif name is not None:
            seen[name] = line.number
        if standing == "looked":
            what = "a field without replication has no standard error of its difference; show it beside, do not pool it"
            faults.append(Fault(column_place("standing"), what, line.number))
        if standing == "estimated":
            what = "an estimate of models is no field; allowed: replicated or strips"
            faults.append(Fault(column_place("standing"), what, line.number))
    if len(table.lines) < 2 and not faults:
        faults.append(Fault("", "holds one field; allowed: two or more"))
    if faults:
        raise PlanFaults(faults, path.name)

    def numbers(name: str) -> FloatArray:
        return np.array([line.values[name] for line in table.lines], np.float64)

    return FieldDifferences(
        path.name,
        tuple(str(line.values["field"]) for line in table.lines),
        numbers("difference"),
        numbers("se"),
        tuple(str(line.values.get("standing") or "") for line in table.lines),
    )
