"""The worksheet keeps figures once, on axes that fit, and knows what stands behind them."""

from __future__ import annotations

import numpy as np
import pytest

from spadework.science.machinery import drawbar_power
from spadework.working import Axis, Gathered, Given, Summed, Worked, Worksheet, equation, equation_of


@pytest.fixture
def sheet() -> Worksheet:
    axes = {
        "system": Axis("system", ("plough", "strip"), (0, 1)),
        "pass": Axis("pass", ("hose", "plough", "strip tiller"), (0, 0, 1)),
    }
    sheet = Worksheet(axes)
    sheet.given("draft", [[10_000.0], [30_000.0], [50_000.0]], "N", "draft", over="pass", places=["a", "b", "c"])
    sheet.given("speed", 7.2, "km/h", "speed", places=["line 3"], texts=["7.2 km/h"])
    sheet.work("power", drawbar_power, "drawbar power", draft_n="draft", speed_km_h="speed")
    return sheet


def test_work_remembers_formula_and_inputs(sheet: Worksheet) -> None:
    np.testing.assert_allclose(sheet["power"][:, 0], [20.0, 60.0, 100.0])
    origin = sheet.figures["power"].origin
    assert isinstance(origin, Worked)
    assert origin.inputs == {"draft_n": "draft", "speed_km_h": "speed"}
    assert sheet.figures["power"].over == "pass"
    assert sheet.figures["power"].unit == "kW"
    assert [figure.name for figure in sheet.behind("power")] == ["power", "draft", "speed"]


def test_sums_to_systems(sheet: Worksheet) -> None:
    sheet.total("sum", "power", "power of all passes")
    np.testing.assert_allclose(sheet["sum"][:, 0], [80.0, 100.0])
    origin = sheet.figures["sum"].origin
    assert isinstance(origin, Gathered)
    assert origin.rows == ((0, 1), (2,))
    sheet.add_up("twice", "twice", "sum", "sum")
    assert isinstance(sheet.figures["twice"].origin, Summed)
    np.testing.assert_allclose(sheet["twice"], 2 * sheet["sum"])


def test_gather_of_nothing(sheet: Worksheet) -> None:
    sheet.gather("none", "sum", "power", "none", over="system", rows=[[], [2]])
    sheet.gather("one", "product", "power", "one", over="system", rows=[[], [1]])
    assert sheet["none"][:, 0].tolist() == [0.0, 100.0]
    np.testing.assert_allclose(sheet["one"][:, 0], [1.0, 60.0])


def test_figures_are_never_overwritten(sheet: Worksheet) -> None:
    with pytest.raises(KeyError, match="there already"):
        sheet.given("speed", 8.0, "km/h", "speed")
    assert isinstance(sheet.figures["speed"].origin, Given)


def test_axes_must_fit(sheet: Worksheet) -> None:
    with pytest.raises(ValueError, match="needed rows"):
        sheet.given("short", [[1.0], [2.0]], "N", "short", over="pass")
    sheet.given("by system", [[1.0], [2.0]], "km/h", "by system", over="system")
    with pytest.raises(ValueError, match="mixes the axes"):
        sheet.work("mixed", drawbar_power, "mixed", draft_n="draft", speed_km_h="by system")
    with pytest.raises(ValueError, match="unlike things"):
        sheet.add_up("unlike", "unlike", "draft", "power")


def test_a_mark_leaves_the_function_alone() -> None:
    @equation("a + 1", unit="1", source="physics")
    def plus(a: float) -> float:
        return a + 1

    assert plus(1.0) == 2.0
    assert equation_of(plus).text == "a + 1"
