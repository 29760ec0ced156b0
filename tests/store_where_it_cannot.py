"""Uses a store where the disk is full or cannot be written to; started as a process of its own.  Prints what was told."""

from __future__ import annotations

import contextlib
import json
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

from spadework.exchange.package import write_package
from spadework.exchange.package_read import read_package
from spadework.plan import PlanFaults
from spadework.records.store import take_in as sheets
from spadework.records.store.copies import backup, look_over, merge, restore, take_in
from spadework.records.store.opening import create_store, open_store
from stores_made import everything, gap, made


def told(work: object) -> str:
    try:
        work()  # type: ignore[operator]
    except PlanFaults as faults:
        return str(faults)
    return "nothing was told"


def fill(folder: Path) -> dict[str, object]:
    """Add until the disk is full, then see what is left."""
    kept: set[tuple[str, str]] = set()
    out: dict[str, object] = {}
    with made(folder / "trial.db") as store:
        for round_ in range(10_000):
            rows = [gap(plot=str(round_), sample=n + 1) for n in range(100)]
            try:
                store.add(rows)
            except PlanFaults as faults:
                out["told"] = str(faults)
                break
            kept |= {(one.id, one.digest) for one in rows}
        out["rounds"] = round_
        out["still there"] = everything(store) == kept
        out["backup"] = told(lambda: backup(store, folder / "stick"))
    out["new store"] = told(lambda: create_store(folder / "other.db", "Another question", "UTC"))
    out["names"] = sorted(p.name for p in folder.iterdir())
    with open_store(folder / "trial.db") as again:
        out["whole"] = look_over(again) == () and everything(again) == kept
    return out


def limited(folder: Path) -> dict[str, object]:
    resource.setrlimit(resource.RLIMIT_FSIZE, (600_000, 600_000))
    return fill(folder)


def read_only(folder: Path) -> dict[str, object]:
    with made(folder / "trial.db") as store:
        row = gap()
        store.add([row])
    data = (folder / "trial.db").read_bytes()
    subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
    out: dict[str, object] = {}
    out["open"] = told(lambda: open_store(folder / "trial.db"))
    out["new store"] = told(lambda: create_store(folder / "other.db", "Another question", "UTC"))
    out["same"] = (folder / "trial.db").read_bytes() == data
    out["names"] = sorted(p.name for p in folder.iterdir())
    return out


def full(folder: Path) -> dict[str, object]:
    """Copy, merge, restore, hand on and take in where hardly any room is left; nothing of it may stay."""
    with tempfile.TemporaryDirectory() as name:
        out = _without_room(folder, Path(name))
    out["names"] = sorted(p.name for p in folder.rglob("*"))
    return out


def _without_room(folder: Path, beside: Path) -> dict[str, object]:
    with made(beside / "helper.db") as helper:
        helper.add([gap(plot="helper", sample=n + 1) for n in range(3_000)])
        backup(helper, beside / "stick")
        write_package(helper, beside / "pack")
        lines = "".join(f"301;{n};6.5;2026-05-04 09:30;AB\n" for n in range(1, 1_901))
        (beside / "sheet.csv").write_text(f"plot;sample;gap_cm;time;person\n{lines}", "utf-8")
        out: dict[str, object] = {}
        with made(folder / "trial.db") as store:
            store.add([gap(sample=n + 1) for n in range(1_000)])
            before = everything(store)
            with (folder / "ballast").open("wb", buffering=0) as ballast, contextlib.suppress(OSError):
                while True:
                    ballast.write(bytes(4096))
            with (folder / "ballast").open("rb+") as ballast:
                ballast.truncate(max(0, (folder / "ballast").stat().st_size - 200_000))
            out["merge"] = told(lambda: take_in(store, helper))
            out["join"] = told(lambda: merge(store, helper, folder / "join.db"))
            out["restore"] = told(lambda: restore(beside / "stick", folder / "restore.db"))
            out["export"] = told(lambda: write_package(store, folder / "export"))
            out["import"] = told(lambda: read_package(beside / "pack", folder / "import.db"))
            out["sheet"] = told(lambda: sheets.take_in(store, sheets.preview(store, beside / "sheet.csv"), person="CD"))
            out["backup"] = told(lambda: backup(store, folder / "stick"))
            out["same"] = everything(store) == before
        with open_store(folder / "trial.db") as again:
            out["whole"] = look_over(again) == () and everything(again) == before
    return out


if __name__ == "__main__":
    ways = {"fill": fill, "limited": limited, "read_only": read_only, "full": full}
    print(json.dumps(ways[sys.argv[1]](Path(sys.argv[2]))))
