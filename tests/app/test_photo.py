"""The command on photos: what it prints and writes, and how it stops.  All pictures are made and all counts invented."""

from __future__ import annotations

import csv
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import typer
from PIL import Image

from photos_made import RESIDUE, ground
from spadework.app.photo import photo, read_scale, read_strips
from spadework.app.stops import stopping
from spadework.findings.photo_cover import Strips
from spadework.plan import Fault

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the command in this process; return exit code, output and errors."""
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(photo)
    app.callback()(lambda: None)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", "photo", *map(str, words)])
        with pytest.raises(SystemExit) as stopped, stopping():
            app()
        told = capsys.readouterr()
        code = stopped.value.code
        return (code if isinstance(code, int) else 0 if code is None else 1), told.out, told.err

    return command


@pytest.fixture(scope="module")
def field(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("field")
    random = np.random.default_rng(11)
    lines, zoned = ["photo;hits;points"], ["photo;zone;hits;points"]
    for i in range(6):
        made = ground(70 + i, 0.3 + 0.05 * i, high=520, wide=800, bare_columns=(0.25, 0.75))
        name = f"place {i}.jpg"
        Image.fromarray(made.picture).save(folder / name, "JPEG", quality=95)
        lines.append(f"{name};{random.binomial(100, made.cover)};100")
        inside = np.abs((np.arange(800) + 0.5) / 20 - 20) <= 10
        for zone, columns in (("strip", inside), ("between", ~inside)):
            true = float((made.truth[:, columns] == RESIDUE).mean())
            zoned.append(f"{name};{zone};{random.binomial(100, true)};100")
    (folder / "counts.csv").write_text("\n".join(lines) + "\n", "utf-8")
    (folder / "zones.csv").write_text("\n".join(zoned) + "\n", "utf-8")
    blurred = ground(5, 0.4, high=520, wide=800, blur_mm=2.5)
    Image.fromarray(blurred.picture).save(folder / "blurred.png")
    return folder


def photos(field: Path) -> list[Path]:
    return sorted(field.glob("place*.jpg"))


def fits_a_screen(out: str) -> None:
    assert all(len(line) <= 100 and line == line.rstrip() for line in out.splitlines() if not line.startswith("wrote "))
    assert out.isascii()


def test_without_counts_it_was_looked_at_only(run: Run, field: Path) -> None:
    code, out, err = run(*photos(field)[:2], field / "blurred.png", "--width", "40 cm")
    assert (code, err) == (0, "")
    fits_a_screen(out)
    assert "LOOKED ONLY" in out
    assert "2 of 3 photos give a cover." in out
    assert "no cover" in out
    assert "  - blurred: fineness of detail 0.0" in out
    assert "For a cover of the field: count 10 of them by hand; fewer than 5 give none." in out
    assert "Whether a picture was taken straight down cannot be told from it." in out
    assert "cover of the field, corrected" not in out


def test_with_counts_the_field_gets_a_cover(run: Run, field: Path) -> None:
    code, out, _ = run(*photos(field), "--width", "400 mm", "--counts", field / "counts.csv")
    assert code == 0
    fits_a_screen(out)
    assert "Measured: read from photos and corrected by 6 counts by hand." in out
    assert "LOOKED ONLY" not in out
    assert "6 of 6 that give a cover" in out
    words = next(line for line in out.splitlines() if "cover of the field, corrected" in line)
    counted = [int(line.split(";")[1]) for line in (field / "counts.csv").read_text("utf-8").splitlines()[1:]]
    assert int(words.split()[5]) == round(float(np.mean(counted)))  # where all are counted the counts alone decide


def test_strips_are_counted_apart(run: Run, field: Path) -> None:
    words = ["--bar", "0,10 400,310", "--length", "25 cm", "--strip", "20 cm", "--row", "50 cm"]
    code, out, _ = run(*photos(field), *words, "--counts", field / "zones.csv")
    assert code == 0
    fits_a_screen(out)
    assert "strip  between" in out
    assert "(40 % strip)" in out
    assert "corrected by 6 counts by hand" in out
    first = next(line for line in out.splitlines() if line.startswith("place 0.jpg")).split()
    cover, strip, between = int(first[2]), int(first[6]), int(first[7])
    assert strip < cover < between
    code, _, err = run(*photos(field), *words, "--counts", field / "counts.csv")
    assert code == 2
    assert "column zone: is missing" in err


def test_figures_and_pictures_are_written_and_photos_left_alone(run: Run, field: Path, tmp_path: Path) -> None:
    before = {path: path.read_bytes() for path in field.iterdir()}
    some = [photos(field)[0], field / "blurred.png"]
    code, out, _ = run(*some, "--width", "40 cm", "--csv", tmp_path / "out.csv", "--mask", tmp_path / "seen")
    assert code == 0
    assert f"wrote {tmp_path / 'out.csv'}" in out
    assert "wrote 2 pictures of what was counted as what into" in out
    with (tmp_path / "out.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file, delimiter=";"))
    assert [row["photo"] for row in rows] == ["place 0.jpg", "blurred.png"]
    assert 0 < float(rows[0]["cover_share"]) < 1
    assert rows[0]["standing"] == "looked"
    assert rows[1]["cover_share"] == ""
    assert rows[1]["no_cover_because"].startswith("blurred: ")
    with Image.open(tmp_path / "seen" / "place 0.jpg-classes.png") as opened:
        assert opened.size == (800, 520)
    assert {path: path.read_bytes() for path in field.iterdir()} == before


def test_all_faults_of_options_at_once_and_nothing_written(run: Run, field: Path, tmp_path: Path) -> None:
    some = photos(field)[0]
    words = ["--strip", "80 cm", "--row", "75", "--csv", some, "--mask", tmp_path / "seen"]
    code, out, err = run(some, some, "--width", "60", *words)
    assert (code, out) == (2, "")
    for part in (
        '--width: "60" has no unit',
        '--row: "75" has no unit',
        "place 0.jpg: stands twice",
        "--csv: would overwrite place 0.jpg",
    ):
        assert part in err
    assert not (tmp_path / "seen").exists()


def test_all_photos_that_cannot_be_read_at_once(run: Run, field: Path, tmp_path: Path) -> None:
    cut = tmp_path / "cut.jpg"
    cut.write_bytes(photos(field)[0].read_bytes()[:9000])
    code, out, err = run(
        cut, photos(field)[1], tmp_path / "none.jpg", "--width", "40 cm", "--csv", tmp_path / "out.csv"
    )
    assert (code, out) == (2, "")
    assert "photos: 2 faults" in err
    assert "cut.jpg: is broken or was cut off on the way" in err
    assert "none.jpg: there is no such file" in err
    assert not (tmp_path / "out.csv").exists()


def test_missing_packages_are_told_once(run: Run, field: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "PIL", None)
    code, out, err = run(*photos(field), "--width", "40 cm")
    assert (code, out) == (2, "")
    assert err.count('pip install "spadework[photo]"') == 1


def test_a_picture_that_is_tiny_is_told(run: Run, tmp_path: Path) -> None:
    Image.new("RGB", (20, 20)).save(tmp_path / "dot.png")
    code, _, err = run(tmp_path / "dot.png", "--width", "40 cm")
    assert code == 2
    assert "dot.png: cannot be worked on" in err


@pytest.mark.parametrize(
    ("width", "bar", "length", "words"),
    [
        (None, None, None, "nobody knows how wide a pixel is"),
        ("60 cm", "1,1 2,2", "5 cm", "one of the two"),
        ("60 cm", None, "5 cm", "belongs to --bar"),
        ("0 cm", None, None, "cannot be; allowed: 1 to 2000 cm"),
        ("60 kg", None, None, "60 kg"),
        (None, "1,1 900,1", None, "--length: is missing"),
        (None, "here to there", "5 cm", "is no pair of ends"),
        (None, "5,5 5,5", "5 cm", "both ends are the same pixel"),
    ],
)
def test_scales_that_do_not_do(width: str | None, bar: str | None, length: str | None, words: str) -> None:
    faults: list[Fault] = []
    read_scale(width, bar, length, faults)
    assert words in "\n".join(map(str, faults))


def test_strips_that_do_not_do() -> None:
    for given, words in (
        (("20 cm", None, None), "--row: is missing"),
        ((None, "75 cm", None), "--strip: is missing"),
        ((None, None, "10 cm"), "strips need both"),
        (("75 cm", "75 cm", None), "is no strip of rows 75 cm apart"),
        (("20 cm", "75 cm", "-4 cm"), "--offset"),
    ):
        faults: list[Fault] = []
        read_strips(*given, faults)
        assert words in "\n".join(map(str, faults))
    assert read_strips("20 cm", "75 cm", "0 cm", []) == Strips(20, 75, 0.0)
    assert read_strips(None, None, None, []) is None
