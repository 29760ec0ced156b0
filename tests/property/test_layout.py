"""What holds of every layout, whatever the field, the machines and the seed."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Polygon

from layout_made import PLANTER, PLOUGH, STRIP, host, laid, outfit, rules, twelve
from spadework.layout.changes import swapped
from spadework.layout.ground import usable
from spadework.layout.lines import driving, needs
from spadework.layout.pegs import cross, pegs
from spadework.layout.place import CannotPlace, Placed, open_ground, place
from spadework.layout.row_units import row_units
from spadework.layout.runs import runs_over
from spadework.layout.search import to_field, to_heading
from spadework.layout.widths import plot_widths

WIDTH = twelve()


@st.composite
def layouts(draw: st.DrawFn) -> Placed:
    ground = host()
    stretch = draw(st.floats(0.85, 1.4))
    turn = draw(st.floats(0, 360))
    shape = affinity.rotate(affinity.scale(ground.outline, stretch, stretch), -turn, origin=(0, 0))
    water = tuple(
        affinity.rotate(affinity.scale(w, stretch, stretch, origin=(0, 0)), -turn, origin=(0, 0)) for w in ground.water
    )
    field = host(outline=shape, water=water)
    heading = (turn + draw(st.floats(-8, 8))) % 360
    lie = draw(st.sampled_from(["as they fit", "side by side"]))
    blocks = draw(st.integers(2, 4))
    kept = rules(length_m=draw(st.floats(60, 260)), least_m=40.0, water_m=draw(st.floats(0, 20)), lie=lie)
    try:
        return place(field, laid(blocks, draw(st.integers(0, 999))), WIDTH, kept, heading)
    except CannotPlace:
        return place(field, laid(2, 1), WIDTH, rules(length_m=60.0, least_m=40.0), heading)


@settings(max_examples=25)
@given(layouts())
def test_plots_lie_inside_apart_and_have_their_width(placed: Placed) -> None:
    kept = placed.rules
    ground = usable(placed.host, kept.side_m, kept.obstacle_m, kept.water_m).buffer(0.001)
    shapes = [plot.polygon for plot in placed.plots]
    assert all(ground.contains(shape) for shape in shapes)
    assert all(one.intersection(other).area < 1e-6 for n, one in enumerate(shapes) for other in shapes[:n])
    for plot in placed.plots:
        assert math.isclose(plot.width_m, 12.0, abs_tol=1e-9)
        assert math.isclose(plot.polygon.area, plot.width_m * plot.length_m, rel_tol=1e-9)
        assert plot.polygon.buffer(1e-6).contains(Polygon(plot.measured))
        assert kept.least_m - 1e-9 <= plot.length_m <= kept.length_m + 1e-9


@settings(max_examples=25)
@given(layouts())
def test_systems_are_balanced_and_turning_room_is_there(placed: Placed) -> None:
    for block in range(1, placed.laid.asked.blocks + 1):
        mine = [plot.labels[0] for plot in placed.plots if plot.block == block]
        assert Counter(mine) == Counter(placed.systems)
    room = open_ground(placed.host, placed.rules.obstacle_m).buffer(0.001)
    plots = [plot.polygon for plot in placed.plots]
    for shape in (*placed.turning, *placed.lanes):
        assert room.contains(shape)
        assert all(shape.intersection(plot).area < 1e-6 for plot in plots)


@settings(max_examples=20)
@given(layouts())
def test_tapes_find_every_peg_again(placed: Placed) -> None:
    table = pegs(placed)
    for peg in table.pegs:
        east, north = cross(table.first[1:], table.second[1:], peg.from_first_m, peg.from_second_m, peg.left_of_line)
        assert math.dist((east, north), (peg.east_m, peg.north_m)) < 1e-5
    spots = {(round(x, 3), round(y, 3)) for plot in placed.plots for x, y in plot.corners}
    assert {(round(p.east_m, 3), round(p.north_m, 3)) for p in table.pegs} == spots


@settings(max_examples=20)
@given(layouts(), st.floats(5, 60), st.floats(8, 30))
def test_no_pass_outlasts_the_tank_unless_told_and_slurry_adds_up(placed: Placed, dose: float, tank: float) -> None:
    spreading = replace(STRIP, tank_m3=tank)
    chain = [(system, [spreading, PLANTER] if system == "strip" else [PLANTER]) for system in placed.systems]
    jobs = driving(placed, chain, {"strip": dose})
    job = next(one for one in jobs if one.outfit == spreading)
    left = 0.0
    for line in job.lines:
        left = tank if line.refill else left
        left -= line.slurry_m3
        assert left > -1e-9 or job.too_long
    area = sum(p.width_m * p.length_m for p in placed.plots if p.labels[0] == "strip") / 10_000
    assert math.isclose(sum(line.slurry_m3 for line in job.lines), dose * area, rel_tol=1e-9)
    found = {one.system: one for one in needs(placed, jobs, {"strip": dose}, 90_000, 0.0, 0.0)}
    assert math.isclose(found["strip"].slurry_m3, dose * area, rel_tol=1e-9)
    assert math.isclose(
        sum(one.row_m for one in found.values()) * 0.75, sum(p.polygon.area for p in placed.plots), rel_tol=1e-9
    )
    sown = next(one for one in jobs if one.outfit == PLANTER)
    assert sorted({line.plot for line in sown.lines}) == [plot.number for plot in placed.plots]
    assert all(one.back != other.back for one, other in zip(sown.lines, sown.lines[1:], strict=False))


@settings(max_examples=3)
@given(st.integers(0, 10**6))
def test_the_same_seed_gives_the_same_layout_and_a_swap_keeps_the_places(seed: int) -> None:
    one, other = (place(host(), laid(seed=seed), WIDTH, rules(), 5.0) for _ in range(2))
    assert one == other
    changed = swapped(one, 101, 102, "gate too narrow")
    assert [plot.corners for plot in changed.plots] == [plot.corners for plot in one.plots]
    assert Counter(plot.labels for plot in changed.plots) == Counter(plot.labels for plot in one.plots)
    assert (one.standing, changed.standing) == ("replicated", "strips")
    assert swapped(changed, 101, 102, "back again").plots == one.plots


@given(st.integers(1, 60), st.integers(1, 36), st.booleans())
def test_every_row_has_one_unit_and_full_passes_use_each_unit_once(rows: int, units: int, back: bool) -> None:
    found = row_units(rows, units, back)
    assert [one.row for one in found] == list(range(1, rows + 1))
    assert all(1 <= one.unit <= units for one in found)
    for run in range(1, rows // units + 1):
        assert sorted(one.unit for one in found if one.run == run) == list(range(1, units + 1))
    turned = row_units(rows, units, not back)
    assert all(a.unit + b.unit == units + 1 for a, b in zip(found, turned, strict=True))


@given(st.sampled_from([4, 6, 8, 12]), st.floats(1.5, 9), st.integers(0, 3), st.floats(0.4, 12))
def test_widths_hold_the_header_between_the_guards(units: int, header: float, guard: int, other: float) -> None:
    machines = [outfit("planter", units * 0.75, units, "seed"), outfit("cultivator", other)]
    for one in plot_widths(machines, 0.75, header, guard_rows=guard, most_m=36):
        assert one.rows % units == 0
        assert math.isclose(one.width_m, one.rows * 0.75)
        assert min(one.left_guard, one.right_guard) >= guard
        assert one.header_passes >= 1
        assert one.last_row - one.first_row + 1 == one.header_passes * math.floor(header / 0.75 + 1e-9)
        fit = one.fits[1]
        assert fit.passes * other >= one.width_m - 0.006
        if fit.goes == "guard":
            assert fit.over_m / 2 <= min(one.left_guard, one.right_guard) * 0.75 + 1e-6


@given(st.floats(1.5, 48), st.floats(0.5, 30), st.just(0.0) | st.floats(0.01, 0.45), st.floats(0, 8))
def test_passes_cover_the_plot_and_lie_alike_on_both_sides(
    width: float, wide: float, overlap: float, guard: float
) -> None:
    machine = replace(outfit("cultivator", wide), overlap_m=overlap * wide)
    runs = runs_over(machine, width, guard)
    step = wide - machine.overlap_m
    assert math.isclose(runs.covered_m, runs.count * step + machine.overlap_m, rel_tol=1e-12)
    assert math.isclose(sum(runs.middles_m) / runs.count, width / 2, abs_tol=0.003)  # 5 mm are taken for none
    assert runs.over_m == 0 or runs.short_m == 0
    assert abs(runs.covered_m - width - runs.over_m + runs.short_m) < 0.005
    assert runs.short_m / 2 <= min(0.2, guard) + 1e-6 or runs.short_m == 0
    assert runs.over_m < 2 * wide  # never two passes that could be left out
    assert len(runs.twice) == (runs.count - 1 if machine.overlap_m else 0)
    assert all(math.isclose(right - left, machine.overlap_m, abs_tol=1e-9) for left, right in runs.twice)
    assert math.isclose(runs.spread_m * runs.count, runs.covered_m, rel_tol=1e-12)


@given(st.floats(1.5, 48), st.floats(0.5, 30), st.floats(0, 0.3), st.floats(0.01, 0.3))
def test_more_overlap_never_takes_fewer_passes(width: float, wide: float, overlap: float, more: float) -> None:
    less, greater = (
        runs_over(replace(outfit("cultivator", wide), overlap_m=share * wide), width, 0.0)
        for share in (overlap, overlap + more)
    )
    assert greater.count >= less.count


@given(st.floats(-500, 500), st.floats(-500, 500), st.floats(0, 360))
def test_turning_to_the_heading_and_back_changes_nothing(east: float, north: float, heading: float) -> None:
    there = to_heading(np.array([[east, north]]), heading)
    assert np.allclose(to_field(there, heading), [[east, north]], atol=1e-9)
    assert math.isclose(float(np.hypot(*there[0])), math.hypot(east, north), abs_tol=1e-9)


def test_a_plough_keeps_no_rows() -> None:
    assert PLOUGH.rows is None
    assert PLOUGH.plough
