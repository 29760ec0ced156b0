"""What must hold of weather files for any hours: nothing is lost, moved or made up, however the file is written."""

from __future__ import annotations

import datetime as dt
import tempfile
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.plan.weather.files import read_hourly
from spadework.plan.weather.gaps import fill_gaps, lay, stretch
from spadework.plan.weather.table import HOUR, Asked, Hourly
from spadework.plan.weather.times import in_utc, time_reader, zone_of

ZONES = ("Europe/Berlin", "America/Chicago", "Australia/Sydney", "Europe/London", "UTC+1", "UTC-3:30", "Asia/Kolkata")
readings = st.integers(-400, 400).map(lambda tenths: tenths / 10)


@given(st.sampled_from(ZONES), st.integers(0, 2 * 8760), st.integers(3, 3000), st.booleans())
@settings(deadline=None, max_examples=60)
def test_the_clock_of_a_place_leads_back_to_utc(zone: str, first: int, count: int, backwards: bool) -> None:
    """Hours without a break, written by the clock of the place and without zone, in either order."""
    place = zone_of(zone)
    start = dt.datetime(2025, 1, 1, tzinfo=dt.UTC)
    hours = [start + dt.timedelta(hours=first + h) for h in range(count)]
    written = [hour.astimezone(place).replace(tzinfo=None, fold=0) for hour in hours]
    if written[0] >= written[-1]:
        return  # so short, and over the end of summer time, that the order cannot be told
    ours, wrong = in_utc(written[::-1] if backwards else written, place)
    alone = [w for w in (written[0], written[-1]) if written.count(w) == 1 and _comes_twice(w, place)]
    if alone:
        return  # a file that begins or ends within the doubled hour
    assert not wrong
    assert sorted(ours) == [int(hour.timestamp()) for hour in hours]


def _comes_twice(time: dt.datetime, zone: dt.tzinfo) -> bool:
    early, late = zone.utcoffset(time), zone.utcoffset(time.replace(fold=1))
    return early is not None and late is not None and early > late


@given(
    st.lists(
        st.tuples(readings, st.integers(0, 50), st.one_of(st.none(), st.integers(0, 99))), min_size=1, max_size=40
    ),
    st.sampled_from([",", ";", "\t"]),
    st.booleans(),
    st.booleans(),
    st.randoms(use_true_random=False),
)
@settings(deadline=None, max_examples=80)
def test_however_a_file_is_written_its_hours_are_the_same(
    rows: list[tuple[float, int, int | None]], separator: str, comma: bool, ends: bool, shuffle: object
) -> None:
    start = dt.datetime(2026, 4, 20, tzinfo=dt.UTC)
    lines = []
    for h, (air, wind, rain) in enumerate(rows):
        time = start + dt.timedelta(hours=h + ends)
        cells = [f"{time:%d.%m.%Y %H:%M}", f"{air}", f"{wind}", "" if rain is None else f"{rain / 10}"]
        if comma and separator != ",":
            cells = [cell if i == 0 else cell.replace(".", ",") for i, cell in enumerate(cells)]
        lines.append(separator.join(cells))
    shuffle.shuffle(lines)  # type: ignore[attr-defined]
    columns = (("t", "time, DD.MM.YYYY hh:mm"), ("a", "air temperature, degC"), ("w", "wind, km/h"), ("r", "rain, mm"))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "w.csv"
        path.write_text("\n".join(["# note", separator.join("tawr"), *lines]), "utf-8")
        found = read_hourly(Asked(path, "w.csv", zone="UTC", stamp="end" if ends else "start", columns=columns))
    assert found.seconds.tolist() == [int(start.timestamp()) + HOUR * h for h in range(len(rows))]
    assert found.values["air_temperature", None].tolist() == [air for air, _, _ in rows]
    assert found.values["wind", None] * 3.6 == pytest.approx([float(wind) for _, wind, _ in rows])
    theirs = [np.nan if rain is None else rain / 10 for _, _, rain in rows]
    assert found.values["rain", None] == pytest.approx(theirs, nan_ok=True)


@given(st.lists(st.one_of(st.none(), st.none(), readings), min_size=1, max_size=60), st.integers(0, 6))
def test_filling_keeps_readings_and_stays_between_them(raw: list[float | None], most: int) -> None:
    values = np.array([np.nan if value is None else value for value in raw])
    whole = fill_gaps(values, most)
    there = ~np.isnan(values)
    assert (whole[there] == values[there]).all()
    made = ~np.isnan(whole) & ~there
    for i in np.flatnonzero(made):
        before = np.flatnonzero(there[:i])[-1]
        after = i + np.flatnonzero(there[i:])[0]
        assert after - before - 1 <= most
        low, high = sorted((values[before], values[after]))
        assert low - 1e-9 <= whole[i] <= high + 1e-9
        share = (i - before) / (after - before)
        assert whole[i] == pytest.approx(values[before] + share * (values[after] - values[before]))
    assert (np.isnan(fill_gaps(values, 0)) == ~there).all()
    assert made.sum() <= (np.isnan(fill_gaps(values, most + 1)) ^ np.isnan(values)).sum()


@given(st.sets(st.integers(0, 80), min_size=1), st.integers(0, 4), st.data())
def test_a_stretch_has_no_longer_break_and_cannot_go_on(hours: set[int], most: int, data: st.DataObject) -> None:
    places = sorted(hours)
    table = Hourly(
        np.array(places) * HOUR, np.arange(1, len(places) + 1), {("rain", None): np.array(places, float)}, {}, {}
    )
    begin = data.draw(st.sampled_from(places))
    first, count = stretch(table, begin * HOUR, most)
    first //= HOUR
    inside = [hour for hour in places if first <= hour < first + count]
    assert (inside[0], inside[-1]) == (first, first + count - 1)
    assert first <= begin < first + count
    assert all(later - earlier <= most + 1 for earlier, later in pairwise(inside))
    assert not [h for h in places if first - most - 1 <= h < first or first + count <= h <= first + count + most]
    laid = lay(table, first * HOUR, count, most)
    assert laid.values["rain", None][[h - first for h in inside]].tolist() == inside
    assert np.isnan(laid.values["rain", None]).sum() == count - len(inside)  # rain is never filled


@given(st.datetimes(dt.datetime(1900, 1, 1), dt.datetime(2100, 1, 1)), st.sampled_from(["/", ".", "-"]))
def test_a_pattern_reads_what_it_writes(time: dt.datetime, sign: str) -> None:
    time = time.replace(microsecond=0)
    read = time_reader(f"DD{sign}MM{sign}YYYY hh:mm:ss")
    assert read(f"{time.day}{sign}{time.month}{sign}{time.year} {time.hour}:{time.minute}:{time.second}") == time
    assert time_reader("YYYYMMDDhhmmss")(f"{time:%Y%m%d%H%M%S}") == time
    assert time_reader("MM/DD/YYYY hh:mm:ss AM")(f"{time:%m/%d/%Y %I:%M:%S %p}") == time
    (ours,), _ = in_utc([time], ZoneInfo("UTC"))
    assert ours == int(time.replace(tzinfo=dt.UTC).timestamp())
