"""The section on the supply of slurry: complete, linked, drawn to scale, and said by more than colour."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from importlib.resources import files
from pathlib import Path

import pytest

from spadework.estimate import Estimate, Spread, estimate
from spadework.estimate.supply.ways import Crossing
from spadework.plan import read_text
from spadework.present.charts.spec import to_svg
from spadework.present.charts.supply import day_drawing, distance_chart
from spadework.present.document.blocks import Drawing, Grid, Items, Section
from spadework.present.document.workings import shared_trail, system_chapters
from spadework.present.machines.supply_words import (
    crossing_words,
    load_words,
    outfits,
    said,
    supply_rows,
    waiting_words,
)
from spadework.present.report import supply as report_supply
from spadework.science.machinery import SupplyDay, SupplyRun, simulate

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
PLOUGH, CULTIVATOR, STRIP, INJECTOR = range(4)


@pytest.fixture(scope="module")
def known() -> Estimate:
    return estimate(read_text(DEMO, "plan.toml", FOLDER), draws=100)


@pytest.fixture(scope="module")
def section(known: Estimate) -> Section:
    made = report_supply.supply_section(known)
    assert made is not None
    return made


def run_of_a_day() -> SupplyRun:
    return simulate(
        SupplyDay(
            way="feeders",
            load_m3=18,
            dose_m3_ha=40,
            spread_h_ha=0.3,
            hours=3,
            filling_m3_min=6,
            connect_min=2,
            distance_km=2,
            speed_full_km_h=25,
            speed_empty_km_h=35,
            feeders=1,
            feeder_load_m3=18,
            transfer_m3_min=6,
        )
    )


def test_what_stands_in_the_section(known: Estimate, section: Section) -> None:
    assert section.title == "Who waits for whom?"
    grids = [block for block in section.blocks if isinstance(block, Grid)]
    assert grids[0].head == ("", *known.systems)
    # plough and cultivator spread with the same outfit, so there are three: a table of feeders and a chart of each.
    assert outfits(known, [PLOUGH, CULTIVATOR, STRIP, INJECTOR]) == [[PLOUGH, CULTIVATOR], [STRIP], [INJECTOR]]
    assert len(grids) == 4
    drawings = [block for block in section.blocks if isinstance(block, Drawing)]
    assert [d.name for d in drawings] == ["supply-ways-0", "supply-ways-1", "supply-ways-2", "supply-day"]
    assert all(len(d.alt) > 60 for d in drawings)
    said_of = next(block for block in section.blocks if isinstance(block, Items))
    assert [lead for lead, _ in said_of.items] == list(known.systems)


def test_every_link_leads_to_a_working(known: Estimate, section: Section) -> None:
    anchors = {step.anchor for c in system_chapters(known) for trail in c.trails for step in trail.steps}
    anchors |= {step.anchor for step in shared_trail(known).steps}
    cells = [c for block in section.blocks if isinstance(block, Grid) for line in block.rows for c in line]
    links = {c.link for c in cells if c.link}
    assert len(links) > 40
    assert links <= anchors


def test_nothing_is_said_where_nothing_is_placed(known: Estimate, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(report_supply, "placing_systems", lambda _: [])
    assert report_supply.supply_section(known) is None


def test_figures_are_those_of_the_sheet(known: Estimate) -> None:
    rows = {words: cell.text for words, cell in supply_rows(known, STRIP)}
    assert rows["slurry placed, m3/h"] == said(known.spread("flow_fed", STRIP), 1)
    assert rows["feeders wait, % of their time"] == said(known.spread("fed_feeder_waits", STRIP), 0, 100.0)
    assert rows["bringing the slurry, EUR/ha"] == said(known.spread("supply_cost", STRIP), 0)
    assert rows["feeders on the road"] == "2"
    both = known.spread("supply_cost", STRIP).mid + known.rows("pass_full", STRIP)[0].mid
    assert float(rows["both together, EUR/m3"].split()[0]) == pytest.approx(both / (30 / 1.02), rel=0.02)


def test_a_figure_that_prints_the_same_three_times_is_printed_once() -> None:
    assert said(Spread(0.001, 0.0, 0.004), 0, 100.0) == "0"
    assert said(Spread(0.35, 0.32, 0.38), 0, 100.0) == "35 (32 to 38)"


def test_how_far_to_fill(known: Estimate) -> None:
    load, run, lasts = (known.spread(n, PLOUGH).mid for n in ("load_size", "tanked_run", "runs_per_load"))
    words = load_words(known, PLOUGH)
    filled, whole = re.search(r"fill to ([\d.]+) m3 and it lasts (\d+) whole run", words).groups()  # type: ignore[union-attr]
    # So much as the runs need at the dose: run x width x dose.
    width = known.spread("tanked_width", PLOUGH).mid
    assert float(filled) == pytest.approx(int(whole) * run * width * 30 / 1.02 / 1e4, rel=0.02)
    assert float(filled) < load
    assert int(whole) == int(lasts)
    assert f"ends {(lasts - int(whole)) * run:.0f} m into a run" in words
    assert "at the far headland" in words


def test_who_waits(known: Estimate) -> None:
    share = known.spread("fed_feeder_waits", INJECTOR).mid
    expected = f"The outfit never waits, the feeders wait {100 * share:.0f} % of theirs; 2 keep it going, 2 are there."
    assert waiting_words(known, INJECTOR) == expected


def test_a_crossing_in_words() -> None:
    inf = float("inf")
    met = Crossing("own", "hose", Spread(1.57, 1.0, inf), 0.7, 0.2, 2.0)
    assert crossing_words(met) == "hose: cheaper than own from 1.6 km on (1.0 to beyond 2 km)"
    never = Crossing("own", "hose", Spread(inf, inf, inf), 0.01, 0.2, 10.0)
    assert crossing_words(never) == "hose: not cheaper than own at any distance up to 10 km (in 1 % of draws it is)"
    near = Crossing("own", "hose", Spread(0.5, 0.2, 0.8), 1.0, 0.2, 10.0)
    assert crossing_words(near) == "hose: cheaper than own from 0.5 km on (0.2 or less to 0.8 km)"


def test_the_distance_chart() -> None:
    rows = [
        {"way": way, "km": km, "mid": cost, "low": cost - 0.5, "high": cost + 0.5}
        for way, points in {"own": {0.2: 3.0, 5.0: 8.0}, "hose": {0.2: 4.0, 2.0: 4.0}}.items()
        for km, cost in points.items()
    ]
    spec = distance_chart(rows, 1.8)
    svg = to_svg(spec)
    assert svg == to_svg(distance_chart(rows, 1.8))
    words = " ".join("".join(e.itertext()) for e in ET.fromstring(svg).iter())  # noqa: S314
    for text in ("own", "hose", "(to 2 km)", "the plan: 1.8 km", "EUR/m3", "estimated"):
        assert text in words
    lines = [layer["mark"] for layer in spec["layer"] if layer["mark"]["type"] == "line"]
    marks = [layer["mark"] for layer in spec["layer"] if layer["mark"]["type"] == "point"]
    assert len({tuple(line["strokeDash"]) for line in lines}) == len({mark["shape"] for mark in marks}) == 2
    with pytest.raises(ValueError, match="nothing to show"):
        distance_chart([], 1.0)
    with pytest.raises(ValueError, match="not finite"):
        distance_chart([{**rows[0], "mid": float("nan")}], 1.0)
    with pytest.raises(ValueError, match="too many"):
        distance_chart([{**rows[0], "way": str(i)} for i in range(7)], 1.0)


def test_the_day_is_drawn_to_scale_and_numbered() -> None:
    run = run_of_a_day()
    svg = day_drawing(run, {"spreader": "spreading outfit"}, 120, title="A day", subtitle="estimated; all of it")
    root = ET.fromstring(svg)  # noqa: S314
    assert svg == day_drawing(
        run, {"spreader": "spreading outfit"}, 120, title="A day", subtitle="estimated; all of it"
    )
    words = ["".join(e.itertext()) for e in root.iter() if e.tag.endswith("}text")]
    for text in ("fills", "on the road, full", "on the road, empty", "hands over", "spreads", "waits", "feeder 1"):
        assert text in words
    assert {"1", "2", "4", "5", "6"} <= set(words)
    boxes = [e for e in root.iter() if e.tag.endswith("}rect") and e.get("height") == "26" and e.get("fill") == "none"]
    shown = [s for book in run.stretches.values() for s in book if s.start_min < 120]
    assert len(boxes) == len(shown)
    per_min = (640 - 92 - 30) / 120
    for box, stretch in zip(boxes, shown, strict=True):
        assert float(box.get("x", 0)) == pytest.approx(92 + stretch.start_min * per_min, abs=0.06)
        assert float(box.get("width", 0)) == pytest.approx(
            (min(stretch.end_min, 120) - stretch.start_min) * per_min, abs=0.06
        )


def test_the_day_says_how_far_it_is_from_the_closed_form(section: Section) -> None:
    last = section.blocks[-1]
    assert "if nothing varies" in getattr(last, "text", "")
    assert "times vary by 15 %" in getattr(last, "text", "")
