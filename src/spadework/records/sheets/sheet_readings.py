"""A filled sheet as readings: one for each cell that says anything, with an id that follows from what it says."""

from __future__ import annotations

import datetime as dt
import hashlib
import re
import zoneinfo
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from spadework.plan import Fault, PlanFaults
from spadework.plan.faults import nearest
from spadework.records.kinds import (
    BELOW_DETECTION,
    PLACES,
    Kind,
    Kinds,
    columns_of,
    reading_kinds,
    records,
)
from spadework.records.reading_row import CONTENT, Reading, faults_of, name_id, new_reading, utc_of
from spadework.records.tables.columns import Column, WrongCell, clip, read_cell
from spadework.records.tables.plain_cells import unguarded
from spadework.records.tables.reader import Line, column_place, read_table
from spadework.reference import load

__all__ = [
    "KEPT_MARK",
    "Sheet",
    "Slot",
    "content_id",
    "figure_of",
    "in_layout",
    "local_time",
    "read_sheet",
    "record_of",
    "slot_of",
]

KEPT_MARK: Final = "kept:"
"""In a note, what follows says why the unusual figures of the line are right."""
_LONGEST: Final = 1_000
_LESS = re.compile(r"(?:<|below detection)\s*(\S+)", re.IGNORECASE)
_NO_PLOT = re.compile(r"(?:load|set-up|day|field) [0-9]{1,3}")
_NEEDED: Final = tuple(column.name for column in PLACES if column.filled)
_HERE: Final = tuple(column.name for column in PLACES)
_ASIDE: Final = (
    Column("sheet", "id of the sheet", "text", longest=80),
    Column("block", "block of the plot", "text", longest=60),
    Column("system", "system of the plot", "text", longest=80),
)
"""Columns that a printed sheet may carry for the reader; the plan knows what they say."""

Slot = tuple[str, str, str, str, int, str]  # what a reading is of: record, field, plot, place, sample, time in UTC


@dataclass(frozen=True)
class Sheet:
    """A filled sheet as it was read.

    Attributes
    ----------
    file : str
        Name of the file.
    sha256 : str
        Checksum of what it holds.
    record : str
        What its readings belong to.
    readings : tuple of Reading
        One for each cell that holds a figure or a word for nothing, line by line.
    empty : int
        Cells of figures that are empty; they make no reading.
    faults : tuple of Fault
        Everything that is wrong with it; unusual figures are not among them.
    remarks : tuple of str
        What stood out.
    """

    file: str
    sha256: str
    record: str
    readings: tuple[Reading, ...]
    empty: int
    faults: tuple[Fault, ...]
    remarks: tuple[str, ...]


def read_sheet(
    path: Path,
    *,
    comparison: str,
    zone: str,
    record: str = "",
    plots: Collection[str] = (),
    keep: Mapping[int, str] | None = None,
    sheet: str | None = None,
    kinds: Kinds | None = None,
) -> Sheet:
    """Read a filled sheet, CSV or XLSX, as readings.

    Parameters
    ----------
    path : Path
        The file.
    comparison : str
        Id of the comparison; the ids of the readings follow from it and from what they say.
    zone : str
        Time zone of the field; times without an offset are local.
    record : str
        What the readings belong to; found by the columns if left out.
    plots : collection of str
        Plots that there are; any if empty.  Loads, set-ups, days and the field have names of their own, such as ``load 2``.
    keep : Mapping, optional
        By line, why its unusual figures are right; a note may say so as well.
    sheet : str, optional
        Sheet of a workbook; the first that is shown if left out.
    kinds : Kinds, optional
        Kinds of readings; those of the reference table if left out.

    Returns
    -------
    Sheet
        With all faults of its cells.

    Raises
    ------
    PlanFaults
        If the file cannot be read as a table, or its columns are wrong.

    Notes
    -----
    A row counts as written down when it was taken, so that two people who take in the same sheet make the same rows.
    """
    there = kinds if kinds is not None else reading_kinds()
    if not path.exists():
        raise PlanFaults(
            [Fault("", "there is no such file; `spadework sheets PLAN FOLDER` writes empty ones")], path.name
        )
    chosen = record or record_of(path, sheet=sheet, kinds=there)
    if chosen not in records(there):
        known = records(there)
        what = f'"{clip(chosen)}" is no kind of record{nearest(chosen, known)}; there are: {", ".join(known)}'
        raise PlanFaults([Fault("--record", what)], "the command")
    figures = {kind.field: kind for (one, _), kind in there.items() if one == chosen}
    asked = [_loose(column, column.name in figures) for column in columns_of(chosen, there)]
    table = read_table(path, [*asked, *_ASIDE], sheet=sheet, others=False)
    if not any(name in figures for name in table.columns):
        what = f"no column of figures is there; allowed: {', '.join(figures)}"
        raise PlanFaults([Fault("", what)], path.name)
    faults = list(table.faults)
    aside = ", ".join(map(str, table.figures_left_out[:10]))
    remarks = [f"lines that begin with # hold figures and are left out: {aside}"] if aside else []
    found: list[Reading] = []
    name = clip("".join(c if c.isprintable() else "?" for c in path.name))
    empty = 0
    first: dict[Slot, int] = {}
    for line in table.lines:
        made, wrong, blank = _of_line(line, chosen, figures, zone, plots, (keep or {}).get(line.number, ""), there)
        faults += wrong
        empty += blank
        for one in made:
            named = replace(one, source_file=name, source_line=line.number)
            named = replace(named, id=content_id(named, comparison))
            broken = list(faults_of(replace(named, kept=named.kept or "asked later"), there))
            faults += [Fault(column_place(one.field), fault.what, line.number) for fault in broken]
            if broken:
                continue
            if (at := first.setdefault(slot_of(named), line.number)) != line.number:
                what = f"is given on line {at} already for this plot, place, sample and time; number the samples"
                faults.append(Fault(column_place(one.field), what, line.number))
                continue
            found.append(named)
    unknown = sorted(set(keep or {}) - {line.number for line in table.lines})
    faults += [Fault("--keep", f"line {number} holds no readings") for number in unknown]
    checksum = hashlib.sha256(path.read_bytes()).hexdigest()
    return Sheet(name, checksum, chosen, tuple(found), empty, _once(faults), tuple(remarks))


def record_of(path: Path, *, sheet: str | None = None, kinds: Kinds | None = None) -> str:
    """Return what the readings of a sheet belong to, by its columns; by the name of the file where they leave it open.

    Raises
    ------
    PlanFaults
        If the columns fit nothing, or more than one kind of record alike.
    """
    there = kinds if kinds is not None else reading_kinds()
    names = set(read_table(path, (), sheet=sheet).columns)
    fits = {record: sum(one == record and field in names for one, field in there) for record in records(there)}
    most = max(fits.values())
    best = [record for record, count in fits.items() if count == most]
    if most == 0:
        what = "no column names a kind of reading; the columns of figures end in their unit, such as rate_m3_ha"
        raise PlanFaults([Fault("", what)], path.name)
    if len(best) > 1 and len(named := [record for record in best if record in _named(path)]) == 1:
        return named[0]
    if len(best) > 1:
        what = f"its columns would do for {' and '.join(best)}; name the one that is meant with --record"
        raise PlanFaults([Fault("", what)], path.name)
    return best[0]


def _named(path: Path) -> frozenset[str]:
    """Return the records of sheets whose key the name of a file begins with, as printed sheets are named."""
    name = path.stem.lower()
    return frozenset(row.text("record") for key, row in load("sheets").items() if name.startswith(key))


def in_layout(plot: str, plots: Collection[str]) -> bool:
    """Tell whether a reading may name a plot: one of the layout, or a load, set-up, day or field by number.

    Examples
    --------
    >>> in_layout("101", ["101"]), in_layout("load 2", ["101"]), in_layout("102", ["101"]), in_layout("102", [])
    (True, True, False, True)
    """
    return not plots or plot in plots or _NO_PLOT.fullmatch(plot) is not None


def slot_of(reading: Reading) -> Slot:
    """Return what a reading is of; two readings of the same cannot both be first readings."""
    return (reading.record, reading.field, reading.plot, reading.place, reading.sample, utc_of(reading.taken_at))


def content_id(reading: Reading, comparison: str) -> str:
    """Return an id that follows from what a reading says, so that the same sheet makes the same readings anywhere.

    Examples
    --------
    >>> one = new_reading("seed", "depth_cm", 5, plot="101", taken_at="2026-05-04", person="AB", made_at="2026-05-04")
    >>> content_id(one, "a") == content_id(replace(one, id="x"), "a"), content_id(one, "a") == content_id(one, "b")
    (True, False)
    """
    return name_id("reading", comparison, *(str(getattr(reading, name)) for name in CONTENT if name != "id"))


def _loose(column: Column, figure: bool) -> Column:
    """Return a column as it is read first: figures as text, for ``< 0.5``; nothing needed, as lines may stay unfilled."""
    if figure:
        return Column(column.name, column.meaning, "text", longest=_LONGEST)
    return replace(column, filled=False)


def _of_line(
    line: Line,
    record: str,
    figures: Mapping[str, Kind],
    zone: str,
    plots: Collection[str],
    keep: str,
    kinds: Kinds,
) -> tuple[list[Reading], list[Fault], int]:
    faults: list[Fault] = []
    values = {name: line.values.get(name) for name in _HERE}
    said = [name for name in figures if line.values.get(name) is not None]
    if not said:
        return [], [], sum(name in line.values for name in figures)
    for name in _NEEDED:
        if name in line.values and values[name] is None:
            what = "is empty, and the line holds figures; every reading needs it"
            faults.append(Fault(column_place(name), what, line.number))
    plot = unguarded(str(values["plot"] or ""))
    if plot and not in_layout(plot, plots):
        what = f'"{clip(plot)}" is no plot of the comparison{nearest(plot, plots)}'
        faults.append(Fault(column_place("plot"), what, line.number))
    taken_at = ""
    if values["time"] is not None:
        try:
            taken_at = local_time(str(values["time"]), zone)
        except WrongCell as wrong:
            faults.append(Fault(column_place("time"), str(wrong), line.number))
    whole = unguarded(str(values["note"] or ""))
    note, kept = _note(whole)
    made, empty = [], 0
    for name, kind in figures.items():
        if name not in line.values:
            continue
        cell = line.values[name]
        if cell is None:
            empty += 1
            continue
        try:
            value, limit = figure_of(str(cell), kind)
        except WrongCell as wrong:
            faults.append(Fault(column_place(name), str(wrong), line.number))
            continue
        if not plot or not taken_at or values["person"] is None:
            continue  # the cell that is empty or wrong has a fault of its own
        one = new_reading(
            record,
            name,
            value,
            plot=plot,
            taken_at=taken_at,
            person=unguarded(str(values["person"])),
            kinds=kinds,
            limit=limit,
            place=unguarded(str(values["place"] or "")),
            sample=int(float(values["sample"] or 1)),
            instrument=unguarded(str(values["instrument"] or "")),
            note=whole,
        )
        made.append(replace(one, made_at=utc_of(taken_at)))
    return _kept(made, figures, keep or kept, note), faults, empty


def _kept(made: Sequence[Reading], figures: Mapping[str, Kind], reason: str, note: str) -> list[Reading]:
    """Return the readings of a line, with the reason on those that are unusual; on all where none is so by itself."""
    if not reason:
        return list(made)
    odd = {one.field for one in made if one.value is not None and not figures[one.field].usual(one.value)}
    if not odd:  # it speaks of what they make together
        odd = {one.field for one in made if one.value is not None}
    return [replace(one, kept=reason, note=note) if one.field in odd else one for one in made]


def figure_of(cell: str, kind: Kind) -> tuple[float | str, float | None]:
    """Return figure or word of a cell, and the least that can be found where it lies below.

    Parameters
    ----------
    cell : str
        A figure, a word for nothing, or ``< 0.5``.
    kind : Kind
        Kind of reading.

    Raises
    ------
    WrongCell
        If it cannot be.

    Examples
    --------
    >>> nitrate = reading_kinds()["soil", "nitrate_n_mg_kg"]
    >>> figure_of("33,5", nitrate), figure_of("< 0.5", nitrate)
    ((33.5, None), ('below detection', 0.5))
    """
    if less := _LESS.fullmatch(cell):
        limit = read_cell(less[1], replace(kind.column, kind="number", hard=None, words=()))
        return BELOW_DETECTION, float(limit or 0)
    value = read_cell(cell, kind.column)
    if value == BELOW_DETECTION:
        raise WrongCell(f'"{BELOW_DETECTION}" needs the least that can be found; write it as < 0.5')
    if isinstance(value, float | str):
        return value, None
    raise WrongCell("is empty")


def _note(text: str) -> tuple[str, str]:
    """Return what a note says beside the reason to keep, and that reason."""
    before, mark, after = text.partition(KEPT_MARK)
    return (before.strip(" ;,."), after.strip()) if mark and after.strip() else (text, "")


def local_time(text: str, zone: str) -> str:
    """Return a day, or a time with its offset, of a cell; local time where it names no offset.

    Parameters
    ----------
    text : str
        Such as ``2026-05-04`` or ``2026-05-04 09:30``.
    zone : str
        Time zone of the field.

    Raises
    ------
    WrongCell
        If it is neither, never was as clocks were put forward, or was twice as they were put back.

    Examples
    --------
    >>> local_time("2026-05-04 09:30", "Europe/Copenhagen")
    '2026-05-04T09:30:00+02:00'
    """
    allowed = "allowed: 2026-05-04 or 2026-05-04 09:30"
    try:
        if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
            return dt.date.fromisoformat(text).isoformat()
        if not re.match(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[T ][0-9]{1,2}:", text):
            raise WrongCell(f'"{clip(text)}" is no day and no time; {allowed}')
        day, clock = text[:10], text[11:]
        moment = dt.datetime.fromisoformat(f"{day}T{clock if clock[1] != ':' else '0' + clock}")
    except (ValueError, IndexError) as error:
        if isinstance(error, WrongCell):
            raise
        raise WrongCell(f'"{clip(text)}" is no day and no time; {allowed}') from None
    if moment.tzinfo is not None:
        return moment.isoformat()
    there = zoneinfo.ZoneInfo(zone)
    early, late = (moment.replace(tzinfo=there, fold=fold) for fold in (0, 1))
    if early.utcoffset() == late.utcoffset():
        return early.isoformat()
    if early.astimezone(dt.UTC).astimezone(there).replace(tzinfo=None) != moment:
        raise WrongCell(f'"{clip(text)}" was never, as clocks were put forward; {allowed}')
    what = f'"{clip(text)}" was twice, as clocks were put back; write it with its offset'
    raise WrongCell(f"{what}, {early.isoformat()} or {late.isoformat()}")


def _once(faults: list[Fault]) -> tuple[Fault, ...]:
    return tuple(dict.fromkeys(faults))
