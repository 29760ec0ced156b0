"""The calendar of a season and the protocol: what moves, what is told, what shows.  The plan is invented."""

from __future__ import annotations

import copy
import datetime as dt
import json
import re
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from plans.faulty import DEMO
from spadework.exchange.calendar_file import icalendar_text
from spadework.plan import Person, PlanFaults, Read, read_text
from spadework.present.sheets.season_paper import kit_pdf, season_pdf
from spadework.present.sheets.season_table import season_text, verdict_text
from spadework.records.protocol import changed, frozen, protocol_text, read_protocol, verify
from spadework.records.season import calendar_of
from spadework.reference import load

FOLDER = Path(str(files("spadework.demo")))
WHEN = dt.datetime(2026, 3, 1, 10, tzinfo=dt.timezone(dt.timedelta(hours=1)))
LATER = WHEN + dt.timedelta(days=3)
SEASON = DEMO[DEMO.index("[season]") :]
BARE = DEMO[: DEMO.index("[season]")]


def of(text: str) -> Read:
    return read_text(text, "plan.toml", FOLDER)


def with_season(season: str) -> str:
    return BARE + "[season]\n" + season


def test_usual_tasks_on_their_days() -> None:
    calendar = calendar_of(of(with_season("sowing = 2026-05-02\n")))
    assert len(calendar.tasks) == len(load("season_tasks"))
    by_key = {task.key: task for task in calendar.tasks}
    assert by_key["sow"].first == by_key["sow"].last == dt.date(2026, 5, 2)
    assert by_key["pegs"].first == dt.date(2026, 4, 11)
    assert [task.first for task in calendar.tasks] == sorted(task.first for task in calendar.tasks)
    assert by_key["sow"].who == ("machines",)


def test_tasks_of_the_demo_have_their_people_and_changes() -> None:
    calendar = calendar_of(of(DEMO))
    by_key = {task.key: task for task in calendar.tasks}
    assert by_key["stand"].who == ("GH",)
    assert by_key["residue"].who == ("EF", "GH")
    assert (by_key["gate"].from_day, by_key["gate"].who, by_key["gate"].kit) == (-12, ("CD",), ("safety",))
    assert "cover" not in by_key
    assert calendar.left_out == (("See to cover crop and weeds", "no cover crop in this field"),)


def test_a_usual_task_takes_other_days_people_and_sheets() -> None:
    said = 'sowing = 2026-05-02\n[[season.person]]\nname = "AB"\ndoes = ["lead"]\n[[season.task]]\ntask = "pegs"\n'
    said += 'from_day = -18\nto_day = -15\nwho = ["AB"]\nsheets = ["stand"]\nkit = ["clean"]\nabout = "new posts"\n'
    task = next(one for one in calendar_of(of(with_season(said))).tasks if one.key == "pegs")
    assert (task.from_day, task.to_day, task.who, task.sheets) == (-18, -15, ("AB",), ("stand",))
    assert (task.kit, task.about, task.label) == (("clean",), "new posts", "Peg out the plots")


FAULTS: dict[str, tuple[str, ...]] = {
    'sowing = "soon"\n': ("season, sowing",),
    'sowing = 2026-05-02\n[[season.task]]\ntask = "gate"\n': ("from_day: is needed", "to_day: is needed"),
    'sowing = 2026-05-02\n[[season.task]]\ntask = "pegs"\nfrom_day = 0\n': ("begin on day 0 and end on day -10",),
    'sowing = 2026-05-02\n[[season.task]]\ntask = "pegs"\nwho = ["AB"]\n': ('nobody of this season is called "AB"',),
    'sowing = 2026-05-02\n[[season.task]]\ntask = "pegs"\nsheets = ["stnd"]\n': ('did you mean "stand"?',),
    'sowing = 2026-05-02\n[[season.task]]\ntask = "pegs"\nkit = ["tea"]\n': ('no part of the kit is called "tea"',),
    'sowing = 2026-05-02\n[[season.task]]\ntask = "peg"\nleave_out = "x"\n': ('no usual task; did you mean "pegs"?',),
    'sowing = 2026-05-02\n[[season.task]]\ntask = "sow"\n[[season.task]]\ntask = "sow"\n': ("stands twice",),
    'sowing = 2026-05-02\n[[season.person]]\nname = "A"\ndoes = ["lead"]\n[[season.person]]\nname = "A"\ndoes = ["layout"]\n': (
        "two people are called",
    ),
    'sowing = 2026-05-02\n[[season.person]]\nname = "A"\ndoes = ["tea"]\n': ("does",),
}


@pytest.mark.parametrize("said", FAULTS, ids=range(len(FAULTS)))
def test_seasons_that_cannot_be_are_told(said: str) -> None:
    with pytest.raises(PlanFaults) as stopped:
        of(with_season(said))
    text = str(stopped.value)
    assert all(words in text for words in FAULTS[said]), text
    assert re.search(r"line \d+, season", text)


def test_kinds_of_tasks_are_those_that_people_can_do() -> None:
    can = set(Person.model_json_schema()["properties"]["does"]["items"]["enum"])
    assert {row.text("role") for row in load("season_tasks").values()} == can


def test_no_day_of_sowing_and_the_ends_of_the_calendar() -> None:
    with pytest.raises(PlanFaults, match="says nothing of the season"):
        calendar_of(of(BARE))
    assert calendar_of(of(BARE), dt.date(2026, 5, 2)).tasks
    with pytest.raises(PlanFaults, match="is the year right"):
        calendar_of(of(BARE), dt.date(1, 1, 2))


def test_the_calendar_file_has_whole_days_and_keeps_its_events() -> None:
    seen = of(DEMO)
    text = icalendar_text(calendar_of(seen), name="A", made=WHEN, invented=True)
    moved = icalendar_text(calendar_of(seen, dt.date(2026, 5, 9)), name="A", made=LATER, invented=True)
    assert "DTSTART;VALUE=DATE:20260427\r\nDTEND;VALUE=DATE:20260428\r\nSUMMARY:Sow\r\n" in text
    assert "DTSTAMP:20260301T090000Z" in text
    uids = [re.findall(r"UID:(.*)\r\n", one) for one in (text, moved)]
    assert uids[0] == uids[1]
    assert len(set(uids[0])) == text.count("BEGIN:VEVENT")
    assert text.count("INVENTED") == text.count("BEGIN:VEVENT")
    assert "DTSTART;VALUE=DATE:20260509" in moved
    with pytest.raises(ValueError, match="time zone"):
        icalendar_text(calendar_of(seen), name="A", made=WHEN.replace(tzinfo=None))


def test_screen_and_paper_say_when_who_and_what_to_take() -> None:
    seen = of(DEMO)
    calendar = calendar_of(seen)
    text = season_text(calendar, question=seen.plan.question, invented=True)
    assert max(map(len, text.splitlines())) <= 100
    for words in (
        "INVENTED",
        "2026-04-27",
        "Sow: CD",
        "the day of sowing",
        "kit: safety",
        "Left out: See to cover",
        "check them",
    ):
        assert words in text
    assert season_pdf(calendar, about="field", invented=True).startswith(b"%PDF")
    assert kit_pdf(about="field").startswith(b"%PDF")


def test_a_frozen_plan_is_as_it_was() -> None:
    protocol = frozen(of(DEMO), when=WHEN, who="AB")
    record = protocol["records"][0]
    verdict = verify(protocol, of(DEMO))
    assert verdict.holds
    assert (verdict.changes, verdict.seal) == (0, record["seal"])
    assert record["when"] == "2026-03-01T10:00:00+01:00"
    assert record["plan_text"] == DEMO
    assert len(record["design"]["plots"]) == 16
    assert (record["design"]["seed"], record["design"]["standing"]) == (20260301, "replicated")


def test_what_differs_is_told_line_by_line_and_plot_by_plot() -> None:
    protocol = frozen(of(DEMO), when=WHEN, who="AB")
    other = DEMO.replace("seed = 20260301", "seed = 5").replace('detect = "10 %"\n', "") + "# the end\n"
    differs = verify(protocol, of(other)).differs
    assert "line 105: was seed = 20260301, is seed = 5" in differs
    assert any(words.startswith("line 107 was taken out: detect") for words in differs)
    assert any(words.endswith("is new: # the end") for words in differs)
    assert any(re.fullmatch(r"plot \d+: was \w+, is \w+", words) for words in differs)
    assert verify(protocol, of(DEMO + "\n")).differs != ()
    assert verify(protocol, of(DEMO.rstrip("\n"))).differs == (
        "ends of lines or the end of the file differ; the words are the same",
    )


def test_a_change_is_recorded_with_its_reason_and_then_holds() -> None:
    protocol = frozen(of(DEMO), when=WHEN, who="AB")
    other = of(DEMO.replace("blocks = 4", "blocks = 5"))
    after = changed(protocol, other, when=LATER, who="CD", why="  a fifth block  fits ")
    assert len(protocol["records"]) == 1
    assert verify(after, other).holds
    assert verify(after, other).changes == 1
    record = after["records"][1]
    assert (record["who"], record["why"]) == ("CD", "a fifth block fits")
    assert record["after"] == protocol["records"][0]["seal"]
    assert any("plot 501: was not there" in words for words in record["differs"])
    back = changed(after, of(DEMO), when=LATER, who="CD", why="it does not")
    assert verify(back, of(DEMO)).holds


def test_changes_that_cannot_be_recorded() -> None:
    protocol = frozen(of(DEMO), when=WHEN, who="AB")
    with pytest.raises(PlanFaults, match="nothing to record"):
        changed(protocol, of(DEMO), when=LATER, who="AB", why="x")
    with pytest.raises(PlanFaults) as stopped:
        changed(protocol, of(DEMO + "# x\n"), when=WHEN - dt.timedelta(1), who="AB", why=" ")
    assert "--why" in str(stopped.value)
    assert "before the last record" in str(stopped.value)
    with pytest.raises(ValueError, match="time zone"):
        frozen(of(DEMO), when=WHEN.replace(tzinfo=None), who="AB")
    with pytest.raises(PlanFaults, match="could not be drawn again"):
        frozen(of(DEMO.replace("seed = 20260301\n", "")), when=WHEN, who="AB")


def _twice() -> dict[str, Any]:
    first = frozen(of(DEMO), when=WHEN, who="AB")
    second = changed(first, of(DEMO + "# 1\n"), when=LATER, who="AB", why="one")
    return copy.deepcopy(dict(changed(second, of(DEMO + "# 2\n"), when=LATER, who="AB", why="two")))


@pytest.mark.parametrize(
    "key", ["when", "who", "why", "plan_text", "plan_sha256", "program", "after", "design", "differs"]
)
@pytest.mark.parametrize("number", [0, 1, 2])
def test_every_edit_of_a_record_shows(key: str, number: int) -> None:
    protocol = _twice()
    record = protocol["records"][number]
    record[key] = None if key == "design" else [] if key == "differs" and number else f"{record[key]} "
    assert verify(protocol, of(DEMO + "# 2\n")).broken


def test_a_record_that_was_taken_out_shows() -> None:
    protocol = _twice()
    del protocol["records"][1]
    verdict = verify(protocol, of(DEMO + "# 2\n"))
    assert verdict.broken == ("change 1 does not follow on the record before it: one was taken out or put in",)
    assert "broken: change 1" in verdict_text(verdict, name="plan.toml")
    with pytest.raises(PlanFaults, match="not carried on"):
        changed(protocol, of(DEMO), when=LATER, who="AB", why="x")


def test_a_protocol_is_read_back_as_it_was_written(tmp_path: Path) -> None:
    path = tmp_path / "protocol.json"
    protocol = _twice()
    path.write_text(protocol_text(protocol), "utf-8")
    assert read_protocol(path) == protocol


@pytest.mark.parametrize(
    "content",
    [b"", b"{", b"[]", b"{}", b"\xff", b'{"form": 2, "records": [{}]}', b'{"form": 1, "records": []}', b"[" * 5000,
     b'{"form": 1, "records": [{"when": "2026-03-01"}]}', b"null", b'{"form": 1, "records": 5}'],
)  # fmt: skip
def test_files_that_are_no_protocol(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "protocol.json"
    path.write_bytes(content)
    with pytest.raises(PlanFaults, match="is no protocol"):
        read_protocol(path)


def test_a_protocol_with_a_broken_record_is_turned_away(tmp_path: Path) -> None:
    path = tmp_path / "protocol.json"
    for key, value in (("when", "2026-03-01"), ("design", {"plots": [5]}), ("differs", "x"), ("seal", 3)):
        protocol = _twice()
        protocol["records"][1][key] = value
        path.write_text(json.dumps(protocol), "utf-8")
        with pytest.raises(PlanFaults, match="is no protocol"):
            read_protocol(path)
    with pytest.raises(PlanFaults, match="is not there"):
        read_protocol(tmp_path / "none.json")
    with pytest.raises(PlanFaults, match="cannot be read"):
        read_protocol(tmp_path / "protocol.json" / "x")
