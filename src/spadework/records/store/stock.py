"""What a store has of what a plan wants, and readings in it that do not go together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from spadework.plan import PlanFaults
from spadework.records.kinds import records
from spadework.records.reading_row import Reading
from spadework.records.store.completeness import Completeness, completeness, plots_of
from spadework.records.store.cross_checks import (
    ammonium_below_total,
    depths_add_up,
    hits_within_points,
    plants_below_seeds,
)
from spadework.records.store.store import Store

if TYPE_CHECKING:
    from spadework.plan import Read

__all__ = ["Stock", "stock_of"]

_OF_PLOTS: Final = ("plot", "layer", "pass", "place", "unit")
_BAND: Final = "band"
_M2_PER_HA: Final = 10_000.0


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
    """

    found: tuple[Completeness, ...]
    not_begun: tuple[str, ...]
    together: tuple[str, ...]
    twice: tuple[str, ...]


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
    banded = _banded(read)
    found: list[Completeness] = []
    for one in chosen:
        kinds = [kind for kind in store.kinds.values() if kind.record == one and kind.per in _OF_PLOTS]
        wanted = [plot for plot in plots if one != _BAND or not plot.system or plot.system in banded]
        found += completeness(current, wanted, kinds)
    idle = tuple(one for one in records(store.kinds) if one not in begun) if not record else ()
    twice = tuple(
        f"plot {chain.current.plot}, {chain.current.record} {chain.current.field}: {chain.lines()[-1]}"
        for chain in store.corrected_twice()
    )
    return Stock(tuple(found), idle, _together(current, read), twice)


def _together(current: Sequence[Reading], read: Read) -> tuple[str, ...]:
    seeds_m2 = float(read.plan.crop.population.value) / _M2_PER_HA
    return (
        *ammonium_below_total(current),
        *hits_within_points(current),
        *depths_add_up(current),
        *plants_below_seeds(current, seeds_m2),
    )


def _banded(read: Read) -> frozenset[str]:
    """Return the systems that place slurry in bands under rows."""
    from spadework.estimate.chain import Chain

    try:
        chain = Chain(read)
    except PlanFaults:
        return frozenset(system.name for system in read.plan.systems)
    out = set()
    for number, system in enumerate(read.plan.systems):
        step = chain.placing_step(number)
        placer = None if step is None else chain.steps[step].placer
        if placer is not None and placer.rows is not None:
            out.add(system.name)
    return frozenset(out)
