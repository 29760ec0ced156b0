"""Nitrogen, phosphate, potash and gases of whole plans: what adds up, what moves what, and which words lead where."""

from __future__ import annotations

import typing
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from plans.faulty import DEMO
from spadework.estimate import Estimate, estimate
from spadework.estimate.slurry.availability import BASES
from spadework.estimate.slurry.gases import trade_off
from spadework.plan import Need, read_text
from spadework.plan.schema.crop import Crop
from spadework.reference import load
from spadework.science.slurry import break_even_ef, co2e_trade_off

FOLDER = Path(str(files("spadework.demo")))
NEED = 'n_need = "150 kg N/ha"              # after'
STARTER = "[crop.starter]\n"
TARGET = '[crop.need]\nby = "target value, Germany"\nnmin = "60 kg N/ha"\nlast_year_organic = "120 kg N/ha"\n'
PLOUGH, CULTIVATOR, STRIP, INJECTOR = range(4)


def run(*changes: tuple[str, str], draws: int = 200) -> Estimate:
    text = DEMO
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws)


def by(table: str, *more: tuple[str, str], draws: int = 200) -> Estimate:
    return run((NEED, "# after"), (STARTER, f"{table}\n{STARTER}"), *more, draws=draws)


def mid(found: Estimate, name: str, system: int) -> float:
    return found.spread(name, system).mid


def test_everything_adds_up_in_every_draw() -> None:
    found = run()
    for s in range(4):
        v = {name: found.values(name, s) for name in (
            "total_n_dose", "ammoniacal_n_dose", "lost_n", "kept_n", "replaced_n", "bought_n", "n_need_left", "starter_n",
            "n_need", "available_n", "beyond_n", "p2o5_balance", "phosphorus_dose", "p2o5_bought", "starter_p2o5",
            "p2o5_removed", "p2o5_replaced", "p2o5_need_left", "k2o_replaced", "k2o_bought", "k2o_need_left", "later_n",
            "later_n_1", "later_n_2", "later_n_3", "later_total",
        )}  # fmt: skip
        for left, right in (
            (v["lost_n"] + v["kept_n"], v["ammoniacal_n_dose"]),
            (v["replaced_n"] + v["bought_n"], v["n_need_left"]),
            (v["n_need_left"] + v["starter_n"], v["n_need"]),
            (v["replaced_n"] + v["beyond_n"], v["available_n"]),
            (v["p2o5_replaced"] + v["p2o5_bought"], v["p2o5_need_left"]),
            (v["k2o_replaced"] + v["k2o_bought"], v["k2o_need_left"]),
            (v["phosphorus_dose"] + v["p2o5_bought"] + v["starter_p2o5"] - v["p2o5_removed"], v["p2o5_balance"]),
            (v["later_n_1"] + v["later_n_2"] + v["later_n_3"], v["later_n"]),
            (v["total_n_dose"] * v["later_total"], v["later_n"]),
        ):
            np.testing.assert_allclose(left + 0 * right, right + 0 * left, rtol=1e-9, atol=1e-9)


def test_the_need_of_the_worked_example() -> None:
    """Reference reckoning: 200 + 10 - 60 - 12 = 138 kg N/ha at 50 t/ha (computed by hand from the ordinance)."""
    found = by(TARGET + 'yields = ["50 t/ha"]\n', draws=1)
    assert mid(found, "n_need", PLOUGH) == pytest.approx(138.0)
    replaced = by(TARGET + 'yields = ["52 t/ha", "48 t/ha", "30 t/ha"]\nreplaced = [3]\n', draws=1)
    assert mid(replaced, "mean_yield", PLOUGH) == pytest.approx((52 + 48 + 48) / 3)
    as_expected = by(TARGET, draws=1)
    assert mid(as_expected, "fresh_yield", PLOUGH) == pytest.approx(50.0)
    assert mid(as_expected, "n_need", PLOUGH) == pytest.approx(138.0)
    rich = by(TARGET + 'humus_rich = true\npreceding_crop = "grassland"\ncatch_crop = "catch legume spring"\n', draws=1)
    assert mid(rich, "soil_supply", PLOUGH) == pytest.approx(20 + 20 + 40)
    assert mid(rich, "n_need", PLOUGH) == pytest.approx(138.0 - 80)


def test_the_spread_of_nmin_is_the_spread_of_the_need() -> None:
    yields = 'yields = ["50 t/ha"]\n'
    wide = by(TARGET.replace('"60 kg', '"60 +/- 20 kg') + yields, draws=2_000).spread("n_need", PLOUGH)
    assert wide.high - wide.low == pytest.approx(40, rel=0.02)


def test_the_need_by_index() -> None:
    """RB209, forage maize: P index 1 at 50 t/ha is 85 + 10 x 1.4 = 99 kg P2O5/ha, as printed there."""
    index = '[crop.need]\nby = "soil index, United Kingdom"\nn_index = "1"\np_index = "1"\nk_index = "2-"\n'
    found = by(index, draws=1)
    for name, theirs in (("n_need", 100.0), ("p2o5_need", 99.0), ("k2o_need", 175.0)):
        assert mid(found, name, PLOUGH) == pytest.approx(theirs), name


def test_words_of_the_plan_are_rows_of_the_tables() -> None:
    def words(model: type, key: str) -> list[str]:
        waiting, found = [model.model_fields[key].annotation], []  # type: ignore[attr-defined]
        while waiting:
            one = waiting.pop()
            found += [one] if isinstance(one, str) else []
            waiting += typing.get_args(one)
        return found

    said = {word.replace(" ", "_") for key in ("preceding_crop", "catch_crop") for word in words(Need, key)}
    assert said == set(load("preceding_crop_n"))
    assert set(words(Crop, "n_available")) == set(BASES)


@pytest.mark.parametrize(
    ("basis", "plough", "strip"),
    [
        (
            "by guide, United Kingdom",
            0.40 - 0.1 * 1.2 / 4,
            0.45 - 0.1 * 1.2 / 4,
        ),  # covered, injected; 6 to 10 % at 7.2 %
        ("by least share, Germany", 0.60, 0.60),
        ("by least share, England", 0.40, 0.40),
        ("by required use, Denmark", 0.75, 0.75),
    ],
)
def test_available_by_a_table(basis: str, plough: float, strip: float) -> None:
    found = run((NEED, f'n_available = "{basis}"\n{NEED}'), draws=1)
    for system, share in ((PLOUGH, plough), (STRIP, strip)):
        total = mid(found, "total_n_dose", system)
        assert mid(found, "available_n", system) == pytest.approx(share * total)


def test_more_slurry_is_more_nitrogen_and_less_bought() -> None:
    less, more = run(), run(('dose = "30 t/ha"', 'dose = "35 t/ha"'))
    for system in range(4):
        assert mid(more, "available_n", system) > mid(less, "available_n", system)
        assert mid(more, "bought_n", system) < mid(less, "bought_n", system)
        assert mid(more, "p2o5_balance", system) > mid(less, "p2o5_balance", system)


def test_a_starter_saved_is_money_saved_and_phosphate_to_be_bought() -> None:
    with_it, without = run(("saves_starter = true", "saves_starter = false")), run()
    assert mid(with_it, "starter_cost", STRIP) == pytest.approx(mid(without, "starter_saved", STRIP))
    assert mid(without, "starter_cost", STRIP) == 0.0
    assert mid(without, "p2o5_bought", STRIP) > mid(with_it, "p2o5_bought", STRIP)
    assert mid(without, "bought_n", STRIP) > mid(with_it, "bought_n", STRIP)
    np.testing.assert_allclose(with_it.values("cost", PLOUGH), without.values("cost", PLOUGH))


def test_what_has_no_price_is_counted_and_costs_nothing() -> None:
    found = run(('phosphate = "1.05 +/- 0.20 EUR/kg P2O5"\n', ""), ('potash = "0.75 +/- 0.15 EUR/kg K2O"\n', ""))
    assert mid(found, "pk_cost", PLOUGH) == 0.0
    assert mid(found, "k2o_bought", PLOUGH) > 0
    assert "not priced" in found.sheet.figures["k2o_price"].label


def test_a_soil_that_needs_no_phosphate_saves_none() -> None:
    found = run((NEED, f'phosphate_need = "0 kg P2O5/ha"\n{NEED}'))
    assert mid(found, "p2o5_replaced", STRIP) == 0.0
    assert mid(found, "p2o5_value", STRIP) == 0.0


def test_grain_takes_away_what_the_table_says() -> None:
    """German table: 8.0 kg P2O5 and 5.0 kg K2O per t of grain at 86 % dry matter."""
    found = run(('kind = "silage maize"', 'kind = "grain maize"'), ('"17 +/- 2 t/ha"', '"8.6 t/ha"'), draws=1)
    assert mid(found, "p2o5_removed", PLOUGH) == pytest.approx(80.0)
    assert mid(found, "k2o_removed", PLOUGH) == pytest.approx(50.0)


def test_the_trade_off_is_that_of_the_science() -> None:
    found = run()
    over = trade_off(found.sheet, STRIP, PLOUGH)
    assert over is not None
    kept = found.values("lost_n", PLOUGH) - found.values("lost_n", STRIP)
    extra = found.values("n2o_soil", STRIP) - found.values("n2o_soil", PLOUGH)
    ef4, gwp = found.sheet["ef4"], found.sheet["gwp"]
    np.testing.assert_allclose(over.co2e, co2e_trade_off(extra, kept, ef4, gwp))
    assert over.break_even is not None
    total = found.values("total_n_dose", PLOUGH)
    np.testing.assert_allclose(over.break_even, break_even_ef(found.values("placed_ef1", PLOUGH), kept * ef4, total))
    beyond = over.ef > over.break_even
    np.testing.assert_array_equal(beyond, over.co2e > 0)
    assert trade_off(found.sheet, PLOUGH, PLOUGH) is None


def test_an_inhibitor_takes_off_something_or_nothing() -> None:
    found, plain = run(("inhibitor = false", "inhibitor = true"), draws=2_000), run(draws=2_000)
    left = found.sheet["inhibitor_factor"]
    assert left.min() >= 0.4
    assert 0.98 < left.max() <= 1.0
    assert mid(found, "co2e", STRIP) < mid(plain, "co2e", STRIP)
