"""The slurry band: limits, balance, order, and that the two ways to reckon a thing agree."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.science import band


def number(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


@given(dose=number(0.1, 120), spacing=number(0.2, 1.5), filled=number(0.05, 1), aspect=number(0.1, 20))
def test_band_holds_the_dose(dose, spacing, filled, aspect):
    radius = band.band_radius(band.liquid_area(band.litres_per_metre(dose, spacing)), filled)
    ellipse = np.pi * band.band_half_height(radius, aspect) * band.band_half_width(radius, aspect)
    litres_per_metre = ellipse * filled / 10
    metres_of_row_per_hectare = 10_000 / spacing
    assert litres_per_metre * metres_of_row_per_hectare / 1000 == pytest.approx(dose, rel=1e-9)
    assert band.band_half_width(radius, aspect) / band.band_half_height(radius, aspect) == pytest.approx(aspect)


@given(dose=number(0.1, 120), spacing=number(0.2, 1.5), filled=number(0.05, 1), width=number(1, 60))
def test_wide_band_holds_the_dose(dose, spacing, filled, width):
    area = band.liquid_area(band.litres_per_metre(dose, spacing))
    assert band.band_thickness(area, filled, width) * width * filled == pytest.approx(area)


@given(area=number(0.1, 200), filled=number(0.05, 0.5), factor=number(1.01, 4))
def test_more_slurry_or_fewer_pores_make_a_larger_band(area, filled, factor):
    assert band.band_radius(area * factor, filled) > band.band_radius(area, filled)
    assert band.band_radius(area, filled / factor) > band.band_radius(area, filled)
    assert band.band_radius(4 * area, filled) == pytest.approx(2 * band.band_radius(area, filled))


@given(area=number(0.1, 200), larger=number(1, 10))
def test_filled_share_gives_the_radius_back(area, larger):
    wetted = area * larger
    assert np.pi * band.band_radius(area, band.filled_share(area, wetted)) ** 2 == pytest.approx(wetted)


@given(
    h=number(-40, 40),
    x=number(-40, 40),
    a=number(0.2, 40),
    b=number(0.2, 40),
    mirror=st.sampled_from([(1, -1), (-1, 1)]),
)
def test_ellipse_is_mirror_symmetric_and_turns(h, x, a, b, mirror):
    here = band.clearance_ellipse(h, x, a, b)
    assert band.clearance_ellipse(mirror[0] * h, mirror[1] * x, a, b) == pytest.approx(here, abs=1e-9)
    assert band.clearance_ellipse(x, h, b, a) == pytest.approx(here, abs=1e-9)


@given(h=number(-40, 40), x=number(-40, 40), r=number(0.2, 40))
def test_ellipse_of_equal_axes_is_a_circle(h, x, r):
    assert band.clearance_ellipse(h, x, r, r) == pytest.approx(band.clearance_circle(h, x, r), abs=1e-9)


@given(h=number(-40, 40), x=number(-40, 40), a=number(0.2, 40), b=number(0.2, 40))
def test_ellipse_against_a_search_along_its_edge(h, x, a, b):
    angle = np.linspace(0, 2 * np.pi, 20_001)
    along_edge = np.hypot(a * np.cos(angle) - x, b * np.sin(angle) - h)
    ours = band.clearance_ellipse(h, x, a, b)
    step = max(a, b) * 2 * np.pi / 20_000
    assert abs(ours) <= along_edge.min() + 1e-9
    assert abs(ours) >= along_edge.min() - step
    inside = (x / a) ** 2 + (h / b) ** 2
    if abs(inside - 1) > 1e-9:
        assert (ours < 0) == (inside < 1)


@given(h=number(0, 40), x=number(0, 40), a=number(0.2, 40), b=number(0.2, 40), scale=number(0.5, 2))
def test_ellipse_scales_with_its_unit(h, x, a, b, scale):
    assert band.clearance_ellipse(scale * h, scale * x, scale * a, scale * b) == pytest.approx(
        scale * band.clearance_ellipse(h, x, a, b), abs=1e-8
    )


@given(h=number(1, 40), a=number(0.2, 10), b=number(0.2, 10))
def test_clearance_under_the_seed_is_the_gap_or_less(h, a, b):
    assert band.clearance_ellipse(h, 0, a, b) <= abs(h - b) + 1e-9


@given(seed=number(2, 9), wanted=number(-5, 15), half=number(0.5, 12), rise=number(0, 6))
def test_required_tine_depth_gives_the_gap(seed, wanted, half, rise):
    tine = band.required_tine_depth(seed, wanted, half, rise)
    if tine < 0:
        return
    centre = band.under_firmed_surface(band.band_centre_over_tine(tine, half), rise)
    assert band.gap(band.band_top(centre, half), seed) == pytest.approx(wanted, abs=1e-9)
    assert centre == pytest.approx(band.required_centre_depth(seed, wanted, half), abs=1e-9)
    assert band.band_bottom(centre, half) == pytest.approx(tine + rise, abs=1e-9)


@given(depth=number(5, 40), width=number(1, 20), angle=number(0, 60), swell=number(0, 0.5), strip=number(10, 60))
def test_two_ways_from_crest_to_track(depth, width, angle, swell, strip):
    berm = band.berm_height(band.loosened_area(depth, width, angle), swell, strip)
    if berm > 100:
        return
    for settled in (0.0, 0.4, 1.0):
        rise = band.firmed_rise(berm, settled)
        assert band.after_settlement(depth + berm, berm, settled) == pytest.approx(
            band.under_firmed_surface(depth, rise)
        )
    assert band.firmed_rise(berm, 1) == 0
    assert band.firmed_rise(berm, 0) == berm


@given(depth=number(1, 40), width=number(1, 20))
def test_without_spread_only_the_slot_is_loosened(depth, width):
    assert band.loosened_area(depth, width, 0) == pytest.approx(depth * width)


@given(width=number(1, 10), height=number(0, 20), area=number(0, 500), filled=number(0.05, 0.5), spacing=number(0.3, 1))
def test_largest_dose_just_fits(width, height, area, filled, spacing):
    capacity = band.slot_capacity(width, height, area, filled)
    dose = band.largest_dose(capacity, spacing)
    if dose > 1000:
        return
    liquid = band.liquid_area(band.litres_per_metre(dose, spacing))
    assert band.overflow(liquid, capacity) == pytest.approx(0, abs=1e-9 * (1 + capacity))
    assert band.overflow(liquid + 1, capacity) == pytest.approx(1)


@given(tan=number(0.1, 8), filled=number(0.05, 0.5), density=number(0.8, 1.8), area=number(1, 100))
def test_nitrogen_in_the_band_is_the_nitrogen_of_the_slurry(tan, filled, density, area):
    soil_kg_per_m = np.pi * band.band_radius(area, filled) ** 2 / 10_000 * density * 1000
    n_g_per_m = band.initial_ammoniacal_n(tan, filled, density) * soil_kg_per_m / 1000
    assert n_g_per_m == pytest.approx(area / 10 * tan)


@given(slurry=number(0, 60), water=number(0, 10), filled=number(0.01, 0.5), moist=number(0, 0.5))
def test_mixture_lies_between_its_parts(slurry, water, filled, moist):
    mixed = band.salt_mixture(slurry, water, filled, moist)
    assert min(slurry, water) - 1e-9 <= mixed <= max(slurry, water) + 1e-9
    assert band.salt_mixture(slurry, water, filled, 0) == pytest.approx(slurry)


@settings(deadline=None)  # the first call imports scipy
@given(mean=number(-5, 20), sd=number(0.1, 5), low=number(-10, 10), width=number(0, 10), more=number(0, 10))
def test_windows_add_up(mean, sd, low, width, more):
    parts = band.share_within(mean, sd, low, low + width) + band.share_within(mean, sd, low + width, low + width + more)
    whole = band.share_within(mean, sd, low, low + width + more)
    assert parts == pytest.approx(whole, abs=1e-9)
    assert 0 <= whole <= 1


@given(one=number(0, 5), other=number(0, 5))
def test_scatter_is_more_than_either_and_less_than_their_sum(one, other):
    assert max(one, other) - 1e-12 <= band.gap_spread(one, other) <= one + other + 1e-12


@given(radius=number(0.5, 20), cv=number(0, 0.2))
def test_scatter_of_the_radius_against_draws_of_the_dose(radius, cv):
    quantile = np.linspace(-np.sqrt(3), np.sqrt(3), 2001)  # an even spread with standard deviation 1
    drawn = radius * np.sqrt(1 + cv * quantile)
    assert band.radius_spread(radius, cv) == pytest.approx(drawn.std(), rel=0.03, abs=1e-9)
