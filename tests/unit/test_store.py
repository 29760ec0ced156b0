"""The store of readings: what goes in stays, what is wrong is told whole, and nothing is half there."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy.exc import IntegrityError

from spadework.plan import PlanFaults
from spadework.records.reading_row import new_id, new_reading, now
from spadework.records.store import opening as store_open
from spadework.records.store.copies import backup, look_over, merge, restore, take_in
from spadework.records.store.opening import NEWEST, create_store, open_store
from spadework.records.store.photos import add_photo, damaged_photos, photos_of
from spadework.records.store.schema_sql import METADATA
from spadework.records.store.store import Added, Store
from stores_made import QUESTION, ZONE, dry, everything, gap, made

MIGRATIONS = Path(store_open.__file__).parent / "migrations"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with made(tmp_path / "trial.db") as one:
        yield one


def told(error: pytest.ExceptionInfo[PlanFaults]) -> str:
    return "\n".join(str(fault) for fault in error.value.faults)


def test_what_is_added_is_there_after_opening_again(tmp_path: Path) -> None:
    rows = [
        gap(),
        gap("missing", sample=2),
        gap("lost", sample=3),
        dry("unreadable", "102"),
        dry("not measured", "103"),
    ]
    rows.append(new_reading("soil", "nitrate_n_mg_kg", "below detection", limit=0.5, plot="101", place="0 to 30 cm",
                            taken_at="2026-04-02", person="AB", note="søndre ende"))  # fmt: skip
    with made(tmp_path / "trial.db") as one:
        assert one.add(rows) == Added(6, 0)
    with open_store(tmp_path / "trial.db") as again:
        assert {row.id: row for row in again.every()} == {row.id: row for row in rows}
        assert again.comparison.question == QUESTION
        assert [row.nothing for row in again.current("band")] == ["", "missing", "missing"]
        assert look_over(again) == ()


def test_adding_twice_changes_nothing(store: Store) -> None:
    rows = [gap(), gap(sample=2)]
    assert store.add(rows) == Added(2, 0)
    assert store.add([*rows, gap(sample=3)]) == Added(1, 2)
    assert store.add([rows[0], rows[0]]) == Added(0, 2)
    assert store.count() == 3


def test_same_id_for_something_else_is_told(store: Store) -> None:
    one = gap()
    store.add([one])
    with pytest.raises(PlanFaults) as error:
        store.add([gap(sample=2), replace(one, value=7.0)])
    assert "says something else than 7 cm" in told(error)
    assert everything(store) == {(one.id, one.digest)}
    with pytest.raises(PlanFaults, match="says something else"):
        store.add([two := gap(sample=5), replace(two, value=8.0)])
    assert store.count() == 1


def test_every_fault_is_told_and_nothing_is_added(store: Store) -> None:
    faulty = [
        gap(41),
        gap(30),
        gap("gone"),
        gap(6.5, plot=""),
        gap(sample=0),
        gap(6.5, note="a\nb"),
        gap(6.5, note="x" * 201),
        replace(gap(), unit="mm"),
        replace(gap(), field="gaps_cm"),
        replace(gap(), record="bands"),
        replace(gap(), value=None),
        replace(gap(), limit=1.0),
        replace(gap(), id="1"),
        replace(gap(), taken_at="2026-05-04T09:30:00"),
        replace(gap(), taken_at="4.5.2026"),
        replace(gap(), made_at=""),
        replace(gap(), value=float("nan")),
        replace(gap(), corrects=new_id(), reason="misread"),
        replace(gap(), corrects=new_id()),
        replace(gap(), reason="misread"),
        gap("below detection"),
        gap("missing", limit=0.5),
        new_reading("stand", "plants", 9.5, plot="101", taken_at="2026-06-01", person="AB"),
        replace(gap(), source_line=0),
    ]
    for one in faulty:
        with pytest.raises(PlanFaults):
            store.add([one])
    with pytest.raises(PlanFaults) as error:
        store.add([gap(), *faulty])
    text = told(error)
    for said in (
        *("41 cm cannot be; allowed: -10 to 40 cm", "30 cm lies outside the usual 3 to 12 cm", '"gone" is no word'),
        *(
            "says no plot",
            "sample is 0",
            'its unit is "mm"; allowed: cm',
            'did you mean "gap_cm"',
            'did you mean "band"',
        ),
        *(
            "needs a figure or one of the words missing, not measured",
            "gives a limit beside a figure",
            "ids are made by",
        ),
        *("a time with its offset", "is no figure", "which is not in the store", "without a reason; say why"),
        *("gives a reason for a correction", "least that the method can find", "no whole number", "line is 0"),
    ):
        assert said in text, said
    assert len(error.value.faults) >= len(faulty)
    assert store.count() == 0


def test_many_faults_are_counted(store: Store) -> None:
    with pytest.raises(PlanFaults, match="and 300 faults more"):
        store.add(gap(41, sample=n + 1) for n in range(500))


def test_an_unusual_figure_is_kept_with_a_reason(store: Store) -> None:
    store.add([gap(14, kept="old dead furrow under the row")])
    assert store.current()[0].kept == "old dead furrow under the row"


def test_minus_nought_and_letters_in_two_forms_keep_their_checksum(tmp_path: Path) -> None:
    one = new_reading("band", "offset_cm", -0.0, plot="Nørremark e\u0301", taken_at="2026-05-04", person="Æ")
    with made(tmp_path / "trial.db") as store:
        store.add([one])
        assert look_over(store) == ()
        assert store.current(plot="Nørremark \u00e9")[0].plot == "Nørremark \u00e9"


def test_a_correction_leaves_the_old_row(store: Store) -> None:
    first = gap(6.5)
    store.add([first, gap(8, sample=2)])
    second = store.correct(first.id, 7.5, "read from the wrong edge of the board", person="CD")
    third = store.correct(second.id, "unreadable", "the sheet got wet", person="EF")
    chain, other = store.history("101", "band", "gap_cm")
    assert [one.id for one in chain.readings] == [first.id, second.id, third.id]
    assert chain.current == third
    assert [one.said for one in store.current("band", "gap_cm", plot="101")] == ["unreadable", "8 cm"]
    assert "corrected on" in chain.lines()[1]
    assert "wrong edge" in chain.lines()[1]
    assert len(other.readings) == 1
    assert store.count() == 4
    assert store.get(first.id) == first
    assert look_over(store) == ()


def test_a_correction_that_cannot_be_is_refused(store: Store) -> None:
    one = gap()
    store.add([one])
    with pytest.raises(PlanFaults, match="without a reason"):
        store.correct(one.id, 7, " ", person="CD")
    with pytest.raises(PlanFaults, match="outside the usual"):
        store.correct(one.id, 30, "typed wrongly", person="CD")
    with pytest.raises(PlanFaults, match="no reading with the id"):
        store.correct(new_id(), 7, "typed wrongly", person="CD")
    other = replace(dry(32, "101"), corrects=one.id, reason="typed into the wrong column")
    with pytest.raises(PlanFaults, match="correction of the same kind"):
        store.add([other])
    assert store.count() == 1


def test_a_reading_moved_to_another_plot_shows_in_both_histories(store: Store) -> None:
    one = gap(6.5, plot="101")
    store.add([one])
    store.correct(one.id, 6.5, "it was the plot beside it", person="CD", plot="102")
    assert store.current(plot="101") == ()
    assert [row.said for row in store.current(plot="102")] == ["6.5 cm"]
    assert store.history("101", "band", "gap_cm") == store.history("102", "band", "gap_cm")


def test_chains_within_one_batch(store: Store) -> None:
    first = gap(6)
    rows = [first]
    for number in range(3):
        rows.append(replace(gap(7 + number), corrects=rows[-1].id, reason="again"))
    assert store.add(rows) == Added(4, 0)
    assert [one.value for one in store.current()] == [9]
    with pytest.raises(PlanFaults, match="not in the store"):
        store.add([replace(gap(), corrects=(later := gap()).id, reason="order"), later])


@pytest.mark.parametrize("table", ["comparison", "import_batch", "reading", "photo"])
def test_no_row_is_changed_taken_away_or_replaced(tmp_path: Path, table: str) -> None:
    (tmp_path / "soil.png").write_bytes(b"\x89PNG\r\n\x1a\n" + b"0" * 20)
    from spadework.records.store.store import Batch

    with made(tmp_path / "trial.db") as store:
        store.add([gap()], batch=Batch(new_id(), "band", "band.csv", "0" * 64, "AB"))
        add_photo(store, tmp_path / "soil.png", plot="101", taken_at="2026-05-04", person="AB")
        before = everything(store)
    raw = sqlite3.connect(tmp_path / "trial.db")
    try:
        raw.execute("PRAGMA foreign_keys=OFF")
        for statement in (
            f"UPDATE {table} SET id = 'x'",  # noqa: S608
            f"DELETE FROM {table}",  # noqa: S608
            f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}",  # noqa: S608
            f"REPLACE INTO {table} SELECT * FROM {table}",  # noqa: S608
        ):
            with pytest.raises(sqlite3.IntegrityError, match=f"rows of {table} are never changed"):
                raw.execute(statement)
    finally:
        raw.close()
    with open_store(tmp_path / "trial.db") as again:
        assert everything(again) == before


def test_the_tables_hold_what_the_program_would_refuse(store: Store) -> None:
    row = {"id": "x", "comparison": store.comparison.id, "record": "band", "field": "gap_cm", "plot": "1",
           "place": "", "sample": 1, "unit": "cm", "why_none": "", "taken_at": "2026-05-04", "taken_utc": "2026-05-04",
           "root": "x", "person": "AB", "instrument": "", "note": "", "kept": "", "reason": "", "made_at": now(), "digest": "",
           "source_file": "", "value": 5.0}  # fmt: skip
    from spadework.records.store.schema_sql import READING

    wrong: list[dict[str, object]] = [
        {"value": None},
        {"why_none": "missing"},
        {"why_none": "gone", "value": None},
        {"limit_value": 1.0},
        {"why_none": "below detection", "value": None},
        {"corrects": "y", "reason": "r", "root": "y"},
        {"reason": "r"},
        {"root": "z"},
        {"comparison": "nobody"},
        {"batch": "nobody"},
    ]
    for change in wrong:
        with pytest.raises(IntegrityError), store.engine.begin() as connection:
            connection.execute(READING.insert(), row | change)
    assert store.count() == 0


def test_pragmas_that_keep_what_was_told(store: Store) -> None:
    with store.engine.connect() as connection:
        for pragma, value in (("journal_mode", "wal"), ("synchronous", 2), ("foreign_keys", 1)):
            assert connection.exec_driver_sql(f"PRAGMA {pragma}").scalar() == value
        assert connection.exec_driver_sql("PRAGMA busy_timeout").scalar_one() >= 10_000


def test_versions_make_the_tables_that_the_code_knows(store: Store) -> None:
    with store.engine.connect() as connection:
        apart = compare_metadata(MigrationContext.configure(connection), METADATA)
        checks = connection.exec_driver_sql("SELECT sql FROM sqlite_master WHERE name = 'reading'").scalar_one()
    assert apart == []
    for constraint in METADATA.tables["reading"].constraints:
        if hasattr(constraint, "sqltext"):
            assert str(constraint.sqltext) in checks
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    config.set_main_option("path_separator", "os")
    assert ScriptDirectory.from_config(config).get_heads() == [NEWEST]


def test_an_older_store_is_backed_up_and_brought_up_to_date(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with made(tmp_path / "trial.db") as store:
        store.add([gap()])
        before = everything(store)
    coming = tmp_path / "versions_to_come"
    (coming / "versions").mkdir(parents=True)
    for file in (MIGRATIONS / "env.py", *(MIGRATIONS / "versions").glob("v*.py")):
        target = coming / file.relative_to(MIGRATIONS)
        target.write_text(file.read_text("utf-8"), "utf-8")
    (coming / "versions" / "v0002_later.py").write_text(
        "import sqlalchemy as sa\nfrom alembic import op\nrevision = '0002'\ndown_revision = '0001'\n"
        "def upgrade():\n    op.add_column('photo', sa.Column('camera', sa.Text()))\n"
    )
    monkeypatch.setattr(store_open, "_MIGRATIONS", str(coming))
    monkeypatch.setattr(store_open, "NEWEST", "0002")
    with pytest.raises(PlanFaults, match="older release"):
        open_store(tmp_path / "trial.db", upgrade=False)
    with open_store(tmp_path / "trial.db") as again:
        assert everything(again) == before
        with again.engine.connect() as connection:
            assert connection.exec_driver_sql("SELECT camera FROM photo").all() == []
            assert connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar() == "0002"
    kept = tmp_path / "trial.before-0002-1.db"
    monkeypatch.undo()
    with open_store(kept) as old:
        assert everything(old) == before
    with pytest.raises(PlanFaults, match=r"newer release \(tables 0002\)"):
        open_store(tmp_path / "trial.db")


def test_an_upgrade_that_fails_leaves_the_store_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made(tmp_path / "trial.db").close()
    coming = tmp_path / "later"
    (coming / "versions").mkdir(parents=True)
    for file in (MIGRATIONS / "env.py", *(MIGRATIONS / "versions").glob("v*.py")):
        (coming / file.relative_to(MIGRATIONS)).write_text(file.read_text("utf-8"), "utf-8")
    (coming / "versions" / "v0002.py").write_text(
        "from alembic import op\nrevision = '0002'\ndown_revision = '0001'\n"
        "def upgrade():\n    op.execute('CREATE TABLE half (id TEXT)')\n    op.execute('CREATE TABLE reading (id TEXT)')\n"
    )
    with monkeypatch.context() as patched:
        patched.setattr(store_open, "_MIGRATIONS", str(coming))
        patched.setattr(store_open, "NEWEST", "0002")
        with pytest.raises(PlanFaults, match="does not take this"):
            open_store(tmp_path / "trial.db")
    with open_store(tmp_path / "trial.db") as again, again.engine.connect() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM sqlite_master WHERE name = 'half'").scalar() == 0


def test_versions_are_never_taken_back() -> None:
    from spadework.records.store.migrations.versions import v0001_first_tables

    with pytest.raises(NotImplementedError, match="restore the backup"):
        v0001_first_tables.downgrade()


def test_what_is_no_store_is_told(tmp_path: Path) -> None:
    with pytest.raises(PlanFaults, match="there is no such store"):
        open_store(tmp_path / "none.db")
    (tmp_path / "text.db").write_text("plot;value\n" * 200)
    with pytest.raises(PlanFaults, match="is no store of readings"):
        open_store(tmp_path / "text.db")
    (tmp_path / "empty.db").write_bytes(b"")
    with pytest.raises(PlanFaults, match="is no store of readings"):
        open_store(tmp_path / "empty.db")
    made(tmp_path / "trial.db").close()
    for place, zone, question, said in (
        ("trial.db", ZONE, QUESTION, "is there already"),
        ("new.db", "Europe/Atlantis", QUESTION, "is no time zone"),
        ("new.db", ZONE, "  ", "needs the question"),
    ):
        with pytest.raises(PlanFaults, match=said):
            create_store(tmp_path / place, question, zone)
    with pytest.raises(PlanFaults, match="holds no comparison"):
        open_store(tmp_path / "trial.db", "Another question")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["empty.db", "text.db", "trial.db"]


def test_a_damaged_store_is_told(tmp_path: Path) -> None:
    with made(tmp_path / "trial.db") as store:
        store.add(gap(sample=n + 1) for n in range(2_000))
    data = bytearray((tmp_path / "trial.db").read_bytes())
    data[40_000:200_000] = b"\xff" * 160_000
    (tmp_path / "trial.db").write_bytes(data)
    with pytest.raises(PlanFaults, match="is damaged"), open_store(tmp_path / "trial.db") as again:
        list(again.every())


def test_a_changed_figure_in_the_file_is_found(tmp_path: Path) -> None:
    with made(tmp_path / "trial.db") as store:
        store.add([gap(6.5), gap(7, sample=2)])
    raw = sqlite3.connect(tmp_path / "trial.db")
    raw.executescript("DROP TRIGGER reading_never_changed; UPDATE reading SET value = 9 WHERE sample = 2;")
    raw.close()
    with open_store(tmp_path / "trial.db") as again, made(tmp_path / "other.db") as other:
        assert len(look_over(again)) == 1
        assert "is not what it was" in look_over(again)[0]
        with pytest.raises(PlanFaults, match="is damaged; restore a backup"):
            take_in(other, again)
        assert other.count() == 0


def test_two_writers_wait_for_each_other(tmp_path: Path) -> None:
    made(tmp_path / "trial.db").close()
    failed: list[BaseException] = []

    def write(name: str) -> None:
        try:
            with open_store(tmp_path / "trial.db") as store:
                for number in range(20):
                    store.add([gap(plot=name, sample=number + 1)])
        except BaseException as error:
            failed.append(error)

    threads = [threading.Thread(target=write, args=(f"10{n}",)) for n in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    with open_store(tmp_path / "trial.db") as store:
        assert store.count() == 60


def test_stores_of_different_comparisons_are_not_merged(tmp_path: Path) -> None:
    with made(tmp_path / "a.db") as one, made(tmp_path / "b.db", "Another question") as other:
        with pytest.raises(PlanFaults, match="allowed: stores of one comparison"):
            merge(one, other, tmp_path / "both.db")
        with pytest.raises(PlanFaults, match="allowed: stores of one comparison"):
            take_in(one, other)
    create_store(tmp_path / "c.db", QUESTION, "UTC", invented=True).close()
    with (
        open_store(tmp_path / "a.db") as one,
        open_store(tmp_path / "c.db") as other,
        pytest.raises(PlanFaults, match="zone is UTC"),
    ):
        merge(one, other, tmp_path / "both.db")
    assert not (tmp_path / "both.db").exists()


def test_the_same_id_for_two_readings_is_told_when_merging(tmp_path: Path) -> None:
    row = gap()
    with made(tmp_path / "a.db") as one, made(tmp_path / "b.db") as other:
        one.add([row])
        other.add([replace(row, value=7.0), gap(sample=2)])
        with pytest.raises(PlanFaults, match="stands for two different readings"):
            merge(one, other, tmp_path / "both.db")
        with pytest.raises(PlanFaults, match="stands for two different readings"):
            take_in(one, other)
        assert one.count() == 1
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.db", "b.db"]


def test_two_people_who_correct_the_same_are_told_of(tmp_path: Path) -> None:
    first = gap(6)
    with made(tmp_path / "a.db") as one, made(tmp_path / "b.db") as other:
        one.add([first])
        other.add([first])
        one.correct(first.id, 7, "misread", person="AB")
        late = other.correct(first.id, 8, "dug again", person="CD")
        with merge(one, other, tmp_path / "both.db") as both:
            assert [row.value for row in both.current()] == [8]
            assert [chain.current.id for chain in both.corrected_twice()] == [late.id]
            assert "side by side; the last one counts: 8 cm" in both.corrected_twice()[0].lines()[-1]
            assert one.corrected_twice() == ()


def test_merging_writes_over_nothing(tmp_path: Path) -> None:
    with made(tmp_path / "a.db") as one, made(tmp_path / "b.db") as other, pytest.raises(PlanFaults, match="already"):
        merge(one, other, tmp_path / "a.db")


def photo(path: Path, what: bytes = b"a") -> Path:
    path.write_bytes(b"\xff\xd8\xff\xe0" + what * 5_000)
    return path


def test_photos_lie_under_their_checksum_and_come_along(tmp_path: Path) -> None:
    (tmp_path / "field").mkdir()
    with made(tmp_path / "field" / "trial.db") as store:
        row = gap()
        store.add([row])
        add_photo(store, photo(tmp_path / "p1.jpg"), plot="101", taken_at="2026-05-04", person="AB", reading=row.id)
        add_photo(store, photo(tmp_path / "p2.jpg"), plot="102", taken_at="2026-05-04", person="AB", note="the same")
        kept = sorted((tmp_path / "field" / "photos").rglob("*.jpg"))
        assert len(kept) == 1
        assert kept[0].parent.name == kept[0].name[:2]
        assert [found.name for found, _ in photos_of(store, "101")] == ["p1.jpg"]
        backup(store, tmp_path / "stick")
        with restore(tmp_path / "stick", tmp_path / "home" / "trial.db") as again:
            assert len(photos_of(again)) == 2
            assert damaged_photos(again) == ()
        (tmp_path / "elsewhere").mkdir()
        with made(tmp_path / "elsewhere" / "b.db") as other, merge(store, other, tmp_path / "both" / "c.db") as both:
            assert len(photos_of(both)) == 2
            assert look_over(both) == ()
        kept[0].write_bytes(b"\xff\xd8\xff\xe0" + b"b")
        assert len(damaged_photos(store)) == 2
        kept[0].unlink()
        assert "is gone" in look_over(store)[0]
        with pytest.raises(PlanFaults, match="is gone"):
            backup(store, tmp_path / "stick2")
        assert not (tmp_path / "stick2").exists()


def test_what_is_no_photo_is_refused(store: Store, tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_text("no photo at all, only text")
    with pytest.raises(PlanFaults, match="is no photo; allowed: JPEG"):
        add_photo(store, tmp_path / "a.jpg", plot="101", taken_at="2026-05-04", person="AB")
    with pytest.raises(PlanFaults) as error:
        add_photo(store, photo(tmp_path / "b.jpg"), plot=" ", taken_at="yesterday", person="", note="x" * 201)
    assert len(error.value.faults) == 4
    with pytest.raises(PlanFaults, match="no reading with the id"):
        add_photo(store, tmp_path / "b.jpg", plot="1", taken_at="2026-05-04", person="AB", reading="x")
    with pytest.raises(PlanFaults, match="cannot be read"):
        add_photo(store, tmp_path / "none.jpg", plot="1", taken_at="2026-05-04", person="AB")
    assert photos_of(store) == ()


def test_a_backup_is_whole_checked_and_written_over_nothing(store: Store, tmp_path: Path) -> None:
    first = gap()
    store.add([first, *(gap(sample=n + 2) for n in range(50))])
    store.correct(first.id, 7, "misread", person="CD")
    backup(store, tmp_path / "stick" / "day1")
    assert sorted(p.name for p in (tmp_path / "stick").iterdir()) == ["day1"]
    with pytest.raises(PlanFaults, match="is there already"):
        backup(store, tmp_path / "stick" / "day1")
    with restore(tmp_path / "stick" / "day1", tmp_path / "new" / "trial.db") as again:
        assert everything(again) == everything(store)
        again.add([gap(plot="109")])
        assert look_over(again) == ()
    with pytest.raises(PlanFaults, match="is there already"):
        restore(tmp_path / "stick" / "day1", tmp_path / "new" / "trial.db")
    with restore(tmp_path / "stick" / "day1", tmp_path / "new" / "second.db") as second:
        assert everything(second) == everything(store)


def test_a_damaged_backup_is_refused(store: Store, tmp_path: Path) -> None:
    store.add([gap()])
    folder = backup(store, tmp_path / "day1")
    file, sums = folder / "readings.db", folder / "checksums.txt"
    data, said = file.read_bytes(), sums.read_text()

    def refused(match: str) -> None:
        with pytest.raises(PlanFaults, match=match):
            restore(folder, tmp_path / "new.db")
        assert not (tmp_path / "new.db").exists()

    file.write_bytes(data[:-1] + bytes([data[-1] ^ 1]))
    refused("is damaged; use another backup")
    file.unlink()
    refused("is gone from the backup")
    file.write_bytes(data)
    sums.write_text("")
    refused("names no readings.db")
    sums.write_text(said.replace("readings.db", "../../etc/readings.db"))
    refused("is no checksum and name of a backup")
    sums.unlink()
    refused("is no backup")


def test_a_database_needs_its_address(tmp_path: Path) -> None:
    with pytest.raises(PlanFaults, match=r"cannot be read|does not answer"):
        open_store("postgresql://nobody@127.0.0.1:1/none")
    with pytest.raises(PlanFaults, match="cannot be read"):
        open_store("postgresql://nobody@127.0.0.1:port/none")
