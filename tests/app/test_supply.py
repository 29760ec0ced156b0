"""The command on the supply of slurry: what it prints, and how it stops.  All figures are invented."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest
import typer

from plans.faulty import DEMO
from spadework.app.stops import stopping
from spadework.app.supply import read_km, supply
from spadework.plan import PlanFaults
from spadework.present.cautions import DEFER

WEATHER = (files("spadework.demo") / "weather.csv").read_bytes()
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the command in this process; return exit code, output and errors."""
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(supply)
    app.callback()(lambda: None)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", "supply", *map(str, words)])
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


def test_every_system_that_places_slurry(run: Run, folder: Path) -> None:
    code, out, err = run(folder)
    assert (code, err) == (0, "")
    for system in ("plough", "cultivator", "strip", "injector"):
        assert f"\n{system}\n  how it comes" in out
    assert "INVENTED" in out
    assert "Estimated: models only" in out
    assert "Every distance is gone through with 200 of the draws." in " ".join(out.split())
    assert all(len(line) <= 100 and line == line.rstrip() for line in out.splitlines())
    assert out.isascii()
    assert " ".join(DEFER.split()) in " ".join(out.split())


def test_one_system_and_other_distances(run: Run, folder: Path) -> None:
    code, out, _ = run(folder / "plan.toml", "--system", "strip", "--km", "0.5..1.5")
    assert code == 0
    assert "\nplough\n" not in out
    block = out.split("by distance\n", 1)[1].split("  - ", 1)[0]
    first = [float(words[0]) for line in block.splitlines() if (words := line.split()) and words[0][0].isdigit()]
    assert (first[0], first[-1]) == (0.5, 1.5)
    assert "up to 1.5 km" in out


def test_an_unknown_system_is_told_with_the_nearest(run: Run, folder: Path) -> None:
    code, out, err = run(folder, "--system", "strp")
    assert (code, out) == (2, "")
    assert 'no system is called "strp"; did you mean "strip"?' in err
    code, _, err = run(folder, "--system", "x" * 200)
    assert code == 2
    assert "there are: plough, cultivator, strip, injector" in err
    assert "x" * 61 not in err


@pytest.mark.parametrize("km", ["5", "8..0.5", "-1..5", "1..500", "near", "1..2 kg", ""])
def test_distances_that_are_none(run: Run, folder: Path, km: str) -> None:
    code, out, err = run(folder, f"--km={km}")
    assert (code, out) == (2, "")
    assert "--km" in err


def test_distances_in_other_words() -> None:
    assert read_km("0.5 to 8 km") == read_km("500..8000 m") == read_km("0.5..8") == (0.5, 8.0)
    with pytest.raises(PlanFaults, match="--km"):
        read_km("1 km")
