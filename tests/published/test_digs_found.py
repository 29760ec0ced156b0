"""What digs say, against printed examples, figures worked out apart, and an invented machine whose fault is known."""

from __future__ import annotations

import numpy as np
import pytest

from conftest import Check
from dug_up import EIGHT, digs_of, eight, one_shallow
from spadework import statistics as st
from spadework.findings.digs import Dug, find_digs
from spadework.statistics.digs.by_mesh import components_by_mesh
from spadework.statistics.digs.unit_contrasts import between_units, unit_means, within_units

APART = "worked out apart for the invented test set of 8 units with 3 digs"
DYE = """1545 1440 1440 1520 1580 1540 1555 1490 1560 1495 1595 1550 1605 1510 1560
1445 1440 1595 1465 1545 1595 1630 1515 1635 1625 1520 1455 1450 1480 1445"""
DYE_SOURCE = "Davies and Goldsmith (1972), yield of dyestuff by batch (from memory)"
SLEEP = (
    [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0],
    [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4],
)
SLEEP_SOURCE = "Student (1908), additional hours of sleep of ten patients (from memory, with the usual intervals)"
PRACTICE = "invented machine: unit 4 left 6 cm shallower after a stone; its fault is put in by us"
WANTED = {"rows": 6, "window_cm": (4.0, 8.0), "seed_depth_cm": 5.0}


@pytest.fixture(scope="module")
def found() -> Dug:
    return find_digs(eight(), rows=8, window_cm=(4, 8), seed_depth_cm=5, draws=2_000_000)


def test_invented_digs(check: Check, found: Dug) -> None:
    gap = found.gap
    check("mean gap of all units", APART, 6.191667, gap.mean, 0.5e-6, unit="cm", kind="computed")
    check("pivotal lower limit of the gap, 90 % with 95 %", APART, 4.114, gap.least, 0.005, unit="cm", kind="computed")
    drawn = "theirs drawn with few draws: its mirror image of 4.114 about the mean is 8.269"
    what = "pivotal upper limit of the gap, 90 % with 95 %"
    check(what, APART, 8.277, gap.most, 0.01, unit="cm", kind="computed", note=drawn)
    mirror = 2 * 6.191667 - 4.114
    check("the same as mirror image of the lower one", APART, mirror, gap.most, 0.005, unit="cm", kind="computed")
    between, within = gap.between_sd**2, gap.within_sd**2
    check("variance of the gap between units", APART, 0.484841, between, 2e-6, kind="computed")
    check("mean square of the gap inside units", APART, 0.283333, within, 2e-6, kind="computed")
    check("mean square of the gap between units", APART, 1.737857, 3 * between + within, 2e-6, kind="computed")
    check("share of the variance that lies between units", APART, 0.631160, between / gap.sd**2, 2e-6, kind="computed")
    check("total variance of the gap", APART, 0.768175, gap.sd**2, 2e-6, kind="computed")
    values = np.array([float(word) for word in EIGHT.split()])
    alike = values.mean() - float(st.k_one_sided(24, 0.90, 0.95)) * values.std(ddof=1)
    check("lower limit, had the digs been independent", APART, 4.6128, alike, 0.00005, unit="cm", kind="computed")
    assert gap.least < alike - 0.4


def test_dyestuff_by_mesh(check: Check) -> None:
    it = st.sort_by_unit([float(word) for word in DYE.split()], np.repeat(list("ABCDEF"), 5))
    found = components_by_mesh(it)
    check("variance between batches, by mesh", DYE_SOURCE, 1764.05, found.between_var, 0.005, kind="memory")
    check("variance inside batches, by mesh", DYE_SOURCE, 2451.25, found.within_var, 0.005, kind="memory")


def test_sleep_in_pairs(check: Check) -> None:
    patients = np.tile(np.arange(10), 2)
    found = within_units(SLEEP[0] + SLEEP[1], patients, np.repeat([0, 1], 10), 0.95)
    for what, theirs, ours, tolerance in (
        ("difference", 1.58, found.estimate, 0.005),
        ("t", 4.0621, found.estimate / found.se, 0.00005),
        ("degrees of freedom", 9, found.df, 0),
        ("lower end", 0.70, found.low, 0.005),
        ("upper end", 2.46, found.high, 0.005),
    ):
        check(f"sleep in pairs, {what}", SLEEP_SOURCE, theirs, ours, tolerance, kind="memory")


@pytest.mark.parametrize("digs", [1, 3])
def test_sleep_as_two_groups(check: Check, digs: int) -> None:
    values = np.repeat(SLEEP[0] + SLEEP[1], digs)
    noise = np.tile(np.linspace(-1, 1, digs), 20) * 0.01 if digs > 1 else 0.0  # digs about the mean of their unit
    it = st.sort_by_unit(values + noise, np.repeat(np.arange(20), digs))
    found = between_units(it, np.repeat([0, 1], 10), 0.95)
    for what, theirs, ours, tolerance in (
        ("difference", 1.58, found.estimate, 0.005),
        ("t", 1.8608, found.estimate / found.se, 0.00005),
        ("degrees of freedom", 18, found.df, 0.001),
        ("lower end", -0.20, found.low, 0.005),
        ("upper end", 3.36, found.high, 0.005),
    ):
        check(f"sleep as two groups, {what}, {digs} a unit", SLEEP_SOURCE, theirs, ours, tolerance, kind="memory")


def test_allowance_over_units(check: Check) -> None:
    source = "Sidak's level for 10 statements of 5 % in all, as textbooks print it (from memory)"
    values = np.arange(20.0) + np.tile([0.0, 1.0], 10) * 3
    it = st.sort_by_unit(values, np.repeat(np.arange(10), 2))
    found = unit_means(it, 0.95)
    from scipy.special import stdtr

    level = 2 * (1 - stdtr(found.df, (found.high[0] - found.means[0]) / found.se[0]))
    check("level of each of ten units", source, 0.005116, level, 0.5e-6, kind="memory")


@pytest.mark.parametrize("seed", range(1, 13))
@pytest.mark.parametrize("shuffled", [False, True])
def test_a_unit_six_cm_shallower_is_found_in_every_arrangement(check: Check, seed: int, shuffled: bool) -> None:
    found = find_digs(one_shallow(seed, shuffled=shuffled), **WANTED)  # type: ignore[arg-type]
    off = {one.unit: one.change for one in found.found if one.change is not None}
    assert 4 in off
    change = off[4]
    assert change is not None
    assert change.part == "band"
    assert found.machine is None
    check(f"unit to be re-set most, seed {seed}, shuffled {shuffled}", PRACTICE, 4,
          max(off, key=lambda unit: abs(off[unit].gap_cm)), 0, kind="computed")  # type: ignore[union-attr]  # fmt: skip
    assert change.low_cm <= 6.0 + 1.2
    assert change.high_cm >= 6.0 - 1.2  # the units of the machine scatter by 0.4 cm besides


@pytest.mark.parametrize("seed", range(1, 13))
def test_a_unit_six_cm_shallower_is_found_when_the_way_back_was_counted_from_the_other_side(seed: int) -> None:
    found = find_digs(one_shallow(seed, flipped=True), **WANTED)  # type: ignore[arg-type]
    assert found.verdict == "count"
    assert found.flip is not None
    off = {one.unit: abs(one.change.gap_cm) for one in found.flip.off if one.change is not None}
    assert max(off, key=lambda unit: off[unit]) == 4
    assert off[4] > 4.5
    assert off.get(3, 0.0) < 2


def test_the_gap_is_top_less_seed(check: Check) -> None:
    dug = digs_of([5.0, 6.0, 7.0, 6.0], [1, 1, 2, 2], seed=[4.0, 5.0, 6.0, 5.5])
    found = find_digs(dug, rows=2, window_cm=(4, 8), seed_depth_cm=5)
    check("gap of the first dig", "definition: top of the band less depth of the seed", 5.0, found.gap_cm[0], 1e-12,
          unit="cm", kind="computed")  # fmt: skip
    check("its top", "the same", 9.0, found.top_cm[0], 1e-12, unit="cm", kind="computed")


def test_depths_from_the_crest_and_from_undisturbed_ground(check: Check) -> None:
    source = "arithmetic: a berm of 3.2 cm of which half settles rises 1.6 cm over the ground"
    where = ["crest", "crest", "undisturbed", "undisturbed"]
    dug = digs_of([7.4, 7.4, 4.2, 4.2], [1, 2, 1, 2], seed=float("nan"), measured_from=where)
    found = find_digs(dug, rows=2, window_cm=(4, 8), seed_depth_cm=5, berm_cm=3.2, settlement_share=0.5)
    check("top from the crest, 12.4 cm", source, 10.8, found.top_cm[0], 1e-9, unit="cm", kind="computed")
    check("top from undisturbed ground, 9.2 cm", source, 10.8, found.top_cm[2], 1e-9, unit="cm", kind="computed")
    assert found.converted == 4
    assert found.seed_assumed == 4
