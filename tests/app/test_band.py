"""The command on the band: what it prints and writes, and how it stops.  All figures are invented."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest
import typer

from plans.faulty import DEMO
from spadework.app.band import band, read_wait
from spadework.app.stops import stopping
from spadework.plan import PlanFaults
from spadework.present.cautions import DEFER

WEATHER = (files("spadework.demo") / "weather.csv").read_bytes()
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the command in this process; return exit code, output and errors."""
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(band)
    app.callback()(lambda: None)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", "band", *map(str, words)])
        with pytest.raises(SystemExit) as stopped, stopping():
            app()
        told = capsys.readouterr()
        code = stopped.value.code
        return (code if isinstance(code, int) else 0 if code is None else 1), told.out, told.err

    return command


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "plan.toml").write_text(DEMO, "utf-8")
    (tmp_path / "weather.csv").write_bytes(WEATHER)
    return tmp_path


def test_place_and_weeks_with_both_files(run: Run, folder: Path) -> None:
    page, data = folder / "out" / "b.html", folder / "b.json"
    code, out, err = run(
        folder, "--system", "strip", "--days", 30, "--gap", "3 cm", "--wait", "7", "--html", page, "--json", data
    )
    assert (code, err) == (0, "")
    plain = " ".join(out.split())
    assert "7 d after the slurry" in plain
    assert "the weeks after the slurry, 200 draws" in plain
    assert " ".join(DEFER.split()) in plain
    assert all(len(line) <= 100 and line == line.rstrip() for line in out.splitlines() if "wrote" not in line)
    (system,) = json.loads(data.read_text("utf-8"))["systems"]
    assert system["wait_days"] == 7
    assert len(system["days"]) == 31
    assert system["gap_cm"]["mid"] == pytest.approx(3, abs=0.2)
    text = page.read_text("utf-8")
    assert "What does it do to the seed?" in text
    assert text.count("<svg") >= 2


def test_same_words_twice(run: Run, folder: Path) -> None:
    assert run(folder)[1] == run(folder / "plan.toml")[1]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--gap", "wide"), "--gap"),
        (("--gap", "60 cm"), "0 to 40 cm"),
        (("--gap", "4..8 cm"), "write one figure"),
        (("--wait", "soon"), "--wait"),
        (("--wait", "200 day"), "0 to 120 day"),
        (("--days", "0"), "--days"),
        (("--days", "301"), "--days"),
        (("--system", "stripp"), 'did you mean "strip"'),
        (("--system", "plough"), 'system "plough" lays no band'),
    ],
)
def test_how_it_stops(run: Run, folder: Path, words: tuple[str, ...], said: str) -> None:
    code, out, err = run(folder, *words, "--json", folder / "b.json")
    assert (code, out) == (2, "")
    assert said in " ".join(err.split())
    assert not (folder / "b.json").exists()


def test_a_plan_without_a_band(run: Run, folder: Path) -> None:
    start = DEMO.index('[[system]]\nname = "strip"')
    (folder / "plan.toml").write_text(DEMO[:start] + DEMO[DEMO.index("[[system]]", start + 5) :], "utf-8")
    code, out, err = run(folder)
    assert (code, out) == (2, "")
    assert "no system of this plan lays slurry in a band" in " ".join(err.split())


def test_a_wait_of_half_a_day_is_refused_with_what_to_write() -> None:
    with pytest.raises(PlanFaults, match=r'2\.5 days; the weeks go by whole days, so write --wait "2 day"'):
        read_wait("60 h")
    assert read_wait("48 h") == 2
