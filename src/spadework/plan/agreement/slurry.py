"""Whether what a plan says of its slurry agrees: one way of giving contents, units that fit their basis, whole analyses."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from spadework.plan.composition import (
    CONTENTS,
    NUTRIENTS,
    ONE_ANALYSIS,
    density_of,
    in_use,
    name_of,
    replaced,
)
from spadework.plan.faults import Fault
from spadework.plan.stand_ins import animals_of
from spadework.plan.wording import what_is_wrong
from spadework.reference import constants, load

if TYPE_CHECKING:
    from spadework.plan.as_read import Read
    from spadework.plan.schema.slurry import Analysis, Slurry

__all__ = ["faults"]

_PLAUSIBLE = constants("plausible")
_CHEMISTRY = constants("chemistry")
_HERE = ("slurry",)


def faults(read: Read) -> Iterator[Fault]:
    """Yield everything in the slurry of a plan that does not agree."""
    slurry = read.plan.slurry
    baseline = next((s for s in read.plan.systems if s.name == read.plan.baseline), None)
    places = baseline is None or any("slurry" in step.places for step in baseline.passes)
    if slurry.terms == "equal available N" and not places:
        what = f'"{read.plan.baseline}" places no slurry, so there is no available N to be equal to; choose other terms'
        yield read.fault(what, "slurry", "terms")
    if slurry.stand_in is not None:
        yield from _stand_in(read, slurry)
    elif slurry.analyses:
        yield from _one_way(read, slurry, "the analyses below", "take it out, or make it an analysis of its own")
        yield from _analyses(read, slurry)
    else:
        yield from _single(read, slurry)


def _missing(read: Read, *path: str | int) -> Fault:
    return read.fault(what_is_wrong("missing", "", path, {}, None), *path)


def _one_way(read: Read, slurry: Slurry, other: str, what_to_do: str) -> Iterator[Fault]:
    """Yield the keys of a single analysis that stand beside another way of giving contents."""
    for key in ONE_ANALYSIS:
        if key in slurry.model_fields_set:
            yield read.fault(f"stands beside {other}, which say it already; {what_to_do}", *_HERE, key)


def _stand_in(read: Read, slurry: Slurry) -> Iterator[Fault]:
    what = "a stand-in is only for slurry that nobody analysed; take it out, or the analysis"
    given = [key for key in ONE_ANALYSIS if key in slurry.model_fields_set]
    if slurry.analyses or given:
        yield read.fault(what, *_HERE, "stand_in")
    stand_in = str(slurry.stand_in)
    if animals_of(stand_in) != animals_of(slurry.kind):
        label = load("slurry_composition")[stand_in].label
        kind = load("slurry_kinds")[slurry.kind].label
        yield read.fault(f'"{label}" does not speak of {kind} slurry; take one that does', *_HERE, "stand_in")


def _single(read: Read, slurry: Slurry) -> Iterator[Fault]:
    needed = ("density", *CONTENTS, "ph")
    missing = [key for key in needed if getattr(slurry, key) is None]
    yield from (_missing(read, *_HERE, key) for key in missing)
    if not missing and slurry.density is not None:
        yield from _contents(read, slurry, slurry.density.value, _HERE)


def _analyses(read: Read, slurry: Slurry) -> Iterator[Fault]:
    used = in_use(slurry)
    own = [analysis.density is not None for _, analysis in used]
    if slurry.density is not None and all(own):
        yield read.fault("every analysis gives a density of its own; take this one out", *_HERE, "density")
    named = [analysis.store is not None for _, analysis in used]
    seen: dict[tuple[str, str, str], int] = {}
    for number, analysis in enumerate(slurry.analyses):
        here = (*_HERE, "analysis", number)
        same = ((analysis.store or "").casefold(), (analysis.load or "").casefold(), analysis.result)
        if analysis.load is not None and same in seen:
            what = (
                f"there is a {analysis.result} result of {name_of(analysis, number)} already, in analysis "
                f"{seen[same] + 1}; keep one, or name the loads apart"
            )
            yield read.fault(what, *here, "load")
        seen.setdefault(same, number)
        density = analysis.density or slurry.density
        if density is None:
            what = "has no density; give it here, or once for all in [slurry], e.g. density = "
            yield read.fault(what + '"1.02 t/m3"', *here, "density")
        else:
            yield from _contents(read, analysis, density_of(slurry, analysis), here)
        if analysis.store is None and any(named):
            yield read.fault("say which store it is from, as the other analyses do", *here, "store")
    yield from _volumes(read, slurry, used)


def _volumes(read: Read, slurry: Slurry, used: tuple[tuple[int, Analysis], ...]) -> Iterator[Fault]:
    for number, analysis in used:
        here = (*_HERE, "analysis", number)
        if analysis.volume is None and len(used) > 1:
            what = "where there are several analyses, each says how much slurry it stands for, e.g. "
            yield read.fault(what + 'volume = "120 m3"', *here, "volume")
        if analysis.sampled is None:
            continue
        if analysis.volume is None:
            yield read.fault('a sampled part needs the whole, e.g. volume = "120 m3"', *here, "sampled")
        elif analysis.sampled.value > analysis.volume.value:
            what = f"{analysis.sampled.text} is more than the {analysis.volume.text} that it was sampled from"
            yield read.fault(what, *here, "sampled")
    for old, news in replaced(slurry):
        new = news[0]
        before, after = slurry.analyses[old].volume, slurry.analyses[new].volume
        if (
            slurry.analyses[old].load is not None
            and before is not None
            and after is not None
            and before.value != after.value
        ):
            what = (
                f"the provisional result of that load stands for {before.text}, this one for {after.text}; check both"
            )
            yield read.fault(what, *_HERE, "analysis", new, "volume")


def _contents(read: Read, one: Slurry | Analysis, density: float, here: tuple[str | int, ...]) -> Iterator[Fault]:
    """Yield contents that cannot be, of one analysis."""
    total, ammoniacal = one.total_n, one.ammoniacal_n
    assert total is not None  # noqa: S101 (looked for before)
    assert ammoniacal is not None  # noqa: S101
    if _per_m3(ammoniacal.low, ammoniacal.unit, density) > _per_m3(total.high, total.unit, density):
        what = (
            f"{ammoniacal.text} of ammoniacal N is more than the {total.text} of total N; "
            "check units, and NH4 against NH4-N"
        )
        yield read.fault(what, *here, "ammoniacal_n")
    if one.basis == "dry" and total.unit == "kg/t" and total.high < _PLAUSIBLE.least_n_of_dry_matter_kg_t:
        what = f'{total.text} is far too little for dry matter; if it is of fresh slurry, say basis = "fresh"'
        yield read.fault(what, *here, "total_n")
    if one.basis == "fresh" and total.low > _PLAUSIBLE.most_n_of_fresh_slurry_kg_t:
        what = f'{total.text} is far too much for fresh slurry; if it is of dry matter, say basis = "dry"'
        yield read.fault(what, *here, "total_n")
    if one.basis == "fresh":
        for key, oxide, element in (("phosphorus", "p2o5", "P"), ("potassium", "k2o", "K")):
            content = getattr(one, key)
            as_oxide = _CHEMISTRY[f"{oxide}_per_{element.lower()}"].value if content.substance == element else 1.0
            if content.high * as_oxide > _PLAUSIBLE[f"most_{oxide}_of_fresh_slurry_kg_t"].value:
                what = f'{content.text} is far too much for fresh slurry; if it is of dry matter, say basis = "dry"'
                yield read.fault(what, *here, key)
    for key in NUTRIENTS:
        quantity = getattr(one, key)
        if one.basis == "dry" and quantity.unit != "kg/t":
            what = f'"{quantity.text}" is per volume; on a dry basis give it per mass of dry matter, e.g. "45 g/kg"'
            yield read.fault(what, *here, key)


def _per_m3(content: float, unit: str, density_t_m3: float) -> float:
    return content if unit == "kg/m3" else content * density_t_m3
