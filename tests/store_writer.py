"""Writes into a store until it is killed; started as a process of its own.

Every line of the input names a store and a way of writing.  For each, a child is forked, which writes and says so after
every commit: ``kept <id>``.  The children are killed from outside.
"""

from __future__ import annotations

import os
import random
import sys
from pathlib import Path

from spadework.records.store.copies import backup
from spadework.records.store.opening import open_store
from stores_made import gap


def say(text: str) -> None:
    os.write(1, f"{text}\n".encode())


def write(place: Path, way: str, seed: int) -> None:
    draw = random.Random(seed)  # noqa: S311 (sizes of batches)
    with open_store(place) as store:
        say("open")
        if way == "backup":
            backup(store, place.parent / f"stick-{seed}")
            say("kept backup")
        while True:
            rows = [gap(plot=str(seed), sample=number + 1) for number in range(draw.choice((1, 1, 2, 60)))]
            store.add(rows)
            say("kept " + " ".join(one.id for one in rows))


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
