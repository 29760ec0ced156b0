"""The store of readings: rows are added, never changed; a correction is a row more, which points at the old one.

What was added is told to have been added only when it is on the disk.  Adding the same again changes nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from itertools import islice
from operator import attrgetter, itemgetter
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self

from sqlalchemy import Connection, Engine, Select, Table, func, or_, select

from spadework.plan import Fault, PlanFaults
from spadework.records.kinds import Kinds, reading_kinds
from spadework.records.reading_row import Reading, faults_of, new_reading, now, place_of, utc_of
from spadework.records.store.chains import Chain, chains_of, newest
from spadework.records.store.faults import store_fault, telling
from spadework.records.store.schema_sql import IMPORT_BATCH, READING
from spadework.records.store.transactions import reading_from, writing_to
from spadework.records.tables.columns import clip

__all__ = ["Added", "Batch", "Store", "in_chains", "insert_rows", "reading_of", "row_of"]

_CHUNK: Final = 2_000
_MOST_FAULTS: Final = 200
_OWN: Final = len(fields(Reading))
_CELLS: Final = attrgetter(*(one.name for one in fields(Reading)))
_NAMES: Final = tuple(column.name for column in READING.columns)
_OF_COLUMNS: Final = itemgetter(*_NAMES[:_OWN])
_CORRECTS: Final = [one.name for one in fields(Reading)].index("corrects")


@dataclass(frozen=True, slots=True)
class Added:
    """What became of readings that were handed over: how many are new, and how many were there already."""

    new: int
    known: int


@dataclass(frozen=True, slots=True)
class Batch:
    """A file whose readings are taken in: id, record, name of the file, its SHA-256, who took it in."""

    id: str
    record: str
    file: str
    sha256: str
    person: str


class Store:
    """Readings of one comparison; made by ``create_store`` and ``open_store`` of :mod:`spadework.records.store.opening`.

    Attributes
    ----------
    engine : Engine
        Connections to the file or the database.
    name : str
        Name of the store, for messages.
    comparison : object
        Row of the comparison: id, question, zone, invented.
    file : Path or None
        Its file; None where it is a database.
    photos : Path or None
        Folder of photos.
    kinds : Kinds
        Kinds of readings that it takes.
    """

    def __init__(
        self,
        engine: Engine,
        name: str,
        comparison: Any,
        *,
        file: Path | None,
        photos: Path | None,
        kinds: Kinds | None,
    ) -> None:
        self.engine, self.name, self.comparison, self.file, self.photos = engine, name, comparison, file, photos
        self.kinds = kinds if kinds is not None else reading_kinds()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file or the database."""
        self.engine.dispose()

    def add(self, readings: Iterable[Reading], *, batch: Batch | None = None) -> Added:
        """Add readings: all of them or, where one of them is wrong, none.

        Parameters
        ----------
        readings : iterable of Reading
            Those to add; a correction comes after what it corrects.
        batch : Batch, optional
            The file that they were read from.

        Returns
        -------
        Added
            When it returns, they are on the disk.

        Raises
        ------
        PlanFaults
            Every fault at once: what cannot be, what is unusual without a reason, an id that stands for something
            else already, a correction of what is not there; or that nothing can be written.
        """
        faults = _Faults()
        new = known = 0
        with telling(self.name), writing_to(self.engine) as connection:
            if batch is not None:
                self._add_batch(connection, batch)
            rest = iter(readings)
            while chunk := list(islice(rest, _CHUNK)):
                rows, there = self._rows(connection, chunk, batch, faults)
                known += there
                new += len(rows)
                if rows and not faults.found:
                    self._insert(connection, rows, faults)
            if faults.found:
                raise PlanFaults(faults.told(), self.name)
        return Added(new, known)

    def correct(self, old: str, value: float | str, reason: str, *, person: str, **more: Any) -> Reading:
        """Add a correction of a reading; the old one stays.

        Parameters
        ----------
        old : str
            Id of the reading to correct.
        value : float or str
            What it should be: a figure, or one of the four kinds of nothing.
        reason : str
            Why.
        person : str
            Who corrects.
        **more
            Whatever else was wrong: plot, place, sample, taken_at, instrument, note, kept, limit.

        Returns
        -------
        Reading
            The new row.

        Raises
        ------
        PlanFaults
            If the old one is not there, or the new one cannot be.
        """
        before = self.get(old)
        same = ("plot", "place", "sample", "taken_at", "instrument", "note")
        said = {name: getattr(before, name) for name in same} | more
        row = new_reading(before.record, before.field, value, person=person, kinds=self.kinds, corrects=old,
                          reason=reason, **said)  # fmt: skip
        self.add([row])
        return row

    def get(self, ident: str) -> Reading:
        """Return the reading of that id.

        Raises
        ------
        PlanFaults
            If there is none.
        """
        with telling(self.name), reading_from(self.engine) as connection:
            row = connection.execute(self._mine().where(READING.c.id == ident)).first()
        if row is None:
            raise store_fault(self.name, f'holds no reading with the id "{clip(ident)}"')
        return reading_of(row)

    def history(self, plot: str, record: str, field: str) -> tuple[Chain, ...]:
        """Return every reading of a plot and field with everything that it was corrected from and to.

        Parameters
        ----------
        plot : str
            Plot; readings that were moved to it or away from it are among them.
        record, field : str
            Kind of reading.

        Returns
        -------
        tuple of Chain
            One for each reading, in the order of their places, times and ids.
        """
        here = (READING.c.plot == plot, READING.c.record == record, READING.c.field == field)
        roots = select(READING.c.root).where(READING.c.comparison == self.comparison.id, *here)
        return chains_of(self._read(self._mine().where(in_chains(roots))))

    def current(
        self, record: str | None = None, field: str | None = None, *, plot: str | Collection[str] | None = None
    ) -> tuple[Reading, ...]:
        """Return what counts now: of every reading that was corrected, the last correction.

        Parameters
        ----------
        record, field : str, optional
            Only these.
        plot : str or collection of str, optional
            Only this plot, or these.

        Returns
        -------
        tuple of Reading
            In the order of record, field, plot, place, sample, time and id.  Where two people corrected the same reading,
            the later correction; :meth:`corrected_twice` lists such readings.
        """
        wanted = {"record": record, "field": field, "plot": plot}
        limits = [
            READING.c[name] == said if isinstance(said, str) else READING.c[name].in_(said)
            for name, said in wanted.items()
            if said is not None
        ]
        last = _last()
        with telling(self.name), reading_from(self.engine) as connection:
            found = connection.execute(self._mine().where(last, *limits).execution_options(yield_per=_CHUNK))
            heads = [reading_of(row) for row in found]
            forked = [root for root, count in connection.execute(self._heads(last)) if count > 1]
            rivals = connection.execute(self._mine().where(last, in_chains(forked))).all() if forked else []
        beaten = _beaten(rivals)
        return tuple(sorted((one for one in heads if one.id not in beaten), key=_order))

    def corrected_twice(self) -> tuple[Chain, ...]:
        """Return readings that two people corrected without knowing of each other."""
        last = _last()
        with telling(self.name), reading_from(self.engine) as connection:
            roots = [root for root, count in connection.execute(self._heads(last)) if count > 1]
        return chains_of(self._read(self._mine().where(in_chains(roots)))) if roots else ()

    def count(self) -> int:
        """Return how many rows there are, corrections among them."""
        with telling(self.name), reading_from(self.engine) as connection:
            asked = select(func.count()).select_from(READING).where(READING.c.comparison == self.comparison.id)
            return int(connection.execute(asked).scalar_one())

    def every(self) -> Iterator[Reading]:
        """Yield every row, old and corrected ones among them, in the order of their ids."""
        with telling(self.name), reading_from(self.engine) as connection:
            asked = self._mine().order_by(READING.c.id).execution_options(yield_per=_CHUNK)
            for row in connection.execute(asked):
                yield reading_of(row)

    def known(self, idents: Iterable[str]) -> dict[str, str]:
        """Return which of these ids are there, with the checksum of each."""
        rest, out = iter(idents), dict[str, str]()
        with telling(self.name), reading_from(self.engine) as connection:
            while chunk := list(islice(rest, _CHUNK)):
                out |= {ident: digest for ident, digest in self._digests(connection, chunk).items() if digest}
        return out

    def batches(self) -> tuple[Any, ...]:
        """Return the files that were taken in: id, record, file, sha256, person, imported_at."""
        asked = select(IMPORT_BATCH).where(IMPORT_BATCH.c.comparison == self.comparison.id)
        with telling(self.name), reading_from(self.engine) as connection:
            return tuple(connection.execute(asked.order_by(IMPORT_BATCH.c.imported_at, IMPORT_BATCH.c.id)))

    def _mine(self) -> Select[Any]:
        return select(READING).where(READING.c.comparison == self.comparison.id)

    def _read(self, asked: Select[Any]) -> list[Reading]:
        with telling(self.name), reading_from(self.engine) as connection:
            return [reading_of(row) for row in connection.execute(asked)]

    def _heads(self, last: Any) -> Select[Any]:
        corrected = READING.c.corrects.is_not(None)
        mine = READING.c.comparison == self.comparison.id
        return select(READING.c.root, func.count()).where(mine, corrected, last).group_by(READING.c.root)

    def _add_batch(self, connection: Connection, batch: Batch) -> None:
        row = connection.execute(select(IMPORT_BATCH).where(IMPORT_BATCH.c.id == batch.id)).first()
        if row is None:
            mine = {"comparison": self.comparison.id, "imported_at": now()}
            said = {name: getattr(batch, name) for name in ("id", "record", "file", "sha256", "person")}
            connection.execute(IMPORT_BATCH.insert(), said | mine)

    def _rows(
        self, connection: Connection, chunk: Sequence[Reading], batch: Batch | None, faults: _Faults
    ) -> tuple[list[tuple[Any, ...]], int]:
        """Return the rows to insert, and how many of the chunk are there already."""
        there = self._digests(connection, [one.id for one in chunk])
        ancestors = self._ancestors(connection, chunk)
        rows, known = [], 0
        for one in chunk:
            digest = one.digest
            if one.id in there:
                known += 1
                if there[one.id] != digest:
                    faults.add(_says_otherwise(one))
                continue
            faults.extend(faults_of(one, self.kinds))
            root = one.id
            if one.corrects:
                old = ancestors.get(one.corrects)
                root = self._root(one, old, faults)
            there[one.id] = digest
            ancestors[one.id] = (root, one.record, one.field)
            if not faults.found:
                rows.append(row_of(one, root, digest, self.comparison.id, batch.id if batch else None))
        return rows, known

    def _digests(self, connection: Connection, idents: Sequence[str]) -> dict[str, str]:
        """Return the checksum of each of these ids that is there; empty where it belongs to another comparison."""
        asked = select(READING.c.id, READING.c.digest, READING.c.comparison).where(READING.c.id.in_(idents))
        mine = self.comparison.id
        return {row.id: row.digest if row.comparison == mine else "" for row in connection.execute(asked)}

    def _ancestors(self, connection: Connection, chunk: Sequence[Reading]) -> dict[str, tuple[str, str, str]]:
        wanted = [one.corrects for one in chunk if one.corrects]
        if not wanted:
            return {}
        asked = select(READING.c.id, READING.c.root, READING.c.record, READING.c.field).where(
            READING.c.id.in_(wanted), READING.c.comparison == self.comparison.id
        )
        return {row.id: (row.root, row.record, row.field) for row in connection.execute(asked)}

    def _root(self, one: Reading, old: tuple[str, str, str] | None, faults: _Faults) -> str:
        place = place_of(one)
        if old is None:
            what = f"corrects the reading {clip(one.corrects)}, which is not in the store; add that one first"
            faults.add(Fault(place, what, one.source_line))
            return one.id
        root, record, field = old
        if (record, field) != (one.record, one.field):
            what = f"corrects a reading of {record} {field}; allowed: a correction of the same kind"
            faults.add(Fault(place, what, one.source_line))
        return root

    def _insert(self, connection: Connection, rows: list[tuple[Any, ...]], faults: _Faults) -> None:
        if connection.dialect.name == "sqlite":
            insert_rows(connection, READING, rows)
            return
        from sqlalchemy.dialects.postgresql import insert

        # Somebody else may add the same at the same moment: the first stays, and the second is held against it.
        named = [dict(zip(_NAMES, row, strict=True)) for row in rows]
        connection.execute(insert(READING).on_conflict_do_nothing(index_elements=["id"]), named)
        there = self._digests(connection, [row["id"] for row in named])
        for row in named:
            if there.get(row["id"]) != row["digest"]:
                faults.add(_says_otherwise(reading_of(tuple(row.values()))))


class _Faults:
    """Faults as they are found; those beyond what anybody reads are counted."""

    def __init__(self) -> None:
        self.list: list[Fault] = []
        self.found = 0

    def add(self, fault: Fault) -> None:
        self.found += 1
        if len(self.list) < _MOST_FAULTS:
            self.list.append(fault)

    def extend(self, faults: Iterable[Fault]) -> None:
        for fault in faults:
            self.add(fault)

    def told(self) -> list[Fault]:
        more = self.found - len(self.list)
        return [*self.list, *([Fault("", f"and {more} faults more")] if more else [])]


def insert_rows(connection: Connection, table: Table, rows: Sequence[tuple[Any, ...]]) -> None:
    """Insert many rows, whose cells stand in the order of the columns."""
    names = [column.name for column in table.columns]
    if (
        connection.dialect.name == "sqlite"
    ):  # handed over as they are: to go through every cell takes longer than SQLite does
        marks = ", ".join("?" * len(names))
        connection.exec_driver_sql(f"INSERT INTO {table.name} ({', '.join(names)}) VALUES ({marks})", list(rows))  # noqa: S608
    else:
        connection.execute(table.insert(), [dict(zip(names, row, strict=True)) for row in rows])


def row_of(one: Reading, root: str, digest: str, comparison: str, batch: str | None) -> tuple[Any, ...]:
    """Return a reading as a row of the table."""
    cells = _CELLS(one)
    if not one.corrects:
        cells = (*cells[:_CORRECTS], None, *cells[_CORRECTS + 1 :])
    return (*cells, utc_of(one.taken_at), root, digest, comparison, batch)


def reading_of(row: Sequence[Any] | Mapping[str, Any]) -> Reading:
    """Return a row of the table, or its cells by column, as a reading."""
    cells = _OF_COLUMNS(row) if isinstance(row, Mapping) else tuple(row)[:_OWN]
    if cells[_CORRECTS] is None:
        cells = (*cells[:_CORRECTS], "", *cells[_CORRECTS + 1 :])
    return Reading(*cells)


def in_chains(roots: Any) -> Any:
    """Return the condition that a row is the first of a chain, or a correction in one; both are found by an index."""
    return or_(READING.c.id.in_(roots), READING.c.corrects.is_not(None) & READING.c.root.in_(roots))


def _last() -> Any:
    """Return the condition that nobody corrected a row."""
    later = READING.alias("later")
    return ~select(later.c.id).where(later.c.corrects == READING.c.id).exists()


def _says_otherwise(one: Reading) -> Fault:
    what = (
        f"the reading {one.id} is in the store already and says something else than {clip(one.said)} of {one.taken_at}"
    )
    return Fault(place_of(one), f"{what}; add a correction with a reason", one.source_line)


def _beaten(rivals: Sequence[Any]) -> set[str]:
    """Return the ids of corrections that a later correction of the same reading stands in for."""
    by_root: dict[str, list[Reading]] = {}
    for row in rivals:
        by_root.setdefault(row.root, []).append(reading_of(row))
    return {one.id for group in by_root.values() for one in group if one.id != newest(group).id}


def _order(one: Reading) -> tuple[str, str, str, str, int, str, str]:
    return (one.record, one.field, one.plot, one.place, one.sample, utc_of(one.taken_at), one.id)
