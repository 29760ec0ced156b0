"""Figures in words, the table and the JSON: what people and programs read of an estimate."""

from __future__ import annotations

import json
import re
from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework import __version__
from spadework.estimate import Estimate, Spread, estimate
from spadework.estimate.workings.explain import lines_of
from spadework.plan import read_text
from spadework.present.data import estimate_json
from spadework.present.source_list import source_list, table_rows
from spadework.present.table import WIDTH, estimate_table
from spadework.present.wording import MAIN, chance, decimals_for, figure_text, interval_text, weather_line
from spadework.reference import load, table_names

FOLDER = Path(str(files("spadework.demo")))
TEXT = (FOLDER / "plan.toml").read_text("utf-8")


def plan_estimate(text: str = TEXT, draws: int = 200, seed: int = 1) -> Estimate:
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws, seed=seed)


@cache
def demo() -> Estimate:
    return plan_estimate()


def test_an_interval_keeps_two_digits_of_its_width() -> None:
    assert interval_text(Spread(399.6, 371.6, 429.4)) == "400 (372 to 429)"
    assert interval_text(Spread(0.141, 0.118, 0.164), None, 100.0) == "14.1 (11.8 to 16.4)"
    assert interval_text(Spread(-4.4, -6.3, 2.7), 1, sign=True) == "−4.4 (−6.3 to +2.7)"
    assert decimals_for([Spread(1, 1, 1)]) == 2


def test_what_does_not_vary_has_no_interval() -> None:
    assert interval_text(Spread(30.0, 30.0, 30.0)) == "30"
    assert interval_text(Spread(0.0, 0.0, 0.0)) == "0"
    assert interval_text(Spread(2.205, 2.205, 2.205)) in {"2.2", "2.21"}


def test_no_minus_nil() -> None:
    assert figure_text(-0.04, 1) == "0.0"
    assert figure_text(-0.04, 2, sign=True) == "−0.04"


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ([-1.0, -1.0, -1.0, 1.0], "less in 75 % of draws"),
        ([2.0, 2.0], "more in all draws"),
        ([0.0, 0.0], "no difference"),
        ([-1.0], "less (a single draw)"),
        ([-1.0] * 999 + [1.0], "less in over 99 % of draws"),
    ],
)
def test_a_chance_is_a_share_of_draws(values: list[float], said: str) -> None:
    assert chance(np.array(values)) == said


def test_table_fits_and_says_what_it_is() -> None:
    text = estimate_table(demo())
    assert max(len(line) for line in text.splitlines()) <= WIDTH
    assert "Estimated: models only, nothing measured." in text
    assert "INVENTED" in text
    assert f"spadework {__version__}, 200 draws, seed 1" in text
    for name in demo().systems:
        assert f"\n  {name}" in text
    for unit in ("EUR/ha", "L/ha", "ha/h", "h/ha", "kg N/ha", "% of ammoniacal N", "kg CO2e/ha", "cm"):
        assert unit in text
    for note in demo().notes:
        assert " ".join(note.split()) in " ".join(text.split())


def test_no_ammonia_share_without_weather() -> None:
    text = " ".join(estimate_table(demo()).split())
    assert " ".join(weather_line(demo().weather).split()) in text


def test_table_holds_the_figures_of_the_estimate() -> None:
    spread = demo().spread("cost", 2)
    assert interval_text(spread, 0) in estimate_table(demo())


def test_another_currency_is_printed_everywhere() -> None:
    text = re.sub(r"\bEUR\b", "DKK", TEXT)
    found = plan_estimate(text, draws=20)
    for shown in (estimate_table(found), estimate_json(found)):
        assert "DKK" in shown
        assert not re.search(r"\bEUR\b", shown)


def test_json_equals_the_estimate() -> None:
    found = demo()
    data = json.loads(estimate_json(found))
    assert (data["standing"], data["seed"], data["draws"], data["interval_share"]) == ("estimated", 1, 200, 0.8)
    assert [system["name"] for system in data["systems"]] == list(found.systems)
    for s, system in enumerate(data["systems"]):
        for main in MAIN:
            assert (main.name in system["figures"]) == found.has(main.name, s)
            if found.has(main.name, s):
                spread, figure = found.spread(main.name, s), system["figures"][main.name]
                assert (figure["mid"], figure["low"], figure["high"]) == (spread.mid, spread.low, spread.high)
        assert len(system["passes"]) == len(found.plan.systems[s].passes)
        for number, done in enumerate(system["passes"]):
            assert done["figures"]["pass_fuel"]["mid"] == found.rows("pass_fuel", s)[number].mid
    for row in data["differences"]:
        s = found.systems.index(row["system"])
        ours = found.difference("cost", s)
        assert (row["figures"]["cost"]["mid"], row["figures"]["cost"]["share_of_draws_below"]) == (
            ours.mid,
            ours.share_below,
        )


def test_json_workings_lead_from_figure_to_figure() -> None:
    data = json.loads(estimate_json(demo()))
    for name, workings in data["workings"].items():
        assert name in demo().systems
        for lines in workings.values():
            for line in lines:
                assert set(line["inputs"]) <= set(workings)
    assert {"name": "fuel_grisso", "vintage": load("fuel_grisso").vintage} in data["tables"]


def test_a_working_names_its_room() -> None:
    assert {line.where for line in lines_of(demo(), "pass_fuel", 2)} == {
        "science.machinery.pull.fuel: fuel_per_hectare"
    }
    assert {line.where for line in lines_of(demo(), "lost_share", 2)} == {"table field_work"}


def test_source_list_names_every_table() -> None:
    text = source_list()
    for name in table_names():
        assert f"\n{name} ({load(name).vintage})\n" in text


def test_table_rows_show_value_range_and_source() -> None:
    text = table_rows("gwp")
    assert "273" in text
    assert "memory" in text
    for name in table_names():
        assert table_rows(name).count("\n\n") >= len(load(name))


def test_unknown_table_names_the_nearest() -> None:
    with pytest.raises(KeyError, match='did you mean "fuel_grisso"'):
        table_rows("fuel_griso")
