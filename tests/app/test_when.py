"""The command on start hours: what it prints, and how it stops.  All figures are invented."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest
import typer

from plans.faulty import DEMO
from spadework.app.stops import stopping
from spadework.app.when import when
from spadework.present.cautions import DEFER

WEATHER = (files("spadework.demo") / "weather.csv").read_bytes()
FILE = 'file = "weather.csv"\nstart = 2013-04-17T09:00:00+02:00   # a day of the typical year in the file\nhours = 10'
TYPICAL = 'air_temperature = "14 degC"\nwind = "3 m/s"'
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the command in this process; return exit code, output and errors."""
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(when)
    app.callback()(lambda: None)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", "when", *map(str, words)])
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


def test_a_window_and_a_file(run: Run, folder: Path) -> None:
    code, out, err = run(folder, "--from", "2013-04-10", "--to", "2013-04-12", "--every", 6, "--csv", folder / "w.csv")
    assert (code, err) == (0, "")
    plain = " ".join(out.split())
    assert "12 starts from 10 April, 00:00 to 12 April, 18:00 2013, every 6 h" in plain
    for words in ("weather.csv, beside the plan", "no forecast", "Check locally", "[memory]", " ".join(DEFER.split())):
        assert words in plain
    assert all(len(line) <= 100 and line == line.rstrip() for line in out.splitlines() if "wrote" not in line)
    assert len((folder / "w.csv").read_text("utf-8").splitlines()) == 1 + 4 * 12


def test_the_usual_window_and_the_other_model(run: Run, folder: Path) -> None:
    code, out, err = run(folder, "--every", 24, "--from", "2013-04-11T08:00", "--model", "saturation")
    assert (code, err) == (0, "")
    assert "from 11 April, 08:00" in " ".join(out.split())
    assert "Model of the course: saturation" in " ".join(out.split())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--from", "soon"), '"soon" is no day or hour'),
        (("--to", "0001-01-01"), "is no day or hour"),
        (("--from", "2013-04-20", "--to", "2013-04-11"), "ends before it begins"),
        (("--to", "2013-06-11"), "outside the weather"),
        (("--from", "2013-04-28", "--to", "2013-04-29"), "72 h of it must follow"),
        (("--model", "two pool"), 'did you mean "two pools"'),
        (("--every", "0"), "--every"),
    ],
)
def test_how_it_stops(run: Run, folder: Path, words: tuple[str, ...], said: str) -> None:
    code, out, err = run(folder, *words)
    assert (code, out) == (2, "")
    assert said in " ".join(err.split())


def test_a_typical_hour_or_a_short_file(run: Run, folder: Path) -> None:
    (folder / "plan.toml").write_text(DEMO.replace(FILE, TYPICAL), "utf-8")
    code, _, err = run(folder)
    assert code == 2
    assert "one typical hour" in err
    (folder / "plan.toml").write_text(DEMO.replace("2013-04-17T09", "2013-04-29T09"), "utf-8")
    code, _, err = run(folder)
    assert code == 2
    assert "give --from and --to" in err
