"""The hours of the weather: out of a file beside the plan, or the one typical hour; never guessed."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest

from plans.faulty import DEMO
from spadework.plan import PlanFaults, read_text
from spadework.plan.weather.series import weather_hours

FOLDER = Path(str(files("spadework.demo")))
HEAD = "time,air_temperature_degc,wind_m_s"
HOURS = [f"2013-04-17T{hour:02}:00:00+00:00,{hour}.5,{hour / 10}" for hour in range(24)]
Write = Callable[..., Path]


def line_of(key: str) -> int:
    """Return the line on which a key of the demo's weather stands."""
    return DEMO.count("\n", 0, DEMO.index(f"\n{key} = ", DEMO.index("[weather]"))) + 2


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Write a weather file into the folder of the plan and return the folder."""

    def to_folder(*lines: str, encoding: str = "utf-8", ending: str = "\n") -> Path:
        (tmp_path / "weather.csv").write_bytes((ending.join(lines) + ending).encode(encoding))
        return tmp_path

    return to_folder


def faults(folder: Path, text: str = DEMO) -> str:
    with pytest.raises(PlanFaults) as caught:
        weather_hours(read_text(text, "plan.toml", folder))
    said = str(caught.value)
    assert said.count("\n") == 1
    return said


def test_the_hours_of_the_demo_are_those_that_stand_in_its_file() -> None:
    hours = weather_hours(read_text(DEMO, folder=FOLDER))
    assert len(hours.air_temperature_degc) == len(hours.wind_m_s) == 10
    assert hours.start == dt.datetime(2013, 4, 17, 9, tzinfo=dt.timezone(dt.timedelta(hours=2)))
    rows = [line for line in (FOLDER / "weather.csv").read_text().splitlines() if line.startswith("2013-04-17T")]
    first = next(row for row in rows if row.startswith("2013-04-17T07:00"))  # 9 h in the zone of the plan
    assert first.split(",")[1:3] == [str(hours.air_temperature_degc[0]), str(hours.wind_m_s[0])]
    assert "weather.csv" in hours.came_from


def test_hours_are_taken_in_order_of_time_whatever_the_zone_and_order_of_rows(write: Write) -> None:
    elsewhere = [row.replace("+00:00", "Z") for row in reversed(HOURS)]
    folder = write("# a comment, with commas", HEAD + ",rain_mm", *[row + ",0" for row in elsewhere], ending="\r\n")
    hours = weather_hours(read_text(DEMO, folder=folder))
    assert hours.air_temperature_degc == tuple(hour + 0.5 for hour in range(7, 17))


def test_a_byte_order_mark_and_columns_in_another_order_do_no_harm(write: Write) -> None:
    rows = [",".join(reversed(row.split(","))) for row in HOURS]
    folder = write("wind_m_s,air_temperature_degc,time", *rows, encoding="utf-8-sig")
    assert weather_hours(read_text(DEMO, folder=folder)).wind_m_s[0] == pytest.approx(0.7)


def test_one_typical_hour() -> None:
    start, end = DEMO.index('file = "weather'), DEMO.index("wind_height")
    text = DEMO[:start] + 'air_temperature = "50 +/- 4 degF"\nwind = "3 m/s"\n' + DEMO[end:]
    hours = weather_hours(read_text(text))
    assert hours.air_temperature_degc == pytest.approx((10.0,))
    assert hours.wind_m_s == (3.0,)
    assert hours.start is None


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    said = faults(tmp_path)
    assert f"line {line_of('file')}, weather, file: there is no weather file weather.csv beside the plan" in said
    (tmp_path / "weather.csv").mkdir()
    assert "is no file that holds text" in faults(tmp_path)


@pytest.mark.parametrize("column", ["air_temperature_degc", "time", "wind_m_s"])
def test_a_missing_column_is_named(write: Write, column: str) -> None:
    assert f"has no column {column}" in faults(write(HEAD.replace(column, "other"), *HOURS))


def test_missing_hours_are_counted_not_filled(write: Write) -> None:
    assert "lacks 10 of the 10 hours from 2013-04-17T09:00:00+02:00" in faults(write(HEAD))
    assert f"line {line_of('start')}, weather, start: " in faults(write(HEAD, *HOURS[:12]))
    assert "lacks 5 of the 10 hours" in faults(write(HEAD, *HOURS[:12]))
    assert "lacks 1 of the 10 hours" in faults(write(HEAD, *HOURS[:9], *HOURS[10:]))
    half_past = DEMO.replace("T09:00:00+02:00", "T09:30:00+02:00")
    assert "its hours must start at the same minute" in faults(write(HEAD, *HOURS), half_past)


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("2013-04-17T08:00:00,1,2", "has no zone, such as +02:00"),
        ("17.4.2013 8:00,1,2", "is no time such as"),
        (",1,2", '"" is no time'),
        ("2013-13-17T08:00:00+00:00,1,2", "is no time"),
        ("2013-04-17T08:00:00+00:00,warm,2", 'air_temperature_degc "warm" is no number'),
        ("2013-04-17T08:00:00+00:00,nan,2", 'air_temperature_degc "nan" is no number'),
        ("2013-04-17T08:00:00+00:00,1e999,2", 'air_temperature_degc "1e999" is no number'),
        ("2013-04-17T08:00:00+00:00,1_0,2", 'air_temperature_degc "1_0" is no number'),
        ("2013-04-17T08:00:00+00:00,1,2,3", "has 4 cells under 3 names"),
        ("2013-04-17T08:00:00+00:00,999,2", "air_temperature_degc is 999"),
        ("2013-04-17T08:00:00+00:00,1,-1", "wind_m_s is -1; it can be 0 to 60"),
        ('"2013-04-17T08:00:00+00:00,1,2', "line"),
    ],
)
def test_a_row_that_cannot_be_read_is_named_by_its_line(write: Write, row: str, words: str) -> None:
    said = faults(write("# first line", "", HEAD, *HOURS[:8], row, *HOURS[9:]))
    assert words in said
    if not row.startswith('"'):
        assert "the weather file weather.csv, line 12: " in said


@pytest.mark.parametrize("row", ["2013-04-17T08:00:00+00:00,,2", "2013-04-17T08:00:00+00:00,1"])
def test_an_empty_cell_is_a_missing_value(write: Write, row: str) -> None:
    what = "air temperature" if ",," in row else "wind"
    said = faults(write("# first line", "", HEAD, *HOURS[:8], row, *HOURS[9:]))
    assert f'has no {what} in line 12; max_gap = "3 h" would have short gaps filled' in said


def test_other_encodings_and_sizes_are_refused(write: Write) -> None:
    assert "is not UTF-8 text" in faults(write(HEAD + ",Temperatur °C", *HOURS, encoding="latin-1"))
    folder = write(HEAD, *HOURS)
    os.truncate(folder / "weather.csv", 60_000_000)
    assert "too large; cut out the season" in faults(folder)
