"""Ammonia hour by hour over an estimate: places of the field, ways of placing.  Figures are invented."""

from __future__ import annotations

import datetime as dt
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from spadework.estimate import Estimate, estimate
from spadework.estimate.chain import Chain
from spadework.estimate.slurry.course_models import (
    COURSE_H,
    MODELS,
    Air,
    Strength,
    course_of,
    lying,
    standing_words,
)
from spadework.estimate.slurry.courses import (
    Courses,
    air_of,
    ammonia_courses,
    field_course,
    job_of,
    kept,
    weather_ahead,
)
from spadework.plan import PlanFaults, read_text
from spadework.reference import constants
from spadework.science.slurry import (
    ammonia_two_pool_hafner,
    hafner_f0,
    hafner_f4,
    hafner_r1_centre,
    hafner_r3,
    loss_incorporated_sogaard,
    loss_michaelis_menten_sogaard,
    sogaard_half_time,
    sogaard_nmax,
)

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
PLOUGH, CULTIVATOR, STRIP, INJECTOR = range(4)
FILE = 'file = "weather.csv"\nstart = 2013-04-17T09:00:00+02:00   # a day of the typical year in the file\nhours = 10'
TYPICAL = 'air_temperature = "14 degC"\nwind = "3 m/s"'
SLURRY = Strength(0.06, 2.0, 7.4, 30.0, "cattle")
Changed = dict[str, str]


def made(changes: Changed | None = None, draws: int = 60, seed: int = 1) -> Estimate:
    text = DEMO
    for old, new in (changes or {}).items():
        assert old in text, old
        text = text.replace(old, new)
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws, seed=seed)


def job(found: Estimate, system: int, points: int = 6) -> Any:
    return job_of(found, Chain(found.read), system, kept(found.draws, 400), points)


def steady(hours: int = COURSE_H, temperature: float = 14.0, wind: float = 3.0) -> Air:
    return Air(np.full(hours, temperature), np.full(hours, wind), np.zeros(hours))


@pytest.fixture(scope="module")
def known() -> Estimate:
    return made()


@pytest.fixture(scope="module")
def courses(known: Estimate) -> Courses:
    return ammonia_courses(known)


def test_every_system_and_every_hour(known: Estimate, courses: Courses) -> None:
    assert courses.systems == (PLOUGH, CULTIVATOR, STRIP, INJECTOR)
    assert (courses.hours, courses.draws) == (168, 60)
    assert set(courses.by_model) == {
        *(("two pools", s) for s in courses.systems), *(("saturation", s) for s in (PLOUGH, CULTIVATOR, INJECTOR))
    }  # fmt: skip
    for found in courses.by_model.values():
        assert found.shape == (60, 169)
        assert (found[:, 0] == 0).all()
        assert (np.diff(found, axis=1) >= -1e-12).all()
        assert (found <= 1).all()
        assert (found[:, -1] > 0).all()
    for s in courses.systems:
        np.testing.assert_array_equal(courses.totals[s], known.values("placing_loss", s))


def test_what_the_reader_is_told(courses: Courses) -> None:
    said = " ".join(courses.notes)
    assert "no rain in the file: counted as none" in said
    assert "no such curve for strip" in said
    assert "[memory]" in said
    assert "6 places stand for the field" in said
    assert "draws, evenly spaced" not in said
    assert "evenly spaced" in " ".join(ammonia_courses(made(draws=500)).notes)
    assert [standing_words(model).partition(":")[0] for model in MODELS] == ["two pools", "saturation"]


def test_same_seed_same_numbers(courses: Courses) -> None:
    again, other = ammonia_courses(made()), ammonia_courses(made(seed=2))
    for key, found in courses.by_model.items():
        np.testing.assert_array_equal(found, again.by_model[key])
        assert not np.array_equal(found, other.by_model[key])


def test_kept_draws_are_evenly_spaced_and_settle_nothing_else() -> None:
    assert kept(2_000, 400).tolist() == list(range(0, 2_000, 5))
    assert ammonia_courses(made(draws=1)).draws == 1


def test_few_places_are_near_many(known: Estimate) -> None:
    series, begin = weather_ahead(known)
    air = air_of(series, begin, COURSE_H)
    for model in MODELS:
        for system in (PLOUGH, CULTIVATOR, INJECTOR):
            few = field_course(model, air, job(known, system))
            many = field_course(model, air, job(known, system, 32))
            assert few is not None
            assert many is not None
            assert abs(float(np.mean(few[:, -1]) - np.mean(many[:, -1]))) < 0.002


def test_the_mean_over_the_field_is_the_sum_of_its_places(known: Estimate) -> None:
    one = job(known, PLOUGH)
    np.testing.assert_allclose(one.places.weight.sum(axis=0), 1, rtol=1e-12)
    assert len(one.places.shift_h) == len(one.places.weight) == len(one.places.delay_h)
    air = steady()
    total = np.zeros(60)
    for place, shift in enumerate(one.places.shift_h):
        here = Air(*(values[shift:] for values in air))
        lost = course_of(
            "two pools", here, Strength(*(_column(v) for v in _numbers(one.slurry)), word="cattle"), one.lies, one.cover,
            one.places.delay_h[place][:, None] * np.ones((1, 1)), 0.0, whole=False,
        )  # fmt: skip
        assert lost is not None
        total += one.places.weight[place] * lost[:, 0]
    found = field_course("two pools", air, one)
    assert found is not None
    np.testing.assert_allclose(found[:, -1], total, rtol=1e-9)


def _numbers(slurry: Strength) -> tuple[Any, ...]:
    return slurry.dry_matter_share, slurry.tan_kg_t, slurry.ph, slurry.dose_t_ha


def _column(values: Any) -> Any:
    array = np.asarray(values, dtype=float)
    return array[:, None] if array.ndim else array


def test_start_together_or_hours_apart() -> None:
    ends = [
        ammonia_courses(made({'after = "1 h"': f'after = "{after}"'})).by_model[model, PLOUGH][:, -1].mean()
        for model in MODELS
        for after in ("0 h", "1 h", "6 h", "30 h")
    ]
    assert ends[0] < ends[1] < ends[2] < ends[3]
    assert ends[4] < ends[5] < ends[6] < ends[7]


def test_a_fast_outfit_that_catches_up_waits(known: Estimate) -> None:
    """Where covering outruns spreading, places behind the point of catching up are covered at once."""
    quick = made({'area = "9.6 ha"': 'area = "40 ha"', 'after = "0.5 h"': 'after = "1 h"'})
    slow = job(quick, CULTIVATOR)
    assert (slow.places.delay_h > 0).all()  # the cultivator is the slower of the two here
    sheet = quick.sheet
    sheet.figures["cover_rate"].values[:] *= 10
    found = job(quick, CULTIVATOR)
    np.testing.assert_allclose(found.places.weight.sum(axis=0), 1, rtol=1e-12)
    assert (found.places.delay_h[6:] == 0).all()
    assert (found.places.delay_h[:6] > 0).all()
    assert field_course("two pools", steady(), found) is not None


def test_a_system_without_covering_has_no_covering_effect(known: Estimate) -> None:
    one = job(known, STRIP)
    assert (one.cover, np.isinf(one.places.delay_h).all()) == ("", True)
    later = made({'after = "1 h"': 'after = "20 h"'})
    np.testing.assert_array_equal(
        ammonia_courses(known).by_model["two pools", STRIP], ammonia_courses(later).by_model["two pools", STRIP]
    )


def test_slurry_that_shows_on_the_strip_loses_more() -> None:
    ends = []
    for shown in ("0 %", "10 %", "100 %"):
        found = made({'visible_slurry = "2 +/- 1 %"': f'visible_slurry = "{shown}"'})
        ends.append(ammonia_courses(found).by_model["two pools", STRIP][:, -1].mean())
    assert ends[0] < ends[1] < ends[2]
    assert ends[1] == pytest.approx(0.9 * ends[0] + 0.1 * ends[2], rel=1e-9)


def test_hot_and_windy_hours_lose_more(known: Estimate) -> None:
    for system in (PLOUGH, CULTIVATOR, STRIP):
        one = job(known, system)
        cold, hot, windy = (field_course("two pools", steady(COURSE_H, *w), one) for w in ((5, 2), (25, 2), (5, 6)))
        assert cold is not None
        assert hot is not None
        assert windy is not None
        assert (hot[:, -1] > cold[:, -1]).all()
        assert (windy[:, -1] > cold[:, -1]).all()


def test_a_typical_hour_is_constant_weather() -> None:
    found = ammonia_courses(made({FILE: TYPICAL}))
    assert (found.hours, found.start) == (168, None)
    assert "one typical hour stands for the whole course" in " ".join(found.notes)


def test_a_file_that_ends_early_ends_the_course() -> None:
    late = made({"2013-04-17T09": "2013-04-28T09"})
    found = ammonia_courses(late)
    assert found.hours == 24 * 3 - 9 + 2  # until midnight UTC at the end of April, from 9 at UTC+2
    assert f"ends {found.hours} h after the start of spreading" in " ".join(found.notes)


def test_what_the_models_do_not_take_is_a_fault() -> None:
    found = made(draws=2)
    found.sheet.figures["dry_matter"].values[:] = 0.5
    with pytest.raises(PlanFaults, match=r"do not take this weather or slurry: `dry_matter_share` is 0\.5"):
        ammonia_courses(found)


@pytest.mark.parametrize("model", list(MODELS))
@pytest.mark.parametrize("delay", [0.0, 0.4, 3.0, 7.25, 200.0, np.inf])
def test_constant_weather_is_the_science_function(model: str, delay: float) -> None:
    air, way = steady(), lying("trailing_hose")
    cover = "plough_at_once"
    lost = course_of(model, air, SLURRY, way, cover, delay, 0.9, whole=False)
    assert lost is not None
    if model == "two pools":
        k = constants("ammonia_hafner")
        theirs = ammonia_two_pool_hafner(
            *air, hafner_f0(30, 0.06, 0, 0, 0), hafner_r1_centre(0.06, 7.4, 0), hafner_r3(7.4, 0, 0),
            hafner_r3(7.4, 0, k.r3_deep), hafner_f4(k.f4_deep), delay,
        )  # fmt: skip
    else:
        k = constants("ammonia_sogaard")
        top = sogaard_nmax(14, 3, 0.06, 2, 30, 1, 1, k.nmax_trailing_hose, k.nmax_not_incorporated, k.nmax_mass_balance)
        half = sogaard_half_time(14, 3, 0.06, 2, 30, 1, 1)
        theirs = loss_michaelis_menten_sogaard(top, half, 168)
        if delay < 168:
            gone = loss_michaelis_menten_sogaard(top, half, delay)
            theirs = gone + (theirs - gone) * 0.1
            in_the_end = loss_incorporated_sogaard(top, half, delay, 0.9)
            assert float(lost) <= float(in_the_end)
    assert float(lost) == pytest.approx(float(theirs), rel=1e-9)


@pytest.mark.parametrize("model", list(MODELS))
def test_later_covering_saves_no_more(model: str) -> None:
    delays = np.linspace(0, 170, 341)
    lost = course_of(model, steady(), SLURRY, lying("broadcast"), "non_inversion_at_once", delays, 0.7, whole=False)
    assert lost is not None
    assert (np.diff(lost) >= -1e-12).all()


def test_what_ways_of_placing_are_to_the_models() -> None:
    assert lying("open_slot").saturation == "open_slot"
    assert course_of("saturation", steady(), SLURRY, lying("deep_closed"), "", np.inf, 0.0) is None
    at_once = course_of("two pools", steady(), SLURRY, lying("non_inversion_at_once"), "", np.inf, 0.0, whole=False)
    by_name = course_of(
        "two pools", steady(), SLURRY, lying("broadcast"), "non_inversion_at_once", 0.0, 0.0, whole=False
    )
    assert at_once == by_name


def test_a_longer_field_is_told() -> None:
    wide = made({'area = "9.6 ha"': 'area = "40 ha"'})
    assert any("worked through without a night" in note for note in ammonia_courses(wide).notes)
    assert wide.plan.weather.start == dt.datetime(2013, 4, 17, 9, tzinfo=dt.timezone(dt.timedelta(hours=2)))
