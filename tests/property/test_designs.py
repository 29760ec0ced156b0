"""What must hold of layouts, of the chances foretold for them, and of old maps, whatever the seed."""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy.integrate import quad
from scipy.stats import chi2, norm, t

from spadework.statistics.designs.layouts import Asked, Factor, Restrictions, comparisons, standing_of, strata
from spadework.statistics.designs.randomise import CannotLay, Laid, lay
from spadework.statistics.models.model import fit_model
from spadework.statistics.power.detectable import (
    blocks_needed,
    detectable_difference,
    least_difference,
    power_of_difference,
    power_of_f,
)
from spadework.statistics.power.errors import sed_of_fields, sed_of_two
from spadework.statistics.power.foretell import Scatter, foretell
from spadework.statistics.power.margin import power_of_alike, power_of_no_worse
from spadework.statistics.power.virtual_strips import _shifts, plots_side_by_side, points_in_plots, virtual_cv

SEEDS = some.integers(0, 2**40)
FOUR = Factor("system", ("plough", "cultivator", "strip", "injector"))
THREE = Factor("system", ("plough", "cultivator", "strip"))
TWO = Factor("system", ("plough", "strip"))
INSIDE = Factor("nitrogen", ("none", "less", "full"), within=True)
CROSSED = Factor("inhibitor", ("with", "without"))
LAYOUTS = {
    "blocks": Asked("complete blocks", (FOUR,), 4),
    "crossed": Asked("complete blocks", (THREE, CROSSED), 4),
    "pairs": Asked("pairs", (TWO,), 6),
    "square": Asked("Latin square", (FOUR,), 4),
    "crossed square": Asked("Latin square", (THREE, CROSSED), 6),
    "split": Asked("split plots", (THREE, INSIDE), 4),
    "split of crossed": Asked("split plots", (TWO, CROSSED, INSIDE), 4),
    "criss-cross": Asked("criss-cross", (THREE, INSIDE), 4),
    "strips": Asked("strips", (THREE,), 5),
    "check": Asked("repeated check", (Factor("system", tuple("Cabcdefg")),), 3, ("C",), 3),
    "augmented": Asked("augmented blocks", (Factor("system", tuple("CDEabcdefghij")),), 4, ("C", "D", "E")),
}
EVERY = pytest.mark.parametrize("name", LAYOUTS)


def one_hot(*columns: np.ndarray) -> np.ndarray:
    labels = np.array(["|".join(map(str, row)) for row in zip(*columns, strict=True)])
    return (labels[:, None] == np.unique(labels)[None, :]).astype(float)


def rank(*parts: np.ndarray) -> int:
    return int(np.linalg.matrix_rank(np.hstack(parts)))


@EVERY
@settings(max_examples=20)
@given(seed=SEEDS)
def test_same_seed_same_layout_and_every_plot_once(name: str, seed: int) -> None:
    asked = LAYOUTS[name]
    laid = lay(asked, seed)
    assert lay(asked, seed) == laid
    assert len({plot.number for plot in laid.rows}) == len(laid.rows)
    assert len({(plot.row, plot.column) for plot in laid.rows}) == len(laid.rows)
    assert [plot.number for plot in laid.rows] == sorted(plot.number for plot in laid.rows)
    for block in range(1, asked.blocks + 1):
        held = Counter(plot.labels for plot in laid.rows if plot.block == block)
        if name == "check":
            assert held.pop(("C",)) == asked.checks_per_block
            assert set(held.values()) == {1}
            assert len(held) == 7
        elif name == "augmented":
            assert all(held[(check,)] == 1 for check in "CDE")
        else:
            wanted = itertools.product(*(factor.labels for factor in asked.factors))
            assert held == Counter(wanted)
    if name == "augmented":
        assert Counter(plot.labels[0] for plot in laid.rows if plot.labels[0] in "abcdefghij") == Counter("abcdefghij")


@settings(max_examples=30)
@given(seed=SEEDS, size=some.integers(3, 9))
def test_a_square_has_every_label_once_in_every_row_and_column(seed: int, size: int) -> None:
    laid = lay(Asked("Latin square", (Factor("system", tuple("abcdefghi"[:size])),), size, few=True), seed)
    for key in ("row", "column"):
        held = Counter((getattr(plot, key), plot.labels[0]) for plot in laid.rows)
        assert set(held.values()) == {1}
        assert len(held) == size**2


def test_layouts_of_different_seeds_differ() -> None:
    assert len({lay(LAYOUTS["blocks"], seed).rows for seed in range(50)}) == 50


@settings(max_examples=30)
@given(seed=SEEDS, every=some.integers(2, 5))
def test_a_check_comes_every_so_many_strips(seed: int, every: int) -> None:
    laid = lay(replace(LAYOUTS["check"], every=every), seed)
    names = [plot.labels[0] for plot in laid.rows if plot.block == 1]
    places = [place for place, name in enumerate(names) if name == "C"]
    assert places[0] == 0
    assert places[-1] == len(names) - 1
    assert set(np.diff(places)[:-1]) <= {every}
    assert np.diff(places)[-1] <= every


RESTRICTED = (
    Restrictions(apart=("plough", "strip")),
    Restrictions(edge="plough"),
    Restrictions(borders=True),
    Restrictions(apart=("plough", "strip"), edge="injector", borders=True),
)


def fulfils(laid: Laid, told: Restrictions) -> bool:
    names = [[p.labels[0] for p in laid.rows if p.block == b] for b in range(1, laid.asked.blocks + 1)]
    beside = [pair for order in names for pair in itertools.pairwise(order)]
    apart = all(not {a, b} <= set(told.apart) for a, b in beside)
    edge = not told.edge or all(told.edge in (order[0], order[-1]) for order in names)
    return apart and edge and not (told.borders and any(a[-1] == b[0] for a, b in itertools.pairwise(names)))


@pytest.mark.parametrize("told", RESTRICTED, ids=range(4))
@settings(max_examples=30)
@given(seed=SEEDS)
def test_restrictions_are_kept_and_carried(told: Restrictions, seed: int) -> None:
    laid = lay(replace(LAYOUTS["blocks"], restrictions=told), seed)
    assert fulfils(laid, told)
    assert laid.restricted == told.said()
    assert laid.standing == "replicated"


@pytest.mark.parametrize("told", RESTRICTED, ids=range(4))
def test_restricted_layouts_are_counted_and_each_is_as_likely(told: Restrictions) -> None:
    asked = Asked("complete blocks", (FOUR,), 2, restrictions=told, few=True)
    orders = list(itertools.permutations(FOUR.labels))
    drawn = [lay(asked, seed) for seed in range(6_000)]
    fitting = 0
    for first, second in itertools.product(orders, repeat=2):
        rows = [replace(p, labels=(n,)) for p, n in zip(drawn[0].rows, (*first, *second), strict=True)]
        fitting += fulfils(replace(drawn[0], rows=tuple(rows)), told)
    assert drawn[0].admissible == fitting
    seen = Counter(tuple(p.labels for p in laid.rows) for laid in drawn)
    expected = len(drawn) / fitting
    observed = [*seen.values(), *[0] * (fitting - len(seen))]
    statistic = sum((n - expected) ** 2 for n in observed) / expected
    assert chi2.sf(statistic, fitting - 1) > 1e-4


@pytest.mark.parametrize(("size", "squares"), [(3, 12), (4, 576)])
def test_every_latin_square_is_as_likely(size: int, squares: int) -> None:
    asked = Asked("Latin square", (Factor("system", tuple("abcd"[:size])),), size, few=True)
    seen = Counter(tuple(p.labels for p in lay(asked, seed).rows) for seed in range(10 * squares))
    assert len(seen) <= squares
    statistic = sum((n - 10) ** 2 for n in seen.values()) / 10 + 10 * (squares - len(seen))
    assert chi2.sf(statistic, squares - 1) > 1e-4


def test_restrictions_on_many_plots_are_kept_by_drawing_again() -> None:
    many = Factor("system", tuple("abcdefghijkl"))
    told = Restrictions(apart=("a", "b", "c"), edge="d", borders=True)
    for seed in range(10):
        laid = lay(Asked("complete blocks", (many,), 4, restrictions=told), seed)
        assert fulfils(laid, told)
        assert laid.admissible is None


@EVERY
def test_degrees_of_freedom_are_those_of_the_columns(name: str) -> None:
    asked = LAYOUTS[name]
    laid = lay(asked, 5)
    data = laid.data
    treated = one_hot(*(data[f.name] for f in asked.factors))
    outer = one_hot(*(data[f.name] for f in asked.factors if not f.within))
    found = {stratum.name: stratum.df for stratum in laid.strata}
    if name.startswith("split"):
        blocks, plots = one_hot(data["block"]), one_hot(data["whole_plot"])
        assert found["whole plots"] == rank(plots) - rank(blocks, outer)
        assert found["sub-plots"] == len(laid.rows) - rank(plots, treated)
    elif name == "criss-cross":
        blocks, along, across = (one_hot(data[key]) for key in ("block", "strip_along", "strip_across"))
        inner = one_hot(data["nitrogen"])
        assert found["strips along"] == rank(along) - rank(blocks, outer)
        assert found["strips across"] == rank(across) - rank(blocks, inner)
        assert found["crossings"] == len(laid.rows) - rank(along, across, treated)
    elif "square" in name:
        assert found["plots"] == len(laid.rows) - rank(one_hot(data["row"]), one_hot(data["column"]), treated)
    else:
        assert found["plots"] == len(laid.rows) - rank(one_hot(data["block"]), treated)


@pytest.mark.parametrize("name", ["blocks", "crossed", "pairs", "square", "crossed square", "check", "augmented"])
def test_variances_of_differences_are_those_of_least_squares(name: str) -> None:
    asked = LAYOUTS[name]
    laid = lay(asked, 9)
    data = laid.data
    parts = [one_hot(data[key]) for key in (("row", "column") if "square" in name else ("block",))]
    treated = one_hot(*(data[f.name] for f in asked.factors))
    inverse = np.linalg.pinv(np.hstack([treated, *parts]).T @ np.hstack([treated, *parts]))
    labels = np.unique(["|".join(map(str, row)) for row in zip(*(data[f.name] for f in asked.factors), strict=True)])

    def variance(place: int, first: str, second: str) -> float:
        weights = np.zeros(inverse.shape[0])
        for sign, label in ((1, first), (-1, second)):
            having = [i for i, one in enumerate(labels) if one.split("|")[place] == label]
            weights[having] += sign / len(having)
        return float(weights @ inverse @ weights)

    compared = comparisons(asked)
    if name == "check":
        assert compared[0].factor == pytest.approx(variance(0, "a", "C"))
    elif name == "augmented":
        block = {plot.labels[0]: plot.block for plot in laid.rows}
        other = next(one for one in "bcdefghij" if block[one] != block["a"])
        for found, two in zip(compared, (("a", "C"), ("a", other), ("C", "D")), strict=True):
            assert found.factor == pytest.approx(variance(0, *two)), found.what
    else:
        for place, (found, factor) in enumerate(zip(compared, asked.factors, strict=True)):
            assert found.factor == pytest.approx(variance(place, *factor.labels[:2]))


@pytest.mark.parametrize("name", ["blocks", "pairs", "square", "split", "criss-cross"])
def test_terms_of_the_layout_give_its_degrees_of_freedom_in_the_model(name: str) -> None:
    laid = lay(LAYOUTS[name], 11)
    random = np.random.default_rng(4)
    data = dict(laid.data)
    yields = random.normal(0, 0.3, len(laid.rows))
    for term in laid.random:
        _, codes = np.unique(data[term], return_inverse=True)
        yields += random.normal(0, 2, codes.max() + 1)[codes]
    model = fit_model({**data, "dm_t_ha": 15 + yields}, "dm_t_ha", laid.fixed, laid.random)
    for stratum in laid.strata:
        for term in stratum.terms:
            assert model.test(tuple(term.split(":"))).df_rest == pytest.approx(stratum.df, abs=1e-3)


def test_standing_follows_from_what_was_drawn() -> None:
    assert {name: standing_of(asked) for name, asked in LAYOUTS.items()} == {
        **dict.fromkeys(LAYOUTS, "replicated"),
        "strips": "strips",
        "check": "strips",
        "augmented": "looked",
    }
    ordered = replace(LAYOUTS["blocks"], restrictions=Restrictions(order=FOUR.labels[::-1]))
    laid = lay(ordered, 1)
    assert laid.standing == "strips"
    assert {p.labels[0] for p in laid.rows if p.position == 1} == {"injector"}
    assert lay(Asked("strips", (THREE,), 1), 1).standing == "looked"


POSITIVE = some.floats(0.01, 100)


@settings(max_examples=60)
@given(sed=POSITIVE, df=some.integers(2, 60), chance=some.floats(0.001, 0.3), power=some.floats(0.5, 0.99))
def test_the_detectable_difference_is_found_with_the_wanted_chance(
    sed: float, df: int, chance: float, power: float
) -> None:
    found = float(detectable_difference(sed, df, chance, power))
    assert float(power_of_difference(found, sed, df, chance)) == pytest.approx(power, abs=1e-7)
    assert float(power_of_difference(-found, sed, df, chance)) == pytest.approx(power, abs=1e-7)
    assert float(power_of_difference(0, sed, df, chance)) == pytest.approx(chance, abs=1e-8)
    assert float(detectable_difference(7 * sed, df, chance, power)) == pytest.approx(7 * found)
    assert float(detectable_difference(sed, df + 1, chance, power)) < found
    assert float(least_difference(sed, df, chance)) == pytest.approx(sed * t.ppf(1 - chance / 2, df))


def test_chances_are_numbers_everywhere() -> None:
    df, off, chance = np.meshgrid(
        [1, 2, 3, 4, 6, 9, 20, 60, 1e4], np.linspace(0, 60, 121), [1e-6, 1e-4, 0.01, 0.05, 0.5]
    )
    found = power_of_difference(off, 1, df, chance)
    assert np.isfinite(found).all()
    assert (np.diff(found, axis=0) > -1e-9).all()
    worse = power_of_no_worse(off - 30, 0, 1, df, chance)
    assert np.isfinite(worse).all()
    assert (np.diff(worse, axis=0) > -1e-9).all()


@settings(max_examples=40)
@given(ratio=some.floats(0.4, 5), systems=some.integers(2, 8), power=some.floats(0.5, 0.95))
def test_blocks_needed_are_enough_and_one_fewer_is_not(ratio: float, systems: int, power: float) -> None:
    blocks = float(blocks_needed(ratio, 1, systems, 0.05, power))

    def found(n: float) -> float:
        return float(power_of_difference(ratio, sed_of_two(1, n), (systems - 1) * (n - 1), 0.05))

    assert found(blocks) >= power
    assert blocks == 2 or found(blocks - 1) < power


@settings(max_examples=40)
@given(sed=POSITIVE, df=some.integers(2, 60), margin=some.floats(0.1, 8), chance=some.floats(0.01, 0.3))
def test_chances_of_no_worse_and_alike(sed: float, df: int, margin: float, chance: float) -> None:
    loss = margin * sed
    assert float(power_of_no_worse(-loss, loss, sed, df, chance)) == pytest.approx(chance, abs=1e-8)
    no_worse = float(power_of_no_worse(0, loss, sed, df, chance))
    alike = float(power_of_alike(0, loss, sed, df, chance))
    assert 2 * no_worse - 1 - 1e-3 <= alike <= no_worse + 1e-3
    assert float(power_of_alike(loss, loss, sed, df, chance)) <= chance + 1e-3
    assert float(power_of_alike(0.3 * loss, loss, sed, df, chance)) == pytest.approx(
        float(power_of_alike(-0.3 * loss, loss, sed, df, chance))
    )


@pytest.mark.parametrize(("off", "margin", "df"), [(0, 3.4, 6), (1, 3.4, 6), (0, 5, 3), (0.5, 2.2, 30)])
def test_chance_of_alike_against_an_integral(off: float, margin: float, df: int) -> None:
    beyond = t.ppf(0.95, df)

    def at(s: float) -> float:
        density = chi2.pdf(df * s * s, df) * 2 * df * s
        return density * max(0.0, norm.cdf(margin - off - beyond * s) - norm.cdf(beyond * s - margin - off))

    wanted = quad(at, 0, margin / beyond, limit=200)[0]
    assert float(power_of_alike(off, margin, 1, df, 0.05)) == pytest.approx(wanted, abs=2e-4)


@given(shift=some.floats(-50, 50), seed=some.integers(0, 1000))
@settings(max_examples=30)
def test_the_test_over_all_sees_differences_only(shift: float, seed: int) -> None:
    means = np.random.default_rng(seed).normal(0, 2, 4)
    one = float(power_of_f(means, 3, 4, 9, 0.05))
    assert float(power_of_f(means + shift, 3, 4, 9, 0.05)) == pytest.approx(one, abs=1e-7)
    assert float(power_of_f(means, 3, 5, 9, 0.05)) >= one
    two = power_of_f([0.0, 4.0], 3, 5, 8, 0.05)
    assert float(two) == pytest.approx(float(power_of_difference(4, sed_of_two(3, 5), 8, 0.05)), abs=1e-7)


@given(field=POSITIVE, plot=POSITIVE, blocks=some.integers(1, 12), fields=some.integers(1, 12))
def test_spreading_blocks_over_fields_never_widens_the_error(
    field: float, plot: float, blocks: int, fields: int
) -> None:
    spread = sed_of_fields(field, plot, fields * 2, blocks)
    assert spread <= sed_of_fields(field, plot, fields, 2 * blocks)
    assert sed_of_fields(0, plot, fields, blocks) == pytest.approx(sed_of_two(plot, fields * blocks))


@settings(max_examples=8)
@given(cv=some.floats(0.01, 0.2), systems=some.integers(2, 6), blocks=some.integers(4, 12))
def test_what_is_foretold_agrees_with_the_functions(cv: float, systems: int, blocks: int) -> None:
    asked = Asked("complete blocks", (Factor("system", tuple("abcdef"[:systems])),), blocks, few=True)
    even = Scatter(cv, cv, cv)
    found = foretell(asked, even, even, 0.04, detect_share=0.1, chance_share=0.05, power_share=0.8)
    needed = float(blocks_needed(0.1, cv, systems, 0.05, 0.8))
    assert found.blocks_wanted == (needed if needed <= 60 else None)
    sed = sed_of_two(cv, blocks)
    assert found.seen[0].found_share == pytest.approx(
        float(detectable_difference(sed, (systems - 1) * (blocks - 1), 0.05, 0.8))
    )
    shares = [middle for _, middle, _, _ in found.by_blocks]
    assert all(a > b for a, b in itertools.pairwise(shares))


# Old maps.

GRID = tuple(each.ravel() for each in np.meshgrid(np.arange(0.5, 120, 3.0), np.arange(0.5, 150, 3.0)))
STACKED = plots_side_by_side(3, 4, 9, 30, behind=True)
BESIDE = plots_side_by_side(3, 4, 6, 60)


@given(level=some.floats(0.1, 100))
@settings(max_examples=10)
def test_an_even_field_has_no_scatter(level: float) -> None:
    found = virtual_cv(*GRID, np.full(GRID[0].size, level), BESIDE)
    assert found.cv_share == pytest.approx(0, abs=1e-12)
    assert found.without_blocks_share == pytest.approx(0, abs=1e-12)


@given(slope=some.floats(0.001, 0.05))
@settings(max_examples=10)
def test_a_trend_from_block_to_block_is_taken_out_by_blocks(slope: float) -> None:
    found = virtual_cv(*GRID, 5 + slope * GRID[1], STACKED)
    assert found.cv_share == pytest.approx(0, abs=1e-12)
    assert found.without_blocks_share > 0.001


def test_a_trend_across_the_plots_of_a_block_stays_by_its_own_amount() -> None:
    x, y = (each.ravel() for each in np.meshgrid(np.arange(0.25, 150, 0.5), np.arange(0.5, 80, 4.0)))
    slope, level, width, plots = 0.001, 10.0, 6, 4
    found = virtual_cv(x, y, level + slope * (x - x.mean()), BESIDE)
    wanted = slope * width * np.sqrt(plots * (plots + 1) / 12) / level
    assert found.cv_share == pytest.approx(wanted, rel=0.02)
    assert found.without_blocks_share > 2 * wanted


@settings(max_examples=6)
@given(seed=some.integers(0, 1000), factor=some.floats(0.01, 50), turn=some.floats(0, 90))
def test_neither_unit_nor_heading_of_the_field_matters(seed: int, factor: float, turn: float) -> None:
    random = np.random.default_rng(seed)
    x, y = random.uniform(0, 120, 4000), random.uniform(0, 100, 4000)
    value = random.normal(9, 0.8, 4000)
    one = virtual_cv(x, y, value, BESIDE)
    angle = np.deg2rad(turn)
    turned = plots_side_by_side(3, 4, 6, 60, turn)
    other = virtual_cv(
        x * np.cos(angle) + y * np.sin(angle), y * np.cos(angle) - x * np.sin(angle), factor * value, turned
    )
    assert other.cv_share == pytest.approx(one.cv_share, rel=1e-3)
    assert other.placings == one.placings


def test_scatter_of_a_field_of_known_variogram() -> None:
    # Exponential variogram, range 15 m, sill 1, nugget 0.5; what plot means of blocks then differ by is arithmetic.
    random = np.random.default_rng(8)
    x, y = (each.ravel() for each in np.meshgrid(np.arange(1.0, 49, 3), np.arange(1.0, 61, 3)))
    apart = np.hypot(x[:, None] - x, y[:, None] - y)
    covariance = np.exp(-apart / 15) + 0.5 * np.eye(x.size)
    root = np.linalg.cholesky(covariance)
    plots = plots_side_by_side(2, 4, 6, 60)
    block = plots.block
    squares = []
    for _ in range(25):
        field = 20 + root @ random.normal(size=x.size)
        found = virtual_cv(x, y, field, plots)
        squares.append((found.cv_share * 20) ** 2)
    shifts = _shifts(x, y, plots, np.random.default_rng(1), 400)
    within = np.eye(8) - (block[:, None] == block) / 4
    counted = []
    for east, north in shifts:
        place = points_in_plots(x - east, y - north, plots)
        counts = np.bincount(place[place >= 0], minlength=8)
        if counts.min() < 8:
            continue
        mean = (place[None, :] == np.arange(8)[:, None]) / counts[:, None]
        counted.append(np.trace(within @ mean @ covariance @ mean.T) / 6)
    wanted = float(np.mean(counted))
    error = np.std(squares) / np.sqrt(len(squares))
    assert abs(np.mean(squares) - wanted) < 4 * error
    assert error < 0.2 * wanted


def test_restrictions_that_nothing_fulfils_are_refused() -> None:
    for told in (
        Restrictions(apart=FOUR.labels),
        Restrictions(apart=("plough", "cultivator", "strip"), edge="injector"),
    ):
        with pytest.raises(CannotLay, match="no layout fulfils"):
            lay(replace(LAYOUTS["blocks"], restrictions=told), 1)
    assert strata(LAYOUTS["blocks"])[0].df == 9
