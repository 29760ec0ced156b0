"""Time study: what must not matter does not, and times add up."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.science.machinery.log.direction import course, direction_strength, main_direction, off_direction
from spadework.science.machinery.log.passes import passes_of
from spadework.science.machinery.log.position import even_track, span_needed, speed_scatter, usable_positions
from spadework.science.machinery.log.sums import rate_on_field, time_efficiency
from spadework.science.machinery.log.time_study import STATES, Work, find_work, times_of_states, track_of
from tracks_made import Made, day_of_work, rectangle

few = settings(max_examples=8, deadline=None)


def number(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


def worked(made: Made, *, tools: bool = False) -> Work:
    return find_work(track_of(made.time_s, made.east_m, made.north_m, 0, made.tools if tools else None), 6.0)


def states(work: Work) -> list[float]:
    return times_of_states(work, work.begin_s, work.end_s).tolist()


def turned(made: Made, angle_deg: float) -> Made:
    angle = np.radians(angle_deg)
    east = made.east_m * np.cos(angle) + made.north_m * np.sin(angle)
    north = made.north_m * np.cos(angle) - made.east_m * np.sin(angle)
    return Made(
        made.time_s, east, north, made.tools, made.working_s, made.turning_s, made.turns, made.runs, made.area_ha
    )


def backwards(made: Made) -> Made:
    return Made(
        made.time_s[-1] - made.time_s[::-1], made.east_m[::-1], made.north_m[::-1], made.tools[::-1],
        made.working_s, made.turning_s, made.turns, made.runs, made.area_ha,
    )  # fmt: skip


@few
@given(angle=number(0, 360), seed=st.integers(0, 99), tools=st.booleans(), noise=st.sampled_from([0.0, 0.02, 0.5]))
def test_where_north_is_does_not_matter(angle, seed, tools, noise):
    made = rectangle(300, 48, 6, 9, 22, noise_m=noise, seed=seed, loop=True, stop_in_run=(3, 40.0))
    here, there = worked(made, tools=tools), worked(turned(made, angle), tools=tools)
    assert states(there) == pytest.approx(states(here), abs=1e-3)
    assert [one.moving_s for one in there.turns] == pytest.approx([one.moving_s for one in here.turns], abs=1e-3)
    assert float(off_direction(there.direction_deg, here.direction_deg + angle)) == pytest.approx(0, abs=1e-6)
    for one, two in zip(passes_of(here), passes_of(there), strict=True):
        assert two.length_m == pytest.approx(one.length_m, abs=1e-3)


@few
@given(seed=st.integers(0, 99), tools=st.booleans(), noise=st.sampled_from([0.0, 0.02, 0.5]))
def test_which_way_time_runs_does_not_matter(seed, tools, noise):
    made = rectangle(300, 48, 6, 9, 22, noise_m=noise, seed=seed, loop=True, stop_in_run=(3, 40.0))
    here, there = worked(made, tools=tools), worked(backwards(made), tools=tools)
    assert states(there) == pytest.approx(states(here), abs=1e-3)
    assert [one.moving_s for one in there.turns[::-1]] == pytest.approx([one.moving_s for one in here.turns], abs=1e-3)
    lengths = [one.length_m for one in passes_of(here)]
    assert [one.length_m for one in passes_of(there)][::-1] == pytest.approx(lengths, abs=1e-3)


@few
@given(far=number(-5000, 5000), seed=st.integers(0, 99))
def test_where_the_field_lies_does_not_matter(far, seed):
    made = rectangle(200, 36, 6, 9, 22, seed=seed, loop=True)
    moved = track_of(made.time_s, made.east_m + far, made.north_m - far)
    assert states(find_work(moved, 6.0)) == pytest.approx(states(worked(made)), abs=1e-3)


@few
@given(seed=st.integers(0, 99), noise=number(0, 0.5), tools=st.booleans())
def test_spells_fill_the_log_without_a_hole(seed, noise, tools):
    work = worked(day_of_work(seed, noise), tools=tools)
    spells = work.spells
    assert spells[0].begin_s == work.track.at_s[0]
    assert spells[-1].end_s == work.track.at_s[-1]
    for one, two in pairwise(spells):
        assert two.begin_s == pytest.approx(one.end_s, abs=1e-6)
        assert one.time_s > 0
    assert {one.state for one in spells} <= set(STATES)
    whole = times_of_states(work, work.track.at_s[0], work.track.at_s[-1])
    assert whole.sum() == pytest.approx(work.track.at_s[-1] - work.track.at_s[0], abs=1e-3)
    assert (times_of_states(work, work.begin_s, work.end_s) <= whole + 1e-6).all()


@given(courses=st.lists(number(0, 360), min_size=1, max_size=20), turn=number(0, 360))
def test_a_main_direction_turns_with_the_field_and_knows_no_up_and_down(courses, turn):
    ways = np.ones(len(courses))
    here = np.array(courses)
    strength = float(direction_strength(here, ways))
    assert 0 <= strength <= 1 + 1e-12
    assert float(direction_strength((here + turn) % 360, ways)) == pytest.approx(strength, abs=1e-9)
    if strength > 1e-3:
        direction = main_direction(here, ways)
        assert off_direction(main_direction((here + 180) % 360, ways), direction) == pytest.approx(0, abs=1e-6)
        assert off_direction(main_direction((here + turn) % 360, ways), direction + turn) == pytest.approx(0, abs=1e-6)


@given(one=number(0, 360), two=number(0, 180))
def test_an_angle_between_axes_is_symmetric_and_at_most_a_right_one(one, two):
    off = float(off_direction(one, two))
    assert 0 <= off <= 90
    assert float(off_direction(two, one)) == pytest.approx(off, abs=1e-9)
    assert float(off_direction((one + 180) % 360, two)) == pytest.approx(off, abs=1e-9)


@given(east=number(-20, 20), north=number(-20, 20), span=number(2, 15))
def test_an_even_drive_gives_its_speed_and_course_back(east, north, span):
    time = np.arange(30.0)
    x, y, vx, vy = even_track(time, 5 + east * time, -3 + north * time, time, span)
    np.testing.assert_allclose(x, 5 + east * time, atol=1e-6)
    np.testing.assert_allclose(y, -3 + north * time, atol=1e-6)
    np.testing.assert_allclose([vx, vy], [np.full(30, east), np.full(30, north)], atol=1e-7)
    if np.hypot(east, north) > 0.01:
        assert 0 <= float(course(east, north)) < 360


@given(scatter=number(0, 5), spacing=st.sampled_from([0.1, 0.2, 1.0, 2.0]), more=number(1, 3))
def test_worse_positions_need_longer_spans(scatter, spacing, more):
    span, longer = (float(span_needed(one, spacing, 0.1)) for one in (scatter, more * scatter))
    assert 3 <= span <= longer <= 15
    assert speed_scatter(scatter, spacing, 2 * span) <= speed_scatter(scatter, spacing, span)


@given(far=st.integers(3, 40), off=number(500, 1e5))
def test_a_lone_jump_is_left_out_and_nothing_else(far, off):
    time = np.arange(50.0)
    east = 2.0 * time
    east[far] += off
    number_of = usable_positions(time, east, 0 * time, 0)
    assert number_of[far] == -1
    assert (np.delete(number_of, far) == 0).all()


@given(speed=number(2, 15), turn=number(5, 60), more=number(1.05, 3), lost=number(0, 0.5), refill=number(0, 0.3))
def test_longer_turns_stops_and_shorter_fields_lower_the_rate(speed, turn, more, lost, refill):
    # 5 m fit a whole number of times into both fields: a part of a width at the edge would weigh differently
    rate = rate_on_field(speed, turn, 5, lost, refill, 400, 8)
    assert rate_on_field(speed, more * turn, 5, lost, refill, 400, 8) < rate
    assert rate_on_field(speed, turn, 5, lost + 0.1, refill, 400, 8) < rate
    assert rate_on_field(speed, turn, 5, lost, refill + 0.1, 400, 8) < rate
    assert rate_on_field(speed, turn, 5, lost, refill, 100, 8) < rate
    assert rate <= speed * 5 / 10 * (1 + 1e-9)


@given(work=number(0, 10), rest=number(0.01, 10))
def test_time_efficiency_is_a_share(work, rest):
    assert 0 <= time_efficiency(work, work + rest) <= 1
