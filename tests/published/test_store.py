"""The store held against standards and tools from outside: ids, checksums, the file itself."""

from __future__ import annotations

import secrets
import shutil
import sqlite3
import subprocess
import time
from pathlib import Path

import pytest

from conftest import Check
from spadework.records import reading_row
from spadework.records.kinds import reading_kinds
from spadework.records.reading_row import new_id
from spadework.records.store.copies import backup
from spadework.records.store.photos import checksum
from stores_made import gap, made


def test_an_id_is_laid_out_as_the_standard_has_it(monkeypatch: pytest.MonkeyPatch) -> None:
    # RFC 9562 (2024), appendix A.6: the example of a UUID of version 7, for 2022-02-22 14:22:22 -05:00; from memory
    monkeypatch.setattr(time, "time_ns", lambda: 1_645_557_742_000 * 1_000_000)
    monkeypatch.setattr(secrets, "randbits", lambda bits: 0x18C4DC0C0C07398F)
    monkeypatch.setattr(reading_row, "_last", (1_645_557_742_000, 0xCC3 - 1))
    assert new_id() == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"


def test_checksums_are_those_of_the_standard(tmp_path: Path) -> None:
    # FIPS 180-4, example of SHA-256: the message "abc"; from memory
    (tmp_path / "abc").write_bytes(b"abc")
    assert checksum(tmp_path / "abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_a_backup_is_checked_by_the_tool_of_every_system(tmp_path: Path) -> None:
    tool = shutil.which("sha256sum")
    if tool is None:
        pytest.skip("there is no sha256sum on this machine")
    with made(tmp_path / "trial.db") as store:
        store.add(gap(sample=n + 1) for n in range(30))
        folder = backup(store, tmp_path / "day1")
    sound = subprocess.run([tool, "-c", "--strict", "checksums.txt"], cwd=folder, capture_output=True, text=True)
    assert (sound.returncode, sound.stdout) == (0, "readings.db: OK\n")
    with (folder / "readings.db").open("r+b") as file:
        file.seek(9_000)
        file.write(b"x")
    assert subprocess.run([tool, "-c", "checksums.txt"], cwd=folder, capture_output=True).returncode == 1


def test_the_file_is_read_without_this_program(tmp_path: Path) -> None:
    # plain SQLite, as every machine has it; figures come out as they went in
    with made(tmp_path / "trial.db") as store:
        store.add([gap(6.5), gap("unreadable", sample=2)])
    raw = sqlite3.connect(f"file:{tmp_path / 'trial.db'}?mode=ro", uri=True)
    try:
        found = raw.execute("SELECT plot, sample, value, unit, why_none FROM reading ORDER BY sample").fetchall()
    finally:
        raw.close()
    assert found == [("101", 1, 6.5, "cm", ""), ("101", 2, None, "cm", "unreadable")]


@pytest.mark.parametrize(
    ("record", "field", "usual", "can_be"),
    [
        ("soil", "bulk_density_g_cm3", (1.1, 1.75), (0.5, 2.2)),
        ("slurry", "dry_matter_pct", (1, 10), (0, 30)),
        ("band", "gap_cm", (3, 12), (-10, 40)),
        ("seed", "depth_cm", (3, 7), (0, 15)),
        ("harvest", "dry_matter_pct", (25, 45), (5, 95)),
    ],
)
def test_usual_ranges_are_those_of_the_trade(
    check: Check, record: str, field: str, usual: tuple[float, float], can_be: tuple[float, float]
) -> None:
    kind = reading_kinds()[record, field]
    assert kind.soft is not None
    pairs = zip(("usual, from", "usual, to", "can be, from", "can be, to"),
                (*usual, *can_be), (kind.soft.low, kind.soft.high, kind.hard.low, kind.hard.high), strict=True)  # fmt: skip
    for end, theirs, ours in pairs:
        check(f"{kind.label}: {end}", "common practice, no source", theirs, ours, 0, unit=kind.unit, kind="practice")
