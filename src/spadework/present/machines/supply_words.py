"""The supply of slurry in words and figures, for the report and for a terminal alike."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from spadework.estimate import Estimate, Spread
from spadework.estimate.chain import Chain, Step
from spadework.estimate.supply.ways import Crossing, FeedersRow, Ways, crossings
from spadework.estimate.workings.explain import unit_text
from spadework.present.document.blocks import Cell, anchor
from spadework.present.wording import interval_text, spread_of
from spadework.ranges import FloatArray
from spadework.reference import constants
from spadework.science.machinery import fuel_per_m3, left_in_run, loads_for, per_volume

__all__ = [
    "HOSE_WORDS",
    "Placing",
    "crossing_words",
    "feeders_cells",
    "load_words",
    "outfits",
    "placing_step_of",
    "placing_systems",
    "said",
    "supply_rows",
    "waiting_words",
    "ways_words",
    "without_empty",
]

_AXES = {"feeders": "fed", "field container": "contained"}
_NEAR_SHARE = 0.02  # so near a whole run, a load counts as ending at the headland
HOSE_WORDS = (
    "The hose is priced at its rate of the plan up to what one pump reaches, taken along the road; whether the line can be "
    "laid from the store to the field, and what more hose or a second pump would cost, is for you to find out."
)


def placing_systems(estimate: Estimate) -> list[int]:
    """Return the systems that place slurry."""
    chain = Chain(estimate.read)
    return [s for s in range(len(estimate.systems)) if chain.placing_step(s) is not None]


def outfits(estimate: Estimate, systems: list[int]) -> list[list[int]]:
    """Return the systems, those together that place slurry with the same outfit in the same way."""
    groups: dict[str, list[int]] = {}
    for s in systems:
        done = placing_step_of(estimate, s).done
        same = done.model_copy(update={"contractor": None, "after": None, "visible_slurry": None})
        groups.setdefault(repr(same), []).append(s)
    return list(groups.values())


@dataclass(frozen=True)
class Placing:
    """What the sheet holds of the slurry of one system."""

    estimate: Estimate
    system: int

    @cached_property
    def chain(self) -> Chain:
        """The passes of the plan."""
        return Chain(self.estimate.read)

    @property
    def index(self) -> int:
        """The pass that places the slurry."""
        index = self.chain.placing_step(self.system)
        assert index is not None  # noqa: S101 (systems that place none are left out)
        return index

    @property
    def way(self) -> str:
        """How slurry gets to its outfit."""
        return self.chain.way(self.index)

    @property
    def axis(self) -> str:
        """The end of the names of what is worked out for feeders; empty where there are none."""
        return _AXES.get(self.way, "")

    def of(self, name: str) -> FloatArray:
        """Return the draws of a figure: of the placing pass, or of the system."""
        figure = self.estimate.sheet.figures[name]
        values: FloatArray = (
            figure.values[self.index] if figure.over == "pass" else self.estimate.values(name, self.system)
        )
        return values

    def cell(self, name: str, places: int, factor: float = 1.0) -> Cell:
        """Return a figure as it is printed, leading to its working; a dash where the sheet says nothing of it."""
        if name not in self.estimate.sheet.figures or not self.estimate.has(name, self.system):
            return Cell("–")
        link = anchor(name, self.system if self.estimate.sheet.figures[name].over else None)
        return Cell(said(spread_of(self.of(name)), places, factor), link)


def said(spread: Spread, places: int, factor: float = 1.0) -> str:
    """Return a figure with its interval, without one where it would print the same three times."""
    rounded = Spread(*(round(v * factor, places) for v in (spread.mid, spread.low, spread.high)))
    return interval_text(rounded, places)


def supply_rows(estimate: Estimate, system: int) -> list[tuple[str, Cell]]:
    """Return what there is to say of how slurry comes to a system, each with its words."""
    own, currency = Placing(estimate, system), estimate.plan.prices.currency
    axis, dose = own.axis, own.estimate.dose(own.system)
    time = own.of("spread_time") + own.of("slurry_refill_time") + own.of("waiting_time")
    full, supply = own.of("pass_full"), own.of("placing_supply_cost")
    share = spread_of(own.of("spread_time") / own.of("field_time"))
    fuel = own.of("supply_fuel") + own.of("road_litres")
    burnt = "supply_fuel" if axis else "road_litres"
    elsewhere = {"hose": "in the rate of the hose", "brought": "others burn it"}.get(own.way, "")
    flow = own.cell(f"flow_{axis}", 1) if axis else Cell(said(spread_of(dose / time), 1))
    return [
        ("how it comes", Cell(_way_words(own))),
        ("slurry placed, m3/h", flow),
        ("work rate with its supply, ha/h", own.cell("pass_rate", 2)),
        ("outfit spreads, % of its time", Cell(said(share, 0, 100.0), anchor("spread_time", system))),
        ("outfit waits, % of its time", own.cell(f"{axis}_spreader_waits", 0, 100.0)),
        ("feeders wait, % of their time", own.cell(f"{axis}_feeder_waits", 0, 100.0)),
        ("filling point taken, % of the time", own.cell(f"{axis}_store_busy", 0, 100.0)),
        ("feeders on the road", own.cell(f"feeders_{axis}", 0)),
        ("feeders that keep it going", own.cell(f"feeders_needed_{axis}", 0)),
        ("a load lasts, m", own.cell("load_run", 0)),
        ("a load lasts, runs", own.cell("runs_per_load", 1)),
        ("loads for the field", own.cell("field_loads", 0)),
        ("diesel to bring it, L/ha", Cell(elsewhere) if elsewhere else Cell(said(spread_of(fuel), 1), anchor(burnt, system))),
        ("diesel to bring it, L/m3", Cell(elsewhere) if elsewhere else Cell(said(spread_of(fuel_per_m3(fuel, dose)), 2))),
        (f"spreading outfit, {currency}/ha", own.cell("pass_full", 0)),
        (f"bringing the slurry, {currency}/ha", own.cell("placing_supply_cost", 0)),
        (f"both together, {unit_text('EUR/m3', currency)}", Cell(said(spread_of(per_volume(full + supply, dose)), 2))),
    ]  # fmt: skip


def without_empty(columns: list[list[tuple[str, Cell]]]) -> list[tuple[str, list[Cell]]]:
    """Return the lines of systems side by side, without those that say nothing of any of them."""
    lines = [(line[0][0], [cell for _, cell in line]) for line in zip(*columns, strict=True)]
    return [(words, cells) for words, cells in lines if any(cell.text != "–" for cell in cells)]


def waiting_words(estimate: Estimate, system: int) -> str:
    """Return in a sentence who waits for whom."""
    own = Placing(estimate, system)
    if own.way == "brought":
        return "The outfit is met at the headland; whether those who bring the slurry wait is theirs to say."
    if own.way == "drives itself":
        share = float(np.median(own.of("spread_time") / own.of("field_time")))
        return f"Nobody waits: the tanker fetches its slurry itself and spreads in {100 * share:.0f} % of its time."
    if own.way == "hose":
        share = float(np.mean(own.of("hose_work_rate") < (1 - 1e-9) / own.of("hosed_spread_time")))
        slower = f"in {100 * share:.0f} % of draws the flow is slower than the tools"
        return f"No tanker is on the way: {slower if share else 'the tools are slower than the flow'}."
    outfit, feeders = (float(np.median(own.of(f"{own.axis}_{who}_waits"))) for who in ("spreader", "feeder"))
    has, needs = (round(float(np.median(own.of(f"{name}_{own.axis}")))) for name in ("feeders", "feeders_needed"))
    who = f"the outfit waits {100 * outfit:.0f} % of its time" if outfit >= 0.005 else "the outfit never waits"
    they = f"the feeders wait {100 * feeders:.0f} % of theirs" if feeders >= 0.005 else "the feeders never do"
    return f"{who[0].upper()}{who[1:]}, {they}; {needs} keep it going, {has} {'is' if has == 1 else 'are'} there."


def load_words(estimate: Estimate, system: int) -> str:
    """Return in a sentence where a load ends and how far to fill it; nothing where no load is carried."""
    own = Placing(estimate, system)
    if not estimate.has("runs_per_load", system):
        return ""
    lasts, run, load = (float(np.median(own.of(name))) for name in ("runs_per_load", "tanked_run", "load_size"))
    whole = math.floor(lasts + _NEAR_SHARE)
    if whole == 0:
        return (
            f"A load lasts {lasts:.1f} of a run of {run:.0f} m and ends in mid-field: shorter runs, a smaller dose or a "
            "larger tank would spare the way back over the crop land."
        )
    side = "at the headland where it began" if whole % 2 == 0 else "at the far headland"
    if lasts - whole <= _NEAR_SHARE:
        return f"A load lasts {whole} {_runs(whole)} of {run:.0f} m and ends {side}."
    left = float(left_in_run(lasts * run, run))
    fill = load * whole / lasts
    area, dose = float(np.median(own.of("area"))), float(np.median(own.estimate.dose(own.system)))
    more = int(loads_for(area, dose, fill) - loads_for(area, dose, load))
    extra = f", for {more} {'load' if more == 1 else 'loads'} more in the field" if more else ""
    return (
        f"A full load lasts {lasts:.1f} runs of {run:.0f} m and ends {left:.0f} m into a run: fill to {fill:.1f} m3 and it "
        f"lasts {whole} whole {_runs(whole)}, ending {side}{extra}.{_smaller_dose(dose, lasts, whole + 1)}"
    )


def _smaller_dose(dose: float, lasts: float, whole: int) -> str:
    """Return what dose makes a full load last one run more, where that is within what a dose may be off."""
    if 1 - lasts / whole > constants("bucket_test").dose_tolerance_share:
        return ""
    return f" Or {dose * lasts / whole:.1f} m3/ha in place of {dose:.1f}, for all systems alike: {whole} runs to a full load."


def crossing_words(found: Crossing) -> str:
    """Return in a sentence from which distance another way costs less."""
    most = f"{found.most_km:.3g} km"
    head = f"{found.second}: "
    if math.isinf(found.km.mid):
        sometimes = f" (in {100 * found.share:.0f} % of draws it is)" if found.share >= 0.005 else ""
        return f"{head}not cheaper than {found.first} at any distance up to {most}{sometimes}"
    low = f"{found.km.low:.1f}" if found.km.low > found.from_km else f"{found.from_km:.3g} or less"
    high = f"{found.km.high:.1f} km" if math.isfinite(found.km.high) else f"beyond {most}"
    return f"{head}cheaper than {found.first} from {found.km.mid:.1f} km on ({low} to {high})"


def ways_words(ways: Ways) -> list[str]:
    """Return what must be said with the ways: crossings, what was left out, and what the hose counts."""
    out = [crossing_words(found) for found in crossings(ways)]
    out += [f"left out: {reason}" for reason in ways.left_out]
    return out


def feeders_cells(row: FeedersRow) -> tuple[str, ...]:
    """Return what a number of feeders does, as it is printed."""
    marks = (("in the plan", row.planned), ("fewest that keep it going", row.enough), ("cheapest", row.cheapest))
    return (
        str(row.feeders),
        said(row.rate_ha_h, 2),
        said(row.outfit_waits, 0, 100.0),
        said(row.feeders_wait, 0, 100.0),
        said(row.cost_eur_m3, 2),
        ", ".join(words for words, true in marks if true),
    )


def _way_words(own: Placing) -> str:
    step = own.chain.steps[own.index]
    if step.done.supply is None:
        return {"brought": "met at the headland", "drives itself": "the tanker drives to the store"}[own.way]
    supply = own.estimate.plan.supply(step.done.supply)
    what = {"feeders": "", "field container": " and a container", "hose": ""}[supply.way]
    with_what = f"{supply.vehicles} x {supply.machine}{what}" if supply.machine else f"hose, {(supply.flow or '')}"
    return f"{supply.name}: {with_what}"


def placing_step_of(estimate: Estimate, system: int) -> Step:
    """Return the pass of a system that places its slurry."""
    chain = Chain(estimate.read)
    index = chain.placing_step(system)
    assert index is not None  # noqa: S101 (systems that place none are left out)
    return chain.steps[index]


def _runs(number: int) -> str:
    return "run" if number == 1 else "runs"
