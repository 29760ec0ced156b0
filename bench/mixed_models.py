"""Times the fitting of mixed models beside statsmodels and beside lme4 with pbkrtest in R."""

from __future__ import annotations

import csv
import resource
import shutil
import subprocess
import tempfile
import warnings
from collections.abc import Callable
from pathlib import Path

import numpy as np

from spadework.statistics.models.model import fit_model

Timed = Callable[..., float]
Row = Callable[[str, float, str, str, float], None]
LIMIT_S, LIMIT_BYTES = 60, 3 * 2**30
"""What R's tests at 10,000 rows may take; they are given up beyond it."""


def _crossed() -> dict[str, np.ndarray]:
    return _made(
        (4, 3, 2), ("block", "system", "slurry"), (("block", 2.0), ("block:system", 1.0), ("block:slurry", 1.5))
    )


def _nested(blocks: int, reads: int) -> dict[str, np.ndarray]:
    data = _made((blocks, 4, reads), ("block", "system", "read"), (("block", 2.0), ("block:system", 1.0)))
    return {name: column for name, column in data.items() if name != "read"}


def _made(
    sizes: tuple[int, ...], names: tuple[str, ...], spread: tuple[tuple[str, float], ...]
) -> dict[str, np.ndarray]:
    random = np.random.default_rng(5)
    codes = dict(zip(names, (axis.ravel() for axis in np.indices(sizes)), strict=True))
    size = dict(zip(names, sizes, strict=True))
    y = 12 + 0.5 * codes["system"] + random.normal(0, 1, codes["system"].size)
    for term, sd in spread:
        parts = term.split(":")
        y += random.normal(0, sd, [size[p] for p in parts])[tuple(codes[p] for p in parts)]
    return {**{name: np.char.add(name[0], codes[name].astype(str)) for name in names}, "y": y}


SETS = (
    ("strips, 24 rows", _crossed, "system * slurry", ("block", "block:system", "block:slurry")),
    ("nested, 1000 rows", lambda: _nested(25, 10), "system", ("block", "block:system")),
    ("nested, 10000 rows", lambda: _nested(100, 25), "system", ("block", "block:system")),
)


def measure(timed: Timed, row: Row) -> None:
    """Print our times beside those of others, for a fit and for a fit with its tests."""
    made = [(name, make(), fixed, random) for name, make, fixed, random in SETS]
    by_r = _in_r(made)
    for name, data, fixed, random in made:
        fit = timed(lambda d=data, f=fixed, r=random: fit_model(d, "y", f, r))
        both = timed(lambda d=data, f=fixed, r=random: fit_model(d, "y", f, r).tests())
        budget = "1000 ms" if len(data["y"]) == 10_000 else "-"
        by_statsmodels = _by_statsmodels(timed, data, fixed)
        if by_statsmodels is None:
            print(f"{'model, ' + name:<52} {fit * 1000:9.1f} ms   (pip install 'spadework[bench]' for statsmodels)")
        else:
            row(f"model, {name}: fit", fit, budget, "statsmodels MixedLM", by_statsmodels)
        if name not in by_r:
            print(f"{'model, ' + name:<52} {both * 1000:9.1f} ms   (R with lme4 and pbkrtest is not installed)")
            continue
        r_fit, r_tests = by_r[name]
        row(f"model, {name}: fit", fit, budget, "lme4 in R", r_fit)
        if np.isfinite(r_tests):
            row(f"model, {name}: fit and tests", both, budget, "lme4 and pbkrtest in R", r_fit + r_tests)
        else:
            given_up = f"pbkrtest in R: given up at {LIMIT_S} s or {LIMIT_BYTES // 2**30} GB"
            print(f"{f'model, {name}: fit and tests':<52} {both * 1000:9.1f} ms   budget {budget:<8} {given_up}")


def _by_statsmodels(timed: Timed, data: dict[str, np.ndarray], fixed: str) -> float | None:
    """Return the time [s] of one fit, the largest independent unit as its groups; None without it."""
    try:
        from statsmodels.regression.mixed_linear_model import MixedLM
    except ImportError:
        return None
    import pandas as pd

    frame = pd.DataFrame(data)
    parts = {"plot": "0 + C(system)"} | ({"strip": "0 + C(slurry)"} if "slurry" in data else {})

    def fit() -> object:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            model = MixedLM.from_formula(f"y ~ {fixed}", frame, groups="block", re_formula="1", vc_formula=parts)
            return model.fit(reml=True)

    return timed(fit, runs=3)


def _in_r(made: list[tuple[str, dict[str, np.ndarray], str, tuple[str, ...]]]) -> dict[str, tuple[float, float]]:
    """Return the times [s] of a fit and of the tests in R, by set; nothing without R."""
    program = shutil.which("Rscript")
    if program is None:
        return {}
    out: dict[str, tuple[float, float]] = {}
    with tempfile.TemporaryDirectory() as text:
        folder = Path(text)
        for name, data, _, _ in made:
            with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
                writer = csv.writer(file)
                writer.writerow(data)
                writer.writerows(zip(*(column.tolist() for column in data.values()), strict=True))
        for name, data, fixed, random in made:
            formula = f"y ~ {fixed}" + "".join(f" + (1 | {term})" for term in random)
            for tests in ("yes", "no"):
                (folder / "sets.csv").write_text(f'name,formula,tests\n"{name}","{formula}",{tests}\n', "utf-8")
                found = _run(program, folder)
                if found is not None:
                    out[name] = found
                    break
                if len(data["y"]) < 10_000:
                    return {}
    return out


def _run(program: str, folder: Path) -> tuple[float, float] | None:
    command = [program, "--vanilla", str(Path(__file__).with_name("models.R")), str(folder)]

    def limited() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (LIMIT_BYTES, LIMIT_BYTES))

    try:
        run = subprocess.run(command, capture_output=True, text=True, timeout=LIMIT_S, preexec_fn=limited, check=True)
    except (subprocess.TimeoutExpired, subprocess.CalledProcessError):
        return None
    fit, tests = run.stdout.split()[-2:]
    return float(fit), float(tests)
