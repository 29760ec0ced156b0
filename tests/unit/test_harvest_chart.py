"""Drawings of a harvest: every removed point has its shape, metres are metres, large logs are thinned and say so."""

from __future__ import annotations

import numpy as np
import pytest

from harvest_made import WIDTH, made_log
from spadework.findings.harvest import LoggedPlots, PlotYields
from spadework.present.charts.spec import to_svg
from spadework.present.compare import harvest_chart
from spadework.present.compare.harvest_chart import delay_chart, removed_map, yields_chart
from spadework.science.harvest import STEPS, clean_log, delay_curve, numbered_passes


@pytest.fixture(scope="module")
def logged() -> tuple[LoggedPlots, np.ndarray, np.ndarray]:
    made = made_log(passes=4, length_m=200)
    number = numbered_passes(made.time_s, made.header_down, made.strip, 10.0)
    curve = delay_curve(made.time_s, made.east_m, made.north_m, made.flow_kg_s, made.speed_m_s, number, WIDTH)
    cleaned = clean_log(*made.arrays(), delay_s=12.0, crop="forage")
    nothing = np.zeros(0)
    yields = PlotYields((), (), (), nothing, nothing, nothing, nothing, nothing, np.zeros(0, np.int64))
    return LoggedPlots(yields, cleaned, curve, 12.0, "as given"), made.east_m, made.north_m


def test_every_step_but_the_header_has_a_shape() -> None:
    steps = [step for _, group in harvest_chart._GROUPS.values() for step in group]
    assert sorted(steps) == sorted(set(STEPS) - {"header up"})
    shapes = [shape for shape, _ in harvest_chart._GROUPS.values()]
    assert len(set(shapes)) == len(shapes)


def test_the_map_draws_every_point_with_the_header_down(logged: tuple[LoggedPlots, np.ndarray, np.ndarray]) -> None:
    found, east, north = logged
    spec = removed_map(found, east, north)
    kept, gone = (layer["data"]["values"] for layer in spec["layer"])
    assert len(kept) == int(found.cleaned.kept.sum())
    assert len(gone) == int((found.cleaned.reason > 1).sum())
    x, y = (spec["layer"][0]["encoding"][axis]["scale"]["domain"] for axis in "xy")
    assert (x[1] - x[0]) / spec["width"] == pytest.approx((y[1] - y[0]) / spec["height"])
    assert "looked" in str(spec["title"]["subtitle"])
    assert to_svg(spec).startswith("<svg")


def test_a_large_log_is_thinned_and_says_so(
    logged: tuple[LoggedPlots, np.ndarray, np.ndarray], monkeypatch: pytest.MonkeyPatch
) -> None:
    found, east, north = logged
    monkeypatch.setattr(harvest_chart, "_MOST_POINTS", 100)
    spec = removed_map(found, east, north)
    assert all(len(layer["data"]["values"]) <= 100 for layer in spec["layer"])
    assert "drawn is every" in spec["description"]


def test_the_delay_stands_at_the_top_of_its_curve(logged: tuple[LoggedPlots, np.ndarray, np.ndarray]) -> None:
    found, _, _ = logged
    spec = delay_chart(found)
    line, taken = (layer["data"]["values"] for layer in spec["layer"])
    best = max(line, key=lambda row: row["agreement"])
    assert best["delay"] == pytest.approx(taken[0]["at"], abs=1)


def test_names_of_plots_may_hold_any_sign() -> None:
    names = ("1", "1", "3 'a' \\ b")
    some = np.array([10.0, 11.0, np.nan])
    found = PlotYields(
        names, ("o'plough", "", "s"), ("", "", ""), some, some, some, some, some / 20, np.ones(3, np.int64)
    )
    spec = yields_chart(found)
    assert len(spec["data"]["values"]) == 2
    assert to_svg(spec).count("o'plough") + to_svg(spec).count("o&#39;plough") >= 1
