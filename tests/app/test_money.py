"""The command for money in three views: what it prints and how it stops.  All figures are invented."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest
import typer

from plans.faulty import DEMO
from spadework.app.money import money
from spadework.app.stops import stopping

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the command in this process; return exit code, output and errors."""
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(money)
    app.callback()(lambda: None)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", "money", *map(str, words)])
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
    (tmp_path / "weather.csv").write_bytes((files("spadework.demo") / "weather.csv").read_bytes())
    return tmp_path


def test_folder_and_file_print_the_same(run: Run, folder: Path) -> None:
    code, out, err = run(folder)
    assert (code, err) == (0, "")
    assert out.startswith("Hire it, own it, or use what is there?\n")
    assert "INVENTED" in out
    assert "Estimated: models only" in out
    assert "Prices of 1 March 2026, in EUR, without value-added tax" in out
    for system in ("plough (baseline)", "cultivator", "strip", "injector"):
        assert f"\n{system}\n" in out
    assert run(folder / "plan.toml") == (0, out, "")


def test_one_system(run: Run, folder: Path) -> None:
    code, out, _ = run(folder, "--system", "strip")
    assert code == 0
    assert "\nstrip\n" in out
    assert "\nplough (baseline)\n" not in out


def test_an_unknown_system_ends_with_two(run: Run, folder: Path) -> None:
    code, out, err = run(folder, "--system", "stripe")
    assert (code, out) == (2, "")
    assert 'no system is called "stripe"; there are: plough, cultivator, strip, injector' in err
