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


def band_section() -> None:
    """Time the cut across the row over 60 days, 200 draws, beside a general-purpose finite-volume library."""
    import numpy as np

    from spadework.science.band import ammonium_section

    band = {"centre_depth_cm": 18.0, "half_height_cm": 5.5, "half_width_cm": 5.5, "row_spacing_m": 0.75}
    draws, days, cell = 200, 60, 0.25
    spreads = np.outer(np.random.default_rng(1).uniform(0.01, 0.04, draws), np.arange(1, days + 1))
    # each draw its own band: one call a draw, all days of it
    ours = timed(lambda: [ammonium_section(one, cell_cm=cell, **band) for one in spreads[:10]], runs=3) / 10 * draws
    what = f"cut across the row, {draws} draws, {days} days, 2.5 mm"
    few = 12
    solved = _by_finite_volumes(band, 0.02, few, cell)
    if solved is None:
        print(f"{what:<52} {ours * 1000:9.1f} ms   (pip install 'spadework[bench]' for the finite-volume library)")
    else:
        theirs, found = solved
        apart = float(np.max(np.abs(found - ammonium_section(0.02 * few, cell_cm=cell, **band))))
        other = f"FiPy, a step a day ({few} d of one draw timed, scaled)"
        row(what, ours, "x 0.05", other, theirs / few * days * draws)
        print(f"    largest distance between the two after {few} d: {apart:.4f} of the fresh band")
    for size in (1.0, 0.5, 0.25, 0.125):
        cells = round(37.5 / size) * round(60 / size)
        spent = timed(lambda n=size: ammonium_section(spreads[0], cell_cm=n, **band), runs=3)
        per = spent / (cells * np.log2(cells)) * 1e9
        print(f"    {cells:>7} cells: {spent * 1000:8.1f} ms, {per:6.2f} ns a cell and its logarithm")


def _by_finite_volumes(band: dict[str, float], diffusion: float, days: int, cell: float) -> tuple[float, object] | None:
    """Return the time [s] of one draw with FiPy on the same grid and from the same start, and what it finds; None without it."""
    try:
        import fipy
    except ImportError:
        return None
    from spadework.science.band import ammonium_section

    start = ammonium_section(0.0, cell_cm=cell, **band)
    layers, columns = start.shape
    mesh = fipy.Grid2D(dx=cell, dy=cell, nx=columns, ny=layers)
    share = fipy.CellVariable(mesh=mesh, value=start.ravel())
    equation = fipy.TransientTerm() == fipy.DiffusionTerm(coeff=diffusion)
    began = time.perf_counter()
    for _ in range(days):
        equation.solve(var=share, dt=1.0)
    return time.perf_counter() - began, share.value.reshape(layers, columns)


def digs() -> None:
    """Time what 1,000 digs in 40 units say, beside one likelihood searched ratio by ratio."""
    sys.path.insert(0, str(HERE / "tests"))
    import numpy as np

    from dug_up import digs_of
    from spadework.findings.digs import find_digs
    from spadework.statistics import components_reml, sort_by_unit

    draw, units = np.random.default_rng(1), np.tile(np.arange(1, 41), 25)
    gaps = 6 + draw.normal(0, 0.8, 40)[units - 1] + draw.normal(0, 1.5, 1000)
    seed, offset = 5 + draw.normal(0, 0.7, 1000), draw.normal(0, 3, 1000)
    dug = digs_of(gaps, units, seed=seed, directions=["out", "back"] * 500, offset=offset)
    ours = timed(lambda: find_digs(dug, rows=40, window_cm=(4, 8), seed_depth_cm=5))
    one = timed(lambda: components_reml(sort_by_unit(gaps, units)))
    row("digs: 1,000 in 40 units, all findings", ours, "100 ms", "one variance of these, ratio by ratio", one)


def heat() -> None:
    """Time a year of hourly warmth in many columns beside a general solver on the same layers, one column at a time."""
    import numpy as np
    from scipy.integrate import solve_ivp

    from spadework.science.seedbed.heat.columns import layer_edges
    from spadework.science.seedbed.heat.conduction import conduct_from_surface

    columns, hours, few = 1_000, 8_760, 720
    edges = layer_edges(1, 10, 100, 1.2)
    random = np.random.default_rng(1)
    conductivity, held = random.uniform(0.5, 1.5, (columns, 1)), random.uniform(1.5e6, 2.5e6, (columns, 1))
    clock = np.arange(hours + 1)
    surface = 10 - 8 * np.cos(2 * np.pi * clock / hours) + 6 * np.sin(2 * np.pi * clock / 24)
    ours = timed(lambda: conduct_from_surface([10.0], surface, conductivity, held, edges, [5, 10]), runs=3)
    thick = np.diff(edges) / 100
    half = thick / 2 / conductivity[0]
    through = 1 / (half[1:] + half[:-1])
    flow = (
        np.diag(np.append(through, 0) + np.insert(through, 0, 1 / half[0])) - np.diag(through, 1) - np.diag(through, -1)
    )
    change = -flow / (held[0] * thick)[:, np.newaxis]
    push = np.zeros(len(thick))
    push[0] = 1 / half[0] / (held[0, 0] * thick[0])

    def general() -> object:
        return solve_ivp(
            lambda t, degc: change @ degc + push * np.interp(t / 3600, clock, surface), (0, few * 3600),
            np.full(len(thick), 10.0),
            method="BDF", jac=change, t_eval=clock[: few + 1] * 3600.0, max_step=3600, rtol=1e-3, atol=1e-3,
        )  # fmt: skip

    theirs = timed(general, runs=3) * columns * hours / few
    what = f"warmth, {columns} columns, {len(thick)} layers, a year of hours"
    row(what, ours, "5 s", "scipy solve_ivp BDF (one column, a month, scaled)", theirs)


def models() -> None:
    """Time the fitting of mixed models beside statsmodels and beside lme4 with pbkrtest in R."""
    from mixed_models import measure

    measure(timed, row)


def readings() -> None:
    """Time a million readings into the store, and the history of one plot, beside SQLite used bare."""
    from readings_kept import measure

    measure(timed, row)


if __name__ == "__main__":
    help_page()
    estimate_warm()
    estimate_whole()
    supply()
    ammonia_course()
    band_section()
    digs()
    heat()
    models()
    readings()
