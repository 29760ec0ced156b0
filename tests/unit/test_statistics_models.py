"""What people are told of models that cannot be read, or that their data cannot carry."""

from __future__ import annotations

import numpy as np
import pytest

from spadework.ranges import ImpossibleValue
from spadework.statistics.models import mixed
from spadework.statistics.models.comparisons import (
    against_one,
    all_pairs,
    dunnett_factor,
    holm_p,
    sidak_p,
    tukey_factor,
    tukey_p,
)
from spadework.statistics.models.cross_products import codes_of, cross_products
from spadework.statistics.models.mixed import NotConverged, fit_mixed
from spadework.statistics.models.model import Model, fit_model
from spadework.statistics.models.small_sample import Combined, combine, f_test_kenward_roger, f_test_satterthwaite
from spadework.statistics.models.terms import UnclearModel, fixed_design, read_terms, together

YIELDS = (15.1, 15.9, 14.2, 14.8, 16.0, 16.4, 15.5, 16.3, 14.1, 15.2, 16.4, 16.9)


def table(**changed: object) -> dict[str, object]:
    data = {
        "block": ["1", "2", "3"] * 4,
        "system": ["plough"] * 6 + ["strip"] * 6,
        "rate": (["low"] * 3 + ["high"] * 3) * 2,
        "stand": [8.0, 8.5, 9.1, 8.2, 8.8, 9.0, 8.4, 8.6, 9.3, 8.1, 8.9, 9.2],
        "y": list(YIELDS),
    }
    return {**data, **changed}


def model(fixed: str = "system * rate", random: tuple[str, ...] = ("block",), **changed: object) -> Model:
    return fit_model(table(**changed), "y", fixed, random)


@pytest.mark.parametrize(
    ("text", "terms"),
    [
        ("", ()),
        ("  ", ()),
        ("a", (("a",),)),
        ("a + b", (("a",), ("b",))),
        ("a*b", (("a",), ("b",), ("a", "b"))),
        ("a:b", (("a", "b"),)),
        ("a:a", (("a",),)),
        ("a + a", (("a",),)),
        ("a*b*c", (("a",), ("b",), ("c",), ("a", "b"), ("a", "c"), ("b", "c"), ("a", "b", "c"))),
        ("a:(b + c)", (("a", "b"), ("a", "c"))),
        ("(a + b)*c", (("a",), ("b",), ("c",), ("a", "c"), ("b", "c"))),
        ("Güllemenge", (("Güllemenge",),)),
    ],
)
def test_terms_are_read(text, terms):
    assert set(read_terms(text)) == set(terms)
    assert [len(t) for t in read_terms(text)] == sorted(len(t) for t in terms)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a - b", '"- b" in the terms "a - b" cannot be read; allowed: names of columns with'),
        ("2a", '"2a" in the terms'),
        ("__import__('os')", "cannot be read"),
        ("a b", '"b" in the terms "a b" stands in the wrong place'),
        ("a)", '")" in the terms'),
        ("(a + b", 'a bracket of the terms "(a + b" is not closed'),
        ("a +", 'the terms "a +" lack a name at the end'),
        ("* a", 'the terms "* a" lack a name before "*"'),
        ("a:*b", 'lack a name before "*"'),
        ("()", 'lack a name before ")"'),
    ],
)
def test_terms_that_cannot_be_read(text, words):
    with pytest.raises(UnclearModel) as told:
        read_terms(text)
    assert words in str(told.value)


NAN = float("nan")


@pytest.mark.parametrize(
    ("fixed", "random", "changed", "words"),
    [
        ("system * tillage", (), {}, 'no column is called "tillage"; there are: block, system, rate, stand, y'),
        ("system", ("field",), {}, 'no column is called "field"'),
        ("system", (), {"system": ["plough"] * 12}, '"system" has one label only ("plough"); nothing can be compared'),
        ("system + stand", (), {"stand": [NAN, NAN, *[8.0, 9.0] * 5]}, 'covariate "stand" lacks a number in 2 readings'),
        ("system", (), {"y": ["15.1", "n.a.", *YIELDS[2:]]}, 'y: reading 2 is "n.a.", which is no number'),
        ("system", (), {"y": [None, *YIELDS[1:]]}, 'y: reading 1 is "None", which is no number'),
        ("system", ("block",), {"block": ["1"] * 12}, 'random term "block" has one label only'),
        ("system", ("block:system:rate",), {}, "has a label of its own for every reading; the residual stands for it"),
        ("system", ("system",), {}, '"system" is a fixed and a random term; allowed: one of the two'),
        ("system", ("block",), {"block": ["", *["1", "2", "3"] * 3, "1", "2"]}, '"block" lacks a label in 1 of 12 readings'),
        ("system", ("block",), {"block": [NAN, *[1.0, 2.0, 3.0] * 3, 1.0, 2.0]}, '"block" lacks a label in 1 of 12 readings'),
        ("system", (), {"system": [None, *["a", "b", "c"] * 3, "a", "b"]}, '"system" lacks a label in 1 of 12 readings'),
        ("system + stand", (), {"stand": [8.0] * 6 + [9.0] * 6}, '"stand" cannot be told apart from the terms before'),
        ("system + rate", (), {"rate": ["x"] * 6 + ["y"] * 6}, '"rate y" cannot be told apart from the terms before'),
        (
            "system * rate", (), {"rate": ["low"] * 9 + ["high"] * 3},
            "system and rate: no reading of plough with high, so what they do together cannot be told",
        ),
    ],
)  # fmt: skip
def test_models_that_the_data_cannot_carry(fixed, random, changed, words):
    with pytest.raises(UnclearModel) as told:
        model(fixed, random, **changed)
    assert words in str(told.value)


def test_many_empty_cells_are_not_all_named():
    with pytest.raises(UnclearModel, match="and others, so what they do together"):
        fit_model({"a": list("abcdef") * 2, "b": list("uvwxyz") * 2, "y": np.arange(12.0)}, "y", "a * b")


def test_response_that_is_not_there():
    with pytest.raises(UnclearModel, match='no column is called "yield"; there are: block, system'):
        fit_model(table(), "yield", "system")


def test_readings_that_are_missing_are_told():
    found = model(y=[NAN, *YIELDS[1:]])
    assert found.notes[0] == "1 of 12 readings of y are missing and left out"
    assert found.used.tolist() == list(range(1, 12))
    assert found.fitted.readings == 11


def test_numbers_as_text_are_numbers():
    assert model(y=[str(v) for v in YIELDS]).fitted.effects == pytest.approx(model().fitted.effects)


def test_whole_numbers_as_labels_of_random_terms_are_the_same_in_any_form():
    assert together({"block": [1.0, 2.0]}, ("block",)).tolist() == together({"block": [1, 2]}, ("block",)).tolist()


def test_a_model_without_fixed_terms_has_a_mean():
    found = model("", ())
    assert found.fitted.effects == pytest.approx([np.mean(YIELDS)])
    assert found.design.names == ("mean",)
    assert found.tests() == {}


def test_what_a_model_does_not_know():
    found = model()
    for call, words in (
        (lambda: found.means("tillage"), '"tillage" is no factor of the model; there are: system, rate'),
        (lambda: found.means(), "is no factor of the model"),
        (lambda: found.means("system").row("mulch"), 'no mean of "mulch"; there are: plough; strip'),
        (lambda: found.test(("stand",)), '"stand" is no term of the model; there are: system, rate, system:rate'),
    ):
        with pytest.raises(UnclearModel) as told:
            call()
        assert words in str(told.value)
    with pytest.raises(ValueError, match='`way` is "z"; allowed: kenward-roger, satterthwaite'):
        found.test(("system",), "z")
    with pytest.raises(ValueError, match='`way` is "z"'):
        found.means("system", way="z")


def test_a_variance_at_nought_is_told():
    found = model(y=[1.0, 2.0, 3.0, 2.0, 3.0, 1.0, 3.0, 1.0, 2.0, 1.0, 2.0, 3.0])
    assert found.fitted.at_zero.tolist() == [True]
    assert "its variance was found to be nought and is held there" in found.notes[0]


def test_residuals_and_parts_add_up_to_the_readings():
    found = model()
    blocks = found.fitted.level_effects[np.array([0, 1, 2] * 4)]
    assert found.design.columns @ found.fitted.effects + blocks + found.residuals == pytest.approx(YIELDS)


def test_means_of_all_cells_and_their_order():
    means = model().means("system", "rate")
    assert means.labels == (("plough", "high"), ("plough", "low"), ("strip", "high"), ("strip", "low"))
    assert means.row("strip", "high") == 2
    y = np.array(YIELDS)
    assert means.found.estimate == pytest.approx([y[3:6].mean(), y[:3].mean(), y[9:].mean(), y[6:9].mean()])


def test_cell_of_a_design_with_a_covariate_above_its_mean():
    design = fixed_design({"a": ["x", "y", "x", "y"], "w": [1.0, 2.0, 6.0, 3.0]}, [("a",), ("w",), ("a", "w")])
    assert design.covariates == {"w": 3.0}
    assert design.at({"a": "y"}).tolist() == [1, 1, 0, 0]
    assert design.at({"a": "y"}, above=("w",)).tolist() == [1, 1, 1, 1]
    assert design.at({"a": "x"}, above=("w",)).tolist() == [1, 0, 1, 0]


def test_a_slope_is_the_mean_of_the_slopes_of_all_labels():
    found = model("system + stand + system:stand", ())
    assert found.contrasts_of(("stand",)).tolist() == [[0, 0, 1, 0.5]]
    assert found.contrasts_of(("system", "stand")).tolist() == [[0, 0, 0, 1]]


def test_column_that_a_design_lacks():
    with pytest.raises(UnclearModel, match='no column is called "b"; there are: a'):
        fixed_design({"a": ["x", "y"]}, [("b",)])


ONES = np.ones((4, 1))


@pytest.mark.parametrize(
    ("readings", "fixed", "random", "words"),
    [
        ([[1.0, 2.0]], np.ones((2, 1)), {}, "`readings` must be one row"),
        ([1.0, 2.0, 3.0], ONES, {}, "`readings` must be one row, and `fixed` must have a row for each"),
        ([1.0, 2.0, 4.0, 3.0], np.ones((4, 2)), {}, "`fixed` holds columns that say the same"),
        ([1.0, 2.0, 4.0, 3.0], ONES, {"unit": [1, 1, 2]}, 'random term "unit" must have a label for each reading'),
        ([1.0, 1.0, 1.0, 1.0], ONES, {"unit": [1, 1, 2, 2]}, "`readings` leave no residual"),
    ],
)
def test_shapes_that_do_not_fit(readings, fixed, random, words):
    with pytest.raises(ValueError) as told:
        fit_mixed(readings, fixed, random)
    assert words in str(told.value)


def test_numbers_that_cannot_be():
    with pytest.raises(ImpossibleValue):
        cross_products([1.0, NAN, 2.0, 3.0], ONES, {})
    with pytest.raises(ImpossibleValue):
        fit_mixed([1.0], np.ones((1, 1)), {})


def test_scatter_of_readings_that_terms_give_all_by_themselves_is_refused():
    """Three readings of one group, one in each unit: units and residual cannot both be told there."""
    unit = [1, 2, 3, 1, 1, 2, 2, 3, 3, 1, 2, 3]
    group = ["odd"] * 3 + ["even"] * 9
    y = [1.0, 5.0, 9.0, 1.1, 0.9, 5.1, 4.9, 9.1, 8.9, 1.0, 5.0, 9.0]
    with pytest.raises(
        NotConverged, match="the variance of the residual odd runs to nought: random terms and fixed columns"
    ):
        fit_mixed(y, np.ones((12, 1)), {"unit": unit}, group)


def test_a_search_without_an_end_is_told(monkeypatch):
    monkeypatch.setattr(mixed, "_STEPS", 1)
    with pytest.raises(NotConverged, match="did not settle in 1 rounds"):
        fit_mixed([4.0, 6.0, 7.0, 9.5, 6.0, 8.0], np.ones((6, 1)), {"unit": [1, 1, 2, 2, 3, 3]})


def test_combinations_that_do_not_fit():
    fitted = model().fitted
    for call, words in (
        (lambda: combine(fitted, [1.0, 0, 0, 0]), "`weights` must have a row for each combination"),
        (lambda: combine(fitted, [[1.0, 0, 0]]), "`weights` must have"),
        (lambda: combine(fitted, [[0.0, 0, 0, 0]]), "`weights` must have"),
        (lambda: combine(fitted, [[0.0, 1, 0, 0]], "wald"), '`way` is "wald"'),
        (lambda: f_test_kenward_roger(fitted, [[0.0, 1, 0]]), "`tested` must have a row"),
        (lambda: f_test_satterthwaite(fitted, [[0.0, 1, 0, 0], [0, 2, 0, 0]]), "follow from the others"),
        (lambda: f_test_kenward_roger(fitted, [[0.0, 0, 0, 0]]), "follow from the others"),
        (lambda: combine(fitted, [[0.0, 1, 0, 0]]).half_width(1.0), "confidence_share"),
    ):
        with pytest.raises(ValueError) as told:
            call()
        assert words in str(told.value)


def test_comparisons_at_their_edges():
    two = Combined(np.ones(1), np.ones(1), np.array([6.0]), np.eye(1))
    assert dunnett_factor(two, 0.95) == pytest.approx(2.44691, abs=1e-5)  # Student's t
    assert float(tukey_factor(2, 6, 0.95)) == pytest.approx(2.44691, abs=1e-4)
    assert holm_p([0.9, 0.8]).tolist() == [1, 1]
    assert float(sidak_p(0.05, 1)) == pytest.approx(0.05)
    assert against_one(np.eye(3), 1).second.tolist() == [0, 2]
    assert all_pairs(np.eye(2)).weights.tolist() == [[-1, 1]]
    for call in (
        lambda: tukey_p(1.0, 1, 6),
        lambda: tukey_p(1.0, 3, 0.5),
        lambda: sidak_p(1.2, 3),
        lambda: holm_p([-0.1]),
    ):
        with pytest.raises(ImpossibleValue):
            call()


def test_codes_count_sorted_labels():
    codes, count = codes_of(["b", "a", "b"])
    assert (codes.tolist(), count) == ([1, 0, 1], 2)


def test_independent_groups_of_one_shape_are_one_stack():
    blocks = np.repeat(np.arange(6), 4)
    plots = np.repeat(np.arange(12), 2)
    found = cross_products(np.arange(24.0), np.ones((24, 1)), {"block": blocks, "plot": plots})
    assert [stack.levels.shape for stack in found.stacks] == [(6, 3)]
    assert found.level_count == 18
