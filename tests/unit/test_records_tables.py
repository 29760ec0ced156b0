"""Small tables from CSV and XLSX: the same lines from both, every fault named, nothing taken for empty that is not."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter

from spadework.plan import PlanFaults
from spadework.records.tables.columns import Allowed, Column, WrongCell, read_cell
from spadework.records.tables.reader import Table, read_table
from spadework.records.tables.workbooks import LARGEST_UNPACKED

NAME = Column("name", "a name", "text", needed=True, filled=True)
DEPTH = Column("depth_cm", "a depth", "number", "cm", Allowed(0, 60), Allowed(5, 20), needed=True)
COUNT = Column("count", "a count", "whole", hard=Allowed(1, 8))
WAY = Column("way", "a way", "word", words=("out", "back"))
COLUMNS = (NAME, DEPTH, COUNT, WAY)


def workbook(fill: Callable[[Any, Any], None], sheet: str = "digs") -> bytes:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        fill(book, book.add_worksheet(sheet))
    return out.getvalue()


def cells(rows: list[list[Any]]) -> bytes:
    def fill(book: Any, sheet: Any) -> None:
        for number, row in enumerate(rows):
            for place, value in enumerate(row):
                if isinstance(value, str):
                    sheet.write_string(number, place, value)
                elif value is not None:
                    sheet.write(number, place, value)

    return workbook(fill)


def repacked(data: bytes, change: Callable[[str, bytes], bytes | None]) -> bytes:
    """Return a workbook with its parts changed; None leaves one out."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            if (part := change(name, old.read(name))) is not None:
                new.writestr(name, part)
    return out.getvalue()


def in_sheet(data: bytes, old: bytes, new: bytes) -> bytes:
    def change(name: str, part: bytes) -> bytes:
        if name != "xl/worksheets/sheet1.xml":
            return part
        assert old in part
        return part.replace(old, new)

    return repacked(data, change)


def table(tmp_path: Path, data: bytes | str, **options: Any) -> Table:
    path = tmp_path / "t"
    path.write_bytes(data.encode("utf-8") if isinstance(data, str) else data)
    return read_table(path, COLUMNS, **options)


def stopped(tmp_path: Path, data: bytes | str, **options: Any) -> str:
    with pytest.raises(PlanFaults) as caught:
        table(tmp_path, data, **options)
    return str(caught.value)


ROWS: list[list[Any]] = [
    ["name", "depth_cm", "count", "way"],
    ["# units", "cm", None, None],
    ["a", 12.5, 3, "Out"],
    [2, 7, None, ""],
    [],
    ["c", "7,5", "1", "back"],
]
TEXT = "name;depth_cm;count;way\n# units;cm;;\na;12,5;3;Out\n2;7;;\n;;;\nc;7,5;1;back\n"


@pytest.mark.parametrize("data", [cells(ROWS), TEXT, TEXT.replace(";", "\t"), "\ufeff" + TEXT.replace("\n", "\r\n")])
def test_both_kinds_of_file_give_the_same_lines(tmp_path: Path, data: bytes | str) -> None:
    found = table(tmp_path, data)
    assert found.columns == ("name", "depth_cm", "count", "way")
    assert found.faults == ()
    assert [(line.number, *line.values.values()) for line in found.lines] == [
        (3, "a", 12.5, 3.0, "out"),
        (4, "2", 7.0, None, None),
        (6, "c", 7.5, 1.0, "back"),
    ]


def test_commas_between_cells_go_with_decimal_points(tmp_path: Path) -> None:
    assert table(tmp_path, "name,depth_cm\na,12.5\n").lines[0].values == {"name": "a", "depth_cm": 12.5}
    said = stopped_by_lines(table(tmp_path, "name,depth_cm\na,12,5\n"))
    assert "line 2: 3 cells, but 2 columns; decimal commas need semicolons" in said


def test_a_first_line_that_names_the_mark_between_cells(tmp_path: Path) -> None:
    found = table(tmp_path, "sep=;\nname;depth_cm\na;12,5\n")
    assert [(line.number, line.values["depth_cm"]) for line in found.lines] == [(3, 12.5)]


def stopped_by_lines(found: Table) -> str:
    return str(PlanFaults(found.faults, found.file))


@pytest.mark.parametrize(
    ("cell", "column", "words"),
    [
        ("", NAME, "is no name"),
        ("x" * 13, NAME, "1 to 12 characters"),
        ("a\tb", NAME, "can be printed"),
        ("61", DEPTH, "61 cannot be; allowed: 0 to 60 cm"),
        ("120", DEPTH, "if it was read in mm, write 12"),
        ("-1", DEPTH, "-1 cannot be"),
        ("−1", DEPTH, "-1 cannot be"),
        ("12 cm", DEPTH, "without the unit"),
        ('5"', DEPTH, "is no number"),
        ("nan", DEPTH, "is no number"),
        ("1e3", DEPTH, "is no number"),
        ("1.234,5", DEPTH, "is no number"),
        ("1,234", DEPTH, "two ways; write 1234 or 1.234"),
        ("9" * 40, DEPTH, "is no number"),
        ("2026-05-04", DEPTH, "holds a date"),
        ("2026-05-04T00:00:00", DEPTH, "holds a date"),
        ("2.5", COUNT, "no whole number"),
        ("9", COUNT, "1 to 8, whole"),
        ("bakc", WAY, 'allowed: out or back; did you mean "back"?'),
    ],
)
def test_a_cell_that_cannot_be(cell: str, column: Column, words: str) -> None:
    with pytest.raises(WrongCell) as caught:
        read_cell(cell, column)
    assert words in str(caught.value)


@pytest.mark.parametrize(("cell", "value"), [("5,", 5), (".5", 0.5), ("+5", 5), ("0,250", 0.25), ("60", 60), ("0", 0)])
def test_numbers_as_people_write_them(cell: str, value: float) -> None:
    assert read_cell(cell, DEPTH) == value


def test_all_faults_at_once(tmp_path: Path) -> None:
    found = table(tmp_path, "name;depth_cm;count\n;99;x\na;1;2;3\nb;y;2\n")
    said = stopped_by_lines(found)
    for words in ("line 2, column name", "line 2, column depth_cm", "line 2, column count", "line 3: 4 cells"):
        assert words in said
    assert "line 4, column depth_cm" in said
    assert said.startswith("t: 5 faults")


def test_columns_missing_twice_or_unknown(tmp_path: Path) -> None:
    assert "column depth_cm: is missing" in stopped(tmp_path, "name;deepth\na;1\n")
    assert "stands twice" in stopped(tmp_path, "name;depth_cm;depth_cm\na;1;2\n")
    said = stopped(tmp_path, "name;depth_cm;cuont\na;1;2\n", others=False)
    assert 'column cuont: is not known; did you mean "count"?' in said
    assert table(tmp_path, "name;depth_cm;mood\na;1;good\n").lines[0].cells["mood"] == "good"
    assert "allowed: up to 60" in stopped(tmp_path, ";".join(["name", "depth_cm", *"x" * 80]) + "\n")


def test_remarks_are_left_out_and_told_of_where_they_hold_figures(tmp_path: Path) -> None:
    text = "# Tuesday; 12\nname;depth_cm\n# wind; strong\n#3;12,5\na;1\n"
    found = table(tmp_path, text)
    assert [line.number for line in found.lines] == [5]
    assert found.figures_left_out == (4,)


@pytest.mark.parametrize("data", ["", "\n\n", "# only\n", cells([]), cells([["# only"]])])
def test_nothing_in_it(tmp_path: Path, data: bytes | str) -> None:
    assert "holds nothing; allowed: a line of columns (name, depth_cm)" in stopped(tmp_path, data)


def test_a_sheet_by_name_and_hidden_ones(tmp_path: Path) -> None:
    def fill(book: Any, first: Any) -> None:
        first.write_row(0, 0, ["name", "depth_cm"])
        first.write_row(1, 0, ["hidden", 1])
        shown = book.add_worksheet("Digs of May")
        shown.write_row(0, 0, ["name", "depth_cm"])
        shown.write_row(1, 0, ["shown", 2])
        shown.activate()
        shown.set_first_sheet()
        first.hide()

    data = workbook(fill)
    assert table(tmp_path, data).lines[0].cells["name"] == "shown"
    assert table(tmp_path, data, sheet="digs").lines[0].cells["name"] == "hidden"
    assert 'no sheet called "Digs of Mai"; did you mean "Digs of May"?' in stopped(tmp_path, data, sheet="Digs of Mai")
    assert "there are: digs, Digs of May" in stopped(tmp_path, data, sheet="moon")
    assert "this is no workbook" in stopped(tmp_path, TEXT, sheet="digs")


def test_formulas_give_what_they_were_worked_out_to(tmp_path: Path) -> None:
    def fill(book: Any, sheet: Any) -> None:
        sheet.write_row(0, 0, ["name", "depth_cm"])
        sheet.write_row(1, 0, ["a"])
        sheet.write_formula(1, 1, "=2*6", None, 12)

    assert table(tmp_path, workbook(fill)).lines[0].values["depth_cm"] == 12


def test_cells_that_would_pass_for_empty_are_faults(tmp_path: Path) -> None:
    def fill(book: Any, sheet: Any) -> None:
        sheet.write_row(0, 0, ["name", "depth_cm", "count"])
        sheet.write_row(1, 0, ["a", 5])
        sheet.write_formula(1, 2, "=1/0", None, "#DIV/0!")
        sheet.write_formula(2, 1, "=2*6", None, "")
        sheet.write_string(2, 0, "b")
        sheet.merge_range(3, 1, 5, 1, 7)

    said = stopped(tmp_path, workbook(fill))
    assert "cell C2: holds an error (#DIV/0!)" in said
    assert "cell B3: holds a formula that was never worked out" in said
    assert "cells B4 to B6: are merged" in said
    assert "3 faults" in said


def test_dates_and_ticks(tmp_path: Path) -> None:
    def fill(book: Any, sheet: Any) -> None:
        day = book.add_format({"num_format": "d mmm"})
        sheet.write_row(0, 0, ["name", "depth_cm", "done", "when"])
        sheet.write_string(1, 0, "a")
        sheet.write_datetime(1, 1, dt.datetime(2026, 4, 5), day)
        sheet.write_boolean(1, 2, True)
        sheet.write_datetime(1, 3, dt.datetime(2026, 4, 5), day)

    found = table(tmp_path, workbook(fill))
    assert "spreadsheets make of figures such as 5.4" in stopped_by_lines(found)
    assert found.lines[0].cells["done"] == "yes"
    assert found.lines[0].cells["when"] == "2026-04-05"


def test_numbers_of_a_sheet_are_read_as_they_look(tmp_path: Path) -> None:
    found = table(tmp_path, cells([["name", "depth_cm"], ["a", 0.1 + 0.2], ["b", 1e-7], [3.0, 60]]))
    assert [line.values["depth_cm"] for line in found.lines] == [0.3, 1e-7, 60]
    assert [line.values["name"] for line in found.lines] == ["a", "b", "3"]


GOOD = cells([["name", "depth_cm"], ["a", 5]])


def locked(data: bytes) -> bytes:
    """Set the mark of encryption on every part."""
    out = bytearray(data)
    for mark, place in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = out.find(mark)
        while at >= 0:
            out[at + place] |= 1
            at = out.find(mark, at + 4)
    return bytes(out)


def bomb() -> bytes:
    padding = b"<!--" + b" " * (LARGEST_UNPACKED + 10) + b"-->"
    return in_sheet(GOOD, b"</sheetData>", b"</sheetData>" + padding)


HOSTILE = {
    "cut off": (GOOD[: len(GOOD) // 2], "damaged or no XLSX workbook"),
    "no workbook at all": (b"PK\x03\x04 and nothing", "damaged or no XLSX workbook"),
    "another packed file": (repacked(GOOD, lambda n, p: p if "workbook" not in n else None), "damaged"),
    "old or locked": (b"\xd0\xcf\x11\xe0" + b"\0" * 600, "locked with a password, or in an older form"),
    "locked parts": (locked(GOOD), "locked with a password"),
    "unpacks without end": (bomb(), "unpacks to more than 20 MB"),
    "a cell at the far end": (in_sheet(GOOD, b'r="B2"', b'r="XFD1048576"'), "up to 2000 rows and 60 columns"),
    "a row at the far end": (
        in_sheet(GOOD, b'<row r="2" spans="1:2"><c r="A2"', b'<row r="1048576"><c'),
        "reaches to row 1048576, column 1",
    ),
    "entities": (in_sheet(GOOD, b"<worksheet ", b'<!DOCTYPE x [<!ENTITY a "b">]><worksheet '), "damaged"),
    "broken sheet": (in_sheet(GOOD, b"</sheetData>", b"</sheetDat>"), "damaged"),
    "row without number": (in_sheet(GOOD, b'<row r="2"', b'<row r="two"'), "damaged"),
    "text of a far string": (in_sheet(GOOD, b"<v>2</v>", b"<v>99999</v>"), "damaged"),
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_workbooks_that_are_damaged_locked_or_meant_ill(tmp_path: Path, kind: str) -> None:
    data, words = HOSTILE[kind]
    said = stopped(tmp_path, data)
    assert words in said
    assert said.startswith("t: 1 fault")


def test_empty_cells_far_away_do_no_harm(tmp_path: Path) -> None:
    data = in_sheet(GOOD, b"</sheetData>", b'<row r="1048576"><c r="XFD1048576" s="0"/></row></sheetData>')
    assert len(table(tmp_path, data).lines) == 1


def test_sizes_that_are_turned_away(tmp_path: Path) -> None:
    assert "up to 1000 kB" in stopped(tmp_path, "name;depth_cm\n" + "a;1\n" * 260_000)
    assert "up to 4000 kB" in stopped(tmp_path, b"x" * 4_100_000)
    assert "allowed: up to 2000" in stopped(tmp_path, "name;depth_cm\n" + "a;1\n" * 2_100)
    assert "a cell holds 1500 characters" in stopped(tmp_path, "name;depth_cm;x\na;1;" + "y" * 1_500 + "\n")
    assert "a cell holds 1500 characters" in stopped(
        tmp_path, cells([["name", "depth_cm", "x"], ["a", 1, "y" * 1_500]])
    )
    assert "up to 2000 rows" in stopped(tmp_path, cells([["name", "depth_cm"], *[["a", 1]] * 2_100]))


def test_what_cannot_be_cut_is_told_line_by_line(tmp_path: Path) -> None:
    said = stopped(tmp_path, 'name;depth_cm\n"a;1\nb;2\n"c;3\n')
    assert "line 2: cannot be cut" in said
    assert "line 4: cannot be cut" in said


def test_other_text_than_utf_8(tmp_path: Path) -> None:
    assert "not UTF-8" in stopped(tmp_path, "name;depth_cm\nä;1\n".encode("latin-1"))
    assert "not UTF-8" in stopped(tmp_path, "name;depth_cm\na;1\n".encode("utf-16"))
