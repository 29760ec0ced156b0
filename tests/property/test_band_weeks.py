"""Laws of the weeks after banding: farther is never worse, nothing is lost, an inhibitor never costs ammonium."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from spadework.estimate.band.answers import roots_of, share_below, shares_by_wait, worst_after
from spadework.estimate.band.course import follow, left_of
from spadework.estimate.band.cut import cut_of
from spadework.estimate.band.inputs import GROUPS, Inputs
from spadework.estimate.band.soil import SoilDays
from spadework.science.band import ph_course, salt_near_band

MIDDLES = {
    "top_cm": (8.0, 20.0), "seed_cm": (3.0, 7.0), "offset_cm": (0.0, 8.0), "half_height_cm": (2.0, 6.0),
    "half_width_cm": (2.0, 9.0), "bulk": (1.1, 1.6), "moisture": (0.12, 0.26), "pores": (0.45, 0.55),
    "fillable": (0.1, 0.19), "water_share": (0.0, 0.7), "kd": (0.3, 10.0), "soil_ph": (5.5, 7.5), "fresh_ph": (7.0, 9.0),
    "fade_days": (5.0, 15.0), "rate_20": (0.0, 0.05), "warmth_degc": (-2.0, 2.0), "tan": (0.5, 6.0),
    "ec_slurry": (5.0, 25.0), "ec_soil": (0.2, 1.0),
}  # fmt: skip


@st.composite
def inputs(draw: st.DrawFn, draws: int = 2) -> Inputs:
    def some(low: float, high: float) -> np.ndarray:
        return np.array([draw(st.floats(low, high, allow_nan=False)) for _ in range(draws)])

    values = {name: some(*ends) for name, ends in MIDDLES.items()}
    return Inputs(**values, retention_exponent=5.0, row_spacing_m=0.75, inhibitor_effect=0.0)


def soil(days: int = 71, celsius: float = 13.0) -> SoilDays:
    return SoilDays(celsius + 3 * np.sin(np.arange(days) / 9), 0.0, None, "made up", ())


def test_every_input_stands_in_one_group() -> None:
    named = [name for group in GROUPS.values() for name in group]
    assert sorted(named) == sorted(MIDDLES)


@settings(max_examples=15, deadline=None)
@given(inputs=inputs(), nearer=st.floats(0, 8), more=st.floats(0, 4))
def test_a_wider_gap_is_never_worse(inputs: Inputs, nearer: float, more: float) -> None:
    course = follow(inputs, soil(), days=60)
    near, far = course.at_seed(nearer), course.at_seed(nearer + more)
    above = course.seed_depth(nearer) <= inputs.top_cm + inputs.half_height_cm  # below the centre it turns round
    assert (far.severity <= near.severity + 1e-9)[above].all()


@settings(max_examples=15, deadline=None)
@given(inputs=inputs(), effect=st.floats(0, 1), more=st.floats(0, 1))
def test_more_inhibitor_never_leaves_less(inputs: Inputs, effect: float, more: float) -> None:
    warm = np.broadcast_to(soil().mean_degc, (2, 71))
    high = effect + (1 - effect) * more
    some, all_of_it = (left_of(replace(inputs, inhibitor_effect=e), warm) for e in (effect, high))
    assert (all_of_it >= some - 1e-12).all()
    assert (np.diff(some, axis=1) <= 1e-12).all()
    assert (some[:, 0] == 1).all()


@settings(max_examples=8, deadline=None)
@given(inputs=inputs(1))
def test_nothing_is_lost_but_to_nitrate(inputs: Inputs) -> None:
    course = follow(replace(inputs, offset_cm=np.zeros(1)), soil(), days=60)
    cut = cut_of(course, (0, 7, 42))
    cell = (cut.depth_cm[1] - cut.depth_cm[0]) * (cut.across_cm[1] - cut.across_cm[0])
    whole = cut.nitrogen_share.sum(axis=(1, 2)) * cell
    band = np.pi * cut.half_width_cm * cut.half_height_cm / 2
    np.testing.assert_allclose(whole, band * course.left_share[0, [0, 7, 42]], rtol=1e-6)


@settings(max_examples=10, deadline=None)
@given(inputs=inputs(), stronger=st.floats(1, 3))
def test_stronger_slurry_is_never_milder(inputs: Inputs, stronger: float) -> None:
    weak = follow(inputs, soil(), days=60)
    strong = follow(replace(inputs, tan=inputs.tan * stronger, ec_slurry=inputs.ec_slurry * stronger), soil(), days=60)
    assert (strong.at_seed().severity >= weak.at_seed().severity - 1e-12).all()


@settings(max_examples=10, deadline=None)
@given(inputs=inputs(4))
def test_shares_are_shares_and_risk_holds_watch(inputs: Inputs) -> None:
    course = follow(inputs, soil(), days=60)
    shares = shares_by_wait(course)
    np.testing.assert_allclose(shares.sum(axis=1), 1)
    assert (share_below(shares, "risk") >= share_below(shares, "watch")).all()
    assert (worst_after(course, 5) >= course.at_seed().severity[:, 5]).all()


@settings(max_examples=10, deadline=None)
@given(inputs=inputs(), wait=st.integers(0, 42))
def test_the_root_front_only_goes_down(inputs: Inputs, wait: int) -> None:
    course = follow(inputs, soil(), days=60)
    roots = roots_of(course, wait)
    assert (np.diff(roots.front_cm, axis=1) >= 0).all()
    assert (roots.front_cm[:, : wait + 1] == inputs.seed_cm[:, None]).all()
    there = np.isfinite(roots.arrive_fast_days) & (inputs.gap_cm > 0)
    day = np.ceil(np.where(there, roots.arrive_fast_days, 0)).astype(int) + wait
    for draw in np.flatnonzero(there & (day <= course.horizon)):
        assert roots.front_cm[draw, day[draw]] >= inputs.top_cm[draw] - 1e-6


@given(
    soil_ph=st.floats(4, 8),
    more=st.floats(0, 3),
    days=st.floats(0, 300),
    later=st.floats(0, 100),
    fade=st.floats(0.5, 50),
)
def test_the_ph_goes_back(soil_ph: float, more: float, days: float, later: float, fade: float) -> None:
    one, two = ph_course(soil_ph, soil_ph + more, [days, days + later], fade)
    assert soil_ph - 1e-12 <= two <= one + 1e-12 <= soil_ph + more + 2e-12


@given(low=st.floats(0, 5), high=st.floats(0, 50), share=st.floats(0, 1))
def test_salt_lies_between_soil_and_band(low: float, high: float, share: float) -> None:
    assert min(low, high) - 1e-9 <= salt_near_band(low, high, share) <= max(low, high) + 1e-9
