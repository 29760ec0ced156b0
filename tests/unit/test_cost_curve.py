"""The curve of cost by area runs through the full cost of the pass; parts, sums and days hold together.

Every number comes from the demo plan, whose farm, machines and prices are invented.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import Estimate, estimate
from spadework.estimate.money.costs import COST_PARTS, PASS_PARTS
from spadework.estimate.money.curve import OwnedPass, cost_curve, hired_rows
from spadework.estimate.money.in_time import chance_by_window, days_by_drivers
from spadework.plan import read_text
from spadework.ranges import ImpossibleValue
from spadework.science.machinery import fixed_per_hectare

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
PASSES = range(13)
SYSTEMS = range(4)


@cache
def run(*changes: tuple[str, str], draws: int = 200) -> Estimate:
    text = DEMO
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws)


@pytest.mark.parametrize("row", PASSES)
def test_the_curve_runs_through_the_full_cost_at_the_use_in_the_plan(row: int) -> None:
    found = run()
    owned = OwnedPass(found, row)
    at_use = cost_curve(found, row, np.atleast_2d(owned.use))
    assert at_use.shape == (1, 200)
    np.testing.assert_allclose(at_use[0], found.sheet["pass_full"][row], rtol=0, atol=1e-9)


def test_with_one_machine_the_use_is_its_hours_over_the_field_time() -> None:
    found = run()
    for row in PASSES:
        owned = OwnedPass(found, row)
        if len(owned.step.machines) == 1:
            hours = owned.step.machines[0].hours.value
            np.testing.assert_allclose(owned.use, hours / found.sheet["field_time"][row], rtol=1e-12)


def test_with_two_machines_the_least_used_sets_the_use_and_the_rest_is_other_work() -> None:
    found = run()
    owned = OwnedPass(found, 0)  # tanker 450 h, hose boom 300 h a year
    assert [m.name for m in owned.step.machines] == ["tanker, 16 m3", "hose boom, 15 m"]
    np.testing.assert_allclose(owned.use * owned.time, 300.0, rtol=1e-12)
    # Tanker: 3000 h of life in 10 years leave 300 h a year; 150 h of them are other work.
    np.testing.assert_allclose(owned.worn_out * owned.time, 150.0, rtol=1e-9)


def test_small_areas_cost_more() -> None:
    found = run()
    areas = np.array([5.0, 10.0, 20.0, 40.0, 80.0])
    for row in PASSES:
        assert (np.diff(cost_curve(found, row, areas), axis=0) < 0).all()


def test_an_area_that_no_year_has_hours_for_is_impossible() -> None:
    with pytest.raises(ImpossibleValue, match="h/year"):
        cost_curve(run(), 1, [50_000.0])


def test_at_the_break_even_own_and_hired_cost_the_same() -> None:
    found = run()
    rows = hired_rows(found)
    assert len(rows) == len(found.sheet.axes["hired"].labels)
    seen = 0
    for row, place in rows.items():
        hired = np.broadcast_to(found.sheet["hired_cost"][place], 200)
        area = OwnedPass(found, row).break_even(hired)
        known = np.isfinite(area)
        if known.any():
            own = cost_curve(found, row, np.where(known, area, 10.0)[None])[0]
            np.testing.assert_allclose(own[known], hired[known], rtol=0, atol=1e-6)
            less = cost_curve(found, row, np.where(known, 0.9 * area, 10.0)[None])[0]
            assert (less[known] > hired[known]).all()
            seen += int(known.sum())
    assert seen > 500


def test_own_costs_less_at_the_use_only_where_the_break_even_lies_below_it() -> None:
    found = run()
    for row, place in hired_rows(found).items():
        hired = np.broadcast_to(found.sheet["hired_cost"][place], 200)
        owned = OwnedPass(found, row)
        less = found.sheet["pass_full"][row] <= hired
        assert (owned.break_even(hired)[less] <= np.broadcast_to(owned.use, 200)[less] * (1 + 1e-9)).all()


def test_a_contractor_for_nothing_and_one_beyond_price() -> None:
    owned = OwnedPass(run(), 1)
    assert np.isinf(owned.break_even(np.zeros(200))).all()
    assert (owned.break_even(np.full(200, 1e5)) < 1.0).all()


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_parts_of_the_cost_add_up(system: int) -> None:
    found = run(draws=1)  # the middle of every input: medians add up only there
    parts = [float(found.values(name, system)[0]) for name in COST_PARTS]
    cost = float(found.values("cost", system)[0])
    assert abs(sum(parts) - cost) <= 1e-9
    # Printed to the cent, each part may be off by half a cent, and so may the sum.
    assert abs(sum(round(part, 2) for part in parts) - round(cost, 2)) <= 0.005 * (len(parts) + 1) + 1e-9


def test_a_pass_adds_up_over_every_draw_and_full_is_marginal_and_fixed() -> None:
    found = run()
    sheet = found.sheet
    for row in PASSES:
        full = sheet["pass_full"][row]
        np.testing.assert_allclose(sum(sheet[name][row] for name in PASS_PARTS), full, rtol=0, atol=1e-9)
        time = sheet["field_time"][row]
        fixed = fixed_per_hectare(sheet["tractor_fixed"][row], sheet["tractor_hours"][row], time)
        first = sum(len(OwnedPass(found, r).step.machines) for r in range(row))
        for at in range(first, first + len(OwnedPass(found, row).step.machines)):
            fixed = fixed + fixed_per_hectare(sheet["machine_fixed"][at], sheet["machine_hours"][at], time)
        np.testing.assert_allclose(sheet["pass_marginal"][row] + fixed, full, rtol=0, atol=1e-9)
    for system in SYSTEMS:
        rows = [r for r in PASSES if sheet.axes["pass"].systems[r] == system]
        for figure, one in (("full_cost", "pass_full"), ("marginal_cost", "pass_marginal")):
            summed = sum(sheet[one][r] for r in rows)
            np.testing.assert_allclose(summed, found.values(figure, system), rtol=0, atol=1e-9)


@pytest.mark.parametrize("changes", [(), (('stay_fit = "70 %"\n', ""),)])
def test_days_by_drivers_agree_with_the_sheet_and_more_drivers_are_no_slower(
    changes: tuple[tuple[str, str], ...],
) -> None:
    found = run(*changes)
    assert found.plan.farm is not None
    for system in SYSTEMS:
        needed, chance = days_by_drivers(found, system, [1, 2, 3])
        np.testing.assert_array_equal(needed[1], found.values("needed_days", system))
        np.testing.assert_array_equal(chance[1], found.values("chance_done", system))
        assert (np.diff(needed, axis=0) <= 1e-12).all()
        assert (np.diff(chance, axis=0) >= -1e-12).all()
        # One driver makes all passes himself: hectares x h/ha over the hours of a day.
        np.testing.assert_allclose(needed[0], 58.0 * found.values("hours", system) / 9.0, rtol=1e-12)


def test_a_longer_window_is_no_worse_and_the_plans_window_is_the_sheets() -> None:
    found = run()
    for system in SYSTEMS:
        chance = chance_by_window(found, system, [0, 12, 24, 48])
        assert (chance[0] == 0).all()
        assert (np.diff(chance, axis=0) >= -1e-12).all()
        np.testing.assert_allclose(chance[2], found.values("chance_done", system), rtol=1e-12)
