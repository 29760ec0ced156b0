"""Mixed models and comparisons held against published data sets and general statistics software.

R: version 4.2.2 with lme4 1.1-31, lmerTest 3.1-3, pbkrtest 0.5.2, emmeans 1.8.4, mvtnorm; figures as they were printed
there.  Its search for the variances ends early (differences of 2e-5), which widens the tolerance where they count.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from spadework.statistics.models.comparisons import (
    against_one,
    all_pairs,
    dunnett_factor,
    dunnett_p,
    tukey_factor,
    tukey_p,
)
from spadework.statistics.models.model import Model, fit_model
from spadework.statistics.models.small_sample import Combined, combine

R = "R 4.2.2 with lme4 1.1-31, lmerTest 3.1-3, pbkrtest 0.5.2, emmeans 1.8.4"
YATES = "Yates (1935), oats; " + R
DATA = Path(__file__).parent / "data"
STRIPS = {  # invented whole numbers: systems C, P, S with manure B, I in four blocks
    1: {"C": (87, 88), "P": (88, 91), "S": (98, 102)},
    2: {"C": (108, 112), "P": (105, 105), "S": (111, 119)},
    3: {"C": (111, 105), "P": (110, 110), "S": (112, 113)},
    4: {"C": (98, 109), "P": (105, 114), "S": (113, 127)},
}
EVEN = "12,15 11,14 13,12 15,11 13,16 12,14 10,14 15,11 16,12 14,12 12,15 11,16"


def table(name: str, *numbers: str) -> dict[str, np.ndarray]:
    lines = [line for line in (DATA / f"{name}.csv").read_text("utf-8").splitlines() if not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    return {key: np.array([float(r[key]) if key in numbers else r[key] for r in rows]) for key in rows[0]}


def strips() -> dict[str, np.ndarray]:
    rows = [
        (str(b), t, m, float(v))
        for b, d in STRIPS.items()
        for t, two in d.items()
        for m, v in zip("BI", two, strict=True)
    ]
    return {key: np.array([row[i] for row in rows]) for i, key in enumerate(("block", "system", "manure", "yield"))}


def even() -> dict[str, np.ndarray]:
    values = [float(v) for pair in EVEN.split() for v in pair.split(",")]
    data = strips()
    return {**data, "yield": np.array(values)}


def oats(*, left_out: tuple[int, ...] = ()) -> Model:
    data = {key: np.delete(column, left_out) for key, column in table("oats_yates_1935", "yield").items()}
    return fit_model(data, "yield", "variety * nitrogen", ["block", "block:variety"])


def relative(check, what, source, theirs, ours, share, **said):
    check(what, source, theirs, ours, abs(theirs) * share, **said)


def test_split_plot_variances(check):
    model = oats()
    for name, theirs in zip(("block", "block:variety", "residual"), (214.477083, 106.061806, 177.083333), strict=True):
        relative(check, f"oats, variance of {name}", "Yates (1935); from the mean squares", theirs,
                 model.fitted.variance(name), 1e-8, kind="computed")  # fmt: skip
    check("oats, restricted log-likelihood", YATES, -264.5142535, model.fitted.log_likelihood, 1e-6)


@pytest.mark.parametrize("way", ["kenward-roger", "satterthwaite"])
@pytest.mark.parametrize(
    ("term", "f", "df", "rest", "p"),
    [
        (("variety",), 1.48534, 2, 10, 0.27239),
        (("nitrogen",), 37.68565, 3, 45, 2.4577e-12),
        (("variety", "nitrogen"), 0.30282, 6, 45, 0.9322),
    ],
)
def test_split_plot_tests(check, way, term, f, df, rest, p):
    found = oats().test(term, way)
    what = f"oats, {':'.join(term)}, {way}"
    check(f"{what}: F", YATES, f, found.f, 5e-6)
    check(f"{what}: degrees of freedom", YATES, rest, found.df_rest, 1e-4)
    check(f"{what}: chance", YATES, p, found.p, 5e-5 * p + (5e-6 if p > 1e-3 else 0))
    assert found.df == df


def test_split_plot_means(check):
    model = oats()
    for names, means, se, df in (
        ("variety", (104.5, 109.791667, 97.625), 7.79758, 8.87),
        ("nitrogen", (79.38889, 98.88889, 114.22222, 123.38889), 7.17475, 6.79),
    ):
        found = model.means(names).found
        for label, theirs, ours in zip(model.design.levels[names], means, found.estimate, strict=True):
            check(f"oats, mean of {label}", YATES, theirs, ours, 5e-6)
        check(
            f"oats, standard error of a mean of {names}", YATES, se, found.se[0], 1e-4, note="their search ends early"
        )
        check(f"oats, degrees of freedom of a mean of {names}", YATES, df, found.df[0], 0.005)


def test_split_plot_differences(check):
    model = oats()
    v, n, both = model.means("variety"), model.means("nitrogen"), model.means("variety", "nitrogen")
    pairs = (
        ("two varieties", v.weights[1] - v.weights[0], 7.078902, 10),
        ("two nitrogen rates", n.weights[1] - n.weights[0], 4.435752, 45),
        ("two varieties at one rate", both.weights[4] - both.weights[0], 9.7150204, 30.23),
    )
    for what, weights, se, df in pairs:
        found = combine(model.fitted, weights[np.newaxis])
        relative(check, f"oats, standard error of the difference of {what}", YATES, se, found.se[0], 1e-6)
        check(f"oats, degrees of freedom for {what}", YATES, df, found.df[0], 0.005)
    tukey = float(tukey_factor(4, 45, 0.95)) * 4.435752
    check("oats, honest significant difference of nitrogen", YATES, 11.83326, tukey, 2e-5)
    check(
        "oats, honest significant difference of varieties",
        YATES,
        19.40536,
        float(tukey_factor(3, 10, 0.95)) * 7.078902,
        2e-5,
    )


MISSING = {
    "kenward-roger": ((33.19731, 43.260062), (1.56263, 9.975211), (0.27061, 43.242468)),
    "satterthwaite": ((33.29463, 42.866420), (1.56342, 9.886742), (0.27066, 42.849243)),
}


@pytest.mark.parametrize("way", MISSING)
def test_split_plot_with_two_plots_missing(check, way):
    model = oats(left_out=(0, 39))
    terms = (("nitrogen",), ("variety",), ("variety", "nitrogen"))
    for term, (f, rest) in zip(terms, MISSING[way], strict=True):
        found = model.test(term, way)
        what = f"oats, two plots missing, {':'.join(term)}, {way}"
        relative(check, f"{what}: F", YATES, f, found.f, 1e-4)
        relative(check, f"{what}: degrees of freedom", YATES, rest, found.df_rest, 1e-4)


def test_means_with_two_plots_missing(check):
    found = oats(left_out=(0, 39)).means("variety").found
    for theirs, ours in zip((104.5, 109.791667, 97.077969), found.estimate, strict=True):
        relative(check, "oats, two plots missing, mean of a variety", YATES, theirs, ours, 1e-5)
    for theirs, ours in zip((7.8652408, 7.8652408, 7.9234426), found.se, strict=True):
        relative(check, "oats, two plots missing, standard error of a mean", YATES, theirs, ours, 1e-5)


def test_penicillin_crossed(check):
    model = fit_model(table("penicillin_davies_1972", "diameter"), "diameter", "", ["plate", "sample"])
    source = "Davies and Goldsmith (1972), penicillin; " + R
    for name, theirs in (("plate", 0.71690514), ("sample", 3.73113184), ("residual", 0.30241496)):
        relative(check, f"penicillin, variance of {name}", source, theirs, model.fitted.variance(name), 1e-4,
                 note="their search ends early")  # fmt: skip
    check("penicillin, criterion", source, 330.860589, -2 * model.fitted.log_likelihood, 1e-6)
    relative(check, "penicillin, mean", source, 22.972222, model.fitted.effects[0], 1e-7)
    relative(
        check, "penicillin, standard error of the mean", source, 0.8085954, np.sqrt(model.fitted.covariance[0, 0]), 1e-4
    )


def test_criss_cross(check):
    model = fit_model(strips(), "yield", "system * manure", ["block", "block:system", "block:manure"])
    for name, theirs in (
        ("block", 70.9479),
        ("block:system", 10.3328),
        ("block:manure", 13.6390),
        ("residual", 2.90283),
    ):
        relative(check, f"criss-cross strips, variance of {name}", R, theirs, model.fitted.variance(name), 1e-4)
    check("criss-cross strips, restricted log-likelihood", R, -57.33883, model.fitted.log_likelihood, 5e-6)
    for term, f, rest, p in ((("system",), 9.29699, 6, 0.014520), (("manure",), 2.28304, 3, 0.22797),
                             (("system", "manure"), 3.7177, 6, 0.089064)):  # fmt: skip
        found = model.test(term)
        check(f"criss-cross strips, {':'.join(term)}: F", R, f, found.f, 6e-6 if f > 5 else 5e-6)
        check(f"criss-cross strips, {':'.join(term)}: degrees of freedom", R, rest, found.df_rest, 1e-4)
        check(f"criss-cross strips, {':'.join(term)}: chance", R, p, found.p, 5e-6)
    cells = model.means("system", "manure")
    for what, first, second, se, df in (
        ("two systems at one manure", ("C", "B"), ("S", "B"), 2.5725, 7.456),
        ("two manures in one system", ("S", "B"), ("S", "I"), 2.8759, 3.814),
    ):
        found = combine(model.fitted, [cells.weights[cells.row(*first)] - cells.weights[cells.row(*second)]])
        check(f"criss-cross strips, standard error of {what}", R, se, found.se[0], 1e-4)
        check(f"criss-cross strips, degrees of freedom for {what}", R, df, found.df[0], 1e-3)
    mean = model.means("system").found
    check("criss-cross strips, standard error of a mean", R, 4.7315, mean.se[0], 5e-5)
    check("criss-cross strips, degrees of freedom of a mean", R, 3.588, mean.df[0], 5e-4)


def test_wrong_label_of_the_same_data(check):
    model = fit_model(strips(), "yield", "system * manure", ["block", "block:system"])
    found = model.test(("manure",))
    check("the same strips taken for a split-plot, manure: F", R, 6.04786, found.f, 5e-6)
    check("the same strips taken for a split-plot, manure: chance", R, 0.036204, found.p, 5e-7)
    for name, theirs in (("block", 77.76424), ("block:system", 3.51389), ("residual", 16.54165)):
        relative(
            check, f"the same strips as a split-plot, variance of {name}", R, theirs, model.fitted.variance(name), 1e-5
        )


def test_variances_at_nought(check):
    model = fit_model(even(), "yield", "system * manure", ["block", "block:system"])
    assert model.fitted.at_zero.all()
    assert len(model.notes) == 2
    check("nothing between plots, residual variance", R, 4.0277778, model.fitted.variance("residual"), 5e-8)
    for term, f, rest in ((("system",), 0.13448, 6), (("manure",), 0.66207, 9), (("system", "manure"), 0.13448, 9)):
        found = model.test(term)
        check(f"nothing between plots, {':'.join(term)}: F", R, f, found.f, 5e-6)
        check(f"nothing between plots, {':'.join(term)}: degrees of freedom", R, rest, found.df_rest, 1e-6)


RANGE = {(3, 4): 5.0402, (3, 6): 4.3392, (3, 10): 3.8768, (3, 45): 3.4275, (4, 6): 4.8956, (4, 20): 3.9583,
         (5, 10): 4.6543, (6, 20): 4.4452, (10, 10): 5.5984, (2, 10): 3.1511}  # fmt: skip


@pytest.mark.parametrize(("means", "df"), RANGE)
def test_studentised_range(check, means, df):
    ours = float(tukey_factor(means, df, 0.95)) * 2**0.5
    check(
        f"studentised range, {means} means, {df} degrees of freedom, 95 %",
        "R 4.2.2, qtukey",
        RANGE[means, df],
        ours,
        6e-5,
    )


DUNNETT = {6: (2.863, 3.098, 3.263), 10: (2.569, 2.758, 2.890), 20: (2.379, 2.542, 2.650), 45: (2.284, 2.431, 2.531)}


@pytest.mark.parametrize("df", DUNNETT)
def test_several_against_one(check, df):
    for many, theirs in zip((2, 3, 4), DUNNETT[df], strict=True):
        equal = Combined(np.ones(many), np.ones(many), np.full(many, float(df)), 0.5 * (np.eye(many) + 1))
        check(f"Dunnett's factor, {many} against one, {df} degrees of freedom", "R 4.2.2, mvtnorm (integrated at random)",
              theirs, dunnett_factor(equal, 0.95), 0.002)  # fmt: skip


def test_plants_against_a_control(check):
    data = table("plant_growth_dobson_1983", "weight")
    model = fit_model(data, "weight", "group")
    found = model.test(("group",))
    source = "Dobson (1983), plant growth; R 4.2.2"
    check("plant growth: F", source, 4.84609, found.f, 5e-6)
    check("plant growth: chance", source, 0.01591, found.p, 5e-6)
    check("plant growth: residual variance", source, 0.3885959, model.fitted.variance("residual"), 5e-8)
    means = model.means("group")
    every = combine(model.fitted, all_pairs(means.weights).weights)
    for theirs, ours in zip((0.39087, 0.19800, 0.01200642), tukey_p(every.t(), 3, every.df), strict=True):
        check("plant growth: chance of a pair", source, theirs, ours, 6e-6)
    few = combine(model.fitted, against_one(means.weights, 0).weights)
    for theirs, ours in zip((0.32273, 0.15346), dunnett_p(few), strict=True):
        check("plant growth: chance against the control", "scipy.stats.dunnett", theirs, ours, 1e-4)


def test_range_of_many_means_and_many_differences_from_one(check):
    """Against the general software's own studentised range, and against quadrature where one serves as well as draws."""
    import scipy
    from scipy.stats import studentized_range

    from spadework.statistics.models.at_once import all_within, largest_of_many

    source = f"scipy {scipy.__version__}, studentised range"
    for means, df, q in ((3, 1, 12.0), (3, 6, 4.3392), (10, 20, 5.0079), (40, 117, 5.2), (40, 3, 9.0)):
        what = f"chance that {means} means range over {q:g} standard errors, {df} degrees of freedom"
        check(what, source, float(studentized_range.sf(q, means, df)), float(tukey_p(q / 2**0.5, means, df)), 1e-6)
    many = np.linspace(4.0, 90.0, 40)  # more than are searched for one by one
    for at, ours in zip(many[::13], tukey_factor(12, many, 0.95)[::13], strict=True):
        theirs = float(studentized_range.ppf(0.95, 12, at)) / 2**0.5
        check(f"factor of 12 means, {at:.4g} degrees of freedom, by interpolation", source, theirs, float(ours), 2e-5)
    even = np.full((12, 12), 0.5) + np.eye(12) / 2
    drawn = largest_of_many(even, 10.0)
    for bound in (2.0, 3.0, 4.0):
        share = float(np.searchsorted(drawn, bound) / drawn.size)
        check(
            f"12 t with correlations of a half, all within {bound:g}: draws against quadrature",
            "exact: integral over the shared part", all_within(bound, even, 10.0), share, 0.0015, kind="computed",
        )  # fmt: skip
