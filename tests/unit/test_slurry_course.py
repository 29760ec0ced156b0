"""Errors, shapes and edges of the ammonia course."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, ImpossibleValue, OutsideCalibration, collecting
from spadework.reference import load
from spadework.science.slurry import course_field, course_hafner, course_sogaard
from spadework.science.slurry.course_field import (
    ammonia_two_pool_hafner,
    courses_from_every_hour,
    field_mean_loss,
    loss_of_strip,
)
from spadework.science.slurry.course_hafner import hafner_f0, hafner_r2, two_pool_step
from spadework.science.slurry.course_sogaard import loss_in_weather_sogaard, loss_incorporated_sogaard, sogaard_nmax
from spadework.working import equations

MILD = np.full(24, 13.0), np.full(24, 2.7), np.zeros(24)
SLURRY = 0.35, 0.115, 0.0006


def test_a_loss_above_all_of_it_is_one_and_says_so() -> None:
    case = 35, 8, 0.10, 0.5, 10, 1.102, 1, 1, 11.3, 1
    with collecting() as notes:
        assert sogaard_nmax(*case) == 1
    assert [note.high for note in notes] == [1]
    assert notes[0].found_high > 1
    with pytest.warns(OutsideCalibration, match="taken as 1 where above"):
        sogaard_nmax(*case)


@pytest.mark.parametrize("row", ["refused_nmax_closed_slot", "refused_r1_crop_height_shoe"])
def test_refused_terms_stand_in_the_table_under_another_name(row: str) -> None:
    table = load("ammonia_sogaard" if "nmax" in row else "ammonia_hafner")
    assert "not used" in table[row].text("note")
    assert row.removeprefix("refused_") not in table
    used = {key for said in equations().values() for key in said.entries()}
    assert row not in used


@pytest.mark.parametrize("name", ["ammonia_sogaard", "ammonia_hafner"])
def test_every_recalled_row_says_how_sure_it_is(name: str) -> None:
    for key, row in load(name).items():
        if row.citation("value").standing == "memory":
            assert row.text("note").startswith("confidence "), key
            assert "verified no" in row.text("note"), key


def test_every_public_function_has_a_formula() -> None:
    for module in course_sogaard, course_hafner, course_field:
        for name in module.__all__:
            assert getattr(module, name) in equations(), name


@pytest.mark.parametrize(
    ("bad", "name"),
    [
        (lambda: ammonia_two_pool_hafner(np.full(3, 90.0), *(w[:3] for w in MILD[1:]), *SLURRY), "temperature_degc"),
        (lambda: ammonia_two_pool_hafner(MILD[0], -MILD[1], MILD[2], *SLURRY), "wind_m_s"),
        (lambda: ammonia_two_pool_hafner(*MILD, 1.2, 0.1, 0.001), "fast_share"),
        (lambda: ammonia_two_pool_hafner(*MILD, *SLURRY, 0.001, 0.5, -1), "delay_h"),
        (lambda: ammonia_two_pool_hafner(*MILD, *SLURRY, 0.001, 0.5, np.nan), "delay_h"),
        (lambda: ammonia_two_pool_hafner([], [], [], *SLURRY), "hours of weather"),
        (lambda: hafner_f0(40, 6, 0, 0, 0), "dry_matter_share"),
        (lambda: hafner_r2(-1), "rain_mm_h"),
        (lambda: two_pool_step(0.5, 0.5, 0.1, 0.1, 0.1, -1), "time_h"),
        (lambda: loss_in_weather_sogaard([0.5, 1.1], 2), "nmax_share"),
        (lambda: loss_incorporated_sogaard(0.5, 0, 1, 0.9), "half_time_h"),
        (lambda: loss_incorporated_sogaard(0.5, 2, -1, 0.9), "delay_h"),
        (lambda: loss_of_strip(0.1, 0.2, 0.3, 0.7, 0.4), "open_share \\+ overflow_share"),
        (lambda: courses_from_every_hour([1, 2, 3], 4), "course_h"),
        (lambda: field_mean_loss(lambda delay: delay, 0.5, 4, 1, 0), "area_ha"),
    ],
)
def test_impossible_values_are_named(bad: object, name: str) -> None:
    with pytest.raises(ImpossibleValue, match=f"`{name}`"):
        bad()  # type: ignore[operator]


def test_shapes_broadcast() -> None:
    draws = np.linspace(0.1, 0.9, 5)[:, None]
    fan = [courses_from_every_hour(np.tile(w, 2), 24) for w in MILD]
    assert ammonia_two_pool_hafner(*MILD, *SLURRY).shape == ()
    assert ammonia_two_pool_hafner(*MILD, *SLURRY, whole_course=True).shape == (24,)
    assert ammonia_two_pool_hafner(*fan, draws, 0.1, 0.001).shape == (5, 25)
    assert ammonia_two_pool_hafner(*fan, draws, 0.1, 0.001, whole_course=True).shape == (5, 25, 24)
    assert ammonia_two_pool_hafner(*fan, draws, 0.1, np.full((3, 1, 1), 0.001)).shape == (3, 5, 25)
    assert ammonia_two_pool_hafner(13.0, MILD[1], 0.0, *SLURRY).shape == ()
    assert loss_in_weather_sogaard(np.full((4, 24), 0.5), 2).shape == (4, 24)


def test_pieces_are_the_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    random = np.random.default_rng(1)
    weather = random.uniform(5, 25, (1, 7, 30)), random.uniform(0, 8, (3, 1, 30)), random.uniform(0, 1, 30)
    slurry = random.uniform(0, 1, (5, 1, 1)), random.uniform(0, 1, (3, 7)), random.uniform(0, 0.01, (5, 1, 1))
    delay = random.uniform(0, 40, (5, 3, 7))
    for whole_course in False, True:
        at_once = ammonia_two_pool_hafner(*weather, *slurry, 0.0001, 0.2, delay, whole_course=whole_course)
        with monkeypatch.context() as patch:
            patch.setattr(course_field, "_AT_ONCE", 4)
            pieces = ammonia_two_pool_hafner(*weather, *slurry, 0.0001, 0.2, delay, whole_course=whole_course)
        np.testing.assert_allclose(pieces, at_once, rtol=0, atol=1e-13)


def test_fast_soaked_in_loss_is_brought_back_often_enough() -> None:
    """Rates of soaked-in slurry at the end of what is allowed, and equal to those of open slurry."""
    hours = np.full(168, 13.0), np.full(168, 2.7), np.zeros(168)
    for r1, r3 in (0.5, 10.0), (10 - float(hafner_r2(0)), 10.0), (1000.0, 0.0), (0.0, 0.0):
        fast, slow = two_pool_step(0.4, 0.6, r1, hafner_r2(0), r3, 5)
        ours = ammonia_two_pool_hafner(*(w[:5] for w in hours), 0.4, r1, r3)
        assert ours == pytest.approx(float(1 - fast - slow), abs=1e-12)
        week = ammonia_two_pool_hafner(*hours, 0.4, r1, r3)
        assert float(ours) - 1e-12 <= float(week) <= 1


def test_covering_at_the_edges_of_an_hour() -> None:
    def at(delay: float) -> float:
        return float(ammonia_two_pool_hafner(*MILD, *SLURRY, 0.0001, 0.1, delay))

    assert at(5) == pytest.approx(at(5 - 1e-9), abs=1e-8)
    assert at(5) == pytest.approx(at(5 + 1e-9), abs=1e-8)
    assert at(24) == at(100) == at(np.inf) == float(ammonia_two_pool_hafner(*MILD, *SLURRY))


def test_a_passed_top_adds_nothing_and_none_at_all_is_none() -> None:
    course = loss_in_weather_sogaard([0.8, 0.1, 0.0, 0.8], 0.5)
    assert course[0] == course[1] == course[2] < course[3]
    assert loss_in_weather_sogaard(np.zeros(3), 1).tolist() == [0, 0, 0]


def test_the_outfit_behind_waits() -> None:
    """With the coverer four times as fast the delay is nought from a third of a hectare on."""
    seen: list[FloatArray] = []

    def loss(delay: FloatArray) -> FloatArray:
        seen.append(delay)
        return np.where(delay > 0, 1.0, 0.0)

    mean = field_mean_loss(loss, 0.25, 1.0, 4.0, [1.0, 2.0])
    assert mean == pytest.approx([1 / 3, 1 / 6])
    assert min(d.min() for d in seen) == 0


def test_field_mean_takes_losses_that_vary_by_draw() -> None:
    tops = 0.2, 0.4, 0.8

    def mean(top: ArrayLike, lag: ArrayLike) -> FloatArray:
        return field_mean_loss(lambda delay: loss_incorporated_sogaard(top, 2.5, delay, 0.9), lag, 4.0, 1.2, 6.0)

    one_by_one = [float(mean(top, 0.5)) for top in tops]
    np.testing.assert_allclose(mean(np.array(tops), [0.5]), one_by_one, rtol=1e-12)
