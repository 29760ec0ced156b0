"""Laws of the store: adding twice changes nothing, and merging cares neither for order nor for repetition."""

from __future__ import annotations

import itertools
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.records.reading_row import CONTENT, Reading, faults_of, new_id, utc_of
from spadework.records.store.chains import chains_of
from spadework.records.store.copies import backup, look_over, merge, restore, take_in
from spadework.records.store.store import Batch, Store
from stores_made import everything, gap, made

TEXT = st.text(st.characters(codec="utf-8", categories=("L", "M", "N", "P", "S")), max_size=40)
NAMES = st.sampled_from(["101", "102", "Ø3", "plot 4"])
VALUES = st.one_of(st.floats(3, 12), st.sampled_from(["missing", "not measured", "unreadable"]))
MOMENTS = st.datetimes(timezones=st.timezones()).map(lambda when: when.replace(microsecond=0).isoformat()).filter(
    lambda said: len(said) == 25)  # fmt: skip


@st.composite
def readings(draw: st.DrawFn) -> Reading:
    return replace(
        gap(draw(VALUES), draw(NAMES), draw(st.integers(1, 4))), note=draw(TEXT), person=draw(TEXT) or "AB",
        taken_at=draw(st.one_of(MOMENTS, st.dates().map(str))), place=draw(st.sampled_from(["", "row 1"])),
        source_file=draw(st.sampled_from(["", "a.csv"])),
    )  # fmt: skip


@st.composite
def pools(draw: st.DrawFn) -> list[Reading]:
    """Readings, some of them corrections of others, in an order in which they can be added."""
    rows = draw(st.lists(readings(), max_size=6))
    for _ in range(draw(st.integers(0, 5)) if rows else 0):
        old = draw(st.sampled_from(rows))
        rows.append(replace(draw(readings()), id=new_id(), corrects=old.id, reason="misread", record=old.record))
    return rows


def some(draw: st.DrawFn, pool: list[Reading]) -> list[Reading]:
    """Return a part of the pool with all that its corrections correct."""
    wanted = {one.id for one in pool if draw(st.booleans())}
    for one in reversed(pool):
        if one.id in wanted and one.corrects:
            wanted.add(one.corrects)
    return [one for one in pool if one.id in wanted]


@st.composite
def three_parts(draw: st.DrawFn) -> tuple[list[Reading], list[Reading], list[Reading]]:
    pool = draw(pools())
    return some(draw, pool), some(draw, pool), some(draw, pool)


@contextmanager
def stores(*parts: list[Reading]) -> Iterator[tuple[Path, tuple[Store, ...]]]:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        opened = tuple(made(folder / f"{number}.db") for number in range(len(parts)))
        try:
            for number, (store, part) in enumerate(zip(opened, parts, strict=True)):
                # each helper has read a file; the same readings came here in different ways
                batch = Batch(
                    new_id() if number else "00000000-0000-8000-8000-000000000000", "band", f"{number}.csv", "0", "AB"
                )
                store.add([replace(one, source_file=f"{number}.csv") for one in part], batch=batch)
            yield folder, opened
        finally:
            for store in opened:
                store.close()


def rows(store: Store) -> list[tuple[object, ...]]:
    with store.engine.connect() as connection:
        return [tuple(row) for row in connection.exec_driver_sql("SELECT * FROM reading ORDER BY id")]


@settings(max_examples=8)
@given(three_parts())
def test_merging_is_commutative_associative_and_idempotent(parts: tuple[list[Reading], ...]) -> None:
    with stores(*parts) as (folder, (a, b, c)):
        names = (folder / f"m{number}.db" for number in itertools.count())
        with merge(a, b, next(names)) as ab, merge(b, a, next(names)) as ba, merge(b, c, next(names)) as bc:
            assert rows(ab) == rows(ba)
            assert everything(ab) == everything(a) | everything(b)
            with merge(ab, c, next(names)) as left, merge(a, bc, next(names)) as right:
                assert rows(left) == rows(right)
                assert left.current() == right.current()
            with merge(ab, ab, next(names)) as twice, merge(ab, b, next(names)) as again:
                assert rows(twice) == rows(ab) == rows(again)
            assert look_over(ab) == ()


@settings(max_examples=12)
@given(three_parts())
def test_taking_in_leaves_the_same_readings_whatever_the_order(parts: tuple[list[Reading], ...]) -> None:
    with stores(*parts) as (_, (a, b, c)):
        whole = everything(a) | everything(b) | everything(c)
        before = everything(b)
        found = take_in(a, b)
        assert (found.new, found.known) == (
            len(before - everything_of(parts[0])),
            len(before & everything_of(parts[0])),
        )
        assert everything(b) == before
        assert take_in(a, b).new == 0
        take_in(a, c)
        take_in(c, b)
        take_in(c, a)
        assert everything(a) == everything(c) == whole
        assert a.current() == tuple(
            replace(one, source_file=two.source_file) for one, two in zip(c.current(), a.current(), strict=True)
        )


def everything_of(part: list[Reading]) -> set[tuple[str, str]]:
    return {(one.id, one.digest) for one in part}


@settings(max_examples=12)
@given(pools())
def test_what_was_added_comes_back_and_a_backup_brings_it_again(part: list[Reading]) -> None:
    with stores(part) as (folder, (store,)):
        back = {one.id: one for one in store.every()}
        assert back == {one.id: replace(one, source_file="0.csv") for one in part}
        backup(store, folder / "stick")
        with restore(folder / "stick", folder / "again.db") as again:
            assert rows(again) == rows(store)


@settings(max_examples=12)
@given(pools())
def test_of_every_chain_exactly_one_reading_counts(part: list[Reading]) -> None:
    chains = chains_of(part)
    assert sorted(one.id for chain in chains for one in chain.readings) == sorted(one.id for one in part)
    with stores(part) as (_, (store,)):
        assert {one.id for one in store.current()} == {chain.current.id for chain in chains}
        forked = {chain.readings[0].id for chain in chains if len(chain.heads) > 1}
        assert {chain.readings[0].id for chain in store.corrected_twice()} == forked


@given(readings(), st.sampled_from([name for name in CONTENT if name not in ("sample", "value", "limit")]))
def test_the_checksum_sees_every_change_of_what_was_measured(one: Reading, name: str) -> None:
    assert replace(one, **{name: getattr(one, name) + "x"}).digest != one.digest
    assert replace(one, sample=one.sample + 1).digest != one.digest
    assert replace(one, source_file="elsewhere.csv", source_line=7).digest == one.digest


@given(readings())
def test_readings_of_these_tests_can_be(one: Reading) -> None:
    assert list(faults_of(one)) == []


@given(st.datetimes(timezones=st.timezones()), st.datetimes(timezones=st.timezones()))
def test_times_sort_as_they_passed(one: object, other: object) -> None:
    import datetime as dt

    assert isinstance(one, dt.datetime)
    assert isinstance(other, dt.datetime)
    try:
        both = [when.astimezone(dt.UTC) for when in (one, other)]
        said = [utc_of(when.isoformat()) for when in (one, other)]
    except OverflowError:
        return
    assert (both[0] < both[1]) == (said[0] < said[1])


def test_ids_go_up_and_never_meet() -> None:
    many = [new_id() for _ in range(20_000)]
    assert len(set(many)) == len(many)
    assert many == sorted(many)
