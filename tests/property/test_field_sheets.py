"""Marks, calendars and sheets whatever goes into them."""

from __future__ import annotations

import datetime as dt
import itertools
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plans.faulty import DEMO
from spadework.exchange.calendar_file import icalendar_text
from spadework.plan import PlanFaults, Read, read_text
from spadework.records.season import calendar_of
from spadework.records.sheets.check_character import CHARACTERS, check_character, is_sound
from spadework.records.sheets.field_sheets import sheet_keys
from spadework.records.sheets.marks import STAKE, Mark, mark_text, read_mark

FOLDER = Path(str(files("spadework.demo")))
PLAN: Read = read_text(DEMO, "plan.toml", FOLDER)
PLAIN = st.text(CHARACTERS, min_size=1, max_size=20)
MARKS = st.builds(
    Mark,
    st.text(CHARACTERS, min_size=4, max_size=4),
    st.text(CHARACTERS, min_size=1, max_size=6),
    st.sampled_from([*sheet_keys(), STAKE]),
    st.integers(0, 99),
)
NOON = dt.datetime(2026, 3, 1, 12, tzinfo=dt.UTC)


@given(PLAIN, st.data())
def test_every_single_wrong_character_is_found(text: str, data: st.DataObject) -> None:
    whole = text + check_character(text)
    assert is_sound(whole)
    place = data.draw(st.integers(0, len(whole) - 1))
    other = data.draw(st.sampled_from([one for one in CHARACTERS if one != whole[place]]))
    assert not is_sound(whole[:place] + other + whole[place + 1 :])


def test_nearly_all_neighbours_that_changed_places_are_found() -> None:
    missed = 0
    for first, second in itertools.permutations(CHARACTERS, 2):
        sign = check_character("7K" + first + second)
        missed += is_sound("7K" + second + first + sign)
    assert missed / (36 * 35) < 0.02


@given(MARKS, st.sampled_from(["-", " ", ""]), st.booleans())
def test_a_mark_is_read_back_however_it_is_written(mark: Mark, stroke: str, small: bool) -> None:
    text = mark_text(mark).replace("-", stroke)
    assert read_mark(text.lower() if small else text) == mark


@given(MARKS, st.data())
def test_a_slip_in_a_mark_never_leads_to_another_line(mark: Mark, data: st.DataObject) -> None:
    text = mark_text(mark).replace("-", "")
    place = data.draw(st.integers(0, len(text) - 1))
    other = data.draw(st.sampled_from([one for one in CHARACTERS if one != text[place]]))
    with pytest.raises(PlanFaults):
        read_mark(text[:place] + other + text[place + 1 :])


@given(st.one_of(st.text(max_size=40), st.text(CHARACTERS, min_size=9, max_size=13)))
def test_what_is_no_mark_is_a_fault_and_nothing_else(text: str) -> None:
    plain = "".join(text.replace("-", "").split()).upper()
    try:
        found = mark_text(read_mark(text)).replace("-", "")
    except PlanFaults:
        found = ""
    assert found in ("", plain)
    assert found == "" or is_sound(plain)


@given(st.dates(dt.date(1990, 1, 1), dt.date(2090, 1, 1)), st.integers(-300, 300))
def test_all_tasks_move_with_the_sowing(day: dt.date, by: int) -> None:
    moved = dt.timedelta(days=by)
    here, there = calendar_of(PLAN, day), calendar_of(PLAN, day + moved)
    assert [task.key for task in here.tasks] == [task.key for task in there.tasks]
    for one, other in zip(here.tasks, there.tasks, strict=True):
        assert other.first - one.first == other.last - one.last == moved
        assert one.first - day == dt.timedelta(days=one.from_day)
        assert (one.from_day, one.to_day, one.who) == (other.from_day, other.to_day, other.who)


@settings(deadline=None, max_examples=60)
@given(st.text(max_size=300))
def test_a_calendar_file_holds_to_the_standard_whatever_the_name(name: str) -> None:
    text = icalendar_text(calendar_of(PLAN), name=name, made=NOON)
    raw = text.encode("utf-8", "replace")
    assert raw.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in raw.replace(b"\r\n", b"")
    assert b"\r" not in raw.replace(b"\r\n", b"")
    assert all(len(line) <= 75 for line in raw.split(b"\r\n"))
    unfolded = text.replace("\r\n ", "").split("\r\n")
    for begin, end in (("BEGIN:VEVENT", "END:VEVENT"), ("BEGIN:VCALENDAR", "END:VCALENDAR")):
        assert unfolded.count(begin) == unfolded.count(end) > 0
    known = ("BEGIN", "END", "VERSION", "PRODID", "CALSCALE", "UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY")
    for line in filter(None, unfolded):
        assert line.split(":")[0].split(";")[0] in (*known, "DESCRIPTION", "TRANSP")
