"""What the plan says of the slurry's contents: which analyses count, which were replaced, and what is only a stand-in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from spadework.plan.stand_ins import animals_of, stand_in_entries
from spadework.quantities import Quantity, show
from spadework.reference import constants, load
from spadework.science.slurry import (
    content_of_dry_matter,
    content_per_volume,
    mean_by_mass,
    mean_by_volume,
    nitrogen_from_ammonium,
    oxide_from_element,
)

if TYPE_CHECKING:
    from spadework.plan.schema.slurry import Analysis, Slurry

__all__ = [
    "CONTENTS",
    "FACTORS",
    "NUTRIENTS",
    "ONE_ANALYSIS",
    "content_kg_m3",
    "density_of",
    "density_t_m3",
    "in_use",
    "marks",
    "name_of",
    "ph_of",
    "ph_values",
    "replaced",
    "store_of",
]

NUTRIENTS: Final = ("total_n", "ammoniacal_n", "phosphorus", "potassium")
CONTENTS: Final = ("dry_matter", *NUTRIENTS)
ONE_ANALYSIS: Final = ("basis", *CONTENTS, "ph", "analysed")
"""Keys of [slurry] that together are one analysis."""
FACTORS: Final = {"P": "p2o5_per_p", "K": "k2o_per_k", "NH4": "nh4_per_nh4_n"}
"""What turns a substance into the one that is counted here: rows of table ``chemistry``."""
_THE_STORE: Final = "the store"


def store_of(analysis: Analysis) -> str:
    """Return the store of an analysis as people call it."""
    return analysis.store or _THE_STORE


def name_of(analysis: Analysis, number: int) -> str:
    """Return what people call an analysis; `number` counts from 0."""
    said = ", ".join(part for part in (analysis.store, analysis.load and f"load {analysis.load}") if part)
    return said if analysis.load else f"{said or _THE_STORE}, analysis {number + 1}"


def _same(analysis: Analysis) -> tuple[str, str]:
    return (analysis.store or "").casefold(), (analysis.load or "").casefold()


def replaced(slurry: Slurry) -> tuple[tuple[int, tuple[int, ...]], ...]:
    """Return provisional analyses with the final ones that replace each, by number.

    A provisional result of a load is replaced by the final one of that load; one that names no load, by all final ones
    of its store.
    """
    found = []
    for number, old in enumerate(slurry.analyses):
        news = tuple(
            i
            for i, new in enumerate(slurry.analyses)
            if new.result == "final"
            and (_same(new) == _same(old) or (old.load is None and _same(new)[0] == _same(old)[0]))
        )
        if old.result == "provisional" and news:
            found.append((number, news))
    return tuple(found)


def in_use(slurry: Slurry) -> tuple[tuple[int, Analysis], ...]:
    """Return the analyses that count, with their numbers."""
    gone = {old for old, _ in replaced(slurry)}
    return tuple((i, a) for i, a in enumerate(slurry.analyses) if i not in gone)


def density_of(slurry: Slurry, analysis: Analysis) -> float:
    """Return the density of what was analysed [t/m3]; the guide value where a plan that is at fault gives none."""
    density = analysis.density or slurry.density
    return _guide_density(slurry) if density is None else density.value


def _guide_density(slurry: Slurry) -> float:
    return load("slurry_density")[str(animals_of(slurry.kind))].entry("density_t_m3").value


def density_t_m3(slurry: Slurry) -> float:
    """Return the middle of the density of the slurry [t/m3]."""
    used = in_use(slurry)
    if any(analysis.density is not None for _, analysis in used):
        densities = [density_of(slurry, analysis) for _, analysis in used]
        volumes = [1.0 if analysis.volume is None else analysis.volume.value for _, analysis in used]
        return float(mean_by_volume(densities, volumes))
    return _guide_density(slurry) if slurry.density is None else slurry.density.value


def content_kg_m3(content: Quantity, basis: str, dry_matter: Quantity, density: float) -> float:
    """Return the middle of a content as N, P2O5 or K2O [kg/m3], whatever its basis, unit and substance."""
    value = content_of_dry_matter(content.value, dry_matter.fraction) if basis == "dry" else content.value
    factor = FACTORS.get(content.substance)
    if factor is not None:
        turn = nitrogen_from_ammonium if content.substance == "NH4" else oxide_from_element
        value = turn(value, constants("chemistry")[factor].value)
    if basis == "dry" or content.unit == "kg/t":
        value = content_per_volume(value, density)
    return float(value)


def ph_values(slurry: Slurry) -> tuple[float, ...]:
    """Return the pH of every analysis that counts; for a stand-in the guide value of its kind."""
    if slurry.stand_in is not None:
        return (load("slurry_ph")[str(animals_of(slurry.kind))].entry("ph").value,)
    if slurry.analyses:
        return tuple(analysis.ph for _, analysis in in_use(slurry))
    return () if slurry.ph is None else (slurry.ph,)


def ph_of(slurry: Slurry) -> float:
    """Return the middle of the range of pH, for a model that needs one figure; it is no mean, see :func:`marks`."""
    values = ph_values(slurry)
    return (min(values) + max(values)) / 2


def marks(slurry: Slurry) -> Iterator[str]:
    """Yield what must be said of the contents wherever they are used: a stand-in, provisional results, replaced ones."""
    if slurry.stand_in is not None:
        label = load("slurry_composition")[slurry.stand_in].label
        off = constants("slurry_scatter")["book_value_off"].value
        total = stand_in_entries(slurry.stand_in)["total_n"]
        yield (
            f'nobody analysed this slurry: its contents are a stand-in, "{label}" (total N {show(total.value, total.unit)}), '
            f"and may be off by {show(100 * off, '%')} or more; have it analysed before you trust any figure on nitrogen"
        )
    for number, analysis in in_use(slurry):
        if analysis.result == "provisional":
            yield f"{name_of(analysis, number)}: the result is provisional; put the final one beside it when it comes"
    for old, news in replaced(slurry):
        yield _replaced(slurry, old, news)


def _replaced(slurry: Slurry, old: int, news: tuple[int, ...]) -> str:
    before, after = slurry.analyses[old], [slurry.analyses[i] for i in news]
    volumes = [1.0 if a.volume is None else a.volume.value for a in after]
    densities = [density_of(slurry, a) for a in after]
    said = []
    for key, words in (("total_n", "total N"), ("ammoniacal_n", "ammoniacal N"), ("phosphorus", "P2O5")):
        was, *found = (
            content_kg_m3(getattr(a, key), a.basis, a.dry_matter, density_of(slurry, a)) for a in (before, *after)
        )
        now = float(mean_by_volume(found, volumes))
        change = f" ({100 * (now / was - 1):+.0f} %)" if was > 0 else ""
        said.append(f"{words} {show(was, '')} to {show(now, 'kg/m3')}{change}")
    dry = float(mean_by_mass([a.dry_matter.value for a in after], volumes, densities))
    said.append(f"dry matter {show(before.dry_matter.value, '')} to {show(dry, '%')}")
    finals = "the final result replaces it" if len(news) == 1 else f"the mean of {len(news)} final results replaces it"
    return f"{name_of(before, old)}: provisional, {finals}: {', '.join(said)}"
