"""Measures speed beside general-purpose alternatives in the same run, and prints the ratios.

Absolute times depend on the machine and on what else it does; the ratios say more.  Nothing here is a test.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

HERE = Path(__file__).resolve().parent.parent
RUNS = 7


def timed(work: Callable[[], object], runs: int = RUNS) -> float:
    """Return the median time of some runs after a warm-up [s]."""
    work()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def process(*command: str) -> Callable[[], object]:
    """Return work that runs a whole command and throws its output away."""
    return lambda: subprocess.run(command, check=True, capture_output=True)


def row(what: str, ours: float, budget: str, other: str, theirs: float) -> None:
    """Print one line: our time, the budget, the alternative and the ratio."""
    print(
        f"{what:<52} {ours * 1000:9.1f} ms   budget {budget:<8} {other:<44} {theirs * 1000:9.1f} ms   x {ours / theirs:.3g}"
    )


def help_page() -> None:
    """Time the help page of the command beside the bare interpreter."""
    spadework = str(Path(sys.executable).with_name("spadework"))
    bare = timed(process(sys.executable, "-c", "import typer"))
    row(
        "spadework --help, whole process",
        timed(process(spadework, "--help")),
        "150 ms",
        "python -c 'import typer'",
        bare,
    )


def estimate_warm() -> None:
    """Time an estimate with workings beside a plain loop over draws, one call a draw."""
    from spadework.estimate import estimate
    from spadework.plan import read

    plan = read(Path(str(files("spadework.demo") / "plan.toml")))
    ours = timed(lambda: estimate(plan, draws=2_000))
    few = 20
    loop = timed(lambda: [estimate(plan, draws=1) for _ in range(few)], runs=3) / few * 2_000
    row(
        "estimate, 4 systems, 2000 draws, with workings",
        ours,
        "300 ms",
        "the same, one call a draw (20 timed, scaled)",
        loop,
    )
    for draws in (2_000, 20_000, 200_000):
        spent = timed(lambda n=draws: estimate(plan, draws=n), runs=3)
        print(f"    {draws:>7} draws: {spent * 1000:8.1f} ms, {spent / draws * 1e6:6.1f} us a draw")


def estimate_whole() -> None:
    """Time the whole command beside importing pandas."""
    spadework = str(Path(sys.executable).with_name("spadework"))
    plan = str(files("spadework.demo") / "plan.toml")
    other = timed(process(sys.executable, "-c", "import pandas"), runs=5)
    whole = timed(process(spadework, "estimate", plan, "--draws", "2000"), runs=5)
    row("spadework estimate, whole process", whole, "1500 ms", "python -c 'import pandas'", other)


def supply() -> None:
    """Time the earliest times of feeders and outfit for all draws beside a run of events for each draw."""
    import numpy as np

    from spadework.science.machinery import SupplyDay, fed_link, simulate

    draws, few = 2_000, 20
    away, flow, fill, road = (np.random.default_rng(n).uniform(*at, draws) for n, at in enumerate(_MINUTES))
    ours = timed(lambda: fed_link(14.4, 21.6, 2.0, away, flow, 2.0, fill, road))
    day = SupplyDay(
        way="feeders", load_m3=14.4, dose_m3_ha=29.4, spread_h_ha=0.3, hours=40, filling_m3_min=6, connect_min=2,
        distance_km=1.8, speed_full_km_h=25, speed_empty_km_h=35, feeders=2, feeder_load_m3=21.6, transfer_m3_min=6,
    )  # fmt: skip
    theirs = timed(lambda: [simulate(day) for _ in range(few)], runs=3) / few * draws
    row("supply by feeders, 2000 draws", ours, "-", "a run of 160 loads with SimPy, each (20 timed, scaled)", theirs)


_MINUTES = ((8, 14), (5, 7), (4, 9), (6, 12))
"""Least and most of: away from the feeder, flow, filling at the store, road."""


def ammonia_course() -> None:
    """Time 168 hours of ammonia for many draws and starts beside as many calls of numpy's exp."""
    import numpy as np

    from spadework.science.slurry import ammonia_two_pool_hafner, hafner_r1_centre

    starts, draws, hours = 24, 500, 168
    random = np.random.default_rng(1)
    air, wind = random.uniform(5, 20, (starts, 1, hours)), random.uniform(1, 6, (starts, 1, hours))
    fast = random.uniform(0.2, 0.6, (1, draws))
    centre = hafner_r1_centre(random.uniform(0.03, 0.09, (1, draws)), 7.4, 0.0)
    ours = timed(lambda: ammonia_two_pool_hafner(air, wind, 0.0, fast, centre, 6e-4), runs=3)
    x = random.uniform(-5, 0, (starts, draws, hours))
    theirs = timed(lambda: np.exp(x), runs=3)
    row(
        f"ammonia course, {starts} starts, {draws} draws, {hours} h",
        ours,
        "x 3",
        "numpy exp, one an hour",
        theirs,
    )


if __name__ == "__main__":
    help_page()
    estimate_warm()
    estimate_whole()
    supply()
    ammonia_course()
