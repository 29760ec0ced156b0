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


@given(parts=st.tuples(*[number(0, 10)] * 4), scale=number(0.1, 3))
def test_sideways_scatter_is_no_less_than_its_largest_part_and_scales(parts, scale):
    whole = band.sideways_spread(*parts)
    assert max(parts) - 1e-9 <= whole <= sum(parts) + 1e-9
    assert band.sideways_spread(*(scale * part for part in parts)) == pytest.approx(scale * whole)
    assert band.sideways_spread(*parts[::-1]) == pytest.approx(whole)


@given(edge=number(0, 40), sd=number(0.1, 20), shift=number(0, 30), more=number(0.1, 10))
def test_further_off_or_more_scatter_means_more_seeds_beyond(edge, sd, shift, more):
    here = band.share_beyond(edge, sd, shift)
    assert 0 <= here <= 1
    assert band.share_beyond(edge, sd, -shift) == pytest.approx(here, abs=1e-12)
    assert band.share_beyond(edge, sd, shift + more) >= here - 1e-12
    assert band.share_beyond(edge + more, sd, shift) <= here + 1e-12
    assert band.share_beyond(edge, sd, 0) <= band.share_beyond(edge, sd + more, 0) + 1e-12
    inside = band.share_within(shift, sd, -edge, edge)
    assert here + inside == pytest.approx(1, abs=1e-9)


@given(slurry=st.integers(1, 24), seed=st.integers(1, 24))
def test_joins_inside_passes_of_the_planter(slurry, seed):
    joins = band.joins_inside(slurry, seed).astype(int)
    rows_before = [(number - 1) * seed + row for number, row in joins]
    assert all(0 < row < seed for _, row in joins)
    assert all(before % slurry == 0 and before % seed for before in rows_before)
    period = np.lcm(slurry, seed)
    together = period // slurry - len(joins)
    assert together == sum(join % seed == 0 for join in range(slurry, period + 1, slurry))
    if slurry % seed == 0:
        assert len(joins) == 0
    assert band.rows_in_step(slurry, seed) == band.rows_in_step(seed, slurry)
    assert (len(joins) == 0) == (slurry % seed == 0)


@given(
    seed=number(2, 9), gap=number(0, 15), half=number(0.5, 12), width=number(1, 10), strip=number(10, 50),
    angle=number(0, 60), swell=number(0, 0.4), settled=number(0, 1),
)  # fmt: skip
def test_tine_depth_for_a_top_leads_back_to_it(seed, gap, half, width, strip, angle, swell, settled):
    wanted = band.wanted_top(gap, seed, 0)
    tine = band.tine_depth_for_top(wanted, half, width, strip, angle, swell, settled)
    rise = band.firmed_rise(band.berm_height(band.loosened_area(tine, width, angle), swell, strip), settled)
    centre = band.under_firmed_surface(band.band_centre_over_tine(tine, half), rise)
    assert band.gap(band.band_top(centre, half), seed) == pytest.approx(gap, abs=1e-8)
    assert tine <= band.required_tine_depth(seed, gap, half, 0) + 1e-9
    deeper = band.tine_depth_for_top(wanted + 1, half, width, strip, angle, swell, settled)
    assert 0 < deeper - tine <= 1 + 1e-9


@given(low=number(0, 12), sd=number(0.1, 4), share=number(0.5, 0.99))
def test_mean_for_a_share_leaves_that_share_above_the_lower_end(low, sd, share):
    mean = band.mean_for_share(low, sd, share)
    assert band.share_within(mean, sd, low, 1000) == pytest.approx(share, abs=1e-9)


@given(area=number(1, 100), filled=number(0.1, 0.5), width=number(5, 40))
def test_a_wide_ellipse_holds_the_slurry_and_is_as_wide_as_said(area, filled, width):
    radius = band.band_radius(area, filled)
    if not 0.05 <= (width / (2 * radius)) ** 2 <= 100:
        return
    aspect = band.band_aspect(radius, 1, width, 1)
    a, b = band.band_half_width(radius, aspect), band.band_half_height(radius, aspect)
    assert 2 * a == pytest.approx(width)
    assert np.pi * a * b * filled == pytest.approx(area)
    assert np.pi * b / 2 == pytest.approx(band.band_thickness(area, filled, width))
    assert band.band_aspect(radius, 0.7, width, 0) == 0.7


@given(h=number(6, 30), x=number(0, 30), r=number(0.5, 5))
def test_beside_a_round_band_the_clearance_is_no_less_than_the_gap(h, x, r):
    assert band.clearance_circle(h, x, r) >= h - r - 1e-9
