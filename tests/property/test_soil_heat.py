"""Warmth of the soil: limits, energy, order of the steps, and one way of working against another."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.ranges import collecting
from spadework.science.seedbed.heat.columns import STAGE, HeatColumns, layer_edges
from spadework.science.seedbed.heat.conduction import conduct_from_flow, conduct_from_surface
from spadework.science.seedbed.heat.soil import (
    conductivity_campbell_1985,
    conductivity_johansen_1975,
    conductivity_lu_2007,
    first_day_temperature,
    heat_capacity,
)
from spadework.science.seedbed.heat.strip import blend_weight, strip_from_flow, strip_from_surface, strip_weight
from spadework.science.seedbed.heat.surface import run_surface
from spadework.science.seedbed.heat.surface_balance import TOLERANCE_K, Zone
from spadework.science.seedbed.heat.surface_transfer import transfer_apply, transfer_fit
from spadework.science.seedbed.heat.surface_weather import hourly_weather
from spadework.science.seedbed.heat.waves import damping_depth, wave_left

EDGES = layer_edges(2, 10, 80, 1.3)
LAYERS = len(EDGES) - 1
HOURS = np.arange(49)
few = settings(max_examples=20, deadline=None)


def number(low, high):
    return st.floats(low, high, allow_nan=False)


conductivities = st.lists(number(0.2, 2.5), min_size=LAYERS, max_size=LAYERS)
heats = st.lists(number(1e6, 4e6), min_size=LAYERS, max_size=LAYERS)
courses = st.lists(number(-10, 40), min_size=25, max_size=25)


@given(
    wet=number(0.02, 0.35), more=number(0.01, 0.08), density=number(1.0, 1.4), sand=number(0, 1), clay=number(0.05, 0.6)
)
def test_wetter_soil_conducts_better_and_holds_more(wet, more, density, sand, clay):
    with collecting():
        assert conductivity_lu_2007(wet + more, density, sand) > conductivity_lu_2007(wet, density, sand)
        assert conductivity_johansen_1975(wet + more, density, sand) >= conductivity_johansen_1975(wet, density, sand)
    assert conductivity_campbell_1985(wet + more, density, clay) > conductivity_campbell_1985(wet, density, clay) * 0.9
    assert heat_capacity(density, wet + more) - heat_capacity(density, wet) == pytest.approx(4.18e6 * more)


@given(density=number(0.9, 1.6), sand=number(0, 1))
def test_models_end_at_dry_and_full(density, sand):
    pores = 1 - density / 2.65
    with collecting():
        for model in (conductivity_lu_2007, conductivity_johansen_1975):
            assert 0.05 < model(0, density, sand) < 0.45
            assert model(pores, density, sand) > 0.9


@given(conductivity=number(0.2, 3), heat=number(1e6, 4e6), factor=number(0.5, 4))
def test_depth_goes_with_the_root(conductivity, heat, factor):
    one = damping_depth(conductivity, heat)
    assert damping_depth(conductivity, heat, 24 * factor) == pytest.approx(one * np.sqrt(factor))
    assert wave_left(one, one) == pytest.approx(np.exp(-1))


@given(soil=number(0, 20), slurry=number(2, 20), litres=number(0, 5), area=number(50, 500), heat=number(1e6, 4e6))
def test_mixed_band_lies_between_soil_and_slurry(soil, slurry, litres, area, heat):
    mixed = first_day_temperature(soil, slurry, litres, area, heat)
    assert min(soil, slurry) - 1e-9 <= mixed <= max(soil, slurry) + 1e-9
    gained = 10 * litres * 4.18e6 * (slurry - mixed)
    assert gained == pytest.approx(area * heat * (mixed - soil), abs=1e-3)


@few
@given(surface=courses, conductivity=conductivities, heat=heats, held=st.booleans())
def test_energy_closes_in_every_step(surface, conductivity, heat, held):
    base = np.linspace(8, 12, 25) if held else None
    course = conduct_from_surface(np.linspace(10, 8, LAYERS), surface, conductivity, heat, EDGES, [5], base_degc=base)
    gained = np.diff(course.stored_j_m2)
    flowed = 3600 * (course.flow_w_m2 - course.base_w_m2)
    scale = 3600 * np.abs(course.flow_w_m2) + 3600 * np.abs(course.base_w_m2) + 3600
    assert (np.abs(gained - flowed) <= 1e-8 * scale).all()


@few
@given(flow=st.lists(number(-100, 300), min_size=24, max_size=24), conductivity=conductivities, heat=heats)
def test_all_that_flows_in_is_stored_under_a_closed_base(flow, conductivity, heat):
    thick = np.diff(EDGES) / 100
    course = conduct_from_flow([10.0], flow, conductivity, heat, EDGES, [5], substeps=2)
    stored = np.sum(np.array(heat) * thick * (course.profile_degc - 10))
    assert stored == pytest.approx(3600 * np.sum(flow), abs=1e-6 * 3600 * (1 + np.abs(flow).sum()))


@few
@given(conductivity=conductivities, heat=heats, low=number(-5, 10), high=number(11, 30))
def test_warming_overshoots_little_and_not_for_long(conductivity, heat, low, high):
    course = conduct_from_surface([low], np.full(25, high), conductivity, heat, EDGES, [1, 5, 20, 60])
    room = 0.2 * (high - low)
    assert course.degc.min() >= low - room
    assert course.degc.max() <= high + room
    later = course.degc[3:]
    assert later.max() <= high + 1e-9 * room
    assert (np.diff(later, axis=-1) <= 1e-9 * room).all()


@few
@given(one=courses, other=courses, share=number(-1, 2))
def test_conduction_is_linear(one, other, share):
    one, other = np.array(one), np.array(other)
    run = lambda surface: conduct_from_surface([10.0], surface, [1.0], [2e6], EDGES, [5, 15]).degc  # noqa: E731
    mixed = np.clip(share * one + (1 - share) * other, -60, 100)
    if (mixed == share * one + (1 - share) * other).all():
        np.testing.assert_allclose(run(mixed), share * run(one) + (1 - share) * run(other), atol=1e-9)


@few
@given(surface=courses, factor=number(0.5, 2))
def test_only_the_ratio_of_conductivity_and_heat_counts_under_a_given_surface(surface, factor):
    one = conduct_from_surface([10.0], surface, [0.8], [2e6], EDGES, [5, 15])
    other = conduct_from_surface([10.0], surface, [0.8 * factor], [2e6 * factor], EDGES, [5, 15])
    np.testing.assert_allclose(one.degc, other.degc, atol=1e-9)
    np.testing.assert_allclose(one.flow_w_m2 * factor, other.flow_w_m2, rtol=1e-9, atol=1e-6)


@few
@given(surface=courses, shift=number(-20, 20))
def test_a_zero_elsewhere_on_the_scale_shifts_everything(surface, shift):
    one = conduct_from_surface([10.0], surface, [0.8], [2e6], EDGES, [5, 15])
    other = conduct_from_surface([10.0 + shift], np.array(surface) + shift, [0.8], [2e6], EDGES, [5, 15])
    np.testing.assert_allclose(one.degc + shift, other.degc, atol=1e-9)


@few
@given(conductivity=conductivities, heat=heats, top=number(-10, 40))
def test_stage_against_a_banded_solver(conductivity, heat, top):
    from scipy.linalg import solve_banded

    conductivity, heat = np.array(conductivity), np.array(heat)
    columns = HeatColumns(EDGES, conductivity[:, np.newaxis], heat[:, np.newaxis], 3600.0)
    start = np.linspace(12, 6, LAYERS)
    right = np.empty((LAYERS, 1))
    columns.up(start[:, np.newaxis], 0.0, right)
    first = (right[0] + top / columns.top) / (columns.first + 1 / columns.top)
    columns.down(first, right)
    thick = np.diff(EDGES) / 100
    half = thick / conductivity / 2
    between = 1 / (half[1:] + half[:-1])
    speed = heat * thick / (STAGE * 3600)
    bands = np.zeros((3, LAYERS))
    bands[0, 1:], bands[2, :-1] = -between, -between
    bands[1] = speed + np.append(between, 0) + np.insert(between, 0, 1 / half[0])
    rhs = speed * start
    rhs[0] += top / half[0]
    np.testing.assert_allclose(right[:, 0], solve_banded((1, 1), bands, rhs), rtol=1e-10)


def errors(cells, steps):
    """Largest error at 5 cm against the exact sine wave."""
    edges = np.linspace(0, 100, cells + 1)
    time = np.arange(0, 2 * steps + 1) * 24 / steps
    damping = float(damping_depth(1.0, 2e6))
    middles = (edges[1:] + edges[:-1]) / 2
    exact = lambda t, z: np.exp(-z / damping) * np.sin(2 * np.pi * t / 24 - z / damping)  # noqa: E731
    course = conduct_from_surface(exact(0, middles), exact(time, 0), [1.0], [2e6], edges, [5], step_h=24 / steps)
    return np.abs(course.degc[steps:, 0] - exact(time[steps:], 5)).max()


def test_error_falls_with_the_square_of_the_layers():
    found = [errors(cells, 400) for cells in (30, 90, 150)]  # 5 cm is the middle of a layer in all of them
    assert 7 < found[0] / found[1] < 11
    assert 2.3 < found[1] / found[2] < 3.3


def test_error_falls_with_the_square_of_the_steps():
    found = [errors(450, steps) for steps in (12, 24, 48)]
    assert 3 < found[0] / found[1] < 5
    assert 3 < found[1] / found[2] < 5


SOIL = ([0.9], [2.2e6])
STRIP = {"strip_width_m": 0.2, "row_spacing_m": 0.75}
day = np.sin(2 * np.pi * HOURS / 24)


@few
@given(
    surface=st.lists(number(0, 30), min_size=25, max_size=25), other=st.lists(number(0, 30), min_size=25, max_size=25)
)
def test_strip_as_wide_as_the_row_is_one_column(surface, other):
    size = {"strip_width_m": 0.75, "row_spacing_m": 0.75}
    cut = strip_from_surface([10.0], surface, other, *SOIL, EDGES, [0, 20], [5, 10], **size, waves=8)
    column = conduct_from_surface([10.0], surface, *SOIL, EDGES, [5, 10])
    np.testing.assert_allclose(cut.degc, column.degc, atol=1e-9)
    np.testing.assert_allclose(cut.strip_degc, column.degc, atol=1e-9)
    assert np.isnan(cut.between_degc).all()


def test_strip_without_width_is_the_ground_between():
    cut = strip_from_surface(
        [10.0], 10 + 8 * day, 10 + 4 * day, *SOIL, EDGES, [0, 20], [5, 10], strip_width_m=1e-5, row_spacing_m=0.75
    )
    column = conduct_from_surface([10.0], 10 + 4 * day, *SOIL, EDGES, [5, 10])
    np.testing.assert_allclose(cut.degc, column.degc, atol=1e-3)


@few
@given(width=number(0.05, 0.7), warm=number(0, 10))
def test_mean_across_is_a_column_under_the_mean_surface(width, warm):
    size = {"strip_width_m": width, "row_spacing_m": 0.75}
    share = width / 0.75
    cut = strip_from_surface(
        [10.0], 10 + (4 + warm) * day, 10 + 4 * day, *SOIL, EDGES, [0, 0], [3, 10], **size, waves=24
    )
    mean = share * cut.strip_degc + (1 - share) * cut.between_degc
    column = conduct_from_surface([10.0], 10 + (4 + share * warm) * day, *SOIL, EDGES, [3, 10])
    np.testing.assert_allclose(mean, column.degc, atol=1e-9)
    assert cut.degc.shape == (49, 2)


def test_mean_of_points_across_is_the_mean_of_strip_and_ground_between():
    across = (np.arange(300) + 0.5) * 37.5 / 300
    cut = strip_from_surface([10.0], 10 + 8 * day, 10 + 4 * day, *SOIL, EDGES, across, np.full(300, 5.0), **STRIP)
    inside = across < 10
    np.testing.assert_allclose(cut.degc[:, inside].mean(axis=1), cut.strip_degc[:, 0], atol=1e-3)
    np.testing.assert_allclose(cut.degc[:, ~inside].mean(axis=1), cut.between_degc[:, 0], atol=1e-3)


def test_more_waves_change_nothing_from_one_centimetre_down():
    edges = layer_edges(0.5, 10, 60)
    found = []
    for waves in (48, 160):
        warm, cool = 10 + 8 * day, 10 + 4 * day
        cut = strip_from_surface([10.0], warm, cool, *SOIL, edges, [0, 9, 20], [1, 2, 5], **STRIP, waves=waves)
        found.append(cut.degc)
    assert np.abs(found[0] - found[1]).max() < 0.005


def test_flow_all_over_is_one_column():
    flow = 100 * np.sin(2 * np.pi * np.arange(48) / 24)
    cut = strip_from_flow([10.0], flow, flow, *SOIL, EDGES, [0, 30], [5, 10], **STRIP)
    column = conduct_from_flow([10.0], flow, *SOIL, EDGES, [5, 10])
    np.testing.assert_allclose(cut.degc, column.degc, atol=1e-9)


def test_cut_against_small_cells_in_two_dimensions():
    from scipy.sparse import diags, identity, kron
    from scipy.sparse.linalg import splu

    across, down, side, step = 30, 48, 0.0125, 300.0  # cells of 1.25 cm, steps of five minutes
    diffusivity = 0.9 / 2.2e6
    fold = lambda n: diags([np.ones(n - 1), -np.r_[1, np.full(n - 2, 2), 1], np.ones(n - 1)], [-1, 0, 1])  # noqa: E731
    top = np.zeros(down)
    top[0] = 2
    spread = (
        (kron(identity(down), fold(across)) + kron(fold(down) - diags(top), identity(across))) * diffusivity / side**2
    )
    solve = splu((identity(across * down) - step * spread).tocsc()).solve
    inside = np.arange(across) * side + side / 2 < 0.1
    now = np.full((down, across), 10.0)
    found = []
    for tick in range(1, 48 * 12 + 1):
        wave = np.sin(2 * np.pi * tick / 288)
        push = now.copy()
        push[0] += 2 * diffusivity / side**2 * step * (10 + np.where(inside, 8, 4) * wave)
        now = solve(push.ravel()).reshape(down, across)
        if tick % 12 == 0:
            found.append((now[3:5, 0].mean(), now[3:5, -1].mean(), now[3:5, inside].mean()))
    theirs = np.array(found)
    cut = strip_from_surface(
        [10.0], 10 + 8 * day, 10 + 4 * day, *SOIL, layer_edges(1, 20, 60), [0.625, 36.875], [5, 5], **STRIP
    )
    assert np.abs(cut.degc[1:] - theirs[:, :2]).max() < 0.06
    assert np.abs(cut.strip_degc[1:, 0] - theirs[:, 2]).max() < 0.06


@few
@given(width=number(0.08, 0.4), depth=number(1, 15), damping=number(8, 16))
def test_weight_grows_with_width_and_falls_with_depth(width, depth, damping):
    weight = strip_weight(depth, width, 0.75, damping)
    assert width / 0.75 <= weight + 0.35
    assert 0 < weight < 1
    assert strip_weight(depth, width + 0.05, 0.75, damping) > weight
    assert strip_weight(depth + 1, width, 0.75, damping) < weight
    assert strip_weight(depth, width, 0.75, 1e8) < weight
    assert strip_weight(depth, 0.75, 0.75, damping) == pytest.approx(1)


def test_weight_is_what_the_cut_finds():
    hours = np.arange(24 * 10 + 1)
    wave = np.sin(2 * np.pi * hours / 24)
    damping = damping_depth(0.9, 2.2e6)
    edges = layer_edges(0.5, 20, 80)
    for width in (0.15, 0.25):
        cut = strip_from_surface(
            [0.0], 4 * wave, 0 * wave, *SOIL, edges, [0, 0], [5, 10], strip_width_m=width, row_spacing_m=0.75
        )
        column = conduct_from_surface([0.0], 4 * wave, *SOIL, edges, [5, 10])
        found = np.ptp(cut.strip_degc[-25:], axis=0) / np.ptp(column.degc[-25:], axis=0)
        np.testing.assert_allclose(found, strip_weight([5, 10], width, 0.75, damping), atol=0.01)


def test_rule_of_thumb_is_as_far_off_as_its_docstring_says():
    widths = np.array([0.10, 0.15, 0.20, 0.25, 0.30])
    rule = blend_weight(widths, 12)
    of_day, of_mean = strip_weight(5, widths, 0.75, 12) - rule, strip_weight(5, widths, 0.75, 1e8) - rule
    assert of_day.min() > 0
    assert 0.2 < of_day.max() < 0.255
    assert of_mean.min() > -0.005
    assert 0.08 < of_mean.max() < 0.12
    deep = strip_weight(10, widths, 0.75, 1e8) - rule
    assert deep.min() > -0.125
    assert deep.max() < 0


weathers = st.tuples(number(-5, 15), number(4, 18), number(0.3, 8), number(0.2, 0.95))
grounds = st.tuples(number(0, 1), number(0.002, 0.05), number(0, 0.4), number(0, 3000), number(0, 5000))


def zone_of(ground):
    cover, rough, hold, drag, residue_drag = ground
    return Zone(0.15, 0.25, cover, rough, hold, drag, residue_drag)


def run(weather, ground, days=1):
    low, swing, wind, wet = weather
    vapour = wet * 0.6108 * np.exp(17.27 * low / (low + 237.3))
    made = hourly_weather(
        [low] * days, [low + swing] * days, 50, 120, vapour_kpa=[vapour] * days, wind_m_s=[wind] * days
    )
    return run_surface(
        [low + swing / 2], made.air_degc, made.light_w_m2, made.vapour_kpa, made.wind_m_s, made.sky_w_m2,
        *SOIL, EDGES, [5], ground=ground,
    )  # fmt: skip


@few
@given(weather=weathers, ground=grounds)
def test_balance_at_the_surface_closes_in_every_step(weather, ground):
    course = run(weather, zone_of(ground))
    taken = course.sun_w_m2 + course.sky_w_m2
    given_off = course.sent_w_m2 + course.air_w_m2 + course.vapour_w_m2
    assert (np.abs(taken - given_off - course.soil_w_m2) <= 1e-8 * taken).all()
    stored = np.diff(course.stored_j_m2)
    assert (np.abs(stored - 3600 * course.soil_w_m2) <= 1e-8 * 3600 * (1 + np.abs(course.soil_w_m2))).all()
    assert course.rounds < 30
    assert TOLERANCE_K <= 1e-9


spells = st.lists(st.tuples(number(0.3, 2.5), number(1e6, 3.5e6), number(0, 1)), min_size=3, max_size=3)


def run_spells(weather, ground, kinds, days=3):
    low, swing, wind, wet = weather
    vapour = wet * 0.6108 * np.exp(17.27 * low / (low + 237.3))
    made = hourly_weather(
        [low] * days, [low + swing] * days, 50, 120, vapour_kpa=[vapour] * days, wind_m_s=[wind] * days
    )
    series = (made.air_degc, made.light_w_m2, made.vapour_kpa, made.wind_m_s, made.sky_w_m2)
    soil = [np.array([kind[place] for kind in kinds]) for place in range(3)]
    start = np.full(LAYERS, low + swing / 2)
    whole = run_surface(
        start, *series, soil[0][:, np.newaxis], soil[1][:, np.newaxis], EDGES, [5], ground=ground, wet_share=soil[2],
        spell_steps=24,
    )  # fmt: skip
    return series, start, soil, whole


@few
@given(weather=weathers, ground=grounds, kinds=spells)
def test_soil_that_changes_from_day_to_day_is_one_soil_after_the_other(weather, ground, kinds):
    ground = zone_of(ground)
    series, start, soil, whole = run_spells(weather, ground, kinds)
    for day in range(3):
        hours = slice(24 * day, 24 * day + 24)
        part = run_surface(
            start, *(each[hours] for each in series), [soil[0][day]], [soil[1][day]], EDGES, [5], ground=ground,
            wet_share=soil[2][day],
        )  # fmt: skip
        start = part.profile_degc
        np.testing.assert_allclose(whole.degc[24 * day + 1 : 24 * day + 25], part.degc[1:], atol=1e-7)
        np.testing.assert_allclose(whole.vapour_w_m2[hours], part.vapour_w_m2, atol=1e-5)


@few
@given(weather=weathers, ground=grounds, kinds=spells)
def test_balance_closes_where_the_soil_changes(weather, ground, kinds):
    *_, course = run_spells(weather, zone_of(ground), kinds)
    taken = course.sun_w_m2 + course.sky_w_m2
    given_off = course.sent_w_m2 + course.air_w_m2 + course.vapour_w_m2
    assert (np.abs(taken - given_off - course.soil_w_m2) <= 1e-8 * taken).all()
    stored = np.diff(course.stored_j_m2)
    assert (np.abs(stored - 3600 * course.soil_w_m2) <= 1e-7 * 3600 * (1 + np.abs(course.soil_w_m2))).all()


@few
@given(weather=weathers, ground=grounds, share=number(0, 1))
def test_drier_ground_gives_off_less_vapour_and_is_no_cooler_by_day(weather, ground, share):
    ground = zone_of(ground)
    full = run_spells(weather, ground, [(1.0, 2e6, 1.0)] * 3)[-1]
    less = run_spells(weather, ground, [(1.0, 2e6, share)] * 3)[-1]
    assert less.vapour_w_m2.sum() <= full.vapour_w_m2.sum() + 1e-6
    assert (less.surface_degc >= full.surface_degc - 1e-6).all()


def test_dew_falls_on_dry_ground_too():
    night = [np.full(12, value) for value in (10.0, 0.0, 1.2, 1.0, 250.0)]
    soil = ([0.5], [2e6], EDGES, [5])
    dry, wet = (
        run_surface([10.0], *night, *soil, ground=Zone.of("bare_strip"), wet_share=share) for share in (0.0, 1.0)
    )
    dew = wet.vapour_w_m2 < 0
    assert dew.any()
    np.testing.assert_allclose(dry.vapour_w_m2[dew], wet.vapour_w_m2[dew], rtol=0.1)


@few
@given(kinds=st.lists(st.tuples(number(0.3, 2.5), number(1e6, 3.5e6)), min_size=2, max_size=2), high=number(5, 30))
def test_conduction_goes_on_where_the_soil_changes(kinds, high):
    surface = 10 + (high - 10) * np.sin(np.arange(49) * np.pi / 24)
    soil = [np.array([kind[place] for kind in kinds])[:, np.newaxis] for place in range(2)]
    whole = conduct_from_surface([10.0], surface, *soil, EDGES, [5, 20], spell_steps=24)
    start = [10.0]
    for day in range(2):
        part = conduct_from_surface(
            start, surface[24 * day : 24 * day + 25], soil[0][day], soil[1][day], EDGES, [5, 20]
        )
        start = part.profile_degc
        np.testing.assert_allclose(whole.degc[24 * day + 1 : 24 * day + 25], part.degc[1:], atol=1e-9)
    assert whole.stored_j_m2[-1] == pytest.approx(3600 * whole.flow_w_m2.sum(), abs=1e-3)
    flow = conduct_from_flow([10.0], whole.flow_w_m2, *soil, EDGES, [5, 20], spell_steps=24)
    assert flow.stored_j_m2[-1] == pytest.approx(3600 * whole.flow_w_m2.sum(), abs=1e-3)


@few
@given(weather=weathers, ground=grounds)
def test_parts_without_cover_do_not_count(weather, ground):
    _, rough, hold, drag, residue_drag = ground
    bare = run(weather, Zone(0.15, 0.25, 0.0, rough, hold, drag, residue_drag))
    other = run(weather, Zone(0.15, 0.9, 0.0, rough, 0.5, drag, 10.0))
    np.testing.assert_allclose(bare.degc, other.degc, atol=1e-7)


@few
@given(cover=number(0.1, 0.9), rough=number(0.002, 0.03))
def test_dry_residue_that_holds_nothing_back_and_looks_like_soil_is_bare_soil(cover, rough):
    weather = (6.0, 10.0, 2.0, 0.8)
    bare = run(weather, Zone(0.2, 0.2, 0.0, rough, 0.0, 1e9, 1e9))
    covered = run(weather, Zone(0.2, 0.2, cover, rough, 0.0, 1e9, 1e9))
    np.testing.assert_allclose(bare.degc, covered.degc, atol=1e-7)


def test_more_cover_and_thicker_residue_narrow_the_day():
    base = Zone.of("between_rows")
    parts = {field.name: getattr(base, field.name) for field in fields(base)}
    covers = [0.0, 0.2, 0.4, 0.6, 0.8, 1.0]
    ranges = [np.ptp(run((6, 12, 2, 0.8), Zone(**parts | {"cover_share": c}), 6).degc[-24:]) for c in covers]
    assert (np.diff(ranges) < 0).all()
    holds = [0.0, 0.05, 0.1, 0.2, 0.4]
    ranges = [np.ptp(run((6, 12, 2, 0.8), Zone(**parts | {"residue_hold_m2_k_w": h}), 6).degc[-24:]) for h in holds]
    assert (np.diff(ranges) < 0).all()


def test_more_light_thrown_back_is_cooler():
    warm = run((6, 12, 2, 0.8), Zone(0.10, 0.2, 0.1, 0.01, 0.1, 300.0, 900.0), 4).degc[-24:].mean()
    cool = run((6, 12, 2, 0.8), Zone(0.25, 0.2, 0.1, 0.01, 0.1, 300.0, 900.0), 4).degc[-24:].mean()
    assert warm > cool + 0.3


@settings(max_examples=6, deadline=None)
@given(shift=number(-3, 4), ratio=number(0.4, 2), conductivity=number(0.5, 1.6), seed=st.integers(0, 100))
def test_fit_finds_what_the_surface_was_made_with(shift, ratio, conductivity, seed):
    random = np.random.default_rng(seed)
    days, before = 14, 6
    hours = np.arange(24 * (days + before))
    swing = np.repeat(random.uniform(3, 7, days + before), 24)
    air = 12 + swing * np.cos(2 * np.pi * (hours - 15) / 24)
    surface = transfer_apply(air, shift, ratio)
    edges = layer_edges(0.5, 20, 120)
    soil = conduct_from_surface([12.0 + shift], surface, [conductivity], [2e6], edges, [5, 10]).degc
    keep = slice(24 * before, None)
    fit = transfer_fit(air[keep], soil[keep, 0], soil[keep, 1])
    assert fit.days == days - 2
    assert fit.shift_k == pytest.approx(shift, abs=0.2 + 4 * fit.shift_se_k)
    assert fit.swing_ratio == pytest.approx(ratio, rel=0.05)
    assert fit.damping_cm == pytest.approx(damping_depth(conductivity, 2e6), rel=0.05)
    assert abs(fit.lag_h) < 0.3


def test_noise_shows_in_the_standard_errors():
    random = np.random.default_rng(3)
    hours = np.arange(24 * 22)
    found = []
    for _ in range(60):
        air = 12 + 5 * np.cos(2 * np.pi * (hours - 15) / 24)
        drift = np.repeat(random.normal(0, 0.5, 22), 24)
        shallow = 14 + 3.9 * np.cos(2 * np.pi * (hours - 16.6) / 24) + drift
        deep = 14 + 2.6 * np.cos(2 * np.pi * (hours - 18.2) / 24) + drift
        fit = transfer_fit(air, shallow, deep)
        found.append((fit.shift_k, fit.shift_se_k))
    shifts, errors_ = np.array(found).T
    assert 0.75 < errors_.mean() / shifts.std(ddof=1) < 1.35
