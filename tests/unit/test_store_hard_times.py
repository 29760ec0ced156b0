"""The store in hard times: killed while writing, disk full, folder that cannot be written to. Nothing told to be kept is lost."""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from spadework.exchange.package import write_package
from spadework.exchange.package_read import read_package
from spadework.plan import PlanFaults
from spadework.records.store.copies import backup, look_over, restore
from spadework.records.store.opening import open_store
from stores_made import gap, made

TESTS = Path(__file__).parents[1]
KILLS = 200
KILLS_OF_BACKUPS = 20
KILLS_OF_COPIES = 5
MANY = 1_500


class Writer:
    """The process that forks writers, and what they said."""

    def __init__(self) -> None:
        environment = {**os.environ, "PYTHONPATH": str(TESTS)}
        command = [sys.executable, str(TESTS / "store_writer.py")]
        pipe = subprocess.PIPE
        self.process = subprocess.Popen(command, stdin=pipe, stdout=pipe, text=True, env=environment)

    def killed(self, place: Path, way: str, seed: int, after_s: float, until: str = "open") -> list[str]:
        """Start a writer, kill it a while after it said a word, and return what it had said."""
        process = self.process
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write(f"{place}\t{way}\t{seed}\n")
        process.stdin.flush()
        said = []
        child = 0
        while not child or not any(line.startswith(until) for line in said):
            line = process.stdout.readline().strip()
            child = int(line.split()[1]) if line.startswith("child ") else child
            said.append(line)
        time.sleep(after_s)
        os.kill(child, signal.SIGKILL)
        while (line := process.stdout.readline().strip()) != "gone":
            said.append(line)
        return said

    def close(self) -> None:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.close()
        self.process.wait(20)
        self.process.stdout.close()


def ids_in(place: Path) -> set[str]:
    raw = sqlite3.connect(place)
    try:
        assert raw.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        return {row[0] for row in raw.execute("SELECT id FROM reading")}
    finally:
        raw.close()


def test_killed_at_200_moments_of_writing_loses_nothing_that_was_told_to_be_kept(tmp_path: Path) -> None:
    place = tmp_path / "trial.db"
    made(place).close()
    draw = random.Random(20260504)  # noqa: S311 (moments)
    writer, kept, while_open = Writer(), set[str](), 0
    try:
        for seed in range(KILLS):
            until = ("", "open", "kept")[min(seed % 5, 2)]  # every fifth is killed at any moment, opening among them
            said = writer.killed(place, "add", seed, draw.uniform(0, 0.04), until)
            assert not [line for line in said if line.startswith("failed")]
            while_open += "open" in said
            kept |= {ident for line in said if line.startswith("kept ") for ident in line.split()[1:]}
            there = ids_in(place)
            assert kept <= there, f"kill {seed} lost {len(kept - there)} readings"
    finally:
        writer.close()
    assert while_open >= KILLS * 0.8
    assert len(kept) >= KILLS * 0.6
    with open_store(place) as store:
        assert look_over(store) == ()
        by_plot: dict[str, int] = {}
        for one in store.every():
            by_plot[one.plot] = by_plot.get(one.plot, 0) + 1
        assert sum(by_plot.values()) == len(ids_in(place))
        store.add([gap(plot="after")])


def test_a_backup_that_is_killed_is_there_whole_or_not_at_all(tmp_path: Path) -> None:
    place = tmp_path / "trial.db"
    with made(place) as store:
        store.add(gap(sample=n + 1) for n in range(5_000))
    draw = random.Random(7)  # noqa: S311 (moments)
    writer = Writer()
    whole = 0
    try:
        for seed in range(KILLS_OF_BACKUPS):
            said = writer.killed(place, "backup", seed, draw.uniform(0, 0.12))
            folder = tmp_path / f"stick-{seed}"
            assert folder.exists() or "kept backup" not in said
            if folder.exists():
                whole += 1
                with restore(folder, tmp_path / f"again-{seed}.db") as again:
                    assert again.count() >= 5_000
    finally:
        writer.close()
    assert whole < KILLS_OF_BACKUPS


@pytest.fixture(scope="module")
def stocked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a store, a helper's store, a backup, a package and a filled sheet."""
    folder = tmp_path_factory.mktemp("stocked")
    with made(folder / "trial.db") as store:
        store.add(gap(sample=n + 1) for n in range(MANY))
        backup(store, folder / "stick")
        write_package(store, folder / "pack")
    with made(folder / "helper.db") as helper:
        helper.add(gap(plot="helper", sample=n + 1) for n in range(MANY))
    lines = "".join(f"301;{n};6.5;2026-05-04 09:30;AB\n" for n in range(1, MANY + 1))
    (folder / "sheet.csv").write_text(f"plot;sample;gap_cm;time;person\n{lines}", "utf-8")
    return folder


@pytest.mark.parametrize(("way", "longest_s"), [("merge", 0.3), ("sheet", 0.8)])
def test_what_is_added_from_elsewhere_and_killed_is_added_whole_or_not_at_all(
    stocked: Path, tmp_path: Path, way: str, longest_s: float
) -> None:
    draw = random.Random(way)  # noqa: S311 (moments)
    mine, writer = ids_in(stocked / "trial.db"), Writer()
    try:
        for seed in range(KILLS_OF_COPIES):
            folder = tmp_path / f"{way}-{seed}"
            restore(stocked / "stick", folder / "trial.db").close()
            for name in ("helper.db", "sheet.csv"):
                shutil.copy(stocked / name, folder)
            said = writer.killed(folder / "trial.db", way, seed, draw.uniform(0, longest_s))
            assert not [line for line in said if line.startswith("failed")]
            added = ids_in(folder / "trial.db") - mine
            assert mine <= ids_in(folder / "trial.db")
            assert len(added) in (0, MANY)
            assert added or f"kept {way}" not in said
            with open_store(folder / "trial.db") as store:
                assert look_over(store) == ()
    finally:
        writer.close()


@pytest.mark.parametrize(("way", "longest_s"), [("join", 0.5), ("restore", 0.25), ("import", 0.6), ("export", 0.5)])
def test_what_is_made_anew_and_killed_is_there_whole_or_not_at_all(
    stocked: Path, way: str, longest_s: float, tmp_path: Path
) -> None:
    draw = random.Random(way)  # noqa: S311 (moments)
    mine, writer = ids_in(stocked / "trial.db"), Writer()
    wanted = mine | ids_in(stocked / "helper.db") if way == "join" else mine
    try:
        for seed in range(KILLS_OF_COPIES):
            place = stocked / (f"export-{seed}" if way == "export" else f"{way}-{seed}.db")
            said = writer.killed(stocked / "trial.db", way, seed, draw.uniform(0, longest_s))
            assert not [line for line in said if line.startswith("failed")]
            assert place.exists() or f"kept {way}" not in said
            if place.exists():
                whole = tmp_path / f"again-{seed}.db" if way == "export" else place
                if way == "export":
                    read_package(place, whole).close()
                assert ids_in(whole) == wanted
                with open_store(whole) as store:
                    assert look_over(store) == ()
    finally:
        writer.close()


def elsewhere(way: str, folder: Path, mount_mb: int = 0) -> dict[str, Any]:
    """Run a way of use in a process of its own, on a small disk of its own where asked."""
    command = [sys.executable, str(TESTS / "store_where_it_cannot.py"), way, str(folder)]
    if mount_mb:
        if os.geteuid() != 0 or shutil.which("unshare") is None:
            pytest.skip("a disk of its own needs the rights of root")
        script = f'mount -t tmpfs -o size={mount_mb}m none "$0" && exec "$@"'
        probe = subprocess.run(["unshare", "-m", "sh", "-c", script, str(folder), "true"], capture_output=True)
        if probe.returncode:
            pytest.skip("this machine lets nobody mount a disk")
        command = ["unshare", "-m", "sh", "-c", script, str(folder), *command]
    environment = {**os.environ, "PYTHONPATH": str(TESTS)}
    done = subprocess.run(command, capture_output=True, text=True, env=environment, check=False)
    assert done.returncode == 0, done.stderr
    return dict(json.loads(done.stdout))


@pytest.mark.parametrize(("way", "mount_mb"), [("limited", 0), ("fill", 3)])
def test_a_full_disk_is_told_and_loses_nothing(tmp_path: Path, way: str, mount_mb: int) -> None:
    found = elsewhere(way, tmp_path, mount_mb)
    assert "the disk is full" in found["told"]
    assert "nothing of this was stored" in found["told"]
    assert found["rounds"] > 2
    assert found["still there"]
    assert found["whole"]
    if mount_mb:  # the limit of the other way is on single files
        assert "the disk is full" in found["backup"]
        assert "stick" not in found["names"]
    assert not [name for name in found["names"] if "part" in name]


def test_a_full_disk_leaves_nothing_half_made_whatever_was_done(tmp_path: Path) -> None:
    found = elsewhere("full", tmp_path, 4)
    for way in ("merge", "join", "restore", "export", "import", "sheet", "backup"):
        assert "the disk is full" in found[way], way
        assert not found[way].startswith("."), way  # no name that nobody gave
    assert found["same"]
    assert found["whole"]
    assert not {name.partition("-")[0] for name in found["names"]} - {"ballast", "trial.db"}


def test_a_folder_that_cannot_be_written_to_is_told(tmp_path: Path) -> None:
    found = elsewhere("read_only", tmp_path, 4)
    assert "a folder that can be written to" in found["open"]
    assert "cannot be written to" in found["new store"]
    assert found["same"]
    assert found["names"] == ["trial.db"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere; the test above mounts a disk instead")
def test_a_folder_without_the_right_to_write_is_told(tmp_path: Path) -> None:
    made(tmp_path / "trial.db").close()
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(PlanFaults, match="can be written to"):
            open_store(tmp_path / "trial.db")
    finally:
        tmp_path.chmod(0o700)
