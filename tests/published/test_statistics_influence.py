"""Plots left out in turn, and checks of residuals, held against general statistics software."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np

from spadework.statistics.models.influence import leave_each_out
from spadework.statistics.models.model import fit_model
from spadework.statistics.residuals.checks import outlying, spread_with_mean, variances_by_group
from spadework.statistics.residuals.remarks import all_columns

DATA = Path(__file__).parent / "data"
R = "R 4.2.2"


def table(name: str, *numbers: str) -> dict[str, np.ndarray]:
    lines = [line for line in (DATA / f"{name}.csv").read_text("utf-8").splitlines() if not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    return {key: np.array([float(r[key]) if key in numbers else r[key] for r in rows]) for key in rows[0]}


FIBRE_COOK = (0.01464440570554, 0.00134599375814, 0.05109858864911, 0.01923269403442, 0.16720058095047, 0.02036736548631,
              0.29813939190074, 0.00791801094161, 0.21817377658551, 0.04375983712755, 0.02013834974461, 0.01783314359114,
              0.13545756632763, 0.10066623664246, 0.39224205488772)  # fmt: skip
FIBRE_T = (-0.324474285867, -0.139969284894, -0.874398514495, 0.536116953766, 0.923107745932, 0.438623354904, 2.493439903984,
           -0.271890284277, -1.591988020801, -0.772173144459, -0.548966087141, -0.490129095519, 1.087404862691,
           -1.308758094447, 1.665124740683)  # fmt: skip
PEAS_T = (-0.48463204815496, 1.74167898844581, -2.03013983880927, 0.68310183591021, -2.18782648675243, 1.00843500433759,
          0.76625490212523, 0.11492872580445, 1.42887680423217, -1.17944409321921, 0.37275496106142, -0.58010231459394,
          1.62029251568385, 0.14658919756606, -0.17540596699441, -1.58098217095607, -1.01828352216320, 1.15890572101147,
          -0.61625560697465, 0.49056223307175, -0.06318434483031, -0.57709873890927, -0.00574299789278,
          0.64958342286903)  # fmt: skip
WARP_COOK = {
    0: 6.74220593355e-02,
    4: 1.26776873090e-01,
    8: 9.86442579198e-02,
    40: 2.04618419526e-02,
    53: 1.66542567594e-02,
}


def test_distance_with_a_covariate(check):
    data = table("fiber_montgomery_2013", "strength", "diameter")
    found = leave_each_out(data, "strength", "diameter + machine", compare="machine")
    for number, (theirs, ours) in enumerate(zip(FIBRE_COOK, found.distances(), strict=True), 1):
        check(
            f"fibre, distance without reading {number}", f"Montgomery (2013); {R}, cooks.distance", theirs, ours, 1e-9
        )


def test_distance_in_a_factorial(check):
    found = leave_each_out(table("warp_breaks_tippett_1950", "breaks"), "breaks", "wool * tension", compare="tension")
    for at, theirs in WARP_COOK.items():
        check(f"warp breaks, distance without reading {at + 1}", f"Tippett (1950); {R}, cooks.distance", theirs,
              found.distances()[at], 1e-9)  # fmt: skip


def test_without_a_plot_is_the_fit_of_the_rest(check):
    data = table("oats_yates_1935", "yield")
    found = leave_each_out(data, "yield", "variety * nitrogen", ["block", "block:variety"], compare="variety",
                           unit="block:variety")  # fmt: skip
    assert len(found.without) == 18
    gone = next(each for each in found.without if each.unit == "block:variety III, Marvellous")
    rest = (data["block"] != "III") | (data["variety"] != "Marvellous")
    by_hand = fit_model(
        {k: v[rest] for k, v in data.items()}, "yield", "variety * nitrogen", ["block", "block:variety"]
    )
    for term, test in gone.tests.items():
        theirs = by_hand.test(term)
        check(f"oats without a whole plot, {':'.join(term)}: F", "a fit to the other plots", theirs.f, test.f, 1e-6,
              kind="computed")  # fmt: skip
        check(f"oats without a whole plot, {':'.join(term)}: degrees of freedom", "a fit to the other plots", theirs.df_rest,
              test.df_rest, 1e-4, kind="computed")  # fmt: skip


def test_studentised_residuals(check):
    data = table("fiber_montgomery_2013", "strength", "diameter")
    found = outlying(data["strength"], all_columns(fit_model(data, "strength", "diameter + machine"), data))
    for number, (theirs, ours) in enumerate(zip(FIBRE_T, found.t, strict=True), 1):
        check(f"fibre, studentised residual {number}", f"Montgomery (2013); {R}, rstudent", theirs, ours, 1e-9)
    data = table("npk_yates", "yield")
    model = fit_model(data, "yield", "n + p + k + n:p + n:k + p:k", ["block"])
    found = outlying(data["yield"], all_columns(model, data))
    assert found.df == 11
    for number, (theirs, ours) in enumerate(zip(PEAS_T, found.t, strict=True), 1):
        check(f"peas, studentised residual {number}", f"Yates (1937); {R}, rstudent", theirs, ours, 1e-9)


def test_variances_of_groups(check):
    data = table("warp_breaks_tippett_1950", "breaks")
    found = variances_by_group(data["breaks"], data["tension"])
    source = f"Tippett (1950), warp breaks; {R}, bartlett.test"
    check("warp breaks by tension, Bartlett's statistic", source, 9.65711813841, found.statistic, 1e-9)
    check("warp breaks by tension, chance", source, 0.0079980375855, found.p, 1e-11)
    data = table("plant_growth_dobson_1983", "weight")
    found = variances_by_group(data["weight"], data["group"])
    source = f"Dobson (1983), plant growth; {R}, bartlett.test"
    check("plant growth by group, Bartlett's statistic", source, 2.87857378724, found.statistic, 1e-9)
    check("plant growth by group, chance", source, 0.237096773635, found.p, 1e-11)


def test_scatter_against_mean(check):
    data = table("warp_breaks_tippett_1950", "breaks")
    model = fit_model(data, "breaks", "wool * tension")
    found = spread_with_mean(model.residuals, model.readings - model.residuals)
    source = f"Tippett (1950), warp breaks; {R}, cor.test by ranks, ties rounded together"
    check("warp breaks, rank correlation of scatter and mean", source, 0.418634888846, found.rank_correlation, 1e-9)
    check("warp breaks, its chance", source, 0.00163040242, found.p, 1e-11)
