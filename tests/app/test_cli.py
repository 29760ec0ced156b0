"""The command: what it prints, what it writes, how it stops."""

from __future__ import annotations

import inspect
import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable, Iterator
from importlib import import_module
from importlib.resources import files
from pathlib import Path
from typing import get_type_hints

import pytest
from typer.models import ParameterInfo

from plans.faulty import DEMO, FAULTY
from plans.faulty_parts import FAULTY_PARTS
from spadework import __version__
from spadework.app import cli
from spadework.app.commands import COMMANDS, Loaded
from spadework.plan import json_schema

WEATHER = (files("spadework.demo") / "weather.csv").read_bytes()
FAMILIES = (
    *("a bare number", "plain gal", "digestate", "a date in quotes", "control characters in a name"),
    *("an unknown key", "no analysis", "one system only", "an unknown baseline", "slurry without a tanker"),
    *("sown twice", "no weather file there", "a tractor too small", "a band above the seed", "a soil too wet"),
    *("a text that is not closed", "lists in lists without end", "a number of thousands of digits"),
)
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the command in this process; return exit code, output and errors."""

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", *map(str, words)])
        with pytest.raises(SystemExit) as stopped:
            cli.main()
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


@pytest.fixture
def closed(folder: Path) -> Iterator[Path]:
    """Return a path in a place that cannot be written to, whoever runs the test."""
    (folder / "file").write_text("in the way")
    yield folder / "file" / "inside"
    assert (folder / "file").read_text() == "in the way"


def line_of(words: str) -> int:
    """Return the line of the demo plan on which words stand first."""
    return 1 + DEMO[: DEMO.index(words)].count("\n")


def held(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_help_names_every_command(run: Run) -> None:
    code, out, err = run("--help")
    assert (code, err) == (0, "")
    for heading, group in COMMANDS.items():
        assert f"\n{heading}:\n" in out
        for command, (_, line) in group.items():
            assert re.search(rf"^  {command} +{re.escape(line)}$", out, re.M), "whole, on one line"


@pytest.mark.parametrize("command", list(Loaded()))
def test_every_command_of_the_list_answers_with_its_own_help(run: Run, command: str) -> None:
    code, out, err = run(command, "--help")
    assert (code, err) == (0, "")
    assert re.match(rf"\s*Usage: \S.*spadework {command} |\s*Usage: spadework {command} ", out)
    assert out.strip().split("\n\n")[1].strip()[-1] in ".:?", "whole sentences say what it does"


def reads_the_command_line(function: Callable[..., object]) -> bool:
    try:
        hints = get_type_hints(function, include_extras=True).values()
    except NameError:  # of a name that is there for checkers only
        return False
    return any(isinstance(part, ParameterInfo) for hint in hints for part in getattr(hint, "__metadata__", ()))


def test_every_function_of_a_command_stands_in_the_list() -> None:
    listed = {(module, name) for group in COMMANDS.values() for name, (module, _) in group.items()}
    assert len(listed) == len(Loaded()), "no name comes twice"
    folder = Path(str(cli.__file__)).parent
    rooms = {path.stem for path in folder.glob("*.py")} - {
        "__init__",
        "cli",
        "records",
        "records_copies",
        "records_open",
    }
    found = set()
    for room in rooms:
        for name, thing in inspect.getmembers(import_module(f"spadework.app.{room}"), inspect.isfunction):
            own = thing.__module__ == f"spadework.app.{room}" and not name.startswith("_")
            if own and reads_the_command_line(thing):
                found.add((room, name))
    assert found | {("records", "records")} == listed


def test_help_loads_no_command() -> None:
    line = (
        "import sys; sys.argv = ['spadework', '--help']\n"
        "from spadework.app.cli import main\n"
        "try:\n    main()\n"
        "except SystemExit:\n    pass\n"
        "print(sorted(m for m in sys.modules if m.startswith('spadework.')), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", line], capture_output=True, encoding="utf-8", check=True)
    assert done.stderr == "['spadework.app', 'spadework.app.cli', 'spadework.app.commands', 'spadework.app.stops']\n"


def test_version(run: Run) -> None:
    assert run("--version") == (0, f"spadework {__version__}\n", "")


@pytest.mark.parametrize(
    "words", [("chck",), ("check",), ("estimate", ".", "--draws", "0"), ("check", "a", "b"), ("--x",)]
)
def test_a_slip_in_the_command_stops_it_with_its_usage(run: Run, words: tuple[str, ...]) -> None:
    code, out, err = run(*words)
    assert code == 2
    assert "Traceback" not in out + err
    assert "Usage:" in out + err


def test_new_writes_a_plan_that_checks_and_its_schema(run: Run, tmp_path: Path) -> None:
    code, out, _ = run("new", tmp_path / "here" / "mine")
    made = tmp_path / "here" / "mine"
    assert code == 0
    assert set(held(made)) == {"plan.toml", "plan.schema.json"}
    assert out.count("wrote ") == 2
    assert (made / "plan.toml").read_text("utf-8").startswith("#:schema ./plan.schema.json\n")
    assert json.loads((made / "plan.schema.json").read_text("utf-8")) == json_schema()
    code, out, err = run("check", made)
    assert (code, err) == (0, "")
    assert "no fault found" in out


def test_new_overwrites_nothing(run: Run, folder: Path) -> None:
    before = held(folder)
    code, out, err = run("new", folder)
    assert code == 2
    assert "is there already; nothing was written. Choose another folder" in err
    assert out == ""
    assert held(folder) == before


def test_new_where_nothing_can_be_written(run: Run, closed: Path) -> None:
    code, _, err = run("new", closed)
    assert code == 2
    assert "cannot be written" in err
    assert "Traceback" not in err


def test_check_takes_file_or_folder(run: Run, folder: Path) -> None:
    said = "plan.toml: no fault found; 4 systems, baseline plough\n"
    assert run("check", folder) == (0, said, "")
    assert run("check", folder / "plan.toml") == (0, said, "")


@pytest.mark.parametrize(
    ("command", "name"),
    [("check", name) for name in FAMILIES]
    + [(command, name) for command in ("estimate", "report") for name in FAMILIES[::5]],
)
def test_faults_stop_every_command_and_leave_no_file(run: Run, folder: Path, name: str, command: str) -> None:
    faulty = next(one for one in (*FAULTY, *FAULTY_PARTS) if one.name == name)
    (folder / "plan.toml").write_text(faulty.text, "utf-8")
    before = held(folder)
    code, out, err = run(command, folder)
    assert code == 2
    assert out == ""
    assert err.startswith("plan.toml: 1 fault\n  ")
    assert all(word in err for word in faulty.words)
    assert "Traceback" not in err
    assert held(folder) == before


def test_what_is_no_plan_file_stops_the_command(run: Run, tmp_path: Path) -> None:
    (tmp_path / "plan.toml").mkdir()
    for place, words in (
        (tmp_path / "plan.tml", "there is no file"),
        (tmp_path / "plan.toml" / "plan.toml", "there is no file"),
        (tmp_path, "is a folder"),
        ("x" * 5_000, "cannot be read"),
    ):
        code, out, err = run("check", place)
        assert (code, out) == (2, "")
        assert words in err


def test_estimate_prints_every_system_and_the_same_twice(run: Run, folder: Path) -> None:
    first, second, other = (run("estimate", folder, "--draws", 60, "--seed", seed) for seed in (4, 4, 5))
    assert first[0] == 0
    assert first == second
    assert first[1] != other[1]
    for system in ("plough", "cultivator", "strip", "injector"):
        assert system in first[1]
    assert set(held(folder)) == {"plan.toml", "weather.csv"}


def test_estimate_with_one_draw_takes_the_middles(run: Run, folder: Path) -> None:
    assert run("estimate", folder, "--draws", 1)[0] == 0


def test_estimate_prints_a_working_down_to_the_plan(run: Run, folder: Path) -> None:
    code, out, _ = run("estimate", folder, "--draws", 20, "--working", "lost_n")
    assert code == 0
    text = " ".join(out.split())
    assert "loss if broadcast and left lying, of ammoniacal N = 0.55" in text
    line = line_of("ammoniacal_n = ")
    assert f'written "1.9 +/- 0.2 kg NH4-N/t" [slurry, ammoniacal_n, line {line}]' in text
    code, out, err = run("estimate", folder, "--draws", 20, "--working", "fule")
    assert code == 2
    assert "there is no figure" in err
    assert 'did you mean "fuel"?' in err


def test_estimate_writes_its_figures(run: Run, folder: Path) -> None:
    code, out, _ = run("estimate", folder, "--draws", 20, "--json", folder / "out" / "figures.json")
    assert code == 0
    assert "wrote " in out
    written = json.loads((folder / "out" / "figures.json").read_text("utf-8"))
    assert "plough" in json.dumps(written)
    page = (Path(__file__).parents[2] / "docs" / "jobs" / "estimate.md").read_text("utf-8")
    described = page.split("## The file of figures\n", 1)[1]
    assert not [key for key in (*written, *written["prices"], *written["weather"]) if f"`{key}`" not in described]


def test_estimate_where_its_figures_cannot_be_written(run: Run, closed: Path) -> None:
    before = held(closed.parent.parent)
    code, _, err = run("estimate", closed.parent.parent, "--draws", 5, "--json", closed)
    assert code == 2
    assert "cannot be written" in err
    assert held(closed.parent.parent) == before


def test_report_writes_a_page(run: Run, folder: Path) -> None:
    page = folder / "page.html"
    code, out, err = run("report", folder, "--html", page, "--draws", 50)
    assert (code, err) == (0, "")
    assert f"wrote {page}" in out
    assert set(held(folder)) == {"plan.toml", "weather.csv", "page.html"}
    text = page.read_text("utf-8")
    assert text.lower().startswith("<!doctype html>")
    assert "invented" in text.lower()
    assert "<script src" not in text


def test_report_that_cannot_be_written_leaves_the_old_one(run: Run, folder: Path) -> None:
    (folder / "taken.html").mkdir()
    (folder / "taken.html" / "inside").write_text("x")
    before = held(folder)
    code, _, err = run("report", folder, "--html", folder / "taken.html", "--draws", 5)
    assert code == 2
    assert "cannot be written" in err
    assert held(folder) == before


def test_sources_lists_tables_and_shows_one(run: Run) -> None:
    code, out, _ = run("sources")
    assert code == 0
    assert "draft_asae_d497" in out
    code, out, _ = run("sources", "draft_asae_d497")
    assert code == 0
    assert "mouldboard" in out
    code, out, err = run("sources", "draft_asae")
    assert (code, out) == (2, "")
    assert 'no reference table "draft_asae"; did you mean' in err


def test_schema_to_the_screen_and_to_a_file(run: Run, tmp_path: Path) -> None:
    code, out, _ = run("schema")
    assert code == 0
    assert json.loads(out) == json_schema()
    assert run("schema", tmp_path / "s.json")[0] == 0
    assert json.loads((tmp_path / "s.json").read_text("utf-8")) == json_schema()


def test_demo_is_copied_whole_and_its_report_written(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    written: list[tuple[Path | None, Path | None]] = []
    monkeypatch.setattr("spadework.app.estimate.report", lambda plan, html, pdf, **_: written.append((html, pdf)))
    made = tmp_path / "demo"
    code, out, _ = run("demo", made)
    assert code == 0
    assert "invented" in out
    assert written == [(made / "report.html", made / "report.pdf")]
    copied = {"plan.toml", "weather.csv", "readings.csv", "field.geojson", "plan.schema.json"}
    assert held(made).keys() == copied | {"compare.html", "layout-map.pdf"}
    assert held(made)["weather.csv"] == WEATHER
    assert tomllib.loads((made / "plan.toml").read_text("utf-8"))["invented"] is True
    assert run("demo", made)[0] == 0  # again over itself


@pytest.mark.parametrize("name", ["plan.toml", "weather.csv", "readings.csv", "field.geojson"])
def test_demo_leaves_a_folder_alone_that_holds_something_else(run: Run, tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(b"\xff mine")
    code, _, err = run("demo", tmp_path)
    assert code == 2
    assert "is not the demo; nothing was written" in err
    assert held(tmp_path) == {name: b"\xff mine"}


def test_the_installed_command_runs_from_anywhere(folder: Path, tmp_path: Path) -> None:
    def command(*words: object, **more: str) -> subprocess.CompletedProcess[str]:
        line = [sys.executable, "-m", "spadework.app.cli", *map(str, words)]
        env = {**os.environ, **more}
        return subprocess.run(line, capture_output=True, encoding="utf-8", cwd=tmp_path, env=env, check=False)

    assert command("--version").stdout == f"spadework {__version__}\n"
    fine = command("check", folder)
    assert (fine.returncode, fine.stderr) == (0, "")
    (folder / "plan.toml").write_text(DEMO.replace("23 +/- 2 cm", "23 °"), "utf-8")
    wrong = command("check", folder, PYTHONIOENCODING="ascii")
    assert wrong.returncode == 2
    assert wrong.stdout == ""
    line = line_of("23 +/- 2 cm")
    assert wrong.stderr.startswith(f"plan.toml: 1 fault\n  line {line}, ")
    assert "Traceback" not in wrong.stderr


def test_help_imports_nothing_heavy() -> None:
    line = (
        "import sys; sys.argv = ['spadework', '--help']\n"
        "from spadework.app.cli import main\n"
        "try:\n    main()\n"
        "except SystemExit:\n    pass\n"
        "heavy = {'numpy', 'scipy', 'pandas', 'pydantic', 'pint', 'altair', 'xarray', 'typst', 'jinja2'}\n"
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", line], capture_output=True, encoding="utf-8", check=True)
    assert done.stderr == "[]\n"
