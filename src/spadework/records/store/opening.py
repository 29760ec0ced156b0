"""Making a store of readings, opening it, and bringing its tables up to date with a backup first.

A store is a file of SQLite, or a database of PostgreSQL where several people write at once.
"""

from __future__ import annotations

import os
import sqlite3
import uuid
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlalchemy import Connection, Engine, create_engine, event, inspect, select, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import QueuePool

from spadework.plan.faults import nearest
from spadework.records.kinds import Kinds
from spadework.records.reading_row import name_id
from spadework.records.store.disk import to_disk
from spadework.records.store.faults import store_fault, telling
from spadework.records.store.schema_sql import COMPARISON
from spadework.records.store.transactions import reading_from, writing_to
from spadework.records.tables.columns import clip

if TYPE_CHECKING:
    from spadework.records.store.store import Store

__all__ = [
    "BACKUP_FILE",
    "BACKUP_SUMS",
    "NEWEST",
    "comparison_id",
    "copy_file",
    "create_store",
    "open_store",
]

BACKUP_FILE: Final = "readings.db"
"""Name of the store in the folder of a backup."""
BACKUP_SUMS: Final = "checksums.txt"
"""Name of the file with its checksums."""
NEWEST: Final = "0001"
"""Version of the tables that this release reads and writes."""
_MIGRATIONS: Final = "migrations"
_WAIT_S: Final = 15.0
_CACHE_KB: Final = 65_536
_SERVER: Final = "postgresql"


def create_store(
    place: Path | str,
    question: str,
    zone: str,
    *,
    invented: bool = False,
    photos: Path | None = None,
    kinds: Kinds | None = None,
) -> Store:
    """Make a store for the readings of one comparison.

    Parameters
    ----------
    place : Path or str
        File that is not there yet; or the address of a PostgreSQL database, ``postgresql://name@host/database``.
    question : str
        Question of the comparison.  Stores of the same question can be merged.
    zone : str
        Time zone of the field, such as ``Europe/Copenhagen``.
    invented : bool
        True where the readings are made up, to show or to practise.
    photos : Path, optional
        Folder of photos; ``photos`` beside the file if left out.  A database has none unless it is given.
    kinds : Kinds, optional
        Kinds of readings; those of the reference table if left out.

    Returns
    -------
    Store
        Open and empty.

    Raises
    ------
    PlanFaults
        If it is there already, cannot be written, or the zone is not known.
    """
    name, said = _name(place), " ".join(question.split())
    if not said:
        raise store_fault(name, "a store needs the question of its comparison")
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        what = f'"{clip(zone)}" is no time zone; allowed: names such as Europe/Copenhagen'
        raise store_fault(name, what) from None
    row = {"id": comparison_id(said), "question": said, "zone": zone, "invented": invented}
    with telling(name):
        if _is_server(place):
            _fill(_server(str(place)), row, name)
        else:
            _make_file(Path(place), row, name)
    return open_store(place, said, photos=photos, kinds=kinds)


def open_store(
    place: Path | str,
    question: str | None = None,
    *,
    photos: Path | None = None,
    kinds: Kinds | None = None,
    upgrade: bool | None = None,
) -> Store:
    """Open a store; one of an older release is brought up to date, after a backup of its file.

    Parameters
    ----------
    place : Path or str
        The file, or the address of a PostgreSQL database.
    question : str, optional
        Which comparison, where a database holds several.
    photos : Path, optional
        Folder of photos; ``photos`` beside the file if left out.
    kinds : Kinds, optional
        Kinds of readings; those of the reference table if left out.
    upgrade : bool, optional
        Whether to bring it up to date; if left out, files are and databases are not, since their backup is made elsewhere.

    Returns
    -------
    Store
        Open.

    Raises
    ------
    PlanFaults
        If it is not there, is no store, is part of a backup, is damaged, or was written by a newer release.
    """
    from spadework.records.store.store import Store

    name = _name(place)
    server = _is_server(place)
    if not server and not Path(place).is_file():
        raise store_fault(name, "there is no such store")
    if not server and Path(place).name == BACKUP_FILE and (Path(place).parent / BACKUP_SUMS).is_file():
        what = "is part of a backup, which would not be one any more after it was opened"
        raise store_fault(name, f"{what}; restore it beside and open that: spadework records restore FOLDER NEW-FILE")
    with telling(name):
        engine = _server(str(place)) if server else _file(Path(place))
        try:
            _up_to_date(engine, None if server else Path(place), name, not server if upgrade is None else upgrade)
            with reading_from(engine) as connection:
                found = connection.execute(select(COMPARISON)).all()
        except BaseException:
            engine.dispose()
            raise
    try:
        there = {row.question: row for row in found}
        wanted = " ".join(question.split()) if question is not None else None
        if wanted is None and len(there) == 1:
            wanted = next(iter(there))
        if wanted is None:
            raise store_fault(
                name, "holds several comparisons; name the question of one: " + "; ".join(map(clip, there))
            )
        if wanted not in there:
            near = nearest(wanted, there)
            raise store_fault(name, f'holds no comparison with the question "{clip(wanted)}"{near}')
    except BaseException:
        engine.dispose()
        raise
    folder = photos if photos is not None else None if server else Path(place).parent / "photos"
    file = None if server else Path(place)
    return Store(engine, name, there[wanted], file=file, photos=folder, kinds=kinds)


def comparison_id(question: str) -> str:
    """Return the id of a comparison: the same for the same question, wherever it is made.

    Examples
    --------
    >>> comparison_id("Does a strip keep up?") == comparison_id("Does a strip keep up?")
    True
    """
    return name_id("comparison", question)


def copy_file(source: Path, target: Path) -> None:
    """Copy the file of a store while others may write to it; `target` must not be there.

    Raises
    ------
    FileExistsError
        If `target` is there.
    """
    part = target.with_name(f".{target.name}.part-{uuid.uuid4().hex[:8]}")
    try:
        old = sqlite3.connect(source, timeout=_WAIT_S)
        try:
            new = sqlite3.connect(part)
            try:
                old.backup(new)
                new.execute("PRAGMA journal_mode=DELETE")
            finally:
                new.close()
        finally:
            old.close()
        to_disk(part)
        os.link(part, target)  # fails where something is there
        to_disk(target.parent)
    except sqlite3.Error as error:
        from sqlalchemy.exc import OperationalError

        raise OperationalError("copy", None, error) from error
    finally:
        part.unlink(missing_ok=True)


def _name(place: Path | str) -> str:
    if _is_server(place):
        try:
            return make_url(str(place)).render_as_string(hide_password=True)
        except (ArgumentError, ValueError):
            return "the address of the database"
    return Path(place).name


def _is_server(place: Path | str) -> bool:
    return isinstance(place, str) and place.startswith((f"{_SERVER}://", f"{_SERVER}+"))


def _server(address: str) -> Engine:
    try:
        return create_engine(make_url(address).set(drivername=f"{_SERVER}+psycopg"), pool_pre_ping=True)
    except (ArgumentError, ValueError):
        raise store_fault(
            "the address of the database", "cannot be read; allowed: postgresql://name@host/database"
        ) from None
    except ModuleNotFoundError:
        what = "needs the driver of PostgreSQL; install it with pip install 'spadework[postgres]'"
        raise store_fault(_name(address), what) from None


def _file(path: Path) -> Engine:
    pragmas = (
        "foreign_keys=ON",
        "journal_mode=WAL",
        "synchronous=FULL",
        "trusted_schema=OFF",
        f"cache_size=-{_CACHE_KB}",
    )

    def connect() -> sqlite3.Connection:
        where = f"{path.absolute().as_uri()}?mode=rw"
        made = sqlite3.connect(where, uri=True, timeout=_WAIT_S, isolation_level=None, check_same_thread=False)
        try:
            for pragma in pragmas:
                made.execute(f"PRAGMA {pragma}")
            if made.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
                raise store_fault(
                    path.name, "lies on a drive on which it cannot be kept safe; copy it to a drive of this machine"
                )
        except BaseException:
            made.close()
            raise
        return made

    # without the pool named here, an address without a file is taken for a store in memory, with one connection a thread
    engine = create_engine("sqlite+pysqlite://", creator=connect, poolclass=QueuePool)

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("spadework_writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _make_file(path: Path, row: dict[str, Any], name: str) -> None:
    """Make the file under another name and give it its own at the end, so that it is there whole or not at all."""
    if path.exists():
        raise store_fault(name, "is there already and is not written over; give another name")
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.part-{uuid.uuid4().hex[:8]}")
    try:
        part.touch(exist_ok=False)
        _fill(_file(part), row, name)
        to_disk(part)
        os.link(part, path)
        to_disk(path.parent)
    finally:
        for left in (part, *(part.with_name(part.name + more) for more in ("-wal", "-shm", "-journal"))):
            left.unlink(missing_ok=True)


def _fill(engine: Engine, row: dict[str, Any], name: str) -> None:
    try:
        _migrate(engine)
        with writing_to(engine) as connection:
            if connection.execute(select(COMPARISON.c.id).where(COMPARISON.c.id == row["id"])).first() is not None:
                raise store_fault(name, "holds this comparison already; open it")
            connection.execute(COMPARISON.insert(), row)
    finally:
        engine.dispose()


def _up_to_date(engine: Engine, path: Path | None, name: str, upgrade: bool) -> None:
    with reading_from(engine) as connection:
        if not inspect(connection).has_table("alembic_version"):
            raise store_fault(name, "is no store of readings")
        version = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    if version == NEWEST:
        return
    if version is None or str(version) > NEWEST:
        raise store_fault(name, f"was written by a newer release (tables {version}); install that release to open it")
    if not upgrade:
        what = f"has tables of an older release ({version}); make a backup, then open it with upgrade=True"
        raise store_fault(name, what)
    if path is not None:
        copy_file(path, _free(path, f"before-{NEWEST}"))
    _migrate(engine)


def _free(path: Path, word: str) -> Path:
    """Return a name beside the file that is not taken."""
    number = 1
    while (found := path.with_name(f"{path.stem}.{word}-{number}{path.suffix}")).exists():
        number += 1
    return found


def _migrate(engine: Engine) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", f"{Path(__file__).parent / _MIGRATIONS}".replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    with writing_to(engine) as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, NEWEST)
