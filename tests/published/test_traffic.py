"""Pressure under wheels held against worked figures, a printed table, plate trials and rules of the trade."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from conftest import Check
from spadework.reference import constants
from spadework.science import traffic as t

WORKED = "Worked apart from our code, from the same equation"
EVEN = {
    25: (0.98573, 0.99654, 0.99916, 0.99980),
    50: (0.91056, 0.96000, 0.98211, 0.99200),
    100: (0.64645, 0.75000, 0.82322, 0.87500),
    150: (0.42397, 0.52071, 0.60121, 0.66818),
    200: (0.28446, 0.36000, 0.42757, 0.48800),
    300: (0.14619, 0.19000, 0.23157, 0.27100),
    500: (0.05713, 0.07544, 0.09340, 0.11100),
}
SPREAD = {
    (2, 50): (1.44721, 1.60000, 1.69648, 1.76000),
    (2, 100): (0.82843, 1.00000, 1.13807, 1.25000),
    (2, 200): (0.31084, 0.40000, 0.48289, 0.56000),
    (2, 300): (0.15260, 0.20000, 0.24578, 0.29000),
    (4, 50): (1.24377, 1.34823, 1.40652, 1.44000),
    (4, 100): (0.77208, 0.92056, 1.03553, 1.12500),
    (4, 200): (0.30373, 0.38911, 0.46767, 0.54000),
}
BESIDE = {
    50: (0.9106, 0.8396, 0.4175, 0.0604, 0.0105, 0.0010),
    100: (0.6464, 0.5622, 0.3322, 0.1267, 0.0418, 0.0062),
    200: (0.2845, 0.2589, 0.1960, 0.1265, 0.0733, 0.0225),
}
AWAY = (0, 0.5, 1, 1.5, 2, 3)


@pytest.mark.parametrize(("load", "pressure", "soft", "hard"), [(60, 250, 0.587, 0.196), (40, 150, 0.541, 0.213)])
def test_contact_area(check, load, pressure, soft, hard):
    what = f"{load} kN on 0.75 m x 1.6 m at {pressure} kPa"
    ours = t.contact_area_soft_osullivan(0.75, 1.6, load, pressure)
    check(f"contact area, soft soil, {what}", WORKED, soft, ours, 0.0005, unit="m2", kind="computed")
    ours = t.contact_area_hard_osullivan(0.75, 1.6, load, pressure)
    check(f"contact area, hard surface, {what}", WORKED, hard, ours, 0.0005, unit="m2", kind="computed")


@pytest.mark.parametrize(("area", "theirs"), [("soft", 102), ("hard", 306)])
def test_contact_stress(check, area, theirs):
    worked = {"soft": t.contact_area_soft_osullivan, "hard": t.contact_area_hard_osullivan}[area](0.75, 1.6, 60, 250)
    ours = t.contact_stress(60, worked)
    check(f"mean contact stress, {area}, 60 kN", WORKED, theirs, ours, 0.5, unit="kPa", kind="computed")


def test_peak(check):
    source = "Arvidsson and Keller (2007), Soil and Tillage Research 96:284-291, abstract: 39 % above the tyre pressure"
    check("highest stress at 10 cm under a tyre of 100 kPa", source, 139, t.peak_stress(100), 0.5, unit="kPa")


def test_outline_between_ellipse_and_rectangle(check):
    source = "geometry: ellipse; |x|^4 + |y|^4 = 1 by scipy's adaptive quadrature"
    check("super-ellipse, exponent 2", source, np.pi * 0.12, t.super_ellipse_area(0.8, 0.6, 2), 1e-12, kind="computed")
    quarter = quad(lambda x: (1 - x**4) ** 0.25, 0, 1, epsabs=1e-12)[0]
    ours = t.super_ellipse_area(0.8, 0.6, 4)
    check("super-ellipse, exponent 4", source, 4 * quarter * 0.12, ours, 1e-9, unit="m2", kind="computed")


@pytest.mark.parametrize("depth", EVEN)
def test_under_even_pressure(check, depth):
    for v, theirs in zip((3, 4, 5, 6), EVEN[depth], strict=True):
        ours = t.stress_under_even(1, 1, depth, v)
        check(f"even circle, depth {depth / 100:g} radii, v {v}", WORKED, theirs, ours, 0.000005, kind="computed")


@pytest.mark.parametrize(("n", "depth"), SPREAD)
def test_under_spread_pressure(check, n, depth):
    for v, theirs in zip((3, 4, 5, 6), SPREAD[n, depth], strict=True):
        ours = t.stress_under_spread(1, 1, depth, v, n)
        what = f"pressure of exponent {n}, depth {depth / 100:g} radii, v {v}"
        check(what, WORKED, theirs, ours, 0.000005, kind="computed")
        if n == 2:
            check(f"parabola, {what}", WORKED, theirs, t.stress_under_parabola(1, 1, depth, v), 5e-6, kind="computed")


@pytest.mark.parametrize(("n", "v", "depth"), [(16, 3, 10), (16, 5, 100), (16, 6, 400), (4, 4.5, 1), (3.3, 5, 60)])
def test_under_spread_pressure_by_quadrature(check, n, v, depth):
    z = depth / 100

    def ring(r):
        return (1 - r**n) * v * r * z**v / (r * r + z * z) ** (v / 2 + 1)

    edge = min(10 * z, 1)
    theirs = (n + 2) / n * (quad(ring, 0, edge, epsabs=1e-13)[0] + quad(ring, edge, 1, epsabs=1e-13)[0])
    what = f"pressure of exponent {n}, depth {z:g} radii, v {v}"
    ours = t.stress_under_spread(1, 1, depth, v, n)
    check(what, "scipy's adaptive quadrature of the rings", theirs, ours, 1e-9, kind="computed")


@pytest.mark.parametrize("depth", BESIDE)
def test_beside_even_pressure(check, depth):
    for away, theirs in zip(AWAY, BESIDE[depth], strict=True):
        ours = t.stress_beside_even(1, 1, away, depth, 3)
        what = f"even circle, depth {depth / 100:g}, {away} radii off, v 3"
        check(what, WORKED, theirs, ours, 0.00005, kind="computed")


@pytest.mark.parametrize(("away", "theirs"), [(0, 0.646), (0.5, 0.560), (1, 0.335), (1.5, 0.125), (2, 0.043)])
def test_beside_even_pressure_in_print(check, away, theirs):
    source = "Geotechnical textbook, table 10.5 (after Spangler)"
    ours = t.stress_beside_even(1, 1, away, 100, 3)
    note = "the printed table was made with coarser sums"
    check(f"even circle, depth 1, {away} radii off, v 3", source, theirs, ours, 0.003, note=note)


@pytest.mark.parametrize(
    ("n", "away", "v", "z"), [(2, 0.3, 5, 0.1), (2, 0.95, 3, 0.25), (4, 1.5, 6, 1), (16, 1, 5, 0.5)]
)
def test_beside_spread_pressure_by_rings(check, n, away, v, z):
    angle = (np.arange(4000) + 0.5) * np.pi / 4000

    def ring(r):
        about = np.mean((r * r + away**2 - 2 * r * away * np.cos(angle) + z * z) ** (-v / 2 - 1))
        return (n + 2) / n * (1 - r**n) * v * z**v * r * about

    theirs = quad(ring, 0, 1, points=[p for p in (away - z, away, away + z) if 0 < p < 1] or None, limit=400)[0]
    ours = t.stress_beside_spread(1, 1, away, 100 * z, v, n)
    what = f"pressure of exponent {n}, depth {z:g}, {away} radii off, v {v}"
    check(what, "rings about the middle of the circle, scipy's quadrature", theirs, ours, 0.001, kind="computed")


PLATES = {  # kN, m2: concentration factor to kPa at 30, 50, 70, 90 cm
    (43, 0.45): {4: (81.3, 56.9, 38.3, 26.6), 5: (86.7, 64.8, 45.2, 32.0), 6: (90.1, 71.0, 51.3, 36.9)},
    (43, 0.90): {4: (45.0, 37.4, 28.8, 21.7), 5: (46.4, 40.7, 32.7, 25.4)},
    (85, 0.45): {4: (160.8, 112.5, 75.8, 52.5), 5: (171.4, 128.0, 89.4, 63.2)},
    (85, 0.90): {4: (89.0, 73.9, 56.8, 42.9), 5: (91.8, 80.4, 64.6, 50.1)},
}


@pytest.mark.parametrize(("load", "area"), PLATES)
def test_plates(check, load, area):
    note = "The loads and plates of Lamande et al. (2007); their readings were not seen, their models were off by up to 27 kPa"
    for v, row in PLATES[load, area].items():
        for depth, theirs in zip((30, 50, 70, 90), row, strict=True):
            ours = t.stress_under_even(load / area, t.circle_radius(area), depth, v)
            what = f"plate of {area} m2, {load} kN, depth {depth} cm, v {v}"
            check(what, WORKED, theirs, ours, 0.06, unit="kPa", kind="computed", note=note)


TANKERS = {  # load, width, diameter, pressure: kPa at 10, 30, 50, 70, 90 cm
    (30, 0.60, 1.34, 150): (80, 70, 50, 34, 23),
    (40, 0.75, 1.60, 150): (74, 69, 54, 39, 28),
    (60, 0.75, 1.60, 250): (102, 96, 77, 57, 41),
    (80, 0.80, 1.67, 250): (114, 109, 91, 69, 52),
}


@pytest.mark.parametrize("tyre", TANKERS)
def test_tankers(check, tyre):
    load, width, diameter, pressure = tyre
    area = t.contact_area_soft_osullivan(width, diameter, load, pressure)
    for depth, theirs in zip((10, 30, 50, 70, 90), TANKERS[tyre], strict=True):
        ours = t.stress_under_even(t.contact_stress(load, area), t.circle_radius(area), depth, 5)
        what = f"tanker wheel of {load} kN at {pressure} kPa, soft soil, depth {depth} cm"
        check(what, WORKED, theirs, ours, 0.5, unit="kPa", kind="computed")


def test_topsoil_feels_the_tyre_and_subsoil_the_load(check):
    source = "Arvidsson and Keller (2007), abstract: pressure strongly affects 10 cm, hardly the subsoil"
    shallow, deep = (
        t.stress_under_even(150, t.circle_radius(33 / 150), z, 5)
        / t.stress_under_even(70, t.circle_radius(33 / 70), z, 5)
        for z in (10, 90)
    )
    assert shallow > 2
    check("stress at 90 cm, 150 kPa against 70 kPa at 33 kN", source, 1, deep, 0.25, note="hardly: within a quarter")


LOADS = {4: (68.3, 39.8, 32.5, 26.5, 24.3), 5: (49.4, 30.2, 25.1, 20.7, 19.2), 6: (38.5, 24.3, 20.4, 17.0, 15.8)}


@pytest.mark.parametrize("v", LOADS)
def test_load_for_limit(check, v):
    for contact, theirs in zip((60, 80, 100, 150, 200), LOADS[v], strict=True):
        ours = t.wheel_load_for_limit(contact, 50, 50, v)
        what = f"wheel load for 50 kPa at 50 cm, contact {contact} kPa, v {v}"
        check(what, WORKED, theirs, ours, 0.05, unit="kN", kind="computed")


@pytest.mark.parametrize(
    ("load", "contact", "theirs"),
    [
        (30, 100, 55),
        (30, 200, 63),
        (40, 100, 63),
        (40, 200, 72),
        (60, 100, 77),
        (60, 200, 88),
        (80, 100, 89),
        (80, 200, 102),
    ],
)
def test_depth_of_limit(check, load, contact, theirs):
    ours = t.depth_of_stress(load, contact, 50, 5)
    what = f"depth of 50 kPa, {load} kN on {contact} kPa, v 5"
    check(what, WORKED, theirs, ours, 0.5, unit="cm", kind="computed")


@pytest.mark.parametrize(("load", "contact"), [(30, 100), (40, 200), (60, 100), (60, 200)])
def test_rule_of_eight(check, load, contact):
    source = "Schjonning et al. (2012), rule of 8 and 8"
    ours = t.depth_of_stress(load + 9.80665, contact, 50, 5) - t.depth_of_stress(load, contact, 50, 5)
    note = "recalled; a rule of thumb, held loosely"
    what = f"50 kPa line deeper for one tonne more than {load} kN on {contact} kPa"
    check(what, source, t.deeper_by_thumb(1, 1), ours, 3, unit="cm", kind="memory", note=note)


@pytest.mark.parametrize("load", [30, 40, 60, 80])
def test_rule_of_eight_for_pressure(check, load):
    source = "Schjonning et al. (2012), rule of 8 and 8"
    ours = t.depth_of_stress(load, 200, 50, 5) - t.depth_of_stress(load, 100, 50, 5)
    what = f"50 kPa line deeper from 100 to 200 kPa, {load} kN"
    check(what, source, t.deeper_by_thumb(0, 2), ours, 5, unit="cm", kind="memory", note="recalled; held loosely")


@pytest.mark.xfail(
    strict=True, reason="from 200 to 400 kPa the even circle gives 3.4 cm at 30 kN, the rule of thumb 8 cm"
)
def test_rule_of_eight_for_hard_tyres(check):
    source = "Schjonning et al. (2012), rule of 8 and 8"
    ours = t.depth_of_stress(30, 400, 50, 5) - t.depth_of_stress(30, 200, 50, 5)
    check("50 kPa line deeper from 200 to 400 kPa, 30 kN", source, 8, ours, 3, unit="cm", kind="memory")


def test_weight_transfer(check):
    source = "moments about the front axle, by hand: 60 + 20 x 3.9/3 + 40 x 0.6/3 kN with 10 kN for a tonne"
    rear = t.rear_axle_load(10, 0.6, 20, 0.9, 3, 40, 0.6) - 58.8399 + 60
    check("rear axle at work", source, 94, rear, 0.001, unit="kN", kind="computed")


def test_wheeled_by_hand(check):
    source = "by hand: 2 x 0.65 m of 6 m; with twins 4 x 0.65 m"
    ours = t.wheeled_share([-0.95, 0.95, -0.95, 0.95], [0.54, 0.54, 0.65, 0.65], 6)
    check("wheeled share of one pass, front wheels in the rear track", source, 1.3 / 6, ours, 1e-12, kind="computed")
    ours = t.wheeled_share([-1.7, -0.95, 0.95, 1.7], 0.65, 6)
    check("wheeled share with twins", source, 2.6 / 6, ours, 1e-12, kind="computed")


def test_lanes_by_hand(check):
    source = "by hand: lanes of 6 m kept by two passes; a third of 3 m puts every second pair of tracks beside them"
    six, three = t.track_edges([-1, 1], 0.5, 6, 24), t.track_edges([-1, 1], 0.5, 3, 24)
    left, right = (np.concatenate((six[side], six[side], three[side])) for side in (0, 1))
    for times, theirs in ((1, (8 + 16) * 0.5 / 24), (2, 8 * 0.5 / 24), (3, 0)):
        ours = t.driven_at_least(left, right, 24, times)
        what = f"share driven at least {times} times"
        check(what, source, theirs, ours, 1e-12, kind="computed")


@pytest.mark.xfail(strict=True, reason="moments with our usual levers give 0.17 to 0.21 of the pull, 0.25 is recalled")
@pytest.mark.parametrize("size", ["small", "middle", "large"])
def test_pull_of_a_drawn_machine_shifts_the_share_that_is_recalled(check: Check, size: str) -> None:
    levers = constants("tractor_levers")
    source = "Zoz (1972), drawn machines (from memory)"
    ours = float(t.rear_gain_drawn(0, 0.9, 10_000, levers.hitch_height_m, levers[f"wheelbase_{size}_m"].value)) / 10
    what = f"load that a pull adds to the rear axle of a {size} tractor, per pull"
    check(what, source, levers.gain_drawn_share, ours, 0.02, kind="memory", note="moments give less: 0.17 to 0.21")


def test_pull_shifts_load_as_moments_by_hand_say(check: Check) -> None:
    by_hand = "moments worked out by hand"
    ours = float(t.rear_gain_drawn(25, 0.9, 30_000, 0.5, 2.8))
    check("25 kN on the hitch and a pull of 30 kN", by_hand, 13.393, ours, 5e-4, unit="kN", kind="computed")
    ours = float(t.front_change_mounted(t.rear_gain_mounted(30_000, 0.65), 1.5, 2.7))
    check("front axle under a mounted plough", by_hand, -6.964, ours, 5e-4, unit="kN", kind="computed")
