"""Weather files against their published layouts, zones against the rules of summer time, units against their definitions."""

from __future__ import annotations

import datetime as dt
import math
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from conftest import Check
from plans.faulty import DEMO
from spadework.plan import read_text
from spadework.plan.weather.layouts import map_columns
from spadework.plan.weather.series import Series, weather_series
from spadework.plan.weather.times import in_utc, time_reader, zone_of
from spadework.reference import load

DATA_DICTIONARY = "United States Department of Energy, Auxiliary programs (2024), data dictionary of EPW files, read"
HEADS = {"columns": "", "epw": 'layout = "epw"\n', "tmy": 'layout = "tmy"\n'}


def series(folder: Path, file: str, start: str, keys: str, hours: int = 1) -> Series:
    weather = f'[weather]\nfile = "{file}"\nstart = {start}\nhours = {hours}\nwind_height = "10 m"\n{keys}\n'
    text = DEMO[: DEMO.index("[weather]")] + weather + DEMO[DEMO.index("[prices]") :]
    return weather_series(read_text(text, folder=folder))


def epw_line(values: dict[int, float]) -> str:
    """Return a line in which the field at each place holds its own number, but for those given."""
    fields = {1: 1999, 2: 4, 3: 20, 5: 60, **values}
    return ",".join(str(fields.get(place, place)) for place in range(1, 36))


def epw_file(folder: Path, *lines: str) -> None:
    head = ["LOCATION,a,b,c,d,1,52.0,9.0,1.0,60.0", *["HEAD"] * 6, "DATA PERIODS,1,1,Data,Sunday,4/20,4/20"]
    (folder / "w.epw").write_text("\n".join([*head, *lines]) + "\n", "utf-8")


def test_epw_fields_stand_where_the_data_dictionary_has_them(check: Check, tmp_path: Path) -> None:
    """Each field of the line holds its own place as a number, so what is read tells from where."""
    epw_file(tmp_path, epw_line({4: 1}), epw_line({4: 2}))
    read = series(tmp_path, "w.epw", "2026-04-20T00:00:00+01:00", HEADS["epw"])
    rows = (  # N1 to N5, then A1, so that field Nx stands at place x + 1
        ("air temperature, field N6", 7, read.air_temperature_degc[0]),
        ("relative humidity, field N8", 9, read.others["relative_humidity", None][0] * 100),
        ("global radiation, field N13", 14, read.others["global_radiation", None][0]),
        ("wind, field N21", 22, read.wind_m_s[0]),
        ("rain, field N33", 34, read.rain_mm_h[0]),
    )
    for what, place, ours in rows:
        check(f"EPW: place of {what}", DATA_DICTIONARY, place, ours, 1e-9)
    check("EPW: fields of a line", DATA_DICTIONARY, 35, len(load("weather_epw")), 0)


@pytest.mark.parametrize(("key", "theirs"), [("air_temperature", 99.9), ("wind", 999), ("rain", 999),
                                             ("relative_humidity", 999), ("global_radiation", 9999)])  # fmt: skip
def test_epw_marks_of_missing_values(check: Check, tmp_path: Path, key: str, theirs: float) -> None:
    row = load("weather_epw")[key]
    check(f"EPW: {row.label} is missing from", DATA_DICTIONARY, theirs, row.entry("missing").value, 0)
    place = int(row.entry("field").value)
    plain = {7: 10.0, 9: 80, 14: 300, 22: 3.0, 34: 0.2}
    lines = [epw_line({4: hour, **plain}) for hour in (1, 2, 3)]
    epw_file(tmp_path, lines[0], epw_line({4: 2, **plain, place: theirs}), lines[2])
    if key == "rain":
        read = series(tmp_path, "w.epw", "2026-04-20T00:00:00+01:00", HEADS["epw"])
        assert len(read.times) == 1
        return
    read = series(tmp_path, "w.epw", "2026-04-20T00:00:00+01:00", HEADS["epw"] + 'max_gap = "1 h"', 3)
    values = {"air_temperature": read.air_temperature_degc, "wind": read.wind_m_s}
    found = values[key] if key in values else read.others[key, None]
    assert found[1] == pytest.approx(found[0])
    assert "1 of 3 h filled by a straight line" in " ".join(read.notes)


def test_epw_hour_1_ends_at_1_o_clock(check: Check, tmp_path: Path) -> None:
    """Hour 1 is from 00:01 to 01:00, local standard time; the place of the test is one hour ahead of UTC."""
    epw_file(tmp_path, epw_line({4: 1}), epw_line({4: 2}))
    read = series(tmp_path, "w.epw", "2026-04-20T00:00:00+01:00", HEADS["epw"])
    ours = (read.times[0] - np.datetime64("2026-04-19T23:00:00")) / np.timedelta64(1, "h")
    check("EPW: start of hour 1, after midnight", DATA_DICTIONARY, 0, ours, 0, unit="h")


def test_first_hours_of_an_open_typical_year(check: Check, tmp_path: Path) -> None:
    """Two lines of open data, with acknowledgement: PVGIS (c) European Union, 2001-2025."""
    lines = [
        "Latitude (decimal degrees): 45.000",
        "month,year",
        "1,2018",
        "time(UTC),T2m,RH,G(h),Gb(n),Gd(h),IR(h),WS10m,WD10m,SP",
        "20180101:0000,2.04,94.38,0.0,-0.0,0.0,283.58,0.75,257.0,99870.0",
        "20180101:0100,1.98,95.45,0.0,-0.0,0.0,291.44,0.78,258.0,99800.0",
        "",
        "T2m: 2-m air temperature (degree Celsius)",
    ]
    (tmp_path / "t.csv").write_text("\r\n".join(lines), "utf-8")
    read = series(tmp_path, "t.csv", "2026-01-01T00:00:00+00:00", HEADS["tmy"], 2)
    source = "PVGIS (c) European Union, 2001-2025: typical year at 45.0 N, 8.0 E, first two hours"
    for hour, (air, humid, wind) in enumerate(((2.04, 94.38, 0.75), (1.98, 95.45, 0.78))):
        check(f"typical year: air, hour {hour}", source, air, read.air_temperature_degc[hour], 1e-9, unit="degC")
        check(
            f"typical year: humidity, hour {hour}",
            source,
            humid,
            100 * read.others["relative_humidity", None][hour],
            1e-9,
            unit="%",
        )
        check(f"typical year: wind, hour {hour}", source, wind, read.wind_m_s[hour], 1e-9, unit="m/s")


@pytest.mark.parametrize(
    ("zone", "local", "utc", "rule"),
    [
        (
            "Europe/Berlin",
            "2026-03-29 01:59",
            "2026-03-29 00:59",
            "art. 2: begins on the last Sunday of March, 1 h UTC",
        ),
        (
            "Europe/Berlin",
            "2026-03-29 03:00",
            "2026-03-29 01:00",
            "art. 2: begins on the last Sunday of March, 1 h UTC",
        ),
        (
            "Europe/Dublin",
            "2026-10-25 00:59",
            "2026-10-24 23:59",
            "art. 3: ends on the last Sunday of October, 1 h UTC",
        ),
        (
            "Europe/Berlin",
            "2026-10-25 03:00",
            "2026-10-25 02:00",
            "art. 3: ends on the last Sunday of October, 1 h UTC",
        ),
    ],
)
def test_summer_time_of_the_european_union(check: Check, zone: str, local: str, utc: str, rule: str) -> None:
    as_iso = time_reader("YYYY-MM-DD hh:mm")
    (ours,), wrong = in_utc([as_iso(local)], zone_of(zone))
    assert not wrong
    theirs = as_iso(utc).replace(tzinfo=dt.UTC).timestamp()
    source = f"Directive 2000/84/EC on summer time, {rule}, from memory"
    check(f"{local} in {zone} is {utc} UTC, in hours since 1970", source, theirs / 3600, ours / 3600, 0, kind="memory")


def test_the_doubled_hour_against_the_reference_library() -> None:
    """The order of lines finds the same two hours as the sign that the standard library keeps for them (PEP 495)."""
    zone = zone_of("Europe/Berlin")
    twice = dt.datetime(2026, 10, 25, 2, 30)
    ours, _ = in_utc([twice, twice], zone)
    assert ours == [twice.replace(tzinfo=zone, fold=fold).timestamp() for fold in (0, 1)]


@pytest.mark.parametrize(
    ("said", "theirs", "source"),
    [
        ("wind, mph", 0.44704, "NIST SP 811 (2008), B.8: mile 1609.344 m, exact, from memory"),
        ("wind, knot", 1852 / 3600, "NIST SP 811 (2008), B.8: nautical mile 1852 m, exact, from memory"),
        ("wind, km/h", 1 / 3.6, "arithmetic"),
        ("rain, in", 25.4, "NIST SP 811 (2008), B.8: inch 2.54 cm, exact, from memory"),
        ("air temperature, degF", 5 / 9, "NIST SP 811 (2008), B.8: (F - 32) / 1.8, exact, from memory"),
        ("global radiation, MJ/m2", 1e6 / 3600, "arithmetic: the sum of an hour as its mean"),
        ("global radiation, J/cm2", 2.7778, "arithmetic: the sum of an hour as its mean"),
        ("relative humidity, %", 0.01, "arithmetic"),
    ],
)
def test_units_of_columns(check: Check, said: str, theirs: float, source: str) -> None:
    mapped, _ = map_columns({"t": "time", "x": said}, needed=())
    tolerance = 5e-5 if "J/cm2" in said else 1e-12 * theirs
    check(f"one unit of {said}", source, theirs, mapped.columns[0].scale, tolerance, kind="memory")
    if "degF" in said:
        freezing = 32 * mapped.columns[0].scale + mapped.columns[0].offset
        check("32 degF", source, 0, freezing, 1e-12, unit="degC", kind="memory")


def test_wind_at_2_m_by_hand(check: Check) -> None:
    """Bare soil of roughness 0.01 m, wind measured at 10 m: ln(2 / 0.01) / ln(10 / 0.01) = 5.2983 / 6.9078 = 0.7670."""
    read = weather_series(read_text(DEMO, folder=Path(str(files("spadework.demo")))))
    ours = float(read.wind_2_m_m_s[0] / read.wind_m_s[0])
    check("wind at 2 m against 10 m", "logarithmic profile, by hand", 0.7670, ours, 5e-5, kind="computed")
    assert math.isclose(ours, math.log(200) / math.log(1000))
