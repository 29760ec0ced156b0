"""Layouts that could have been drawn, and readings held against them: shapes, refusals, edges.  All figures are invented."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from spadework.ranges import ImpossibleValue
from spadework.statistics.designs.layouts import Asked, Factor, Restrictions
from spadework.statistics.designs.randomise import lay
from spadework.statistics.relabelled import layouts as permutation_layouts
from spadework.statistics.relabelled.layouts import CannotShuffle, Layouts, restricted, shuffled, squares
from spadework.statistics.relabelled.permutation import shuffle_test

SYSTEMS = ("plough", "cultivator", "strip", "injector")


def blocks_of(asked: Asked, seed: int) -> list[list[str]]:
    laid = lay(asked, seed)
    return [[plot.labels[0] for plot in laid.rows if plot.block == block] for block in range(1, asked.blocks + 1)]


def test_every_layout_is_another_one_and_holds_the_labels_of_its_block() -> None:
    cells = np.repeat(range(3), 3)
    found = shuffled(list("abc") * 3, cells)
    assert found.exact
    assert len({tuple(row) for row in found.codes.tolist()}) == len(found.codes) == 36
    for cell in range(3):
        assert (np.sort(found.codes[:, cells == cell], axis=1) == np.arange(3)).all()


def test_a_block_with_a_gap_keeps_its_own_labels() -> None:
    found = shuffled(["a", "b", "c", "a", "b"], [1, 1, 1, 2, 2])
    assert found.exact
    assert found.codes.shape == (12, 5)  # names cannot be exchanged throughout any more
    assert (np.sort(found.codes[:, 3:], axis=1) == [0, 1]).all()
    assert np.isnan(found.smallest)


def test_many_layouts_are_drawn_and_the_same_seed_draws_the_same() -> None:
    labels, cells = list("abcd") * 5, np.repeat(range(5), 4)
    one, two, other = shuffled(labels, cells), shuffled(labels, cells), shuffled(labels, cells, seed=8)
    assert not one.exact
    assert one.codes.shape == (9999, 20)
    np.testing.assert_array_equal(one.codes, two.codes)
    assert (one.codes != other.codes).any()
    y = np.random.default_rng(1).normal(size=20)
    assert shuffle_test(y, one, cells).p == pytest.approx(shuffle_test(y, other, cells).p, abs=0.02)


def test_labels_that_never_meet_cannot_change_places() -> None:
    with pytest.raises(CannotShuffle, match="no two labels"):
        shuffled(["a", "a", "b", "b"], [1, 1, 2, 2])


@pytest.mark.parametrize(
    ("size", "count"),
    [
        (3, 2),
        (4, 24),
        (5, 1344),
    ],  # 12, 576 and 161280 squares over 3!, 4! and 5!: counts of Fisher and Yates, from memory
)
def test_squares_are_all_there(size: int, count: int) -> None:
    laid = lay(Asked("Latin square", (Factor("system", tuple("abcde"[:size])),), size, few=True), seed=3)
    square = [[plot.labels[0] for plot in laid.rows if plot.row == row] for row in range(1, size + 1)]
    found = squares(square)
    assert found.exact
    assert len({tuple(row) for row in found.codes.tolist()}) == len(found.codes) == count
    grid = found.codes.reshape(-1, size, size)
    for axis in (1, 2):
        assert (np.sort(grid, axis=axis) == np.arange(size).reshape((1, size, 1) if axis == 1 else (1, 1, size))).all()


def test_a_large_square_is_drawn_and_stays_one() -> None:
    laid = lay(Asked("Latin square", (Factor("system", tuple("abcdef")),), 6), seed=3)
    square = [[plot.labels[0] for plot in laid.rows if plot.row == row] for row in range(1, 7)]
    found = squares(square)
    assert not found.exact
    grid = found.codes.reshape(-1, 6, 6)
    assert (np.sort(grid, axis=2) == np.arange(6)).all()
    assert (np.sort(grid, axis=1) == np.arange(6)[:, np.newaxis]).all()


def test_rows_of_a_square_keep_to_restrictions() -> None:
    told = Restrictions(apart=("a", "b"))
    laid = lay(Asked("Latin square", (Factor("system", tuple("abcd")),), 4, restrictions=told), seed=3)
    square = [[plot.labels[0] for plot in laid.rows if plot.row == row] for row in range(1, 5)]
    found = squares(square, told)
    near = found.codes.reshape(-1, 4, 4)
    assert not ((near[:, :, 1:] < 2) & (near[:, :, :-1] < 2)).any()


@pytest.mark.parametrize("square", [["ab", "ab"], ["abc", "bca"], ["ab", "ba", "ab"], ["aab", "aba", "baa"]])
def test_no_square(square: list[str]) -> None:
    with pytest.raises(CannotShuffle, match="no full Latin square"):
        squares(square)


@pytest.mark.parametrize(
    "told",
    [
        Restrictions(borders=True),
        Restrictions(apart=("plough", "strip")),
        Restrictions(edge="plough"),
        Restrictions(edge="strip", borders=True, apart=("plough", "injector")),
    ],
)
def test_restricted_layouts_are_as_many_as_the_drawing_counts(told: Restrictions) -> None:
    asked = Asked("complete blocks", (Factor("system", SYSTEMS),), 3, restrictions=told)
    found = restricted(blocks_of(asked, 5), told)
    assert found.exact
    assert len({tuple(row) for row in found.codes.tolist()}) == len(found.codes) == lay(asked, 5).admissible


def test_restricted_draws_keep_to_what_was_declared() -> None:
    told = Restrictions(borders=True, apart=("plough", "strip"))
    asked = Asked("complete blocks", (Factor("system", SYSTEMS),), 6, restrictions=told)
    found = restricted(blocks_of(asked, 5), told)
    assert not found.exact
    grid = found.codes.reshape(-1, 6, 4)
    assert (grid[:, :-1, -1] != grid[:, 1:, 0]).all()
    marked = np.isin(grid, [found.names.index("plough"), found.names.index("strip")])
    assert not (marked[..., 1:] & marked[..., :-1]).any()
    assert (np.sort(grid, axis=2) == np.arange(4)).all()


def test_a_lost_plot_keeps_its_label() -> None:
    told = Restrictions(borders=True)
    asked = Asked("complete blocks", (Factor("system", SYSTEMS[:3]),), 4, restrictions=told)
    rows = blocks_of(asked, 2)
    lost = np.zeros(12, dtype=bool)
    lost[4] = True
    found, whole = restricted(rows, told, lost), restricted(rows, told)
    assert (found.codes[:, 4] == found.own[4]).all()
    assert len(found.codes) == (whole.codes[:, 4] == whole.own[4]).sum()


def test_only_two_change_places_and_keep_to_restrictions() -> None:
    told = Restrictions(borders=True)
    asked = Asked("complete blocks", (Factor("system", SYSTEMS),), 5, restrictions=told)
    rows = blocks_of(asked, 4)
    whole, found = restricted(rows, told), restricted(rows, told, pair=("plough", "strip"))
    two = [found.names.index(name) for name in ("plough", "strip")]
    still = ~np.isin(found.own, two)
    assert (found.codes[:, still] == found.own[still]).all()
    assert 1 < len(found.codes) <= 2**5
    grid = found.codes.reshape(-1, 5, 4)
    assert (grid[:, :-1, -1] != grid[:, 1:, 0]).all()
    assert whole.names == found.names


def test_a_file_that_does_not_lie_as_declared() -> None:
    with pytest.raises(CannotShuffle, match="does not lie as declared"):
        restricted([["a", "b"], ["b", "a"]], Restrictions(borders=True))


def test_large_blocks_are_drawn_one_by_one() -> None:
    told = Restrictions(edge="a")
    asked = Asked("complete blocks", (Factor("system", tuple("abcdefghi")),), 2, restrictions=told)
    found = restricted(blocks_of(asked, 1), told)
    ends = found.codes.reshape(-1, 2, 9)[:, :, [0, -1]]
    assert not found.exact
    assert (ends == 0).any(axis=2).all()


def test_shapes_that_do_not_fit() -> None:
    layouts = shuffled(["a", "b"] * 3, np.repeat(range(3), 2))
    with pytest.raises(ValueError, match="one place for each unit"):
        shuffle_test([1.0, 2.0], layouts)
    with pytest.raises(ImpossibleValue):
        shuffle_test([1.0, 2.0, 3.0, 4.0, 5.0, np.nan], layouts)


def test_readings_all_alike_differ_in_no_layout() -> None:
    cells = np.repeat(range(3), 2)
    assert shuffle_test(np.full(6, 15.3), shuffled(["a", "b"] * 3, cells), cells).p == 1


def test_drawn_layouts_never_give_a_chance_of_nought() -> None:
    cells = np.repeat(range(6), 4)
    y = np.tile([0.0, 10.0, 20.0, 30.0], 6) + np.random.default_rng(1).normal(size=24)
    found = shuffle_test(y, shuffled(list("abcd") * 6, cells), cells)
    assert found.p == found.smallest == 1e-4


@pytest.mark.parametrize("way", ["blocks", "borders", "edge", "two", "square"])
def test_draws_come_to_the_chance_of_all_layouts(monkeypatch: pytest.MonkeyPatch, way: str) -> None:
    rules = SimpleNamespace(
        layouts_most=1, layouts_drawn=9999, draws_seed=5, rounds_most=400, orders_most=2 if way == "edge" else 7
    )
    told = Restrictions(borders=way != "edge", edge="plough" if way == "edge" else "")
    asked = Asked("complete blocks", (Factor("system", SYSTEMS),), 3, restrictions=told)
    rows = [list("abcd"), list("badc"), list("cdab"), list("dcba")] if way == "square" else blocks_of(asked, 5)
    labels, cells = np.ravel(rows), np.repeat(range(len(rows)), 4)
    groups = [cells, np.tile(range(4), 4)] if way == "square" else [cells]

    def layouts() -> Layouts:
        if way == "square":
            return squares(rows, Restrictions(apart=("a",)))  # forbids nothing, and so is drawn
        if way == "blocks":
            return shuffled(labels, cells)
        return restricted(rows, told, pair=SYSTEMS[:2] if way == "two" else None)

    y = np.random.default_rng(6).normal(size=labels.size) + (labels == sorted(set(labels.tolist()))[0])
    every = squares(rows) if way == "square" else layouts()
    monkeypatch.setattr(permutation_layouts, "_K", rules)
    drawn = layouts()
    assert every.exact
    assert not drawn.exact
    p, found = shuffle_test(y, every, *groups).p, shuffle_test(y, drawn, *groups).p
    assert 0.02 < p < 0.98 or way == "two"
    assert found == pytest.approx(p, abs=4 * np.sqrt(p * (1 - p) / 9999) + 1e-4)


def test_a_pair_never_has_a_smaller_chance_than_one_of_the_layouts_that_are_told() -> None:
    blocks_ = np.repeat(["1", "2"], 4)
    layouts = shuffled(["a", "b", "c", "d"] * 2, blocks_)
    values = np.array([1.0, 5.0, 2.0, 3.0, 1.5, 6.0, 2.5, 2.0])
    found = shuffle_test(values, layouts, blocks_, pair=("a", "b"))
    assert found.exact
    assert found.layouts == 24 * 6  # layouts up to the names, times the pairs of names
    assert found.smallest >= 1 / found.layouts - 1e-12
    assert found.p * found.layouts == pytest.approx(round(found.p * found.layouts))


def test_a_pair_among_many_is_counted_as_from_means_of_all_labels() -> None:
    cells = np.repeat(["1", "2", "3", "4"], 5)
    layouts = shuffled(list("abcde") * 4, cells, seed=3)
    values = np.random.default_rng(8).normal(0, 1, 20)
    found = shuffle_test(values, layouts, cells, pair=("b", "d"))
    own = [values[layouts.own == layouts.names.index(name)].mean() for name in "bd"]
    apart = [[values[row == layouts.names.index(name)].mean() for name in "bd"] for row in layouts.codes]
    as_much = np.sum(np.abs(np.diff(apart, axis=1)).ravel() >= abs(own[1] - own[0]) - 1e-12)
    assert not found.exact
    assert found.p == pytest.approx((1 + as_much) / (1 + len(layouts.codes)))
