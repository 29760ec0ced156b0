"""Writes into a store until it is killed; started as a process of its own.

Every line of the input names a store and a way of writing.  For each, a child is forked, which writes and says so after
every commit: ``kept <id>``.  The children are killed from outside.
"""

from __future__ import annotations

import os
import random
import signal
import sys
from pathlib import Path

from spadework.exchange.package import write_package
from spadework.exchange.package_read import read_package
from spadework.records.store import take_in as sheets
from spadework.records.store.copies import backup, merge, restore, take_in
from spadework.records.store.opening import open_store
from spadework.records.store.store import Store
from stores_made import gap


def say(text: str) -> None:
    os.write(1, f"{text}\n".encode())


def write(place: Path, way: str, seed: int) -> None:
    draw = random.Random(seed)  # noqa: S311 (sizes of batches)
    with open_store(place) as store:
        say("open")
        if way != "add":
            copy(store, way, seed)
            say(f"kept {way}")
            if way != "backup":
                signal.pause()  # until it is killed
        while True:
            rows = [gap(plot=str(seed), sample=number + 1) for number in range(draw.choice((1, 1, 2, 60)))]
            store.add(rows)
            say("kept " + " ".join(one.id for one in rows))


def copy(store: Store, way: str, seed: int) -> None:
    """Do one piece of work beside adding; what it needs lies in the folder of the store."""
    folder = store.file.parent if store.file is not None else Path()
    match way:
        case "backup":
            backup(store, folder / f"stick-{seed}")
        case "merge":
            with open_store(folder / "helper.db") as helper:
                take_in(store, helper)
        case "join":
            with open_store(folder / "helper.db") as helper:
                merge(store, helper, folder / f"join-{seed}.db").close()
        case "restore":
            restore(folder / "stick", folder / f"restore-{seed}.db").close()
        case "export":
            write_package(store, folder / f"export-{seed}")
        case "import":
            read_package(folder / "pack", folder / f"import-{seed}.db").close()
        case "sheet":
            sheets.take_in(store, sheets.preview(store, folder / "sheet.csv"), person="CD")


def main() -> None:
    for line in sys.stdin:
        place, way, seed = line.split("\t")
        child = os.fork()
        if child == 0:
            try:
                write(Path(place), way, int(seed))
            except BaseException as error:
                say(f"failed {error!r}")
            os._exit(1)
        say(f"child {child}")
        os.waitpid(child, 0)
        say("gone")


if __name__ == "__main__":
    main()
