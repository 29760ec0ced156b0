"""Sums over a field held against one another: what should agree, and does not, in a sentence each.

A sentence is a remark and no verdict; the readings stay as they are.  A function returns nothing where all is well.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import Final

from spadework.ranges import require
from spadework.records.reading_row import utc_of
from spadework.records.tables.columns import clip
from spadework.reference import constants

__all__ = [
    "STEPS",
    "areas_agree",
    "diesel_agrees",
    "in_order_of_time",
    "nitrogen_plausible",
    "slurry_agrees",
    "units_flip",
]

_TABLE: Final = "record_checks"
STEPS: Final = ("spread", "incorporated", "seeded", "emerged")
"""Steps of establishing a crop that follow one another."""


def slurry_agrees(
    loads: float, tank_m3: float, filled_share: float, doses_m3_ha: Sequence[float], areas_ha: Sequence[float]
) -> tuple[str, ...]:
    """Hold the slurry that was driven out against the slurry that was spread.

    Parameters
    ----------
    loads : float
        Loads driven, 0 or more.
    tank_m3, filled_share : float
        What the tank holds [m3], and how full it was [1].
    doses_m3_ha, areas_ha : sequence of float
        Dose and area of every plot [m3/ha, ha].

    Returns
    -------
    tuple of str
        Nothing where the two lie within the share of the table ``record_checks``.

    Raises
    ------
    ImpossibleValue
        If a figure cannot be.

    Examples
    --------
    >>> slurry_agrees(4, 14, 0.95, [30, 30], [0.9, 0.9])
    ()
    >>> slurry_agrees(6, 14, 0.95, [30, 30], [0.9, 0.9])
    ('slurry driven out 79.8 m3, doses times areas 54 m3: 39 % apart, more than 5 %; look at loads, filling, doses and areas',)
    """
    require("loads", loads, 0, 10_000)
    require("tank_m3", tank_m3, 0, 200, "m3")
    require("filled_share", filled_share, 0, 1, "1")
    doses = require("doses_m3_ha", doses_m3_ha, 0, 500, "m3/ha")
    areas = require("areas_ha", areas_ha, 0, 10_000, "ha")
    said = ("slurry driven out", "doses times areas", "m3", "loads, filling, doses and areas")
    return _balance(loads * tank_m3 * filled_share, float((doses * areas).sum()), "slurry_balance_share", *said)


def areas_agree(plots_ha: Sequence[float], meter_ha: float) -> tuple[str, ...]:
    """Hold the areas of the plots against the area of the flow meter.

    Parameters
    ----------
    plots_ha : sequence of float
        Area of every plot [ha].
    meter_ha : float
        Area that the meter shows [ha].

    Examples
    --------
    >>> areas_agree([0.5, 0.5], 1.02)
    ()
    """
    plots = require("plots_ha", plots_ha, 0, 10_000, "ha")
    require("meter_ha", meter_ha, 0, 10_000, "ha")
    said = ("area of the plots", "area of the flow meter", "ha", "working width and overlap")
    return _balance(float(plots.sum()), meter_ha, "area_balance_share", *said)


def diesel_agrees(filled_l: float, plots_l: Sequence[float], road_l: float = 0.0) -> tuple[str, ...]:
    """Hold the diesel that was filled in against the diesel of the plots and the road.

    Parameters
    ----------
    filled_l : float
        Filled in over the day [L].
    plots_l : sequence of float
        Diesel of every plot [L].
    road_l : float
        Diesel on the road and at the store [L].

    Examples
    --------
    >>> diesel_agrees(60, [20, 22], 17)
    ()
    """
    plots = require("plots_l", plots_l, 0, 100_000, "L")
    require("filled_l", filled_l, 0, 100_000, "L")
    require("road_l", road_l, 0, 100_000, "L")
    said = ("diesel filled in", "diesel of plots and road", "L", "what the engine burnt beside the plots")
    return _balance(filled_l, float(plots.sum()) + road_l, "fuel_balance_share", *said)


def nitrogen_plausible(
    yield_dm_t_ha: float, n_share: float, supplied_kg_ha: float, soil_kg_ha: float
) -> tuple[str, ...]:
    """Hold the nitrogen in the crop against the nitrogen that it could get.

    Parameters
    ----------
    yield_dm_t_ha : float
        Yield of dry matter [t/ha].
    n_share : float
        Nitrogen of the dry matter [1].
    supplied_kg_ha, soil_kg_ha : float
        Nitrogen of slurry and fertiliser that counts, and nitrogen from the soil [kg/ha].

    Examples
    --------
    >>> nitrogen_plausible(17, 0.012, 130, 80)
    ()
    >>> nitrogen_plausible(17, 0.12, 130, 80)[0][:54]
    'the crop holds 2040 kg/ha of nitrogen where 210 kg/ha '
    """
    require("yield_dm_t_ha", yield_dm_t_ha, 0, 100, "t/ha")
    require("n_share", n_share, 0, 1, "1")
    there = float(require("supplied_kg_ha", supplied_kg_ha, 0, 2_000) + require("soil_kg_ha", soil_kg_ha, 0, 2_000))
    limits, taken = constants(_TABLE), yield_dm_t_ha * 1000 * n_share
    if there and limits.least_uptake_share <= taken / there <= limits.most_uptake_share:
        return ()
    what = f"the crop holds {taken:.0f} kg/ha of nitrogen where {there:.0f} kg/ha were to be had"
    return (f"{what}; look at yield, nitrogen content and what was spread",)


def in_order_of_time(moments: Mapping[str, str], steps: Sequence[str] = STEPS) -> tuple[str, ...]:
    """Find steps that came before the one that they follow.

    Parameters
    ----------
    moments : Mapping
        When each step was done, by its name: a day, or a time with its offset.  A step may be left out.
    steps : sequence of str
        Steps in their order.

    Examples
    --------
    >>> in_order_of_time({"spread": "2026-04-20T09:00+02:00", "incorporated": "2026-04-20T08:40+01:00"})
    ()
    >>> in_order_of_time({"spread": "2026-04-20", "seeded": "2026-04-19"})
    ('seeded (2026-04-19) comes before spread (2026-04-20); one of the two times is wrong, or a clock was',)
    """
    there = [(step, moments[step]) for step in steps if step in moments]
    out = []
    for (one, first), (other, second) in pairwise(there):
        early, late = utc_of(first), utc_of(second)
        whole_days = min(len(early), len(late)) == len("2026-04-20")
        if (late[:10] < early[:10]) if whole_days else (late < early):
            what = f"{other} ({clip(second)}) comes before {one} ({clip(first)})"
            out.append(f"{what}; one of the two times is wrong, or a clock was")
    return tuple(out)


def units_flip(rows: int, dug: Iterable[tuple[int, str, int]]) -> tuple[str, ...]:
    """Find row units that do not go with their row and the way in which the machine drove.

    Parameters
    ----------
    rows : int
        Row units of the machine, 1 to 99.
    dug : iterable of (int, str, int)
        Row of the pass from the left as seen on the way out, ``"out"`` or ``"back"``, and the unit as written.

    Notes
    -----
    On the way back the machine is turned round: ``unit = rows + 1 - row``.

    Examples
    --------
    >>> units_flip(8, [(2, "out", 2), (2, "back", 7), (3, "back", 3)])
    ('row 3 on the way back is unit 6 of 8, not 3',)
    """
    require("rows", rows, 1, 99)
    out = []
    for row, way, unit in dug:
        right = rows + 1 - row if way == "back" else row
        if unit != right:
            out.append(f"row {row} on the way {way} is unit {right} of {rows}, not {unit}")
    return tuple(out)


def _balance(one: float, other: float, key: str, first: str, second: str, unit: str, look: str) -> tuple[str, ...]:
    limit, mean = constants(_TABLE)[key].value, (one + other) / 2
    if abs(one - other) <= limit * mean:
        return ()
    apart = f"{abs(one - other) / mean:.0%}".replace("%", " %")
    head = f"{first} {one:.3g} {unit}, {second} {other:.3g} {unit}: {apart} apart, more than {limit * 100:g} %"
    return (f"{head}; look at {look}",)
