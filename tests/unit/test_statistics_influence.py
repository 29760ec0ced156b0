"""Errors, sentences and edges of plots left out in turn, and of residual checks."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from spadework.ranges import ImpossibleValue
from spadework.statistics.by_layout import fit_or_strata
from spadework.statistics.models.influence import leave_each_out
from spadework.statistics.models.model import fit_model
from spadework.statistics.models.terms import UnclearModel
from spadework.statistics.residuals.checks import outlying, spread_with_mean, variances_by_group
from spadework.statistics.residuals.remarks import all_columns, remarks_on

STRIPS = {
    "block": [1, 1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 4],
    "system": list("abcbcacababc"),
    "strip": list(range(12)),
    "row": [1] * 12,
    "y": [5.0, 6.2, 7.1, 6.9, 7.3, 5.8, 7.5, 5.1, 6.3, 4.9, 6.0, 7.4],
}
WRONG: list[tuple[Callable[[], object], type[Exception], str]] = [
    (
        lambda: leave_each_out(STRIPS, "y", "system", ["block"], compare="system", error_share=2),
        ImpossibleValue,
        "error_share",
    ),
    (
        lambda: leave_each_out(STRIPS, "y", "system", compare="system", unit="block + strip"),
        UnclearModel,
        "is one term",
    ),
    (
        lambda: leave_each_out(STRIPS, "y", "system", compare="system", unit="plot"),
        UnclearModel,
        'no column is called "plot"',
    ),
    (lambda: leave_each_out(STRIPS, "y", "system", compare="block"), UnclearModel, "is no factor"),
    (
        lambda: leave_each_out(STRIPS, "y", "system", compare="system", unit="row"),
        ImpossibleValue,
        "plots to leave out",
    ),
    (lambda: outlying([1.0, 2.0], np.ones((3, 1))), ValueError, "`columns` must have a row"),
    (lambda: outlying([1.0, 2.0], np.ones((2, 1))), ImpossibleValue, "degrees of freedom"),
    (lambda: outlying([2.0, 2.0, 2.0, 2.0], np.ones((4, 1))), ImpossibleValue, "sum of squares"),
    (lambda: spread_with_mean([1.0, 2.0], [1.0]), ValueError, "of one length"),
    (lambda: spread_with_mean([1.0, 2.0], [1.0, 2.0]), ImpossibleValue, "number of residuals"),
    (lambda: variances_by_group([1.0, 2.0], ["a"]), ValueError, "of one length"),
    (lambda: variances_by_group([1.0, 2.0], ["a", "a"]), ImpossibleValue, "groups"),
    (lambda: variances_by_group([1.0, 2.0, 3.0], ["a", "a", "b"]), ImpossibleValue, "values in a group"),
    (lambda: variances_by_group([1.0, 1.0, 3.0, 4.0], list("aabb")), ImpossibleValue, "variance of a group"),
    (lambda: remarks_on(fit_or_strata(STRIPS, "y", "system", ["block"]), STRIPS, row="line"), UnclearModel, '"line"'),
]


@pytest.mark.parametrize(("call", "kind", "words"), WRONG)
def test_what_cannot_be_is_said(call: Callable[[], object], kind: type[Exception], words: str) -> None:
    with pytest.raises(kind, match=words):
        call()


def test_more_plots_than_are_fitted_again_are_refused() -> None:
    many = {"system": list("ab") * 201, "y": np.arange(402.0) % 7}
    with pytest.raises(ImpossibleValue, match="plots to leave out"):
        leave_each_out(many, "y", "system", compare="system")


def test_the_only_plot_of_a_system_cannot_be_left_out_and_is_named() -> None:
    data = {"system": list("aaaabbbbc"), "y": [5.0, 5.5, 5.2, 5.1, 6.0, 6.3, 6.1, 6.2, 9.0]}
    found = leave_each_out(data, "y", "system", compare="system")
    last = found.without[-1]
    assert last.unit == "reading 9"
    assert last.differences is None
    assert np.isnan(last.distance)
    assert any(
        text.startswith("reading 9 cannot be left out: without it an effect cannot be told") for text in found.sentences
    )


def test_readings_are_named_as_they_stand_in_the_data() -> None:
    gone = {**STRIPS, "y": [np.nan, *STRIPS["y"][1:]]}
    found = leave_each_out(gone, "y", "system", ["block"], compare="system")
    assert [each.unit for each in found.without] == [f"reading {n}" for n in range(2, 13)]


def test_both_results_are_told_where_a_verdict_turns() -> None:
    data = {**STRIPS, "y": [5.0, 5.1, 5.2, 5.3, 5.2, 5.1, 5.2, 5.0, 5.1, 5.2, 5.1, 8.0]}
    found = leave_each_out(data, "y", "system", ["block"], compare="system", error_share=0.3)
    assert any("goes from" in text and "reading 12" in text for text in found.sentences)


def test_a_reading_that_alone_tells_its_effect_has_no_t() -> None:
    x = np.column_stack([np.ones(6), np.arange(6) == 2]).astype(float)
    found = outlying([1.0, 1.2, 9.0, 0.9, 1.1, 1.3], x)
    assert np.isnan(found.t[2])
    assert found.p[2] == 1


def test_no_scatter_of_means_tells_nothing() -> None:
    found = spread_with_mean([1.0, -2.0, 3.0, 1.0], [5.0, 5.0, 5.0, 5.0])
    assert np.isnan(found.rank_correlation)


def test_remarks_are_the_same_for_table_and_model() -> None:
    said = {"row": "row", "column": "strip", "groups": "system"}
    one = remarks_on(fit_or_strata(STRIPS, "y", "system", ["block"]), STRIPS, **said)
    two = remarks_on(fit_model(STRIPS, "y", "system", ["block"]), STRIPS, **said)
    assert [each.sentence for each in one] == [each.sentence for each in two]
    assert [each.check for each in one] == [
        "outlying reading", "scatter against mean", "trend by column", "neighbours", "variance by system",
    ]  # fmt: skip
    assert all(each.warns == (each.p < 0.05) for each in one)


def test_columns_take_covariates_and_strata() -> None:
    data = {**STRIPS, "stand": np.linspace(8, 9, 12)}
    model = fit_model(data, "y", "system + stand", ["block"])
    assert all_columns(model, data).shape == (12, 4 + 4)
