"""The crop in a plan: what it needs of nitrogen, phosphate and potash, what that costs, and the user's own limits."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from pydantic import Field as Key

from spadework.plan import measures as m
from spadework.plan.schema.parts import Currency, Name, Part, Sentence

__all__ = ["Crop", "Limit", "Need", "Prices", "Starter"]

YearNumber = Annotated[int, Key(ge=2, le=10)]


class Need(Part):
    """How the nitrogen need of the crop comes about; a planning aid, to be checked locally."""

    by: Literal["target value, Germany", "soil index, United Kingdom"] = Key(
        description="Whose reckoning is followed; see below"
    )
    target: m.NitrogenRate | None = Key(None, description="Target value; left out: that of the table for the crop")
    nmin: m.NitrogenRate | None = Key(
        None, description="Mineral nitrogen of the soil in spring, 0 to 90 cm, with the spread of the field"
    )
    yields: Annotated[list[m.FreshYield], Key(min_length=1, max_length=10)] | None = Key(
        None,
        description="Yields of past years, the oldest first: silage fresh, grain at its usual moisture; left out: the "
        "expected yield",
    )
    replaced: Annotated[list[YearNumber], Key(max_length=9)] = Key(
        default_factory=list,
        description="Extreme years, counted from 1, for which the yield of the year before is to stand; your choice",
    )
    humus_rich: bool = Key(False, description="True where the topsoil holds more than 4 % humus")
    preceding_crop: Literal["grassland", "fallow or beet", "rape or legume", "cereal or maize"] = Key(
        "cereal or maize", description="Main crop of the year before"
    )
    catch_crop: (
        Literal[
            "catch crop frosted",
            "catch crop spring",
            "catch crop autumn",
            "catch legume frosted",
            "catch legume spring",
            "catch legume autumn",
            "catch legume fed",
            "catch other fed",
        ]
        | None
    ) = Key(
        None, description="Catch crop before, and whether frost killed it, when it was worked in, or that it was fed"
    )
    last_year_organic: m.NitrogenRate | None = Key(
        None, description="Total nitrogen of organic manure given last year; left out: none"
    )
    n_index: Literal["0", "1", "2", "3", "4"] | None = Key(
        None, description="Index of the soil's nitrogen supply; 4 stands for 4 and more"
    )
    p_index: Literal["0", "1", "2", "3", "4"] | None = Key(
        None, description="Phosphorus index of the soil; left out: as without an index"
    )
    k_index: Literal["0", "1", "2-", "2+", "3", "4"] | None = Key(
        None, description="Potassium index of the soil; left out: as without an index"
    )


class Starter(Part):
    """Fertiliser placed beside the seed by the planter."""

    name: Name = Key(description="What it is called on the bag")
    rate: m.ProductRate = Key(description="How much of it is given, as bought")
    n: m.Share = Key(description="Nitrogen in it")
    p2o5: m.Share = Key(description="Phosphate in it, as P2O5")
    price: m.PerTonne = Key(description="Price of the fertiliser itself, not of its nutrients")


class Crop(Part):
    """The crop to be established."""

    kind: Literal["silage maize", "grain maize"] = "silage maize"
    row_spacing: m.RowSpacing
    seed_depth: m.SeedDepth = Key(description="Under the press-wheel track")
    population: m.Population
    expected_yield: m.DryYield = Key(
        description="Dry matter; the same for all systems: an estimate cannot tell them apart"
    )
    dry_matter: m.CropDryMatter = Key(description="Dry matter of the harvested crop")
    n_need: m.NitrogenRate | None = Key(
        None, description="Nitrogen the crop still needs, after soil and earlier manure; or give [crop.need]"
    )
    need: Need | None = Key(None, description="Table: how the nitrogen need comes about, in the place of n_need")
    phosphate_need: m.PhosphateRate | None = Key(
        None, description="Phosphate the crop needs given; left out: what the harvest takes away"
    )
    potash_need: m.PotashRate | None = Key(
        None, description="Potash the crop needs given; left out: what the harvest takes away"
    )
    starter: Starter | None = Key(None, description="Table: starter fertiliser; left out: none is given")
    n_available: Literal[
        "by course of nitrogen",
        "by guide, United Kingdom",
        "by least share, Germany",
        "by least share, England",
        "by required use, Denmark",
    ] = Key(
        "by course of nitrogen",
        description="How much of the slurry's nitrogen counts this year: what is kept, or the share of a table",
    )
    n_season: Literal["autumn", "winter", "spring"] = Key(
        "spring", description="Season of spreading, for the guide that tells them apart"
    )


class Prices(Part):
    """Prices, all in one currency, of one date, with or without tax."""

    date: dt.date
    currency: Currency = "EUR"
    tax: Literal["without", "with"] = Key(description="Whether the prices are without or with value-added tax")
    diesel: m.PerLitre
    labour: m.PerHour
    nitrogen: m.NitrogenPrice = Key(description="Bought mineral nitrogen, per kg N")
    phosphate: m.PhosphatePrice | None = Key(
        None, description="Bought phosphate, per kg P2O5; left out: phosphate is counted, not priced"
    )
    potash: m.PotashPrice | None = Key(
        None, description="Bought potash, per kg K2O; left out: potash is counted, not priced"
    )
    interest: m.Share


class Limit(Part):
    """A limit that the user looked up; the tool holds the plan against it and clears nothing."""

    of: Literal[
        "total N from slurry",
        "ammoniacal N from slurry",
        "phosphate from slurry",
        "available N from slurry",
        "P balance",
        "distance to water",
        "distance to well",
        "slope",
        "closed period",
    ]
    at_most: m.LimitAtMost | None = None
    at_least: m.BufferDistance | None = None
    begins: dt.date | None = Key(None, description="First day of a closed period; it is taken to come every year")
    ends: dt.date | None = Key(None, description="Last day of a closed period")
    source: Sentence
    date: dt.date
