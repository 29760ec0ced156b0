"""Warmth of the demo's strip against what was measured elsewhere, and stands against printed rules of counting."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import Estimate, estimate
from spadework.estimate.seedbed.answers import shown_days
from spadework.estimate.seedbed.follow import follow_warmth
from spadework.estimate.seedbed.warmth import SoilWarmth
from spadework.findings.stand import find_stand
from spadework.plan import read
from spadework.records.files.stand_counts import StandCount

STRIP = 2
WEAK = "other soil, spring and hour; the demo is invented, its weather a typical year at 45 degrees north"


@pytest.fixture(scope="module")
def demo() -> Estimate:
    return estimate(read(Path(str(files("spadework.demo"))) / "plan.toml"), draws=50)


@pytest.fixture(scope="module")
def warmth(demo: Estimate) -> SoilWarmth:
    return follow_warmth(demo, days=28, systems=(STRIP,))


def over_between(warmth: SoilWarmth, hour: int | None = None) -> float:
    strip, between = (shown_days(warmth, STRIP, zone) for zone in ("strip", "between"))
    apart = strip - between
    return float(np.median((apart if hour is None else apart[:, :, hour - 1 : hour]).mean(axis=(1, 2))))


def test_strip_over_ground_between_as_in_iowa(check, warmth: SoilWarmth) -> None:
    source = "Licht and Al-Kaisi (2005), abstract: 1.2 to 1.4 degC over untilled ground at 5 cm, hour not told"
    check("strip over ground between, mean of four weeks", source, 1.3, over_between(warmth), 1.0, unit="K", note=WEAK)
    check("strip over ground between, at 15 h", source, 1.3, over_between(warmth, 15), 1.0, unit="K", note=WEAK)


@pytest.mark.xfail(
    strict=True, reason="told: 2.8 to 4.4 K after soya, up to 8.3 K after maize; ours 1.7 K at 15 h, mean of four weeks"
)
def test_strip_over_residue_as_told_in_minnesota(check, warmth: SoilWarmth) -> None:
    check(
        "middle of a strip over soil under residue, by day",
        "University of Minnesota, as retold in 2012: 5 to 8 in Fahrenheit after soya",
        3.6,
        over_between(warmth, 15),
        0.8,
        unit="K",
        note=WEAK,
    )


def test_ten_metres_at_seventy_five_centimetres(check) -> None:
    # plants per hectare are the count times 1333 (guides on stand counts, reckoned)
    found = find_stand([StandCount("1", "", unit, 70, 10.0) for unit in (1, 2)], 0.75)
    check("70 plants on 10 m at 75 cm", "arithmetic: 10 m of row at 75 cm are 7.5 m2", 93_333, found.units[0].stand.per_ha, 0.5,
          unit="1/ha", kind="computed")  # fmt: skip


def test_exact_interval_of_ten_plants(check) -> None:
    # Garwood (1936): 95 % interval of a count of ten is 4.80 to 18.39
    found = find_stand([StandCount("1", "", unit, 10, 10.0) for unit in (1, 2)], 0.75)
    stand = found.units[0].stand
    for name, theirs, ours in (("low", 4.80, stand.low), ("high", 18.39, stand.high)):
        check(f"ten plants, {name} end", "Garwood (1936), Biometrika 28:437, from memory", theirs, ours * 7.5 / 10_000, 0.005,
              kind="memory")  # fmt: skip
