"""Variances, limits and numbers of digs against printed tables, worked examples and exact formulas."""

from __future__ import annotations

import numpy as np
import pytest

from conftest import Check
from spadework import statistics as st

PLACEMENT = "worked out for the invented test set of 8 units with 3 digs"
DIGS = """6.1 5.4 6.8 7.2 6.6 7.9 4.9 5.6 5.2 6.0 6.9 6.3 5.1 4.4 5.8 7.0 6.2 6.5 5.9 6.4 5.5 6.6 7.4 6.9"""
DYE = """1545 1440 1440 1520 1580 1540 1555 1490 1560 1495 1595 1550 1605 1510 1560
1445 1440 1595 1465 1545 1595 1630 1515 1635 1625 1520 1455 1450 1480 1445"""
DYE_SOURCE = "Davies and Goldsmith (1972), yield of dyestuff by batch (from memory)"
MADE = """7.298 3.846 2.434 9.566 7.990 5.220 6.556 0.608 11.788 -0.892 0.110 10.386 13.434 5.510 8.166
2.212 4.852 7.092 9.288 4.980 0.282 9.014 4.458 9.446 7.198 1.722 4.782 8.106 0.758 3.758"""
MADE_SOURCE = "Box and Tiao (1973), made-up data whose batches differ less than chance (from memory)"

# n; one-sided factor for shares .90, .95, .99; two-sided exact factor for the same; confidence .95
FACTORS = [
    (5, (3.4066, 4.2027, 5.7411), (4.2906, 5.0769, 6.5980)),
    (8, (2.5819, 3.1873, 4.3539), (3.1560, 3.7455, 4.8892)),
    (10, (2.3546, 2.9110, 3.9811), (2.8563, 3.3934, 4.4369)),
    (15, (2.0684, 2.5660, 3.5201), (2.4922, 2.9649, 3.8853)),
    (20, (1.9260, 2.3960, 3.2952), (2.3188, 2.7603, 3.6210)),
    (24, (1.8530, 2.3093, 3.1811), (2.2324, 2.6583, 3.4888)),
    (30, (1.7773, 2.2198, 3.0639), (2.1451, 2.5549, 3.3546)),
    (48, (1.6544, 2.0754, 2.8759), (2.0086, 2.3929, 3.1436)),
    (96, (1.5324, 1.9331, 2.6923), (1.8805, 2.2407, 2.9445)),
]


def rows(text: str) -> list[float]:
    return [float(word) for word in text.split()]


@pytest.fixture(scope="module")
def dug() -> st.Units:
    return st.sort_by_unit(rows(DIGS), np.repeat(np.arange(8), 3))


def test_dyestuff(check: Check) -> None:
    it = st.sort_by_unit(rows(DYE), np.repeat(list("ABCDEF"), 5))
    for way in (st.components_anova, st.components_reml):
        found = way(it)
        check("variance between batches", DYE_SOURCE, 1764.05, found.between_var, 0.005, kind="memory")
        check("variance inside batches", DYE_SOURCE, 2451.25, found.within_var, 0.005, kind="memory")
        mean = st.mean_of_all(it, found)
        check("mean of the batches", DYE_SOURCE, 1527.5, mean.mean, 0.05, kind="memory")
        check("standard error of the mean of the batches", DYE_SOURCE, 19.38, mean.se, 0.005, kind="memory")


def test_negative_estimate_becomes_nought(check: Check) -> None:
    it = st.sort_by_unit(rows(MADE), np.repeat(list("ABCDEF"), 5))
    assert it.between_mean_square < it.within_mean_square
    for way in (st.components_anova, st.components_reml):
        found = way(it)
        assert found.at_zero
        check("variance between batches", MADE_SOURCE, 0.0, found.between_var, 0.0, kind="memory")
        check("variance inside batches", MADE_SOURCE, 13.81, found.within_var, 0.005, kind="memory")
        mean = st.mean_of_all(it, found)
        check("mean of the made-up batches", MADE_SOURCE, 5.666, mean.mean, 0.0005, kind="memory")
        check("its standard error", MADE_SOURCE, 0.678, mean.se, 0.0005, kind="memory")


def test_invented_digs(check: Check, dug: st.Units) -> None:
    found = st.components_anova(dug)
    for what, theirs, ours in (
        ("mean square between units", 1.737857, dug.between_mean_square),
        ("mean square inside units", 0.283333, dug.within_mean_square),
        ("variance between units", 0.484841, found.between_var),
        ("mean", 6.191667, dug.plain_mean),
    ):
        check(what, PLACEMENT, theirs, ours, 0.5e-6, kind="computed")
    possible = st.pivotal_draws(dug)
    low, high = st.limit_below(possible, 0.90, 0.95), st.limit_above(possible, 0.90, 0.95)
    check("pivotal lower limit, 90 % with 95 %", PLACEMENT, 4.114, low, 0.02, kind="computed", note="drawn")
    check("pivotal upper limit, 90 % with 95 %", PLACEMENT, 8.277, high, 0.02, kind="computed", note="drawn")
    values = np.array(rows(DIGS))
    alike = values.mean() - float(st.k_one_sided(24, 0.90, 0.95)) * values.std(ddof=1)
    check("lower limit, digs taken as independent", PLACEMENT, 4.6128, alike, 0.00005, kind="computed")


@pytest.mark.parametrize(("n", "one", "two"), FACTORS)
def test_factors_table(check: Check, n: int, one: tuple[float, ...], two: tuple[float, ...]) -> None:
    source = "factors of ISO 16269-6, reckoned apart with exact distributions"
    shares = np.array([0.90, 0.95, 0.99])
    for share, theirs, ours in zip(shares, one, st.k_one_sided(n, shares, 0.95), strict=True):
        check(f"one-sided factor, n {n}, share {share}", source, theirs, ours, 0.00005, kind="computed")
    for share, theirs, ours in zip(shares, two, st.k_two_sided(n, shares, 0.95), strict=True):
        check(f"two-sided factor, n {n}, share {share}", source, theirs, ours, 0.00005, kind="computed")


@pytest.mark.parametrize(("n", "theirs"), [(5, 4.203), (10, 2.911), (20, 2.396), (30, 2.220)])
def test_one_sided_factors_from_memory(check: Check, n: int, theirs: float) -> None:
    source = "Hahn and Meeker (1991), one-sided factors 95 % with 95 % (from memory)"
    check(f"one-sided factor, n {n}", source, theirs, float(st.k_one_sided(n, 0.95, 0.95)), 0.0005, kind="memory")


def test_handbook_example(check: Check) -> None:
    source = "NIST/SEMATECH e-Handbook of Statistical Methods, section 7.2.6.3, worked example"
    check("one-sided factor, n 40", source, 1.9017, float(st.k_one_sided(40, 0.90, 0.99)), 0.00005)
    two = float(st.k_two_sided(43, 0.90, 0.99))
    approximate = "the handbook's factor is Howe's approximation, good to some thousandths"
    check("two-sided factor, n 43", source, 2.217, two, 0.008, note=approximate)
    one = float(st.k_one_sided(43, 0.90, 0.99))
    check("one-sided factor, n 43", source, 1.8752, one, 0.003, note="the handbook's factor is an approximation")


@pytest.mark.parametrize(("share", "one", "both"), [(0.90, 29, 46), (0.95, 59, 93), (0.99, 299, 473)])
def test_extremes_as_limits(check: Check, share: float, one: int, both: int) -> None:
    source = "Wilks (1941), numbers for 95 % confidence as every table gives them (from memory)"
    ours = [float(st.readings_for_extremes(share, 0.95, both=way)) for way in (False, True)]
    check(f"readings, one extreme, {share}", source, one, ours[0], 0, kind="memory")
    check(f"readings, both extremes, {share}", source, both, ours[1], 0, kind="memory")


@pytest.mark.parametrize(
    ("units", "digs", "theirs"), [(8, 1, 0.453), (8, 2, 0.377), (8, 3, 0.349), (8, 5, 0.324), (4, 6, 0.449)]
)
def test_error_of_a_mean(check: Check, units: int, digs: int, theirs: float) -> None:
    ours = float(st.mean_se(0.8, 1.0, units, digs))
    check(f"standard error, {units} units, {digs} digs", "worked out by hand", theirs, ours, 0.0005, kind="computed")


@pytest.mark.parametrize(
    ("sd", "half", "theirs"),
    [(1.2, 0.5, 23), (1.2, 0.75, 10), (1.2, 1.0, 6), (1.5, 0.5, 35), (1.5, 0.75, 16), (1.5, 1.0, 9)],
)
def test_digs_for_a_mean(check: Check, sd: float, half: float, theirs: int) -> None:
    ours = float(st.readings_for_mean(sd, half, 0.95))
    check(f"readings for +/- {half} at sd {sd}", "worked out by hand", theirs, ours, 0, kind="computed")


@pytest.mark.parametrize(("sd", "theirs"), [(1.0, 0.9545), (1.5, 0.8176), (2.0, 0.6827)])
def test_share_in_a_window(check: Check, sd: float, theirs: float) -> None:
    certain = st.Draws(6.0, np.full(200, 6.0), np.full(200, sd))
    ours = st.share_inside(certain, 4, 8, 0.95).middle
    check(
        f"share of gaps in 4 to 8 cm, sd {sd}",
        "table of the normal distribution (from memory)",
        theirs,
        ours,
        0.00005,
        kind="memory",
    )
