"""The weeks after banding held against exact solutions, worked figures and what field and box trials report."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import erf
from scipy.stats import ncx2

from spadework import reference
from spadework.science.band import acidity, diffusion, mobility, nitrification

WORKED = "Worked apart from our code, from the same equation"
CRANK = "Crank (1975), The mathematics of diffusion; worked apart from our code"
_K = reference.constants("band_spread")
_W = reference.constants("band_weeks")


def layer_exact(x, z, spread, wide, tall):
    s = 2 * np.sqrt(spread)
    across = erf((wide / 2 + x) / s) + erf((wide / 2 - x) / s)
    return across * (erf((tall / 2 + z) / s) + erf((tall / 2 - z) / s)) / 4


def test_order_of_convergence_on_a_layer(check):
    # edges and points on edges and middles of all three grids, so that only the cells themselves err
    x, z, spread = np.array([0.5, 4.5, 7.5]), np.array([0.5, 2.5, 4.5]), 2.0
    exact = layer_exact(x, z, spread, 12, 6)
    errors = []
    for cell in (1, 1 / 3, 1 / 9):
        ours = diffusion.ammonium_at(
            spread, x, 20 + z, centre_depth_cm=20, half_height_cm=3, half_width_cm=6, row_spacing_m=1,
            section_depth_cm=40, cell_cm=cell, layer=True,
        )  # fmt: skip
        errors.append(float(np.max(np.abs(ours - exact))))
    orders = np.log(np.array(errors[:-1]) / errors[1:]) / np.log(3)
    what = "order of convergence in space, layer of 12 by 6 cm after 2 cm2, cells 1, 1/3, 1/9 cm"
    check(what, f"{CRANK} (rectangle); second order expected", 2.0, orders.min(), 0.2, kind="computed")
    assert orders.min() >= 1.8


def test_order_of_convergence_on_a_gaussian(check):
    # a disc that has spread by 20 cm2 stands for the start; it spreads on by 30 cm2 more, with the closed form of both
    errors = []
    r = np.array([0.5, 4.5, 7.5, 10.5])
    exact = ncx2.cdf(9 / 100, 2, r**2 / 100)  # a = 3 cm, spread 50 cm2
    for cell in (1, 1 / 3):
        ours = diffusion.ammonium_at(
            50, r, 60.5, centre_depth_cm=60.5, half_height_cm=3, half_width_cm=3, row_spacing_m=2.4,
            section_depth_cm=121, cell_cm=cell,
        )  # fmt: skip
        errors.append(float(np.max(np.abs(ours - exact))))
    order = np.log(errors[0] / errors[1]) / np.log(3)
    what = "order of convergence in space, disc of 3 cm after 50 cm2 (nearly Gaussian), cells 1, 1/3 cm"
    check(what, f"{CRANK} (disc); second order expected", 2.0, order, 0.2, kind="computed")
    assert order >= 1.8


@pytest.mark.parametrize("spread", [1.0, 10.0, 40.0])
def test_moments(check, spread):
    share = diffusion.ammonium_section(
        spread,
        centre_depth_cm=60,
        half_height_cm=5,
        half_width_cm=5,
        row_spacing_m=2.4,
        section_depth_cm=120,
        cell_cm=0.5,
    )
    z = 0.25 + 0.5 * np.arange(share.shape[0])
    x = 0.25 + 0.5 * np.arange(share.shape[1])
    square = (share * (x**2 + (z[:, None] - 60) ** 2)).sum() / share.sum()
    what = f"mean square distance from the centre of a disc of 5 cm after {spread:g} cm2"
    check(what, f"{CRANK}: a2/2 + 4Dt", 12.5 + 4 * spread, square, 0.05, unit="cm2", kind="computed")
    assert share.sum() * 0.25 == pytest.approx(np.pi * 12.5, rel=1e-6)


def test_a_line_that_nitrifies(check):
    # M/(4 pi Dt) exp(-r2/4Dt - kt), line at the corner; a disc of 1 cm is as wide as a line after 1/8 cm2
    days, d, k = 40.0, 0.5, 0.03
    r = np.array([0.0, 3.0, 8.0])
    spread = mobility.spread_of_days([days], d)[-1]
    left = nitrification.ammonium_left([days], k)[-1]
    ours = left * diffusion.ammonium_at(
        spread, r, 40, centre_depth_cm=40, half_height_cm=1, half_width_cm=1, row_spacing_m=1.6, section_depth_cm=80,
        cell_cm=0.25,
    )  # fmt: skip
    at = d * days + 1 / 8
    theirs = np.exp(-(r**2) / (4 * at) - k * days) / (4 * at)
    for one, other, far in zip(theirs, ours, r, strict=True):
        what = f"line, 0.5 cm2/d, 0.03 a day, 40 d, {far:g} cm away"
        check(what, f"{CRANK} (line source with first-order loss)", one, other, 0.005 * one, kind="computed")


def test_closed_box_in_the_end(check):
    ours = diffusion.ammonium_at(
        1e5, [0, 20, 37], [5, 30, 59], centre_depth_cm=16, half_height_cm=5, half_width_cm=5, row_spacing_m=0.75
    )
    theirs = np.pi * 12.5 / (37.5 * 60)
    check(
        "all even in the end: half a disc of 5 cm in 37.5 by 60 cm", WORKED, theirs, ours.max(), 1e-9, kind="computed"
    )
    np.testing.assert_allclose(ours, theirs, rtol=1e-9)


def test_excess_ph_after_three_weeks(check):
    ours = acidity.ph_course(6.5, 7.5, 21, 10) - 6.5
    check("share of the excess pH after 21 d, fading in 10 d", WORKED, 0.12246, ours, 0.00001, kind="computed")


def edge_after(days, share, radius, diffusivity):
    """Distance of a line of the fresh band's nitrogen from the centre [cm], nothing nitrified."""
    z = np.linspace(0, 20, 801)
    ours = diffusion.ammonium_at(
        diffusivity * days, 0, 30 + z, centre_depth_cm=30, half_height_cm=radius, half_width_cm=radius, row_spacing_m=0.75,
        cell_cm=0.25,
    )  # fmt: skip
    return float(np.interp(-share, -ours, z))


def usual_diffusion(celsius=15.0):
    """In a loam, at the middle of our choices: 1.35 t/m3, 0.27 water, sorption 2 L/kg."""
    free = mobility.ammonium_in_water(celsius, mobility.water_viscosity(celsius), mobility.water_viscosity(25))
    path = mobility.path_impedance(0.27, _W.b_loam)
    return float(mobility.apparent_diffusion(free, path, 0, 0, 0, 1, 0.27, 0.2, 1.35, _K.kd_loam))


def test_lines_move_little_in_four_weeks(check):
    moved = edge_after(28, 0.1, 5.35, usual_diffusion()) - 5.35
    source = "Loose bound from boxes of Sawyer and Hoeft and field strips of Sawyer, Schmitt and Hoeft 1990 (abstracts)"
    check("line of a tenth of the N beyond a band of 5.35 cm, 28 d: none to 2.5", source, 0, moved, 2.5, unit="cm")


def test_reach_in_the_field(check):
    reach = edge_after(56, 0.01, 3.2, usual_diffusion())
    source = "Sawyer, Schmitt and Hoeft 1990 (abstract): ammonium and nitrate moved less than 12.7 cm from the knife"
    check(
        "line of a hundredth of the N from the centre of a band of 3.2 cm, 8 weeks: none to 12.7",
        source,
        0,
        reach,
        12.7,
        unit="cm",
    )


def test_reach_in_boxes(check):
    reach = edge_after(28, 0.25, 3.175, usual_diffusion())
    source = "Sawyer and Hoeft, boxes (abstract): little effect beyond 3.8 cm from the centre of a band 6.35 cm across"
    note = "that a quarter of the band's N is where effects end is our reading"
    check("line of a quarter of the N from the centre, 28 d", source, 3.8, reach, 0.5, unit="cm", note=note)


def left_after(days, celsius, rate, effect=0.0):
    since = np.arange(days)
    stopped = nitrification.inhibition_left(effect, since, celsius)
    factor = nitrification.nitrification_temperature_factor
    return float(
        nitrification.ammonium_left(1, nitrification.nitrification_rate(rate, factor(celsius), factor(20), stopped))[-1]
    )


@pytest.mark.xfail(
    strict=True,
    reason="0.02 a day at 20 degC, the likeliest of the range, leaves 0.667 of the ammonium after 42 d at 11 degC, 0.705 at "
    "10 and 0.631 at 12; about 0.44 +- 0.2 is asked for. The median of the draws leaves 0.632 at 11 degC, the upper end of "
    "the range, 0.04 a day, 0.445. A rise of twice for 10 degC in place of the curve would leave 0.638. Want of air, nitrite "
    "and wet soil, which are left out, would leave more yet; what inhibitors kept in trials asks for 0.007 to 0.033 a day.",
)
def test_share_left_after_six_weeks_in_a_cool_spring(check):
    ours = left_after(42, 11, _K.rate_band)
    source = (
        "Slurry bands in the field, second-hand and loose: about 0.019 a day at 10 to 12 degC; which trial is not known"
    )
    check("share of the ammonium left after 42 d at 11 degC", source, 0.44, ours, 0.2)


def test_share_left_at_the_upper_end_of_the_rate(check):
    ours = left_after(42, 11, _K["rate_band"].high)
    source = (
        "Slurry bands in the field, second-hand and loose: about 0.019 a day at 10 to 12 degC; which trial is not known"
    )
    check("share of the ammonium left after 42 d at 11 degC, upper end of the rate", source, 0.44, ours, 0.2)


def test_share_left_in_the_middle_of_the_draws(check):
    rate = _K["rate_band"]
    draws = np.random.default_rng(1).triangular(rate.low, rate.value, rate.high, 4000)
    ours = np.median([left_after(42, 11, one) for one in draws])
    source = (
        "Slurry bands in the field, second-hand and loose: about 0.019 a day at 10 to 12 degC; which trial is not known"
    )
    check(
        "share of the ammonium left after 42 d at 11 degC, median over the range of the rate", source, 0.44, ours, 0.2
    )


@pytest.mark.parametrize(("days", "celsius"), [(42, 11), (49, 14)])
def test_rate_lies_between_those_that_trials_with_an_inhibitor_ask_for(check, days, celsius):
    from scipy.optimize import brentq

    def asked(more):
        def beyond(rate):
            with_it, without = (left_after(days, celsius, rate, effect) for effect in (_K.inhibitor_share, 0))
            return with_it / without - 1 - more

        return brentq(beyond, 1e-4, 0.3)

    low, high = asked(0.12), asked(0.46)
    source = "Westerschulte and others 2016 (abstract): ammonium in the zone 12 and 46 % higher at six leaves"
    what = f"rate at 20 degC: middle of the two that this asks for, {days} d at {celsius} degC; give or take half their distance"
    note = "days and warmth stand for the time to six leaves; the inhibitor is that of our choice"
    check(what, source, (low + high) / 2, _K.rate_band, (high - low) / 2, unit="1/day", note=note)


def test_rate_against_what_shaken_soil_can_do_at_most(check):
    # potential 1.5 mmol N/kg a day, slowed by strong ammonium after Haldane, a fifth to half of it in the field
    ammonium_mg_kg, density, water, sorption = 300.0, 1.35, 0.27, _K.kd_loam
    strength = ammonium_mg_kg * density / (water + density * sorption) / 14.007  # mmol/L
    slowed = strength / (0.02 + strength + strength**2 / 27)
    at_20 = float(nitrification.nitrification_temperature_factor(20))
    asked = [field * 1.5 * 14.007 * slowed * at_20 / ammonium_mg_kg for field in (0.2, 0.5)]
    source = (
        "Potential, Km 0.02 and Ki 27 mM: FEMS Microbiology Ecology 2010, doi 10.1111/j.1574-6941.2010.00960.x (abstract); "
        "a fifth to a half of it in the field is our choice"
    )
    what = "rate at 20 degC of a band of 300 mg/kg in loam, as first order"
    check(what, source, sum(asked) / 2, _K.rate_band, (asked[1] - asked[0]) / 2, unit="1/day")


def test_an_inhibitor_keeps_more_ammonium(check):
    with_it, without = (left_after(49, 14, _K.rate_band, effect) for effect in (_K.inhibitor_share, 0))
    source = "Westerschulte and others 2016 (abstract): ammonium in the zone 12 and 46 % higher at six leaves"
    note = "seven weeks at 14 degC stand for the time to six leaves"
    check(
        "ammonium with an inhibitor over that without, less one", source, 0.29, with_it / without - 1, 0.17, note=note
    )
