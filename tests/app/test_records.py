"""The commands for readings: by hand, from filled sheets, looked up, copied and handed on.  All figures are invented."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest

from plans.faulty import DEMO
from spadework.app.cli import app
from spadework.app.stops import stopping
from spadework.plan import read
from spadework.records.sheets.field_sheets import field_sheet, laid_out
from spadework.records.store.opening import open_store
from spadework.records.tables.sheet import csv_text, xlsx_book

Run = Callable[..., tuple[int, str, str]]
WHEN = "2026-05-04 09:30"
ZONE = "Europe/Copenhagen"


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", "records", *map(str, words)])
        with pytest.raises(SystemExit) as stopped, stopping():
            app()
        said = capsys.readouterr()
        code = stopped.value.code
        return (code if isinstance(code, int) else 0 if code is None else 1), said.out, said.err

    return command


@pytest.fixture
def bare(tmp_path: Path) -> Path:
    folder = tmp_path / "demo"
    folder.mkdir()
    (folder / "plan.toml").write_text(DEMO, "utf-8")
    (folder / "weather.csv").write_bytes((files("spadework.demo") / "weather.csv").read_bytes())
    return folder


@pytest.fixture
def folder(bare: Path, run: Run) -> Path:
    code, said, err = run("start", bare, "--zone", ZONE)
    assert (code, err) == (0, "")
    assert "readings.db" in said
    return bare


def filled(folder: Path, key: str, form: str, figures: dict[str, float]) -> Path:
    """Fill in a sheet as the program writes it, every line with the same figures."""
    seen = read(folder / "plan.toml")
    sheet = field_sheet(key, seen, laid_out(seen))
    file = folder / f"{key}.{form}"
    if form == "csv":
        head, units, *lines = csv_text(sheet).splitlines()
        names = head.split(";")
        out = [head, units]
        for line in lines:
            cells = dict(zip(names, line.split(";"), strict=True))
            cells |= {name: str(value).replace(".", ",") for name, value in figures.items()}
            cells |= {"time": WHEN, "person": "AB"}
            out.append(";".join(cells[name] for name in names))
        file.write_text("\n".join(out) + "\n", "utf-8")
    else:
        _fill_workbook(xlsx_book(sheet), file, figures)
    return file


def _fill_workbook(content: bytes, file: Path, figures: dict[str, float]) -> None:
    import io

    import xlsxwriter  # type: ignore[import-untyped]
    from python_calamine import CalamineWorkbook

    rows = CalamineWorkbook.from_filelike(io.BytesIO(content)).get_sheet_by_index(0).to_python()
    with xlsxwriter.Workbook(str(file)) as book:
        tab = book.add_worksheet()
        for number, row in enumerate(rows):
            cells = dict(zip(rows[0], row, strict=True))
            if number > 1 and cells["plot"] != "":
                cells |= {**figures, "time": WHEN, "person": "AB"}
            for place, name in enumerate(rows[0]):
                tab.write(number, place, cells[name])


def test_a_reading_by_hand_asks_for_a_reason_and_can_be_corrected(run: Run, folder: Path) -> None:
    asked = ("add", folder, "harvest", "dry_matter_pct", "52", "--plot", "101", "--time", WHEN, "--person", "AB")
    code, _, err = run(*asked)
    assert code == 2
    assert "outside the usual 25 to 45 %" in err
    code, said, err = run(*asked, "--keep", "frost")
    assert (code, err) == (0, "")
    ident = said.rsplit("; id ", 1)[1].split()[0]
    assert f"--corrects {ident}" in said  # the way to mend it is named at once
    fixed = ("add", folder, "harvest", "dry_matter_pct", "42", "--plot", "101", "--time", WHEN, "--person", "CD")
    code, _, err = run(*fixed, "--corrects", ident)
    assert (code, "without a reason" in err) == (2, True)
    assert run(*fixed, "--corrects", ident, "--why", "wrong line of the ticket")[0] == 0
    code, said, _ = run("history", folder, "harvest", "dry_matter_pct", "--plot", "101")
    assert code == 0
    for part in ("52 %, by AB; kept: frost", "42 %, by CD", "wrong line of the ticket", "id of what counts"):
        assert part in " ".join(said.split())


def test_all_faults_of_a_reading_are_told_at_once(run: Run, folder: Path) -> None:
    code, _, err = run(
        "add", folder, "harvest", "dry_mater_pct", "3", "--plot", "999", "--time", "4.5.", "--person", "AB"
    )
    assert code == 2
    for part in ('did you mean "harvest dry_matter_pct"', '"999" is no plot', '"4.5." is no day'):
        assert part in err


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_a_sheet_of_the_program_is_filled_in_and_taken_in_once(run: Run, folder: Path, form: str) -> None:
    file = filled(folder, "harvest", form, {"fresh_kg": 5000.0, "dry_matter_pct": 33.5})
    code, said, err = run("take-in", folder, file)
    assert (code, err) == (0, "")
    assert "- new: " in said
    assert "Nothing is written yet" in said
    code, said, err = run("take-in", folder, file, "--take", "--person", "CD")
    assert (code, err) == (0, "")
    new = int(said.split("taken in: ")[1].split()[0])
    assert new >= 32
    code, said, _ = run("take-in", folder, file, "--take", "--person", "CD")
    assert f"taken in: 0 new rows, 0 of them corrections; {new} were known" in said


def test_a_sheet_with_faults_shows_what_is_new_and_all_faults(run: Run, folder: Path) -> None:
    file = folder / "bad.csv"
    file.write_text(
        "plot;dry_matter_pct;time;person\n101;52;2026-09-20;AB\n102;x;2026-09-20;AB\n999;33;2026-09-20;AB\n", "utf-8"
    )
    code, said, err = run("take-in", folder, file, "--record", "harvest")
    assert code == 2
    assert "unusual, and without a reason to keep them: 1" in said
    for part in ("line 2, column dry_matter_pct: 52 %", "line 3", '"999" is no plot'):
        assert part in err
    code, _, err = run("take-in", folder, file, "--keep", "two: x", "--take")
    assert (code, "is no line and reason" in err) == (2, True)


def test_two_stores_are_merged_backed_up_restored_exported_and_read_back(
    run: Run, folder: Path, tmp_path: Path
) -> None:
    other = tmp_path / "helper.db"
    assert run("start", folder, "--zone", ZONE, "--store", other)[0] == 0
    for place, store in (("101", ()), ("102", ("--store", other))):
        asked = ("add", folder, "band", "gap_cm", "6,5", "--plot", place, "--time", WHEN, "--person", "AB", *store)
        assert run(*asked)[0] == 0
    assert "added 1 rows; 0 were there already" in run("merge", folder, other)[1]
    assert "added 0 rows; 1 were there already" in run("merge", folder, other)[1]
    photo = tmp_path / "a.jpg"
    photo.write_bytes(b"\xff\xd8\xff\xe0 invented")
    assert run("photo", folder, photo, "--plot", "101", "--time", WHEN, "--person", "AB")[0] == 0
    assert "2 rows, all as they were added" in run("check", folder)[1]
    assert run("backup", folder, tmp_path / "backup")[0] == 0
    code, said, err = run("restore", tmp_path / "backup", tmp_path / "again" / "readings.db")
    assert (code, err, "2 rows" in said) == (0, "", True)
    code, said, err = run("export", folder, tmp_path / "pack", "--layout", folder / "plan.toml")
    assert (code, err) == (0, "")
    assert "names people" in said
    assert (tmp_path / "pack" / "data" / "plots.csv").read_text("utf-8").count("strip") == 4
    code, _, err = run(
        "export", folder, tmp_path / "q", "--layout", folder / "plan.toml", "--layout", folder / "plan.toml"
    )
    assert (code, "a name of its own" in err) == (2, True)
    code, _, err = run("export", folder, tmp_path / "q", "--layout", tmp_path / "none.gpkg")
    assert (code, "cannot be read" in err) == (2, True)
    code, said, err = run("import", tmp_path / "pack", tmp_path / "third" / "readings.db")
    assert (code, err, "2 rows" in said) == (0, "", True)
    for words in (("backup", folder, tmp_path / "backup"), ("export", folder, tmp_path / "pack")):
        code, _, err = run(*words)
        assert (code, "is there already" in err) == (2, True)


def test_what_was_measured_stands_beside_the_estimate(run: Run, folder: Path) -> None:
    for key, figures in (("passes", {"speed_km_h": 7.0}), ("residue", {"points": 100, "hits": 30})):
        assert run("take-in", folder, filled(folder, key, "csv", figures), "--take", "--person", "CD")[0] == 0
    (folder / "why.csv").write_text('quantity;system;reason\nresidue_cover;plough;"second line"\n', "utf-8")
    out = [folder / name for name in ("m.html", "m.pdf", "m.json")]
    code, said, err = run(
        "beside",
        folder,
        "--draws",
        64,
        "--reasons",
        folder / "why.csv",
        "--html",
        out[0],
        "--pdf",
        out[1],
        "--json",
        out[2],
    )
    assert (code, err) == (0, "")
    assert "INVENTED" in said
    assert "Forward speed, km/h" in said
    assert "reason: second line" in said
    assert max(len(line) for line in said.splitlines() if not line.startswith("wrote")) <= 100
    rows = json.loads(out[2].read_text("utf-8"))["rows"]
    cover = next(row for row in rows if (row["quantity"], row["system"]) == ("residue_cover", "plough"))
    assert (cover["measured"], cover["unit"], cover["reason"], cover["plots"]) == (30.0, "%", "second line", 4)
    assert cover["off"] == pytest.approx(30.0 - cover["estimated"], abs=1e-4)
    assert "What was measured beside what was estimated?" in out[0].read_text("utf-8")
    assert out[1].read_bytes().startswith(b"%PDF")


def test_the_report_shows_what_was_measured(run: Run, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = (
        "add",
        folder,
        "machine",
        "fuel_l_ha",
        "24",
        "--plot",
        "104",
        "--place",
        "pass 1",
        "--time",
        WHEN,
        "--person",
        "AB",
    )
    assert run(*asked)[0] == 0
    words = [
        "spadework",
        "report",
        folder,
        "--readings",
        folder / "readings.db",
        "--html",
        folder / "r.html",
        "--draws",
        16,
    ]
    monkeypatch.setattr(sys, "argv", [str(word) for word in words])
    with pytest.raises(SystemExit) as stopped, stopping():
        app()
    assert stopped.value.code in (0, None)
    text = (folder / "r.html").read_text("utf-8")
    assert "What was measured beside what was estimated?" in text
    assert "Diesel, L/ha" in text


def test_what_is_missing_and_what_does_not_go_together_is_said(run: Run, folder: Path, tmp_path: Path) -> None:
    assert "No reading of a plot is there yet" in run("complete", folder)[1]
    other = tmp_path / "helper.db"
    assert run("start", folder, "--zone", ZONE, "--store", other)[0] == 0
    about = ("--time", WHEN, "--person", "AB")
    for plot, hits in (("101", "30"), ("102", "130")):
        assert run("add", folder, "residue", "points", "100", "--plot", plot, *about)[0] == 0
        assert run("add", folder, "residue", "hits", hits, "--plot", plot, *about, "--store", other)[0] == 0
    code, _, err = run("add", folder, "residue", "hits", "130", "--plot", "102", *about)
    assert (code, "residue cover would be 130 %" in err) == (2, True)
    assert run("merge", folder, other)[0] == 0  # two helpers, one of whom never saw the other's figure
    code, said, err = run("complete", folder)
    assert (code, err) == (0, "")
    said = " ".join(said.split())
    assert "2 of 16 plots have points with residue under them" in said
    assert "plot 102, sample 1: residue cover would be 130 % (hits 130, points 100); that cannot be" in said
    assert "Not begun: plot, soil" in said
    assert "0 of 4 plots have depth of the seed" in " ".join(run("complete", folder, "--record", "band")[1].split())
    assert run("complete", folder, "--record", "bnd")[0] == 2


def test_a_backup_is_not_opened_and_stays_as_it_was(run: Run, folder: Path, tmp_path: Path) -> None:
    asked = ("add", folder, "band", "gap_cm", "6.5", "--plot", "101", "--time", WHEN, "--person", "AB")
    assert run(*asked)[0] == 0
    stick = tmp_path / "stick"
    assert run("backup", folder, stick)[0] == 0
    for words in (("check", folder, "--store", stick / "readings.db"), ("merge", folder, stick / "readings.db")):
        code, _, err = run(*words)
        assert (code, "is part of a backup" in err) == (2, True)
    code, said, _ = run("merge", folder, stick)  # a helper's backup is taken in as it lies
    assert (code, "added 0 rows; 1 were there already" in said) == (0, True)
    code, said, err = run("restore", stick, tmp_path / "again.db")
    assert (code, err) == (0, "")
    assert "spadework records check PLAN --store" in said


def test_a_correction_stays_in_its_place_and_sample(run: Run, folder: Path) -> None:
    about = ("--plot", "104", "--time", WHEN, "--person", "AB")
    where = ("--place", "unit 3", "--sample", "2", "--instrument", "steel ruler")
    said = run("add", folder, "band", "gap_cm", "6.5", *about, *where)[1]
    ident = said.rsplit("; id ", 1)[1].split()[0]
    code, said, err = run("add", folder, "band", "gap_cm", "7.5", *about, "--corrects", ident, "--why", "misread")
    assert (code, err) == (0, "")
    with open_store(folder / "readings.db") as store:
        (one,) = store.current("band", "gap_cm")
    assert (one.value, one.place, one.sample, one.instrument) == (7.5, "unit 3", 2, "steel ruler")


def test_a_store_is_not_merged_with_itself(run: Run, folder: Path) -> None:
    code, _, err = run("merge", folder, folder / "readings.db")
    assert (code, "is the store itself" in err) == (2, True)


def test_a_photo_names_a_plot_of_the_layout(run: Run, folder: Path) -> None:
    (folder / "a.jpg").write_bytes(b"\xff\xd8\xff\xe0 invented")
    code, _, err = run("photo", folder, folder / "a.jpg", "--plot", "999", "--time", WHEN, "--person", "AB")
    assert (code, '"999" is no plot of the layout' in err) == (2, True)


def test_two_typings_of_a_sheet_are_compared_and_nothing_is_stored(run: Run, folder: Path) -> None:
    text = "plot;sample;plants;length_m;time;person\n101;1;86;13.33;2026-05-20;AB\n102;1;91;13.33;2026-05-20;AB\n"
    (folder / "one.csv").write_text(text, "utf-8")
    (folder / "two.csv").write_text(text.replace(";86;", ";68;"), "utf-8")
    code, said, err = run("read-back", folder, folder / "one.csv", folder / "two.csv")
    assert (code, err) == (1, "")
    assert "1 cell apart" in said
    assert "plot 101, sample 1, plants: 86 in one.csv (line 2), 68 in two.csv (line 2)" in said
    (folder / "two.csv").write_text(text, "utf-8")
    code, said, _ = run("read-back", folder, folder / "one.csv", folder / "two.csv")
    assert (code, "they agree in every cell" in said, "records take-in" in said) == (0, True, True)
    assert "0 rows" in run("check", folder)[1]


def test_without_a_store_the_command_says_how_to_make_one(run: Run, bare: Path) -> None:
    code, _, err = run("history", bare, "harvest", "n_pct", "--plot", "101")
    assert code == 2
    assert "spadework records start" in err
    assert run("start", bare, "--zone", "Europe/Nowhere")[0] == 2
    assert not (bare / "readings.db").exists()


def test_a_store_is_not_made_twice(run: Run, folder: Path) -> None:
    code, _, err = run("start", folder, "--zone", ZONE)
    assert (code, "is there already" in err) == (2, True)
