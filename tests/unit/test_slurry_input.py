"""Impossible input, shapes, and the tables of the slurry floor."""

from __future__ import annotations

import numpy as np
import pytest

from spadework.ranges import ImpossibleValue, OutsideCalibration, collecting
from spadework.reference import STANDINGS, constants, load
from spadework.science import chemistry, slurry
from spadework.science.slurry import sureness

TABLES = (
    "ammonia_abatement_unece",
    "ammonia_chemistry",
    "ammonia_delay",
    "ammonia_factors_dutch",
    "ammonia_measured",
    "ammonia_reference",
    "diesel_co2",
    "gas_ef_range",
    "gas_factors",
    "gas_placement",
    "gwp",
    "maize_n_need",
    "maize_n_response",
    "n2o_measured",
    "nitrogen_available",
    "nitrogen_carry_over",
    "nitrogen_limits",
    "nitrogen_mechanistic",
    "nutrient_removal",
    "slurry_composition",
    "slurry_density",
    "slurry_loads",
    "slurry_ph",
    "tan_excreted",
)
POINTS = (0.9, 0.55, 0.3, 30.0)


@pytest.mark.parametrize("name", TABLES)
def test_every_number_has_range_unit_and_source(name: str) -> None:
    table = load(name)
    for row in table.values():
        filled = [column for column in table.value_columns() if row.has(column)]
        assert filled, row.key
        for column in filled:
            entry = row.entry(column)
            assert entry.low <= entry.value <= entry.high, (row.key, column)
            assert entry.unit, (row.key, column)
            assert entry.citation.standing in STANDINGS
            assert entry.citation.source.text


@pytest.mark.parametrize("name", TABLES)
def test_no_share_leaves_nought_to_one(name: str) -> None:
    table = load(name)
    for row in table.values():
        for column in table.value_columns():
            if column.endswith("_share") and row.has(column) and row.key != "thorman_all":
                entry = row.entry(column)
                assert 0 <= entry.low <= entry.high <= 1, (row.key, column)


def test_reductions_drawn_from_their_ranges_never_rise_with_delay() -> None:
    rows = load("ammonia_abatement_unece")
    spread = {key: rows[key].entry("abatement_share") for key in rows}
    for tool in ("plough_at_once", "non_inversion_at_once"):
        assert spread[tool].low >= spread["within_4_h"].high
    assert spread["within_4_h"].low >= spread["within_24_h"].high
    assert constants("ammonia_delay").no_effect_h > 24


def test_ammoniacal_n_is_never_more_than_total_n() -> None:
    for row in load("slurry_composition").values():
        if row.has("ammoniacal_n_kg_t"):
            assert row.entry("ammoniacal_n_kg_t").value < row.entry("total_n_kg_t").value, row.key


@pytest.mark.parametrize(
    ("call", "parameter"),
    [
        (lambda: slurry.dose_volume(-1, 1.0), "dose_t_ha"),
        (lambda: slurry.dose_volume(30, 1000), "density_t_m3"),
        (lambda: slurry.content_per_volume(3.4, 0), "density_t_m3"),
        (lambda: slurry.nutrient_rate(30, -1), "content_kg_m3"),
        (lambda: slurry.organic_n([100, 50], [60, 70]), "ammoniacal_n_kg_ha"),
        (lambda: slurry.loss_uncovered(40, 0.3), "reference_loss_share"),
        (lambda: slurry.loss_uncovered(0.4, float("nan")), "method_abatement_share"),
        (lambda: slurry.loss_covered(0.4, 0.3, 0.9, 1.1), "early_share"),
        (lambda: slurry.method_abatement(0.9, 0.7, -0.1), "visible_share"),
        (lambda: slurry.nh3_n_loss(-5, 0.1), "tan_kg_ha"),
        (lambda: slurry.abatement_with_delay(-1, *POINTS), "delay_h"),
        (lambda: slurry.abatement_with_delay(1, 0.5, 0.6, 0.3, 30), "abatement_4h_share"),
        (lambda: slurry.abatement_with_delay(1, 0.9, 0.5, [0.4, 0.6], 30), "abatement_24h_share"),
        (lambda: slurry.early_share(1, 0.0, 0.0, 0.0, 30), "abatement_now_share"),
        (lambda: slurry.early_share(1, 0.9, 0.55, 0.3, 24), "no_effect_h"),
        (lambda: slurry.delay_at(-1, 0, 1, 1), "area_done_ha"),
        (lambda: slurry.mean_delay(-0.1, 1, 1, 1), "lag_h"),
        (lambda: slurry.mean_delay(0, 0, 1, 1), "spread_rate_ha_h"),
        (lambda: slurry.mean_early_share(0, 1, 0, 1, *POINTS), "cover_rate_ha_h"),
        (lambda: slurry.mean_early_share(0, 1, 1, 0, *POINTS), "area_ha"),
        (lambda: slurry.tan_kept(100, 1.2), "loss_share"),
        (lambda: slurry.available_n_mechanistic(10, 5, 1, 0.1, 11), "early_gas_n_kg_ha"),
        (lambda: slurry.available_n_share(100, 60), "available_share"),
        (lambda: slurry.counted_share_germany(0.6, 1.2), "ammoniacal_share"),
        (lambda: slurry.bought_n_replaced(-1, 100), "available_n_kg_ha"),
        (lambda: slurry.bought_n_needed(1, -100), "need_kg_ha"),
        (lambda: slurry.n_beyond_need(-1, 100), "available_n_kg_ha"),
        (lambda: slurry.value_of_n(10, -1), "price_eur_kg"),
        (lambda: slurry.yield_adjustment_germany(50, 45, 0, 10, 15, 40), "step_t_ha"),
        (lambda: slurry.n_need_germany(200, 0, -1, 0, 0, 0.1), "nmin_kg_ha"),
        (lambda: slurry.nutrient_need_uk(85, -1, 40, 1.4), "expected_yield_t_ha"),
        (lambda: slurry.dose_for_n(100, 0, 0.6), "total_n_kg_m3"),
        (lambda: slurry.dose_at_limit(170, 0), "content_kg_m3"),
        (lambda: slurry.placed_ef(0.01, -1), "placement_multiplier"),
        (lambda: slurry.n2o_direct(100, 1.0), "ef_share"),
        (lambda: slurry.n2o_indirect_deposition(10, 1.0), "ef4_share"),
        (lambda: slurry.n2o_indirect_leaching(100, 24, 0.011), "leached_share"),
        (lambda: slurry.co2e_n2o(1, 0), "gwp"),
        (lambda: slurry.co2e_per_litre(74.1, 43, 832), "density_kg_l"),
        (lambda: slurry.co2e_diesel(-1, 2.66), "fuel_l_ha"),
        (lambda: chemistry.pka_emerson(-300), "temperature_degc"),
        (lambda: chemistry.free_ammonia_share(15, 9), "ph"),
        (lambda: chemistry.gas_concentration(2, 0.01, 0), "ratio_water_air"),
        (lambda: sureness.sd_as_stated([3, -1], 0.05, 1), "content"),
        (lambda: sureness.sd_as_stated(3, 0.05, 0), "repeats"),
        (lambda: sureness.sampled_share([30, 30], [20, 20]), "sampled_share"),
        (lambda: sureness.sampled_share(0, 0), "volume_m3"),
        (lambda: sureness.drawn_about(3, -0.1, 0), "standard_error"),
        (lambda: sureness.drawn_about(3, 1, -4), "content drawn"),
    ],
)
def test_impossible_values_are_named(call, parameter: str) -> None:
    with pytest.raises(ImpossibleValue, match=f"`{parameter}`") as caught:
        call()
    assert caught.value.parameter == parameter


def test_the_message_names_the_first_point_that_rises() -> None:
    with pytest.raises(ImpossibleValue, match=r"`abatement_4h_share` is 0\.6; allowed: 0 to 0\.5"):
        slurry.early_share(2, 0.5, 0.6, 0.3, 30)


def test_systems_by_draws() -> None:
    lag = np.array([[0.0], [1.0], [2.0]])
    cover = np.linspace(0.5, 3, 7)
    early = slurry.mean_early_share(lag, 2.0, cover, 6.0, *POINTS)
    assert early.shape == (3, 7)
    assert slurry.mean_delay(lag, 2.0, cover, 6.0).shape == (3, 7)
    assert slurry.loss_covered(0.4, 0.0, 0.9, early).shape == (3, 7)
    one_by_one = [[float(slurry.mean_early_share(a, 2.0, b, 6.0, *POINTS)) for b in cover] for a in (0.0, 1.0, 2.0)]
    np.testing.assert_allclose(early, one_by_one, rtol=1e-12)
    assert slurry.mean_early_share(0.0, 2.0, 1.0, 6.0, np.full(5, 0.9), 0.55, 0.3, [[30.0], [40.0]]).shape == (2, 5)


def test_no_rows_give_no_rows() -> None:
    nothing = np.empty((0, 1))
    assert slurry.mean_early_share(nothing, nothing, nothing, 6.0, *POINTS).shape == (0, 1)
    assert slurry.mean_delay(nothing, nothing, nothing, 6.0).shape == (0, 1)
    assert slurry.loss_covered(0.4, nothing, 0.9, nothing).shape == (0, 1)


def test_a_faster_covering_outfit_catches_up_and_waits() -> None:
    assert float(slurry.delay_at(2.0, 1.0, 1.0, 2.0)) == 0.0
    # The lag of 1 h is gone after 2 ha; the mean over 4 ha is half of the mean over those 2 ha.
    assert float(slurry.mean_delay(1.0, 1.0, 2.0, 4.0)) == pytest.approx(0.25)
    assert float(slurry.mean_early_share(0.0, 1.0, 2.0, 4.0, *POINTS)) == 0.0


def test_covering_with_less_than_the_way_of_spreading_saves_changes_nothing() -> None:
    assert float(slurry.loss_covered(0.5, 0.8, 0.7, 0.2)) == pytest.approx(0.1)


def test_deductions_beyond_the_target_leave_no_need() -> None:
    assert float(slurry.n_need_germany(200, -30, 150, 20, 200, 0.1)) == 0.0
    assert float(slurry.yield_adjustment_germany(40, 45, 5, 10, 15, 40)) == -15.0
    assert float(slurry.yield_adjustment_germany(90, 45, 5, 10, 15, 40)) == 40.0


def test_temperatures_outside_the_fit_are_told() -> None:
    with pytest.warns(OutsideCalibration, match="Clegg"):
        chemistry.henry_clegg_brimblecombe(45)
    with collecting() as notes:
        chemistry.pka_emerson([-2, 10])
        chemistry.pka_bates_pinching(60)
    assert [note.model for note in notes] == ["pKa after Emerson", "pKa after Bates and Pinching"]
