"""Drying and fit days of a plan, from its weather file on, held against worked examples and other ways to reckon."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate.water.reference_days import reference_days
from spadework.plan import read, read_text
from spadework.plan.weather.day_hours import day_hours
from spadework.science.seedbed.water.reference_et import reference_et_from_weather
from spadework.science.seedbed.water.store import chance_behind_count, fit_days_of_springs
from spadework.science.seedbed.water.vapour import vapour_saturation, wind_2_m_over_grass

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")


def test_a_day_in_lyon_out_of_a_weather_file(check, tmp_path):
    """Mid of July, air from 14.8 to 26.6 degC, wind 2 m/s, neither light nor moisture measured."""
    hours = ["time,air_temperature_degc,wind_m_s"]
    for hour in range(24):
        air = 20.7 - 5.9 * np.cos((hour - 3) / 12 * np.pi)
        hours.append(f"2013-07-15T{hour:02d}:00+02:00,{air:.6f},2.0")
    (tmp_path / "lyon.csv").write_text("\n".join(hours) + "\n")
    text = DEMO.replace('"weather.csv"', '"lyon.csv"').replace("2013-04-17T09", "2013-07-15T08")
    for old, new in (
        ("latitude = 45.0", "latitude = 45.717"),
        ('altitude = "250 m"', 'altitude = "200 m"'),
        ('wind_height = "10 m"', 'wind_height = "2 m"'),
    ):
        assert old in text
        text = text.replace(old, new)
    plan = read_text(text, "plan.toml", tmp_path)
    found = reference_days(plan, day_hours(plan), np.array([0]))
    source = "FAO-56 (1998), example 20; recalled"
    check(
        "evaporation of grass in Lyon, July, no light measured",
        source,
        4.56,
        found.et_mm[0],
        0.005,
        unit="mm",
        kind="memory",
    )
    assert any("no light was measured" in note for note in found.notes)


def test_hours_add_up_to_the_day(check):
    plan = read(FOLDER / "plan.toml")
    days = day_hours(plan)
    rows = np.arange(len(days.dates))
    hours = reference_days(plan, days, rows).et_mm
    of_year = np.array([date.timetuple().tm_yday for date in days.dates], dtype=float)
    day = reference_et_from_weather(
        days.air_degc.max(axis=1), days.air_degc.min(axis=1), 45.0, of_year, 250,
        0.0036 * days.light_w_m2.sum(axis=1), (days.humidity_share * vapour_saturation(days.air_degc)).mean(axis=1),
        wind_2_m_over_grass(days.wind_m_s, 10).mean(axis=1),
    )  # fmt: skip
    source = "FAO-56 (1998), equation 6 by the day on the same weather, against equation 53 summed over its hours"
    check(
        "evaporation of grass, four months by hours over by days", source, 1.0, hours.sum() / day.sum(), 0.01, unit="1",
        kind="computed", note=f"{len(rows)} days of the demo's weather; the hours take their clouds from the whole day",
    )  # fmt: skip
    assert np.corrcoef(hours, day)[0, 1] > 0.98


def _by_hand(capacity, total, readily, layer, cover, limit, et, rain, cold):
    """Return fit days by the numbers of FAO-56 written out, one day after the other."""
    fit, lacks = [], 0.0
    for thirst, fallen, low in zip(et, rain, cold, strict=True):
        lacks = max(lacks - fallen, 0.0)
        state = 1.0 if lacks <= readily else (total - lacks) / (total - readily)
        lacks += min((1 - 0.5 * cover) * state * (1.2 - 0.15) * thirst, total - lacks)
        moisture = capacity - lacks / (1000 * layer)
        fit.append(float(moisture < limit and fallen < 2 and low >= -2))
    return fit


@pytest.mark.parametrize("limit", [0.15, 0.19, 0.23])
def test_fit_days_by_hand(check, limit):
    random = np.random.default_rng(8)
    et = random.uniform(0.5, 5, (6, 60))
    rain = np.where(random.random((6, 60)) < 0.35, random.exponential(5, (6, 60)), 0)
    cold = random.normal(3, 4, (6, 60))
    soil = (0.25, 19.0, 9.0, 0.1, 0.7, limit)
    theirs = [_by_hand(*soil, *row) for row in zip(et, rain, cold, strict=True)]
    ours = fit_days_of_springs(*soil, et, rain, cold)
    assert ours.tolist() == theirs
    check(
        f"fit days of 360 below {limit:g} by volume", "Worked apart from our code, day by day from FAO-56 equations 71 to 77",
        float(np.sum(theirs)), float(ours.sum()), 0.5, unit="d", kind="computed",
    )  # fmt: skip


@pytest.mark.parametrize(("counted", "days"), [(0.5, 24), (0.1, 10), (0.95, 100)])
def test_chance_behind_a_count(check, counted, days):
    from scipy.stats import beta

    for u in (0.025, 0.5, 0.975):
        theirs = beta.ppf(u, counted * days + 0.5, (1 - counted) * days + 0.5)
        check(
            f"quantile {u:g} of the chance behind {counted * days:g} of {days}", "scipy.stats.beta, Jeffreys' prior", theirs,
            chance_behind_count(u, counted, days), 1e-9, unit="1", kind="computed",
        )  # fmt: skip
