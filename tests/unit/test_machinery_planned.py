"""A pass as planned and its tractor: checked once, of any shapes that fit together, never changed."""

from __future__ import annotations

from dataclasses import FrozenInstanceError

import numpy as np
import pytest

from spadework.ranges import ImpossibleValue
from spadework.science.machinery import (
    Pass,
    Tractor,
    depth_managed,
    most_speed,
    needed_at,
    needed_within_grip,
    pass_draft,
    speed_managed,
)
from spadework.science.machinery.pull.pulling import gather
from spadework.working import Worksheet

FIRM = {"rolling_coefficient": 0.058, "slope_share": 0, "wheel_number": 55, "axle_per_pto": 0.96}
TRACTOR = Tractor(8, 1, **FIRM, rated_pto_kw=100, slip_most_share=0.25)
PLOUGH = Pass(7, 22_000, 50, 160, 1_000, 20, 1, 500, 6, 3, 0.5)


def test_parts_are_arrays_and_stay_as_they_are() -> None:
    assert all(isinstance(getattr(PLOUGH, name), np.ndarray) for name in Pass.__slots__)
    with pytest.raises(FrozenInstanceError):
        PLOUGH.speed_km_h = np.asarray(5.0)  # type: ignore[misc]


def test_shapes_that_do_not_fit_are_told_when_it_is_made_and_when_both_meet() -> None:
    with pytest.raises(ValueError, match="broadcast"):
        Pass([5, 7], [1, 2, 3])
    two, three = Pass([5, 7], 22_000), Tractor(8, 1, **FIRM, rated_pto_kw=[90, 100, 110], slip_most_share=0.25)
    with pytest.raises(ValueError, match="broadcast"):
        most_speed(two, three)


def test_many_passes_meet_many_tractors() -> None:
    passes = Pass(np.array([[5.0], [7.0]]), 22_000, 0, 160)
    tractors = Tractor(8, 1, **FIRM, rated_pto_kw=[40, 60, 100], slip_most_share=0.25)
    speeds = most_speed(passes, tractors)
    assert speeds.shape == depth_managed(passes, tractors).shape == needed_within_grip(passes, tractors).shape == (2, 3)
    for i, speed in enumerate((5.0, 7.0)):
        for j, rated in enumerate((40, 60, 100)):
            alone = most_speed(
                Pass(speed, 22_000, 0, 160), Tractor(8, 1, **FIRM, rated_pto_kw=rated, slip_most_share=0.25)
            )
            assert speeds[i, j] == alone
    pull, (more,), shape = gather(passes, tractors, np.array([1.0, 2.0, 3.0]))
    assert shape == (2, 3)
    assert more.tolist() == [1, 2, 3, 1, 2, 3]
    assert pull.only(np.array([0, 5])).planned.speed_km_h.tolist() == [5, 7]


def test_shallower_takes_the_deep_tools_alone_and_slower_the_pump_with_it() -> None:
    half = PLOUGH.shallower(0.5)
    assert half.draft_n(7, 1, 1) == PLOUGH.draft_n(7, 0.5, 1) == pytest.approx(float(pass_draft(
        7, 0.5, 1, 22_000, 50, 160, 1_000, 20, 1)))  # fmt: skip
    assert half.other_0_n == PLOUGH.other_0_n
    slow = PLOUGH.slower(0.5)
    assert (slow.speed_km_h, slow.pump_kw, slow.rotary_kw) == (3.5, 3, 3)
    assert needed_at(slow, TRACTOR, 3.5) == pytest.approx(float(needed_at(PLOUGH, TRACTOR, 3.5)))
    with pytest.raises(ImpossibleValue, match="depth_share"):
        PLOUGH.shallower(1.1)


def test_only_deep_tools_can_be_lifted() -> None:
    assert PLOUGH.lifts
    assert not Pass(7, 0, 0, 0, 9_000, 10, 1).lifts
    assert Pass(7, [0, 0], [0, 5]).lifts.tolist() == [False, True]


def test_a_worksheet_puts_figures_together_into_pass_and_tractor() -> None:
    sheet = Worksheet()
    parts = {name: getattr(PLOUGH, name) for name in Pass.__slots__} | {
        name: getattr(TRACTOR, name) for name in Tractor.__slots__
    }
    for name, value in parts.items():
        sheet.given(name, value, "1", name)
    sheet.given("depth", 0.9, "1", "depth")
    named = {name: name for name in parts}
    found = sheet.work("speed", speed_managed, "speed", depth_share="depth", **named)
    assert found == speed_managed(PLOUGH, TRACTOR, 0.9)
    assert set(sheet.inputs(sheet.figures["speed"])) == {*parts, "depth"}
