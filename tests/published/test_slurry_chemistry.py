"""Ammonia between ammonium, water and air, from 5 to 25 degC."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from spadework.reference import constants
from spadework.science.chemistry import (
    free_ammonia_share,
    gas_concentration,
    henry_clegg_brimblecombe,
    pka_bates_pinching,
    pka_emerson,
    pka_salt_shift,
    water_air_ratio,
    water_air_ratio_hales_drewes,
)

Check = Callable[..., None]

EMERSON = "Emerson and others 1975, formula worked by hand"
CLEGG = "Clegg and Brimblecombe 1989, abstract; formula worked by hand"
HALES = "Hales and Drewes 1979, recalled formula worked by hand"


@pytest.mark.parametrize(
    ("temperature_degc", "pka", "free_pct", "henry", "clegg", "hales"),
    [
        (5, 9.905, {7.0: 0.124, 7.5: 0.392, 8.0: 1.230, 8.5: 3.789}, 166.3, 3796, 4194),
        (10, 9.731, {7.0: 0.185, 7.5: 0.583, 8.0: 1.822, 8.5: 5.544}, 127.7, 2966, 3379),
        (15, 9.564, {7.0: 0.272, 7.5: 0.855, 8.0: 2.656, 8.5: 7.942}, 98.9, 2337, 2743),
        (20, 9.403, {7.0: 0.394, 7.5: 1.236, 8.0: 3.807, 8.5: 11.123}, 77.2, 1856, 2243),
        (25, 9.246, {7.0: 0.564, 7.5: 1.762, 8.0: 5.366, 8.5: 15.205}, 60.7, 1486, 1846),
    ],
)
def test_formulas_from_five_to_twentyfive_degrees(
    check: Check, temperature_degc: int, pka: float, free_pct: dict[float, float], henry: float, clegg: int, hales: int
) -> None:
    at = f"at {temperature_degc} degC"
    ours = pka_emerson(temperature_degc)
    check(f"pKa of ammonium {at}", EMERSON, pka, float(ours), 0.0005, unit="1", kind="computed")
    for ph, theirs in free_pct.items():
        free = 100 * float(free_ammonia_share(ph, ours))
        check(f"free ammonia {at}, pH {ph}", EMERSON, theirs, free, 0.0005, unit="%", kind="computed")
    solubility = henry_clegg_brimblecombe(temperature_degc)
    check(f"solubility of ammonia {at}", CLEGG, henry, float(solubility), 0.05, unit="mol/(kg atm)", kind="computed")
    ratio = float(water_air_ratio(solubility, temperature_degc))
    check(f"ammonia in water over air {at}", CLEGG, clegg, ratio, 0.5, unit="1", kind="computed")
    rival = float(water_air_ratio_hales_drewes(temperature_degc))
    check(f"ammonia in water over air {at}", HALES, hales, rival, 0.5, unit="1", kind="computed")


def test_two_formulas_for_the_pka_against_a_handbook_value(check: Check) -> None:
    source = "pKa of ammonium at 25 degC, 9.245, handbook value from memory"
    check("pKa after Emerson at 25 degC", source, 9.245, float(pka_emerson(25)), 0.002, unit="1", kind="memory")
    check("pKa after Bates and Pinching at 25 degC", source, 9.245, float(pka_bates_pinching(25)), 0.002, kind="memory")


@pytest.mark.parametrize(("temperature_degc", "theirs"), [(20, 3.82), (25, 5.38)])
def test_free_ammonia_against_the_printed_table(check: Check, temperature_degc: int, theirs: float) -> None:
    source = "Emerson and others 1975, table of free ammonia at pH 8.0, from memory"
    ours = 100 * float(free_ammonia_share(8.0, pka_emerson(temperature_degc)))
    note = "the authors take 0 degC as 273.2 K, which moves the share by 0.4 %; rest is half a printed digit"
    tolerance = 0.004 * theirs + 0.005
    check(
        f"free ammonia at pH 8, {temperature_degc} degC",
        source,
        theirs,
        ours,
        tolerance,
        unit="%",
        kind="memory",
        note=note,
    )


def test_two_prints_of_the_slope_differ_by_little(check: Check) -> None:
    k = constants("ammonia_chemistry")
    ours = (k.pka_slope_k - k.pka_slope_rival_k) / (25 + k.zero_celsius_k)
    check("pKa between two prints of the slope, 25 degC", EMERSON, 0.0067, ours, 0.00005, unit="1", kind="computed")


def test_solubility_against_a_compilation(check: Check) -> None:
    source = "compilation of Henry constants for ammonia at 25 degC, 61 mol/(L atm), from memory"
    check(
        "solubility at 25 degC",
        source,
        61,
        float(henry_clegg_brimblecombe(25)),
        0.5,
        unit="mol/(kg atm)",
        kind="memory",
    )


def test_salt_raises_the_pka_by_the_printed_slope(check: Check) -> None:
    source = "Khoo, Culberson and Bates 1977, abstract: (0.1552 - 0.0003142 t) I"
    check(
        "rise of pKa at 25 degC, I = 0.7",
        source,
        0.1031,
        float(pka_salt_shift(25, 0.7)),
        0.00005,
        unit="1",
        kind="computed",
    )


def test_air_over_slurry_obeys_the_gas_law(check: Check) -> None:
    """The same concentration by way of partial pressure: p = c f / K, c_gas = p / (R T)."""
    k = constants("ammonia_chemistry")
    free, henry = float(free_ammonia_share(7.5, pka_emerson(15))), float(henry_clegg_brimblecombe(15))
    pressure_atm = 2.0 / 14.007 * free / henry
    theirs = pressure_atm / (k.gas_constant_l_atm * 288.15) * 14.007
    ours = float(gas_concentration(2.0, free, water_air_ratio(henry, 15)))
    source = "ideal gas law, worked by way of partial pressure"
    check(
        "NH3-N in air over slurry of 2 kg TAN/m3", source, theirs * 1e6, ours * 1e6, 1e-6, unit="mg/m3", kind="computed"
    )
