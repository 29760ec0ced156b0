"""The command on position logs: what it prints and writes, and how it stops.  All logs are made and invented."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest
import typer

from spadework.app.stops import stopping
from spadework.app.time_study import timing
from tracks_made import day_of_work, nmea

Run = Callable[..., tuple[int, str, str]]
DEMO = str(files("spadework.demo"))


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the command in this process; return exit code, output and errors."""
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(timing)
    app.callback()(lambda: None)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", "timing", *map(str, words)])
        with pytest.raises(SystemExit) as stopped, stopping():
            app()
        told = capsys.readouterr()
        code = stopped.value.code
        return (code if isinstance(code, int) else 0 if code is None else 1), told.out, told.err

    return command


@pytest.fixture(scope="module")
def log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("logs") / "morning.nmea"
    path.write_text(nmea(day_of_work()), "ascii")
    return path


def test_text_table_and_picture(run: Run, log: Path, tmp_path: Path) -> None:
    table, picture = tmp_path / "states.csv", tmp_path / "track.svg"
    code, out, err = run(log, "--width", "6 m", "--csv", table, "--svg", picture)
    assert (code, err) == (0, "")
    assert "16 along, 2 on headlands" in out
    assert "must not be quoted" in out
    assert "a rectangle of 400 x 200 m" in out
    assert 'turn = "' in out
    assert table.read_text("utf-8").startswith("time_s;east_m;north_m;")
    assert picture.read_text("utf-8").startswith("<svg")


def test_feet_are_metres(run: Run, log: Path) -> None:
    _, metres, _ = run(log, "--width", "6.096 m")
    _, feet, _ = run(log, "--width", "20 ft")
    assert metres == feet


def test_a_plan_gives_field_width_and_what_it_assumed(run: Run, log: Path) -> None:
    code, out, _ = run(log, "--plan", DEMO, "--machine", "mixing injector, 5 m")
    assert code == 0
    assert "Long Acre at Alder Farm (invented)" in out
    assert "headlands of 18 m" in out
    assert "working width                     5 m" in out
    assert 'km/h for "mixing injector, 5 m"' in out
    assert "passes lie farther apart than the working width" in " ".join(out.split())


def test_another_field_by_length_and_area(run: Run, log: Path) -> None:
    code, out, _ = run(log, "--width", "6 m", "--length", "300 m", "--area", "6 ha")
    assert code == 0
    assert "6 ha, runs up to 300 m" in out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "--width: is missing"),
        (("--width", "6"), "--width:"),
        (("--width", "90 m"), "allowed: 0.2 to 60 m"),
        (("--width", "6 m", "--length", "300 m"), "--area: is missing"),
        (("--width", "6 m", "--area", "300 ha"), "--length: is missing"),
        (("--width", "6 m", "--machine", "x"), "--machine: belongs to --plan"),
        (("--plan", DEMO, "--machine", "mixing injector"), "is not in the plan"),
        (("--plan", DEMO, "--machine", "tanker, 16 m3"), "the machine has none"),
        (("--width", "6 m", "--plan", DEMO, "--length", "300 m", "--area", "3 ha"), "leave --length and --area out"),
        (("--width", "6 m", "--csv", "a.csv", "--svg", "a.csv"), "--svg: is the file that --csv"),
        (("--width", "6 m", "--columns", "none.toml"), ""),
    ],
)
def test_faults_end_with_code_two_and_write_nothing(
    run: Run, log: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    code, out, err = run(log, *words)
    assert code == 2
    assert told in err
    assert out == ""
    assert list(tmp_path.iterdir()) == []


def test_what_is_read_is_never_overwritten(run: Run, log: Path) -> None:
    before = log.read_bytes()
    code, _, err = run(log, "--width", "6 m", "--csv", log)
    assert code == 2
    assert "would overwrite" in err
    assert log.read_bytes() == before


def test_a_log_without_work_says_so(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "parked.nmea"
    made = day_of_work()
    parked = replace(made, east_m=0 * made.east_m, north_m=0 * made.north_m)
    path.write_text("\n".join(nmea(parked).splitlines()[:60]), "ascii")
    code, _, err = run(path, "--width", "6 m")
    assert code == 2
    assert "shows no movement" in err


def test_a_drive_on_the_road_is_doubted(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "road.nmea"
    path.write_text("\n".join(nmea(day_of_work()).splitlines()[:60]), "ascii")
    code, out, _ = run(path, "--width", "6 m")
    assert code == 0
    assert "is this work, or the road?" in out


def test_page_print_and_figures(run: Run, log: Path, tmp_path: Path) -> None:
    page, paper, figures = tmp_path / "t.html", tmp_path / "t.pdf", tmp_path / "t.json"
    code, out, err = run(log, "--width", "6 m", "--html", page, "--pdf", paper, "--json", figures)
    assert (code, err) == (0, "")
    assert [line for line in out.splitlines() if line.startswith("wrote")] == [
        f"wrote {path}" for path in (page, paper, figures)
    ]
    text, held = page.read_text("utf-8"), json.loads(figures.read_text("utf-8"))
    assert "looked: one outfit on one day" in text
    assert "must not be quoted for another field" in text
    assert paper.read_bytes().startswith(b"%PDF")
    assert f"{held['rate_ha_h']:.2f} ha/h" in out
    assert held["turn"]["count"] == 13
    assert sum(held["states_s"].values()) == pytest.approx(held["field_s"] + held["states_s"]["transport"])
    assert len(held["passes"]) == 18
    assert held["for_the_plan"][0] in out


@pytest.mark.parametrize("option", ["--html", "--pdf", "--json", "--csv", "--svg"])
def test_a_log_is_never_written_over(run: Run, log: Path, option: str) -> None:
    before = log.read_bytes()
    code, out, err = run(log, "--width", "6 m", option, log)
    assert (code, out) == (2, "")
    assert f"{option}: would overwrite morning.nmea" in err
    assert log.read_bytes() == before


def test_a_plan_in_its_folder_is_never_written_over(run: Run, log: Path, tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_bytes((Path(DEMO) / "plan.toml").read_bytes())
    code, _, err = run(log, "--width", "6 m", "--plan", tmp_path, "--json", tmp_path / "plan.toml")
    assert code == 2
    assert "would overwrite plan.toml" in err
