"""Spreading from the band, injury and roots held against exact solutions, worked figures and the literature."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import erf
from scipy.stats import ncx2

from spadework import reference
from spadework.science.band import diffusion, mobility, nitrification, roots, thresholds
from spadework.science.chemistry import free_ammonia_share, pka_emerson

WORKED = "Worked apart from our code, from the same equation"
DISC = "Crank (1975), The mathematics of diffusion, chapter 3 (disc); worked apart from our code"
VISCOSITY = {5: 1.518, 10: 1.306, 15: 1.138, 20: 1.002, 25: 0.890}
_K = reference.constants("band_spread")


@pytest.mark.parametrize("celsius", VISCOSITY)
def test_water(check, celsius):
    ours = mobility.water_viscosity(celsius)
    source = "handbook figures for water, from memory"
    check(f"viscosity of water, {celsius} degC", source, VISCOSITY[celsius], ours, 0.001, unit="mPa s", kind="memory")


@pytest.mark.parametrize(("celsius", "theirs"), [(5, 1.070), (10, 1.267), (15, 1.480), (20, 1.710)])
def test_ammonium_in_water(check, celsius, theirs):
    ours = mobility.ammonium_in_water(celsius, mobility.water_viscosity(celsius), mobility.water_viscosity(25)) / 0.864
    what = f"ammonium diffusing in water, {celsius} degC"
    check(what, WORKED, theirs, ours, 0.001, unit="1e-9 m2/s", kind="computed")


APPARENT = [  # moisture, pores, b, density, kd, path, path share, cm2/d
    (0.15, 0.45, 3, 1.45, 1, "61", 0.00886, 0.00708),
    (0.15, 0.45, 3, 1.45, 1, "b", 0.01386, 0.01108),
    (0.25, 0.48, 5, 1.38, 2, "61", 0.04272, 0.01815),
    (0.25, 0.48, 5, 1.38, 2, "60", 0.10195, 0.04331),
    (0.25, 0.48, 5, 1.38, 2, "b", 0.03850, 0.01636),
    (0.30, 0.48, 8, 1.38, 5, "61", 0.07845, 0.01393),
    (0.30, 0.48, 8, 1.38, 5, "b", 0.04092, 0.00727),
]


@pytest.mark.parametrize(("moisture", "pores", "b", "density", "kd", "path", "share", "theirs"), APPARENT)
def test_apparent_diffusion(check, moisture, pores, b, density, kd, path, share, theirs):
    ours = {
        "61": mobility.path_millington_quirk_1961(moisture, pores),
        "60": mobility.path_millington_quirk_1960(moisture, pores),
        "b": mobility.path_impedance(moisture, b),
    }[path]
    what = f"moisture {moisture}, sorption {kd} L/kg, path {path}"
    check(f"path through the pores, {what}", WORKED, share, ours, 0.000005, kind="computed")
    free = mobility.ammonium_in_water(15, mobility.water_viscosity(15), mobility.water_viscosity(25))
    found = mobility.apparent_diffusion(free, ours, 0, 0, 0, 1, moisture, pores - moisture, density, kd)
    check(f"apparent diffusion, {what}", WORKED, theirs, found, 0.000015, unit="cm2/d", kind="computed")


@pytest.mark.parametrize(
    ("celsius", "theirs"),
    [(5, 0.1151), (8, 0.2603), (10, 0.3729), (12, 0.4903), (15, 0.6624), (20, 0.8951), (25.5, 1), (30, 0.9155)],
)
def test_nitrification_by_temperature(check, celsius, theirs):
    ours = nitrification.nitrification_temperature_factor(celsius)
    check(f"nitrification at {celsius} degC against its best", WORKED, theirs, ours, 0.00005, kind="computed")


CRANK = {
    0.25: (0.63212056, 0.54573710, 0.34574584, 0.15495617, 0.04722970),
    0.50: (0.39346934, 0.35728577, 0.26712020, 0.16378098, 0.08189230),
    1.00: (0.22119922, 0.20935725, 0.17748236, 0.13472564, 0.09152895),
}


@pytest.mark.parametrize("time", CRANK)
def test_disc(check, time):
    # a disc of 5 cm in the middle of a cut so wide and deep that nothing comes back
    r = 5 * np.array([0, 0.5, 1, 1.5, 2])
    ours = diffusion.ammonium_at(
        25 * time,
        r,
        40,
        centre_depth_cm=40,
        half_height_cm=5,
        half_width_cm=5,
        row_spacing_m=1,
        section_depth_cm=80,
        cell_cm=0.25,
    )
    for theirs, found, radius in zip(CRANK[time], ours, r, strict=True):
        what = f"disc of 5 cm after {25 * time:g} cm2, {radius:g} cm from its centre"
        check(what, DISC, theirs, found, 0.01 * theirs, kind="computed", note="within 1 % on cells of 0.25 cm")
        np.testing.assert_allclose(ncx2.cdf(1 / (2 * time), 2, (radius / 5) ** 2 / (2 * time)), theirs, rtol=1e-6)


@pytest.mark.parametrize(
    ("days", "z", "theirs"),
    [(28, 0, 0.843624), (28, 3, 0.078177), (56, 0, 0.683767), (56, 3, 0.156796), (56, 6, 0.001320)],
)
def test_layer(check, days, z, theirs):
    ours = diffusion.ammonium_at(
        0.02 * days,
        0,
        15 + z,
        centre_depth_cm=15,
        half_height_cm=1.5,
        half_width_cm=15,
        row_spacing_m=0.75,
        section_depth_cm=30,
        cell_cm=0.05,
        layer=True,
    )
    what = f"layer 30 by 3 cm after {days} d, {z} cm under its centre"
    check(what, DISC.replace("disc", "rectangle"), theirs, ours, 0.001, kind="computed")
    s = 2 * np.sqrt(0.02 * days)
    exact = erf(15 / s) * (erf((1.5 + z) / s) + erf((1.5 - z) / s)) / 2
    np.testing.assert_allclose(exact, theirs, atol=5e-7)


def test_mirrors_at_the_surface_and_the_next_row():
    # Exact: line sources mirrored at surface, bottom and both neighbours; a disc of 1 cm is wide from the
    # start, as a line would be after 1/8 cm2
    spread, width, depth = 60.0, 75.0, 40.0
    x, z = np.array([0, 10, 37.5, 20]), np.array([0, 5, 10, 40])
    ours = diffusion.ammonium_at(
        spread,
        x,
        z,
        centre_depth_cm=12,
        half_height_cm=1,
        half_width_cm=1,
        row_spacing_m=0.75,
        section_depth_cm=depth,
        cell_cm=0.25,
    )
    exact, line = np.zeros(4), spread + 1 / 8
    for n in range(-4, 5):
        for m in range(-4, 5):
            for centre in (12, -12):
                far = (x - n * width) ** 2 + (z - 2 * m * depth - centre) ** 2
                exact += np.exp(-far / (4 * line)) / (4 * line)
    np.testing.assert_allclose(ours, exact, rtol=0.005)  # far out in the tail, cells of 0.25 cm


@pytest.mark.parametrize(("diffusivity", "days", "moved"), [(0.007, 7, 0.39), (0.02, 28, 1.26), (0.05, 28, 1.92)])
def test_contour_beyond_the_wetted_edge(check, diffusivity, days, moved):
    ours = diffusion.ammonium_at(
        diffusivity * days,
        0,
        20 + 5.35 + np.linspace(0, 4, 401),
        centre_depth_cm=20,
        half_height_cm=5.35,
        half_width_cm=5.35,
        row_spacing_m=0.75,
        section_depth_cm=40,
        cell_cm=0.1,
    )
    found = np.interp(-0.1, -ours, np.linspace(0, 4, 401))
    what = f"a tenth of the band's nitrogen beyond its edge, {diffusivity} cm2/d, {days} d"
    check(what, WORKED, moved, found, 0.02, unit="cm", kind="computed")
    assert found < 3.8  # Sawyer and Hoeft, boxes (abstract): effects within 3.8 cm of the centre; here of the edge


def test_line(check):
    ours = thresholds.line_peak_days(3, 0.02, 0.03)
    check("peak 3 cm from a line, 0.02 cm2/d, 0.03 a day", WORKED, 46.798, ours, 0.0005, unit="d", kind="computed")
    ours = thresholds.line_peak_days(3, 0.02, 0)
    check("the same without nitrification", WORKED, 112.5, ours, 0.05, unit="d", kind="computed")
    for tan, limit, theirs in ((2, 1000, 1.976), (4, 1000, 2.794), (2, 250, 3.951)):
        ours = thresholds.line_reach(2.25, tan, limit, 1.35)
        what = f"reach of {limit} mg/kg from a line with {2.25 * tan} g/m"
        check(what, WORKED, theirs, ours, 0.0005, unit="cm", kind="computed")


def test_salt(check):
    k = reference.constants("seedling_thresholds")
    ours = thresholds.growth_lost_to_salt(11.33, k.ec_seedling_threshold, k.ec_seedling_slope)
    source = "Maas and others (1983), line of the abstract, worked apart from our code"
    check("seedling growth lost at 11.33 dS/m", source, 0.51, ours, 0.005, kind="computed")


def test_free_ammonia_of_a_slurry(check):
    share = free_ammonia_share(8.0, pka_emerson(15))
    check("free share, 15 degC, pH 8", WORKED, 0.026557, share, 0.0000005, kind="computed")
    # 14.007 mg/kg in 0.25 water at 1 t/m3 without sorption: 4 mmol/L in all
    ours = thresholds.free_ammonia_in_water(14.007, 1, share, 0.25, 0)
    check("free ammonia of 4 mmol/L", WORKED, 0.106228, ours, 0.000002, unit="mmol/L", kind="computed")


@pytest.mark.parametrize(("celsius", "fast", "slow"), [(12, 19, 20), (15, 9, 14), (18, 6, 12)])
def test_root_arrival(check, celsius, fast, slow):
    first = roots.radicle_days(celsius)
    for theirs, speed, end in ((fast, roots.root_speed(celsius), "fast"), (slow, _K.root_front, "slow")):
        what = f"root through a gap of 6 cm, {celsius} degC, {end} end"
        check(what, WORKED, theirs, roots.root_arrival(first, 6, speed), 0.5, unit="d", kind="computed")
