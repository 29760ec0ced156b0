"""The command on pressure: what it prints and writes, and how it stops.  All figures are invented."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest
import typer

from plans.everything import EVERYTHING
from plans.faulty import DEMO
from plans.write import toml_of
from spadework.app.pressure import pressure
from spadework.app.stops import stopping
from spadework.present.cautions import DEFER

WEATHER = (files("spadework.demo") / "weather.csv").read_bytes()
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the command in this process; return exit code, output and errors."""
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(pressure)
    app.callback()(lambda: None)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", "pressure", *map(str, words)])
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


def test_every_pass_in_a_hundred_columns(run: Run, folder: Path) -> None:
    code, out, err = run(folder, "--draws", 100)
    assert (code, err) == (0, "")
    assert all(len(line) <= 100 and line == line.rstrip() for line in out.splitlines())
    assert out.isascii()
    for title in (
        "Wheels of every pass: the axle that reaches deepest",
        "Against a limit, tank full: 50 kPa at 50 cm (rule of thumb for moist soil, to be checked)",
        "Wheel load along the run",
        "Share of the ground that is driven on",
        "Take care",
        "Where the numbers come from",
    ):
        assert title in out
    plain = " ".join(out.split())
    assert "A stress is no damage." in plain
    assert " ".join(DEFER.split()) in plain
    assert "[TO BE CHECKED]" in plain
    assert out.count("driven on: tanker, 16 m3, rear axle") == 4
    assert out.count("(typical tyres)") == 9
    assert "INVENTED" in out


def test_one_pass_with_every_axle_and_a_limit(run: Run, folder: Path) -> None:
    data = folder / "out" / "p.json"
    code, out, _ = run(
        folder, "--system", "strip", "--pass", 1, "--limit", "8.7 psi at 16 in", "--draws", 50, "--json", data
    )
    assert code == 0
    assert "every axle" in out
    assert "set by you" in out
    for axle in (
        "tractor 230, front axle",
        "tractor 230, rear axle",
        "tanker, 16 m3, front axle",
        "tanker, 16 m3, rear",
    ):
        assert axle in out
    assert "planter, 8 rows," not in out
    told = json.loads(data.read_text("utf-8"))
    assert told["limit"]["stress_kpa"] == pytest.approx(8.7 * 6.894757, rel=1e-6)
    assert told["limit"]["depth_cm"] == pytest.approx(40.64)
    (one,) = told["passes"]
    assert (one["system"], one["number"], one["places_slurry"]) == ("strip", 1, True)
    deepest = [axle for axle in one["axles"] if axle["reaches_deepest"]]
    assert len(deepest) == 1
    figures = deepest[0]["figures"]
    for name in ("wheel_load", "contact", "stress_50", "line"):
        assert figures[f"{name}_full"]["mid"] > figures[f"{name}_half"]["mid"] > figures[f"{name}_empty"]["mid"] - 1e-9
    for spread in figures.values():
        assert spread["low"] <= spread["mid"] <= spread["high"]
    assert told["units"]["stress_50_full"] == "kPa"
    assert "contact_kpa" in told["workings"]["stress_50_full"]
    assert [row["system"] for row in told["driven_on"]] == ["strip"]
    assert told["emptying"][0]["systems"] == ["strip"]


def test_a_working_is_told_in_place_of_the_table(run: Run, folder: Path) -> None:
    code, out, err = run(folder, "--draws", 20, "--system", "strip", "--working", "axle_full")
    assert (code, err) == (0, "")
    assert out.count("Sought:") == 1
    assert "moments about the front axle" in out
    assert "Wheels of every pass" not in out
    assert all(len(line) <= 100 for line in out.splitlines())


def test_a_tractor_on_tracks_is_refused_in_words(run: Run, folder: Path) -> None:
    drive = 'drive = "front wheel assist"\nprice = "135000'
    text = DEMO
    assert drive in text
    (folder / "plan.toml").write_text(text.replace(drive, drive.replace("front wheel assist", "tracks"), 1), "utf-8")
    code, out, err = run(folder, "--draws", 1)
    assert (code, out) == (2, "")
    assert "stands on tracks" in err
    assert "Traceback" not in err


def test_a_pass_is_found_by_its_machine_too(run: Run, folder: Path) -> None:
    code, out, _ = run(folder, "--pass", "planter, 8 rows", "--draws", 1)
    assert code == 0
    assert out.count("planter, 8 rows, ") == 4
    assert "No tanker drives here" in out


def test_same_words_and_data_twice(run: Run, folder: Path) -> None:
    first = run(folder, "--draws", 30, "--json", folder / "a.json")[1].replace("a.json", "")
    second = run(folder / "plan.toml", "--draws", 30, "--json", folder / "b.json")[1].replace("b.json", "")
    assert first == second
    assert (folder / "a.json").read_bytes() == (folder / "b.json").read_bytes()


def test_the_plan_with_everything(run: Run, folder: Path) -> None:
    (folder / "plan.toml").write_text(toml_of(EVERYTHING), "utf-8")
    code, out, err = run(folder, "--draws", 20)
    assert (code, err) == (0, "")
    assert all(len(line) <= 100 for line in out.splitlines())
    assert "add up to" in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--system", "stripp"), ['--system: no system is called "stripp"; did you mean "strip"?']),
        (("--pass", "9"), ['--pass: no pass is called "9"; there are:']),
        (("--system", "x", "--pass", "plnter, 8 rows"), ["--system: no system", 'did you mean "planter, 8 rows"?']),
        (("--working", "strss_50_full"), ['there is no figure "strss_50_full"; did you mean "stress_50_full"?']),
        (("--limit", "50 kPa"), ["is no limit; write a stress and a depth"]),
        (("--limit", "6 cm at 2 kPa"), ["--limit: stress:", "--limit: depth:"]),
        (("--limit", "1 kPa at 900 cm"), ["not one stress of 5 to 1000 kPa", "not one depth of 5 to 200 cm"]),
        (("--limit", "40..60 kPa at 50 cm"), ["not one stress"]),
    ],
)
def test_faults_are_told_all_at_once(run: Run, folder: Path, words: tuple[str, ...], said: list[str]) -> None:
    code, out, err = run(folder, "--draws", 1, *words, "--json", folder / "no.json")
    assert (code, out) == (2, "")
    assert all(one in err for one in said), err
    assert "Traceback" not in err
    assert not (folder / "no.json").exists()
