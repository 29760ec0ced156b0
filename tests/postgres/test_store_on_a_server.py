"""The store on a real PostgreSQL server, started for these tests alone in a folder of its own."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
import threading
import uuid
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError, IntegrityError

from spadework.plan import PlanFaults
from spadework.records.reading_row import new_reading
from spadework.records.store.copies import backup, look_over, merge, restore, take_in
from spadework.records.store.opening import create_store, open_store
from spadework.records.store.photos import add_photo
from spadework.records.store.schema_sql import METADATA, READING
from spadework.records.store.store import Added, Batch, Store
from stores_made import QUESTION, ZONE, everything, gap, made


def binaries() -> Path | None:
    """Return the folder of the newest server on this machine."""
    there = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: int(p.parts[-3]))
    found = shutil.which("initdb")
    return there[-1].parent if there else Path(found).parent if found else None


@pytest.fixture(scope="module")
def server() -> Iterator[str]:
    """Start a server that only this machine reaches, through a socket in its own folder; return the folder."""
    folder = binaries()
    if folder is None:
        pytest.skip("no PostgreSQL server is installed on this machine")
    with tempfile.TemporaryDirectory(prefix="spadework-server-", dir="/tmp") as name:
        begin: list[str] = []
        if os.geteuid() == 0:  # a server refuses to run as root
            try:
                owner = pwd.getpwnam("postgres")
            except KeyError:
                pytest.skip("there is no user postgres to run the server as")
            os.chown(name, owner.pw_uid, owner.pw_gid)
            begin = ["runuser", "-u", "postgres", "--"]
        data = f"{name}/data"

        def run(*command: str) -> None:
            done = subprocess.run([*begin, *command], capture_output=True, text=True, cwd=name, check=False)
            assert done.returncode == 0, done.stdout + done.stderr

        run(f"{folder}/initdb", "-D", data, "-U", "tester", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "-N")
        options = f"-k {name} -c listen_addresses='' -c max_connections=20 -c fsync=off"
        run(f"{folder}/pg_ctl", "-D", data, "-w", "-t", "60", "-l", f"{name}/log", "-o", options, "start")
        try:
            yield name
        finally:
            run(f"{folder}/pg_ctl", "-D", data, "-w", "-m", "immediate", "stop")


def new_database(server: str) -> str:
    import psycopg

    name = f"t{uuid.uuid4().hex[:10]}"
    with psycopg.connect(host=server, user="tester", dbname="postgres", autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    return f"postgresql://tester@/{name}?host={server}"


@pytest.fixture
def address(server: str) -> str:
    return new_database(server)


@pytest.fixture
def store(address: str) -> Iterator[Store]:
    with made(address) as one:
        yield one


def test_readings_come_back_and_adding_twice_changes_nothing(store: Store, address: str) -> None:
    rows = [
        gap(),
        gap("missing", sample=2),
        gap(14, sample=3, kept="old dead furrow"),
        gap("lost", "Øst", note="søndre ende"),
    ]
    rows.append(new_reading("soil", "nitrate_n_mg_kg", "below detection", limit=0.1 + 0.2, plot="101",
                            taken_at="2026-04-02", person="AB"))  # fmt: skip
    assert store.add(rows) == Added(5, 0)
    assert store.add(rows) == Added(0, 5)
    with open_store(address) as again:
        assert {one.id: one for one in again.every()} == {one.id: one for one in rows}
        assert look_over(again) == ()
    with pytest.raises(PlanFaults, match="says something else"):
        store.add([gap(sample=9), replace(rows[0], value=7.0)])
    assert store.count() == 5


def test_corrections_history_and_what_counts(store: Store) -> None:
    first = gap(6.5)
    store.add([first, gap(8, sample=2)])
    second = store.correct(first.id, 7.5, "wrong edge of the board", person="CD")
    assert [one.id for one in store.history("101", "band", "gap_cm")[0].readings] == [first.id, second.id]
    assert [one.value for one in store.current("band", "gap_cm", plot="101")] == [7.5, 8.0]


@pytest.mark.parametrize("table", ["comparison", "import_batch", "reading", "photo"])
def test_no_row_is_changed_taken_away_or_emptied(store: Store, table: str, tmp_path: Path) -> None:

    (tmp_path / "soil.png").write_bytes(b"\x89PNG\r\n\x1a\n" + b"0" * 20)
    store.photos = tmp_path / "photos"
    store.add([gap()], batch=Batch("00000000-0000-8000-8000-000000000000", "band", "band.csv", "0" * 64, "AB"))
    add_photo(store, tmp_path / "soil.png", plot="101", taken_at="2026-05-04", person="AB")
    before = everything(store)
    for statement in (
        f"UPDATE {table} SET id = id",  # noqa: S608
        f"DELETE FROM {table}",  # noqa: S608
        f"TRUNCATE {table} CASCADE",
        f"INSERT INTO {table} SELECT * FROM {table} ON CONFLICT (id) DO UPDATE SET id = 'x'",  # noqa: S608
    ):
        with pytest.raises(DBAPIError, match="are never changed or taken away"), store.engine.begin() as connection:
            connection.execute(text(statement))
    assert everything(store) == before


def test_versions_make_the_tables_that_the_code_knows(store: Store) -> None:
    with store.engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), METADATA) == []
        found = connection.execute(text("SELECT conname FROM pg_constraint WHERE contype = 'c'")).scalars().all()
    assert {c.name for c in METADATA.tables["reading"].constraints if hasattr(c, "sqltext")} <= {
        str(n) for n in found
    } | {str(n).removeprefix("ck_reading_") for n in found}


def test_the_tables_hold_what_the_program_would_refuse(store: Store) -> None:
    store.add([gap()])
    for change in ("value = NULL", "why_none = 'gone', value = NULL", "limit_value = 1", "reason = 'r'", "root = 'z'"):
        names = [column.name for column in READING.columns]
        changed = {said.split(" = ")[0].strip(): said.split(" = ")[1] for said in change.split(", ")}
        said = ", ".join({"id": "'x'", "root": "'x'"}.get(n, n) if n not in changed else changed[n] for n in names)
        with pytest.raises(IntegrityError), store.engine.begin() as connection:
            connection.execute(text(f"INSERT INTO reading SELECT {said} FROM reading"))  # noqa: S608
    assert store.count() == 1


def test_several_who_add_the_same_at_once_add_it_once(address: str) -> None:
    made(address).close()
    rows = [gap(plot=str(n % 7), sample=n // 7 + 1) for n in range(300)]
    failed: list[BaseException] = []
    added: list[Added] = []

    def write(start: int) -> None:
        try:
            with open_store(address) as store:
                for place in range(0, 300, 30):
                    at = (place + start) % 300
                    added.append(store.add(rows[at : at + 30]))
        except BaseException as error:
            failed.append(error)

    threads = [threading.Thread(target=write, args=(30 * n,)) for n in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    with open_store(address) as store:
        assert everything(store) == {(one.id, one.digest) for one in rows}


def test_a_file_from_the_field_and_the_server_are_taken_together(store: Store, tmp_path: Path) -> None:
    shared = gap(sample=5)
    with made(tmp_path / "field.db") as field:
        first = gap(6)
        field.add([first, shared])
        field.correct(first.id, 7, "misread", person="CD")
        store.add([shared, gap(plot="102")])
        whole = everything(field) | everything(store)
        with merge(store, field, tmp_path / "both.db") as one, merge(field, store, tmp_path / "again.db") as other:
            assert everything(one) == everything(other) == whole
            assert one.current() == other.current()
        assert take_in(store, field) == Added(2, 1)
        assert take_in(store, field) == Added(0, 3)
        take_in(field, store)
        assert everything(store) == everything(field) == whole
        assert store.current() == field.current()


def test_a_backup_goes_from_the_server_to_a_file_and_to_another_server(
    store: Store, server: str, tmp_path: Path
) -> None:
    first = gap()
    store.add([first, *(gap(sample=n + 2) for n in range(20))])
    store.correct(first.id, 7, "misread", person="CD")
    folder = backup(store, tmp_path / "day1")
    with restore(folder, tmp_path / "home.db") as home:
        assert everything(home) == everything(store)
        assert look_over(home) == ()
    other = new_database(server)
    with restore(folder, other) as there:
        assert everything(there) == everything(store)
        assert look_over(there) == ()
    with pytest.raises(PlanFaults, match="holds this comparison already"):
        restore(folder, other)
    with restore(folder, tmp_path / "third.db") as third:
        assert everything(third) == everything(store)


def test_a_database_holds_several_comparisons_apart(store: Store, address: str) -> None:
    store.add([first := gap()])
    with create_store(address, "Another question", ZONE) as other:
        with pytest.raises(PlanFaults, match="is in the store already"):
            other.add([first])
        assert other.known([first.id]) == {}
        other.add([gap(), gap(sample=2)])
        assert (store.count(), other.count()) == (1, 2)
        assert len(other.current()) == 2
    with pytest.raises(PlanFaults, match="several comparisons; name the question"):
        open_store(address)
    with pytest.raises(PlanFaults, match="holds this comparison already"):
        create_store(address, QUESTION, ZONE)
    with open_store(address, QUESTION) as again:
        assert again.count() == 1


def test_what_is_not_there_is_told(server: str, address: str) -> None:
    with pytest.raises(PlanFaults, match="is no store of readings"):
        open_store(address)
    with pytest.raises(PlanFaults, match=r"no such database|does not answer"):
        open_store(f"postgresql://tester:secret@/none?host={server}")
    with pytest.raises(PlanFaults) as error:
        open_store(f"postgresql://tester:secret@/none?host={server}")
    assert "secret" not in str(error.value)


def test_a_server_that_takes_no_writing_is_told(store: Store) -> None:
    store.add([gap()])
    with store.engine.begin() as connection:
        name = connection.execute(text("SELECT current_database()")).scalar_one()
        connection.execute(text(f'ALTER DATABASE "{name}" SET default_transaction_read_only = on'))
    store.engine.dispose()
    with pytest.raises(PlanFaults, match="takes no writing now; nothing of this was stored"):
        store.add([gap(sample=2)])
    assert store.count() == 1


def test_a_backup_with_photos_asks_for_a_folder_before_anything_is_made(address: str, tmp_path: Path) -> None:
    photo = tmp_path / "a.jpg"
    photo.write_bytes(b"\xff\xd8\xff\xe0 invented")
    with made(tmp_path / "trial.db") as store:
        store.add([gap()])
        add_photo(store, photo, plot="101", taken_at="2026-05-04", person="AB")
        backup(store, tmp_path / "stick")
    with pytest.raises(PlanFaults, match="--photos"):
        restore(tmp_path / "stick", address)
    with pytest.raises(PlanFaults, match="is no store"):  # nothing was made
        open_store(address)
    with restore(tmp_path / "stick", address, photos=tmp_path / "photos of the server") as again:
        assert (again.count(), look_over(again)) == (1, ())
