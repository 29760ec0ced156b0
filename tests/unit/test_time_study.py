"""Time study: states of a made day, edges, and logs of every kind, whole and broken."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from spadework.exchange.position_logs import read_position_log
from spadework.findings.timing import Other, time_log
from spadework.plan import PlanFaults
from spadework.present.machines.timing_chart import track_chart
from spadework.present.machines.timing_table import plan_lines, states_csv, timing_text
from spadework.quantities import parse
from spadework.ranges import ImpossibleValue
from spadework.science.machinery.log.passes import passes_of
from spadework.science.machinery.log.position import even_track, position_scatter, usable_positions
from spadework.science.machinery.log.sums import time_efficiency, width_use
from spadework.science.machinery.log.time_study import STATES, NoRuns, find_work, times_of_states, track_of
from tracks_made import Made, day_of_work, degrees, gpx, nmea, rectangle, sentence

COLUMNS = """
[column]
time = { name = "t", unit = "s" }
latitude = { name = "lat", unit = "deg" }
longitude = { name = "lon", unit = "deg" }
speed = { name = "v", unit = "km/h" }
tools = { name = "hitch", down = "Down" }
"""


def written(folder: Path, text: str | bytes, name: str = "log.txt") -> Path:
    path = folder / name
    path.write_bytes(text.encode("utf-8") if isinstance(text, str) else text)
    return path


def faults_of(path: Path, columns: Path | None = None) -> str:
    with pytest.raises(PlanFaults) as caught:
        read_position_log(path, columns)
    return str(caught.value)


def csv_of(made: Made) -> str:
    latitude, longitude = degrees(made.east_m, made.north_m)
    rows = [
        f"{t};{n:.8f};{e:.8f};9,5;{'down' if down else 'up'}"
        for t, n, e, down in zip(made.time_s, latitude, longitude, made.tools, strict=True)
    ]
    return "\n".join(["T;Lat;Lon;V;Hitch", *rows])


@pytest.fixture(scope="module")
def day() -> Made:
    return day_of_work()


def test_a_day_has_its_headlands_passes_fillings_and_road(day):
    work = find_work(track_of(day.time_s, day.east_m, day.north_m), 6.0)
    passes = passes_of(work)
    assert [one.headland for one in passes] == [True] * 2 + [False] * 16
    assert len(work.runs) == 19  # one pass is broken by a stoppage
    long = [one for one in work.spells if one.state == "filling"]
    assert [round(one.time_s, -1) for one in long] == [240, 240]
    short = [one for one in work.spells if one.state == "stopped"]
    assert [one.time_s for one in short] == pytest.approx([32], abs=3)
    assert work.spells[0].state == "transport"
    assert sum(turn.plain for turn in work.turns) == 13
    assert [one.place for one in passes[2:]] == list(range(16))
    assert [one.apart_m for one in passes[3:]] == pytest.approx([5.9] * 15, abs=0.02)
    assert passes[2].new_m == 6.0


def test_tools_in_the_log_win(day):
    free = find_work(track_of(day.time_s, day.east_m, day.north_m), 6.0)
    told = find_work(track_of(day.time_s, day.east_m, day.north_m, 0, day.tools), 6.0)
    assert times_of_states(told, told.begin_s, told.end_s)[0] < times_of_states(free, free.begin_s, free.end_s)[0]
    assert all(turn.moving_s > 12 for turn in told.turns if turn.plain)
    nothing = track_of(day.time_s, day.east_m, day.north_m, 0, 0 * day.tools)
    with pytest.raises(NoRuns, match="tools down"):
        find_work(nothing, 6.0)


def test_a_gap_is_not_bridged():
    made = rectangle(300, 36, 6, 9, 22, loop=True)
    gone = (made.time_s < 130) | (made.time_s > 160)
    work = find_work(track_of(made.time_s[gone], made.east_m[gone], made.north_m[gone]), 6.0)
    of = dict(zip(STATES, times_of_states(work, work.begin_s, work.end_s), strict=True))
    assert of["not logged"] == pytest.approx(31, abs=1)
    assert len(work.turns) == made.turns - 1


def test_a_lone_way_beside_the_field_is_no_run():
    made = rectangle(300, 48, 6, 9, 22)
    road = np.arange(120.0)
    time = np.concatenate([road, 130 + made.time_s - made.time_s[0]])
    east = np.concatenate([np.full(120, -150.0), made.east_m])
    north = np.concatenate([2.5 * road, made.north_m])
    work = find_work(track_of(time, east, north), 6.0)
    assert len(work.runs) == made.runs


@pytest.mark.parametrize(
    ("time", "east", "words"),
    [
        (np.zeros(3), np.zeros(3), "no two positions"),
        (np.arange(0, 300, 30.0), np.arange(10.0), "no two positions"),
        (np.arange(0, 300, 8.0), np.arange(38.0), "8 s apart"),
        (np.arange(60.0), np.zeros(60), "no movement"),
        (np.arange(8.0), 2 * np.arange(8.0), "no straight run"),
    ],
)
def test_what_shows_no_work_says_why(time, east, words):
    with pytest.raises(NoRuns, match=words):
        find_work(track_of(time, east, 0 * east), 6.0)


def test_nothing_at_all():
    assert usable_positions([], [], [], []).size == 0
    assert float(position_scatter([1.0], [2.0])) == 0
    assert even_track([0.0, 1.0], [0.0, 1.0], [0.0, 0.0], [], 3).shape == (4, 0)
    with pytest.raises(NoRuns):
        track_of([], [], [])


def test_impossible_values_are_named():
    with pytest.raises(ImpossibleValue, match="width_m"):
        find_work(track_of(np.arange(60.0), 2 * np.arange(60.0), np.zeros(60)), 0)
    with pytest.raises(ImpossibleValue, match="working_h / field_h"):
        time_efficiency(2, 1)
    with pytest.raises(ImpossibleValue, match="way_m"):
        width_use(1, 0, 6)


def test_one_log_in_three_forms_is_one_log(tmp_path):
    made = rectangle(200, 24, 6, 9, 22, loop=True)
    columns = written(tmp_path, COLUMNS, "columns.toml")
    logs = [
        read_position_log(written(tmp_path, gpx(made, fix="dgps"), "a")),
        read_position_log(written(tmp_path, nmea(made), "b")),
        read_position_log(written(tmp_path, csv_of(made), "c"), columns),
    ]
    assert [log.kind for log in logs] == ["GPX", "NMEA", "CSV"]
    assert logs[0].began == logs[1].began
    assert logs[2].began is None
    assert [log.plain for log in logs] == [False, False, True]
    for log in logs[1:]:
        np.testing.assert_allclose(log.time_s, logs[0].time_s, atol=0.011)
        np.testing.assert_allclose(log.latitude_deg, logs[0].latitude_deg, atol=2e-8)
        np.testing.assert_allclose(log.longitude_deg, logs[0].longitude_deg, atol=2e-8)
    assert logs[2].speed_m_s is not None
    assert logs[2].speed_m_s[0] == pytest.approx(9.5 / 3.6)
    assert logs[2].tools_down is not None
    assert set(logs[2].tools_down) == {0.0, 1.0}


def test_midnight_is_passed_once(tmp_path):
    made = rectangle(200, 24, 6, 9, 22)
    log = read_position_log(written(tmp_path, nmea(made, clock_s=86_390.0)))
    assert log.began is not None
    assert log.began.isoformat() == "2026-04-20T23:59:50+00:00"
    np.testing.assert_allclose(np.diff(log.time_s), 1.0, atol=0.011)
    undated = "\n".join(line for line in nmea(made, clock_s=86_390.0).splitlines() if "GGA" in line)
    log = read_position_log(written(tmp_path, undated))
    assert log.began is None
    np.testing.assert_allclose(np.diff(log.time_s), 1.0, atol=0.011)


def test_a_date_from_zda_and_a_logger_mark_before_the_sentence(tmp_path):
    lines = [
        "2026-04-20 09:00 " + sentence("GPGGA,080000.00,5600.0000000,N,00900.0000000,E,4,9,1,1,M,1,M,1,1"),
        sentence("GPZDA,080000.00,20,04,2026,00,00"),
        sentence("GPGGA,080001.00,5600.0010000,S,00900.0000000,W,4,9,1,1,M,1,M,1,1"),
    ]
    log = read_position_log(written(tmp_path, "\n".join(lines)))
    assert log.began is not None
    assert log.began.isoformat() == "2026-04-20T08:00:00+00:00"
    assert log.latitude_deg[1] < 0
    assert log.longitude_deg[1] == -9


def test_broken_sentences_are_counted_not_fatal(tmp_path):
    made = rectangle(200, 24, 6, 9, 22)
    lines = nmea(made).splitlines()
    lines[10] = lines[10][:-2] + "ZZ"
    lines[20] = lines[20].replace("N", "M", 1)
    lines[30] = lines[30][:25]
    log = read_position_log(written(tmp_path, "\n".join(["junk $$$ here", *lines, "\0\xff"]).encode("latin-1")))
    assert any("1 sentence left out: the check sum is wrong" in remark for remark in log.remarks)


def test_bad_fixes_are_left_out_and_counted(tmp_path):
    made = rectangle(200, 24, 6, 9, 22)
    lines = nmea(made).splitlines()
    for k, quality in ((10, "0"), (12, "1"), (14, "6")):
        cells = lines[k].split("*")[0][1:].split(",")
        cells[6] = quality
        lines[k] = sentence(",".join(cells))
    log = read_position_log(written(tmp_path, "\n".join(lines)))
    assert log.time_s.size == made.time_s.size - 3
    for words in ("no fix)", "satellites alone", "dead reckoning"):
        assert any(words in remark for remark in log.remarks)
    assert set(log.fix) == {4}
    poor = read_position_log(written(tmp_path, nmea(made, quality=1)))
    assert poor.plain
    assert poor.time_s.size == made.time_s.size


def test_segments_are_breaks_and_odd_points_are_left_out(tmp_path):
    text = gpx(rectangle(200, 24, 6, 9, 22), pieces=3)
    text = text.replace('lat="56.0', 'lat="x', 1).replace("<time>2026-04-20T08:00:05", "<time>when", 1)
    log = read_position_log(written(tmp_path, "\ufeff" + text))
    assert log.piece.max() == 2
    assert any("2 track points left out" in remark for remark in log.remarks)


BOMB = '<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]><gpx>&b;</gpx>'
AWAY = '<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/hostname">]><gpx>&x;</gpx>'
POINT = '<trkpt lat="56" lon="9"/>'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (BOMB, "was not read"),
        (AWAY, "was not read"),
        ("<gpx><trk><trkseg><trkpt", "broken or cut off"),
        ("<kml></kml>", "no GPX: it begins with <kml>"),
        ("<gpx></gpx>", "no track with times"),
        (f"<gpx><trk><trkseg>{POINT}</trkseg></trk></gpx>", "1 track points have no time"),
        ('<gpx><rte><rtept lat="1" lon="1"/></rte></gpx>', "a planned route"),
        ("<gpx>" + "<a>" * 2000, "nested more than"),
        ("", "holds nothing"),
        ("hello", "say with --columns"),
        ("$GPGGA,no,no*00\n$GPRMC,,V,,,,,,,,,*00", "no position"),
        (sentence("GPGGA,080000,5600.0,N,00900.0,E,0,0,,,,,,,"), "no position"),
        (sentence("GPGGA,080000,5600.0,N,00900.0,E,4,0,,,,,,,"), "holds 1 position with"),
        (sentence("GPGGA,080000,5699.0,N,00900.0,E,4,0,,,,,,,"), "holds no position"),
        (b"\x00\x01\x02" * 500, "say with --columns"),
    ],
)
def test_files_that_cannot_be_used_say_why(tmp_path, text, words):
    assert words in faults_of(written(tmp_path, text))


def test_no_file_and_no_plain_file(tmp_path):
    assert "there is no such file" in faults_of(tmp_path / "none")
    assert "is no file" in faults_of(tmp_path)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('name = "t"', 'name = "x"', "column x: for time is not there"),
        ('unit = "km/h"', 'unit = "kg"', "column.speed: unit"),
        ('down = "Down"', 'down = "lowered"', 'never says "lowered"'),
        (', down = "Down"', "", "needs the word"),
        ("latitude", "lattitude", 'did you mean "latitude"'),
        ("[column]", "[columns]", "column: is missing"),
        ('time = { name = "t", unit = "s" }', "", "column.time: is missing"),
        ('name = "lat"', "nam = 1", "needs the name"),
        ('{ name = "lat", unit = "deg" }', '{ name = "lat", unit = "deg", far = 1 }', "has far"),
        ('unit = "s"', 'unit = "clock"', "no date and time"),
        ("[column]", "[column", "cannot be read"),
    ],
)
def test_wrong_declarations_say_what_and_where(tmp_path, old, new, words):
    made = rectangle(200, 24, 6, 9, 22)
    assert words in faults_of(
        written(tmp_path, csv_of(made)), written(tmp_path, COLUMNS.replace(old, new, 1), "c.toml")
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("T;Lat;Lon;V;Hitch", "holds no records"),
        ("T;Lat;Lon;V;Hitch\n1;2;3", "line 2: has another number of cells"),
        ("T;T;Lat;Lon;V;Hitch\n1;1;2;3;4;down", "stands twice"),
        ("T;Lat;Lon;V;Hitch\nx;56;9;4;down\n2;inf;9;4;down", "2 faults"),
        ("T;Lat;Lon;V;Hitch\n1;156;9;4;down\n2;156;9;4;down", "a place that cannot be"),
        ("T;Lat;Lon;V;Hitch\n1;56;9;4;down\n1;56;9;4;down", "one moment only"),
        (b"\xff\xf0T;Lat", "not UTF-8"),
    ],
)
def test_broken_tables_say_what_and_where(tmp_path, text, words):
    columns = written(tmp_path, COLUMNS, "c.toml")
    assert words in faults_of(written(tmp_path, text), columns)


def test_a_table_out_of_order_is_put_in_order(tmp_path):
    made = rectangle(200, 24, 6, 9, 22)
    lines = csv_of(made).splitlines()
    lines[5], lines[9] = lines[9], lines[5]
    log = read_position_log(written(tmp_path, "\n".join(lines)), written(tmp_path, COLUMNS, "c.toml"))
    assert (np.diff(log.time_s) > 0).all()
    assert any("time goes back" in remark for remark in log.remarks)


def test_a_plain_fix_tells_no_overlap(tmp_path, day):
    plain = read_position_log(written(tmp_path, gpx(day)))
    found = time_log(plain, 6.0)
    assert np.isnan(found.apart_m)
    assert found.width_share == pytest.approx(1)
    assert not any("overlap" in line for line in plan_lines(found))
    assert "not told" in timing_text(found)
    sure = time_log(plain, 6.0, corrected=True)
    assert sure.apart_m == pytest.approx(5.9, abs=0.01)
    assert 'overlap = "10 cm"' in "\n".join(plan_lines(sure))


def test_text_lines_and_picture(tmp_path, day):
    found = time_log(read_position_log(written(tmp_path, nmea(day))), 6.0, Other("Far Piece", 300, 5, 1.0, 12))
    text = timing_text(found, plan_lines(found))
    assert max(map(len, text.splitlines())) <= 100
    for words in ("looked", "must not be quoted", "Far Piece", "headlands of 12 m", 'turn = "', 'speed = "'):
        assert words in text
    table = states_csv(found).splitlines()
    assert len(table) == found.work.track.at_s.size + 1
    assert {row.split(";")[5] for row in table[1:]} <= set(STATES)
    spec = track_chart(found)
    assert "looked" in str(spec["title"])
    assert spec == track_chart(found)


def test_lines_for_a_plan_are_read_by_it(tmp_path, day):
    found = time_log(read_position_log(written(tmp_path, nmea(day))), 6.0)
    values = tomllib.loads("\n".join(plan_lines(found)))
    assert set(values) == {"turn", "overlap", "speed"}
    assert found.turns is not None
    assert parse(values["turn"], "s").value == pytest.approx(found.turns.mean, abs=0.06)
    assert parse(values["overlap"], "cm").value == 10
    assert parse(values["speed"], "km/h").value == pytest.approx(found.speed_km_h, abs=0.006)


def test_too_few_turns_give_no_interval(tmp_path):
    made = rectangle(200, 12, 6, 9, 22, loop=True)
    found = time_log(read_position_log(written(tmp_path, nmea(made))), 6.0)
    assert found.turns is not None
    assert found.turns.count == 1
    assert np.isnan(found.elsewhere.low_ha_h)
    assert any("only 1 turn could be timed" in remark for remark in found.remarks)
    assert timing_text(found, plan_lines(found))
    one = rectangle(200, 6, 6, 9, 22)
    none = time_log(read_position_log(written(tmp_path, nmea(one))), 6.0)
    assert none.turns is None
    assert "no rate is given" in timing_text(none)
    assert not any("turn" in line for line in plan_lines(none))
    track_chart(none)


def test_errors_of_the_positions_are_told_and_widen_what_rests_on_turns(tmp_path):
    found = []
    for noise in (0.02, 0.5):
        made = rectangle(400, 96, 6, 10, 25, loop=True, noise_m=noise)
        found.append(time_log(read_position_log(written(tmp_path, gpx(made))), 6.0))
    sharp, blurred = found
    assert blurred.turn_doubt_s == pytest.approx(2.0, abs=0.3)
    assert sharp.turn_doubt_s < 0.2
    assert any("mean turn may be 2 s off either way" in remark for remark in blurred.remarks)
    assert not any("off either way" in remark for remark in sharp.remarks)
    widths = [one.elsewhere.high_ha_h - one.elsewhere.low_ha_h for one in found]
    assert widths[1] > 3 * widths[0]
    assert blurred.turn_error_s > 1


def test_tools_in_the_log_leave_no_doubt_of_the_turns(tmp_path):
    made = rectangle(400, 48, 6, 10, 25, loop=True, noise_m=0.5)
    rows = ["time;lat;lon;tools"]
    latitude, longitude = degrees(made.east_m, made.north_m)
    rows += [
        f"{t:.1f};{a:.8f};{b:.8f};{int(d)}"
        for t, a, b, d in zip(made.time_s, latitude, longitude, made.tools, strict=True)
    ]
    (tmp_path / "log.csv").write_text("\n".join(rows) + "\n", "utf-8")
    (tmp_path / "columns.toml").write_text(
        '[column]\ntime = { name = "time", unit = "s" }\nlatitude = { name = "lat", unit = "deg" }\n'
        'longitude = { name = "lon", unit = "deg" }\ntools = { name = "tools", down = "1" }\n', "utf-8",
    )  # fmt: skip
    found = time_log(read_position_log(tmp_path / "log.csv", tmp_path / "columns.toml"), 6.0)
    assert found.turn_doubt_s == 0
    assert found.turns is not None
    assert found.turn_error_s == found.turns.se
