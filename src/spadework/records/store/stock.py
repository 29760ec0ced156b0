"""What a store has of what a plan wants, and readings in it that do not go together."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from spadework.plan import PlanFaults
from spadework.records.kinds import records
from spadework.records.reading_row import Reading, utc_of
from spadework.records.sheets.field_sheets import SHEETS, places_in_plots
from spadework.records.sheets.sheet_readings import Slot, slot_of
from spadework.records.store.combined import given_by, unlikely
from spadework.records.store.completeness import Completeness, Places, completeness, plots_of
from spadework.records.store.cross_checks import in_order_of_time
from spadework.records.store.store import Store
from spadework.records.tables.columns import clip
from spadework.reference import load

if TYPE_CHECKING:
    from spadework.plan import Read

__all__ = ["Stock", "stock_of"]

_BAND: Final = "band"
_UNIT: Final = "unit"
_STEPS: Final = (
    ("spread", ("dose",)),
    ("seeded", ("band", "seed")),
    ("emerged", ("stand", "crop")),
    ("harvested", ("harvest",)),
)
"""Steps that follow one another in a plot, and the records whose first reading tells of them."""
_FAR_DAYS: Final = 366


@dataclass(frozen=True)
class Stock:
    """What a store has.

    Attributes
    ----------
    found : tuple of Completeness
        By kind of reading, for what was begun or asked for.
    not_begun : tuple of str
        Records of which nothing is there.
    together : tuple of str
        Readings that do not go together, a sentence each.
    twice : tuple of str
        Readings that two people corrected without knowing of each other.
    doubled : tuple of str
        Readings that stand there twice.
    """

    found: tuple[Completeness, ...]
    not_begun: tuple[str, ...]
    together: tuple[str, ...]
    twice: tuple[str, ...]
    doubled: tuple[str, ...] = ()


def stock_of(store: Store, read: Read, record: str = "") -> Stock:
    """Say of every reading that is taken in plots how many plots have it.

    Parameters
    ----------
    store : Store
        The store.
    read : Read
        The plan.
    record : str
        Only what belongs to it; every record of which a reading is there if empty.

    Returns
    -------
    Stock
        Readings of the band are wanted of the systems that place one.
    """
    current = store.current()
    begun = {one.record for one in current}
    chosen = [record] if record else [one for one in records(store.kinds) if one in begun]
    plots = plots_of(read.plan)
    places = _places(read)
    found: list[Completeness] = []
    for one in chosen:
        kinds = [kind for kind in store.kinds.values() if kind.record == one and (one, kind.per) in places]
        banded = places.get((_BAND, _UNIT), {})
        wanted = [plot for plot in plots if one != _BAND or not plot.system or plot.system in banded]
        found += completeness(current, wanted, kinds, places)
    idle = tuple(one for one in records(store.kinds) if one not in begun) if not record else ()
    twice = tuple(
        f"plot {chain.current.plot}, {chain.current.record} {chain.current.field}: {chain.lines()[-1]}"
        for chain in store.corrected_twice()
    )
    return Stock(tuple(found), idle, _together(current, read), twice, _read_twice(current))


def _together(current: Sequence[Reading], read: Read) -> tuple[str, ...]:
    return (
        *(f"{one.where}: {one.said}" for one in unlikely(current, given_by(read.plan))),
        *_out_of_order(current),
        *_far_from_sowing(current, read),
    )


def _out_of_order(current: Sequence[Reading]) -> tuple[str, ...]:
    """Find plots in which a step was read before the one that it follows."""
    first: dict[str, dict[str, str]] = {}
    steps = {record: step for step, records_of in _STEPS for record in records_of}
    for one in current:
        if (step := steps.get(one.record)) is not None:
            moments = first.setdefault(one.plot, {})
            moments[step] = min(moments.get(step, one.taken_at), one.taken_at, key=utc_of)
    names = [step for step, _ in _STEPS]
    return tuple(
        f"plot {clip(plot)}: {said}" for plot, moments in first.items() for said in in_order_of_time(moments, names)
    )


def _far_from_sowing(current: Sequence[Reading], read: Read) -> tuple[str, ...]:
    """Find days that lie more than a year from sowing; one sentence a day, for a wrong year is wrong on a whole sheet."""
    if read.plan.season is None:
        return ()
    sowing = read.plan.season.sowing
    by_day: dict[str, list[Reading]] = {}
    for one in current:
        by_day.setdefault(one.taken_at[:10], []).append(one)
    return tuple(
        f"{len(found)} reading{'s' if len(found) > 1 else ''} of {day}, such as {found[0].record} {found[0].field} of plot "
        f"{clip(found[0].plot)}: more than a year from the day of sowing, {sowing}; look at the year"
        for day, found in sorted(by_day.items())
        if abs((dt.date.fromisoformat(day) - sowing).days) > _FAR_DAYS
    )


def _read_twice(current: Sequence[Reading]) -> tuple[str, ...]:
    """Find readings that stand there twice, each as a first reading, as when two people type the same sheet and merge."""
    by_slot: dict[Slot, list[Reading]] = {}
    for one in current:
        by_slot.setdefault(slot_of(one), []).append(one)
    return tuple(
        f"plot {clip(found[0].plot)}{_place(found[0])}, {found[0].record} {found[0].field} of {found[0].taken_at[:16]}: "
        + " and ".join(f"{one.said} (id {one.id})" for one in found)
        + '; both count. Correct the one that is not needed to "not measured", with the reason'
        for found in by_slot.values()
        if sum(one.value is not None for one in found) > 1
    )


def _place(one: Reading) -> str:
    return (f", {clip(one.place)}" if one.place else "") + (f", sample {one.sample}" if one.sample > 1 else "")


def _places(read: Read) -> Places:
    """Return where in a plot readings are wanted; those of bands of every system where passes and machines do not fit."""
    try:
        return places_in_plots(read)
    except PlanFaults:
        rows = [row for row in load(SHEETS).values() if row.text("taken_of") == "plots"]
        return {
            (row.text("record"), row.text("per")): {system.name: () for system in read.plan.systems} for row in rows
        }
