"""Digs as people write them down: which unit it was, what cannot be, what is unusual and kept.  All figures are invented."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xlsxwriter
from python_calamine import CalamineWorkbook

from spadework.plan import PlanFaults
from spadework.ranges import ImpossibleValue
from spadework.records.files.dig_sheets import HOW, csv_template, dig_columns, prepared, xlsx_template
from spadework.records.files.digs_read import DigsRead, read_digs

GAPS = (
    (6.1, 5.4, 6.8),
    (7.2, 6.6, 7.9),
    (4.9, 5.6, 5.2),
    (6.0, 6.9, 6.3),
    (5.1, 4.4, 5.8),
    (7.0, 6.2, 6.5),
    (5.9, 6.4, 5.5),
    (6.6, 7.4, 6.9),
)
"""Gaps of eight units, three digs each [cm]; an invented set."""


def of_units() -> str:
    lines = [
        "dig;plot;pass;unit;direction;place;wheel;measured_from;seed_cm;top_cm;bottom_cm;width_cm;offset_cm;surface_pct"
    ]
    number = 0
    for unit, gaps in enumerate(GAPS, 1):
        for time, gap in enumerate(gaps, 1):
            number += 1
            way, wheel = ("back", "yes") if time == 2 else ("out", "no")
            top = 5 + gap
            lines.append(f"{number};A1;{time};{unit};{way};body;{wheel};;5;{top:.1f};{top + 6:.1f};11;-1,5;2")
    return "\n".join(lines) + "\n"


def digs(tmp_path: Path, text: str, rows: int = 8, **options: Any) -> DigsRead:
    path = tmp_path / "digs.csv"
    path.write_text(text, "utf-8")
    return read_digs(path, rows, **options)


def stopped(tmp_path: Path, text: str, rows: int = 8) -> str:
    with pytest.raises(PlanFaults) as caught:
        digs(tmp_path, text, rows)
    return str(caught.value)


def one(**cells: object) -> str:
    """Return a table of one sound dig with some of its cells changed."""
    sound: dict[str, object] = {"dig": 1, "unit": 3, "seed_cm": 5, "top_cm": 11, "bottom_cm": 17} | cells
    return ";".join(sound) + "\n" + ";".join(map(str, sound.values())) + "\n"


def test_eight_units_with_three_digs(tmp_path: Path) -> None:
    found = digs(tmp_path, of_units())
    read = found.digs
    assert found.remarks == ()
    assert (read.file, len(read.names), set(read.plots)) == ("digs.csv", 24, {"A1"})
    gaps = (read.top_cm - read.seed_cm).reshape(8, 3)
    assert np.allclose(gaps, GAPS)
    # The mean of the invented set, worked out by hand: 148.6 cm over 24 digs.
    assert gaps.mean() == pytest.approx(6.191667, abs=5e-7)
    assert read.units.tolist() == [unit for unit in range(1, 9) for _ in range(3)]
    assert read.lines.tolist() == list(range(2, 26))
    assert read.directions[:3] == ("out", "back", "out")
    assert read.behind_wheel[:3].tolist() == [0, 1, 0]
    assert set(read.measured_from) == {"track"}
    assert read.settings.tolist() == [1] * 24
    assert read.band_found.all()
    assert np.allclose(read.offset_cm, -1.5)
    assert np.allclose(read.surface_share, 0.02)


@pytest.mark.parametrize(
    ("rows", "row", "direction", "unit"), [(8, 2, "out", 2), (8, 2, "back", 7), (1, 1, "back", 1), (12, 12, "back", 1)]
)
def test_the_machine_is_turned_round_on_the_way_back(
    tmp_path: Path, rows: int, row: int, direction: str, unit: int
) -> None:
    assert digs(tmp_path, one(unit="", row=row, direction=direction), rows).digs.units.tolist() == [unit]
    assert digs(tmp_path, one(unit=unit, row=row, direction=direction), rows).digs.units.tolist() == [unit]


def test_what_was_not_measured_is_not_a_number(tmp_path: Path) -> None:
    read = digs(tmp_path, "dig;unit;seed_cm;top_cm\n1;1;5;\n2;1;;11\n").digs
    assert np.isnan(read.top_cm).tolist() == [True, False]
    assert np.isnan(read.seed_cm).tolist() == [False, True]
    for values in (read.bottom_cm, read.width_cm, read.offset_cm, read.surface_share, read.behind_wheel):
        assert np.isnan(values).all()
    assert read.band_found.tolist() == [True, True]
    assert (read.plots, read.directions, read.places) == (("", ""),) * 3


def test_no_band_found(tmp_path: Path) -> None:
    read = digs(tmp_path, one(top_cm="None", bottom_cm="")).digs
    assert read.band_found.tolist() == [False]
    assert np.isnan(read.top_cm[0])
    assert "allowed: empty where no band was found" in stopped(tmp_path, one(top_cm="none", bottom_cm=17))


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"unit": 9}, "line 2, column unit: 9 cannot be; allowed: 1 to 8, whole"),
        ({"unit": 0}, "column unit: 0 cannot be"),
        ({"unit": ""}, "columns unit and row: are both empty"),
        ({"unit": "", "row": 3}, "column direction: is empty"),
        ({"unit": "", "row": 3, "direction": ""}, "column direction: is empty"),
        ({"unit": 3, "row": 3, "direction": "back"}, "unit 3, but row 3 on the way back is unit 6 of 8"),
        ({"direction": "there"}, "allowed: out or back"),
        ({"place": "hedge"}, "allowed: body or headland"),
        ({"measured_from": "crst"}, 'did you mean "crest"'),
        ({"seed_cm": 50}, "50 cannot be; allowed: 0 to 15 cm; if it was read in mm, write 5"),
        ({"bottom_cm": 81}, "column bottom_cm: 81 cannot be; allowed: 0 to 80 cm"),
        ({"bottom_cm": 10}, "top 11 cm lies below bottom 10 cm"),
        ({"seed_cm": 14, "top_cm": 3}, "from the seed down to the top of the band are -11 cm; allowed: -10 to 40 cm"),
        ({"seed_cm": 1, "top_cm": 30, "bottom_cm": 80}, "centre of the band are 54 cm; allowed: -10 to 45 cm"),
        ({"offset_cm": "41"}, "-40 to 40 cm"),
        ({"surface_pct": 101}, "0 to 100 %"),
        ({"setting": 1.5}, "no whole number"),
        ({"dig": ""}, "column dig"),
        ({"botom_cm": 17}, 'column botom_cm: is not known; did you mean "bottom_cm"?'),
        ({"top_cm": "11 cm"}, "without the unit"),
        ({"note": "x" * 201}, "is too long"),
    ],
)
def test_what_cannot_be_is_named(tmp_path: Path, cells: dict[str, object], words: str) -> None:
    said = stopped(tmp_path, one(**cells))
    assert words in said
    assert said.startswith("digs.csv: 1 fault\n")


def test_all_faults_of_a_file_at_once(tmp_path: Path) -> None:
    said = stopped(tmp_path, "dig;unit;seed_cm;top_cm;bottom_cm\n1;1;5;11;10\n1;9;5;x;17\n2;;99;11;17\n")
    assert said.startswith("digs.csv: 6 faults")
    assert '"1" stands in line 2 already; allowed: each dig once' in said


def test_columns_that_are_missing(tmp_path: Path) -> None:
    assert "column top_cm: is missing" in stopped(tmp_path, "dig;unit;seed_cm\n1;1;5\n")
    said = stopped(tmp_path, "dig;seed_cm;top_cm\n1;5;11\n")
    assert "are both missing; give one of them" in said
    assert said.count("unit and row") == 1


def test_a_seed_beside_or_under_the_top_of_the_band_is_a_finding(tmp_path: Path) -> None:
    found = digs(tmp_path, one(seed_cm=7, top_cm=4, bottom_cm=6))
    assert (found.digs.top_cm - found.digs.seed_cm).tolist() == [-3]
    assert any("from the seed down to the top of the band: line 2 outside the usual" in said for said in found.remarks)


def test_millimetres_are_told_once(tmp_path: Path) -> None:
    lines = [line.split(";") for line in of_units().splitlines()]
    for cells in lines[1:]:
        cells[8:12] = [f"{10 * float(cell):g}" for cell in cells[8:12]]
    said = stopped(tmp_path, "\n".join(";".join(cells) for cells in lines))
    assert said.startswith("digs.csv: 1 fault\n")
    assert "these look like millimetres; write all depths in cm (divide by 10)" in said


def test_inches_are_told(tmp_path: Path) -> None:
    said = stopped(tmp_path, "dig;unit;seed_cm;top_cm\n1;1;2;3.5\n2;2;1.5;4\n3;3;2;3.5\n")
    assert "these look like inches" in said
    found = digs(tmp_path, "dig;unit;seed_cm;top_cm\n1;1;2;5\n2;2;1.5;5\n3;3;2;5\n")
    assert any("if these are inches" in said for said in found.remarks)


def test_a_very_shallow_band_is_kept(tmp_path: Path) -> None:
    found = digs(tmp_path, "dig;unit;seed_cm;top_cm\n1;1;5;3\n2;2;5;2.5\n")
    assert found.digs.top_cm.tolist() == [3, 2.5]
    assert found.remarks


def test_one_figure_in_millimetres_among_others(tmp_path: Path) -> None:
    said = stopped(
        tmp_path, of_units().replace("\n7;A1;1;3;out;body;no;;5;9.9;15.9", "\n7;A1;1;3;out;body;no;;5;99;159")
    )
    assert "line 8, column top_cm: 99 cannot be; allowed: 0 to 60 cm, or none; if it was read in mm, write 9.9" in said


def test_what_is_unusual_is_remarked_on_and_kept(tmp_path: Path) -> None:
    found = digs(tmp_path, one(top_cm=24, bottom_cm=31, offset_cm=-9, surface_pct=40))
    assert found.remarks == (
        "top_cm: line 2 outside the usual 6 to 19 cm; kept as written",
        "offset_cm: line 2 outside the usual -5 to 5 cm; kept as written",
        "surface_pct: line 2 outside the usual 0 to 5 %; kept as written",
        "from the seed down to the top of the band: line 2 outside the usual 3 to 12 cm; kept as written",
    )
    assert found.digs.top_cm.tolist() == [24]


def test_shares_in_place_of_percent_are_asked_about(tmp_path: Path) -> None:
    found = digs(tmp_path, one(surface_pct="0,05"))
    assert "if these are shares, write percent (0.05 is 5)" in found.remarks[0]
    assert not digs(tmp_path, one(surface_pct=1)).remarks


def test_prepared_lines_that_nobody_filled_in_are_left_out(tmp_path: Path) -> None:
    lines = csv_template(2, 2).splitlines()
    assert "no dig is filled in" in stopped(tmp_path, "\n".join(lines), 2)
    lines[2] = lines[2].replace(";1;;;;;;;;;", ";1;;;;;;;5;11;", 1)
    lines[3] += "stone"
    found = digs(tmp_path, "\n".join(lines), 2)
    assert found.digs.names == ("1",)
    assert found.remarks == (
        "line 4, dig 2: nothing was measured and it was left out; noted: stone",
        "2 prepared lines with nothing measured left out",
    )


def test_a_dig_behind_the_mark_of_remarks_is_told_of(tmp_path: Path) -> None:
    found = digs(tmp_path, one() + "#2;4;5;11;17\n")
    assert found.remarks == ("line 3: begins with # and was left out, though it holds figures",)


def test_notes_are_kept_as_written(tmp_path: Path) -> None:
    assert digs(tmp_path, one(note='"=1+1, ""stone"""')).notes == ('=1+1, "stone"',)


def test_one_dig_will_do_to_be_read(tmp_path: Path) -> None:
    assert len(digs(tmp_path, one()).digs.names) == 1


def test_sheets_have_every_unit_in_turn() -> None:
    digs_of = prepared(8, 3)
    assert [d.dig for d in digs_of] == list(range(1, 25))
    assert [d.unit for d in digs_of] == [*range(1, 9)] * 3
    for rows, per_unit in ((0, 3), (100, 3), (8, 0), (8, 21)):
        with pytest.raises(ImpossibleValue):
            prepared(rows, per_unit)


def test_templates_have_the_columns_and_nothing_measured() -> None:
    lines = [line.split(";") for line in csv_template(8).splitlines()]
    names = [column.name for column in dig_columns(8)]
    assert lines[0] == names
    assert lines[1][0] == "# units"
    assert lines[1][names.index("top_cm")] == "cm"
    assert len(lines) == 2 + 24
    for line in lines[2:]:
        filled = {name for name, cell in zip(names, line, strict=True) if cell}
        assert filled == {"dig", "unit"}


def test_the_workbook_says_what_the_file_says_and_how_to_dig() -> None:
    book = CalamineWorkbook.from_filelike(io.BytesIO(xlsx_template(8)))
    assert book.sheet_names == ["digs", "how"]
    rows = [["" if cell == "" else str(cell).removesuffix(".0") for cell in row] for row in
            book.get_sheet_by_name("digs").to_python()]  # fmt: skip
    assert rows == [line.split(";") for line in csv_template(8).splitlines()]
    how = {str(cell) for row in book.get_sheet_by_name("how").to_python() for cell in row}
    for title, text in HOW:
        assert {title, text} <= how
    for column in dig_columns(8):
        assert {column.name, column.meaning, column.allowed} <= how


def test_the_workbook_holds_cells_to_what_they_may_be_and_has_no_formula() -> None:
    with zipfile.ZipFile(io.BytesIO(xlsx_template(8, 2))) as packed:
        digs_sheet, how = (packed.read(f"xl/worksheets/sheet{n}.xml").decode() for n in (1, 2))
    assert "<f>" not in digs_sheet + how
    assert digs_sheet.count("<dataValidation ") == len(dig_columns(8))
    for held in ('"out,back"', '"yes,no"', '"track,crest,undisturbed"', "<formula1>-40.0</formula1><formula2>40.0<",
                 'AND(ISNUMBER(L3),L3&gt;=0,L3&lt;=60),LOWER(L3)="none"'):  # fmt: skip
        assert held in digs_sheet.replace("&quot;", '"')
    assert 'state="frozen"' in digs_sheet
    assert [column.name for column in dig_columns(8)][11] == "top_cm"  # column L


def test_a_workbook_that_was_filled_in_is_read(tmp_path: Path) -> None:
    path = tmp_path / "digs.xlsx"
    names = [column.name for column in dig_columns(8)]
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("digs")
        sheet.write_row(0, 0, names)
        for line, (unit, gap) in enumerate([(1, 6.1), (2, 7.2)], 1):
            sheet.write_number(line, names.index("dig"), line)
            sheet.write_number(line, names.index("unit"), unit)
            sheet.write_number(line, names.index("seed_cm"), 5)
            sheet.write_string(line, names.index("top_cm"), f"{5 + gap:.1f}".replace(".", ","))
            sheet.write_boolean(line, names.index("wheel"), line == 1)
    read = read_digs(path, 8, sheet="digs").digs
    assert read.top_cm.tolist() == [11.1, 12.2]
    assert read.behind_wheel.tolist() == [1, 0]
    assert read.names == ("1", "2")


def test_seed_and_top_that_changed_places_are_named(tmp_path: Path) -> None:
    head = "dig;unit;seed_cm;top_cm\n"
    swapped = "".join(f"{n};{n};{10 + n / 2};5\n" for n in range(1, 7))
    assert "the two columns had changed places" in stopped(tmp_path, head + swapped)
    shallow = "".join(f"{n};{n};9;{8.5 if n > 1 else 9.5}\n" for n in range(1, 7))  # odd, but not the other way round
    assert len(digs(tmp_path, head + shallow).digs.names) == 6
