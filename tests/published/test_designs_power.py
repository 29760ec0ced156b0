"""What a comparison can show, held against published tables and general statistics software.

R: version 4.2.2, noncentral t and F and exact counts; figures as they were printed there.  statsmodels: 0.15.0, figures as
they were printed there.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from spadework.statistics.designs.layouts import Asked, Factor, comparisons, strata
from spadework.statistics.designs.plot_size import (
    efficiency_of_blocks,
    efficiency_of_columns,
    efficiency_of_square,
    sd_by_size,
)
from spadework.statistics.designs.randomise import reduced_squares
from spadework.statistics.power.detectable import (
    blocks_needed,
    detectable_difference,
    least_difference,
    power_of_difference,
    power_of_f,
    smallest_p,
)
from spadework.statistics.power.errors import fields_df, sed_of_fields, sed_of_two
from spadework.statistics.power.margin import power_of_no_worse

R = "R 4.2.2, noncentral t, first point of a grid above the power"
RF = "R 4.2.2, noncentral F"
SM = "statsmodels 0.15.0, stats.power"
ALFALFA = (  # rows shade, columns irrigation, letters inoculum
    "A33.8 B33.7 D30.4 C32.7 E24.4",
    "D37.0 E28.8 B33.5 A34.6 C33.4",
    "C35.8 D35.6 A36.9 E26.7 B35.1",
    "E33.2 A37.1 C37.4 B38.1 D34.1",
    "B34.8 C39.1 E32.7 D37.4 A36.4",
)

DETECTABLE = {  # blocks: (two systems at CV 3, 5, 7, 10), (three systems at CV 3, 5, 7, 10, 15); each (found, counts from)
    3: ("13.8 10.5 23.1 17.6 32.3 24.6 46.2 35.1", "9.2 6.8 15.4 11.3 21.5 15.9 30.7 22.7 46.1 34.0"),
    4: ("9.0 6.8 15.1 11.3 21.1 15.8 30.1 22.5", "7.1 5.2 11.9 8.7 16.7 12.1 23.8 17.3 35.7 26.0"),
    5: ("7.1 5.3 11.9 8.8 16.7 12.3 23.8 17.6", "6.1 4.4 10.1 7.3 14.2 10.2 20.3 14.6 30.4 21.9"),
    6: ("6.1 4.5 10.2 7.4 14.2 10.4 20.3 14.8", "5.4 3.9 9.0 6.4 12.6 9.0 18.0 12.9 27.0 19.3"),
    8: ("4.9 3.5 8.2 5.9 11.5 8.3 16.4 11.8", "4.5 3.2 7.5 5.4 10.5 7.5 15.1 10.7 22.6 16.1"),
    10: ("4.2 3.0 7.1 5.1 9.9 7.1 14.1 10.1", "4.0 2.8 6.6 4.7 9.3 6.6 13.3 9.4 19.9 14.1"),
    12: ("3.8 2.7 6.3 4.5 8.8 6.3 12.6 9.0", "3.6 2.5 6.0 4.2 8.4 5.9 12.0 8.5 18.0 12.7"),
}
CASES = [
    (systems, blocks, cv, float(found), float(counts))
    for blocks, both in DETECTABLE.items()
    for systems, text in zip((2, 3), both, strict=True)
    for cv, found, counts in zip((3, 5, 7, 10, 15), text.split()[::2], text.split()[1::2], strict=False)
]


@pytest.mark.parametrize(("systems", "blocks", "cv", "found", "counts"), CASES)
def test_detectable_and_least_difference(check, systems, blocks, cv, found, counts):
    sed, df = sed_of_two(cv, blocks), (systems - 1) * (blocks - 1)
    what = f"{systems} systems, {blocks} blocks, CV {cv} %"
    check(f"{what}: detectable difference", R, found, detectable_difference(sed, df, 0.05, 0.80), 0.1,
          unit="%", kind="computed")  # fmt: skip
    check(f"{what}: least significant difference", R, counts, least_difference(sed, df, 0.05), 0.051, unit="%",
          kind="computed")  # fmt: skip


@pytest.mark.parametrize(
    ("cv", "blocks", "found"),
    [(5, 3, 12.4), (5, 4, 10.0), (5, 6, 7.7), (5, 8, 6.6), (10, 3, 24.9), (10, 4, 20.0), (10, 6, 15.4), (10, 8, 13.1)],
)
def test_detectable_difference_at_one_in_ten(check, cv, blocks, found):
    ours = detectable_difference(sed_of_two(cv, blocks), 2 * (blocks - 1), 0.10, 0.80)
    check(f"chance 0.10, 3 systems, {blocks} blocks, CV {cv} %", R, found, ours, 0.1, unit="%", kind="computed")


@pytest.mark.parametrize(
    ("cv", "difference", "blocks"),
    [
        (5, 3, 45), (5, 5, 17), (5, 7, 10), (5, 10, 6), (5, 15, 4),
        (7, 5, 32), (7, 7, 17), (7, 10, 9), (7, 15, 5),
        (10, 5, 64), (10, 10, 17), (10, 15, 9),
    ],
)  # fmt: skip
def test_blocks_needed(check, cv, difference, blocks):
    ours = blocks_needed(difference, cv, 3, 0.05, 0.80)
    check(f"blocks to find {difference} % at CV {cv} %, 3 systems", R, blocks, ours, 0, kind="computed")


@pytest.mark.parametrize(("spread", "cv", "powers"), [(3, 5, (0.139, 0.204, 0.341, 0.473)),
                                                      (5, 7, (0.179, 0.273, 0.462, 0.625))])  # fmt: skip
def test_power_of_the_test_over_all(check, spread, cv, powers):
    for blocks, theirs in zip((3, 4, 6, 8), powers, strict=True):
        ours = power_of_f([-spread, 0, spread], cv, blocks, 2 * (blocks - 1), 0.05)
        check(f"F test, means -{spread}, 0, {spread} %, CV {cv} %, {blocks} blocks", RF, theirs, ours, 0.0006,
              kind="computed")  # fmt: skip


@pytest.mark.parametrize(
    ("spread", "cv", "blocks", "theirs"),
    [(3, 5, 3, 0.16326973732396943), (3, 5, 8, 0.5026718416785771), (5, 7, 4, 0.3147389132827435)],
)
def test_power_of_f_without_blocks(check, spread, cv, blocks, theirs):
    ours = power_of_f([-spread, 0, spread], cv, blocks, 3 * (blocks - 1), 0.05)
    check(
        f"F test without blocks, spread {spread}, CV {cv}, {blocks} plots each", SM, theirs, ours, 1e-6, kind="computed"
    )


@pytest.mark.parametrize(
    ("systems", "blocks", "cv", "difference", "theirs"),
    [
        (3, 4, 5, 10, 0.6568758750949886), (2, 6, 5, 10, 0.7891461634980073),
        (4, 4, 6, 10, 0.5568322146197611), (3, 8, 3, 5, 0.8723628058988847),
    ],
)  # fmt: skip
def test_power_of_a_difference(check, systems, blocks, cv, difference, theirs):
    ours = power_of_difference(difference, sed_of_two(cv, blocks), (systems - 1) * (blocks - 1), 0.05)
    check(f"power, {systems} systems, {blocks} blocks, CV {cv}, difference {difference}", SM, theirs, ours, 1e-9,
          kind="computed")  # fmt: skip


def test_power_of_no_worse(check):
    ours = power_of_no_worse(0, 10, sed_of_two(5, 4), 6, 0.05)
    check("one-sided power, 10 % at CV 5 %, 4 blocks, 6 df", SM, 0.8015343250872813, ours, 1e-9, kind="computed")


@pytest.mark.parametrize(
    ("fields", "blocks", "found"),
    [(2, 6, 25.4), (3, 4, 14.5), (4, 3, 11.8), (6, 2, 9.6), (12, 1, 7.7), (6, 4, 8.5), (10, 4, 6.3)],
)
def test_several_fields(check, fields, blocks, found):
    ours = detectable_difference(sed_of_fields(4, 5, fields, blocks), fields_df(fields, 3), 0.05, 0.80)
    check(f"{fields} fields of {blocks} blocks, 4 % by field, CV 5 %, 3 systems", R, found, ours, 0.1, unit="%",
          kind="computed")  # fmt: skip


def test_smallest_chance_of_relabelling(check):
    for blocks, theirs, digits in ((3, 0.25, 0), (4, 0.125, 0), (5, 0.0625, 0), (6, 0.031, 3), (8, 0.0078, 4)):
        check(f"pairs, {blocks} blocks", "exact count (R 4.2.2)", theirs, smallest_p(2, blocks),
              0.5 * 10**-digits if digits else 1e-12, kind="computed")  # fmt: skip
    for blocks, theirs, half in ((2, 0.167, 0.0005), (3, 0.028, 0.0005), (4, 0.0046, 0.00005)):
        check(f"three systems, {blocks} blocks", "exact count (R 4.2.2)", theirs, smallest_p(3, blocks), half,
              kind="computed")  # fmt: skip


def test_smallest_chance_by_going_through_all_orders(check):
    values = [(1.0, 2.0, 4.0), (1.5, 2.5, 5.0), (0.0, 3.0, 3.5)]
    spreads = []
    for orders in itertools.product(*(list(itertools.permutations(block)) for block in values)):
        means = np.mean(orders, axis=0)
        spreads.append(round(float(((means - means.mean()) ** 2).sum()), 9))
    seen = np.mean(np.array(spreads) >= spreads[0])  # the labels in rising order everywhere: nothing is as extreme
    check(
        "three systems, three blocks, all 216 orders",
        "exact enumeration",
        seen,
        smallest_p(3, 3),
        1e-12,
        kind="computed",
    )


def test_relative_efficiency_of_blocks(check):
    ours = efficiency_of_blocks(8348.875, 1336.904, 8, 5)
    check("oat varieties in 5 blocks (Faraway): blocks against none", "R 4.2.2 mean squares", 1.538, ours, 0.0005,
          kind="computed")  # fmt: skip


def test_relative_efficiency_of_a_square(check):
    rows = [[(cell[0], float(cell[1:])) for cell in line.split()] for line in ALFALFA]
    y = np.array([[value for _, value in row] for row in rows])
    labels = np.array([[label for label, _ in row] for row in rows])
    row, column = (5 * ((y.mean(axis=axis) - y.mean()) ** 2).sum() for axis in (1, 0))
    treated = 5 * sum((y[labels == one].mean() - y.mean()) ** 2 for one in "ABCDE")
    error = (((y - y.mean()) ** 2).sum() - row - column - treated) / 12
    source = "Latin square of alfalfa (Faraway); R 4.2.2"
    check("alfalfa, mean square of the error", source, 3.0666, error, 0.00005)
    check(
        "alfalfa, square against no blocks", source, 2.079, efficiency_of_square(row / 4, column / 4, error, 5), 0.0005
    )
    check("alfalfa, square against rows as blocks", source, 1.070, efficiency_of_columns(column / 4, error, 5), 0.0005)


def test_plot_size_law(check):
    for exponent, theirs in ((0.25, 0.84), (0.5, 0.71), (0.7, 0.62), (1.0, 0.50)):
        check(f"CV ratio of plots four times as large, exponent {exponent}", "Smith (1938), computed", theirs,
              sd_by_size(1, 4, exponent), 0.005, kind="computed")  # fmt: skip


def test_variance_of_larger_plots_of_maize(check):
    # Variance against plots of 13.9 m2: more than half gone at 41.8 m2, three quarters at 111.5 m2.
    source = "uniformity trials of maize, Agronomy 2021 11(6):1254, abstract; exponent 0.63 to 0.67 implied"
    check("variance left at 41.8 m2", source, 0.50, sd_by_size(1, 41.8 / 13.9, 0.63) ** 2, 0.005, kind="computed")
    check("variance left at 111.5 m2", source, 0.25, sd_by_size(1, 111.5 / 13.9, 0.67) ** 2, 0.005, kind="computed")


def test_cross_check_of_common_advice(check):
    ours = detectable_difference(sed_of_two(5, 6), 5, 0.05, 0.80)
    check("CV 5 %, six pairs: a true 10 % is about found", "Ohio State University, Special Circular 166 (1998)", 10, ours, 0.5,
          unit="%")  # fmt: skip


@pytest.mark.parametrize(
    ("blocks", "figures"),
    [(3, (6.8, 11.3, 18.1, 27.2)), (4, (5.2, 8.7, 13.8, 20.8)), (5, (4.4, 7.3, 11.7, 17.5)), (6, (3.9, 6.4, 10.3, 15.4)),
     (8, (3.2, 5.4, 8.6, 12.9))],
)  # fmt: skip
def test_least_difference_of_three_systems(check, blocks, figures):
    for cv, theirs in zip((3, 5, 8, 12), figures, strict=True):
        ours = least_difference(sed_of_two(cv, blocks), 2 * (blocks - 1), 0.05)
        check(f"least significant difference, 3 systems, {blocks} blocks, CV {cv} %", "t times sqrt(2/r) times CV, by hand",
              theirs, ours, 0.051, unit="%", kind="computed")  # fmt: skip


def test_number_of_standard_squares(check):
    for size, theirs in ((3, 1), (4, 4), (5, 56)):
        check(f"reduced Latin squares of {size}", "Fisher and Yates, Statistical tables", theirs, len(reduced_squares(size)),
              0, kind="memory")  # fmt: skip


def test_degrees_of_freedom_of_layouts(check):
    source = "Cochran and Cox (1957), Federer (1956), from memory"
    three, two, four = (Factor("a", tuple("xyz")), Factor("b", tuple("mn"), True), Factor("b", tuple("klmn"), True))
    square = Factor("a", tuple("uvxyz"))
    cases = (
        ("pairs of 6", Asked("pairs", (Factor("a", ("x", "y")),), 6), (5,)),
        ("3 in 4 blocks", Asked("complete blocks", (three,), 4), (6,)),
        ("square of 5", Asked("Latin square", (square,), 5), (12,)),
        ("split plots 3 x 4 in 6", Asked("split plots", (three, four), 6), (10, 45)),
        ("criss-cross 3 x 2 in 4", Asked("criss-cross", (three, two), 4), (6, 3, 6)),
        (
            "augmented, 3 checks in 4",
            Asked("augmented blocks", (Factor("a", tuple("stuvxyz")),), 4, tuple("xyz")),
            (6,),
        ),
    )
    for what, asked, theirs in cases:
        for stratum, df in zip(strata(asked), theirs, strict=True):
            check(f"{what}: error of {stratum.name}", source, df, stratum.df, 0, kind="memory")


def test_standard_errors_of_split_plots_on_oats(check):
    # Ea 601.33056 and Eb 177.08333 are mean squares of sub-plots; the variance of a whole plot's mean is Ea/4.
    oats = Asked("split plots", (Factor("variety", tuple("GMV")), Factor("nitrogen", tuple("0246"), True)), 6)
    whole, inside = comparisons(oats)
    source = "Yates (1935), oats; R 4.2.2 with emmeans 1.8.4"
    check("oats, difference of two varieties", source, 7.078902, np.sqrt(whole.factor * 601.33056 / 4), 1e-5)
    check("oats, difference of two nitrogen rates", source, 4.435752, np.sqrt(inside.factor * 177.083333), 1e-5)
    assert (whole.df, inside.df) == (10, 45)
