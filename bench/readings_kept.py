"""Times a million readings going into the store, and the history of one plot coming out, beside SQLite used bare."""

from __future__ import annotations

import json
import resource
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

MANY = 1_000_000
_PLOTS = 2_000


def measure(timed: Callable[..., float], row: Callable[..., None]) -> None:
    """Print the rows; the work is done in a process of its own, so that its memory can be told."""
    done = subprocess.run([sys.executable, __file__], check=True, capture_output=True, text=True)
    found = json.loads(done.stdout)
    bare = f"sqlite3, {MANY:,} rows into a bare table"
    row(f"readings: {MANY:,} checked and stored", found["add_s"], "60 s", bare, found["bare_s"])
    row(
        "readings: history of a plot among them",
        found["history_s"],
        "20 ms",
        "the same rows, looked up bare",
        found["bare_look_s"],
    )
    print(
        f"    {found['rows']:,} rows, {found['add_cpu_s']:.0f} s of the processor, {found['file_mb']:.0f} MB on the disk,"
    )
    print(f"    {found['memory_mb']:.0f} MB of memory (budget 500 MB)")


def _readings(count: int) -> Iterator[object]:
    from dataclasses import replace

    from spadework.records.reading_row import new_id, new_reading

    one = new_reading("band", "gap_cm", 6.5, plot="1", taken_at="2026-05-04T09:30+02:00", person="AB")
    for number in range(count):
        plot, sample = number % _PLOTS + 1, number // _PLOTS + 1
        yield replace(one, id=new_id(), plot=str(plot), sample=sample, value=3 + number % 90 / 10)


def _main() -> None:
    from spadework.records.store.opening import create_store, open_store

    with tempfile.TemporaryDirectory() as name:
        file = Path(name) / "trial.db"
        create_store(file, "Does it keep up? (invented)", "UTC", invented=True).close()
        with open_store(file) as store:
            start, cpu = time.perf_counter(), time.process_time()
            store.add(_readings(MANY))  # type: ignore[arg-type]
            add_s, add_cpu_s = time.perf_counter() - start, time.process_time() - cpu
            times = []
            for plot in range(10, 30):
                start = time.perf_counter()
                chains = store.history(str(plot), "band", "gap_cm")
                times.append(time.perf_counter() - start)
                assert len(chains) == MANY // _PLOTS
            memory = _most_memory_mb()
            rows = store.count()
        bare_s, look_s = _bare(Path(name) / "bare.db")
        found = {
            "add_s": add_s,
            "add_cpu_s": add_cpu_s,
            "history_s": sorted(times)[len(times) // 2],
            "memory_mb": memory,
        }
        found |= {"rows": rows, "file_mb": file.stat().st_size / 1e6, "bare_s": bare_s, "bare_look_s": look_s}
        print(json.dumps(found))


def _most_memory_mb() -> float:
    """Return the most memory that this process held; what the one that started it held is not in it."""
    try:
        lines = Path("/proc/self/status").read_text("utf-8").splitlines()
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return next(float(line.split()[1]) / 1024 for line in lines if line.startswith("VmHWM:"))


def _bare(file: Path) -> tuple[float, float]:
    raw = sqlite3.connect(file)
    raw.execute("CREATE TABLE reading (id TEXT PRIMARY KEY, plot TEXT, value REAL)")
    raw.execute("CREATE INDEX plot ON reading (plot)")
    start = time.perf_counter()
    raw.executemany(
        "INSERT INTO reading VALUES (?, ?, ?)", ((f"{n:036d}", str(n % _PLOTS + 1), 6.5) for n in range(MANY))
    )
    raw.commit()
    spent = time.perf_counter() - start
    start = time.perf_counter()
    raw.execute("SELECT * FROM reading WHERE plot = '10'").fetchall()
    look = time.perf_counter() - start
    raw.close()
    return spent, look


if __name__ == "__main__":
    _main()
