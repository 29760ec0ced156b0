"""What is said in the trade, held against estimates from inputs that a contractor might enter.

These are facts of common practice without a source.  Where an estimate's 80 % interval holds the figure, the test says
so.  Where it does not, no constant was bent: the test holds what we find instead, with the reason, so that a change of
either is seen.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from conftest import Check
from spadework.estimate import Estimate, Spread, estimate
from spadework.plan import read

SAID = "common practice, no source"
PLOUGH, CULTIVATOR, STRIP = range(3)


@cache
def found() -> Estimate:
    return estimate(read(Path(__file__).with_name("practice.toml")))


def of_pass(name: str, system: int, step: int) -> Spread:
    return found().rows(name, system)[step]


def pass_cost(system: int, step: int, *, owning: bool = True) -> Spread:
    """Cost of one pass [EUR/ha]: diesel, oil, labour, repairs, and wear and interest of tractor and machines."""
    return of_pass("pass_full" if owning else "pass_marginal", system, step)


def within(check: Check, what: str, theirs: float, ours: Spread, unit: str) -> None:
    """Hold that our 80 % interval contains their figure."""
    note = f"our 80 % interval {ours.low:.3g} to {ours.high:.3g} holds it"
    half = max(abs(ours.high - ours.mid), abs(ours.mid - ours.low))
    check(what, SAID, theirs, ours.mid, half, unit=unit, kind="practice", note=note)
    assert ours.low <= theirs <= ours.high, f"{what}: {theirs} outside {ours}"


def test_work_rates(check: Check) -> None:
    within(check, "ploughing, work rate", 1.0, of_pass("pass_rate", PLOUGH, 1), "ha/h")
    within(check, "cultivator at 18 to 20 cm, work rate", 2.0, of_pass("pass_rate", CULTIVATOR, 1), "ha/h")


def test_cost_of_ploughing(check: Check) -> None:
    # 60 EUR/ha is less than owning costs here: the full cost is near 100 EUR/ha, where printed contract rates lie as well
    # (ring rate of 2017, 92 EUR/ha net).  Diesel, oil, labour and repairs alone come to 63 to 82: turning and headlands,
    # which a round figure leaves out, and the power that the tractor needs to move itself make the difference.
    full, running = pass_cost(PLOUGH, 1), pass_cost(PLOUGH, 1, owning=False)
    assert full.low > 60
    assert 60 < running.low < 65
    check(
        "ploughing, full cost",
        "Westphalian machinery rings, rates from 2017: ploughing medium soil, net",
        92.0,
        full.mid,
        max(full.high - full.mid, full.mid - full.low),
        unit="EUR/ha",
        note=f"our 80 % interval {full.low:.0f} to {full.high:.0f}; 60 EUR/ha, said in the trade, lies below it",
    )


def test_strip_tillage_with_slurry() -> None:
    # Said: about 22 L/ha and 60 EUR/ha for placing 30 t/ha in one pass.  We find 17 to 21 L/ha, since work, turning and
    # standing are charged apart; the working load charged to all field time, as is often done, gives 24 to 33.  The
    # row unit is built from parts of the draft table (+/-50 %): a measured draft would say more.
    # 60 EUR/ha is less than diesel, oil, labour and repairs of the outfit come to here (65 to 90); owning it comes on top.
    fuel = of_pass("pass_fuel", STRIP, 0)
    assert (fuel.low, fuel.high) == (pytest.approx(17.0, abs=0.5), pytest.approx(21.1, abs=0.5))
    at_full_time = found().sheet["work_fuel"][_row(STRIP, 0)] * found().sheet["field_time"][_row(STRIP, 0)]
    assert np.quantile(at_full_time, (0.1, 0.9)).tolist() == pytest.approx([24.1, 33.5], abs=0.5)
    running, full = pass_cost(STRIP, 0, owning=False), pass_cost(STRIP, 0)
    assert 63 < running.low < 68
    assert full.low == pytest.approx(92, abs=2)


def _row(system: int, step: int) -> int:
    owners = found().sheet.axes["pass"].systems
    return [row for row, owner in enumerate(owners) if owner == system][step]


def test_ammonia(check: Check) -> None:
    mixed = found().spread("loss_share", CULTIVATOR)
    within(check, "ammonia where a cultivator follows at once, of ammoniacal N", 0.10, mixed, "1")
    # Said: about 1 %, rarely over 3 %, for a fully covered band.  The guidance figure that is the default here (90 %
    # saved of a reference loss of 40 % of pig slurry's ammoniacal N) cannot go below about 2 %; a Dutch factor says 2 %.
    band = found().spread("loss_share", STRIP)
    assert band.low == pytest.approx(0.024, abs=0.002)
    assert band.low < 0.03 < band.high
