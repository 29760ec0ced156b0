"""Ammonia over time, against recalled coefficients worked through by hand and against losses measured in trials."""

from __future__ import annotations

from math import log2

import numpy as np
import pytest

from conftest import Check
from spadework.ranges import FloatArray
from spadework.reference import constants, load
from spadework.science.slurry.course_field import ammonia_two_pool_hafner
from spadework.science.slurry.course_hafner import (
    hafner_f0,
    hafner_f4,
    hafner_r1,
    hafner_r1_centre,
    hafner_r2,
    hafner_r3,
    wind_at_2_m,
)
from spadework.science.slurry.course_sogaard import (
    loss_incorporated_sogaard,
    sogaard_half_time,
    sogaard_nmax,
)

S = constants("ammonia_sogaard")
H = constants("ammonia_hafner")
LEVELS_OFF = "Søgaard and others 2002, Atmos. Environ. 36:3309-3319; worked by hand from recalled factors"
TWO_POOLS = "Hafner and others 2019, Atmos. Environ. 199:474-484; worked by hand from recalled coefficients"
MEASURED = {
    "v1": "Thompson and Meisinger 2002, J. Environ. Qual. 31:1329-1338, abstract",
    "v2": "Smith and others 2000, J. Agric. Eng. Res. 77:277-287, abstract",
}
METHODS = ("broadcast", "trailing_hose", "trailing_shoe", "open_slot", "closed_slot")


def words(key: str) -> str:
    return key.replace("_", " ")


def largest_loss(slurry: str, method: str, cover: str = "not_incorporated") -> float:
    weather = (15.0, 4.0)
    dry, tan = {"cattle": (0.06, 2.0), "pig": (0.04, 2.5)}[slurry]
    factors = (f"nmax_{key}" for key in ("soil_dry", slurry, method, cover, "mass_balance"))
    return float(sogaard_nmax(*weather, dry, tan, 30.0, *(S[key].value for key in factors)))


@pytest.mark.parametrize(
    ("slurry", "method", "cover", "theirs"),
    [
        ("cattle", "broadcast", "not_incorporated", 0.5961),
        ("cattle", "trailing_hose", "not_incorporated", 0.3440),
        ("cattle", "trailing_shoe", "not_incorporated", 0.3958),
        ("cattle", "open_slot", "not_incorporated", 0.1627),
        ("cattle", "pressurised", "not_incorporated", 0.0155),
        ("cattle", "broadcast", "shallow", 0.0528),
        ("pig", "broadcast", "not_incorporated", 0.3782),
        ("pig", "trailing_hose", "not_incorporated", 0.2182),
        ("pig", "trailing_shoe", "not_incorporated", 0.2511),
        ("pig", "open_slot", "not_incorporated", 0.1033),
        ("pig", "pressurised", "not_incorporated", 0.0098),
        ("pig", "broadcast", "shallow", 0.0335),
    ],
)
def test_largest_loss(check: Check, slurry: str, method: str, cover: str, theirs: float) -> None:
    what = f"largest ammonia loss, {slurry} slurry, {words(method)}, {words(cover)}, 15 degC, 4 m/s"
    check(what, LEVELS_OFF, theirs, largest_loss(slurry, method, cover), 0.00005, unit="1", kind="computed")


@pytest.mark.parametrize(("slurry", "dry", "tan", "theirs"), [("cattle", 0.06, 2.0, 2.497), ("pig", 0.04, 2.5, 7.381)])
def test_time_of_half_loss(check: Check, slurry: str, dry: float, tan: float, theirs: float) -> None:
    ours = sogaard_half_time(15, 4, dry, tan, 30, S.km_soil_dry, S[f"km_{slurry}"].value)
    what = f"time of half the ammonia loss, {slurry} slurry, 15 degC, 4 m/s"
    check(what, LEVELS_OFF, theirs, float(ours), 0.0005, unit="h", kind="computed")


@pytest.mark.parametrize(
    ("key", "theirs"),
    [
        ("nmax_soil_wet", 0.0971),
        ("nmax_temperature", 0.0221),
        ("nmax_wind", 0.0409),
        ("nmax_pig", -0.1555),
        ("nmax_dry_matter", 0.1026),
        ("nmax_tan", -0.1887),
        ("nmax_trailing_hose", -0.5499),
        ("nmax_rate", -0.0040),
        ("nmax_not_incorporated", 2.4248),
    ],
)
def test_logarithms_of_the_factors(check: Check, key: str, theirs: float) -> None:
    what = f"logarithm of the factor, {S[key].citation.label}"
    check(what, LEVELS_OFF, theirs, float(np.log(S[key].value)), 0.00005, unit="1", kind="computed")


@pytest.mark.parametrize(
    ("what", "given", "changed", "theirs"),
    [
        ("wet soil", {}, {"wetness_factor": S.nmax_soil_wet}, 0.10),
        ("a degree warmer", {}, {"temperature_degc": 16}, 0.02),
        ("1 m/s windier", {}, {"wind_m_s": 5}, 0.04),
        ("pig slurry", {}, {"slurry_factor": S.nmax_pig}, -0.14),
        ("1 % more dry matter", {}, {"dry_matter_share": 0.07}, 0.11),
        ("1 g/kg more ammoniacal N", {}, {"tan_kg_t": 3.0}, -0.17),
        ("bands", {}, {"method_factor": S.nmax_trailing_hose}, -0.42),
    ],
)
def test_effects_named_in_the_abstract(
    check: Check, what: str, given: dict[str, float], changed: dict[str, float], theirs: float
) -> None:
    case = {
        "temperature_degc": 15,
        "wind_m_s": 4,
        "dry_matter_share": 0.06,
        "tan_kg_t": 2.0,
        "dose_t_ha": 30,
        "wetness_factor": 1,
        "slurry_factor": 1,
        "method_factor": 1,
        "cover_factor": S.nmax_not_incorporated,
        "technique_factor": S.nmax_mass_balance,
    } | given
    ours = float(sogaard_nmax(**(case | changed)) / sogaard_nmax(**case) - 1)
    source = "Søgaard and others 2002, Atmos. Environ. 36:3309-3319, abstract, recalled"
    check(f"ammonia loss, {what}", source, theirs, ours, 0.005, unit="1", kind="memory")


def two_pools(
    method: str,
    hours: int = 168,
    cover: str = "",
    delay_h: float = np.inf,
    temperature_degc: float = H.centre_temperature,
) -> FloatArray:
    """The course of cattle slurry at the centre of the data."""
    dry, ph = H.centre_dry_matter / 100, H.centre_ph
    slot = float(method.endswith("slot"))
    r3 = H[f"r3_{method}"].value
    covered = (hafner_r3(ph, r3, H[f"r3_{cover}"].value), hafner_f4(H[f"f4_{cover}"].value), delay_h) if cover else ()
    return ammonia_two_pool_hafner(
        np.full(hours, temperature_degc),
        np.full(hours, H.centre_wind),
        np.zeros(hours),
        hafner_f0(H.centre_rate, dry, H[f"f0_{method}"].value, H.f0_cattle, slot),
        hafner_r1_centre(dry, ph, H[f"r1_{method}"].value),
        hafner_r3(ph, r3, 0.0),
        *covered,
        whole_course=True,
    )


# Their rates come from more digits than the coefficients are noted with: half a unit of the fourth decimal of a decadic
# logarithm is this share of a rate.
ROUNDED = 10**0.00005 - 1


@pytest.mark.parametrize(
    ("name", "theirs", "ours", "tolerance"),
    [
        ("f0", 0.3530, hafner_f0(40, 0.06, 0, 0, 0), 0.00005),
        ("r1", 0.11502, hafner_r1(hafner_r1_centre(0.06, 7.5, 0), 13, 2.7), 0.000005 + 0.11502 * ROUNDED),
        ("r2", 0.015879, hafner_r2(0), 0.0000005 + 0.015879 * ROUNDED),
        ("r3", 0.0005910, hafner_r3(7.5, 0, 0), 0.00000005 + 0.000591 * ROUNDED),
        ("f4, shallow", 0.276, hafner_f4(H.f4_shallow), 0.0005),
        ("f4, deep", 0.0242, hafner_f4(H.f4_deep), 0.00005),
    ],
)
def test_rates_at_the_centre(check: Check, name: str, theirs: float, ours: FloatArray, tolerance: float) -> None:
    unit = "1/h" if name.startswith("r") else "1"
    what = f"two pools: {name}, cattle slurry, trailing hose"
    check(what, TWO_POOLS, theirs, float(ours), tolerance, unit=unit, kind="computed")


HOURS = (1, 4, 24, 72, 168)


@pytest.mark.parametrize(
    ("method", "theirs"),
    [
        ("broadcast", (18.05, 33.24, 37.83, 43.94, 54.41)),
        ("trailing_hose", (3.84, 12.80, 30.63, 33.87, 37.52)),
        ("trailing_shoe", (1.41, 5.21, 19.63, 27.83, 32.23)),
        ("open_slot", (0.99, 3.34, 8.62, 11.50, 16.38)),
        ("closed_slot", (0.02, 0.06, 0.33, 0.94, 2.14)),
    ],
)
def test_course_at_the_centre(check: Check, method: str, theirs: tuple[float, ...]) -> None:
    course = 100 * two_pools(method)
    for hour, value in zip(HOURS, theirs, strict=True):
        what = f"two pools: ammonia lost in {hour} h, {words(method)}"
        check(what, TWO_POOLS, value, float(course[hour - 1]), 0.005, unit="%", kind="computed")


@pytest.mark.parametrize(
    ("delay_h", "theirs"),
    [
        (0, (10.91, 1.29, 17.73, 2.76)),
        (1, (13.62, 5.01, 29.61, 20.03)),
        (4, (19.93, 13.70, 39.62, 34.55)),
        (6, (22.98, 17.88, 40.75, 36.17)),
        (12, (28.58, 25.57, 41.59, 37.35)),
        (24, (32.53, 30.99, 42.70, 38.87)),
    ],
)
def test_covering_after_a_delay(check: Check, delay_h: float, theirs: tuple[float, ...]) -> None:
    cases = [(m, c) for m in ("trailing_hose", "broadcast") for c in ("shallow", "deep")]
    for (method, cover), value in zip(cases, theirs, strict=True):
        ours = 100 * float(two_pools(method, cover=cover, delay_h=delay_h)[-1])
        what = f"two pools: ammonia lost in 168 h, {words(method)}, {cover} covering after {delay_h} h"
        # half a digit, and what rates off by ROUNDED can do to the loss
        check(what, TWO_POOLS, value, ours, 0.005 + value * ROUNDED, unit="%", kind="computed")


@pytest.mark.parametrize(
    ("method", "temperature", "theirs"),
    [("broadcast", 5, 53.0), ("broadcast", 25, 54.9), ("trailing_hose", 5, 30.1), ("trailing_hose", 25, 40.9)],
)
def test_warmth_and_the_loss_in_a_week(check: Check, method: str, temperature: float, theirs: float) -> None:
    ours = 100 * float(two_pools(method, temperature_degc=temperature)[-1])
    what = f"two pools: ammonia lost in 168 h, {words(method)}, {temperature} degC"
    check(what, TWO_POOLS, theirs, ours, 0.05, unit="%", kind="computed")


def test_wind_profile(check: Check) -> None:
    """The reference crop of FAO-56: 0.12 m of grass, wind counted from a plane at 0.08 m, roughness 0.01476 m."""
    plane, roughness = 2 / 3 * 0.12, 0.123 * 0.12
    from_10 = float(wind_at_2_m(1.0, 10 - plane, roughness)) / float(wind_at_2_m(1.0, 2 - plane, roughness))
    source = "Allen and others 1998, FAO Irrigation and Drainage Paper 56, factor for wind measured at 10 m"
    check("wind at 2 m over wind at 10 m, short grass", source, 0.748, from_10, 0.0005, unit="1", kind="memory")


def saved(row: str) -> float:
    return load("ammonia_abatement_unece")[row].entry("abatement_share").value


LEVELLING = {
    "v1_surface": ("cattle slurry left lying", largest_loss("cattle", "broadcast")),
    "v1_plough": (
        "cattle slurry ploughed in at once",
        float(loss_incorporated_sogaard(largest_loss("cattle", "broadcast"), 2.5, 0.0, saved("plough_at_once"))),
    ),
    "v1_disc": ("cattle slurry disced in at once", largest_loss("cattle", "broadcast", "shallow")),
    "v1_chisel": ("cattle slurry mixed in at once with a chisel", largest_loss("cattle", "broadcast", "shallow")),
    "v2_splash_plate": ("slurry from a splash plate", largest_loss("cattle", "broadcast")),
    "v2_band": ("slurry in bands", largest_loss("cattle", "trailing_hose")),
    "v2_shoe": ("slurry from a trailing shoe", largest_loss("cattle", "trailing_shoe")),
    "v2_shallow_injection": ("slurry in shallow slots", largest_loss("cattle", "open_slot")),
}
POOLS = {
    "v1_surface": ("broadcast", "", np.inf),
    "v1_plough": ("broadcast", "deep", 0.0),
    "v1_disc": ("broadcast", "shallow", 0.0),
    "v1_chisel": ("broadcast", "shallow", 0.0),
    "v2_splash_plate": ("broadcast", "", np.inf),
    "v2_band": ("trailing_hose", "", np.inf),
    "v2_shoe": ("trailing_shoe", "", np.inf),
    "v2_shallow_injection": ("open_slot", "", np.inf),
}


def measured(row: str) -> float:
    return load("ammonia_measured")[row].entry("loss_share").value


def _factor_of_two(check: Check, row: str, ours: float, model: str) -> None:
    theirs = measured(row)
    note = f"log2 of our loss over theirs, so 1 is a factor of two; theirs {theirs:.3f}, ours {ours:.3f} of TAN"
    what = f"{LEVELLING[row][0]}: loss {model} against trial"
    check(what, MEASURED[row[:2]], 0.0, log2(ours / theirs), 1.0, unit="log2", note=note)


@pytest.mark.parametrize("row", [row for row in LEVELLING if row != "v1_plough"])
def test_levelling_curve_stays_within_two_of_trials(check: Check, row: str) -> None:
    """Cattle slurry of 6 % dry matter, 2.0 g/kg, 30 t/ha, 15 degC, 4 m/s; the abstracts give no weather."""
    _factor_of_two(check, row, LEVELLING[row][1], "by the curve that levels off")


@pytest.mark.parametrize("row", [row for row in POOLS if row != "v1_disc"])
def test_two_pools_stay_within_two_of_trials(check: Check, row: str) -> None:
    """Cattle slurry at the centre of the data, 168 h; the abstracts give no weather."""
    method, cover, delay = POOLS[row]
    ours = float(two_pools(method, cover=cover, delay_h=delay)[-1])
    _factor_of_two(check, row, ours, "by two pools")


@pytest.mark.xfail(
    reason="the plough's factor of 0.9 leaves 0.060 of TAN where the trials measured 0 to 0.03", strict=True
)
def test_levelling_curve_behind_the_plough() -> None:
    assert abs(log2(LEVELLING["v1_plough"][1] / measured("v1_plough"))) <= 1


@pytest.mark.xfail(
    reason="the set has one shallow covering for every tool: 0.177 of TAN where discs left 0.02 to 0.08", strict=True
)
def test_two_pools_behind_discs() -> None:
    method, cover, delay = POOLS["v1_disc"]
    assert abs(log2(float(two_pools(method, cover=cover, delay_h=delay)[-1]) / measured("v1_disc"))) <= 1


def test_two_pools_behind_plough_and_chisel(check: Check) -> None:
    """Thompson and Meisinger 2002 measured 0 to 3 % behind the plough and 8 to 12 % behind the chisel."""
    hose = {c: 100 * float(two_pools("trailing_hose", cover=c, delay_h=0.0)[-1]) for c in ("deep", "shallow")}
    note = "our slurry from a trailing hose; broadcast leaves more, see the rows within a factor of two"
    source = MEASURED["v1"]
    check("two pools: loss behind the plough at once", source, 1.5, hose["deep"], 1.5, unit="%", note=note)
    check("two pools: loss behind the chisel at once", source, 10.0, hose["shallow"], 2.0, unit="%", note=note)
