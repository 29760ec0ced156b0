"""Sheets, marks and labels of a comparison: one definition in every form, read back as written.  The plan is invented."""

from __future__ import annotations

import io
import re
import zipfile
from importlib.resources import files
from pathlib import Path

import pytest

from plans.faulty import DEMO
from spadework.plan import PlanFaults, Read, read_text
from spadework.present.cautions import CAUTIONS
from spadework.present.sheets.labels_paper import labels_pdf, read_grid, sample_labels, stake_labels
from spadework.present.sheets.sheet_paper import _CARE, _pages, care_for, sheet_pdf, widths_mm
from spadework.records.kinds import columns_of, reading_kinds
from spadework.records.season import kit_of
from spadework.records.sheets.check_character import check_character
from spadework.records.sheets.field_sheets import field_sheet, laid_out, sheet_keys
from spadework.records.sheets.marks import Mark, layout_mark, mark_text, read_mark
from spadework.records.sheets.sheet_readings import read_sheet
from spadework.records.tables.reader import read_table
from spadework.records.tables.sheet import Sheet, csv_text, xlsx_book
from spadework.reference import load
from spadework.statistics.designs.randomise import Laid

FOLDER = Path(str(files("spadework.demo")))
KEYS = sheet_keys()


@pytest.fixture(scope="module")
def demo() -> Read:
    return read_text(DEMO, "plan.toml", FOLDER)


@pytest.fixture(scope="module")
def laid(demo: Read) -> Laid:
    return laid_out(demo)


def filled(sheet: Sheet) -> str:
    """Return the CSV of a sheet with every cell of every line filled in by a usual figure."""
    own = {"time": "2026-05-04 09:30", "person": "EF", "instrument": "A", "note": "ok", "place": "body", "sample": "1"}
    lines = csv_text(sheet).splitlines()
    names = lines[0].split(";")
    by_name = {column.name: column for column in sheet.columns}
    for number, line in enumerate(lines[2:], 2):
        cells = line.split(";")
        for place, name in enumerate(names):
            if name == "limit":
                continue  # it stands beside a figure that lies below it
            soft = by_name[name].soft or by_name[name].hard
            cells[place] = cells[place] or own.get(name) or f"{soft.low + (soft.high - soft.low) // 2:.0f}"  # type: ignore[union-attr]
        lines[number] = ";".join(cells)
    return "\n".join(lines) + "\n"


def test_every_kind_of_reading_is_on_one_sheet() -> None:
    of_kinds = {(kind.record, kind.per) for kind in reading_kinds().values()}
    of_sheets = [(row.text("record"), row.text("per")) for row in load("sheets").values()]
    assert len(of_sheets) == len(set(of_sheets))
    assert set(of_sheets) == of_kinds


def test_codes_of_sheets_are_two_letters_each_once() -> None:
    codes = [row.text("code") for row in load("sheets").values()]
    assert len(codes) == len(set(codes))
    assert all(re.fullmatch("[A-Z]{2}", code) for code in codes)
    assert "PG" not in codes


def test_words_of_the_tables_are_known() -> None:
    titles = {caution.title for caution in CAUTIONS}
    for row in load("sheets").values():
        assert row.text("care") in _CARE
        assert len(care_for(row.text("care"))) > 0
    assert {title for titles_of in _CARE.values() for title in titles_of} <= titles
    parts = {item.part for item in kit_of()}
    for row in load("season_tasks").values():
        assert set(filter(None, row.text("sheets").split("|"))) <= set(KEYS), row.key
        assert set(filter(None, row.text("kit").split("|"))) <= parts, row.key
        assert row.entry("from_day").value <= row.entry("to_day").value
    used = {part for row in load("season_tasks").values() for part in row.text("kit").split("|")}
    assert parts <= used


@pytest.mark.parametrize("key", KEYS)
def test_csv_and_workbook_are_read_back_as_they_were_written(key: str, demo: Read, laid: Laid, tmp_path: Path) -> None:
    sheet = field_sheet(key, demo, laid)
    (tmp_path / "a.csv").write_text(csv_text(sheet), "utf-8")
    (tmp_path / "a.xlsx").write_bytes(xlsx_book(sheet))
    found = [read_table(tmp_path / name, sheet.columns, others=False) for name in ("a.csv", "a.xlsx")]
    for table in found:
        assert table.columns == tuple(column.name for column in sheet.columns)
        assert [{k: v for k, v in line.cells.items() if v} for line in table.lines] == [
            {k: str(v) for k, v in line.given.items()} for line in sheet.lines
        ]
        # An empty sheet lacks nothing but who measured, and when.
        assert {fault.key for fault in table.faults} == {"column time", "column person"}
    assert [line.values for line in found[0].lines] == [line.values for line in found[1].lines]


@pytest.mark.parametrize("key", KEYS)
def test_a_filled_sheet_has_no_fault_under_the_columns_of_the_data(
    key: str, demo: Read, laid: Laid, tmp_path: Path
) -> None:
    sheet = field_sheet(key, demo, laid)
    (tmp_path / "a.csv").write_text(filled(sheet), "utf-8")
    table = read_table(tmp_path / "a.csv", columns_of(load("sheets")[key].text("record")), others=False)
    assert table.faults == ()
    assert len(table.lines) == len(sheet.lines)


@pytest.mark.parametrize("key", KEYS)
def test_a_filled_sheet_becomes_readings_of_its_record(key: str, demo: Read, laid: Laid, tmp_path: Path) -> None:
    sheet = field_sheet(key, demo, laid)
    record = load("sheets")[key].text("record")
    plots = [str(plot.number) for plot in laid.rows]
    (tmp_path / "a.csv").write_text(filled(sheet), "utf-8")
    read = read_sheet(tmp_path / "a.csv", comparison="x", zone="Europe/Berlin", record=record, plots=plots)
    figures = [column.name for column in sheet.columns if (record, column.name) in reading_kinds()]
    assert read.faults == ()
    assert read.record == record
    assert len(read.readings) == len(sheet.lines) * len(figures)
    (tmp_path / "b.xlsx").write_bytes(xlsx_book(sheet))
    empty = read_sheet(tmp_path / "b.xlsx", comparison="x", zone="Europe/Berlin", record=record, plots=plots)
    assert (empty.readings, empty.faults) == ((), ())


def test_lines_are_those_of_plan_and_layout(demo: Read, laid: Laid) -> None:
    plots = [str(plot.number) for plot in laid.rows]
    sizes = field_sheet("plot_size", demo, laid)
    assert [line.given["plot"] for line in sizes.lines] == plots
    soil = field_sheet("soil_layers", demo, laid)
    assert len(soil.lines) == len(plots) * 3 * 5
    first = soil.lines[:5]
    assert [line.given["sample"] for line in first] == [1, 2, 3, 4, 5]
    assert "nitrate_n_mg_kg" not in first[0].idle
    assert all({"nitrate_n_mg_kg", "stones_pct"} <= line.idle for line in first[1:])
    assert not any("moisture_g_g" in line.idle for line in soil.lines)
    bands = {line.given["plot"] for line in field_sheet("band", demo, laid).lines}
    assert bands == {str(plot.number) for plot in laid.rows if plot.labels[0] == "strip"}
    passes = field_sheet("passes", demo, laid).lines
    for plot in laid.rows:
        system = next(one for one in demo.plan.systems if one.name == plot.labels[0])
        assert sum(line.given["plot"] == str(plot.number) for line in passes) == len(system.passes)


def test_fewer_or_more_samples_where_they_are_asked_for(demo: Read, laid: Laid) -> None:
    assert len(field_sheet("height", demo, laid, samples=5).lines) == 5 * len(laid.rows)
    two = field_sheet("soil_layers", demo, laid, samples=2)
    assert len(two.lines) == len(laid.rows) * 3 * 2
    with pytest.raises(PlanFaults, match="Take fewer with --samples"):
        field_sheet("soil_places", demo, laid, samples=200)


def test_a_plan_without_layout_seed_or_rows_is_told(demo: Read) -> None:
    start, end = DEMO.index("[design]"), DEMO.index("[[limit]]")
    with pytest.raises(PlanFaults, match="says nothing of the layout"):
        laid_out(read_text(DEMO[:start] + DEMO[end:], folder=FOLDER))
    unseeded = DEMO.replace("seed = 20260301\n", "")
    with pytest.raises(PlanFaults, match="every print shows the same layout"):
        laid_out(read_text(unseeded, folder=FOLDER))


def test_nothing_of_the_plan_is_a_formula_on_a_sheet(laid: Laid) -> None:
    hostile = DEMO.replace('name = "strip"', 'name = "=HYPERLINK(1;2)"').replace('"strip"]', '"=HYPERLINK(1;2)"]')
    seen = read_text(hostile, folder=FOLDER)
    drawn = laid_out(seen)
    for key in KEYS:
        sheet = field_sheet(key, seen, drawn)
        assert not re.search(r"(?:^|;)[=+@\t-]", csv_text(sheet), re.M)
        assert "HYPERLINK" not in csv_text(sheet)
        with zipfile.ZipFile(io.BytesIO(xlsx_book(sheet))) as packed:
            for name in packed.namelist():
                if name.startswith("xl/worksheets/sheet"):
                    assert b"<f>" not in packed.read(name)
    assert sheet_pdf(field_sheet("plot_size", seen, drawn), about='=1+1 #let x = $ \\ "').startswith(b"%PDF")


def test_cells_are_held_to_what_they_may_be(demo: Read, laid: Laid) -> None:
    sheet = field_sheet("slurry_loads", demo, laid)
    with zipfile.ZipFile(io.BytesIO(xlsx_book(sheet))) as packed:
        tab = packed.read("xl/worksheets/sheet1.xml").decode()
        assert b'numFmtId="49"' in packed.read("xl/styles.xml")  # text stays text: no time becomes a day of a calendar
    assert tab.count("<dataValidation ") == len(sheet.columns)
    assert "D3&gt;=0,D3&lt;=30" in tab
    rules = re.findall(r"<formula1>(.*?)</formula1>", tab)
    assert all(len(rule) <= 255 + 4 * rule.count("&") for rule in rules)
    assert "LEFT(D3,1)=" in tab
    size = xlsx_book(field_sheet("plot_size", demo, laid))
    with zipfile.ZipFile(io.BytesIO(size)) as packed:
        assert "D3&gt;0,D3&lt;=200" in packed.read("xl/worksheets/sheet1.xml").decode()


@pytest.mark.parametrize(
    "part", ["workbook.xml", "worksheets/sheet1.xml", "_rels/workbook.xml.rels", "sharedStrings.xml"]
)
@pytest.mark.parametrize("encoding", [b"big5", b"UT9-8", b"utf-7", b"cp037", b"idna", b"hex", b"\xff"])
def test_a_workbook_in_an_odd_encoding_is_read_or_turned_away_in_words(
    part: str, encoding: bytes, demo: Read, laid: Laid, tmp_path: Path
) -> None:
    sheet = field_sheet("dose_outlets", demo, laid)
    path = tmp_path / "a.xlsx"
    with zipfile.ZipFile(io.BytesIO(xlsx_book(sheet))) as packed, zipfile.ZipFile(path, "w") as odd:
        for name in packed.namelist():
            content = packed.read(name)
            odd.writestr(name, content.replace(b"UTF-8", encoding, 1) if name == f"xl/{part}" else content)
    try:
        found = len(read_table(path, sheet.columns).lines)
    except PlanFaults as stopped:
        assert "damaged or no XLSX workbook" in str(stopped)  # noqa: PT017 (either will do)
    else:
        assert found == len(sheet.lines)


def test_paper_has_every_line_once_and_plots_together(demo: Read, laid: Laid) -> None:
    for key in KEYS:
        sheet = field_sheet(key, demo, laid)
        pages = list(_pages(sheet, sheet.columns))
        assert sum(len(page["lines"]) for page in pages) == len(sheet.lines)
        for page in pages:
            assert page["height"] >= 8
            assert sum(boxes[0]["span"] for boxes in page["lines"] if "span" in boxes[0]) == len(page["lines"])
    assert sheet_pdf(field_sheet("harvest", demo, laid), about="field", invented=True).startswith(b"%PDF")


def test_boxes_are_wide_enough_for_wet_hands_and_names_above_them_stay_readable(demo: Read, laid: Laid) -> None:
    for key in KEYS:
        sheet = field_sheet(key, demo, laid)
        widths = widths_mm([column for column in sheet.columns if column.name not in ("person", "instrument")])
        assert sum(widths.values()) == pytest.approx(275)  # A4 across, less the margins
        assert min(widths.values()) >= 15, key
        for name, wide in widths.items():  # a bold letter of 10 pt takes 2 mm at most; names are made smaller to fit
            assert (wide - 2.4) / (len(name) * 2.0) * 10 >= 7.5, (key, name)


def test_marks_are_of_a_layout_and_each_once(demo: Read, laid: Laid) -> None:
    other = laid_out(read_text(DEMO.replace("seed = 20260301", "seed = 5"), folder=FOLDER))
    assert layout_mark(laid) != layout_mark(other)
    labels = [*stake_labels(laid), *sample_labels(field_sheet(key, demo, laid) for key in KEYS)]
    marks = [label.mark for label in labels]
    assert len(marks) == len(set(marks)) == len(laid.rows) * (1 + 3 + 2) + 12
    for label in labels:
        found = read_mark(label.mark)
        assert found.layout == layout_mark(laid)
        assert label.big.removeprefix("load ").zfill(2) in found.place


def test_a_stake_does_not_say_which_system_lies_there(demo: Read, laid: Laid) -> None:
    names = {system.name for system in demo.plan.systems}
    for label in stake_labels(laid):
        assert not names & {label.big, *label.lines}


def test_marks_that_cannot_be() -> None:
    for wrong in (Mark("ABC", "1", "stand"), Mark("ABCD", "", "stand"), Mark("ABCD", "1234567", "stand")):
        with pytest.raises(ValueError, match="is no mark"):
            mark_text(wrong)
    with pytest.raises(ValueError, match="neither a figure nor"):
        mark_text(Mark("ABCD", "1 2", "stand"))
    with pytest.raises(ValueError, match="number"):
        mark_text(Mark("ABCD", "1", "stand", 100))
    with pytest.raises(ValueError, match="one character or more"):
        check_character("")
    unknown = "K7QD101ZZ01"
    with pytest.raises(PlanFaults, match="no sheet that is known"):
        read_mark(unknown + check_character(unknown))


@pytest.mark.parametrize(
    "text", ["", "3", "3 x", "0 x 8", "3 x 0", "9 x 40", "3 x 8, 200 x 0 mm", "three", "3 x 8, . x . mm"]
)
def test_grids_that_cannot_be_are_told(text: str) -> None:
    with pytest.raises(PlanFaults, match=r"--grid"):
        read_grid(text)


def test_labels_fill_the_sheets_of_their_grid(laid: Laid) -> None:
    grid = read_grid("2 x 5, 8 x 12.5 mm")
    assert (grid.width_mm, grid.height_mm) == (97, 54.4)
    assert labels_pdf(stake_labels(laid), grid, title="Stakes", care="road").startswith(b"%PDF")
