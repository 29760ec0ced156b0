"""The commands on seedbed and stand: what they print and write, and how they stop.  All figures are invented."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
import typer

from plans.faulty import DEMO
from spadework.app.seedbed import seedbed
from spadework.app.stand import stand
from spadework.app.stops import stopping

WEATHER = (files("spadework.demo") / "weather.csv").read_bytes()
Run = Callable[..., tuple[int, str, str]]
COUNTS = "block,unit,plants,length_m\n" + "".join(
    f"{block},{unit},{plants},10\n"
    for block in (1, 2, 3)
    for unit, plants in ((1, 70 + block), (2, 69), (3, 71), (4, 40 + block))
)


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call a command in this process; return exit code, output and errors."""

    def command(of: Any, *words: object) -> tuple[int, str, str]:
        app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
        app.command()(of)
        app.callback()(lambda: None)
        monkeypatch.setattr(sys, "argv", ["spadework", of.__name__, *map(str, words)])
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


def test_seedbed_prints_and_writes(run: Run, folder: Path) -> None:
    page, table = folder / "out" / "s.html", folder / "s.csv"
    code, out, err = run(seedbed, folder, "--days", 10, "--from", "2013-04-20", "--html", page, "--csv", table)
    assert (code, err) == (0, "")
    assert "first 10 days from 2013-04-20" in out
    assert all(len(line) <= 100 and line == line.rstrip() for line in out.splitlines() if "wrote" not in line)
    assert table.read_text("utf-8").splitlines()[1].startswith("2013-04-20 01:00,")
    assert "Is the strip really warmer?" in page.read_text("utf-8")
    assert f"wrote {page}" in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--from", "someday"), "is no day or hour"),
        (("--from", "2013-06-28"), "days in a row from 2013-06-28 are needed"),
        (("--loggers", "nothing.csv"), "there is no such file"),
    ],
)
def test_seedbed_stops_with_a_fault(run: Run, folder: Path, words: tuple[str, ...], said: str) -> None:
    table = folder / "s.csv"
    code, out, err = run(seedbed, folder, *words, "--csv", table)
    assert code == 2
    assert said in " ".join(err.split())
    assert out == ""
    assert not table.exists()


def test_seedbed_days_have_limits(run: Run, folder: Path) -> None:
    assert run(seedbed, folder, "--days", 6)[0] == 2


def test_stand_with_and_without_a_plan(run: Run, folder: Path) -> None:
    table = folder / "stand.csv"
    table.write_text(COUNTS, "utf-8")
    code, out, err = run(stand, table, folder)
    assert (code, err) == (0, "")
    assert "Unit 4 stands at" in out
    assert "seeds/ha in the plan" in out
    code, plain, err = run(stand, table, "--rows", "30 in", "--sure", 90)
    assert (code, err) == (0, "")
    assert "rows 76.2 cm apart" in plain
    assert "90 % interval" in plain


def test_stand_writes_templates_once(run: Run, folder: Path) -> None:
    code, out, _ = run(stand, "--template", folder / "t", "--units", 6)
    assert code == 0
    assert (folder / "t" / "stand.xlsx").exists()
    assert "stand.csv" in out
    code, _, err = run(stand, "--template", folder / "t")
    assert code == 2
    assert "is there already" in err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "no file of counts is given"),
        (("stand.csv",), "without a plan the distance between rows is needed"),
        (("stand.csv", "--rows", "far"), "--rows"),
        (("stand.csv", "--rows", "3 m"), "10 to 200 cm"),
        (("stand.csv", "--units", "6"), "belongs to --template"),
        (("stand.csv", "--template", "t"), "give one of the two"),
        (("one.csv", "--rows", "75 cm"), "two row units"),
    ],
)
def test_stand_stops_with_a_fault(
    run: Run, folder: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], said: str
) -> None:
    monkeypatch.chdir(folder)
    Path("stand.csv").write_text(COUNTS, "utf-8")
    Path("one.csv").write_text("block,unit,plants,length_m\n1,1,70,10\n", "utf-8")
    code, out, err = run(stand, *words)
    assert code == 2
    assert said in " ".join(err.split())
    assert out == ""
