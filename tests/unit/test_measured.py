"""Readings beside plan and estimate: units, averages within plots, what is left out, reasons.  All readings are invented."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest

from plans.faulty import DEMO
from spadework.estimate import Estimate, estimate
from spadework.findings.measured import (
    ALL_PASSES,
    ALL_SYSTEMS,
    QUANTITIES,
    Measured,
    Row,
    measured_beside,
    read_reasons,
)
from spadework.plan import PlanFaults, read
from spadework.present.report.measured import measured_json, measured_section, measured_text
from spadework.records.kinds import reading_kinds
from spadework.records.reading_row import Reading, new_reading
from stores_made import gap

PLOTS = {"101": "strip", "102": "strip", "103": "plough", "104": "cultivator"}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Estimate:
    folder = tmp_path_factory.mktemp("plan")
    (folder / "plan.toml").write_text(DEMO, "utf-8")
    (folder / "weather.csv").write_bytes((files("spadework.demo") / "weather.csv").read_bytes())
    return estimate(read(folder / "plan.toml"), draws=128, seed=1)


def one(record: str, field: str, value: float | str, plot: str, **more: object) -> Reading:
    return new_reading(record, field, value, plot=plot, taken_at="2026-05-04", person="AB", **more)


def only(found: Measured, quantity: str, system: str) -> Row:
    (row,) = (row for row in found.rows if (row.quantity, row.system) == (quantity, system))
    return row


def test_every_quantity_names_a_kind_of_reading_and_a_figure_of_the_estimate(made: Estimate) -> None:
    for asked in QUANTITIES:
        assert (asked.record, asked.field) in reading_kinds()
        assert not asked.of or (asked.record, asked.of) in reading_kinds()
        assert asked.figure in made.sheet.figures, asked.figure
    assert len({asked.key for asked in QUANTITIES}) == len(QUANTITIES)


def test_a_mean_is_taken_within_the_plot_first(made: Estimate) -> None:
    rows = [gap(value, "101", place="unit 1", sample=n) for n, value in enumerate((4.0, 4.0, 4.0, 4.0), 1)]
    rows += [gap(8.0, "101", place="unit 2"), gap(9.0, "102")]
    row = only(measured_beside(rows, made, PLOTS, standing="replicated"), "gap", "strip")
    assert row.measured == pytest.approx((6.0 + 9.0) / 2)
    assert (row.plots, row.readings) == (2, 6)


def test_the_interval_of_two_plots_is_that_of_the_t_distribution(made: Estimate) -> None:
    # t of one degree of freedom, 95 %, two-sided: 12.706 (any table of the t distribution)
    row = only(measured_beside([gap(6.0, "101"), gap(9.0, "102")], made, PLOTS, standing="strips"), "gap", "strip")
    assert row.high - row.measured == pytest.approx(12.706 * math.sqrt(4.5 / 2), rel=1e-4)
    assert row.measured - row.low == pytest.approx(row.high - row.measured)


def test_one_plot_has_no_interval_and_the_standing_is_looked(made: Estimate) -> None:
    found = measured_beside([gap(6.0, "101"), gap(6.5, "101", sample=2)], made, PLOTS, standing="replicated")
    row = only(found, "gap", "strip")
    assert math.isnan(row.low)
    assert math.isnan(row.high)
    assert found.standing == "looked"


def test_figures_of_the_estimate_come_in_the_unit_of_the_readings(made: Estimate) -> None:
    rows = [
        one("residue", "points", 100, "103"),
        one("residue", "hits", 30, "103"),
        one("slurry", "density_kg_l", 1.02, "load 1"),
    ]
    found = measured_beside(rows, made, PLOTS)
    cover, density = only(found, "residue_cover", "plough"), only(found, "slurry_density", ALL_SYSTEMS)
    spread = made.spread("cover", made.systems.index("plough"))
    assert (cover.measured, cover.unit) == (30.0, "%")
    assert cover.estimated == pytest.approx(100 * spread.mid)
    assert density.estimated == pytest.approx(made.spread("density", 0).mid)
    assert cover.off == pytest.approx(cover.measured - cover.estimated)


def test_cover_is_the_share_of_all_points_of_a_plot(made: Estimate) -> None:
    rows = [one("residue", "points", 100, "103"), one("residue", "hits", 30, "103"),
            one("residue", "points", 300, "103", sample=2), one("residue", "hits", 30, "103", sample=2)]  # fmt: skip
    assert only(measured_beside(rows, made, PLOTS), "residue_cover", "plough").measured == pytest.approx(15.0)
    found = measured_beside(rows[:-2] + rows[-1:], made, PLOTS)
    assert not [row for row in found.rows if row.quantity == "residue_cover"]
    assert "plot 103 is left out" in " ".join(found.remarks)


def test_diesel_stands_beside_that_of_its_pass_and_is_added_up_where_every_pass_has_one(made: Estimate) -> None:
    plough = made.systems.index("plough")
    passes = len(made.plan.systems[plough].passes)
    rows = [
        one("machine", "fuel_l_ha", 10.0 + number, "103", place=f"pass {number}") for number in range(1, passes + 1)
    ]
    by_part = {row.part: row for row in measured_beside(rows, made, PLOTS).rows if row.quantity == "diesel"}
    assert set(by_part) == {*(f"pass {number}" for number in range(1, passes + 1)), ALL_PASSES}
    for number, spread in enumerate(made.rows("pass_fuel", plough), 1):
        row = by_part[f"pass {number}"]
        assert (row.measured, row.estimated) == (10.0 + number, pytest.approx(spread.mid))
    assert by_part[ALL_PASSES].measured == pytest.approx(sum(10.0 + number for number in range(1, passes + 1)))
    assert by_part[ALL_PASSES].estimated == pytest.approx(made.spread("passes_fuel", plough).mid)
    assert ALL_PASSES not in {row.part for row in measured_beside(rows[:-1], made, PLOTS).rows}


def test_diesel_that_names_no_pass_is_not_compared(made: Estimate) -> None:
    found = measured_beside([one("machine", "fuel_l_ha", 30.0, "103")], made, PLOTS)
    assert not found.rows
    assert "103 name no pass of the system" in found.remarks[0]


def test_readings_without_a_figure_are_counted_and_left_out(made: Estimate) -> None:
    found = measured_beside([gap(6.0, "101"), gap("unreadable", "102")], made, PLOTS)
    row = only(found, "gap", "strip")
    assert (row.measured, row.plots, row.without_figure) == (6.0, 1, 1)
    assert "1 reading without a figure left out" in measured_text(found)


def test_work_rates_and_times_of_plots_are_not_held_against_those_of_a_farm() -> None:
    assert not [asked for asked in QUANTITIES if asked.field in ("time_s", "field_efficiency_pct")]


def test_plots_that_the_layout_has_not_are_told(made: Estimate) -> None:
    found = measured_beside([gap(6.0, "777")], made, PLOTS)
    assert not found.rows
    assert "777" in found.remarks[0]


def test_a_figure_of_the_plan_without_a_range_is_neither_inside_nor_outside(made: Estimate) -> None:
    row = only(measured_beside([one("dose", "rate_m3_ha", 31.0, "103")], made, PLOTS), "dose", "plough")
    assert row.origin == "plan"
    assert (row.inside is None) == (row.least == row.most)


def test_reasons_are_read_and_stand_beside_their_row(made: Estimate, tmp_path: Path) -> None:
    file = tmp_path / "why.csv"
    file.write_text("quantity;system;reason\ngap;strip;tine wore\ngap;plough;\n", "utf-8")
    said = read_reasons(file, made)
    assert said == {("gap", "strip", ""): "tine wore"}
    rows = [replace(gap(2.0, "101"), kept="dug twice")]
    found = measured_beside(rows, made, PLOTS, reasons=said)
    row = only(found, "gap", "strip")
    assert (row.reason, row.kept) == ("tine wore", ("dug twice",))
    assert "reason: tine wore" in measured_text(found)
    assert json.loads(measured_json(found, invented=True))["rows"][0]["reason"] == "tine wore"


def test_faults_of_reasons_are_told_at_once(made: Estimate, tmp_path: Path) -> None:
    file = tmp_path / "why.csv"
    file.write_text("quantity;system;reason\ngapp;strip;x\ngap;strp;x\ngap;strip;x\ngap;strip;y\n", "utf-8")
    with pytest.raises(PlanFaults) as caught:
        read_reasons(file, made)
    for part in ('did you mean "gap"', 'did you mean "strip"', "stands twice"):
        assert part in str(caught.value)


def test_a_mean_beyond_the_range_asks_for_a_reason(made: Estimate) -> None:
    found = measured_beside([gap(11.9, "101")], made, PLOTS)
    assert only(found, "gap", "strip").inside is False
    assert "reason: ____" in measured_text(found, invented=True)


def test_text_section_and_data_hold_when_nothing_was_measured(made: Estimate) -> None:
    found = measured_beside([], made, PLOTS)
    assert "Nothing that the estimate holds has been measured yet" in measured_text(found)
    assert len(measured_section(found).blocks) == 3
    assert json.loads(measured_json(found, invented=False))["rows"] == []
