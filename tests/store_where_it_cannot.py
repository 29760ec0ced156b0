"""Uses a store where the disk is full or cannot be written to; started as a process of its own.  Prints what was told."""

from __future__ import annotations

import json
import resource
import subprocess
import sys
from pathlib import Path

from spadework.plan import PlanFaults
from spadework.records.store.copies import backup, look_over
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


if __name__ == "__main__":
    print(json.dumps({"fill": fill, "limited": limited, "read_only": read_only}[sys.argv[1]](Path(sys.argv[2]))))
