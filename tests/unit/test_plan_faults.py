"""Every faulty plan gets its fault: on the right line, under the right key, in words that say what would do."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import pytest

from plans.faulty import DEMO, FAULTY, Faulty
from plans.faulty_band import FAULTY_BAND
from plans.faulty_crop import FAULTY_CROP
from plans.faulty_design import FAULTY_DESIGN
from plans.faulty_parts import FAULTY_PARTS
from plans.faulty_slurry import FAULTY_SLURRY
from plans.faulty_supplies import FAULTY_SUPPLIES, WAYS, supplied
from plans.faulty_wheels import FAULTY_WHEELS
from spadework.estimate import check_fit
from spadework.plan import PlanFaults, read_text

ALL = (
    *FAULTY,
    *FAULTY_BAND,
    *FAULTY_CROP,
    *FAULTY_DESIGN,
    *FAULTY_PARTS,
    *FAULTY_SLURRY,
    *FAULTY_SUPPLIES,
    *FAULTY_WHEELS,
)
FOLDER = Path(str(files("spadework.demo")))


def faults_of(text: str) -> PlanFaults | None:
    try:
        check_fit(read_text(text, "plan.toml", FOLDER))
    except PlanFaults as faults:
        return faults
    return None


def test_the_demo_plan_has_no_fault() -> None:
    assert faults_of(DEMO) is None


def test_names_are_told_apart() -> None:
    assert len({faulty.name for faulty in ALL}) == len(ALL)
    assert len(ALL) >= 180


@pytest.mark.parametrize("way", WAYS)
def test_a_whole_supply_of_each_way_has_no_fault(way: str) -> None:
    may = {"filling": '"6 m3/min"', "transfer": '"7 m3/min"'} if way != "hose" else {}
    for text in (supplied(way), supplied(way, **may)):
        assert faults_of(text) is None


@pytest.mark.parametrize("faulty", ALL, ids=lambda faulty: faulty.name)
def test_fault_is_told_where_it_stands(faulty: Faulty) -> None:
    raised = faults_of(faulty.text)
    assert raised is not None, "the plan was taken as it is"
    said = str(raised)
    assert "Traceback" not in said
    assert "\x1b" not in said
    assert "\x07" not in said
    assert max(map(len, said.splitlines())) < 800
    fitting = [f for f in raised.faults if f.line == faulty.line and faulty.key in f.key]
    assert fitting, said
    assert any(all(word in fault.what for word in faulty.words) for fault in fitting), said
    if faulty.alone:
        assert len(raised.faults) == 1, said
    if faulty.line is not None:
        assert f"  line {faulty.line}" in said


def test_all_faults_are_told_at_once_in_the_order_of_the_file() -> None:
    text = DEMO.replace('slope = "1 %"', "slope = 1").replace('"23 +/- 2 cm"', '"23 kg"').replace("[crop", "[crpo")
    raised = faults_of(text)
    assert raised is not None
    assert [f.key for f in raised.faults] == ["crop", "field, slope", "crpo", 'system 1 "plough", pass 2, depth']
    assert str(raised).startswith("plan.toml: 4 faults\n")


def test_a_wrong_currency_hides_no_other_fault_and_makes_none() -> None:
    text = DEMO.replace("EUR", "GBP").replace('currency = "GBP"', 'currency = "gbp"')
    raised = faults_of(text)
    assert raised is not None
    assert [fault.key for fault in raised.faults] == ["prices, currency"]


def test_another_currency_will_do_where_all_prices_are_in_it() -> None:
    assert faults_of(DEMO.replace("EUR", "GBP")) is None


def test_an_unknown_tractor_makes_no_further_faults() -> None:
    raised = faults_of(DEMO.replace('tractor = "tractor 230"', 'tractor = "trctor 230"'))
    assert raised is not None
    assert {fault.key.rsplit(", ", 1)[1] for fault in raised.faults} == {"tractor"}
