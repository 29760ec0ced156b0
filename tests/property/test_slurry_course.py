"""What must hold of the ammonia course for any numbers: limits, order, balance, and freedom from how time is cut up."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from scipy.integrate import quad
from scipy.linalg import expm

from spadework.ranges import FloatArray, collecting
from spadework.reference import constants
from spadework.science.slurry.course_field import (
    ammonia_two_pool_hafner,
    courses_from_every_hour,
    field_mean_loss,
    loss_of_strip,
)
from spadework.science.slurry.course_hafner import (
    hafner_f0,
    hafner_f4,
    hafner_r1,
    hafner_r1_centre,
    hafner_r2,
    hafner_r3,
    two_pool_step,
    wind_at_2_m,
)
from spadework.science.slurry.course_sogaard import (
    loss_in_weather_sogaard,
    loss_incorporated_sogaard,
    loss_michaelis_menten_sogaard,
    rate_michaelis_menten_sogaard,
    sogaard_half_time,
    sogaard_nmax,
)
from spadework.science.slurry.delay import early_share, mean_delay, mean_early_share

K = constants("ammonia_hafner")


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_subnormal=False)


shares = between(0, 1)
half_times = between(0.05, 100)
rates = between(0, 5)
spans = between(0, 48)


@st.composite
def weathers(draw: Any, least: int = 1, most: int = 40) -> tuple[FloatArray, FloatArray, FloatArray]:
    hours = draw(st.integers(least, most))
    return tuple(draw(hnp.arrays(float, hours, elements=between(*ends))) for ends in ((-5, 35), (0, 12), (0, 6)))  # type: ignore[return-value]


@st.composite
def slurries(draw: Any) -> tuple[float, float, float]:
    """Open at first, r1 at the centre, r3."""
    return draw(shares), draw(between(0, 2)), draw(between(0, 0.02))


# --- the curve that levels off


@given(shares, half_times, spans, spans)
def test_levelling_curve_rises_to_its_top(top: float, half: float, one: float, other: float) -> None:
    soon, late = sorted((one, other))
    lost = loss_michaelis_menten_sogaard(top, half, [0, soon, late, 10_000])
    assert lost[0] == 0
    assert (np.diff(lost) >= -1e-15).all()
    assert lost[-1] <= top
    assert loss_michaelis_menten_sogaard(top, half, half) == pytest.approx(top / 2)


@given(shares, half_times, spans)
def test_rate_adds_up_to_the_loss(top: float, half: float, time: float) -> None:
    area, _ = quad(lambda t: float(rate_michaelis_menten_sogaard(top, half, t)), 0, time, points=[min(half, time)])
    assert loss_michaelis_menten_sogaard(top, half, time) == pytest.approx(area, abs=1e-8)


@given(shares, half_times, st.integers(1, 200))
def test_constant_weather_gives_the_closed_form(top: float, half: float, hours: int) -> None:
    course = loss_in_weather_sogaard(np.full(hours, top), half)
    closed = loss_michaelis_menten_sogaard(top, half, np.arange(1, hours + 1))
    np.testing.assert_allclose(course, closed, rtol=0, atol=1e-12)


@given(
    hnp.arrays(float, st.integers(1, 60), elements=shares), hnp.arrays(float, 60, elements=half_times), between(0, 0.3)
)
def test_changing_weather_never_takes_ammonia_back(tops: FloatArray, halves: FloatArray, more: float) -> None:
    halves = halves[: len(tops)]
    course = loss_in_weather_sogaard(tops, halves)
    assert (np.diff(course, prepend=0) >= 0).all()
    assert course[-1] <= tops.max() + 1e-15
    assert (loss_in_weather_sogaard(np.minimum(tops + more, 1), halves) >= course - 1e-12).all()
    assert (loss_in_weather_sogaard(tops, halves / (1 + more)) >= course - 1e-12).all()


@given(shares, half_times, spans, spans, shares, shares)
def test_covering_later_or_worse_never_loses_less(
    top: float, half: float, one: float, other: float, a: float, b: float
) -> None:
    (soon, late), (worse, better) = sorted((one, other)), sorted((a, b))
    lost = loss_incorporated_sogaard
    assert lost(top, half, soon, better) <= lost(top, half, late, better) + 1e-12
    assert lost(top, half, soon, better) <= lost(top, half, soon, worse) + 1e-12
    assert lost(top, half, late, worse) <= top + 1e-12
    assert lost(top, half, 0, better) == pytest.approx(top * (1 - better), abs=1e-12)


@given(between(-5, 30), between(0, 8), between(0.01, 0.12), between(0.5, 5), between(5, 80))
def test_directions_of_the_levelling_curve(warm: float, wind: float, dry: float, tan: float, dose: float) -> None:
    fixed = (1, 1, 1, 11.3, 0.578)
    with collecting():
        base = sogaard_nmax(warm, wind, dry, tan, dose, *fixed)
        assert 0 < base <= 1
        assert sogaard_nmax(warm + 2, wind, dry, tan, dose, *fixed) >= base
        assert sogaard_nmax(warm, wind + 1, dry, tan, dose, *fixed) >= base
        assert sogaard_nmax(warm, wind, dry + 0.01, tan, dose, *fixed) >= base
        assert sogaard_nmax(warm, wind, dry, tan + 1, dose, *fixed) <= base
        assert sogaard_nmax(warm, wind, dry, tan, dose + 10, *fixed) <= base
    half = sogaard_half_time(warm, wind, dry, tan, dose, 1, 1)
    assert sogaard_half_time(warm + 2, wind, dry, tan, dose, 1, 1) < half
    assert sogaard_half_time(warm, wind + 1, dry, tan, dose, 1, 1) < half
    assert sogaard_half_time(warm, wind, dry + 0.01, tan, dose, 1, 1) > half


# --- two pools


@given(shares, rates, rates, rates, spans, shares)
def test_cutting_a_step_in_two_changes_nothing(
    f0: float, r1: float, r2: float, r3: float, time: float, cut: float
) -> None:
    whole = two_pool_step(f0, 1 - f0, r1, r2, r3, time)
    first = two_pool_step(f0, 1 - f0, r1, r2, r3, time * cut)
    both = two_pool_step(*(np.minimum(part, 1) for part in first), r1, r2, r3, time * (1 - cut))
    np.testing.assert_allclose(both, whole, rtol=0, atol=1e-12)


@given(shares, rates, rates, rates, between(0, 10))
def test_a_step_solves_the_equations(f0: float, r1: float, r2: float, r3: float, time: float) -> None:
    """The three stocks, open, soaked in and in the air, by the exponential of their matrix."""
    flows = np.array([[-(r1 + r2), 0, 0], [r2, -r3, 0], [r1, r3, 0]])
    solved = expm(flows * time) @ [f0, 1 - f0, 0]
    fast, slow = two_pool_step(f0, 1 - f0, r1, r2, r3, time)
    np.testing.assert_allclose([fast, slow, 1 - fast - slow], solved, rtol=0, atol=1e-10)


@given(shares, between(0, 2), between(0, 2), spans, st.sampled_from([0.0, 1e-17, 1e-13, 1e-9, 1e-7]))
def test_equal_rates_are_no_cliff(f0: float, r1: float, r2: float, time: float, off: float) -> None:
    same = two_pool_step(f0, 1 - f0, r1, r2, r1 + r2, time)
    near = two_pool_step(f0, 1 - f0, r1, r2, r1 + r2 + off, time)
    np.testing.assert_allclose(near, same, rtol=0, atol=1e-12 + 100 * off)
    k = r1 + r2
    limit = (1 - f0 + f0 * r2 * time) * np.exp(-k * time)
    assert same[1] == pytest.approx(limit, abs=1e-12)


@given(weathers(), slurries())
def test_two_pools_keep_their_limits(weather: tuple[FloatArray, ...], slurry: tuple[float, float, float]) -> None:
    course = ammonia_two_pool_hafner(*weather, *slurry, whole_course=True)
    assert (np.diff(course, prepend=0) >= -1e-12).all()
    assert (course >= 0).all()
    assert (course <= 1).all()
    assert ammonia_two_pool_hafner(*weather, *slurry) == pytest.approx(float(course[-1]), abs=1e-12)


@given(weathers(), slurries(), between(0, 45), between(0, 0.02), shares)
def test_hours_in_place_are_a_chain_of_steps(
    weather: tuple[FloatArray, ...], slurry: tuple[float, float, float], delay: float, after: float, f4: float
) -> None:
    """Each hour cut into thirds, and at the covering; the balance holds at every cut."""
    f0, r1_centre, r3 = slurry
    fast, slow = np.array(f0), np.array(1 - f0)
    gone = 0.0
    for hour, (warm, wind, rain) in enumerate(zip(*weather, strict=True)):
        cuts = sorted({hour, hour + 1 / 3, hour + 2 / 3, hour + 1, *([delay] if hour <= delay < hour + 1 else [])})
        r1, r2 = hafner_r1(r1_centre, warm, wind), hafner_r2(rain)
        for begin, end in pairwise(cuts):
            if begin == delay:
                fast, slow, r3 = fast * f4, slow + fast * (1 - f4), after
            before = fast + slow
            fast, slow = two_pool_step(fast, np.minimum(slow, 1), r1, r2, r3, end - begin)
            gone += float(before - fast - slow)
            assert float(fast + slow) + gone == pytest.approx(1, abs=1e-12)
    ours = ammonia_two_pool_hafner(*weather, *slurry, after, f4, delay)
    assert ours == pytest.approx(gone, abs=1e-12)


@given(weathers(), slurries(), spans, spans)
def test_covering_earlier_or_deeper_never_loses_more(
    weather: tuple[FloatArray, ...], slurry: tuple[float, float, float], one: float, other: float
) -> None:
    _, r1, r3 = slurry
    soon, late = sorted((one, other))

    def covered(kind: str, delay: float) -> float:
        after = r3 * 10 ** K[f"r3_{kind}"].value
        return float(ammonia_two_pool_hafner(*weather, *slurry, after, hafner_f4(K[f"f4_{kind}"].value), delay))

    left = float(ammonia_two_pool_hafner(*weather, *slurry))
    for delay in soon, late:
        if r1 * 10 ** (K.r1_temperature * -18 + K.r1_wind * -2.7) >= r3:  # open slurry loses faster than covered
            assert covered("deep", delay) <= covered("shallow", delay) + 1e-12
            assert covered("shallow", delay) <= left + 1e-12
            assert covered("deep", soon) <= covered("deep", late) + 1e-12
            assert covered("shallow", soon) <= covered("shallow", late) + 1e-12


@given(weathers(), slurries(), between(0, 5))
def test_warmth_wind_and_an_open_share_raise_the_loss(
    weather: tuple[FloatArray, ...], slurry: tuple[float, float, float], more: float
) -> None:
    warm, wind, rain = weather
    f0, r1, _ = slurry
    r3 = min(slurry[2], float(hafner_r1(r1, warm, wind).min()))
    lost = ammonia_two_pool_hafner(warm, wind, rain, f0, r1, r3)
    assert ammonia_two_pool_hafner(warm + more, wind, rain, f0, r1, r3) >= lost - 1e-12
    assert ammonia_two_pool_hafner(warm, wind + more, rain, f0, r1, r3) >= lost - 1e-12
    assert ammonia_two_pool_hafner(warm, wind, rain + more, f0, r1, r3) <= lost + 1e-12
    assert ammonia_two_pool_hafner(warm, wind, rain, min(f0 + more / 5, 1), r1, r3) >= lost - 1e-12


@given(between(1, 100), between(0.01, 0.15), between(0.001, 0.05), between(5, 9), between(0.01, 1))
def test_directions_of_the_coefficients(dose: float, dry: float, drier: float, ph: float, more: float) -> None:
    assert hafner_f0(dose, dry + drier, 0, 0, 0) > hafner_f0(dose, dry, 0, 0, 0)
    assert hafner_f0(dose + more, dry, 0, 0, 0) < hafner_f0(dose, dry, 0, 0, 0)
    assert hafner_f0(dose + more, dry, 0, 0, 1) == hafner_f0(dose, dry, 0, 0, 1)
    assert hafner_r1_centre(dry + drier, ph, 0) < hafner_r1_centre(dry, ph, 0)
    assert hafner_r1_centre(dry, ph + more, 0) > hafner_r1_centre(dry, ph, 0)
    assert hafner_r3(ph + more, 0, 0) > hafner_r3(ph, 0, 0)


@given(weathers(least=3, most=12), st.integers(1, 3), st.lists(slurries(), min_size=1, max_size=3))
def test_a_fan_of_starts_is_the_courses_one_by_one(
    weather: tuple[FloatArray, ...], hours: int, draws: list[tuple[float, float, float]]
) -> None:
    drawn = np.array(draws).T[:, :, None]
    fan = ammonia_two_pool_hafner(*(courses_from_every_hour(w, hours) for w in weather), *drawn)
    assert fan.shape == (len(draws), len(weather[0]) - hours + 1)
    for i, slurry in enumerate(draws):
        for start in range(fan.shape[1]):
            alone = ammonia_two_pool_hafner(*(w[start : start + hours] for w in weather), *slurry)
            assert fan[i, start] == pytest.approx(float(alone), abs=1e-12)


# --- in the field


@given(between(0.1, 20), between(1, 40), between(1e-4, 0.1), between(1.01, 3))
def test_wind_grows_with_height(wind: float, height: float, roughness: float, more: float) -> None:
    at_2 = wind_at_2_m(wind, height, roughness)
    assert wind_at_2_m(wind, 2, roughness) == pytest.approx(wind)
    assert wind_at_2_m(wind, height * more, roughness) < at_2
    assert wind_at_2_m(wind * more, height, roughness) == pytest.approx(at_2 * more)


@given(shares, shares, shares, between(0, 0.5), between(0, 0.5), shares)
def test_mixing_is_linear_and_stays_between(
    closed: float, opened: float, hose: float, open_share: float, over: float, k: float
) -> None:
    mixed = loss_of_strip(closed, opened, hose, open_share, over)
    assert min(closed, opened, hose) - 1e-12 <= mixed <= max(closed, opened, hose) + 1e-12
    part = loss_of_strip(closed, opened, hose, open_share * k, over * k)
    assert part == pytest.approx(closed + k * (float(mixed) - closed), abs=1e-12)


# For a monotone curve no rule of points errs by more than the largest gap between its summed weights and its points,
# times the span of the curve (Koksma's inequality); that gap is 0.0242 for 32 points of Gauss and Legendre.
SPAN = 0.025
FIELD = (spans, between(0.2, 20), between(0.2, 20), between(0.1, 60))


@given(*FIELD)
def test_field_mean_of_the_delay_itself(lag: float, spread: float, cover: float, area: float) -> None:
    ours = field_mean_loss(lambda delay: delay, lag, spread, cover, area)
    assert ours == pytest.approx(float(mean_delay(lag, spread, cover, area)), rel=1e-9, abs=1e-9)


@given(*FIELD, between(25, 80))
def test_field_mean_of_straight_lines(lag: float, spread: float, cover: float, area: float, end: float) -> None:
    points = 0.9, 0.55, 0.3, end
    ends = early_share(np.maximum([lag, lag + area / cover - area / spread], 0), *points)
    ours = field_mean_loss(lambda delay: early_share(delay, *points), lag, spread, cover, area)
    assert ours == pytest.approx(
        float(mean_early_share(lag, spread, cover, area, *points)), abs=SPAN * float(np.ptp(ends)) + 1e-9
    )


@given(*FIELD, shares, between(1, 50))
def test_field_mean_of_a_smooth_curve_is_as_good_as_it_says(
    lag: float, spread: float, cover: float, area: float, top: float, half: float
) -> None:
    area = min(area, 48 / max(1 / cover - 1 / spread, 1e-3))

    def loss(delay: FloatArray) -> FloatArray:
        return loss_incorporated_sogaard(top, half, delay, 0.9)

    ours = field_mean_loss(loss, lag, spread, cover, area)

    def at(x: float) -> float:
        return float(loss(np.asarray(max(lag + x / cover - x / spread, 0))))

    slower = 1 / spread - 1 / cover
    kink = [lag / slower] if slower * area > lag > 0 else None
    theirs, _ = quad(at, 0, area, points=kink, limit=500, epsabs=1e-11, epsrel=1e-11)
    assert ours == pytest.approx(theirs / area, abs=1e-6)


@given(weathers(least=24, most=60), slurries(), between(0, 3), between(1.2, 6), between(0.3, 1.2), between(1, 15))
@settings(max_examples=40, deadline=None)
def test_field_mean_over_hours_of_weather_is_as_good_as_it_says(
    weather: tuple[FloatArray, ...],
    slurry: tuple[float, float, float],
    lag: float,
    spread: float,
    cover: float,
    area: float,
) -> None:
    def loss(delay: FloatArray) -> FloatArray:
        return ammonia_two_pool_hafner(*weather, *slurry, slurry[2] / 4, 0.1, delay)

    ours = field_mean_loss(loss, lag, spread, cover, area)
    first, last = lag, lag + area / cover - area / spread
    fine = np.linspace(first, last, 20_001)
    losses = loss((fine[1:] + fine[:-1]) / 2)
    assert ours == pytest.approx(float(losses.mean()), abs=SPAN * float(np.ptp(losses)) + 1e-4)
