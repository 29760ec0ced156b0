"""What looks odd in the analyses of a plan: ratios, single loads that stand for a store, loads far thicker than the rest."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from spadework.plan import Analysis, Plan, Slurry
from spadework.plan.composition import (
    NUTRIENTS,
    content_kg_m3,
    density_of,
    in_use,
    marks,
    name_of,
    ph_values,
    store_of,
)
from spadework.plan.stand_ins import animals_of
from spadework.quantities import show
from spadework.reference import constants
from spadework.science.slurry import odd_ratios, ph_span

__all__ = ["slurry_notes"]

_AS: Final = {
    "total_n": "total_n_kg_t",
    "ammoniacal_n": "ammoniacal_n_kg_t",
    "phosphorus": "p2o5_kg_t",
    "potassium": "k2o_kg_t",
}


def slurry_notes(plan: Plan) -> Iterator[str]:
    """Yield what a reader must know of the contents of the slurry."""
    slurry = plan.slurry
    yield from marks(slurry)
    if slurry.stand_in is None and not slurry.analyses and slurry.density is not None:
        yield from _odd(slurry, slurry, slurry.density.value, slurry.density.value, "the analysis of the slurry")
    for number, analysis in in_use(slurry):
        density = density_of(slurry, analysis)
        measured = None if analysis.density is None else density
        yield from _odd(slurry, analysis, density, measured, name_of(analysis, number))
    yield from _thick(slurry)
    yield from _alone(slurry)


def _odd(slurry: Slurry, one: Slurry | Analysis, density: float, measured: float | None, name: str) -> Iterator[str]:
    dry = one.dry_matter
    animals = animals_of(slurry.kind)
    if dry is None or animals is None:
        return
    contents = {_AS[key]: content_kg_m3(getattr(one, key), one.basis, dry, density) / density for key in NUTRIENTS}
    if contents["total_n_kg_t"] <= 0:
        return
    for odd in odd_ratios(animals, **contents, dry_matter_share=dry.fraction, density_t_m3=measured):
        usual = f"{show(odd.low, '')} to {show(odd.high, '')}"
        yield (
            f"{name} looks odd: {odd.label} is {show(float(odd.ratio), '', 2)}, usual are {usual}; "
            "check units, basis and what the figures are counted as; it is used as it stands"
        )


def _thick(slurry: Slurry) -> Iterator[str]:
    """Yield loads whose dry matter is far above that of the store's first sample."""
    most = constants("slurry_loads")["thick_factor"].value
    for number, analysis in in_use(slurry):
        others = [
            other for i, other in enumerate(slurry.analyses) if i != number and store_of(other) == store_of(analysis)
        ]
        first = next((other for other in others if other.result == "provisional"), None)
        if first is None:
            first = min(others, key=lambda other: other.dry_matter.value, default=None)
        if first is not None and analysis.dry_matter.value >= most * first.dry_matter.value:
            yield (
                f"{name_of(analysis, number)}: dry matter {analysis.dry_matter.text} is far above the "
                f"{first.dry_matter.text} of another sample of {store_of(analysis)}; flow may fall and outlets may block, so "
                "check the dose by weighing, stir again, and keep these loads to blocks of their own"
            )


def _alone(slurry: Slurry) -> Iterator[str]:
    used = in_use(slurry)
    stores = [store_of(analysis) for _, analysis in used]
    for store in dict.fromkeys(stores):
        if stores.count(store) == 1:
            yield (
                f"{store}: one analysis stands for all of it, so how far its loads differ is not known and is in no "
                "interval beyond the +/- you state; sample more loads"
            )
    values = ph_values(slurry)
    if used and len(set(values)) > 1:
        low, high = ph_span(values).tolist()
        yield f"pH of the analyses runs from {low:g} to {high:g}; it cannot be averaged, so measure the mixture"
