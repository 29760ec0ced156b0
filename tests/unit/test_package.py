"""The data package: what lies in it, what other readers make of it, and what is turned away on the way back."""

from __future__ import annotations

import hashlib
import json
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pandas as pd
import pytest

from spadework.exchange.package import SUMS, write_package
from spadework.exchange.package_fields import table_fields
from spadework.exchange.package_read import read_package
from spadework.plan import PlanFaults
from spadework.records.store.photos import add_photo, photos_of
from spadework.records.store.schema_sql import KEPT
from spadework.records.store.store import Store
from stores_made import dry, gap, made

PHOTO = b"\xff\xd8\xff\xe0 not a real picture, but it begins as one"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with made(tmp_path / "r.db") as one:
        first = gap(6.5, note="=1+1")
        one.add(
            [
                first,
                gap(7.25, "102"),
                gap("unreadable", "103"),
                dry(33.5, "101"),
                dry("below detection", "102", limit=5.0),
            ]
        )
        one.correct(first.id, 7.0, "read again", person="CD")
        file = tmp_path / "p.jpg"
        file.write_bytes(PHOTO)
        add_photo(one, file, plot="101", taken_at="2026-05-04", person="AB", note="face of the dig")
        yield one


@pytest.fixture
def package(store: Store, tmp_path: Path) -> Path:
    return write_package(store, tmp_path / "pack", plots=[("101", "1", "strip"), ("102", "1", "plough")])


def sealed(folder: Path) -> None:
    """Write the checksums anew, as somebody would who changed a file on purpose."""
    files = sorted(file for file in folder.rglob("*") if file.is_file() and file.name != SUMS)
    lines = [
        f"{hashlib.sha256(file.read_bytes()).hexdigest()}  {file.relative_to(folder).as_posix()}\n" for file in files
    ]
    (folder / SUMS).write_text("".join(lines), "utf-8")


def changed(folder: Path, name: str, old: str, new: str, *, seal: bool = True) -> None:
    file = folder / name
    text = file.read_bytes().decode()
    assert old in text
    file.write_bytes(text.replace(old, new, 1).encode())
    if seal:
        sealed(folder)


def told(folder: Path, place: Path) -> str:
    """Return why a package is refused; nothing is left of the new store."""
    with pytest.raises(PlanFaults) as caught:
        read_package(folder, place)
    assert not [one for one in place.parent.glob("*") if one.name.startswith((place.name, f".{place.name}"))]
    return str(caught.value)


def test_every_file_is_listed_and_sound_for_a_common_tool(package: Path) -> None:
    done = subprocess.run(["sha256sum", "--check", "--strict", SUMS], cwd=package, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout
    listed = {line.split("  ", 1)[1] for line in (package / SUMS).read_text("utf-8").splitlines()}
    there = {file.relative_to(package).as_posix() for file in package.rglob("*") if file.is_file()}
    assert listed == there - {SUMS}


def test_the_description_names_every_table_with_its_size_checksum_and_columns(package: Path) -> None:
    about = json.loads((package / "datapackage.json").read_text("utf-8"))
    for one in about["resources"]:
        content = (package / one["path"]).read_bytes()
        assert one["bytes"] == len(content)
        assert one["hash"] == f"sha256:{hashlib.sha256(content).hexdigest()}"
        head = content.decode().splitlines()[0].split(",")
        assert head == [field["name"] for field in one["schema"]["fields"]]
        assert all(field["title"] for field in one["schema"]["fields"])
        assert len(content.decode().splitlines()) == one["rows"] + 1


def test_figures_of_wide_tables_have_unit_and_range(package: Path) -> None:
    about = json.loads((package / "datapackage.json").read_text("utf-8"))
    (wide,) = (one for one in about["resources"] if one["path"] == "now/harvest.csv")
    dry_matter = next(field for field in wide["schema"]["fields"] if field["name"] == "dry_matter_pct")
    assert (dry_matter["unit"], dry_matter["type"]) == ("%", "number")
    assert dry_matter["constraints"] == {"minimum": 5, "maximum": 95}
    fresh = next(field for field in wide["schema"]["fields"] if field["name"] == "fresh_kg")
    assert "exclusiveMinimum" in fresh["constraints"] or "minimum" in fresh["constraints"]


def test_every_column_of_the_store_has_a_title_of_its_own() -> None:
    for table in KEPT:
        fields = {field["name"]: field["title"] for field in table_fields(table)}
        assert list(fields) == [column.name for column in table.columns]
        bare = {name for name, title in fields.items() if title == name}
        assert bare <= {"comparison", "plot"}


def test_another_reader_finds_the_same_figures(package: Path) -> None:
    now = pd.read_csv(
        package / "now" / "band.csv", na_values=["missing", "not measured", "below detection", "unreadable"]
    )
    assert now.set_index("plot")["gap_cm"].to_dict() == pytest.approx(
        {101: 7.0, 102: 7.25, 103: float("nan")}, nan_ok=True
    )
    rows = pd.read_csv(package / "data" / "reading.csv", dtype={"plot": str})
    assert sorted(rows["value"].dropna()) == [6.5, 7.0, 7.25, 33.5]
    assert rows["corrects"].notna().sum() == 1


def test_no_cell_begins_a_formula(package: Path) -> None:
    for file in package.rglob("*.csv"):
        for cells in pd.read_csv(file, dtype=str, keep_default_na=False).to_numpy():
            for cell in cells:
                number = cell.removeprefix("-").replace(".", "", 1)
                assert not cell.startswith(("=", "+", "@", "-")) or number.isdecimal(), cell


def test_the_readme_says_what_is_in_it_and_that_it_is_invented(package: Path) -> None:
    text = (package / "README.md").read_text("utf-8")
    assert "INVENTED" in text
    assert "No licence is given" in text
    assert "data/reading.csv" in text
    assert "Names of people" in text


def test_it_comes_back_with_photos(package: Path, store: Store, tmp_path: Path) -> None:
    with read_package(package, tmp_path / "new" / "n.db") as other:
        assert list(other.every()) == list(store.every())
        ((row, file),) = photos_of(other)
        assert (row.note, file.read_bytes()) == ("face of the dig", PHOTO)


def test_files_of_the_layout_and_a_licence_are_put_in(store: Store, tmp_path: Path) -> None:
    folder = write_package(store, tmp_path / "p", more={"plots.gpkg": b"GPKG"}, licence="CC-BY-4.0")
    assert (folder / "layout" / "plots.gpkg").read_bytes() == b"GPKG"
    about = json.loads((folder / "datapackage.json").read_text("utf-8"))
    assert about["licenses"] == [{"name": "CC-BY-4.0"}]
    with pytest.raises(ValueError, match="plain name"):
        write_package(store, tmp_path / "q", more={"../x": b""})
    assert not (tmp_path / "q").exists()


def test_nothing_is_written_over(package: Path, store: Store, tmp_path: Path) -> None:
    with pytest.raises(PlanFaults, match="is there already"):
        write_package(store, package)
    with pytest.raises(PlanFaults, match="is there already"):
        read_package(package, tmp_path / "r.db")


def test_a_photo_that_is_gone_stops_the_export(store: Store, tmp_path: Path) -> None:
    ((_, file),) = photos_of(store)
    file.unlink()
    with pytest.raises(PlanFaults, match="is gone"):
        write_package(store, tmp_path / "p")
    assert not (tmp_path / "p").exists()


def test_a_changed_file_is_refused(package: Path, tmp_path: Path) -> None:
    changed(package, "data/reading.csv", "33.5", "34.5", seal=False)
    assert "data/reading.csv: is not as it was written" in told(package, tmp_path / "n.db")


def test_a_changed_figure_is_found_though_the_checksums_were_made_anew(package: Path, tmp_path: Path) -> None:
    changed(package, "data/reading.csv", "33.5", "34.5")
    assert "is not what it was when it was added" in told(package, tmp_path / "n.db")


@pytest.mark.parametrize(
    ("name", "old", "new", "what"),
    [
        ("data/reading.csv", "33.5", "330.5", "cannot be"),
        ("data/reading.csv", "33.5", "=33", "is no number"),
        ("data/reading.csv", "33.5", "nan", "is no number"),
        ("data/reading.csv", "33.5", "1e999", "is no number"),
        ("data/reading.csv", "33.5", "x" * 20_000, "is no number"),
        ("data/reading.csv", "33.5", "y" * 200_000, "cannot be cut into cells"),
        ("data/reading.csv", "33.5", "33.5,1", "cells, but"),
        ("data/reading.csv", "id,record", "id,records", "has the columns"),
        ("data/reading.csv", "2026-09-20", "2026-19-20", "taken_at"),
        ("data/reading.csv", "unreadable", "unknown", "no word for nothing"),
        ("data/comparison.csv", "plough", "plow", "does not follow from its question"),
        ("data/comparison.csv", "Europe/Copenhagen", "Europe/Nowhere", "is no time zone"),
        ("data/comparison.csv", "true", "yes", "is no boolean"),
        ("datapackage.json", '"tables"', '"table"', "does not describe a package"),
        ("datapackage.json", "{", "[" * 100_000, "does not describe a package"),
    ],
)
def test_rows_that_cannot_be_are_refused(
    package: Path, tmp_path: Path, name: str, old: str, new: str, what: str
) -> None:
    changed(package, name, old, new)
    assert what in told(package, tmp_path / "n.db")


def test_a_reading_twice_or_a_correction_of_nothing_is_refused(package: Path, tmp_path: Path) -> None:
    file = package / "data" / "reading.csv"
    lines = file.read_text("utf-8").splitlines()
    file.write_text("\n".join([*lines, lines[1]]) + "\n", "utf-8")
    sealed(package)
    assert "a row stands twice" in told(package, tmp_path / "n.db")
    first = next(line for line in lines if ",6.5," in line)
    file.write_text("\n".join(line for line in lines if line != first) + "\n", "utf-8")
    sealed(package)
    assert "points at a row that is not there" in told(package, tmp_path / "n.db")


def test_files_beside_links_and_missing_files_are_refused(package: Path, tmp_path: Path) -> None:
    (package / "extra.exe").write_bytes(b"MZ")
    assert "is not named in" in told(package, tmp_path / "n.db")
    (package / "extra.exe").unlink()
    (package / "data" / "link.csv").symlink_to("/etc/hostname")
    assert "is a link" in told(package, tmp_path / "n.db")
    (package / "data" / "link.csv").unlink()
    (package / "data" / "photo.csv").unlink()
    assert "is gone from the package" in told(package, tmp_path / "n.db")
    sealed(package)
    assert "is missing" in told(package, tmp_path / "n.db")


def test_a_name_that_leads_out_of_the_folder_is_refused(package: Path, tmp_path: Path) -> None:
    (tmp_path / "secret").write_text("x", "utf-8")
    with (package / SUMS).open("a", encoding="utf-8") as sums:
        sums.write(f"{hashlib.sha256(b'x').hexdigest()}  ../secret\n")
    assert "../secret: is gone from the package" in told(package, tmp_path / "n.db")


def test_what_is_no_package_is_told(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    assert "there is no SHA256SUMS" in told(tmp_path / "empty", tmp_path / "n.db")
    assert "is no folder" in told(tmp_path / "nowhere", tmp_path / "n.db")
