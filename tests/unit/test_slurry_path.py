"""Errors, shapes, edges and tables of composition, need, balances, later years and equal terms."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from spadework.ranges import ImpossibleValue, OutsideCalibration, collecting
from spadework.reference import STANDINGS, load
from spadework.science.slurry import balance, composition, crop_need, equal_terms, gases, later_years, plausible
from spadework.science.slurry.nutrients import nutrient_rate
from spadework.working import equations

MODULES = (balance, composition, crop_need, equal_terms, gases, later_years, plausible)
TABLES = (
    "dry_matter_of_rows",
    "later_years",
    "maize_yield_rule",
    "mineral_effect",
    "preceding_crop_n",
    "silage_removal_dry",
    "slurry_density_line",
    "slurry_plausible",
    "slurry_scatter",
)


@pytest.mark.parametrize("name", TABLES)
def test_every_number_has_unit_and_source(name: str) -> None:
    table = load(name)
    for row in table.values():
        filled = [c for c in table.value_columns() if row.has(c) and c not in {"series", "table"}]
        assert filled, row.key
        for column in filled:
            entry = row.entry(column)
            assert entry.low <= entry.value <= entry.high, (row.key, column)
            assert entry.unit, (row.key, column)
            assert entry.citation.standing in STANDINGS


def test_limits_of_the_usual_are_in_order() -> None:
    for row in load("slurry_plausible").values():
        assert row.entry("low").value < row.entry("high").value, row.key


def test_rows_with_a_dry_matter_exist_and_carry_it_in_their_name() -> None:
    for key, row in load("dry_matter_of_rows").items():
        there = load(row.text("table"))[key]
        percent = round(100 * row.entry("dry_matter_share").value)
        assert f"_{percent}dm_" in key or f"{percent} % DM" in there.label


def test_every_guide_row_with_a_dry_matter_is_in_a_series() -> None:
    named = {key for key in load("nitrogen_available") if "dm_" in key}
    assert named <= set(load("dry_matter_of_rows"))


def test_every_public_function_has_a_formula() -> None:
    for module in MODULES:
        for name in module.__all__:
            if name != "OddRatio":
                assert getattr(module, name) in equations(), name


@pytest.mark.parametrize(
    ("call", "parameter"),
    [
        (lambda: composition.mean_by_volume([1, -1], [1, 1]), "content"),
        (lambda: composition.mean_by_volume([1, 1], [0, 0]), "volume_m3"),
        (lambda: composition.mean_by_volume([], []), "volume_m3"),
        (lambda: composition.mean_by_mass([0.1], [1], [2]), "density_t_m3"),
        (lambda: composition.ph_span([7, 15]), "ph"),
        (lambda: composition.ph_span([]), "ph"),
        (lambda: composition.sd_of_loads([3.0]), "content"),
        (lambda: composition.sd_of_repeats([[3.0], [3.1]]), "content"),
        (lambda: composition.sd_between_loads(0.1, 0.1, 0), "repeats"),
        (lambda: composition.effective_loads([0.0]), "volume_m3"),
        (lambda: composition.se_of_mean(0.1, 0.1, 1, 4, 1.2), "sampled_share"),
        (lambda: composition.se_of_mean(0.1, 0.1, 1, 0.5, 0.2), "loads"),
        (lambda: plausible.expected_density(0.5), "dry_matter_share"),
        (lambda: plausible.odd_ratios("pig", 0.0), "total_n_kg_t"),
        (lambda: plausible.odd_ratios("pig", 4.0, dry_matter_share=5.0), "dry_matter_share"),
        (lambda: crop_need.extreme_years([50, 300], 0.2), "yield_t_ha"),
        (lambda: crop_need.mean_yield_germany([9.5, 8.5, 8.0], [0, 0, 1], 0.2), "replaced"),
        (lambda: crop_need.nmin_of_layer(5, 1.4, 30, 1.0), "stones_share"),
        (lambda: crop_need.mean_over_rows([1.0], [0.0]), "width_m"),
        (lambda: crop_need.available_share_by_dry_matter(0.12, [0.02, 0.10], [0.45, 0.25]), "dry_matter_share"),
        (lambda: crop_need.available_share_by_dry_matter(0.05, [0.04], [0.5]), "dry_matter_share"),
        (lambda: balance.silage_content(0.25, [0.28, 0.35], [1.6, 1.9]), "dry_matter_share"),
        (lambda: balance.crop_removal(-1, 1), "yield_t_ha"),
        (lambda: balance.nutrient_of_product(100, 46), "nutrient_share"),
        (lambda: balance.nutrient_balance(1, 1, -1), "removed_kg_ha"),
        (lambda: balance.years_until(np.inf, 1), "change_kg_ha"),
        (lambda: balance.bought_replaced(1, 2, 1), "effect_share"),
        (lambda: balance.value_of_starter(100, -1, 1), "price_eur_t"),
        (lambda: later_years.later_share(0.2, 1.0, 1, 3), "kept_share"),
        (lambda: later_years.later_share(0.2, 0.5, 4, 3), "year"),
        (lambda: later_years.carry_over_after(100, [0.6, 0.6], 1), "yearly_share"),
        (lambda: later_years.value_of_later_years(100, [0.1], -1), "price_eur_kg"),
        (lambda: equal_terms.dose_for_equal_tan(30, 3, 0), "tan_kg_m3"),
        (lambda: equal_terms.available_n_per_volume(3, 1, 1.5, 1, 0.1), "loss_share"),
        (lambda: equal_terms.dose_for_equal_available(100, [-0.1]), "available_n_kg_m3"),
        (lambda: gases.break_even_ef(0.01, 0.1, 0), "n_applied_kg_ha"),
        (lambda: gases.co2e_trade_off(np.nan, 0, 0.01, 273), "extra_n2o_n_kg_ha"),
    ],
)
def test_impossible_values_are_named(call: Callable[[], object], parameter: str) -> None:
    with pytest.raises(ImpossibleValue, match=f"`{parameter}`") as caught:
        call()
    assert caught.value.parameter == parameter


def test_wrong_words_and_rows_are_told() -> None:
    with pytest.raises(ValueError, match="`kind` is 'goat'; allowed: cattle, pig, digestate"):
        plausible.odd_ratios("goat", 4.0)
    with pytest.raises(KeyError, match="no series moon"):
        crop_need.guide_points("moon", "available_share")
    for rows, values in (([0.1, 0.02], [0.2, 0.4]), ([0.02, 0.1], [0.4])):
        with pytest.raises(ValueError, match="rising dry matter"):
            crop_need.available_share_by_dry_matter(0.05, rows, values)


def test_loads_by_systems_and_draws() -> None:
    content = np.linspace(2, 4, 24).reshape(2, 3, 4)
    volume = np.array([15.0, 15.0, 15.0, 6.0])
    assert composition.mean_by_volume(content, volume).shape == (2, 3)
    assert composition.mean_by_mass(content, volume, 1.02).shape == (2, 3)
    assert composition.sd_of_loads(content).shape == (2, 3)
    assert composition.sd_of_repeats(content).shape == (2,)
    assert composition.ph_span(content + 4).shape == (2, 3, 2)
    assert crop_need.mean_yield_germany(content, np.zeros(4), 0.2).shape == (2, 3)
    assert later_years.carry_over_after(np.full((2, 1), 100.0), [0.1, 0.05], np.array([0.0, 1.0, 2.0])).shape == (2, 3)
    assert balance.years_until([[10.0], [20.0]], [1.0, -1.0, 0.0]).shape == (2, 3)
    assert crop_need.extreme_years([[9.5, 3.5], [3.5, 9.5]], [0.2, 0.7]).tolist() == [[0.0, 1.0], [0.0, 1.0]]


def test_one_load_is_its_own_mean() -> None:
    assert composition.mean_by_volume(3.2, 15.0) == 3.2
    assert composition.effective_loads(15.0) == 1


def test_analyses_that_scatter_more_than_loads_are_told() -> None:
    with pytest.warns(OutsideCalibration, match="taken as 0 where below"):
        assert composition.sd_between_loads(0.1, 0.3, 1) == 0
    with collecting() as notes:
        composition.sd_between_loads([0.1, 0.5], 0.3, 1)
    assert len(notes) == 1
    with collecting() as notes:
        composition.sd_between_loads(0.5, 0.3, 1)
    assert not notes


def test_sediment_of_the_store_shows() -> None:
    """Invented loads: thin before, the bottom of the store after; phosphate runs ahead, nitrogen does not follow."""
    found = {o.key: o for o in plausible.odd_ratios("pig", [4.6, 5.0], [3.1, 3.2], [2.0, 5.2], None, [0.046, 0.119])}
    assert set(found) == {"pig_p2o5", "pig_n_of_dry_matter"}
    assert found["pig_p2o5"].odd.tolist() == [False, True]
    assert found["pig_n_of_dry_matter"].odd.tolist() == [False, True]


def test_density_is_held_against_the_dry_matter() -> None:
    assert [o.key for o in plausible.odd_ratios("pig", 4.6, dry_matter_share=0.05, density_t_m3=0.95)] == [
        "density_off"
    ]
    assert not plausible.odd_ratios("pig", 4.6, dry_matter_share=0.05, density_t_m3=1.02)
    assert not plausible.odd_ratios("pig", 4.6, density_t_m3=0.95), "without dry matter nothing is to be expected"


def test_a_good_year_after_a_failure_is_replaced_only_on_demand() -> None:
    years = [9.5, 3.5, 9.0]
    assert crop_need.extreme_years(years, 0.2).tolist() == [0.0, 1.0, 1.0]
    assert crop_need.mean_yield_germany(years, [0, 1, 0], 0.2) == pytest.approx(28 / 3)
    assert crop_need.mean_yield_germany(years, [0, 1, 1], 0.2) == pytest.approx(22.5 / 3)


def test_exactly_at_the_limit_is_not_more_than_it() -> None:
    assert crop_need.extreme_years([10.0, 8.0], 0.2).tolist() == [0.0, 0.0]


def test_a_series_of_one_row_knows_that_row_only() -> None:
    points = crop_need.guide_points("uk_pig_spring_band", "available_share")
    assert len(points) == 1
    assert points[0][1].citation.standing == "memory"
    assert crop_need.available_share_by_dry_matter(0.04, 0.04, points[0][1].value) == 0.55


def test_no_way_back_for_a_balance_that_goes_the_other_way() -> None:
    found = balance.years_until([0.0, 50.0, 50.0, -50.0, 0.0], [0.0, 0.0, -5.0, -5.0, 3.0])
    assert found.tolist() == [0.0, np.inf, np.inf, 10.0, 0.0]
    assert balance.years_until(300.0, 1e-308) == np.inf


def test_locked_up_nitrogen_leaves_less_than_nothing() -> None:
    assert equal_terms.available_n_per_volume(0.1, 5.0, 0.5, 1.0, -0.2) < 0


def test_loads_of_one_store_at_equal_terms() -> None:
    """Invented: thick loads come late; the dose falls so that every plot has the same ammoniacal N."""
    tan = np.array([3.1, 3.1, 3.4, 3.6])
    dose = equal_terms.dose_for_equal_tan(30, 3.1, tan)
    np.testing.assert_allclose(nutrient_rate(dose, tan), 93.0)
    assert (np.diff(dose) <= 0).all()
