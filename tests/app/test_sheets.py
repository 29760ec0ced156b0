"""The commands for sheets, season and protocol: what they write, what they say, how they stop.  The plan is invented."""

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
from spadework.records.sheets.field_sheets import sheet_keys

WEATHER = (files("spadework.demo") / "weather.csv").read_bytes()
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the program in this process; return exit code, output and errors."""

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", *map(str, words)])
        with pytest.raises(SystemExit) as stopped, stopping():
            app()
        said = capsys.readouterr()
        code = stopped.value.code
        return (code if isinstance(code, int) else 0 if code is None else 1), said.out, said.err

    return command


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "plan.toml").write_text(DEMO, "utf-8")
    (tmp_path / "weather.csv").write_bytes(WEATHER)
    return tmp_path


def test_all_sheets_labels_and_the_kit_list(run: Run, folder: Path) -> None:
    out = folder / "out"
    code, said, err = run("sheets", folder, out)
    assert (code, err) == (0, "")
    names = {f"{key}.{form}" for key in sheet_keys() for form in ("pdf", "xlsx", "csv")}
    names |= {"labels-stakes.pdf", "labels-samples.pdf", "kit.pdf"}
    assert {path.name for path in out.iterdir()} == names
    assert said.count("wrote ") == len(names)
    assert all(path.read_bytes().startswith(b"%PDF") for path in out.glob("*.pdf"))
    code, said, err = run("sheets", folder, out)
    assert (code, said) == (2, "")
    assert "is there already; nothing was written" in err


def test_one_sheet_in_one_form(run: Run, folder: Path) -> None:
    out = folder / "out"
    code, _, _ = run("sheets", folder, out, "--kind", "stand", "--form", "csv", "--samples", 2)
    assert code == 0
    assert [path.name for path in out.iterdir()] == ["stand.csv"]
    assert len((out / "stand.csv").read_text("utf-8").splitlines()) == 2 + 16 * 2


def test_without_a_folder_the_sheets_are_listed(run: Run, folder: Path) -> None:
    code, said, _ = run("sheets", folder)
    assert code == 0
    assert all(key in said for key in sheet_keys())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--kind", "stnd"), 'did you mean "stand"?'),
        (("--form", "docx"), "allowed: paper, xlsx, csv"),
        (("--grid", "many"), "is no grid"),
        (("--kind", "soil_places", "--samples", 200), "Take fewer with --samples"),
        (("--mark", "VTI7-101-SL01-4"), "give one of the two"),
    ],
)
def test_what_cannot_be_is_told_and_nothing_written(run: Run, folder: Path, words: tuple[str, ...], told: str) -> None:
    code, _, err = run("sheets", folder, folder / "out", *words)
    assert code == 2
    assert told in err
    assert not (folder / "out").exists()


def test_a_plan_without_rows_has_no_sheet_of_bands_but_all_others(run: Run, folder: Path) -> None:
    start = DEMO.index('[[system]]\nname = "strip"')
    end = DEMO.index("[[system]]", start + 1)
    (folder / "plan.toml").write_text(DEMO[:start] + DEMO[end:], "utf-8")
    code, _, err = run("sheets", folder, folder / "out", "--form", "csv")
    assert (code, err) == (0, "")
    assert {path.stem for path in (folder / "out").iterdir()} == {*sheet_keys()} - {"band"}
    code, _, err = run("sheets", folder, folder / "more", "--kind", "band")
    assert code == 2
    assert "places a band of slurry under rows" in err


def test_marks_are_explained(run: Run, folder: Path) -> None:
    code, said, _ = run("sheets", folder, "--mark", "vti7 101 sl01 4")
    assert (code, said) == (0, "VTI7-101-SL01-4: plot 101, 0-30 cm, sample 1; sheet soil_layers (Soil by layer)\n")
    assert "load 3; sheet slurry_loads" in run("sheets", folder, "--mark", "VTI7-L03-LD00-T")[1]
    assert "stake of plot 101, block 1" in run("sheets", folder, "--mark", "VTI7-101-PG00-S")[1]
    for mark, told in (
        ("VTI7-102-SL01-4", "misread or miswritten"),
        ("K7QD-101-SL02-X", "belongs to another layout"),
        ("101", "is no mark"),
    ):
        code, _, err = run("sheets", folder, "--mark", mark)
        assert code == 2
        assert told in err


def test_marks_of_lines_that_are_not_there(run: Run, folder: Path) -> None:
    from spadework.records.sheets.marks import STAKE, Mark, mark_text

    for mark in (Mark("VTI7", "101", "soil_layers", 99), Mark("VTI7", "999", "stand"), Mark("VTI7", "999", STAKE)):
        code, _, err = run("sheets", folder, "--mark", mark_text(mark))
        assert code == 2
        assert "does not have" in err


def test_the_season_is_printed_and_written(run: Run, folder: Path) -> None:
    code, said, _ = run(
        "season", folder, "--sowing", "2026-05-04", "--ics", folder / "a.ics", "--pdf", folder / "a.pdf"
    )
    assert code == 0
    assert "Counted from sowing on 2026-05-04" in said
    assert b"DTSTART;VALUE=DATE:20260504\r\n" in (folder / "a.ics").read_bytes()
    assert (folder / "a.pdf").read_bytes().startswith(b"%PDF")
    code, _, err = run("season", folder, "--sowing", "4 May")
    assert code == 2
    assert "is no day" in err


def test_a_protocol_from_freezing_to_a_broken_seal(run: Run, folder: Path) -> None:
    plan, path = folder / "plan.toml", folder / "protocol.json"
    assert "is not there" in run("verify", folder)[2]
    assert run("freeze", folder, "--who", "AB")[0] == 0
    assert "is there already" in run("freeze", folder, "--who", "AB")[2]
    assert run("verify", folder)[0] == 0
    plan.write_text(DEMO.replace("seed = 20260301", "seed = 5"), "utf-8")
    code, said, _ = run("verify", folder)
    assert code == 1
    assert "differs: line 105: was seed = 20260301, is seed = 5" in said
    before = path.read_bytes()
    assert "--why" in run("change", folder, "--who", "AB", "--why", " ")[2]
    assert "--who" in run("change", folder, "--who", " ", "--why", "x")[2]
    assert path.read_bytes() == before
    code, said, _ = run("change", folder, "--who", "AB", "--why", "a drain was found")
    assert code == 0
    assert "change 1" in said
    assert run("verify", folder)[0] == 0
    held = json.loads(path.read_text("utf-8"))
    held["records"][1]["why"] = "nothing"
    path.write_text(json.dumps(held), "utf-8")
    code, said, _ = run("verify", folder)
    assert code == 1
    assert "broken: change 1 was altered" in said
