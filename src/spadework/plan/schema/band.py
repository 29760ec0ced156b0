"""The band of slurry in a plan: how long it waits, what the user wants of its place, and how well it is steered."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from pydantic import Field as Key

from spadework.plan import measures as m
from spadework.plan.schema.parts import Part, Sentence

__all__ = ["Band", "BandTarget", "Steering"]


class BandTarget(Part):
    """A rule of the user's own for the place of the band; it stands beside the published ones."""

    of: Literal["gap", "clearance", "top"] = Key(
        description="gap: from the seed down to the top of the band; clearance: the shortest way from seed to band; "
        "top: top of the band under the press-wheel track"
    )
    least: m.BandDistance | None = Key(None, description="Lower end; left out: none")
    most: m.BandDistance | None = Key(None, description="Upper end; left out: none")
    source: Sentence = Key(description="Whose rule it is, or where it is printed")
    date: dt.date | None = Key(None, description="Day of the rule; left out: not known")


class Steering(Part):
    """How well slurry and seed are kept on the same line, sideways: standard deviations about the line."""

    slurry: m.Sideways | None = Key(
        None, description="Outfit that places the slurry, about its line; left out: the guide value"
    )
    seed: m.Sideways | None = Key(None, description="Planter, about its line; left out: the guide value")
    slurry_drift: m.Sideways | None = Key(
        None, description="Tools of that outfit, about their tractor; left out: the guide value"
    )
    seed_drift: m.Sideways | None = Key(
        None, description="Units of the planter, about their tractor; left out: the guide value"
    )
    shift: m.Shift | None = Key(
        None,
        description="How far the lines of the two outfits lie apart, on the whole; on a side slope positive where that of "
        "the slurry lies downhill; left out: not at all",
    )
    slurry_tow: m.Tow | None = Key(
        None,
        description="Hitch to tools of the outfit that places the slurry, 0 m where the tractor carries them, for a side "
        "slope; left out: the guide value where the outfit tows a tank, else 0 m",
    )
    seed_tow: m.Tow | None = Key(
        None, description="Hitch to units of the planter, for a side slope; left out: 0 m, the tractor carries it"
    )
    harmless: m.Harmless | None = Key(
        None, description="Distance sideways beyond which roots reach the band late; left out: that of the trials"
    )


class Band(Part):
    """The band of slurry under the row: waiting, place and steering."""

    wait: m.Wait | None = Key(None, description="From slurry to sowing; left out: the usual")
    soil_temperature: m.SoilTemperature | None = Key(
        None,
        description="At the depth of seed and band over the first four weeks; left out: from the weather",
    )
    top_scatter: m.TopScatter | None = Key(
        None, description="Standard deviation of the top of the band, from earlier digs; left out: the guide value"
    )
    targets: Annotated[list[BandTarget], Key(alias="target", max_length=12)] = Key(
        default_factory=list, description="Tables: rules of your own for the place of the band"
    )
    steering: Steering | None = Key(None, description="Table: how well slurry and seed are steered")
