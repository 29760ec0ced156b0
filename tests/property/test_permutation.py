"""What must hold of labels dealt out again, whatever the readings."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.statistics.designs.layouts import Restrictions
from spadework.statistics.relabelled.layouts import restricted, shuffled, squares
from spadework.statistics.relabelled.permutation import shuffle_test
from spadework.statistics.strata.analysis import strata_table

FIGURES = st.lists(st.integers(-500, 500).map(lambda n: n / 10), min_size=12, max_size=12)
CELLS = np.repeat(range(4), 3)
LABELS = np.array(list("abc") * 4)
LAYOUTS = shuffled(LABELS, CELLS)


@given(FIGURES, st.integers(-50, 50), st.sampled_from([0.001, 0.3, 40.0, -2.0]))
@settings(deadline=None, max_examples=40)
def test_units_and_blocks_change_no_chance(y: list[float], shift: int, factor: float) -> None:
    moved = np.array(y) * factor + shift * CELLS
    one, two = shuffle_test(y, LAYOUTS, CELLS), shuffle_test(moved, LAYOUTS, CELLS)
    assert one == two
    assert one.smallest <= one.p <= 1


@given(FIGURES, st.permutations("abc"))
@settings(deadline=None, max_examples=40)
def test_names_change_no_chance(y: list[float], names: list[str]) -> None:
    named = np.array([names["abc".index(label)] for label in LABELS])
    layouts = shuffled(named, CELLS)
    assert shuffle_test(y, layouts, CELLS) == shuffle_test(y, LAYOUTS, CELLS)
    pair = (names[0], names[1])
    assert shuffle_test(y, layouts, CELLS, pair=pair) == shuffle_test(y, LAYOUTS, CELLS, pair=("a", "b"))


@given(st.integers(0, 10_000))
@settings(deadline=None, max_examples=15)
def test_layouts_are_ranked_as_f_ranks_them(seed: int) -> None:
    y = np.random.default_rng(seed).normal(size=12)
    f = []
    for row in (LAYOUTS.own, *LAYOUTS.codes[::24]):
        data = {"block": CELLS, "system": np.array(list("abc"))[row], "y": y}
        f.append(strata_table(data, "y", "system", ["block"]).test(("system",)).f)
    few = LAYOUTS.codes[::24]
    part = type(LAYOUTS)(LAYOUTS.own, few, True, float("nan"), LAYOUTS.names)
    assert shuffle_test(y, part, CELLS).p == np.mean(np.array(f[1:]) >= f[0] * (1 - 1e-9))


@given(st.integers(0, 10_000))
@settings(deadline=None, max_examples=15)
def test_a_restriction_that_forbids_nothing_changes_nothing(seed: int) -> None:
    y = np.random.default_rng(seed).normal(size=12)
    rows = LABELS.reshape(4, 3).tolist()
    whole = restricted(rows, Restrictions(apart=("a",)))
    assert len(whole.codes) == 6**4
    assert shuffle_test(y, whole, CELLS).p == shuffle_test(y, LAYOUTS, CELLS).p
    for pair in (("a", "b"), ("b", "c")):
        assert shuffle_test(y, whole, CELLS, pair=pair).p == shuffle_test(y, LAYOUTS, CELLS, pair=pair).p
        kept = np.isin(LABELS, pair)
        alone = restricted(rows, Restrictions(apart=("a",)), pair=pair).only(kept)
        free = shuffled(LABELS[kept], CELLS[kept])
        assert shuffle_test(y[kept], alone, CELLS[kept]).p == shuffle_test(y[kept], free, CELLS[kept]).p


@given(st.integers(0, 10_000))
@settings(deadline=None, max_examples=15)
def test_rows_and_columns_of_a_square_change_no_chance(seed: int) -> None:
    rng = np.random.default_rng(seed)
    y, row, column = rng.normal(size=16), np.repeat(range(4), 4), np.tile(range(4), 4)
    layouts = squares(["abcd", "badc", "cdab", "dcba"])
    one = shuffle_test(y, layouts, row, column)
    two = shuffle_test(y + 3 * row - 7 * column, layouts, row, column)
    assert one == two
    assert one.smallest == 1 / 24
