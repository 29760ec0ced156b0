"""The command for blocks: what it prints, writes and refuses.  All figures are invented."""

from __future__ import annotations

import csv
import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
import typer

from plans.faulty import DEMO
from spadework.app.blocks import blocks
from spadework.app.stops import stopping

WEATHER = (files("spadework.demo") / "weather.csv").read_bytes()
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(blocks)
    app.callback()(lambda: None)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", "blocks", *map(str, words)])
        with pytest.raises(SystemExit) as stopped, stopping():
            app()
        said = capsys.readouterr()
        code = stopped.value.code
        return (code if isinstance(code, int) else 0 if code is None else 1), said.out, said.err

    return command


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "plan.toml").write_text(DEMO, "utf-8")
    (tmp_path / "weather.csv").write_bytes(WEATHER)
    return tmp_path


def changed(folder: Path, *pairs: tuple[str, str]) -> None:
    text = DEMO
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new, 1)
    (folder / "plan.toml").write_text(text, "utf-8")


def old_map(folder: Path, *, step: float = 3.0, scatter: float = 0.6) -> Path:
    x, y = (each.ravel() for each in np.meshgrid(np.arange(0, 230, step), np.arange(0, 300, step)))
    yields = np.random.default_rng(3).normal(14, scatter, x.size)
    lines = [f"{a:.1f};{b:.1f};{c:.2f}" for a, b, c in zip(x, y, yields, strict=True)]
    path = folder / "map.csv"
    path.write_text("x_m;y_m;yield_t_ha\n" + "\n".join(lines) + "\n", "utf-8")
    return path


def test_the_answer_comes_first_and_the_same_seed_gives_the_same_text(run: Run, folder: Path) -> None:
    code, out, err = run(folder)
    assert (code, err) == (0, "")
    assert run(folder / "plan.toml")[1] == out
    lines = out.splitlines()
    assert lines[0] == "What can this comparison show?"
    assert "will likely stay hidden" in " ".join(lines[:8])
    assert "INVENTED" in out
    assert max(map(len, lines)) <= 100
    for words in (
        "With four blocks and plots that differ by 6 % by chance",
        "true difference of less than 13 %",
        "seed 20260301 (from the plan; PCG64)",
        "Standing replicated",
        "seven blocks are needed",
        "Kept to, nothing beside itself",
    ):
        assert words in " ".join(out.split())


def test_seed_and_scatter_from_the_command(run: Run, folder: Path) -> None:
    one, other = run(folder, "--seed", 5)[1], run(folder, "--seed", 6)[1]
    assert one != other
    assert "drawn with seed 5 (from the command" in one.lower()
    code, out, _ = run(folder, "--variation", "5 %")
    assert code == 0
    assert "plots that differ by 5 % by chance" in " ".join(out.split())
    assert "5 %, from the command" in out


def test_without_a_seed_one_is_drawn_and_told(run: Run, folder: Path) -> None:
    changed(folder, ("seed = 20260301\n", ""))
    first, second = run(folder)[1], run(folder)[1]
    assert "write it as seed into [design]" in " ".join(first.split())
    assert first != second


def test_without_a_figure_the_guide_value_stands_in_and_says_so(run: Run, folder: Path) -> None:
    changed(folder, ('variation = "6 +/- 2 %"  ', "few = false  "))
    out = " ".join(run(folder)[1].split())
    assert "plots that differ by 5 % by chance" in out
    assert "5 % (3 to 10 %), a guide value" in out
    assert "An old yield map of this field tells more" in out


def test_the_layout_is_written_once(run: Run, folder: Path) -> None:
    path = folder / "out" / "layout.csv"
    code, out, _ = run(folder, "--layout", path)
    assert code == 0
    assert f"wrote {path}" in out
    rows = list(csv.DictReader(x for x in path.read_text("utf-8").splitlines() if not x.startswith("#")))
    assert len(rows) == 16
    assert all(f"{row['plot']} {row['system']}" in out for row in rows)
    before = path.read_bytes()
    code, out, err = run(folder, "--layout", path, "--seed", 1)
    assert (code, out) == (2, "")
    assert "is there already; nothing was written" in err
    assert path.read_bytes() == before


def test_two_pictures(run: Run, folder: Path) -> None:
    code, out, _ = run(folder, "--pictures", folder / "drawn")
    assert code == 0
    for name in ("layout.svg", "detectable.svg"):
        assert f"wrote {folder / 'drawn' / name}" in out
        assert (folder / "drawn" / name).read_text("utf-8").startswith("<svg")
    assert run(folder, "--pictures", folder / "drawn")[0] == 2


def test_an_old_map_gives_the_scatter(run: Run, folder: Path) -> None:
    path = old_map(folder)
    code, out, err = run(folder, "--map", path)
    assert (code, err) == (0, "")
    plain = " ".join(out.split())
    assert "from the old map" in plain
    assert "Old map map.csv: 7700 points" in plain
    # 12 m by 250 m at a point every 9 m2 are 333 points: 0.6/14/sqrt(333) = 0.23 %
    assert "plots that differ by 0.2 % by chance" in plain
    code, _, err = run(folder, "--map", path, "--heading", 90)  # 250 m do not fit into 230 m
    assert code == 2
    assert "the plots take 250 m along the heading, and the map spans 2" in err


def test_a_map_needs_the_size_of_a_plot(run: Run, folder: Path) -> None:
    changed(folder, ('plot_width = "12 m"\n', ""))
    code, out, err = run(folder, "--map", old_map(folder))
    assert (code, out) == (2, "")
    assert "design, plot_width" in err
    assert 'e.g. "18 m"' in err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--variation", "6"), "has no unit"),
        (("--variation", "90 %"), "cannot be"),
        (("--map", "nothing.csv"), "there is no such file"),
        (("--map", "map.csv", "--variation", "5 %"), "give one of the two"),
    ],
)
def test_what_cannot_be_ends_with_a_fault(run: Run, folder: Path, words: tuple[str, ...], said: str) -> None:
    code, out, err = run(folder, *words)
    assert (code, out) == (2, "")
    assert said in err


def test_a_plan_without_a_layout_is_told_what_to_write(run: Run, folder: Path) -> None:
    start, end = DEMO.index("[design]"), DEMO.index("[[limit]]")
    (folder / "plan.toml").write_text(DEMO[:start] + DEMO[end:], "utf-8")
    code, _, err = run(folder)
    assert code == 2
    assert 'write [design] with kind = "complete blocks"' in err


def test_strips_in_one_order_are_called_strips(run: Run, folder: Path) -> None:
    changed(folder, ("borders = true  ", 'order = ["plough", "cultivator", "strip", "injector"]  '))
    out = " ".join(run(folder)[1].split())
    assert "Standing strips" in out
    assert "Nothing was drawn" in out
    assert "one order in every block" in out


def test_one_block_is_looked_at_and_gets_no_chance(run: Run, folder: Path) -> None:
    changed(folder, ('kind = "complete blocks"', 'kind = "strips"'), ("blocks = 4\n", "blocks = 1\n"))
    out = " ".join(run(folder)[1].split())
    assert "Standing looked" in out
    assert "likely found" not in out
    assert "stay hidden" not in out


def test_with_an_outline_the_layout_is_drawn_on_the_ground(run: Run, folder: Path) -> None:
    (folder / "field.geojson").write_bytes((files("spadework.demo") / "field.geojson").read_bytes())
    code, out, err = run(folder, "--pictures", folder / "drawn", "--seed", 8)
    assert (code, err) == (0, "")
    assert f"wrote {folder / 'drawn' / 'map.svg'}" in out
    drawn = (folder / "drawn" / "map.svg").read_text("utf-8")
    assert "Seed 8." in drawn
    assert "101" in drawn


def test_without_the_file_of_the_outline_the_other_pictures_are_there_and_the_reason_is_told(
    run: Run, folder: Path
) -> None:
    (folder / "field.geojson").unlink(missing_ok=True)
    code, out, _ = run(folder, "--pictures", folder / "drawn")
    assert code == 0
    assert "No map.svg: " in out
    assert sorted(path.name for path in (folder / "drawn").iterdir()) == ["detectable.svg", "layout.svg"]
