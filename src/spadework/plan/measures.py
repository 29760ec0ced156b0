"""Quantities in a plan: text with its unit, checked against what can be, described for editors."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, core_schema

from spadework.quantities import Quantity, QuantityError, parse, show, units_that_do

__all__ = ["CURRENCY", "MOST_FLOW_M3_MIN", "MOST_FRESH_YIELD_T_HA", "Measure", "Quantity"]

CURRENCY = "EUR"
MOST_FLOW_M3_MIN = 20.0
"""More than any pump of a tanker or store moves."""
MOST_FRESH_YIELD_T_HA = 120.0
"""More than any maize brings, as it is weighed."""
_BY_THE_DAY = re.compile(r"\b(d|days?)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Measure:
    """What a quantity in a plan must be.

    Attributes
    ----------
    units : tuple of str
        The canonical units that would do; in prices ``EUR`` stands for the currency of the plan.
    low, high : float
        Smallest and largest possible value, in the canonical unit.
    above : bool
        True where `low` itself is impossible.
    substances : tuple of str
        The substances one of which the text must name; ``""`` among them where naming none is fine.
    example : str
        For messages and editors.
    exact : bool
        True for what is measured with a tape once: a spread is refused.
    """

    units: tuple[str, ...]
    low: float
    high: float
    example: str
    above: bool = False
    substances: tuple[str, ...] = ()
    exact: bool = False

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Read the text; pydantic reports what :meth:`read` raises."""
        return core_schema.with_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """Describe the text for an editor; ``units`` are those that would do, the plainest first."""
        units = list(dict.fromkeys(u for unit in self.units for u in units_that_do(unit)))
        units = [unit for unit in units if not (self._counts_work and _BY_THE_DAY.search(unit))]
        return {"type": "string", "examples": [self.example], "units": units}

    @property
    def _counts_work(self) -> bool:
        """True for hours of work: a day of 24 of them is never what is meant."""
        return any(unit in {f"{CURRENCY}/h", "h/year"} for unit in self.units)

    def read(self, raw: Any, info: ValidationInfo) -> Quantity:
        """Return the quantity, or raise ValueError with a message in trade words."""
        if isinstance(raw, Quantity):
            return raw
        currency = (info.context or {}).get("currency", CURRENCY)
        units = tuple(unit.replace(CURRENCY, currency) for unit in self.units)
        example = self.example.replace(CURRENCY, currency)
        if isinstance(raw, bool) or not isinstance(raw, (str, int, float)):
            raise ValueError(f'write it as text with its unit, e.g. "{example}"')
        if not isinstance(raw, str):
            raise ValueError(f'{f"{raw}"[:60]} has no unit; write it as text with one, e.g. "{example}"')
        money = any(unit.startswith(currency) for unit in units)
        try:
            quantity = parse(raw, *units, currency=currency if money else None, substances=self.substances)
        except QuantityError as error:
            raise ValueError(f"{error}") from None
        if self._counts_work and _BY_THE_DAY.search(raw):
            raise ValueError(f'"{raw}": a day of work has no fixed number of hours; say it in hours, e.g. "{example}"')
        if self.exact and quantity.kind != "exact":
            raise ValueError(f'"{raw}" has a spread; here one figure is needed, e.g. "{example}"')
        self._possible(quantity, example)
        return replace(quantity, least=self.low, most=self.high)

    def _possible(self, quantity: Quantity, example: str) -> None:
        below = quantity.low <= self.low if self.above else quantity.low < self.low
        if not (below or quantity.high > self.high):
            return
        edge = "above" if self.above else "from"
        high = "" if self.high == float("inf") else f" to {show(self.high, quantity.unit)}"
        reach = ""
        if quantity.kind != "exact":
            reach = f"; it reaches from {show(quantity.low, '')} to {show(quantity.high, quantity.unit)}"
        raise ValueError(
            f'"{quantity.text}" cannot be{reach}; allowed: {edge} {show(self.low, quantity.unit)}{high}, '
            f'e.g. "{example}"'
        )


def _measure(*units: str, low: float = 0.0, high: float, example: str, **more: Any) -> Measure:
    return Measure(units, low, high, example, **more)


Area = Annotated[Quantity, _measure("ha", high=10_000, example="6.4 ha", above=True)]
FieldLength = Annotated[Quantity, _measure("m", low=20, high=5_000, example="310 m")]
Distance = Annotated[Quantity, _measure("km", high=100, example="1.8 km")]
BufferDistance = Annotated[Quantity, _measure("m", high=100_000, example="60 m")]
Share = Annotated[Quantity, _measure("%", high=100, example="5 %")]
ShapeShare = Annotated[Quantity, _measure("%", low=30, high=100, example="85 %")]
Headland = Annotated[Quantity, _measure("m", high=60, example="12 m")]
Slope = Annotated[Quantity, _measure("%", high=40, example="1 %")]
SideSlope = Annotated[Quantity, _measure("%", high=40, example="1 to 5 %")]
BulkDensity = Annotated[Quantity, _measure("t/m3", low=0.6, high=2.2, example="1.40 t/m3")]
PlasticLimit = Annotated[Quantity, _measure("%", low=5, high=80, example="21 %")]
FitMoisture = Annotated[Quantity, _measure("%", low=30, high=150, example="80 %")]
Width = Annotated[Quantity, _measure("m", low=0.2, high=60, example="3 m", exact=True)]
RowSpacing = Annotated[Quantity, _measure("cm", low=20, high=200, example="75 cm", exact=True)]
WorkDepth = Annotated[Quantity, _measure("cm", low=1, high=80, example="22 cm")]
SeedDepth = Annotated[Quantity, _measure("cm", low=1, high=12, example="5 +/- 0.5 cm")]
BandDistance = Annotated[Quantity, _measure("cm", high=40, example="5 cm", exact=True)]
Sideways = Annotated[Quantity, _measure("cm", high=15, example="2.5 cm")]
Shift = Annotated[Quantity, _measure("cm", low=-40, high=40, example="0 cm")]
Tow = Annotated[Quantity, _measure("m", high=20, example="6 m")]
Harmless = Annotated[Quantity, _measure("cm", high=60, example="9.5 cm", above=True)]
TopScatter = Annotated[Quantity, _measure("cm", high=10, example="1.5 cm")]
Wait = Annotated[Quantity, _measure("day", high=120, example="5 day")]
SoilTemperature = Annotated[Quantity, _measure("degC", high=40, example="11 +/- 1 degC")]
Overlap = Annotated[Quantity, _measure("cm", high=200, example="10 cm")]
ToolWidth = Annotated[Quantity, _measure("cm", low=2, high=60, example="4 cm")]
Speed = Annotated[Quantity, _measure("km/h", low=0.5, high=30, example="7 km/h")]
RoadSpeed = Annotated[Quantity, _measure("km/h", low=5, high=80, example="25 km/h")]
Hours = Annotated[Quantity, _measure("h", high=240, example="1 h")]
Seconds = Annotated[Quantity, _measure("s", low=3, high=300, example="18 s")]
Days = Annotated[Quantity, _measure("day", low=1, high=120, example="21 day", exact=True)]
WorkDay = Annotated[Quantity, _measure("h", low=1, high=24, example="9 h")]
Minutes = Annotated[Quantity, _measure("min", high=240, example="6 min")]
Power = Annotated[Quantity, _measure("kW", low=5, high=1_000, example="120 kW")]
Mass = Annotated[Quantity, _measure("t", low=0.2, high=80, example="9 t")]
TractorMass = Annotated[Quantity, _measure("t", low=1, high=40, example="8.5 t")]
Force = Annotated[Quantity, _measure("kN", low=0.1, high=400, example="46 +/- 4 kN")]
Tank = Annotated[Quantity, _measure("m3", low=0.5, high=60, example="18 m3")]
PumpFlow = Annotated[Quantity, _measure("m3/min", low=0.1, high=MOST_FLOW_M3_MIN, example="4.5 m3/min")]
Container = Annotated[Quantity, _measure("m3", low=5, high=500, example="60 m3")]
HoseFlow = Annotated[Quantity, _measure("m3/h", low=5, high=400, example="110 m3/h")]
HoseLength = Annotated[Quantity, _measure("m", low=20, high=3_000, example="300 m")]
MeasuredFuel = Annotated[Quantity, _measure("L/ha", "L/h", low=0.1, high=200, example="17.5 L/ha")]
Dose = Annotated[Quantity, _measure("m3/ha", "t/ha", low=1, high=150, example="30 t/ha")]
SlurryDensity = Annotated[Quantity, _measure("t/m3", low=0.9, high=1.15, example="1.02 t/m3")]
DryMatter = Annotated[Quantity, _measure("%", low=0.1, high=25, example="6.5 +/- 0.4 %")]
CropDryMatter = Annotated[Quantity, _measure("%", low=15, high=95, example="33 %")]
NitrogenContent = Annotated[Quantity, _measure("kg/m3", "kg/t", high=100, example="3.6 kg N/m3", substances=("", "N"))]
AmmoniacalContent = Annotated[
    Quantity, _measure("kg/m3", "kg/t", high=100, example="1.9 kg NH4-N/m3", substances=("", "N", "NH4-N", "NH4"))
]
PhosphorusContent = Annotated[
    Quantity, _measure("kg/m3", "kg/t", high=100, example="1.4 kg P2O5/m3", substances=("P2O5", "P"))
]
PotassiumContent = Annotated[
    Quantity, _measure("kg/m3", "kg/t", high=150, example="3.2 kg K2O/m3", substances=("K2O", "K"))
]
Population = Annotated[Quantity, _measure("seeds/ha", low=10_000, high=250_000, example="95000 seeds/ha")]
DryYield = Annotated[Quantity, _measure("t/ha", high=40, example="16 t/ha", above=True)]
NitrogenRate = Annotated[Quantity, _measure("kg/ha", high=500, example="150 kg N/ha", substances=("", "N"))]
LimitAtMost = Annotated[
    Quantity, _measure("kg/ha", "%", high=500, example="170 kg N/ha", substances=("", "N", "NH4-N", "P2O5", "P"))
]
PhosphateRate = Annotated[Quantity, _measure("kg/ha", high=500, example="60 kg P2O5/ha", substances=("P2O5",))]
PotashRate = Annotated[Quantity, _measure("kg/ha", high=800, example="180 kg K2O/ha", substances=("K2O",))]
ProductRate = Annotated[Quantity, _measure("kg/ha", high=1_000, example="100 kg/ha")]
FreshYield = Annotated[
    Quantity, _measure("t/ha", high=MOST_FRESH_YIELD_T_HA, example="48 t/ha", above=True, exact=True)
]
Temperature = Annotated[Quantity, _measure("degC", low=-20, high=50, example="12 degC")]
Wind = Annotated[Quantity, _measure("m/s", high=40, example="3 m/s")]
Height = Annotated[Quantity, _measure("m", low=0.5, high=100, example="2 m")]
Altitude = Annotated[Quantity, _measure("m", low=-400, high=5_000, example="250 m", exact=True)]
Money = Annotated[Quantity, _measure("EUR", high=3_000_000, example="28000 EUR")]
PerHour = Annotated[Quantity, _measure("EUR/h", high=2_000, example="24 EUR/h")]
PerHectare = Annotated[Quantity, _measure("EUR/ha", high=5_000, example="60 EUR/ha")]
ContractRate = Annotated[Quantity, _measure("EUR/ha", "EUR/h", "EUR/m3", high=5_000, example="92 EUR/ha", above=True)]
PerTonne = Annotated[Quantity, _measure("EUR/t", high=5_000, example="140 EUR/t")]
PerLitre = Annotated[Quantity, _measure("EUR/L", high=100, example="1.15 +/- 0.10 EUR/L")]
NitrogenPrice = Annotated[Quantity, _measure("EUR/kg", high=200, example="1.10 EUR/kg N", substances=("", "N"))]
PhosphatePrice = Annotated[Quantity, _measure("EUR/kg", high=200, example="1.00 EUR/kg P2O5", substances=("", "P2O5"))]
PotashPrice = Annotated[Quantity, _measure("EUR/kg", high=200, example="0.80 EUR/kg K2O", substances=("", "K2O"))]
PerVolume = Annotated[Quantity, _measure("EUR/m3", "EUR/t", low=-200, high=500, example="1.80 EUR/m3")]
Years = Annotated[Quantity, _measure("year", low=1, high=40, example="10 year")]
HoursPerYear = Annotated[Quantity, _measure("h/year", low=1, high=6_000, example="400 h/year")]
