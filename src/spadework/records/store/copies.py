"""Stores taken together, backed up, restored and looked over.

Two stores of one comparison are taken together by the ids of their readings: a reading that is in both is there once.
"""

from __future__ import annotations

import heapq
import os
import re
import shutil
import tempfile
import uuid
from collections.abc import Iterable, Iterator
from itertools import groupby, islice
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Table, select

from spadework.plan import Fault, PlanFaults
from spadework.records.store.disk import to_disk, tree_to_disk
from spadework.records.store.faults import store_fault, telling
from spadework.records.store.opening import BACKUP_FILE, BACKUP_SUMS, copy_file, create_store, open_store
from spadework.records.store.photos import checksum, damaged_photos, keep_file, photos_of
from spadework.records.store.schema_sql import IMPORT_BATCH, PHOTO, READING
from spadework.records.store.store import Added, Store, insert_rows, reading_of
from spadework.records.store.transactions import reading_from, writing_to
from spadework.records.tables.columns import clip

__all__ = ["backup", "look_over", "merge", "restore", "take_in"]

_CHUNK: Final = 2_000
_MOST_FAULTS: Final = 200
_LINE = re.compile(r"([0-9a-f]{64})  (readings\.db|photos/[0-9a-f]{2}/[0-9a-f]{64}\.(?:jpg|png|webp|heic))")
_ARRIVAL: Final = ("source_file", "source_line", "batch", "imported_at", "person", "file")


def merge(one: Store, other: Store, place: Path) -> Store:
    """Write a new store with all readings of two; neither of the two is touched.

    Parameters
    ----------
    one, other : Store
        Stores of the same comparison, in any order.
    place : Path
        File of the new store, which is not there yet.

    Returns
    -------
    Store
        The new one, open.  Which of the two came first makes no difference; nor does merging twice.

    Raises
    ------
    PlanFaults
        If they belong to different comparisons, the same id says two things, a row is damaged, or `place` is taken.
    """
    _same_comparison(one, other)
    _free(place)
    part = place.with_name(f".{place.name}.part-{uuid.uuid4().hex[:8]}")
    mine = one.comparison
    try:
        new = create_store(part, mine.question, mine.zone, invented=mine.invented, kinds=one.kinds)
        with new, telling(place.name):
            for table in (IMPORT_BATCH, READING, PHOTO):
                with reading_from(one.engine) as first, reading_from(other.engine) as second:
                    both = heapq.merge(_rows(first, table, one), _rows(second, table, other), key=lambda row: row["id"])
                    _insert(new, table, _union(both, table, place.name))
            _keep_photos((one, other), new)
        with telling(place.name):
            to_disk(part)
            os.link(part, place)
            to_disk(place.parent)
    finally:
        for left in (part, *(part.with_name(part.name + more) for more in ("-wal", "-shm"))):
            left.unlink(missing_ok=True)
    return open_store(place, mine.question, kinds=one.kinds)


def take_in(store: Store, other: Store) -> Added:
    """Add all readings of another store of the same comparison, in one piece; those that are there already stay as they are.

    Parameters
    ----------
    store : Store
        Where to.
    other : Store
        Where from; it is not touched.

    Returns
    -------
    Added
        Readings that are new, and readings that were there.

    Raises
    ------
    PlanFaults
        As for :func:`merge`; then nothing was taken in.
    """
    _same_comparison(store, other)
    new = known = 0
    faults: list[Fault] = []
    with telling(store.name):
        _keep_photos((other,), store)
        with reading_from(other.engine) as source, writing_to(store.engine) as target:
            for table in (IMPORT_BATCH, READING, PHOTO):
                rows = _rows(source, table, other)
                while chunk := list(islice(rows, _CHUNK)):
                    asked = select(table).where(table.c.id.in_([row["id"] for row in chunk]))
                    there = {row.id: dict(row._mapping) for row in target.execute(asked)}
                    fresh = [row for row in chunk if row["id"] not in there]
                    apart = [row for row in chunk if row["id"] in there and _content(row) != _content(there[row["id"]])]
                    faults += [_two_things(row, table) for row in apart][: _MOST_FAULTS - len(faults)]
                    if fresh and not faults:
                        insert_rows(target, table, [tuple(row.values()) for row in fresh])
                    if table is READING:
                        new, known = new + len(fresh), known + len(chunk) - len(fresh)
            if faults:
                raise PlanFaults(faults, store.name)
    return Added(new, known)


def look_over(store: Store) -> tuple[str, ...]:
    """Look whether a store is whole, and return a sentence for all that is not.

    Every reading is held against its checksum, every correction against what it corrects, every photo against its own.
    """
    out: list[str] = []
    with telling(store.name), reading_from(store.engine) as connection:
        if connection.dialect.name == "sqlite":
            found = connection.exec_driver_sql("PRAGMA integrity_check(20)").scalars()
            out += [f"the file is damaged: {said}" for said in found if said != "ok"]
            out += [
                f"a row of {row[0]} points at nothing" for row in connection.exec_driver_sql("PRAGMA foreign_key_check")
            ]
        asked = select(READING).where(READING.c.comparison == store.comparison.id).execution_options(yield_per=_CHUNK)
        for row in connection.execute(asked):
            one = reading_of(row)
            if one.digest != row.digest:
                out.append(f"reading {one.id} of plot {clip(one.plot)} is not what it was when it was added")
        old = READING.alias("old")
        join = READING.join(old, READING.c.corrects == old.c.id)
        wrong = select(READING.c.id).select_from(join).where(READING.c.root != old.c.root)
        out += [
            f"correction {ident} belongs to another reading than it says"
            for ident in connection.execute(wrong).scalars()
        ]
    return (*out, *damaged_photos(store))


def backup(store: Store, folder: Path) -> Path:
    """Copy a store with its photos into a new folder, with checksums, while others may write to it.

    Parameters
    ----------
    store : Store
        What to copy.
    folder : Path
        Folder that is not there yet, on a stick or another drive.

    Returns
    -------
    Path
        The folder: ``readings.db``, ``photos``, and ``checksums.txt``, which ``sha256sum -c`` reads.

    Raises
    ------
    PlanFaults
        If the folder is there already, or cannot be written whole; then there is none.
    """
    _free(folder)
    with telling(folder.name):
        folder.parent.mkdir(parents=True, exist_ok=True)
        part = folder.with_name(f".{folder.name}.part-{uuid.uuid4().hex[:8]}")
        try:
            part.mkdir()
            _copy_readings(store, part / BACKUP_FILE)
            files = [part / BACKUP_FILE]
            for row, file in photos_of(store):
                if not file.is_file():
                    raise store_fault(
                        store.name, f"photo {clip(row.name)} of plot {clip(row.plot)} is gone; nothing was written"
                    )
                target = part / "photos" / file.parent.name / file.name
                keep_file(file, target, row.sha256)
                files.append(target)
            sums = "".join(f"{checksum(f)}  {f.relative_to(part).as_posix()}\n" for f in sorted(set(files)))
            with (part / BACKUP_SUMS).open("w", encoding="ascii") as out:
                out.write(sums)
                out.flush()
                os.fsync(out.fileno())
            tree_to_disk(part)
            _free(folder)
            os.rename(part, folder)
            to_disk(folder.parent)
        finally:
            shutil.rmtree(part, ignore_errors=True)
    return folder


def restore(folder: Path, place: Path | str, question: str | None = None, *, photos: Path | None = None) -> Store:
    """Make a store anew from a backup, after every checksum was held against its file.

    Parameters
    ----------
    folder : Path
        From :func:`backup`.
    place : Path or str
        File that is not there yet, or the address of a PostgreSQL database that does not hold this comparison.
    question : str, optional
        Which comparison, where the backup holds several.
    photos : Path, optional
        Folder of photos; ``photos`` beside the file if left out.

    Returns
    -------
    Store
        Open.

    Raises
    ------
    PlanFaults
        If a file of the backup is gone or damaged, or `place` is taken; then nothing was written.
    """
    files = _sound(folder)
    if isinstance(place, str) and "://" in place:
        return _into_database(folder, place, question, photos)
    target = Path(place)
    _free(target)
    beside = photos if photos is not None else target.parent / "photos"
    with telling(target.name):
        target.parent.mkdir(parents=True, exist_ok=True)
        for sha, name in files:
            if name != BACKUP_FILE:
                keep_file(folder / name, beside / Path(name).relative_to("photos"), sha)
        copy_file(folder / BACKUP_FILE, target)
    store = open_store(target, question, photos=beside)
    if wrong := look_over(store):
        store.close()
        target.unlink()
        raise PlanFaults([Fault("", said) for said in wrong[:_MOST_FAULTS]], folder.name)
    return store


def _into_database(folder: Path, place: str, question: str | None, photos: Path | None) -> Store:
    with tempfile.TemporaryDirectory() as name:
        copy = Path(name) / BACKUP_FILE  # opening a file writes to it, and a backup stays as it is
        shutil.copyfile(folder / BACKUP_FILE, copy)
        with open_store(copy, question, photos=folder / "photos") as old:
            about = old.comparison
            if photos is None and photos_of(old):
                what = "a database keeps no photos itself; name a folder for them with --photos, such as photos beside the plan"
                raise store_fault(clip(folder.name), what)
            try:
                new = create_store(place, about.question, about.zone, invented=about.invented, photos=photos)
            except PlanFaults:
                new = open_store(place, about.question, photos=photos)
                if new.count():
                    new.close()
                    raise
            try:
                take_in(new, old)
            except BaseException:
                new.close()
                raise
    return new


def _copy_readings(store: Store, target: Path) -> None:
    if store.file is not None:
        copy_file(store.file, target)
        return
    about = store.comparison
    with create_store(target, about.question, about.zone, invented=about.invented, kinds=store.kinds) as new:
        take_in(new, store)


def _sound(folder: Path) -> list[tuple[str, str]]:
    """Return checksum and name of every file of a backup, all of them sound."""
    with telling(clip(folder.name)):
        if not folder.exists():
            raise store_fault(clip(folder.name), "there is no such folder")
        if not (folder / BACKUP_SUMS).is_file():
            raise store_fault(clip(folder.name), f"is no backup; there is no {BACKUP_SUMS} in it")
        lines = (folder / BACKUP_SUMS).read_text("ascii", errors="replace").splitlines()
        faults, files = [], []
        for number, line in enumerate(lines, 1):
            said = _LINE.fullmatch(line)
            if said is None:
                faults.append(Fault(BACKUP_SUMS, f'"{clip(line)}" is no checksum and name of a backup', number))
            elif not (folder / said[2]).is_file():
                faults.append(Fault(said[2], "is gone from the backup; use another one", number))
            elif checksum(folder / said[2]) != said[1]:
                faults.append(Fault(said[2], "is damaged; use another backup", number))
            else:
                files.append((said[1], said[2]))
        if not faults and BACKUP_FILE not in {name for _, name in files}:
            faults.append(Fault(BACKUP_SUMS, f"names no {BACKUP_FILE}; use another backup"))
    if faults:
        raise PlanFaults(faults[:_MOST_FAULTS], folder.name)
    return files


def _free(place: Path) -> None:
    if place.exists() or place.is_symlink():
        raise store_fault(place.name, "is there already and is not written over; give another name")


def _same_comparison(one: Store, other: Store) -> None:
    mine, theirs = one.comparison, other.comparison
    if mine.id != theirs.id:
        what = f'asks "{clip(theirs.question)}", and {one.name} asks "{clip(mine.question)}"'
        raise store_fault(other.name, f"{what}; allowed: stores of one comparison")
    for name in ("zone", "invented"):
        if getattr(mine, name) != getattr(theirs, name):
            what = f"{name} is {getattr(theirs, name)}, and {getattr(mine, name)} in {one.name}"
            raise store_fault(other.name, f"{what}; one of the two was made wrongly")


def _rows(connection: Connection, table: Table, store: Store) -> Iterator[dict[str, Any]]:
    """Yield the rows of a store in the order of their ids; a damaged reading stops it."""
    asked = select(table).where(table.c.comparison == store.comparison.id).order_by(table.c.id)
    for row in connection.execute(asked.execution_options(yield_per=_CHUNK)):
        cells = dict(row._mapping)
        if table is READING and reading_of(row).digest != cells["digest"]:
            what = (
                f"reading {cells['id']} of plot {clip(cells['plot'])} is damaged; restore a backup of this store first"
            )
            raise store_fault(store.name, what)
        yield cells


def _union(rows: Iterable[dict[str, Any]], table: Table, name: str) -> Iterator[dict[str, Any]]:
    """Yield each id once; of two that say the same, how it came here is taken from the one that sorts first."""
    faults = []
    for _, group in groupby(rows, key=lambda row: row["id"]):
        same = list(group)
        if any(_content(row) != _content(same[0]) for row in same[1:]):
            faults.append(_two_things(same[0], table))
        yield min(same, key=_arrival)
    if faults:
        raise PlanFaults(faults[:_MOST_FAULTS], name)


def _content(row: dict[str, Any]) -> tuple[Any, ...]:
    """Return what must be the same in two rows of one id."""
    if "digest" in row:
        return (row["digest"], row["root"], row["comparison"])
    return tuple(said for name, said in sorted(row.items()) if name not in _ARRIVAL or "imported_at" not in row)


def _arrival(row: dict[str, Any]) -> tuple[tuple[bool, str], ...]:
    said = (row.get(name) for name in _ARRIVAL)
    return tuple((one is not None, f"{one:012d}" if isinstance(one, int) else str(one)) for one in said)


def _two_things(row: dict[str, Any], table: Table) -> Fault:
    if table is READING:
        place = f"plot {clip(row['plot'])}, {clip(row['record'])} {clip(row['field'])}"
        return Fault(
            place, f"the id {row['id']} stands for two different readings; correct one of the two in its store"
        )
    return Fault(table.name.replace("_", " "), f"the id {row['id']} stands for two different things")


def _insert(store: Store, table: Table, rows: Iterator[dict[str, Any]]) -> None:
    with writing_to(store.engine) as connection:
        while chunk := list(islice(rows, _CHUNK)):
            insert_rows(connection, table, [tuple(row.values()) for row in chunk])


def _keep_photos(sources: Iterable[Store], target: Store) -> None:
    for store in sources:
        for row, file in photos_of(store):
            if target.photos is None:
                raise store_fault(target.name, "has no folder for photos; open it with one")
            if not file.is_file():
                raise store_fault(store.name, f"photo {clip(row.name)} of plot {clip(row.plot)} is gone")
            keep_file(file, target.photos / file.parent.name / file.name, row.sha256)
