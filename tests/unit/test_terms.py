"""Systems compared at equal volume, equal ammoniacal N, or equal available N."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from spadework.estimate import Estimate, estimate
from spadework.plan import PlanFaults, read_text
from spadework.present.table import estimate_table
from spadework.present.wording import terms_line

FOLDER = Path(str(files("spadework.demo")))
DEMO = (FOLDER / "plan.toml").read_text("utf-8")
STRIP = 2


@cache
def at(terms: str, draws: int = 1) -> Estimate:
    text = DEMO.replace("inhibitor = false", f'inhibitor = false\nterms = "{terms}"')
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws)


def test_equal_available_n_is_equal_on_the_middle_of_every_input() -> None:
    found = at("equal available N")
    given = [found.values("available_n", s)[0] for s in range(4)]
    np.testing.assert_allclose(given, given[0], rtol=1e-3)
    assert found.dose(0)[0] == pytest.approx(found.sheet["dose"][0])
    # the band loses least, so it needs least slurry for the same nitrogen
    assert found.dose(STRIP)[0] == min(found.dose(s)[0] for s in range(4)) < found.dose(0)[0]


def test_doses_are_settings_that_do_not_move_with_the_draws() -> None:
    factors = at("equal available N", 50).sheet["dose_factor"]
    assert factors.shape == (4, 1)
    np.testing.assert_allclose(factors, at("equal available N").sheet["dose_factor"])


def test_what_follows_from_the_dose_follows_each_systems_own() -> None:
    found, same = at("equal available N"), at("equal volume")
    ratio = found.dose(STRIP)[0] / same.dose(STRIP)[0]
    for name in ("total_n_dose", "phosphorus_dose", "row_litres", "slurry_cost"):
        assert found.values(name, STRIP)[0] == pytest.approx(ratio * same.values(name, STRIP)[0]), name
    assert found.values("gap", STRIP)[0] > same.values("gap", STRIP)[0]
    assert found.values("supply_cost", STRIP)[0] < same.values("supply_cost", STRIP)[0]


def test_with_one_slurry_equal_ammoniacal_n_is_equal_volume() -> None:
    one, other = at("equal ammoniacal N"), at("equal volume")
    assert all((one.sheet[name] == other.sheet[name]).all() for name in other.sheet.figures)
    assert "with one slurry for all that is equal volume" in terms_line(one)


@pytest.mark.parametrize("terms", ["equal volume", "equal ammoniacal N", "equal available N"])
def test_the_terms_are_printed(terms: str) -> None:
    assert f"Compared at {terms}" in " ".join(estimate_table(at(terms)).split())


def test_a_baseline_without_slurry_has_no_available_n_to_be_equal_to() -> None:
    start = DEMO.index('[[system]]\nname = "plough"')
    first = DEMO.index("  [[system.pass]]", start)
    second = DEMO.index("  [[system.pass]]", first + 10)
    text = (DEMO[:first] + DEMO[second:]).replace('  after = "1 h"\n', "")
    text = text.replace("inhibitor = false", 'inhibitor = false\nterms = "equal available N"')
    with pytest.raises(PlanFaults) as stop:
        read_text(text, "plan.toml", FOLDER)
    assert any("no available N to be equal to" in fault.what for fault in stop.value.faults)
