"""Emergence, stands and fit days held against published figures, printed tables and vectors worked apart."""

from __future__ import annotations

import numpy as np
import pytest

from spadework import reference
from spadework.science.seedbed.emergence import counts as stand
from spadework.science.seedbed.emergence import course as stand_course
from spadework.science.seedbed.emergence import heat_sum
from spadework.science.seedbed.emergence import rules as emergence_rules
from spadework.science.seedbed.emergence import stand as emergence
from spadework.science.seedbed.residue import decay as residue_weather
from spadework.science.seedbed.residue import samples as residue_samples
from spadework.science.seedbed.water import workable
from spadework.statistics import counts

APART = "Worked apart from our code, from the same definition"


def wave(mean: float, swing: float, days: int) -> np.ndarray:
    hours = np.arange(24 * days)
    return mean + swing * np.sin(2 * np.pi * hours / 24)


# Heat -----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mean", "hourly", "daily", "days"),
    [(11, 1.81, 1, 35.4), (12, 2.43, 2, 26.3), (13, 3.15, 3, 20.3)],
)
def test_hours_matter_near_the_base(check, mean, hourly, daily, days):
    course = heat_sum.heat_course(wave(mean, 4, 100), 10, 30)
    what = f"mean {mean} degC, 4 degC either way"
    check(f"heat of a day by the hour, {what}", APART, hourly, course[23], 0.0051, unit="degC d", kind="computed")
    ours = heat_sum.heat_of_sine_day(mean, 4, 10)
    check(
        f"heat of a day by the sine wave, {what}",
        APART,
        hourly,
        ours,
        0.012,
        unit="degC d",
        kind="computed",
        note="24 readings against the whole wave",
    )
    ours = heat_sum.heat_by_mean(mean, 10, 30)
    check(f"heat of a day by its mean, {what}", APART, daily, ours, 0, unit="degC d", kind="computed")
    ours = 64 / course[23]
    check(f"days to 64 degC d, {what}", APART, days, ours, 0.05, unit="d", kind="computed")
    # the course reaches it within the day on which whole days have it
    assert abs(heat_sum.days_to_heat(course, 64) - ours) < 0.6


@pytest.mark.parametrize(("mean", "days"), [(14, 16.0), (16, 10.7), (18, 8.0), (20, 6.4)])
def test_days_over_the_base(check, mean, days):
    course = heat_sum.heat_course(np.full(24 * 40, float(mean)), 10, 30)
    ours = heat_sum.days_to_heat(course, 64)
    check(f"days to 64 degC d at {mean} degC", APART, days, ours, 0.05, unit="d", kind="computed")


@pytest.mark.parametrize(
    ("degrees", "rate"),
    [(10, 0.0050), (12, 0.0470), (15, 0.1801), (20, 0.5144), (25, 0.8474), (30, 1.0), (35, 0.7830)],
)
def test_rate_with_a_peak(check, degrees, rate):
    ours = emergence_rules.rate_of_best_yin(degrees)
    source = "Yin et al. (1995), form recalled, with Blacklow (1972); worked apart"
    check(f"rate of emergence at {degrees} degC", source, rate, ours, 0.000051, kind="computed")


@pytest.mark.parametrize(
    ("row", "low", "high"),
    [
        ("iowa", 90, 120),
        ("purdue", 115, 115),
        ("wisconsin", 125, 125),
        ("ohio_soil", 110, 120),
        ("ohio_air", 100, 100),
        ("illinois", 120, 120),
    ],
)
def test_heat_of_the_table_is_what_was_printed(check, row, low, high):
    entry = reference.load("maize_emergence")[row].entry("heat")
    for name, fahrenheit, ours in (("least", low, entry.low), ("most", high, entry.high)):
        source = entry.citation.source.text
        check(f"{name} heat to emergence, {row}", source, fahrenheit, 1.8 * ours, 0.1, unit="degF d")


def test_terms_of_the_wisconsin_note(check):
    source = "Lauer (2003): 15 degF d for each inch below 2 inches, 30 where dry"
    deep = emergence_rules.heat_needed_base_10(69.4, [5.08, 7.62], 0, 0, 0)
    check("heat for an inch deeper", source, 15, 1.8 * np.diff(deep)[0], 0.05, unit="degF d")
    dry = emergence_rules.heat_needed_base_10(69.4, 5, [0, 1], 0, 0)
    check("heat where the seed zone is dry", source, 30, 1.8 * np.diff(dry)[0], 0.1, unit="degF d")


def test_itabari(check):
    source = "Itabari, Gregory and Jones (1993), abstract"
    for suction, heat in ((5, 51.5), (40, 56.4)):
        ours = emergence_rules.heat_to_germinate_itabari(suction)
        check(f"heat to germination at {suction} kPa", source, heat, ours, 0.05, unit="degC d")
    slope = np.diff(emergence_rules.heat_needed_itabari([4, 5], 0))[0]
    check("heat for each cm of depth", source, 2.8, slope, 0.05, unit="degC d/cm")
    slope = np.diff(emergence_rules.heat_needed_itabari(5, [0.02, 0.03]))[0]
    check("heat for each per cent less water", source, 3.2, slope, 0.05, unit="degC d/%")


def test_depth_slopes_of_two_studies_agree(check):
    american = np.diff(emergence_rules.heat_needed_base_10(64, [6, 7], 0, 0, 0))[0]
    african = np.diff(emergence_rules.heat_needed_itabari([6, 7], 0))[0]
    check(
        "heat for each cm deeper, Wisconsin against Kenya",
        "Itabari et al. (1993), abstract",
        african,
        american,
        0.6,
        unit="degC d/cm",
        note="bases of 10 and 6.1 degC; tolerance is a fifth",
    )


def test_even_stand_comes_up_within_the_printed_heat(check):
    spread = reference.constants("emergence").spread_heat
    width = np.diff(emergence.heat_at_share(70, [0.1, 0.9], spread))[0]
    source = "Nafziger (2013), farm press: an even stand emerges within 20 to 25 degF d"
    check(
        "heat from one in ten to nine in ten",
        source,
        22.5,
        1.8 * width,
        2.5,
        unit="degF d",
        note="the middle was put in",
    )


# Stands ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("inches", "feet", "more"), [(30, 17, 5), (20, 26, 2), (15, 34, 10)])
def test_a_thousandth_of_an_acre(check, inches, feet, more):
    acre_ha, inch_m = 0.40468564224, 0.0254
    ours = stand.row_length_for_area(acre_ha / 1000, inches * inch_m) / inch_m
    source = "US extension guides on stand counts: row length of a thousandth of an acre"
    check(f"row length at {inches} in", source, 12 * feet + more, ours, 0.5, unit="in")


@pytest.mark.parametrize(("spacing", "length"), [(0.75, 13.33), (0.762, 13.12), (0.50, 20.0)])
def test_a_thousandth_of_a_hectare(check, spacing, length):
    ours = stand.row_length_for_area(0.001, spacing)
    check(f"row length of 0.001 ha at {spacing} m", APART, length, ours, 0.0051, unit="m", kind="computed")


def test_ten_metres_of_row(check):
    ours = stand.plants_per_ha(1, 10, 0.75)
    check("plants per hectare for each plant on 10 m at 75 cm", APART, 1333, ours, 0.5, unit="1/ha", kind="computed")


GARWOOD = {
    0: (0.0, 3.689),
    1: (0.0253, 5.572),
    2: (0.242, 7.225),
    5: (1.623, 11.668),
    10: (4.795, 18.390),
    20: (12.217, 30.888),
}


@pytest.mark.parametrize("plants", GARWOOD)
def test_exact_interval_of_a_count(check, plants):
    low, high = GARWOOD[plants]
    source = "Garwood (1936), printed table of 95 % limits; recalled"
    ours = stand.count_low(plants, 0.95)
    check(f"lower limit of a count of {plants}", source, low, ours, 0.0005, kind="memory")
    ours = stand.count_high(plants, 0.95)
    check(f"upper limit of a count of {plants}", source, high, ours, 0.0005, kind="memory")


def test_two_counts(check):
    """Two-sided exact interval of a ratio of two rates, in the example of the help page of R's function for Poisson rates."""
    found = counts.rate_ratio(11, 800, 21, 3011)
    source = "R, help page of the exact test of Poisson rates, example of two samples; recalled"
    check("ratio of 11 in 800 to 21 in 3011", source, 1.971488, found.ratio, 5e-7, kind="memory")
    check("its lower end", source, 0.8584264, found.low, 5e-5, kind="memory")
    check("its upper end", source, 4.2772659, found.high, 5e-5, kind="memory")


def test_one_low_unit(check):
    rows = np.array([1, 1, 1, 0.58, 1, 1]) * 70
    source = "Worked apart: unit 4 of six at 58 %"
    check(
        "loss if rows 3 and 4 are harvested",
        source,
        21,
        100 * (1 - rows[2:4].mean() / 70),
        0.51,
        unit="%",
        kind="computed",
    )
    check("loss if all six are harvested", source, 7, 100 * (1 - rows.mean() / 70), 0.51, unit="%", kind="computed")
    ours = stand.unit_ratio(rows, 10)[3]
    check("stand behind unit 4 against the others", source, 0.58, ours, 1e-9, kind="computed")
    blocks = np.random.default_rng(4).poisson(rows * 4, (4, 6))  # four blocks, 40 m of each row
    found = counts.unit_stands(blocks, 40)
    assert found.is_low.tolist() == [False, False, False, True, False, False]
    assert found.low[3] < 0.58 < found.high[3]


def test_indices_of_emergence(check):
    new, days = [10, 40, 20], [10, 13, 17]
    ours = stand_course.emergence_rate_index(new, days)
    check(
        "rate index",
        "Maguire (1962), form recalled; by hand",
        10 / 10 + 40 / 13 + 20 / 17,
        ours,
        1e-9,
        unit="1/d",
        kind="computed",
    )
    ours = stand_course.mean_emergence_days(new, days)
    check("mean days to emergence", "Common form, recalled; by hand", 960 / 70, ours, 1e-9, unit="d", kind="computed")


# Workable days ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("full", "rest", "n", "best", "wet"),
    [
        (0.43, 0.078, 1.56, 0.2963, 0.3498),
        (0.41, 0.065, 1.89, 0.2668, 0.3241),
        (0.45, 0.067, 1.41, 0.3153, 0.3692),
        (0.41, 0.095, 1.31, 0.3080, 0.3488),
    ],
)
def test_retention_curve(check, full, rest, n, best, wet):
    source = "Dexter and Bird (2001), forms recalled; worked apart from our code"
    ours = workable.moisture_at_inflection(full, rest, n)
    check(f"moisture at the inflection, {full}, {rest}, {n}", source, best, ours, 0.000051, kind="computed")
    ours = workable.moisture_wet_limit(full, rest, n)
    check(f"wet limit, {full}, {rest}, {n}", source, wet, ours, 0.000051, kind="computed")


@pytest.mark.parametrize(("clay", "limit"), [(18, 0.20), (53, 0.28)])
def test_best_moisture_lies_under_the_threshold_near_berlin(clay, limit):
    # Mueller et al., abstract: the threshold of workability is about the lower plastic limit, 20 % at 18 % clay, 28 % at 53 %
    assert workable.workable_moisture(limit, 1.3) < workable.moisture_by_volume(limit, 1.3), clay


# Residue ----------------------------------------------------------------------------------------------------------------


def test_area_from_samples_against_a_library(check):
    from scipy.optimize import curve_fit

    random = np.random.default_rng(12)
    mass = random.uniform(500, 5000, 12)
    cover = 1 - np.exp(-0.0004 * mass * random.normal(1, 0.08, 12))
    slope, variance = curve_fit(lambda m, a: a * m, mass, -np.log(1 - cover), p0=[0.0004])
    ours = residue_samples.am_from_samples(mass, cover)
    check(
        "area a mass covers, 12 samples",
        "SciPy, least squares of one slope",
        slope[0],
        ours,
        1e-9,
        unit="ha/kg",
        kind="computed",
    )
    ours = residue_samples.am_standard_error(mass, cover)
    check(
        "its standard error",
        "SciPy, least squares of one slope",
        np.sqrt(variance[0, 0]),
        ours,
        1e-9,
        unit="ha/kg",
        kind="computed",
    )


def test_mixture(check):
    ours = residue_samples.cover_of_mixture([2000, 1000], [0.0004, 0.00052])
    source = "Gregory (1982), recalled form; worked apart from our code"
    check(
        "cover of 2000 kg maize and 1000 kg straw, any number of kinds", source, 0.7329, ours, 0.000051, kind="computed"
    )


def test_weight_of_warmth(check):
    # by hand for a best of 32 degC and no shift: 2 (16/32)^2 - (16/32)^4 = 0.4375
    source = "Stroo et al. (1989), form recalled; by hand"
    for degrees, weight in ((0, 0.0), (16, 0.4375), (32, 1.0)):
        check(
            f"weight of {degrees} degC", source, weight, residue_weather.warmth_weight(degrees), 1e-9, kind="computed"
        )
