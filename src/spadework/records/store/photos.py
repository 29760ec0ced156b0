"""Photos beside a store: each lies under its own checksum, so that it is kept once and shows when it is damaged."""

from __future__ import annotations

import hashlib
import os
import uuid
from pathlib import Path
from typing import Any, Final

from sqlalchemy import select

from spadework.plan import Fault, PlanFaults
from spadework.records.reading_row import new_id, now, utc_of
from spadework.records.store.disk import to_disk
from spadework.records.store.faults import store_fault, telling
from spadework.records.store.schema_sql import PHOTO
from spadework.records.store.store import Store
from spadework.records.store.transactions import reading_from, writing_to
from spadework.records.tables.columns import clip

__all__ = ["add_photo", "checksum", "damaged_photos", "keep_file", "photo_path", "photos_of"]

_LARGEST: Final = 100_000_000
_LONGEST: Final = 200
_BLOCK: Final = 1_048_576
_STARTS: Final = ((b"\xff\xd8\xff", ".jpg"), (b"\x89PNG\r\n\x1a\n", ".png"))
_ENDINGS: Final = (".jpg", ".png", ".webp", ".heic")


def add_photo(
    store: Store,
    file: Path,
    *,
    plot: str,
    taken_at: str,
    person: str,
    reading: str | None = None,
    note: str = "",
) -> str:
    """Keep a photo beside the store, and a row that says what it shows.

    Parameters
    ----------
    store : Store
        Where to.
    file : Path
        The photo: JPEG, PNG, WebP or HEIC.  It stays where it is, too.
    plot : str
        Plot that it shows.
    taken_at : str
        When: a day, or a date and time with its offset.
    person : str
        Who took it.
    reading : str, optional
        Id of the reading that it belongs to.
    note : str
        Anything else.

    Returns
    -------
    str
        Id of its row.  File and row are on the disk.

    Raises
    ------
    PlanFaults
        If it is no photo, is too large, or cannot be kept.
    """
    if store.photos is None:
        raise store_fault(store.name, "has no folder for photos; open it with one")
    faults = [
        Fault("photo", f"says no {name}") for name, said in (("plot", plot), ("person", person)) if not said.strip()
    ]
    said = {"plot": plot, "person": person, "note": note, "name": file.name}
    faults += [
        Fault("photo", f"{name} is too long or cannot be printed; allowed: up to {_LONGEST} characters")
        for name, text in said.items()
        if len(text) > _LONGEST or not text.isprintable()
    ]
    try:
        utc_of(taken_at)
    except ValueError:
        faults.append(Fault("photo", f'taken_at is "{clip(taken_at)}"; allowed: a day, or a time with its offset'))
    if faults:
        raise PlanFaults(faults, clip(file.name))
    with telling(clip(file.name)):
        size = file.stat().st_size
        if size > _LARGEST:
            raise store_fault(clip(file.name), f"is too large; allowed: up to {_LARGEST // 1_000_000} MB")
        sha = checksum(file)
        target = photo_path(store.photos, sha, _ending(file))
    with telling(store.name):
        keep_file(file, target, sha)
        row = {
            "id": new_id(),
            "comparison": store.comparison.id,
            "sha256": sha,
            "bytes": size,
            "reading": reading,
            **{name: " ".join(text.split()) for name, text in said.items()},
            "taken_at": taken_at,
            "made_at": now(),
        }
        if reading is not None:
            store.get(reading)
        with writing_to(store.engine) as connection:
            connection.execute(PHOTO.insert(), row)
    return str(row["id"])


def photos_of(store: Store, plot: str | None = None) -> tuple[tuple[Any, Path], ...]:
    """Return the rows of photos with the file of each, all or those of one plot."""
    if store.photos is None:
        return ()
    asked = select(PHOTO).where(PHOTO.c.comparison == store.comparison.id)
    if plot is not None:
        asked = asked.where(PHOTO.c.plot == plot)
    with telling(store.name), reading_from(store.engine) as connection:
        rows = connection.execute(asked.order_by(PHOTO.c.taken_at, PHOTO.c.id)).all()
    return tuple((row, _found(store.photos, row.sha256)) for row in rows)


def damaged_photos(store: Store) -> tuple[str, ...]:
    """Return a sentence for every photo that is gone or is not what it was."""
    out = []
    for row, file in photos_of(store):
        if not file.is_file():
            out.append(f"photo {clip(row.name)} of plot {clip(row.plot)} is gone")
        elif checksum(file) != row.sha256:
            out.append(f"photo {clip(row.name)} of plot {clip(row.plot)} is damaged")
    return tuple(out)


def checksum(file: Path) -> str:
    """Return the SHA-256 of what a file holds."""
    found = hashlib.sha256()
    with file.open("rb") as stream:
        while block := stream.read(_BLOCK):
            found.update(block)
    return found.hexdigest()


def photo_path(folder: Path, sha: str, ending: str) -> Path:
    """Return where a photo lies: under the first two characters of its checksum."""
    return folder / sha[:2] / f"{sha}{ending}"


def keep_file(file: Path, target: Path, sha: str) -> None:
    """Copy a file to where it is kept, whole or not at all; what is there whole already stays."""
    if target.is_file() and checksum(target) == sha:
        return
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(f".{uuid.uuid4().hex}.part")
    found = hashlib.sha256()
    try:
        with file.open("rb") as source, part.open("xb") as copy:
            while block := source.read(_BLOCK):
                copy.write(block)
                found.update(block)
            copy.flush()
            os.fsync(copy.fileno())
        if found.hexdigest() != sha:
            raise store_fault(clip(file.name), "is damaged, or was changed while it was copied; nothing was kept")
        os.replace(part, target)
        to_disk(target.parent)
    finally:
        part.unlink(missing_ok=True)


def _found(folder: Path, sha: str) -> Path:
    there = (photo_path(folder, sha, ending) for ending in _ENDINGS)
    return next((file for file in there if file.is_file()), photo_path(folder, sha, _ENDINGS[0]))


def _ending(file: Path) -> str:
    with file.open("rb") as stream:
        start = stream.read(16)
    for begins, ending in _STARTS:
        if start.startswith(begins):
            return ending
    if start[:4] == b"RIFF" and start[8:12] == b"WEBP":
        return ".webp"
    if start[4:8] == b"ftyp" and start[8:12] in (b"heic", b"heix", b"mif1", b"msf1", b"hevc"):
        return ".heic"
    raise store_fault(clip(file.name), "is no photo; allowed: JPEG, PNG, WebP or HEIC")
