"""Errors, shapes and edges of the statistics of digs."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from spadework import statistics as st
from spadework.ranges import ImpossibleValue
from spadework.reference import sources
from spadework.working import equation_of

SURE = st.Draws(6.0, np.full(100, 6.0), np.full(100, 1.0))
FLAT = st.Draws(6.0, np.full(100, 6.0), np.zeros(100))
SINGLES = st.sort_by_unit([5.0, 6.0, 8.0], ["a", "b", "c"])

WRONG: list[tuple[Callable[[], object], str]] = [
    (lambda: st.sort_by_unit([1, 2], [1, 2]), "number of readings"),
    (lambda: st.sort_by_unit([1, 2, 3], [1, 1, 1]), "number of units"),
    (lambda: st.sort_by_unit([1, np.nan, 3], [1, 1, 2]), "readings"),
    (lambda: st.components_anova(SINGLES), "most digs in a unit"),
    (lambda: st.components_reml(SINGLES), "most digs in a unit"),
    (lambda: st.components_reml(st.sort_by_unit([1, 1, 2, 2], [1, 1, 2, 2])), "within_squares"),
    (lambda: st.mean_of_all(SINGLES, st.Components(1.0, 0.0, False)), "within_var"),
    (lambda: st.k_one_sided(1, 0.9, 0.95), "readings_n"),
    (lambda: st.k_two_sided(10, 1.0, 0.95), "inside_share"),
    (lambda: st.k_two_sided(10, 0.9, 95), "confidence_share"),
    (lambda: st.pivotal_draws(SINGLES, 10), "draws"),
    (lambda: st.pivotal_draws(SINGLES, 1000, -1), "seed"),
    (lambda: st.limits_around(FLAT, 0.9, 0.95), "sds"),
    (lambda: st.share_inside(FLAT, 4, 8, 0.95), "sds"),
    (lambda: st.share_inside(SURE, 8, 4, 0.95), "upper"),
    (lambda: st.evidence(3, 6, 1, 5, [4, 5]), "wrong_mean"),
    (lambda: st.evidence(3, 6, 0, 5, 4), "sd"),
    (lambda: st.bound_known(0), "error_share"),
    (lambda: st.bound_estimated(0.05, 0), "df"),
    (lambda: st.verdict(0, 0, 1), "stop_right"),
    (lambda: st.units_for_mean(1000, 1, 1, 0.001, 0.95), "half width over scatter"),
    (lambda: st.readings_for_mean(1, 0, 0.95), "half_width"),
    (lambda: st.digs_per_unit(0, 1, 10, 5), "between_sd"),
    (lambda: st.readings_for_extremes(0.4, 0.95, both=True), "inside_share"),
]


@pytest.mark.parametrize(("call", "parameter"), WRONG, ids=[f"{i}-{name}" for i, (_, name) in enumerate(WRONG)])
def test_impossible_input_is_named(call: Callable[[], object], parameter: str) -> None:
    with pytest.raises(ImpossibleValue) as told:
        call()
    assert told.value.parameter == parameter


@pytest.mark.parametrize(("values", "names"), [([1, 2, 3], [1, 2]), ([[1, 2, 3]], [[1, 1, 2]])])
def test_readings_and_units_are_rows_of_one_length(values: object, names: object) -> None:
    with pytest.raises(ValueError, match="two rows of one length"):
        st.sort_by_unit(values, names)  # type: ignore[arg-type]


def test_every_function_states_its_formula_and_a_listed_source() -> None:
    for name in st.__all__:
        if name[0].islower():
            assert equation_of(getattr(st, name)).source in sources()


def test_one_seed_one_result() -> None:
    it = st.sort_by_unit([4.0, 6.0, 7.0, 9.0], [1, 1, 2, 2])
    one, same, other = (st.pivotal_draws(it, 200, seed) for seed in (7, 7, 8))
    assert np.array_equal(one.means, same.means)
    assert np.array_equal(one.sds, same.sds)
    assert not np.array_equal(one.sds, other.sds)


def test_one_dig_in_each_unit_leaves_the_inside_unknown() -> None:
    assert np.isnan(SINGLES.within_mean_square)
    found = st.mean_of_all(SINGLES, st.Components(1.0, 0.5, False))
    assert found.df == pytest.approx(2)
    assert found.mean == pytest.approx(19 / 3)


def test_shapes() -> None:
    n = np.array([[5], [10]])
    assert st.k_one_sided(n, [0.8, 0.9, 0.95], 0.95).shape == (2, 3)
    assert st.k_two_sided(n, [0.8, 0.9, 0.95], 0.95).shape == (2, 3)
    assert st.k_two_sided(5, 0.9, 0.95).shape == ()
    assert st.units_for_mean(0.8, 1.0, [1, 2, 3], [[0.5], [1.0]], 0.95).shape == (2, 3)
    assert st.readings_for_extremes([0.9, 0.95], 0.95, both=False).shape == (2,)
    assert st.evidence([1, 2], 5.5, 1, 6, 5).shape == (2,)


def test_no_scatter_needs_the_fewest() -> None:
    assert float(st.units_for_mean(0, 0, 1, 1, 0.95)) == 2
    assert float(st.readings_for_mean(0, 1, 0.95)) == 1


def test_the_factors_of_two_readings_are_finite() -> None:
    assert np.isfinite(st.k_two_sided(2, 0.9999, 0.9999))
    assert np.isfinite(st.k_one_sided(2, 0.9999, 0.9999))
