"""Properties of what a tractor manages and of the small steps: limits, energy, monotony, sums, ways there and back."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from passes_made import call
from spadework.reference import Row, constants, load
from spadework.science import machinery as m


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


SLOW = constants("tractor_grip").slow_share
POWER, SLIP, PART = between(5, 600), between(0.05, 0.4), between(0.3, 1)
DEEP = ("deep_0_n", "deep_1_n_h_km", "deep_2_n_h2_km2")
OTHER = ("other_0_n", "other_1_n_h_km", "other_2_n_h2_km2")
LIMITS = ("rated_pto_kw", "slip_most_share")
PASS = st.fixed_dictionaries(
    {
        "speed_km_h": between(2, 15),
        "deep_0_n": between(100, 60_000),
        "deep_1_n_h_km": between(0, 3_000),
        "deep_2_n_h2_km2": between(0, 300),
        "other_0_n": between(0, 20_000),
        "other_1_n_h_km": between(0, 500),
        "other_2_n_h2_km2": between(0, 50),
        "towed_n": between(-5_000, 30_000),
        "pump_kw": between(0, 40),
        "rotary_kw": between(0, 80),
        "tractor_t": between(2, 30),
        "driven_share": between(0.5, 1),
        "hitch_t": between(0, 8),
        "rolling_coefficient": between(0.04, 0.15),
        "slope_share": between(-0.1, 0.1),
        "wheel_number": between(15, 100),
        "axle_per_pto": between(0.9, 1),
        "rated_pto_kw": POWER,
        "slip_most_share": SLIP,
    }
)
CLOSE = 1.0001e-4  # what the solvers leave open, of the speed or depth planned
LEFT = 1e-9


def at_work(planned: dict[str, float], speed: float, depth: float) -> tuple[float, float, float]:
    """Return slip, power at the take-off without pump and driven tools, and power of the pull, step by step."""
    tools = m.pass_draft(speed, depth, 1, *(planned[name] for name in DEEP + OTHER))
    pull = m.wheel_pull(
        tools + planned["towed_n"],
        planned["tractor_t"],
        planned["driven_share"],
        planned["rolling_coefficient"],
        planned["slope_share"],
    )
    weight = m.driven_load(planned["tractor_t"], planned["driven_share"], planned["hitch_t"])
    slip = m.slip_for_pull_brixius(m.pull_ratio(pull, weight), planned["wheel_number"])
    axle = m.axle_power_brixius(weight, planned["wheel_number"], slip, speed)
    drive = m.pto_power_for_axle(axle, planned["axle_per_pto"])
    return float(slip), float(drive), float(pull * speed / 3.6)


@given(PASS)
def test_what_is_managed_keeps_to_power_and_slip(planned: dict[str, float]) -> None:
    depth = float(call(m.depth_managed, **planned))
    speed = float(call(m.speed_managed, **planned, depth_share=depth))
    assert 0 <= depth <= 1
    assert 0 <= speed <= planned["speed_km_h"]
    assert speed == 0 or depth > 0
    if speed == 0:
        return
    slip, drive, _ = at_work(planned, speed, depth)
    pump = m.pump_power_at_speed(planned["pump_kw"], planned["speed_km_h"], speed)
    needed = m.needed_power(drive, planned["rotary_kw"], pump)
    assert m.load_share(needed, planned["rated_pto_kw"]) <= 1 + LEFT
    assert slip <= planned["slip_most_share"] + LEFT
    # it lifts the tools rather than crawl
    assert speed >= (SLOW - CLOSE) * planned["speed_km_h"]


@given(PASS)
def test_no_deeper_than_needed_and_no_less(planned: dict[str, float]) -> None:
    depth = float(call(m.depth_managed, **planned))
    slow = {**planned, "speed_km_h": SLOW * planned["speed_km_h"], "pump_kw": SLOW * planned["pump_kw"]}
    if depth == 1:
        assert call(m.speed_managed, **planned, depth_share=1) >= (SLOW - CLOSE) * planned["speed_km_h"]
    elif depth + 2 * CLOSE <= 1:
        assert call(m.speed_managed, **slow, depth_share=depth + 2 * CLOSE) < slow["speed_km_h"]


@given(PASS)
def test_work_at_the_wheels_never_exceeds_the_power_of_the_axles(planned: dict[str, float]) -> None:
    depth = float(call(m.depth_managed, **planned))
    speed = float(call(m.speed_managed, **planned, depth_share=depth))
    assume(speed > 0)
    _, drive, pull = at_work(planned, speed, depth)
    assert pull < drive * planned["axle_per_pto"]
    assert pull < planned["rated_pto_kw"] - planned["rotary_kw"] + LEFT


@given(PASS, PART, PART)
def test_a_smaller_tractor_never_manages_more(planned: dict[str, float], part: float, depth: float) -> None:
    speed, speeds = planned["speed_km_h"], call(m.speed_managed, **planned, depth_share=depth)
    shares = call(m.depth_managed, **planned)
    for limit in LIMITS:
        less = {**planned, limit: planned[limit] * part}
        assert call(m.depth_managed, **less) <= shares + CLOSE
        assert call(m.speed_managed, **less, depth_share=depth) <= speeds + CLOSE * speed
    assert call(m.speed_managed, **planned, depth_share=depth * part) >= speeds - CLOSE * speed


@given(PASS)
def test_the_plan_is_kept_where_it_fits_and_only_there(planned: dict[str, float]) -> None:
    needed = float(call(m.needed_within_grip, **planned))
    speed = call(m.speed_managed, **planned, depth_share=1)
    try:
        fits = at_work(planned, planned["speed_km_h"], 1)[0] <= planned["slip_most_share"]
    except m.NoGrip:
        fits = False
    if needed > planned["rated_pto_kw"]:
        fits = False
    assert (speed == planned["speed_km_h"]) == fits


@given(PASS, PART)
def test_power_within_grip_is_a_least(planned: dict[str, float], part: float) -> None:
    needed = float(call(m.needed_within_grip, **planned))
    assert call(m.needed_within_grip, **{**planned, "rated_pto_kw": planned["rated_pto_kw"] * part}) == needed
    fewer = {**planned, "slip_most_share": planned["slip_most_share"] * part}
    assert call(m.needed_within_grip, **fewer) <= needed * (1 + LEFT)
    try:
        slip = at_work(planned, planned["speed_km_h"], 1)[0]
    except m.NoGrip:
        return
    full = float(call(m.needed_at, **planned, at_speed_km_h=planned["speed_km_h"]))
    assert needed <= full * (1 + LEFT)
    if slip <= planned["slip_most_share"] - LEFT:
        assert needed == pytest.approx(full)


@given(PASS)
def test_power_goes_into_speed_where_draft_does_not(planned: dict[str, float]) -> None:
    still = {**planned, **dict.fromkeys((*DEEP[1:], *OTHER[1:], "rotary_kw"), 0.0)}
    needed = float(call(m.needed_within_grip, **still))
    speed = float(call(m.speed_managed, **still, depth_share=1))
    assume(speed > 0)
    share = float(m.load_share(needed, planned["rated_pto_kw"]))
    slower = max(share, 1)
    assert speed * slower == pytest.approx(planned["speed_km_h"], rel=CLOSE * slower)
    assert m.load_at_work(share) == share / slower


@given(PASS, between(0, 1))
def test_with_nothing_to_lift_depth_is_no_matter(planned: dict[str, float], depth: float) -> None:
    plain = {**planned, **dict.fromkeys(DEEP, 0.0)}
    assert call(m.depth_managed, **plain) == 1
    assert call(m.speed_managed, **plain, depth_share=depth) == call(m.speed_managed, **plain, depth_share=1)


DRAFT_ROWS = st.sampled_from(list(load("draft_asae_d497").values()))


@given(DRAFT_ROWS, between(0.5, 12), between(2, 15), between(2, 40), between(0.5, 1.5))
def test_parts_of_the_draft_make_up_the_draft(
    row: Row, units: float, speed: float, depth: float, within: float
) -> None:
    f, a, b, c = (row.entry(name).value for name in ("f_medium", "a", "b", "c"))
    depth = depth if row.text("depth_counts") == "yes" else 1
    parts = [m.draft_coefficient(f, factor, units, depth, within) for factor in (a, b, c)]
    whole = m.draft_within_range(m.draft_asae_d497(f, a, b, c, units, speed, depth), within)
    assert parts[0] + speed * (parts[1] + speed * parts[2]) == pytest.approx(whole)
    assert m.pass_draft(speed, 1, 1, *parts, 0, 0, 0) == pytest.approx(whole)


@given(between(1, 30), between(1, 40), between(0, 1), between(0.9, 1.2))
def test_a_tanker_weighs_the_mean_of_its_run(empty: float, tank: float, filled: float, density: float) -> None:
    left = np.linspace(1, 0, 1001) * tank * filled
    assert m.tanker_mean_mass(empty, tank, filled, density) == pytest.approx((empty + left * density).mean())
    assert filled == 0 or m.load_size(tank, filled) == pytest.approx(left.max())


@given(between(50, 800), between(15, 80), between(1, 10), between(0.3, 3), between(0.2, 1), between(0.3, 1))
def test_pump_power_goes_with_the_flow(
    pressure: float, dose: float, speed: float, width: float, efficiency: float, part: float
) -> None:
    planned, slower = (m.pump_power(pressure, m.pump_flow(dose, width, v), efficiency) for v in (speed, speed * part))
    assert m.pump_power_at_speed(planned, speed, speed * part) == pytest.approx(slower)


@given(between(10, 500), between(30, 120), between(0.5, 1))
def test_power_and_its_mass(power: float, guide: float, share: float) -> None:
    rated = m.rated_pto_power(power, share)
    assert rated <= power
    assert m.ballasted_mass(rated, guide) == pytest.approx(share * m.ballasted_mass(power, guide))
    assert m.ballasted_mass(rated, guide) * 1000 / rated == pytest.approx(guide)


@given(between(-200, 200), between(0.5, 15))
def test_pull_in_kilonewton_and_in_newton(pull: float, speed: float) -> None:
    # 1 kN at 1 m/s is 1 kW
    assert m.drawbar_power(m.newton(pull), 3.6 * speed) == pytest.approx(pull * speed)


TIMES = st.tuples(between(0.05, 2), between(0, 1), between(0, 1), between(0, 1), between(0, 1), between(0, 1))


@given(TIMES, st.tuples(*[between(1, 100)] * 4), between(0, 1))
def test_times_and_litres_add_up(
    times: tuple[float, ...], rates: tuple[float, float, float, float], pumping: float
) -> None:
    working, turning, filling, road, waiting, lost = times
    refill = filling + road
    whole = m.field_time(working, turning, refill, waiting, lost)
    spread = m.spread_time(working, turning, lost)
    assert m.time_away(whole, spread) == pytest.approx(refill + waiting, abs=2e-9)
    standing = m.standing_time(refill, road, lost, waiting)
    assert working + turning + road + standing == pytest.approx(whole, abs=2e-9)
    hours = (working, turning, road, standing)
    parts = [m.litres_of(rate, time) for rate, time in zip(rates, hours, strict=True)]
    pairs = [value for pair in zip(rates, hours, strict=True) for value in pair]
    assert sum(parts) == pytest.approx(m.fuel_per_hectare(*pairs))
    # the engine's diesel is shared out among pump and the rest without a remainder
    pump = m.pumping_litres(parts[0], 100 * pumping, 100)
    rest = m.pumping_litres(parts[0], 100 * (1 - pumping), 100)
    assert 0 <= pump <= parts[0] * (1 + LEFT)
    assert pump + rest == pytest.approx(parts[0])


@given(between(6, 40), st.integers(1, 6), between(5, 60), between(0, 60), between(0, 30))
def test_rounds_and_their_parts(size: float, count: int, standing: float, road: float, other: float) -> None:
    whole = m.feeder_round(standing, road, other)
    cycle = m.cycle_at_flow(size, count, m.throughput(size, whole, count))
    assert cycle == pytest.approx(whole)
    assert m.standing_per_load(cycle, road) == pytest.approx(standing + other)
    assert m.trip_time(standing, road, other) == pytest.approx(whole)
    assert m.spreader_away(standing, other) == pytest.approx(m.trip_time(standing, 0, other))
    # a slower link only adds waiting
    held_up = m.cycle_at_flow(size, count, m.throughput(size, whole, count) / 1.5)
    assert m.standing_per_load(held_up, road) == pytest.approx(standing + other + whole / 2)


@given(between(6, 40), between(10, 300), between(10, 100), between(0, 30), between(0, 10))
def test_slurry_used_up_is_slurry_spread(size: float, flow: float, dose: float, handing: float, other: float) -> None:
    minutes = m.used_up(size, flow)
    assert minutes / 60 * flow == pytest.approx(size)
    # the spreading time that this flow stands for gives the same
    assert m.spreading_per_load(size, dose, m.supply_time(dose, flow)) == pytest.approx(minutes)
    per_load = m.refill_per_area(dose, size, handing, other) * size / dose * 60
    assert per_load == pytest.approx(handing + other)
    assert m.refill_time(dose, size, m.trip_time(handing, 0, other)) == pytest.approx(
        m.refill_per_area(dose, size, handing, other)
    )


@given(between(0, 20), between(0, 200), between(0, 5), between(1, 2), between(5, 60))
def test_a_crew_costs_what_its_people_and_machines_cost(
    vehicles: float, machine: float, time: float, paid: float, wage: float
) -> None:
    hour = m.paid_wage(wage, paid)
    assert m.crew_cost(1, hour, time) == pytest.approx(m.labour_cost(time, paid, wage))
    assert m.crew_cost(1, machine, time) == pytest.approx(m.cost_per_hectare(machine, time))
    together = m.crew_cost(vehicles, machine, time) + m.crew_cost(vehicles, hour, time)
    assert m.crew_cost(vehicles, machine + hour, time) == pytest.approx(together)


@given(st.lists(between(0.05, 3), min_size=1, max_size=6), between(1, 8), between(0, 3))
def test_drivers_share_the_passes(times: list[float], drivers: float, more: float) -> None:
    hours, longest = float(np.sum(times)), max(times)
    chain = float(m.chain_time(hours, longest, drivers))
    assert max(longest, hours / drivers) * (1 - LEFT) <= chain <= hours * (1 + LEFT)
    assert m.chain_time(hours, longest, 1) == pytest.approx(hours)
    assert m.chain_time(hours, longest, drivers + more) <= chain
    # a driver for every pass: as fast as the slowest of them
    assert m.work_rate(m.chain_time(hours, longest, len(times))) == pytest.approx(min(1 / time for time in times))


@given(between(0, 0.98), between(0, 1), between(0.01, 0.98))
def test_persistence_there_and_back(fit: float, rows: float, other: float) -> None:
    stay = m.stay_share(fit, rows)
    assert fit <= stay * (1 + LEFT)
    assert stay <= 1
    assert m.persistence(stay, fit) == pytest.approx(rows, abs=1e-9)
    # at any share of fit days it is a chain that can be: fit days are as often left as reached
    there = float(m.stay_share(other, m.persistence(stay, fit)))
    reached = other * (1 - there) / (1 - other)
    assert 0 <= reached <= 1
    # the chance that tomorrow is like today, less chance, does not depend on the share
    assert there - reached == pytest.approx(rows, abs=1e-9)


@given(between(0.5, 60), between(120, 900), between(0.3, 1), between(0, 50))
def test_runs_and_headland_runs_cover_the_field(area: float, length: float, shape: float, headland: float) -> None:
    breadth = m.field_breadth(area, length, shape)
    across = m.mean_headland_run(breadth, shape)
    assert across <= breadth
    ground = breadth * m.mean_run(length, shape, headland) + 2 * headland * across
    assert ground == pytest.approx(area * 10_000)


@given(between(0, 60), between(0, 1), between(1e3, 1e6), between(0, 1), between(1, 30), between(0, 2000))
def test_filling_seed_and_keeping_a_machine(
    minutes: float, sows: float, price: float, share: float, years: float, hours: float
) -> None:
    assert m.seed_fill_time(minutes, sows) * 60 + m.seed_fill_time(minutes, 1 - sows) * 60 == pytest.approx(minutes)
    left = m.remaining_price(price, share)
    assert left + m.remaining_price(price, 1 - share) == pytest.approx(price)
    assert m.straight_line_depreciation(price, left, years) * years == pytest.approx(price - left, abs=1e-6)
    whole = m.repair_asae_d497(price, 0.3, 1.5, 0, m.owned_hours(years, hours))
    assert m.repair_per_year(whole, years) * years == pytest.approx(whole)
