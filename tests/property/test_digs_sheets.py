"""Digs written and read back are the same digs, from CSV and from a workbook; no file of any kind brings the reader down."""

from __future__ import annotations

import io
import tempfile
import zipfile
from pathlib import Path
from typing import Any

import numpy as np
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.plan import PlanFaults
from spadework.records.files.dig_sheets import dig_columns, xlsx_template
from spadework.records.files.digs import Digs
from spadework.records.files.digs_read import read_digs
from spadework.records.tables.columns import Column, WrongCell, read_cell

ROWS = 12
NAMES = [column.name for column in dig_columns(ROWS)]
LETTERS = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S")), max_size=12).filter(
    lambda text: not text.startswith("#") and text == text.strip()
)


def tenths(low: float, high: float) -> st.SearchStrategy[float]:
    return st.integers(round(low * 10), round(high * 10)).map(lambda n: n / 10)


@st.composite
def dug(draw: st.DrawFn) -> dict[str, Any]:
    """Return the cells of a dig, by column, in no particular way of writing them."""
    seed = draw(tenths(2.5, 10))
    top = draw(tenths(4, 30))
    found = draw(st.booleans())
    of_band = {
        "top_cm": top,
        "bottom_cm": draw(st.none() | tenths(top, top + 20)),
        "width_cm": draw(st.none() | tenths(0, 40)),
        "offset_cm": draw(st.none() | tenths(-40, 40)),
    }
    return {
        "plot": draw(LETTERS),
        "pass": draw(st.none() | st.integers(1, 40)),
        "unit": draw(st.integers(1, ROWS)),
        "direction": draw(st.sampled_from([None, "out", "back"])),
        "place": draw(st.sampled_from([None, "body", "headland"])),
        "wheel": draw(st.sampled_from([None, "yes", "no"])),
        "setting": draw(st.none() | st.integers(1, 5)),
        "measured_from": draw(st.sampled_from([None, "track", "crest", "undisturbed"])),
        "seed_cm": seed,
        **(of_band if found else {"top_cm": "none"}),
        "surface_pct": draw(st.none() | tenths(0, 100)),
    }


def in_their_columns(many: list[dict[str, Any]]) -> bool:
    """Tell whether the digs cannot be taken for some with seed and top written the wrong way round."""
    gaps = [one["top_cm"] - one["seed_cm"] for one in many if one["top_cm"] != "none"]
    return len(gaps) < 4 or max(gaps) >= 0


Lines = (
    st.lists(dug(), min_size=1, max_size=12)
    .filter(in_their_columns)
    .map(lambda many: [{"dig": n, **one} for n, one in enumerate(many, 1)])
)


def csv_of(lines: list[dict[str, Any]], mark: str, comma: str) -> bytes:
    def cell(value: Any) -> str:
        if value is None:
            return ""
        if isinstance(value, str):
            return '"' + value.replace('"', '""') + '"'
        return str(value).replace(".", comma)

    rows = [mark.join(NAMES), *(mark.join(cell(line.get(name)) for name in NAMES) for line in lines)]
    return ("\n".join(rows) + "\n").encode("utf-8")


def xlsx_of(lines: list[dict[str, Any]]) -> bytes:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        sheet = book.add_worksheet("digs")
        sheet.write_row(0, 0, NAMES)
        for number, line in enumerate(lines, 1):
            for place, name in enumerate(NAMES):
                value = line.get(name)
                if isinstance(value, str):
                    sheet.write_string(number, place, value)
                elif value is not None:
                    sheet.write_number(number, place, value)
    return out.getvalue()


def read_back(data: bytes) -> Digs:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "digs"
        path.write_bytes(data)
        return read_digs(path, ROWS).digs


def read_or_turned_away(data: bytes) -> None:
    """Let faults in words pass, and nothing else."""
    try:
        read_back(data)
    except PlanFaults as stopped:
        said = str(stopped)
    else:
        return
    assert said.startswith("digs: ")


def same(read: Digs, lines: list[dict[str, Any]]) -> None:
    def numbers(name: str) -> list[float]:
        return [value if isinstance(value := line.get(name), int | float) else np.nan for line in lines]

    def words(name: str, otherwise: str = "") -> tuple[str, ...]:
        return tuple(str(value) if (value := line.get(name)) is not None else otherwise for line in lines)

    for name in ("seed_cm", "top_cm", "bottom_cm", "width_cm", "offset_cm"):
        assert np.array_equal(getattr(read, name), numbers(name), equal_nan=True), name
    assert np.allclose(read.surface_share * 100, numbers("surface_pct"), rtol=1e-12, equal_nan=True)
    assert read.names == words("dig")
    assert read.plots == words("plot")
    assert read.passes == words("pass")
    assert read.directions == words("direction")
    assert read.places == words("place")
    assert read.measured_from == words("measured_from", "track")
    assert read.units.tolist() == [line["unit"] for line in lines]
    assert read.settings.tolist() == [line["setting"] or 1 for line in lines]
    assert read.band_found.tolist() == [line["top_cm"] != "none" for line in lines]
    assert [{1.0: "yes", 0.0: "no"}.get(wheel) for wheel in read.behind_wheel] == [line["wheel"] for line in lines]


@settings(max_examples=60, deadline=None)
@given(lines=Lines, way=st.sampled_from([(";", ","), (";", "."), ("\t", ","), (",", ".")]))
def test_what_was_written_as_csv_is_read_back(lines: list[dict[str, Any]], way: tuple[str, str]) -> None:
    same(read_back(csv_of(lines, *way)), lines)


@settings(max_examples=40, deadline=None)
@given(lines=Lines)
def test_what_was_written_as_a_workbook_is_read_back(lines: list[dict[str, Any]]) -> None:
    same(read_back(xlsx_of(lines)), lines)


@settings(max_examples=60, deadline=None)
@given(lines=Lines)
def test_counting_rows_on_the_way_out_or_units_on_the_machine_is_the_same(lines: list[dict[str, Any]]) -> None:
    by_row = []
    for line in lines:
        way = line["direction"] or "out"
        row = ROWS + 1 - line["unit"] if way == "back" else line["unit"]
        by_row.append(line | {"unit": None, "row": row, "direction": way})
    assert read_back(csv_of(by_row, ";", ".")).units.tolist() == [line["unit"] for line in lines]


@settings(max_examples=300, deadline=None)
@given(data=st.binary(max_size=400) | st.text(max_size=400).map(lambda text: ("dig;seed_cm;top_cm\n" + text).encode()))
def test_any_file_is_read_or_turned_away_in_words(data: bytes) -> None:
    read_or_turned_away(data)


SOUND = xlsx_template(2, 1)


@settings(max_examples=150, deadline=None)
@given(at=st.floats(0, 1, exclude_max=True), byte=st.integers(0, 255), cut=st.booleans())
def test_a_damaged_workbook_is_read_or_turned_away_in_words(at: float, byte: int, cut: bool) -> None:
    place = int(at * len(SOUND))
    data = SOUND[:place] if cut else SOUND[:place] + bytes([byte]) + SOUND[place + 1 :]
    read_or_turned_away(data)


@settings(max_examples=150, deadline=None)
@given(
    at=st.floats(0, 1, exclude_max=True), put=st.sampled_from([b"", b"<", b"9", b'"', b"x", b"</row>", b"\x00", b"-1"])
)
def test_a_sheet_with_a_wrong_word_inside_is_read_or_turned_away_in_words(at: float, put: bytes) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(SOUND)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            part = old.read(name)
            if name in ("xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/sharedStrings.xml", "xl/styles.xml"):
                place = int(at * len(part))
                part = part[:place] + put + part[place + len(put) :]
            new.writestr(name, part)
    read_or_turned_away(out.getvalue())


@given(text=st.text(max_size=40))
def test_a_number_is_what_was_written_or_a_fault(text: str) -> None:
    try:
        value = read_cell(text.strip(), Column("x", "", "number"))
    except WrongCell:
        return
    if value is not None:
        assert isinstance(value, float)
        assert value == float(text.strip().replace(",", ".").replace("−", "-"))
