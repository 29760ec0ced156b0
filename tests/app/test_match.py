"""The command for tractor and time: what it prints and how it stops.  All figures are invented."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest
import typer

from plans.faulty import DEMO
from spadework.app.match import match
from spadework.app.stops import stopping
from spadework.estimate import estimate
from spadework.plan import read
from spadework.present.machines.match_table import match_table
from spadework.present.wording import interval_text

WEATHER = (files("spadework.demo") / "weather.csv").read_bytes()
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the command in this process; return exit code, output and errors."""
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(match)
    app.callback()(lambda: None)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", "match", *map(str, words)])
        with pytest.raises(SystemExit) as stopped, stopping():
            app()
        said = capsys.readouterr()
        code = stopped.value.code
        return (code if isinstance(code, int) else 0 if code is None else 1), said.out, said.err

    return command


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with the demo plan and its weather."""
    (tmp_path / "plan.toml").write_text(DEMO, "utf-8")
    (tmp_path / "weather.csv").write_bytes(WEATHER)
    return tmp_path


def test_every_pass_in_a_hundred_columns(run: Run, folder: Path) -> None:
    code, out, err = run(folder, "--draws", 200)
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert max(map(len, lines)) <= 100
    assert all(line == line.rstrip() for line in lines)
    for title in ("Is the tractor large enough?", "How long does a hectare take, and why?", "Diesel by part, L/ha"):
        assert title in out
    for system in read(folder / "plan.toml").plan.systems:
        assert out.count(f"\n  {system.name}\n") == 3
    assert "INVENTED" in out
    assert "Estimated: models only, nothing measured." in out
    assert "below: refilling" in " ".join(out.split())
    assert "must not be quoted as that of a farm" in " ".join(out.split())
    assert out.endswith("200 draws, seed 1\n")


def test_figures_are_those_of_the_estimate(folder: Path) -> None:
    found = estimate(read(folder / "plan.toml"), draws=200, seed=3)
    text = match_table(found)
    for s in range(len(found.systems)):
        for name, places, factor in (
            ("planned_power", 0, 1),
            ("load", 0, 100),
            ("pull", 1, 0.001),
            ("pass_fuel", 1, 1),
        ):
            for spread in found.rows(name, s):
                assert f" {interval_text(spread, places, factor)}" in text
    assert "seed 3" in text


def test_one_system_alone(run: Run, folder: Path) -> None:
    code, out, _ = run(folder / "plan.toml", "--system", "strip", "--draws", 50, "--seed", 2)
    assert code == 0
    assert "strip tiller, 8 rows, tractor 230 + tanker, 16 m3:" in out
    assert "plough, 5 furrows" not in out
    assert "50 draws, seed 2" in out


def test_an_unknown_system_stops_it(run: Run, folder: Path) -> None:
    code, out, err = run(folder, "--system", "stripp", "--draws", 50)
    assert (code, out) == (2, "")
    assert 'no system is called "stripp"' in err
    assert "strip" in err.split("stripp", 1)[1]


def test_a_small_tractor_is_told_with_its_ways_out(run: Run, folder: Path) -> None:
    plan = folder / "plan.toml"
    plan.write_text(DEMO.replace('power = "125 kW"', 'power = "82 kW"'), "utf-8")
    code, out, _ = run(folder, "--system", "plough", "--draws", 200)
    assert code == 0
    assert "plough, 5 furrows, tractor 125: too small in " in out
    line = out.split("plough, 5 furrows, tractor 125: too small in ", 1)[1].splitlines()[2]
    assert line.startswith("      in nine draws of ten enough up to: ")
    assert "km/h or " in line
    assert " cm deep or " in line


def test_a_plan_that_is_not_there(run: Run, folder: Path) -> None:
    code, out, err = run(folder / "none")
    assert (code, out) == (2, "")
    assert "there is no file" in err
