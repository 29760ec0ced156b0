"""The figures of the demo on the page on warmth, and the example on the page on stands, are those that the tool gives."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import Estimate, estimate
from spadework.estimate.seedbed.answers import ends_of_strip, figures_of
from spadework.plan import read
from spadework.present.seedbed.words import Seedbed, seedbed_of, sure_words, warmth_cells, zones

DOCS = Path(__file__).parents[2] / "docs"
PAGE = (DOCS / "how" / "warmth.md").read_text("utf-8")
STRIP = 2


@pytest.fixture(scope="module")
def demo() -> Estimate:
    return estimate(read(Path(str(files("spadework.demo"))) / "plan.toml"))


@pytest.fixture(scope="module")
def found(demo: Estimate) -> Seedbed:
    return seedbed_of(demo)


def part() -> str:
    return " ".join(PAGE.split("## The demo, four systems over four weeks\n", 1)[1].split("\n## ", 1)[0].split())


def test_table_of_the_demo(demo: Estimate, found: Seedbed) -> None:
    text = PAGE.split("## The demo, four systems over four weeks\n", 1)[1]
    lines = re.search(r"(?:^\|.*\n)+", text, re.M)
    assert lines is not None
    rows = [tuple(cell.strip() for cell in line.strip("|").split("|")) for line in lines[0].splitlines()[2:]]
    assert rows == [warmth_cells(zone)[:3] for zone in zones(demo, found)]


def test_how_sure_the_demo_is(demo: Estimate, found: Seedbed) -> None:
    said = " ".join(sure_words(demo, found)).replace("°C", "degC").replace("−", "-")
    mean = re.search(r"the strip is (\S+ \(.*?\)) degC warmer", said)
    wide = re.search(r"day range is (\S+ \(.*?\)) degC wider", said)
    assert mean is not None
    assert wide is not None
    assert f"The strip is {mean[1]} degC warmer than the ground between" in part()
    assert f"its day range is {wide[1]} degC wider" in part()
    ends = ends_of_strip(demo, found.warmth, STRIP)
    assert f"goes from {ends.mean_low_k:.1f} to {ends.mean_high_k:.1f} degC" in part()
    assert f"stays {ends.ratio_low:.2f} to {ends.ratio_high:.2f} of that in the strip" in part()


def test_half_a_degree_and_less_than_a_day(demo: Estimate, found: Seedbed) -> None:
    strip, plough = (figures_of(found.warmth, system).mean_degc for system in (STRIP, 0))
    assert 0.4 < np.median(strip - plough) < 0.6
    for rule in ("ohio_soil", "itabari", "yin"):
        earlier = found.emergence.of(0).days[rule][1] - found.emergence.of(STRIP).days[rule][1]
        assert 0 < np.median(earlier) < 1
