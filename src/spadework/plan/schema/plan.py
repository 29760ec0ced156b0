"""The plan: a comparison as a person writes it in TOML.

Every quantity is text with its unit.  The models here say what may stand in the file and what each thing is; what must
agree between parts of the file is checked in :mod:`spadework.plan.agreement.parts`.
"""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, StringConstraints
from pydantic import Field as Key

from spadework.plan import measures as m
from spadework.plan.kinds import MACHINE_KINDS, TEXTURES, Kind
from spadework.plan.schema.band import Band, BandTarget, Steering
from spadework.plan.schema.crop import Crop, Limit, Need, Prices, Starter
from spadework.plan.schema.design import Design, DesignFactor
from spadework.plan.schema.layout import Layout
from spadework.plan.schema.parts import Name, Part, Sentence, one_line
from spadework.plan.schema.season import Person, Season, Task
from spadework.plan.schema.slurry import Analysis, Slurry
from spadework.plan.schema.wheels import HitchHeight, HitchOverhang, ManyWheels, Wheelbase, Wheels

__all__ = [
    "Analysis",
    "Band",
    "BandTarget",
    "Contractor",
    "Crop",
    "Design",
    "DesignFactor",
    "Farm",
    "Field",
    "Layout",
    "Limit",
    "Machine",
    "Need",
    "Pass",
    "Person",
    "Plan",
    "Prices",
    "Rain",
    "Season",
    "Slurry",
    "Starter",
    "Steering",
    "Supply",
    "System",
    "Task",
    "Tractor",
    "Weather",
    "Wheels",
    "json_schema",
]

WeatherFile = Annotated[str, StringConstraints(min_length=1, max_length=200), AfterValidator(one_line)]
Zone = Annotated[str, StringConstraints(min_length=1, max_length=60), AfterValidator(one_line)]
Gap = Annotated[m.Quantity, m.Measure(("h",), 0, 24, "3 h", exact=True)]
Marks = Annotated[list[Annotated[str, StringConstraints(max_length=20)]], Key(max_length=20)]
ColumnsOfFile = Annotated[dict[str, Annotated[str, StringConstraints(max_length=100)]], Key(max_length=200)]


class Field(Part):
    """The host field and its soil on the day."""

    name: Name = Key(description="What the host calls the field")
    area: m.Area
    length: m.FieldLength = Key(description="Longest run in the working direction, headlands included")
    shape: m.ShapeShare | None = Key(
        None,
        description="Area against length times greatest breadth; left out: a rectangle, 100 %; a triangle has 50 %",
    )
    headland: m.Headland | None = Key(
        None, description="Depth of each headland; left out: what the turn of each outfit needs"
    )
    slope: m.Slope = Key(description="Steepest slope in the working direction")
    side_slope: m.SideSlope | None = Key(
        None,
        description="Slope across the working direction, under the rows; a range where it changes; towed tools hang "
        "downhill on it; left out: none",
    )
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
    well_distance: m.BufferDistance | None = Key(
        None, description="Nearest well, spring or borehole of its own, for a limit on that distance"
    )
    plastic_limit: m.PlasticLimit | None = Key(
        None, description="Water at which the soil can just be rolled to a thread, share of the mass of dry soil"
    )


class Rain(Part):
    """A file of its own for the rain."""

    file: WeatherFile = Key(description="Hourly CSV beside the plan")
    zone: Zone | None = Key(None, description="As in [weather], which it is taken from where it is left out")
    stamp: Literal["start", "end"] | None = Key(
        None, description="Which end of the hour its times mark; else the start"
    )
    missing: Marks | None = Key(None, description="What stands in its cells where a value is missing")
    columns: ColumnsOfFile | None = Key(
        None, description="As in [weather]: its time and its rain; else time and rain_mm"
    )


class Weather(Part):
    """Typical hour of spreading, or a file of hours."""

    air_temperature: m.Temperature | None = None
    wind: m.Wind | None = None
    wind_height: m.Height | None = None
    file: WeatherFile | None = Key(None, description="Hourly weather file beside the plan")
    layout: Literal["columns", "epw", "tmy"] = Key(
        "columns",
        description="columns: CSV with a head of names; epw: EPW file; tmy: typical year in CSV, times in UTC",
    )
    start: dt.datetime | None = Key(None, description="First hour of spreading, with time zone")
    hours: int | None = Key(None, ge=1, le=240, description="How many hours from the first")
    zone: Zone | None = Key(None, description="Zone of the times in the file, needed where they carry none")
    stamp: Literal["start", "end"] | None = Key(
        None, description="Which end of the hour the times in the file mark; left out: the start"
    )
    max_gap: Gap | None = Key(
        None, description="Gaps up to this are filled by a straight line, never those of rain; left out: none is"
    )
    missing: Marks | None = Key(
        None, description="What stands in the cells where a value is missing; empty ones are so"
    )
    columns: ColumnsOfFile | None = Key(
        None, description="What each column holds: name in the file = quantity, unit; left out: by their usual names"
    )
    latitude: float | None = Key(
        None,
        ge=-66,
        le=66,
        description="Of the place, in degrees, north positive; left out: from the head of an EPW file or a typical year",
    )
    altitude: m.Altitude | None = Key(
        None, description="Of the place, above the sea; left out: as for latitude, else sea level"
    )
    rain: Rain | None = Key(None, description="Table: a file of its own for the rain")


class Tractor(Part):
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
    mass: m.TractorMass | None = Key(
        None, description="As it drives on the day, with ballast; left out: from the power, by the ballast guide"
    )
    wheels: ManyWheels = Key(
        default_factory=list, description="Tables: tyres, axle by axle; left out: typical ones of its size"
    )
    wheelbase: Wheelbase | None = Key(None, description="Front to rear axle; left out: typical of its size")
    hitch_height: HitchHeight | None = Key(
        None, description="Hitch of drawn machines above the ground; left out: the usual"
    )
    hitch_overhang: HitchOverhang | None = Key(
        None, description="Hitch of drawn machines behind the rear axle; left out: the usual"
    )
    load_shift: Literal["by pull", "none"] = Key(
        "by pull", description="Whether pull and hitch shift load from the front to the rear axle at work"
    )


class Machine(Part):
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
    overlap: m.Overlap | None = Key(None, description="Ground worked twice at each join; left out: the usual")
    turn: m.Seconds | None = Key(None, description="One turn, timed; left out: from radius, width and pattern")
    measured_draft: m.Force | None = Key(
        None, description="Your own reading with a dynamometer: pull of the whole machine on this field"
    )
    measured_depth: m.WorkDepth | None = Key(None, description="Working depth during that reading")
    measured_speed: m.Speed | None = Key(None, description="Speed during that reading")
    wheels: ManyWheels = Key(
        default_factory=list, description="Tables: tyres, axle by axle; left out: typical ones where it has a mass"
    )
    price: m.Money = Key(description="List price, new")
    years: m.Years
    hours: m.HoursPerYear


class Pass(Part):
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
    supply: Name | None = Key(None, description="How slurry gets to the outfit; left out: as its tanker says")
    turning: Literal["loop", "reversing", "leaving runs out"] = Key(
        "loop", description="How the outfit gets into its next run"
    )
    measured_fuel: m.MeasuredFuel | None = Key(
        None, description="Your own flowmeter figure: L/h while working, or L/ha of the whole pass"
    )
    contractor: Name | None = Key(None, description="The contractor's rate to hold the own cost against")


class Supply(Part):
    """How slurry comes from the store to the outfit that places it."""

    name: Name
    way: Literal["feeders", "field container", "hose"]
    tractor: Name | None = Key(None, description="Pulls each feeder tanker")
    machine: Name | None = Key(None, description="The feeder tanker, from the machines")
    vehicles: Annotated[int, Key(ge=1, le=20)] | None = Key(None, description="How many feeder tankers")
    filling: m.PumpFlow | None = Key(None, description="At the store; left out: the usual")
    transfer: m.PumpFlow | None = Key(None, description="From feeder or container into the spreading tank")
    container: m.Container | None = Key(None, description="Content of the field container")
    flow: m.HoseFlow | None = Key(None, description="Through the hose")
    hose: m.HoseLength | None = Key(None, description="Length of hose that the outfit drags when it lies straight")
    set_up: m.Hours | None = Key(None, description="Laying and lifting the hose, once for the field")
    rate: m.PerHour | None = Key(
        None, description="Pump and hose, or container, by the hour, with their diesel and attendant"
    )


class Contractor(Part):
    """A contractor's rate, as asked or printed."""

    name: Name
    rate: m.ContractRate
    date: dt.date
    tax: Literal["without", "with"] = Key(description="Whether the rate is without or with value-added tax")
    tax_rate: m.Share | None = Key(None, description="Needed where the rate and the prices of the plan differ in tax")
    fuel: Literal["in", "out"] = Key(description="Whether diesel is in the rate")
    source: Sentence


class Farm(Part):
    """The farm behind the field: how much there is to do in spring, and in which days."""

    maize: m.Area = Key(description="Maize a year")
    window: m.Days = Key(description="Calendar days in which it should be done")
    fit_days: m.Share | None = Key(
        None,
        description="Chance that a day is fit for the work; left out: worked out from fit_moisture and the weather",
    )
    stay_fit: m.Share | None = Key(
        None,
        description="Chance that the day after a fit day is fit as well; left out: worked out from fit_moisture, or "
        "days are independent where that is left out too",
    )
    fit_moisture: m.FitMoisture | None = Key(
        None, description="Your own limit: moisture of the top layer below which the ground is fit for the work"
    )
    fit_moisture_of: Literal["field capacity", "plastic limit"] = Key(
        "field capacity", description="What fit_moisture is a share of"
    )
    day: m.WorkDay = Key(description="Hours in the field on a fit day")
    drivers: Annotated[int, Key(ge=1, le=20)] = 1
    late_loss: m.Share | None = Key(
        None, description="Your own figure: yield lost for each day late; left out: lateness is not priced"
    )
    crop_price: m.PerTonne | None = Key(None, description="Value of the crop, per tonne of dry matter")


class System(Part):
    """One way of establishing the crop: a named, ordered chain of passes."""

    name: Name
    about: Sentence = ""
    saves_starter: bool = Key(False, description="True where this system does without the starter fertiliser")
    passes: Annotated[list[Pass], Key(alias="pass", min_length=1, max_length=12)]


class Plan(Part):
    """One comparison: a question, its systems, its host field."""

    question: Annotated[str, StringConstraints(min_length=1, max_length=300), AfterValidator(one_line)]
    invented: bool = Key(False, description="True where farm, place and numbers are made up; printed on every page")
    baseline: Name = Key(description="The system that the others are held against")
    field: Field
    crop: Crop
    slurry: Slurry
    weather: Weather
    prices: Prices
    farm: Farm | None = None
    band: Band | None = None
    design: Design | None = None
    layout: Layout | None = None
    season: Season | None = None
    limits: Annotated[list[Limit], Key(alias="limit")] = Key(default_factory=list)
    tractors: Annotated[list[Tractor], Key(alias="tractor", min_length=1)]
    machines: Annotated[list[Machine], Key(alias="machine", min_length=1)]
    supplies: Annotated[list[Supply], Key(alias="supply")] = Key(default_factory=list)
    contractors: Annotated[list[Contractor], Key(alias="contractor")] = Key(default_factory=list)
    systems: Annotated[list[System], Key(alias="system", min_length=2, max_length=12)]

    def tractor(self, name: str) -> Tractor:
        """Return the tractor of that name."""
        return next(t for t in self.tractors if t.name == name)

    def machine(self, name: str) -> Machine:
        """Return the machine of that name."""
        return next(t for t in self.machines if t.name == name)

    def supply(self, name: str) -> Supply:
        """Return the supply of that name."""
        return next(t for t in self.supplies if t.name == name)

    def contractor(self, name: str) -> Contractor:
        """Return the contractor's rate of that name."""
        return next(t for t in self.contractors if t.name == name)


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
