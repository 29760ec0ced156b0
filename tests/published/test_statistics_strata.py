"""Tables of error strata held against certified values, published experiments and general statistics software."""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import scipy

from spadework.statistics.by_layout import combine_any, fit_or_strata
from spadework.statistics.designs.plot_size import efficiency_of_columns, efficiency_of_square
from spadework.statistics.models.comparisons import all_pairs, dunnett_p, tukey_factor, tukey_p
from spadework.statistics.models.model import Model, fit_model
from spadework.statistics.models.small_sample import combine
from spadework.statistics.strata.analysis import Line, Strata, strata_table

DATA = Path(__file__).parent / "data"
R = "R 4.2.2, aov"
KR = "R 4.2.2 with lme4 1.1-31, pbkrtest 0.5.2, emmeans 1.8.4"
YATES = f"Yates (1935), oats; {R}"
NIST = Path(scipy.__file__).parent / "stats" / "tests" / "data" / "nist_anova"
DIGITS = {"Lower": 12, "Average": 8, "Higher": 4}
SQUARE = {  # Latin square: row, then letter and reading by column
    1: "A33.8 B33.7 D30.4 C32.7 E24.4",
    2: "D37.0 E28.8 B33.5 A34.6 C33.4",
    3: "C35.8 D35.6 A36.9 E26.7 B35.1",
    4: "E33.2 A37.1 C37.4 B38.1 D34.1",
    5: "B34.8 C39.1 E32.7 D37.4 A36.4",
}
STRIPS = {  # invented whole numbers: systems C, P, S with manure B, I in four blocks
    1: {"C": (87, 88), "P": (88, 91), "S": (98, 102)},
    2: {"C": (108, 112), "P": (105, 105), "S": (111, 119)},
    3: {"C": (111, 105), "P": (110, 110), "S": (112, 113)},
    4: {"C": (98, 109), "P": (105, 114), "S": (113, 127)},
}
EVEN = "12,15 11,14 13,12 15,11 13,16 12,14 10,14 15,11 16,12 14,12 12,15 11,16"  # invented


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


def square() -> dict[str, np.ndarray]:
    cells = [(str(row), str(c), x[0], float(x[1:])) for row, t in SQUARE.items() for c, x in enumerate(t.split())]
    return {key: np.array([cell[i] for cell in cells]) for i, key in enumerate(("row", "column", "letter", "yield"))}


def line(found: Strata, source: str, stratum: str = "") -> Line:
    return next(each for each in found.lines if each.source == source and stratum in ("", each.stratum))


def close(check, what, source, theirs, ours, **said):
    """Hold to half a unit of the last printed figure."""
    text = f"{theirs:.12g}"
    places = len(text.split(".")[1]) if "." in text and "e" not in text else 0
    check(what, source, float(theirs), ours, 0.51 * 10.0**-places, **said)


def certified(name: str) -> tuple[str, dict[str, float], dict[str, np.ndarray]]:
    text = (NIST / f"{name}.dat").read_text("ascii").splitlines()
    level = next(row.split()[0] for row in text if "Level of Difficulty" in row)
    between = next(row.split() for row in text[38:48] if row.startswith("Between"))
    within = next(row.split() for row in text[38:48] if row.startswith("Within"))
    start = next(at for at, row in enumerate(text) if row.startswith("Data:  ") and at > 50) + 1
    rows = [row.split() for row in text[start:] if row.strip()]
    values = {"F": float(between[-1]), "MS between": float(between[-2]), "MS within": float(within[-1])}
    return level, values, {"group": np.array([r[0] for r in rows]), "y": np.array([float(r[1]) for r in rows])}


@pytest.mark.parametrize(
    "name",
    ["SiRstv", "AtmWtAg", "SmLs01", "SmLs02", "SmLs03", "SmLs04", "SmLs05", "SmLs06", "SmLs07", "SmLs08", "SmLs09"],
)
def test_certified_analysis_of_variance(check, name):
    level, theirs, data = certified(name)
    found = strata_table(data, "y", "group")
    ours = {
        "F": found.test(("group",)).f,
        "MS between": line(found, "group").ms,
        "MS within": line(found, "residual").ms,
    }
    source = "NIST Statistical Reference Datasets, certified values"
    for key, value in theirs.items():
        if level == "Higher" and key != "F":
            continue  # the readings, as a double holds them, have lost it: see below
        check(f"{name} ({level.lower()} difficulty), {key}", source, value, ours[key], abs(value) * 10.0 ** -DIGITS[level],
              note=f"to {DIGITS[level]} digits")  # fmt: skip


@pytest.mark.parametrize("name", ["SmLs07", "SmLs08", "SmLs09"])
def test_nothing_is_lost_beyond_what_the_readings_lost(check, name):
    _, _, data = certified(name)
    groups = [[Fraction(float(v)) for v in data["y"][data["group"] == g]] for g in np.unique(data["group"])]
    means = [sum(g) / len(g) for g in groups]
    whole = sum(sum(g) for g in groups) / sum(map(len, groups))
    between = sum(len(g) * (m - whole) ** 2 for g, m in zip(groups, means, strict=True)) / (len(groups) - 1)
    within = sum(sum((v - m) ** 2 for v in g) for g, m in zip(groups, means, strict=True))
    within /= sum(map(len, groups)) - len(groups)
    found = strata_table(data, "y", "group")
    for key, theirs, ours in (
        ("MS between", between, line(found, "group").ms),
        ("MS within", within, line(found, "residual").ms),
    ):
        check(f"{name}, {key}, of the readings as they are held", "whole-number fractions", float(theirs), ours,
              float(theirs) * 1e-10, kind="computed")  # fmt: skip


def oats() -> Strata:
    return strata_table(table("oats_yates_1935", "yield"), "yield", "variety * nitrogen", ["block", "block:variety"])


def test_split_plot_table(check):
    found = oats()
    rows = (
        ("block", "residual", 5, 15875.278, 3175.0556, None, None),
        ("block:variety", "variety", 2, 1786.3611, 893.18056, 1.48534, 0.27239),
        ("block:variety", "residual", 10, 6013.3056, 601.33056, None, None),
        ("within", "nitrogen", 3, 20020.50, 6673.5, 37.68565, 2.4577e-12),
        ("within", "variety:nitrogen", 6, 321.75, 53.625, 0.30282, 0.9322),
        ("within", "residual", 45, 7968.75, 177.0833, None, None),
    )
    assert [(each.stratum, each.source) for each in found.lines] == [row[:2] for row in rows]
    for ours, (stratum, source, df, ss, ms, f, p) in zip(found.lines, rows, strict=True):
        what = f"oats, stratum {stratum}, {source}"
        check(f"{what}: degrees of freedom", YATES, df, ours.df, 0)
        close(check, f"{what}: sum of squares", YATES, ss, ours.ss)
        close(check, f"{what}: mean square", YATES, ms, ours.ms)
        if f is None:
            assert np.isnan(ours.f)
            continue
        close(check, f"{what}: F", YATES, f, ours.f)
        check(f"{what}: chance", YATES, p, ours.p, 5e-5 * p + (5e-6 if p > 1e-3 else 0))
    close(check, "oats, mean of all", YATES, 103.9722, found.mean)
    for name, theirs in (("block:variety", 23.59), ("within", 12.80)):
        check(
            f"oats, coefficient of variation, stratum {name}",
            YATES,
            theirs,
            100 * found.cv_share(name),
            0.0051,
            unit="%",
        )
    for name, theirs in (("within", 177.083), ("block:variety", 106.062), ("block", 214.477)):
        close(check, f"oats, variance of {name} from mean squares", YATES, theirs, found.components[name])


def test_split_plot_differences(check):
    found = oats()
    v, n, both = (found.means(*names) for names in (("variety",), ("nitrogen",), ("variety", "nitrogen")))
    for what, rows, se, df, least in (
        ("two varieties", v.weights[1] - v.weights[0], 7.078902, 10, 15.77278),
        ("two nitrogen rates", n.weights[1] - n.weights[0], 4.435752, 45, 8.93407),
        ("two varieties at one rate", both.weights[4] - both.weights[0], 9.7150204, 30.23, None),
    ):
        ours = found.combine(rows[np.newaxis])
        check(f"oats, standard error of the difference of {what}", f"Yates (1935), oats; {KR}", se, ours.se[0], 5e-6,
              note="their search ends early")  # fmt: skip
        check(f"oats, degrees of freedom for {what}", f"Yates (1935), oats; {KR}", df, ours.df[0], 0.005)
        if least:
            check(f"oats, least significant difference of {what}", YATES, least, ours.half_width(0.95)[0], 2e-5)
    for names, se, df in (("variety", 7.79758, 8.87), ("nitrogen", 7.17475, 6.79)):
        mean = found.means(names).found
        check(f"oats, standard error of a mean of {names}", f"Yates (1935), oats; {KR}", se, mean.se[0], 1e-4,
              note="their search ends early")  # fmt: skip
        check(f"oats, degrees of freedom of a mean of {names}", f"Yates (1935), oats; {KR}", df, mean.df[0], 0.005)


def test_weighted_t_of_the_older_books(check):
    from scipy.special import stdtrit

    found, b = oats(), 4
    a_ms, b_ms = found.residual("block:variety"), found.residual("within")
    parts = ((b - 1) * b_ms.ms, a_ms.ms)
    ours = (parts[0] * stdtrit(b_ms.df, 0.975) + parts[1] * stdtrit(a_ms.df, 0.975)) / sum(parts)
    check("oats, weighted t for two varieties at one rate", "Cochran and Cox (1957), from memory; R 4.2.2", 2.1277, ours,
          5.1e-5, kind="memory")  # fmt: skip


def test_factors_confounded_with_blocks(check):
    found = strata_table(table("npk_yates", "yield"), "yield", "n * p * k", ["block"])
    source = f"Yates (1937), peas with three nutrients; {R}"
    close(check, "peas, n:p:k, stratum of blocks: mean square", source, 37.001667, line(found, "n:p:k", "block").ms)
    close(check, "peas, residual of blocks: mean square", source, 76.573333, line(found, "residual", "block").ms)
    assert line(found, "residual", "block").df == 4
    for term, f in (
        ("n", 12.25873),
        ("p", 0.54413),
        ("k", 6.16569),
        ("n:p", 1.37830),
        ("n:k", 2.14597),
        ("p:k", 0.03119),
    ):
        close(check, f"peas, {term}: F", source, f, line(found, term, "within").f)
    check("peas, n: chance", source, 0.0043718, found.test(("n",)).p, 5.1e-8)
    check("peas, k: chance", source, 0.0287951, found.test(("k",)).p, 5.1e-8)
    close(check, "peas, residual: mean square", source, 15.440556, line(found, "residual", "within").ms)
    blocks = (line(found, "n:p:k", "block").ss + line(found, "residual", "block").ss) / 5
    close(check, "peas, blocks: mean square", source, 68.659, blocks)


def test_latin_squares(check):
    found = strata_table(table("orchard_sprays_finney_1947", "decrease"), "decrease", "treatment", ["row", "column"])
    source = f"Finney (1947), orchard sprays; {R}"
    for what, theirs, ours in (
        ("rows: sum of squares", 4767.484, line(found, "residual", "row").ss),
        ("columns: sum of squares", 2807.234, line(found, "residual", "column").ss),
        ("treatments: sum of squares", 56159.984, line(found, "treatment").ss),
        ("F", 21.06670, found.test(("treatment",)).f),
        ("residual mean square", 380.8311, line(found, "residual", "within").ms),
    ):
        check(f"orchard sprays, {what}", source, theirs, ours, 5.1e-4 if theirs > 1000 else 5.1e-5)
    found = strata_table(square(), "yield", "letter", ["row", "column"])
    source = f"Faraway (2005), lucerne in a square of five inoculations; {R}"
    error = line(found, "residual", "within")
    for what, theirs, ours in (
        ("rows: sum of squares", 87.4024, line(found, "residual", "row").ss),
        ("columns: sum of squares", 16.5624, line(found, "residual", "column").ss),
        ("treatments: sum of squares", 155.8944, line(found, "letter").ss),
        ("residual: sum of squares", 36.7992, error.ss),
        ("treatments: mean square", 38.9736, line(found, "letter").ms),
        ("residual: mean square", 3.0666, error.ms),
        ("F", 12.70906, found.test(("letter",)).f),
        ("chance", 0.00028398, found.test(("letter",)).p),
    ):
        close(check, f"lucerne square, {what}", source, theirs, ours)
    check("lucerne square, coefficient of variation", source, 5.134, 100 * found.cv_share("within"), 5.1e-4, unit="%")
    means = found.means("letter")
    for theirs, ours in zip((35.76, 35.04, 35.68, 34.90, 29.16), means.found.estimate, strict=True):
        check("lucerne square, mean of a letter", source, theirs, ours, 1e-9)
    every = found.combine(all_pairs(means.weights).weights)
    check("lucerne square, least significant difference", source, 2.413118, every.half_width(0.95)[0], 5.1e-7)
    honest = float(tukey_factor(5, 12, 0.95)) * every.se[0]
    check("lucerne square, honest significant difference", source, 3.530202, honest, 5.1e-6)
    against = found.combine(means.weights[1:] - means.weights[0])
    for theirs, ours in zip((0.9111885, 0.9999771, 0.8509009, 0.000234952), dunnett_p(against), strict=True):
        check("lucerne square, chance against the first (Dunnett)", "R 4.2.2, mvtnorm", theirs, ours, 1e-5)
    row, column = line(found, "residual", "row").ms, line(found, "residual", "column").ms
    check("lucerne square against no blocks", R, 2.079, efficiency_of_square(row, column, error.ms, 5), 5.1e-4)
    check("lucerne square against rows as blocks", R, 1.070, efficiency_of_columns(column, error.ms, 5), 5.1e-4)


def test_factorials_without_strata(check):
    found = strata_table(table("warp_breaks_tippett_1950", "breaks"), "breaks", "wool * tension")
    source = f"Tippett (1950), warp breaks; {R}"
    for term, f in (("wool", 3.76529), ("tension", 8.49805), ("wool:tension", 4.18907)):
        close(check, f"warp breaks, {term}: F", source, f, line(found, term).f)
    check("warp breaks, both together: chance", source, 0.02104, found.test(("wool", "tension")).p, 5.1e-6)
    close(check, "warp breaks, residual: mean square", source, 119.68981, line(found, "residual").ms)
    found = strata_table(table("barley_immer_1934", "yield"), "yield", "variety * site + variety * year + site * year")
    source = f"Immer and others (1934), barley; {R}"
    for term, f in (("variety", 7.99271), ("site", 90.67359), ("year", 57.90581), ("variety:site", 1.83119),
                    ("site:year", 28.73371)):  # fmt: skip
        close(check, f"barley, {term}: F", source, f, line(found, term).f)
    close(check, "barley, residual: mean square", source, 14.63238, line(found, "residual").ms)
    assert line(found, "residual").df == 45


def test_lucerne_split_plot(check):
    data = table("alfalfa_snedecor_1980", "yield")
    found = strata_table(data, "yield", "variety * date", ["block", "block:variety"])
    source = f"Snedecor and Cochran (1980), lucerne; {R}"
    for what, theirs, ours in (
        ("variety: F", 0.65336, line(found, "variety").f),
        ("residual of whole plots: mean square", 0.13623472, line(found, "residual", "block:variety").ms),
        ("date: F", 23.38974, line(found, "date").f),
        ("variety:date: F", 1.25477, line(found, "variety:date").f),
        ("residual inside: mean square", 0.02796769, line(found, "residual", "within").ms),
    ):
        close(check, f"lucerne split-plot, {what}", source, theirs, ours)


def test_criss_crossed_strips(check):
    found = strata_table(strips(), "yield", "system * manure", ["block", "block:system", "block:manure"])
    for source, stratum, df, ms, f, p in (
        ("residual", "block", 3, 490.15278, None, None),
        ("system", "block:system", 2, 219.125, 9.29699, 0.014520),
        ("residual", "block:system", 6, 23.569444, None, None),
        ("manure", "block:manure", 1, 100.041667, 2.28304, 0.22797),
        ("residual", "block:manure", 3, 43.819444, None, None),
        ("system:manure", "within", 2, 10.7916667, 3.7177, 0.089064),
        ("residual", "within", 6, 2.9027778, None, None),
    ):
        ours = line(found, source, stratum)
        assert ours.df == df
        close(check, f"criss-cross strips, {stratum}, {source}: mean square", R, ms, ours.ms)
        if f is not None:
            check(f"criss-cross strips, {source}: F", R, f, ours.f, 5.1e-6)
            check(f"criss-cross strips, {source}: chance", R, p, ours.p, 5.1e-6)
    cells, system, manure = found.means("system", "manure"), found.means("system"), found.means("manure")
    for what, rows, se, df in (
        ("two systems", system.weights[1] - system.weights[0], 2.4274, 6),
        ("two manures", manure.weights[1] - manure.weights[0], 2.7025, 3),
        ("two systems at one manure", cells.weights[4] - cells.weights[0], 2.5725596, 7.456),
        ("two manures in one system", cells.weights[5] - cells.weights[4], 2.8759, 3.814),
    ):
        ours = found.combine(rows[np.newaxis])
        check(
            f"criss-cross strips, standard error of {what}", KR, se, ours.se[0], 5.1e-5, note="their search ends early"
        )
        check(f"criss-cross strips, degrees of freedom for {what}", KR, df, ours.df[0], 5.1e-4)
    check("criss-cross strips, standard error of a mean", KR, 4.7315, system.found.se[0], 5.1e-5)
    check("criss-cross strips, degrees of freedom of a mean", KR, 3.588, system.found.df[0], 5.1e-4)


def test_same_strips_under_the_wrong_label(check):
    found = strata_table(strips(), "yield", "system * manure", ["block", "block:system"])
    close(check, "the same strips as a split-plot, manure: F", R, 6.04786, line(found, "manure").f)
    check("the same strips as a split-plot, manure: chance", R, 0.036204, found.test(("manure",)).p, 5.1e-7)
    close(check, "the same strips as a split-plot, both together: F", R, 0.65239, line(found, "system:manure").f)
    close(
        check,
        "the same strips as a split-plot, residual: mean square",
        R,
        16.541667,
        line(found, "residual", "within").ms,
    )


def over_manure() -> dict[str, np.ndarray]:
    data = strips()
    half = data["manure"] == "B"
    return {
        "block": data["block"][half],
        "system": data["system"][half],
        "yield": (data["yield"][half] + data["yield"][~half]) / 2,
    }


def test_blocks_of_strips(check):
    found = strata_table(over_manure(), "yield", "system", ["block"])
    close(
        check, "strips averaged over manure, residual: mean square", R, 11.784722, line(found, "residual", "within").ms
    )
    check("strips averaged over manure, F", R, 9.29699, found.test(("system",)).f, 5.1e-6)
    every = found.combine(all_pairs(found.means("system").weights).weights)
    for theirs, ours in zip((0.86706, 0.01740, 0.03150), tukey_p(every.t(), 3, every.df), strict=True):
        check("strips averaged over manure, chance of a pair (Tukey)", "R 4.2.2, TukeyHSD", theirs, ours, 5.1e-6)


def test_a_missing_plot_as_yates_filled_it(check):
    data = over_manure()
    gone = int(np.flatnonzero((data["system"] == "S") & (data["block"] == "2"))[0])
    y = data["yield"].copy()
    y[gone] = np.nan
    r, t = 4, 3
    block, system, whole = (np.nansum(y[mask]) for mask in (data["block"] == "2", data["system"] == "S", y == y))
    source = "Yates (1933), from memory; R 4.2.2"
    filled = (r * block + t * system - whole) / ((r - 1) * (t - 1))
    check("missing plot, value that is filled in", source, 117.0, filled, 1e-9, kind="memory")
    y[gone] = filled
    by_hand = line(strata_table({**data, "yield": y}, "yield", "system", ["block"]), "residual", "within").ss / 5
    model = fit_model({**data, "yield": np.where(np.arange(y.size) == gone, np.nan, y)}, "yield", "block + system")
    check("missing plot, residual mean square of the filled table, one degree of freedom less", source, 13.74167, by_hand, 5.1e-6,
          kind="memory")  # fmt: skip
    check(
        "missing plot, residual mean square by restricted likelihood",
        source,
        13.74167,
        model.fitted.variance("residual"),
        5.1e-6,
    )
    means = model.means("system")
    pairs = combine(model.fitted, all_pairs(means.weights).weights)
    by_formula = np.sqrt(by_hand * (2 / r + t / (r * (r - 1) * (t - 1))))
    check(
        "missing plot, standard error of a difference from it, by formula",
        source,
        2.93062,
        by_formula,
        5.1e-6,
        kind="memory",
    )
    check("missing plot, standard error of a difference from it", source, 2.93062, pairs.se[1], 5.1e-6)
    check("missing plot, standard error of a difference of two others", source, 2.62123, pairs.se[0], 5.1e-6)
    check("missing plot, mean of its system", source, 112.375, means.found.estimate[2], 1e-9)


def test_variances_below_nought_stay_in_their_strata(check):
    data = {**strips(), "yield": np.array([float(v) for pair in EVEN.split() for v in pair.split(",")])}
    found = strata_table(data, "yield", "system * manure", ["block", "block:system"])
    for stratum, source, ms, f in (
        ("block", "residual", 0.55556, None),
        ("block:system", "system", 0.54167, 0.42857),
        ("block:system", "residual", 1.26389, None),
        ("within", "manure", 2.66667, 0.37945),
        ("within", "system:manure", 0.54167, 0.07708),
        ("within", "residual", 7.02778, None),
    ):
        ours = line(found, source, stratum)
        check(f"nothing between plots, {stratum}, {source}: mean square", R, ms, ours.ms, 5.1e-6)
        if f is not None:
            check(f"nothing between plots, {source}: F", R, f, ours.f, 5.1e-6)
    assert found.components["block:system"] == pytest.approx((1.26389 - 7.02778) / 2, abs=1e-5)
    assert len(found.notes) == 2
    ruled = fit_or_strata(data, "yield", "system * manure", ["block", "block:system"])
    assert isinstance(ruled, Strata)
    assert ruled.test(("system",)) == found.test(("system",))


def test_covariate_goes_to_the_model(check):
    data = table("fiber_montgomery_2013", "strength", "diameter")
    found = fit_or_strata(data, "strength", "diameter + machine")
    assert isinstance(found, Model)
    source = "Montgomery (2013), table 15.10; R 4.2.2 with emmeans 1.8.4"
    test = found.test(("machine",))
    check("fibre with its diameter as covariate, machine: F", source, 2.61064, test.f, 5.1e-6)
    check("fibre, machine: chance", source, 0.11808, test.p, 5.1e-6)
    check("fibre, degrees of freedom", source, 11, test.df_rest, 1e-9)
    check("fibre, diameter alone, in order: F", source, 119.93304, _sequential(data), 5.1e-6)
    means = found.means("machine").found
    for label, mean, se, ours, ours_se in zip("ABC", (40.38241, 41.41922, 38.79836), (0.7236252, 0.7444169, 0.7878785),
                                              means.estimate, means.se, strict=True):  # fmt: skip
        check(f"fibre, mean of machine {label} at the mean diameter", source, mean, ours, 5.1e-6)
        check(f"fibre, standard error of that mean, {label}", source, se, ours_se, 5.1e-8)


def _sequential(data: dict[str, np.ndarray]) -> float:
    """F of the diameter alone, against the residual with machines: the first line of a table in order."""
    x = data["diameter"] - data["diameter"].mean()
    gain = float(x @ data["strength"]) ** 2 / float(x @ x)
    return gain / fit_model(data, "strength", "diameter + machine").fitted.variance("residual")


def test_either_analysis_gives_the_same_differences():
    data = table("oats_yates_1935", "yield")
    table_, model = oats(), fit_model(data, "yield", "variety * nitrogen", ["block", "block:variety"])
    for names in (("variety",), ("nitrogen",), ("variety", "nitrogen")):
        ours = combine_any(table_, all_pairs(table_.means(*names).weights).weights)
        theirs = combine_any(model, all_pairs(model.means(*names).weights).weights)
        np.testing.assert_allclose(ours.estimate, theirs.estimate, atol=1e-8)
        np.testing.assert_allclose(ours.se, theirs.se, rtol=1e-6)
        np.testing.assert_allclose(ours.df, theirs.df, rtol=1e-4)
