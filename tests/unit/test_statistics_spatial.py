"""Errors, notes and edges of neighbours on the grid."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from spadework.ranges import ImpossibleValue
from spadework.statistics.models.terms import UnclearModel
from spadework.statistics.residuals.neighbours import neighbour_means, papadakis, spatial_sensitivity
from spadework.statistics.residuals.on_map import moran_i, neighbours_alike, on_the_map, trend_on_map
from spadework.statistics.residuals.spatial import fit_spatial, grid_of

ROW, COLUMN = np.divmod(np.arange(24), 6)
Y = np.random.default_rng(5).normal(size=24)
ONE = np.ones((24, 1))
STRIPS = {
    "block": [1, 1, 1, 2, 2, 2, 3, 3, 3],
    "system": list("abcbcacab"),
    "strip": list(range(9)),
    "row": [1] * 9,
    "y": [5.0, 6.2, 7.1, 6.9, 7.3, 6.8, 7.5, 6.1, 6.3],
}
WRONG: list[tuple[Callable[[], object], type[Exception], str]] = [
    (lambda: grid_of([1, 1], [2, 2]), ValueError, "2 readings lie in one place"),
    (lambda: grid_of([1.5, 2], [1, 2]), ImpossibleValue, "row that is not whole"),
    (lambda: grid_of([1, 2, 3], [1, 2]), ValueError, "a number for each plot"),
    (lambda: fit_spatial(Y, ONE[1:], ROW, COLUMN), ValueError, "`fixed` must have a row"),
    (lambda: fit_spatial(Y, COLUMN[:, np.newaxis], ROW, COLUMN), ValueError, "one level to all plots"),
    (lambda: fit_spatial(Y[1:], ONE[1:], ROW, COLUMN), ValueError, "a number for each reading"),
    (lambda: fit_spatial(Y[:4], ONE[:4], ROW[:4], COLUMN[:4]), ImpossibleValue, "number of readings"),
    (lambda: fit_spatial(Y, ONE, ROW * 900, COLUMN * 900), ImpossibleValue, "places of the grid"),
    (lambda: fit_spatial(Y, ONE, ROW, COLUMN, held=(1.2, 0, 0)), ImpossibleValue, "held rho_rows"),
    (lambda: neighbour_means(Y[1:], ROW, COLUMN), ValueError, "a number for each value"),
    (lambda: papadakis(Y, ONE[1:], ROW, COLUMN), ValueError, "`fixed` must have a row"),
    (lambda: papadakis(Y, COLUMN[:, np.newaxis], ROW, COLUMN), ValueError, "one level to all plots"),
    (lambda: papadakis(Y[:2], ONE[:2], ROW[:2], COLUMN[:2]), ImpossibleValue, "degrees of freedom"),
    (lambda: spatial_sensitivity(STRIPS, "y", "system", ["block"], "line", "strip", "system"), UnclearModel, '"line"'),
    (lambda: on_the_map(Y[1:], ROW, COLUMN), ValueError, "a number for each value"),
    (lambda: moran_i([1.0, 1.0], [1, 1], [1, 2]), ImpossibleValue, "sum of squares"),
    (lambda: moran_i([1.0, 2.0], [1, 1], [1, 3]), ImpossibleValue, "pairs of neighbours"),
    (lambda: neighbours_alike(Y, ROW, COLUMN, draws=5), ImpossibleValue, "draws"),
    (lambda: trend_on_map(Y, ROW, COLUMN, df_rest=2), ImpossibleValue, "degrees of freedom"),
    (lambda: trend_on_map([1.0, 2.0, 4.0, 3.0], [1, 2, 3, 4], [1, 2, 3, 4]), ImpossibleValue, "directions"),
]  # fmt: skip


@pytest.mark.parametrize(("call", "kind", "words"), WRONG)
def test_what_cannot_be_is_said(call: Callable[[], object], kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        call()


def test_places_count_from_the_first_and_gaps_stay() -> None:
    grid = grid_of([5, 5, 7], [-2, -1, -2])
    assert grid.shape == (3, 2)
    assert grid.row.tolist() == [0, 0, 2]
    assert not grid.full


def test_a_second_opinion_says_that_it_is_one() -> None:
    found = fit_spatial(Y, ONE, ROW, COLUMN)
    assert found.notes[0] == "a second opinion: the layout's own analysis comes first"
    assert found.criterion == pytest.approx(-2 * found.log_likelihood + 8)
    assert found.se([[1.0]]).shape == (1,)


def test_what_the_plots_do_not_tell_is_said() -> None:
    walk = np.cumsum(np.random.default_rng(1).normal(size=30))
    found = fit_spatial(walk, np.ones((30, 1)), np.zeros(30), np.arange(30))
    assert any("a plot's own went to the end of its range" in note for note in found.notes)
    assert np.isnan(found.rho_rows)
    assert found.parameters == 3


def test_given_values_are_not_searched_for() -> None:
    found = fit_spatial(Y, ONE, ROW, COLUMN, held=(0.2, 0.3, 0.1))
    assert (found.rho_rows, found.rho_columns, found.nugget_share) == (0.2, 0.3, 0.1)
    assert found.parameters == 1
    assert found.agreed == (1, 1)


def test_one_row_of_strips_has_a_second_opinion_across_them() -> None:
    found = spatial_sensitivity(STRIPS, "y", "system", ["block"], "row", "strip", "system")
    assert found.opinions[0].name == "as laid out"
    assert len(found.opinions) == 4
    assert "standard errors under the layout's own analysis" in found.sentence
    assert [
        each.name for each in spatial_sensitivity(STRIPS, "y", "system", [], "row", "strip", "system").opinions
    ] == [
        "as laid out",
        "neighbours alike",
        "neighbours alike, each plot with a part of its own",
    ]


def test_a_missing_reading_leaves_an_empty_place() -> None:
    gone = {**STRIPS, "y": [5.0, np.nan, *STRIPS["y"][2:]]}
    found = spatial_sensitivity(gone, "y", "system", ["block"], "row", "strip", "system")
    assert found.opinions[0].notes[0].startswith("1 of 9 readings")


def test_direction_without_neighbours_has_no_slope() -> None:
    found = papadakis(Y[:6], ONE[:6], ROW[:6], COLUMN[:6])
    assert np.isnan(found.slopes[1])
    assert found.se([[1.0]]).shape == (1,)


def test_a_straight_map_has_no_chance_of_being_level() -> None:
    found = trend_on_map(np.arange(6.0), np.zeros(6), np.arange(6))
    assert found.per_column == pytest.approx(1)
    assert found.p_column < 1e-12
