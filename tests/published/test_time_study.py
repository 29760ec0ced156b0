"""Time study held against closed forms, made logs whose times are known, sentences of receivers, and other libraries."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from spadework.exchange.position_logs import read_position_log
from spadework.findings.timing import time_log
from spadework.science.harvest import metres_from_middle
from spadework.science.machinery import area_rate, field_capacity, field_efficiency, hose_speed
from spadework.science.machinery.log.direction import main_direction
from spadework.science.machinery.log.position import even_track, position_scatter, speed_scatter
from spadework.science.machinery.log.sums import rate_of_rectangle, rate_on_field, rectangle_time
from spadework.science.machinery.log.time_study import STATES, find_work, times_of_states, track_of
from tracks_made import gpx, nmea, rectangle

CLOSED = "Closed form of a rectangle worked up and down, n L / v + (n - 1) t + loading; worked apart from our code"
MADE = "Track made in the test from known runs and turns"
RECEIVERS = "Example sentences of a GPS receiver, widely reprinted; recalled"
GOODS = [  # length, breadth, width, km/h, turn, loading; runs, time, ha/h, efficiency
    (400, 200, 3, 8, 20, 0, 67, 13_380, 2.152, 0.8969),
    (400, 200, 6, 10, 25, 1_200, 34, 6_921, 4.161, 0.6935),
    (150, 200, 6, 10, 25, 0, 34, None, None, 0.6764),
]


@pytest.mark.parametrize("row", GOODS, ids=lambda row: f"{row[0]}x{row[1]}, {row[2]} m")
def test_rectangle(check, row):
    length, breadth, width, speed, turn, loading, runs, seconds, rate, efficiency = row
    what = f"{length} x {breadth} m, {width} m wide, {speed} km/h, {turn} s a turn"
    time = rectangle_time(runs, length, speed, turn, loading)
    ours = rate_of_rectangle(length, breadth, time)
    if seconds:
        check(f"time, {what}", CLOSED, seconds, time, 0.5, unit="s", kind="computed")
        check(f"rate, {what}", CLOSED, rate, ours, 0.0005, unit="ha/h", kind="computed")
    check(
        f"efficiency, {what}",
        CLOSED,
        efficiency,
        field_efficiency(ours, speed, width),
        0.00005,
        unit="1",
        kind="computed",
    )
    area = length * breadth / 10_000
    other_way = rate_on_field(speed, turn, width, 0, loading / 3600 / area, length, area)
    check(f"rate put together from parts, {what}", CLOSED, float(ours), other_way, 1e-6, unit="ha/h", kind="computed")


def test_umbilical_speed(check):
    source = "Flow over width and dose: 150 m3/h, 6 m, 30 m3/ha; worked apart from our code"
    speed = hose_speed(150, 6, 30)
    check("speed that a flow allows", source, 8.33, speed, 0.005, unit="km/h", kind="computed")
    check("rate that a flow allows", source, 5.0, field_capacity(speed, 6, 1.0), 1e-9, unit="ha/h", kind="computed")
    check("rate that a flow allows, by itself", source, 5.0, area_rate(150, 30), 1e-9, unit="ha/h", kind="computed")


@pytest.mark.parametrize("loop", [False, True], ids=["half circles", "loops"])
@pytest.mark.parametrize("rate", [1.0, 5.0])
@pytest.mark.parametrize("noise", [0.02, 0.5])
def test_times_of_made_logs(check, noise, rate, loop):
    what = f"{'loops' if loop else 'half circles'}, errors of {noise:g} m, {rate:g} a second"
    width = 6.0 if loop else 12.0  # a half circle of 3 m radius is no turn that an outfit could drive
    worst, working, turning = 25.0, [], []
    for seed in range(1, 5):
        made = rectangle(400, 16 * width, width, 10, 25, noise_m=noise, rate_hz=rate, loop=loop, seed=seed)
        work = find_work(track_of(made.time_s, made.east_m, made.north_m), width)
        of = dict(zip(STATES, times_of_states(work, work.begin_s, work.end_s), strict=True))
        turns = [turn.moving_s for turn in work.turns if turn.plain]
        assert len(work.runs) == made.runs
        assert len(turns) == made.turns
        assert sum(of.values()) == pytest.approx(made.working_s + made.turning_s, abs=1.0)
        worst = max(worst, np.mean(turns), key=lambda one: abs(one - 25))
        working.append(of["working"])
        turning.append(of["turning"])
    whole = made.working_s + made.turning_s
    furthest = max(working, key=lambda one: abs(one - made.working_s))
    check(f"time at work: {what}", MADE, made.working_s, furthest, 0.02 * made.working_s, unit="s", kind="computed")
    furthest = max(turning, key=lambda one: abs(one - made.turning_s))
    check(f"time turning: {what}", MADE, made.turning_s, furthest, 0.02 * whole, unit="s", kind="computed")
    check(f"mean turn, worst of 4: {what}", MADE, 25.0, worst, 1.0, unit="s", kind="computed")


@pytest.mark.parametrize("loop", [False, True], ids=["half circles", "loops"])
@pytest.mark.parametrize("noise", [0.02, 0.5])
def test_turns_of_many_made_logs_are_right_on_average(check, noise, loop):
    # a loop leaves its run to the outer side for three seconds only; errors of half a metre can hide the second angle
    width = 6.0 if loop else 12.0
    means = []
    for seed in range(12):
        made = rectangle(400, 96, width, 10, 25, noise_m=noise, loop=loop, seed=seed)
        work = find_work(track_of(made.time_s, made.east_m, made.north_m), width)
        means.append(np.mean([turn.moving_s for turn in work.turns if turn.plain]))
    what = f"mean turn over 12 logs, {'loops' if loop else 'half circles'}, errors of {noise:g} m"
    check(what, MADE, 25.0, np.mean(means), 0.5, unit="s", kind="computed")


@pytest.mark.parametrize("noise", [0.02, 0.5])
def test_tools_in_the_log_give_the_times_to_the_sample(check, noise):
    made = rectangle(400, 96, 6, 10, 25, noise_m=noise, loop=True)
    work = find_work(track_of(made.time_s, made.east_m, made.north_m, 0, made.tools), 6)
    turns = [turn.moving_s for turn in work.turns if turn.plain]
    what = f"one turn, tools in the log, errors of {noise:g} m"
    check(what, MADE, 25.0, np.mean(turns), 0.5, unit="s", kind="computed")


def test_efficiency_and_overlap_of_a_whole_log(check, tmp_path: Path):
    made = rectangle(400, 96, 5.8, 10, 25, loop=True, runs=16)
    (tmp_path / "log.nmea").write_text(nmea(made), "ascii")
    found = time_log(read_position_log(tmp_path / "log.nmea"), 6.0)
    truth = made.working_s / (made.working_s + made.turning_s)
    check("time efficiency of a made log", MADE, truth, found.time_share, 0.01, unit="1", kind="computed")
    check("distance between passes of a made log", MADE, 5.8, found.apart_m, 0.01, unit="m", kind="computed")
    check("speed at work of a made log", MADE, 10.0, found.speed_km_h, 0.05, unit="km/h", kind="computed")
    check("ground of a made log", MADE, 400 * (15 * 5.8 + 6) / 1e4, found.ground_ha, 0.02, unit="ha", kind="computed")
    standard = float(rate_of_rectangle(400, 200, rectangle_time(np.ceil(200 / 5.8), 400, 10, 25, 0)))
    rate = found.elsewhere.rate_ha_h
    check("rate on 400 x 200 m from a made log", CLOSED, standard, rate, 0.01 * standard, unit="ha/h", kind="computed")
    assert found.elsewhere.low_ha_h <= rate <= found.elsewhere.high_ha_h


def test_short_runs_inflate_turns_and_the_rate_elsewhere_does_not(tmp_path: Path):
    rates = []
    for length in (120.0, 400.0):
        made = rectangle(length, 96, 6, 10, 25, loop=True)
        (tmp_path / "log.gpx").write_text(gpx(made, fix="dgps"), "utf-8")
        found = time_log(read_position_log(tmp_path / "log.gpx"), 6.0)
        rates.append((found.rate_ha_h, found.elsewhere.rate_ha_h))
    (short, there), (long, same) = rates
    assert short < 0.8 * long
    assert there == pytest.approx(same, rel=0.01)


def test_sentences_of_receivers(check, tmp_path: Path):
    path = tmp_path / "receiver.nmea"
    path.write_text(
        "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n"
        "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\r\n"
        "$GPGGA,123520,4807.040,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,\r\n"
        "$GNVTG,100.6,T,,M,7.87,N,14.57,K,D\r\n",
        "ascii",
    )
    log = read_position_log(path)
    assert log.speed_m_s is not None
    assert log.course_deg is not None
    assert log.began is not None
    check("latitude of 4807.038 N", RECEIVERS, 48.1173, log.latitude_deg[0], 5e-7, unit="deg", kind="memory")
    check("longitude of 01131.000 E", RECEIVERS, 11 + 31 / 60, log.longitude_deg[0], 1e-9, unit="deg", kind="memory")
    assert (log.began.year, log.began.month, log.began.day, log.began.hour, log.began.minute) == (1994, 3, 23, 12, 35)
    assert log.course_deg.tolist() == [84.4, 100.6]
    source = "A VTG sentence of a logged receiver, which has its speed in knots and in km/h"
    check("7.87 knots", source, 14.57, 3.6 * log.speed_m_s[1], 0.01, unit="km/h")
    assert any("without a check sum" in remark for remark in log.remarks)
    assert not any("is wrong" in remark for remark in log.remarks)


def test_degrees_are_so_many_metres(check):
    source = "Length of a degree on WGS 84 at 45 degrees; recalled from tables"
    east, north = metres_from_middle([45.005, 45.0], [8.0, 8.01], 45.0, 8.0)
    check("0.005 degrees of latitude", source, 0.005 * 111_132, north[0], 0.05, unit="m", kind="memory")
    check("0.01 degrees of longitude", source, 0.01 * 78_847, east[1], 0.05, unit="m", kind="memory")


def test_main_direction_against_scipy(check):
    random = np.random.default_rng(5)
    courses = (random.normal(33, 4, 500) + 180 * random.integers(0, 2, 500)) % 360
    theirs = stats.circmean(courses, high=180, low=0)
    ours = main_direction(courses, np.ones(500))
    check(
        "main direction of 500 courses",
        "scipy.stats.circmean, period 180",
        theirs,
        ours,
        1e-6,
        unit="deg",
        kind="computed",
    )


def test_speed_scatter_against_a_fitted_line(check):
    time = np.arange(7.0)
    _, covariance = np.polyfit(time, time, 1, cov="unscaled")
    theirs = 0.5 * np.sqrt(covariance[0, 0])
    ours = speed_scatter(0.5, 1, 6)
    check("scatter of a slope through 7 points", "numpy.polyfit", theirs, ours, 1e-12, unit="m/s", kind="computed")
    random = np.random.default_rng(2)
    errors = random.normal(0, 0.5, (2, 20_000))
    many = np.arange(20_000.0)
    _, _, speed, _ = even_track(many, errors[0], errors[1], many[10:-10], 6.0)
    check(
        "scatter of 20000 speeds", "Errors drawn in the test", theirs, speed.std(), 0.003, unit="m/s", kind="computed"
    )
    scatter = position_scatter(errors[0] + 2 * many, errors[1] + 3 * many)
    check("scatter of 20000 positions", "Errors drawn in the test", 0.5, scatter, 0.01, unit="m", kind="computed")
