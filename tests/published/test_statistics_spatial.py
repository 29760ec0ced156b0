"""Neighbours on the grid held against general statistics software, exact maps, and programs made apart from these."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import numpy as np

from spadework.statistics.models.comparisons import all_pairs
from spadework.statistics.models.model import fit_model
from spadework.statistics.models.small_sample import combine
from spadework.statistics.models.terms import fixed_design
from spadework.statistics.residuals.neighbours import Papadakis, papadakis
from spadework.statistics.residuals.on_map import moran_i
from spadework.statistics.residuals.spatial import SpatialFit, fit_spatial

DATA = Path(__file__).parent / "data"
WHEAT = "Stroup and others (1994), wheat"
NLME = "R 4.2.2, nlme 3.1-162"
APART = f"{WHEAT}; a program with full matrices, made apart from this one and held against {NLME}"
ALONG = (52, 55, 61, 58, 66, 63, 60, 57, 49, 51, 54, 60, 65, 70, 68, 61, 59, 62, 56, 50)  # invented


@cache
def wheat() -> tuple[dict[str, np.ndarray], np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    lines = [x for x in (DATA / "wheat_stroup_1994.csv").read_text("utf-8").splitlines() if not x.startswith("#")]
    rows = list(csv.DictReader(lines))
    data = {key: np.array([r[key] for r in rows]) for key in ("block", "variety")}
    data["yield"] = np.array([float(r["yield"]) for r in rows])
    row = np.round([float(r["latitude"]) / 4.3 for r in rows])
    column = np.round([float(r["longitude"]) / 1.2 for r in rows])
    design = fixed_design(data, [("variety",)])
    means = np.stack([design.at({"variety": name}) for name in design.levels["variety"]])
    return data, design.columns, row, column, all_pairs(means).weights


def fitted(**said: object) -> SpatialFit:
    data, x, row, column, _ = wheat()
    return fit_spatial(data["yield"], x, row, column, **said)


def mean_sed(found: SpatialFit | Papadakis) -> float:
    return float(found.se(wheat()[4]).mean())


def test_without_neighbours(check):
    data, *_, pairs = wheat()
    plain = fit_model(data, "yield", "variety").fitted
    check(
        "wheat, plots independent: restricted log-likelihood",
        f"{WHEAT}; {NLME}",
        -620.370894,
        plain.log_likelihood,
        1e-6,
    )
    sed = np.sqrt(np.einsum("ka,ab,kb->k", pairs, plain.covariance, pairs)).mean()
    check("wheat, plots independent: standard error of a difference", f"{WHEAT}; {NLME}", 5.453, sed, 5.1e-4)
    blocks = fit_model(data, "yield", "variety", ["block"]).fitted
    check(
        "wheat, blocks at random: restricted log-likelihood",
        f"{WHEAT}; {NLME}",
        -608.850766,
        blocks.log_likelihood,
        1e-6,
    )
    fixed = fit_model(data, "yield", "variety + block")
    source = f"{WHEAT}; R 4.2.2, aov"
    check("wheat, blocks fixed: residual mean square", source, 49.58237, fixed.fitted.variance("residual"), 5.1e-6)
    test = fixed.test(("variety",))
    check("wheat, blocks fixed: F of varieties", source, 0.875, test.f, 5.1e-4)
    check("wheat, blocks fixed: chance", source, 0.71, test.p, 5.1e-3)
    weights = fixed.means("variety").weights
    one = combine(fixed.fitted, (weights[1] - weights[0])[np.newaxis], "satterthwaite")
    check("wheat, blocks fixed: standard error of a difference", source, 4.97907, one.se[0], 5.1e-6)
    check("wheat, blocks fixed: degrees of freedom", source, 165, test.df_rest, 1e-9)


def test_neighbours_alike(check):
    found = fitted(nugget=False)
    for what, theirs, ours, near in (
        ("restricted log-likelihood", -553.705450, found.log_likelihood, 2e-6),
        ("correlation from row to row", 0.437, found.rho_rows, 6e-4),
        ("correlation from column to column", 0.656, found.rho_columns, 6e-4),
        ("mean standard error of a difference", 2.922, mean_sed(found), 6e-4),
    ):
        check(f"wheat, neighbours alike: {what}", APART, theirs, ours, near, kind="computed")
    assert found.agreed == (4, 4)


def test_neighbours_alike_with_a_part_of_its_own(check):
    found = fitted()
    for what, theirs, ours, near in (
        ("restricted log-likelihood", -533.598919, found.log_likelihood, 2e-6),
        ("correlation from row to row", 0.8495, found.rho_rows, 1e-4),
        ("correlation from column to column", 0.9296, found.rho_columns, 1e-4),
        ("share of a plot's own", 0.2097, found.nugget_share, 1e-4),
        ("mean standard error of a difference", 2.9229, mean_sed(found), 1e-4),
    ):
        check(f"wheat, with a part of its own for each plot: {what}", APART, theirs, ours, near, kind="computed")


def test_given_correlations(check):
    found = fitted(held=(0.9, 0.9, 0.2))
    source = f"{WHEAT}; {NLME}, gls with correlation given"
    check("wheat, correlations of 0.9 and a fifth of its own: restricted log-likelihood", source, -534.774270419,
          found.log_likelihood, 1e-7)  # fmt: skip
    check("the same, variance", source, 61.7480697564, found.variance, 1e-6)
    check("the same, mean standard error of a difference", source, 2.93473707509, mean_sed(found), 1e-8)
    assert found.parameters == 1


def test_along_one_row_of_strips(check):
    x = np.column_stack([np.ones(20), np.tile([0.0, 1.0], 10)])
    found = fit_spatial(np.array(ALONG, dtype=float), x, np.ones(20), np.arange(20), nugget=False)
    source = f"invented whole numbers; {NLME}, gls with corAR1"
    for what, theirs, ours, near in (
        ("restricted log-likelihood", -55.3083254826, found.log_likelihood, 1e-8),
        ("correlation", 0.759153760131, found.rho_columns, 2e-6),
        ("variance", 51.6945029876, found.variance, 5e-4),
        ("mean", 57.0803262148, found.effects[0], 1e-5),
        ("difference", -0.2233286619, found.effects[1], 1e-5),
        ("standard error of the mean", 3.83721963657, np.sqrt(found.covariance[0, 0]), 5e-5),
        ("standard error of the difference", 1.21628206302, np.sqrt(found.covariance[1, 1]), 5e-6),
    ):
        check(f"strips in one row, neighbours alike: {what}", source, theirs, ours, near)
    own = fit_spatial(np.array(ALONG, dtype=float), x, np.ones(20), np.arange(20))
    check("strips in one row, with a part of their own: restricted log-likelihood", source, -55.308325487,
          own.log_likelihood, 1e-7, note="no part of its own is found")  # fmt: skip


def test_residuals_of_neighbours_as_covariates(check):
    data, x, row, column, _ = wheat()
    found = papadakis(data["yield"], x, row, column)
    source = f"{WHEAT}; R 4.2.2, lm"
    check("wheat, neighbours' residuals, slope in the row", source, 0.5590, found.slopes[0], 5.1e-5, kind="computed")
    check("wheat, neighbours' residuals, slope in the column", source, 0.4901, found.slopes[1], 5.1e-5, kind="computed")
    check(
        "wheat, neighbours' residuals, residual mean square",
        source,
        26.3619,
        found.residual_ms,
        5.1e-5,
        kind="computed",
    )
    check("wheat, neighbours' residuals, mean standard error of a difference", source, 3.652, mean_sed(found), 5.1e-4,
          kind="computed")  # fmt: skip


def test_likeness_on_maps_that_are_known(check):
    row, column = np.divmod(np.arange(48), 8)
    board = (row + column) % 2
    check("Moran's I of a chessboard", "exact: every neighbour is the opposite", -1, moran_i(board, row, column), 1e-12)
    halves = (row >= 3).astype(float)  # 82 pairs of neighbours, 8 of them across the border
    check("Moran's I of a map in two halves", "exact: (pairs alike - pairs unlike) / pairs", (74 - 8) / 82,
          moran_i(halves, row, column), 1e-12)  # fmt: skip
