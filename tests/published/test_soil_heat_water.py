"""Warmth and water of the surface held against one another and against what was measured under residue."""

from __future__ import annotations

import numpy as np
import pytest

from spadework import reference
from spadework.science.seedbed.heat.columns import layer_edges
from spadework.science.seedbed.heat.soil import conductivity_lu_2007, heat_capacity
from spadework.science.seedbed.heat.surface import SurfaceCourse, run_surface
from spadework.science.seedbed.heat.surface_balance import Zone
from spadework.science.seedbed.heat.surface_weather import hourly_weather
from spadework.science.seedbed.water.reference_et import reference_et_from_weather

DAYS = 14
WET = reference.constants("surface_balance").wet_drag_s_m
UNDER = WET + 900  # what residue adds in the middle of the table of surfaces
STRAW = "McCalla and Duley (1946), abstract: straw, 2 to 3 short tons an acre"
TOLD = "soil, weather, moisture and day not told; ours: June at 41 degrees north, bare ground dried further than that under straw"


def run(
    cover: float, weather: tuple[float, float, float, float], wet: float, depths: tuple[float, ...]
) -> SurfaceCourse:
    low, high, latitude, day = weather
    made = hourly_weather([low] * DAYS, [high] * DAYS, latitude, day)
    ground = Zone(0.15, 0.25, cover, 0.005, 0.1, WET, UNDER)
    return run_surface(
        [(low + high) / 2], made.air_degc, made.light_w_m2, made.vapour_kpa, made.wind_m_s, made.sky_w_m2,
        [conductivity_lu_2007(0.25, 1.3, 0.3)], [heat_capacity(1.3, 0.25)], layer_edges(), depths, ground=ground,
        wet_share=wet,
    )  # fmt: skip


@pytest.mark.parametrize("weather", [(2, 12, 52, 100), (8, 18, 52, 128), (12, 24, 45, 130), (14, 28, 41, 150)])
def test_wet_bare_ground_evaporates_as_fao_56_has_it(check, weather):
    # two ways that share nothing but the vapour curve and the stand-ins for the weather
    low, high, latitude, day = weather
    theirs = 1.05 * float(reference_et_from_weather([high], [low], latitude, day + DAYS - 1, 0)[0])
    ours = run(0.0, weather, 1.0, (5,)).vapour_w_m2[-24:].mean() * 86_400 / 2.45e6
    place = f"{low} to {high} degC at {latitude} degrees in the middle of month {day // 30 + 1}"
    source = "FAO-56, first stage: 1.20 - 0.15 of the reference (equation 71)"
    check(f"wet bare ground, {place}", source, theirs, ours, 0.05 * theirs, unit="mm/d", kind="computed",
          note="ours from the balance of energy, 37 s/m in the soil")  # fmt: skip


def test_untilled_ground_is_cooler_in_the_mean_as_in_north_east_china(check):
    bare, covered = (run(cover, (8, 18, 52, 128), wet, (10,)) for cover, wet in ((0.05, 0.3), (0.8, 0.7)))
    ours = (bare.degc - covered.degc)[-24:, 0].mean()
    source = "Shen and others (2018), Scientific Reports, abstract: no-till 0 to 1.5 degC cooler, weeks after planting, 10 cm"
    check("ploughed over no-till at 10 cm, mean", source, 0.75, ours, 0.75, unit="K",
          note="moisture chosen: bare ground at 0.3 of the full rate, that under residue at 0.7")  # fmt: skip


def straw(hour: int, place: int) -> float:
    bare, covered = (run(cover, (14, 28, 41, 150), wet, (2.54, 10.16)) for cover, wet in ((0.0, 0.3), (0.95, 0.7)))
    return float((bare.degc - covered.degc)[-24:][hour - 1, place])


def test_straw_cools_the_early_afternoon_as_measured_in_nebraska(check):
    check("bare over straw at 1 in, 14 h", f"{STRAW}, 3 to 6 degC", 4.5, straw(14, 0), 1.5, unit="K", note=TOLD)
    check("bare over straw at 4 in, 14 h", f"{STRAW}, 2 to 4 degC", 3.0, straw(14, 1), 1.0, unit="K", note=TOLD)


@pytest.mark.xfail(
    strict=True,
    reason="told: almost the same at 5 h; ours 2.0 K warmer under straw: bare ground cools too far at night, or the balance lets "
    "straw hold the night's warmth too well",
)
def test_straw_changes_little_before_sunrise(check):
    check(
        "bare over straw at 1 in, 5 h", f"{STRAW}: usually almost the same", 0.0, straw(5, 0), 1.0, unit="K", note=TOLD
    )


def test_the_moisture_of_both_decides_the_sign_of_the_mean():
    # what makes the mean weak: alike in moisture the covered ground is the warmer where wet, the cooler where bare ground dries
    apart = {}
    for name, wet in (("wet", (1.0, 1.0)), ("bare dries", (0.3, 0.7))):
        bare, covered = (
            run(cover, (8, 18, 52, 128), share, (10,)) for cover, share in zip((0.05, 0.8), wet, strict=True)
        )
        apart[name] = (bare.degc - covered.degc)[-24:, 0].mean()
    assert apart["wet"] < -0.3
    assert apart["bare dries"] > 1.0
    assert np.isfinite(list(apart.values())).all()
