"""Harvest sums against worked figures and exact geometry; the cleaning against a log whose truth is known."""

from __future__ import annotations

import numpy as np
import pytest

from conftest import Check
from harvest_made import WIDTH, made_log
from spadework.science import harvest as hv

WORKED = "worked out apart, by hand"


def test_yield_from_flow_speed_and_width(check: Check) -> None:
    wet = float(hv.point_yield(12, 1.5, 6))
    check("12 kg/s at 1.5 m/s and 6 m", WORKED, 13.3333, wet, 0.5e-4, unit="t/ha", kind="computed")
    check("dry matter at 24 % moisture", WORKED, 10.1333, hv.dry_matter_yield(wet, 0.76), 0.5e-4, kind="computed")
    for standard, theirs in ((0.14, 11.7829), (0.15, 11.9216), (0.155, 11.9921)):
        ours = float(hv.yield_at_moisture(wet, 0.24, standard))
        check(
            f"24 % moisture stated at {100 * standard:g} %", WORKED, theirs, ours, 0.5e-4, unit="t/ha", kind="computed"
        )


def test_shrink(check: Check) -> None:
    source = "seed-company agronomy page, 25.5 to 15.5 % moisture"
    check("shrink from 25.5 to 15.5 %", source, 11.834, 100 * float(hv.shrink(0.255, 0.155)), 0.5e-3, unit="%")
    check("shrink of one point at 15.5 %", source, 1.1834, 100 * float(hv.shrink(0.165, 0.155)), 0.5e-4, unit="%")


def test_forage_stated_at_other_dry_matters(check: Check) -> None:
    check("48 t/ha at 33 %, dry", WORKED, 15.84, hv.dry_matter_yield(48, 0.33), 0.5e-2, unit="t/ha", kind="computed")
    for standard, theirs, last in ((0.32, 49.5, 0.05), (0.35, 45.257, 0.5e-3)):
        ours = float(hv.yield_at_dry_matter(48, 0.33, standard))
        check(
            f"48 t/ha at 33 % stated at {100 * standard:g} %", WORKED, theirs, ours, last, unit="t/ha", kind="computed"
        )
    source = "practice of trading forage at 30 % dry matter: price times 28/30"
    check("load at 28 % priced at 30 %", source, 28 / 30, hv.yield_at_dry_matter(1, 0.28, 0.30), 1e-12, kind="practice")


def test_silage_with_volatiles(check: Check) -> None:
    source = "Weissbach and Strubelt (2008): 2.22 + 0.960 DM in percent (from memory)"
    check(
        "oven 33 %",
        source,
        2.22 + 0.960 * 33,
        100 * float(hv.fermented_dry_matter(0.33)),
        1e-9,
        unit="%",
        kind="memory",
    )


def test_a_point_of_dry_matter_is_three_percent(check: Check) -> None:
    ours = float(hv.relative_yield_se(0, 0.01 / 0.33, 0, 0))
    check("one point at 33 %", WORKED, 3.0, 100 * ours, 0.05, unit="%", kind="computed")


def test_rounding_scatters_by_a_twelfth(check: Check) -> None:
    random = np.random.default_rng(3)
    true = random.uniform(4000, 5000, 200_000)
    theirs = float(np.std(np.round(true / 10) * 10 - true))
    check(
        "rounding to 10 kg",
        "200 000 draws",
        theirs,
        hv.weighing_se(10, 1),
        0.01,
        unit="kg",
        kind="computed",
        note="drawn",
    )


def test_samples_keep_their_promise(check: Check) -> None:
    # 3 loads of unlike mass, 2 samples each, scatter inside loads 0.01: standard error against that of many repeats
    random = np.random.default_rng(11)
    mass, true = np.array([4000.0, 3000.0, 1500.0]), np.array([0.33, 0.35, 0.31])
    place = np.repeat(np.arange(3), 2)
    found = [hv.sampled_dry_matter(true[place] + random.normal(0, 0.01, 6), place, mass) for _ in range(4000)]
    means = np.array([one.dry_matter_share for one in found])
    wanted = float(np.average(true, weights=mass))
    check("mean of loads by mass", "4000 repeats", wanted, means.mean(), 4e-4, kind="computed", note="drawn")
    variance = float(np.mean([one.standard_error**2 for one in found]))
    check(
        "its variance, promised",
        "4000 repeats",
        means.var(),
        variance,
        0.06 * means.var(),
        kind="computed",
        note="drawn",
    )


def test_loads_without_a_sample_are_paid_for(check: Check) -> None:
    # 6 loads differ by 0.02, 4 of them have 3 samples: the error of the mean of all six
    random = np.random.default_rng(12)
    mass, place = np.full(6, 3000.0), np.repeat(np.arange(4), 3)
    off, promised = [], []
    for _ in range(4000):
        loads = random.normal(0.33, 0.02, 6)
        found = hv.sampled_dry_matter(loads[place] + random.normal(0, 0.005, 12), place, mass)
        off.append(found.dry_matter_share - loads.mean())
        promised.append(found.standard_error**2)
    theirs = float(np.mean(np.square(off)))
    check(
        "variance with 2 of 6 loads unsampled",
        "4000 repeats",
        theirs,
        np.mean(promised),
        0.08 * theirs,
        kind="computed",
        note="drawn",
    )


@pytest.mark.parametrize(
    ("latitude", "north_km", "east_km"),
    [(0, 110.574, 111.320), (15, 110.649, 107.550), (30, 110.852, 96.486), (45, 111.132, 78.847), (60, 111.412, 55.800)],
)  # fmt: skip
def test_length_of_a_degree(check: Check, latitude: float, north_km: float, east_km: float) -> None:
    source = "table of the lengths of a degree, WGS84 (from memory)"
    east, north = 1000 * hv.metres_from_middle(latitude + 1e-3, 1e-3, latitude, 0)
    check(f"degree of latitude at {latitude}", source, north_km, north / 1000, 1e-3, unit="km", kind="memory")
    check(f"degree of longitude at {latitude}", source, east_km, east / 1000, 1e-3, unit="km", kind="memory")


def on_earth(latitude: np.ndarray, longitude: np.ndarray) -> np.ndarray:
    a, f = 6378137.0, 1 / 298.257223563
    e2 = f * (2 - f)
    p, r = np.radians(latitude), np.radians(longitude)
    n = a / np.sqrt(1 - e2 * np.sin(p) ** 2)
    return np.stack([n * np.cos(p) * np.cos(r), n * np.cos(p) * np.sin(r), n * (1 - e2) * np.sin(p)])


@pytest.mark.parametrize("latitude", [0.0, 50.0, -35.0, 60.0])
def test_distances_on_the_plane_are_those_through_the_earth(check: Check, latitude: float) -> None:
    # chords between places up to 1.4 km from the middle; over 2 km arc and chord differ by less than 0.1 mm
    random = np.random.default_rng(5)
    lat = latitude + random.uniform(-0.009, 0.009, 300)
    lon = 8 + random.uniform(-0.009, 0.009, 300) / np.cos(np.radians(latitude))
    plane = hv.metres_from_middle(lat, lon, latitude, 8.0)
    earth = on_earth(lat, lon)
    apart = np.hypot(*(plane[:, :150] - plane[:, 150:])) - np.sqrt(((earth[:, :150] - earth[:, 150:]) ** 2).sum(0))
    # tan(60 deg) / earth radius times 1 km times 1 km is 0.27 m at a corner; between two corners twice that
    what = f"distances in a square of 2 km at {latitude:g} degrees"
    check(what, "chords of the ellipsoid, exact", 0.0, np.abs(apart).max(), 0.6, unit="m", kind="computed")


def test_local_moran_has_the_moments_of_dealing_at_random(check: Check) -> None:
    random = np.random.default_rng(2)
    x = np.sort(random.uniform(0, 100, 25))
    y = random.gamma(3, 1, 25)
    found = hv.local_moran(y, x, 0 * x, ["a"] * 25, 12)
    z = (y - y.mean()) / y.std()
    i = int(np.argmax(z))
    near = np.flatnonzero((np.abs(x - x[i]) <= 12) & (np.arange(25) != i))
    rest = np.delete(z, i)
    dealt = np.array([random.permutation(rest)[: near.size].mean() for _ in range(40_000)])
    check("measure of the highest point", WORKED, z[i] * z[near].mean(), found.measure[i], 1e-12, kind="computed")
    apart = (z[near].mean() - dealt.mean()) / dealt.std()
    from scipy.stats import norm

    check(
        "its probability",
        "40 000 permutations, as normal",
        2 * norm.sf(abs(apart)),
        found.p[i],
        0.02,
        kind="computed",
        note="drawn",
    )
    exact = float(np.mean(np.abs(dealt - dealt.mean()) >= abs(z[near].mean() - dealt.mean())))
    check(
        "its probability",
        "40 000 permutations, counted",
        exact,
        found.p[i],
        0.05,
        kind="computed",
        note="normal is near, not exact",
    )


def test_local_moran_at_random_has_the_mean_of_anselin(check: Check) -> None:
    random = np.random.default_rng(4)
    x = np.arange(20.0)
    y = random.normal(size=20)
    means = [hv.local_moran(random.permutation(y), x, 0 * x, ["a"] * 20, 2.5).measure.mean() for _ in range(4000)]
    check(
        "mean of I at random, n 20",
        "Anselin (1995): -1/(n - 1) (from memory)",
        -1 / 19,
        np.mean(means),
        0.006,
        kind="memory",
        note="drawn",
    )


@pytest.mark.parametrize(
    ("seed", "delay", "smear"), [(1, 12.0, 2.0), (2, 12.0, 2.0), (3, 12.0, 4.0), (4, 8.0, 2.0), (5, 12.0, 0.0)]
)
def test_delay_of_a_made_log_is_found(check: Check, seed: int, delay: float, smear: float) -> None:
    log = made_log(seed=seed, delay_s=delay, smear_s=smear)
    passes = hv.numbered_passes(log.time_s, log.header_down, log.strip, 5)
    curve = hv.delay_curve(log.time_s, log.east_m, log.north_m, log.flow_kg_s, log.speed_m_s, passes, WIDTH)
    assert not curve.at_end
    check(
        f"delay, smear {smear:g} s, set {seed}",
        "made log, known by making",
        delay,
        curve.best_s,
        0.5,
        unit="s",
        kind="computed",
    )


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("smear", [2.0, 4.0])
def test_cleaning_brings_strips_nearer_to_the_truth(check: Check, seed: int, smear: float) -> None:
    log = made_log(seed=seed, smear_s=smear)
    found = hv.clean_log(*log.arrays(), delay_s=12)
    true = np.array([log.true_t_ha[name] for name in found.strips])
    before, after = np.abs(found.strip_before - true).max(), np.abs(found.strip_after - true).max()
    assert after < before
    source = "made log, known by making"
    # the strips lie about 48 t/ha: one hundredth of that
    check(f"worst strip, set {seed}, smear {smear:g} s", source, 0.0, after, 0.48, unit="t/ha", kind="computed")
    effect = found.strip_after[3:].mean() - found.strip_after[:3].mean()
    check(f"difference of two systems, set {seed}", source, 6.0, effect, 0.12, unit="t/ha", kind="computed")
    assert 0.03 < found.removed_share < 0.15


def test_a_strip_that_truly_yields_more_is_left_alone(check: Check) -> None:
    # fifteen strips, one yields 10 t/ha more: that is the answer of the comparison, not an outlier
    x = np.tile(np.arange(0.0, 100, 2), 15)
    number = np.repeat(np.arange(15), 50)
    values = np.where(number == 7, 50.0, 40.0) + np.random.default_rng(1).normal(0, 0.5, 750)
    better = number == 7
    time = np.arange(750.0) + 20 * number  # silent between passes
    flow = values * 2 * 6 / 10
    one = np.ones(750)
    found = hv.clean_log(time, x, 6 * number, flow, 2 * one, 6 * one, 0.67 * one, one, number, delay_s=0)
    by_yield = np.isin(found.reason, [hv.STEPS.index(name) + 1 for name in hv.STEPS[7:10]])
    source = "made field: the rules must leave a true difference alone"
    check(
        "share of the better strip removed for its yields", source, 0.0, by_yield[better].mean(), 0.10, kind="computed"
    )
    whole = np.abs(values - values.mean()) > 3 * values.std()
    check(
        "the same by three standard deviations of the field", source, 1.0, whole[better].mean(), 0.01, kind="computed"
    )
