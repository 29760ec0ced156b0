"""Warmth of the soil: shapes, errors, edges, and whether the tables are whole."""

from __future__ import annotations

import numpy as np
import pytest

from spadework import reference
from spadework.ranges import ImpossibleValue, OutsideCalibration
from spadework.science.seedbed.heat.columns import layer_edges
from spadework.science.seedbed.heat.conduction import conduct_from_flow, conduct_from_surface
from spadework.science.seedbed.heat.soil import (
    conductivity_campbell_1985,
    conductivity_johansen_1975,
    conductivity_lu_2007,
    first_day_temperature,
    heat_capacity,
)
from spadework.science.seedbed.heat.strip import strip_from_surface, strip_weight
from spadework.science.seedbed.heat.surface import run_surface
from spadework.science.seedbed.heat.surface_balance import Zone
from spadework.science.seedbed.heat.surface_transfer import transfer_apply, transfer_fit
from spadework.science.seedbed.heat.surface_weather import air_resistance, hourly_weather, sky_long_wave
from spadework.science.seedbed.heat.waves import damping_depth, wave_lag, wave_left

EDGES = layer_edges(2, 10, 60, 1.4)
LAYERS = len(EDGES) - 1
HOURS = np.arange(24 * 12)


def test_layers_fit_and_thicken():
    for edges in (layer_edges(), layer_edges(0.5, 20, 200, 1.05), layer_edges(2, 0, 37, 1.5), layer_edges(1, 0, 50, 1)):
        thick = np.diff(edges)
        assert edges[0] == 0
        assert (thick > 0).all()
        assert (thick[1:] <= thick[:-1] * 1.5 + 1e-9).all()
    assert layer_edges()[-1] == 100
    np.testing.assert_allclose(layer_edges(1, 50, 50), np.arange(51))


def test_draws_and_systems_keep_their_axes():
    draws, systems = 4, 3
    conductivity = np.linspace(0.6, 1.4, draws)[:, np.newaxis, np.newaxis]
    surface = 10 + np.arange(systems)[:, np.newaxis] * np.sin(np.arange(25))
    course = conduct_from_surface([10.0], surface, conductivity, [2e6], EDGES, [2, 5])
    assert course.degc.shape == (draws, systems, 25, 2)
    assert course.profile_degc.shape == (draws, systems, LAYERS)
    assert course.flow_w_m2.shape == course.base_w_m2.shape == (draws, systems, 24)
    alone = conduct_from_surface([10.0], surface[1], conductivity[2, 0], [2e6], EDGES, [2, 5])
    np.testing.assert_allclose(course.degc[2, 1], alone.degc, atol=1e-12)


def test_a_run_goes_on_from_where_it_stopped():
    surface = 10 + 5 * np.sin(np.arange(49) / 4)
    whole = conduct_from_surface([10.0], surface, [1.0], [2e6], EDGES, [5])
    first = conduct_from_surface([10.0], surface[:25], [1.0], [2e6], EDGES, [5])
    second = conduct_from_surface(first.profile_degc, surface[24:], [1.0], [2e6], EDGES, [5])
    np.testing.assert_allclose(whole.degc[24:], second.degc, atol=1e-12)


def test_nothing_happens_where_nothing_differs():
    course = conduct_from_surface([8.0], np.full(25, 8.0), [1.0], [2e6], EDGES, [0, 5, 60], base_degc=np.full(25, 8.0))
    np.testing.assert_allclose(course.degc, 8)
    np.testing.assert_allclose(course.flow_w_m2, 0, atol=1e-9)


def test_depths_at_the_ends_are_surface_and_bottom():
    surface, base = np.linspace(10, 20, 25), np.linspace(10, 4, 25)
    course = conduct_from_surface([10.0], surface, [1.0], [2e6], EDGES, [0, 60], base_degc=base)
    np.testing.assert_allclose(course.degc[:, 0], surface)
    np.testing.assert_allclose(course.degc[:, 1], base)


def test_steady_flow_through_layers_in_series():
    hours = 2000
    conductivity = np.where(np.arange(LAYERS) < 3, 0.3, 1.5)
    thick = np.diff(EDGES) / 100
    course = conduct_from_surface(
        [10.0], np.full(hours, 20.0), conductivity, [1e6], EDGES, [5], base_degc=np.full(hours, 10.0), step_h=2
    )
    assert course.flow_w_m2[-1] == pytest.approx(10 / np.sum(thick / conductivity), rel=1e-6)
    assert course.base_w_m2[-1] == pytest.approx(course.flow_w_m2[-1], rel=1e-6)


def test_dry_and_coarse_soil_below_the_fit_is_said():
    with pytest.warns(OutsideCalibration, match="conductivity_johansen_1975"):
        dry = conductivity_johansen_1975(0, 1.3, 0.6)
    assert dry == pytest.approx((0.135 * 1300 + 64.7) / (2700 - 0.947 * 1300))
    with pytest.warns(OutsideCalibration, match="conductivity_lu_2007"):
        conductivity_lu_2007(0.1, 0.5, 0.3)
    assert conductivity_lu_2007(0, 1.3, 0.6) == pytest.approx(0.51 - 0.56 * (1 - 1.3 / 2.65))


def test_arrays_broadcast():
    wet = np.linspace(0.1, 0.3, 5)
    assert conductivity_lu_2007(wet, np.array([[1.1], [1.3]]), 0.3).shape == (2, 5)
    assert heat_capacity(np.array([[1.1], [1.3]]), wet).shape == (2, 5)
    assert strip_weight(np.array([2, 5]), np.array([[0.1], [0.2]]), 0.75, 12).shape == (2, 2)
    assert strip_weight(0, 0.2, 0.75, 12) == 1


def test_hours_of_days():
    made = hourly_weather([[6, 8], [4, 4]], [[16, 20], [14, 18]], 52, 120, solar_mj_m2=[15, 20], wind_m_s=[3, 1])
    assert made.air_degc.shape == made.light_w_m2.shape == made.sky_w_m2.shape == (2, 48)
    np.testing.assert_allclose(made.light_w_m2[0].reshape(2, 24).sum(axis=1) * 0.0036, [15, 20])
    assert made.light_w_m2[0, 1] == 0
    assert made.made_up == ("vapour: dew point at the lowest temperature (FAO-56, equation 48)",)
    np.testing.assert_allclose(made.air_degc[0].reshape(2, 24).mean(axis=1), [11, 14])
    whole = hourly_weather([6], [16], 52, 120, solar_mj_m2=[15], wind_m_s=[3], vapour_kpa=[0.9])
    assert whole.made_up == ()


def test_cloud_sends_more_long_waves_down():
    dull, bright = (hourly_weather([8], [16], 52, 120, solar_mj_m2=[light]) for light in (6, 26))
    assert (dull.sky_w_m2 > bright.sky_w_m2 + 30).all()
    assert sky_long_wave(10, 1, 1) > sky_long_wave(10, 1, 0)


def test_zones_of_the_table():
    for key in reference.load("surface_zones"):
        ground = Zone.of(key)
        assert 0 <= float(ground.cover_share) <= 1
    with pytest.raises(KeyError):
        Zone.of("paved")


def test_zones_side_by_side_are_the_zones_alone():
    made = hourly_weather([6.0, 6.0], [16.0, 16.0], 52, 120)
    weather = (made.air_degc, made.light_w_m2, made.vapour_kpa, made.wind_m_s, made.sky_w_m2)
    zones = [Zone.of(key) for key in ("bare_strip", "between_rows")]
    both = Zone(*(np.array([getattr(z, name) for z in zones]) for name in Zone.__dataclass_fields__))
    course = run_surface([10.0], *weather, [1.0], [2e6], EDGES, [5], ground=both)
    assert course.degc.shape == (2, 49, 1)
    assert course.surface_degc.shape == course.soil_w_m2.shape == (2, 48)
    for place, ground in enumerate(zones):
        alone = run_surface([10.0], *weather, [1.0], [2e6], EDGES, [5], ground=ground)
        np.testing.assert_allclose(course.degc[place], alone.degc, atol=1e-7)


def test_surface_from_air_in_several_zones():
    air = 12 + 5 * np.cos(2 * np.pi * (HOURS - 15) / 24)
    surface = transfer_apply(air, [1, 2], [0.6, 1.4], [0, 1])
    assert surface.shape == (2, len(HOURS))
    np.testing.assert_allclose(surface.mean(axis=1), [13, 14], atol=1e-9)
    assert np.ptp(surface[1]) == pytest.approx(14, rel=0.01)
    late = np.argmax(surface[1, 24:48]) - np.argmax(surface[0, 24:48])
    assert late == 1
    same = transfer_apply(air, 0, 1)
    np.testing.assert_allclose(same, air, atol=1e-9)


def wave(size, late=0.0):
    return 12 + size * np.cos(2 * np.pi * (HOURS - 15 - late) / 24)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: heat_capacity(1.3, 0.6), "moisture_share"),
        (lambda: heat_capacity(1.3, 0.2, 0.6), "organic_volume_share"),
        (lambda: conductivity_lu_2007(0.2, 1300, 0.3), "bulk_density_t_m3"),
        (lambda: conductivity_johansen_1975(0.2, 1.3, 30), "sand_share"),
        (lambda: conductivity_campbell_1985(0.2, 1.3, 0), "clay_share"),
        (lambda: damping_depth(0, 2e6), "conductivity_w_m_k"),
        (lambda: damping_depth(1, 2.0), "heat_j_m3_k"),
        (lambda: wave_left(-1, 12), "depth_cm"),
        (lambda: wave_lag(5, 0), "damping_cm"),
        (lambda: first_day_temperature(10, 90, 2, 200, 2e6), "slurry_degc"),
        (lambda: layer_edges(1, 10, 0.5), "bottom_cm"),
        (lambda: conduct_from_surface([10.0], [10, 11], [1.0], [2e6], [1, 2, 3], [5]), "edges_cm"),
        (lambda: conduct_from_surface([10.0], [10, 11], [1.0], [2e6], [0, 2, 2], [1]), "edges_cm"),
        (lambda: conduct_from_surface([10.0], [10, 211], [1.0], [2e6], EDGES, [5]), "surface_degc"),
        (lambda: conduct_from_surface([10.0], [10, 11], [1.0], [2e6], EDGES, [70]), "depth_cm"),
        (lambda: conduct_from_flow([10.0], [5000], [1.0], [2e6], EDGES, [5]), "flow_w_m2"),
        (lambda: conduct_from_flow([10.0], [50], [1.0], [2e6], EDGES, [5], substeps=0), "substeps"),
        (lambda: sky_long_wave(10, 0), "vapour_kpa"),
        (lambda: air_resistance(0, 0.01), "wind_m_s"),
        (lambda: hourly_weather([10], [5], 52, 120), "max_temperature_degc"),
        (lambda: hourly_weather([5], [10], 80, 120), "latitude_deg"),
        (lambda: hourly_weather([5], [10], 52, 120, vapour_kpa=[4]), "vapour_kpa"),
        (lambda: strip_weight(5, 0.8, 0.75, 12), "strip_width_m"),
        (lambda: transfer_fit(wave(5)[:240], wave(4)[:240], wave(3)[:240]), "days"),
        (lambda: transfer_fit(wave(5)[:-1], wave(4)[:-1], wave(3)[:-1]), "air_degc"),
        (lambda: transfer_fit(wave(5), wave(3), wave(4)), "deep_degc"),
        (lambda: transfer_fit(wave(0), wave(3), wave(2)), "air_degc"),
        (lambda: transfer_apply(wave(5)[:30], 1, 1), "hours"),
    ],
)
def test_impossible_values_are_named(call, name):
    with pytest.raises(ImpossibleValue, match=name):
        call()


def test_strip_wider_than_the_row_is_refused():
    with pytest.raises(ImpossibleValue, match="strip_width_m"):
        strip_from_surface(
            [10.0], [10, 11], [10, 11], [1.0], [2e6], EDGES, [0], [5], strip_width_m=1, row_spacing_m=0.75
        )
    with pytest.raises(ImpossibleValue, match="across_cm"):
        strip_from_surface(
            [10.0], [10, 11], [10, 11], [1.0], [2e6], EDGES, [50], [5], strip_width_m=0.2, row_spacing_m=0.75
        )


@pytest.mark.parametrize("name", ["heat_soil", "heat_parts", "heat_measured", "surface_balance", "surface_zones"])
def test_every_number_has_unit_range_and_source(name):
    table = reference.load(name)
    for row in table.values():
        for column in table.value_columns():
            entry = row.entry(column)
            assert entry.low <= entry.value <= entry.high
            assert entry.unit
            assert entry.citation.standing in reference.STANDINGS
            assert entry.citation.source.text
