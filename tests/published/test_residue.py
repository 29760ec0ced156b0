"""Residue cover held against worked figures, published rules of thumb and published counts."""

from __future__ import annotations

import numpy as np
import pytest

from spadework import reference
from spadework.science import seedbed

WORKED = "Worked apart from our code, from the same equation"
GREGORY = "Gregory (1982), recalled form; worked apart from our code"

MASSES = (500, 1000, 2000, 4000, 8000)
COVERS = {
    0.00040: (0.1813, 0.3297, 0.5507, 0.7981, 0.9592),
    0.00034: (0.1563, 0.2882, 0.4934, 0.7433, 0.9341),
    0.00052: (0.2289, 0.4055, 0.6465, 0.8751, 0.9844),
}


@pytest.mark.parametrize("am", COVERS)
def test_cover_of_a_mass(check, am):
    for mass, cover in zip(MASSES, COVERS[am], strict=True):
        ours = seedbed.cover_from_mass(mass, am)
        check(f"cover of {mass} kg/ha at {am:.5f} ha/kg", GREGORY, cover, ours, 0.00005, unit="1", kind="computed")


@pytest.mark.parametrize(("am", "mass"), [(0.0004, 892), (0.00034, 1049), (0.00052, 686)])
def test_mass_for_thirty_per_cent(check, am, mass):
    ours = seedbed.mass_from_cover(0.30, am)
    check(f"mass behind 30 % cover at {am:.5f} ha/kg", GREGORY, mass, ours, 0.5, unit="kg/ha", kind="computed")


def test_two_residues(check):
    ours = seedbed.cover_together(seedbed.cover_from_mass(2000, 0.0004), seedbed.cover_from_mass(1000, 0.00052))
    check("cover of 2000 kg maize and 1000 kg straw", GREGORY, 0.7329, ours, 0.00005, unit="1", kind="computed")


@pytest.mark.parametrize(
    ("before", "kept", "after", "ratio", "digit"),
    [
        (0.9, 0.5, 0.6838, 0.760, 3),
        (0.9, 0.8, 0.8415, 0.935, 3),
        (0.5, 0.5, 0.2929, 0.586, 3),
        (0.2, 0.5, 0.1056, 0.528, 3),
        (0.95, 0.07, 0.1892, 0.199, 3),
    ],
)
def test_mass_and_cover_retention_differ(check, before, kept, after, ratio, digit):
    ours = seedbed.cover_after_mass_retention(before, kept)
    what = f"cover from {before} when {kept} of the mass stays"
    check(what, GREGORY, after, ours, 0.00005, unit="1", kind="computed")
    check(what + ", as share of the cover", GREGORY, ratio, ours / before, 0.5 * 10**-digit, unit="1", kind="computed")


@pytest.mark.parametrize(
    ("width", "spacing", "strip", "between", "field"),
    [(0.20, 0.75, 0.05, 0.85, 0.6367), (0.25, 0.75, 0.10, 0.70, 0.5000), (0.30, 0.75, 0.05, 0.85, 0.5300)],
)
def test_strips(check, width, spacing, strip, between, field):
    ours = seedbed.area_weighted_cover(strip, between, seedbed.tilled_share(width, spacing))
    check(f"cover of a field with strips of {width} m", WORKED, field, ours, 0.00005, unit="1", kind="computed")


@pytest.mark.parametrize(("width", "spacing", "share"), [(0.20, 0.75, 27), (0.216, 0.762, 28), (0.15, 0.75, 20)])
def test_tilled_share(check, width, spacing, share):
    ours = 100 * seedbed.tilled_share(width, spacing)
    check(f"tilled share of strips of {width} m on {spacing} m", WORKED, share, ours, 0.5, unit="%", kind="computed")


def test_strip_till_definition(check):
    limit = reference.constants("residue_limits").strip_tilled_share
    source = "Morrison et al. (2002), citing CTIC (1995): tilled strips at most 25 % of the field"
    check("widest strip on 75 cm rows", source, 19, 75 * limit, 0.5, unit="cm", note="rounded up in print: 18.75")
    assert seedbed.tilled_share(0.20, 0.75) > limit


@pytest.mark.parametrize(
    ("row", "rate"),
    [("maize_surface", 0.00296), ("maize_buried", 0.00415), ("maize_standing", 0.00145), ("wheat_surface", 0.00122)],
)
def test_decay_rates(check, row, rate):
    loss = reference.load("residue_decay")[row].entry("loss_first_year").value
    source = "From the yearly losses of Ghidey and Alberts (1993), abstract"
    ours = seedbed.decay_rate(loss, 365)
    check(f"mean rate of decay, {row.replace('_', ' ')}", source, rate, ours, 0.000005, unit="1/d", kind="computed")


@pytest.mark.parametrize(
    ("row", "left"), [("maize_standing", 59), ("maize_surface", 34), ("maize_buried", 22), ("wheat_buried", 31)]
)
def test_a_year_of_decay(check, row, left):
    loss = reference.load("residue_decay")[row].entry("loss_first_year").value
    ours = seedbed.decay(100, seedbed.decay_rate(loss, 365), 365)
    source = "Ghidey and Alberts (1993), abstract: share lost in a year in Missouri"
    check(f"mass left after a year, {row.replace('_', ' ')}", source, left, ours, 0.5, unit="%")


# Counting -----------------------------------------------------------------------------------------------------------

INTERVALS = {
    (0, 100): (0.0, 0.0370, 0.0, 0.0362),
    (5, 100): (0.0215, 0.1118, 0.0164, 0.1128),
    (30, 100): (0.2189, 0.3958, 0.2124, 0.3998),
    (44, 100): (0.3467, 0.5377, 0.3408, 0.5428),
    (90, 300): (0.2509, 0.3541, 0.2487, 0.3553),
    (150, 500): (0.2615, 0.3416, 0.2601, 0.3423),
    (98, 100): (0.9300, 0.9945, 0.9296, 0.9976),
}


@pytest.mark.parametrize("count", INTERVALS)
def test_intervals(check, count):
    k, n = count
    z = seedbed.normal_quantile(0.95)
    ours = (
        seedbed.wilson_low(k, n, z),
        seedbed.wilson_high(k, n, z),
        seedbed.exact_low(k, n, 0.95),
        seedbed.exact_high(k, n, 0.95),
    )
    names = (
        "Wilson (1927), low",
        "Wilson (1927), high",
        "Clopper and Pearson (1934), low",
        "Clopper and Pearson (1934), high",
    )
    for name, theirs, mine in zip(names, INTERVALS[count], ours, strict=True):
        check(f"95 % interval of {k} of {n}: {name}", WORKED, theirs, mine, 0.00005, unit="1", kind="computed")


@pytest.mark.parametrize(("cover", "points"), [(0.05, 2.18), (0.10, 3.00), (0.20, 4.00), (0.30, 4.58), (0.50, 5.00)])
def test_standard_error(check, cover, points):
    ours = 100 * seedbed.binomial_se(cover, 100)
    check(f"standard error of a cover of {cover}, 100 points", WORKED, points, ours, 0.005, unit="%", kind="computed")


@pytest.mark.parametrize(("cover", "points"), [(0.1, 139), (0.3, 323), (0.5, 385)])
def test_points_needed(check, cover, points):
    ours = seedbed.points_needed(cover, 0.05, seedbed.normal_quantile(0.95))
    check(f"points for 5 % either way at a cover of {cover}", WORKED, points, ours, 0, unit="1", kind="computed")


def test_li_and_chaplin(check):
    limit = reference.constants("transect_practice").error_trained
    ours = seedbed.normal_quantile(0.95) * seedbed.binomial_se(0.30, 500) / 0.30
    source = "Li and Chaplin (1997), abstract: error of 12 % at 30 % maize cover, five tapes of 100 points"
    check(
        "relative error of 500 points", source, limit, ours, 0.02, unit="1", note="theory takes points as independent"
    )
    check("relative error of 500 points, theory", WORKED, 0.134, ours, 0.0005, unit="1", kind="computed")


@pytest.mark.parametrize(("lines", "half"), [(3, 19.9), (5, 9.9), (8, 6.7)])
def test_tapes(check, lines, half):
    ours = 100 * seedbed.lines_half_width(0.08, lines, 0.95)
    check(f"half width of the mean of {lines} tapes, scatter 8 %", WORKED, half, ours, 0.05, unit="%", kind="computed")


@pytest.mark.parametrize(("n", "hits", "power"), [(100, 39, 0.62), (300, 104, 0.975), (500, 168, 0.999)])
def test_proving_thirty_per_cent(check, n, hits, power):
    needed = seedbed.hits_to_prove(0.30, n, 0.05)
    check(f"hits that show a cover over 30 %, {n} points", WORKED, hits, needed, 0, unit="1", kind="computed")
    chance = seedbed.power_to_prove(needed, n, 0.40)
    digit = 0.005 if n == 100 else 0.0005
    check(
        f"chance of that at a true cover of 40 %, {n} points", WORKED, power, chance, digit, unit="1", kind="computed"
    )


def test_strips_counted_apart(check):
    share = seedbed.tilled_share(0.20, 0.75)
    mean = seedbed.area_weighted_cover(0.08, 0.80, share)
    error = seedbed.stratified_se(share, seedbed.binomial_se(0.08, 100), seedbed.binomial_se(0.80, 100))
    check("cover of strips and ground between, counted apart", WORKED, 0.6080, mean, 0.00005, unit="1", kind="computed")
    check("its standard error", WORKED, 0.0302, error, 0.00005, unit="1", kind="computed")


def test_ends_of_two_intervals_joined(check):
    """Intervals of strip and ground between, joined; whether they hold as often as they say is drawn by numpy."""
    share, z = float(seedbed.tilled_share(0.20, 0.75)), 1.959964
    draws = np.random.default_rng(20_261_128)
    for strip, between in ((0.05, 0.85), (0.02, 0.60), (0.30, 0.95)):
        hits, other = draws.binomial(100, strip, 20_000), draws.binomial(100, between, 20_000)
        low = seedbed.stratified_low(
            share, hits / 100, seedbed.wilson_low(hits, 100, z), other / 100, seedbed.wilson_low(other, 100, z)
        )
        high = seedbed.stratified_high(
            share, hits / 100, seedbed.wilson_high(hits, 100, z), other / 100, seedbed.wilson_high(other, 100, z)
        )
        truth = share * strip + (1 - share) * between
        held = float(((low <= truth) & (truth <= high)).mean())
        what = f"share of joined intervals that hold {strip} in the strip and {between} between, 100 marks each"
        check(what, "20 000 drawn counts", 0.95, held, 0.015, unit="1", kind="computed", note="drawn")


@pytest.mark.parametrize(
    ("mark", "angle", "sd", "trips"),
    [
        (0.375, 90, 0.202, True),
        (0.25, 90, 0.111, True),
        (0.15, 90, 0.082, True),
        (0.1524, 90, 0.035, False),
        (0.15, 45, 0.035, False),
        (0.30, 45, 0.033, False),
        (0.125, 90, 0.073, True),
        (0.30, 90, 0.082, True),
        (0.45, 90, 0.082, True),
        (0.50, 90, 0.112, True),
        (1.00, 90, 0.112, True),
        (1.125, 90, 0.202, True),
        (1.50, 90, 0.356, True),
        (0.10, 90, 0.033, False),
        (0.12, 90, 0.036, False),
        (0.20, 90, 0.033, False),
        (0.305, 90, 0.034, False),
    ],
)
def test_alias_guard(check, mark, angle, sd, trips):
    """The guard trips where the tape scatters more than independent points do; the tape is laid anew here."""
    k = seedbed.points_per_row(0.75, mark, angle)
    ours = seedbed.aliased(seedbed.phase_drift(k, 100))
    check(
        f"rows fool marks {mark} m apart at {angle} degrees", WORKED, float(trips), ours, 0, unit="1", kind="computed"
    )
    scatter = _scatter_of_a_tape(0.75, 0.20, 0.05, 0.85, mark * np.sin(np.radians(angle)))
    what = f"scatter of that tape over strips, {mark} m at {angle} degrees"
    check(what, "Simulated apart from our code", sd, scatter, 0.003, unit="1", kind="computed")
    assert trips == (scatter > 0.05)


def test_points_at_random_are_not_fooled_by_rows(check):
    """Over the same strips; their theory is that of independent points."""
    cover = seedbed.area_weighted_cover(0.05, 0.85, seedbed.tilled_share(0.20, 0.75))
    ours = seedbed.binomial_se(cover, 100)
    check("standard error of 100 points at random over strips", WORKED, 0.048, ours, 0.0005, unit="1", kind="computed")
    draws = np.random.default_rng(20_260_102)
    place = draws.uniform(0, 0.75, (20_000, 100))
    scatter = (draws.random(place.shape) < np.where(place < 0.20, 0.05, 0.85)).mean(axis=1).std()
    what = "scatter of 100 points at random over strips"
    check(what, "Simulated apart from our code", 0.049, scatter, 0.0015, unit="1", kind="computed")
    assert abs(scatter - ours) < 0.001


def _scatter_of_a_tape(spacing, width, strip, between, step):
    draws = np.random.default_rng(20_260_101)
    start = draws.uniform(0, spacing, (20_000, 1))
    place = (start + step * np.arange(100)) % spacing
    return float((draws.random(place.shape) < np.where(place < width, strip, between)).mean(axis=1).std())


# Erosion ------------------------------------------------------------------------------------------------------------


def test_wind_rule_of_thumb(check):
    for cover, less in ((0.20, 57), (0.50, 95)):
        ours = 100 * (1 - seedbed.wind_loss_ratio(cover))
        source = "Fryrear (1985), Transactions of the ASAE 28, abstract"
        check(f"soil kept from the wind by a cover of {cover}", source, less, ours, 0.5, unit="%")


@pytest.mark.parametrize(("cover", "ratio"), [(0.20, 0.4288), (0.50, 0.0495)])
def test_wind(check, cover, ratio):
    ours = seedbed.wind_loss_ratio(cover)
    check(f"wind loss ratio at a cover of {cover}", WORKED, ratio, ours, 0.00005, unit="1", kind="computed")


def test_water_rule_of_thumb(check):
    rate = reference.constants("soil_loss_ratio").water_rate
    ours = 100 * (1 - seedbed.water_loss_ratio(0.20, rate))
    source = "University of Nebraska, guide G1563: 20 % cover halves erosion"
    check("soil kept from water by a cover of 0.2", source, 50, ours, 0.5, unit="%")


def test_water(check):
    ratios = (0.7047, 0.4966, 0.3499, 0.2466, 0.1738, 0.1225, 0.0863, 0.0608, 0.0429)
    for tenths, ratio in enumerate(ratios, start=1):
        ours = seedbed.water_loss_ratio(tenths / 10, 0.035)
        check(f"water loss ratio at a cover of 0.{tenths}", WORKED, ratio, ours, 0.00005, unit="1", kind="computed")
    for rate, ratio in ((0.025, 0.472), (0.05, 0.223)):
        ours = seedbed.water_loss_ratio(0.3, rate)
        check(f"water loss ratio at 30 %, rate {rate}", WORKED, ratio, ours, 0.0005, unit="1", kind="computed")


# Tables -------------------------------------------------------------------------------------------------------------


def test_lists_of_retention_agree_where_they_name_the_same_tool(check):
    """The textbook's single figures lie in, or at most a tenth beside, the ranges of the list of 1992."""
    ranges, single = reference.load("residue_retention"), reference.load("residue_retention_textbook")
    for key in ("mouldboard_plough", "chisel_twisted", "chisel_straight", "rotary_tiller_15cm", "rotary_tiller_8cm"):
        span = ranges[key].entry("non_fragile")
        kept = single[key].entry("kept").value
        check(
            f"cover left by {ranges[key].label}",
            "Agronomy textbook, table beside figure 16-15, quoted",
            kept,
            span.value,
            (span.high - span.low) / 2,
            unit="1",
            note="tolerance is half the range of the list, which is recalled",
        )


def test_measured_slurry_tools_leave_less_than_the_list_says():
    # Shelton (2004), part I: chisel and sweep injectors left 30-65 %, the general list says 60-80 %
    measured = reference.load("residue_retention_slurry")["chisel_sweep_injector"].entry("non_fragile")
    listed = reference.load("residue_retention")["slurry_applicator_list"].entry("non_fragile")
    assert (measured.low, measured.high) == (0.30, 0.65)
    assert measured.value < listed.low
