"""One paper sheet typed twice: what differs is named cell by cell, and nothing else is."""

from __future__ import annotations

from pathlib import Path

from spadework.present.sheets.take_in_words import read_back_text
from spadework.records.sheets.read_back import Apart, read_back
from spadework.records.sheets.sheet_readings import Sheet, read_sheet

HEAD = "plot;place;sample;seed_cm;gap_cm;time;person;note"
LINES = (
    "101;unit 1;1;5;6,5;2026-05-04 09:30;AB;",
    "101;unit 2;1;5,5;7;2026-05-04 09:40;AB;stone",
    "102;unit 1;1;4;;2026-05-04;AB;",
)


def typed(folder: Path, name: str, *lines: str) -> Sheet:
    file = folder / name
    file.write_text("\n".join([HEAD, *lines]) + "\n", "utf-8")
    return read_sheet(file, comparison="c", zone="Europe/Copenhagen", record="band")


def apart(folder: Path, *lines: str) -> tuple[Apart, ...]:
    return read_back(typed(folder, "a.csv", *LINES), typed(folder, "b.csv", *lines))


def test_the_same_in_another_order_and_writing_agrees(tmp_path: Path) -> None:
    same = ("102;unit 1;1;4.0;;2026-05-04;AB;", LINES[1].replace("5,5", "5.50"), LINES[0])
    assert apart(tmp_path, *same) == ()
    one = typed(tmp_path, "a.csv", *LINES)
    assert (
        read_back_text(one, one, ()) == "a.csv and a.csv: 5 readings and 5 readings of band; they agree in every cell"
    )


def test_swapped_digits_are_named_with_both_lines(tmp_path: Path) -> None:
    (one,) = apart(tmp_path, LINES[1], LINES[0].replace("6,5", "5,6"), LINES[2])
    assert one == Apart("plot 101, unit 1, sample 1", "gap_cm", "6.5 cm", "5.6 cm", 2, 3)
    found = typed(tmp_path, "a.csv", *LINES)
    said = read_back_text(found, found, (one,))
    assert "1 cell apart" in said
    assert "gap_cm: 6.5 cm in a.csv (line 2), 5.6 cm in a.csv (line 3)" in said.replace("\n    ", " ")


def test_a_cell_and_a_line_that_one_of_them_left_out(tmp_path: Path) -> None:
    (cell,) = apart(tmp_path, LINES[0], LINES[1].replace(";7;", ";;"), LINES[2])
    assert (cell.column, cell.first, cell.second, cell.second_line) == ("gap_cm", "7 cm", "nothing", None)
    (line,) = apart(tmp_path, *LINES, "102;unit 2;1;4;;2026-05-04;AB;")
    assert (line.where, line.first, line.second) == ("plot 102, unit 2, sample 1", "nothing", "4 cm")


def test_time_person_and_note_of_a_line_are_told_once(tmp_path: Path) -> None:
    found = apart(
        tmp_path, LINES[0].replace("09:30", "09:50").replace("AB", "BA"), LINES[1].replace("stone", "stones"), LINES[2]
    )
    assert [one.column for one in found] == ["time", "person", "note"]


def test_a_word_for_nothing_is_no_figure(tmp_path: Path) -> None:
    (one,) = apart(tmp_path, LINES[0].replace("6,5", "unreadable"), *LINES[1:])
    assert (one.first, one.second) == ("6.5 cm", "unreadable")


def test_a_line_under_the_wrong_plot_is_told_for_both_plots(tmp_path: Path) -> None:
    found = apart(tmp_path, *LINES[:2], LINES[2].replace("102", "103"))
    assert [(one.where[:8], one.first, one.second) for one in found] == [
        ("plot 102", "4 cm", "nothing"),
        ("plot 103", "nothing", "4 cm"),
    ]
