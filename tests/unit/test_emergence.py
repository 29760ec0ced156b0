"""Emergence, stands and fit days: shapes, errors, edges."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from spadework import reference
from spadework.ranges import ImpossibleValue, OutsideCalibration
from spadework.science.seedbed.emergence import counts as stand
from spadework.science.seedbed.emergence import course as stand_course
from spadework.science.seedbed.emergence import heat_sum
from spadework.science.seedbed.emergence import rules as emergence_rules
from spadework.science.seedbed.emergence import stand as emergence
from spadework.science.seedbed.residue import decay as residue_weather
from spadework.science.seedbed.residue import samples as residue_samples
from spadework.science.seedbed.water import drying, fit_days, spells, top_layer, workable
from spadework.statistics import counts


def test_draws_run_along_the_first_axes():
    hours = np.full((40, 24 * 30), 15.0) + np.linspace(-2, 2, 40)[:, np.newaxis]
    days = emergence.emergence_days(hours, np.full(40, 64.0), 10, 30, 12.5)
    assert days.shape == (3, 40)
    assert (np.diff(days[1]) < 0).all()
    assert heat_sum.days_to_heat(heat_sum.heat_course(hours[0], 10, 30), [10.0, 20.0, 1e4]).shape == (3,)


def test_never_is_infinite():
    cold = np.full(24 * 30, 9.0)
    assert np.isinf(emergence.emergence_days(cold, 64, 10, 30, 12.5)).all()
    assert np.isinf(heat_sum.days_to_heat(emergence_rules.course_yin(cold, 3.3), 1.0))
    dry = heat_sum.heat_course(np.full(24 * 30, 20.0), 10, 30, 0.0)
    assert np.isinf(heat_sum.days_to_heat(dry, 1.0))


def test_nothing_wanted_takes_no_time():
    assert heat_sum.days_to_heat([0.1, 0.2], 0.0) == 0


def test_a_dry_week_holds_emergence_up():
    hours = np.full(24 * 40, 16.0)
    moist = np.ones(24 * 40)
    moist[24 * 3 : 24 * 10] = 0
    limit = heat_sum.moisture_to_germinate(0.25, 0.12)
    moisture = np.where(moist == 1, 0.22, 0.125)
    found = emergence.emergence_days(hours, 64, 10, 30, 12.5, (moisture >= limit).astype(float))
    plain = emergence.emergence_days(hours, 64, 10, 30, 12.5)
    np.testing.assert_allclose(found, plain + 7)


def test_rules_lie_apart_where_it_is_cold_and_near_one_another_where_it_is_warm():
    days = {}
    for mean in (12.0, 20.0):
        hours = np.full(24 * 90, mean)
        ohio = heat_sum.days_to_heat(heat_sum.heat_course(hours, 10, 30), 63.9)
        kenya = heat_sum.days_to_heat(heat_sum.heat_course(hours, 6.1, 33.6), emergence_rules.heat_needed_itabari(5, 0))
        peak = heat_sum.days_to_heat(emergence_rules.course_yin(hours, reference.constants("emergence").beta_days), 1.0)
        days[mean] = sorted(float(d) for d in (ohio, kenya, peak))
    assert days[20.0][-1] / days[20.0][0] < 1.5
    assert days[12.0][-1] / days[12.0][0] > 2


def test_errors_of_heat():
    with pytest.raises(ImpossibleValue, match="cap_degc - base_degc"):
        heat_sum.heat_in_hour(15, 10, 10)
    with pytest.raises(ValueError, match="hours along its last axis"):
        heat_sum.heat_course(15.0, 10, 30)
    with pytest.raises(ValueError, match="hours along its last axis"):
        heat_sum.days_to_heat(3.0, 2.0)
    with pytest.raises(ValueError, match="hours along its last axis"):
        emergence_rules.course_yin(15.0, 3.3)
    with pytest.raises(ImpossibleValue, match="field_capacity_share - wilting_share"):
        heat_sum.moisture_to_germinate(0.1, 0.2)
    with pytest.raises(ImpossibleValue, match="heat at the share"):
        emergence.heat_at_share(5, 0.01, 20)
    with pytest.raises(ImpossibleValue, match="heat with all terms"):
        emergence_rules.heat_needed_base_10(10, 5, 0, -1, 0)


def test_suction_outside_the_measured_is_said():
    with pytest.warns(OutsideCalibration, match="suction_kpa"):
        emergence_rules.heat_to_germinate_itabari(100)


def test_more_plants_than_seeds_are_said():
    with pytest.warns(OutsideCalibration, match="emerged_of_sown"):
        assert stand.emerged_of_sown(95_000, 90_000) > 1


def test_an_empty_row():
    assert stand.count_low(0, 0.95) == 0
    assert stand.count_high(0, 0.95) == pytest.approx(-np.log(0.025))
    assert stand.unit_ratio([0, 70, 70], 10)[0] == 0
    found = counts.rate_ratio(10, 10, 0, 10)
    assert np.isinf(found.ratio)
    assert np.isinf(found.high)
    assert counts.rate_ratio(0, 10, 10, 10).low == 0
    assert counts.unit_stands([[0, 60, 70], [1, 70, 65]], 10).is_low.tolist()[0]


def test_lengths_may_differ():
    assert stand.unit_ratio([35, 70, 70], [5, 10, 10]).tolist() == [1.0, 1.0, 1.0]
    assert stand.unit_cv([35, 70, 70], [5, 10, 10]) == 0
    assert counts.dispersion([35, 70, 70], [5, 10, 10]).index == 0
    assert counts.between_units([35, 70, 70], [5, 10, 10]) == 0
    assert stand.unit_ratio(np.full((4, 6), 70.0), 10).shape == (4, 6)


def test_stands_too_small_to_speak():
    with pytest.raises(ImpossibleValue, match="row units"):
        stand.unit_ratio([70], 10)
    with pytest.raises(ImpossibleValue, match="blocks"):
        counts.unit_stands([[70, 71]], 10)
    with pytest.raises(ImpossibleValue, match="plants \\+ other_plants"):
        counts.rate_ratio(0, 10, 0, 10)
    with pytest.raises(ValueError, match="blocks by units"):
        counts.unit_stands([70, 71], 10)
    with pytest.raises(ValueError, match="row of counts"):
        counts.dispersion([[70, 71]], 10)
    with pytest.raises(ImpossibleValue, match="distance to the next plant"):
        stand.spacing_sd_cm([0, 20, 10])


def test_course_of_emergence_needs_rising_counts():
    with pytest.raises(ImpossibleValue, match="new plants"):
        stand_course.day_of_share([10, 8], [10, 13], 0.5)
    with pytest.raises(ImpossibleValue, match="days between counts"):
        stand_course.day_of_share([8, 10], [13, 13], 0.5)
    with pytest.raises(ImpossibleValue, match="all plants"):
        stand_course.mean_emergence_days([0, 0], [10, 13])
    with pytest.raises(ValueError, match="last axis"):
        stand_course.emergence_rate_index(3, 10)
    assert np.isnan(stand_course.day_of_share([50, 70], [10, 13], 0.5))
    assert stand_course.day_of_share([[10, 50, 70], [20, 60, 60]], [10, 13, 17], 0.9).shape == (2,)


def test_day_is_fit_only_where_all_hold():
    fit = workable.day_is_fit([0.15, 0.25, 0.15, 0.15], 0.20, [0, 0, 5, 0], 2, [5, 5, 5, -6], -2)
    assert fit.tolist() == [1, 0, 0, 0]


def test_from_weather_to_fit_days_of_weeks():
    """Six invented springs of four weeks: dry from the balance of the top layer, counted by week."""
    random = np.random.default_rng(6)
    rain = np.where(random.random((6, 28)) < 0.3, random.exponential(6, (6, 28)), 0)
    course = drying.dry_down(drying.Ground(18, 8), np.full(28, 2.5), rain, 0.15, 1.2)
    moisture = top_layer.layer_moisture(0.25, course.depletion_mm, 0.1)
    rules = reference.constants("fit_days")
    fit = workable.day_is_fit(moisture, 0.20, rain, rules.rain_limit_mm, 5, rules.frost_degc)
    weeks = fit_days.fit_days_of_weeks(fit)
    assert weeks.shape == (6, 4)
    assert weeks.sum() == fit.sum() > 0
    sure = fit_days.week_days_with_chance(weeks, 0.8)
    assert (sure <= np.median(weeks, axis=0)).all()
    low, high = fit_days.fit_share_range(fit, 0.9)
    assert low < fit_days.share_of_fit_days(fit) < high
    assert fit_days.stay_of_fit_days(fit) > fit_days.share_of_fit_days(fit)  # spells


def test_series_that_say_nothing():
    with pytest.raises(ImpossibleValue, match="days after a fit day"):
        fit_days.stay_of_fit_days([[0, 0, 0, 1]])
    with pytest.raises(ValueError, match="each 0 or 1"):
        fit_days.share_of_fit_days([0.5, 1])
    with pytest.raises(ImpossibleValue, match="full weeks"):
        fit_days.fit_days_of_weeks([0, 1, 1])
    with pytest.raises(ImpossibleValue, match="fit_share"):
        spells.effective_days(30, 1, 1)
    with pytest.raises(ValueError, match="years by weeks"):
        fit_days.week_days_with_chance([3, 4], 0.8)
    assert fit_days.fit_share_range([1, 1, 1, 1], 0.95)[1] == 1
    assert fit_days.stay_of_fit_days([[0, 1], [1, 1]]) == 1  # the end of one year is not joined to the next


def test_residue_samples_too_few_to_speak():
    with pytest.raises(ImpossibleValue, match="samples"):
        residue_samples.am_standard_error([1000], [0.3])
    with pytest.raises(ImpossibleValue, match="sum of squared masses"):
        residue_samples.am_from_samples([0, 0], [0, 0])
    with pytest.raises(ValueError, match="last axis"):
        residue_samples.am_from_samples(1000, 0.3)
    assert residue_samples.am_from_samples([[1000, 2000], [1500, 2500]], [[0.3, 0.5], [0.4, 0.6]]).shape == (2,)


def test_frost_and_heat_stop_decay():
    assert residue_weather.warmth_weight([-5, 0, 60]).tolist() == [0, 0, 0]
    assert residue_weather.wetness_weight(0.4, 0.25) == 1
    assert residue_weather.weather_days([0.5, 0.5], 0.2) == pytest.approx(0.4)
    with pytest.raises(ValueError, match="last axis"):
        residue_weather.weather_days(0.5, 0.2)


@pytest.mark.parametrize("rule", [*reference.load("maize_emergence"), "yin"])
def test_one_name_serves_all_rules(rule):
    hours = np.full((3, 24 * 60), 15.0) + np.array([[0.0], [1.0], [2.0]])
    days = emergence.days_by_rule(hours, rule, depth_cm=5.0)
    assert days.shape == (3, 3)
    assert (np.diff(days, axis=0) > 0).all()  # one in ten before half before nine in ten
    assert (np.diff(days, axis=1) < 0).all()  # the warmer the sooner
    assert np.isinf(emergence.days_by_rule(hours, rule, moist=0.0)).all()
    held_up = np.ones(24 * 60)
    held_up[:48] = 0
    np.testing.assert_allclose(emergence.days_by_rule(hours, rule, moist=held_up), days + 2)


def test_terms_count_in_their_own_rules():
    hours = np.full(24 * 60, 16.0)
    middle = lambda rule, **terms: float(emergence.days_by_rule(hours, rule, **terms)[1])  # noqa: E731
    assert middle("wisconsin", depth_cm=8.0) > middle("wisconsin")
    assert middle("wisconsin", dry=1.0) > middle("wisconsin") > middle("wisconsin", fine=-1.0)
    assert middle("itabari", drier_share=0.03) > middle("itabari") == middle("itabari", dry=1.0)
    assert middle("yin", depth_cm=8.0) == middle("yin")
    with pytest.raises(ValueError, match="it may be iowa, purdue"):
        emergence.days_by_rule(hours, "moon")


def test_longest_spell_is_counted_within_a_year():
    assert fit_days.longest_spell([[0, 1, 1, 0, 1], [1, 1, 0, 0, 0]]).tolist() == [2, 2]
    assert fit_days.longest_spell([[0, 0, 0]]).tolist() == [0]


PAGE = (Path(__file__).parents[2] / "docs" / "how" / "emergence.md").read_text("utf-8")
WORDS = " ".join(PAGE.split())
RULES = ("ohio_soil", "wisconsin", "iowa", "itabari", "curve with a peak")


def soil(mean: float) -> np.ndarray:
    return mean + 5 * np.sin(2 * np.pi * np.arange(24 * 90) / 24)


@pytest.mark.parametrize("rule", RULES)
def test_days_of_the_page(rule):
    line = next(line for line in PAGE.splitlines() if line.startswith((f"| {rule}", f"| `{rule}` ")))
    base, *days = (float(cell) for cell in line.strip("|").split("|")[1:])
    key = "yin" if rule.startswith("curve") else rule
    own = reference.constants("emergence").beta_low_degc
    assert base == (own if key == "yin" else reference.load("maize_emergence")[rule].entry("base_degc").value)
    for mean, said in zip((12, 15, 20), days, strict=True):
        assert round(float(emergence.days_by_rule(soil(mean), key)[1]), 1) == said


def test_numbers_of_the_page():
    constants = reference.constants("emergence")
    days = emergence.days_by_rule(soil(15), "wisconsin")
    low, high = (float(f(70, 0.95)) for f in (stand.count_low, stand.count_high))
    under, over = (100 * float(f(280, 0.95)) / 280 - 100 for f in (stand.count_low, stand.count_high))
    rows = np.array([1, 1, 1, 0.58, 1, 1])
    for words in (
        f"{float(heat_sum.heat_course(12 + (soil(0) * 4 / 5)[:24], 10, 30)[-1]):.2f} degC d over 10",
        f"({constants.deep_heat:.1f} degC d for each cm below {constants.deep_from_cm:.0f} cm)",
        f"nine in ten an even stand takes {constants.spread_heat} degC d",
        f"up after about {days[0]:.0f}, {days[1]:.0f} and {days[2]:.0f} days",
        f"75 cm are {float(stand.plants_per_ha(70, 10, 0.75)):,.0f}".replace(",", " "),
        f"anything from {low:.0f} to {high:.0f}",
        f"from {-under:.0f} % under to {over:.0f} % over",
        f"looks {100 * (1 - rows[2:4].mean()):.0f} % worse; over all six rows it is {100 * (1 - rows.mean()):.0f} %",
    ):
        assert words in WORDS, words
