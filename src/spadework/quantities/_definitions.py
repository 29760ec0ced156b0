"""The units that the trade writes, each with our own definition.

Every factor is exact by definition: the international yard and pound (1959), the US and the imperial gallon, the
standard fall of 9.80665 m/s2, the mechanical horsepower of 550 foot-pounds-force and the metric one of 75
kilogram-force-metres per second, the nautical mile of 1852 m.

Length, area and volume are three dimensions here, so that 30 m3/ha is a dose and never a depth of 3 mm.  The year
stands apart from the day, since a year of machine use is not a number of days, and plants from seeds, since not every
seed comes up.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from typing import Final

__all__ = ["ASKED", "CURRENCIES", "GROUPS", "LENGTHS", "MASSES", "NAMES", "SUBSTANCES", "definitions", "unit_id"]

LENGTHS: Final[Mapping[str, str]] = {
    "m": "1",
    "km": "1000",
    "dm": "0.1",
    "cm": "0.01",
    "mm": "0.001",
    "in": "0.0254",
    "ft": "0.3048",
    "yd": "0.9144",
    "mi": "1609.344",
}
_POUND: Final = "0.45359237"
MASSES: Final[Mapping[str, str]] = {
    "kg": "1",
    "g": "0.001",
    "mg": "0.000001",
    "t": "1000",
    "dt": "100",
    "lb": _POUND,
    "US ton": f"2000*{_POUND}",
    "long ton": f"2240*{_POUND}",
}

# name | definition | other spellings
_REST: Final = """
ha | 10000*m2 | hectare, hectares
ac | 4046.8564224*m2 | acre, acres
L | 0.001*m3 | l, litre, litres, liter, liters
mL | 0.000001*m3 | ml
hL | 0.1*m3 | hl
US gal | 0.003785411784*m3 | US gallon, US gallons, U.S. gal
imp gal | 0.00454609*m3 | imp. gal, imp gallon, imp gallons, imperial gal, imperial gallon, imperial gallons, UK gal
s | [time] | sec, second, seconds
min | 60*s | minute, minutes
h | 3600*s | hr, hrs, hour, hours
day | 86400*s | days, d
week | 604800*s | weeks
year | [year] | years, yr, yrs
mph | 1609.344/3600*m/s |
knot | 1852/3600*m/s | knots, kt
N | kg*m/s**2 | newton
kN | 1000*N |
lbf | 0.45359237*9.80665*N |
Pa | N/m2 |
hPa | 100*Pa |
kPa | 1000*Pa |
MPa | 1000000*Pa |
mbar | 100*Pa |
bar | 100000*Pa |
psi | 0.45359237*9.80665/0.0254**2*Pa |
J | N*m |
kJ | 1000*J |
MJ | 1000000*J |
GJ | 1000000000*J |
Wh | 3600*J |
kWh | 3600000*J |
MWh | 3600000000*J |
W | J/s |
kW | 1000*W |
MW | 1000000*W |
PS | 75*9.80665*W | CV, metric hp
mech hp | 550*0.3048*0.45359237*9.80665*W | mechanical hp
K | [temperature] | kelvin
degC | K; offset: 273.15 | °C
degF | 5/9*K; offset: 459.67*5/9 | °F
mS | [conductance] |
dS | 100*mS |
plants | [plants] | plant
seeds | [seeds] | seed
% | 0.01 | percent, pct
‰ | 0.001 | permille
"""
_OTHER_SPELLINGS: Final[Mapping[str, str]] = {
    "m": "metre, metres, meter, meters",
    "km": "kilometre, kilometres, kilometer, kilometers",
    "in": "inch, inches",
    "ft": "foot, feet",
    "yd": "yard, yards",
    "mi": "mile, miles",
    "kg": "kilogram, kilograms",
    "g": "gram, grams",
    "t": "tonne, tonnes, metric ton, metric tons",
    "lb": "lbs, pound, pounds",
    "US ton": "US tons, short ton, short tons",
    "long ton": "long tons",
}

ASKED: Final[Mapping[str, str]] = {
    "gal": "US gal or imp gal? They differ by a fifth",
    "gallon": "US gal or imp gal? They differ by a fifth",
    "gallons": "US gal or imp gal? They differ by a fifth",
    "ton": "t (1000 kg), US ton (2000 lb) or long ton (2240 lb)?",
    "tons": "t (1000 kg), US ton (2000 lb) or long ton (2240 lb)?",
    "hp": "kW, mech hp (550 ft lbf/s) or PS (metric)?",
    "HP": "kW, mech hp (550 ft lbf/s) or PS (metric)?",
    "C": "degC (or °C) for a temperature?",
    "F": "degF (or °F) for a temperature?",
    "°": "degC (or °C), or degF (or °F)?",
    "deg": "degC (or °C), or degF (or °F)?",
    "T": "t for tonnes? (capital T is no unit of mass)",
    "M": "m for metres? (capital M is no unit of length)",
    "$": "which dollar? Write its code, as USD, CAD, AUD or NZD",
    "£": "which pound? Write its code, as GBP",
    "ct": "of which currency? Write 0.12 EUR for 12 cents",
    "cent": "of which currency? Write 0.12 EUR for 12 cents",
    "cents": "of which currency? Write 0.12 EUR for 12 cents",
    "bu": "a bushel weighs differently for each crop; write kg, t or lb",
    "bushel": "a bushel weighs differently for each crop; write kg, t or lb",
    "bushels": "a bushel weighs differently for each crop; write kg, t or lb",
    "ppm": "by mass or by volume? Write mg/kg or mg/L",
    "kph": "km/h?",
    "kmh": "km/h?",
    '"': "in for inches, or s for seconds?",
    "'": "ft for feet, or min for minutes?",
}

SUBSTANCES: Final[Mapping[str, str]] = {
    **{
        name: name
        for name in (
            *("N", "NH4-N", "NH4", "NH3-N", "NH3", "NO3-N", "NO3", "N2O-N", "N2O"),
            *("P", "P2O5", "K", "K2O", "Mg", "MgO", "Ca", "CaO", "S", "SO3", "C", "CO2", "CO2e", "CH4", "DM", "FM"),
        )
    },
    "N-NH4": "NH4-N",
    "NH4N": "NH4-N",
    "TAN": "NH4-N",
    "N-NH3": "NH3-N",
    "N-NO3": "NO3-N",
}
"""What a mass can be a mass of, by spelling.  DM is dry matter, FM fresh matter."""

_CODES: Final = """
    AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CLP CNY
    COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GNF GTQ GYD HKD HNL HTG HUF IDR ILS
    INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA MKD MMK MNT MOP
    MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD RUB RWF SAR SBD SCR
    SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH UGX USD UYU UZS VES VND VUV
    WST XAF XCD XOF XPF YER ZAR ZMW ZWG
"""
CURRENCIES: Final = frozenset(_CODES.split())
"""Currency codes of ISO 4217 in use, from memory."""

GROUPS: Final[tuple[tuple[str, tuple[str, ...]], ...]] = (
    ("a length", ("cm", "mm", "m", "km", "in", "ft", "yd", "mi")),
    ("an area", ("ha", "m2", "ac", "km2")),
    ("a volume", ("m3", "L", "mL", "US gal", "imp gal")),
    ("a mass", ("t", "kg", "g", "dt", "lb", "US ton", "long ton")),
    ("a time", ("h", "min", "s", "day")),
    ("a number of years", ("year",)),
    ("a speed", ("km/h", "m/s", "mph", "knot")),
    ("a power", ("kW", "PS", "mech hp", "W")),
    ("a pressure", ("kPa", "bar", "MPa", "psi")),
    ("a force", ("kN", "N", "lbf")),
    ("an energy", ("MJ", "kWh")),
    ("a share", ("%", "g/kg", "mg/kg", "kg/t", "lb/US ton")),
    ("a mass per volume", ("kg/m3", "t/m3", "kg/L", "g/cm3", "lb/1000 US gal")),
    ("a mass per area", ("t/ha", "kg/ha", "lb/ac", "US ton/ac")),
    ("a volume per area", ("m3/ha", "L/ha", "US gal/ac", "imp gal/ac")),
    ("a volume per length", ("L/m", "mL/m", "US gal/ft")),
    ("a volume per mass", ("L/t", "m3/t", "US gal/US ton")),
    ("a mass per length", ("kg/m", "g/m", "lb/ft")),
    ("a time per area", ("h/ha", "min/ha", "h/ac")),
    ("an area per time", ("ha/h", "ac/h")),
    ("a volume per time", ("m3/min", "m3/h", "L/h", "L/min", "US gal/min", "US gal/h")),
    ("a mass per time", ("t/h", "kg/h", "lb/h")),
    ("a time per year", ("h/year", "day/year")),
    ("an area per year", ("ha/year", "ac/year")),
    ("a mass per area and year", ("kg/ha/year", "lb/ac/year")),
    ("a volume per area and year", ("m3/ha/year", "US gal/ac/year")),
    ("a share per year", ("%/year",)),
    ("plants per area", ("plants/ha", "plants/m2", "plants/ac")),
    ("seeds per area", ("seeds/ha", "seeds/m2", "seeds/ac")),
    ("plants per length", ("plants/m", "plants/ft")),
    ("seeds per length", ("seeds/m", "seeds/ft")),
    ("a number of plants", ("plants",)),
    ("a number of seeds", ("seeds",)),
    ("a temperature", ("degC", "degF")),
    ("a difference of temperatures", ("K",)),
    ("a sum of temperatures over time", ("degC day", "degC h", "degF day")),
    ("a radiation", ("W/m2", "MJ/m2/day")),
    ("an energy per area", ("MJ/m2", "MJ/ha", "kWh/ha")),
    ("a power per width", ("kW/m", "mech hp/ft")),
    ("a force per width", ("kN/m", "lbf/ft")),
    ("an electrical conductivity", ("mS/cm", "dS/m")),
    ("a depth per time", ("mm/h", "mm/day", "in/h")),
    ("a fuel use per energy", ("L/kWh", "US gal/kWh")),
    ("a mass per energy", ("g/kWh", "kg/kWh")),
    ("money", ("EUR",)),
    ("money per area", ("EUR/ha", "EUR/ac")),
    ("money per time", ("EUR/h", "EUR/day")),
    ("money per year", ("EUR/year",)),
    ("money per area and year", ("EUR/ha/year", "EUR/ac/year")),
    ("money per volume", ("EUR/L", "EUR/m3", "EUR/US gal", "EUR/1000 US gal")),
    ("money per mass", ("EUR/kg", "EUR/t", "EUR/dt", "EUR/lb", "EUR/US ton")),
    ("money per energy", ("EUR/kWh", "EUR/MJ")),
    ("money per length", ("EUR/m", "EUR/km", "EUR/ft")),
    ("money per number of seeds", ("EUR/1000 seeds",)),
)
"""Kinds of quantity: in words, and the units to name in messages, the commonest first."""


def unit_id(name: str) -> str:
    """Return the name by which the unit algebra knows a unit.

    Examples
    --------
    >>> unit_id("US gal")
    'US_gal'
    """
    return {"%": "percent_", "‰": "permille_"}.get(name, name.replace(" ", "_"))


def _lines() -> list[tuple[str, str, str]]:
    lines = [(name, "[length]" if name == "m" else f"{metres}*m", "") for name, metres in LENGTHS.items()]
    for power, dimension in ((2, "area"), (3, "volume")):
        for name, metres in LENGTHS.items():
            size = Fraction(metres) ** power
            said = f"[{dimension}]" if name == "m" else f"{size.numerator}/{size.denominator}*m{power}"
            lines.append((f"{name}{power}", said, ""))
    lines += [(name, "[mass]" if name == "kg" else f"{kilograms}*kg", "") for name, kilograms in MASSES.items()]
    for line in _REST.strip().splitlines():
        name, said, others = (part.strip() for part in line.split("|"))
        lines.append((name, said, others))
    return [(name, said, others or _OTHER_SPELLINGS.get(name, "")) for name, said, others in lines]


@cache
def definitions() -> dict[str, str]:
    """Return the definition of every unit by the name that the unit algebra knows it by."""
    return {unit_id(name): said for name, said, _ in _lines()}


NAMES: Final[Mapping[str, str]] = {
    spelling: name for name, _, others in _lines() for spelling in (name, *(others.split(", ") if others else ()))
}
"""The name of a unit by each of its spellings."""
