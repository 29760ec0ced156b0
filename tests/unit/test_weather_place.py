"""Where the weather was measured: plan first, then the head of a typical year; what is told.  Weather is invented."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from plans.faulty import DEMO
from spadework.estimate import estimate
from spadework.estimate.seedbed.hours import soil_hours
from spadework.estimate.water.days import surface_water
from spadework.plan import PlanFaults, read_text
from spadework.plan.weather.place import Place, place_of

BEFORE, AFTER = DEMO[: DEMO.index("[weather]")], DEMO[DEMO.index("[prices]") :]
WHY = "the drying is worked out from sun and air"


def epw(latitude: str = "52.00", altitude: str = "60.0", rain: str = "0.2") -> str:
    """Return an EPW file of every day of April and May, invented."""
    head = [f"LOCATION,Long Acre,-,XXX,invented,000000,{latitude},9.0,1.0,{altitude}", *["HEAD"] * 6]
    rows = []
    for month, days in ((4, 30), (5, 31)):
        for day in range(1, days + 1):
            for h in range(1, 25):
                air, sun = 10 + 5 * np.sin((h - 9) * np.pi / 12), max(0.0, 500 * np.sin((h - 6) * np.pi / 12))
                rows.append(
                    f"1990,{month},{day},{h},60,?9,{air:.1f},1.0,80,100000,0,0,300,{sun:.0f},0,0,0,0,0,0,180,3.0"
                    + ",5" * 11 + f",{rain},1"
                )  # fmt: skip
    return "\n".join([*head, "DATA PERIODS,1,1,Data,Sunday,4/1,5/31", *rows]) + "\n"


def plan_text(keys: str = 'layout = "epw"') -> str:
    head = '[weather]\nfile = "w.epw"\nstart = 2026-04-20T08:00:00+02:00\nhours = 4\nwind_height = "10 m"\n'
    return BEFORE + head + keys + "\n" + AFTER


def found(folder: Path, keys: str = 'layout = "epw"', **head: str) -> Place:
    (folder / "w.epw").write_text(epw(**head), "utf-8")
    return place_of(read_text(plan_text(keys), "plan.toml", folder), WHY)


def test_the_head_of_an_epw_file_says_it(tmp_path: Path) -> None:
    place = found(tmp_path)
    assert (place.latitude_deg, place.altitude_m) == (52.0, 60.0)
    assert place.notes == ("latitude 52 degrees, from the head of w.epw", "altitude 60 m, from the head of w.epw")


def test_the_plan_comes_first_and_a_far_head_is_told(tmp_path: Path) -> None:
    near = found(tmp_path, 'layout = "epw"\nlatitude = 52.4\naltitude = "90 m"')
    assert near == Place(52.4, 90.0, ())
    far = found(tmp_path, 'layout = "epw"\nlatitude = -52.0\naltitude = "900 m"')
    assert (far.latitude_deg, far.altitude_m) == (-52.0, 900.0)
    assert "the plan says a latitude of -52 degrees, the head of w.epw 52: the plan counts" in far.notes[0]
    assert "an altitude of 900 m, the head of w.epw 60 m" in far.notes[1]


@pytest.mark.parametrize("said", ["", "north", "95", "nan", "inf"])
def test_a_head_that_says_no_latitude_is_asked_for_it(tmp_path: Path, said: str) -> None:
    with pytest.raises(PlanFaults, match=r"say the latitude of the place, which the head of w\.epw does not say"):
        found(tmp_path, latitude=said)


def test_a_head_near_a_pole_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PlanFaults, match=r"a latitude of -77\.8; the sun must rise and set on every day: -66 to 66"):
        found(tmp_path, latitude="-77.8")


@pytest.mark.parametrize("said", ["", "-", "9999", "-900"])
def test_no_altitude_anywhere_is_sea_level(tmp_path: Path, said: str) -> None:
    place = found(tmp_path, altitude=said)
    assert place.altitude_m == 0
    assert "no altitude in the plan or in the head of the weather file: counted as sea level" in place.notes


def test_a_short_first_line_has_no_altitude(tmp_path: Path) -> None:
    (tmp_path / "w.epw").write_text(epw().replace(",1.0,60.0\n", ",1.0\n", 1), "utf-8")
    place = place_of(read_text(plan_text(), "plan.toml", tmp_path), WHY)
    assert (place.latitude_deg, place.altitude_m) == (52.0, 0.0)


def test_warmth_and_drying_take_the_head_as_they_take_the_plan(tmp_path: Path) -> None:
    (tmp_path / "w.epw").write_text(epw(), "utf-8")
    head = read_text(plan_text(), "plan.toml", tmp_path)
    plan = read_text(plan_text('layout = "epw"\nlatitude = 52.0\naltitude = "60 m"'), "plan.toml", tmp_path)
    first = head.plan.weather.start.date()  # type: ignore[union-attr]
    mine, theirs = (soil_hours(one, first, 10, 3) for one in (head, plan))
    np.testing.assert_array_equal(mine.sky_w_m2, theirs.sky_w_m2)
    assert mine.altitude_m == 60.0
    assert any("latitude 52 degrees, from the head" in note for note in mine.notes)
    wet, same = (surface_water(estimate(one, draws=5), days=10) for one in (head, plan))
    np.testing.assert_array_equal(wet.et_mm, same.et_mm)
    assert any("altitude 60 m, from the head" in note for note in wet.notes)
    assert not any("sea level" in note for note in wet.notes)


def test_the_head_of_a_typical_year_in_utc_says_it(tmp_path: Path) -> None:
    rows = [
        f"20120{4 + day // 30}{1 + day % 30:02}:{hour:02}00,10.0,80,0,3.0" for day in range(60) for hour in range(24)
    ]
    lines = ["Latitude (decimal degrees): 48.250", "Longitude (decimal degrees): 11.500", "Elevation (m): 470.0"]
    (tmp_path / "w.epw").write_text("\n".join([*lines, "", "time(UTC),T2m,RH,G(h),WS10m", *rows]) + "\n", "utf-8")
    place = place_of(read_text(plan_text('layout = "tmy"'), "plan.toml", tmp_path), WHY)
    assert (place.latitude_deg, place.altitude_m) == (48.25, 470.0)


def test_a_file_of_columns_has_no_head(tmp_path: Path) -> None:
    rows = [f"2026-04-20T{h:02}:00+02:00,10,3" for h in range(24)]
    (tmp_path / "w.epw").write_text("\n".join(["time,air_temperature_degc,wind_m_s", *rows]) + "\n", "utf-8")
    with pytest.raises(PlanFaults, match=r"say the latitude of the place, e\.g\."):
        place_of(read_text(plan_text(""), "plan.toml", tmp_path), WHY)
    place = place_of(read_text(plan_text("latitude = 52.0"), "plan.toml", tmp_path), WHY)
    assert place.notes == ("no altitude in the plan: counted as sea level",)
