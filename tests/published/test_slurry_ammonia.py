"""Ammonia after spreading, against factors worked through and against losses measured in trials."""

from __future__ import annotations

from collections.abc import Callable
from math import log2

import pytest

from spadework.reference import constants, load
from spadework.science.slurry import (
    abatement_with_delay,
    early_share,
    loss_covered,
    loss_uncovered,
    nh3_n_loss,
    nutrient_rate,
)

Check = Callable[..., None]

UNECE = (
    "UNECE 2014, ECE/EB.AIR/120 Table 14, with EMEP/EEA 2019 ch. 3.B Table 3.9; worked by hand from recalled factors"
)
MEASURED = {
    "v1": "Thompson and Meisinger 2002, J. Environ. Qual. 31:1329-1338, abstract",
    "v2": "Smith and others 2000, J. Agric. Eng. Res. 77:277-287, abstract",
}
TAN_KG_HA = 102.0  # 30 t/ha of Danish fattening pig slurry at 3.40 kg/t


def saved(row: str, end: str = "value") -> float:
    return float(getattr(load("ammonia_abatement_unece")[row].entry("abatement_share"), end))


def reference(row: str) -> float:
    return load("ammonia_reference")[row].entry("loss_share").value


@pytest.mark.parametrize(
    ("row", "end", "theirs"),
    [
        ("broadcast", "value", 40.8),
        ("trailing_hose", "high", 26.5),
        ("trailing_hose", "low", 28.6),
        ("within_24_h", "value", 28.6),
        ("within_4_h", "high", 14.3),
        ("within_4_h", "low", 22.4),
        ("non_inversion_at_once", "value", 12.2),
        ("open_slot", "value", 12.2),
        ("closed_slot", "value", 8.2),
        ("plough_at_once", "value", 4.1),
        ("deep_closed", "value", 4.1),
    ],
)
def test_loss_from_pig_slurry(check: Check, row: str, end: str, theirs: float) -> None:
    ours = nh3_n_loss(TAN_KG_HA, loss_uncovered(reference("fattening_pig"), saved(row, end)))
    what = f"NH3-N lost of 102 kg TAN/ha, fattening pig slurry, {row.replace('_', ' ')}"
    check(what, UNECE, theirs, float(ours), 0.05, unit="kg/ha", kind="computed", note=f"{end} of the reduction")


def test_plough_after_four_hours(check: Check) -> None:
    points = (
        saved("plough_at_once"),
        saved("within_4_h"),
        saved("within_24_h"),
        constants("ammonia_delay").no_effect_h,
    )
    early = early_share(4.0, *points)
    ploughed = nh3_n_loss(TAN_KG_HA, loss_covered(reference("fattening_pig"), 0.0, points[0], early))
    band = nh3_n_loss(TAN_KG_HA, loss_uncovered(reference("fattening_pig"), saved("deep_closed")))
    what = "NH3-N lost of 102 kg TAN/ha, pig slurry broadcast and ploughed in 4 h later"
    check(what, UNECE, 18.4, float(ploughed), 0.05, unit="kg/ha", kind="computed")
    what = "N kept by a deep closed band against ploughing in 4 h later"
    check(what, UNECE, 14.3, float(ploughed - band), 0.05, unit="kg/ha", kind="computed")


@pytest.mark.parametrize(
    ("delay_h", "theirs", "tolerance"), [(4.0, 0.55, 0.10), (24.0, 0.30, 0.005), (30.0, 0.0, 0.005)]
)
def test_what_covering_saves_after_a_delay(check: Check, delay_h: float, theirs: float, tolerance: float) -> None:
    points = (
        saved("plough_at_once"),
        saved("within_4_h"),
        saved("within_24_h"),
        constants("ammonia_delay").no_effect_h,
    )
    source = "UNECE 2014 Table 14 (45 to 65 % within 4 h, 30 % within 24 h); Mannheim 1995 (too late after 30 h)"
    ours = float(abatement_with_delay(delay_h, *points))
    check(f"saved by ploughing in after {delay_h:g} h", source, theirs, ours, tolerance, unit="1", kind="memory")


def test_loss_of_pig_slurry_on_pasture(check: Check) -> None:
    ours = float(nh3_n_loss(nutrient_rate(60.0, 4.2), 0.225))
    source = "Sherlock and others 2002, J. Environ. Qual. 31:1491: 60 m3/ha at 4.2 kg TAN/m3 lost 57 kg N/ha, 22.5 %"
    check("NH3-N lost, pig slurry on pasture", source, 57.0, ours, 0.5, unit="kg/ha")


def _factor_of_two(check: Check, row: str, ours: float, what: str) -> None:
    theirs = load("ammonia_measured")[row].entry("loss_share").value
    note = f"log2 of our loss over theirs, so 1 is a factor of two; theirs {theirs:.3f}, ours {ours:.3f} of TAN"
    check(
        f"{what}: loss by factors against trial",
        MEASURED[row[:2]],
        0.0,
        log2(ours / theirs),
        1.0,
        unit="log2",
        note=note,
    )


@pytest.mark.parametrize(
    ("row", "method", "what"),
    [
        ("v1_surface", "broadcast", "cattle slurry left lying"),
        ("v1_chisel", "non_inversion_at_once", "cattle slurry mixed in at once with a chisel"),
        ("v2_splash_plate", "broadcast", "slurry from a splash plate"),
        ("v2_band", "trailing_hose", "slurry in bands"),
        ("v2_shoe", "trailing_shoe", "slurry from a trailing shoe"),
        ("v2_shallow_injection", "open_slot", "slurry in shallow slots"),
    ],
)
def test_factors_stay_within_two_of_trials(check: Check, row: str, method: str, what: str) -> None:
    _factor_of_two(check, row, float(loss_uncovered(reference("dairy_cattle"), saved(method))), what)


@pytest.mark.xfail(
    reason="the factors leave more than twice what these trials measured after ploughing or discing at once: "
    "0.055 against 0 to 0.03 and 0.165 against 0.02 to 0.08 of TAN",
    strict=True,
)
@pytest.mark.parametrize(
    ("row", "method"), [("v1_plough", "plough_at_once"), ("v1_disc", "non_inversion_at_once")], ids=["plough", "disc"]
)
def test_factors_overstate_what_is_left_after_covering_at_once(row: str, method: str) -> None:
    ours = float(loss_uncovered(reference("dairy_cattle"), saved(method)))
    assert abs(log2(ours / load("ammonia_measured")[row].entry("loss_share").value)) <= 1


@pytest.mark.parametrize(("row", "method"), [("v1_plough", "plough_at_once"), ("v1_disc", "non_inversion_at_once")])
def test_factors_and_trials_agree_on_the_order_of_ways_to_cover(row: str, method: str) -> None:
    """Thompson and Meisinger 2002: plough least, then discs, then chisel, then not covered."""
    measured = load("ammonia_measured")
    left = loss_uncovered(reference("dairy_cattle"), saved(method))
    assert left < loss_uncovered(reference("dairy_cattle"), saved("broadcast"))
    assert measured[row].entry("loss_share").value < measured["v1_chisel"].entry("loss_share").value
    assert saved("plough_at_once") > saved("non_inversion_at_once")
