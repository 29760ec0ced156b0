"""The commands for harvests and for several fields: what they print and write, how they stop.  All figures are invented."""

from __future__ import annotations

import csv
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
    return out.isascii() and all(len(line) <= 100 for line in out.splitlines() if not line.startswith("wrote"))


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
