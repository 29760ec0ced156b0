"""Several fields together against printed results, a reference library and exact distributions."""

from __future__ import annotations

import numpy as np
import pytest

from conftest import Check
from spadework.statistics.fields.between import scatter
from spadework.statistics.fields.pooling import chance_above, leave_one_out, pool

MADE = "worked out with R's package for pooling and by hand, for an invented set of six fields"
DIFFERENCE = [0.42, 0.10, -0.15, 0.55, 0.30, 0.05]
SE = [0.20, 0.15, 0.25, 0.30, 0.18, 0.12]

VACCINE = "13 trials of a vaccine (Colditz and others 1994; counts from memory), as R's package for pooling gives them"
# cases and others, treated and not
COUNTS = [
    (4, 119, 11, 128),
    (6, 300, 29, 274),
    (3, 228, 11, 209),
    (62, 13536, 248, 12619),
    (33, 5036, 47, 5761),
    (180, 1361, 372, 1079),
    (8, 2537, 10, 619),
    (505, 87886, 499, 87892),
    (29, 7470, 45, 7232),
    (17, 1699, 65, 1600),
    (186, 50448, 141, 27197),
    (5, 2493, 3, 2338),
    (27, 16886, 29, 17825),
]


def log_risk_ratios() -> tuple[np.ndarray, np.ndarray]:
    a, b, c, d = np.array(COUNTS, float).T
    ratio = np.log(a / (a + b) / (c / (c + d)))
    return ratio, np.sqrt(1 / a - 1 / (a + b) + 1 / c - 1 / (c + d))


def test_six_invented_fields_fixed(check: Check) -> None:
    found, apart = pool(DIFFERENCE, SE, "fixed"), scatter(DIFFERENCE, SE)
    for what, theirs, ours, last in (
        ("fixed mean", 0.159434968, found.difference, 0.5e-9),
        ("its standard error", 0.071271620, found.standard_error, 0.5e-9),
        ("Q", 6.522753, apart.q, 0.5e-6),
        ("its probability", 0.258620, apart.p, 0.5e-6),
    ):
        check(what, MADE, theirs, ours, last, kind="computed")
    assert apart.df == 5


def test_six_invented_fields_with_variance_between(check: Check) -> None:
    laird = pool(DIFFERENCE, SE, "dersimonian_laird")
    reml = pool(DIFFERENCE, SE, "reml")
    mandel = pool(DIFFERENCE, SE, "paule_mandel")
    for what, theirs, ours, last in (
        ("DerSimonian-Laird: variance between", 0.009992314, laird.between_sd**2, 0.5e-9),
        ("DerSimonian-Laird: mean", 0.172726743, laird.difference, 0.5e-9),
        ("DerSimonian-Laird: standard error", 0.084769929, laird.standard_error, 0.5e-9),
        ("DerSimonian-Laird: share of the scatter between fields", 0.23345, laird.between_share, 0.5e-5),
        ("Knapp-Hartung standard error on it", 0.086827286, laird.knapp_hartung_se, 0.5e-9),
        ("its interval, from", -0.050470, laird.interval[0], 0.5e-6),
        ("its interval, to", 0.395923, laird.interval[1], 0.5e-6),
        ("new field, from", -0.19117, laird.new_field[0], 0.5e-5),
        ("new field, to", 0.53662, laird.new_field[1], 0.5e-5),
    ):
        check(what, MADE, theirs, ours, last, kind="computed")
    early = "that package stops once a step is below 1e-5"
    for what, theirs, ours in (
        ("restricted likelihood: variance between", 0.003927249, reml.between_sd**2),
        ("restricted likelihood: mean", 0.165853738, reml.difference),
        ("restricted likelihood: standard error", 0.077060825, reml.standard_error),
        ("Knapp-Hartung standard error on it", 0.083958494, reml.knapp_hartung_se),
    ):
        check(what, MADE, theirs, ours, 1e-5, kind="computed", note=early)
    early = "that package stops its search within 1.2e-4 of the root"
    check(
        "Paule-Mandel: variance between", MADE, 0.012627532, mandel.between_sd**2, 1.2e-4, kind="computed", note=early
    )
    check("Paule-Mandel: mean", MADE, 0.174995832, mandel.difference, 1.2e-4, kind="computed", note=early)
    w = 1 / (np.square(SE) + mandel.between_sd**2)
    squares = np.sum(w * (np.array(DIFFERENCE) - mandel.difference) ** 2)
    check("Paule-Mandel: weighted squares are fields less one", "definition", 5, squares, 1e-10, kind="computed")


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_restricted_likelihood_is_that_of_the_matrices(check: Check, seed: int) -> None:
    from scipy.optimize import minimize_scalar

    random = np.random.default_rng(seed)
    y, se = random.normal(0.2, 0.4, 7), random.uniform(0.1, 0.3, 7)
    ones = np.ones((7, 1))

    def twice(between: float) -> float:
        cov = np.diag(se**2 + between)
        inverse = np.linalg.inv(cov)
        info = ones.T @ inverse @ ones
        projection = inverse - inverse @ ones @ np.linalg.inv(info) @ ones.T @ inverse
        return float(np.linalg.slogdet(cov)[1] + np.linalg.slogdet(info)[1] + y @ projection @ y)

    theirs = minimize_scalar(twice, bounds=(0, 2), method="bounded", options={"xatol": 1e-10}).x
    ours = pool(y, se, "reml").between_sd ** 2
    source = "search over the likelihood written with matrices"
    check(
        f"variance between, set {seed}", source, theirs, ours, 2e-7, kind="computed", note="flat top: 7 digits at best"
    )


def test_thirteen_trials(check: Check) -> None:
    ratio, se = log_risk_ratios()
    reml, laird = pool(ratio, se, "reml"), pool(ratio, se, "dersimonian_laird")
    for what, theirs, ours, last in (
        ("restricted likelihood: mean", -0.7145323, reml.difference, 0.5e-7),
        ("restricted likelihood: standard error", 0.1797815, reml.standard_error, 0.5e-7),
        ("restricted likelihood: variance between", 0.3132433, reml.between_sd**2, 0.5e-7),
        ("share of the scatter between trials", 0.922214, reml.between_share, 0.5e-6),
        ("Q", 152.2330, reml.scatter.q, 0.5e-4),
        ("DerSimonian-Laird: mean", -0.7141172, laird.difference, 0.5e-7),
        ("DerSimonian-Laird: standard error", 0.1787421, laird.standard_error, 0.5e-7),
        ("DerSimonian-Laird: variance between", 0.3087603, laird.between_sd**2, 0.5e-7),
    ):
        check(what, VACCINE, theirs, ours, last)


def test_alike_errors_are_the_one_sample_t(check: Check) -> None:
    from scipy import stats

    values = np.array([0.42, 0.10, -0.15, 0.55, 0.30, 0.05])
    theirs = stats.ttest_1samp(values, 0.0).confidence_interval(0.95)
    source = "fields with one standard error: the interval of a one-sample t (scipy)"
    for way in ("dersimonian_laird", "reml", "paule_mandel"):
        found = pool(values, np.full(6, 0.05), way)
        check(f"{way}: from", source, theirs.low, found.interval[0], 1e-9, kind="computed")
        check(f"{way}: to", source, theirs.high, found.interval[1], 1e-9, kind="computed")
        between = values.var(ddof=1) - 0.05**2
        check(f"{way}: variance between", "exact", between, found.between_sd**2, 1e-9, kind="computed")


def test_leaving_one_field_out_is_pooling_the_others(check: Check) -> None:
    found = leave_one_out(DIFFERENCE, SE, "fixed")
    w = 1 / np.square(SE)
    for i, one in enumerate(found):
        rest = [k for k in range(6) if k != i]
        theirs = float(np.dot(w[rest], np.array(DIFFERENCE)[rest]) / w[rest].sum())
        check(f"fixed mean without field {i + 1}", "worked out by hand", theirs, one.difference, 1e-12, kind="computed")


@pytest.mark.parametrize(
    ("apart", "df", "theirs"), [(2.015, 5, 0.95), (2.571, 5, 0.975), (1.440, 6, 0.90), (2.132, 4, 0.95)]
)
def test_chance_of_a_contrast_is_the_table_of_t(check: Check, apart: float, df: int, theirs: float) -> None:
    source = "table of t (from memory)"
    check(f"chance above nought, t {apart}, {df} df", source, theirs, chance_above(apart, 1.0, df), 1e-4, kind="memory")


def test_chance_is_the_share_of_draws_from_the_posterior(check: Check) -> None:
    # one mean of 5 readings, flat prior on mean and log variance: variance from chi-square, then mean from normal
    random = np.random.default_rng(7)
    readings = np.array([0.9, 0.2, 0.6, -0.1, 0.7])
    n, s2 = readings.size, readings.var(ddof=1)
    variance = (n - 1) * s2 / random.chisquare(n - 1, 400_000)
    mean = readings.mean() + np.sqrt(variance / n) * random.standard_normal(variance.size)
    theirs = float(np.mean(mean > 0.2))
    ours = chance_above(readings.mean(), np.sqrt(s2 / n), n - 1, 0.2)
    check(
        "chance that a mean pays",
        "400 000 draws from the posterior",
        theirs,
        ours,
        0.003,
        kind="computed",
        note="drawn",
    )
