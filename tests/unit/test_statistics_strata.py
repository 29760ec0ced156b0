"""Errors, notes and edges of tables of strata."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from spadework.ranges import ImpossibleValue
from spadework.reference import sources
from spadework.statistics import by_layout
from spadework.statistics.by_layout import combine_any, fit_or_strata
from spadework.statistics.models import influence
from spadework.statistics.models.groupings import closed, grouping_of
from spadework.statistics.models.model import Model
from spadework.statistics.models.terms import UnclearModel
from spadework.statistics.residuals import checks as residual_checks
from spadework.statistics.residuals import neighbours, spatial
from spadework.statistics.residuals import on_map as residual_map
from spadework.statistics.strata import analysis as strata
from spadework.statistics.strata.analysis import Strata, strata_table
from spadework.statistics.strata.layout import NotBalanced
from spadework.working import equations

DATA = {
    "block": [1, 1, 1, 2, 2, 2, 3, 3, 3],
    "system": list("abcbcacab"),
    "stand": [8.0, 8.5, 9.0, 8.1, 8.2, 8.8, 8.4, 8.6, 9.1],
    "one": ["x"] * 9,
    "plot": list(range(9)),
    "y": [5.0, 6.2, 7.1, 6.9, 7.3, 6.8, 7.5, 6.1, 6.3],
}
CROSSED = {
    "block": np.repeat(["1", "2", "3"], 4),
    "system": np.tile(["a", "a", "b", "b"], 3),
    "manure": np.tile(["m", "n"], 6),
    "y": np.array([5.0, 6.0, 7.5, 7.0, 4.0, 6.5, 6.0, 8.0, 5.5, 5.0, 7.0, 8.5]),
}
WRONG: list[tuple[Callable[[], object], type[Exception], str]] = [
    (lambda: strata_table(DATA, "z", "system"), UnclearModel, 'no column is called "z"'),
    (lambda: strata_table(DATA, "system", "block"), UnclearModel, "holds text where numbers are wanted"),
    (lambda: strata_table(DATA, "y", "rate"), UnclearModel, 'no column is called "rate"'),
    (lambda: strata_table(DATA, "y", "system + one"), UnclearModel, "one label only"),
    (lambda: strata_table(DATA, "y", "system", ["one"]), UnclearModel, "one label only"),
    (lambda: strata_table(DATA, "y", "system", ["plot"]), UnclearModel, "a label of its own for every reading"),
    (lambda: strata_table(DATA, "y", "system", ["system"]), UnclearModel, "a fixed and a random term"),
    (lambda: strata_table({**DATA, "rep": DATA["block"]}, "y", "system", ["block", "rep"]), UnclearModel, "two names"),
    (
        lambda: strata_table({**DATA, "within": DATA["block"]}, "y", "system", ["within"]),
        UnclearModel,
        "a meaning of its own",
    ),
    (lambda: strata_table(DATA, "y", "system + stand", ["block"]), NotBalanced, "a covariate"),
    (
        lambda: strata_table({**DATA, "y": [np.nan, *DATA["y"][1:]]}, "y", "system", ["block"]),
        NotBalanced,
        "holds 2 readings",
    ),
    (
        lambda: strata_table({**DATA, "system": list("aabbccabc")}, "y", "system", ["block"]),
        NotBalanced,
        "do not meet evenly",
    ),
    (
        lambda: strata_table(CROSSED, "y", "system*manure", ["block:system", "block:manure"]),
        NotBalanced,
        "name those too",
    ),
    (lambda: strata_table({"s": ["a", "b"], "y": [1.0, 2.0]}, "y", "s"), ImpossibleValue, "number of readings"),
    (lambda: strata_table(DATA, "y", "system").test(("rate",)), UnclearModel, "is no term of the model"),
    (lambda: strata_table(DATA, "y", "system").means("rate"), UnclearModel, "is no factor of the model"),
    (lambda: strata_table(DATA, "y", "system").residual("block"), UnclearModel, "no stratum is called"),
    (lambda: strata_table(DATA, "y", "system").combine(np.ones((1, 4))), ValueError, "`weights`"),
    (lambda: strata_table(DATA, "y", "system").combine(np.zeros((1, 9))), ValueError, "`weights`"),
]


@pytest.mark.parametrize(("call", "kind", "words"), WRONG)
def test_what_cannot_be_is_said(call: Callable[[], object], kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        call()


def test_every_formula_has_a_source_that_is_listed() -> None:
    rooms = {m.__name__ for m in (by_layout, strata, influence, neighbours, residual_checks, residual_map, spatial)}
    said = {function.__name__: each for function, each in equations().items() if function.__module__ in rooms}
    assert len(said) == 12
    assert {each.source for each in said.values()} <= set(sources())


def test_the_reading_that_meets_unevenly_is_named_as_it_stands_in_the_data() -> None:
    data = {"block": ["1", "1", "2", "2", "1"], "system": ["a", "b", "a", "b", "a"], "y": [1.0, 2.0, 3.0, 4.0, np.nan]}
    assert strata_table(data, "y", "system", ["block"]).notes == ("1 of 5 readings of y are missing and left out",)
    uneven = {"block": [9, *DATA["block"]], "system": ["a", *"aabbccabc"], "y": [np.nan, *DATA["y"]]}
    with pytest.raises(NotBalanced, match=r"see reading 2\)"):
        strata_table(uneven, "y", "system", ["block"])


def test_a_stratum_without_residual_tests_nothing_and_tells_no_standard_error() -> None:
    farms = {"farm": list("aabbccdd"), "system": list("xxxxyyyy"), "y": [5.0, 5.5, 6.0, 6.1, 7.0, 7.2, 8.0, 8.4]}
    assert strata_table(farms, "y", "system", ["farm"]).test(("system",)).df_rest == 2
    alone = {"farm": list("aaabbb"), "system": list("xxxyyy"), "y": [5.0, 5.5, 5.2, 7.0, 7.2, 7.5]}
    table = strata_table(alone, "y", "system", ["farm"])
    with pytest.raises(UnclearModel, match="nothing to be tested against"):
        table.test(("system",))
    with pytest.raises(UnclearModel, match="nothing in it is replicated"):
        table.residual("farm")
    rows = table.means("system").weights
    difference = table.combine([rows[1] - rows[0]])
    assert difference.estimate[0] == pytest.approx(2.0)
    assert np.isnan(difference.se[0])


def test_strata_may_be_named_in_any_order_and_a_term_once_too_often() -> None:
    wanted = ["block:manure", "block", "block:system", "block"]
    one = strata_table(CROSSED, "y", "system * manure", wanted)
    two = strata_table(CROSSED, "y", "system * manure", ["block", "block:system", "block:manure"])
    assert one.names[0] == two.names[0] == "block"
    for term in two.terms:
        assert one.test(term).p == pytest.approx(two.test(term).p)
        assert one.test(term).df_rest == two.test(term).df_rest


def test_a_term_in_two_strata_has_two_lines_and_no_single_test() -> None:
    cells = [(a, b) for a in range(3) for b in range(3)] * 2
    rows = {
        "a": [f"a{a}" for a, _ in cells],
        "b": [f"b{b}" for _, b in cells],
        "block": [f"{i // 9}-{(a + b) % 3}" for i, (a, b) in enumerate(cells)],
        "y": np.random.default_rng(3).normal(size=18),
    }
    table = strata_table(rows, "y", "a * b", ["block"])
    both = [line for line in table.lines if line.source == "a:b"]
    assert [(line.stratum, line.df) for line in both] == [("block", 2), ("within", 2)]
    with pytest.raises(UnclearModel, match="stands in the strata"):
        table.test(("a", "b"))
    assert table.test(("a",)).df == 2


def test_numbers_are_labels_in_random_terms() -> None:
    assert strata_table(DATA, "y", "system", ["block"]).names == ("block", "within")


def test_the_rule_looks_at_the_layout_alone() -> None:
    assert isinstance(fit_or_strata(DATA, "y", "system", ["block"]), Strata)
    assert isinstance(fit_or_strata(DATA, "y", "system", ["block"], "system"), Model)
    found = fit_or_strata(DATA, "y", "system + stand", ["block"])
    assert isinstance(found, Model)
    assert found.notes[-1].startswith('no table of strata: "stand" holds numbers')
    rows = found.means("system").weights
    assert combine_any(found, rows[:1]).estimate.shape == (1,)


def test_without_fixed_terms_there_is_the_scatter_alone() -> None:
    table = strata_table(DATA, "y", "", ["block"])
    assert [(line.stratum, line.df) for line in table.lines] == [("block", 2), ("within", 6)]
    assert table.tests() == {}
    plain = strata_table(DATA, "y", "")
    assert plain.residual("within").ms == pytest.approx(np.var(DATA["y"], ddof=1))


def test_no_scatter_gives_no_coefficient_of_variation_around_nought() -> None:
    table = strata_table({"s": list("aabb"), "y": [-1.0, 1.0, -1.0, 1.0]}, "y", "s")
    assert np.isnan(table.cv_share("within"))


def test_groupings_that_are_none() -> None:
    assert closed([]) == ()
    assert [each.levels for each in closed([grouping_of([1, 1])])] == [1]
