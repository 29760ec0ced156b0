"""The answer in a few sentences: who takes least, who is level with it, how far and how surely from the baseline."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from spadework.present.in_short import in_short
from spadework.present.wording import spread_of


def made(cost: dict[str, list[float]], baseline: int = 0) -> Any:
    values = [np.array(draws) for draws in cost.values()]
    return SimpleNamespace(
        systems=tuple(cost),
        baseline=baseline,
        plan=SimpleNamespace(prices=SimpleNamespace(currency="DKK")),
        has=lambda name, system: name == "cost" and not np.isnan(values[system]).any(),
        values=lambda name, system: values[system],
        spread=lambda name, system: spread_of(values[system]),
    )


def sentence(cost: dict[str, list[float]], baseline: int = 0) -> str:
    ((lead, said),) = in_short(made(cost, baseline))
    assert lead == "Cost with slurry and fertiliser:"
    return said


def test_the_least_is_named_with_its_distance_from_the_baseline() -> None:
    said = sentence({"plough": [600.0, 620.0], "strip": [500.0, 540.0]})
    assert said == (
        "least with strip, 520 (504 to 536) DKK/ha; the baseline is plough, 610 (602 to 618), and strip takes less in all draws."
    )


def test_a_system_that_is_dearer_in_fewer_than_nine_draws_of_ten_stands_level() -> None:
    strip = [500.0] * 10
    clear, level = [501.0] * 9 + [499.0], [501.0] * 8 + [499.0] * 2
    assert "not clearly more" not in sentence({"plough": [600.0] * 10, "strip": strip, "disc": clear})
    assert "not clearly more with disc" in sentence({"plough": [600.0] * 10, "strip": strip, "disc": level})


@pytest.mark.parametrize("baseline", [0, 1])
def test_nobody_wins_where_all_are_alike(baseline: int) -> None:
    said = sentence({"plough": [500.0, 501.0], "strip": [501.0, 500.0]}, baseline)
    assert said.startswith("no system clearly takes least; plough, ")
    assert "baseline" not in said


def test_a_baseline_that_takes_least_is_said_to_be_the_baseline() -> None:
    assert sentence({"plough": [400.0, 440.0], "strip": [500.0, 520.0]}) == (
        "least with plough, 420 (404 to 436) DKK/ha; that is the baseline."
    )


def test_a_system_without_the_figure_is_left_out_and_one_alone_is_not_ranked() -> None:
    assert "disc" not in sentence({"plough": [600.0], "strip": [500.0], "disc": [float("nan")]})
    assert in_short(made({"plough": [600.0], "disc": [float("nan")]})) == ()
