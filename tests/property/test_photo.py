"""What must hold of photos whatever they show: shares, turning, scale, and lines and means under a change of either series."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from photos_made import ground
from spadework.science import seedbed as s
from spadework.science.seedbed.photo.calibration import calibrate
from spadework.science.seedbed.photo.pixels import averaged, classify, shares_of

SHARE = st.floats(0, 1)
COVERS = st.lists(st.floats(0.05, 0.9), min_size=5, max_size=20)


@settings(max_examples=40)
@given(st.integers(0, 2**32 - 1), st.integers(32, 90), st.integers(32, 90))
def test_shares_make_one_whole_of_any_picture(seed: int, high: int, wide: int) -> None:
    picture = np.random.default_rng(seed).integers(0, 256, (high, wide, 3)).astype(np.uint8)
    told = classify(picture, 0.5)
    assert abs(shares_of(told.classes).sum() - 1) < 1e-12
    left = np.arange(wide) < wide // 3
    parts = shares_of(told.classes, left) * left.mean() + shares_of(told.classes, ~left) * (~left).mean()
    np.testing.assert_allclose(parts, shares_of(told.classes), atol=1e-12)


@settings(max_examples=6)
@given(st.integers(0, 500), st.floats(0.2, 0.7))
def test_turning_the_picture_changes_next_to_nothing(seed: int, aim: float) -> None:
    picture = ground(seed, aim, high=300, wide=360).picture
    usual = shares_of(classify(picture, 0.5).classes)
    for turned in (picture[::-1], picture[:, ::-1], picture.transpose(1, 0, 2)):
        np.testing.assert_allclose(shares_of(classify(np.ascontiguousarray(turned), 0.5).classes), usual, atol=0.02)


@settings(max_examples=6)
@given(st.integers(0, 500), st.floats(0.2, 0.6), st.floats(0.6, 1.0))
def test_a_shorter_exposure_changes_little(seed: int, aim: float, exposure: float) -> None:
    picture = ground(seed, aim, high=300, wide=360).picture
    darker = np.round(picture * exposure).astype(np.uint8)
    usual, less = (shares_of(classify(one, 0.5).classes) for one in (picture, darker))
    np.testing.assert_allclose(less, usual, atol=0.03)


@settings(max_examples=6)
@given(st.integers(0, 500), st.floats(0.2, 0.6), st.integers(2, 4))
def test_finer_pixels_tell_the_same(seed: int, aim: float, times: int) -> None:
    picture = ground(seed, aim, high=300, wide=360).picture
    finer = np.repeat(np.repeat(picture, times, axis=0), times, axis=1)
    same, pixel_mm = averaged(finer, 0.5 / times)
    assert abs(pixel_mm - 0.5) < 1e-12
    np.testing.assert_array_equal(same, picture)


@given(st.integers(0, 2**32 - 1), st.floats(0.05, 0.5))
def test_averaging_keeps_the_mean(seed: int, pixel_mm: float) -> None:
    picture = np.random.default_rng(seed).integers(0, 256, (200, 240, 3)).astype(np.uint8)
    found, wide = averaged(picture, pixel_mm)
    block = round(wide / pixel_mm)
    used = picture[: found.shape[0] * block, : found.shape[1] * block]
    assert wide <= 0.5 * (1 + 1e-9) or block == 1
    np.testing.assert_allclose(found.mean(axis=(0, 1)), used.mean(axis=(0, 1)), atol=0.51)


@given(st.floats(-500, 500), st.floats(-100, 100), st.floats(5, 40), st.floats(41, 120), st.integers(-3, 3))
def test_strips_come_back_with_the_row(at: float, middle: float, strip: float, row: float, rows: int) -> None:
    away = abs((at - middle + row / 2) % row - row / 2) - strip / 2
    if abs(away) > 1e-6 and abs(abs(away) - row) > 1e-6:
        assert s.in_strip(at, middle, strip, row) == s.in_strip(at + rows * row, middle, strip, row)


@given(st.floats(-50, 50), st.floats(5, 40), st.floats(41, 120))
def test_share_of_places_inside_is_the_tilled_share(middle: float, strip: float, row: float) -> None:
    places = np.linspace(0, row, 4000, endpoint=False)
    inside = s.in_strip(places, middle, strip, row).mean()
    assert abs(inside - float(s.tilled_share(strip / 100, row / 100))) < 2e-3


@given(SHARE, SHARE)
def test_plants_only_raise_the_cover_of_what_is_in_sight(residue: float, green: float) -> None:
    green = min(green, 1 - residue, 0.9999)
    assert residue <= float(s.cover_beside_plants(residue, green)) <= 1 + 1e-9


@given(COVERS, st.integers(0, 1000), st.floats(0.2, 5))
def test_slope_is_one_over_itself_the_other_way_round(covers: list[float], seed: int, ratio: float) -> None:
    hand = np.array(covers)
    auto = 0.05 + 0.8 * hand + np.random.default_rng(seed).normal(0, 0.02, hand.size)
    if np.ptp(hand) > 0.2:
        there, back = float(s.deming_slope(hand, auto, ratio)), float(s.deming_slope(auto, hand, 1 / ratio))
        assert abs(there * back - 1) < 1e-6


@given(COVERS, st.floats(-0.04, 0.09), st.integers(0, 1000))
def test_a_constant_error_of_reading_goes_into_the_bias_alone(covers: list[float], off: float, seed: int) -> None:
    random = np.random.default_rng(seed)
    auto = np.array(covers)
    hand = np.clip(auto + random.normal(0, 0.05, auto.size), 0, 1)
    everything = np.concatenate([auto, random.uniform(0.05, 0.9, 7)])
    usual = calibrate(auto, hand, np.full(auto.size, 0.04), everything, 0.95)
    moved = calibrate(auto + off, hand, np.full(auto.size, 0.04), everything + off, 0.95)
    assert abs(moved.bias - usual.bias - off) < 1e-9
    for name in ("mean", "low", "high", "scatter"):
        assert abs(getattr(moved, name) - getattr(usual, name)) < 1e-9


@given(COVERS)
def test_where_all_are_counted_the_counts_alone_decide(covers: list[float]) -> None:
    hand = np.array(covers)
    found = calibrate(
        np.clip(hand * 0.9 + 0.07, 0, 1), hand, np.full(hand.size, 0.04), np.clip(hand * 0.9 + 0.07, 0, 1), 0.95
    )
    half = float(s.lines_half_width(hand.std(ddof=1), hand.size, 0.95))
    assert abs(found.mean - hand.mean()) < 1e-9
    assert abs(found.high - found.low - 2 * half) < 1e-9


@given(st.floats(0, 0.4), st.floats(0, 0.4), st.integers(1, 50), st.integers(1, 500))
def test_more_photos_or_counts_never_make_it_less_sure(hand: float, scatter: float, counted: int, more: int) -> None:
    usual = float(s.corrected_mean_se(hand, scatter, counted, counted + more))
    assert float(s.corrected_mean_se(hand, scatter, counted + 1, counted + more)) <= usual + 1e-12
    if scatter <= hand:
        assert float(s.corrected_mean_se(hand, scatter, counted, counted + more + 1)) <= usual + 1e-12


@given(
    st.lists(st.integers(0, 50), min_size=2, max_size=40).filter(lambda n: sum(n) > 0),
    st.floats(0.1, 9),
    st.floats(-5, 5),
)
def test_threshold_moves_with_the_scale(counts: list[int], times: float, shift: float) -> None:
    middles = np.arange(len(counts), dtype=float)
    moved = middles * times + shift
    cut = float(s.otsu_threshold(middles, counts))
    assert abs(float(s.otsu_threshold(moved, counts)) - (cut * times + shift)) < 1e-6
    share = float(s.parted_share(middles, counts))
    assert -1e-12 <= share <= 1 + 1e-12
    assert abs(float(s.parted_share(moved, counts)) - share) < 1e-9
