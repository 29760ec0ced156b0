"""Laws of taking in a sheet: twice is once, the order of lines does not matter, and what went in comes out."""

from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.records.store.opening import create_store
from spadework.records.store.store import Store
from spadework.records.store.take_in import preview, take_in
from stores_made import QUESTION, ZONE

Cells = dict[tuple[str, str, int], tuple[str, ...]]
FIELDS = ("fresh_kg", "dry_matter_pct")
WORDS = st.sampled_from(["", "missing", "not measured", "unreadable", "Missing"])
FRESH = st.one_of(WORDS, st.integers(100, 9000).map(str))
DRY = st.one_of(WORDS, st.decimals(25, 45, places=2).map(lambda value: str(value).replace(".", ",")), st.just("< 5"))
NOTES = st.sampled_from(["", "wet", "=1+1", "'x", "-", "Ø"])
SHEETS = st.dictionaries(
    st.tuples(st.sampled_from(["101", "102", "Ø 3"]), st.sampled_from(["", "left"]), st.integers(1, 3)),
    st.tuples(FRESH, DRY, NOTES),
    min_size=1,
    max_size=8,
)


def write(file: Path, cells: Cells, *, backwards: bool = False) -> Path:
    lines = [";".join((*map(str, key), *said[:2], "2026-09-20 09:30", "AB", said[2])) for key, said in cells.items()]
    if backwards:
        lines.reverse()
    file.write_text("\n".join(["plot;place;sample;fresh_kg;dry_matter_pct;time;person;note", *lines]) + "\n", "utf-8")
    return file


def said_by(store: Store) -> set[tuple[object, ...]]:
    return {(one.plot, one.place, one.sample, one.field, one.value, one.nothing, one.limit) for one in store.current()}


@given(SHEETS)
@settings(max_examples=12, deadline=None)
def test_twice_is_once_and_the_order_of_lines_does_not_matter(cells: Cells) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        first, second = write(folder / "a.csv", cells), write(folder / "b.csv", cells, backwards=True)
        with (
            create_store(folder / "a.db", QUESTION, ZONE) as one,
            create_store(folder / "b.db", QUESTION, ZONE) as other,
        ):
            for store, files in ((one, (first, first, second)), (other, (second,))):
                for file in files:
                    take_in(store, preview(store, file, record="harvest"), person="CD")
            wanted = sum(bool(cell) for said in cells.values() for cell in said[:2])
            assert one.count() == other.count() == wanted
            assert {row.id for row in one.every()} == {row.id for row in other.every()}
            assert said_by(one) == said_by(other)


@given(SHEETS)
@settings(max_examples=8, deadline=None)
def test_what_stands_in_the_cells_stands_in_the_store(cells: Cells) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with create_store(folder / "a.db", QUESTION, ZONE) as store:
            take_in(store, preview(store, write(folder / "a.csv", cells), record="harvest"), person="CD")
            found = said_by(store)
    wanted = set()
    for (plot, place, sample), said in cells.items():
        for field, cell in zip(FIELDS, said, strict=False):
            if cell.startswith("<"):
                wanted.add((plot, place, sample, field, None, "below detection", 5.0))
            elif cell[:1].isdigit():
                wanted.add((plot, place, sample, field, float(cell.replace(",", ".")), "", None))
            elif cell:
                wanted.add((plot, place, sample, field, None, cell.lower(), None))
    assert found == wanted
