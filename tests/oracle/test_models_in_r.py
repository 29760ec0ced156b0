"""Mixed models held against R on 200 invented data sets with plots missing, in one run of R.

What is compared: variances, restricted likelihood, tests after Kenward and Roger and after Satterthwaite for every fixed
term, marginal means with standard errors and degrees of freedom.  The models in R count their fixed columns from the mean
of the labels, ours from the first label; tests and means must not depend on that.
"""

from __future__ import annotations

import csv
import shutil
import subprocess
from collections import Counter, defaultdict
from pathlib import Path

import pytest

from models_made import KINDS, MadeSet, made, write_for_r
from spadework.statistics.models.model import Model, fit_model

SCRIPT = Path(__file__).with_name("models.R")
SHARE = 1e-4
"""Largest deviation from R: of a variance against all variances together, of anything else against itself."""
Found = dict[str, dict[str, float]]
Deviations = dict[tuple[str, str], list[tuple[float, float, float]]]
NAMES = {
    "variance": "variances, against their sum",
    "likelihood": "restricted log-likelihood",
    "mean of": "marginal means",
    "error of": "standard errors of marginal means",
    "freedom of": "degrees of freedom of marginal means",
}
PARTS = {"f": "F", "df": "degrees of freedom", "rest": "degrees of freedom of the rest", "p": "chance"}


def run_r(sets: list[MadeSet], folder: Path) -> tuple[dict[str, Found], str]:
    program = shutil.which("Rscript")
    if program is None:
        pytest.skip("Rscript is not installed")
    write_for_r(sets, folder)
    run = subprocess.run([program, "--vanilla", str(SCRIPT), str(folder)], capture_output=True, text=True, check=False)
    if run.returncode == 3:
        pytest.skip(run.stdout.strip())
    assert run.returncode == 0, run.stderr
    found: dict[str, Found] = defaultdict(lambda: defaultdict(dict))
    with (folder / "found.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            assert row["kind"] != "failed", f"{row['set']}: {row['name']}"
            found[row["set"]][row["kind"]][row["name"]] = float(row["value"])
    return found, (folder / "versions.txt").read_text("utf-8").strip()


def ours_of(one: MadeSet, model: Model, kind: str) -> dict[str, float]:
    """Return our figures of one kind by the names that R gives them."""
    if kind == "variance":
        return dict(zip(model.fitted.names, model.fitted.variances.tolist(), strict=True))
    if kind == "likelihood":
        return {"": model.fitted.log_likelihood}
    way, _, part = kind.partition(" ")
    if way in ("kenward-roger", "satterthwaite"):
        part = {"rest": "df_rest"}.get(part, part)
        return {":".join(term): getattr(test, part) for term, test in model.tests(way).items()}
    what, wanted = kind.split(" of ")
    means = model.means(*wanted.split(":"))
    values = {"mean": means.found.estimate, "error": means.found.se, "freedom": means.found.df}[what]
    return {":".join(labels): float(value) for labels, value in zip(means.labels, values, strict=True)}


def short_parts(theirs: Found) -> set[str]:
    """Return the terms for whose test lmerTest says 2 degrees of freedom: a part of the test has no more than that.

    Fai and Cornelius (1996) leave such a part out of the mean that they match, as we do.
    """
    return {name for name, rest in theirs["satterthwaite rest"].items() if rest == 2}


def said(kind: str) -> str:
    way, _, part = kind.partition(" ")
    if way in ("kenward-roger", "satterthwaite"):
        return f"{way.title().replace('-R', ' and R')}, {PARTS[part]}"
    return NAMES[kind if kind in NAMES else way + " of"]


def test_models_against_r(check, tmp_path):
    sets = list(made())
    assert len(sets) == sum(many for _, _, many in KINDS) == 200
    found, versions = run_r(sets, tmp_path)
    print(versions)
    worst: Deviations = defaultdict(list)
    better, at_zero, left_out = [], 0, 0
    counted = Counter(one.name.rsplit(" ", 1)[0] for one in sets)
    for one in sets:
        theirs = found[one.name]
        model = fit_model(one.data, "y", one.fixed, one.random, one.residual or None)
        at_zero += bool(model.fitted.at_zero.any())
        better.append(-2 * model.fitted.log_likelihood + 2 * theirs["likelihood"][""])
        short = short_parts(theirs) if not one.residual else set()
        left_out += len(short)
        for kind, values in theirs.items():
            ours = ours_of(one, model, kind)
            assert ours.keys() == values.keys()
            total = sum(values.values()) if kind == "variance" else None
            for name, value in values.items():
                if kind in ("satterthwaite rest", "satterthwaite p") and name in short:
                    continue
                size = total or abs(value)
                worst[one.name.rsplit(" ", 1)[0], said(kind)].append(
                    (abs(ours[name] - value) / size, value, ours[name])
                )
    assert at_zero >= 50  # of the sets, some variance is nought
    assert left_out <= 10
    check(
        f"{len(sets)} sets, {at_zero} with a variance of nought: smallest criterion, ours less theirs, the largest of all",
        versions, 0.0, max(0.0, *better), 1e-6, note="ours may be smaller, where their search ends early",
    )  # fmt: skip
    for (design, what), each in worst.items():
        check(
            f"{design}, {counted[design]} sets: {what}, largest deviation of {len(each)}, as a share",
            versions, 0.0, max(each)[0], SHARE,
        )  # fmt: skip
