"""A data package read back into a new store, after every checksum and every cell was looked at."""

from __future__ import annotations

import csv
import json
import math
import os
import re
import stat
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import fields, replace
from itertools import islice
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Table
from sqlalchemy.exc import IntegrityError

from spadework.exchange.package import DESCRIPTION, SUMS
from spadework.exchange.package_fields import type_of
from spadework.plan import Fault, PlanFaults
from spadework.records.kinds import Kinds
from spadework.records.reading_row import Reading, faults_of, utc_of
from spadework.records.store.copies import look_over
from spadework.records.store.faults import store_fault, telling
from spadework.records.store.opening import NEWEST, comparison_id, copy_file, create_store, open_store
from spadework.records.store.photos import checksum, keep_file
from spadework.records.store.schema_sql import COMPARISON, IMPORT_BATCH, KEPT, PHOTO, READING
from spadework.records.store.store import Store
from spadework.records.store.transactions import writing_to
from spadework.records.tables.columns import clip
from spadework.records.tables.plain_cells import unguarded

__all__ = ["read_package"]

_CHUNK: Final = 2_000
_MOST_FAULTS: Final = 200
_MOST_FILES: Final = 100_000
_LARGEST_DESCRIPTION: Final = 10_000_000
_LONGEST: Final = 2_000
_SUM = re.compile(r"([0-9a-f]{64})  (.+)")
_WHOLE = re.compile(r"-?[0-9]{1,18}")
_NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+)?(?:e[+-]?[0-9]{1,3})?")
_NAMED: Final = {"nothing": "why_none", "limit": "limit_value"}
_LEFT: Final = ("", "-wal", "-shm", "-journal")


def read_package(folder: Path, place: Path, *, photos: Path | None = None, kinds: Kinds | None = None) -> Store:
    """Make a new store of a data package that :func:`spadework.exchange.package.write_package` wrote.

    Parameters
    ----------
    folder : Path
        The package.
    place : Path
        File of the new store, which is not there yet.
    photos : Path, optional
        Folder of photos; ``photos`` beside the file if left out.
    kinds : Kinds, optional
        Kinds of readings; those of the reference table if left out.

    Returns
    -------
    Store
        Open; it holds what the store held that was written, row for row.

    Raises
    ------
    PlanFaults
        If a file is gone, damaged or not named by the checksums, or a row cannot be; then there is no store.

    Notes
    -----
    A reading that was kept though it is unusual is not asked about again, also where what is usual was set anew since.
    """
    name = clip(folder.name)
    with telling(name):
        if not folder.is_dir():
            raise store_fault(name, "is no folder; a package is a folder with datapackage.json in it")
        files = _sound(folder, name)
        _described(folder, files, name)
        about = _about(folder, name)
    if os.path.lexists(place):
        raise store_fault(clip(place.name), "is there already and is not written over; give another name")
    part = place.with_name(f".{place.name}.part-{uuid.uuid4().hex[:8]}")
    beside = photos if photos is not None else place.parent / "photos"
    try:
        made = create_store(
            part, about["question"], about["zone"], invented=about["invented"], photos=beside, kinds=kinds
        )
        with made, telling(name):
            try:
                pictures = _fill(made, folder, name)
            except IntegrityError as error:
                what = f"a row stands twice, or points at a row that is not there ({clip(str(error.orig))})"
                raise store_fault(name, what) from None
            _keep_photos(folder, files, pictures, beside, name)
            if wrong := look_over(made):
                raise PlanFaults([Fault("", said) for said in wrong[:_MOST_FAULTS]], name)
        with telling(clip(place.name)):
            copy_file(part, place)
    finally:
        for more in _LEFT:
            part.with_name(part.name + more).unlink(missing_ok=True)
    return open_store(place, about["question"], photos=beside, kinds=kinds)


def _sound(folder: Path, name: str) -> dict[str, str]:
    """Return the checksum of every file by its name, after each was held against it."""
    if not (folder / SUMS).is_file():
        raise store_fault(name, f"is no package of readings; there is no {SUMS} in it")
    there = {}
    for file in folder.rglob("*"):
        mode = file.lstat().st_mode
        if stat.S_ISDIR(mode):
            continue
        plain = file.relative_to(folder).as_posix()
        if not stat.S_ISREG(mode):
            raise store_fault(name, f"{clip(plain)} is a link or no file; a package holds plain files only")
        there[plain] = file
        if len(there) > _MOST_FILES:
            raise store_fault(name, f"holds more than {_MOST_FILES} files")
    there.pop(SUMS, None)
    faults, sums = [], {}
    for number, line in enumerate((folder / SUMS).read_text("utf-8", errors="replace").splitlines(), 1):
        said = _SUM.fullmatch(line)
        if said is None or said[2] in sums:
            faults.append(Fault(SUMS, f'"{clip(line)}" is no checksum and name of a file', number))
        elif said[2] not in there:
            faults.append(Fault(clip(said[2]), "is gone from the package; ask for it again", number))
        elif checksum(there[said[2]]) != said[1]:
            faults.append(Fault(clip(said[2]), "is not as it was written; ask for the package again", number))
        else:
            sums[said[2]] = said[1]
    named = {fault.key for fault in faults}
    faults += [
        Fault(clip(one), f"is not named in {SUMS}; take it out of the folder")
        for one in sorted(there)
        if one not in sums and clip(one) not in named
    ]
    if faults:
        raise PlanFaults(faults[:_MOST_FAULTS], name)
    return sums


def _described(folder: Path, files: Mapping[str, str], name: str) -> None:
    """Look whether the description is that of a package of readings with the tables of this release."""
    wanted = [DESCRIPTION, *(f"data/{table.name}.csv" for table in KEPT)]
    faults = [Fault(one, "is missing; this is no package of readings") for one in wanted if one not in files]
    if not faults:
        try:
            if (folder / DESCRIPTION).stat().st_size > _LARGEST_DESCRIPTION:
                raise ValueError
            said = json.loads((folder / DESCRIPTION).read_text("utf-8"))
            version = said["spadework"]["tables"]
        except (ValueError, KeyError, TypeError, RecursionError):
            faults.append(Fault(DESCRIPTION, "does not describe a package of readings"))
        else:
            if version != NEWEST:
                what = f"was written with tables {clip(str(version))}; this release reads tables {NEWEST}"
                faults.append(Fault(DESCRIPTION, what))
    if faults:
        raise PlanFaults(faults, name)


def _about(folder: Path, name: str) -> dict[str, Any]:
    found = _Found(name)
    rows = list(islice(_rows(folder, COMPARISON, found), 2))
    found.stop()
    file = f"data/{COMPARISON.name}.csv"
    if len(rows) != 1:
        raise PlanFaults([Fault(file, "holds no comparison or more than one; allowed: one")], name)
    cells = rows[0][1]
    question = " ".join(cells["question"].split())
    if cells["question"] != question or cells["id"] != comparison_id(question):
        raise PlanFaults([Fault(file, "has an id that does not follow from its question", 2)], name)
    return cells


def _fill(store: Store, folder: Path, name: str) -> list[dict[str, Any]]:
    """Put all rows into the store and return those of photos."""
    found, pictures = _Found(name), []
    with writing_to(store.engine) as connection:
        for table in (IMPORT_BATCH, READING, PHOTO):
            rows = _rows(folder, table, found)
            while chunk := list(islice(rows, _CHUNK)):
                for number, cells in chunk:
                    found.extend(_wrong(table, number, cells, store))
                if table is PHOTO:
                    pictures += [cells for _, cells in chunk]
                if not found.count:
                    connection.execute(table.insert(), [cells for _, cells in chunk])
        found.stop()
    return pictures


def _keep_photos(folder: Path, files: Mapping[str, str], rows: list[dict[str, Any]], beside: Path, name: str) -> None:
    by_sum = {sha: one for one, sha in files.items() if one.startswith("photos/")}
    gone = [row for row in rows if row["sha256"] not in by_sum]
    if gone:
        faults = [Fault(f"photo {clip(row['name'])}", "is not in the package") for row in gone]
        raise PlanFaults(faults[:_MOST_FAULTS], name)
    for row in rows:
        sha = row["sha256"]
        file = folder / by_sum[sha]
        keep_file(file, beside / sha[:2] / f"{sha}{file.suffix}", sha)


class _Found:
    """Faults as they are found; those beyond what anybody reads are counted."""

    def __init__(self, name: str) -> None:
        self.name, self.list, self.count = name, list[Fault](), 0

    def extend(self, faults: Iterator[Fault]) -> None:
        for fault in faults:
            self.count += 1
            if len(self.list) < _MOST_FAULTS:
                self.list.append(fault)

    def stop(self) -> None:
        if self.count:
            more = self.count - len(self.list)
            raise PlanFaults([*self.list, *([Fault("", f"and {more} faults more")] if more else [])], self.name)


def _rows(folder: Path, table: Table, found: _Found) -> Iterator[tuple[int, dict[str, Any]]]:
    """Yield the rows of a table with the line of each; rows that cannot be are told and left out."""
    file = f"data/{table.name}.csv"
    names = [column.name for column in table.columns]
    kinds = [(column.name, type_of(table, column.name), bool(column.nullable)) for column in table.columns]
    try:
        with (folder / file).open(encoding="utf-8", newline="") as stream:
            reader = csv.reader(stream, strict=True)
            head = next(reader, [])
            if head != names:
                what = f"has the columns {clip(', '.join(head))}; allowed: {', '.join(names)}"
                found.extend(iter([Fault(file, what, 1)]))
                return
            for row in reader:
                if len(row) != len(names):
                    what = f"has {len(row)} cells, but {len(names)} columns"
                    found.extend(iter([Fault(file, what, reader.line_num)]))
                    continue
                cells, faults = {}, []
                for (column, kind, nullable), cell in zip(kinds, row, strict=True):
                    try:
                        cells[column] = _cell(kind, nullable, cell)
                    except ValueError as wrong:
                        faults.append(Fault(f"{file}, column {column}", str(wrong), reader.line_num))
                found.extend(iter(faults))
                if not faults:
                    yield reader.line_num, cells
    except (csv.Error, UnicodeDecodeError) as error:
        found.extend(iter([Fault(file, f"cannot be cut into cells ({clip(str(error))})")]))


def _cell(kind: str, nullable: bool, cell: str) -> Any:
    if not cell and nullable:
        return None
    if kind == "string":
        text = unguarded(cell)
        if len(text) > _LONGEST or not text.isprintable():
            raise ValueError(f"is too long or cannot be printed; allowed: up to {_LONGEST} characters")
        return text
    if kind == "boolean" and cell in ("true", "false"):
        return cell == "true"
    if kind == "integer" and _WHOLE.fullmatch(cell):
        return int(cell)
    if kind == "number" and _NUMBER.fullmatch(cell) and math.isfinite(float(cell)):
        return float(cell)
    raise ValueError(f'"{clip(cell)}" is no {kind}')


def _wrong(table: Table, number: int, cells: Mapping[str, Any], store: Store) -> Iterator[Fault]:
    file = f"data/{table.name}.csv"
    if cells["comparison"] != store.comparison.id:
        yield Fault(file, "belongs to another comparison", number)
    if table is PHOTO and not re.fullmatch("[0-9a-f]{64}", cells["sha256"]):
        yield Fault(f"{file}, column sha256", "is no checksum", number)
    if table is not READING:
        return
    one = _reading(cells)
    asked_before = replace(one, kept=one.kept or "kept before", source_line=None)
    wrong = list(faults_of(asked_before, store.kinds))
    yield from (Fault(f"{file}, {fault.key}", fault.what, number) for fault in wrong)
    if one.digest != cells["digest"]:
        yield Fault(file, f"reading {clip(one.id)} is not what it was when it was added", number)
    if not wrong and cells["taken_utc"] != utc_of(one.taken_at):
        yield Fault(f"{file}, column taken_utc", "is not the time of column taken_at", number)


def _reading(cells: Mapping[str, Any]) -> Reading:
    """Return the cells of a row as a reading."""
    said = {one.name: cells[_NAMED.get(one.name, one.name)] for one in fields(Reading)}
    return Reading(**{**said, "corrects": said["corrects"] or ""})
