"""The slurry in a plan: one analysis, several of loads and stores, or a guide value that stands in for them."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from pydantic import Field as Key

from spadework.plan import measures as m
from spadework.plan.kinds import SLURRY_KINDS, Kind
from spadework.plan.schema.parts import Name, Part
from spadework.plan.stand_ins import STAND_INS

__all__ = ["Analysis", "Slurry"]

SlurryVolume = Annotated[m.Quantity, m.Measure(("m3",), 0, 9_000, "120 m3", above=True, exact=True)]
LoadDensity = Annotated[m.Quantity, m.Measure(("t/m3",), 0.9, 1.15, "1.02 t/m3", exact=True)]
Acidity = Annotated[float, Key(ge=4.5, le=10)]
Basis = Literal["fresh", "dry"]


class Analysis(Part):
    """One analysis of one load, or of several loads sampled together."""

    store: Name | None = Key(None, description="Which store it came from; loads of one store are averaged")
    load: Name | None = Key(
        None,
        description="What was sampled; a final result replaces the provisional one of that load, and one of "
        "the store that names no load",
    )
    volume: SlurryVolume | None = Key(
        None, description="How much slurry it stands for; needed where there are several, which are weighed with it"
    )
    sampled: SlurryVolume | None = Key(
        None, description="How much of that went through the sampled loads; left out: little of it"
    )
    result: Literal["final", "provisional"] = Key(
        "final", description="provisional where the laboratory, or a better sample, is still to speak"
    )
    date: dt.date | None = Key(None, description="Day of the analysis")
    laboratory: Name | None = Key(None, description="Whose analysis it is; shown, nothing hangs on it")
    repeats: Annotated[int, Key(ge=1, le=50)] = Key(
        1, description="Analyses of the same sample that the figures are the mean of; their +/- is that of one"
    )
    basis: Basis = Key("fresh", description="What the contents refer to: fresh slurry or its dry matter")
    dry_matter: m.DryMatter = Key(description="Dry matter of the fresh slurry")
    total_n: m.NitrogenContent = Key(description="Total nitrogen")
    ammoniacal_n: m.AmmoniacalContent = Key(description="Say NH4 where it is not counted as NH4-N")
    phosphorus: m.PhosphorusContent = Key(description="Phosphorus; say whether as P or as P2O5")
    potassium: m.PotassiumContent = Key(description="Potassium; say whether as K or as K2O")
    ph: Acidity = Key(description="pH, a bare number from 4.5 to 10; never averaged")
    density: LoadDensity | None = Key(None, description="Density of that load; left out: that of [slurry]")


class Slurry(Part):
    """What the slurry holds, as analysed, and how much of it goes on."""

    kind: Annotated[str, Kind("kind of slurry", SLURRY_KINDS)]
    dose: m.Dose
    terms: Literal["equal volume", "equal ammoniacal N", "equal available N"] = Key(
        "equal volume",
        description="What the systems have in common; at equal available N the others get as much as gives the crop what "
        "the baseline gives it with the dose",
    )
    density: m.SlurryDensity | None = Key(
        None, description="Density of the slurry; left out only where every analysis gives its own, or with a stand-in"
    )
    stand_in: Annotated[str, Kind("stand-in", STAND_INS)] | None = Key(
        None, description="Guide value for slurry that nobody analysed, in place of all contents; marked on every print"
    )
    analyses: Annotated[list[Analysis], Key(alias="analysis", max_length=60)] = Key(
        default_factory=list,
        description="Tables: analyses of loads and stores, in place of the contents here; see below",
    )
    basis: Basis = Key("fresh", description="What the contents below refer to: fresh slurry or its dry matter")
    dry_matter: m.DryMatter | None = Key(None, description="Dry matter of the slurry")
    total_n: m.NitrogenContent | None = Key(None, description="Total nitrogen, from the laboratory")
    ammoniacal_n: m.AmmoniacalContent | None = Key(
        None, description="From the laboratory; never computed from dry matter"
    )
    phosphorus: m.PhosphorusContent | None = Key(None, description="Phosphorus; say whether as P or as P2O5")
    potassium: m.PotassiumContent | None = Key(None, description="Potassium; say whether as K or as K2O")
    ph: Acidity | None = Key(
        None, description="pH of the slurry, a bare number from 4.5 to 10; the loss factors do not use it"
    )
    analysed: dt.date | None = Key(None, description="Date of the analysis")
    price: m.PerVolume = Key(description="What the slurry itself costs; negative where it is paid for being taken")
    stirring: m.PerVolume | None = Key(None, description="Stirring the store, the same for all systems")
    delivery: m.PerVolume | None = Key(
        None, description="What others charge for bringing it to the field; only for tankers with a refill time"
    )
    inhibitor: bool = Key(False, description="True where a nitrification inhibitor is mixed in")
