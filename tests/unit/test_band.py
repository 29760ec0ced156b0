"""The slurry band: shapes, errors, edges."""

from __future__ import annotations

import numpy as np
import pytest

from spadework import reference
from spadework.ranges import ImpossibleValue
from spadework.science import band


def test_arrays_broadcast():
    dose, spacing = np.array([20.0, 30, 40]), np.array([[0.5], [0.75]])
    litres = band.litres_per_metre(dose, spacing)
    assert litres.shape == (2, 3)
    assert litres[1, 1] == 2.25
    radius = band.band_radius(band.liquid_area(litres), 0.25)
    assert band.clearance_ellipse(np.full((4, 1, 1), 10.0), 3, radius, radius).shape == (4, 2, 3)


def test_no_slurry_no_band():
    assert band.band_radius(band.liquid_area(band.litres_per_metre(0, 0.75)), 0.25) == 0
    assert band.overflow(0, 0) == 0


def test_too_wet_says_so():
    with pytest.raises(band.TooWet, match=r"too wet .* -0\.02") as error:
        band.fillable_porosity(np.array([0.45, 0.40]), 0.9, np.array([0.2, 0.38]))
    assert isinstance(error.value, ImpossibleValue)
    with pytest.raises(band.TooWet):
        band.fillable_porosity(0.5, 0.5, 0.25)


def test_denser_than_its_grains():
    with pytest.raises(ImpossibleValue, match="bulk_density_t_m3"):
        band.total_porosity(2.7, 2.65)


def test_band_smaller_than_its_slurry():
    with pytest.raises(ImpossibleValue, match="band_area_cm2"):
        band.filled_share(30, 20)


def test_window_the_wrong_way_round():
    with pytest.raises(ImpossibleValue, match="high_cm"):
        band.share_within(6, 1, 7, 5)


def test_seed_inside_the_band_is_negative():
    assert band.gap(4, 5) == -1
    assert band.clearance_circle(0, 0, 5) == -5
    assert band.clearance_ellipse(0, 0, 4, 7) == pytest.approx(-4)
    assert band.clearance_ellipse(0, 0, 7, 4) == pytest.approx(-4)
    assert band.clearance_ellipse(7, 0, 4, 7) == pytest.approx(0, abs=1e-9)


def test_seed_on_the_long_axis():
    """Near the centre of a wide band the edge is nearest above and below, not at the tips."""
    assert band.clearance_ellipse(0, 12, 15, 1.5) == pytest.approx(-1.5 * np.sqrt(1 - 144 / (225 - 2.25)))
    assert band.clearance_ellipse(0, 20, 15, 1.5) == pytest.approx(5)
    near = band.clearance_ellipse(1e-11, 12, 15, 1.5)
    assert near == pytest.approx(band.clearance_ellipse(0, 12, 15, 1.5), abs=1e-9)


def test_a_band_over_the_surface_has_its_top_over_it():
    centre = band.band_centre_over_tine(5, 8)
    assert centre == -3
    assert band.band_top(centre, 8) == -11


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: band.litres_per_metre(-1, 0.75), "dose_m3_ha"),
        (lambda: band.litres_per_metre(30, 0), "row_spacing_m"),
        (lambda: band.litres_per_metre(np.nan, 0.75), "dose_m3_ha"),
        (lambda: band.liquid_area(-1), "litres_per_m"),
        (lambda: band.fillable_porosity(49, 0.9, 0.2), "total_porosity_share"),
        (lambda: band.band_radius(22.5, 0), "fillable_share"),
        (lambda: band.band_radius(22.5, 25), "fillable_share"),
        (lambda: band.band_half_height(5, 0), "aspect"),
        (lambda: band.band_half_width(-5, 1), "radius_cm"),
        (lambda: band.band_thickness(22.5, 0.25, 0), "band_width_cm"),
        (lambda: band.loosened_area(18, 4, 90), "spread_angle_deg"),
        (lambda: band.berm_height(396, 20, 25), "swell_share"),
        (lambda: band.firmed_rise(3, 50), "settlement_share"),
        (lambda: band.gap(11, -1), "seed_depth_cm"),
        (lambda: band.clearance_ellipse(10, 0, 0, 5), "half_width_cm"),
        (lambda: band.largest_dose(30, 0), "row_spacing_m"),
        (lambda: band.initial_ammoniacal_n(30, 0.25, 1.35), "tan_kg_m3"),
        (lambda: band.salt_mixture(20, 0.5, 0, 0.2), "fillable_share"),
        (lambda: band.share_within(6, 0, 5, 7), "sd_cm"),
    ],
)
def test_impossible_values_are_named(call, name):
    with pytest.raises(ImpossibleValue, match=name):
        call()


def test_defaults_can_be_chained():
    k = reference.constants("band_defaults")
    fillable = band.fillable_porosity(band.total_porosity(k.bulk_density, k.particle_density), k.saturation, k.moisture)
    entry = k["fillable"]
    assert entry.low <= fillable <= entry.high
    assert fillable == pytest.approx(k.fillable, abs=0.02)


def test_every_target_has_an_end_and_a_kind():
    kinds = {"gap", "clearance", "top_under_track", "band_depth", "seed_depth", "starter_distance", "lateral_offset"}
    for row in reference.load("band_targets").values():
        assert row.text("what") in kinds
        assert row.has("low_cm") or row.has("high_cm")
        if row.has("low_cm") and row.has("high_cm"):
            assert row.entry("low_cm").value <= row.entry("high_cm").value
        assert str(row.citation("low_cm"))


def test_findings_speak_for_and_against():
    sides = [row.text("side") for row in reference.load("placement_findings").values()]
    assert set(sides) == {"for", "against", "neutral"}
