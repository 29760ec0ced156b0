"""Hourly files of other layouts: columns by name, zones and stamps, gaps, rain of its own, typical years, and what is refused."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from plans.faulty import DEMO
from spadework.plan import PlanFaults, read_text
from spadework.plan.weather.series import Series, weather_hours, weather_series

BEFORE, AFTER = DEMO[: DEMO.index("[weather]")], DEMO[DEMO.index("[prices]") :]
NAMES = """
[weather.columns]
"When" = "time"
"Temp (C)" = "air temperature, degC"
"Wind km/h" = "wind, km/h"
"""
RAIN = '"Rain" = "rain, mm"\n'
HEAD = "When;Temp (C);Wind km/h;Rain"
Write = Callable[..., None]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Write a weather file of lines into the folder of the plan."""

    def to_folder(*lines: str, name: str = "station.csv", encoding: str = "utf-8") -> None:
        (tmp_path / name).write_bytes(("\n".join(lines) + "\n").encode(encoding))

    return to_folder


def text(keys: str = "", start: str = "2026-04-20T08:00:00+02:00", hours: int = 4, file: str = "station.csv") -> str:
    head = f'[weather]\nfile = "{file}"\nstart = {start}\nhours = {hours}\nwind_height = "10 m"\n'
    return BEFORE + head + keys + "\n" + AFTER


def series(folder: Path, keys: str = "", **more: object) -> Series:
    return weather_series(read_text(text(keys, **more), "plan.toml", folder))  # type: ignore[arg-type]


def faults(folder: Path, keys: str = "", **more: object) -> list[str]:
    with pytest.raises(PlanFaults) as caught:
        weather_hours(read_text(text(keys, **more), "plan.toml", folder))  # type: ignore[arg-type]
    return [str(fault) for fault in caught.value.faults]


def day(*cells: str, sep: str = ";", date: str = "2026-04-20") -> list[str]:
    """Return the 24 lines of a day; cells may use {h}."""
    return [sep.join([f"{date}T{h:02}:00", *(cell.format(h=h) for cell in cells)]) for h in range(24)]


def test_columns_by_name_with_decimal_comma_and_a_zone(write: Write, tmp_path: Path) -> None:
    write("Station 7; somewhere", "", HEAD + ";;", *day("{h},5", "36", "0,2", "", "x"), encoding="utf-8-sig")
    read = read_text(text('zone = "Europe/Berlin"' + NAMES + RAIN), folder=tmp_path)
    hours = weather_hours(read)
    assert hours.air_temperature_degc == (8.5, 9.5, 10.5, 11.5)
    assert hours.wind_m_s == pytest.approx((10.0,) * 4)
    assert hours.rain_mm_h == pytest.approx((0.2,) * 4)
    assert (hours.filled_hours, hours.notes) == (0, ())
    whole = weather_series(read)
    assert len(whole.times) == 24
    assert whole.times[0] == np.datetime64("2026-04-19T22:00:00")


@pytest.mark.parametrize("sep", [",", ";", "\t"])
@pytest.mark.parametrize(("stamp", "first"), [("start", 8), ("end", 9)])
def test_separators_and_which_end_of_the_hour_a_time_marks(
    write: Write, tmp_path: Path, sep: str, stamp: str, first: int
) -> None:
    write(HEAD.replace(";", sep), *day("{h}", "36", "0", sep=sep))
    read = read_text(text(f'zone = "UTC+2"\nstamp = "{stamp}"' + NAMES), folder=tmp_path)
    assert weather_hours(read).air_temperature_degc[0] == first


def test_date_and_hour_in_two_columns_and_an_hour_24(write: Write, tmp_path: Path) -> None:
    rows = [f"20260420,{h},{h * 10},  5" for h in range(1, 25)]
    write("# comments first", "YYYYMMDD,HH,T,FH", *rows)
    names = """
[weather.columns]
"YYYYMMDD" = "date, YYYYMMDD"
"HH" = "time of day, hh"
"T" = "air temperature, 0.1 degC"
"FH" = "wind, 0.1 m/s"
"""
    whole = series(tmp_path, 'zone = "UTC"\nstamp = "end"' + names)
    assert whole.air_temperature_degc.tolist() == pytest.approx(range(1, 25))
    assert whole.times[0] == np.datetime64("2026-04-20T00:00:00")
    assert set(whole.wind_m_s) == {0.5}


@pytest.mark.parametrize(
    ("pattern", "cell"),
    [
        ("DD.MM.YYYY hh:mm", "20.4.2026 {h}:00"),
        ("YYYYMMDDhh", "20260420{h:02}"),
        ("MM/DD/YYYY hh:mm AM", "4/20/2026 {h}:00 am"),
        ("YYYY-MM-DDThh:mm:ss", "2026-04-20T{h:02}:00:00"),
    ],
)
def test_times_by_a_pattern(write: Write, tmp_path: Path, pattern: str, cell: str) -> None:
    write(HEAD, *[f"{cell.format(h=h)};{h};36;0" for h in range(1, 12)])
    names = NAMES.replace('"time"', f'"time, {pattern}"')
    assert series(tmp_path, 'zone = "UTC+2"' + names).air_temperature_degc.tolist() == list(range(1, 12))


def test_noon_and_midnight_by_half_days(write: Write, tmp_path: Path) -> None:
    write(HEAD, *[f"4/20/2026 {(h - 1) % 12 + 1}:00 {'PM' if h >= 12 else 'AM'};{h};36;0" for h in range(24)])
    names = NAMES.replace('"time"', '"time, MM/DD/YYYY hh:mm AM"')
    assert series(tmp_path, 'zone = "UTC+2"' + names).air_temperature_degc.tolist() == list(range(24))


def test_gaps_are_filled_where_that_is_allowed_and_counted(write: Write, tmp_path: Path) -> None:
    rows = day("{h}", "36", "0")
    rows[8] = rows[8].replace(";8;", ";-999;")
    del rows[10]
    write(HEAD, *rows)
    keys = 'zone = "UTC+2"\nmissing = ["-999.0", "NA"]\nmax_gap = "1 h"'
    read = read_text(text(keys + NAMES), folder=tmp_path)
    hours = weather_hours(read)
    assert hours.air_temperature_degc == (8, 9, 10, 11)
    assert hours.filled == (True, False, True, False)
    assert hours.filled_hours == 2
    assert "air temperature: 2 of 4 h filled by a straight line" in hours.notes
    assert "wind: 1 of 4 h filled by a straight line" in hours.notes
    assert weather_series(read).filled.sum() == 2
    (fault, other) = faults(tmp_path, keys.replace("1 h", "0 h") + NAMES)
    assert "lacks 1 of the 4 hours" in other + fault
    assert "no air temperature in line 10; gaps of up to 0 h are filled" in other + fault
    (fault,) = faults(tmp_path, keys + NAMES + RAIN)  # no line, no rain
    assert "no rain for 1 of the 4 hours, the first from 2026-04-20 08:00 UTC; rain is never filled" in fault


def test_a_series_ends_where_the_file_does_and_at_long_gaps(write: Write, tmp_path: Path) -> None:
    rows = day("{h}", "36", "0")
    write(HEAD, *rows[:3], *rows[5:14], rows[14].replace(";14;", ";99;"), *rows[15:])
    whole = series(tmp_path, 'zone = "UTC+2"\nmax_gap = "1 h"' + NAMES)
    assert whole.air_temperature_degc.tolist() == list(range(5, 14))
    assert "no rain in the file: counted as none" in whole.notes
    assert set(whole.rain_mm_h) == {0}
    longer = series(tmp_path, 'zone = "UTC+2"\nmax_gap = "2 h"' + NAMES)
    assert longer.air_temperature_degc.tolist() == pytest.approx(range(14))
    assert longer.filled.tolist() == [h in (3, 4) for h in range(14)]


def test_a_series_between_two_times(write: Write, tmp_path: Path) -> None:
    write(HEAD, *day("{h}", "36", "0"))
    read = read_text(text('zone = "UTC+2"' + NAMES), "plan.toml", tmp_path)
    first = dt.datetime(2026, 4, 20, 3, tzinfo=dt.UTC)
    part = weather_series(read, first, first + dt.timedelta(hours=5))
    assert part.air_temperature_degc.tolist() == [5, 6, 7, 8, 9, 10]
    assert weather_series(read, first).air_temperature_degc.tolist() == list(range(5, 24))
    assert weather_series(read, last=first).air_temperature_degc.tolist() == list(range(6))
    with pytest.raises(PlanFaults, match="lacks 3 of the 24 hours from 2026-04-20T01:00:00"):
        weather_series(read, first - dt.timedelta(hours=2), first + dt.timedelta(hours=21))
    with pytest.raises(ValueError, match="before the first"):
        weather_series(read, first, first - dt.timedelta(hours=1))
    with pytest.raises(ValueError, match="time zone"):
        weather_series(read, first.replace(tzinfo=None))


def test_rain_of_a_file_of_its_own(write: Write, tmp_path: Path) -> None:
    write(HEAD, *day("{h}", "36", "0"))
    write("time\train_mm", *[f"2026-04-20T{h:02}:00Z\t{h / 10}" for h in range(5, 9)], name="rain.csv")
    rain = '[weather.rain]\nfile = "rain.csv"\n'
    keys = 'zone = "UTC+2"' + NAMES + rain
    whole = series(tmp_path, keys, start="2026-04-20T07:00:00+02:00", hours=2)
    assert whole.rain_mm_h.tolist() == pytest.approx([0.5, 0.6, 0.7, 0.8])
    assert whole.came_from == "station.csv, beside the plan; rain from rain.csv"
    assert (
        "weather, rain, file: the weather file rain.csv has no rain for 2 of the 4"
        in faults(tmp_path, keys, start="2026-04-20T09:00:00+02:00")[0]
    )
    write("Day\tIn", *[f"2026-04-20T{h:02}:00Z\t{h - 5}" for h in range(5, 9)], name="rain.csv")
    named = rain + '[weather.rain.columns]\n"Day" = "time"\n"In" = "rain, in"\n'
    keys = 'zone = "UTC+2"' + NAMES + named
    assert series(tmp_path, keys, hours=2).rain_mm_h.tolist() == pytest.approx([0, 25.4, 50.8, 76.2])
    write("Day\tIn", "2026-04-20T06:00Z\t9", name="rain.csv")
    assert "line 2: In is 9; it can be 0 to 7.874" in faults(tmp_path, keys, hours=1)[0]


def test_further_quantities(write: Write, tmp_path: Path) -> None:
    write(
        "time,air_temperature_degc,wind_m_s,relative_humidity_pct,global_radiation_w_m2,evaporation_mm",
        *day("{h}", "3", "80", "500", "", sep=","),
    )
    whole = series(tmp_path, 'zone = "UTC+2"')
    assert set(whole.others["relative_humidity", None]) == {0.8}
    assert set(whole.others["global_radiation", None]) == {500.0}
    assert np.isnan(whole.others["evaporation", None]).all()
    assert "evaporation: missing in 24 of 24 h" in whole.notes
    names = NAMES + '"Rain" = "soil temperature at 2 in, degF"\n'
    write(HEAD, *day("{h}", "36", "50"))
    others = series(tmp_path, 'zone = "UTC+2"' + names).others
    assert others["soil_temperature", 5.08] == pytest.approx([10.0] * 24)


def test_the_hour_that_comes_twice_and_the_hour_that_does_not(write: Write, tmp_path: Path) -> None:
    hours = [0, 1, 2, 2, 3, 4]
    rows = [f"2026-10-25T{h:02}:00;{i};36;0" for i, h in enumerate(hours)]
    write(HEAD, *rows)
    keys, start = 'zone = "Europe/Berlin"' + NAMES, "2026-10-25T01:00:00+02:00"
    assert series(tmp_path, keys, start=start).air_temperature_degc.tolist() == [0, 1, 2, 3, 4, 5]
    write(HEAD, *reversed(rows))
    assert series(tmp_path, keys, start=start).air_temperature_degc.tolist() == [0, 1, 2, 3, 4, 5]
    write(HEAD, *rows[:4], rows[3], *rows[4:])
    assert "stands in line 5 already" in faults(tmp_path, keys, start=start)[0]
    write(HEAD, *[f"2026-03-29T{h:02}:00;{h};36;0" for h in range(6)])
    (said,) = faults(tmp_path, keys, start="2026-03-29T00:00:00+01:00")
    assert "line 4: the clock of Europe/Berlin left out 02:00 on 2026-03-29" in said
    assert 'zone = "UTC+1"' in said
    fixed = series(tmp_path, 'zone = "UTC+1"' + NAMES, start="2026-03-29T00:00:00+01:00")
    assert fixed.air_temperature_degc.tolist() == list(range(6))


def test_all_faults_of_the_mapping_at_once(tmp_path: Path) -> None:
    names = """
[weather.columns]
"When" = "time, DD.MM.YY"
"T" = "air temprature, degC"
"W" = "wind, kg"
"W2" = "wind"
"S" = "soil temperature, degC"
"R" = "rain, 5 +/- 1 mm"
"""
    with pytest.raises(PlanFaults) as caught:
        read_text(text('zone = "Europa/Berlin"' + names), folder=tmp_path)
    said = {fault.key: fault.what for fault in caught.value.faults}
    assert 'did you mean "Europe/Berlin"?' in said["weather, zone"]
    assert 'did you mean "air temperature"?' in said["weather, columns, T"]
    assert '"kg" is a mass; needed is a speed: m/s, km/h' in said["weather, columns, W"]
    assert "has no unit" in said["weather, columns, W2"]
    assert "needs its depth" in said["weather, columns, S"]
    assert "weather, columns, R" in said
    assert '"DD.MM.YY" does not say how a time is written' in said["weather, columns"]
    lines = [fault.line for fault in caught.value.faults]
    assert None not in lines
    assert len(set(lines)) == 7


@pytest.mark.parametrize(
    ("keys", "key", "words"),
    [
        (NAMES.replace('"When" = "time"', ""), "weather, columns", "say which column holds the time"),
        (NAMES.replace('"When" = "time"', '"When" = "date"'), "weather, columns", "say which column holds the time"),
        (NAMES.replace('"Wind km/h" = "wind, km/h"', ""), "weather, columns", "no column holds the wind"),
        (NAMES + '"W" = "wind, m/s"', "weather, columns, W", '"Wind km/h" holds the wind already'),
        (NAMES + '"Temp  (C)" = "rain, mm"', "weather, columns, Temp  (C)", "stands twice"),
        (NAMES + '"W" = 3', "weather, columns, W", "text, in double quotes"),
        ("max_gap = 3", "weather, max_gap", '3 has no unit'),
        ('max_gap = "40 h"', "weather, max_gap", "0 h to 24 h"),
        ('zone = "UTC+15"', "weather, zone", "beyond every zone in use"),
        ('zone = "../../etc/passwd"', "weather, zone", "no time zone that is known here"),
        ('layout = "epw"\nstamp = "end"', "weather, stamp", "leave stamp out"),
        ('layout = "excel"', "weather, layout", '"epw"'),
        (NAMES + RAIN + '[weather.rain]\nfile = "r.csv"', "weather, rain", "holds the rain already"),
        (
            '[weather.rain]\nfile = "r.csv"\nzone = "Moon"\n', "weather, rain, zone", "no time zone"
        ),
        (
            '[weather.rain]\nfile = "r.csv"\n[weather.rain.columns]\nA = "time"\nB = "rain, mm"\nC = "wind, m/s"',
            "weather, rain, columns, C",
            "only rain is read",
        ),
    ],
)  # fmt: skip
def test_keys_that_do_not_agree(tmp_path: Path, keys: str, key: str, words: str) -> None:
    with pytest.raises(PlanFaults) as caught:
        read_text(text(keys), folder=tmp_path)
    (fault,) = caught.value.faults
    assert fault.key == key
    assert words in fault.what
    assert fault.line


def test_the_wind_of_a_layout_that_knows_its_height(tmp_path: Path) -> None:
    with pytest.raises(PlanFaults, match='write wind_height = "10 m"'):
        read_text(text('layout = "tmy"').replace('wind_height = "10 m"', 'wind_height = "2 m"'), folder=tmp_path)


def test_what_a_file_must_not_be(write: Write, tmp_path: Path) -> None:
    keys = 'zone = "UTC+2"' + NAMES
    write("When;Temp (F);Wind km/h", "x")
    (said,) = faults(tmp_path, keys)
    assert 'columns, Temp (C): the weather file station.csv has no column "Temp (C)"; did you mean "Temp (F)"?' in said
    write(HEAD + ";Temp (C)", *day("{h}", "36", "0"))
    assert 'two columns "Temp (C)"; rename one' in faults(tmp_path, keys)[0]
    write(HEAD, *day("{h}", "36", "0"))
    assert "has no zone, such as +02:00; or name the zone of the file" in faults(tmp_path, NAMES)[0]
    assert "and so on in 19 more lines" in faults(tmp_path, NAMES)[-1]
    write("When,Temp (C),Wind km/h", "2026-04-20T08:00,8,5,36,0")
    assert "decimal comma need another sign" in faults(tmp_path, keys)[0]
    write(HEAD, *[f"2026-04-20T08:{m:02}+02:00;1;1;0" for m in range(0, 60, 10)])
    assert "begins 10 min after line 2; one line an hour is needed" in faults(tmp_path, keys)[0]
    write(HEAD, "Temp °C", encoding="latin-1")
    assert "is not UTF-8 text: line 2" in faults(tmp_path, keys)[0]
    write(HEAD, encoding="utf-16")
    assert "UTF-16" in faults(tmp_path, keys)[0]
    write("#")
    assert "holds no lines" in faults(tmp_path, keys)[0]
    write(HEAD, *[line.replace(";36;", ";333;") for line in day("{h}", "36", "0")])
    assert "line 10: Wind km/h is 333; it can be 0 to 216" in faults(tmp_path, keys)[0]
    write(HEAD, *[line.replace(";36;", ";calm;") for line in day("{h}", "36", "0")])
    assert len(faults(tmp_path, keys, hours=9)) == 5
    assert "and 4 more like it" in faults(tmp_path, keys, hours=9)[-1]


def epw(zone: str = "1.0", rain: str = "0", air: str = "{h}.5") -> list[str]:
    """Return an EPW file of 20 and 21 April of two years, invented."""
    head = [f"LOCATION,Long Acre,-,XXX,invented,000000,52.0,9.0,{zone},60.0", *["HEAD"] * 6]
    fields = "{y},4,{d},{h},60,?9," + air + ",1.0,80,100000,0,0,300,120,0,0,0,0,0,0,180,3.0" + ",5" * 11 + f",{rain},1"
    rows = [fields.format(y=1990 + d, d=d, h=h) for d in (20, 21) for h in range(1, 25)]
    return [*head, "DATA PERIODS,1,1,Data,Sunday,4/20,4/21", *rows]


def test_epw(write: Write, tmp_path: Path) -> None:
    write(*epw(), name="w.epw")
    whole = series(tmp_path, 'layout = "epw"', file="w.epw")
    assert len(whole.times) == 48
    assert whole.times[0] == np.datetime64("2026-04-19T23:00:00")  # hour 1 begins at midnight, UTC+1
    assert whole.air_temperature_degc[:2].tolist() == [1.5, 2.5]
    assert whole.others["relative_humidity", None][0] == pytest.approx(0.8)
    assert whole.others["global_radiation", None][0] == 120
    assert "no rain in the file: counted as none" in whole.notes
    assert "typical year" in whole.came_from
    write(*epw("5.5", "1.2"), name="w.epw")
    whole = series(tmp_path, 'layout = "epw"', file="w.epw", start="2025-04-20T08:30:00+02:00")
    assert whole.times[0] == np.datetime64("2025-04-19T18:30:00")
    assert set(whole.rain_mm_h) == {1.2}
    write(*epw(rain="500"), name="w.epw")
    assert "rain is 500; it can be 0 to 200" in faults(tmp_path, 'layout = "epw"', file="w.epw")[0]
    write("time,rain_mm", *[f"2026-04-20T{h:02}:00Z,0.1" for h in range(5, 12)], name="rain.csv")
    own = series(tmp_path, 'layout = "epw"\n[weather.rain]\nfile = "rain.csv"', file="w.epw")
    assert own.rain_mm_h.tolist() == [0.1] * 7


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (["time;air"], "line 1: an EPW file begins with LOCATION"),
        (epw("east"), "line 1: an EPW file begins with LOCATION"),
        (epw("99"), "line 1: an EPW file begins with LOCATION"),
        (epw()[:7], "line 8: the last line of the head"),
        ([*epw()[:7], "DATA PERIODS,1,4,Data", *epw()[8:]], "for one line an hour"),
        ([*epw()[:10], "1990,4,20,25,60", *epw()[11:]], "line 11: the line does not begin with year"),
        ([*epw()[:10], f"1990,{10**40},20,2,60", *epw()[11:]], "line 11: the line does not begin with year"),
        ([*epw()[:10], "1990,2,30,5,60", *epw()[11:]], "line 11: month 2, day 30, 4 h is no time"),
        (epw(air="99.9"), "has no air temperature in lines "),
        (epw(air="61"), "air temperature is 61; it can be -60 to 60"),
    ],
)
def test_epw_that_is_none(write: Write, tmp_path: Path, lines: list[str], words: str) -> None:
    write(*lines, name="w.epw")
    assert words in faults(tmp_path, 'layout = "epw"', file="w.epw")[0]


def tmy(year: int = 2012, days: int = 366) -> list[str]:
    first = dt.datetime(2012, 1, 1)
    rows = [
        f"{first + dt.timedelta(hours=h):%Y%m%d:%H%M},{h % 24}.25,80.0,5.0,0,0,0,2.0,90,99000" for h in range(24 * days)
    ]
    return [
        "Latitude (decimal degrees): 52.0",
        "time(UTC),T2m,RH,G(h),Gb(n),Gd(h),IR(h),WS10m,WD10m,SP",
        *rows,
        "",
        "T2m: air",
    ]


def test_tmy_is_laid_on_the_year_of_the_plan(write: Write, tmp_path: Path) -> None:
    write(*tmy())
    whole = series(tmp_path, 'layout = "tmy"')
    assert len(whole.times) == 3 * 8760  # 29 February falls out of 2025, 2026 and 2027
    leap = series(tmp_path, 'layout = "tmy"', start="2024-02-29T08:00:00+00:00")
    assert len(leap.times) == 8760 + 8784 + 8760
    read = read_text(text('layout = "tmy"', start="2026-12-31T22:00:00+00:00"), folder=tmp_path)
    assert weather_hours(read).air_temperature_degc == (22.25, 23.25, 0.25, 1.25)
    write(*[line for line in tmy() if not line.startswith("20120229")])
    assert "may have no 29 February" in faults(tmp_path, 'layout = "tmy"', start="2024-02-29T08:00:00+00:00")[0]
    write(*tmy()[:1])
    assert "a line that begins with time(UTC)" in faults(tmp_path, 'layout = "tmy"')[0]
    write("time(UTC),T2m", "20120101:0000,1")
    assert "has no column WS10m" in faults(tmp_path, 'layout = "tmy"')[0]
    write(*tmy()[:5], "2012-01-01 04:00,1")
    assert "line 6:" in faults(tmp_path, 'layout = "tmy"')[0]


def test_a_changed_file_is_read_again(write: Write, tmp_path: Path) -> None:
    write(HEAD, *day("{h}", "36", "0"))
    keys = 'zone = "UTC+2"' + NAMES
    assert series(tmp_path, keys).air_temperature_degc[0] == 0
    write(HEAD, *day("30", "36", "0"))
    assert series(tmp_path, keys).air_temperature_degc[0] == 30


def test_a_typical_hour_as_a_series() -> None:
    keys = '[weather]\nair_temperature = "12 degC"\nwind = "3 m/s"\nwind_height = "2 m"\n'
    one = weather_series(read_text(BEFORE + keys + AFTER))
    assert np.isnat(one.times).tolist() == [True]
    assert (one.air_temperature_degc[0], one.wind_m_s[0], one.rain_mm_h[0]) == (12, 3, 0)
    assert one.wind_2_m_m_s[0] == pytest.approx(3)
    assert one.notes == ("no rain in the typical hour: counted as none",)


def test_a_wrong_value_is_not_taken_for_a_missing_one(write: Write, tmp_path: Path) -> None:
    lines = tmy()
    lines[2 + 24 * 110 + 9] = lines[2 + 24 * 110 + 9].replace(",9.25,", ",925,")  # 20 April of a leap year, 9 h UTC
    write(*lines)
    keys = 'layout = "tmy"\nmax_gap = "3 h"'
    read = read_text(text(keys, start="2026-04-20T10:00:00+00:00"), folder=tmp_path)
    whole = weather_series(read)
    assert whole.times[0] == np.datetime64("2026-04-20T10:00:00")
    assert whole.times[-1] == np.datetime64("2027-04-20T08:00:00")
    assert "T2m is 925; it can be -60 to 60" in faults(tmp_path, keys, start="2026-04-20T08:00:00+00:00")[0]
