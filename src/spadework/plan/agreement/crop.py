"""Whether what a plan says of need, starter, availability and limits agrees with itself."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from spadework.plan.faults import Fault
from spadework.plan.measures import MOST_FRESH_YIELD_T_HA
from spadework.plan.schema.crop import Limit, Need
from spadework.reference import constants
from spadework.science.slurry import extreme_years

if TYPE_CHECKING:
    from spadework.plan.as_read import Read

__all__ = ["GERMANY", "faults"]

GERMANY = "target value, Germany"
_OF_GERMANY = ("target", "nmin", "yields", "replaced", "humus_rich", "catch_crop", "last_year_organic")
_OF_INDEX = ("n_index", "p_index", "k_index")
_WANTS = {
    "distance to water": ("at_least",),
    "distance to well": ("at_least",),
    "closed period": ("begins", "ends"),
}
_BOUNDS = ("at_most", "at_least", "begins", "ends")


def faults(read: Read) -> Iterator[Fault]:
    """Yield everything about crop, starter and limits that does not agree."""
    crop = read.plan.crop
    if (crop.n_need is None) == (crop.need is None):
        what = 'say once what nitrogen it needs: n_need = "150 kg N/ha", or a table [crop.need]'
        yield read.fault(what, "crop", "n_need")
    if crop.need is not None:
        yield from _need(read, crop.need)
    yield from _available(read)
    if crop.starter is None:
        for i, system in enumerate(read.plan.systems):
            if system.saves_starter:
                what = "there is no starter fertiliser to do without; describe it under [crop.starter]"
                yield read.fault(what, "system", i, "saves_starter")
    elif crop.starter.n.high + crop.starter.p2o5.high > 100:
        what = "nitrogen and phosphate come to more than the whole fertiliser"
        yield read.fault(what, "crop", "starter", "p2o5")
    for i, limit in enumerate(read.plan.limits):
        yield from _limit(read, i, limit)


def _need(read: Read, need: Need) -> Iterator[Fault]:
    said = need.model_fields_set
    strangers = _OF_INDEX if need.by == GERMANY else (*_OF_GERMANY, "preceding_crop")
    for key in strangers:
        if key in said:
            other = "a soil index" if need.by == GERMANY else "a target value"
            yield read.fault(f'belongs to a reckoning by {other}, not to by = "{need.by}"', "crop", "need", key)
    if need.by == GERMANY:
        if need.nmin is None:
            what = 'a target value needs the mineral nitrogen of the soil: nmin = "60 +/- 15 kg N/ha"'
            yield read.fault(what, "crop", "need", "by")
        yield from _years(read, need)
    elif need.n_index is None:
        yield read.fault('say the index of the soil: n_index = "1"', "crop", "need", "by")
    elif read.plan.crop.kind != "silage maize":
        yield read.fault("this guide is for forage maize; it has no row for grain maize", "crop", "need", "by")


def _years(read: Read, need: Need) -> Iterator[Fault]:
    crop = read.plan.crop
    if need.yields is None and crop.expected_yield.high / crop.dry_matter.low * 100 > MOST_FRESH_YIELD_T_HA:
        what = f"{crop.expected_yield.text} at {crop.dry_matter.text} dry matter is more than maize brings; check both"
        yield read.fault(what, "crop", "expected_yield")
    if need.replaced and need.yields is None:
        yield read.fault("there are no yields whose years could be replaced", "crop", "need", "replaced")
    if not need.replaced or need.yields is None:
        return
    share = constants("maize_yield_rule").extreme_share
    extreme = extreme_years([one.value for one in need.yields], share)
    may = [number for number, is_so in enumerate(extreme.tolist(), 1) if is_so]
    for number in need.replaced:
        if number not in may:
            known = ", ".join(map(str, may)) or "none"
            what = (
                f"year {number} is not more than {100 * share:g} % off the year before it; years that may be "
                f"replaced: {known}"
            )
            yield read.fault(what, "crop", "need", "replaced")


def _available(read: Read) -> Iterator[Fault]:
    crop, kind = read.plan.crop, read.plan.slurry.kind
    if "n_season" in crop.model_fields_set and crop.n_available != "by guide, United Kingdom":
        what = 'only n_available = "by guide, United Kingdom" tells seasons apart'
        yield read.fault(what, "crop", "n_season")
    elif crop.n_season != "spring" and "cattle" not in kind:
        what = "the guide has rows for pig slurry in spring only"
        yield read.fault(what, "crop", "n_season")


def _limit(read: Read, i: int, limit: Limit) -> Iterator[Fault]:
    wants = _WANTS.get(limit.of, ("at_most",))
    given = tuple(key for key in _BOUNDS if getattr(limit, key) is not None)
    if given != wants:
        wrong = [key for key in given if key not in wants]
        words = f'"{limit.of}" needs {" and ".join(wants)}' + (f", and not {' or '.join(wrong)}" if wrong else "")
        yield read.fault(words, "limit", i, next((k for k in wants if k not in given), wants[0]))
        return
    if limit.of == "distance to well" and read.plan.field.well_distance is None:
        what = 'the field does not say how far the well is: well_distance = "80 m" under [field]'
        yield read.fault(what, "limit", i, "of")
    if limit.at_most is not None:
        yield from _most(read, i, limit)


def _most(read: Read, i: int, limit: Limit) -> Iterator[Fault]:
    most = limit.at_most
    assert most is not None  # noqa: S101 (asked for by the caller)
    here = ("limit", i, "at_most")
    phosphate = most.substance in {"P2O5", "P"}
    if limit.of == "slope":
        if most.unit != "%":
            yield read.fault(f'{most.text} is no slope; say it in per cent, e.g. at_most = "10 %"', *here)
    elif most.unit == "%":
        yield read.fault(f'"{limit.of}" is a mass per area, e.g. at_most = "170 kg N/ha"', *here)
    elif limit.of in {"phosphate from slurry", "P balance"} and not phosphate:
        yield read.fault('say P or P2O5, e.g. at_most = "60 kg P2O5/ha"', *here)
    elif limit.of.endswith("N from slurry") and phosphate:
        yield read.fault(f'"{limit.of}" is a mass of N, e.g. at_most = "170 kg N/ha"', *here)
