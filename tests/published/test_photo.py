"""Photos: threshold, greenness, lines with two errors and corrected means against exact and printed values, and covers of made
pictures against the truth that they were made with.  Made pictures try the sums, not the field."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from scipy.stats import norm
from skimage.filters import threshold_otsu

from conftest import Check
from photos_made import SOILS, Made, ground
from spadework.science import seedbed as s
from spadework.science.seedbed.photo.calibration import calibrate
from spadework.science.seedbed.photo.fitness import reasons_against
from spadework.science.seedbed.photo.pixels import GREEN, RESIDUE, classify, shares_of

PEARSON_X = [0.0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4]
PEARSON_Y = [5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5]
MADE = "made pictures, truth counted pixel by pixel (invented)"


@dataclass(frozen=True)
class Read:
    made: Made
    cover: float
    green: float
    fit: bool


def read(made: Made) -> Read:
    told = classify(made.picture, made.mm_px)
    share = shares_of(told.classes)
    cover = float(s.cover_beside_plants(share[RESIDUE], share[GREEN]))
    return Read(made, cover, float(share[GREEN]), not reasons_against(told.fitness))


@pytest.fixture(scope="module")
def dry() -> list[Read]:
    """Twenty-four pictures from about 0.05 to 0.9: with plants and without, in even and in slanting light."""
    aims = np.linspace(0.06, 0.93, 24)
    return [
        read(ground(100 + i, aim, plants=(0, 6, 15)[i % 3], slope_of_light=(0.0, 0.4)[i % 2], high=500, wide=640))
        for i, aim in enumerate(aims)
    ]


@pytest.mark.parametrize("seed", range(4))
def test_threshold_is_that_of_a_reference_library(check: Check, seed: int) -> None:
    random = np.random.default_rng(seed)
    values = np.concatenate([random.normal(90, 12, 4000), random.normal(160, 20, 1000 * (seed + 1))])
    counts, edges = np.histogram(values, bins=256)
    middles = (edges[1:] + edges[:-1]) / 2
    theirs = float(threshold_otsu(hist=(counts, middles)))
    ours = float(s.otsu_threshold(middles, counts))
    check(f"Otsu's threshold, mixture {seed}", "scikit-image, threshold_otsu", theirs, ours, 1e-9, kind="computed")


def test_one_hump_cut_in_two(check: Check) -> None:
    x = np.linspace(-6, 6, 4001)
    exact = "exact, normal distribution cut at its middle"
    hump = norm.pdf(x)
    check("share of the variance", exact, 2 / np.pi, float(s.parted_share(x, hump)), 2e-4, kind="computed")
    cut = float(s.otsu_threshold(x, hump))
    theirs = np.sqrt(8 / np.pi) / np.sqrt(1 - 2 / np.pi)
    check("distance of the halves", exact, theirs, float(s.class_distance(x, hump, cut)), 2e-3, kind="computed")
    even = np.ones_like(x)
    cut = float(s.otsu_threshold(x, even))
    exact = "exact, even distribution cut at its middle"
    check("share of the variance", exact, 0.75, float(s.parted_share(x, even)), 2e-4, kind="computed")
    check("distance of the halves", exact, np.sqrt(12), float(s.class_distance(x, even, cut)), 2e-3, kind="computed")


@pytest.mark.parametrize(
    ("colour", "theirs"),
    [
        ((70, 120, 50), 0.5917),
        ((120, 95, 70), -0.2561),
        ((100, 100, 100), -0.1333),
        ((0, 200, 0), 3.0),
        ((200, 0, 0), -2.4),
    ],
)
def test_greenness_by_hand(check: Check, colour: tuple[int, int, int], theirs: float) -> None:
    source = "2 g - r - b less 1.4 r - g, of shares of the sum, worked out by hand"
    check(f"greenness of {colour}", source, theirs, float(s.excess_green_over_red(*colour)), 5e-5, kind="computed")


def test_line_of_closest_fit(check: Check) -> None:
    slope = float(s.deming_slope(PEARSON_X, PEARSON_Y, 1))
    source = "Pearson (1901), line of closest fit to ten points (from memory)"
    check("slope", source, -0.546, slope, 0.0005, kind="memory")
    level = np.mean(PEARSON_Y) - slope * np.mean(PEARSON_X)
    check("height at nil", source, 5.784, float(level), 0.0005, kind="memory")
    axes = np.linalg.eigh(np.cov(PEARSON_X, PEARSON_Y))[1][:, 1]
    check("slope", "longest axis of the scatter, by numpy", axes[1] / axes[0], slope, 1e-9, kind="computed")


def test_line_without_error_in_the_first_series_is_the_usual_one(check: Check) -> None:
    theirs = np.polyfit(PEARSON_X, PEARSON_Y, 1)[0]
    check(
        "slope",
        "least squares by numpy",
        theirs,
        float(s.deming_slope(PEARSON_X, PEARSON_Y, 1e9)),
        1e-6,
        kind="computed",
    )


def test_errors_by_hand(check: Check) -> None:
    by_hand = "worked out by hand"
    check("count of 40 in 100", by_hand, 0.04924, float(s.grid_count_se(40, 100)), 5e-6, kind="computed")
    check("reading alone", by_hand, 0.0438, float(s.reading_spread(0.065, 0.048)), 5e-5, kind="computed")
    ours = float(s.corrected_mean_se(0.12, 0.06, 8, 40))
    check("mean of 40 photos, 8 counted", by_hand, 0.02683, ours, 5e-6, kind="computed")
    check(
        "pixel of 4000 across 60 cm",
        by_hand,
        0.15,
        float(s.pixel_from_width(60, 4000)),
        1e-12,
        unit="mm",
        kind="computed",
    )
    check(
        "bar 800 by 600 pixels", by_hand, 0.5, float(s.pixel_from_bar(50, 800, 600)), 1e-12, unit="mm", kind="computed"
    )


def test_interval_of_the_field_holds_as_often_as_it_says(check: Check) -> None:
    random = np.random.default_rng(7)
    held, runs, field = 0, 1500, 0.35
    for _ in range(runs):
        truth = np.clip(random.normal(field, 0.10, 30), 0.02, 0.98)
        auto = np.clip(0.03 + 0.9 * truth + random.normal(0, 0.03, 30), 0, 1)
        hits = random.binomial(100, truth[:8])
        found = calibrate(auto[:8], hits / 100, s.grid_count_se(hits, 100), auto, 0.95)
        held += found.low <= field <= found.high
    source = "drawn photos with a bias, a slope of 0.9 and marks of a grid; 8 of 30 counted"
    check("share of intervals that hold the field", source, 0.95, held / runs, 0.03, kind="computed", note="drawn")


def test_covers_of_made_pictures(check: Check, dry: list[Read]) -> None:
    fit = [one for one in dry if one.fit]
    assert len(fit) >= 18
    off = np.array([one.cover - one.made.cover for one in fit])
    check("mean of reading less truth, dry", MADE, 0.0, float(off.mean()), 0.03, kind="computed", note="synthetic")
    check(
        "scatter of reading less truth, dry", MADE, 0.0, float(off.std(ddof=1)), 0.04, kind="computed", note="synthetic"
    )
    green = np.array([one.green - one.made.green for one in dry])
    check("largest error of green", MADE, 0.0, float(np.abs(green).max()), 0.015, kind="computed", note="synthetic")


def test_what_would_be_far_off_is_refused(dry: list[Read]) -> None:
    for one in dry:
        assert abs(one.cover - one.made.cover) < 0.12 or not one.fit, one.made.cover


@pytest.mark.xfail(
    strict=True,
    reason="Otsu's threshold leans to the larger class: on made dry pictures the reading rises by 0.89 where the truth rises "
    "by 1, and is 0.09 too low at a cover of 0.87; counts by hand show it",
)
def test_reading_rises_one_for_one_with_the_truth(dry: list[Read]) -> None:
    fit = [one for one in dry if one.fit]
    slope = float(s.deming_slope([one.made.cover for one in fit], [one.cover for one in fit], 1))
    assert abs(slope - 1) < 0.05


@pytest.mark.parametrize("moist", ["wet", "damp"])
@pytest.mark.parametrize("aim", [0.1, 0.3, 0.5, 0.8])
def test_made_wet_pictures_are_refused(moist: str, aim: float) -> None:
    assert not read(ground(7, aim, moist=moist, high=500, wide=640)).fit


@pytest.mark.parametrize("aim", [0.0, 0.995])
def test_nearly_bare_and_nearly_covered_ground_is_refused(aim: float) -> None:
    assert not read(ground(9, aim, high=500, wide=640)).fit


def read_of(kind: dict[str, object], aims: tuple[float, ...]) -> list[Read]:
    return [read(ground(1000 + int(100 * aim), aim, high=500, wide=640, **kind)) for aim in aims]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("case", "kind"),
    [
        ("dark humus", {"soil": SOILS["dark humus"]}),
        ("red clay", {"soil": SOILS["red clay"]}),
        ("weathered residue on dark humus", {"soil": SOILS["dark humus"], "weathered": 0.85}),
        ("deep shadows of pieces", {"shadow_depth": 0.3}),
    ],
)
def test_covers_of_harder_made_pictures(check: Check, case: str, kind: dict[str, object]) -> None:
    fit = [one for one in read_of(kind, (0.2, 0.4, 0.6, 0.8)) if one.fit]
    assert len(fit) >= 3
    off = np.array([one.cover - one.made.cover for one in fit])
    check(f"mean of reading less truth, {case}", MADE, 0.0, float(off.mean()), 0.05, kind="computed", note="synthetic")
    check(
        f"largest of reading less truth, {case}",
        MADE,
        0.0,
        float(np.abs(off).max()),
        0.09,
        kind="computed",
        note="synthetic",
    )


@pytest.mark.parametrize(
    "kind",
    [
        {"soil": SOILS["grey silt"]},
        {"soil": SOILS["pale sand"]},
        {"soil": SOILS["grey silt"], "moist": "damp"},
        {"soil": SOILS["pale sand"], "moist": "wet"},
        {"person": 0.3},
    ],
)
def test_ground_on_which_residue_does_not_stand_out_is_refused(kind: dict[str, object]) -> None:
    for one in read_of(kind, (0.3, 0.6)):
        assert not one.fit, (one.made.cover, one.cover)


@pytest.mark.xfail(
    strict=True,
    reason="pale stones pass for residue: 60 of 8 to 40 mm make made pictures of 0.08 m2 read up to 0.17 too high at "
    "covers of 0.1 to 0.5, and nothing refuses them; counts by hand show it",
)
def test_stony_ground_is_read_right_or_refused() -> None:
    for one in read_of({"stones": 60}, (0.12, 0.3, 0.5)):
        assert not one.fit or abs(one.cover - one.made.cover) < 0.08
