"""Warmth of the soil held against published tables, exact solutions and field results."""

from __future__ import annotations

import numpy as np
import pytest

from spadework import reference
from spadework.ranges import collecting
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
from spadework.science.seedbed.heat.surface_weather import hourly_weather
from spadework.science.seedbed.heat.waves import damping_depth, wave_lag, wave_left

TABLE = "de Vries (1963) in Moene and van Dam (2014), table 2.2, read second-hand"
WORKED = "Worked apart from our code, from the same equation"
EXACT = "Exact solution for a half space, worked apart from our code"

SOILS = {
    "sand_dry": ("quartz", 0.072, 0.498, 2.66),
    "sand_moist": ("quartz", 0.165, 0.739, 1.16),
    "sand_wet": ("quartz", 0.152, 0.720, 1.25),
    "dense_sand_moist": ("quartz", 0.183, 0.761, 1.04),
    "clay_dry": ("clay", 0.054, 0.394, 3.56),
    "clay_moist": ("clay", 0.104, 0.620, 1.83),
    "clay_wet": ("clay", 0.111, 0.638, 1.71),
    "peat_moist": ("organic", 0.059, 0.429, 3.23),
}


@pytest.mark.parametrize("soil", SOILS)
def test_heat_held_by_measured_soils(check, soil):
    row, parts = reference.load("heat_measured")[soil], reference.load("heat_parts")
    solid = 1 - row.entry("pores").value
    stuff = SOILS[soil][0]
    peat = stuff == "organic"
    minerals = parts["quartz" if peat else stuff].entry("heat").value
    ours = heat_capacity(2.65 * solid, row.entry("moisture").value, solid if peat else 0, minerals)
    tolerance = 0.03 if soil == "dense_sand_moist" else 0.0151
    note = "the factor for organic matter is 2.51 in the formula and 2.47 in the table" if peat else ""
    check(
        f"heat held, {row.label}",
        TABLE,
        row.entry("heat").value / 1e6,
        ours / 1e6,
        tolerance,
        unit="MJ/(m3 K)",
        note=note,
    )


@pytest.mark.parametrize("soil", SOILS)
def test_wave_of_the_day_in_measured_soils(check, soil):
    row = reference.load("heat_measured")[soil]
    _, depth, left, lag = SOILS[soil]
    heat, conductivity = row.entry("heat").value, row.entry("conductivity").value
    # worked from a diffusivity that the table prints with two digits, hence the tolerances
    ours = damping_depth(conductivity, heat)
    check(f"damping depth, {row.label}", WORKED, 100 * depth, ours, 0.02 * 100 * depth, unit="cm", kind="computed")
    check(f"wave left at 5 cm, {row.label}", WORKED, left, wave_left(5, ours), 0.01, unit="1", kind="computed")
    check(f"lag at 5 cm, {row.label}", WORKED, lag, wave_lag(5, ours), 0.06, unit="h", kind="computed")


CONDUCTIVITIES = (
    (0.05, 1.3, 0.6, 0.10, 0.2878, 0.5979, 0.5870),
    (0.15, 1.3, 0.6, 0.10, 0.8451, 1.0202, 1.0675),
    (0.25, 1.3, 0.6, 0.10, 0.9945, 1.2563, 1.2910),
    (0.05, 1.3, 0.2, 0.25, 0.2720, 0.2922, 0.1635),
    (0.15, 1.3, 0.2, 0.25, 0.6432, 0.8192, 0.7632),
    (0.25, 1.3, 0.2, 0.25, 0.9931, 1.1228, 1.0468),
    (0.30, 1.3, 0.2, 0.25, 1.0634, 1.2181, 1.1480),
    (0.25, 1.1, 0.2, 0.25, 0.8084, 0.9073, 0.8411),
    (0.25, 1.5, 0.2, 0.25, 1.2257, 1.3854, 1.3070),
    (0.15, 1.5, 0.6, 0.10, 1.0537, 1.2746, 1.3313),
)


@pytest.mark.parametrize(("moisture", "density", "sand", "clay", "campbell", "lu", "johansen"), CONDUCTIVITIES)
def test_conductivity_by_three_models(check, moisture, density, sand, clay, campbell, lu, johansen):
    place = f"moisture {moisture}, density {density}, sand {sand}"
    with collecting():
        found = (
            ("Campbell", campbell, conductivity_campbell_1985(moisture, density, clay)),
            ("Lu", lu, conductivity_lu_2007(moisture, density, sand)),
            ("Johansen", johansen, conductivity_johansen_1975(moisture, density, sand)),
        )
    for model, theirs, ours in found:
        check(f"conductivity after {model}, {place}", WORKED, theirs, ours, 5e-5, unit="W/(m K)", kind="computed")


def test_models_agree_with_the_sand_of_the_table(check):
    theirs = reference.load("heat_measured")["sand_moist"].entry("conductivity").value
    lu, johansen = conductivity_lu_2007(0.2, 1.59, 1.0), conductivity_johansen_1975(0.2, 1.59, 1.0)
    check("moist sand after Lu", TABLE, theirs, lu, 0.15, unit="W/(m K)", note="another sand")
    check("moist sand after Johansen", TABLE, theirs, johansen, 0.15, unit="W/(m K)", note="another sand")


@pytest.mark.xfail(
    strict=True, reason="moist clay of the table 0.9 W/(m K); Lu 1.24, Johansen 1.17: no clay of that kind in either"
)
def test_models_agree_with_the_clay_of_the_table(check):
    theirs = reference.load("heat_measured")["clay_moist"].entry("conductivity").value
    check("moist clay after Lu", TABLE, theirs, conductivity_lu_2007(0.2, 1.59, 0.0), 0.15, unit="W/(m K)")


FINE = layer_edges(0.5, 30, 200, 1.1)
DIFFUSIVITY = 5e-7
SOIL = ([1.0], [2e6])


def test_damping_depth_and_what_is_left_of_the_wave(check):
    depth = damping_depth(*(part[0] for part in SOIL))
    check("damping depth of the day", WORKED, 11.72646, depth, 5e-6, unit="cm", kind="computed")
    left = ((2, 0.84320), (5, 0.65286), (10, 0.42623), (20, 0.18167), (30, 0.07743))
    late = ((2, 0.651), (5, 1.629), (10, 3.257), (20, 6.515), (30, 9.772))
    for (z, share), (_, lag) in zip(left, late, strict=True):
        check(f"wave left at {z} cm", WORKED, share, wave_left(z, depth), 5e-6, unit="1", kind="computed")
        check(f"lag at {z} cm", WORKED, lag, wave_lag(z, depth), 5e-4, unit="h", kind="computed")


def test_sine_wave_at_the_surface(check):
    damping = 11.72646
    at = np.array([0, 6, 8, 14, 20])
    ten_minutes = np.arange(0, 24 * 6 * 8 + 1) / 6
    middles = (FINE[1:] + FINE[:-1]) / 2
    start = 10 + 6 * np.exp(-middles / damping) * np.sin(2 * np.pi * (0 - 8) / 24 - middles / damping)
    surface = 10 + 6 * np.sin(2 * np.pi * (ten_minutes - 8) / 24)
    course = conduct_from_surface(start, surface, *SOIL, FINE, [0, 5, 10], step_h=1 / 6)
    last = course.degc[(24 * 7 + at) * 6]
    theirs = (
        (4.8038, 7.0, 10.0, 16.0, 10.0),
        (7.7214, 6.8137, 8.3799, 13.5665, 11.6201),
        (9.5059, 7.4908, 8.0740, 11.6825, 11.9260),
    )
    for place, (depth, row) in enumerate(zip((0, 5, 10), theirs, strict=True)):
        for hour, value in zip(at, row, strict=True):
            ours = last[list(at).index(hour), place]
            check(
                f"sine wave, {depth} cm, {hour} h, layers of 0.5 cm",
                EXACT,
                value,
                ours,
                0.002,
                unit="degC",
                kind="computed",
            )


STEP = {
    1: (17.38883, 14.04657, 10.95581, 10.00001),
    6: (18.91756, 17.33701, 14.96242, 10.41227),
    24: (19.45753, 18.64929, 17.33701, 13.07434),
}


def test_jump_at_the_surface(check):
    course = conduct_from_surface([10.0], np.full(25, 20.0), *SOIL, FINE, [2, 5, 10, 30], substeps=30)
    for hours, row in STEP.items():
        for place, (depth, value) in enumerate(zip((2, 5, 10, 30), row, strict=True)):
            what = f"jump of 10 K at the surface, {depth} cm after {hours} h"
            check(what, EXACT, value, course.degc[hours, place], 0.003, unit="degC", kind="computed")


FLOW = {1: (4.78731, 3.05083, 1.35966, 0.23792), 6: (11.72646, 9.83487, 7.39860, 4.34085)}


def test_constant_flow_into_the_surface(check):
    course = conduct_from_flow([0.0], np.full(6, 100.0), *SOIL, FINE, [0, 2, 5, 10], substeps=30)
    for hours, row in FLOW.items():
        for place, (depth, value) in enumerate(zip((0, 2, 5, 10), row, strict=True)):
            what = f"100 W/m2 into the surface, {depth} cm after {hours} h"
            check(what, EXACT, value, course.degc[hours, place], 0.005, unit="K", kind="computed")


def test_layers_against_a_general_solver(check):
    from scipy.integrate import solve_ivp

    edges = layer_edges(1, 10, 100)
    thick = np.diff(edges) / 100
    conductivity, heat = np.linspace(0.6, 1.4, len(thick)), np.linspace(1.6e6, 2.6e6, len(thick))
    half = thick / 2 / conductivity
    between = 1 / (half[1:] + half[:-1])
    wave = lambda t: 10 + 6 * np.sin(2 * np.pi * t / 86400)  # noqa: E731

    def change(t, degc):
        flow = np.concatenate([[(wave(t) - degc[0]) / half[0]], -between * np.diff(degc), [0.0]])
        return -np.diff(flow) / (heat * thick)

    hours = np.arange(0, 73)
    theirs = solve_ivp(change, (0, 72 * 3600), np.full(len(thick), 10.0), "LSODA", hours * 3600, rtol=1e-9, atol=1e-9)
    tenth = np.arange(0, 72 * 10 + 1) / 10
    ours = conduct_from_surface(
        np.full(len(thick), 10.0), wave(tenth * 3600), conductivity, heat, edges, [4.5], step_h=0.1
    )
    for hour in (12, 36, 50, 72):
        what = f"layers that differ, 4.5 cm after {hour} h"
        source = "The same layers by LSODA in scipy"
        check(what, source, theirs.y[4, hour], ours.degc[10 * hour, 0], 0.001, unit="degC", kind="computed")


def test_slurry_in_the_band_on_the_first_day(check):
    ours = first_day_temperature(10, 6, 2.25, 200, 2.2e6)
    check("band after slurry 4 K colder", WORKED, -0.7, ours - 10, 0.05, unit="K", kind="computed")
    whole = 2.25 * 10 * 4.18e6 / (2.25 * 10 * 4.18e6 + 200 * 2.2e6)
    check("share of the slurry in the heat of the band", WORKED, 0.176, whole, 0.0005, unit="1", kind="computed")


@pytest.mark.parametrize("depth", [2, 5, 10])
def test_one_strip_far_from_others_in_the_mean_of_many_days(check, depth):
    width, far = 20, 10
    turn = np.arctan(width / depth) - depth / (2 * width) * np.log(1 + (width / depth) ** 2)
    ours = strip_weight(depth, width / 100, far, 1e8)
    what = f"contrast left under a strip of 20 cm in wide ground, {depth} cm"
    check(
        what,
        "Steady conduction under one strip, mean of two arcs, exact",
        2 / np.pi * turn,
        ours,
        0.002,
        unit="1",
        kind="computed",
    )


def test_middle_of_one_strip_in_the_mean_of_many_days(check):
    hours = np.full(4001, 1.0)
    cut = strip_from_surface(
        [0.0], 10 * hours, 0 * hours, [1.0], [2e6], layer_edges(1, 20, 600, 1.15), [0, 0], [5, 10],
        strip_width_m=0.2, row_spacing_m=4.0, base_degc=0 * hours, step_h=24, waves=200,
    )  # fmt: skip
    for place, depth in enumerate((5, 10)):
        theirs = 10 * 2 / np.pi * np.arctan(10 / depth)
        what = f"middle of a strip of 20 cm, 10 K warmer for good, {depth} cm"
        note = "ours has a neighbour 4 m away and a base at 6 m"
        check(
            what,
            "Steady conduction under one strip, exact",
            theirs,
            cut.degc[-1, place],
            0.25,
            unit="K",
            kind="computed",
            note=note,
        )


def may(cover, *, days=14, **changed):
    """Mean and range of the last day at 5 cm for a surface that is alike but for cover."""
    weather = hourly_weather([8.0] * days, [18.0] * days, 52, 128)
    base = Zone.of("bare_strip")
    parts = {name: getattr(base, name) for name in base.__dataclass_fields__} | {"cover_share": cover} | changed
    heat, conductivity = heat_capacity(1.3, 0.25), conductivity_lu_2007(0.25, 1.3, 0.3)
    course = run_surface(
        [13.0], weather.air_degc, weather.light_w_m2, weather.vapour_kpa, weather.wind_m_s, weather.sky_w_m2,
        [conductivity], [heat], layer_edges(), [5], ground=Zone(**parts),
    )  # fmt: skip
    last = course.degc[-24:, 0]
    return last.mean(), np.ptp(last), last[15]


EXPLORED = "An exploratory run of the same kind of balance with other assumptions; no measurement"


def test_cover_narrows_the_day_at_five_centimetres(check):
    bare, covered = may(0.0), may(0.8, residue_hold_m2_k_w=0.2)
    note = "13 degC in the mean, swing of 5; residue at the upper end of what it holds back, 0.2 m2 K/W"
    what = "at 5 cm, cover 0.8"
    check(
        f"day range {what} over bare",
        EXPLORED,
        5.8 / 10.7,
        covered[1] / bare[1],
        0.1,
        unit="1",
        kind="computed",
        note=note,
    )
    check("day range at 5 cm, bare", EXPLORED, 10.7, bare[1], 3, unit="K", kind="computed", note=note)
    check(f"mean {what} less bare", EXPLORED, -1.15, covered[0] - bare[0], 1.15, unit="K", kind="computed", note=note)


@pytest.mark.xfail(
    strict=True,
    reason="explored: halved (0.54) whatever is assumed; ours 0.71 at 0.1 m2 K/W, 0.88 at 0.03, 0.61 at 0.2, 0.55 at 0.3; on "
    "wet ground 0.80, on dry 0.69",
)
def test_cover_halves_the_day_whatever_residue_holds_back(check):
    ours = may(0.8)[1] / may(0.0)[1]
    check(
        "day range at 5 cm, cover 0.8 over bare, 0.1 m2 K/W", EXPLORED, 5.8 / 10.7, ours, 0.1, unit="1", kind="computed"
    )


def test_bare_ground_is_warmer_than_residue_in_spring(check):
    bare, covered = may(0.0), may(0.8)
    weak = "the effect on the mean is weakly known: it hangs on light thrown back and on evaporation"
    # the abstract says 1 degC or more
    check(
        "bare over residue between rows, mean at 5 cm",
        "Sharratt (2002), abstract",
        1.0,
        bare[0] - covered[0],
        1.0,
        unit="K",
        note=weak,
    )


def test_strip_over_untilled_ground(check):
    bare, covered = may(0.05), may(0.8)
    mean = strip_weight(5, 0.2, 0.76, 1e8) * (bare[0] - covered[0])
    afternoon = strip_weight(5, 0.2, 0.76, 12) * (bare[2] - covered[2])
    source = "Licht and Al-Kaisi (2005), abstract: 1.2 to 1.4 degC"
    note = "time of day of the readings not known; weakly known"
    check("strip over no-till at 5 cm, mean of the day", source, 1.3, mean, 1.0, unit="K", note=note)
    check("strip over no-till at 5 cm, afternoon", source, 1.3, afternoon, 2.0, unit="K", note=note)


@pytest.mark.xfail(
    strict=True,
    reason="measured 2.11 K; by conduction alone 0.05 K: moisture, berm and loose soil of the strip are not in it",
)
def test_wider_strips_as_measured_in_north_east_china(check):
    bare, covered = may(0.05), may(0.8)
    ours = (strip_weight(5, 0.3, 0.65, 1e8) - strip_weight(5, 0.2, 0.65, 1e8)) * (bare[0] - covered[0])
    check(
        "strip of 30 cm over strip of 20 cm, seedling stage",
        "Wang and others (2024), abstract",
        2.11,
        ours,
        1.0,
        unit="K",
    )
