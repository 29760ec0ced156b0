"""The numbers of the page on warmth are those that the models give."""

from __future__ import annotations

import re
from functools import cache
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from spadework import reference
from spadework.science.seedbed.heat.columns import layer_edges
from spadework.science.seedbed.heat.soil import conductivity_lu_2007, first_day_temperature, heat_capacity
from spadework.science.seedbed.heat.strip import blend_weight, strip_weight
from spadework.science.seedbed.heat.surface import run_surface
from spadework.science.seedbed.heat.surface_balance import Zone
from spadework.science.seedbed.heat.surface_weather import hourly_weather
from spadework.science.seedbed.heat.waves import damping_depth

PAGE = (Path(__file__).parents[2] / "docs" / "how" / "warmth.md").read_text("utf-8")
ZONES = ("bare_strip", "between_rows", "ploughed", "cultivated")
MOISTURE, SAND = 0.25, 0.3
MANY_DAYS = 1e8
THIN_DARK_WET = 2 * 3 + 0  # least light thrown back, least hold, most hold of residue against vapour, least of soil


def cells(heading):
    part = PAGE.split(f"## {heading}\n", 1)[1]
    lines = re.search(r"(?:^\|.*\n)+", part, re.M)
    return [[cell.strip() for cell in line.strip("|\n").split("|")] for line in lines[0].splitlines()[2:]]


def printed(text, value):
    decimals = len(text.partition(".")[2])
    assert abs(float(text) - value) <= 0.5 * 10**-decimals * (1 + 1e-9), f"page {text}, model {value:.4f}"


def soil(density):
    return [conductivity_lu_2007(MOISTURE, density, SAND)], [heat_capacity(density, MOISTURE)]


def at_five(density, ground, days=14):
    """Hours of the last day at 5 cm."""
    made = hourly_weather([8.0] * days, [18.0] * days, 52, 128)
    weather = (made.air_degc, made.light_w_m2, made.vapour_kpa, made.wind_m_s, made.sky_w_m2)
    assert len(made.made_up) == 3
    return run_surface([13.0], *weather, *soil(density), layer_edges(), [5], ground=ground).degc[..., -24:, 0]


@cache
def zone(key):
    return at_five(reference.load("surface_zones")[key].entry("density").value, Zone.of(key))


def test_zones_of_the_page():
    rows = cells("A week in May")
    assert len(rows) == len(ZONES)
    for row, key in zip(rows, ZONES, strict=True):
        assert row[0] == reference.load("surface_zones")[key].label
        day = zone(key)
        for text, value in zip(row[1:], (day.mean(), day.min(), day.max(), np.ptp(day)), strict=True):
            printed(text, value)


def test_what_arrives_under_a_strip():
    damping = damping_depth(*(part[0] for part in soil(1.2)))
    assert f"{damping:.1f} cm" in PAGE
    for width, depth, of_day, of_mean, rule in cells("How much of it arrives under a strip"):
        width, depth = float(width) / 100, float(depth)
        printed(of_day, strip_weight(depth, width, 0.75, damping))
        printed(of_mean, strip_weight(depth, width, 0.75, MANY_DAYS))
        printed(rule, blend_weight(width, damping))


def said(name):
    """Numbers in the sentence that follows a name in bold."""
    sentence = PAGE.split(f"**{name}**", 1)[1].split("\n\n", 1)[0]
    return re.findall(r"-?\d+\.\d+", sentence)


def test_what_is_left_in_the_strip():
    damping = damping_depth(*(part[0] for part in soil(1.2)))
    strip, between = zone("bare_strip"), zone("between_rows")
    numbers = said("The strip itself.")
    printed(numbers[0], strip_weight(5, 0.2, 0.75, MANY_DAYS) * (strip.mean() - between.mean()))
    printed(numbers[1], strip_weight(5, 0.2, 0.75, damping) * (np.ptp(strip) - np.ptp(between)))


@cache
def spread():
    """Cover 0.05 and 0.8 alike in all else, over all ends of what is assumed: differences of mean and ratios of range."""
    table = reference.load("surface_zones")["between_rows"]
    ends = [
        (e.low, e.value, e.high) for e in map(table.entry, ("residue_albedo", "residue_hold", "residue_drag", "drag"))
    ]
    grid = np.array(list(product(*ends))).T
    found = []
    for cover in (0.05, 0.8):
        ground = Zone(0.15, grid[0], np.full(grid.shape[1], cover), 0.01, grid[1], grid[3], grid[2])
        found.append(at_five(1.3, ground))
    bare, covered = found
    return bare.mean(axis=-1) - covered.mean(axis=-1), np.ptp(covered, axis=-1) / np.ptp(bare, axis=-1)


def test_what_is_robust_and_what_is_weak():
    warmer, narrower = spread()
    assert len(narrower) == 81
    assert (narrower < 1).sum() == 80
    assert np.argmax(narrower) == THIN_DARK_WET
    assert (warmer > 0).mean() == pytest.approx(0.75, abs=0.05)
    for name, values in (("The day range.", narrower), ("The mean.", warmer)):
        numbers = said(name)
        printed(numbers[0], values.min())
        printed(numbers[1], values.max())


def test_slurry_on_the_first_day():
    numbers = said("Cold slurry.")
    printed(numbers[0], 2.21)
    mixed = first_day_temperature(12, 8, 2.21, 200, heat_capacity(1.2, MOISTURE))
    printed(numbers[1], 12 - mixed)


def test_air_is_as_the_page_says():
    assert "8 and 18 degC" in PAGE
    made = hourly_weather([8.0], [18.0], 52, 134)
    printed(re.search(r"([\d.]+) MJ/m2", PAGE)[1], made.light_w_m2.mean() * 0.0864)
