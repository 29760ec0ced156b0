"""The command for comparing: the empty table, what it says of the demo readings, how it stops.  All figures are invented."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest
import typer

from plans.faulty import DEMO
from spadework.app.compare import compare, compare_page, found_of
from spadework.app.stops import stopping
from spadework.plan import read

DEMO_FOLDER = files("spadework.demo")
DOCS = Path(__file__).parents[2] / "docs" / "jobs" / "compare.md"
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(compare)
    app.callback()(lambda: None)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", "compare", *map(str, words)])
        with pytest.raises(SystemExit) as stopped, stopping():
            app()
        said = capsys.readouterr()
        code = stopped.value.code
        return (code if isinstance(code, int) else 0 if code is None else 1), said.out, said.err

    return command


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "plan.toml").write_text(DEMO, "utf-8")
    for name in ("weather.csv", "readings.csv"):
        (tmp_path / name).write_bytes((DEMO_FOLDER / name).read_bytes())
    return tmp_path


def test_the_demo_is_compared_and_written(run: Run, folder: Path) -> None:
    out = [folder / name for name in ("c.html", "c.pdf", "c.json")]
    code, said, err = run(
        folder, folder / "readings.csv", "--quantity", "dm_yield", "--quantity", "fuel", "--html", out[0], "--pdf", out[1],
        "--json", out[2],
    )  # fmt: skip
    assert (code, err) == (0, "")
    assert said.startswith("What did we find? dry matter yield, t/ha\nINVENTED")
    assert "Measured beside estimated, L/ha" in said
    assert max(len(line) for line in said.splitlines() if not line.startswith("wrote")) <= 100
    page = out[0].read_text("utf-8")
    assert "replicated: repeated, and drawn by lot in every block" in page
    assert "INVENTED" in page
    assert page.count("<svg") == 6
    assert "http" not in page
    assert "<script" not in page
    assert 'id="workings"' not in page
    assert out[1].read_bytes().startswith(b"%PDF")
    about = json.loads(out[2].read_text("utf-8"))
    assert [one["quantity"] for one in about["findings"]] == ["dm_yield", "fuel"]
    assert about["findings"][0]["margin"] == 0.5  # of the plan, for the yield alone
    assert about["findings"][1]["margin"] is None
    assert len(about["findings"][1]["beside_estimate"]) == 4


def test_the_same_readings_give_the_same_page(folder: Path) -> None:
    one = compare_page(folder / "plan.toml", folder / "readings.csv", folder / "a.html").read_bytes()
    assert one == compare_page(folder / "plan.toml", folder / "readings.csv", folder / "b.html").read_bytes()


def test_the_demo_readings_lie_as_the_plan_has_drawn_them(run: Run, folder: Path) -> None:
    code, _, _ = run(folder, "--template", folder / "empty.csv")
    assert code == 0
    empty = [line.split(";") for line in (folder / "empty.csv").read_text("utf-8").splitlines()]
    at = {name: place for place, name in enumerate(empty[0])}
    lines = [line.split(";") for line in (folder / "readings.csv").read_text("utf-8").splitlines() if line[0].isdigit()]
    assert [(line[0], line[2]) for line in lines] == [(line[at["plot"]], line[at["system"]]) for line in empty[1:]]


@pytest.mark.parametrize("name", ["t.csv", "t.xlsx"])
def test_an_empty_table_is_written_once(run: Run, folder: Path, name: str) -> None:
    assert run(folder, "--template", folder / name, "--quantity", "gap [cm]")[0] == 0
    code, _, err = run(folder, "--template", folder / name)
    assert code == 2
    assert "is there already; nothing was written" in err
    code, _, err = run(folder, folder / name)
    assert code == 2
    assert "no reading is filled in; write figures under gap" in err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "give a file of readings, or --template FILE"),
        (("readings.csv", "--template", "t.csv"), "give one of the two"),
        (("--template", "t.csv", "--margin", "1 t/ha"), "--margin: belongs to a file of readings"),
        (("--template", "t.ods"), "must end in .csv or .xlsx"),
        (("--template", "t.csv", "--quantity", "gap"), '"gap" lacks its unit'),
        (("readings.csv", "--quantity", "dm_yeild"), 'did you mean "dm_yield"?'),
        (("readings.csv", "--margin", "5 km"), "--margin: fits none of dm_yield"),
        (("readings.csv", "--margin", "-1 t/ha"), "--margin: fits none of dm_yield"),
        (("readings.csv", "--factor", "nitrogen"), "declare the factor there"),
        (("nothing.csv",), "there is no such file"),
    ],
)
def test_how_it_stops(run: Run, folder: Path, words: tuple[str, ...], said: str) -> None:
    given = [folder / word if word.endswith((".csv", ".ods")) else word for word in words]
    code, out, err = run(folder, *given)
    assert code == 2
    assert said in err
    assert not out
    assert sorted(p.name for p in folder.iterdir()) == ["plan.toml", "readings.csv", "weather.csv"]


def test_a_plan_without_a_layout(run: Run, folder: Path) -> None:
    begin, end = DEMO.index("[design]"), DEMO.index("[[limit]]")
    (folder / "plan.toml").write_text(DEMO[:begin] + DEMO[end:], "utf-8")
    code, _, err = run(folder, "--template", folder / "t.csv")
    assert code == 2
    assert "design: is missing" in err
    code, said, err = run(folder, folder / "readings.csv", "--quantity", "dm_yield")
    assert (code, err) == (0, "")
    assert "Strips: repeated, but not drawn" in said
    assert "The layout was not declared" in said


def test_a_margin_of_the_command_goes_before_that_of_the_plan(folder: Path) -> None:
    seen = read(folder / "plan.toml")
    _, found, _ = found_of(seen, folder / "readings.csv", ["dm_yield", "stand"], margin="800 kg/ha")
    assert [one.margin for one in found] == pytest.approx([0.8, float("nan")], nan_ok=True)


def test_a_margin_in_percent_is_one_of_the_baseline(folder: Path) -> None:
    text = DEMO.replace('margin = "0.5 t/ha" ', 'margin = "4 %" ')
    assert text != DEMO
    (folder / "plan.toml").write_text(text, "utf-8")
    _, found, _ = found_of(read(folder / "plan.toml"), folder / "readings.csv", ["dm_yield"])
    assert found[0].margin == pytest.approx(0.04 * found[0].mean("plough").raw)


def test_figures_of_the_page_of_the_docs_are_those_of_the_command(run: Run, folder: Path) -> None:
    _, said, _ = run(folder, folder / "readings.csv", "--quantity", "dm_yield", "--quantity", "residue_cover")
    page = DOCS.read_text("utf-8")
    blocks = page.split("```text\n")[1:]
    shown = [block.split("```")[0] for block in blocks]
    assert len(shown) >= 3
    for block in shown:
        assert block in said
