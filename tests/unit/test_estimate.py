"""The estimate holds together: sums, balances, couplings, repeatability."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import Estimate, estimate, working, working_text
from spadework.estimate.money.costs import COST_PARTS
from spadework.estimate.slurry.gases import GAS_PARTS
from spadework.plan import PlanFaults, read_text
from spadework.working import Worked

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
PLOUGH, CULTIVATOR, STRIP, INJECTOR = range(4)


@cache
def run(*changes: tuple[str, str], draws: int = 400, seed: int = 1) -> Estimate:
    text = DEMO
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws, seed=seed)


FED = '  supply = "two feeders"\n'


def mid(found: Estimate, name: str, system: int) -> float:
    return found.spread(name, system).mid


@pytest.mark.parametrize(("total", "parts"), [("cost", COST_PARTS), ("co2e", GAS_PARTS)])
def test_parts_add_up(total: str, parts: dict[str, str]) -> None:
    found = run()
    for system in range(4):
        added = sum(found.values(part, system) for part in parts)
        np.testing.assert_allclose(added, found.values(total, system), rtol=1e-12)


def test_nitrogen_balance() -> None:
    found = run()
    for system in range(4):
        spread = found.values("ammoniacal_n_dose", system)
        np.testing.assert_allclose(found.values("lost_n", system) + found.values("kept_n", system), spread, rtol=1e-12)
        given = found.values("replaced_n", system) + found.values("bought_n", system)
        np.testing.assert_allclose(given + found.values("starter_n", system), 150.0, rtol=1e-12)


def test_same_seed_same_bytes_and_another_seed_close() -> None:
    first, other = run(draws=2_000), run(draws=2_000, seed=99)
    again = estimate(first.read, draws=2_000)
    for name, figure in first.sheet.figures.items():
        assert (figure.values == again.sheet[name]).all(), name
    for name in ("cost", "fuel", "lost_n", "cover"):
        for system in range(4):
            assert mid(other, name, system) == pytest.approx(mid(first, name, system), rel=0.02, abs=0.01)


def test_systems_share_their_draws() -> None:
    found = run()
    hose = [found.sheet["pass_fuel"][row] for row in (0, 4)]
    assert (hose[0] == hose[1]).all()
    difference = found.difference("cost", STRIP)
    alone = found.spread("cost", STRIP)
    assert difference.high - difference.low < 0.6 * (alone.high - alone.low)
    assert found.difference("cost", PLOUGH).mid == 0


@pytest.mark.parametrize(
    ("changes", "name", "system", "rises"),
    [
        ((('7 km/h"\n  turning = "reversing"', '5 km/h"\n  turning = "reversing"'),), "loss_share", PLOUGH, True),
        ((('after = "0.5 h"', 'after = "4 h"'),), "loss_share", CULTIVATOR, True),
        ((('visible_slurry = "2 +/- 1 %"', 'visible_slurry = "30 %"'),), "loss_share", STRIP, True),
        ((('dose = "30 t/ha"', 'dose = "40 t/ha"'),), "gap", STRIP, False),
        ((('depth = "22 +/- 1.5 cm"', 'depth = "24 +/- 1.5 cm"'),), "gap", STRIP, True),
        ((('depth = "22 +/- 1.5 cm"', 'depth = "24 +/- 1.5 cm"'),), "fuel", STRIP, True),
        ((('texture = "loam"', 'texture = "sand"'),), "fuel", PLOUGH, False),
        ((('diesel = "1.05 +/- 0.10 EUR/L"', 'diesel = "2 EUR/L"'),), "cost", PLOUGH, True),
        ((('transfer = "6 +/- 1 m3/min"', 'transfer = "2 m3/min"'),), "rate", STRIP, False),
        (((FED, ""),), "rate", STRIP, False),
        (((FED, ""), ('store_distance = "1.8 km"', 'store_distance = "6 km"')), "fuel", STRIP, True),
        ((('store_distance = "1.8 km"', 'store_distance = "12 km"'),), "rate", PLOUGH, False),
        ((("vehicles = 2", "vehicles = 1"),), "supply_cost", STRIP, False),
        ((("vehicles = 2", "vehicles = 1"),), "rate", PLOUGH, False),
        ((('length = "340 m"', 'length = "120 m"'),), "rate", PLOUGH, False),
        ((('shape = "94 %"', 'shape = "60 %"'),), "rate", PLOUGH, False),
        ((('headland = "18 m"', 'headland = "40 m"'),), "rate", PLOUGH, False),
        ((('slope = "1 %"', 'slope = "8 %"'),), "fuel", PLOUGH, True),
        ((('mass = "7.4 t"', 'mass = "5 t"'),), "fuel", PLOUGH, True),
        ((('fit_days = "55 +/- 10 %"', 'fit_days = "40 %"'),), "chance_done", PLOUGH, False),
        ((('maize = "58 ha"', 'maize = "120 ha"'),), "needed_days", PLOUGH, True),
        ((('residue_cover = "70 +/- 8 %"', 'residue_cover = "30 %"'),), "cover", STRIP, False),
        ((("inhibitor = false", "inhibitor = true"),), "co2e", STRIP, False),
        ((('nitrogen = "1.20 +/- 0.25 EUR/kg"', 'nitrogen = "2.4 EUR/kg"'),), "cost", INJECTOR, True),
        ((('hours = "160 h/year"', 'hours = "80 h/year"'),), "cost", PLOUGH, True),
    ],
)  # fmt: skip
def test_couplings(changes: tuple[tuple[str, str], ...], name: str, system: int, rises: bool) -> None:
    before, after = mid(run(), name, system), mid(run(*changes), name, system)
    assert (after > before) is rises
    assert after != before


def test_units_do_not_matter() -> None:
    metric = run(('depth = "23 +/- 2 cm"', 'depth = "20.32 cm"'), ('dose = "30 t/ha"', 'dose = "30 m3/ha"'))
    other = run(('depth = "23 +/- 2 cm"', 'depth = "8 in"'), ('dose = "30 t/ha"', 'dose = "3207.1991 US gal/ac"'))
    for name in ("cost", "fuel", "lost_n", "co2e"):
        for system in range(4):
            assert mid(other, name, system) == pytest.approx(mid(metric, name, system), rel=1e-6)


def test_substance_and_basis_do_not_matter() -> None:
    plain = run()
    dry = (
        ('basis = "fresh"', 'basis = "dry"'),
        ('dry_matter = "7.2 +/- 0.5 %"', 'dry_matter = "7.2 %"'),
        ("1.9 +/- 0.2 kg NH4-N/t", "26.389 +/- 2.778 g NH4-N/kg"),
        ("3.6 +/- 0.3 kg N/t", "50 +/- 4.1667 g N/kg"),
        ("1.4 +/- 0.2 kg P2O5/t", "8.486 g P/kg"),
        ("3.8 +/- 0.4 kg K2O/t", "43.81 g K/kg"),
    )
    other = run(*dry)
    assert mid(other, "lost_n", PLOUGH) == pytest.approx(mid(plain, "lost_n", PLOUGH), rel=0.01)
    assert mid(other, "phosphorus_dose", PLOUGH) == pytest.approx(mid(plain, "phosphorus_dose", PLOUGH), rel=0.002)
    assert mid(other, "potassium_dose", PLOUGH) == pytest.approx(mid(plain, "potassium_dose", PLOUGH), rel=0.002)
    as_ion = run(("1.9 +/- 0.2 kg NH4-N/t", "2.4469 +/- 0.2576 kg NH4/t"))
    assert mid(as_ion, "lost_n", PLOUGH) == pytest.approx(mid(plain, "lost_n", PLOUGH), rel=1e-3)


def test_every_figure_has_a_working_down_to_plan_or_table() -> None:
    found = run()
    for name in found.sheet.figures:
        leaves = [f for f in found.sheet.behind(name) if not found.sheet.inputs(f)]
        assert leaves
        assert not any(isinstance(leaf.origin, Worked) for leaf in leaves)
    for system in range(4):
        shown = working(found, "cost", system)
        for datum in (*shown.given, *shown.tables):
            assert datum.place
            assert datum.result
        assert all(datum.source for datum in shown.tables)


def test_working_reads_like_an_example() -> None:
    text = working_text(run(draws=1), "drawbar", PLOUGH)
    assert "draft_n × speed_km_h / 3600" in text
    assert "N × 7 km/h ÷ 3600 = " in text


def test_limits_are_told_and_never_cleared() -> None:
    over = run(('at_most = "170 kg N/ha"', 'at_most = "90 kg N/ha"'), ('at_least = "10 m"', 'at_least = "80 m"'))
    assert any("more than the 90 kg N/ha of your limit" in note and "check locally" in note for note in over.notes)
    assert any("less than the 80 m" in note for note in over.notes)
    assert not any("limit" in note for note in run().notes)


def test_other_currency_and_no_slurry_in_one_system() -> None:
    crowns = run(("EUR", "DKK"))
    assert mid(crowns, "cost", PLOUGH) == pytest.approx(mid(run(), "cost", PLOUGH))
    placed = '  places = ["slurry"]\n  supply = "two feeders"\n  contractor = "strips with slurry, asked"\n'
    bare = DEMO.replace(placed + '  visible_slurry = "2 +/- 1 %"\n', "").replace('"tanker, 16 m3", "strip', '"strip')
    found = estimate(read_text(bare, "plan.toml", FOLDER), draws=100)
    assert found.spread("lost_n", STRIP).mid == 0
    assert not found.has("gap", STRIP)
    assert found.spread("bought_n", STRIP).mid == 150


def test_dataset_carries_units_and_workings() -> None:
    dataset = run().dataset(["cost", "pass_fuel", "diesel_price", "gap"])
    assert dict(dataset.sizes) == {"system": 4, "draw": 400, "pass": 13, "band": 1}
    assert dataset["cost"].attrs["units"] == "EUR/ha"
    assert "fuel_per_hectare" in dataset["pass_fuel"].attrs["working"]
    assert list(dataset["system"].values) == ["plough", "cultivator", "strip", "injector"]
    json.dumps({name: dict(variable.attrs) for name, variable in dataset.items()}, default=str)


def test_one_draw_is_the_middle_of_everything() -> None:
    single, many = run(draws=1), run(draws=4_000)
    assert mid(single, "fuel", PLOUGH) == pytest.approx(mid(many, "fuel", PLOUGH), rel=0.02)
    assert single.spread("cost", PLOUGH).low == single.spread("cost", PLOUGH).high


def test_tractor_near_its_limit_is_told_and_slower() -> None:
    near = run(('power = "230 kW"', 'power = "180 kW"'))
    assert any("is too small for 7 km/h" in note for note in near.notes)
    assert mid(near, "rate", STRIP) < mid(run(), "rate", STRIP)
    with pytest.raises(PlanFaults, match="too small"):
        run(('power = "230 kW"', 'power = "120 kW"'))


def test_weather_file_is_read_for_the_hours(tmp_path: Path) -> None:
    hours = run().weather
    assert len(hours.air_temperature_degc) == 10
    assert min(hours.air_temperature_degc) > 10

    def said(content: str) -> str:
        (tmp_path / "weather.csv").write_text(content, "utf-8")
        with pytest.raises(PlanFaults) as caught:
            estimate(read_text(DEMO, "plan.toml", tmp_path), draws=1)
        return str(caught.value)

    head = "time,air_temperature_degc,wind_m_s\n"
    assert "no column wind_m_s" in said("time,air_temperature_degc\n")
    assert "no zone" in said(head + "2013-04-17T07:00:00,12,3\n")
    assert "lacks 9 of the 10 hours" in said(head + "2013-04-17T07:00:00+00:00,12,3\n")
    assert "is no number" in said(head + "2013-04-17T07:00:00+00:00,warm,3\n")
