"""The command on tapes: what it prints and writes, and how it stops.  Counts are invented."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest
import typer

from plans.faulty import DEMO
from spadework.app.stops import stopping
from spadework.app.tape import tape

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the command in this process; return exit code, output and errors."""
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(tape)
    app.callback()(lambda: None)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", "tape", *map(str, words)])
        with pytest.raises(SystemExit) as stopped, stopping():
            app()
        told = capsys.readouterr()
        code = stopped.value.code
        return (code if isinstance(code, int) else 0 if code is None else 1), told.out, told.err

    return command


@pytest.fixture
def tapes(tmp_path: Path) -> Path:
    (tmp_path / "tapes.csv").write_text(
        "plot;system;place;points;hits;marks_cm;angle_deg\n"
        "a;plough;;100;3;30;90\n"
        "b;strip;strip;100;8;;\n"
        "b;strip;between;100;80;;\n",
        "utf-8",
    )
    return tmp_path / "tapes.csv"


def test_covers_limit_and_warning(run: Run, tapes: Path) -> None:
    code, out, err = run(tapes, "--rows", "75 cm", "--strip", "20 cm", "--limit", "30 %")
    assert (code, err) == (0, "")
    assert "strip: 61 (" in out
    assert "NOT TO BE RELIED ON, line 2" in out
    assert "strip: shown: the whole interval lies above 30 %" in out
    assert all(len(line) <= 100 for line in out.splitlines())


def test_a_layout_says_the_systems(run: Run, tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(DEMO, "utf-8")
    (tmp_path / "t.csv").write_text("plot;points;hits\n101;100;3\n104;100;8\n", "utf-8")
    code, out, _ = run(tmp_path / "t.csv", tmp_path)
    assert code == 0
    assert "INVENTED" in out
    assert "2 tapes in 2 plots of 2 systems" in out
    (tmp_path / "t.csv").write_text("plot;points;hits\n999;100;3\n", "utf-8")
    code, out, err = run(tmp_path / "t.csv", tmp_path / "plan.toml")
    assert (code, out) == (2, "")
    assert "no plot of the layout" in err


def test_empty_tables_are_written_once(run: Run, tmp_path: Path) -> None:
    code, out, _ = run("--template", tmp_path / "new", "--strip", "20 cm")
    assert code == 0
    assert "tapes.csv" in out
    assert "tapes.xlsx" in out
    assert "strip" in (tmp_path / "new" / "tapes.csv").read_text("utf-8")
    code, out, err = run("--template", tmp_path / "new")
    assert (code, out) == (2, "")
    assert "is there already" in err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), ["no file of tapes is given"]),
        (("T", "--template", "x"), ["give one of the two"]),
        (("T", "--rows", "5", "--limit", "300 %", "--within", "0 %"), ["--rows: ", "--limit: ", "--within: "]),
        (("T", "--strip", "20 cm"), ["needs --rows as well"]),
        (("T", "--strip", "80 cm", "--rows", "75 cm"), ["80 cm is no strip of rows 75 cm apart"]),
        (("T", "--rows", "75 cm"), ["neither plan nor command says how wide"]),
        (("no.csv",), ["no such file"]),
    ],
)
def test_faults(run: Run, tapes: Path, words: tuple[str, ...], said: list[str]) -> None:
    code, out, err = run(*(tapes if word == "T" else word for word in words))
    assert (code, out) == (2, "")
    assert all(one in err for one in said), err
    assert "Traceback" not in err
