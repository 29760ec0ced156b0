"""Water and fit days in words, tables and pictures: what is said, and when nothing is.

Every number comes from the demo plan, whose farm, machines and prices are invented, or from invented weather.
"""

from __future__ import annotations

import copy
import re
import xml.etree.ElementTree as ET
from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import Estimate, estimate
from spadework.estimate.water.days import SurfaceWater, surface_water
from spadework.plan import read_text
from spadework.present.charts.water import DryingCurve, DryingPanel, drying_chart, fit_weeks_chart, lost_chart
from spadework.present.document.blocks import Drawing, Grid, Items, Section, Text
from spadework.present.report.days import days_section
from spadework.present.report.water import fit_weeks_blocks, water_section
from spadework.present.seedbed.water_words import days_text, lost_rows, shown_days, water_lines, zone_rows
from springs_made import FIT_DAYS, STAY_FIT, demo_on, write_springs

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
HOW = (Path(__file__).parents[2] / "docs" / "how" / "water.md").read_text("utf-8")
HOW = " ".join(HOW.split())


@cache
def demo(draws: int = 200) -> Estimate:
    return estimate(read_text(DEMO, "plan.toml", FOLDER), draws=draws)


@pytest.fixture(scope="module")
def ten(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("ten")
    write_springs(folder)
    return folder


def words(section: Section) -> str:
    said = [block.text for block in section.blocks if isinstance(block, Text)]
    said += [f"{lead} {text}" for block in section.blocks if isinstance(block, Items) for lead, text in block.items]
    return " ".join(said)


def drawings(blocks) -> dict[str, Drawing]:
    return {block.name: block for block in blocks if isinstance(block, Drawing)}


# The section ----------------------------------------------------------------------------------------------------------


def test_the_section_shows_every_ground_and_says_that_there_is_no_rain():
    section = water_section(demo())
    assert section is not None
    assert section.title == "How fast does it dry?"
    said = words(section)
    assert "There is no rain in the weather file" in said
    assert "not averaged" in said
    assert "no rain is counted" in said
    grids = {block.caption: block for block in section.blocks if isinstance(block, Grid)}
    assert [row[0].text for row in grids["Each kind of ground"].rows] == [
        "plough, whole width", "cultivator, whole width", "strip, in the strip", "strip, between the strips",
        "injector, whole width",
    ]  # fmt: skip
    assert [row[1].text for row in grids["Water lost from the ground"].rows] == ["linear", "convex"] * 4
    leans = grids["What it leans on"]
    assert any("recalled" in row[2].text for row in leans.rows)
    assert any("choice" in row[2].text for row in leans.rows)
    for drawing in drawings(section.blocks).values():
        assert ET.fromstring(drawing.svg).tag.endswith("svg")  # noqa: S314 (our own)
        assert len(drawing.alt) > 40


def test_the_section_with_rain_has_no_warning_of_none(ten):
    section = water_section(estimate(demo_on(ten), draws=40))
    assert section is not None
    assert "There is no rain" not in words(section)
    assert re.search(r"\d+ mm of rain fall", words(section))


def test_a_plan_without_place_gets_a_sentence_and_one_without_file_nothing():
    section = water_section(estimate(read_text(DEMO.replace("latitude = 45.0 ", "# "), "plan.toml", FOLDER), draws=20))
    assert section is not None
    assert len(section.blocks) == 1
    assert "say the latitude of the place" in words(section)
    start = "start = 2013-04-17T09:00:00+02:00   # a day of the typical year in the file\nhours = 10\n"
    text = DEMO.replace('file = "weather.csv"\n', 'air_temperature = "12 degC"\nwind = "3 m/s"\n').replace(start, "")
    assert water_section(estimate(read_text(text, "plan.toml", FOLDER), draws=20)) is None


def test_many_systems_are_drawn_in_groups():
    text = DEMO
    strip = DEMO[DEMO.index('[[system]]\nname = "strip"') : DEMO.index('[[system]]\nname = "injector"')]
    for number in range(4):
        text += "\n" + strip.replace('name = "strip"', f'name = "strip {number}"')
    section = water_section(estimate(read_text(text, "plan.toml", FOLDER), draws=20))
    assert section is not None
    assert {"water-days-0", "water-days-1", "water-lost"} == set(drawings(section.blocks))


# Tables and lines -----------------------------------------------------------------------------------------------------


def test_rows_hold_what_was_worked_out():
    water = surface_water(demo())
    rows = zone_rows(demo(), water)
    strip = next(row for row in rows if row[0] == "strip, in the strip")
    middle = float(np.median(100 * water.systems[2].zones[0].moisture("linear")[:, 6]))
    assert strip[4].startswith(f"{middle:.0f} (")
    lost = lost_rows(demo(), water)
    assert lost[0][-1] == lost[1][-1] == "baseline"
    total = float(np.median(water.systems[2].total_mm("convex")))
    assert lost[5][4].startswith(f"{total:.1f} (")
    assert lost[4][-1].startswith("+")


def test_lines_are_short_and_plain_and_say_what_to_note():
    lines = water_lines(demo())
    assert max(map(len, lines)) <= 100
    text = "\n".join(lines)
    assert text.isascii()
    for said in (
        "How fast does it dry?",
        "in the strip",
        "between the strips",
        "no rain in the weather",
        "with the spade",
    ):
        assert said in " ".join(text.split())
    assert lines == water_lines(demo(), surface_water(demo()))


def test_lines_of_a_week_say_no_sum_twice():
    text = "\n".join(water_lines(demo(), days=7))
    assert "in 7 days" in text
    assert "in 28 days" not in text
    assert text.count("field loses") == 4


def test_lines_say_why_there_are_none():
    found = estimate(read_text(DEMO.replace("latitude = 45.0 ", "# "), "plan.toml", FOLDER), draws=20)
    assert "say the latitude" in " ".join(water_lines(found))


@pytest.mark.parametrize(("days", "shown"), [(7, (7,)), (10, (7, 10)), (14, (7, 14)), (28, (7, 14, 28))])
def test_spans_that_are_shown(days, shown):
    water = copy.copy(surface_water(demo()))
    object.__setattr__(water, "days", days)
    assert isinstance(water, SurfaceWater)
    assert shown_days(water) == shown


def test_days_beyond_those_that_were_followed():
    assert days_text(np.array([np.inf] * 5), 28) == "after day 28"
    assert days_text(np.array([2.0] * 5), 28) == "2"


# Fit days in the section on days --------------------------------------------------------------------------------------


def test_weeks_stand_with_the_days_where_they_were_counted(ten):
    found = estimate(demo_on(ten, (FIT_DAYS, 'fit_moisture = "80 %"\n'), (STAY_FIT, "")), draws=100)
    section = days_section(found)
    assert section is not None
    said = words(section)
    assert "worked out from the weather" in said
    assert "as counted from the weather, fit days come in rows" in said
    assert "10 springs of the weather file (2008 to 2017)" in said
    assert "80 % of the field capacity, your own limit" in said
    assert "diary" in said
    assert "Rather too high" not in said
    drawing = drawings(section.blocks)["fit-weeks"]
    assert "From 17 Apr:" in drawing.alt
    assert ET.fromstring(drawing.svg).tag.endswith("svg")  # noqa: S314 (our own)


def test_the_plans_own_figure_stands_beside_the_count(ten):
    found = estimate(demo_on(ten, (STAY_FIT, 'fit_moisture = "80 %"\n')), draws=100)
    assert found.plan.farm is not None
    blocks = fit_weeks_blocks(found, found.plan.farm)
    said = " ".join(block.text for block in blocks if isinstance(block, Text))
    assert "The plan's own figure of 55 +/- 10 % wins; the count is" in said


def test_nothing_is_said_of_weeks_that_were_not_counted():
    section = days_section(demo())
    assert section is not None
    assert "fit-weeks" not in drawings(section.blocks)
    assert "worked out from the weather" not in words(section)


# Charts ---------------------------------------------------------------------------------------------------------------


def test_charts_refuse_nothing_and_what_is_not_finite():
    curve = DryingCurve("strip", "linear", [(0.0, 20.0, 18.0, 22.0), (1.0, 19.0, 17.0, 21.0)])
    odd = DryingCurve("strip", "linear", [(0.0, float("nan"), 18.0, 22.0)])
    row = {"system": "a", "days": 7, "rule": "linear", "mid": 5.0, "low": 4.0, "high": 6.0}
    week = {"week": "1 Apr", "mid": 50.0, "low": 40.0, "high": 60.0, "note": ""}
    assert drying_chart([DryingPanel("a", [curve])])["description"]
    for panels in ([], [DryingPanel("a", [])], [DryingPanel("a", [odd])]):
        with pytest.raises(ValueError, match=r"nothing to show|not finite"):
            drying_chart(panels)
    for rows in ([], [row | {"mid": float("inf")}]):
        with pytest.raises(ValueError, match=r"nothing to show|not finite"):
            lost_chart(rows)
    for rows in ([], [week | {"low": float("nan")}]):
        with pytest.raises(ValueError, match=r"nothing to show|not finite"):
            fit_weeks_chart(rows, (0, 1))


def test_marks_differ_by_shape_as_well_as_by_colour():
    points = [(0.0, 20.0, 18.0, 22.0), (7.0, 19.0, 17.0, 21.0)]
    curves = [DryingCurve(zone, rule, points) for zone in ("strip", "between") for rule in ("linear", "convex")]
    text = str(drying_chart([DryingPanel("a", curves)]))
    for look in ("circle", "square", "[6, 4]"):
        assert look in text


def test_names_with_odd_signs_stay_text():
    row = {"system": "a\\b [c]", "days": 7, "rule": "linear", "mid": 5.0, "low": 4.0, "high": 6.0}
    assert "a/b" in str(lost_chart([row, row | {"rule": "convex"}]))
    week = {"week": "1 Apr", "mid": 50.0, "low": 40.0, "high": 60.0, "note": "3 d"}
    spec = fit_weeks_chart([week, week], (0.5, 1.5), given=55.0)
    assert "eight springs of ten" in spec["description"]
    assert "as the plan gives it" in spec["description"]


# The page on how it is done -------------------------------------------------------------------------------------------


def test_the_page_tells_the_numbers_of_the_demo():
    water = surface_water(demo(2_000))
    plough, strip = water.systems[0], water.systems[2]

    def middle(values) -> float:
        return float(np.median(values))

    week = [middle(one.total_mm("linear", 7)) for one in (plough, strip)]
    assert f"in the first week {week[0]:.1f} mm are lost from the ploughed field and {week[1]:.1f} mm" in HOW
    moist = [middle(100 * zone.moisture("linear")[:, 6]) for zone in (plough.zones[0], *strip.zones)]
    assert f"On day 7 the ploughed ground holds {moist[0]:.0f} %" in HOW
    assert f"the strip {moist[1]:.0f} %, the ground between {moist[2]:.0f} %" in HOW
    later = [middle(one.total_mm("linear")) for one in (plough, strip)]
    assert f"after four weeks {later[0]:.1f} and {later[1]:.1f} mm" in HOW
