"""Conversion factors against the exact definitions of the units and against printed tables of factors."""

from __future__ import annotations

import pytest

from conftest import Check
from spadework.quantities import QuantityError, as_substance, convert, parse
from spadework.reference import constants

YARD_AND_POUND = "International yard and pound agreement 1959; NIST SP 811 appendix B"
GALLONS = (
    "US gallon of 231 cubic inches, imperial gallon of the UK Weights and Measures Act 1985; NIST SP 811 appendix B"
)

# unit, unit it is carried into, factor by definition, source; exact, so the tolerance is that of a float
EXACT = [
    ("lb", "kg", 0.45359237, YARD_AND_POUND),
    ("ft", "m", 0.3048, YARD_AND_POUND),
    ("in", "mm", 25.4, YARD_AND_POUND),
    ("yd", "m", 0.9144, YARD_AND_POUND),
    ("mi", "m", 1609.344, YARD_AND_POUND),
    ("ac", "m2", 4046.8564224, YARD_AND_POUND + " (4840 square yards)"),
    ("US ton", "t", 0.90718474, YARD_AND_POUND + " (2000 lb)"),
    ("long ton", "t", 1.0160469088, YARD_AND_POUND + " (2240 lb)"),
    ("US gal", "L", 3.785411784, GALLONS),
    ("imp gal", "L", 4.54609, GALLONS),
    ("mph", "m/s", 0.44704, YARD_AND_POUND),
    ("PS", "kW", 0.73549875, "75 kgf m/s with the standard fall of 9.80665 m/s2; NIST SP 811 appendix B"),
    ("bar", "kPa", 100.0, "NIST SP 811 table 9"),
    ("kg/t", "lb/US ton", 2.0, YARD_AND_POUND),
    ("US gal/h", "L/h", 3.785411784, GALLONS),
    ("g/kg", "%", 0.1, "SI, by definition"),
    ("dt/ha", "t/ha", 0.1, "SI, by definition"),
    ("mS/cm", "dS/m", 1.0, "SI, by definition"),
]

# unit, unit it is carried into, printed factor, half a unit of its last digit
PRINTED = [
    ("kg/ha", "lb/ac", 0.892179122, 5e-10),
    ("lb/ac", "kg/ha", 1.120851156, 5e-10),
    ("t/ha", "US ton/ac", 0.446089561, 5e-10),
    ("US ton/ac", "t/ha", 2.241702312, 5e-10),
    ("t/ha", "long ton/ac", 0.398294251, 5e-10),
    ("long ton/ac", "t/ha", 2.510706590, 5e-10),
    ("L/ha", "US gal/ac", 0.106906637, 5e-10),
    ("US gal/ac", "L/ha", 9.353956229, 5e-10),
    ("L/ha", "imp gal/ac", 0.089018397, 5e-10),
    ("imp gal/ac", "L/ha", 11.233633036, 5e-10),
    ("m3/ha", "US gal/ac", 106.906636670, 5e-10),
    ("US gal/ac", "m3/ha", 0.009353956, 5e-10),
    ("m3/ha", "imp gal/ac", 89.018396521, 5e-10),
    ("imp gal/ac", "m3/ha", 0.011233633, 5e-10),
    ("kg/m3", "lb/1000 US gal", 8.345404452, 5e-10),
    ("lb/1000 US gal", "kg/m3", 0.119826427, 5e-10),
    ("kg/m3", "lb/1000 imp gal", 10.022412855, 5e-10),
    ("lb/1000 imp gal", "kg/m3", 0.099776373, 5e-10),
    ("ha", "ac", 2.471053815, 5e-10),
    ("ac", "ha", 0.404685642, 5e-10),
    ("ha/h", "ac/h", 2.471053815, 5e-10),
    ("EUR/ha", "EUR/ac", 0.404685642, 5e-10),
    ("EUR/ac", "EUR/ha", 2.471053815, 5e-10),
    ("km/h", "mph", 0.621371192, 5e-10),
    ("mph", "km/h", 1.609344, 5e-7),
    ("m/s", "knot", 1.943844492, 5e-10),
    ("m/s", "mph", 2.236936292, 5e-10),
    ("kW", "mech hp", 1.341022090, 5e-10),
    ("mech hp", "kW", 0.745699872, 5e-10),
    ("kW", "PS", 1.359621617, 5e-10),
    ("psi", "kPa", 6.894757293, 5e-10),
    ("kN", "lbf", 224.808943, 5e-7),
    ("lbf", "kN", 0.0044482216, 5e-11),
    ("plants/ac", "plants/m2", 0.000247105381, 5e-13),
    ("plants/m2", "plants/ac", 4046.8564224, 5e-8),
    ("L/h", "US gal/h", 0.264172052, 5e-10),
    ("MJ/m2/day", "W/m2", 11.574074, 5e-7),
    ("W/m2", "MJ/m2/day", 0.0864, 5e-5),
]

# element, compound, factor and its inverse, worked out on paper from the atomic weights
COMPOUNDS = [
    ("P", "P2O5", 2.29133, 0.43643),
    ("K", "K2O", 1.20460, 0.83015),
    ("Mg", "MgO", 1.65826, 0.60304),
    ("Ca", "CaO", 1.39920, 0.71470),
    ("S", "SO3", 2.49710, 0.40046),
    ("NH4-N", "NH4", 1.28786, 0.77648),
    ("NH3-N", "NH3", 1.21589, 0.82244),
    ("NO3-N", "NO3", 4.42664, 0.22590),
    ("N2O-N", "N2O", 1.57111, 0.63649),
]


@pytest.mark.parametrize(("unit", "into", "factor", "source"), EXACT)
def test_factors_that_are_exact_by_definition(check: Check, unit: str, into: str, factor: float, source: str) -> None:
    ours = parse(f"1 {unit}", into).value
    check(f"1 {unit} in {into}", source, factor, ours, factor * 1e-15, unit=into, kind="memory")


@pytest.mark.parametrize(("unit", "into", "factor", "tolerance"), PRINTED)
def test_factors_worked_out_from_the_definitions(
    check: Check, unit: str, into: str, factor: float, tolerance: float
) -> None:
    source = "worked out separately from the exact definitions (yard and pound 1959, gallons, standard fall)"
    ours = convert(parse(f"1 {unit}", unit), into).value
    check(f"1 {unit} in {into}", source, factor, ours, tolerance, unit=into, kind="computed")


def test_knot_is_1852_metres_an_hour(check: Check) -> None:
    ours = parse("1 knot", "m/s").value
    check("1 knot in m/s", "International nautical mile 1929", 1852 / 3600, ours, 1e-15, unit="m/s", kind="memory")


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(32, 0), (212, 100), (-40, -40), (50, 10)])
def test_fixed_points_of_the_fahrenheit_scale(check: Check, fahrenheit: int, celsius: int) -> None:
    ours = parse(f"{fahrenheit} °F", "degC").value
    source = "NIST SP 811 appendix B.8: t/°C = (t/°F - 32) / 1.8"
    check(f"{fahrenheit} °F in °C", source, celsius, ours, 1e-12, unit="degC", kind="memory")


@pytest.mark.parametrize(("element", "compound", "factor", "inverse"), COMPOUNDS)
def test_compounds_from_atomic_weights(
    check: Check, element: str, compound: str, factor: float, inverse: float
) -> None:
    source = "worked out separately from the standard atomic weights (IUPAC)"
    exact = constants("chemistry")
    there = as_substance(parse(f"1 kg {element}/m3", "kg/m3", substances=(element,)), compound, exact)
    back = as_substance(parse(f"1 kg {compound}/m3", "kg/m3", substances=(compound,)), element, exact)
    check(f"{element} to {compound}", source, factor, there.value, 5e-6, kind="computed")
    check(f"{compound} to {element}", source, inverse, back.value, 5e-6, kind="computed")


def test_factors_of_the_table_follow_from_its_weights(check: Check) -> None:
    c = constants("chemistry")
    theirs = {
        "p2o5_per_p": (2 * c.weight_p + 5 * c.weight_o) / (2 * c.weight_p),
        "k2o_per_k": (2 * c.weight_k + c.weight_o) / (2 * c.weight_k),
        "mgo_per_mg": (c.weight_mg + c.weight_o) / c.weight_mg,
        "cao_per_ca": (c.weight_ca + c.weight_o) / c.weight_ca,
        "so3_per_s": (c.weight_s + 3 * c.weight_o) / c.weight_s,
        "nh4_per_nh4_n": (c.weight_n + 4 * c.weight_h) / c.weight_n,
        "nh3_per_nh3_n": (c.weight_n + 3 * c.weight_h) / c.weight_n,
        "no3_per_no3_n": (c.weight_n + 3 * c.weight_o) / c.weight_n,
        "n2o_per_n2o_n": (2 * c.weight_n + c.weight_o) / (2 * c.weight_n),
        "co2_per_c": (c.weight_c + 2 * c.weight_o) / c.weight_c,
    }
    assert set(theirs) == {key for key in c if not key.startswith("weight_")}
    for key, value in theirs.items():
        check(key.replace("_", " "), "the formula of the compound", value, c[key].value, 5e-10, kind="computed")


def test_p2o5_factor_of_the_trade(check: Check) -> None:
    exact = constants("chemistry").p2o5_per_p
    check("P to P2O5 as the trade prints it", "Common practice, no source", 2.291, exact, 5e-4, kind="practice")


def test_gallons_differ_by_a_fifth_and_are_never_guessed(check: Check) -> None:
    ours = parse("1 imp gal", "L").value / parse("1 US gal", "L").value
    check("imperial gallon in US gallons", GALLONS, 1.20095, ours, 5e-6, kind="memory")
    for unit in ("gal", "ton", "hp"):
        with pytest.raises(QuantityError, match="not clear"):
            parse(f"1 {unit}", "L", "kg", "kW")
