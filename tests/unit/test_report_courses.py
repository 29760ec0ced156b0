"""The sections on ammonia over time: complete, linked, and a sentence where the weather is too short."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from importlib.resources import files
from pathlib import Path

import pytest

from spadework.estimate import Estimate, estimate
from spadework.plan import read_text
from spadework.present.charts.courses import Curve, Panel, courses_chart, starts_chart
from spadework.present.charts.spec import to_svg
from spadework.present.document.blocks import Drawing, Grid, Items, Section, Text
from spadework.present.document.workings import shared_trail, system_chapters
from spadework.present.report.courses import courses_section, when_section

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
FILE = 'file = "weather.csv"\nstart = 2013-04-17T09:00:00+02:00   # a day of the typical year in the file\nhours = 10'
TYPICAL = 'air_temperature = "14 degC"\nwind = "3 m/s"'


def made(text: str = DEMO, draws: int = 40) -> Estimate:
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws)


@pytest.fixture(scope="module")
def known() -> Estimate:
    return made()


@pytest.fixture(scope="module")
def courses(known: Estimate) -> Section:
    found = courses_section(known)
    assert found is not None
    return found


@pytest.fixture(scope="module")
def when(known: Estimate) -> Section:
    found = when_section(known)
    assert found is not None
    return found


def words_of(section: Section) -> str:
    said = []
    for block in section.blocks:
        if isinstance(block, Text):
            said.append(block.text)
        elif isinstance(block, Items):
            said += [" ".join(item) for item in block.items]
        elif isinstance(block, Drawing):
            said.append(block.alt)
        else:
            said += [block.caption, block.note, *(cell.text for row in block.rows for cell in row)]
    return " ".join(said)


def test_hour_by_hour(courses: Section) -> None:
    assert courses.title == "How much ammonia goes, hour by hour?"
    (grid,) = (block for block in courses.blocks if isinstance(block, Grid))
    assert grid.head == ("", "1 h", "4 h", "24 h", "72 h", "168 h")
    assert len(grid.rows) == 4 * 4
    said = words_of(courses)
    for words in ("[memory]", "not averaged", "weather.csv", "no such curve for strip", "times the lowest"):
        assert words in said


def test_links_lead_to_workings(known: Estimate, courses: Section) -> None:
    (grid,) = (block for block in courses.blocks if isinstance(block, Grid))
    links = {cell.link for row in grid.rows for cell in row if cell.link}
    anchors = {step.anchor for c in system_chapters(known) for trail in c.trails for step in trail.steps}
    anchors |= {step.anchor for step in shared_trail(known).steps}
    assert len(links) == 4
    assert links <= anchors


def test_when(when: Section) -> None:
    assert when.title == "When is a good hour to go?"
    said = words_of(when)
    for words in (
        "no forecast unless",
        "Check locally",
        "[memory]",
        "knowing the weather afterwards",
        "going over to strip",
    ):
        assert words.lower() in said.lower()
    grids = [block for block in when.blocks if isinstance(block, Grid)]
    assert [len(grid.rows) for grid in grids] == [4, 12]
    assert not any(cell.mark for grid in grids for line in grid.rows for cell in line)  # a lead cell hides its row
    assert "UTC+02:00" in said


def test_drawings_are_drawn_and_said(courses: Section, when: Section) -> None:
    names = []
    for block in (*courses.blocks, *when.blocks):
        if isinstance(block, Drawing):
            names.append(block.name)
            text = "".join(ET.fromstring(block.svg).itertext())  # noqa: S314 (our own drawing)
            assert "plough" in text
            assert "strip" in text
            assert block.alt
    assert names == ["courses-0", "when-0"]


@pytest.mark.parametrize("make", [courses_section, when_section])
def test_a_sentence_where_the_weather_is_too_short(make: object) -> None:
    assert callable(make)
    for text in (DEMO.replace(FILE, TYPICAL), DEMO.replace("2013-04-17T09", "2013-04-29T09")):
        assert text != DEMO
        section = make(made(text, 5))
        assert len(section.blocks) == 1
        assert "more than 3 days" in section.blocks[0].text


def test_charts_refuse_what_cannot_be_shown() -> None:
    with pytest.raises(ValueError, match="nothing to show"):
        courses_chart([])
    with pytest.raises(ValueError, match="nothing to show"):
        starts_chart([], [], [])
    with pytest.raises(ValueError, match="not finite"):
        courses_chart([Panel("a", [], (float("nan"), 1, 2))])
    row = {"system": "a", "h": 0.0, "mid": 1.0, "low": 0.5, "high": 2.0}
    with pytest.raises(ValueError, match="not finite"):
        starts_chart([row | {"mid": float("inf")}], [], [])
    with pytest.raises(ValueError, match="too many"):
        starts_chart([row | {"system": str(n)} for n in range(7)], [], [])
    with pytest.raises(ValueError, match="too many"):
        courses_chart([Panel("a", [Curve(str(n), [(0, 0, 0, 0)]) for n in range(7)], (1, 0, 2))])


def test_names_with_strange_signs_and_nothing_lost() -> None:
    panel = Panel('a "quoted" \\ <b>', [Curve("two pools", [(0, 0, 0, 0), (1, 0, 0, 0)])], (0, 0, 0))
    assert ET.fromstring(to_svg(courses_chart([panel]))) is not None  # noqa: S314 (our own drawing)
    row = {"system": "it's <a>", "h": 0.0, "mid": 0.0, "low": 0.0, "high": 0.0}
    drawn = to_svg(starts_chart([row, row | {"h": 3.0}], [(0.0, "1 Apr")], [(0.0, 3.0)], best=[row]))
    assert "1 Apr" in drawn
