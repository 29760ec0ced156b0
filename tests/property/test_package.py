"""Laws of the data package: what is read back is what was written, row for row and byte for byte."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from spadework.exchange.package import write_package
from spadework.exchange.package_read import read_package
from spadework.records.reading_row import Reading, name_id, new_id
from spadework.records.store.schema_sql import KEPT
from spadework.records.store.store import Batch, Store
from spadework.records.store.transactions import reading_from
from spadework.records.tables.plain_cells import guarded, unguarded
from stores_made import dry, gap, made

HOSTILE = st.sampled_from(
    ["=1+1", "+4", "-2", "@x", "'a", "''", "a,b", 'say "so"', "=cmd|'/c calc'!A0", "#", "é", "1;2", "＝1"]
)
TEXT = st.one_of(
    HOSTILE,
    st.text(st.characters(codec="utf-8", categories=("L", "M", "N", "P", "S"), include_characters=" "), max_size=30),
)
VALUES = st.one_of(st.floats(3, 12), st.sampled_from(["missing", "not measured", "unreadable"]))


@st.composite
def pools(draw: st.DrawFn) -> list[Reading]:
    rows: list[Reading] = []
    for number in range(draw(st.integers(0, 6))):
        one = gap(draw(VALUES), draw(st.one_of(st.sampled_from(["101", "=5"]), TEXT.map(str.strip).filter(bool))))
        if draw(st.booleans()):
            one = dry("below detection", "102", limit=draw(st.floats(0, 1e300, allow_subnormal=True)))
        one = replace(
            one, note=draw(TEXT), person=draw(TEXT) or "AB", place=draw(TEXT), instrument=draw(TEXT), sample=number + 1
        )
        if rows and draw(st.booleans()):
            old = draw(st.sampled_from(rows))
            if (old.record, old.field) == (one.record, one.field):
                one = replace(
                    one,
                    id=draw(st.sampled_from([new_id(), name_id("x", str(number))])),
                    corrects=old.id,
                    reason="misread",
                )
        rows.append(one)
    return rows


def everything(store: Store) -> list[tuple[object, ...]]:
    with reading_from(store.engine) as connection:
        return [tuple(row) for table in KEPT for row in connection.execute(select(table).order_by(table.c.id))]


def contents(folder: Path) -> dict[str, bytes]:
    return {file.relative_to(folder).as_posix(): file.read_bytes() for file in folder.rglob("*") if file.is_file()}


@given(pools(), st.sampled_from(["Does it keep up?", "=1+1?", "What's <b>it</b> | worth?"]))
@settings(max_examples=12, deadline=None)
def test_what_is_read_back_is_what_was_written(rows: list[Reading], question: str) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with made(folder / "a.db", question) as one:
            half = len(rows) // 2
            one.add(rows[:half])
            one.add(rows[half:], batch=Batch(name_id("b", question), "band", "=sheet.csv", "0" * 64, "'AB"))
            before = everything(one)
            write_package(one, folder / "first")
            now = one.current()
        with read_package(folder / "first", folder / "there" / "b.db") as other:
            assert everything(other) == before
            assert other.current() == now
            write_package(other, folder / "second")
        assert contents(folder / "first") == contents(folder / "second")


@given(st.text())
def test_a_guarded_text_is_read_back_and_begins_no_formula(text: str) -> None:
    out = guarded(text)
    assert unguarded(out) == text
    assert not out.lstrip().startswith(("=", "+", "-", "@"))


@given(st.text(), st.text())
def test_two_texts_are_never_guarded_alike(one: str, other: str) -> None:
    assert (guarded(one) == guarded(other)) == (one == other)
