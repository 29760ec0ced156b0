"""The command for layouts: what it prints and writes, and how it stops.  Field and plan are invented."""

from __future__ import annotations

import csv
import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest
import typer

from layout_made import CORNERS, feature, geojson
from spadework.app.layout import layout
from spadework.app.stops import stopping

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the command in this process; return exit code, output and errors."""
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(layout)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", *map(str, words)])
        with pytest.raises(SystemExit) as stopped, stopping():
            app()
        said = capsys.readouterr()
        code = stopped.value.code
        return (code if isinstance(code, int) else 0 if code is None else 1), said.out, said.err

    return command


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    demo = files("spadework.demo")
    for name in ("plan.toml", "weather.csv"):
        (tmp_path / name).write_bytes((demo / name).read_bytes())
    path = tmp_path / "plan.toml"
    text = path.read_text("utf-8")
    kept = text[: text.index("[layout]")] + text[text.index("[[limit]]") :]  # the outline is given by the tests
    path.write_text(kept, "utf-8")
    return path


@pytest.fixture
def whole(tmp_path: Path) -> Path:
    demo = files("spadework.demo")
    for name in ("plan.toml", "weather.csv", "field.geojson"):
        (tmp_path / name).write_bytes((demo / name).read_bytes())
    return tmp_path / "plan.toml"


@pytest.fixture
def field(tmp_path: Path) -> Path:
    path = tmp_path / "field.geojson"
    water = feature("ditch", "LineString", [CORNERS[0], CORNERS[3]])
    path.write_text(geojson(None, water, feature("pole", "Point", [9.0025, 52.0015])), "utf-8")
    return path


def edit(plan: Path, old: str, new: str) -> None:
    text = plan.read_text("utf-8")
    assert old in text
    plan.write_text(text.replace(old, new, 1), "utf-8")


def test_without_a_field_it_ranks_the_widths(run: Run, plan: Path) -> None:
    code, out, _ = run(plan)
    assert code == 0
    assert "Which plot width do the machines fit?" in out
    assert "* 12.00 m    16  5 to 12    join in the measured rows after row 8" in out
    assert out.index(" 18.00 m") < out.index("* 12.00 m")
    assert max(map(len, out.splitlines())) <= 100
    assert out.isascii()


def test_it_writes_everything_for_the_field(run: Run, plan: Path, field: Path, tmp_path: Path) -> None:
    pytest.importorskip("pyogrio")
    folder = tmp_path / "out"
    code, out, err = run(plan, "--field", field, "--out", folder, "--heading", "5", "--paper", "a3")
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 100
    assert out.isascii()
    names = {
        "map.svg",
        "map.pdf",
        "drivers.pdf",
        "pegs.csv",
        "plots.csv",
        "layout.geojson",
        "layout.kml",
        "layout.gpkg",
    }
    assert {path.name for path in folder.iterdir()} == names
    rows = [line for line in (folder / "plots.csv").read_text("utf-8").splitlines() if not line.startswith("#")]
    plots = list(csv.DictReader(rows))
    assert len(plots) == 16
    assert {row["width_m"] for row in plots} == {"12.00"}
    assert {row["net_length_m"] for row in plots} == {"230.00"}
    pegs = [line for line in (folder / "pegs.csv").read_text("utf-8").splitlines() if not line.startswith("#")]
    assert len(pegs) == 1 + 4 * 2 * 5
    assert "INVENTED" in out
    code, _, err = run(plan, "--field", field, "--out", folder, "--heading", "5")
    assert code == 2
    assert "8 faults" in err
    assert "is there already" in err


def test_one_page_for_each_driver(plan: Path, field: Path, tmp_path: Path, run: Run) -> None:
    folder = tmp_path / "out"
    run(plan, "--field", field, "--out", folder, "--heading", "5")
    data = (folder / "drivers.pdf").read_bytes()
    import re

    counts = [
        int(number) for number in re.findall(rb"/Type\s*/Pages[^>]*?/Count (\d+)|/Count (\d+)", data)[0] if number
    ]
    assert counts == [7]


def test_a_crowded_page_for_a_driver_stays_one_page(plan: Path, field: Path, tmp_path: Path, run: Run) -> None:
    import re

    edit(plan, 'tank = "16 m3"', 'tank = "5 m3"')  # less than a pass takes: one more warning, and a fill before each
    folder = tmp_path / "out"
    code, out, _ = run(plan, "--field", field, "--out", folder, "--heading", "5")
    assert code == 0
    assert "a full tank does not last over one pass" in out
    counts = re.findall(rb"/Type\s*/Pages[^>]*?/Count (\d+)|/Count (\d+)", (folder / "drivers.pdf").read_bytes())[0]
    assert [int(number) for number in counts if number] == [7]


def test_changes_by_hand_lower_the_standing_and_are_printed(run: Run, plan: Path, field: Path, tmp_path: Path) -> None:
    changes = tmp_path / "changes.csv"
    changes.write_text("plot,with_plot,reason\n101,102,The ploughed strip must lie at the hedge\n", "utf-8")
    code, out, _ = run(plan, "--field", field, "--heading", "5", "--changes", changes)
    assert code == 0
    assert "Strips: repeated, order not drawn." in out
    assert "The ploughed strip must lie at the hedge" in out


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('plot_width = "12 m"', 'plot_width = "13 m"', "13 m is no whole number of planter passes"),
        ("blocks = 4", "blocks = 40", "of 40 blocks fit at a heading of 5 degrees"),
        ("seed = 20260301", "", "spadework blocks draws one"),
        (
            'of = "distance to water"\nat_least = "10 m"',
            'of = "distance to well"\nat_least = "10 m"',
            "look up what applies",
        ),
        ("[design] ", '[layout]\nheader = "0.4 m"\n[design] ', "narrower than a row"),
        ("[design] ", "[layout]\nguard_rows = 20\n[design] ", "room for header and guard"),
        ("[design] ", '[layout]\nheder = "6 m"\n[design] ', "did you mean"),
    ],
)
def test_faults_of_the_plan_are_told_in_trade_words(
    run: Run, plan: Path, field: Path, old: str, new: str, said: str
) -> None:
    edit(plan, old, new)
    if "distance to well" in new:
        edit(plan, 'water_distance = "60 m"', 'water_distance = "60 m"\nwell_distance = "90 m"')
    code, _, err = run(plan, "--field", field, "--heading", "5")
    assert code == 2
    import re

    assert re.search(said, err)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--out", "x"), "--out: needs the outline of the field"),
        (("--changes", "x.csv"), "--changes: needs the outline of the field"),
        (("--heading", "9"), "--heading: needs the outline of the field"),
        (("--width", "13 m"), "nearest: "),
        (("--width", "0.1 m"), "cannot be"),
        (("--width", "wide"), "--width"),
        (("--field", "none.geojson"), "there is no such file"),
        (("--field", "{field}", "--heading", "5", "--out", "{field}"), "is a file; name a folder"),
        (
            ("--field", "{field}", "--heading", "5", "--changes", "none.csv"),
            "write a table with the columns plot, with_plot",
        ),
    ],
)
def test_faults_of_the_command(run: Run, plan: Path, field: Path, words: tuple[str, ...], said: str) -> None:
    code, _, err = run(plan, *(word.format(field=field) for word in words))
    assert code == 2
    assert said in err


def test_corners_are_written_to_fill_in_and_then_read(run: Run, plan: Path) -> None:
    code, out, _ = run(plan, "--corners")
    assert (code, "corners.csv" in out) == (0, True)
    path = plan.parent / "corners.csv"
    path.write_text("part,east_m,north_m\nfield,0,0\nfield,300,0\nfield,300,400\nfield,0,400\n", "utf-8")
    code, out, err = run(plan, "--field", path, "--heading", "0", "--out", plan.parent / "out")
    assert (code, err) == (0, "")
    assert "No GeoJSON, KML or GeoPackage" in out
    assert "shows no water" in out


def test_the_outline_of_the_plan_is_taken_and_its_ditch_lies_as_far_as_the_plan_says(run: Run, whole: Path) -> None:
    code, out, err = run(whole)
    assert (code, err) == (0, "")
    assert "16 plots of 12 x 250 m in 4 blocks on Long Acre at Alder Farm (invented) (9.60 ha), rows at 12.0" in out
    assert "along an edge of the field" in out
    for doubt in ("check which is meant", "correct water_distance", "shows no water", "do not fit"):
        assert doubt not in out
    edit(whole, "heading = 12", 'heading = 12\nchanges = "changes.csv"')
    (whole.parent / "changes.csv").write_text("plot,with_plot,reason\n101,102,wet corner\n", "utf-8")
    code, out, _ = run(whole)
    assert (code, "Strips: repeated, order not drawn." in out, "wet corner" in out) == (0, True, True)
    code, out, _ = run(whole, "--heading", "10")
    assert "rows at 10.0" in " ".join(out.split())


def test_an_outline_that_is_not_there_is_a_fault_of_the_plan_and_only_a_remark_in_the_report(
    run: Run, whole: Path
) -> None:
    from spadework.app.layout import plots_section
    from spadework.plan import read

    (whole.parent / "field.geojson").unlink()
    code, _, err = run(whole)
    assert code == 2
    assert "layout, outline: there is no field.geojson where the plan looks for it" in err
    section = plots_section(read(whole))
    assert section is not None
    assert "No map: plan.toml" in str(section.blocks)
    edit(whole, 'outline = "field.geojson"', "")
    assert plots_section(read(whole)) is None


def test_the_report_shows_where_every_plot_lies(whole: Path) -> None:
    from spadework.app.layout import map_of, plots_section
    from spadework.plan import read
    from spadework.present.document.blocks import Drawing

    section = plots_section(read(whole))
    assert section is not None
    assert section.title == "Where does every plot lie?"
    drawing = next(block for block in section.blocks if isinstance(block, Drawing))
    assert "Block 1: 101 strip; 102 cultivator; 103 injector; 104 plough." in drawing.alt
    assert "url(#plots-system-0)" in drawing.svg
    assert "url(#system" not in drawing.svg
    assert map_of(whole, whole.parent / "layout-map.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("corners", "said"),
    [
        ([(y, x) for x, y in [(0.0, 45.0), (0.004, 45.0), (0.004, 45.003), (0.0, 45.003)]], "are they swapped"),
        ([(9.0, 52.0), (9.004, 52.0), (9.004, 52.003), (9.0, 52.003)], "the weather is of 45: check which is meant"),
    ],
)
def test_an_outline_far_from_the_weather_of_the_plan_is_told(
    run: Run, plan: Path, tmp_path: Path, corners: list[tuple[float, float]], said: str
) -> None:
    path = tmp_path / "far.geojson"
    path.write_text(geojson(corners), "utf-8")
    _, out, err = run(plan, "--field", path, "--heading", "0")
    assert said in " ".join((out + err).split())
