"""Other ways of bringing slurry to an outfit: what each would cost and do at any distance, and with how many feeders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike

from spadework.estimate.draws import Draws
from spadework.estimate.result import SHARE_PRINTED, Estimate, Spread
from spadework.estimate.supply.laid import Option, SameDraws, drawn_keys, options_for, possible, side_by_side
from spadework.ranges import FloatArray, collecting, require
from spadework.reference import constants
from spadework.science.machinery import SupplyDay, crossing, per_volume

__all__ = [
    "GRID_DRAWS",
    "Crossing",
    "FeedersRow",
    "Ways",
    "crossings",
    "feeders_table",
    "supply_day",
    "usual_distances",
    "ways_at",
]

GRID_DRAWS = 200
"""So many of the draws of an estimate are gone through at every distance, where it has more."""

_LEAST_KM, _MOST_KM, _STEPS = 0.2, 10.0, 21
_NO_WAIT = 0.005  # a share that prints as 0 %
_TAILS = ((1 - SHARE_PRINTED) / 2, 0.5, (1 + SHARE_PRINTED) / 2)


@dataclass(frozen=True)
class Ways:
    """What every way costs and does at every distance.

    Attributes
    ----------
    system : int
        Whose outfit it is.
    distances_km : FloatArray
        Rising; of length d.
    options : tuple of Option
        The ways, of number w.
    cost_eur_m3 : FloatArray
        Outfit and supply per m3 of slurry placed [EUR/m3], in the currency of the plan; shape (w, d, draws).  Not a
        number for a hose beyond what one pump reaches.
    rate_ha_h : FloatArray
        Work rate with the supply [ha/h], same shape.
    left_out : tuple of str
        Ways that cannot be, each with the reason.
    notes : tuple of str
        Models that were used outside their range.
    """

    system: int
    distances_km: FloatArray
    options: tuple[Option, ...]
    cost_eur_m3: FloatArray
    rate_ha_h: FloatArray
    left_out: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Crossing:
    """Distance from which the second way costs less than the first, which is the cheaper one at the least distance.

    `km` holds middle and 80 % of draws, infinite where it never does; `share` is that of the draws in which it does
    anywhere up to `most_km`; `from_km` is the least distance.
    """

    first: str
    second: str
    km: Spread
    share: float
    from_km: float
    most_km: float


@dataclass(frozen=True, slots=True)
class FeedersRow:
    """What a number of feeders does; `enough` marks the fewest that keep the outfit going, `cheapest` the least cost."""

    feeders: int
    rate_ha_h: Spread
    outfit_waits: Spread
    feeders_wait: Spread
    cost_eur_m3: Spread
    planned: bool
    enough: bool
    cheapest: bool


def usual_distances(estimate: Estimate, low_km: float | None = None, high_km: float | None = None) -> FloatArray:
    """Return distances [km] to go through, with that of the plan and the reach of one pump where they lie between.

    Left out, they run from next to the store to 10 km, or to twice the distance of the plan where that is more.
    """
    planned = estimate.plan.field.store_distance.value
    low = _LEAST_KM if low_km is None else low_km
    high = min(100.0, max(_MOST_KM, 2 * planned)) if high_km is None else high_km
    even = np.linspace(0.0 if low_km is None else low, high, _STEPS)
    between = [km for km in (low, *even, planned, _reach_km()) if low <= km <= high]
    return np.unique(np.round(between, 6))


def ways_at(estimate: Estimate, system: int, distances_km: ArrayLike) -> Ways:
    """Return cost and work rate of the spreading outfit of a system, by every way that the plan can price.

    Parameters
    ----------
    estimate : Estimate
        Of every system of a plan.
    system : int
        One that places slurry.
    distances_km : array_like
        Road from the store to the field [km], rising, 0 to 100.

    Returns
    -------
    Ways
        The ways side by side, over the same draws.

    Raises
    ------
    ValueError
        If the system places no slurry.
    ImpossibleValue
        If a distance cannot be, or they do not rise.

    Notes
    -----
    The outfit of the plan drives to the store itself, is fed by every supply of the plan whether a system has it or not,
    and is met by others where the plan has what they charge.  For a hose the tanker stays at home.  Costs are those of
    the estimate: tractor, machines, driver and diesel of the outfit by the time of a hectare, and the supply on top.
    """
    km = np.atleast_1d(require("distances_km", distances_km, 0, 100, "km"))
    require("step of distances_km", np.diff(km), 0, np.inf, "km", above=True)
    keys = drawn_keys(estimate)
    with collecting() as outside:
        options, left_out = possible(estimate, system, options_for(estimate, system), keys, GRID_DRAWS)
        desk = side_by_side(estimate, system, options, SameDraws(estimate, keys, GRID_DRAWS, km))
    shape = (len(options), km.size, -1)
    cost = (
        _columns(per_volume(desk.sheet["pass_cost"], desk.sheet[desk.dose_on("system")]), km.size).reshape(shape).copy()
    )
    rate = _columns(desk.sheet["pass_rate"], km.size).reshape(shape).copy()
    for row, option in enumerate(options):
        if option.way == "hose":
            cost[row, km > _reach_km()] = rate[row, km > _reach_km()] = np.nan
    notes = tuple(text for text in dict.fromkeys(map(str, outside)) if text not in estimate.notes)
    return Ways(system, km, tuple(options), cost, rate, left_out, notes)


def crossings(ways: Ways) -> tuple[Crossing, ...]:
    """Return for every two ways the distance from which the one that is dearer at first costs less."""
    found = []
    for a in range(len(ways.options)):
        for b in range(a + 1, len(ways.options)):
            both = np.isfinite(ways.cost_eur_m3[[a, b]]).all(axis=(0, 2))
            if np.count_nonzero(both) < 2:
                continue
            km = ways.distances_km[both]
            one, other = (ways.cost_eur_m3[i][both].T for i in (a, b))
            swap = np.median(other[:, 0]) < np.median(one[:, 0])
            first, second = (b, a) if swap else (a, b)
            at = crossing(km, other if swap else one, one if swap else other)
            at = np.where(np.isnan(at), np.inf, at)
            low, mid, high = np.quantile(at, _TAILS, method="inverted_cdf")
            labels = (ways.options[first].label, ways.options[second].label)
            share = float(np.mean(np.isfinite(at)))
            span = (float(km[0]), float(km[-1]))
            found.append(Crossing(*labels, Spread(float(mid), float(low), float(high)), share, *span))
    return tuple(found)


def feeders_table(estimate: Estimate, system: int, counts: Sequence[int] = (1, 2, 3, 4)) -> tuple[FeedersRow, ...]:
    """Return what other numbers of feeders would do at the distance of the plan, over all draws.

    The supply is the one of the system where it is fed; else the first of the plan with feeders that its outfit can
    take.  Nothing where there is none.
    """
    fed = [o for o in options_for(estimate, system) if o.way in ("feeders", "field container")]
    chosen = next((o for o in fed if o.planned), fed[0] if fed else None)
    if chosen is None:
        return ()
    has = estimate.plan.supply(chosen.supply or "").vehicles
    keys = drawn_keys(estimate)
    wanted = [replace(chosen, vehicles=count) for count in counts]
    with collecting():
        options, _ = possible(estimate, system, wanted, keys, GRID_DRAWS)
        if not options:
            return ()
        desk = side_by_side(estimate, system, options, SameDraws(estimate, keys, estimate.draws, None))
    axis = "fed" if chosen.way == "feeders" else "contained"
    cost = per_volume(desk.sheet["pass_cost"], desk.sheet[desk.dose_on("system")])
    waits = [_spread(row) for row in desk.sheet[f"{axis}_spreader_waits"]]
    costs = [_spread(row) for row in cost]
    least = min(range(len(costs)), key=lambda i: costs[i].mid)
    enough = next((i for i, w in enumerate(waits) if w.mid < _NO_WAIT), None)
    rate, feeders_wait = desk.sheet["pass_rate"], desk.sheet[f"{axis}_feeder_waits"]
    rows = []
    for i, option in enumerate(options):
        count = option.vehicles or 0
        row = FeedersRow(
            feeders=count,
            rate_ha_h=_spread(rate[i]),
            outfit_waits=waits[i],
            feeders_wait=_spread(feeders_wait[i]),
            cost_eur_m3=costs[i],
            planned=chosen.planned and count == has,
            enough=i == enough,
            cheapest=i == least,
        )
        rows.append(row)
    return tuple(rows)


def supply_day(estimate: Estimate, system: int) -> tuple[SupplyDay, float]:
    """Return a day of a system with every input at its middle, and the slurry an hour of the closed form [m3/h].

    The day is as long as the farm's, nothing varies in it, and it ends when the field is done.  For a hose the slurry
    an hour counts laying it for this field.
    """
    planned = [o for o in options_for(estimate, system) if o.planned]
    with collecting():
        desk = side_by_side(estimate, system, planned, Draws(1, estimate.seed))
    sheet, farm = desk.sheet, estimate.plan.farm

    def of(name: str) -> float:
        return float(np.ravel(sheet[name])[0])

    spread = of("placing_spread_time")
    dose = of(desk.dose_on("placing"))
    closed = dose / (spread + of("placing_away") + of("placing_waiting"))
    hours = farm.day.value if farm is not None else 24.0
    day = SupplyDay(way="brought", load_m3=1.0, dose_m3_ha=dose, spread_h_ha=spread, hours=hours, area_ha=of("area"))
    way = planned[0].way
    if way == "hose":
        return replace(day, way="hose", hose_m3_h=of("hose_flow"), setup_h=of("hose_setup")), closed
    day = replace(day, load_m3=of("load_size"))
    if way == "brought":
        return replace(day, met_min=of("met")), closed
    day = replace(
        day, distance_km=of("store_distance"), connect_min=of("connect_min"), other_min=of("field_other_min"),
        speed_full_km_h=of("road_speed_full_km_h"), speed_empty_km_h=of("road_speed_empty_km_h"),
    )  # fmt: skip
    if way == "drives itself":
        return replace(day, way="drives", filling_m3_min=of("trip_filling")), closed
    axis = "fed" if way == "feeders" else "contained"
    fed = {
        "filling_m3_min": of(f"filling_{axis}"),
        "feeder_load_m3": of(f"feeder_load_{axis}"),
        "transfer_m3_min": of("transfer_fed" if axis == "fed" else "container_in"),
    }
    if axis == "contained":
        fed |= {"container_m3": of("container_contained"), "container_out_m3_min": of("transfer_contained")}
    feeders = round(of(f"feeders_{axis}"))
    return _fed(day, "feeders" if axis == "fed" else "container", feeders, fed), closed


def _fed(day: SupplyDay, way: Literal["feeders", "container"], feeders: int, fed: dict[str, float]) -> SupplyDay:
    every: dict[str, Any] = dict(fed)
    return replace(day, way=way, feeders=feeders, **every)


def _reach_km() -> float:
    return constants("slurry_supply")["one_pump_reach_m"].value / 1000


def _columns(values: FloatArray, distances: int) -> FloatArray:
    """Return every row with at least one column for each distance."""
    return values if values.shape[-1] > 1 else np.broadcast_to(values, (*values.shape[:-1], distances))


def _spread(values: FloatArray) -> Spread:
    low, mid, high = np.quantile(values, _TAILS)
    return Spread(float(mid), float(low), float(high))
