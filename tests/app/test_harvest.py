"""The commands for harvests and for several fields: what they print and write, how they stop.  All figures are invented."""

from __future__ import annotations

import csv
import json
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
import typer

from harvest_made import made_log
from spadework.app.harvest import harvest, pool
from spadework.app.stops import stopping

Run = Callable[..., tuple[int, str, str]]
STRIPS = """plot,system,block,gross_kg,tare_kg,length_m,width_m,dm_1_pct,dm_2_pct,dm_3_pct
1,plough,1,9800,5480,150,6,32.1,33.4,33.0
2,strip,1,10010,5480,150,6,33.5,34.6,34.0
3,plough,2,9700,5480,150,6,31.5,33.4,32.0
4,strip,2,9900,5480,150,6,32.1,33,33.3
"""
FIELDS = """field,difference,se,standing
Upper field,0.42,0.20,replicated
Brook,0.10,0.15,replicated
Mill,-0.15,0.25,strips
Hill,0.55,0.30,replicated
"""
COLUMNS = """width = "6 m"
[column]
time = { name = "t", unit = "s" }
east = { name = "e", unit = "m" }
north = { name = "n", unit = "m" }
flow = { name = "flow", unit = "kg/s" }
speed = { name = "v", unit = "m/s" }
moisture = { name = "wet", unit = "share" }
header = { name = "down", down = "1" }
plot = { name = "strip" }
"""


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call a command in this process; return exit code, output and errors."""
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(harvest)
    app.command()(pool)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", *map(str, words)])
        with pytest.raises(SystemExit) as stopped, stopping():
            app()
        said = capsys.readouterr()
        code = stopped.value.code
        return (code if isinstance(code, int) else 0 if code is None else 1), said.out, said.err

    return command


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "strips.csv").write_text(STRIPS, "utf-8")
    (tmp_path / "fields.csv").write_text(FIELDS, "utf-8")
    (tmp_path / "log.toml").write_text(COLUMNS, "utf-8")
    log = made_log(passes=4, length_m=150)
    rows = ["t,e,n,flow,v,wet,down,strip"]
    for i in range(log.time_s.size):
        figures = (
            log.time_s[i],
            log.east_m[i],
            log.north_m[i],
            log.flow_kg_s[i],
            log.speed_m_s[i],
            log.moisture_share[i],
        )
        rows.append(",".join([*(f"{v:.5f}" for v in figures), f"{log.header_down[i]:g}", str(log.strip[i])]))
    (tmp_path / "log.csv").write_text("\n".join(rows) + "\n", "utf-8")
    return tmp_path


def table(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(path.read_text("utf-8").splitlines()))


def fits(out: str) -> bool:
    return out.isascii() and all(
        len(line) <= 100 and line == line.rstrip() for line in out.splitlines() if not line.startswith("wrote")
    )


def test_weighed_strips_become_a_table(run: Run, folder: Path) -> None:
    code, out, err = run("harvest", folder / "strips.csv", "--plots", folder / "plots.csv")
    assert (code, err) == (0, "")
    assert fits(out)
    assert "looked: one figure for each plot" in out
    assert "sampling of dry matter" in out
    assert "engine off" in " ".join(out.split())
    rows = table(folder / "plots.csv")
    assert [row["system"] for row in rows] == ["plough", "strip"] * 2
    assert float(rows[0]["fresh_t_ha"]) == 48
    assert 0 < float(rows[0]["se_t_ha"]) < 1


def test_a_rougher_scale_is_less_sure(run: Run, folder: Path) -> None:
    run("harvest", folder / "strips.csv", "--plots", folder / "a.csv")
    run(
        "harvest",
        folder / "strips.csv",
        "--plots",
        folder / "b.csv",
        "--scale-step",
        200,
        "--length-error",
        3,
        "--width-error",
        4,
    )
    one, other = (table(folder / name) for name in ("a.csv", "b.csv"))
    assert all(float(b["se_t_ha"]) > float(a["se_t_ha"]) for a, b in zip(one, other, strict=True))


def test_a_log_becomes_a_table_and_says_what_was_removed(run: Run, folder: Path) -> None:
    plots, points = folder / "plots.csv", folder / "points.csv"
    code, out, err = run(
        "harvest", folder / "log.csv", "--columns", folder / "log.toml", "--plots", plots, "--points", points
    )
    assert (code, err) == (0, "")
    assert fits(out)
    for words in (
        "Delay from header to sensor: 1",
        "agreement of opposite passes",
        "start of a pass",
        "What that did to each plot",
    ):
        assert words in out
    assert "no standard error of its own" in " ".join(out.split())
    rows = table(plots)
    assert [row["plot"] for row in rows] == ["A1", "A2", "B1", "B2"]
    assert all(row["se_t_ha"] == "" for row in rows)
    every = table(points)
    assert len(every) == made_log(passes=4, length_m=150).time_s.size
    assert {row["removed_by"] for row in every} >= {"", "header up", "start of a pass", "end of a pass"}


def test_a_delay_and_a_moisture_that_are_given(run: Run, folder: Path) -> None:
    code, out, _ = run("harvest", folder / "log.csv", "--columns", folder / "log.toml", "--delay", 12, "--moisture", 60)
    assert code == 0
    assert "12.0 s, as given" in out
    assert " 40.0 " in out


def test_an_empty_sheet(run: Run, folder: Path) -> None:
    path = folder / "empty.csv"
    assert run("harvest", "--template", path) == (0, f"wrote {path}\n", "")
    code, _, err = run("harvest", "--template", path)
    assert code == 2
    assert "is there already" in err
    code, _, err = run("harvest", path)
    assert code == 2
    assert "no figures" in err


def test_several_fields(run: Run, folder: Path) -> None:
    code, out, err = run("pool", folder / "fields.csv", "--above", 0.1, "--svg", folder / "fields.svg")
    assert (code, err) == (0, "")
    assert fits(out)
    assert "strips: at least one field" in out
    assert "In a new field like these" in out
    assert (folder / "fields.svg").read_text("utf-8").startswith("<svg")
    for way in ("fixed", "dersimonian_laird", "paule_mandel"):
        assert run("pool", folder / "fields.csv", "--way", way, "--sure", 90)[0] == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("harvest",), "FILE: is missing"),
        (("harvest", "strips.csv", "--delay", "12", "--points", "x"), "belongs to a log"),
        (("harvest", "log.csv", "--columns", "log.toml", "--scale-step", "5"), "belongs to weighed strips"),
        (("harvest", "strips.csv", "--template", "x"), "give one of the two"),
        (("harvest", "--template", "x", "--plots", "y"), "does nothing beside --template"),
        (("harvest", "none.csv"), "no such file"),
        (("harvest", "log.csv"), "say with --columns what its columns are"),
        (("harvest", "fields.csv"), "has none of the columns of weighed strips"),
        (("harvest", "log.csv", "--columns", "none.toml"), "cannot be read"),
        (("harvest", "strips.csv", "--scale-step", "-1"), "--scale-step"),
        (("pool", "fields.csv", "--way", "rml"), 'did you mean "reml"?'),
        (("pool", "fields.csv", "--above", "nan", "--unit", ""), "2 faults"),
        (("pool", "fields.csv", "--sure", "100"), "--sure"),
        (("pool", "strips.csv"), "column difference"),
        (("pool", "fields.csv", "--sheet", "one"), "is no workbook"),
    ],
)
def test_what_does_not_go(run: Run, folder: Path, words: tuple[str, ...], said: str) -> None:
    code, out, err = run(*(folder / word if word.endswith((".csv", ".toml")) else word for word in words))
    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err


@pytest.mark.parametrize("command", ["strips", "log", "fields"])
def test_page_print_and_figures_say_what_is_printed(run: Run, folder: Path, command: str) -> None:
    words = {
        "strips": ("harvest", folder / "strips.csv"),
        "log": ("harvest", folder / "log.csv", "--columns", folder / "log.toml"),
        "fields": ("pool", folder / "fields.csv", "--above", 0.1),
    }[command]
    page, paper, figures = folder / "out.html", folder / "out.pdf", folder / "out.json"
    code, out, err = run(*words, "--html", page, "--pdf", paper, "--json", figures)
    assert (code, err) == (0, "")
    for path in (page, paper, figures):
        assert f"wrote {path}" in out
    text, held = page.read_text("utf-8"), json.loads(figures.read_text("utf-8"))
    assert held["standing"].split(":")[0] in ("looked", "strips")
    assert held["standing"].split(":")[0] + ":" in text
    assert paper.read_bytes().startswith(b"%PDF")
    assert "http" not in text
    if command == "strips":
        assert "Most of the standard error is sampling of dry matter" in text
        assert "engine off" in text
        assert held["found"]["dm_t_ha"][0] == pytest.approx(48 * held["found"]["dry_matter_share"][0])
    elif command == "log":
        assert "What was removed, and where?" in text
        assert held["delay_s"] == pytest.approx(12, abs=0.5)
        assert (
            sum(step["removed"] for step in held["steps"])
            == held["steps"][0]["before"] - held["steps"][-1]["before"] + (held["steps"][-1]["removed"])
        )
    else:
        assert "In a new field like these" in text
        assert sum(held["together"]["weights"]) == pytest.approx(1)
        assert len(held["without_each"]) == 4


def test_no_file_that_is_read_is_written_over(run: Run, folder: Path) -> None:
    for words in (
        ("harvest", folder / "strips.csv", "--plots", folder / "strips.csv"),
        ("harvest", folder / "log.csv", "--columns", folder / "log.toml", "--points", folder / "log.toml"),
        ("harvest", folder / "log.csv", "--columns", folder / "log.toml", "--points", folder / "x.csv", "--plots",
         folder / "x.csv"),
        ("pool", folder / "fields.csv", "--svg", folder / "fields.csv"),
        ("pool", folder / "fields.csv", "--html", folder / "a", "--json", folder / "." / "a"),
    ):  # fmt: skip
        before = {path: path.read_bytes() for path in folder.iterdir()}
        code, out, err = run(*words)
        assert (code, out) == (2, "")
        assert "would overwrite" in err or "is to write" in err
        assert {path: path.read_bytes() for path in folder.iterdir()} == before


def test_yields_as_the_trade_states_them(run: Run, folder: Path) -> None:
    grain = folder / "grain.csv"
    grain.write_text("plot;net_kg;length_m;width_m;moisture_1_pct\n1;1200;150;6;24\n", "utf-8")
    code, out, _ = run("harvest", grain, "--standard", 15.5, "--plots", folder / "p.csv", "--json", folder / "p.json")
    assert code == 0
    assert "Stated at 15.5 % moisture" in out
    row = table(folder / "p.csv")[0]
    # 13.3333 t/ha at 24 % moisture are 11.9921 at 15.5 %
    assert float(row["at_15.5_pct_t_ha"]) == pytest.approx(11.9921, abs=6e-4)
    assert json.loads((folder / "p.json").read_text("utf-8"))["at_standard_t_ha"] == pytest.approx([11.9921], abs=1e-4)
    code, out, _ = run("harvest", folder / "strips.csv", "--standard", 35, "--html", folder / "p.html")
    assert "Stated at 35 % dry matter" in out
    assert "at 35 % dry matter, t/ha" in (folder / "p.html").read_text("utf-8")
    assert "Stated at" not in run("harvest", folder / "strips.csv")[1]
    code, out, _ = run("harvest", folder / "log.csv", "--columns", folder / "log.toml", "--standard", 35)
    assert "Stated at 35 % dry matter" in out


def test_two_fields_leave_one_degree_of_freedom(run: Run, folder: Path) -> None:
    path = folder / "two.csv"
    path.write_text("field;difference;se\nA;0,4;0,2\nB;0,1;0,2\n", "utf-8")
    _, out, _ = run("pool", path)
    assert "1 degree of freedom" in out
    assert "1 degrees" not in out


def test_the_yields_go_on_into_a_comparison(run: Run, folder: Path) -> None:
    from spadework.records.files.readings import read_readings

    out = folder / "yields.csv"
    assert run("harvest", folder / "strips.csv", "--readings", out, "--plots", folder / "p.csv")[0] == 0
    found = read_readings(out, ("plough", "strip"))
    assert found.units == {"dm_yield": "t/ha"}
    assert found.values["dm_yield"].tolist() == [float(row["dm_t_ha"]) for row in table(folder / "p.csv")]
    assert found.labels["system"].tolist() == ["plough", "strip"] * 2
    assert found.labels["block"].tolist() == ["1", "1", "2", "2"]


def test_readings_need_the_system_of_every_plot(run: Run, folder: Path) -> None:
    out = folder / "yields.csv"
    words = ("harvest", folder / "log.csv", "--columns", folder / "log.toml", "--readings", out, "--json", folder / "j")
    code, said, err = run(*words)
    assert (code, said) == (2, "")
    assert "needs the system of every plot; it is not said of A1, A2, B1, B2: give a [[plot]]" in err
    assert not out.exists()
    assert not (folder / "j").exists()
    plots = "".join(f'[[plot]]\nname = "{a}{b}"\nsystem = "{a}"\nblock = "{b}"\n' for a in "AB" for b in "12")
    (folder / "log.toml").write_text(COLUMNS + plots, "utf-8")
    assert run(*words)[0] == 0
    assert [row["system"] for row in table(out)] == ["A", "A", "B", "B"]
