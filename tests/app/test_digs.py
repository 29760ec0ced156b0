"""The command for digs: the sheets that it writes, what it reads, how it stops.  All figures are invented."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest
import typer

from plans.faulty import DEMO
from spadework.app.digs import digs
from spadework.app.stops import stopping
from spadework.estimate import estimate
from spadework.findings.dug_machine import RowMachine, read_window, row_machine, wanted
from spadework.plan import PlanFaults, read
from spadework.present.cautions import CAUTIONS, DEFER
from spadework.present.digs.sheet_paper import dig_sheet_pdf
from spadework.records.files.dig_sheets import csv_template, dig_columns
from spadework.records.files.digs_read import read_digs

WEATHER = (files("spadework.demo") / "weather.csv").read_bytes()
SHEETS = ("digs.csv", "digs.xlsx", "digs-sheet.pdf")
DUG = "dig;unit;seed_cm;top_cm;bottom_cm\n" + "".join(f"{n};{n};5;{11 + n % 2};18\n" for n in range(1, 9))
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the command in this process; return exit code, output and errors."""
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(digs)
    app.callback()(lambda: None)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", "digs", *map(str, words)])
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


def two_row_machines(folder: Path) -> None:
    """Let a second system of the plan place its slurry with the same machine."""
    start = DEMO.index('[[system]]\nname = "strip"')
    end = DEMO.index("[[system]]", start + 1)
    second = DEMO[start:end].replace('name = "strip"', 'name = "strip late"', 1)
    (folder / "plan.toml").write_text(DEMO[:end] + second + DEMO[end:], "utf-8")


def test_three_sheets_to_take_along(run: Run, folder: Path) -> None:
    out = folder / "sheets"
    code, said, err = run(folder, "--template", out)
    assert (code, err) == (0, "")
    assert said == "".join(f"wrote {out / name}\n" for name in SHEETS)
    assert sorted(path.name for path in out.iterdir()) == sorted(SHEETS)
    assert (out / "digs.csv").read_text("utf-8") == csv_template(8, 3)
    assert (out / "digs-sheet.pdf").read_bytes().startswith(b"%PDF")
    for name in SHEETS[:2]:
        code, _, err = run(folder, out / name)
        assert code == 2
        assert "no dig is filled in" in err


def test_digs_per_unit(run: Run, folder: Path) -> None:
    assert run(folder / "plan.toml", "--template", folder, "--per-unit", 5)[0] == 0
    assert (folder / "digs.csv").read_text("utf-8") == csv_template(8, 5)
    assert run(folder, "--template", folder / "x", "--per-unit", 0)[0] == 2
    assert not (folder / "x").exists()


@pytest.mark.parametrize("there", SHEETS)
def test_nothing_is_overwritten_and_nothing_half_written(run: Run, folder: Path, there: str) -> None:
    out = folder / "sheets"
    out.mkdir()
    (out / there).write_text("mine")
    code, said, err = run(folder, "--template", out)
    assert (code, said) == (2, "")
    assert "is there already; nothing was written" in err
    assert [path.name for path in out.iterdir()] == [there]
    assert (out / there).read_text() == "mine"


def test_every_sheet_that_is_there_is_named(run: Run, folder: Path) -> None:
    run(folder, "--template", folder)
    err = run(folder, "--template", folder)[2]
    assert all(name in err for name in SHEETS)


def test_a_template_filled_in_is_read(run: Run, folder: Path) -> None:
    run(folder, "--template", folder)
    lines = (folder / "digs.csv").read_text("utf-8").splitlines()
    names = [column.name for column in dig_columns(8)]
    for at in range(2, len(lines)):
        cells = lines[at].split(";")
        cells[names.index("seed_cm")], cells[names.index("top_cm")] = "5", f"11,{at % 5}"
        lines[at] = ";".join(cells)
    (folder / "filled.csv").write_text("\n".join(lines) + "\n", "utf-8")
    code, out, err = run(folder, folder / "filled.csv")
    assert (code, err) == (0, "")
    assert "24" in out
    assert len(read_digs(folder / "filled.csv", 8).digs.names) == 24


def test_a_file_of_digs_is_read_for_the_machine_of_the_plan(run: Run, folder: Path) -> None:
    (folder / "d.csv").write_text(DUG)
    code, out, err = run(folder, folder / "d.csv")
    assert (code, err) == (0, "")
    assert "strip tiller, 8 rows" in out
    assert out.isascii()
    assert all(len(line) <= 100 for line in out.splitlines())
    assert "no replication" in out or "replicate no system" in out


def test_remarks_are_printed(run: Run, folder: Path) -> None:
    (folder / "d.csv").write_text(DUG.replace("1;1;5;12", "1;1;5;25").replace("1;1;5;25;18", "1;1;5;25;30"))
    out = run(folder, folder / "d.csv")[1]
    assert "top_cm: line 2 outside the usual 6 to 19 cm; kept as written" in " ".join(out.split())


def test_a_sheet_of_a_workbook(run: Run, folder: Path) -> None:
    run(folder, "--template", folder)
    err = run(folder, folder / "digs.xlsx", "--sheet", "dig")[2]
    assert 'has no sheet called "dig"; did you mean "digs"?' in err
    assert "are merged" in run(folder, folder / "digs.xlsx", "--sheet", "how")[2]
    assert "no dig is filled in" in run(folder, folder / "digs.xlsx", "--sheet", "digs")[2]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("d.csv", "--template", "."), "one of the two"),
        (("--window", "4 to 8 cm"), "--window: belongs to a file of digs"),
        (("--sheet", "digs", "--template", "x"), "--sheet: belongs to a file of digs"),
        (("--json", "x", "--html", "y", "--pdf", "z"), "3 faults"),
        (("d.csv", "--per-unit", "4"), "belongs to --template"),
        (("d.csv", "--window", "8"), "is no window"),
        (("d.csv", "--window", "4 to 8 kg"), "needed is a length"),
        (("d.csv", "--window", "8 to 4 cm"), "write the smaller one first"),
        (("d.csv", "--sure", "100"), "--sure"),
        (("d.csv", "--sure", "nan"), "--sure"),
        (("none.csv",), "no such file"),
        (("d.csv", "--system", "stripp"), 'no system is called "stripp"; did you mean "strip"?'),
        (("d.csv", "--system", "plough"), 'system "plough" places no bands under rows; there are: strip'),
        (("d.csv", "--per-unit", "x"), "--per-unit"),
    ],
)
def test_what_does_not_go(run: Run, folder: Path, words: tuple[str, ...], said: str) -> None:
    (folder / "d.csv").write_text(DUG)
    code, out, err = run(folder, *(folder / word if word.endswith(".csv") else word for word in words))
    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err


def test_before_the_day_the_command_says_how_many_digs(run: Run, folder: Path) -> None:
    code, out, err = run(folder)
    assert (code, err) == (0, "")
    assert "How many digs?" in out
    assert "8 row units" in out
    assert "(90 %)" in run(folder, "--sure", 90)[1]


def test_the_window_is_that_of_the_command_the_plan_or_a_publication(run: Run, folder: Path) -> None:
    (folder / "d.csv").write_text(DUG)
    flat = " ".join(run(folder, folder / "d.csv")[1].split())
    assert "Gap wanted: 5 to 7 cm, band under seed, Danish advice; others ask for 8 to 10 cm" in flat
    assert "Gap wanted: 4 to 8 cm, as given" in " ".join(
        run(folder, folder / "d.csv", "--window", "4 to 8 cm")[1].split()
    )
    plain = DEMO.replace(
        'of = "clearance"\nleast = "6 cm"\nmost = "10 cm"', 'of = "gap"\nleast = "6 cm"\nmost = "90 mm"'
    )
    assert plain != DEMO
    (folder / "plan.toml").write_text(plain, "utf-8")
    assert "Gap wanted: 6 to 9 cm, The farm's own wish (example figures)." in " ".join(
        run(folder, folder / "d.csv")[1].split()
    )
    assert read_window("2 to 3 in") == pytest.approx((5.08, 7.62))


def test_what_the_band_is_held_against_comes_from_the_plan(folder: Path) -> None:
    seen = estimate(read(folder / "plan.toml"), draws=50)
    asked = wanted(seen, row_machine(seen.read))
    assert asked.seed_depth_cm == seen.plan.crop.seed_depth.value
    assert asked.berm_cm > 0
    assert 0 < asked.settlement_share < 1


def test_card_and_figures_are_written(run: Run, folder: Path) -> None:
    (folder / "d.csv").write_text(DUG)
    html, pdf, figures = folder / "card.html", folder / "card.pdf", folder / "digs.json"
    code, out, err = run(folder, folder / "d.csv", "--html", html, "--pdf", pdf, "--json", figures)
    assert (code, err) == (0, "")
    assert [line for line in out.splitlines() if line.startswith("wrote")] == [
        f"wrote {path}" for path in (html, pdf, figures)
    ]
    assert html.read_text("utf-8").lstrip().startswith("<!")
    assert pdf.read_bytes().startswith(b"%PDF")
    found = json.loads(figures.read_text("utf-8"))
    assert found["standing"] == "looked"
    assert found["machine"] == {"system": "strip", "name": "strip tiller, 8 rows", "rows": 8}
    assert found["found"]["gap_cm"] == [7, 6] * 4
    assert found["found"]["offset_cm"] == [None] * 8
    run(folder, folder / "d.csv", "--json", folder / "again.json")
    assert (folder / "again.json").read_bytes() == figures.read_bytes()


def test_the_system_must_be_said_where_several_fit(run: Run, folder: Path) -> None:
    two_row_machines(folder)
    (folder / "d.csv").write_text(DUG)
    code, _, err = run(folder, folder / "d.csv")
    assert code == 2
    assert "say whose machine was dug, of: strip, strip late" in err
    assert run(folder, folder / "d.csv", "--system", "strip late")[0] == 0


def test_the_machine_comes_from_the_plan(folder: Path) -> None:
    assert row_machine(read(folder / "plan.toml")) == RowMachine("strip", "strip tiller, 8 rows", 8)
    start = DEMO.index('[[system]]\nname = "strip"')
    end = DEMO.index("[[system]]", start + 1)
    (folder / "plan.toml").write_text(DEMO[:start] + DEMO[end:], "utf-8")
    with pytest.raises(PlanFaults, match="with a machine that has rows"):
        row_machine(read(folder / "plan.toml"))


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., list[str]]:
    """Return the text of every page of a sheet."""
    folder = tmp_path_factory.mktemp("sheets")

    def pages(*args: object, **options: object) -> list[str]:
        path = folder / "sheet.pdf"
        path.write_bytes(dig_sheet_pdf(*args, **options))  # type: ignore[arg-type]
        try:
            text = subprocess.run(["pdftotext", path, "-"], check=True, capture_output=True, text=True).stdout
        except FileNotFoundError:
            pytest.skip("no reader of PDF text on this machine")
        return text.removesuffix("\f").split("\f")

    return pages


def test_the_paper_sheet_says_what_to_beware_of_and_what_to_measure(printed: Callable[..., list[str]]) -> None:
    first, *rounds = printed(8, 3, machine="strip tiller, 8 rows")
    flat = " ".join(first.split())
    assert "engine off, key out, machine let down" in flat
    for words in ("press-wheel track", "within an hour", "After the planter", "Take care", "raised machine"):
        assert words in flat
    turning = next(caution.text for caution in CAUTIONS if caution.title.startswith("Turning shafts"))
    for text in (turning, DEFER):
        assert text in flat.replace("- ", "-").replace("’", "'")
    assert len(rounds) == 3
    for number, page in enumerate(rounds):
        flat = " ".join(page.split())
        assert f"Round {number + 1} of 3, units 1 to 8" in flat
        for column in dig_columns(8):
            assert column.name in flat
        assert "6 to 19 cm" in flat
        assert "row 1 out, 8 back" in flat
        for dig in range(number * 8 + 1, number * 8 + 9):
            assert str(dig) in flat.split()


def test_wide_machines_take_several_pages_of_like_length(printed: Callable[..., list[str]]) -> None:
    _, one, other = printed(18, 1)
    assert "Round 1 of 1, units 1 to 9" in one
    assert "Round 1 of 1, units 10 to 18" in other
    assert len(printed(1, 1)) == 2
    assert len(printed(99, 1)) == 1 + 9


def test_an_invented_plan_shows_on_the_sheet(printed: Callable[..., list[str]]) -> None:
    assert "INVENTED" in printed(8, 1, invented=True)[0]
    assert "INVENTED" not in printed(8, 1)[0]


def test_the_same_sheet_is_the_same_file() -> None:
    assert dig_sheet_pdf(6, 2) == dig_sheet_pdf(6, 2)
