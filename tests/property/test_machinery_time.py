"""Properties of turns, headlands and field time: paths that close, limits, areas that add up, monotony, units."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from spadework.science.machinery.rate.capacity import field_efficiency, work_rate
from spadework.science.machinery.rate.parts import field_time, lost_time, turning_time, working_time
from spadework.science.machinery.rate.runs import (
    effective_width,
    field_breadth,
    headland_depth,
    headland_runs,
    mean_run,
    overlap_width,
    reversing_turn_reach,
    runs,
    turn_reach,
)
from spadework.science.machinery.rate.turning import (
    half_circle_turn_length,
    loop_turn_length,
    passes_left_out,
    reversing_turn_length,
    skip_offset,
    turn_length,
    turn_time,
)


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


RADIUS, WIDTH, SPEED, SHAPE = between(2, 15), between(0.5, 12), between(2, 15), between(0.3, 1)
OFFSET_SHARE = between(0, 1)  # of twice the radius
AREA, LENGTH, TURN = between(0.5, 60), between(120, 900), between(5, 60)


def drive(pieces: list[tuple[float, float]]) -> tuple[float, float, float, float]:
    """Drive from the origin northwards along pieces of (length, curvature to the right); return x, y, heading, top."""
    x = y = heading = top = 0.0
    for length, curvature in pieces:
        for _ in range(400):
            step = length / 400
            middle = heading + curvature * step / 2
            # chord of the small arc
            chord = step if curvature == 0 else 2 / curvature * sin(curvature * step / 2)
            x, y, heading = x + chord * sin(middle), y + chord * cos(middle), heading + curvature * step
            top = max(top, y)
    return x, y, heading, top


@given(RADIUS, OFFSET_SHARE)
def test_the_loop_ends_in_the_next_run(radius: float, share: float) -> None:
    offset = 2 * radius * share
    length = float(loop_turn_length(radius, offset))
    outer = (length / radius - pi) / 4
    arcs = [(radius * outer, -1 / radius), (radius * (pi + 2 * outer), 1 / radius), (radius * outer, -1 / radius)]
    assert sum(piece for piece, _ in arcs) == pytest.approx(length)
    x, y, heading, top = drive(arcs)
    assert (x, y, heading) == pytest.approx((offset, 0, pi), abs=1e-6 * radius)
    assert turn_reach(radius, offset, 0) == pytest.approx(top, rel=1e-3)
    assert turn_reach(radius, offset, 0) >= top * (1 - 1e-9)


@given(RADIUS, between(0, 4))
def test_the_turn_with_reversing_ends_in_the_next_run(radius: float, share: float) -> None:
    offset = 2 * radius * share
    along = offset - 2 * radius  # driven backwards where negative
    quarter = (pi / 2 * radius, 1 / radius)
    x, y, heading, top = drive([quarter, (along, 0), quarter])
    assert (x, y, heading) == pytest.approx((offset, 0, pi), abs=1e-6 * (radius + offset))
    assert reversing_turn_length(radius, offset) == pytest.approx(2 * quarter[0] + abs(along))
    assert reversing_turn_reach(radius, 0) == pytest.approx(top, rel=1e-3)


@given(RADIUS)
def test_loop_and_half_circle_meet(radius: float) -> None:
    assert loop_turn_length(radius, 2 * radius) == pytest.approx(pi * radius)
    assert half_circle_turn_length(radius, 2 * radius) == pytest.approx(pi * radius)
    assert loop_turn_length(radius, 0) == pytest.approx(7 / 3 * pi * radius)
    near = np.array([-1e-9, 0, 1e-9]) + 2 * radius
    assert turn_length(radius, near) == pytest.approx(np.full(3, pi * radius), rel=1e-3)
    assert turn_reach(radius, near, 5) == pytest.approx(np.full(3, radius + 5), rel=1e-3)


@given(RADIUS, OFFSET_SHARE, between(1, 4))
def test_one_turn_picks_between_the_two(radius: float, low: float, high: float) -> None:
    assert turn_length(radius, 2 * radius * low) == loop_turn_length(radius, 2 * radius * low)
    wide = 2 * radius * high
    assert turn_length(radius, wide) == pytest.approx(half_circle_turn_length(radius, wide))
    assert turn_length(radius, 2 * radius * low) >= pi * radius * (1 - 1e-12)
    assert turn_length(radius, 2 * radius * low) >= reversing_turn_length(radius, 2 * radius * low) * (1 - 1e-12)


@given(RADIUS, between(0.01, 1), between(0, 0.99))
def test_closer_runs_and_wider_circles_take_longer(radius: float, share: float, less: float) -> None:
    offset = 2 * radius * share
    for length in (loop_turn_length, turn_length, reversing_turn_length):
        assert length(radius, offset * less) > length(radius, offset)
        assert length(radius * 1.1, offset) > length(radius, offset)
    assert turn_reach(radius, offset * less, 5) > turn_reach(radius, offset, 5)
    assert turn_reach(radius, offset, 6) == pytest.approx(turn_reach(radius, offset, 5) + 1)


@given(RADIUS, between(0, 4), between(0.1, 3))
def test_turns_scale_with_their_size(radius: float, share: float, scale: float) -> None:
    offset = radius * share
    for length in (turn_length, reversing_turn_length):
        assert length(radius * scale, offset * scale) == pytest.approx(scale * length(radius, offset))
    assert turn_reach(radius * scale, offset * scale, 5 * scale) == pytest.approx(scale * turn_reach(radius, offset, 5))


@given(RADIUS, WIDTH)
def test_leaving_runs_out_makes_room_for_a_half_circle_and_no_more(radius: float, width: float) -> None:
    out, offset = float(passes_left_out(radius, width)), float(skip_offset(radius, width))
    assert out == int(out) >= 0
    assert offset == pytest.approx((out + 1) * width)
    assert offset >= 2 * radius * (1 - 1e-8)
    assert out == 0 or offset - width < 2 * radius
    assert turn_length(radius, offset) == pytest.approx(pi * radius + offset - 2 * radius, rel=1e-3)


@given(st.integers(1, 8), WIDTH)
def test_a_diameter_of_whole_widths_is_not_rounded_up(count: int, width: float) -> None:
    assert passes_left_out(count * width / 2, width) == count - 1


@given(between(5, 100), between(3, 12), between(0, 20))
def test_time_of_a_turn(length: float, speed: float, stops: float) -> None:
    base = float(turn_time(length, speed, stops))
    assert (base - stops) * speed / 3.6 == pytest.approx(length)
    assert turn_time(length, speed, stops + 1) == pytest.approx(base + 1)
    assert turn_time(length, speed * 2, stops) < base < turn_time(length * 2, speed, stops)


@given(between(0, 60), WIDTH)
def test_headlands_hold_the_turn_in_whole_widths(reach: float, width: float) -> None:
    depth = float(headland_depth(reach, width))
    count = depth / width
    assert count == pytest.approx(round(count))
    assert reach <= depth + 1e-6
    assert depth < reach + width
    assert headland_runs(depth, width) == pytest.approx(2 * round(count))


@given(st.integers(1, 300), st.integers(0, 8), WIDTH, LENGTH)
def test_a_rectangle_is_covered_exactly(along: int, across: int, width: float, length: float) -> None:
    headland = across * width
    assume(length > 2 * headland)
    breadth = along * width
    area = breadth * length / 10_000
    assert field_breadth(area, length, 1) == pytest.approx(breadth)
    assert runs(breadth, width) == along
    assert headland_runs(headland, width) == 2 * across
    ground = along * mean_run(length, 1, headland) * width + 2 * across * breadth * width
    assert ground == pytest.approx(area * 10_000)
    # so the whole field takes what its area takes at full width, whatever the headlands
    time = working_time(along, mean_run(length, 1, headland), 2 * across, breadth, 7, area)
    assert time == pytest.approx(10 / (7 * width))


@given(AREA, LENGTH, SHAPE, between(0, 50))
def test_runs_and_headlands_make_up_the_area(area: float, length: float, shape: float, headland: float) -> None:
    breadth = field_breadth(area, length, shape)
    ground = breadth * mean_run(length, shape, headland) + 2 * headland * breadth * shape
    assert ground == pytest.approx(area * 10_000)


@given(AREA, LENGTH, WIDTH, SPEED, TURN)
def test_rectangle_without_headlands_is_the_plain_formula(
    area: float, length: float, width: float, speed: float, turn: float
) -> None:
    count = -int(-(area * 10_000 / length / width - 1e-9) // 1)
    along = runs(field_breadth(area, length, 1), width)
    assert along == count
    working = working_time(along, mean_run(length, 1, 0), headland_runs(0, width), 0, speed, area)
    assert working * area * speed * 1000 == pytest.approx(count * length)
    assert working >= 10 / (speed * width) * (1 - 1e-6)
    assert turning_time(along, headland_runs(0, width), turn, area) * area * 3600 == pytest.approx((count - 1) * turn)


@given(st.integers(1, 400), between(20, 800), between(0.5, 12))
def test_width_that_fits_exactly_is_not_rounded_up(count: int, length: float, width: float) -> None:
    assert runs(field_breadth(count * width * length / 10_000, length, 1), width) == count


@given(WIDTH, between(0, 0.3), between(0, 0.5))
def test_overlap_costs_width(width: float, metres: float, share: float) -> None:
    overlap = overlap_width(width, metres, share)
    assume(width - overlap > 0.1)
    left = effective_width(width, overlap)
    assert left + metres + width * share == pytest.approx(width)
    assert effective_width(width, overlap_width(width, metres, share * 0.5)) >= left
    assert runs(500, left) >= runs(500, width)


def hours(
    area: float, length: float, width: float, speed: float, turn: float, shape: float = 1, headland: float = 0
) -> float:
    """Field time of a whole field, h/ha."""
    breadth = field_breadth(area, length, shape)
    along, across = runs(breadth, width), headland_runs(headland, width)
    working = working_time(along, mean_run(length, shape, headland), across, breadth * shape, speed, area)
    turning = turning_time(along, across, turn, area)
    return float(field_time(working, turning, 0, 0, lost_time(working, 0.06)))


@given(AREA, LENGTH, WIDTH, SPEED, TURN, SHAPE, between(0, 50))
def test_time_falls_with_width_and_speed_and_rises_with_the_turn(
    area: float, length: float, width: float, speed: float, turn: float, shape: float, headland: float
) -> None:
    base = hours(area, length, width, speed, turn, shape, headland)
    assert hours(area, length, width * 1.5, speed, turn, shape, headland) <= base
    assert hours(area, length, width, speed * 1.1, turn, shape, headland) < base
    assert hours(area, length, width, speed, turn * 1.1, shape, headland) >= base
    if field_breadth(area, length, shape) > width:
        assert hours(area, length, width, speed, turn + 1, shape, headland) > base


@given(st.integers(1, 150), LENGTH, WIDTH, SPEED, TURN, st.integers(0, 3), st.integers(2, 4))
def test_time_falls_with_the_length_of_the_field(
    along: int, length: float, width: float, speed: float, turn: float, across: int, longer: int
) -> None:
    # whole widths, so that only the number of turns changes with the shape of one and the same area
    headland = across * width
    assume(length > 2 * headland)
    count = along * longer
    area = count * width * length / 10_000
    assert hours(area, length * longer, width, speed, turn, 1, headland) < hours(
        area, length, width, speed, turn, 1, headland
    )


@given(WIDTH, SPEED, TURN, st.integers(2, 20))
def test_a_farm_field_beats_a_plot(width: float, speed: float, turn: float, side_by_side: int) -> None:
    # the plot: runs of 100 m, each with its turn; the field: 10 ha in runs of 400 m
    area = 100 * width / 10_000
    working = working_time(1, 100, 0, 0, speed, area)
    plot = float(field_time(working, turn / 3600 / area, 0, 0, lost_time(working, 0.06)))
    farm = hours(10, 400, width, speed, turn)
    last = np.ceil(250 / width - 1e-9) * width / 250  # the last, narrower run counts as a whole one
    assert farm < plot * last
    assert field_efficiency(work_rate(farm), speed, width) < 1
    # leaving the way out of the last run uncounted does not make the plot a farm
    assert hours(area * side_by_side, 100, width, speed, turn) < plot
    assert hours(area * side_by_side * 50, 100, width, speed, turn) > hours(
        area * side_by_side * 50, 5000, width, speed, turn
    )


@given(AREA, LENGTH, WIDTH, SPEED, TURN)
def test_time_does_not_depend_on_the_units_it_is_written_in(
    area: float, length: float, width: float, speed: float, turn: float
) -> None:
    # in feet, acres and miles: the same runs, and the same hours for the whole field
    foot, acre, mile = 0.3048, 0.40468564224, 1.609344
    along = runs(field_breadth(area, length, 1), width)
    seconds = along * (length / foot) / ((speed / mile) * 5280 / 3600) + (along - 1) * turn
    per_acre = seconds / 3600 / (area / acre)
    ours = working_time(along, length, 0, 0, speed, area) + turning_time(along, 0, turn, area)
    assert ours * acre == pytest.approx(per_acre)


@given(st.lists(between(0, 40), min_size=1, max_size=5), st.lists(RADIUS, min_size=1, max_size=4))
def test_arrays_give_what_their_elements_give(offsets: list[float], radii: list[float]) -> None:
    for length in (turn_length, reversing_turn_length):
        table = length(np.array(radii)[None, :], np.array(offsets)[:, None])
        assert table.shape == (len(offsets), len(radii))
        for i, offset in enumerate(offsets):
            for j, radius in enumerate(radii):
                assert table[i, j] == pytest.approx(float(length(radius, offset)))
