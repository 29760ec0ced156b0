"""Money in three views and days in the report: what is said, to whom it is compared, and when nothing is said.

Every number comes from the demo plan, whose farm, machines and prices are invented.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import Estimate, estimate
from spadework.plan import PlanFaults, read_text
from spadework.present.charts.money import AreaPanel, ChancePanel, Point, chance_chart, cost_area_chart
from spadework.present.charts.spec import to_svg
from spadework.present.document.blocks import Drawing, Grid, Items, Section, Text
from spadework.present.machines.views_table import views_table
from spadework.present.machines.views_words import contractor_total, pass_views, shared_passes
from spadework.present.report.days import days_section
from spadework.present.report.views import views_section

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
FARM = DEMO[DEMO.index("[farm]") : DEMO.index("[[limit]]")]
PLOUGH, CULTIVATOR, STRIP, INJECTOR = range(4)


@cache
def run(*changes: tuple[str, str], draws: int = 200) -> Estimate:
    text = DEMO
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws)


def without_contractors() -> Estimate:
    lines = [line for line in DEMO.splitlines() if not line.strip().startswith("contractor = ")]
    text = "\n".join(lines)
    text = text[: text.index("[[contractor]]")] + text[text.index("[[system]]") :]
    return estimate(read_text(text, "plan.toml", FOLDER), draws=20)


def grids(section: Section) -> dict[str, Grid]:
    return {block.caption: block for block in section.blocks if isinstance(block, Grid)}


def drawings(section: Section) -> dict[str, Drawing]:
    return {block.name: block for block in section.blocks if isinstance(block, Drawing)}


def rows_of(grid: Grid, system: str) -> list[list[str]]:
    """Return the rows under the heading of a system, as text."""
    heads = [i for i, row in enumerate(grid.rows) if row[0].mark == "lead"]
    start = next(i for i in heads if grid.rows[i][0].text == system)
    end = next((i for i in heads if i > start), len(grid.rows))
    return [[cell.text for cell in row] for row in grid.rows[start + 1 : end]]


def test_a_rate_by_the_hectare_stands_as_it_was_asked() -> None:
    rows = rows_of(grids(views_section(run()))["What each pass costs, three ways"], "plough")
    assert rows[1][0] == "2 plough, 5 furrows: tractor 125"
    assert rows[1][1] == "104"
    assert rows[2][1] == "–"
    assert rows[2][6] == "no rate in the plan"


def test_contractors_alone_are_summed_only_where_every_pass_has_a_rate() -> None:
    found = run()
    grid = grids(views_section(found))["What each pass costs, three ways"]
    assert [rows_of(grid, name)[-1][1] for name in ("plough", "cultivator", "injector")] == [
        "3 of 4 passes have a rate",
        "2 of 4 passes have a rate",
        "1 of 3 passes has a rate",
    ]
    total = contractor_total(pass_views(found)[STRIP])
    assert isinstance(total, np.ndarray)
    # 195 EUR/h, diesel out, and 62 EUR/ha for the sowing.
    strip = 195 * found.sheet["field_time"][8] + found.sheet["pass_diesel_cost"][8]
    np.testing.assert_allclose(total, strip + 62.0, rtol=1e-12)
    assert "own in full" in rows_of(grid, "strip")[-1][6]


def test_the_verdict_turns_with_the_price() -> None:
    dear, cheap = (run(('rate = "104 EUR/ha"', f'rate = "{rate} EUR/ha"')) for rate in (300, 20))
    said = [pass_views(found)[PLOUGH][1].verdict for found in (dear, cheap)]
    assert said[0] == "at your use own costs less in all draws"
    assert said[1] == "at your use hire costs less in all draws; no area pays"
    assert np.isinf(pass_views(cheap)[PLOUGH][1].pays_from).all()  # type: ignore[arg-type]


def test_what_was_put_on_and_taken_off_is_said() -> None:
    grid = grids(views_section(run()))["What contractors asked, and what was done to it"]
    rows = {row[0].text: [cell.text for cell in row] for row in grid.rows}
    assert rows["plough, 5 furrows (plough)"][3] == "nothing"
    assert rows["strip tiller, 8 rows (strip)"][3].startswith("diesel +")
    assert (
        "195 EUR/h, without value-added tax, diesel not in it; 10 February 2026: Offer of an invented"
        in (rows["strip tiller, 8 rows (strip)"][1])
    )
    taxed = run(('rate = "104 EUR/ha"\ndate = 2026-02-10\ntax = "without"', _TAXED))
    rows = {row[0].text: [cell.text for cell in row] for row in grids(views_section(taxed))[grid.caption].rows}
    # 119 EUR/ha with 19 % tax is 100 EUR/ha without.
    assert rows["plough, 5 furrows (plough)"][2:5] == ["119", "tax −19.0", "100"]
    assert rows["planter, 8 rows (plough, cultivator, strip, injector)"][3] == "nothing"


_TAXED = 'rate = "119 EUR/ha"\ndate = 2026-02-10\ntax = "with"\ntax_rate = "19 %"'


def test_what_is_the_same_for_all_is_named() -> None:
    found = run()
    assert [view.title for view in shared_passes(pass_views(found))] == ["planter, 8 rows"]
    said = dict(next(block for block in views_section(found).blocks if isinstance(block, Items)).items)
    assert "planter, 8 rows" in said["The same for all."]
    assert "the slurry itself" in said["The same for all."]
    assert "sold" in said["Fewer passes."]


def test_each_hired_pass_has_one_panel_that_says_its_figures() -> None:
    drawing = drawings(views_section(run()))["cost-by-area"]
    words = ["".join(e.itertext()) for e in ET.fromstring(drawing.svg).iter() if e.tag.endswith(("}text", "}tspan"))]  # noqa: S314
    for title in ("hose boom, 15 m", "plough, 5 furrows", "planter, 8 rows", "strip tiller, 8 rows"):
        assert words.count(title) == 1
        assert title in drawing.alt
    assert "contractor: 104 EUR/ha" in words
    assert "no area pays" in words


def test_without_contractors_two_views_are_left() -> None:
    found = without_contractors()
    section = views_section(found)
    assert "cost-by-area" not in drawings(section)
    assert rows_of(grids(section)["What each pass costs, three ways"], "strip")[-1][1] == "0 of 2 passes have a rate"
    assert "What contractors asked" not in views_table(found)


def test_a_plan_without_a_farm_says_nothing_of_days() -> None:
    assert days_section(run((FARM, ""))) is None


def test_days_and_drivers() -> None:
    found = run()
    section = days_section(found)
    assert section is not None
    (grid,) = grids(section).values()
    assert grid.head[3:] == ("1 driver", "2 drivers (as in the plan)", "3 drivers")
    assert grid.rows[PLOUGH][2].text.startswith("plough, 5 furrows: ")
    assert all("100 %" not in cell.text for row in grid.rows for cell in row)
    said = " ".join(block.text for block in section.blocks if isinstance(block, Text))
    assert "not priced" in said
    assert "chance-in-time" in drawings(section)
    more = days_section(run(("drivers = 2", "drivers = 5")))
    assert more is not None
    assert "5 drivers (as in the plan)" in next(iter(grids(more).values())).head


def test_lateness_is_priced_only_at_a_figure_of_ones_own() -> None:
    section = days_section(run(("drivers = 2", 'drivers = 2\nlate_loss = "0.5 %"\ncrop_price = "150 EUR/t"')))
    assert section is not None
    grid = next(grid for name, grid in grids(section).items() if name.startswith("Cost of being late"))
    assert len(grid.rows) == 4
    assert not any("not priced" in block.text for block in section.blocks if isinstance(block, Text))


def test_days_taken_one_by_one_are_said_to_be_too_sure() -> None:
    section = days_section(run(('stay_fit = "70 %"\n', "")))
    assert section is not None
    said = dict(next(block for block in section.blocks if isinstance(block, Items)).items)
    assert "too high" in said["Rather too high."]


def test_the_table_is_narrow_plain_and_the_same() -> None:
    found = run()
    text = views_table(found)
    assert all(len(line) <= 100 and line == line.rstrip() for line in text.splitlines())
    assert text.isascii()
    assert text == views_table(found)
    assert "3 of 4 passes have a rate" in text
    strip = views_table(found, "strip")
    assert "strip tiller, 8 rows" in strip
    assert "ploughing, asked" not in strip
    with pytest.raises(PlanFaults, match='no system is called "stripe"'):
        views_table(found, "stripe")


def _panel(**changes: object) -> AreaPanel:
    curve = [Point(10.0 * i, 500.0 / i, 450.0 / i, 560.0 / i) for i in range(1, 11)]
    given = {
        "title": "plough", "curve": curve, "lasts_to": 55.0, "hired": Point(0, 104, 104, 104),
        "use": Point(50, 100, 90, 112), "pays_from": 48.0, "lines": ["your use 50 ha: 100 EUR/ha"],
    }  # fmt: skip
    return AreaPanel(**(given | changes))  # type: ignore[arg-type]


def test_charts_are_valid_specifications_and_draw_one_or_many_panels() -> None:
    import altair as alt

    for number in (1, 2, 3):
        chance = ChancePanel("plough", [Point(d, d / 10, d / 12, d / 10) for d in range(11)], ["in 8 days: 80 %"])
        for spec in (cost_area_chart([_panel()] * number), chance_chart([chance] * number, 8.0)):
            alt.Chart.from_dict(spec)
            svg = to_svg(spec)
            assert svg == to_svg(spec)
            assert 560 <= float(svg.split('width="')[1].split('"')[0]) <= 660
    assert "ring" in cost_area_chart([_panel()])["description"]
    for far in (_panel(lasts_to=-5.0), _panel(lasts_to=1e9), _panel(pays_from=None)):
        assert to_svg(cost_area_chart([far]))


def test_a_chart_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="nothing to show"):
        cost_area_chart([])
    with pytest.raises(ValueError, match="nothing to show"):
        chance_chart([ChancePanel("plough", [Point(0, 0, 0, 0)], [])], 8.0)
