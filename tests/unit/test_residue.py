"""Residue: shapes, errors, edges, and whether the tables are whole."""

from __future__ import annotations

import numpy as np
import pytest

from spadework import reference
from spadework.ranges import ImpossibleValue, OutsideCalibration, collecting
from spadework.science import seedbed


def test_arrays_broadcast():
    cover = seedbed.cover_from_mass(np.array([0.0, 1000, 2000]), np.array([[0.0004], [0.00034]]))
    assert cover.shape == (2, 3)
    assert seedbed.area_weighted_cover(0.05, cover, 0.25).shape == (2, 3)
    assert seedbed.hits_to_prove(np.array([0.15, 0.30]), np.array([[100], [300]]), 0.05).shape == (2, 2)
    assert seedbed.exact_low(np.array([0, 30, 100]), 100, 0.95).shape == (3,)


def test_a_pass_can_bring_residue_up_but_not_cover_more_than_the_ground():
    assert seedbed.cover_after_pass(0.2, 1.6) == pytest.approx(0.32)
    with pytest.raises(ImpossibleValue, match=r"1\.28"):
        seedbed.cover_after_pass(np.array([0.2, 0.8]), 1.6)


def test_strip_wider_than_the_rows():
    with pytest.raises(ImpossibleValue, match="strip_width_m"):
        seedbed.tilled_share(0.8, 0.75)


def test_full_cover_says_nothing_about_mass():
    with pytest.raises(ImpossibleValue, match="cover_share"):
        seedbed.mass_from_cover(1, 0.0004)
    assert seedbed.cover_after_mass_retention(1, 0.1) == 1
    assert seedbed.cover_after_mass_retention(0.5, 0) == 0


def test_more_hits_than_points():
    for call in (seedbed.wilson_low, seedbed.wilson_high, seedbed.exact_low, seedbed.exact_high):
        with pytest.raises(ImpossibleValue, match="hits"):
            call(101, 100, 0.95)


def test_no_count_proves_with_too_few_points():
    assert seedbed.hits_to_prove(0.30, 1, 0.05) == 2
    assert seedbed.power_to_prove(2, 1, 0.99) == 0
    assert seedbed.power_to_prove(0, 10, 0.3) == 1


def test_ends_of_the_exact_interval():
    assert seedbed.exact_low(0, 100, 0.95) == 0
    assert seedbed.exact_high(100, 100, 0.95) == 1


def test_wind_outside_its_fit_is_said():
    with pytest.warns(OutsideCalibration, match="wind_loss_ratio"):
        assert seedbed.wind_loss_ratio(0) == 1
    with collecting() as notes:
        seedbed.wind_loss_ratio(np.array([0.5, 0.9]))
    assert [note.parameter for note in notes] == ["cover_share"]


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: seedbed.cover_from_mass(-1, 0.0004), "mass_kg_ha"),
        (lambda: seedbed.cover_from_mass(1000, 0), "am_ha_kg"),
        (lambda: seedbed.cover_together(0.5, 40), "other_cover_share"),
        (lambda: seedbed.cover_after_pass(30, 0.5), "cover_share"),
        (lambda: seedbed.cover_after_pass(0.3, 70), "cover_retention_share"),
        (lambda: seedbed.area_weighted_cover(0.05, 0.85, 27), "tilled_share"),
        (lambda: seedbed.decay(100, 0.003, -1), "days"),
        (lambda: seedbed.decay_rate(1, 365), "loss_share"),
        (lambda: seedbed.binomial_se(0.3, 0), "points"),
        (lambda: seedbed.normal_quantile(95), "confidence_share"),
        (lambda: seedbed.lines_half_width(0.08, 1, 0.95), "lines"),
        (lambda: seedbed.points_needed(0.3, 0, 1.96), "half_width_share"),
        (lambda: seedbed.points_per_row(0.75, 0.15, 0), "angle_deg"),
        (lambda: seedbed.power_to_prove(12, 10, 0.3), "points"),
        (lambda: seedbed.water_loss_ratio(30, 0.035), "cover_share"),
    ],
)
def test_impossible_values_are_named(call, name):
    with pytest.raises(ImpossibleValue, match=name):
        call()


MINE = (
    "band_defaults",
    "band_targets",
    "band_waiting",
    "placement_findings",
    "residue_decay",
    "residue_flattening",
    "residue_limits",
    "residue_mass_cover",
    "residue_retention",
    "residue_retention_slurry",
    "residue_retention_textbook",
    "seedling_thresholds",
    "soil_loss_ratio",
    "strip_geometry",
    "transect_practice",
)


@pytest.mark.parametrize("name", MINE)
def test_every_number_has_unit_range_and_source(name):
    table = reference.load(name)
    for row in table.values():
        for column in table.value_columns():
            if column in ("what", "side") or not row.has(column):
                continue
            entry = row.entry(column)
            assert entry.low <= entry.value <= entry.high
            assert entry.unit
            assert entry.citation.standing in reference.STANDINGS
            assert entry.citation.source.text


@pytest.mark.parametrize("name", ["residue_retention", "residue_retention_slurry"])
def test_retention_is_a_share_and_fragile_residue_keeps_less(name):
    for row in reference.load(name).values():
        if not row.has("non_fragile"):
            continue
        sturdy, fragile = row.entry("non_fragile"), row.entry("fragile")
        assert 0 <= fragile.low <= sturdy.high <= 1
        assert fragile.high <= sturdy.high


def test_typical_retention_is_the_middle_of_the_range():
    for row in reference.load("residue_retention").values():
        for column in ("non_fragile", "fragile"):
            entry = row.entry(column)
            assert entry.value == pytest.approx((entry.low + entry.high) / 2)
