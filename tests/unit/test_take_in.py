"""Filled sheets on their way into the store: read, previewed, taken in once, and turned away where they are hostile."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
import xlsxwriter  # type: ignore[import-untyped]

from spadework.plan import PlanFaults
from spadework.records.sheets.sheet_readings import local_time
from spadework.records.store.opening import create_store
from spadework.records.store.store import Store
from spadework.records.store.take_in import Preview, preview, take_in

HEAD = "plot;place;sample;fresh_kg;dry_matter_pct;yield_dm_t_ha;n_pct;time;person;instrument;note"
FIRST = "101;;1;5000;33,5;;;2026-09-20 09:30;AB;;"
SECOND = "102;;1;5100;34;;missing;2026-09-20 10:00;AB;;edge was wet"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with create_store(tmp_path / "r.db", "Does a strip keep up?", "Europe/Copenhagen", invented=True) as made:
        yield made


def write(folder: Path, *lines: str, head: str = HEAD, name: str = "harvest.csv") -> Path:
    file = folder / name
    file.write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")
    return file


def taken(store: Store, file: Path, **more: object) -> Preview:
    found = preview(store, file, **more)  # type: ignore[arg-type]
    take_in(store, found, person="CD")
    return found


def told(store: Store, file: Path, **more: object) -> str:
    """Return every fault that stands in the way of a file; nothing of it is stored."""
    before = store.count()
    with pytest.raises(PlanFaults) as caught:
        take_in(store, preview(store, file, **more), person="CD")  # type: ignore[arg-type]
    assert store.count() == before
    return str(caught.value)


def workbook(folder: Path, rows: list[list[object]], name: str = "harvest.xlsx") -> Path:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        sheet = book.add_worksheet("harvest")
        day = book.add_format({"num_format": "yyyy-mm-dd hh:mm"})
        for number, row in enumerate(rows):
            for place, cell in enumerate(row):
                if hasattr(cell, "year"):
                    sheet.write_datetime(number, place, cell, day)
                else:
                    sheet.write(number, place, cell)
    file = folder / name
    file.write_bytes(out.getvalue())
    return file


def test_cells_become_readings_with_unit_time_zone_and_line(store: Store, tmp_path: Path) -> None:
    taken(store, write(tmp_path, FIRST, SECOND))
    by_field = {(one.plot, one.field): one for one in store.current()}
    assert len(by_field) == 5
    dry = by_field["101", "dry_matter_pct"]
    assert (dry.value, dry.unit, dry.taken_at) == (33.5, "%", "2026-09-20T09:30:00+02:00")
    assert (dry.source_file, dry.source_line, dry.person) == ("harvest.csv", 2, "AB")
    assert by_field["102", "n_pct"].nothing == "missing"
    assert by_field["102", "n_pct"].note == "edge was wet"


def test_taking_in_twice_adds_nothing(store: Store, tmp_path: Path) -> None:
    file = write(tmp_path, FIRST, SECOND)
    taken(store, file)
    again = taken(store, file)
    assert (again.known, again.new, again.differing) == (5, (), ())
    assert store.count() == 5
    assert len(store.batches()) == 1


def test_the_same_sheet_under_another_name_or_form_adds_nothing(store: Store, tmp_path: Path) -> None:
    import datetime as dt

    taken(store, write(tmp_path, FIRST))
    taken(store, write(tmp_path, FIRST.replace("33,5", "33.50"), name="copy.csv"))
    when = dt.datetime(2026, 9, 20, 9, 30)
    taken(store, workbook(tmp_path, [HEAD.split(";"), [101, None, 1, 5000, 33.5, None, None, when, "AB"]]))
    assert store.count() == 2


def test_further_lines_are_new_and_the_rest_is_known(store: Store, tmp_path: Path) -> None:
    taken(store, write(tmp_path, FIRST))
    found = taken(store, write(tmp_path, FIRST, SECOND))
    assert (found.known, len(found.new)) == (2, 3)


def test_what_differs_needs_a_reason_and_becomes_a_correction(store: Store, tmp_path: Path) -> None:
    taken(store, write(tmp_path, FIRST))
    file = write(tmp_path, FIRST.replace("33,5", "34,5"))
    assert "34.5 % here, 33.5 % in the store" in told(store, file)
    take_in(store, preview(store, file), person="CD", why="read again from the ticket")
    (chain,) = store.history("101", "harvest", "dry_matter_pct")
    assert [one.value for one in chain.readings] == [33.5, 34.5]
    assert chain.current.reason == "read again from the ticket"


def test_an_old_sheet_does_not_undo_a_correction(store: Store, tmp_path: Path) -> None:
    file = write(tmp_path, FIRST)
    taken(store, file)
    old = store.current("harvest", "dry_matter_pct")[0]
    store.correct(old.id, 35.0, "weighed again", person="EF")
    again = taken(store, file)
    assert len(again.since_corrected) == 1
    assert store.current("harvest", "dry_matter_pct")[0].value == 35.0


def test_an_unusual_figure_needs_a_reason_by_note_or_by_command(store: Store, tmp_path: Path) -> None:
    odd = FIRST.replace("33,5", "52")
    assert "outside the usual 25 to 45 %" in told(store, write(tmp_path, odd))
    taken(store, write(tmp_path, odd + "north end, kept: frost in the night"))
    one = store.current("harvest", "dry_matter_pct")[0]
    assert (one.note, one.kept) == ("north end", "frost in the night")
    taken(store, write(tmp_path, odd.replace("101;", "103;"), name="b.csv"), keep={2: "frost"})
    assert store.current("harvest", "dry_matter_pct", plot="103")[0].kept == "frost"


def test_a_known_unusual_figure_is_not_asked_about_again(store: Store, tmp_path: Path) -> None:
    file = write(tmp_path, FIRST.replace("33,5", "52"))
    taken(store, file, keep={2: "frost"})
    assert taken(store, file).known == 2


def test_lines_that_nobody_filled_in_are_left_alone(store: Store, tmp_path: Path) -> None:
    found = taken(store, write(tmp_path, FIRST, "102;;1;;;;;;;;", "103;;1;;;;;;;;"))
    assert len(found.new) == 2
    assert found.sheet.empty == 10


def test_a_line_with_figures_needs_plot_time_and_person(store: Store, tmp_path: Path) -> None:
    said = told(store, write(tmp_path, ";;1;5000;33;;;;;;"))
    for name in ("plot", "time", "person"):
        assert f"line 2, column {name}: is empty" in said


def test_below_detection_is_written_with_the_least_that_can_be_found(store: Store, tmp_path: Path) -> None:
    head = "plot;place;sample;nitrate_n_mg_kg;time;person"
    taken(store, write(tmp_path, "101;0-30 cm;1;< 0,5;2026-04-02;AB", head=head))
    one = store.current("soil")[0]
    assert (one.value, one.nothing, one.limit) == (None, "below detection", 0.5)
    assert "write it as < 0.5" in told(store, write(tmp_path, "102;;1;below detection;2026-04-02;AB", head=head))


def test_the_same_place_twice_needs_numbered_samples(store: Store, tmp_path: Path) -> None:
    said = told(store, write(tmp_path, FIRST, FIRST.replace("33,5", "34")))
    assert "line 3, column dry_matter_pct: is given on line 2 already" in said
    taken(store, write(tmp_path, FIRST, FIRST.replace("101;;1", "101;;2")))
    assert store.count() == 4


def test_plots_that_the_layout_has_not_are_told(store: Store, tmp_path: Path) -> None:
    said = told(store, write(tmp_path, FIRST), plots=("1001", "1002"))
    assert '"101" is no plot of the comparison' in said
    head = "plot;place;sample;ph;time;person"
    taken(store, write(tmp_path, "load 1;;1;7,2;2026-04-20;AB", head=head), plots=("1001",))


def test_what_is_no_longer_in_a_sheet_stays_and_is_told(store: Store, tmp_path: Path) -> None:
    taken(store, write(tmp_path, FIRST, SECOND))
    found = taken(store, write(tmp_path, FIRST))
    assert {one.plot for one in found.gone} == {"102"}
    assert store.count() == 5


def test_all_faults_are_told_at_once(store: Store, tmp_path: Path) -> None:
    said = told(
        store,
        write(
            tmp_path,
            "101;;1;5000;133;;;2026-09-20 09:30;AB;;",
            "102;;1;x;33;;;20.9.2026;AB;;",
            "103;;0;5000;1,234;;;2026-09-20 09:30;;;",
        ),
    )
    for line, part in (
        (2, "133"),
        (3, '"x" is no number'),
        (3, "20.9.2026"),
        (4, "two ways"),
        (4, "column person"),
        (4, "sample"),
    ):
        assert any(f"line {line}," in one and part in one for one in said.splitlines()), part


def test_two_people_who_take_in_one_sheet_make_the_same_rows(store: Store, tmp_path: Path) -> None:
    file = write(tmp_path, FIRST, SECOND)
    with create_store(tmp_path / "other.db", "Does a strip keep up?", "Europe/Copenhagen", invented=True) as other:
        taken(store, file)
        taken(other, file)
        assert list(other.every()) == list(store.every())


def test_hours_that_were_never_or_twice_are_told() -> None:
    # Directive 2000/84/EC: clocks change at 01:00 UTC on the last Sundays of March and October; in 2026 the 29th and the 25th.
    with pytest.raises(ValueError, match="was never"):
        local_time("2026-03-29 02:30", "Europe/Copenhagen")
    with pytest.raises(ValueError, match=r"was twice.*02:30:00\+02:00 or .*02:30:00\+01:00"):
        local_time("2026-10-25 02:30", "Europe/Copenhagen")
    assert local_time("2026-10-25 02:30+01:00", "Europe/Copenhagen") == "2026-10-25T02:30:00+01:00"
    assert local_time("2026-07-01 7:05", "Europe/Copenhagen") == "2026-07-01T07:05:00+02:00"


@pytest.mark.parametrize(
    "cell", ["20.9.2026", "2026-9-20", "2026-13-01", "2026-09-20 25:00", "09:30", "2026-09-20 9:", "x"]
)
def test_other_times_are_refused(cell: str) -> None:
    with pytest.raises(ValueError, match="no day and no time"):
        local_time(cell, "Europe/Copenhagen")


def test_a_column_that_nobody_knows_is_a_fault_that_names_the_nearest(store: Store, tmp_path: Path) -> None:
    said = told(store, write(tmp_path, "101;33;2026-09-20;AB", head="plot;dry_mater_pct;time;person"), record="harvest")
    assert 'did you mean "dry_matter_pct"' in said


def test_columns_of_two_kinds_ask_for_the_kind(store: Store, tmp_path: Path) -> None:
    file = write(tmp_path, "101;5;2026-05-04;AB", head="plot;depth_cm;time;person")
    assert "machine and seed" in told(store, file)
    taken(store, file, record="seed")
    assert "no column names a kind" in told(store, write(tmp_path, "101;5", head="plot;colour"))
    assert "is no kind of record" in told(store, file, record="sed")


@pytest.mark.parametrize("cell", ['=HYPERLINK("x")', "=1+1", "@SUM(A1)", "+5*2", "-2+3"])
def test_formulas_in_a_cell_of_figures_are_no_numbers(store: Store, tmp_path: Path, cell: str) -> None:
    assert "is no number" in told(
        store, write(tmp_path, f"101;;1;{cell.replace(chr(34), chr(39))};33;;;2026-09-20;AB;;")
    )


def test_formulas_in_a_note_are_text(store: Store, tmp_path: Path) -> None:
    taken(store, write(tmp_path, FIRST + "=cmd|'/c calc'!A0"))
    assert store.current("harvest", "fresh_kg")[0].note == "=cmd|'/c calc'!A0"


def test_a_cell_of_ten_thousand_characters_is_refused(store: Store, tmp_path: Path) -> None:
    assert "10000 characters" in told(store, write(tmp_path, FIRST + "x" * 10_000))


def test_a_long_or_unprintable_plot_is_refused(store: Store, tmp_path: Path) -> None:
    assert "column plot" in told(store, write(tmp_path, FIRST.replace("101", "1" * 61)))
    assert "column plot" in told(store, write(tmp_path, FIRST.replace("101", "1\x1b[31m")))


def test_mixed_decimal_signs_in_one_sheet_are_read_and_two_way_ones_refused(store: Store, tmp_path: Path) -> None:
    taken(store, write(tmp_path, FIRST, SECOND.replace(";34;", ";34.5;")))
    assert "two ways" in told(store, write(tmp_path, "104;;1;5,100;34;;;2026-09-20;AB;;", name="b.csv"))


def test_commas_between_cells_and_in_figures_are_told(store: Store, tmp_path: Path) -> None:
    head = "plot,fresh_kg,dry_matter_pct,time,person"
    said = told(store, write(tmp_path, "101,5000,33,5,2026-09-20,AB", head=head))
    assert "decimal commas need semicolons" in said


def test_merged_cells_are_refused(store: Store, tmp_path: Path) -> None:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ["plot", "dry_matter_pct", "time", "person"])
        sheet.merge_range(1, 0, 2, 0, "101")
        sheet.write_row(1, 1, [33, "2026-09-20", "AB"])
        sheet.write_row(2, 1, [34, "2026-09-20", "AB"])
    file = tmp_path / "m.xlsx"
    file.write_bytes(out.getvalue())
    assert "are merged" in told(store, file)


def test_a_formula_that_was_never_worked_out_is_refused(store: Store, tmp_path: Path) -> None:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ["plot", "dry_matter_pct", "time", "person"])
        sheet.write_row(1, 0, ["101", None, "2026-09-20", "AB"])
        sheet.write_formula(1, 1, "=30+3", None, "")
    file = tmp_path / "f.xlsx"
    file.write_bytes(out.getvalue())
    assert "never worked out" in told(store, file)


def test_a_workbook_that_unpacks_to_too_much_is_refused(store: Store, tmp_path: Path) -> None:
    file = workbook(tmp_path, [HEAD.split(";"), [101, None, 1, 5000, 33.5]])
    with zipfile.ZipFile(file) as old:
        parts = {name: old.read(name) for name in old.namelist()}
    parts["xl/worksheets/sheet1.xml"] += b" " * 30_000_000
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in parts.items():
            packed.writestr(name, content)
    assert file.stat().st_size < 200_000
    assert "unpacks to more than" in told(store, file)


def test_no_one_who_takes_it_in_is_a_fault(store: Store, tmp_path: Path) -> None:
    with pytest.raises(PlanFaults, match="--person"):
        take_in(store, preview(store, write(tmp_path, FIRST)), person=" ")
    with pytest.raises(PlanFaults, match="line 9 holds no readings"):
        take_in(store, preview(store, write(tmp_path, FIRST), keep={9: "why"}), person="CD")
