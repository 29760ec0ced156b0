"""The plan: a comparison as a person writes it in TOML.

Every quantity is text with its unit.  The models here say what may stand in the file and what each thing is; what must
agree between parts of the file is checked in :mod:`spadework.plan.agreement`.
"""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, StringConstraints
from pydantic import Field as Key

from spadework.plan import measures as m
from spadework.plan.kinds import MACHINE_KINDS, SLURRY_KINDS, TEXTURES, Kind
from spadework.quantities import QuantityError, units_that_do

__all__ = [
    "Crop",
    "Field",
    "Limit",
    "Machine",
    "Pass",
    "Plan",
    "Prices",
    "Slurry",
    "System",
    "Tractor",
    "Weather",
    "json_schema",
]


def _one_line(text: str) -> str:
    """Return a text with single spaces; refuse characters that a screen or print cannot show."""
    text = " ".join(text.split())
    if not text.isprintable():
        code = next(ord(character) for character in text if not character.isprintable())
        raise ValueError(f"holds a character that cannot be printed (number {code}); write it again by hand")
    return text


def _known_currency(code: str) -> str:
    try:
        units_that_do(code)
    except QuantityError:
        raise ValueError(f'"{code}" is no currency in use; write its three letters, e.g. "EUR"') from None
    return code


Name = Annotated[str, StringConstraints(min_length=1, max_length=60), AfterValidator(_one_line)]
Sentence = Annotated[str, StringConstraints(max_length=400), AfterValidator(_one_line)]
WeatherFile = Annotated[str, StringConstraints(min_length=1, max_length=200), AfterValidator(_one_line)]
Currency = Annotated[str, StringConstraints(pattern="^[A-Z]{3}$"), AfterValidator(_known_currency)]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, str_strip_whitespace=True, strict=True, allow_inf_nan=False)


class Field(_Part):
    """The host field and its soil on the day."""

    name: Name = Key(description="What the host calls the field")
    area: m.Area
    length: m.FieldLength = Key(description="Length of the field in the working direction")
    slope: m.Slope = Key(description="Steepest slope in the working direction")
    texture: Annotated[str, Kind("soil texture", TEXTURES)]
    bulk_density: m.BulkDensity = Key(description="Dry bulk density of the tilled layer, before tillage")
    stones: m.Share = Key(description="Stones, share of the soil volume")
    moisture: m.Share = Key(description="Water in the tilled layer on the day, share of the soil volume")
    surface: Literal["hard", "firm", "tilled", "soft"] = Key(description="What the wheels run on")
    residue: Literal["tough", "fragile"] = Key(
        description="tough: maize, cereals, sorghum; fragile: beans, rape, beet, potatoes, silage-maize leaf trash"
    )
    residue_cover: m.Share = Key(description="Share of the ground covered by residue before the first pass")
    store_distance: m.Distance = Key(description="Road from slurry store to field")
    water_distance: m.BufferDistance = Key(description="Nearest open water, spring or well")


class Crop(_Part):
    """The crop to be established."""

    kind: Literal["silage maize", "grain maize"] = "silage maize"
    row_spacing: m.RowSpacing
    seed_depth: m.SeedDepth = Key(description="Under the press-wheel track")
    population: m.Population
    expected_yield: m.DryYield = Key(
        description="Dry matter; the same for all systems: an estimate cannot tell them apart"
    )
    dry_matter: m.CropDryMatter = Key(description="Dry matter of the harvested crop")
    n_need: m.NitrogenRate = Key(description="Nitrogen the crop still needs, after soil and earlier manure")


class Slurry(_Part):
    """The slurry as analysed, and how much of it goes on."""

    kind: Annotated[str, Kind("kind of slurry", SLURRY_KINDS)]
    dose: m.Dose
    density: m.SlurryDensity
    basis: Literal["fresh", "dry"] = Key(
        "fresh", description="What the contents below refer to: fresh slurry or its dry matter"
    )
    dry_matter: m.DryMatter
    total_n: m.NitrogenContent
    ammoniacal_n: m.AmmoniacalContent = Key(description="From the laboratory; never computed from dry matter")
    phosphorus: m.PhosphorusContent
    potassium: m.PotassiumContent
    ph: Annotated[float, Key(ge=4.5, le=10)]
    analysed: dt.date | None = Key(None, description="Date of the analysis")
    price: m.PerVolume = Key(description="What the slurry itself costs; negative where it is paid for being taken")
    delivery: m.PerVolume = Key(description="Bringing it from the store to the field, the same for all systems")
    inhibitor: bool = Key(False, description="True where a nitrification inhibitor is mixed in")


class Weather(_Part):
    """Typical hour of spreading, or a file of hours."""

    air_temperature: m.Temperature | None = None
    wind: m.Wind | None = None
    wind_height: m.Height | None = None
    file: WeatherFile | None = Key(
        None, description="Hourly CSV beside the plan: time, air_temperature_degc, wind_m_s, ..."
    )
    start: dt.datetime | None = Key(None, description="First hour of spreading, with time zone")
    hours: int | None = Key(None, ge=1, le=240, description="How many hours from the first")


class Prices(_Part):
    """Prices, all in one currency, of one date, with or without tax."""

    date: dt.date
    currency: Currency = "EUR"
    tax: Literal["without", "with"] = Key(description="Whether the prices are without or with value-added tax")
    diesel: m.PerLitre
    labour: m.PerHour
    nitrogen: m.NitrogenPrice = Key(description="Bought mineral nitrogen, per kg N")
    interest: m.Share


class Limit(_Part):
    """A limit that the user looked up; the tool holds the plan against it and clears nothing."""

    of: Literal[
        "total N from slurry",
        "ammoniacal N from slurry",
        "phosphate from slurry",
        "available N from slurry",
        "distance to water",
    ]
    at_most: m.LimitRate | None = None
    at_least: m.BufferDistance | None = None
    source: Sentence
    date: dt.date


class Tractor(_Part):
    """A tractor with its price."""

    name: Name
    power: m.Power | None = Key(None, description="Rated power at the power take-off")
    engine_power: m.Power | None = Key(
        None, description="Rated power of the engine, where that at the take-off is unknown"
    )
    drive: Literal["two wheel drive", "front wheel assist", "four wheel drive", "tracks"] = "front wheel assist"
    price: m.Money = Key(description="List price, new")
    years: m.Years
    hours: m.HoursPerYear


class Machine(_Part):
    """An implement, tanker or planter with its price."""

    name: Name
    kind: Annotated[str, Kind("kind of machine", MACHINE_KINDS)]
    width: m.Width | None = Key(None, description="Working width; or give rows")
    rows: Annotated[int, Key(ge=1, le=36)] | None = None
    tools: Annotated[int, Key(ge=1, le=200)] | None = Key(
        None, description="Tines, discs or slots; else from the usual spacing"
    )
    strip_width: m.ToolWidth | None = Key(None, description="Loosened strip of a strip tiller")
    tine_width: m.ToolWidth | None = None
    mass: m.Mass | None = Key(None, description="Empty mass where it runs on its own wheels")
    tank: m.Tank | None = None
    filling: m.PumpFlow | None = None
    refill: m.Minutes | None = Key(
        None,
        description="From stopping to going on again with a full tank; left out: the outfit drives to the store itself",
    )
    price: m.Money = Key(description="List price, new")
    years: m.Years
    hours: m.HoursPerYear


class Pass(_Part):
    """One outfit going over the field once."""

    tractor: Name
    machines: Annotated[list[Name], Key(min_length=1, max_length=4)]
    depth: m.WorkDepth | None = Key(
        None, description="Under the undisturbed surface; every machine that tills needs one"
    )
    speed: m.Speed
    places: list[Literal["slurry", "seed"]] = Key(default_factory=list)
    visible_slurry: m.Share | None = Key(None, description="Share of strip or slot length on which slurry still shows")
    after: m.Hours | None = Key(None, description="How long after the start of slurry spreading a covering pass starts")


class System(_Part):
    """One way of establishing the crop: a named, ordered chain of passes."""

    name: Name
    about: Sentence = ""
    passes: Annotated[list[Pass], Key(alias="pass", min_length=1, max_length=12)]


class Plan(_Part):
    """One comparison: a question, its systems, its host field."""

    question: Annotated[str, StringConstraints(min_length=1, max_length=300), AfterValidator(_one_line)]
    invented: bool = Key(False, description="True where farm, place and numbers are made up; printed on every page")
    baseline: Name = Key(description="The system that the others are held against")
    field: Field
    crop: Crop
    slurry: Slurry
    weather: Weather
    prices: Prices
    limits: Annotated[list[Limit], Key(alias="limit")] = Key(default_factory=list)
    tractors: Annotated[list[Tractor], Key(alias="tractor", min_length=1)]
    machines: Annotated[list[Machine], Key(alias="machine", min_length=1)]
    systems: Annotated[list[System], Key(alias="system", min_length=2, max_length=12)]

    def tractor(self, name: str) -> Tractor:
        """Return the tractor of that name."""
        return next(t for t in self.tractors if t.name == name)

    def machine(self, name: str) -> Machine:
        """Return the machine of that name."""
        return next(t for t in self.machines if t.name == name)


def json_schema() -> dict[str, Any]:
    """Return the JSON Schema of a plan, so that an editor can complete and check it while a person writes."""
    schema = Plan.model_json_schema(by_alias=True)
    for part in (schema, *schema["$defs"].values()):
        for described in part["properties"].values():
            for way in described.get("anyOf", [described]):
                if "units" in way:
                    said = [described.get("description", ""), "Units: " + ", ".join(way["units"])]
                    described["description"] = ". ".join(words for words in said if words)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema, "title": "Plan of a field comparison"}
